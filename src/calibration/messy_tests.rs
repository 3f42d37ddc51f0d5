//! Tests: readings as they come from a bench: repeated, from both sides, from other points than the image plane, copied from the
//! old scale, and one of them wild.

use super::{
    FocusCalibration, Known, LawChoice, Means, Moves, Origin, Reading, ReadingError, Turned, Warning, decisions_tests,
};
use crate::check::assert_close;
use crate::optics::TravelLaw;
use crate::units::{Angle, Distance, Length};

fn error() -> ReadingError {
    ReadingError { distance: Length::mm(2.0), share: 0.002, at: Angle::deg(0.3) }
}

fn law() -> TravelLaw {
    decisions_tests::truth()
}

fn known() -> Known {
    decisions_tests::known()
}

const DISTANCES: [f64; 7] = [f64::INFINITY, 5000.0, 2500.0, 1200.0, 900.0, 700.0, 600.0];

fn reading(mm: f64) -> Reading {
    let distance = if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity };
    Reading::taped(distance, law().angle(distance).unwrap(), error())
}

fn calibrate(readings: &[Reading]) -> FocusCalibration {
    FocusCalibration::new(&known(), LawChoice::Auto, readings, &error()).unwrap()
}

fn off(fit: &FocusCalibration, mm: f64) -> f64 {
    fit.law.angle(Distance::mm(mm)).unwrap().to_deg() - law().angle(Distance::mm(mm)).unwrap().to_deg()
}

fn both_sides(play: f64) -> Vec<Reading> {
    let from = |turned: Turned, by: f64| {
        DISTANCES.map(|mm| {
            let reading = reading(mm);
            Reading { at: Angle::deg(reading.at.to_deg() + by), turned: Some(turned), ..reading }
        })
    };
    [from(Turned::TowardClose, 0.5 * play), from(Turned::TowardInfinity, -0.5 * play)].concat()
}

#[test]
fn play_is_found_from_both_sides_and_the_marks_stand_in_its_middle() {
    let fit = calibrate(&both_sides(1.4));
    let play = fit.play.unwrap();
    // a prior of 5 degrees moves it toward zero by a thousandth
    assert_close(play.value.to_deg(), 1.4, 2e-3);
    // by hand: two means of seven readings of 0.3 degrees each; the tape's error is common to both sides
    assert_close(play.sigma.to_deg(), 0.3 * (2.0f64 / 7.0).sqrt(), 1e-3);
    assert!(play.is_there());
    for mm in [600.0, 800.0, 1500.0, 4000.0] {
        assert_close(off(&fit, mm), 0.0, 1e-3);
    }
    assert_eq!(fit.warnings, []);
}

#[test]
fn without_play_none_is_found_and_the_wrong_way_round_is_told() {
    assert!(!calibrate(&both_sides(0.0)).play.unwrap().is_there());
    assert_eq!(calibrate(&DISTANCES.map(reading)).play, None);
    let said: Vec<String> = calibrate(&both_sides(-1.4)).warnings.iter().map(ToString::to_string).collect();
    insta::assert_snapshot!(said.join("\n"), @"the ring seems to have 1.4° less than no play; `turned` may be the wrong way round");
}

#[test]
fn a_curve_takes_the_play_out_as_well() {
    let fit = FocusCalibration::new(&known(), LawChoice::Curve, &both_sides(1.4), &error()).unwrap();
    assert_close(fit.play.unwrap().value.to_deg(), 1.4, 0.01);
    assert_close(off(&fit, 900.0), 0.0, 0.05);
    assert_close(fit.residuals[4].error.to_deg(), 0.0, 0.05);
}

#[test]
fn repeats_at_one_distance_never_outweigh_the_tape() {
    // by hand: n readings of the ring at one target make its share fall with the root of n, and the tape's stays
    let repeated = |n: usize| {
        let mut readings = DISTANCES.map(reading).to_vec();
        readings.extend(std::iter::repeat_n(reading(600.0), n - 1));
        calibrate(&readings).angle_error(Distance::mm(600.0)).unwrap().to_deg()
    };
    let model = |n: f64| {
        let t = law().turn(600.0).unwrap();
        let tape = error().tape_error(Length::mm(600.0)).to_mm() / law().slope(t).abs();
        (0.3 / n.sqrt()).hypot(tape)
    };
    // beside the other readings the distance's own counts as one more observation
    let others = (1.0 / repeated(1).powi(2) - 1.0 / model(1.0).powi(2)).sqrt().recip();
    for n in [2, 5, 50] {
        let expected = (1.0 / others.powi(2) + 1.0 / model(n as f64).powi(2)).sqrt().recip();
        assert_close(repeated(n), expected, 0.01 * expected);
    }
}

