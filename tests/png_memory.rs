//! How much memory a fine picture takes. A program of its own, because the peak is that of a whole process.
#![cfg(target_os = "linux")]

use ringwright::write::{BitDepth, Raster, png, svg};

#[path = "kit/strips.rs"]
mod strips;

/// The most memory that this process has held at once, in KiB.
fn peak() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).expect("the kernel states the peak");
    line.trim().strip_suffix("kB").unwrap().trim().parse().unwrap()
}

#[test]
fn a_strip_of_300_mm_at_2400_dpi_takes_less_than_64_mib() {
    let text = svg(&strips::strip(300.0, 20.0, 400, 60));
    for depth in [BitDepth::Grey8, BitDepth::Bilevel] {
        let mut bytes = Vec::new();
        png(&text, &Raster { dpi: 2400.0, depth }, &mut bytes).unwrap();
    }
    let peak = peak();
    // A band of 28347 x 256 pixels alone is 28 MiB, so less would mean that the wrong thing was measured.
    assert!((28 << 10..64 << 10).contains(&peak), "{peak} KiB at most");
}
