//! Which crate may import which, as data; `imports` and `source_text` read it.

/// A crate of ours and those of ours it may import.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) package: &'static str,
    pub(super) may_import: &'static [&'static str],
}

/// Every crate of the workspace; one without a row is a finding.
pub(super) const ROWS: &[Row] = &[
    Row { package: "swardbook-units", may_import: &[] },
    Row { package: "swardbook-stats", may_import: &[] },
    Row { package: "swardbook-agronomy", may_import: &["swardbook-units", "swardbook-stats"] },
    Row { package: "swardbook-imaging", may_import: &["swardbook-units", "swardbook-stats"] },
    Row { package: "swardbook-planner", may_import: &["swardbook-units"] },
    Row { package: "swardbook-journal", may_import: &["swardbook-units"] },
    Row { package: "swardbook-store", may_import: &["swardbook-journal", "swardbook-units"] },
    Row { package: "swardbook-link", may_import: &["swardbook-journal", "swardbook-store"] },
    Row { package: "swardbook-report", may_import: &["swardbook-units"] },
    Row {
        package: "swardbook-app",
        may_import: &[
            "swardbook-agronomy",
            "swardbook-imaging",
            "swardbook-journal",
            "swardbook-link",
            "swardbook-planner",
            "swardbook-report",
            "swardbook-stats",
            "swardbook-store",
            "swardbook-units",
        ],
    },
    Row { package: "swardbook-cli", may_import: &["swardbook-app"] },
    Row { package: "swardbook-desktop", may_import: &["swardbook-app"] },
    Row {
        package: TESTKIT,
        may_import: &[
            "swardbook-agronomy",
            "swardbook-app",
            "swardbook-imaging",
            "swardbook-journal",
            "swardbook-link",
            "swardbook-planner",
            "swardbook-report",
            "swardbook-stats",
            "swardbook-store",
            "swardbook-units",
        ],
    },
    Row { package: "xtask", may_import: &[] },
];

/// What only tests may import, and never what is shipped.
pub(super) const TESTKIT: &str = "swardbook-testkit";

/// A library kept to some crates of ours.
#[derive(Debug)]
pub(super) struct Kept {
    /// Its name; a star at the end stands for any rest.
    pub(super) library: &'static str,
    pub(super) only_in: &'static [&'static str],
    pub(super) reason: &'static str,
}

/// Libraries that only the named crates may ask for.
pub(super) const KEPT: &[Kept] = &[
    Kept {
        library: "automerge",
        only_in: &["swardbook-journal", TESTKIT],
        reason: "documents are the journal's",
    },
    Kept {
        library: "redb",
        only_in: &["swardbook-store", TESTKIT],
        reason: "the file on disk is the store's",
    },
    Kept {
        library: "iroh*",
        only_in: &["swardbook-link", TESTKIT],
        reason: "the network is the link's",
    },
    Kept {
        library: "tauri*",
        only_in: &["swardbook-desktop"],
        reason: "the core runs without a window",
    },
    Kept {
        library: "wry",
        only_in: &["swardbook-desktop"],
        reason: "the core runs without a window",
    },
    Kept {
        library: "tao",
        only_in: &["swardbook-desktop"],
        reason: "the core runs without a window",
    },
    Kept {
        library: "gtk*",
        only_in: &["swardbook-desktop"],
        reason: "the core runs without a window",
    },
    Kept {
        library: "webkit2gtk*",
        only_in: &["swardbook-desktop"],
        reason: "the core runs without a window",
    },
    Kept {
        library: "ts-rs",
        only_in: &["swardbook-app"],
        reason: "the types of the border are the use cases'",
    },
    Kept {
        library: "clap*",
        only_in: &["swardbook-cli"],
        reason: "arguments are the command line's",
    },
    Kept {
        library: "anyhow",
        only_in: &["swardbook-cli", "swardbook-desktop"],
        reason: "elsewhere an error has a type",
    },
    Kept {
        library: "image",
        only_in: &["swardbook-app", TESTKIT],
        reason: "decoders are the use cases'",
    },
    Kept {
        library: "fast_image_resize",
        only_in: &["swardbook-app"],
        reason: "small pictures are made beside the decoders",
    },
    Kept {
        library: "getrandom",
        only_in: &["swardbook-app", "swardbook-link", TESTKIT],
        reason: "chance is a parameter below the use cases",
    },
];

/// Features of a library that only the named crates may turn on.
pub(super) const KEPT_FEATURES: &[(&str, &[&str], &[&str], &str)] =
    &[("chrono", &["clock", "now"], &["swardbook-app"], "only the use cases read a clock")];

/// Words in the code that stand for a library or the clock, and the folders they may stand in.
///
/// `tests` is the folder at the top level, whose tests run whole devices.
pub(super) const KEPT_WORDS: &[(&str, &[&str], &str)] = &[
    ("automerge::", &["journal", "testkit", "tests"], "documents are the journal's"),
    ("redb::", &["store", "testkit", "tests"], "the file on disk is the store's"),
    ("iroh::", &["link", "testkit", "tests"], "the network is the link's"),
    ("tauri::", &["src-tauri"], "the core runs without a window"),
    ("ts_rs::", &["app"], "the types of the border are the use cases'"),
    ("SystemTime::now", CLOCK, "take the time as a parameter"),
    ("Instant::now", CLOCK, "take the time as a parameter"),
    ("Utc::now", CLOCK, "take the time as a parameter"),
    ("Local::now", CLOCK, "take the time as a parameter"),
    ("rand::rng", &["app"], "take the source of chance as a parameter"),
];

/// `testkit` and `xtask` are not shipped; they tell how long a step took.
const CLOCK: &[&str] = &["app", "testkit", "xtask"];
