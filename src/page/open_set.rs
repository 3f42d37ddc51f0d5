//! The set that the page has open: its texts, what came before them, and the files on disk, which stay the truth.
//!
//! Every change is written to disk at once, whole, whether or not the set can be read with it: what is on the screen is what
//! the command line finds. A change made on disk by another program is noticed before anything is written, and nothing
//! is written until it is decided which of the two stands; the other stays in the history.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::{Component, Path, PathBuf};

use crate::model::Set;
use crate::set::edit::{Edit, Outline, Texts};
use crate::set::{Faults, text_of};
use crate::write;

/// How much text the history may hold, in bytes: thousands of changes to a set of usual size.
const HISTORY: usize = 16 << 20;

/// An open set.
pub(super) struct OpenSet {
    path: PathBuf,
    texts: Texts,
    /// What the files held when they were last read or written.
    on_disk: Texts,
    elsewhere: Option<Elsewhere>,
    not_saved: Option<String>,
    /// Written, but perhaps not yet flushed to the disk.
    unsettled: Vec<PathBuf>,
    version: u64,
    past: Vec<Moment>,
    future: Vec<Moment>,
}

/// Texts that undoing or redoing brings back.
struct Moment {
    texts: Texts,
    /// What was changed after them, in words.
    what: String,
    /// Changes with the same mark that follow each other are one: keystrokes in a field.
    mark: String,
}

/// A change of the files that was not made here.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Elsewhere {
    Changed(Texts),
    /// The set file cannot be read any more, and why.
    Gone(String),
}

/// Why a change was not made.
#[derive(Debug, PartialEq)]
pub(super) enum Refused {
    /// It was made to other texts than stand here now.
    Stale,
    /// The files have changed on disk, and it is not decided yet which version stands.
    Elsewhere,
    /// It cannot be done, with the reason.
    Impossible(String),
}

