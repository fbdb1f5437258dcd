//! The command as a person runs it: what it prints and how it ends.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod program;

use program::{Book, run};
use serde_json::Value as Json;

/// Conyers and Davey 1988: pH 6.0 in water is 5.4 in calcium chloride.
#[test]
fn a_calculation_prints_one_json_document() {
    let out = run(&["calc", "acidity-scale", "--input", "-"], r#"{"ph":6,"from":"water"}"#);
    let answer = out.json();
    let ph = answer["result"]["ph"]["value"].as_f64().unwrap();
    assert!((ph - 5.4).abs() < 1e-9, "{ph}");
}

#[test]
fn a_calculation_in_words_names_its_arithmetic_and_its_source() {
    let typed = r#"{"ph":6,"from":"water"}"#;
    let said = run(&["calc", "acidity-scale", "--words", "--input", "-"], typed).done();
    for word in ["5.4", "Working", "Sources", "Conyers"] {
        assert!(said.contains(word), "{word} in {said}");
    }
    assert!(!said.contains('{'), "words, not JSON: {said}");
}

#[test]
fn every_calculation_is_listed_with_what_it_takes_and_gives() {
    let all = run(&["calc", "--list", "--json"], "").json();
    let all = all.as_array().unwrap();
    assert!(all.iter().any(|one| one["id"] == "acidity-scale"), "{all:?}");
    for one in all {
        let id = one["id"].as_str().unwrap();
        let said = run(&["calc", id, "--list"], "").done();
        for input in one["inputs"].as_array().unwrap() {
            let name = input["name"].as_str().unwrap();
            assert!(said.contains(name), "{id}: {name} in {said}");
        }
    }
}

#[test]
fn refusals_end_with_1_and_bad_usage_with_2() {
    let typed = r#"{"ph":15,"from":"water"}"#;
    let out = run(&["calc", "acidity-scale", "--input", "-"], typed);
    assert_eq!(out.code, 1, "an impossible pH");
    assert!(out.err.contains("ph is 15"), "the field is named: {}", out.err);
    for usage in [&["dig"][..], &[], &["zone"], &["zone", "dig"], &["zone", "show"], &["undo", "x"]]
    {
        let out = run(usage, "");
        assert_eq!(out.code, 2, "{usage:?}");
        assert!(out.out.is_empty() && !out.err.is_empty(), "{usage:?} is said on standard error");
    }
}

/// Every command of the application can be reached from the command line.
#[test]
fn every_command_has_its_help() {
    let nouns = [
        "property",
        "zone",
        "sample",
        "core",
        "panel",
        "plan",
        "application",
        "observation",
        "laboratory",
        "material",
        "price",
    ];
    for noun in nouns {
        for verb in ["add", "edit", "show", "list"] {
            let help = run(&[noun, verb, "--help"], "").done();
            assert!(help.contains("--notebook"), "{noun} {verb}: {help}");
        }
    }
    for command in [&["settings", "set"][..], &["record", "history"], &["conflicts", "choose"]] {
        run(&[command, &["--help"]].concat(), "").done();
    }
}

#[test]
fn the_flags_say_what_they_take() {
    let help = run(&["zone", "add", "--help"], "").done();
    let words = help.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "--name <TEXT>",
        "what the zone is called [required]",
        "--area <m2>",
        "[may be filled in later]",
        "--texture <WORD>",
        "[sand, loamy-sand, sandy-loam,",
        "--root-zone <mm>",
        "[mm, from 10 to 1000]",
        "--property <NAME>",
    ] {
        assert!(words.contains(part), "{part} in {help}");
    }
}

#[test]
fn a_panel_file_is_read_without_a_notebook() {
    let file = program::fixture("../core/app/tests/panel_files/wide-limits-bom.tsv");
    let file = file.to_str().unwrap();
    let read = run(&["panel", "read", file, "--json"], "").json();
    assert!(!read["samples"].as_array().unwrap().is_empty(), "{read}");
    let said = run(&["panel", "read", file], "").done();
    assert!(said.contains("Sample") && !said.contains('{'), "words, not JSON: {said}");
}

#[test]
fn without_a_notebook_it_says_how_to_make_one() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().join("none");
    let folder = folder.to_str().unwrap();
    for command in [&["status"][..], &["property", "add", "--name", "X"]] {
        let arguments = [&["--notebook", folder, "--json"], command].concat();
        let problem = run(&arguments, "").refused();
        assert_eq!(problem.code, "no-notebook", "{problem:?}");
        assert!(problem.message.contains("swardbook init"), "{problem:?}");
    }
    assert!(!scratch.path().join("none").exists(), "nothing was made");
    run(&["init", folder], "").done();
    let again = run(&["init", folder, "--json"], "").refused();
    assert_eq!(again.code, "no-notebook", "never made over another: {again:?}");
    run(&["status", "--notebook", folder], "").done();
}

#[test]
fn json_is_one_document_for_every_reading_command() {
    let book = Book::with_zone();
    for command in [
        &["status"][..],
        &["today"],
        &["undo", "--list"],
        &["settings", "show"],
        &["property", "list"],
        &["property", "show", "Kettle Bend"],
        &["zone", "list", "--property", "Kettle Bend"],
        &["zone", "show", "Front verge"],
        &["sample", "list", "--zone", "Front verge"],
        &["sample", "window", "Front verge"],
        &["laboratory", "list"],
        &["material", "list"],
        &["price", "list"],
        &["guideline", "list"],
        &["panel", "analytes"],
        &["conflicts", "list"],
        &["record", "forms"],
        &["calc", "--list"],
    ] {
        let _: Json = book.json(command);
        let said = book.run(command).done();
        assert!(!said.trim().is_empty(), "{command:?} says something");
        assert!(!said.contains("\":"), "{command:?} is words, not JSON: {said}");
    }
}

#[test]
fn who_works_stands_in_the_history() {
    let book = Book::new();
    let add = ["property", "add", "--name", "Kettle Bend", "--as", "Tamsin Okoro"];
    let id = book.id(&add);
    book.run(&["property", "edit", "kettle bend", "--client", "J. Brandt"]).done();
    let history = book.run(&["record", "history", &id]).done();
    assert!(history.contains("Tamsin Okoro"), "{history}");
    assert!(history.contains("J. Brandt"), "the edit found its property by name: {history}");
}

/// Commands that need no notebook here and so are run without `call`.
const WITHOUT_A_NOTEBOOK: [&str; 5] =
    ["record.forms", "calc.list", "calc.run", "photo.measure_file", "photo.chart"];

/// Neither shell can do what the other cannot: every command of the application is asked for
/// somewhere among the arguments.
#[test]
fn every_command_of_the_application_can_be_asked_for() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/arguments");
    let mut source = String::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        source.push_str(&std::fs::read_to_string(entry.unwrap().path()).unwrap());
    }
    let missing: Vec<&str> = swardbook_app::commands()
        .iter()
        .map(|command| command.name)
        .filter(|name| !WITHOUT_A_NOTEBOOK.contains(name))
        .filter(|name| !source.contains(&format!("\"{name}\"")))
        .collect();
    assert!(missing.is_empty(), "not on the command line: {missing:?}");
}
