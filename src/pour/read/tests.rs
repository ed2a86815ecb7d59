use super::{MeshAsk, Sources, read_piece};
use crate::heat::WallMaterial;
use crate::pour::mesh::testing::cuboid;
use crate::pour::{Division, Fixing, Item, Mesh, Piece, Shape, Solid, Space, TestCup, TintKind};
use crate::strict::Mistake;
use crate::units::{Level, Millilitres, Millimetres, Percent};

const BARE: &str = "name = \"Bare\"\nmaterial = \"Clear Polyester\"\nfill_mm = 20\n\
    [vessel]\nshape = \"box\"\nlength_mm = 60\nwidth_mm = 40\nheight_mm = 30\n";

/// A block of 2 mL and 5 mm, told its scale.
fn block(ask: MeshAsk<'_>) -> Result<Solid, Mistake> {
    if ask.file != "meshes/block.stl" {
        return Err(Mistake { what: "there is no such mesh".to_owned(), remedy: String::new() });
    }
    Ok(Solid::Even { volume: millilitres(2.0 * ask.scale), height: millimetres(5.0) })
}

fn millilitres(ml: f64) -> Millilitres {
    Millilitres::new(ml).unwrap()
}

fn millimetres(mm: f64) -> Millimetres {
    Millimetres::new(mm).unwrap()
}

fn level(mm: f64) -> Level {
    Level::new(mm).unwrap()
}

pub fn piece(source: &str) -> Piece {
    read_piece(source, Sources::with_meshes(&block)).unwrap_or_else(|problems| panic!("{problems:#?}\n{source}")).value
}

fn with(lines: &str) -> Piece {
    piece(&format!("{BARE}{lines}"))
}

