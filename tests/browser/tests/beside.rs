//! The page is not alone: other programs change the file, other windows the set, and the program ends and comes back.

use browser_tests::{Bench, Browser, Program, get, keys};
use serde_json::json;

const NOTICE: &str = "return document.querySelector('[data-notice=elsewhere]')?.textContent";

/// Types over what stands in a field of the page, wherever it is folded away.
async fn overwrite(browser: &Browser, selector: &str, text: &str) {
    let unfold = "const more = document.querySelector(arguments[0]).closest('details'); if (more) more.open = true";
    browser.js_with(unfold, vec![json!(selector)]).await;
    browser.focus(selector).await;
    browser.with_control("a").await;
    browser.type_keys(text).await;
}

const TICKS: &str = "#field-style-tick_width";

fn ticks(width: &str) -> String {
    format!("return document.querySelector('{TICKS}').value === '{width}'")
}

async fn value(browser: &Browser) -> serde_json::Value {
    browser.js(&format!("return document.querySelector('{TICKS}').value")).await
}

fn titled(title: &str) -> String {
    format!("return document.getElementById('set-name').textContent === '{title}'")
}

#[tokio::test]
async fn of_a_file_changed_on_disk_either_version_can_be_kept() {
    let bench = Bench::new().await;
    let browser = &bench.browser;
    let mine = bench.set.text();
    let theirs = mine.replace("name = \"Quarry\"", "name = \"Gravel\"");
    assert_ne!(mine, theirs);

    bench.set.write(&theirs);
    browser.until("a notice", NOTICE).await;
    let buttons = browser.js("return [...document.querySelectorAll('[data-notice=elsewhere] button')].map((button) => button.textContent)").await;
    assert_eq!(buttons, json!(["Show what is on disk", "Keep what is shown here"]));
    assert_eq!(browser.text("#set-name").await, "Quarry", "nothing is taken without being asked for");
    assert_eq!(bench.set.text(), theirs, "nothing is written without being asked for");
    browser.press_button("Keep what is shown here").await;
    bench.file_until("this version on disk", |text| text == mine).await;
    browser.until("the notice to go", "return !document.querySelector('[data-notice=elsewhere]')").await;
    assert_eq!(browser.text("#set-name").await, "Quarry");
    // the other version stays within reach
    browser.press("#undo").await;
    bench.file_until("the other version", |text| text == theirs).await;
    browser.until("the other name", &titled("Gravel")).await;
    browser.press("#redo").await;
    bench.file_until("this version", |text| text == mine).await;

    bench.set.write(&theirs);
    browser.until("a notice", NOTICE).await;
    browser.press_button("Show what is on disk").await;
    browser.until("the other name", &titled("Gravel")).await;
    assert_eq!(bench.set.text(), theirs);
    browser.press("#undo").await;
    bench.file_until("this version", |text| text == mine).await;
    browser.until("this name", &titled("Quarry")).await;
    bench.ends_clean().await;
}

#[tokio::test]
async fn what_is_typed_in_one_window_shows_in_the_other_and_a_window_behind_overwrites_nothing() {
    let bench = Bench::new().await;
    let first = &bench.browser;
    let second = Browser::new().await;
    second.open(&bench.program.address).await;

    overwrite(first, TICKS, "0.21 mm").await;
    bench.file_until("the width in the file", |text| text.contains("tick_width = \"0.21 mm\"")).await;
    second.until("the width in the other window", &ticks("0.21 mm")).await;

    // the second window hears of nothing more, as over a connection that stalls; the first goes on
    second.js("const own = window.fetch; window.fetch = (path, ...more) => /^.(news|state)/.test(path) ? new Promise(() => {}) : own(path, ...more)").await;
    overwrite(first, TICKS, "0.22 mm").await;
    let theirs = bench.file_until("the next width in the file", |text| text.contains("tick_width = \"0.22 mm\"")).await;
    assert_eq!(value(&second).await, "0.21 mm", "it has heard of nothing");
    overwrite(&second, "#field-style-numeral_height", "2").await;
    let lost = second.until("to be told", "return document.querySelector('[data-notice=lost]')?.textContent").await;
    assert!(lost.as_str().expect("words").contains("changed in another window"), "{lost}");
    assert_eq!(value(&second).await, "0.22 mm", "it shows the newer version now");
    assert_eq!(second.js("return document.getElementById('field-style-numeral_height').value").await, "");
    assert_eq!(bench.set.text(), theirs, "nothing was overwritten");

    // and from there on it can change the set again; a field that somebody is typing in is left alone, so the first window leaves it
    first.focus("[data-ring=focus]").await;
    overwrite(&second, TICKS, "0.23 mm").await;
    bench.file_until("its width in the file", |text| text.contains("tick_width = \"0.23 mm\"")).await;
    first.until("its width in the first window", &ticks("0.23 mm")).await;
    // half a word is no width yet, and what is asked then is refused
    bench.ends_with_refusals(&[422]).await;
}

