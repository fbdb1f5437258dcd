//! Every decoder of bytes that come from the network, called on the same bytes: for tests that
//! throw anything at them.

use swardbook_journal::{
    Document, DocumentKind,
    sync::{
        Digest, DocumentId, Held, Hello, Holding, Holdings, Input, Memory, Role, Session, Unsent,
        VERSION,
    },
};

use crate::{Invitation, files, pairing, verified};

/// Has every decoder read these bytes; what it makes of them does not matter here, only that it
/// comes back.
///
/// The bytes are one frame, and also a run of frames with two bytes of length each, as a session
/// would hear them one after the other; `part` is where a file's pieces may be written.
pub fn read_everything(bytes: &[u8], part: &std::path::Path) {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _invitation = text.parse::<Invitation>();
    }
    let _introduction = pairing::read_introduction(bytes);
    let _question = files::hashes(bytes);
    let _held = swardbook_journal::sync::decode_held(bytes);
    let _document = Document::new(DocumentKind::Zone, &[7; 16]).receive(bytes);
    let _taken = Document::new(DocumentKind::Zone, &[7; 16]).take_in(bytes);
    let _loaded = Document::load(DocumentKind::Notebook, &[7; 16], Some(bytes), []);
    let frames: Vec<&[u8]> = Frames(bytes).collect();
    for role in [Role::Dialler, Role::Listener] {
        hear(role, &[bytes]);
        hear(role, &frames);
    }
    if let Ok(mut sink) = verified::Sink::open(part, [7; 32], 300_000, 0) {
        let _piece = sink.take(bytes);
    }
}

/// A run of frames: two bytes of length, then as many bytes.
struct Frames<'a>(&'a [u8]);

impl<'a> Iterator for Frames<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        let (length, rest) = self.0.split_first_chunk::<2>()?;
        let length = usize::from(u16::from_le_bytes(*length)).min(rest.len());
        let (frame, rest) = rest.split_at(length);
        self.0 = rest;
        Some(frame)
    }
}

fn hear(role: Role, frames: &[&[u8]]) {
    let hello = Hello {
        oldest: VERSION,
        newest: VERSION,
        kinds: [0, 1, 2].into(),
        schema: 1,
        nonce: [1; 8],
        remembers: [0; 4],
        program: String::new(),
    };
    let mut session = Session::new(role, hello, Memory::default());
    let mut library = OneZone(Document::new(DocumentKind::Zone, &[7; 16]));
    let _effects = session.handle(Input::Opened, &mut library);
    for frame in frames {
        if session.handle(Input::Frame(frame), &mut library).is_err() {
            return;
        }
    }
}

/// A notebook with one zone and nothing on it.
struct OneZone(Document);

const ZONE: [u8; 11] = [2, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7];

fn zone() -> DocumentId {
    let name = swardbook_store::DocumentName::from_bytes(&ZONE).expect("eleven bytes are a name");
    crate::tables::document_id(name)
}

impl Holdings for OneZone {
    type Error = std::convert::Infallible;

    fn list(&mut self) -> Result<Vec<Holding>, Self::Error> {
        let digest = self.0.held().1;
        Ok(vec![Holding { id: zone(), digest }])
    }

    fn held(&mut self, id: DocumentId) -> Result<Option<(Held, Digest)>, Self::Error> {
        Ok((id == zone()).then(|| self.0.held()))
    }

    fn unsent(&mut self, id: DocumentId, theirs: &Held) -> Result<Option<Unsent>, Self::Error> {
        Ok((id == zone())
            .then(|| Unsent { digest: self.0.held().1, pieces: self.0.pieces_for(theirs) }))
    }

    fn is_forked(&mut self, id: DocumentId, theirs: &Held) -> Result<bool, Self::Error> {
        Ok(id == zone() && self.0.is_forked(theirs))
    }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use swardbook_journal::sync::{Taken, held_by};

    use super::*;

    /// How many altered inputs a short run reads; `SWARDBOOK_FUZZ=100000` reads so many.
    const RUNS: usize = 3_000;
    /// The longest altered input.
    const MOST: usize = 4_096;

