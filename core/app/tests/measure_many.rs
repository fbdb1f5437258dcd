//! Many photos measured in one act: those not measured yet, and those of a zone, a property or the
//! notebook that an earlier version measured.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod book;
mod earlier;
mod turf_scene;

use book::Book;
use earlier::rewrite_measurements;
use serde_json::{Value as Json, json};
use swardbook_app::{Code, Notebook, Part, Progress, Step, Watch, call_watched};
use swardbook_journal::Value;
use turf_scene::Scene;

const EARLIER: &str = "pixel-then-mean-1";

/// Two properties: two zones with photos in the first, one in the second.
struct Kept {
    book: Book,
    /// The photos of the front verge.
    front: Vec<String>,
    terrace: String,
    green: String,
}

impl Kept {
    fn new() -> Self {
        let mut book = Book::on("2026-09-20");
        for (property, zones) in
            [("Kettle Bend", &["Front verge", "Back terrace"][..]), ("Bowls club", &["Green"])]
        {
            book.add("property", None, json!({ "name": property }));
            for zone in zones {
                book.add("zone", Some(property), json!({ "name": zone }));
            }
        }
        let mut kept =
            Self { book, front: Vec::new(), terrace: String::new(), green: String::new() };
        for seed in 1..4 {
            let photo = kept.photo("Front verge", &Scene { seed, ..Scene::WITH_CHART });
            kept.front.push(photo);
        }
        kept.terrace = kept.photo("Back terrace", &Scene { seed: 4, ..Scene::PLAIN });
        kept.green = kept.photo("Green", &Scene { seed: 5, ..Scene::WITH_CHART });
        kept
    }

    /// Keeps a photo and measures it.
    fn photo(&mut self, zone: &str, scene: &Scene) -> String {
        let path = self.book.scratch.path().join(format!("{}.jpg", scene.seed));
        std::fs::write(&path, scene.jpeg(None)).unwrap();
        let photos = json!({ "photos": [{ "path": path, "zone": zone, "date": "2026-09-14" }] });
        let id = self.book.ask("photo.add", photos)["added"][0]["id"].as_str().unwrap().to_owned();
        self.book.ask("photo.measure", json!({ "photo": id }));
        id
    }

    /// Has every measurement said to be of an earlier way, with a cover that shows the difference.
    fn made_earlier(mut self, fields: &[(&str, Option<Value>)]) -> Self {
        self.book = self.book.reopen_after(|folder| rewrite_measurements(folder, fields));
        self
    }

    fn line(&mut self, zone: &str, photo: &str) -> Json {
        let lines = self.book.ask("photo.list", json!({ "zone": zone }));
        lines.as_array().unwrap().iter().find(|line| line["id"] == photo).unwrap().clone()
    }

    fn again(&mut self, mut request: Json) -> Json {
        request["again"] = json!(true);
        self.book.ask("photo.measure_many", request)
    }
}

fn way(name: &str) -> (&'static str, Option<Value>) {
    ("algorithm", Some(Value::Text(name.to_owned())))
}

fn photos(outcome: &Json) -> Vec<&str> {
    outcome["photos"].as_array().unwrap().iter().map(|one| one["photo"].as_str().unwrap()).collect()
}

#[test]
fn a_zone_is_measured_again_in_one_act_that_one_undo_takes_back() {
    let mut kept = Kept::new().made_earlier(&[way(EARLIER), ("cover", Some(Value::Number(0.125)))]);
    let front = kept.front.clone();
    assert_eq!(kept.line("Front verge", &front[0])["is_earlier"], true);
    let outcome = kept.again(json!({ "zone": "Front verge" }));
    assert_eq!(photos(&outcome).len(), 3, "{outcome}");
    assert_eq!((&outcome["without"], &outcome["left"]), (&json!([]), &json!(0)));
    for one in outcome["photos"].as_array().unwrap() {
        assert_eq!(one["then"]["algorithm"], EARLIER);
        assert_eq!(one["now"]["algorithm"], "pixel-then-mean-2");
        assert_eq!(one["then"]["cover"], 0.125, "what changed is told: {one}");
        assert!(one["now"]["cover"].as_f64().unwrap() > 0.5, "{one}");
        assert_eq!(one["now"]["is_evidence"], true, "the chart stands where it stood: {one}");
    }
    let shown = kept.book.ask("photo.show", json!({ "photo": front[0] }));
    let measurements = shown["measurements"].as_array().unwrap();
    assert_eq!(measurements.len(), 2, "the earlier one stays in the history");
    assert_eq!(measurements[1]["algorithm"], EARLIER);
    assert_eq!(kept.book.ask("photo.redo", json!({ "photo": front[0] }))["is_same"], true);
    let line = kept.line("Front verge", &front[0]);
    assert_eq!((&line["is_earlier"], &line["is_evidence"]), (&json!(false), &json!(true)));
    let terrace = kept.terrace.clone();
    assert_eq!(kept.line("Back terrace", &terrace)["is_earlier"], true, "another zone's stays");

    let taken_back = kept.book.ask("notebook.undo", json!({}));
    assert_eq!(taken_back["what"], "measured 3 photos again");
    for photo in &front {
        let line = kept.line("Front verge", photo);
        assert_eq!((&line["is_earlier"], &line["cover"]), (&json!(true), &json!(0.125)));
    }
}

