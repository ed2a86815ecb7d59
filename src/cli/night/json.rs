//! A night's plan as `--json` prints it.

use super::asked::{Asked, BenchFrom};
use crate::bench::NightGround;
use crate::night::{
    AlternativeKind, DosesForWaking, Night, NightPlan, NightPour, PourWindow, Span, Verdict, WhatIf, WhatIfCase,
};
use crate::report::night::answer_words;
use crate::units::DosePercent;
use crate::when::rfc3339;
use jiff::{Timestamp, tz::TimeZone};
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct NightJson {
    piece: String,
    material: String,
    from: String,
    bench_from: &'static str,
    risk_percent: f64,
    #[serde(flatten)]
    plan: PlanJson,
    asleep: Vec<SpanJson>,
    answer: Option<AnswerJson>,
    alternatives: Vec<AlternativeJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    what_if: Vec<WhatIfJson>,
}

#[derive(Debug, Serialize)]
struct PlanJson {
    pours: Vec<PourJson>,
    wakeups: usize,
    sandings: usize,
    /// When the last layer is likely out of the mould, and with the risk that is taken.
    finish: String,
    finish_late: Option<String>,
    /// What it has reached then; null where its material knows no more than its pour.
    finish_stage: Option<String>,
    /// Wake-ups, and sandings at their price in wake-ups.
    cost: f64,
    any_miss_at_most: f64,
}

#[derive(Debug, Serialize)]
struct PourJson {
    layer: u32,
    at: String,
    dose_percent: Option<f64>,
    planned_dose_percent: Option<f64>,
    /// Of the layer below, likely times; null for the first in the vessel, and for what never comes.
    window_opens: Option<String>,
    window_closes: Option<String>,
    window_opens_late: Option<String>,
    window_closes_early: Option<String>,
    wake: bool,
    sanded: bool,
    miss_probability: f64,
    not_open_probability: f64,
    bench_c: f64,
    peak_c: Option<f64>,
}

#[derive(Debug, Serialize)]
struct SpanJson {
    from: String,
    until: String,
}

#[derive(Debug, Serialize)]
struct AnswerJson {
    verdict: &'static str,
    reason: Vec<String>,
    /// The best there is of each; null where it does not go.
    now: Option<PlanJson>,
    morning: Option<PlanJson>,
}

#[derive(Debug, Serialize)]
struct AlternativeJson {
    kind: &'static str,
    #[serde(flatten)]
    plan: PlanJson,
}

#[derive(Debug, Serialize)]
struct WhatIfJson {
    what: &'static str,
    colder_c: Option<f64>,
    weaker_percent: Option<f64>,
    /// For each pour of the plan, at its own time.
    pours: Vec<Option<ChancesJson>>,
    finish: Option<String>,
    /// Planned anew; null where nothing fits.
    anew: Option<PlanJson>,
}

#[derive(Debug, Serialize)]
struct ChancesJson {
    window_opens: Option<String>,
    window_closes: Option<String>,
    miss_probability: f64,
    not_open_probability: f64,
}

/// What `--wake-at` prints.
#[derive(Debug, Serialize)]
pub(super) struct DosesJson {
    layer: u32,
    poured: String,
    wake: String,
    /// Null where no dose does.
    weakest_percent: Option<f64>,
    strongest_percent: Option<f64>,
    best_percent: f64,
    #[serde(flatten)]
    best: ChancesJson,
}

impl NightJson {
    pub fn new(night: &Night, cases: &[WhatIfCase], asked: &Asked) -> Self {
        let (ground, zone) = (&asked.ground, &asked.ground.zone);
        let plan = |plan: &NightPlan| PlanJson::new(plan, zone);
        Self {
            piece: ground.piece.name.to_string(),
            material: ground.profile.id.to_string(),
            from: rfc3339(ground.from, zone),
            bench_from: match asked.bench_from {
                BenchFrom::Asked => "asked",
                BenchFrom::File => "file",
                BenchFrom::Readings => "readings",
                BenchFrom::Piece => "piece",
            },
            risk_percent: ground.rules.risk * 100.0,
            plan: plan(&night.best),
            asleep: night.best.asleep.iter().map(|span| SpanJson::new(span, zone)).collect(),
            answer: night.now_or_morning.as_ref().map(|answer| AnswerJson {
                verdict: match answer.verdict {
                    Verdict::Now => "now",
                    Verdict::Night => "night",
                    Verdict::Morning => "morning",
                },
                reason: answer_words(answer, zone),
                now: answer.now.as_ref().map(plan),
                morning: answer.morning.as_ref().map(plan),
            }),
            alternatives: night
                .alternatives
                .iter()
                .map(|other| AlternativeJson {
                    kind: match other.kind {
                        AlternativeKind::Sooner => "sooner",
                        AlternativeKind::ThroughTheNight => "through-the-night",
                        AlternativeKind::WarmerBench => "warmer-bench",
                        AlternativeKind::WithSanding => "with-sanding",
                    },
                    plan: plan(&other.plan),
                })
                .collect(),
            what_if: cases.iter().map(|case| WhatIfJson::new(case, zone)).collect(),
        }
    }
}

