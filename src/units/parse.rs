//! The grammar of quantities: numbers, vulgar fractions and units, summed into one value.
//!
//! A quantity is one term or several falling ones: `84 mm`, `1.5 m`, `4 1/2 in`, `4½″`, `4 ft 6 in`, `4'6"`,
//! `63.5 deg`. What is refused comes back with the place in the text, what is allowed and a way out.

use std::fmt;
use std::ops::Range;

use super::{Angle, Length};

/// Why a text is not the quantity that was wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct QuantityError {
    message: String,
    span: Range<usize>,
    hint: Option<String>,
}

impl QuantityError {
    pub(crate) fn new(message: impl Into<String>, span: Range<usize>) -> Self {
        QuantityError { message: message.into(), span, hint: None }
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// What was refused, in one line.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The bytes of the text that are at fault.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// A way out, where one can be guessed.
    pub fn way_out(&self) -> Option<&str> {
        self.hint.as_deref()
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        match &self.hint {
            Some(hint) => write!(f, " ({hint})"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for QuantityError {}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Unit {
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
    Degree,
}

impl Unit {
    /// The unit's size in millimetres; degrees have none.
    fn in_mm(self) -> Option<f64> {
        match self {
            Unit::Millimetre => Some(1.0),
            Unit::Centimetre => Some(10.0),
            Unit::Metre => Some(1000.0),
            Unit::Inch => Some(25.4),
            Unit::Foot => Some(304.8),
            Unit::Degree => None,
        }
    }

    fn is_imperial(self) -> bool {
        matches!(self, Unit::Inch | Unit::Foot)
    }

    fn from_word(word: &str) -> Option<Unit> {
        Some(match word {
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Millimetre,
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Unit::Centimetre,
            "m" | "metre" | "metres" | "meter" | "meters" => Unit::Metre,
            "in" | "inch" | "inches" | "\"" | "″" | "”" | "''" | "′′" => Unit::Inch,
            "ft" | "foot" | "feet" | "'" | "′" | "’" => Unit::Foot,
            "deg" | "degree" | "degrees" | "°" => Unit::Degree,
            _ => return None,
        })
    }
}

#[derive(Debug)]
struct Term {
    value: f64,
    unit: Option<(Unit, Range<usize>)>,
    span: Range<usize>,
}

/// The terms of one quantity, not yet known to be a length or an angle.
#[derive(Debug)]
pub(super) struct Terms(Vec<Term>);

const LENGTH_FORMS: &str = "lengths look like \"84 mm\", \"1.5 m\", \"4 ft 6 in\" or \"4′6″\"";
const ANGLE_FORMS: &str = "angles look like \"63.5 deg\" or \"63.5°\"";

impl Terms {
    /// The sum as a length.
    pub(super) fn length(&self, text: &str) -> Result<Length, QuantityError> {
        let mut sum = 0.0;
        let mut previous: Option<Unit> = None;
        for term in &self.0 {
            let Some((unit, at)) = &term.unit else {
                let written = text[term.span.clone()].trim();
                let guess = match previous {
                    Some(Unit::Foot) => format!("did you mean {}″?", text.trim()),
                    Some(_) => LENGTH_FORMS.to_string(),
                    None => format!("did you mean \"{written} mm\"?"),
                };
                return Err(QuantityError::new("a length needs a unit", term.span.clone()).hint(guess));
            };
            let Some(size) = unit.in_mm() else {
                return Err(
                    QuantityError::new("this is an angle, and a length is due here", at.clone()).hint(LENGTH_FORMS)
                );
            };
            if let Some(before) = previous {
                let falls = before.in_mm().is_some_and(|larger| larger > size);
                if !falls || before.is_imperial() != unit.is_imperial() {
                    return Err(QuantityError::new("these units do not make one length together", at.clone())
                        .hint("write feet and inches, metres and centimetres, or one unit alone"));
                }
                if term.value < 0.0 || term.value * size >= before.in_mm().unwrap_or(f64::MAX) {
                    return Err(QuantityError::new("the smaller part is too large", term.span.clone())
                        .hint("under 12 inches go with feet, under 100 centimetres with metres"));
                }
            }
            sum += if sum < 0.0 { -term.value * size } else { term.value * size };
            previous = Some(*unit);
        }
        Length::try_mm(sum).ok_or_else(|| QuantityError::new("this length is too large to compute with", 0..text.len()))
    }

    /// Whether the first unit is of feet and inches; `None` without a unit.
    pub(super) fn is_imperial(&self) -> Option<bool> {
        self.0.first()?.unit.as_ref().map(|(unit, _)| unit.is_imperial())
    }

    /// The only term as an angle.
    pub(super) fn angle(&self, text: &str) -> Result<Angle, QuantityError> {
        let term = &self.0[0];
        if let Some(extra) = self.0.get(1) {
            return Err(QuantityError::new("an angle is one number and its unit", extra.span.clone()).hint(ANGLE_FORMS));
        }
        match &term.unit {
            Some((Unit::Degree, _)) => Angle::try_deg(term.value)
                .ok_or_else(|| QuantityError::new("this angle is too large to compute with", 0..text.len())),
            Some((_, at)) => {
                Err(QuantityError::new("this is a length, and an angle is due here", at.clone()).hint(ANGLE_FORMS))
            }
            None => {
                let written = text[term.span.clone()].trim();
                Err(QuantityError::new("an angle needs a unit", term.span.clone())
                    .hint(format!("did you mean \"{written} deg\"?")))
            }
        }
    }
}

/// A scanner over the text; every step knows its byte offset.
struct Scanner<'a> {
    text: &'a str,
    at: usize,
}

impl Scanner<'_> {
    fn rest(&self) -> &str {
        &self.text[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn skip_space(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    fn take_while(&mut self, keep: impl Fn(char) -> bool) -> &str {
        let start = self.at;
        let length = self.rest().find(|c| !keep(c)).unwrap_or(self.rest().len());
        self.at += length;
        &self.text[start..self.at]
    }

    /// A decimal number without sign or exponent.
    fn decimal(&mut self) -> Option<Result<f64, QuantityError>> {
        let start = self.at;
        let digits = self.take_while(|c| c.is_ascii_digit() || c == '.').to_string();
        if digits.is_empty() {
            return None;
        }
        if self.peek() == Some(',') && self.text[self.at + 1..].starts_with(|c: char| c.is_ascii_digit()) {
            let end = self.at + 1;
            let swapped = self.text.replacen(',', ".", 1);
            let hint = match swapped.trim() {
                bare if bare.parse::<f64>().is_ok() => format!("write {bare} and its unit"),
                whole => format!("did you mean \"{whole}\"?"),
            };
            return Some(Err(QuantityError::new("numbers are written with a decimal point", start..end).hint(hint)));
        }
        let span = start..self.at;
        Some(match digits.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(value),
            _ => Err(QuantityError::new("this is not a number", span)),
        })
    }

    /// `1/2` after its numerator was read as `numerator`, or a vulgar fraction sign.
    fn fraction_sign(&mut self) -> Option<f64> {
        let value = match self.peek()? {
            '¼' => 0.25,
            '½' => 0.5,
            '¾' => 0.75,
            '⅛' => 0.125,
            '⅜' => 0.375,
            '⅝' => 0.625,
            '⅞' => 0.875,
            '⅓' => 1.0 / 3.0,
            '⅔' => 2.0 / 3.0,
            _ => return None,
        };
        self.at += self.peek().map_or(0, char::len_utf8);
        Some(value)
    }

    fn denominator(&mut self, numerator: f64, start: usize) -> Result<Option<f64>, QuantityError> {
        if !matches!(self.peek(), Some('/' | '⁄')) {
            return Ok(None);
        }
        self.at += self.peek().map_or(0, char::len_utf8);
        match self.decimal() {
            Some(Ok(denominator)) if denominator > 0.0 => Ok(Some(numerator / denominator)),
            Some(Err(error)) => Err(error),
            _ => {
                Err(QuantityError::new("this fraction has no denominator", start..self.at)
                    .hint("write 1/2, 1/4 or 3/8"))
            }
        }
    }

    /// A number with an optional fraction: `4`, `4.5`, `4 1/2`, `1/2`, `4½`, `½`.
    fn number(&mut self) -> Result<f64, QuantityError> {
        let start = self.at;
        if let Some(fraction) = self.fraction_sign() {
            return Ok(fraction);
        }
        let whole = match self.decimal() {
            Some(number) => number?,
            None => {
                let word = self.take_while(|c| !c.is_whitespace()).to_string();
                let span = start..self.at.max(start + 1).min(self.text.len());
                return Err(match word.as_str() {
                    "" => QuantityError::new("a number is missing here", start..self.text.len()),
                    _ => QuantityError::new(format!("`{word}` is not a number"), span),
                }
                .hint("write a number and its unit, like \"84 mm\" or \"63.5 deg\""));
            }
        };
        if let Some(value) = self.denominator(whole, start)? {
            return Ok(value);
        }
        if let Some(fraction) = self.fraction_sign() {
            return Ok(whole + fraction);
        }
        let before = self.at;
        self.skip_space();
        let fraction_start = self.at;
        if let Some(fraction) = self.fraction_sign() {
            return Ok(whole + fraction);
        }
        if let Some(Ok(numerator)) = self.decimal()
            && let Some(value) = self.denominator(numerator, fraction_start)?
        {
            return Ok(whole + value);
        }
        self.at = before;
        Ok(whole)
    }

    fn unit(&mut self) -> Result<Option<(Unit, Range<usize>)>, QuantityError> {
        self.skip_space();
        let start = self.at;
        let word = match self.peek() {
            Some('\'' | '′') => self.take_while(|c| c == '\'' || c == '′').to_string(),
            Some(c @ ('"' | '″' | '”' | '’' | '°')) => {
                self.at += c.len_utf8();
                c.to_string()
            }
            Some(c) if c.is_alphabetic() || c == 'µ' => self.take_while(char::is_alphabetic).to_string(),
            _ => return Ok(None),
        };
        let span = start..self.at;
        match Unit::from_word(&word.to_lowercase()) {
            Some(_) if self.peek() == Some('.') => {
                let stop = self.at..self.at + 1;
                let without = format!("{}{}", &self.text[..stop.start], &self.text[stop.end..]);
                Err(QuantityError::new("a unit is written without a full stop", stop)
                    .hint(format!("did you mean \"{}\"?", without.trim())))
            }
            Some(unit) => Ok(Some((unit, span))),
            None => Err(QuantityError::new(format!("`{word}` is not a unit known here"), span)
                .hint("lengths take mm, cm, m, in or ft; angles take deg or °")),
        }
    }
}

/// Splits a text into numbers with their units.
pub(super) fn parse_terms(text: &str) -> Result<Terms, QuantityError> {
    let mut scanner = Scanner { text, at: 0 };
    let mut terms = Vec::new();
    scanner.skip_space();
    let mut sign = match scanner.peek() {
        Some(c @ ('-' | '−' | '+')) => {
            scanner.at += c.len_utf8();
            if c == '+' { 1.0 } else { -1.0 }
        }
        _ => 1.0,
    };
    loop {
        scanner.skip_space();
        let start = scanner.at;
        let value = scanner.number()?;
        let number_end = scanner.at;
        let unit = scanner.unit()?;
        let span = start..unit.as_ref().map_or(number_end, |(_, at)| at.end);
        terms.push(Term { value: sign * value, unit, span });
        sign = 1.0;
        scanner.skip_space();
        if scanner.rest().is_empty() {
            return Ok(Terms(terms));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(text: &str) -> f64 {
        text.parse::<Length>().unwrap_or_else(|error| panic!("{text}: {error}")).to_mm()
    }

    fn refused(text: &str) -> String {
        match text.parse::<Length>() {
            Ok(length) => panic!("{text} was read as {length}"),
            Err(error) => error.to_string(),
        }
    }

    #[test]
    fn every_spelling_people_write_is_read() {
        for (text, expected) in [
            ("84 mm", 84.0),
            ("84mm", 84.0),
            ("12.5 cm", 125.0),
            ("1.5 m", 1500.0),
            ("1 m 20 cm", 1200.0),
            ("2 in", 50.8),
            ("4 ft", 1219.2),
            ("4 ft 6 in", 1371.6),
            ("4'6\"", 1371.6),
            ("4′6″", 1371.6),
            ("4’6”", 1371.6),
            ("4 1/2 in", 114.3),
            ("4½ in", 114.3),
            ("1/2 in", 12.7),
            ("4' 6 1/2\"", 1384.3),
            ("-15.6 mm", -15.6),
            ("−15.6 mm", -15.6),
            (" 3 feet ", 914.4),
        ] {
            assert!((mm(text) - expected).abs() < 1e-9, "{text}: {}", mm(text));
        }
    }

    #[test]
    fn what_is_not_a_length_is_refused_with_a_way_out() {
        insta::assert_snapshot!(refused("84"), @r#"a length needs a unit (did you mean "84 mm"?)"#);
        insta::assert_snapshot!(refused("4'6"), @"a length needs a unit (did you mean 4'6″?)");
        insta::assert_snapshot!(refused("95 deg"), @r#"this is an angle, and a length is due here (lengths look like "84 mm", "1.5 m", "4 ft 6 in" or "4′6″")"#);
        insta::assert_snapshot!(refused("3 furlongs"), @"`furlongs` is not a unit known here (lengths take mm, cm, m, in or ft; angles take deg or °)");
        insta::assert_snapshot!(refused("1,5 m"), @r#"numbers are written with a decimal point (did you mean "1.5 m"?)"#);
        insta::assert_snapshot!(refused("12 in."), @r#"a unit is written without a full stop (did you mean "12 in"?)"#);
        insta::assert_snapshot!(refused("1,5"), @"numbers are written with a decimal point (write 1.5 and its unit)");
        insta::assert_snapshot!(refused("4 ft 14 in"), @"the smaller part is too large (under 12 inches go with feet, under 100 centimetres with metres)");
        insta::assert_snapshot!(refused("1 m 2 in"), @"these units do not make one length together (write feet and inches, metres and centimetres, or one unit alone)");
        insta::assert_snapshot!(refused(""), @r#"a number is missing here (write a number and its unit, like "84 mm" or "63.5 deg")"#);
        insta::assert_snapshot!(refused("NaN mm"), @r#"`NaN` is not a number (write a number and its unit, like "84 mm" or "63.5 deg")"#);
        insta::assert_snapshot!(refused("1.2.3 m"), @"this is not a number");
        insta::assert_snapshot!(refused("1/0 in"), @"this fraction has no denominator (write 1/2, 1/4 or 3/8)");
    }

    #[test]
    fn angles_take_degrees_and_nothing_else() {
        assert_eq!("63.5 deg".parse(), Ok(Angle::deg(63.5)));
        assert_eq!("-2°".parse(), Ok(Angle::deg(-2.0)));
        let refused = "61.3 mm".parse::<Angle>().unwrap_err();
        assert_eq!(refused.message(), "this is a length, and an angle is due here");
        assert_eq!(refused.span(), 5..7);
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_read_or_refused_with_a_place_inside_it(text in "\\PC{0,24}") {
            if let Err(error) = text.parse::<Length>() {
                let span = error.span();
                proptest::prop_assert!(span.start <= span.end && span.end <= text.len());
                proptest::prop_assert!(text.is_char_boundary(span.start) && text.is_char_boundary(span.end));
            }
        }
    }
}
