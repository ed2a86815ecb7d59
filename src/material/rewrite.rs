//! Learned figures written into a profile's file: each in its place, everything else as it stands, and a record at the end.

use super::profile::{Figure, Profile, Provenance, StageTime, ThermalCure};
use super::read::read_profile;
use super::stage::Stage;
use crate::cure::{Doubt, RateLaw};
use crate::strict::{Problem, typed_duration};
use crate::text::PlainText;
use crate::units::{Celsius, Hours, SpreadFactor};
use std::fmt::Write;
use toml_edit::{DocumentMut, InlineTable, Item, TableLike, Value};

/// What was learned of a material.
#[derive(Debug, Clone, PartialEq)]
pub struct Changes {
    /// The day.
    pub on: PlainText,
    pub observations: u32,
    pub batches: u32,
    /// `None`: the rule stays the label's.
    pub law: Option<RateLaw>,
    pub exponent: Option<f64>,
    /// The factor by which the `[heat]` cup's times move.
    pub cup: Option<f64>,
    pub stages: Vec<StageChange>,
}

/// What was learned of one stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageChange {
    pub stage: Stage,
    /// Of this stage; 0 where it only goes along with the others.
    pub observations: u32,
    pub after: Hours,
    pub spread: SpreadFactor,
    /// A rule of its own.
    pub law: Option<RateLaw>,
    pub doubt: Doubt,
    /// The temperatures that were seen; `None` where nothing was.
    pub seen: Option<(Celsius, Celsius)>,
}

/// Above the record.
const HEADING: &str =
    "# Written by 'nightpour learn', with what stood there before; 'nightpour learn MATERIAL --back' undoes it.";

/// Why the file cannot be rewritten.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoRewrite {
    #[error("the file as it stands cannot be read; 'nightpour profiles check' says where")]
    Unreadable,
    #[error("what was learned makes no profile: {}", .0.what)]
    Impossible(Problem),
}

/// The text of `source`, the profile of `profile`'s material, with `changes` in it. Figures that were learned before keep the
/// label's as what they were.
pub fn rewrite(source: &str, profile: &Profile, changes: &Changes) -> Result<String, NoRewrite> {
    let mut file: DocumentMut = source.parse().map_err(|_| NoRewrite::Unreadable)?;
    let labelled = profile.as_labelled();
    let (Some(now), Some(label)) = (profile.thermal(), labelled.thermal()) else { return Err(NoRewrite::Unreadable) };
    let kept = file.remove("learned").map(|old| comments_above(&old)).unwrap_or_default();
    // What was learned before and is not any more goes back to what it was: no file mixes two fits.
    put_back(&mut file, now, label).ok_or(NoRewrite::Unreadable)?;
    put_all(&mut file, label, changes).ok_or(NoRewrite::Unreadable)?;
    let above = format!("{}{kept}", file.to_string().trim_end());
    let text = format!("{}\n\n{}", above.trim_end(), record(label, changes));
    // The lines end as they did.
    let text = if source.contains("\r\n") { text.replace("\r\n", "\n").replace('\n', "\r\n") } else { text };
    match read_profile(profile.id.clone(), &text) {
        Ok(_) => Ok(text),
        Err(problems) => Err(problems.into_iter().next().map_or(NoRewrite::Unreadable, NoRewrite::Impossible)),
    }
}

/// What the user has written above the old record, which goes with it in the file's structure.
fn comments_above(old: &Item) -> String {
    let prefix = old.as_table().and_then(|table| table.decor().prefix()?.as_str()).unwrap_or_default();
    let theirs = prefix.lines().filter(|line| *line != HEADING);
    theirs.fold(String::from("\n"), |text, line| text + line + "\n")
}

