//! Tests: plans against all that could have been planned, against fits with the readings that they foresee, and against evenly
//! spaced readings on lenses traced from published prescriptions.

use super::design::{Candidate, Design};
use super::focus::FocusErrors;
use super::plan::{Planner, SetUp};
use super::traced_tests::{Noise, Traced, median};
use super::travel::TravelFit;
use super::unknowns::{Matrix, N, Vector};
use super::{FocusCalibration, Known, LawChoice, Origin, Reading, ReadingError};
use crate::check::assert_close;
use crate::optics::TravelLaw;
use crate::parallel;
use crate::units::{Angle, Distance, DistanceUnit, Length};

/// Distances evenly apart on the ring, with infinity.
fn evenly_on_the_ring(law: &TravelLaw, closest: f64, count: usize) -> Vec<Distance> {
    let turn = law.angle(Distance::mm(closest)).unwrap().to_deg() - law.infinity.to_deg();
    let at = |i: usize| law.infinity.to_deg() + turn * i as f64 / (count - 1) as f64;
    (0..count).map(|i| law.distance(Angle::deg(at(i))).unwrap()).collect()
}

/// The traced lenses that follow the law, each with its nominal law before any reading.
fn lenses() -> Vec<(Traced, FocusCalibration)> {
    let nominal = |lens: Traced| {
        lens.law()?;
        let calibration = FocusCalibration::new(&lens.known(false), LawChoice::Auto, &[], &lens.error()).ok()?;
        Some((lens, calibration))
    };
    let lenses: Vec<_> = Traced::all().into_iter().filter_map(nominal).collect();
    assert_eq!(lenses.len(), 11);
    lenses
}

fn travel(calibration: &FocusCalibration) -> &TravelFit {
    match &calibration.errors {
        FocusErrors::Travel(fit) => fit,
        FocusErrors::Curve(..) => panic!("a curve"),
    }
}

fn planner<'a>(lens: &Traced, known: &'a Known, calibration: &'a FocusCalibration) -> Planner<'a> {
    Planner {
        known,
        calibration,
        readings: &[],
        error: lens.error(),
        from: Origin::ImagePlane,
        room: Length::mm(10_000.0),
        far_target: true,
        tape: DistanceUnit::Metre,
        marks: evenly_on_the_ring(&travel(calibration).law(), lens.number("closest_mm"), 25),
    }
}

fn subsets(count: usize, of: usize, visit: &mut impl FnMut(&[usize])) {
    fn grow(chosen: &mut Vec<usize>, count: usize, of: usize, visit: &mut impl FnMut(&[usize])) {
        if chosen.len() == count {
            return visit(chosen);
        }
        for i in chosen.last().map_or(0, |last| last + 1)..of {
            chosen.push(i);
            grow(chosen, count, of, visit);
            chosen.pop();
        }
    }
    grow(&mut Vec::new(), count, of, visit);
}

#[test]
fn no_subset_of_small_cases_is_two_percent_better_than_the_exchange() {
    let mut worst_excess: f64 = 0.0;
    for (lens, calibration) in lenses() {
        let known = lens.known(false);
        let planner = planner(&lens, &known, &calibration);
        let all = planner.possible().unwrap();
        let some: Vec<SetUp> = (0..20).map(|i| all[i * (all.len() - 1) / 19]).collect();
        let fit = travel(&calibration);
        let before = planner.information(fit, &some).unwrap();
        let candidates: Vec<Candidate> = some.iter().map(|one| planner.candidate(&fit.model, one).unwrap()).collect();
        let marks: Vec<Vector> = planner.mark_slopes(fit).1;
        for count in [3, 4] {
            let turn = candidates[0].at - candidates[19].at;
            for apart in [0.0, turn / (count - 1) as f64 / 3.0] {
                let design = Design { before, candidates: &candidates, marks: &marks, apart };
                let (chosen, found) = design.best(count).unwrap();
                assert_eq!(chosen.len(), count);
                let mut least = f64::INFINITY;
                subsets(count, 20, &mut |chosen| {
                    let near = chosen.iter().enumerate().any(|(k, i)| {
                        chosen[..k].iter().any(|j| (candidates[*i].at - candidates[*j].at).abs() < apart)
                    });
                    if !near {
                        least = least.min(design.worst(&design.covariance(chosen).unwrap()).1);
                    }
                });
                worst_excess = worst_excess.max((found / least).sqrt() - 1.0);
                assert!(found.sqrt() <= 1.02 * least.sqrt(), "{} {count}: {found}, best {least}", lens.name);
            }
        }
    }
    println!("at worst {:.2} % above the best", 100.0 * worst_excess);
}

