//! The columns of a table, with everything looked up that their cells need.

use swardbook_units::{Unit, parse_unit};

use super::{
    apply::Work,
    asking::{choices_of_analytes, choices_of_roles},
    attribute::{Attribute, date_order, written_date},
    decimal::MarksSeen,
    fit::{best_table, rule_of},
    grid::{CellKind, Grid},
    layout::{Span, headings},
    mapping::{DateRule, Layout, Role, heading_key},
    naming,
    outcome::{About, Ask, Note, Place},
    propose::role_of_heading,
    reading_cell::ReadingColumn,
    reason::Reason,
    samples::AttributeColumn,
    view::View,
};

/// A column of a table with everything looked up that its cells need.
#[derive(Debug)]
pub(super) struct Column {
    pub(super) across: usize,
    /// Its heading as it is shown and remembered.
    pub(super) written: String,
    pub(super) about: About,
    pub(super) holds: Holds,
}

impl Table<'_> {
    /// Whether the cells of a row of the grid do not stand under their headings.
    pub(super) fn is_overlong(&self, row: usize) -> bool {
        !self.overlong.is_empty() && self.overlong.binary_search(&row).is_ok()
    }
}

/// Rows that go on with digits beyond the last heading: in a file with commas between its cells an
/// unquoted `6,2` has become two cells, and nothing in that row stands where it should.
fn overlong_rows(grid: &Grid, span: &Span) -> Vec<usize> {
    let (heading, rows) = match span.layout {
        Layout::Turned => (span.across.0, span.across.0 + 1..span.across.1),
        Layout::Long | Layout::Wide if span.headings.is_empty() => return Vec::new(),
        Layout::Long | Layout::Wide => (span.base, span.data.0..span.data.1),
    };
    let filled = |row: usize| (0..grid.row_width(row)).rev().find(|&c| grid.is_filled(row, c));
    let Some(last) = filled(heading) else { return Vec::new() };
    let is_pushed = |row: &usize| {
        (last + 1..grid.row_width(*row))
            .any(|column| grid.text(*row, column).starts_with(|c: char| c.is_ascii_digit()))
    };
    rows.filter(is_pushed).collect()
}

impl Column {
    /// Whether its cells may carry a word in place of a sample's name.
    pub(super) const fn says_which_sample(&self) -> bool {
        matches!(
            &self.holds,
            Holds::Attribute(AttributeColumn {
                attribute: Attribute::Label | Attribute::LaboratoryNumber | Attribute::Zone,
                ..
            })
        )
    }
}

/// What a column holds.
#[derive(Debug)]
pub(super) enum Holds {
    Attribute(AttributeColumn),
    Readings(ReadingColumn),
    Name,
    Value(Option<&'static Unit>),
    Unit,
    Method,
    Sign,
    Spread,
    Limit,
    Ignored,
    /// Listed as unread for this reason.
    Unread(Reason),
}

/// A table ready to be read.
#[derive(Debug)]
pub(super) struct Table<'a> {
    pub(super) view: View<'a>,
    pub(super) span: Span,
    pub(super) columns: Vec<Column>,
    /// What the numbers of each column prove, in the order of `columns`.
    pub(super) seen: Vec<MarksSeen>,
    /// Rows of the grid whose cells have been pushed apart by decimal commas.
    overlong: Vec<usize>,
}

/// A column whose role is being looked up.
#[derive(Debug)]
struct Headed<'s> {
    across: usize,
    said: Vec<&'s str>,
    written: String,
    about: About,
    place: Place,
}

/// Looks up what every column of a table holds.
pub(super) fn prepare<'a>(
    work: &mut Work<'a>,
    sheet: u16,
    grid: &'a Grid,
    span: Span,
) -> Table<'a> {
    let view = span.view(grid);
    let parts = headings(view, &span, work.words);
    let found = best_table(work.mapping, &span, &parts);
    let known = found.map(|(_, table)| table);
    let mut columns = Vec::new();
    let mut used = vec![false; known.map_or(0, |table| table.columns.len())];
    let filled = |across: usize| {
        parts[across].iter().any(|part| !part.is_empty())
            || (span.data.0..span.data.1).any(|line| !view.text(line, across).is_empty())
    };
    let across = (span.across.0..span.across.1).filter(|&across| filled(across));
    for (order, across) in across.enumerate() {
        let rule = known.and_then(|table| rule_of(table, &parts[across], order, &mut used));
        let base = *span.headings.first().unwrap_or(&0);
        let place = Place::new(sheet, view.cell(base, across));
        let role = match rule {
            Some(role) => role.clone(),
            None => {
                let heading = parts[across].join(" ").trim().to_owned();
                if span.layout != Layout::Long && !heading.is_empty() {
                    work.notes.push(Note::NewColumn { heading, place });
                    role_of_heading(&parts[across])
                } else {
                    Role::Unknown
                }
            }
        };
        let said: Vec<&str> = parts[across]
            .iter()
            .map(String::as_str)
            .filter(|part| !part.trim().is_empty())
            .collect();
        let headed = Headed {
            across,
            written: said.join(" "),
            said,
            about: About::Column {
                table: found.map(|(at, _)| at),
                layout: span.layout,
                key: heading_key(&parts[across]),
            },
            place,
        };
        columns.push(column(work, view, &span, headed, &role));
    }
    let seen = columns.iter().map(|column| marks_seen(view, &span, column)).collect();
    let overlong = if work.point_is_decimal { overlong_rows(grid, &span) } else { Vec::new() };
    Table { view, span, columns, seen, overlong }
}

