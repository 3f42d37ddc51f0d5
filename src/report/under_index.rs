//! What stands under an index, in words, with no more digits than the error allows.

use super::words::exact;
use crate::assembly::{Evidence, SMALLEST_STOP, StopUnderIndex, UnderIndex};
use crate::units::{Distance, DistanceUnit, Stop};

/// A focus ring's position, for people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnderIndexWords {
    /// The distance in the unit asked for: `1.52 m`.
    pub distance: String,
    /// The same in the other unit: `4 ft 11.8 in`.
    pub other: String,
    /// What looks sharp: `1.44 m to 1.61 m at f/2`; `None` where the widest stop is not known.
    pub sharp: Option<String>,
    /// How far all this can be trusted: `± 12 mm, ± 0.31 mm on the ring; true from f/2.8`.
    pub budget: String,
}

/// What is rounded to, mm: round in metres.
const METRIC: &[f64] = &[1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6];
/// The same, round in feet and inches: tenths of an inch, then halves, inches, feet and tens of feet.
const IMPERIAL: &[f64] = &[2.54, 5.08, 12.7, 25.4, 152.4, 304.8, 3048.0, 30_480.0, 304_800.0];

/// A distance farther than this whose error reaches infinity is not shown in figures, mm: they would mean nothing. Smaller,
/// and a roughly calibrated lens shows nothing at its far end; larger, and 94 km are read off.
const NEAR_INFINITY_MM: f64 = 1e6;

/// What stands under a focus ring's index, in `unit` and the other one.
pub fn under_index_words(under: &UnderIndex, unit: DistanceUnit) -> UnderIndexWords {
    let other = unit.other_system();
    UnderIndexWords {
        distance: said(under, under.distance, unit),
        other: said(under, under.distance, other),
        sharp: sharp(under, unit),
        budget: budget(under, unit),
    }
}

/// A distance rounded to the first step of at least a fifth of its standard error, which is about a third on the average: no
/// digit is shown that means nothing, and as a step is at most two such errors, rounding adds less than a sixth to them.
/// "about" where the error is a third of the distance and more.
fn said(under: &UnderIndex, distance: Distance, unit: DistanceUnit) -> String {
    let Some(mm) = distance.to_mm() else { return "infinity".to_string() };
    if mm > NEAR_INFINITY_MM && under.budget.distance.is_infinite() {
        return "near infinity".to_string();
    }
    let steps = match unit {
        DistanceUnit::Metre => METRIC,
        DistanceUnit::Foot => IMPERIAL,
    };
    // the coarsest step that leaves anything of the distance
    let coarsest = steps.iter().copied().take_while(|step| *step <= 0.5 * mm).last().unwrap_or(steps[0]);
    let sigma = error_at(under, mm).unwrap_or(f64::INFINITY);
    let allowed = steps.iter().copied().find(|step| *step >= sigma / 5.0);
    let step = allowed.unwrap_or(f64::INFINITY).min(coarsest);
    let text = in_steps(mm, step, unit);
    if sigma < mm / 3.0 { text } else { format!("about {text}") }
}

/// Standard error of a distance that belongs to the same position: one error of the ring is one error in 1/D, so it grows
/// with the square of the distance. `None` where it reaches infinity.
fn error_at(under: &UnderIndex, mm: f64) -> Option<f64> {
    Some(under.budget.distance.to_mm()? * (mm / under.distance.to_mm()?).powi(2))
}

fn in_steps(mm: f64, step: f64, unit: DistanceUnit) -> String {
    let mm = (mm / step).round() * step;
    match unit {
        DistanceUnit::Foot if step >= 304.8 => format!("{:.0} ft", mm / 304.8),
        DistanceUnit::Foot if step >= 25.4 => exact(mm, unit).replace(".0 in", " in"),
        DistanceUnit::Foot => exact(mm, unit),
        DistanceUnit::Metre => {
            // 3 decimals to a millimetre, none to a metre
            let decimals = (3.0 - step.log10()).round().clamp(0.0, 3.0) as usize;
            format!("{:.decimals$} m", mm / 1000.0)
        }
    }
}

