//! Anything somebody may do in a night at the bench, for property tests. Times are told from the moment it is done.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use jiff::{SignedDuration, Timestamp};
use nightpour::bench::{AlarmId, BatchId, Command, Dose, EntryId, NewMix, NewPiece, NewPour, Poured, Seen, Trust};
use nightpour::material::{MaterialId, Stage};
use nightpour::pour::StepId;
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Level};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

/// The demo's own piece, invented.
const COLUMN: &str = include_str!("../../demo-data/column.toml");

#[derive(Debug, Clone)]
pub enum Deed {
    Wait {
        minutes: i64,
    },
    /// The lid was shut, or the machine's clock was set, on or back.
    Jump {
        minutes: i64,
    },
    /// The program is closed and opened again.
    Reopen,
    Ask(Ask),
}

/// A command with its times still relative.
#[derive(Debug, Clone)]
pub enum Ask {
    Mix { material: &'static str, dose: Dose, onto: Option<BatchId>, ago: i64 },
    See { batch: Option<BatchId>, stage: Stage, how: How, ago: i64 },
    Read { celsius: f64, source: &'static str, ago: i64 },
    Finish(BatchId),
    Adopt(BatchId),
    Acknowledge(AlarmId),
    Snooze(AlarmId, i64),
    Undo(Option<EntryId>),
    Start,
    Pour { layer: Option<u32>, weighed_g: Option<f64>, ago: i64 },
    Level { level_mm: f64, ago: i64 },
    Tick(StepId),
    FinishPiece,
}

#[derive(Debug, Clone, Copy)]
pub enum How {
    Seen,
    Already,
    Between,
    NotYet,
}

impl Ask {
    pub fn command(&self, now: Timestamp) -> Command {
        let before = |minutes: i64| now - SignedDuration::from_mins(minutes);
        match self {
            Ask::Mix { material, dose, onto, ago } => Command::Mix(NewMix {
                material: MaterialId::new(material).unwrap(),
                label: PlainText::default(),
                resin: Grams::new(80.0).ok(),
                dose: *dose,
                depth: None,
                onto: *onto,
                part: None,
                at: before(*ago),
            }),
            Ask::See { batch, stage, how, ago } => {
                let at = before(*ago);
                let seen = match how {
                    How::Seen => Seen::At { at },
                    How::Already => Seen::By { by: at },
                    How::Between => Seen::Between { after: before(*ago + 7), by: at },
                    How::NotYet => Seen::NotYet { at },
                };
                let trust = if matches!(how, How::Seen) { Trust::Sure } else { Trust::Guess };
                Command::Observe { batch: *batch, stage: *stage, seen, test: None, trust, within: None }
            }
            Ask::Read { celsius, source, ago } => Command::Read {
                celsius: Celsius::new(*celsius).unwrap(),
                humidity: None,
                at: before(*ago),
                source: PlainText::new(source),
            },
            Ask::Finish(batch) => Command::Finish { batch: *batch },
            Ask::Adopt(batch) => Command::Adopt { batch: *batch },
            Ask::Acknowledge(alarm) => Command::Acknowledge { alarm: *alarm },
            Ask::Snooze(alarm, minutes) => {
                Command::Snooze { alarm: *alarm, until: now + SignedDuration::from_mins(*minutes) }
            }
            Ask::Undo(entry) => Command::Undo { entry: *entry },
            Ask::Start => Command::Start(NewPiece {
                name: PlainText::new("column"),
                material: MaterialId::new("clear-polyester").unwrap(),
                toml: COLUMN.to_owned(),
                meshes: Vec::new(),
                at: now,
            }),
            Ask::Pour { layer, weighed_g, ago } => {
                let weighed = weighed_g.map(|grams| Grams::new(grams).unwrap());
                let poured = Poured { weighed, catalyst: None, at: before(*ago) };
                Command::Pour(NewPour { piece: None, layer: *layer, poured })
            }
            Ask::Level { level_mm, ago } => {
                Command::Level { piece: None, level_mm: Level::new(*level_mm).unwrap(), at: before(*ago) }
            }
            Ask::Tick(step) => Command::Tick { piece: None, step: *step },
            Ask::FinishPiece => Command::FinishPiece { piece: None },
        }
    }
}

pub fn any_deeds() -> impl Strategy<Value = Vec<Deed>> {
    let deed = prop_oneof![
        4 => prop_oneof![0i64..4, 0i64..90].prop_map(|minutes| Deed::Wait { minutes }),
        1 => Just(Deed::Reopen),
        1 => prop_oneof![-90i64..-1, 1i64..180].prop_map(|minutes| Deed::Jump { minutes }),
        8 => any_ask().prop_map(Deed::Ask),
    ];
    vec(deed, 1..40)
}

fn any_ask() -> impl Strategy<Value = Ask> {
    let material = select(vec![
        "clear-polyester",
        "fast-urethane",
        "five-minute-epoxy",
        "coating-epoxy",
        "uv-resin",
        "no-such-one",
    ]);
    let dose = prop_oneof![
        6 => Just(Dose::Usual),
        1 => (0.2f64..12.0).prop_map(|p| Dose::Percent(DosePercent::new(p).unwrap())),
        1 => (0.1f64..20.0).prop_map(|g| Dose::Weighed(Grams::new(g).unwrap())),
    ];
    let how = select(vec![How::Seen, How::Already, How::Between, How::NotYet]);
    let source = select(vec!["bench", "bench", "bench", "shelf", "resin", "outdoors"]);
    let alarm = || (any_batch(), any_stage()).prop_map(|(batch, stage)| AlarmId::of(batch, stage));
    prop_oneof![
        3 => (material, dose, option::weighted(0.3, any_batch()), any_ago())
            .prop_map(|(material, dose, onto, ago)| Ask::Mix { material, dose, onto, ago }),
        4 => (option::weighted(0.8, any_batch()), any_stage(), how, any_ago())
            .prop_map(|(batch, stage, how, ago)| Ask::See { batch, stage, how, ago }),
        3 => (8.0f64..36.0, source, any_ago()).prop_map(|(celsius, source, ago)| Ask::Read { celsius, source, ago }),
        1 => any_batch().prop_map(Ask::Finish),
        1 => any_batch().prop_map(Ask::Adopt),
        4 => alarm().prop_map(Ask::Acknowledge),
        2 => (alarm(), -5i64..60).prop_map(|(alarm, minutes)| Ask::Snooze(alarm, minutes)),
        2 => option::weighted(0.5, (1i64..30).prop_map(EntryId)).prop_map(Ask::Undo),
        2 => Just(Ask::Start),
        4 => (option::weighted(0.3, 1u32..7), option::weighted(0.5, 0.5f64..400.0), any_ago())
            .prop_map(|(layer, weighed_g, ago)| Ask::Pour { layer, weighed_g, ago }),
        1 => (0.0f64..60.0, any_ago()).prop_map(|(level_mm, ago)| Ask::Level { level_mm, ago }),
        1 => select(vec![StepId::DryFit, StepId::Tint, StepId::Bed(2), StepId::Pour(1)]).prop_map(Ask::Tick),
        1 => Just(Ask::FinishPiece),
    ]
}

/// Mostly now, sometimes told late, sometimes a slip into the future.
fn any_ago() -> impl Strategy<Value = i64> {
    prop_oneof![5 => Just(0i64), 3 => 1i64..60, 1 => -10i64..0]
}

/// Mostly the first batch, so that deeds meet.
fn any_batch() -> impl Strategy<Value = BatchId> + Clone {
    prop_oneof![3 => Just(1u32), 1 => 2u32..5].prop_map(BatchId)
}

fn any_stage() -> impl Strategy<Value = Stage> + Clone {
    prop_oneof![1 => Just(Stage::Gel), 1 => Just(Stage::NextLayerOpens), 1 => select(&Stage::ALL[..])]
}
