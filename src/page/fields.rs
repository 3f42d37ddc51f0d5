//! The fields that the page offers, out of everything that a set file can say: the few choices that matter.
//!
//! Only these can be changed from the page, and the readings; no field names a file.

use crate::set::edit::Written;
use crate::set::keys::{Key, Kind, SET_FILE};

/// What can be typed or chosen in a field.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Sort {
    /// A text with its unit, as in the file.
    Text,
    /// A bare number.
    Bare,
    /// One of these words.
    Words(Vec<&'static str>),
    /// Yes or no.
    Flag,
    /// One unit or two: metres, feet.
    Units,
    /// Several stops.
    Stops,
}

impl Sort {
    /// How values of a kind are typed or chosen; `None` for what the page does not offer, files and tables among it.
    fn of(kind: &Kind) -> Option<Sort> {
        match kind {
            Kind::Length(..) | Kind::Turn(_) | Kind::Distance | Kind::Position | Kind::Sheet => Some(Sort::Text),
            Kind::PositionError | Kind::DistanceError | Kind::LengthOr(..) | Kind::Text => Some(Sort::Text),
            Kind::Stop(..) | Kind::Number(..) | Kind::Count(..) | Kind::OneOf(_) => Some(Sort::Bare),
            Kind::Stops(..) => Some(Sort::Stops),
            Kind::Word(words) => Some(Sort::Words(words())),
            Kind::WordOrFile(words) => Some(Sort::Words(words.to_vec())),
            Kind::Words(_) => Some(Sort::Units),
            Kind::Truth => Some(Sort::Flag),
            Kind::Lengths(..) | Kind::Texts | Kind::Name | Kind::File | Kind::Table(_) | Kind::Tables(_) => None,
        }
    }

    /// What the page calls it.
    pub(super) fn name(&self) -> &'static str {
        match self {
            Sort::Text => "text",
            Sort::Bare => "bare",
            Sort::Words(_) => "words",
            Sort::Flag => "flag",
            Sort::Units => "units",
            Sort::Stops => "stops",
        }
    }

    /// What was typed, as it is written into the file; nothing takes the key out.
    ///
    /// # Errors
    /// A choice that is not offered: what can only be chosen cannot name a file either.
    pub(super) fn written(&self, typed: &str) -> Result<Option<Written>, String> {
        let typed = typed.trim();
        let list = || typed.split(',').map(|word| word.trim().to_string()).filter(|word| !word.is_empty()).collect();
        let written = match self {
            _ if typed.is_empty() => return Ok(None),
            Sort::Words(words) if !words.contains(&typed) => {
                return Err(format!("the page offers {} here; write anything else into the file", words.join(", ")));
            }
            Sort::Text | Sort::Words(_) => Written::Text(typed.to_string()),
            Sort::Bare => Written::Bare(typed.to_string()),
            Sort::Flag => match typed {
                "true" => Written::Flag(true),
                "false" => Written::Flag(false),
                _ => return Err("the page offers true and false here".to_string()),
            },
            Sort::Units => Written::Words(list()),
            Sort::Stops => Written::Stops(list()),
        };
        Ok(Some(written))
    }
}

/// One field.
pub(super) struct Field {
    /// The table: `set`, `style`, `process.film`; `lens`, `lens.focus` and `lens.iris` for every lens.
    pub(super) table: &'static str,
    /// The key, with dots where it lies deeper.
    pub(super) key: &'static str,
    /// What it is called.
    pub(super) label: &'static str,
    /// What to type, where the key's own hint does not do.
    own_hint: Option<&'static str>,
    /// Whether few lenses need it: shown when it is asked for.
    pub(super) rare: bool,
}

impl Field {
    const fn hint(self, hint: &'static str) -> Field {
        Field { own_hint: Some(hint), ..self }
    }

    fn of_the_set_file(&self) -> Option<&'static Key> {
        SET_FILE.find(&format!("{}.{}", self.table, self.key))
    }

    /// What to type, or what it means.
    pub(super) fn shown_hint(&self) -> &'static str {
        self.own_hint.or(self.of_the_set_file().map(|key| key.hint)).unwrap_or_default()
    }

    /// What can be typed or chosen; `None` where the set file has no such key, or one that the page does not offer.
    pub(super) fn sort(&self) -> Option<Sort> {
        Sort::of(&self.of_the_set_file()?.kind)
    }
}

const fn field(table: &'static str, key: &'static str, label: &'static str) -> Field {
    Field { table, key, label, own_hint: None, rare: false }
}

const fn rare(table: &'static str, key: &'static str, label: &'static str) -> Field {
    Field { rare: true, ..field(table, key, label) }
}

