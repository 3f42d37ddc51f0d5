//! Faults of an input file: what was refused and where it stands become messages that show the line.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use crate::model::{Refusal, Refusals};
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

/// The most faults that are written out: further ones are rarely read before the first are mended.
const WRITTEN_OUT: usize = 50;

/// The longest text shown whole, in bytes. Ten screens of readings fit; writing out megabytes in one line takes
/// minutes.
const LONGEST_SNIPPET: usize = 20_000;

/// How much is shown before and behind a fault in a longer text, in bytes.
const AROUND: usize = 60;

/// A text and the name of the file it came from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    name: String,
    text: String,
}

impl Source {
    /// The text of the file `name`.
    pub fn new(name: &str, text: impl Into<String>) -> Arc<Self> {
        Arc::new(Source { name: printable(name), text: text.into() })
    }

    /// The file's name as it is shown.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The nearest range inside the text that does not cut a character.
    fn clamp(&self, span: Range<usize>) -> Range<usize> {
        let mut start = span.start.min(self.text.len());
        let mut end = span.end.clamp(start, self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        while !self.text.is_char_boundary(end) {
            end += 1;
        }
        start..end
    }

    /// The line that holds the byte `at`, without its end.
    fn line(&self, at: usize) -> Range<usize> {
        let start = self.text[..at].rfind('\n').map_or(0, |newline| newline + 1);
        let end = self.text[at..].find('\n').map_or(self.text.len(), |newline| at + newline);
        let body = self.text[start..end].trim_end_matches('\r');
        start..(start + body.len()).max(at)
    }
}

/// A value's place in its file, kept so that later checks can show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    source: Arc<Source>,
    span: Range<usize>,
}

impl Place {
    /// The bytes `span` of `source`.
    pub fn new(source: &Arc<Source>, span: Range<usize>) -> Self {
        Place { source: Arc::clone(source), span: source.clamp(span) }
    }

    /// The file.
    pub fn source(&self) -> &Arc<Source> {
        &self.source
    }

    /// The bytes in the file.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// A fault of this value; `label` stands under the line.
    pub fn fault(&self, message: impl Into<String>, label: impl Into<String>) -> Fault {
        Fault::new(&self.source, message).mark(self.span(), label)
    }
}

/// One thing that was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    message: String,
    source: Arc<Source>,
    marks: Vec<(Range<usize>, String)>,
    notes: Vec<String>,
    help: Vec<String>,
}

impl Fault {
    /// A fault of the file as a whole until [`Fault::mark`] gives it a place.
    pub fn new(source: &Arc<Source>, message: impl Into<String>) -> Self {
        let (marks, notes, help) = (Vec::new(), Vec::new(), Vec::new());
        Fault { message: message.into(), source: Arc::clone(source), marks, notes, help }
    }

    /// Underlines `span` with `label` under it; the first mark is the fault's place, others belong to it.
    pub fn mark(mut self, span: Range<usize>, label: impl Into<String>) -> Self {
        self.marks.push((self.source.clamp(span), label.into()));
        self
    }

    /// Adds a sentence of explanation.
    pub fn note(mut self, note: impl Into<String>) -> Self {
        self.notes.push(note.into());
        self
    }

    /// Adds a way out.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }

    /// What was refused, in one line.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The file at fault.
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// The bytes at fault, unless it is the whole file.
    pub fn span(&self) -> Option<Range<usize>> {
        self.marks.first().map(|(span, _)| span.clone())
    }

    /// Every underlined place with the words under it, the fault's own first.
    pub fn marks(&self) -> &[(Range<usize>, String)] {
        &self.marks
    }

    /// Sentences of explanation.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Ways out beyond the words under the line.
    pub fn ways_out(&self) -> &[String] {
        &self.help
    }

    /// Line and column of the fault, both from 1, the column in characters.
    pub fn line_and_column(&self) -> Option<(usize, usize)> {
        let start = self.span()?.start;
        let text = self.source.text();
        let line = self.source.line(start);
        Some((1 + text[..start].matches('\n').count(), 1 + text[line.start..start].chars().count()))
    }

