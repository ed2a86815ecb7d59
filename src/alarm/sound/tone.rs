//! The tone, made here: drops falling into water, each a sine that rises a little and dies away. The more insistent, the more
//! drops, the closer together, and the louder.

use crate::bench::Insistence;
use std::f64::consts::TAU;
use std::io::Cursor;

/// Samples a second: enough for tones under 2 kHz, and every player takes it.
const RATE: u32 = 44_100;
/// A drop takes so long to come to its full loudness, s: sooner it would click.
const ATTACK_S: f64 = 0.008;
/// It falls to 1/e of that in so long, s.
const DECAY_S: f64 = 0.14;
/// What is left at the end of a drop is under 16-bit silence: e^(-11) is 1.7e-5.
const DROP_S: f64 = 11.0 * DECAY_S;

/// Pitches of the drops, Hz: a fourth and a fifth over 698 Hz, in the ear's most sensitive range (common practice for alarms:
/// 500 to 3000 Hz).
const PITCHES_HZ: [f64; 3] = [698.5, 931.3, 1046.5];

/// Drops in a tone, and the time between them, s.
fn drops(insistence: Insistence) -> (usize, f64) {
    match insistence {
        Insistence::Quiet => (1, 0.5),
        Insistence::Plain => (3, 0.34),
        Insistence::Firm => (6, 0.26),
        Insistence::Loud => (10, 0.2),
        Insistence::Utmost => (18, 0.16),
    }
}

/// A tone as a WAV file of 16 bits, one channel. Loudness goes from `softest` to `loudest`, shares of full scale.
pub(super) fn wav(insistence: Insistence, softest: f64, loudest: f64) -> Result<Vec<u8>, hound::Error> {
    let spec =
        hound::WavSpec { channels: 1, sample_rate: RATE, bits_per_sample: 16, sample_format: hound::SampleFormat::Int };
    let mut file = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut file, spec)?;
    let loudness = (softest + (loudest - softest) * insistence.share()).clamp(0.0, 1.0);
    for sample in samples(insistence) {
        #[expect(clippy::cast_possible_truncation, reason = "between -1 and 1 times the largest i16")]
        writer.write_sample((sample * loudness * f64::from(i16::MAX)) as i16)?;
    }
    writer.finalize()?;
    Ok(file.into_inner())
}

/// The tone at full loudness: its highest peak is 1.
fn samples(insistence: Insistence) -> Vec<f64> {
    let (count, apart_s) = drops(insistence);
    let length_s = apart_s * (count - 1) as f64 + DROP_S;
    let mut samples = vec![0.0; index(length_s) + 1];
    for drop in 0..count {
        let start = index(apart_s * drop as f64);
        let pitch_hz = PITCHES_HZ[drop % PITCHES_HZ.len()];
        for (i, sample) in samples[start..].iter_mut().take(index(DROP_S)).enumerate() {
            *sample += drop_at(i as f64 / f64::from(RATE), pitch_hz);
        }
    }
    let peak = samples.iter().fold(0.0, |peak: f64, sample| peak.max(sample.abs()));
    for sample in &mut samples {
        *sample /= peak;
    }
    samples
}

/// One drop at `t_s` after it fell. The phase is the integral of a pitch that rises by a twelfth over the first decay.
fn drop_at(t_s: f64, pitch_hz: f64) -> f64 {
    let risen = DECAY_S * (1.0 - (-t_s / DECAY_S).exp());
    let phase = TAU * pitch_hz * (t_s + (t_s - risen) / 12.0);
    let envelope = (t_s / ATTACK_S).min(1.0) * (-t_s / DECAY_S).exp();
    envelope * (phase.sin() + 0.2 * (2.0 * phase).sin())
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds, from 0 on")]
fn index(seconds: f64) -> usize {
    (seconds * f64::from(RATE)) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Insistence; 5] =
        [Insistence::Quiet, Insistence::Plain, Insistence::Firm, Insistence::Loud, Insistence::Utmost];

    fn read(insistence: Insistence) -> Vec<f64> {
        let wav = wav(insistence, 0.15, 1.0).unwrap();
        let mut reader = hound::WavReader::new(Cursor::new(wav)).unwrap();
        assert_eq!((reader.spec().channels, reader.spec().sample_rate), (1, RATE));
        reader.samples::<i16>().map(|sample| f64::from(sample.unwrap()) / f64::from(i16::MAX)).collect()
    }

    fn rms(samples: &[f64]) -> f64 {
        (samples.iter().map(|s| s * s).sum::<f64>() / samples.len() as f64).sqrt()
    }

    #[test]
    fn each_is_louder_than_the_one_before_and_none_clips_or_clicks() {
        let tones = ALL.map(read);
        assert!(tones.array_windows().all(|[a, b]| rms(b) > rms(a) * 1.2 && b.len() > a.len()));
        for tone in &tones {
            let peak = tone.iter().fold(0.0f64, |peak, s| peak.max(s.abs()));
            assert!(peak > 0.14 && peak <= 1.0);
            let step = tone.array_windows().fold(0.0f64, |step, [a, b]| step.max((b - a).abs()));
            assert!(step < 0.35, "a step of {step}");
            assert!(tone[0].abs() < 1e-3 && tone.last().unwrap().abs() < 1e-3);
        }
        assert!(tones[4].len() < RATE as usize * 5, "no tone goes on into the next");
    }

    /// Power at one frequency by the Goertzel recurrence (a textbook method: one bin of a discrete Fourier transform).
    fn power(samples: &[f64], hz: f64) -> f64 {
        let w = TAU * hz / f64::from(RATE);
        let (mut before, mut last) = (0.0, 0.0);
        for sample in samples {
            (before, last) = (last, sample + 2.0 * w.cos() * last - before);
        }
        last * last + before * before - 2.0 * w.cos() * last * before
    }

    #[test]
    fn it_is_the_pitch_it_should_be() {
        let first = &read(Insistence::Quiet)[..index(0.3)];
        let at_pitch = (690..780).step_by(5).map(|hz| power(first, f64::from(hz))).fold(0.0, f64::max);
        assert!(at_pitch > 20.0 * power(first, 440.0) && at_pitch > 20.0 * power(first, 1046.5));
    }
}
