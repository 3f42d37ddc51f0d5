//! What the table says of one piece: its ring, its size, and how it lies.

use super::{AppliedPiece, IndexAt, OnRing, Piece, PieceRow};
use crate::process::{Cut, Film, Process};
use crate::report::words::{amount, plain};
use crate::surface::{Edge, Sense};
use crate::units::Length;

/// One sentence on how the pieces were made.
pub(super) fn made(process: &Process) -> &'static str {
    match process {
        Process::Film(Film { mirrored: true, .. }) => "For scales printed on the inner face of clear film.",
        Process::Film(_) => "For scales printed on the outer face of clear film.",
        Process::Vinyl(vinyl) => match vinyl.cut {
            Cut::Marks => "For scales whose marks are cut from adhesive vinyl.",
            Cut::Mask => "For scales painted through a mask cut from adhesive vinyl.",
        },
        Process::Engrave(_) => "For scales engraved into the ring and filled with paint.",
    }
}

/// The row of a piece.
pub(super) fn row(piece: &AppliedPiece, process: &Process) -> PieceRow {
    let heading = match &piece.what {
        Piece::Focus(_) => "Focus scale",
        Piece::Iris(_) => "Iris scale",
        Piece::Disc(_) => "Follow-focus disc",
        Piece::Index(plates) if plates.len() == 1 => "Index plate",
        Piece::Index(_) => "Index plates",
    };
    let mut facts = match &piece.what {
        Piece::Focus(on) => strip(piece, on, process, &Words::FOCUS),
        Piece::Iris(on) => strip(piece, on, process, &Words::IRIS),
        Piece::Disc(on) => disc(on),
        Piece::Index(plates) => index(piece, plates),
    };
    if piece.copies > 1 {
        facts.push(("Make", amount(piece.copies, "piece")));
    }
    if !piece.files.is_empty() {
        facts.push((if piece.files.len() == 1 { "File" } else { "Files" }, piece.files.join(", ")));
    }
    PieceRow { heading: heading.to_string(), facts }
}

/// How the ends of a scale are called.
pub(super) struct Words {
    /// Where the ring begins: `infinity`.
    pub(super) zero: &'static str,
    /// Where it goes: `close`.
    pub(super) far: &'static str,
    /// Its short sign on a picture.
    pub(super) sign: &'static str,
    far_marks: &'static str,
    zero_fact: &'static str,
    ring_at_zero: &'static str,
}

impl Words {
    pub(super) const FOCUS: Words = Words {
        zero: "infinity",
        far: "close",
        sign: "∞",
        far_marks: "close marks",
        zero_fact: "Infinity",
        ring_at_zero: "with the ring at infinity",
    };
    pub(super) const IRIS: Words = Words {
        zero: "the widest stop",
        far: "closed",
        sign: "open",
        far_marks: "small openings",
        zero_fact: "Widest stop",
        ring_at_zero: "with the ring at its widest stop",
    };
}

