//! Two devices that have never met come to trust each other.
//!
//! The guest knows the invitation's secret. Both prove that they do, each bound to this very
//! encrypted connection and to both keys, so that nobody in between can pass a proof on. One wrong
//! try ends the invitation. Then both show the same four words; only after both people have said
//! that they match does either device trust the other.

use iroh::endpoint::{Connection, RecvStream, SendStream};
use swardbook_journal::records::DeviceRole;

use crate::{LinkError, PeerId, check_words, framing};

/// The longest frame of a pairing.
const MAX: usize = 1_024;
/// The longest name that is shown.
const NAME: usize = 64;

/// How a device presents itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Introduction {
    /// What it is called.
    pub name: String,
    /// What it is for.
    pub role: DeviceRole,
}

/// Which notebook a device holds, as it tells another at a pairing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Holds {
    /// What tells the notebook from any other; empty when it was never shared.
    pub(crate) origin: String,
    /// Whether anything was recorded in it.
    pub(crate) records: bool,
    /// Some of its documents; copies of one notebook have some in common.
    pub(crate) documents: Vec<String>,
}

/// So many documents are told.
const DOCUMENTS: usize = 16;

impl Holds {
    /// Two notebooks with records of their own are not mixed.
    pub(crate) fn fits(&self, other: &Self) -> bool {
        let same = (!self.origin.is_empty() && self.origin == other.origin)
            || self.documents.iter().any(|document| other.documents.contains(document));
        same || !self.records || !other.records
    }

    fn encode(&self) -> String {
        let records = if self.records { "1" } else { "0" };
        let documents: Vec<&str> =
            self.documents.iter().take(DOCUMENTS).map(String::as_str).collect();
        format!("{SEPARATOR}{records}{SEPARATOR}{}{SEPARATOR}{}", self.origin, documents.join(","))
    }

    fn decode(text: &str) -> Self {
        let mut parts = text.split(SEPARATOR).skip(1);
        let records = parts.next() == Some("1");
        let origin = parts.next().unwrap_or_default();
        let origin = origin.chars().filter(char::is_ascii_alphanumeric).take(NAME).collect();
        let documents = parts.next().unwrap_or_default().split(',').take(DOCUMENTS);
        let documents = documents.filter(|one| !one.is_empty()).map(str::to_owned).collect();
        Self { origin, records, documents }
    }
}

/// Unit separator: cannot be in a name.
const SEPARATOR: char = '\u{1f}';

impl Introduction {
    fn encode(&self, holds: &Holds) -> Vec<u8> {
        let role = self.role.word();
        let mut bytes = vec![u8::try_from(role.len()).unwrap_or(0)];
        bytes.extend_from_slice(role.as_bytes());
        bytes.extend(
            self.name.chars().filter(|c| !c.is_control()).take(NAME).collect::<String>().bytes(),
        );
        bytes.extend_from_slice(holds.encode().as_bytes());
        bytes.truncate(MAX - 64);
        bytes
    }

    fn decode(bytes: &[u8]) -> Result<(Self, Holds), LinkError> {
        let malformed = || swardbook_journal::sync::Malformed("an introduction");
        let (length, rest) = bytes.split_first().ok_or_else(malformed)?;
        let (role, name) = rest.split_at_checked(usize::from(*length)).ok_or_else(malformed)?;
        let role = String::from_utf8_lossy(role);
        let role = DeviceRole::from_word(&role).unwrap_or(DeviceRole::Other(role.into_owned()));
        let name = String::from_utf8_lossy(name);
        let holds = Holds::decode(&name);
        let name = name.split(SEPARATOR).next().unwrap_or_default();
        let name = name.chars().filter(|c| !c.is_control()).take(NAME).collect();
        Ok((Self { name, role }, holds))
    }
}

/// Reads what a device says of itself.
pub(crate) fn read_introduction(bytes: &[u8]) -> Result<(), LinkError> {
    Introduction::decode(bytes).map(drop)
}

