//! Half asleep: the time left in digits as large as the screen allows, a few words, one action. Dim, until something rings.

use super::View;
use super::next::{one_action, others_ringing, target_words};
use crate::bench::{Alarm, clock_words};
use crate::fit::clipped;
use crate::tui::{picture, theme::Role};
use ratatui::{
    Frame,
    layout::{Alignment, Rect},
    style::{Modifier, Style},
    text::Line,
};
use tui_big_text::{BigText, PixelSize};

/// The sizes of a digit, the largest first: columns and rows of one.
const SIZES: [(PixelSize, u16, u16); 4] =
    [(PixelSize::Full, 8, 8), (PixelSize::HalfHeight, 8, 4), (PixelSize::Quadrant, 4, 4), (PixelSize::Sextant, 4, 3)];

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let alarm = shown(view);
    let rings = alarm.is_some_and(Alarm::is_sounding);
    let digits = match alarm {
        Some(alarm) => picture::countdown(alarm, view.now),
        None => clock_words(view.now, view.bench.zone()),
    };
    let words = lines(view, alarm);
    let below = u16::try_from(words.len()).unwrap_or(4);
    let chars = u16::try_from(digits.chars().count()).unwrap_or(6);
    let fits = |(_, width, height): &(PixelSize, u16, u16)| chars * width <= area.width && height + below < area.height;
    let (size, width, height) = SIZES.into_iter().find(fits).unwrap_or(SIZES[3]);
    let role = if rings { Role::Alarm } else { Role::Faint };
    // Reversed, digits of blocks would be holes in a slab.
    let style = view.style(role).remove_modifier(Modifier::REVERSED);
    let top = area.y + area.height.saturating_sub(height + below + 1) / 2;
    let left = area.x + area.width.saturating_sub(chars * width) / 2;
    let place = Rect { x: left, y: top, width: chars * width, height }.intersection(area);
    frame
        .render_widget(BigText::builder().pixel_size(size).style(style).lines(vec![Line::from(digits)]).build(), place);
    for ((text, style), y) in words.into_iter().zip(top + height + 1..area.bottom()) {
        let line = Line::styled(clipped(&text, usize::from(area.width)), style).alignment(Alignment::Center);
        frame.render_widget(line, Rect { y, height: 1, ..area });
    }
}

/// What rings, or else what will wake: the rest can wait, and is not shown.
fn shown(view: View<'_>) -> Option<&Alarm> {
    let wakes = || view.bench.alarms().iter().filter(|alarm| alarm.is_open() && alarm.wakes);
    view.bench.sounding().or_else(|| wakes().min_by_key(|alarm| alarm.target())).or_else(|| view.bench.next_alarm())
}

fn lines(view: View<'_>, alarm: Option<&Alarm>) -> Vec<(String, Style)> {
    let faint = view.style(Role::Faint);
    let bench = view.bench;
    let now = clock_words(view.now, bench.zone());
    let warmth = bench.log().readings().last().map(|last| format!(", bench {:.1}", last.celsius)).unwrap_or_default();
    let Some(alarm) = alarm else {
        return vec![("nothing is due: sleep well".to_owned(), faint), (format!("b back{warmth}"), faint)];
    };
    let title = format!("{} · {}", bench.title_of(alarm.id), alarm.words());
    if alarm.is_sounding() {
        let (action, role) = one_action(view, alarm);
        let more = match others_ringing(view) {
            0 => String::new(),
            others => format!("  (and {others} more)"),
        };
        return vec![
            (format!("{title}{more}"), view.style(Role::Alarm)),
            (action, view.style(role)),
            (
                format!("space: I am up, z: 10 min more; {}, now {now}", target_words(view, alarm)),
                view.style(Role::Text),
            ),
        ];
    }
    let message = view.ui.message().map(|(line, _)| (line.to_owned(), faint));
    let told = [(title, faint), (format!("{} · now {now}{warmth}", target_words(view, alarm)), faint)];
    told.into_iter().chain(message).collect()
}
