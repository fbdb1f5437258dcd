//! Panel files as laboratories send them, read into samples and readings.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod account;

use std::path::Path;

use account::{check_account, check_folder, shown};
use swardbook_agronomy::reading::Qualifier;
use swardbook_app::panel_file::{
    AnalyteRule, Answer, Ask, Attribute, DecimalRule, Imported, Layout, MOST_ROWS, Mapping, Note,
    PanelFileError, Place, Reason, Role, Sheets, apply, best_fit, decode, decode_bytes,
    fingerprint, open, paste, propose, propose_at, read_typed,
};

fn import(text: &str) -> (Sheets, Mapping, Imported) {
    let sheets = decode_bytes(text.as_bytes(), "panel.csv").unwrap();
    let mapping = propose(&sheets).unwrap_or_else(|error| panic!("{error}\n{text}"));
    let imported = apply(&sheets, &mapping);
    check_account(&sheets, &imported);
    (sheets, mapping, imported)
}

fn check(text: &str, expected: &[&str]) {
    let (_, _, imported) = import(text);
    assert_eq!(shown(&imported), expected, "\n{text}");
}

#[test]
fn wide_layout() {
    check(
        "Sample,Depth (cm),pH 1:5 water,P (Mehlich-3) mg/kg,Exch. Ca cmol/kg\n\
         Front verge,0-10,6.2,12,4.1\n\
         Back terrace,0-10,5.8,<5,3.7 *\n",
        &[
            "Front verge, 0-100 mm",
            "  ph-water water-1-5 6.2 pH",
            "  p mehlich-3 12 mg/kg",
            "  ca exchangeable 4.1 cmol/kg",
            "Back terrace, 0-100 mm",
            "  ph-water water-1-5 5.8 pH",
            "  p mehlich-3 <5 mg/kg",
            "  ca exchangeable 3.7 cmol/kg *",
        ],
    );
}

#[test]
fn long_layout() {
    check(
        "Lab No;Sample;Analyte;Method;Result;Unit\n\
         F-1;Front verge;pH;1:5 water;6,2;\n\
         F-1;Front verge;Phosphorus;Olsen;12,5;mg/kg\n\
         F-2;Back terrace;pH;1:5 CaCl2;5,1;pH units\n\
         F-2;Back terrace;K2O;Mehlich-3;1.234,5;mg/kg\n\
         F-2;Back terrace;Zinc;DTPA;n/a;mg/kg\n\
         F-2;Back terrace;Copper;DTPA;;mg/kg\n",
        &[
            "Front verge, no F-1",
            "  ph-water water-1-5 6.2 pH",
            "  p olsen 12.5 mg/kg",
            "Back terrace, no F-2",
            "  ph-cacl2 cacl2-1-5 5.1 pH",
            "  k mehlich-3 as K2O 1234.5 mg/kg",
            "! E6 \"n/a\": not measured",
            "! C7 \"Copper\": no value stands beside it",
        ],
    );
}

#[test]
fn turned_layout() {
    check(
        "Fenwhistle Laboratory\n\
         Date received: 2026-09-14\n\
         \n\
         Analyte,Unit,Method,Front verge,Back terrace,Desired level\n\
         Depth,mm,,0-100,0-75,\n\
         pH,,1:5 water,6.2,6.4,6.0-7.0\n\
         Phosphorus,mg/kg,Mehlich-3,12,>200,20-50\n\
         Calcium,cmol/kg,Exchangeable,4.1,ND,\n",
        &[
            "Front verge, 0-100 mm, received 2026-09-14",
            "  ph-water water-1-5 6.2 pH",
            "  p mehlich-3 12 mg/kg",
            "  ca exchangeable 4.1 cmol/kg",
            "Back terrace, 0-75 mm, received 2026-09-14",
            "  ph-water water-1-5 6.4 pH",
            "  p mehlich-3 >200 mg/kg",
            "! A1 \"Fenwhistle Laboratory\": outside the table of readings",
            "! E8 \"ND\": not detected, without a limit",
            "- Desired level x3",
        ],
    );
}

