//! The file on disk is the truth: what somebody else writes is never overwritten unasked, and what cannot be written is told.

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use crate::served::{Folder, Served};

const LENS: &str = "[set]\nname = \"S\"\n[[lens]]\nname = \"L\"\nfocal_length = \"50 mm\"\nwidest_stop = 2\n[lens.focus]\n\
                    ring = { diameter = \"84 mm\", width = \"14 mm\" }\ntoward_close = \"clockwise\"\nclosest = \"0.6 m\"\n\
                    lead = \"20 mm\"\n";

fn ticks(width: &str) -> Value {
    json!([{ "kind": "put", "table": "style", "key": "tick_width", "text": width }])
}

/// A set of which every text is a step: the width of its ticks.
fn with_ticks(width: &str) -> String {
    format!("{LENS}[style]\ntick_width = \"{width}\"\n")
}

fn settle(page: &Served, theirs: bool) {
    page.act("/settle", &json!({ "theirs": theirs })).is(200);
}

#[test]
fn a_change_on_disk_is_told_and_never_overwritten() {
    let page = Served::text(&with_ticks("0.2 mm"));
    page.edit(ticks("0.3 mm"), "").is(200);
    let theirs = with_ticks("0.5 mm") + "# theirs\n";
    fs::write(&page.set, &theirs).unwrap();
    // at once, whether or not it was looked at before
    let told = page.act("/edit", &json!({ "base": 2, "edits": ticks("0.4 mm") })).is(409).json();
    assert_eq!(told["state"]["elsewhere"]["gone"], false);
    assert!(told["error"].as_str().unwrap().contains("decide first"), "{}", told["error"]);
    assert_eq!(page.on_disk(), theirs);
    for path in ["/undo", "/redo"] {
        page.act(path, &json!({ "base": 2 })).is(409);
        assert_eq!(page.on_disk(), theirs);
    }
    // theirs is taken, and the version here is within reach
    settle(&page, true);
    assert_eq!(page.on_disk(), theirs);
    let state = page.state();
    assert_eq!((&state["elsewhere"], &state["values"]["style.tick_width"]), (&Value::Null, &json!("0.5 mm")));
    page.undo().is(200);
    assert_eq!(page.on_disk(), with_ticks("0.3 mm"));
    page.redo().is(200);
    assert_eq!(page.on_disk(), theirs);
}

#[test]
fn a_change_on_disk_is_noticed_without_an_edit_and_may_be_turned_down() {
    let page = Served::text(&with_ticks("0.2 mm"));
    let before = page.state();
    let theirs = with_ticks("0.5 mm");
    fs::write(&page.set, &theirs).unwrap();
    let state = page.wait("the change", |state| !state["elsewhere"].is_null());
    assert!(state["news"].as_u64() > before["news"].as_u64());
    // what is shown is what was shown
    assert_eq!(state["values"]["style.tick_width"], "0.2 mm");
    settle(&page, false);
    assert_eq!(page.on_disk(), with_ticks("0.2 mm"));
    // theirs is not lost
    page.undo().is(200);
    assert_eq!(page.on_disk(), theirs);
    // a change that is taken back on disk is none
    fs::write(&page.set, with_ticks("0.6 mm")).unwrap();
    page.wait("the change", |state| !state["elsewhere"].is_null());
    fs::write(&page.set, &theirs).unwrap();
    page.wait("the change back", |state| state["elsewhere"].is_null());
    page.edit(ticks("0.3 mm"), "").is(200);
    // nothing to settle changes nothing
    let now = page.on_disk();
    settle(&page, true);
    settle(&page, false);
    assert_eq!(page.on_disk(), now);
}

