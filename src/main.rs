//! Arguments in, exit status out.

use std::process::ExitCode;

fn main() -> ExitCode {
    ohmwright::cli::run(std::env::args_os()).print()
}
