//! `nightpour age`: the cure age over a logger's readings, and when a wanted one is reached.

mod facts;
mod from;
mod words;

use super::figure::figure;
use super::json::print_json;
use crate::cure::{CureRule, RateLaw};
use crate::sense::logger_file::{LoggerFile, LoggerFileError};
use crate::text::PlainText;
use crate::units::{Celsius, Hours, KjPerMol, Q10};
use crate::when::parse_length;
use clap::{ArgGroup, Args};
use facts::{Facts, Wanted};
use from::FromError;
use jiff::tz::TimeZone;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Cure age over a temperature log: the equivalent time at the reference temperature
#[derive(Debug, Clone, Args)]
#[command(group(ArgGroup::new("rule").required(true).args(["q10", "activation_kj"])))]
pub struct AgeArgs {
    /// Temperature log: CSV with the columns 'time' and 'c' (°C); '-' reads standard input
    #[arg(value_name = "READINGS.csv")]
    readings: PathBuf,

    /// Factor by which the rate grows over 10 °C, such as 2
    #[arg(long, value_name = "Q", value_parser = figure::<Q10>)]
    q10: Option<Q10>,

    /// Activation energy in kJ/mol, such as 53, instead of a q10
    #[arg(long, value_name = "E", value_parser = figure::<KjPerMol>)]
    activation_kj: Option<KjPerMol>,

    /// Reference temperature in °C: the one the label's times are for
    #[arg(long, value_name = "C", allow_negative_numbers = true, value_parser = figure::<Celsius>)]
    reference_c: Celsius,

    /// Temperature in °C below which nothing cures and the clock stands
    #[arg(long, value_name = "F", allow_negative_numbers = true, value_parser = figure::<Celsius>)]
    floor_c: Option<Celsius>,

    /// Also tell when this cure age is reached, such as 4h or '1h 30m'
    #[arg(long, value_name = "AGE", value_parser = length)]
    reach: Option<Hours>,

    /// Count from this time instead of the first reading: 23:40 (the latest one in the file), '2026-03-02 23:40', or hours
    /// if the file has hours
    #[arg(long, value_name = "TIME", allow_negative_numbers = true)]
    from: Option<String>,

    /// For --reach: take the last temperature to stay after the last reading
    #[arg(long)]
    hold: bool,

    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// Why there is no cure age.
#[derive(Debug, thiserror::Error)]
pub enum AgeError {
    #[error("'{file}' cannot be read: {source}. Check the name, or give - to read standard input")]
    Read { file: PlainText, source: io::Error },
    #[error("'{file}', {error}")]
    Log { file: PlainText, error: LoggerFileError },
    #[error("--from {0}")]
    From(#[from] FromError),
    #[error("the answer cannot be written: {0}")]
    Write(#[from] io::Error),
}

/// Prints the cure age; local times are those of this machine.
pub fn run(args: &AgeArgs, out: &mut impl Write) -> Result<(), AgeError> {
    run_in(&TimeZone::system(), args, &mut io::stdin().lock(), out)
}

/// The same with local times those of `zone`, and `stdin` read where the file is `-`.
pub fn run_in(zone: &TimeZone, args: &AgeArgs, stdin: &mut impl Read, out: &mut impl Write) -> Result<(), AgeError> {
    let file = PlainText::new(&args.readings.to_string_lossy());
    let bytes = read(&args.readings, stdin).map_err(|source| AgeError::Read { file: file.clone(), source })?;
    let log = LoggerFile::from_bytes(&bytes, zone).map_err(|error| AgeError::Log { file, error })?;
    let start_h = args.from.as_deref().map_or(Ok(0.0), |text| from::start_h(text, &log, zone))?;
    let wanted = args.reach.map(|age| Wanted { age, hold: args.hold });
    let facts = Facts::new(&log, args.rule(), start_h, wanted, zone);
    if args.json {
        print_json(&facts, out)?;
    } else {
        out.write_all(words::report(&facts, &log, wanted, zone).as_bytes())?;
    }
    Ok(())
}

impl AgeArgs {
    fn rule(&self) -> CureRule {
        CureRule { law: self.law(), reference: self.reference_c, floor: self.floor_c }
    }

    fn law(&self) -> RateLaw {
        match (self.q10, self.activation_kj) {
            (Some(q), _) => RateLaw::Q10(q),
            (None, Some(e)) => RateLaw::Arrhenius(e),
            (None, None) => unreachable!("the command line refuses to do without both"),
        }
    }
}

fn read(file: &Path, stdin: &mut impl Read) -> io::Result<Vec<u8>> {
    if file.as_os_str() == "-" {
        let mut bytes = Vec::new();
        stdin.read_to_end(&mut bytes)?;
        Ok(bytes)
    } else {
        std::fs::read(file)
    }
}

fn length(text: &str) -> Result<Hours, String> {
    let hours = parse_length(text).map(|length| length.as_secs_f64() / 3600.0);
    Hours::new(hours.unwrap_or(f64::NAN)).map_err(|_| "write a length with its unit, such as 4h or '1h 30m'".to_owned())
}