fn item(lines: &str) -> Item {
    with(&format!("[[item]]\nname = \"shell\"\n{lines}")).items.remove(0)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn what_may_be_left_out_is_as_usual() {
    let piece = piece(BARE);
    assert_eq!((piece.name.as_str(), piece.material.as_str()), ("Bare", "clear-polyester"));
    assert_eq!(piece.fill, level(20.0));
    assert!(piece.items.is_empty() && piece.touching.is_empty() && piece.tint.is_none() && piece.bench.is_none());
    assert_eq!((&piece.layers.division, piece.layers.topping), (&Division::Fewest, false));
    assert!(piece.layers.levels.is_empty() && piece.layers.cold_after.is_empty());
    // Common practice: 2 to 5 g stay in each cup.
    assert!(close(piece.supplies.reserve.get(), 5.0) && close(piece.supplies.cup_loss.get(), 3.0));
    assert!(piece.supplies.bottle.is_none() && piece.supplies.prices.resin.is_none());
    assert!(close(piece.scales.resin.get(), 0.1) && close(piece.scales.catalyst.get(), 0.1));
}

#[test]
fn every_shape_is_read() {
    let mm = millimetres;
    let shapes = [
        ("box\"\nlength_mm = 9\nwidth_mm = 8", Shape::Box { length: mm(9.0), width: mm(8.0), height: mm(30.0) }),
        ("cylinder\"\ndiameter_mm = 9", Shape::Cylinder { diameter: mm(9.0), height: mm(30.0) }),
        (
            "tapered\"\nbottom_diameter_mm = 9\ntop_diameter_mm = 8",
            Shape::Tapered { bottom_diameter: mm(9.0), top_diameter: mm(8.0), height: mm(30.0) },
        ),
        ("prism\"\nsides = 6\nacross_flats_mm = 9", Shape::Prism { sides: 6, across_flats: mm(9.0), height: mm(30.0) }),
        (
            "sphere-part\"\ndiameter_mm = 40",
            Shape::SpherePart { diameter: mm(40.0), starts: Level::FLOOR, height: mm(30.0) },
        ),
        (
            "sphere-part\"\ndiameter_mm = 40\nstarts_mm = 10",
            Shape::SpherePart { diameter: mm(40.0), starts: level(10.0), height: mm(30.0) },
        ),
    ];
    for (lines, shape) in shapes {
        let source = BARE.replace("box\"\nlength_mm = 60\nwidth_mm = 40", lines);
        assert_eq!(piece(&source).vessel.sections()[0].shape, shape);
    }
}

#[test]
fn a_measured_vessel_goes_through_its_rows() {
    let measured = "filled\"\nwater = [{ depth_mm = 10, water_ml = 48 }, { depth_mm = 20, water_ml = 101 }]";
    let source = BARE.replace("box\"\nlength_mm = 60\nwidth_mm = 40\nheight_mm = 30", measured);
    let vessel = piece(&source).vessel;
    assert!(close(vessel.volume_below_ml(10.0), 48.0) && close(vessel.volume_below_ml(20.0), 101.0));
    assert!(close(vessel.height_mm(), 20.0));
}

#[test]
fn sections_follow_each_other_with_or_without_their_levels() {
    let head = "name = \"Stack\"\nmaterial = \"clear-polyester\"\nfill_mm = 20\n";
    for from in ["", "from_mm = 15\n", "from_mm = 15.009\n"] {
        let piece = piece(&format!(
            "{head}[[vessel.section]]\nshape = \"cylinder\"\ndiameter_mm = 50\nheight_mm = 15\n\
             [[vessel.section]]\n{from}shape = \"cylinder\"\ndiameter_mm = 60\nheight_mm = 25\n"
        ));
        let from: Vec<f64> = piece.vessel.sections().iter().map(|section| section.from_mm).collect();
        assert_eq!((from.as_slice(), piece.vessel.height_mm()), ([0.0, 15.0].as_slice(), 40.0));
    }
}

#[test]
fn a_volume_is_had_in_each_of_four_ways() {
    let volume = |lines: &str| item(lines).solid.volume_ml();
    assert!(close(volume("volume_ml = 3\nfrom_mm = 0\nto_mm = 5"), 3.0));
    assert!(close(volume("mass_g = 6\ndensity_g_per_ml = 2.5\nfrom_mm = 0\nto_mm = 5"), 2.4));
    assert!(close(volume("water_before_ml = 50\nwater_after_ml = 51.5\nfrom_mm = 0\nto_mm = 5"), 1.5));
    assert!(close(volume("mesh = \"meshes/block.stl\"\nlift_mm = 3"), 2.0));
    assert!(close(volume("mesh = \"meshes/block.stl\"\nscale = 1.5\nlift_mm = 3"), 3.0));
}

#[test]
fn a_density_is_given_or_follows_from_mass_and_volume() {
    let density = |lines: &str| item(&format!("{lines}\nfrom_mm = 0")).density.map(crate::units::GramsPerMl::get);
    assert_eq!(density("volume_ml = 3\nto_mm = 5"), None);
    assert_eq!(density("volume_ml = 3\nmass_g = 6\nto_mm = 5"), Some(2.0));
    assert_eq!(density("water_before_ml = 50\nwater_after_ml = 53\nmass_g = 6\nto_mm = 5"), Some(2.0));
    assert_eq!(density("mesh = \"meshes/block.stl\"\nmass_g = 6"), Some(3.0));
    assert_eq!(density("mass_g = 6\ndensity_g_per_ml = 2.5\nto_mm = 5"), Some(2.5));
    assert_eq!(density("volume_ml = 3\nmass_g = 6\ndensity_g_per_ml = 2.05\nto_mm = 5"), Some(2.05), "2.5 % off");
}

#[test]
fn an_item_lies_where_it_says() {
    let bedded = item("volume_ml = 1\nbedded_at_mm = 8\nto_mm = 12");
    assert_eq!((bedded.bedded, bedded.from, bedded.solid.height_mm()), (true, level(8.0), 4.0));
    let held = item("volume_ml = 1\nfrom_mm = 8\nto_mm = 12\nheld = true\nporous = true\nlimit_c = 60\ncount = 2");
    assert_eq!((held.bedded, held.fixing, held.porous, held.count), (false, Fixing::Held, true, 2));
    assert_eq!(held.heat_limit.map(crate::units::Celsius::get), Some(60.0));
    let mesh = item("mesh = \"meshes/block.stl\"\nbedded_at_mm = 8");
    assert_eq!((mesh.bedded, mesh.from, mesh.fixing, mesh.count), (true, level(8.0), Fixing::Loose, 1));
    assert_eq!(item("mesh = \"meshes/block.stl\"\nlift_mm = 3").from, level(3.0));
}

#[test]
fn the_loader_is_told_which_item_asks() {
    let asked = std::cell::Cell::new(None);
    let load = |ask: MeshAsk<'_>| {
        asked.set(Some(ask.item));
        block(ask)
    };
    let items = "[[item]]\nname = \"a\"\nvolume_ml = 1\nfrom_mm = 0\nto_mm = 5\n\
        [[item]]\nname = \"b\"\nmesh = \"meshes/block.stl\"\nfrom_mm = 0\n";
    read_piece(&format!("{BARE}{items}"), Sources::with_meshes(&load)).unwrap();
    assert_eq!(asked.get(), Some(1));
}

