//! Scenarios: a night as a script, and what must hold at moments of it.
//!
//! Beside the keys of a script (src/rehearsal/read.rs) a scenario may hold:
//!
//! ```toml
//! zone = "CET-1CEST,M3.5.0,M10.5.0/3"    # what the bench shows times in; the script's own offset if left out
//!
//! [[away]]                               # nobody there: no ticks, and no steps allowed
//! from = "22:00"
//! to = "23:30"
//! how = "closed"                         # closed: a new bench replays the notebook at `to`; asleep: the lid is shut
//!
//! [[clock]]                              # from here on the machine's clock shows this much less than the script's
//! at = "22:20"
//! back = "1h"
//!
//! [[expect]]                             # after all that happens at that moment; times go on, as those of steps
//! at = "22:05"
//! batch = 1                              # 1 if left out
//! stage = "gel"
//! running = "yes"                        # yes, no
//! status = "near"                        # ahead, near, past, seen, never
//! likely = "22:30"                       # also early, late, reached_at: to the minute, or to the second where seconds
//!                                        # are given; the first such moment from the mix on (or with its date);
//!                                        # "never" where there is no such time
//! alarm = "sounding"                     # none, pending, sounding, missed, snoozed, acknowledged
//! rings = 3                              # of this stage's alarm since the script started, over restarts
//! heard = "ring 3"                       # words of its last ring
//! bench_c = 18.5
//! age_h = 0.75                           # cure age
//! stands = "no"                          # whether the clock stands
//! refused = "ahead of the clock"         # words with which the step of that moment was refused
//! said = "over the profile's"            # words of a remark on the step of that moment
//! ```
//!
//! A refusal nobody expects is a failure, and so is an expectation after the script's end: its time was out of order.
//! Only the pure bench runs, in virtual time; the notebook is a list in memory.

mod check;
mod read;
mod run;

pub use read::read_scenario;
pub use run::failures;
