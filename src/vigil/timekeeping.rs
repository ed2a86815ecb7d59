//! The present, whatever becomes of the machine's clock: a clock that was set, a machine that slept, another zone.

use crate::bench::Tie;
use crate::clock::Clock;
use crate::notebook::{Notebook, NotebookError};
use jiff::{SignedDuration, Timestamp};

/// A shorter sleep is how busy machines are.
const SLEPT_MORE_THAN: SignedDuration = SignedDuration::from_secs(2);
/// How long until a notebook that could not take the news of a set clock is tried again.
const TRY_AGAIN: SignedDuration = SignedDuration::from_secs(5);

/// What was noticed on the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Noticed {
    /// The clock was set, and the notebook has been told: there is news in it.
    ClockSet,
    /// The machine slept for so long until now.
    Slept(SignedDuration),
}

/// What is remembered of the machine's clocks.
#[derive(Debug)]
pub(super) struct Timekeeper {
    tie: Option<Tie>,
    /// Whether the notebook knows it.
    told: bool,
    slept: Option<SignedDuration>,
    /// Since when a set clock waits to be written down, by the uptime.
    failed_at: Option<SignedDuration>,
}

impl Timekeeper {
    /// Begins with what the notebook knows, and tells it what has changed since.
    pub fn begin(clock: &dyn Clock, notebook: &mut Notebook) -> Self {
        let tie = clock.uptime().and_then(|shown| notebook.settle_clock(clock.now(), &shown).ok());
        Self { told: tie.is_some() || clock.uptime().is_none(), tie, slept: clock.slept(), failed_at: None }
    }

    /// The present. A clock that was set since the last look is told to `notebook` before; until that can be, the present goes
    /// on as if it had not been set.
    pub fn now(&mut self, clock: &dyn Clock, notebook: &mut Notebook) -> (Timestamp, Vec<Noticed>) {
        let (now, clock_set) = self.wall(clock, notebook);
        // A clock that was set comes first: what rings after a sleep rings by the right one.
        let mut noticed: Vec<Noticed> = clock_set.into_iter().collect();
        if let Some(slept) = clock.slept() {
            let longer = self.slept.map_or(SignedDuration::ZERO, |before| slept - before);
            if longer > SLEPT_MORE_THAN {
                noticed.push(Noticed::Slept(longer));
            }
            self.slept = Some(slept);
        }
        (now, noticed)
    }

    fn wall(&mut self, clock: &dyn Clock, notebook: &mut Notebook) -> (Timestamp, Option<Noticed>) {
        let wall = clock.now();
        let Some(shown) = clock.uptime() else { return (wall, None) };
        // Where the notebook could not be asked, it is held against how it stood when this began.
        let tie = self.tie.get_or_insert_with(|| Tie::of(wall, &shown));
        let stands = tie.stands(wall, &shown);
        if stands && self.told {
            return (wall, None);
        }
        let rested = self.failed_at.is_none_or(|failed| shown.uptime - failed >= TRY_AGAIN);
        if rested {
            match notebook.settle_clock(wall, &shown) {
                Ok(settled) => {
                    self.tie = Some(settled);
                    (self.told, self.failed_at) = (true, None);
                    return (wall, (!stands).then_some(Noticed::ClockSet));
                }
                Err(NotebookError { .. }) => self.failed_at = Some(shown.uptime),
            }
        }
        (tie.present(wall, &shown), None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::BEFORE_FIRST;
    use crate::vigil::testing::{Machine, at};
    use std::time::Duration;

    #[test]
    fn a_step_a_sleep_and_the_mere_passing_of_time_are_told_apart() {
        let folder = tempfile::tempdir().unwrap();
        let mut notebook = Notebook::open(&folder.path().join("n.sqlite")).unwrap();
        let machine = Machine::default();
        let mut keeper = Timekeeper::begin(&machine, &mut notebook);
        let mut look = |notebook: &mut Notebook| keeper.now(&machine, notebook);
        machine.pass(600);
        assert_eq!(look(&mut notebook), (at(600), vec![]));
        machine.sleep(8 * 3600);
        assert_eq!(look(&mut notebook), (at(29_400), vec![Noticed::Slept(SignedDuration::from_hours(8))]));
        for by in [3600, -3600, 86_400, -86_400] {
            machine.set(by);
            let (now, noticed) = look(&mut notebook);
            assert_eq!(noticed, [Noticed::ClockSet], "{by}");
            assert_eq!(look(&mut notebook), (now, vec![]));
        }
        assert_eq!(notebook.read_after(BEFORE_FIRST).unwrap().entries.len(), 4);
    }

    #[test]
    fn a_step_that_cannot_be_written_down_changes_nothing_until_it_can() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n.sqlite");
        let mut notebook = Notebook::open(&path).unwrap();
        notebook.wait_at_most(Duration::from_millis(10)).unwrap();
        let machine = Machine::default();
        let mut keeper = Timekeeper::begin(&machine, &mut notebook);
        let other = rusqlite::Connection::open(&path).unwrap();
        other.execute_batch("BEGIN IMMEDIATE").unwrap();
        machine.set(3600);
        assert_eq!(keeper.now(&machine, &mut notebook), (at(0), vec![]));
        machine.pass(2);
        assert_eq!(keeper.now(&machine, &mut notebook), (at(2), vec![]), "not tried again so soon");
        other.execute_batch("ROLLBACK").unwrap();
        machine.pass(4);
        assert_eq!(keeper.now(&machine, &mut notebook), (at(3606), vec![Noticed::ClockSet]));
    }
}
