//! Names of sets and lenses: texts that can be shown and become part of a file's name.

use super::fault::{is_unprintable, shown};
use super::read::Value;

/// The longest name: it stands on the sheet beside its strip and in file names.
pub(super) const LONGEST_NAME: usize = 60;

/// A name that can be shown and become part of a file's name.
pub(super) fn name<'d>(value: &Value<'d>) -> Option<&'d str> {
    let name = value.text()?;
    if name.trim().is_empty() {
        return value.refuse("this name is empty", "a name needs at least one letter or digit");
    }
    if name.chars().any(is_unprintable) {
        return value
            .refuse("this name has a character that cannot be shown", "write it with letters, digits and blanks");
    }
    if name.chars().count() > LONGEST_NAME {
        return value
            .refuse(format!("this name has {} characters", name.chars().count()), format!("up to {LONGEST_NAME} fit"));
    }
    if !name.chars().any(char::is_alphanumeric) {
        return value.refuse(
            format!("\"{}\" cannot become a file's name", shown(name)),
            "a name needs at least one letter or digit",
        );
    }
    Some(name)
}
