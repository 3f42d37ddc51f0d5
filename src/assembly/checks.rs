//! Checks of a finished scale: judged against the law that drew it, and joined to its readings.
//!
//! A check is a place on the strip, and only the law that drew the strip gives the turn of the ring at it. So checks
//! become readings here; they hold for the scale that the present readings draw.

use super::{FocusRing, thin_lens};
use crate::calibration::{CalibrationError, Camera, FocusCalibration, Judgement, Means, Reading};
use crate::model::{Focus, Lens, Set};
use crate::surface::Surface;
use crate::units::{Distance, Length};

/// A scale with its checks judged.
pub struct JudgedScale {
    /// What the scale is used on.
    pub camera: Camera,
    /// The checks as readings of the ring.
    pub readings: Vec<Reading>,
    /// Indices of these checks among those of the file, from 0.
    pub indices: Vec<usize>,
    /// Indices of the checks where the scale has no mark, from 0.
    pub unread: Vec<usize>,
    /// The judgement; `None` when no check could be read.
    pub judgement: Option<Judgement>,
}

impl FocusRing<'_> {
    /// The checks of this ring, judged; `None` where there are none.
    pub fn judged(&self, lens: &Lens) -> Option<JudgedScale> {
        (!self.focus.checks.is_empty()).then(|| judged(lens, self.focus, &self.calibration, self.mm_per_degree))
    }

    /// The law that readings and checks make together.
    ///
    /// # Errors
    /// When no law reaches both.
    pub fn corrected(&self, judged: &JudgedScale) -> Result<FocusCalibration, CalibrationError> {
        let focus = self.focus;
        let readings: Vec<Reading> = joined(focus, judged);
        FocusCalibration::new(&focus.known, focus.law, &readings, &focus.reading_error)
    }
}

/// A set whose checks are readings.
pub struct WithChecks {
    /// The set.
    pub set: Set,
    /// A sentence for each lens that has checks.
    pub notes: Vec<String>,
}

/// The same set with the checks of the lenses that are `wanted` as further readings.
pub fn with_checks(set: &Set, wanted: &dyn Fn(&&Lens) -> bool) -> WithChecks {
    let mut joined_set = set.clone();
    let mut notes = Vec::new();
    for (lens, joined_lens) in set.lenses.iter().zip(&mut joined_set.lenses) {
        let (Some(focus), Some(joined_focus)) = (&lens.focus, &mut joined_lens.focus) else { continue };
        if focus.checks.is_empty() || !wanted(&lens) {
            continue;
        }
        // a lens without a law is refused where it is assembled
        let calibrated = FocusCalibration::new(&focus.known, focus.law, &focus.readings, &focus.reading_error);
        let Ok(calibration) = calibrated else { continue };
        let mm_per_degree = Surface::new(&focus.ring, set.process.settings().thickness()).mm_per_degree(focus.index);
        let judged = judged(lens, focus, &calibration, mm_per_degree);
        let readings = joined(focus, &judged);
        let (from, all) = (readings.len() - focus.readings.len(), focus.checks.len());
        let left_out = if from < all { format!("{from} of its {all} checks") } else { "its checks".to_string() };
        notes.push(format!("{}: {left_out} joined its readings", lens.name));
        joined_focus.readings = readings;
        joined_focus.checks.clear();
    }
    WithChecks { set: joined_set, notes }
}

fn judged(lens: &Lens, focus: &Focus, calibration: &FocusCalibration, mm_per_degree: f64) -> JudgedScale {
    let reached = calibration.law.angle(Distance::Finite(focus.closest)).is_some();
    let nearest = focus.readings.iter().filter_map(|reading| match reading.distance {
        Distance::Finite(length) => Some(length),
        Distance::Infinity => None,
    });
    let nearest = nearest.min_by(Length::total_cmp);
    let camera = Camera {
        lens: thin_lens(lens),
        circle_of_confusion: lens.circle_of_confusion,
        widest: lens.widest_stop,
        mm_per_degree,
        closest: nearest.filter(|_| !reached).unwrap_or(focus.closest),
    };
    let (mut readings, mut indices, mut unread) = (Vec::new(), Vec::new(), Vec::new());
    for (i, check) in focus.checks.iter().enumerate() {
        match calibration.read_off(check.distance, check.reads, check.error, check.from) {
            Some(reading) => {
                readings.push(reading);
                indices.push(i);
            }
            None => unread.push(i),
        }
    }
    let judgement = calibration.judge(&readings, &camera);
    JudgedScale { camera, readings, indices, unread, judgement }
}

/// The readings, and the checks that count.
fn joined(focus: &Focus, judged: &JudgedScale) -> Vec<Reading> {
    // without readings the strip's zero is the only one, so the strip cannot be displaced from it
    let by = if focus.readings.is_empty() { Means::Tape } else { Means::Strip };
    let counted = judged.judgement.iter().flat_map(|judgement| &judgement.counted);
    let checks = counted.map(|i| Reading { by, ..judged.readings[*i] });
    focus.readings.iter().copied().chain(checks).collect()
}
