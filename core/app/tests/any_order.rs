//! Whatever is done to a notebook in whatever order, with restarts between, is what it then says.
//!
//! A plain map stands for the notebook: each command is done to both, and both are asked.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod book;

use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Write as _,
};

use book::Book;
use proptest::prelude::*;
use serde_json::{Value, json};
use swardbook_units::NaiveDate;

/// More than are kept in memory at a time.
const ZONES: usize = 22;

#[derive(Debug, Clone)]
enum Step {
    Note {
        zone: usize,
        words: u16,
    },
    Sample {
        zone: usize,
        day: u8,
        sent: bool,
    },
    PutOn {
        zone: usize,
        day: u8,
    },
    Rename {
        zone: usize,
        words: u16,
    },
    /// Days that every zone waits after a granular feed.
    Wait {
        days: u8,
    },
    Edit {
        record: usize,
        words: u16,
    },
    Void {
        record: usize,
    },
    Restore {
        record: usize,
    },
    /// One file with a sample for each of these zones.
    Import {
        zones: Vec<usize>,
    },
    Undo,
    Reopen,
    RebuildLists,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let zones = proptest::sample::subsequence((0..ZONES).collect::<Vec<_>>(), 1..=ZONES);
    let step = prop_oneof![
        4 => (0..ZONES, any::<u16>()).prop_map(|(zone, words)| Step::Note { zone, words }),
        2 => (0..ZONES, 1..60_u8, any::<bool>())
            .prop_map(|(zone, day, sent)| Step::Sample { zone, day, sent }),
        2 => (0..ZONES, 1..60_u8).prop_map(|(zone, day)| Step::PutOn { zone, day }),
        1 => (0..ZONES, any::<u16>()).prop_map(|(zone, words)| Step::Rename { zone, words }),
        1 => any::<u8>().prop_map(|days| Step::Wait { days }),
        3 => (any::<usize>(), any::<u16>()).prop_map(|(record, words)| Step::Edit { record, words }),
        2 => any::<usize>().prop_map(|record| Step::Void { record }),
        1 => any::<usize>().prop_map(|record| Step::Restore { record }),
        2 => zones.prop_map(|zones| Step::Import { zones }),
        4 => Just(Step::Undo),
        2 => Just(Step::Reopen),
        1 => Just(Step::RebuildLists),
    ];
    proptest::collection::vec(step, 1..40)
}

/// What one record should say.
#[derive(Debug, Clone, PartialEq)]
struct Record {
    zone: usize,
    kind: &'static str,
    words: String,
    hidden: bool,
}

type State = BTreeMap<String, Record>;

/// A day before the one on which everything is done.
fn days_ago(days: u8) -> String {
    let today = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    (today - chrono::Days::new(days.into())).to_string()
}

struct Both {
    /// There is one between any two steps.
    book: Option<Book>,
    zones: Vec<String>,
    state: State,
    /// What was said before each act that can still be taken back.
    before: Vec<State>,
    files: usize,
}

impl Both {
    fn begin() -> Self {
        let mut book = Book::on("2026-03-02");
        book.add("property", None, json!({ "name": "Kettle Bend" }));
        let zones = (0..ZONES)
            .map(|at| {
                let fields = json!({ "name": format!("Zone {at:02}") });
                book.add_id("zone", Some("Kettle Bend"), fields)
            })
            .collect();
        let (state, before) = (State::new(), Vec::new());
        Self { book: Some(book), zones, state, before, files: 0 }
    }

    fn ask(&mut self, command: &str, request: Value) -> Value {
        self.book.as_mut().unwrap().ask(command, request)
    }

    /// Remembers how it was, since the next act can be taken back.
    fn act(&mut self) {
        self.before.push(self.state.clone());
    }

    /// A record of the notebook that is hidden, or one that is not.
    fn pick(&self, record: usize, hidden: bool) -> Option<String> {
        let ids: Vec<&String> =
            self.state.iter().filter(|(_, one)| one.hidden == hidden).map(|(id, _)| id).collect();
        (!ids.is_empty()).then(|| ids[record % ids.len()].clone())
    }

    fn add(&mut self, zone: usize, kind: &'static str, fields: &Value) {
        self.act();
        let asked = json!({ "kind": kind, "within": self.zones[zone], "fields": fields });
        let id = self.ask("record.add", asked)["id"].as_str().unwrap().to_owned();
        let words = fields["note"].as_str().unwrap_or_default().to_owned();
        self.state.insert(id, Record { zone, kind, words, hidden: false });
    }

