//! The laboratory's files and pictures of grass, written out so that they come in as a person's do.

use std::path::PathBuf;

use crate::{Code, Problem};

macro_rules! letters {
    ($($day:literal),* $(,)?) => {
        /// The laboratory's files by the day of the report.
        const LETTERS: &[(&str, &[u8])] = &[ $(
            ($day, include_bytes!(concat!("../../../../fixtures/laboratories/fenwhistle-", $day, ".csv"))),
        )* ];
    };
}

letters![
    "2023-09-19",
    "2024-03-26",
    "2024-09-17",
    "2025-03-25",
    "2025-09-24",
    "2026-03-24",
    "2026-09-22",
];

/// The laboratory's files, written out so that they are imported as a person imports them.
pub(super) struct Letters(PathBuf);

impl Letters {
    pub(super) fn write() -> Result<Self, Problem> {
        let folder = std::env::temp_dir().join(format!("swardbook-demo-{}", std::process::id()));
        let failed = |e: std::io::Error| Problem::new(Code::Storage, e.to_string());
        std::fs::create_dir_all(&folder).map_err(failed)?;
        for (day, bytes) in LETTERS {
            std::fs::write(folder.join(format!("fenwhistle-{day}.csv")), bytes).map_err(failed)?;
        }
        Ok(Self(folder))
    }

    /// Draws a picture of grass beside the letters.
    pub(super) fn picture(&self, day: &str, number: u32, green: f64) -> Result<String, Problem> {
        let path = self.0.join(format!("back-terrace-{day}-{number}.jpg"));
        let seed = (green * 1e6).to_bits().wrapping_mul(u64::from(2 * number + 1));
        let bytes = super::picture::grass(green, seed)?;
        std::fs::write(&path, bytes).map_err(|e| Problem::new(Code::Storage, e.to_string()))?;
        Ok(path.display().to_string())
    }

    pub(super) fn path(&self, day: &str) -> String {
        self.0.join(format!("fenwhistle-{day}.csv")).display().to_string()
    }
}

impl Drop for Letters {
    fn drop(&mut self) {
        // Left-over copies in the system's own folder for such things do no harm.
        let _swept = std::fs::remove_dir_all(&self.0);
    }
}
