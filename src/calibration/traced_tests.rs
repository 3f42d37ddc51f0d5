//! Tests against lenses traced from published prescriptions (tests/data/traced-lenses.json names each source):
//! the law on exact tables, the fit against SciPy's recorded fits, and both over fresh noisy readings.

use serde_json::Value;

use super::prior::{Prior, common_errors};
use super::travel::{self, TravelFit};
use super::{CalibrationError, FocusCalibration, Known, LawChoice, Moves, Reading, ReadingError};
use crate::check::assert_close;
use crate::optics::{CurveLaw, TravelLaw};
use crate::units::{Angle, Distance, Length};

pub(super) struct Traced {
    pub name: String,
    raw: Value,
    pub moves: Moves,
    pub floating: bool,
    pub cam: bool,
    table: Vec<(Distance, f64)>,
    readings: Vec<(Distance, f64)>,
    held_out: Vec<(Distance, f64)>,
}

impl Traced {
    pub fn all() -> Vec<Traced> {
        let data: Value = serde_json::from_str(include_str!("../../tests/data/traced-lenses.json")).unwrap();
        let pairs = |value: &Value| {
            let pair = |p: &Value| (p[0].as_f64().map_or(Distance::Infinity, Distance::mm), p[1].as_f64().unwrap());
            value.as_array().unwrap().iter().map(pair).collect::<Vec<_>>()
        };
        let lens = |raw: &Value| Traced {
            name: raw["name"].as_str().unwrap().to_string(),
            moves: match raw["moves"].as_str().unwrap() {
                "front" => Moves::Front,
                "inside" => Moves::Inside,
                _ => Moves::Whole,
            },
            floating: raw["moves"] == "floating",
            cam: raw["cam"].as_bool().unwrap(),
            table: pairs(&raw["table"]),
            readings: pairs(&raw["readings"]),
            held_out: pairs(&raw["held_out"]),
            raw: raw.clone(),
        };
        data["lenses"].as_array().unwrap().iter().map(lens).collect()
    }

    fn named(name: &str) -> Traced {
        Traced::all().into_iter().find(|lens| lens.name == name).unwrap()
    }

    pub fn number(&self, key: &str) -> f64 {
        self.raw[key].as_f64().unwrap()
    }

    /// Prior knowledge of its user: name ring, lead, what moves; the gap where `gap` asks for it.
    pub fn known(&self, gap: bool) -> Known {
        Known {
            focal_length: Length::mm(self.number("focal_length_mm")),
            principal_gap: gap.then(|| Length::mm(self.number("principal_gap_mm"))),
            lead: Some(Length::mm(self.number("lead_mm"))),
            moves: self.moves,
            closest: Some(Length::mm(self.number("closest_mm"))),
            throw: None,
        }
    }

    pub fn error(&self) -> ReadingError {
        ReadingError {
            distance: Length::mm(self.number("distance_sigma_mm")),
            share: self.number("distance_sigma_share"),
            at: Angle::deg(self.number("angle_sigma_deg")),
        }
    }

    /// The exact law, where the prescription gives its constants.
    pub fn law(&self) -> Option<TravelLaw> {
        let c = self.raw["offset_mm"].as_f64().filter(|_| !self.cam)?;
        let f = Length::mm(self.number("moving_focal_length_mm"));
        Some(TravelLaw::from_lead(Angle::ZERO, f, Length::mm(self.number("lead_mm")), Length::mm(c)))
    }

    /// The true angle at any distance: the law, or the fine table interpolated.
    pub fn truth(&self) -> Box<dyn Fn(Distance) -> f64> {
        if let Some(law) = self.law() {
            return Box::new(move |d| law.angle(d).unwrap().to_deg());
        }
        let points: Vec<(Distance, Angle)> = self.exact().iter().map(|r| (r.distance, r.at)).collect();
        let offset = (2.0 * self.number("focal_length_mm")).min(0.8 * self.number("closest_mm"));
        let curve = CurveLaw::through(Length::mm(offset), &points).unwrap();
        Box::new(move |d| curve.angle(d).unwrap().to_deg())
    }

    /// The whole table with infinity, as readings without error.
    pub fn exact(&self) -> Vec<Reading> {
        let table = self.table.iter().copied().chain([(Distance::Infinity, 0.0)]);
        table.map(|(distance, at)| Reading::taped(distance, Angle::deg(at), self.error())).collect()
    }

