//! The lens on the page is opened, and turned by keyboard and by finger.

use std::time::Duration;

use browser_tests::{Bench, assert_close, keys};
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use serde_json::{Value, json};

const FOCUS: &str = "[data-ring=focus]";

/// Where the focus ring stands, and what is said to stand under its index: once the two belong together.
async fn reading(bench: &Bench) -> (f64, String) {
    // the words come after the ring; they have come when they stay
    let settled = bench
        .browser
        .client
        .execute_async(
            "const done = arguments[arguments.length - 1]; let last = ''; let same = 0;
             const look = setInterval(() => {
               const slider = document.querySelector('[data-ring=focus]');
               const now = slider.getAttribute('aria-valuenow') + '|' + document.querySelector('[data-under=focus] .value').textContent + '|' + slider.getAttribute('aria-valuetext');
               same = now === last ? same + 1 : 0; last = now;
               if (same === 6) { clearInterval(look); done([Number(slider.getAttribute('aria-valuenow')), document.querySelector('[data-under=focus] .value').textContent, slider.getAttribute('aria-valuetext')]); }
             }, 40);",
            Vec::new(),
        )
        .await
        .expect("the page answers");
    let value = settled[1].as_str().expect("words").to_string();
    let said = settled[2].as_str().expect("words");
    assert!(said.starts_with(&format!("{value}; ")), "a screen reader hears {said:?}, the eye sees {value:?}");
    (settled[0].as_f64().expect("a number"), value)
}

/// "2.51 m" in mm, and half its last digit.
fn metres(value: &str) -> (f64, f64) {
    let digits = value.strip_suffix(" m").unwrap_or_else(|| panic!("{value:?} is no number of metres"));
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let half = 500.0 / 10f64.powi(i32::try_from(decimals).expect("few digits"));
    (1000.0 * digits.parse::<f64>().unwrap_or_else(|_| panic!("{value:?} is no number of metres")), half)
}

/// The numbered marks in metres: angle, and distance in mm, infinity as none.
fn numbered(bench: &Bench, lens: &str) -> Vec<(f64, Option<f64>)> {
    let marks = bench.set.json("marks", &["--lens", lens]);
    let band = marks["lenses"][0]["focus"]["bands"][0]["marks"].as_array().expect("marks").clone();
    band.iter()
        .filter(|mark| mark["numbered"] == true)
        .map(|mark| (mark["angle_deg"].as_f64().expect("an angle"), mark["distance_mm"].as_f64()))
        .collect()
}

#[tokio::test]
async fn the_sample_set_opens_with_four_lenses_and_nothing_to_be_mended() {
    let bench = Bench::new().await;
    let browser = &bench.browser;
    let lenses = browser
        .js("return [...document.querySelectorAll('#lenses label')].map((label) => label.textContent.trim())")
        .await;
    assert_eq!(lenses, json!(["Slate 28", "Granite 50", "Marble 85", "Flint 100"]));
    assert_eq!(browser.client.title().await.expect("a title"), "Quarry – ringwright");
    assert_eq!(browser.text("#set-name").await, "Quarry");
    assert_eq!(browser.text("#saved").await, "SET.toml: saved");
    assert!(!browser.find("#faults").await.is_displayed().await.expect("it is there"));
    assert_eq!(browser.js("return document.querySelectorAll('#fault-list li').length").await, 0);
    assert_eq!(
        bench.set.text(),
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../samples/SET.toml")).expect("it is there")
    );
    browser
        .until("strips of four lenses", "return document.querySelectorAll('#strips .lens-strips svg').length >= 12")
        .await;
    browser.until("the files", "return document.querySelectorAll('#file-list a').length").await;
    bench.ends_clean().await;
}

