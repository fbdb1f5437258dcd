//! Text that a person types or pipes in, or keeps in a file.

use std::{io::Read, path::Path};

use serde_json::Value as Json;
use swardbook_app::Problem;

/// More than anybody types; a file over it is not what was meant.
const MOST_BYTES: u64 = 16 << 20;

/// The text of a file; `-` is standard input.
///
/// # Errors
/// [`Problem`] naming the field, when it cannot be read or is no text.
pub(crate) fn text(path: &Path, field: &str) -> Result<String, Problem> {
    let failed = |error: std::io::Error| {
        Problem::bad(field, format!("{} cannot be read: {error}", path.display()))
    };
    let mut bytes = Vec::new();
    if path.as_os_str() == "-" {
        std::io::stdin().lock().take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    } else {
        let file = std::fs::File::open(path).map_err(failed)?;
        file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    }
    if u64::try_from(bytes.len()).is_ok_and(|len| len > MOST_BYTES) {
        let message = format!(
            "{} is larger than {} MB; choose a smaller one",
            path.display(),
            MOST_BYTES >> 20
        );
        return Err(Problem::bad(field, message));
    }
    String::from_utf8(bytes).map_err(|_| {
        Problem::bad(field, format!("{} is no UTF-8 text; save it as UTF-8", path.display()))
    })
}

/// The JSON of a file; `-` is standard input.
///
/// # Errors
/// [`Problem`] naming the field.
pub(crate) fn json(path: &Path, field: &str) -> Result<Json, Problem> {
    serde_json::from_str(&text(path, field)?)
        .map_err(|e| Problem::bad(field, format!("the {field} is not a JSON object: {e}")))
}
