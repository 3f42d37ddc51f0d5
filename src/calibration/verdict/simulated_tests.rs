//! Tests: verdicts over simulated checks of lenses traced from published prescriptions (tests/data/traced-lenses.json names each
//! source): seeds are fixed, errors gaussian and as stated, so that every share can be compared with its nominal one.

use super::super::traced_tests::{Noise, Traced, median};
use super::super::{FocusCalibration, Known, LawChoice, Moves, Reading};
use super::*;
use crate::parallel;

const RUNS: usize = 500;
/// A ring of 80 mm, and a mark guessed between two others to 0.3 mm.
const MM_PER_DEGREE: f64 = std::f64::consts::PI * 80.0 / 360.0;
const BY_EYE_MM: f64 = 0.3;

struct Bed {
    lens: Traced,
    /// The scale drawn by the law of its exact table.
    scale: FocusCalibration,
    camera: Camera,
}

impl Bed {
    fn all() -> Vec<Bed> {
        let bed = |lens: Traced| {
            let sharp = ReadingError { distance: Length::mm(0.01), share: 0.0, at: Angle::deg(0.01) };
            let exact: Vec<Reading> = lens.exact().into_iter().map(|r| Reading { error: sharp, ..r }).collect();
            let choice = if lens.cam { LawChoice::Curve } else { LawChoice::Auto };
            let scale = FocusCalibration::new(&lens.known(true), choice, &exact, &sharp).unwrap();
            let focal_length = Length::mm(lens.number("focal_length_mm"));
            let camera = Camera {
                lens: ThinLens { focal_length, principal_gap: Length::mm(lens.number("principal_gap_mm")) },
                circle_of_confusion: Length::mm(0.025),
                widest: Some(Stop::from_sixths(if focal_length.to_mm() > 100.0 { 18 } else { 12 })),
                mm_per_degree: MM_PER_DEGREE,
                closest: Length::mm(lens.number("closest_mm")),
            };
            Bed { lens, scale, camera }
        };
        Traced::all().into_iter().map(bed).collect()
    }

    fn error(&self) -> ReadingError {
        ReadingError { at: Angle::deg(BY_EYE_MM / MM_PER_DEGREE), ..self.lens.error() }
    }

    /// Infinity, the closest distance and three between, evenly along the ring.
    fn distances(&self) -> Vec<Distance> {
        let law = &self.scale.law;
        // a curve ends at its nearest reading, and a target taped nearer than that would be left out
        let nearest = Distance::Finite(self.camera.closest * if self.lens.cam { 1.03 } else { 1.0 });
        let far = law.angle(Distance::Infinity).unwrap().to_deg();
        let turn = law.angle(nearest).unwrap().to_deg() - far;
        let between = [0.25, 0.5, 0.75].map(|share| law.distance(Angle::deg(far + share * turn)).unwrap());
        [vec![Distance::Infinity], between.to_vec(), vec![nearest]].concat()
    }

    /// One round of checks on a lens that follows `truth`, of a scale that `drawn` drew and that is displaced by `placing`
    /// degrees toward close, as they are noted: beyond the infinity mark the scale reads infinity.
    fn checks(
        &self,
        truth: &dyn Fn(Distance) -> f64,
        drawn: &FocusCalibration,
        placing: f64,
        noise: &mut Noise,
    ) -> Vec<Reading> {
        let error = self.error();
        let check = |distance: Distance| {
            let taped = match distance {
                Distance::Infinity => Distance::Infinity,
                Distance::Finite(length) => Distance::Finite(length + error.tape_error(length) * noise.gauss()),
            };
            let under_index = truth(distance) + placing + error.at.to_deg() * noise.gauss();
            let infinity = drawn.law.angle(Distance::Infinity).unwrap().to_deg();
            let reads = drawn.law.distance(Angle::deg(under_index.max(infinity)))?;
            drawn.read_off(taped, reads, error, Origin::ImagePlane)
        };
        self.distances().into_iter().filter_map(check).collect()
    }

    /// Checks of a scale that is true but for its place, judged.
    fn round(&self, placing: f64, noise: &mut Noise) -> Judgement {
        let truth = |distance| self.scale.law.angle(distance).unwrap().to_deg();
        self.scale.judge(&self.checks(&truth, &self.scale, placing, noise), &self.camera).unwrap()
    }
}

fn share(hits: usize, of: usize) -> f64 {
    100.0 * hits as f64 / of as f64
}

#[test]
fn a_true_scale_is_kept_in_95_of_100_rounds_of_checks() {
    let kept = parallel::each(&Bed::all(), |bed| {
        let mut noise = Noise(31);
        let kept = (0..RUNS).filter(|_| bed.round(0.0, &mut noise).verdict == Verdict::Keep).count();
        (bed.lens.name.clone(), share(kept, RUNS))
    });
    assert_eq!(kept.len(), 17);
    for (name, kept) in kept {
        println!("{name}: {kept:.1} kept");
        assert!(kept >= 95.0, "{name}: {kept}");
    }
}

