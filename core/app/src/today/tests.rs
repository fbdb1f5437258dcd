//! The list of what is due beside a look at every zone, and what a look at it costs.

use serde_json::{Value as Json, json};
use swardbook_journal::records::{PlanItem, PlanRecord, PlanStatus};

use super::*;
use crate::{FixedSurroundings, call, notebook::zone_document};

struct Kept {
    notebook: Notebook,
    dice: u64,
    folder: tempfile::TempDir,
}

fn day(text: &str) -> NaiveDate {
    swardbook_units::parse_date(text).expect("a day")
}

const TODAY: &str = "2026-03-02";

fn surroundings(seed: u64, today: &str) -> Box<FixedSurroundings> {
    Box::new(FixedSurroundings::new(day(today), seed))
}

impl Kept {
    fn new(seed: u64) -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let notebook = Notebook::create(&folder.path().join("book"), surroundings(seed, TODAY));
        Self { notebook: notebook.expect("an empty folder"), dice: seed, folder }
    }

    fn ask(&mut self, command: &str, request: Json) -> Json {
        call(&mut self.notebook, command, request).expect("it is done")
    }

    fn add(&mut self, kind: &str, within: Option<&str>, fields: Json) -> String {
        let added =
            self.ask("record.add", json!({ "kind": kind, "within": within, "fields": fields }));
        added["id"].as_str().expect("an id").to_owned()
    }

    /// splitmix64 (Steele, Lea and Flood 2014), good enough for cases that must only differ.
    fn below(&mut self, most: u64) -> u64 {
        self.dice = self.dice.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.dice;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % most
    }

    /// A day of the last four years.
    fn some_day(&mut self) -> String {
        let back = chrono::Days::new(self.below(1500));
        day_text(day(TODAY).checked_sub_days(back).expect("not so long ago"))
    }

    fn plan(&mut self, zone: &str, date: Option<NaiveDate>) {
        let zone = zone.parse().expect("an id");
        let visit = PlanItem {
            material: "gypsum".into(),
            date,
            dose_g_m2: Some(50.0),
            ..PlanItem::default()
        };
        let record = PlanRecord {
            status: Some(PlanStatus::Accepted),
            item: BTreeMap::from([("a".to_owned(), visit)]),
            ..PlanRecord::default()
        };
        let mut action = self.notebook.begin_action("a plan");
        action.add(zone_document(zone), &record).expect("written");
        action.keep().expect("kept");
    }
}

/// Lines as (day, what, zone, record), in no order, with the counts of zones and of clear ones: found
/// by looking at every zone.
type Looked = (Vec<(Option<String>, String, String, String)>, u32, u32);

fn by_every_zone(notebook: &mut Notebook) -> Looked {
    let today = notebook.today();
    let settings = notebook.settings_record().expect("settings");
    let (mut lines, mut zones, mut clear_zones) = (Vec::new(), 0, 0);
    for row in notebook.zone_rows(None).expect("zones") {
        let id = row.id.parse().expect("an id");
        let facts = notebook.zone_facts(id).expect("facts");
        let clear = notebook.clear_of(&facts, &settings, today).expect("a day").day;
        zones += 1;
        clear_zones += u32::from(clear.is_none_or(|day| day <= today));
        let mut say = |date: Option<NaiveDate>, what: &str, record: &str| {
            lines.push((date.map(day_text), what.to_owned(), row.name.clone(), record.to_owned()));
        };
        for visit in &facts.due {
            say(visit.date, "visit", &visit.plan);
        }
        for waiting in &facts.waiting {
            match (waiting.pulled, waiting.sent) {
                (_, Some(sent)) => {
                    let back = sent.checked_add_days(chrono::Days::new(24));
                    say(back, "panel", &waiting.sample);
                }
                (pulled @ Some(_), None) => say(pulled, "post", &waiting.sample),
                (None, None) => {
                    say(clear.filter(|day| *day > today), "sample", &waiting.sample);
                }
            }
        }
        match &facts.last_sample {
            None if facts.waiting.is_empty() => {
                say(clear.filter(|day| *day > today), "sample", "");
            }
            None => {}
            Some(last) => {
                let again = last.date.checked_add_months(chrono::Months::new(36));
                let days = |days| chrono::Days::new(days);
                let near = clear.filter(|clear| {
                    *clear >= today.checked_sub_days(days(14)).expect("a day")
                        && *clear <= today.checked_add_days(days(30)).expect("a day")
                });
                if again.is_some_and(|again| again <= today) {
                    say(again, "sample", "");
                } else if facts.waiting.is_empty() && near.is_some() {
                    say(near, "clear", "");
                }
            }
        }
        if facts.unfinished > 0 || row.missing > 0 {
            say(None, "unfinished", "");
        }
    }
    lines.sort();
    for line in notebook.properties().expect("properties") {
        let of = notebook.zone_rows(Some(line.id.parse().expect("an id"))).expect("zones");
        let area: f64 = of.iter().filter_map(|row| row.area_m2).sum();
        assert_eq!(line.zones, u32::try_from(of.len()).expect("few"), "zones of {}", line.name);
        assert!((line.area_m2 - area).abs() < 1e-9, "{} and {area} m2", line.area_m2);
    }
    (lines, zones, clear_zones)
}

