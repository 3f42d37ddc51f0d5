//! The calibration report: law, constants, residuals, doubts.

use serde_json::{Value, json};

use super::budget::{bench_lines, trust_json, trust_lines};
use super::light;
use super::marks::{iris_line, law_json, residuals_json};
use super::riding;
use super::table::table;
use super::words::{amount, metres, plain, signed};
use super::{cell, csv, document, number};
use crate::assembly::{Assembly, FocusRing};
use crate::calibration::{Means, Moves, Residual};
use crate::optics::FocusLaw;

/// One line: law, readings, how well they fitted.
pub fn fit_line(ring: &FocusRing) -> String {
    let calibration = &ring.calibration;
    let kind = match (&calibration.law, calibration.effective) {
        (FocusLaw::Travel(_), true) => "travel law with effective constants",
        (FocusLaw::Travel(_), false) => "travel law",
        (FocusLaw::Curve(_), _) => "curve along",
    };
    match calibration.residuals.len() {
        0 => format!("{kind}, no readings"),
        n => {
            // what was set aside is told by itself
            let belongs = calibration.residuals.iter().filter(|r| !calibration.is_outlier(r));
            let worst = belongs.map(|r| r.error.to_deg().abs()).fold(0.0, f64::max);
            let read = amount(n, "reading");
            let kind = if kind == "curve along" { format!("{kind} {read}") } else { format!("{kind}, {read}") };
            format!("{kind}, worst {worst:.1}° ({:.2} mm on the ring)", worst * ring.mm_per_degree)
        }
    }
}

/// The report as text.
pub fn fit_text(lenses: &[Assembly]) -> String {
    let mut out = String::new();
    for assembly in lenses {
        out.push_str(&format!("{}\n", assembly.lens.name));
        if let Some(ring) = &assembly.focus {
            out.push_str(&format!("\n  focus: {}\n", fit_line(ring)));
            out.push_str(&constants(assembly, ring));
            out.push_str(&residuals(ring));
            for line in trust_lines(assembly, ring).into_iter().chain(bench_lines(assembly, ring)) {
                out.push_str(&format!("    {line}\n"));
            }
            for warning in
                ring.calibration.warnings.iter().map(ToString::to_string).chain(ring.warnings.iter().cloned())
            {
                out.push_str(&format!("  ! {warning}\n"));
            }
        }
        if let Some(ring) = &assembly.iris {
            out.push_str(&format!("\n  iris: {}\n", iris_line(ring)));
            let rows: Vec<Vec<String>> = ring
                .calibration
                .residuals
                .iter()
                .map(|(reading, off)| {
                    vec![
                        reading.stop.label(),
                        format!("{}°", plain(reading.at.to_deg(), 2)),
                        format!("{}°", signed(off.to_deg(), 2)),
                        format!("{} mm", signed(off.to_deg() * ring.mm_per_degree, 2)),
                    ]
                })
                .collect();
            if !rows.is_empty() {
                out.push_str(&table(&["stop", "read at", "off the law", "on the ring"], &rows, 0));
            }
            out.push_str(&light::text(ring));
            for line in riding::lines(assembly) {
                out.push_str(&format!("    {line}\n"));
            }
            for warning in ring.warnings() {
                out.push_str(&format!("  ! {warning}\n"));
            }
        }
        out.push('\n');
    }
    out
}

fn constants(assembly: &Assembly, ring: &FocusRing) -> String {
    let (FocusLaw::Travel(law), Some(sigma)) = (&ring.calibration.law, ring.calibration.standard_errors) else {
        return String::new();
    };
    let mut out = format!(
        "    infinity at {} ± {:.2}°,  A = {:.0} ± {:.0} mm·deg,  C = {:.1} ± {:.1} mm,  K = {:.5} ± {:.5} mm/deg\n",
        plain(law.infinity.to_deg(), 2),
        sigma.infinity.to_deg(),
        law.a_mm_deg,
        sigma.a_mm_deg,
        law.c_mm,
        sigma.c.to_mm(),
        law.k_mm_per_deg,
        sigma.k_mm_per_deg
    );
    let known = assembly.focus.as_ref().map(|ring| ring.focus.known);
    if !ring.calibration.effective && law.k_mm_per_deg > 0.0 && known.is_some_and(|k| k.moves != Moves::Inside) {
        out.push_str(&format!(
            "    that is a moving focal length of {:.2} mm and a travel of {:.2} mm to the full turn\n",
            (law.a_mm_deg * law.k_mm_per_deg).sqrt(),
            360.0 * law.k_mm_per_deg
        ));
    }
    if let Some(reduced) = ring.calibration.reduced_chi_square() {
        out.push_str(&format!(
            "    reduced chi-square {reduced:.2} over {} of freedom\n",
            amount(ring.calibration.freedom, "degree")
        ));
    }
    out
}

