//! The program `ringwright`; all it does lives in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    ringwright::cli::run()
}
