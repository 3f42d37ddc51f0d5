//! How far a focus scale can be trusted, in the words of a focus puller.

use super::documents::fit::{Play, Seating, Trust};
use super::documents::marks::Parts;
use super::words::{narrow, signed, spoken, unit_of};
use crate::assembly::{Assembly, Budget, FocusRing, SMALLEST_STOP, Uncertainty, mark_distance};
use crate::calibration::InfinityOffset;
use crate::units::{Distance, DistanceUnit, Stop};

/// What a reader of a report calls each part of an error.
pub(super) fn cause(parts: &Budget) -> &'static str {
    let most = parts.named().into_iter().max_by(|a, b| a.1.to_deg().total_cmp(&b.1.to_deg()));
    match most.map(|(name, _)| name) {
        Some("off_centre") => "off centre",
        Some("process") => "making",
        Some(name) => name,
        None => "readings",
    }
}

/// What would make the largest part of an error smaller.
fn cure(parts: &Budget) -> &'static str {
    match cause(parts) {
        "readings" => "mostly by the readings; more of them help,  ringwright plan  says where",
        "play" => "mostly by the ring's play; pull from one side only, or have the helicoid regreased",
        "diameter" => "mostly by the ring's diameter; measure it in several directions and state its error",
        "off centre" => "mostly by a shell that sits off centre",
        "thickness" => {
            "mostly by the thickness of what goes round the ring; measure ten layers at once and state its error"
        }
        _ => {
            "mostly by the printer or the cutter; measure the sheet of  ringwright ruler  or a test cut, and put it into the set"
        }
    }
}

/// How far a scale can be trusted, in sentences, for the first of its bands; empty where there is nothing to judge.
pub fn trust_lines(assembly: &Assembly, ring: &FocusRing) -> Vec<String> {
    let Some(band) = ring.bands.first() else { return Vec::new() };
    let marks: Vec<(Distance, Uncertainty)> = band
        .marks
        .iter()
        .filter_map(|mark| mark_distance(mark.value))
        .filter_map(|distance| Some((distance, ring.budget(assembly.lens, distance)?)))
        .collect();
    let mut lines = Vec::new();
    match assembly.lens.widest_stop {
        Some(widest) => lines.extend(true_from(&marks, widest, unit_of(band))),
        None => lines.push("name the lens's widest_stop to see from which stop on each mark is true".to_string()),
    }
    let least = marks.iter().max_by(|a, b| a.1.sigma.to_deg().total_cmp(&b.1.sigma.to_deg()));
    if let Some((distance, budget)) = least {
        let apart = match budget.distance.to_mm() {
            Some(mm) => format!(" (± {} in distance)", in_figures(mm, unit_of(band))),
            None => String::new(),
        };
        lines.push(format!(
            "the least sure mark is {}, ± {:.2} mm on the ring{apart}, {}",
            said(*distance, unit_of(band)),
            budget.arc.to_mm(),
            cure(&budget.parts)
        ));
    }
    lines
}

fn in_figures(mm: f64, unit: DistanceUnit) -> String {
    match unit {
        DistanceUnit::Metre => format!("{mm:.0} mm"),
        // primes: "3.1 in in distance" is read twice
        DistanceUnit::Foot => narrow(Distance::mm(mm), unit),
    }
}

fn said(distance: Distance, unit: DistanceUnit) -> String {
    distance.to_mm().map_or("infinity".to_string(), |mm| spoken(mm, unit))
}

/// "true wide open from 1.2 m out; nearer than that only from f/4": the longest run of marks that are true wide open, and
/// what is needed on either side of it. `marks` run from far to near.
pub(super) fn true_from(marks: &[(Distance, Uncertainty)], widest: Stop, unit: DistanceUnit) -> Option<String> {
    let needed: Vec<f64> =
        marks.iter().map(|(_, budget)| budget.sharp_from.map_or(f64::INFINITY, Stop::number)).collect();
    let is_true = |i: usize| needed[i] <= widest.number() * (1.0 + 1e-9);
    let (mut run, mut from) = (0..0, 0);
    for i in 0..=marks.len() {
        if i == marks.len() || !is_true(i) {
            if i - from > run.len() {
                run = from..i;
            }
            from = i + 1;
        }
    }
    let only = |range: std::ops::Range<usize>| -> Option<String> {
        let worst = range.max_by(|a, b| needed[*a].total_cmp(&needed[*b]))?;
        let stop = marks[worst].1.sharp_from.filter(|stop| stop.number() <= SMALLEST_STOP);
        Some(stop.map_or("at no stop".to_string(), |stop| format!("from f/{}", stop.label())))
    };
    if marks.is_empty() {
        return None;
    }
    if run.is_empty() {
        return only(0..marks.len()).map(|from| match from.as_str() {
            "at no stop" => {
                "not true wide open anywhere, and some marks at no stop: measure more before making it".to_string()
            }
            from => format!("true {from} on over the whole scale, and wide open nowhere"),
        });
    }
    if run == (0..marks.len()) {
        return Some("true wide open over the whole scale".to_string());
    }
    let (far, near) = (said(marks[run.start].0, unit), said(marks[run.end - 1].0, unit));
    let (beyond, nearer) = (only(0..run.start), only(run.end..marks.len()));
    if run.end == 1 && marks[0].0.is_infinite() {
        return nearer.map(|nearer| format!("true wide open at infinity alone; nearer only {nearer}"));
    }
    Some(match (beyond, nearer) {
        (None, Some(nearer)) => format!("true wide open from {near} out; nearer than that only {nearer}"),
        (Some(beyond), None) => format!("true wide open up to {far}; farther than that only {beyond}"),
        (Some(beyond), Some(nearer)) => {
            format!("true wide open from {near} to {far}; nearer only {nearer}, farther only {beyond}")
        }
        (None, None) => return None,
    })
}

