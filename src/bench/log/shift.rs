//! The clock was set: what was told before counts by the clock as it is now.

use super::Log;
use crate::bench::batch::{AlarmAnswer, Answer};
use crate::bench::entry::EntryId;
use crate::bench::tie::later;
use jiff::SignedDuration;

impl Log {
    /// The clock was set forward by so much: what was told after the entry `after` moves along.
    pub(super) fn shift(&mut self, by: SignedDuration, after: EntryId) {
        self.readings.shift(by, after);
        self.bedtime.shift(by, after);
        shift_answers(&mut self.silence_answers, by, after);
        for batch in self.batches.iter_mut().flatten() {
            if batch.entry > after {
                batch.started = later(batch.started, by);
            }
            for observation in batch.observations.iter_mut().filter(|observation| observation.entry > after) {
                observation.seen = observation.seen.shifted(by);
            }
            shift_answers(&mut batch.answers, by, after);
        }
        for piece in self.pieces.iter_mut().flatten() {
            if piece.entry > after {
                piece.started = later(piece.started, by);
            }
            for (_, pours) in piece.nights.iter_mut().filter(|(told, _)| *told > after) {
                for pour in pours {
                    pour.at = later(pour.at, by);
                }
            }
            for measured in piece.measured.iter_mut().filter(|measured| measured.entry > after) {
                measured.at = later(measured.at, by);
            }
        }
    }
}

fn shift_answers(answers: &mut [AlarmAnswer], by: SignedDuration, after: EntryId) {
    for answer in answers.iter_mut().filter(|answer| answer.entry > after) {
        answer.at = later(answer.at, by);
        if let Answer::SnoozedUntil(until) = &mut answer.answer {
            *until = later(*until, by);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::entry::{Entry, Seen};
    use crate::bench::testing::{Story, at};
    use crate::bench::{AlarmId, Tie, UptimeClock, forecast};
    use crate::material::Stage;
    use jiff::Timestamp;

    /// The same ten hours, on a clock that was set by so many minutes after the first look.
    fn night(stepped_min: i64) -> (Story, Timestamp) {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "clear-polyester");
        story.see(20, batch, Stage::Gel, Seen::NotYet { at: at(20) });
        story.write(21, Entry::Snoozed { alarm: AlarmId::of(batch, Stage::PotLife), until: at(40) });
        story.write(25 + stepped_min, Entry::ClockSet { by_us: stepped_min * 60_000_000, after: EntryId(0) });
        story.read(30 + stepped_min, 18.0);
        (story, at(60 + stepped_min))
    }

    #[test]
    fn a_clock_that_was_set_moves_no_deadline() {
        let (plain, now) = night(0);
        let plain_log = plain.log();
        let batch = plain_log.batches().next().unwrap();
        let told = forecast(batch, plain_log.readings(), None, now).unwrap();
        for stepped in [-24 * 60, -60, 60, 24 * 60] {
            let (set, now_shown) = night(stepped);
            let log = set.log();
            let batch = log.batches().next().unwrap();
            let here = forecast(batch, log.readings(), None, now_shown).unwrap();
            assert!((here.cure_age.get() - told.cure_age.get()).abs() < 1e-12);
            for (a, b) in here.stages.iter().zip(&told.stages) {
                let back = |at: Option<Timestamp>| at.map(|at| later(at, SignedDuration::from_mins(-stepped)));
                assert_eq!((back(a.band.early), back(a.band.likely)), (b.band.early, b.band.likely), "{stepped}");
            }
            let answer = batch.answer(AlarmId::of(batch.id, Stage::PotLife)).unwrap();
            assert_eq!(answer.answer, Answer::SnoozedUntil(at(40 + stepped)));
            // Known at a moment before it was set, by the clock as it is now.
            let early = Log::as_known_at(at(10 + stepped), set.entries().iter().cloned());
            assert_eq!(
                early.batches().map(|b| (b.started, b.observations.len())).collect::<Vec<_>>(),
                [(at(stepped), 0)]
            );
        }
    }

    #[test]
    fn what_was_written_under_an_earlier_start_of_the_machine_stays() {
        let mut story = Story::at_20_c();
        let before = story.mix(0, "clear-polyester");
        let last = story.entries().last().unwrap().id;
        let since = story.mix(30, "clear-polyester");
        story.write(500, Entry::ClockSet { by_us: 480 * 60_000_000, after: last });
        let log = story.log();
        let started = |id| log.batch(id).unwrap().started;
        assert_eq!((started(before), started(since)), (at(0), at(510)));
        let known = Log::as_known_at(at(60), story.entries().iter().cloned());
        assert_eq!(known.running().map(|batch| batch.id).collect::<Vec<_>>(), [before]);
    }

    #[test]
    fn only_a_clock_that_was_set_is_news() {
        let shown =
            |boot: &str, minute: i64| UptimeClock { boot: boot.to_owned(), uptime: SignedDuration::from_mins(minute) };
        let first = Tie::of(at(0), &shown("one", 100));
        assert!(first.stands(at(10), &shown("one", 110)));
        let a_second = SignedDuration::from_secs(1);
        assert!(first.stands(at(10) + a_second, &shown("one", 110)), "steered");
        assert_eq!(first.set_by(at(70), &shown("one", 110)), SignedDuration::from_hours(1));
        assert_eq!(first.present(at(70), &shown("one", 110)), at(10), "until it is written down");
        // A suspend lets both go on; another start cannot be compared.
        assert!(first.stands(at(500), &shown("one", 600)));
        assert!(!first.stands(at(0), &shown("two", 1)) && first.set_by(at(0), &shown("two", 1)).is_zero());
    }
}