#[test]
fn a_property_or_the_whole_notebook_is_measured_again_and_then_there_is_nothing_left() {
    let mut kept = Kept::new().made_earlier(&[way(EARLIER)]);
    let (front, terrace, green) = (kept.front.clone(), kept.terrace.clone(), kept.green.clone());
    let outcome = kept.again(json!({ "property": "Bowls club" }));
    assert_eq!(photos(&outcome), [green.as_str()], "{outcome}");
    let outcome = kept.again(json!({}));
    let mut all: Vec<&str> = photos(&outcome);
    all.sort_unstable();
    let mut wanted: Vec<&str> = front.iter().chain([&terrace]).map(String::as_str).collect();
    wanted.sort_unstable();
    assert_eq!(all, wanted, "those of both zones that were left");
    let one = |photo: &str| {
        let photos = outcome["photos"].as_array().unwrap();
        photos.iter().find(|one| one["photo"] == photo).unwrap()
    };
    assert_eq!(one(&terrace)["now"]["is_evidence"], false, "no card stood in it then either");
    assert!(one(&terrace)["now"]["why_not"][0].as_str().unwrap().contains("card"));
    let before = kept.book.ask("notebook.undo_list", json!({}));
    let nothing = kept.again(json!({}));
    assert_eq!(nothing, json!({ "photos": [], "without": [], "left": 0 }));
    assert_eq!(kept.book.ask("notebook.undo_list", json!({})), before, "and no act");
    let problem = kept.book.refused("photo.measure_many", json!({ "zone": "Nowhere" }));
    assert_eq!(problem.field.as_deref(), Some("zone"));
}

#[test]
fn a_measurement_of_no_way_whose_corners_were_lost_looks_for_its_card() {
    let mut kept = Kept::new().made_earlier(&[("algorithm", None), ("corners", None)]);
    let outcome = kept.again(json!({ "zone": "Front verge" }));
    assert_eq!(photos(&outcome).len(), 3, "{outcome}");
    for one in outcome["photos"].as_array().unwrap() {
        assert_eq!(
            (&one["then"]["algorithm"], &one["now"]["is_evidence"]),
            (&json!(""), &json!(true))
        );
    }
}

#[test]
fn what_cannot_be_measured_again_is_named_with_its_reason_and_stays_as_it_was() {
    let mut kept = Kept::new().made_earlier(&[way(EARLIER)]);
    // One original went away; as on a device that has the entries and not yet the files.
    let gone = kept.front[1].clone();
    let original = kept.line("Front verge", &gone)["original"].as_str().unwrap().to_owned();
    let file = kept.book.notebook.kept_file(&original).unwrap();
    drop(file);
    std::fs::remove_file(blob(&kept.book.folder(), &original)).unwrap();
    let outcome = kept.again(json!({ "zone": "Front verge" }));
    assert_eq!(photos(&outcome).len(), 2, "the others are measured: {outcome}");
    let without = outcome["without"].as_array().unwrap();
    assert_eq!(without.len(), 1);
    assert_eq!((&without[0]["photo"], &without[0]["name"]), (&json!(gone), &json!("2.jpg")));
    let why = without[0]["why"].as_str().unwrap();
    assert!(why.contains("not on this device"), "{why}");
    assert_eq!(kept.line("Front verge", &gone)["is_earlier"], true);

    // A card of which neither corners nor a trace are there, and a way that is not known here.
    let mut kept = Kept::new()
        .made_earlier(&[way(EARLIER), ("card", Some(Value::Text("grey-card".to_owned())))])
        .made_earlier(&[("corners", None), ("reflectance", Some(Value::Number(0.18)))]);
    let outcome = kept.again(json!({ "zone": "Back terrace" }));
    assert_eq!(photos(&outcome), [""; 0], "{outcome}");
    let why = outcome["without"][0]["why"].as_str().unwrap();
    assert!(why.contains("grey card"), "{why}");

    let mut kept = Kept::new().made_earlier(&[way("pixel-then-mean-9")]);
    let terrace = kept.terrace.clone();
    assert_eq!(kept.line("Back terrace", &terrace)["is_earlier"], false, "nothing is offered");
    let outcome = kept.again(json!({ "zone": "Back terrace" }));
    let why = outcome["without"][0]["why"].as_str().unwrap();
    assert!(why.contains("later version") && why.contains("pixel-then-mean-9"), "{why}");
}

