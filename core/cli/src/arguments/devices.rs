//! `devices`, `invite`, `join`, `sync` and `keep`: the other devices that hold the notebook.

use std::{io::BufRead as _, path::PathBuf, time::Duration};

use clap::{Arg, ArgAction, ArgMatches, Command, builder::PossibleValuesParser};
use serde_json::{Value as Json, json};
use swardbook_app::{
    Problem, call,
    devices::{LinkedNotebook, SyncPassRequest, SyncStatus},
};

use super::{Answer, JSON, demanded, flag, given, group, path, subcommand, whole, word};
use crate::{
    asked::Asked,
    book::{Access, Book},
    print::{self, devices as show},
};

const UNASKED: &str = "without-asking";

pub(super) fn commands() -> Vec<Command> {
    let device = || {
        word("device", "DEVICE", "Its name, or the beginning of its key; `this` for this one")
            .required(true)
    };
    let role = || {
        flag("role", "ROLE", "What it is for").value_parser(PossibleValuesParser::new([
            "field",
            "office",
            "always-on",
        ]))
    };
    let switch =
        |id, help| flag(id, "ON|OFF", help).value_parser(PossibleValuesParser::new(["on", "off"]));
    let unasked = || {
        Arg::new(UNASKED).long(UNASKED).action(ArgAction::SetTrue).help(
            "Do not ask whether the words are the same: trust whoever holds the invitation; for \
             machines without a person",
        )
    };
    let this = Command::new("this")
        .about("How this device syncs")
        .arg(flag("name", "NAME", "What it is called on other devices"))
        .arg(role())
        .arg(switch("discovery", "Look for paired devices on the local network [default: on]"))
        .arg(flag("relay", "URL", "A relay of one's own, the same on both devices; \"\" for none"))
        .arg(switch("hold-files", "Exchange entries only, on a connection paid by the byte"))
        .arg(
            Arg::new("only-keep")
                .long("only-keep")
                .action(ArgAction::SetTrue)
                .help("Keep the notebook for the others and write no records here"),
        )
        .arg(
            Arg::new("edits")
                .long("edits")
                .action(ArgAction::SetTrue)
                .conflicts_with("only-keep")
                .help("Write records here again"),
        );
    let patience =
        || flag("patience", "SECONDS", "Give up when nothing has moved for so long [default: 20]");
    vec![
        group("devices", "The devices that hold the notebook").subcommands([
            Command::new("list").about("List them, with what waits here for each"),
            Command::new("rename")
                .about("Give a device another name or role")
                .arg(device())
                .arg(flag("name", "NAME", "Its new name"))
                .arg(role()),
            Command::new("remove")
                .about("Remove a device for ever: it keeps what it has and gets nothing more")
                .arg(device())
                .arg(flag("why", "TEXT", "Why")),
            Command::new("keep-rule").about("What this device keeps of photos and files").arg(
                word("rule", "RULE", "All; or small pictures and what was made here until an office or always-on device, or until any, has promised to keep it")
                    .required(true)
                    .value_parser(PossibleValuesParser::new([
                        "all",
                        "own-until-office",
                        "previews",
                    ])),
            ),
            this,
            Command::new("pause").about("Exchange nothing until it is resumed"),
            Command::new("resume").about("Exchange again"),
        ]),
        Command::new("invite")
            .about("Invite one device: shows a code to scan or paste there, then four words")
            .arg(flag("minutes", "MINUTES", "How long it is good [default: 10]"))
            .arg(unasked()),
        Command::new("join")
            .about("Join the notebook of another device by its code")
            .arg(word("code", "CODE", "The text of the invitation; - reads it from standard input"))
            .arg(path("picture", "FILE", "A picture of the QR code").long("picture"))
            .arg(unasked()),
        Command::new("sync")
            .about("Meet every other device once and exchange everything")
            .arg(
                Arg::new("live")
                    .long("live")
                    .action(ArgAction::SetTrue)
                    .help("Go on exchanging until it is stopped"),
            )
            .arg(patience()),
        Command::new("keep")
            .about("Hold the notebook for the other devices, without a screen, until it is stopped")
            .arg(
                Arg::new("only-keep")
                    .long("only-keep")
                    .action(ArgAction::SetTrue)
                    .help("Write no records here from now on; `devices this --edits` ends that"),
            ),
    ]
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let book = book.clone();
    let tell = Teller { json: matches.get_flag(JSON) };
    Some(match noun {
        "devices" => devices(matches, book),
        "invite" => {
            let unasked = matches.get_flag(UNASKED);
            whole(matches, "minutes").map(|minutes| {
                Asked::working(show::paired, move || {
                    book.link(|linked| invite(linked, minutes, unasked, tell))
                })
            })
        }
        "join" => join_asked(matches, book, tell),
        "sync" => {
            let live = matches.get_flag("live");
            whole(matches, "patience").map(|patience| {
                if live {
                    return Asked::working(show::sync_status, move || {
                        book.link_live(|linked| keep(linked, tell))
                    });
                }
                Asked::working(show::pass, move || {
                    book.link(|linked| {
                        let request = SyncPassRequest { patience };
                        let mut said = Said::default();
                        // The same as "sync.once", with its progress told on the way.
                        let pass =
                            linked.sync_once(request, &mut |now| said.progress(tell, now))?;
                        Ok(json!(pass))
                    })
                })
            })
        }
        "keep" => {
            let only_keep = matches.get_flag("only-keep");
            Ok(Asked::working(show::sync_status, move || {
                book.link_live(|linked| {
                    if only_keep {
                        linked.call("devices.own", json!({ "only_keeps": true }))?;
                    }
                    keep(linked, tell)
                })
            }))
        }
        _ => return None,
    })
}

