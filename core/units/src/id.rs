//! Names of records: random, so that two devices never give out the same one.

use std::{fmt, str::FromStr};

/// A record's or document's name: 80 random bits, written as 16 letters and digits.
///
/// Nothing reads time or authorship out of an id.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id([u8; 10]);

/// Lower case, without the look-alikes i, l, o and u, so that an id can be read out over a fence.
const ALPHABET: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

impl Id {
    /// Makes an id of random bytes that the caller drew.
    #[must_use]
    pub const fn from_random(bytes: [u8; 10]) -> Self {
        Self(bytes)
    }

    /// The bytes behind the letters.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; 10] {
        &self.0
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for five in self.0.chunks_exact(5) {
            let bits = five.iter().fold(0_u64, |all, byte| (all << 8) | u64::from(*byte));
            for place in (0..8).rev() {
                let index = usize::try_from((bits >> (place * 5)) & 31).expect("five bits");
                write!(f, "{}", char::from(ALPHABET[index]))?;
            }
        }
        Ok(())
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Id({self})")
    }
}

impl FromStr for Id {
    type Err = IdError;

    fn from_str(text: &str) -> Result<Self, IdError> {
        let wrong = || IdError(text.to_owned());
        if text.len() != 16 {
            return Err(wrong());
        }
        let mut bytes = [0; 10];
        for (letters, five) in text.as_bytes().chunks_exact(8).zip(bytes.chunks_exact_mut(5)) {
            let mut bits = 0_u64;
            for letter in letters {
                let value = ALPHABET
                    .iter()
                    .position(|a| a == &letter.to_ascii_lowercase())
                    .ok_or_else(wrong)?;
                bits = (bits << 5) | u64::try_from(value).expect("below 32");
            }
            five.copy_from_slice(&bits.to_be_bytes()[3..]);
        }
        Ok(Self(bytes))
    }
}

/// A text that is not an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not a record's name; it has 16 letters and digits")]
pub struct IdError(pub String);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_form_round_trips() {
        for seed in 0..=255_u8 {
            let id = Id::from_random(std::array::from_fn(|i| {
                seed.wrapping_mul(31).wrapping_add(u8::try_from(i).unwrap().wrapping_mul(73))
            }));
            let text = id.to_string();
            assert_eq!(text.len(), 16, "fixed length");
            assert_eq!(text.parse::<Id>(), Ok(id), "decode(encode(x)) = x");
        }
    }

    #[test]
    fn a_wrong_letter_is_refused() {
        assert!("il0000000000000o".parse::<Id>().is_err(), "look-alikes are not in the alphabet");
        assert!("abc".parse::<Id>().is_err(), "too short");
    }
}
