//! A finished scale on the camera: each check beside the scale, and what is to be done.

use super::documents::text;
use super::documents::values::{Number, Version};
use super::documents::verify::{Check, LensVerified, Verify};
use super::fit::fit_line;
use super::table::table;
use super::words::{amount, plain, round_in_unit, signed, spoken};
use super::{cell, csv};
use crate::assembly::{Assembly, FocusRing, JudgedScale, next_third};
use crate::calibration::{FocusCalibration, Judgement, Miss, Standing, Verdict, Warning};
use crate::model::{FocusCheck, Lens};
use crate::units::{Distance, DistanceUnit, Length};

/// A lens whose finished scale was checked.
pub struct Verified<'a> {
    lens: &'a Lens,
    ring: &'a FocusRing<'a>,
    judged: JudgedScale,
    /// The law that readings and checks make together, where there is one.
    corrected: Option<FocusCalibration>,
}

impl<'a> Verified<'a> {
    /// Judges a lens; `None` where it has no checks.
    pub fn new(assembly: &'a Assembly<'a>) -> Option<Self> {
        let (lens, ring) = (assembly.lens, assembly.focus.as_ref()?);
        let judged = ring.judged(lens)?;
        let corrected = ring.corrected(&judged).ok();
        Some(Verified { lens, ring, judged, corrected })
    }

    /// What is to be done; nothing can be said where no check could be read.
    pub fn verdict(&self) -> Verdict {
        self.judged.judgement.as_ref().map_or(Verdict::Unsure, |judgement| judgement.verdict)
    }

    fn unit(&self) -> DistanceUnit {
        self.ring.unit()
    }

    fn mm(&self, deg: f64) -> f64 {
        deg * self.judged.camera.mm_per_degree
    }

    fn near(&self, distance: Distance) -> String {
        match distance.to_mm() {
            Some(mm) => spoken(mm, self.unit()),
            None => "infinity".to_string(),
        }
    }

    /// `at 0.6 m it reads 1.20 mm too near`.
    fn reads(&self, miss: &Miss) -> String {
        let mm = self.mm(miss.off.to_deg());
        let here = self.near(miss.subject);
        match mm {
            small if small.abs() < 0.005 => format!("at {here} it is true"),
            near if near > 0.0 => format!("at {here} it reads {near:.2} mm too near"),
            far => format!("at {here} it reads {:.2} mm too far", far.abs()),
        }
    }

    /// The number in the file, from 1, of the check at an index in the judgement.
    fn number(&self, i: usize) -> usize {
        self.judged.indices[i] + 1
    }

    fn check(&self, i: usize) -> &FocusCheck {
        &self.ring.focus.checks[self.judged.indices[i]]
    }

    /// Which way the strip has to go so that it reads farther or nearer.
    ///
    /// The ring turns toward close and nearer marks come under the index. Where the scale reads too near, the strip has to go
    /// the other way on its ring.
    fn way(&self, too_near: bool) -> String {
        let toward_close = self.ring.focus.toward_close;
        let (word, sense) =
            if too_near { ("infinity", toward_close.opposite()) } else { ("close focus", toward_close) };
        format!("{} as seen from behind the camera (the way the ring turns toward {word})", sense.word())
    }

    /// The verdict in one sentence.
    fn sentence(&self) -> String {
        let Some(judgement) = &self.judged.judgement else {
            return "unsure: none of the checks could be read off this scale".to_string();
        };
        let shift = self.mm(judgement.shift.value.to_deg());
        let sigma = self.mm(judgement.shift.sigma.to_deg());
        let reads = if shift > 0.0 { "too near" } else { "too far" };
        let common = format!("{:.2} ± {sigma:.2} mm {reads}", shift.abs());
        match judgement.verdict {
            Verdict::Keep if judgement.shifted(&self.judged.camera) => format!(
                "keep the scale: in common it reads {common}, which the depth of field wide open covers at every distance checked; \
                 a strip {:.2} mm further {} would be truer",
                shift.abs(),
                self.way(shift > 0.0)
            ),
            Verdict::Keep => "keep the scale: nothing speaks against it".to_string(),
            Verdict::Shift => format!(
                "shift the strip on its ring by {:.2} ± {sigma:.2} mm, {}: it reads {reads} by as much everywhere",
                shift.abs(),
                self.way(shift > 0.0)
            ),
            Verdict::Refit => {
                format!("draw the scale again: no shift of the strip makes it true; {}", self.ends(judgement))
            }
            Verdict::Unsure if judgement.counted.len() < 2 => format!(
                "something is off, and one check cannot tell a strip beside its place from a wrong scale: {}",
                self.ends(judgement)
            ),
            Verdict::Unsure if judgement.narrow => format!(
                "something is off, and checks so near to each other cannot tell a strip beside its place from a wrong scale: it reads \
                 {common} there"
            ),
            Verdict::Unsure => format!(
                "something is off: two checks that contradict each other cannot tell which of them is wrong, or whether the scale is; {}",
                self.ends(judgement)
            ),
        }
    }