/// The greatest difference of two covariances, each cell in units of its own two standard errors.
fn difference(a: &Matrix, b: &Matrix) -> f64 {
    let mut most: f64 = 0.0;
    for i in 0..N {
        for j in 0..N {
            most = most.max((a[i][j] - b[i][j]).abs() / (b[i][i] * b[j][j]).sqrt());
        }
    }
    most
}

#[test]
fn the_foreseen_covariance_is_that_of_a_fit_with_the_reading() {
    let rim = Origin::Ahead { by: Length::mm(60.0), error: Length::mm(1.0), travels: true };
    let mut compared = 0;
    for (lens, calibration) in lenses() {
        for from in [Origin::ImagePlane, rim] {
            let known = lens.known(false);
            let mut planner = planner(&lens, &known, &calibration);
            planner.from = from;
            // without readings: those of the plan, each where the nominal law has it
            let plan = planner.plan(Some(5)).unwrap();
            let read = |planner: &Planner, one: &SetUp| vec![planner.predicted(one).unwrap(); one.repeats];
            let readings: Vec<Reading> = plan.set_ups.iter().flat_map(|one| read(&planner, one)).collect();
            let fit = FocusCalibration::new(&known, LawChoice::Travel, &readings, &lens.error()).unwrap();
            let off = difference(&travel(&plan.expected).covariance, &travel(&fit).covariance);
            assert!(off < 1e-6, "{} from nothing: {off}", lens.name);
            // and then one more
            let planner = Planner { calibration: &fit, readings: &readings, ..planner };
            for gain in planner.next().unwrap().unwrap().best {
                let more: Vec<Reading> = readings.iter().copied().chain(read(&planner, &gain.set_up)).collect();
                let after = FocusCalibration::new(&known, LawChoice::Travel, &more, &lens.error()).unwrap();
                let sigma = after.angle_error(gain.after.distance).unwrap().to_deg();
                assert!((gain.after.sigma.to_deg() / sigma - 1.0).abs() < 1e-6, "{}: {gain:?}, {sigma}", lens.name);
                let sure =
                    planner.marks.iter().all(|m| after.angle_error(*m).unwrap().to_deg() <= sigma * (1.0 + 1e-6));
                assert!(sure, "{}", lens.name);
                compared += 1;
            }
            let repeat = planner.next().unwrap().unwrap().repeat.unwrap();
            let more: Vec<Reading> = readings.iter().copied().chain(read(&planner, &repeat.set_up)).collect();
            let after = FocusCalibration::new(&known, LawChoice::Travel, &more, &lens.error()).unwrap();
            let sigma = after.angle_error(repeat.after.distance).unwrap().to_deg();
            assert!((repeat.after.sigma.to_deg() / sigma - 1.0).abs() < 1e-6, "{}: {repeat:?}, {sigma}", lens.name);
        }
    }
    assert_eq!(compared, 66);
}

/// The median over simulated measurements of the greatest error on forty distances evenly over the ring, in degrees.
fn measured(lens: &Traced, known: &Known, planner: &Planner, distances: &[Distance]) -> f64 {
    let law = lens.law().unwrap();
    let error = lens.error();
    let judged = evenly_on_the_ring(&law, lens.number("closest_mm"), 40);
    let mut noise = Noise(7);
    let mut worst = Vec::new();
    for _ in 0..200 {
        let mut readings = Vec::new();
        for distance in distances {
            // the taped distance is noted; the target's true distance differs by the tape's error, the same for all repeats
            let stands = match distance {
                Distance::Infinity => Distance::Infinity,
                Distance::Finite(mm) => Distance::mm(mm.to_mm() + noise.gauss() * error.tape_error(*mm).to_mm()),
            };
            let true_deg = law.angle(stands).unwrap().to_deg();
            for _ in 0..planner.set_up(*distance).unwrap().repeats {
                let at = Angle::deg(true_deg + error.at.to_deg() * noise.gauss());
                readings.push(Reading::taped(*distance, at, error));
            }
        }
        let fit = FocusCalibration::new(known, LawChoice::Travel, &readings, &error).unwrap();
        let off = |d: &Distance| {
            (fit.law.angle(*d).map_or(f64::INFINITY, Angle::to_deg) - law.angle(*d).unwrap().to_deg()).abs()
        };
        worst.push(judged.iter().map(off).fold(0.0, f64::max));
    }
    median(worst)
}

