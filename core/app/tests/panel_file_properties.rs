//! Whatever is written in any layout, mark and encoding is read back; whatever cannot be read is
//! accounted for.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod packed;

use proptest::prelude::*;
use swardbook_agronomy::reading::Qualifier;
use swardbook_app::panel_file::{
    Imported, Mapping, Reason, Sheets, apply, decode_bytes, paste, propose,
};

/// Headings that name analyte, method and unit, and the keys they stand for.
const COLUMNS: &[(&str, &str, &str, &str, &str)] = &[
    ("pH", "1:5 water", "", "ph-water", "water-1-5"),
    ("pH", "1:5 CaCl2", "", "ph-cacl2", "cacl2-1-5"),
    ("EC", "1:5", "dS/m", "ec", "water-1-5"),
    ("P", "Mehlich-3", "mg/kg", "p", "mehlich-3"),
    ("P", "Olsen", "mg/kg", "p", "olsen"),
    ("Potassium", "Colwell", "mg/kg", "k", "colwell"),
    ("K2O", "Mehlich-3", "mg/kg", "k", "mehlich-3"),
    ("Calcium", "Exchangeable", "cmol/kg", "ca", "exchangeable"),
    ("Mg", "Mehlich-3", "mg/kg", "mg", "mehlich-3"),
    ("Zinc", "DTPA", "mg/kg", "zn", "dtpa"),
    ("S", "KCl-40", "mg/kg", "s", "kcl-40"),
];

#[derive(Debug, Clone, Copy, PartialEq)]
enum Lie {
    Long,
    Wide,
    WideInRows,
    Turned,
}

#[derive(Debug, Clone)]
struct Written {
    lie: Lie,
    columns: Vec<usize>,
    labels: Vec<String>,
    /// Thousandths, and the sign before them; none is a cell left empty.
    values: Vec<Vec<Option<(u32, Qualifier)>>>,
    delimiter: char,
    comma: bool,
    thousands: bool,
    encoding: u8,
    crlf: bool,
    title: bool,
    units_in_cells: bool,
}

fn written() -> impl Strategy<Value = Written> {
    let lies =
        prop_oneof![Just(Lie::Long), Just(Lie::Wide), Just(Lie::WideInRows), Just(Lie::Turned)];
    let columns = proptest::sample::subsequence((0..COLUMNS.len()).collect::<Vec<_>>(), 2..8);
    let columns = columns.prop_shuffle();
    let label =
        "(Front verge|Back terrace|Nature-strip|Green surrounds|Kettle Bend \u{e9}) [1-9][0-9]?";
    let labels = proptest::collection::btree_set(label, 2..6);
    (lies, columns, labels).prop_flat_map(|(lie, columns, labels)| {
        let sign = prop_oneof![
            8 => Just(Qualifier::Exact),
            1 => Just(Qualifier::Below),
            1 => Just(Qualifier::Above)
        ];
        let value = proptest::option::weighted(0.9, (1_u32..9_999_999, sign));
        let line = proptest::collection::vec(value, columns.len());
        let values = proptest::collection::vec(line, labels.len());
        let looks = (
            proptest::sample::select(vec![',', ';', '\t', '|']),
            any::<bool>(),
            any::<bool>(),
            0_u8..4,
            any::<bool>(),
            any::<bool>(),
            any::<bool>(),
        );
        (Just(lie), Just(columns), Just(labels.into_iter().collect::<Vec<_>>()), values, looks)
            .prop_map(|(lie, columns, labels, mut values, looks)| {
                // One cell that shows the decimal mark, and no sample or analyte left empty.
                values[0].iter_mut().for_each(|v| *v = v.or(Some((1_500, Qualifier::Exact))));
                values
                    .iter_mut()
                    .for_each(|line| line[0] = line[0].or(Some((2_000, Qualifier::Exact))));
                values[0][0] = Some((6_200, Qualifier::Exact));
                let (delimiter, comma, thousands, encoding, crlf, title, units_in_cells) = looks;
                Written {
                    lie,
                    columns,
                    labels,
                    values,
                    delimiter,
                    comma,
                    thousands,
                    encoding,
                    crlf,
                    title,
                    units_in_cells,
                }
            })
    })
}