/// What the readings say of the ring's play and of the lens's seat.
pub(super) fn bench_lines(assembly: &Assembly, ring: &FocusRing) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(play) = ring.calibration.play {
        let (value, sigma) = (play.value.to_deg(), play.sigma.to_deg());
        let mm = value * ring.mm_per_degree;
        lines.push(if play.is_there() {
            format!(
                "the ring has {value:.1} ± {sigma:.1}° of play ({mm:.1} mm on the ring); the marks stand in its middle, so a pull \
                 from either side is off by half of it"
            )
        } else {
            format!("no play found ({value:.1} ± {sigma:.1}°)")
        });
    }
    if let Some(infinity_offset) = infinity_offset(assembly, ring) {
        let (off, sigma, axial) =
            (infinity_offset.off.to_deg(), infinity_offset.sigma.to_deg(), infinity_offset.axial.to_mm());
        let sure = off.abs() > 2.0 * sigma;
        let side = match (sure, off > 0.0) {
            (false, _) => "as far as the readings tell, infinity lies at the stop".to_string(),
            (true, true) => format!(
                "the lens sits {axial:.2} mm too near to the image plane; a shim of {axial:.2} mm under it would bring infinity to the \
                 stop"
            ),
            (true, false) => format!(
                "the lens sits {:.2} mm too far from the image plane and never reaches infinity; take {:.2} mm off its shims, or \
                 have its seat machined",
                -axial, -axial
            ),
        };
        lines.push(format!(
            "infinity lies {}° ± {sigma:.2}° from the stop ({} mm along the axis): {side}",
            signed(off, 2),
            signed(axial, 3)
        ));
    }
    lines
}

fn infinity_offset(assembly: &Assembly, ring: &FocusRing) -> Option<InfinityOffset> {
    let focus = ring.focus;
    ring.calibration.infinity_offset(focus.infinity_stop?, focus.reading_error.at, assembly.lens.focal_length)
}

/// The same for programs.
pub(super) fn trust(assembly: &Assembly, ring: &FocusRing) -> Trust {
    let play = ring.calibration.play.map(|play| Play { play_deg: play.value.into(), sigma_deg: play.sigma.into() });
    let seating = infinity_offset(assembly, ring).map(|infinity_offset| Seating {
        off_deg: infinity_offset.off.into(),
        sigma_deg: infinity_offset.sigma.into(),
        shim_mm: infinity_offset.axial.into(),
    });
    Trust { in_words: trust_lines(assembly, ring), play, seating }
}

/// Each part of a mark's error.
pub(super) fn parts(budget: &Budget) -> Parts {
    Parts {
        readings: budget.law.into(),
        play: budget.play.into(),
        diameter: budget.diameter.into(),
        off_centre: budget.off_centre.into(),
        thickness: budget.thickness.into(),
        process: budget.process.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Angle, Length};

    fn sentence(needed: &[(f64, f64)]) -> String {
        let budget = |number: f64| Uncertainty {
            sigma: Angle::deg(0.3),
            parts: Budget::default(),
            arc: Length::mm(0.2),
            distance: Distance::mm(5.0),
            sharp_from: Some(Stop::exact(number)),
        };
        let marks: Vec<(Distance, Uncertainty)> = needed
            .iter()
            .map(|(mm, number)| {
                let distance = if mm.is_finite() { Distance::mm(*mm) } else { Distance::Infinity };
                (distance, budget(*number))
            })
            .collect();
        true_from(&marks, Stop::from_sixths(12), DistanceUnit::Metre).unwrap()
    }

    #[test]
    fn trust_is_said_in_words() {
        let inf = f64::INFINITY;
        let all = [
            sentence(&[(inf, 1.4), (2000.0, 2.0), (900.0, 1.6)]),
            sentence(&[(inf, 1.4), (1200.0, 2.0), (900.0, 2.8), (600.0, 4.0)]),
            sentence(&[(inf, 5.6), (5000.0, 2.0), (900.0, 1.6)]),
            sentence(&[(inf, 2.8), (5000.0, 2.0), (900.0, 1.6), (600.0, 8.0)]),
            sentence(&[(inf, 2.8), (600.0, 8.0)]),
            sentence(&[(inf, 100.0), (600.0, 8.0)]),
            sentence(&[(inf, 2.0), (600.0, 100.0)]),
        ];
        insta::assert_snapshot!(all.join("\n"), @r#"
true wide open over the whole scale
true wide open from 1.2 m out; nearer than that only from f/4
true wide open up to 5 m; farther than that only from f/5.6
true wide open from 0.9 m to 5 m; nearer only from f/8, farther only from f/2.8
true from f/8 on over the whole scale, and wide open nowhere
not true wide open anywhere, and some marks at no stop: measure more before making it
true wide open at infinity alone; nearer only at no stop
"#);
    }
}
