//! Letting a file go, only after another device has promised to keep it.
//!
//! A device that wants to free room asks; one that keeps everything, has the file and is not asking
//! about it itself, promises, after the promise is safe on its own disk. A promise holds until that
//! device is itself promised the file by another.
//! Two devices that ask each other at one time both refuse, and both keep it.

use std::collections::{BTreeMap, BTreeSet};

use super::{FileHash, KeepRule};
use crate::records::DeviceRole;

/// Files in one question.
pub const MAX_HASHES: usize = 1_000;

/// What this device promised and what it is asking.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Keeping {
    rule: KeepRule,
    /// Files promised to other devices; safe on the disk.
    promised: BTreeSet<FileHash>,
    /// Files asked about, and who was asked; gone when the device stops.
    asking: BTreeMap<FileHash, BTreeSet<[u8; 32]>>,
}

impl Keeping {
    /// With what is safe on the disk: the device's rule and its promises.
    #[must_use]
    pub fn new(rule: KeepRule, promised: BTreeSet<FileHash>) -> Self {
        Self { rule, promised, asking: BTreeMap::new() }
    }

    /// Files that may be asked about; the rest of `spare` waits for the next time.
    ///
    /// From here on until [`Self::give_up`] this device promises none of them.
    pub fn ask(&mut self, spare: &[FileHash], device: [u8; 32]) -> Vec<FileHash> {
        if self.rule == KeepRule::All {
            return Vec::new();
        }
        let asked: Vec<FileHash> = spare.iter().take(MAX_HASHES).copied().collect();
        for hash in &asked {
            self.asking.entry(*hash).or_default().insert(device);
        }
        asked
    }

    /// Another device asks: the files promised to it.
    ///
    /// The caller makes [`Self::promises`] safe on the disk before it answers.
    /// `keeps` says whether a file is here, whole and checked.
    pub fn asked(
        &mut self,
        hashes: &[FileHash],
        mut keeps: impl FnMut(&FileHash) -> bool,
    ) -> Vec<FileHash> {
        if self.rule != KeepRule::All {
            return Vec::new();
        }
        let promised: Vec<FileHash> = hashes
            .iter()
            .take(MAX_HASHES)
            .filter(|hash| !self.asking.contains_key(*hash) && keeps(hash))
            .copied()
            .collect();
        self.promised.extend(&promised);
        promised
    }

    /// Another device promised: the files that may go now.
    ///
    /// What it promised without being asked is left alone.
    pub fn promised_by(
        &mut self,
        device: [u8; 32],
        role: &DeviceRole,
        hashes: &[FileHash],
    ) -> Vec<FileHash> {
        let enough = match self.rule {
            KeepRule::All => false,
            KeepRule::OwnUntilOffice => {
                matches!(role, DeviceRole::Office | DeviceRole::AlwaysOn)
            }
            KeepRule::Previews => true,
        };
        if !enough {
            return Vec::new();
        }
        let mut free = Vec::new();
        for hash in hashes {
            if self.asking.get(hash).is_some_and(|asked| asked.contains(&device)) {
                self.asking.remove(hash);
                self.promised.remove(hash);
                free.push(*hash);
            }
        }
        free
    }

    /// A device is gone: what it was asked is no longer being asked.
    pub fn give_up(&mut self, device: [u8; 32]) {
        self.asking.retain(|_, asked| {
            asked.remove(&device);
            !asked.is_empty()
        });
    }

    /// The rule is changed. Promises stay.
    pub fn set_rule(&mut self, rule: KeepRule) {
        self.rule = rule;
    }

