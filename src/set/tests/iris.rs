//! Tests: iris rings and their readings.

use super::{Path, Set, changed, refusals, refused};

#[test]
fn an_iris_needs_two_stops() {
    insta::assert_snapshot!(refused(r#"{ stop = 16, at = "60 deg" }"#, r#"{ stop = 2, at = "0.5 deg" }"#), @r#"
    error: an iris ring needs readings at two stops
      --> quarry.toml:25:1
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 2, at = "0.5 deg" }]
       | ^^^^^^^^ add { stop = 5.6, at = "22 deg" } and the like
       |
       = help: read the ring's turn, or the old marks along the old ring, at the widest and the smallest stop
    "#);
}

#[test]
fn an_iris_without_readings_is_refused() {
    insta::assert_snapshot!(refused(r#"readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "60 deg" }]
"#, ""), @r#"
    error: an iris ring needs readings at two stops
      --> quarry.toml:22:1
       |
    22 | [lens.iris]
       | ^^^^^^^^^^^ add { stop = 5.6, at = "22 deg" } and the like
       |
       = help: read the ring's turn, or the old marks along the old ring, at the widest and the smallest stop
    "#);
}

#[test]
fn an_iris_curve_needs_three_stops() {
    insta::assert_snapshot!(refused("steps = 1", r#"law = "curve""#), @r#"
    error: an iris ring needs readings at three stops for a curve
      --> quarry.toml:25:1
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "60 deg" }]
       | ^^^^^^^^ add { stop = 5.6, at = "22 deg" } and the like
       |
       = help: read the ring's turn, or the old marks along the old ring, at the widest and the smallest stop
    "#);
}

#[test]
fn stops_that_run_backwards_are_named() {
    insta::assert_snapshot!(refused(r#"at = "60 deg""#, r#"at = "-60 deg""#), @r#"
    error: these readings run backwards
      --> quarry.toml:25:41
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "-60 deg" }]
       |             --------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ f/16 at -60.0 deg
       |             |
       |             f/2 at 0.0 deg
       |
       = note: the angle must grow from open toward closed
       = help: check in which sense the ring was read and where its zero was
    "#);
}

#[test]
fn two_stops_at_one_angle_are_named() {
    insta::assert_snapshot!(refused(r#"at = "60 deg""#, r#"at = "0 deg""#), @r#"
    error: these readings run backwards
      --> quarry.toml:25:41
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "0 deg" }]
       |             --------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^ f/16 at 0.0 deg
       |             |
       |             f/2 at 0.0 deg
       |
       = note: the angle must grow from open toward closed
       = help: check in which sense the ring was read and where its zero was
    "#);
}

#[test]
fn one_stop_at_two_angles_is_named() {
    insta::assert_snapshot!(refused("{ stop = 16", r#"{ stop = 16, at = "50 deg" }, { stop = 16"#), @r#"
    error: one stop was read at two angles
      --> quarry.toml:25:71
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "50 deg" }, { stop = 16, at = "60 deg" }]
       |                                         ----------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^ f/16 at 60.0 deg
       |                                         |
       |                                         f/16 at 50.0 deg
       |
       = note: they are 10.0 deg apart, more than an error of 0.5 deg explains
       = help: take the wrong one out, or give the error of your readings in `reading_error`
    "#);
}

#[test]
fn an_iris_of_more_than_one_turn_is_named() {
    insta::assert_snapshot!(refused(r#"at = "60 deg""#, r#"at = "361 deg""#), @r#"
    error: these readings are more than one turn apart
      --> quarry.toml:25:41
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "361 deg" }]
       |             --------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ f/16 at 361.0 deg
       |             |
       |             f/2 at 0.0 deg
       |
       = note: they span 361.0 deg, and a scale goes round its ring once
       = help: check the diameter in `read_on` if the positions are lengths along a ring
    "#);
}

#[test]
fn a_stop_lies_in_its_range() {
    insta::assert_snapshot!(refused("stop = 16", "stop = 1600"), @r#"
    error: `stop` cannot be 1600
      --> quarry.toml:25:50
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 1600, at = "60 deg" }]
       |                                                  ^^^^ allowed are 0.5 to 256
    "#);
}

#[test]
fn a_stop_of_a_reading_must_be_a_stop() {
    insta::assert_snapshot!(refused("stop = 16", r#"stop = "sixteen""#), @r#"
    error: `sixteen` is not a stop
      --> quarry.toml:25:50
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = "sixteen", at = "60 deg" }]
       |                                                  ^^^^^^^^^ write it like 2.8 or "f/2.8"
    "#);
}

#[test]
fn a_t_stop_on_an_f_scale_is_refused() {
    insta::assert_snapshot!(refused("stop = 16", r#"stop = "T16""#), @r#"
    error: `stop` is an f-stop here, and `T16` is a T-stop
      --> quarry.toml:25:50
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = "T16", at = "60 deg" }]
       |                                                  ^^^^^ write it like 2.8 or "f/2.8"; T-stops go with scale = "T" of an iris
    "#);
}

#[test]
fn a_reading_wider_than_the_lens_is_named() {
    insta::assert_snapshot!(refused(r"widest_stop = 2
", r"widest_stop = 2.8
"), @r#"
    error: a reading is wider than `widest_stop`, f/2.8
      --> quarry.toml:25:13
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "60 deg" }]
       |             ^^^^^^^^^^^^^^^^^^^^^^^^^^ f/2 at 0.0 deg
       |
       = help: check the reading, or set `widest_stop` to what the lens opens to
    "#);
}

#[test]
fn a_smallest_stop_leaves_something_to_mark() {
    insta::assert_snapshot!(refused("steps = 1", "smallest_stop = 2"), @"
    error: `smallest_stop` 2 leaves no stop to mark
      --> quarry.toml:26:17
       |
    26 | smallest_stop = 2
       |                 ^ more than 2, the widest stop that was read
    ");
}

#[test]
fn a_curve_ends_at_its_last_stop() {
    insta::assert_snapshot!(refused("steps = 1", r#"law = "curve"
smallest_stop = 22"#), @r#"
    error: an iris ring needs readings at three stops for a curve
      --> quarry.toml:25:1
       |
    25 | readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "60 deg" }]
       | ^^^^^^^^ add { stop = 5.6, at = "22 deg" } and the like
       |
       = help: read the ring's turn, or the old marks along the old ring, at the widest and the smallest stop

    error: a curve ends at its last reading, 16
      --> quarry.toml:27:17
       |
    27 | smallest_stop = 22
       |                 ^^ up to 16, or add a reading at this stop
    "#);
}

#[test]
fn f_stops_are_not_printed_as_t_stops() {
    let (from, f_stop) = (r#"readings = [{ stop = 2,"#, r#"readings = [{ stop = "f/2","#);
    let told = refused(from, &format!("scale = \"T\"\n{f_stop}"));
    assert!(told.contains("this scale shows T-stops, and `f/2` is an f-stop"), "{told}");
    let with_glass = changed(from, &format!("scale = \"T\"\ntransmittance = 0.9\n{f_stop}"));
    assert!(Set::parse("quarry.toml", &with_glass, Path::new("")).is_ok(), "f-stops go with a transmittance");
}

#[test]
fn an_iris_needs_a_sense() {
    insta::assert_snapshot!(refused(r#"toward_closed = "clockwise"
"#, ""), @r#"
    error: an iris ring needs `toward_closed`
      --> quarry.toml:22:1
       |
    22 | [lens.iris]
       | ^^^^^^^^^^^ add toward_closed = "clockwise" or "counterclockwise", as seen from behind the camera
    "#);
}

#[test]
fn steps_are_one_two_or_three() {
    insta::assert_snapshot!(refused("steps = 1", "steps = 4"), @"
    error: `steps` cannot be 4
      --> quarry.toml:26:9
       |
    26 | steps = 4
       |         ^ allowed are 1, 2 and 3
    ");
}

#[test]
fn blades_need_the_widest_stop() {
    let text = changed("widest_stop = 2\n", "").replace("steps = 1", "law = \"blades\"");
    insta::assert_snapshot!(refusals(&text), @r#"
    error: blades are computed from the widest stop, and this lens names none
      --> quarry.toml:25:7
       |
    25 | law = "blades"
       |       ^^^^^^^^ add widest_stop = 2.8 to the lens
       |
       = help: it is the stop at which the blades just clear the glass, as engraved on the name ring
    "#);
}
