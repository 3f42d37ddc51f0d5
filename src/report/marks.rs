//! Every mark: value, label, angle, arc, and how far it can be trusted.

use super::budget::{cause, parts, trust_lines};
use super::depth::{depth_pairs, depth_text};
use super::documents::law::{FocusResidual, IrisLaw, Mechanism};
use super::documents::marks::{FocusBand, FocusMark, FocusMarks, IrisBand, IrisMark, IrisMarks, LensMarks, Marks};
use super::documents::values::{Millimetres, Number, Version};
use super::documents::{self, text};
use super::sections::section_lines;
use super::table::table;
use super::words::{amount, half_interval, in_unit, narrow, plain, round_in_unit, unit_of, wrapped};
use super::{cell, csv};
use crate::artwork::MarkValue;
use crate::assembly::{Assembly, FocusRing, IrisRing, SMALLEST_STOP, Uncertainty, mark_distance, thin_lens};
use crate::optics::{DepthOfField, FocusLaw};
use crate::scale::{Band, BandUnit, Mark};
use crate::units::{Distance, DistanceUnit, Length};

/// The marks of the whole set, for programs.
pub fn marks_document(set: &str, lenses: &[Assembly]) -> Marks {
    let lens = |assembly: &Assembly| LensMarks {
        name: assembly.lens.name.clone(),
        focus: assembly.focus.as_ref().map(|ring| FocusMarks {
            law: law(ring),
            residuals: residuals(ring),
            bands: ring.bands.iter().map(|band| focus_band(assembly, ring, band)).collect(),
            depth_marks: depth_pairs(ring),
        }),
        iris: assembly.iris.as_ref().map(iris_marks),
    };
    Marks { version: Version, set: set.to_string(), lenses: lenses.iter().map(lens).collect() }
}

/// The JSON of the whole set.
pub fn marks_json(set: &str, lenses: &[Assembly]) -> String {
    text(&marks_document(set, lenses))
}

/// The law's kind and constants.
pub(super) fn law(ring: &FocusRing) -> documents::law::FocusLaw {
    let effective = ring.calibration.effective;
    match &ring.calibration.law {
        FocusLaw::Travel(law) => documents::law::FocusLaw::Travel {
            infinity_deg: law.infinity.into(),
            a_mm_deg: law.a_mm_deg.into(),
            c_mm: law.c_mm.into(),
            k_mm_per_deg: law.k_mm_per_deg.into(),
            effective,
        },
        FocusLaw::Curve(law) => documents::law::FocusLaw::Curve { offset_mm: law.offset().into(), effective },
    }
}

