//! Starting other programs, and saying which one failed.

use std::{
    path::{Path, PathBuf},
    process::{Command, Stdio},
};

/// The cargo that started this program, so that both use one toolchain.
pub(crate) fn cargo() -> Command {
    Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// The command as a person would type it.
pub(crate) fn words(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let program = program.file_name().unwrap_or(program.as_os_str()).to_string_lossy();
    let mut line = program.into_owned();
    for word in command.get_args() {
        line.push(' ');
        line.push_str(&word.to_string_lossy());
    }
    line
}

/// Runs to the end with its output going straight to the terminal.
pub(crate) fn must(command: &mut Command) -> Result<(), String> {
    println!("   $ {}", words(command));
    let status = command.status().map_err(|error| not_started(command, &error))?;
    if status.success() { Ok(()) } else { Err(format!("`{}` failed ({status})", words(command))) }
}

/// Runs to the end and returns what it printed; its errors go to the terminal.
pub(crate) fn output(command: &mut Command) -> Result<String, String> {
    command.stderr(Stdio::inherit());
    let done = command.output().map_err(|error| not_started(command, &error))?;
    if !done.status.success() {
        return Err(format!("`{}` failed ({})", words(command), done.status));
    }
    String::from_utf8(done.stdout)
        .map_err(|_| format!("`{}` printed something that is not UTF-8", words(command)))
}

/// Runs quietly; `None` when it could not start or failed, for programs that may be absent.
pub(crate) fn answer(command: &mut Command) -> Option<String> {
    let done = command.stderr(Stdio::null()).output().ok()?;
    done.status.success().then(|| String::from_utf8_lossy(&done.stdout).into_owned())
}

/// Where `program` lies in a search path written as the environment writes it.
pub(crate) fn find_in(search: &std::ffi::OsStr, program: &str) -> Option<PathBuf> {
    std::env::split_paths(search)
        .map(|folder| folder.join(format!("{program}{}", std::env::consts::EXE_SUFFIX)))
        .find(|path| path.is_file())
}

/// Where `program` lies in the search path of this process.
pub(crate) fn find(program: &str) -> Option<PathBuf> {
    find_in(&std::env::var_os("PATH").unwrap_or_default(), program)
}

fn not_started(command: &Command, error: &std::io::Error) -> String {
    format!("`{}` could not be started: {error}", words(command))
}