#[test]
fn two_and_three_heading_rows() {
    check(
        "Results of September\n\
         ,,,Mehlich-3,,DTPA,\n\
         Sample,Depth,pH (1:5 water),P,K,Zn,Cu\n\
         ,mm,,mg/kg,mg/kg,mg/kg,mg/kg\n\
         Front verge,0-100,6.2,12,88,1.1,0.9\n",
        &[
            "Front verge, 0-100 mm",
            "  ph-water water-1-5 6.2 pH",
            "  p mehlich-3 12 mg/kg",
            "  k mehlich-3 88 mg/kg",
            "  zn dtpa 1.1 mg/kg",
            "  cu dtpa 0.9 mg/kg",
            "! A1 \"Results of September\": outside the table of readings",
        ],
    );
    check(
        "Sample\tpH\t\tP\tP\n\
         \twater\tCaCl2\tOlsen\tColwell\n\
         \t\t\tmg/kg\tmg/kg\n\
         Front verge\t6,2\t5,4\t12\t31\n",
        &[
            "Front verge",
            "  ph-water water-1-5 6.2 pH",
            "  ph-cacl2 cacl2-1-5 5.4 pH",
            "  p olsen 12 mg/kg",
            "  p colwell 31 mg/kg",
        ],
    );
}

#[test]
fn what_is_not_plain_is_asked() {
    check(
        "Sample;pH;P;Ca Mehlich-3 mg/kg;Turbidity\n\
         Front verge;6;12 mg/kg;1,234;7\n",
        &[
            "Front verge",
            "  p not-stated 12 mg/kg",
            "! B1 \"pH\": the name means more than one analyte",
            "! E1 \"Turbidity\": the heading of this column is not known",
            "! B2 \"6\": the name means more than one analyte",
            "! D2 \"1,234\": can be read two ways",
            "! E2 \"7\": the heading of this column is not known",
            "? which analyte is pH",
            "? what is Turbidity",
            "? method of P",
            "? decimal mark in 1,234",
        ],
    );
}

#[test]
fn answers_complete_the_mapping() {
    let text = "Sample;pH;P;Ca Mehlich-3;Turbidity;Sampled;Depth\n\
                Front verge;6;12;1,234;7;05/09/2026;0-10\n";
    let (sheets, mut mapping, mut imported) = import(text);
    let mut asked = 0;
    while let Some(question) = imported.questions.first().cloned() {
        asked += 1;
        assert!(asked < 20, "every answer settles its question: {question:?}");
        let wanted = |choice: &&Answer| match choice {
            Answer::Analyte(analyte) => analyte.id == "ph-cacl2",
            Answer::Method(method) => ["cacl2-1-5", "olsen"].contains(&method.id.as_str()),
            Answer::Unit(unit) => unit.symbol == "mg/kg",
            Answer::Decimal(rule) => *rule == DecimalRule::Comma,
            Answer::Dates(rule) => *rule == swardbook_app::panel_file::DateRule::DayFirst,
            Answer::DepthUnit(unit) => unit.symbol == "cm",
            Answer::Ignore => true,
            Answer::Attribute(_) => false,
        };
        let choice = question.choices.iter().find(wanted).unwrap();
        assert!(mapping.answer(&question, choice), "{question:?} takes {choice:?}");
        imported = apply(&sheets, &mapping);
        check_account(&sheets, &imported);
    }
    let expected = [
        "Front verge, 0-100 mm, sampled 2026-09-05",
        "  ph-cacl2 cacl2-1-5 6 pH",
        "  p olsen 12 mg/kg",
        "  ca mehlich-3 1.234 mg/kg",
        "- Turbidity x2",
    ];
    assert_eq!(shown(&imported), expected, "after {asked} answers");

    // The answers hold for the laboratory's next file, whose columns have moved.
    let next = "P;Depth;Sampled;Sample;Ca Mehlich-3;pH;Turbidity\n\
                14;0-10;06/09/2026;Back terrace;2,345;5;8\n";
    let stored = serde_json::to_string(&mapping).unwrap();
    let remembered: Mapping = serde_json::from_str(&stored).unwrap();
    assert_eq!(remembered, mapping, "a stored mapping comes back whole");
    let sheets = decode_bytes(next.as_bytes(), "next.csv").unwrap();
    assert_eq!(best_fit(std::slice::from_ref(&remembered), &sheets), Some(0), "it fits");
    let imported = apply(&sheets, &remembered);
    check_account(&sheets, &imported);
    let expected = [
        "Back terrace, 0-100 mm, sampled 2026-09-06",
        "  p olsen 14 mg/kg",
        "  ca mehlich-3 2.345 mg/kg",
        "  ph-cacl2 cacl2-1-5 5 pH",
        "- Turbidity x2",
    ];
    assert_eq!(shown(&imported), expected, "the next file");
}

