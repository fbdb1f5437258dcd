//! `today` and `compare`: what is due, and whether the ground changed.

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Map, Value as Json, json};
use swardbook_app::Problem;

use super::{Answer, flag, given, number, number_of, pairs, repeated, whole, word};
use crate::{
    asked::Asked,
    book::Book,
    print::{compare, today},
};

pub(super) fn commands() -> Vec<Command> {
    vec![
        Command::new("today").about("What is due: visits, panels, posts and samples").arg(flag(
            "most",
            "NUMBER",
            "At most so many things, the most pressing; 100 without it",
        )),
        Command::new("compare")
            .about("Whether the ground changed between two panels of a zone")
            .args(what_is_compared()),
    ]
}

/// The arguments of a comparison.
pub(super) fn what_is_compared() -> [Arg; 7] {
    let margin = "Within it a value counts as the same: pH units, or % of the reading; may be \
                  repeated";
    let asked = "Ask of this analyte only, decided on before looking: fewer questions are answered \
                 more surely; may be repeated";
    [
        word(
            "zone",
            "ZONE",
            "Its newest panel against the one its last plan was made from, or the one before",
        ),
        flag("baseline", "PANEL", "The earlier panel, by id"),
        flag("retest", "PANEL", "The later panel, by id"),
        flag("analyte", "ANALYTE", asked).action(ArgAction::Append),
        flag("margin", "ANALYTE=NUMBER", margin).action(ArgAction::Append),
        flag("chosen-for", "ANALYTE", "The zone was chosen for its low or high reading"),
        flag("level", "SHARE", "Confidence level, such as 0.9"),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let book = book.clone();
    match noun {
        "today" => Some(
            whole(matches, "most")
                .map(|most| Asked::command(book, "today", json!({ "most": most }), today::today)),
        ),
        "compare" => Some(
            comparison(matches)
                .map(|request| Asked::command(book, "zone.compare", request, compare::compare)),
        ),
        _ => None,
    }
}

/// What a comparison was asked for.
pub(super) fn comparison(matches: &ArgMatches) -> Result<Json, Problem> {
    let mut margins = Map::new();
    for (analyte, margin) in pairs(matches, "margin", "margins")? {
        margins.insert(analyte, json!(number_of(&margin, "margins")?));
    }
    Ok(json!({
        "zone": given(matches, "zone"),
        "baseline": given(matches, "baseline"),
        "retest": given(matches, "retest"),
        "analytes": repeated(matches, "analyte"),
        "margins": margins,
        "chosen_for": given(matches, "chosen-for"),
        "level": number(matches, "level")?,
    }))
}
