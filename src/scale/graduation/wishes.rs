//! What the user fixes: it goes before everything that is traded.

use std::fmt;

use super::super::ladder::Count;
use super::{Graduation, table::EXACT};

/// What stands where the ring stops.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EndMark {
    /// A numeral where it is worth one, else a tick; nothing where a numeral's tick stands too near.
    #[default]
    Auto,
    /// A numeral if a customary step holds the value.
    Numeral,
    /// A tick without a numeral.
    Tick,
    /// Nothing.
    Nothing,
}

/// A section as the user wants it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Steps {
    /// Down to this value, or to where the ring stops; from far, or from where the section before ends.
    pub to: Option<Count>,
    /// From numeral to numeral; between the numerals of `only` unless told.
    pub numbered: Option<Count>,
    /// From medium tick to medium tick.
    pub medium: Option<Count>,
    /// From tick to tick.
    pub fine: Option<Count>,
}

impl Steps {
    /// Whether a section may begin at a numeral.
    pub(super) fn reaches_from(&self, value: Count) -> bool {
        self.to.is_none_or(|to| value > to) && self.numbered.is_none_or(|step| value % step == 0)
    }
}

/// What the user fixes of a band; the default leaves everything open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes {
    /// Numerals: exactly these, and infinity.
    pub only: Option<Vec<Count>>,
    /// Numerals: these in any case.
    pub also: Vec<Count>,
    /// Values that bear a tick at most.
    pub never: Vec<Count>,
    /// Texts instead of numbers; an empty one takes the number away and leaves its tick.
    pub text: Vec<(Count, String)>,
    /// Sections from far to close.
    pub steps: Vec<Steps>,
    /// No tick is finer than this; zero for numerals alone.
    pub finest: Option<Count>,
    /// What stands where the ring stops.
    pub end_mark: EndMark,
    /// What is written there instead of a number.
    pub end_text: Option<String>,
}

/// Why wishes cannot be met. Values are counts of the unit's ladder.
#[derive(Clone, Debug, PartialEq)]
pub enum WishFault {
    /// The law does not reach the value, or the ring stops before.
    OffScale {
        /// What was asked for.
        value: Count,
    },
    /// A value is asked for and forbidden.
    AlsoAndNever {
        /// Which.
        value: Count,
    },
    /// Two labels that were asked for stand too near.
    TooNear {
        /// The farther one; `None` is infinity.
        one: Option<Count>,
        /// The nearer one.
        other: Count,
        /// Their clear distance, mm; negative where they overlap.
        clear: f64,
        /// What it should be at least, mm.
        least: f64,
    },
    /// A step is none: zero or negative.
    NoStep {
        /// Where its section ends; `None` is the end of the ring.
        to: Option<Count>,
    },
    /// A section names no step of its numerals, and the numerals are not named either.
    NoNumerals {
        /// Where the section ends; `None` is the end of the ring.
        to: Option<Count>,
    },
    /// A step does not divide the end of its section.
    DoesNotDivide {
        /// Which step.
        step: Count,
        /// The end of its section, or the coarser step.
        of: Count,
    },
    /// Sections do not fall from far to close.
    StepsRise {
        /// The end of the section that does not lie nearer than the one before.
        to: Option<Count>,
    },
    /// A section has no room: its ticks or its labels would stand too near.
    StepsTooTight {
        /// The first section; `None` where none was given.
        first: Option<Steps>,
    },
}

impl WishFault {
    /// What is wrong, with values as `label` writes them.
    pub fn told(&self, label: &dyn Fn(Count) -> String) -> String {
        let end = |to: &Option<Count>| to.map_or("the end of the ring".to_string(), label);
        match self {
            WishFault::OffScale { value } => format!("{} lies off this scale", label(*value)),
            WishFault::AlsoAndNever { value } => {
                format!("{} is asked for and forbidden at once", label(*value))
            }
            WishFault::TooNear { one, other, clear, least } => {
                let one = one.map_or("∞".to_string(), label);
                format!("{one} and {} would {}", label(*other), too_near(*clear, *least))
            }
            WishFault::NoStep { to } => format!("a step down to {} is not above zero", end(to)),
            WishFault::NoNumerals { to } => {
                format!("the section down to {} needs `numbered`, unless `only` names the numerals", end(to))
            }
            WishFault::DoesNotDivide { step, of } => format!("{} does not divide {}", label(*step), label(*of)),
            WishFault::StepsRise { to } => format!("{} is not nearer than the section before it", end(to)),
            WishFault::StepsTooTight { first: None } => "these numerals have no room together".to_string(),
            WishFault::StepsTooTight { first: Some(Steps { to, numbered: Some(numbered), .. }) } => {
                format!("a numeral every {} has no room down to {}", label(*numbered), end(to))
            }
            WishFault::StepsTooTight { first: Some(Steps { to, numbered: None, .. }) } => {
                format!("the numerals or the ticks down to {} have no room", end(to))
            }
        }
    }
}

