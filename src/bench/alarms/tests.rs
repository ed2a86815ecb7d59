//! Alarms along invented nights.

use super::book::{AlarmBook, Bearing, Sound};
use super::*;
use crate::bench::entry::{BatchId, Entry, Seen};
use crate::bench::forecast::forecast;
use crate::bench::log::Log;
use crate::bench::place::Place;
use crate::bench::rules::{AlarmRules, AtNight, QuietHours, StageRule};
use crate::bench::testing::{Story, at, at_second};
use jiff::civil::time;
use jiff::tz::TimeZone;
use std::collections::BTreeSet;

/// Polyester of common practice at its own 20 °C, mixed at minute 0: gel likely at 30 min, next layer at 55 min.
fn layer() -> Story {
    let mut story = Story::at_20_c();
    story.mix(0, "clear-polyester");
    story
}

fn alarm(stage: Stage) -> AlarmId {
    AlarmId::of(BatchId(1), stage)
}

fn refresh(book: &mut AlarmBook, log: &Log, now: Timestamp) -> Vec<Sound> {
    refresh_by(&AlarmRules::default(), book, log, now)
}

fn refresh_by(rules: &AlarmRules, book: &mut AlarmBook, log: &Log, now: Timestamp) -> Vec<Sound> {
    let forecasts = log.running().filter_map(|b| Some((b.id, forecast(b, log.readings(), None, now)?))).collect();
    let (unawaited, zone) = (BTreeSet::new(), TimeZone::UTC);
    let planned = std::collections::BTreeMap::new();
    book.refresh(
        &Bearing { log, forecasts: &forecasts, unawaited: &unawaited, planned: &planned, rules, zone: &zone },
        now,
    )
}

fn state(book: &AlarmBook, id: AlarmId) -> Option<AlarmState> {
    book.alarms().iter().find(|a| a.id == id).map(|a| a.state)
}

/// How often the alarm of `stage` rings when the book is looked at every second of `minutes`.
fn rings(log: &Log, stage: Stage, minutes: std::ops::RangeInclusive<i64>) -> Vec<i64> {
    let mut book = AlarmBook::new(at(*minutes.start()));
    let mut heard = Vec::new();
    for second in minutes.start() * 60..=minutes.end() * 60 {
        let sounds = refresh(&mut book, log, at_second(second));
        let rang = sounds.iter().any(|s| matches!(s, Sound::Ring { alarm, .. } if alarm.stage() == Some(stage)));
        heard.extend(rang.then_some(second));
    }
    heard
}

#[test]
fn the_more_urgent_rings_the_more_often() {
    let log = layer().log();
    assert_eq!(rings(&log, Stage::Gel, 29..=35), [1800, 1920, 2040]);
    assert_eq!(rings(&log, Stage::NextLayerOpens, 54..=57), [3300, 3360, 3420]);
}

#[test]
fn what_fell_due_before_anybody_listened_was_missed() {
    let log = layer().log();
    let mut book = AlarmBook::new(at(40));
    refresh(&mut book, &log, at(40));
    let state = |book: &AlarmBook, stage| book.alarms().iter().find(|a| a.id.stage() == Some(stage)).map(|a| a.state);
    assert_eq!(state(&book, Stage::Gel), Some(AlarmState::Sounding { missed: true }));
    refresh(&mut book, &log, at(55));
    assert_eq!(state(&book, Stage::NextLayerOpens), Some(AlarmState::Sounding { missed: false }));
}

#[test]
fn a_shut_lid_counts_as_not_listening() {
    let log = layer().log();
    let gel = |expected: i64, woken: i64| {
        let mut book = AlarmBook::new(at(20));
        refresh(&mut book, &log, at(20));
        book.woken(at(expected), at(woken));
        refresh(&mut book, &log, at(woken));
        book.alarms().iter().find(|a| a.id.stage() == Some(Stage::Gel)).map(|a| a.state)
    };
    assert_eq!(gel(21, 29), Some(AlarmState::Pending));
    assert_eq!(gel(20, 30), Some(AlarmState::Sounding { missed: false }), "just in time");
    assert_eq!(gel(25, 34), Some(AlarmState::Sounding { missed: false }), "a busy machine may be late");
    assert_eq!(gel(21, 34), Some(AlarmState::Sounding { missed: true }));
}

