//! Two and three notebooks with their links in one process: what a person does and sees.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
    time::Duration,
};

use serde_json::{Value as Json, json};
use swardbook_app::{Code, Notebook, RealSurroundings, Surroundings, devices::LinkedNotebook};
use swardbook_units::NaiveDate;

/// Nothing takes this long; only a failure does.
const PATIENCE: Duration = Duration::from_secs(60);
/// How often it is looked.
const STEP: Duration = Duration::from_millis(2);

/// The real dice, and a clock that is so many seconds off.
struct Off(Arc<AtomicI64>);

impl Surroundings for Off {
    fn now(&self) -> i64 {
        RealSurroundings.now() + self.0.load(Ordering::Relaxed)
    }

    fn today(&self) -> NaiveDate {
        swardbook_app::local_day(self.now()).unwrap()
    }

    fn random(&mut self, buffer: &mut [u8]) {
        RealSurroundings.random(buffer);
    }

    fn clock(&self) -> Arc<dyn Fn() -> i64 + Send + Sync> {
        let off = Arc::clone(&self.0);
        Arc::new(move || RealSurroundings.now() + off.load(Ordering::Relaxed))
    }
}

struct Device {
    linked: LinkedNotebook,
}

impl Device {
    fn new(folder: &Path, name: &str, role: &str) -> Self {
        Self::with(folder, name, role, Box::new(RealSurroundings))
    }

    fn with(folder: &Path, name: &str, role: &str, around: Box<dyn Surroundings>) -> Self {
        let folder = folder.join(name);
        let notebook = if folder.join("notebook.redb").exists() {
            Notebook::open(&folder, around).unwrap()
        } else {
            Notebook::create(&folder, around).unwrap()
        };
        let linked = LinkedNotebook::live(notebook);
        let device = Self { linked };
        // Loopback is enough here, and the tests of one machine must not find each other.
        device.call("devices.own", json!({ "discovery": false }));
        device.call("devices.rename", json!({ "device": "this", "name": name, "role": role }));
        device
    }

    #[track_caller]
    fn call(&self, name: &str, request: Json) -> Json {
        self.linked.call(name, request).unwrap_or_else(|problem| panic!("{name}: {problem}"))
    }

    #[track_caller]
    fn refused(&self, name: &str, request: Json) -> swardbook_app::Problem {
        self.linked.call(name, request).expect_err("it must be refused")
    }

    #[track_caller]
    fn until(&self, what: &str, holds: impl Fn(&Self) -> bool) {
        // Nobody sends anything: it is only waited for.
        let (_nobody, wait) = std::sync::mpsc::channel::<()>();
        for _ in 0..PATIENCE.as_millis() / STEP.as_millis() {
            if holds(self) {
                return;
            }
            let _ = wait.recv_timeout(STEP);
        }
        panic!("{what}: {}", self.call("sync.status", json!({})));
    }

    fn add(&self, kind: &str, within: Option<&str>, fields: Json) -> String {
        let given = json!({ "kind": kind, "within": within, "fields": fields });
        self.call("record.add", given)["id"].as_str().unwrap().to_owned()
    }

    fn note(&self, zone: &str, note: &str) -> String {
        self.add(
            "observation",
            Some(zone),
            json!({ "sort": "note", "date": "2026-09-14", "note": note }),
        )
    }

    fn notes(&self, zone: &str) -> Vec<String> {
        let list = json!({ "kind": "observation", "within": zone });
        let Ok(records) = self.linked.call("record.list", list) else { return Vec::new() };
        let note = |record: &Json| {
            let fields = record["fields"].as_array().unwrap();
            let field = fields.iter().find(|field| field["name"] == "note")?;
            Some(field["text"].as_str()?.to_owned())
        };
        let mut notes: Vec<String> = records.as_array().unwrap().iter().filter_map(note).collect();
        notes.sort();
        notes
    }

    fn state(&self) -> String {
        self.call("sync.status", json!({}))["state"].as_str().unwrap().to_owned()
    }
}

