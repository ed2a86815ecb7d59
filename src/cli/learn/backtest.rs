//! `learn --backtest`: every past batch predicted from the ones before it.

use super::overview::seen;
use super::shop::{Shop, heat_of};
use super::text::counted;
use super::{LearnArgs, LearnError, words};
use crate::bench::Log;
use crate::cli::json::print_json;
use crate::cli::page::Page;
use crate::cli::shared::{Desk, Failure};
use crate::cli::table;
use crate::learn::{Foretold, Score, Tested, backtest};
use crate::report::{Column, Table};
use serde::Serialize;
use std::io::Write;

/// The newest ones are listed; more than this nobody reads at once.
const MOST_SHOWN: usize = 20;

#[derive(Serialize)]
struct BacktestJson {
    material: String,
    learned: ScoreJson,
    label: ScoreJson,
    predictions: Vec<TestedJson>,
}

/// How well times were foretold.
#[derive(Serialize)]
struct ScoreJson {
    /// Looks with two ends.
    timed: usize,
    median_error_min: f64,
    median_error_percent: f64,
    /// The band promises 80 %.
    within_band: usize,
    within_band_percent: Option<f64>,
    one_sided: usize,
    against_band: usize,
}

#[derive(Serialize)]
struct TestedJson {
    batch: u32,
    stage: &'static str,
    from_observations: usize,
    after_h: Option<f64>,
    by_h: Option<f64>,
    learned: ForetoldJson,
    label: ForetoldJson,
}

#[derive(Serialize)]
#[expect(clippy::struct_field_names, reason = "keys carry their unit")]
struct ForetoldJson {
    early_h: Option<f64>,
    likely_h: Option<f64>,
    late_h: Option<f64>,
}

pub(super) fn run(args: &LearnArgs, desk: &Desk, out: &mut impl Write) -> Result<(), LearnError> {
    let shops = match args.material.as_deref() {
        Some(material) => vec![Shop::of(material, desk)?],
        None => seen(&Log::replay(desk.entries().map_err(Failure::from)?), desk)?,
    };
    let mut told = Vec::new();
    for shop in &shops {
        let id = shop.id();
        let tested = backtest(&shop.log, &heat_of(&shop.log, id), id, &shop.label);
        told.push((shop, tested.map_err(LearnError::undetermined(id))?));
    }
    if args.json {
        let told: Vec<BacktestJson> = told.iter().map(|(shop, tested)| json(shop, tested)).collect();
        return Ok(print_json(&told, out)?);
    }
    let mut page = Page::default();
    for (shop, tested) in &told {
        text(&mut page, shop, tested);
    }
    if told.is_empty() {
        page.words("", "Nothing has been seen yet, so nothing can be held against it.");
    }
    Ok(out.write_all(page.finished().as_bytes())?)
}

fn text(page: &mut Page, shop: &Shop, tested: &[Tested]) {
    page.title(&format!("{}: each batch from what was known before it", shop.id()));
    if tested.is_empty() {
        page.words("  ", "No batch of it was looked at; what is remembered from before has no order.");
        return;
    }
    let (learned, label) = (Score::of(tested, |test| test.learned), Score::of(tested, |test| test.label));
    for (name, score) in [("learned", learned), ("label  ", label)] {
        page.words(&format!("  {name}  "), &score_words(&score));
    }
    page.line("");
    let shown = &tested[tested.len().saturating_sub(MOST_SHOWN)..];
    let cells = |cell: &dyn Fn(&Tested) -> String| shown.iter().map(cell).collect();
    let column = |group, head, unit, cells| Column { group, head, unit, cells };
    let hours = |hours: Option<f64>| hours.map_or("-".to_owned(), words::hours);
    let columns = vec![
        column("", "batch", "", cells(&|test| test.batch.to_string())),
        column("", "stage", "", cells(&|test| test.stage.key().to_owned())),
        column("", "from", "looks", cells(&|test| test.from.to_string())),
        column("seen", "not yet", "", cells(&|test| hours(test.after_h))),
        column("seen", "there", "", cells(&|test| hours(test.by_h))),
        column("foretold", "early", "", cells(&|test| hours(test.learned.early_h))),
        column("foretold", "likely", "", cells(&|test| hours(test.learned.likely_h))),
        column("foretold", "late", "", cells(&|test| hours(test.learned.late_h))),
        column("label", "likely", "", cells(&|test| hours(test.label.likely_h))),
    ];
    for line in table::lines(&Table { columns }) {
        page.line(&line);
    }
    page.line("");
    page.words("  ", "On the temperatures that were really measured: what is tested is the cure model, not the forecast of the room.");
}

fn score_words(score: &Score) -> String {
    let words = match score.timed {
        0 => "no look had two ends, so no error can be told".to_owned(),
        n => format!(
            "off by {:.0} min or {:.0} % (median of {}), {} within the band, which promises 80 %",
            score.median_error_min,
            score.median_error_percent,
            counted(n, "look", "looks"),
            score.within_band
        ),
    };
    match score.one_sided {
        0 => words,
        one_sided => format!("{words}; of {one_sided} with one end {} speak against it", score.against_band),
    }
}

fn json(shop: &Shop, tested: &[Tested]) -> BacktestJson {
    let score = |of: fn(&Tested) -> Foretold| ScoreJson::new(&Score::of(tested, of));
    BacktestJson {
        material: shop.id().to_string(),
        learned: score(|test| test.learned),
        label: score(|test| test.label),
        predictions: tested.iter().map(TestedJson::new).collect(),
    }
}

impl ScoreJson {
    fn new(score: &Score) -> Self {
        Self {
            timed: score.timed,
            median_error_min: score.median_error_min,
            median_error_percent: score.median_error_percent,
            within_band: score.within_band,
            within_band_percent: (score.timed > 0).then(|| score.within_band as f64 / score.timed as f64 * 100.0),
            one_sided: score.one_sided,
            against_band: score.against_band,
        }
    }
}

impl TestedJson {
    fn new(test: &Tested) -> Self {
        let foretold = |Foretold { early_h, likely_h, late_h }| ForetoldJson { early_h, likely_h, late_h };
        Self {
            batch: test.batch.0,
            stage: test.stage.key(),
            from_observations: test.from,
            after_h: test.after_h,
            by_h: test.by_h,
            learned: foretold(test.learned),
            label: foretold(test.label),
        }
    }
}
