//! Texts with units in them, from the set file or a cell of a readings file, become lengths, distances, positions of
//! a ring and stops.

use std::f64::consts::PI;
use std::ops::Range;

use crate::units::{Angle, Distance, Division, Length, QuantityError, Stop, figure};

use super::document::Document;
use super::fault::{Fault, Place, shown};
use super::keys::{Key, Kind};
use super::slip;

/// The farthest position from a ring's zero that is accepted: ten turns.
const FARTHEST_POSITION: f64 = 3600.0;

/// The farthest finite distance: what lies beyond 10 km is at infinity for any lens here.
pub(super) const FARTHEST_SUBJECT: f64 = 1e7;

/// The largest errors of taping that are believed: a length in mm, and a share of the distance in %.
pub(super) const MOST_TAPE_ERROR: f64 = 1000.0;
pub(super) const HIGHEST_SHARE: f64 = 20.0;

/// What a text is due to say.
#[derive(Clone, Copy)]
pub(super) enum Quantity {
    Length,
    Angle,
    Distance,
    Position,
    Error,
}

impl Quantity {
    /// What a key of this kind is due to say; `None` where that is no text with a unit.
    pub(super) fn of(kind: &Kind) -> Option<Quantity> {
        match kind {
            Kind::Length(..) | Kind::Lengths(..) | Kind::LengthOr(..) | Kind::Texts => Some(Quantity::Length),
            Kind::Turn(_) => Some(Quantity::Angle),
            Kind::Distance => Some(Quantity::Distance),
            Kind::Position => Some(Quantity::Position),
            Kind::PositionError | Kind::DistanceError => Some(Quantity::Error),
            Kind::Stop(..)
            | Kind::Stops(..)
            | Kind::Number(..)
            | Kind::Count(..)
            | Kind::OneOf(_)
            | Kind::Word(_)
            | Kind::Words(_)
            | Kind::Truth
            | Kind::Text
            | Kind::Name
            | Kind::File
            | Kind::WordOrFile(_)
            | Kind::Sheet
            | Kind::Table(_)
            | Kind::Tables(_) => None,
        }
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Quantity::Length => "a length",
            Quantity::Angle => "an angle",
            Quantity::Distance => "a distance",
            Quantity::Position => "a position on the ring",
            Quantity::Error => "an error",
        }
    }

    pub(super) fn needs_a_unit(self) -> String {
        format!("{} needs a unit", self.name())
    }
}

/// The ring along which a position was read, when it is a length.
#[derive(Clone, Copy)]
pub(super) enum ReadOn {
    /// No ring was named: positions are angles.
    Nothing,
    /// A ring of this diameter.
    Ring(Length),
    /// What was named was refused; lengths cannot be read and are no further fault.
    Refused,
}

/// A text that is to be read as a quantity, with its place.
#[derive(Clone)]
pub(super) struct Text<'d> {
    pub(super) doc: &'d Document,
    pub(super) place: Place,
    /// Where the fault comes in the order of the set file.
    pub(super) order: usize,
    pub(super) key: &'static Key,
    pub(super) text: &'d str,
}

