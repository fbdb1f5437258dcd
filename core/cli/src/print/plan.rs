//! Plans: as worked out, and as accepted and followed.

use serde_json::Value as Json;

use super::{
    Column, Page, list, number, quantity, record, text, worked, worked_quantity, working::Behind,
};

/// A plan as worked out; nothing is written.
pub(crate) fn draft(page: &mut Page, draft: &Json) {
    let mut behind = Behind::default();
    page.say(&format!("Plan for {}, not accepted yet", text(draft, "zone_name")));
    page.pairs(&[
        ("Area", area(&draft["area_m2"])),
        ("Work starts", text(draft, "start").to_owned()),
        ("Panel", text(draft, "panel").to_owned()),
    ]);
    bullets(page, "Assumed", list(draft, "assumed"));
    calcium(page, draft, &mut behind);
    needs(page, list(draft, "needs"), &mut behind);
    visits(page, list(draft, "visits"), &mut behind);
    purchases(page, draft, &mut behind);
    bullets(page, "Left out, and to mind", list(draft, "notes"));
    behind.finish(page);
}

/// What to buy for the open visits of several zones.
pub(crate) fn packs(page: &mut Page, view: &Json) {
    let zones: Vec<&str> = list(view, "zones").iter().filter_map(Json::as_str).collect();
    if zones.is_empty() {
        page.say("No visit of an accepted plan is open, so there is nothing to buy.");
        return;
    }
    let visits = if view["visits"] == 1 { "visit" } else { "visits" };
    page.say(&format!("{} open {visits} on {}", view["visits"], zones.join(", ")));
    let mut behind = Behind::default();
    purchases(page, view, &mut behind);
    behind.finish(page);
}