/// The plan's median, and those of as many distances even in distance, on the ring, and in 1/D.
fn against_even(lens: &Traced, calibration: &FocusCalibration) -> (usize, [f64; 4]) {
    let known = lens.known(false);
    let planner = planner(lens, &known, calibration);
    let planned: Vec<Distance> = planner.plan(None).unwrap().set_ups.iter().map(|one| one.taped).collect();
    let count = planned.len();
    let closest = lens.number("closest_mm");
    let room = planner.room.to_mm();
    let even = |to: f64, share: f64| closest + (to - closest) * share;
    let in_distance: Vec<Distance> = std::iter::once(Distance::Infinity)
        .chain((0..count - 1).map(|i| Distance::mm(even(room, i as f64 / (count - 2) as f64))))
        .collect();
    let on_ring = evenly_on_the_ring(&travel(calibration).law(), closest, count);
    let in_nearness: Vec<Distance> = std::iter::once(Distance::Infinity)
        .chain((1..count).map(|i| Distance::mm(closest * (count - 1) as f64 / i as f64)))
        .collect();
    let designs = [planned, in_distance, on_ring, in_nearness];
    println!("{}: {:?}", lens.name, designs[0].iter().map(ToString::to_string).collect::<Vec<_>>());
    (count, designs.map(|distances| measured(lens, &known, &planner, &distances)))
}

#[test]
fn planned_readings_leave_a_smaller_worst_error_than_evenly_spaced_ones() {
    let lenses = lenses();
    let found = parallel::each(&lenses, |(lens, calibration)| against_even(lens, calibration));
    let mut gains: [Vec<f64>; 3] = Default::default();
    for ((lens, _), (count, [planned, in_distance, on_ring, in_nearness])) in lenses.iter().zip(found) {
        println!(
            "{}: {count} set-ups, planned {planned:.3}, even in distance {in_distance:.3}, on the ring {on_ring:.3}, in 1/D \
             {in_nearness:.3}",
            lens.name
        );
        assert!(planned < in_distance, "{}: {planned}, even in distance {in_distance}", lens.name);
        for (gains, other) in gains.iter_mut().zip([in_distance, on_ring, in_nearness]) {
            gains.push(planned / other);
        }
    }
    let medians = gains.map(median);
    println!("planned over even in distance, on the ring, in 1/D: {medians:.3?}");
    assert!(medians.iter().all(|ratio| *ratio < 1.0), "{medians:?}");
}

#[test]
fn a_set_up_is_read_until_the_mean_of_the_ring_is_as_certain_as_the_tape() {
    let mut numbers = std::collections::BTreeSet::new();
    for (lens, nominal) in lenses() {
        let known = lens.known(false);
        let curve = FocusCalibration::new(&known, LawChoice::Curve, &lens.exact(), &lens.error()).unwrap();
        for calibration in [&nominal, &curve] {
            let planner = Planner { calibration, ..planner(&lens, &known, &nominal) };
            let ring = planner.error.at.to_deg();
            for one in planner.possible().unwrap().iter().filter(|one| one.at.is_some()) {
                numbers.insert(one.repeats);
                let Some(mm) = one.subject.to_mm() else {
                    // nothing is taped to infinity: the ring's error is all there is
                    assert_eq!(one.repeats, 5, "{}", lens.name);
                    continue;
                };
                // independent: how far the ring goes for a hundredth of the tape's error to either side, or to one at an end
                let tape = planner.error.tape_error(Length::mm(mm)).to_mm();
                let at = |share: f64| Some((share, calibration.law.angle(Distance::mm(mm + share * tape))?.to_deg()));
                let (near, far) = (at(-0.01).or(at(0.0)).unwrap(), at(0.01).or(at(0.0)).unwrap());
                let tape = (near.1 - far.1) / (far.0 - near.0);
                let mean = |count: usize| ring / (count as f64).sqrt();
                let what = format!("{} at {mm} mm: {} readings, ring {ring}, tape {tape}", lens.name, one.repeats);
                assert!(one.repeats == 5 || mean(one.repeats) <= 1.02 * tape, "{what}");
                assert!(one.repeats == 1 || mean(one.repeats - 1) >= 0.98 * tape, "{what}");
            }
        }
    }
    assert!(numbers.len() >= 3 && numbers.contains(&1) && numbers.contains(&5), "{numbers:?}");
}

