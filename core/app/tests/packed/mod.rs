//! Packs small workbooks.

use std::io::Write;

use zip::write::SimpleFileOptions;

/// One sheet: its name, its rows as spreadsheet XML, its merged ranges.
pub(crate) type Sheet<'a> = (&'a str, &'a str, &'a [&'a str]);

/// Packs the least that is a workbook by ECMA-376 part 1 (`SpreadsheetML`).
pub(crate) fn workbook(sheets: &[Sheet<'_>]) -> Vec<u8> {
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
pub(crate) fn rows<T: AsRef<str>>(cells: &[impl AsRef<[T]>]) -> String {
    let mut xml = String::new();
    for (row, cells) in cells.iter().enumerate() {
        xml += &format!("<row r=\"{}\">", row + 1);
        for (column, cell) in (b'A'..).zip(cells.as_ref().iter().map(AsRef::as_ref)) {
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
