//! One schedule: some devices, and everything that happens to them, drawn from a seed.

use swardbook_journal::sync::{DocumentId, Input};
use swardbook_units::Id;

use crate::{
    chance::Chance,
    device::{Device, Disk, Kept, NOTEBOOK},
    pair::Connection,
};

/// The devices and what is between them.
struct World {
    chance: Chance,
    devices: Vec<Device>,
    alive: Vec<bool>,
    connections: Vec<Connection>,
    /// Which part of a split network each device is in.
    part: Vec<usize>,
    kept: Vec<Kept>,
    backups: Vec<Option<Disk>>,
    next_key: u64,
}

/// Runs the schedule of a seed and checks that all devices end alike with nothing missing.
pub(crate) fn run(seed: u64) {
    let mut chance = Chance::new(seed);
    let count = 3 + chance.below(4);
    let devices = (0..count)
        .map(|_| {
            let mut device = Device::new(chance.bytes(), chance.bytes());
            device.clock_error = i64::try_from(chance.below(41)).unwrap() - 20;
            device
        })
        .collect();
    let mut world = World {
        chance,
        devices,
        alive: vec![true; count],
        connections: Vec::new(),
        part: vec![0; count],
        kept: Vec::new(),
        backups: vec![None; count],
        next_key: 0,
    };
    let steps = 40 + world.chance.below(80);
    for _ in 0..steps {
        world.step();
    }
    world.heal();
    world.check();
}

impl World {
    fn any(&mut self) -> usize {
        let alive: Vec<usize> = (0..self.devices.len()).filter(|d| self.alive[*d]).collect();
        alive[self.chance.below(alive.len())]
    }

    fn step(&mut self) {
        match self.chance.below(100) {
            0..22 => self.edit(),
            22..34 => self.connect(),
            34..80 => self.carry(),
            80..85 => self.cut(),
            85..89 => self.stop_and_start(),
            89..93 => self.split(),
            93..95 => self.backups_are_made_or_restored(),
            95 => self.lose(),
            _ => self.disturb(),
        }
    }

    fn edit(&mut self) {
        let device = self.any();
        let mut known: Vec<DocumentId> =
            self.devices[device].disk.documents.keys().copied().collect();
        let new = DocumentId {
            kind: u8::try_from(1 + self.chance.below(2)).unwrap(),
            id: Id::from_random(self.chance.bytes()),
        };
        known.push(NOTEBOOK);
        if known.len() < 6 {
            known.push(new);
        }
        let id = known[self.chance.below(known.len())];
        // Old entries are written again by everyone, so that fields clash.
        let key = if self.next_key > 0 && self.chance.one_in(3) {
            format!("e{}", self.chance.next() % self.next_key)
        } else {
            self.next_key += 1;
            format!("e{}-{device}", self.next_key)
        };
        let value = i64::try_from(self.chance.next() >> 1).unwrap();
        let safe = !self.chance.one_in(12);
        let kept = self.devices[device].write(id, &key, value, safe);
        if !safe {
            self.hang_up(device);
        }
        let Some(kept) = kept else { return };
        self.kept.push(kept);
        self.announce(device, &[id], None);
    }

    /// Tells a device's connections what changed, but for the one it came from.
    fn announce(&mut self, device: usize, ids: &[DocumentId], but: Option<usize>) {
        for place in 0..self.connections.len() {
            if Some(place) == but {
                continue;
            }
            for side in 0..2 {
                if self.connections[place].sides[side] == device {
                    let input = Input::Changed(ids.to_vec());
                    self.connections[place].input(side, input, &mut self.devices);
                }
            }
        }
    }

    fn connect(&mut self) {
        let (a, b) = (self.any(), self.any());
        let is_open = self.connections.iter().any(|c| c.sides.contains(&a) && c.sides.contains(&b));
        if a != b && self.part[a] == self.part[b] && !is_open {
            self.connections.push(Connection::open([a, b], &mut self.devices));
        }
    }

    /// One thing moves on some connection.
    fn carry(&mut self) {
        if self.connections.is_empty() {
            return;
        }
        let place = self.chance.below(self.connections.len());
        for _ in 0..=self.chance.below(6) {
            let side = self.chance.below(2);
            if self.chance.one_in(2) {
                self.connections[place].write(side, &mut self.devices);
            } else {
                self.connections[place].deliver(side, &mut self.devices);
            }
            self.pass_on(place);
        }
    }