    /// Everything that is promised, to be made safe.
    #[must_use]
    pub const fn promises(&self) -> &BTreeSet<FileHash> {
        &self.promised
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PHOTO: FileHash = [1; 32];
    const PHONE: [u8; 32] = [10; 32];
    const OFFICE: [u8; 32] = [11; 32];

    fn device(rule: KeepRule) -> Keeping {
        Keeping::new(rule, BTreeSet::new())
    }

    #[test]
    fn a_photo_goes_after_the_office_promised_it_and_not_before() {
        let (mut phone, mut office) = (device(KeepRule::OwnUntilOffice), device(KeepRule::All));
        let asked = phone.ask(&[PHOTO], OFFICE);
        assert!(office.asked(&asked, |_| false).is_empty(), "it has not arrived there");
        let promised = office.asked(&asked, |_| true);
        assert_eq!(office.promises(), &BTreeSet::from([PHOTO]), "to be made safe first");
        let other_phone = phone.promised_by(OFFICE, &DeviceRole::Field, &promised);
        assert!(other_phone.is_empty(), "a phone's promise is not the office's");
        assert_eq!(phone.promised_by(OFFICE, &DeviceRole::Office, &promised), [PHOTO]);
        assert!(phone.promised_by(OFFICE, &DeviceRole::Office, &promised).is_empty(), "once");
    }

    #[test]
    fn a_promise_that_was_not_asked_for_frees_nothing() {
        let mut phone = device(KeepRule::Previews);
        phone.ask(&[PHOTO], OFFICE);
        assert!(phone.promised_by(PHONE, &DeviceRole::Office, &[PHOTO]).is_empty(), "not asked");
        phone.give_up(OFFICE);
        assert!(phone.promised_by(OFFICE, &DeviceRole::Office, &[PHOTO]).is_empty(), "given up");
    }

    #[test]
    fn who_keeps_little_promises_nothing() {
        let mut phone = device(KeepRule::Previews);
        assert!(phone.asked(&[PHOTO], |_| true).is_empty(), "it may let it go itself");
    }

    /// Every order of asking, promising, restarting and changing one's mind leaves one copy.
    #[test]
    fn no_order_of_events_loses_the_last_copy() {
        // A small generator, so that every run is the same.
        let mut state = 1_u64;
        let mut below = |end: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            usize::try_from((state >> 33) % end).unwrap()
        };
        for round in 0..2_000 {
            let mut devices: Vec<(Keeping, bool)> =
                (0..3).map(|_| (device(KeepRule::All), true)).collect();
            // Questions and promises on the way: (to, from, is_promise).
            let mut wire: Vec<(usize, usize, bool)> = Vec::new();
            for _ in 0..30 {
                let (at, other) = (below(3), below(3));
                if at == other {
                    continue;
                }
                let name = |device: usize| [u8::try_from(device).unwrap(); 32];
                match below(6) {
                    0 => devices[at].0.set_rule(KeepRule::Previews),
                    1 => devices[at].0.set_rule(KeepRule::All),
                    2 if devices[at].1 => {
                        if !devices[at].0.ask(&[PHOTO], name(other)).is_empty() {
                            wire.push((other, at, false));
                        }
                    }
                    3 => {
                        // It stops and starts: what it promised stays, what it asked does not.
                        let rule = devices[at].0.rule;
                        let promises = devices[at].0.promises().clone();
                        devices[at].0 = Keeping::new(rule, promises);
                        wire.retain(|(to, from, _)| *to != at && *from != at);
                    }
                    _ => {
                        if wire.is_empty() {
                            continue;
                        }
                        let which = below(wire.len() as u64);
                        let (to, from, is_promise) = wire.swap_remove(which);
                        let here = devices[to].1;
                        if is_promise {
                            let role = DeviceRole::Office;
                            if !devices[to].0.promised_by(name(from), &role, &[PHOTO]).is_empty() {
                                devices[to].1 = false;
                            }
                        } else if !devices[to].0.asked(&[PHOTO], |_| here).is_empty() {
                            wire.push((from, to, true));
                        }
                    }
                }
                assert!(devices.iter().any(|(_, here)| *here), "round {round}: the photo is gone");
            }
        }
    }
}
