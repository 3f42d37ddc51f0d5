//! The marks of an iris band: full stops numbered where they fit, the widest and the last always, fractions plain.

use super::choose::{Candidate, best};
use super::{Band, BandUnit, Mark, MarkValue, Spacing, left_out};
use crate::optics::IrisLaw;
use crate::units::{Angle, Division, Length, Stop, TStop};

/// Everything an iris band is chosen from.
pub struct IrisScale<'a> {
    /// From f-number to ring angle.
    pub law: &'a IrisLaw,
    /// The widest stop, an f-number.
    pub widest: Stop,
    /// The last stop that is marked, an f-number.
    pub smallest: Stop,
    /// Full, half or third stops.
    pub division: Division,
    /// Transmittance where T-stops are marked; 1 where the readings are T-stops already.
    pub transmittance: Option<f64>,
    /// Gaps and scale of the strip.
    pub spacing: Spacing,
    /// Width of a text's ink.
    pub width: &'a dyn Fn(&str) -> Length,
}

/// What a full stop's numeral is worth against one off the series.
const FULL_STOP: f64 = 10.0;

impl IrisScale<'_> {
    /// Chooses the marks.
    pub fn band(&self) -> Band {
        let unit = if self.transmittance.is_some() { BandUnit::T } else { BandUnit::F };
        let stops = self.stops();
        let numbered: Vec<usize> =
            (0..stops.len()).filter(|i| *i == 0 || *i + 1 == stops.len() || is_full(stops[*i])).collect();
        let mut labels = Vec::new();
        let mut candidates = Vec::new();
        for i in &numbered {
            let half = 0.5 * (self.width)(&stops[*i].label()).to_mm();
            let required = *i == 0 || *i + 1 == stops.len();
            let at = self.arc(stops[*i]).unwrap_or(0.0);
            labels.push(stops[*i].label());
            candidates.push(Candidate { at, before: half, after: half, weight: FULL_STOP, required });
        }
        let gap = self.spacing.label_gap.to_mm();
        // Where the two ends collide, only the widest stop is numbered.
        let chosen = best(&candidates, gap, |_, _| 0.0).unwrap_or_else(|| vec![0]);
        let left_out = left_out(unit, &candidates, &labels, &chosen, gap, FULL_STOP);
        let chosen: Vec<usize> = chosen.into_iter().filter_map(|k| numbered.get(k).copied()).collect();
        let smallest_gap = self.spacing.smallest_gap.to_mm();
        let mut marks: Vec<Mark> = Vec::new();
        for pair in stretches(&chosen, stops.len()) {
            marks.extend(self.mark(stops[pair.0], chosen.contains(&pair.0)));
            let inner: Vec<Mark> = (pair.0 + 1..pair.1).filter_map(|i| self.mark(stops[i], false)).collect();
            // a stretch whose fractions stand too close keeps its full stops alone, so that what is there is even
            let full: Vec<Mark> = (pair.0 + 1..pair.1)
                .filter(|i| is_full(stops[*i]))
                .filter_map(|i| self.mark(stops[i], false))
                .collect();
            let ends = (self.arc(stops[pair.0]), stops.get(pair.1).and_then(|s| self.arc(*s)));
            marks.extend([inner, full].into_iter().find(|inner| spaced(ends, inner, smallest_gap)).unwrap_or_default());
        }
        Band { unit, marks, left_out }
    }

    /// Stops of the scale (T where T is marked) from the widest to the smallest.
    fn stops(&self) -> Vec<Stop> {
        let scaled = |stop: Stop| match self.transmittance {
            Some(tau) if tau < 1.0 => Stop::exact(TStop::of(stop, tau).number()),
            _ => stop,
        };
        let step = self.division.sixths();
        let (widest, mut smallest) = (scaled(self.widest), scaled(self.smallest));
        if smallest.sixths().is_none() {
            // a scale of exact values begins at the widest stop, which people quote, and ends on the series
            smallest = Stop::from_sixths((smallest.in_stops() * 6.0 / f64::from(step) + 1e-9).floor() as i32 * step);
        }
        let mut stops = vec![widest];
        let first = (widest.in_stops() * 6.0 / f64::from(step)).floor() as i32 * step;
        for k in 0..200 {
            let stop = Stop::from_sixths(first + k * step);
            // nearer than a twelfth of a stop to an end it would only blur that mark
            if stop.in_stops() > widest.in_stops() + 1.0 / 12.0 && stop.in_stops() < smallest.in_stops() - 1.0 / 12.0 {
                stops.push(stop);
            }
        }
        if smallest.in_stops() > widest.in_stops() {
            stops.push(smallest);
        }
        stops.retain(|stop| self.angle(*stop).is_some());
        stops
    }

    fn angle(&self, stop: Stop) -> Option<Angle> {
        self.law.angle(match self.transmittance {
            Some(tau) if tau < 1.0 => TStop::new(stop).to_stop(tau),
            _ => stop,
        })
    }

    fn arc(&self, stop: Stop) -> Option<f64> {
        let open = self.law.angle(self.widest)?;
        Some((self.angle(stop)?.to_deg() - open.to_deg()) * self.spacing.mm_per_degree)
    }

    fn mark(&self, stop: Stop, numbered: bool) -> Option<Mark> {
        Some(Mark {
            value: MarkValue::Stop(stop.number()),
            label: if numbered { stop.label() } else { String::new() },
            angle: self.angle(stop)?,
            arc: Length::try_mm(self.arc(stop)?)?,
            numeral_shift: Length::ZERO,
            short: false,
            hyperfocal: None,
        })
    }
}

