//! The bench temperature: measured until now, forecast ahead, with what the forecast is worth.

mod resin;

use super::View;
use super::rule::heading;
use crate::bench::{Basis, DEW_MARGIN_C, Readings, clock_words, dew_point_c, hours_between, span_words};
use crate::cure::Knot;
use crate::fit::clipped;
use crate::tui::theme::Role;
use crate::units::{Celsius, Percent};
use jiff::{SignedDuration, Timestamp};
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};
use resin::{Resin, Sign};

/// How much is shown before and after now.
const BACK: SignedDuration = SignedDuration::from_hours(6);
const AHEAD: SignedDuration = SignedDuration::from_hours(6);
/// The scale never shows less than this, °C, or half a degree would look like a cliff.
const MIN_SPAN_C: f64 = 6.0;
/// Columns for the temperature labels on the left.
const LABELS: usize = 5;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let readings = view.bench.log().readings();
    let resin = Resin::of(view);
    let signs = if resin.as_ref().is_some_and(Resin::is_drawn) { "+ predicted  R resin" } else { "" };
    let inside = heading(frame, area, view, "bench temperature", signs);
    if inside.height == 0 {
        return;
    }
    let (words, role) = in_words(view, readings);
    frame.render_widget(
        Line::styled(clipped(&words, usize::from(area.width)), view.style(role)),
        Rect { height: 1, ..inside },
    );
    let mut chart = Rect { y: inside.y + 1, height: inside.height - 1, ..inside };
    if let Some(trouble) = view.ui.trouble()
        && chart.height > 0
    {
        let words = clipped(&format!("! {trouble}"), usize::from(area.width));
        frame.render_widget(Line::styled(words, view.style(Role::Warn)), Rect { height: 1, ..chart });
        chart = Rect { y: chart.y + 1, height: chart.height - 1, ..chart };
    }
    if let Some((words, role)) = resin.as_ref().and_then(|resin| resin.words(usize::from(area.width)))
        && chart.height > 0
    {
        frame.render_widget(Line::styled(words, view.style(role)), Rect { height: 1, ..chart });
        chart = Rect { y: chart.y + 1, height: chart.height - 1, ..chart };
    }
    if chart.height >= 3 && usize::from(chart.width) > LABELS + 10 && readings.last().is_some() {
        draw_chart(frame, chart, view, readings, resin.filter(Resin::is_drawn).as_ref());
    }
}

/// The reading, its trend and its age in one line.
fn in_words(view: View<'_>, readings: &Readings) -> (String, Role) {
    let Some(last) = readings.last() else {
        return ("no reading, label temperatures assumed: press t".to_owned(), Role::Warn);
    };
    let outlook = readings.outlook(last.at, view.now);
    let since = view.now.duration_since(last.at);
    // Under a minute would have to count seconds, and wake the screen for each.
    let age = if since.as_mins() == 0 { "just now".to_owned() } else { format!("{} ago", span_words(since)) };
    let (humidity, damp) = match last.humidity {
        Some(humidity) => damp_words(last.celsius, humidity),
        None => (String::new(), false),
    };
    if outlook.is_silent() {
        return (format!("! {:.1}, not read for {}: bands widen", last.celsius, span_words(since)), Role::Warn);
    }
    let trend = match readings.trend_c_per_h() {
        Some(t) if t <= -0.2 => format!(", falling {:.1} °C/h", -t),
        Some(t) if t >= 0.2 => format!(", rising {t:.1} °C/h"),
        Some(_) => ", steady".to_owned(),
        None => String::new(),
    };
    let ahead = ahead_words(view, readings).unwrap_or_default();
    let role = if damp { Role::Warn } else { Role::Temperature };
    (format!("{:.1}, {age}{trend}{humidity}{ahead}", last.celsius), role)
}

/// The humidity, and how far the bench is from the dew point; whether that is too near.
fn damp_words(air: Celsius, humidity: Percent) -> (String, bool) {
    let dew_c = dew_point_c(air, humidity).filter(|_| humidity.get() > 0.0);
    let margin_c = dew_c.map(|dew_c| air.get() - dew_c);
    match margin_c {
        Some(margin_c) if margin_c < DEW_MARGIN_C => {
            (format!(", {humidity:.0} humidity: damp, dew {margin_c:.1} °C below"), true)
        }
        Some(margin_c) => (format!(", {humidity:.0} humidity, dew {margin_c:.0} °C below"), false),
        None => (format!(", {humidity:.0} humidity"), false),
    }
}

/// The coldest hour ahead, and what it is taken from; nothing where the last reading holds.
fn ahead_words(view: View<'_>, readings: &Readings) -> Option<String> {
    let by = match readings.basis() {
        Basis::Held => return None,
        Basis::Typed => "as typed".to_owned(),
        Basis::PastNights(1) => "1 past night".to_owned(),
        Basis::PastNights(nights) => format!("{nights} past nights"),
    };
    let curve = readings.curve(view.now)?;
    let halves = (1..=24).map(|half| f64::from(half) / 2.0);
    let (at_h, c) = halves.map(|at_h| (at_h, curve.at(at_h))).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let at = view.now + SignedDuration::from_secs_f64(at_h * 3600.0);
    Some(format!("; {c:.1} by {} ({by})", clock_words(at, view.bench.zone())))
}

/// What one column of the chart shows.
enum Column {
    Empty,
    Measured(f64),
    /// Forecast temperature and the standard deviation of the mean until then.
    Held(f64, f64),
}

/// The time in the middle of each of `width` columns.
fn times(now: Timestamp, width: usize) -> impl Iterator<Item = Timestamp> {
    let share = move |i: usize| (i as f64 + 0.5) / width as f64;
    (0..width).map(move |i| now - BACK + (BACK + AHEAD).mul_f64(share(i)))
}

