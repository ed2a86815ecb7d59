//! Whether the machine's clock is kept right by others.

/// Whether the clock is synchronised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Synchronised {
    Yes,
    No,
    Unknown,
}

/// Asks the system, which may take a while.
#[cfg(target_os = "linux")]
pub fn synchronised() -> Synchronised {
    match zbus::block_on(told_by_timedated()) {
        Ok(true) => Synchronised::Yes,
        Ok(false) => Synchronised::No,
        // systemd-timesyncd's own mark.
        Err(_) if std::path::Path::new("/run/systemd/timesync/synchronized").exists() => Synchronised::Yes,
        Err(_) => Synchronised::Unknown,
    }
}

/// The property of freedesktop.org's timedate1.
#[cfg(target_os = "linux")]
async fn told_by_timedated() -> zbus::Result<bool> {
    let connection = zbus::Connection::system().await?;
    let answer = connection
        .call_method(
            Some("org.freedesktop.timedate1"),
            "/org/freedesktop/timedate1",
            Some("org.freedesktop.DBus.Properties"),
            "Get",
            &("org.freedesktop.timedate1", "NTPSynchronized"),
        )
        .await?;
    let value = answer.body().deserialize::<zbus::OwnedVariant>()?;
    bool::try_from(value)
}

/// Elsewhere it is not asked for.
#[cfg(not(target_os = "linux"))]
pub fn synchronised() -> Synchronised {
    Synchronised::Unknown
}
