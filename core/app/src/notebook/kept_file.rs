//! Files kept beside the records, opened to be shown.

use std::{
    fs::File,
    io::{Cursor, Read, Seek, SeekFrom},
};

use swardbook_store::BlobHash;

use super::Notebook;
use crate::{Code, Problem};

/// Bytes to be read: a file, or a picture that was worked out and could not be remembered.
#[derive(Debug)]
pub enum KeptBytes {
    /// On the disk.
    File(File),
    /// In memory.
    Made(Cursor<Vec<u8>>),
}

impl Read for KeptBytes {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        match self {
            Self::File(file) => file.read(buffer),
            Self::Made(bytes) => bytes.read(buffer),
        }
    }
}

impl Seek for KeptBytes {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        match self {
            Self::File(file) => file.seek(to),
            Self::Made(bytes) => bytes.seek(to),
        }
    }
}

/// A kept file, opened at its beginning.
#[derive(Debug)]
pub struct KeptFile {
    /// The bytes.
    pub file: KeptBytes,
    /// How many there are.
    pub size: u64,
    /// What they are, told by how they begin and never by a name; anything that is not a picture or
    /// a document to be shown is plain bytes.
    pub media_type: &'static str,
}

impl Notebook {
    /// Opens a kept file by its hash, as 64 lower-case hexadecimal digits, or a picture made from
    /// it by `HASH/NAME`, such as `HASH/256`.
    ///
    /// # Errors
    /// [`Problem`] when it is no hash, when the file has not arrived here, or cannot be read.
    pub fn kept_file(&self, hash: &str) -> Result<KeptFile, Problem> {
        if let Some((hash, name)) = hash.split_once('/') {
            let bytes = self.small_picture(hash, name)?;
            let size = bytes.len() as u64;
            let file = KeptBytes::Made(Cursor::new(bytes));
            return Ok(KeptFile { file, size, media_type: "image/jpeg" });
        }
        let hash: BlobHash = hash
            .parse()
            .map_err(|_| Problem::bad("hash", format!("\"{hash}\" names no kept file")))?;
        let mut file = self.store.open_blob(hash)?;
        let broken = |e: std::io::Error| {
            Problem::new(Code::Storage, format!("a kept file is unreadable: {e}"))
        };
        let mut start = Vec::new();
        (&mut file).take(16).read_to_end(&mut start).map_err(broken)?;
        file.seek(SeekFrom::Start(0)).map_err(broken)?;
        let size = file.metadata().map_err(broken)?.len();
        Ok(KeptFile { file: KeptBytes::File(file), size, media_type: media_type(&start) })
    }
}

fn media_type(start: &[u8]) -> &'static str {
    match start {
        [0xff, 0xd8, 0xff, ..] => "image/jpeg",
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => "image/png",
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => "image/webp",
        [b'%', b'P', b'D', b'F', b'-', ..] => "application/pdf",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FixedSurroundings;

    #[test]
    fn a_kept_file_is_told_by_its_bytes() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let day = chrono::NaiveDate::from_ymd_opt(2026, 9, 14).expect("a day");
        let surroundings = Box::new(FixedSurroundings::new(day, 1));
        let mut notebook = Notebook::create(&folder.path().join("n"), surroundings).expect("made");
        let mut add = |bytes: &[u8]| {
            let added = notebook.store.add_blob(&mut &*bytes, 1_000).expect("kept");
            notebook.kept_file(&added.hash.to_string()).expect("opened")
        };
        let mut picture = add(b"\x89PNG\r\n\x1a\nrest");
        let mut bytes = Vec::new();
        picture.file.read_to_end(&mut bytes).expect("read");
        assert_eq!(bytes, b"\x89PNG\r\n\x1a\nrest", "from the beginning");
        assert_eq!((picture.media_type, picture.size), ("image/png", 12));
        // A page with a script in it must not be shown as one.
        assert_eq!(add(b"<html><script>").media_type, "application/octet-stream");
        assert_eq!(add(b"").media_type, "application/octet-stream");

        let refused = |hash: &str| notebook.kept_file(hash).expect_err("refused").code;
        assert_eq!(refused("../device.toml"), Code::BadInput);
        assert_eq!(refused(&"0".repeat(64)), Code::Storage);
    }
}
