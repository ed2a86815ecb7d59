//! One batch: its name and amounts, its bar, its clock times, and for the chosen one the bands.

use super::bar::{self, Fill};
use crate::bench::{
    Alarm, Batch, BatchForecast, HeatPlace, Part, StageForecast, StageStatus, clock_note, clock_words, day_clock_words,
    figure_words, heat_words, span_words, warmth_words,
};
use crate::fit::clipped;
use crate::material::Stage;
use crate::tui::panes::View;
use crate::tui::theme::Role;
use crate::units::{Grams, Millimetres};
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

/// How much of a batch is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// One line: name and the next stage.
    Line,
    /// Name, bar, stage names, times.
    Bar,
    /// The same with the bands, and a line after that is blank but for what the own heat of the chosen batch does.
    Full,
}

/// A batch with its clock.
pub(super) struct Row<'a> {
    pub batch: &'a Batch,
    pub forecast: Option<&'a BatchForecast>,
    pub chosen: bool,
}

impl Form {
    pub const ALL: [Form; 3] = [Form::Full, Form::Bar, Form::Line];

    pub const fn height(self) -> u16 {
        match self {
            Form::Line => 1,
            Form::Bar => 4,
            Form::Full => 6,
        }
    }
}

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>, form: Form, row: &Row<'_>) {
    let width = usize::from(area.width);
    let lines = match (form, row.forecast) {
        (Form::Line, _) => vec![one_line(view, row, width)],
        (_, None) => {
            let note = clock_note(row.batch, None).unwrap_or_default();
            let note = clipped(&format!("   {note}"), width);
            vec![title(view, row, width), Line::styled(note, view.style(Role::Warn))]
        }
        (_, Some(forecast)) => {
            let stages = bar::in_order(forecast);
            let mut lines = vec![title(view, row, width), bars(view, row.batch, &stages, width)];
            lines.push(cells(&stages, width, |s| (named(s), Role::Faint), view));
            lines.push(cells(&stages, width, |s| time(view, s), view));
            if form == Form::Full {
                lines.push(cells(&stages, width, |s| (band(view, s), Role::Faint), view));
                lines.extend(beneath(view, row, &stages, width).filter(|_| row.chosen));
            }
            lines
        }
    };
    for (line, y) in lines.into_iter().zip(area.y..area.bottom()) {
        frame.render_widget(line, Rect { y, height: 1, ..area });
    }
}

/// The chosen batch, and every batch that rings.
fn mark(view: View<'_>, row: &Row<'_>) -> &'static str {
    let rings = |a: &Alarm| a.id.batch() == Some(row.batch.id) && a.is_sounding();
    match (row.chosen, view.bench.alarms().iter().any(rings)) {
        (true, _) => "▸",
        (false, true) => "▲",
        (false, false) => " ",
    }
}

/// The batch's title, a trial's marked as such.
fn name(batch: &Batch) -> String {
    let trial = batch.mix.part.is_some_and(Part::is_trial);
    if trial { format!("trial: {}", batch.title()) } else { batch.title().to_owned() }
}

fn title<'a>(view: View<'_>, row: &Row<'_>, width: usize) -> Line<'a> {
    let batch = row.batch;
    let name_role = if row.chosen { Role::Focus } else { Role::Title };
    let zone = view.bench.zone();
    let mut facts: Vec<String> = Vec::new();
    if !batch.mix.label.is_empty() {
        facts.push(batch.mix.material.to_string());
    }
    facts.extend(batch.covered_by.map(|above| format!("under {above}")));
    facts.push(format!("since {}", clock_words(batch.started, zone)));
    facts.extend(batch.mix.resin.map(|g| format!("{} {}", figure_words(g.get(), 1), Grams::SYMBOL)));
    facts.extend(batch.mix.dose.map(|d| format!("{d:.2}")));
    facts.extend(batch.mix.depth.map(|d| format!("{} {}", figure_words(d.get(), 1), Millimetres::SYMBOL)));
    let mut spans = vec![
        Span::styled(format!("{}{} ", mark(view, row), batch.id), view.style(Role::Faint)),
        Span::styled(clipped(&name(batch), width / 2), view.style(name_role)),
    ];
    if let Some(f) = row.forecast {
        facts.push(format!("cure age {:.2}", f.cure_age));
        facts.extend(sources_in_short(f));
        if let Some(note) = clock_note(batch, row.forecast) {
            facts.clear();
            let used: usize = spans.iter().map(Span::width).sum();
            let note = clipped(&format!("  ! {note}"), width.saturating_sub(used));
            spans.push(Span::styled(note, view.style(Role::Warn)));
        }
    }
    let used: usize = spans.iter().map(Span::width).sum();
    let facts = clipped(&facts.join(" · "), width.saturating_sub(used + 2));
    spans.push(Span::styled(format!("  {facts}"), view.style(Role::Faint)));
    Line::from(spans)
}

