//! Which file systems tell this machine nothing of what other machines write.

use std::path::{Path, PathBuf};

/// File systems shared with other machines or with a host, as Linux names them (`man 5 proc_pid_mountinfo`).
const SHARED: [&str; 14] = [
    "9p",
    "afs",
    "beegfs",
    "ceph",
    "cifs",
    "fuse.glusterfs",
    "fuse.sshfs",
    "gfs2",
    "lustre",
    "nfs",
    "nfs4",
    "ocfs2",
    "smb3",
    "virtiofs",
];

/// The file system type of `path` if it is one that other machines may write to unnoticed. Only Linux tells;
/// elsewhere, and if in doubt, `None`.
pub(super) fn shared_file_system(path: &Path) -> Option<&'static str> {
    let mounts = std::fs::read_to_string("/proc/self/mountinfo").ok()?;
    let kind = kind_at(&mounts, path)?;
    SHARED.into_iter().find(|shared| *shared == kind)
}

/// The file system type of the innermost mount that holds `path`.
fn kind_at<'a>(mounts: &'a str, path: &Path) -> Option<&'a str> {
    mounts
        .lines()
        .filter_map(|line| {
            let point = unescape(line.split(' ').nth(4)?);
            let kind = line.split_once(" - ")?.1.split(' ').next()?;
            path.starts_with(&point).then(|| (point.components().count(), kind))
        })
        // The last of equals: a later mount hides an earlier one at the same place.
        .max_by_key(|(depth, _)| *depth)
        .map(|(_, kind)| kind)
}

/// The kernel writes space, tab, line end and backslash as octal.
fn unescape(point: &str) -> PathBuf {
    let plain = point.replace("\\040", " ").replace("\\011", "\t").replace("\\012", "\n").replace("\\134", "\\");
    PathBuf::from(plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOUNTS: &str = "\
22 1 254:0 / / rw,relatime - ext4 /dev/vda rw
30 22 0:25 / /home rw,relatime shared:9 - nfs4 shed:/home rw,vers=4.2
31 30 0:26 / /home/resin\\040room rw - tmpfs tmpfs rw
32 22 0:27 / /mnt/pond rw master:1 - ext4 /dev/vdb rw
33 22 0:28 / /mnt/pond rw - fuse.sshfs shed:/pond rw
";

    #[test]
    fn the_innermost_and_latest_mount_counts() {
        for (path, kind) in [
            ("/var/notebook.db", "ext4"),
            ("/home/notebook.db", "nfs4"),
            ("/homestead/notebook.db", "ext4"),
            ("/home/resin room/notebook.db", "tmpfs"),
            ("/mnt/pond/notebook.db", "fuse.sshfs"),
        ] {
            assert_eq!(kind_at(MOUNTS, Path::new(path)), Some(kind), "{path}");
        }
        assert_eq!(kind_at("", Path::new("/home")), None);
    }
}
