//! Which alarm is meant: a stage of a batch, or a place whose temperature nobody tells any more.

use super::entry::BatchId;
use super::place::Place;
use crate::material::Stage;
use serde::{Deserialize, Serialize};

/// What of a stage an alarm tells.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// It comes soon: get ready.
    Ahead,
    /// It is due.
    #[default]
    Due,
    /// It has passed unused.
    Missed,
}

impl Phase {
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "the form serde asks for")]
    fn is_due(&self) -> bool {
        *self == Phase::Due
    }
}

/// What an alarm is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(untagged)]
pub enum AlarmId {
    Stage {
        batch: BatchId,
        stage: Stage,
        #[serde(default, skip_serializing_if = "Phase::is_due")]
        phase: Phase,
    },
    Silence {
        silent: Place,
    },
}

impl AlarmId {
    /// The alarm of a stage that is due.
    pub const fn of(batch: BatchId, stage: Stage) -> Self {
        AlarmId::Stage { batch, stage, phase: Phase::Due }
    }

    /// The same stage in another phase; a silence has none.
    #[must_use]
    pub const fn at_phase(self, phase: Phase) -> Self {
        match self {
            AlarmId::Stage { batch, stage, .. } => AlarmId::Stage { batch, stage, phase },
            AlarmId::Silence { .. } => self,
        }
    }

    pub const fn batch(self) -> Option<BatchId> {
        match self {
            AlarmId::Stage { batch, .. } => Some(batch),
            AlarmId::Silence { .. } => None,
        }
    }

    pub const fn stage(self) -> Option<Stage> {
        match self {
            AlarmId::Stage { stage, .. } => Some(stage),
            AlarmId::Silence { .. } => None,
        }
    }

    pub const fn phase(self) -> Phase {
        match self {
            AlarmId::Stage { phase, .. } => phase,
            AlarmId::Silence { .. } => Phase::Due,
        }
    }

    /// Whether it is about the next-layer window.
    pub fn is_next_layer(self) -> bool {
        self.stage().is_some_and(Stage::is_next_layer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_earlier_notebooks_hold_reads_as_a_due_stage() {
        let due = AlarmId::of(BatchId(3), Stage::Gel);
        assert_eq!(serde_json::to_string(&due).unwrap(), r#"{"batch":3,"stage":"gel"}"#);
        for alarm in [due, due.at_phase(Phase::Ahead), AlarmId::Silence { silent: Place::Resin }] {
            let written = serde_json::to_string(&alarm).unwrap();
            assert_eq!(serde_json::from_str::<AlarmId>(&written).unwrap(), alarm, "{written}");
        }
    }
}
