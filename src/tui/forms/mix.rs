//! Mix a batch: amounts checked while they are typed, with the weights, the times and the cautions beside them.

use super::{
    Wrong,
    field::{CHOOSE, Field, Fields},
    time_field,
};
use crate::bench::{
    Batch, BatchForecast, BatchId, Bench, BenchPiece, Command, Dose, NewMix, Part, StageStatus, clock_words,
    figure_words,
};
use crate::material::{Cure, MaterialId, Mixing, Profile, Stage};
use crate::text::PlainText;
use crate::tui::theme::Role;
use crate::units::{DosePercent, Grams, Millimetres};
use jiff::Timestamp;

const MATERIAL: usize = 0;
const LABEL: usize = 1;
const RESIN: usize = 2;
pub(super) const DOSE: usize = 3;
const DEPTH: usize = 4;
const ONTO: usize = 5;
pub(super) const WHEN: usize = 6;
/// Behind the rest: seldom used.
const FOR: usize = 7;

#[derive(Debug, Clone)]
pub(in crate::tui) struct MixForm {
    pub(super) fields: Fields,
    materials: Vec<MaterialId>,
    onto: Vec<Option<BatchId>>,
    /// What it may be for, in the order of the choice.
    parts: Vec<Option<Part>>,
}

impl MixForm {
    /// A form set to `like`'s material, amounts and dose, where there is such a batch; else to a piece's material.
    pub fn new(bench: &Bench, like: Option<&Batch>, now: Timestamp) -> Self {
        let materials: Vec<MaterialId> = bench.catalogue().iter().map(|item| item.profile.id.clone()).collect();
        let of_piece = || bench.log().pieces().rev().find_map(|piece| Some(&piece.piece.as_ref()?.material));
        let wanted = like.map(|batch| &batch.mix.material).or_else(of_piece);
        let at = materials.iter().position(|id| Some(id) == wanted).unwrap_or(0);
        // To a scale's last digit: a dose worked out from weights has many more, none of which can be weighed.
        let number = |value: Option<f64>| value.map(|v| figure_words(v, 2)).unwrap_or_default();
        let names = materials.iter().map(ToString::to_string).collect();
        let mut form = Self {
            fields: Fields::new(vec![
                Field::choice("material", names, at),
                Field::text("label", "", "what it is for: layer 3"),
                Field::text("resin", &number(like.and_then(|b| b.mix.resin).map(Grams::get)), ""),
                Field::text("dose", &number(like.and_then(|b| b.mix.dose).map(DosePercent::get)), ""),
                Field::text("depth", &number(like.and_then(|b| b.mix.depth).map(Millimetres::get)), "mm"),
                Field::choice("poured on", Vec::new(), 0),
                Field::text("when", "now", "first contact of the parts: now, 23:40, 5 min ago"),
                Field::choice("for", Vec::new(), 0),
            ]),
            materials,
            onto: Vec::new(),
            parts: Vec::new(),
        };
        form.follow_material(bench, now);
        form
    }

    fn material(&self) -> &MaterialId {
        &self.materials[self.fields.list[MATERIAL].chosen().min(self.materials.len() - 1)]
    }