#[track_caller]
fn pair(inviter: &Device, guest: &Device) {
    let invitation = inviter.call("devices.invite", json!({}));
    let code = invitation["text"].as_str().unwrap();
    let joining = guest.call("devices.join", json!({ "code": code }));
    assert_eq!(joining["state"], "compare", "{joining}");
    inviter.until("the guest knocks", |one| {
        one.call("devices.pairing", json!({}))["state"] == "compare"
    });
    let asked = inviter.call("devices.pairing", json!({}));
    assert_eq!(asked["words"], joining["words"], "both people read the same words");
    assert_eq!(asked["words"].as_array().unwrap().len(), 4, "four of them");
    inviter.call("devices.confirm", json!({ "match": true }));
    guest.call("devices.confirm", json!({ "match": true }));
    for device in [inviter, guest] {
        device.until("it is done", |one| one.call("devices.pairing", json!({}))["state"] == "done");
        device.until("both hold the same", |one| one.state() == "in-sync");
    }
}

fn two(folder: &Path) -> (Device, Device, String) {
    let office = Device::new(folder, "office", "office");
    let phone = Device::new(folder, "phone", "field");
    office.add("property", None, json!({ "name": "Kettle Bend" }));
    let zone = office.add("zone", Some("Kettle Bend"), json!({ "name": "Back terrace" }));
    pair(&office, &phone);
    (office, phone, zone)
}

#[test]
fn records_show_on_the_other_device_as_they_are_made() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    // The past came with the pairing, into the lists too.
    assert_eq!(phone.call("zone.list", json!({}))[0]["name"], "Back terrace");
    phone.note(&zone, "from the yard");
    office.until("the phone's note", |one| one.notes(&zone) == ["from the yard"]);
    // The office has the journal in memory now; what comes next must not be missed for it.
    office.note(&zone, "from the desk");
    phone.until("both notes", |one| one.notes(&zone) == ["from the desk", "from the yard"]);
    phone.note(&zone, "once more");
    office.until("the third", |one| one.notes(&zone).len() == 3);
    let line = &office.call("zone.list", json!({}))[0];
    assert_eq!(line["observations"], 3, "the lists follow what arrived: {line}");
    office.until("nothing waits", |one| one.state() == "in-sync");
}

#[test]
fn each_device_says_what_the_other_has_not_got() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    phone.call("sync.pause", json!({}));
    assert_eq!(phone.state(), "paused");
    for number in 0..3 {
        phone.note(&zone, &format!("note {number}"));
    }
    let edited = phone.note(&zone, "typed");
    let edit = json!({ "id": edited, "fields": { "note": "typed again" } });
    phone.call("record.edit", edit);
    let status = phone.call("sync.status", json!({}));
    let words = status["words"].as_str().unwrap();
    assert!(words.contains("4 entries not yet at office"), "an entry counts once: {words}");
    phone.call("sync.resume", json!({}));
    office.until("all four", |one| one.notes(&zone).len() == 4);
    phone.until("nothing waits", |one| one.state() == "in-sync");
    let words = phone.call("sync.status", json!({}))["words"].clone();
    assert_eq!(words, "The same as on office.");
}

#[test]
fn photos_that_wait_are_counted_until_the_other_device_confirms_them() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    phone.call("sync.pause", json!({}));
    let picture = folder.path().join("verge.png");
    image::RgbImage::from_fn(640, 480, |x, y| {
        let byte = |n: u32| u8::try_from(n % 251).unwrap();
        image::Rgb([byte(x), byte(y), byte(x * y)])
    })
    .save(&picture)
    .unwrap();
    let photo = json!({ "zone": zone, "path": picture.display().to_string() });
    phone.call("photo.add", json!({ "photos": [photo] }));
    let status = phone.call("sync.status", json!({}));
    let waiting = &status["waiting"][0];
    assert_eq!((&waiting["entries"], &waiting["photos"]), (&json!(1), &json!(1)), "{status}");
    phone.call("sync.resume", json!({}));
    phone.until("the office confirms it", |one| one.state() == "in-sync");
    office.until("it is whole there", |one| {
        one.call("notebook.status", json!({}))["files"]
            == phone.call("notebook.status", json!({}))["files"]
    });
}

#[test]
fn what_arrived_while_the_lists_were_not_written_is_found_at_the_next_opening() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    phone.note(&zone, "before");
    office.until("it arrives", |one| one.notes(&zone).len() == 1);
    phone.linked.close().unwrap();
    office.linked.close().unwrap();
    let office = Device::new(folder.path(), "office", "office");
    assert_eq!(office.call("zone.list", json!({}))[0]["observations"], 1, "after a good close");
}

