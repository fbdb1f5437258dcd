//! A mapping proposed from a file that no remembered one fits.

use swardbook_units::Unit;

use super::{
    attribute::Attribute,
    cell_value::{ColumnMark, read_value},
    heading_words::{
        LongColumn, find_attribute, is_no_sample, length_unit, long_column, long_column_with_unit,
    },
    layout::{Span, find_tables, headings, table_at},
    mapping::{ColumnRule, Layout, Mapping, Role, TableMapping, heading_key},
    naming,
    open::Sheets,
    outcome::Place,
    problem::PanelFileError,
    reason::Reason,
    view::View,
    vocabulary::{Vocabulary, is_value},
};

/// Lines of data looked at to see what a column holds.
const LOOK_AT: usize = 60;

/// Proposes how a file is to be read; what is not plain becomes a question when it is applied.
///
/// # Errors
/// [`PanelFileError::NoTable`] when no sheet holds analyte names beside numbers.
pub fn propose(sheets: &Sheets) -> Result<Mapping, PanelFileError> {
    let nothing = Mapping::default();
    let words = Vocabulary::new(&nothing);
    let mut mapping = Mapping::default();
    for grid in sheets.grids.iter().filter(|grid| !grid.is_hidden()) {
        for span in find_tables(grid, &words) {
            let view = span.view(grid);
            let table = table_mapping(view, &span, &words);
            let named = labels_at_the_ends(view, &span, &table).filter(|label| is_no_sample(label));
            let named = named.map(|label| heading_key(&[label]));
            let keys = named.chain(lines_of_words(view, &span, &table, &words)).collect::<Vec<_>>();
            for key in keys {
                if !mapping.left_out.contains(&key) {
                    mapping.left_out.push(key);
                }
            }
            if !mapping.tables.contains(&table) {
                mapping.tables.push(table);
            }
        }
    }
    if mapping.tables.is_empty() {
        return Err(PanelFileError::NoTable { file: sheets.file.clone() });
    }
    Ok(mapping)
}

/// Proposes a mapping for a table whose headings a person points at, however few of them are known.
///
/// `place` is a cell of the heading row, or of the column of names when the table is turned.
/// Columns that are not known have [`Role::Unknown`] until the person says what they hold.
#[must_use]
pub fn propose_at(sheets: &Sheets, place: Place, layout: Layout) -> Mapping {
    let mut mapping = Mapping::default();
    let from_zero = |n: u32| (n as usize).saturating_sub(1);
    let cell = (from_zero(place.row), from_zero(place.column));
    if let Some(grid) = sheets
        .grids
        .get(usize::from(place.sheet))
        .filter(|grid| cell.0 < grid.height() && cell.1 < grid.width())
    {
        let nothing = Mapping::default();
        let words = Vocabulary::new(&nothing);
        let span = table_at(grid, &words, cell, layout);
        mapping.tables.push(table_mapping(span.view(grid), &span, &words));
    }
    mapping
}

fn table_mapping(view: View<'_>, span: &Span, words: &Vocabulary<'_>) -> TableMapping {
    let parts = headings(view, span, words);
    let mut columns = if span.layout == Layout::Long {
        long_roles(view, span, &parts, words)
    } else {
        (span.across.0..span.across.1)
            .filter(|&across| is_used(view, span, across))
            .map(|across| ColumnRule {
                heading: parts[across].clone(),
                role: role_of_heading(&parts[across]),
            })
            .collect()
    };
    if span.layout == Layout::Turned {
        label_of_turned(&mut columns);
    }
    one_column_each(&mut columns);
    TableMapping { layout: span.layout, has_headings: !span.headings.is_empty(), columns }
}

/// Whether a column has anything in the table's headings or data.
fn is_used(view: View<'_>, span: &Span, across: usize) -> bool {
    span.headings.iter().any(|&line| !view.text_through_merges(line, across).is_empty())
        || (span.data.0..span.data.1).any(|line| !view.text(line, across).is_empty())
}

/// The role that a heading of a wide or turned table speaks for.
pub(super) fn role_of_heading(parts: &[String]) -> Role {
    let said: Vec<&str> =
        parts.iter().map(String::as_str).filter(|part| !part.trim().is_empty()).collect();
    if said.is_empty() {
        return Role::Unknown;
    }
    if let Some(role) = said.iter().find_map(|part| attribute_role(part, &said)) {
        return role;
    }
    let is_beside =
        |part: &&str| matches!(long_column(part), Some(LongColumn::Beside | LongColumn::Limit));
    if said.iter().all(is_beside) {
        return Role::Ignore;
    }
    if said.iter().all(|part| long_column(part).is_some() && !is_beside(part)) {
        // "Analyte", "Unit", "Method" head the line of sample labels in a turned table.
        return Role::Attribute { attribute: Attribute::Label, unit: None };
    }
    naming::of_heading(&said).rule().map_or(Role::Unknown, Role::Analyte)
}