/// Every field, in the order in which it is shown.
pub(super) const FIELDS: &[Field] = &[
    field("set", "units", "Scales in"),
    field("style", "typeface", "Numerals"),
    field("style", "numeral_height", "Numeral height"),
    field("style", "tick_width", "Tick width"),
    rare("style", "smallest_gap", "Ticks no nearer than"),
    rare("style", "label_gap", "Labels no nearer than"),
    field("style", "extent", "Strip covers"),
    field("style", "doubtful", "Doubtful marks"),
    rare("style", "trust_stop", "Doubtful from"),
    field("process.film", "thickness", "Film thickness"),
    field("process.film", "dpi", "Printer's dots per inch"),
    field("process.film", "mirrored", "Printed on the inner face"),
    field("process.film", "reversed", "Clear marks in black"),
    rare("process.film", "guides", "Guides outside the strip"),
    rare("process.film", "ruler_long", "Long ruler line measures"),
    rare("process.film", "ruler_short", "Short ruler line measures"),
    field("process.film", "sheet", "Printed on"),
    rare("process.film", "spares", "Spare copies"),
    field("process.vinyl", "thickness", "Vinyl thickness"),
    field("process.vinyl", "cut", "Cut"),
    rare("process.vinyl", "stroke", "Thinnest stroke"),
    rare("process.vinyl", "gap", "Narrowest gap"),
    field("process.vinyl", "bridge", "Bridges"),
    field("process.vinyl", "weed_box", "Weed box"),
    field("process.vinyl", "sheet", "Cut from"),
    rare("process.vinyl", "spares", "Spare copies"),
    field("process.engrave", "tool", "Tool width"),
    field("process.engrave", "lettering", "Numerals as"),
    field("process.engrave", "rotary", "Rotary axis"),
    field("lens", "focal_length", "Focal length"),
    field("lens", "widest_stop", "Widest stop"),
    rare("lens", "units", "Its own scales"),
    field("lens.focus", "ring.diameter", "Ring diameter"),
    rare("lens.focus", "ring.rear_diameter", "Diameter at the rear"),
    rare("lens.focus", "ring.front_diameter", "Diameter at the front"),
    field("lens.focus", "ring.width", "Ring width"),
    field("lens.focus", "toward_close", "Turns toward close"),
    field("lens.focus", "closest", "Closest distance"),
    rare("lens.focus", "throw", "Throw"),
    field("lens.focus", "lead", "Lead"),
    rare("lens.focus", "principal_gap", "Gap of the principal planes"),
    field("lens.focus", "moves", "What travels"),
    rare("lens.focus", "law", "Law"),
    rare("lens.focus", "index", "Index at the"),
    rare("lens.focus", "read_from", "Upright from the"),
    field("lens.focus", "repeat", "Scales round the ring"),
    field("lens.focus", "depth_marks", "Depth of field at"),
    rare("lens.focus", "hyperfocal", "Hyperfocal marks for"),
    field("lens.iris", "ring.diameter", "Ring diameter").hint("by caliper, like 78 mm"),
    rare("lens.iris", "ring.rear_diameter", "Diameter at the rear"),
    rare("lens.iris", "ring.front_diameter", "Diameter at the front"),
    field("lens.iris", "ring.width", "Ring width").hint("of the face"),
    field("lens.iris", "toward_closed", "Turns toward closed"),
    rare("lens.iris", "law", "Law"),
    field("lens.iris", "scale", "Marks"),
    rare("lens.iris", "transmittance", "Transmittance"),
    field("lens.iris", "steps", "Marks to the stop"),
    rare("lens.iris", "smallest_stop", "Last stop marked"),
];

/// The field at a table and a key.
pub(super) fn at(table: &str, key: &str) -> Option<&'static Field> {
    FIELDS.iter().find(|field| field.table == table && field.key == key)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::model::Set;
    use crate::set::TEMPLATE;
    use crate::set::edit::{Edit, Texts};

    #[test]
    fn every_field_is_a_key_of_the_set_file_that_can_be_typed() {
        for field in FIELDS {
            assert!(field.sort().is_some(), "{}.{}", field.table, field.key);
            assert!(!field.label.is_empty() && at(field.table, field.key).is_some());
        }
    }

    /// What a person would type: each word that is offered, or the example of the table.
    fn offered(field: &Field) -> Vec<String> {
        let example = field.of_the_set_file().unwrap().example;
        match field.sort().unwrap() {
            Sort::Words(words) => words.iter().map(|word| word.to_string()).collect(),
            Sort::Flag => vec!["true".into(), "false".into()],
            Sort::Units => vec!["m".into(), "ft".into(), "m, ft".into()],
            Sort::Text | Sort::Bare => vec![example.trim_matches('"').to_string()],
            Sort::Stops => vec![example.trim_matches(['[', ']']).to_string()],
        }
    }

    #[test]
    fn what_the_page_offers_is_taken_by_the_reader() {
        for field in FIELDS {
            let place = format!("{}.{}", field.table, field.key).replacen("lens", "lens.0", 1);
            for typed in offered(field) {
                let value = field.sort().unwrap().written(&typed).unwrap();
                let texts = Texts { set: TEMPLATE.to_string(), ..Texts::default() };
                let edit = Edit::Put { place: place.parse().unwrap(), value };
                let set = texts.edited(&[edit]).unwrap().set;
                let refused =
                    Set::parse("set.toml", &set, Path::new("")).err().map_or(String::new(), |f| f.to_string());
                let key = field.key.rsplit('.').next().unwrap_or_default();
                for words in [format!("`{key}` cannot be"), format!("`{key}` must be"), format!("no key `{key}`")] {
                    assert!(!refused.contains(&words), "{place} = {typed}: {refused}");
                }
            }
        }
    }
}
