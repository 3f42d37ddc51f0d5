//! The model of a reading: the travel law, the ring's play, the point that distances were taped from, and the displacement
//! of a checked strip.
//!
//! ```text
//! angle = law(D) + play way/2 + placing          way  +1 toward close, -1 toward infinity, 0 not noted
//! D     = d + ahead + K (angle - infinity)       the last term where the point travels with the front of the lens
//! ```
//!
//! With play the ring is ahead of what it moves by half the play, whichever way it was turned last. Readings at one
//! taped distance share the tape's error. They are decorrelated by the inverse square root of their covariance, which has a
//! closed form (Sherman and Morrison, Ann. Math. Stat. 21, 1950, for the inverse; the root follows from the same
//! one-rank update):
//!
//! ```text
//! z = r/sigma,   v = tape/sigma,   (1 + v v')^(-1/2) z = z - b v (v'z),   b = (1 - 1/sqrt(1 + v'v)) / v'v
//! ```

use super::least_squares::Observation;
use super::prior::Prior;
use super::unknowns::{AHEAD, C, INFINITY, K, LOG_A, N, PLACING, PLAY, Vector};
use super::{Means, Origin, Reading, Turned};
use crate::optics::TravelLaw;
use crate::units::{Angle, Distance, Length};

/// The law, and the errors that readings share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Model {
    pub law: TravelLaw,
    /// The ring's play: its position after turning toward close minus that after turning toward infinity, degrees.
    pub play: f64,
    /// Where distances were taped from, mm ahead of the image plane with the ring at infinity.
    pub ahead: f64,
    /// How far a checked strip is stuck toward close, degrees.
    pub placing: f64,
}

impl Model {
    /// The law with the starting values of the shared errors.
    pub fn plain(law: TravelLaw, readings: &[Reading]) -> Self {
        let ahead = readings.iter().find_map(|reading| match reading.from {
            Origin::Ahead { by, .. } => Some(by.to_mm()),
            Origin::ImagePlane => None,
        });
        Model { law, play: 0.0, ahead: ahead.unwrap_or(0.0), placing: 0.0 }
    }

    pub fn from_vector(p: &Vector) -> Option<Self> {
        let a = p[LOG_A].exp();
        let valid = a.is_finite() && a > 0.0 && p.iter().all(|x| x.is_finite());
        let infinity = Angle::try_deg(p[INFINITY])?;
        let law = TravelLaw { infinity, a_mm_deg: valid.then_some(a)?, c_mm: p[C], k_mm_per_deg: p[K] };
        Some(Model { law, play: p[PLAY], ahead: p[AHEAD], placing: p[PLACING] })
    }

    pub fn to_vector(self) -> Vector {
        let law = self.law;
        let constants = [law.infinity.to_deg(), law.a_mm_deg.ln(), law.c_mm, law.k_mm_per_deg];
        let [infinity, log_a, c, k] = constants;
        [infinity, log_a, c, k, self.play, self.ahead, self.placing]
    }

    /// From the image plane to a reading's subject; `None` behind the image plane.
    pub fn subject(&self, reading: &Reading) -> Option<Distance> {
        let Distance::Finite(taped) = reading.distance else { return Some(Distance::Infinity) };
        let Origin::Ahead { travels, .. } = reading.from else { return Some(reading.distance) };
        let turn = if travels { (reading.at - self.law.infinity).to_deg() } else { 0.0 };
        let mm = taped.to_mm() + self.ahead + self.law.k_mm_per_deg * turn;
        (mm > 0.0).then(|| Length::try_mm(mm).map(Distance::Finite)).flatten()
    }

    /// Part of a reading beyond the law itself, degrees: play and displacement of a strip.
    pub fn aside(&self, reading: &Reading) -> f64 {
        let placing = if reading.by == Means::Strip { self.placing } else { 0.0 };
        self.play * way(reading) + placing
    }

    /// Reading minus model, in degrees; `None` where the law does not reach.
    pub fn off(&self, reading: &Reading) -> Option<f64> {
        let angle = self.law.angle(self.subject(reading)?)?;
        Some((reading.at - angle).to_deg() - self.aside(reading))
    }

    /// Standard errors of a reading in degrees: of the ring's position, and of the tape carried over through dθ/dD.
    pub fn errors(&self, reading: &Reading) -> Option<(f64, f64)> {
        // half the play is uncertain where it was not noted which way the ring was turned
        let unknown_way = if reading.turned.is_none() { 0.5 * self.play } else { 0.0 };
        let at = reading.error.at.to_deg().hypot(unknown_way);
        let (Distance::Finite(taped), Distance::Finite(length)) = (reading.distance, self.subject(reading)?) else {
            return Some((at, 0.0));
        };
        let g = self.law.slope(self.law.turn(length.to_mm())?);
        (g < 0.0).then(|| (at, (reading.error.tape_error(taped).to_mm() / g).abs()))
    }

    /// Both errors of a reading together.
    pub fn error(&self, reading: &Reading) -> Option<f64> {
        self.errors(reading).map(|(at, tape)| at.hypot(tape))
    }

    /// The residual of a reading in degrees, law minus reading, with its slope along every unknown.
    fn row(&self, reading: &Reading) -> Option<Observation<N>> {
        Some(Observation { residual: -self.off(reading)?, slope: self.slope(reading)? })
    }

