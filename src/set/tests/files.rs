//! Tests of files: of the set, of the readings.

use std::fs;
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::changed;
use crate::model::{RingKind, Set, Subject, Typeface};
use crate::set::SetFile;

/// A folder of its own for one test, removed afterwards.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let name = format!("ringwright-set-{}-{}", std::process::id(), COUNT.fetch_add(1, Ordering::Relaxed));
        let path = std::env::temp_dir().join(name);
        fs::create_dir(&path).unwrap();
        Folder(path)
    }

    fn write(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, content).unwrap();
        path
    }

    fn read(&self, name: &str) -> Result<Set, String> {
        let hidden = format!("{}{}", self.0.display(), std::path::MAIN_SEPARATOR);
        Set::from_file(&self.0.join(name)).map_err(|faults| faults.render(false).replace(&hidden, ""))
    }

    fn refused(&self, name: &str) -> String {
        self.read(name).expect_err("this file was read")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

const LIST: &str = r#"readings = [
    { distance = "inf", at = "0 deg" },
    { distance = "1 m", at = "41.6 deg" },
    { distance = "0.6 m", at = "75.9 deg" },
]"#;

/// The messages about a set whose focus readings are `csv`.
fn refused_readings(csv: impl AsRef<[u8]>) -> String {
    let folder = Folder::new();
    folder.write("quarry.toml", changed(LIST, "readings_file = \"taped.csv\""));
    folder.write("taped.csv", csv);
    folder.refused("quarry.toml")
}

