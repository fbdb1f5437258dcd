//! What Tamsin Okoro did at Kettle Bend, and for two clients, in three years.

use std::path::PathBuf;

use serde_json::{Value as Json, json};

use super::story::{Story, rows, text, texts};
use crate::{Code, Problem};

macro_rules! letters {
    ($($day:literal),* $(,)?) => {
        /// The laboratory's files by the day of the report.
        const LETTERS: &[(&str, &[u8])] = &[ $(
            ($day, include_bytes!(concat!("../../../../fixtures/laboratories/fenwhistle-", $day, ".csv"))),
        )* ];
    };
}

letters![
    "2023-09-19",
    "2024-03-26",
    "2024-09-17",
    "2025-03-25",
    "2025-09-24",
    "2026-03-24",
    "2026-09-22",
];

/// The laboratory's files, written out so that they are imported as a person imports them.
pub(super) struct Letters(PathBuf);

impl Letters {
    pub(super) fn write() -> Result<Self, Problem> {
        let folder = std::env::temp_dir().join(format!("swardbook-demo-{}", std::process::id()));
        let failed = |e: std::io::Error| Problem::new(Code::Storage, e.to_string());
        std::fs::create_dir_all(&folder).map_err(failed)?;
        for (day, bytes) in LETTERS {
            std::fs::write(folder.join(format!("fenwhistle-{day}.csv")), bytes).map_err(failed)?;
        }
        Ok(Self(folder))
    }

    /// Draws a picture of grass beside the letters.
    fn picture(&self, day: &str, number: u32, green: f64) -> Result<String, Problem> {
        let path = self.0.join(format!("back-terrace-{day}-{number}.jpg"));
        let seed = (green * 1e6).to_bits().wrapping_mul(u64::from(2 * number + 1));
        let bytes = super::picture::grass(green, seed)?;
        std::fs::write(&path, bytes).map_err(|e| Problem::new(Code::Storage, e.to_string()))?;
        Ok(path.display().to_string())
    }

    fn path(&self, day: &str) -> String {
        self.0.join(format!("fenwhistle-{day}.csv")).display().to_string()
    }
}

impl Drop for Letters {
    fn drop(&mut self) {
        // Left-over copies in the system's own folder for such things do no harm.
        let _swept = std::fs::remove_dir_all(&self.0);
    }
}

struct Zone {
    name: &'static str,
    cores: i64,
    /// What the retest is asked about.
    asked: &'static [&'static str],
}

const OWN: [Zone; 3] = [
    Zone { name: "front verge", cores: 25, asked: &["ph-water", "k"] },
    Zone { name: "back terrace", cores: 20, asked: &["ph-water", "mg", "ca"] },
    Zone { name: "nature-strip", cores: 20, asked: &["na", "ph-water"] },
];
const CLIENTS: [Zone; 3] = [
    Zone { name: "green surrounds", cores: 24, asked: &["k", "ph-water"] },
    Zone { name: "front lawn", cores: 20, asked: &["ph-water"] },
    Zone { name: "rear lawn", cores: 12, asked: &["ph-water", "ca"] },
];

/// Tells everything.
pub(super) fn tell(story: &mut Story<'_>, letters: &Letters) -> Result<(), Problem> {
    set_up(story)?;
    first_season(story, letters)?;
    clients(story, letters)?;
    later_seasons(story, letters)?;
    end(story)
}

fn set_up(story: &mut Story<'_>) -> Result<(), Problem> {
    story.ask(
        "settings.set",
        json!({ "fields": {
            "name": "Kettle Bend turf", "keeper": "Tamsin Okoro", "measure": "metric",
            "hemisphere": "south", "currency": "AUD", "language": "en-AU",
        } }),
    )?;
    story.add(
        "laboratory",
        None,
        json!({ "name": "Fenwhistle Laboratory", "turnaround_days": 14, "post_days": 3,
            "wanted_mass": "500 g" }),
    )?;
    for (material, pack, price) in [
        ("dolomite", "20 kg", "11.50"),
        ("calcitic-lime", "20 kg", "9.80"),
        ("gypsum", "25 kg", "13.20"),
        ("sulfate-of-potash", "10 kg", "27.40"),
        ("epsom-salt", "10 kg", "19.90"),
        ("triple-superphosphate", "10 kg", "24.60"),
    ] {
        story.add("price", None, json!({ "material": material, "pack": pack, "price": price }))?;
    }
    let own = story.add(
        "property",
        None,
        json!({ "name": "Kettle Bend", "ground": "own", "place": "the last bend before the ford",
            "phosphorus_rule": "needs-test", "phosphorus_rule_source": "invented for the demo" }),
    )?;
    story.add(
        "zone",
        Some(&own),
        json!({ "name": "front verge", "outline": "metres 0,0 23,0 23,8 0,8", "turf": "lawn",
            "grass": "warm-season", "grass_words": "couch", "texture": "sandy-loam",
            "root_zone": "100 mm", "irrigation": "hose", "mowing": "35 mm",
            "since": "2021-05-01" }),
    )?;
    story.add(
        "zone",
        Some(&own),
        json!({ "name": "back terrace",
            "outline": "metres 0,12 18,12 18,22 26,22 26,30 0,30", "turf": "lawn",
            "grass": "warm-season", "grass_words": "kikuyu", "texture": "sandy-loam",
            "root_zone": "100 mm", "bulk_density": "1.4 t/m3", "irrigation": "fixed",
            "mowing": "40 mm", "carbonate": "none" }),
    )?;
    story.add(
        "zone",
        Some(&own),
        json!({ "name": "nature-strip", "outline": "metres 0,-9 32,-9 32,-6 0,-6",
            "turf": "lawn", "grass": "warm-season", "grass_words": "couch", "texture": "loam",
            "root_zone": "100 mm", "irrigation": "none", "mowing": "40 mm" }),
    )?;
    let listed = story.ask("zone.list", Json::Null)?;
    let lines = listed.as_array().map_or(&[][..], Vec::as_slice).iter().map(zone_line).collect();
    story.step("Property and zones", lines);
    Ok(())
}

