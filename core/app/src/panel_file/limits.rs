//! How large a panel file may be, so that a wrong file is refused before it fills the memory.

use super::{grid::Grid, problem::PanelFileError};

/// Most bytes of a file that are read: 64 MiB.
///
/// A panel of a hundred thousand samples with forty readings each is about 30 MB of text.
pub const MOST_BYTES: u64 = 64 << 20;
/// Most rows of one sheet.
pub const MOST_ROWS: usize = 250_000;
/// Most columns of one sheet.
pub const MOST_COLUMNS: usize = 4_096;
/// Most cells of one sheet, empty ones between included.
pub const MOST_CELLS: usize = 8_000_000;

/// Refuses a length before anything is read.
pub(super) fn check_length(file: &str, length: u64) -> Result<(), PanelFileError> {
    if length > MOST_BYTES {
        return Err(PanelFileError::TooLarge {
            file: file.to_owned(),
            megabytes: length.div_ceil(1_000_000),
            limit: MOST_BYTES / 1_000_000,
        });
    }
    Ok(())
}

/// Refuses a grid that has grown too large.
pub(super) fn check_grid(file: &str, grid: &Grid) -> Result<(), PanelFileError> {
    let over = [
        ("rows", grid.height(), MOST_ROWS),
        ("columns", grid.width(), MOST_COLUMNS),
        ("cells", grid.cells(), MOST_CELLS),
    ];
    match over.into_iter().find(|(_, count, limit)| count > limit) {
        Some((what, _, limit)) => Err(PanelFileError::TooMany {
            file: file.to_owned(),
            sheet: grid
                .name()
                .map_or_else(|| "the table".to_owned(), |name| format!("sheet {name}")),
            what,
            limit,
        }),
        None => Ok(()),
    }
}
