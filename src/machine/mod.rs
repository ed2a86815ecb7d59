//! What the machine says of itself that matters to a night: its power, its lid, its disk, its clock.

mod clock_sync;
mod disk;
mod power;

pub use clock_sync::{Synchronised, synchronised};
pub use disk::{ENOUGH_BYTES, room_bytes};
pub use power::{Power, lid_is_shut, power};
