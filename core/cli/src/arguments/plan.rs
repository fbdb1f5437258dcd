//! `plan`: worked out from a panel, accepted, and followed.

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Map, Value as Json, json};
use swardbook_app::Problem;

use super::{
    Answer, demanded, flag, found_first, given, number, pairs, repeated, subcommand, word,
};
use crate::{asked::Asked, book::Book, print::plan};

/// The subcommands that a plan has beside those of every record.
pub(super) fn extend(group: Command) -> Command {
    let draft = Command::new("draft")
        .about("Work a plan out from a panel; nothing is written")
        .args(rules());
    let accept = Command::new("accept")
        .about("Work a plan out from a panel and keep it")
        .args(rules())
        .args([
            flag("dose", "VISIT=g/m2", "Another dose of a visit, by its key; may be repeated")
                .action(ArgAction::Append),
            flag("day", "VISIT=YYYY-MM-DD", "Another day of a visit; may be repeated")
                .action(ArgAction::Append),
            flag("leave-out", "VISIT", "Leave a visit out; may be repeated")
                .action(ArgAction::Append),
            flag("note", "TEXT", "A note"),
        ]);
    let packs = Command::new("packs")
        .about("What to buy for the open visits, in whole packs over all zones together")
        .args([
            flag("zone", "ZONE", "For one zone"),
            flag("property", "PROPERTY", "For all zones of a property; for everything otherwise"),
            flag("until", "YYYY-MM-DD", "For visits up to this day"),
        ]);
    group.subcommands([draft, accept, packs])
}

fn rules() -> [Arg; 10] {
    [
        word("panel", "PANEL", "The panel, by id").required(true),
        flag("guideline", "ID", "Whose limits are kept, as `guideline list` names it"),
        flag("target-ph", "PH", "Wanted pH"),
        flag("target-scale", "WORD", "Scale of the wanted pH [water, cacl2]"),
        flag("lime-method", "ID", "Lime method"),
        flag("calcium-source", "ID", "Calcium source, where the readings leave a choice"),
        flag("season-nitrogen", "g/m2", "Nitrogen of the season, as the element"),
        flag("start", "YYYY-MM-DD", "First day work can start"),
        flag("material", "PURPOSE=MATERIAL", "Another material for a purpose; may be repeated")
            .action(ArgAction::Append),
        flag("skip", "PURPOSE", "Leave a purpose out; may be repeated").action(ArgAction::Append),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    if noun != "plan" {
        return None;
    }
    let (verb, inner) = subcommand(matches);
    let book = book.clone();
    match verb {
        "show" => Some(Ok(found_first("plan", inner, book, "plan.show", plan::plan))),
        "draft" => Some(
            request(inner).map(|request| Asked::command(book, "plan.draft", request, plan::draft)),
        ),
        "accept" => Some(
            accept(inner)
                .map(|request| Asked::command(book, "plan.accept", request, plan::accepted)),
        ),
        "packs" => {
            let request = json!({
                "zone": given(inner, "zone"),
                "property": given(inner, "property"),
                "until": given(inner, "until"),
            });
            Some(Ok(Asked::command(book, "plan.packs", request, plan::packs)))
        }
        _ => None,
    }
}

fn request(inner: &ArgMatches) -> Result<Json, Problem> {
    let materials: Map<String, Json> = pairs(inner, "material", "materials")?
        .into_iter()
        .map(|(purpose, material)| (purpose, Json::from(material)))
        .collect();
    Ok(json!({
        "panel": demanded(inner, "panel"),
        "guideline": given(inner, "guideline"),
        "target_ph": number(inner, "target-ph")?,
        "target_scale": given(inner, "target-scale"),
        "lime_method": given(inner, "lime-method"),
        "calcium_source": given(inner, "calcium-source"),
        "season_nitrogen": given(inner, "season-nitrogen"),
        "start": given(inner, "start"),
        "materials": materials,
        "skip": repeated(inner, "skip"),
    }))
}

fn accept(inner: &ArgMatches) -> Result<Json, Problem> {
    let mut changes: Map<String, Json> = Map::new();
    let mut change = |key: String, member: &str, value: Json| {
        let entry = changes.entry(key).or_insert_with(|| json!({}));
        entry[member] = value;
    };
    for (key, dose) in pairs(inner, "dose", "changes")? {
        change(key, "dose", json!(dose));
    }
    for (key, day) in pairs(inner, "day", "changes")? {
        change(key, "date", json!(day));
    }
    for key in repeated(inner, "leave-out") {
        change(key, "skip", json!(true));
    }
    let mut request = request(inner)?;
    request["changes"] = Json::Object(changes);
    request["note"] = json!(given(inner, "note").unwrap_or_default());
    Ok(request)
}
