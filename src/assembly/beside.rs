//! What stands beside a focus scale: marks of depth of field beside the index, hyperfocal marks among the distances.
//!
//! Both come after the distances have been chosen, and give way to them.

use super::{Bench, FocusRing, mark_distance, thin_lens};
use crate::artwork::DepthMark;
use crate::optics::FocusLaw;
use crate::scale::{Band, Mark, MarkValue, Pair, Reach, Sharpness, Spacing, legible};
use crate::set::{Focus, Lens};
use crate::units::{Angle, Distance, Length, Stop};

/// A pair of depth marks and what it leaves unsaid.
#[derive(Clone, Debug)]
pub struct Depth {
    /// As it is drawn.
    pub mark: DepthMark,
    /// As it was computed.
    pub reach: Reach,
}

/// Farther round the barrel than this a mark is out of sight from where the index is read; common practice, no source.
const IN_SIGHT_DEG: f64 = 45.0;
/// A mark that leaves out more than this share of the true depth is worth a word; common practice, no source.
const WORTH_TELLING: f64 = 0.15;

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

impl Bench<'_> {
    /// The pairs of depth marks that can be read, and a sentence for each that is left out.
    pub(super) fn depth(&self, ring: &FocusRing) -> (Vec<Depth>, Vec<String>) {
        let sharpness = sharpness(self.lens, ring.focus, &ring.calibration.law, &ring.bands);
        let (mut depths, mut told) = (Vec::new(), Vec::new());
        for stop in &ring.focus.depth_marks {
            let label = stop.label();
            let Some(reach) = sharpness.reach(*stop) else {
                told.push(format!("depth mark {label} has no far or no near side on this scale; left out"));
                continue;
            };
            let farther = reach.near.to_deg().max(reach.far.to_deg());
            if farther > IN_SIGHT_DEG {
                let (far, most) = (farther.round(), IN_SIGHT_DEG);
                told.push(format!(
                    "depth mark {label} would stand {far}° from the index, out of its sight (over {most}°); left out"
                ));
                continue;
            }
            let arc = |turn: Angle| Length::mm(turn.to_deg() * ring.mm_per_degree);
            let (near, far) = (reach.near, reach.far);
            let mark = DepthMark { stop: *stop, label, near, far, near_arc: arc(near), far_arc: arc(far) };
            depths.push(Depth { mark, reach });
        }
        let pair = |depth: &Depth| Pair {
            near: depth.mark.near_arc.to_mm(),
            far: depth.mark.far_arc.to_mm(),
            half: 0.5 * self.width(&depth.mark.label).to_mm(),
        };
        let pairs: Vec<Pair> = depths.iter().map(pair).collect();
        let style = &self.set.style;
        let half_line = 0.75 * super::look(self.set).tick().to_mm();
        let chosen = legible(&pairs, half_line, style.smallest_gap.to_mm(), style.label_gap.to_mm());
        let mut kept = Vec::new();
        for (i, depth) in depths.into_iter().enumerate() {
            if chosen.contains(&i) {
                kept.push(depth);
            } else {
                told.push(format!("depth mark {} would touch what stands beside it; left out", depth.mark.label));
            }
        }
        (kept, told)
    }

    /// Puts hyperfocal marks into the first band where they have room; a sentence for each that has none.
    pub(super) fn hyperfocal(
        &self,
        focus: &Focus,
        law: &FocusLaw,
        spacing: &Spacing,
        bands: &mut [Band],
    ) -> Vec<String> {
        let sharpness = sharpness(self.lens, focus, law, bands);
        let mut told = Vec::new();
        for stop in &focus.hyperfocal {
            let label = format!("H{}", stop.label());
            let (Some((distance, angle)), Some(band)) = (sharpness.hyperfocal_angle(*stop), bands.first_mut()) else {
                told.push(format!("{label} lies off this scale; left out"));
                continue;
            };
            match self.room(&label, angle, spacing, band) {
                Ok(arc) => {
                    let (value, numeral_shift) = (MarkValue::Distance(distance), Length::ZERO);
                    let mark = Mark { value, label, angle, arc, numeral_shift, hyperfocal: Some(*stop) };
                    let place = band.marks.partition_point(|other| other.arc < arc);
                    band.marks.insert(place, mark);
                }
                Err(reason) => told.push(format!("{label}, at {distance}, {reason}; left out")),
            }
        }
        told
    }

    /// The arc of a further mark, or why it has no room.
    fn room(&self, label: &str, angle: Angle, spacing: &Spacing, band: &Band) -> Result<Length, String> {
        let zero = band.marks.first().map_or(0.0, |first| first.angle.to_deg());
        let arc = (angle.to_deg() - zero) * spacing.mm_per_degree;
        let period = spacing.period.to_mm();
        let wider = spacing.label_gap.to_mm() / self.set.style.label_gap.to_mm();
        let half = |text: &str| 0.5 * self.width(text).to_mm() * wider;
        for mark in &band.marks {
            // the shorter way round
            let away = |at: f64| ((arc - at + 0.5 * period).rem_euclid(period) - 0.5 * period).abs();
            let name = if mark.numbered() { mark.label.as_str() } else { "a plain tick" };
            if away(mark.arc.to_mm()) < spacing.smallest_gap.to_mm() {
                return Err(format!("would crowd the tick of {name}").replace("the tick of a", "a"));
            }
            let middle = mark.arc.to_mm() + mark.numeral_shift.to_mm();
            if mark.numbered() && away(middle) - half(label) - half(&mark.label) < spacing.label_gap.to_mm() {
                return Err(format!("would touch {name}"));
            }
        }
        Ok(Length::mm(arc))
    }
}

/// What to say of marks that leave out much of the true depth.
pub(super) fn cautious(depths: &[Depth]) -> Option<String> {
    let worst = depths.iter().map(|depth| depth.reach).max_by(|a, b| a.most_cautious.total_cmp(&b.most_cautious))?;
    (worst.most_cautious > WORTH_TELLING).then(|| {
        format!(
            "the depth marks are cautious: at {} the true depth is {:.0} % more than marked",
            worst.cautious_at,
            100.0 * worst.most_cautious
        )
    })
}

/// A hyperfocal mark's stop and distance.
pub fn hyperfocal_marks(band: &Band) -> impl Iterator<Item = (Stop, &Mark)> {
    band.marks.iter().filter_map(|mark| Some((mark.hyperfocal?, mark)))
}