fn one_line<'a>(view: View<'_>, row: &Row<'_>, width: usize) -> Line<'a> {
    let next = row.forecast.map(|f| {
        if f.stands() {
            return (format!("stands {:.1} °C", f.bench_c), Role::Warn);
        }
        let stages = bar::in_order(f);
        let ahead: Vec<_> =
            stages.into_iter().filter(|s| !matches!(s.status, StageStatus::Seen | StageStatus::Past)).collect();
        let Some(first) = ahead.first() else { return ("all past".to_owned(), Role::Faint) };
        // One stage on a narrow screen, as many as three where there is room.
        let shown = if width >= 60 { 3 } else { 1 };
        let words = ahead.iter().take(shown).map(|s| format!("{} {}", short(s.stage), time(view, s).0));
        (words.collect::<Vec<_>>().join("  "), status_role(first.status))
    });
    let (next, role) = next.unwrap_or(("no clock".to_owned(), Role::Faint));
    let head = format!("{}{} ", mark(view, row), row.batch.id);
    let room = width.saturating_sub(head.chars().count() + next.chars().count() + 1);
    let name = clipped(&name(row.batch), room);
    let gap = (room + 1).saturating_sub(Span::raw(name.as_str()).width());
    let name_role = if row.chosen { Role::Focus } else { Role::Title };
    Line::from(vec![
        Span::styled(head, view.style(Role::Faint)),
        Span::styled(name, view.style(name_role)),
        Span::raw(" ".repeat(gap)),
        Span::styled(next, view.style(role)),
    ])
}

fn bars<'a>(view: View<'_>, batch: &Batch, stages: &[&StageForecast], width: usize) -> Line<'a> {
    let cell_width = cell_width(stages.len(), width);
    let mut from = batch.started;
    let mut spans = vec![Span::raw("  ")];
    for stage in stages {
        for fill in bar::cell(stage, from, view.now, cell_width - 1) {
            spans.push(Span::styled(fill.symbol().to_string(), view.style(fill_role(fill))));
        }
        spans.push(Span::styled("│", view.style(Role::Faint)));
        from = stage.reached_at.or(stage.band.likely).unwrap_or(from).max(from);
    }
    Line::from(spans)
}

fn fill_role(fill: Fill) -> Role {
    match fill {
        Fill::Passed => Role::Cured,
        Fill::PassedUnseen | Fill::AheadNear => Role::Near,
        Fill::Ahead => Role::Faint,
        Fill::Never => Role::Warn,
    }
}

fn cell_width(stages: usize, width: usize) -> usize {
    (width.saturating_sub(2) / stages.max(1)).max(2)
}

fn cells<'a>(
    stages: &[&StageForecast],
    width: usize,
    text: impl Fn(&StageForecast) -> (String, Role),
    view: View<'_>,
) -> Line<'a> {
    let cell_width = cell_width(stages.len(), width);
    let mut spans = vec![Span::raw("  ")];
    for stage in stages {
        let (text, role) = text(stage);
        let text = clipped(&text, cell_width - 1);
        let gap = cell_width - Span::raw(text.as_str()).width();
        spans.push(Span::styled(text, view.style(role)));
        spans.push(Span::raw(" ".repeat(gap)));
    }
    Line::from(spans)
}

fn time(view: View<'_>, stage: &StageForecast) -> (String, Role) {
    let shown = stage.reached_at.or(stage.band.likely);
    let words = shown.map_or_else(|| "never".to_owned(), |at| day_clock_words(at, view.now, view.bench.zone()));
    let sign = match stage.status {
        StageStatus::Seen => "✓",
        StageStatus::Past => "?",
        StageStatus::Near => "~",
        StageStatus::Ahead | StageStatus::Never => "",
    };
    (format!("{words}{sign}"), status_role(stage.status))
}