fn by_the_list(notebook: &mut Notebook) -> Looked {
    let view = notebook.due_today(&TodayRequest { most: Some(10_000) }).expect("a list");
    assert_eq!(view.more, 0, "all of it was asked for");
    let dated = view.due.iter().take_while(|one| one.date.is_some()).count();
    assert!(view.due[dated..].iter().all(|one| one.date.is_none()), "what has no day comes last");
    assert!(view.due[..dated].is_sorted_by_key(|one| &one.date), "the most pressing comes first");
    let mut lines: Vec<_> =
        view.due.into_iter().map(|one| (one.date, one.what, one.zone_name, one.record)).collect();
    lines.sort();
    (lines, view.zones, view.clear_zones)
}

/// One thing of many that a person does, by dice.
fn something(kept: &mut Kept, zones: &mut Vec<String>, records: &mut Vec<String>, at: u64) {
    let zone = zones.get(usize::try_from(kept.below(zones.len() as u64)).expect("small")).cloned();
    let zone = zone.expect("there are zones");
    match kept.below(12) {
        0 => {
            let fields = json!({ "name": format!("zone {at}"), "area": 100 + at });
            zones.push(kept.add("zone", Some("Kettle Bend"), fields));
        }
        1..=3 => {
            let mut fields = json!({ "from": 0, "to": 100, "label": format!("L{at}") });
            let date = kept.some_day();
            match kept.below(3) {
                0 => {}
                1 => fields["date"] = json!(date),
                _ => {
                    fields["date"] = json!(date);
                    fields["sent"] = json!(date);
                }
            }
            records.push(kept.add("sample", Some(&zone), fields));
        }
        4..=6 => {
            let material = ["sulfate-of-potash", "gypsum", "lime-calcitic", "unknown"]
                [usize::try_from(kept.below(4)).expect("small")];
            let date = kept.some_day();
            let fields = match material {
                "unknown" => json!({ "material_words": "a tonic", "form": "liquid", "date": date }),
                listed => json!({ "material": listed, "amount": 3, "date": date }),
            };
            let asked = json!({ "kind": "application", "within": zone, "fields": fields });
            if let Ok(added) = call(&mut kept.notebook, "record.add", asked) {
                records.push(added["id"].as_str().expect("an id").to_owned());
            }
        }
        7 => {
            let date = (kept.below(3) > 0).then(|| day(&kept.some_day()));
            kept.plan(&zone, date);
        }
        8 => {
            let days = json!({ "granular_days": 20 + kept.below(100) });
            kept.ask("settings.set", json!({ "fields": days }));
        }
        9 => {
            let name = format!("renamed {at}");
            kept.ask("record.edit", json!({ "id": zone, "fields": { "name": name } }));
        }
        10 => {
            if let Some(record) = records.pop() {
                kept.ask("record.void", json!({ "id": record, "why": "a slip" }));
            }
        }
        _ => {
            // There may be nothing to take back any more.
            let _nothing = call(&mut kept.notebook, "notebook.undo", Json::Null);
        }
    }
}

