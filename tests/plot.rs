//! The picture of a calibration read back: dots, bars and the depth of field stand where numbers computed here put them.

use std::path::Path;

use kurbo::{BezPath, Point, Rect, Shape};
use ringwright::assembly::{Assembly, lettering};
use ringwright::model::Set;
use ringwright::optics::FocusLaw;
use ringwright::scale::MarkValue;
use ringwright::units::Distance;
use ringwright::{report, write};

/// The page as the picture's axes have it, mm.
const LEFT: f64 = 18.0;
const RIGHT: f64 = 172.0;
const INSET: f64 = 5.0;
const TRUST: (f64, f64) = (98.0, 128.0);
const MISS: (f64, f64) = (136.0, 166.0);

struct Shown {
    layer: String,
    /// Width of the layer's lines, mm; 0 where it is filled.
    line: f64,
    unit: String,
    value: f64,
    label: String,
    path: BezPath,
    bounds: Rect,
}

fn read(svg: &str) -> Vec<Shown> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let mut all = Vec::new();
    for layer in document.root_element().children().filter(|node| node.has_attribute("class")) {
        for group in layer.children().filter(|node| node.is_element()) {
            let Some(d) = group.descendants().find_map(|node| node.attribute("d")) else { continue };
            let path = BezPath::from_svg(d).unwrap();
            let of = |key| group.attribute(key).unwrap_or_default().to_string();
            let value = of("data-value").parse().unwrap_or(f64::INFINITY);
            let line = layer.attribute("stroke-width").map_or(0.0, |width| width.parse().unwrap());
            let (layer, bounds) = (layer.attribute("class").unwrap().to_string(), path.bounding_box());
            all.push(Shown { layer, line, unit: of("data-unit"), value, label: of("data-label"), path, bounds });
        }
    }
    all
}

fn each(text: &str, mut look: impl FnMut(&Assembly, Vec<Shown>)) {
    let set = Set::parse("set.toml", text, Path::new("samples")).unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    let lettering = lettering(&set).unwrap();
    for lens in &set.lenses {
        let assembly = Assembly::new(&set, lens, &lettering).unwrap();
        let drawing = report::plot(&assembly).unwrap().expect("a focus ring");
        look(&assembly, read(&write::svg(&drawing)));
    }
}

const F: f64 = 50.0;
const GAP: f64 = 4.0;
const LEAD: f64 = 22.0;

/// Image distance of a thin lens focused at `d` from the image plane: u + v + GAP = d, by bisection on v.
fn image_side(d: f64) -> f64 {
    let (mut low, mut high) = (F * (1.0 + 1e-12), 2.0 * F);
    for _ in 0..200 {
        let v = 0.5 * (low + high);
        if F * v / (v - F) + v + GAP > d { low = v } else { high = v }
    }
    0.5 * (low + high)
}

/// Ring angle off the law's, in degrees, of the subject that blurs to 0.025 mm at f/2 when the ring is set to `d`; and
/// whether that subject is infinity. `sign` is -1 for the near one, 1 for the far one.
///
/// The cone of light that meets the image plane as a disc of diameter c comes to its point at v / (1 ± N c / f).
fn limit(law: &FocusLaw, d: Distance, sign: f64) -> (Option<f64>, bool) {
    let v = d.to_mm().map_or(F, image_side);
    let other = v / (1.0 + sign * 2.0 * 0.025 / F);
    let subject = if other > F { Distance::mm(F * other / (other - F) + v + GAP) } else { Distance::Infinity };
    let off = law.angle(subject).map(|at| at.to_deg() - law.angle(d).unwrap().to_deg());
    (off, subject.is_infinite())
}

