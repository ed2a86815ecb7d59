//! A night's plan as text.

use super::asked::{Asked, BenchFrom};
use crate::bench::NightGround;
use crate::cli::page::Page;
use crate::fit::padded;
use crate::night::{DosesForWaking, Night, NightPlan, NightPour, WhatIf, WhatIfCase};
use crate::pour::LayerKind;
use crate::report::Said;
use crate::report::night::{
    alternative_words, answer_words, cost_words, finish_words, percent_words, weekday_clock, window_words,
};
use jiff::tz::TimeZone;
use unicode_width::UnicodeWidthStr;

/// Everything there is to say of a night, in lines of at most 80 columns.
pub(super) fn text(night: &Night, cases: &[WhatIfCase], asked: &Asked) -> String {
    let zone = &asked.ground.zone;
    let mut page = Page::default();
    head(&night.best, asked, &mut page);
    if let Some(answer) = &night.now_or_morning {
        page.title("now or in the morning?");
        for line in answer_words(answer, zone) {
            page.words("  ", &line);
        }
    }
    page.title("pour times");
    for line in columns(&pour_rows(&night.best, zone)) {
        page.line(&line);
    }
    for note in notes(&night.best, asked) {
        page.words("  ", &note);
    }
    if !night.alternatives.is_empty() {
        page.title("other ways");
        for other in &night.alternatives {
            page.words("  - ", &alternative_words(other, zone));
        }
    }
    if !cases.is_empty() {
        page.title("the same plan, if");
        for line in columns(&case_rows(&night.best, cases, zone)) {
            page.line(&line);
        }
        page.words(
            "  ",
            "Each pour at its own time: the chance that its window is not open yet, then that it has closed.",
        );
    }
    page.line("");
    page.words(
        "",
        "Times and chances are estimates, not promises: look at the layer before you pour on it. The label wins.",
    );
    page.finished()
}

fn head(plan: &NightPlan, asked: &Asked, page: &mut Page) {
    let ground = &asked.ground;
    let zone = &ground.zone;
    let count = plan.pours.len();
    let layers = if count == 1 { "one layer".to_owned() } else { format!("{count} layers") };
    page.words(
        "",
        &format!(
            "{}: {layers} to pour, from {}",
            ground.piece.name,
            ground.from.to_zoned_datetime(zone.clone()).strftime("%a %d %b %H:%M")
        ),
    );
    let sleep = match plan.asleep.first() {
        Some(night) => format!("{} to {}", weekday_clock(night.from, zone), weekday_clock(night.until, zone)),
        None => "none until it is done".to_owned(),
    };
    let more = plan.asleep.len().saturating_sub(1);
    let sleep = if more > 0 { format!("{sleep}, and {more} more") } else { sleep };
    let from = if asked.sleep_typed { "" } else { " (by the settings)" };
    page.said(&[
        Said { about: "costs".to_owned(), words: cost_words(plan) },
        Said { about: "done".to_owned(), words: done_words(plan, ground.rules.risk, zone) },
        Said { about: "sleep".to_owned(), words: format!("{sleep}{from}") },
        Said { about: "bench".to_owned(), words: bench_words(plan, asked.bench_from) },
    ]);
}

fn done_words(plan: &NightPlan, risk: f64, zone: &TimeZone) -> String {
    let late =
        plan.finish.late.map(|late| format!("; by {} with {}", weekday_clock(late, zone), percent_words(1.0 - risk)));
    format!("{}{}", finish_words(&plan.finish, zone), late.unwrap_or_default())
}

fn bench_words(plan: &NightPlan, from: BenchFrom) -> String {
    let all = || plan.pours.iter().map(|pour| pour.bench_c);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let by = match from {
        BenchFrom::Asked => "as asked",
        BenchFrom::File => "by the forecast's file",
        BenchFrom::Readings => "by the notebook's forecast",
        BenchFrom::Piece => "nothing measured: the piece's figure, or its material's",
    };
    if high - low < 0.5 {
        format!("{low:.1} °C, {by}")
    } else {
        format!("{low:.1} to {high:.1} °C at the pours, {by}")
    }
}

/// The table of pours, its head first.
fn pour_rows(plan: &NightPlan, zone: &TimeZone) -> Vec<Vec<String>> {
    let head = ["layer", "pour", "dose", "onto a window", "not open", "closed", "peak", ""].map(str::to_owned);
    let mut rows = vec![head.to_vec()];
    rows.extend(plan.pours.iter().map(|pour| {
        let window = pour.window.as_ref();
        vec![
            which(pour),
            weekday_clock(pour.at, zone),
            dose(pour),
            window.map_or("-".to_owned(), |window| window_words(window, pour.at, zone)),
            window.map_or(String::new(), |_| percent_words(pour.not_open())),
            window.map_or(String::new(), |_| percent_words(pour.closed())),
            pour.peak_c.map_or(String::new(), |c| format!("{c:.0} °C")),
            marks(pour).to_owned(),
        ]
    }));
    rows
}

fn which(pour: &NightPour) -> String {
    match pour.kind {
        LayerKind::Cast => pour.layer.to_string(),
        LayerKind::Topping => "topping".to_owned(),
    }
}

/// With a sign where it is not the planned one.
fn dose(pour: &NightPour) -> String {
    let Some(dose) = pour.dose else { return String::new() };
    let sign = match pour.planned_dose.map(|planned| dose.get() - planned.get()) {
        Some(off) if off > 0.004 => "+",
        Some(off) if off < -0.004 => "-",
        _ => "",
    };
    format!("{:.2} %{sign}", dose.get())
}

fn marks(pour: &NightPour) -> &'static str {
    match (pour.wakes, pour.sanded) {
        (true, true) => "get up, sand",
        (true, false) => "get up",
        (false, true) => "sand",
        (false, false) => "",
    }
}

