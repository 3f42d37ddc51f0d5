//! Scales that were worked out once and checked by eye: they have to come out letter for letter.
//!
//! Twelve scales of six lenses, chosen by another implementation of the same rules and cost, with every mark and every
//! section. Labels 1.4 mm a character, 2 mm between them, ticks of 0.2 mm and 0.928 mm apart at least, a circle of
//! confusion of 0.025 mm. `·` is a fine tick, `:` a medium one, `¦` an end mark without numeral.

use super::sample::{Lens, drawn, sections};
use super::*;

struct Case {
    lens: Lens,
    feet: bool,
    /// Whether the closest distance was given in this unit.
    own: bool,
    marks: &'static str,
    sections: &'static str,
}

const CASES: [Case; 12] = [
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 9.7265, ring: 84.0, closest: 450.0 },
        feet: false,
        own: true,
        marks: "∞ · · 10 · 5 · 4 · 3 · 2.5 · 2 · : · : · : · : · 1.5 · : · : · 1.2 · 1.1 · 1 · · · · 0.9 · · · · 0.8 · · · · 0.75 · · · · 0.7 · · · · 0.65 · · · · 0.6 · : · : · : · : · 0.55 · : · : · : · : · 0.5 · : · : · : · : · 0.45",
        sections: "10→5 numbered 5 fine 2.5 med -; 5→3 numbered 1 fine 0.5 med -; 3→2 numbered 0.5 fine 0.25 med -; 2→1.5 numbered 0.5 fine 0.05 med 0.1; 1.5→1.2 numbered 0.3 fine 0.05 med 0.1; 1.2→1 numbered 0.1 fine 0.05 med -; 1→0.8 numbered 0.1 fine 0.02 med -; 0.8→0.6 numbered 0.05 fine 0.01 med -; 0.6→0.45 numbered 0.05 fine 0.005 med 0.01",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 9.7265, ring: 84.0, closest: 450.0 },
        feet: true,
        own: false,
        marks: "∞ · 40′ · 20′ · · · · 10′ · : · 8′ · : · 6′ · · : · · 5′ · · : · · 4′ · · : · · 3′6″ · · : · · 3′ · : · : · 2′9″ · : · : · 2′6″ · : · 2′4″ · : · 2′2″ · : · 2′ · · · : · · · 1′10″ · : · 1′9″ · : · 1′8″ · : · 1′7″ · : · 1′6″¦",
        sections: "40′→20′ numbered 20′ fine 10′ med -; 20′→10′ numbered 10′ fine 2′ med -; 10′→6′ numbered 2′ fine 6″ med 1′; 6′→4′ numbered 1′ fine 2″ med 6″; 4′→3′ numbered 6″ fine 1″ med 3″; 3′→2′6″ numbered 3″ fine ½″ med 1″; 2′6″→2′ numbered 2″ fine ½″ med 1″; 2′→1′10″ numbered 2″ fine ¼″ med 1″; 1′10″→1′6″ numbered 1″ fine ¼″ med ½″",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 12.5492, ring: 40.0, closest: 900.0 },
        feet: false,
        own: true,
        marks: "∞ · · 5 · 3 · 2 · 1.5 · · · · 1¦",
        sections: "5→3 numbered 2 fine 1 med -; 3→2 numbered 1 fine 0.5 med -; 2→1.5 numbered 0.5 fine 0.25 med -; 1.5→1 numbered 0.5 fine 0.1 med -",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 12.5492, ring: 40.0, closest: 900.0 },
        feet: true,
        own: false,
        marks: "∞ · · 10′ · · · · 5′ · : · 4′ · : · 3′",
        sections: "10′→5′ numbered 5′ fine 1′ med -; 5′→3′ numbered 1′ fine 3″ med 6″",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 5.5102, ring: 120.0, closest: 600.0 },
        feet: false,
        own: true,
        marks: "∞ · · 20 · · · · 10 · 8 · : · 6 · 5 · · · · 4 · · · · 3.5 · · · · 3 · · · · 2.5 · : · : · : · : · 2 · : · 1.8 · · · · : · · · · 1.6 · · · · 1.5 · · · · 1.4 · · · · 1.3 · · · · 1.2 · · · · 1.15 · · · · 1.1 · · · · 1.05 · · · · 1 · · · · 0.95 · · · · 0.9 · · · · 0.85 · : · : · : · : · 0.8 · : · : · : · : · 0.75 · : · : · : · : · 0.7 · : · 0.68 · : · 0.66 · : · 0.64 · : · 0.62 · : · 0.6",
        sections: "20→10 numbered 10 fine 2 med -; 10→8 numbered 2 fine 1 med -; 8→6 numbered 2 fine 0.5 med 1; 6→5 numbered 1 fine 0.5 med -; 5→4 numbered 1 fine 0.2 med -; 4→2.5 numbered 0.5 fine 0.1 med -; 2.5→2 numbered 0.5 fine 0.05 med 0.1; 2→1.8 numbered 0.2 fine 0.05 med 0.1; 1.8→1.6 numbered 0.2 fine 0.02 med 0.1; 1.6→1.2 numbered 0.1 fine 0.02 med -; 1.2→0.85 numbered 0.05 fine 0.01 med -; 0.85→0.7 numbered 0.05 fine 0.005 med 0.01; 0.7→0.6 numbered 0.02 fine 0.005 med 0.01",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 5.5102, ring: 120.0, closest: 600.0 },
        feet: true,
        own: false,
        marks: "∞ · · 50′ · : · 30′ · 20′ · · · · 15′ · : · : · : · : · 10′ · · : · · 9′ · · : · · 8′ · · : · · 7′ · · 6′6″ · · 6′ · · : · · 5′6″ · · : · · 5′ · · : · · 4′6″ · · 4′3″ · · 4′ · : · : · 3′9″ · : · : · 3′6″ · : · 3′4″ · : · 3′2″ · : · 3′ · · · : · · · 2′10″ · · · : · · · 2′8″ · : · 2′7″ · : · 2′6″ · : · 2′5″ · : · 2′4″ · : · 2′3″ · · · : · · · 2′2″ · · · : · · · 2′1″ · · · : · · · 2′ · ·¦",
        sections: "50′→30′ numbered 20′ fine 5′ med 10′; 30′→20′ numbered 10′ fine 5′ med -; 20′→15′ numbered 5′ fine 1′ med -; 15′→10′ numbered 5′ fine 6″ med 1′; 10′→7′ numbered 1′ fine 2″ med 6″; 7′→6′ numbered 6″ fine 2″ med -; 6′→4′6″ numbered 6″ fine 1″ med 3″; 4′6″→4′ numbered 3″ fine 1″ med -; 4′→3′6″ numbered 3″ fine ½″ med 1″; 3′6″→3′ numbered 2″ fine ½″ med 1″; 3′→2′8″ numbered 2″ fine ¼″ med 1″; 2′8″→2′3″ numbered 1″ fine ¼″ med ½″; 2′3″→2′ numbered 1″ fine ⅛″ med ½″",
    },
    Case {
        lens: Lens { focal: 28.0, number: 2.8, c: 80.0, lead: 7.2, ring: 84.0, closest: 300.0 },
        feet: false,
        own: true,
        marks: "∞ · · 5 · 3 · 2 · 1.5 · · · · 1 · : · 0.8 · · · · 0.7 · · · · 0.6 · · · · 0.5 · · · · 0.45 · · · · 0.4 · : · : · : · : · 0.35 · : · : · : · : · 0.3",
        sections: "5→3 numbered 2 fine 1 med -; 3→2 numbered 1 fine 0.5 med -; 2→1.5 numbered 0.5 fine 0.25 med -; 1.5→1 numbered 0.5 fine 0.1 med -; 1→0.8 numbered 0.2 fine 0.05 med 0.1; 0.8→0.5 numbered 0.1 fine 0.02 med -; 0.5→0.4 numbered 0.05 fine 0.01 med -; 0.4→0.3 numbered 0.05 fine 0.005 med 0.01",
    },
    Case {
        lens: Lens { focal: 28.0, number: 2.8, c: 80.0, lead: 7.2, ring: 84.0, closest: 300.0 },
        feet: true,
        own: false,
        marks: "∞ · · 10′ · · · · 5′ · : · 4′ · : · 3′ · · : · · 2′6″ · · : · · 2′ · : · : · 1′9″ · : · : · 1′6″ · · · : · · · 1′4″ · : · 1′3″ · : · 1′2″ · : · 1′1″ · : · 1′¦",
        sections: "10′→5′ numbered 5′ fine 1′ med -; 5′→3′ numbered 1′ fine 3″ med 6″; 3′→2′ numbered 6″ fine 1″ med 3″; 2′→1′6″ numbered 3″ fine ½″ med 1″; 1′6″→1′4″ numbered 2″ fine ¼″ med 1″; 1′4″→1′ numbered 1″ fine ¼″ med ½″",
    },
    Case {
        lens: Lens { focal: 85.0, number: 1.8, c: 170.0, lead: 16.9, ring: 84.0, closest: 870.0 },
        feet: false,
        own: true,
        marks: "∞ · 20 · 10 · : · 6 5 · · · · 4 · · · · 3 · · · · 2.5 · · · · 2 · : · 1.8 · : · 1.6 · 1.5 · · · · 1.4 · · · · 1.3 · · · · 1.2 · · · · 1.1 · · · · 1 · · · · 0.95 · · · · 0.9 · · 0.87",
        sections: "20→10 numbered 10 fine 5 med -; 10→6 numbered 4 fine 1 med 2; 6→5 numbered 1 fine - med -; 5→3 numbered 1 fine 0.2 med -; 3→2 numbered 0.5 fine 0.1 med -; 2→1.6 numbered 0.2 fine 0.05 med 0.1; 1.6→1.5 numbered 0.1 fine 0.05 med -; 1.5→1 numbered 0.1 fine 0.02 med -; 1→0.9 numbered 0.05 fine 0.01 med -; 0.9→0.87 numbered 0.03 fine 0.01 med -",
    },
    Case {
        lens: Lens { focal: 85.0, number: 1.8, c: 170.0, lead: 16.9, ring: 84.0, closest: 870.0 },
        feet: true,
        own: false,
        marks: "∞ · · 50′ · · 20′ · · · · 15′ · · · · 10′ · · · : · · · 8′ · : · 7′ · : · 6′ · · 5′6″ · · 5′ · · : · · 4′6″ · · : · · 4′ · : · : · 3′9″ · : · : · 3′6″ · : · : · 3′3″ · : · : · 3′ · : ·¦",
        sections: "50′→20′ numbered 30′ fine 10′ med -; 20′→10′ numbered 5′ fine 1′ med -; 10′→8′ numbered 2′ fine 3″ med 1′; 8′→6′ numbered 1′ fine 3″ med 6″; 6′→5′ numbered 6″ fine 2″ med -; 5′→4′ numbered 6″ fine 1″ med 3″; 4′→3′ numbered 3″ fine ½″ med 1″",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 22.0, ring: 65.0, closest: 457.2 },
        feet: true,
        own: true,
        marks: "∞ · · 10′ · 5′ · 4′ · · : · · 3′ · · 2′6″ · · : · · 2′ · : · : · 1′9″ · : · : · 1′6″",
        sections: "10′→5′ numbered 5′ fine 2′6″ med -; 5′→4′ numbered 1′ fine 6″ med -; 4′→3′ numbered 1′ fine 2″ med 6″; 3′→2′6″ numbered 6″ fine 2″ med -; 2′6″→2′ numbered 6″ fine 1″ med 3″; 2′→1′6″ numbered 3″ fine ½″ med 1″",
    },
    Case {
        lens: Lens { focal: 50.0, number: 2.0, c: 100.0, lead: 22.0, ring: 65.0, closest: 457.2 },
        feet: false,
        own: false,
        marks: "∞ · · 5 · 3 · 2 · 1.5 · · · · 1 · : · 0.8 · · · · : · · · · 0.6 · · · · 0.5 · · ·¦",
        sections: "5→3 numbered 2 fine 1 med -; 3→2 numbered 1 fine 0.5 med -; 2→1.5 numbered 0.5 fine 0.25 med -; 1.5→1 numbered 0.5 fine 0.1 med -; 1→0.8 numbered 0.2 fine 0.05 med 0.1; 0.8→0.6 numbered 0.2 fine 0.02 med 0.1; 0.6→0.5 numbered 0.1 fine 0.02 med -",
    },
];

#[test]
fn every_scale_comes_out_letter_for_letter() {
    for case in &CASES {
        let choice = case.lens.choose(case.feet, case.own, &Wishes::default()).unwrap();
        assert_eq!(drawn(&choice), case.marks);
        assert_eq!(sections(&choice, case.lens.ladder(case.feet)), case.sections);
    }
}