fn lens(name: &str, more: &str, focus: &str, distances: &[f64], odd: Option<usize>) -> String {
    let reading = |(i, d): (usize, &f64)| {
        let turn = if d.is_finite() { (image_side(*d) - F) * 360.0 / LEAD } else { 0.0 };
        let at = turn + 0.2 * (7.0 * i as f64 + 1.0).sin() + if odd == Some(i) { 6.0 } else { 0.0 };
        let distance = if d.is_finite() { format!("{d} mm") } else { "inf".into() };
        format!("{{ distance = \"{distance}\", at = \"{at} deg\" }}")
    };
    let readings: Vec<String> = distances.iter().enumerate().map(reading).collect();
    format!(
        "[[lens]]\nname = \"{name}\"\nfocal_length = \"50 mm\"\n{more}[lens.focus]\nring = {{ diameter = \"80 mm\", width = \
         \"14 mm\" }}\ntoward_close = \"clockwise\"\nclosest = \"0.45 m\"\nlead = \"22 mm\"\nprincipal_gap = \"4 mm\"\n\
         {focus}readings = [{}]\n",
        readings.join(", ")
    )
}

const FAR: f64 = f64::INFINITY;
const TEN: [f64; 10] = [FAR, 8000.0, 4000.0, 2500.0, 1800.0, 1300.0, 1000.0, 700.0, 550.0, 450.0];

/// One lens of every kind that the picture treats differently.
fn kinds() -> String {
    let stop = "widest_stop = 2\n";
    let sixty: Vec<f64> = (0..60).map(|i| if i == 0 { FAR } else { 450.0 * 59.0 / f64::from(i) }).collect();
    [
        "[set]\nname = \"kinds\"\nunits = [\"m\", \"ft\"]\n".to_string(),
        lens("ten", stop, "", &TEN, None),
        lens("feet", &format!("units = [\"ft\"]\n{stop}"), "", &TEN, None),
        lens("no stop", "", "", &TEN, None),
        lens("odd", stop, "", &TEN, Some(5)),
        lens("curve", stop, "law = \"curve\"\n", &TEN[2..], None),
        lens("theory", stop, "", &[], None),
        lens("one", stop, "", &TEN[6..7], None),
        lens("sixty", stop, "", &sixty, None),
    ]
    .concat()
}

fn x(value: f64) -> f64 {
    LEFT + INSET + (RIGHT - LEFT - 2.0 * INSET) * 450.0 / value
}

/// mm on the page to a degree in a panel, from the millimetres written at its right: they are 1, 2 or 5 times a power
/// of ten apart, and `about` says which.
fn scale(shown: &[Shown], (top, bottom): (f64, f64), mm_per_degree: f64, about: f64) -> f64 {
    let tick =
        |s: &&Shown| s.bounds.x0 == RIGHT && s.bounds.x1 == RIGHT + 1.0 && s.bounds.y0 > top && s.bounds.y1 < bottom;
    let mut ticks: Vec<f64> = shown.iter().filter(tick).map(|s| s.bounds.y0).collect();
    ticks.sort_by(f64::total_cmp);
    assert!(ticks.len() >= 3, "{ticks:?}");
    let apart = (ticks[ticks.len() - 1] - ticks[0]) / (ticks.len() - 1) as f64;
    let rounds = (-5..4).flat_map(|k| [1.0, 2.0, 5.0].map(|m| m * 10f64.powi(k)));
    let scales = rounds.map(|step| apart * mm_per_degree / step);
    scales.min_by(|a, b| (a / about).ln().abs().total_cmp(&(b / about).ln().abs())).unwrap()
}

fn close(actual: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((actual - expected).abs() <= tolerance, "{what}: {actual}, expected {expected}");
}

