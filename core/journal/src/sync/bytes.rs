//! Numbers and byte strings as they stand in frames; nothing is believed, nothing allocated unseen.

/// Bytes from elsewhere that are not what they should be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the other device sent something that cannot be read: {0}")]
pub struct Malformed(pub &'static str);

/// Writes fields one after the other.
#[derive(Debug, Default)]
pub(super) struct Writer(pub(super) Vec<u8>);

impl Writer {
    pub(super) fn number(&mut self, mut number: u64) {
        while number >= 0x80 {
            self.0.push(0x80 | low_byte(number & 0x7f));
            number >>= 7;
        }
        self.0.push(low_byte(number));
    }

    pub(super) fn count(&mut self, count: usize) {
        self.number(count as u64);
    }

    pub(super) fn fixed(&mut self, bytes: &[u8]) {
        self.0.extend_from_slice(bytes);
    }

    pub(super) fn string(&mut self, bytes: &[u8]) {
        self.count(bytes.len());
        self.fixed(bytes);
    }
}

fn low_byte(number: u64) -> u8 {
    u8::try_from(number & 0xff).expect("eight bits fit a byte")
}

/// Takes fields from the front.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reader<'a>(pub(super) &'a [u8]);

impl<'a> Reader<'a> {
    pub(super) fn number(&mut self) -> Result<u64, Malformed> {
        let mut number = 0_u64;
        for place in 0..10 {
            let byte = u64::from(self.byte()?);
            // The tenth byte holds the one bit that is left of 64.
            if place == 9 && byte > 1 {
                return Err(Malformed("a number is too large"));
            }
            number |= (byte & 0x7f) << (7 * place);
            if byte < 0x80 {
                return Ok(number);
            }
        }
        Err(Malformed("a number does not end"))
    }

    /// How many things follow, each of at least `least` bytes: more than there is room for is
    /// refused before anything is made for them.
    pub(super) fn count(&mut self, least: usize) -> Result<usize, Malformed> {
        let count =
            usize::try_from(self.number()?).map_err(|_| Malformed("a count is too large"))?;
        if count.checked_mul(least.max(1)).is_none_or(|room| room > self.0.len()) {
            return Err(Malformed("a count is larger than what follows"));
        }
        Ok(count)
    }

    pub(super) fn byte(&mut self) -> Result<u8, Malformed> {
        Ok(self.fixed::<1>()?[0])
    }

    pub(super) fn fixed<const N: usize>(&mut self) -> Result<[u8; N], Malformed> {
        let (bytes, rest) = self.0.split_first_chunk().ok_or(Malformed("it ends too early"))?;
        self.0 = rest;
        Ok(*bytes)
    }

    pub(super) fn string(&mut self) -> Result<&'a [u8], Malformed> {
        let length = self.count(1)?;
        let (bytes, rest) = self.0.split_at(length);
        self.0 = rest;
        Ok(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_round_trip() {
        for number in [0, 1, 127, 128, 300, u64::from(u32::MAX), u64::MAX - 1, u64::MAX] {
            let mut writer = Writer::default();
            writer.number(number);
            assert_eq!(Reader(&writer.0).number(), Ok(number), "{number}");
        }
    }

    #[test]
    fn what_is_too_large_is_refused_before_room_is_made_for_it() {
        let mut writer = Writer::default();
        writer.number(u64::MAX);
        assert!(Reader(&writer.0).count(1).is_err(), "a count beyond the bytes");
        assert!(Reader(&[0xff; 11]).number().is_err(), "a number without end");
        assert!(Reader(&[5, 1]).string().is_err(), "a string that ends too early");
    }
}