impl OpenSet {
    /// Opens the set file at `path`, with the readings files beside it that it names.
    pub(super) fn open(path: &Path) -> Result<Self, Faults> {
        let texts = read(path)?;
        Ok(OpenSet {
            path: path.to_path_buf(),
            on_disk: texts.clone(),
            texts,
            elsewhere: None,
            not_saved: None,
            unsettled: Vec::new(),
            version: 1,
            past: Vec::new(),
            future: Vec::new(),
        })
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    pub(super) fn texts(&self) -> &Texts {
        &self.texts
    }

    /// Grows with every change of the texts.
    pub(super) fn version(&self) -> u64 {
        self.version
    }

    pub(super) fn elsewhere(&self) -> Option<&Elsewhere> {
        self.elsewhere.as_ref()
    }

    /// Why the last change is not on disk yet.
    pub(super) fn not_saved(&self) -> Option<&str> {
        self.not_saved.as_deref()
    }

    /// What undoing would take back.
    pub(super) fn undoes(&self) -> Option<&str> {
        self.past.last().map(|moment| moment.what.as_str())
    }

    /// What redoing would bring again.
    pub(super) fn redoes(&self) -> Option<&str> {
        self.future.last().map(|moment| moment.what.as_str())
    }

    /// The set as the files on disk have it, read as every command does.
    pub(super) fn set(&self) -> Result<Set, Faults> {
        let folder = self.path.parent().unwrap_or(Path::new(""));
        Set::parse(&self.path.display().to_string(), &self.texts.set, folder)
    }

    /// Changes the texts of version `base`, and saves them.
    pub(super) fn edit(&mut self, base: u64, edits: &[Edit], what: &str, mark: &str) -> Result<(), Refused> {
        self.ready(base)?;
        let edited = self.texts.edited(edits).map_err(|error| Refused::Impossible(error.to_string()))?;
        if edited == self.texts {
            return Ok(());
        }
        let goes_on = !mark.is_empty() && self.future.is_empty() && self.past.last().is_some_and(|m| m.mark == mark);
        let before = std::mem::replace(&mut self.texts, edited);
        if !goes_on {
            self.remember(before, what, mark);
        }
        self.future.clear();
        self.changed();
        Ok(())
    }

    /// Takes the last change back.
    pub(super) fn undo(&mut self, base: u64) -> Result<(), Refused> {
        self.ready(base)?;
        let Some(moment) = self.past.pop() else { return Ok(()) };
        let texts = std::mem::replace(&mut self.texts, moment.texts);
        self.future.push(Moment { texts, what: moment.what, mark: String::new() });
        // what is typed next is a change of its own
        self.past.iter_mut().for_each(|moment| moment.mark.clear());
        self.changed();
        Ok(())
    }

    /// Makes the change again that was taken back last.
    pub(super) fn redo(&mut self, base: u64) -> Result<(), Refused> {
        self.ready(base)?;
        let Some(moment) = self.future.pop() else { return Ok(()) };
        let texts = std::mem::replace(&mut self.texts, moment.texts);
        self.past.push(Moment { texts, what: moment.what, mark: String::new() });
        self.changed();
        Ok(())
    }

    /// Decides for the version on disk, or for the one that stands here; the other can be had again by undoing.
    pub(super) fn settle(&mut self, take_theirs: bool) {
        self.look();
        match self.elsewhere.take() {
            Some(Elsewhere::Changed(theirs)) if take_theirs => {
                let mine = std::mem::replace(&mut self.texts, theirs.clone());
                self.on_disk = theirs;
                self.remember(mine, "the change on disk", "");
                self.future.clear();
                self.not_saved = None;
                self.version += 1;
            }
            Some(Elsewhere::Changed(theirs)) => {
                self.on_disk = theirs.clone();
                self.remember(theirs, "keeping this version and not the one on disk", "");
                self.future.clear();
                self.changed();
            }
            // a missing file can only be written again
            Some(Elsewhere::Gone(_)) => {
                self.on_disk = Texts { set: String::new(), files: BTreeMap::new() };
                self.changed();
            }
            None => {}
        }
    }

    /// Looks whether the files on disk are still those last written; what could not be saved is tried again. Whether
    /// anything is new.
    pub(super) fn look(&mut self) -> bool {
        let before = (self.elsewhere.clone(), self.not_saved.clone());
        self.elsewhere = match read(&self.path) {
            Ok(found) if found == self.on_disk => None,
            Ok(found) if found == self.texts => {
                self.on_disk = found;
                None
            }
            Ok(found) => Some(Elsewhere::Changed(found)),
            Err(faults) => {
                let why = faults.as_slice().first().map_or(String::new(), |fault| fault.message().to_string());
                Some(Elsewhere::Gone(why))
            }
        };
        if self.elsewhere.is_none() && self.on_disk != self.texts {
            self.save();
        }
        before != (self.elsewhere.clone(), self.not_saved.clone())
    }

    /// Flushes what was written to the disk, so that it survives a power cut; on a thread of its own, because a disk takes
    /// longer than a keystroke.
    pub(super) fn settle_on_disk(&mut self) {
        let mut paths = std::mem::take(&mut self.unsettled);
        paths.sort();
        paths.dedup();
        if paths.is_empty() {
            return;
        }
        std::thread::spawn(move || {
            for file in paths.iter().filter_map(|path| File::open(path).ok()) {
                // a failed flush loses nothing while the program runs
                let _ = file.sync_all();
            }
        });
    }

    fn ready(&mut self, base: u64) -> Result<(), Refused> {
        self.look();
        if self.elsewhere.is_some() {
            return Err(Refused::Elsewhere);
        }
        if base == self.version { Ok(()) } else { Err(Refused::Stale) }
    }

    fn remember(&mut self, texts: Texts, what: &str, mark: &str) {
        self.past.push(Moment { texts, what: what.to_string(), mark: mark.to_string() });
        let mut held: usize = self.past.iter().map(size).sum();
        let mut forgotten = 0;
        while held > HISTORY && forgotten + 1 < self.past.len() {
            held -= size(&self.past[forgotten]);
            forgotten += 1;
        }
        self.past.drain(..forgotten);
    }

    fn changed(&mut self) {
        self.version += 1;
        self.save();
    }

    fn save(&mut self) {
        self.not_saved = self.written().err().map(|error| error.to_string());
    }

    /// Writes what differs from the disk. What was written before a failure counts as written, not as a
    /// change from outside.
    fn written(&mut self) -> std::io::Result<()> {
        let folder = self.path.parent().unwrap_or(Path::new("")).to_path_buf();
        for (name, text) in &self.texts.files {
            if self.on_disk.files.get(name) != Some(text) {
                let path = folder.join(name);
                write::whole_soon(&path, |out| out.write_all(text.as_bytes()))?;
                self.on_disk.files.insert(name.clone(), text.clone());
                self.unsettled.push(path);
            }
        }
        if self.on_disk.set != self.texts.set {
            write::whole_soon(&self.path, |out| out.write_all(self.texts.set.as_bytes()))?;
            self.on_disk.set.clone_from(&self.texts.set);
            self.unsettled.push(self.path.clone());
        }
        self.on_disk.files.retain(|name, _| self.texts.files.contains_key(name));
        Ok(())
    }
}

/// About how many bytes a moment takes.
fn size(moment: &Moment) -> usize {
    let texts = &moment.texts;
    let files: usize = texts.files.iter().map(|(name, text)| name.len() + text.len()).sum();
    size_of::<Moment>() + texts.set.len() + files + moment.what.len() + moment.mark.len()
}

/// The texts on disk. A readings file that cannot be read, or lies outside the set's folder, is not among them: the set's
/// own reader says what is wrong with it.
fn read(path: &Path) -> Result<Texts, Faults> {
    let set = text_of(path)?;
    let mut texts = Texts { set, files: BTreeMap::new() };
    let folder = path.parent().unwrap_or(Path::new(""));
    let names = Outline::of(&texts).map(|outline| outline.readings_files()).unwrap_or_default();
    // one file under two names, the set's own among them, would be written as two
    let mut held = vec![path.canonicalize().ok()];
    for name in names {
        let place = folder.join(&name).canonicalize().ok();
        if !held.contains(&place)
            && inside(folder, &name)
            && let Ok(text) = text_of(&folder.join(&name))
        {
            held.push(place);
            texts.files.insert(name, text);
        }
    }
    Ok(texts)
}

/// Whether a file named in a set lies in the set's folder or below it, links followed.
fn inside(folder: &Path, name: &str) -> bool {
    let plain = Path::new(name).components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let within = || Some(folder.join(name).canonicalize().ok()?.starts_with(folder.canonicalize().ok()?));
    plain && within() == Some(true)
}