#[test]
fn layers_are_wished_for_in_every_way() {
    let layers =
        with("[layers]\nmin_mm = 4\nmax_mm = 10\ncount = 3\nlevels_mm = [12, 4, 12]\ncold_after = [2, 1]").layers;
    assert_eq!((layers.min, layers.max), (Some(millimetres(4.0)), Some(millimetres(10.0))));
    assert_eq!(layers.division, Division::Count(3));
    assert_eq!((layers.levels, layers.cold_after), (vec![level(4.0), level(12.0)], vec![1, 2]));
    let depths = with("[layers]\ndepths_mm = [8, 6, 6.009]\ntopping = true\ncold_after = [3]").layers;
    assert_eq!(depths.division, Division::Depths([8.0, 6.0, 6.009].map(millimetres).to_vec()));
    assert!(depths.topping);
}

#[test]
fn tint_supplies_prices_and_scales_are_read() {
    let piece = with(
        "[tint]\nname = \"pond dye\"\nkind = \"paste\"\npercent = 0.5\nmax_percent = 3\n\
         test_cup = { depth_mm = 20, light_percent = 63 }\n\
         [supplies]\nresin_on_hand_g = 900\nreserve_percent = 0\ncup_loss_g = 0\n\
         drop_bottle = { drops = 50, weighed_g = 1.6 }\n\
         [prices]\ncurrency = \"€\"\nresin_per_kg = 18.5\ncatalyst_per_kg = 60\ntint_per_kg = 0\n\
         [scale]\nresin_digit_g = 1\n",
    );
    let tint = piece.tint.unwrap();
    let percent = |percent: f64| Percent::new(percent).unwrap();
    assert_eq!((tint.kind, tint.loading, tint.max), (TintKind::Paste, percent(0.5), Some(percent(3.0))));
    let cup = TestCup { depth: millimetres(20.0), light: percent(63.0), loading: percent(0.5) };
    assert_eq!(tint.test_cup, Some(cup), "of the piece's own loading");
    let supplies = piece.supplies;
    assert!(close(supplies.reserve.get(), 0.0) && close(supplies.cup_loss.get(), 0.0));
    assert_eq!(supplies.resin_on_hand.map(f64::from), Some(900.0));
    assert_eq!(supplies.bottle.map(|bottle| (bottle.drops, bottle.weighed.get())), Some((50, 1.6)));
    let prices = supplies.prices;
    assert_eq!(prices.currency.as_str(), "€");
    let per_kg = [prices.resin, prices.catalyst, prices.tint].map(|price| price.map(f64::from));
    assert_eq!(per_kg, [Some(18.5), Some(60.0), Some(0.0)]);
    assert_eq!((piece.scales.resin.get(), piece.scales.catalyst.get()), (1.0, 1.0), "one scale for both");
}

