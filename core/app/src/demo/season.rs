//! What Tamsin Okoro did at Kettle Bend, and for two clients, in three years.

use serde_json::{Value as Json, json};

use super::{
    letters::Letters,
    steps::{buy_line, cores, photograph, plan_zone, post, pull, put_on, rate, temperatures},
    story::{Story, rows, text, texts},
};
use crate::Problem;

pub(super) struct Zone {
    pub(super) name: &'static str,
    pub(super) cores: i64,
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
    post(story, "2026-09-22", letters)?;
    // Left open: the story ends before its day.
    plan_zone(story, "green surrounds", "2026-12-01")?;
    Ok(())
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
    let packs = story.ask("plan.packs", Json::Null)?;
    let mut lines: Vec<String> = rows(&packs, "purchases").iter().map(buy_line).collect();
    lines.push(format!("all together {}", text(&packs, "cost")));
    story.step("What to buy for it", lines);
    Ok(())
}