    fn corpus() -> Vec<Vec<u8>> {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus/decoders");
        let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
            .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
            .map(|entry| entry.expect("an entry").path())
            .collect();
        files.sort();
        files.iter().map(|file| std::fs::read(file).expect("a seed")).collect()
    }

    /// Numbers that are the same on every machine.
    struct Chance(u64);

    impl Chance {
        fn below(&mut self, most: usize) -> usize {
            let hash = blake3::hash(&self.0.to_le_bytes());
            self.0 += 1;
            let number = u64::from_le_bytes(*hash.as_bytes().first_chunk().expect("32 bytes"));
            usize::try_from(number % u64::try_from(most.max(1)).expect("small")).expect("small")
        }
    }

    fn altered(seeds: &[Vec<u8>], chance: &mut Chance) -> Vec<u8> {
        let mut bytes = seeds[chance.below(seeds.len())].clone();
        for _ in 0..=chance.below(6) {
            let at = chance.below(bytes.len());
            match chance.below(6) {
                0 if !bytes.is_empty() => bytes[at] ^= 1 << chance.below(8),
                1 if !bytes.is_empty() => bytes[at] = [0, 1, 0x7f, 0x80, 0xff][chance.below(5)],
                2 => bytes.truncate(at),
                3 => bytes.insert(at, u8::try_from(chance.below(256)).expect("a byte")),
                4 => {
                    let other = &seeds[chance.below(seeds.len())];
                    bytes.extend_from_slice(&other[chance.below(other.len())..]);
                }
                _ => {
                    let copy = bytes[at..].to_vec();
                    bytes.splice(at..at, copy);
                }
            }
            bytes.truncate(MOST);
        }
        bytes
    }

    #[test]
    fn every_seed_and_thousands_of_alterations_are_read_without_harm() {
        let seeds = corpus();
        assert!(seeds.len() >= 8, "{} seeds", seeds.len());
        let folder = tempfile::tempdir().expect("a scratch folder");
        let part = folder.path().join("part");
        for seed in &seeds {
            read_everything(seed, &part);
        }
        let runs = std::env::var("SWARDBOOK_FUZZ").ok().and_then(|runs| runs.parse().ok());
        let mut chance = Chance(20_261_127);
        for _ in 0..runs.unwrap_or(RUNS) {
            read_everything(&altered(&seeds, &mut chance), &part);
        }
    }

    /// A seed that no decoder takes tests little beyond its first byte.
    #[test]
    fn the_seeds_are_frames_that_are_understood() {
        let seeds = corpus();
        let sessions = seeds.iter().filter(|seed| {
            let frames: Vec<&[u8]> = Frames(seed).collect();
            let hello = Hello {
                oldest: VERSION,
                newest: VERSION,
                kinds: [0, 1, 2].into(),
                schema: 1,
                nonce: [1; 8],
                remembers: [0; 4],
                program: String::new(),
            };
            let mut session = Session::new(Role::Listener, hello, Memory::default());
            let mut library = OneZone(Document::new(DocumentKind::Zone, &[7; 16]));
            frames.len() > 1
                && frames.iter().all(|f| session.handle(Input::Frame(f), &mut library).is_ok())
        });
        assert!(sessions.count() >= 2, "whole talks are among the seeds");
        let invitations = seeds
            .iter()
            .filter_map(|seed| std::str::from_utf8(seed).ok()?.parse::<Invitation>().ok());
        assert!(invitations.count() >= 1, "an invitation is among the seeds");
        let introductions = seeds.iter().filter(|seed| pairing::read_introduction(seed).is_ok());
        assert!(introductions.count() >= 1, "an introduction is among the seeds");
    }

