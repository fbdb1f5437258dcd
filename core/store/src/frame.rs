//! Every stored value carries a short checksum over itself and its place.
//!
//! The checksum covers the table and the key as well, so that a value that turns up in the wrong
//! place is as wrong as a flipped one.

/// Length of the checksum in front of a value.
pub(crate) const CHECK_LEN: usize = 8;

/// A value that is not what was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Altered;

/// The whole digest of a value in its place.
pub(crate) fn digest(table: &str, key: &[u8], payload: &[u8]) -> blake3::Hash {
    let mut hasher = blake3::Hasher::new();
    for part in [table.as_bytes(), key] {
        hasher.update(&(part.len() as u64).to_le_bytes()).update(part);
    }
    hasher.update(payload).finalize()
}

/// The stored form of `payload`.
pub(crate) fn seal(table: &str, key: &[u8], payload: &[u8]) -> Vec<u8> {
    let mut stored = Vec::with_capacity(CHECK_LEN + payload.len());
    stored.extend_from_slice(&digest(table, key, payload).as_bytes()[..CHECK_LEN]);
    stored.extend_from_slice(payload);
    stored
}

/// The payload of a stored value.
///
/// # Errors
/// [`Altered`] when it is not the one that was sealed for this place.
pub(crate) fn open<'a>(table: &str, key: &[u8], stored: &'a [u8]) -> Result<&'a [u8], Altered> {
    let (check, payload) = stored.split_at_checked(CHECK_LEN).ok_or(Altered)?;
    if &digest(table, key, payload).as_bytes()[..CHECK_LEN] != check {
        return Err(Altered);
    }
    Ok(payload)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_flipped_bit_and_any_cut_is_seen() {
        let stored = seal("tail", b"key", b"a change");
        assert_eq!(open("tail", b"key", &stored), Ok(b"a change".as_slice()), "round trip");
        for place in 0..stored.len() * 8 {
            let mut flipped = stored.clone();
            flipped[place / 8] ^= 1 << (place % 8);
            assert_eq!(open("tail", b"key", &flipped), Err(Altered), "bit {place}");
        }
        for length in 0..stored.len() {
            assert_eq!(open("tail", b"key", &stored[..length]), Err(Altered), "length {length}");
        }
    }

    #[test]
    fn a_value_in_the_wrong_place_is_seen() {
        let stored = seal("tail", b"key", b"a change");
        assert_eq!(open("snapshot", b"key", &stored), Err(Altered), "another table");
        assert_eq!(open("tail", b"kez", &stored), Err(Altered), "another key");
    }
}
