//! The set file that a new user starts from.

/// A commented set file with one lens, for a person with a caliper and a tape; it is read as it stands.
///
/// Lines that begin with `#` and a key are keys that may be left out; all other comments begin with `# `, but for the
/// first, which names the schema for editors.
pub const TEMPLATE: &str = include_str!("template.toml");
