//! The same cost, fed with a logarithm, has to divide as slide rules are divided.
//!
//! Published divisions of C scales (klaasnauta.com/2-83): 12.5 cm, 10-5 by 0.1, 5-2 by 0.05, 2-1 by 0.02; every 25 cm rule,
//! 10-4 by 0.05, 4-2 by 0.02, 2-1 by 0.01; 50 cm, 10-5, 5-2 and 2-1 by 0.02, 0.01 and 0.005, down to 0.43 mm. Ours changes
//! at 8 and 4 on the last: from 10 to 8 its 0.02 would stand 0.43 mm apart. Numerals are taken to be 1 mm wide with 1.5 mm
//! between them; no source tells those of a rule.

use super::*;
use crate::scale::ladder::METRE;

/// Where the fine step changes on a scale of `length` mm from 10 to 1, which is written in counts of a thousandth.
fn steps(length: f64, tick_gap: f64, aim: f64) -> String {
    let scale = Graduation {
        ladder: &METRE,
        arc: &|x| Some(length * (10_000.0 / x).log10()),
        half_depth: &|_| aim,
        sides: &|text| Sides::even(text.chars().count() as f64),
        closest: 1_000.0,
        farthest: Some(10_000.0),
        reach: 10_000.0,
        own_unit: true,
        tick_gap,
        label_gap: 1.5,
        tick_width: 0.1,
        comfort: Comfort { narrowest: aim, widest: aim, ..Comfort::default() },
        period: 10.0 * length,
        obstacles: &[],
        figures: Figures::default(),
        infinity: "∞",
        wishes: &Wishes::default(),
    };
    let mut line = Vec::new();
    let mut last = None;
    for section in scale.choose().unwrap().sections {
        if section.fine != last {
            line.push(format!(
                "{} by {}",
                METRE.label(section.from, Figures::default()),
                METRE.label(section.fine.unwrap(), Figures::default())
            ));
            last = section.fine;
        }
    }
    line.join(", ")
}

#[test]
fn slide_rules_are_divided_as_published() {
    for aim in [0.65, 0.7, 0.75] {
        assert_eq!(steps(125.0, 0.5, aim), "10 by 0.1, 5 by 0.05, 2 by 0.02");
        assert_eq!(steps(250.0, 0.5, aim), "10 by 0.05, 4 by 0.02, 2 by 0.01");
        assert_eq!(steps(500.0, 0.43, aim), "10 by 0.05, 8 by 0.02, 4 by 0.01, 2 by 0.005");
    }
}
