//! What two devices take to hold the same again, beside a bare stream of the same bytes.
//!
//! `cargo bench -p swardbook-link --bench apart`
//!
//! Each device is a process of its own on this machine, both on loopback; `SWARDBOOK_NAMESPACES=1`
//! puts them into two network namespaces instead.
//! Everything lies in the target folder, so that durable writes are those of a disk.
//! `SWARDBOOK_PARTS=1` prints where the time of the season goes, and the most memory of each side.

#![allow(clippy::unwrap_used, reason = "a bench fails by panicking")]
#![allow(clippy::print_stdout, reason = "what divan does not measure is said in words")]

#[allow(dead_code, reason = "the tests use the rest")]
#[path = "../../tests/link/device.rs"]
mod device;
#[allow(dead_code, reason = "the tests use the rest")]
#[path = "../../tests/link/namespaces.rs"]
mod namespaces;
#[allow(dead_code, unused_imports, reason = "the tests use the rest")]
#[path = "../../tests/link/process.rs"]
mod process;

mod entries;
mod side;
mod two;

use divan::{Bencher, counter::BytesCount};
use two::{Two, World};

fn main() {
    if side::is_one() {
        return side::run();
    }
    if two::goes_inside() {
        return;
    }
    divan::main();
    if std::env::var_os("SWARDBOOK_PARTS").is_some() {
        entries::print_parts(&World::season().parts, World::season().floor);
        print_memory();
        print_live();
    }
}

/// From meeting until both know that they hold the same, all of it safe on both disks.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn season_of_5000_entries(bencher: Bencher<'_, '_>) {
    let world = World::season();
    bencher
        .counter(BytesCount::new(world.bytes))
        .with_inputs(|| world.start())
        .bench_local_values(Two::meet);
}

/// As many bytes as that exchange has, from meeting until they have been read.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn season_bare_stream_of_the_same_bytes(bencher: Bencher<'_, '_>) {
    let world = World::season();
    bencher
        .counter(BytesCount::new(world.bytes))
        .with_inputs(|| world.start())
        .bench_local_values(|two| two.bare(world.bytes));
}

/// 200 photos of 4 MB, until each is checked and safe under its name.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn photos_200_of_4_mb(bencher: Bencher<'_, '_>) {
    let world = World::photos();
    bencher
        .counter(BytesCount::new(world.bytes))
        .with_inputs(|| world.start())
        .bench_local_values(Two::meet_for_photos);
}

/// The same bytes on one stream, thrown away.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn photos_bare_stream_of_the_same_bytes(bencher: Bencher<'_, '_>) {
    let world = World::photos();
    bencher
        .counter(BytesCount::new(world.bytes))
        .with_inputs(|| world.start())
        .bench_local_values(|two| two.bare(world.bytes));
}

/// The same bytes on one stream, each file written, synced and given its name.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn photos_bare_stream_written_and_synced(bencher: Bencher<'_, '_>) {
    let world = World::photos();
    bencher
        .counter(BytesCount::new(world.bytes))
        .with_inputs(|| world.start())
        .bench_local_values(|two| two.bare_to_disk(world.bytes));
}

fn print_memory() {
    for (what, world) in [("season", World::season()), ("photos", World::photos())] {
        for (side, [before, most]) in world.start().memory() {
            println!("{what}: {side} holds {before} MiB before meeting, {most} MiB at most");
        }
    }
}

fn print_live() {
    let mut times = World::season().start().live(50);
    times.sort();
    let (median, worst) = (times[times.len() / 2], times[times.len() - 1]);
    println!(
        "an entry made while connected is safe on the other device after {median:?} (median of 50), {worst:?} at worst"
    );
}
