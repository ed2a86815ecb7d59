//! What `plan --json` prints. The keys are a promise: they may grow, but not change.

use crate::material::MaterialId;
use crate::pour::{LayerKind, LayerPlan, Plan, Short, Step, StepId, Warning};
use crate::report::{Cup, Report, laid_in, reasons};
use crate::text::PlainText;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct PlanJson<'a> {
    piece: &'a PlainText,
    material: &'a MaterialId,
    bench_c: f64,
    layers: Vec<LayerJson<'a>>,
    totals: TotalsJson,
    currency: Option<&'a PlainText>,
    master_batch: MasterJson,
    opacity: Option<OpacityJson<'a>>,
    warnings: Vec<WarningJson<'a>>,
    steps: Vec<StepJson<'a>>,
    cautions: &'a [PlainText],
}

#[derive(Serialize)]
struct LayerJson<'a> {
    layer: u32,
    kind: &'static str,
    from_mm: f64,
    to_mm: f64,
    depth_mm: f64,
    volume_ml: f64,
    resin_g: f64,
    tint_g: f64,
    /// What the layer takes out of the tinted batch: resin, of a two-part system part A, with its tint.
    master_g: f64,
    /// Null for what the material does not take, here and below.
    catalyst_g: Option<f64>,
    catalyst_ml: Option<f64>,
    catalyst_drops: Option<u32>,
    dose_percent: Option<f64>,
    dose_reasons: &'a [PlainText],
    part_a_g: Option<f64>,
    part_b_g: Option<f64>,
    part_a_ml: Option<f64>,
    part_b_ml: Option<f64>,
    cups: u32,
    cup_loss_g: f64,
    /// What one digit of the scale is of the catalyst or of part B.
    digit_percent: Option<f64>,
    /// The names of what is laid in before it.
    bedded: Vec<&'a PlainText>,
    /// About how hot it gets; null where the material's heat is not known, or too many layers lie below it.
    peak_c: Option<f64>,
}

#[derive(Serialize)]
struct TotalsJson {
    volume_ml: f64,
    displaced_ml: f64,
    resin_g: f64,
    tint_g: f64,
    catalyst_g: Option<f64>,
    part_a_g: Option<f64>,
    part_b_g: Option<f64>,
    cup_loss_g: f64,
    cost: Option<f64>,
}

#[derive(Serialize)]
struct MasterJson {
    resin_g: f64,
    tint_g: f64,
    reserve_g: f64,
    short: Option<ShortJson>,
}

#[derive(Serialize)]
struct ShortJson {
    on_hand_g: f64,
    needed_g: f64,
    reaches_layer: Option<u32>,
}

#[derive(Serialize)]
struct OpacityJson<'a> {
    absorbance_per_mm: f64,
    light_percent: &'a [f64],
}

#[derive(Serialize)]
struct WarningJson<'a> {
    code: &'static str,
    layer: Option<u32>,
    text: &'a PlainText,
}

#[derive(Serialize)]
struct StepJson<'a> {
    step: StepId,
    what: &'a PlainText,
    caution: Option<&'a PlainText>,
}

impl<'a> PlanJson<'a> {
    pub fn new(report: &Report<'a>) -> Self {
        let Report { piece, plan, .. } = report;
        let Plan { master, opacity, warnings, steps, .. } = plan;
        let cups: Vec<Cup> = plan.layers.iter().map(Cup::of).collect();
        let of_all = |figure: fn(&Cup) -> Option<f64>, total: f64| cups.iter().find_map(figure).map(|_| total);
        Self {
            piece: &piece.name,
            material: &piece.material,
            bench_c: plan.bench.get(),
            layers: plan.layers.iter().map(|layer| LayerJson::new(report, layer)).collect(),
            totals: TotalsJson {
                volume_ml: plan.totals.volume_ml,
                displaced_ml: plan.totals.displaced_ml,
                resin_g: plan.totals.resin_g,
                tint_g: plan.totals.tint_g,
                catalyst_g: of_all(|cup| cup.catalyst_g, plan.totals.catalyst_g),
                part_a_g: of_all(|cup| cup.a_g, plan.totals.part_a_g),
                part_b_g: of_all(|cup| cup.b_g, plan.totals.part_b_g),
                cup_loss_g: plan.totals.cup_loss_g,
                cost: plan.totals.cost,
            },
            currency: plan.totals.cost.map(|_| &piece.supplies.prices.currency),
            master_batch: MasterJson {
                resin_g: master.resin_g,
                tint_g: master.tint_g,
                reserve_g: master.reserve_g,
                short: master.short.map(|Short { on_hand_g, needed_g, reaches }| ShortJson {
                    on_hand_g,
                    needed_g,
                    reaches_layer: reaches,
                }),
            },
            opacity: opacity.as_ref().map(|opacity| OpacityJson {
                absorbance_per_mm: opacity.absorbance_per_mm,
                light_percent: &opacity.light_percent,
            }),
            warnings: warnings.iter().map(WarningJson::new).collect(),
            steps: steps.iter().map(StepJson::new).collect(),
            cautions: &report.profile.cautions,
        }
    }
}

impl<'a> LayerJson<'a> {
    fn new(report: &Report<'a>, layer: &'a LayerPlan) -> Self {
        let Cup { dose_percent, catalyst_g, catalyst_ml, drops, a_g, b_g, a_ml, b_ml } = Cup::of(layer);
        Self {
            layer: layer.number,
            kind: match layer.kind {
                LayerKind::Cast => "layer",
                LayerKind::Topping => "topping",
            },
            from_mm: layer.cast.from_mm,
            to_mm: layer.cast.to_mm,
            depth_mm: layer.cast.depth_mm(),
            volume_ml: layer.cast.volume_ml,
            resin_g: layer.resin_g,
            tint_g: layer.tint_g,
            master_g: layer.from_master_g(),
            catalyst_g,
            catalyst_ml,
            catalyst_drops: drops,
            dose_percent,
            dose_reasons: reasons(layer),
            part_a_g: a_g,
            part_b_g: b_g,
            part_a_ml: a_ml,
            part_b_ml: b_ml,
            cups: layer.cups,
            cup_loss_g: layer.cup_loss_g,
            digit_percent: layer.digit_percent,
            bedded: laid_in(report.piece, layer).map(|item| &item.name).collect(),
            peak_c: layer.peak_c.map(|peak_c| (peak_c * 10.0).round() / 10.0),
        }
    }
}

impl<'a> WarningJson<'a> {
    fn new(Warning { code, layer, text }: &'a Warning) -> Self {
        Self { code: code.word(), layer: *layer, text }
    }
}

impl<'a> StepJson<'a> {
    fn new(Step { id, what, caution }: &'a Step) -> Self {
        Self { step: *id, what, caution: caution.as_ref() }
    }
}