impl Written {
    /// A number with its decimals, and groups of thousands when they are used.
    fn number(&self, thousandths: u32) -> String {
        let (mark, group) = if self.comma { (',', '.') } else { ('.', ',') };
        let whole = (thousandths / 1000).to_string();
        let grouped: String = whole
            .char_indices()
            .flat_map(|(at, digit)| {
                let starts_group = self.thousands && at > 0 && (whole.len() - at).is_multiple_of(3);
                starts_group.then_some(group).into_iter().chain([digit])
            })
            .collect();
        let decimals = format!("{:03}", thousandths % 1000);
        match decimals.trim_end_matches('0') {
            "" => grouped,
            decimals => format!("{grouped}{mark}{decimals}"),
        }
    }

    fn cell(&self, column: usize, value: Option<(u32, Qualifier)>) -> String {
        let Some((thousandths, sign)) = value else { return String::new() };
        let unit = COLUMNS[column].2;
        let unit = if self.units_in_cells && !unit.is_empty() {
            format!(" {unit}")
        } else {
            String::new()
        };
        format!("{}{}{unit}", sign.sign(), self.number(thousandths))
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let text = |words: &[&str]| words.iter().map(|&word| word.to_owned()).collect::<Vec<_>>();
        let unit = |at: usize| if self.units_in_cells { "" } else { COLUMNS[at].2 };
        let whole = |at: usize| {
            let (name, method, ..) = COLUMNS[at];
            let unit = unit(at);
            if unit.is_empty() {
                format!("{name} ({method})")
            } else {
                format!("{name} ({method}) {unit}")
            }
        };
        let mut rows = Vec::new();
        if self.title {
            rows.push(text(&["Results of the Fenwhistle Laboratory"]));
            rows.push(Vec::new());
        }
        let lines = || self.labels.iter().zip(&self.values);
        match self.lie {
            Lie::Long => {
                rows.push(text(&["Sample", "Analyte", "Method", "Result", "Unit"]));
                for (label, values) in lines() {
                    for (&at, &value) in self.columns.iter().zip(values) {
                        let cell = self.cell(at, value);
                        rows.push(text(&[label, COLUMNS[at].0, COLUMNS[at].1, &cell, unit(at)]));
                    }
                }
            }
            Lie::Wide | Lie::WideInRows => {
                let heading = |part: &dyn Fn(usize) -> String| {
                    self.columns.iter().map(|&at| part(at)).collect::<Vec<_>>()
                };
                if self.lie == Lie::Wide {
                    rows.push(text(&["Sample"]).into_iter().chain(heading(&whole)).collect());
                } else {
                    let name = |at: usize| COLUMNS[at].0.to_owned();
                    let method = |at: usize| COLUMNS[at].1.to_owned();
                    rows.push(text(&["Sample"]).into_iter().chain(heading(&name)).collect());
                    rows.push(text(&[""]).into_iter().chain(heading(&method)).collect());
                    if !self.units_in_cells && self.columns.iter().any(|&at| !unit(at).is_empty()) {
                        let unit = |at: usize| unit(at).to_owned();
                        rows.push(text(&[""]).into_iter().chain(heading(&unit)).collect());
                    }
                }
                for (label, values) in lines() {
                    let cells = self.columns.iter().zip(values).map(|(&at, &v)| self.cell(at, v));
                    rows.push(text(&[label]).into_iter().chain(cells).collect());
                }
            }
            Lie::Turned => {
                rows.push(
                    text(&["Analyte"]).into_iter().chain(self.labels.iter().cloned()).collect(),
                );
                for (across, &at) in self.columns.iter().enumerate() {
                    let cells = self.values.iter().map(|values| self.cell(at, values[across]));
                    rows.push([whole(at)].into_iter().chain(cells).collect());
                }
            }
        }
        rows
    }

    /// The same table as a workbook: numbers that stand alone are stored as numbers, and one is
    /// left as text so that the mark of the other texts is shown.
    fn packed(&self) -> Vec<u8> {
        let plain: Vec<String> = self
            .values
            .iter()
            .flatten()
            .flatten()
            .map(|(thousandths, _)| self.number(*thousandths))
            .collect();
        let mut shows_mark = 0;
        let mut rows = self.rows();
        for cell in rows.iter_mut().flatten() {
            if plain.contains(cell) {
                if *cell == self.number(6_200) && shows_mark == 0 {
                    shows_mark += 1;
                    continue;
                }
                let (group, mark) = if self.comma { ('.', ',') } else { (',', '.') };
                *cell = format!("#{}", cell.replace(group, "").replace(mark, "."));
            }
        }
        packed::workbook(&[("Results", &packed::rows(&rows), &[])])
    }

