//! How long a plan takes: from nothing with 400 distances to choose from, and the next best reading of a law and of a cam.

use std::path::Path;

use ringwright::calibration::{FocusCalibration, Planner};
use ringwright::model::{Focus, Set};
use ringwright::units::{Angle, Distance, DistanceUnit, Length};

fn main() {
    divan::main();
}

/// 0: theory, 1: nine readings, 2: eleven marks of an old scale, 3: a cam with fourteen readings.
fn sample(lens: usize) -> (Focus, FocusCalibration) {
    let set = Set::parse("SET.toml", include_str!("../samples/SET.toml"), Path::new("samples"))
        .expect("the samples are read");
    let focus = set.lenses[lens].focus.clone().expect("every sample has a focus ring");
    let calibration = FocusCalibration::new(&focus.known, focus.law, &focus.readings, &focus.reading_error);
    (focus, calibration.expect("every sample has a law"))
}

fn planner<'a>(focus: &'a Focus, calibration: &'a FocusCalibration, room: f64) -> Planner<'a> {
    let law = &calibration.law;
    let [near, far] =
        [Distance::Finite(focus.closest), Distance::Infinity].map(|d| law.angle(d).map_or(0.0, Angle::to_deg));
    let mark = |i: i32| law.distance(Angle::deg(far + (near - far) * f64::from(i) / 40.0));
    Planner {
        known: &focus.known,
        calibration,
        readings: &focus.readings,
        error: focus.reading_error,
        from: focus.measured_from,
        room: Length::mm(room),
        far_target: true,
        tape: DistanceUnit::Metre,
        marks: (0..=40).filter_map(mark).collect(),
    }
}

#[divan::bench(args = [5, 6, 8, 12])]
fn from_nothing(bencher: divan::Bencher, count: usize) {
    let (focus, calibration) = sample(0);
    bencher.bench(|| planner(&focus, &calibration, 1e6).plan(Some(count)).is_ok());
}

#[divan::bench]
fn from_nothing_as_many_as_are_worth_it(bencher: divan::Bencher) {
    let (focus, calibration) = sample(0);
    bencher.bench(|| planner(&focus, &calibration, 1e6).plan(None).is_ok());
}

#[divan::bench(args = [1, 2, 3])]
fn next(bencher: divan::Bencher, lens: usize) {
    let (focus, calibration) = sample(lens);
    bencher.bench(|| planner(&focus, &calibration, 1e4).next().is_ok());
}