#[test]
fn a_file_that_is_not_there_is_named() {
    insta::assert_snapshot!(Folder::new().refused("quarry.toml"), @"
    error: there is no such file
    --> quarry.toml
     = help: check the spelling and the folder
    ");
}

#[test]
fn a_folder_is_no_set() {
    let folder = Folder::new();
    fs::create_dir(folder.0.join("quarry.toml")).unwrap();
    insta::assert_snapshot!(folder.refused("quarry.toml"), @"
    error: this is a folder, not a file
    --> quarry.toml
     = help: name a file inside it
    ");
}

#[test]
fn a_file_that_is_not_text_is_named_with_its_line() {
    let folder = Folder::new();
    folder.write("quarry.toml", b"[set]\nname = \"quarry\xff\"\n");
    insta::assert_snapshot!(folder.refused("quarry.toml"), @"
    error: the file is not UTF-8 text; line 2 has a byte that is none
    --> quarry.toml
     = help: save it again as UTF-8 in the editor
    ");
}

#[test]
fn utf_16_is_named() {
    let folder = Folder::new();
    folder.write("quarry.toml", b"\xff\xfe[\0");
    insta::assert_snapshot!(folder.refused("quarry.toml"), @"
    error: the file is saved as UTF-16
    --> quarry.toml
     = help: save it again as UTF-8 in the editor
    ");
}

#[test]
fn a_file_of_100_mb_is_refused_unread() {
    let folder = Folder::new();
    let path = folder.write("quarry.toml", "");
    fs::File::options().write(true).open(path).unwrap().set_len(100 << 20).unwrap();
    insta::assert_snapshot!(folder.refused("quarry.toml"), @"
    error: the file is too large
    --> quarry.toml
     = help: files up to 4 MiB are read; is this the right one?
    ");
}

#[test]
fn files_stand_beside_the_set() {
    let folder = Folder::new();
    let text = changed(LIST, "readings_file = \"taped.csv\"").replace("[style]", "[style]\ntypeface = \"own.ttf\"");
    folder.write("quarry.toml", text);
    folder.write("own.ttf", "");
    folder.write("taped.csv", "# bench\nat;distance\n0 deg;inf\n41.6 deg;1 m\n75.9 deg;\"1 ft 11.6 in\"\n");
    let file = SetFile::read(&folder.0.join("quarry.toml")).unwrap();
    let focus = file.set.lenses[0].focus.as_ref().unwrap();
    assert_eq!(focus.readings.len(), 3);
    assert_eq!(focus.readings[2].at.to_deg(), 75.9);
    assert_eq!(file.set.style.typeface, Typeface::File(folder.0.join("own.ttf")));
    assert_eq!(file.place(&Subject::Typeface).unwrap().fault("", "").line_and_column(), Some((5, 12)));
    let reading = Subject::Reading(file.set.lenses[0].name.clone(), RingKind::Focus, 2);
    assert_eq!(file.place(&reading).unwrap().fault("", "").line_and_column(), Some((5, 1)));
}

#[test]
fn an_iris_has_a_file_of_its_own() {
    let folder = Folder::new();
    let list = "readings = [{ stop = 2, at = \"0 deg\" }, { stop = 16, at = \"60 deg\" }]";
    folder.write("quarry.toml", changed(list, "readings_file = \"stops.csv\""));
    folder.write("stops.csv", "stop,at\n2,0 deg\nf/5.6,25 deg\n16,60 deg\n");
    let set = folder.read("quarry.toml").unwrap();
    assert_eq!(set.lenses[0].iris.as_ref().unwrap().readings[1].stop.label(), "5.6");
}

#[test]
fn a_readings_file_that_is_not_there_is_named() {
    let folder = Folder::new();
    folder.write("quarry.toml", changed(LIST, "readings_file = \"taped.csv\""));
    insta::assert_snapshot!(folder.refused("quarry.toml"), @r#"
    error: `taped.csv` was not read: there is no such file
      --> quarry.toml:15:17
       |
    15 | readings_file = "taped.csv"
       |                 ^^^^^^^^^^^ check the spelling and the folder
    "#);
}

#[test]
fn an_empty_readings_file_is_refused() {
    insta::assert_snapshot!(refused_readings("# nothing\n"), @"
    error: this readings file is empty
    --> taped.csv
     = help: the first line names the columns: distance,at
    ");
}

#[test]
fn a_readings_file_names_its_columns() {
    insta::assert_snapshot!(refused_readings("inf,0 deg\n1 m,41.6 deg\n"), @r#"
    error: this line does not name the columns
     --> taped.csv:1:1
      |
    1 | inf,0 deg
      | ^^^^^^^^^ put a line "distance,at" above it
    "#);
}

#[test]
fn a_readings_file_needs_both_columns() {
    insta::assert_snapshot!(refused_readings("distance\n1 m\n"), @"
    error: a readings file needs a column `at`
     --> taped.csv:1:1
      |
    1 | distance
      | ^^^^^^^^ the first line names the columns: distance,at
    ");
}

#[test]
fn an_unknown_column_suggests_the_near_one() {
    insta::assert_snapshot!(refused_readings("distanse,at\n1 m,41.6 deg\n"), @"
    error: a readings file has no column `distanse`
     --> taped.csv:1:1
      |
    1 | distanse,at
      | ^^^^^^^^ did you mean `distance`?
    ");
}

#[test]
fn an_unknown_column_without_a_near_one_lists_what_is_known() {
    insta::assert_snapshot!(refused_readings("distance,at,who\n1 m,41.6 deg,me\n"), @r#"
error: a readings file has no column `who`
 --> taped.csv:1:13
  |
1 | distance,at,who
  |             ^^^ known here: distance, at, turned
"#);
}

#[test]
fn a_column_that_is_there_twice_is_refused() {
    insta::assert_snapshot!(refused_readings("distance,at,at\n1 m,41.6 deg,42 deg\n"), @"
    error: the column `at` is there twice
     --> taped.csv:1:13
      |
    1 | distance,at,at
      |             ^^ leave one of them out
    ");
}

#[test]
fn a_row_needs_both_cells() {
    insta::assert_snapshot!(refused_readings("distance,at\n1 m\n"), @"
    error: this row has no `at`
     --> taped.csv:2:1
      |
    2 | 1 m
      | ^^^ fill the cell, or begin the line with # to skip it
    ");
}

#[test]
fn a_row_has_no_more_cells_than_columns() {
    insta::assert_snapshot!(refused_readings("distance,at\n1 m,41.6 deg,42 deg\n"), @"
    error: this row has more cells than the 2 columns
     --> taped.csv:2:14
      |
    2 | 1 m,41.6 deg,42 deg
      |              ^^^^^^ no column goes with this
    ");
}

#[test]
fn a_decimal_comma_that_parts_a_cell_is_told() {
    insta::assert_snapshot!(refused_readings("distance,at\n1,5 m,41.6 deg\n"), @r#"
    error: this row has more cells than the 2 columns
     --> taped.csv:2:7
      |
    2 | 1,5 m,41.6 deg
      |       ^^^^^^^^ no column goes with this
      |
      = help: numbers are written with a decimal point here: a comma parts cells
    "#);
}

#[test]
fn a_quote_that_is_never_closed_is_shown() {
    insta::assert_snapshot!(refused_readings("distance,at\n\"1 m,41.6 deg\n"), @r#"
    error: this quote is never closed
     --> taped.csv:2:1
      |
    2 | "1 m,41.6 deg
      | ^^^^^^^^^^^^^ end the cell with a double quote
    "#);
}

#[test]
fn a_cell_that_goes_on_after_its_quote_is_shown() {
    insta::assert_snapshot!(refused_readings("distance,at\n\"4'6\"\",41.6 deg\n\"4'6\" x,41.6 deg\n"), @r#"
    error: this quote is never closed
     --> taped.csv:2:1
      |
    2 | "4'6"",41.6 deg
      | ^^^^^^^^^^^^^^^ end the cell with a double quote

    error: this cell goes on after its closing quote
     --> taped.csv:3:7
      |
    3 | "4'6" x,41.6 deg
      |       ^^^^^^^^^^ write a quote inside quotes twice, as in "4'6"""
    "#);
}

#[test]
fn faults_of_cells_point_into_the_readings_file() {
    insta::assert_snapshot!(refused_readings("distance,at\ninf,0\n1 meter,41.6 deg\n0.6,75.9 dg\n"), @r#"
    error: a position on the ring needs a unit
     --> taped.csv:2:5
      |
    2 | inf,0
      |     ^ did you mean "0 deg"?
      |
      = help: a length along a ring will do too, with that ring's diameter: at = "61.3 mm", read_on = "62 mm"

    error: a distance needs a unit
     --> taped.csv:4:1
      |
    4 | 0.6,75.9 dg
      | ^^^ did you mean "0.6 m"?

    error: `dg` is not a unit known here
     --> taped.csv:4:10
      |
    4 | 0.6,75.9 dg
      |          ^^ lengths take mm, cm, m, in or ft; angles take deg or °
    "#);
}

#[test]
fn readings_that_run_backwards_are_named_in_their_file() {
    insta::assert_snapshot!(refused_readings("distance,at\ninf,0 deg\n1 m,41.6 deg\n0.6 m,-75.9 deg\n"), @"
    error: these readings run backwards
     --> taped.csv:4:1
      |
    3 | 1 m,41.6 deg
      | ------------ 1 m at 41.6 deg
    4 | 0.6 m,-75.9 deg
      | ^^^^^^^^^^^^^^^ 0.6 m at -75.9 deg
      |
      = note: the angle must grow toward close focus, and the nearer of the two lies 117.5 deg before the other
      = help: check in which sense the ring was read and where its zero was
      = help: or exchange their positions, if they were written down in each other's place
    ");
}

#[test]
fn too_many_rows_are_refused() {
    let csv = format!("distance,at\n{}", "1 m,41.6 deg\n".repeat(10_001));
    insta::assert_snapshot!(refused_readings(csv), @r#"
    error: these are too many readings
      --> quarry.toml:15:17
       |
    15 | readings_file = "taped.csv"
       |                 ^^^^^^^^^^^ the file holds 10001; up to 10000 of one ring are read
    "#);
}

#[test]
fn faults_of_both_files_come_in_the_order_of_the_set() {
    let folder = Folder::new();
    let text = changed(LIST, "readings_file = \"taped.csv\"").replace("\"0.6 m\"", "0.6").replace("\"90 deg\"", "90");
    folder.write("quarry.toml", text);
    folder.write("taped.csv", "distance,at\n1 m,41.6\n0.6,75.9 deg\n");
    let faults = Set::from_file(&folder.0.join("quarry.toml")).unwrap_err();
    let messages: Vec<_> = faults.as_slice().iter().map(|fault| fault.message()).collect();
    assert_eq!(
        messages,
        [
            "a length needs a unit",
            "a position on the ring needs a unit",
            "a distance needs a unit",
            "an angle needs a unit"
        ]
    );
}

#[test]
fn a_form_that_is_still_empty_is_one_fault() {
    insta::assert_snapshot!(refused_readings("distance,at\n1 m,\n2 m,\n3 m,\n"), @r#"
error: this row has no `at`
 --> taped.csv:2:1
  |
2 | 1 m,
  | ^^^^ fill the cell, or begin the line with # to skip it
  |
  = note: and 2 further rows have empty cells
"#);
}