#[test]
fn repeats_that_scatter_more_than_stated_widen_the_errors_and_say_so() {
    let scattered = |by: f64| {
        let at = |i: usize, mm: f64| {
            let reading = reading(mm);
            let aside = [by, -by, 0.0][i];
            Reading { at: Angle::deg(reading.at.to_deg() + aside), ..reading }
        };
        DISTANCES.iter().flat_map(|mm| (0..3).map(move |i| at(i, *mm))).collect::<Vec<Reading>>()
    };
    let (calm, outlier) = (calibrate(&scattered(0.2)), calibrate(&scattered(1.0)));
    assert_eq!(calm.warnings, []);
    // standard deviation of 1, -1, 0 is 1
    insta::assert_snapshot!(outlier.warnings[0], @"repeated readings scatter by ± 1.0° where ± 0.3° was stated; the errors were widened to match, or say so in reading_error");
    let sigma = |fit: &FocusCalibration| fit.angle_error(Distance::Infinity).unwrap().to_deg();
    assert!(sigma(&outlier) > 2.0 * sigma(&calm));
}

#[test]
fn one_wild_reading_is_named_and_does_not_bend_the_scale() {
    let mut readings = DISTANCES.map(reading);
    readings[3].at = Angle::deg(readings[3].at.to_deg() + 12.0);
    let fit = calibrate(&readings);
    assert_eq!(fit.outlier, Some(3));
    for mm in [600.0, 800.0, 1200.0, 4000.0] {
        assert_close(off(&fit, mm), 0.0, 0.01);
    }
    // its residual is still given, and all readings are listed
    assert_eq!(fit.residuals.len(), 7);
    assert_close(fit.residuals[3].error.to_deg(), 12.0, 0.02);
    assert!(matches!(fit.warnings[..], [Warning::Outlier { number: 4, rest: 6, .. }]));
}

#[test]
fn distances_from_a_fixed_point_are_counted_from_the_image_plane() {
    let from = Origin::Ahead { by: Length::mm(62.0), error: Length::mm(0.5), travels: false };
    let shifted = DISTANCES.map(|mm| {
        let reading = reading(mm);
        let distance = reading.distance.to_mm().map_or(Distance::Infinity, |mm| Distance::mm(mm - 62.0));
        Reading { distance, from, ..reading }
    });
    let fit = calibrate(&shifted);
    assert_close(off(&fit, 600.0), 0.0, 1e-3);
    assert_close(fit.residuals[6].subject.to_mm().unwrap(), 600.0, 1e-6);
}

#[test]
fn distances_from_the_front_rim_grow_with_the_lens() {
    let from = Origin::Ahead { by: Length::mm(62.0), error: Length::mm(0.5), travels: true };
    let law = law();
    let rim = DISTANCES.map(|mm| {
        let reading = reading(mm);
        let turn = reading.at.to_deg() - law.infinity.to_deg();
        let ahead = 62.0 + law.k_mm_per_deg * turn;
        let distance = reading.distance.to_mm().map_or(Distance::Infinity, |mm| Distance::mm(mm - ahead));
        Reading { distance, from, ..reading }
    });
    for choice in [LawChoice::Auto, LawChoice::Curve] {
        let fit = FocusCalibration::new(&known(), choice, &rim, &error()).unwrap();
        // the curve has no constraint between its readings
        let tolerance = if choice == LawChoice::Curve { 0.3 } else { 0.05 };
        assert_close(off(&fit, 620.0), 0.0, tolerance);
        assert_close(off(&fit, 1500.0), 0.0, tolerance);
    }
    // taken for a fixed point, 5 mm of travel at 0.6 m are a wrong law
    let fixed = Origin::Ahead { by: Length::mm(62.0), error: Length::mm(0.5), travels: false };
    let wrong = rim.map(|reading| Reading { from: fixed, ..reading });
    assert!(off(&calibrate(&wrong), 600.0).abs() > 0.1);
}

