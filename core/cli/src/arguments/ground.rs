//! `property show`, `zone show`, `zone outline` and `zone merge`: a place, its shape and everything
//! that happened there.

use clap::{ArgAction, ArgMatches, Command};
use serde_json::json;

use super::{Answer, demanded, flag, repeated, word};
use crate::{asked::Asked, book::Book, print::ground};
use swardbook_app::Problem;

pub(super) fn extend(group: Command) -> Command {
    let outline = Command::new("outline")
        .about("The sides and the area of a zone's shape, or of one with other corners")
        .arg(word("id", "ZONE", "The zone, by id or name").required(true))
        .arg(
            flag(
                "corner",
                "EAST,NORTH",
                "A corner in metres, such as 12.5,3; repeated in the order one walks them",
            )
            .allow_hyphen_values(true)
            .action(ArgAction::Append),
        );
    group.subcommand(outline).subcommand(
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
        ("zone", "outline") => return Some(outline(inner, book)),
        ("zone", "merge") => {
            let request = json!({ "zone": demanded(inner, "id"), "into": demanded(inner, "into") });
            Asked::command(book.clone(), "zone.merge", request, ground::merged)
        }
        _ => return None,
    }))
}

fn outline(inner: &ArgMatches, book: &Book) -> Result<Asked, Problem> {
    let mut request = json!({ "zone": demanded(inner, "id") });
    let corners = repeated(inner, "corner");
    if !corners.is_empty() {
        let corners =
            corners.iter().map(|corner| spot(corner)).collect::<Result<Vec<_>, Problem>>()?;
        request["corners"] = json!(corners);
    }
    Ok(Asked::command(book.clone(), "zone.outline", request, ground::outline))
}

fn spot(text: &str) -> Result<serde_json::Value, Problem> {
    let wrong = || Problem::bad("corners", format!("\"{text}\" is no pair such as 12.5,3"));
    let (east, north) = text.split_once(',').ok_or_else(wrong)?;
    let number = |part: &str| part.trim().parse::<f64>().map_err(|_| wrong());
    Ok(json!({ "east": number(east)?, "north": number(north)? }))
}