    /// One fresh draw of the lens's hand readings.
    fn draw(&self, truth: &dyn Fn(Distance) -> f64, noise: &mut Noise) -> Vec<Reading> {
        let error = self.error();
        let closest = self.number("closest_mm");
        let one = |(distance, _): &(Distance, f64)| {
            let (true_distance, taped) = match distance.to_mm() {
                None => (Distance::Infinity, Distance::Infinity),
                Some(mm) => {
                    let mm = mm.max(closest);
                    let off = noise.gauss() * error.tape_error(Length::mm(mm)).to_mm();
                    (Distance::mm(mm), Distance::mm(mm + off))
                }
            };
            let at = Angle::deg(truth(true_distance) + error.at.to_deg() * noise.gauss());
            Reading::taped(taped, at, error)
        };
        self.readings.iter().map(one).collect()
    }

    fn rms(&self, angle: impl Fn(Distance) -> Option<Angle>) -> f64 {
        let squares: f64 =
            self.held_out.iter().map(|(d, true_deg)| (angle(*d).unwrap().to_deg() - true_deg).powi(2)).sum();
        (squares / self.held_out.len() as f64).sqrt()
    }
}

/// SplitMix64 (Steele, Lea, Flood 2014) and the Box-Muller transform: the same draws on every machine.
pub(super) struct Noise(pub u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn gauss(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (2.0 * std::f64::consts::PI * self.uniform()).cos()
    }
}

pub(super) fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// The focal length of what moves held at its nominal value, as the recorded fits hold it.
fn focal_length_held(lens: &Traced) -> Vec<Prior> {
    let f = lens.raw["moving_focal_length_mm"].as_f64().unwrap_or_else(|| lens.number("focal_length_mm"));
    vec![Prior::LogFocalLength { value: f.ln(), sigma: 1e-5 }]
}

fn lead_held(lens: &Traced) -> Vec<Prior> {
    let k = lens.number("lead_mm") / 360.0;
    vec![Prior::Travel { value: k, sigma: 1e-5 * k }]
}

/// The priors of the law, with the shared errors of readings fixed at zero.
fn pinned(priors: &[Prior]) -> Vec<Prior> {
    priors.iter().copied().chain(common_errors(&[])).collect()
}

fn with_error(readings: Vec<Reading>, error: ReadingError) -> Vec<Reading> {
    readings.into_iter().map(|reading| Reading { error, ..reading }).collect()
}

fn recorded_readings(lens: &Traced) -> Vec<Reading> {
    let reading = |(distance, at): &(Distance, f64)| Reading::taped(*distance, Angle::deg(*at), lens.error());
    lens.readings.iter().map(reading).collect()
}

#[test]
fn the_law_reproduces_every_traced_table_whose_constants_are_known() {
    let mut tables = 0;
    for lens in Traced::all() {
        let Some(law) = lens.law() else { continue };
        tables += 1;
        for (distance, angle) in &lens.table {
            let found = law.distance(Angle::deg(*angle)).unwrap().to_mm().unwrap();
            let mm = distance.to_mm().unwrap();
            assert!((found / mm - 1.0).abs() < 1e-6, "{}: {mm} came out as {found}", lens.name);
        }
    }
    assert_eq!(tables, 11);
}

#[test]
fn set_free_the_law_fits_inner_groups_and_floating_lenses() {
    let mut fitted = 0;
    for lens in Traced::all().into_iter().filter(|lens| (lens.moves == Moves::Inside || lens.floating) && !lens.cam) {
        fitted += 1;
        let error = ReadingError { distance: Length::ZERO, share: 0.0, at: Angle::deg(0.01) };
        let free = [Prior::Infinity { value: 0.0, sigma: 360.0 }];
        let fit = travel::fit(&lens.known(false), &with_error(lens.exact(), error), &pinned(&free)).unwrap();
        for (distance, angle) in &lens.table {
            assert_close(fit.law().angle(*distance).unwrap().to_deg(), *angle, 0.02);
        }
    }
    assert_eq!(fitted, 4);
}