fn is_full(stop: Stop) -> bool {
    stop.sixths().is_some_and(|s| s % 6 == 0)
}

/// From each numbered stop to the next; the last one to the end.
fn stretches(chosen: &[usize], count: usize) -> Vec<(usize, usize)> {
    let ends = chosen.iter().skip(1).copied().chain([count]);
    chosen.iter().copied().zip(ends).collect()
}

fn spaced(ends: (Option<f64>, Option<f64>), inner: &[Mark], smallest_gap: f64) -> bool {
    let mut arcs: Vec<f64> = ends.0.into_iter().collect();
    arcs.extend(inner.iter().map(|mark| mark.arc.to_mm()));
    arcs.extend(ends.1);
    arcs.windows(2).all(|pair| pair[1] - pair[0] >= smallest_gap)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::IrisShape;

    fn band(widest: Stop, division: Division, transmittance: Option<f64>, degrees_per_stop: f64) -> Band {
        let law = IrisLaw::Shaped { shape: IrisShape::Even, widest, open: Angle::ZERO, rate: degrees_per_stop };
        let spacing = Spacing {
            mm_per_degree: std::f64::consts::PI * 70.0 / 360.0,
            period: Length::mm(219.9),
            smallest_gap: Length::mm(0.8),
            label_gap: Length::mm(2.0),
            tick_width: Length::mm(0.2),
        };
        let width = |text: &str| Length::mm(1.4 * text.chars().count() as f64);
        IrisScale {
            law: &law,
            widest,
            smallest: Stop::from_sixths(48),
            division,
            transmittance,
            spacing,
            width: &width,
        }
        .band()
    }

    fn drawn(band: &Band) -> String {
        band.marks.iter().map(|m| if m.numbered() { m.label.as_str() } else { "·" }).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn full_stops_are_numbered_and_thirds_are_plain() {
        insta::assert_snapshot!(drawn(&band(Stop::from_sixths(12), Division::Third, None, 12.0)), @"2 · · 2.8 · · 4 · · 5.6 · · 8 · · 11 · · 16");
    }

    #[test]
    fn a_t_scale_begins_at_the_exact_widest_stop() {
        insta::assert_snapshot!(drawn(&band(Stop::from_sixths(12), Division::Full, Some(0.75), 12.0)), @"2.3 · 4 5.6 8 11 16");
    }

    #[test]
    fn fractions_that_stand_too_close_are_dropped_together() {
        insta::assert_snapshot!(drawn(&band(Stop::from_sixths(12), Division::Third, None, 3.0)), @"2 · 4 · · · 16");
    }
}
