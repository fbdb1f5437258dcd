//! Panels beyond their form: out of a laboratory's file, out of pasted text, or typed in.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Map, Value as Json, json};
use swardbook_app::{Problem, call};

use super::{Answer, demanded, flag, found_first, given, pairs, path, repeated, subcommand, word};
use crate::{
    asked::Asked,
    book::{Access, Book},
    print::{panel, preview, standing},
    typed,
};

/// The subcommands that a panel has beside those of every record.
pub(super) fn extend(group: Command) -> Command {
    let file = || path("file", "FILE", "A CSV, TSV or XLSX file").required(true);
    let pasted = path("file", "FILE", "A file with the text; `-` or nothing reads standard input");
    let reading = || {
        Arg::new("reading").long("reading").value_name("ANALYTE=VALUE").help(
            "A reading, such as \"K (Mehlich-3)=54 mg/kg\" or \"pH (CaCl2)=5.2\"; `<` and `>` stand \
             before the number",
        )
    };
    let add = Command::new("add")
        .about("Type a panel in")
        .arg(flag("sample", "SAMPLE", "The sample by id, or by label with --zone").required(true))
        .arg(flag("zone", "NAME", "The zone in which to look for the sample's label"))
        .arg(flag("laboratory", "NAME", "Who reported it; the sample's laboratory without it"))
        .arg(flag("report", "TEXT", "The laboratory's own number"))
        .arg(flag("date", "YYYY-MM-DD", "The day of the report; today without it"))
        .arg(reading().action(ArgAction::Append));
    let set = Command::new("set")
        .about("Correct, add or take away one reading")
        .arg(word("id", "ID", "The panel").required(true))
        .arg(flag("key", "KEY", "The reading, as `panel show` names it; a new one without it"))
        .arg(reading())
        .arg(
            Arg::new("take-away")
                .long("take-away")
                .action(ArgAction::SetTrue)
                .requires("key")
                .conflicts_with("reading")
                .help("Take the reading away"),
        );
    let one = Command::new("reading")
        .about("What the readings say by published guidelines")
        .arg(word("id", "ID", "The panel").required(true))
        .arg(flag("zone", "NAME", "The zone in which to look for its report number"));
    group
        .mut_subcommand("add", |_| add)
        .subcommand(set)
        .subcommand(one)
        .subcommand(
            Command::new("read").about("Show what a file says, without a notebook").arg(file()),
        )
        .subcommand(
            Command::new("preview")
                .about("Show what a file would bring in, before anything is written")
                .arg(file())
                .args(reading_rules()),
        )
        .subcommand(
            Command::new("import")
                .about("Bring in a file: all of it, or nothing")
                .arg(file())
                .args(reading_rules())
                .args(targets()),
        )
        .subcommand(
            Command::new("paste")
                .about("Bring in pasted text of two to five columns")
                .arg(pasted)
                .args(reading_rules())
                .args(targets())
                .arg(
                    Arg::new("preview")
                        .long("preview")
                        .action(ArgAction::SetTrue)
                        .help("Only show what it would bring in"),
                ),
        )
}

fn reading_rules() -> [Arg; 2] {
    [
        flag("laboratory", "NAME", "Whose file it is; its remembered layout is tried first"),
        flag(
            "answer",
            "QUESTION=NUMBER",
            "An answer to a question of the preview; may be repeated",
        )
        .action(ArgAction::Append),
    ]
}