    fn bytes(&self) -> Vec<u8> {
        let end = if self.crlf { "\r\n" } else { "\n" };
        let quoted = |cell: &String| {
            if cell.contains([self.delimiter, '"']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.clone()
            }
        };
        let mut text = String::new();
        for row in self.rows() {
            let cells: Vec<String> = row.iter().map(quoted).collect();
            text += &cells.join(&self.delimiter.to_string());
            text += end;
        }
        match self.encoding {
            0 => text.into_bytes(),
            1 => [b"\xef\xbb\xbf", text.as_bytes()].concat(),
            // Every character used is below U+0100, where Latin-1 is the code point itself.
            2 => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(),
            _ => {
                let units = text.encode_utf16().flat_map(u16::to_le_bytes);
                b"\xff\xfe".iter().copied().chain(units).collect()
            }
        }
    }

    fn expected(&self) -> Vec<(String, String, String, String, u64, Qualifier)> {
        let mut expected = Vec::new();
        for (label, values) in self.labels.iter().zip(&self.values) {
            for (&at, value) in self.columns.iter().zip(values) {
                let (name, _, unit, analyte, method) = COLUMNS[at];
                if let Some((thousandths, sign)) = *value {
                    let number = f64::from(thousandths) / 1000.0;
                    let unit = if unit.is_empty() { "pH" } else { unit };
                    let form = if name == "K2O" { " as K2O" } else { "" };
                    expected.push((
                        label.clone(),
                        format!("{analyte}{form}"),
                        method.to_owned(),
                        unit.to_owned(),
                        number.to_bits(),
                        sign,
                    ));
                }
            }
        }
        expected.sort_by(|a, b| format!("{a:?}").cmp(&format!("{b:?}")));
        expected
    }
}

fn found(imported: &Imported) -> Vec<(String, String, String, String, u64, Qualifier)> {
    let mut found = Vec::new();
    for sample in &imported.samples {
        for r in &sample.readings {
            let form = r.form.map_or(String::new(), |form| format!(" as {}", form.formula));
            found.push((
                sample.attributes.label.clone().unwrap_or_default(),
                format!("{}{form}", r.analyte.id),
                r.method.id.clone(),
                r.unit.symbol.to_owned(),
                r.value.to_bits(),
                r.qualifier,
            ));
        }
    }
    found.sort_by(|a, b| format!("{a:?}").cmp(&format!("{b:?}")));
    found
}