/// Readings and their distance from the law.
pub(super) fn residuals(ring: &FocusRing) -> Vec<FocusResidual> {
    let residual = |r: &crate::calibration::Residual| FocusResidual {
        reading: r.number(),
        distance_mm: r.reading.distance.into(),
        at_deg: r.reading.at.into(),
        error_deg: r.error.into(),
        error_mm: (r.error.to_deg() * ring.mm_per_degree).into(),
        error_distance_mm: r.distance_error.map(Number::from),
        expected_deg: r.expected.into(),
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

fn focus_band(assembly: &Assembly, ring: &FocusRing, band: &Band) -> FocusBand {
    let mark = |row: &MarkRow| FocusMark {
        label: row.mark.label.clone(),
        numbered: row.mark.numbered(),
        distance_mm: row.distance.into(),
        angle_deg: row.mark.angle.into(),
        arc_mm: row.mark.arc.into(),
        sigma_deg: row.budget.map(|t| t.sigma.into()),
        sigma_mm: row.budget.map(|t| t.arc.into()),
        sigma_distance_mm: row.budget.and_then(|t| t.distance.to_mm()).map(Number::from),
        parts_deg: row.budget.map(|t| parts(&t.parts)),
        short: row.mark.short,
        sharp_from_stop: row.budget.and_then(|t| t.sharp_from).map(|s| s.number().into()),
        near_mm: row.depth.map(|d| d.near.into()),
        far_mm: row.depth.map(|d| d.far.into()),
        hyperfocal_stop: row.mark.hyperfocal.map(|stop| stop.number().into()),
    };
    FocusBand { unit: band.unit, marks: rows(assembly, ring, band).iter().map(mark).collect() }
}

fn iris_marks(ring: &IrisRing) -> IrisMarks {
    let mark = |mark: &Mark| IrisMark {
        label: mark.label.clone(),
        numbered: mark.numbered(),
        stop: stop_number(mark).map(Number::from),
        angle_deg: mark.angle.into(),
        arc_mm: mark.arc.into(),
        sigma_deg: ring.mark_error(mark).map(Number::from),
        sigma_mm: ring.mark_error(mark).map(|sigma| (sigma.to_deg() * ring.mm_per_degree).into()),
        sigma_stops: ring.mark_error_stops(mark).map(Number::from),
    };
    IrisMarks {
        law: iris_law(ring),
        bands: vec![IrisBand { unit: ring.band.unit, marks: ring.band.marks.iter().map(mark).collect() }],
    }
}

/// The law of an iris ring, for programs.
pub(super) fn iris_law(ring: &IrisRing) -> IrisLaw {
    IrisLaw { kind: Mechanism(ring.calibration.law.kind()) }
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
    for lens in marks_document("", lenses).lenses {
        let name = &lens.name;
        for band in lens.focus.iter().flat_map(|ring| &ring.bands) {
            out.extend(band.marks.iter().map(|mark| focus_cells(name, band.unit, mark)));
        }
        for band in lens.iris.iter().flat_map(|ring| &ring.bands) {
            out.extend(band.marks.iter().map(|mark| iris_cells(name, band.unit, mark)));
        }
    }
    csv(&head, &out)
}

fn focus_cells(lens: &str, unit: BandUnit, mark: &FocusMark) -> Vec<String> {
    vec![
        lens.to_string(),
        "focus".into(),
        unit.sign().into(),
        mark.label.clone(),
        mark.numbered.to_string(),
        mark.distance_mm.cell(),
        mark.angle_deg.cell(4),
        mark.arc_mm.cell(4),
        cell(mark.sigma_deg.map(|sigma| sigma.cell(4))),
        cell(mark.near_mm.map(Millimetres::cell)),
        cell(mark.far_mm.map(Millimetres::cell)),
    ]
}

fn iris_cells(lens: &str, unit: BandUnit, mark: &IrisMark) -> Vec<String> {
    vec![
        lens.to_string(),
        "iris".into(),
        unit.sign().into(),
        mark.label.clone(),
        mark.numbered.to_string(),
        cell(mark.stop.map(|stop| stop.cell(6))),
        mark.angle_deg.cell(4),
        mark.arc_mm.cell(4),
        cell(mark.sigma_deg.map(|sigma| sigma.cell(4))),
        String::new(),
        String::new(),
    ]
}

/// How much of each mark a table shows.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Columns {
    /// What fits a terminal of 100 columns.
    Compact,
    /// Everything.
    Wide,
}

/// Tables of every mark, in 100 columns.
pub fn marks_text(lenses: &[Assembly]) -> String {
    tables(lenses, Columns::Compact)
}

/// The same with all columns: also what causes most of an error.
pub fn marks_text_wide(lenses: &[Assembly]) -> String {
    tables(lenses, Columns::Wide)
}

fn tables(lenses: &[Assembly], columns: Columns) -> String {
    let mut out = String::new();
    for assembly in lenses {
        out.push_str(&format!("{}\n", assembly.lens.name));
        if let Some(ring) = &assembly.focus {
            for band in &ring.bands {
                out.push_str(&format!("\n  focus, {}, {}\n", band.unit.sign(), numerals(assembly, band)));
                out.push_str(&focus_table(assembly, ring, band, columns));
                out.push('\n');
                section_lines(band, assembly.style().figures)
                    .iter()
                    .for_each(|line| out.push_str(&format!("  {line}\n")));
                out.push_str(&sentences(left_out_line(band)));
            }
            out.push_str(&depth_text(ring));
            out.push_str(&sentences(trust_lines(assembly, ring)));
        }
        if let Some(ring) = &assembly.iris {
            out.push_str(&format!("\n  iris, {}, {}\n", ring.band.unit.sign(), numerals(assembly, &ring.band)));
            out.push_str(&iris_table(ring));
            out.push_str(&sentences(left_out_line(&ring.band)));
        }
        out.push('\n');
    }
    out
}

/// How high the numerals of a band are, and how near labels and ticks may stand.
fn numerals(assembly: &Assembly, band: &Band) -> String {
    let style = assembly.style();
    let height = band.grounds.numeral_height.unwrap_or(style.numeral_height);
    let mm = |length: Length| plain(length.to_mm(), 2);
    format!(
        "numerals {} mm high, labels {} mm and ticks {} mm apart at least",
        mm(height),
        mm(style.label_gap),
        mm(assembly.tick_gap())
    )
}

/// Sentences below a table, each broken where it would leave its columns.
fn sentences(told: impl IntoIterator<Item = String>) -> String {
    told.into_iter().map(|line| wrapped(&line, "  ", WIDTH)).collect()
}

/// Columns of a terminal that a report fits.
const WIDTH: usize = 100;

fn focus_table(assembly: &Assembly, ring: &FocusRing, band: &Band, columns: Columns) -> String {
    let head = ["mark", "distance", "angle", "arc", "± ring", "mostly", "± distance", "sharp wide open", "true from"];
    let unit = unit_of(band);
    let limits = |depth: DepthOfField| match (columns, depth.far) {
        (Columns::Compact, Distance::Infinity) => format!("{} to infinity", narrow(depth.near, unit)),
        (Columns::Compact, far) => {
            format!("{} to {}", narrow(depth.near, unit).trim_end_matches(" m"), narrow(far, unit))
        }
        (Columns::Wide, Distance::Infinity) => format!("{} to infinity", in_unit(depth.near, unit)),
        (Columns::Wide, far) => {
            format!("{} to {}", in_unit(depth.near, unit).trim_end_matches(" m"), in_unit(far, unit))
        }
    };
    let mut table_rows = Vec::new();
    for row in rows(assembly, ring, band) {
        let error = row.budget.map(|t| match t.distance {
            Distance::Infinity => "-".to_string(),
            Distance::Finite(half) if columns == Columns::Compact && unit == DistanceUnit::Foot => {
                narrow(Distance::Finite(half), unit)
            }
            Distance::Finite(half) => half_interval(half.to_mm(), unit),
        });
        table_rows.push(vec![
            if row.mark.numbered() { row.mark.label.clone() } else { "·".into() },
            round_in_unit(row.distance, unit),
            format!("{}°", plain(row.mark.angle.to_deg(), 2)),
            format!("{:.2} mm", row.mark.arc.to_mm()),
            cell(row.budget.map(|t| format!("{:.2} mm", t.arc.to_mm()))),
            cell(row.budget.map(|t| cause(&t.parts).to_string())),
            cell(error),
            cell(row.depth.map(limits)),
            cell(row.budget.and_then(|t| t.sharp_from).map(|stop| match assembly.lens.widest_stop {
                Some(widest) if stop.number() <= widest.number() + 1e-9 => "wide open".to_string(),
                _ if stop.number() > SMALLEST_STOP => "no stop".to_string(),
                _ => format!("f/{}", stop.label()),
            })),
        ]);
    }
    match columns {
        Columns::Wide => table(&head, &table_rows, 1),
        Columns::Compact => {
            // without what causes most of the error
            let rows: Vec<Vec<String>> = table_rows.iter().map(|row| [&row[..5], &row[6..]].concat()).collect();
            table(&[&head[..5], &head[6..]].concat(), &rows, 1)
        }
    }
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

/// What found no room on a lens's bands, one line for each, and what was asked for beside them.
pub fn left_out_lines(assembly: &Assembly) -> Vec<String> {
    let focus = assembly.focus.iter().flat_map(|ring| &ring.bands);
    let iris = assembly.iris.iter().map(|ring| &ring.band);
    let bands = focus.chain(iris).filter_map(left_out_line);
    bands.chain(assembly.focus.iter().flat_map(|ring| ring.left_out.iter().cloned())).collect()
}

/// Customary values of a band that got no numeral: `no room in ft for 20′ and 15′ beside ∞, 6′ beside 5′`.
fn left_out_line(band: &Band) -> Option<String> {
    let mut reasons: Vec<(String, Vec<String>)> = Vec::new();
    for left_out in &band.left_out {
        let reason = match &left_out.touches {
            Some(other) => format!("beside {other}"),
            None => "in the crowd".to_string(),
        };
        match reasons.iter_mut().find(|(other, _)| *other == reason) {
            Some((_, labels)) => labels.push(left_out.label.clone()),
            None => reasons.push((reason, vec![left_out.label.clone()])),
        }
    }
    let told: Vec<String> = reasons.iter().map(|(reason, labels)| format!("{} {reason}", listed(labels))).collect();
    (!told.is_empty()).then(|| format!("no room in {} for {}", band.unit.sign(), told.join(", ")))
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

#[cfg(test)]
mod tests;
