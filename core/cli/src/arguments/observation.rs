//! `observation photo`: what a camera saw.

use std::path::PathBuf;

use clap::{ArgMatches, Command};
use serde_json::json;
use swardbook_app::Problem;

use super::{Answer, flag, given, path};
use crate::{asked::Asked, book::Book, print::observation};

/// The subcommands that an observation has beside those of every record.
pub(super) fn extend(group: Command) -> Command {
    let photo = Command::new("photo")
        .about("Keep a photo; the original stays untouched")
        .arg(path("file", "FILE", "A JPEG, PNG or WebP file").required(true))
        .arg(flag("zone", "NAME", "The zone, by id or name").required(true))
        .arg(flag("date", "YYYY-MM-DD", "The day; the camera's without it, else today"))
        .arg(flag("note", "TEXT", "Words"));
    group.subcommand(photo)
}

pub(super) fn asked(noun: &str, matches: &ArgMatches, book: &Book) -> Answer {
    let ("observation", Some(("photo", inner))) = (noun, matches.subcommand()) else {
        return None;
    };
    let file = inner.get_one::<PathBuf>("file").cloned().unwrap_or_default();
    Some(match file.to_str() {
        Some(file) => {
            let request = json!({
                "path": file,
                "zone": given(inner, "zone"),
                "date": given(inner, "date"),
                "note": given(inner, "note").unwrap_or_default(),
            });
            let (book, show) = (book.clone(), observation::photo_added);
            Ok(Asked::command(book, "observation.add_photo", request, show))
        }
        None => {
            let name = file.display();
            let message = format!("the name of {name} is not UTF-8; rename the file");
            Err(Problem::bad("path", message))
        }
    })
}