#[cfg(test)]
pub(crate) fn some_introduction() -> Vec<u8> {
    let holds = Holds { origin: "abc".into(), records: true, documents: vec!["02-x".into()] };
    Introduction { name: "phone".into(), role: DeviceRole::Field }.encode(&holds)
}

/// The parts of a meeting that both sides do alike.
pub(crate) struct Meeting {
    secret: [u8; 16],
    session: [u8; 32],
    inviter: PeerId,
    guest: PeerId,
}

impl Meeting {
    pub(crate) fn new(
        connection: &Connection,
        secret: [u8; 16],
        inviter: PeerId,
        guest: PeerId,
    ) -> Self {
        let mut session = [0; 32];
        connection
            .export_keying_material(&mut session, b"swardbook pairing", b"")
            .expect("32 bytes is a length that can be exported");
        Self { secret, session, inviter, guest }
    }

    fn proof(&self, role: &str) -> blake3::Hash {
        let key = blake3::derive_key("swardbook 2026-11 pairing proof", &self.secret);
        let mut hasher = blake3::Hasher::new_keyed(&key);
        hasher.update(&self.session).update(&self.inviter.0).update(&self.guest.0);
        hasher.update(role.as_bytes());
        hasher.finalize()
    }

    /// The words that both sides show.
    pub(crate) fn words(&self) -> [&'static str; 4] {
        check_words::words(&self.proof("words"))
    }

    /// Whether a proof is the other side's; takes the same time for every answer.
    fn accepts(&self, role: &str, proof: &[u8]) -> bool {
        <[u8; 32]>::try_from(proof).is_ok_and(|proof| self.proof(role) == proof)
    }
}

/// The guest's first half: proves the secret, and checks that the inviter knows it too.
pub(crate) async fn knock(
    meeting: &Meeting,
    send: &mut SendStream,
    receive: &mut RecvStream,
    me: (&Introduction, &Holds),
) -> Result<(Introduction, Holds), LinkError> {
    let knock = [meeting.proof("guest").as_bytes().as_slice(), &me.0.encode(me.1)].concat();
    framing::send(send, &knock).await?;
    let welcome = framing::receive(receive, MAX).await?.ok_or(LinkError::InvitationClosed)?;
    let (proof, introduction) = split(&welcome)?;
    if !meeting.accepts("inviter", proof) {
        return Err(LinkError::InvitationClosed);
    }
    Introduction::decode(introduction)
}

/// The inviter's first half, part one: who knocks, if it has the secret.
pub(crate) async fn hear_knock(
    meeting: &Meeting,
    receive: &mut RecvStream,
) -> Result<(Introduction, Holds), LinkError> {
    let knock = framing::receive(receive, MAX).await?.ok_or(LinkError::Lost)?;
    let (proof, introduction) = split(&knock)?;
    if !meeting.accepts("guest", proof) {
        return Err(LinkError::InvitationClosed);
    }
    Introduction::decode(introduction)
}

/// The inviter's first half, part two.
pub(crate) async fn welcome(
    meeting: &Meeting,
    send: &mut SendStream,
    me: (&Introduction, &Holds),
) -> Result<(), LinkError> {
    let welcome = [meeting.proof("inviter").as_bytes().as_slice(), &me.0.encode(me.1)].concat();
    framing::send(send, &welcome).await
}

/// Says whether the words match here.
pub(crate) async fn say(send: &mut SendStream, matches: bool) -> Result<(), LinkError> {
    framing::send(send, &[u8::from(matches)]).await
}

/// Hears whether they match there.
pub(crate) async fn hear(receive: &mut RecvStream) -> Result<(), LinkError> {
    match framing::receive(receive, MAX).await?.as_deref() {
        Some([1]) => Ok(()),
        Some(_) => Err(LinkError::CalledOff),
        None => Err(LinkError::Lost),
    }
}

fn split(frame: &[u8]) -> Result<(&[u8], &[u8]), LinkError> {
    frame
        .split_at_checked(32)
        .ok_or_else(|| swardbook_journal::sync::Malformed("a frame of a pairing").into())
}
