//! Tests: what the parser, the tables and the kinds of values refuse.

use super::refused;

#[test]
fn broken_toml_is_all_that_is_reported() {
    insta::assert_snapshot!(refused("[set]", r#"[set
name = = "x""#), @r#"
    error: this is not TOML
     --> quarry.toml:1:5
      |
    1 | [set
      |     ^ unclosed table, expected `]`

    error: this is not TOML
     --> quarry.toml:2:8
      |
    2 | name = = "x"
      |        ^ extra `=`
    "#);
}

#[test]
fn a_length_without_quotes_is_shown() {
    insta::assert_snapshot!(refused(r#"focal_length = "50 mm""#, "focal_length = 50 mm"), @r#"
    error: a text needs quotes
     --> quarry.toml:8:16
      |
    8 | focal_length = 50 mm
      |                ^^^^^ did you mean "50 mm"?
    "#);
}

#[test]
fn a_feet_and_inches_length_without_quotes_is_shown() {
    insta::assert_snapshot!(refused(r#"closest = "0.6 m""#, r#"closest = 4'6""#), @r#"
    error: a text needs quotes
      --> quarry.toml:14:11
       |
    14 | closest = 4'6"
       |           ^^^^ did you mean "4 ft 6 in"?
    "#);
}

#[test]
fn a_text_without_quotes_is_shown() {
    insta::assert_snapshot!(refused(r#"name = "quarry""#, "name = quarry"), @r#"
    error: a text needs quotes
     --> quarry.toml:2:8
      |
    2 | name = quarry
      |        ^^^^^^ did you mean "quarry"?
    "#);
}

#[test]
fn a_key_that_is_there_twice_is_shown() {
    insta::assert_snapshot!(refused(r#"focal_length = "50 mm""#, r#"focal_length = "50 mm"
focal_length = "35 mm""#), @r#"
    error: `focal_length` is there twice
     --> quarry.toml:9:1
      |
    9 | focal_length = "35 mm"
      | ^^^^^^^^^^^^ leave one of them out
    "#);
}

#[test]
fn tables_that_nest_too_deep_are_refused() {
    insta::assert_snapshot!(refused(r#"focal_length = "50 mm""#, "a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a = 1"), @"
    error: keys with dots nest too deep
    --> quarry.toml
     = help: a set file has tables within tables three deep, like [lens.focus]
    ");
}

#[test]
fn lists_that_nest_too_deep_are_refused() {
    insta::assert_snapshot!(refused("readings = [", "readings = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[["), @"
    error: lists or tables nest too deep
      --> quarry.toml:15:92
       |
    15 | readings = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[
       |                                                                                            ^ this is one too many
       |
       = help: a set file has tables within tables three deep, like [lens.focus]

    error: this is not TOML
      --> quarry.toml:26:10
       |
    26 | steps = 1
       |          ^ unclosed array, expected `]`
    ");
}

#[test]
fn an_unknown_table_suggests_the_near_one() {
    insta::assert_snapshot!(refused("[style]", "[stile]"), @"
    error: a set file has no key `stile`
     --> quarry.toml:4:2
      |
    4 | [stile]
      |  ^^^^^ did you mean `style`?
    ");
}

#[test]
fn an_unknown_key_suggests_the_near_one() {
    insta::assert_snapshot!(refused("closest =", "closset ="), @r#"
    error: a focus ring has no key `closset`
      --> quarry.toml:14:1
       |
    14 | closset = "0.6 m"
       | ^^^^^^^ did you mean `closest`?
    "#);
}

#[test]
fn an_unknown_key_without_a_near_one_lists_what_is_known() {
    insta::assert_snapshot!(refused("[style]", r#"[style]
colour = "red""#), @r#"
error: the style has no key `colour`
 --> quarry.toml:5:1
  |
5 | colour = "red"
  | ^^^^^^ known here: typeface, numeral_height, tick_width, numbered_tick, medium_tick, plain_tick, smallest_gap, label_gap, smallest_numeral, feet, inches, unit_sign, marks, extent, doubtful, trust_stop
"#);
}

#[test]
fn a_set_without_its_table_is_refused() {
    insta::assert_snapshot!(refused(r#"[set]
name = "quarry""#, ""), @r#"
    error: this set has no table [set]
    --> quarry.toml
     = help: begin the file with the lines [set] and name = "quarry"
    "#);
}

#[test]
fn a_set_without_a_name_points_at_its_header() {
    insta::assert_snapshot!(refused(r#"[set]
name = "quarry""#, "[set]"), @r#"
    error: the set needs `name`
     --> quarry.toml:1:1
      |
    1 | [set]
      | ^^^^^ add name = "quarry"
    "#);
}

#[test]
fn a_set_that_is_no_table_is_refused() {
    insta::assert_snapshot!(refused(r#"[set]
name = "quarry""#, r#"set = "quarry""#), @r#"
    error: `set` must be a table, not a text in quotes
     --> quarry.toml:1:7
      |
    1 | set = "quarry"
      |       ^^^^^^^^ write [set] and its keys below it
    "#);
}

#[test]
fn a_name_must_be_a_text() {
    insta::assert_snapshot!(refused(r#"name = "Granite 50""#, "name = 50"), @r#"
    error: `name` must be a text, not a bare number
     --> quarry.toml:7:8
      |
    7 | name = 50
      |        ^^ did you mean "50"?
    "#);
}

#[test]
fn a_name_is_not_a_list() {
    insta::assert_snapshot!(refused(r#"name = "Granite 50""#, r#"name = ["Granite 50"]"#), @r#"
    error: `name` must be a text, not a list
     --> quarry.toml:7:8
      |
    7 | name = ["Granite 50"]
      |        ^^^^^^^^^^^^^^ write it like "35 mm"
    "#);
}

#[test]
fn a_list_is_due_where_a_list_is_due() {
    insta::assert_snapshot!(refused("[set]", r#"[set]
units = "m""#), @r#"
    error: `units` must be a list, not a text in quotes
     --> quarry.toml:2:9
      |
    2 | units = "m"
      |         ^^^ write it like ["m", "ft"]
    "#);
}

#[test]
fn an_unknown_word_suggests_the_near_one() {
    insta::assert_snapshot!(refused(r#"toward_close = "clockwise""#, r#"toward_close = "clokwise""#), @r#"
    error: `toward_close` cannot be "clokwise"
      --> quarry.toml:13:16
       |
    13 | toward_close = "clokwise"
       |                ^^^^^^^^^^ did you mean "clockwise"?
    "#);
}

#[test]
fn the_other_word_for_counterclockwise_is_not_taken_for_clockwise() {
    insta::assert_snapshot!(refused(r#"toward_close = "clockwise""#, r#"toward_close = "anticlockwise""#), @r#"
    error: `toward_close` cannot be "anticlockwise"
      --> quarry.toml:13:16
       |
    13 | toward_close = "anticlockwise"
       |                ^^^^^^^^^^^^^^^ did you mean "counterclockwise"?
    "#);
}

#[test]
fn an_unknown_word_lists_what_is_allowed() {
    insta::assert_snapshot!(refused(r#"toward_close = "clockwise""#, r#"toward_close = "left""#), @r#"
    error: `toward_close` cannot be "left"
      --> quarry.toml:13:16
       |
    13 | toward_close = "left"
       |                ^^^^^^ allowed are "clockwise" and "counterclockwise"
    "#);
}

#[test]
fn a_word_must_be_a_word() {
    insta::assert_snapshot!(refused(r#"toward_close = "clockwise""#, "toward_close = true"), @r#"
    error: `toward_close` must be a word in quotes, not true or false
      --> quarry.toml:13:16
       |
    13 | toward_close = true
       |                ^^^^ allowed are "clockwise" and "counterclockwise"
    "#);
}

#[test]
fn a_count_must_be_one_of_the_few() {
    insta::assert_snapshot!(refused("closest =", r"repeat = 3
closest ="), @"
    error: `repeat` cannot be 3
      --> quarry.toml:14:10
       |
    14 | repeat = 3
       |          ^ allowed are 1 and 2
    ");
}

#[test]
fn a_count_must_be_a_whole_number() {
    insta::assert_snapshot!(refused("closest =", r"repeat = 1.5
closest ="), @"
    error: `repeat` cannot be 1.5
      --> quarry.toml:14:10
       |
    14 | repeat = 1.5
       |          ^^^ allowed are 1 and 2
    ");
}

#[test]
fn a_bare_number_is_due_for_a_transmittance() {
    insta::assert_snapshot!(refused("steps = 1", r#"transmittance = "0.9""#), @r#"
    error: `transmittance` must be a bare number, not a text in quotes
      --> quarry.toml:26:17
       |
    26 | transmittance = "0.9"
       |                 ^^^^^ did you mean 0.9?
    "#);
}

#[test]
fn a_bare_number_is_not_a_list() {
    insta::assert_snapshot!(refused("steps = 1", "transmittance = [0.9]"), @"
    error: `transmittance` must be a bare number, not a list
      --> quarry.toml:26:17
       |
    26 | transmittance = [0.9]
       |                 ^^^^^ allowed are 0.05 to 1
    ");
}

#[test]
fn a_count_is_no_list() {
    insta::assert_snapshot!(refused("steps = 1", "steps = [1]"), @"
    error: `steps` must be a bare number, not a list
      --> quarry.toml:26:9
       |
    26 | steps = [1]
       |         ^^^ allowed are 1, 2 and 3
    ");
}

#[test]
fn a_transmittance_lies_in_its_range() {
    insta::assert_snapshot!(refused("steps = 1", "transmittance = nan"), @"
    error: `transmittance` cannot be nan
      --> quarry.toml:26:17
       |
    26 | transmittance = nan
       |                 ^^^ allowed are 0.05 to 1
    ");
}

#[test]
fn a_ring_must_be_a_table() {
    insta::assert_snapshot!(refused(r#"ring = { diameter = "84 mm", width = "11 mm" }"#, r#"ring = "84 mm""#), @r#"
    error: `ring` must be a table, not a text in quotes
      --> quarry.toml:12:8
       |
    12 | ring = "84 mm"
       |        ^^^^^^^ write ring = { diameter = "84 mm", width = "11 mm" }
    "#);
}

#[test]
fn a_length_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, "diameter = 84"), @r#"
    error: a length needs a unit
      --> quarry.toml:12:21
       |
    12 | ring = { diameter = 84, width = "11 mm" }
       |                     ^^ did you mean "84 mm"?
    "#);
}

#[test]
fn a_length_in_quotes_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"diameter = "84""#), @r#"
    error: a length needs a unit
      --> quarry.toml:12:22
       |
    12 | ring = { diameter = "84", width = "11 mm" }
       |                      ^^ did you mean "84 mm"?
    "#);
}

#[test]
fn a_length_of_a_wrong_kind_is_shown() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, "diameter = 1979-05-27"), @r#"
    error: `diameter` must be a length, not a date
      --> quarry.toml:12:21
       |
    12 | ring = { diameter = 1979-05-27, width = "11 mm" }
       |                     ^^^^^^^^^^ write it like "84 mm"
    "#);
}

#[test]
fn a_length_that_cannot_be_read_is_underlined_where_it_fails() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"diameter = "84 furlongs""#), @r#"
    error: `furlongs` is not a unit known here
      --> quarry.toml:12:25
       |
    12 | ring = { diameter = "84 furlongs", width = "11 mm" }
       |                         ^^^^^^^^ lengths take mm, cm, m, in or ft; angles take deg or °
    "#);
}

#[test]
fn a_length_with_escapes_is_underlined_as_a_whole() {
    insta::assert_snapshot!(refused(r#"diameter = "84 mm""#, r#"diameter = "84\tfurlongs""#), @r#"
    error: `furlongs` is not a unit known here
      --> quarry.toml:12:21
       |
    12 | ring = { diameter = "84\tfurlongs", width = "11 mm" }
       |                     ^^^^^^^^^^^^^^ lengths take mm, cm, m, in or ft; angles take deg or °
    "#);
}

#[test]
fn an_angle_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, "throw = 90"), @r#"
    error: an angle needs a unit
      --> quarry.toml:20:9
       |
    20 | throw = 90
       |         ^^ did you mean "90 deg"?
    "#);
}

#[test]
fn a_distance_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"distance = "1 m""#, "distance = 1"), @r#"
    error: a distance needs a unit
      --> quarry.toml:17:18
       |
    17 |     { distance = 1, at = "41.6 deg" },
       |                  ^ did you mean "1 m"?
    "#);
}

#[test]
fn a_distance_of_a_wrong_kind_is_shown() {
    insta::assert_snapshot!(refused(r#"distance = "1 m""#, "distance = true"), @r#"
    error: `distance` must be a distance, not true or false
      --> quarry.toml:17:18
       |
    17 |     { distance = true, at = "41.6 deg" },
       |                  ^^^^ write it like "0.9 m"
    "#);
}

#[test]
fn a_distance_in_quotes_needs_a_unit() {
    insta::assert_snapshot!(refused(r#"distance = "1 m""#, r#"distance = "1""#), @r#"
    error: a distance needs a unit
      --> quarry.toml:17:18
       |
    17 |     { distance = "1", at = "41.6 deg" },
       |                  ^^^ did you mean "1 m"?
    "#);
}

#[test]
fn a_distance_is_not_below_zero() {
    insta::assert_snapshot!(refused(r#"distance = "1 m""#, r#"distance = "-1 m""#), @r#"
    error: a distance must be greater than zero
      --> quarry.toml:17:19
       |
    17 |     { distance = "-1 m", at = "41.6 deg" },
       |                   ^^^^ distances are measured from the image plane toward the subject
    "#);
}

#[test]
fn a_distance_beyond_belief_is_refused() {
    insta::assert_snapshot!(refused(r#"distance = "1 m""#, r#"distance = "20000 m""#), @r#"
    error: `distance` cannot be 20000 m
      --> quarry.toml:17:18
       |
    17 |     { distance = "20000 m", at = "41.6 deg" },
       |                  ^^^^^^^^^ allowed are 1 mm to 10 km, and "inf"
    "#);
}

#[test]
fn only_a_distance_can_be_infinite() {
    insta::assert_snapshot!(refused(r#"throw = "90 deg""#, r#"throw = "inf""#), @r#"
    error: `inf` is not a number
      --> quarry.toml:20:10
       |
    20 | throw = "inf"
       |          ^^^ write a number and its unit, like "84 mm" or "63.5 deg"
    "#);
}
