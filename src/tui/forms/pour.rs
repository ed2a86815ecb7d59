//! Pour the next layer of a piece: as planned, or with what was really weighed, with the level it will reach beside it.

use super::{
    Wrong,
    field::{Field, Fields},
    mix::times,
    time_field,
};
use crate::bench::{Batch, Bench, BenchPiece, Command, NewMix, NewPour, PieceId, Poured, Refusal, Standing};
use crate::material::{Profile, Weights};
use crate::pour::{CupParts, LayerKind, LayerPlan, Piece};
use crate::report::weighed;
use crate::text::PlainText;
use crate::tui::theme::Role;
use crate::units::Grams;
use jiff::Timestamp;

const WEIGHED: usize = 0;
pub(super) const CATALYST: usize = 1;
pub(super) const WHEN: usize = 2;

/// A layer that ends this far from where it was planned to is told of, mm.
const MISSED_MM: f64 = 1.0;

#[derive(Debug, Clone)]
pub(in crate::tui) struct PourForm {
    pub(super) fields: Fields,
    piece: PieceId,
    layer: u32,
    title: String,
}

/// What a pour is worked out from.
struct Job<'a> {
    piece: &'a Piece,
    standing: &'a Standing,
    layer: &'a LayerPlan,
    profile: &'a Profile,
}

impl PourForm {
    /// A form for `layer`, which `on_bench` takes next.
    pub fn new(on_bench: &BenchPiece, layer: &LayerPlan, bench: &Bench, now: Timestamp) -> Self {
        let (weighed, catalyst) = match &layer.parts {
            CupParts::Catalysed { .. } => ("resin", "catalyst"),
            CupParts::TwoPart { .. } => ("part A", "part B"),
            CupParts::OnePart => ("amount", "catalyst"),
        };
        let which = match layer.kind {
            LayerKind::Cast => format!("layer {}", layer.number),
            LayerKind::Topping => format!("layer {}, the topping", layer.number),
        };
        let mut form = Self {
            fields: Fields::new(vec![
                Field::text(weighed, "", ""),
                Field::text(catalyst, "", ""),
                Field::text("when", "now", "first contact of the parts: now, 23:40, 5 min ago"),
            ]),
            piece: on_bench.id,
            layer: layer.number,
            title: format!("pour {which} · piece {} {}", on_bench.id, on_bench.name()),
        };
        form.fields.list[CATALYST].applies = matches!(layer.parts, CupParts::Catalysed { .. });
        form.edited(bench, now);
        form
    }

    pub(super) fn title(&self) -> String {
        self.title.clone()
    }

    /// The pour as the bench stands now; `None` once the layer is no longer the next one.
    fn job<'a>(&self, bench: &'a Bench) -> Option<Job<'a>> {
        let (on_bench, standing) = bench.pieces().find(|(piece, _)| piece.id == self.piece)?;
        let (piece, standing) = (on_bench.piece.as_deref()?, standing?);
        let layer = standing.next_layer().filter(|layer| layer.number == self.layer)?;
        let profile = &bench.catalogue().get(&piece.material)?.profile;
        Some(Job { piece, standing, layer, profile })
    }

    /// After an edit, or news: the catalyst follows the resin that was typed, and what is planned the bench.
    pub(super) fn edited(&mut self, bench: &Bench, now: Timestamp) {
        let Some(job) = self.job(bench) else { return };
        let planned = format!("empty: {:.1} g; as weighed from the master batch", job.layer.from_master_g());
        let typed = self.poured(bench, now).ok();
        let poured = Poured { catalyst: None, ..typed.unwrap_or(as_planned(now)) };
        let weights = job.standing.next_mix(job.piece, &poured).and_then(|mix| job.weights(&mix, &poured));
        self.fields.list[WEIGHED].hint = planned;
        self.fields.list[CATALYST].hint = match weights {
            Some(Weights::Catalysed { catalyst, .. }) => format!("empty: {catalyst:.2}"),
            Some(Weights::TwoPart { b, .. }) => format!("{b:.1}, by the fixed ratio"),
            Some(Weights::OnePart { .. }) | None => "none".to_owned(),
        };
    }

    fn poured(&self, bench: &Bench, now: Timestamp) -> Result<Poured, Wrong> {
        let grams =
            |index: usize| self.fields.list[index].quantity(Grams::SYMBOL, Grams::new).map_err(|error| (index, error));
        let (weighed, catalyst) = (grams(WEIGHED)?, grams(CATALYST)?);
        Ok(Poured { weighed, catalyst, at: time_field(&self.fields, WHEN, bench, now)? })
    }

    pub(super) fn command(&self, bench: &Bench, now: Timestamp) -> Result<Command, Wrong> {
        let poured = self.poured(bench, now)?;
        Ok(Command::Pour(NewPour { piece: Some(self.piece), layer: Some(self.layer), poured }))
    }

    /// Weights, level, dose, times, remarks and cautions for what is typed so far.
    pub(super) fn notes(&self, bench: &Bench, now: Timestamp) -> Vec<(String, Role)> {
        let warn = |line: String| (format!("! {line}"), Role::Warn);
        let poured = self.poured(bench, now).unwrap_or(as_planned(now));
        let new = NewPour { piece: Some(self.piece), layer: Some(self.layer), poured };
        let decided = bench.decide(Command::Pour(new), now);
        let job = self.job(bench);
        let mix = job.as_ref().and_then(|job| Some((job, job.standing.next_mix(job.piece, &poured)?)));
        let mut notes = Vec::new();
        if let Some((job, mix)) = &mix {
            notes.extend(job.weights(mix, &poured).map(|weights| (job.weigh_words(&weights), Role::Focus)));
            notes.extend(job.level_words(mix));
        }
        // What is odd comes before the figures that do not change what is done: the smallest screen ends soon.
        match decided {
            Ok(decision) => notes.extend(decision.remarks.iter().map(|line| warn(line.to_string()))),
            Err(refusal) => notes.push(warn(refusal.to_string())),
        }
        if let Some((job, mix)) = &mix {
            let of_layer = job.standing.plan.warnings.iter().filter(|warning| warning.layer == Some(self.layer));
            notes.extend(of_layer.map(|warning| warn(warning.text.to_string())));
            notes.extend(job.dose_words(mix).map(|line| (line, Role::Text)));
            notes.extend(times(job.profile, mix, bench, now).map(|line| (line, Role::Text)));
        }
        let cautions = job.map(|job| job.profile.cautions.iter());
        notes.extend(cautions.into_iter().flatten().map(|line| (format!("Caution: {line}"), Role::Faint)));
        notes
    }

    /// The field a refusal is about.
    pub(super) fn field_of(refusal: &Refusal) -> usize {
        match refusal {
            Refusal::AbsurdDose(_) | Refusal::NoDose(_) => CATALYST,
            Refusal::InFuture(_) => WHEN,
            _ => WEIGHED,
        }
    }
}

