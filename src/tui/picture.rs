//! What the picture shows of the time, and the next moment at which that changes. Between those moments the program
//! sleeps: a screen that counts minutes is drawn once a minute.

use crate::bench::{Alarm, Bench};
use jiff::{SignedDuration, Timestamp};

/// Under this many seconds a countdown shows seconds.
const SECONDS_SHOWN_UNDER: u64 = 3600;

/// The countdown in big digits: to the alarm, or since it fell due.
pub fn countdown(alarm: &Alarm, now: Timestamp) -> String {
    let left = alarm.target().duration_since(now);
    let sign = if left.is_negative() { "+" } else { "" };
    let seconds = shown_seconds(left);
    let (days, hours, minutes) = (seconds / 86_400, seconds / 3600 % 24, seconds / 60 % 60);
    if seconds < SECONDS_SHOWN_UNDER {
        format!("{sign}{:02}:{:02}", minutes, seconds % 60)
    } else if days > 0 {
        format!("{sign}{days}d {hours}h")
    } else {
        format!("{sign}{hours}h{minutes:02}")
    }
}

/// Whole seconds as shown. A second that has begun counts until it is over, or zero would show a second early.
fn shown_seconds(left: SignedDuration) -> u64 {
    left.as_secs().unsigned_abs() + u64::from(left.subsec_nanos() > 0)
}

/// How long until the countdown for `left` reads differently; more than zero.
fn change_after(left: SignedDuration) -> SignedDuration {
    let shown = shown_seconds(left);
    let unit = if shown < SECONDS_SHOWN_UNDER { 1 } else { 60 };
    // The shown seconds at which the digits change, going down before the alarm and up after it.
    let whole = |seconds: u64| SignedDuration::from_secs(i64::try_from(seconds).unwrap_or(i64::MAX));
    if left.is_positive() {
        let changes_at = (shown / unit * unit).saturating_sub(1);
        left - whole(changes_at)
    } else {
        whole((shown / unit + 1) * unit) + left
    }
}

/// The next moment at which the picture changes by itself, after `now`.
pub fn next_change(bench: &Bench, now: Timestamp) -> Timestamp {
    let minute = next_minute(now);
    let Some(alarm) = bench.next_alarm() else { return minute };
    minute.min(now + change_after(alarm.target().duration_since(now)))
}

fn next_minute(now: Timestamp) -> Timestamp {
    let into = now.as_second().rem_euclid(60);
    let whole = now - SignedDuration::from_nanos(i64::from(now.subsec_nanosecond()));
    whole + SignedDuration::from_secs(60 - into)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{AlarmId, AlarmState, BatchId, Reason, Urgency};
    use crate::material::Stage;
    use proptest::prelude::*;

    fn alarm(due: Timestamp) -> Alarm {
        let id = AlarmId::of(BatchId(1), Stage::Gel);
        Alarm { id, reason: Reason::StageDue, due, urgency: Urgency::Normal, state: AlarmState::Pending, wakes: false }
    }

    fn at(seconds: f64) -> Timestamp {
        Timestamp::UNIX_EPOCH + SignedDuration::from_secs_f64(seconds)
    }

    #[test]
    fn countdowns_read_from_across_the_room() {
        let shown = |left| countdown(&alarm(at(1_000_000.0 + left)), at(1_000_000.0));
        assert_eq!(shown(754.0), "12:34");
        assert_eq!(shown(753.2), "12:34");
        assert_eq!(shown(3599.0), "59:59");
        assert_eq!(shown(3661.0), "1h01");
        assert_eq!(shown(-75.0), "+01:15");
        assert_eq!(shown(100_000.0), "1d 3h");
    }

    #[test]
    fn a_whole_minute_is_a_whole_minute_away() {
        assert_eq!(next_minute(at(120.0)), at(180.0));
        assert_eq!(next_minute(at(150.5)), at(180.0));
    }

    proptest! {
        #[test]
        fn the_countdown_holds_still_between_changes(due in -200_000.0f64..200_000.0, share in 0.0f64..0.98) {
            let bench_alarm = alarm(at(1e6 + due));
            let now = at(1e6);
            let next = now + change_after(bench_alarm.target().duration_since(now));
            prop_assert!(next > now);
            let between = now + SignedDuration::from_secs_f64(next.duration_since(now).as_secs_f64() * share);
            prop_assert_eq!(countdown(&bench_alarm, now), countdown(&bench_alarm, between));
            let days = due.abs() >= 86_400.0;
            prop_assert!(days || countdown(&bench_alarm, now) != countdown(&bench_alarm, next), "woken for nothing");
        }
    }
}
