//! The whole set file: its text is parsed, its tables are read one by one, and what they say is put together.

use std::collections::HashMap;
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;
use std::thread;

use toml::de::{DeTable, Error};

use super::document::Document;
use super::fault::{Fault, Faults, Place, Source, shown};
use super::file;
use super::keys::SET_FILE;
use super::lens::lens;
use super::name::name;
use super::read::Table;
use super::{process, refusals, style};
use crate::model::{DistanceUnit, Lens, Refusal, Refusals, Set, Subject, file_stem};

/// The stack on which a file is read. The parser bounds the nesting of tables and the length of dotted keys to 80
/// each, which still nests 6400 tables; taking those apart needs about a megabyte.
const STACK: usize = 32 << 20;

/// The text of a file, as a set file or one that it names is read.
///
/// # Errors
/// Why it cannot be read.
pub fn text_of(path: &Path) -> Result<String, Faults> {
    file::read(path).map_err(|refusal| {
        let fault = Fault::new(&Source::new(&path.display().to_string(), ""), refusal.message);
        fault.help(refusal.way_out).into()
    })
}

/// A set as it was read from a file, with the places of what can be refused later.
#[derive(Clone, Debug)]
pub struct SetFile {
    /// What the file says.
    pub set: Set,
    source: Arc<Source>,
    places: HashMap<Subject, Place>,
}

impl SetFile {
    /// Where in the file something stands; `None` where the file does not say it.
    pub fn place(&self, subject: &Subject) -> Option<&Place> {
        self.places.get(subject)
    }

    /// What was refused of the set, each at its place in the file.
    pub fn faults(&self, refused: &Refusals) -> Faults {
        let fault = |refusal: &Refusal| refusals::fault(&self.source, refusal, |subject| self.place(subject));
        Faults::of_refusals(refused, fault)
    }
}

impl Set {
    /// Reads the set file at `path`; [`SetFile::read`] keeps the places as well.
    ///
    /// # Errors
    /// Everything that is wrong with the file, or why it cannot be read.
    pub fn from_file(path: &Path) -> Result<Set, Faults> {
        SetFile::read(path).map(|file| file.set)
    }

    /// Reads the `text` of a set file; files it names are looked for in `folder`.
    ///
    /// # Errors
    /// Everything that is wrong with the text.
    pub fn parse(name_of_file: &str, text: &str, folder: &Path) -> Result<Set, Faults> {
        SetFile::parse(name_of_file, text, folder).map(|file| file.set)
    }
}

impl SetFile {
    /// Reads the set file at `path`.
    ///
    /// # Errors
    /// Everything that is wrong with the file, or why it cannot be read.
    pub fn read(path: &Path) -> Result<SetFile, Faults> {
        let text = text_of(path)?;
        SetFile::parse(&path.display().to_string(), &text, path.parent().unwrap_or(Path::new("")))
    }

    /// Reads the `text` of a set file; files it names are looked for in `folder`.
    ///
    /// # Errors
    /// Everything that is wrong with the text.
    pub fn parse(name_of_file: &str, text: &str, folder: &Path) -> Result<SetFile, Faults> {
        let source = Source::new(name_of_file, text);
        let read = thread::scope(|scope| {
            let on_its_own_stack = thread::Builder::new().stack_size(STACK);
            let reader = on_its_own_stack.spawn_scoped(scope, || read(Arc::clone(&source), folder));
            reader.ok().and_then(|reader| reader.join().ok())
        });
        read.unwrap_or_else(|| Err(Fault::new(&source, "this file cannot be read on this machine now").into()))
    }
}

fn read(source: Arc<Source>, folder: &Path) -> Result<SetFile, Faults> {
    let (root, errors) = DeTable::parse_recoverable(source.text());
    if let Some(faults) = syntax_faults(&source, errors) {
        return Err(faults);
    }
    let doc = Document::new(Arc::clone(&source), folder.to_path_buf());
    let set = set(&doc, root.get_ref());
    let places = doc.places();
    match (set, doc.into_faults()) {
        (_, Some(faults)) => Err(faults),
        (Some(set), None) => Ok(SetFile { set, source, places }),
        (None, None) => Err(Fault::new(&source, "this file is no set").into()),
    }
}

