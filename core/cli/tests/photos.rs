//! Photos through the command line: hostile files, measuring a file, the chart.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod program;

use std::path::Path;

use program::{Book, run};

/// A PNG header that says it is of this size, with nothing behind it.
fn png_of(width: u32, height: u32, depth: u8) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut header = b"IHDR".to_vec();
    header.extend(width.to_be_bytes());
    header.extend(height.to_be_bytes());
    header.extend([depth, 2, 0, 0, 0]);
    bytes.extend(13_u32.to_be_bytes());
    bytes.extend(&header);
    bytes.extend(crc(&header).to_be_bytes());
    bytes
}

/// CRC-32 of W3C PNG, annex D.
fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 };
        }
    }
    !crc
}

/// Start of a JPEG that says it has this size and so many channels.
fn jpeg_of(width: u16, height: u16, channels: u8) -> Vec<u8> {
    let mut bytes = vec![0xff, 0xd8, 0xff, 0xc0];
    bytes.extend((8 + 3 * u16::from(channels)).to_be_bytes());
    bytes.push(8);
    bytes.extend(height.to_be_bytes());
    bytes.extend(width.to_be_bytes());
    bytes.push(channels);
    for channel in 1..=channels {
        bytes.extend([channel, 0x11, 0]);
    }
    bytes
}

#[test]
fn hostile_files_are_refused_in_words_and_nothing_is_kept() {
    let book = Book::with_zone();
    let folder = book.scratch.path().join("hostile");
    std::fs::create_dir(&folder).unwrap();
    let heic = [&[0, 0, 0, 24][..], b"ftypheic", &[0; 12]].concat();
    for (name, bytes, words) in [
        ("empty.jpg", Vec::new(), "empty"),
        ("words.jpg", b"this is no photo".to_vec(), ""),
        ("cut.jpg", jpeg_of(4000, 3000, 3), ""),
        ("inks.jpg", jpeg_of(400, 300, 4), "CMYK"),
        ("thread.png", png_of(1, 100_000, 8), "at most"),
        ("bomb.png", png_of(60_000, 60_000, 8), "at most"),
        ("deep-bomb.png", png_of(20_000, 20_000, 16), ""),
        ("phone.heic", heic, "JPEG"),
    ] {
        let path = folder.join(name);
        std::fs::write(&path, bytes).unwrap();
        let path = path.to_str().unwrap();
        let problem =
            book.run(&["photo", "add", path, "--zone", "Front verge", "--json"]).refused();
        assert_eq!(problem.code, "bad-file", "{name}: {problem:?}");
        assert!(problem.message.contains(words), "{name}: {problem:?}");
        let problem = run(&["photo", "measure", path, "--json"], "").refused();
        assert_eq!(problem.code, "bad-file", "{name}: {problem:?}");
    }
    let list = book.json(&["photo", "list", "--zone", "Front verge"]);
    assert_eq!(list, serde_json::json!([]), "nothing was kept");
}

#[test]
fn a_heic_among_photos_is_told_how_to_be_taken_otherwise_and_stays_where_it_lies() {
    let book = Book::with_zone();
    let folder = book.scratch.path().join("camera");
    std::fs::create_dir(&folder).unwrap();
    let heic = [&[0, 0, 0, 24][..], b"ftypheic", &[0; 12]].concat();
    // As a phone writes its name.
    let file = folder.join("IMG_0007.HEIC");
    std::fs::write(&file, &heic).unwrap();
    let chart = folder.join("chart.png");
    run(&["photo", "chart", "--out", chart.to_str().unwrap()], "").done();
    let folder = folder.to_str().unwrap();
    let ways = ["HEIC", "\"most compatible\"", "\"HEIF\" off", "as JPEG"];
    for asked in [
        &["photo", "add", folder, "--zone", "Front verge", "--preview"][..],
        &["photo", "add", folder, "--zone", "Front verge"],
    ] {
        let said = book.run(asked).done();
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("IMG_0007.HEIC"), "{said}");
        for words in ways {
            assert!(said.contains(words), "{words}: {said}");
        }
    }
    assert_eq!(std::fs::read(&file).unwrap(), heic, "the file is as it was");
    let list = book.json(&["photo", "list", "--zone", "Front verge"]);
    assert_eq!(list.as_array().map(Vec::len), Some(1), "the other one is kept: {list}");
}

#[test]
fn the_chart_is_printed_and_is_found_in_its_own_picture() {
    let scratch = tempfile::tempdir().unwrap();
    let file = |name: &str| scratch.path().join(name).display().to_string();
    let (png, pdf) = (file("chart.png"), file("sheet.pdf"));
    let said = run(&["photo", "chart", "--out", &png], "").done();
    assert!(said.contains("chart.values.csv"), "{said}");
    run(&["photo", "chart", "--out", &pdf], "").done();
    assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF-"), "a PDF");
    let again = run(&["photo", "chart", "--out", &png, "--json"], "").refused();
    assert_eq!(again.code, "storage", "nothing is written over");
    // Of the sheet alone everything is card, and nothing is left to measure: refused, by name.
    let problem = run(&["photo", "measure", &png, "--card", "chart", "--json"], "").refused();
    assert!(problem.message.contains("region"), "{problem:?}");
    let values = file("chart.values.csv");
    assert!(Path::new(&values).exists());
    let problem = run(&["photo", "measure", &png, "--card", "none", "--sheet", &png, "--json"], "");
    assert_eq!(problem.refused().field, "sheet");
}

#[test]
fn measuring_again_goes_by_what_was_chosen_then_and_says_when_there_is_nothing_to_do() {
    let book = Book::with_zone();
    let nothing = serde_json::json!({ "photos": [], "without": [], "left": 0 });
    for place in [&[][..], &["--zone", "Front verge"], &["--property", "Kettle Bend"]] {
        let asked = [&["photo", "measure", "--again"][..], place].concat();
        assert_eq!(book.json(&asked), nothing, "{place:?}");
        let said = book.run(&asked).done();
        assert!(said.contains("nothing to measure again"), "{said}");
    }
    let asked = ["photo", "measure", "--again", "--zone", "Nowhere", "--json"];
    assert_eq!(book.run(&asked).refused().field, "zone");
    for with in [&["--card", "chart"][..], &["--try"], &["--hue", "50,120"], &["some.jpg"]] {
        let asked = [&["photo", "measure", "--again"][..], with].concat();
        assert_eq!(book.run(&asked).code, 2, "{asked:?}");
    }
    assert_eq!(book.run(&["photo", "measure", "--property", "Kettle Bend"]).code, 2);
}
