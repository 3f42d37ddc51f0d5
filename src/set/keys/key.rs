//! What a table of keys is made of.

/// A table of the set file.
#[derive(Debug)]
pub struct Table {
    /// What a person calls it: "a focus ring".
    pub what: &'static str,
    /// How it is written.
    pub written: &'static str,
    /// How a list of it is written; empty where it stands alone.
    pub list: &'static str,
    /// What it holds, in one sentence.
    pub help: &'static str,
    /// Its keys, in the order in which they are told.
    pub keys: &'static [Key],
}

/// A key of a table.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// The key itself.
    pub name: &'static str,
    /// What stands behind it.
    pub kind: Kind,
    /// Whether it must be there, and what holds where it is not.
    pub need: Need,
    /// A value that would do, as it is written in the file; a sketch of one for lists and tables.
    pub example: &'static str,
    /// What it means, in one sentence.
    pub help: &'static str,
    /// What to type, in a few words, for a field; empty where none is offered.
    pub hint: &'static str,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug)]
pub enum Need {
    /// Always; what to add where it is not.
    Always(&'static str),
    /// In some cases; what to add, and when.
    Sometimes(&'static str, &'static str),
    /// No: this value holds, as it would be written in the file.
    Default(&'static str),
    /// No: this sentence says what holds.
    Follows(&'static str),
}

/// The kind of a value, with its range.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Kind {
    /// A length with its unit, from and to, mm.
    Length(f64, f64),
    /// An angle with its unit, above 0 and up to, degrees.
    Turn(f64),
    /// A distance with its unit, or "inf".
    Distance,
    /// A position of a ring: an angle, or a length along the ring it was read on.
    Position,
    /// The standard error of a position.
    PositionError,
    /// The standard error of a distance: a length, a share in %, or their sum.
    DistanceError,
    /// A stop, from and to: a number, or a text like "f/2.8".
    Stop(f64, f64),
    /// A list of lengths, from and to, mm.
    Lengths(f64, f64),
    /// A length with its unit, from and to, mm, or one of these words.
    LengthOr(f64, f64, &'static [&'static str]),
    /// A short text.
    Text,
    /// Short texts, each behind the value at which it stands.
    Texts,
    /// A list of f-stops, from and to.
    Stops(f64, f64),
    /// A bare number, from and to.
    Number(f64, f64),
    /// A whole number, from and to.
    Count(f64, f64),
    /// One of these whole numbers.
    OneOf(&'static [i64]),
    /// One of these words.
    Word(fn() -> Vec<&'static str>),
    /// A list of these words, each once.
    Words(fn() -> Vec<&'static str>),
    /// true or false.
    Truth,
    /// A name that can become part of a file's name.
    Name,
    /// The name of a file beside the set.
    File,
    /// One of these words, or the name of a file beside the set.
    WordOrFile(&'static [&'static str]),
    /// A sheet: its name, or its two sides.
    Sheet,
    /// A table.
    Table(&'static Table),
    /// A list of tables.
    Tables(&'static Table),
}

impl Table {
    /// The key of this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// The names of all keys.
    pub fn names(&self) -> Vec<&'static str> {
        self.keys.iter().map(|key| key.name).collect()
    }

    /// The key at the end of a path with dots, `lens.focus.ring.width`, from this table on.
    pub fn find(&self, path: &str) -> Option<&'static Key> {
        let (first, rest) = path.split_once('.').map_or((path, None), |(first, rest)| (first, Some(rest)));
        let key = self.key(first)?;
        match rest {
            None => Some(key),
            Some(rest) => key.kind.table()?.find(rest),
        }
    }
}

impl Kind {
    /// The table behind it, where it is one or a list of them.
    pub fn table(&self) -> Option<&'static Table> {
        match self {
            Kind::Table(table) | Kind::Tables(table) => Some(table),
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
            | Kind::Number(..)
            | Kind::Count(..)
            | Kind::OneOf(_)
            | Kind::Word(_)
            | Kind::Words(_)
            | Kind::Truth
            | Kind::Name
            | Kind::File
            | Kind::WordOrFile(_)
            | Kind::Sheet => None,
        }
    }
}

pub(super) const fn key(name: &'static str, kind: Kind, need: Need, example: &'static str, help: &'static str) -> Key {
    Key { name, kind, need, example, help, hint: "" }
}

impl Key {
    /// The same, offered as a field with a hint.
    pub(super) const fn hint(self, hint: &'static str) -> Key {
        Key { hint, ..self }
    }
}
