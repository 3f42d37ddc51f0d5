//! What the TOML parser could not read becomes messages that propose what was most likely meant.
//!
//! A parser only knows where it stumbled. Here the line is read again as a person reads it: a key, an equals sign, and what
//! stands behind it up to the next key, brace or comment. Inch signs, decimal commas and texts without quotes are told by
//! that; whatever is not understood keeps the parser's own words.

use std::ops::Range;
use std::sync::Arc;

use toml::de::{DeTable, Error};

use super::fault::{Fault, Faults, Source, shown};
use super::keys::{Key, Kind, SET_FILE, Table};
use super::quantity::Quantity;
use super::slip::{allowed, did_you_mean, meant, quoted};
use crate::units::Length;

/// So many lines are read again; more faults nobody reads before mending the first.
const READ_AGAIN: usize = 50;

/// A longer line was not typed by a person, bytes.
const LONGEST_LINE: usize = 1000;

/// What the parser could not read, the first of each line: one slip often makes it stumble again.
pub(super) fn syntax_faults(source: &Arc<Source>, mut errors: Vec<Error>) -> Option<Faults> {
    let text = source.text();
    let start = |error: &Error| error.span().map_or(0, |span| span.start.min(text.len()));
    errors.sort_by_key(start);
    let (mut looked_at, mut lines, mut last_line) = (0, 0, None);
    errors.retain(|error| {
        let at = start(error);
        lines += text.as_bytes()[looked_at..at].iter().filter(|byte| **byte == b'\n').count();
        looked_at = at;
        last_line.replace(lines) != Some(lines)
    });
    let fault = |(i, error): (usize, &Error)| {
        let again = (i < READ_AGAIN).then(|| slip(source, error)).flatten();
        again.unwrap_or_else(|| syntax_fault(source, error))
    };
    Faults::new(errors.iter().enumerate().map(fault).collect())
}

/// A fault in the parser's own words.
fn syntax_fault(source: &Arc<Source>, error: &Error) -> Fault {
    const TOO_DEEP: &str = "a set file has tables within tables three deep, like [lens.focus]";
    let Some(span) = error.span() else {
        return Fault::new(source, "keys with dots nest too deep").help(TOO_DEEP);
    };
    let written = source.text().get(span.clone()).unwrap_or_default();
    let message = error.message();
    if message.starts_with("cannot recurse further") {
        return Fault::new(source, "lists or tables nest too deep").mark(span, "this is one too many").help(TOO_DEEP);
    }
    if message.starts_with("string values must be quoted") || message.starts_with("invalid boolean") {
        return Fault::new(source, NEEDS_QUOTES).mark(span, format!("did you mean {}?", quoted(&shown(written))));
    }
    if message == "duplicate key" {
        return Fault::new(source, format!("`{}` is there twice", shown(written))).mark(span, "leave one of them out");
    }
    Fault::new(source, "this is not TOML").mark(span, message.trim_end_matches(", expected nothing"))
}

const NEEDS_QUOTES: &str = "a text needs quotes";

/// A key with what a person wrote behind it, and where that stands in the file.
struct Written<'t> {
    key: Option<&'static Key>,
    name: &'t str,
    value: &'t str,
    span: Range<usize>,
}

/// The fault of a value that a person would understand.
fn slip(source: &Arc<Source>, error: &Error) -> Option<Fault> {
    let text = source.text();
    let at = error.span()?.start;
    let Some(written) = written_at(text, at) else { return colon(source, at) };
    let value = written.value;
    let readable = || DeTable::parse(&format!("x = {value}")).is_ok();
    if value.is_empty() || value.starts_with(['[', '{']) || value.contains('=') || readable() {
        return None;
    }
    let (message, label) = told(&written)?;
    Some(Fault::new(source, message).mark(written.span, label))
}