/// A short length with two or three digits.
fn short(mm: f64, unit: DistanceUnit) -> String {
    let inches = mm / 25.4;
    match unit {
        DistanceUnit::Foot if inches < 1.0 => format!("{inches:.2} in"),
        DistanceUnit::Foot if inches < 120.0 => exact(mm, unit),
        DistanceUnit::Foot => format!("{:.0} ft", inches / 12.0),
        DistanceUnit::Metre if mm < 9.95 => format!("{mm:.1} mm"),
        DistanceUnit::Metre if mm < 999.5 => format!("{mm:.0} mm"),
        DistanceUnit::Metre => format!("{:.1} m", mm / 1000.0),
    }
}

/// The limits; where they equal the distance in its digits, how far off they are.
fn sharp(under: &UnderIndex, unit: DistanceUnit) -> Option<String> {
    let (sharp, widest) = (under.sharp?, under.widest?);
    let [near, at, far] = [sharp.near, under.distance, sharp.far].map(|distance| said(under, distance, unit));
    Some(match (sharp.near.to_mm(), under.distance.to_mm(), sharp.far.to_mm()) {
        (Some(nearest), Some(middle), Some(farthest)) if near == at || at == far => {
            let (before, behind) = (short(middle - nearest, unit), short(farthest - middle, unit));
            format!("{before} nearer to {behind} farther at {widest}")
        }
        _ => format!("{near} to {far} at {widest}"),
    })
}

fn budget(under: &UnderIndex, unit: DistanceUnit) -> String {
    let budget = &under.budget;
    let on_the_ring = format!("± {:.2} mm on the ring", budget.arc.to_mm());
    let apart = match (under.distance, budget.distance) {
        (Distance::Infinity, _) => on_the_ring,
        (Distance::Finite(_), Distance::Infinity) => format!("may be infinity, {on_the_ring}"),
        (Distance::Finite(_), Distance::Finite(sigma)) => format!("± {}, {on_the_ring}", short(sigma.to_mm(), unit)),
    };
    let is_wide_open = |stop: Stop| under.widest.is_some_and(|widest| stop.number() <= widest.number() * (1.0 + 1e-9));
    let from = match budget.sharp_from {
        Some(stop) if is_wide_open(stop) => "true wide open".to_string(),
        Some(stop) if stop.number() <= SMALLEST_STOP => format!("true from {stop}"),
        _ => "true at no stop".to_string(),
    };
    let rests_on = match under.evidence {
        Evidence::BetweenReadings => "",
        Evidence::BeyondReadings => "; beyond the readings",
        Evidence::Theory => "; no readings, from theory alone",
    };
    format!("{apart}; {from}{rests_on}")
}

/// What stands under an iris ring's index, as light meters say it: `T2.8 and 3 tenths, ± 0.1 stop`.
pub fn stop_under_index_words(under: &StopUnderIndex) -> String {
    let t = under.t_stop.map(|t| format!("T{}", split(Stop::exact(t.number()), under.error_stops)));
    let f = under.stop.map(|stop| format!("f/{}", split(stop, under.error_stops)));
    let error = under.error_stops.map(|error| format!("± {:.1} stop", error.max(0.05)));
    [t, f, error].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// A full stop and what is beyond it: in tenths, or where a third of the standard error is more, in halves or not at all.
fn split(stop: Stop, error_stops: Option<f64>) -> String {
    let parts = match error_stops.unwrap_or(0.0) / 3.0 {
        fine if fine <= 0.1 => 10,
        middle if middle <= 0.5 => 2,
        _ => 1,
    };
    let count = (stop.in_stops() * f64::from(parts)).round() as i32;
    let full = Stop::from_sixths(6 * count.div_euclid(parts)).label();
    match (count.rem_euclid(parts), parts) {
        (0, _) => full,
        (_, 2) => format!("{full} and a half"),
        (1, _) => format!("{full} and 1 tenth"),
        (tenths, _) => format!("{full} and {tenths} tenths"),
    }
}

#[cfg(test)]
mod tests;
