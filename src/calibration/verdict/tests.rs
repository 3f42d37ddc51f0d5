//! Tests: single verdicts, worked by hand, and the depth of field that they allow.

use super::super::decisions_tests;
use super::super::{FocusCalibration, LawChoice};
use super::*;
use crate::check::assert_close;

const MM_PER_DEGREE: f64 = 0.7;

fn error() -> ReadingError {
    ReadingError { distance: Length::ZERO, share: 0.0, at: Angle::deg(0.3) }
}

/// The scale of an invented 50 mm lens, drawn by its true law.
fn scale() -> FocusCalibration {
    let sharp = ReadingError { distance: Length::mm(0.001), share: 0.0, at: Angle::deg(0.001) };
    let readings = [f64::INFINITY, 5000.0, 2000.0, 1000.0, 700.0, 600.0].map(|mm| {
        let distance = if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity };
        Reading::taped(distance, decisions_tests::truth().angle(distance).unwrap(), sharp)
    });
    FocusCalibration::new(&decisions_tests::known(), LawChoice::Auto, &readings, &sharp).unwrap()
}

fn camera() -> Camera {
    Camera {
        lens: ThinLens { focal_length: Length::mm(50.0), principal_gap: Length::mm(-4.0) },
        circle_of_confusion: Length::mm(0.025),
        widest: Some(Stop::from_sixths(6)),
        mm_per_degree: MM_PER_DEGREE,
        closest: Length::mm(600.0),
    }
}

/// A check that misses by `off` degrees.
fn check(mm: f64, off: f64) -> Reading {
    let scale = scale();
    let distance = if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity };
    let reads = scale.law.distance(scale.law.angle(distance).unwrap() + Angle::deg(off)).unwrap();
    scale.read_off(distance, reads, error(), Origin::ImagePlane).unwrap()
}

fn judge(checks: &[(f64, f64)]) -> Judgement {
    let checks: Vec<Reading> = checks.iter().map(|(mm, off)| check(*mm, *off)).collect();
    scale().judge(&checks, &camera()).unwrap()
}

#[test]
fn the_shift_is_the_weighted_mean_and_chi_square_is_about_it() {
    // by hand, errors of 0.3 each: mean of 1.0, 1.3, 1.6, 1.3 is 1.3, its error 0.3/2, chi-square 2 (0.3/0.3)^2
    let judgement = judge(&[(5000.0, 1.0), (2000.0, 1.3), (1000.0, 1.6), (700.0, 1.3)]);
    assert_close(judgement.shift.value.to_deg(), 1.3, 1e-6);
    assert_close(judgement.shift.sigma.to_deg(), 0.15, 1e-6);
    assert_close(judgement.chi_square, 2.0, 1e-5);
    assert_eq!((judgement.freedom, judgement.verdict), (3, Verdict::Shift));
}

#[test]
fn misses_are_improbable_from_the_tables_critical_value_on() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, from memory: chi-square at 4 degrees of freedom is exceeded by
    // 9.488 once in twenty, by 13.277 once in a hundred
    assert_close(exceeding(9.488, 4), 0.05, 2e-5);
    // a, -a, 0, -a, a: the mean is zero, chi-square 4 (a/0.3)^2
    let wave = |chi_square: f64| {
        let a = 0.3 * (chi_square / 4.0).sqrt();
        judge(&[(5000.0, a), (2000.0, -a), (1200.0, 0.0), (900.0, -a), (700.0, a)])
    };
    assert_close(wave(13.2).chi_square, 13.2, 1e-3);
    assert_eq!(wave(13.2).verdict, Verdict::Keep);
    let mut narrow = camera();
    narrow.widest = None;
    let refit = |chi_square: f64| {
        let a = 0.3 * (chi_square / 4.0).sqrt();
        let checks =
            [(5000.0, a), (2000.0, -a), (1200.0, 0.0), (900.0, -a), (700.0, a)].map(|(mm, off)| check(mm, off));
        scale().judge(&checks, &narrow).unwrap().verdict
    };
    assert_eq!((refit(13.2), refit(13.4)), (Verdict::Keep, Verdict::Refit));
}

#[test]
fn two_checks_at_one_taped_distance_share_the_tapes_error() {
    // by hand: two of at 0.3 with a tape of 0.4 in common are one of hypot(0.3/sqrt 2, 0.4)
    let scale = scale();
    let here = Distance::mm(700.0);
    let steep =
        scale.law.angle(Distance::mm(699.5)).unwrap().to_deg() - scale.law.angle(Distance::mm(700.5)).unwrap().to_deg();
    let tape = ReadingError { distance: Length::mm(0.4 / steep), ..error() };
    let twice = [scale.read_off(here, here, tape, Origin::ImagePlane).unwrap(); 2];
    let judgement = scale.judge(&twice, &camera()).unwrap();
    assert_close(judgement.shift.sigma.to_deg(), (0.3 / 2f64.sqrt()).hypot(0.4), 1e-3);
}

#[test]
fn one_wild_check_among_five_is_named_and_the_others_judged() {
    let judgement = judge(&[(f64::INFINITY, 0.0), (3000.0, 0.1), (1500.0, -4.0), (1000.0, 0.1), (650.0, -0.1)]);
    assert_eq!((judgement.outlier, judgement.verdict), (Some(2), Verdict::Keep));
    assert_eq!(judgement.misses[2].standing, Standing::Outlier);
    assert!(!judgement.counted.contains(&2));
}

