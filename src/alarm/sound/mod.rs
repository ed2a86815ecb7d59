//! Sound: a tone of our own, handed to a player that is there.

mod player;
mod tone;

pub(super) use player::Player;

use super::worker::Deliver;
use crate::bench::{Insistence, Notice};
use crate::settings::SoundSettings;
use crate::text::PlainText;
use std::io::{self, Write};

/// The sound channel.
pub(super) struct Sound {
    settings: SoundSettings,
    /// The player that could play last time.
    able: Option<Player>,
}

impl Sound {
    pub fn new(settings: SoundSettings) -> Self {
        Self { settings, able: None }
    }

    /// Plays the tone of `insistence` to its end, by the first player that can.
    fn play(&mut self, insistence: Insistence) -> Result<PlainText, PlainText> {
        let words = |why: &dyn std::fmt::Display| PlainText::new(&why.to_string());
        let mut players = Player::find(self.settings.player.as_deref()).map_err(|why| words(&why))?;
        // The one that could last time goes first: one that is installed need not have anything to play on.
        players.sort_by_key(|player| self.able.as_ref() != Some(player));
        let tone = tone::wav(insistence, self.settings.softest, self.settings.loudest).map_err(|why| words(&why))?;
        let kept = Kept::new(&tone).map_err(|why| words(&why))?;
        let mut first_failure = None;
        for player in players {
            match player.play(&kept.path()) {
                Ok(()) => {
                    let how = PlainText::new(&format!("played by '{}'", player.name()));
                    self.able = Some(player);
                    return Ok(how);
                }
                Err(why) => first_failure = first_failure.or_else(|| Some(words(&why))),
            }
        }
        Err(first_failure.unwrap_or_default())
    }
}

/// A tone where a player can read it: in a file, or in memory where the disk is full.
enum Kept {
    File(tempfile::NamedTempFile),
    #[cfg(target_os = "linux")]
    Memory(std::fs::File),
}

impl Kept {
    fn new(tone: &[u8]) -> io::Result<Self> {
        let file = || -> io::Result<Self> {
            let mut file = tempfile::Builder::new().suffix(".wav").tempfile()?;
            file.write_all(tone)?;
            Ok(Self::File(file))
        };
        #[cfg(target_os = "linux")]
        return file().or_else(|_| {
            let memory = rustix::fs::memfd_create("tone.wav", rustix::fs::MemfdFlags::CLOEXEC)?;
            let mut memory = std::fs::File::from(memory);
            memory.write_all(tone)?;
            Ok(Self::Memory(memory))
        });
        #[cfg(not(target_os = "linux"))]
        file()
    }

    fn path(&self) -> String {
        match self {
            Self::File(file) => file.path().display().to_string(),
            #[cfg(target_os = "linux")]
            Self::Memory(memory) => {
                let number = std::os::fd::AsRawFd::as_raw_fd(memory);
                format!("/proc/{}/fd/{number}", std::process::id())
            }
        }
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

    fn speaks_for_all(&self) -> bool {
        true
    }
}
