//! Tests: what a new user writes, and what is proposed instead.

use super::{Path, changed, refused};
use crate::model::Set;
use crate::set::Faults;

fn faults(from: &str, to: &str) -> Faults {
    match Set::parse("quarry.toml", &changed(from, to), Path::new("")) {
        Ok(_) => panic!("{to} was read"),
        Err(faults) => faults,
    }
}

/// The key and its equals sign.
fn key(from: &str) -> &str {
    from.find("= ").map_or("", |equals| &from[..equals + 2])
}

/// Each slip in place of the value of `from`, with the message and the words under the line.
fn told(from: &str, slips: &[&str]) -> String {
    let key = key(from);
    let tell = |slip: &&str| {
        let faults = faults(from, &format!("{key}{slip}"));
        let [fault] = faults.as_slice() else { panic!("{slip}: {faults}") };
        format!("{slip}  {}: {}", fault.message(), fault.marks()[0].1)
    };
    slips.iter().map(tell).collect::<Vec<_>>().join("\n")
}

const DISTANCE: &str = "distance = \"1 m\"";
const CLOSEST: &str = "closest = \"0.6 m\"";
const AT: &str = "at = \"41.6 deg\"";

#[test]
fn an_inch_sign_that_ends_a_text_is_spelled_out() {
    insta::assert_snapshot!(refused(DISTANCE, "distance = \"12\"\""), @r#"
    error: an inch sign ends a text in double quotes
      --> quarry.toml:17:18
       |
    17 |     { distance = "12"", at = "41.6 deg" },
       |                  ^^^^^ did you mean "12 in" or '12"'?
    "#);
    insta::assert_snapshot!(told(DISTANCE, &["\"4'6\"\"", "\"4 ft 6\"\"", "12\"", "4'6\"", "'4'6\"'", "\"12 1/2\"\""]), @r#"
    "4'6""  an inch sign ends a text in double quotes: did you mean "4 ft 6 in"?
    "4 ft 6""  an inch sign ends a text in double quotes: did you mean "4 ft 6 in" or '4 ft 6"'?
    12"  a text needs quotes: did you mean "12 in" or '12"'?
    4'6"  a text needs quotes: did you mean "4 ft 6 in"?
    '4'6"'  a foot sign ends a text in single quotes: did you mean "4 ft 6 in"?
    "12 1/2""  an inch sign ends a text in double quotes: did you mean "12 1/2 in" or '12 1/2"'?
    "#);
    insta::assert_snapshot!(told(CLOSEST, &["\"24\"\"", "2'", "24\" # to the plane"]), @r#"
    "24""  an inch sign ends a text in double quotes: did you mean "24 in" or '24"'?
    2'  a text needs quotes: did you mean "2'"?
    24" # to the plane  a text needs quotes: did you mean "24 in" or '24"'?
    "#);
}

#[test]
fn a_text_without_quotes_is_shown_within_them() {
    insta::assert_snapshot!(told("name = \"quarry\"", &["the old quarry # north", "Quarry \"old\"", "\"the \"old\" one\"", "\"quarry", "quarry\"", "“quarry”"]), @r#"
    the old quarry # north  a text needs quotes: did you mean "the old quarry"?
    Quarry "old"  a text needs quotes: did you mean 'Quarry "old"'?
    "the "old" one"  a quote within a text ends it: did you mean 'the "old" one'?
    "quarry  this text has no closing quote: did you mean "quarry"?
    quarry"  this text has no opening quote: did you mean "quarry"?
    “quarry”  quotes are written straight, as in "text": did you mean "quarry"?
    "#);
    insta::assert_snapshot!(refused("stop = 16", "stop = f/16"), @r#"
    error: a text needs quotes
      --> quarry.toml:25:50
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = f/16, at = "60 deg" }]
       |                                                  ^^^^ did you mean "f/16"?
    "#);
    insta::assert_snapshot!(told("steps = 1", &["third", "1/3", "\"2\""]), @r#"
    third  `steps` must be a bare number: allowed are 1, 2 and 3
    1/3  `steps` must be a bare number: allowed are 1, 2 and 3
    "2"  `steps` must be a bare number, not a text in quotes: did you mean 2?
    "#);
    insta::assert_snapshot!(refused("steps = 1", "transmittance = 90 %"), @r#"
    error: `transmittance` must be a bare number
      --> quarry.toml:26:17
       |
    26 | transmittance = 90 %
       |                 ^^^^ allowed are 0.05 to 1
    "#);
    insta::assert_snapshot!(told(AT, &["41.6°", "41.6 deg"]), @r#"
    41.6°  a text needs quotes: did you mean "41.6°"?
    41.6 deg  a text needs quotes: did you mean "41.6 deg"?
    "#);
    insta::assert_snapshot!(told("widest_stop = 2", &["f2", "F/2", "1:2", "T2.1"]), @r#"
    f2  a text needs quotes: did you mean "f2"?
    F/2  a text needs quotes: did you mean "F/2"?
    1:2  a text needs quotes: did you mean "1:2"?
    T2.1  a text needs quotes: write it like 2.8
    "#);
    insta::assert_snapshot!(told("toward_close = \"clockwise\"", &["true_left", "Clockwise"]), @r#"
    true_left  a text needs quotes: allowed are "clockwise" and "counterclockwise"
    Clockwise  a text needs quotes: did you mean "clockwise"?
    "#);
    insta::assert_snapshot!(refused("[style]", "[process.film]\nmirrored = yes\n[style]"), @r#"
    error: `mirrored` must be true or false
     --> quarry.toml:5:12
      |
    5 | mirrored = yes
      |            ^^^ did you mean true?
    "#);
}

#[test]
fn a_colon_is_answered_with_an_equals_sign() {
    insta::assert_snapshot!(refused("name = \"quarry\"", "name: \"quarry\""), @r#"
    error: an equals sign joins a key and its value
     --> quarry.toml:2:1
      |
    2 | name: "quarry"
      | ^^^^^ did you mean name = "quarry"?
    "#);
}

#[test]
fn a_sense_in_short_is_never_taken_for_its_opposite() {
    insta::assert_snapshot!(told("toward_close = \"clockwise\"", &["\"cw\"", "\"CW\"", "\"c.w.\"", "cw", "\"ccw\"", "\"acw\"", "\"anti-clockwise\"", "\"right\""]), @r#"
    "cw"  `toward_close` cannot be "cw": did you mean "clockwise"?
    "CW"  `toward_close` cannot be "CW": did you mean "clockwise"?
    "c.w."  `toward_close` cannot be "c.w.": did you mean "clockwise"?
    cw  a text needs quotes: did you mean "clockwise"?
    "ccw"  `toward_close` cannot be "ccw": did you mean "counterclockwise"?
    "acw"  `toward_close` cannot be "acw": did you mean "counterclockwise"?
    "anti-clockwise"  `toward_close` cannot be "anti-clockwise": did you mean "counterclockwise"?
    "right"  `toward_close` cannot be "right": allowed are "clockwise" and "counterclockwise"
    "#);
}

#[test]
fn infinity_is_known_by_its_first_letters() {
    insta::assert_snapshot!(told(DISTANCE, &["inf", "\"inf.\"", "\"infinite\"", "\"oo\"", "inf.", "\"nowhere\""]), @r#"
    inf  `distance` must be a distance, not a bare number: did you mean "inf"?
    "inf."  `inf.` is not a number: did you mean "inf"?
    "infinite"  `infinite` is not a number: did you mean "inf"?
    "oo"  `oo` is not a number: did you mean "inf"?
    inf.  a text needs quotes: did you mean "inf"?
    "nowhere"  `nowhere` is not a number: write a number and its unit, like "84 mm" or "63.5 deg"
    "#);
}

#[test]
fn a_decimal_comma_is_proposed_with_a_point() {
    insta::assert_snapshot!(told(DISTANCE, &["\"1,5\"", "\"1,5 m\"", "1,5", "1,5 m", "\"1,500 mm\""]), @r#"
    "1,5"  numbers are written with a decimal point: did you mean "1.5 m"?
    "1,5 m"  numbers are written with a decimal point: did you mean "1.5 m"?
    1,5  numbers are written with a decimal point: did you mean "1.5 m"?
    1,5 m  numbers are written with a decimal point: did you mean "1.5 m"?
    "1,500 mm"  numbers are written with a decimal point: did you mean "1.500 mm" or "1500 mm"?
    "#);
    insta::assert_snapshot!(told(AT, &["\"41,6\"", "41,6 deg"]), @r#"
    "41,6"  numbers are written with a decimal point: did you mean "41.6 deg"?
    41,6 deg  numbers are written with a decimal point: did you mean "41.6 deg"?
    "#);
    insta::assert_snapshot!(told("stop = 16", &["\"5,6\"", "\"f/5,6\"", "5,6", "5.6.", "f/5,6"]), @r#"
    "5,6"  `5,6` is not a stop: did you mean 5.6?
    "f/5,6"  `f/5,6` is not a stop: did you mean "f/5.6"?
    5,6  numbers are written with a decimal point: did you mean 5.6?
    5.6.  this is not a number: did you mean 5.6?
    f/5,6  numbers are written with a decimal point: did you mean "f/5.6"?
    "#);
    insta::assert_snapshot!(refused("steps = 1", "transmittance = 0,9"), @r#"
    error: numbers are written with a decimal point
      --> quarry.toml:26:17
       |
    26 | transmittance = 0,9
       |                 ^^^ did you mean 0.9?
    "#);
    insta::assert_snapshot!(refused("steps = 1", "transmittance = \"0,9\""), @r#"
    error: `transmittance` must be a bare number, not a text in quotes
      --> quarry.toml:26:17
       |
    26 | transmittance = "0,9"
       |                 ^^^^^ did you mean 0.9?
    "#);
    insta::assert_snapshot!(told("diameter = \"84 mm\"", &["84,5", "\"84,5 mm\"", "\"ø84 mm\"", "\"84 mm.\""]), @r#"
    84,5  numbers are written with a decimal point: did you mean "84.5 mm"?
    "84,5 mm"  numbers are written with a decimal point: did you mean "84.5 mm"?
    "ø84 mm"  `ø84` is not a number: did you mean "84 mm"?
    "84 mm."  a unit is written without a full stop: did you mean "84 mm"?
    "#);
}

#[test]
fn a_number_without_a_unit_is_proposed_with_those_it_can_have() {
    insta::assert_snapshot!(told(CLOSEST, &["\"0.25\"", "0.25", "25", "\"25\"", "450", "\"1200\""]), @r#"
    "0.25"  a length needs a unit: did you mean "0.25 m"?
    0.25  a length needs a unit: did you mean "0.25 m"?
    25  a length needs a unit: did you mean "25 m" or "25 cm"?
    "25"  a length needs a unit: did you mean "25 m" or "25 cm"?
    450  a length needs a unit: did you mean "450 mm"?
    "1200"  a length needs a unit: did you mean "1200 mm"?
    "#);
    insta::assert_snapshot!(told(DISTANCE, &["3", "\"30\"", "300"]), @r#"
    3  a distance needs a unit: did you mean "3 m"?
    "30"  a distance needs a unit: did you mean "30 m" or "30 cm"?
    300  a distance needs a unit: did you mean "300 mm"?
    "#);
    insta::assert_snapshot!(told("diameter = \"84 mm\"", &["84", "8.4", "\"1.9\"", "0.084", "4000"]), @r#"
    84  a length needs a unit: did you mean "84 mm"?
    8.4  a length needs a unit: did you mean "8.4 cm" or "8.4 in"?
    "1.9"  a length needs a unit: did you mean "1.9 cm" or "1.9 in"?
    0.084  a length needs a unit: did you mean "0.084 m"?
    4000  a length needs a unit: write it like "84 mm"
    "#);
    insta::assert_snapshot!(told("throw = \"90 deg\"", &["90", "\"90\"", "400"]), @r#"
    90  an angle needs a unit: did you mean "90 deg"?
    "90"  an angle needs a unit: did you mean "90 deg"?
    400  an angle needs a unit: write it like "90 deg"
    "#);
    insta::assert_snapshot!(refused("name = \"quarry\"", "name = \"quarry\"\nroom = 25"), @r#"
    error: a length needs a unit
     --> quarry.toml:3:8
      |
    3 | room = 25
      |        ^^ did you mean "25 m"?
    "#);
}

/// The spellings that a fault proposes.
fn proposed(label: &str) -> Vec<String> {
    let spellings = label.strip_prefix("did you mean ").and_then(|rest| rest.strip_suffix('?'));
    spellings.into_iter().flat_map(|spellings| spellings.split(" or ")).map(str::to_string).collect()
}

#[test]
fn what_is_proposed_is_not_answered_by_another_proposal() {
    let slips: [(&str, &[&str]); 7] = [
        (DISTANCE, &["\"30\"\"", "\"3'6\"\"", "30\"", "1,5", "\"1,5\"", "1500", "15", "inf", "\"1,500 mm\"", "1 m"]),
        (CLOSEST, &["0.6", "\"600\"", "60", "0,6", "60 cm", "\"24\"\""]),
        (AT, &["41.6", "41,6", "\"41,6\"", "41.6°"]),
        ("diameter = \"84 mm\"", &["84", "8.4", "84,5", "\"ø84 mm\"", "3 1/4\""]),
        ("throw = \"90 deg\"", &["90", "90,5", "90°"]),
        ("toward_close = \"clockwise\"", &["cw", "\"ccw\"", "Clockwise"]),
        ("name = \"Granite 50\"", &["Granite 50", "Gra'nite \"50\"", "\"the \"old\" one\"", "“Granite”", "\"Granite"]),
    ];
    let mut tried = 0;
    for (from, slips) in slips {
        let key = key(from);
        for slip in slips {
            let faults = faults(from, &format!("{key}{slip}"));
            let spellings = proposed(&faults.as_slice()[0].marks()[0].1);
            assert!(!spellings.is_empty(), "{slip}: {faults}");
            for spelling in spellings {
                tried += 1;
                let text = changed(from, &format!("{key}{spelling}"));
                // what is read may still not agree with the rest of the file
                let Err(again) = Set::parse("quarry.toml", &text, Path::new("")) else { continue };
                for fault in again.as_slice() {
                    let words: Vec<&str> = fault.marks().iter().map(|(_, label)| label.as_str()).collect();
                    let odd = words.iter().any(|label| label.contains("did you mean") || label.contains("write it"));
                    assert!(!odd && !fault.message().contains("TOML"), "{slip} -> {spelling}: {fault:?}");
                }
            }
        }
    }
    assert!(tried > 35, "{tried}");
}

#[test]
fn no_message_has_a_number_that_only_a_machine_would_write() {
    // each of these has a value that is no short number in mm or degrees
    let all = [
        ("width = \"11 mm\"", "width = \"0.43 in\", rear_diameter = \"3.3 in\", front_diameter = \"2 in\""),
        ("focal_length = \"50 mm\"", "focal_length = \"7.1 in\""),
        ("throw = \"90 deg\"", "throw = \"60.100000000000001 deg\""),
        ("throw = \"90 deg\"", "throw = \"90 deg\"\nprincipal_gap = \"500 mm\""),
        ("[style]", "[style]\ntick_width = \"0.011 in\"\nsmallest_gap = \"0.0161 in\""),
        (
            "{ distance = \"1 m\", at = \"41.6 deg\" },",
            "{ distance = \"1 m\", at = \"41.6 deg\" }, { distance = \"1 m\", at = \"52 deg\" },\n],\nreading_error = { at = \"0.3 mm\", read_on = \"2.44 in\" }\nengraved = [",
        ),
    ];
    for (from, to) in all {
        let text = changed(from, to)
            .replace("\n],\nreading_error", "\n]\nreading_error")
            .replace("focal_length = \"50 mm\"", "focal_length = \"2.1 in\"");
        let Err(faults) = Set::parse("quarry.toml", &text, Path::new("")) else { panic!("{to} was read") };
        for fault in faults.as_slice() {
            let marks = fault.marks().iter().map(|(_, label)| label.as_str());
            let said = [fault.message()].into_iter().chain(marks);
            let said = said.chain(fault.notes().iter().chain(fault.ways_out()).map(String::as_str));
            for word in said.flat_map(str::split_whitespace) {
                let decimals =
                    word.split_once('.').map_or(0, |(_, rest)| rest.chars().take_while(char::is_ascii_digit).count());
                assert!(decimals <= 4, "{word} in {fault:?}");
            }
        }
    }
}
