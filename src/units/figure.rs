//! Numbers as sentences say them.

/// To the thousandth and without zeros that say nothing: `10.922` for the 10.921999999999999 mm of 0.43 in.
pub(crate) fn figure(value: f64) -> String {
    // the sum takes the sign off a zero
    format!("{}", (value * 1000.0).round() / 1000.0 + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_sentence_has_more_digits_than_a_caliper_reads() {
        assert_eq!([0.1 + 0.2, 0.43 * 25.4, 84.0, -0.0001, 1e6].map(figure), ["0.3", "10.922", "84", "0", "1000000"]);
    }
}