impl Text<'_> {
    pub(super) fn push(&self, fault: Fault) {
        self.doc.push_at(self.order, fault);
    }

    pub(super) fn refuse<T>(&self, message: impl Into<String>, label: impl Into<String>) -> Option<T> {
        self.push(self.place.fault(message, label));
        None
    }

    /// Where a part of the text stands in the file; the whole value when quotes hide it.
    fn part(&self, span: Range<usize>) -> Range<usize> {
        let whole = self.place.span();
        let written = self.place.source().text().get(whole.clone()).unwrap_or_default();
        let offset = if written == self.text {
            0
        } else if written.len() == self.text.len() + 2 && written.get(1..written.len() - 1) == Some(self.text) {
            1
        } else {
            return whole;
        };
        whole.start + offset + span.start..whole.start + offset + span.end
    }

    fn refuse_quantity<T>(&self, error: &QuantityError) -> Option<T> {
        self.push(Fault::new(self.place.source(), error.message()).mark(self.part(error.span()), self.way_out(error)));
        None
    }

    /// What was most likely meant, else what the error proposes.
    fn way_out(&self, error: &QuantityError) -> String {
        let meant = slip::did_you_mean(&slip::meant(self.key, self.text));
        meant.unwrap_or_else(|| error.way_out().unwrap_or_default().to_string())
    }

    fn refuse_range<T>(&self, allowed: &str) -> Option<T> {
        self.refuse(format!("`{}` cannot be {}", self.key.name, shown(self.text)), format!("allowed are {allowed}"))
    }

    /// Whether the text is a number and nothing else.
    fn is_bare(&self) -> bool {
        self.text.trim().parse::<f64>().is_ok_and(f64::is_finite)
    }

    /// The key is of another kind than it is read as: a fault of this program, which a test finds.
    fn another_kind<T>(&self) -> Option<T> {
        self.refuse(format!("`{}` is read as something else than its kind", self.key.name), "please report this")
    }

    /// A length in the key's range.
    pub(super) fn length(&self) -> Option<Length> {
        let (lowest, highest) = match self.key.kind {
            Kind::Length(lowest, highest) | Kind::Lengths(lowest, highest) | Kind::LengthOr(lowest, highest, _) => {
                (lowest, highest)
            }
            Kind::Texts => (1.0, 1e6),
            _ => return self.another_kind(),
        };
        self.length_within(lowest, highest)
    }

    /// A length from `lowest` to `highest` mm.
    pub(super) fn length_within(&self, lowest: f64, highest: f64) -> Option<Length> {
        match self.text.parse::<Length>() {
            Ok(length) if (lowest..=highest).contains(&length.to_mm()) => Some(length),
            Ok(_) => self.refuse_range(&format!("{} mm to {} mm", figure(lowest), figure(highest))),
            Err(error) => self.refuse_quantity(&error),
        }
    }

    /// An angle above zero, up to the key's end.
    pub(super) fn turn(&self) -> Option<Angle> {
        let Kind::Turn(highest) = self.key.kind else { return self.another_kind() };
        match self.text.parse::<Angle>() {
            Ok(angle) if angle.to_deg() > 0.0 && angle.to_deg() <= highest => Some(angle),
            Ok(_) => self.refuse_range(&format!("angles above 0 deg, up to {highest} deg")),
            Err(error) => self.refuse_quantity(&error),
        }
    }

    /// A distance from the image plane.
    pub(super) fn distance(&self) -> Option<Distance> {
        if self.is_bare() {
            return self.refuse(Quantity::Distance.needs_a_unit(), slip::proposal(self.key, self.text));
        }
        match self.text.parse::<Distance>() {
            Ok(Distance::Finite(length)) if !(1.0..=FARTHEST_SUBJECT).contains(&length.to_mm()) => {
                self.refuse_range("1 mm to 10 km, and \"inf\"")
            }
            Ok(distance) => Some(distance),
            Err(error) => self.refuse_quantity(&error),
        }
    }

    /// A position of a ring in degrees: an angle, or a length along a ring of the diameter `read_on`.
    ///
    /// ```text
    /// angle = 360 s / (pi d)        s: length along the ring, mm;  d: its diameter, mm
    /// ```
    ///
    /// Source: the definition of an arc.
    pub(super) fn position(&self, read_on: ReadOn) -> Option<Angle> {
        if self.is_bare() {
            let guess = slip::proposal(self.key, self.text);
            self.push(self.place.fault(Quantity::Position.needs_a_unit(), guess).help(
                "a length along a ring will do too, with that ring's diameter: at = \"61.3 mm\", read_on = \"62 mm\"",
            ));
            return None;
        }
        let degrees = match (self.text.parse::<Angle>(), self.text.parse::<Length>()) {
            (Ok(angle), _) => angle.to_deg(),
            (Err(_), Ok(along)) => match read_on {
                ReadOn::Ring(diameter) => 360.0 * along.to_mm() / (PI * diameter.to_mm()),
                ReadOn::Refused => return None,
                ReadOn::Nothing => {
                    let message = "a length along a ring says nothing without that ring's diameter";
                    let way_out = "add read_on = \"62 mm\" with the diameter of the ring this was read on";
                    self.push(self.place.fault(message, way_out).help("or give the turn itself, like \"84 deg\""));
                    return None;
                }
            },
            (Err(angle), Err(length)) => {
                let meant = if self.text.contains("deg") || self.text.contains('°') { angle } else { length };
                return self.refuse_quantity(&meant);
            }
        };
        match Angle::try_deg(degrees) {
            Some(angle) if degrees.abs() <= FARTHEST_POSITION => Some(angle),
            _ => self.refuse_range("positions up to ten turns from zero"),
        }
    }

    /// A stop in the key's range; a T in front is right only where `t_scale` says so.
    pub(super) fn stop(&self, division: Division, t_scale: bool) -> Option<Stop> {
        let (lowest, highest) = match self.key.kind {
            Kind::Stop(lowest, highest) | Kind::Stops(lowest, highest) => (lowest, highest),
            Kind::Texts => (0.5, 256.0),
            _ => return self.another_kind(),
        };
        let text = self.text.trim();
        if text.starts_with(['t', 'T']) && !t_scale {
            return self.refuse(
                format!("`{}` is an f-stop here, and `{}` is a T-stop", self.key.name, shown(text)),
                "write it like 2.8 or \"f/2.8\"; T-stops go with scale = \"T\" of an iris",
            );
        }
        let Some(number) = stop_number(text) else {
            let meant = slip::did_you_mean(&slip::meant(self.key, text));
            let label = meant.unwrap_or_else(|| "write it like 2.8 or \"f/2.8\"".to_string());
            return self.refuse(format!("`{}` is not a stop", shown(text)), label);
        };
        match Stop::nominal(number, division).filter(|_| (lowest..=highest).contains(&number)) {
            Some(stop) => Some(stop),
            None => self.refuse_range(&format!("{lowest} to {highest}")),
        }
    }

    /// The error of a taped distance: a constant part, a share of the distance, or their sum.
    pub(super) fn distance_error(&self) -> Option<(Length, f64)> {
        let (mut constant, mut share) = (None, None);
        for part in self.text.split('+') {
            let at = part.as_ptr() as usize - self.text.as_ptr() as usize;
            match part.trim().strip_suffix('%') {
                Some(percent) if share.is_none() => match percent.trim().parse::<f64>() {
                    Ok(percent) if (0.0..=HIGHEST_SHARE).contains(&percent) => share = Some(percent / 100.0),
                    _ => return self.refuse_range("0 % to 20 % of the distance"),
                },
                None if constant.is_none() => match part.parse::<Length>() {
                    Ok(length) if (0.0..=MOST_TAPE_ERROR).contains(&length.to_mm()) => constant = Some(length),
                    Ok(_) => return self.refuse_range("0 mm to 1 m, and a share in %"),
                    Err(error) => {
                        let span = error.span().start + at..error.span().end + at;
                        let mut fault = Fault::new(self.place.source(), error.message())
                            .mark(self.part(span), self.way_out(&error));
                        fault = fault.help("an error of distance looks like \"5 mm\" or \"5 mm + 0.3 %\"");
                        self.push(fault);
                        return None;
                    }
                },
                _ => {
                    return self.refuse(
                        "an error of distance has one length and one share at most",
                        "write it like \"5 mm\" or \"5 mm + 0.3 %\"",
                    );
                }
            }
        }
        Some((constant.unwrap_or(Length::ZERO), share.unwrap_or(0.0)))
    }
}

/// The number of a stop: `2.8`, `f/2.8`, `T2.8` or `1:2.8`.
pub(super) fn stop_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = match text.chars().next() {
        Some('f' | 'F' | 't' | 'T') => text[1..].trim_start_matches('/'),
        _ => text.strip_prefix("1:").unwrap_or(text),
    };
    let number = digits.trim().parse::<f64>().ok().filter(|_| !digits.contains(['e', 'E']));
    number.filter(|number| number.is_finite())
}
