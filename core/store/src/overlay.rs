//! A file seen through a sheet of glass: what is written stays on the glass.
//!
//! Damage is looked for, and what can be read is read, without changing a byte of the file, so that
//! it is still there as it was for whoever looks next.

use std::{
    collections::BTreeMap,
    fs::File,
    io,
    path::Path,
    sync::{Mutex, MutexGuard, PoisonError},
};

use redb::StorageBackend;

/// Pieces in which written bytes are kept.
const BLOCK: usize = 4096;

/// How many times its length a file may be read: a damaged tree can lead in circles.
const READS: u64 = 64;

/// A file and what was written over it.
#[derive(Debug)]
pub(crate) struct Overlay {
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    file: File,
    /// How much of the file still shows.
    base: u64,
    len: u64,
    written: BTreeMap<u64, Box<[u8; BLOCK]>>,
    budget: u64,
}

impl Overlay {
    pub(crate) fn open(path: &Path) -> io::Result<Self> {
        let file = File::open(path)?;
        let len = file.metadata()?.len();
        let budget = len.saturating_add(1 << 20).saturating_mul(READS);
        let written = BTreeMap::new();
        Ok(Self { state: Mutex::new(State { file, base: len, len, written, budget }) })
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // What a panicking reader left is still a file with bytes written over it.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// The bytes of one block as they show now; zeros beyond the end.
    fn block(&mut self, index: u64) -> io::Result<[u8; BLOCK]> {
        if let Some(block) = self.written.get(&index) {
            return Ok(**block);
        }
        let mut block = [0; BLOCK];
        let start = index * BLOCK as u64;
        let shown = usize::try_from(self.base.saturating_sub(start).min(BLOCK as u64))
            .expect("no more than a block");
        read_at(&mut self.file, start, &mut block[..shown])?;
        Ok(block)
    }

    fn check(&mut self, offset: u64, length: usize) -> io::Result<()> {
        if offset.checked_add(length as u64).is_none_or(|end| end > self.len) {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        self.budget = self
            .budget
            .checked_sub(length as u64)
            .ok_or_else(|| io::Error::other("the file leads in circles"))?;
        Ok(())
    }
}

/// For each block that a stretch of bytes touches: its number, where in it, and where in the stretch.
fn blocks(
    offset: u64,
    length: usize,
) -> impl Iterator<Item = (u64, usize, std::ops::Range<usize>)> {
    let mut done = 0;
    std::iter::from_fn(move || {
        if done == length {
            return None;
        }
        let place = offset + done as u64;
        let within = usize::try_from(place % BLOCK as u64).expect("less than a block");
        let end = length.min(done + BLOCK - within);
        let part = done..end;
        done = end;
        Some((place / BLOCK as u64, within, part))
    })
}

fn read_at(file: &mut File, offset: u64, into: &mut [u8]) -> io::Result<()> {
    use std::io::{Read as _, Seek as _};
    file.seek(io::SeekFrom::Start(offset))?;
    file.read_exact(into)
}

impl StorageBackend for Overlay {
    fn len(&self) -> io::Result<u64> {
        Ok(self.state().len)
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let mut state = self.state();
        state.check(offset, out.len())?;
        for (index, within, part) in blocks(offset, out.len()) {
            let block = state.block(index)?;
            let length = part.len();
            out[part].copy_from_slice(&block[within..within + length]);
        }
        Ok(())
    }

    fn set_len(&self, len: u64) -> io::Result<()> {
        let mut state = self.state();
        if len < state.len {
            // What comes back when it grows again is zeros.
            let cut = len / BLOCK as u64;
            let mut block = state.block(cut)?;
            let within = usize::try_from(len % BLOCK as u64).expect("less than a block");
            block[within..].fill(0);
            state.written.split_off(&cut);
            state.written.insert(cut, Box::new(block));
            state.base = state.base.min(len);
        }
        state.len = len;
        Ok(())
    }

    fn sync_data(&self) -> io::Result<()> {
        Ok(())
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        let mut state = self.state();
        state.check(offset, data.len())?;
        for (index, within, part) in blocks(offset, data.len()) {
            let mut block = state.block(index)?;
            let length = part.len();
            block[within..within + length].copy_from_slice(&data[part]);
            state.written.insert(index, Box::new(block));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_shows_and_the_file_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("file");
        let bytes: Vec<u8> = (0..10_000_u32).map(|n| u8::try_from(n % 251).unwrap()).collect();
        std::fs::write(&path, &bytes).unwrap();
        let overlay = Overlay::open(&path).unwrap();
        let mut expected = bytes.clone();
        let read = |expected: &[u8]| {
            let mut out = vec![0; expected.len()];
            overlay.read(0, &mut out).unwrap();
            assert!(out == expected, "the bytes show as written");
        };
        read(&expected);
        overlay.write(4_090, &[9; 20]).unwrap();
        expected[4_090..4_110].fill(9);
        read(&expected);
        overlay.set_len(5_000).unwrap();
        assert!(overlay.read(4_999, &mut [0; 2]).is_err(), "beyond the end");
        overlay.set_len(9_000).unwrap();
        expected.truncate(5_000);
        expected.resize(9_000, 0);
        read(&expected);
        assert_eq!(std::fs::read(&path).unwrap(), bytes, "the file is as it was");
    }
}
