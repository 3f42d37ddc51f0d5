//! The program under test, and the set it works on.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};

/// The program: `RINGWRIGHT_BIN`, or what `cargo build` leaves.
pub fn ringwright() -> Command {
    Command::new(binary())
}

fn binary() -> PathBuf {
    let path =
        std::env::var_os("RINGWRIGHT_BIN").map_or_else(|| workspace().join("target/debug/ringwright"), PathBuf::from);
    assert!(path.is_file(), "{} is missing; `cargo build` makes it", path.display());
    path
}

/// axe-core, which knows rules of accessibility: in the folder `AXE_CORE`, or where tests/run puts it.
pub fn axe_core() -> PathBuf {
    let folder = std::env::var_os("AXE_CORE")
        .map_or_else(|| workspace().join("target/outside/node_modules/axe-core"), PathBuf::from);
    let path = folder.join("axe.min.js");
    assert!(path.is_file(), "{} is missing; tests/run brings it from npm", path.display());
    path
}

/// The root of the workspace.
pub(crate) fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the crate lies in tests/browser")
}

/// A folder with a copy of the samples; it goes with its owner.
pub struct SetFolder {
    folder: PathBuf,
}

impl SetFolder {
    pub(crate) fn new() -> Self {
        let folder = fresh("set");
        for entry in std::fs::read_dir(workspace().join("samples")).expect("samples are there") {
            let entry = entry.expect("samples can be listed");
            std::fs::copy(entry.path(), folder.join(entry.file_name())).expect("samples can be copied");
        }
        SetFolder { folder }
    }

    /// The set file.
    pub fn path(&self) -> PathBuf {
        self.folder.join("SET.toml")
    }

    /// A place in the same folder.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// What the set file holds.
    pub fn text(&self) -> String {
        std::fs::read_to_string(self.path()).expect("the set file is there")
    }

    /// What another program would do: other bytes in the set file.
    pub fn write(&self, text: &str) {
        std::fs::write(self.path(), text).expect("the set file can be written");
    }

    /// What a command of the program says about the set, as JSON.
    pub fn json(&self, command: &str, more: &[&str]) -> serde_json::Value {
        let output =
            ringwright().arg(command).arg(self.path()).args(["--format", "json"]).args(more).output().expect("it runs");
        assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
        serde_json::from_slice(&output.stdout).expect("JSON comes back")
    }

    /// Draws the set with the command line and returns the folder of files.
    pub fn drawn(&self, into: &str, formats: &str) -> PathBuf {
        let out = self.beside(into);
        let output = ringwright()
            .arg("draw")
            .arg(self.path())
            .arg("--out")
            .arg(&out)
            .args(["--format", formats])
            .output()
            .expect("it runs");
        assert!(output.status.success(), "draw: {}", String::from_utf8_lossy(&output.stderr));
        out
    }
}

impl Drop for SetFolder {
    fn drop(&mut self) {
        // what is left in the folder for temporary files harms nobody
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// A new, empty folder for temporary files.
pub(crate) fn fresh(what: &str) -> PathBuf {
    static COUNT: AtomicUsize = AtomicUsize::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let folder = std::env::temp_dir().join(format!("ringwright-{what}-{}-{count}", std::process::id()));
    std::fs::create_dir(&folder).expect("a folder for temporary files can be made");
    folder
}

/// `ringwright page`, running.
pub struct Program {
    child: Child,
    /// Where its page is, with a slash at the end.
    pub address: String,
}

impl Program {
    /// Serves a set on a port; on a free one if it is 0.
    pub fn page(set: &SetFolder, port: u16) -> Self {
        let mut child = ringwright()
            .arg("page")
            .arg(set.path())
            .args(["--no-open", "--port", &port.to_string()])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts");
        let mut address = String::new();
        let out = child.stdout.take().expect("it was asked for");
        BufReader::new(out).read_line(&mut address).expect("the first line is the address");
        let address = address.trim().to_string();
        let program = Program { child, address };
        assert!(program.address.starts_with("http://127.0.0.1:"), "no address: {:?}", program.address);
        program
    }

    /// The port it listens on.
    pub fn port(&self) -> u16 {
        port_of(&self.address)
    }

    /// Ends it.
    pub fn end(&mut self) {
        // it may have ended by itself, which is as well
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        self.end();
    }
}

pub(crate) fn port_of(address: &str) -> u16 {
    address.trim_end_matches('/').rsplit(':').next().and_then(|port| port.parse().ok()).expect("an address with a port")
}

/// Fetches a path as any program would that knows nothing of browsers: the status, and the body.
pub fn get(address: &str, path: &str) -> (u16, Vec<u8>) {
    spoken(port_of(address), "GET", path, "").expect("the program answers")
}

/// One question and its answer over HTTP, on a connection of its own.
pub(crate) fn spoken(port: u16, method: &str, path: &str, body: &str) -> std::io::Result<(u16, Vec<u8>)> {
    let mut stream = TcpStream::connect(("127.0.0.1", port))?;
    stream.set_read_timeout(Some(crate::PATIENCE))?;
    write!(
        stream,
        "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\nContent-Type: application/json\r\n\
         Content-Length: {}\r\n\r\n{body}",
        body.len()
    )?;
    let mut reader = BufReader::new(stream);
    let mut line = String::new();
    reader.read_line(&mut line)?;
    let bad = || std::io::Error::other("no answer in HTTP");
    let status = line.split(' ').nth(1).and_then(|code| code.parse().ok()).ok_or_else(bad)?;
    let mut length = None;
    loop {
        line.clear();
        reader.read_line(&mut line)?;
        let Some((name, value)) = line.split_once(':') else { break };
        if name.eq_ignore_ascii_case("content-length") {
            length = value.trim().parse().ok();
        }
    }
    let mut body = vec![0; length.ok_or_else(bad)?];
    reader.read_exact(&mut body)?;
    Ok((status, body))
}
