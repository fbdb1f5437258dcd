//! Photos that the web view's own camera took: they have no path, so they come in pieces of text and
//! are put together in a file, which is then taken in as any other.
//!
//! Raw bytes cannot cross to a command on every phone.

use std::{
    fs::{self, OpenOptions},
    io::{self, Seek, Write},
    path::{Path, PathBuf},
};

use data_encoding::BASE64;
use swardbook_app::{Code, Problem};

/// More than a phone's photo has, bytes.
const MOST: u64 = 128 << 20;

/// Adds a piece to the photo of that number, which begins anew at 0, and returns where it lies.
///
/// # Errors
/// [`Problem`] when a piece is missing before it, when it is no base64, or when the disk refuses.
pub(crate) fn add(folder: &Path, number: u32, from: u64, piece: &str) -> Result<PathBuf, Problem> {
    let broken = |why: &str| {
        Problem::new(
            Code::BadFile,
            format!("the photo did not arrive whole ({why}); take it again"),
        )
    };
    let bytes = BASE64.decode(piece.as_bytes()).map_err(|_| broken("a piece cannot be read"))?;
    if from + bytes.len() as u64 > MOST {
        return Err(Problem::new(
            Code::BadFile,
            format!("the photo has more than {} MB; choose a smaller size", MOST >> 20),
        ));
    }
    let path = folder.join(format!("taken-{number}.jpg"));
    let refused = |error: io::Error| {
        Problem::new(Code::Storage, format!("the photo cannot be put aside: {error}"))
    };
    fs::create_dir_all(folder).map_err(refused)?;
    let mut file = OpenOptions::new()
        .create(true)
        .write(true)
        .truncate(from == 0)
        .open(&path)
        .map_err(refused)?;
    if file.seek(io::SeekFrom::End(0)).map_err(refused)? != from {
        return Err(broken("a piece is missing"));
    }
    file.write_all(&bytes).map_err(refused)?;
    Ok(path)
}

/// Deletes what was put aside before: what was taken in is kept in the notebook.
pub(crate) fn clear(folder: &Path) {
    // There mostly is none, and one that stays costs room and nothing else.
    let _none_there = fs::remove_dir_all(folder);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_photo_in_pieces_is_put_together_and_a_missing_piece_is_told() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("taken");
        let photo: Vec<u8> = (0..=255).cycle().take(1000).collect();
        let piece = |from: usize, to: usize| BASE64.encode(&photo[from..to]);
        add(&folder, 4, 0, &piece(0, 600)).expect("the first piece");
        let gap = add(&folder, 4, 700, &piece(700, 1000)).expect_err("a hundred bytes are missing");
        assert_eq!(gap.code, Code::BadFile, "{gap}");
        let path = add(&folder, 4, 600, &piece(600, 1000)).expect("the rest");
        assert_eq!(fs::read(&path).expect("it is there"), photo);
        // The same number begins anew.
        let path = add(&folder, 4, 0, &piece(0, 3)).expect("another photo");
        assert_eq!(fs::read(path).expect("it is there"), photo[..3]);
        assert!(add(&folder, 4, 3, "no base64!").is_err());
        assert!(add(&folder, 4, MOST, &piece(0, 3)).is_err(), "more than any photo has");
        clear(&folder);
        assert!(!folder.exists());
    }
}
