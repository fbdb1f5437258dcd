//! Photos in a notebook: kept, sorted, measured, measured again, compared.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};
use swardbook_app::{
    Code, FixedSurroundings, Notebook, Part, Problem, Progress, Watch, call, call_watched, photo,
};
use swardbook_units::NaiveDate;

mod exif_block;
mod turf_scene;
use exif_block::exif_block;
use turf_scene::{Scene, jpeg, slate};

/// A notebook with two zones.
struct Book {
    scratch: tempfile::TempDir,
    notebook: Notebook,
}

impl Book {
    fn new() -> Self {
        let scratch = tempfile::tempdir().unwrap();
        let day = NaiveDate::from_ymd_opt(2026, 9, 20).unwrap();
        let surroundings = Box::new(FixedSurroundings::new(day, 3));
        let notebook = Notebook::create(&scratch.path().join("book"), surroundings).unwrap();
        let mut book = Self { scratch, notebook };
        book.ask("record.add", json!({ "kind": "property", "fields": { "name": "Kettle Bend" } }));
        for (name, outline) in [
            // The invented camera of the tests stands at 34.929 S, 138.6 E.
            (
                "Front verge",
                "wgs84 -34.9289,138.5999 -34.9289,138.6001 -34.9291,138.6001 -34.9291,138.5999",
            ),
            (
                "Back terrace",
                "wgs84 -34.9389,138.5999 -34.9389,138.6001 -34.9391,138.6001 -34.9391,138.5999",
            ),
        ] {
            book.ask(
                "record.add",
                json!({ "kind": "zone", "within": "Kettle Bend",
                "fields": { "name": name, "outline": outline, "grass": "warm-season" } }),
            );
        }
        book
    }

    fn call(&mut self, name: &str, request: Json) -> Result<Json, Problem> {
        call(&mut self.notebook, name, request)
    }

    #[track_caller]
    fn ask(&mut self, name: &str, request: Json) -> Json {
        self.call(name, request).unwrap_or_else(|problem| panic!("{name}: {problem}"))
    }

    #[track_caller]
    fn refused(&mut self, name: &str, request: Json) -> Problem {
        self.call(name, request).unwrap_err()
    }

    fn file(&self, name: &str, bytes: &[u8]) -> String {
        let path: PathBuf = self.scratch.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path.display().to_string()
    }

    /// Keeps a photo of a scene on a day and gives its id.
    fn keep(&mut self, scene: &Scene, name: &str, date: &str) -> String {
        let path = self.file(name, &scene.jpeg(None));
        let request = json!({ "photos": [{ "path": path, "zone": "Front verge", "date": date }] });
        let added = self.ask("photo.add", request);
        added["added"][0]["id"].as_str().unwrap().to_owned()
    }

    fn zone_id(&mut self, name: &str) -> String {
        let zone = self.ask("zone.show", json!({ "zone": name }));
        zone["id"]
            .as_str()
            .map_or_else(|| zone["record"]["id"].as_str().unwrap().to_owned(), str::to_owned)
    }
}

