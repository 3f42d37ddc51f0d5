//! The page of a copy of the sample set, and raw requests to it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// The program, ended when it goes out of scope, and its folder.
pub struct Served {
    program: Child,
    pub folder: PathBuf,
    pub host: String,
}

/// An answer, taken apart.
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|_| panic!("no JSON: {}", String::from_utf8_lossy(&self.body)))
    }

    pub fn error(&self) -> String {
        self.json()["error"].as_str().unwrap_or_default().to_string()
    }
}

impl Served {
    /// The sample set, in a folder of its own.
    pub fn samples(name: &str) -> Served {
        let folder = folder(name);
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
        for name in ["SET.toml", "marble-85.csv"] {
            std::fs::copy(samples.join(name), folder.join(name)).unwrap();
        }
        Served::of(folder, &[])
    }

    /// `SET.toml` of a folder.
    pub fn of(folder: PathBuf, more: &[&str]) -> Served {
        let mut program = Command::new(env!("CARGO_BIN_EXE_ringwright"))
            .args(["page", "SET.toml", "--no-open"])
            .args(more)
            .current_dir(&folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(program.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let host = first.trim().strip_prefix("http://").expect("an address").trim_end_matches('/').to_string();
        Served { program, folder, host }
    }

    pub fn file(&self) -> String {
        std::fs::read_to_string(self.folder.join("SET.toml")).unwrap()
    }

    pub fn port(&self) -> &str {
        self.host.rsplit(':').next().unwrap()
    }

    pub fn process(&self) -> u32 {
        self.program.id()
    }

    pub fn kill(&mut self) {
        self.program.kill().unwrap();
        self.program.wait().unwrap();
    }

    /// Sends bytes as they are and reads to the end; `None` where the other side says nothing.
    pub fn raw(&self, request: &[u8]) -> Option<Answer> {
        let mut stream = TcpStream::connect(&self.host).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        // a server that has refused may have closed already
        let _ = stream.write_all(request);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        parse(&bytes)
    }

    pub fn get(&self, path: &str) -> Answer {
        let request = format!("GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.host);
        self.raw(request.as_bytes()).unwrap_or_else(|| panic!("no answer to {path}"))
    }

    pub fn with_headers(&self, headers: &str) -> Answer {
        let request = format!("GET /state HTTP/1.1\r\n{headers}Connection: close\r\n\r\n");
        self.raw(request.as_bytes()).expect("an answer")
    }

    pub fn post_text(&self, path: &str, kind: &str, body: &str) -> Answer {
        let request = format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
            self.host,
            body.len()
        );
        self.raw(request.as_bytes()).expect("an answer")
    }

    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.post_text(path, "application/json", &body.to_string())
    }

    pub fn state(&self) -> Value {
        self.get("/state").json()
    }

    pub fn version(&self) -> u64 {
        self.state()["version"].as_u64().unwrap()
    }

    /// Changes the set as it stands now.
    pub fn edit(&self, edits: Value, mark: &str) -> Answer {
        let base = self.version();
        self.post("/edit", &json!({ "base": base, "lens": 1, "edits": edits, "what": "a change", "mark": mark }))
    }

    /// A keystroke in the readings of Granite 50.
    pub fn keystroke(&self, row: usize, column: &str, text: &str) -> Answer {
        self.edit(
            json!([{ "kind": "cell", "lens": 1, "ring": "focus", "row": row, "column": column, "text": text }]),
            "here",
        )
    }

    /// Waits until the state is as wished, as the server looks at the disk once a second.
    pub fn wait(&self, wished: impl Fn(&Value) -> bool) -> Value {
        let start = Instant::now();
        loop {
            let state = self.state();
            if wished(&state) {
                return state;
            }
            assert!(start.elapsed() < Duration::from_secs(20), "waited in vain; the state is {state}");
            std::thread::sleep(Duration::from_millis(100));
        }
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// An empty folder of its own for a test.
pub fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("page-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn parse(bytes: &[u8]) -> Option<Answer> {
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&bytes[..end]).to_lowercase();
    let status = head.split_whitespace().nth(1)?.parse().ok()?;
    Some(Answer { status, head, body: bytes[end + 4..].to_vec() })
}