#[test]
fn a_broken_item_does_not_hide_where_another_lies() {
    let items = "[[item]]\nname = 3\n[[item]]\nname = \"b\"\nvolume_ml = 1\nfrom_mm = 25\nto_mm = 28\n";
    let problems = read_piece(&format!("{BARE}{items}"), Sources::with_meshes(&block)).unwrap_err();
    assert!(problems.iter().any(|problem| problem.what.contains("above the resin")), "{problems:#?}");
}

#[test]
fn a_fill_at_the_brim_and_a_rounding_over_it_are_let_through() {
    for fill in ["30", "30.009"] {
        piece(&BARE.replace("fill_mm = 20", &format!("fill_mm = {fill}")));
    }
}

/// A piece of the demo, its meshes read from the files beside it, with what is said of it and the profile it asks for.
pub fn demo(source: &str) -> (Piece, Vec<String>, f64) {
    let folder = std::path::Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data"));
    let load = |ask: MeshAsk<'_>| {
        let mesh = crate::mesh_file::read_mesh(&folder.join(ask.file), ask.scale)
            .map_err(|trouble| Mistake { what: trouble.to_string(), remedy: String::new() })?;
        Ok(Solid::Mesh(std::sync::Arc::new(mesh)))
    };
    let read = read_piece(source, Sources::with_meshes(&load)).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let catalogue = crate::material::Catalogue::embedded();
    let density = catalogue.find(read.value.material.as_str()).unwrap().profile.density.value.get();
    (read.value, read.warnings.into_iter().map(|warning| warning.what).collect(), density)
}

#[test]
fn the_demo_column_takes_the_layers_of_the_demo_night() {
    let (column, warnings, density) = demo(include_str!("../../../demo-data/column.toml"));
    assert_eq!(warnings, [""; 0]);
    let space = Space::new(&column.vessel, &column.items);
    for from in [0.0, 10.0, 20.0, 30.0] {
        let cup_g = space.volume_between_ml(from, from + 10.0) * density + column.supplies.cup_loss.get();
        assert!((cup_g - 85.0).abs() < 1.0, "a cup of the night has 85 g: {cup_g} above {from} mm");
    }
    assert!(close(column.fill.get(), 40.0) && column.layers.topping && column.tint.is_some());
}

#[test]
fn the_demo_pond_has_a_mesh_in_it_and_reeds_that_stand_out() {
    let (pond, warnings, _) = demo(include_str!("../../../demo-data/pond.toml"));
    assert_eq!(warnings, ["'reed' will stick out of the resin by 19 mm"]);
    // The sum of the signed tetrahedra over the corners, as the script that made the file printed it.
    assert!((pond.items[0].solid.volume_ml() - 5.788).abs() < 0.001, "{}", pond.items[0].solid.volume_ml());
    assert!((pond.items[0].solid.height_mm() - 14.0).abs() < 0.001);
}

#[test]
fn a_mesh_that_is_too_wide_is_refused_though_there_is_room_for_its_volume() {
    let strip = |ask: MeshAsk<'_>| {
        let mesh = Mesh::new(&cuboid([0.0, 0.0, 0.0], [50.0, 2.0, 2.0]), ask.scale).unwrap();
        Ok(Solid::Mesh(std::sync::Arc::new(mesh)))
    };
    let source = format!("{BARE}[[item]]\nname = \"strip\"\nmesh = \"strip.stl\"\nscale = 1.5\nlift_mm = 3\n");
    let problems = read_piece(&source, Sources::with_meshes(&strip)).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:#?}");
    assert_eq!(problems[0].what, "'strip' is 75 mm by 3 mm wide, wider than the vessel");
    assert_eq!(&source[problems[0].span.clone()], "\"strip.stl\"");
    read_piece(&source.replace("scale = 1.5\n", ""), Sources::with_meshes(&strip)).unwrap();
}

