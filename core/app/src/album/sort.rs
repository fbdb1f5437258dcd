//! Which zone each photo of a folder belongs to, before any is kept: by a slate, by position, or
//! by what was recorded at that time.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};
use swardbook_imaging::side_by_side::side_by_side;
use swardbook_journal::records::{Application, Core, Observation, Zone};
use swardbook_store::BlobHash;
use swardbook_units::{Id, NaiveTime};
use ts_rs::TS;

use super::{
    add::{ReadIn, read_in},
    pictures::PictureCache,
};
use crate::{
    Code, Notebook, Problem, Watch,
    notebook::{property_document, zone_document},
    outline::{Frame, Outline},
    photo::{self, Position},
    progress::{Course, Part, Step},
    turns::Turns,
};

/// Files or folders to sort.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct SortPhotos {
    /// Paths of photos, or of folders of photos.
    pub paths: Vec<String>,
    /// The zone of all of them, by id or name; sorted when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
}

/// One photo and where it belongs.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SortedPhoto {
    /// Its path.
    pub path: String,
    /// blake3 hash of the file; empty where it cannot be read.
    pub photo: String,
    /// When it was taken by the camera's clock, `year-month-day hour:minute`; empty: not written.
    pub taken: String,
    /// The zone, by id; empty while nothing tells.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// `given`, `slate`, `position`, `time`; empty while nothing tells.
    pub by: String,
    /// Why, or what speaks against it, in words.
    pub why: String,
    /// It is the slate itself: nothing to measure, left out unless asked for.
    pub is_slate: bool,
    /// The observation of that zone that already keeps this very file; empty: none does.
    pub known_as: String,
    /// Another path of this list with the same content comes before it.
    pub is_repeated: bool,
    /// Why it cannot be kept; empty where it can.
    pub problem: String,
}

/// The sorting, to be looked at before anything is kept.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SortedPhotos {
    /// The photos in the order they were taken.
    pub photos: Vec<SortedPhoto>,
    /// How many can be kept as they are sorted.
    pub ready: u32,
    /// Files of the folders that are no photos.
    pub ignored: u32,
}

/// Minutes between a photo and what was recorded in a zone, within which they belong together.
///
/// # Source  common practice, no source.
const MINUTES: i64 = 20;
/// Metres that a phone's position may be off an outline.
///
/// # Source  common practice, no source: a phone's satellite fix.
const METRES: f64 = 8.0;
/// Minutes without a photo after which a slate no longer speaks.
///
/// # Source  common practice, no source.
const SLATE_MINUTES: i64 = 120;

/// A file that was looked at.
struct Looked {
    path: PathBuf,
    read: Result<Found, Problem>,
}

/// What was found in a photo.
struct Found {
    hash: String,
    taken: Option<NaiveDateTime>,
    position: Option<Position>,
    slate: Option<Id>,
}

/// A zone with what photos are compared with.
struct Ground {
    id: Id,
    name: String,
    outline: Option<Vec<(f64, f64)>>,
    moments: Vec<NaiveDateTime>,
}

/// Photos that are looked at before it is told how far it is.
const AT_ONCE: usize = 4;

/// Sorts photos to zones; nothing is kept but small pictures in the cache.
///
/// # Errors
/// [`Problem`] when there is nothing at a path, or no zone of that name, and [`Code::Cancelled`]
/// when it was stopped.
pub(crate) fn sort_photos(
    turns: &mut Turns<'_>,
    request: &SortPhotos,
    watch: &mut dyn Watch,
) -> Result<SortedPhotos, Problem> {
    let (given, cache, stopwatch) = turns.with(|notebook| {
        let zone = request.zone.as_deref();
        let given = zone.map(|zone| notebook.find_zone("zone", zone)).transpose()?;
        Ok((given, notebook.picture_cache()?, notebook.stopwatch()))
    })?;
    let (paths, ignored) = files(&request.paths)?;
    let mut course = Course::begin(watch, stopwatch, "stopped; nothing was kept".to_owned());
    course.step(Step::Looking, Part::Photos, paths.len())?;
    let mut looked = Vec::with_capacity(paths.len());
    for some in paths.chunks(AT_ONCE) {
        looked.extend(side_by_side(some, |path| Looked {
            path: path.clone(),
            read: look_at(path, &cache, given.is_none()),
        }));
        course.did(some.len())?;
    }
    // What has no time comes last, in the order of names.
    looked.sort_by_key(|one| {
        let taken = one.read.as_ref().ok().and_then(|found| found.taken);
        (taken.is_none(), taken, one.path.clone())
    });
    let photos = turns.with(|notebook| notebook.sorted(&looked, given))?;
    let is_ready = |line: &&SortedPhoto| {
        !line.zone.is_empty()
            && line.problem.is_empty()
            && line.known_as.is_empty()
            && !line.is_repeated
            && !line.is_slate
    };
    let ready = u32::try_from(photos.iter().filter(is_ready).count()).unwrap_or(u32::MAX);
    Ok(SortedPhotos { photos, ready, ignored })
}