fn number(value: &Json) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn a_measurement_is_kept_beside_its_photo_and_gives_the_same_numbers_again() {
    let mut book = Book::new();
    let photo = book.keep(&Scene::WITH_CHART, "a.jpg", "2026-09-14");
    let measured = book.ask("photo.measure", json!({ "photo": photo }));
    assert_eq!(measured["card"], "chart", "{measured}");
    assert_eq!(measured["corners_found"], true);
    assert_eq!(measured["is_evidence"], true, "{}", measured["why_not"]);
    for key in ["cover", "index", "hue", "saturation", "brightness"] {
        assert!(number(&measured[key]["u"]) > 0.0, "{key} has its uncertainty");
        assert!(number(&measured[key]["low"]) < number(&measured[key]["high"]), "{key}");
    }
    assert_eq!(measured["lab"].as_array().unwrap().len(), 3);
    // The record stands in the journal, with what was chosen.
    let record = book.ask("record.get", json!({ "id": measured["id"] }));
    assert_eq!(record["kind"], "measurement");
    let again = book.ask("photo.redo", json!({ "photo": photo }));
    assert_eq!(again["is_same"], true, "{again}");
    assert!(number(&again["compared"]) > 25.0, "{again}");

    // Another mask is another measurement; the change is kept in words and the first stays.
    let request = json!({ "photo": photo, "card": "none", "hue": [50.0, 120.0] });
    let other = book.ask("photo.measure", request);
    assert!(other["changed"][0].as_str().unwrap().contains("hue 50 to 120"), "{other}");
    assert_eq!(other["is_evidence"], false, "without a card it is none");
    assert_eq!(other["cover"]["u"], Json::Null, "and no interval is claimed");
    let shown = book.ask("photo.show", json!({ "photo": photo }));
    assert_eq!(shown["measurements"].as_array().unwrap().len(), 2);
    assert_eq!(shown["measurements"][0]["id"], other["id"], "the newest counts");
    assert_eq!(book.ask("photo.redo", json!({ "photo": photo }))["is_same"], true);
    // Taken away, the first counts again.
    book.ask("record.void", json!({ "id": other["id"], "why": "a slip" }));
    let list = book.ask("photo.list", json!({ "zone": "Front verge" }));
    assert_eq!(list[0]["is_evidence"], true, "{list}");

    let problem = book.refused(
        "record.add",
        json!({ "kind": "measurement",
        "within": "Front verge", "fields": { "index": 0.5 } }),
    );
    assert_eq!(problem.code, Code::Refused, "{problem}");
}

#[test]
fn corners_marked_by_hand_measure_like_corners_that_were_found() {
    let mut book = Book::new();
    let photo = book.keep(&Scene::WITH_CHART, "a.jpg", "2026-09-14");
    let found = book.ask("photo.try", json!({ "photo": photo, "card": "chart" }));
    let by_hand = book
        .ask("photo.try", json!({ "photo": photo, "card": "chart", "corners": found["corners"] }));
    assert_eq!(by_hand["corners_found"], false);
    let apart = number(&found["index"]["value"]) - number(&by_hand["index"]["value"]);
    assert!(apart.abs() < 1e-9, "{apart}");
    let list = book.ask("photo.list", json!({ "zone": "Front verge" }));
    assert_eq!(list[0]["is_measured"], false, "a try keeps nothing");
    let mask =
        format!("{}/{}", found["original"].as_str().unwrap(), found["mask"].as_str().unwrap());
    assert!(book.notebook.kept_file(&mask).unwrap().size > 1000, "the mask can be looked at");

    for (request, code, words) in [
        (json!({ "card": "grey-card" }), Code::Refused, "grey card"),
        (json!({ "card": "disks" }), Code::BadInput, "disks"),
        (json!({ "corners": [[1.0, 2.0]] }), Code::BadInput, "four"),
        (
            json!({ "card": "chart", "corners": [[0, 0], [5, 0], [5, 5], [0, 5]] }),
            Code::BadInput,
            "small",
        ),
        (json!({ "hue": [100.0, 20.0] }), Code::BadInput, "hue"),
        (json!({ "region": [[0, 0], [3, 0], [3, 3]] }), Code::BadInput, "region"),
    ] {
        let mut request = request;
        request["photo"] = json!(photo);
        let problem = book.refused("photo.try", request.clone());
        assert_eq!(problem.code, code, "{request}: {problem}");
        assert!(problem.message.contains(words), "{request}: {problem}");
    }
}