/// How two labels that were asked for touch, mm.
pub(in crate::scale) fn too_near(clear: f64, least: f64) -> String {
    let touch = if clear < 0.0 { format!("overlap by {:.2} mm", -clear) } else { format!("stand {clear:.2} mm apart") };
    format!("{touch}; at least {least:.2} mm between them are needed")
}

impl fmt::Display for WishFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.told(&|count| count.to_string()))
    }
}

impl Wishes {
    /// Whether a numeral at `value` is asked for by name.
    pub fn asks_for(&self, value: Count) -> bool {
        self.only.as_ref().map_or(self.also.contains(&value), |only| only.contains(&value))
    }

    /// Whether a numeral may stand at `value`.
    pub fn allows(&self, value: Count) -> bool {
        !self.never.contains(&value) && self.only.as_ref().is_none_or(|only| only.contains(&value))
    }

    /// Whether ticks may stand so far apart in value.
    pub fn allows_step(&self, step: Count) -> bool {
        self.finest.is_none_or(|finest| finest > 0 && step >= finest)
    }

    /// The section with given steps that leads away from `value` toward close.
    pub fn steps_from(&self, value: Count) -> Option<&Steps> {
        self.steps.iter().find(|steps| steps.to.is_none_or(|to| to < value))
    }

    /// Every value that is asked for by name.
    pub fn asked(&self) -> impl Iterator<Item = Count> + '_ {
        let (only, also) = match &self.only {
            Some(only) => (only.as_slice(), &[][..]),
            None => (&[][..], self.also.as_slice()),
        };
        only.iter().chain(also).copied()
    }

    /// Contradictions that no law is needed for, and values that the law does not reach.
    pub(super) fn check(&self, scale: &Graduation) -> Result<(), WishFault> {
        if let Some(value) = self.asked().find(|value| self.never.contains(value)) {
            return Err(WishFault::AlsoAndNever { value });
        }
        let farthest = scale.farthest.unwrap_or(f64::INFINITY);
        let off = |value: &Count| {
            let mm = scale.ladder.mm(*value);
            let on_strip = (scale.arc)(mm).zip((scale.arc)(scale.closest)).is_some_and(|(at, end)| at <= end + EXACT);
            *value <= 0 || mm > farthest * (1.0 + 1e-9) || !on_strip
        };
        if let Some(value) = self.asked().chain(self.steps.iter().filter_map(|steps| steps.to)).find(off) {
            return Err(WishFault::OffScale { value });
        }
        for steps in &self.steps {
            let Steps { to, numbered, medium, fine } = *steps;
            if [numbered, medium, fine].into_iter().flatten().any(|step| step <= 0) {
                return Err(WishFault::NoStep { to });
            }
            if numbered.is_none() && self.only.is_none() {
                return Err(WishFault::NoNumerals { to });
            }
            // each step divides the next coarser one, and the coarsest the section's end
            let chain: Vec<Count> = [fine, medium, numbered, to].into_iter().flatten().collect();
            if let Some(pair) = chain.windows(2).find(|pair| pair[1] % pair[0] != 0) {
                return Err(WishFault::DoesNotDivide { step: pair[0], of: pair[1] });
            }
        }
        match self.steps.windows(2).find(|pair| pair[1].to.unwrap_or(0) >= pair[0].to.unwrap_or(0)) {
            Some(pair) => Err(WishFault::StepsRise { to: pair[1].to }),
            None => Ok(()),
        }
    }
}
