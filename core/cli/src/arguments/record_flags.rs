//! The flags of a kind of record, made from its form.

use clap::{Arg, ArgMatches};
use serde_json::{Map, Value as Json};
use swardbook_app::record::{FieldKind, FieldSpec, Need, RecordSpec};

use super::repeated;

const CLEAR: &str = "clear";

/// A flag for every field.
pub(super) fn flags(form: &'static RecordSpec) -> Vec<Arg> {
    form.fields.iter().map(flag).collect()
}

/// A flag that takes fields away.
pub(super) fn clear_flag() -> Arg {
    Arg::new(CLEAR)
        .long(CLEAR)
        .value_name("FIELD")
        .action(clap::ArgAction::Append)
        .help("Take a field away, by its flag's name; may be repeated")
}

fn id_of(field: &FieldSpec) -> String {
    format!("field {}", field.name)
}

fn flag(field: &FieldSpec) -> Arg {
    let arg = Arg::new(id_of(field))
        .long(field.name.replace('_', "-"))
        .value_name(value_name(field))
        .help(help(field));
    if field.kind == FieldKind::Flag {
        return arg.num_args(0..=1).require_equals(true).default_missing_value("yes");
    }
    // A number below zero begins like a flag; it is the form that refuses it, by name.
    arg.allow_hyphen_values(true)
}

fn value_name(field: &FieldSpec) -> String {
    match field.kind {
        FieldKind::Text | FieldKind::Lines => "TEXT".to_owned(),
        FieldKind::Number { unit: "", .. } => "NUMBER".to_owned(),
        FieldKind::Number { unit, .. } => unit.to_owned(),
        FieldKind::Count { .. } => "COUNT".to_owned(),
        FieldKind::Money => "AMOUNT".to_owned(),
        FieldKind::Date | FieldKind::DateAhead => "YYYY-MM-DD".to_owned(),
        FieldKind::Time => "HH:MM".to_owned(),
        FieldKind::Choice(_) => "WORD".to_owned(),
        FieldKind::Flag => "yes|no".to_owned(),
        FieldKind::Record(kind) => kind.to_uppercase(),
        FieldKind::Material => "MATERIAL".to_owned(),
    }
}

fn help(field: &FieldSpec) -> String {
    let mut help = format!("{}: {}", field.label, field.about);
    match field.kind {
        FieldKind::Number { unit, range } => {
            let unit = if unit.is_empty() { String::new() } else { format!("{unit}, ") };
            if range.0.is_finite() && range.1.is_finite() {
                help.push_str(&format!(" [{unit}from {} to {}]", range.0, range.1));
            }
        }
        FieldKind::Count { range: (least, most) } if most < i64::MAX => {
            help.push_str(&format!(" [from {least} to {most}]"));
        }
        FieldKind::Choice(words) => help.push_str(&format!(" [{}]", words.join(", "))),
        FieldKind::Record(kind) => help.push_str(&format!(" [{kind} by id or name]")),
        FieldKind::Material => help.push_str(" [material by id or name]"),
        _ => {}
    }
    match field.need {
        Need::Required => help.push_str(" [required]"),
        Need::Later => help.push_str(" [may be filled in later]"),
        Need::Optional => {}
    }
    help
}

/// The fields that were given, as a request takes them.
pub(super) fn fields(form: &RecordSpec, matches: &ArgMatches) -> Map<String, Json> {
    let mut fields = Map::new();
    for field in form.fields {
        if let Ok(Some(text)) = matches.try_get_one::<String>(&id_of(field)) {
            fields.insert(field.name.to_owned(), Json::from(text.as_str()));
        }
    }
    if matches.try_contains_id(CLEAR).unwrap_or(false) {
        for name in repeated(matches, CLEAR) {
            let name = name.trim_start_matches('-').replace('-', "_");
            fields.insert(name, Json::Null);
        }
    }
    fields
}