fn column(
    work: &mut Work<'_>,
    view: View<'_>,
    span: &Span,
    headed: Headed<'_>,
    role: &Role,
) -> Column {
    let symbol = |unit: &Option<String>| unit.as_deref().and_then(|u| parse_unit(u).ok());
    let holds = match role {
        Role::Ignore => Holds::Ignored,
        Role::Attribute { attribute, unit } => {
            let lines = (span.data.0..span.data.1).map(|line| view.text(line, headed.across));
            let is_date =
                matches!(attribute, Attribute::Sampled | Attribute::Received | Attribute::Reported);
            let dates =
                if is_date { date_order(lines, work.mapping.dates) } else { DateRule::Shown };
            Holds::Attribute(AttributeColumn {
                across: headed.across,
                attribute: *attribute,
                unit: symbol(unit).or_else(|| work.mapping.default_depth_unit()),
                dates,
            })
        }
        Role::Analyte(rule) => match rule.resolve() {
            Some(resolved) => {
                let mut column = ReadingColumn::new(resolved);
                column.is_unit_strange = naming::of_heading(&headed.said).strange_unit.is_some();
                if !column.is_method_open {
                    note_group_method(work, view, span, &headed);
                }
                Holds::Readings(column)
            }
            None => Holds::Unread(Reason::UnknownAnalyte),
        },
        Role::Name => Holds::Name,
        Role::Value { unit } => Holds::Value(symbol(unit)),
        Role::Unit => Holds::Unit,
        Role::Method => Holds::Method,
        Role::Sign => Holds::Sign,
        Role::Spread => Holds::Spread,
        Role::Limit => Holds::Limit,
        Role::Unknown => unknown(work, view, span, &headed),
    };
    Column { across: headed.across, written: headed.written, about: headed.about, holds }
}

/// A column that no rule and no known word explains.
fn unknown(work: &mut Work<'_>, view: View<'_>, span: &Span, headed: &Headed<'_>) -> Holds {
    const LOOK_AT: usize = 60;
    if headed.said.is_empty() {
        return Holds::Unread(Reason::NoHeading);
    }
    let meaning = naming::of_heading(&headed.said);
    if meaning.matches.len() > 1 {
        let choices = || choices_of_analytes(meaning.matches.iter().map(|m| m.analyte));
        work.ask(headed.place, &headed.written, &headed.about, Ask::Analyte, choices);
        return Holds::Unread(Reason::SeveralAnalytes);
    }
    let has_dates = (span.data.0..span.data.1.min(span.data.0 + LOOK_AT)).any(|line| {
        matches!(view.kind(line, headed.across), CellKind::Date(_))
            || written_date(view.text(line, headed.across)).is_some()
    });
    let choices = || choices_of_roles(has_dates);
    work.ask(headed.place, &headed.written, &headed.about, Ask::Heading, choices);
    Holds::Unread(Reason::UnknownHeading)
}

/// Says where a method was taken from that stands over another column.
fn note_group_method(work: &mut Work<'_>, view: View<'_>, span: &Span, headed: &Headed<'_>) {
    if span.layout != Layout::Wide || !view.grid.merged().is_empty() {
        return;
    }
    for &line in span.headings.iter().filter(|&&line| line < span.base) {
        if !view.text(line, headed.across).is_empty() {
            continue;
        }
        let from = (0..headed.across).rev().find(|&left| !view.text(line, left).is_empty());
        if let Some(left) = from {
            let place = Place::new(headed.place.sheet, view.cell(line, left));
            let heading = headed.written.clone();
            work.notes.push(Note::MethodFromGroup { heading, place });
        }
    }
}

fn marks_seen(view: View<'_>, span: &Span, column: &Column) -> MarksSeen {
    let mut seen = MarksSeen::default();
    if matches!(column.holds, Holds::Readings(_) | Holds::Value(_) | Holds::Spread | Holds::Limit) {
        for line in span.data.0..span.data.1 {
            seen.see_kind(view.kind(line, column.across), view.text(line, column.across));
            // Only a comma could still speak against a point.
            if seen.point && view.grid.is_comma_free() {
                break;
            }
        }
    }
    seen
}