    fn take(&mut self, step: &Step) {
        match step {
            Step::Note { zone, words } => {
                let words = format!("words {words}");
                let fields = json!({ "sort": "note", "date": "2026-03-01", "note": words });
                self.add(*zone, "observation", &fields);
            }
            Step::Sample { zone, day, sent } => {
                let mut fields = json!({ "date": days_ago(*day), "label": format!("S{day}") });
                if *sent {
                    fields["sent"] = json!(days_ago(0));
                }
                self.add(*zone, "sample", &fields);
            }
            Step::PutOn { zone, day } => {
                let (date, material) = (days_ago(*day), "sulfate-of-potash");
                let fields = json!({ "date": date, "material": material, "amount": "4 kg" });
                self.add(*zone, "application", &fields);
            }
            Step::Wait { days } => {
                if self
                    .ask("settings.get", Value::Null)
                    .to_string()
                    .contains(&format!("\"granular_days\",\"value\":{days}"))
                {
                    return;
                }
                self.act();
                let fields = json!({ "granular_days": days });
                self.ask("record.add", json!({ "kind": "settings", "fields": fields }));
            }
            Step::Rename { zone, words } => {
                let name = format!("Zone {zone:02} of {words}");
                let id = self.zones[*zone].clone();
                if self.ask("record.get", json!({ "id": id })).to_string().contains(&name) {
                    return;
                }
                self.act();
                self.ask("record.edit", json!({ "id": id, "fields": { "name": name } }));
            }
            Step::Edit { record, words } => {
                let Some(id) = self.pick(*record, false) else { return };
                let words = format!("words {words}");
                if self.state[&id].words == words {
                    return;
                }
                self.act();
                self.ask("record.edit", json!({ "id": id, "fields": { "note": words } }));
                self.state.get_mut(&id).unwrap().words = words;
            }
            Step::Void { record } => {
                let Some(id) = self.pick(*record, false) else { return };
                self.act();
                self.ask("record.void", json!({ "id": id, "why": "entered twice" }));
                self.state.get_mut(&id).unwrap().hidden = true;
            }
            Step::Restore { record } => {
                let Some(id) = self.pick(*record, true) else { return };
                self.act();
                self.ask("record.restore", json!({ "id": id }));
                self.state.get_mut(&id).unwrap().hidden = false;
            }
            Step::Import { zones } => self.import(zones),
            Step::Undo => {
                let Some(before) = self.before.pop() else { return };
                self.ask("notebook.undo", json!({}));
                self.state = before;
            }
            Step::Reopen => self.book = self.book.take().map(Book::reopen),
            Step::RebuildLists => {
                self.book.as_mut().unwrap().notebook.rebuild_index().unwrap();
            }
        }
    }

    fn import(&mut self, zones: &[usize]) {
        self.act();
        self.files += 1;
        let mut text = String::from("sample,analyte,value,unit,method\n");
        let mut targets = Vec::new();
        for zone in zones {
            let label = format!("F{}-{zone}", self.files);
            writeln!(text, "{label},K,{},mg/kg,Mehlich-3", 20 + zone).unwrap();
            targets.push(json!({ "label": label, "zone": self.zones[*zone] }));
        }
        let path = self.book.as_ref().unwrap().scratch.path().join("panel.csv");
        std::fs::write(&path, text).unwrap();
        let answer = self.ask("panel.import", json!({ "path": path, "targets": targets }));
        let panels = answer["panels"].as_array().unwrap();
        assert_eq!(panels.len(), zones.len(), "acknowledged");
        for (panel, zone) in panels.iter().zip(zones) {
            for kind in ["panel", "sample"] {
                let id = panel[kind].as_str().unwrap().to_owned();
                let words = String::new();
                self.state.insert(id, Record { zone: *zone, kind, words, hidden: false });
            }
        }
    }

    /// Everything that is read from lists alone.
    fn lists(&mut self) -> Vec<Value> {
        ["today", "zone.list", "property.list", "plan.packs"]
            .map(|command| self.ask(command, json!({})))
            .into()
    }

    /// The notebook says what the map says, in its lists and in its records.
    fn check(&mut self) {
        let lines = self.ask("zone.list", Value::Null);
        for (at, zone) in self.zones.clone().into_iter().enumerate() {
            let line = lines.as_array().unwrap().iter().find(|line| line["id"] == zone).unwrap();
            let shown = self.ask("zone.show", json!({ "zone": zone }));
            let here = |kind: &str| -> BTreeSet<String> {
                let of = self
                    .state
                    .iter()
                    .filter(|(_, one)| one.zone == at && one.kind == kind && !one.hidden);
                of.map(|(id, _)| id.clone()).collect()
            };
            for (kind, count) in [
                ("observation", "observations"),
                ("panel", "panels"),
                ("sample", "samples"),
                ("application", "applications"),
            ] {
                assert_eq!(line[count], json!(here(kind).len()), "{count} listed of zone {at}");
                let events = shown["season"].as_array().unwrap().iter();
                let told: BTreeSet<String> = events
                    .filter(|event| event["kind"] == kind)
                    .map(|event| event["id"].as_str().unwrap().to_owned())
                    .collect();
                assert_eq!(told, here(kind), "{count} in the season of zone {at}");
            }
        }
        let kept = self.lists();
        self.take(&Step::RebuildLists);
        assert_eq!(kept, self.lists(), "lists kept up with each act, and made anew");
        for (id, record) in self.state.clone() {
            let shown = self.ask("record.get", json!({ "id": id }));
            assert_eq!(shown["voided"].is_null(), !record.hidden, "{shown}");
            let fields = shown["fields"].as_array().unwrap();
            let note = fields.iter().find(|field| field["name"] == "note");
            let words = note.map_or("", |field| field["value"].as_str().unwrap());
            assert_eq!(words, record.words, "{shown}");
        }
    }
}

/// How many stories are told; each takes about a second.
fn cases() -> u32 {
    std::env::var("SWARDBOOK_STORIES").ok().map_or(12, |count| count.parse().unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), ..ProptestConfig::default() })]

    #[test]
    fn what_was_done_is_what_it_says(steps in steps()) {
        let mut both = Both::begin();
        for step in &steps {
            both.take(step);
        }
        both.check();
        both.take(&Step::Reopen);
        both.check();
    }
}