    fn pass_on(&mut self, place: usize) {
        for side in 0..2 {
            let news = std::mem::take(&mut self.connections[place].news[side]);
            if !news.is_empty() {
                self.announce(self.connections[place].sides[side], &news, Some(place));
            }
        }
    }

    fn cut(&mut self) {
        if !self.connections.is_empty() {
            let place = self.chance.below(self.connections.len());
            self.connections.swap_remove(place);
        }
    }

    fn hang_up(&mut self, device: usize) {
        self.connections.retain(|connection| !connection.sides.contains(&device));
    }

    fn stop_and_start(&mut self) {
        let device = self.any();
        self.hang_up(device);
        self.devices[device].restart();
        self.devices[device].clock_error = i64::try_from(self.chance.below(41)).unwrap() - 20;
    }

    fn split(&mut self) {
        let parts = 1 + self.chance.below(3);
        for device in 0..self.part.len() {
            self.part[device] = self.chance.below(parts);
        }
        let part = &self.part;
        self.connections.retain(|c| part[c.sides[0]] == part[c.sides[1]]);
    }

    /// A copy of a disk is put aside, or comes back: under a new name, as the store sees to.
    fn backups_are_made_or_restored(&mut self) {
        let device = self.any();
        match self.backups[device].take() {
            None => self.backups[device] = Some(self.devices[device].disk.clone()),
            Some(mut disk) => {
                disk.nonce = self.chance.bytes();
                disk.actor = self.chance.bytes();
                self.hang_up(device);
                self.devices[device].restart();
                self.devices[device].disk = disk;
                self.forget_what_nobody_has();
            }
        }
    }

    fn lose(&mut self) {
        if self.alive.iter().filter(|alive| **alive).count() > 2 {
            let device = self.any();
            self.hang_up(device);
            self.alive[device] = false;
            self.forget_what_nobody_has();
        }
    }

    /// What was on no other disk is gone with that disk; nothing else may be.
    fn forget_what_nobody_has(&mut self) {
        let there: Vec<&Device> =
            self.devices.iter().zip(&self.alive).filter(|(_, a)| **a).map(|(d, _)| d).collect();
        self.kept.retain(|kept| there.iter().any(|device| device.keeps(kept)));
    }

    /// A frame comes twice, or after the next one. A real connection does neither.
    fn disturb(&mut self) {
        if self.connections.is_empty() {
            return;
        }
        let place = self.chance.below(self.connections.len());
        let side = self.chance.below(2);
        let wire = &mut self.connections[place].wire[side];
        if wire.is_empty() {
            return;
        }
        let which = self.chance.below(wire.len());
        if self.chance.one_in(2) {
            let again = wire[which].clone();
            wire.push_back(again);
        } else {
            let last = wire.len() - 1;
            // The first word stays the first.
            if which > 0 {
                wire.swap(which, last);
            }
        }
    }

    /// The network is whole again and everyone meets.
    fn heal(&mut self) {
        self.connections.clear();
        let alive: Vec<usize> = (0..self.devices.len()).filter(|d| self.alive[*d]).collect();
        let there_and_back = alive.windows(2).chain(alive.windows(2).rev());
        for two in there_and_back {
            let mut connection = Connection::open([two[0], two[1]], &mut self.devices);
            connection.settle(&mut self.devices);
            assert!(connection.in_sync(), "two devices met and did not agree: {connection:#?}");
        }
    }

    fn check(&mut self) {
        let alive: Vec<usize> = (0..self.devices.len()).filter(|d| self.alive[*d]).collect();
        let mut states = Vec::new();
        for device in alive {
            let device = &mut self.devices[device];
            for kept in &self.kept {
                assert!(device.keeps(kept), "{kept:?} was acknowledged and is missing");
                let entry = device.document(kept.document).entry(&kept.key);
                assert!(entry.is_some(), "{kept:?} cannot be read");
            }
            // What the disk holds, read anew.
            device.restart();
            let ids: Vec<DocumentId> = device.disk.documents.keys().copied().collect();
            let state: Vec<_> = ids
                .into_iter()
                .map(|id| {
                    let document = device.document(id);
                    (id, document.heads(), document.entries())
                })
                .collect();
            states.push(state);
        }
        for state in &states {
            assert_eq!(state, &states[0], "all devices hold the same");
        }
    }
}
