//! What the table says of one piece: its ring, its size, and how it lies.

use super::craft::craft;
use super::{Application, Applied, AppliedPiece, IndexAt, OnDisc, OnRing, PieceRow};
use crate::process::Process;
use crate::report::words::{amount, listed, plain};
use crate::surface::Edge;
use crate::units::Length;

/// Which way is left.
pub(super) const SIDES: &str = "Left and right are those of a strip that you hold with its outer face toward you and \
                                its front edge, that of the lens's front, up. The camera is then below.";

/// Which files hold the whole set.
pub(super) fn together(application: &Application) -> Option<String> {
    let (sheets, guides) = (listed(&application.sheets), listed(&application.guides));
    let proof = craft(&application.process).works_on_the_ring();
    let sheets = (!sheets.is_empty()).then(|| {
        if proof {
            format!("All pieces lie together, as a proof on paper and in mm, in {sheets}.")
        } else {
            format!("All pieces lie together in {sheets}.")
        }
    });
    let guides = (!guides.is_empty()).then(|| format!("All transfer guides lie together in {guides}."));
    let sentences: Vec<String> = [sheets, guides].into_iter().flatten().collect();
    (!sentences.is_empty()).then(|| sentences.join(" "))
}

/// Degrees of a rotary axis to a millimetre of the drawing; `None` where the drawing is in mm.
pub(super) fn degrees_per_mm(on: &OnRing, process: &Process) -> Option<f64> {
    let cone = on.ring.rear_diameter != on.ring.front_diameter;
    let rotary = craft(process).rotary() && !cone;
    rotary.then(|| 360.0 / (std::f64::consts::PI * on.ring.rear_diameter.to_mm()))
}

/// `A`, `A and B`, `A to D`: the letters at the cuts of a piece in parts.
fn letters(parts: usize) -> String {
    let letters: Vec<String> = (1..parts).map(|cut| char::from(b'A' + ((cut - 1) % 26) as u8).to_string()).collect();
    listed(&letters)
}

/// The row of a piece.
pub(super) fn row(piece: &AppliedPiece, process: &Process) -> PieceRow {
    let heading = match &piece.what {
        Applied::Focus(_) => "Focus scale",
        Applied::Iris(_) => "Iris scale",
        Applied::Disc(_) => "Follow-focus disc",
        Applied::Index(plates) if plates.len() == 1 => "Index plate",
        Applied::Index(_) => "Index plates",
    };
    let mut facts = match &piece.what {
        Applied::Focus(on) => strip(piece, on, process, &Words::FOCUS),
        Applied::Iris(on) => strip(piece, on, process, &Words::IRIS),
        Applied::Disc(on) => disc(on),
        Applied::Index(plates) => index(piece, plates),
    };
    if craft(process).rotary() && matches!(piece.what, Applied::Disc(_) | Applied::Index(_)) {
        facts.push(("Drawing", "in mm, to be engraved flat, not on the rotary axis".to_string()));
    }
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
    let craft = craft(process);
    let engraved = craft.works_on_the_ring();
    let cone = ring.rear_diameter != ring.front_diameter;
    let face = size(ring.width);
    let on_ring = if cone {
        let (rear, front) = (size(ring.rear_diameter), size(ring.front_diameter));
        format!("diameter {rear} mm at the rear, {front} mm at the front; face {face} mm wide")
    } else {
        format!("diameter {} mm, face {face} mm wide", size(ring.rear_diameter))
    };
    let per_mm = degrees_per_mm(on, process);
    let mut flat = match per_mm {
        Some(degrees) => format!("{:.2}° × {} mm", piece.length.to_mm() * degrees, tenth(piece.height)),
        None => format!("{} × {} mm", tenth(piece.length), tenth(piece.height)),
    };
    flat.push_str(if on.closed { ", once round" } else { ", part of the way round" });
    if on.closed && craft.tab().to_mm() > 0.0 {
        flat.push_str(&format!(", and a tab of {} mm", size(craft.tab())));
    }
    if cone {
        let wider = if ring.rear_diameter > ring.front_diameter { "rear" } else { "front" };
        flat.push_str(&format!("; bent, its longer edge is the {wider} one"));
    }
    let divided = !engraved && piece.parts > 1;
    if divided {
        let meet = if piece.parts == 2 { "meet" } else { "meet letter to letter" };
        flat.push_str(&format!("; in {} parts, the ends lettered {} {meet}", piece.parts, letters(piece.parts)));
    }
    if piece.guide_parts > 1 && craft.has_guides() {
        flat.push_str(&format!("; its transfer guide in {} parts", piece.guide_parts));
    }
    let camera = match on.read_from {
        Edge::Rear => "the edge at the foot of the numerals",
        Edge::Front => "the edge at the head of the numerals",
    };
    let index = match on.index {
        Edge::Rear => "at the rear edge, toward the camera; the ticks begin there",
        Edge::Front => "at the front edge, away from the camera; the ticks begin there",
    };
    let (side, turns) = (on.sense.close_marks_side(), on.sense.word());
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
        let place = |zero: &Length| match per_mm {
            Some(degrees) => format!("{:.2}°", zero.to_mm() * degrees),
            None => format!("{} mm", tenth(*zero)),
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
    let joints = if divided { "; also between marks where the lettered ends meet" } else { "" };
    facts.push(("Seam", format!("{seam}{joints}")));
    facts
}

fn disc(on: &OnDisc) -> Vec<(&'static str, String)> {
    let hole = if on.hole == Length::ZERO { "no hole".into() } else { format!("hole {} mm across", size(on.hole)) };
    let turns = on.sense.word();
    // a scale comes to its index from the side that it turns away from; a pointer goes to its marks
    let (placing, index, infinity, what, close) = if on.pointer_turns {
        (
            "flat on the fixed part, centred on the pointer's axle, scale outward; it does not turn",
            "the pointer, which turns over the disc",
            "under the pointer with the lens at infinity and the gears in mesh",
            "pointer",
            turns,
        )
    } else {
        (
            "flat on the wheel, centred on its axle, scale outward",
            "outside the rim, on the follow focus",
            "at the wheel's index with the lens at infinity and the gears in mesh",
            "disc",
            on.sense.opposite().word(),
        )
    };
    let order = format!("close marks {close} from infinity; the {what} turns {turns} toward close, as you face it");
    vec![
        ("Disc", format!("rim {} mm across, {hole}", size(on.diameter))),
        ("Placing", placing.to_string()),
        ("Index", index.to_string()),
        ("Order", order),
        ("Infinity", infinity.to_string()),
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
    let depth =
        "the numerals to both sides are f-stops: what stands on the ring between a pair looks sharp at that stop";
    let mut facts = vec![
        ("Row", format!("{} × {} mm, {}", tenth(piece.length), tenth(piece.height), amount(plates.len(), "plate"))),
        ("Placing", format!("on the fixed part. {}", sentences(&places))),
        ("Line", line.to_string()),
    ];
    if plates.iter().any(|plate| plate.depth) {
        facts.push(("Depth", depth.to_string()));
    }
    facts
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

/// A length as it was measured, to the hundredth, without trailing zeros.
pub(super) fn size(length: Length) -> String {
    let text = plain(length.to_mm(), 2);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
