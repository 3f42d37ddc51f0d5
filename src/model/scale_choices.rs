//! What was chosen of a scale's numerals and ticks; the rest follows from the law and the room.

use super::DistanceUnit;
use crate::scale::EndMark;
use crate::units::{Length, Stop};

/// What was chosen of one band. `None` leaves a choice to what is more general, and at last to the program.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleChoices<V> {
    /// Numerals: exactly these, and infinity.
    pub only: Option<Vec<V>>,
    /// Numerals: these in any case.
    pub also: Option<Vec<V>>,
    /// Values that bear a tick at most.
    pub never: Option<Vec<V>>,
    /// Texts instead of numbers; an empty one takes the number away and leaves its tick.
    pub text: Option<Vec<(V, String)>>,
    /// Sections from far to close.
    pub sections: Option<Vec<SectionChoice<V>>>,
    /// No tick is finer than this.
    pub finest: Option<Finest<V>>,
    /// What stands where the ring stops.
    pub end_mark: Option<EndMark>,
    /// What is written there instead of a number.
    pub end_text: Option<String>,
}

/// A section of a scale as it was chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionChoice<V> {
    /// Down to this value; to where the ring stops unless told.
    pub to: Option<V>,
    /// From numeral to numeral; between the numerals of `only` unless told.
    pub numbered: Option<V>,
    /// From medium tick to medium tick.
    pub medium: Option<V>,
    /// From tick to tick.
    pub fine: Option<V>,
}

/// How fine ticks may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finest<V> {
    /// No step between ticks is smaller than this.
    Step(V),
    /// Numerals alone.
    NumeralsAlone,
}

impl<V> Default for ScaleChoices<V> {
    fn default() -> Self {
        ScaleChoices {
            only: None,
            also: None,
            never: None,
            text: None,
            sections: None,
            finest: None,
            end_mark: None,
            end_text: None,
        }
    }
}

impl<V: Clone> ScaleChoices<V> {
    /// These choices, and where they leave something open, the more general ones.
    pub fn over(&self, general: &ScaleChoices<V>) -> ScaleChoices<V> {
        ScaleChoices {
            only: self.only.clone().or_else(|| general.only.clone()),
            also: self.also.clone().or_else(|| general.also.clone()),
            never: self.never.clone().or_else(|| general.never.clone()),
            text: self.text.clone().or_else(|| general.text.clone()),
            sections: self.sections.clone().or_else(|| general.sections.clone()),
            finest: self.finest.clone().or_else(|| general.finest.clone()),
            end_mark: self.end_mark.or(general.end_mark),
            end_text: self.end_text.clone().or_else(|| general.end_text.clone()),
        }
    }

    /// Everything that is written on the scale in place of numbers.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        let numbers = self.text.iter().flatten().map(|(_, text)| text.as_str());
        numbers.chain(self.end_text.as_deref())
    }
}

impl ScaleChoices<Length> {
    /// The same without values beyond the ends of a scale: what holds for many lenses holds for each as far as it reaches.
    pub fn within(&self, closest: Length, farthest: Option<Length>) -> ScaleChoices<Length> {
        let reached = |value: &Length| {
            let beyond = farthest.is_some_and(|farthest| value.to_mm() > farthest.to_mm() * (1.0 + 1e-9));
            value.to_mm() >= closest.to_mm() * (1.0 - 1e-9) && !beyond
        };
        let kept = |values: &Option<Vec<Length>>| {
            values.as_ref().map(|values| values.iter().copied().filter(reached).collect())
        };
        ScaleChoices {
            only: kept(&self.only),
            also: kept(&self.also),
            sections: self
                .sections
                .as_ref()
                .map(|all| all.iter().copied().filter(|one| one.to.as_ref().is_none_or(reached)).collect()),
            ..self.clone()
        }
    }
}

/// What was chosen of each focus band.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FocusScaleChoices {
    /// Of the band in metres.
    pub metres: ScaleChoices<Length>,
    /// Of the band in feet.
    pub feet: ScaleChoices<Length>,
}

impl FocusScaleChoices {
    /// Of the band in this unit.
    pub fn of(&self, unit: DistanceUnit) -> &ScaleChoices<Length> {
        match unit {
            DistanceUnit::Metre => &self.metres,
            DistanceUnit::Foot => &self.feet,
        }
    }

    /// Of the band in this unit, to be changed.
    pub fn of_mut(&mut self, unit: DistanceUnit) -> &mut ScaleChoices<Length> {
        match unit {
            DistanceUnit::Metre => &mut self.metres,
            DistanceUnit::Foot => &mut self.feet,
        }
    }
}

/// What was chosen of an iris band, in the stops that it shows.
pub type IrisScaleChoices = ScaleChoices<Stop>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_chosen_for_a_band_goes_before_what_holds_for_all() {
        let mm = |values: &[f64]| Some(values.iter().map(|mm| Length::mm(*mm)).collect::<Vec<_>>());
        let general =
            ScaleChoices { also: mm(&[1000.0, 300.0]), finest: Some(Finest::NumeralsAlone), ..Default::default() };
        let own = ScaleChoices { also: mm(&[700.0]), end_mark: Some(EndMark::Tick), ..Default::default() };
        let both = own.over(&general);
        assert_eq!((both.also, both.finest, both.end_mark), (own.also, general.finest, own.end_mark));
        // a closest distance that other lenses of the set do not reach is no fault of theirs
        assert_eq!(general.within(Length::mm(450.0), None).also, mm(&[1000.0]));
    }
}
