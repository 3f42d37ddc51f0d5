//! Files on disk, whole or not at all: written beside their place under a temporary name, then renamed.
//!
//! Knows no format. The temporary name is `.ringwright-` and a few letters by chance. The temporary file is removed
//! on every error; a run that is stopped while writing leaves it behind, but never a broken file in its place, and a run
//! an hour later that writes into the same folder removes it.

use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::Path;
use std::time::Duration;

use tempfile::NamedTempFile;

/// How temporary names begin, and how many letters and digits follow.
const PREFIX: &str = ".ringwright-";
const LETTERS: usize = 8;

/// Writes a file through `write`, which it replaces only when everything has been written.
///
/// A link is followed, and a file that is replaced keeps its permissions.
///
/// # Errors
/// Whatever `write` or the file system reports; a file that is write-protected or no ordinary file is refused. What
/// was there before is then untouched and nothing else is left.
pub fn whole(path: &Path, write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    placed(path, write, true)
}

/// The same without waiting for the disk: whole for every program that reads the file from now on, but it may not outlive
/// a power cut in the next seconds. For what is written at every keystroke.
///
/// # Errors
/// As [`whole`].
pub fn whole_soon(path: &Path, write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    placed(path, write, false)
}

fn placed(path: &Path, write: impl FnOnce(&mut dyn Write) -> io::Result<()>, settled: bool) -> io::Result<()> {
    let place = if path.is_symlink() { path.canonicalize()? } else { path.to_path_buf() };
    let before = match place.metadata() {
        Ok(before) => Some(before),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(error),
    };
    if let Some(before) = &before {
        if !before.is_file() {
            return Err(io::Error::new(
                io::ErrorKind::InvalidInput,
                "there is something here that is no ordinary file",
            ));
        }
        if before.permissions().readonly() {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "the file is write-protected"));
        }
    }
    let folder = match (place.parent(), place.file_name()) {
        (Some(folder), Some(_)) => folder,
        _ => return Err(io::Error::new(io::ErrorKind::InvalidInput, "a file needs a name")),
    };

    let mut passing = passing(folder)?;
    buffered(passing.as_file_mut(), write)?;
    if let Some(before) = before {
        passing.as_file().set_permissions(before.permissions())?;
    }
    if settled {
        passing.as_file().sync_all()?;
    }
    passing.into_temp_path().persist(&place).map_err(|refused| refused.error)
}

/// Creates the folder if it is not there, and proves that a file can be written in it.
///
/// # Errors
/// Whatever the file system reports: no permission, a full disk, a file where the folder should be.
pub fn try_folder(dir: &Path) -> io::Result<()> {
    fs::create_dir_all(dir)?;
    sweep(dir);
    let mut removed = passing(dir)?;
    buffered(removed.as_file_mut(), |out| out.write_all(b"-"))?.sync_all()
}

/// No write takes as long as this; a younger file may belong to a run that is still writing.
const STALE: Duration = Duration::from_secs(3600);

