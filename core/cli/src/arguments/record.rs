//! `record` and `conflicts`: what is the same for every kind of record.

use clap::{ArgMatches, Command};
use serde_json::json;
use swardbook_app::Problem;

use super::{Answer, demanded, devices, flag, given, group, subcommand, word};
use crate::{asked::Asked, book::Book, print::record};

pub(super) fn commands() -> Vec<Command> {
    let id = || word("id", "ID", "The record's id").required(true);
    let why = flag("why", "TEXT", "Why; stands in its history");
    let within = flag("within", "NAME", "Only one zone or property, by id or name");
    let claim = word("claim", "NUMBER", "Which of its values, as `conflicts list` numbers them")
        .required(true)
        .value_parser(clap::value_parser!(u32));
    vec![
        group("record", "Any record: show it, look back, take it away").subcommands([
            Command::new("show").about("Show a record").arg(id()),
            Command::new("history").about("Everything that was ever written to it").arg(id()),
            Command::new("void").about("Take it away on every device").arg(id()).arg(why),
            Command::new("restore").about("Bring it back").arg(id()),
            Command::new("forms").about("Every kind of record with its fields"),
        ]),
        group("conflicts", "Fields that two devices wrote apart").subcommands([
            Command::new("list").about("List them").arg(within),
            Command::new("choose")
                .about("End one with one of its values; the others stay in the history")
                .arg(id())
                .arg(word("field", "FIELD", "The field").required(true))
                .arg(claim),
        ]),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    if !["record", "conflicts"].contains(&noun) {
        return None;
    }
    let (verb, inner) = subcommand(matches);
    let book = book.clone();
    let id = || json!({ "id": demanded(inner, "id") });
    Some(Ok::<_, Problem>(match (noun, verb) {
        (_, "show") => Asked::command(book, "record.get", id(), record::shown),
        (_, "history") => Asked::command(book, "record.history", id(), record::history),
        (_, "void") => {
            let why = given(inner, "why").unwrap_or_default();
            let request = json!({ "id": demanded(inner, "id"), "why": why });
            Asked::command(book, "record.void", request, record::taken_away)
        }
        (_, "restore") => Asked::command(book, "record.restore", id(), record::brought_back),
        (_, "forms") => Asked::working(record::forms, || Ok(super::records::forms())),
        (_, "list") if given(inner, "within").is_none() => {
            Asked::working(record::apart, move || devices::apart(&book))
        }
        (_, "list") => {
            let request = json!({ "within": given(inner, "within") });
            Asked::command(book, "record.conflicts", request, record::conflicts)
        }
        _ => {
            let claim = inner.get_one::<u32>("claim").expect("the parser demands it");
            let field = demanded(inner, "field").replace('-', "_");
            let request = json!({ "id": demanded(inner, "id"), "field": field, "claim": claim });
            Asked::command(book, "record.choose", request, record::changed)
        }
    }))
}
