//! The `swardbook` command: the notebook for scripts, for tests and for people without a screen.
//!
//! Arguments become a request for one command of the application, the answer becomes text or one
//! JSON document; what the commands do is not decided here.

mod arguments;
mod asked;
mod book;
mod broken;
mod panel_read;
mod print;
mod typed;

use std::process::ExitCode;

use clap::ArgMatches;
use serde_json::json;
use swardbook_app::Problem;

use asked::Asked;
use print::{Page, Workings};

fn main() -> ExitCode {
    broken::guarded(swardbook)
}

fn swardbook() -> ExitCode {
    let matches = arguments::command().get_matches();
    let workings =
        if matches.get_flag(arguments::WORKING) { Workings::Shown } else { Workings::Hidden };
    let form = if matches.get_flag(arguments::JSON) { Form::Json } else { Form::Words(workings) };
    match asked::from(&matches).and_then(|asked| answer(&asked, form)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            say_problem(&problem, form, &matches);
            ExitCode::FAILURE
        }
    }
}

/// What answers are printed as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Words(Workings),
    Json,
}

/// Runs what was asked and prints its answer.
fn answer(asked: &Asked, form: Form) -> Result<(), Problem> {
    let value = asked.run()?;
    match (form, asked.show) {
        (Form::Words(workings), Some(show)) => {
            let mut page = Page::for_this_terminal(workings);
            show(&mut page, &value);
            print::out(page.text());
        }
        _ => {
            let text = serde_json::to_string_pretty(&value).expect("a JSON value has a JSON form");
            print::out(&format!("{text}\n"));
        }
    }
    Ok(())
}

/// Standard output stays empty, so that a script never takes a refusal for an answer.
fn say_problem(problem: &Problem, form: Form, matches: &ArgMatches) {
    if form == Form::Json {
        print::err(&format!("{}\n", json!(problem)));
        return;
    }
    let mut page = Page::for_this_terminal(Workings::Hidden);
    page.say(&format!("swardbook: {problem}"));
    let field = problem.field.as_deref().filter(|field| !problem.message.contains(*field));
    if let Some(field) = field.map(|field| arguments::as_typed(matches, field)) {
        page.say(&format!("(about: {field})"));
    }
    print::err(page.text());
}