/// Where a kept file lies.
fn blob(folder: &std::path::Path, hash: &str) -> std::path::PathBuf {
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.file_name().unwrap().to_str() == Some(hash) {
                return path;
            }
        }
    }
    panic!("{hash} is not kept");
}

/// Hears everything and stops when so many photos are done.
struct Ear {
    heard: Vec<Progress>,
    enough: u32,
}

impl Watch for Ear {
    fn tell(&mut self, progress: &Progress) {
        self.heard.push(*progress);
    }

    fn is_stopped(&self) -> bool {
        self.heard.iter().any(|now| now.done >= self.enough)
    }
}

fn watched(notebook: &mut Notebook, ear: &mut Ear) -> Json {
    call_watched(notebook, "photo.measure_many", json!({ "again": true }), ear).unwrap()
}

#[test]
fn it_tells_how_far_it_is_and_what_is_done_when_it_is_stopped_is_kept() {
    let mut kept = Kept::new().made_earlier(&[way(EARLIER)]);
    let mut ear = Ear { heard: Vec::new(), enough: 4 };
    let outcome = watched(&mut kept.book.notebook, &mut ear);
    let measuring: Vec<&Progress> =
        ear.heard.iter().filter(|now| now.step == Step::Measuring).collect();
    assert!(measuring.iter().all(|now| now.part == Part::Photos && now.all == 5), "{measuring:?}");
    assert_eq!((photos(&outcome).len(), &outcome["left"]), (4, &json!(1)), "{outcome}");
    assert_eq!(
        kept.book.ask("notebook.undo_list", json!({}))[0]["what"],
        "measured 4 photos again"
    );
    let mut ear = Ear { heard: Vec::new(), enough: 9 };
    let outcome = watched(&mut kept.book.notebook, &mut ear);
    assert_eq!((photos(&outcome).len(), &outcome["left"]), (1, &json!(0)), "the rest");
    assert_eq!(kept.again(json!({}))["photos"], json!([]));
}

#[test]
fn photos_not_measured_yet_are_measured_in_one_act_by_what_is_chosen() {
    let mut kept = Kept::new();
    let new: Vec<String> = (11..13)
        .map(|seed| {
            let path = kept.book.scratch.path().join(format!("{seed}.jpg"));
            std::fs::write(&path, Scene { seed, ..Scene::WITH_CHART }.jpeg(None)).unwrap();
            let photos = json!({ "photos": [{ "path": path, "zone": "Front verge" }] });
            kept.book.ask("photo.add", photos)["added"][0]["id"].as_str().unwrap().to_owned()
        })
        .collect();
    let wrong = json!({ "zone": "Front verge", "card": "disks" });
    assert_eq!(kept.book.refused("photo.measure_many", wrong).field.as_deref(), Some("card"));
    let request = json!({ "zone": "Front verge", "note": "dry" });
    let outcome = kept.book.ask("photo.measure_many", request.clone());
    assert_eq!(photos(&outcome), new.iter().map(String::as_str).collect::<Vec<_>>(), "{outcome}");
    for one in outcome["photos"].as_array().unwrap() {
        assert_eq!((&one["then"], &one["now"]["card"]), (&Json::Null, &json!("chart")), "{one}");
        assert_eq!(one["now"]["is_evidence"], true, "{one}");
    }
    let shown = kept.book.ask("photo.show", json!({ "photo": new[0] }));
    assert_eq!(shown["measurements"][0]["note"], "dry");
    assert_eq!(kept.book.ask("photo.measure_many", request)["photos"], json!([]), "all are");
    assert_eq!(kept.book.ask("notebook.undo", json!({}))["what"], "measured 2 photos");
    assert_eq!(kept.line("Front verge", &new[0])["is_measured"], false);
}

#[test]
fn a_measurement_that_stands_already_is_not_made_again_by_a_reader() {
    let kept = Kept::new().made_earlier(&[way(EARLIER)]);
    let book = kept.book;
    let mut reader = Notebook::open_to_read(&book.folder(), book.clock(5)).unwrap();
    let request = json!({ "zone": "Front verge", "again": true });
    let problem = swardbook_app::call(&mut reader, "photo.measure_many", request).unwrap_err();
    assert_eq!(problem.code, Code::ReadOnly, "{problem}");
}
