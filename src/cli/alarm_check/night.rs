//! Tonight: what is to ring, and are the thermometers alive?

use super::finding::{Finding, Sign};
use crate::bench::{Bench, Event, Place, day_clock_words, span_words};
use crate::cli::shared::{Desk, Failure};
use crate::sense::{Gatekeeper, Sample, Verdict, read_once};
use crate::settings::{Gate, Settings, Smooth, SourceSettings};
use crate::units::Celsius;

/// The bench as it stands.
pub(super) fn bench(desk: &Desk, settings: &Settings) -> Result<Bench, Failure> {
    let catalogue = desk.shelf().catalogue;
    let mut bench = Bench::new(catalogue, desk.zone.clone(), desk.now).with_rules(settings.rules.clone());
    bench.handle(Event::Entries(desk.entries()?), desk.now);
    Ok(bench)
}

pub(super) fn findings(bench: &Bench, settings: &Settings, desk: &Desk) -> Vec<Finding> {
    let mut findings: Vec<Finding> = settings.sources.iter().map(|source| thermometer(source, bench, desk)).collect();
    if settings.sources.is_empty() {
        findings.push(typed(bench, desk));
    }
    findings.push(first_to_wake(bench, desk));
    findings
}

fn thermometer(source: &SourceSettings, bench: &Bench, desk: &Desk) -> Finding {
    let what = source.name.as_str();
    match read_once(source) {
        Some(Ok(sample)) => match judged(source, sample, bench, desk) {
            Verdict::Refused(why) => {
                Finding::new(what, Sign::Bad, why.as_str(), "if it is right, it is believed once three readings agree")
            }
            Verdict::Write(_) | Verdict::Known => {
                Finding::new(what, Sign::Good, &format!("reads {:.1}", sample.celsius), "")
            }
        },
        Some(Err(why)) => Finding::new(what, Sign::Bad, why.as_str(), "look at the thermometer and at its [[source]]"),
        None => {
            let last = bench.log().readings().last_of(Place::of(&source.name));
            let silent = jiff::SignedDuration::try_from(source.silent_after).unwrap_or(jiff::SignedDuration::MAX);
            match last.map(|last| (last, desk.now.duration_since(last.at))) {
                Some((last, since)) if since <= silent => Finding::new(
                    what,
                    Sign::Good,
                    &format!("last said {:.1}, {} ago", last.celsius, span_words(since)),
                    "",
                ),
                Some((_, since)) => {
                    let words = format!("has said nothing for {}", span_words(since));
                    Finding::new(what, Sign::Bad, &words, "look at the thermometer and at the broker")
                }
                None => {
                    Finding::new(what, Sign::Bad, "has said nothing yet", "look at the thermometer and at the broker")
                }
            }
        }
    }
}

/// A sample held against the last one that was written down, as the watch does it.
fn judged(source: &SourceSettings, sample: Sample, bench: &Bench, desk: &Desk) -> Verdict {
    let mut gate = Gatekeeper::new(Gate { smooth: Smooth::Not, ..source.gate });
    if let Some(last) =
        bench.log().readings().last_of(Place::of(&source.name)).filter(|last| last.source == source.name)
        && let Ok(celsius) = Celsius::new(last.celsius.get() - source.gate.add_c)
    {
        gate.judge(Sample { celsius, humidity: None }, last.at);
    }
    gate.judge(sample, desk.now)
}

fn typed(bench: &Bench, desk: &Desk) -> Finding {
    let readings = bench.log().readings();
    match readings.last() {
        Some(last) if readings.outlook(last.at, desk.now).is_silent() => {
            let words = format!("last entered {} ago: the clocks guess", span_words(desk.now.duration_since(last.at)));
            Finding::new("bench", Sign::Bad, &words, "enter one now ('nightpour temp C')")
        }
        Some(last) => Finding::new("bench", Sign::Good, &format!("{:.1}, by '{}'", last.celsius, last.source), ""),
        None => Finding::new("bench", Sign::Bad, "no temperature was ever entered", "enter one ('nightpour temp C')"),
    }
}

fn first_to_wake(bench: &Bench, desk: &Desk) -> Finding {
    let open = || bench.alarms().iter().filter(|alarm| alarm.is_open() && alarm.wakes);
    let Some(first) = open().min_by_key(|alarm| alarm.target()) else {
        return Finding::new("alarms", Sign::Unsure, "nothing is to wake you tonight", "");
    };
    let words = format!(
        "{}: {} at {}; {} in all that may wake you",
        bench.title_of(first.id),
        first.words(),
        day_clock_words(first.target(), desk.now, bench.zone()),
        open().count()
    );
    Finding::new("alarms", Sign::Good, &words, "")
}
