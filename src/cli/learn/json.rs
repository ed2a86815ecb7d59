//! What `learn MATERIAL --json` prints. The keys are a promise: they may grow, but not change.

use super::shop::Shop;
use super::words;
use crate::cli::shared::Desk;
use crate::cure::RateLaw;
use crate::learn::{Insight, Logged, LookFrom, Trial, Verdict};
use crate::material::Stage;
use crate::units::{Celsius, DosePercent, Millimetres};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct ShopJson<'a> {
    material: &'a str,
    observations: usize,
    batches: usize,
    /// Looks from before the notebook.
    remembered: usize,
    reference_c: Celsius,
    reference_dose_percent: Option<DosePercent>,
    stages: Vec<StageJson>,
    rules: Vec<RuleJson>,
    dose_exponent: Option<DoseJson>,
    spread: SpreadJson,
    looks: Vec<LookJson<'a>>,
    set_aside: Vec<AsideJson>,
    best_trial: Option<TrialJson>,
    best_trial_on_the_bench_as_it_is: Option<TrialJson>,
}

#[derive(Serialize)]
struct VerdictJson {
    /// learned, goes-along, label or cannot-tell.
    verdict: &'static str,
    from_observations: u32,
    /// What would tell it.
    wanted: Option<&'static str>,
}

#[derive(Serialize)]
struct StageJson {
    stage: Stage,
    label_after_h: f64,
    after_h: f64,
    shop_factor: f64,
    /// Standard deviation of ln of the shop factor.
    ln_factor_sd: f64,
    spread_factor: f64,
    #[serde(flatten)]
    verdict: VerdictJson,
}

#[derive(Serialize)]
struct RuleJson {
    /// The stage whose own it is; `null` for the material's.
    stage: Option<Stage>,
    label: LawJson,
    learned: LawJson,
    /// Standard deviation of ln(q10), or of the energy in kJ/mol.
    coefficient_sd: f64,
    #[serde(flatten)]
    verdict: VerdictJson,
}

#[derive(Serialize)]
#[serde(untagged)]
enum LawJson {
    Q10 { q10: f64 },
    Activation { activation_kj: f64 },
}

#[derive(Serialize)]
struct DoseJson {
    label: f64,
    learned: f64,
    standard_error: f64,
    #[serde(flatten)]
    verdict: VerdictJson,
}

#[derive(Serialize)]
struct SpreadJson {
    #[serde(flatten)]
    verdict: VerdictJson,
}

#[derive(Serialize)]
struct LookJson<'a> {
    /// `null` for one from before the notebook.
    batch: Option<u32>,
    title: &'a str,
    stage: Stage,
    after_h: Option<f64>,
    by_h: Option<f64>,
    mean_c: f64,
    dose_percent: Option<DosePercent>,
    depth_mm: Option<Millimetres>,
    trial: bool,
    guess: bool,
    tests: Vec<&'a str>,
    entries: Vec<i64>,
    /// ln of the share of its age that the resin's own heat leaves to the bench.
    own_heat_ln: f64,
    /// Standard deviations that it is later than likely.
    residual_sd: f64,
    /// ln of what its stage's time moves by because of it.
    pull_ln: f64,
    /// How likely it is no slip.
    trust: f64,
}

#[derive(Serialize)]
struct AsideJson {
    batch: Option<u32>,
    stage: Stage,
    entries: Vec<i64>,
    why: String,
}

#[derive(Serialize)]
struct TrialJson {
    celsius: f64,
    dose_percent: Option<DosePercent>,
    gain_nats: f64,
    stages: Vec<TrialStageJson>,
}

#[derive(Serialize)]
struct TrialStageJson {
    stage: Stage,
    likely_h: f64,
}

impl<'a> ShopJson<'a> {
    pub fn new(shop: &'a Shop, desk: &Desk) -> Self {
        let fit = &shop.fit;
        Self {
            material: shop.id().as_str(),
            observations: fit.looks(),
            batches: shop.gathered.batches(),
            remembered: shop.gathered.remembered(),
            reference_c: shop.label.reference_temperature.value,
            reference_dose_percent: shop.label.reference_dose.map(|dose| dose.value),
            stages: (0..fit.model.stages.len()).map(|place| stage(shop, place)).collect(),
            rules: (0..fit.model.rules.len()).map(|place| rule(shop, place)).collect(),
            dose_exponent: dose(shop),
            spread: SpreadJson { verdict: VerdictJson::new(fit.spread) },
            looks: shop.used().map(|(logged, place)| LookJson::new(logged, &fit.insight(place))).collect(),
            set_aside: aside(shop, desk),
            best_trial: shop.best_trial().map(|trial| TrialJson::new(&trial)),
            best_trial_on_the_bench_as_it_is: shop.best_trial_here().map(|trial| TrialJson::new(&trial)),
        }
    }
}

