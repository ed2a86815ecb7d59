//! Enter the level the resin was found at.

use super::{
    Wrong,
    field::{Field, Fields},
    time_field,
};
use crate::bench::{Bench, BenchPiece, Command, PieceId, Standing};
use crate::tui::theme::Role;
use crate::units::Level;
use jiff::Timestamp;

pub(super) const LEVEL: usize = 0;
pub(super) const WHEN: usize = 1;

#[derive(Debug, Clone)]
pub(in crate::tui) struct LevelForm {
    pub(super) fields: Fields,
    piece: PieceId,
    title: String,
}

impl LevelForm {
    pub fn new(on_bench: &BenchPiece) -> Self {
        Self {
            fields: Fields::new(vec![
                Field::text("level", "", "mm above the inside of the floor"),
                Field::text("when", "now", "now, 23:40, 20 min ago"),
            ]),
            piece: on_bench.id,
            title: format!("level found · piece {} {}", on_bench.id, on_bench.name()),
        }
    }

    pub(super) fn title(&self) -> String {
        self.title.clone()
    }

    /// What was worked out, and how far off it is.
    pub(super) fn notes(&self, bench: &Bench) -> Vec<(String, Role)> {
        let standing = bench.pieces().find(|(piece, _)| piece.id == self.piece).and_then(|(_, standing)| standing);
        let Some(worked_out_mm) = standing.map(Standing::level_mm) else { return Vec::new() };
        let found_mm = self.level().ok().flatten().map(Level::get);
        let off = found_mm.map(|found_mm| {
            let side = if found_mm < worked_out_mm { "lower" } else { "higher" };
            format!("; this is {:.1} mm {side}", (found_mm - worked_out_mm).abs())
        });
        let off = off.unwrap_or_default();
        vec![
            (format!("Worked out so far: {worked_out_mm:.1} mm{off}"), Role::Text),
            ("What is left is planned anew from the level found".to_owned(), Role::Faint),
        ]
    }

    fn level(&self) -> Result<Option<Level>, String> {
        self.fields.list[LEVEL].quantity(Level::SYMBOL, Level::new)
    }

    pub(super) fn command(&self, bench: &Bench, now: Timestamp) -> Result<Command, Wrong> {
        let level = self.level().map_err(|error| (LEVEL, error))?;
        let level_mm = level.ok_or_else(|| (LEVEL, "type the level in mm".to_owned()))?;
        Ok(Command::Level { piece: Some(self.piece), level_mm, at: time_field(&self.fields, WHEN, bench, now)? })
    }
}
