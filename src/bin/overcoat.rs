//! The command `overcoat`.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(overcoat::command::run(std::env::args_os()))
}
