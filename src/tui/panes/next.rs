//! The next action: its countdown in big digits, what to do, and with which weights. Read from three metres.

use super::View;
use super::piece::step_name;
use super::rule::cut;
use crate::bench::{
    Alarm, AlarmState, Batch, Reason, StageForecast, action, correction_words, day_clock_words, pour_words,
    pour_words_brief, span_words,
};
use crate::fit::{clipped, hanging};
use crate::material::Stage;
use crate::pour::StepId;
use crate::tui::{picture, theme::Role};
use ratatui::{
    Frame,
    layout::{Constraint, Layout, Rect},
    style::Style,
    text::{Line, Span},
    widgets::{Paragraph, Wrap},
};
use tui_big_text::{BigText, PixelSize};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let Some(alarm) = view.bench.next_alarm().copied() else {
        draw_nothing(frame, area, view);
        return;
    };
    let digits = picture::countdown(&alarm, view.now);
    let sounding = alarm.is_sounding();
    let style = view.style(if sounding { Role::Alarm } else { Role::Focus });
    let chars = u16::try_from(digits.chars().count()).unwrap_or(6);
    // Full pixels where eight rows and half the width are free, quarter cells otherwise.
    let (size, cell, rows) =
        if area.height >= 9 && area.width >= 100 { (PixelSize::Full, 8, 8) } else { (PixelSize::Quadrant, 4, 4) };
    let words_below = u16::from(area.width < 60);
    let upper = Rect { height: area.height - words_below, ..area };
    let [left, _, right] =
        Layout::horizontal([Constraint::Length(chars * cell), Constraint::Length(2), Constraint::Min(10)]).areas(upper);
    let text = BigText::builder().pixel_size(size).style(digit_style(style)).lines(vec![Line::from(digits)]).build();
    let top = (upper.height.saturating_sub(rows)) / 2;
    frame.render_widget(text, Rect { y: left.y + top, height: rows.min(left.height - top), ..left });
    if words_below == 1 {
        draw_short_words(frame, right, view, &alarm, style);
        let place = Rect { y: area.bottom() - 1, height: 1, ..area };
        let (words, role) = one_action_in(view, &alarm, area.width);
        let words = clipped(&words, usize::from(area.width));
        frame.render_widget(Line::styled(words, view.style(role)), place);
    } else {
        draw_words(frame, right, view, &alarm, style);
    }
}

/// What to do, in one line.
pub(super) fn one_action(view: View<'_>, alarm: &Alarm) -> (String, Role) {
    one_action_in(view, alarm, u16::MAX)
}

/// For a layer the heading says what to do, and the scale needs the weights.
fn one_action_in(view: View<'_>, alarm: &Alarm, width: u16) -> (String, Role) {
    let weights = batch_of(view, alarm).and_then(|batch| weights(view, alarm, batch, width));
    weights.map_or_else(|| (next_action(view, alarm), Role::Text), |weights| (weights, Role::Focus))
}

/// When it rings, in few words.
pub(super) fn target_words(view: View<'_>, alarm: &Alarm) -> String {
    format!("{} {}", sign_of(alarm), day_clock_words(alarm.target(), view.now, view.bench.zone()))
}

/// Beside the digits of a narrow screen: whose stage, which, and when, each on as many lines as it needs.
fn draw_short_words(frame: &mut Frame<'_>, area: Rect, view: View<'_>, alarm: &Alarm, style: Style) {
    let title = view.bench.title_of(alarm.id);
    let others = others_ringing(view);
    let more = if others > 0 { format!(" +{others}") } else { String::new() };
    let due = format!("{} {}{more}", sign_of(alarm), day_clock_words(alarm.target(), view.now, view.bench.zone()));
    let mut lines = vec![
        Line::styled(clipped(title, usize::from(area.width)), view.style(Role::Title)),
        Line::styled(alarm.words(), style),
        Line::styled(due, view.style(Role::Text)),
    ];
    let plain = stage_of(view, alarm).and_then(|stage| plain_words(view, stage));
    lines.extend(plain.map(|plain| Line::styled(plain, view.style(Role::Faint))));
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), area);
}

/// How many alarms ring beside the one shown.
pub(super) fn others_ringing(view: View<'_>) -> usize {
    view.bench.alarms().iter().filter(|a| a.is_sounding()).count().saturating_sub(1)
}

fn sign_of(alarm: &Alarm) -> &'static str {
    match alarm.state {
        AlarmState::Sounding { missed: true } => "▲ missed",
        AlarmState::Sounding { missed: false } => "▲ due",
        AlarmState::Snoozed { .. } => "snoozed to",
        AlarmState::Resting { .. } => "rests to",
        AlarmState::Pending | AlarmState::Acknowledged { .. } => "at",
    }
}

