//! How the user wants to be told: ahead of what, at night of what, and after how much silence.

use super::alarm_id::{AlarmId, Phase};
use super::place::Place;
use crate::material::{MaterialId, Stage};
use jiff::civil::Time;
use jiff::{SignedDuration, Timestamp, ToSpan, ZonedDateTime, tz::TimeZone};
use std::collections::BTreeMap;

/// Whether an alarm may wake somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AtNight {
    Wake,
    /// In the quiet hours it is shown, and rings when they are over.
    Wait,
}

/// The hours in which only what must may ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuietHours {
    pub from: Time,
    pub until: Time,
}

impl QuietHours {
    /// When the quiet hours that hold at `now` end; `None` outside them. Where summer time begins or ends, the clocks on the
    /// wall decide; a time that is skipped is the first one after it, one that comes twice the first.
    pub fn end(&self, now: Timestamp, zone: &TimeZone) -> Option<Timestamp> {
        let now = now.to_zoned_datetime(zone.clone());
        let begun = latest(&now, self.from)?;
        let over = latest(&now, self.until)?;
        if self.from == self.until || begun <= over {
            return None;
        }
        let day = now.date();
        let days = [day, day.checked_add(1.day()).ok()?];
        let mut ends = days.into_iter().filter_map(|day| zone.to_timestamp(day.to_datetime(self.until)).ok());
        ends.find(|end| *end > now.timestamp())
    }
}

/// The latest moment up to `now` at which the clocks showed `time`.
fn latest(now: &ZonedDateTime, time: Time) -> Option<Timestamp> {
    let today = now.date();
    let days = [today.checked_sub(2.days()).ok()?, today.checked_sub(1.day()).ok()?, today];
    let moments = days.into_iter().filter_map(|day| now.time_zone().to_timestamp(day.to_datetime(time)).ok());
    moments.filter(|at| *at <= now.timestamp()).max()
}

/// What one stage of one material is to do, where the user says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StageRule {
    /// Every material, where none is named.
    pub material: Option<MaterialId>,
    pub stage: Stage,
    pub at_night: Option<AtNight>,
    pub lead: Option<SignedDuration>,
}

/// All of it. The default: no word ahead, no quiet hours, no source that must not fall silent.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AlarmRules {
    pub lead: SignedDuration,
    pub quiet: Option<QuietHours>,
    pub stages: Vec<StageRule>,
    /// After how long without a reading a place that is read by itself counts as silent.
    pub silent_after: BTreeMap<Place, SignedDuration>,
}

impl AlarmRules {
    /// How long before a stage of `material` is due its word ahead comes; zero: none.
    pub fn lead(&self, material: &MaterialId, stage: Stage) -> SignedDuration {
        let usual = if has_lead(stage) { self.lead } else { SignedDuration::ZERO };
        self.said_of(material, stage, |rule| rule.lead).unwrap_or(usual)
    }

    /// What an alarm about a stage of `material` does in the quiet hours.
    pub fn at_night(&self, material: &MaterialId, alarm: AlarmId) -> AtNight {
        match alarm {
            // A word ahead is for who is up anyway, and a window that was missed is not mended in the dark.
            AlarmId::Stage { phase: Phase::Ahead | Phase::Missed, .. } => AtNight::Wait,
            AlarmId::Stage { stage, .. } => {
                self.said_of(material, stage, |rule| rule.at_night).unwrap_or(usual_at_night(stage))
            }
            AlarmId::Silence { silent: Place::Bench } => AtNight::Wake,
            AlarmId::Silence { .. } => AtNight::Wait,
        }
    }

    /// What the user says of it: of this material before what is said of all.
    fn said_of<T>(&self, material: &MaterialId, stage: Stage, what: impl Fn(&StageRule) -> Option<T>) -> Option<T> {
        let about = |named: bool| {
            let meant = move |rule: &&StageRule| {
                rule.stage == stage
                    && if named { rule.material.as_ref() == Some(material) } else { rule.material.is_none() }
            };
            self.stages.iter().filter(meant).rev().find_map(&what)
        };
        about(true).or_else(|| about(false))
    }
}

