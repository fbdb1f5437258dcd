//! `sample`: when the ground is clear, how to pull one, and the bag itself.

use clap::{ArgMatches, Command};
use serde_json::json;

use super::{Answer, demanded, flag, found_first, given, number, subcommand, whole, word};
use crate::{asked::Asked, book::Book, print::sample};

/// The subcommands that a sample has beside those of every record.
pub(super) fn extend(group: Command) -> Command {
    let zone =
        || word("zone", "ZONE", "The zone by id, name, or \"property / zone\"").required(true);
    let laboratory = |help| flag("laboratory", "NAME", help);
    let window = Command::new("window")
        .about("Whether the ground is clear to sample, and since when or from when")
        .arg(zone())
        .arg(flag("day", "YYYY-MM-DD", "The day somebody would sample; today without it"))
        .arg(flag(
            "renovation-day",
            "YYYY-MM-DD",
            "The calendar works backwards from it; the property's day without it",
        ))
        .arg(laboratory("Whose turnaround counts"));
    let plan = Command::new("plan")
        .about("How many cores, how much soil, and where to pull")
        .arg(zone())
        .arg(flag("cores", "COUNT", "Cores; worked out from the margin without it"))
        .arg(flag("analyte", "ANALYTE", "Whose margin decides the number [default: pH in water]"))
        .arg(flag("margin", "NUMBER", "Margin wanted: pH units, or % of the reading"))
        .arg(flag("level", "SHARE", "How sure, such as 0.9"))
        .arg(flag("seed", "COUNT", "Seed of the places; drawn and printed without it"))
        .arg(flag("edge", "m", "Distance kept from the edge [default: 1 m]"))
        .arg(flag("tool-diameter", "mm", "Inside diameter of the tool [default: 19 mm]"))
        .arg(flag("depth", "mm", "Depth of the cores; the zone's root-zone depth without it"))
        .arg(laboratory("Whose wanted mass of soil counts"));
    group.subcommands([window, plan])
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    if noun != "sample" {
        return None;
    }
    let (verb, inner) = subcommand(matches);
    let book = book.clone();
    match verb {
        "show" => Some(Ok(found_first("sample", inner, book, "sample.show", sample::sample))),
        "window" => {
            let request = json!({
                "zone": demanded(inner, "zone"),
                "day": given(inner, "day"),
                "renovation_day": given(inner, "renovation-day"),
                "laboratory": given(inner, "laboratory"),
            });
            Some(Ok(Asked::command(book, "sample.window", request, sample::window)))
        }
        "plan" => Some((|| {
            let request = json!({
                "zone": demanded(inner, "zone"),
                "cores": whole(inner, "cores")?,
                "analyte": given(inner, "analyte"),
                "margin": number(inner, "margin")?,
                "level": number(inner, "level")?,
                "seed": whole(inner, "seed")?,
                "edge": given(inner, "edge"),
                "tool_diameter": given(inner, "tool-diameter"),
                "depth": given(inner, "depth"),
                "laboratory": given(inner, "laboratory"),
            });
            Ok(Asked::command(book, "sample.plan", request, sample::plan))
        })()),
        _ => None,
    }
}
