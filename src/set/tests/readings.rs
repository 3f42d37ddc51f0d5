//! Tests: readings and what they say about each other.

use super::{changed, refusals, refused};

#[test]
fn a_reading_needs_a_position() {
    insta::assert_snapshot!(refused(r#", at = "41.6 deg""#, ""), @r#"
    error: a reading of a focus ring needs `at`
      --> quarry.toml:17:5
       |
    17 |     { distance = "1 m" },
       |     ^^^^^^^^^^^^^^^^^^^^ add { distance = "0.9 m", at = "84 deg" }
    "#);
}

#[test]
fn a_reading_needs_a_distance() {
    insta::assert_snapshot!(refused(r#"distance = "1 m", "#, ""), @r#"
    error: a reading of a focus ring needs `distance`
      --> quarry.toml:17:5
       |
    17 |     { at = "41.6 deg" },
       |     ^^^^^^^^^^^^^^^^^^^ add { distance = "0.9 m", at = "84 deg" }
    "#);
}

#[test]
fn a_reading_has_known_keys() {
    insta::assert_snapshot!(refused(r#"distance = "1 m""#, r#"dist = "1 m""#), @r#"
    error: a reading of a focus ring has no key `dist`
      --> quarry.toml:17:7
       |
    17 |     { dist = "1 m", at = "41.6 deg" },
       |       ^^^^ did you mean `distance`?
    "#);
}

#[test]
fn a_reading_must_be_a_table() {
    insta::assert_snapshot!(refused(r#"{ distance = "1 m", at = "41.6 deg" }"#, r#""1 m""#), @r#"
    error: `readings` must be a table, not a text in quotes
      --> quarry.toml:17:5
       |
    17 |     "1 m",
       |     ^^^^^ write { distance = "0.9 m", at = "84 deg" }
    "#);
}

#[test]
fn a_position_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, "at = 41.6"), @r#"
    error: a position on the ring needs a unit
      --> quarry.toml:17:30
       |
    17 |     { distance = "1 m", at = 41.6 },
       |                              ^^^^ did you mean "41.6 deg"?
    "#);
}

#[test]
fn a_position_in_quotes_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "41.6""#), @r#"
    error: a position on the ring needs a unit
      --> quarry.toml:17:30
       |
    17 |     { distance = "1 m", at = "41.6" },
       |                              ^^^^^^ did you mean "41.6 deg"?
       |
       = help: a length along a ring will do too, with that ring's diameter: at = "61.3 mm", read_on = "62 mm"
    "#);
}

#[test]
fn a_position_that_cannot_be_read_is_refused() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "41,6 deg""#), @r#"
    error: numbers are written with a decimal point
      --> quarry.toml:17:31
       |
    17 |     { distance = "1 m", at = "41,6 deg" },
       |                               ^^^ did you mean "41.6 deg"?
    "#);
}

#[test]
fn a_position_along_a_ring_needs_its_diameter() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "30.5 mm""#), @r#"
    error: a length along a ring says nothing without that ring's diameter
      --> quarry.toml:17:30
       |
    17 |     { distance = "1 m", at = "30.5 mm" },
       |                              ^^^^^^^^^ add read_on = "62 mm" with the diameter of the ring this was read on
       |
       = help: or give the turn itself, like "84 deg"
    "#);
}

#[test]
fn a_position_beyond_belief_is_refused() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "4000 deg""#), @r#"
    error: `at` cannot be 4000 deg
      --> quarry.toml:17:30
       |
    17 |     { distance = "1 m", at = "4000 deg" },
       |                              ^^^^^^^^^^ allowed are positions up to ten turns from zero
    "#);
}

#[test]
fn both_faults_of_a_reading_are_reported() {
    insta::assert_snapshot!(refused(r#"distance = "1 m", at = "41.6 deg""#, "distance = 1, at = 41.6"), @r#"
    error: a distance needs a unit
      --> quarry.toml:17:18
       |
    17 |     { distance = 1, at = 41.6 },
       |                  ^ did you mean "1 m"?

    error: a position on the ring needs a unit
      --> quarry.toml:17:26
       |
    17 |     { distance = 1, at = 41.6 },
       |                          ^^^^ did you mean "41.6 deg"?
    "#);
}

#[test]
fn readings_that_run_backwards_are_named() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "78 deg""#), @r#"
    error: these readings run backwards
      --> quarry.toml:18:5
       |
    17 |     { distance = "1 m", at = "78 deg" },
       |     ----------------------------------- 1 m at 78.0 deg
    18 |     { distance = "0.6 m", at = "75.9 deg" },
       |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 0.6 m at 75.9 deg
       |
       = note: the angle must grow toward close focus, and the nearer of the two lies 2.1 deg before the other
       = help: check in which sense the ring was read and where its zero was
       = help: or exchange their positions, if they were written down in each other's place
    "#);
}

#[test]
fn a_ring_read_in_the_wrong_sense_is_named_once() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "-42 deg""#), @r#"
    error: these readings run backwards
      --> quarry.toml:17:5
       |
    16 |     { distance = "inf", at = "0 deg" },
       |     ---------------------------------- infinity at 0.0 deg
    17 |     { distance = "1 m", at = "-42 deg" },
       |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 1 m at -42.0 deg
       |
       = note: the angle must grow toward close focus, and the nearer of the two lies 42.0 deg before the other
       = help: check in which sense the ring was read and where its zero was
       = help: or exchange their positions, if they were written down in each other's place
    "#);
}

#[test]
fn two_distances_at_one_angle_are_named() {
    insta::assert_snapshot!(refused(r#"at = "41.6 deg""#, r#"at = "75.9 deg""#), @r#"
    error: two distances cannot share one angle
      --> quarry.toml:18:5
       |
    17 |     { distance = "1 m", at = "75.9 deg" },
       |     ------------------------------------- 1 m at 75.9 deg
    18 |     { distance = "0.6 m", at = "75.9 deg" },
       |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 0.6 m at 75.9 deg
       |
       = note: by the other values they lie about 30 deg apart
       = help: one of the two was written down wrongly; read the ring again at both
    "#);
}

#[test]
fn one_distance_at_two_angles_is_named() {
    insta::assert_snapshot!(refused(r#"{ distance = "1 m""#, r#"{ distance = "1 m", at = "38 deg" }, { distance = "1 m""#), @r#"
    error: one distance was read at two angles
      --> quarry.toml:17:42
       |
    17 |     { distance = "1 m", at = "38 deg" }, { distance = "1 m", at = "41.6 deg" },
       |     -----------------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 1 m at 41.6 deg
       |     |
       |     1 m at 38.0 deg
       |
       = note: they are 3.6 deg apart, more than an error of 0.5 deg explains
       = help: take the wrong one out, or give the error of your readings in `reading_error`
    "#);
}

#[test]
fn a_reading_nearer_than_closest_is_named() {
    insta::assert_snapshot!(refused(r#"closest = "0.6 m""#, r#"closest = "0.8 m""#), @r#"
    error: a reading is nearer than `closest`, 0.8 m
      --> quarry.toml:18:5
       |
    18 |     { distance = "0.6 m", at = "75.9 deg" },
       |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 0.6 m at 75.9 deg
       |
       = help: check the distance, or set `closest` to what the lens reaches; both count from the image plane
    "#);
}

#[test]
fn readings_wider_than_the_throw_are_named() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"throw = "70 deg""#), @r#"
    error: these readings do not fit the throw
      --> quarry.toml:18:5
       |
    16 |     { distance = "inf", at = "0 deg" },
       |     ---------------------------------- infinity at 0.0 deg
    17 |     { distance = "1 m", at = "41.6 deg" },
    18 |     { distance = "0.6 m", at = "75.9 deg" },
       |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 0.6 m at 75.9 deg
       |
       = note: they span 75.9 deg, and `throw` lets the ring turn 70 deg
       = help: measure the throw from stop to stop again, or check the two readings
    "#);
}

#[test]
fn readings_of_more_than_one_turn_are_named() {
    insta::assert_snapshot!(refused(r#"at = "75.9 deg""#, r#"at = "400 deg""#), @r#"
    error: these readings are more than one turn apart
      --> quarry.toml:18:5
       |
    16 |     { distance = "inf", at = "0 deg" },
       |     ---------------------------------- infinity at 0.0 deg
    17 |     { distance = "1 m", at = "41.6 deg" },
    18 |     { distance = "0.6 m", at = "400 deg" },
       |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 0.6 m at 400.0 deg
       |
       = note: they span 400.0 deg, and a scale goes round its ring once
       = help: check the diameter in `read_on` if the positions are lengths along a ring
    "#);
}

#[test]
fn a_scale_from_nothing_is_refused() {
    insta::assert_snapshot!(refused(r#"readings = [
    { distance = "inf", at = "0 deg" },
    { distance = "1 m", at = "41.6 deg" },
    { distance = "0.6 m", at = "75.9 deg" },
]
throw = "90 deg""#, "readings = []"), @"
    error: there is nothing to compute this scale from
      --> quarry.toml:11:1
       |
    11 | [lens.focus]
       | ^^^^^^^^^^^^ add `readings`, `lead` or `throw`
       |
       = help: tape some distances and read the ring's turn at each, or measure the travel of one full turn
    ");
}

#[test]
fn too_many_readings_are_refused() {
    let text = changed("    { distance = \"inf\", at = \"0 deg\" },\n", &"{},".repeat(10_001));
    insta::assert_snapshot!(refusals(&text), @"
    error: these are too many readings
      --> quarry.toml:15:1
       |
    15 | readings = [
       | ^^^^^^^^ 10003 stand here; up to 10000 of one ring are read
    ");
}

#[test]
fn a_list_and_a_file_are_refused() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"readings_file = "nowhere.csv""#), @r#"
    error: readings come from a list or from a file, not from both
      --> quarry.toml:20:1
       |
    15 | readings = [
       | -------- the other
    ...
    20 | readings_file = "nowhere.csv"
       | ^^^^^^^^^^^^^ leave out this or `readings`

    error: `nowhere.csv` was not read: there is no such file
      --> quarry.toml:20:17
       |
    20 | readings_file = "nowhere.csv"
       |                 ^^^^^^^^^^^^^ check the spelling and the folder
    "#);
}

#[test]
fn a_curve_needs_three_readings() {
    let text =
        changed("    { distance = \"1 m\", at = \"41.6 deg\" },\n", "").replace("throw", "law = \"curve\"\nthrow");
    insta::assert_snapshot!(refusals(&text), @r#"
    error: there are too few readings for a curve
      --> quarry.toml:11:1
       |
    11 | [lens.focus]
       | ^^^^^^^^^^^^ a curve needs readings at three distances, of which infinity may be one
       |
       = note: found here: two distances
       = help: or leave out law = "curve"
    "#);
}

#[test]
fn all_readings_that_are_nearer_than_closest_are_named() {
    let near: String = (0..8).map(|i| format!("{{ distance = \"0.7 m\", at = \"6{i} deg\" }},\n")).collect();
    let text = changed("    { distance = \"1 m\"", &format!("{near}    {{ distance = \"1 m\""))
        .replace("closest = \"0.6 m\"", "closest = \"0.9 m\"");
    let text = text.replace("throw =", "reading_error = { at = \"3 deg\" }\nthrow =");
    insta::assert_snapshot!(refusals(&text), @r#"
    error: a reading is nearer than `closest`, 0.9 m
      --> quarry.toml:17:1
       |
    17 | { distance = "0.7 m", at = "60 deg" },
       | ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 0.7 m at 60.0 deg
    18 | { distance = "0.7 m", at = "61 deg" },
       | ------------------------------------- 0.7 m at 61.0 deg
    19 | { distance = "0.7 m", at = "62 deg" },
       | ------------------------------------- 0.7 m at 62.0 deg
    20 | { distance = "0.7 m", at = "63 deg" },
       | ------------------------------------- 0.7 m at 63.0 deg
    21 | { distance = "0.7 m", at = "64 deg" },
       | ------------------------------------- 0.7 m at 64.0 deg
    22 | { distance = "0.7 m", at = "65 deg" },
       | ------------------------------------- 0.7 m at 65.0 deg
       |
       = note: and 3 further readings
       = help: check the distance, or set `closest` to what the lens reaches; both count from the image plane
    "#);
}

#[test]
fn a_faulty_diameter_is_one_fault_and_not_one_more_for_every_reading() {
    let text =
        changed("41.6 deg", "30.5 mm").replace("throw =", "read_on = 84\nreading_error = { at = \"0.3 mm\" }\nthrow =");
    insta::assert_snapshot!(refusals(&text), @r#"
    error: a length needs a unit
      --> quarry.toml:20:11
       |
    20 | read_on = 84
       |           ^^ did you mean "84 mm"?
    "#);
}
