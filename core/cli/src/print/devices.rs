//! Devices, invitations, and how syncing stands.

use serde_json::Value as Json;

use super::{Column, Page, list, text};

/// The devices of the notebook.
pub(crate) fn devices(page: &mut Page, view: &Json) {
    let devices = list(view, "devices");
    let rows: Vec<Vec<String>> = devices.iter().map(row).collect();
    page.table(
        &[
            Column::Left("Device"),
            Column::Left("For"),
            Column::Left("Now"),
            Column::Left("Met last"),
            Column::Left("Waiting here for it"),
            Column::Left("Key"),
        ],
        &rows,
    );
    for device in devices.iter().filter(|device| !text(device, "remark").is_empty()) {
        page.hang("  ", &format!("{}: {}", text(device, "name"), text(device, "remark")));
    }
    if view["removed_here"] == true {
        page.say(
            "This device was removed from the notebook: it keeps what it has and gets nothing new.",
        );
    }
    own(page, view);
}

fn row(device: &Json) -> Vec<String> {
    let now = if device["removed"] == true {
        "removed"
    } else if device["is_this"] == true {
        "this one"
    } else if device["connected"] == true {
        "connected"
    } else {
        "away"
    };
    let waiting = match text(&device["waiting"], "words") {
        "" if device["waiting"].is_null() => "",
        "" => "nothing",
        words => words,
    };
    let key: String = text(device, "id").chars().take(8).collect();
    vec![
        text(device, "name").to_owned(),
        text(device, "role").to_owned(),
        now.to_owned(),
        text(device, "last_met").to_owned(),
        waiting.to_owned(),
        key,
    ]
}

/// How this device syncs.
pub(crate) fn own(page: &mut Page, view: &Json) {
    let own = &view["own"];
    let on = |name: &str| if own[name] == true { "on" } else { "off" };
    let relay = text(own, "relay");
    page.heading("This device");
    page.pairs(&[
        ("Name", text(own, "name")),
        ("For", text(own, "role")),
        ("Keeps", text(view, "keep_rule")),
        ("Sync", if own["paused"] == true { "paused" } else { "on" }),
        ("Local discovery", on("discovery")),
        ("Relay", if relay.is_empty() { "none" } else { relay }),
        ("Files held back", on("holds_files")),
        (
            "Writes records",
            if own["only_keeps"] == true { "no, it only keeps them" } else { "yes" },
        ),
    ]);
}

/// An open invitation: a code to scan and the same to paste.
pub(crate) fn invitation(invitation: &Json) -> String {
    let rows: Vec<&str> = list(&invitation["qr"], "rows").iter().filter_map(Json::as_str).collect();
    format!(
        "{}\nScan the code on the other device, or paste this there within {} minutes \
         (`swardbook join CODE`):\n\n{}\n",
        blocks(&rows),
        invitation["minutes"],
        text(invitation, "text"),
    )
}

/// A code in half blocks, light on dark as most terminals are, with its quiet border.
fn blocks(rows: &[&str]) -> String {
    const BORDER: usize = 4;
    let side = rows.len() + 2 * BORDER;
    let is_light = |row: usize, column: usize| {
        let module = row.checked_sub(BORDER).zip(column.checked_sub(BORDER));
        let dark = module.and_then(|(row, column)| rows.get(row)?.as_bytes().get(column));
        row < side && dark != Some(&b'1')
    };
    let mut text = String::new();
    for row in (0..side).step_by(2) {
        for column in 0..side {
            text.push(match (is_light(row, column), is_light(row + 1, column)) {
                (true, true) => '\u{2588}',
                (true, false) => '\u{2580}',
                (false, true) => '\u{2584}',
                (false, false) => ' ',
            });
        }
        text.push('\n');
    }
    text
}

/// The words to be compared.
pub(crate) fn compare(pairing: &Json) -> String {
    let words: Vec<&str> = list(pairing, "words").iter().filter_map(Json::as_str).collect();
    format!(
        "\"{}\" ({}) wants to be paired. Compare these words with those on its screen:\n\n    {}\n",
        text(pairing, "name"),
        text(pairing, "role"),
        words.join("  ")
    )
}

/// Two devices that were paired, and what they exchanged.
pub(crate) fn paired(page: &mut Page, answer: &Json) {
    page.say(&format!("Paired with {}.", text(answer, "name")));
    pass(page, &answer["pass"]);
}

/// What one pass did.
pub(crate) fn pass(page: &mut Page, pass: &Json) {
    let names = |key: &str| {
        let names: Vec<&str> = list(pass, key).iter().filter_map(Json::as_str).collect();
        names.join(", ")
    };
    page.pairs(&[("Met", names("met")), ("Away", names("away"))]);
    sync_status(page, &pass["status"]);
    if names("met").is_empty() {
        page.say(
            "No other device was met, so nothing was exchanged; it goes on with the next pass.",
        );
    } else if pass["done"] != true {
        page.say("Not everything was exchanged; it goes on with the next pass.");
    }
}

/// How syncing stands, in a sentence.
pub(crate) fn sentence(status: &Json) -> String {
    let mut words = text(status, "words").to_owned();
    if status["state"] == "apart" {
        words.push_str(" No device answers now.");
    }
    words
}

/// How syncing stands.
pub(crate) fn sync_status(page: &mut Page, status: &Json) {
    page.say(&sentence(status));
    let count = |key: &str| status[key].as_u64().unwrap_or(0);
    if count("arrived_documents") + count("arrived_files") > 0 {
        let (documents, files) = (count("arrived_documents"), count("arrived_files"));
        let documents = counted(documents, "document's changes", "documents' changes");
        let files = counted(files, "file", "files");
        page.say(&format!("Arrived here: {documents}, {files}."));
    }
    for problem in list(status, "problems").iter().filter_map(Json::as_str) {
        page.hang("  - ", problem);
    }
}

/// How far files are, while some are on their way.
pub(crate) fn progress(status: &Json) -> Option<String> {
    let waiting: u64 = list(status, "waiting").iter().filter_map(|w| w["bytes"].as_u64()).sum();
    let bytes = status["bytes_to_come"].as_u64().unwrap_or(0);
    if bytes + waiting == 0 || status["bytes_a_second"].is_null() {
        return None;
    }
    let mut words = format!("{} to come here, {} to go", megabytes(bytes), megabytes(waiting));
    if let Some(seconds) = status["seconds_left"].as_f64() {
        words.push_str(&format!(", about {}", duration(seconds)));
    }
    Some(words)
}

fn counted(number: u64, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

fn megabytes(bytes: u64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "shown in megabytes")]
    let megabytes = bytes as f64 / 1e6;
    format!("{megabytes:.1} MB")
}

fn duration(seconds: f64) -> String {
    if seconds < 90.0 {
        format!("{:.0} s left", seconds.ceil())
    } else {
        format!("{:.0} min left", (seconds / 60.0).ceil())
    }
}
