//! Before and after: whether the ground changed, and what may be said of the cause.

use serde_json::Value as Json;

use super::{Column, Page, list, quantity, range, text, working::Behind};

/// Two panels of one zone side by side.
pub(crate) fn compare(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    page.say(&format!("{}, before and after", text(view, "zone_name")));
    page.pairs(&[("Before", side(&view["baseline"])), ("After", side(&view["retest"]))]);
    let checks = list(view, "checks");
    if !checks.is_empty() {
        page.heading("Checked before comparing");
    }
    for check in checks {
        let mark = match text(check, "outcome") {
            "fits" => "  fits: ",
            "refused" => "  refused: ",
            _ => "  differs: ",
        };
        page.hang(mark, text(check, "words"));
    }
    if view["refused"].as_bool().unwrap_or(false) {
        page.heading("These two are not compared.");
    }
    bullets(page, "What can be said", list(view, "sentences"));
    rows(page, view, &mut behind);
    bullets(page, "Put on in between", list(view, "applied"));
    bullets(page, "How far it goes", list(view, "notes"));
    behind.finish(page);
}

fn bullets(page: &mut Page, heading: &str, words: &[Json]) {
    if words.is_empty() {
        return;
    }
    page.heading(heading);
    for words in words.iter().filter_map(Json::as_str) {
        page.hang("  - ", words);
    }
}

fn side(side: &Json) -> String {
    let layer = match (&side["from_mm"], &side["to_mm"]) {
        (Json::Null, _) | (_, Json::Null) => "layer not recorded".to_owned(),
        (from, to) => range(from, to, "mm"),
    };
    let cores = match side["cores"].as_u64() {
        Some(1) => "1 core".to_owned(),
        Some(cores) => format!("{cores} cores"),
        None => "cores not recorded".to_owned(),
    };
    let day = side["sampled"].as_str().unwrap_or("day not recorded");
    format!("{day}, {layer}, {cores}, panel {}", text(side, "panel"))
}

fn rows(page: &mut Page, view: &Json, behind: &mut Behind) {
    let rows = list(view, "rows");
    if rows.is_empty() {
        return;
    }
    let level = quantity(&Json::from(view["level"].as_f64().unwrap_or(0.9) * 100.0), "%");
    page.heading(&format!("Analyte by analyte, intervals at {level}"));
    let cells: Vec<Vec<String>> = rows.iter().map(row).collect();
    page.table(
        &[
            Column::Left("Analyte"),
            Column::Right("Before"),
            Column::Right("After"),
            Column::Left("Unit"),
            Column::Right("Change"),
            Column::Right("From"),
            Column::Right("To"),
            Column::Left("Verdict"),
            Column::Left("Expected"),
            Column::Left("Method"),
        ],
        &cells,
    );
    for row in rows {
        let name = text(row, "name");
        behind.working(page, &format!("the change of {name}"), &row["working"]);
        behind.working(page, &format!("what {name} should do"), &row["expected"]["working"]);
    }
}

fn row(row: &Json) -> Vec<String> {
    let decimals = row["decimals"].as_u64().and_then(|d| usize::try_from(d).ok()).unwrap_or(2);
    let fixed = |value: &Json| {
        value.as_f64().map_or_else(String::new, |value| format!("{value:.decimals$}"))
    };
    let signed = |sign: &str, value: &str| format!("{}{}", text(row, sign), fixed(&row[value]));
    let unit = text(row, "change_unit");
    let change = |value: &Json| match value.as_f64() {
        Some(value) if unit == "%" => format!("{value:+.0} %"),
        Some(value) => format!("{value:+.decimals$}"),
        None => String::new(),
    };
    let interval = &row["change_interval"];
    let expected = &row["expected"];
    let expected = match expected["likely"].as_f64() {
        Some(likely) => format!(
            "{likely:+.decimals$} ({} to {})",
            fixed(&expected["low"]),
            fixed(&expected["high"])
        ),
        None => String::new(),
    };
    vec![
        text(row, "name").to_owned(),
        signed("before_sign", "before"),
        signed("after_sign", "after"),
        text(row, "unit").to_owned(),
        change(&row["change"]),
        change(&interval["low"]),
        change(&interval["high"]),
        verdict(text(row, "verdict")).to_owned(),
        expected,
        text(row, "method_name").to_owned(),
    ]
}

fn verdict(word: &str) -> &str {
    match word {
        "rise" => "rose",
        "fall" => "fell",
        "same" => "the same",
        "cannot-tell" => "cannot tell",
        "not-compared" => "not compared",
        other => other,
    }
}