    /// How the farthest and the nearest check read, and the worst where it is neither.
    fn ends(&self, judgement: &Judgement) -> String {
        let key = |miss: &Miss| miss.subject.to_mm().unwrap_or(f64::INFINITY);
        let counted = || judgement.counted.iter().map(|i| &judgement.misses[*i]);
        let far = counted().max_by(|a, b| key(a).total_cmp(&key(b)));
        let near = counted().min_by(|a, b| key(a).total_cmp(&key(b)));
        let worst = counted().max_by(|a, b| a.off.to_deg().abs().total_cmp(&b.off.to_deg().abs()));
        let mut shown: Vec<&Miss> = Vec::new();
        for miss in [near, worst, far].into_iter().flatten() {
            if !shown.iter().any(|other| std::ptr::eq(*other, miss)) {
                shown.push(miss);
            }
        }
        shown.into_iter().map(|miss| self.reads(miss)).collect::<Vec<_>>().join(", ")
    }

    /// What else to know, a sentence each.
    fn warnings(&self) -> Vec<String> {
        let mut warnings: Vec<String> = Vec::new();
        for i in &self.judged.unread {
            let check = &self.ring.focus.checks[*i];
            warnings.push(format!(
                "check {}, {} read as {}, lies where this scale has no marks, and was left out",
                i + 1,
                round_in_unit(check.distance, self.unit()),
                round_in_unit(check.reads, self.unit())
            ));
        }
        let Some(judgement) = &self.judged.judgement else { return warnings };
        if let Some(i) = judgement.outlier {
            warnings.push(format!(
                "check {} is far from what the others agree on and was set aside: take it again",
                self.number(i)
            ));
        }
        let undecided = [Verdict::Refit, Verdict::Unsure].contains(&judgement.verdict);
        if let Some(i) = judgement.rests_on.filter(|_| undecided) {
            warnings.push(format!(
                "without check {} the others would agree: take it again before anything else",
                self.number(i)
            ));
        }
        if judgement.verdict == Verdict::Refit && judgement.refutes_readings {
            warnings.push(
                "the checks miss the scale by more than the readings left open: one of both is wrong. Look for a strip that slipped \
                 between checks, another point that was taped from, or checks of an older scale"
                    .to_string(),
            );
        }
        let outlier: Vec<String> = (0..judgement.misses.len())
            .filter(|i| judgement.misses[*i].standing == Standing::Off)
            .map(|i| self.number(i).to_string())
            .collect();
        if judgement.verdict == Verdict::Keep && !outlier.is_empty() {
            warnings.push(format!(
                "check {} is off by itself, which no common fault explains: take it again",
                outlier.join(" and ")
            ));
        }
        if let Some(play) = self.ring.calibration.play.filter(|play| play.is_there()) {
            warnings.push(format!(
                "the ring has {:.2} mm of play: checks that come from one side show half of it as a shift",
                self.mm(play.value.to_deg().abs())
            ));
        }
        if judgement.verdict == Verdict::Keep
            && let Some(blind) = judgement.blind
        {
            warnings.push(format!(
                "these checks are rough: they would miss a strip {:.2} mm beside its place, and wide open the depth of field at {} \
                 is ± {:.2} mm on the ring{}",
                self.mm(2.0 * judgement.shift.sigma.to_deg()),
                self.near(blind.subject),
                self.mm(blind.depth.to_deg()),
                blind.depth_in_distance.map_or(String::new(), |depth| format!(
                    ", ± {} in distance; tape to half of that, or check more often",
                    along(depth, self.unit())
                ))
            ));
        }
        if judgement.narrow && judgement.verdict == Verdict::Keep {
            warnings.push("that is said of this part of the scale only".to_string());
        }
        if judgement.verdict == Verdict::Refit {
            let warnings_then = self.corrected.iter().flat_map(|law| &law.warnings);
            let unit = self.unit();
            let told = |warning: &Warning| format!("drawn with the checks: {}", warning.told_in(unit));
            warnings.extend(warnings_then.map(told));
        }
        if let Some(next) = judgement.next {
            warnings.push(format!("a further check would tell most at {}", self.near(next)));
        }
        warnings
    }

