//! What the bench knows of a piece that a night's plan is made from.

use super::entry::PieceId;
use super::forecast::quantiles;
use super::log::Log;
use super::machine::Bench;
use super::moment::hours_between;
use super::piece::Standing;
use crate::cure::{Outlook, RoomSpread, TemperatureCurve};
use crate::material::{Profile, Stage};
use crate::night::{Below, BenchAhead, NightAsk, NightPlan, NightRules, PourOptions, Span};
use crate::pour::{Piece, Progress};
use crate::units::{Celsius, DosePercent};
use jiff::{Timestamp, tz::TimeZone};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A reading older than this says nothing of the night ahead, hours.
const READING_HOLDS_H: f64 = 12.0;

/// One pour of a plan that was accepted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlannedPour {
    pub layer: u32,
    pub at: Timestamp,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dose: Option<DosePercent>,
}

impl PlannedPour {
    /// The pours of a plan, as the notebook keeps them.
    pub fn of(plan: &NightPlan) -> Vec<Self> {
        plan.pours.iter().map(|pour| Self { layer: pour.layer, at: pour.at, dose: pour.dose }).collect()
    }
}

/// Everything of one piece at one moment, to be planned from on another thread.
#[derive(Debug, Clone)]
pub struct NightGround {
    pub piece: Arc<Piece>,
    pub profile: Profile,
    pub progress: Progress,
    pub bench: BenchAhead,
    pub below: Option<Below>,
    /// When the hands are at other pieces.
    pub taken: Vec<Span>,
    pub from: Timestamp,
    pub zone: TimeZone,
    pub rules: NightRules,
}

impl NightGround {
    /// What is asked of the planner.
    pub fn ask<'a>(&'a self, options: &'a PourOptions) -> NightAsk<'a> {
        NightAsk {
            piece: &self.piece,
            profile: &self.profile,
            progress: &self.progress,
            options,
            bench: &self.bench,
            below: self.below.as_ref(),
            from: self.from,
            zone: &self.zone,
            rules: &self.rules,
            taken: &self.taken,
        }
    }

    /// The doses there are to choose from: the long part of the work, which holds while [`NightGround::heat_key`] stays.
    pub fn options(&self) -> PourOptions {
        PourOptions::of(&self.piece, &self.profile, &self.progress, &self.bench.curve, &self.rules)
    }

    /// What the doses depend on.
    pub fn heat_key(&self) -> (Progress, (f64, f64), bool) {
        let mut progress = self.progress.clone();
        // That it cools with every minute is left to the model of the plan itself.
        for laid in &mut progress.laid {
            laid.ago_h = 0.0;
        }
        (progress, PourOptions::range_c(&self.bench.curve), self.rules.doses)
    }
}

/// The bench's temperature ahead by its readings, hours from `from`; `None` where none is recent enough.
pub fn bench_ahead(log: &Log, now: Timestamp, from: Timestamp) -> Option<BenchAhead> {
    let readings = log.readings();
    let last = readings.last().filter(|last| hours_between(last.at, now).abs() <= READING_HOLDS_H)?;
    let curve = readings.curve(from)?;
    // What was measured before the last reading says nothing of the night.
    let ahead_h = hours_between(from, last.at);
    let knots = curve.knots().iter().filter(|knot| knot.at_h >= ahead_h - 1e-9).copied().collect();
    Some(BenchAhead { curve: TemperatureCurve::new(knots).ok()?, outlook: readings.outlook(from, now) })
}

/// A bench that stays so, for somebody who says so, or of which nobody has `measured` anything.
pub fn bench_held(celsius: Celsius, measured: bool) -> BenchAhead {
    let outlook = Outlook { measured_until_h: measured.then_some(0.0), now_h: 0.0, spread: RoomSpread::default() };
    BenchAhead { curve: TemperatureCurve::constant(celsius), outlook }
}

impl Bench {
    /// What a plan for `piece` is made from, its first pour not before `from`; `None` where it cannot be planned, or is full.
    pub fn night_ground(
        &self,
        piece: PieceId,
        from: Timestamp,
        rules: &NightRules,
        now: Timestamp,
    ) -> Option<NightGround> {
        let (on_bench, standing) = self.pieces().find(|(on_bench, _)| on_bench.id == piece)?;
        let standing = standing.filter(|standing| standing.next_layer().is_some())?;
        let planned = standing.plan.bench;
        let bench = bench_ahead(self.log(), now, from).unwrap_or_else(|| bench_held(planned, false));
        let mut progress = standing.progress.clone();
        let later_h = hours_between(now, from);
        for laid in &mut progress.laid {
            laid.ago_h += later_h;
        }
        Some(NightGround {
            piece: on_bench.piece.clone()?,
            profile: standing.profile.clone(),
            below: self.below(standing, from, now),
            progress,
            bench,
            taken: self.taken(piece, rules, now),
            from,
            zone: self.zone().clone(),
            rules: rules.clone(),
        })
    }

    fn below(&self, standing: &Standing, from: Timestamp, now: Timestamp) -> Option<Below> {
        let top = standing.laid.last()?;
        let batch = self.log().batch(top.batch)?;
        let own = self.heat().get(batch.id);
        let of = |stage: Stage| quantiles(batch, self.log().readings(), own, now, from, stage);
        Some(Below {
            layer: top.number,
            poured_h: hours_between(from, batch.started),
            opens: of(Stage::NextLayerOpens),
            closes: of(Stage::NextLayerCloses),
            demould: of(Stage::Demould),
            cured: of(Stage::FullCure),
            warm: usize::try_from(standing.progress.warm_layers).unwrap_or(usize::MAX),
        })
    }

    /// When the hands are needed at other pieces: at the pours that were accepted for them, and where nothing was, when their
    /// next layer can follow.
    fn taken(&self, piece: PieceId, rules: &NightRules, now: Timestamp) -> Vec<Span> {
        let work = |at: Timestamp| Span { from: at - rules.prepare, until: at + rules.pouring };
        let others = self.pieces().filter(|(other, _)| other.id != piece);
        let mut taken: Vec<Span> = Vec::new();
        for (other, standing) in others {
            let Some(standing) = standing else { continue };
            let planned = other.planned().iter().filter(|pour| pour.layer > standing.progress.poured && pour.at >= now);
            let before = taken.len();
            taken.extend(planned.map(|pour| work(pour.at)));
            if taken.len() == before && standing.next_layer().is_some_and(|next| !next.cold) {
                let top = standing.laid.last().and_then(|top| self.forecast_of(top.batch));
                let opens = top.and_then(|forecast| forecast.stage(Stage::NextLayerOpens)?.band.likely);
                taken.extend(opens.filter(|opens| *opens >= now).map(work));
            }
        }
        taken
    }
}