fn attribute_role(part: &str, said: &[&str]) -> Option<Role> {
    let (attribute, unit) = find_attribute(part)?;
    let beside = || {
        said.iter()
            .filter(|other| **other != part)
            .find_map(|other| length_unit(other.trim_matches(['(', ')', '[', ']', ' '])))
    };
    let unit = unit.or_else(beside).map(|unit| unit.symbol.to_owned());
    Some(Role::Attribute { attribute, unit })
}

/// The line of sample labels of a turned table often has no heading of its own.
fn label_of_turned(columns: &mut [ColumnRule]) {
    let is_label = |column: &ColumnRule| {
        matches!(column.role, Role::Attribute { attribute: Attribute::Label, .. })
    };
    if columns.iter().any(is_label) {
        return;
    }
    let first = columns.iter_mut().take(1).find(|column| column.role == Role::Unknown);
    if let Some(column) = first {
        column.role = Role::Attribute { attribute: Attribute::Label, unit: None };
    }
}

/// A sample has one label and one zone: a second column that claims the same is asked about.
fn one_column_each(columns: &mut [ColumnRule]) {
    let mut seen = Vec::new();
    for column in columns {
        if let Role::Attribute { attribute, .. } = column.role {
            if attribute != Attribute::Remark && seen.contains(&attribute) {
                column.role = Role::Unknown;
            }
            seen.push(attribute);
        }
    }
}

/// What the cells of one column of a long table look like.
#[derive(Debug, Default, Clone, Copy)]
struct Looks {
    filled: usize,
    names: usize,
    values: usize,
    units: usize,
    methods: usize,
}

fn looks(view: View<'_>, span: &Span, across: usize, words: &Vocabulary<'_>) -> Looks {
    let mut looks = Looks::default();
    for line in span.data.0..span.data.1.min(span.data.0 + LOOK_AT) {
        let text = view.text(line, across);
        if text.is_empty() {
            continue;
        }
        looks.filled += 1;
        if is_value(text) {
            looks.values += 1;
            continue;
        }
        let look = words.look(text);
        looks.names += usize::from(look.is_analyte);
        looks.units += usize::from(look.is_unit);
        looks.methods += usize::from(look.is_method);
    }
    looks
}