#[test]
fn a_device_is_renamed_and_removed_and_gets_nothing_more() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    office.call("devices.rename", json!({ "device": "phone", "name": "Tamsin's phone" }));
    phone.until("its new name", |one| {
        let list = one.call("devices.list", json!({}));
        list["devices"].as_array().unwrap().iter().any(|device| device["name"] == "Tamsin's phone")
    });
    let own = office.refused("devices.remove", json!({ "device": "this" }));
    assert_eq!(own.code, Code::Refused, "{own}");
    let nobody = office.refused("devices.remove", json!({ "device": "shed" }));
    assert_eq!((nobody.code, nobody.field.as_deref()), (Code::NotFound, Some("device")));
    office.call("devices.remove", json!({ "device": "Tamsin's phone", "why": "lost" }));
    phone.until("it is sent away", |one| {
        one.call("sync.status", json!({}))["problems"].to_string().contains("removed")
    });
    office.note(&zone, "after the removal");
    let list = office.call("devices.list", json!({}));
    let phone_line =
        list["devices"].as_array().unwrap().iter().find(|one| one["name"] == "Tamsin's phone");
    assert_eq!(phone_line.unwrap()["removed"], true, "{list}");
    assert_eq!(phone.notes(&zone), Vec::<String>::new(), "nothing more arrives");
    assert_eq!(phone.call("zone.list", json!({}))[0]["name"], "Back terrace", "it keeps the rest");
}

#[test]
fn a_code_that_is_half_wrong_or_used_is_refused_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, _) = two(folder.path());
    let third = Device::new(folder.path(), "shed", "always-on");
    let code = office.call("devices.invite", json!({}))["text"].as_str().unwrap().to_owned();
    for wrong in ["", "hello", &code[..code.len() / 2], &code.replace("sward1", "sward9")] {
        let refused = third.refused("devices.join", json!({ "code": wrong }));
        assert_eq!(
            (refused.code, refused.field.as_deref()),
            (Code::BadInput, Some("code")),
            "{wrong}"
        );
        assert!(refused.message.contains("copy all of it"), "{refused}");
    }
    let twice = phone.refused("devices.join", json!({ "code": code }));
    assert!(twice.message.contains("paired already"), "{twice}");
    let own = office.refused("devices.join", json!({ "code": code }));
    assert!(own.message.contains("on this device"), "{own}");
    office.call("devices.close_invitation", json!({}));
    let late = third.refused("devices.join", json!({ "code": code }));
    assert!(late.message.contains("make a new one"), "{late}");
    let long = office.refused("devices.invite", json!({ "minutes": 0 }));
    assert_eq!(long.field.as_deref(), Some("minutes"));
}

#[test]
fn two_practitioners_notebooks_are_not_mixed() {
    let folder = tempfile::tempdir().unwrap();
    let mine = Device::new(folder.path(), "mine", "office");
    let theirs = Device::new(folder.path(), "theirs", "office");
    mine.add("property", None, json!({ "name": "Kettle Bend" }));
    theirs.add("property", None, json!({ "name": "Elsewhere" }));
    let code = mine.call("devices.invite", json!({}))["text"].clone();
    let refused = theirs.refused("devices.join", json!({ "code": code }));
    assert!(refused.message.contains("another notebook"), "{refused}");
    mine.until("its person reads why", |one| {
        one.call("devices.pairing", json!({}))["state"] == "failed"
    });
    let told = mine.call("devices.pairing", json!({}));
    assert!(told["reason"].as_str().unwrap().contains("another notebook"), "{told}");
    assert_eq!(theirs.call("property.list", json!({})).as_array().unwrap().len(), 1);
}

#[test]
fn a_device_that_lives_in_2040_pairs_and_syncs() {
    let folder = tempfile::tempdir().unwrap();
    let office = Device::new(folder.path(), "office", "office");
    let years = Arc::new(AtomicI64::new(14 * 365 * 86_400));
    let phone = Device::with(folder.path(), "phone", "field", Box::new(Off(years)));
    office.add("property", None, json!({ "name": "Kettle Bend" }));
    let zone = office.add("zone", Some("Kettle Bend"), json!({ "name": "Back terrace" }));
    pair(&office, &phone);
    phone.note(&zone, "from the future");
    office.note(&zone, "from now");
    for device in [&office, &phone] {
        device.until("both", |one| one.notes(&zone) == ["from now", "from the future"]);
    }
    // And the other way round: the inviter is off.
    let third = Device::new(folder.path(), "shed", "always-on");
    pair(&phone, &third);
    third.until("it came too", |one| one.notes(&zone).len() == 2);
}

