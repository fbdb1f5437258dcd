//! The `swardbook` command.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "printing is what it is for")]

use std::{io::Read, path::PathBuf, process::ExitCode};

use clap::{Parser, Subcommand};
use swardbook_app::{Code, Problem, calc, panel_file};

/// The turf-care notebook: soil panels, amendments, and whether the ground changed.
#[derive(Debug, Parser)]
#[command(version)]
struct Arguments {
    /// Print one JSON document.
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// List the calculations, or run one on a JSON object.
    Calc {
        /// The calculation.
        id: Option<String>,
        /// List every calculation.
        #[arg(long)]
        list: bool,
        /// File with the inputs as a JSON object; `-` reads standard input.
        #[arg(long)]
        input: Option<PathBuf>,
    },
    /// Read a laboratory's panel file and show what it says.
    #[command(subcommand)]
    Panel(Panel),
}

#[derive(Debug, Subcommand)]
enum Panel {
    /// Show the samples and readings of a file, and every cell that was not read.
    Read {
        /// A CSV, TSV or XLSX file.
        file: PathBuf,
    },
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match run(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("swardbook: {problem}");
            ExitCode::FAILURE
        }
    }
}

fn run(arguments: &Arguments) -> Result<(), Problem> {
    match &arguments.command {
        Command::Calc { id: Some(id), list: false, input } => {
            let inputs = read_inputs(input.as_ref())?;
            print_json(&calc::run(id, &inputs)?.to_json())
        }
        Command::Calc { .. } => {
            let all: Vec<_> = calc::catalogue().iter().map(calc::Calculation::info).collect();
            if arguments.json {
                return print_json(&serde_json::json!(all));
            }
            for one in all {
                println!("{:<16} {}", one.id, one.title);
            }
            Ok(())
        }
        Command::Panel(Panel::Read { file }) => read_panel(file),
    }
}

fn read_inputs(input: Option<&PathBuf>) -> Result<serde_json::Value, Problem> {
    let path =
        input.ok_or_else(|| Problem::missing("input", "give --input FILE, or - to type it"))?;
    let failed = |e: std::io::Error| Problem::bad("input", format!("{}: {e}", path.display()));
    let text = if path.as_os_str() == "-" {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).map_err(failed)?;
        text
    } else {
        std::fs::read_to_string(path).map_err(failed)?
    };
    serde_json::from_str(&text)
        .map_err(|e| Problem::bad("input", format!("the input is not a JSON object: {e}")))
}

fn print_json(value: &serde_json::Value) -> Result<(), Problem> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|e| Problem::new(Code::Storage, e.to_string()))?;
    println!("{text}");
    Ok(())
}

fn read_panel(file: &std::path::Path) -> Result<(), Problem> {
    let bad = |e: panel_file::PanelFileError| Problem {
        code: Code::BadFile,
        message: e.to_string(),
        field: Some("file".into()),
    };
    let sheets = panel_file::open(file).map_err(bad)?;
    let mapping = panel_file::propose(&sheets).map_err(bad)?;
    let read = panel_file::apply(&sheets, &mapping);
    let samples: Vec<_> = read
        .samples
        .iter()
        .map(|sample| {
            let readings: Vec<_> = sample
                .readings
                .iter()
                .map(|r| {
                    serde_json::json!({
                        "analyte": r.analyte.id,
                        "method": r.method.id,
                        "qualifier": r.qualifier.sign(),
                        "value": r.value,
                        "unit": r.unit.symbol,
                        "cell": r.place.cell(),
                    })
                })
                .collect();
            serde_json::json!({ "label": sample.attributes.label, "readings": readings })
        })
        .collect();
    let unread: Vec<_> = read
        .unread
        .iter()
        .map(|u| {
            serde_json::json!({
                "cell": u.place.cell(),
                "text": u.text,
                "reason": u.reason.text(),
                "remedy": u.reason.remedy(),
            })
        })
        .collect();
    let questions: Vec<_> = read
        .questions
        .iter()
        .map(|q| serde_json::json!({ "cell": q.place.cell(), "written": q.written }))
        .collect();
    print_json(&serde_json::json!({
        "samples": samples, "unread": unread, "questions": questions,
    }))
}
