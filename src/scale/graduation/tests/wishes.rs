//! What the user fixes comes out as it was said, or is refused with its reason.

use super::sample::{Lens, drawn};
use super::*;

fn lens() -> Lens {
    Lens::with_throw(84.0, 270.0, 450.0)
}

fn metres(wishes: &Wishes) -> String {
    drawn(&lens().choose(false, true, wishes).unwrap())
}

fn numerals(choice: &Choice) -> Vec<Count> {
    choice
        .ticks
        .iter()
        .filter(|tick| tick.class == TickClass::Numbered && !tick.end)
        .filter_map(|tick| tick.value)
        .collect()
}

fn refused(wishes: &Wishes) -> WishFault {
    lens().choose(false, true, wishes).unwrap_err()
}

#[test]
fn only_these_numerals_stand_and_every_one_of_them() {
    let only = vec![5_000, 3_000, 1_370, 1_000, 700];
    let wishes = Wishes { only: Some(only.clone()), ..Wishes::default() };
    let choice = lens().choose(false, true, &wishes).unwrap();
    assert_eq!(numerals(&choice), only);
    // the ring's end keeps its tick
    assert!(choice.ticks.last().is_some_and(|tick| tick.end && tick.label.is_empty()));
}

#[test]
fn a_numeral_that_is_asked_for_stands_and_its_neighbours_give_way() {
    let wishes = Wishes { also: vec![970, 1_730], ..Wishes::default() };
    let choice = lens().choose(false, true, &wishes).unwrap();
    let numbers = numerals(&choice);
    assert!(numbers.contains(&970) && numbers.contains(&1_730) && !numbers.contains(&1_000), "{numbers:?}");
}

#[test]
fn a_forbidden_numeral_is_a_tick_at_most() {
    assert!(metres(&Wishes::default()).contains(" 0.75 "));
    let line = metres(&Wishes { never: vec![750], ..Wishes::default() });
    assert!(!line.contains("0.75") && line.contains(" 0.7 "), "{line}");
}

#[test]
fn a_text_takes_the_number_s_place_and_an_empty_one_leaves_its_tick() {
    let text = vec![(1_000, "A".to_string()), (2_000, String::new())];
    let choice = lens().choose(false, true, &Wishes { text, ..Wishes::default() }).unwrap();
    let label = |value| {
        choice.ticks.iter().find(|tick| tick.value == Some(value)).map(|tick| (tick.label.as_str(), tick.class))
    };
    assert_eq!(label(1_000), Some(("A", TickClass::Numbered)));
    assert_eq!(label(2_000), Some(("", TickClass::Numbered)));
}

#[test]
fn given_sections_come_out_tick_by_tick() {
    let steps = vec![
        Steps { to: Some(2_000), numbered: Some(1_000), medium: None, fine: Some(500) },
        Steps { to: Some(1_000), numbered: Some(500), medium: Some(100), fine: Some(50) },
    ];
    let line = metres(&Wishes { steps, ..Wishes::default() });
    assert!(line.contains(" 4 · 3 · 2 · : · : · : · : · 1.5 · : · : · : · : · 1 "), "{line}");
}

#[test]
fn no_tick_is_finer_than_said() {
    let line = metres(&Wishes { finest: Some(50), ..Wishes::default() });
    let choice = lens().choose(false, true, &Wishes { finest: Some(50), ..Wishes::default() }).unwrap();
    assert!(choice.sections.iter().all(|section| section.fine.is_none_or(|fine| fine >= 50)), "{line}");
    assert!(choice.sections.iter().any(|section| section.fine == Some(50)), "the finest step itself may stand: {line}");
    assert!(choice.gaps.iter().any(|gap| gap.reason == Reason::Wished), "{:?}", choice.gaps);
    let bare = metres(&Wishes { finest: Some(0), ..Wishes::default() });
    assert!(!bare.contains(['·', ':']), "{bare}");
}

