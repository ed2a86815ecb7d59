//! Figures beside their limits.

use std::time::Duration;

pub fn heading(words: &str) {
    println!("\n{words}");
}

/// Prints a figure without a limit.
pub fn note(name: &str, value: &str) {
    println!("  {name:<34} {value:>16}");
}

/// The figures with a limit; remembers what was missed.
#[derive(Debug, Default)]
pub struct Table {
    missed: Vec<String>,
}

impl Table {
    /// Prints a figure that has to stay under `limit`.
    pub fn limited(&mut self, name: &str, value: f64, limit: f64, unit: &str) {
        let kept = value < limit;
        let verdict = if kept { "kept" } else { "MISSED" };
        println!(
            "  {name:<34} {:>16}   limit {:<10} {verdict}",
            format!("{value:.3} {unit}"),
            format!("{limit} {unit}")
        );
        if !kept {
            self.missed.push(format!("{name}: {value:.3} {unit}, limit {limit} {unit}"));
        }
    }

    /// The limits that were missed.
    pub fn missed(&self) -> &[String] {
        &self.missed
    }
}

/// The middle and the longest of some delays, in milliseconds.
pub fn middle_and_worst_ms(mut delays: Vec<Duration>) -> (f64, f64) {
    delays.sort();
    let ms = |d: Option<&Duration>| d.map_or(f64::NAN, |d| d.as_secs_f64() * 1e3);
    (ms(delays.get(delays.len() / 2)), ms(delays.last()))
}
