//! `photo`: what a camera saw, and what it says; `temperatures`, that stand beside it.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Map, Value as Json, json};
use swardbook_app::{Code, Notebook, Problem, Surroundings, album, call, call_watched};

use super::{Answer, demanded, flag, given, group, number, path, repeated, subcommand, word};
use crate::{
    asked::Asked,
    book::{Access, Book},
    print::{photo, progress::Line},
    typed,
};

pub(super) fn commands() -> Vec<Command> {
    let zone = || flag("zone", "NAME", "The zone, by id or name");
    let photos = |help: &'static str| {
        Arg::new("files").value_name("FILE").num_args(1..).required(true).help(help)
    };
    let id = |help: &'static str| word("photo", "PHOTO", help).required(true);
    let out = |help: &'static str| flag("out", "FILE", help).required(true);
    let add = Command::new("add")
        .about("Keep photos; originals stay untouched, the same file is kept once")
        .long_about(
            "Keep photos; originals stay untouched, the same file is kept once.\n\nWithout --zone \
             each photo is sorted: by a zone's slate photographed before it, by the camera's \
             position inside one outline, or by what was recorded in a zone at that time. What \
             cannot be told is left out and named.",
        )
        .arg(photos("Photos, or folders of photos: JPEG, PNG or WebP"))
        .arg(zone())
        .arg(flag("date", "YYYY-MM-DD", "The day; the camera's without it, else today"))
        .arg(flag("strip", "NAME", "The strip they show, such as treated or control"))
        .arg(flag("note", "TEXT", "Words"))
        .arg(
            Arg::new("preview")
                .long("preview")
                .action(ArgAction::SetTrue)
                .help("Only show where each would go; keep nothing"),
        );
    let measure = Command::new("measure")
        .about("Cover and colour of a kept photo, or of a file")
        .long_about(
            "Cover and colour of a kept photo, by its id, or of a file, of which nothing is kept.\n\n\
             With no card in the frame the colours are the camera's: the numbers are shown and \
             never used as evidence.\n\n\
             Photos that an earlier version measured stand on a line of their own in the series. \
             --again measures them by what was chosen then, in one act that one undo takes back; \
             the earlier measurements stay in the history.",
        )
        .arg(Arg::new("photos").value_name("PHOTO|FILE").num_args(1..).help(
            "Photos by id, or files",
        ))
        .arg(flag("zone", "NAME", "Every photo of a zone that was not measured yet"))
        .args(choices())
        .arg(flag("note", "TEXT", "Words"))
        .arg(
            Arg::new("try")
                .long("try")
                .action(ArgAction::SetTrue)
                .help("Show the numbers and keep nothing"),
        )
        .arg(
            Arg::new("again")
                .long("again")
                .action(ArgAction::SetTrue)
                .conflicts_with_all(chosen_by_hand())
                .help(
                    "Every photo that an earlier version measured: of --zone, of --property, or of \
                     the whole notebook",
                ),
        )
        .arg(
            flag("property", "NAME", "With --again: the zones of a property")
                .requires("again")
                .conflicts_with("zone"),
        );
    vec![
        group("photo", "Photos: keep, sort, measure, compare").subcommands([
            add,
            measure,
            Command::new("list")
                .about("The photos of a zone, newest first")
                .arg(zone().required(true)),
            Command::new("show")
                .about("One photo with its measurements")
                .arg(id("The photo, by id")),
            Command::new("redo")
                .about("Measure again from the original and compare with what was kept")
                .arg(id("The photo, by id")),
            Command::new("series")
                .about("Colour or cover of a zone over time")
                .arg(zone().required(true))
                .arg(flag("quantity", "WORD", "index or cover [default: index]")),
            Command::new("pair")
                .about("Two photos before and after: the difference, and corrected pictures")
                .arg(word("before", "BEFORE", "The earlier photo, by id").required(true))
                .arg(word("after", "AFTER", "The later photo, by id").required(true))
                .arg(
                    path("folder", "DIR", "")
                        .long("pictures")
                        .help("Write the two corrected pictures into this folder"),
                ),
            Command::new("chart")
                .about("Our colour chart to print, and the values of its patches beside it")
                .arg(out("The file: .pdf or .png"))
                .arg(flag("width", "mm", "Width on paper, of a PDF [default: 180]")),
            Command::new("slate")
                .about("A zone's QR, to be photographed before its photos")
                .arg(zone().required(true))
                .arg(out("The file: .pdf or .png")),
            Command::new("export")
                .about("Write a copy of a photo, without its position unless asked")
                .arg(id("The photo, by id"))
                .arg(out("The file"))
                .arg(flag("what", "WORD", "original or small [default: original]"))
                .arg(
                    Arg::new("with-location")
                        .long("with-location")
                        .action(ArgAction::SetTrue)
                        .help("Leave in where it was taken and all the camera wrote"),
                ),
            Command::new("pictures")
                .about("Make the small pictures of a zone again where they are missing")
                .arg(zone().required(true)),
        ]),
        group("temperatures", "Air temperatures, for the growth that they allow").subcommands([
            Command::new("add")
                .about("Keep a table: a day and a mean, or a day with least and greatest")
                .arg(flag("property", "NAME", "The property, by id or name").required(true))
                .arg(path("file", "FILE", "").long("file").help("A CSV file"))
                .arg(flag("text", "TEXT", "The table as text, a day in each line"))
                .arg(flag("unit", "C|F", "Unit, where the headings do not say [default: C]"))
                .arg(flag("note", "TEXT", "Words")),
            Command::new("list")
                .about("The tables of a property")
                .arg(flag("property", "NAME", "The property, by id or name").required(true)),
        ]),
    ]
}