#[test]
fn the_same_file_is_kept_once_and_what_is_no_photo_is_named() {
    let mut book = Book::new();
    let one = book.file("one.jpg", &Scene::PLAIN.jpeg(None));
    let copy = book.file("copy.jpg", &Scene::PLAIN.jpeg(None));
    let text = book.file("notes.txt", b"no photo");
    let photos = json!([
        { "path": one, "zone": "Front verge" },
        { "path": copy, "zone": "Front verge" },
        { "path": text, "zone": "Front verge" },
    ]);
    let added = book.ask("photo.add", json!({ "photos": photos }));
    assert_eq!(added["added"].as_array().unwrap().len(), 1, "{added}");
    let skipped = added["skipped"].as_array().unwrap();
    assert!(skipped[0]["why"].as_str().unwrap().contains("twice"), "{added}");
    assert!(skipped[1]["path"].as_str().unwrap().ends_with("notes.txt"), "{added}");
    assert!(skipped[1]["why"].as_str().unwrap().contains("not a photo"), "{added}");
    let again =
        book.ask("photo.add", json!({ "photos": [{ "path": one, "zone": "Front verge" }] }));
    assert_eq!(again["added"], json!([]));
    assert_eq!(again["skipped"][0]["known_as"], added["added"][0]["id"], "{again}");
    // Undo takes the whole action back, and the file may come again.
    book.ask("notebook.undo", json!({}));
    assert_eq!(book.ask("photo.list", json!({ "zone": "Front verge" })), json!([]));
    let third =
        book.ask("photo.add", json!({ "photos": [{ "path": one, "zone": "Front verge" }] }));
    assert_eq!(third["added"].as_array().unwrap().len(), 1, "{third}");
}

/// Stops when so many photos are done.
struct StopAt(u32, bool);

impl Watch for StopAt {
    fn tell(&mut self, progress: &Progress) {
        assert!(progress.all == 0 || progress.part == Part::Photos, "{progress:?}");
        self.1 |= progress.done >= self.0;
    }

    fn is_stopped(&self) -> bool {
        self.1
    }
}

#[test]
fn an_import_that_is_stopped_keeps_what_it_has_and_goes_on_from_there() {
    let mut book = Book::new();
    let photos: Vec<Json> = (1..8)
        .map(|seed| {
            // Small ones: what is told and kept is the same.
            let bytes = jpeg(&Scene { seed, ..Scene::PLAIN }.draw(120, 90), None);
            let path = book.file(&format!("{seed}.jpg"), &bytes);
            json!({ "path": path, "zone": "Front verge" })
        })
        .collect();
    let paths: Vec<&Json> = photos.iter().map(|photo| &photo["path"]).collect();
    let sort = json!({ "paths": paths });
    let stopped = call_watched(&mut book.notebook, "photo.sort", sort, &mut StopAt(1, false));
    assert_eq!(stopped.unwrap_err().code, Code::Cancelled);

    let request = json!({ "photos": photos });
    let mut add = |at: u32| {
        call_watched(&mut book.notebook, "photo.add", request.clone(), &mut StopAt(at, false))
            .unwrap()
    };
    let before = add(0);
    assert_eq!((&before["added"], &before["stopped"]), (&json!([]), &json!(true)));
    let some = add(1);
    let kept = some["added"].as_array().unwrap().len();
    assert!(0 < kept && kept < 7, "{kept}");
    assert_eq!((&some["skipped"], &some["stopped"]), (&json!([]), &json!(true)));
    let rest = add(99);
    assert_eq!(rest["added"].as_array().unwrap().len(), 7 - kept);
    assert_eq!(rest["skipped"].as_array().unwrap().len(), kept, "kept already");
    assert_eq!(rest["stopped"], false);
    assert_eq!(
        book.ask("photo.list", json!({ "zone": "Front verge" })).as_array().unwrap().len(),
        7
    );
    // Each of the two acts is taken back by itself.
    book.ask("notebook.undo", json!({}));
    let left = book.ask("photo.list", json!({ "zone": "Front verge" }));
    assert_eq!(left.as_array().unwrap().len(), kept);
}

