//! Every mark: value, label, angle, arc, and how far it can be trusted.

use serde_json::{Map, Value, json};

use super::budget::{cause, parts_json, trust_lines};
use super::depth::{depth_json, depth_text, with_hyperfocal};
use super::table::table;
use super::words::{amount, exact, in_unit, plain, round_in_unit};
use super::{cell, csv, document, number};
use crate::artwork::MarkValue;
use crate::assembly::{Assembly, FocusRing, IrisRing, SMALLEST_STOP, Uncertainty, mark_distance, thin_lens};
use crate::optics::{DepthOfField, FocusLaw};
use crate::scale::{Band, BandUnit, Mark};
use crate::units::Distance;

/// The JSON of the whole set.
pub fn marks_json(set: &str, lenses: &[Assembly]) -> String {
    let lenses: Vec<Value> = lenses.iter().map(lens_json).collect();
    document(&json!({ "set": set, "lenses": lenses }))
}

fn lens_json(assembly: &Assembly) -> Value {
    let mut lens = Map::new();
    lens.insert("name".into(), json!(assembly.lens.name));
    if let Some(ring) = &assembly.focus {
        let bands: Vec<Value> = ring.bands.iter().map(|band| focus_band_json(assembly, ring, band)).collect();
        let depth = depth_json(ring);
        lens.insert(
            "focus".into(),
            json!({ "law": law_json(ring), "residuals": residuals_json(ring), "bands": bands, "depth_marks": depth }),
        );
    }
    if let Some(ring) = &assembly.iris {
        lens.insert("iris".into(), iris_json(ring));
    }
    Value::Object(lens)
}

/// The law's kind and constants.
pub(super) fn law_json(ring: &FocusRing) -> Value {
    let effective = ring.calibration.effective;
    match &ring.calibration.law {
        FocusLaw::Travel(law) => json!({
            "kind": "travel",
            "infinity_deg": number(law.infinity.to_deg(), 6),
            "a_mm_deg": number(law.a_mm_deg, 6),
            "c_mm": number(law.c_mm, 6),
            "k_mm_per_deg": number(law.k_mm_per_deg, 9),
            "effective": effective,
        }),
        FocusLaw::Curve(law) => {
            json!({ "kind": "curve", "offset_mm": number(law.offset().to_mm(), 6), "effective": effective })
        }
    }
}

/// Readings and their distance from the law.
pub(super) fn residuals_json(ring: &FocusRing) -> Vec<Value> {
    let residual = |r: &crate::calibration::Residual| {
        json!({
            "distance_mm": r.reading.distance.to_mm().map(|mm| number(mm, 4)),
            "at_deg": number(r.reading.at.to_deg(), 6),
            "error_deg": number(r.error.to_deg(), 6),
            "error_mm": number(r.error.to_deg() * ring.mm_per_degree, 6),
            "error_distance_mm": r.distance_error.map(|e| number(e.to_mm(), 4)),
            "expected_deg": number(r.expected.to_deg(), 6),
        })
    };
    ring.calibration.residuals.iter().map(residual).collect()
}

/// Limits of sharpness at the widest stop, where the lens states one.
fn depth(assembly: &Assembly, distance: Distance) -> Option<DepthOfField> {
    let lens = assembly.lens;
    thin_lens(lens).depth_of_field(distance, lens.widest_stop?, lens.circle_of_confusion)
}

struct MarkRow<'a> {
    mark: &'a Mark,
    distance: Distance,
    budget: Option<Uncertainty>,
    depth: Option<DepthOfField>,
}

fn rows<'a>(assembly: &Assembly, ring: &FocusRing, band: &'a Band) -> Vec<MarkRow<'a>> {
    let row = |mark: &'a Mark| {
        let distance = mark_distance(mark.value)?;
        Some(MarkRow { mark, distance, budget: ring.budget(assembly.lens, distance), depth: depth(assembly, distance) })
    };
    band.marks.iter().filter_map(row).collect()
}

fn focus_band_json(assembly: &Assembly, ring: &FocusRing, band: &Band) -> Value {
    let mark = |row: &MarkRow| {
        json!({
            "label": row.mark.label,
            "numbered": row.mark.numbered(),
            "distance_mm": row.distance.to_mm().map(|mm| number(mm, 4)),
            "angle_deg": number(row.mark.angle.to_deg(), 6),
            "arc_mm": number(row.mark.arc.to_mm(), 6),
            "sigma_deg": row.budget.map(|t| number(t.sigma.to_deg(), 6)),
            "sigma_mm": row.budget.map(|t| number(t.arc.to_mm(), 6)),
            "sigma_distance_mm": row.budget.and_then(|t| t.distance.to_mm()).map(|mm| number(mm, 4)),
            "parts_deg": row.budget.map(|t| parts_json(&t.parts)),
            "short": row.mark.short,
            "sharp_from_stop": row.budget.and_then(|t| t.sharp_from).map(|s| number(s.number(), 6)),
            "near_mm": row.depth.and_then(|d| d.near.to_mm()).map(|mm| number(mm, 4)),
            "far_mm": row.depth.and_then(|d| d.far.to_mm()).map(|mm| number(mm, 4)),
        })
    };
    let marks: Vec<Value> = rows(assembly, ring, band).iter().map(|row| with_hyperfocal(mark(row), row.mark)).collect();
    json!({ "unit": band.unit.sign(), "marks": marks })
}