fn strip(piece: &AppliedPiece, on: &OnRing, process: &Process, words: &Words) -> Vec<(&'static str, String)> {
    let ring = &on.ring;
    let engraved = matches!(process, Process::Engrave(_));
    let cone = ring.rear_diameter != ring.front_diameter;
    let face = size(ring.width);
    let on_ring = if cone {
        let (rear, front) = (size(ring.rear_diameter), size(ring.front_diameter));
        format!("diameter {rear} mm at the rear, {front} mm at the front; face {face} mm wide")
    } else {
        format!("diameter {} mm, face {face} mm wide", size(ring.rear_diameter))
    };
    let mut flat = format!("{} × {} mm", tenth(piece.length), tenth(piece.height));
    flat.push_str(if on.closed { ", once round" } else { ", part of the way round" });
    if let Process::Film(film) = process
        && on.closed
        && film.overlap.to_mm() > 0.0
    {
        flat.push_str(&format!(", and a tab of {} mm", size(film.overlap)));
    }
    if cone {
        let wider = if ring.rear_diameter > ring.front_diameter { "rear" } else { "front" };
        flat.push_str(&format!("; bent, its longer edge is the {wider} one"));
    }
    let camera = match on.read_from {
        Edge::Rear => "the edge at the foot of the numerals",
        Edge::Front => "the edge at the head of the numerals",
    };
    let index = match on.index {
        Edge::Rear => "at the rear edge, toward the camera; the ticks begin there",
        Edge::Front => "at the front edge, away from the camera; the ticks begin there",
    };
    let (side, turns) = match on.sense {
        Sense::Clockwise => ("left", "clockwise"),
        Sense::Counterclockwise => ("right", "counterclockwise"),
    };
    let (zero, far, far_marks) = (words.zero, words.far, words.far_marks);
    let order = format!(
        "{far_marks} to the {side} of {zero}; the ring turns {turns} toward {far}, seen from behind the camera"
    );
    let mut facts = vec![
        ("Ring", on_ring),
        (if engraved { "Drawing" } else { "Strip" }, flat),
        ("To the camera", camera.to_string()),
        ("Index", index.to_string()),
        ("Order", order),
    ];
    if !on.zeros.is_empty() {
        // where the rotary axis counts degrees, so does the table
        let rotary = matches!(process, Process::Engrave(engrave) if engrave.rotary && !cone);
        let degree = std::f64::consts::PI * ring.rear_diameter.to_mm() / 360.0;
        let place = |zero: &Length| {
            if rotary { format!("{:.2}°", zero.to_mm() / degree) } else { format!("{} mm", tenth(*zero)) }
        };
        let places: Vec<String> = on.zeros.iter().map(place).collect();
        let (places, at_zero) = (places.join(" and "), words.ring_at_zero);
        facts.push((words.zero_fact, format!("{places} from the left end; on the index line {at_zero}")));
    }
    let seam = match (engraved, on.closed, on.zeros.len()) {
        (true, ..) => "none; begin and end in the unused arc",
        (_, false, _) => "none; the strip ends outside its last marks",
        (_, true, 0 | 1) => "in the unused arc, opposite the middle of the marks",
        (_, true, _) => "in the unused arc between the two scales",
    };
    facts.push(("Seam", seam.to_string()));
    facts
}

fn disc(on: &OnRing) -> Vec<(&'static str, String)> {
    let (rear, front) = (on.ring.rear_diameter.to_mm(), on.ring.front_diameter.to_mm());
    let (rim, hole) = (Length::mm(rear.max(front)), Length::mm(rear.min(front)));
    let index = if (on.index == Edge::Rear) == (rear >= front) { "outside the rim" } else { "inside, at the hole" };
    vec![
        ("Disc", format!("rim {} mm, hole {} mm across", size(rim), size(hole))),
        ("Placing", "flat on the wheel, centred on its axle, scale outward".to_string()),
        ("Index", format!("{index}, on the follow focus")),
        ("Infinity", "at the wheel's index with the lens at infinity and the gears in mesh".to_string()),
    ]
}

fn index(piece: &AppliedPiece, plates: &[IndexAt]) -> Vec<(&'static str, String)> {
    let place = |plate: &IndexAt| {
        let ring = if plate.iris { "iris" } else { "focus" };
        match plate.edge {
            Edge::Rear => format!("{ring} ring: behind it, the line up to its rear edge"),
            Edge::Front => format!("{ring} ring: before it, the line down to its front edge"),
        }
    };
    let mut places: Vec<(String, usize)> = Vec::new();
    for place in plates.iter().map(place) {
        match places.iter_mut().find(|(known, _)| *known == place) {
            Some((_, count)) => *count += 1,
            None => places.push((place, 1)),
        }
    }
    let say = |(place, count): (String, usize)| match count {
        1 => place,
        count => format!("{place} ({count} plates, at opposite sides)"),
    };
    let places: Vec<String> = places.into_iter().map(say).collect();
    let (focus, iris) = (plates.iter().any(|plate| !plate.iris), plates.iter().any(|plate| plate.iris));
    let line = match (focus, iris) {
        (true, true) => "continues the infinity mark with the ring at infinity, and the widest stop's at that stop",
        (_, false) => "continues the infinity mark with the ring at infinity",
        (false, true) => "continues the widest stop's mark with the ring at that stop",
    };
    vec![
        ("Row", format!("{} × {} mm, {}", tenth(piece.length), tenth(piece.height), amount(plates.len(), "plate"))),
        ("Placing", format!("on the fixed part. {}", sentences(&places))),
        ("Line", line.to_string()),
    ]
}

fn sentences(places: &[String]) -> String {
    places.iter().map(|place| capital(place)).collect::<Vec<_>>().join(". ")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A length of a strip, to the tenth that a rule shows.
fn tenth(length: Length) -> String {
    plain(length.to_mm(), 1)
}

/// A length as it was measured, to the hundredth, without zeros that say nothing.
pub(super) fn size(length: Length) -> String {
    let text = plain(length.to_mm(), 2);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