fn notes(plan: &NightPlan, asked: &Asked) -> Vec<String> {
    let rules = &asked.ground.rules;
    let mut notes = Vec::new();
    if plan.pours.iter().any(|pour| dose(pour).ends_with(['+', '-'])) {
        notes.push("+ and -: stronger or weaker than the planned dose, where that helps.".to_owned());
    }
    if !plan.held_by_heat.is_empty() {
        let layers: Vec<String> = plan.held_by_heat.iter().map(u32::to_string).collect();
        let which = if layers.len() == 1 { "layer" } else { "layers" };
        notes.push(format!(
            "Held back by heat: {which} {}; poured sooner or stronger it gets too hot.",
            layers.join(", ")
        ));
    }
    let minutes = |length: jiff::SignedDuration| length.as_mins();
    notes.push(format!(
        "A pour is the moment the parts meet; hands are needed {} min before and {} min after. Windows are those of the layer below, \
         likely times.",
        minutes(rules.prepare),
        minutes(rules.pouring)
    ));
    notes.push(
        "Up and about you pour as soon as it is likely open: about half of the pours come a little later, and push what follows; \
         the bench then plans anew."
            .to_owned(),
    );
    notes.push(format!(
        "The chance that any window is missed is {}; of a single one up to {} is risked.",
        at_most_words(plan.any_miss()),
        percent_words(rules.risk)
    ));
    notes
}

fn at_most_words(share: f64) -> String {
    if share < 0.01 { "under 1 %".to_owned() } else { format!("at most {}", percent_words(share)) }
}

/// The pours of the plan down, the cases across.
fn case_rows(plan: &NightPlan, cases: &[WhatIfCase], zone: &TimeZone) -> Vec<Vec<String>> {
    let chances = |not_open: f64, closed: f64| format!("{} / {}", percent_words(not_open), percent_words(closed));
    let mut head = vec!["layer".to_owned(), "pour".to_owned(), "planned".to_owned()];
    head.extend(cases.iter().map(|case| match case.what {
        WhatIf::Colder { by_c } => format!("{by_c:.0} °C colder"),
        WhatIf::Weaker { by } => format!("doses -{:.0} %", by * 100.0),
        WhatIf::OneLayerLess => "a layer less".to_owned(),
    }));
    let mut rows = vec![head];
    for (place, pour) in plan.pours.iter().enumerate() {
        let mut row = vec![which(pour), weekday_clock(pour.at, zone)];
        row.push(pour.window.map_or("-".to_owned(), |_| chances(pour.not_open(), pour.closed())));
        for case in cases {
            let left_out = case.what == WhatIf::OneLayerLess && place + 1 == plan.pours.len();
            let window = case.windows.get(place).and_then(Option::as_ref);
            row.push(match window {
                _ if left_out => "left out".to_owned(),
                Some(window) => chances(window.not_open, window.closed),
                None => "-".to_owned(),
            });
        }
        rows.push(row);
    }
    let clock = |at: Option<jiff::Timestamp>| at.map_or("never".to_owned(), |at| weekday_clock(at, zone));
    let mut done = vec!["done".to_owned(), String::new(), clock(Some(plan.finish.likely))];
    done.extend(cases.iter().map(|case| clock(case.finish)));
    let mut anew = vec!["anew".to_owned(), "wake-ups".to_owned(), plan.wakeups().to_string()];
    anew.extend(
        cases.iter().map(|case| case.anew.as_ref().map_or("none fits".to_owned(), |plan| plan.wakeups().to_string())),
    );
    let mut then = vec![String::new(), "done".to_owned(), clock(Some(plan.finish.likely))];
    then.extend(
        cases.iter().map(|case| case.anew.as_ref().map_or(String::new(), |plan| clock(Some(plan.finish.likely)))),
    );
    rows.extend([done, anew, then]);
    rows
}

/// Rows of cells as lines, each column as wide as it needs.
fn columns(rows: &[Vec<String>]) -> Vec<String> {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width =
        |column: usize| rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..count).map(width).collect();
    let line = |row: &Vec<String>| {
        let cells = row.iter().zip(&widths).map(|(cell, width)| padded(cell, *width));
        format!("  {}", cells.collect::<Vec<_>>().join("  "))
    };
    rows.iter().map(line).collect()
}

/// What `--wake-at` prints.
pub(super) fn doses(doses: &DosesForWaking, ground: &NightGround) -> String {
    let zone = &ground.zone;
    let mut page = Page::default();
    let (best, window) = (&doses.best.0, &doses.best.1);
    page.words(
        "",
        &format!(
            "{}: layer {} poured {}, the next one at {}",
            ground.piece.name,
            doses.layer,
            weekday_clock(doses.poured, zone),
            weekday_clock(doses.wake, zone)
        ),
    );
    let risk = percent_words(ground.rules.risk);
    let range = match doses.range {
        Some((weakest, strongest)) if weakest == strongest => format!("{:.2} %, and no other", weakest.get()),
        Some((weakest, strongest)) => format!("{:.2} to {:.2} %", weakest.get(), strongest.get()),
        None => format!("none, with at most {risk} risk"),
    };
    page.said(&[
        Said { about: "doses that do".to_owned(), words: range },
        Said { about: "least risk".to_owned(), words: format!("{:.2} %", best.get()) },
        Said { about: "its window".to_owned(), words: window_words(window, doses.poured, zone) },
        Said {
            about: "then".to_owned(),
            words: format!("not open yet {}, closed {}", percent_words(window.not_open), percent_words(window.closed)),
        },
    ]);
    page.words("", "An estimate: look at the layer before you pour on it. The label wins.");
    page.finished()
}