fn next_action(view: View<'_>, alarm: &Alarm) -> String {
    let Some(id) = alarm.id.batch() else { return "look at the thermometer, enter a reading by hand".to_owned() };
    let found = view.bench.running().find(|(batch, _)| batch.id == id);
    let lay_in = view.bench.lay_in_before(id).map(|items| format!("lay in {items} first"));
    found.and_then(|(batch, f)| Some(action(alarm, batch, f?, view.now, lay_in.as_deref()))).unwrap_or_default()
}

/// Big digits are drawn with blocks: reversed they would be holes in a slab.
fn digit_style(style: Style) -> Style {
    style.remove_modifier(ratatui::style::Modifier::REVERSED)
}

fn draw_words(frame: &mut Frame<'_>, area: Rect, view: View<'_>, alarm: &Alarm, style: Style) {
    let bench = view.bench;
    let width = usize::from(area.width);
    let sign = if alarm.is_sounding() { "▲ " } else { "" };
    let others = others_ringing(view);
    let more = if others > 0 { format!("  (and {others} more ring)") } else { String::new() };
    let soon = if bench.is_announced(alarm.id) { ": soon, get ready" } else { "" };
    let mut lines = vec![
        Line::styled(clipped(&format!("{sign}{}{more}", bench.title_of(alarm.id)), width), style),
        Line::styled(clipped(&format!("{}{soon}", alarm.words()), width), view.style(Role::Title)),
        Line::styled(
            clipped(&sourced(view, alarm, corrected(view, alarm, when(view, alarm), width), width), width),
            view.style(Role::Text),
        ),
    ];
    // The weights first: they are what is needed at the scale, and the test may run over several lines.
    if let Some(weights) = batch_of(view, alarm).and_then(|batch| weights(view, alarm, batch, area.width)) {
        lines.push(Line::styled(clipped(&weights, width), view.style(Role::Focus)));
    }
    lines.push(Line::styled(next_action(view, alarm), view.style(Role::Text)));
    if area.height >= 8
        && let Some(then) = then(view, alarm)
    {
        lines.push(Line::raw(""));
        lines.push(Line::styled(clipped(&then, width), view.style(Role::Faint)));
    }
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), area);
}

/// The stage that is due; `None` for an alarm about a clock that stands.
fn stage_of<'a>(view: View<'a>, alarm: &Alarm) -> Option<&'a StageForecast> {
    let due = (alarm.reason == Reason::StageDue).then_some(alarm.id)?;
    let (_, forecast) = view.bench.running().find(|(batch, _)| Some(batch.id) == due.batch())?;
    forecast?.stage(due.stage()?)
}

fn batch_of<'a>(view: View<'a>, alarm: &Alarm) -> Option<&'a Batch> {
    view.bench.log().batch(alarm.id.batch()?)
}

/// The likely time without the resin's own heat, in the fewest words.
fn plain_words(view: View<'_>, stage: &StageForecast) -> Option<String> {
    Some(format!("(plain {})", day_clock_words(stage.plain?, view.now, view.bench.zone())))
}

/// `when` with what the resin's own heat does to it, as far as `width` columns hold that. What was missed is past.
fn corrected(view: View<'_>, alarm: &Alarm, when: String, width: usize) -> String {
    let stage = stage_of(view, alarm).filter(|_| is_to_come(alarm));
    let long = stage.and_then(correction_words).map(|words| format!("{when}, {words}"));
    let short = stage.and_then(|stage| plain_words(view, stage)).map(|words| format!("{when} {words}"));
    [long, short].into_iter().flatten().find(|words| words.chars().count() <= width).unwrap_or(when)
}

/// What was missed is past: nobody asks any more how its time came about.
fn is_to_come(alarm: &Alarm) -> bool {
    matches!(alarm.state, AlarmState::Pending | AlarmState::Sounding { missed: false })
}

/// `when` with where the time comes from, where `width` columns hold that.
fn sourced(view: View<'_>, alarm: &Alarm, when: String, width: usize) -> String {
    let stage = stage_of(view, alarm).filter(|_| is_to_come(alarm));
    let source = stage.map(|stage| format!("{when} ({})", stage.source_words()));
    source.filter(|words| words.chars().count() <= width).unwrap_or(when)
}