#[test]
fn a_law_that_is_wrong_toward_one_end_is_drawn_again_and_no_check_is_blamed() {
    let judgement = judge(&[(f64::INFINITY, 0.0), (3000.0, 1.0), (1500.0, 2.5), (1000.0, 4.0), (650.0, 8.0)]);
    assert_eq!((judgement.outlier, judgement.verdict), (None, Verdict::Refit));
}

#[test]
fn one_check_or_checks_close_together_never_say_shift() {
    assert_eq!(judge(&[(1000.0, 0.2)]).verdict, Verdict::Keep);
    let one = judge(&[(1000.0, 3.0)]);
    assert_eq!((one.verdict, one.narrow), (Verdict::Unsure, true));
    let close = judge(&[(1000.0, 3.0), (950.0, 3.1), (900.0, 3.0)]);
    assert_eq!((close.verdict, close.narrow), (Verdict::Unsure, true));
    // a further check helps most at the end that is farther along the ring
    assert_eq!(close.next, Some(Distance::Infinity));
}

#[test]
fn beyond_the_infinity_mark_a_check_tells_a_side_only() {
    let others = [(5000.0, -2.0), (2000.0, -2.0), (1000.0, -2.0), (700.0, -2.0)];
    let with_infinity = judge(&[&[(f64::INFINITY, 0.0)], &others[..]].concat());
    assert_eq!((with_infinity.verdict, with_infinity.counted.len()), (Verdict::Shift, 4));
    assert_close(with_infinity.shift.value.to_deg(), -2.0, 1e-3);
    // where the others read too near, infinity contradicts them
    let against = others.map(|(mm, off)| (mm, -off));
    assert!(judge(&[&[(f64::INFINITY, 0.0)], &against[..]].concat()).counted.contains(&0));
}

#[test]
fn rough_checks_say_what_they_would_have_missed() {
    let rough = |at: f64| {
        let checks = [f64::INFINITY, 1000.0, 650.0].map(|mm| {
            let error = ReadingError { at: Angle::deg(at), ..error() };
            Reading { error, ..check(mm, 0.0) }
        });
        scale().judge(&checks, &camera()).unwrap().blind.is_some()
    };
    assert!(rough(3.0) && !rough(0.1));
}

/// A lens and the stop of worked examples.
fn judge_of(scale: &FocusCalibration, stop: Stop, c: f64, misses: impl Fn(&Judge) -> Option<f64>) -> f64 {
    let lens = ThinLens { focal_length: Length::mm(50.0), principal_gap: Length::ZERO };
    let camera = Camera { lens, circle_of_confusion: Length::mm(c), widest: Some(stop), ..camera() };
    let judge = Judge { scale, checks: &[], camera: &camera, errors: Vec::new(), misses: Vec::new() };
    misses(&judge).unwrap()
}

#[test]
fn the_stop_needed_is_that_of_published_depths_of_field() {
    let scale = scale();
    let turn = |from: f64, to: Distance| {
        scale.law.angle(Distance::mm(from)).unwrap().to_deg() - scale.law.angle(to).unwrap().to_deg()
    };
    // 50 mm at f/8, c = 0.03 mm: at infinity sharp from 10417 mm before the lens on (a published worked example); the scale is set
    // for a subject there and the lens stands at infinity. From the image plane that is 50 mm more.
    let subject = 10_417.0 + 50.0;
    let number = judge_of(&scale, Stop::from_sixths(36), 0.03, |judge| {
        judge.stop_needed(Distance::mm(subject), turn(subject, Distance::Infinity))
    });
    assert_close(number, 8.0, 0.01);
    // 50 mm at f/4, c = 0.03 mm, set at 10 ft: sharp from 8 ft 9 in to 11 ft 8 in (a published table, whole inches); distances
    // there count from the lens, and 50 mm are added
    for (subject, inches) in [(105.0, 0.6), (140.0, 0.6)] {
        let number_at = |inches: f64| {
            let (subject, focused) = (inches * 25.4 + 50.0, 3048.0 + 50.0);
            judge_of(&scale, Stop::from_sixths(24), 0.03, |judge| {
                judge.stop_needed(Distance::mm(subject), turn(subject, Distance::mm(focused)))
            })
        };
        let (a, b): (f64, f64) = (number_at(subject - inches), number_at(subject + inches));
        assert!(a.min(b) < 4.0 && a.max(b) > 4.0, "{subject}: {a} {b}");
    }
}

#[test]
fn past_infinity_a_subject_there_blurs_as_much_as_on_the_near_side() {
    let scale = scale();
    let needed = |subject: Distance, off: f64| {
        judge_of(&scale, Stop::from_sixths(12), 0.025, |judge| judge.stop_needed(subject, off))
    };
    assert_close(needed(Distance::Infinity, 1.0), needed(Distance::Infinity, -1.0), 1e-9);
    assert_close(needed(Distance::Infinity, 0.0), 0.0, 1e-9);
    // by hand, Newton: 1 degree of an 18 mm lead is 0.05 mm of travel, a blur of 0.05/N
    assert_close(needed(Distance::Infinity, 1.0), 0.05 / 0.025, 0.01);
    // a far subject passes from before infinity to past it without a step
    let turn = scale.law.angle(Distance::mm(20_000.0)).unwrap().to_deg() - 5.0;
    let (before, past) = (needed(Distance::mm(20_000.0), turn - 1e-4), needed(Distance::mm(20_000.0), turn + 1e-4));
    assert_close(before, past, 1e-2);
}
