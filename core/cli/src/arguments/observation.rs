//! `observation series`: ratings and readings on the spot over time.

use clap::{ArgMatches, Command};
use serde_json::json;

use super::{Answer, demanded, flag};
use crate::{asked::Asked, book::Book, print::observation};

/// The subcommands that an observation has beside those of every record.
pub(super) fn extend(group: Command) -> Command {
    let series = Command::new("series")
        .about("Ratings or readings over time, each rater and instrument by itself")
        .arg(flag("zone", "NAME", "The zone, by id or name").required(true))
        .arg(flag("what", "WORD", "colour, quality, density, moisture, ph-probe").required(true));
    group.subcommand(series)
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let ("observation", Some(("series", inner))) = (noun, matches.subcommand()) else {
        return None;
    };
    let request = json!({ "zone": demanded(inner, "zone"), "what": demanded(inner, "what") });
    let book = book.clone();
    Some(Ok(Asked::command(book, "observation.series", request, observation::series)))
}
