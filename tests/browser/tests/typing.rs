//! What is typed on the page, where it goes, and how it is taken back.

use browser_tests::{Bench, Browser, keys};
use serde_json::{Value, json};

/// The lines of a text that are not in the other one, where everything else has kept its order.
fn lines_more(longer: &str, shorter: &str) -> Vec<String> {
    let mut rest = shorter.lines().peekable();
    let more: Vec<String> = longer.lines().filter(|line| rest.next_if_eq(line).is_none()).map(str::to_string).collect();
    assert!(rest.next().is_none(), "lines are gone or have moved:\n{longer}");
    more
}

/// Selects what stands in a cell, as a double click does, and types over it.
async fn overwrite(browser: &Browser, selector: &str, text: &str) {
    browser.focus(selector).await;
    browser.with_control("a").await;
    browser.type_keys(text).await;
}

/// The flat strips as they are drawn on the page, by what they are called.
async fn strips(browser: &Browser) -> serde_json::Map<String, Value> {
    let script = "return Object.fromEntries([...document.querySelectorAll('#strips svg')].map((svg) => [svg.getAttribute('aria-label'), svg.outerHTML]))";
    browser.js(script).await.as_object().expect("strips").clone()
}

const ALL_STRIPS: &str = "return document.querySelectorAll('#strips .lens-strips').length === 4 && document.querySelectorAll('#strips svg').length >= 12";

#[tokio::test]
async fn a_reading_typed_key_by_key_is_one_more_line_in_the_file_and_changes_the_fit() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    let before = bench.set.text();
    browser
        .until("the fit of nine readings", "return document.getElementById('fit').textContent.includes('9 readings')")
        .await;
    browser.until("the plot", "return document.querySelector('#plot svg')").await;
    let plot = browser.js("return document.querySelector('#plot svg').outerHTML").await;

    browser.focus("#focus-readings tr.fresh [data-column=distance]").await;
    for key in "0.6 m".chars() {
        browser.type_keys(&key.to_string()).await;
    }
    assert_eq!(browser.js("return document.activeElement.value").await, "0.6 m", "typing goes on in the same field");
    browser.type_keys(keys::TAB).await;
    assert_eq!(
        browser.js("return document.activeElement.dataset.column").await,
        "at",
        "the next field is the ring's place"
    );
    for key in "84.2 deg".chars() {
        browser.type_keys(&key.to_string()).await;
    }
    let after = bench.file_until("the reading in the file", |text| text.contains("84.2 deg")).await;
    let more = lines_more(&after, &before);
    assert_eq!(more.len(), 1, "one line and nothing else: {more:?}");
    assert!(more[0].contains("0.6 m") && more[0].trim_start().starts_with('{'), "the new line is a reading: {more:?}");
    assert!(after.contains("{ distance = \"0.45 m\", at = \"118.3 deg\" },\n"), "the lines around it are as they were");

    browser
        .until("the fit of ten readings", "return document.getElementById('fit').textContent.includes('10 readings')")
        .await;
    let words = browser
        .until(
            "how far the reading is off",
            "return document.querySelector('#focus-readings tbody tr:nth-child(10) .off').textContent",
        )
        .await;
    let fit = bench.set.json("fit", &["--lens", "Granite 50"]);
    let residual = &fit["lenses"][0]["focus"]["residuals"][9];
    assert_eq!(residual["distance_mm"], 600.0);
    let (deg, mm) = (residual["error_deg"].as_f64().expect("deg"), residual["error_mm"].as_f64().expect("mm"));
    assert_eq!(words, format!("{deg:+.2}°, {mm:+.2} mm"), "the command line finds the same");
    let changed = format!("return document.querySelector('#plot svg')?.outerHTML !== {plot}");
    browser.until("another plot", &changed).await;
    // half a word is no number yet, and what is asked then is refused
    bench.ends_with_refusals(&[422]).await;
}

