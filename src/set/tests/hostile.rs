//! Tests: any bytes at all: a set or faults, never a panic, and every place inside the text.

use proptest::prelude::*;

use crate::set::TEMPLATE;

use super::{Path, SAMPLE, changed, refusals};
use crate::model::Set;

/// Reads `text`; checks every fault's places and that it can be written out.
fn probe(text: &str) {
    let Err(faults) = Set::parse("quarry.toml", text, Path::new("")) else { return };
    assert!(!faults.as_slice().is_empty());
    for fault in faults.as_slice() {
        assert!(!fault.message().is_empty());
        for (span, _) in fault.marks() {
            assert!(fault.source().text().get(span.clone()).is_some(), "{span:?} of {text:?}");
        }
    }
    assert!(!faults.render(false).contains('\u{1b}'), "{text:?}");
    assert!(faults.render(true).contains("error"));
}

#[test]
fn texts_that_are_hard_to_show_are_shown() {
    for text in [
        "",
        "\u{feff}",
        "\u{feff}[set]\r\nname = 1\r\n",
        "\r",
        "\n\n",
        "a = \"\u{1b}[31m\"",
        "a = 1\n\tb\t= 日本 x\n",
        "[set]\nname = \"\u{202e}x\"",
        "[set]\nname = \"\"\"\n\n\n\"\"\"\n",
        "\"\u{1b}[2J\" = 1",
        "lens = 1",
        "lens = []",
        "lens = [1]",
        "x = \r\r\n = 1\r",
        "[set]\nname = \"x\"\nunits = [[], {}, 1]\n",
    ] {
        probe(text);
    }
}

#[test]
fn nesting_does_not_exhaust_the_stack() {
    let mut deep = "1".to_string();
    for _ in 0..78 {
        deep = format!("{{ {} = {deep} }}", ["a"; 78].join("."));
    }
    probe(&format!("x = {deep}"));
    probe(&format!("x = {}", "[".repeat(100_000)));
    probe(&format!("x = {}", "{a=".repeat(100_000)));
    probe(&format!("x{} = 1", ".x".repeat(100_000)));
    probe(&format!("[x{}]", ".x".repeat(100_000)));
}

#[test]
fn huge_files_of_faults_are_reported_in_short() {
    let keys: String = (0..60_000).map(|i| format!("key{i} = 1\n")).collect();
    let written = refusals(&keys);
    assert!(written.ends_with("and 59952 further faults"), "{}", &written[written.len() - 60..]);
    probe(&format!("[style]\nextent = \"{}\"", "é".repeat(1_000_000)));
    probe(&format!("[set]\n{}", "x = 1, ".repeat(100_000)));
}

#[test]
fn numbers_without_measure_are_refused() {
    let huge = "9".repeat(308);
    for (from, to) in [
        ("41.6 deg", format!("{huge} deg")),
        ("41.6 deg", format!("-{huge} deg")),
        ("84 mm", format!("{huge} m")),
        ("0.6 m", format!("{huge} mm")),
        ("90 deg", format!("0.{}1 deg", "0".repeat(320))),
    ] {
        probe(&SAMPLE.replace(from, &to));
    }
}

#[test]
fn a_fault_in_a_very_long_line_is_shown_with_what_stands_around_it() {
    let many = "{ distance = \"1 m\", at = \"41.6 deg\" }, ".repeat(800);
    let text = changed(
        "    { distance = \"1 m\"",
        &format!("{many}{{ distance = 1, at = \"41.6 deg\" }}, {many} {{ distance = \"1 m\""),
    );
    insta::assert_snapshot!(refusals(&text), @r#"
    error: a distance needs a unit
      --> quarry.toml:17:31214
       |
      ::: 
    17 | deg" }, { distance = "1 m", at = "41.6 deg" }, { distance = 1, at = "41.6 deg" }, { distance = "1 m", at = "41.6 deg" },
       |                                                             ^ did you mean "1 m"?
    "#);
}

#[test]
fn one_fault_is_reported_of_a_broken_line() {
    insta::assert_snapshot!(refusals("[set]\nname = = = 3 x 4\nunits = [\"m\" \"ft\"]\n"), @r#"
    error: this is not TOML
     --> quarry.toml:2:8
      |
    2 | name = = = 3 x 4
      |        ^ extra `=`

    error: this is not TOML
     --> quarry.toml:3:14
      |
    3 | units = ["m" "ft"]
      |              ^ missing comma between array elements, expected `,`
    "#);
}

fn mutated(base: &'static str) -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "\"",
        "'",
        "=",
        "[",
        "]",
        "{",
        "}",
        ",",
        ".",
        "#",
        "\n",
        "\r",
        " ",
        "0",
        "-1",
        "1e999",
        "inf",
        "nan",
        "true",
        "mm",
        "deg",
        " m",
        "é",
        "∞",
        "\u{1b}",
        "\u{feff}",
        "1979-05-27",
        "read_on = \"62 mm\"",
        "law = \"curve\"\n",
        "[[lens]]\n",
        "[lens.iris]\n",
        "\"\"\"",
    ]);
    let edit = (any::<prop::sample::Index>(), 0usize..12, pieces);
    prop::collection::vec(edit, 1..5).prop_map(move |edits| {
        let mut text: Vec<char> = base.chars().collect();
        for (at, removed, piece) in edits {
            let at = at.index(text.len() + 1);
            let end = (at + removed).min(text.len());
            text.splice(at..end, piece.chars());
        }
        text.into_iter().collect()
    })
}

proptest! {
    #[test]
    fn any_text_gives_a_set_or_faults(text in any::<String>()) {
        probe(&text);
    }

    #[test]
    fn any_bytes_give_a_set_or_faults(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        probe(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn any_change_of_a_set_gives_a_set_or_faults(text in mutated(SAMPLE)) {
        probe(&text);
    }

    #[test]
    fn any_change_of_the_template_gives_a_set_or_faults(text in mutated(TEMPLATE)) {
        probe(&text);
    }

    #[test]
    fn any_value_anywhere_gives_a_set_or_faults(line in any::<prop::sample::Index>(), value in "[\"0-9a-z {}\\[\\],.=%+°'-]{0,20}") {
        let lines: Vec<&str> = TEMPLATE.lines().collect();
        let at = line.index(lines.len());
        let mut changed: Vec<String> = lines.iter().map(|line| line.to_string()).collect();
        if let Some((key, _)) = lines[at].trim_start_matches('#').split_once('=') {
            changed[at] = format!("{key}={value}");
        }
        probe(&changed.join("\n"));
    }
}