fn targets() -> [Arg; 4] {
    [
        flag("zone", "NAME", "A zone for every sample that has no other place to go"),
        flag("target", "LABEL=SAMPLE", "The sample that a label belongs to; may be repeated")
            .action(ArgAction::Append),
        flag("target-zone", "LABEL=ZONE", "The zone that a label belongs to; may be repeated")
            .action(ArgAction::Append),
        flag("skip", "LABEL", "Leave a sample out; may be repeated").action(ArgAction::Append),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    if noun != "panel" {
        return None;
    }
    let (verb, inner) = subcommand(matches);
    let book = book.clone();
    match verb {
        "show" => Some(Ok(found_first("panel", inner, book, "panel.show", panel::panel))),
        "reading" => {
            Some(Ok(found_first("panel", inner, book, "panel.reading", standing::standing)))
        }
        "add" => Some(add(inner, book)),
        "set" => Some(set(inner, book)),
        "read" => {
            let file = file_of(inner).unwrap_or_default();
            Some(Ok(Asked::working(preview::read, move || crate::panel_read::read(&file))))
        }
        "preview" => Some(source(inner).and_then(|source| {
            let request = rules(inner, source)?;
            Ok(Asked::command(book, "panel.preview", request, preview::preview))
        })),
        "paste" if inner.get_flag("preview") => Some(pasted(inner).and_then(|source| {
            let request = rules(inner, source)?;
            Ok(Asked::command(book, "panel.preview", request, preview::preview))
        })),
        "import" => Some(source(inner).and_then(|source| import(inner, source, book))),
        "paste" => Some(pasted(inner).and_then(|source| import(inner, source, book))),
        _ => None,
    }
}

fn import(inner: &ArgMatches, source: Map<String, Json>, book: Book) -> Result<Asked, Problem> {
    let mut request = rules(inner, source)?;
    request["zone"] = json!(given(inner, "zone"));
    let mut targets = Vec::new();
    for label in repeated(inner, "skip") {
        targets.push(json!({ "label": label, "skip": true }));
    }
    for (flag, member) in [("target", "sample"), ("target-zone", "zone")] {
        for (label, place) in pairs(inner, flag, "targets")? {
            targets.push(json!({ "label": label, member: place }));
        }
    }
    request["targets"] = json!(targets);
    Ok(Asked::command(book, "panel.import", request, preview::imported))
}

fn file_of(inner: &ArgMatches) -> Option<PathBuf> {
    inner.get_one::<PathBuf>("file").cloned()
}

fn source(inner: &ArgMatches) -> Result<Map<String, Json>, Problem> {
    let file = file_of(inner).unwrap_or_default();
    let text = file.to_str().ok_or_else(|| {
        let message = format!("the name of {} is not UTF-8; rename the file", file.display());
        Problem::bad("path", message)
    })?;
    Ok(Map::from_iter([("path".to_owned(), Json::from(text))]))
}

fn pasted(inner: &ArgMatches) -> Result<Map<String, Json>, Problem> {
    let file = file_of(inner);
    let text = typed::text(file.as_deref().unwrap_or(Path::new("-")), "text")?;
    Ok(Map::from_iter([("text".to_owned(), Json::from(text))]))
}

fn rules(inner: &ArgMatches, mut source: Map<String, Json>) -> Result<Json, Problem> {
    let mut answers = Vec::new();
    for (question, choice) in pairs(inner, "answer", "answers")? {
        let choice: u32 = choice.parse().map_err(|_| {
            Problem::bad("answers", format!("--answer {question}: \"{choice}\" is no number"))
        })?;
        answers.push(json!({ "question": question, "choice": choice }));
    }
    source.insert("answers".to_owned(), json!(answers));
    source.insert("laboratory".to_owned(), json!(given(inner, "laboratory")));
    Ok(Json::Object(source))
}

fn reading(text: &str) -> Result<Json, Problem> {
    let (analyte, value) = text.split_once('=').ok_or_else(|| {
        Problem::bad("readings", format!("--reading \"{text}\": write it as ANALYTE=VALUE UNIT"))
    })?;
    Ok(json!({ "analyte": analyte.trim(), "value": value.trim() }))
}

fn add(inner: &ArgMatches, book: Book) -> Result<Asked, Problem> {
    let readings: Vec<Json> =
        repeated(inner, "reading").iter().map(|text| reading(text)).collect::<Result<_, _>>()?;
    let find = json!({
        "kind": "sample", "record": demanded(inner, "sample"), "within": given(inner, "zone"),
    });
    let request = json!({
        "laboratory": given(inner, "laboratory"),
        "report": given(inner, "report").unwrap_or_default(),
        "date": given(inner, "date"),
        "readings": readings,
    });
    Ok(Asked::working(panel::panel, move || {
        book.open(Access::Write, |notebook| {
            let sample = call(notebook, "record.find", find.clone())
                .map_err(|problem| problem.at("sample"))?;
            let mut request = request.clone();
            request["sample"] = sample["id"].clone();
            call(notebook, "panel.add", request)
        })
    }))
}

fn set(inner: &ArgMatches, book: Book) -> Result<Asked, Problem> {
    let reading = given(inner, "reading").map(|text| reading(&text)).transpose()?;
    if reading.is_none() && !inner.get_flag("take-away") {
        return Err(Problem::missing(
            "reading",
            "give --reading ANALYTE=VALUE, or --take-away with --key",
        ));
    }
    let request = json!({
        "panel": demanded(inner, "id"), "key": given(inner, "key"), "reading": reading,
    });
    Ok(Asked::command(book, "panel.set_reading", request, panel::panel))
}
