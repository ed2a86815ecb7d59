//! What may change round a watch while it is kept: the zone the user is in, and the settings.

use super::Vigil;
use super::thermometers::Thermometers;
use crate::bench::{Effect, Event};
use crate::settings::Settings;
use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp};

/// How often they are looked at.
const LOOK_AROUND: SignedDuration = SignedDuration::from_mins(1);

impl Vigil {
    /// Looks, now and then, at what may have changed round it: the zone the user is in, and the settings.
    pub(super) fn look_around(&mut self, now: Timestamp, effects: &mut Vec<Effect>) {
        if now.duration_since(self.looked_around).abs() < LOOK_AROUND {
            return;
        }
        self.looked_around = now;
        self.look_at_zone(effects);
        self.look_at_settings(now, effects);
    }

    fn look_at_settings(&mut self, now: Timestamp, effects: &mut Vec<Effect>) {
        let Some(reread) = &self.reread else { return };
        match reread() {
            Ok(settings) if settings.fingerprint != self.settings.fingerprint => {
                self.bad_settings = None;
                effects.extend(self.use_settings(settings, now));
            }
            Ok(_) => self.bad_settings = None,
            Err(why) if self.bad_settings.as_ref() != Some(&why) => {
                let line = PlainText::new(&format!("{why}; those read before go on"));
                effects.push(Effect::Say { line, refused: true });
                self.bad_settings = Some(why);
            }
            Err(_) => {}
        }
    }

    /// Goes on by other settings: what rings, rings on by them.
    fn use_settings(&mut self, settings: Settings, now: Timestamp) -> Vec<Effect> {
        self.session.use_rules(settings.rules.clone());
        self.thermometers = Thermometers::new(&settings);
        self.settings = settings;
        if self.channels.is_some() {
            self.open_channels();
        }
        if self.sounds() {
            self.thermometers.start(&self.settings, &self.tell);
            self.tell_watcher(Timestamp::UNIX_EPOCH);
        }
        let mut effects = self.session.handle(Event::Tick, now);
        effects.push(Effect::Say { line: PlainText::new("your settings were read anew"), refused: false });
        effects
    }

    fn look_at_zone(&mut self, effects: &mut Vec<Effect>) {
        let Some(zone) = self.clock.zone().filter(|zone| zone != self.bench().zone()) else { return };
        let name = zone.iana_name().unwrap_or("another zone").to_owned();
        self.session.use_zone(zone);
        let line =
            PlainText::new(&format!("the time zone changed to {name}: clock times are shown in it, none has moved"));
        effects.push(Effect::Say { line, refused: false });
    }
}
