//! The window of Swardbook: one web view over the use cases.
//!
//! Everything it can do it asks of `swardbook-app` by the name of a command.
//! It does not own any arithmetic, record or word that a person reads about their ground.

mod arguments;
mod commands;
mod desk;
mod stored;
mod taken;

use arguments::Asked;
use desk::Desk;
use tauri::{
    Emitter, Manager, RunEvent, WebviewUrl, WebviewWindowBuilder,
    webview::{NewWindowResponse, WebviewWindow},
};

/// Opens the window and returns when it is closed.
///
/// # Panics
/// When the system has no web view to show the window in; there is then nothing to show words in.
#[cfg_attr(mobile, tauri::mobile_entry_point)]
pub fn run() {
    let asked = arguments::read(std::env::args_os().skip(1));
    let builder = tauri::Builder::default();
    // First of all plugins: a second start ends here, before it opens anything.
    #[cfg(desktop)]
    let builder = if matches!(asked, Asked::Usual(_)) {
        builder.plugin(tauri_plugin_single_instance::init(|app, _, _| show_first(app)))
    } else {
        // A notebook in a folder of its own has a window of its own.
        builder
    };
    let builder = builder
        .plugin(tauri_plugin_dialog::init())
        .register_asynchronous_uri_scheme_protocol(stored::SCHEME, stored::answer)
        .invoke_handler(tauri::generate_handler![
            commands::call,
            commands::call_watched,
            commands::create,
            commands::pick_file,
            commands::pick_photos,
            commands::reopen,
            commands::start,
            commands::stop,
            commands::taken_piece,
        ])
        .setup(|app| {
            let desk = Desk::new(asked);
            let told = app.handle().clone();
            desk.on_news(move |news| {
                // A window that is just closing hears nothing more.
                let _ = told.emit(
                    NEWS,
                    serde_json::json!({ "records": news.records, "devices": news.devices }),
                );
            });
            app.manage(desk);
            // Beside the web view's own start, and long work is told in it.
            let opening = app.handle().clone();
            std::thread::spawn(move || {
                let tell = |progress| commands::tell_opening(&opening, progress);
                opening.state::<Desk>().open_asked(tell);
            });
            if let Ok(folder) = commands::taken_folder(app.handle()) {
                taken::clear(&folder);
            }
            #[cfg(all(unix, desktop))]
            close_when_told(app.handle());
            open_window(app.handle())?;
            Ok(())
        });
    #[cfg(desktop)]
    let builder = builder.plugin(tauri_plugin_window_state::Builder::default().build());
    let app = builder
        .build(tauri::generate_context!())
        .expect("a system that runs desktop programs has a web view");
    app.run(|app, event| match event {
        RunEvent::Exit => app.state::<Desk>().close(),
        // A phone that puts the program to sleep cuts its connections anyway; ended in good order,
        // they are taken up at once when it wakes.
        #[cfg(mobile)]
        RunEvent::WindowEvent { event: tauri::WindowEvent::Suspended, .. } => {
            app.state::<Desk>().sleep();
        }
        #[cfg(mobile)]
        RunEvent::WindowEvent { event: tauri::WindowEvent::Resumed, .. } => {
            app.state::<Desk>().wake();
        }
        _ => {}
    });
}

/// Brings the window that is already open to the front, when the program is started once more.
#[cfg(desktop)]
fn show_first(app: &tauri::AppHandle) {
    let Some(window) = app.get_webview_window("main") else { return };
    // A window manager may refuse; the window is open all the same.
    let _ = window.unminimize();
    let _ = window.show();
    let _ = window.set_focus();
}
/// Closes the notebook in good order when the session ends or the program is told to end, so that
/// the next start need not look through the whole file.
#[cfg(all(unix, desktop))]
fn close_when_told(app: &tauri::AppHandle) {
    use tokio::signal::unix::{SignalKind, signal};

    for told in [SignalKind::terminate(), SignalKind::interrupt(), SignalKind::hangup()] {
        let app = app.clone();
        tauri::async_runtime::spawn(async move {
            // Where signals cannot be heard, they end the program at once; what was saved is safe.
            if let Ok(mut told) = signal(told) {
                told.recv().await;
                app.exit(0);
            }
        });
    }
}

/// The event with which the window hears that something arrived or changed elsewhere.
const NEWS: &str = "news";

/// Opens the one window; it stays on our own pages.
fn open_window(app: &tauri::AppHandle) -> tauri::Result<WebviewWindow> {
    let window = WebviewWindowBuilder::new(app, "main", WebviewUrl::default())
        .on_navigation(|url| url.scheme() == "tauri" || url.host_str() == Some("tauri.localhost"))
        .on_new_window(|_, _| NewWindowResponse::Deny);
    #[cfg(desktop)]
    let window = window.title("Swardbook").inner_size(1280.0, 860.0).min_inner_size(360.0, 480.0);
    window.build()
}
