//! `property show`, `zone show` and `zone merge`: a place with everything that happened there.

use clap::{ArgMatches, Command};
use serde_json::json;

use super::{Answer, demanded, flag, word};
use crate::{asked::Asked, book::Book, print::ground};

pub(super) fn extend(group: Command) -> Command {
    group.subcommand(
        Command::new("merge")
            .about("Merge a zone into another that was made for the same ground; keeps all records")
            .arg(word("id", "ZONE", "The zone that goes, by id or name").required(true))
            .arg(flag("into", "ZONE", "The zone that stays, by id or name").required(true)),
    )
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let (verb, inner) = matches.subcommand()?;
    Some(Ok(match (noun, verb) {
        ("property", "show") => {
            let request = json!({ "property": demanded(inner, "id") });
            Asked::command(book.clone(), "property.show", request, ground::property)
        }
        ("zone", "show") => {
            let request = json!({ "zone": demanded(inner, "id") });
            Asked::command(book.clone(), "zone.show", request, ground::zone)
        }
        ("zone", "merge") => {
            let request = json!({ "zone": demanded(inner, "id"), "into": demanded(inner, "into") });
            Asked::command(book.clone(), "zone.merge", request, ground::merged)
        }
        _ => return None,
    }))
}