/// A key that a colon joins to its value.
fn colon(source: &Arc<Source>, at: usize) -> Option<Fault> {
    let text = source.text();
    let (start, end) = line_around(text, at)?;
    let (name, value) = text[start..end].split_once(':')?;
    let (name, value) = (name.trim(), value.trim());
    let is_key = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    let proposed = format!("{name} = {value}");
    if !is_key || DeTable::parse(&proposed).is_err() {
        return None;
    }
    let from = start + text[start..end].len() - text[start..end].trim_start().len();
    let label = format!("did you mean {proposed}?");
    Some(Fault::new(source, "an equals sign joins a key and its value").mark(from..from + name.len() + 1, label))
}

/// What to say of a value that is no TOML, and what was most likely meant.
fn told(written: &Written) -> Option<(String, String)> {
    let value = written.value;
    let proposed = |content: &str| -> Vec<String> {
        match written.key {
            Some(key) => meant(key, content),
            None => vec![quoted(content)],
        }
    };
    let example = || written.key.map(|key| format!("write it like {}", key.example));
    let say = |message: &str, content: &str| -> Option<(String, String)> {
        let label = did_you_mean(&proposed(content)).or_else(example)?;
        Some((message.to_string(), label))
    };
    let straight = ['"', '\''];
    if let Some(content) = in_curly_quotes(value) {
        return say("quotes are written straight, as in \"text\"", content);
    }
    let opens = straight.into_iter().find(|quote| value.starts_with(*quote));
    let closes = straight.into_iter().find(|quote| value.ends_with(*quote));
    match (opens, closes) {
        (Some(open), Some(close)) if open == close && value.len() > 2 => {
            let content = &value[1..value.len() - 1];
            let inches = content.parse::<Length>().is_ok();
            if content.contains('\\') || !content.contains(open) {
                return None;
            }
            match (inches, open) {
                (true, '"') => say("an inch sign ends a text in double quotes", content),
                (true, _) => say("a foot sign ends a text in single quotes", content),
                (false, _) => say("a quote within a text ends it", content),
            }
        }
        (Some(open), _) => {
            let content = &value[1..];
            (!content.contains(open))
                .then(|| say("this text has no closing quote", content.trim_end_matches(straight)))?
        }
        (None, Some(_)) if value.parse::<Length>().is_err() && !value[..value.len() - 1].contains(straight) => {
            say("this text has no opening quote", &value[..value.len() - 1])
        }
        (None, _) => bare(written, &proposed(value)),
    }
}

/// What to say of a value that stands without quotes.
fn bare(written: &Written, proposed: &[String]) -> Option<(String, String)> {
    let comma = written.value.split(',').collect::<Vec<_>>();
    let digits_meet = |pair: &[&str]| {
        pair[0].ends_with(|c: char| c.is_ascii_digit()) && pair[1].starts_with(|c: char| c.is_ascii_digit())
    };
    let kind = written.key.map(|key| &key.kind);
    let due = match kind {
        Some(Kind::Number(..) | Kind::Count(..) | Kind::OneOf(_)) => Some("a bare number"),
        Some(Kind::Truth) => Some("true or false"),
        _ => None,
    };
    let message = match due {
        _ if comma.windows(2).any(digits_meet) => "numbers are written with a decimal point".to_string(),
        Some(due) => format!("`{}` must be {due}", written.name),
        None if proposed.first().is_some_and(|first| !first.starts_with(['"', '\''])) => {
            "this is not a number".to_string()
        }
        None => NEEDS_QUOTES.to_string(),
    };
    let example = || written.key.map(|key| format!("write it like {}", key.example));
    let range = || kind.and_then(allowed).map(|allowed| format!("allowed are {allowed}"));
    // a quantity is proposed as it would be read; whatever else is a text, in quotes
    let as_it_stands = || {
        let is_stop = |kind| matches!(kind, &Kind::Stop(..) | &Kind::Stops(..));
        let is_text = kind.is_none_or(|kind| Quantity::of(kind).is_none() && !is_stop(kind));
        is_text.then(|| format!("did you mean {}?", quoted(&shown(written.value))))
    };
    let label = did_you_mean(proposed).or_else(range).or_else(as_it_stands).or_else(example)?;
    Some((message, label))
}

