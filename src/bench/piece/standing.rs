//! Where a piece stands now, and the plan of what is left of it.

use super::BenchPiece;
use super::laid::{LaidLayer, laid};
use crate::bench::batch::Batch;
use crate::bench::entry::{Part, PieceId};
use crate::bench::log::Log;
use crate::bench::moment::hours_between;
use crate::material::{Catalogue, Profile};
use crate::pour::{Conditions, Item, Laid, LayerPlan, Piece, Plan, Progress, StepId, plan};
use crate::units::{Celsius, DosePercent};
use jiff::{SignedDuration, Timestamp};

/// Round its time the dose of a plan for the night holds: sooner or later what lies below is warmer or colder than planned, and
/// asks for another (own working values).
const SETTLED_BEFORE: SignedDuration = SignedDuration::from_mins(30);
const SETTLED_AFTER: SignedDuration = SignedDuration::from_mins(90);
/// A room may be any other temperature this long after it was measured, hours.
const READING_HOLDS_H: f64 = 12.0;

/// A piece with its layers and what is left to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    pub id: PieceId,
    /// What is in the vessel, from the floor up.
    pub laid: Vec<LaidLayer>,
    /// The rest, planned from the real level at the bench's temperature.
    pub plan: Plan,
    /// How far it has come, as the plan was made from it.
    pub(in crate::bench) progress: Progress,
    /// The steps that are done.
    done: Vec<StepId>,
    pub(in crate::bench) profile: Profile,
}

impl Standing {
    /// Where `on_bench` stands at `now`; `None` where its file or its material cannot be read.
    pub fn of(on_bench: &BenchPiece, log: &Log, catalogue: &Catalogue, now: Timestamp) -> Option<Self> {
        let piece = on_bench.piece.as_deref()?;
        let profile = &catalogue.get(&piece.material)?.profile;
        let laid = laid(on_bench, piece, log.batches());
        let mut progress = progress(on_bench.id, &laid, profile, log, now);
        progress.settled = settled(on_bench, progress.poured + 1, now);
        let conditions = Conditions { bench: bench_c(log, now), progress };
        let plan = plan(piece, profile, &conditions);
        let progress = conditions.progress;
        let trial = |batch: &Batch| batch.mix.part == Some(Part::Trial { piece: Some(on_bench.id) });
        let mut done: Vec<StepId> = on_bench.ticked.iter().map(|(_, step)| *step).collect();
        done.extend(laid.iter().map(|layer| StepId::Pour(layer.number)));
        done.extend(log.batches().any(trial).then_some(StepId::TrialCup));
        Some(Self { id: on_bench.id, laid, plan, progress, done, profile: profile.clone() })
    }

    /// Where the resin stands, mm above the floor.
    pub fn level_mm(&self) -> f64 {
        self.laid.last().map_or(0.0, |layer| layer.to_mm)
    }

    /// The layer to pour next; `None` when the piece is full.
    pub fn next_layer(&self) -> Option<&LayerPlan> {
        self.plan.layers.first()
    }

    /// What has to be laid in before the next layer is poured, and was not ticked; `piece` is the piece that stands here.
    pub fn to_lay_in(&self, piece: &Piece) -> Option<String> {
        let layer = self.next_layer().filter(|layer| !self.is_done(StepId::Bed(layer.number)))?;
        let names: Vec<String> =
            layer.bedded.iter().filter_map(|place| piece.items.get(*place)).map(Item::counted).collect();
        (!names.is_empty()).then(|| names.join(", "))
    }

    pub fn is_done(&self, step: StepId) -> bool {
        self.done.contains(&step)
    }
}

/// What the bench measured at `now`, or not long before; else the piece's own figure says more of the room than a reading
/// of some other night.
fn bench_c(log: &Log, now: Timestamp) -> Option<Celsius> {
    let reading = log.readings().since(now).first()?;
    (hours_between(reading.at, now).abs() <= READING_HOLDS_H).then_some(reading.celsius)
}

fn progress(id: PieceId, laid: &[LaidLayer], profile: &Profile, log: &Log, now: Timestamp) -> Progress {
    Progress {
        poured: laid.iter().map(|layer| layer.number).max().unwrap_or(0),
        level_mm: laid.last().map_or(0.0, |layer| layer.to_mm),
        measured: laid.last().is_some_and(|layer| layer.measured),
        last_from_mm: laid.last().map(|layer| layer.from_mm),
        warm_layers: warm_layers(laid, profile, log, now),
        laid: laid.iter().filter_map(|layer| poured(layer, log, now)).collect(),
        settled: None,
        topped: laid.iter().any(|layer| layer.topping),
        used_g: resin_g(profile, log, |part| part.piece() == Some(id)),
        poured_g: resin_g(profile, log, |part| part.layer().is_some_and(|(piece, _)| piece == id)),
    }
}

/// The dose that was accepted for layer `number`, near its time.
fn settled(on_bench: &BenchPiece, number: u32, now: Timestamp) -> Option<(u32, DosePercent)> {
    let pour = on_bench.planned_for(number)?;
    let after = now.duration_since(pour.at);
    Some((number, pour.dose?)).filter(|_| after >= -SETTLED_BEFORE && after <= SETTLED_AFTER)
}

/// The layer as the heat model takes it.
fn poured(layer: &LaidLayer, log: &Log, now: Timestamp) -> Option<Laid> {
    let batch = log.batch(layer.batch)?;
    let ago_h = hours_between(batch.started, now).max(0.0);
    Some(Laid { to_mm: layer.to_mm, dose: batch.mix.dose, ago_h })
}

/// The resin of the batches whose part is one of `those`, what stayed in their cups included.
fn resin_g(profile: &Profile, log: &Log, those: impl Fn(Part) -> bool) -> f64 {
    let of_those = log.batches().filter(|batch| batch.mix.part.is_some_and(&those));
    of_those.filter_map(|batch| batch.mix.resin).map(|resin| profile.all_resin_g(resin.get())).sum()
}

/// How many layers lie on each other, the uppermost among them, that are still warm from one another at `now`.
fn warm_layers(laid: &[LaidLayer], profile: &Profile, log: &Log, now: Timestamp) -> u32 {
    let Some(stack) = profile.dose_rule().and_then(|rule| rule.warm_stack.as_ref()) else { return 0 };
    let warm_h = stack.warm_for.value.get();
    let mut later = now;
    let mut warm = 0;
    for batch in laid.iter().rev().filter_map(|layer| log.batch(layer.batch)) {
        if hours_between(batch.started, later) > warm_h {
            break;
        }
        warm += 1;
        later = batch.started;
    }
    warm
}
