//! Photos: what was kept, what was measured, and how it went over time.

use serde_json::Value as Json;

use super::{Column, Page, list, record, text, working::Behind};

fn count(items: &Json, one: &str, many: &str) -> String {
    match items.as_array().map_or(0, Vec::len) {
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}

/// Photos that were kept.
pub(crate) fn added(page: &mut Page, added: &Json) {
    page.say(&format!("Kept {}", count(&added["added"], "photo", "photos")));
    let rows: Vec<Vec<String>> = list(added, "added")
        .iter()
        .map(|record| {
            let field = |name: &str| {
                list(record, "fields")
                    .iter()
                    .find(|field| field["name"] == name)
                    .map_or_else(String::new, |field| text(field, "text").to_owned())
            };
            vec![text(record, "id").to_owned(), field("date"), field("time"), field("strip")]
        })
        .collect();
    let columns =
        [Column::Left("Photo"), Column::Left("Day"), Column::Left("Time"), Column::Left("Strip")];
    page.table(&columns, &rows);
    skipped(page, list(added, "skipped"));
}

fn skipped(page: &mut Page, left: &[Json]) {
    if left.is_empty() {
        return;
    }
    page.heading("Left out");
    for one in left {
        page.hang("  ", &format!("{}: {}", text(one, "path"), text(one, "why")));
    }
}

/// Where photos would go.
pub(crate) fn sorted(page: &mut Page, sorted: &Json) {
    let photos = list(sorted, "photos");
    page.say(&format!(
        "{} of {} can be kept as they are sorted; nothing was kept",
        sorted["ready"],
        photos.len()
    ));
    let rows: Vec<Vec<String>> = photos
        .iter()
        .map(|photo| {
            let mut notes = vec![text(photo, "why"), text(photo, "problem")];
            if photo["is_repeated"] == true {
                notes.push("the same file came before");
            }
            if !text(photo, "known_as").is_empty() {
                notes.push("already kept");
            }
            notes.retain(|note| !note.is_empty());
            vec![
                text(photo, "path").to_owned(),
                text(photo, "taken").to_owned(),
                text(photo, "zone_name").to_owned(),
                text(photo, "by").to_owned(),
                notes.join("; "),
            ]
        })
        .collect();
    let columns = [
        Column::Left("File"),
        Column::Left("Taken"),
        Column::Left("Zone"),
        Column::Left("By"),
        Column::Left("Why"),
    ];
    page.table(&columns, &rows);
}

/// A share in percent, or nothing.
fn percent(value: &Json) -> String {
    value.as_f64().map_or_else(String::new, |share| format!("{:.1} %", 100.0 * share))
}

fn index(value: &Json) -> String {
    value.as_f64().map_or_else(String::new, |index| format!("{index:.3}"))
}

/// The photos of a zone.
pub(crate) fn photos(page: &mut Page, photos: &Json) {
    page.say(&count(photos, "photo", "photos"));
    let rows: Vec<Vec<String>> = photos
        .as_array()
        .map_or(&[][..], Vec::as_slice)
        .iter()
        .map(|photo| {
            let state = match (photo["is_measured"] == true, photo["is_evidence"] == true) {
                (false, _) => "not measured".to_owned(),
                (true, true) => "evidence".to_owned(),
                (true, false) => format!("no evidence: {}", words(photo, "why_not")),
            };
            let state = if photo["is_earlier"] == true {
                format!("{state}; measured by an earlier way")
            } else {
                state
            };
            vec![
                text(photo, "id").to_owned(),
                format!("{} {}", text(photo, "date"), text(photo, "time")).trim().to_owned(),
                text(photo, "name").to_owned(),
                text(photo, "strip").to_owned(),
                text(photo, "card").to_owned(),
                index(&photo["index"]),
                percent(&photo["cover"]),
                state,
            ]
        })
        .collect();
    let columns = [
        Column::Left("Photo"),
        Column::Left("Taken"),
        Column::Left("File"),
        Column::Left("Strip"),
        Column::Left("Card"),
        Column::Right("Index"),
        Column::Right("Cover"),
        Column::Left("State"),
    ];
    page.table(&columns, &rows);
    if photos.as_array().is_some_and(|all| all.iter().any(|photo| photo["is_earlier"] == true)) {
        page.say(
            "`photo measure --again` brings those of an earlier way into line with the others",
        );
    }
}

fn words(value: &Json, key: &str) -> String {
    let words: Vec<&str> = list(value, key).iter().filter_map(Json::as_str).collect();
    words.join("; ")
}

/// One photo.
pub(crate) fn shown(page: &mut Page, view: &Json) {
    let line = &view["line"];
    page.say(&format!("Photo {} of {}", text(line, "name"), text(view, "zone_name")));
    page.pairs(&[
        ("Taken", format!("{} {}", text(line, "date"), text(line, "time"))),
        ("Strip", text(line, "strip").to_owned()),
        ("Size", format!("{} x {} px, upright", view["width"], view["height"])),
        ("Colours", text(view, "profile").to_owned()),
        ("Exposure", text(view, "exposure").to_owned()),
        (
            "Position",
            if view["has_position"] == true { "kept, never given out unasked" } else { "" }
                .to_owned(),
        ),
        ("Original", text(line, "original").to_owned()),
        ("Note", text(line, "note").to_owned()),
        ("Problem", text(view, "problem").to_owned()),
    ]);
    match list(view, "measurements") {
        [] => page.say("Not measured yet: `photo measure` does it"),
        [newest, earlier @ ..] => {
            page.gap();
            let mut behind = Behind::default();
            one(page, newest, &mut behind);
            behind.finish(page);
            if !earlier.is_empty() {
                page.say(&format!("{} earlier measurements no longer count", earlier.len()));
            }
        }
    }
}

/// One measurement, or several.
pub(crate) fn measured(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    match view.as_array() {
        Some(many) if many.is_empty() => page.say("There is nothing to measure"),
        Some(many) => {
            for view in many {
                page.gap();
                one(page, view, &mut behind);
            }
        }
        None => one(page, view, &mut behind),
    }
    behind.finish(page);
}

fn with_interval(reading: &Json, shown: fn(f64) -> String) -> String {
    let Some(value) = reading["value"].as_f64() else { return String::new() };
    match (reading["low"].as_f64(), reading["high"].as_f64()) {
        (Some(low), Some(high)) => {
            format!("{} ({} to {}, 95 %)", shown(value), shown(low), shown(high))
        }
        _ => format!("{} (no interval: uncorrected)", shown(value)),
    }
}

fn one(page: &mut Page, view: &Json, behind: &mut Behind) {
    let id = match text(view, "id") {
        "" => "nothing kept",
        id => id,
    };
    page.say(&format!("Measurement ({id})"));
    let card = match (text(view, "card"), view["corners_found"] == true) {
        ("none", _) => "none".to_owned(),
        (card, true) => format!("{card}, found"),
        (card, false) => format!("{card}, marked by hand"),
    };
    let three = |value: f64| format!("{value:.3}");
    let one = |value: f64| format!("{value:.1}");
    let percent = |value: f64| format!("{:.1} %", 100.0 * value);
    let lab: Vec<String> = list(view, "lab").iter().map(|part| with_interval(part, one)).collect();
    let evidence = if view["is_evidence"] == true {
        "yes".to_owned()
    } else {
        format!("no: {}", words(view, "why_not"))
    };
    let range = |key: &str| format!("{} to {}", view[key][0], view[key][1]);
    page.pairs(&[
        ("Card", card),
        ("Tried", words(view, "tried")),
        (
            "Green is",
            format!("hue {}, saturation {}", range("hue_range"), range("saturation_range")),
        ),
        ("Changed", words(view, "changed")),
        ("Pixels", view["pixels"].to_string()),
        ("Green cover", with_interval(&view["cover"], percent)),
        ("  wider hue", percent(view["second_cover"].as_f64().unwrap_or_default())),
        ("Dark green colour index", with_interval(&view["index"], three)),
        ("  spread", view["index_spread"].as_f64().map_or_else(String::new, three)),
        ("Hue", with_interval(&view["hue"], one)),
        ("Saturation", with_interval(&view["saturation"], three)),
        ("Brightness", with_interval(&view["brightness"], three)),
        ("CIELAB L, a, b", lab.join("; ")),
        (
            "Chart's residual",
            view["chart_residual"]
                .as_f64()
                .map_or_else(String::new, |r| format!("{r:.4} of full light")),
        ),
        ("Evidence", evidence),
        ("Way of measuring", text(view, "algorithm").to_owned()),
    ]);
    for line in list(view, "quality").iter().filter(|line| line["is_good"] == false) {
        let (value, limit) = (line["value"].as_f64(), line["limit"].as_f64());
        page.hang(
            "  ! ",
            &format!(
                "{} ({:.3}, limit {:.3})",
                text(line, "words"),
                value.unwrap_or_default(),
                limit.unwrap_or_default()
            ),
        );
    }
    behind.working(page, "cover and index", &view["working"]);
}

/// Photos that were measured for the first time.
pub(crate) fn measured_many(page: &mut Page, view: &Json) {
    many(page, view, "Measured", "There is nothing to measure: every photo of it was measured");
}

/// Photos that were measured again.
pub(crate) fn measured_again(page: &mut Page, view: &Json) {
    let nothing = "There is nothing to measure again: every measurement is of today's way";
    many(page, view, "Measured again", nothing);
}

fn many(page: &mut Page, view: &Json, done: &str, nothing: &str) {
    let (photos, without) = (list(view, "photos"), list(view, "without"));
    if photos.is_empty() && without.is_empty() && view["left"] == 0 {
        page.say(nothing);
        return;
    }
    page.say(&format!("{done}: {}", count(&view["photos"], "photo", "photos")));
    let rows: Vec<Vec<String>> = photos
        .iter()
        .map(|photo| {
            vec![
                text(photo, "photo").to_owned(),
                text(photo, "date").to_owned(),
                text(photo, "zone_name").to_owned(),
                text(photo, "name").to_owned(),
                text(&photo["now"], "card").to_owned(),
                then_and_now(photo, "index", index),
                then_and_now(photo, "cover", percent),
                evidence(photo),
            ]
        })
        .collect();
    let columns = [
        Column::Left("Photo"),
        Column::Left("Day"),
        Column::Left("Zone"),
        Column::Left("File"),
        Column::Left("Card"),
        Column::Left("Index"),
        Column::Left("Cover"),
        Column::Left("Evidence"),
    ];
    page.table(&columns, &rows);
    if !without.is_empty() {
        page.heading("As they were");
        for one in without {
            let which = format!(
                "{} of {}, {} ({})",
                text(one, "name"),
                text(one, "zone_name"),
                text(one, "date"),
                text(one, "photo")
            );
            page.hang("  ", &format!("{which}: {}", text(one, "why")));
        }
    }
    if !photos.is_empty() {
        page.say("One undo takes all of it back; `photo show` has a photo's numbers in full");
    }
}

/// A value now, and what it was where there was an earlier measurement.
fn then_and_now(photo: &Json, key: &str, shown: fn(&Json) -> String) -> String {
    let said = |says: &Json| match shown(&says[key]) {
        none if none.is_empty() => "none".to_owned(),
        value => value,
    };
    let now = said(&photo["now"]);
    match &photo["then"] {
        Json::Null => now,
        then if said(then) == now => format!("{now}, as before"),
        then => format!("{now}, was {}", said(then)),
    }
}

fn evidence(photo: &Json) -> String {
    let (then, now) = (&photo["then"], &photo["now"]);
    match (then["is_evidence"].as_bool(), now["is_evidence"] == true) {
        (Some(false), true) => "yes, was not".to_owned(),
        (_, true) => "yes".to_owned(),
        (Some(true), false) => format!("no longer: {}", words(now, "why_not")),
        (_, false) => format!("no: {}", words(now, "why_not")),
    }
}

/// A measurement done again.
pub(crate) fn redone(page: &mut Page, view: &Json) {
    if view["is_same"] == true {
        page.say(&format!("The same: {} numbers came out again", view["compared"]));
    } else {
        page.say("Not the same");
        for difference in list(view, "differences").iter().filter_map(Json::as_str) {
            page.hang("  ", difference);
        }
    }
}

/// A series.
pub(crate) fn series(page: &mut Page, view: &Json) {
    let is_cover = view["quantity"] == "cover";
    let shown = |value: &Json| if is_cover { percent(value) } else { index(value) };
    let quantity = if is_cover { "Green cover" } else { "Dark green colour index" };
    page.say(&format!("{quantity} of the {}", text(view, "zone_name")));
    let rows = |days: &[Json]| -> Vec<Vec<String>> {
        days.iter()
            .map(|day| {
                let interval = match (&day["low"], &day["high"]) {
                    (Json::Null, _) => String::new(),
                    (low, high) => format!("{} to {}", shown(low), shown(high)),
                };
                let photos = day["photos"].as_array().map_or(0, Vec::len);
                vec![
                    text(day, "date").to_owned(),
                    shown(&day["value"]),
                    interval,
                    photos.to_string(),
                    words(day, "why_not"),
                ]
            })
            .collect()
    };
    let columns = [
        Column::Left("Day"),
        Column::Right("Value"),
        Column::Left("95 %"),
        Column::Right("Photos"),
        Column::Left(""),
    ];
    for line in list(view, "lines") {
        page.heading(text(line, "name"));
        page.table(&columns, &rows(list(line, "occasions")));
        if let Some(known) = line["repeatability"].as_object() {
            page.say(&format!(
                "A photo repeats within {} (standard deviation, {} photos on {} days)",
                shown(&known["deviation"]),
                known["photos"],
                known["occasions"]
            ));
        }
        if let Some(sentence) = line["change"]["sentence"].as_str() {
            page.say(&format!("First to last day: {sentence}"));
        }
    }
    if !list(view, "hollow").is_empty() {
        page.heading("No evidence");
        page.table(&columns, &rows(list(view, "hollow")));
    }
    if view["unmeasured"].as_u64().unwrap_or(0) > 0 {
        page.say(&format!("{} photos were not measured", view["unmeasured"]));
    }
    if let (Some(first), Some(last)) = (list(view, "growth").first(), list(view, "growth").last()) {
        page.heading("Growth potential, from temperature alone");
        page.say(&format!(
            "{} weeks, {} ({:.2}) to {} ({:.2})",
            list(view, "growth").len(),
            text(first, "first"),
            first["potential"].as_f64().unwrap_or_default(),
            text(last, "first"),
            last["potential"].as_f64().unwrap_or_default()
        ));
    }
    page.gap();
    for note in list(view, "notes").iter().filter_map(Json::as_str) {
        page.hang("  - ", note);
    }
}

/// Two photos.
pub(crate) fn pair(page: &mut Page, view: &Json) {
    page.say(&format!("Before and after, {}", text(view, "zone_name")));
    let rows: Vec<Vec<String>> = [("Before", &view["before"]), ("After", &view["after"])]
        .into_iter()
        .map(|(name, side)| {
            vec![
                name.to_owned(),
                text(side, "date").to_owned(),
                text(side, "name").to_owned(),
                index(&side["index"]),
                percent(&side["cover"]),
                side["file"].as_str().unwrap_or_default().to_owned(),
            ]
        })
        .collect();
    let columns = [
        Column::Left(""),
        Column::Left("Day"),
        Column::Left("Photo"),
        Column::Right("Index"),
        Column::Right("Cover"),
        Column::Left("Picture"),
    ];
    page.table(&columns, &rows);
    for difference in list(view, "differences") {
        page.say(text(difference, "sentence"));
    }
    for why in list(view, "refused").iter().filter_map(Json::as_str) {
        page.hang("  not compared: ", why);
    }
    for note in list(view, "notes").iter().filter_map(Json::as_str) {
        page.hang("  - ", note);
    }
}

/// Files that were written.
pub(crate) fn written(page: &mut Page, view: &Json) {
    for file in list(view, "files").iter().filter_map(Json::as_str) {
        page.say(&format!("Written: {file}"));
    }
}

/// A photo that was given out.
pub(crate) fn exported(page: &mut Page, view: &Json) {
    let position = match (view["had_position"] == true, view["has_position"] == true) {
        (true, true) => "its position is in it",
        (true, false) => "its position was left out",
        (false, _) => "the camera had written no position",
    };
    page.say(&format!("Written: {} ({position})", text(view, "file")));
}

/// Small pictures that were made.
pub(crate) fn pictures(page: &mut Page, view: &Json) {
    page.say(&format!("{} photos, small pictures made for {}", view["photos"], view["made"]));
    for without in list(view, "without").iter().filter_map(Json::as_str) {
        page.hang("  without: ", without);
    }
}

/// Temperatures that were kept.
pub(crate) fn temperatures(page: &mut Page, view: &Json) {
    page.say(&format!(
        "Kept {} days, {} to {}, daily means from {:.1} to {:.1} \u{b0}C",
        view["days"],
        text(view, "first"),
        text(view, "last"),
        view["least_c"].as_f64().unwrap_or_default(),
        view["greatest_c"].as_f64().unwrap_or_default()
    ));
    record::fields(page, &view["record"]);
}
