//! The only place that reads a clock. Everything else is told the time.

use jiff::Timestamp;

/// Where "now" comes from: the machine's clock, or a rehearsal's.
pub trait Clock: Send + Sync {
    /// The present moment.
    fn now(&self) -> Timestamp;

    /// How long to really sleep so that this clock advances by `ahead`.
    fn real_duration(&self, ahead: jiff::SignedDuration) -> std::time::Duration;
}
