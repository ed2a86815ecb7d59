//! The program's command line as a whole.

use super::shared::Desk;
use super::{
    Finish, ack, age, alarm_check, clocks, done, heat, learn, level, mix, night, notebook, plan, pour, profiles,
    rehearse, screen, seen, settings, start, temp, tick, tonight, undo, vigil,
};
use crate::cli::problems::Drawing;
use clap::{Parser, Subcommand};
use std::error::Error;
use std::io::{self, IsTerminal, Write, stderr, stdout};
use std::path::PathBuf;
use std::process::ExitCode;

/// Clocks for layered resin casting: from a cure model and the bench's temperature, through the night
///
/// Without a command the bench screen opens. Times are estimates; the label and a trial cup come first.
#[derive(Debug, Parser)]
#[command(name = "nightpour", version, after_help = EXAMPLES)]
struct Cli {
    #[arg(long, global = true, value_name = "FILE", help = STORE_HELP)]
    store: Option<PathBuf>,

    #[command(flatten)]
    screen: screen::ScreenArgs,

    #[command(subcommand)]
    command: Option<Command>,
}

const STORE_HELP: &str = "The notebook file [default: NIGHTPOUR_STORE, else notebook.sqlite in your data folder]";

const EXAMPLES: &str = "Examples:
  nightpour                                           open the bench screen
  nightpour rehearse                                  watch a whole night in about a minute
  nightpour temp 19.5                                 tell it the bench temperature
  nightpour mix clear-polyester --resin-g 80 --depth-mm 10 --label 'layer 1'
  nightpour seen gel --at 23:40                       write down what you saw
  nightpour clocks                                    what is due, and when
  nightpour alarm-check                               before bed: will I be woken?
  nightpour night column.toml                         when to pour, so that you can sleep
  nightpour ack                                       acknowledge what rings

Times are given as 23:40 (the most recent one), '2026-03-02 23:40', RFC 3339, or '20m ago'.";

#[derive(Debug, Subcommand)]
enum Command {
    Plan(plan::PlanArgs),
    Night(night::NightArgs),
    Heat(heat::HeatArgs),
    Start(start::StartArgs),
    Tick(tick::TickArgs),
    Pour(pour::PourArgs),
    Level(level::LevelArgs),
    Mix(mix::MixArgs),
    Seen(seen::SeenArgs),
    Temp(temp::TempArgs),
    Tonight(tonight::TonightArgs),
    Clocks(clocks::ClocksArgs),
    Ack(ack::AckArgs),
    AlarmCheck(alarm_check::AlarmCheckArgs),
    Vigil(vigil::VigilArgs),
    Settings(settings::SettingsArgs),
    Notebook(notebook::NotebookArgs),
    Undo(undo::UndoArgs),
    Done(done::DoneArgs),
    Profiles(profiles::ProfilesArgs),
    Age(age::AgeArgs),
    Learn(learn::LearnArgs),
    Rehearse(rehearse::RehearseArgs),
}

/// Runs the program on this process's arguments.
pub fn main() -> ExitCode {
    let cli = Cli::parse();
    match run(cli) {
        Ok(finish) => finish.into(),
        // The reader has gone (`nightpour clocks | head`): there is nobody to tell.
        Err(error) if is_broken_pipe(&*error) => ExitCode::SUCCESS,
        Err(error) => {
            // Where the terminal has gone there is nobody to tell, and `eprintln!` would panic.
            let _ = writeln!(stderr(), "nightpour: {error}");
            ExitCode::FAILURE
        }
    }
}

/// Whether a reader that has gone is behind `error`, whichever command wrapped it in its own words.
fn is_broken_pipe(error: &(dyn Error + 'static)) -> bool {
    std::iter::successors(Some(error), |&error| error.source())
        .filter_map(|error| error.downcast_ref::<io::Error>())
        .any(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

fn run(cli: Cli) -> Result<Finish, Box<dyn Error>> {
    let desk = || Desk::open(cli.store.clone());
    // Its words come from a thread of their own, which would wait for the lock below for ever.
    if let Some(Command::Vigil(args)) = &cli.command {
        vigil::run(args, &desk()?)?;
        return Ok(Finish::Fine);
    }
    let out = &mut stdout().lock();
    match cli.command {
        None => screen::run(&cli.screen, &desk()?)?,
        Some(Command::Plan(args)) => plan::run(&args, &desk()?, out)?,
        Some(Command::Night(args)) => night::run(&args, &desk()?, out)?,
        Some(Command::Heat(args)) => heat::run(&args, &desk()?, out)?,
        Some(Command::Start(args)) => start::run(&args, &desk()?, out)?,
        Some(Command::Tick(args)) => tick::run(&args, &desk()?, out)?,
        Some(Command::Pour(args)) => pour::run(&args, &desk()?, out)?,
        Some(Command::Level(args)) => level::run(&args, &desk()?, out)?,
        Some(Command::Mix(args)) => mix::run(&args, &desk()?, out)?,
        Some(Command::Seen(args)) => seen::run(&args, &desk()?, out)?,
        Some(Command::Temp(args)) => temp::run(&args, &desk()?, out)?,
        Some(Command::Tonight(args)) => tonight::run(&args, &desk()?, out)?,
        Some(Command::Clocks(args)) => clocks::run(&args, &desk()?, out)?,
        Some(Command::Ack(args)) => ack::run(&args, &desk()?, out)?,
        Some(Command::AlarmCheck(args)) => return Ok(alarm_check::run(&args, &desk()?, out)?),
        // Done above.
        Some(Command::Vigil(_)) => {}
        Some(Command::Settings(args)) => settings::run(&args, &desk()?, out)?,
        Some(Command::Notebook(args)) => notebook::run(&args, &desk()?, out)?,
        Some(Command::Undo(args)) => undo::run(&args, &desk()?, out)?,
        Some(Command::Done(args)) => done::run(&args, &desk()?, out)?,
        Some(Command::Age(args)) => age::run(&args, out)?,
        Some(Command::Learn(args)) => learn::run(&args, &desk()?, out)?,
        Some(Command::Rehearse(args)) => rehearse::run(&args, out)?,
        Some(Command::Profiles(args)) => {
            let drawing = if stdout().is_terminal() { Drawing::Unicode } else { Drawing::Ascii };
            return Ok(profiles::run(&args, &desk()?.folders, drawing, out)?);
        }
    }
    Ok(Finish::Fine)
}
