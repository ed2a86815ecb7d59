//! The demo night: our own scenario, invented. A shell-and-seedhead column is cast in layers while the workshop cools.

use super::read::read_script;
use super::script::{Script, Step};
use crate::bench::Command;
use crate::sense::logger_file::{LoggedReading, LoggerFile};
use crate::strict::read;
use crate::text::PlainText;
use jiff::SignedDuration;

const NIGHT: &str = include_str!("../../demo-data/night.toml");
const READINGS: &str = include_str!("../../demo-data/bench-night.csv");

/// The night the program carries with it.
///
/// # Panics
/// Never: the tests read both files it is built from.
#[expect(clippy::expect_used, reason = "the files are part of the program, and the tests read both")]
pub fn demo() -> Script {
    let script = read(NIGHT, read_script).expect("the demo night reads").value;
    let readings = LoggerFile::parse(READINGS, &script.zone).expect("the demo readings read");
    let starts = script.starts;
    let steps: Vec<Step> = readings
        .readings()
        .iter()
        .map(|reading| {
            let at = starts + SignedDuration::from_secs_f64((reading.elapsed_h * 3600.0).round());
            Step { at, command: measured(reading, at) }
        })
        .collect();
    script.with(steps)
}

fn measured(reading: &LoggedReading, at: jiff::Timestamp) -> Command {
    Command::Read { celsius: reading.celsius, humidity: reading.humidity, at, source: PlainText::new("bench") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_falls_to_thirteen_degrees_and_rises_again() {
        let script = demo();
        let readings = LoggerFile::parse(READINGS, &script.zone).unwrap();
        let celsius: Vec<f64> = readings.readings().iter().map(|r| r.celsius.get()).collect();
        let coldest = celsius.iter().copied().fold(f64::INFINITY, f64::min);
        assert!((coldest - 13.0).abs() < 1e-9);
        assert!(celsius[0] > 20.0 && celsius[celsius.len() - 1] > 17.0);
        assert!(script.ends > script.starts);
    }
}
