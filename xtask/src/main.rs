//! Set-up, checks and runs of the project itself: `cargo xtask`.
//!
//! Nothing here is shipped, so it may print and read the clock, which the crates of the program
//! may not.
#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "printing is what a command-line tool is for"
)]

mod process;
mod run;
mod setup;
mod steps;
mod test;
mod tidy;
mod types;
mod workspace;

use std::process::ExitCode;

use workspace::Workspace;

const USAGE: &str = "\
cargo xtask run      set up, build, and open the app with a demo season
                     (without a display: print the season in the terminal)
cargo xtask test     set up, then the whole gate: formatting, lints, tidy, generated files, tests
cargo xtask setup    install what building and testing need
cargo xtask tidy     the rules of the house that can be checked by reading
cargo xtask types    write the TypeScript types again from the Rust ones";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let outcome = match words.as_slice() {
        ["run"] => Workspace::find().and_then(|workspace| run::run(&workspace)),
        ["test"] => match Workspace::find() {
            // What failed has been said; the count stays the last line.
            Ok(workspace) if !test::run(&workspace) => return ExitCode::FAILURE,
            other => other.map(drop),
        },
        ["setup"] => Workspace::find().and_then(|workspace| setup::run(&workspace).map(drop)),
        ["tidy"] => Workspace::find().and_then(|workspace| tidy::run(&workspace)),
        ["types"] => Workspace::find().and_then(|workspace| types::write(&workspace)),
        ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            return ExitCode::SUCCESS;
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("{reason}");
            ExitCode::FAILURE
        }
    }
}
