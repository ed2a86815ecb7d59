use super::*;
use crate::bench::testing::{Story, at, material, recalled};
use crate::bench::{Entry, Seen, Trust};
use crate::units::Hours;

fn gathered(story: &Story) -> Gathered {
    let log = story.log();
    let heat = HeatBook::of_batches(&log, log.batches());
    gather(&log, &heat, &material("clear-polyester"), None)
}

fn minutes(hours: Option<f64>) -> Option<f64> {
    hours.map(|hours| (hours * 600.0).round() / 10.0)
}

fn span(logged: &Logged) -> (Stage, Option<f64>, Option<f64>) {
    (logged.look.stage, minutes(logged.look.after_h), minutes(logged.look.by_h))
}

#[test]
fn looks_of_one_stage_are_one_span() {
    let mut story = Story::at_20_c();
    let batch = story.mix(0, "clear-polyester");
    story.see(20, batch, Stage::Gel, Seen::NotYet { at: at(20) });
    story.see(27, batch, Stage::Gel, Seen::NotYet { at: at(27) });
    story.see(40, batch, Stage::Gel, Seen::By { by: at(40) });
    story.see(90, batch, Stage::Gel, Seen::By { by: at(90) });
    let all = gathered(&story);
    assert_eq!(all.looks.iter().map(span).collect::<Vec<_>>(), [(Stage::Gel, Some(27.0), Some(40.0))]);
    assert_eq!((all.looks[0].entries.len(), all.batches(), all.set_aside.len()), (4, 1, 0));
}

#[test]
fn a_watched_moment_is_as_good_as_its_reading_error() {
    let mut story = Story::at_20_c();
    let batch = story.mix(0, "clear-polyester");
    story.see(30, batch, Stage::Gel, Seen::At { at: at(30) });
    let opens = Stage::NextLayerOpens;
    let within = Hours::new(5.0 / 60.0).ok();
    story.write(
        55,
        Entry::Observed { batch, stage: opens, seen: Seen::At { at: at(55) }, test: None, trust: Trust::Guess, within },
    );
    let all = gathered(&story);
    let spans: Vec<_> = all.looks.iter().map(span).collect();
    assert_eq!(spans, [(Stage::Gel, Some(28.0), Some(32.0)), (opens, Some(50.0), Some(60.0))]);
    assert_eq!(all.looks.iter().map(|logged| logged.look.guessed).collect::<Vec<_>>(), [false, true]);
}

#[test]
fn a_later_stage_closes_the_span_of_an_earlier_one() {
    let mut story = Story::at_20_c();
    let batch = story.mix(0, "clear-polyester");
    story.see(20, batch, Stage::Gel, Seen::NotYet { at: at(20) });
    story.see(420, batch, Stage::Demould, Seen::By { by: at(420) });
    let spans: Vec<_> = gathered(&story).looks.iter().map(span).collect();
    assert_eq!(spans, [(Stage::Gel, Some(20.0), Some(420.0)), (Stage::Demould, Some(20.0), Some(420.0))]);
}

#[test]
fn what_contradicts_is_set_aside_on_both_sides() {
    let mut story = Story::at_20_c();
    let batch = story.mix(0, "clear-polyester");
    let there = story.see(25, batch, Stage::Gel, Seen::By { by: at(25) });
    let denied = story.see(35, batch, Stage::Gel, Seen::NotYet { at: at(35) });
    story.see(50, batch, Stage::Gel, Seen::By { by: at(50) });
    let all = gathered(&story);
    assert_eq!(all.looks.iter().map(span).collect::<Vec<_>>(), [(Stage::Gel, None, Some(50.0))]);
    let aside: Vec<_> = all.set_aside.iter().map(|aside| aside.entries[0]).collect();
    assert_eq!(aside, [there, denied]);
    assert_eq!(all.set_aside[0].why, Why::Contradicts { there: (Stage::Gel, at(25)), not_yet: (Stage::Gel, at(35)) });
    // What is out of its mould has gelled.
    let mut story = Story::at_20_c();
    let batch = story.mix(0, "clear-polyester");
    story.see(60, batch, Stage::Demould, Seen::By { by: at(60) });
    story.see(70, batch, Stage::Gel, Seen::NotYet { at: at(70) });
    let all = gathered(&story);
    assert_eq!((all.looks.len(), all.set_aside.len()), (0, 2));
}

#[test]
fn without_a_reading_near_it_nothing_is_learned() {
    let mut story = Story::new();
    story.read(-60 * 24, 20.0);
    let batch = story.mix(0, "clear-polyester");
    story.see(30, batch, Stage::Gel, Seen::At { at: at(30) });
    let all = gathered(&story);
    assert_eq!((all.looks.len(), all.set_aside[0].why), (0, Why::NotMeasured));
    story.read(200, 19.0);
    assert_eq!(gathered(&story).looks.len(), 1);
}

#[test]
fn what_is_remembered_counts_and_what_was_not_known_yet_does_not() {
    let mut story = Story::at_20_c();
    story.write(0, Entry::Recalled(recalled()));
    let batch = story.mix(5, "clear-polyester");
    story.see(60, batch, Stage::Gel, Seen::By { by: at(40) });
    let all = gathered(&story);
    assert_eq!((all.batches(), all.remembered()), (1, 1));
    assert_eq!(span(&all.looks[1]), (Stage::Gel, Some(36.0), Some(48.0)));
    let log = story.log();
    // When it was told does not matter.
    let before =
        |minute| gather(&log, &HeatBook::default(), &material("clear-polyester"), Some(at(minute))).looks.len();
    assert_eq!((before(41), before(40), before(0)), (2, 1, 1));
}

#[test]
fn a_remembered_moment_is_as_good_as_its_reading_error() {
    let mut story = Story::at_20_c();
    let by_h = Hours::new(0.5).ok();
    story.write(0, Entry::Recalled(crate::bench::Recalled { after_h: by_h, by_h, ..recalled() }));
    assert_eq!(span(&gathered(&story).looks[0]), (Stage::Gel, Some(28.0), Some(32.0)));
}
