//! Lays the strips of a season line out under each other.

use super::lane::{Lane, ROW, look_of};
use super::table::{self, Entry, From};
use super::{Card, SeasonRows, Span, Stage, Track, What, rating};
use crate::canvas::{Anchor, Canvas};
use crate::figure::{DataTable, Figure};
use crate::legend::{self, Sample};
use crate::look::Look;
use crate::mark::Shape;
use crate::palette::Ink;
use crate::text::{self, Font};
use crate::time_axis::TimeAxis;
use crate::words::Words;
use std::collections::BTreeSet;

const HEADING: Font = Font::bold(14.0);
const LANE_NAME: Font = Font::plain(13.0);
const NOTE: Font = Font::plain(12.0);
/// Between two lanes.
const LANE_GAP: f64 = 9.0;
/// Between two strips.
const STRIP_GAP: f64 = 22.0;
/// The top row of the soil lane, where windows have their words.
const WINDOW_ROW: f64 = 17.0;

/// Which lanes there are, in any strip.
struct Lanes {
    has_soil: bool,
    has_put_down: bool,
    has_ratings: bool,
    has_seen: bool,
}

impl Lanes {
    fn of(rows: &SeasonRows) -> Self {
        let has = |is: fn(&What) -> bool| rows.events.iter().any(|event| is(&event.what));
        Self {
            has_soil: !rows.clear.is_empty() || has(is_soil),
            has_put_down: has(is_put_down),
            has_ratings: has(is_rating),
            has_seen: has(is_seen),
        }
    }
}

const fn is_soil(what: &What) -> bool {
    matches!(what, What::Sample(_) | What::Panel(_))
}

const fn is_put_down(what: &What) -> bool {
    matches!(what, What::Application | What::Planned)
}

const fn is_rating(what: &What) -> bool {
    matches!(what, What::Rating { .. })
}

const fn is_seen(what: &What) -> bool {
    matches!(what, What::Photo(_) | What::Note | What::SpotReading)
}

