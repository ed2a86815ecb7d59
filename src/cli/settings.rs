//! `nightpour settings`: where the settings are, and whether they can be used.

use super::shared::{Desk, Failure};
use crate::settings::{EXAMPLE, Origin, Settings};
use crate::text::printable;
use clap::Args;
use std::io::Write;

/// Where your settings are, whether they can be used, and what they come to
#[derive(Debug, Args)]
pub struct SettingsArgs {
    /// Print a commented example of everything that can be settled
    #[arg(long)]
    example: bool,
}

pub(super) fn run(args: &SettingsArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    if args.example {
        return Ok(write!(out, "{EXAMPLE}")?);
    }
    let path = desk.folders.settings();
    let settings = desk.settings_or_fail()?;
    let found =
        if path.exists() { "fine" } else { "not there, so the usual holds ('--example' prints one to begin with)" };
    writeln!(out, "{}: {found}", printable(&path.display().to_string()))?;
    let catalogue = desk.shelf().catalogue;
    for rule in &settings.rules.stages {
        if let Some(material) = rule.material.as_ref().filter(|material| catalogue.get(material).is_none()) {
            writeln!(out, "  ! [[stage]] speaks of '{material}', and there is no such material")?;
        }
    }
    for line in words(&settings) {
        writeln!(out, "  {line}")?;
    }
    Ok(())
}

fn words(settings: &Settings) -> Vec<String> {
    let channels = &settings.channels;
    let on = [
        ("desktop", channels.desktop.is_some()),
        ("sound", channels.sound.is_some()),
        ("bell", channels.bell.is_some()),
        ("terminal", channels.terminal.is_some()),
        ("command", channels.command.is_some()),
        ("post", channels.post.is_some()),
        ("mqtt", channels.mqtt.is_some()),
    ];
    let on: Vec<&str> = on.into_iter().filter_map(|(name, on)| on.then_some(name)).collect();
    let quiet = match settings.rules.quiet {
        Some(quiet) => format!("quiet hours: {} to {}", quiet.from.strftime("%H:%M"), quiet.until.strftime("%H:%M")),
        None => "quiet hours: none".to_owned(),
    };
    let on = if on.is_empty() { "none: nothing would sound".to_owned() } else { on.join(", ") };
    let mut lines = vec![format!("channels: {on}"), quiet];
    for source in &settings.sources {
        let origin = match &source.origin {
            Origin::File { path, .. } => format!("file {}", printable(&path.display().to_string())),
            Origin::Command { run, .. } => format!("command {}", printable(&run.join(" "))),
            Origin::Topic(topic) => format!("topic {}", printable(topic)),
        };
        lines.push(format!("readings of '{}': {origin}", source.name));
    }
    lines
}
