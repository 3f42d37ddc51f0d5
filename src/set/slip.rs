//! What was most likely meant by a value that cannot be read: spellings that were tried, and would be taken.
//!
//! Takes a key and what a person wrote for it, without quotes; gives spellings as they would stand in the file. A number
//! without its unit may come to several, and whoever wrote it chooses. Nothing is ever read by a guess.

use super::keys::{Key, Kind};
use super::near::nearest;
use super::quantity::{FARTHEST_SUBJECT, HIGHEST_SHARE, MOST_TAPE_ERROR, stop_number};
use crate::units::{Angle, Distance, Length};

/// Longer texts are no slip of a pen.
const LONGEST: usize = 80;

/// The words under a value that cannot be read: what was most likely meant, else how it is written.
pub(super) fn proposal(key: &Key, written: &str) -> String {
    did_you_mean(&meant(key, written)).unwrap_or_else(|| format!("write it like {}", key.example))
}

/// `did you mean "25 m" or "25 cm"?`; `None` where nothing comes to mind.
pub(super) fn did_you_mean(spellings: &[String]) -> Option<String> {
    (!spellings.is_empty()).then(|| format!("did you mean {}?", spellings.join(" or ")))
}

/// What `written` most likely meant, each spelling as it would stand in the file; none where nothing comes to mind.
pub(super) fn meant(key: &Key, written: &str) -> Vec<String> {
    let mut spellings: Vec<String> = Vec::new();
    if written.len() > LONGEST {
        return spellings;
    }
    for text in mended(written) {
        let more = match key.kind {
            Kind::Length(..)
            | Kind::Lengths(..)
            | Kind::LengthOr(..)
            | Kind::Texts
            | Kind::Turn(_)
            | Kind::Distance
            | Kind::Position
            | Kind::PositionError
            | Kind::DistanceError => quantities(key, &text),
            Kind::Stop(..) | Kind::Stops(..) => {
                taken(key, text.replace(' ', "")).map(bare_or_quoted).into_iter().collect()
            }
            Kind::Number(..) | Kind::Count(..) | Kind::OneOf(_) => taken(key, text).map(bare).into_iter().collect(),
            Kind::Word(words) | Kind::Words(words) => nearest(&text, &words()).map(quoted).into_iter().collect(),
            Kind::Truth => truth(&text).map(str::to_string).into_iter().collect(),
            Kind::Text | Kind::Name | Kind::File | Kind::WordOrFile(_) | Kind::Sheet => vec![quoted(written.trim())],
            Kind::Table(_) | Kind::Tables(_) => Vec::new(),
        };
        spellings.extend(more.into_iter().filter(|spelling| !spellings.contains(spelling)).collect::<Vec<_>>());
    }
    spellings
}

/// A text in the quotes that hold it.
pub(super) fn quoted(text: &str) -> String {
    match (text.contains(['"', '\\']), text.contains('\'')) {
        (false, _) => format!("\"{text}\""),
        (true, false) => format!("'{text}'"),
        (true, true) => format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"")),
    }
}

/// The few values or the range that a key takes, as a sentence ends with them; `None` where there are too many to tell.
pub(super) fn allowed(kind: &Kind) -> Option<String> {
    match kind {
        Kind::Number(lowest, highest) | Kind::Count(lowest, highest) => Some(format!("{lowest} to {highest}")),
        Kind::OneOf(numbers) => Some(alternatives(numbers.iter().map(i64::to_string))),
        Kind::Word(words) | Kind::Words(words) => Some(alternatives(words().iter().map(|word| quoted(word)))),
        Kind::Truth => Some("true and false".to_string()),
        Kind::Length(..)
        | Kind::Lengths(..)
        | Kind::LengthOr(..)
        | Kind::Text
        | Kind::Texts
        | Kind::Turn(_)
        | Kind::Distance
        | Kind::Position
        | Kind::PositionError
        | Kind::DistanceError
        | Kind::Stop(..)
        | Kind::Stops(..)
        | Kind::Name
        | Kind::File
        | Kind::WordOrFile(_)
        | Kind::Sheet
        | Kind::Table(_)
        | Kind::Tables(_) => None,
    }
}

/// "a", "a and b", "a, b and c".
pub(super) fn alternatives(words: impl Iterator<Item = String>) -> String {
    let mut words: Vec<String> = words.collect();
    match words.pop() {
        Some(last) if words.is_empty() => last,
        Some(last) => format!("{} and {last}", words.join(", ")),
        None => String::new(),
    }
}