/// Puts every figure that is a learned one in `now` back to `label`'s.
fn put_back(file: &mut DocumentMut, now: &ThermalCure, label: &ThermalCure) -> Option<()> {
    let cure = file.get_mut("cure")?.as_table_like_mut()?;
    if now.law != label.law {
        put_law_from(cure, label.law);
    }
    if let (Some(was), true) = (label.dose_exponent, now.dose_exponent != label.dose_exponent) {
        put_from(cure, "dose_exponent", Value::from(was.value), was.from);
    }
    let stages = cure.get_mut("stage")?;
    for (time, was) in now.stages.iter().zip(&label.stages).filter(|(time, was)| time != was) {
        let stage = stage_table(stages, time.stage)?;
        put_from(stage, "after", Value::from(exact_words(was.after.value)), was.after.from);
        put_from(stage, "spread_factor", Value::from(was.spread.value.get()), was.spread.from);
        if let Some(law) = was.law.filter(|_| time.law != was.law) {
            put_law_from(stage, law);
        }
    }
    if let (Some(heat), Some(was)) = (&now.heat, &label.heat)
        && heat != was
    {
        let cup = file.get_mut("heat")?.as_table_like_mut()?;
        put_from(cup, "gel", Value::from(exact_words(was.gel.value)), was.gel.from);
        put_from(cup, "peak_after", Value::from(exact_words(was.peak_after.value)), was.peak_after.from);
    }
    Some(())
}

fn put_all(file: &mut DocumentMut, label: &ThermalCure, changes: &Changes) -> Option<()> {
    let cure = file.get_mut("cure")?.as_table_like_mut()?;
    if let Some(law) = changes.law {
        put_law(cure, law);
    }
    if let Some(exponent) = changes.exponent {
        put(cure, "dose_exponent", number(exponent));
    }
    let stages = cure.get_mut("stage")?;
    for change in &changes.stages {
        let stage = stage_table(stages, change.stage)?;
        put(stage, "after", duration(change.after));
        put(stage, "spread_factor", number(change.spread.get()));
        if let Some(law) = change.law {
            put_law(stage, law);
        }
    }
    if let (Some(factor), Some(heat)) = (changes.cup, &label.heat) {
        let cup = file.get_mut("heat")?.as_table_like_mut()?;
        let times = |hours: Hours| Hours::new(hours.get() * factor).unwrap_or(hours);
        put(cup, "gel", duration(times(heat.gel.value)));
        put(cup, "peak_after", duration(times(heat.peak_after.value)));
    }
    Some(())
}

/// The table of a stage, whether the file has it under a header of its own or in a list of braces.
fn stage_table(stages: &mut Item, stage: Stage) -> Option<&mut dyn TableLike> {
    let is_it = |table: &dyn TableLike| table.get("stage").and_then(Item::as_str) == Some(stage.key());
    match stages {
        Item::ArrayOfTables(tables) => {
            tables.iter_mut().find(|table| is_it(*table)).map(|table| table as &mut dyn TableLike)
        }
        Item::Value(Value::Array(list)) => {
            let tables = list.iter_mut().filter_map(Value::as_inline_table_mut);
            tables.into_iter().find(|table| is_it(*table)).map(|table| table as &mut dyn TableLike)
        }
        _ => None,
    }
}

fn put_law(table: &mut dyn TableLike, law: RateLaw) {
    let (key, value) = law_figure(law);
    put(table, key, number(value));
}

fn put_law_from(table: &mut dyn TableLike, law: Figure<RateLaw>) {
    let (key, value) = law_figure(law.value);
    put_from(table, key, Value::from(value), law.from);
}

/// The key of a law, and its figure.
fn law_figure(law: RateLaw) -> (&'static str, f64) {
    match law {
        RateLaw::Q10(q10) => ("q10", q10.get()),
        RateLaw::Arrhenius(energy) => ("activation_kj_per_mol", energy.get()),
    }
}

/// Puts a learned figure in the place of `key`, the comment behind it kept.
fn put(table: &mut dyn TableLike, key: &str, value: Value) {
    put_from(table, key, value, Provenance::Learned);
}

