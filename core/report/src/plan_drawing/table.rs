//! What a plan drawing says in words: zones, strips, cores, photo spots, in that order.

use super::{CoreFate, CorePoint, Extent, PhotoSpot, PlanRows, Spot, StripShape, Track, ZoneShape};
use crate::figure::DataTable;
use crate::words::Words;

/// Zones named in the description; the table has them all.
const NAMED: usize = 12;

pub(super) fn zone(zone: &ZoneShape, words: &Words) -> String {
    let state = match zone.extent {
        Extent::Outline { .. } => "",
        Extent::Area { .. } => words.only_area.as_str(),
    };
    join(&format!("{} {}", words.zone, zone.name), &[&zone.detail, state])
}

pub(super) fn strip(strip: &StripShape, words: &Words) -> String {
    join(&format!("{} {}", words.strip, strip.name), &[role(strip.role, words)])
}

pub(super) fn core(core: &CorePoint, words: &Words) -> String {
    let (state, reason) = fate(&core.fate, words);
    join(&format!("{} {}", words.core, core.label), &[state, reason])
}

pub(super) fn photo(photo: &PhotoSpot, words: &Words) -> String {
    join(&format!("{} {}", words.photo, photo.label), &[&facing(photo, words)])
}

/// "core 3: set aside, imported sand".
fn join(name: &str, more: &[&str]) -> String {
    let more: Vec<&str> = more.iter().copied().filter(|text| !text.is_empty()).collect();
    if more.is_empty() {
        name.trim_end().to_owned()
    } else {
        format!("{}: {}", name.trim_end(), more.join(", "))
    }
}

pub(super) fn role(role: Track, words: &Words) -> &str {
    match role {
        Track::Whole => &words.whole,
        Track::Treated => &words.treated,
        Track::Control => &words.control,
    }
}

fn fate<'a>(fate: &'a CoreFate, words: &'a Words) -> (&'a str, &'a str) {
    match fate {
        CoreFate::Planned => (&words.planned, ""),
        CoreFate::Kept => (&words.kept, ""),
        CoreFate::SetAside { reason } => (&words.set_aside, reason),
    }
}

fn facing(photo: &PhotoSpot, words: &Words) -> String {
    photo.facing.map_or_else(String::new, |bearing| {
        format!("{} {}\u{b0}", words.facing, words.number(bearing.rem_euclid(360.0).round()))
    })
}

fn place(spot: Spot, words: &Words) -> String {
    let far = |metres: f64| words.number((metres / words.length_unit.metres * 10.0).round() / 10.0);
    format!("{}; {}", far(spot.east), far(spot.north))
}

pub(super) fn table(rows: &PlanRows, words: &Words) -> DataTable {
    let mut cells: Vec<[String; 5]> = Vec::new();
    for zone in &rows.zones {
        let (state, at) = match &zone.extent {
            Extent::Outline { outer, .. } => (String::new(), place(outer[0], words)),
            Extent::Area { .. } => (words.only_area.clone(), String::new()),
        };
        cells.push([words.zone.clone(), zone.name.clone(), state, zone.detail.clone(), at]);
    }
    for strip in &rows.strips {
        let (state, at) = (role(strip.role, words).to_owned(), place(strip.outline[0], words));
        cells.push([words.strip.clone(), strip.name.clone(), state, String::new(), at]);
    }
    for core in &rows.cores {
        let (state, reason) = fate(&core.fate, words);
        let (state, reason) = (state.to_owned(), reason.to_owned());
        cells.push([words.core.clone(), core.label.clone(), state, reason, place(core.at, words)]);
    }
    for photo in &rows.photos {
        let (facing, at) = (facing(photo, words), place(photo.at, words));
        cells.push([words.photo.clone(), photo.label.clone(), String::new(), facing, at]);
    }
    DataTable {
        caption: rows.title.clone(),
        headings: [&words.kind, &words.name, &words.state, &words.detail, &words.place]
            .map(Clone::clone)
            .to_vec(),
        rows: cells.into_iter().map(|row| row.to_vec()).collect(),
    }
}

pub(super) fn description(rows: &PlanRows, words: &Words) -> String {
    let mut sentences: Vec<String> =
        rows.zones.iter().take(NAMED).map(|row| format!("{}.", zone(row, words))).collect();
    if rows.zones.len() > NAMED {
        sentences.push(format!("{}.", words.rest_in_table));
    }
    let strips = |role| rows.strips.iter().filter(|strip| strip.role == role).count();
    let cores = |is: fn(&CoreFate) -> bool| rows.cores.iter().filter(|c| is(&c.fate)).count();
    let counts = [
        (format!("{}, {}", words.strip, words.treated), strips(Track::Treated)),
        (format!("{}, {}", words.strip, words.control), strips(Track::Control)),
        (format!("{}, {}", words.core, words.planned), cores(|f| matches!(f, CoreFate::Planned))),
        (format!("{}, {}", words.core, words.kept), cores(|f| matches!(f, CoreFate::Kept))),
        (
            format!("{}, {}", words.core, words.set_aside),
            cores(|f| matches!(f, CoreFate::SetAside { .. })),
        ),
        (words.photo.clone(), rows.photos.len()),
    ];
    for (name, count) in counts {
        if count > 0 {
            sentences.push(format!("{name}: {count}."));
        }
    }
    sentences.join(" ")
}
