//! Which values of a distance scale are numbered, which are ticked: the cheapest scale to read, exactly.
//!
//! Takes a law as arcs along the strip, how far labels reach, the depth of field and what the user wishes; gives every
//! tick from far to close, the sections in which they lie, and why what is missing is missing. A section has one step
//! and begins and ends at a numeral; every tick is a whole multiple of a customary step of the unit ([`Ladder`]).
//!
//! Rules that are never traded are in `search` (which moves exist) and `table` (which values are candidates); what is
//! traded is in `cost`, all in bits of reading.

mod cost;
mod ends;
mod search;
mod table;
mod told;
mod wishes;

pub use told::{Gap, InTheWay, Reason, Section, Untold};
pub(super) use wishes::too_near;
pub use wishes::{EndMark, Steps, WishFault, Wishes};

use super::Sides;
use super::figures::Figures;
use super::ladder::{Count, Ladder};
use search::{Goal, Path};
use table::Table;

/// How long a tick is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TickClass {
    /// The shortest.
    Fine,
    /// Between the two: what can be told from the fine ones at a glance.
    Medium,
    /// The tick of a numeral.
    Numbered,
}

impl TickClass {
    /// Of a mark that is long where it has a text and short where it has none.
    pub fn beneath(label: &str) -> TickClass {
        if label.is_empty() { TickClass::Fine } else { TickClass::Numbered }
    }
}

/// How far ticks should stand apart, mm.
///
/// An eye interpolates to about a tenth of an interval (Tomita and Honda 1994: 19 observers, divisions of 1 mm), and a tenth
/// of five half depths of field is half of one. Closer than the narrowest, ticks cannot be told at arm's length; farther than
/// the widest, the eye loses its place: both by looking at prints, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comfort {
    /// The narrowest spacing that is aimed at.
    pub narrowest: f64,
    /// The widest one.
    pub widest: f64,
    /// From here on a place is called bare: nothing of 4 mm should be without a tick.
    pub bare: f64,
}

impl Default for Comfort {
    fn default() -> Self {
        Comfort { narrowest: 1.4, widest: 2.2, bare: 3.0 }
    }
}

/// Something on the strip that belongs to no step: a mark for a stop among distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Obstacle {
    /// Its tick, mm along the strip.
    pub arc: f64,
    /// How far its label reaches.
    pub sides: Sides,
}

/// What a scale is chosen from. Lengths along the strip are mm from infinity (from the farthest distance) toward close.
#[derive(Clone, Copy)]
pub struct Graduation<'a> {
    /// The unit's steps.
    pub ladder: &'static Ladder,
    /// Arc of a distance in mm; infinity is the float. `None` where the law does not reach.
    pub arc: &'a dyn Fn(f64) -> Option<f64>,
    /// Half the depth of field at a distance in mm, the nearer half, mm along the strip.
    pub half_depth: &'a dyn Fn(f64) -> f64,
    /// How far a label reaches from its tick.
    pub sides: &'a dyn Fn(&str) -> Sides,
    /// Where the ring stops, mm of distance.
    pub closest: f64,
    /// The farthest distance in mm, where the law does not reach infinity.
    pub farthest: Option<f64>,
    /// No numeral stands farther out than this, mm of distance.
    pub reach: f64,
    /// Whether `closest` was given in this unit: its numeral is worth more then.
    pub own_unit: bool,
    /// Smallest distance of neighbouring ticks' centres, mm.
    pub tick_gap: f64,
    /// Clear distance that labels should keep, mm.
    pub label_gap: f64,
    /// Width of a tick, mm.
    pub tick_width: f64,
    /// How far ticks should stand apart.
    pub comfort: Comfort,
    /// Arc after which the scale meets itself.
    pub period: f64,
    /// What else stands on the strip.
    pub obstacles: &'a [Obstacle],
    /// How numbers are written.
    pub figures: Figures,
    /// What stands at infinity.
    pub infinity: &'a str,
    /// What the user fixed.
    pub wishes: &'a Wishes,
}

/// A tick that was chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// The value; `None` for an end of the ring that no count holds.
    pub value: Option<Count>,
    /// The distance, mm.
    pub mm: f64,
    /// Arc, mm.
    pub arc: f64,
    /// How long it is drawn.
    pub class: TickClass,
    /// What is engraved; may be empty on any tick.
    pub label: String,
    /// How far the label is moved aside of the tick, toward close, mm.
    pub shift: f64,
    /// Whether the ring stops here.
    pub end: bool,
}

/// A chosen scale, from far to close, without infinity.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choice {
    /// Every tick.
    pub ticks: Vec<Tick>,
    /// Stretches of one step, from far to close.
    pub sections: Vec<Section>,
    /// What the scale costs its reader, bits.
    pub bits: f64,
    /// Customary values without a numeral.
    pub untold: Vec<Untold>,
    /// Gaps of more than 4 mm between neighbouring ticks.
    pub gaps: Vec<Gap>,
    /// How far infinity's label moves aside of its tick, toward close, mm.
    pub infinity_shift: f64,
}

impl Graduation<'_> {
    /// Chooses the scale.
    ///
    /// # Errors
    /// When wishes contradict each other or the law.
    pub fn choose(&self) -> Result<Choice, WishFault> {
        self.wishes.check(self)?;
        let table = Table::new(self)?;
        let best = self.cheapest(&table).ok_or_else(|| search::no_room(self))?;
        Ok(told::choice(self, &table, &best))
    }

    /// The cheapest way along the scale.
    fn cheapest(&self, table: &Table) -> Option<Path> {
        let run = |goal: Goal| search::search(self, table, goal);
        let with = table.end_numeral.and_then(|_| run(Goal::Numbered));
        let must = self.wishes.end_mark == EndMark::Numeral || self.wishes.end_text.is_some();
        // an end that no step leads to would be the only numeral of the scale
        let forced = must && with.as_ref().is_some_and(|with| with.steps.len() > 1);
        let without = if forced { None } else { run(Goal::Plain) };
        match (with, without) {
            (Some(with), Some(without)) if !must && without.cost < with.cost => Some(without),
            (Some(_), Some(without)) if must && without.steps.len() > 1 => Some(without),
            (Some(with), _) => Some(with),
            (None, without) => without,
        }
    }
}

#[cfg(test)]
pub(crate) mod tests;
