//! A batch's stage bar: equal cells, one a stage, each filling as its own time passes.

use crate::bench::{BatchForecast, StageForecast, StageStatus};
use jiff::Timestamp;

/// The stages of a bar, in the order they were expected in; those that will never come are last. When one was seen says
/// less of the order: it may have been there long before.
pub(super) fn in_order(forecast: &BatchForecast) -> Vec<&StageForecast> {
    let mut stages: Vec<&StageForecast> = forecast.stages.iter().collect();
    let when = |s: &StageForecast| s.band.likely.or(s.reached_at);
    stages.sort_by_key(|s| (when(s).is_none(), when(s), s.stage));
    stages
}

/// How one character of a bar looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    /// Time passed, stage seen or before its band.
    Passed,
    /// Time passed inside the band, nobody has looked.
    PassedUnseen,
    /// Still ahead, inside the band.
    AheadNear,
    Ahead,
    Never,
}

impl Fill {
    pub fn symbol(self) -> char {
        match self {
            Fill::Passed => '█',
            Fill::PassedUnseen => '▓',
            Fill::AheadNear => '▒',
            Fill::Ahead => '░',
            Fill::Never => '×',
        }
    }
}

/// The characters of the cell of `stage`, which begins at `from` (the likely time of the stage before it).
pub(super) fn cell(stage: &StageForecast, from: Timestamp, now: Timestamp, width: usize) -> Vec<Fill> {
    let Some(to) = stage.reached_at.or(stage.band.likely) else { return vec![Fill::Never; width] };
    let seen = stage.status == StageStatus::Seen;
    let span = to.duration_since(from).as_secs_f64();
    // A stage that comes together with the one before it has no time of its own to fill: nothing, until it is there.
    let share = |at: Timestamp| if span > 0.0 { at.duration_since(from).as_secs_f64() / span } else { 0.0 };
    let passed = if now >= to { 1.0 } else { share(now) };
    let near_from = stage.band.early.map_or(1.0, share);
    (0..width)
        .map(|i| {
            let middle = (i as f64 + 0.5) / width as f64;
            match (middle <= passed, middle >= near_from && !seen) {
                (true, false) => Fill::Passed,
                (true, true) => Fill::PassedUnseen,
                (false, true) => Fill::AheadNear,
                (false, false) => Fill::Ahead,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::Band;
    use crate::material::{Provenance, Stage};
    use jiff::SignedDuration;

    fn minute(m: i64) -> Timestamp {
        Timestamp::UNIX_EPOCH + SignedDuration::from_mins(m)
    }

    fn gel(reached_at: Option<Timestamp>) -> StageForecast {
        StageForecast {
            stage: Stage::Gel,
            status: if reached_at.is_some() { StageStatus::Seen } else { StageStatus::Ahead },
            band: Band { early: Some(minute(30)), likely: Some(minute(40)), late: Some(minute(55)) },
            plain: None,
            least_c: None,
            reached_at,
            from: Provenance::CommonPractice,
            learned_from: None,
        }
    }

    fn drawn(stage: &StageForecast, now: i64) -> String {
        cell(stage, minute(0), minute(now), 8).into_iter().map(Fill::symbol).collect()
    }

    #[test]
    fn a_cell_fills_with_time_and_is_soft_at_its_end() {
        assert_eq!(drawn(&gel(None), 0), "░░░░░░▒▒");
        assert_eq!(drawn(&gel(None), 20), "████░░▒▒");
        assert_eq!(drawn(&gel(None), 36), "██████▓▒");
        assert_eq!(drawn(&gel(None), 90), "██████▓▓");
        assert_eq!(drawn(&gel(Some(minute(44))), 90), "████████");
    }

    #[test]
    fn a_stage_that_comes_with_the_one_before_it_is_ahead_until_it_is_there() {
        let at =
            |now: i64| cell(&gel(None), minute(40), minute(now), 4).into_iter().map(Fill::symbol).collect::<String>();
        assert_eq!((at(20).as_str(), at(41).as_str()), ("▒▒▒▒", "▓▓▓▓"));
    }

    #[test]
    fn a_stage_that_never_comes_is_crossed_out() {
        let mut stage = gel(None);
        stage.band = Band { early: None, likely: None, late: None };
        assert_eq!(drawn(&stage, 10), "××××××××");
    }
}