#[test]
fn photos_are_sorted_by_slate_position_and_time_before_any_is_kept() {
    let mut book = Book::new();
    let folder = book.scratch.path().join("camera");
    std::fs::create_dir(&folder).unwrap();
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.join(name), bytes).unwrap();
    let scene = |seed: u32| Scene { seed, ..Scene::PLAIN };
    let terrace = book.zone_id("Back terrace");
    // Position lies in the front verge.
    write("1.jpg", &scene(1).jpeg(Some(exif_block(1, "2026:09:14 08:00:00"))));
    // A slate of the back terrace, and a photo after it without a position.
    let bare = |bytes: &[u8]| photo::without_location(bytes).unwrap();
    write(
        "2.jpg",
        &bare(&slate(terrace.parse().unwrap(), Some(exif_block(1, "2026:09:14 09:00:00")))),
    );
    write("3.jpg", &bare(&scene(3).jpeg(Some(exif_block(1, "2026:09:14 09:05:00")))));
    // After the slate, but in the other zone by its position.
    write("4.jpg", &scene(4).jpeg(Some(exif_block(1, "2026:09:14 09:10:00"))));
    // Nothing tells: three hours later, no position.
    write("5.jpg", &bare(&scene(5).jpeg(Some(exif_block(1, "2026:09:14 13:00:00")))));
    // Near a rating that was given at four.
    write("6.jpg", &bare(&scene(6).jpeg(Some(exif_block(1, "2026:09:14 16:07:00")))));
    write("7.jpg", b"\xff\xd8\xff\xe0 broken");
    write("readme.txt", b"not looked at");
    book.ask(
        "record.add",
        json!({ "kind": "observation", "within": "Back terrace", "fields": {
        "sort": "rating", "date": "2026-09-14", "time": "16:00", "what": "colour", "value": 6,
        "rater": "Tamsin Okoro" } }),
    );
    let path = folder.display().to_string();
    let sorted = book.ask("photo.sort", json!({ "paths": [path] }));
    let lines = sorted["photos"].as_array().unwrap();
    let line = |name: &str| {
        let is_it = |line: &&Json| Path::new(line["path"].as_str().unwrap()).ends_with(name);
        lines.iter().find(is_it).unwrap().clone()
    };
    for (name, zone, by) in [
        ("1.jpg", "Front verge", "position"),
        ("2.jpg", "Back terrace", "slate"),
        ("3.jpg", "Back terrace", "slate"),
        ("4.jpg", "", ""),
        ("5.jpg", "", ""),
        ("6.jpg", "Back terrace", "time"),
        ("7.jpg", "", ""),
    ] {
        let line = line(name);
        assert_eq!((&line["zone_name"], &line["by"]), (&json!(zone), &json!(by)), "{line}");
    }
    assert_eq!(line("2.jpg")["is_slate"], true);
    assert!(line("4.jpg")["why"].as_str().unwrap().contains("Front verge"), "both are named");
    assert!(!line("7.jpg")["problem"].as_str().unwrap().is_empty(), "said, not thrown away");
    assert_eq!((&sorted["ready"], &sorted["ignored"]), (&json!(3), &json!(1)));
    assert_eq!(
        book.ask("photo.list", json!({ "zone": "Back terrace" })),
        json!([]),
        "nothing kept"
    );
    assert!(book.refused("photo.sort", json!({ "paths": ["/nowhere/at/all"] })).field.is_some());
}

#[test]
fn a_photo_given_out_has_no_position_unless_that_was_asked_for() {
    let mut book = Book::new();
    let with_position = Scene::PLAIN.jpeg(Some(exif_block(6, "2026:09:14 10:32:05")));
    let path = book.file("a.jpg", &with_position);
    let added =
        book.ask("photo.add", json!({ "photos": [{ "path": path, "zone": "Front verge" }] }));
    let id = added["added"][0]["id"].clone();
    let out = |name: &str| book_path(&book, name);
    let (bare, whole, small) = (out("bare.jpg"), out("whole.jpg"), out("small.jpg"));
    let given = book.ask("photo.export", json!({ "photo": id, "out": bare }));
    assert_eq!((&given["had_position"], &given["has_position"]), (&json!(true), &json!(false)));
    let bytes = std::fs::read(&bare).unwrap();
    let info = photo::read_photo(&bytes).unwrap();
    assert_eq!(info.position, None);
    assert_eq!(info.orientation, 6, "it still lies as it lay");
    assert_eq!(info.taken.unwrap().local.to_string(), "2026-09-14 10:32:05");
    let pixels = |bytes: &[u8]| photo::decode(bytes).unwrap();
    assert_eq!(pixels(&bytes), pixels(&with_position), "the picture itself is untouched");
    book.ask("photo.export", json!({ "photo": id, "out": whole, "with_location": true }));
    assert_eq!(std::fs::read(&whole).unwrap(), with_position, "as it came");
    let small = book.ask("photo.export", json!({ "photo": id, "out": small, "what": "small" }));
    assert_eq!(small["has_position"], false);
    let again = book.refused("photo.export", json!({ "photo": id, "out": bare }));
    assert_eq!(again.code, Code::Storage, "nothing is written over: {again}");
}