/// The text with the slips of a pen undone: a sign for a diameter or "about" in front, a full stop behind a unit, a decimal
/// comma. A comma before three digits may part thousands as well, and gives two.
fn mended(written: &str) -> Vec<String> {
    let text = written.trim().trim_start_matches(['ø', 'Ø', '⌀', '∅', '~', '≈']).trim_start();
    let chars: Vec<char> = text.chars().collect();
    let digit = |i: Option<usize>| i.and_then(|i| chars.get(i)).is_some_and(char::is_ascii_digit);
    let is_comma = |i: &usize| chars[*i] == ',' && digit(i.checked_sub(1)) && digit(Some(i + 1));
    let commas: Vec<usize> = (0..chars.len()).filter(is_comma).collect();
    let spelled = |comma: &str| -> String {
        let spell = |(i, c): (usize, &char)| match c {
            '.' if !digit(Some(i + 1)) => String::new(),
            ',' if commas.contains(&i) => comma.to_string(),
            c => c.to_string(),
        };
        chars.iter().enumerate().map(spell).collect::<String>().trim().to_string()
    };
    match commas[..] {
        [] => vec![spelled("")],
        [one] => {
            let behind = chars[one + 1..].iter().take_while(|c| c.is_ascii_digit()).count();
            let decimal = spelled(".");
            if behind == 3 { vec![decimal, spelled("")] } else { vec![decimal] }
        }
        _ => Vec::new(),
    }
}

/// The text where it would be read.
fn taken(key: &Key, text: String) -> Option<String> {
    passes(key, &text).then_some(text)
}

fn bare_or_quoted(text: String) -> String {
    if is_number(&text) { bare(text) } else { quoted(&text) }
}

/// A number as TOML takes it: with a digit before the point, and no zero before another digit.
fn bare(text: String) -> String {
    let (sign, digits) = text.split_at(usize::from(text.starts_with(['-', '+'])));
    let digits = digits.trim_start_matches('0');
    let zero = if digits.starts_with(|c: char| c.is_ascii_digit()) { "" } else { "0" };
    format!("{sign}{zero}{digits}")
}

fn is_number(text: &str) -> bool {
    text.parse::<f64>().is_ok_and(f64::is_finite)
}

fn truth(text: &str) -> Option<&'static str> {
    match text.to_lowercase().as_str() {
        "true" | "yes" | "on" => Some("true"),
        "false" | "no" | "off" => Some("false"),
        _ => None,
    }
}

/// A text with a unit, or with the units that it most likely lacks.
fn quantities(key: &Key, text: &str) -> Vec<String> {
    if is_number(text) {
        return with_unit(key, text).iter().map(|text| quoted(text)).collect();
    }
    if matches!(key.kind, Kind::Distance) && is_infinity(text) {
        return vec![quoted("inf")];
    }
    if !passes(key, text) {
        return Vec::new();
    }
    match in_words(text) {
        Some(words) if text.contains('\'') => vec![quoted(&words)],
        Some(words) => vec![quoted(&words), quoted(text)],
        None => vec![quoted(text)],
    }
}

/// `4 ft 6 in` for `4'6"`, where a straight double quote stands for inches and would end a text in a file.
fn in_words(text: &str) -> Option<String> {
    if !text.contains('"') {
        return None;
    }
    let words = text.replace(['\'', '′', '’'], " ft ").replace(['"', '″', '”'], " in ");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    (words.parse::<Length>() == text.parse::<Length>()).then_some(words)
}

/// "inf.", "infinite", "oo": what people write for a distance without end.
fn is_infinity(text: &str) -> bool {
    let text = text.to_lowercase();
    text.trim_start_matches('+').starts_with("inf") || text.contains('∞') || text == "oo"
}

/// A number with the unit that it most likely lacks. A distance under 10 was meant in metres, from 100 on in mm; between, both
/// metres and centimetres are likely. A length of a ring or a strip was meant in mm; where that is out of its key's range,
/// whatever is not.
fn with_unit(key: &Key, number: &str) -> Vec<String> {
    let size = number.parse::<f64>().map_or(0.0, f64::abs);
    let in_metres = matches!(key.kind, Kind::Distance) || key.example.ends_with(" m\"");
    let (likely, possible): (&[&str], &[&str]) = match key.kind {
        Kind::Turn(_) | Kind::Position | Kind::PositionError => (&["deg"], &[]),
        _ if in_metres && size < 10.0 => (&["m"], &[]),
        _ if in_metres && size < 100.0 => (&["m", "cm"], &[]),
        _ if in_metres => (&["mm"], &["cm", "m"]),
        _ => (&["mm"], &["cm", "in", "m"]),
    };
    let spelled = |units: &[&str]| -> Vec<String> {
        let spellings = units.iter().map(|unit| format!("{number} {unit}"));
        spellings.filter(|text| passes(key, text)).collect()
    };
    let spellings = spelled(likely);
    if spellings.is_empty() { spelled(possible) } else { spellings }
}

