//! What an import found, as lines to compare, and the law that every cell is accounted for.

#![allow(dead_code, unreachable_pub, reason = "each test takes what it needs")]

use std::path::Path;

use swardbook_agronomy::reading::Qualifier;
use swardbook_app::panel_file::{Ask, Imported, Sheets, apply, open, propose};

/// The law of completeness: every filled cell is read, listed as unread, or left out by a rule.
pub fn check_account(sheets: &Sheets, imported: &Imported) {
    let count = imported.count;
    let filled: usize = sheets.grids.iter().map(|grid| grid.filled()).sum();
    assert_eq!(count.filled, filled, "every filled cell is counted");
    let parts = count.headings + count.attributes + count.readings + count.unread + count.ignored;
    assert_eq!(parts, filled, "the parts add up: {count:?}");
    assert_eq!(count.unread, imported.unread.len(), "every unread cell is listed");
    let ignored: usize = imported.ignored.iter().map(|ignored| ignored.cells).sum();
    assert_eq!(count.ignored, ignored, "every cell left out is listed under its rule");
    for unread in &imported.unread {
        let grid = &sheets.grids[usize::from(unread.place.sheet)];
        let (row, column) = (unread.place.row as usize - 1, unread.place.column as usize - 1);
        assert_eq!(grid.text(row, column), unread.text, "an unread cell is where it says");
    }
}

/// One line a sample and one a reading, as short as a reader can stand.
pub fn shown(imported: &Imported) -> Vec<String> {
    let mut lines = Vec::new();
    for sample in &imported.samples {
        let a = &sample.attributes;
        let mut line = vec![a.label.clone().unwrap_or_else(|| "?".to_owned())];
        let tenths = |mm: f64| (mm * 10.0).round() / 10.0;
        let depth = |mm: Option<f64>| mm.map_or("?".to_owned(), |mm| tenths(mm).to_string());
        if a.depth_to_mm.is_some() || a.depth_from_mm.is_some() {
            line.push(format!("{}-{} mm", depth(a.depth_from_mm), depth(a.depth_to_mm)));
        }
        line.extend(a.laboratory_number.iter().map(|number| format!("no {number}")));
        line.extend(a.zone.iter().map(|zone| format!("zone {zone}")));
        line.extend(a.property.iter().map(|property| format!("property {property}")));
        line.extend(a.sampled.iter().map(|date| format!("sampled {date}")));
        line.extend(a.received.iter().map(|date| format!("received {date}")));
        line.extend(a.remarks.iter().map(|remarks| format!("\"{remarks}\"")));
        lines.push(line.join(", "));
        for r in &sample.readings {
            let sign = match r.qualifier {
                Qualifier::Exact => "",
                Qualifier::Below => "<",
                Qualifier::Above => ">",
            };
            let form = r.form.map_or(String::new(), |form| format!(" as {}", form.formula));
            let mark = r.mark().map_or(String::new(), |mark| format!(" {mark}"));
            let spread = r.plus_minus().map_or(String::new(), |p| format!(" \u{b1} {p}"));
            let (analyte, method) = (&r.analyte.id, &r.method.id);
            let (value, unit) = (r.value, r.unit.symbol);
            let line = format!("  {analyte} {method}{form} {sign}{value} {unit}{spread}{mark}");
            lines.push(line.trim_end().to_owned());
        }
    }
    for unread in &imported.unread {
        lines.push(format!("! {} {:?}: {}", unread.place.cell(), unread.text, unread.reason));
    }
    for ignored in &imported.ignored {
        lines.push(format!("- {} x{}", ignored.heading, ignored.cells));
    }
    for question in &imported.questions {
        let asked = match question.ask {
            Ask::Heading => "what is",
            Ask::Method { .. } => "method of",
            Ask::Unit { .. } => "unit of",
            Ask::Analyte => "which analyte is",
            Ask::Decimal => "decimal mark in",
            Ask::DateOrder => "day or month first in",
            Ask::DepthUnit => "unit of depth",
        };
        lines.push(format!("? {asked} {}", question.written));
    }
    lines
}

/// Reads every panel file of a folder, compares it with its companion and says how many there are.
///
/// A companion says what the file holds, line by line, or how it is refused.
pub fn check_folder(folder: &Path) -> usize {
    let mut files = 0;
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let is_dot_file = path.file_name().unwrap().to_string_lossy().starts_with('.');
        let ending = path.extension().unwrap_or_default().to_string_lossy().into_owned();
        if is_dot_file || !["csv", "tsv", "txt", "xlsx"].contains(&ending.as_str()) {
            continue;
        }
        files += 1;
        let found = match open(&path).and_then(|sheets| Ok((propose(&sheets)?, sheets))) {
            Ok((mapping, sheets)) => {
                let imported = apply(&sheets, &mapping);
                check_account(&sheets, &imported);
                shown(&imported).join("\n")
            }
            Err(refusal) => format!("refused: {refusal}"),
        };
        let companion = path.with_extension("expected");
        let expected = std::fs::read_to_string(&companion).unwrap_or_else(|e| e.to_string());
        if found != expected.trim_end() {
            wrong.push(format!("{} is read as\n{found}\n", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    files
}