fn check_account(sheets: &Sheets, imported: &Imported) {
    let count = imported.count;
    let filled: usize = sheets.grids.iter().map(|grid| grid.filled()).sum();
    let parts = count.headings + count.attributes + count.readings + count.unread + count.ignored;
    assert_eq!((count.filled, parts), (filled, filled), "{count:?}");
    assert_eq!(count.unread, imported.unread.len(), "every unread cell is listed");
    let ignored: usize = imported.ignored.iter().map(|ignored| ignored.cells).sum();
    assert_eq!(count.ignored, ignored, "every cell left out is listed");
    let readings: usize = imported.samples.iter().map(|s| s.readings.len()).sum();
    // A printed uncertainty in a cell of its own is part of its reading.
    assert!(count.readings >= readings, "every reading has its cell");
    let mut places: Vec<_> = imported.unread.iter().map(|u| u.place).collect();
    places.extend(imported.samples.iter().flat_map(|s| &s.readings).map(|r| r.place));
    let all = places.len();
    places.sort();
    places.dedup();
    assert_eq!(places.len(), all, "no cell is both read and unread, or read twice");
    for unread in &imported.unread {
        let grid = &sheets.grids[usize::from(unread.place.sheet)];
        let text = grid.text(unread.place.row as usize - 1, unread.place.column as usize - 1);
        assert_eq!(text, unread.text, "an unread cell is where it says");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn what_is_written_is_read_back(written in written()) {
        let bytes = written.bytes();
        let shown = || String::from_utf8_lossy(&bytes).into_owned();
        let sheets = decode_bytes(&bytes, "panel.csv").unwrap();
        let mapping = propose(&sheets).map_err(|error| TestCaseError::fail(format!("{error}\n{}", shown())))?;
        let imported = apply(&sheets, &mapping);
        check_account(&sheets, &imported);
        prop_assert_eq!(found(&imported), written.expected(), "\n{}\n{:#?}", shown(), imported.unread);
        prop_assert!(imported.questions.is_empty(), "{:?}\n{}", imported.questions, shown());
        let allowed = |reason| matches!(reason, Reason::OutsideTheTable | Reason::NoValue);
        prop_assert!(imported.unread.iter().all(|unread| allowed(unread.reason)), "{:?}\n{}", imported.unread, shown());

        // A mapping that is stored and applied again reads the same.
        let stored = serde_json::to_string(&mapping).unwrap();
        let remembered: Mapping = serde_json::from_str(&stored).unwrap();
        prop_assert_eq!(apply(&sheets, &remembered), imported);
        prop_assert!(remembered.fit(&sheets) > 0.99, "a mapping fits its own file");
    }

    #[test]
    fn what_is_written_into_a_workbook_is_read_back(written in written()) {
        let sheets = decode_bytes(&written.packed(), "panel.xlsx").unwrap();
        let mapping = propose(&sheets).unwrap();
        let imported = apply(&sheets, &mapping);
        check_account(&sheets, &imported);
        prop_assert_eq!(found(&imported), written.expected(), "\n{:?}", written.rows());
        prop_assert!(imported.questions.is_empty(), "{:?}\n{:?}", imported.questions, written.rows());
    }

    #[test]
    fn every_cell_of_any_table_is_accounted_for(
        rows in proptest::collection::vec(proptest::collection::vec(cell(), 0..8), 1..12),
        delimiter in proptest::sample::select(vec![",", ";", "\t", "|", "  "]),
        left_out in any::<bool>(),
    ) {
        let text: Vec<String> = rows.iter().map(|row| row.join(delimiter)).collect();
        let text = text.join("\n");
        for sheets in [decode_bytes(text.as_bytes(), "panel.csv"), paste(&text)].into_iter().flatten() {
            let mut mapping = propose(&sheets).unwrap_or_default();
            let imported = apply(&sheets, &mapping);
            check_account(&sheets, &imported);
            // Whatever is answered, the account still holds, and answered questions are settled.
            for question in imported.questions.iter() {
                let choice = if left_out { question.choices.last() } else { question.choices.first() };
                prop_assert!(mapping.answer(question, choice.unwrap()), "{:?}\n{}", question, text);
            }
            let answered = apply(&sheets, &mapping);
            check_account(&sheets, &answered);
            for question in &imported.questions {
                prop_assert!(!answered.questions.contains(question), "{:?} again\n{}", question, text);
            }
        }
    }

    #[test]
    fn no_bytes_make_the_reader_stumble(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        for name in ["a.csv", "a.xlsx"] {
            if let Ok(sheets) = decode_bytes(&bytes, name) {
                let mapping = propose(&sheets).unwrap_or_default();
                check_account(&sheets, &apply(&sheets, &mapping));
            }
        }
    }
}

/// Cells of every kind that a panel file has, in any order.
fn cell() -> impl Strategy<Value = String> {
    let words = vec![
        "",
        "",
        "Sample",
        "Lab No",
        "Depth",
        "Depth (cm)",
        "Sampled",
        "Zone",
        "Comments",
        "Analyte",
        "Result",
        "Result (mg/kg)",
        "Unit",
        "Method",
        "LOR",
        "Rating",
        "Qualifier",
        "Uncertainty",
        "pH",
        "pH 1:5 water",
        "P",
        "P Olsen mg/kg",
        "Exch. Ca cmol/kg",
        "K2O",
        "Kalium",
        "N",
        "EC",
        "Mehlich-3",
        "Exchangeable cations (cmol/kg)",
        "DTPA",
        "mg/kg",
        "cmol(+)/kg",
        "%",
        "furlong",
        "Front verge",
        "Back terrace",
        "Green 7",
        "A1",
        "0-100 mm",
        "0-10",
        "2026-09-14",
        "05/09/2026",
        "14/09/2026",
        "6.2",
        "6,2",
        "1,234",
        "1.234",
        "12",
        "<0.5",
        "> 14",
        "5.2 mg/kg",
        "12 %",
        "5 \u{b1} 1",
        "1.2*",
        "ND",
        "n/a",
        "-",
        "trace",
        "#N/A",
        "5-6",
        "low",
        "see note",
        "Total: 7",
        "Sample: B2",
        "Date received: 2026-09-14",
        "\u{b5}S/cm",
        "\"quoted, twice\"",
        "<",
    ];
    prop_oneof![
        20 => proptest::sample::select(words).prop_map(str::to_owned),
        1 => "\\PC{0,12}",
        2 => "[0-9]{1,4}([.,][0-9]{1,3})?",
    ]
}