#[test]
fn answers_about_names_in_a_long_table() {
    let text = "Sample,Test,Result\nFront verge,Kalium,88 mg/kg\nFront verge,P,12\n";
    let (sheets, mut mapping, imported) = import(text);
    let ask = |imported: &Imported, ask: fn(&Ask) -> bool| {
        imported.questions.iter().find(|q| ask(&q.ask)).cloned().unwrap()
    };
    let which = ask(&imported, |ask| matches!(ask, Ask::Analyte));
    assert_eq!(which.written, "Kalium", "an unknown name is asked about");
    let potassium = swardbook_agronomy::analyte::analyte("k").unwrap();
    assert!(mapping.answer(&which, &Answer::Analyte(potassium)), "any analyte may be answered");
    let unit = ask(&imported, |ask| matches!(ask, Ask::Unit { .. }));
    let mg_per_kg = swardbook_units::parse_unit("mg/kg").unwrap();
    assert!(mapping.answer(&unit, &Answer::Unit(mg_per_kg)), "a unit");
    let imported = apply(&sheets, &mapping);
    check_account(&sheets, &imported);
    let expected = [
        "Front verge",
        "  k not-stated 88 mg/kg",
        "  p not-stated 12 mg/kg",
        "? method of Kalium",
        "? method of P",
    ];
    assert_eq!(shown(&imported), expected, "names by rule");
}

#[test]
fn remembered_mappings_are_told_apart() {
    let wide = "Sample,pH 1:5 water,P Olsen mg/kg\nA,6,12\n";
    let long = "Sample,Analyte,Method,Result,Unit\nA,P,Olsen,12,mg/kg\n";
    let other = "Bag,pH CaCl2,P Colwell mg/kg,K Colwell mg/kg\nA,6,12,3\n";
    let mappings: Vec<Mapping> = [wide, long, other].iter().map(|text| import(text).1).collect();
    for (at, text) in [wide, long, other].iter().enumerate() {
        let sheets = decode_bytes(text.as_bytes(), "panel.csv").unwrap();
        assert_eq!(best_fit(&mappings, &sheets), Some(at), "{text}");
    }
    let moved = "P Olsen mg/kg,Sample,pH 1:5 water\n12,A,6\n";
    let sheets = decode_bytes(moved.as_bytes(), "panel.csv").unwrap();
    assert_eq!(best_fit(&mappings, &sheets), Some(0), "moved columns");
    assert_eq!(
        fingerprint(&sheets),
        fingerprint(&decode_bytes(wide.as_bytes(), "panel.csv").unwrap()),
        "a fingerprint does not know the order"
    );
    let stranger = "Sample,Zn DTPA mg/kg,Cu DTPA mg/kg\nA,6,12\n";
    let sheets = decode_bytes(stranger.as_bytes(), "panel.csv").unwrap();
    assert_eq!(best_fit(&mappings, &sheets), None, "no remembered mapping fits");
}