/// What the resin's own heat does: that a cup gets too hot, or how far it moves the stages that are still to come.
fn own_heat<'a>(view: View<'_>, row: &Row<'_>, stages: &[&StageForecast], width: usize) -> Option<Line<'a>> {
    let (now, zone) = (view.now, view.bench.zone());
    let forecast = row.forecast?;
    let own = forecast.own_heat.as_ref()?;
    // How hot a layer gets stands by the temperatures.
    let cup =
        matches!(own.place, HeatPlace::Cup { .. }).then(|| heat_words(own, forecast.bench_c, now, zone)).flatten();
    if let Some((words, _)) = cup {
        return Some(Line::styled(clipped(&format!("  ! {words} (estimate)"), width), view.style(Role::Warn)));
    }
    let mut words = String::new();
    for stage in stages.iter().filter(|s| !matches!(s.status, StageStatus::Seen | StageStatus::Past)) {
        let Some((plain, likely)) = stage.plain.zip(stage.band.likely) else { continue };
        let moved = plain.duration_since(likely);
        let side = if moved.is_positive() { "sooner" } else { "later" };
        let lead = if words.is_empty() { "  own heat: " } else { ", " };
        let plain = day_clock_words(plain, now, zone);
        let more = format!("{lead}{} {} {side} (plain {plain})", short(stage.stage), span_words(moved));
        // A figure is not cut off: what does not fit is left out.
        if words.chars().count() + more.chars().count() > width {
            break;
        }
        words.push_str(&more);
    }
    (!words.is_empty()).then(|| Line::styled(words, view.style(Role::Faint)))
}

/// Below the chosen batch: what its own heat does, and where its times come from, as far as there is room.
fn beneath<'a>(view: View<'_>, row: &Row<'_>, stages: &[&StageForecast], width: usize) -> Option<Line<'a>> {
    let heat = own_heat(view, row, stages, width);
    let used = heat.as_ref().map_or(0, Line::width);
    let from = format!("  times: {}", sources(stages));
    let fits = used + from.chars().count() <= width;
    let from = fits.then(|| Span::styled(from, view.style(Role::Faint)));
    match (heat, from) {
        (Some(mut heat), from) => {
            heat.spans.extend(from);
            Some(heat)
        }
        (None, from) => Some(Line::from(from?)),
    }
}

/// The same in two or three words.
fn sources_in_short(forecast: &BatchForecast) -> Option<String> {
    let looks: u32 = forecast.stages.iter().filter_map(|stage| stage.learned_from).sum();
    let first = forecast.stages.first()?;
    let alike = forecast.stages.iter().all(|stage| stage.from == first.from);
    Some(match (looks, alike) {
        (0, true) => first.source_words(),
        (0, false) => "several sources".to_owned(),
        (looks, _) => format!("learned from {looks}"),
    })
}

/// Where the times come from, the stages of one source together: "gel, opens learned from 8; demould label".
fn sources(stages: &[&StageForecast]) -> String {
    let mut groups: Vec<(String, Vec<&'static str>)> = Vec::new();
    for stage in stages {
        let source = stage.source_words();
        match groups.iter_mut().find(|(of, _)| *of == source) {
            Some((_, names)) => names.push(short(stage.stage)),
            None => groups.push((source, vec![short(stage.stage)])),
        }
    }
    match groups.as_slice() {
        [(only, _)] => only.clone(),
        several => {
            let group = |(source, names): &(String, Vec<&str>)| format!("{} {source}", names.join(", "));
            several.iter().map(group).collect::<Vec<_>>().join("; ")
        }
    }
}

fn status_role(status: StageStatus) -> Role {
    match status {
        StageStatus::Seen => Role::Seen,
        StageStatus::Near => Role::Near,
        StageStatus::Past | StageStatus::Ahead => Role::Text,
        StageStatus::Never => Role::Warn,
    }
}

/// The band as clock times, or in minutes to either side where that is shorter than a clock time's worth; of a
/// stage that does not come because the cure stops short of it, the warmth it needs.
fn band(view: View<'_>, stage: &StageForecast) -> String {
    if stage.reached_at.is_some() {
        return String::new();
    }
    match (stage.band.early, stage.band.likely, stage.band.late) {
        (Some(early), Some(likely), Some(late)) => {
            let minus = likely.duration_since(early).as_mins();
            let plus = late.duration_since(likely).as_mins();
            if plus < 100 {
                format!("-{minus}+{plus} m")
            } else if plus < 100 * 60 {
                format!("-{}+{} h", (minus + 30) / 60, (plus + 30) / 60)
            } else {
                format!("-{}+{} d", (minus + 720) / 1440, (plus + 720) / 1440)
            }
        }
        (Some(early), ..) => format!("from {}", clock_words(early, view.bench.zone())),
        _ => stage.least_c.map(|least| format!("≥ {}", warmth_words(least))).unwrap_or_default(),
    }
}

/// The same, with a sign where its time is this shop's own.
fn named(stage: &StageForecast) -> String {
    let sign = if stage.learned_from.is_some() { "*" } else { "" };
    format!("{}{sign}", short(stage.stage))
}

/// A stage's name where room is short.
fn short(stage: Stage) -> &'static str {
    match stage {
        Stage::PotLife => "pot life",
        Stage::Gel => "gel",
        Stage::TackFree => "tack-free",
        Stage::NextLayerOpens => "opens",
        Stage::NextLayerCloses => "closes",
        Stage::Demould => "demould",
        Stage::FullCure => "full cure",
    }
}
