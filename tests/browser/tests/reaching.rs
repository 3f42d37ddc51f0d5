//! Everybody can use the page: by keyboard alone, in light and dark, on a desk and on a tablet, and with a screen reader as far as
//! a machine can tell (axe-core's rules for WCAG 2.2 A and AA).

use std::collections::BTreeSet;
use std::path::PathBuf;

use browser_tests::{Bench, axe_core, keys};
use serde_json::{Value, json};

/// What is looked at: a name, the size of the window, and whether it is dark.
const LOOKS: [(&str, (u32, u32), bool); 4] = [
    ("desk-light", (1440, 900), false),
    ("desk-dark", (1440, 900), true),
    ("tablet-light", (820, 1180), false),
    ("tablet-dark", (820, 1180), true),
];

/// Everything has come: strips, findings, the sheets and the files.
const ALL: &str = "return document.querySelectorAll('#file-list a').length > 0 && document.querySelector('#sheet-view svg') !== null && document.querySelectorAll('#strips .lens-strips').length === 4 && document.querySelector('#plot svg') !== null";

/// With the keyboard on something: what it is, and whether its focus can be seen; none on the page itself.
const HERE: &str = "
    const active = document.activeElement;
    if (!active || active === document.body || active === document.documentElement) return null;
    window.numbered ??= new Map();
    if (!window.numbered.has(active)) window.numbered.set(active, window.numbered.size);
    // a choice of few is outlined on its words
    const shown = active.matches('.stops input') ? active.closest('label') : active;
    const style = getComputedStyle(shown);
    const box = shown.getBoundingClientRect();
    const outlined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    return { number: window.numbered.get(active), name: active.outerHTML.slice(0, 120), outlined,
      seen: box.width > 0 && box.height > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth };";

/// All that can be used and seen; of a choice of few the one that is chosen stands for all.
const USABLE: &str = "
    return [...document.querySelectorAll('a[href], button:not(:disabled), input:not(:disabled), select, summary, [tabindex=\"0\"]')]
      .filter((one) => one.checkVisibility({ visibilityProperty: true }) && (one.type !== 'radio' || one.checked));";

#[tokio::test]
async fn the_tab_key_reaches_all_that_can_be_used_with_a_focus_that_can_be_seen_and_leaves_it_again() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    browser.until("everything", ALL).await;
    // without motion what has the keyboard is in sight at once
    browser.dark(false);
    // opened anew, nothing has the keyboard yet; the lens that was looked at is kept
    browser.open(&bench.program.address).await;
    browser.until("everything", ALL).await;
    let usable = browser.js(&format!("window.numbered = new Map(); const all = (() => {{ {USABLE} }})(); all.forEach((one, i) => window.numbered.set(one, i)); return all.map((one) => one.outerHTML.slice(0, 120))")).await;
    let usable: Vec<String> = serde_json::from_value(usable).expect("names");
    assert!(usable.len() > 100, "a page with a table, fields and files has much to use: {}", usable.len());

    let mut reached = BTreeSet::new();
    // enough for all of it, and for scrolling boxes that a browser makes reachable by itself
    for _ in 0..usable.len() + 40 {
        browser.type_keys(keys::TAB).await;
        let here = browser.js(HERE).await;
        if here.is_null() {
            break;
        }
        let number = usize::try_from(here["number"].as_u64().expect("a number")).expect("few");
        if !reached.insert(number) {
            assert!(reached.len() >= usable.len(), "the keyboard is caught at {}", here["name"]);
            break;
        }
        assert_eq!(here["outlined"], true, "no outline: {}", here["name"]);
        assert_eq!(here["seen"], true, "out of sight: {}", here["name"]);
    }
    let missed: Vec<&String> =
        usable.iter().enumerate().filter(|(i, _)| !reached.contains(i)).map(|(_, name)| name).collect();
    assert!(missed.is_empty(), "never reached: {missed:#?}");
    bench.ends_clean().await;
}

#[tokio::test]
async fn sheets_are_turned_to_the_last_one_and_the_button_that_leads_nowhere_says_so() {
    let bench = Bench::new().await;
    let browser = &bench.browser;
    browser.until("everything", ALL).await;
    let ends = "return ['.before', '.after'].map((button) => document.querySelector('#sheet-view ' + button).getAttribute('aria-disabled'))";
    let words = "#sheet-view [role=status]";
    assert_eq!(browser.text(words).await, "Sheet 1 of 2, A4");
    assert_eq!(browser.js(ends).await, json!(["true", "false"]));
    browser.focus("#sheet-view .after").await;
    browser.type_keys(keys::ENTER).await;
    assert_eq!(browser.text(words).await, "Sheet 2 of 2, A4");
    assert_eq!(browser.js(ends).await, json!(["false", "true"]));
    browser.type_keys(keys::ENTER).await;
    assert_eq!(browser.text(words).await, "Sheet 2 of 2, A4", "there is no third");
    bench.ends_clean().await;
}

