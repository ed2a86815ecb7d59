//! A process as the kernel shows it, in /proc.

use rustix::process::Pid;
use std::fs;
use std::path::Path;

/// What a process is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Doing {
    /// Its state's letter: `S` sleeps, `T` stopped, `Z` ended and not yet asked for.
    pub state: char,
    /// Processor time used, in ticks of the kernel (1/100 s).
    pub ticks: u64,
}

/// `None` where there is no such process.
pub fn doing(pid: Pid) -> Option<Doing> {
    read(Path::new(&format!("/proc/{}/stat", pid.as_raw_pid())))
}

fn read(stat: &Path) -> Option<Doing> {
    let line = fs::read_to_string(stat).ok()?;
    // proc_pid_stat(5): the name is in brackets and may hold anything; state is field 3, utime 14 and stime 15.
    let fields: Vec<&str> = line[line.rfind(')')? + 1..].split_whitespace().collect();
    let ticks = |field: usize| fields[field - 3].parse::<u64>().unwrap();
    Some(Doing { state: fields[0].chars().next()?, ticks: ticks(14) + ticks(15) })
}

/// Whether every thread of `pid` sleeps: it has taken in all that has reached it.
pub fn sleeps(pid: Pid) -> bool {
    let threads = fs::read_dir(format!("/proc/{}/task", pid.as_raw_pid())).unwrap();
    threads
        .map(|thread| thread.unwrap().path().join("stat"))
        .all(|stat| read(&stat).is_some_and(|now| now.state == 'S'))
}

/// The processes that `pid` has started.
pub fn children(pid: Pid) -> Vec<Pid> {
    let pid = pid.as_raw_pid();
    let list = fs::read_to_string(format!("/proc/{pid}/task/{pid}/children")).unwrap_or_default();
    list.split_whitespace().filter_map(|child| Pid::from_raw(child.parse().ok()?)).collect()
}
