//! A set on disk, the program that has it open, and a browser that looks at its page: what every test here begins with.
//!
//! Nothing is timed. A test says what it waits for, and fails with those words when it does not come.

mod browser;
mod program;

pub use browser::{Browser, keys};
pub use program::{Program, SetFolder, axe_core, get, ringwright};

use std::time::Duration;

use serde_json::Value;

/// How long anything may take to come: far longer than it does on a busy machine, so that only what never comes fails.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// How often it is looked for.
pub const LOOK: Duration = Duration::from_millis(40);

/// The sample set, the program and a browser.
pub struct Bench {
    /// The browser, first, so that it is the first to end.
    pub browser: Browser,
    /// The program whose page is looked at.
    pub program: Program,
    /// A copy of the samples that is this test's own.
    pub set: SetFolder,
}

impl Bench {
    /// Copies the samples, serves them and opens the page.
    pub async fn new() -> Self {
        let set = SetFolder::new();
        let program = Program::page(&set, 0);
        let browser = Browser::new().await;
        browser.open(&program.address).await;
        Bench { browser, program, set }
    }

    /// The same, looking at one of the lenses.
    pub async fn at_lens(name: &str) -> Self {
        let bench = Bench::new().await;
        bench.browser.choose_lens(name).await;
        bench
    }

    /// Waits until the set file is as wanted, and returns it.
    pub async fn file_until(&self, what: &str, wanted: impl Fn(&str) -> bool) -> String {
        let mut text = String::new();
        for _ in 0..PATIENCE.as_millis() / LOOK.as_millis() {
            text = self.set.text();
            if wanted(&text) {
                return text;
            }
            tokio::time::sleep(LOOK).await;
        }
        panic!("waited for {what}; the file holds\n{text}");
    }

    /// Ends well: nothing was asked of another origin, and the browser has no error to tell of.
    pub async fn ends_clean(&self) {
        self.ends_with_refusals(&[]).await;
    }

    /// The same, where the program had reason to refuse something with one of these codes: a browser tells of that too.
    pub async fn ends_with_refusals(&self, codes: &[u16]) {
        let script = "return performance.getEntriesByType('resource').map((entry) => entry.name)
            .filter((name) => !name.startsWith(location.origin + '/'))";
        assert_eq!(self.browser.js(script).await, Value::Array(Vec::new()), "asked of another origin");
        let due = |line: &String| codes.iter().any(|code| line.contains(&format!("with a status of {code}")));
        let errors: Vec<String> = self.browser.errors().into_iter().filter(|line| !due(line)).collect();
        assert!(errors.is_empty(), "the browser tells of errors:\n{}", errors.join("\n"));
    }
}

/// Whether two numbers are as close as wanted.
pub fn assert_close(actual: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((actual - expected).abs() <= tolerance, "{what}: {actual}, but {expected} ± {tolerance} is due");
}
