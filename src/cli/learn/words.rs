//! Verdicts, reasons and laws in words.

use crate::bench::clock_words;
use crate::cure::RateLaw;
use crate::learn::{LookFrom, Missing, TellsNothing, Verdict, Why};
use jiff::Timestamp;
use jiff::tz::TimeZone;

pub(super) fn verdict(verdict: Verdict) -> String {
    match verdict {
        Verdict::Learned { looks: 1 } => "learned from 1 look".to_owned(),
        Verdict::Learned { looks } => format!("learned from {looks} looks"),
        Verdict::GoesAlong => "goes along with the others".to_owned(),
        Verdict::Label => "still the label's".to_owned(),
        Verdict::CannotTell(missing) => format!("cannot tell yet: {}", what_would_tell(missing)),
    }
}

pub(super) fn what_would_tell(missing: Missing) -> &'static str {
    match missing {
        Missing::Temperature => "log one at a clearly different temperature",
        Missing::Dose => "log one with a clearly different dose",
        Missing::Bracket => "look once shortly before it and once shortly after",
        Missing::More => "log some more",
    }
}

pub(super) fn law(law: RateLaw) -> (&'static str, String) {
    match law {
        RateLaw::Q10(q10) => ("q10", format!("{:.2}", q10.get())),
        RateLaw::Arrhenius(energy) => ("activation energy", format!("{:.1} kJ/mol", energy.get())),
    }
}

/// A law with its coefficient moved by `sd` either way.
pub(super) fn law_range(law: RateLaw, sd: f64) -> String {
    match law {
        RateLaw::Q10(q10) => format!("{:.2} to {:.2}", q10.get() * (-sd).exp(), q10.get() * sd.exp()),
        RateLaw::Arrhenius(energy) => format!("{:.1} to {:.1}", energy.get() - sd, energy.get() + sd),
    }
}

pub(super) fn from(from: LookFrom) -> String {
    match from {
        LookFrom::Batch(batch) => format!("batch {batch}"),
        LookFrom::Recalled(entry) => format!("entry {}", entry.0),
    }
}

pub(super) fn why(why: Why, zone: &TimeZone) -> String {
    let clock = |at: Timestamp| at.to_zoned_datetime(zone.clone()).strftime("%-d %b %H:%M").to_string();
    match why {
        Why::Contradicts { there, not_yet } if there.0 == not_yet.0 => format!(
            "{} is said to be there by {} and not yet at {}; undo the wrong one",
            there.0.words(),
            clock(there.1),
            clock_words(not_yet.1, zone)
        ),
        Why::Contradicts { there, not_yet } => format!(
            "{} is said to be there by {}, yet {} not at {}; undo the wrong one",
            there.0.words(),
            clock(there.1),
            not_yet.0.words(),
            clock_words(not_yet.1, zone)
        ),
        Why::NotMeasured => {
            "the bench was not measured within six hours of it; enter the temperature it had".to_owned()
        }
    }
}

pub(super) const fn tells_nothing(reason: TellsNothing) -> &'static str {
    match reason {
        TellsNothing::NoSuchStage => "the profile has no such stage",
        TellsNothing::UnderTheFloor => "it was there although the bench was below the profile's floor all the while",
        TellsNothing::TooCool => "it was looked for only while it was too cool for it, or at once",
    }
}

/// Hours as minutes or hours, whichever reads better.
pub(super) fn hours(hours: f64) -> String {
    if hours < 1.995 { format!("{:.0} min", hours * 60.0) } else { format!("{hours:.1} h") }
}
