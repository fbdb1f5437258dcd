//! A clock that the story moves, and dice that always fall the same way.

use std::sync::{Arc, Mutex, PoisonError};

use swardbook_units::NaiveDate;

use crate::{FixedSurroundings, Surroundings};

/// Surroundings whose day the story sets.
#[derive(Debug, Clone)]
pub(super) struct StoryClock(Arc<Mutex<FixedSurroundings>>);

impl StoryClock {
    pub(super) fn new(day: NaiveDate) -> Self {
        Self(Arc::new(Mutex::new(FixedSurroundings::new(day, 20_260_922))))
    }

    fn with<T>(&self, read: impl FnOnce(&mut FixedSurroundings) -> T) -> T {
        read(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(super) fn set(&self, day: NaiveDate) {
        self.with(|fixed| fixed.today = day);
    }
}

impl Surroundings for StoryClock {
    fn now(&self) -> i64 {
        self.with(|fixed| fixed.now())
    }

    fn today(&self) -> NaiveDate {
        self.with(|fixed| fixed.today)
    }

    fn random(&mut self, buffer: &mut [u8]) {
        self.with(|fixed| fixed.random(buffer));
    }
}
