//! A browser of its own for each test, with no memory of the last one.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

use fantoccini::elements::Element;
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};

use crate::program::{fresh, spoken, workspace};
use crate::{LOOK, PATIENCE};

/// Keys as WebDriver writes them.
pub mod keys {
    #![allow(missing_docs, reason = "a key's name says it all")]
    pub const ENTER: &str = "\u{E007}";
    pub const TAB: &str = "\u{E004}";
    pub const CONTROL: &str = "\u{E009}";
    pub const SHIFT: &str = "\u{E008}";
    pub const RELEASE: &str = "\u{E000}";
    pub const HOME: &str = "\u{E011}";
    pub const END: &str = "\u{E010}";
    pub const PAGE_UP: &str = "\u{E00E}";
    pub const PAGE_DOWN: &str = "\u{E00F}";
    pub const LEFT: &str = "\u{E012}";
    pub const RIGHT: &str = "\u{E014}";
}

/// Chromium and the driver that moves it.
pub struct Browser {
    driver: Driver,
    session: String,
    /// For what has no word of its own here.
    pub client: Client,
}

/// The driver's process; it takes its browser with it when it ends, also when a test fails.
struct Driver {
    child: Child,
    port: u16,
    profile: PathBuf,
}

impl Drop for Driver {
    fn drop(&mut self) {
        // asked to, it closes its browsers first; it cannot be helped if it does not answer
        let _ = spoken(self.port, "GET", "/shutdown", "");
        let _ = self.child.kill();
        let _ = self.child.wait();
        let _ = std::fs::remove_dir_all(&self.profile);
    }
}

impl Driver {
    fn start() -> Self {
        let mut child = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts; Debian has it as chromium-driver");
        let out = child.stdout.take().expect("it was asked for");
        let port = BufReader::new(out)
            .lines()
            .map_while(Result::ok)
            .find_map(|line| line.split("successfully on port ").nth(1)?.trim_end_matches('.').parse().ok())
            .expect("chromedriver says on which port it listens");
        Driver { child, port, profile: fresh("profile") }
    }
}

