//! An invitation: everything another device needs to find this one and to prove that it was asked.

use std::{
    fmt,
    net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr},
    str::FromStr,
};

use crate::{LinkError, PeerId};

/// An invitation, to be shown as text or as a picture and used once.
#[derive(Clone, PartialEq, Eq)]
pub struct Invitation {
    /// Who invites.
    pub inviter: PeerId,
    /// Where it can be reached.
    pub addresses: Vec<SocketAddr>,
    /// What only the invited knows.
    pub(crate) secret: [u8; 16],
    /// Seconds since 1970 after which it is void, by the inviter's clock.
    pub expires: i64,
}

/// The secret does not go into a log.
impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Invitation")
            .field("inviter", &self.inviter)
            .field("addresses", &self.addresses)
            .field("expires", &self.expires)
            .finish_non_exhaustive()
    }
}

/// The beginning of every invitation, with the version of its form.
const HEADING: &str = "sward1-";
/// Small letters and digits without the look-alikes; it can be read out, and a QR code of it in
/// capitals is small.
const ALPHABET: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";
/// Addresses in one invitation.
const ADDRESSES: usize = 8;

impl fmt::Display for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut bytes = self.inviter.0.to_vec();
        bytes.extend_from_slice(&self.secret);
        bytes.extend_from_slice(&self.expires.to_le_bytes());
        for address in self.addresses.iter().take(ADDRESSES) {
            match address.ip() {
                IpAddr::V4(ip) => {
                    bytes.push(4);
                    bytes.extend_from_slice(&ip.octets());
                }
                IpAddr::V6(ip) => {
                    bytes.push(6);
                    bytes.extend_from_slice(&ip.octets());
                }
            }
            bytes.extend_from_slice(&address.port().to_le_bytes());
        }
        // Four bytes that show a letter copied wrongly.
        let check = blake3::hash(&bytes);
        bytes.extend_from_slice(&check.as_bytes()[..4]);
        f.write_str(HEADING)?;
        f.write_str(&letters(&bytes))
    }
}

impl FromStr for Invitation {
    type Err = LinkError;

    fn from_str(text: &str) -> Result<Self, LinkError> {
        // Mail and chat break long lines and people add spaces.
        let text: String = text.chars().filter(|c| !c.is_whitespace()).collect();
        let text = text.to_ascii_lowercase();
        let letters = text.strip_prefix(HEADING).ok_or(LinkError::NotAnInvitation)?;
        let bytes = read_letters(letters).ok_or(LinkError::NotAnInvitation)?;
        let (content, check) = bytes
            .len()
            .checked_sub(4)
            .map(|end| bytes.split_at(end))
            .ok_or(LinkError::NotAnInvitation)?;
        if blake3::hash(content).as_bytes()[..4] != *check {
            return Err(LinkError::NotAnInvitation);
        }
        read_content(content).ok_or(LinkError::NotAnInvitation)
    }
}

fn read_content(mut bytes: &[u8]) -> Option<Invitation> {
    let inviter = PeerId(take(&mut bytes)?);
    let secret = take(&mut bytes)?;
    let expires = i64::from_le_bytes(take(&mut bytes)?);
    let mut addresses = Vec::new();
    while !bytes.is_empty() {
        let ip = match take::<1>(&mut bytes)? {
            [4] => IpAddr::V4(Ipv4Addr::from(take::<4>(&mut bytes)?)),
            [6] => IpAddr::V6(Ipv6Addr::from(take::<16>(&mut bytes)?)),
            _ => return None,
        };
        addresses.push(SocketAddr::new(ip, u16::from_le_bytes(take(&mut bytes)?)));
    }
    (addresses.len() <= ADDRESSES).then_some(Invitation { inviter, addresses, secret, expires })
}

fn take<const N: usize>(bytes: &mut &[u8]) -> Option<[u8; N]> {
    let (taken, rest) = bytes.split_first_chunk()?;
    *bytes = rest;
    Some(*taken)
}

fn letters(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 8 / 5 + 1);
    let (mut bits, mut count) = (0_u32, 0_u32);
    for byte in bytes {
        bits = bits << 8 | u32::from(*byte);
        count += 8;
        while count >= 5 {
            count -= 5;
            text.push(letter(bits >> count));
        }
        bits &= (1 << count) - 1;
    }
    if count > 0 {
        text.push(letter(bits << (5 - count)));
    }
    text
}

fn letter(bits: u32) -> char {
    char::from(ALPHABET[usize::try_from(bits & 31).expect("five bits")])
}

fn read_letters(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::with_capacity(text.len() * 5 / 8);
    let (mut bits, mut count) = (0_u32, 0_u32);
    for letter in text.bytes() {
        let value = ALPHABET.iter().position(|known| *known == letter)?;
        bits = bits << 5 | u32::try_from(value).ok()?;
        count += 5;
        if count >= 8 {
            count -= 8;
            bytes.push(u8::try_from(bits >> count & 0xff).ok()?);
            bits &= (1 << count) - 1;
        }
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one() -> Invitation {
        Invitation {
            inviter: PeerId([7; 32]),
            addresses: vec![
                "192.168.4.20:41234".parse().unwrap(),
                "[fd00::12]:41234".parse().unwrap(),
            ],
            secret: [9; 16],
            expires: 1_795_000_000,
        }
    }

    #[test]
    fn it_round_trips_as_text_in_capitals_and_with_line_breaks() {
        let text = one().to_string();
        assert_eq!(text.parse::<Invitation>().unwrap(), one(), "decode(encode(x)) = x");
        assert_eq!(text.to_uppercase().parse::<Invitation>().unwrap(), one(), "capitals");
        let broken: String = text
            .chars()
            .enumerate()
            .flat_map(|(i, c)| [Some(c), (i % 20 == 0).then_some('\n')])
            .flatten()
            .collect();
        assert_eq!(broken.parse::<Invitation>().unwrap(), one(), "broken lines");
    }

    #[test]
    fn a_letter_copied_wrongly_is_found() {
        let text = one().to_string();
        for place in 0..text.len() {
            let mut letters = text.clone().into_bytes();
            letters[place] = if letters[place] == b'7' { b'8' } else { b'7' };
            let altered = String::from_utf8(letters).unwrap();
            // The last letter carries fewer than five bits.
            if place + 1 < text.len() {
                assert!(altered.parse::<Invitation>().is_err(), "letter {place}");
            }
        }
        assert!("".parse::<Invitation>().is_err() && "sward1-".parse::<Invitation>().is_err());
    }

    #[test]
    fn the_secret_is_not_shown_by_accident() {
        assert!(!format!("{:?}", one()).contains("[9, 9"), "not in a log");
    }
}