fn residuals(ring: &FocusRing) -> String {
    if ring.calibration.residuals.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = ring
        .calibration
        .residuals
        .iter()
        .map(|r| {
            let outlier = ring.calibration.is_outlier(r);
            vec![
                match (outlier, r.reading.by) {
                    (true, _) => format!("{} odd", r.number()),
                    (false, Means::Engraving) => format!("{} engraved", r.number()),
                    (false, Means::Strip) => format!("{} check", r.number()),
                    (false, Means::Tape) => r.number().to_string(),
                },
                metres(r.reading.distance),
                format!("{}°", plain(r.reading.at.to_deg(), 2)),
                format!("{}°", signed(r.error.to_deg(), 2)),
                format!("{} mm", signed(r.error.to_deg() * ring.mm_per_degree, 2)),
                cell(r.distance_error.map(|e| format!("{} mm", signed(e.to_mm(), 0)))),
                format!("± {:.2}°", r.expected.to_deg()),
            ]
        })
        .collect();
    table(&["reading", "taped", "read at", "off the law", "on the ring", "in distance", "expected"], &rows, 1)
}

/// How far a reading is off the law, on the ring: `+0.25°, +0.18 mm`.
pub fn residual_words(ring: &FocusRing, residual: &Residual) -> String {
    let deg = residual.error.to_deg();
    format!("{}°, {} mm", signed(deg, 2), signed(deg * ring.mm_per_degree, 2))
}

/// The report as JSON.
pub fn fit_json(set: &str, lenses: &[Assembly]) -> String {
    let lens = |assembly: &Assembly| -> Value {
        let focus = assembly.focus.as_ref().map(|ring| {
            let calibration = &ring.calibration;
            let warnings: Vec<String> =
                calibration.warnings.iter().map(ToString::to_string).chain(ring.warnings.iter().cloned()).collect();
            let errors = calibration.standard_errors.map(|sigma| {
                json!({
                    "infinity_deg": number(sigma.infinity.to_deg(), 6),
                    "a_mm_deg": number(sigma.a_mm_deg, 4),
                    "c_mm": number(sigma.c.to_mm(), 6),
                    "k_mm_per_deg": number(sigma.k_mm_per_deg, 9),
                })
            });
            json!({
                "law": law_json(ring),
                "standard_errors": errors,
                "chi_square": number(calibration.chi_square, 6),
                "degrees_of_freedom": calibration.freedom,
                "odd_reading": calibration.outlier_number(),
                "residuals": residuals_json(ring),
                "trust": trust_json(assembly, ring),
                "doubts": warnings,
            })
        });
        let iris = assembly.iris.as_ref().map(|ring| {
            let residuals: Vec<Value> = ring
                .calibration
                .residuals
                .iter()
                .map(|(reading, off)| {
                    json!({
                        "stop": number(reading.stop.number(), 6),
                        "at_deg": number(reading.at.to_deg(), 6),
                        "error_deg": number(off.to_deg(), 6),
                        "error_mm": number(off.to_deg() * ring.mm_per_degree, 6),
                    })
                })
                .collect();
            let warnings: Vec<String> = ring.warnings().collect();
            let mut value =
                json!({ "law": { "kind": ring.calibration.law.kind() }, "residuals": residuals, "doubts": warnings });
            light::add_json(ring, &mut value);
            if let Some(object) = value.as_object_mut() {
                object.insert("riding".into(), riding::json(assembly));
            }
            value
        });
        let mut value = json!({ "name": assembly.lens.name });
        if let (Some(focus), Some(object)) = (focus, value.as_object_mut()) {
            object.insert("focus".into(), focus);
        }
        if let (Some(iris), Some(object)) = (iris, value.as_object_mut()) {
            object.insert("iris".into(), iris);
        }
        value
    };
    let lenses: Vec<Value> = lenses.iter().map(lens).collect();
    document(&json!({ "set": set, "lenses": lenses }))
}

/// One row a reading.
pub fn fit_csv(lenses: &[Assembly]) -> String {
    let head =
        ["lens", "ring", "reading", "value", "at_deg", "error_deg", "error_mm", "error_distance_mm", "expected_deg"];
    let mut rows = Vec::new();
    for assembly in lenses {
        let name = &assembly.lens.name;
        for ring in assembly.focus.iter() {
            for r in &ring.calibration.residuals {
                rows.push(vec![
                    name.clone(),
                    "focus".into(),
                    r.number().to_string(),
                    r.reading.distance.to_mm().map_or("inf".into(), |mm| number(mm, 4).to_string()),
                    number(r.reading.at.to_deg(), 4).to_string(),
                    number(r.error.to_deg(), 4).to_string(),
                    number(r.error.to_deg() * ring.mm_per_degree, 4).to_string(),
                    cell(r.distance_error.map(|e| number(e.to_mm(), 2))),
                    number(r.expected.to_deg(), 4).to_string(),
                ]);
            }
        }
        for ring in assembly.iris.iter() {
            for (i, (reading, off)) in ring.calibration.residuals.iter().enumerate() {
                rows.push(vec![
                    name.clone(),
                    "iris".into(),
                    (i + 1).to_string(),
                    number(reading.stop.number(), 6).to_string(),
                    number(reading.at.to_deg(), 4).to_string(),
                    number(off.to_deg(), 4).to_string(),
                    number(off.to_deg() * ring.mm_per_degree, 4).to_string(),
                    String::new(),
                    number(ring.iris.reading_error.to_deg(), 4).to_string(),
                ]);
            }
            rows.extend(light::csv_rows(name, ring));
        }
    }
    csv(&head, &rows)
}
