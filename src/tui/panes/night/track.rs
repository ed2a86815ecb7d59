//! The cells of each line: temperature, hours, a layer's window and its pour.

use super::scale::Scale;
use super::{View, is_in};
use crate::night::{NightPlan, NightPour};
use crate::tui::theme::Role;
use jiff::Timestamp;

/// Eighths, from cold to warm.
const HEIGHTS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// The temperature's scale never shows less than this, °C.
const LEAST_SPAN_C: f64 = 4.0;

const SLEEP: char = '░';
const BUSY: char = '×';
const SOFT: char = '╌';
const OPEN: char = '━';
const POUR: char = '◆';
const GET_UP: char = '▲';
const DONE: char = '■';
const NOW: char = '│';
const WAKING: char = '┊';

/// The bench's temperature ahead as the plan was made with it.
pub(super) fn temperature(scale: &Scale, view: View<'_>) -> Vec<(char, Role)> {
    let done = view.ui.piece(view.bench).and_then(|(piece, _)| view.ui.night().done(piece.id));
    let Some(done) = done else { return Vec::new() };
    let (curve, from) = (&done.ground.bench.curve, done.ground.from);
    let middle =
        |from_at: Timestamp| from_at.duration_since(from).as_secs_f64() / 3600.0 + scale.minutes as f64 / 120.0;
    let celsius: Vec<f64> = scale.all().map(|(_, at, _)| curve.at(middle(at))).collect();
    let (low, high) = celsius.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), c| (a.min(*c), b.max(*c)));
    let span = (high - low).max(LEAST_SPAN_C);
    let middle_c = f64::midpoint(low, high);
    let mut cells: Vec<(char, Role)> = celsius
        .iter()
        .map(|c| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of eight, cut off")]
            let height = (((c - middle_c) / span + 0.5) * 7.0).round().clamp(0.0, 7.0) as usize;
            (HEIGHTS[height], Role::Temperature)
        })
        .collect();
    write(&mut cells, 0, &format!("{:.0}°", celsius.first().copied().unwrap_or(low)), Role::Text);
    let coldest = celsius.iter().position(|c| *c <= low).unwrap_or(0);
    if coldest > 4 && coldest + 4 < cells.len() {
        write(&mut cells, coldest, &format!("{low:.0}°"), Role::Text);
    }
    cells
}

/// The hours of the clock, the sleep between them, and the line of now.
pub(super) fn hours(scale: &Scale, plan: &NightPlan, view: View<'_>) -> Vec<(char, Role)> {
    let mut cells = vec![(' ', Role::Faint); usize::from(scale.columns)];
    let zone = view.bench.zone();
    let mut free_from = 0;
    for (column, from, until) in scale.all() {
        let (before, after) = [from, until].map(|at| at.to_zoned_datetime(zone.clone())).into();
        let whole_hour = before.minute() == 0 || before.hour() != after.hour();
        let hour = if before.minute() == 0 { before.hour() } else { after.hour() };
        let place = usize::from(column);
        if whole_hour && place >= free_from && place + 2 <= cells.len() {
            write(&mut cells, place, &format!("{hour:02}"), Role::Faint);
            // Hours that stand side by side cannot be told apart.
            free_from = place + 4;
        }
    }
    for (column, from, until) in scale.all() {
        let cell = &mut cells[usize::from(column)];
        if cell.0 == ' ' {
            *cell = ground(plan, from, until);
        }
    }
    if scale.column(view.now).is_some_and(|column| cells[usize::from(column)].0 == ' ') {
        mark(&mut cells, scale, view.now, NOW, Role::Focus);
    }
    cells
}

/// A layer: the window it goes into, its pour, and what lies behind.
pub(super) fn layer(scale: &Scale, plan: &NightPlan, pour: &NightPour, view: View<'_>) -> Vec<(char, Role)> {
    let mut cells: Vec<(char, Role)> = scale.all().map(|(_, from, until)| ground(plan, from, until)).collect();
    if let Some(window) = &pour.window {
        // A window that never closes, or later than the screen shows, is open to the end.
        let soft = (window.opens.early, window.closes.late);
        let firm = (window.opens.late, window.closes.early);
        for (column, from, until) in scale.all() {
            let place = usize::from(column);
            let inside = |(begins, ends): (Option<Timestamp>, Option<Timestamp>)| {
                begins.is_some_and(|begins| begins < until) && ends.is_none_or(|ends| ends > from)
            };
            if inside(firm) {
                cells[place] = (OPEN, Role::Seen);
            } else if inside(soft) {
                cells[place] = (SOFT, Role::Near);
            }
        }
    }
    mark(&mut cells, scale, view.now, NOW, Role::Focus);
    if let Some(waking) = view.ui.night().waking() {
        mark(&mut cells, scale, waking.wake, WAKING, Role::Focus);
    }
    let last = plan.pours.last().is_some_and(|last| last.layer == pour.layer);
    if last {
        mark(&mut cells, scale, plan.finish.likely, DONE, Role::Title);
    }
    let (sign, role) = if pour.wakes { (GET_UP, Role::Warn) } else { (POUR, Role::Title) };
    mark(&mut cells, scale, pour.at, sign, role);
    cells
}

fn ground(plan: &NightPlan, from: Timestamp, until: Timestamp) -> (char, Role) {
    if is_in(&plan.busy, from, until) {
        (BUSY, Role::Faint)
    } else if is_in(&plan.asleep, from, until) {
        (SLEEP, Role::Faint)
    } else {
        (' ', Role::Text)
    }
}

fn mark(cells: &mut [(char, Role)], scale: &Scale, at: Timestamp, sign: char, role: Role) {
    if let Some(cell) = scale.column(at).and_then(|column| cells.get_mut(usize::from(column))) {
        *cell = (sign, role);
    }
}

fn write(cells: &mut [(char, Role)], from: usize, text: &str, role: Role) {
    for (cell, letter) in cells.iter_mut().skip(from).zip(text.chars()) {
        *cell = (letter, role);
    }
}
