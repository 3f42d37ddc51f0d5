//! What the page shows and hands out is what the commands write.

use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use serde_json::Value;

use crate::served::Served;

fn command(page: &Served, arguments: &[&str]) -> Vec<u8> {
    let ended =
        Command::new(env!("CARGO_BIN_EXE_ringwright")).current_dir(&page.folder.0).args(arguments).output().unwrap();
    assert!(ended.status.success(), "{}", String::from_utf8_lossy(&ended.stderr));
    ended.stdout
}

/// Letters, digits and what an address leaves as it is; the rest by its bytes.
fn in_address(name: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"-._".contains(&b);
    name.bytes().map(|b| if plain(b) { (b as char).to_string() } else { format!("%{b:02x}") }).collect()
}

fn downloads_are_what_draw_writes(process: &str) {
    let page = Served::samples();
    command(&page, &["draw", "SET.toml", "--out", "strips", "--process", process, "--format", "svg,png,pdf,dxf"]);
    let written = fs::read_dir(page.folder.0.join("strips")).unwrap();
    let written: BTreeSet<String> = written.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    let listed = page.get(&format!("/files?process={process}")).is(200).json();
    let names: BTreeSet<String> =
        listed["files"].as_array().unwrap().iter().map(|name| name.as_str().unwrap().to_string()).collect();
    assert_eq!(names, written);
    assert!(names.len() >= 20, "{names:?}");
    for name in &names {
        let told = page.get(&format!("/files/{}?process={process}", in_address(name))).is(200);
        assert!(told.body == fs::read(page.folder.0.join("strips").join(name)).unwrap(), "{name} differs");
        assert!(told.header("content-disposition").unwrap().starts_with("attachment"), "{name}");
    }
    // and the command that is named beside them is the one that was run
    let shown = listed["command"].as_str().unwrap();
    assert!(shown.ends_with(&format!("--out strips --process {process} --format svg,png,pdf,dxf")), "{shown}");
}

#[test]
fn downloads_for_film_are_what_draw_writes() {
    downloads_are_what_draw_writes("film");
}

#[test]
fn downloads_for_vinyl_are_what_draw_writes() {
    downloads_are_what_draw_writes("vinyl");
}

#[test]
fn downloads_for_engraving_are_what_draw_writes() {
    downloads_are_what_draw_writes("engrave");
}

/// A length as it is shown, in mm.
fn shown_mm(text: &str) -> f64 {
    text.strip_suffix(" mm").unwrap().parse().unwrap()
}

/// Whole stops from f/1, by the standard series: 2^(n/2).
fn in_stops(number: f64) -> f64 {
    2.0 * number.log2()
}

/// "T1.4 and 9 tenths" in stops from T1; 1.4 stands for the nearest of the series.
fn told_in_stops(value: &str) -> f64 {
    let (whole, tenths) =
        value.trim_start_matches("f/").trim_start_matches('T').split_once(" and ").unwrap_or((value, "0"));
    let whole: f64 = whole.trim_start_matches("f/").trim_start_matches('T').parse().unwrap();
    let tenths: f64 = tenths.split(' ').next().unwrap().parse().unwrap();
    in_stops(whole).round() + tenths / 10.0
}

#[test]
fn under_the_index_stands_what_marks_lists_at_every_numbered_mark() {
    let page = Served::samples();
    let listed: Value = serde_json::from_slice(&command(&page, &["marks", "SET.toml", "--format", "json"])).unwrap();
    let (mut distances, mut stops) = (0, 0);
    for (lens, listed) in listed["lenses"].as_array().unwrap().iter().enumerate() {
        let bands = listed["focus"]["bands"].as_array().unwrap();
        for mark in
            bands.iter().flat_map(|band| band["marks"].as_array().unwrap()).filter(|mark| mark["numbered"] == true)
        {
            let deg = mark["angle_deg"].as_f64().unwrap();
            let told = page.get(&format!("/at?lens={lens}&ring=focus&deg={deg}")).is(200).json();
            match mark["distance_mm"].as_f64() {
                None => assert_eq!(told["distance"], "inf", "{mark}"),
                Some(mm) => {
                    let under = shown_mm(told["distance"].as_str().unwrap());
                    // the listed angle has six decimals, and far away a millionth of a degree is long
                    let deg_of_a_mm = mm * mm * 1e-8;
                    assert!(
                        (under - mm).abs() < 0.001 + deg_of_a_mm,
                        "{under} mm under the index, {mm} marked at {deg}"
                    );
                }
            }
            distances += 1;
        }
        let bands = listed["iris"]["bands"].as_array().unwrap();
        for mark in
            bands.iter().flat_map(|band| band["marks"].as_array().unwrap()).filter(|mark| mark["numbered"] == true)
        {
            let deg = mark["angle_deg"].as_f64().unwrap();
            let told = page.get(&format!("/at?lens={lens}&ring=iris&deg={deg}")).is(200).json();
            let value = told["value"].as_str().unwrap();
            let away = in_stops(mark["stop"].as_f64().unwrap()) - told_in_stops(value);
            // told in tenths
            assert!(away.abs() <= 0.0501, "{told} at {mark}");
            stops += 1;
        }
    }
    assert!(distances >= 40 && stops >= 20, "{distances} distances, {stops} stops");
}
