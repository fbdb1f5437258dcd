//! The window's own commands: one that asks the core anything, and what needs the system.

use std::path::PathBuf;

use serde_json::Value;
use swardbook_app::{Code, Problem, Progress};
use tauri::{AppHandle, Emitter, Manager, Runtime, State, ipc::Channel};
use tauri_plugin_dialog::{DialogExt, FileDialogBuilder};

use crate::{desk::Desk, taken};

/// Asks the core, away from the thread that draws.
#[tauri::command]
pub(crate) async fn call(app: AppHandle, name: String, request: Value) -> Result<Value, Problem> {
    aside(app, move |desk| desk.call(&name, request)).await?
}

/// Asks the core for something long: it tells through the channel how far it is, and is stopped by
/// its number.
#[tauri::command]
pub(crate) async fn call_watched(
    app: AppHandle,
    name: String,
    request: Value,
    number: u32,
    told: Channel<Progress>,
) -> Result<Value, Problem> {
    aside(app, move |desk| {
        // A window that is just closing hears nothing more.
        desk.call_watched(&name, request, number, move |progress| drop(told.send(progress)))
    })
    .await?
}

/// Has long work stopped, as soon as it can be; work that is done already is left as it is.
#[tauri::command]
pub(crate) fn stop(desk: State<'_, Desk>, number: u32) {
    desk.stop(number);
}

/// How the window started.
#[tauri::command]
pub(crate) async fn start(app: AppHandle) -> Result<Value, Problem> {
    aside(app, Desk::start).await
}

/// Opens the notebook once more.
#[tauri::command]
pub(crate) async fn reopen(app: AppHandle) -> Result<Value, Problem> {
    let told = app.clone();
    aside(app, move |desk| desk.reopen(|progress| tell_opening(&told, progress))).await
}

/// The event with which the window hears how far the opening of a notebook is.
const OPENING: &str = "opening";

/// Tells the window how far the opening of the notebook is.
pub(crate) fn tell_opening(app: &AppHandle, progress: Progress) {
    // A window that is not there yet hears the next hundredth.
    let _ = app.emit(OPENING, progress);
}

/// Makes a notebook in the folder asked for.
#[tauri::command]
pub(crate) async fn create(app: AppHandle) -> Result<Value, Problem> {
    aside(app, Desk::create).await
}

/// Lets the person choose a file; nothing when they turned away.
#[tauri::command]
pub(crate) async fn pick_file(app: AppHandle, kind: String) -> Result<Option<String>, Problem> {
    #[cfg(debug_assertions)]
    if let Some(answer) = pick_of_a_test() {
        return Ok(answer);
    }
    let chosen = tauri::async_runtime::spawn_blocking(move || {
        let dialog = app.dialog().file();
        match kind.as_str() {
            "panel" => {
                let ends = ["csv", "tsv", "txt", "xlsx", "xls", "ods"];
                listing(dialog, "CSV, TSV, XLSX", &ends)
            }
            "picture" => listing(dialog, "JPEG, PNG", &["jpg", "jpeg", "png", "webp"]),
            _ => dialog,
        }
        .blocking_pick_file()
    });
    Ok(chosen.await.map_err(|_| broken())?.map(|path| path.to_string()))
}

/// A dialog that lists the files whose names end so.
fn listing<R: Runtime>(
    dialog: FileDialogBuilder<R>,
    name: &str,
    ends: &[&str],
) -> FileDialogBuilder<R> {
    let both = in_both_cases(ends);
    dialog.add_filter(name, &both.iter().map(String::as_str).collect::<Vec<_>>())
}

/// Ends of names in small letters and in capitals, as cameras write them: the dialog of some systems
/// tells them apart.
fn in_both_cases(ends: &[&str]) -> Vec<String> {
    ends.iter().flat_map(|end| [(*end).to_owned(), end.to_uppercase()]).collect()
}

/// Lets the person choose photos, or a folder of them; none when they turned away.
#[tauri::command]
pub(crate) async fn pick_photos(app: AppHandle, from: String) -> Result<Vec<String>, Problem> {
    #[cfg(debug_assertions)]
    if let Some(answer) = pick_of_a_test() {
        return Ok(answer.into_iter().collect());
    }
    let chosen = tauri::async_runtime::spawn_blocking(move || {
        let dialog = app.dialog().file();
        if from == "folder" {
            return dialog.blocking_pick_folder().map(|folder| vec![folder]);
        }
        // Those that are refused can be chosen too, and are told why: a file that is not even listed
        // looks lost.
        let ends = ["jpg", "jpeg", "jpe", "png", "webp", "heic", "heif", "avif"];
        listing(dialog, "JPEG, PNG, WebP", &ends).blocking_pick_files()
    });
    let chosen = chosen.await.map_err(|_| broken())?.unwrap_or_default();
    Ok(chosen.into_iter().map(|path| path.to_string()).collect())
}

/// Takes in a piece of a photo that the web view's own camera took; answers where it is put aside.
#[tauri::command]
pub(crate) async fn taken_piece(
    app: AppHandle,
    number: u32,
    from: u32,
    piece: String,
) -> Result<String, Problem> {
    let folder = taken_folder(&app)?;
    tauri::async_runtime::spawn_blocking(move || taken::add(&folder, number, from.into(), &piece))
        .await
        .map_err(|_| broken())?
        .map(|path| path.display().to_string())
}

/// Where photos are put aside until they are taken in.
pub(crate) fn taken_folder(app: &AppHandle) -> Result<PathBuf, Problem> {
    let cache = app.path().app_cache_dir();
    Ok(cache.map_err(|error| Problem::new(Code::Storage, error.to_string()))?.join("taken"))
}

/// In a build for tests, the answer that a test gives in place of the system's dialog, which no
/// driver of the window reaches: the path that stands in the file that `SWARDBOOK_PICKS` names.
///
/// A release has none of this.
#[cfg(debug_assertions)]
fn pick_of_a_test() -> Option<Option<String>> {
    let answers = std::env::var_os("SWARDBOOK_PICKS")?;
    let path = std::fs::read_to_string(answers).unwrap_or_default();
    Some(Some(path.trim().to_owned()).filter(|path| !path.is_empty()))
}

async fn aside<T: Send + 'static>(
    app: AppHandle,
    work: impl FnOnce(&Desk) -> T + Send + 'static,
) -> Result<T, Problem> {
    tauri::async_runtime::spawn_blocking(move || work(&app.state::<Desk>()))
        .await
        .map_err(|_| broken())
}

/// What is said when our own code broke: the person's records are untouched by then.
pub(crate) fn broken() -> Problem {
    Problem::new(
        Code::Storage,
        "the program made a mistake and this was not done; what was saved before is safe",
    )
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_camera_may_write_its_names_in_capitals() {
        assert_eq!(super::in_both_cases(&["jpg", "heic"]), ["jpg", "JPG", "heic", "HEIC"]);
    }
}