fn put_from(table: &mut dyn TableLike, key: &str, value: Value, from: Provenance) {
    let mut braces = InlineTable::new();
    braces.insert("value", value);
    braces.insert("from", from.words().into());
    let mut learned = Value::from(braces);
    if let Some(old) = table.get(key).and_then(Item::as_value) {
        learned.decor_mut().clone_from(old.decor());
    }
    table.insert(key, Item::Value(learned));
}

/// To four significant digits.
fn rounded(value: f64) -> f64 {
    format!("{value:.3e}").parse().unwrap_or(value)
}

fn number(value: f64) -> Value {
    Value::from(rounded(value))
}

/// To the second below an hour, to the minute below two days, to ten minutes above.
fn duration(hours: Hours) -> Value {
    Value::from(duration_words(hours))
}

/// To the microsecond.
fn exact_words(hours: Hours) -> String {
    typed_duration(std::time::Duration::from_secs_f64(hours.seconds()))
}

fn duration_words(hours: Hours) -> String {
    let step_s = match hours.get() {
        h if h < 1.0 => 1.0,
        h if h < 48.0 => 60.0,
        _ => 600.0,
    };
    let seconds = (hours.seconds() / step_s).round().max(1.0) * step_s;
    typed_duration(std::time::Duration::from_secs_f64(seconds))
}

/// The `[learned]` table. A `String` takes every line.
fn record(label: &ThermalCure, changes: &Changes) -> String {
    let mut lines = String::new();
    let mut line = |text: &str| {
        let _ = writeln!(lines, "{text}");
    };
    line(HEADING);
    line("[learned]");
    line(&format!("on = {}", Value::from(changes.on.as_str())));
    line(&format!("observations = {}", changes.observations));
    line(&format!("batches = {}", changes.batches));
    if changes.law.is_some() {
        line(&law_was(label.law));
    }
    if let (Some(_), Some(was)) = (changes.exponent, label.dose_exponent) {
        line(&format!("dose_exponent_was = {}", was_number(was.value, was.from)));
    }
    if let (Some(_), Some(heat)) = (changes.cup, &label.heat) {
        line(&format!("cup_gel_was = {}", was_duration(heat.gel)));
        line(&format!("cup_peak_after_was = {}", was_duration(heat.peak_after)));
    }
    for change in &changes.stages {
        if let Some(time) = label.stage(change.stage) {
            line("");
            for text in stage_record(time, change) {
                line(&text);
            }
        }
    }
    lines
}

fn stage_record(time: &StageTime, change: &StageChange) -> Vec<String> {
    let mut lines = vec![
        "[[learned.stage]]".to_owned(),
        format!("stage = \"{}\"", change.stage),
        format!("observations = {}", change.observations),
        format!("after_was = {}", was_duration(time.after)),
        format!("spread_factor_was = {}", was_number(time.spread.value.get(), time.spread.from)),
    ];
    lines.extend(change.law.and(time.law).map(law_was));
    if let Some((least, most)) = change.seen {
        lines.push(format!("seen_c = [{:.1}, {:.1}]", least.get(), most.get()));
    }
    let covariance = change.doubt.covariance().map(|c| format!("{c:.6e}"));
    lines.push(format!("doubt = [{}]", covariance.join(", ")));
    lines
}

fn law_was(law: Figure<RateLaw>) -> String {
    let (key, value) = law_figure(law.value);
    format!("{key}_was = {}", was_number(value, law.from))
}

fn was_number(value: f64, from: Provenance) -> String {
    format!("{{ value = {value}, from = \"{}\" }}", from.words())
}

fn was_duration(figure: Figure<Hours>) -> String {
    let words = exact_words(figure.value);
    format!("{{ value = \"{words}\", from = \"{}\" }}", figure.from.words())
}

#[cfg(test)]
mod tests;
