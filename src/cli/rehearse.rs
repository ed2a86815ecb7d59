//! `nightpour rehearse`: the demo night at speed, on a throwaway notebook.

use super::screen::LookArgs;
use super::shared::Failure;
use crate::bench::{Bench, clock_words};
use crate::clock::RehearsalClock;
use crate::material::Catalogue;
use crate::notebook::Notebook;
use crate::rehearsal::{Line, demo, play};
use crate::session::Session;
use crate::settings::Settings;
use crate::tui::{self, Options};
use clap::Args;
use std::io::{self, IsTerminal, Write};
use std::time::Duration;

/// Frames of a rehearsal: often enough to look smooth, rarely enough to cost nothing.
const FRAME_GAP: Duration = Duration::from_millis(100);

/// Watch a whole night at speed, on a notebook that is thrown away
///
/// An invented night: a column of clear resin with shells and seedheads, cast in layers while the bench cools to 13 °C.
/// The keys work as on the real bench. Desktop notifications stay off.
#[derive(Debug, Args)]
pub struct RehearseArgs {
    /// How many seconds of the night pass in one second
    #[arg(long, default_value_t = 600.0, value_name = "N", value_parser = speed)]
    speed: f64,

    /// No screen: print the night's events and alarms as lines, at once
    #[arg(long)]
    headless: bool,

    #[command(flatten)]
    look: LookArgs,
}

fn speed(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| "write a number of times as fast, such as 600".to_owned())
}

pub(super) fn run(args: &RehearseArgs, out: &mut impl Write) -> Result<(), Failure> {
    let script = demo();
    let folder = tempfile::tempdir()?;
    let notebook = Notebook::open(&folder.path().join("rehearsal.sqlite"))?;
    let clock = RehearsalClock::start(script.starts, args.speed)?;
    if args.headless || !io::stdout().is_terminal() {
        if !args.headless {
            eprintln!("nightpour: no terminal here, so the night is printed as with --headless");
        }
        return print(out, notebook);
    }
    Ok(tui::run(Options {
        clock: Box::new(clock),
        zone: script.zone.clone(),
        materials: Box::new(|| (Catalogue::embedded(), Vec::new())),
        notebook,
        palette: args.look.palette(),
        settings: Settings::default(),
        reread: None,
        troubles: Vec::new(),
        script: Some(script),
        frame_gap: FRAME_GAP,
    })?)
}

fn print(out: &mut impl Write, notebook: Notebook) -> Result<(), Failure> {
    let script = demo();
    let zone = script.zone.clone();
    writeln!(out, "{} (invented)", script.title)?;
    let bench = Bench::new(Catalogue::embedded(), zone.clone(), script.starts);
    let (mut session, _) = Session::open(bench, notebook, script.starts)?;
    let mut outcome = Ok(());
    play(script, &mut session, |line| {
        let written = match line {
            Line::Did { at, words } => writeln!(out, "{}    {words}", clock_words(at, &zone)),
            Line::Rang { at, headline, detail } => {
                writeln!(out, "{}  ▲ {headline}: {detail}", clock_words(at, &zone))
            }
            Line::Hushed { at, headline, rings } => {
                writeln!(out, "{}  · {headline}: silent after {rings} rings", clock_words(at, &zone))
            }
            Line::Said { at, words } => writeln!(out, "{}  ! {words}", clock_words(at, &zone)),
        };
        if outcome.is_ok() {
            outcome = written;
        }
    });
    Ok(outcome?)
}