fn stage(shop: &Shop, place: usize) -> StageJson {
    let (factor, sd) = shop.fit.factor(place);
    let term = &shop.fit.model.stages[place];
    StageJson {
        stage: term.stage,
        label_after_h: term.label.get(),
        after_h: shop.fit.after(place).get(),
        shop_factor: factor,
        ln_factor_sd: sd,
        spread_factor: shop.fit.spread_factor(place).get(),
        verdict: VerdictJson::new(shop.fit.stages[place]),
    }
}

fn rule(shop: &Shop, place: usize) -> RuleJson {
    let (rule, coefficient_sd) = shop.fit.rule(place);
    let term = &shop.fit.model.rules[place];
    RuleJson {
        stage: term.of,
        label: LawJson::new(term.law()),
        learned: LawJson::new(rule.law),
        coefficient_sd,
        verdict: VerdictJson::new(shop.fit.rules[place]),
    }
}

fn dose(shop: &Shop) -> Option<DoseJson> {
    let (learned, standard_error) = shop.fit.exponent()?;
    let label = shop.fit.model.dose?.exponent;
    Some(DoseJson { label, learned, standard_error, verdict: VerdictJson::new(shop.fit.dose?) })
}

fn aside(shop: &Shop, desk: &Desk) -> Vec<AsideJson> {
    let ids = |entries: &[crate::bench::EntryId]| entries.iter().map(|entry| entry.0).collect();
    let set_aside = shop.gathered.set_aside.iter().map(|aside| AsideJson {
        batch: batch(aside.from),
        stage: aside.stage,
        entries: ids(&aside.entries),
        why: words::why(aside.why, &desk.zone),
    });
    let silent = shop.silent().map(|(logged, reason)| AsideJson {
        batch: batch(logged.from),
        stage: logged.look.stage,
        entries: ids(&logged.entries),
        why: words::tells_nothing(reason).to_owned(),
    });
    set_aside.chain(silent).collect()
}

fn batch(from: LookFrom) -> Option<u32> {
    match from {
        LookFrom::Batch(batch) => Some(batch.0),
        LookFrom::Recalled(_) => None,
    }
}

impl VerdictJson {
    fn new(verdict: Verdict) -> Self {
        let (verdict, from_observations, wanted) = match verdict {
            Verdict::Learned { looks } => ("learned", looks, None),
            Verdict::GoesAlong => ("goes-along", 0, None),
            Verdict::Label => ("label", 0, None),
            Verdict::CannotTell(missing) => ("cannot-tell", 0, Some(words::what_would_tell(missing))),
        };
        Self { verdict, from_observations, wanted }
    }
}

impl LawJson {
    fn new(law: RateLaw) -> Self {
        match law {
            RateLaw::Q10(q10) => LawJson::Q10 { q10: q10.get() },
            RateLaw::Arrhenius(energy) => LawJson::Activation { activation_kj: energy.get() },
        }
    }
}

impl<'a> LookJson<'a> {
    fn new(logged: &'a Logged, insight: &Insight) -> Self {
        Self {
            batch: batch(logged.from),
            title: logged.title.as_str(),
            stage: logged.look.stage,
            after_h: logged.look.after_h,
            by_h: logged.look.by_h,
            mean_c: insight.celsius,
            dose_percent: logged.look.dose,
            depth_mm: logged.depth,
            trial: logged.trial,
            guess: logged.look.guessed,
            tests: logged.tests.iter().map(crate::text::PlainText::as_str).collect(),
            entries: logged.entries.iter().map(|entry| entry.0).collect(),
            own_heat_ln: logged.look.own_heat,
            residual_sd: insight.residual,
            pull_ln: insight.pull,
            trust: insight.trust,
        }
    }
}

impl TrialJson {
    fn new(trial: &Trial) -> Self {
        let stages = trial.stages.iter().map(|(stage, likely_h)| TrialStageJson { stage: *stage, likely_h: *likely_h });
        Self { celsius: trial.celsius, dose_percent: trial.dose, gain_nats: trial.gain, stages: stages.collect() }
    }
}
