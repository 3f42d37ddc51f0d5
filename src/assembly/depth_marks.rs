//! Depth marks beside the index of a focus scale, and hyperfocal marks among its distances.
//!
//! Both are placed after the distances have been chosen, where these leave room.

use super::{FocusRing, RingBuilder, mark_distance, thin_lens};
use crate::artwork::DepthMark;
use crate::model::{Focus, Lens};
use crate::optics::FocusLaw;
use crate::scale::{Band, BandUnit, Mark, Pair, Reach, Sharpness, closest_label, legible};
use crate::units::{Angle, Distance, DistanceUnit, Length, Stop};

/// A pair of depth marks, and how far it understates the depth.
#[derive(Clone, Debug)]
pub struct DepthPair {
    /// As it is drawn.
    pub mark: DepthMark,
    /// As it was computed.
    pub reach: Reach,
}

/// Farther round the barrel than this a mark is not seen from where the index is read; common practice, no source.
const IN_SIGHT_DEG: f64 = 45.0;
/// Gap between the few numerals beside an index, as a share of the label gap of a scale.
const GAP_SHARE: f64 = 0.7;
/// A mark that leaves out more than this share of the true depth gets a warning; common practice, no source.
const WARNED_FROM: f64 = 0.15;

fn sharpness<'a>(lens: &Lens, focus: &Focus, law: &'a FocusLaw, bands: &[Band]) -> Sharpness<'a> {
    let marks = || bands.iter().flat_map(|band| &band.marks).filter_map(|mark| mark_distance(mark.value));
    let closest = marks().filter_map(Distance::to_mm).reduce(f64::min).map_or(focus.closest, Length::mm);
    let farthest = marks().reduce(|a, b| match (a.to_mm(), b.to_mm()) {
        (Some(one), Some(other)) => Distance::mm(one.max(other)),
        _ => Distance::Infinity,
    });
    Sharpness {
        law,
        lens: thin_lens(lens),
        circle_of_confusion: lens.circle_of_confusion,
        closest,
        farthest: farthest.unwrap_or(Distance::Infinity),
    }
}

impl RingBuilder<'_> {
    /// The pairs of depth marks that can be read, and a sentence for each that is left out.
    pub(super) fn depth(&self, ring: &FocusRing) -> (Vec<DepthPair>, Vec<String>) {
        let sharpness = sharpness(self.lens, ring.focus, &ring.calibration.law, &ring.bands);
        let (mut depths, mut notes) = (Vec::new(), Vec::new());
        for stop in &ring.focus.depth_marks {
            let label = stop.label();
            let Some(reach) = sharpness.reach(*stop) else {
                notes.push(format!("depth mark {label} has no far or no near side on this scale; left out"));
                continue;
            };
            let farther = reach.near.max(reach.far).to_deg();
            if farther > IN_SIGHT_DEG {
                let (far, most) = (farther.round(), IN_SIGHT_DEG);
                notes.push(format!(
                    "depth mark {label} would stand {far}° from the index, out of its sight (over {most}°); left out"
                ));
                continue;
            }
            let arc = |turn: Angle| Length::mm(turn.to_deg() * ring.mm_per_degree);
            let (near, far) = (reach.near, reach.far);
            let mark = DepthMark { stop: *stop, label, near, far, near_arc: arc(near), far_arc: arc(far) };
            depths.push(DepthPair { mark, reach });
        }
        let pair = |depth: &DepthPair| Pair {
            near: depth.mark.near_arc.to_mm(),
            far: depth.mark.far_arc.to_mm(),
            sides: self.sides(&depth.mark.label, (ring.focus.toward_close, ring.focus.read_from), 1.0),
        };
        let pairs: Vec<Pair> = depths.iter().map(pair).collect();
        let style = &self.set.style;
        let half_line = 0.75 * super::look(self.set).tick().to_mm();
        let chosen = legible(&pairs, half_line, style.smallest_gap.to_mm(), GAP_SHARE * style.label_gap.to_mm());
        let mut kept = Vec::new();
        for (i, depth) in depths.into_iter().enumerate() {
            if chosen.contains(&i) {
                kept.push(depth);
            } else {
                notes.push(format!("depth mark {} would touch what stands beside it; left out", depth.mark.label));
            }
        }
        (kept, notes)
    }

    /// A sentence for each hyperfocal mark that was asked for and is not in the first band.
    pub(super) fn without_hyperfocal(&self, focus: &Focus, bands: &mut [Band]) -> Vec<String> {
        let Some(band) = bands.first_mut() else { return Vec::new() };
        let mut notes = Vec::new();
        for stop in &focus.hyperfocal {
            if band.marks.iter().any(|mark| mark.hyperfocal == Some(*stop)) {
                continue;
            }
            let label = format!("H{}", stop.label());
            let setting = thin_lens(self.lens).hyperfocal_setting(*stop, self.lens.circle_of_confusion);
            let unit = match band.unit {
                BandUnit::Distance(DistanceUnit::Metre) => " m",
                BandUnit::Distance(DistanceUnit::Foot) | BandUnit::F | BandUnit::T => "",
            };
            let at = format!("{}{unit}", closest_label(band.unit, setting));
            let left_out = band.left_out.iter().find(|left_out| left_out.label == label);
            notes.push(match left_out.map(|left_out| &left_out.touches) {
                Some(Some(other)) => format!("{label}, at {at}, would touch {other}; left out"),
                Some(None) => format!("{label}, at {at}, would crowd the numerals beside; left out"),
                None => format!("{label}, at {at}, lies off this scale; left out"),
            });
            band.left_out.retain(|left_out| left_out.label != label);
        }
        notes
    }
}

/// A warning of marks that leave out much of the true depth; distances are told in `unit`.
pub(super) fn cautious(depths: &[DepthPair], unit: DistanceUnit) -> Option<String> {
    let worst = depths.iter().map(|depth| depth.reach).max_by(|a, b| a.most_cautious.total_cmp(&b.most_cautious))?;
    (worst.most_cautious > WARNED_FROM).then(|| {
        format!(
            "the depth marks are cautious: at {} the true depth is {:.0} % more than marked",
            unit.say(worst.cautious_at),
            100.0 * worst.most_cautious
        )
    })
}

/// A hyperfocal mark's stop and distance.
pub fn hyperfocal_marks(band: &Band) -> impl Iterator<Item = (Stop, &Mark)> {
    band.marks.iter().filter_map(|mark| Some((mark.hyperfocal?, mark)))
}