fn compare(lens: &Traced, fit: &TravelFit, recorded: &Value, third: &str, tolerance: f64) {
    let number = |key: &str| recorded[key].as_f64().unwrap();
    let sigma =
        recorded["standard_errors"].as_array().map(|a| a.iter().map(|v| v.as_f64().unwrap()).collect::<Vec<_>>());
    let ours = fit.standard_errors().unwrap();
    let near = |name: &str, actual: f64, expected: f64, scale: f64| {
        assert!((actual - expected).abs() <= tolerance * scale, "{} {name}: {actual}, recorded {expected}", lens.name);
    };
    let sigma = sigma.unwrap();
    near("infinity", fit.law().infinity.to_deg(), number("infinity_deg"), sigma[0]);
    let free = match third {
        "travel_mm_per_deg" => fit.law().k_mm_per_deg,
        _ => (fit.law().a_mm_deg * fit.law().k_mm_per_deg).sqrt(),
    };
    near(third, free, number(third), sigma[1]);
    near("offset", fit.law().c_mm, number("offset_mm"), sigma[2]);
    near("error of infinity", ours.infinity.to_deg(), sigma[0], sigma[0]);
    near("error of offset", ours.c.to_mm(), sigma[2], sigma[2]);
}

#[test]
fn held_where_scipy_held_it_the_fit_finds_scipys_constants_and_errors() {
    // SciPy's curve_fit with sigma combined through the slope over six passes; ours iterates to convergence. On the inner
    // group, which a held focal length does not fit, six passes are too few: with more, SciPy converges to 0.617714 mm
    // per degree, as ours does, 0.03 standard errors from the recorded value
    let mut compared = 0;
    for lens in Traced::all() {
        let fits = &lens.raw["recorded_fits"];
        let readings = recorded_readings(&lens);
        for (key, priors, third) in [
            ("curve_fit", focal_length_held(&lens), "travel_mm_per_deg"),
            ("curve_fit_focal_length_known", focal_length_held(&lens), "travel_mm_per_deg"),
            ("curve_fit_lead_known", lead_held(&lens), "moving_focal_length_mm"),
        ] {
            // for the cams least squares of this law have no well-defined optimum
            if fits[key].is_null() || lens.cam {
                continue;
            }
            let fit = travel::fit(&lens.known(false), &readings, &pinned(&priors)).unwrap();
            compare(&lens, &fit, &fits[key], third, if lens.name == "macro-200-internal" { 0.1 } else { 0.01 });
            compared += 1;
        }
    }
    assert_eq!(compared, 23);
}

/// SciPy 1.17 least_squares with the same priors, lead known, weights held for each of 30 passes: infinity in degrees, F
/// and C in mm.
const WEIGHTS_HELD: [(&str, f64, f64, f64); 4] = [
    ("four-element-75-whole", -0.418_03, 75.565_89, 144.829_55),
    ("retrofocus-28-whole", 0.081_21, 27.947_59, 78.962_24),
    ("telephoto-200-whole", 0.175_59, 200.646_67, 608.335_89),
    ("three-group-85-whole", 0.039_34, 84.882_90, 180.090_65),
];

#[test]
fn with_the_same_priors_the_fit_finds_what_scipys_least_squares_found() {
    let mut compared = 0;
    for lens in Traced::all() {
        let f = lens.number("focal_length_mm");
        let k = lens.number("lead_mm") / 360.0;
        for (key, lead_share) in
            [("least_squares_priors_lead_known", 0.005), ("least_squares_priors_lead_unknown", 0.5)]
        {
            let recorded = &lens.raw["recorded_fits"][key];
            if recorded.is_null() {
                continue;
            }
            let priors = [
                Prior::LogFocalLength { value: f.ln(), sigma: 0.03 },
                Prior::Offset { value: 2.0 * f, sigma: 0.5 * f },
                Prior::Travel { value: k, sigma: lead_share * k },
            ];
            let fit = travel::fit(&lens.known(false), &recorded_readings(&lens), &pinned(&priors)).unwrap();
            let sigma = fit.standard_errors().unwrap();
            let number = |key: &str| recorded[key].as_f64().unwrap();
            // SciPy's fit changes the readings' weights inside the minimisation, ours between passes: SciPy differs from
            // itself by as much when its weights are held for each pass
            assert_close(fit.law().infinity.to_deg(), number("infinity_deg"), 0.05 * sigma.infinity.to_deg());
            assert_close(fit.law().k_mm_per_deg, number("travel_mm_per_deg"), 0.05 * sigma.k_mm_per_deg);
            assert_close(fit.law().c_mm, number("offset_mm"), 0.15 * sigma.c.to_mm());
            if lead_share == 0.005 {
                let held = WEIGHTS_HELD.iter().find(|(name, ..)| *name == lens.name).unwrap();
                // gaussian in ln F here, in F there
                assert_close(fit.law().infinity.to_deg(), held.1, 0.002 * sigma.infinity.to_deg());
                assert_close((fit.law().a_mm_deg * fit.law().k_mm_per_deg).sqrt(), held.2, 0.02);
                assert_close(fit.law().c_mm, held.3, 0.005 * sigma.c.to_mm());
            }
            compared += 1;
        }
    }
    assert_eq!(compared, 8);
}

