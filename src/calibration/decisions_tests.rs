//! Tests: what a calibration decides and says, case by case.

use super::{CalibrationError, FocusCalibration, Known, LawChoice, Moves, Reading, ReadingError, Warning};
use crate::check::assert_close;
use crate::optics::{FocusLaw, TravelLaw};
use crate::units::{Angle, Distance, Length};

const F: f64 = 50.0;
const LEAD: f64 = 18.0;

pub(super) fn known() -> Known {
    Known {
        focal_length: Length::mm(F),
        principal_gap: Some(Length::mm(-4.0)),
        lead: Some(Length::mm(LEAD)),
        moves: Moves::Whole,
        closest: Some(Length::mm(600.0)),
        throw: Some(Angle::deg(120.0)),
    }
}

pub(super) fn truth() -> TravelLaw {
    TravelLaw::from_lead(Angle::deg(5.0), Length::mm(F), Length::mm(LEAD), Length::mm(2.0 * F - 4.0))
}

fn error() -> ReadingError {
    ReadingError { distance: Length::mm(2.0), share: 0.002, at: Angle::deg(0.3) }
}

fn readings(distances: &[f64]) -> Vec<Reading> {
    let at = |mm: &f64| {
        let distance = if mm.is_finite() { Distance::mm(*mm) } else { Distance::Infinity };
        Reading::taped(distance, truth().angle(distance).unwrap(), error())
    };
    distances.iter().map(at).collect()
}

fn calibrate(known: &Known, readings: &[Reading]) -> FocusCalibration {
    FocusCalibration::new(known, LawChoice::Auto, readings, &error()).unwrap()
}