    /// Writes the seeds anew; run by hand after the wire has changed:
    /// `SWARDBOOK_FUZZ_SEEDS=1 cargo test -p swardbook-link seeds_are_written`.
    #[test]
    fn seeds_are_written_when_asked_for() {
        if std::env::var_os("SWARDBOOK_FUZZ_SEEDS").is_none() {
            return;
        }
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus/decoders");
        std::fs::create_dir_all(&folder).expect("a folder");
        let write = |name: &str, bytes: &[u8]| {
            std::fs::write(folder.join(name), bytes).expect("written");
        };
        for (name, frames) in talks() {
            for (number, frame) in frames.iter().enumerate() {
                write(&format!("{name}-{number}"), frame);
            }
            let run: Vec<u8> = frames
                .iter()
                .flat_map(|frame| {
                    let length = u16::try_from(frame.len()).expect("short");
                    [length.to_le_bytes().as_slice(), frame].concat()
                })
                .collect();
            write(&format!("{name}-run"), &run);
        }
        write("introduction", &pairing::some_introduction());
        let invitation = Invitation {
            inviter: crate::PeerId([7; 32]),
            addresses: vec!["192.0.2.7:4100".parse().expect("an address")],
            secret: [9; 16],
            expires: 1_795_000_000,
        };
        write("invitation", invitation.to_string().as_bytes());
        let mut zone = written_zone(3);
        write("document", &zone.save());
        let question: Vec<u8> = [[1_u8; 32], [2; 32]].concat();
        write("question", &question);
        write("empty", b"");
    }

    fn written_zone(notes: usize) -> Document {
        let mut zone = Document::new(DocumentKind::Zone, &[9; 16]);
        for number in 0..notes {
            let record = swardbook_journal::records::Observation {
                note: format!("note {number}"),
                ..Default::default()
            };
            zone.put(&format!("n{number}"), &record).expect("written");
            let note = swardbook_journal::Stamp {
                device: "phone".into(),
                person: String::new(),
                action: "write".into(),
                at: 1,
            };
            zone.commit(&note);
        }
        zone
    }

    /// What one device hears of another, in whole talks.
    fn talks() -> Vec<(&'static str, Vec<Vec<u8>>)> {
        let hello = |nonce| Hello {
            oldest: VERSION,
            newest: VERSION,
            kinds: [0, 1, 2].into(),
            schema: 1,
            nonce: [nonce; 8],
            remembers: [0; 4],
            program: "test".into(),
        };
        let mut all = Vec::new();
        for (name, here, there) in [("equal", 0, 0), ("behind", 0, 3), ("ahead", 3, 0)] {
            let mut libraries = [OneZone(written_zone(there)), OneZone(written_zone(here))];
            let mut sessions = [
                Session::new(Role::Dialler, hello(2), Memory::default()),
                Session::new(Role::Listener, hello(1), Memory::default()),
            ];
            let mut heard = Vec::new();
            let mut open: Vec<(usize, Vec<u8>)> = Vec::new();
            for side in 0..2 {
                let effects = sessions[side].handle(Input::Opened, &mut libraries[side]);
                let effects = effects.expect("it begins");
                carry_out(&mut sessions[side], &mut libraries[side], side, effects, &mut open);
            }
            while !open.is_empty() {
                let (from, frame) = open.remove(0);
                let to = 1 - from;
                if to == 1 {
                    heard.push(frame.clone());
                }
                let effects = sessions[to].handle(Input::Frame(&frame), &mut libraries[to]);
                let effects = effects.expect("an honest talk");
                carry_out(&mut sessions[to], &mut libraries[to], to, effects, &mut open);
            }
            all.push((name, heard));
        }
        all
    }

    fn carry_out(
        session: &mut Session,
        library: &mut OneZone,
        side: usize,
        effects: Vec<swardbook_journal::sync::Effect>,
        open: &mut Vec<(usize, Vec<u8>)>,
    ) {
        use swardbook_journal::sync::Effect;
        for effect in effects {
            match effect {
                Effect::Send(frame) => open.push((side, frame)),
                Effect::Commit { batch, documents } => {
                    let mut outcomes = Vec::new();
                    for one in documents {
                        let before = library.0.clock();
                        library.0.take_in(&one.changes).expect("honest changes");
                        let given = held_by(&library.0.changes_beyond(&before));
                        let (held, digest) = library.0.held();
                        outcomes.push((one.id, Ok(Taken { held, digest, given })));
                    }
                    let input = Input::Committed { batch, documents: outcomes };
                    let effects = session.handle(input, library).expect("committed");
                    carry_out(session, library, side, effects, open);
                }
                _ => {}
            }
        }
    }
}
