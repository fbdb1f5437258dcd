//! `add`, `edit`, `show` and `list` of every kind of record that has a form.

use clap::{ArgMatches, Command};
use serde_json::{Value as Json, json};
use swardbook_app::{
    Problem,
    record::{FORMS, FormInfo, Home, RecordSpec},
};

use super::{
    Answer, demanded, flag, given, ground, group, material, observation, panel, plan,
    record_flags::{clear_flag, fields, flags},
    sample, subcommand, word,
};
use crate::{
    asked::Asked,
    book::Book,
    print::{ground as places, record},
};

/// Kinds that are not filled in one by one here: there is one settings record, devices come from
/// pairing, measurements from photos, and temperatures as a table.
const ELSEWHERE: [&str; 4] = ["settings", "device", "measurement", "temperatures"];

/// One group of subcommands a kind.
pub(super) fn commands() -> Vec<Command> {
    kinds().map(group_of).collect()
}

fn kinds() -> impl Iterator<Item = &'static RecordSpec> {
    FORMS.iter().filter(|form| !ELSEWHERE.contains(&form.kind))
}

fn group_of(form: &'static RecordSpec) -> Command {
    let title = form.title.to_lowercase();
    let mut add = Command::new("add").about(format!("Add one {title}")).args(flags(form));
    if let Some(parent) = parent(form) {
        let about = format!("The {parent} it belongs to, by id or name");
        add = add.arg(flag(parent, "NAME", "").help(about));
    }
    let edit = Command::new("edit")
        .about(format!("Change fields of one {title}"))
        .arg(word("id", "ID", "Its id, or its name where only one has it").required(true))
        .args(flags(form))
        .arg(clear_flag());
    let edit = match form.home {
        Home::Zone => edit.arg(flag("zone", "NAME", "The zone in which to look for a label")),
        _ => edit,
    };
    let show = Command::new("show")
        .about(format!("Show one {title}"))
        .arg(word("id", "ID", "Its id, or its name where only one has it").required(true));
    let show = match form.home {
        Home::Zone => show.arg(flag("zone", "NAME", "The zone in which to look for a label")),
        _ => show,
    };
    let list = Command::new("list").about(format!("List every {title}"));
    let list = match parent(form) {
        Some("property") => list.arg(flag("property", "NAME", "Only those of this property")),
        Some(_) => list.arg(flag("zone", "NAME", "The zone, by id or name").required(true)),
        None => list,
    };
    let group = group(form.kind, about(form));
    let group = group.subcommands([add, edit, show, list]);
    match form.kind {
        "zone" => ground::extend(group),
        "sample" => sample::extend(group),
        "panel" => panel::extend(group),
        "plan" => plan::extend(group),
        "material" => material::extend(group),
        "observation" => observation::extend(group),
        _ => group,
    }
}

fn about(form: &RecordSpec) -> &'static str {
    match form.kind {
        "property" => "Clients' grounds and your own",
        "zone" => "Turf that is managed, sampled and amended as one",
        "sample" => "Composites of soil cores",
        "core" => "Single plugs of soil, kept or set aside",
        "panel" => "A laboratory's readings of one sample",
        "plan" => "What to buy and put on, when and why",
        "application" => "What really went on",
        "observation" => "Ratings, spot readings, photos and notes",
        "laboratory" => "Laboratories, and how long they take",
        "material" => "Materials, ours and your own",
        "price" => "What packs of a material cost",
        _ => form.title,
    }
}

/// The flag that says where a new record belongs.
fn parent(form: &RecordSpec) -> Option<&'static str> {
    match (form.home, form.kind) {
        (Home::Notebook, _) | (_, "property") => None,
        (Home::Property, _) => Some("property"),
        (Home::Zone, _) => Some("zone"),
    }
}

/// Every kind with its fields.
pub(super) fn forms() -> Json {
    json!(FORMS.iter().map(FormInfo::from).collect::<Vec<_>>())
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let form = kinds().find(|form| form.kind == noun)?;
    let (verb, inner) = subcommand(matches);
    Some(Ok(match verb {
        "add" => add(form, inner, book),
        "edit" => edit(form, inner, book),
        "show" => show(form, inner, book),
        "list" => list(form, inner, book),
        _ => return None,
    }))
}

fn add(form: &'static RecordSpec, inner: &ArgMatches, book: &Book) -> Asked {
    let within = parent(form).and_then(|parent| given(inner, parent));
    let request = json!({ "kind": form.kind, "within": within, "fields": fields(form, inner) });
    Asked::command(book.clone(), "record.add", request, record::added)
}

fn edit(form: &'static RecordSpec, inner: &ArgMatches, book: &Book) -> Asked {
    let (find, fields, book) = (find(form, inner), fields(form, inner), book.clone());
    Asked::working(record::changed, move || {
        if fields.is_empty() {
            return Err(Problem::missing("fields", "say what to change, such as --note TEXT"));
        }
        book.open(crate::book::Access::Write, |notebook| {
            let found = swardbook_app::call(notebook, "record.find", find.clone())?;
            let request = json!({ "id": found["id"], "fields": fields });
            swardbook_app::call(notebook, "record.edit", request)
        })
    })
}

fn show(form: &'static RecordSpec, inner: &ArgMatches, book: &Book) -> Asked {
    Asked::command(book.clone(), "record.find", find(form, inner), record::shown)
}

fn find(form: &RecordSpec, inner: &ArgMatches) -> Json {
    let zone = (form.home == Home::Zone).then(|| given(inner, "zone")).flatten();
    json!({ "kind": form.kind, "record": demanded(inner, "id"), "within": zone })
}

fn list(form: &'static RecordSpec, inner: &ArgMatches, book: &Book) -> Asked {
    let within = parent(form).and_then(|parent| given(inner, parent));
    match form.kind {
        "property" => Asked::command(book.clone(), "property.list", json!({}), places::properties),
        "zone" => {
            let request = json!({ "property": within });
            Asked::command(book.clone(), "zone.list", request, places::zones)
        }
        _ => {
            let request = json!({ "kind": form.kind, "within": within });
            Asked::command(book.clone(), "record.list", request, record::records)
        }
    }
}
