//! What is done again and again in a season: pull, post, plan, put on, rate.

use serde_json::{Value as Json, json};

use super::{
    letters::Letters,
    season::Zone,
    story::{Story, rows, text, texts},
};
use crate::Problem;

/// Records a sample that was pulled and posted.
pub(super) fn pull(
    story: &mut Story<'_>,
    zone: &Zone,
    day: &str,
    with_count: bool,
) -> Result<String, Problem> {
    let mut fields = json!({
        "date": day, "from": 0, "to": 100, "tool": "tube, 19 mm", "tool_diameter": 19,
        "wanted_cores": zone.cores, "label": zone.name, "laboratory": "Fenwhistle Laboratory",
        "sent": day,
    });
    if with_count {
        fields["pulled_cores"] = json!(zone.cores);
    }
    let window = story.ask("sample.window", json!({ "zone": zone.name, "day": day }))?;
    if window["is_clear"] == false {
        fields["unclear_reason"] = json!("to see which way it goes, not where it ends");
    }
    story.add("sample", Some(zone.name), fields)
}

/// Records the cores of the back terrace one by one, two of them set aside.
pub(super) fn cores(story: &mut Story<'_>, sample: &str, plan: &Json) -> Result<(), Problem> {
    for point in rows(plan, "points") {
        let number = point["number"].as_i64().unwrap_or_default();
        let mut fields = json!({
            "sample": sample, "number": number, "east": point["east"], "north": point["north"],
            "depth": 100,
        });
        if number == 7 || number == 15 {
            fields["set_aside"] = json!(true);
            fields["reason"] = json!(if number == 7 { "imported sand" } else { "edge of paving" });
        }
        story.add("core", Some("back terrace"), fields)?;
    }
    Ok(())
}

/// The laboratory's letter of that day comes in and is read.
pub(super) fn post(story: &mut Story<'_>, day: &str, letters: &Letters) -> Result<(), Problem> {
    story.on(day)?;
    let asked = json!({ "path": letters.path(day), "laboratory": "Fenwhistle Laboratory" });
    let outcome = story.ask("panel.import", asked)?;
    let preview = &outcome["preview"];
    let mut lines = vec![format!(
        "{}: {} readings from {} filled cells, {} not read",
        text(preview, "file"),
        preview["reading_cells"],
        preview["cells"],
        rows(preview, "unread").len()
    )];
    for unread in rows(preview, "unread") {
        lines.push(format!(
            "  {} \"{}\": {}",
            text(unread, "cell"),
            text(unread, "text"),
            text(unread, "reason")
        ));
    }
    for panel in rows(&outcome, "panels") {
        let reading = story.ask("panel.reading", json!({ "panel": panel["panel"] }))?;
        lines.push(format!("{}: {}", text(panel, "label"), text(&reading, "headline")));
    }
    story.step("A panel from the laboratory", lines);
    Ok(())
}

/// Plans from the newest panel of a zone and accepts; none where nothing is called for.
pub(super) fn plan_zone(
    story: &mut Story<'_>,
    zone: &'static str,
    start: &str,
) -> Result<Option<(&'static str, Json)>, Problem> {
    let shown = story.ask("zone.show", json!({ "zone": zone }))?;
    let panel = shown["line"]["last_panel_id"].clone();
    let request = json!({ "panel": panel, "start": start, "season_nitrogen": 10 });
    let draft = story.ask("plan.draft", request.clone())?;
    let mut lines = Vec::new();
    let calcium = &draft["calcium"];
    if !calcium.is_null() {
        lines.push(format!("calcium source: {}", text(calcium, "chosen_words")));
        lines.extend(texts(calcium, "reasons").iter().map(|reason| format!("  {reason}")));
        if let Some(used) =
            rows(&calcium["lime"], "answers").iter().find(|answer| answer["used"] == true)
        {
            lines.push(format!(
                "  {}: {:.0} g/m2 of pure calcium carbonate; confirmed methods span {:.0} to {:.0}",
                text(used, "title"),
                used["need_g_m2"].as_f64().unwrap_or_default(),
                calcium["lime"]["least_g_m2"].as_f64().unwrap_or_default(),
                calcium["lime"]["most_g_m2"].as_f64().unwrap_or_default()
            ));
        }
    }
    for visit in rows(&draft, "visits") {
        lines.push(format!(
            "{}: {:.1} g/m2 of {}, {:.1} kg",
            text(visit, "date"),
            visit["dose_g_m2"].as_f64().unwrap_or_default(),
            text(visit, "material_name").to_lowercase(),
            visit["amount_kg"].as_f64().unwrap_or_default()
        ));
    }
    lines.extend(rows(&draft, "purchases").iter().map(|one| format!("buy {}", buy_line(one))));
    story.step(format!("Plan for the {zone}"), lines);
    if rows(&draft, "visits").is_empty() {
        return Ok(None);
    }
    Ok(Some((zone, story.ask("plan.accept", request)?)))
}

