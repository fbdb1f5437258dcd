//! Pasted tables of two to five columns: analyte and value, with unit, method and sample as given.

use super::{
    open::{Sheets, decode_bytes},
    problem::PanelFileError,
};

/// Takes pasted text as a sheet; cells are parted by tabs, semicolons, bars, commas or two spaces.
///
/// A line of a printed report has single spaces only ("pH 6.1", "P 12 mg/kg"): it is parted before
/// and behind its number.
///
/// # Errors
/// [`PanelFileError`], naming "the pasted text".
pub fn paste(text: &str) -> Result<Sheets, PanelFileError> {
    let name = "the pasted text";
    let sheets = decode_bytes(text.as_bytes(), name)?;
    let is_one_column = sheets.grids.iter().all(|grid| grid.width() < 2);
    if !is_one_column {
        return Ok(sheets);
    }
    let parted: Vec<String> = text.lines().map(part_at_number).collect();
    decode_bytes(parted.join("\n").as_bytes(), name)
}

/// Puts tabs around the last number of a line that stands as a word by itself.
fn part_at_number(line: &str) -> String {
    let words: Vec<&str> = line.split_whitespace().collect();
    let is_number = |word: &&str| {
        let bare = word.trim_start_matches(['<', '>', '\u{2264}', '\u{2265}', '=']);
        bare.starts_with(|c: char| c.is_ascii_digit())
            && bare.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
    };
    match words.iter().rposition(is_number) {
        Some(at) if at > 0 => {
            // A sign that stands apart from its number goes with it.
            let first = if matches!(words[at - 1], "<" | ">") && at > 1 { at - 1 } else { at };
            let name = words[..first].join(" ").trim_end_matches([':', '=', ' ']).to_owned();
            let cells = [name, words[first..=at].join(" "), words[at + 1..].join(" ")];
            cells.join("\t").trim_end().to_owned()
        }
        _ => line.trim().to_owned(),
    }
}