#[test]
fn a_device_that_only_keeps_writes_no_records_and_passes_them_on() {
    let folder = tempfile::tempdir().unwrap();
    let (office, _phone, zone) = two(folder.path());
    let shed = Device::new(folder.path(), "shed", "always-on");
    pair(&office, &shed);
    shed.call("devices.own", json!({ "only_keeps": true }));
    let given = json!({ "kind": "observation", "within": zone, "fields": { "sort": "note", "date": "2026-09-14", "note": "x" } });
    let refused = shed.refused("record.add", given);
    assert_eq!(refused.code, Code::ReadOnly, "{refused}");
    office.note(&zone, "kept");
    shed.until("it arrives all the same", |one| one.notes(&zone) == ["kept"]);
}

#[test]
fn what_two_devices_wrote_apart_is_listed_and_decided_by_a_person() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    phone.until("the zone", |one| one.call("zone.list", json!({}))[0]["id"] == json!(zone));
    phone.call("sync.pause", json!({}));
    office.call("record.edit", json!({ "id": zone, "fields": { "area": 120 } }));
    phone.call("record.edit", json!({ "id": zone, "fields": { "area": 140 } }));
    phone.call("sync.resume", json!({}));
    for device in [&office, &phone] {
        device.until("both see it", |one| {
            !one.call("record.apart", json!({})).as_array().unwrap().is_empty()
        });
    }
    let apart = office.call("record.apart", json!({}));
    let conflict = &apart[0]["conflicts"][0];
    assert_eq!((&apart[0]["name"], &conflict["field"]), (&json!("Kettle Bend"), &json!("area")));
    let claims = conflict["claims"].as_array().unwrap();
    assert_eq!(claims.len(), 2, "{apart}");
    let mine = claims.iter().position(|claim| claim["value"] == 140.0).unwrap();
    assert!(claims.iter().all(|claim| claim["stamp"]["device"] != ""), "who wrote what: {apart}");
    let choice = json!({ "id": zone, "field": "area", "claim": mine });
    office.call("record.choose", choice);
    for device in [&office, &phone] {
        device.until("it is settled", |one| one.call("record.apart", json!({})) == json!([]));
        let area = device.call("zone.list", json!({}))[0]["area_m2"].clone();
        assert_eq!(area, 140.0, "the chosen one stands everywhere");
    }
}

#[test]
fn a_plan_accepted_here_and_changed_there_is_for_a_person_to_decide() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    let sample = office.add("sample", Some(&zone), json!({ "label": "S1" }));
    let panel = office.add("panel", Some(&zone), json!({ "sample": sample }));
    let plan = office.add("plan", Some(&zone), json!({ "panel": panel, "status": "draft" }));
    phone.until("the plan", |one| one.linked.call("record.get", json!({ "id": plan })).is_ok());
    phone.call("sync.pause", json!({}));
    office.call("record.edit", json!({ "id": plan, "fields": { "status": "accepted" } }));
    phone.call("record.edit", json!({ "id": plan, "fields": { "start": "2026-10-01" } }));
    phone.call("sync.resume", json!({}));
    office.until("it shows", |one| one.call("record.apart", json!({})) != json!([]));
    let apart = office.call("record.apart", json!({}));
    let conflict = &apart[0]["conflicts"][0];
    assert_eq!((&conflict["id"], &conflict["field"]), (&json!(plan), &json!("status")), "{apart}");
    assert!(conflict["claims"][1]["text"].as_str().unwrap().contains("2026-10-01"), "{apart}");
    office.call("record.choose", json!({ "id": plan, "field": "status", "claim": 1 }));
    for device in [&office, &phone] {
        device.until("it is settled", |one| one.call("record.apart", json!({})) == json!([]));
    }
    // What was written one after the other needs no decision.
    phone.call("record.edit", json!({ "id": plan, "fields": { "note": "seen" } }));
    office.until("nothing new to decide", |one| one.call("record.apart", json!({})) == json!([]));
}

