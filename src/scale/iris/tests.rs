//! Golden irises, and what must hold of any.

use super::*;
use crate::lettering::{Face, Lettering};
use crate::optics::IrisShape;
use proptest::prelude::*;

const HEIGHT: f64 = 2.45;
const RING: f64 = 78.0;

#[derive(Clone, Debug)]
struct Iris {
    widest: Stop,
    smallest: Stop,
    division: Division,
    transmittance: Option<f64>,
    /// Degrees from the widest to the smallest stop, evenly.
    turn: f64,
    label_gap: f64,
    wishes: IrisWishes,
    /// Whether labels reach as the plain face has them on a ring that closes clockwise, or as far to both sides.
    hanging: bool,
}

impl Iris {
    fn new(widest: f64, smallest: f64, turn: f64) -> Iris {
        let stop = |number| Stop::nominal(number, Division::Third).unwrap();
        let (widest, smallest) = (stop(widest), stop(smallest));
        Iris {
            widest,
            smallest,
            division: Division::Third,
            transmittance: None,
            turn,
            label_gap: 0.8 * HEIGHT,
            wishes: IrisWishes::default(),
            hanging: false,
        }
    }

    fn sides(&self, lettering: &Lettering, text: &str) -> Sides {
        let reach = lettering.reach(text).unwrap();
        let sides = Sides { before: reach.right.to_mm(), after: reach.left.to_mm() };
        if self.hanging { sides } else { Sides::even(sides.width()) }
    }

    fn band(&self, shape: IrisShape) -> Band {
        let lettering = Lettering::new(Face::plain(), Length::mm(HEIGHT)).unwrap();
        let sides = |text: &str| self.sides(&lettering, text);
        let even = |rate| IrisLaw::Shaped { shape, widest: self.widest, open: Angle::ZERO, rate };
        // the rate that makes the turn: even laws are linear in it
        let one = even(1.0).angle(self.smallest).unwrap().to_deg();
        let law = even(self.turn / one);
        let spacing = Spacing {
            mm_per_degree: std::f64::consts::PI * RING / 360.0,
            period: Length::mm(std::f64::consts::PI * RING),
            smallest_gap: Length::mm(0.928),
            label_gap: Length::mm(self.label_gap),
            tick_width: Length::mm(0.2),
        };
        IrisScale {
            law: &law,
            widest: self.widest,
            smallest: self.smallest,
            division: self.division,
            transmittance: self.transmittance,
            spacing,
            numeral_height: Length::mm(HEIGHT),
            smallest_numeral: Length::mm(1.4),
            wishes: &self.wishes,
            sides: &sides,
        }
        .band()
        .unwrap()
    }
}

fn drawn(band: &Band) -> String {
    let sign = |mark: &Mark| match mark.tick {
        _ if mark.numbered() => mark.label.clone(),
        TickClass::Numbered => "|".to_string(),
        TickClass::Medium => ":".to_string(),
        TickClass::Fine => "·".to_string(),
    };
    band.marks.iter().map(sign).collect::<Vec<_>>().join(" ")
}

fn height(band: &Band) -> f64 {
    band.grounds.numeral_height.map_or(HEIGHT, |height| (height.to_mm() * 1000.0).round() / 1000.0)
}

#[test]
fn full_stops_are_numbered_and_numerals_shrink_only_as_far_as_that_takes() {
    // worked out once by another implementation of the same rules: which are numbered, and how high
    let band = Iris::new(1.4, 22.0, 45.0).band(IrisShape::Even);
    assert_eq!(drawn(&band), "1.4 · · 2 · · 2.8 · · 4 · · 5.6 · · 8 · · 11 · · 16 · · 22");
    assert_eq!(height(&band), 2.25);
    let band = Iris::new(1.4, 22.0, 30.0).band(IrisShape::Even);
    assert_eq!(drawn(&band), "1.4 · 2 · 2.8 · 4 · 5.6 · 8 · 11 · 16 · 22");
    assert_eq!(height(&band), 1.5);
}

#[test]
fn what_has_room_is_left_as_it_is() {
    let halves = Iris { division: Division::Half, ..Iris::new(2.8, 22.0, 67.5) };
    let band = halves.band(IrisShape::Even);
    assert_eq!((drawn(&band).as_str(), height(&band)), ("2.8 · 4 · 5.6 · 8 · 11 · 16 · 22", HEIGHT));
    let band = Iris::new(4.0, 32.0, 49.5).band(IrisShape::Even);
    assert_eq!((drawn(&band).as_str(), height(&band)), ("4 · · 5.6 · · 8 · · 11 · · 16 · · 22 · · 32", HEIGHT));
}

#[test]
fn a_t_scale_begins_by_the_name_of_the_stop_within_a_twelfth_and_ends_where_the_ring_does() {
    let t = Iris { transmittance: Some(0.84), ..Iris::new(1.8, 16.0, 80.0) };
    let band = t.band(IrisShape::Even);
    assert_eq!(drawn(&band), "2 · · 2.8 · · 4 · · 5.6 · · 8 · · 11 · · 16 :");
    // its tick stands at its true place, and the light lost by 0.84 is a quarter of a stop
    assert!((band.marks[0].arc.to_mm()).abs() < 1e-12);
    assert_eq!(t_label(Stop::exact(1.65)), "1.7");
    assert_eq!(t_label(Stop::exact(1.96)), "2");
    assert_eq!(t_label(Stop::exact(19.2)), "19");
}

