//! What the bench knows of a piece that a night's plan is made from.

use super::entry::PieceId;
use super::forecast::{BatchForecast, quantiles};
use super::log::Log;
use super::machine::Bench;
use super::moment::hours_between;
use super::piece::Standing;
use super::tie::later;
use crate::cure::{Outlook, RoomSpread, TemperatureCurve};
use crate::material::{Profile, Stage};
use crate::night::{Below, BenchAhead, NightAsk, NightPlan, NightRules, PourOptions, Span, on_the_grid};
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
    /// On a closed window, with what that asks for.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub sanded: bool,
}

impl PlannedPour {
    /// Whether the window of the layer below, whose clock this is, is more likely open than closed at its time, or need not be.
    pub(super) fn keeps(&self, below: &BatchForecast) -> bool {
        let closes = below.stage(Stage::NextLayerCloses).and_then(|stage| stage.band.likely);
        self.sanded || closes.is_none_or(|closes| self.at < closes)
    }

    /// The pours of a plan, as the notebook keeps them.
    pub fn of(plan: &NightPlan) -> Vec<Self> {
        let pours = plan.pours.iter();
        pours.map(|pour| Self { layer: pour.layer, at: pour.at, dose: pour.dose, sanded: pour.sanded }).collect()
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

    /// The same on a bench that takes another course from the start of the plan on.
    #[must_use]
    pub fn on(self, bench: BenchAhead) -> Self {
        let below = self.below.as_ref().zip(self.profile.thermal());
        let below = below.map(|(below, cure)| below.on(cure, &self.bench, &bench.curve));
        Self { bench, below, ..self }
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
        let from = on_the_grid(from);
        let (on_bench, standing) = self.pieces().find(|(on_bench, _)| on_bench.id == piece)?;
        let standing = standing.filter(|standing| standing.next_layer().is_some())?;
        let planned = standing.plan.bench;
        let bench = bench_ahead(self.log(), now, from).unwrap_or_else(|| bench_held(planned, false));
        // What was settled on before is planned anew.
        let mut progress = crate::pour::Progress { settled: None, ..standing.progress.clone() };
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
        let work = |at: Timestamp| Span { from: later(at, -rules.prepare), until: later(at, rules.pouring) };
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::entry::{BatchId, Entry, Part};
    use crate::bench::testing::{Story, at};
    use crate::bench::{AlarmId, Event};
    use crate::material::Catalogue;
    use crate::night::Planner;
    use crate::pour::CupParts;
    use crate::text::PlainText;
    use crate::units::Millimetres;
    use jiff::SignedDuration;

    /// Three layers of 10 mm, invented.
    const BLOCK: &str = "name = 'block'\nmaterial = 'clear-polyester'\nfill_mm = 30\n[vessel]\nshape = 'box'\nlength_mm = 50\n\
                         width_mm = 50\nheight_mm = 40\n[layers]\ncount = 3\n";

    fn started() -> Story {
        let mut story = Story::at_20_c();
        story.write(
            -1,
            Entry::PieceStarted { name: PlainText::new("block"), toml: BLOCK.to_owned(), meshes: Vec::new() },
        );
        story.mix_as(0, "clear-polyester", |mix| {
            mix.part = Some(Part::Layer { piece: PieceId(1), layer: 1 });
            (mix.depth, mix.dose) = (Millimetres::new(10.0).ok(), DosePercent::new(1.32).ok());
        });
        story
    }

    fn opened(story: &Story, minute: i64) -> Bench {
        let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, at(minute));
        bench.handle(Event::Entries(story.entries().to_vec()), at(minute));
        bench
    }

    fn next_due(bench: &Bench) -> Timestamp {
        let id = AlarmId::of(BatchId(1), Stage::NextLayerOpens);
        bench.alarms().iter().find(|alarm| alarm.id == id).unwrap().due
    }

    #[test]
    fn the_window_that_is_planned_into_is_the_one_on_the_screen() {
        let bench = opened(&started(), 10);
        // Asked between two moments of the grid, hours count from the next.
        let asked = at(10) - SignedDuration::from_secs(100);
        let ground = bench.night_ground(PieceId(1), asked, &NightRules::default(), at(10)).unwrap();
        assert_eq!(ground.from, at(10));
        let below = ground.below.as_ref().unwrap();
        assert_eq!((below.layer, below.warm), (1, 1));
        let band = bench.forecast_of(BatchId(1)).unwrap().stage(Stage::NextLayerOpens).unwrap().band;
        for (p, told) in [(0.1, band.early), (0.5, band.likely), (0.9, band.late)] {
            let off_h = below.opens.unwrap().hour(p) - hours_between(at(10), told.unwrap());
            assert!(off_h.abs() < 1e-6, "{p}: {off_h}");
        }
        let options = ground.options();
        let plan = Planner::new(ground.ask(&options)).unwrap().best().unwrap();
        let (first, likely) = (&plan.pours[0], band.likely.unwrap());
        assert_eq!((first.layer, plan.pours.len()), (2, 2));
        let waited = first.at.duration_since(likely);
        assert!(waited >= SignedDuration::ZERO && waited < SignedDuration::from_mins(5), "nobody sleeps: {waited}");
    }

    #[test]
    fn who_goes_by_a_plan_is_called_for_its_times_and_weighs_its_dose() {
        let mut story = started();
        let before = opened(&story, 10);
        let dose = DosePercent::new(0.77).unwrap();
        let planned = at(400);
        let pours = vec![PlannedPour { layer: 2, at: planned, dose: Some(dose), sanded: false }];
        let entry = story.write(11, Entry::NightPlanned { piece: PieceId(1), pours });
        let bench = opened(&story, 12);
        assert!(next_due(&before) < planned && next_due(&bench) == planned);
        let chosen = |bench: &Bench| match &bench.pieces().next().unwrap().1.unwrap().next_layer().unwrap().parts {
            CupParts::Catalysed { chosen, catalyst_g, .. } => (chosen.dose, *catalyst_g),
            other => panic!("{other:?}"),
        };
        // Hours before, what lies below is warmer than planned: the dose is that of now.
        assert_eq!(chosen(&bench), chosen(&opened(&started(), 12)));
        let (then, plain) = (opened(&story, 390), opened(&started(), 390));
        assert_ne!(chosen(&plain).0, dose);
        assert_eq!(chosen(&then).0, dose);
        assert!((chosen(&then).1 / chosen(&plain).1 - dose.get() / chosen(&plain).0.get()).abs() < 1e-9);
        // Long after its time what lies below is cold, and the dose of the plan says nothing.
        assert_ne!(chosen(&opened(&story, 400 + 91)).0, dose);
        // Planned past the window, nobody is held back.
        let gone = vec![PlannedPour { layer: 2, at: at(900), dose: None, sanded: false }];
        let late = story.write(13, Entry::NightPlanned { piece: PieceId(1), pours: gone });
        assert!(next_due(&opened(&story, 14)) < planned);
        story.undo(15, late);
        story.undo(20, entry);
        assert!(next_due(&opened(&story, 21)) < planned, "undone, it is the window that calls");
    }

    #[test]
    fn another_pieces_pour_takes_the_hands() {
        let mut story = started();
        story.write(
            1,
            Entry::PieceStarted { name: PlainText::new("other"), toml: BLOCK.to_owned(), meshes: Vec::new() },
        );
        let bench = opened(&story, 10);
        let rules = NightRules::default();
        let taken = |bench: &Bench| bench.night_ground(PieceId(2), at(10), &rules, at(10)).unwrap().taken;
        let opens = bench.forecast_of(BatchId(1)).unwrap().stage(Stage::NextLayerOpens).unwrap().band.likely.unwrap();
        assert_eq!(taken(&bench), [Span { from: opens - rules.prepare, until: opens + rules.pouring }]);
        let pours = vec![PlannedPour { layer: 2, at: at(600), dose: None, sanded: false }];
        story.write(11, Entry::NightPlanned { piece: PieceId(1), pours });
        let planned = Span { from: at(600) - rules.prepare, until: at(600) + rules.pouring };
        assert_eq!(taken(&opened(&story, 12)), [planned]);
    }
}
