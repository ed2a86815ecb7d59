//! Any entry at all, for property tests.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use jiff::{SignedDuration, Timestamp};
use nightpour::bench::{
    AlarmId, BatchId, Entry, EntryId, KeptMesh, Mix, NewEntry, Part, Phase, PieceId, Place, PlannedPour, Promise,
    Recalled, Seen, Tonight, Trust, TypedKnot,
};
use nightpour::material::{Fingerprint, MaterialId, Stage};
use nightpour::pour::StepId;
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Hours, Level, Millimetres, Percent};
use proptest::option;
use proptest::prelude::*;

pub fn any_new_entry() -> impl Strategy<Value = NewEntry> {
    (any_time(), any_entry()).prop_map(|(happened, entry)| NewEntry { happened, entry })
}

/// Any moment that exists, to the nanosecond.
pub fn any_time() -> impl Strategy<Value = Timestamp> {
    let (min, max) = (Timestamp::MIN.as_nanosecond(), Timestamp::MAX.as_nanosecond());
    (min..=max).prop_map(|ns| Timestamp::from_nanosecond(ns).unwrap())
}

pub fn any_entry() -> impl Strategy<Value = Entry> {
    prop_oneof![
        (any_fingerprint(), any_material(), any::<String>()).prop_map(|(fingerprint, material, toml)| Entry::Profile {
            fingerprint,
            material,
            toml
        }),
        any_mix().prop_map(Entry::Mixed),
        (any_batch(), any_stage(), any_seen(), option::of(any_text()), any_trust(), option::of(any_hours())).prop_map(
            |(batch, stage, seen, test, trust, within)| Entry::Observed { batch, stage, seen, test, trust, within }
        ),
        (any_batch(), any_fingerprint()).prop_map(|(batch, profile)| Entry::Adopted { batch, profile }),
        any_recalled().prop_map(Entry::Recalled),
        (figure(-60.0, 400.0, Celsius::new), option::of(figure(0.0, 100.0, Percent::new)), any_text())
            .prop_map(|(celsius, humidity, source)| Entry::Reading { celsius, humidity, source }),
        any_batch().prop_map(|batch| Entry::Done { batch }),
        any_alarm().prop_map(|alarm| Entry::Acknowledged { alarm }),
        (any_alarm(), any_time()).prop_map(|(alarm, until)| Entry::Snoozed { alarm, until }),
        (any_text(), any::<String>(), any_meshes()).prop_map(|(name, toml, meshes)| Entry::PieceStarted {
            name,
            toml,
            meshes
        }),
        (any_piece(), any_step()).prop_map(|(piece, step)| Entry::Ticked { piece, step }),
        (any_piece(), figure(0.0, 1e5, Level::new)).prop_map(|(piece, level_mm)| Entry::Levelled { piece, level_mm }),
        any_piece().prop_map(|piece| Entry::PieceDone { piece }),
        (any_piece(), prop::collection::vec(any_planned(), 0..4))
            .prop_map(|(piece, pours)| Entry::NightPlanned { piece, pours }),
        any_alarm().prop_map(|alarm| Entry::Rang { alarm }),
        (any_alarm(), any_time(), any_time()).prop_map(|(alarm, from, to)| Entry::Moved { alarm, from, to }),
        prop::collection::vec((any_alarm(), any_time()).prop_map(|(alarm, due)| Promise { alarm, due }), 0..4)
            .prop_map(|promised| Entry::Bedtime { promised }),
        any_tonight().prop_map(Entry::Tonight),
        any_time().prop_map(|from| Entry::Slept { from }),
        (any::<i64>(), any::<i64>()).prop_map(|(by_us, after)| Entry::ClockSet { by_us, after: EntryId(after) }),
        any::<i64>().prop_map(|seq| Entry::Undone { entry: EntryId(seq) }),
    ]
}

fn any_planned() -> impl Strategy<Value = PlannedPour> {
    (any::<u32>(), any_time(), option::of(figure(0.01, 20.0, DosePercent::new)), any::<bool>())
        .prop_map(|(layer, at, dose, sanded)| PlannedPour { layer, at, dose, sanded })
}

fn any_tonight() -> impl Strategy<Value = Tonight> {
    let knot = (any_time(), figure(-60.0, 400.0, Celsius::new)).prop_map(|(at, celsius)| TypedKnot { at, celsius });
    prop_oneof![
        Just(Tonight::PastNights),
        Just(Tonight::Held),
        prop::collection::vec(knot, 0..4).prop_map(|knots| Tonight::Typed { knots }),
    ]
}

