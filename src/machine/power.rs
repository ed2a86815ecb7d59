//! Where the power comes from, and whether the lid is shut, as Linux tells it (kernel documentation: sysfs-class-power, and
//! the ACPI button of old, which is where the lid's state is).

use std::fs;
use std::path::Path;

/// Where the power comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Power {
    Mains,
    /// With so many percent left, where that is known.
    Battery(Option<u8>),
    /// Nothing is told of it; a machine without a battery mostly.
    Unknown,
}

/// Where the power comes from now.
pub fn power() -> Power {
    power_at(Path::new("/sys/class/power_supply"))
}

/// Whether the lid is shut; `None` where there is none, or nothing is told of it.
pub fn lid_is_shut() -> Option<bool> {
    lid_at(Path::new("/proc/acpi/button/lid"))
}

fn power_at(folder: &Path) -> Power {
    let mut on_battery = None;
    for supply in folders(folder) {
        let told = |name: &str| fs::read_to_string(supply.join(name)).unwrap_or_default().trim().to_owned();
        match told("type").as_str() {
            // A battery of a mouse or a pen is none of the machine's.
            "Battery" if told("scope") != "Device" => on_battery = Some(told("capacity").parse().ok()),
            "Mains" | "USB" if told("online") == "1" => return Power::Mains,
            _ => {}
        }
    }
    on_battery.map_or(Power::Unknown, Power::Battery)
}

fn lid_at(folder: &Path) -> Option<bool> {
    let states = folders(folder).into_iter().filter_map(|lid| fs::read_to_string(lid.join("state")).ok());
    states.map(|state| state.contains("closed")).reduce(|any, shut| any | shut)
}

fn folders(folder: &Path) -> Vec<std::path::PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn supplies(list: &[(&str, &[(&str, &str)])]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, files) in list {
            let supply = folder.path().join(name);
            fs::create_dir(&supply).unwrap();
            for (file, text) in *files {
                fs::write(supply.join(file), format!("{text}\n")).unwrap();
            }
        }
        folder
    }

    #[test]
    fn mains_and_battery_are_told_apart() {
        let battery: (&str, &[(&str, &str)]) = ("BAT0", &[("type", "Battery"), ("capacity", "37")]);
        let plugged: (&str, &[(&str, &str)]) = ("AC", &[("type", "Mains"), ("online", "1")]);
        let unplugged: (&str, &[(&str, &str)]) = ("AC", &[("type", "Mains"), ("online", "0")]);
        let mouse: (&str, &[(&str, &str)]) = ("hid", &[("type", "Battery"), ("scope", "Device"), ("capacity", "5")]);
        assert_eq!(power_at(supplies(&[battery, plugged]).path()), Power::Mains);
        assert_eq!(power_at(supplies(&[battery, unplugged]).path()), Power::Battery(Some(37)));
        assert_eq!(power_at(supplies(&[mouse]).path()), Power::Unknown);
        assert_eq!(power_at(Path::new("/no/such/folder")), Power::Unknown);
    }

    #[test]
    fn a_lid_is_shut_or_open_or_not_there() {
        assert_eq!(lid_at(supplies(&[("LID", &[("state", "state:      closed")])]).path()), Some(true));
        assert_eq!(lid_at(supplies(&[("LID0", &[("state", "state:      open")])]).path()), Some(false));
        assert_eq!(lid_at(supplies(&[]).path()), None);
    }
}