#[test]
fn no_better_start_is_known_than_a_search_over_c() {
    // independent of the derivatives and of the starts: for fixed C and K = 0 or the lead's, the best line is linear;
    // the fit must not be worse than any point of a fine grid
    for lens in Traced::all() {
        let readings = recorded_readings(&lens);
        let free = [Prior::Infinity { value: 0.0, sigma: 360.0 }];
        let fit = travel::fit(&lens.known(false), &readings, &pinned(&free)).unwrap();
        let sigma: Vec<f64> = readings.iter().map(|r| fit.model.error(r).unwrap()).collect();
        let misfit = |law: &TravelLaw| -> Option<f64> {
            let terms = readings.iter().zip(&sigma).map(|(r, s)| {
                let off = law.angle(r.distance)?.to_deg() - r.at.to_deg();
                Some((off / s).powi(2))
            });
            terms.sum()
        };
        let best = misfit(&fit.law()).unwrap();
        let near = |value: f64, share: f64| (-6..=6).map(move |i| value * (1.0 + share * f64::from(i)));
        for c in near(fit.law().c_mm, 0.03) {
            for k in near(fit.law().k_mm_per_deg, 0.03) {
                for a in near(fit.law().a_mm_deg, 0.01) {
                    for shift in [-0.3, -0.1, 0.0, 0.1, 0.3] {
                        let infinity = Angle::deg(fit.law().infinity.to_deg() + shift);
                        let law = TravelLaw { infinity, a_mm_deg: a, c_mm: c, k_mm_per_deg: k };
                        let Some(other) = misfit(&law) else { continue };
                        assert!(other >= best - 1e-3, "{}: {law:?} has {other}, the fit {best}", lens.name);
                    }
                }
            }
        }
    }
}

/// The recorded medians come from 120 draws of another generator; 300 of ours give a median to about 4 %.
const DRAWS: usize = 300;

/// Medians of the rms error at distances that were not read: ours, focal length held, lead held.
fn medians(lens: &Traced, gap: bool) -> (f64, f64, f64) {
    let truth = lens.truth();
    let mut noise = Noise(2026);
    let (mut ours, mut held, mut lead) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..DRAWS {
        let readings = lens.draw(&truth, &mut noise);
        let fit = FocusCalibration::new(&lens.known(gap), LawChoice::Travel, &readings, &lens.error()).unwrap();
        ours.push(lens.rms(|d| fit.law.angle(d)));
        for (priors, errors) in [(focal_length_held(lens), &mut held), (lead_held(lens), &mut lead)] {
            // where the held law does not reach, SciPy's fit fails as well
            let fit = travel::fit(&lens.known(gap), &readings, &pinned(&priors));
            let reached = fit.filter(|fit| lens.held_out.iter().all(|(d, _)| fit.law().angle(*d).is_some()));
            errors.push(reached.map_or(f64::INFINITY, |fit| lens.rms(|d| fit.law().angle(d))));
        }
    }
    (median(ours), median(held), median(lead))
}

#[test]
fn over_fresh_readings_the_fit_is_no_worse_than_scipys_on_any_lens() {
    for lens in Traced::all() {
        let (ours, held, lead) = medians(&lens, false);
        // on the same draws; 2 % for the error of the median
        println!("{}: {ours:.4}, held focal length {held:.4}, held lead {lead:.4}", lens.name);
        // a floating lens declared as whole has a lead that is not its front's: dropping that prior loses some information
        let price = if lens.floating { 1.05 } else { 1.02 };
        assert!(ours <= price * held.min(lead), "{}: {ours}, held focal length {held}, held lead {lead}", lens.name);
        // whole lenses meet their recorded medians below, with the gap that their prescription gives
        if let Some(recorded) =
            lens.raw["recorded_medians_deg"].as_object().filter(|_| lens.moves != Moves::Whole || lens.floating)
        {
            let least = recorded.values().map(|v| v.as_f64().unwrap()).fold(f64::INFINITY, f64::min);
            assert!(ours <= least, "{}: {ours}, recorded {least}", lens.name);
        }
    }
}