#[test]
fn every_reading_and_its_error_stand_at_their_place() {
    let mut seen = 0;
    each(&kinds(), |assembly, shown| {
        let ring = assembly.focus.as_ref().unwrap();
        let residuals = &ring.calibration.residuals;
        for (i, r) in residuals.iter().enumerate() {
            let of: Vec<&Shown> =
                shown.iter().filter(|s| s.unit == "reading" && s.label == (i + 1).to_string()).collect();
            let nearest = residuals.iter().filter_map(|r| r.reading.distance.to_mm()).fold(450.0, f64::min);
            assert_eq!(nearest, 450.0);
            let at = x(r.reading.distance.to_mm().unwrap_or(FAR));
            let miss: Vec<&&Shown> = of.iter().filter(|s| s.bounds.y0 > TRUST.1).collect();
            let [bar, dot] = miss.as_slice() else { panic!("{}: {} shapes", assembly.lens.name, miss.len()) };
            let length = bar.bounds.height();
            let about = length / (2.0 * r.expected.to_deg());
            let scale = scale(&shown, MISS, ring.mm_per_degree, about);
            close(length, 2.0 * r.expected.to_deg() * scale, 0.001, "bar");
            close(dot.bounds.center().x, at, 0.001, "dot along");
            let zero = 0.5 * (MISS.0 + MISS.1);
            close(dot.bounds.center().y, zero - r.error.to_deg() * scale, 0.001, "dot");
            let hollow = ring.calibration.outlier == Some(i);
            assert_eq!(dot.path.winding(dot.bounds.center()) == 0, hollow);
            // the upper panel: ring error upright, tape error along 1/D
            let upper: Vec<&&Shown> = of.iter().filter(|s| s.bounds.y1 < TRUST.0).collect();
            assert_eq!(upper.len(), if r.reading.distance.is_infinite() { 2 } else { 3 });
            if let Distance::Finite(length) = r.reading.distance {
                let (d, off) = (length.to_mm(), ring.focus.reading_error.tape_error(length).to_mm());
                let tape = upper.iter().find(|s| s.bounds.height() < 1e-9).unwrap();
                close(tape.bounds.x0, x(d + off), 0.001, "tape's far end");
                close(tape.bounds.x1, x(d - off).min(RIGHT), 0.001, "tape's near end");
            }
            seen += 1;
        }
        let heights: Vec<(f64, f64)> = shown
            .iter()
            .filter(|s| {
                s.unit == "reading" && s.bounds.y1 < TRUST.0 && s.bounds.width() > 1.0 && s.bounds.height() > 1.0
            })
            .map(|s| (residuals[s.label.parse::<usize>().unwrap() - 1].reading.at.to_deg(), s.bounds.center().y))
            .collect();
        if let [first, .., last] = heights.as_slice() {
            let slope = (last.1 - first.1) / (last.0 - first.0);
            heights
                .iter()
                .for_each(|(at, y)| close(*y, first.1 + slope * (at - first.0), 0.001, "dot on the law's panel"));
        }
    });
    assert_eq!(seen, 10 * 4 + 8 + 1 + 60);
}

