//! What else stands on the strip, where a scale ends before infinity, and where it meets itself round the ring.

use super::sample::{Gaps, Lens, USUAL, drawn};
use super::*;
use crate::scale::{Figures, Sides};

const TICK_GAP: f64 = 0.928;
const LABEL_GAP: f64 = 2.0;

/// Half the width of a label whose characters are 1.4 mm wide.
fn half(text: &str) -> f64 {
    0.7 * text.chars().count() as f64
}

fn lenses() -> impl Iterator<Item = Lens> {
    let rings = [(40.0, 120.0), (65.0, 200.0), (84.0, 270.0), (110.0, 330.0)];
    rings
        .into_iter()
        .flat_map(|(ring, throw)| [450.0, 600.0, 914.4].map(|closest| Lens::with_throw(ring, throw, closest)))
}

fn chosen(lens: Lens, feet: bool, wishes: &Wishes, change: impl FnOnce(&mut Graduation)) -> Choice {
    lens.scale(feet, !feet, wishes, USUAL, |scale| {
        let mut scale = *scale;
        change(&mut scale);
        scale.choose().unwrap()
    })
}

fn first_numeral(choice: &Choice) -> usize {
    choice.ticks.iter().position(|tick| !tick.label.is_empty()).unwrap_or(choice.ticks.len())
}

#[test]
fn nothing_stands_too_near_a_mark_for_a_stop_and_no_label_beside_its_label() {
    let mut beside = 0;
    for lens in lenses() {
        let end = lens.arc(lens.closest).unwrap();
        for (feet, farthest) in [(false, None), (true, None), (false, Some(8000.0)), (true, Some(6096.0))] {
            for k in 1..24 {
                let arc = end * f64::from(k) / 24.0;
                let obstacles = [Obstacle { arc, sides: Sides::even(3.0) }];
                let choice = lens.scale(feet, true, &Wishes::default(), USUAL, |scale| {
                    Graduation { obstacles: &obstacles, farthest, ..*scale }.choose().unwrap()
                });
                let first = first_numeral(&choice);
                for (i, tick) in choice.ticks.iter().enumerate() {
                    let apart = (tick.arc - arc).abs();
                    let what = format!("{lens:?}, {feet} {farthest:?}, at {arc}: {tick:?}");
                    assert!(tick.end || apart >= TICK_GAP - 1e-9, "{what}");
                    assert!(tick.label.is_empty() || apart - half(&tick.label) - 1.5 >= LABEL_GAP - 1e-9, "{what}");
                    // a tick alone beneath the other's label would be taken for that mark's own
                    assert!(i >= first || farthest.is_some() || tick.end || apart >= 1.5 - 1e-9, "{what}");
                    beside += usize::from(apart < 2.5);
                }
            }
        }
    }
    assert!(beside > 400, "{beside}");
}

#[test]
fn a_scale_that_ends_before_infinity_has_at_most_four_ticks_before_its_first_numeral() {
    let mut most = 0;
    for lens in lenses() {
        for feet in [false, true] {
            for k in 0..80 {
                let farthest = 1500.0 * 1.04f64.powi(k);
                let choice = chosen(lens, feet, &Wishes::default(), |scale| scale.farthest = Some(farthest));
                let outer: Vec<&Tick> =
                    choice.ticks[..first_numeral(&choice)].iter().filter(|tick| !tick.end).collect();
                assert!(outer.len() <= 4, "{lens:?} from {farthest}: {}", drawn(&choice));
                most = most.max(outer.len());
                for pair in choice.ticks.windows(2) {
                    assert!(
                        pair[1].arc - pair[0].arc >= TICK_GAP - 1e-9,
                        "{lens:?} from {farthest}: {}",
                        drawn(&choice)
                    );
                }
            }
        }
    }
    assert_eq!(most, 4);
}

#[test]
fn a_far_end_bears_a_numeral_in_the_users_unit_and_else_where_it_is_round() {
    let lens = Lens::with_throw(84.0, 270.0, 450.0);
    let label = |farthest: f64, own_unit: bool| {
        let choice = chosen(lens, false, &Wishes::default(), |scale| {
            (scale.farthest, scale.own_unit) = (Some(farthest), own_unit);
        });
        assert!(choice.ticks[0].mm > farthest - 1e-6, "the scale begins at its far end");
        choice.ticks[0].label.clone()
    };
    // 3.7 m is 37 steps of 0.1 m, more than the 24 of a value that is asked for
    assert_eq!((label(3700.0, true).as_str(), label(3700.0, false).as_str()), ("3.7", ""));
    assert_eq!((label(3000.0, true).as_str(), label(3000.0, false).as_str()), ("3", "3"));
}