/// What the parser could not read, the first of each line: one mistake often causes further errors on it.
fn syntax_faults(source: &Arc<Source>, errors: Vec<Error>) -> Option<Faults> {
    let mut faults: Vec<Fault> = errors.iter().map(|error| syntax_fault(source, error)).collect();
    faults.sort_by_key(|fault| fault.span().map_or(0, |span| span.start));
    let start = |fault: &Fault| fault.span().map_or(0, |span| span.start);
    let (mut looked_at, mut lines, mut last_line) = (0, 0, None);
    faults.retain(|fault| {
        lines += source.text()[looked_at..start(fault)].matches('\n').count();
        looked_at = start(fault);
        last_line.replace(lines) != Some(lines)
    });
    Faults::new(faults)
}

fn syntax_fault(source: &Arc<Source>, error: &Error) -> Fault {
    const TOO_DEEP: &str = "a set file has tables within tables three deep, like [lens.focus]";
    let Some(span) = error.span() else {
        return Fault::new(source, "keys with dots nest too deep").help(TOO_DEEP);
    };
    if error.message().starts_with("cannot recurse further") {
        return Fault::new(source, "lists or tables nest too deep").mark(span, "this is one too many").help(TOO_DEEP);
    }
    if error.message().starts_with("string values must be quoted") {
        let word = source.text().get(span.clone()).unwrap_or_default();
        return Fault::new(source, "a text needs quotes").mark(span, format!("did you mean \"{}\"?", shown(word)));
    }
    if error.message() == "duplicate key" {
        let key = source.text().get(span.clone()).unwrap_or_default();
        return Fault::new(source, format!("`{}` is there twice", shown(key))).mark(span, "leave one of them out");
    }
    Fault::new(source, "this is not TOML").mark(span, error.message().trim_end_matches(", expected nothing"))
}

fn set(doc: &Document, root: &DeTable) -> Option<Set> {
    let root = Table::new(doc, root, 0..0, &SET_FILE);
    let header = match root.get("set") {
        Some(value) => value.table(),
        None => {
            let fault = Fault::new(&doc.source, "this set has no table [set]");
            doc.push(fault.help("begin the file with the lines [set] and name = \"quarry\""));
            None
        }
    };
    let set_name = header.as_ref().and_then(|header| name(&header.need("name")?));
    let units = header.as_ref().and_then(style::units).unwrap_or(vec![DistanceUnit::Metre, DistanceUnit::Foot]);
    let room = header.as_ref().and_then(|header| header.length("room"));
    let far_target = header.as_ref().and_then(|header| header.get("far_target")?.truth()).unwrap_or(true);
    let style_table = root.get("style").and_then(|value| value.table());
    let (style, typeface_place) = style::style(style_table.as_ref());
    doc.remember(Subject::Typeface, typeface_place);
    let processes = root.get("process").and_then(|value| value.table());
    let processes = process::processes(processes.as_ref());
    let lenses = lenses(doc, &root, &units);
    let set_name = set_name?.to_string();
    doc.is_sound().then(|| Set { room, far_target, ..Set::chosen(&set_name, style, processes, lenses) })
}

fn lenses(doc: &Document, root: &Table, units: &[DistanceUnit]) -> Vec<Lens> {
    let Some(value) = root.get("lens") else {
        let fault = Fault::new(&doc.source, "this set has no lens");
        doc.push(fault.help("add a table [[lens]] with a name and a focal length"));
        return Vec::new();
    };
    if value.is_table() {
        let fault =
            doc.fault(value.key_span.clone(), "each lens is one of a list", "write [[lens]], with two brackets");
        doc.push(fault.help("its rings stay as they are: [lens.focus] and [lens.iris]"));
        return Vec::new();
    }
    let Some(values) = value.list() else { return Vec::new() };
    if values.is_empty() {
        value.refuse::<()>("this set has no lens", "add a table [[lens]] with a name and a focal length");
    }
    let mut stems: HashMap<String, Range<usize>> = HashMap::new();
    let mut lenses = Vec::new();
    for value in values {
        let Some(table) = value.table() else { continue };
        if let Some(named) = table.get("name")
            && let Some(text) = named.as_str()
            && !file_stem(text).is_empty()
        {
            let stem = file_stem(text);
            match stems.get(&stem) {
                Some(before) => {
                    let message = format!("two lenses would be drawn into files named {}", shown(&stem));
                    let fault = doc.fault(named.span(), message, "give this lens another name");
                    doc.push(fault.mark(before.clone(), "the other"));
                }
                None => {
                    stems.insert(stem, named.span());
                }
            }
        }
        lenses.extend(lens(&table, units));
    }
    lenses
}
