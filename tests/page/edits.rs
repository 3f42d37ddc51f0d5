//! What may be changed, and what a change leaves as it was.

use std::cell::RefCell;
use std::collections::BTreeMap;

use proptest::prelude::*;
use serde_json::{Value, json};

use crate::served::Served;

/// The first readings of the second lens, as a keystroke changes them.
fn reading(row: usize, text: &str) -> Value {
    json!([{ "kind": "cell", "lens": 1, "ring": "focus", "row": row, "column": "at", "text": text }])
}

fn put(table: &str, key: &str, text: &str) -> Value {
    json!([{ "kind": "put", "table": table, "key": key, "lens": 1, "text": text }])
}

/// The lines that differ.
fn changed<'a>(before: &'a str, after: &'a str) -> Vec<(&'a str, &'a str)> {
    assert_eq!(before.lines().count(), after.lines().count());
    before.lines().zip(after.lines()).filter(|(before, after)| before != after).collect()
}

#[test]
fn a_change_has_to_be_json_and_one_that_the_page_makes() {
    let page = Served::samples();
    let before = page.on_disk();
    let body = json!({ "base": 1, "edits": reading(1, "9 deg") }).to_string();
    for path in ["/edit", "/undo", "/redo", "/settle"] {
        for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""] {
            page.post(path, kind, body.as_bytes()).is(415);
        }
        for body in ["", "{", "nonsense", "\u{0}", "{\"base\":1,}"] {
            page.post(path, "application/json", body.as_bytes()).is(400);
        }
        page.post(path, "application/json", b"\xff\xfe").is(400);
    }
    page.act("/edit", &json!({ "base": 1 })).is(400);
    page.act("/edit", &json!({ "base": 1, "edits": {} })).is(400);
    page.act("/settle", &json!({ "theirs": "yes" })).is(400);
    let one = |edit: Value| json!([edit]);
    for edits in [
        one(json!({})),
        one(json!(7)),
        one(json!({ "kind": "write", "path": "/etc/passwd" })),
        put("lens.focus", "readings_file", "/etc/passwd"),
        put("lens.focus", "readings_file", "marble-85.csv"),
        put("style", "typeface", "/etc/passwd"),
        put("style", "typeface", "../face.ttf"),
        put("style", "typeface", "Plain"),
        put("style", "doubtful", "hidden"),
        put("process.film", "mirrored", "maybe"),
        put("lens", "name", "Another"),
        put("lens.1.focus", "closest", "1 m"),
        put("", "", ""),
        put("style.typeface", "x", "y"),
        one(json!({ "kind": "put", "table": "lens", "key": "focal_length", "text": "50 mm" })),
        one(json!({ "kind": "put", "table": "lens", "key": "focal_length", "lens": 99, "text": "50 mm" })),
        one(json!({ "kind": "put", "table": "lens", "key": "focal_length", "lens": -1, "text": "50 mm" })),
        one(json!({ "kind": "cell", "lens": 1, "ring": "focus", "row": 0, "column": "readings_file", "text": "x" })),
        one(json!({ "kind": "cell", "lens": 1, "ring": "zoom", "row": 0, "column": "at", "text": "x" })),
        one(json!({ "kind": "cell", "lens": 1, "ring": "focus", "row": 99, "column": "at", "text": "x" })),
        one(json!({ "kind": "drop", "lens": 1, "ring": "focus", "row": 99 })),
        one(json!({ "kind": "drop", "lens": 1, "ring": "focus" })),
        // one that could be done does not go without one that cannot
        json!([reading(1, "9 deg")[0], { "kind": "drop", "lens": 1, "ring": "focus", "row": 99 }]),
    ] {
        let told = page.edit(edits.clone(), "").is(422);
        assert!(!told.json()["error"].as_str().unwrap().is_empty(), "{edits}");
        assert_eq!(page.on_disk(), before, "{edits}");
    }
    let rows = "1 m\t5 deg\n".repeat(2_000);
    let paste = json!([{ "kind": "paste", "lens": 1, "ring": "focus", "row": 0, "rows": 9, "column": "distance", "text": rows }]);
    let told = page.edit(paste, "").is(422);
    assert!(told.text().contains("these are 2000 rows") && told.text().contains("readings_file"), "{}", told.text());
    let many: Vec<Value> = (0..2_001).map(|_| reading(1, "9 deg")[0].clone()).collect();
    assert!(page.edit(json!(many), "").is(422).text().contains("2001 changes at once"));
    assert_eq!(page.on_disk(), before);
    assert_eq!(page.version(), 1);
}

