//! Pieces to plan: those of the demonstration, and invented ones made to order.

pub const COLUMN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/column.toml");
pub const POND: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/pond.toml");

/// A straight block in `layers` layers of 5 mm, with `name` as its own name and that of what is in it.
pub fn stack(layers: u32, name: &str) -> String {
    let fill = layers * 5;
    format!(
        "name = '{name}'\nmaterial = 'clear-polyester'\nfill_mm = {fill}\ntouching = ['{name}']\n\
         [vessel]\nshape = 'box'\nlength_mm = 60\nwidth_mm = 40\nheight_mm = {height}\n\
         [[item]]\nname = '{name}'\ncount = 3\nvolume_ml = 2\nbedded_at_mm = 10\nto_mm = 30\n\
         [[item]]\nname = '{name}'\nvolume_ml = 4\nbedded_at_mm = 15\nto_mm = 28\n\
         [layers]\nmin_mm = 2\nmax_mm = 5\n\
         [tint]\nname = '{name}'\nkind = 'dye'\npercent = 0.05\ntest_cup = {{ depth_mm = 20, light_percent = 60 }}\n\
         [prices]\ncurrency = 'EUR'\nresin_per_kg = 20\n",
        height = fill + 5
    )
}

/// A thin piece of a resin that is used as it comes.
pub fn one_part() -> String {
    "name = 'Pressed fern'\nmaterial = 'uv-resin'\nfill_mm = 3\n\
     [vessel]\nshape = 'prism'\nsides = 6\nacross_flats_mm = 50\nheight_mm = 5\n"
        .to_owned()
}
