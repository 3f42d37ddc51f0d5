//! How long a lens takes: the fit with its decisions, and the choice of marks.

use std::path::Path;

use ringwright::assembly::{self, Assembly};
use ringwright::calibration::{FocusCalibration, LawChoice};
use ringwright::model::Set;
use ringwright::scale::{Candidate, best};

fn main() {
    divan::main();
}

fn samples() -> Set {
    Set::parse("SET.toml", include_str!("../samples/SET.toml"), Path::new("samples")).expect("the samples are read")
}

/// 0: theory, 1: nine readings, 2: eleven marks of an old scale, 3: a cam with fourteen readings.
#[divan::bench(args = [0, 1, 2, 3])]
fn calibrate(bencher: divan::Bencher, lens: usize) {
    let set = samples();
    let focus = set.lenses[lens].focus.clone().expect("every sample has a focus ring");
    bencher.bench(|| FocusCalibration::new(&focus.known, LawChoice::Auto, &focus.readings, &focus.reading_error));
}

#[divan::bench(args = [0, 1, 2, 3])]
fn assemble_and_lay_out(bencher: divan::Bencher, lens: usize) {
    let set = samples();
    let lettering = assembly::lettering(&set).expect("the plain face is there");
    bencher.bench(|| Assembly::new(&set, &set.lenses[lens], &lettering).map(|assembly| assembly.strips().is_ok()));
}

#[divan::bench(args = [50, 200, 800])]
fn choose(bencher: divan::Bencher, count: usize) {
    let candidate = |i: usize| {
        let weight = [10.0, 3.0, 5.0, 2.0, 7.0][i % 5];
        Candidate { at: i as f64, before: 1.5, after: 1.5, weight, required: i == 0 || i + 1 == count }
    };
    let row: Vec<Candidate> = (0..count).map(candidate).collect();
    bencher.bench(|| best(&row, 2.0, |i, j| -1.0 / (j - i) as f64));
}

/// The errors of every mark of a scale of 57, all that feeds them and the stop from which each is true.
#[divan::bench]
fn trust_of_the_marks(bencher: divan::Bencher) {
    let set = samples();
    let lettering = assembly::lettering(&set).expect("the plain face is there");
    let assembly = Assembly::new(&set, &set.lenses[1], &lettering).expect("the sample is computed");
    let ring = assembly.focus.as_ref().expect("the sample has a focus ring");
    let distances: Vec<_> = ring.bands[0].marks.iter().filter_map(|mark| assembly::mark_distance(mark.value)).collect();
    assert!(distances.len() >= 57);
    bencher.bench(|| distances.iter().filter_map(|distance| ring.budget(assembly.lens, *distance)).count());
}
