//! What a reader has to work out, in bits: one function a term.
//!
//! A reading may fall anywhere along the ring, so a stretch weighs by its length over that of one comfortable numeral.

use super::super::ladder::Custom;
use super::table::Value;

/// A numeral at the end of the ring, in the unit in which the user wrote it: below it, 2 1.5 1 with a bare end goes before
/// 2 1.2 0.9; far above, the end squeezes out first-class values.
pub(super) const END_NUMERAL: f64 = 9.0;
/// An end mark that has no room beside a numeral's tick.
pub(super) const NO_END_MARK: f64 = 2.0;
/// Ticks that are too close are worse than ticks too far apart: below a critical angle readings fail (Murrell 1958).
const TOO_CLOSE: f64 = 1.5;
/// Each mm of a bare place costs so much more.
const BARE: f64 = 6.0;
/// Counting to a value without numeral: so many bits for a first count of all that have to be read beside it.
const COUNTING: f64 = 2.0;
/// To a value without tick it is guessed: as dear as four ticks.
const UNTICKED: f64 = 6.0;
/// Customary values without numeral; larger, and they squeeze out the values between them.
const FIRST: f64 = 12.0;
const SECOND: f64 = 6.0;
/// A new fine step has to be noticed, the more so at a number that is not round.
const CHANGE: f64 = 1.0;
const CHANGE_AT: f64 = 0.3;
/// A step that grows again toward close: only a cam may want it.
const GROWS: f64 = 2.0;
/// A numbered step changes; to one that is no step of the ladder, or from a value that is none of its multiples.
const NUMBERED: f64 = 1.0;
const ODD: f64 = 2.0;
/// Numbers longer than this are read twice: 0.475, 9¼″.
const LONG: f64 = 4.6;
/// The least clear distance of a squeezed pair costs six bits: only customary values pay that.
const SQUEEZE: f64 = 1.0;
const SQUEEZE_ALL: f64 = 5.0;

/// The gap `h` between neighbouring ticks, `h_log` = h log2 h, against the aim.
///
/// ```text
/// (h / p0) |log2(h / h*)|, half as much again where h < h*;  and 6 (h - bare) / p0 where a place is bare
/// ```
///
/// Interpolating an interval to the resolution that is needed costs log2(h / need) bits (Kappauf 1951); the eye interpolates
/// to a tenth (Tomita and Honda 1994), so h* = 5 half depths of field leaves half of one.
pub(super) fn spacing(h: f64, h_log: f64, aim: &Value, bare: f64, pitch: f64) -> f64 {
    let off = h_log - h * aim.log_aim;
    let close = if off < 0.0 { -TOO_CLOSE * off } else { off };
    (close + BARE * (h - bare).max(0.0)) / pitch
}

/// Two numerals `l` apart whose labels are `widths` wide together.
///
/// ```text
/// (l / p0) |log2(l / p*)|,  p* = mean width + 3 gaps
/// ```
pub(super) fn numeral_pitch(l: f64, widths: f64, label_gap: f64, pitch: f64) -> f64 {
    (l / pitch) * (l / (0.5 * widths + 3.0 * label_gap)).log2().abs()
}

/// Two labels nearer than their gap.
///
/// ```text
/// 1 + 5 (gap - clear) / (0.3 gap)
/// ```
pub(super) fn squeezed(clear: f64, label_gap: f64) -> f64 {
    if clear >= label_gap { 0.0 } else { SQUEEZE + SQUEEZE_ALL * (label_gap - clear) / (0.3 * label_gap) }
}

/// A value without numeral, `ticks` ticks from the nearest longer mark; `None` without a tick.
///
/// ```text
/// 2 demand (2 + n), 6 in place of 2 + n where it has no tick
/// ```
pub(super) fn missed(value: &Value, ticks: Option<usize>) -> f64 {
    let count = if value.demand >= super::table::MISSED {
        COUNTING * value.demand * ticks.map_or(UNTICKED, |n| 2.0 + n as f64)
    } else {
        0.0
    };
    count + custom(value.custom)
}

/// A customary value without numeral.
pub(super) fn custom(custom: Custom) -> f64 {
    match custom {
        Custom::None => 0.0,
        Custom::Second => SECOND,
        Custom::First => FIRST,
    }
}

/// The fine step changes at a numeral of so many bits, and may grow.
pub(super) fn fine_change(bits: f64, grows: bool) -> f64 {
    CHANGE + CHANGE_AT * bits + if grows { GROWS } else { 0.0 }
}

/// A halving tick: no step to learn.
pub(super) fn halving() -> f64 {
    CHANGE
}

/// The numbered step changes.
pub(super) fn numbered_change(odd: bool) -> f64 {
    NUMBERED + if odd { ODD } else { 0.0 }
}

/// A long number.
pub(super) fn long_number(bits: f64) -> f64 {
    (bits - LONG).max(0.0)
}