#[test]
fn where_the_gap_is_known_a_whole_lens_is_placed_better_by_a_seventh() {
    for lens in Traced::all().into_iter().filter(|l| l.moves == Moves::Whole && !l.floating && !l.cam) {
        let (ours, held, lead) = medians(&lens, true);
        println!("{}: {ours:.4}, held focal length {held:.4}, held lead {lead:.4}", lens.name);
        assert!(ours <= 0.85 * held.min(lead), "{}: {ours}, held focal length {held}, held lead {lead}", lens.name);
        if let Some(recorded) = lens.raw["recorded_medians_deg"]["curve_fit_lead_known"].as_f64() {
            assert!(ours < recorded, "{}: {ours}, recorded {recorded}", lens.name);
        }
    }
}

/// How many of the draws end with effective constants, and with a curve.
fn outcomes(lens: &Traced, moves: Moves) -> (usize, usize) {
    let truth = lens.truth();
    let mut noise = Noise(11);
    let mut outcomes = (0, 0);
    for _ in 0..60 {
        let readings = lens.draw(&truth, &mut noise);
        let known = Known { moves, ..lens.known(false) };
        let fit = FocusCalibration::new(&known, LawChoice::Auto, &readings, &lens.error()).unwrap();
        outcomes.0 += usize::from(fit.effective);
        outcomes.1 += usize::from(fit.law.kind() == "curve");
    }
    outcomes
}

#[test]
fn auto_lets_the_priors_go_for_inner_groups_said_to_be_whole_lenses() {
    for name in ["telephoto-127-rear-group", "macro-200-internal"] {
        let (effective, curve) = outcomes(&Traced::named(name), Moves::Whole);
        assert_eq!((effective, curve), (60, 0), "{name}");
    }
}

#[test]
fn auto_keeps_the_priors_of_whole_lenses() {
    for lens in Traced::all().into_iter().filter(|l| l.moves == Moves::Whole && !l.floating && !l.cam) {
        let (effective, curve) = outcomes(&lens, Moves::Whole);
        // one in a hundred by the level of the test; three of 60 happen by chance once in fifty lenses
        assert!(effective <= 3 && curve <= 3, "{}: {effective} let go, {curve} curves", lens.name);
    }
}

#[test]
fn auto_takes_the_curve_for_a_strong_cam_from_hand_readings() {
    assert_eq!(outcomes(&Traced::named("double-gauss-50-cam"), Moves::Whole).1, 60);
}

#[test]
fn auto_takes_the_curve_for_a_gentle_cam_once_the_readings_can_show_it() {
    // the law misses this cam by 0.7 degrees at worst: hand readings of half a degree cannot refute it, careful ones can
    let lens = Traced::named("macro-200-internal-cam");
    let error = ReadingError { distance: Length::mm(0.2), share: 0.0, at: Angle::deg(0.1) };
    let exact = with_error(lens.exact(), error);
    let readings: Vec<Reading> =
        exact.into_iter().filter(|r| r.distance.to_mm().is_none_or(|mm| mm < 21_000.0)).collect();
    let fit = FocusCalibration::new(&lens.known(false), LawChoice::Auto, &readings, &error).unwrap();
    assert_eq!(fit.law.kind(), "curve", "{:?} {} {}", fit.warnings, fit.chi_square, fit.freedom);
    assert_eq!(outcomes(&lens, Moves::Inside).1, 0);
}

