//! A folder of hundreds of photos of twelve megapixels is looked at, sorted and kept, against what
//! decoding alone takes on as many threads; and the most memory that was held meanwhile.
//!
//! `SWARDBOOK_BATCH` is the number of photos (24 without it; about 7 MB of disk each, which are free
//! again afterwards).
//! The most memory is the kernel's `VmHWM`, begun anew before each step.

use std::{
    io::Write,
    num::NonZeroUsize,
    path::{Path, PathBuf},
    sync::atomic::{AtomicUsize, Ordering},
    time::{Duration, Instant},
};

use divan::black_box;
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use serde_json::{Value as Json, json};
use swardbook_app::{FixedSurroundings, Notebook, call, photo::decode};
use swardbook_units::NaiveDate;

/// Pictures that differ; the other files are these with a number behind their end, which makes them
/// other files to the notebook.
const PICTURES: u32 = 5;

fn main() {
    let asked = std::env::var("SWARDBOOK_BATCH").ok().and_then(|text| text.parse().ok());
    let count: usize = asked.unwrap_or(24);
    let threads = std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let files = camera(&scratch.path().join("camera"), count);
    let bytes: u64 = files.iter().map(|file| file.metadata().expect("written").len()).sum();
    say(&format!(
        "{count} photos of 4000 x 3000, {:.1} MB each on average, {threads} threads",
        bytes as f64 / 1e6 / count as f64
    ));
    say(&row(["", "time", "against decoding", "most memory"]));

    let decoding = step("decoding alone, all threads", None, || decode_all(&files, threads));
    let limit = Some(decoding);

    // By its zone, which the person names.
    let mut notebook = notebook(&scratch.path().join("named"));
    let request = json!({ "paths": [scratch.path().join("camera")], "zone": "Front verge" });
    step("looking at them, zone named", limit, || {
        ask(&mut notebook, "photo.sort", request.clone());
    });
    step("keeping them", limit, || add(&mut notebook, &files));
    drop(notebook);
    std::fs::remove_dir_all(scratch.path().join("named")).expect("gone");

    // By slate, position and time, which looks into every picture.
    let mut notebook = self::notebook(&scratch.path().join("sorted"));
    let request = json!({ "paths": [scratch.path().join("camera")] });
    step("sorting them, nothing named", limit, || {
        ask(&mut notebook, "photo.sort", request.clone());
    });
    step("keeping what was sorted", limit, || add(&mut notebook, &files));
    step("listing them", limit, || list(&mut notebook, count));
    step("taking it back", limit, || ask(&mut notebook, "notebook.undo", json!({})));
}

fn add(notebook: &mut Notebook, files: &[PathBuf]) {
    let photos: Vec<Json> =
        files.iter().map(|path| json!({ "path": path, "zone": "Front verge" })).collect();
    let added = call(notebook, "photo.add", json!({ "photos": photos })).expect("kept");
    assert_eq!(added["added"].as_array().map(Vec::len), Some(files.len()), "all are kept");
}

fn list(notebook: &mut Notebook, count: usize) {
    let list = call(notebook, "photo.list", json!({ "zone": "Front verge" })).expect("listed");
    assert_eq!(list.as_array().map(Vec::len), Some(count), "all are there");
}

fn ask(notebook: &mut Notebook, command: &str, request: Json) {
    black_box(call(notebook, command, request).expect("done"));
}

/// Decodes every file, nothing else.
fn decode_all(files: &[PathBuf], threads: usize) {
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
                    drop(black_box(decode(&std::fs::read(file).expect("read"))).expect("decoded"));
                }
            });
        }
    });
}

/// Does a step and says its row.
#[expect(clippy::disallowed_methods, reason = "a benchmark reads the clock")]
fn step(name: &str, limit: Option<Duration>, work: impl FnOnce()) -> Duration {
    // Where the kernel does not allow it, the most since the start is told, which is no less.
    let is_anew = std::fs::write("/proc/self/clear_refs", "5").is_ok();
    let begun = Instant::now();
    work();
    let took = begun.elapsed();
    let against = limit.map_or_else(String::new, |limit| {
        format!("{:.2}", took.as_secs_f64() / limit.as_secs_f64())
    });
    let memory =
        format!("{} MB{}", most_memory_mb(), if is_anew { "" } else { " since the start" });
    say(&row([name, &format!("{:.1} s", took.as_secs_f64()), &against, &memory]));
    took
}

fn row([name, time, against, memory]: [&str; 4]) -> String {
    format!("{name:<30} {time:>9} {against:>17} {memory:>14}")
}

/// A folder of photos as they come from a camera.
fn camera(folder: &Path, count: usize) -> Vec<PathBuf> {
    std::fs::create_dir(folder).expect("made");
    let pictures: Vec<Vec<u8>> = (0..PICTURES).map(|seed| picture(seed + 7)).collect();
    (0..count)
        .map(|number| {
            let mut bytes = pictures[number % pictures.len()].clone();
            bytes.extend(number.to_le_bytes());
            let path = folder.join(format!("{number:05}.jpg"));
            std::fs::write(&path, bytes).expect("written");
            path
        })
        .collect()
}

/// A picture of 4000 x 3000 pixels with detail everywhere, about as large as a phone's.
fn picture(seed: u32) -> Vec<u8> {
    let (width, height) = (4000_u32, 3000_u32);
    let mut state = seed;
    let mut rgb = Vec::with_capacity((3 * width * height) as usize);
    for _ in 0..width * height {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [_, _, noise, _] = state.to_le_bytes();
        let shade = noise / 8;
        rgb.extend([50 + shade, 85 + shade, 40 + shade / 2]);
    }
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 85)
        .write_image(&rgb, width, height, ExtendedColorType::Rgb8)
        .expect("a drawn picture is encoded");
    bytes
}

fn notebook(folder: &Path) -> Notebook {
    let day = NaiveDate::from_ymd_opt(2026, 9, 20).expect("a day");
    let surroundings = Box::new(FixedSurroundings::new(day, 3));
    let mut notebook = Notebook::create(folder, surroundings).expect("made");
    for request in [
        json!({ "kind": "property", "fields": { "name": "Kettle Bend" } }),
        json!({ "kind": "zone", "within": "Kettle Bend", "fields": { "name": "Front verge" } }),
    ] {
        call(&mut notebook, "record.add", request).expect("added");
    }
    notebook
}

/// The most memory that the process held, where the system tells; 0 elsewhere.
fn most_memory_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    status
        .lines()
        .find_map(|line| {
            line.strip_prefix("VmHWM:")?.trim().strip_suffix("kB")?.trim().parse().ok()
        })
        .map_or(0, |kb: u64| kb / 1024)
}

fn say(words: &str) {
    let line = format!("{words}\n");
    std::io::stdout().write_all(line.as_bytes()).expect("said");
}