#[test]
fn from_the_last_numeral_to_the_rings_end_no_more_ticks_stand_than_are_counted() {
    let (mut most, mut row_of_four) = (0, 0);
    for (ring, throw) in [(40.0, 120.0), (65.0, 200.0), (84.0, 270.0), (110.0, 330.0)] {
        for mm in 0..60 {
            let lens = Lens::with_throw(ring, throw, 450.0 + 9.7 * f64::from(mm));
            for feet in [false, true] {
                let wishes = Wishes { end_mark: EndMark::Tick, ..Wishes::default() };
                let choice = chosen(lens, feet, &wishes, |_| {});
                let from = choice.ticks.iter().rposition(|tick| !tick.label.is_empty()).map_or(0, |at| at + 1);
                let ticks: Vec<TickClass> =
                    choice.ticks[from..].iter().filter(|tick| !tick.end).map(|tick| tick.class).collect();
                assert!(ticks.len() <= 9, "{lens:?}: {ticks:?}");
                let longest = ticks.split(|class| *class != TickClass::Fine).map(<[_]>::len).max().unwrap_or(0);
                assert!(longest <= 4, "{lens:?}: five equal ticks are counted, not seen: {ticks:?}");
                most = most.max(ticks.len());
                row_of_four += usize::from(longest == 4);
            }
        }
    }
    assert!(most >= 8 && row_of_four > 0, "{most}, {row_of_four}");
}

#[test]
fn the_first_label_keeps_seven_tenths_of_the_gap_from_infinity_where_nothing_else_fits_too() {
    let (mut least, mut none) = (f64::INFINITY, 0);
    // on the smallest rings there is room for one label or for none
    for tenths in (40..300).chain((300..900).step_by(10)) {
        let lens = Lens::with_throw(0.1 * f64::from(tenths), 60.0, 600.0);
        for feet in [false, true] {
            let choice = chosen(lens, feet, &Wishes::default(), |_| {});
            match choice.ticks.get(first_numeral(&choice)) {
                Some(first) => least = least.min(first.arc - half(&first.label) - half("∞")),
                None => none += 1,
            }
        }
    }
    // from one ring to the next a label moves by up to a tenth of a millimetre
    assert!((0.7 * LABEL_GAP - 1e-9..0.7 * LABEL_GAP + 0.1).contains(&least) && none > 0, "{least} {none}");
}

#[test]
fn after_a_single_numeral_that_is_asked_for_no_more_ticks_stand_than_are_counted() {
    let (mut most, mut four) = (0, false);
    for (ring, value) in [45.0, 84.0, 120.0].into_iter().flat_map(|ring| (56..150).map(move |cm| (ring, 10 * cm))) {
        let wishes = Wishes { only: Some(vec![value]), end_mark: EndMark::Tick, ..Wishes::default() };
        for closest in [440.0, 473.0, 505.0] {
            let choice = chosen(Lens::with_throw(ring, 270.0, closest), false, &wishes, |_| {});
            let after = first_numeral(&choice) + 1;
            let ticks: Vec<TickClass> =
                choice.ticks[after..].iter().filter(|tick| !tick.end).map(|tick| tick.class).collect();
            let longest = ticks.split(|class| *class != TickClass::Fine).map(<[_]>::len).max().unwrap_or(0);
            assert!(ticks.len() <= 9 && longest <= 4, "{value} to {closest} on {ring}: {}", drawn(&choice));
            most = most.max(ticks.len());
            four |= ticks.len() == 4 && longest == 4;
        }
    }
    assert!(most == 9 && four, "{most} {four}");
}

#[test]
fn steps_do_not_grow_toward_close_on_a_helicoid_even_where_that_would_be_cheaper() {
    // three rings on which a coarser step toward close would cost less than a fine one all the way
    let rings =
        [(3.089, 95.49, 990.0, true, 2.28), (6.0104, 54.712, 560.0, false, 0.855), (37.87, 83.083, 205.0, false, 2.28)];
    for (lead, ring, closest, feet, character) in rings {
        let lens = Lens { focal: 50.0, number: 2.0, c: 100.0, lead, ring, closest };
        let gaps = Gaps { character, label: character / 0.7125, ..USUAL };
        let choice = lens.scale(feet, false, &Wishes::default(), gaps, |scale| scale.choose().unwrap());
        let fine: Vec<Count> = choice.sections.iter().filter_map(|section| section.fine).collect();
        assert!(fine.windows(2).all(|pair| pair[1] <= pair[0]), "{:?}", choice.sections);
    }
}