fn devices(matches: &ArgMatches, book: Book) -> Result<Asked, Problem> {
    let (verb, inner) = subcommand(matches);
    let (name, request) = match verb {
        "list" => return Ok(Asked::working(show::devices, move || list(&book))),
        "rename" => (
            "devices.rename",
            json!({
                "device": demanded(inner, "device"),
                "name": given(inner, "name"),
                "role": given(inner, "role"),
            }),
        ),
        "remove" => (
            "devices.remove",
            json!({
                "device": demanded(inner, "device"),
                "why": given(inner, "why").unwrap_or_default(),
            }),
        ),
        "keep-rule" => ("devices.keep_rule", json!({ "rule": demanded(inner, "rule") })),
        "pause" | "resume" => {
            let name = if verb == "pause" { "sync.pause" } else { "sync.resume" };
            return Ok(Asked::working(show::sync_status, move || {
                book.link(|linked| linked.call(name, json!({})))
            }));
        }
        _ => return Ok(this(inner, book)),
    };
    Ok(Asked::working(show::devices, move || {
        book.link(|linked| linked.call(name, request.clone()))
    }))
}

fn this(inner: &ArgMatches, book: Book) -> Asked {
    let switch = |id| given(inner, id).map(|word| word == "on");
    let rename = json!({
        "device": "this", "name": given(inner, "name"), "role": given(inner, "role"),
    });
    let renames = ["name", "role"].iter().any(|id| inner.contains_id(id));
    let only_keeps = match (inner.get_flag("only-keep"), inner.get_flag("edits")) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    };
    let edit = json!({
        "discovery": switch("discovery"),
        "relay": given(inner, "relay"),
        "holds_files": switch("hold-files"),
        "only_keeps": only_keeps,
    });
    let edits = edit.as_object().is_some_and(|edit| edit.values().any(|value| !value.is_null()));
    Asked::working(show::own, move || {
        if !renames && !edits {
            return list(&book);
        }
        book.link(|linked| {
            if renames {
                linked.call("devices.rename", rename.clone())?;
            }
            linked.call("devices.own", edit.clone())
        })
    })
}

fn list(book: &Book) -> Result<Json, Problem> {
    book.look(|linked| linked.call("devices.list", json!({})))
}

/// How syncing stands, for whoever asks about the notebook as a whole.
pub(super) fn status(book: &Book) -> Result<Json, Problem> {
    let mut status = book.call("notebook.status", json!({}))?;
    status["sync"] = book.look(|linked| linked.call("sync.status", json!({})))?;
    Ok(status)
}

/// Everything that two devices did apart.
pub(super) fn apart(book: &Book) -> Result<Json, Problem> {
    book.open(Access::Read, |notebook| call(notebook, "record.apart", json!({})))
}