#[test]
fn a_new_and_a_missing_column_are_noted() {
    let (_, mapping, _) = import("Sample,pH 1:5 water,P Olsen mg/kg\nA,6,12\n");
    let next = "Sample,pH 1:5 water,Zn DTPA mg/kg\nB,6.5,1.5\n";
    let sheets = decode_bytes(next.as_bytes(), "panel.csv").unwrap();
    let imported = apply(&sheets, &mapping);
    check_account(&sheets, &imported);
    let expected = ["B", "  ph-water water-1-5 6.5 pH", "  zn dtpa 1.5 mg/kg"];
    assert_eq!(shown(&imported), expected, "the new column is read by its heading");
    let has = |wanted: &dyn Fn(&Note) -> bool| imported.notes.iter().any(wanted);
    assert!(
        has(&|n| matches!(n, Note::NewColumn { heading, .. } if heading == "Zn DTPA mg/kg")),
        "new"
    );
    assert!(
        has(&|n| matches!(n, Note::MissingColumn { heading } if heading == "P Olsen mg/kg")),
        "missing"
    );
}

#[test]
fn duplicates_stacked_tables_and_repeated_headings() {
    check(
        "Sample,P Olsen mg/kg\nA,12\nA,13\n\nSample,Zn DTPA mg/kg,Cu DTPA mg/kg\nA,1.1,0.2\nB,1.2,0.3\n",
        &[
            "A",
            "  p olsen 12 mg/kg",
            "  p olsen 13 mg/kg",
            "  zn dtpa 1.1 mg/kg",
            "  cu dtpa 0.2 mg/kg",
            "B",
            "  zn dtpa 1.2 mg/kg",
            "  cu dtpa 0.3 mg/kg",
        ],
    );
    let (_, _, imported) = import("Sample,P Olsen mg/kg,P Olsen mg/kg\nA,12,14\n");
    assert_eq!(imported.samples[0].readings.len(), 2, "both determinations are kept");
    assert!(
        imported.notes.iter().any(|note| matches!(note, Note::DeterminedAgain { sample: 0, .. })),
        "and said to be two"
    );
}

#[test]
fn pasted_tables() {
    let check = |text: &str, expected: &[&str]| {
        let sheets = paste(text).unwrap();
        let imported = apply(&sheets, &propose(&sheets).unwrap());
        check_account(&sheets, &imported);
        assert_eq!(shown(&imported), expected, "\n{text}");
    };
    check(
        "pH (1:5 water)\t6.2\nP Olsen\t12 mg/kg\n",
        &["?", "  ph-water water-1-5 6.2 pH", "  p olsen 12 mg/kg"],
    );
    check(
        "pH | 6.2 | | 1:5 water\nP | <5 | mg/kg | Olsen\n",
        &["?", "  ph-water water-1-5 6.2 pH", "  p olsen <5 mg/kg"],
    );
    check(
        "Front verge;P;12,5;mg/kg;Olsen\nBack terrace;P;13,5;mg/kg;Olsen\n",
        &["Front verge", "  p olsen 12.5 mg/kg", "Back terrace", "  p olsen 13.5 mg/kg"],
    );
    check(
        "Phosphorus (Colwell)   31   mg/kg\nZinc (DTPA)   1.1   mg/kg\n",
        &["?", "  p colwell 31 mg/kg", "  zn dtpa 1.1 mg/kg"],
    );
    check(
        "P Colwell 31 mg/kg\nZinc (DTPA): < 0.5 mg/kg\npH 1:5 water 6.2\n",
        &["?", "  p colwell 31 mg/kg", "  zn dtpa <0.5 mg/kg", "  ph-water water-1-5 6.2 pH"],
    );
    check("P Colwell, 31 mg/kg", &["?", "  p colwell 31 mg/kg"]);
}