    fn profile<'a>(&self, bench: &'a Bench) -> Option<&'a Profile> {
        bench.catalogue().get(self.material()).map(|item| &item.profile)
    }

    /// After an edit: another material has other amounts, and other layers it may go on.
    pub(super) fn edited(&mut self, bench: &Bench, now: Timestamp) {
        if self.fields.focus == MATERIAL {
            for index in [RESIN, DOSE, DEPTH] {
                self.fields.list[index].clear();
            }
            self.follow_material(bench, now);
        }
        let trial = self.part().is_some();
        let onto = &mut self.fields.list[ONTO];
        onto.applies = !trial;
        if trial { "nothing: a trial stays in its cup" } else { CHOOSE }.clone_into(&mut onto.hint);
    }

    fn part(&self) -> Option<Part> {
        self.parts.get(self.fields.list[FOR].chosen()).copied().flatten()
    }

    /// Sets hints and choices that depend on the material.
    fn follow_material(&mut self, bench: &Bench, now: Timestamp) {
        let Some(profile) = self.profile(bench) else { return };
        let dose = &mut self.fields.list[DOSE];
        dose.applies = false;
        let resin_hint = match &profile.mixing {
            Mixing::Catalysed { min, usual, max, .. } => {
                dose.applies = true;
                dose.hint = format!(
                    "% of resin: {} to {}, empty {}; or weighed: 0.9 g",
                    min.value.get(),
                    max.value.get(),
                    usual.value.get()
                );
                "g of resin, without catalyst"
            }
            Mixing::TwoPart { by_weight, by_volume, .. } => {
                let (w, v) = (by_weight.value, by_volume.value);
                dose.hint = format!("fixed: A:B {}:{} by weight, {}:{} by volume", w.a, w.b, v.a, v.b);
                "g of part A"
            }
            Mixing::OnePart => {
                "none: one part".clone_into(&mut dose.hint);
                "g"
            }
        };
        resin_hint.clone_into(&mut self.fields.list[RESIN].hint);
        self.follow_layers(bench, now);
        self.follow_pieces(bench);
    }

    /// Offers a trial cup of each piece that is cast in the material.
    fn follow_pieces(&mut self, bench: &Bench) {
        let of_it = |piece: &&BenchPiece| piece.piece.as_ref().is_some_and(|piece| piece.material == *self.material());
        let pieces: Vec<&BenchPiece> = bench.log().pieces().filter(of_it).collect();
        let named = pieces.iter().map(|piece| {
            (Some(Part::Trial { piece: Some(piece.id) }), format!("trial cup of piece {} {}", piece.id, piece.name()))
        });
        let plain = [(None, "nothing more".to_owned()), (Some(Part::Trial { piece: None }), "trial cup".to_owned())];
        let (parts, names) = plain.into_iter().chain(named).unzip();
        self.parts = parts;
        self.fields.list[FOR] = Field::choice("for", names, 0);
    }

    fn follow_layers(&mut self, bench: &Bench, now: Timestamp) {
        let uncovered = |b: &Batch| b.mix.material == *self.material() && b.covered_by.is_none();
        let below: Vec<_> = bench.running().rev().filter(|(b, _)| uncovered(b)).collect();
        let next = below.iter().find(|(_, f)| f.is_some_and(|f| takes_a_layer(f, now))).map(|(b, _)| b.id);
        self.onto = std::iter::once(None).chain(below.iter().map(|(b, _)| Some(b.id))).collect();
        let name = |id: &Option<BatchId>| {
            let batch = id.and_then(|id| bench.log().batch(id));
            batch.map_or_else(|| "nothing".to_owned(), |b| format!("{} {}", b.id, b.title()))
        };
        let options: Vec<String> = self.onto.iter().map(name).collect();
        let at = self.onto.iter().position(|id| *id == next).unwrap_or(0);
        self.fields.list[ONTO] = Field::choice("poured on", options, at);
    }

    pub(super) fn command(&self, bench: &Bench, now: Timestamp) -> Result<Command, Wrong> {
        let at = |index| move |error| (index, error);
        let list = &self.fields.list;
        let resin = list[RESIN].quantity(Grams::SYMBOL, Grams::new).map_err(at(RESIN))?;
        let dose = self.dose().map_err(at(DOSE))?;
        let depth = list[DEPTH].quantity(Millimetres::SYMBOL, Millimetres::new).map_err(at(DEPTH))?;
        Ok(Command::Mix(NewMix {
            material: self.material().clone(),
            label: PlainText::new(list[LABEL].value()),
            resin,
            dose,
            depth,
            onto: self.onto.get(list[ONTO].chosen()).copied().flatten().filter(|_| list[ONTO].applies),
            part: self.part(),
            at: time_field(&self.fields, WHEN, bench, now)?,
        }))
    }

    /// The dose as typed: in percent, or as weighed where grams stand behind it.
    fn dose(&self) -> Result<Dose, String> {
        let field = &self.fields.list[DOSE];
        if field.applies && field.value().ends_with(Grams::SYMBOL) {
            return Ok(field.quantity(Grams::SYMBOL, Grams::new)?.map_or(Dose::Usual, Dose::Weighed));
        }
        Ok(field.quantity(DosePercent::SYMBOL, DosePercent::new)?.map_or(Dose::Usual, Dose::Percent))
    }

    /// Weights, times, remarks and cautions for what is typed so far.
    pub(super) fn notes(&self, bench: &Bench, now: Timestamp) -> Vec<(String, Role)> {
        let Some(profile) = self.profile(bench) else { return Vec::new() };
        let mut notes = Vec::new();
        if let Ok(command @ Command::Mix(_)) = self.command(bench, now) {
            let Command::Mix(mix) = &command else { return notes };
            notes.extend(weights(profile, mix).map(|line| (line, Role::Focus)));
            notes.extend(times(profile, mix, bench, now).map(|line| (line, Role::Text)));
            let below = mix.onto.and_then(|id| bench.log().batch(id));
            notes.extend(below.map(|b| {
                (format!("Poured on {} {}: its alarms end, this layer's ring instead", b.id, b.title()), Role::Text)
            }));
            match bench.decide(command, now) {
                Ok(decision) => notes.extend(decision.remarks.iter().map(|line| (format!("! {line}"), Role::Warn))),
                Err(refusal) => notes.push((format!("! {refusal}"), Role::Warn)),
            }
        }
        notes.extend(profile.cautions.iter().map(|line| (format!("Caution: {line}"), Role::Faint)));
        notes
    }
}

/// Whether a layer may go on now or soon: the window is near or open, and not over.
fn takes_a_layer(forecast: &BatchForecast, now: Timestamp) -> bool {
    let opens = forecast.stage(Stage::NextLayerOpens);
    opens.is_some_and(|s| matches!(s.status, StageStatus::Near | StageStatus::Past | StageStatus::Seen))
        && !forecast.window_is_over(now)
}

fn weights(profile: &Profile, mix: &NewMix) -> Option<String> {
    // As it would be written: a dose given in grams is known in percent by then.
    let planned = Batch::planned(mix, profile);
    Some(format!("Weigh {}", profile.weights(mix.resin?, planned.mix.dose).ok()?))
}

/// The stage times this batch would have, on the temperature known now.
pub(super) fn times(profile: &Profile, mix: &NewMix, bench: &Bench, now: Timestamp) -> Option<String> {
    if let Cure::Light { advice } = &profile.cure {
        return Some(format!("No temperature clock: {advice}"));
    }
    let forecast = bench.planned(mix, now)?;
    if forecast.stands() {
        return Some(format!("The clock stands at {:.1} °C: too cold for this material", forecast.bench_c));
    }
    let shown = [Stage::PotLife, Stage::Gel, Stage::NextLayerOpens, Stage::NextLayerCloses, Stage::Demould];
    let times = shown.into_iter().filter_map(|stage| {
        let likely = forecast.stage(stage)?.band.likely?;
        Some(format!("{} {}", stage.words(), clock_words(likely, bench.zone())))
    });
    Some(format!("At {:.1} °C: {}", forecast.bench_c, times.collect::<Vec<_>>().join(", ")))
}