fn book_path(book: &Book, name: &str) -> String {
    book.scratch.path().join(name).display().to_string()
}

#[test]
fn small_pictures_can_be_thrown_away_and_come_out_the_same() {
    let mut book = Book::new();
    book.keep(&Scene::PLAIN, "a.jpg", "2026-09-14");
    let list = book.ask("photo.list", json!({ "zone": "Front verge" }));
    let original = list[0]["original"].as_str().unwrap().to_owned();
    let both = |book: &Book| {
        ["256", "1600"].map(|side| book.notebook.small_picture(&original, side).unwrap())
    };
    let before = both(&book);
    std::fs::remove_dir_all(book.scratch.path().join("book/cache")).unwrap();
    let made = book.ask("photo.pictures", json!({ "zone": "Front verge" }));
    assert_eq!((&made["photos"], &made["made"]), (&json!(1), &json!(1)));
    assert_eq!(both(&book), before);
    for name in ["../secret", "512", "mask-0", ""] {
        assert!(book.notebook.kept_file(&format!("{original}/{name}")).is_err(), "{name}");
    }
}

#[test]
fn a_series_keeps_evidence_apart_and_says_how_well_a_photo_repeats() {
    let mut book = Book::new();
    let scene = |seed: u32, blade: [f64; 3]| Scene { seed, blade, ..Scene::WITH_CHART };
    let (pale, dark) = ([120.0, 150.0, 70.0], [55.0, 100.0, 40.0]);
    for (at, (day, blade)) in [
        ("2026-08-01", pale),
        ("2026-08-01", pale),
        ("2026-08-01", pale),
        ("2026-09-12", dark),
        ("2026-09-12", dark),
    ]
    .into_iter()
    .enumerate()
    {
        let seed = 11 + u32::try_from(at).unwrap();
        let id = book.keep(&scene(seed, blade), &format!("{at}.jpg"), day);
        book.ask("photo.measure", json!({ "photo": id }));
    }
    let plain = book.keep(&Scene { seed: 99, ..Scene::PLAIN }, "plain.jpg", "2026-09-13");
    book.ask("photo.measure", json!({ "photo": plain }));
    book.keep(&Scene { seed: 98, ..Scene::PLAIN }, "later.jpg", "2026-09-14");

    let series = book.ask("photo.series", json!({ "zone": "Front verge" }));
    let lines = series["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 1, "{series}");
    assert_eq!(lines[0]["occasions"].as_array().unwrap().len(), 2, "photos of a day are one value");
    assert_eq!(lines[0]["occasions"][0]["photos"].as_array().unwrap().len(), 3);
    assert_eq!(series["hollow"].as_array().unwrap().len(), 1, "the photo without a card");
    assert_eq!(series["unmeasured"], 1);
    let known = &lines[0]["repeatability"];
    // Three photos and two: two and one degrees of freedom.
    assert_eq!((&known["df"], &known["photos"]), (&json!(3.0), &json!(5)), "{known}");
    let change = &lines[0]["change"];
    assert!(number(&change["low"]) > 0.0, "darker green has the greater index: {change}");
    assert!(change["sentence"].as_str().unwrap().contains("rose"), "{change}");
    // The difference is at least as uncertain as repeats alone would make it.
    let repeats = number(&known["deviation"]) * (1.0_f64 / 3.0 + 0.5).sqrt();
    assert!(number(&change["u"]) >= repeats, "{change}");

    let figure = book.ask("figure.photos", json!({ "zone": "Front verge", "quantity": "cover" }));
    let rows = figure["table"]["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 3, "two days and one photo that is no evidence: {rows:?}");
    assert!(figure["svg"].as_str().unwrap().starts_with("<svg"));
}

/// The same two scenes once with the camera's notes and once without: the numbers are the same, and
/// what one camera does to both drops out of the difference only where the photos say that it was
/// one. Strips stand on lines of their own.
#[test]
fn photos_of_one_camera_are_compared_more_closely_than_photos_of_any() {
    let mut book = Book::new();
    let (pale, dark) = ([120.0, 150.0, 70.0], [95.0, 130.0, 60.0]);
    let mut ids = Vec::new();
    for (strip, has_notes) in [("treated", true), ("control", false)] {
        for (day, blade) in [("2026-08-01", pale), ("2026-09-12", dark)] {
            let notes = has_notes.then(|| exif_block(1, "2026:08:01 10:00:00"));
            let scene = Scene { blade, seed: 21, ..Scene::WITH_CHART };
            let path = book.file(&format!("{strip}-{day}.jpg"), &scene.jpeg(notes));
            let photo = json!({ "path": path, "zone": "Front verge", "date": day, "strip": strip });
            let added = book.ask("photo.add", json!({ "photos": [photo] }));
            let id = added["added"][0]["id"].as_str().unwrap().to_owned();
            book.ask("photo.measure", json!({ "photo": id }));
            assert_eq!(book.ask("photo.redo", json!({ "photo": id }))["is_same"], true);
            ids.push(id);
        }
    }
    let series = book.ask("photo.series", json!({ "zone": "Front verge" }));
    let lines = series["lines"].as_array().unwrap();
    let line = |strip: &str| lines.iter().find(|line| line["strip"] == strip).unwrap();
    let (known, strangers) = (&line("treated")["change"], &line("control")["change"]);
    assert_eq!(line("treated")["name"], "treated, chart");
    assert_eq!((&known["value"], lines.len()), (&strangers["value"], 2), "the same pixels");
    assert!(number(&known["u"]) < 0.9 * number(&strangers["u"]), "{known} {strangers}");
    let notes = series["notes"].to_string();
    assert!(notes.contains("treated, chart: both days were taken in one way"), "{notes}");
    assert!(notes.contains("Invented, Field 3, 900 x 680"), "{notes}");
    assert!(notes.contains("control, chart: the photos do not say what camera"), "{notes}");
    let pair = book.ask("photo.pair", json!({ "before": ids[0], "after": ids[1] }));
    assert_eq!(pair["differences"][0]["u"], known["u"], "{pair}");
    assert!(pair["notes"].to_string().contains("taken in one way"), "{pair}");
    // A strip is not compared with another one.
    let across = book.ask("photo.pair", json!({ "before": ids[0], "after": ids[3] }));
    assert!(across["refused"][0].as_str().unwrap().contains("treated and control"), "{across}");
}

#[test]
fn a_pair_is_drawn_to_one_scale_and_compared_only_where_it_may_be() {
    let mut book = Book::new();
    let early = Scene { blade: [120.0, 150.0, 70.0], seed: 5, ..Scene::WITH_CHART };
    // Nearer, so that the chart is larger.
    let late = Scene { seed: 6, chart: Some((60, 40, 10)), ..Scene::WITH_CHART };
    let before = book.keep(&early, "before.jpg", "2026-08-01");
    let after = book.keep(&late, "after.jpg", "2026-09-12");
    let pair = json!({ "before": before, "after": after });
    assert!(book.refused("photo.pair", pair.clone()).message.contains("not measured"));
    for id in [&before, &after] {
        book.ask("photo.measure", json!({ "photo": id }));
    }
    let view = book.ask("photo.pair", pair.clone());
    assert_eq!(view["is_same_scale"], true);
    assert_eq!(view["refused"], json!([]), "{view}");
    assert_eq!(view["differences"].as_array().unwrap().len(), 2);
    let sides: Vec<image::RgbImage> = ["before", "after"]
        .iter()
        .map(|side| {
            let mut bytes = Vec::new();
            let address = view[side]["picture"].as_str().unwrap();
            std::io::Read::read_to_end(
                &mut book.notebook.kept_file(address).unwrap().file,
                &mut bytes,
            )
            .unwrap();
            image::load_from_memory(&bytes).unwrap().into_rgb8()
        })
        .collect();
    for side in &sides {
        assert_eq!((side.width(), side.height()), (width(&view), height(&view)), "one size");
    }
    assert!(
        book.refused("photo.pair", json!({ "before": after, "after": before }))
            .message
            .contains("first")
    );

    // The same two photos measured by another mask may not stand against each other.
    book.ask("photo.measure", json!({ "photo": after, "hue": [50.0, 120.0] }));
    let view = book.ask("photo.pair", pair.clone());
    assert_eq!(view["differences"], json!([]));
    assert!(view["refused"][0].as_str().unwrap().contains("counts as green"), "{view}");
    book.ask("photo.measure", json!({ "photo": after, "card": "none" }));
    assert!(book.refused("photo.pair", pair).message.contains("uncorrected"));
}

fn width(view: &Json) -> u32 {
    u32::try_from(view["width"].as_u64().unwrap()).unwrap()
}

fn height(view: &Json) -> u32 {
    u32::try_from(view["height"].as_u64().unwrap()).unwrap()
}

/// The published points of the curve: 16.9 degrees for cool-season grass give 0.85
/// (`woods-growth-2014`); at or above 31 degrees a warm-season one is held at 1.
#[test]
fn temperatures_give_the_growth_potential_of_the_zones_grass() {
    let mut book = Book::new();
    let days: String = (1..=14).map(|day| format!("2026-09-{day:02} 31.5\n")).collect();
    let added = book.ask("temperatures.add", json!({ "property": "Kettle Bend", "text": days }));
    assert_eq!((&added["days"], &added["first"]), (&json!(14), &json!("2026-09-01")));
    let growth = |book: &mut Book| {
        book.ask("photo.series", json!({ "zone": "Front verge" }))["growth"].clone()
    };
    let warm = growth(&mut book);
    assert!(warm.as_array().unwrap().iter().all(|week| week["potential"] == 1.0), "{warm}");
    let zone = book.zone_id("Front verge");
    book.ask("record.edit", json!({ "id": zone, "fields": { "grass": "cool-season" } }));
    let file = book.file("week.csv", b"date;temp\n2026-09-07;16,9\n2026-09-08;16,9\n2026-09-09;16,9\n2026-09-10;16,9\n2026-09-11;16,9\n2026-09-12;16,9\n2026-09-13;16,9\n");
    book.ask("temperatures.add", json!({ "property": "Kettle Bend", "path": file }));
    let cool = growth(&mut book);
    let week = cool.as_array().unwrap().iter().find(|week| week["first"] == "2026-09-07").unwrap();
    assert!((number(&week["potential"]) - 0.85).abs() < 0.005, "{week}");
    let problem = book.refused(
        "temperatures.add",
        json!({ "property": "Kettle Bend", "text": "2026-09-01 warm" }),
    );
    assert!(problem.message.contains("line 1"), "{problem}");
}

#[test]
fn the_chart_comes_with_its_values_and_is_found_in_its_own_picture() {
    let book = Book::new();
    let out = book_path(&book, "chart.png");
    let written =
        swardbook_app::album::write_chart(&serde_json::from_value(json!({ "out": out })).unwrap())
            .unwrap();
    assert_eq!(written.files.len(), 2);
    let values = std::fs::read_to_string(&written.files[1]).unwrap();
    assert_eq!(values.lines().count(), 25, "a heading and a line for each patch");
    // The printed sheet lying on turf.
    let sheet = image::open(&out).unwrap().into_rgb8();
    let sheet = image::imageops::resize(&sheet, 584, 312, image::imageops::FilterType::Triangle);
    let mut picture = Scene::PLAIN.draw(900, 680);
    image::imageops::replace(&mut picture, &sheet, 90, 60);
    let file = book.file("photo.jpg", &jpeg(&picture, None));
    let request = json!({ "path": file, "sheet": values });
    let day = NaiveDate::from_ymd_opt(2026, 9, 20).unwrap();
    let view =
        swardbook_app::album::measure_file(&serde_json::from_value(request).unwrap(), day).unwrap();
    assert_eq!((view.card.as_str(), view.corners_found), ("chart", true), "{:?}", view.tried);
    assert!(view.id.is_empty(), "nothing was kept");
}
