//! The `costrel` program: its arguments, one command, its exit status.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(costrel::command::main(std::env::args_os()) as u8)
}
