use super::bodies::bodies;
use super::outline::wall;
use super::{Band, Drawing, section};
use crate::pour::{Fixing, Item, Shape, Solid, Vessel};
use crate::text::PlainText;
use crate::units::{Level, Millilitres, Millimetres};

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

fn ball() -> Vessel {
    let starts = Level::new(0.0).unwrap();
    Vessel::stack([Shape::SpherePart { diameter: mm(100.0), starts, height: mm(100.0) }]).unwrap()
}

fn item(name: &str, count: u32, from: f64, height: f64) -> Item {
    Item {
        name: PlainText::new(name),
        count,
        solid: Solid::Even { volume: Millilitres::new(2.0).unwrap(), height: mm(height) },
        from: Level::new(from).unwrap(),
        bedded: false,
        fixing: Fixing::Loose,
        density: None,
        specific_heat: None,
        heat_limit: None,
        porous: false,
    }
}

fn drawn(vessel: &Vessel, items: &[Item], layers: u32) -> String {
    let depth = vessel.height_mm() / f64::from(layers);
    let band = |number: u32| Band { number, from_mm: f64::from(number - 1) * depth, to_mm: f64::from(number) * depth };
    let bands: Vec<Band> = (1..=layers).map(band).collect();
    section(&Drawing { title: "A ball", vessel, items, fill_mm: vessel.height_mm(), bands: &bands }).into_string()
}

#[test]
fn a_ball_is_round() {
    // The straight lines between the points leave the circle by less than a hundredth of its radius.
    let (points, radius) = (wall(&ball(), 0.0, 100.0), 50.0);
    for [low, high] in points.array_windows() {
        let (x, y) = (f64::midpoint(low.half_width_mm, high.half_width_mm), f64::midpoint(low.level_mm, high.level_mm));
        let off = (x.hypot(y - radius) - radius).abs();
        assert!(off < 0.01 * radius, "{off} between {low:?} and {high:?}");
    }
}

#[test]
fn a_step_in_the_wall_is_drawn_level() {
    let cylinder = |diameter| Shape::Cylinder { diameter: mm(diameter), height: mm(20.0) };
    let vessel = Vessel::stack([cylinder(40.0), cylinder(60.0)]).unwrap();
    let at_step: Vec<f64> =
        wall(&vessel, 0.0, 40.0).iter().filter(|p| (p.level_mm - 20.0).abs() < 1e-9).map(|p| p.half_width_mm).collect();
    assert_eq!(at_step, [20.0, 30.0]);
    let within: Vec<f64> = wall(&vessel, 5.0, 20.0).iter().map(|point| point.half_width_mm).collect();
    assert_eq!(within, [20.0, 20.0]);
}

#[test]
fn items_at_one_height_stand_beside_each_other_inside_the_vessel() {
    let items = [item("shell", 3, 40.0, 5.0), item("stem", 20, 42.0, 20.0), item("leaf", 1, 80.0, 4.0)];
    let bodies = bodies(&ball(), &items);
    assert_eq!(bodies.len(), 3 + 7 + 1, "of many of a kind not all are drawn");
    let low: Vec<_> = bodies.iter().filter(|body| body.item < 2).collect();
    for [left, right] in low.array_windows() {
        assert!(left.axis_mm + left.half_width_mm() < right.axis_mm - right.half_width_mm());
    }
    for body in &bodies {
        assert!(body.outline.iter().all(|p| body.axis_mm.abs() + p.half_width_mm <= 50.0), "{body:?}");
    }
    let leaf = bodies.last().unwrap();
    assert!(leaf.axis_mm.abs() < 1e-9, "alone it stands in the middle");
    assert_eq!((leaf.outline[0].level_mm, leaf.outline.last().unwrap().level_mm), (80.0, 84.0));
}

#[test]
fn a_body_has_the_volume_of_its_item() {
    let bodies = bodies(&ball(), &[item("shell", 1, 40.0, 5.0)]);
    let discs = bodies[0].outline.array_windows().map(|[low, high]| {
        let half = f64::midpoint(low.half_width_mm, high.half_width_mm);
        std::f64::consts::PI * half * half * (high.level_mm - low.level_mm) / 1000.0
    });
    assert!((discs.sum::<f64>() - 2.0).abs() < 1e-6);
}

#[test]
fn everything_in_it_is_named_with_its_levels() {
    let svg = drawn(&ball(), &[item("sea urchin", 2, 40.0, 12.5)], 4);
    for words in
        ["2 × sea urchin", "40.0 to 52.5 mm", "fill", "brim 100.0 mm", " 75.0 to 100.0 mm", "<title>A ball</title>"]
    {
        assert!(svg.contains(words), "{words}: {svg}");
    }
    assert_eq!(svg.matches("class=\"number\"").count(), 4);
}

#[test]
fn of_very_many_layers_some_are_labelled_and_all_are_drawn() {
    let svg = drawn(&ball(), &[], 500);
    assert_eq!(svg.matches("class=\"layer").count(), 500);
    let labels = svg.matches("class=\"number\"").count();
    assert!((60..=81).contains(&labels), "{labels}");
    assert!(svg.contains(">500</tspan>") && svg.contains(">1</tspan>"));
}