    /// The worst miss on the strip as it is, and as it would be with the checks among the readings, in mm.
    fn worst(&self) -> Option<(f64, f64)> {
        let judgement = self.judged.judgement.as_ref()?;
        let largest = |deg: &mut dyn Iterator<Item = f64>| self.mm(deg.map(f64::abs).fold(0.0, f64::max));
        let now = largest(&mut judgement.counted.iter().map(|i| judgement.misses[*i].off.to_deg()));
        let corrected = self.corrected.as_ref()?;
        // readings first, checks behind them
        let checks = corrected.residuals.iter().skip(self.ring.focus.readings.len());
        Some((now, largest(&mut checks.map(|residual| residual.error.to_deg()))))
    }

    /// How to draw it anew, and what that would bring.
    fn way_out(&self, file: &str) -> String {
        let brings = match self.worst() {
            Some((now, then)) if then < now => {
                format!(" (the worst check would miss by {then:.2} mm instead of {now:.2} mm)")
            }
            Some(_) => " (which would bring the checks no nearer: measure again first)".to_string(),
            None => String::new(),
        };
        let lens = format!("--lens \"{}\"", self.lens.name);
        format!("draw the corrected scale{brings}:\n      ringwright draw {file} --out DIR {lens} --with-checks\n")
    }
}

/// `12 mm`, `1.2 m`; `0.5 in`, `14 ft`.
fn along(length: Length, unit: DistanceUnit) -> String {
    let mm = length.to_mm();
    if unit == DistanceUnit::Foot {
        let inches = mm / 25.4;
        return if inches.abs() < 120.0 {
            format!("{} in", plain(inches, 1))
        } else {
            format!("{} ft", plain(inches / 12.0, 0))
        };
    }
    if mm.abs() < 1000.0 { format!("{} mm", plain(mm, 0)) } else { format!("{} m", plain(mm / 1000.0, 1)) }
}

/// What the scale reads minus where the subject is; `None` where either is infinite.
fn in_distance(miss: &Miss) -> Option<Length> {
    match (miss.reads, miss.subject) {
        (Distance::Finite(reads), Distance::Finite(subject)) => Some(reads - subject),
        _ => None,
    }
}

/// The f-numbers at which a scale is judged.
const SAID_STOPS: std::ops::RangeInclusive<f64> = 0.5..=64.0;

fn standing(miss: &Miss) -> String {
    let sharp = match miss.sharp_from {
        Some(number) if *SAID_STOPS.end() >= number => {
            format!("sharp from f/{}", next_third(number.max(*SAID_STOPS.start())).label())
        }
        _ => "sharp at no stop".to_string(),
    };
    match miss.standing {
        Standing::Fine => "fine".to_string(),
        Standing::InsideDepthOfField => "inside depth of field".to_string(),
        Standing::Off => format!("off, {sharp}"),
        Standing::Outlier => "set aside".to_string(),
    }
}

fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Keep => "keep",
        Verdict::Shift => "shift",
        Verdict::Refit => "refit",
        Verdict::Unsure => "unsure",
    }
}

fn standing_word(standing: Standing) -> &'static str {
    match standing {
        Standing::Fine => "fine",
        Standing::InsideDepthOfField => "inside depth of field",
        Standing::Off => "off",
        Standing::Outlier => "wild",
    }
}

/// The report as text; `file` is named in what to type next.
pub fn verify_text(file: &str, verified: &[Verified]) -> String {
    let mut out = String::new();
    for lens in verified {
        let count = amount(lens.ring.focus.checks.len(), "check");
        out.push_str(&format!("{}\n\n  focus: {count} of the scale by the {}\n", lens.lens.name, fit_line(lens.ring)));
        if let Some(judgement) = &lens.judged.judgement {
            out.push_str(&rows(lens, judgement));
        }
        out.push_str(&format!("\n  {}\n", lens.sentence()));
        for warning in lens.warnings() {
            out.push_str(&format!("  ! {warning}\n"));
        }
        if lens.verdict() == Verdict::Refit {
            out.push_str(&format!("  {}", lens.way_out(file)));
        }
        out.push('\n');
    }
    out.push_str("Errors are standard errors. Checks belong to the scale as the readings in this file draw it; measure again after\n");
    out.push_str("every new strip.\n");
    out
}

