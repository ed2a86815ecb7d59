//! Room on the disk.

use std::path::Path;

/// A night writes less than a hundredth of this.
pub const ENOUGH_BYTES: u64 = 50 * 1024 * 1024;

/// Bytes that this user may still write to the file system `path` is on; `None` where it cannot be told.
#[cfg(unix)]
pub fn room_bytes(path: &Path) -> Option<u64> {
    let there = path.ancestors().find(|ancestor| ancestor.exists())?;
    let told = rustix::fs::statvfs(there).ok()?;
    Some(told.f_bavail.saturating_mul(told.f_frsize))
}

/// Elsewhere it is not asked for.
#[cfg(not(unix))]
pub fn room_bytes(_path: &Path) -> Option<u64> {
    None
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    #[test]
    fn there_is_room_where_these_tests_run() {
        let folder = tempfile::tempdir().unwrap();
        assert!(room_bytes(&folder.path().join("not/there/yet")).unwrap() > 0);
    }
}
