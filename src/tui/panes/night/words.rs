//! What the night's page says round its chart.

use super::View;
use crate::bench::{BenchPiece, PlannedPour, clock_words};
use crate::night::{Night, NightPlan, NightPour};
use crate::pour::LayerKind;
use crate::report::night::{
    alternative_words, answer_words, cost_words, finish_words, percent_words, pour_line_words, weekday_clock,
    window_words,
};
use crate::tui::theme::Role;
use crate::tui::ui::Change;

/// Beside the heading.
pub(super) fn note(plan: &NightPlan, view: View<'_>, width: u16) -> String {
    let zone = view.bench.zone();
    let done = weekday_clock(plan.finish.likely, zone);
    match width {
        100.. => format!("{} · {}", cost_words(plan), finish_words(&plan.finish, zone)),
        60.. => format!("{} · done {done}", cost_words(plan)),
        _ => format!("{} up · done {done}", plan.wakeups()),
    }
}

/// Over the chart: what has changed, the answer with its reason.
pub(super) fn head(
    night: &Night,
    change: Option<&Change>,
    piece: &BenchPiece,
    view: View<'_>,
    roomy: bool,
) -> Vec<(String, Role)> {
    let zone = view.bench.zone();
    let mut said = Vec::new();
    if let Some(change) = change {
        let role = if change.worse { Role::Warn } else { Role::Focus };
        said.push((format!("! changed: {}: g goes by this, h holds on to the old", change.words), role));
    }
    match &night.now_or_morning {
        Some(answer) => {
            let lines = answer_words(answer, zone);
            let shown = if roomy { lines.len() } else { 1 };
            said.extend(lines.into_iter().take(shown).map(|line| (line, Role::Text)));
        }
        None => {
            said.extend(night.best.first().map(|pour| (format!("next: {}", pour_line_words(pour, zone)), Role::Text)));
        }
    }
    if roomy {
        said.push((going_by(&night.best, piece, view), Role::Faint));
    }
    said
}

/// Whether these are the times that are gone by, else which are.
fn going_by(plan: &NightPlan, piece: &BenchPiece, view: View<'_>) -> String {
    let accepted = piece.planned();
    if accepted.is_empty() {
        return "g goes by these times: alarms then ring for them".to_owned();
    }
    if PlannedPour::of(plan) == accepted {
        return "you go by these times".to_owned();
    }
    let first = plan.first().map_or(0, |first| first.layer);
    let left = accepted.iter().filter(|pour| pour.layer >= first);
    let times: Vec<String> =
        left.map(|pour| format!("{} {}", pour.layer, weekday_clock(pour.at, view.bench.zone()))).collect();
    format!("you go by: {}; below is the newest plan", times.join(", "))
}

/// Under the chart: the hour of waking that is tried, the other ways, what the signs mean.
pub(super) fn foot(night: &Night, view: View<'_>, roomy: bool, tall: bool) -> Vec<(String, Role)> {
    let zone = view.bench.zone();
    let mut said = Vec::new();
    if let Some(waking) = view.ui.night().waking() {
        let (best, window) = (&waking.best.0, &waking.best.1);
        let doses = match waking.range {
            Some((weakest, strongest)) => format!("{:.2} to {:.2} % do", weakest.get(), strongest.get()),
            None => "no dose is sure enough".to_owned(),
        };
        said.push((
            format!(
                "up at {}: layer {} at {}: {doses}; {:.2} % best: {}, not open {}, closed {}",
                weekday_clock(waking.wake, zone),
                waking.layer,
                clock_words(waking.poured, zone),
                best.get(),
                window_words(window, waking.poured, zone),
                percent_words(window.not_open),
                percent_words(window.closed)
            ),
            Role::Focus,
        ));
    }
    if roomy {
        let others = night.alternatives.iter().take(if tall { 3 } else { 0 });
        said.extend(others.map(|other| (format!("or {}", alternative_words(other, zone)), Role::Faint)));
        let any = percent_words(night.best.any_miss());
        said.push((
            format!("◆ pour  ▲ get up  ╌ perhaps open  ━ open  ░ sleep  × busy  ■ done   any missed: {any}"),
            Role::Faint,
        ));
    }
    said
}

/// Before a layer's line: which, when, with what.
pub(super) fn label(pour: &NightPour, view: View<'_>, roomy: bool) -> String {
    let which = match pour.kind {
        LayerKind::Cast => format!("{:>2}", pour.layer),
        LayerKind::Topping => " T".to_owned(),
    };
    let zone = view.bench.zone();
    match pour.dose {
        _ if !roomy => format!("{which} {}", clock_words(pour.at, zone)),
        Some(dose) => format!("{which}  {} {:.2} %", weekday_clock(pour.at, zone), dose.get()),
        None => format!("{which}  {}", weekday_clock(pour.at, zone)),
    }
}
