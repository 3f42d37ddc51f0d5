//! Any set that is read is drawn or refused, whatever stands in it.

use std::path::Path;

use proptest::prelude::*;
use ringwright::assembly::{self, Assembly};
use ringwright::{model::Set, report, write};

/// Everything that a set file leads to, without writing it; what was refused.
fn all_the_way(text: &str) -> Option<String> {
    let set = match Set::parse("any.toml", text, Path::new("samples")) {
        Ok(set) => set,
        Err(faults) => return Some(faults.render(false)),
    };
    let lettering = match assembly::lettering(&set) {
        Ok(lettering) => lettering,
        Err(faults) => return Some(faults.to_string()),
    };
    let mut lenses = Vec::new();
    for lens in &set.lenses {
        match Assembly::new(&set, lens, &lettering) {
            Ok(assembly) => lenses.push(assembly),
            Err(faults) => return Some(faults.to_string()),
        }
    }
    for assembly in &lenses {
        match assembly.strips() {
            Ok(strips) => strips.iter().for_each(|(_, strip)| {
                let svg = write::svg(&strip.drawing);
                assert!(!svg.contains("NaN") && !svg.contains("inf\" data-angle=\"inf"));
            }),
            Err(faults) => return Some(faults.to_string()),
        }
        let plot = report::plot(assembly).expect("the shipped face has every letter");
        assert!(plot.is_none_or(|plot| !write::svg(&plot).contains("NaN")));
    }
    let reports = [
        report::fit_text(&lenses),
        report::marks_text(&lenses),
        report::compare_text(&lenses),
        report::marks_json(&set.name, &lenses),
        report::fit_json(&set.name, &lenses),
        report::compare_json(&set.name, &lenses),
        report::marks_csv(&lenses),
        report::fit_csv(&lenses),
        report::compare_csv(&lenses),
    ];
    assert!(reports.iter().all(|report| !report.contains("NaN")), "{}", reports.concat());
    None
}

#[test]
fn the_samples_go_all_the_way() {
    assert_eq!(all_the_way(include_str!("../samples/SET.toml")), None);
}