pub(super) fn paint(
    rows: &SeasonRows,
    entries: &[Entry<'_>],
    look: &Look,
    description: &str,
    table: DataTable,
) -> Figure {
    let mut canvas = Canvas::new(look);
    let lanes = Lanes::of(rows);
    let mut y = 2.0;
    let is_field = look.is_field();
    for (index, span) in rows.spans.iter().enumerate() {
        if index > 0 {
            y += STRIP_GAP;
        }
        let strip = Strip::new(rows, entries, span, look, canvas.width(), is_field);
        y = strip.paint(&mut canvas, &lanes, y);
    }
    let outside =
        entries.iter().filter(|entry| !rows.spans.iter().any(|span| reaches(entry, span))).count();
    if outside > 0 {
        y += 8.0;
        let note = format!("{}: {outside}", look.words.outside);
        for line in text::wrap(&note, NOTE, canvas.width(), 3) {
            canvas.text((0.0, y), Anchor::Start, &line, NOTE, Ink::Soft);
            y += NOTE.line_height();
        }
    }
    if entries.is_empty() {
        let nothing = text::fit(&look.words.nothing, NOTE, canvas.width());
        canvas.text((0.0, y + 8.0), Anchor::Start, &nothing, NOTE, Ink::Soft);
        y += 8.0 + NOTE.line_height();
    }
    y += 10.0;
    y += legend::draw(&mut canvas, y, &legend_entries(rows, &look.words));
    canvas.finish("season", &rows.title, description, y + 2.0, table)
}

/// Whether any part of an entry lies in a span.
fn reaches(entry: &Entry<'_>, span: &Span) -> bool {
    match entry.from {
        From::Clear(window) => {
            window.first <= span.last && window.last.is_none_or(|last| last >= span.first)
        }
        _ => span.holds(entry.date),
    }
}

fn legend_entries(rows: &SeasonRows, words: &Words) -> Vec<(Sample, String)> {
    let mut entries = Vec::new();
    let staged = |word: &str, stage: Stage| match stage {
        Stage::Before => format!("{word}, {}", words.before),
        Stage::After => format!("{word}, {}", words.after),
        Stage::Alone => word.to_owned(),
    };
    let stages = [Stage::Before, Stage::After, Stage::Alone];
    let mut kinds: Vec<(What, String)> = Vec::new();
    kinds.extend(stages.map(|stage| (What::Sample(stage), staged(&words.sample, stage))));
    kinds.extend(stages.map(|stage| (What::Panel(stage), staged(&words.panel, stage))));
    kinds.extend([
        (What::Application, words.application.clone()),
        (What::Planned, format!("{}, {}", words.application, words.planned)),
        (What::Photo(Card::Corrected), format!("{}, {}", words.photo, words.corrected)),
        (What::Photo(Card::Uncorrected), format!("{}, {}", words.photo, words.uncorrected)),
        (What::Note, words.note.clone()),
        (What::SpotReading, words.spot_reading.clone()),
    ]);
    for (kind, name) in kinds {
        if rows.events.iter().any(|event| event.what == kind) {
            let (_, shape, ink) = look_of(&kind);
            entries.push((Sample::Mark(shape, ink), name));
        }
    }
    if !rows.clear.is_empty() {
        entries.push((Sample::Band(Ink::Accent), words.clear.clone()));
    }
    entries.extend(rated_lines(rows, words));
    entries
}

/// The legend of the ratings: a track each, and each rater's line when there are several.
fn rated_lines(rows: &SeasonRows, words: &Words) -> Vec<(Sample, String)> {
    const MOST: usize = 12;
    let raters = rating::raters(rows);
    let lines: BTreeSet<(Track, &str)> = rows
        .events
        .iter()
        .filter_map(|event| match &event.what {
            What::Rating { track, rater, .. } => Some((*track, rater.as_str())),
            _ => None,
        })
        .collect();
    let entry = |(track, rater): (Track, &str)| {
        let name = format!("{}, {}", words.rated, table::track(track, words));
        if raters.len() > 1 && !rater.is_empty() {
            let dash = rating::dash_of(&raters, rater);
            return (Sample::Track(track, dash), format!("{name}, {rater}"));
        }
        let shape = if track == Track::Control { Shape::SquareDot } else { Shape::Dot };
        (Sample::Mark(shape, rating::ink_of(track)), name)
    };
    lines.into_iter().take(MOST).map(entry).collect()
}

/// One season's part of the figure.
pub(super) struct Strip<'r, 'a> {
    pub(super) rows: &'r SeasonRows,
    /// Entries that lie in the span, with their numbers in the table.
    pub(super) entries: Vec<(usize, &'r Entry<'a>)>,
    pub(super) span: &'r Span,
    pub(super) words: &'r Words,
    pub(super) axis: TimeAxis,
    /// The right end of the room for words.
    pub(super) edge: f64,
    is_field: bool,
}

impl<'r, 'a> Strip<'r, 'a> {
    fn new(
        rows: &'r SeasonRows,
        entries: &'r [Entry<'a>],
        span: &'r Span,
        look: &'r Look,
        width: f64,
        is_field: bool,
    ) -> Self {
        let words = &look.words;
        let names = [&words.soil, &words.put_down, &words.rating, &words.seen];
        let widest = names.iter().map(|name| text::width(name, LANE_NAME)).fold(0.0, f64::max);
        let gutter = if is_field { 16.0 } else { (widest + 26.0).min(width * 0.25) };
        let axis = TimeAxis::new(span, gutter, width - 8.0);
        let entries =
            entries.iter().enumerate().filter(|(_, entry)| reaches(entry, span)).collect();
        Self { rows, entries, span, words, axis, edge: width, is_field }
    }

    fn of_kind(&self, is: fn(&What) -> bool) -> Vec<(usize, &'r Entry<'a>)> {
        let events = self
            .entries
            .iter()
            .filter(|(_, entry)| matches!(entry.from, From::Event(event) if is(&event.what)));
        events.copied().collect()
    }

    fn paint(&self, canvas: &mut Canvas<'_>, lanes: &Lanes, y: f64) -> f64 {
        let mut top = y;
        if self.rows.spans.len() > 1 {
            let room = if self.is_field { self.edge } else { self.axis.from - 6.0 };
            let name = text::fit(&self.span.name, HEADING, room);
            canvas.text((0.0, top), Anchor::Start, &name, HEADING, Ink::Text);
            if self.is_field {
                top += HEADING.line_height();
            }
        }
        // Grid and bands lie under everything, so heights come first.
        let fences: Vec<f64> =
            self.flag_days().iter().map(|flag| self.axis.at(flag.date)).collect();
        let pack = |is| Lane::pack(self.of_kind(is), &self.axis, self.edge, &fences);
        let (soil, put_down, seen) = (pack(is_soil), pack(is_put_down), pack(is_seen));
        let head = self.axis.head(canvas, self.words, top);
        let flags_end = head + self.flags_height();
        let is_clear = |(_, entry): &(usize, &Entry<'_>)| matches!(entry.from, From::Clear(_));
        let window_row = if self.entries.iter().any(is_clear) { WINDOW_ROW } else { 0.0 };
        let rating_height = if self.is_field { 66.0 } else { 78.0 };
        let heights = [
            (lanes.has_soil, soil.height() + window_row),
            (lanes.has_put_down, put_down.height()),
            (lanes.has_ratings, rating_height),
            (lanes.has_seen, seen.height()),
        ];
        let name_row = if self.is_field { 18.0 } else { 0.0 };
        let mut ends = flags_end + 4.0;
        let tops = heights.map(|(is_there, height)| {
            let top = ends + name_row;
            if is_there {
                ends = top + height + LANE_GAP;
            }
            top
        });
        let end = ends - LANE_GAP + 4.0;
        self.axis.grid(canvas, self.words, top, head, end);
        let soil_rect = (tops[0], heights[0].1);
        if lanes.has_soil {
            self.windows(canvas, soil_rect, &fences);
        }
        self.flags(canvas, head, end);
        let names = [&self.words.soil, &self.words.put_down, &self.words.rating, &self.words.seen];
        for (((is_there, _), top), (index, name)) in
            heights.iter().zip(tops).zip(names.iter().enumerate())
        {
            if *is_there {
                let offset = if index == 0 { window_row } else { 0.0 };
                self.lane_name(canvas, name, top, offset);
            }
        }
        if lanes.has_soil {
            soil.paint(canvas, tops[0] + window_row, self.words);
        }
        if lanes.has_put_down {
            put_down.paint(canvas, tops[1], self.words);
        }
        if lanes.has_ratings {
            let ratings = self.of_kind(is_rating);
            let raters = rating::raters(self.rows);
            rating::paint(
                canvas,
                &ratings,
                &self.axis,
                tops[2],
                rating_height,
                &raters,
                self.words,
            );
        }
        if lanes.has_seen {
            seen.paint(canvas, tops[3], self.words);
        }
        end
    }

    /// The lane's name: at its left in the office, over it in the field.
    fn lane_name(&self, canvas: &mut Canvas<'_>, name: &str, top: f64, offset: f64) {
        if self.is_field {
            let name = text::fit(name, LANE_NAME, self.edge);
            canvas.halo_text((0.0, top - 18.0), Anchor::Start, &name, LANE_NAME, Ink::Text);
        } else {
            let name = text::fit(name, LANE_NAME, self.axis.from - 24.0);
            let y = top + offset + (ROW - LANE_NAME.box_height()) / 2.0;
            canvas.text((0.0, y), Anchor::Start, &name, LANE_NAME, Ink::Text);
        }
    }
}
