//! `nightpour vigil`: the alarms without a screen.

use super::shared::{Desk, Failure};
use crate::alarm::Doing;
use crate::bench::clock_words;
use crate::clock::SystemClock;
use crate::settings::load;
use crate::vigil::headless;
use crate::vigil::{Left, Vigil, VigilOptions};
use clap::Args;
use jiff::Timestamp;
use std::io::{self, Write, stdout};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread;

/// Keep watch without a screen: the same alarms, the same thermometers, until it is stopped
///
/// It may run beside the screen: only one of them sounds at a time, and when that one goes the other takes over. To have it
/// run whenever you are logged in, let systemd have the unit that --unit prints.
#[derive(Debug, Args)]
pub struct VigilArgs {
    /// Print a systemd user service unit, and how to install it
    #[arg(long)]
    unit: bool,
}

pub(super) fn run(args: &VigilArgs, desk: &Desk) -> Result<(), Failure> {
    if args.unit {
        return Ok(print_unit(desk, &mut stdout())?);
    }
    let path = desk.folders.settings();
    let options = VigilOptions {
        clock: Box::new(SystemClock),
        zone: desk.zone.clone(),
        catalogue: desk.catalogue(),
        notebook: desk.notebook()?,
        // A slip in a file must not end the watch.
        settings: desk.settings_or_usual(),
        reread: Some(Box::new(move || load(&path).map_err(|bad| bad.words()))),
        kind: Some("vigil"),
    };
    let words = speaker()?;
    let store = shown(&desk.store);
    say(&words, format!("{}  keeping watch on '{store}'; Ctrl-C ends it", clock_words(desk.now, &desk.zone)));
    Ok(headless::run(options, |vigil, now, left| tell(vigil, now, left, &words))?)
}

/// Words that wait to be written; what does not fit is lost.
const MOST_WAITING: usize = 1000;

/// Writes lines on a thread of its own: neither a full disk nor a stopped terminal ends the watch, or holds it up.
fn speaker() -> io::Result<SyncSender<String>> {
    let (words, lines) = sync_channel::<String>(MOST_WAITING);
    let write = move || {
        for line in lines {
            // Where nobody reads any more the alarms go on.
            let _ = writeln!(stdout(), "{line}").and_then(|()| stdout().flush());
        }
    };
    thread::Builder::new().name("words".into()).spawn(write)?;
    Ok(words)
}

fn say(words: &SyncSender<String>, line: String) {
    let _ = words.try_send(line);
}

fn tell(vigil: &Vigil, now: Timestamp, left: &Left, words: &SyncSender<String>) {
    let clock = clock_words(now, vigil.bench().zone());
    let line = match left {
        Left::Rang { notice, here: true, .. } => format!("▲ {}: {}", notice.headline, notice.detail),
        Left::Rang { notice, here: false, .. } => format!("due, sounds elsewhere: {}", notice.headline),
        Left::Hushed(alarm) => {
            let stage = alarm.stage().map(|stage| format!(" · {}", stage.words())).unwrap_or_default();
            format!("silent: {}{stage}", vigil.bench().title_of(*alarm))
        }
        Left::Say { line, .. } => format!("! {line}"),
        Left::Health(channel, health) => {
            let sign = match health.doing {
                Doing::Works => "✓",
                Doing::Unknown => "?",
                Doing::Slow => "…",
                Doing::Fails => "✗",
            };
            format!("{sign} {channel}: {}", health.words)
        }
    };
    say(words, format!("{clock}  {line}"));
}

fn print_unit(desk: &Desk, out: &mut impl Write) -> io::Result<()> {
    let program =
        std::env::current_exe().map_or_else(|_| "nightpour".to_owned(), |path| quoted(&path.display().to_string()));
    let store = quoted(&desk.store.display().to_string());
    let config = quoted(&format!("NIGHTPOUR_CONFIG={}", desk.folders.config().display()));
    writeln!(
        out,
        "# ~/.config/systemd/user/nightpour-vigil.service; then:\n\
         #   systemctl --user daemon-reload && systemctl --user enable --now nightpour-vigil\n\
         #   loginctl enable-linger   (to have it run without being logged in)\n\
         [Unit]\n\
         Description=Nightpour keeps watch over what is setting\n\
         StartLimitIntervalSec=0\n\
         \n\
         [Service]\n\
         Environment={config}\n\
         ExecStart={program} --store {store} vigil\n\
         Restart=always\n\
         RestartSec=2\n\
         \n\
         [Install]\n\
         WantedBy=default.target"
    )
}

/// A word of a command line as systemd reads it (systemd.service, "Command lines"; systemd.unit, "Specifiers").
fn quoted(word: &str) -> String {
    let escaped = word.replace('\\', "\\\\").replace('"', "\\\"").replace('$', "$$").replace('%', "%%");
    format!("\"{}\"", escaped.replace('\n', "\\n"))
}

fn shown(path: &std::path::Path) -> String {
    crate::text::printable(&path.display().to_string())
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn a_path_with_anything_in_it_stays_one_word() {
        assert_eq!(quoted("/home/koi pond/$x%h\"\\n.db"), "\"/home/koi pond/$$x%%h\\\"\\\\n.db\"");
    }
}
