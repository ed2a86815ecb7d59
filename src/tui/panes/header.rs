//! The top line: date and time, the bench temperature in short, how many clocks run.

use super::View;
use crate::alarm::Doing;
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
    let room = width.saturating_sub(left + 2);
    let told = standing(view, room);
    let used: usize = told.iter().map(Span::width).sum();
    spans.push(Span::raw(" ".repeat(width.saturating_sub(left + used))));
    spans.extend(told);
    frame.render_widget(Line::from(spans), area);
}

/// How the channels are, the failing ones first, and what stands beside them: as much as there is room for.
fn standing(view: View<'_>, room: usize) -> Vec<Span<'_>> {
    let mut channels: Vec<_> = view.ui.channels().iter().collect();
    channels.sort_by_key(|(channel, health)| (std::cmp::Reverse(health.doing), **channel));
    // Where another process sounds, these are not asked.
    let asked = !view.ui.is_standby();
    let channels = channels.into_iter().filter(|_| asked).map(|(channel, health)| match health.doing {
        Doing::Fails => (format!("✗ {channel}"), Role::Warn),
        Doing::Slow => (format!("… {channel}"), Role::Warn),
        Doing::Unknown => (format!("? {channel}"), Role::Faint),
        Doing::Works => (format!("✓ {channel}"), Role::Faint),
    });
    let beside = view.ui.standing().map(|(words, role)| (words.to_owned(), role));
    let (urgent, calm): (Vec<_>, Vec<_>) =
        beside.into_iter().chain(channels).partition(|(_, role)| *role == Role::Warn);
    let mut spans = Vec::new();
    let mut used = 0;
    for (words, role) in urgent.into_iter().chain(calm) {
        let gap = if spans.is_empty() { "" } else { "  " };
        let span = Span::styled(format!("{gap}{words}"), view.style(role));
        if used + span.width() > room {
            break;
        }
        used += span.width();
        spans.push(span);
    }
    spans
}
