//! A piece on the bench: poured through the form, ticked on its page.

use crate::home::Home;

const COLUMN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/column.toml");

#[test]
fn a_layer_is_poured_through_the_form_and_the_section_fills() {
    let home = Home::new();
    home.run(&["temp", "18"]);
    home.run(&["start", COLUMN]);
    let mut screen = home.open();
    screen.see("next: dry fit");
    screen.see("0 of 40 mm");
    screen.keys("l");
    screen.see("pour layer 1 · piece 1");
    // The form tells the weights and the level while they are typed.
    screen.keys("80\t1.2");
    screen.see("Weigh resin 80.0 g + catalyst 1.20 g from the tinted master");
    screen.see("the resin will stand at 9.");
    screen.keys("\r");
    screen.see_gone("pour layer 1");
    screen.wait_for("a layer of liquid", |seen| {
        let text = seen.screen().contents();
        text.contains("~~│◂1 9.") && text.contains("◆") && text.contains("▸1 layer 1, Shell")
    });
    let clocks = home.clocks();
    let dose = clocks[0]["dose_percent"].as_f64().unwrap();
    // Of the resin alone: in the 80 g there is 0.5 % of tint on it.
    assert!((dose - 120.0 / (80.0 / 1.005)).abs() < 1e-6, "{dose}");

    // Its other layers are planned anew on a page of their own, where steps are ticked.
    screen.keys("p");
    screen.see("order of work");
    screen.see("▸· lay in for 2");
    screen.keys("\r");
    screen.see("✓ lay in for 2");
    screen.keys("\x1b");
    screen.see_gone("order of work");
    assert_eq!(home.notebook().last().unwrap(), "piece 1 Shell-and-seedhead column: ticked bed-2");

    // A layer poured from outside is there at once.
    home.run(&["pour", "2"]);
    screen.see("◂2 ");
}

#[test]
fn the_night_is_planned_beside_the_screen_and_gone_by() {
    let home = Home::new();
    home.run(&["temp", "18"]);
    home.run(&["start", COLUMN]);
    home.run(&["pour"]);
    let mut screen = home.open();
    screen.see("layer 1, Shell");
    screen.keys("n");
    screen.see("night · piece 1");
    // Keys are answered while it is worked out.
    screen.keys("?");
    screen.see("the night's page: when to pour");
    screen.keys("\x1b");
    screen.see("out of the mould");
    screen.see("◆");
    screen.keys("g");
    screen.see("pour times accepted, layer 2 at");
    assert!(home.notebook().last().unwrap().contains("pour times accepted, layer 2 at"));
    screen.keys("n");
    screen.see_gone("night · piece 1");
}