fn zone_line(zone: &Json) -> String {
    let area = zone["area_m2"].as_f64().unwrap_or_default();
    format!("{}: {area:.0} m2, {}", text(zone, "name"), text(zone, "texture"))
}

fn first_season(story: &mut Story<'_>, letters: &Letters) -> Result<(), Problem> {
    story.on("2023-08-21")?;
    story.add(
        "application",
        Some("front verge"),
        json!({ "material_words": "seaweed drench", "form": "liquid", "date": "2023-06-11",
            "volume": "9 L", "how": "watering can" }),
    )?;
    let mut lines = Vec::new();
    for zone in &OWN {
        let window = story.ask("sample.window", json!({ "zone": zone.name }))?;
        lines.push(format!("{}: {}", zone.name, text(&window, "sentence")));
    }
    story.step("Clear to sample?", lines);
    let plan = story.ask(
        "sample.plan",
        json!({ "zone": "back terrace", "cores": 20, "seed": 4119, "tool_diameter": "19 mm",
            "laboratory": "Fenwhistle Laboratory" }),
    )?;
    story.step(
        "Sample plan for the back terrace",
        vec![
            format!(
                "{} cores from seed {}, a walk of {:.0} m",
                plan["cores"],
                plan["seed"],
                plan["walk_m"].as_f64().unwrap_or_default()
            ),
            format!(
                "about {:.0} g of moist soil; the laboratory asks {:.0} g",
                plan["mass_g"].as_f64().unwrap_or_default(),
                plan["wanted_g"].as_f64().unwrap_or_default()
            ),
        ],
    );
    story.on("2023-09-04")?;
    let sample = pull(story, &OWN[1], "2023-09-04", false)?;
    cores(story, &sample, &plan)?;
    pull(story, &OWN[0], "2023-09-04", true)?;
    pull(story, &OWN[2], "2023-09-04", true)?;
    let shown = story.ask("sample.show", json!({ "sample": sample }))?;
    story.step(
        "Cores and composite",
        vec![format!(
            "back terrace: {} cores kept, {} set aside; about {:.0} g in the bag",
            shown["kept"],
            shown["set_aside"],
            shown["estimate_g"].as_f64().unwrap_or_default()
        )],
    );
    post(story, "2023-09-19", letters)?;
    let plans = [
        plan_zone(story, "back terrace", "2023-10-09")?,
        plan_zone(story, "nature-strip", "2023-10-10")?,
    ];
    put_on(story, &plans)?;
    rate(
        story,
        "back terrace",
        &[
            ("2023-09-05", 4.0),
            ("2023-12-03", 5.0),
            ("2024-03-02", 6.0),
            ("2024-12-01", 6.5),
            ("2025-12-02", 7.0),
        ],
    )?;
    story.ask(
        "temperatures.add",
        json!({ "property": "Kettle Bend", "text": temperatures(), "note": "invented for the demo" }),
    )?;
    for (day, green) in [("2023-09-05", 0.45), ("2024-12-01", 0.8), ("2025-12-02", 0.9)] {
        // Three of the same spot, so that it is known how well a photo can be repeated.
        for number in 1..=3 {
            photograph(story, letters, day, number, green)?;
        }
    }
    rate(story, "front verge", &[("2023-12-03", 6.0), ("2024-12-01", 6.0), ("2025-12-02", 6.5)])
}