pub(super) fn buy_line(purchase: &Json) -> String {
    format!(
        "{} x {} kg of {}: {}",
        purchase["packs"],
        purchase["pack_kg"],
        text(purchase, "material_name").to_lowercase(),
        text(purchase, "cost")
    )
}

/// Puts on what is planned for this season, in the order of the days.
///
/// What falls due a year or more after the first visit waits for the retest.
pub(super) fn put_on(
    story: &mut Story<'_>,
    plans: &[Option<(&'static str, Json)>],
) -> Result<(), Problem> {
    let mut visits: Vec<(String, &str, &Json, &Json)> = Vec::new();
    for (zone, plan) in plans.iter().flatten() {
        let items = rows(plan, "items");
        let first = items.first().map(|item| text(item, "date")).unwrap_or_default();
        let until = following_year(&first);
        let due = items.iter().map(|item| (text(item, "date"), *zone, &plan["record"]["id"], item));
        visits.extend(due.filter(|(date, ..)| *date < until));
    }
    visits.sort_by(|a, b| a.0.cmp(&b.0));
    let mut lines = Vec::new();
    for (date, zone, plan, item) in visits {
        let Some(kg) = item["amount_kg"].as_f64() else { continue };
        story.on(&date)?;
        story.add(
            "application",
            Some(zone),
            json!({ "material": item["material"], "amount": (kg * 10.0).round() / 10.0,
                "date": date, "how": "drop spreader", "weather": "overcast, still",
                "watered_in": true, "plan": plan, "plan_item": item["key"] }),
        )?;
        let name = text(item, "material_name").to_lowercase();
        lines.push(format!("{date}, {zone}: {kg:.1} kg of {name}"));
    }
    story.step("Applications", lines);
    Ok(())
}

/// The same day of the next year, as text that sorts as days do.
fn following_year(day: &str) -> String {
    let year: i32 = day.get(..4).and_then(|year| year.parse().ok()).unwrap_or_default();
    format!("{}{}", year + 1, day.get(4..).unwrap_or_default())
}

pub(super) fn rate(
    story: &mut Story<'_>,
    zone: &str,
    ratings: &[(&str, f64)],
) -> Result<(), Problem> {
    for (day, value) in ratings {
        story.add(
            "observation",
            Some(zone),
            json!({ "sort": "rating", "what": "colour", "value": value, "date": day,
                "rater": "Tamsin Okoro" }),
        )?;
    }
    Ok(())
}

/// Keeps a drawn photo and measures it.
pub(super) fn photograph(
    story: &mut Story<'_>,
    letters: &Letters,
    day: &str,
    number: u32,
    green: f64,
) -> Result<(), Problem> {
    let path = letters.picture(day, number, green)?;
    let added = story.ask(
        "photo.add",
        json!({ "photos": [{ "zone": "back terrace", "path": path, "date": day,
            "note": "drawn for the demo, no photograph" }] }),
    )?;
    story.ask("photo.measure", json!({ "photo": added["added"][0]["id"] }))?;
    Ok(())
}

/// Daily means of an invented weather: a year's wave of the southern half, and a ripple of weeks.
pub(super) fn temperatures() -> String {
    use chrono::{Datelike, Days, NaiveDate};
    let begun = NaiveDate::from_ymd_opt(2023, 8, 1).expect("a day");
    (0..868_u64)
        .map(|number| {
            let day = begun + Days::new(number);
            let turn = std::f64::consts::TAU * (f64::from(day.ordinal()) - 20.0) / 365.25;
            #[expect(clippy::cast_precision_loss, reason = "a small number of days")]
            let ripple = 2.2 * (number as f64 / 4.1).sin();
            format!("{day} {:.1}\n", 16.5 + 7.5 * turn.cos() + ripple)
        })
        .collect()
}