    /// The lines from the first mark to the last; `None` without marks, or when they are too long to show.
    fn lines(&self) -> Option<Range<usize>> {
        let first = self.marks.iter().map(|(span, _)| span.start).min()?;
        let last = self.marks.iter().map(|(span, _)| span.start).max()?;
        let lines = self.source.line(first).start..self.source.line(last).end;
        (lines.len() <= LONGEST_SNIPPET).then_some(lines)
    }

    /// A snippet of the text in `shown`, with the marks given.
    fn snippet<'f>(
        &'f self,
        shown: Range<usize>,
        marks: &'f [(Range<usize>, String)],
    ) -> Snippet<'f, annotate_snippets::Annotation<'f>> {
        let text = self.source.text();
        let line_start = 1 + text[..shown.start].matches('\n').count();
        let mut snippet = Snippet::source(&text[shown.clone()]).line_start(line_start);
        for (i, (span, label)) in marks.iter().enumerate() {
            let kind = if i == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
            let end = span.end.min(self.source.line(span.start).end).min(shown.end).max(span.start);
            let mut annotation = kind.span(span.start - shown.start..end - shown.start);
            if !label.is_empty() {
                annotation = annotation.label(printable(label));
            }
            snippet = snippet.annotation(annotation);
        }
        snippet
    }

    fn render(&self, renderer: &Renderer) -> String {
        let mut group = Group::with_title(Level::ERROR.primary_title(printable(&self.message)));
        group = match (self.lines(), self.span(), self.line_and_column()) {
            (Some(lines), ..) => group.element(self.snippet(lines, &self.marks).path(self.source.name())),
            (None, Some(span), Some((line, column))) => {
                let whole = self.source.line(span.start);
                let around = span.start.saturating_sub(AROUND).max(whole.start)..(span.start + AROUND).min(whole.end);
                let origin = Origin::path(self.source.name()).line(line).char_column(column);
                group.element(origin).element(self.snippet(self.source.clamp(around), &self.marks[..1]))
            }
            _ => group.element(Origin::path(self.source.name())),
        };
        for note in &self.notes {
            group = group.element(Level::NOTE.message(printable(note)));
        }
        for help in &self.help {
            group = group.element(Level::HELP.message(printable(help)));
        }
        renderer.render(&[group])
    }
}

/// Everything that was refused in one reading, in the order of the file; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// The faults, or `None` when there are none.
    pub fn new(faults: Vec<Fault>) -> Option<Self> {
        (!faults.is_empty()).then_some(Faults(faults))
    }

    /// The faults of what was refused.
    pub(super) fn of_refusals(refused: &Refusals, fault: impl Fn(&Refusal) -> Fault) -> Self {
        Faults(refused.as_slice().iter().map(fault).collect())
    }

    /// The faults in the order of the file.
    pub fn as_slice(&self) -> &[Fault] {
        &self.0
    }

    /// All messages, with the lines at fault; `styled` adds a terminal's colours.
    pub fn render(&self, styled: bool) -> String {
        let renderer = if styled { Renderer::styled() } else { Renderer::plain() };
        let mut messages: Vec<String> = self.0.iter().take(WRITTEN_OUT).map(|fault| fault.render(&renderer)).collect();
        if self.0.len() > WRITTEN_OUT {
            messages.push(format!("and {} further faults", self.0.len() - WRITTEN_OUT));
        }
        messages.join("\n\n")
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Faults(vec![fault])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Faults {}

/// Whether a character must never reach a terminal or a file name: controls, and marks that turn the direction.
pub(super) fn is_unprintable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{061c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The text with unprintable characters replaced.
fn printable(text: &str) -> String {
    text.chars().map(|c| if is_unprintable(c) { '\u{fffd}' } else { c }).collect()
}

/// A user's word for use inside a message: printable and short.
pub(super) fn shown(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut short: String = text.chars().take(LONGEST).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    printable(&short)
}
