//! Figures printed by others; each check names its source.

use ringwright::optics::{GearRatio, ThinLens, ToothSize, TravelLaw};
use ringwright::surface::{arc, turn};
use ringwright::units::{Angle, Distance, Division, Length, Stop, TStop};

const FOOT: f64 = 304.8;
const INCH: f64 = 25.4;

fn thin(f: f64) -> ThinLens {
    ThinLens { focal_length: Length::mm(f), principal_gap: Length::ZERO }
}

fn stop(number: f64) -> Stop {
    Stop::nominal(number, Division::Full).unwrap()
}

fn close(actual: f64, expected: f64, tolerance: f64) {
    assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected} within {tolerance}");
}

/// A follow-focus maker's notes on ratios (January 2011): 4 in across the pitch circle is 127 teeth of 0.8 module, the
/// same wheel as 128 teeth of 32 diametral pitch to 0.8 %. An open library of lens gears (0.8 module): 80, 86 and 92
/// teeth measure 65.6, 70.4 and 75.2 mm outside, two modules more than the pitch circle ("Metric Gears").
#[test]
fn gears_are_as_large_and_turn_as_far_as_the_printed_rows() {
    close(ToothSize::FOLLOW_FOCUS.pitch_diameter(127).to_mm(), 4.0 * INCH, 1e-9);
    for (teeth, outside) in [(80, 65.6), (86, 70.4), (92, 75.2)] {
        close(ToothSize::FOLLOW_FOCUS.pitch_diameter(teeth).to_mm() + 2.0 * 0.8, outside, 1e-9);
    }
    let by_teeth = GearRatio::teeth(127, 40);
    let by_size = GearRatio::diameters(Length::mm(4.0 * INCH), ToothSize::FOLLOW_FOCUS.pitch_diameter(40)).unwrap();
    close(by_teeth.turns(), by_size.turns(), 1e-12);
    close(GearRatio::teeth(128, 40).turns() / by_teeth.turns(), 1.008, 2e-4);
}

