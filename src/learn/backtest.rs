//! Every past batch predicted from the ones before it: would it have been right?

use super::fit::Undetermined;
use super::gather::{Gathered, Logged, LookFrom, gather};
use super::look::Look;
use super::predict::Setting;
use super::shop::ShopModel;
use super::shop_fit::ShopFit;
use crate::bench::{BatchId, HeatBook, Log};
use crate::cure::{AgeCurve, log_sd, normal_quantile};
use crate::material::{MaterialId, Stage, ThermalCure};

/// One look, held against what was known before its batch was mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested {
    pub batch: BatchId,
    pub stage: Stage,
    /// Looks that there were by then.
    pub from: usize,
    pub after_h: Option<f64>,
    pub by_h: Option<f64>,
    /// By what was learned by then, and by the label; on the bench as it was really measured.
    pub learned: Foretold,
    pub label: Foretold,
}

/// A time foretold: hours from first contact; `None` for never.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foretold {
    pub early_h: Option<f64>,
    pub likely_h: Option<f64>,
    pub late_h: Option<f64>,
}

/// How well times were foretold.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Score {
    /// Looks with two ends: those that an error can be told of.
    pub timed: usize,
    /// Of these.
    pub median_error_min: f64,
    pub median_error_percent: f64,
    /// The middle of what was seen lies in the band, which promises 80 %.
    pub within_band: usize,
    /// Looks with one end, and how many of them speak against the band as a whole.
    pub one_sided: usize,
    pub against_band: usize,
}

/// Predicts each batch of `material` from what had happened before it was mixed.
pub fn backtest(
    log: &Log,
    heat: &HeatBook,
    material: &MaterialId,
    label: &ThermalCure,
) -> Result<Vec<Tested>, Undetermined> {
    let model = ShopModel::of(label);
    let all = gather(log, heat, material, None);
    let mut tested = Vec::new();
    for batch in log.batches().filter(|batch| batch.mix.material == *material) {
        let mine: Vec<&Logged> = all.looks.iter().filter(|logged| logged.from == LookFrom::Batch(batch.id)).collect();
        if mine.is_empty() {
            continue;
        }
        let before: Gathered = gather(log, heat, material, Some(batch.started));
        let looks: Vec<Look> = before.looks.into_iter().map(|logged| logged.look).collect();
        let fit = ShopFit::of(model.clone(), &looks)?;
        for Logged { look, .. } in mine {
            let by_label = by_label(label, look);
            tested.push(Tested {
                batch: batch.id,
                stage: look.stage,
                from: fit.looks(),
                after_h: look.after_h,
                by_h: look.by_h,
                // Before anything was seen the label is all there is.
                learned: if fit.looks() == 0 { by_label } else { by_fit(&fit, look) },
                label: by_label,
            });
        }
    }
    Ok(tested)
}

fn by_fit(fit: &ShopFit, look: &Look) -> Foretold {
    let setting = Setting { bench: &look.bench, dose: look.dose, own_heat: look.own_heat };
    let prediction = fit.predict(look.stage, &setting);
    let hours = |p: f64| prediction.as_ref().and_then(|prediction| prediction.hours(p));
    Foretold { early_h: hours(0.1), likely_h: hours(0.5), late_h: hours(0.9) }
}

fn by_label(label: &ThermalCure, look: &Look) -> Foretold {
    let Some(time) = label.stage(look.stage) else { return Foretold { early_h: None, likely_h: None, late_h: None } };
    let ages = AgeCurve::new(&look.bench, label.rule_of(time), 0.0);
    let age_h = label.age(time, look.dose).get() * look.own_heat.exp();
    let (sd, least_c) = (log_sd(time.spread.value), label.warmth_for(time));
    let hours = |p: f64| ages.reach_where_warm(age_h * (sd * normal_quantile(p)).exp(), least_c);
    Foretold { early_h: hours(0.1), likely_h: hours(0.5), late_h: hours(0.9) }
}

impl Tested {
    /// The middle of what was seen, in the geometric sense; `None` where one end is open.
    pub fn seen_h(&self) -> Option<f64> {
        Some((self.after_h? * self.by_h?).sqrt())
    }
}

impl Score {
    /// The score of `of` (by what was learned, or by the label) over `tested`.
    pub fn of(tested: &[Tested], of: impl Fn(&Tested) -> Foretold) -> Self {
        let mut score = Self::default();
        let (mut minutes, mut percents) = (Vec::new(), Vec::new());
        for test in tested {
            let Foretold { early_h, likely_h, late_h } = of(test);
            let Some(seen_h) = test.seen_h() else {
                score.one_sided += 1;
                let too_early = test.after_h.zip(late_h).is_some_and(|(after_h, late_h)| late_h < after_h);
                let too_late = test.by_h.is_some_and(|by_h| early_h.is_none_or(|early_h| by_h < early_h));
                score.against_band += usize::from(too_early || too_late);
                continue;
            };
            score.timed += 1;
            let off = likely_h.map_or(f64::INFINITY, |likely_h| likely_h - seen_h);
            minutes.push(off.abs() * 60.0);
            percents.push((off / seen_h).abs() * 100.0);
            let within =
                early_h.is_some_and(|early_h| early_h <= seen_h) && late_h.is_none_or(|late_h| seen_h <= late_h);
            score.within_band += usize::from(within);
        }
        (score.median_error_min, score.median_error_percent) = (median(minutes), median(percents));
        score
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[n / 2],
        n => f64::midpoint(values[n / 2 - 1], values[n / 2]),
    }
}
