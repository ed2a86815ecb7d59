//! How far a poured layer has set, as its picture shows it.

use crate::bench::batch::Batch;
use crate::bench::forecast::BatchForecast;
use crate::material::Stage;
use jiff::Timestamp;

/// A layer that has reached the first of these that its material has no longer flows.
const FLOWS_NO_MORE: [Stage; 2] = [Stage::Gel, Stage::TackFree];
/// A layer that has reached the first of these that its material has is hard.
const HARD: [Stage; 2] = [Stage::Demould, Stage::FullCure];

/// What a layer is like by now, as far as anybody knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayerState {
    Liquid,
    Gel,
    Set,
}

impl LayerState {
    /// The state of `batch` at `now`, by its own `forecast`: what was seen counts, else what is likely. A look that found
    /// "not yet" moves what is likely behind it. A batch that was finished with has set.
    pub fn of(batch: &Batch, forecast: Option<&BatchForecast>, now: Timestamp) -> Self {
        if !batch.is_running() {
            return LayerState::Set;
        }
        let Some(forecast) = forecast else {
            // Without a clock only this much is known: nobody pours onto what still flows.
            return if batch.covered_by.is_some() { LayerState::Gel } else { LayerState::Liquid };
        };
        let reached = |stages: &[Stage]| {
            let first = stages.iter().find_map(|stage| forecast.stage(*stage));
            first.is_some_and(|s| s.reached_at.is_some() || s.band.likely.is_some_and(|likely| likely <= now))
        };
        if reached(&HARD) {
            LayerState::Set
        } else if reached(&FLOWS_NO_MORE) {
            LayerState::Gel
        } else {
            LayerState::Liquid
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::entry::{BatchId, Entry, Seen};
    use crate::bench::forecast;
    use crate::bench::testing::{Story, at};

    fn state(story: &Story, minute: i64) -> LayerState {
        let log = story.log();
        let batch = log.batch(BatchId(1)).unwrap();
        LayerState::of(batch, forecast(batch, log.readings(), None, at(minute)).as_ref(), at(minute))
    }

    fn layer(material: &str) -> Story {
        let mut story = Story::at_20_c();
        story.mix(0, material);
        story
    }

    #[test]
    fn unseen_it_is_what_is_likely() {
        let story = layer("clear-polyester");
        // Gel 30 min, demould 7 h at the reference temperature.
        let met = [29, 30, 7 * 60 - 1, 7 * 60].map(|minute| state(&story, minute));
        assert_eq!(met, [LayerState::Liquid, LayerState::Gel, LayerState::Gel, LayerState::Set]);
    }

    #[test]
    fn what_was_seen_early_counts_at_once() {
        let mut story = layer("clear-polyester");
        story.see(20, BatchId(1), Stage::Gel, Seen::At { at: at(20) });
        assert_eq!(state(&story, 21), LayerState::Gel);
        story.see(200, BatchId(1), Stage::Demould, Seen::By { by: at(200) });
        assert_eq!(state(&story, 201), LayerState::Set);
    }

    #[test]
    fn a_not_yet_holds_it_back() {
        let mut story = layer("clear-polyester");
        story.see(35, BatchId(1), Stage::Gel, Seen::NotYet { at: at(35) });
        assert_eq!(state(&story, 35), LayerState::Liquid);
        story.see(7 * 60, BatchId(1), Stage::Demould, Seen::NotYet { at: at(7 * 60) });
        assert_eq!(state(&story, 7 * 60 + 1), LayerState::Gel);
    }

    #[test]
    fn in_the_cold_it_stays_what_it_was() {
        let mut story = Story::new();
        story.read(-10, 12.0);
        story.mix(0, "clear-polyester");
        assert_eq!(state(&story, 3000), LayerState::Liquid);
    }

    #[test]
    fn what_is_finished_has_set() {
        let mut story = layer("clear-polyester");
        story.write(10, Entry::Done { batch: BatchId(1) });
        assert_eq!(state(&story, 11), LayerState::Set);
    }

    #[test]
    fn a_material_without_gel_goes_by_what_it_has() {
        let rubber = layer("platinum-silicone");
        assert!((0..48 * 60).step_by(30).all(|minute| state(&rubber, minute) != LayerState::Gel));
        assert_eq!(state(&rubber, 48 * 60), LayerState::Set);
    }

    #[test]
    fn without_a_clock_what_carries_a_layer_flows_no_more() {
        let mut story = layer("uv-resin");
        assert_eq!(state(&story, 3000), LayerState::Liquid);
        story.pour(5, "uv-resin", Some(BatchId(1)));
        assert_eq!(state(&story, 6), LayerState::Gel);
    }
}
