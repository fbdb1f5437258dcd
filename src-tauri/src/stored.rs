//! Kept photos and files under an address of their own: `stored://localhost/HASH`, and
//! pictures made from them: `stored://localhost/HASH/256`.
//!
//! The web view asks for them by hash and gets bytes with their kind, so that no path and no pixel
//! ever crosses as a command.

use std::io::{Read, Seek, SeekFrom};

use swardbook_app::{Code, KeptFile, Problem};
use tauri::{
    Manager, Runtime, UriSchemeContext, UriSchemeResponder,
    http::{Request, Response, StatusCode, header},
};

use crate::desk::Desk;

/// The scheme's name; not `blob`, which the web has taken.
pub(crate) const SCHEME: &str = "stored";

/// The most that is answered at once to someone who asked for a range.
const MOST: u64 = 4 << 20;

/// Answers one request, away from the thread that draws.
pub(crate) fn answer<R: Runtime>(
    context: UriSchemeContext<'_, R>,
    request: Request<Vec<u8>>,
    responder: UriSchemeResponder,
) {
    let app = context.app_handle().clone();
    tauri::async_runtime::spawn_blocking(move || {
        let hash = request.uri().path().trim_start_matches('/');
        let range = request.headers().get(header::RANGE).and_then(|range| range.to_str().ok());
        let response = app
            .state::<Desk>()
            .kept_file(hash)
            .map_or_else(|problem| refusal(&problem), |file| deliver(file, range));
        responder.respond(response);
    });
}

fn refusal(problem: &Problem) -> Response<Vec<u8>> {
    let status = match problem.code {
        Code::BadInput => StatusCode::BAD_REQUEST,
        _ => StatusCode::NOT_FOUND,
    };
    respond(status, "text/plain; charset=utf-8", problem.message.clone().into_bytes())
}

fn deliver(kept: KeptFile, range: Option<&str>) -> Response<Vec<u8>> {
    let KeptFile { mut file, size, media_type } = kept;
    let wanted = range.map(|range| part(range, size));
    let (status, start, length) = match wanted {
        None => (StatusCode::OK, 0, size),
        Some(Some((start, length))) => (StatusCode::PARTIAL_CONTENT, start, length),
        Some(None) => return respond(StatusCode::RANGE_NOT_SATISFIABLE, media_type, Vec::new()),
    };
    let mut bytes = Vec::new();
    let read =
        file.seek(SeekFrom::Start(start)).and_then(|_| file.take(length).read_to_end(&mut bytes));
    if read.is_err() {
        return respond(StatusCode::INTERNAL_SERVER_ERROR, media_type, Vec::new());
    }
    let mut response = respond(status, media_type, bytes);
    if status == StatusCode::PARTIAL_CONTENT {
        let text = format!("bytes {start}-{}/{size}", start + length - 1);
        if let Ok(value) = text.parse() {
            response.headers_mut().insert(header::CONTENT_RANGE, value);
        }
    }
    response
}

/// The first range asked for as start and length; nothing when it lies outside.
fn part(range: &str, size: u64) -> Option<(u64, u64)> {
    let first = range.strip_prefix("bytes=")?.split(',').next()?.trim();
    let (from, to) = first.split_once('-')?;
    let (start, end) = match (from.parse::<u64>().ok(), to.parse::<u64>().ok()) {
        (Some(start), end) => (start, end.unwrap_or(u64::MAX)),
        (None, Some(last)) if from.is_empty() => (size.saturating_sub(last), u64::MAX),
        _ => return None,
    };
    let length = end.min(size.checked_sub(1)?).checked_sub(start)?.saturating_add(1);
    Some((start, length.min(MOST)))
}

fn respond(status: StatusCode, media_type: &str, body: Vec<u8>) -> Response<Vec<u8>> {
    let mut response = Response::new(body);
    *response.status_mut() = status;
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_TYPE, media_type),
        // A file's name is its hash, so what it holds never changes.
        (header::CACHE_CONTROL, "private, max-age=31536000, immutable"),
        (header::ACCEPT_RANGES, "bytes"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    ] {
        if let Ok(value) = value.parse() {
            headers.insert(name, value);
        }
    }
    response
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use swardbook_app::KeptBytes;

    use super::*;

    fn kept(bytes: &[u8]) -> KeptFile {
        let mut file = tempfile::tempfile().expect("a scratch file");
        file.write_all(bytes).expect("written");
        let file = KeptBytes::File(file);
        KeptFile { file, size: bytes.len() as u64, media_type: "image/png" }
    }

    #[test]
    fn a_file_comes_whole_or_in_the_part_asked_for() {
        for (range, status, body) in [
            (None, 200, "0123456789"),
            (Some("bytes=0-3"), 206, "0123"),
            (Some("bytes=7-"), 206, "789"),
            (Some("bytes=-2"), 206, "89"),
            (Some("bytes=4-99"), 206, "456789"),
            (Some("bytes=10-"), 416, ""),
            (Some("bytes=5-2"), 416, ""),
            (Some("lines=1"), 416, ""),
        ] {
            let response = deliver(kept(b"0123456789"), range);
            assert_eq!(response.status().as_u16(), status, "{range:?}");
            assert_eq!(response.body(), body.as_bytes(), "{range:?}");
        }
        let response = deliver(kept(b"0123456789"), Some("bytes=7-"));
        assert_eq!(response.headers()[header::CONTENT_RANGE], "bytes 7-9/10");
        assert_eq!(response.headers()[header::X_CONTENT_TYPE_OPTIONS], "nosniff");
    }

    #[test]
    fn an_empty_file_has_no_range() {
        assert_eq!(deliver(kept(b""), None).status().as_u16(), 200);
        assert_eq!(deliver(kept(b""), Some("bytes=0-")).status().as_u16(), 416);
    }

    #[test]
    fn a_refusal_is_said_in_words() {
        let response = refusal(&Problem::bad("hash", "no hash"));
        assert_eq!(
            (response.status().as_u16(), response.body().as_slice()),
            (400, &b"no hash"[..])
        );
    }
}