/// f-stop tables of the APEX system (kameraarkasi.org, objektifler/terminoloji/fstop).
#[test]
fn nominal_stops_are_the_printed_series() {
    let labels = |sixths: &mut dyn Iterator<Item = i32>| {
        sixths.map(|s| Stop::from_sixths(s).label()).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(labels(&mut (-2..=14).map(|k| 6 * k)), "0.5 0.7 1 1.4 2 2.8 4 5.6 8 11 16 22 32 45 64 90 128");
    assert_eq!(labels(&mut (0..=18).map(|k| 3 * k)), "1 1.2 1.4 1.7 2 2.4 2.8 3.3 4 4.8 5.6 6.7 8 9.5 11 13 16 19 22");
    assert_eq!(
        labels(&mut (0..=27).map(|k| 2 * k)),
        "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22"
    );
}

/// Same tables: Av = 2 log2 N, Av 0 = f/1, 4 = f/4, 8 = f/16; encyclopedia article "F-number": 5.6 stands for 5.657.
#[test]
fn aperture_values_and_exact_numbers_are_the_printed_ones() {
    for (number, av) in [(1.0, 0.0), (4.0, 4.0), (16.0, 8.0)] {
        close(stop(number).in_stops(), av, 1e-12);
    }
    close(stop(5.6).number(), 5.657, 0.0005);
    // every nominal number of a series is read back as its own step
    for division in [Division::Full, Division::Half, Division::Third] {
        for step in 0..=(84 / division.sixths()) {
            let stop = Stop::from_sixths(step * division.sixths());
            assert_eq!(Stop::nominal(stop.label().parse().unwrap(), division), Some(stop));
        }
    }
}

/// Encyclopedia article "F-number": f/2.0 with 75 % transmittance is T 2.309.
#[test]
fn a_t_stop_is_the_printed_one() {
    close(TStop::of(stop(2.0), 0.75).number(), 2.309, 0.0005);
}

/// OpenStax College Physics 25.6 and University Physics vol. 3, 2.4: object and image distances.
#[test]
fn conjugates_are_the_textbooks() {
    for (f, u, v, m) in [
        (500.0, 750.0, 1500.0, 2.0),
        (100.0, 500.0, 125.0, 0.25),
        (100.0, 200.0, 200.0, 1.0),
        (5.0, 500.0, 5.05, 0.0101),
        (5.0, 5000.0, 5.005, 0.001),
    ] {
        // a lead of 360 mm makes a degree a millimetre; D = u + v
        let law = TravelLaw::from_lead(Angle::ZERO, Length::mm(f), Length::mm(360.0), Length::mm(2.0 * f));
        // f = 500, u = 750 lies nearer than unit magnification, where its mirror image u = 1500, v = 750 is taken
        let (subject, image) = if u < 2.0 * f { (v, u) } else { (u, v) };
        let travel = law.angle(Distance::mm(f * subject / (subject - f) + subject)).unwrap().to_deg();
        close(f + travel, image, 2e-4 * image);
        close(travel / f, if u < 2.0 * f { 1.0 / m } else { m }, 2e-4);
    }
}

/// US Army course SS0507, learning event 10: 2 in, f/8, c = 0.002 in has H = 20.8 ft, sharp from 10.4 ft when set there.
#[test]
fn hyperfocal_of_the_army_course() {
    let lens = thin(2.0 * INCH);
    let c = Length::mm(0.002 * INCH);
    let h = lens.hyperfocal(Stop::exact(8.0), c).to_mm() - 2.0 * INCH;
    close(h / FOOT, 20.8, 0.05);
    // the course counts from the lens: the image plane lies v behind it
    let (f, u) = (2.0 * INCH, h + 2.0 * INCH);
    let v = f * u / (u - f);
    let near = lens.depth_of_field(Distance::mm(u + v), Stop::exact(8.0), c).unwrap().near.to_mm().unwrap();
    close((near - v) / FOOT, 10.4, 0.15);
}

/// US Navy NAVEDTRA 14209, chapter 1: 6.1 in at f/2.8 with H = 554 ft, set to 10 ft: 9.8 to 10.2 ft.
#[test]
fn depth_of_field_of_the_navy_course() {
    let lens = thin(6.1 * INCH);
    let c = Length::mm(0.002 * INCH);
    close(lens.hyperfocal(Stop::exact(2.8), c).to_mm() / FOOT, 554.0, 1.0);
    // counted from the lens: the image plane lies v behind it
    let (f, u) = (6.1 * INCH, 10.0 * FOOT);
    let v = f * u / (u - f);
    let limits = lens.depth_of_field(Distance::mm(u + v), Stop::exact(2.8), c).unwrap();
    close((limits.near.to_mm().unwrap() - v) / FOOT, 9.8, 0.05);
    close((limits.far.to_mm().unwrap() - v) / FOOT, 10.2, 0.05);
}

/// Encyclopedia article "Hyperfocal distance": 50 mm, f/8, c = 0.03 mm: H = 10 467 mm; set at infinity sharp from
/// 10 417 mm; set at H from 5 233 mm; set at H/2 from 3 489 to 10 467 mm, all from the lens.
#[test]
fn hyperfocal_of_the_encyclopedia() {
    let (lens, c, stop) = (thin(50.0), Length::mm(0.03), Stop::exact(8.0));
    close(lens.hyperfocal(stop, c).to_mm(), 10_467.0, 0.5);
    let from_lens = |u: f64| {
        let v = 50.0 * u / (u - 50.0);
        let limits = lens.depth_of_field(Distance::mm(u + v), stop, c).unwrap();
        (limits.near.to_mm().unwrap() - v, limits.far.to_mm().map(|far| far - v))
    };
    let infinity = lens.depth_of_field(Distance::Infinity, stop, c).unwrap();
    close(infinity.near.to_mm().unwrap() - 50.0, 10_417.0, 0.5);
    let h = 50.0 * 50.0 / (8.0 * 0.03) + 50.0;
    close(from_lens(h).0, 5_233.0, 1.0);
    assert_eq!(from_lens(h * 1.000_001).1, None);
    // the article's H/2 rule leaves f aside
    let (near, far) = from_lens(0.5 * h);
    close(near, 3_489.0, 20.0);
    close(far.unwrap(), 10_467.0, 60.0);
}

/// R. R. Harrison (insyncpubs.com): 50 mm, f/4, c = 0.03 mm, 10 ft: 8 ft 9 in to 11 ft 8 in.
#[test]
fn depth_of_field_in_feet_and_inches() {
    let limits = thin(50.0).depth_of_field(Distance::mm(10.0 * FOOT), stop(4.0), Length::mm(0.03)).unwrap();
    close(limits.near.to_mm().unwrap() / INCH, 8.0 * 12.0 + 9.0, 1.0);
    close(limits.far.to_mm().unwrap() / INCH, 11.0 * 12.0 + 8.0, 1.0);
}

/// Mean diameter of a rolled plate (TAFE NSW): outside 650 mm, 10 mm thick, cut 2010.62 mm long.
#[test]
fn a_wrapped_strip_is_as_long_as_the_neutral_layer() {
    close(arc(Length::mm(630.0), Length::mm(10.0), Angle::deg(360.0)).to_mm(), 2010.62, 0.005);
    // 0.1 mm film adds 0.31 mm all round, and 1 degree on 100 mm is 0.873 mm (arithmetic)
    let added = arc(Length::mm(84.0), Length::mm(0.1), Angle::deg(360.0)).to_mm()
        - arc(Length::mm(84.0), Length::ZERO, Angle::deg(360.0)).to_mm();
    close(added, 0.314, 0.0005);
    close(arc(Length::mm(100.0), Length::ZERO, Angle::deg(1.0)).to_mm(), 0.873, 0.0005);
}

/// The inverse: a pi tape reads D = C/pi (machinedesign.com, "Measuring diameters").
#[test]
fn a_length_on_a_paper_strip_becomes_the_turn() {
    close(turn(Length::mm(62.0), Length::mm(std::f64::consts::PI * 62.0)).to_deg(), 360.0, 1e-9);
}

/// The foot of 304.8 mm and the inch of 25.4 mm (1 July 1959); 0.7 m is 2 ft 3.56 in (as printed in a trade discussion).
#[test]
fn feet_and_inches_are_the_international_ones() {
    let text: Length = "2'3.56\"".parse().unwrap();
    close(text.to_mm(), 700.0, 0.13);
    close("3 ft".parse::<Length>().unwrap().to_mm(), 914.4, 1e-9);
}