/// What measuring again takes from the earlier measurement.
fn chosen_by_hand() -> Vec<String> {
    let chosen = choices().into_iter().map(|arg| arg.get_id().to_string());
    chosen.chain(["photos", "note", "try"].map(str::to_owned)).collect()
}

/// What is chosen for a measurement.
fn choices() -> Vec<Arg> {
    vec![
        flag("card", "WORD", "auto, none, grey-card or chart [default: auto]"),
        flag(
            "corners",
            "X,Y ...",
            "Four corners of the card, clockwise from its upper left, px of the upright photo; \
             of the chart the middles of its corner squares",
        )
        .num_args(4)
        .allow_hyphen_values(true),
        flag("reflectance", "SHARE", "Of the grey card [default: 0.18]"),
        Arg::new("keep-exposure")
            .long("keep-exposure")
            .action(ArgAction::SetTrue)
            .help("Take out the cast only; such photos cannot stand beside another exposure"),
        path("sheet", "FILE", "")
            .long("sheet")
            .help("Values of the chart's patches as they were measured; as drawn without it"),
        flag("hue", "FROM,TO", "Hue that counts as green, degrees [default: 57,107]"),
        flag("saturation", "FROM,TO", "Saturation that counts as green [default: 0,1]"),
        flag("region", "X,Y ...", "Outline of what is measured; the whole photo without it")
            .num_args(3..)
            .allow_hyphen_values(true),
        Arg::new("leave-out")
            .long("leave-out")
            .value_name("X,Y ...")
            .num_args(3..)
            .action(ArgAction::Append)
            .allow_hyphen_values(true)
            .help("Outline of something to leave out beside the card"),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    if noun == "temperatures" {
        return Some(temperatures(matches, book));
    }
    if noun != "photo" {
        return None;
    }
    let (verb, inner) = subcommand(matches);
    let book = book.clone();
    let photo = || json!({ "photo": demanded(inner, "photo") });
    let zone = || json!({ "zone": demanded(inner, "zone") });
    Some(match verb {
        "add" => add(inner, book),
        "measure" => measure(inner, book),
        "list" => Ok(Asked::command(book, "photo.list", zone(), photo::photos)),
        "show" => Ok(Asked::command(book, "photo.show", photo(), photo::shown)),
        "redo" => Ok(Asked::command(book, "photo.redo", photo(), photo::redone)),
        "series" => {
            let request =
                json!({ "zone": demanded(inner, "zone"), "quantity": given(inner, "quantity") });
            Ok(Asked::command(book, "photo.series", request, photo::series))
        }
        "pair" => Ok(pair(inner, book)),
        "chart" => number(inner, "width").map(|width| {
            let request = json!({ "out": demanded(inner, "out"), "width_mm": width });
            // A printer needs no notebook.
            Asked::working(photo::written, move || {
                let request = serde_json::from_value(request.clone())
                    .map_err(|e| Problem::bad("out", e.to_string()))?;
                Ok(json!(album::write_chart(&request)?))
            })
        }),
        "slate" => {
            let request = json!({ "zone": demanded(inner, "zone"), "out": demanded(inner, "out") });
            Ok(Asked::command(book, "photo.slate", request, photo::written))
        }
        "export" => {
            let request = json!({
                "photo": demanded(inner, "photo"),
                "out": demanded(inner, "out"),
                "what": given(inner, "what"),
                "with_location": inner.get_flag("with-location"),
            });
            Ok(Asked::command(book, "photo.export", request, photo::exported))
        }
        _ => Ok(Asked::command(book, "photo.pictures", zone(), photo::pictures)),
    })
}

fn temperatures(matches: &ArgMatches, book: &Book) -> Result<Asked, Problem> {
    let (verb, inner) = subcommand(matches);
    let property = demanded(inner, "property");
    if verb == "list" {
        let request = json!({ "kind": "temperatures", "within": property });
        let show = crate::print::record::records;
        return Ok(Asked::command(book.clone(), "record.list", request, show));
    }
    let file = inner.get_one::<PathBuf>("file").map(|file| file.display().to_string());
    let request = json!({
        "property": property,
        "path": file,
        "text": given(inner, "text"),
        "unit": given(inner, "unit"),
        "note": given(inner, "note").unwrap_or_default(),
    });
    Ok(Asked::command(book.clone(), "temperatures.add", request, photo::temperatures))
}

/// Calls a command that tells how far it is.
fn called(notebook: &mut Notebook, name: &str, request: Json) -> Result<Json, Problem> {
    call_watched(notebook, name, request, &mut Line::of_this_terminal())
}

fn add(inner: &ArgMatches, book: Book) -> Result<Asked, Problem> {
    let request = json!({ "paths": repeated(inner, "files"), "zone": given(inner, "zone") });
    if inner.get_flag("preview") {
        return Ok(Asked::command(book, "photo.sort", request, photo::sorted));
    }
    let (date, strip) = (given(inner, "date"), given(inner, "strip").unwrap_or_default());
    let note = given(inner, "note").unwrap_or_default();
    Ok(Asked::working(photo::added, move || {
        book.open(Access::Write, |notebook| {
            let sorted = called(notebook, "photo.sort", request.clone())?;
            let lines = sorted["photos"].as_array().map_or(&[][..], Vec::as_slice);
            let (mut photos, mut left) = (Vec::new(), Vec::new());
            for line in lines {
                let why = ["problem", "why"].map(|key| line[key].as_str().unwrap_or_default());
                let is_lost = line["zone"] == "" && line["is_slate"] == false;
                match (why[0], is_lost, line["is_slate"] == true) {
                    ("", false, false) => photos.push(json!({
                        "path": line["path"],
                        "zone": line["zone"],
                        "date": date,
                        "strip": strip,
                        "note": note,
                    })),
                    ("", true, _) => left.push(json!({
                        "path": line["path"], "known_as": "",
                        "why": format!("{}; say --zone", why[1]),
                    })),
                    ("", ..) => left.push(json!({
                        "path": line["path"], "known_as": "", "why": "the slate itself",
                    })),
                    (problem, ..) => {
                        left.push(json!({ "path": line["path"], "known_as": "", "why": problem }));
                    }
                }
            }
            if photos.is_empty() {
                let why: Vec<&str> = left.iter().filter_map(|one| one["why"].as_str()).collect();
                let why = if why.is_empty() { "there is no photo".into() } else { why.join("; ") };
                return Err(
                    Problem::new(Code::BadFile, format!("nothing was kept: {why}")).at("files")
                );
            }
            let mut added = called(notebook, "photo.add", json!({ "photos": photos }))?;
            if let Some(skipped) = added["skipped"].as_array_mut() {
                skipped.extend(left);
            }
            Ok(added)
        })
    }))
}

fn measure(inner: &ArgMatches, book: Book) -> Result<Asked, Problem> {
    let choices = measured_by(inner)?;
    let (names, zone) = (repeated(inner, "photos"), given(inner, "zone"));
    let (again, tries) = (inner.get_flag("again"), inner.get_flag("try"));
    let note = given(inner, "note").unwrap_or_default();
    if !again && names.is_empty() == zone.is_none() {
        return Err(Problem::missing("photo", "name photos by id, or files, or say --zone"));
    }
    if names.is_empty() && !tries {
        let mut request = choices;
        request.insert("zone".to_owned(), json!(zone));
        request.insert("property".to_owned(), json!(given(inner, "property")));
        request.insert("again".to_owned(), json!(again));
        request.insert("note".to_owned(), json!(note));
        let show = if again { photo::measured_again } else { photo::measured_many };
        return Ok(Asked::command(book, "photo.measure_many", Json::Object(request), show));
    }
    let name = if tries { "photo.try" } else { "photo.measure" };
    let with = |key: &str, value: &str| {
        let mut request = choices.clone();
        request.insert(key.to_owned(), Json::from(value));
        Json::Object(request)
    };
    let files: Vec<&String> = names.iter().filter(|name| PathBuf::from(name).is_file()).collect();
    if !files.is_empty() && files.len() < names.len() {
        return Err(Problem::bad("photo", "name either kept photos or files, not both"));
    }
    if !files.is_empty() {
        let requests: Vec<Json> = files.iter().map(|file| with("path", file)).collect();
        return Ok(Asked::working(photo::measured, move || {
            let today = swardbook_app::RealSurroundings.today();
            let measured = requests.iter().map(|request| {
                let request = serde_json::from_value(request.clone())
                    .map_err(|e| Problem::bad("photo", e.to_string()))?;
                Ok(json!(album::measure_file(&request, today)?))
            });
            one_or_many(measured.collect::<Result<_, Problem>>()?)
        }));
    }
    let requests: Vec<Json> = names.iter().map(|id| with("photo", id)).collect();
    let choices = choices.clone();
    Ok(Asked::working(photo::measured, move || {
        let access = if name == "photo.try" { Access::Read } else { Access::Write };
        book.open(access, |notebook| {
            let mut requests = requests.clone();
            if let Some(zone) = &zone {
                let photos = call(notebook, "photo.list", json!({ "zone": zone }))?;
                for photo in photos.as_array().into_iter().flatten() {
                    if photo["is_measured"] == false {
                        let mut request = choices.clone();
                        request.insert("photo".to_owned(), photo["id"].clone());
                        requests.push(Json::Object(request));
                    }
                }
            }
            let measured = requests.into_iter().map(|mut request| {
                request["note"] = json!(note);
                call(notebook, name, request)
            });
            one_or_many(measured.collect::<Result<_, Problem>>()?)
        })
    }))
}

fn one_or_many(mut measured: Vec<Json>) -> Result<Json, Problem> {
    Ok(match measured.len() {
        1 => measured.remove(0),
        _ => Json::Array(measured),
    })
}

/// Card, mask and region as the application takes them.
fn measured_by(inner: &ArgMatches) -> Result<Map<String, Json>, Problem> {
    let mut request = Map::new();
    let mut put = |key: &str, value: Json| {
        if !value.is_null() {
            request.insert(key.to_owned(), value);
        }
    };
    put("card", json!(given(inner, "card")));
    put("reflectance", json!(number(inner, "reflectance")?));
    put("keep_exposure", json!(inner.get_flag("keep-exposure")));
    for name in ["hue", "saturation"] {
        let range = given(inner, name).map(|text| place(name, &text)).transpose()?;
        put(name, json!(range));
    }
    for name in ["corners", "region"] {
        let texts = repeated(inner, name);
        if !texts.is_empty() {
            put(name, json!(places(name, &texts)?));
        }
    }
    if let Some(outlines) = inner.get_occurrences::<String>("leave-out") {
        let outlines = outlines
            .map(|texts| places("left_out", &texts.cloned().collect::<Vec<_>>()))
            .collect::<Result<Vec<_>, _>>()?;
        put("left_out", json!(outlines));
    }
    if let Some(file) = inner.get_one::<PathBuf>("sheet") {
        put("sheet", Json::from(typed::text(file, "sheet")?));
    }
    Ok(request)
}

fn places(field: &str, texts: &[String]) -> Result<Vec<(f64, f64)>, Problem> {
    texts.iter().map(|text| place(field, text)).collect()
}

fn place(field: &str, text: &str) -> Result<(f64, f64), Problem> {
    let number = |part: &str| part.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    text.split_once(',').and_then(|(a, b)| Some((number(a)?, number(b)?))).ok_or_else(|| {
        Problem::bad(field, format!("{field}: \"{text}\" is no pair such as 120,80"))
    })
}

fn pair(inner: &ArgMatches, book: Book) -> Asked {
    let request = json!({ "before": demanded(inner, "before"), "after": demanded(inner, "after") });
    let folder = inner.get_one::<PathBuf>("folder").cloned();
    Asked::working(photo::pair, move || {
        book.open(Access::Read, |notebook| {
            let mut view = call(notebook, "photo.pair", request.clone())?;
            let Some(folder) = &folder else { return Ok(view) };
            for side in ["before", "after"] {
                let address = view[side]["picture"].as_str().unwrap_or_default();
                let file = folder.join(format!("{side}.jpg"));
                let mut picture = notebook.kept_file(address)?.file;
                let written = std::fs::File::create_new(&file)
                    .and_then(|mut out| std::io::copy(&mut picture, &mut out));
                written.map_err(|error| {
                    let message = format!("{} cannot be written: {error}", file.display());
                    Problem::new(Code::Storage, message).at("pictures")
                })?;
                view[side]["file"] = json!(file.display().to_string());
            }
            Ok(view)
        })
    })
}
