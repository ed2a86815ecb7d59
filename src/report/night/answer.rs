//! "Now or in the morning?", what it costs, and the other ways.

use super::times::{percent_words, pour_line_words, weekday_clock, window_words};
use crate::bench::span_words;
use crate::material::Stage;
use crate::night::{Alternative, AlternativeKind, Difference, Finish, NightPlan, NowOrMorning, Verdict, WARMER_C};
use jiff::tz::TimeZone;

/// What it costs: wake-ups and sandings.
pub fn cost_words(plan: &NightPlan) -> String {
    let count = |n: usize, one: &str, many: &str| if n == 1 { format!("one {one}") } else { format!("{n} {many}") };
    let wakeups = match plan.wakeups() {
        0 => "no wake-up".to_owned(),
        n => count(n, "wake-up", "wake-ups"),
    };
    match plan.sandings() {
        0 => wakeups,
        n => format!("{wakeups}, {}", count(n, "layer on a closed window", "layers on closed windows")),
    }
}

/// When it is done.
pub fn finish_words(finish: &Finish, zone: &TimeZone) -> String {
    let what = match finish.stage {
        Some(Stage::Demould) => "out of the mould",
        Some(_) => "cured through",
        None => "poured",
    };
    format!("{what} about {}", weekday_clock(finish.likely, zone))
}

/// The answer and its reason, each a sentence.
pub fn answer_words(answer: &NowOrMorning, zone: &TimeZone) -> Vec<String> {
    let (taken, other) = match answer.verdict {
        Verdict::Now | Verdict::Night => (&answer.now, &answer.morning),
        Verdict::Morning => (&answer.morning, &answer.now),
    };
    let Some(plan) = taken else { return Vec::new() };
    let verdict = match answer.verdict {
        Verdict::Now => "Now, before bed",
        Verdict::Night => "In the night",
        Verdict::Morning => "In the morning",
    };
    let first = plan.first().map(|pour| pour_line_words(pour, zone)).unwrap_or_default();
    let mut said = vec![format!("{verdict}: {first}; {}, {}.", cost_words(plan), finish_words(&plan.finish, zone))];
    said.extend(across_the_night(answer, plan, zone));
    said.push(reason(answer, other.as_ref(), zone));
    said
}

/// What happens with the window that lies over the sleep.
fn across_the_night(answer: &NowOrMorning, plan: &NightPlan, zone: &TimeZone) -> Option<String> {
    if answer.verdict == Verdict::Morning {
        return None;
    }
    let after = plan.pours.iter().position(|pour| pour.at >= answer.sleep.until)?;
    let (before, next) = (plan.pours.get(after.checked_sub(1)?)?, plan.pours.get(after)?);
    let window = next.window?;
    // What sets cold has no window that could close.
    if before.wakes || window.closes.likely.is_none() {
        return None;
    }
    Some(format!(
        "The window of layer {} is open {} and waits for layer {} at {}: the chance that it has closed by then is {}.",
        before.layer,
        window_words(&window, before.at, zone),
        next.layer,
        weekday_clock(next.at, zone),
        percent_words(next.miss())
    ))
}

fn reason(answer: &NowOrMorning, other: Option<&NightPlan>, zone: &TimeZone) -> String {
    let in_the_night = other.and_then(NightPlan::first).is_some_and(|first| first.wakes);
    let the_other = match answer.verdict {
        Verdict::Now | Verdict::Night => "Waiting until morning",
        Verdict::Morning if in_the_night => "Getting up for it in the night",
        Verdict::Morning => "Pouring before bed",
    };
    let Some(other) = other else {
        let why = match answer.verdict {
            Verdict::Now | Verdict::Night if answer.onto => "the window of the layer below may close in the night",
            Verdict::Now | Verdict::Night => "it would not keep the deadline, or an appointment",
            Verdict::Morning => "no window that it opens can be met",
        };
        return format!("{the_other} does not go: {why}.");
    };
    let got_up = other.pours.iter().find(|pour| pour.wakes);
    match answer.compare() {
        Difference::Cost { .. } => {
            let first = if other.wakeups() > 1 { "the first " } else { "" };
            let when = got_up.map(|pour| format!(", {first}at {}", weekday_clock(pour.at, zone))).unwrap_or_default();
            format!("{the_other} costs {}{when}, {}.", cost_words(other), finish_words(&other.finish, zone))
        }
        Difference::Finish { sooner } if sooner.as_mins() >= 5 => {
            format!("{the_other} is done {} later, with {}.", span_words(sooner), cost_words(other))
        }
        Difference::Finish { .. } | Difference::NoChoice => {
            format!("{the_other} costs the same and is done as soon.")
        }
    }
}

/// Another way in one line.
pub fn alternative_words(alternative: &Alternative, zone: &TimeZone) -> String {
    let plan = &alternative.plan;
    let first = plan.pours.iter().find(|pour| pour.wakes);
    let at = first.map(|pour| {
        format!(" ({}at {})", if plan.wakeups() > 1 { "first " } else { "" }, weekday_clock(pour.at, zone))
    });
    let costs = format!("{}{}", cost_words(plan), at.unwrap_or_default());
    let done = finish_words(&plan.finish, zone);
    match alternative.kind {
        AlternativeKind::Sooner => format!("{costs}: {done}"),
        AlternativeKind::ThroughTheNight => format!("as soon as it goes, {costs}: {done}"),
        AlternativeKind::WarmerBench => format!("the bench {WARMER_C:.0} °C warmer, {costs}: {done}"),
        AlternativeKind::WithSanding => format!("windows let pass, {costs}: {done}"),
    }
}