fn join_asked(matches: &ArgMatches, book: Book, tell: Teller) -> Result<Asked, Problem> {
    let unasked = matches.get_flag(UNASKED);
    let picture = matches.get_one::<PathBuf>("picture").map(|path| path.display().to_string());
    let code = match (given(matches, "code"), &picture) {
        (Some(code), _) if code == "-" => {
            crate::typed::text(std::path::Path::new("-"), "code")?.trim().to_owned()
        }
        (Some(code), _) => code,
        (None, Some(_)) => String::new(),
        (None, None) => {
            return Err(Problem::missing("code", "give the invitation's text or --picture FILE"));
        }
    };
    Ok(Asked::working(show::paired, move || {
        book.link(|linked| {
            let code = match &picture {
                Some(path) => {
                    linked.call("devices.read_qr", json!({ "path": path }))?["text"].clone()
                }
                None => json!(code),
            };
            let pairing = linked.call("devices.join", json!({ "code": code }))?;
            finish(linked, &pairing, unasked, tell)
        })
    }))
}

fn invite(
    linked: &LinkedNotebook,
    minutes: Option<u32>,
    unasked: bool,
    tell: Teller,
) -> Result<Json, Problem> {
    let invitation = linked.call("devices.invite", json!({ "minutes": minutes }))?;
    tell.say(&json!({ "invitation": invitation }), &show::invitation(&invitation));
    let pairing = until(linked, &["inviting"])?;
    finish(linked, &pairing, unasked, tell)
}

/// Has the words compared, waits for the other person, and exchanges everything.
fn finish(
    linked: &LinkedNotebook,
    pairing: &Json,
    unasked: bool,
    tell: Teller,
) -> Result<Json, Problem> {
    if pairing["state"] == "compare" {
        tell.say(&json!({ "pairing": pairing }), &show::compare(pairing));
        let matches = unasked || answered_yes(tell)?;
        linked.call("devices.confirm", json!({ "match": matches }))?;
    }
    let pairing = until(linked, &["compare", "waiting"])?;
    if pairing["state"] != "done" {
        // The invitation is of no more use to anybody.
        linked.call("devices.close_invitation", json!({}))?;
        let reason = pairing["reason"].as_str().unwrap_or("nothing was paired");
        return Err(Problem::refused(reason));
    }
    let mut said = Said::default();
    let request = SyncPassRequest { patience: None };
    let pass = linked.sync_once(request, &mut |now| said.progress(tell, now))?;
    Ok(json!({ "name": pairing["name"], "pass": pass }))
}

/// Waits for as long as a pairing is in one of these states.
fn until(linked: &LinkedNotebook, states: &[&str]) -> Result<Json, Problem> {
    loop {
        let pairing = linked.call("devices.pairing", json!({}))?;
        if !states.contains(&pairing["state"].as_str().unwrap_or_default()) {
            return Ok(pairing);
        }
        std::thread::sleep(LOOK);
    }
}

const LOOK: Duration = Duration::from_millis(100);

fn answered_yes(tell: Teller) -> Result<bool, Problem> {
    let mut line = String::new();
    loop {
        tell.ask("Are the same four words on the other device? yes or no: ");
        line.clear();
        let read = std::io::stdin().lock().read_line(&mut line);
        let read = read.map_err(|e| Problem::bad("words", format!("no answer was read: {e}")))?;
        match line.trim().to_lowercase().as_str() {
            "yes" | "y" => return Ok(true),
            "no" | "n" => return Ok(false),
            // Nobody is there to answer.
            _ if read == 0 => return Ok(false),
            _ => {}
        }
    }
}

fn keep(linked: &LinkedNotebook, tell: Teller) -> Result<Json, Problem> {
    let mut said = Said::default();
    let status = linked.keep(&mut |now| said.status(tell, now))?;
    Ok(json!(status))
}

/// Tells what goes on, on standard error.
#[derive(Debug, Clone, Copy)]
struct Teller {
    json: bool,
}

impl Teller {
    fn say(self, json: &Json, words: &str) {
        print::err(&if self.json { format!("{json}\n") } else { format!("{words}\n") });
    }

    fn ask(self, words: &str) {
        if !self.json {
            print::err(words);
        }
    }
}

/// What was told last, so that nothing is told twice.
#[derive(Debug, Default)]
struct Said(String);

impl Said {
    fn progress(&mut self, tell: Teller, status: &SyncStatus) {
        if let Some(words) = show::progress(&json!(status)) {
            self.once(tell, status, words);
        }
    }

    fn status(&mut self, tell: Teller, status: &SyncStatus) {
        let json = json!(status);
        self.once(tell, status, show::progress(&json).unwrap_or_else(|| show::sentence(&json)));
    }

    fn once(&mut self, tell: Teller, status: &SyncStatus, words: String) {
        if words != self.0 {
            tell.say(&json!({ "sync": status }), &words);
            self.0 = words;
        }
    }
}
