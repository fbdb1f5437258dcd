//! `property show` and `zone show`: a place with everything that happened there.

use clap::ArgMatches;
use serde_json::json;

use super::{Answer, demanded};
use crate::{asked::Asked, book::Book, print::ground};

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
        _ => return None,
    }))
}
