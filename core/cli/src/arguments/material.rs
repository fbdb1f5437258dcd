//! `material`, `laboratory list` and `guideline`: what is known before any ground is looked at.

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Value as Json, json};
use swardbook_app::{Problem, record::FORMS};

use super::{Answer, demanded, flag, given, group, number, pairs, record_flags, word};
use crate::{
    asked::Asked,
    book::Book,
    print::{material, standing},
};

/// The subcommands that a material has beside those of every record.
pub(super) fn extend(group: Command) -> Command {
    let analysis = || -> Arg {
        flag("analysis", "NAME=%", "A share as printed, such as K=41 or P2O5=46; may be repeated")
            .action(ArgAction::Append)
    };
    let set = Command::new("analysis")
        .about("Change the analysis of your own material")
        .arg(word("id", "MATERIAL", "By id or name").required(true))
        .arg(analysis().required(true));
    group
        .mut_subcommand("add", |add| {
            add.about("Keep a material of your own, from its label")
                .arg(analysis())
                .arg(flag("pack", "kg", "Mass of one pack, where the price is known too"))
                .arg(flag("price", "AMOUNT", "Price of one pack"))
        })
        .subcommand(set)
}

pub(super) fn commands() -> Vec<Command> {
    let list = Command::new("list").about("Every guideline with its limits and its source");
    vec![group("guideline", "Published limits").subcommand(list)]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let (verb, inner) = matches.subcommand()?;
    let book = book.clone();
    Some(Ok(match (noun, verb) {
        ("material", "list") => {
            Asked::command(book, "material.list", json!({}), material::materials)
        }
        ("material", "show") => {
            let request = json!({ "material": demanded(inner, "id") });
            Asked::command(book, "material.show", request, material::material)
        }
        ("material", "add") => match add(inner) {
            Ok(request) => Asked::command(book, "material.add", request, material::added),
            Err(problem) => return Some(Err(problem)),
        },
        ("material", "analysis") => match analysis(inner) {
            Ok(analysis) => {
                let request = json!({ "material": demanded(inner, "id"), "analysis": analysis });
                Asked::command(book, "material.set_analysis", request, material::material)
            }
            Err(problem) => return Some(Err(problem)),
        },
        ("laboratory", "list") => {
            Asked::command(book, "laboratory.list", json!({}), material::laboratories)
        }
        ("guideline", _) => Asked::command(book, "guideline.list", json!({}), standing::guidelines),
        _ => return None,
    }))
}

fn add(inner: &ArgMatches) -> Result<Json, Problem> {
    let form = FORMS.iter().find(|form| form.kind == "material").expect("materials have a form");
    Ok(json!({
        "fields": record_flags::fields(form, inner),
        "analysis": analysis(inner)?,
        "pack": given(inner, "pack"),
        "price": number(inner, "price")?,
    }))
}

fn analysis(inner: &ArgMatches) -> Result<Vec<Json>, Problem> {
    let mut lines = Vec::new();
    for (name, percent) in pairs(inner, "analysis", "analysis")? {
        let percent = super::number_of(percent.trim_end_matches('%').trim(), "analysis")?;
        lines.push(json!({ "name": name, "percent": percent }));
    }
    Ok(lines)
}