impl PlanJson {
    fn new(plan: &NightPlan, zone: &TimeZone) -> Self {
        Self {
            pours: plan.pours.iter().map(|pour| PourJson::new(pour, zone)).collect(),
            wakeups: plan.wakeups(),
            sandings: plan.sandings(),
            finish: rfc3339(plan.finish.likely, zone),
            finish_late: plan.finish.late.map(|late| rfc3339(late, zone)),
            finish_stage: plan.finish.stage.map(|stage| stage.key().to_owned()),
            cost: plan.cost,
            any_miss_at_most: plan.any_miss(),
        }
    }
}

impl PourJson {
    fn new(pour: &NightPour, zone: &TimeZone) -> Self {
        let time = |at: Option<Timestamp>| at.map(|at| rfc3339(at, zone));
        let window = pour.window.as_ref();
        Self {
            layer: pour.layer,
            at: rfc3339(pour.at, zone),
            dose_percent: pour.dose.map(DosePercent::get),
            planned_dose_percent: pour.planned_dose.map(DosePercent::get),
            window_opens: time(window.and_then(|window| window.opens.likely)),
            window_closes: time(window.and_then(|window| window.closes.likely)),
            window_opens_late: time(window.and_then(|window| window.opens.late)),
            window_closes_early: time(window.and_then(|window| window.closes.early)),
            wake: pour.wakes,
            sanded: pour.sanded,
            miss_probability: pour.closed(),
            not_open_probability: pour.not_open(),
            bench_c: pour.bench_c,
            peak_c: pour.peak_c,
        }
    }
}

impl SpanJson {
    fn new(span: &Span, zone: &TimeZone) -> Self {
        Self { from: rfc3339(span.from, zone), until: rfc3339(span.until, zone) }
    }
}

impl ChancesJson {
    fn new(window: &PourWindow, zone: &TimeZone) -> Self {
        Self {
            window_opens: window.opens.likely.map(|at| rfc3339(at, zone)),
            window_closes: window.closes.likely.map(|at| rfc3339(at, zone)),
            miss_probability: window.closed,
            not_open_probability: window.not_open,
        }
    }
}

impl WhatIfJson {
    fn new(case: &WhatIfCase, zone: &TimeZone) -> Self {
        let (what, colder_c, weaker_percent) = match case.what {
            WhatIf::Colder { by_c } => ("colder", Some(by_c), None),
            WhatIf::Weaker { by } => ("weaker", None, Some(by * 100.0)),
            WhatIf::OneLayerLess => ("one-layer-less", None, None),
        };
        Self {
            what,
            colder_c,
            weaker_percent,
            pours: case.windows.iter().map(|window| Some(ChancesJson::new(window.as_ref()?, zone))).collect(),
            finish: case.finish.map(|at| rfc3339(at, zone)),
            anew: case.anew.as_ref().ok().map(|plan| PlanJson::new(plan, zone)),
        }
    }
}

impl DosesJson {
    pub fn new(doses: &DosesForWaking, ground: &NightGround) -> Self {
        let zone = &ground.zone;
        Self {
            layer: doses.layer,
            poured: rfc3339(doses.poured, zone),
            wake: rfc3339(doses.wake, zone),
            weakest_percent: doses.range.map(|(weakest, _)| weakest.get()),
            strongest_percent: doses.range.map(|(_, strongest)| strongest.get()),
            best_percent: doses.best.0.get(),
            best: ChancesJson::new(&doses.best.1, zone),
        }
    }
}