/// Removes what runs that were stopped in mid-write left in a folder: ordinary files under temporary names, an hour old.
fn sweep(dir: &Path) {
    let temporary = |name: &str| {
        let letters = |text: &str| text.len() == LETTERS && text.bytes().all(|byte| byte.is_ascii_alphanumeric());
        name.strip_prefix(PREFIX).is_some_and(letters)
    };
    for entry in fs::read_dir(dir).into_iter().flatten().flatten() {
        // of a link this is the link itself, which is no ordinary file
        let stale = entry.metadata().is_ok_and(|file| {
            file.is_file() && file.modified().is_ok_and(|at| at.elapsed().is_ok_and(|age| age > STALE))
        });
        if stale && entry.file_name().to_str().is_some_and(temporary) {
            // a file that cannot be removed does no harm
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Everything that `write` wrote has reached `out` when this returns it.
fn buffered<W: Write>(out: W, write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<W> {
    let mut out = BufWriter::new(out);
    write(&mut out)?;
    out.into_inner().map_err(io::IntoInnerError::into_error)
}

/// A new file in `folder` under a temporary name, removed when it goes out of scope without having been renamed. Who may
/// read it is up to the system's own mask, as for every new file.
fn passing(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).rand_bytes(LETTERS);
    #[cfg(unix)]
    let mode = <fs::Permissions as std::os::unix::fs::PermissionsExt>::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(mode);
    builder.tempfile_in(folder)
}

#[cfg(test)]
mod tests {
    use std::fs::File;
    use std::path::PathBuf;

    use super::*;

    /// A folder of its own for each test, removed at its end.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Self {
            let path = std::env::temp_dir().join(format!("ringwright-test-{}-{name}", std::process::id()));
            fs::create_dir_all(&path).unwrap();
            Folder(path)
        }

        fn names(&self) -> Vec<String> {
            let mut names: Vec<_> =
                fs::read_dir(&self.0).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
            names.sort();
            names
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    /// Takes `room` bytes and is full.
    struct Disk {
        room: usize,
    }

    impl Write for Disk {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let taken = bytes.len().min(self.room);
            self.room -= taken;
            if taken == 0 { Err(io::ErrorKind::StorageFull.into()) } else { Ok(taken) }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    fn fails_after_some_bytes(out: &mut dyn Write) -> io::Result<()> {
        // More than any buffer holds, so that some of it has reached the disk.
        out.write_all(&vec![b'x'; 1 << 20])?;
        Err(io::ErrorKind::StorageFull.into())
    }

    #[test]
    fn a_file_appears_with_all_that_was_written_and_nothing_beside_it() {
        let folder = Folder::new("appears");
        let path = folder.0.join("strip.svg");
        whole(&path, |out| out.write_all(b"first")).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"first");
        whole(&path, |out| out.write_all(&vec![b'2'; 1 << 20])).unwrap();
        assert_eq!(fs::read(&path).unwrap(), vec![b'2'; 1 << 20]);
        assert_eq!(folder.names(), ["strip.svg"]);
    }

    #[test]
    fn the_old_file_stands_until_the_new_one_is_complete() {
        let folder = Folder::new("stands");
        let path = folder.0.join("strip.svg");
        whole(&path, |out| out.write_all(b"old")).unwrap();
        whole(&path, |out| {
            out.write_all(b"new")?;
            out.flush()?;
            assert_eq!(fs::read(&path).unwrap(), b"old");
            Ok(())
        })
        .unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
    }

    #[test]
    fn a_writer_that_fails_leaves_no_file() {
        let folder = Folder::new("fails");
        let error = whole(&folder.0.join("strip.png"), fails_after_some_bytes).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::StorageFull);
        assert_eq!(folder.names(), [""; 0]);
    }

    #[test]
    fn a_writer_that_fails_leaves_the_old_file_untouched() {
        let folder = Folder::new("untouched");
        let path = folder.0.join("strip.png");
        fs::write(&path, b"old").unwrap();
        let error = whole(&path, fails_after_some_bytes).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::StorageFull);
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(folder.names(), ["strip.png"]);
    }

    #[test]
    fn a_writer_that_panics_leaves_no_file() {
        let folder = Folder::new("panics");
        let path = folder.0.join("strip.png");
        let caught = std::panic::catch_unwind(|| whole(&path, |_| panic!("in the middle of a drawing")));
        assert!(caught.is_err());
        assert_eq!(folder.names(), [""; 0]);
    }

    #[test]
    fn a_disk_that_is_full_at_the_last_byte_is_noticed() {
        let write = |out: &mut dyn Write| out.write_all(&[b'x'; 1000]);
        assert!(buffered(Disk { room: 1000 }, write).is_ok());
        for room in [0, 1, 999] {
            let error = buffered(Disk { room }, write).err().expect("there was no room for it");
            assert_eq!(error.kind(), io::ErrorKind::StorageFull, "{room}");
        }
    }

    #[test]
    fn a_write_protected_file_is_refused_untouched() {
        let folder = Folder::new("protected");
        let path = folder.0.join("strip.svg");
        fs::write(&path, b"mine").unwrap();
        let mut locked = path.metadata().unwrap().permissions();
        locked.set_readonly(true);
        fs::set_permissions(&path, locked).unwrap();
        let error = whole(&path, |out| out.write_all(b"new")).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::PermissionDenied);
        assert_eq!(fs::read(&path).unwrap(), b"mine");
        assert_eq!(folder.names(), ["strip.svg"]);
    }

    #[test]
    fn a_place_that_takes_no_file_is_an_error_before_anything_is_drawn() {
        let folder = Folder::new("no-place");
        fs::write(folder.0.join("file"), b"").unwrap();
        fs::create_dir(folder.0.join("folder")).unwrap();
        let never = |_: &mut dyn Write| -> io::Result<()> { panic!("drawn in vain") };
        for name in ["missing/strip.svg", "file/strip.svg", "folder", ".."] {
            assert!(whole(&folder.0.join(name), never).is_err(), "{name}");
        }
        assert_eq!(folder.names(), ["file", "folder"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_followed_and_permissions_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = Folder::new("link");
        let (file, link) = (folder.0.join("strip.svg"), folder.0.join("link.svg"));
        fs::write(&file, b"old").unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&file, &link).unwrap();
        whole(&link, |out| out.write_all(b"new")).unwrap();
        assert!(link.is_symlink());
        assert_eq!(fs::read(&file).unwrap(), b"new");
        assert_eq!(file.metadata().unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_never_replaced() {
        assert!(whole(Path::new("/dev/null"), |_| Ok(())).is_err());
    }

    #[test]
    fn a_folder_is_made_and_left_empty() {
        let folder = Folder::new("made");
        let inner = folder.0.join("out/film");
        try_folder(&inner).unwrap();
        assert_eq!(fs::read_dir(&inner).unwrap().count(), 0);
        try_folder(&inner).unwrap();
    }

    #[test]
    fn what_a_stopped_run_left_is_removed_an_hour_later_and_nothing_else() {
        let folder = Folder::new("sweep");
        let names = [".ringwright-aB3dE6gh", ".ringwright-aB3-E6gh", ".ringwright-12", "strip.svg"];
        for name in names {
            let file = File::create(folder.0.join(name)).unwrap();
            file.set_modified(std::time::SystemTime::now() - Duration::from_secs(4000)).unwrap();
        }
        fs::write(folder.0.join(".ringwright-zZ9dE6gh"), b"at work").unwrap();
        try_folder(&folder.0).unwrap();
        assert_eq!(folder.names(), [".ringwright-12", ".ringwright-aB3-E6gh", ".ringwright-zZ9dE6gh", "strip.svg"]);
    }

    #[test]
    fn a_folder_that_cannot_be_is_an_error() {
        let folder = Folder::new("cannot");
        fs::write(folder.0.join("file"), b"").unwrap();
        assert!(try_folder(&folder.0.join("file")).is_err());
        assert!(try_folder(&folder.0.join("file/inner")).is_err());
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_read_only_folder_is_an_error() {
        // No file can be created in /proc, whatever the user's rights.
        assert!(try_folder(Path::new("/proc/self")).is_err());
        assert!(whole(Path::new("/proc/self/strip.svg"), |_| Ok(())).is_err());
    }
}