fn long_roles(
    view: View<'_>,
    span: &Span,
    parts: &[Vec<String>],
    words: &Vocabulary<'_>,
) -> Vec<ColumnRule> {
    let used: Vec<usize> =
        (span.across.0..span.across.1).filter(|&across| is_used(view, span, across)).collect();
    let seen: Vec<Looks> = used.iter().map(|&across| looks(view, span, across, words)).collect();
    let said: Vec<Option<(LongColumn, Option<&'static Unit>)>> = used
        .iter()
        .map(|&across| parts[across].first().and_then(|part| long_column_with_unit(part)))
        .collect();
    let is_said = |i: usize, column| said[i].is_some_and(|(said, _)| said == column);
    let all = || 0..used.len();
    let most = |count: fn(&Looks) -> usize, free: &dyn Fn(usize) -> bool| {
        all()
            .filter(|&i| free(i) && count(&seen[i]) > 0)
            .max_by_key(|&i| (count(&seen[i]), usize::MAX - i))
    };
    let name = all()
        .find(|&i| is_said(i, LongColumn::Name) && seen[i].names > 0)
        .or_else(|| most(|l| l.names, &|_| true));
    let value = all().find(|&i| is_said(i, LongColumn::Value) && Some(i) != name).or_else(|| {
        most(|l| l.values, &|i| {
            Some(i) != name && said[i].is_none() && attribute_of(parts, used[i]).is_none()
        })
    });
    let taken = |i: usize| Some(i) == name || Some(i) == value;
    let unit = all().find(|&i| is_said(i, LongColumn::Unit)).or_else(|| {
        most(|l| l.units, &|i| !taken(i) && said[i].is_none() && 2 * seen[i].units > seen[i].filled)
    });
    let method = all().find(|&i| is_said(i, LongColumn::Method)).or_else(|| {
        most(|l| l.methods, &|i| {
            !taken(i)
                && Some(i) != unit
                && said[i].is_none()
                && 2 * seen[i].methods > seen[i].filled
        })
    });
    let has_headings = !span.headings.is_empty();
    let mut labelled = false;
    let role = |i: usize| -> Role {
        if Some(i) == name {
            return Role::Name;
        }
        if Some(i) == value {
            let unit = said[i].and_then(|(_, unit)| unit).map(|unit| unit.symbol.to_owned());
            return Role::Value { unit };
        }
        if Some(i) == unit {
            return Role::Unit;
        }
        if Some(i) == method {
            return Role::Method;
        }
        if let Some(attribute) = attribute_of(parts, used[i]) {
            return attribute;
        }
        match said[i].map(|(column, _)| column) {
            Some(LongColumn::Sign) => Role::Sign,
            Some(LongColumn::Spread) => Role::Spread,
            Some(LongColumn::Limit) => Role::Limit,
            Some(LongColumn::Beside) => Role::Ignore,
            // The same analytes by their symbols or by other names.
            _ if 10 * seen[i].names >= 6 * seen[i].filled && seen[i].names > 0 => Role::Ignore,
            _ if !has_headings && !labelled && name.is_some_and(|name| i < name) => {
                labelled = true;
                Role::Attribute { attribute: Attribute::Label, unit: None }
            }
            _ => Role::Unknown,
        }
    };
    let roles: Vec<Role> = all().map(role).collect();
    used.iter()
        .zip(roles)
        .map(|(&across, role)| ColumnRule { heading: parts[across].clone(), role })
        .collect()
}

fn attribute_of(parts: &[Vec<String>], across: usize) -> Option<Role> {
    let said: Vec<&str> = parts[across].iter().map(String::as_str).collect();
    said.iter().find_map(|part| attribute_role(part, &said))
}

/// Labels of the first and last lines, where a row of limits, targets or averages stands if there
/// is one.
fn labels_at_the_ends<'a>(
    view: View<'a>,
    span: &Span,
    table: &TableMapping,
) -> impl Iterator<Item = &'a str> {
    const ENDS: usize = 20;
    let used: Vec<usize> =
        (span.across.0..span.across.1).filter(|&across| is_used(view, span, across)).collect();
    let labels: Vec<usize> = used
        .iter()
        .zip(&table.columns)
        .filter(|(_, column)| span.layout != Layout::Long && says_which_sample(&column.role))
        .map(|(&across, _)| across)
        .collect();
    let (start, end) = span.data;
    let first = start..end.min(start + ENDS);
    let last = end.saturating_sub(ENDS).max(first.end)..end;
    first.chain(last).filter_map(move |line| first_text(view, line, labels.iter().copied()))
}

/// Labels of the lines of a turned table that hold words beside the analytes and no number: symbols,
/// other names, the laboratory's remarks.
fn lines_of_words(
    view: View<'_>,
    span: &Span,
    table: &TableMapping,
    words: &Vocabulary<'_>,
) -> Vec<String> {
    const MOST_LINES: usize = 200;
    let used = (span.across.0..span.across.1).filter(|&across| is_used(view, span, across));
    let columns: Vec<(usize, &Role)> =
        used.zip(&table.columns).map(|(across, column)| (across, &column.role)).collect();
    let label = columns
        .iter()
        .find(|(_, role)| matches!(role, Role::Attribute { attribute: Attribute::Label, .. }));
    let (Layout::Turned, Some((label, _))) = (span.layout, label) else { return Vec::new() };
    let mut found = Vec::new();
    for line in span.base + 1..span.data.1.min(span.base + MOST_LINES) {
        let (mut filled, mut names, mut plain) = (0, 0, 0);
        for (across, _) in columns.iter().filter(|(_, role)| matches!(role, Role::Analyte(_))) {
            let text = view.text(line, *across);
            if !text.is_empty() {
                filled += 1;
                names += usize::from(words.look(text).is_analyte);
                plain += usize::from(is_plain_word(text));
            }
        }
        let is_of_words = filled > 0 && (plain == filled || 10 * names >= 6 * filled);
        if is_of_words && !view.text(line, *label).is_empty() {
            found.push(heading_key(&[view.text(line, *label)]));
        }
    }
    found
}

/// A word that is neither a number nor one of those that stand in for a number.
fn is_plain_word(text: &str) -> bool {
    let unknown = ColumnMark::Unknown { point_is_decimal: true };
    matches!(read_value(text, unknown), Err(Reason::NotANumber))
}

/// Whether a column's cells may carry a word in place of a sample's name.
pub(super) const fn says_which_sample(role: &Role) -> bool {
    matches!(
        role,
        Role::Attribute {
            attribute: Attribute::Label | Attribute::LaboratoryNumber | Attribute::Zone,
            ..
        }
    )
}

/// The first of some cells of a line that says anything.
pub(super) fn first_text(
    view: View<'_>,
    line: usize,
    mut across: impl Iterator<Item = usize>,
) -> Option<&str> {
    across.find_map(|across| Some(view.text(line, across)).filter(|text| !text.is_empty()))
}