#[test]
fn a_clock_set_back_does_not_silence_what_rings() {
    let log = layer().log();
    let mut book = AlarmBook::new(at(0));
    let ring = |count| Sound::Ring { alarm: alarm(Stage::Gel), count };
    let gel = |sounds: Vec<Sound>| {
        let about = |s: &Sound| match s {
            Sound::Ring { alarm, .. } | Sound::Hush(alarm) => alarm.stage() == Some(Stage::Gel),
        };
        sounds.into_iter().filter(about).collect::<Vec<_>>()
    };
    assert_eq!(gel(refresh(&mut book, &log, at(30))), [ring(1)]);
    assert_eq!(gel(refresh(&mut book, &log, at(-29))), [ring(2)], "an hour less a minute back");
    assert_eq!(gel(refresh(&mut book, &log, at(-28))), []);
    assert_eq!(gel(refresh(&mut book, &log, at(-27))), [ring(3)]);
}

#[test]
fn a_forecast_that_wavers_does_not_make_it_stutter() {
    let mut story = layer();
    let mut book = AlarmBook::new(at(0));
    refresh(&mut book, &story.log(), at(30));
    // 30 min at 20 °C were enough; 0.4 °C less over half the time lets 0.2 min be missing, 8 °C less 6 min.
    story.read(29, 19.6);
    assert_eq!(refresh(&mut book, &story.log(), at(30)), []);
    // A mistaken 14 °C, where the clock still runs, moves it well away.
    story.read(20, 14.0);
    let hushed = refresh(&mut book, &story.log(), at(30));
    assert!(hushed.contains(&Sound::Hush(alarm(Stage::Gel))), "{hushed:?}");
}

#[test]
fn a_clock_that_stands_rings_once_for_all_its_stages_and_lets_them_ring_when_it_runs() {
    let mut story = layer();
    let mut book = AlarmBook::new(at(0));
    refresh(&mut book, &story.log(), at(9));
    story.read(9, 20.0);
    story.read(10, 6.0);
    // From 20 to 6 °C in a minute: the floor of 13 °C is passed half-way.
    refresh(&mut book, &story.log(), at(10));
    let standing: Vec<Alarm> = book.alarms().iter().filter(|a| a.reason == Reason::ClockStands).copied().collect();
    assert_eq!(standing.len(), 1);
    assert_eq!((standing[0].due, standing[0].urgency), (at_second(570), Urgency::Critical));
    assert_eq!(standing[0].state, AlarmState::Sounding { missed: false });
    story.write(11, Entry::Acknowledged { alarm: standing[0].id });
    refresh(&mut book, &story.log(), at(11));
    assert!(book.alarms().iter().all(|a| !matches!(a.state, AlarmState::Sounding { .. })), "{:?}", book.alarms());
    // Warm again: what was acknowledged is not the stage, which is still to come.
    story.read(60, 20.0);
    refresh(&mut book, &story.log(), at(60));
    assert!(book.alarms().iter().all(|a| a.reason == Reason::StageDue));
    let pot = book.alarms().iter().find(|a| a.id == standing[0].id);
    assert!(pot.is_some_and(|a| !matches!(a.state, AlarmState::Acknowledged { .. })), "{pot:?}");
}

