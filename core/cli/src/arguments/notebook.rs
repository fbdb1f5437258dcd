//! `init`, `demo`, `status`, `undo` and `settings`: the notebook as a whole.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Value as Json, json};
use swardbook_app::{
    Problem,
    demo::make_demo,
    record::{FORMS, RecordSpec},
};

use super::{
    Answer, devices, group, path,
    record_flags::{clear_flag, fields, flags},
    subcommand, word,
};
use crate::{
    asked::Asked,
    book::Book,
    print::{demo, record, status},
};

fn form() -> &'static RecordSpec {
    FORMS.iter().find(|form| form.kind == "settings").expect("the notebook has settings")
}

pub(super) fn commands() -> Vec<Command> {
    let number = word("number", "NUMBER", "Which, as --list numbers them; the newest without it")
        .value_parser(clap::value_parser!(u32));
    let list = Arg::new("list")
        .long("list")
        .action(ArgAction::SetTrue)
        .help("List what can be taken back, the newest first");
    vec![
        Command::new("init").about("Make a notebook in an empty or absent folder").arg(path(
            "folder",
            "DIR",
            "The folder; without it the one of --notebook",
        )),
        Command::new("demo")
            .about("Make a notebook with an invented practitioner's season in an empty folder")
            .arg(path("folder", "DIR", "The folder").required(true)),
        Command::new("status").about("Where the notebook lies, what it holds, what was damaged"),
        Command::new("undo").about("Take back what was done here").arg(number).arg(list),
        Command::new("units")
            .about("The units in which this notebook's amounts are shown, and their factors"),
        group("settings", "What all devices share: units, currency, hemisphere").subcommands([
            Command::new("show").about("Show the settings"),
            Command::new("set").about("Change settings").args(flags(form())).arg(clear_flag()),
        ]),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let book = book.clone();
    Some(Ok(match noun {
        "init" => {
            let book = match matches.get_one::<PathBuf>("folder") {
                Some(folder) => book.in_folder(folder),
                None => book,
            };
            Asked::working(status::made, move || book.create())
        }
        "demo" => {
            let folder = matches.get_one::<PathBuf>("folder").cloned().unwrap_or_default();
            Asked::working(demo::steps, move || tell_demo(&folder))
        }
        "status" => Asked::working(status::status, move || devices::status(&book)),
        "undo" if matches.get_flag("list") => {
            Asked::command(book, "notebook.undo_list", json!({}), status::actions)
        }
        "undo" => {
            let request = json!({ "number": matches.get_one::<u32>("number") });
            Asked::command(book, "notebook.undo", request, status::taken_back)
        }
        "units" => Asked::command(book, "units.shown", json!({}), status::units),
        "settings" => match subcommand(matches) {
            ("show", _) => Asked::command(book, "settings.get", json!({}), record::settings),
            (_, inner) => {
                let fields = fields(form(), inner);
                if fields.is_empty() {
                    return Some(Err(Problem::missing(
                        "fields",
                        "say what to set, such as --currency AUD",
                    )));
                }
                let request = json!({ "fields": fields });
                Asked::command(book, "settings.set", request, record::changed)
            }
        },
        _ => return None,
    }))
}

fn tell_demo(folder: &Path) -> Result<Json, Problem> {
    let mut steps = Vec::new();
    make_demo(folder, &mut |step| steps.push(json!(step)))?;
    Ok(json!({ "folder": folder.display().to_string(), "steps": steps }))
}
