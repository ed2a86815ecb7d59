//! `nightpour` alone: the bench screen.

use super::shared::{Desk, Failure};
use crate::clock::SystemClock;
use crate::folders::{BadFile, Shelf, shelf};
use crate::settings::{Settings, load};
use crate::tui::{self, Options, Palette};
use clap::{Args, ValueEnum};
use std::time::Duration;

/// How the bench screen looks, and where alarms go.
#[derive(Debug, Clone, Args)]
pub struct ScreenArgs {
    #[command(flatten)]
    look: LookArgs,

    /// Do not send alarms to the desktop's notifications
    #[arg(long)]
    no_desktop: bool,
}

/// How a screen looks.
#[derive(Debug, Clone, Args)]
pub struct LookArgs {
    #[arg(long, value_enum, default_value_t = Theme::Auto, help = "Colours; auto follows the terminal and NO_COLOR")]
    theme: Theme,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Theme {
    Auto,
    Dark,
    Light,
    /// The terminal's own 16 colours
    #[value(name = "16")]
    Sixteen,
    /// No colours at all
    Plain,
}

impl LookArgs {
    /// The palette asked for; `None`: whatever suits the terminal.
    pub(super) fn palette(&self) -> Option<Palette> {
        match self.theme {
            Theme::Auto => None,
            Theme::Dark => Some(Palette::Dark),
            Theme::Light => Some(Palette::Light),
            Theme::Sixteen => Some(Palette::Sixteen),
            Theme::Plain => Some(Palette::Plain),
        }
    }
}

pub(super) fn run(args: &ScreenArgs, desk: &Desk) -> Result<(), Failure> {
    let profiles = desk.folders.profiles();
    let materials = move || {
        let Shelf { catalogue, bad } = shelf(&profiles);
        (catalogue, bad.iter().map(BadFile::words).collect())
    };
    let (path, no_desktop) = (desk.folders.settings(), args.no_desktop);
    let reread = move || {
        let mut settings = load(&path).map_err(|bad| bad.words())?;
        if no_desktop {
            settings.channels.desktop = None;
        }
        Ok(settings)
    };
    let (settings, troubles) = match reread() {
        Ok(settings) => (settings, Vec::new()),
        Err(why) => (Settings::default(), vec![why]),
    };
    Ok(tui::run(Options {
        clock: Box::new(SystemClock),
        zone: desk.zone.clone(),
        materials: Box::new(materials),
        notebook: desk.notebook()?,
        palette: args.look.palette(),
        settings,
        reread: Some(Box::new(reread)),
        troubles,
        script: None,
        frame_gap: Duration::ZERO,
    })?)
}