impl Notebook {
    /// The lines of photos in the order they were taken.
    fn sorted(
        &mut self,
        looked: &[Looked],
        given: Option<Id>,
    ) -> Result<Vec<SortedPhoto>, Problem> {
        let grounds = if given.is_some() { Vec::new() } else { self.grounds()? };
        let mut sorted: Vec<SortedPhoto> = Vec::with_capacity(looked.len());
        let mut slate: Option<(Id, Option<NaiveDateTime>)> = None;
        for one in looked {
            let mut line = line_of(one);
            if let Ok(found) = &one.read {
                if let Some(zone) = given {
                    self.place(&mut line, zone, "given", "the zone was named")?;
                } else {
                    self.sort_one(&mut line, found, &grounds, &mut slate)?;
                }
            }
            sorted.push(line);
        }
        self.mark_known(&mut sorted)?;
        Ok(sorted)
    }

    fn sort_one(
        &mut self,
        line: &mut SortedPhoto,
        found: &Found,
        grounds: &[Ground],
        slate: &mut Option<(Id, Option<NaiveDateTime>)>,
    ) -> Result<(), Problem> {
        if let Some(zone) = found.slate {
            line.is_slate = true;
            if grounds.iter().any(|ground| ground.id == zone) {
                *slate = Some((zone, found.taken));
                return self.place(line, zone, "slate", "this is the zone's slate");
            }
            *slate = None;
            line.why = "a slate of a zone that is not in this notebook".to_owned();
            return Ok(());
        }
        let by_position = position_of(found, grounds);
        if let Some((zone, last)) = *slate {
            let gap = found.taken.zip(last).map(|(now, then)| (now - then).num_minutes());
            if gap.is_none_or(|gap| gap <= SLATE_MINUTES) {
                *slate = Some((zone, found.taken.or(last)));
                if let Some(other) = by_position.filter(|other| other.id != zone) {
                    // Two witnesses that disagree: a person decides.
                    line.why = format!(
                        "it comes after another zone's slate, but its position lies in {}",
                        other.name
                    );
                    return Ok(());
                }
                return self.place(line, zone, "slate", "it comes after the zone's slate");
            }
            *slate = None;
        }
        if let Some(ground) = by_position {
            return self.place(line, ground.id, "position", "it was taken inside its outline");
        }
        match found.taken.map(|taken| nearest_in_time(taken, grounds)) {
            Some(Some((ground, minutes))) => {
                let why = format!("something was recorded there {minutes} minutes apart");
                self.place(line, ground.id, "time", &why)
            }
            Some(None) => {
                line.why = "no slate before it, no position inside one outline, and nothing \
                            recorded in one zone alone near that time"
                    .to_owned();
                Ok(())
            }
            None => {
                line.why = "the camera wrote neither time nor position, and no slate comes before \
                            it"
                .to_owned();
                Ok(())
            }
        }
    }

    fn place(&self, line: &mut SortedPhoto, zone: Id, by: &str, why: &str) -> Result<(), Problem> {
        line.zone = zone.to_string();
        line.zone_name = self.zone_row(zone)?.map_or_else(String::new, |row| row.name);
        line.by = by.to_owned();
        line.why = why.to_owned();
        Ok(())
    }

    /// Marks what is kept already, and what comes twice.
    fn mark_known(&mut self, sorted: &mut [SortedPhoto]) -> Result<(), Problem> {
        let mut by_zone: BTreeMap<String, BTreeMap<String, String>> = BTreeMap::new();
        let mut seen = std::collections::BTreeSet::new();
        for line in sorted {
            if line.photo.is_empty() {
                continue;
            }
            line.is_repeated = !seen.insert(line.photo.clone());
            let Ok(zone) = line.zone.parse::<Id>() else { continue };
            if !by_zone.contains_key(&line.zone) {
                by_zone.insert(line.zone.clone(), self.photos_by_file(zone)?);
            }
            line.known_as = by_zone[&line.zone].get(&line.photo).cloned().unwrap_or_default();
        }
        Ok(())
    }

