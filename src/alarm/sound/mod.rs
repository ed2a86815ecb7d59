//! Sound: a tone of our own, handed to a player that is there.

mod player;
mod tone;

pub(super) use player::Player;

use super::worker::Deliver;
use crate::bench::{Insistence, Notice};
use crate::settings::SoundSettings;
use crate::text::PlainText;
use std::io::Write;

/// The sound channel.
pub(super) struct Sound {
    settings: SoundSettings,
}

impl Sound {
    pub fn new(settings: SoundSettings) -> Self {
        Self { settings }
    }

    /// Plays the tone of `insistence` to its end.
    fn play(&self, insistence: Insistence) -> Result<PlainText, PlainText> {
        let words = |why: &dyn std::fmt::Display| PlainText::new(&why.to_string());
        let player = Player::find(self.settings.player.as_deref()).map_err(|why| words(&why))?;
        let tone = tone::wav(insistence, self.settings.softest, self.settings.loudest).map_err(|why| words(&why))?;
        let mut file = tempfile::Builder::new().suffix(".wav").tempfile().map_err(|why| words(&why))?;
        file.write_all(&tone).and_then(|()| file.flush()).map_err(|why| words(&why))?;
        player.play(file.path()).map_err(|why| words(&why))?;
        Ok(PlainText::new(&format!("played by '{}'", player.name())))
    }
}

impl Deliver for Sound {
    fn deliver(&mut self, notice: &Notice) -> Result<PlainText, PlainText> {
        self.play(notice.insistence)
    }

    /// A tone that comes late says nothing: the next ring plays another.
    fn retries(&self) -> bool {
        false
    }
}
