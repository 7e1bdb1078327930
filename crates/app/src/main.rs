//! The one binary.
use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(clingfish::run_in_terminal())
}
