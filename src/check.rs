//! The one tolerance check of the crate's tests.

/// Panics unless `actual` lies within `tolerance` of `expected`, on either side.
#[track_caller]
pub fn assert_close(actual: f64, expected: f64, tolerance: f64) {
    assert!(
        (actual - expected).abs() <= tolerance,
        "{actual} is {} from {expected}, more than {tolerance}",
        (actual - expected).abs()
    );
}