/// Lengths over the whole range that a set file takes, small and large alike.
fn wide(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

fn lens() -> impl Strategy<Value = String> {
    let ring = (wide(10.0, 400.0), wide(2.0, 120.0), -0.4..0.4f64);
    let optics = (wide(4.0, 2000.0), 1.01..60.0f64, prop::option::of(wide(0.1, 400.0)), prop::option::of(-1.0..1.5f64));
    let readings = prop::collection::vec((wide(1.0, 300.0), 0.0..340.0f64), 0..9);
    let words = (
        prop::sample::select(vec!["auto", "travel", "curve"]),
        prop::sample::select(vec!["whole", "front", "inside", "floating"]),
        prop::sample::select(vec!["rear", "front"]),
        prop::sample::select(vec!["clockwise", "counterclockwise"]),
        1..3u8,
    );
    let iris = (prop::collection::vec((-2..16i32, 0.0..100.0f64), 2..6), 1..4u8, any::<bool>());
    let beside = (
        prop::sample::select(vec!["", "turned = \"toward close\", ", "turned = \"toward infinity\", "]),
        prop::option::of((-100.0..300.0f64, any::<bool>())),
        prop::sample::select(vec!["drawn", "short", "left out"]),
        prop::collection::vec((wide(1.0, 200.0), 0.5..2.0f64), 0..4),
        any::<bool>(),
    );
    (ring, optics, readings, any::<bool>(), words, prop::option::of(1.0..360.0f64), iris, beside).prop_map(
        |(
            (diameter, width, taper),
            (f, times, lead, gap),
            mut readings,
            infinity,
            words,
            throw,
            (mut stops, steps, t),
            (turned, from, doubtful, checks, rides),
        )| {
            let (law, moves, index, sense, repeat) = words;
            let closest = f * (4.0 + gap.unwrap_or(0.0).max(0.0)) * times;
            let front = diameter + taper * width.min(diameter - 9.0);
            readings.sort_by(|a, b| b.0.total_cmp(&a.0));
            let mut angles: Vec<f64> = readings.iter().map(|r| r.1).collect();
            angles.sort_by(f64::total_cmp);
            if infinity {
                // half of the lenses have a helicoid's readings, roughly
                let turn = angles.last().copied().unwrap_or(0.0);
                angles = readings.iter().map(|r| turn / r.0 + 0.002 * r.1).collect();
            }
            let mut lines: Vec<String> = readings
                .iter()
                .zip(&angles)
                .enumerate()
                .map(|(i, ((share, _), angle))| {
                    // every second one says how the ring was turned
                    let turned = if i % 2 == 0 { turned } else { "" };
                    format!("{{ distance = \"{} mm\", {turned}at = \"{angle} deg\" }}", closest * share)
                })
                .collect();
            if infinity {
                lines.insert(0, "{ distance = \"inf\", at = \"-0.5 deg\" }".into());
            }
            let optional = |key: &str, value: Option<String>| value.map_or(String::new(), |v| format!("{key} = \"{v}\"\n"));
            let checks: Vec<String> = checks
                .iter()
                .map(|(share, off)| {
                    let mm = closest * share;
                    format!("{{ distance = \"{mm} mm\", reads = \"{} mm\" }}", mm * off)
                })
                .collect();
            stops.sort_by_key(|s| s.0);
            stops.dedup_by_key(|s| s.0);
            let mut turns: Vec<f64> = stops.iter().map(|s| s.1).collect();
            turns.sort_by(f64::total_cmp);
            let stops: Vec<String> = stops
                .iter()
                .zip(&turns)
                .map(|((stop, _), turn)| format!("{{ stop = {}, at = \"{turn} deg\" }}", (f64::from(*stop) / 2.0).exp2()))
                .collect();
            format!(
                "[set]\nname = \"any\"\n[style]\ndoubtful = \"{doubtful}\"\n[[lens]]\nname = \"a\"\nfocal_length = \"{f} mm\"\nwidest_stop = 2\n[lens.focus]\n\
                 ring = {{ rear_diameter = \"{diameter} mm\", front_diameter = \"{front} mm\", width = \"{width} mm\" }}\n\
                 toward_close = \"{sense}\"\nclosest = \"{closest} mm\"\nlaw = \"{law}\"\nmoves = \"{moves}\"\nindex = \"{index}\"\n\
                 repeat = {repeat}\ndepth_marks = [2, 8, 16]\nhyperfocal = [4, 16]\ninfinity_stop = \"-1 deg\"\n{}{}{}{}checks = [{}]\n\
                 readings = [{}]\n[lens.iris]\nrides_on_focus = {rides}\nring = {{ diameter = \"{diameter} mm\", width = \"{width} mm\" }}\n\
                 toward_closed = \"{sense}\"\nsteps = {steps}\nscale = \"{}\"\ntransmittance = 0.8\nreadings = [{}]\n",
                optional("lead", lead.map(|l| format!("{l} mm"))),
                optional("principal_gap", gap.map(|g| format!("{} mm", g * f))),
                optional("throw", throw.map(|t| format!("{t} deg"))),
                from.map_or(String::new(), |(ahead, rim)| {
                    let point = if rim { "front rim" } else { "fixed point" };
                    format!("measured_from = {{ point = \"{point}\", ahead = \"{ahead} mm\" }}\n")
                }),
                checks.join(", "),
                lines.join(", "),
                if t { "T" } else { "f" },
                stops.join(", "),
            )
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn any_lens_is_drawn_or_refused(text in lens()) {
        let _ = all_the_way(&text);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn any_lens_is_planned_and_verified_or_refused(text in lens()) {
        let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("any.toml");
        std::fs::write(&file, &text).unwrap();
        for arguments in [&["plan"][..], &["plan", "--room", "3m", "--readings", "7"], &["verify"], &["fit", "--with-checks"]] {
            let run = std::process::Command::new(env!("CARGO_BIN_EXE_ringwright"))
                .arg(arguments[0])
                .arg(&file)
                .args(&arguments[1..])
                .output()
                .unwrap();
            let said = String::from_utf8(run.stderr).unwrap() + &String::from_utf8(run.stdout).unwrap();
            prop_assert!(matches!(run.status.code(), Some(0..=2)), "{arguments:?}: {said}\n{text}");
            prop_assert!(!said.contains("NaN") && !said.contains("panicked"), "{arguments:?}: {said}\n{text}");
        }
    }
}

#[test]
fn most_of_those_lenses_are_refused_for_a_reason_and_some_are_drawn() {
    // else the property above would prove nothing
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let drawn = (0..300).filter(|_| all_the_way(&lens().new_tree(&mut runner).unwrap().current()).is_none()).count();
    assert!(drawn >= 30, "only {drawn} of 300 were drawn");
}
