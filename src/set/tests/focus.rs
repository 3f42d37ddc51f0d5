//! Tests: focus rings and what is known of them.

use super::refused;

#[test]
fn a_ring_needs_a_diameter() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm", "#, ""), @r#"
    error: a ring needs `diameter`
      --> quarry.toml:12:8
       |
    12 | ring = { width = "11 mm" }
       |        ^^^^^^^^^^^^^^^^^^^ add diameter = "84 mm", or rear_diameter and front_diameter of a cone
    "#);
}

#[test]
fn a_ring_needs_a_width() {
    insta::assert_snapshot!(refused(r#", width = "11 mm""#, ""), @r#"
    error: a ring needs `width`
      --> quarry.toml:12:8
       |
    12 | ring = { diameter = "84 mm" }
       |        ^^^^^^^^^^^^^^^^^^^^^^ add width = "11 mm", measured along the face
    "#);
}

#[test]
fn a_diameter_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"diameter = "4 mm""#), @r#"
    error: `diameter` cannot be 4 mm
      --> quarry.toml:12:21
       |
    12 | ring = { diameter = "4 mm", width = "11 mm" }
       |                     ^^^^^^ allowed are 10 mm to 400 mm
    "#);
}

#[test]
fn a_cone_needs_both_diameters() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"rear_diameter = "84 mm""#), @r#"
    error: a ring needs `front_diameter`
      --> quarry.toml:12:8
       |
    12 | ring = { rear_diameter = "84 mm", width = "11 mm" }
       |        ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ add front_diameter = "80 mm", at the edge toward the subject
    "#);
}

#[test]
fn a_ring_is_no_cylinder_and_cone_at_once() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"diameter = "84 mm", front_diameter = "80 mm""#), @r#"
    error: this ring is a cylinder and a cone at once
      --> quarry.toml:12:8
       |
    12 | ring = { diameter = "84 mm", front_diameter = "80 mm", width = "11 mm" }
       |        ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ give `diameter`, or `rear_diameter` and `front_diameter`
    "#);
}

#[test]
fn a_cone_flatter_than_a_disc_is_refused() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"rear_diameter = "84 mm", front_diameter = "60 mm""#), @r#"
    error: no cone 11 mm wide has diameters 24.0 mm apart
      --> quarry.toml:12:8
       |
    12 | ring = { rear_diameter = "84 mm", front_diameter = "60 mm", width = "11 mm" }
       |        ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ they can differ by twice the width, 22 mm, at most
       |
       = help: check both diameters, and measure the width along the slope of the face
    "#);
}