#[test]
fn where_the_scale_meets_itself_labels_move_aside_of_the_seam_and_stay_over_their_ticks() {
    let lens = Lens::with_throw(84.0, 270.0, 450.0);
    let end = lens.arc(lens.closest).unwrap();
    let mut moved = (0, 0);
    for tenths in 4..90 {
        let period = end + 0.1 * f64::from(tenths);
        let choice = chosen(lens, false, &Wishes::default(), |scale| scale.period = period);
        let last = choice.ticks.last().unwrap();
        assert!(last.end && last.label == "0.45");
        // half a tick of 0.2 mm stays beneath its label
        let beyond = last.arc + last.shift + half(&last.label);
        let infinity = choice.infinity_shift - half("∞");
        let (stays, yields) = (beyond - last.arc, -infinity);
        assert!(stays >= 0.1 - 1e-9 && yields >= 0.1 - 1e-9, "{stays} {yields}");
        assert!(last.shift <= 1e-9 && choice.infinity_shift >= -1e-9, "both move away from the seam");
        let clear = period + infinity - beyond;
        let as_far_as_they_can = stays <= 0.1 + 1e-9 && yields <= 0.1 + 1e-9;
        assert!(clear >= LABEL_GAP - 1e-9 || as_far_as_they_can, "{clear} at {period}");
        // and no farther than the gap asks
        assert!(
            clear <= LABEL_GAP + 1e-9 || (last.shift.abs() < 1e-9 && choice.infinity_shift.abs() < 1e-9),
            "{clear}"
        );
        moved.0 += usize::from(last.shift < -1e-9);
        moved.1 += usize::from(choice.infinity_shift > 1e-9);
    }
    assert!(moved.0 > 5 && moved.1 > 5, "{moved:?}");
}

#[test]
fn a_value_is_left_out_for_a_label_that_it_would_touch_and_else_for_the_crowd() {
    let mut by = [0; 3];
    for lens in lenses() {
        for feet in [false, true] {
            let choice = chosen(lens, feet, &Wishes::default(), |_| {});
            let ladder = lens.ladder(feet);
            for untold in &choice.untold {
                let (arc, half_width) =
                    (lens.arc(ladder.mm(untold.value)).unwrap(), half(&ladder.label(untold.value, Figures::default())));
                let clear = |at: f64, other: f64| (at - arc).abs() - half_width - other;
                let touches =
                    |tick: &Tick| !tick.label.is_empty() && clear(tick.arc, half(&tick.label)) < 0.7 * LABEL_GAP - 1e-9;
                let infinity = clear(0.0, half("∞")) < 0.7 * LABEL_GAP - 1e-9;
                match untold.by {
                    InTheWay::Infinity => assert!(infinity, "{lens:?}: {untold:?}"),
                    InTheWay::Numeral(value) => {
                        let other = choice.ticks.iter().find(|tick| tick.value == Some(value)).unwrap();
                        assert!(!infinity && touches(other), "{lens:?}: {untold:?}");
                    }
                    InTheWay::Crowd => assert!(!infinity && !choice.ticks.iter().any(touches), "{lens:?}: {untold:?}"),
                }
                by[match untold.by {
                    InTheWay::Infinity => 0,
                    InTheWay::Numeral(_) => 1,
                    InTheWay::Crowd => 2,
                }] += 1;
            }
        }
    }
    assert!(by[0] > 0 && by[1] > 0, "{by:?}");
}

#[test]
fn a_value_is_asked_for_up_to_both_ends_of_the_scale() {
    let lens = Lens::with_throw(84.0, 270.0, 450.0);
    let asked = |value: Count, closest: f64, farthest: Option<f64>| {
        let wishes = Wishes { also: vec![value], ..Wishes::default() };
        Lens { closest, ..lens }.scale(false, true, &wishes, USUAL, |scale| Graduation { farthest, ..*scale }.choose())
    };
    assert_eq!(asked(9_000, 450.0, Some(8_000.0)).unwrap_err(), WishFault::OffScale { value: 9_000 });
    assert!(asked(8_000, 450.0, Some(8_000.0)).is_ok());
    // 0.45 m for an end that was measured as 0.45003 m: 0.01 mm of the strip
    let numbered = asked(450, 450.03, None).unwrap();
    assert_eq!(numbered.ticks.last().map(|tick| tick.label.as_str()), Some("0.45"));
    assert_eq!(asked(440, 450.0, None).unwrap_err(), WishFault::OffScale { value: 440 });
}