    /// The slope of the modelled reading along every unknown.
    pub fn slope(&self, reading: &Reading) -> Option<Vector> {
        let mut slope = angle_slope(&self.law, self.subject(reading)?)?;
        if let (Origin::Ahead { travels, .. }, true) = (reading.from, slope[C] != 0.0) {
            // dθ/dD = -dθ/dC, times dD along ahead, infinity and K
            let steep = -slope[C];
            slope[AHEAD] = steep;
            if travels {
                slope[INFINITY] -= steep * self.law.k_mm_per_deg;
                slope[K] += steep * ((reading.at - self.law.infinity).to_deg());
            }
        }
        slope[PLAY] = way(reading);
        slope[PLACING] = f64::from(u8::from(reading.by == Means::Strip));
        Some(slope)
    }
}

/// Half the play toward the side that the ring was turned to.
fn way(reading: &Reading) -> f64 {
    match reading.turned {
        Some(Turned::TowardClose) => 0.5,
        Some(Turned::TowardInfinity) => -0.5,
        None => 0.0,
    }
}

/// The angle's slope along the law's constants at fixed distance; zero along the readings' shared errors.
///
/// ```text
/// with g = dD/dt = K - A/t^2:   dt/dlnA = -A/(t g)    dt/dC = -1/g    dt/dK = -t/g
/// ```
pub(super) fn angle_slope(law: &TravelLaw, distance: Distance) -> Option<Vector> {
    let mut slope = [0.0; N];
    slope[INFINITY] = 1.0;
    let Distance::Finite(length) = distance else { return Some(slope) };
    let t = law.turn(length.to_mm())?;
    let g = law.slope(t);
    (slope[LOG_A], slope[C], slope[K]) = (-law.a_mm_deg / (t * g), -1.0 / g, -t / g);
    (g < 0.0).then_some(slope)
}

/// Readings that share a tape's error, by their places; every reading is in one group.
pub(super) fn groups(readings: &[Reading]) -> Vec<Vec<usize>> {
    let same = |a: &Reading, b: &Reading| a.distance == b.distance && a.by == b.by && a.from == b.from;
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (i, reading) in readings.iter().enumerate() {
        let with = groups.iter_mut().find(|group| same(&readings[group[0]], reading) && reading.by != Means::Engraving);
        match with {
            Some(group) => group.push(i),
            None => groups.push(vec![i]),
        }
    }
    groups
}

/// Observations of all readings and priors at `p`, uncorrelated and of unit variance; `errors` are those of
/// [`Model::errors`], held through a pass.
pub(super) fn rows(
    p: &Vector,
    readings: &[Reading],
    groups: &[Vec<usize>],
    errors: &[(f64, f64)],
    priors: &[Prior],
) -> Option<Vec<Observation<N>>> {
    let model = Model::from_vector(p)?;
    let mut rows = Vec::with_capacity(readings.len() + priors.len());
    for group in groups {
        let start = rows.len();
        let mut norm = 0.0;
        for i in group {
            let (at, tape) = errors[*i];
            let row = model.row(&readings[*i])?;
            rows.push(Observation { residual: row.residual / at, slope: row.slope.map(|s| s / at) });
            norm += (tape / at).powi(2);
        }
        if norm == 0.0 {
            continue;
        }
        let share = (1.0 - 1.0 / (1.0 + norm).sqrt()) / norm;
        let mut common = Observation { residual: 0.0, slope: [0.0; N] };
        for (row, i) in rows[start..].iter().zip(group) {
            let v = errors[*i].1 / errors[*i].0;
            common.residual += v * row.residual;
            (0..N).for_each(|j| common.slope[j] += v * row.slope[j]);
        }
        for (row, i) in rows[start..].iter_mut().zip(group) {
            let v = share * errors[*i].1 / errors[*i].0;
            row.residual -= v * common.residual;
            (0..N).for_each(|j| row.slope[j] -= v * common.slope[j]);
        }
    }
    for prior in priors {
        rows.push(prior.row(p)?);
    }
    Some(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::ReadingError;
    use crate::check::assert_close;

    #[test]
    fn a_reading_whose_way_was_not_noted_is_off_by_half_the_play_to_either_side() {
        let law = TravelLaw { infinity: Angle::deg(5.0), a_mm_deg: 50_000.0, c_mm: 96.0, k_mm_per_deg: 0.05 };
        let error = ReadingError { distance: Length::ZERO, share: 0.0, at: Angle::deg(0.3) };
        for play in [0.0, 1.4, 3.0] {
            let model = Model { play, ..Model::plain(law, &[]) };
            for distance in [Distance::Infinity, Distance::mm(900.0)] {
                let unnoted = Reading::taped(distance, law.angle(distance).unwrap(), error);
                // independent: the ring was turned one way or the other; the root mean square of what both leave of a
                // reading in the middle, and the reading's own error beside it
                let ways = [Turned::TowardClose, Turned::TowardInfinity];
                let off = ways.map(|way| model.off(&Reading { turned: Some(way), ..unnoted }).unwrap());
                assert_close((off[1] - off[0]).abs(), play, 1e-9);
                let spread = (off.iter().map(|off| off * off).sum::<f64>() / 2.0).sqrt();
                assert_close(model.error(&unnoted).unwrap(), spread.hypot(0.3), 1e-9);
                // noted, it is only read
                let noted = Reading { turned: Some(ways[0]), ..unnoted };
                assert_close(model.error(&noted).unwrap(), 0.3, 1e-9);
            }
        }
    }
}
