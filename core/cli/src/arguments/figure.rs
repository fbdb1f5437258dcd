//! `figure`: drawings of a season, of a comparison, of a panel and of the ground.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command};
use serde_json::{Value as Json, json};
use swardbook_app::{Code, Problem};

use super::{Answer, demanded, flag, given, group, season, subcommand, whole, word};
use crate::{asked::Asked, book::Book, print::figure};

pub(super) fn commands() -> Vec<Command> {
    let drawn = |name: &'static str, about: &'static str| {
        Command::new(name).about(about).args([
            Arg::new("out")
                .long("out")
                .value_name("FILE")
                .value_parser(clap::value_parser!(PathBuf))
                .help("Write the drawing there as SVG; without it only its data is shown"),
            flag("width", "px", "Width [default: 900]"),
            flag("theme", "WORD", "Colours [page, light, dark, sunlight]"),
        ])
    };
    vec![
        group("figure", "Drawings, with their data in words").subcommands([
            drawn("season", "A zone's line of what happened")
                .arg(word("zone", "ZONE", "The zone").required(true))
                .arg(flag("from", "YYYY-MM-DD", "First day; that of two seasons ago without it"))
                .arg(flag("until", "YYYY-MM-DD", "Last day")),
            drawn("photos", "Colour or cover of a zone over time")
                .arg(word("zone", "ZONE", "The zone").required(true))
                .arg(flag("quantity", "WORD", "index or cover [default: index]"))
                .arg(flag("from", "YYYY-MM-DD", "First day; that of the first photo without it"))
                .arg(flag("until", "YYYY-MM-DD", "Last day; today without it")),
            drawn("compare", "Before and after, as intervals").args(season::what_is_compared()),
            drawn("reading", "A panel against its guidelines")
                .arg(word("panel", "PANEL", "The panel, by id").required(true)),
            drawn(
                "ground",
                "The plan of a property, of a zone, or of a zone with a sample's cores",
            )
            .arg(flag("property", "NAME", "A property with all its zones"))
            .arg(flag("zone", "NAME", "A zone by itself"))
            .arg(flag("sample", "ID", "A sample's zone with its cores")),
        ]),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    if noun != "figure" {
        return None;
    }
    let (verb, inner) = subcommand(matches);
    Some(request(verb, inner).map(|(name, request)| {
        let (book, out) = (book.clone(), inner.get_one::<PathBuf>("out").cloned());
        Asked::working(figure::figure, move || {
            let mut view = book.call(name, request.clone())?;
            if let Some(out) = &out {
                let svg = view["svg"].as_str().unwrap_or_default();
                std::fs::write(out, svg).map_err(|error| {
                    let message = format!("{} cannot be written: {error}", out.display());
                    Problem::new(Code::Storage, message).at("out")
                })?;
                view["file"] = json!(out.display().to_string());
            }
            Ok(view)
        })
    }))
}

fn request(verb: &str, inner: &ArgMatches) -> Result<(&'static str, Json), Problem> {
    let (name, mut request) = match verb {
        "season" => (
            "figure.season",
            json!({
                "zone": demanded(inner, "zone"),
                "from": given(inner, "from"),
                "until": given(inner, "until"),
            }),
        ),
        "photos" => (
            "figure.photos",
            json!({
                "zone": demanded(inner, "zone"),
                "quantity": given(inner, "quantity"),
                "from": given(inner, "from"),
                "until": given(inner, "until"),
            }),
        ),
        "compare" => ("figure.compare", json!({ "compare": season::comparison(inner)? })),
        "reading" => ("figure.reading", json!({ "panel": demanded(inner, "panel") })),
        _ => (
            "figure.plan",
            json!({
                "property": given(inner, "property"),
                "zone": given(inner, "zone"),
                "sample": given(inner, "sample"),
            }),
        ),
    };
    request["width"] = json!(whole(inner, "width")?);
    request["theme"] = json!(given(inner, "theme"));
    Ok((name, request))
}
