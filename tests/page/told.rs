//! What the page is told: artwork and words that are the command line's, faults at their fields, rows from a spreadsheet.

use std::process::Command;

use serde_json::{Value, json};

use super::served::Served;

fn keystroke(page: &Served, lens: usize, row: usize, column: &str, text: &str) -> Value {
    let edit = json!([{ "kind": "cell", "lens": lens, "ring": "focus", "row": row, "column": column, "text": text }]);
    let body = json!({ "base": page.version(), "lens": lens, "edits": edit, "what": "a reading", "mark": "" });
    page.act("/edit", &body).is(200).json()
}

#[test]
fn a_keystroke_brings_artwork_and_the_words_of_the_command_line() {
    let page = Served::samples();
    let told = keystroke(&page, 1, 4, "at", "32.4 deg");
    assert!(told["lens"]["rings"][0]["shapes"].as_array().unwrap().len() > 50);
    let fit = Command::new(env!("CARGO_BIN_EXE_ringwright"))
        .args(["fit", "SET.toml", "--lens", "Granite 50", "--format", "json"])
        .current_dir(&page.folder.0)
        .output()
        .unwrap();
    let fit: Value = serde_json::from_slice(&fit.stdout).unwrap();
    let rows = told["lens"]["fit"]["rows"].as_array().unwrap();
    let residuals = fit["lenses"][0]["focus"]["residuals"].as_array().unwrap();
    assert_eq!((rows.len(), residuals.len()), (9, 9));
    for (row, residual) in rows.iter().zip(residuals) {
        let (deg, mm) = (residual["error_deg"].as_f64().unwrap(), residual["error_mm"].as_f64().unwrap());
        // what rounds to nothing has no sign
        let said = |value: f64| if value.abs() < 0.005 { "0.00".to_string() } else { format!("{value:+.2}") };
        assert_eq!(row["words"].as_str().unwrap(), format!("{}°, {} mm", said(deg), said(mm)));
    }
}

#[test]
fn the_reading_that_does_not_belong_is_marked_and_named() {
    let page = Served::samples();
    let told = keystroke(&page, 1, 4, "at", "40 deg");
    let odd: Vec<bool> = told["lens"]["fit"]["rows"].as_array().unwrap().iter().map(|row| row["odd"] == true).collect();
    assert_eq!(odd.iter().position(|odd| *odd), Some(4));
    assert_eq!(odd.iter().filter(|odd| **odd).count(), 1);
    let warning = told["lens"]["doubts"][0].as_str().unwrap();
    assert!(warning.starts_with("reading 5, 1.5 m at 40.0°, is 7.9° off the others"), "{warning}");
}

#[test]
fn faults_are_found_at_their_fields_and_the_last_artwork_stays() {
    let page = Served::samples();
    let told = keystroke(&page, 1, 3, "distance", "2.5");
    let fault = &told["state"]["faults"][0];
    assert_eq!(fault["place"], "lens.1.focus.readings.3.distance");
    assert_eq!(fault["label"], "did you mean \"2.5 m\"?");
    assert!(told["lens"]["rings"][0]["shapes"].as_array().unwrap().len() > 50);
    page.get("/files/granite-50-focus.svg").is(422);
    page.undo().is(200);
    // in a readings file as well
    let told = keystroke(&page, 2, 0, "at", "half");
    assert_eq!(told["state"]["faults"][0]["place"], "lens.2.focus.readings.0.at");
}

#[test]
fn a_spreadsheets_rows_are_pasted_over_the_readings_and_behind_them() {
    let page = Served::samples();
    let text = "distance\tring\r\n0.45\t118.4\r\n2 m\t25.1\r\n";
    let edit = json!([{ "kind": "paste", "lens": 1, "ring": "focus", "row": 8, "rows": 9, "column": "distance", "text": text, "unit": "m" }]);
    page.edit(edit, "").is(200);
    let state = page.state();
    let rows = &state["lenses"][1]["focus"];
    assert_eq!(rows[8]["cells"], json!({ "distance": "0.45 m", "at": "118.4 deg" }));
    assert_eq!(rows[9]["cells"], json!({ "distance": "2 m", "at": "25.1 deg" }));
    assert_eq!(state["faults"], json!([]));
}

#[test]
fn the_next_reading_is_the_one_that_plan_proposes() {
    let page = Served::samples();
    let next = page.get("/next?lens=1").is(200).json();
    let plan = Command::new(env!("CARGO_BIN_EXE_ringwright"))
        .args(["plan", "SET.toml", "--lens", "Granite 50"])
        .current_dir(&page.folder.0)
        .output()
        .unwrap();
    let plan = String::from_utf8(plan.stdout).unwrap();
    let best = plan.lines().skip_while(|line| !line.trim_start().starts_with("set up")).nth(1).unwrap();
    let distance = next["distance"].as_str().unwrap();
    assert!(best.trim_start().starts_with(distance), "{distance} and {best}");
}

#[test]
fn an_odd_view_is_refused_in_words() {
    let page = Served::samples();
    for (path, status) in [
        ("/lens?lens=99", 404),
        ("/lens?lens=x", 400),
        ("/lens?lens=1&unit=mile", 400),
        ("/state?process=paint", 400),
        ("/at?lens=1&ring=focus", 400),
        ("/at?lens=1&ring=disc&deg=1", 400),
        ("/at?lens=1&ring=focus&deg=nan", 422),
        ("/at?lens=1&ring=focus&distance=1", 422),
        ("/at?lens=1&ring=focus&deg=-90", 422),
    ] {
        assert!(!page.get(path).is(status).json()["error"].as_str().unwrap().is_empty(), "{path}");
    }
}
