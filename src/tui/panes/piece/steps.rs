//! The order of work: every step with its tick, and all that the chosen one says.

use super::View;
use crate::bench::Standing;
use crate::fit::{clipped, hanging, padded};
use crate::pour::{Step, StepId};
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

/// Columns of a step's name.
const NAME: usize = 18;
/// Where what the chosen step says goes on.
const MORE: &str = " PgDn more";
/// From this many columns on a step's line says what to do.
const WORDS_FROM: u16 = 34;

/// How many steps are done.
pub(super) fn done(standing: &Standing) -> String {
    let steps = &standing.plan.steps;
    let done = steps.iter().filter(|step| standing.is_done(step.id)).count();
    format!("{done} of {} done", steps.len())
}

/// The list, the chosen step in sight.
pub(super) fn draw_list(frame: &mut Frame<'_>, area: Rect, view: View<'_>, standing: &Standing) {
    let steps = &standing.plan.steps;
    let chosen = view.ui.step_place(standing);
    let rows = usize::from(area.height);
    let first = chosen.saturating_sub(rows / 2).min(steps.len().saturating_sub(rows));
    for ((place, step), y) in steps.iter().enumerate().skip(first).zip(area.y..area.bottom()) {
        let line = line(view, step, standing.is_done(step.id), place == chosen, area.width);
        frame.render_widget(line, Rect { y, height: 1, ..area });
    }
}

fn line<'a>(view: View<'_>, step: &Step, done: bool, chosen: bool, width: u16) -> Line<'a> {
    let (tick, tick_role) = if done { ("✓ ", Role::Seen) } else { ("· ", Role::Faint) };
    let role = match (chosen, done) {
        (true, _) => Role::Focus,
        (false, true) => Role::Faint,
        (false, false) => Role::Text,
    };
    let room = usize::from(width).saturating_sub(3);
    let name = name(step.id);
    let words = if width >= WORDS_FROM { format!("{} {}", padded(&name, NAME), step.what) } else { name };
    Line::from(vec![
        Span::styled(if chosen { "▸" } else { " " }, view.style(Role::Focus)),
        Span::styled(tick, view.style(tick_role)),
        Span::styled(clipped(&words, room), view.style(role)),
    ])
}

/// A step in few words.
pub(in crate::tui::panes) fn name(id: StepId) -> String {
    match id {
        StepId::WaterTest10 => "water test, 10 min".to_owned(),
        StepId::WaterTest30 => "water test, 30 min".to_owned(),
        StepId::WaterTest120 => "water test, 2 h".to_owned(),
        StepId::Bed(layer) => format!("lay in for {layer}"),
        StepId::Pour(layer) => format!("pour layer {layer}"),
        plain => plain.to_string().replace('-', " "),
    }
}

/// What the chosen step says, its caution and the warnings about its layer, in lines.
pub(super) fn says(view: View<'_>, standing: &Standing, width: usize) -> Vec<(String, Role)> {
    let plan = &standing.plan;
    let Some(step) = plan.steps.get(view.ui.step_place(standing)) else { return Vec::new() };
    let layer = match step.id {
        StepId::Bed(layer) | StepId::Pour(layer) => Some(layer),
        _ => None,
    };
    let of_layer = plan.warnings.iter().filter(|warning| layer.is_some() && warning.layer == layer);
    let warnings = of_layer.map(|warning| (format!("! {}", warning.text), Role::Warn));
    let caution = step.caution.as_ref().map(|caution| (format!("! {caution}"), Role::Warn));
    let all = [(step.what.to_string(), Role::Text)].into_iter().chain(caution).chain(warnings);
    all.flat_map(|(text, role)| hanging("", &text, width).into_iter().map(move |line| (line, role))).collect()
}

/// What the chosen step says, scrolled where it does not fit.
pub(super) fn draw_says(frame: &mut Frame<'_>, area: Rect, view: View<'_>, says: Vec<(String, Role)>) {
    let rows = usize::from(area.height);
    let width = usize::from(area.width);
    let first = view.ui.page_scroll().min(says.len().saturating_sub(rows));
    let more = says.len() > first + rows;
    for (row, (text, role)) in says.into_iter().skip(first).take(rows).enumerate() {
        let cut = more && row + 1 == rows;
        let text = if cut { clipped(&format!("{text} …"), width.saturating_sub(MORE.len())) } else { text };
        let mut spans = vec![Span::styled(text, view.style(role))];
        spans.extend(cut.then(|| Span::styled(MORE, view.style(Role::Focus))));
        let y = area.y + u16::try_from(row).unwrap_or(0);
        frame.render_widget(Line::from(spans), Rect { y, height: 1, ..area });
    }
}
