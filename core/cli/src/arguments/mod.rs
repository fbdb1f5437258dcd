//! The arguments: one module a subject, each with its commands and what they ask for.

mod calc;
mod devices;
mod figure;
mod ground;
mod material;
mod notebook;
mod observation;
mod panel;
mod photo;
mod plan;
mod record;
mod record_flags;
mod records;
mod sample;
mod season;

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, builder::ValueParser};
use serde_json::json;
use swardbook_app::{Problem, call};

use crate::{
    asked::{Asked, Show},
    book::{Access, Book},
};

/// The notebook's folder.
pub(crate) const NOTEBOOK: &str = "notebook";
/// Answers as JSON.
pub(crate) const JSON: &str = "json";
/// Shows the arithmetic behind numbers.
pub(crate) const WORKING: &str = "working";
/// Who works.
pub(crate) const PERSON: &str = "as";

const FOR_EVERY_COMMAND: &str = "For every command";

const ABOUT: &str =
    "The turf-care notebook: soil panels, amendments, and whether the ground changed.";

/// The whole command.
pub(crate) fn command() -> Command {
    let command = Command::new("swardbook")
        .version(env!("CARGO_PKG_VERSION"))
        .about(ABOUT)
        .after_help(
            "Ends with 0 when it is done, with 1 when it was refused (the reason says what to do), \
             with 2 when the command was not understood.",
        )
        .subcommand_required(true)
        .arg_required_else_help(true)
        .disable_help_subcommand(true)
        .arg(
            Arg::new(NOTEBOOK)
                .long("notebook")
                .value_name("DIR")
                .value_parser(clap::value_parser!(PathBuf))
                .global(true)
                .help_heading(FOR_EVERY_COMMAND)
                .help("The notebook's folder [default: this system's folder for data]"),
        )
        .arg(
            Arg::new(JSON)
                .long("json")
                .action(ArgAction::SetTrue)
                .global(true)
                .help_heading(FOR_EVERY_COMMAND)
                .help("Print one JSON document; a refusal goes to standard error as JSON"),
        )
        .arg(
            Arg::new(WORKING)
                .long("working")
                .action(ArgAction::SetTrue)
                .global(true)
                .help_heading(FOR_EVERY_COMMAND)
                .help("Show the arithmetic behind each number"),
        )
        .arg(
            Arg::new(PERSON)
                .long("as")
                .value_name("NAME")
                .global(true)
                .help_heading(FOR_EVERY_COMMAND)
                .help("Who works; stands in the history of what is written"),
        );
    let subjects = notebook::commands()
        .into_iter()
        .chain(records::commands())
        .chain(record::commands())
        .chain(season::commands())
        .chain(figure::commands())
        .chain(photo::commands())
        .chain(material::commands())
        .chain(devices::commands())
        .chain(calc::commands());
    command.subcommands(subjects)
}

/// What the arguments ask for.
///
/// # Errors
/// [`Problem`] when a file that an argument names cannot be read.
pub(crate) fn asked(matches: &ArgMatches, book: &Book) -> Result<Asked, Problem> {
    let (noun, inner) = subcommand(matches);
    notebook::asked(noun, inner, book)
        .or_else(|| devices::asked(noun, inner, book))
        .or_else(|| record::asked(noun, inner, book))
        .or_else(|| calc::asked(noun, inner))
        .or_else(|| ground::asked(noun, inner, book))
        .or_else(|| figure::asked(noun, inner, book))
        .or_else(|| observation::asked(noun, inner, book))
        .or_else(|| photo::asked(noun, inner, book))
        .or_else(|| season::asked(noun, inner, book))
        .or_else(|| sample::asked(noun, inner, book))
        .or_else(|| panel::asked(noun, inner, book))
        .or_else(|| plan::asked(noun, inner, book))
        .or_else(|| material::asked(noun, inner, book))
        .or_else(|| records::asked(noun, inner, book))
        .expect("every subcommand is answered for by the module that declares it")
}

/// What a module makes of a subcommand: nothing when it is another module's.
pub(crate) type Answer = Option<Result<Asked, Problem>>;

/// The subcommand and its arguments.
pub(crate) fn subcommand(matches: &ArgMatches) -> (&str, &ArgMatches) {
    matches.subcommand().expect("the parser demands a subcommand")
}