fn any_alarm() -> impl Strategy<Value = AlarmId> {
    let phase = prop::sample::select(vec![Phase::Ahead, Phase::Due, Phase::Missed]);
    prop_oneof![
        3 => (any_batch(), any_stage()).prop_map(|(batch, stage)| AlarmId::of(batch, stage)),
        1 => (any_batch(), any_stage(), phase).prop_map(|(batch, stage, phase)| AlarmId::of(batch, stage).at_phase(phase)),
        1 => prop::sample::select(Place::ALL.to_vec()).prop_map(|silent| AlarmId::Silence { silent }),
    ]
}

fn any_trust() -> impl Strategy<Value = Trust> {
    prop::sample::select(vec![Trust::Sure, Trust::Guess])
}

fn any_hours() -> impl Strategy<Value = Hours> {
    figure(0.0, 1e7, Hours::new)
}

fn any_recalled() -> impl Strategy<Value = Recalled> {
    (
        (any_material(), any_stage(), option::of(any_hours()), option::of(any_hours())),
        figure(-60.0, 400.0, Celsius::new),
        option::of(figure(1e-3, 100.0, DosePercent::new)),
        option::of(figure(1e-3, 1e5, Millimetres::new)),
        (option::of(any_text()), any_trust(), any_text()),
    )
        .prop_map(|((material, stage, after_h, by_h), celsius, dose_percent, depth_mm, (test, trust, source))| {
            Recalled { material, stage, after_h, by_h, celsius, dose_percent, depth_mm, test, trust, source }
        })
}

fn any_mix() -> impl Strategy<Value = Mix> {
    (
        any_material(),
        any_fingerprint(),
        any_text(),
        option::of(figure(1e-3, 1e7, Grams::new)),
        option::of(figure(1e-3, 100.0, DosePercent::new)),
        option::of(figure(1e-3, 1e5, Millimetres::new)),
        option::of(any_batch()),
        option::of(any_part()),
    )
        .prop_map(|(material, profile, label, resin, dose, depth, onto, part)| Mix {
            material,
            profile,
            label,
            resin,
            dose,
            depth,
            onto,
            part,
        })
}

fn any_part() -> impl Strategy<Value = Part> {
    prop_oneof![
        (any_piece(), any::<u32>()).prop_map(|(piece, layer)| Part::Layer { piece, layer }),
        (any_piece(), any::<u32>()).prop_map(|(piece, layer)| Part::Topping { piece, layer }),
        option::of(any_piece()).prop_map(|piece| Part::Trial { piece }),
    ]
}

fn any_meshes() -> impl Strategy<Value = Vec<KeptMesh>> {
    let points = prop::collection::vec((0.0..1e5, 0.0..1e9), 0..5);
    prop::collection::vec((0usize..200, points).prop_map(|(item, points)| KeptMesh { item, points }), 0..3)
}

fn any_piece() -> impl Strategy<Value = PieceId> {
    any::<u32>().prop_map(PieceId)
}

fn any_step() -> impl Strategy<Value = StepId> {
    let numbered = (1u32.., any::<bool>());
    prop_oneof![
        prop::sample::select(vec![StepId::DryFit, StepId::WaterTest10, StepId::TrialCup, StepId::Cover]),
        numbered.prop_map(|(layer, bed)| if bed { StepId::Bed(layer) } else { StepId::Pour(layer) }),
    ]
}

fn any_seen() -> impl Strategy<Value = Seen> {
    let span = (any_time(), 0_i64..100_000).prop_filter_map("both ends exist", |(after, seconds)| {
        let by = after.checked_add(SignedDuration::from_secs(seconds)).ok()?;
        Some(Seen::Between { after, by })
    });
    prop_oneof![
        any_time().prop_map(|at| Seen::At { at }),
        any_time().prop_map(|by| Seen::By { by }),
        any_time().prop_map(|at| Seen::NotYet { at }),
        span,
    ]
}

/// Any figure in a range, with all the digits a computation may leave behind.
fn figure<T: std::fmt::Debug, E: std::fmt::Debug>(
    min: f64,
    max: f64,
    make: fn(f64) -> Result<T, E>,
) -> impl Strategy<Value = T> {
    (min..=max).prop_map(move |raw| make(raw).unwrap())
}

fn any_batch() -> impl Strategy<Value = BatchId> + Clone {
    any::<u32>().prop_map(BatchId)
}

fn any_stage() -> impl Strategy<Value = Stage> + Clone {
    prop::sample::select(&Stage::ALL[..])
}

fn any_text() -> impl Strategy<Value = PlainText> {
    any::<String>().prop_map(|raw| PlainText::new(&raw))
}

fn any_fingerprint() -> impl Strategy<Value = Fingerprint> {
    any::<u64>().prop_map(|bits| Fingerprint(format!("{bits:016x}")))
}

fn any_material() -> impl Strategy<Value = MaterialId> {
    "[a-z][a-z0-9-]{0,38}[a-z0-9]".prop_map(|name| MaterialId::new(&name).unwrap())
}