/// What stands between the quotes of a word processor.
fn in_curly_quotes(value: &str) -> Option<&str> {
    let opening = ['“', '”', '„', '‟', '«', '‘', '‚'];
    let closing = ['“', '”', '»', '’', '‘'];
    let content = value.strip_prefix(opening)?;
    Some(content.strip_suffix(closing).unwrap_or(content))
}

/// The key before the byte `at`, and what a person wrote behind it on that line.
fn written_at(text: &str, at: usize) -> Option<Written<'_>> {
    let (start, end) = line_around(text, at)?;
    let line = &text[start..end];
    let keys: Vec<(Range<usize>, usize)> = line.match_indices('=').filter_map(|(i, _)| key_before(line, i)).collect();
    let last = keys.iter().rposition(|(_, value)| start + value <= at)?;
    let (name, from) = &keys[last];
    let to = keys.get(last + 1).map_or(line.len(), |(next, _)| next.start);
    let rest = line.get(*from..to)?;
    let rest = if to == line.len() { &rest[..comment(rest)] } else { rest };
    let value = rest.trim().trim_end_matches(',').trim_end();
    let value = if value.starts_with(['[', '{']) { value } else { value.trim_end_matches([',', '}', ']', ' ', '\t']) };
    let value_start = start + from + (rest.len() - rest.trim_start().len());
    let span = value_start..value_start + value.len();
    let before: Vec<&str> = keys[..last].iter().map(|(name, _)| &line[name.clone()]).collect();
    let name = &line[name.clone()];
    Some(Written { key: key_at(text, start, &before, name), name, value, span })
}

/// Where the line that holds the byte `at` begins and ends; `None` where nobody typed it.
fn line_around(text: &str, at: usize) -> Option<(usize, usize)> {
    let bytes = text.as_bytes();
    let start = bytes[..at.min(text.len())].iter().rposition(|byte| *byte == b'\n').map_or(0, |newline| newline + 1);
    let end = bytes[start..].iter().position(|byte| *byte == b'\n').map_or(text.len(), |end| start + end);
    (end - start <= LONGEST_LINE).then_some((start, end))
}

/// The bare key before an equals sign at `i` of a line, and where its value may begin.
fn key_before(line: &str, i: usize) -> Option<(Range<usize>, usize)> {
    let before = line[..i].trim_end();
    let is_key = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    let start = before
        .rfind(|c: char| !is_key(c))
        .map_or(0, |other| other + before[other..].chars().next().map_or(1, char::len_utf8));
    let parted = before[..start].chars().next_back().is_none_or(|c| c == '{' || c == ',' || c.is_whitespace());
    (start < before.len() && parted).then_some((start..before.len(), i + 1))
}

/// Where a comment begins behind a value, else its end.
fn comment(rest: &str) -> usize {
    [" #", "\t#"].iter().filter_map(|sign| rest.find(sign)).min().unwrap_or(rest.len())
}

/// The key `name` of a line that begins at `start`, in the table in which it most likely stands: `before` are the keys to its
/// left, one of which may hold it.
fn key_at(text: &str, start: usize, before: &[&str], name: &str) -> Option<&'static Key> {
    let mut around: Vec<&str> = before.iter().rev().copied().collect();
    let mut header = None;
    for line in text[..start].lines().rev().map(str::trim) {
        let path = line.trim_start_matches('[').split(']').next().unwrap_or_default();
        if line.starts_with('[') && !path.is_empty() && !path.contains(['{', '"', ',', '=']) {
            header = Some(path);
            break;
        }
        if let Some((outer, value)) = line.split_once('=')
            && value.trim_start().starts_with('[')
            && !value.contains(']')
        {
            around.push(outer.trim());
        }
    }
    let table = match header {
        Some(path) => SET_FILE.find(path.trim()).and_then(|key| key.kind.table())?,
        None => &SET_FILE,
    };
    let inner = |table: &'static Table, outer: &&str| table.key(outer).and_then(|key| key.kind.table());
    let beside = around.iter().filter_map(|outer| inner(table, outer));
    let within = beside.clone().flat_map(|table| around.iter().filter_map(move |outer| inner(table, outer)));
    within.chain(beside).chain([table]).find_map(|table| table.key(name))
}
