//! `calc`: the calculations by themselves, without a notebook.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Value as Json, json};
use swardbook_app::{Problem, calc};

use super::{Answer, given, word};
use crate::{asked::Asked, print::calc as shown, typed};

pub(super) fn commands() -> Vec<Command> {
    let switch = |id: &'static str, help: &'static str| {
        Arg::new(id).long(id).action(ArgAction::SetTrue).help(help)
    };
    vec![
        Command::new("calc")
            .about("List the calculations, or run one on a JSON object; the answer is JSON")
            .arg(word("id", "ID", "The calculation"))
            .arg(switch("list", "List every calculation, or what this one takes and gives"))
            .arg(
                Arg::new("input")
                    .long("input")
                    .value_name("FILE")
                    .value_parser(clap::value_parser!(PathBuf))
                    .help("File with the inputs as a JSON object; `-` reads standard input"),
            )
            .arg(switch("words", "Show the answer and its working in words instead")),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches) -> Answer {
    (noun == "calc").then(|| match given(matches, "id") {
        Some(id) if matches.get_flag("list") => {
            let info = calc::find(&id)?.info();
            Ok(Asked::working(shown::catalogue, move || Ok(json!([info]))))
        }
        None => Ok(Asked::working(shown::catalogue, || Ok(catalogue()))),
        Some(id) => {
            let file = matches.get_one::<PathBuf>("input").ok_or_else(|| {
                Problem::missing("input", "give --input FILE, or - to read standard input")
            })?;
            let inputs = typed::json(file, "input")?;
            let work = move || Ok(calc::run(&id, &inputs)?.to_json());
            Ok(if matches.get_flag("words") {
                Asked::working(shown::outcome, work)
            } else {
                Asked::always_json(work)
            })
        }
    })
}

fn catalogue() -> Json {
    json!(calc::catalogue().iter().map(calc::Calculation::info).collect::<Vec<_>>())
}
