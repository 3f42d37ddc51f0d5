//! The lens at its true size and in dim light, two lenses beside each other, places that cannot be made, readings from
//! elsewhere.

use browser_tests::{Bench, assert_close, keys};
use serde_json::{Value, json};

/// Bank cards are this wide: ISO/IEC 7810:2019, ID-1.
const CARD_MM: f64 = 85.60;

/// Sets a slider or a box as a person does, and lets the page know.
async fn set(bench: &Bench, selector: &str, property: &str, value: Value) {
    let script = "const input = document.querySelector(arguments[0]); input[arguments[1]] = arguments[2]; input.dispatchEvent(new Event('input', { bubbles: true }));";
    bench.browser.js_with(script, vec![json!(selector), json!(property), value]).await;
}

async fn number(bench: &Bench, script: &str) -> f64 {
    bench.browser.js(script).await.as_f64().expect("a number")
}

/// Goes to a button by its words and presses it by keyboard: the page scrolls to it smoothly, and a pointer would miss it on
/// the way.
async fn enter(bench: &Bench, words: &str) {
    let script = "[...document.querySelectorAll('button')].find((one) => one.textContent === arguments[0]).focus();";
    bench.browser.js_with(script, vec![json!(words)]).await;
    bench.browser.type_keys(keys::ENTER).await;
}

#[tokio::test]
async fn at_true_size_the_ring_is_as_thick_as_the_card_says_and_from_afar_smaller_by_the_distance() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    browser.size(1440, 1400);
    // seen from the side, the box of a ring is as high as the ring is thick
    browser.press("#calibrate summary").await;
    // a screen on which a card is 300 px wide
    set(&bench, "#card-width", "value", json!("300")).await;
    let card = number(&bench, "return document.getElementById('card').getBoundingClientRect().width").await;
    assert_close(card, 300.0, 0.5, "the drawn card");
    browser.press("#true-size").await;
    let px_per_mm = 300.0 / CARD_MM;
    // the ring of the sample is 84 mm across
    browser
        .until(
            "the true size",
            &format!(
                "return Math.abs(document.querySelector('[data-ring=focus]').getBoundingClientRect().height - {}) < 1",
                84.0 * px_per_mm
            ),
        )
        .await;

    browser.press("#eye").await;
    set(&bench, "#reach", "value", json!("1")).await;
    // seen from twice as far as the screen, it is half as large
    browser
        .until(
            "half the size",
            &format!(
                "return Math.abs(document.querySelector('[data-ring=focus]').getBoundingClientRect().height - {}) < 1",
                42.0 * px_per_mm
            ),
        )
        .await;
    let words = browser.text("#eye-words").await;
    // the numerals of the sample are 2.65 mm high, and an eye of acuity 0.4 needs 12.5 arc minutes: 0.73 m
    assert!(words.starts_with("Numerals 2.65 mm high can be read to 0.73 m in dim light"), "{words}");
    let dark = "const canvas = document.querySelector('.stage canvas'); const pixel = canvas.getContext('2d').getImageData(2, 2, 1, 1).data; return pixel[0] + pixel[1] + pixel[2]";
    assert!(number(&bench, dark).await < 90.0, "a set at night is dark");
    bench.ends_clean().await;
}

#[tokio::test]
async fn two_lenses_stand_at_the_same_distance_and_one_in_both_units() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    let choose = "const select = document.getElementById('beside'); select.value = [...select.options].find((option) => option.text === arguments[0]).value; select.dispatchEvent(new Event('change'));";
    let values = "return [...document.querySelectorAll('.stage:not([hidden]) [data-under=focus] .value')].map((value) => value.textContent)";
    browser.js_with(choose, vec![json!("Granite 50 in feet")]).await;
    browser
        .until(
            "the same lens in feet",
            "return document.querySelectorAll('.stage:not([hidden]) [data-under=focus]').length === 2",
        )
        .await;
    browser.focus(".stage:first-child [data-ring=focus]").await;
    browser.type_keys(keys::HOME).await;
    browser.until("both at infinity", &format!("const both = (() => {{ {values} }})(); return both.length === 2 && both.every((value) => value === 'infinity')")).await;

    browser.js_with(choose, vec![json!("Marble 85")]).await;
    browser.until("the other lens", "return [...document.querySelectorAll('.stage:not([hidden]) h3')].some((name) => name.textContent === 'Marble 85')").await;
    // mark by mark to that of 1.5 m: the ring stands there at once, the words come a moment later
    let marks = bench.set.json("marks", &["--lens", "Granite 50"]);
    let marks = marks["lenses"][0]["focus"]["bands"][0]["marks"].as_array().expect("marks").clone();
    let at =
        marks.iter().find(|mark| mark["label"] == "1.5").expect("a mark of 1.5 m")["angle_deg"].as_f64().expect("deg");
    for _ in 0..12 {
        let now = number(&bench, "return Number(document.querySelector('.stage:first-child [data-ring=focus]').getAttribute('aria-valuenow'))").await;
        if now > at - 0.01 {
            break;
        }
        browser.type_keys(keys::PAGE_UP).await;
    }
    browser.until("both at 1.5 m", &format!("const both = (() => {{ {values} }})(); return both.length === 2 && both.every((value) => /^1[.]50* m$/.test(value))")).await;
    bench.ends_clean().await;
}