/// Whether there is something to make ready for a stage.
fn has_lead(stage: Stage) -> bool {
    matches!(stage, Stage::NextLayerOpens | Stage::NextLayerCloses)
}

/// Whether a stage is worth a night's sleep (own choice): what is lost if nobody comes, and the cup of who has just mixed.
fn usual_at_night(stage: Stage) -> AtNight {
    match stage {
        Stage::PotLife | Stage::NextLayerOpens | Stage::NextLayerCloses => AtNight::Wake,
        Stage::Gel | Stage::TackFree | Stage::Demould | Stage::FullCure => AtNight::Wait,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::testing::material;
    use jiff::civil::time;

    fn berlin() -> TimeZone {
        TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap()
    }

    fn end(quiet: QuietHours, now: &str) -> Option<String> {
        let end = quiet.end(now.parse().unwrap(), &berlin())?;
        Some(end.to_zoned_datetime(berlin()).strftime("%d %H:%M").to_string())
    }

    #[test]
    fn quiet_hours_pass_midnight_or_do_not() {
        let night = QuietHours { from: time(22, 30, 0, 0), until: time(6, 30, 0, 0) };
        assert_eq!(end(night, "2026-03-02T22:29:59+01:00"), None);
        assert_eq!(end(night, "2026-03-02T22:30:00+01:00").as_deref(), Some("03 06:30"));
        assert_eq!(end(night, "2026-03-03T06:29:59+01:00").as_deref(), Some("03 06:30"));
        assert_eq!(end(night, "2026-03-03T06:30:00+01:00"), None);
        let nap = QuietHours { from: time(13, 0, 0, 0), until: time(14, 0, 0, 0) };
        assert_eq!(end(nap, "2026-03-03T13:20:00+01:00").as_deref(), Some("03 14:00"));
        assert_eq!(end(nap, "2026-03-03T12:20:00+01:00"), None);
        let none = QuietHours { from: time(7, 0, 0, 0), until: time(7, 0, 0, 0) };
        assert_eq!(end(none, "2026-03-03T07:00:00+01:00"), None);
    }

    #[test]
    fn in_the_nights_of_the_changes_the_wall_decides() {
        let night = QuietHours { from: time(22, 30, 0, 0), until: time(6, 30, 0, 0) };
        for now in ["2026-03-28T23:00:00+01:00", "2026-03-29T03:30:00+02:00"] {
            assert_eq!(end(night, now).as_deref(), Some("29 06:30"), "{now}");
        }
        assert_eq!(end(night, "2026-10-25T02:30:00+01:00").as_deref(), Some("25 06:30"), "the second half past two");
        // 02:30 does not come on that day; the clocks go from 02:00 to 03:00.
        let short = QuietHours { from: time(22, 30, 0, 0), until: time(2, 30, 0, 0) };
        assert_eq!(end(short, "2026-03-29T01:00:00+01:00").as_deref(), Some("29 03:30"));
    }

    #[test]
    fn what_is_said_of_a_material_comes_before_what_is_said_of_all() {
        let rule = |material: Option<&str>, at_night| StageRule {
            material: material.map(crate::bench::testing::material),
            stage: Stage::Gel,
            at_night: Some(at_night),
            lead: None,
        };
        let rules = AlarmRules {
            stages: vec![rule(Some("slow-epoxy"), AtNight::Wait), rule(None, AtNight::Wake)],
            ..AlarmRules::default()
        };
        let gel = AlarmId::of(crate::bench::BatchId(1), Stage::Gel);
        assert_eq!(rules.at_night(&material("slow-epoxy"), gel), AtNight::Wait);
        assert_eq!(rules.at_night(&material("clear-polyester"), gel), AtNight::Wake);
        assert_eq!(AlarmRules::default().at_night(&material("clear-polyester"), gel), AtNight::Wait);
    }
}