/// A field of a request by the name under which the command line takes it: `within` is the zone or
/// the property that was asked for, `path` the file. A field that no argument fills keeps its own name.
pub(crate) fn as_typed(matches: &ArgMatches, field: &str) -> String {
    let mut command = command();
    let mut inner = matches;
    while let Some((name, deeper)) = inner.subcommand() {
        let Some(found) = command.find_subcommand(name).cloned() else { break };
        (command, inner) = (found, deeper);
    }
    let dashed = field.replace('_', "-");
    let names: &[&str] = match field {
        "within" => &["zone", "property"],
        "path" => &["file", "path"],
        _ => &[&dashed],
    };
    let typed = |arg: &Arg| match arg.get_long() {
        Some(long) => format!("--{long}"),
        None => arg.get_id().as_str().to_uppercase(),
    };
    let is_named = |arg: &&Arg| {
        names.contains(&arg.get_id().as_str())
            || arg.get_long().is_some_and(|long| names.contains(&long))
    };
    command.get_arguments().find(is_named).map_or_else(|| field.to_owned(), typed)
}

/// A group of subcommands.
fn group(name: &'static str, about: impl Into<clap::builder::StyledStr>) -> Command {
    Command::new(name)
        .about(about)
        .subcommand_required(true)
        .arg_required_else_help(true)
        .disable_help_subcommand(true)
}

/// An argument that is a word of its own.
fn word(id: &'static str, name: &'static str, help: &'static str) -> Arg {
    Arg::new(id).value_name(name).help(help)
}

/// An argument behind its flag.
fn flag(id: &'static str, name: &'static str, help: &'static str) -> Arg {
    Arg::new(id).long(id).value_name(name).help(help)
}

/// An argument that is a file or a folder.
fn path(id: &'static str, name: &'static str, help: &'static str) -> Arg {
    word(id, name, help).value_parser(ValueParser::path_buf())
}

/// The text of an argument that was given.
fn given(matches: &ArgMatches, id: &str) -> Option<String> {
    matches.get_one::<String>(id).cloned()
}

/// The text of an argument that the parser demands.
fn demanded(matches: &ArgMatches, id: &str) -> String {
    given(matches, id).expect("the parser demands it")
}

/// The texts of an argument that may be repeated.
fn repeated(matches: &ArgMatches, id: &str) -> Vec<String> {
    matches.get_many::<String>(id).map_or_else(Vec::new, |many| many.cloned().collect())
}

/// The pairs of a repeated `NAME=VALUE`; a name may hold the sign, a value hardly does.
fn pairs(matches: &ArgMatches, id: &str, field: &str) -> Result<Vec<(String, String)>, Problem> {
    let pair = |text: String| match text.rsplit_once('=') {
        Some((name, value)) => Ok((name.trim().to_owned(), value.trim().to_owned())),
        None => Err(Problem::bad(field, format!("--{id} \"{text}\": write NAME=VALUE"))),
    };
    repeated(matches, id).into_iter().map(pair).collect()
}

/// The number of an argument that was given.
fn number(matches: &ArgMatches, id: &str) -> Result<Option<f64>, Problem> {
    given(matches, id).map(|text| number_of(&text, &id.replace('-', "_"))).transpose()
}

/// A number as typed, with a point or a comma before its decimals.
fn number_of(text: &str, field: &str) -> Result<f64, Problem> {
    let number = text.trim().replacen(',', ".", 1).parse::<f64>().ok();
    number
        .filter(|number| number.is_finite())
        .ok_or_else(|| Problem::bad(field, format!("{field}: \"{text}\" is not a number")))
}

/// The whole number of an argument that was given.
fn whole(matches: &ArgMatches, id: &str) -> Result<Option<u32>, Problem> {
    let read = |text: String| {
        text.trim().parse::<u32>().map_err(|_| {
            let field = id.replace('-', "_");
            Problem::bad(&field, format!("{field}: \"{text}\" is no whole number"))
        })
    };
    given(matches, id).map(read).transpose()
}

/// A command on one record that a person may name by its label.
fn found_first(
    kind: &'static str,
    inner: &ArgMatches,
    book: Book,
    command: &'static str,
    show: Show,
) -> Asked {
    let find =
        json!({ "kind": kind, "record": demanded(inner, "id"), "within": given(inner, "zone") });
    Asked::working(show, move || {
        book.open(Access::Read, |notebook| {
            let found = call(notebook, "record.find", find.clone())?;
            call(notebook, command, json!({ kind: found["id"] }))
        })
    })
}
