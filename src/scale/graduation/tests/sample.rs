//! Invented lenses, and how their scales are written down.

use std::f64::consts::PI;

use super::*;
use crate::scale::ladder::{FOOT, METRE};

/// A lens that is moved as a whole, on a ring.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lens {
    /// Focal length, mm.
    pub focal: f64,
    /// f-number of the widest stop.
    pub number: f64,
    /// The constant of the law, mm.
    pub c: f64,
    /// Helicoid's lead, mm.
    pub lead: f64,
    /// Ring's diameter, mm.
    pub ring: f64,
    /// Closest distance, mm.
    pub closest: f64,
}

/// What the gaps of a strip are.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gaps {
    /// Width of a character, mm.
    pub character: f64,
    /// Share of a label that lies before its tick.
    pub lean: f64,
    /// Between labels, mm.
    pub label: f64,
    /// Between ticks, mm.
    pub tick: f64,
    /// How far ticks should stand apart.
    pub comfort: Comfort,
}

/// Those of the scales that are pinned.
pub(crate) const USUAL: Gaps = Gaps {
    character: 1.4,
    lean: 0.5,
    label: 2.0,
    tick: 0.928,
    comfort: Comfort { narrowest: 1.4, widest: 2.2, bare: 3.0 },
};

impl Lens {
    /// A 50 mm lens whose lead makes the throw, in degrees.
    pub fn with_throw(ring: f64, throw: f64, closest: f64) -> Lens {
        let focal = 50.0;
        let b = closest - 2.0 * focal;
        let extension = 2.0 * focal * focal / (b + (b * b - 4.0 * focal * focal).sqrt());
        Lens { focal, number: 2.0, c: 2.0 * focal, lead: extension * 360.0 / throw, ring, closest }
    }

    pub fn ladder(&self, feet: bool) -> &'static Ladder {
        if feet { &FOOT } else { &METRE }
    }

    /// mm along the strip from infinity.
    ///
    /// ```text
    /// D = A/t + C + K t,  A = F^2 360 / lead,  K = lead / 360
    /// ```
    pub fn arc(&self, mm: f64) -> Option<f64> {
        let (a, k) = (self.focal * self.focal * 360.0 / self.lead, self.lead / 360.0);
        if mm.is_infinite() {
            return Some(0.0);
        }
        let b = mm - self.c;
        let inner = b * b - 4.0 * a * k;
        (b > 0.0 && inner >= 0.0).then(|| 2.0 * a / (b + inner.sqrt()) * PI * self.ring / 360.0)
    }

    /// The nearer half of the depth of field, mm along the strip, for a circle of confusion of 0.025 mm.
    pub fn half_depth(&self, mm: f64) -> f64 {
        let h = self.focal * self.focal / (self.number * 0.025) + self.focal;
        let u = 0.5 * (mm + (mm * (mm - 4.0 * self.focal)).max(0.0).sqrt());
        let near = mm - u + u * (h - self.focal) / (h + u - 2.0 * self.focal);
        self.arc(near).zip(self.arc(mm)).map_or(f64::INFINITY, |(near, at)| near - at)
    }

    pub fn choose(&self, feet: bool, own: bool, wishes: &Wishes) -> Result<Choice, WishFault> {
        self.scale(feet, own, wishes, USUAL, |scale| scale.choose())
    }

    /// Does something with the scale of these gaps.
    pub fn scale<T>(
        &self,
        feet: bool,
        own_unit: bool,
        wishes: &Wishes,
        gaps: Gaps,
        act: impl FnOnce(&Graduation) -> T,
    ) -> T {
        act(&Graduation {
            ladder: self.ladder(feet),
            arc: &|mm| self.arc(mm),
            half_depth: &|mm| self.half_depth(mm),
            sides: &|text| {
                let width = gaps.character * text.chars().count() as f64;
                Sides { before: gaps.lean * width, after: (1.0 - gaps.lean) * width }
            },
            closest: self.closest,
            farthest: None,
            reach: 2000.0 * self.focal,
            own_unit,
            tick_gap: gaps.tick,
            label_gap: gaps.label,
            tick_width: 0.2,
            comfort: gaps.comfort,
            period: PI * self.ring,
            obstacles: &[],
            figures: Figures::default(),
            infinity: "∞",
            wishes,
        })
    }
}

/// The marks from far to close in one line.
pub(crate) fn drawn(choice: &Choice) -> String {
    let mut line = "∞".to_string();
    for tick in &choice.ticks {
        line += &match (tick.class, tick.end) {
            _ if !tick.label.is_empty() => format!(" {}", tick.label),
            (_, true) => "¦".to_string(),
            (TickClass::Medium, false) => " :".to_string(),
            (TickClass::Numbered | TickClass::Fine, false) => " ·".to_string(),
        };
    }
    line
}

/// The sections between numerals in one line.
pub(crate) fn sections(choice: &Choice, ladder: &Ladder) -> String {
    let step = |step: Option<Count>| step.map_or("-".to_string(), |step| ladder.label(step, Figures::default()));
    let line = choice.sections.iter().filter_map(|section| {
        let (from, to) =
            (ladder.label(section.from, Figures::default()), ladder.label(section.to?, Figures::default()));
        let Section { numbered, medium, fine, .. } = *section;
        Some(format!("{from}→{to} numbered {} fine {} med {}", step(numbered), step(fine), step(medium)))
    });
    line.collect::<Vec<_>>().join("; ")
}
