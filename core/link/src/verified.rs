//! Files in pieces that can each be checked against the file's name.
//!
//! A file's name is the blake3 hash of its bytes, which is the root of a tree over its parts. Each
//! piece is sent with the hashes that lead from it to the root, so that a wrong byte is found in the
//! piece it came in, and a file can be taken up again anywhere.

use std::{
    fs::File,
    io::{self, BufReader, Write as _},
    path::Path,
};

use bao_tree::{
    BaoTree, BlockSize, ByteRanges, ChunkRanges,
    io::{
        BaoContentItem,
        outboard::PostOrderOutboard,
        round_up_to_chunks,
        sync::{DecodeResponseIter, encode_ranges, outboard_post_order},
    },
};

use crate::LinkError;

/// Bytes in one piece.
pub(crate) const PIECE: u64 = 256 << 10;
/// The longest encoded piece: its bytes and fewer than 64 pairs of hashes for each part of 16 KiB.
pub(crate) const MAX_ENCODED: usize = (512 << 10) + 8;
/// Parts of 16 KiB.
const BLOCK: BlockSize = BlockSize::from_chunk_log(4);
const BLOCK_BYTES: u64 = 16 << 10;

/// A file that is being sent.
#[derive(Debug)]
pub(crate) struct Source {
    file: File,
    hashes: PostOrderOutboard<Vec<u8>>,
    size: u64,
}

impl Source {
    /// Reads the file through once, for its hashes.
    ///
    /// # Errors
    /// [`LinkError::WrongBytes`] when it is not what its name says: it is damaged here.
    pub(crate) fn open(path: &Path, name: [u8; 32]) -> Result<Self, LinkError> {
        let file = File::open(path).map_err(LinkError::File)?;
        let size = file.metadata().map_err(LinkError::File)?.len();
        let tree = BaoTree::new(size, BLOCK);
        let mut data = Vec::new();
        let reader = BufReader::with_capacity(256 << 10, &file);
        let root = outboard_post_order(reader, tree, &mut data).map_err(LinkError::File)?;
        if root.as_bytes() != &name {
            return Err(LinkError::WrongBytes);
        }
        Ok(Self { file, hashes: PostOrderOutboard { root, tree, data }, size })
    }

    pub(crate) const fn size(&self) -> u64 {
        self.size
    }

    /// The piece that begins at an offset, with its hashes.
    ///
    /// The file was looked at when it was opened; whoever takes the piece checks it again.
    pub(crate) fn piece(&self, from: u64) -> Result<Vec<u8>, LinkError> {
        let mut encoded = Vec::new();
        encode_ranges(&self.file, &self.hashes, &piece_at(from), &mut encoded)
            .map_err(|_| LinkError::WrongBytes)?;
        Ok(encoded)
    }
}

/// A file that is arriving.
#[derive(Debug)]
pub(crate) struct Sink {
    file: File,
    root: blake3::Hash,
    tree: BaoTree,
    /// Bytes that are there, from the beginning on.
    have: u64,
    /// Every byte that is there was checked as it came.
    is_checked: bool,
}

impl Sink {
    /// Where a beginning of so many bytes is taken up: one whole part before its end, so that at
    /// least one piece is fetched, which shows that the size is the one the name stands for.
    pub(crate) const fn resumes_at(length: u64) -> u64 {
        length.saturating_sub(1) / BLOCK_BYTES * BLOCK_BYTES
    }

    /// Takes up a file at an offset up to which it is there.
    pub(crate) fn open(
        path: &Path,
        name: [u8; 32],
        size: u64,
        have: u64,
    ) -> Result<Self, LinkError> {
        let file = File::options()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(path)
            .map_err(LinkError::File)?;
        file.set_len(have).map_err(LinkError::File)?;
        let tree = BaoTree::new(size, BLOCK);
        // What is there from before was checked then, and may have changed on the disk since.
        Ok(Self { file, root: blake3::Hash::from_bytes(name), tree, have, is_checked: have == 0 })
    }

    /// The file, when every byte of it was checked as it came; otherwise it is to be read through.
    pub(crate) fn into_checked(self) -> Option<File> {
        self.is_checked.then_some(self.file)
    }

    pub(crate) const fn have(&self) -> u64 {
        self.have
    }

