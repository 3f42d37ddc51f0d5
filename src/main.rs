//! program
fn main() {}
