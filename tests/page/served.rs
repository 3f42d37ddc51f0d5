//! The page as it is served: the program's own process in a folder of its own, and a client that can also say what no
//! browser would.

use std::fs;
use std::io::{self, BufRead, BufReader, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// No answer takes longer, also on a busy machine that was not built for speed.
const PATIENCE: Duration = Duration::from_secs(120);

/// A folder that goes when it is dropped.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new() -> Self {
        static NUMBER: AtomicUsize = AtomicUsize::new(0);
        let number = NUMBER.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("ringwright-page-{}-{number}", std::process::id()));
        fs::create_dir_all(&path).expect("a temporary folder can be made");
        // as a process sees it that looks where it is
        Folder(path.canonicalize().expect("it is there"))
    }

    /// A folder with the samples in it.
    pub fn with_samples() -> Self {
        let folder = Folder::new();
        for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples")).expect("there are samples") {
            let entry = entry.expect("a sample");
            fs::copy(entry.path(), folder.0.join(entry.file_name())).expect("it can be copied");
        }
        folder
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// An answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(':'));
        lines.find(|(key, _)| key.eq_ignore_ascii_case(name)).map(|(_, value)| value.trim())
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("no JSON: {}", self.text()))
    }

    /// The answer, which has to be of this status.
    #[track_caller]
    pub fn is(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{:.600}", self.text());
        self
    }
}

/// The program while it serves; it ends when this is dropped.
pub struct Served {
    child: Child,
    pub port: u16,
    pub folder: Folder,
    pub set: PathBuf,
}

impl Served {
    /// Serves `SET.toml` of the folder.
    pub fn new(folder: Folder) -> Self {
        Self::named(folder, "SET.toml")
    }

    pub fn samples() -> Self {
        Self::new(Folder::with_samples())
    }

    /// Serves a set of this text alone.
    pub fn text(text: &str) -> Self {
        let folder = Folder::new();
        fs::write(folder.0.join("SET.toml"), text).expect("it can be written");
        Self::new(folder)
    }

    pub fn named(folder: Folder, name: &str) -> Self {
        let set = folder.0.join(name);
        let mut child = Command::new(env!("CARGO_BIN_EXE_ringwright"))
            .arg("page")
            .arg(&set)
            .args(["--no-open", "--port", "0"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        let mut first = String::new();
        let out = child.stdout.take().expect("it has an output");
        let read = BufReader::new(out).read_line(&mut first);
        let port = first.trim().strip_prefix("http://127.0.0.1:").and_then(|rest| rest.strip_suffix('/')?.parse().ok());
        let Some(port) = port else {
            let _ = child.kill();
            panic!("no address on the first line: {first:?} ({read:?})");
        };
        Served { child, port, folder, set }
    }

    pub fn connect(&self) -> TcpStream {
        let address = SocketAddr::from((Ipv4Addr::LOCALHOST, self.port));
        let stream = TcpStream::connect_timeout(&address, PATIENCE).expect("the page is there");
        stream.set_read_timeout(Some(PATIENCE)).expect("a time limit");
        stream.set_write_timeout(Some(PATIENCE)).expect("a time limit");
        stream.set_nodelay(true).expect("bytes go at once");
        stream
    }

    /// The address as a browser names it.
    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// Sends bytes as they are.
    pub fn raw(&self, bytes: &[u8]) -> io::Result<Answer> {
        let mut stream = self.connect();
        // whoever is refused early cannot send the rest, and still has an answer
        let _ = stream.write_all(bytes);
        answer(&mut BufReader::new(stream))
    }

    /// Asks with these header lines and no others.
    pub fn bare(&self, target: &str, lines: &[&str]) -> Answer {
        let mut request = format!("GET {target} HTTP/1.1\r\nConnection: close\r\n");
        for line in lines {
            request.push_str(line);
            request.push_str("\r\n");
        }
        request.push_str("\r\n");
        self.raw(request.as_bytes()).expect("an answer")
    }

    pub fn get(&self, target: &str) -> Answer {
        self.bare(target, &[&format!("Host: {}", self.host())])
    }

    pub fn post(&self, path: &str, kind: &str, body: &[u8]) -> Answer {
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nConnection: close\r\nContent-Type: {kind}\r\n\
             Content-Length: {1}\r\n\r\n",
            self.host(),
            body.len()
        );
        self.raw(&[head.as_bytes(), body].concat()).expect("an answer")
    }

    pub fn act(&self, path: &str, body: &Value) -> Answer {
        self.post(path, "application/json", body.to_string().as_bytes())
    }

    pub fn state(&self) -> Value {
        self.get("/state").is(200).json()
    }

    pub fn version(&self) -> u64 {
        self.state()["version"].as_u64().expect("a version")
    }

    /// Makes edits to the version that stands now.
    pub fn edit(&self, edits: Value, mark: &str) -> Answer {
        let body = json!({ "base": self.version(), "edits": edits, "what": "a test", "mark": mark });
        self.act("/edit", &body)
    }

    pub fn undo(&self) -> Answer {
        self.act("/undo", &json!({ "base": self.version() }))
    }

    pub fn redo(&self) -> Answer {
        self.act("/redo", &json!({ "base": self.version() }))
    }

    pub fn on_disk(&self) -> String {
        fs::read_to_string(&self.set).expect("the set file")
    }

    /// Waits until the state is as it should be; the files are looked at every second.
    #[track_caller]
    pub fn wait(&self, what: &str, so: impl Fn(&Value) -> bool) -> Value {
        let begun = Instant::now();
        loop {
            let state = self.state();
            if so(&state) {
                return state;
            }
            assert!(begun.elapsed() < Duration::from_secs(20), "{what} never came: {state}");
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// A line of the process's own account, in bytes: `VmRSS`, `VmHWM`.
    #[cfg(target_os = "linux")]
    pub fn memory(&self, line: &str) -> u64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("the process lives");
        let line = status.lines().find_map(|found| found.strip_prefix(line)?.strip_prefix(':')).expect("such a line");
        1024 * line.trim().trim_end_matches(" kB").parse::<u64>().expect("kibibytes")
    }

    /// Ends the process as a power cut would.
    pub fn kill(&mut self) {
        self.child.kill().expect("it lived");
        self.child.wait().expect("it has ended");
    }

    /// Whether the process is there and answers.
    #[track_caller]
    pub fn lives(&mut self) {
        assert!(self.child.try_wait().expect("it can be looked at").is_none(), "the program has ended");
        self.get("/state").is(200);
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Reads one answer.
pub fn answer(from: &mut impl BufRead) -> io::Result<Answer> {
    let mut head = String::new();
    loop {
        let mut line = String::new();
        if from.read_line(&mut line)? == 0 {
            return Err(io::Error::new(io::ErrorKind::UnexpectedEof, "closed without an answer"));
        }
        if line.trim().is_empty() {
            break;
        }
        head.push_str(&line);
    }
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok());
    let status = status.ok_or_else(|| io::Error::new(io::ErrorKind::InvalidData, head.clone()))?;
    let mut found = Answer { status, head, body: Vec::new() };
    match found.header("content-length").and_then(|length| length.parse().ok()) {
        Some(length) => {
            found.body.resize(length, 0);
            from.read_exact(&mut found.body)?;
        }
        None => {
            from.read_to_end(&mut found.body)?;
        }
    }
    Ok(found)
}