fn iris_json(ring: &IrisRing) -> Value {
    let mark = |mark: &Mark| {
        let stop = stop_number(mark);
        json!({
            "label": mark.label,
            "numbered": mark.numbered(),
            "stop": stop.map(|n| number(n, 6)),
            "angle_deg": number(mark.angle.to_deg(), 6),
            "arc_mm": number(mark.arc.to_mm(), 6),
            "sigma_deg": ring.mark_error(mark).map(|sigma| number(sigma.to_deg(), 6)),
            "sigma_mm": ring.mark_error(mark).map(|sigma| number(sigma.to_deg() * ring.mm_per_degree, 6)),
            "sigma_stops": ring.mark_error_stops(mark).map(|sigma| number(sigma, 6)),
        })
    };
    let marks: Vec<Value> = ring.band.marks.iter().map(mark).collect();
    json!({
        "law": { "kind": ring.calibration.law.kind() },
        "bands": [{ "unit": ring.band.unit.sign(), "marks": marks }],
    })
}

fn stop_number(mark: &Mark) -> Option<f64> {
    match mark.value {
        MarkValue::Stop(number) => Some(number),
        MarkValue::Distance(_) => None,
    }
}

/// One row a mark: lens, ring, unit, label, numbered, value, angle, arc, errors, depth of field.
pub fn marks_csv(lenses: &[Assembly]) -> String {
    let head =
        ["lens", "ring", "unit", "label", "numbered", "value", "angle_deg", "arc_mm", "sigma_deg", "near_mm", "far_mm"];
    let mut out: Vec<Vec<String>> = Vec::new();
    let mut push = |assembly: &Assembly, ring: &str, band: &Band, mark: &Mark, value: String, rest: [String; 3]| {
        let mut row = vec![
            assembly.lens.name.clone(),
            ring.to_string(),
            band.unit.sign().to_string(),
            mark.label.clone(),
            mark.numbered().to_string(),
            value,
            number(mark.angle.to_deg(), 4).to_string(),
            number(mark.arc.to_mm(), 4).to_string(),
        ];
        row.extend(rest);
        out.push(row);
    };
    let millimetres = |d: Distance| d.to_mm().map_or("inf".to_string(), |mm| number(mm, 4).to_string());
    for assembly in lenses {
        if let Some(ring) = &assembly.focus {
            for band in &ring.bands {
                for row in rows(assembly, ring, band) {
                    let rest = [
                        cell(row.budget.map(|t| number(t.sigma.to_deg(), 4))),
                        cell(row.depth.map(|d| millimetres(d.near))),
                        cell(row.depth.map(|d| millimetres(d.far))),
                    ];
                    push(assembly, "focus", band, row.mark, millimetres(row.distance), rest);
                }
            }
        }
        if let Some(ring) = &assembly.iris {
            for mark in &ring.band.marks {
                let sigma = cell(ring.mark_error(mark).map(|sigma| number(sigma.to_deg(), 4)));
                let rest = [sigma, String::new(), String::new()];
                push(assembly, "iris", &ring.band, mark, cell(stop_number(mark).map(|n| number(n, 6))), rest);
            }
        }
    }
    csv(&head, &out)
}

/// Tables of every mark.
pub fn marks_text(lenses: &[Assembly]) -> String {
    let mut out = String::new();
    for assembly in lenses {
        out.push_str(&format!("{}\n", assembly.lens.name));
        if let Some(ring) = &assembly.focus {
            for band in &ring.bands {
                out.push_str(&format!("\n  focus, {}\n", band.unit.sign()));
                out.push_str(&focus_table(assembly, ring, band));
            }
            out.push_str(&depth_text(ring));
            for line in trust_lines(assembly, ring) {
                out.push_str(&format!("  {line}\n"));
            }
        }
        if let Some(ring) = &assembly.iris {
            out.push_str(&format!("\n  iris, {}\n", ring.band.unit.sign()));
            out.push_str(&iris_table(ring));
        }
        out.push('\n');
    }
    out
}

