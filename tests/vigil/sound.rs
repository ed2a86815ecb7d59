//! Sound: no player, a player that fails, a real one whose sound is recorded.

use crate::home::Home;
use crate::watch::{Vigil, wait_for};

#[test]
fn without_a_player_that_is_said_and_the_rest_sounds() {
    let home = Home::new();
    let settings = format!("{}[channel.sound]\nplayer = [\"/no/such/player\"]\n", home.ring_into_file());
    std::fs::create_dir_all(home.path("config")).unwrap();
    std::fs::write(home.path("config/config.toml"), settings).unwrap();
    home.mix_due();
    let vigil = Vigil::start(&home);
    vigil.see("✗ sound: the player '/no/such/player' of your settings is not there");
    vigil.see("▲ five-minute-epoxy");
    home.see_rung(1);
}

#[test]
#[ignore = "needs a player: run .ci/real-alarms"]
fn a_real_player_plays_the_tone() {
    let home = Home::new();
    let recording = home.path("heard.raw");
    // ALSA's own file plug-in stands in for a loudspeaker: aplay plays for real, into a recording.
    let alsa = format!(
        "pcm.recorded {{ type file slave.pcm null file \"{recording}\" format raw }}\npcm.null {{ type null }}\n"
    );
    let alsa = home.write("asound.conf", &alsa);
    let sound = "[channel.desktop]\non = false\n[channel.sound]\nplayer = [\"aplay\", \"-q\", \"-D\", \"recorded\"]\n";
    std::fs::create_dir_all(home.path("config")).unwrap();
    std::fs::write(home.path("config/config.toml"), sound).unwrap();
    home.mix_due();
    let mut command = home.command(&["vigil"]);
    command.env("ALSA_CONFIG_PATH", &alsa);
    let vigil = Vigil::of(command);
    vigil.see("✓ sound: played by 'aplay'");
    let bytes = || std::fs::read(&recording).unwrap_or_default();
    wait_for("the recording", || bytes().len() > 44_100, || bytes().len().to_string());
    let samples: Vec<f64> =
        bytes().chunks_exact(2).map(|two| f64::from(i16::from_le_bytes([two[0], two[1]]))).collect();
    let loudest = samples.iter().fold(0.0f64, |loudest, sample| loudest.max(sample.abs())) / f64::from(i16::MAX);
    // 15 % at first, and a quarter of the way to 100 % at the first ring.
    println!("figure: {} samples recorded, loudest {loudest:.3} of full scale", samples.len());
    assert!((loudest - 0.3625).abs() < 0.01, "{loudest}");
}
