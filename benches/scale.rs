//! How long the choice of a whole scale takes: a keystroke on the page waits for it.

use std::f64::consts::PI;

use ringwright::scale::graduation::{Comfort, Graduation};
use ringwright::scale::ladder::{FOOT, METRE};
use ringwright::scale::{Figures, Sides, Wishes};

fn main() {
    divan::main();
}

/// A 50 mm lens with a ring, a throw in degrees, a closest distance and a numeral height.
#[derive(Clone, Copy, Debug)]
struct Ring {
    diameter: f64,
    throw: f64,
    closest: f64,
    height: f64,
}

/// A common ring, and one on which more than a hundred numerals have room.
const USUAL: Ring = Ring { diameter: 84.0, throw: 270.0, closest: 450.0, height: 2.45 };
const WORST: Ring = Ring { diameter: 150.0, throw: 350.0, closest: 220.0, height: 1.5 };

#[divan::bench(args = [("usual m", USUAL, false), ("usual ft", USUAL, true), ("worst m", WORST, false), ("worst ft", WORST, true)])]
fn choose(bencher: divan::Bencher, (_, ring, feet): (&str, Ring, bool)) {
    // D = A/t + C + K t of a lens moved as a whole, by the lead that makes the throw
    let focal = 50.0f64;
    let b = ring.closest - 2.0 * focal;
    let extension = 2.0 * focal * focal / (b + (b * b - 4.0 * focal * focal).sqrt());
    let lead = extension * 360.0 / ring.throw;
    let (a, k) = (focal * focal * 360.0 / lead, lead / 360.0);
    let arc = |mm: f64| {
        let b = mm - 2.0 * focal;
        let inner = b * b - 4.0 * a * k;
        if mm.is_infinite() {
            return Some(0.0);
        }
        (b > 0.0 && inner >= 0.0).then(|| 2.0 * a / (b + inner.sqrt()) * PI * ring.diameter / 360.0)
    };
    let wishes = Wishes::default();
    let scale = Graduation {
        ladder: if feet { &FOOT } else { &METRE },
        arc: &arc,
        half_depth: &|_| 0.3,
        sides: &|text| Sides::even(0.57 * ring.height * text.chars().count() as f64),
        closest: ring.closest,
        farthest: None,
        reach: 2000.0 * focal,
        own_unit: !feet,
        tick_gap: 0.928,
        label_gap: 0.8 * ring.height,
        tick_width: 0.2,
        comfort: Comfort::default(),
        period: PI * ring.diameter,
        obstacles: &[],
        figures: Figures::default(),
        infinity: "∞",
        wishes: &wishes,
    };
    bencher.bench_local(|| divan::black_box(&scale).choose());
}
