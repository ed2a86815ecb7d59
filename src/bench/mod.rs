//! The live bench: a pure state machine. Events and the time go in, effects come out.

mod alarm_id;
mod alarms;
mod batch;
mod command;
mod doubts;
mod entry;
mod entry_words;
mod forecast;
mod log;
mod machine;
mod moment;
mod note;
mod notice;
mod own_heat;
mod piece;
mod place;
mod readings;
mod rules;
#[cfg(test)]
pub(crate) mod testing;
mod tie;
mod words;

pub use alarm_id::{AlarmId, Phase};
pub use alarms::{Alarm, AlarmState, Reason, urgency};
pub use batch::{Batch, Observation, READING_ERROR};
pub use command::{Command, Decision, Dose, NewMix, NewPiece, NewPour, Refusal, decide};
pub use entry::{BatchId, Entry, EntryId, KeptMesh, Mix, NewEntry, Part, PieceId, Recalled, Seen, Stored, Trust};
pub use entry_words::entry_words;
pub use forecast::{BatchForecast, StageForecast, StageStatus, forecast, own_heat_share};
pub use log::Log;
pub use machine::{Bench, Effect, Event};
pub use moment::hours_between;
pub use note::clock_note;
pub use notice::{Insistence, Notice, Urgency};
pub use own_heat::{HeatBook, HeatPlace, OwnHeat, WORTH_TELLING_C, correction_words, heat_words};
pub use piece::{BenchPiece, LaidLayer, LayerState, Poured, Standing, pour_words, pour_words_brief};
pub use place::Place;
pub use readings::{Reading, Readings};
pub use rules::{AlarmRules, AtNight, QuietHours, StageRule};
pub use tie::{Tie, UptimeClock};
pub use words::{action, clock_words, day_clock_words, figure_words, never_words, span_words, warmth_words};
