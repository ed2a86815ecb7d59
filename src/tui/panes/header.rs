//! The top line: date and time, the bench temperature in short, how many clocks run.

use super::View;
use crate::fit::clipped;
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let bench = view.bench;
    let width = usize::from(area.width);
    let zoned = view.now.to_zoned_datetime(bench.zone().clone());
    let clock = zoned.strftime(if width >= 60 { "%a %d %b %Y  %H:%M" } else { "%a %H:%M" }).to_string();
    let running = bench.log().running().count();
    let clocks = match running {
        1 => "1 clock".to_owned(),
        n => format!("{n} clocks"),
    };
    let temperature = match bench.log().readings().last() {
        Some(reading) => format!("bench {:.1}", reading.celsius),
        None => "no reading".to_owned(),
    };
    let mut spans = vec![
        Span::styled("nightpour", view.style(Role::Focus)),
        Span::raw("  "),
        Span::styled(clock, view.style(Role::Title)),
        Span::raw("  "),
        Span::styled(temperature, view.style(Role::Temperature)),
    ];
    if width >= 60 {
        spans.push(Span::styled(format!("  {clocks}"), view.style(Role::Text)));
    }
    let left: usize = spans.iter().map(Span::width).sum();
    let (health, role) = view.ui.health().unwrap_or(("", Role::Faint));
    let room = width.saturating_sub(left + 2);
    let health = if room >= 8 { clipped(health, room) } else { String::new() };
    let gap = width.saturating_sub(left + Span::raw(health.as_str()).width());
    spans.push(Span::raw(" ".repeat(gap)));
    spans.push(Span::styled(health, view.style(role)));
    frame.render_widget(Line::from(spans), area);
}
