//! Calculations: what there are, and what one answers with its working.

use serde_json::Value as Json;

use super::{Column, Page, list, number, quantity, text, working::sources};

/// The catalogue; one calculation alone is shown with its inputs and outputs.
pub(crate) fn catalogue(page: &mut Page, infos: &Json) {
    let infos = infos.as_array().map_or(&[][..], Vec::as_slice);
    if let [info] = infos {
        one(page, info);
        return;
    }
    let rows: Vec<Vec<String>> = infos
        .iter()
        .map(|info| vec![text(info, "id").to_owned(), text(info, "title").to_owned()])
        .collect();
    page.table(&[Column::Left("Id"), Column::Left("Calculation")], &rows);
    page.gap();
    page.say("`calc ID --list` shows what one takes and gives; `calc --list --json` shows all.");
}

fn one(page: &mut Page, info: &Json) {
    page.say(&format!("{}: {}", text(info, "id"), text(info, "title")));
    page.heading("Takes");
    inputs(page, list(info, "inputs"), "");
    page.heading("Gives");
    let rows: Vec<Vec<String>> = list(info, "outputs")
        .iter()
        .map(|output| {
            let cells = ["name", "unit", "about"];
            cells.iter().map(|name| text(output, name).to_owned()).collect()
        })
        .collect();
    page.table(&[Column::Left("Name"), Column::Left("Unit"), Column::Left("What it is")], &rows);
    sources(page, list(info, "sources"));
}

fn inputs(page: &mut Page, inputs: &[Json], inside: &str) {
    let mut rows = Vec::new();
    add_inputs(&mut rows, inputs, inside);
    page.table(
        &[
            Column::Left("Name"),
            Column::Left("Unit"),
            Column::Left("Need"),
            Column::Left("Allowed"),
            Column::Left("What it is"),
        ],
        &rows,
    );
}

fn add_inputs(rows: &mut Vec<Vec<String>>, inputs: &[Json], inside: &str) {
    for input in inputs {
        let name = format!("{inside}{}", text(input, "name"));
        let need = match (input["required"].as_bool(), input["default"].as_str()) {
            (Some(true), _) => "required".to_owned(),
            (_, Some(default)) => format!("default {default}"),
            _ => "optional".to_owned(),
        };
        let mut about = text(input, "about").to_owned();
        let why = text(input, "default_source");
        if !why.is_empty() {
            about.push_str(&format!(" (default: {why})"));
        }
        rows.push(vec![name.clone(), text(input, "unit").to_owned(), need, allowed(input), about]);
        add_inputs(rows, list(input, "members"), &format!("{name}."));
    }
}

fn allowed(input: &Json) -> String {
    let words: Vec<&str> = list(input, "words").iter().filter_map(Json::as_str).collect();
    let bound = |name: &str| input[name].as_f64().map(number);
    match (bound("least"), bound("greatest")) {
        _ if !words.is_empty() => words.join(", "),
        (Some(least), Some(greatest)) => format!("{least} to {greatest}"),
        (Some(least), None) => format!("at least {least}"),
        (None, Some(greatest)) => format!("at most {greatest}"),
        (None, None) => text(input, "kind").to_owned(),
    }
}

/// What one run answers.
pub(crate) fn outcome(page: &mut Page, outcome: &Json) {
    page.say(text(outcome, "id"));
    if let Some(result) = outcome["result"].as_object() {
        let mut pairs = Vec::new();
        for (name, value) in result {
            add_value(&mut pairs, name, value);
        }
        page.pairs(&pairs);
    }
    let working = list(outcome, "working");
    if !working.is_empty() {
        page.heading("Working");
    }
    for line in working {
        page.hang("  ", &working_line(line));
    }
    cautions(page, list(outcome, "cautions"));
    sources(page, list(outcome, "sources"));
}

fn add_value(pairs: &mut Vec<(String, String)>, name: &str, value: &Json) {
    match value {
        Json::Object(parts) if parts.contains_key("value") && parts.contains_key("unit") => {
            pairs.push((name.to_owned(), quantity(&value["value"], text(value, "unit"))));
        }
        Json::Object(parts) => {
            for (part, value) in parts {
                add_value(pairs, &format!("{name}.{part}"), value);
            }
        }
        Json::Array(values) => {
            for (at, value) in values.iter().enumerate() {
                add_value(pairs, &format!("{name} {}", at + 1), value);
            }
        }
        Json::String(words) => pairs.push((name.to_owned(), words.clone())),
        Json::Bool(flag) => {
            pairs.push((name.to_owned(), if *flag { "yes" } else { "no" }.to_owned()));
        }
        Json::Number(_) => pairs.push((name.to_owned(), quantity(value, ""))),
        Json::Null => pairs.push((name.to_owned(), "not available".to_owned())),
    }
}

fn working_line(line: &Json) -> String {
    let amount = quantity(&line["value"], text(line, "unit"));
    if let Some(input) = line["input"].as_str() {
        let why = text(line, "why");
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        return format!("{input} = {amount} ({}{why})", text(line, "origin"));
    }
    if let Some(equation) = line["equation"].as_str() {
        return equation.to_owned();
    }
    format!("{}: {} = {amount}", text(line, "step"), text(line, "arithmetic"))
}

/// What to mind.
pub(crate) fn cautions(page: &mut Page, cautions: &[Json]) {
    if cautions.is_empty() {
        return;
    }
    page.heading("Mind");
    for caution in cautions.iter().filter_map(Json::as_str) {
        page.hang("  - ", caution);
    }
}
