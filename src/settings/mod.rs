//! What the user has settled in `config.toml`: how to be told, and where readings come from. Nothing else may make a command
//! run or a message leave the machine.

mod broker;
mod channels;
mod file;
mod night;
mod read;
mod rules;
mod secret;
mod source;
#[cfg(test)]
mod tests;

pub use broker::Broker;
pub use channels::{ChannelSettings, CommandSettings, MqttSettings, PostForm, PostSettings, Reach, SoundSettings};
pub use file::{BadSettings, EXAMPLE, load};
pub use read::read_settings;
pub use secret::{NoSecret, Secret};
pub use source::{Form, Gate, Origin, Smooth, SourceSettings};

use crate::bench::AlarmRules;
use crate::night::{NightRules, Rest};

/// Reads the settings anew; the words say why they cannot be used.
pub type Reread = Box<dyn Fn() -> Result<Settings, String>>;

/// All of it. The default is what holds without a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    pub rules: AlarmRules,
    /// When somebody sleeps, and how they like to pour.
    pub night: NightRules,
    pub channels: ChannelSettings,
    pub broker: Option<Broker>,
    pub sources: Vec<SourceSettings>,
    /// Whether the machine is held awake while a clock runs that may wake somebody.
    pub stay_awake: bool,
    /// Which text they were read from; empty: none.
    pub fingerprint: String,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            rules: rules::usual(),
            night: NightRules {
                rest: Rest { sleep: vec![rules::quiet_as_sleep(None)], ..Rest::default() },
                ..NightRules::default()
            },
            channels: ChannelSettings::default(),
            broker: None,
            sources: Vec::new(),
            stay_awake: true,
            fingerprint: String::new(),
        }
    }
}