    /// Checks the next piece and writes it.
    ///
    /// # Errors
    /// [`LinkError::WrongBytes`] when a byte of it is wrong; nothing of it is kept then.
    pub(crate) fn take(&mut self, encoded: &[u8]) -> Result<(), LinkError> {
        let ranges = piece_at(self.have);
        let mut checked = Vec::with_capacity(encoded.len());
        for item in DecodeResponseIter::new(self.root, self.tree, encoded, &ranges) {
            if let BaoContentItem::Leaf(leaf) = item.map_err(|_| LinkError::WrongBytes)? {
                checked.extend_from_slice(&leaf.data);
            }
        }
        if checked.is_empty() && self.tree.size() > 0 {
            return Err(LinkError::WrongBytes);
        }
        let end = io::Seek::seek(&mut self.file, io::SeekFrom::Start(self.have));
        end.and_then(|_| self.file.write_all(&checked)).map_err(LinkError::File)?;
        self.have += checked.len() as u64;
        Ok(())
    }
}

fn piece_at(from: u64) -> ChunkRanges {
    round_up_to_chunks(&ByteRanges::from(from..from + PIECE))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bytes(length: usize) -> Vec<u8> {
        (0..length).map(|i| u8::try_from((i * 31 + i / 251) % 251).unwrap()).collect()
    }

    fn carried(length: usize, stop_after: Option<usize>) -> Vec<u8> {
        let folder = tempfile::tempdir().unwrap();
        let (from, to) = (folder.path().join("from"), folder.path().join("to"));
        let content = bytes(length);
        std::fs::write(&from, &content).unwrap();
        let name = *blake3::hash(&content).as_bytes();
        let source = Source::open(&from, name).unwrap();
        let mut sink = Sink::open(&to, name, source.size(), 0).unwrap();
        let mut pieces = 0;
        loop {
            sink.take(&source.piece(sink.have()).unwrap()).unwrap();
            pieces += 1;
            if stop_after == Some(pieces) {
                drop(sink);
                let there = std::fs::metadata(&to).unwrap().len();
                let from = Sink::resumes_at(there);
                assert!(from + BLOCK_BYTES >= there, "at most one part is fetched again");
                sink = Sink::open(&to, name, source.size(), from).unwrap();
            }
            if sink.have() == source.size() {
                break;
            }
        }
        let is_taken_up = stop_after.is_some_and(|stop| stop <= pieces);
        assert_eq!(sink.into_checked().is_none(), is_taken_up, "what was there is read again");
        std::fs::read(&to).unwrap()
    }

    #[test]
    fn files_of_every_length_arrive_whole() {
        let around = [0, 1, 1023, 1024, 16_384, 16_385, 262_143, 262_144, 262_145, 1_000_003];
        for length in around {
            assert_eq!(carried(length, None), bytes(length), "{length} bytes");
        }
    }

    #[test]
    fn a_file_is_taken_up_where_it_was_left() {
        for stop in 1..=3 {
            assert_eq!(carried(1_000_003, Some(stop)), bytes(1_000_003), "after piece {stop}");
        }
    }

    #[test]
    fn a_wrong_byte_is_found_in_the_piece_it_came_in() {
        let folder = tempfile::tempdir().unwrap();
        let (from, to) = (folder.path().join("from"), folder.path().join("to"));
        let content = bytes(700_000);
        std::fs::write(&from, &content).unwrap();
        let name = *blake3::hash(&content).as_bytes();
        let source = Source::open(&from, name).unwrap();
        let mut sink = Sink::open(&to, name, 700_000, 0).unwrap();
        sink.take(&source.piece(0).unwrap()).unwrap();
        let mut second = source.piece(sink.have()).unwrap();
        let middle = second.len() / 2;
        second[middle] ^= 1;
        let before = sink.have();
        assert!(matches!(sink.take(&second), Err(LinkError::WrongBytes)), "refused");
        assert_eq!(sink.have(), before, "and not kept");
        for size in [699_999, 699_000, 400_000, 800_000] {
            let mut sink = Sink::open(&to, name, size, 0).unwrap();
            let all = (0..3).try_for_each(|n| sink.take(&source.piece(n * PIECE)?));
            assert!(all.is_err(), "another size than the true one is found out: {size}");
        }
    }

    #[test]
    fn a_file_that_went_bad_on_the_disk_is_not_sent() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("from");
        std::fs::write(&path, bytes(50_000)).unwrap();
        let opened = Source::open(&path, [1; 32]);
        assert!(matches!(opened, Err(LinkError::WrongBytes)), "it is not what its name says");
    }
}
