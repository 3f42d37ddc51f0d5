//! Metric marks beside imperial ones, in ring order.

use super::documents::compare::{Compare, ComparedMark, Density, LensCompared};
use super::documents::text;
use super::documents::values::Version;
use super::table::table;
use super::words::{amount, exact, plain, spoken, unit_of};
use super::{cell, csv};
use crate::assembly::{Assembly, mark_distance};
use crate::scale::{Band, BandUnit, Mark};
use crate::units::{Distance, DistanceUnit};

/// Marks nearer than this along the strip look like one line.
const HAIR_MM: f64 = 0.1;

/// One numbered mark of either band.
struct ComparedRow<'a> {
    unit: BandUnit,
    mark: &'a Mark,
    /// Exact and spoken in the other unit; none at infinity.
    other: Option<(String, String)>,
    /// The label of the other band's mark that coincides.
    coincides: Option<String>,
}

struct Pair {
    name: String,
    bands: [Band; 2],
}

impl Pair {
    fn of(assembly: &Assembly) -> Option<Pair> {
        let bands = [assembly.focus_band(DistanceUnit::Metre.into())?, assembly.focus_band(DistanceUnit::Foot.into())?];
        Some(Pair { name: assembly.lens.name.clone(), bands })
    }

    fn rows(&self) -> Vec<ComparedRow<'_>> {
        let mut rows = Vec::new();
        for (band, other) in [(&self.bands[0], &self.bands[1]), (&self.bands[1], &self.bands[0])] {
            for mark in band.marks.iter().filter(|mark| mark.numbered()) {
                let near = |m: &&Mark| (m.arc.to_mm() - mark.arc.to_mm()).abs() <= HAIR_MM;
                let coincides = other.marks.iter().filter(|m| m.numbered()).find(near);
                let mm = mark_distance(mark.value).and_then(|d| d.to_mm());
                rows.push(ComparedRow {
                    unit: band.unit,
                    mark,
                    other: mm.map(|mm| (exact(mm, unit_of(other)), spoken(mm, unit_of(other)))),
                    coincides: coincides.map(|m| with_unit(m, other.unit)),
                });
            }
        }
        rows.sort_by(|a, b| a.mark.arc.to_mm().total_cmp(&b.mark.arc.to_mm()));
        rows
    }
}

/// A label as it is read out of its band; primes are a unit already.
fn with_unit(mark: &Mark, unit: BandUnit) -> String {
    match mark.label.contains(['′', '″']) {
        true => mark.label.clone(),
        false => format!("{} {}", mark.label, unit.sign()),
    }
}

/// How dense a band is: numerals, all ticks, and the mean room to a numeral in mm.
fn density(band: &Band) -> (usize, usize, f64) {
    let numerals = band.marks.iter().filter(|mark| mark.numbered()).count();
    let length = band.marks.last().map_or(0.0, |mark| mark.arc.to_mm());
    (numerals, band.marks.len(), length / numerals.max(2).saturating_sub(1) as f64)
}

/// The comparison as text.
pub fn compare_text(lenses: &[Assembly]) -> String {
    let mut out = String::new();
    for pair in lenses.iter().filter_map(Pair::of) {
        out.push_str(&format!("{}\n", pair.name));
        let rows: Vec<Vec<String>> = pair
            .rows()
            .iter()
            .map(|row| {
                let label =
                    |unit: DistanceUnit| if row.unit == unit.into() { row.mark.label.clone() } else { String::new() };
                vec![
                    label(DistanceUnit::Metre),
                    label(DistanceUnit::Foot),
                    format!("{}°", plain(row.mark.angle.to_deg(), 2)),
                    format!("{:.2} mm", row.mark.arc.to_mm()),
                    cell(row.other.as_ref().map(|o| &o.0)),
                    cell(row.other.as_ref().map(|o| &o.1)),
                    row.coincides.as_ref().map_or(String::new(), |c| format!("= {c}")),
                ]
            })
            .collect();
        out.push_str(&table(&["m", "ft", "angle", "arc", "exactly", "say", "coincides"], &rows, 2));
        for band in &pair.bands {
            let (numerals, ticks, room) = density(band);
            let unit = band.unit.sign();
            out.push_str(&format!(
                "  {unit}: {}, {} in all, {room:.1} mm to a numeral in the mean\n",
                amount(numerals, "numeral"),
                amount(ticks, "tick"),
            ));
        }
        out.push('\n');
    }
    out
}

/// The comparison for programs.
pub fn compare_document(set: &str, lenses: &[Assembly]) -> Compare {
    let mark = |row: &ComparedRow| ComparedMark {
        unit: row.unit,
        label: row.mark.label.clone(),
        distance_mm: mark_distance(row.mark.value).unwrap_or(Distance::Infinity).into(),
        angle_deg: row.mark.angle.into(),
        arc_mm: row.mark.arc.into(),
        exact: row.other.as_ref().map(|(exact, _)| exact.clone()),
        spoken: row.other.as_ref().map(|(_, spoken)| spoken.clone()),
        coincides: row.coincides.clone(),
    };
    let band = |band: &Band| {
        let (numerals, ticks, room) = density(band);
        Density { unit: band.unit, numerals, ticks, mean_room_mm: room.into() }
    };
    let lens = |pair: Pair| LensCompared {
        marks: pair.rows().iter().map(mark).collect(),
        bands: pair.bands.iter().map(band).collect(),
        name: pair.name,
    };
    let lenses = lenses.iter().filter_map(Pair::of).map(lens).collect();
    Compare { version: Version, set: set.to_string(), lenses }
}

/// The comparison as JSON.
pub fn compare_json(set: &str, lenses: &[Assembly]) -> String {
    text(&compare_document(set, lenses))
}

/// One row a numbered mark of either unit.
pub fn compare_csv(lenses: &[Assembly]) -> String {
    let head = ["lens", "unit", "label", "distance_mm", "angle_deg", "arc_mm", "exact", "spoken", "coincides"];
    let mut out = Vec::new();
    for lens in compare_document("", lenses).lenses {
        for mark in &lens.marks {
            out.push(vec![
                lens.name.clone(),
                mark.unit.sign().into(),
                mark.label.clone(),
                mark.distance_mm.cell(),
                mark.angle_deg.cell(4),
                mark.arc_mm.cell(4),
                cell(mark.exact.as_ref()),
                cell(mark.spoken.as_ref()),
                cell(mark.coincides.as_ref()),
            ]);
        }
    }
    csv(&head, &out)
}
