//! Tests of changes to a set file's text.

use std::collections::BTreeMap;
use std::path::Path;

use insta::assert_snapshot;
use proptest::prelude::*;

use super::*;
use crate::model::Set;
use crate::set::TEMPLATE;

const SAMPLE: &str = include_str!("../../../samples/SET.toml");

fn texts(set: &str) -> Texts {
    Texts { set: set.to_string(), files: BTreeMap::new() }
}

fn put(place: &str, value: Written) -> Edit {
    Edit::Put { place: place.parse().unwrap(), value: Some(value) }
}

fn take_out(place: &str) -> Edit {
    Edit::Put { place: place.parse().unwrap(), value: None }
}

fn text(text: &str) -> Written {
    Written::Text(text.to_string())
}

fn edited(set: &str, edit: Edit) -> String {
    texts(set).edited(&[edit]).unwrap().set
}

fn refused(set: &str, edit: Edit) -> String {
    texts(set).edited(&[edit]).unwrap_err().to_string()
}

fn cells(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    pairs.iter().map(|(key, text)| (key.to_string(), text.to_string())).collect()
}

fn add(before: usize, pairs: &[(&str, &str)]) -> Edit {
    Edit::AddReading { lens: 0, ring: RingKind::Focus, before, cells: cells(pairs) }
}

fn drop_row(row: usize) -> Edit {
    Edit::DropReading { lens: 0, ring: RingKind::Focus, row }
}

/// What was taken out and what came instead, as one place.
fn difference<'t>(before: &'t str, after: &'t str) -> (&'t str, &'t str) {
    let same = before.bytes().zip(after.bytes()).take_while(|(a, b)| a == b).count();
    let (a, b) = (&before[same..], &after[same..]);
    let tail = a.bytes().rev().zip(b.bytes().rev()).take_while(|(a, b)| a == b).count();
    (&a[..a.len() - tail], &b[..b.len() - tail])
}

#[test]
fn a_value_is_replaced_where_it_stands_and_nothing_else_moves() {
    let after = edited(SAMPLE, put("lens.1.focus.readings.2.distance", text("4.1 m")));
    assert_eq!(difference(SAMPLE, &after), ("", ".1"));
    let after = edited(SAMPLE, put("lens.1.focus.ring.diameter", text("86 mm")));
    assert_eq!(difference(SAMPLE, &after), ("4", "6"));
    let after = edited(SAMPLE, put("set.units", Written::Words(vec!["ft".into()])));
    assert!(after.contains("units = [\"ft\"]"));
    let after = edited(SAMPLE, put("lens.1.iris.readings.1.stop", Written::Bare("8".into())));
    assert!(after.contains("{ stop = 8, at = \"30.2 deg\" }"));
}