#[test]
fn a_change_to_a_version_that_is_gone_is_refused_with_the_one_that_stands() {
    let page = Served::samples();
    page.edit(reading(1, "8.4 deg"), "").is(200);
    let before = page.on_disk();
    for base in [json!(1), json!(0), json!(3), json!(u64::MAX), json!("2"), json!(null), json!(-1)] {
        for path in ["/edit", "/undo", "/redo"] {
            let told = page.act(path, &json!({ "base": base, "edits": reading(1, "8.5 deg") })).is(409).json();
            assert_eq!(told["state"]["version"], 2);
            assert_eq!(told["state"]["lenses"][1]["focus"][1]["cells"]["at"], "8.4 deg");
        }
    }
    assert_eq!(page.on_disk(), before);
}

#[test]
fn a_change_is_on_disk_when_it_is_answered_and_alters_one_line() {
    let page = Served::samples();
    let before = page.on_disk();
    let told = page.act("/edit", &json!({ "base": 1, "lens": 1, "edits": reading(1, "8.4 deg"), "what": "reading 2" }));
    let told = told.is(200).json();
    let after = page.on_disk();
    let expected =
        (r#"    { distance = "8 m",    at = "8.3 deg" },"#, r#"    { distance = "8 m",    at = "8.4 deg" },"#);
    assert_eq!(changed(&before, &after), [expected]);
    assert_eq!(told["state"]["undo"], "reading 2");
    assert_eq!(told["lens"]["name"], "Granite 50");
    assert_eq!(told["lens"], page.get("/lens?lens=1").is(200).json());
    page.edit(put("process.film", "thickness", "0.12 mm"), "").is(200);
    assert_eq!(changed(&after, &page.on_disk()), [(r#"thickness = "0.1 mm""#, r#"thickness = "0.12 mm""#)]);
    // a reading in a file of its own changes there
    let csv = page.folder.0.join("marble-85.csv");
    let (set, readings) = (page.on_disk(), std::fs::read_to_string(&csv).unwrap());
    let edit = json!([{ "kind": "cell", "lens": 2, "ring": "focus", "row": 2, "column": "at", "text": "12.3 mm" }]);
    page.edit(edit, "").is(200);
    assert_eq!(page.on_disk(), set);
    let now = std::fs::read_to_string(&csv).unwrap();
    assert_eq!(changed(&readings, &now).len(), 1);
    assert!(now.contains("12.3 mm"));
}

#[test]
fn what_cannot_be_read_yet_is_saved_as_it_was_typed() {
    let page = Served::samples();
    let told = page.act("/edit", &json!({ "base": 1, "lens": 1, "edits": reading(1, "8.") })).is(200).json();
    assert!(page.on_disk().contains(r#"{ distance = "8 m",    at = "8." },"#));
    let fault = &told["state"]["faults"][0];
    assert_eq!(fault["place"], "lens.1.focus.readings.1.at", "{fault}");
    // the lens is shown as it was last, and the next keystroke mends it
    assert_eq!(told["lens"]["rings"].as_array().unwrap().len(), 2);
    page.edit(reading(1, "8.4 deg"), "").is(200);
    assert_eq!(page.state()["faults"], json!([]));
}

#[test]
fn undo_and_redo_bring_back_the_very_bytes() {
    let page = Served::samples();
    let mut stood = vec![page.on_disk()];
    for edits in [
        reading(1, "8.4 deg"),
        reading(0, ""),
        json!([{ "kind": "drop", "lens": 1, "ring": "focus", "row": 3 }]),
        json!([{ "kind": "add", "lens": 1, "ring": "focus", "before": 2, "cells": { "distance": "3 m", "at": "17 deg" } }]),
        json!([{ "kind": "paste", "lens": 1, "ring": "focus", "row": 7, "rows": 9, "column": "distance",
            "text": "0.52\t99.9\n0.46\t115\n0.45\t118", "unit": "m" }]),
        put("process.vinyl", "cut", "mask"),
        put("lens.focus", "lead", ""),
    ] {
        page.edit(edits, "").is(200);
        stood.push(page.on_disk());
    }
    for before in stood.iter().rev().skip(1) {
        page.undo().is(200);
        assert_eq!(page.on_disk(), *before);
    }
    page.undo().is(200);
    assert_eq!(page.on_disk(), stood[0]);
    for after in &stood[1..] {
        page.redo().is(200);
        assert_eq!(page.on_disk(), *after);
    }
    page.redo().is(200);
    // something new leaves nothing to redo
    page.undo().is(200);
    page.edit(reading(1, "8.6 deg"), "").is(200);
    assert_eq!(page.state()["redo"], Value::Null);
}

#[test]
fn keystrokes_in_one_visit_to_a_field_are_one_step() {
    let page = Served::samples();
    let before = page.on_disk();
    for text in ["", "7", "7.", "7.9", "7.9 deg"] {
        page.edit(reading(1, text), "focus.1.1.at.4").is(200);
        assert!(page.on_disk().contains(&format!(r#"at = "{text}""#)));
    }
    let first = page.on_disk();
    page.edit(reading(1, "7.8 deg"), "focus.1.1.at.5").is(200);
    page.undo().is(200);
    assert_eq!(page.on_disk(), first);
    page.undo().is(200);
    assert_eq!(page.on_disk(), before);
    assert_eq!(page.state()["undo"], Value::Null);
    page.redo().is(200);
    assert_eq!(page.on_disk(), first);
}

#[test]
fn what_was_answered_outlives_a_kill() {
    let mut page = Served::samples();
    for last in 0..10 {
        page.edit(reading(1, &format!("8.{last} deg")), "typed").is(200);
    }
    page.kill();
    assert!(page.on_disk().contains(r#"{ distance = "8 m",    at = "8.9 deg" },"#));
    let beside: Vec<_> = std::fs::read_dir(&page.folder.0).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(beside.len(), 3, "{beside:?}");
}

#[test]
#[cfg(target_os = "linux")]
fn two_thousand_changes_can_be_undone_in_flat_memory() {
    let page = Served::text(
        "[set]\nname = \"S\"\n[[lens]]\nname = \"L\"\nfocal_length = \"50 mm\"\nwidest_stop = 2\n[lens.focus]\n\
         ring = { diameter = \"84 mm\", width = \"14 mm\" }\ntoward_close = \"clockwise\"\nclosest = \"0.6 m\"\n\
         lead = \"20 mm\"\n",
    );
    let first = page.on_disk();
    // names of changes are kept with them, and must not be a way round the bound
    let long = "x".repeat(200_000);
    let mut after_half = 0;
    for i in 0..2_000_u64 {
        let edits =
            json!([{ "kind": "put", "table": "style", "key": "tick_width", "text": format!("0.{} mm", 100 + i) }]);
        let body = json!({ "base": 1 + i, "edits": edits, "what": long, "mark": format!("{i}{long}") });
        page.act("/edit", &body).is(200);
        if i == 999 {
            after_half = page.memory("VmRSS");
        }
    }
    let grown = page.memory("VmRSS").saturating_sub(after_half);
    assert!(grown < 4 << 20, "{grown} bytes more after a thousand more changes");
    for i in 0..2_000_u64 {
        page.act("/undo", &json!({ "base": 2_001 + i })).is(200);
    }
    assert_eq!(page.on_disk(), first);
}

/// Bodies that are nearly edits.
fn wild() -> impl Strategy<Value = Value> {
    let word = prop_oneof![
        Just("put"),
        Just("cell"),
        Just("add"),
        Just("drop"),
        Just("paste"),
        Just("focus"),
        Just("iris"),
        Just("at"),
        Just("distance"),
        Just("stop"),
        Just("turned"),
        Just("style"),
        Just("lens"),
        Just("lens.focus"),
        Just("lens.iris"),
        Just("set"),
        Just("process.vinyl"),
        Just("typeface"),
        Just("units"),
        Just("steps"),
        Just("closest"),
        Just("ring.diameter"),
        Just("depth_marks"),
        Just("readings_file"),
        Just("\"\n[x]\ny = \""),
        Just("'''"),
        Just("\u{0}"),
        Just("1e999"),
        Just("nan"),
        Just("-0"),
        Just("inf"),
        Just("0.7 m\t70\n\n;;\t,"),
        Just("85 mm"),
        Just(""),
    ]
    .prop_map(|word| json!(word));
    let number = prop_oneof![Just(0_u64), 0..20_u64, any::<u64>()].prop_map(|n| json!(n));
    let leaf = prop_oneof![4 => word, 2 => number, 1 => Just(Value::Null), 1 => any::<bool>().prop_map(|b| json!(b)),
        1 => any::<f64>().prop_map(|x| json!(x)), 1 => "\\PC{0,12}".prop_map(|text| json!(text))];
    let small = prop_oneof![4 => (0..4_u64).prop_map(|n| json!(n)), 1 => leaf.clone()];
    let kind = prop_oneof![6 => prop_oneof![Just("put"), Just("cell"), Just("add"), Just("drop"), Just("paste")].prop_map(|k| json!(k)),
        1 => leaf.clone()];
    let ring = prop_oneof![4 => prop_oneof![Just("focus"), Just("iris")].prop_map(|r| json!(r)), 1 => leaf.clone()];
    let numbers = [small.clone().boxed(), small.clone().boxed(), small.clone().boxed(), small.boxed()];
    let texts = [leaf.clone().boxed(), leaf.clone().boxed(), leaf.clone().boxed(), leaf.clone().boxed()];
    let cells = prop_oneof![
        leaf.clone(),
        (leaf.clone(), leaf.clone()).prop_map(|(a, b)| json!({ "distance": a, "stop": b, "at": b }))
    ];
    let edit = (kind, ring, numbers, texts, cells).prop_map(|(kind, ring, [lens, row, rows, before], [table, key, column, text], cells)| {
        json!({ "kind": kind, "ring": ring, "lens": lens, "row": row, "rows": rows, "before": before, "table": table, "key": key,
            "column": column, "text": text, "unit": column, "cells": cells })
    });
    prop_oneof![12 => prop::collection::vec(edit, 0..4).prop_map(|edits| json!(edits)), 1 => leaf]
}

#[test]
fn no_body_brings_the_program_down_or_the_file_out_of_its_form() {
    let mut page = Served::samples();
    let statuses = RefCell::new(BTreeMap::new());
    let cases = ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() };
    let run = proptest::test_runner::TestRunner::new(cases).run(&wild(), |edits| {
        let told = page.act("/edit", &json!({ "base": page.version(), "lens": 1, "edits": edits }));
        prop_assert!(told.status < 500 || told.status == 503, "{} {}", told.status, told.text());
        *statuses.borrow_mut().entry(told.status).or_insert(0) += 1;
        let text = page.on_disk();
        let parsed = toml::de::DeTable::parse(&text);
        prop_assert!(parsed.is_ok(), "{parsed:?}");
        Ok(())
    });
    run.unwrap();
    page.lives();
    // some of them were changes
    let statuses = statuses.into_inner();
    assert!(statuses.get(&200).is_some_and(|n| *n > 20) && statuses.get(&422).is_some_and(|n| *n > 20), "{statuses:?}");
}
