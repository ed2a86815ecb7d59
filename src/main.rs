//! The program: reads the command line and hands over to the library.

use clap::{Parser, Subcommand};
use nightpour::cli::problems::Drawing;
use nightpour::cli::profiles::{self, ProfilesArgs};
use nightpour::folders::Folders;
use std::io::{IsTerminal, stdout};
use std::process::ExitCode;

/// Clocks for layered resin casting
#[derive(Debug, Parser)]
#[command(name = "nightpour", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Profiles(ProfilesArgs),
}

fn main() -> ExitCode {
    let Command::Profiles(args) = Cli::parse().command;
    let drawing = if stdout().is_terminal() { Drawing::Unicode } else { Drawing::Ascii };
    let outcome = Folders::from_environment()
        .map_err(|error| error.to_string())
        .and_then(|folders| profiles::run(&args, &folders, drawing, &mut stdout()).map_err(|error| error.to_string()));
    match outcome {
        Ok(finish) => finish.into(),
        Err(error) => {
            eprintln!("nightpour: {error}");
            ExitCode::FAILURE
        }
    }
}
