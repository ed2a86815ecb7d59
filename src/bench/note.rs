//! What has to be said of a batch's clock as a whole.

use super::batch::Batch;
use super::forecast::BatchForecast;
use crate::material::Cure;

/// Why the clock of `batch` does not mean what it usually does, or why there is none, in a few words; `None` where it
/// simply runs. `forecast` is the batch's own.
pub fn clock_note(batch: &Batch, forecast: Option<&BatchForecast>) -> Option<String> {
    let Some(profile) = &batch.profile else {
        return Some("no clock: the notebook's copy of this profile could not be read".to_owned());
    };
    let cure = match &profile.cure {
        Cure::Light { advice } => return Some(format!("no temperature clock: {advice}")),
        Cure::Thermal(cure) => cure,
    };
    let forecast = forecast?;
    let bench_c = forecast.bench_c;
    if forecast.stands() {
        return Some(format!("the clock stands: {bench_c:.1} °C is below the floor of {}", cure.floor.value));
    }
    forecast
        .above_ceiling
        .then(|| format!("{bench_c:.1} °C is above the profile's {}: times uncertain", cure.ceiling.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::forecast;
    use crate::bench::testing::{Story, at};

    fn note(celsius: f64, material: &str) -> Option<String> {
        let mut story = Story::new();
        story.read(-10, celsius);
        let batch = story.mix(0, material);
        let log = story.log();
        let batch = log.batch(batch).unwrap();
        clock_note(batch, forecast(batch, log.readings(), None, at(5)).as_ref())
    }

    #[test]
    fn a_clock_that_simply_runs_needs_no_word() {
        assert_eq!(note(20.0, "clear-polyester"), None);
    }

    #[test]
    fn outside_the_profiles_temperatures_the_bench_and_the_limit_are_told() {
        let cold = "the clock stands: 12.9 °C is below the floor of 13 °C";
        assert_eq!(note(12.9, "clear-polyester").as_deref(), Some(cold));
        let hot = "32.1 °C is above the profile's 32 °C: times uncertain";
        assert_eq!(note(32.1, "clear-polyester").as_deref(), Some(hot));
    }

    #[test]
    fn where_there_is_no_clock_the_reason_is_told() {
        assert!(note(20.0, "uv-resin").unwrap().starts_with("no temperature clock: "));
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "clear-polyester");
        let mut log = crate::bench::Log::default();
        let mix = story.entries().last().unwrap().clone();
        log.apply(mix);
        let unread = clock_note(log.batch(batch).unwrap(), None);
        assert_eq!(unread.as_deref(), Some("no clock: the notebook's copy of this profile could not be read"));
    }
}