#[test]
fn a_readings_file_changed_on_disk_is_not_overwritten_either() {
    let page = Served::samples();
    let csv = page.folder.0.join("marble-85.csv");
    let mine = fs::read_to_string(&csv).unwrap();
    let theirs = mine.replace("40.7", "40.6");
    assert_ne!(mine, theirs);
    fs::write(&csv, &theirs).unwrap();
    let edit = json!([{ "kind": "cell", "lens": 2, "ring": "focus", "row": 0, "column": "at", "text": "0 mm" }]);
    page.act("/edit", &json!({ "base": 1, "edits": edit })).is(409);
    assert_eq!(fs::read_to_string(&csv).unwrap(), theirs);
    settle(&page, false);
    assert_eq!(fs::read_to_string(&csv).unwrap(), mine);
    fs::remove_file(&csv).unwrap();
    page.act("/edit", &json!({ "base": page.version(), "edits": edit })).is(409);
    settle(&page, false);
    assert_eq!(fs::read_to_string(&csv).unwrap(), mine);
}

#[test]
fn one_readings_file_under_two_names_is_written_once() {
    let folder = Folder::new();
    fs::write(folder.0.join("a.csv"), "distance,at\ninf,0 deg\n1 m,45 deg\n").unwrap();
    let lens = |name: &str, file: &str| {
        let (_, lens) = LENS.split_once("[[lens]]").unwrap();
        format!("[[lens]]{}readings_file = {file:?}\n", lens.replace("\"L\"", &format!("{name:?}")))
    };
    let set = format!("[set]\nname = \"S\"\n{}{}", lens("L", "a.csv"), lens("M", "./a.csv"));
    fs::write(folder.0.join("SET.toml"), set).unwrap();
    let page = Served::new(folder);
    let cell = |lens: u8, text: &str| json!([{ "kind": "cell", "lens": lens, "ring": "focus", "row": 1, "column": "at", "text": text }]);
    page.edit(cell(0, "44 deg"), "").is(200);
    // what was written under one name is no change of somebody else's under the other
    page.edit(cell(0, "43 deg"), "").is(200);
    assert_eq!(page.state()["elsewhere"], Value::Null);
    page.edit(cell(1, "42 deg"), "").is(422);
    assert!(fs::read_to_string(page.folder.0.join("a.csv")).unwrap().ends_with("1 m,43 deg\n"));
}

#[test]
fn a_deleted_file_is_told_and_written_again_on_demand() {
    let mut page = Served::text(&with_ticks("0.2 mm"));
    let before = page.on_disk();
    fs::remove_file(&page.set).unwrap();
    let state = page.wait("that it is gone", |state| !state["elsewhere"].is_null());
    assert_eq!(state["elsewhere"]["gone"], true);
    page.edit(ticks("0.3 mm"), "").is(409);
    assert!(!page.set.exists());
    page.lives();
    settle(&page, false);
    assert_eq!(page.on_disk(), before);
    page.edit(ticks("0.3 mm"), "").is(200);
    assert_eq!(page.on_disk(), with_ticks("0.3 mm"));
}

#[test]
fn a_file_that_has_become_a_folder_is_told_and_waited_for() {
    let mut page = Served::text(&with_ticks("0.2 mm"));
    fs::remove_file(&page.set).unwrap();
    fs::create_dir(&page.set).unwrap();
    let told = page.edit(ticks("0.3 mm"), "").is(409).json();
    assert_eq!(told["state"]["elsewhere"]["gone"], true);
    settle(&page, false);
    let state = page.state();
    assert!(!state["not_saved"].is_null() || !state["elsewhere"].is_null(), "{state}");
    page.lives();
    fs::remove_dir(&page.set).unwrap();
    settle(&page, false);
    assert_eq!(page.on_disk(), with_ticks("0.2 mm"));
    let state = page.state();
    assert_eq!((&state["not_saved"], &state["elsewhere"]), (&Value::Null, &Value::Null));
}

fn set_readonly(path: &Path, readonly: bool) {
    let mut permissions = fs::metadata(path).unwrap().permissions();
    permissions.set_readonly(readonly);
    fs::set_permissions(path, permissions).unwrap();
}