/// Daily means of an invented weather: a year's wave of the southern half, and a ripple of weeks.
fn temperatures() -> String {
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

/// Keeps a drawn photo and measures it.
fn photograph(
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

/// Records a sample that was pulled and posted.
fn pull(
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
fn cores(story: &mut Story<'_>, sample: &str, plan: &Json) -> Result<(), Problem> {
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
fn post(story: &mut Story<'_>, day: &str, letters: &Letters) -> Result<(), Problem> {
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
fn plan_zone(
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
    for purchase in rows(&draft, "purchases") {
        lines.push(format!(
            "buy {} x {} kg of {}: {}",
            purchase["packs"],
            purchase["pack_kg"],
            text(purchase, "material_name").to_lowercase(),
            text(purchase, "cost")
        ));
    }
    story.step(format!("Plan for the {zone}"), lines);
    if rows(&draft, "visits").is_empty() {
        return Ok(None);
    }
    Ok(Some((zone, story.ask("plan.accept", request)?)))
}

/// Puts on what is planned for this season, in the order of the days.
///
/// What falls due a year or more after the first visit waits for the retest.
fn put_on(story: &mut Story<'_>, plans: &[Option<(&'static str, Json)>]) -> Result<(), Problem> {
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

fn rate(story: &mut Story<'_>, zone: &str, ratings: &[(&str, f64)]) -> Result<(), Problem> {
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

fn clients(story: &mut Story<'_>, letters: &Letters) -> Result<(), Problem> {
    story.on("2024-02-19")?;
    let club = story.add(
        "property",
        None,
        json!({ "name": "Kettle Bend bowls club", "client": "the greens committee",
            "ground": "commercial", "phosphorus_rule": "unknown" }),
    )?;
    story.add(
        "zone",
        Some(&club),
        json!({ "name": "green surrounds", "area": "610 m2", "turf": "sports-field",
            "grass": "warm-season", "grass_words": "couch", "texture": "sand",
            "root_zone": "100 mm", "irrigation": "fixed", "mowing": "18 mm" }),
    )?;
    let corner = story.add(
        "property",
        None,
        json!({ "name": "corner block", "client": "the corner-block couple", "ground": "home",
            "phosphorus_rule": "none" }),
    )?;
    story.add(
        "zone",
        Some(&corner),
        json!({ "name": "front lawn", "area": "140 m2", "turf": "lawn", "grass": "warm-season",
            "grass_words": "buffalo", "texture": "loam", "root_zone": "100 mm",
            "carbonate": "present" }),
    )?;
    story.add(
        "zone",
        Some(&corner),
        json!({ "name": "rear lawn", "area": "95 m2", "turf": "lawn", "grass": "warm-season",
            "grass_words": "buffalo", "texture": "sandy-loam", "root_zone": "100 mm" }),
    )?;
    for zone in &CLIENTS {
        pull(story, zone, "2024-03-11", true)?;
    }
    post(story, "2024-03-26", letters)?;
    let plans = [
        plan_zone(story, "green surrounds", "2024-04-08")?,
        plan_zone(story, "front lawn", "2024-04-09")?,
        plan_zone(story, "rear lawn", "2024-04-09")?,
    ];
    put_on(story, &plans)
}

fn later_seasons(story: &mut Story<'_>, letters: &Letters) -> Result<(), Problem> {
    for (pulled, reported, zones) in [
        ("2024-09-02", "2024-09-17", &OWN),
        ("2025-03-10", "2025-03-25", &CLIENTS),
        ("2025-09-08", "2025-09-24", &OWN),
        ("2026-03-09", "2026-03-24", &CLIENTS),
    ] {
        story.on(pulled)?;
        for zone in zones {
            pull(story, zone, pulled, true)?;
        }
        post(story, reported, letters)?;
    }
    story.on("2026-09-07")?;
    for zone in OWN.iter().chain(&CLIENTS) {
        pull(story, zone, "2026-09-07", true)?;
    }
    post(story, "2026-09-22", letters)
}

fn end(story: &mut Story<'_>) -> Result<(), Problem> {
    story.on("2026-11-20")?;
    for zone in OWN.iter().chain(&CLIENTS) {
        let compared =
            story.ask("zone.compare", json!({ "zone": zone.name, "analytes": zone.asked }))?;
        let mut lines: Vec<String> = rows(&compared, "checks")
            .iter()
            .filter(|check| check["outcome"] != "fits")
            .map(|check| text(check, "words"))
            .collect();
        lines.extend(texts(&compared, "sentences"));
        let title = format!(
            "Before and after, {}: {} against {}",
            zone.name,
            text(&compared["baseline"], "sampled"),
            text(&compared["retest"], "sampled")
        );
        story.step(title, lines);
    }
    let today = story.ask("today", Json::Null)?;
    let lines = rows(&today, "due")
        .iter()
        .take(8)
        .map(|due| {
            let date = text(due, "date");
            let when = if date.is_empty() { "any day".to_owned() } else { date };
            format!("{when}, {}: {}", text(due, "zone_name"), text(due, "sentence"))
        })
        .collect();
    story.step("What is due", lines);
    Ok(())
}
