//! What the kernel's books say of a running process (`man 5 proc`).

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};

/// One thread's books.
#[derive(Debug, Clone)]
struct Thread {
    name: String,
    /// Time on a core; `schedstat` counts it in nanoseconds where `stat` has hundredths of a second.
    on_core: Duration,
    switches: Switches,
}

/// How often a thread has left the core.
#[derive(Debug, Clone, Copy, Default)]
struct Switches {
    /// To sleep: it was woken as often.
    own: u64,
    /// Pushed aside by another program, and let on again.
    forced: u64,
}

/// The books of a process at one moment.
#[derive(Debug)]
pub struct Books {
    at: Instant,
    threads: BTreeMap<String, Thread>,
    /// User and system time in clock ticks, of threads that have ended as well.
    ticks: u64,
}

/// What happened between two looks at the books.
#[derive(Debug)]
pub struct Used {
    /// Share of one core, in per cent.
    pub core_percent: f64,
    /// Wake-ups a second of all threads together, counting being let on after another program.
    pub wakeups: f64,
    /// How many of these are the latter.
    pub forced: f64,
    /// The same by thread, those that never woke left out.
    pub by_thread: Vec<(String, f64)>,
    /// Clock ticks of `stat`, hundredths of a second: coarse, but counted independently.
    pub ticks: u64,
}

/// Resident memory in KiB: now, and at its highest.
#[derive(Debug, Clone, Copy)]
pub struct Memory {
    pub now_kib: u64,
    pub highest_kib: u64,
}

impl Books {
    pub fn of(pid: u32) -> io::Result<Self> {
        let mut threads = BTreeMap::new();
        for entry in fs::read_dir(format!("/proc/{pid}/task"))? {
            let folder = entry?.path();
            let id = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
            threads.insert(id, thread(&folder)?);
        }
        Ok(Self { at: Instant::now(), threads, ticks: ticks(&fs::read_to_string(format!("/proc/{pid}/stat"))?)? })
    }

    /// What was used from `earlier` to this.
    pub fn since(&self, earlier: &Books) -> Used {
        let seconds = self.at.duration_since(earlier.at).as_secs_f64();
        let mut by_thread: BTreeMap<String, u64> = BTreeMap::new();
        let (mut on_core, mut forced) = (Duration::ZERO, 0);
        for (id, thread) in &self.threads {
            let before =
                earlier.threads.get(id).map_or((Duration::ZERO, Switches::default()), |t| (t.on_core, t.switches));
            on_core += thread.on_core.saturating_sub(before.0);
            let own = thread.switches.own - before.1.own;
            let pushed = thread.switches.forced - before.1.forced;
            forced += pushed;
            *by_thread.entry(thread.name.clone()).or_default() += own + pushed;
        }
        Used {
            core_percent: on_core.as_secs_f64() / seconds * 100.0,
            wakeups: by_thread.values().sum::<u64>() as f64 / seconds,
            forced: forced as f64 / seconds,
            by_thread: by_thread.into_iter().filter(|(_, n)| *n > 0).map(|(t, n)| (t, n as f64 / seconds)).collect(),
            ticks: self.ticks - earlier.ticks,
        }
    }
}

impl Memory {
    pub fn of(pid: u32) -> io::Result<Self> {
        let status = fs::read_to_string(format!("/proc/{pid}/status"))?;
        Ok(Self { now_kib: field(&status, "VmRSS:")?, highest_kib: field(&status, "VmHWM:")? })
    }
}

fn thread(folder: &Path) -> io::Result<Thread> {
    let text = |name: &str| fs::read_to_string(folder.join(name));
    let status = text("status")?;
    let on_core =
        text("schedstat")?.split(' ').next().and_then(|ns| ns.parse().ok()).ok_or_else(|| odd("schedstat"))?;
    Ok(Thread {
        name: text("comm")?.trim_end().to_owned(),
        on_core: Duration::from_nanos(on_core),
        switches: Switches {
            own: field(&status, "voluntary_ctxt_switches:")?,
            forced: field(&status, "nonvoluntary_ctxt_switches:")?,
        },
    })
}

/// User and system time: the 12th and 13th fields after the name, which stands in brackets and may hold anything.
fn ticks(stat: &str) -> io::Result<u64> {
    let (_, fields) = stat.rsplit_once(')').ok_or_else(|| odd("stat"))?;
    let times: Vec<u64> = fields.split_whitespace().skip(11).take(2).filter_map(|t| t.parse().ok()).collect();
    if times.len() == 2 { Ok(times.iter().sum()) } else { Err(odd("stat")) }
}

fn field(status: &str, name: &str) -> io::Result<u64> {
    let value = status.lines().find_map(|line| line.strip_prefix(name)?.split_whitespace().next()?.parse().ok());
    value.ok_or_else(|| odd(name))
}

fn odd(what: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, format!("'{what}' is missing or reads otherwise than expected"))
}
