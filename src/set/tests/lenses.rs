//! Tests: lenses, the style and the processes.

use super::refused;

#[test]
fn a_unit_that_is_listed_twice_is_refused() {
    insta::assert_snapshot!(refused("[set]", r#"[set]
units = ["m", "m"]"#), @r#"
    error: this unit is listed twice
     --> quarry.toml:2:15
      |
    2 | units = ["m", "m"]
      |               ^^^ leave one of them out
    "#);
}

#[test]
fn a_list_of_no_units_is_refused() {
    insta::assert_snapshot!(refused("[set]", r"[set]
units = []"), @r#"
    error: a focus scale needs a unit
     --> quarry.toml:2:9
      |
    2 | units = []
      |         ^^ write one or both of ["m", "ft"]
    "#);
}

#[test]
fn an_unknown_unit_is_refused() {
    insta::assert_snapshot!(refused("[set]", r#"[set]
units = ["m", "yd"]"#), @r#"
    error: `units` cannot be "yd"
     --> quarry.toml:2:15
      |
    2 | units = ["m", "yd"]
      |               ^^^^ allowed are "m" and "ft"
    "#);
}

#[test]
fn a_typeface_that_is_not_there_is_refused() {
    insta::assert_snapshot!(refused("[style]", r#"[style]
typeface = "nowhere.ttf""#), @r#"
    error: `nowhere.ttf` is no typeface: there is no such file
     --> quarry.toml:5:12
      |
    5 | typeface = "nowhere.ttf"
      |            ^^^^^^^^^^^^^ allowed are "plain", "bold", "stencil" and the name of a font file beside the set
    "#);
}

#[test]
fn a_misspelt_typeface_suggests_the_near_one() {
    insta::assert_snapshot!(refused("[style]", r#"[style]
typeface = "plian""#), @r#"
    error: `plian` is no typeface: there is no such file
     --> quarry.toml:5:12
      |
    5 | typeface = "plian"
      |            ^^^^^^^ did you mean "plain"?
    "#);
}

#[test]
fn a_numeral_height_lies_in_its_range() {
    insta::assert_snapshot!(refused("[style]", r#"[style]
numeral_height = "0.9 mm""#), @r#"
    error: `numeral_height` cannot be 0.9 mm
     --> quarry.toml:5:18
      |
    5 | numeral_height = "0.9 mm"
      |                  ^^^^^^^^ allowed are 1.2 mm to 8 mm
    "#);
}

#[test]
fn ticks_must_not_run_together() {
    insta::assert_snapshot!(refused("[style]", r#"[style]
tick_width = "0.5 mm"
smallest_gap = "0.8 mm""#), @r#"
    error: ticks 0.5 mm wide and 0.8 mm apart would run together
     --> quarry.toml:6:16
      |
    6 | smallest_gap = "0.8 mm"
      |                ^^^^^^^^ at least 1 mm, twice `tick_width`
    "#);
}

#[test]
fn an_extent_is_one_of_two_words() {
    insta::assert_snapshot!(refused("[style]", r#"[style]
extent = "half""#), @r#"
    error: `extent` cannot be "half"
     --> quarry.toml:5:10
      |
    5 | extent = "half"
      |          ^^^^^^ allowed are "used" and "full turn"
    "#);
}

#[test]
fn a_film_thickness_lies_in_its_range() {
    insta::assert_snapshot!(refused("[style]", r#"[process.film]
thickness = "1.2 mm"
[style]"#), @r#"
    error: `thickness` cannot be 1.2 mm
     --> quarry.toml:5:13
      |
    5 | thickness = "1.2 mm"
      |             ^^^^^^^^ allowed are 0 mm to 1 mm
    "#);
}

#[test]
fn what_a_process_cannot_be_is_refused_key_by_key() {
    insta::assert_snapshot!(refused("[style]", r#"[process.film]
mirrored = "yes"
ruler_long = "200 mm"
[process.vinyl]
cut = "stencil"
stroke = 0.4
knife = "0.25 mm"
[process.engrave]
tool = "3 mm"
rotary = 1
[style]"#), @r#"
error: `mirrored` must be true or false, not a text in quotes
 --> quarry.toml:5:12
  |
5 | mirrored = "yes"
  |            ^^^^^ did you mean true?

error: `ruler_long` cannot be 200 mm
 --> quarry.toml:6:14
  |
6 | ruler_long = "200 mm"
  |              ^^^^^^^^ allowed are 216 mm to 264 mm

error: `cut` cannot be "stencil"
 --> quarry.toml:8:7
  |
8 | cut = "stencil"
  |       ^^^^^^^^^ allowed are "marks" and "mask"

error: a length needs a unit
 --> quarry.toml:9:10
  |
9 | stroke = 0.4
  |          ^^^ did you mean "0.4 mm"?

error: the vinyl has no key `knife`
  --> quarry.toml:10:1
   |
10 | knife = "0.25 mm"
   | ^^^^^ did you mean `knife_offset`?

error: `tool` cannot be 3 mm
  --> quarry.toml:12:8
   |
12 | tool = "3 mm"
   |        ^^^^^^ allowed are 0.02 mm to 2 mm

error: `rotary` must be true or false, not a bare number
  --> quarry.toml:13:10
   |
13 | rotary = 1
   |          ^ write true or false, without quotes
"#);
}

#[test]
fn an_unknown_process_is_refused() {
    insta::assert_snapshot!(refused("[style]", r"[process.etch]
[style]"), @"
    error: the table of processes has no key `etch`
     --> quarry.toml:4:10
      |
    4 | [process.etch]
      |          ^^^^ known here: film, vinyl, engrave
    ");
}

#[test]
fn a_lens_needs_a_focal_length() {
    insta::assert_snapshot!(refused(r#"focal_length = "50 mm""#, ""), @r#"
    error: a lens needs `focal_length`
     --> quarry.toml:6:1
      |
    6 | [[lens]]
      | ^^^^^^^^ add focal_length = "50 mm", as on the name ring
    "#);
}

#[test]
fn a_lens_needs_a_name() {
    insta::assert_snapshot!(refused(r#"name = "Granite 50""#, ""), @r#"
    error: a lens needs `name`
     --> quarry.toml:6:1
      |
    6 | [[lens]]
      | ^^^^^^^^ add name = "35 mm"
    "#);
}

#[test]
fn a_focal_length_lies_in_its_range() {
    insta::assert_snapshot!(refused(r#"focal_length = "50 mm""#, r#"focal_length = "2 mm""#), @r#"
    error: `focal_length` cannot be 2 mm
     --> quarry.toml:8:16
      |
    8 | focal_length = "2 mm"
      |                ^^^^^^ allowed are 4 mm to 2000 mm
    "#);
}

#[test]
fn an_empty_name_is_refused() {
    insta::assert_snapshot!(refused(r#""Granite 50""#, r#"" ""#), @r#"
    error: this name is empty
     --> quarry.toml:7:8
      |
    7 | name = " "
      |        ^^^ a name needs at least one letter or digit
    "#);
}

#[test]
fn a_name_of_signs_alone_is_refused() {
    insta::assert_snapshot!(refused(r#""Granite 50""#, r#""?!""#), @r#"
    error: "?!" cannot become a file's name
     --> quarry.toml:7:8
      |
    7 | name = "?!"
      |        ^^^^ a name needs at least one letter or digit
    "#);
}

#[test]
fn a_long_name_is_refused() {
    insta::assert_snapshot!(refused(r#""Granite 50""#, r#""granite granite granite granite granite granite granite granite granite ""#), @r#"
    error: this name has 72 characters
     --> quarry.toml:7:8
      |
    7 | name = "granite granite granite granite granite granite granite granite granite "
      |        ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ up to 60 fit
    "#);
}

#[test]
fn a_name_with_a_control_character_is_refused() {
    insta::assert_snapshot!(refused(r#""Granite 50""#, r#""Granite\u001b[31m""#), @r#"
    error: this name has a character that cannot be shown
     --> quarry.toml:7:8
      |
    7 | name = "Granite\u001b[31m"
      |        ^^^^^^^^^^^^^^^^^^^ write it with letters, digits and blanks
    "#);
}

#[test]
fn two_lenses_cannot_share_a_file_name() {
    insta::assert_snapshot!(refused("[[lens]]", r#"[[lens]]
name = "granite--50"
focal_length = "50 mm"
iris = { ring = { diameter = "70 mm", width = "8 mm" }, toward_closed = "clockwise", readings = [{ stop = 2, at = "0 deg" }, { stop = 4, at = "20 deg" }] }

[[lens]]"#), @r#"
    error: two lenses would be drawn into files named granite-50
      --> quarry.toml:12:8
       |
     7 | name = "granite--50"
       |        ------------- the other
    ...
    12 | name = "Granite 50"
       |        ^^^^^^^^^^^^ give this lens another name
    "#);
}

#[test]
fn a_lens_without_rings_is_refused() {
    insta::assert_snapshot!(refused("[[lens]]", r#"[[lens]]
name = "bare"
focal_length = "35 mm"

[[lens]]"#), @r#"
    error: this lens has neither a focus ring nor an iris ring
     --> quarry.toml:7:8
      |
    7 | name = "bare"
      |        ^^^^^^ add a table [lens.focus] or [lens.iris] below it
    "#);
}

#[test]
fn a_single_table_lens_is_refused() {
    insta::assert_snapshot!(refused("[[lens]]", "[lens]"), @"
    error: each lens is one of a list
     --> quarry.toml:6:2
      |
    6 | [lens]
      |  ^^^^ write [[lens]], with two brackets
      |
      = help: its rings stay as they are: [lens.focus] and [lens.iris]
    ");
}

#[test]
fn a_widest_stop_lies_in_its_range() {
    insta::assert_snapshot!(refused("widest_stop = 2", "widest_stop = 0.3"), @"
    error: `widest_stop` cannot be 0.3
     --> quarry.toml:9:15
      |
    9 | widest_stop = 0.3
      |               ^^^ allowed are 0.5 to 64
    ");
}

#[test]
fn a_widest_stop_must_be_a_stop() {
    insta::assert_snapshot!(refused("widest_stop = 2", r#"widest_stop = "fast""#), @r#"
    error: `fast` is not a stop
     --> quarry.toml:9:15
      |
    9 | widest_stop = "fast"
      |               ^^^^^^ write it like 2.8 or "f/2.8"
    "#);
}

#[test]
fn a_widest_stop_is_no_length() {
    insta::assert_snapshot!(refused("widest_stop = 2", r#"widest_stop = "2 mm""#), @r#"
    error: `2 mm` is not a stop
     --> quarry.toml:9:15
      |
    9 | widest_stop = "2 mm"
      |               ^^^^^^ write it like 2.8 or "f/2.8"
    "#);
}

#[test]
fn a_widest_stop_is_no_list() {
    insta::assert_snapshot!(refused("widest_stop = 2", "widest_stop = [2]"), @r#"
    error: `widest_stop` must be a stop, not a list
     --> quarry.toml:9:15
      |
    9 | widest_stop = [2]
      |               ^^^ write it like 2.8 or "f/2.8"
    "#);
}

#[test]
fn a_widest_stop_is_no_t_stop() {
    insta::assert_snapshot!(refused("widest_stop = 2", r#"widest_stop = "T2""#), @r#"
    error: `widest_stop` is an f-stop here, and `T2` is a T-stop
     --> quarry.toml:9:15
      |
    9 | widest_stop = "T2"
      |               ^^^^ write it like 2.8 or "f/2.8"; T-stops go with scale = "T" of an iris
    "#);
}

#[test]
fn a_stop_is_written_in_decimal_digits() {
    insta::assert_snapshot!(refused("widest_stop = 2", "widest_stop = 0x2"), @"
    error: a stop is written in decimal digits
     --> quarry.toml:9:15
      |
    9 | widest_stop = 0x2
      |               ^^^ write it like 2.8
    ");
}

#[test]
fn a_circle_of_confusion_lies_in_its_range() {
    insta::assert_snapshot!(refused("widest_stop = 2", r#"circle_of_confusion = "1 mm""#), @r#"
    error: `circle_of_confusion` cannot be 1 mm
     --> quarry.toml:9:23
      |
    9 | circle_of_confusion = "1 mm"
      |                       ^^^^^^ allowed are 0.001 mm to 0.5 mm
    "#);
}

#[test]
fn what_a_disc_cannot_be_is_refused() {
    let disc = |keys: &str| refused("[lens.iris]", &format!("[lens.disc]\n{keys}\n[lens.iris]"));
    insta::assert_snapshot!(disc("diameter = \"60 mm\"\nhole = \"60 mm\"\nring_teeth = 110.5\ntoward_close = \"clockwise\""), @r#"
error: a marking disc needs `wheel_teeth`
  --> quarry.toml:22:1
   |
22 | [lens.disc]
   | ^^^^^^^^^^^ add wheel_teeth = 40, on the follow focus

error: a disc 60 mm across has no hole of 60 mm
  --> quarry.toml:24:8
   |
24 | hole = "60 mm"
   |        ^^^^^^^ less than `diameter`; 0 mm for a disc without a hole

error: teeth are counted in whole numbers
  --> quarry.toml:25:14
   |
25 | ring_teeth = 110.5
   |              ^^^^^ write it like 64
"#);
    insta::assert_snapshot!(disc("diameter = \"60 mm\"\nring_teeth = 110\nwheel_diameter = \"64 mm\"\nturns = \"disc\""), @r#"
error: this disc's gears are given twice
  --> quarry.toml:22:1
   |
22 | [lens.disc]
   | ^^^^^^^^^^^ give teeth, or diameters of the pitch circles, not both

error: a marking disc needs `toward_close`
  --> quarry.toml:22:1
   |
22 | [lens.disc]
   | ^^^^^^^^^^^ add toward_close = "clockwise" or "counterclockwise", as you face the disc

error: `turns` cannot be "disc"
  --> quarry.toml:26:9
   |
26 | turns = "disc"
   |         ^^^^^^ allowed are "scale" and "pointer"
"#);
}
