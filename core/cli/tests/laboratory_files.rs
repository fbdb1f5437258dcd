//! Every file of the fixtures goes into a notebook, or is refused in words.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod program;

use std::{fs, path::PathBuf};

use program::{Book, fixture};

const TABLES: [&str; 3] = ["csv", "tsv", "xlsx"];

fn tables(folder: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(fixture(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| TABLES.iter().any(|known| end == *known)))
        .collect();
    files.sort();
    files
}

/// Files that are made to be no panels.
const REFUSED: [&str; 3] = ["binary-named.csv", "empty.csv", "header-only.csv"];

#[test]
#[allow(clippy::print_stdout, reason = "what is not read is printed")]
fn every_file_goes_in_whole_or_not_at_all() {
    let files: Vec<PathBuf> = ["laboratories", "real"].into_iter().flat_map(tables).collect();
    assert!(files.len() > 15, "{files:?}");
    for file in files {
        let name = file.file_name().unwrap().to_str().unwrap().to_owned();
        let book = Book::with_zone();
        let path = file.to_str().unwrap();
        let import = ["panel", "import", path, "--zone", "Front verge"];
        if REFUSED.contains(&name.as_str()) {
            let problem = book.refused(&import);
            println!("{name}: refused: {}", problem.message);
            assert_eq!(problem.field, "path", "{name}: {problem:?}");
            continue;
        }
        let preview = book.json(&["panel", "preview", path]);
        let samples = preview["samples"].as_array().unwrap();
        let outcome = book.json(&import);
        let panels = outcome["panels"].as_array().unwrap();
        assert_eq!(panels.len(), samples.len(), "{name}: a panel a sample");
        assert!(!panels.is_empty(), "{name}");
        let unread = outcome["preview"]["unread"].as_array().unwrap();
        println!("{name}: {} panels, {} cells not read", panels.len(), unread.len());
        for cell in unread {
            let text = |member: &str| cell[member].as_str().unwrap().to_owned();
            println!(
                "  {} \"{}\": {}; {}",
                text("cell"),
                text("text"),
                text("reason"),
                text("remedy")
            );
            assert!(!text("reason").is_empty() && !text("remedy").is_empty(), "{name}: {cell}");
        }
        // What was brought in is what the file says, reading by reading.
        for (panel, sample) in panels.iter().zip(samples).take(3) {
            let shown = book.json(&["panel", "show", panel["panel"].as_str().unwrap()]);
            let kept = shown["readings"].as_array().unwrap();
            let read = sample["readings"].as_array().unwrap();
            assert_eq!(kept.len(), read.len(), "{name}");
            for (kept, read) in kept.iter().zip(read) {
                for member in ["analyte", "method", "value", "unit"] {
                    assert_eq!(kept[member], read[member], "{name}: {read}");
                }
            }
        }
        let said = book.run(&["undo"]).done();
        assert!(said.contains(&name), "{said}");
        let zones = book.json(&["zone", "list"]);
        assert_eq!(zones[0]["panels"], 0, "{name}: taken back whole");
    }
}

#[test]
fn pasted_text_and_files_bring_in_the_same() {
    let pasted = "pH (CaCl2)\t5.2\nColwell P\t31 mg/kg\nK (Mehlich-3)\t54\tmg/kg\n";
    let book = Book::with_zone();
    let preview = book.typed(&["panel", "paste", "--preview"], pasted).done();
    assert!(preview.contains("Sample"), "{preview}");
    assert_eq!(book.json(&["zone", "list"])[0]["panels"], 0, "only looked at");
    let said = book.typed(&["panel", "paste", "-", "--zone", "Front verge"], pasted).done();
    assert!(said.contains("1 panel"), "{said}");
    let file = book.scratch.path().join("pasted.txt");
    fs::write(&file, pasted).unwrap();
    let file = file.to_str().unwrap();
    book.run(&["panel", "paste", file, "--zone", "Front verge"]).done();
    assert_eq!(book.json(&["zone", "list"])[0]["panels"], 2);
}

#[test]
fn a_waiting_sample_takes_the_panel_of_its_label_and_answers_are_remembered() {
    let book = Book::with_zone();
    book.run(&["laboratory", "add", "--name", "Fenwhistle Laboratory"]).done();
    let file = fixture("laboratories/fenwhistle-2023-09-19.csv");
    let file = file.to_str().unwrap();
    let preview = book.json(&["panel", "preview", file]);
    let label = preview["samples"][0]["label"].as_str().unwrap().to_owned();
    let sample = book.id(&["sample", "add", "--zone", "Front verge", "--label", &label]);
    let outcome = book.json(&[
        "panel",
        "import",
        file,
        "--zone",
        "Front verge",
        "--laboratory",
        "fenwhistle laboratory",
    ]);
    assert_eq!(outcome["panels"][0]["sample"], sample.as_str(), "{outcome}");
    assert_eq!(outcome["panels"][0]["made_sample"], false);
    let next = fixture("laboratories/fenwhistle-2024-03-26.csv");
    let preview = book.json(&["panel", "preview", next.to_str().unwrap()]);
    assert_eq!(preview["laboratory"], "Fenwhistle Laboratory", "its layout is known now");
    let labels = book.run(&["laboratory", "list"]).done();
    assert!(labels.contains("Layouts known"), "{labels}");
}
