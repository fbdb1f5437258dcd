//! XLSX workbooks: dates, formulas, merged cells, several sheets and damage.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::io::Write;

use swardbook_app::panel_file::{
    Imported, Note, PanelFileError, Sheets, apply, decode_bytes, propose,
};
use zip::write::SimpleFileOptions;

/// One sheet: its name, its rows as spreadsheet XML, its merged ranges.
type Sheet<'a> = (&'a str, &'a str, &'a [&'a str]);

/// Packs the least that is a workbook by ECMA-376 part 1 (`SpreadsheetML`).
fn workbook(sheets: &[Sheet<'_>]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let mut part = |name: &str, content: String| {
        zip.start_file(name, SimpleFileOptions::default()).unwrap();
        zip.write_all(content.as_bytes()).unwrap();
    };
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let content = "application/vnd.openxmlformats-officedocument.spreadsheetml";
    part(
        "[Content_Types].xml",
        format!(
            "<Types xmlns=\"{package}/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/><Override PartName=\"/xl/workbook.xml\" ContentType=\"{content}.sheet.main+xml\"/></Types>"
        ),
    );
    part(
        "_rels/.rels",
        format!(
            "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"r\" Type=\"{relations}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
        ),
    );
    let (mut names, mut targets) = (String::new(), String::new());
    for (at, (name, rows, merged)) in sheets.iter().enumerate() {
        let id = at + 1;
        names += &format!("<sheet name=\"{name}\" sheetId=\"{id}\" r:id=\"s{id}\"/>");
        targets += &format!(
            "<Relationship Id=\"s{id}\" Type=\"{relations}/worksheet\" Target=\"worksheets/sheet{id}.xml\"/>"
        );
        let ranges: String =
            merged.iter().map(|range| format!("<mergeCell ref=\"{range}\"/>")).collect();
        let merges =
            if ranges.is_empty() { ranges } else { format!("<mergeCells>{ranges}</mergeCells>") };
        part(
            &format!("xl/worksheets/sheet{id}.xml"),
            format!(
                "<worksheet xmlns=\"{main}\"><sheetData>{rows}</sheetData>{merges}</worksheet>"
            ),
        );
    }
    part(
        "xl/workbook.xml",
        format!(
            "<workbook xmlns=\"{main}\" xmlns:r=\"{relations}\"><sheets>{names}</sheets></workbook>"
        ),
    );
    targets +=
        &format!("<Relationship Id=\"styles\" Type=\"{relations}/styles\" Target=\"styles.xml\"/>");
    part(
        "xl/_rels/workbook.xml.rels",
        format!("<Relationships xmlns=\"{package}/relationships\">{targets}</Relationships>"),
    );
    // Style 1 is the built-in date format 14 (ECMA-376 part 1, 18.8.30).
    part(
        "xl/styles.xml",
        format!(
            "<styleSheet xmlns=\"{main}\"><cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/></cellXfs></styleSheet>"
        ),
    );
    zip.finish().unwrap().into_inner()
}

/// Rows of cells: text, `#5.5` for a number, `@46279` for a day, `=f` for a formula without and
/// `=f=3` for one with its result, `!#N/A` for an error.
fn rows(cells: &[&[&str]]) -> String {
    let mut xml = String::new();
    for (row, cells) in cells.iter().enumerate() {
        xml += &format!("<row r=\"{}\">", row + 1);
        for (column, cell) in (b'A'..).zip(cells.iter()) {
            let place = format!("{}{}", char::from(column), row + 1);
            let rest = cell.get(1..).unwrap_or_default();
            xml += &match cell.chars().next() {
                None => continue,
                Some('#') => format!("<c r=\"{place}\"><v>{rest}</v></c>"),
                Some('@') => format!("<c r=\"{place}\" s=\"1\"><v>{rest}</v></c>"),
                Some('!') => format!("<c r=\"{place}\" t=\"e\"><v>{rest}</v></c>"),
                Some('=') => match rest.split_once('=') {
                    Some((formula, result)) => {
                        format!("<c r=\"{place}\"><f>{formula}</f><v>{result}</v></c>")
                    }
                    None => format!("<c r=\"{place}\"><f>{rest}</f><v></v></c>"),
                },
                Some(_) => format!(
                    "<c r=\"{place}\" t=\"inlineStr\"><is><t>{}</t></is></c>",
                    cell.replace('&', "&amp;").replace('<', "&lt;")
                ),
            };
        }
        xml += "</row>";
    }
    xml
}

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