#[tokio::test]
async fn a_place_that_cannot_be_made_is_pressed_and_seen_and_the_suggestion_makes_everything_pass() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    // a height that a knife cannot make; without it the set would have another one for vinyl
    let before = bench.set.text().replacen("[style]\n", "[style]\nnumeral_height = \"2.6 mm\"\n", 1);
    bench.set.write(&before);
    browser.until("a notice", "return document.querySelector('[data-notice=elsewhere]')").await;
    enter(&bench, "Show what is on disk").await;
    browser
        .until("the height", "return document.querySelector('#field-style-numeral_height').value === '2.6 mm'")
        .await;
    browser.press("input[name=process][value=vinyl]").await;
    browser
        .until(
            "places too fine",
            "return document.querySelectorAll('#strips .lens-strips:nth-child(2) .spot').length > 5",
        )
        .await;
    // a numeral in metres, of the first of the two copies of the scale, amid the throw
    let place = "const spots = [...document.querySelectorAll('#strips .lens-strips:nth-child(2) figure:first-of-type .spot')];
        const amid = (spot) => { const metres = /^([0-9.]+) m:/.exec(spot.title); return metres && metres[1] >= 0.5 && metres[1] <= 2 && parseFloat(spot.style.left) < 50; };
        const spot = spots.find(amid); spot.click(); return spot.title";
    let words = browser.js(place).await;
    let words = words.as_str().expect("words").split("; and ").next().expect("words").to_string();
    let shown = format!("return document.querySelector('[data-notice=spot]')?.textContent.includes({words:?})");
    browser.until("the words", &shown).await;
    // the lens has turned to it: what stands under the index is what the numeral says, to the width of a digit
    let metres: f64 = words.split(' ').next().expect("a number").parse().expect("a number");
    let near = format!(
        "return Math.abs(parseFloat(document.querySelector('[data-under=focus] .value').textContent) / {metres} - 1) < 0.06"
    );
    browser.until("the numeral at the index", &near).await;

    enter(&bench, "Find the smallest change that can be made").await;
    browser.until("a suggestion", "return document.querySelector('#suggestion code')").await;
    enter(&bench, "Put it into the set").await;
    browser.until("that all passes", "return document.querySelector('#found .good')").await;
    assert_ne!(bench.set.text(), before);
    browser.with_control("z").await;
    let after = bench.file_until("the file as it was", |text| text == before).await;
    assert_eq!(after, before);
    bench.ends_clean().await;
}

#[tokio::test]
async fn a_spreadsheet_is_pasted_and_the_proposed_reading_is_added() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    let before = bench.set.text();
    browser.until("a proposal", "return document.querySelector('#next button')").await;
    let proposed = browser.text("#next button").await;
    let distance = proposed.strip_prefix("Add a reading at ").expect("a distance").to_string();
    browser.focus("#next button").await;
    browser.type_keys(keys::ENTER).await;
    let filled = format!(
        "return document.querySelector('#focus-readings tbody tr:nth-child(10) [data-column=distance]').value === {distance:?}"
    );
    browser.until("the proposed distance in the table", &filled).await;
    assert_eq!(
        browser.js("return document.activeElement.dataset.column").await,
        "at",
        "the ring's place is typed next"
    );
    browser.with_control("z").await;
    bench.file_until("the file as it was", |text| text == before).await;

    let paste = "const field = document.querySelector('#focus-readings tr.fresh [data-column=distance]'); field.focus(); const data = new DataTransfer(); data.setData('text/plain', arguments[0]); field.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }));";
    browser.js_with(paste, vec![json!("distance\tring\r\n2\t25.1\r\n0.6\t84.5 deg\r\n")]).await;
    let after = bench.file_until("both readings in the file", |text| text.contains("84.5 deg")).await;
    assert!(
        after
            .contains("{ distance = \"2 m\", at = \"25.1 deg\" },\n    { distance = \"0.6 m\", at = \"84.5 deg\" },\n"),
        "{after}"
    );
    browser
        .until("a fit of eleven readings", "return document.getElementById('fit').textContent.includes('11 readings')")
        .await;
    // the row that was half filled cannot be made
    bench.ends_with_refusals(&[422]).await;
}