#[tokio::test]
async fn the_keyboard_turns_the_ring_from_mark_to_mark_and_every_mark_says_its_own_distance() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    browser.focus(FOCUS).await;
    browser.type_keys(keys::HOME).await;
    let marks = numbered(&bench, "Granite 50");
    let (at, value) = reading(&bench).await;
    assert_close(at, marks[0].0, 0.006, "Home");
    assert_eq!((value.as_str(), marks[0].1), ("infinity", None));

    // both scales' marks are stopped at; those in metres are among them
    let last = marks.last().expect("marks").0;
    let mut stops = vec![(at, value)];
    while stops.last().expect("one").0 < last - 0.01 {
        browser.type_keys(keys::PAGE_UP).await;
        let stop = reading(&bench).await;
        assert!(stop.0 > stops.last().expect("one").0, "PageUp did not turn further than {stop:?}");
        stops.push(stop);
    }
    for (angle, distance) in &marks[1..] {
        let (_, value) = stops.iter().find(|stop| (stop.0 - angle).abs() < 0.006).unwrap_or_else(|| {
            panic!("PageUp never stopped at the mark of {distance:?} mm, {angle} deg: {stops:?}");
        });
        let (shown, half) = metres(value);
        assert_close(shown, distance.expect("only the first is infinity"), half, &format!("at {angle} deg"));
    }
    browser.type_keys(keys::PAGE_DOWN).await;
    assert_eq!(reading(&bench).await, stops[stops.len() - 2], "PageDown goes back to the mark before");

    browser.type_keys(keys::END).await;
    let (end, value) = reading(&bench).await;
    assert_eq!(metres(&value).0, 450.0, "End is the closest distance of the set file");
    browser.type_keys(keys::LEFT).await;
    let (back, value) = reading(&bench).await;
    assert_close(end - back, 0.25, 0.011, "an arrow key");
    assert!(metres(&value).0 >= 450.0, "away from the closest distance, and it says {value}");
    browser.type_keys(&format!("{}{}{}", keys::SHIFT, keys::LEFT, keys::RELEASE)).await;
    let (far, value) = reading(&bench).await;
    assert_close(back - far, 5.0, 0.011, "an arrow key with the shift key");
    assert!(metres(&value).0 > 450.0, "five degrees from the closest distance, and it says {value}");
    browser.type_keys(keys::RIGHT).await;
    assert_close(reading(&bench).await.0 - far, 0.25, 0.011, "the other arrow key");
    bench.ends_clean().await;
}

/// Drags the ring from the middle of its face by a share of its height, up where it is positive.
async fn dragged(bench: &Bench, share: f64) -> f64 {
    let box_of = "const box = document.querySelector('[data-ring=focus]').getBoundingClientRect(); return [box.left + box.width / 2, box.top + box.height / 2, box.height]";
    let place = bench.browser.js(box_of).await;
    let number = |i: usize| place[i].as_f64().expect("a number");
    let (x, y, height) = (number(0).round(), number(1).round(), number(2));
    let moved = (share * height).round();
    let to = |y: f64| PointerAction::MoveTo { duration: Some(Duration::from_millis(50)), x, y };
    let finger = MouseActions::new("finger".to_string())
        .then(to(y))
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(to(y - moved / 2.0))
        .then(to(y - moved))
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    bench.browser.client.perform_actions(finger).await.expect("a finger moves");
    // on a cylinder seen from the side the height is the diameter, so that the way is this turn
    (moved / (height / 2.0)).to_degrees()
}

/// Granite 50 turns clockwise toward close as seen from behind: its top goes to the right, its right side down, its left side
/// up. The operator stands on the left and looks at the left side, where the index is: a finger on it moves up for closer
/// focus, and the ring goes with the finger, by its way over the radius.
#[tokio::test]
async fn a_finger_moving_up_focuses_closer_on_a_ring_that_turns_clockwise() {
    let bench = Bench::at_lens("Granite 50").await;
    bench.browser.focus(FOCUS).await;
    bench.browser.type_keys(keys::HOME).await;
    let (start, _) = reading(&bench).await;
    let way = dragged(&bench, 0.25).await;
    let (near, value) = reading(&bench).await;
    assert_close(near - start, way, 0.4, "up by a quarter of the diameter");
    let (first, _) = metres(&value);
    assert!(first < 2000.0, "closer than two metres, and it says {value}");

    let way = dragged(&bench, -0.1).await;
    let (back, value) = reading(&bench).await;
    assert_close(back - near, way, 0.4, "down by a tenth of the diameter");
    assert!(metres(&value).0 > first, "farther than {first} mm, and it says {value}");

    dragged(&bench, -0.45).await;
    assert_eq!(reading(&bench).await.1, "infinity", "a ring ends at its infinity");
    bench.ends_clean().await;
}