#[tokio::test]
async fn a_page_whose_program_ends_says_so_and_goes_on_when_it_is_started_again() {
    let mut bench = Bench::new().await;
    let port = bench.program.port();
    overwrite(&bench.browser, TICKS, "0.21 mm").await;
    bench.file_until("the width in the file", |text| text.contains("tick_width = \"0.21 mm\"")).await;

    bench.program.end();
    let gone =
        bench.browser.until("to be told", "return document.querySelector('[data-notice=gone]')?.textContent").await;
    let words = gone.as_str().expect("words");
    assert!(words.contains("ringwright page") && words.contains(&format!("--port {port}")), "the way back: {words}");

    bench.program = Program::page(&bench.set, port);
    let back =
        "return document.documentElement.dataset.ready === 'true' && !document.querySelector('[data-notice=gone]')";
    bench.browser.until("the page to go on", back).await;
    assert_eq!(value(&bench.browser).await, "0.21 mm");
    overwrite(&bench.browser, TICKS, "0.22 mm").await;
    bench.file_until("the next width in the file", |text| text.contains("tick_width = \"0.22 mm\"")).await;
}

/// What is typed while nobody answers is sent when somebody does.
#[tokio::test]
async fn what_was_typed_while_the_program_was_away_is_not_lost() {
    let mut bench = Bench::new().await;
    let port = bench.program.port();
    bench.program.end();
    bench.browser.until("to be told", "return document.querySelector('[data-notice=gone]')").await;
    overwrite(&bench.browser, TICKS, "0.22 mm").await;
    bench.program = Program::page(&bench.set, port);
    bench.file_until("the width in the file", |text| text.contains("tick_width = \"0.22 mm\"")).await;
    bench.browser.until("the notice to go", "return !document.querySelector('[data-notice=gone]')").await;
}

#[tokio::test]
async fn every_file_that_is_handed_out_is_the_command_lines_own_byte_for_byte() {
    let bench = Bench::new().await;
    let browser = &bench.browser;
    browser.until("the files", "return document.querySelectorAll('#file-list a').length").await;
    let links = browser.js("return [...document.querySelectorAll('#file-list a')].map((link) => [link.download, link.getAttribute('href')])").await;
    let links: Vec<(String, String)> = serde_json::from_value(links).expect("names and addresses");
    let drawn = bench.set.drawn("drawn", "svg,png,pdf,dxf");
    let mut names: Vec<String> = std::fs::read_dir(&drawn)
        .expect("it was drawn")
        .map(|entry| entry.expect("it can be listed").file_name().to_string_lossy().to_string())
        .collect();
    names.sort();
    let mut offered: Vec<String> = links.iter().map(|(name, _)| name.clone()).collect();
    offered.sort();
    assert_eq!(offered, names, "the page offers what the command writes");
    let samples = [
        "granite-50-focus.svg",
        "flint-100-focus.dxf",
        "granite-50-disc.png",
        "quarry-sheets.pdf",
        "quarry-application.html",
    ];
    for sample in samples {
        let (name, href) =
            links.iter().find(|(name, _)| name == sample).unwrap_or_else(|| panic!("no {sample} in {offered:?}"));
        let (status, bytes) = get(&bench.program.address, href);
        assert_eq!(status, 200, "{href}");
        assert!(bytes == std::fs::read(drawn.join(name)).expect("it was drawn"), "{name} differs");
    }
    // followed in the browser a link saves the file under its name
    let downloads = bench.set.beside("downloads");
    std::fs::create_dir(&downloads).expect("a folder can be made");
    browser.devtools("Browser.setDownloadBehavior", &json!({ "behavior": "allow", "downloadPath": downloads }));
    browser.focus("a[download='granite-50-focus.svg']").await;
    browser.type_keys(keys::ENTER).await;
    let saved = downloads.join("granite-50-focus.svg");
    for _ in 0..browser_tests::PATIENCE.as_millis() / browser_tests::LOOK.as_millis() {
        if saved.is_file() {
            break;
        }
        tokio::time::sleep(browser_tests::LOOK).await;
    }
    assert!(
        std::fs::read(&saved).ok() == std::fs::read(drawn.join("granite-50-focus.svg")).ok(),
        "what is saved is what is drawn"
    );
    bench.ends_clean().await;
}