#[tokio::test]
async fn a_distance_without_a_unit_is_pointed_at_and_undoing_it_brings_every_byte_back() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    let before = bench.set.text();
    let cell = "[data-place=\"lens.1.focus.readings.1.distance\"]";
    browser.until("the strips", ALL_STRIPS).await;
    let drawn = strips(browser).await;
    let canvas = "return document.querySelector('.picture canvas').toDataURL()";

    overwrite(browser, cell, "9").await;
    let with_fault = bench
        .file_until("the fault in the file", |text| text.contains("distance = \"9\"") || text.contains("distance = 9"))
        .await;
    browser
        .until(
            "the field to be marked",
            &format!("return document.querySelector('{cell}').getAttribute('aria-invalid') === 'true'"),
        )
        .await;
    assert!(browser.find("#faults").await.is_displayed().await.expect("it is there"));
    let named = browser.attribute(cell, "aria-errormessage").await.expect("the field names its message");
    let message = browser.text(&format!("#{named}")).await;
    assert!(message.contains("unit"), "the message is about the unit: {message:?}");
    assert_eq!(browser.js("return document.querySelectorAll('#fault-list li').length").await, 1);
    let refused = browser_tests::ringwright().arg("check").arg(bench.set.path()).output().expect("it runs");
    let said = String::from_utf8_lossy(&refused.stderr).to_string();
    let first =
        said.lines().next().and_then(|line| line.strip_prefix("error: ")).expect("the command line refuses it too");
    assert!(message.starts_with(first), "the page says {message:?}, the command line {first:?}");
    assert_eq!(strips(browser).await, drawn, "the last strips stay");
    let held = browser.js(canvas).await;
    let shown = browser.text("[data-under=focus] .value").await;

    // back by the button, again by the button, back by keys
    browser.press("#undo").await;
    let back = bench.file_until("the file as it was", |text| text == before).await;
    assert_eq!(back.as_bytes(), before.as_bytes());
    browser.until("nothing to be mended", "return document.getElementById('faults').hidden").await;
    assert_eq!(browser.js(&format!("return document.querySelector('{cell}').value")).await, "8 m");
    assert_eq!(
        browser.js(&format!("return document.querySelector('{cell}').hasAttribute('aria-invalid')")).await,
        false
    );
    assert_eq!(browser.js(canvas).await, held, "the lens is drawn as it was all the time");
    assert_eq!(browser.text("[data-under=focus] .value").await, shown);
    browser.press("#redo").await;
    bench.file_until("the fault again", |text| text == with_fault).await;
    browser
        .until(
            "the field to be marked",
            &format!("return document.querySelector('{cell}').getAttribute('aria-invalid') === 'true'"),
        )
        .await;
    browser.focus(cell).await;
    browser.with_control("z").await;
    bench.file_until("the file as it was", |text| text == before).await;
    browser.until("the field as it was", &format!("return document.querySelector('{cell}').value === '8 m'")).await;
    browser.with_control("y").await;
    bench.file_until("the fault again", |text| text == with_fault).await;
    browser.with_control("z").await;
    bench.file_until("the file as it was", |text| text == before).await;
    // a check that was on its way when the set became unreadable is refused
    bench.ends_with_refusals(&[422]).await;
}

#[tokio::test]
async fn letters_typed_without_a_pause_are_one_step_of_the_history() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    let before = bench.set.text();
    let cell = "[data-place=\"lens.1.focus.readings.1.at\"]";
    overwrite(browser, cell, "8.4 deg").await;
    bench.file_until("the reading", |text| text.contains("at = \"8.4 deg\"")).await;
    browser.until("something to undo", "return !document.getElementById('undo').disabled").await;
    browser.press("#undo").await;
    bench.file_until("the file as it was", |text| text == before).await;
    browser.until("nothing more to undo", "return document.getElementById('undo').disabled").await;
}

#[tokio::test]
async fn a_height_of_numerals_changes_every_strip_that_has_some_and_one_line_of_the_file() {
    let bench = Bench::new().await;
    let browser = &bench.browser;
    browser.until("the strips", ALL_STRIPS).await;
    let before = bench.set.text();
    let drawn = strips(browser).await;
    let files = bench.set.drawn("before", "svg");

    let field = "#field-style-numeral_height";
    browser
        .js_with(
            "const more = document.querySelector(arguments[0]).closest('details'); if (more) more.open = true",
            vec![json!(field)],
        )
        .await;
    overwrite(browser, field, "1.9 mm").await;
    let after = bench.file_until("the height in the file", |text| text.contains("\"1.9 mm\"")).await;
    assert_eq!(lines_more(&after, &before), ["numeral_height = \"1.9 mm\""]);

    // which strips have to change, by the command line
    let files_after = bench.set.drawn("after", "svg");
    let mut due = Vec::new();
    for name in drawn.keys() {
        let (lens, rest) = name.split_once(", ").expect("a lens and a piece");
        let piece = rest.split(',').next().expect("a piece");
        let file = format!("{}-{piece}.svg", lens.to_lowercase().replace(' ', "-"));
        let read = |folder: &std::path::Path| std::fs::read(folder.join(&file)).unwrap_or_else(|_| panic!("no {file}"));
        if read(&files) != read(&files_after) {
            due.push(name.clone());
        }
    }
    assert!(due.len() >= 8, "two rings of each of four lenses at least: {due:?}");
    let mut changed = Vec::new();
    for _ in 0..browser_tests::PATIENCE.as_millis() / browser_tests::LOOK.as_millis() {
        let now = strips(browser).await;
        changed =
            drawn.iter().filter(|(name, svg)| now.get(*name) != Some(*svg)).map(|(name, _)| name.clone()).collect();
        if changed == due {
            break;
        }
        tokio::time::sleep(browser_tests::LOOK).await;
    }
    assert_eq!(changed, due, "strips that changed on the page, and strips that changed on the command line");
    // half a word is no number yet, and what is asked then is refused
    bench.ends_with_refusals(&[422]).await;
}