#[test]
fn what_cannot_be_saved_is_told_and_saved_once_it_can_be() {
    let page = Served::text(&with_ticks("0.2 mm"));
    set_readonly(&page.set, true);
    let told = page.edit(ticks("0.3 mm"), "").is(200).json();
    assert!(told["state"]["not_saved"].as_str().unwrap().contains("write-protected"), "{}", told["state"]["not_saved"]);
    assert_eq!(page.on_disk(), with_ticks("0.2 mm"));
    // what is typed meanwhile is kept
    let told = page.edit(ticks("0.4 mm"), "").is(200).json();
    assert_eq!(told["state"]["values"]["style.tick_width"], "0.4 mm");
    assert!(!told["state"]["not_saved"].is_null());
    set_readonly(&page.set, false);
    page.wait("the saving", |state| state["not_saved"].is_null());
    assert_eq!(page.on_disk(), with_ticks("0.4 mm"));
    page.undo().is(200);
    page.undo().is(200);
    assert_eq!(page.on_disk(), with_ticks("0.2 mm"));
}

#[test]
#[cfg(unix)]
fn a_folder_that_takes_no_files_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let page = Served::text(&with_ticks("0.2 mm"));
    let mode = |mode| fs::set_permissions(&page.folder.0, fs::Permissions::from_mode(mode)).unwrap();
    mode(0o555);
    if fs::write(page.folder.0.join("probe"), "").is_ok() {
        // for whoever may do everything, no folder is closed
        return mode(0o755);
    }
    let told = page.edit(ticks("0.3 mm"), "").is(200).json();
    mode(0o755);
    assert!(!told["state"]["not_saved"].is_null());
    page.wait("the saving", |state| state["not_saved"].is_null());
    assert_eq!(page.on_disk(), with_ticks("0.3 mm"));
}

#[test]
fn what_was_written_before_a_failure_is_no_change_of_somebody_else_s() {
    let page = Served::samples();
    let csv = page.folder.0.join("marble-85.csv");
    // the readings go first, and the set cannot follow
    set_readonly(&page.set, true);
    let edits = json!([
        { "kind": "cell", "lens": 2, "ring": "focus", "row": 0, "column": "at", "text": "0 mm" },
        { "kind": "put", "table": "style", "key": "typeface", "text": "stencil" },
    ]);
    let told = page.edit(edits, "").is(200).json();
    assert!(!told["state"]["not_saved"].is_null());
    assert!(fs::read_to_string(&csv).unwrap().contains("0 mm"));
    let told = page.edit(ticks("0.3 mm"), "").is(200).json();
    assert_eq!(told["state"]["elsewhere"], Value::Null);
    set_readonly(&page.set, false);
    page.wait("the saving", |state| state["not_saved"].is_null());
    assert!(page.on_disk().contains("typeface = \"stencil\""));
}

#[test]
#[cfg(unix)]
fn a_set_file_that_is_a_link_stays_one() {
    let folder = Folder::new();
    let there = folder.0.join("there");
    fs::create_dir(&there).unwrap();
    fs::write(there.join("real.toml"), with_ticks("0.2 mm")).unwrap();
    std::os::unix::fs::symlink("there/real.toml", folder.0.join("SET.toml")).unwrap();
    let page = Served::new(folder);
    page.edit(ticks("0.3 mm"), "").is(200);
    assert!(page.set.is_symlink());
    assert_eq!(fs::read_to_string(there.join("real.toml")).unwrap(), with_ticks("0.3 mm"));
}

