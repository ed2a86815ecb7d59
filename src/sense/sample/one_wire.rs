//! The file of a 1-wire thermometer under Linux (`w1_slave`): the nine bytes of its scratchpad twice, with the kernel's word
//! on their check and the temperature in thousandths of a degree (Linux kernel documentation, `w1_therm`).

use super::{NoReading, of_milli};
use crate::units::Celsius;

pub(super) fn read(text: &str) -> Result<Celsius, NoReading> {
    if text.trim().is_empty() {
        return Err(NoReading::Empty);
    }
    let mut lines = text.lines();
    let (check, told) = lines.next().zip(lines.next()).ok_or(NoReading::NotOneWire)?;
    let bytes: Vec<u8> = check
        .split_whitespace()
        .take_while(|word| *word != ":")
        .map(|word| u8::from_str_radix(word, 16))
        .collect::<Result<_, _>>()
        .map_err(|_| NoReading::NotOneWire)?;
    let [scratch @ .., sum] = bytes.as_slice() else { return Err(NoReading::NotOneWire) };
    if scratch.len() != 8 {
        return Err(NoReading::NotOneWire);
    }
    // A line held low reads as noughts, and noughts pass the check.
    if bytes.iter().all(|byte| *byte == 0) {
        return Err(NoReading::AllZero);
    }
    if !check.trim_end().ends_with("YES") || crc(scratch) != *sum {
        return Err(NoReading::BadCheck);
    }
    let (_, milli) = told.rsplit_once("t=").ok_or(NoReading::NotOneWire)?;
    of_milli(milli.trim().parse().map_err(|_| NoReading::NotOneWire)?)
}

/// CRC-8 of 1-wire: x⁸ + x⁵ + x⁴ + 1, reflected, from nought.
fn crc(bytes: &[u8]) -> u8 {
    bytes
        .iter()
        .fold(0, |crc, byte| (0..8).fold(crc ^ byte, |crc, _| if crc & 1 == 1 { (crc >> 1) ^ 0x8C } else { crc >> 1 }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A scratchpad with its sum worked out.
    fn file(scratch: [u8; 8], yes: &str, milli: i64) -> String {
        let line: Vec<String> = scratch.iter().chain([&crc(&scratch)]).map(|byte| format!("{byte:02x}")).collect();
        let (line, sum) = (line.join(" "), crc(&scratch));
        format!("{line} : crc={sum:02x} {yes}\n{line} t={milli}\n")
    }

    const AT_23: [u8; 8] = [0x72, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0e, 0x10];

    #[test]
    fn the_check_is_the_published_one() {
        // The catalogue of parametrised CRC algorithms (G. Cook), CRC-8/MAXIM-DOW: check value of "123456789".
        assert_eq!(crc(b"123456789"), 0xA1);
        // The example of the kernel's documentation, from memory: its sum is 57.
        assert_eq!(crc(&AT_23), 0x57);
    }

    #[test]
    fn a_good_file_is_read_and_every_known_lie_refused() {
        assert!((read(&file(AT_23, "YES", 23_125)).unwrap().get() - 23.125).abs() < 1e-12);
        assert_eq!(read(&file(AT_23, "NO", 23_125)), Err(NoReading::BadCheck));
        assert_eq!(read(&file(AT_23, "YES", 85_000)), Err(NoReading::PowerOn));
        let bent = file(AT_23, "YES", 23_125).replace("72 01", "73 01");
        assert_eq!(read(&bent), Err(NoReading::BadCheck), "the kernel's word alone is not enough");
        assert_eq!(read(&file([0; 8], "YES", 0)), Err(NoReading::AllZero));
        assert_eq!(read("72 01 : crc=57 YES\nx t=1\n"), Err(NoReading::NotOneWire));
        assert_eq!(read("t=23125"), Err(NoReading::NotOneWire));
    }
}