#[test]
fn an_end_mark_without_room_beside_the_last_full_stop_is_left_out() {
    let ends = |turn: f64| {
        let band = Iris { transmittance: Some(0.84), ..Iris::new(1.8, 16.0, turn) }.band(IrisShape::Even);
        let [.., full, last] = &band.marks[..] else { panic!("too few marks") };
        (last.label.clone(), (last.arc - full.arc).to_mm())
    };
    // the light lost is a quarter of a stop: of six stops and a third on this ring, 0.027 mm to a degree of the turn
    let (label, apart) = ends(40.0);
    assert!(label.is_empty() && apart > 0.928, "{label} {apart}");
    let (label, _) = ends(30.0);
    assert_eq!(label, "16");
}

#[test]
fn the_full_stop_beside_the_widest_keeps_its_tick_alone_where_they_touch_at_the_smallest_height() {
    // a third of a stop is 1.6 mm of this ring, and 1.8 and 2 of 1.4 mm height take 1.2 mm of it
    let band = Iris::new(1.8, 16.0, 45.0).band(IrisShape::Even);
    assert_eq!(drawn(&band), "1.8 : · · 2.8 · · 4 · · 5.6 · · 8 · · 11 · · 16");
    assert_eq!(height(&band), HEIGHT);
    // 2.1 mm: both are numbered, and all numerals are as low as that takes
    let band = Iris::new(1.8, 16.0, 60.0).band(IrisShape::Even);
    assert_eq!(drawn(&band), "1.8 2 · · 2.8 · · 4 · · 5.6 · · 8 · · 11 · · 16");
    assert!(height(&band) < HEIGHT, "{}", height(&band));
}

fn irises() -> impl Strategy<Value = (Iris, IrisShape)> {
    let widest = prop::sample::select(vec![1.2, 1.4, 1.8, 2.0, 2.8]);
    let division = prop::sample::select(vec![Division::Full, Division::Half, Division::Third]);
    let light = prop::sample::select(vec![None, Some(0.84), Some(0.72)]);
    let shape = prop::sample::select(vec![IrisShape::Even, IrisShape::Diameter]);
    let smallest = prop::sample::select(vec![16.0, 22.0]);
    (widest, smallest, 20.0..120.0f64, division, light, shape, any::<bool>()).prop_map(
        |(widest, smallest, turn, division, light, shape, hanging)| {
            (Iris { division, transmittance: light, hanging, ..Iris::new(widest, smallest, turn) }, shape)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]
    #[test]
    fn every_full_stop_has_a_tick_and_numerals_shrink_for_a_numeral_alone((iris, shape) in irises()) {
        let band = iris.band(shape);
        let stops: Vec<f64> = band.marks.iter().map(|mark| match mark.value {
            MarkValue::Stop(number) => 2.0 * number.log2(),
            MarkValue::Distance(_) => f64::NAN,
        }).collect();
        let (first, last) = (stops[0], stops[stops.len() - 1]);
        for full in (first.ceil() as i32)..=(last.floor() as i32) {
            let full = f64::from(full);
            let ends = (full - first).abs() <= SAME || (full - last).abs() <= SAME;
            prop_assert!(ends || stops.iter().any(|stop| (stop - full).abs() < 1e-9), "{full} in {stops:?}");
        }
        prop_assert!(band.marks[0].numbered());
        // labels keep the least gap at the height that was chosen
        let lettering = Lettering::new(Face::plain(), Length::mm(HEIGHT)).unwrap();
        let high = height(&band);
        let after = |mark: &Mark| iris.sides(&lettering, &mark.label).after * high / HEIGHT;
        let before = |mark: &Mark| iris.sides(&lettering, &mark.label).before * high / HEIGHT;
        let numbered: Vec<&Mark> = band.marks.iter().filter(|mark| mark.numbered()).collect();
        for pair in numbered.windows(2) {
            prop_assert!((pair[1].arc - pair[0].arc).to_mm() - after(pair[0]) - before(pair[1]) >= LEAST_GAP * high - 1e-9);
        }
        // five hundredths higher, and there are fewer
        if high < HEIGHT - 1e-9 {
            let posts = iris.band(shape).left_out.len();
            let higher = numbered.windows(2).all(|pair| {
                let grown = (high + SHRINKS_BY) / high;
                (pair[1].arc - pair[0].arc).to_mm() - (after(pair[0]) + before(pair[1])) * grown >= LEAST_GAP * (high + SHRINKS_BY)
            });
            prop_assert!(!higher || posts > 0);
        }
        // ticks of a stop never grow toward where stops draw together
        let full: Vec<usize> = (0..stops.len()).filter(|i| (stops[*i] - stops[*i].round()).abs() < 1e-9).collect();
        let many: Vec<usize> = full.windows(2).map(|pair| pair[1] - pair[0] - 1).collect();
        let falls = many.windows(2).all(|pair| pair[1] <= pair[0]);
        let rises = many.windows(2).all(|pair| pair[1] >= pair[0]);
        prop_assert!(falls || rises, "{many:?}");
    }

    #[test]
    fn a_little_more_or_less_gap_takes_no_numeral_from_a_scale_that_has_them_all((iris, shape) in irises()) {
        let all = |gap: f64| Iris { label_gap: gap, ..iris.clone() }.band(shape).left_out.is_empty();
        prop_assert_eq!(all(iris.label_gap), all(iris.label_gap - 0.05));
        prop_assert_eq!(all(iris.label_gap), all(iris.label_gap + 0.05));
    }
}