#[test]
fn the_end_mark_is_what_was_asked_for() {
    let with = |end_mark, end_text: Option<&str>| {
        metres(&Wishes { end_mark, end_text: end_text.map(String::from), ..Wishes::default() })
    };
    assert!(with(EndMark::Numeral, None).ends_with(" 0.45"));
    assert!(with(EndMark::Tick, None).ends_with('¦'));
    assert!(with(EndMark::Nothing, None).ends_with([':', '·', '5']));
    assert!(with(EndMark::Auto, Some("MIN")).ends_with(" MIN"));
    // an end that no customary step leads to is no reason to leave all other numerals out
    let prime = Lens { closest: 467.0, ..lens() };
    for (end_mark, end_text) in [(EndMark::Auto, Some("MIN")), (EndMark::Numeral, None)] {
        let wishes = Wishes { end_mark, end_text: end_text.map(String::from), ..Wishes::default() };
        let choice = prime.choose(false, false, &wishes).unwrap();
        let free = prime.choose(false, false, &Wishes::default()).unwrap();
        assert!(numerals(&choice).len() + 1 >= numerals(&free).len(), "{}", drawn(&choice));
        assert_eq!(drawn(&choice).ends_with(" MIN"), end_text.is_some(), "{}", drawn(&choice));
    }
    // an end that no metric numeral holds: its text keeps clear of the last numeral
    for tenths in (4_572..5_200).step_by(7) {
        let odd = Lens { closest: 0.1 * f64::from(tenths), ..lens() };
        let choice = odd.choose(false, false, &Wishes { end_text: Some("MIN".into()), ..Wishes::default() }).unwrap();
        let numbered: Vec<&Tick> = choice.ticks.iter().filter(|tick| !tick.label.is_empty()).collect();
        let [.., before, end] = numbered.as_slice() else { panic!("{tenths}: {}", drawn(&choice)) };
        assert_eq!(end.label, "MIN");
        let widths = 0.7 * (before.label.chars().count() + 3) as f64;
        assert!(end.arc - before.arc - widths >= 0.7 * 2.0 - 1e-9, "{tenths}");
    }
}

#[test]
fn what_cannot_be_is_refused_with_its_reason() {
    let told =
        |wishes: Wishes| refused(&wishes).told(&|count| crate::scale::ladder::METRE.label(count, Figures::default()));
    insta::assert_snapshot!(told(Wishes { also: vec![1_000], never: vec![1_000], ..Wishes::default() }), @"1 is asked for and forbidden at once");
    insta::assert_snapshot!(told(Wishes { also: vec![400], ..Wishes::default() }), @"0.4 lies off this scale");
    insta::assert_snapshot!(told(Wishes { also: vec![1_000, 1_020], ..Wishes::default() }), @"1.02 and 1 would overlap by 1.85 mm; at least 1.40 mm between them are needed");
    insta::assert_snapshot!(told(Wishes { also: vec![90_000], ..Wishes::default() }), @"∞ and 90 would overlap by 1.35 mm; at least 1.40 mm between them are needed");
    let steps =
        |to, numbered, fine| vec![Steps { to: Some(to), numbered: Some(numbered), medium: None, fine: Some(fine) }];
    insta::assert_snapshot!(told(Wishes { steps: steps(1_000, 300, 100), ..Wishes::default() }), @"0.3 does not divide 1");
    insta::assert_snapshot!(told(Wishes { steps: steps(1_000, 500, 3), ..Wishes::default() }), @"0.003 does not divide 0.5");
    insta::assert_snapshot!(told(Wishes { steps: steps(1_000, 500, 0), ..Wishes::default() }), @"a step down to 1 is not above zero");
    insta::assert_snapshot!(told(Wishes { steps: steps(500, 10, 1), ..Wishes::default() }), @"a numeral every 0.01 has no room down to 0.5");
    let rising = [steps(1_000, 500, 100), steps(2_000, 500, 100)].concat();
    insta::assert_snapshot!(told(Wishes { steps: rising, ..Wishes::default() }), @"2 is not nearer than the section before it");
}

#[test]
fn the_cost_never_rises_when_a_wish_is_taken_away() {
    let bits = |wishes: &Wishes| lens().choose(false, true, wishes).unwrap().bits;
    let free = bits(&Wishes::default());
    for wishes in [
        Wishes { also: vec![970], ..Wishes::default() },
        Wishes { also: vec![1_100, 2_200], ..Wishes::default() },
        Wishes { finest: Some(20), ..Wishes::default() },
        Wishes { only: Some(vec![5_000, 1_000]), ..Wishes::default() },
    ] {
        assert!(bits(&wishes) >= free - 1e-9, "{wishes:?}");
    }
}