/// A lens of 50 mm moved as a whole, 12 mm to a turn, whose rim moves with it.
fn moved_as_a_whole() -> (TravelLaw, Known) {
    let (focal_length, lead) = (Length::mm(50.0), Length::mm(12.0));
    let law = TravelLaw::from_lead(Angle::deg(4.0), focal_length, lead, Length::mm(100.0));
    let (principal_gap, closest) = (Some(Length::ZERO), Some(Length::mm(400.0)));
    (law, Known { principal_gap, lead: Some(lead), closest, ..Known::of(focal_length) })
}

/// Taped from a rim `by` mm ahead of the image plane at infinity, mm: the subject at this turn.
fn from_the_rim(law: &TravelLaw, by: f64, turn: f64) -> f64 {
    // 12 mm to a turn is a thirtieth of a millimetre to a degree
    law.distance(law.infinity + Angle::deg(turn)).unwrap().to_mm().unwrap() - by - turn / 30.0
}

const TURNS: [f64; 7] = [4.0, 9.0, 20.0, 50.0, 100.0, 160.0, 230.0];
const FINE: ReadingError = ReadingError { distance: Length::mm(0.5), share: 0.0, at: Angle::deg(0.05) };

#[test]
fn a_distance_taped_from_the_rim_is_planned_where_the_ring_stood_when_it_was_read() {
    let (law, known) = moved_as_a_whole();
    // the rim stands 70 mm ahead; the set says 60 and is not sure of it
    let from = Origin::Ahead { by: Length::mm(60.0), error: Length::mm(15.0), travels: true };
    let reading = |turn: f64| {
        let taped = Distance::mm(from_the_rim(&law, 70.0, turn));
        Reading { from, ..Reading::taped(taped, law.infinity + Angle::deg(turn), FINE) }
    };
    let readings = TURNS.map(reading);
    let fit = FocusCalibration::new(&known, LawChoice::Travel, &readings, &FINE).unwrap();
    let planner = rim_planner(&known, &fit, &readings, from);
    for reading in &readings {
        let at = planner.set_up(reading.distance).unwrap().at.unwrap();
        assert_close(at.to_deg(), reading.at.to_deg(), 0.05);
    }
    // before any reading what the set says holds: 60 mm, on the nominal law
    let nominal = FocusCalibration::new(&known, LawChoice::Travel, &[], &FINE).unwrap();
    let planner = rim_planner(&known, &nominal, &[], from);
    let nominal = travel(&nominal).law();
    for turn in TURNS {
        let taped = Distance::mm(from_the_rim(&nominal, 60.0, turn));
        let at = planner.set_up(taped).unwrap().at.unwrap();
        assert_close((at - nominal.infinity).to_deg(), turn, 1e-6);
    }
}

fn rim_planner<'a>(
    known: &'a Known,
    calibration: &'a FocusCalibration,
    readings: &'a [Reading],
    from: Origin,
) -> Planner<'a> {
    let (room, tape) = (Length::mm(10_000.0), DistanceUnit::Metre);
    Planner { known, calibration, readings, error: FINE, from, room, far_target: true, tape, marks: Vec::new() }
}

#[test]
fn on_a_curve_the_rim_travels_by_the_lead_and_stands_still_where_no_lead_is_known() {
    let (law, known) = moved_as_a_whole();
    let from = Origin::Ahead { by: Length::mm(60.0), error: Length::mm(1.0), travels: true };
    let at = |turn: f64| law.infinity + Angle::deg(turn);
    let read = |turn: f64| Reading::taped(law.distance(at(turn)).unwrap(), at(turn), FINE);
    let readings: Vec<Reading> = (0..=50).map(|i| read(5.0 * f64::from(i))).collect();
    let curve = FocusCalibration::new(&known, LawChoice::Curve, &readings, &FINE).unwrap();
    let still = Known { lead: None, ..known };
    for turn in [20.0, 50.0, 100.0, 160.0, 230.0] {
        let (with, without) = (from_the_rim(&law, 60.0, turn), from_the_rim(&law, 60.0, turn) + turn / 30.0);
        for (known, taped) in [(&known, with), (&still, without)] {
            let set_up = rim_planner(known, &curve, &readings, from).set_up(Distance::mm(taped)).unwrap();
            assert_close(set_up.at.unwrap().to_deg(), at(turn).to_deg(), 0.05);
            assert_close(set_up.subject.to_mm().unwrap() - 60.0, without, 0.1);
        }
    }
}
