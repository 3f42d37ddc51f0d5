//! What was chosen of a scale becomes what the choice of its marks goes by, and what cannot be met a refusal of the very
//! choice.

use crate::model::{Finest, Lens, Refusal, RingKind, ScaleChoices, SectionChoice, Subject};
use crate::scale::ladder::{Count, Ladder};
use crate::scale::{EndMark, Figures, IrisWishFault, IrisWishes, Steps, UnitSign, WishFault, Wishes};
use crate::units::{DistanceUnit, Length, Stop};

/// The keys of a scale's choices, as refusals and the set file name them.
pub mod key {
    /// Numerals, exactly these.
    pub const ONLY: &str = "only";
    /// Numerals, these in any case.
    pub const ALSO: &str = "also";
    /// Never a numeral.
    pub const NEVER: &str = "never";
    /// Texts instead of numbers.
    pub const TEXT: &str = "text";
    /// Sections.
    pub const STEPS: &str = "steps";
    /// The finest step.
    pub const FINEST: &str = "finest";
}

/// Why a chosen value cannot be.
pub(super) struct NotOnLadder {
    key: &'static str,
    message: String,
}

/// What the marks of a band go by.
pub(super) fn of_band(
    choices: &ScaleChoices<Length>,
    ladder: &'static Ladder,
    figures: Figures,
) -> Result<Wishes, NotOnLadder> {
    let count = |key: &'static str, length: &Length| -> Result<Count, NotOnLadder> {
        let nearest = ladder.nearest(length.to_mm());
        nearest.filter(|count| (ladder.mm(*count) - length.to_mm()).abs() < 1e-6 * length.to_mm().max(1.0)).ok_or_else(
            || {
                let smallest = ladder.label(1, Figures { sign: UnitSign::Each, ..Figures::default() });
                let near = nearest.map_or(String::new(), |near| {
                    format!("; the nearest is {}", ladder.label(near, Figures { sign: UnitSign::Each, ..figures }))
                });
                let message = format!("{} mm is no multiple of {smallest}{near}", plain(*length));
                NotOnLadder { key, message }
            },
        )
    };
    let counts = |key: &'static str, lengths: &Option<Vec<Length>>| -> Result<Option<Vec<Count>>, NotOnLadder> {
        lengths.as_ref().map(|lengths| lengths.iter().map(|length| count(key, length)).collect()).transpose()
    };
    let text = choices.text.iter().flatten().map(|(at, text)| Ok((count(key::TEXT, at)?, text.clone())));
    let section = |one: &SectionChoice<Length>| {
        let step = |step: &Option<Length>| step.as_ref().map(|step| count(key::STEPS, step)).transpose();
        Ok(Steps {
            to: step(&one.to)?,
            numbered: step(&one.numbered)?,
            medium: step(&one.medium)?,
            fine: step(&one.fine)?,
        })
    };
    Ok(Wishes {
        only: counts(key::ONLY, &choices.only)?,
        also: counts(key::ALSO, &choices.also)?.unwrap_or_default(),
        never: counts(key::NEVER, &choices.never)?.unwrap_or_default(),
        text: text.collect::<Result<_, NotOnLadder>>()?,
        steps: choices.sections.iter().flatten().map(section).collect::<Result<_, NotOnLadder>>()?,
        finest: match &choices.finest {
            None => None,
            Some(Finest::NumeralsAlone) => Some(0),
            Some(Finest::Step(step)) => Some(count(key::FINEST, step)?),
        },
        end_mark: choices.end_mark.unwrap_or(EndMark::Auto),
        end_text: choices.end_text.clone(),
    })
}

/// A length in mm without idle decimals.
fn plain(length: Length) -> String {
    let text = format!("{:.3}", length.to_mm());
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// What the marks of an iris go by.
pub(super) fn of_iris(choices: &ScaleChoices<Stop>) -> IrisWishes {
    IrisWishes {
        only: choices.only.clone(),
        also: choices.also.clone().unwrap_or_default(),
        never: choices.never.clone().unwrap_or_default(),
        text: choices.text.clone().unwrap_or_default(),
        end_mark: choices.end_mark.unwrap_or(EndMark::Auto),
        end_text: choices.end_text.clone(),
    }
}

/// A refusal of a chosen value that no mark can stand at.
pub(super) fn off_ladder(lens: &Lens, unit: DistanceUnit, own: &ScaleChoices<Length>, refused: NotOnLadder) -> Refusal {
    Refusal::new(subject(lens, unit, own, refused.key), refused.message, "no mark can stand here")
}

/// A refusal of what was chosen and cannot be met.
pub(super) fn unmet(
    lens: &Lens,
    unit: DistanceUnit,
    own: &ScaleChoices<Length>,
    wishes: &Wishes,
    fault: &WishFault,
    label: &dyn Fn(Count) -> String,
) -> Refusal {
    let asked = if wishes.only.is_some() { key::ONLY } else { key::ALSO };
    let (of, words) = match fault {
        WishFault::OffScale { value } if wishes.asks_for(*value) => (asked, "the scale does not reach this"),
        WishFault::OffScale { .. } => (key::STEPS, "the scale does not reach this"),
        WishFault::AlsoAndNever { .. } => (key::NEVER, "take it out here or there"),
        WishFault::TooNear { .. } => (asked, "leave one of them out"),
        WishFault::StepsTooTight { .. } if wishes.steps.is_empty() => (asked, "leave some of them out"),
        WishFault::StepsTooTight { .. } => (key::STEPS, "a coarser step has room"),
        WishFault::NoNumerals { .. }
        | WishFault::NoStep { .. }
        | WishFault::DoesNotDivide { .. }
        | WishFault::StepsRise { .. } => (key::STEPS, "this section"),
    };
    Refusal::new(subject(lens, unit, own, of), fault.told(label), words)
}

/// The choice of the lens's own, or where it is none, that of the whole set.
fn subject(lens: &Lens, unit: DistanceUnit, own: &ScaleChoices<Length>, of: &'static str) -> Subject {
    let its_own = match of {
        key::ONLY => own.only.is_some(),
        key::ALSO => own.also.is_some(),
        key::NEVER => own.never.is_some(),
        key::TEXT => own.text.is_some(),
        key::FINEST => own.finest.is_some(),
        _ => own.sections.is_some(),
    };
    if its_own {
        Subject::Scale { lens: lens.name.clone(), ring: RingKind::Focus, unit: Some(unit), key: of }
    } else {
        Subject::EveryScale(unit, of)
    }
}

/// A refusal of what was chosen of an iris and cannot be met.
pub(super) fn unmet_iris(lens: &Lens, choices: &ScaleChoices<Stop>, fault: &IrisWishFault) -> Refusal {
    let asked = if choices.only.is_some() { key::ONLY } else { key::ALSO };
    let (of, words) = match fault {
        IrisWishFault::OffScale(_) => (asked, "the scale does not reach this"),
        IrisWishFault::AlsoAndNever(_) => (key::NEVER, "take it out here or there"),
        IrisWishFault::TooNear { .. } => (asked, "leave one of them out"),
    };
    let subject = Subject::Scale { lens: lens.name.clone(), ring: RingKind::Iris, unit: None, key: of };
    Refusal::new(subject, fault.to_string(), words)
}