#[test]
fn taking_an_answer_back_does_not_bring_an_older_one_to_life() {
    let mut story = layer();
    story.write(1, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
    let second = story.write(2, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
    let mut book = AlarmBook::new(at(0));
    let rings = |sounds: Vec<Sound>| sounds.contains(&Sound::Ring { alarm: alarm(Stage::Gel), count: 1 });
    assert!(rings(refresh(&mut book, &story.log(), at(30))), "both came long before it was due");
    story.undo(30, second);
    refresh(&mut book, &story.log(), at(30));
    let gel = book.alarms().iter().find(|a| a.id.stage() == Some(Stage::Gel)).map(|a| a.state);
    assert_eq!(gel, Some(AlarmState::Sounding { missed: false }));
}

#[test]
fn an_answer_given_before_the_alarm_moved_away_does_not_count_for_it() {
    let mut story = layer();
    story.write(30, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
    assert_eq!(rings(&story.log(), Stage::Gel, 30..=60), Vec::<i64>::new());
    // Much colder than thought since minute 20: the gel is far off again, and rings when it comes.
    story.read(19, 20.0);
    story.read(20, 14.0);
    assert_ne!(rings(&story.log(), Stage::Gel, 31..=90), Vec::<i64>::new());
}

#[test]
fn a_snoozed_alarm_waits_for_its_time_and_an_acknowledged_one_for_nothing() {
    let mut story = layer();
    story.write(31, Entry::Snoozed { alarm: alarm(Stage::Gel), until: at(40) });
    let snoozed = story.log();
    let mut book = AlarmBook::new(at(0));
    refresh(&mut book, &snoozed, at(31));
    assert!(book.alarms().iter().any(|a| a.state == AlarmState::Snoozed { until: at(40) }));
    assert_eq!(rings(&snoozed, Stage::Gel, 31..=41), [2400]);
    let mut opened_later = AlarmBook::new(at(35));
    refresh(&mut opened_later, &snoozed, at(40));
    let heard = opened_later.alarms().iter().find(|a| a.id == alarm(Stage::Gel)).map(|a| a.state);
    assert_eq!(heard, Some(AlarmState::Sounding { missed: false }), "it had been heard, and answered");
    story.write(32, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
    assert_eq!(rings(&story.log(), Stage::Gel, 31..=120), Vec::<i64>::new());
    story.see(33, BatchId(1), Stage::Gel, Seen::NotYet { at: at(33) });
    assert_ne!(rings(&story.log(), Stage::Gel, 31..=60), Vec::<i64>::new(), "not yet asks again");
}

#[test]
fn the_first_alarm_is_the_one_to_see_to() {
    let log = layer().log();
    let mut book = AlarmBook::new(at(0));
    refresh(&mut book, &log, at(56));
    let first: Vec<Stage> = book.alarms().iter().filter_map(|a| a.id.stage()).collect();
    // The open layer is urgent; the gel rings too, and last the cup that has set; then what is still to come.
    assert_eq!(first[..4], [Stage::NextLayerOpens, Stage::Gel, Stage::PotLife, Stage::NextLayerCloses]);
}

const NIGHT: QuietHours = QuietHours { from: time(22, 0, 0, 0), until: time(6, 0, 0, 0) };

fn night_rules() -> AlarmRules {
    AlarmRules { quiet: Some(NIGHT), ..AlarmRules::default() }
}

#[test]
fn a_word_comes_ahead_once_and_ends_when_it_is_due() {
    let log = layer().log();
    let rules = AlarmRules { lead: SignedDuration::from_mins(15), ..AlarmRules::default() };
    let opens = alarm(Stage::NextLayerOpens);
    let ahead = opens.at_phase(Phase::Ahead);
    let mut book = AlarmBook::new(at(0));
    let mut heard = Vec::new();
    for minute in 0..=57 {
        for sound in refresh_by(&rules, &mut book, &log, at(minute)) {
            match sound {
                Sound::Ring { alarm, .. } | Sound::Hush(alarm) if alarm == opens || alarm == ahead => {
                    heard.push((minute, sound));
                }
                _ => {}
            }
        }
    }
    let ring = |alarm, count| Sound::Ring { alarm, count };
    let expected = [
        (40, ring(ahead, 1)),
        (55, Sound::Hush(ahead)),
        (55, ring(opens, 1)),
        (56, ring(opens, 2)),
        (57, ring(opens, 3)),
    ];
    assert_eq!(heard, expected);
}

#[test]
fn acknowledging_the_word_ahead_leaves_the_alarm_itself_alone() {
    let mut story = layer();
    let rules = AlarmRules { lead: SignedDuration::from_mins(15), ..AlarmRules::default() };
    let opens = alarm(Stage::NextLayerOpens);
    let ahead = opens.at_phase(Phase::Ahead);
    // Two minutes before it is due: an answer to the alarm itself would count.
    story.write(53, Entry::Acknowledged { alarm: ahead });
    let mut book = AlarmBook::new(at(52));
    assert_eq!(
        refresh_by(&rules, &mut book, &story.log(), at(53))
            .iter()
            .filter(|s| matches!(s, Sound::Ring { alarm, .. } if alarm.is_next_layer()))
            .count(),
        0
    );
    let sounds = refresh_by(&rules, &mut book, &story.log(), at(55));
    assert!(sounds.contains(&Sound::Ring { alarm: opens, count: 1 }), "{sounds:?}");
}

#[test]
fn at_night_only_what_must_wakes_and_the_rest_rings_in_the_morning() {
    // Gel at 30 min, 22:10; the next layer at 22:35; the quiet hours from 22:00 on.
    let mut story = Story::at_20_c();
    let batch = story.mix(100, "clear-polyester");
    let log = story.log();
    let rules = night_rules();
    let gel = AlarmId::of(batch, Stage::Gel);
    let mut book = AlarmBook::new(at(100));
    let sounds = refresh_by(&rules, &mut book, &log, at(131));
    assert_eq!(state(&book, gel), Some(AlarmState::Resting { until: at(600) }));
    assert!(!sounds.iter().any(|s| matches!(s, Sound::Ring { alarm, .. } if *alarm == gel)), "{sounds:?}");
    let sounds = refresh_by(&rules, &mut book, &log, at(156));
    assert!(sounds.contains(&Sound::Ring { alarm: AlarmId::of(batch, Stage::NextLayerOpens), count: 1 }));
    let sounds = refresh_by(&rules, &mut book, &log, at(600));
    assert!(sounds.contains(&Sound::Ring { alarm: gel, count: 1 }), "{sounds:?}");
    let wake = StageRule { material: None, stage: Stage::Gel, at_night: Some(AtNight::Wake), lead: None };
    let rules = AlarmRules { stages: vec![wake], ..night_rules() };
    let mut book = AlarmBook::new(at(100));
    let sounds = refresh_by(&rules, &mut book, &log, at(131));
    assert!(sounds.contains(&Sound::Ring { alarm: gel, count: 1 }), "{sounds:?}");
}

#[test]
fn what_rings_when_the_quiet_hours_begin_falls_silent_until_they_are_over() {
    let mut story = Story::at_20_c();
    let batch = story.mix(85, "clear-polyester");
    let log = story.log();
    let gel = AlarmId::of(batch, Stage::Gel);
    let mut book = AlarmBook::new(at(85));
    assert!(refresh_by(&night_rules(), &mut book, &log, at(116)).contains(&Sound::Ring { alarm: gel, count: 1 }));
    assert!(refresh_by(&night_rules(), &mut book, &log, at(121)).contains(&Sound::Hush(gel)));
    assert_eq!(state(&book, gel), Some(AlarmState::Resting { until: at(600) }));
}

#[test]
fn a_window_that_somebody_let_pass_is_told_as_missed() {
    let mut story = layer();
    let closes = alarm(Stage::NextLayerCloses);
    let missed = closes.at_phase(Phase::Missed);
    let likely = forecast(story.log().batch(BatchId(1)).unwrap(), story.log().readings(), None, at(0))
        .unwrap()
        .stage(Stage::NextLayerCloses)
        .unwrap()
        .band;
    let (early, likely) = (likely.early.unwrap(), likely.likely.unwrap());
    let mut book = AlarmBook::new(at(0));
    refresh(&mut book, &story.log(), early);
    assert_eq!(state(&book, missed), None, "the closing itself still rings");
    story.write_at(early, Entry::Acknowledged { alarm: closes });
    refresh(&mut book, &story.log(), early);
    assert_eq!(state(&book, missed), Some(AlarmState::Pending));
    let sounds = refresh(&mut book, &story.log(), likely);
    assert!(sounds.contains(&Sound::Ring { alarm: missed, count: 1 }), "{sounds:?}");
    // Who answers only then has read that it is over.
    let mut late = layer();
    late.write_at(likely, Entry::Acknowledged { alarm: closes });
    let mut book = AlarmBook::new(at(0));
    refresh(&mut book, &late.log(), likely);
    assert_eq!(state(&book, missed), None);
}

#[test]
fn a_source_that_falls_silent_rings_and_a_reading_hushes_it() {
    let mut story = layer();
    let silent = AlarmId::Silence { silent: Place::Bench };
    let after = SignedDuration::from_mins(20);
    let rules = AlarmRules { silent_after: [(Place::Bench, after)].into(), ..AlarmRules::default() };
    story.read(10, 20.0);
    let mut book = AlarmBook::new(at(0));
    refresh_by(&rules, &mut book, &story.log(), at(29));
    assert_eq!(state(&book, silent), None);
    let sounds = refresh_by(&rules, &mut book, &story.log(), at(30));
    assert!(sounds.contains(&Sound::Ring { alarm: silent, count: 1 }), "{sounds:?}");
    story.write(31, Entry::Acknowledged { alarm: silent });
    assert!(refresh_by(&rules, &mut book, &story.log(), at(31)).contains(&Sound::Hush(silent)));
    story.read(32, 20.0);
    refresh_by(&rules, &mut book, &story.log(), at(51));
    assert_eq!(state(&book, silent), None);
    let sounds = refresh_by(&rules, &mut book, &story.log(), at(52));
    assert!(sounds.contains(&Sound::Ring { alarm: silent, count: 1 }), "silent once more: {sounds:?}");
    // Just opened, or just woken: the source has not had its turn yet.
    let mut book = AlarmBook::new(at(100));
    refresh_by(&rules, &mut book, &story.log(), at(119));
    assert_eq!(state(&book, silent), None);
    refresh_by(&rules, &mut book, &story.log(), at(120));
    assert!(matches!(state(&book, silent), Some(AlarmState::Sounding { .. })));
    // Answered, it stays so for who opens the bench, or wakes, after that.
    story.write(121, Entry::Acknowledged { alarm: silent });
    let mut book = AlarmBook::new(at(130));
    refresh_by(&rules, &mut book, &story.log(), at(160));
    assert!(matches!(state(&book, silent), Some(AlarmState::Acknowledged { .. })));
}
