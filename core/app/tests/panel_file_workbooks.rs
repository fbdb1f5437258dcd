//! XLSX workbooks: dates, formulas, merged cells, several sheets and damage.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod packed;

use packed::{Sheet, rows, workbook};
use swardbook_app::panel_file::{
    Imported, Note, PanelFileError, Sheets, apply, decode_bytes, propose,
};

fn import(sheets: &[Sheet<'_>]) -> (Sheets, Imported) {
    let sheets = decode_bytes(&workbook(sheets), "panel.xlsx").unwrap();
    let imported = apply(&sheets, &propose(&sheets).unwrap());
    let c = imported.count;
    let filled: usize = sheets.grids.iter().map(|grid| grid.filled()).sum();
    assert_eq!(
        c.headings + c.attributes + c.readings + c.unread + c.ignored,
        filled,
        "every cell is accounted for: {c:?}"
    );
    (sheets, imported)
}

fn readings(imported: &Imported) -> Vec<String> {
    let mut lines = Vec::new();
    for sample in &imported.samples {
        let label = sample.attributes.label.as_deref().unwrap_or("?");
        for r in &sample.readings {
            let (analyte, method, unit) = (&r.analyte.id, &r.method.id, r.unit.symbol);
            lines.push(format!("{label}: {analyte} {method} {} {unit}", r.value));
        }
    }
    for unread in &imported.unread {
        let sheet = &imported.sheets[usize::from(unread.place.sheet)];
        lines.push(format!("! {sheet} {}: {}", unread.place.cell(), unread.reason));
    }
    lines
}

#[test]
fn numbers_dates_formulas_and_errors() {
    let cells = rows(&[
        &["Sample", "Sampled", "pH 1:5 water", "P Olsen mg/kg", "K Colwell mg/kg", "Zn DTPA mg/kg"],
        &["Front verge", "@46279", "#6.2", "=D9*2=12.5", "=E9*2", "!#N/A"],
    ]);
    let (_, imported) = import(&[("Results", &cells, &[])]);
    assert_eq!(
        readings(&imported),
        [
            "Front verge: ph-water water-1-5 6.2 pH",
            "Front verge: p olsen 12.5 mg/kg",
            "! Results E2: a formula saved without its result",
            "! Results F2: a spreadsheet error",
        ],
        "stored results are read, missing ones are said"
    );
    let day = imported.samples[0].attributes.sampled.unwrap();
    // Day 46279 of the 1900 date system, by LibreOffice's own conversion rule: 1899-12-30 + 46279.
    assert_eq!(day.to_string(), "2026-09-14", "a serial day");
    assert!(
        imported.notes.contains(&Note::Formulas { sheet: 0, count: 1 }),
        "the formula is noted"
    );
    assert!(imported.unread[0].reason.remedy().contains("save it"), "with a remedy");
}

#[test]
fn merged_headings_labels_and_readings() {
    let cells = rows(&[
        &["Sample", "Mehlich-3", "", "DTPA"],
        &["", "P", "K", "Zn"],
        &["", "mg/kg", "", "mg/kg"],
        &["Front verge", "#12", "#88", "#1.1"],
        &["", "#13", "#89", ""],
        &["Back terrace", "#9", "#70", ""],
    ]);
    let merged = ["A1:A3", "B1:C1", "B3:C3", "A4:A5", "D4:D6"];
    let (_, imported) = import(&[("Results", &cells, &merged)]);
    assert_eq!(
        readings(&imported),
        [
            "Front verge: p mehlich-3 12 mg/kg",
            "Front verge: k mehlich-3 88 mg/kg",
            "Front verge: p mehlich-3 13 mg/kg",
            "Front verge: k mehlich-3 89 mg/kg",
            "Back terrace: p mehlich-3 9 mg/kg",
            "Back terrace: k mehlich-3 70 mg/kg",
            "! Results D4: one value merged over several cells",
        ],
        "a merged heading holds for all below, a merged reading for none"
    );
}

#[test]
fn headings_of_samples_may_stand_higher_than_those_of_analytes() {
    let cells = rows(&[
        &["Fenwhistle Laboratory"][..],
        &[],
        &["Sample", "Date sampled", "Mehlich-3", "", "DTPA", "Notes"],
        &["", "", "P", "K", "Zn", ""],
        &["", "", "mg/kg", "mg/kg", "mg/kg", ""],
        &["Front verge", "@46279", "#12.5", "#88", "#1.1", "wet"],
        &["Back terrace", "2026-09-15", "<5", "#91", "=E6*2", ""],
    ]);
    let (_, imported) = import(&[("Results", &cells, &["A1:F1", "C3:D3"])]);
    assert_eq!(
        readings(&imported),
        [
            "Front verge: p mehlich-3 12.5 mg/kg",
            "Front verge: k mehlich-3 88 mg/kg",
            "Front verge: zn dtpa 1.1 mg/kg",
            "Back terrace: p mehlich-3 5 mg/kg",
            "Back terrace: k mehlich-3 91 mg/kg",
            "! Results A1: outside the table of readings",
            "! Results E7: a formula saved without its result",
        ],
        "two rows make one heading"
    );
    assert_eq!(imported.unread[1].text, "=E6*2", "the formula itself is shown");
    assert_eq!(imported.samples[0].attributes.remarks.as_deref(), Some("wet"), "remarks");
}

#[test]
fn several_sheets_of_samples() {
    let front = rows(&[&["Test", "Method", "Result", "Unit"], &["P", "Olsen", "#12", "mg/kg"]]);
    let back = rows(&[&["Test", "Method", "Result", "Unit"], &["P", "Olsen", "#9", "mg/kg"]]);
    let cover = rows(&[&["Fenwhistle Laboratory"], &["Thank you for your samples"]]);
    let (_, imported) =
        import(&[("Cover", &cover, &[]), ("Front", &front, &[]), ("Back", &back, &[])]);
    assert_eq!(
        readings(&imported),
        [
            "Front: p olsen 12 mg/kg",
            "Back: p olsen 9 mg/kg",
            "! Cover A1: no table of readings on this sheet",
            "! Cover A2: no table of readings on this sheet",
        ],
        "each sheet is a sample when nothing else names it"
    );
    assert!(imported.notes.contains(&Note::NamedAfterSheet { sheet: 1 }), "and that is said");
}

#[test]
fn a_cell_at_the_end_of_the_sheet_does_not_fill_the_memory() {
    let far = "<row r=\"1\"><c r=\"A1\"><v>1</v></c></row><row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row>";
    match decode_bytes(&workbook(&[("Far", far, &[])]), "far.xlsx") {
        Err(PanelFileError::TooMany { what: "rows", sheet, .. }) => assert_eq!(sheet, "sheet Far"),
        other => panic!("{other:?}"),
    }
    // Formatted empty cells down there are no cells.
    let empty = "<row r=\"1\"><c r=\"A1\"><v>1</v></c></row><row r=\"1048576\"><c r=\"A1048576\" s=\"1\"/></row>";
    let sheets = decode_bytes(&workbook(&[("Near", empty, &[])]), "near.xlsx").unwrap();
    assert_eq!(sheets.grids[0].height(), 1, "the table ends with its last filled cell");
}

#[test]
fn a_damaged_workbook_is_refused_with_a_remedy() {
    let whole =
        workbook(&[("Results", &rows(&[&["Sample", "P Olsen mg/kg"], &["A", "#12"]]), &[])]);
    let mut refused = 0;
    for cut in (0..whole.len()).step_by(37).skip(1) {
        match decode_bytes(&whole[..cut], "cut.xlsx") {
            Err(error) => {
                refused += 1;
                let said = error.to_string();
                assert!(said.starts_with("cut.xlsx: ") && said.contains(';'), "{said}");
            }
            Ok(_) => panic!("a workbook cut at byte {cut} of {} was read", whole.len()),
        }
    }
    assert!(refused > 10, "the cuts were tried");
}

#[test]
fn a_workbook_that_unpacks_into_gigabytes_is_refused_by_its_directory() {
    let mut bytes = workbook(&[("Results", &rows(&[&["A"]]), &[])]);
    let directory = bytes.windows(4).position(|w| w == b"PK\x01\x02").unwrap();
    bytes[directory + 24..directory + 28].copy_from_slice(&2_000_000_000_u32.to_le_bytes());
    match decode_bytes(&bytes, "bomb.xlsx") {
        Err(PanelFileError::TooLarge { megabytes, .. }) => {
            assert!(megabytes >= 2_000, "{megabytes}");
        }
        other => panic!("{other:?}"),
    }
}