#[test]
fn a_readings_file_outside_the_folder_is_not_touched() {
    let folder = Folder::new();
    let inner = folder.0.join("inner");
    fs::create_dir(&inner).unwrap();
    let readings = "distance,at\ninf,0 deg\n2 m,20 deg\n1 m,42 deg\n";
    fs::write(folder.0.join("outside.csv"), readings).unwrap();
    let outside = folder.0.join("outside.csv").display().to_string();
    let mut names = vec!["../outside.csv".to_string(), outside, "../inner/../outside.csv".to_string()];
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("../outside.csv", inner.join("linked.csv")).unwrap();
        names.push("linked.csv".to_string());
    }
    // a set is no readings file of its own
    names.push("SET.toml".to_string());
    let path = folder.0.join("outside.csv");
    for name in &names {
        let text = format!("{LENS}readings_file = {name:?}\n");
        let page = inner_served(&folder, &text);
        for edit in [
            json!({ "kind": "cell", "lens": 0, "ring": "focus", "row": 0, "column": "at", "text": "1 deg" }),
            json!({ "kind": "add", "lens": 0, "ring": "focus", "before": 0, "cells": { "distance": "3 m", "at": "9 deg" } }),
            json!({ "kind": "drop", "lens": 0, "ring": "focus", "row": 0 }),
        ] {
            let told = page.edit(json!([edit]), "");
            assert_eq!(told.status, 422, "{name} {edit}: {:.300}", told.text());
        }
        assert_eq!(fs::read_to_string(&path).unwrap(), readings, "{name}");
        assert_eq!(page.on_disk(), text, "{name}");
    }
}

/// Serves `inner/SET.toml` below a folder that somebody else keeps.
fn inner_served(folder: &Folder, text: &str) -> Served {
    let set = folder.0.join("inner/SET.toml");
    fs::write(&set, text).unwrap();
    let mut served = Served::named(Folder::new(), &set.display().to_string());
    served.set = set;
    served
}

#[test]
fn a_set_with_faults_is_served_with_its_faults() {
    let broken = "[set\nname = \"S\"\n";
    for (text, fault) in [
        (broken.to_string(), "["),
        (String::new(), ""),
        ("\u{feff}".to_string(), ""),
        (LENS.replace("84 mm", "84"), "unit"),
        (LENS.replace("lead", "laed"), "laed"),
    ] {
        let mut page = Served::text(&text);
        let state = page.state();
        let faults = state["faults"].as_array().unwrap();
        assert!(!faults.is_empty(), "{text}");
        assert!(faults.iter().any(|found| found["whole"].as_str().unwrap().contains(fault)), "{faults:?}");
        assert_eq!(state["set"], Value::Null);
        for target in ["/lens?lens=0", "/strips?lens=0", "/check", "/files", "/plot?lens=0", "/sheets", "/suggestion"] {
            let told = page.get(target);
            assert_eq!(told.status, 422, "{target}: {:.300}", told.text());
        }
        page.lives();
        assert_eq!(page.on_disk(), text);
        // mended in an editor, it is shown
        fs::write(&page.set, LENS).unwrap();
        page.wait("the change", |state| !state["elsewhere"].is_null());
        settle(&page, true);
        assert_eq!(page.state()["faults"], json!([]));
        page.get("/lens?lens=0").is(200);
    }
}

#[test]
fn a_file_of_four_mebibytes_is_served_and_one_of_more_is_refused() {
    let comment = format!("# {}\n", "x".repeat(97));
    let lines = ((4 << 20) - LENS.len() - 100) / comment.len();
    let text = format!("{LENS}{}", comment.repeat(lines));
    let mut page = Served::text(&text);
    page.edit(json!([{ "kind": "put", "table": "lens", "key": "focal_length", "lens": 0, "text": "51 mm" }]), "")
        .is(200);
    assert_eq!(page.on_disk(), text.replace("50 mm", "51 mm"));
    for _ in 0..30 {
        page.undo().is(200);
        page.redo().is(200);
    }
    page.lives();
    let folder = Folder::new();
    let set = folder.0.join("SET.toml");
    fs::write(&set, comment.repeat(45_000)).unwrap();
    refused(&set);
}

#[test]
fn a_file_that_is_not_there_is_told() {
    let folder = Folder::new();
    refused(&folder.0.join("SET.toml"));
    refused(&folder.0);
}

#[track_caller]
fn refused(set: &Path) {
    let ended = Command::new(env!("CARGO_BIN_EXE_ringwright")).arg("page").arg(set).arg("--no-open").output().unwrap();
    assert_eq!(ended.status.code(), Some(2), "{ended:?}");
    assert!(ended.stdout.is_empty());
    let words = String::from_utf8(ended.stderr).unwrap();
    assert!(words.starts_with("error: ") && words.contains(&set.display().to_string()), "{words}");
}