fn focus_table(assembly: &Assembly, ring: &FocusRing, band: &Band) -> String {
    let head = ["mark", "distance", "angle", "arc", "± ring", "mostly", "± distance", "sharp wide open", "true from"];
    let mut table_rows = Vec::new();
    for row in rows(assembly, ring, band) {
        let wide_open = row.depth.map(|d| match d.far {
            Distance::Infinity => format!("{} to infinity", in_unit(d.near, band.unit)),
            far => format!("{} to {}", in_unit(d.near, band.unit).trim_end_matches(" m"), in_unit(far, band.unit)),
        });
        let error = row.budget.map(|t| match t.distance {
            Distance::Infinity => "-".to_string(),
            Distance::Finite(half) if band.unit == BandUnit::Foot => exact(half.to_mm(), BandUnit::Foot),
            Distance::Finite(half) if half.to_mm() < 1000.0 => format!("{:.0} mm", half.to_mm()),
            Distance::Finite(half) => format!("{:.1} m", half.to_mm() / 1000.0),
        });
        table_rows.push(vec![
            if row.mark.numbered() { row.mark.label.clone() } else { "·".into() },
            round_in_unit(row.distance, band.unit),
            format!("{}°", plain(row.mark.angle.to_deg(), 2)),
            format!("{:.2} mm", row.mark.arc.to_mm()),
            cell(row.budget.map(|t| format!("{:.2} mm", t.arc.to_mm()))),
            cell(row.budget.map(|t| cause(&t.parts).to_string())),
            cell(error),
            cell(wide_open),
            cell(row.budget.and_then(|t| t.sharp_from).map(|stop| match assembly.lens.widest_stop {
                Some(widest) if stop.number() <= widest.number() + 1e-9 => "wide open".to_string(),
                _ if stop.number() > SMALLEST_STOP => "no stop".to_string(),
                _ => format!("f/{}", stop.label()),
            })),
        ]);
    }
    table(&head, &table_rows, 1)
}

fn iris_table(ring: &IrisRing) -> String {
    let rows: Vec<Vec<String>> = ring
        .band
        .marks
        .iter()
        .map(|mark| {
            vec![
                if mark.numbered() { mark.label.clone() } else { "·".into() },
                cell(stop_number(mark).map(|n| format!("{n:.3}"))),
                format!("{}°", plain(mark.angle.to_deg(), 2)),
                format!("{:.2} mm", mark.arc.to_mm()),
                cell(ring.mark_error(mark).map(|sigma| format!("{:.2}°", sigma.to_deg()))),
                cell(ring.mark_error(mark).map(|sigma| format!("{:.2} mm", sigma.to_deg() * ring.mm_per_degree))),
                cell(ring.mark_error_stops(mark).map(|sigma| format!("{sigma:.2} stop"))),
            ]
        })
        .collect();
    table(&["mark", "exact", "angle", "arc", "± turn", "± ring", "± light"], &rows, 1)
}

/// What was left out of a lens's bands, one line for each band and reason.
pub fn left_out_lines(assembly: &Assembly) -> Vec<String> {
    let focus = assembly.focus.iter().flat_map(|ring| &ring.bands);
    let iris = assembly.iris.iter().map(|ring| &ring.band);
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    for band in focus.chain(iris) {
        for left_out in &band.left_out {
            let unit = band.unit.sign();
            let reason = match &left_out.touches {
                Some(other) => format!("{unit} would touch {other}"),
                None => format!("{unit} would crowd the numerals beside"),
            };
            match lines.last_mut() {
                Some((last, labels)) if *last == reason => labels.push(left_out.label.clone()),
                _ => lines.push((reason, vec![left_out.label.clone()])),
            }
        }
    }
    let told = lines.into_iter().map(|(reason, labels)| format!("{} {reason}; no numeral", listed(&labels)));
    told.chain(assembly.focus.iter().flat_map(|ring| ring.left_out.iter().cloned())).collect()
}

fn listed(labels: &[String]) -> String {
    match labels {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => labels.concat(),
    }
}

/// One line on an iris law.
pub fn iris_line(ring: &IrisRing) -> String {
    let calibration = &ring.calibration;
    let worst = calibration.residuals.iter().map(|(_, off)| off.to_deg().abs()).fold(0.0, f64::max);
    let t_law = ring.light.as_ref().and_then(|light| light.t_law.as_ref());
    let law = match t_law {
        Some(t_law) if t_law.mechanism != calibration.law.kind() => {
            format!("law \"{}\", near wide open by the light alone", t_law.mechanism)
        }
        _ => format!("law \"{}\"", calibration.law.kind()),
    };
    let exposures = ring.light.as_ref().map(|light| amount(light.exposures.len(), "exposure"));
    let readings = match calibration.residuals.len() {
        0 => "no readings".to_string(),
        n => {
            format!("{}, worst {worst:.1}° ({:.2} mm on the ring)", amount(n, "reading"), worst * ring.mm_per_degree)
        }
    };
    [Some(law), exposures, Some(readings)].into_iter().flatten().collect::<Vec<String>>().join(", ")
}
