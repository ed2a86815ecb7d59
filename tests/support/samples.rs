//! Invented entries of every kind, each fixed by its number alone.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use jiff::{SignedDuration, Timestamp};
use nightpour::bench::{
    AlarmId, BatchId, Entry, EntryId, KeptMesh, Mix, NewEntry, Part, PieceId, Recalled, Seen, Trust,
};
use nightpour::material::{Catalogue, MaterialId, Stage};
use nightpour::pour::StepId;
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Hours, Level, Millimetres, Percent};
use std::sync::LazyLock;

/// Read once: a long notebook asks for a hundred thousand samples.
static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(Catalogue::embedded);

/// Every so many entries a new batch is mixed.
const ENTRIES_A_BATCH: i64 = 16;

/// The n-th entry of a night that begins with 1: half are bench readings, and every batch and entry that is spoken of
/// was written before.
pub fn sample(n: i64) -> NewEntry {
    let begin: Timestamp = "2026-03-02T20:00:00Z".parse().unwrap();
    let happened = begin + SignedDuration::from_micros(n * 7_000_003);
    let batches = u32::try_from((n - 1) / ENTRIES_A_BATCH + 1).unwrap();
    let batch = BatchId(batches);
    let stage = Stage::ALL[usize::try_from(n).unwrap() % Stage::ALL.len()];
    let alarm = AlarmId::of(batch, stage);
    let material = MaterialId::new("clear-polyester").unwrap();
    let item = CATALOGUE.get(&material).unwrap();
    let (fingerprint, toml) = (item.fingerprint.clone(), item.source.clone().into_owned());
    let entry = match (n - 1) % ENTRIES_A_BATCH {
        0 => Entry::Profile { fingerprint, material, toml },
        1 => Entry::Mixed(Mix {
            material,
            profile: fingerprint,
            label: PlainText::new(&format!("pond, layer {batches}, ‘seedheads’")),
            resin: Grams::new(f64::from(batches % 500) / 8.0 + 120.4).ok(),
            dose: DosePercent::new(1.25).ok(),
            depth: Millimetres::new(6.5).ok(),
            onto: (batches % 4 == 3).then(|| BatchId(batches - 1)),
            part: (batches % 4 == 1).then_some(Part::Layer { piece: PieceId(1), layer: batches / 4 + 1 }),
        }),
        3 => Entry::Observed {
            batch,
            stage,
            seen: Seen::NotYet { at: happened },
            test: None,
            trust: if batches % 3 == 0 { Trust::Guess } else { Trust::Sure },
            within: None,
        },
        5 => Entry::Observed {
            batch,
            stage,
            seen: Seen::Between { after: happened - SignedDuration::from_mins(20), by: happened },
            test: Some(PlainText::new("wooden stick")),
            trust: Trust::Sure,
            within: None,
        },
        7 => Entry::Snoozed { alarm, until: happened + SignedDuration::from_mins(10) },
        9 => Entry::Acknowledged { alarm },
        11 => Entry::Undone { entry: EntryId(n - 1) },
        12 if batches % 8 == 1 => Entry::PieceStarted {
            name: PlainText::new("pond corner"),
            toml: "name = 'pond corner'".to_owned(),
            meshes: vec![KeptMesh { item: 0, points: vec![(1.5, 0.1), (3.25, 0.9)] }],
        },
        13 if batches % 4 == 1 => Entry::Ticked { piece: PieceId(1), step: StepId::Bed(batches) },
        14 if batches % 4 == 1 => Entry::Levelled { piece: PieceId(1), level_mm: Level::new(10.25).unwrap() },
        14 if batches % 16 == 7 => Entry::Adopted { batch, profile: fingerprint },
        14 if batches % 16 == 15 => Entry::Recalled(Recalled {
            material,
            stage,
            after_h: Hours::new(0.625).ok(),
            by_h: Hours::new(0.75).ok(),
            celsius: Celsius::new(18.25).unwrap(),
            dose_percent: DosePercent::new(1.2).ok(),
            depth_mm: None,
            test: None,
            trust: Trust::Sure,
            source: PlainText::new("old pours.csv line 4"),
        }),
        14 if batches % 32 == 30 => Entry::PieceDone { piece: PieceId(1) },
        15 => Entry::Done { batch },
        other => Entry::Reading {
            celsius: Celsius::new(f64::from(batches % 500) / 40.0 + 12.0).unwrap(),
            humidity: (other % 4 == 0).then(|| Percent::new(f64::from(batches % 1000) / 10.0).unwrap()),
            source: PlainText::new("shelf by the window"),
        },
    };
    NewEntry { happened, entry }
}

/// When the n-th sample is said to be written.
pub fn written(n: i64) -> Timestamp {
    sample(n).happened + SignedDuration::from_micros(1_000_001)
}