fn area(area: &Json) -> String {
    match quantity(area, "m2") {
        area if area.is_empty() => {
            "not known: `zone edit ZONE --area` gives masses and packs".to_owned()
        }
        area => area,
    }
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

fn calcium(page: &mut Page, draft: &Json, behind: &mut Behind) {
    let refused = text(draft, "calcium_refused");
    if !refused.is_empty() {
        page.heading(&format!("Calcium source: cannot tell; {refused}"));
    }
    let calcium = &draft["calcium"];
    if calcium.is_null() {
        return;
    }
    let by_person = calcium["by_person"].as_bool().unwrap_or(false);
    let by = if by_person { " (chosen by you)" } else { "" };
    page.heading(&format!("Calcium source: {}{by}", text(calcium, "chosen_words")));
    for reason in list(calcium, "reasons").iter().filter_map(Json::as_str) {
        page.hang("  - ", reason);
    }
    let several = |name: &str| {
        let words = list(calcium, name).iter().filter_map(Json::as_str);
        words.collect::<Vec<_>>().join("; ")
    };
    page.pairs(&[
        ("To choose from", several("choices")),
        ("What differs", several("differences")),
        ("To settle it", several("settle")),
        ("Gypsum for sodium", worked_quantity(&calcium["gypsum_g_m2"], "g/m2")),
    ]);
    behind.working(page, "the calcium source", &calcium["working"]);
    behind.working(page, "gypsum", &calcium["gypsum_working"]);
    lime(page, &calcium["lime"], behind);
}

fn lime(page: &mut Page, lime: &Json, behind: &mut Behind) {
    if lime.is_null() {
        return;
    }
    page.heading(&format!(
        "Lime to {} {} ({}), as pure calcium carbonate",
        quantity(&lime["target_ph"], ""),
        text(lime, "target_scale"),
        text(lime, "target_why")
    ));
    let rows: Vec<Vec<String>> = list(lime, "answers")
        .iter()
        .map(|answer| {
            let used = answer["used"].as_bool().unwrap_or(false);
            vec![
                text(answer, "title").to_owned(),
                worked_quantity(&answer["need_g_m2"], "g/m2"),
                if used { "used" } else { "" }.to_owned(),
                text(answer, "caveat").to_owned(),
            ]
        })
        .collect();
    page.table(
        &[Column::Left("Method"), Column::Right("Need"), Column::Left(""), Column::Left("Mind")],
        &rows,
    );
    page.hang("  ", text(lime, "reason"));
    if let (Some(least), Some(most)) = (lime["least_g_m2"].as_f64(), lime["most_g_m2"].as_f64()) {
        let range = format!("the methods range from {} to {} g/m2", worked(least), worked(most));
        page.hang("  ", &range);
    }
    for refused in list(lime, "refused").iter().filter_map(Json::as_str) {
        page.hang("  no answer: ", refused);
    }
    for answer in list(lime, "answers") {
        behind.working(page, text(answer, "title"), &answer["working"]);
    }
}

fn needs(page: &mut Page, needs: &[Json], behind: &mut Behind) {
    if needs.is_empty() {
        return;
    }
    page.heading("Needs, as the element");
    let rows: Vec<Vec<String>> = needs
        .iter()
        .map(|need| {
            let (low, high) = (&need["low_g_m2"], &need["high_g_m2"]);
            vec![
                text(need, "name").to_owned(),
                worked_quantity(&need["need_g_m2"], "g/m2"),
                format!("{} to {}", worked_quantity(low, ""), worked_quantity(high, "")),
                worked_quantity(&need["supplied_g_m2"], "g/m2"),
                expected(&need["expected_mg_kg"]),
                format!("{} ({})", text(need, "verdict"), text(need, "guideline")),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Nutrient"),
            Column::Right("Need"),
            Column::Right("May be"),
            Column::Right("Brought by others"),
            Column::Right("Rise of the test"),
            Column::Left("Why"),
        ],
        &rows,
    );
    for need in needs {
        behind.source(&need["source"]);
        let name = text(need, "name");
        behind.working(page, &format!("the need of {name}"), &need["working"]);
        behind.working(page, &format!("the rise of {name}"), &need["expected_working"]);
    }
}

fn expected(rise: &Json) -> String {
    let at = |place: usize| rise[place].as_f64().map(|value| number(value.round()));
    match (at(0), at(1), at(2)) {
        (Some(least), Some(likely), Some(most)) => {
            format!("{likely} mg/kg ({least} to {most})")
        }
        _ => String::new(),
    }
}

fn visits(page: &mut Page, visits: &[Json], behind: &mut Behind) {
    if visits.is_empty() {
        page.heading("Nothing goes down by this plan.");
        return;
    }
    page.heading("Visits");
    let rows: Vec<Vec<String>> = visits
        .iter()
        .map(|visit| {
            let water = visit["water_in"].as_bool().unwrap_or(false);
            vec![
                text(visit, "date").to_owned(),
                text(visit, "material_name").to_owned(),
                worked_quantity(&visit["dose_g_m2"], "g/m2"),
                worked_quantity(&visit["amount_kg"], "kg"),
                format!("{} of {}", visit["visit"], visit["visits"]),
                text(visit, "key").to_owned(),
                if water { "water in" } else { "" }.to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Day"),
            Column::Left("Material"),
            Column::Right("Dose"),
            Column::Right("For the zone"),
            Column::Right("Visit"),
            Column::Left("Key"),
            Column::Left("After"),
        ],
        &rows,
    );
    for visit in visits {
        for caution in list(visit, "cautions").iter().filter_map(Json::as_str) {
            behind.caution(&format!("{}: {caution}", text(visit, "material_name")));
        }
        if visit["visit"] == 1 {
            let of = format!("the dose of {}", text(visit, "material_name"));
            behind.stands_on(page, &of, &visit["working"]);
        }
    }
}

fn purchases(page: &mut Page, view: &Json, behind: &mut Behind) {
    let purchases = list(view, "purchases");
    if purchases.is_empty() {
        return;
    }
    page.heading("To buy");
    let rows: Vec<Vec<String>> = purchases
        .iter()
        .map(|purchase| {
            let packs = match (purchase["packs"].as_u64(), quantity(&purchase["pack_kg"], "kg")) {
                (Some(1), pack) => format!("1 pack of {pack}"),
                (Some(packs), pack) => format!("{packs} packs of {pack}"),
                (None, _) => "no pack recorded".to_owned(),
            };
            let cost = match text(purchase, "cost") {
                "" => "no price recorded",
                cost => cost,
            };
            vec![
                text(purchase, "material_name").to_owned(),
                worked_quantity(&purchase["needed_kg"], "kg"),
                packs,
                worked_quantity(&purchase["left_kg"], "kg"),
                cost.to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Material"),
            Column::Right("Needed"),
            Column::Left("Packs"),
            Column::Right("Left over"),
            Column::Left("Cost"),
        ],
        &rows,
    );
    page.pairs(&[("All together", text(view, "cost"))]);
    for purchase in purchases {
        let of = format!("the packs of {}", text(purchase, "material_name"));
        behind.working(page, &of, &purchase["working"]);
    }
}

/// A plan that was accepted now.
pub(crate) fn accepted(page: &mut Page, view: &Json) {
    page.say(&format!("Accepted the plan for {}", text(view, "zone_name")));
    kept(page, view);
}

/// A plan as accepted and followed.
pub(crate) fn plan(page: &mut Page, view: &Json) {
    page.say(&format!("Plan for {}", text(view, "zone_name")));
    kept(page, view);
}

fn kept(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    record::fields(page, &view["record"]);
    let items = list(view, "items");
    page.heading("Visits");
    if items.is_empty() {
        page.say("  None.");
    }
    let rows: Vec<Vec<String>> = items
        .iter()
        .map(|item| {
            vec![
                text(item, "date").to_owned(),
                text(item, "material_name").to_owned(),
                worked_quantity(&item["dose_g_m2"], "g/m2"),
                worked_quantity(&item["amount_kg"], "kg"),
                worked_quantity(&item["applied_kg"], "kg"),
                text(item, "key").to_owned(),
                text(item, "words").to_owned(),
            ]
        })
        .collect();
    if !rows.is_empty() {
        page.table(
            &[
                Column::Left("Day"),
                Column::Left("Material"),
                Column::Right("Dose"),
                Column::Right("For the zone"),
                Column::Right("Put on"),
                Column::Left("Key"),
                Column::Left("So far"),
            ],
            &rows,
        );
    }
    purchases(page, view, &mut behind);
    behind.finish(page);
}