impl Browser {
    /// Starts one.
    pub async fn new() -> Self {
        let driver = Driver::start();
        let flags = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
            "--disable-dev-shm-usage",
            "--force-device-scale-factor=1",
            &format!("--user-data-dir={}", driver.profile.display()),
        ];
        let wanted = json!({
            "browserName": "chrome",
            "goog:chromeOptions": { "args": flags },
            "goog:loggingPrefs": { "browser": "ALL" },
        });
        let Value::Object(wanted) = wanted else { unreachable!("it is an object") };
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted)
            .connect(&format!("http://127.0.0.1:{}", driver.port))
            .await
            .expect("chromium starts");
        let session = client.session_id().await.expect("there is a session").expect("there is a session");
        let browser = Browser { driver, session, client };
        browser.size(1440, 900);
        browser
    }

    /// Opens a page and waits until it is ready.
    pub async fn open(&self, address: &str) {
        self.client.goto(address).await.expect("the page opens");
        self.until("the page to be ready", "return document.documentElement.dataset.ready === 'true'").await;
    }

    /// The size of what is seen, in CSS pixels.
    pub fn size(&self, width: u32, height: u32) {
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.devtools("Emulation.setDeviceMetricsOverride", &metrics);
    }

    /// What the system says it likes: dark or light, and no motion.
    pub fn dark(&self, dark: bool) {
        let scheme = json!({ "name": "prefers-color-scheme", "value": if dark { "dark" } else { "light" } });
        let still = json!({ "name": "prefers-reduced-motion", "value": "reduce" });
        self.devtools("Emulation.setEmulatedMedia", &json!({ "features": [scheme, still] }));
    }

    /// A command of the browser's own protocol.
    pub fn devtools(&self, command: &str, parameters: &Value) -> Value {
        self.driver_says("goog/cdp/execute", &json!({ "cmd": command, "params": parameters }))
    }

    fn driver_says(&self, path: &str, body: &Value) -> Value {
        let path = format!("/session/{}/{path}", self.session);
        let (status, answer) =
            spoken(self.driver.port, "POST", &path, &body.to_string()).expect("chromedriver answers");
        let answer: Value = serde_json::from_slice(&answer).expect("JSON comes back");
        assert_eq!(status, 200, "{path}: {answer}");
        answer["value"].clone()
    }

    /// Errors in the browser's console since the last time.
    pub fn errors(&self) -> Vec<String> {
        let log = self.driver_says("se/log", &json!({ "type": "browser" }));
        let lines = log.as_array().expect("a list of lines");
        lines.iter().filter(|line| line["level"] == "SEVERE").map(|line| line["message"].to_string()).collect()
    }

    /// Runs a script in the page.
    pub async fn js(&self, script: &str) -> Value {
        self.js_with(script, Vec::new()).await
    }

    /// Runs a script in the page, with `arguments`.
    pub async fn js_with(&self, script: &str, arguments: Vec<Value>) -> Value {
        self.client.execute(script, arguments).await.unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    /// Waits until a script returns something that is not false, null, empty or zero, and returns that.
    pub async fn until(&self, what: &str, script: &str) -> Value {
        let mut last = Value::Null;
        for _ in 0..PATIENCE.as_millis() / LOOK.as_millis() {
            // while a page is loaded anew there is nothing to ask
            if let Ok(value) = self.client.execute(script, Vec::new()).await {
                if !matches!(&value, Value::Null | Value::Bool(false)) && value != json!("") && value != json!(0) {
                    return value;
                }
                last = value;
            }
            tokio::time::sleep(LOOK).await;
        }
        let page = self.js("return document.body.innerText.slice(0, 1500)").await;
        panic!("waited for {what}; last it was {last}; the page reads\n{}", page.as_str().unwrap_or_default());
    }

    /// The element that a selector names.
    pub async fn find(&self, selector: &str) -> Element {
        self.client.find(Locator::Css(selector)).await.unwrap_or_else(|error| panic!("{selector}: {error}"))
    }

    /// What stands in an element.
    pub async fn text(&self, selector: &str) -> String {
        let script = "return document.querySelector(arguments[0]).textContent";
        self.js_with(script, vec![json!(selector)]).await.as_str().unwrap_or_default().to_string()
    }

    /// An attribute of an element.
    pub async fn attribute(&self, selector: &str, name: &str) -> Option<String> {
        let script = "return document.querySelector(arguments[0]).getAttribute(arguments[1])";
        self.js_with(script, vec![json!(selector), json!(name)]).await.as_str().map(str::to_string)
    }

    /// Presses an element, as a finger does.
    pub async fn press(&self, selector: &str) {
        let element = self.find(selector).await;
        element.click().await.unwrap_or_else(|error| panic!("{selector}: {error}"));
    }

    /// Presses the button of those words.
    pub async fn press_button(&self, words: &str) {
        let path = format!("//button[normalize-space()='{words}']");
        let button = self.client.find(Locator::XPath(&path)).await.unwrap_or_else(|error| panic!("{words}: {error}"));
        button.click().await.unwrap_or_else(|error| panic!("{words}: {error}"));
    }

    /// Brings the keyboard to an element.
    pub async fn focus(&self, selector: &str) {
        self.js_with("document.querySelector(arguments[0]).focus()", vec![json!(selector)]).await;
    }

    /// Presses keys where the keyboard is.
    pub async fn type_keys(&self, text: &str) {
        let active = self.client.active_element().await.expect("something has the keyboard");
        active.send_keys(text).await.expect("keys can be pressed");
    }

    /// A key together with the control key.
    pub async fn with_control(&self, key: &str) {
        self.type_keys(&format!("{}{key}{}", keys::CONTROL, keys::RELEASE)).await;
    }

    /// Looks at another lens.
    pub async fn choose_lens(&self, name: &str) {
        let path = format!("//fieldset[@id='lenses']//label[normalize-space()='{name}']/input");
        let input = self.client.find(Locator::XPath(&path)).await.unwrap_or_else(|error| panic!("{name}: {error}"));
        input.click().await.expect("a lens can be chosen");
        let shown = format!(
            "return document.querySelector('[data-ring=focus]')?.getAttribute('aria-label') === 'Focus ring of {name}' && Boolean(document.querySelector('[data-under=focus] .value').textContent)"
        );
        self.until(&format!("{name} to be shown"), &shown).await;
    }

    /// A picture of what is seen, for people, in target/browser.
    pub async fn picture(&self, name: &str) -> PathBuf {
        let folder = workspace().join("target/browser");
        std::fs::create_dir_all(&folder).expect("target can be written");
        let png = self.client.screenshot().await.expect("a picture can be taken");
        let path = folder.join(name);
        std::fs::write(&path, png).expect("target can be written");
        path
    }
}