#[test]
fn a_ring_needs_a_sense() {
    insta::assert_snapshot!(refused(r#"toward_close = "clockwise"
"#, ""), @r#"
    error: a focus ring needs `toward_close`
      --> quarry.toml:11:1
       |
    11 | [lens.focus]
       | ^^^^^^^^^^^^ add toward_close = "clockwise" or "counterclockwise", as seen from behind the camera
    "#);
}

#[test]
fn a_focus_ring_needs_its_face() {
    insta::assert_snapshot!(refused(r#"ring = { diameter = "84 mm", width = "11 mm" }
"#, ""), @r#"
    error: a focus ring needs `ring`
      --> quarry.toml:11:1
       |
    11 | [lens.focus]
       | ^^^^^^^^^^^^ add ring = { diameter = "84 mm", width = "11 mm" }
    "#);
}

#[test]
fn a_throw_is_no_more_than_one_turn() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"throw = "361 deg""#), @r#"
    error: `throw` cannot be 361 deg
      --> quarry.toml:20:9
       |
    20 | throw = "361 deg"
       |         ^^^^^^^^^ allowed are angles above 0 deg, up to 360 deg
    "#);
}

#[test]
fn a_throw_is_more_than_nothing() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"throw = "0 deg""#), @r#"
    error: `throw` cannot be 0 deg
      --> quarry.toml:20:9
       |
    20 | throw = "0 deg"
       |         ^^^^^^^ allowed are angles above 0 deg, up to 360 deg
    "#);
}

#[test]
fn a_focus_ring_needs_its_closest_distance() {
    insta::assert_snapshot!(refused(r#"closest = "0.6 m"
"#, ""), @r#"
    error: a focus ring needs `closest`
      --> quarry.toml:11:1
       |
    11 | [lens.focus]
       | ^^^^^^^^^^^^ add closest = "0.9 m", the nearest distance that comes into focus
    "#);
}

#[test]
fn a_whole_lens_cannot_focus_nearer_than_four_focal_lengths() {
    insta::assert_snapshot!(refused(r#"closest = "0.6 m""#, r#"closest = "190 mm""#), @r#"
    error: a 50 mm lens cannot focus at 190 mm
      --> quarry.toml:14:11
       |
    14 | closest = "190 mm"
       |           ^^^^^^^^ at least 200 mm, measured from the image plane
       |
       = note: a lens moved as a whole stays four focal lengths and the gap of its principal planes away
       = help: if only a group of the lens moves, say moves = "front" or moves = "inside"
    "#);
}

#[test]
fn no_lens_focuses_nearer_than_its_focal_length() {
    insta::assert_snapshot!(refused(r#"closest = "0.6 m""#, r#"closest = "40 mm"
moves = "inside""#), @r#"
    error: a 50 mm lens cannot focus at 40 mm
      --> quarry.toml:14:11
       |
    14 | closest = "40 mm"
       |           ^^^^^^^ at least 50 mm, measured from the image plane
    "#);
}

#[test]
fn a_lead_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"lead = "500 mm""#), @r#"
    error: `lead` cannot be 500 mm
      --> quarry.toml:20:8
       |
    20 | lead = "500 mm"
       |        ^^^^^^^^ allowed are 0.1 mm to 400 mm
    "#);
}

#[test]
fn a_principal_gap_lies_within_twelve_focal_lengths() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"principal_gap = "-610 mm""#), @r#"
    error: `principal_gap` cannot be -610 mm
      --> quarry.toml:20:17
       |
    20 | principal_gap = "-610 mm"
       |                 ^^^^^^^^^ allowed are -600 mm to 600 mm
    "#);
}

#[test]
fn an_error_of_distance_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"reading_error = { distance = "5" }"#), @r#"
    error: a length needs a unit
      --> quarry.toml:20:31
       |
    20 | reading_error = { distance = "5" }
       |                               ^ did you mean "5 mm"?
       |
       = help: an error of distance looks like "5 mm" or "5 mm + 0.3 %"
    "#);
}

#[test]
fn an_error_of_distance_is_no_bare_number() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, "reading_error = { distance = 5 }"), @r#"
    error: an error needs a unit
      --> quarry.toml:20:30
       |
    20 | reading_error = { distance = 5 }
       |                              ^ did you mean "5 mm"?
    "#);
}

#[test]
fn an_error_of_distance_has_one_length_and_one_share() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"reading_error = { distance = "5 mm + 1 % + 2 %" }"#), @r#"
    error: an error of distance has one length and one share at most
      --> quarry.toml:20:30
       |
    20 | reading_error = { distance = "5 mm + 1 % + 2 %" }
       |                              ^^^^^^^^^^^^^^^^^^ write it like "5 mm" or "5 mm + 0.3 %"
    "#);
}

#[test]
fn an_error_of_distance_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"reading_error = { distance = "5 m" }"#), @r#"
    error: `distance` cannot be 5 m
      --> quarry.toml:20:30
       |
    20 | reading_error = { distance = "5 m" }
       |                              ^^^^^ allowed are 0 mm to 1 m, and a share in %
    "#);
}

#[test]
fn a_share_of_distance_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"reading_error = { distance = "5 mm + 30 %" }"#), @r#"
    error: `distance` cannot be 5 mm + 30 %
      --> quarry.toml:20:30
       |
    20 | reading_error = { distance = "5 mm + 30 %" }
       |                              ^^^^^^^^^^^^^ allowed are 0 % to 20 % of the distance
    "#);
}

