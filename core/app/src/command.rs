//! The one list of what a shell can ask: every command with its request and its answer.
//!
//! The window calls it by name with JSON; the command line calls it the same way, so that neither
//! can do what the other cannot.

mod list;
mod types;
mod watched;

use serde::{Deserialize, de::DeserializeOwned};
use serde_json::Value as Json;
use ts_rs::TS;

pub use list::{call_watched, commands};
pub use types::type_declarations;
pub use watched::call;
pub(crate) use watched::call_linked;

use crate::{Code, Problem};

/// A request without parameters.
#[derive(Debug, Clone, Copy, Default, Deserialize, TS)]
pub struct Nothing {}

/// A command's name and whether it writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CommandInfo {
    /// Name.
    pub name: &'static str,
    /// Whether the notebook must be open for writing.
    pub writes: bool,
}

fn request<T: DeserializeOwned>(command: &str, given: Json) -> Result<T, Problem> {
    let given = if given.is_null() { Json::Object(serde_json::Map::new()) } else { given };
    serde_json::from_value(given).map_err(|error| {
        let text = error.to_string();
        // Serde names the field between backticks.
        let field = text.split('`').nth(1).map(str::to_owned);
        let code =
            if text.starts_with("missing field") { Code::MissingInput } else { Code::BadInput };
        Problem { code, message: format!("{command}: {text}"), field }
    })
}