    /// Every zone with its outline on the globe and the moments something was recorded there.
    fn grounds(&mut self) -> Result<Vec<Ground>, Problem> {
        let mut grounds = Vec::new();
        for row in self.zone_rows(None)? {
            let Ok(id) = row.id.parse::<Id>() else { continue };
            let property: Id = row.property.parse().map_err(|_| {
                Problem::new(Code::Damaged, "a zone's property cannot be read in the index")
            })?;
            let zone: Option<Zone> =
                self.document(property_document(property))?.entry(&row.id).and_then(|e| e.read());
            let outline = zone
                .and_then(|zone| Outline::parse(&zone.outline).ok())
                .filter(|outline| outline.frame == Frame::Wgs84)
                .and_then(|outline| outline.rings.into_iter().next());
            grounds.push(Ground { id, name: row.name, outline, moments: self.moments(id)? });
        }
        Ok(grounds)
    }

    /// When something with a day and a time was recorded in a zone.
    fn moments(&mut self, zone: Id) -> Result<Vec<NaiveDateTime>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        let samples: BTreeMap<String, swardbook_units::NaiveDate> = entries
            .iter()
            .filter_map(|entry| {
                let sample = entry.read::<swardbook_journal::records::Sample>()?;
                Some((entry.key.clone(), sample.date?))
            })
            .collect();
        let at = |date: Option<swardbook_units::NaiveDate>, time: Option<NaiveTime>| {
            Some(date?.and_time(time?))
        };
        Ok(entries
            .iter()
            .filter(|entry| entry.voided().is_none())
            .filter_map(|entry| {
                if let Some(seen) = entry.read::<Observation>() {
                    at(seen.date, seen.time)
                } else if let Some(put) = entry.read::<Application>() {
                    at(put.date, put.time)
                } else {
                    let core = entry.read::<Core>()?;
                    at(samples.get(&core.sample?.to_string()).copied(), core.time)
                }
            })
            .collect())
    }
}

fn look_at(path: &Path, cache: &PictureCache, for_slate: bool) -> Result<Found, Problem> {
    let ReadIn { bytes, info } = read_in(path)?;
    let hash = BlobHash::of(&bytes).to_string();
    let slate =
        if for_slate { photo::slate_in(&cache.preview_pixels(&hash, &bytes)?) } else { None };
    Ok(Found { hash, taken: info.taken.map(|taken| taken.local), position: info.position, slate })
}

fn line_of(one: &Looked) -> SortedPhoto {
    let path = one.path.display().to_string();
    let (photo, taken, problem) = match &one.read {
        Ok(found) => (
            found.hash.clone(),
            found.taken.map_or_else(String::new, |t| t.format("%Y-%m-%d %H:%M").to_string()),
            String::new(),
        ),
        Err(problem) => (String::new(), String::new(), problem.message.clone()),
    };
    SortedPhoto {
        path,
        photo,
        taken,
        zone: String::new(),
        zone_name: String::new(),
        by: String::new(),
        why: String::new(),
        is_slate: false,
        known_as: String::new(),
        is_repeated: false,
        problem,
    }
}

/// Ends of names that cameras give.
const ENDS: [&str; 8] = ["jpg", "jpeg", "png", "webp", "heic", "heif", "avif", "jpe"];

/// The files that are named, and those in the folders that are named.
fn files(paths: &[String]) -> Result<(Vec<PathBuf>, u32), Problem> {
    let (mut files, mut ignored) = (Vec::new(), 0);
    for path in paths {
        let path = PathBuf::from(path);
        let failed = |e: std::io::Error| {
            Problem::new(Code::BadFile, format!("{}: {e}", path.display())).at("paths")
        };
        if !std::fs::metadata(&path).map_err(failed)?.is_dir() {
            files.push(path);
            continue;
        }
        let mut inside = Vec::new();
        for entry in std::fs::read_dir(&path).map_err(failed)? {
            let entry = entry.map_err(failed)?.path();
            let end = entry.extension().and_then(|end| end.to_str()).map(str::to_lowercase);
            if entry.is_file() && end.is_some_and(|end| ENDS.contains(&end.as_str())) {
                inside.push(entry);
            } else {
                ignored += 1;
            }
        }
        inside.sort();
        files.append(&mut inside);
    }
    if files.is_empty() {
        return Err(Problem::missing("paths", "there is no photo there"));
    }
    Ok((files, ignored))
}