#[test]
fn an_error_of_position_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"reading_error = { at = "0 deg" }"#), @r#"
    error: the error `at` cannot be 0 deg
      --> quarry.toml:20:24
       |
    20 | reading_error = { at = "0 deg" }
       |                        ^^^^^^^ allowed are 0.001 deg to 30 deg
    "#);
}

#[test]
fn an_error_of_position_along_a_ring_needs_its_diameter() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"reading_error = { at = "0.5 mm" }"#), @r#"
    error: a length along a ring says nothing without that ring's diameter
      --> quarry.toml:20:24
       |
    20 | reading_error = { at = "0.5 mm" }
       |                        ^^^^^^^^ add read_on = "62 mm" with the diameter of the ring this was read on
       |
       = help: or give the turn itself, like "84 deg"
    "#);
}

#[test]
fn a_diameter_read_on_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"read_on = "1 mm""#), @r#"
    error: `read_on` cannot be 1 mm
      --> quarry.toml:20:11
       |
    20 | read_on = "1 mm"
       |           ^^^^^^ allowed are 10 mm to 400 mm
    "#);
}

#[test]
fn stops_beside_the_index_are_read_from_the_widest_on() {
    let set = super::read(&super::changed("throw = ", "depth_marks = [11, \"f/5.6\"]\nhyperfocal = [8]\nthrow = "));
    let focus = set.lenses[0].focus.as_ref().unwrap();
    let labels = |stops: &[crate::units::Stop]| stops.iter().map(|stop| stop.label()).collect::<Vec<_>>();
    assert_eq!(
        (labels(&focus.depth_marks), labels(&focus.hyperfocal)),
        (vec!["5.6".into(), "11".into()], vec!["8".into()])
    );
    let bare = super::read(super::SAMPLE);
    let bare = bare.lenses[0].focus.as_ref().unwrap();
    assert!(bare.depth_marks.is_empty() && bare.hyperfocal.is_empty());
}

#[test]
fn stops_beside_the_index_are_no_wider_than_the_lens_and_named_once() {
    insta::assert_snapshot!(refused("throw = ", "depth_marks = [1.4, 8, 8, \"T5.6\"]\nthrow = "), @r#"
error: f/1.4 is wider than this lens opens
  --> quarry.toml:20:16
   |
20 | depth_marks = [1.4, 8, 8, "T5.6"]
   |                ^^^ its widest stop is 2

error: `depth_marks` names f/8 twice
  --> quarry.toml:20:24
   |
20 | depth_marks = [1.4, 8, 8, "T5.6"]
   |                        ^ name each stop once

error: `depth_marks` is an f-stop here, and `T5.6` is a T-stop
  --> quarry.toml:20:27
   |
20 | depth_marks = [1.4, 8, 8, "T5.6"]
   |                           ^^^^^^ write it like 2.8 or "f/2.8"; T-stops go with scale = "T" of an iris
"#);
}

#[test]
fn no_more_than_six_stops_stand_beside_the_index() {
    insta::assert_snapshot!(refused("throw = ", "hyperfocal = [2, 2.8, 4, 5.6, 8, 11, 16]\nthrow = "), @r#"
error: `hyperfocal` has 7 stops
  --> quarry.toml:20:14
   |
20 | hyperfocal = [2, 2.8, 4, 5.6, 8, 11, 16]
   |              ^^^^^^^^^^^^^^^^^^^^^^^^^^^ up to 6 are marked
"#);
}

#[test]
fn stops_beside_the_index_are_a_list() {
    insta::assert_snapshot!(refused("throw = ", "depth_marks = 8\nthrow = "), @r#"
error: `depth_marks` must be a list, not a bare number
  --> quarry.toml:20:15
   |
20 | depth_marks = 8
   |               ^ write it like depth_marks = [5.6, 11]
"#);
}