#[test]
fn bars_of_marks_are_four_standard_errors_long_and_heavy_where_they_leave_the_band() {
    let mut count = [0, 0];
    each(&kinds(), |assembly, shown| {
        let ring = assembly.focus.as_ref().unwrap();
        let panel = if ring.calibration.residuals.is_empty() { (TRUST.0, MISS.1) } else { TRUST };
        let within = |s: &&Shown| s.bounds.y0 > panel.0 && s.bounds.y1 < panel.1;
        let unit = ring.bands[0].unit.sign();
        let bars: Vec<&Shown> = shown.iter().filter(|s| s.unit == unit).filter(within).collect();
        let mut places: Vec<f64> = bars.iter().map(|bar| bar.bounds.center().x).collect();
        places.sort_by(f64::total_cmp);
        assert!(places.windows(2).all(|pair| pair[1] - pair[0] > 1.999), "bars run together: {places:?}");
        for mark in &ring.bands[0].marks {
            let MarkValue::Distance(distance) = mark.value else { panic!("a focus band has distances") };
            let at = x(distance.to_mm().unwrap_or(FAR));
            assert!(places.iter().any(|place| (place - at).abs() < 2.001), "{} has no bar near it", mark.label);
        }
        for bar in bars {
            let distance = if bar.value.is_finite() { Distance::mm(bar.value) } else { Distance::Infinity };
            let sigma = ring.budget(assembly.lens, distance).unwrap().sigma.to_deg();
            let scale = scale(&shown, panel, ring.mm_per_degree, bar.bounds.height() / (4.0 * sigma));
            close(bar.bounds.height(), 4.0 * sigma * scale, 0.002, "bar");
            close(bar.bounds.center().x, x(bar.value), 0.001, "bar along");
            close(bar.bounds.center().y, 0.5 * (panel.0 + panel.1), 0.001, "bar's middle");
            let law = &ring.calibration.law;
            let near = limit(law, distance, -1.0).0.is_some_and(|off| 2.0 * sigma > off);
            let (far, infinite) = limit(law, distance, 1.0);
            let far = !infinite && far.is_some_and(|off| -2.0 * sigma < off);
            let heavy = assembly.lens.widest_stop.is_some() && (near || far);
            assert_eq!(bar.line > 0.5, heavy, "{} at {}", assembly.lens.name, bar.value);
            count[usize::from(heavy)] += 1;
        }
    });
    assert!(count[0] > 50 && count[1] > 50, "{count:?}");
}

#[test]
fn the_hatched_band_is_the_depth_of_field_of_a_thin_lens() {
    let mut compared = 0;
    each(&kinds(), |assembly, shown| {
        let ring = assembly.focus.as_ref().unwrap();
        let law = &ring.calibration.law;
        let curves: Vec<&Shown> = shown.iter().filter(|s| s.layer == "outline" && s.bounds.y1 < TRUST.1).collect();
        if assembly.lens.name == "no stop" {
            assert!(curves.is_empty());
        }
        if !assembly.lens.name.contains("ten") && assembly.lens.name != "sixty" {
            return;
        }
        let bar = shown.iter().find(|s| s.unit == "m" && s.value == 450.0 && s.bounds.y0 > TRUST.0).unwrap();
        let sigma = ring.budget(assembly.lens, Distance::mm(450.0)).unwrap().sigma.to_deg();
        let scale = scale(&shown, TRUST, ring.mm_per_degree, bar.bounds.height() / (4.0 * sigma));
        let zero = 0.5 * (TRUST.0 + TRUST.1);
        // the hatching comes first, its edges after it
        for (edge, sign) in curves[1..].iter().zip([-1.0, 1.0]) {
            let points = edge.path.elements().iter().filter_map(|el| el.end_point()).skip(1).step_by(40);
            for Point { x: along, y } in points {
                let d = 450.0 * (RIGHT - LEFT - 2.0 * INSET) / (along - LEFT - INSET);
                let off = limit(law, Distance::mm(d), sign).0.unwrap();
                close(y, zero - off * scale, 0.003, &format!("band at {d:.0} mm"));
                compared += 1;
            }
        }
    });
    assert!(compared >= 60, "{compared}");
}

#[test]
fn texts_never_overlap_and_stay_on_the_page() {
    for text in [kinds(), include_str!("../samples/SET.toml").to_string()] {
        each(&text, |assembly, shown| {
            let texts: Vec<&Shown> = shown.iter().filter(|s| s.layer == "numerals").collect();
            assert!(texts.len() > 20);
            for (i, a) in texts.iter().enumerate() {
                assert!(a.bounds.x0 > 1.0 && a.bounds.x1 < 189.0 && a.bounds.y0 > 1.0 && a.bounds.y1 < 175.0);
                for b in &texts[i + 1..] {
                    let (a, b) = (a.bounds, b.bounds);
                    let apart = a.x1 < b.x0 || b.x1 < a.x0 || a.y1 < b.y0 || b.y1 < a.y0;
                    assert!(apart, "{}: {a:?} {b:?}", assembly.lens.name);
                }
            }
        });
    }
}