#[test]
fn headings_in_words_of_their_own_are_mapped_by_hand() {
    let text = "Pruefbericht\nProbe;Reaktion;Kalium;Bemerkung\nFront verge;6,2;120;nass\n";
    let sheets = decode_bytes(text.as_bytes(), "panel.csv").unwrap();
    assert!(matches!(propose(&sheets), Err(PanelFileError::NoTable { .. })), "nothing is known");
    let place = Place { sheet: 0, row: 2, column: 1 };
    let mut mapping = propose_at(&sheets, place, Layout::Wide);
    let headings: Vec<_> = mapping.tables[0].columns.iter().map(|c| c.heading.join("")).collect();
    assert_eq!(headings, ["Probe", "Reaktion", "Kalium", "Bemerkung"], "every column is offered");
    let analyte = |analyte: &str, method: &str, unit: &str| {
        Role::Analyte(AnalyteRule {
            analyte: analyte.to_owned(),
            method: Some(method.to_owned()),
            form: None,
            unit: Some(unit.to_owned()),
        })
    };
    let attribute = |attribute| Role::Attribute { attribute, unit: None };
    let roles = [
        attribute(Attribute::Label),
        analyte("ph-cacl2", "cacl2-1-5", "pH"),
        analyte("k", "mehlich-3", "mg/kg"),
        attribute(Attribute::Remark),
    ];
    for (column, role) in mapping.tables[0].columns.iter_mut().zip(roles) {
        column.role = role;
    }
    let imported = apply(&sheets, &mapping);
    check_account(&sheets, &imported);
    let expected = [
        "Front verge, \"nass\"",
        "  ph-cacl2 cacl2-1-5 6.2 pH",
        "  k mehlich-3 120 mg/kg",
        "! A1 \"Pruefbericht\": outside the table of readings",
    ];
    assert_eq!(shown(&imported), expected, "read by the rules alone");

    let next = "KALIUM;probe;Reaktion\n99;Back terrace;6,0\n";
    let sheets = decode_bytes(next.as_bytes(), "next.csv").unwrap();
    assert_eq!(best_fit(std::slice::from_ref(&mapping), &sheets), Some(0), "and found again");
    let expected = ["Back terrace", "  k mehlich-3 99 mg/kg", "  ph-cacl2 cacl2-1-5 6 pH"];
    assert_eq!(shown(&apply(&sheets, &mapping)), expected, "with moved columns in capitals");
}

#[test]
fn typed_readings() {
    let read = |text| read_typed(text, DecimalRule::Shown);
    let typed = read("< 0,5 mg/kg").unwrap();
    assert_eq!((typed.value, typed.qualifier), (0.5, Qualifier::Below), "value and sign");
    assert_eq!(typed.unit.map(|unit| unit.symbol), Some("mg/kg"), "unit");
    assert_eq!(read("1,234"), Err(Reason::TwoWays), "never guessed");
    let said = read_typed("1,234", DecimalRule::Comma).map(|typed| typed.value);
    assert_eq!(said, Ok(1.234), "unless it is said");
    assert_eq!(read(""), Err(Reason::NotMeasured), "nothing typed");
}

#[test]
fn several_samples_one_below_the_other() {
    let both = [
        "Front verge, 0-100 mm",
        "  ph-water water-1-5 6.2 pH",
        "  p olsen 12 mg/kg",
        "Back terrace, 0-100 mm, no F-2",
        "  ph-water water-1-5 6.4 pH",
        "  p olsen 9 mg/kg",
    ];
    check(
        "Sample: Front verge,,Depth: 0-100 mm\npH 1:5 water,6.2,\nP Olsen,12,mg/kg\n\n\
         Sample: Back terrace,,Depth: 0-100 mm\nLab No,F-2,\npH 1:5 water,6.4,\nP Olsen,9,mg/kg\n",
        &both,
    );
    check(
        "Sample name;Front verge;\nDepth;0-100 mm;\nTest;Result;Unit\npH 1:5 water;6,2;\nP Olsen;12;mg/kg\n\n\
         Sample name;Back terrace;\nDepth;0-100 mm;\nLab No;F-2;\nTest;Result;Unit\npH 1:5 water;6,4;\nP Olsen;9;mg/kg\n",
        &both,
    );
    check(
        "Test,Front verge,Unit\npH 1:5 water,6.2,\nP Olsen,12,mg/kg\n\n\
         Test,Back terrace,Unit\npH 1:5 water,6.4,\nP Olsen,9,mg/kg\n",
        &[
            "Front verge",
            "  ph-water water-1-5 6.2 pH",
            "  p olsen 12 mg/kg",
            "Back terrace",
            "  ph-water water-1-5 6.4 pH",
            "  p olsen 9 mg/kg",
        ],
    );
}

