//! What the bench screen costs: time to its first picture, answer to a key, and what it takes while nobody touches it.
//!
//! The real program runs in a pseudo-terminal of 120×40 on a notebook made for this; the kernel's own books
//! (`man 5 proc`) say what it used. Each figure stands beside its limit; one over its limit ends the run with code 1.
//!
//! `cargo bench --bench footprint -- --seconds 60`. The desktop cases use the session bus of the environment; on a bus
//! of their own: `dbus-run-session -- cargo bench --bench footprint`.
#![allow(clippy::disallowed_methods, reason = "real delays are what is measured")]

#[cfg(target_os = "linux")]
mod notebook;
#[cfg(target_os = "linux")]
mod process;
#[cfg(target_os = "linux")]
mod run;
#[cfg(target_os = "linux")]
mod screen;
#[cfg(target_os = "linux")]
mod table;

use clap::Parser;

/// Measures what the bench screen costs
#[derive(Debug, Parser)]
struct Args {
    /// How long each idle case is watched
    #[arg(long, default_value_t = 30)]
    seconds: u64,

    /// Entries in the notebook
    #[arg(long, default_value_t = 10_000)]
    entries: usize,

    /// Starts, and key presses, of which the median is told
    #[arg(long, default_value_t = 20)]
    times: usize,

    /// Given by `cargo bench`
    #[arg(long, hide = true)]
    bench: bool,
}

#[cfg(target_os = "linux")]
fn main() -> Result<std::process::ExitCode, Box<dyn std::error::Error>> {
    let args = Args::parse();
    if !args.bench {
        println!("nothing measured: this is a bench, 'cargo bench --bench footprint' runs it");
        return Ok(std::process::ExitCode::SUCCESS);
    }
    run::run(&args)
}

#[cfg(not(target_os = "linux"))]
fn main() {
    let Args { seconds, entries, times, bench } = Args::parse();
    println!(
        "nothing measured: only Linux keeps the books that this reads (asked for {entries} entries, {times} starts, \
         {seconds} s each, as a bench: {bench})"
    );
}
