//! Text files from disk: bytes become UTF-8 text, or the reason why not.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

/// The largest file that is read. A set of a hundred lenses takes 200 kB; a file of gigabytes is a mistake and
/// would fill the memory.
const LARGEST: u64 = 4 << 20;

/// Why a file was not read: the message, the words under the line that names the file, and a way out.
pub(super) struct Refusal {
    pub(super) message: String,
    pub(super) way_out: String,
}

fn refuse<T>(message: impl Into<String>, way_out: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal { message: message.into(), way_out: way_out.into() })
}

/// Whether `path` is a file that could be opened; anything else is refused without being read.
pub(super) fn find(path: &Path) -> Result<(), Refusal> {
    match fs::metadata(path) {
        Ok(found) if found.is_file() => Ok(()),
        Ok(found) if found.is_dir() => refuse("this is a folder, not a file", "name a file inside it"),
        Ok(_) => refuse("this is not an ordinary file", "name a file on disk"),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            refuse("there is no such file", "check the spelling and the folder")
        }
        Err(error) => refuse(format!("the file cannot be opened: {error}"), "check its name and who may read it"),
    }
}

/// The text of the file at `path`.
pub(super) fn read(path: &Path) -> Result<String, Refusal> {
    find(path)?;
    let mut bytes = Vec::new();
    // One byte more than allowed is asked for, so that a file that grows meanwhile is caught too.
    match File::open(path).and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes)) {
        Ok(_) if bytes.len() as u64 > LARGEST => {
            refuse("the file is too large", "files up to 4 MiB are read; is this the right one?")
        }
        Ok(_) => text(bytes),
        Err(error) => refuse(format!("the file cannot be read: {error}"), "check who may read it"),
    }
}

fn text(bytes: Vec<u8>) -> Result<String, Refusal> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return refuse("the file is saved as UTF-16", "save it again as UTF-8 in the editor");
    }
    String::from_utf8(bytes).or_else(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
        refuse(
            format!("the file is not UTF-8 text; line {line} has a byte that is none"),
            "save it again as UTF-8 in the editor",
        )
    })
}