fn draw_chart(frame: &mut Frame<'_>, area: Rect, view: View<'_>, readings: &Readings, resin: Option<&Resin<'_>>) {
    let width = usize::from(area.width) - LABELS;
    let rows = usize::from(area.height) - 1;
    let columns = columns(view.now, readings, width);
    let floors = floors(view);
    let resin: Vec<(usize, f64, Sign)> = resin.map(|resin| resin.points(width)).unwrap_or_default();
    let bench = columns.iter().filter_map(|column| match column {
        Column::Empty => None,
        Column::Measured(c) | Column::Held(c, _) => Some(*c),
    });
    let (low, high) = scale(bench.chain(resin.iter().map(|(_, c, _)| *c)), &floors);
    let row_of = |c: f64| (((high - c) / (high - low)) * (rows as f64 - 1.0)).round();
    let mut grid = vec![vec![(' ', Role::Faint); width]; rows];
    let mut put = |column: usize, row: f64, symbol: char, role: Role| {
        if row >= 0.0 && row < rows as f64 {
            // Non-negative and below `rows`, checked on the line above.
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be a row")]
            let cell = &mut grid[row as usize][column];
            *cell = (symbol, role);
        }
    };
    for floor in &floors {
        for column in 0..width {
            put(column, row_of(*floor), '╌', Role::Warn);
        }
    }
    for (i, column) in columns.iter().enumerate() {
        if let Column::Held(c, sd) = *column {
            let (mut row, bottom) = (row_of(c + sd).max(0.0), row_of(c - sd));
            while row <= bottom {
                put(i, row, '·', Role::Faint);
                row += 1.0;
            }
        }
    }
    // Where resin and bench are as warm, the bench is shown.
    for (column, c, sign) in resin.iter().filter(|(.., sign)| *sign == Sign::Predicted) {
        put(*column, row_of(*c), sign.symbol(), sign.role());
    }
    for (i, column) in columns.iter().enumerate() {
        match *column {
            Column::Empty => {}
            Column::Measured(c) => put(i, row_of(c), '●', Role::Temperature),
            Column::Held(c, _) => put(i, row_of(c), '○', Role::Temperature),
        }
    }
    for (column, c, sign) in resin.iter().filter(|(.., sign)| *sign == Sign::Measured) {
        put(*column, row_of(*c), sign.symbol(), sign.role());
    }
    for (i, row) in grid.into_iter().enumerate() {
        let label = row_label(i, rows, low, high).map_or(String::new(), |c| format!("{c:.0}"));
        let mut spans = vec![Span::styled(format!("{label:>4} "), view.style(Role::Faint))];
        spans.extend(row.into_iter().map(|(symbol, role)| Span::styled(symbol.to_string(), view.style(role))));
        let y = area.y + u16::try_from(i).unwrap_or(0);
        frame.render_widget(Line::from(spans), Rect { y, height: 1, ..area });
    }
    let axis = axis(view, width);
    frame.render_widget(Line::styled(axis, view.style(Role::Faint)), Rect { y: area.bottom() - 1, height: 1, ..area });
}

/// The whole degree this row stands for, where no other row is nearer to it.
fn row_label(row: usize, rows: usize, low: f64, high: f64) -> Option<f64> {
    let step = (high - low) / (rows as f64 - 1.0).max(1.0);
    let whole = (high - step * row as f64).round();
    let nearest = ((high - whole) / step).round();
    ((nearest - row as f64).abs() < 0.5).then_some(whole)
}

fn columns(now: Timestamp, readings: &Readings, width: usize) -> Vec<Column> {
    let origin = now - BACK;
    let (Some(curve), Some(last)) = (readings.curve(origin), readings.last()) else { return Vec::new() };
    let first_h = curve.knots().first().map_or(0.0, |k: &Knot| k.at_h);
    let last_h = hours_between(origin, last.at);
    let outlook = readings.outlook(origin, now);
    times(now, width)
        .map(|at| {
            let at_h = hours_between(origin, at);
            if at_h < first_h {
                Column::Empty
            } else if at_h <= last_h {
                Column::Measured(curve.at(at_h))
            } else {
                Column::Held(curve.at(at_h), outlook.mean_temperature_sd_c(at_h))
            }
        })
        .collect()
}

/// The floors of the running materials, each once.
fn floors(view: View<'_>) -> Vec<f64> {
    let running = view.bench.running();
    let mut floors: Vec<f64> =
        running.filter_map(|(b, _)| Some(b.profile.as_ref()?.thermal()?.floor.value.get())).collect();
    floors.sort_by(f64::total_cmp);
    floors.dedup();
    floors
}

/// Lowest and highest temperature on the chart. Floors are shown only where the bench comes near them.
fn scale(values: impl Iterator<Item = f64>, floors: &[f64]) -> (f64, f64) {
    let (mut low, mut high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| (l.min(c), h.max(c)));
    if let Some(near) = floors.iter().copied().filter(|f| *f < low && low - f < MIN_SPAN_C).reduce(f64::min) {
        low = near;
    }
    let missing = (MIN_SPAN_C - (high - low)).max(0.0);
    low -= missing / 2.0;
    high += missing / 2.0;
    (low.floor(), high.ceil())
}

fn axis(view: View<'_>, width: usize) -> String {
    let zone = view.bench.zone();
    let at = |moment: Timestamp| clock_words(moment, zone);
    let half = width / 2;
    format!(
        "{:LABELS$}{:<half$}now{:>rest$}",
        "",
        at(view.now - BACK),
        at(view.now + AHEAD),
        rest = width.saturating_sub(half + 3)
    )
}