#[test]
fn no_list_of_levels_or_pauses_is_longer_than_there_are_layers() {
    for key in ["levels_mm", "cold_after"] {
        let list = "1, ".repeat(1001);
        let source = format!("{BARE}[layers]\n{key} = [{list}]\n");
        let problems = read_piece(&source, Sources::with_meshes(&block)).unwrap_err();
        assert!(problems[0].what.contains("1000 fit, and there are 1001"), "{problems:?}");
    }
}

#[test]
fn what_is_laid_into_the_tip_of_a_bowl_is_told_where_it_rests() {
    let bowl = |from: &str| {
        format!(
            "name = \"Bowl\"\nmaterial = \"Clear Polyester\"\nfill_mm = 30\n[vessel]\nshape = \"sphere-part\"\n\
             diameter_mm = 80\nheight_mm = 40\n[[item]]\nname = \"pebble\"\nvolume_ml = 0.5\nfrom_mm = {from}\n\
             to_mm = 10\n"
        )
    };
    let problems = read_piece(&bowl("0"), Sources::with_meshes(&block)).unwrap_err();
    let remedy = &problems[0].remedy;
    let from = remedy.split("from_mm = ").nth(1).unwrap().split(',').next().unwrap();
    assert!(from.parse::<f64>().unwrap() < 1.0, "{remedy}");
    assert!((piece(&bowl(from)).items[0].solid.volume_ml() - 0.5).abs() < 1e-12);
}

#[test]
fn walls_are_one_for_the_whole_vessel_and_the_base_is_as_thick_unless_it_says_more() {
    let walls = |lines: &str| with(lines).walls.map(|walls| (walls.material, walls.side.get(), walls.base.get()));
    assert_eq!(walls(""), None);
    for (word, material) in [
        ("glass", WallMaterial::Glass),
        ("polyethylene", WallMaterial::Polyethylene),
        ("silicone", WallMaterial::Silicone),
        ("wood", WallMaterial::Wood),
    ] {
        assert_eq!(walls(&format!("wall = \"{word}\"\nwall_mm = 3\n")), Some((material, 3.0, 3.0)));
    }
    assert_eq!(walls("wall = \"wood\"\nwall_mm = 12\nbase_mm = 18\n"), Some((WallMaterial::Wood, 12.0, 18.0)));
    let stack = "name = \"Stack\"\nmaterial = \"clear-polyester\"\nfill_mm = 20\n[vessel]\nwall = \"glass\"\nwall_mm = 2\n\
        [[vessel.section]]\nshape = \"cylinder\"\ndiameter_mm = 50\nheight_mm = 15\n\
        [[vessel.section]]\nshape = \"cylinder\"\ndiameter_mm = 60\nheight_mm = 25\n";
    assert_eq!(piece(stack).walls.map(|walls| walls.material), Some(WallMaterial::Glass));
}

#[test]
fn what_the_heat_needs_is_read_where_it_is_said() {
    let plain = item("volume_ml = 3\nmass_g = 6\nfrom_mm = 0\nto_mm = 5");
    assert_eq!((plain.specific_heat, plain.heat_capacity_j_per_ml_k()), (None, None));
    let shell = item("volume_ml = 3\nmass_g = 6\nfrom_mm = 0\nto_mm = 5\nspecific_heat_j_per_gk = 0.9");
    assert!(close(shell.heat_capacity_j_per_ml_k().unwrap(), 1.8), "2 g/mL of 0.9 J/gK");
    assert_eq!(with("[layers]\nmin_mm = 4").layers.next_layer_after, None);
    let wish = with("[layers]\nnext_layer_after = \"1h 30m\"").layers.next_layer_after;
    assert!(close(wish.unwrap().get(), 1.5));
}