#[test]
fn a_point_that_is_not_known_well_makes_near_marks_unsure() {
    let sigma = |error: f64| {
        let from = Origin::Ahead { by: Length::mm(0.001), error: Length::mm(error), travels: false };
        let readings = DISTANCES.map(|mm| Reading { from, ..reading(mm) });
        let unsure = Known { principal_gap: None, ..known() };
        let fit = FocusCalibration::new(&unsure, LawChoice::Travel, &readings, &self::error()).unwrap();
        fit.angle_error(Distance::mm(600.0)).unwrap().to_deg()
    };
    // 10 mm beside 600 mm are 10/g degrees, g = dD/dt at 0.6 m
    let steep = law().slope(law().turn(600.0).unwrap()).abs();
    assert_close(sigma(10.0), sigma(0.0).hypot(10.0 / steep), 0.2 * sigma(10.0));
}

#[test]
fn engraved_marks_join_in_with_their_own_error() {
    let own = ReadingError { distance: Length::ZERO, share: 0.01, at: Angle::deg(0.5) };
    let engraved = |mm| Reading { by: Means::Engraving, error: own, ..reading(mm) };
    let copied = calibrate(&DISTANCES.map(engraved));
    let taped = calibrate(&DISTANCES.map(reading));
    let both: Vec<Reading> = DISTANCES.iter().flat_map(|mm| [reading(*mm), engraved(*mm)]).collect();
    let sigma = |fit: &FocusCalibration| fit.angle_error(Distance::mm(800.0)).unwrap().to_deg();
    assert!(sigma(&taped) < sigma(&copied));
    let both = sigma(&calibrate(&both));
    assert!(both < sigma(&taped), "{both}");
}

#[test]
fn a_checked_strip_that_is_stuck_beside_its_place_is_told_from_a_wrong_law() {
    let strip = |mm: f64| {
        let reading = reading(mm);
        Reading { at: Angle::deg(reading.at.to_deg() + 0.8), by: Means::Strip, ..reading }
    };
    let mut readings = DISTANCES.map(reading).to_vec();
    readings.extend([700.0, 1200.0, 2500.0].map(strip));
    let fit = calibrate(&readings);
    let placing = fit.placing.unwrap();
    assert!(placing.is_there());
    assert_close(placing.value.to_deg(), 0.8, 0.01);
    assert_close(off(&fit, 800.0), 0.0, 0.1);
}

#[test]
fn infinity_beside_the_stop_is_cured_by_a_shim_of_the_lenss_own_travel() {
    let fit = calibrate(&DISTANCES.map(reading));
    let infinity_offset = fit.infinity_offset(Angle::deg(2.0), Angle::deg(0.1), known().focal_length).unwrap();
    // infinity at 5 degrees, the stop at 2; a whole lens of lead 18 mm travels 18/360 mm to the degree
    assert_close(infinity_offset.off.to_deg(), 3.0, 0.01);
    assert_close(infinity_offset.axial.to_mm(), 3.0 * 18.0 / 360.0, 1e-3);
    // the curve has no constants and gives the same
    let curve = FocusCalibration::new(&known(), LawChoice::Curve, &DISTANCES.map(reading), &error()).unwrap();
    let by_curve = curve.infinity_offset(Angle::deg(2.0), Angle::deg(0.1), known().focal_length).unwrap();
    assert_close(by_curve.axial.to_mm(), infinity_offset.axial.to_mm(), 0.03);
}

#[test]
fn a_floating_lens_keeps_its_fronts_lead_and_no_focal_length() {
    // effective constants of a traced macro lens whose groups float: A K is no focal length
    let floating = TravelLaw { infinity: Angle::ZERO, a_mm_deg: 30_000.0, c_mm: 70.0, k_mm_per_deg: 0.05 };
    let known = Known { moves: Moves::Floating, lead: Some(Length::mm(18.0)), principal_gap: None, ..known() };
    let readings: Vec<Reading> = DISTANCES
        .map(|mm| if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity })
        .map(|distance| Reading::taped(distance, floating.angle(distance).unwrap(), error()))
        .to_vec();
    let fit = FocusCalibration::new(&known, LawChoice::Auto, &readings, &error()).unwrap();
    assert_eq!(fit.warnings, []);
    let at = Distance::mm(800.0);
    assert_close(fit.law.angle(at).unwrap().to_deg(), floating.angle(at).unwrap().to_deg(), 0.05);
    assert!(fit.effective);
}