/// The keys that take T-stops on a T scale.
const MAY_BE_T_STOPS: [&str; 3] = ["stop", "smallest_stop", "T"];

/// Whether a text would be read as a value of this key, which stands alone: what it has to agree with is not looked at.
fn passes(key: &Key, text: &str) -> bool {
    match &key.kind {
        Kind::LengthOr(_, _, words) if words.contains(&text) => true,
        Kind::Length(lowest, highest) | Kind::Lengths(lowest, highest) | Kind::LengthOr(lowest, highest, _) => {
            text.parse::<Length>().is_ok_and(|length| (*lowest..=*highest).contains(&length.to_mm()))
        }
        Kind::Turn(highest) => {
            text.parse::<Angle>().is_ok_and(|angle| angle > Angle::ZERO && angle.to_deg() <= *highest)
        }
        Kind::Distance => text
            .parse::<Distance>()
            .is_ok_and(|distance| distance.to_mm().is_none_or(|mm| (1.0..=FARTHEST_SUBJECT).contains(&mm))),
        Kind::Position | Kind::PositionError => text.parse::<Angle>().is_ok() || text.parse::<Length>().is_ok(),
        Kind::DistanceError => text.split('+').all(|part| match part.trim().strip_suffix('%') {
            Some(share) => share.trim().parse::<f64>().is_ok_and(|share| (0.0..=HIGHEST_SHARE).contains(&share)),
            None => part.parse::<Length>().is_ok_and(|error| (0.0..=MOST_TAPE_ERROR).contains(&error.to_mm())),
        }),
        Kind::Stop(lowest, highest) | Kind::Stops(lowest, highest) => {
            let f_stop = !text.starts_with(['t', 'T']) || MAY_BE_T_STOPS.contains(&key.name);
            f_stop && stop_number(text).is_some_and(|number| (*lowest..=*highest).contains(&number))
        }
        Kind::Number(lowest, highest) => text.parse::<f64>().is_ok_and(|number| (*lowest..=*highest).contains(&number)),
        Kind::Count(lowest, highest) => {
            text.parse::<i64>().is_ok_and(|number| (*lowest..=*highest).contains(&(number as f64)))
        }
        Kind::OneOf(numbers) => text.parse::<i64>().is_ok_and(|number| numbers.contains(&number)),
        Kind::Word(words) | Kind::Words(words) => words().contains(&text),
        Kind::Truth => ["true", "false"].contains(&text),
        // a distance or a stop: which, its ring knows
        Kind::Texts => text.parse::<Length>().is_ok(),
        Kind::Text | Kind::Name | Kind::File | Kind::WordOrFile(_) | Kind::Sheet => true,
        Kind::Table(_) | Kind::Tables(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use toml::de::DeTable;

    use super::*;
    use crate::set::keys::{SET_FILE, Table};

    /// Every key of a table and of those within it.
    fn keys(table: &'static Table) -> Vec<&'static Key> {
        let own = table.keys.iter();
        own.flat_map(|key| [key].into_iter().chain(key.kind.table().map(keys).unwrap_or_default())).collect()
    }

    #[test]
    fn every_text_in_quotes_is_read_back_as_it_was() {
        for text in ["plain", "4'6\"", "the \"old\" one", "it's", "back\\slash", "\\'\""] {
            let file = format!("x = {}", quoted(text));
            let table = DeTable::parse(&file).unwrap_or_else(|error| panic!("{file}: {error}"));
            assert_eq!(table.get_ref().get("x").and_then(|value| value.get_ref().as_str()), Some(text), "{file}");
        }
    }

    proptest! {
        #[test]
        fn whatever_is_proposed_is_a_value_of_a_set_file(
            key in prop::sample::select(keys(&SET_FILE)),
            written in "[0-9]{1,3}[,.]?[0-9]{0,3} ?(|mm|m|ft|in|\"|'[0-9]\"|deg|°|%|inf\\.|cw|\\PC{0,6})",
        ) {
            for spelling in meant(key, &written) {
                let file = format!("x = {spelling}");
                prop_assert!(DeTable::parse(&file).is_ok(), "{written} of {}: {file}", key.name);
            }
        }
    }
}