/// The one zone whose outline a photo lies in, or, when it lies in none, the one it lies near.
fn position_of<'g>(found: &Found, grounds: &'g [Ground]) -> Option<&'g Ground> {
    let at = found.position?;
    let distances: Vec<(&Ground, f64)> = grounds
        .iter()
        .filter_map(|ground| Some((ground, metres_outside(at, ground.outline.as_ref()?))))
        .collect();
    for most in [0.0, METRES] {
        let near: Vec<&Ground> =
            distances.iter().filter(|(_, d)| *d <= most).map(|(ground, _)| *ground).collect();
        match near[..] {
            [] => {}
            [one] => return Some(one),
            _ => return None,
        }
    }
    None
}

/// Metres from a point to an outline, nothing inside; on a plane that touches the globe there,
/// which for a lawn is exact to millimetres.
fn metres_outside(at: Position, outline: &[(f64, f64)]) -> f64 {
    // A degree of latitude; a degree of longitude is shorter by the cosine.
    const DEGREE: f64 = 111_320.0;
    let shrunk = at.latitude.to_radians().cos();
    let corners: Vec<(f64, f64)> = outline
        .iter()
        .map(|(lat, lon)| ((lon - at.longitude) * DEGREE * shrunk, (lat - at.latitude) * DEGREE))
        .collect();
    let (mut inside, mut least) = (false, f64::INFINITY);
    for (i, &(x1, y1)) in corners.iter().enumerate() {
        let (x2, y2) = corners[(i + 1) % corners.len()];
        if (y1 > 0.0) != (y2 > 0.0) && x1 - y1 / (y2 - y1) * (x2 - x1) > 0.0 {
            inside = !inside;
        }
        let (dx, dy) = (x2 - x1, y2 - y1);
        let along = (-(x1 * dx + y1 * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
        least = least.min((x1 + along * dx).hypot(y1 + along * dy));
    }
    if inside { 0.0 } else { least }
}

/// The one zone in which something was recorded near a moment, when no other is nearly as near.
fn nearest_in_time(at: NaiveDateTime, grounds: &[Ground]) -> Option<(&Ground, i64)> {
    let mut near: Vec<(&Ground, i64)> = grounds
        .iter()
        .filter_map(|ground| {
            let apart = ground.moments.iter().map(|m| (at - *m).num_minutes().abs()).min()?;
            Some((ground, apart))
        })
        .filter(|(_, apart)| *apart <= MINUTES)
        .collect();
    near.sort_by_key(|(_, apart)| *apart);
    match near[..] {
        [one] => Some(one),
        [first, second, ..] if second.1 > 2 * first.1 + 2 => Some(first),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_position_is_told_by_metres() {
        let square = [(-34.0, 138.0), (-34.0, 138.001), (-34.001, 138.001), (-34.001, 138.0)];
        let outside =
            |latitude, longitude| metres_outside(Position { latitude, longitude }, &square);
        assert!(outside(-34.0005, 138.0005) == 0.0, "inside");
        // A tenth of a thousandth of a degree of latitude is eleven metres.
        let north = outside(-33.9999, 138.0005);
        assert!((north - 11.132).abs() < 0.01, "{north}");
    }

    #[test]
    fn two_zones_at_one_time_are_not_told_apart() {
        let ground = |seed: u8, minute: u32| Ground {
            id: Id::from_random([seed; 10]),
            name: String::new(),
            outline: None,
            moments: vec![moment(minute)],
        };
        let check = |minutes: [u32; 2], expected: Option<u8>| {
            let grounds = [ground(1, minutes[0]), ground(2, minutes[1])];
            let got = nearest_in_time(moment(30), &grounds).map(|(ground, _)| ground.id);
            assert_eq!(got, expected.map(|seed| Id::from_random([seed; 10])), "{minutes:?}");
        };
        check([28, 45], Some(1));
        check([28, 33], None);
        check([0, 36], Some(2));
        check([0, 59], None);
    }

    fn moment(minute: u32) -> NaiveDateTime {
        let day = swardbook_units::NaiveDate::from_ymd_opt(2026, 9, 14).expect("a day");
        day.and_hms_opt(10, minute, 0).expect("a time")
    }
}
