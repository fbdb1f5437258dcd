//! Bad input ends with 1, names the field and the remedy, and leaves nothing half written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod program;

use std::fs;

use program::{Book, Problem, fixture};

/// Refuses, names the field, and says each of the words; the notebook stays as it was.
#[track_caller]
fn check(book: &Book, arguments: &[&str], field: &str, words: &[&str]) -> Problem {
    let before = book.whole();
    let problem = book.refused(arguments);
    assert_eq!(problem.field, field, "{arguments:?}: {problem:?}");
    for word in words {
        assert!(problem.message.contains(word), "{word} in {problem:?}");
    }
    assert_eq!(book.whole(), before, "{arguments:?} wrote something");
    let said = book.run(arguments);
    assert_eq!((said.code, said.out.as_str()), (1, ""), "in words too");
    assert!(said.err.starts_with("swardbook: "), "{}", said.err);
    problem
}

fn add<'a>(kind: &'a str, rest: &[&'a str]) -> Vec<&'a str> {
    [&[kind, "add", "--zone", "Front verge"], rest].concat()
}

#[test]
fn what_cannot_be_is_not_kept() {
    let book = Book::with_zone();
    for (arguments, field, words) in [
        (add("sample", &["--mass", "-3 g"]), "mass", &["from 0.1"][..]),
        (add("sample", &["--mass", "heavy"]), "mass", &["not a number"]),
        (add("sample", &["--mass", "3 m2"]), "mass", &["m2"]),
        (add("sample", &["--from", "100", "--to", "50"]), "to", &["upside down", "upper depth"]),
        (add("sample", &["--date", "03/04/2026"]), "date", &["03/04/2026"]),
        (add("sample", &["--laboratory", "Nowhere"]), "laboratory", &["Nowhere"]),
        (add("application", &["--amount", "3 kg"]), "date", &["day"]),
        (add("application", &["--date", "2026-03-01"]), "material", &["material_words"]),
        (add("core", &["--number", "1"]), "sample", &["bag"]),
        (vec!["zone", "add", "--name", "Lawn"], "within", &["property"]),
        (vec!["zone", "add", "--property", "Nowhere", "--name", "X"], "within", &["property list"]),
        (vec!["zone", "edit", "Front verge", "--area", "0"], "area", &["from 0.01"]),
        (vec!["zone", "edit", "Front verge", "--texture", "mud"], "texture", &["sandy-loam"]),
        (vec!["zone", "edit", "Front verge", "--clear", "name"], "name", &["needs name"]),
        (vec!["zone", "edit", "Front verge", "--clear", "colour"], "colour", &["no field"]),
        (vec!["zone", "edit", "Front verge"], "fields", &["what to change"]),
        (vec!["zone", "show", "Nowhere"], "zone", &["zone list"]),
        (vec!["settings", "set", "--currency", "dollars"], "currency", &["dollars"]),
        (vec!["record", "show", "0000000000000000"], "id", &["no record"]),
    ] {
        check(&book, &arguments, field, words);
    }
}

#[test]
fn a_refusal_in_words_names_the_argument_as_it_is_typed() {
    let book = Book::with_zone();
    for (arguments, typed) in [
        (&["zone", "add", "--property", "Nowhere", "--name", "X"][..], "--property"),
        (&["sample", "add", "--zone", "Nowhere"], "--zone"),
        (&["record", "show", "0000000000000000"], "ID"),
        (&["panel", "read", "no-such-file.csv"], "FILE"),
    ] {
        let said = book.run(arguments);
        assert!(said.err.contains(&format!("(about: {typed})")), "{arguments:?}: {}", said.err);
    }
}

#[test]
fn readings_that_cannot_be_are_named_by_their_place() {
    let book = Book::with_zone();
    let sample = book.id(&add("sample", &["--label", "FV1", "--date", "2026-03-01"]));
    for (readings, field, words) in [
        (
            &["Unobtainium=5 mg/kg"][..],
            "readings.0.analyte",
            &["Unobtainium", "panel analytes"][..],
        ),
        (&["pH (CaCl2)=5.2", "K=54 furlongs"], "readings.1.", &["furlongs"]),
        (&["pH (water)=15"], "readings.0.value", &["15", "from"]),
        (&["K (Mehlich-3)=-4 mg/kg"], "readings.0.value", &["-4"]),
        (&["K (Mehlich-3)=plenty"], "readings.0.value", &["plenty"]),
        (&["K (Mehlich-3)"], "readings", &["ANALYTE=VALUE"]),
    ] {
        let mut arguments = vec!["panel", "add", "--sample", sample.as_str()];
        for reading in readings {
            arguments.extend(["--reading", reading]);
        }
        let before = book.whole();
        let problem = book.refused(&arguments);
        assert!(problem.field.starts_with(field), "{readings:?}: {problem:?}");
        for word in words {
            assert!(problem.message.contains(word), "{word} in {problem:?}");
        }
        assert_eq!(book.whole(), before, "{readings:?} wrote something");
    }
}

#[test]
fn files_that_are_no_panels_are_refused() {
    let book = Book::with_zone();
    let scratch = tempfile::tempdir().unwrap();
    let program = scratch.path().join("program.csv");
    fs::copy(env!("CARGO_BIN_EXE_swardbook"), &program).unwrap();
    // The first bytes of a program are enough; a whole one is only larger.
    fs::OpenOptions::new().write(true).open(&program).unwrap().set_len(200_000).unwrap();
    // Two hundred megabytes that take no room on the disk.
    let large = scratch.path().join("large.csv");
    fs::write(&large, "Sample,pH (water)\nFV1,6.1\n").unwrap();
    fs::OpenOptions::new().write(true).open(&large).unwrap().set_len(200_000_000).unwrap();
    let empty = scratch.path().join("empty.csv");
    fs::write(&empty, "").unwrap();
    let prose = scratch.path().join("prose.csv");
    fs::write(&prose, "Dear Tamsin\nthe samples have not arrived yet\n").unwrap();
    let absent = scratch.path().join("absent.csv");
    let folder = scratch.path().to_path_buf();
    for file in [&program, &large, &empty, &prose, &absent, &folder] {
        let file = file.to_str().unwrap();
        for verb in
            [&["panel", "import", file, "--zone", "Front verge"][..], &["panel", "read", file]]
        {
            let problem = check(&book, verb, "path", &[]);
            assert!(problem.message.len() > 20, "a reason for {file}: {problem:?}");
        }
    }
}

#[test]
fn a_sample_that_has_no_place_is_asked_about_and_nothing_is_brought_in() {
    let book = Book::with_zone();
    let file = fixture("laboratories/fenwhistle-2023-09-19.csv");
    let file = file.to_str().unwrap();
    check(&book, &["panel", "import", file], "targets", &["labelled"]);
    for (flag, value, field) in [
        ("--answer", "0.A1.heading", "answers"),
        ("--answer", "0.A1.heading=0", "answers"),
        ("--target", "FV1", "targets"),
        ("--target", "nobody=0000000000000000", "targets"),
        ("--laboratory", "Nowhere", "laboratory"),
    ] {
        check(&book, &["panel", "import", file, "--zone", "Front verge", flag, value], field, &[]);
    }
}

#[test]
fn money_needs_a_currency_first() {
    let book = Book::with_zone();
    let price = ["price", "add", "--material", "gypsum", "--pack", "20 kg", "--price", "14.90"];
    check(&book, &price, "currency", &["settings set --currency"]);
    book.run(&["settings", "set", "--currency", "AUD"]).done();
    let said = book.run(&price).done();
    assert!(said.contains("14.90"), "{said}");
    check(
        &book,
        &["price", "add", "--material", "moon dust", "--pack", "1", "--price", "1"],
        "material",
        &["material list"],
    );
}