/// Runs axe-core's rules and returns what it objects to, in words.
async fn objections(bench: &Bench) -> Vec<String> {
    let script = "const done = arguments[arguments.length - 1];
        axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'], resultTypes: ['violations'] })
          .then((told) => done({ violations: told.violations, passes: told.passes.length }), (error) => done(String(error)));";
    let told = bench.browser.client.execute_async(script, Vec::new()).await.expect("axe-core answers");
    assert!(told["passes"].as_u64().unwrap_or(0) > 20, "axe-core has looked at next to nothing: {told}");
    let mut found = Vec::new();
    for violation in told["violations"].as_array().expect("a list") {
        for node in violation["nodes"].as_array().expect("a list") {
            let text = |value: &Value| value.as_str().unwrap_or_default().to_string();
            found.push(format!(
                "{}: {}\n    {}",
                text(&violation["id"]),
                node["target"],
                text(&node["failureSummary"])
            ));
        }
    }
    found
}

#[tokio::test]
async fn axe_core_objects_to_nothing_in_light_and_dark_on_a_desk_and_a_tablet() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    browser.until("everything", ALL).await;
    let rules = std::fs::read_to_string(axe_core()).expect("it can be read");
    browser.js(&rules).await;
    let mut found = Vec::new();
    for (look, (width, height), dark) in LOOKS {
        browser.size(width, height);
        browser.dark(dark);
        let all =
            format!("return matchMedia('(prefers-color-scheme: dark)').matches === {dark} && innerWidth === {width}");
        browser.until("the look", &all).await;
        found.extend(objections(&bench).await.into_iter().map(|line| format!("{look}: {line}")));
    }
    // folded out, with a second lens, a notice and something to be mended
    browser.js("document.querySelectorAll('details').forEach((details) => { details.open = true })").await;
    browser.js("const select = document.getElementById('beside'); select.selectedIndex = 3; select.dispatchEvent(new Event('change'))").await;
    browser.until("a second lens", "return document.querySelectorAll('[data-ring=focus]').length === 2").await;
    browser.focus("[data-place=\"lens.1.focus.readings.1.distance\"]").await;
    browser.with_control("a").await;
    browser.type_keys("9").await;
    browser.until("the field to be marked", "return document.querySelector('[aria-invalid=true]')").await;
    bench.set.write(&bench.set.text().replace("\"Quarry\"", "\"Gravel\""));
    browser.until("a notice", "return document.querySelector('[data-notice=elsewhere]')").await;
    for (look, (width, height), dark) in LOOKS {
        browser.size(width, height);
        browser.dark(dark);
        found.extend(objections(&bench).await.into_iter().map(|line| format!("{look}, unfolded: {line}")));
    }
    assert!(found.is_empty(), "axe-core objects:\n{}", found.join("\n"));
}

#[tokio::test]
async fn nothing_is_wider_than_the_window_on_a_desk_a_tablet_or_a_phone() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    browser.until("everything", ALL).await;
    for (width, height) in [(1440, 900), (1130, 800), (1024, 768), (820, 1180), (390, 844)] {
        browser.size(width, height);
        browser.until("the size", &format!("return innerWidth === {width}")).await;
        let over =
            browser.js("return document.documentElement.scrollWidth - document.documentElement.clientWidth").await;
        let wide = "return [...document.querySelectorAll('main *')].filter((one) => one.getBoundingClientRect().right > innerWidth && !one.closest('.strip, #card')).map((one) => one.outerHTML.slice(0, 90)).slice(0, 6)";
        assert_eq!(over, 0, "the page scrolls sideways at {width} px: {}", browser.js(wide).await);
    }
    for (look, (width, height), dark) in LOOKS {
        browser.size(width, height);
        browser.dark(dark);
        browser.until("the size", &format!("return innerWidth === {width}")).await;
        for (place, name) in [("", "top"), ("this-lens", "fields"), ("flat", "flat"), ("sheets", "sheets")] {
            let to = "scrollTo({ top: arguments[0] ? document.getElementById(arguments[0]).getBoundingClientRect().top + scrollY : 0, behavior: 'instant' })";
            browser.js_with(to, vec![json!(place)]).await;
            let path: PathBuf = browser.picture(&format!("{look}-{name}.png")).await;
            assert!(path.is_file());
        }
    }
}
