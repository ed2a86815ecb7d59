//! `nightpour alarm-check`: will I be woken tonight?

mod finding;
mod machine;
mod night;

use super::Finish;
use super::json::print_json;
use super::shared::{Desk, Failure};
use crate::alarm::{Channel, ChannelHealth, Doing, terminal, trial};
use crate::bench::{AlarmId, BatchId, Event, Insistence, Notice, Urgency};
use crate::material::Stage;
use crate::text::PlainText;
use clap::Args;
use finding::{Finding, Sign, verdict};
use std::io::{self, BufRead, IsTerminal, Write};

/// Before bed: sound every channel for real, look at the machine, and say whether you will be woken
///
/// Prints what works, what does not and how to mend it. It can only try what is there now: nothing here is a promise.
#[derive(Debug, Args)]
pub struct AlarmCheckArgs {
    /// Do not ask whether you heard it
    #[arg(long)]
    no_ask: bool,

    /// Print JSON; asks nothing
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &AlarmCheckArgs, desk: &Desk, out: &mut impl Write) -> Result<Finish, Failure> {
    let settings = desk.settings_or_fail()?;
    let asks = !args.no_ask && !args.json && io::stdin().is_terminal() && io::stdout().is_terminal();
    let mut findings: Vec<Finding> = Vec::new();
    let mut told = Ok(());
    let mut tell = |finding: Finding, out: &mut dyn Write| {
        if !args.json && told.is_ok() {
            told = finding.print(out);
        }
        findings.push(finding);
    };
    if !args.json {
        writeln!(out, "alarms (each sounds now):")?;
        out.flush()?;
    }
    let notice = trial_notice(desk);
    trial(&settings, &notice, |channel, health| {
        let heard = heard(channel, &health, asks, out);
        tell(of_channel(channel, &health, heard), out);
    });
    let terminal_is_there = io::stdout().is_terminal() && !args.json;
    if settings.channels.bell.is_some() {
        tell(bell(terminal_is_there, asks, out)?, out);
    }
    if settings.channels.terminal.is_some() && terminal_is_there {
        write!(out, "{}", terminal::notification(&notice.headline, &notice.detail))?;
        tell(Finding::new("terminal", Sign::Unsure, "asked to show a notification; not every terminal does", ""), out);
    }
    if !args.json {
        writeln!(out, "machine:")?;
    }
    let bench = night::bench(desk, &settings)?;
    for finding in machine::findings(desk, &settings) {
        tell(finding, out);
    }
    if !args.json {
        writeln!(out, "tonight:")?;
    }
    for finding in night::findings(&bench, &settings, desk) {
        tell(finding, out);
    }
    told?;
    let verdict = verdict(&findings);
    if args.json {
        print_json(&finding::CheckFacts::new(&findings, &verdict), out)?;
    } else {
        writeln!(out, "\n{}", verdict.words)?;
    }
    // What is counted on from here: when the forecast moves it, that is told.
    let mut bench = bench;
    bench.handle(Event::Tick, desk.now);
    if bench.next_alarm().is_some() {
        desk.write(bench.catalogue(), |_| Ok(bench.bedtime()))?;
    }
    Ok(if verdict.woken { Finish::Fine } else { Finish::Problems })
}

fn trial_notice(desk: &Desk) -> Notice {
    Notice {
        alarm: AlarmId::of(BatchId(0), Stage::NextLayerOpens),
        urgency: Urgency::Critical,
        insistence: Insistence::Firm,
        first: true,
        due: desk.now,
        headline: PlainText::new("alarm check"),
        detail: PlainText::new("this is a trial: nothing is due"),
    }
}

/// What the user says of a sound; `None` where nobody was asked.
fn heard(channel: Channel, health: &ChannelHealth, asks: bool, out: &mut dyn Write) -> Option<bool> {
    if !asks || channel != Channel::Sound || health.doing != Doing::Works {
        return None;
    }
    ask("did you hear the tone, and would it wake you?", out).ok()
}

fn ask(question: &str, out: &mut dyn Write) -> io::Result<bool> {
    write!(out, "  {question} [y/N] ")?;
    out.flush()?;
    let mut answer = String::new();
    io::stdin().lock().read_line(&mut answer)?;
    Ok(matches!(answer.trim().to_lowercase().as_str(), "y" | "yes"))
}

fn of_channel(channel: Channel, health: &ChannelHealth, heard: Option<bool>) -> Finding {
    let name = channel.name();
    match (health.doing, heard) {
        (Doing::Works, Some(false)) => Finding::new(
            name,
            Sign::Bad,
            "played, and you did not hear it",
            "turn the volume up, or name another player",
        ),
        (Doing::Works, _) => Finding::new(name, Sign::Good, health.words.as_str(), ""),
        (Doing::Unknown | Doing::Slow, _) => Finding::new(name, Sign::Unsure, health.words.as_str(), ""),
        (Doing::Fails, _) if health.words.as_str().contains("secret") => {
            Finding::new(name, Sign::Bad, health.words.as_str(), "put the secret where your settings say it is")
        }
        (Doing::Fails, _) => Finding::new(name, Sign::Bad, health.words.as_str(), mend(channel)),
    }
}

fn mend(channel: Channel) -> &'static str {
    match channel {
        Channel::Desktop => {
            "start it from a desktop session with a notification service, or switch [channel.desktop] off"
        }
        Channel::Sound => {
            "is there a loudspeaker? Else install a player such as 'aplay', or name one that works under [channel.sound]"
        }
        Channel::Command => "run the command of [channel.command] by hand and see what it says",
        Channel::Post => "try the address of [channel.post] from this machine; is the token right?",
        Channel::Mqtt => "is the broker of [broker] running, and are its name, port and password right?",
        Channel::Bell | Channel::Terminal => "",
    }
}

fn bell(terminal_is_there: bool, asks: bool, out: &mut dyn Write) -> io::Result<Finding> {
    if !terminal_is_there {
        return Ok(Finding::new("bell", Sign::Unsure, "no terminal here to ring", ""));
    }
    write!(out, "{}", terminal::BELL)?;
    out.flush()?;
    Ok(match asks.then(|| ask("did the terminal's bell ring just now?", out)).transpose()? {
        Some(true) => Finding::new("bell", Sign::Good, "you heard it", ""),
        Some(false) => {
            Finding::new("bell", Sign::Unsure, "not heard", "many terminals have it switched off in their settings")
        }
        None => Finding::new("bell", Sign::Unsure, "rung; only you can hear whether", ""),
    })
}