#[test]
fn two_zones_of_one_ground_are_merged_with_all_records_and_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    phone.call("sync.pause", json!({}));
    let other = phone.add("zone", Some("Kettle Bend"), json!({ "name": "Terrace at the back" }));
    let sample = phone.add("sample", Some(&other), json!({ "label": "S9" }));
    let panel = phone.add("panel", Some(&other), json!({ "sample": sample }));
    phone.note(&other, "first");
    office.note(&zone, "second");
    phone.call("sync.resume", json!({}));
    office.until("the other zone", |one| one.notes(&other) == ["first"]);
    let merged = office.call("zone.merge", json!({ "zone": other, "into": zone }));
    assert_eq!(merged["records"], 3, "{merged}");
    assert_eq!(office.notes(&zone), ["first", "second"], "all records of both");
    let moved = office.call("record.get", json!({ "id": panel }));
    assert_eq!(moved["zone"], json!(zone), "what refers to a record finds it: {moved}");
    let history = office.call("record.history", json!({ "id": panel }));
    assert!(!history.as_array().unwrap().is_empty(), "its history came along");
    phone.until("the phone follows", |one| one.notes(&zone) == ["first", "second"]);
    assert_eq!(phone.call("zone.list", json!({})).as_array().unwrap().len(), 1);

    office.call("notebook.undo", json!({}));
    assert_eq!(
        (office.notes(&zone), office.notes(&other)),
        (vec!["second".to_owned()], vec!["first".to_owned()])
    );
    phone.until("the phone follows", |one| one.notes(&other) == ["first"]);
    office.call("zone.merge", json!({ "zone": other, "into": zone }));
    assert_eq!(office.notes(&zone), ["first", "second"], "and merged once more");

    let same = office.refused("zone.merge", json!({ "zone": zone, "into": zone }));
    assert_eq!(same.field.as_deref(), Some("into"));
}

#[test]
fn what_is_still_written_on_a_zone_that_was_merged_elsewhere_is_not_lost_from_sight() {
    let folder = tempfile::tempdir().unwrap();
    let (office, phone, zone) = two(folder.path());
    let other = office.add("zone", Some("Kettle Bend"), json!({ "name": "Terrace" }));
    phone.until("the zone", |one| one.call("zone.list", json!({})).as_array().unwrap().len() == 2);
    phone.call("sync.pause", json!({}));
    office.call("zone.merge", json!({ "zone": other, "into": zone }));
    phone.note(&other, "late");
    phone.call("sync.resume", json!({}));
    office.until("it shows", |one| one.call("record.apart", json!({})) != json!([]));
    let apart = office.call("record.apart", json!({}));
    let left = &apart[0]["left_behind"][0];
    assert_eq!((&left["records"], &left["into"]), (&json!(1), &json!(zone)), "{apart}");
    office.call("zone.merge", json!({ "zone": left["zone"], "into": left["into"] }));
    assert_eq!(office.notes(&zone), ["late"]);
    assert_eq!(office.call("record.apart", json!({})), json!([]));
}

#[test]
fn relays_are_off_and_an_address_that_is_none_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let device = Device::new(folder.path(), "office", "office");
    assert_eq!(device.call("devices.list", json!({}))["own"]["relay"], "");
    for wrong in ["relay", "ftp://relay.example", "https://"] {
        let refused = device.refused("devices.own", json!({ "relay": wrong }));
        assert_eq!(
            (refused.code, refused.field.as_deref()),
            (Code::BadInput, Some("relay")),
            "{wrong}"
        );
    }
    let view = device.call("devices.own", json!({ "relay": "https://relay.example" }));
    assert_eq!(view["own"]["relay"], "https://relay.example");
}

#[test]
fn a_folder_taken_away_is_said_without_anything_being_written() {
    let folder = tempfile::tempdir().unwrap();
    let office = Device::new(folder.path(), "office", "office");
    assert_eq!(office.state(), "alone", "as it was opened");
    let (heard, hears) = std::sync::mpsc::channel();
    office.linked.on_news(move |news| {
        let _ = heard.send(news);
    });
    let (here, elsewhere) = (folder.path().join("office"), folder.path().join("moved"));
    std::fs::rename(&here, &elsewhere).unwrap();
    let news = hears.recv_timeout(PATIENCE).expect("it is told without being asked");
    assert!(news.devices, "as something to be looked at");
    let status = office.call("sync.status", json!({}));
    assert_eq!(status["state"], "gone", "{status}");
    let problem = status["problems"][0].as_str().unwrap();
    assert!(problem.contains("office") && problem.contains("put it back"), "{problem}");
    std::fs::rename(&elsewhere, &here).unwrap();
    hears.recv_timeout(PATIENCE).expect("that it is back is told too");
    assert_eq!(office.state(), "alone", "as if nothing had been");
}
