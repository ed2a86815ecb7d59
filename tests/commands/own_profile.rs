//! Profiles of the user's own, for the commands that look for them.

use crate::home::Home;

impl Home {
    /// Puts `text` into the user's own profiles.
    pub fn write_profile(&self, name: &str, text: &str) {
        let folder = self.path("config/profiles");
        std::fs::create_dir_all(&folder).unwrap();
        self.write(&format!("config/profiles/{name}"), text);
    }
}
