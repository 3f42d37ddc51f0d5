//! The running page, as a browser asks it: from a keystroke in the table of readings to new artwork of that lens, the first
//! page from a cold start, and memory.
//!
//! `cargo bench --bench page` prints a table with the limit beside each figure. Times are those of the whole exchange on
//! loopback, so that what the server takes is less.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

const KEYSTROKES: usize = 1_000;

/// The program with the sample set in a folder of its own, ended when it goes out of scope.
struct Page {
    program: Child,
    folder: PathBuf,
    host: String,
    line: Option<BufReader<TcpStream>>,
}

impl Page {
    fn open() -> Page {
        let folder = std::env::temp_dir().join(format!("ringwright-bench-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
        for name in ["SET.toml", "marble-85.csv"] {
            std::fs::copy(samples.join(name), folder.join(name)).unwrap();
        }
        let mut program = Command::new(env!("CARGO_BIN_EXE_ringwright"))
            .args(["page", "SET.toml", "--no-open"])
            .current_dir(&folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(program.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let host = first.trim().trim_start_matches("http://").trim_end_matches('/').to_string();
        Page { program, folder, host, line: None }
    }

    fn get(&mut self, path: &str) -> Vec<u8> {
        let request = format!("GET {path} HTTP/1.1\r\nHost: {}\r\n\r\n", self.host);
        self.exchange(&request)
    }

    fn post(&mut self, path: &str, body: &Value) -> Vec<u8> {
        let body = body.to_string();
        let request = format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.host,
            body.len()
        );
        self.exchange(&request)
    }

    fn exchange(&mut self, request: &str) -> Vec<u8> {
        let host = self.host.clone();
        let line = self.line.get_or_insert_with(|| {
            let stream = TcpStream::connect(host).unwrap();
            stream.set_nodelay(true).unwrap();
            BufReader::new(stream)
        });
        line.get_mut().write_all(request.as_bytes()).unwrap();
        let (mut head, mut length) = (String::new(), 0);
        loop {
            let before = head.len();
            line.read_line(&mut head).unwrap();
            let row = head[before..].trim().to_lowercase();
            if let Some(bytes) = row.strip_prefix("content-length:") {
                length = bytes.trim().parse().unwrap();
            }
            if row.is_empty() {
                break;
            }
        }
        assert!(head.starts_with("HTTP/1.1 200"), "{head}");
        let mut body = vec![0; length];
        line.read_exact(&mut body).unwrap();
        body
    }

    /// Time that the processor gave to the program so far, which other programs do not lengthen; `None` where the system
    /// does not tell.
    fn worked(&self) -> Option<Duration> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.program.id())).ok()?;
        // behind the name in brackets: user and system time are the 12th and the 13th, in hundredths of a second
        let mut fields = stat.rsplit(')').next()?.split_whitespace().skip(11);
        let ticks: u64 = fields.next()?.parse::<u64>().ok()? + fields.next()?.parse::<u64>().ok()?;
        Some(Duration::from_millis(10 * ticks))
    }

    /// Memory in use, MiB; `None` where the system does not tell.
    fn memory(&self) -> Option<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.program.id())).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
        Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

fn row(what: &str, limit: &str, figures: &str) {
    println!("{what:<44} {limit:>14}   {figures}");
}

fn spread(mut times: Vec<Duration>) -> String {
    times.sort();
    let ms = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize].as_secs_f64() * 1e3;
    format!("median {:.2} ms, p99 {:.2} ms, worst {:.2} ms", ms(0.5), ms(0.99), ms(1.0))
}

fn main() {
    row("what", "limit", "measured");
    let mut cold: Vec<Duration> = (0..5).map(|_| first_page()).collect();
    cold.sort();
    row(
        "first page from the start of the program",
        "300 ms",
        &format!("median of 5: {:.0} ms", cold[2].as_secs_f64() * 1e3),
    );

    let mut page = Page::open();
    let memory = |page: &Page| page.memory().map_or("not told".to_string(), |mib| format!("{mib:.1} MiB"));
    std::thread::sleep(Duration::from_millis(1_500));
    row("memory, idle", "40 MiB", &memory(&page));
    let state: Value = serde_json::from_slice(&page.get("/state")).unwrap();
    let lenses = state["lenses"].as_array().unwrap().clone();
    let mut version = state["version"].as_u64().unwrap();
    for (lens, of) in lenses.iter().enumerate() {
        let readings = of["focus"].as_array().unwrap();
        if readings.is_empty() {
            continue;
        }
        let last = readings.len() - 2;
        let at = readings[last]["cells"]["at"].as_str().unwrap().to_string();
        // its last digit is typed again and again
        let digit = at.rfind(|c: char| c.is_ascii_digit()).unwrap();
        let mut times = Vec::new();
        let before = page.worked();
        for i in 0..KEYSTROKES {
            let typed = format!("{}{}{}", &at[..digit], i % 10, &at[digit + 1..]);
            let edit =
                json!({ "kind": "cell", "lens": lens, "ring": "focus", "row": last, "column": "at", "text": typed });
            let body = json!({ "base": version, "process": "film", "lens": lens, "edits": [edit], "what": "a reading", "mark": "bench" });
            let start = Instant::now();
            let told = page.post("/edit", &body);
            times.push(start.elapsed());
            let told: Value = serde_json::from_slice(&told).unwrap();
            version = told["state"]["version"].as_u64().unwrap();
            assert_eq!(told["lens"]["rings"][0]["kind"], "focus", "no artwork came back");
        }
        let name = of["name"].as_str().unwrap();
        row(&format!("a keystroke, {name}, {} readings", readings.len()), "p99 16 ms", &spread(times));
        if let Some((before, after)) = before.zip(page.worked()) {
            let each = (after - before).as_secs_f64() * 1e3 / KEYSTROKES as f64;
            row("  of the processor's time, on the average", "-", &format!("{each:.2} ms"));
        }
        let mut plots = Vec::new();
        for _ in 0..100 {
            let start = Instant::now();
            page.get(&format!("/plot?lens={lens}"));
            plots.push(start.elapsed());
        }
        row(&format!("its plot, {name}"), "-", &spread(plots));
    }
    for process in ["film", "vinyl", "engrave"] {
        let start = Instant::now();
        page.get(&format!("/check?process={process}"));
        row(&format!("a check of the set, {process}"), "-", &format!("{:.0} ms", start.elapsed().as_secs_f64() * 1e3));
    }
    std::thread::sleep(Duration::from_millis(1_500));
    row("memory, idle again after all that", "40 MiB", &memory(&page));
}

/// Everything that the page asks for before a person sees the lens.
fn first_page() -> Duration {
    let start = Instant::now();
    let mut page = Page::open();
    let html = String::from_utf8(page.get("/")).unwrap();
    assert!(html.contains("/assets/main.js"));
    for name in [
        "page.css",
        "main.js",
        "dom.js",
        "server.js",
        "stage.js",
        "lens.js",
        "readings.js",
        "choices.js",
        "making.js",
        "face.ttf",
    ] {
        page.get(&format!("/assets/{name}"));
    }
    for path in ["/fields", "/state", "/lens?lens=0", "/at?lens=0&ring=focus&deg=0"] {
        page.get(path);
    }
    start.elapsed()
}