/// Counts over rounds of checks of a displaced strip.
struct Tally {
    name: String,
    shifts: usize,
    right_way: usize,
    /// Rounds whose two standard errors hold the true shift; of all, and of those with the verdict shift.
    held: usize,
    held_of_shifts: usize,
    refits: usize,
}

fn stuck_beside_its_place(mm: f64) -> Vec<Tally> {
    parallel::each(&Bed::all(), |bed| {
        let mut noise = Noise(32);
        let placing = mm / MM_PER_DEGREE;
        let name = bed.lens.name.clone();
        let mut tally = Tally { name, shifts: 0, right_way: 0, held: 0, held_of_shifts: 0, refits: 0 };
        for _ in 0..RUNS {
            let judgement = bed.round(placing, &mut noise);
            let Measured { value, sigma } = judgement.shift;
            let held = usize::from((value.to_deg() - placing).abs() <= 2.0 * sigma.to_deg());
            tally.held += held;
            tally.refits += usize::from(judgement.verdict == Verdict::Refit);
            if judgement.verdict == Verdict::Shift {
                tally.shifts += 1;
                tally.held_of_shifts += held;
                tally.right_way += usize::from(value.to_deg() * placing > 0.0);
            }
        }
        tally
    })
}

#[test]
fn a_strip_stuck_0_8_mm_beside_its_place_is_shifted_back_by_as_much_and_not_drawn_again() {
    for mm in [0.8, -0.8] {
        for tally in stuck_beside_its_place(mm) {
            let (held, of_shifts) = (share(tally.held, RUNS), share(tally.held_of_shifts, tally.shifts));
            let (name, refits) = (&tally.name, share(tally.refits, RUNS));
            println!(
                "{mm} {name}: {} shifts, {held:.1} hold, of them {of_shifts:.1}, {refits:.1} refits",
                tally.shifts
            );
            assert!((92.0..=98.0).contains(&held), "{mm} {name}: {held}");
            assert!(
                tally.shifts > 0 && tally.right_way == tally.shifts,
                "{mm} {name}: {} the right way",
                tally.right_way
            );
            assert!(refits <= 3.0, "{mm} {name}: {refits}");
            // where the verdict is seldom shift, it is so only in rounds that overestimate the shift
            assert!(of_shifts >= 92.0 || tally.shifts < RUNS / 2, "{mm} {name}: {of_shifts} of {}", tally.shifts);
        }
    }
}

/// Whole lenses with a name ring 5 % too high and no reading: the error of their scales before and after the checks join.
fn with_a_wrong_name_ring() -> Vec<(Bed, FocusCalibration, Known)> {
    let whole = |bed: &Bed| bed.lens.moves == Moves::Whole && !bed.lens.floating && !bed.lens.cam;
    let wrong = |bed: Bed| {
        let known = bed.lens.known(true);
        let known = Known { focal_length: known.focal_length * 1.05, ..known };
        let drawn = FocusCalibration::new(&known, LawChoice::Auto, &[], &bed.lens.error()).unwrap();
        (bed, drawn, known)
    };
    Bed::all().into_iter().filter(whole).map(wrong).collect()
}

#[test]
fn a_scale_drawn_for_a_focal_length_5_percent_too_long_is_drawn_again_and_not_shifted() {
    let lenses = with_a_wrong_name_ring();
    assert_eq!(lenses.len(), 8);
    for (bed, drawn, _) in &lenses {
        let mut noise = Noise(33);
        let mut said = 0;
        for _ in 0..RUNS {
            let checks = bed.checks(&bed.lens.truth(), drawn, 0.0, &mut noise);
            said += usize::from(drawn.judge(&checks, &bed.camera).unwrap().verdict == Verdict::Refit);
        }
        assert_eq!(said, RUNS, "{}", bed.lens.name);
    }
}

#[test]
fn a_scale_drawn_with_the_checks_is_truer_than_before() {
    for (bed, drawn, known) in with_a_wrong_name_ring() {
        let truth = bed.lens.truth();
        // a strip is put on by its infinity mark
        let worst = |law: &FocusCalibration| {
            let angle = |distance: Distance| law.law.angle(distance).map(|angle| angle.to_deg());
            let off = |distance| {
                let true_turn = truth(distance) - truth(Distance::Infinity);
                Some((angle(distance)? - angle(Distance::Infinity)? - true_turn).abs())
            };
            bed.distances().into_iter().map(|d| off(d).unwrap_or(f64::INFINITY)).fold(0.0, f64::max)
        };
        let before = worst(&drawn);
        let mut noise = Noise(34);
        let after: Vec<f64> = (0..RUNS)
            .map(|_| {
                let checks = bed.checks(&truth, &drawn, 0.0, &mut noise);
                let judgement = drawn.judge(&checks, &bed.camera).unwrap();
                let counted: Vec<Reading> =
                    judgement.counted.iter().map(|i| Reading { by: Means::Tape, ..checks[*i] }).collect();
                worst(&FocusCalibration::new(&known, LawChoice::Auto, &counted, &bed.lens.error()).unwrap())
            })
            .collect();
        let after = median(after);
        println!("{}: {before:.2} before, {after:.2} after", bed.lens.name);
        assert!(after < 0.2 * before, "{}: {before} before, {after} after", bed.lens.name);
    }
}