/// Slate 28 turns the other way, so that the left side goes down for closer focus.
#[tokio::test]
async fn a_finger_moving_down_focuses_closer_on_a_ring_that_turns_counterclockwise() {
    let bench = Bench::at_lens("Slate 28").await;
    bench.browser.focus(FOCUS).await;
    bench.browser.type_keys(keys::HOME).await;
    let (_, value) = reading(&bench).await;
    assert_eq!(value, "infinity");
    let way = dragged(&bench, -0.2).await;
    let (_, value) = reading(&bench).await;
    let (first, _) = metres(&value);
    assert!(way < 0.0 && first < 3000.0, "closer than three metres, and it says {value}");
    dragged(&bench, 0.1).await;
    let (_, value) = reading(&bench).await;
    assert!(metres(&value).0 > first, "farther than {first} mm, and it says {value}");
}

/// What is drawn on the focus ring near its middle line: in every column of the picture where its thin lines lie, in pixels below
/// the middle.
const INK: &str = "
    const canvas = document.querySelector('.picture canvas');
    const ring = document.querySelector('[data-ring=focus]');
    const [left, top, width, height] = ['left', 'top', 'width', 'height'].map((side) => parseFloat(ring.style[side]));
    const x0 = Math.ceil(left) + 2, x1 = Math.floor(left + width) - 2, reach = 30;
    const y0 = Math.round(top + height / 2) - reach;
    const data = canvas.getContext('2d').getImageData(x0, y0, x1 - x0, 2 * reach).data;
    const light = (x, y) => { const i = 4 * (y * (x1 - x0) + x); return data[i] + data[i + 1] + data[i + 2]; };
    const found = [];
    for (let x = 0; x < x1 - x0; x += 1) {
      let bare = 0;
      for (let y = 0; y < 2 * reach; y += 1) bare = Math.max(bare, light(x, y));
      const ink = (y) => Math.max(0, 1 - light(x, y) / bare - 0.12);
      for (let y = 0; y < 2 * reach; y += 1) {
        const first = y;
        let [sum, moment] = [0, 0];
        for (; y < 2 * reach && ink(y) > 0; y += 1) { sum += ink(y); moment += ink(y) * (y + 0.5); }
        if (sum === 0 || y - first > 4) continue;
        found.push(y0 + moment / sum - (top + height / 2));
      }
    }
    return { found, radius: height / 2 };";

async fn ink_at_index(bench: &Bench) -> (Vec<f64>, f64) {
    // drawn in the frame after the next one at the latest
    let frames = "const done = arguments[arguments.length - 1]; requestAnimationFrame(() => requestAnimationFrame(() => done(true)))";
    bench.browser.client.execute_async(frames, Vec::new()).await.expect("frames come");
    let ink = bench.browser.js(INK).await;
    let found = ink["found"].as_array().expect("places").iter().filter_map(Value::as_f64).collect();
    (found, ink["radius"].as_f64().expect("a radius"))
}

/// Seen square from the left with the index on the left, what stands under the index is drawn on the middle line of the ring.
#[tokio::test]
async fn the_mark_that_is_told_is_the_mark_that_is_drawn_at_the_index() {
    let bench = Bench::at_lens("Granite 50").await;
    let browser = &bench.browser;
    browser.focus(FOCUS).await;
    browser.type_keys(keys::HOME).await;
    for _ in 0..3 {
        browser.type_keys(keys::PAGE_UP).await;
        reading(&bench).await;
        let (ink, radius) = ink_at_index(&bench).await;
        let at_index = ink.iter().filter(|y| y.abs() <= 1.0).count();
        assert!(at_index >= 8, "no tick lies at the index: {ink:?}");

        // turned on by an arrow key's worth with the shift key, the tick has gone up as far as the ring's face does
        browser.type_keys(&format!("{}{}{}", keys::SHIFT, keys::RIGHT, keys::RELEASE)).await;
        reading(&bench).await;
        let (ink, _) = ink_at_index(&bench).await;
        let expected = -radius * 5f64.to_radians().sin();
        let moved = ink.iter().filter(|y| (**y - expected).abs() <= 1.0).count();
        assert!(moved >= 8, "no tick has gone to {expected} px: {ink:?}");
        browser.type_keys(&format!("{}{}{}", keys::SHIFT, keys::LEFT, keys::RELEASE)).await;
    }
}
