use super::*;
use crate::bench::HeatBook;
use crate::bench::entry::BatchId;
use crate::bench::testing::{Story, at};
use crate::bench::{BatchForecast, forecast};
use crate::material::Stage;
use crate::units::{Grams, Millimetres};

fn layer(depth_mm: f64) -> Story {
    let mut story = Story::at_20_c();
    story.mix_as(0, "clear-polyester", |mix| mix.depth = Millimetres::new(depth_mm).ok());
    story
}

fn clock(story: &Story, minute: i64) -> BatchForecast {
    let log = story.log();
    let batch = log.batch(BatchId(1)).unwrap();
    forecast(batch, log.readings(), HeatBook::of(&log).get(batch.id), at(minute)).unwrap()
}

fn told(story: &Story, minute: i64) -> Option<(String, bool)> {
    let clock = clock(story, minute);
    heat_words(clock.own_heat.as_ref()?, clock.bench_c, at(minute), &TimeZone::UTC)
}

#[test]
fn a_layer_is_told_of_before_at_and_after_its_peak() {
    let (deep, shallow) = (layer(20.0), layer(6.0));
    let (before, hot) = told(&deep, 0).unwrap();
    assert!(hot && before.starts_with("about ") && before.contains(" °C inside at 21:"), "{before}");
    assert!(before.ends_with(", limit 65 °C"), "{before}");
    let (after, hot) = told(&deep, 90).unwrap();
    assert!(hot && after.contains(" °C inside now, was ") && after.ends_with(", limit 65 °C"), "{after}");
    let (mild, hot) = told(&shallow, 0).unwrap();
    assert!(!hot && !mild.contains("limit"), "{mild}");
    assert_eq!(told(&deep, 24 * 60), None, "as warm as the bench");
}

#[test]
fn a_stage_says_how_far_it_was_moved_and_why() {
    let demould = |story: &Story| correction_words(clock(story, 0).stage(Stage::Demould).unwrap());
    assert!(demould(&layer(20.0)).unwrap().ends_with(" sooner by its own heat"));
    assert!(demould(&layer(4.0)).unwrap().ends_with(" later: it warms itself little"));
    assert_eq!(demould(&layer(10.0)), None);
}

#[test]
fn a_cup_that_gets_too_hot_is_told_of_until_it_is_cool() {
    let mut story = Story::at_20_c();
    story.mix_as(0, "five-minute-epoxy", |mix| mix.resin = Grams::new(60.0).ok());
    let cup = |minute| told(&story, minute).map(|(words, _)| words);
    assert!(cup(0).unwrap().starts_with("left in its cup: too hot to hold at 20:0"));
    assert!(cup(15).unwrap().starts_with("left in its cup: too hot to hold since 20:0"));
    assert_eq!(cup(12 * 60), None);
    let advice = |minute| cup_words(clock(&story, minute).own_heat.as_ref().unwrap(), at(minute));
    assert!(advice(0).unwrap().starts_with("left in it, too hot to hold in about "));
    assert_eq!(advice(15).as_deref(), Some("it may be too hot to hold"));
    assert_eq!(advice(12 * 60), None);
}