fn as_planned(at: Timestamp) -> Poured {
    Poured { weighed: None, catalyst: None, at }
}

impl Job<'_> {
    fn weights(&self, mix: &NewMix, poured: &Poured) -> Option<Weights> {
        weighed(self.layer, self.profile, mix, poured)
    }

    fn weigh_words(&self, weights: &Weights) -> String {
        let tinted = if self.layer.tint_g > 0.0 { " from the tinted master" } else { "" };
        let cups = if self.layer.cups > 1 { format!(", in {} cups", self.layer.cups) } else { String::new() };
        format!("Weigh {weights}{tinted}{cups}")
    }

    /// How deep the layer gets and where it ends, with what is wrong about that.
    fn level_words(&self, mix: &NewMix) -> Vec<(String, Role)> {
        let brim_mm = self.piece.vessel.height_mm();
        let Some(depth) = mix.depth else {
            return vec![("! nothing of that would leave the cup".to_owned(), Role::Warn)];
        };
        let planned_mm = self.layer.cast.to_mm;
        let reaches_mm = self.standing.level_mm() + depth.get();
        let mut words = vec![(format!("{depth:.1} deep: the resin will stand at {reaches_mm:.1} mm"), Role::Text)];
        let missed_mm = reaches_mm - planned_mm;
        // What would run over stands at the brim, and there a pour is not planned to end by chance.
        if reaches_mm >= brim_mm && missed_mm > 0.0 {
            words.push((format!("! it fills the vessel to its brim at {brim_mm:.1} mm, or runs over"), Role::Warn));
        } else if missed_mm.abs() > MISSED_MM {
            let side = if missed_mm > 0.0 { "over" } else { "under" };
            words.push((format!("! {:.1} mm {side} the planned {planned_mm:.1} mm", missed_mm.abs()), Role::Warn));
        }
        words
    }

    /// The dose, what it is without a fine scale, and why it was chosen; only as far as it was not typed.
    fn dose_words(&self, mix: &NewMix) -> Option<String> {
        let dose = Batch::planned(mix, self.profile).mix.dose?;
        let CupParts::Catalysed { catalyst_g, catalyst_ml, drops, chosen } = &self.layer.parts else { return None };
        let grams = mix.resin?.get() * dose.get() / 100.0;
        let share = grams / catalyst_g;
        let drops = drops.map(|drops| format!(", {:.0} drops", f64::from(drops) * share)).unwrap_or_default();
        let millilitres = catalyst_ml * share;
        let reasons: Vec<&str> = chosen.reasons.iter().map(PlainText::as_str).collect();
        let why = if (dose.get() - chosen.dose.get()).abs() < 0.005 && !reasons.is_empty() {
            format!(": {}", reasons.join("; "))
        } else {
            format!("; planned {:.2}", chosen.dose)
        };
        Some(format!("Dose {dose:.2} ({millilitres:.2} mL{drops}){why}"))
    }
}