#[test]
fn every_form_of_table_takes_a_further_key() {
    let header =
        "[style]\ntypeface = \"plain\" # the face\n#numeral_height = \"2 mm\"\n\n# the lens\n[[lens]]\nname = \"A\"\n";
    assert_snapshot!(edited(header, put("style.tick_width", text("0.2 mm"))), @r#"
    [style]
    typeface = "plain" # the face
    tick_width = "0.2 mm"
    #numeral_height = "2 mm"

    # the lens
    [[lens]]
    name = "A"
    "#);
    assert_snapshot!(edited(header, put("process.film.dpi", Written::Bare("1200".into()))), @r#"
    [style]
    typeface = "plain" # the face
    #numeral_height = "2 mm"

    [process.film]
    dpi = 1200

    # the lens
    [[lens]]
    name = "A"
    "#);
    let empty = "[style]\n\n[[lens]]\n  name = \"A\"\n  [lens.focus]\n  ring.width = \"9 mm\"\n";
    assert_snapshot!(edited(empty, put("style.typeface", text("plain"))), @r#"
    [style]
    typeface = "plain"

    [[lens]]
      name = "A"
      [lens.focus]
      ring.width = "9 mm"
    "#);
    assert_snapshot!(edited(empty, put("lens.0.focus.ring.diameter", text("84 mm"))), @r#"
    [style]

    [[lens]]
      name = "A"
      [lens.focus]
      ring.width = "9 mm"
      ring.diameter = "84 mm"
    "#);
    let inline = "lens = [ { name = \"A\", focus = { closest = \"1 m\" } } ]\n";
    assert_eq!(
        edited(inline, put("lens.0.focus.ring.width", text("9 mm"))),
        "lens = [ { name = \"A\", focus = { closest = \"1 m\", ring = { width = \"9 mm\" } } } ]\n"
    );
}

#[test]
fn a_key_that_is_taken_out_leaves_its_comment_and_its_neighbours() {
    assert_eq!(edited("a = 1\nb = 2\nc = 3\n", take_out("b")), "a = 1\nc = 3\n");
    assert_eq!(edited("a = 1\r\n  b = 2 # why\r\n", take_out("b")), "a = 1\r\n  # why\r\n");
    assert_eq!(edited("r = { a = 1, b = 2, c = 3 }\n", take_out("r.a")), "r = { b = 2, c = 3 }\n");
    assert_eq!(edited("r = { a = 1, b = 2 }\n", take_out("r.b")), "r = { a = 1 }\n");
    assert_eq!(edited("r = { b = 2 }\n", take_out("r.b")), "r = {  }\n");
    assert_eq!(edited("a = 1\n", take_out("style.b")), "a = 1\n");
}

#[test]
fn what_is_typed_is_escaped_and_stays_on_its_line() {
    let after = edited("[set]\nname = 'a'\n", put("set.name", text("4'6\" \\ \n[x]")));
    assert_eq!(after, "[set]\nname = \"4'6\\\" \\\\  [x]\"\n");
    // what is no number is kept in quotes, for the reader to explain
    for (typed, written) in [
        ("2.8", "2.8"),
        ("2,8", "\"2,8\""),
        ("08", "\"08\""),
        ("1\nb = 2", "\"1 b = 2\""),
        ("[1]", "\"[1]\""),
        ("", "\"\""),
    ] {
        assert_eq!(edited("a = 1\n", put("a", Written::Bare(typed.into()))), format!("a = {written}\n"), "{typed}");
    }
}

const LIST: &str = "[[lens]]\nname = \"A\"\n  [lens.focus]\n  readings = [ # by tape\n    { distance = \"inf\", at = \"0 deg\" }, # far\n    # the near end\n    { distance = \"1 m\", at = \"40 deg\" }\n  ]\n  index = \"rear\"\n";

#[test]
fn a_reading_is_added_and_taken_out_with_the_lines_around_it_as_they_are() {
    let new: &[(&str, &str)] = &[("distance", "2 m"), ("at", "20 deg")];
    assert_snapshot!(edited(LIST, add(2, new)), @r#"
    [[lens]]
    name = "A"
      [lens.focus]
      readings = [ # by tape
        { distance = "inf", at = "0 deg" }, # far
        # the near end
        { distance = "1 m", at = "40 deg" },
        { distance = "2 m", at = "20 deg" }
      ]
      index = "rear"
    "#);
    assert_snapshot!(edited(LIST, add(1, new)), @r#"
    [[lens]]
    name = "A"
      [lens.focus]
      readings = [ # by tape
        { distance = "inf", at = "0 deg" }, # far
        # the near end
        { distance = "2 m", at = "20 deg" },
        { distance = "1 m", at = "40 deg" }
      ]
      index = "rear"
    "#);
    assert_snapshot!(edited(LIST, drop_row(1)), @r#"
    [[lens]]
    name = "A"
      [lens.focus]
      readings = [ # by tape
        { distance = "inf", at = "0 deg" }, # far
        # the near end
      ]
      index = "rear"
    "#);
    assert_snapshot!(edited(LIST, drop_row(0)), @r#"
    [[lens]]
    name = "A"
      [lens.focus]
      readings = [ # by tape
        # far
        # the near end
        { distance = "1 m", at = "40 deg" }
      ]
      index = "rear"
    "#);
}

#[test]
fn lists_of_one_line_empty_lists_and_missing_ones_take_readings_too() {
    let lens = |list: &str| format!("[[lens]]\n[lens.focus]\n{list}closest = \"1 m\"\n");
    let new: &[(&str, &str)] = &[("distance", "2 m"), ("at", ""), ("turned", "")];
    let row = "{ distance = \"2 m\", at = \"\" }";
    let one = "{ distance = \"1 m\", at = \"3 deg\" }";
    assert_eq!(
        edited(&lens(&format!("readings = [{one}]\n")), add(1, new)),
        lens(&format!("readings = [{one}, {row}]\n"))
    );
    assert_eq!(
        edited(&lens(&format!("readings = [{one},]\n")), add(1, new)),
        lens(&format!("readings = [{one}, {row},]\n"))
    );
    assert_eq!(
        edited(&lens(&format!("readings = [{one}]\n")), add(0, new)),
        lens(&format!("readings = [{row}, {one}]\n"))
    );
    assert_eq!(edited(&lens("readings = []\n"), add(0, new)), lens(&format!("readings = [\n    {row},\n  ]\n")));
    let none = edited(&lens(""), add(0, new));
    assert_eq!(none, format!("[[lens]]\n[lens.focus]\nclosest = \"1 m\"\nreadings = [\n    {row},\n  ]\n"));
    assert_eq!(edited(&lens(&format!("readings = [{one}]\n")), drop_row(0)), lens("readings = []\n"));
    assert_eq!(
        edited(&lens(&format!("readings = [{one}, {row}]\n")), drop_row(1)),
        lens(&format!("readings = [{one}]\n"))
    );
    assert_eq!(
        edited(&lens(&format!("readings = [{one}, {row}]\n")), drop_row(0)),
        lens(&format!("readings = [{row}]\n"))
    );
}

#[test]
fn what_cannot_be_done_is_said_with_a_way_out() {
    assert_snapshot!(refused("a = [", put("a", text("b"))), @"the set file is no TOML as it stands; mend it in an editor first");
    assert_snapshot!(refused("[style]\na = 1\n", put("style", text("b"))), @"a table stands here, not a value; change it in an editor");
    assert_snapshot!(refused("[[lens]]\nname = \"A\"\n", put("lens.0.focus.closest", text("1 m"))), @"there is no table for this in the set file; add it in an editor");
    assert_snapshot!(refused("[[lens]]\nname = \"A\"\n", put("lens.3.name", text("B"))), @"there is no table for this in the set file; add it in an editor");
    assert_snapshot!(refused("[[lens]]\nname = \"A\"\n", add(0, &[])), @"lens 1 has no [lens.focus] in the set file; add it in an editor");
    assert_snapshot!(refused(LIST, drop_row(2)), @"there is no reading 3 any more");
    let tables = "[[lens]]\n[lens.focus]\n[[lens.focus.readings]]\ndistance = \"1 m\"\n";
    assert_snapshot!(refused(tables, add(1, &[])), @"these readings are no list of one line each; add to them in an editor");
    assert_snapshot!(refused(tables, drop_row(0)), @"these readings are no list of one line each; take them out in an editor");
    let large = "x".repeat(5 << 20);
    assert_snapshot!(refused("a = 1\n", put("a", text(&large))), @"the file would become too large; files up to 4 MiB are read");
    assert_eq!("lens..name".parse::<FieldPlace>().unwrap_err().to_string(), "this is no place in a set file");
}

fn with_file(csv: &str) -> Texts {
    let set = "[[lens]]\nname = \"A\"\n[lens.focus]\nreadings_file = \"a.csv\"\n".to_string();
    Texts { set, files: [("a.csv".to_string(), csv.to_string())].into() }
}

#[test]
fn readings_of_a_file_are_changed_in_the_file() {
    let before = with_file("\u{feff}# by tape\r\nat;Distance\r\n 0 deg ; inf\r\n\r\n# near\r\n40 deg;\"1 m\"\r\n");
    let one = |edit: Edit| {
        let after = before.edited(&[edit]).unwrap();
        assert_eq!(after.set, before.set);
        after.files["a.csv"].clone()
    };
    assert_eq!(
        one(put("lens.0.focus.readings.0.distance", text("20 m"))),
        "\u{feff}# by tape\r\nat;Distance\r\n 0 deg ; 20 m\r\n\r\n# near\r\n40 deg;\"1 m\"\r\n"
    );
    assert_eq!(
        one(put("lens.0.focus.readings.1.distance", text("1;2"))),
        "\u{feff}# by tape\r\nat;Distance\r\n 0 deg ; inf\r\n\r\n# near\r\n40 deg;\"1;2\"\r\n"
    );
    let new: &[(&str, &str)] = &[("distance", "2 m"), ("at", "20 deg")];
    assert_eq!(
        one(add(2, new)),
        "\u{feff}# by tape\r\nat;Distance\r\n 0 deg ; inf\r\n\r\n# near\r\n40 deg;\"1 m\"\r\n20 deg;2 m\r\n"
    );
    assert_eq!(
        one(add(0, new)),
        "\u{feff}# by tape\r\nat;Distance\r\n20 deg;2 m\r\n 0 deg ; inf\r\n\r\n# near\r\n40 deg;\"1 m\"\r\n"
    );
    assert_eq!(one(drop_row(1)), "\u{feff}# by tape\r\nat;Distance\r\n 0 deg ; inf\r\n\r\n# near\r\n");
    let short = with_file("distance,at,turned\n1 m,40 deg");
    let after = short.edited(&[put("lens.0.focus.readings.0.turned", text("toward close"))]).unwrap();
    assert_eq!(after.files["a.csv"], "distance,at,turned\n1 m,40 deg,toward close");
    let error = before.edited(&[put("lens.0.focus.readings.0.turned", text("toward close"))]).unwrap_err();
    assert_snapshot!(error, @"this readings file has no column `turned`; add it to its first line in an editor");
    let gone = Texts { files: BTreeMap::new(), ..before };
    let error = gone.edited(&[drop_row(0)]).unwrap_err();
    assert_snapshot!(error, @"a.csv cannot be changed here: it is not at hand beside the set");
}

#[test]
fn the_outline_tells_what_stands_where() {
    let texts = texts(SAMPLE);
    let outline = Outline::of(&texts).unwrap();
    assert_eq!(outline.lens_count(), 4);
    assert_eq!(outline.lens_name(1).as_deref(), Some("Granite 50"));
    let shown = |place: &str| outline.text_at(&place.parse().unwrap()).map(|written| written.text);
    assert_eq!(shown("set.units").as_deref(), Some("m, ft"));
    assert_eq!(shown("lens.1.widest_stop").as_deref(), Some("2"));
    assert_eq!(shown("lens.1.focus.ring.diameter").as_deref(), Some("84 mm"));
    assert_eq!(shown("style.numeral_height"), None);
    let readings = outline.readings(1, RingKind::Focus);
    assert_eq!(readings.len(), 9);
    assert_eq!(
        readings[3].cells.iter().map(|(key, text, _)| (key.as_str(), text.as_str())).collect::<Vec<_>>(),
        [("distance", "2.5 m"), ("at", "20.1 deg")]
    );
    assert_eq!(outline.readings_files(), ["marble-85.csv"]);
    assert!(outline.has_ring(2, RingKind::Iris) && !outline.has_ring(9, RingKind::Focus));
}

#[test]
fn a_fault_of_the_reader_is_found_at_its_field() {
    let place = |set: &str, files: &[(&str, &str)]| {
        let texts =
            Texts { set: set.to_string(), files: files.iter().map(|(n, t)| (n.to_string(), t.to_string())).collect() };
        let faults = Set::parse("set.toml", set, Path::new("")).unwrap_err();
        let span = faults.as_slice()[0].span().unwrap();
        Outline::of(&texts).unwrap().place_of(None, &span).map(|place| place.to_string())
    };
    let wrong = SAMPLE
        .replace("readings_file = \"marble-85.csv\"", "")
        .replace("{ distance = \"2.5 m\"", "{ distance = \"2.5\"");
    assert_eq!(place(&wrong, &[]).as_deref(), Some("lens.1.focus.readings.3.distance"));
    let wrong = SAMPLE.replace(
        "ring = { diameter = \"84 mm\", width = \"14 mm\" }\n  toward_close = \"counterclockwise\"",
        "ring = { diameter = \"84\", width = \"14 mm\" }\n  toward_close = \"counterclockwise\"",
    );
    assert_eq!(place(&wrong, &[]).as_deref(), Some("lens.0.focus.ring.diameter"));

    let with_csv = with_file("distance,at\n1 m,0 deg\n2,5 deg\n");
    let outline = Outline::of(&with_csv).unwrap();
    let cell = |text: &str| {
        let at = with_csv.files["a.csv"].find(text).unwrap();
        outline.place_of(Some("a.csv"), &(at..at + text.len())).map(|place| place.to_string())
    };
    assert_eq!(cell("5 deg").as_deref(), Some("lens.0.focus.readings.1.at"));
    assert_eq!(cell("2,5 deg").as_deref(), Some("lens.0.focus.readings.1"));
}

#[test]
fn a_text_that_nests_too_deep_is_refused() {
    let deep = format!("a = {}", "[".repeat(100_000));
    assert!(texts(&deep).edited(&[put("a", text("b"))]).is_err());
    let tables = format!("[{}]\nx = 1\n", vec!["a"; 79].join("."));
    let _ = texts(&tables).edited(&[put("b.c", text("d"))]);
}

#[test]
fn a_clipboard_is_rows_and_cells_and_bare_numbers_take_a_unit() {
    assert_eq!(pasted("1.5\t84\r\ninf\t0\r\n\r\n"), [["1.5", "84"], ["inf", "0"]]);
    assert_eq!(pasted("4'6\"\t63 deg\n"), [["4'6\"", "63 deg"]]);
    assert_eq!(pasted("\"a\tb\"\tc\n"), [["a\tb", "c"]]);
    assert_eq!(pasted("1,5;84\n"), [["1,5", "84"]]);
    assert_eq!(pasted("1 m"), [["1 m"]]);
    assert_eq!(pasted(""), Vec::<Vec<String>>::new());
    assert_eq!(pasted(&"1\t2\n".repeat(900)).len(), 500);
    assert_eq!(
        ["1.5", " 84 ", "inf", "1.5 m", "1,5", ""].map(|text| with_unit(text, "m")),
        ["1.5 m", "84 m", "inf", "1.5 m", "1,5", ""]
    );
}

fn scalars(set: &str) -> Vec<String> {
    let texts = texts(set);
    let outline = Outline::of(&texts).unwrap();
    let mut places: Vec<String> = Vec::new();
    for at in 0..set.len() {
        places.extend(outline.place_of(None, &(at..at)).map(|place| place.to_string()));
    }
    places.sort();
    places.dedup();
    places.retain(|place| outline.text_at(&place.parse().unwrap()).is_some());
    places
}

#[test]
fn any_value_is_changed_and_changed_back_to_the_same_bytes() {
    for set in [SAMPLE.to_string(), TEMPLATE.to_string(), SAMPLE.replace('\n', "\r\n")] {
        let places = scalars(&set);
        assert!(places.len() > 10);
        for place in places {
            let at: FieldPlace = place.parse().unwrap();
            let texts = texts(&set);
            let before = Outline::of(&texts).unwrap().text_at(&at).unwrap();
            let after = edited(&set, put(&place, text("quite another")));
            assert_eq!(after.len() + before.span.len(), set.len() + "\"quite another\"".len(), "{place}");
            assert_eq!(after.replacen("\"quite another\"", &set[before.span], 1), set, "{place}");
        }
    }
}

fn edits() -> impl Strategy<Value = Edit> {
    let place = prop_oneof![
        "(set|style|process|lens|process[.]film|lens[.][0-4]|lens[.][0-4][.](focus|iris))[.](units|name|closest|readings|ring[.]width|tick_width|readings[.][0-9][.](at|distance))",
    ];
    let value = prop_oneof![
        Just(None),
        "[ -~é\n\"\\\\]{0,12}".prop_map(|text| Some(Written::Text(text))),
        "[-+.0-9eE#\\[\\] n]{0,6}".prop_map(|text| Some(Written::Bare(text))),
        Just(Some(Written::Words(vec!["m".into(), "ft".into()]))),
    ];
    let ring = prop_oneof![Just(RingKind::Focus), Just(RingKind::Iris)];
    prop_oneof![
        (place, value).prop_map(|(place, value)| Edit::Put { place: place.parse().unwrap(), value }),
        (0usize..6, ring.clone(), 0usize..12, "[ -~\n]{0,8}").prop_map(|(lens, ring, before, text)| Edit::AddReading {
            lens,
            ring,
            before,
            cells: vec![("distance".into(), text.clone()), ("at".into(), text)]
        }),
        (0usize..6, ring, 0usize..12).prop_map(|(lens, ring, row)| Edit::DropReading { lens, ring, row }),
    ]
}

proptest! {
    #[test]
    fn whatever_is_done_the_file_stays_toml_and_keeps_its_comments(edits in prop::collection::vec(edits(), 1..12)) {
        let csv = include_str!("../../../samples/marble-85.csv").to_string();
        let mut texts = Texts { set: SAMPLE.to_string(), files: [("marble-85.csv".to_string(), csv)].into() };
        let comments = |text: &str| text.lines().filter(|line| line.trim_start().starts_with('#')).map(str::to_string).collect::<Vec<_>>();
        let before = comments(&texts.set);
        for edit in &edits {
            // a whole list that is put over goes with its comments; the page does not do that
            if let Ok(after) = texts.edited(std::slice::from_ref(edit)) {
                prop_assert!(Outline::of(&after).is_ok());
                texts = after;
            }
        }
        prop_assert_eq!(comments(&texts.set), before);
    }

    #[test]
    fn wild_texts_are_refused_or_changed_and_never_panic(set in "([\\[\\]{}=.,\"'#\r\n a-c0-9é]|lens|\\[\\[lens\\]\\]\n|\\[lens.focus\\]\n|readings = \\[|distance = \"1 m\"){0,40}", csv in "([,;\t\"#\r\n a1é]|distance,at\n){0,20}", edit in edits()) {
        let texts = Texts { set: format!("{set}\n"), files: [("c".to_string(), csv)].into() };
        if let Ok(after) = texts.edited(std::slice::from_ref(&edit)) {
            prop_assert!(Outline::of(&after).is_ok());
        }
        let files = with_file(&texts.files["c"]);
        let _ = files.edited(&[edit]);
        if let Ok(outline) = Outline::of(&files) {
            for row in outline.readings(0, RingKind::Focus) {
                for (_, _, span) in row.cells {
                    prop_assert!(files.files["a.csv"].get(span).is_some());
                }
            }
        }
    }
}