#[test]
fn the_list_says_what_a_look_at_every_zone_says() {
    for seed in 0..4 {
        let mut kept = Kept::new(seed);
        kept.add("property", None, json!({ "name": "Kettle Bend" }));
        let mut zones = vec![kept.add("zone", Some("Kettle Bend"), json!({ "name": "first" }))];
        let mut records = Vec::new();
        for at in 0..60 {
            something(&mut kept, &mut zones, &mut records, at);
            // A zone that was taken back is no place for more.
            zones.retain(|zone| {
                kept.notebook.zone_row(zone.parse().expect("an id")).expect("rows").is_some()
            });
            if zones.is_empty() {
                zones.push(kept.add("zone", Some("Kettle Bend"), json!({ "name": "anew" })));
            }
            let (looked, listed) =
                (by_every_zone(&mut kept.notebook), by_the_list(&mut kept.notebook));
            assert_eq!(listed, looked, "seed {seed}, step {at}");
        }
        // Made anew from the documents it says the same.
        let listed = by_the_list(&mut kept.notebook);
        kept.notebook.rebuild_index().expect("made anew");
        assert_eq!(by_the_list(&mut kept.notebook), listed, "seed {seed}");
        // And on other days, of which it was told nothing.
        kept.notebook.close().expect("closed");
        for today in ["2025-01-31", "2026-03-20", "2026-06-01", "2029-03-02"] {
            let book = kept.folder.path().join("book");
            let mut later = Notebook::open(&book, surroundings(seed, today)).expect("there");
            assert_eq!(by_the_list(&mut later), by_every_zone(&mut later), "{seed} on {today}");
            later.close().expect("closed");
        }
    }
}

#[test]
fn a_short_list_is_the_beginning_of_the_long_one() {
    let mut kept = Kept::new(9);
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    let mut zones = vec![kept.add("zone", Some("Kettle Bend"), json!({ "name": "first" }))];
    let mut records = Vec::new();
    for at in 0..80 {
        something(&mut kept, &mut zones, &mut records, at);
        zones.retain(|zone| {
            kept.notebook.zone_row(zone.parse().expect("an id")).expect("rows").is_some()
        });
        if zones.is_empty() {
            zones.push(kept.add("zone", Some("Kettle Bend"), json!({ "name": "anew" })));
        }
    }
    let all = kept.notebook.due_today(&TodayRequest { most: None }).expect("a list");
    assert!(all.due.len() > 10, "there is something to cut: {}", all.due.len());
    for most in 0..u32::try_from(all.due.len()).expect("few") {
        let cut = kept.notebook.due_today(&TodayRequest { most: Some(most) }).expect("a list");
        let shown = usize::try_from(most).expect("few");
        assert_eq!(cut.due, all.due[..shown], "at most {most}");
        assert_eq!(cut.due.len() + usize::try_from(cut.more).expect("few"), all.due.len());
        assert_eq!((cut.zones, cut.clear_zones), (all.zones, all.clear_zones));
    }
}

/// Rows that a look at today reads in a notebook of so many zones, each with as much to do.
fn rows_read(zones: usize) -> u64 {
    let mut kept = Kept::new(3);
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    for at in 0..zones {
        let zone = kept.add("zone", Some("Kettle Bend"), json!({ "name": format!("zone {at}") }));
        let sample = json!({ "date": "2026-02-01", "sent": "2026-02-02", "from": 0, "to": 100, "label": "S" });
        kept.add("sample", Some(&zone), sample);
        let fed = json!({ "material": "sulfate-of-potash", "amount": 3, "date": "2025-12-18" });
        kept.add("application", Some(&zone), fed);
        kept.plan(&zone, Some(day("2026-03-10")));
    }
    let before = kept.notebook.store.index_rows_read();
    let view = kept.notebook.due_today(&TodayRequest { most: Some(10) }).expect("a list");
    assert_eq!((view.due.len(), view.zones), (10, u32::try_from(zones).expect("few")));
    call(&mut kept.notebook, "property.list", Json::Null).expect("the screen's other question");
    kept.notebook.store.index_rows_read() - before
}

#[test]
fn a_look_at_today_reads_what_it_shows_however_many_zones_there_are() {
    let (few, many) = (rows_read(15), rows_read(90));
    assert_eq!(few, many, "rows of the lists");
    // The property's two rows, and ten lines of at most ten zones: their row, their facts and where they are kept, and the lists.
    assert!(many <= 80, "{many} rows for ten lines");
}