fn said(calibration: &FocusCalibration) -> String {
    calibration.warnings.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn without_readings_the_name_ring_and_the_lead_make_the_law() {
    let fit = calibrate(&known(), &[]);
    let FocusLaw::Travel(law) = &fit.law else { panic!("{:?}", fit.law) };
    assert_close(law.a_mm_deg, F * F * 360.0 / LEAD, 1e-3);
    assert_close(law.c_mm, 96.0, 1e-6);
    // 3 % of F is 6 % of A, so 6 % of the turn at 2 m, where C and K hardly matter
    let distance = Distance::mm(2000.0);
    let turn = law.angle(distance).unwrap().to_deg() - law.infinity.to_deg();
    assert_close(fit.angle_error(distance).unwrap().to_deg(), (0.06 * turn).hypot(0.3), 0.05);
    insta::assert_snapshot!(said(&fit), @"no readings: the marks rest on the name ring and the lead alone; two taped readings would tell");
}

#[test]
fn throw_and_closest_distance_stand_in_for_readings_and_it_is_said() {
    let fit = calibrate(&Known { lead: None, ..known() }, &[]);
    assert_close(fit.law.angle(Distance::mm(600.0)).unwrap().to_deg(), 120.0, 3.0);
    assert!(fit.angle_error(Distance::mm(600.0)).unwrap().to_deg() > 2.0);
    insta::assert_snapshot!(said(&fit), @"no readings and no lead: the marks rest on throw and closest distance alone; measure before making anything");
}

#[test]
fn nothing_known_is_refused() {
    let nothing = Known { lead: None, throw: None, ..known() };
    let refused = FocusCalibration::new(&nothing, LawChoice::Auto, &[], &error()).unwrap_err();
    assert_eq!(refused, CalibrationError::NothingKnown);
    // an inner group's lead does not give the travel of the front
    let inside = Known { moves: Moves::Inside, throw: None, ..known() };
    assert!(FocusCalibration::new(&inside, LawChoice::Auto, &[], &error()).is_err());
}

#[test]
fn two_readings_are_enough_with_a_name_ring() {
    let fit = calibrate(&Known { lead: None, principal_gap: None, ..known() }, &readings(&[f64::INFINITY, 700.0]));
    for mm in [700.0, 1000.0, 2000.0, 10_000.0] {
        let distance = Distance::mm(mm);
        let (found, true_angle) =
            (fit.law.angle(distance).unwrap().to_deg(), truth().angle(distance).unwrap().to_deg());
        assert_close(found, true_angle, 2.5 * fit.angle_error(distance).unwrap().to_deg());
    }
    assert!(!fit.effective);
}

#[test]
fn any_zero_will_do_and_a_missing_infinity_is_told() {
    let fit = calibrate(&known(), &readings(&[3000.0, 1500.0, 1000.0, 700.0, 600.0]));
    assert_close(fit.law.angle(Distance::Infinity).unwrap().to_deg(), 5.0, 0.1);
    let one = calibrate(&Known { principal_gap: None, ..known() }, &readings(&[1000.0]));
    insta::assert_snapshot!(said(&one), @"infinity is placed to ± 4.1° only; add a reading of something very far away");
}

#[test]
fn one_reading_of_an_unknown_lead_places_nothing_and_it_is_said() {
    let adrift = calibrate(&Known { lead: None, principal_gap: None, throw: None, ..known() }, &readings(&[1000.0]));
    insta::assert_snapshot!(said(&adrift), @"what is known does not place the marks at all (infinity ± 360°): make nothing from this; read the ring at infinity and at the closest distance as well");
}

#[test]
fn the_odd_reading_is_named_and_the_priors_are_kept() {
    let mut readings = readings(&[f64::INFINITY, 5000.0, 2500.0, 1200.0, 900.0, 700.0, 600.0]);
    readings[3].at = Angle::deg(readings[3].at.to_deg() + 4.1);
    let fit = calibrate(&known(), &readings);
    assert_eq!(fit.outlier, Some(3));
    assert!(!fit.effective);
    insta::assert_snapshot!(said(&fit), @"reading 4, 1.2 m at 54.5°, is 4.1° off the others and was set aside: the marks rest on the other 6; take it again, or delete it if it was misread");
}

#[test]
fn a_wrong_lead_is_let_go_alone() {
    let fit = calibrate(
        &Known { lead: Some(Length::mm(24.0)), ..known() },
        &readings(&[f64::INFINITY, 5000.0, 2500.0, 1200.0, 900.0, 700.0, 600.0]),
    );
    assert!(fit.effective);
    assert!(matches!(fit.warnings[..], [Warning::LeadLetGo { .. }]), "{:?}", fit.warnings);
    assert_close(
        fit.law.angle(Distance::mm(800.0)).unwrap().to_deg(),
        truth().angle(Distance::mm(800.0)).unwrap().to_deg(),
        0.5,
    );
    insta::assert_snapshot!(said(&fit), @"the readings refute the lead at this focal length (a wrong lead or name ring, or a floating group; chance under 0.01 %); the lead was let go and the constants are effective ones");
}

#[test]
fn an_inner_group_said_to_be_a_whole_lens_lets_everything_go() {
    // the constants of a traced macro lens of 200 mm whose third group moves
    let inner = TravelLaw { infinity: Angle::ZERO, a_mm_deg: 52_378.2, c_mm: 295.438, k_mm_per_deg: 0.0 };
    let distances = [7500.0, 4800.0, 3000.0, 1900.0, 1250.0, 800.0, 500.0].map(Distance::mm);
    let at = |distance: Distance| Reading::taped(distance, inner.angle(distance).unwrap(), error());
    let readings: Vec<Reading> = [Distance::Infinity].into_iter().chain(distances).map(at).collect();
    let said_whole =
        Known { focal_length: Length::mm(200.0), principal_gap: None, lead: Some(Length::mm(44.0)), ..known() };
    let fit = calibrate(&said_whole, &readings);
    assert!(fit.effective && matches!(fit.warnings[..], [Warning::PriorsLetGo { .. }]), "{:?}", fit.warnings);
    assert_close(
        fit.law.angle(Distance::mm(650.0)).unwrap().to_deg(),
        inner.angle(Distance::mm(650.0)).unwrap().to_deg(),
        0.02,
    );
    insta::assert_snapshot!(said(&fit), @"the readings refute the name ring, the lead or the way the lens is said to move (chance under 0.01 %); the constants were set free and are effective ones");
}

#[test]
fn three_readings_against_the_name_ring_are_told_but_not_believed() {
    let wrong = Known { focal_length: Length::mm(85.0), principal_gap: Some(Length::ZERO), ..known() };
    let fit = calibrate(&wrong, &readings(&[f64::INFINITY, 1200.0, 700.0]));
    insta::assert_snapshot!(said(&fit), @r#"
the readings disagree with the name ring, the lead or the way the lens is said to move (chance under 0.01 %), but are too few to do without; take five or more
the readings scatter 13.9 times as much as their stated errors; the marks' errors were widened to match
"#);
}

#[test]
fn a_curve_needs_three_distances_and_ends_where_they_end() {
    let two = readings(&[2000.0, 700.0]);
    let refused = FocusCalibration::new(&known(), LawChoice::Curve, &two, &error()).unwrap_err();
    insta::assert_snapshot!(refused, @"a curve needs readings at three different distances at least, there are 2");
    let fit = FocusCalibration::new(&known(), LawChoice::Curve, &readings(&[4000.0, 2000.0, 1000.0, 700.0]), &error())
        .unwrap();
    assert_eq!(fit.law.angle(Distance::mm(4100.0)), None);
    assert_eq!(fit.angle_error(Distance::mm(4100.0)), None);
    // the error of the curve is greater between readings than at them
    let between = fit.angle_error(Distance::mm(1400.0)).unwrap();
    assert!(between.to_deg() > 0.2);
    insta::assert_snapshot!(said(&fit), @"a curve never reaches beyond its readings: no marks beyond 4 m; add a reading of infinity");
}

#[test]
fn standard_errors_are_those_of_repeated_readings() {
    // the spread of 400 fits is the standard error that each fit states
    let mut state = 7u64;
    let mut gauss = || {
        let mut uniform = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        (-2.0 * (1.0 - uniform()).ln()).sqrt() * (2.0 * std::f64::consts::PI * uniform()).cos()
    };
    let exact = readings(&[f64::INFINITY, 5000.0, 2500.0, 1200.0, 900.0, 700.0, 600.0]);
    let only_ring = ReadingError { distance: Length::ZERO, share: 0.0, at: Angle::deg(0.3) };
    let at = Distance::mm(1500.0);
    let unsure = Known { principal_gap: None, ..known() };
    let (mut squares, mut expected) = (0.0, 0.0);
    for _ in 0..400 {
        let noisy: Vec<Reading> = exact
            .iter()
            .map(|r| Reading::taped(r.distance, Angle::deg(r.at.to_deg() + 0.3 * gauss()), only_ring))
            .collect();
        let fit = FocusCalibration::new(&unsure, LawChoice::Travel, &noisy, &only_ring).unwrap();
        squares += (fit.law.angle(at).unwrap().to_deg() - truth().angle(at).unwrap().to_deg()).powi(2);
        expected = fit.angle_error(at).unwrap().to_deg();
    }
    // a standard deviation from 400 draws is known to 3.5 %; scatter by chance above one widens some errors
    assert_close((squares / 400.0).sqrt() / expected, 1.0, 0.15);
}