/// `1.20 mm too near`, `11.84 mm too far`; what rounds to nothing is neither.
fn side(mm: f64) -> String {
    let size = format!("{:.2} mm", mm.abs());
    match signed(mm, 2).chars().next() {
        Some('+') => format!("{size} too near"),
        Some('-') => format!("{size} too far"),
        _ => size,
    }
}

fn rows(lens: &Verified, judgement: &Judgement) -> String {
    let distance = |distance| match distance {
        Distance::Infinity => "infinity".to_string(),
        _ => round_in_unit(distance, lens.unit()),
    };
    let row = |(i, miss): (usize, &Miss)| {
        let check = lens.check(i);
        vec![
            lens.number(i).to_string(),
            distance(check.distance),
            distance(check.reads),
            side(lens.mm(miss.off.to_deg())),
            cell(in_distance(miss).map(|length| {
                let text = along(length, lens.unit());
                if length.to_mm() > 0.0 { format!("+{text}") } else { text }
            })),
            format!("± {:.2} mm", lens.mm(miss.own.to_deg())),
            format!("± {:.2} mm", lens.mm(miss.law.to_deg())),
            standing(miss),
        ]
    };
    let rows: Vec<Vec<String>> = judgement.misses.iter().enumerate().map(row).collect();
    let head = [
        "check",
        "set by tape",
        "the scale reads",
        "on the ring",
        "in distance",
        "own error",
        "law's error",
        "verdict",
    ];
    table(&head, &rows, 0)
}

/// The report for programs.
pub fn verify_document(set: &str, verified: &[Verified]) -> Verify {
    Verify { version: Version, set: set.to_string(), lenses: verified.iter().map(lens_verified).collect() }
}

fn lens_verified(lens: &Verified) -> LensVerified {
    let judgement = lens.judged.judgement.as_ref();
    let check = |(i, miss): (usize, &Miss)| Check {
        check: lens.number(i),
        distance_mm: lens.check(i).distance.into(),
        subject_mm: miss.subject.into(),
        reads_mm: lens.check(i).reads.into(),
        too_near_deg: miss.off.into(),
        too_near_mm: lens.mm(miss.off.to_deg()).into(),
        error_distance_mm: in_distance(miss).map(Number::from),
        own_error_mm: lens.mm(miss.own.to_deg()).into(),
        law_error_mm: lens.mm(miss.law.to_deg()).into(),
        sharp_from: miss.sharp_from.map(Number::from),
        standing: miss.standing,
    };
    let worst = lens.worst();
    LensVerified {
        name: lens.lens.name.clone(),
        verdict: lens.verdict(),
        sentence: lens.sentence(),
        doubts: lens.warnings(),
        too_near_mm: judgement.map(|j| lens.mm(j.shift.value.to_deg()).into()),
        too_near_error_mm: judgement.map(|j| lens.mm(j.shift.sigma.to_deg()).into()),
        chi_square: judgement.map(|j| j.chi_square.into()),
        degrees_of_freedom: judgement.map(|j| j.freedom),
        worst_mm: worst.map(|(now, _)| now.into()),
        worst_with_checks_mm: worst.map(|(_, then)| then.into()),
        next_check_mm: judgement.and_then(|j| j.next).and_then(Distance::to_mm).map(Number::from),
        not_read: lens.judged.unread.iter().map(|i| i + 1).collect(),
        checks: judgement.map_or(Vec::new(), |judgement| judgement.misses.iter().enumerate().map(check).collect()),
    }
}

/// The report as JSON.
pub fn verify_json(set: &str, verified: &[Verified]) -> String {
    text(&verify_document(set, verified))
}

/// One row a check that could be read.
pub fn verify_csv(verified: &[Verified]) -> String {
    let head = [
        "lens",
        "verdict",
        "check",
        "distance_mm",
        "reads_mm",
        "too_near_deg",
        "too_near_mm",
        "error_distance_mm",
        "own_error_mm",
        "law_error_mm",
        "sharp_from",
        "standing",
    ];
    let mut rows = Vec::new();
    for lens in verify_document("", verified).lenses {
        for check in &lens.checks {
            rows.push(vec![
                lens.name.clone(),
                verdict_word(lens.verdict).to_string(),
                check.check.to_string(),
                check.distance_mm.cell(),
                check.reads_mm.cell(),
                check.too_near_deg.cell(4),
                check.too_near_mm.cell(4),
                cell(check.error_distance_mm.map(|error| error.cell(2))),
                check.own_error_mm.cell(4),
                check.law_error_mm.cell(4),
                cell(check.sharp_from.map(|stop| stop.cell(3))),
                standing_word(check.standing).to_string(),
            ]);
        }
    }
    csv(&head, &rows)
}