#[test]
fn the_curve_is_scipys_monotone_cubic() {
    // worst error over the table with SciPy's PchipInterpolator through the stated exact readings
    let mut compared = 0;
    for lens in Traced::all() {
        for (key, recorded) in lens.raw["recorded_fits"].as_object().unwrap() {
            let (true, Some(c0)) = (key.starts_with("pchip"), recorded["C0_mm"].as_f64()) else { continue };
            let distances: Vec<f64> =
                recorded["distances_mm"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
            let at =
                |mm: &f64| lens.table.iter().find(|(d, _)| d.to_mm() == Some(*mm)).map(|(d, a)| (*d, Angle::deg(*a)));
            let Some(mut points) = distances.iter().map(at).collect::<Option<Vec<_>>>() else { continue };
            points.push((Distance::Infinity, Angle::ZERO));
            let curve = CurveLaw::through(Length::mm(c0), &points).unwrap();
            let off = |(d, a): &(Distance, f64)| (curve.angle(*d).unwrap().to_deg() - a).abs();
            let worst = lens.table.iter().chain(&lens.held_out).map(off).fold(0.0, f64::max);
            let expected = recorded["worst_error_deg"].as_f64().unwrap();
            println!("{} {key}: {worst:.4}, recorded {expected}", lens.name);
            assert_close(worst, expected, 0.000_06);
            compared += 1;
        }
    }
    assert!(compared > 0);
}

/// How often, in percent, two stated standard errors hold the true angle at each distance that was not read: readings
/// drawn with the recorded noise at the recorded distances, and prior knowledge drawn with the error
/// that the fit assumes, name ring 3 % and lead 0.5 %.
fn coverage(lens: &Traced) -> Vec<f64> {
    const MEASUREMENTS: usize = 1000;
    let truth = lens.truth();
    let mut noise = Noise(4);
    let mut held = vec![0usize; lens.held_out.len()];
    let nominal = lens.known(true);
    for _ in 0..MEASUREMENTS {
        let readings = lens.draw(&truth, &mut noise);
        let known = Known {
            moves: if lens.floating { Moves::Floating } else { nominal.moves },
            focal_length: Length::mm(nominal.focal_length.to_mm() * (0.03 * noise.gauss()).exp()),
            lead: nominal.lead.map(|lead| Length::mm(lead.to_mm() * (1.0 + 0.005 * noise.gauss()))),
            ..nominal
        };
        let fit = FocusCalibration::new(&known, LawChoice::Auto, &readings, &lens.error()).unwrap();
        for ((distance, true_deg), held) in lens.held_out.iter().zip(&mut held) {
            let (Some(found), Some(sigma)) = (fit.law.angle(*distance), fit.angle_error(*distance)) else { continue };
            *held += usize::from((found.to_deg() - true_deg).abs() <= 2.0 * sigma.to_deg());
        }
    }
    held.into_iter().map(|held| 100.0 * held as f64 / MEASUREMENTS as f64).collect()
}

#[test]
fn two_standard_errors_hold_the_true_angle_in_92_to_98_of_100_measurements_at_every_distance() {
    let lenses = Traced::all();
    let found = crate::parallel::each(&lenses, coverage);
    assert_eq!(found.len(), 17);
    for (lens, held) in lenses.iter().zip(found) {
        println!("{}: {held:?}", lens.name);
        if !lens.cam {
            assert!(held.iter().all(|share| (92.0..=98.0).contains(share)), "{}: {held:?}", lens.name);
            continue;
        }
        // The form of a cam between two readings is not random: at some distances the band misses it every time, at others
        // never, and bands of this kind hold on the average over the scale (G. Wahba, J. R. Stat. Soc. B 45, 1983, 133;
        // D. Nychka, J. Am. Stat. Assoc. 83, 1988, 1134; both from memory).
        let mean = held.iter().sum::<f64>() / held.len() as f64;
        assert!((92.0..=98.0).contains(&mean) && held.iter().all(|share| *share > 75.0), "{}: {held:?}", lens.name);
    }
}

#[test]
fn exchanged_neighbours_are_named_and_good_readings_are_not() {
    const RUNS: usize = 30;
    let (mut named, mut all) = (0, 0);
    for (l, lens) in Traced::all().into_iter().enumerate() {
        let (known, error, truth) = (lens.known(false), lens.error(), lens.truth());
        let mut noise = Noise(900 + l as u64);
        for run in 0..RUNS {
            let mut readings = lens.draw(truth.as_ref(), &mut noise);
            readings.sort_by(|a, b| a.at.to_deg().total_cmp(&b.at.to_deg()));
            let calibrated = |readings: &[Reading]| FocusCalibration::new(&known, LawChoice::Auto, readings, &error);
            let good = calibrated(&readings);
            assert!(!matches!(good, Err(CalibrationError::Exchanged { .. })), "{}: {good:?}", lens.name);
            // two neighbours that lie apart by more than errors explain
            let i = run % (readings.len() - 1);
            let mut exchanged = readings.clone();
            (exchanged[i].at, exchanged[i + 1].at) = (readings[i + 1].at, readings[i].at);
            let apart = (exchanged[i].at - exchanged[i + 1].at).to_deg().abs();
            // a cam has no law that tells a wrong reading from its own shape; there readings that run backwards are refused
            if lens.cam || apart < 12.0 * error.at.to_deg() {
                continue;
            }
            all += 1;
            match calibrated(&exchanged) {
                Err(CalibrationError::Exchanged { one, other }) => {
                    assert_eq!((one, other), (i, i + 1), "{}", lens.name);
                    named += 1;
                }
                Err(_) => {}
                // set aside by name
                Ok(fit) => named += usize::from(fit.outlier == Some(i) || fit.outlier == Some(i + 1)),
            }
        }
    }
    assert!(all > 250 && named * 100 >= all * 95, "{named} of {all}");
}