fn when(view: View<'_>, alarm: &Alarm) -> String {
    let bench = view.bench;
    let clock = |at| day_clock_words(at, view.now, bench.zone());
    let band = stage_of(view, alarm).and_then(|s| {
        let (early, late) = (s.band.early?, s.band.late?);
        Some(format!(", band {} to {}", clock(early), clock(late)))
    });
    let band = band.unwrap_or_default();
    match alarm.state {
        AlarmState::Snoozed { until } => format!("snoozed until {}", clock(until)),
        AlarmState::Resting { until } => format!("due {}, rests until {}", clock(alarm.due), clock(until)),
        AlarmState::Sounding { missed: true } => {
            format!("missed: due {}, {} ago", clock(alarm.due), span_words(view.now.duration_since(alarm.due)))
        }
        AlarmState::Sounding { missed: false } if alarm.reason != Reason::StageDue => {
            format!("since {}", clock(alarm.due))
        }
        AlarmState::Sounding { missed: false } => format!("due {}{band}", clock(alarm.due)),
        AlarmState::Pending | AlarmState::Acknowledged { .. } => {
            let open = if alarm.id.stage().is_some_and(Stage::is_deadline) { "from" } else { "at" };
            format!("{open} {}{band}", clock(alarm.due))
        }
    }
}

/// For a next layer: what to pour as it is planned, else what to weigh, going by the layer below. A weight is not cut
/// off: where the sentence is too long for `width` columns, the figures alone are said.
fn weights(view: View<'_>, alarm: &Alarm, batch: &Batch, width: u16) -> Option<String> {
    if !alarm.id.is_next_layer() || alarm.reason == Reason::ClockStands {
        return None;
    }
    if let Some(layer) = view.bench.layer_onto(batch.id) {
        let whole = pour_words(layer);
        let fits = whole.chars().count() <= usize::from(width);
        return Some(if fits { whole } else { format!("pour {}", pour_words_brief(layer)) });
    }
    let weights = batch.profile.as_ref()?.weights(batch.mix.resin?, batch.mix.dose).ok()?;
    Some(format!("weigh {weights} (as the layer below)"))
}

fn then(view: View<'_>, first: &Alarm) -> Option<String> {
    let bench = view.bench;
    let next = bench
        .alarms()
        .iter()
        .filter(|a| a.id != first.id && a.is_open() && !a.is_sounding())
        .min_by_key(|a| a.target())?;
    let title = bench.title_of(next.id);
    Some(format!("then {} {} · {title}", day_clock_words(next.target(), view.now, bench.zone()), next.words()))
}

fn draw_nothing(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    if let Some(lines) = first_step(view, area) {
        frame.render_widget(Paragraph::new(lines), area);
        return;
    }
    let running = view.bench.log().running().count();
    let words = if running == 0 { "No clock runs." } else { "Nothing is due." };
    let hint = if running == 0 {
        vec![
            Span::raw("Press "),
            Span::styled("m", view.style(Role::Focus)),
            Span::raw(" when two parts have touched, "),
            Span::styled("t", view.style(Role::Focus)),
            Span::raw(" to enter the bench temperature, "),
            Span::styled("?", view.style(Role::Focus)),
            Span::raw(" for all keys."),
        ]
    } else {
        vec![Span::raw("Every alarm is answered.")]
    };
    let lines = vec![Line::raw(""), Line::styled(words, view.style(Role::Title)), Line::from(hint)];
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), area);
}

/// The next step of the order of work, while a piece is on the bench into which nothing was poured.
fn first_step<'a>(view: View<'_>, area: Rect) -> Option<Vec<Line<'a>>> {
    let width = usize::from(area.width);
    let (on_bench, standing) = view.ui.piece(view.bench)?;
    let standing = standing.filter(|standing| standing.laid.is_empty())?;
    let step = standing.plan.steps.iter().find(|step| !standing.is_done(step.id))?;
    let key = |key| Span::styled(key, view.style(Role::Focus));
    let then = match step.id {
        StepId::Pour(_) => vec![key("l"), Span::raw(" pours it, "), key("p"), Span::raw(" shows the steps.")],
        _ => vec![key("p"), Span::raw(" shows the steps, "), key("Enter"), Span::raw(" ticks one.")],
    };
    let next = format!("next: {}  ", step_name(step.id));
    let of = clipped(&format!("piece {} {}", on_bench.id, on_bench.name()), width.saturating_sub(next.chars().count()));
    let caution = step.caution.as_ref().map(|caution| (format!("! {caution}"), Role::Warn));
    let said = [(step.what.to_string(), Role::Text)].into_iter().chain(caution);
    let wrap = |(text, role): (String, Role)| hanging("", &text, width).into_iter().map(move |line| (line, role));
    let mut said: Vec<(String, Role)> = said.flat_map(wrap).collect();
    // The first two lines come before what may run over the lines there are.
    cut(&mut said, usize::from(area.height).saturating_sub(2), width);
    let heading =
        Line::from(vec![Span::styled(next, view.style(Role::Title)), Span::styled(of, view.style(Role::Faint))]);
    let said = said.into_iter().map(|(text, role)| Line::styled(text, view.style(role)));
    Some([heading, Line::from(then)].into_iter().chain(said).collect())
}
