//! The calibration report: law, constants, residuals, warnings.

use super::budget::{bench_lines, trust, trust_lines};
use super::documents::fit::{ExposureResidual, Fit, FocusFit, IrisFit, IrisResidual, LensFit, TravelErrors};
use super::documents::law::FocusResidual;
use super::documents::text;
use super::documents::values::Version;
use super::marks::{self, iris_line};
use super::table::table;
use super::words::{amount, plain, round_in_unit, signed, signed_in_unit};
use super::{cell, csv, light, riding};
use crate::assembly::{Assembly, FocusRing, IrisRing};
use crate::calibration::{Means, Moves, Residual, StopReading};
use crate::optics::FocusLaw;
use crate::units::Angle;

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
            // a reading that was set aside has a sentence of its own
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
            for warning in ring.warnings() {
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
                round_in_unit(r.reading.distance, ring.unit()),
                format!("{}°", plain(r.reading.at.to_deg(), 2)),
                format!("{}°", signed(r.error.to_deg(), 2)),
                format!("{} mm", signed(r.error.to_deg() * ring.mm_per_degree, 2)),
                cell(r.distance_error.map(|error| signed_in_unit(error.to_mm(), ring.unit()))),
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

/// The report for programs.
pub fn fit_document(set: &str, lenses: &[Assembly]) -> Fit {
    let lens = |assembly: &Assembly| LensFit {
        name: assembly.lens.name.clone(),
        focus: assembly.focus.as_ref().map(|ring| focus_fit(assembly, ring)),
        iris: assembly.iris.as_ref().map(|ring| iris_fit(assembly, ring)),
    };
    Fit { version: Version, set: set.to_string(), lenses: lenses.iter().map(lens).collect() }
}

fn focus_fit(assembly: &Assembly, ring: &FocusRing) -> FocusFit {
    let calibration = &ring.calibration;
    FocusFit {
        law: marks::law(ring),
        standard_errors: calibration.standard_errors.map(|sigma| TravelErrors {
            infinity_deg: sigma.infinity.into(),
            a_mm_deg: sigma.a_mm_deg.into(),
            c_mm: sigma.c.into(),
            k_mm_per_deg: sigma.k_mm_per_deg.into(),
        }),
        chi_square: calibration.chi_square.into(),
        degrees_of_freedom: calibration.freedom,
        odd_reading: calibration.outlier_number(),
        residuals: marks::residuals(ring),
        trust: trust(assembly, ring),
        doubts: ring.warnings().collect(),
    }
}

fn iris_fit(assembly: &Assembly, ring: &IrisRing) -> IrisFit {
    let residual = |(reading, off): &(StopReading, Angle)| IrisResidual {
        stop: reading.stop.number().into(),
        at_deg: reading.at.into(),
        error_deg: (*off).into(),
        error_mm: (off.to_deg() * ring.mm_per_degree).into(),
        expected_deg: ring.iris.reading_error.into(),
    };
    IrisFit {
        law: marks::iris_law(ring),
        residuals: ring.calibration.residuals.iter().map(residual).collect(),
        doubts: ring.warnings().collect(),
        light: light::light(ring),
        riding: riding::riding(assembly),
    }
}

/// The report as JSON.
pub fn fit_json(set: &str, lenses: &[Assembly]) -> String {
    text(&fit_document(set, lenses))
}

/// One row a reading.
pub fn fit_csv(lenses: &[Assembly]) -> String {
    let head =
        ["lens", "ring", "reading", "value", "at_deg", "error_deg", "error_mm", "error_distance_mm", "expected_deg"];
    let mut rows = Vec::new();
    for lens in fit_document("", lenses).lenses {
        let name = &lens.name;
        for reading in lens.focus.iter().flat_map(|ring| &ring.residuals) {
            rows.push(focus_cells(name, reading));
        }
        let Some(ring) = &lens.iris else { continue };
        rows.extend(ring.residuals.iter().enumerate().map(|(i, reading)| iris_cells(name, i + 1, reading)));
        let exposures = ring.light.iter().flat_map(|light| &light.exposures);
        rows.extend(exposures.enumerate().map(|(i, exposure)| light_cells(name, i + 1, exposure)));
    }
    csv(&head, &rows)
}

fn focus_cells(lens: &str, reading: &FocusResidual) -> Vec<String> {
    vec![
        lens.to_string(),
        "focus".into(),
        reading.reading.to_string(),
        reading.distance_mm.cell(),
        reading.at_deg.cell(4),
        reading.error_deg.cell(4),
        reading.error_mm.cell(4),
        cell(reading.error_distance_mm.map(|error| error.cell(2))),
        reading.expected_deg.cell(4),
    ]
}

fn iris_cells(lens: &str, number: usize, reading: &IrisResidual) -> Vec<String> {
    vec![
        lens.to_string(),
        "iris".into(),
        number.to_string(),
        reading.stop.cell(6),
        reading.at_deg.cell(4),
        reading.error_deg.cell(4),
        reading.error_mm.cell(4),
        String::new(),
        reading.expected_deg.cell(4),
    ]
}

/// An exposure in the columns of the readings: the value is the brightness in stops.
fn light_cells(lens: &str, number: usize, exposure: &ExposureResidual) -> Vec<String> {
    vec![
        lens.to_string(),
        "iris light".into(),
        number.to_string(),
        exposure.stops.cell(6),
        exposure.at_deg.cell(4),
        cell(exposure.error_deg.map(|error| error.cell(4))),
        cell(exposure.error_mm.map(|error| error.cell(4))),
        String::new(),
        String::new(),
    ]
}