#[test]
fn decimal_commas_between_commas_are_not_misread() {
    check(
        "Sample,pH 1:5 water,P Olsen mg/kg\nFront verge,6,2,12\nBack terrace,6,9\n",
        &[
            "Back terrace",
            "  ph-water water-1-5 6 pH",
            "  p olsen 9 mg/kg",
            "! A2 \"Front verge\": its row has more cells than the table has columns",
            "! B2 \"6\": its row has more cells than the table has columns",
            "! C2 \"2\": its row has more cells than the table has columns",
            "! D2 \"12\": its row has more cells than the table has columns",
        ],
    );
}

/// Files in the encodings and workbook formats of their writers (Python's `csv` and `openpyxl`),
/// each beside what it says, written out by hand.
#[test]
fn files_as_they_are_sent() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/panel_files");
    assert!(check_folder(&folder) >= 6, "the files are there");
}

#[test]
fn bad_files_are_refused_with_a_remedy() {
    let check = |bytes: &[u8], name: &str, expected: &str| {
        let error = decode_bytes(bytes, name).and_then(|sheets| propose(&sheets)).unwrap_err();
        let said = error.to_string();
        assert!(said.starts_with(name) && said.contains(expected), "{said}");
    };
    check(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "a.csv", "a PNG picture, not a table; ask");
    check(b"%PDF-1.7\n", "a.csv", "a PDF document, not a table; ask");
    check(&[0, 1, 2, 3, 0, 0, 9, 8], "a.csv", "binary data, not a table; ask");
    check(b"", "a.csv", "empty; ask");
    check(b" \n\n", "a.csv", "empty; ask");
    check(b"PK\x03\x04 xl/workbook.xml", "a.csv", "give it back the ending .xlsx");
    check(b"PK\x03\x04 xl/workbook.xml", "a.xlsx", "damaged");
    check(b"pH,P\n6,12\n", "a.xlsx", "give it the ending .csv");
    check(b"Dear client,\nthank you.\n", "a.csv", "no table of readings was found; it needs");
    check(b"a,b,c\n1,\"2,3\n4,5,6\n", "a.csv", "row 2: a quotation mark opens");
}

#[test]
fn a_file_that_is_too_large_is_refused_unread() {
    struct Untouchable;
    impl std::io::Read for Untouchable {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            panic!("the file is refused by its length alone")
        }
    }
    let error = decode(Untouchable, 200_000_000, "huge.csv").unwrap_err();
    assert!(matches!(error, PanelFileError::TooLarge { megabytes: 200, .. }), "{error}");
    let said = error.to_string();
    assert!(said.contains("200 MB") && said.contains("split the file"), "{said}");
}

#[test]
fn a_file_of_200_mb_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.csv");
    std::fs::File::create(&path).unwrap().set_len(200_000_000).unwrap();
    let error = open(&path).unwrap_err();
    assert!(matches!(error, PanelFileError::TooLarge { megabytes: 200, .. }), "{error}");
    let missing = open(&folder.path().join("none.csv")).unwrap_err().to_string();
    assert!(missing.starts_with("none.csv: could not be read"), "{missing}");
}

#[test]
fn a_reader_that_gives_more_than_it_said_is_cut_off() {
    let endless = std::io::repeat(b'1');
    let error = decode(endless, 10, "endless.csv").unwrap_err();
    assert!(matches!(error, PanelFileError::TooLarge { .. }), "{error}");
}

#[test]
fn too_many_rows_are_refused() {
    let text = "Sample,P Olsen mg/kg\n".to_owned() + &"A,1\n".repeat(MOST_ROWS);
    match decode_bytes(text.as_bytes(), "long.csv") {
        Err(PanelFileError::TooMany { what: "rows", .. }) => {}
        other => panic!("{:?}", other.map(|sheets| sheets.grids[0].height())),
    }
}

#[test]
fn reasons_have_remedies() {
    for reason in [Reason::TwoWays, Reason::NotDetectedWithoutLimit, Reason::OutsideTheTable] {
        assert!(!reason.remedy().is_empty() && !reason.text().is_empty(), "{reason:?}");
    }
}
