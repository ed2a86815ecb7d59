//! What a plan costs: two hundred layers around items, and one of them a mesh; a dozen layers that have to be dosed weaker to
//! stay cool, or stronger or weaker for the next layer's time.
#![expect(clippy::expect_used, reason = "a bench that cannot set itself up has nothing to measure")]

use divan::{Bencher, black_box};
use nightpour::material::{Catalogue, MaterialId, Profile};
use nightpour::pour::{
    Conditions, Division, Fixing, Item, LayerWishes, Mesh, Piece, Prices, Progress, Scales, Shape, Solid, Supplies,
    Vessel, plan,
};
use nightpour::text::PlainText;
use nightpour::units::{CupLoss, Grams, GramsPerMl, Hours, Level, Millilitres, Millimetres, Percent};
use std::f64::consts::PI;
use std::sync::Arc;

fn main() {
    divan::main();
}

const LAYERS: u32 = 200;
const FILL_MM: f64 = 1000.0;
/// Facets round and up: 2 · 250 · 200 triangles make the ball.
const ROUND: u32 = 250;
const UP: u32 = 201;

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).expect("a length")
}

fn profile() -> Profile {
    Catalogue::embedded().find("clear-polyester").expect("an embedded material").profile.clone()
}

fn item(name: &str, solid: Solid, from_mm: f64, bedded: bool) -> Item {
    Item {
        name: PlainText::new(name),
        count: 2,
        solid,
        from: Level::new(from_mm).expect("a level"),
        bedded,
        fixing: Fixing::Loose,
        density: GramsPerMl::new(0.9).ok(),
        specific_heat: None,
        heat_limit: None,
        porous: true,
    }
}

/// An invented block of twelve layers without anything in it.
fn block(depth_mm: f64, next_layer_after: Option<Hours>) -> Piece {
    let fill_mm = 12.0 * depth_mm;
    let shape = Shape::Cylinder { diameter: mm(150.0), height: mm(fill_mm + 10.0) };
    let mut piece = column();
    piece.vessel = Vessel::stack([shape]).expect("a vessel");
    piece.fill = Level::new(fill_mm).expect("a level");
    piece.items = Vec::new();
    let division = Division::Count(12);
    piece.layers =
        LayerWishes { division, cold_after: Vec::new(), topping: false, next_layer_after, ..piece.layers.clone() };
    piece
}

/// Depths of which the rule's doses stay cool, have to be lowered, and are too hot even at the least.
#[divan::bench(args = [5.0, 8.0, 10.0])]
fn twelve_layers_mm_deep(bencher: Bencher<'_, '_>, depth_mm: f64) {
    let (piece, profile) = (block(depth_mm, None), profile());
    let conditions = Conditions { bench: None, progress: Progress::default() };
    bencher.bench_local(|| plan(black_box(&piece), &profile, &conditions));
}

#[divan::bench]
fn twelve_layers_an_hour_apart(bencher: Bencher<'_, '_>) {
    let (piece, profile) = (block(5.0, Hours::new(1.0).ok()), profile());
    let conditions = Conditions { bench: None, progress: Progress::default() };
    bencher.bench_local(|| plan(black_box(&piece), &profile, &conditions));
}

/// An invented column of 200 layers of 5 mm with fifty kinds of shells in it.
fn column() -> Piece {
    let shape = Shape::Cylinder { diameter: mm(150.0), height: mm(FILL_MM + 10.0) };
    let shells = (0..50).map(|n| {
        let solid = Solid::Even { volume: Millilitres::new(12.0).expect("a volume"), height: mm(18.0) };
        item("shell", solid, f64::from(n) * 19.0, n % 5 == 0)
    });
    Piece {
        name: PlainText::new("column"),
        material: MaterialId::new("clear-polyester").expect("a name"),
        vessel: Vessel::stack([shape]).expect("a vessel"),
        walls: None,
        fill: Level::new(FILL_MM).expect("a level"),
        items: shells.collect(),
        layers: LayerWishes {
            min: None,
            max: None,
            division: Division::Count(LAYERS),
            levels: Vec::new(),
            cold_after: vec![40, 80, 120, 160],
            topping: true,
            next_layer_after: None,
        },
        tint: None,
        supplies: Supplies {
            resin_on_hand: None,
            reserve: Percent::new(5.0).expect("a share"),
            cup_loss: CupLoss::new(3.0).expect("a loss"),
            bottle: None,
            prices: Prices { currency: PlainText::new("pounds"), resin: None, catalyst: None, tint: None },
        },
        scales: Scales { resin: Grams::new(0.1).expect("a digit"), catalyst: Grams::new(0.01).expect("a digit") },
        bench: None,
        touching: Vec::new(),
    }
}

/// A ball of 120 mm of 100,000 triangles, poles and all.
fn ball() -> Vec<[[f32; 3]; 3]> {
    let corner = |round: u32, up: u32| {
        let (turn, tilt) = (2.0 * PI * f64::from(round % ROUND) / f64::from(ROUND), PI * f64::from(up) / f64::from(UP));
        let across = if up == 0 || up == UP { 0.0 } else { 60.0 * tilt.sin() };
        #[expect(clippy::cast_possible_truncation, reason = "a mesh file has f32 corners")]
        let point = [across * turn.cos(), across * turn.sin(), -60.0 * tilt.cos()].map(|at| at as f32);
        point
    };
    let mut triangles = Vec::new();
    for up in 0..UP {
        for round in 0..ROUND {
            let [a, b] = [round, round + 1].map(|round| corner(round, up));
            let [c, d] = [round, round + 1].map(|round| corner(round, up + 1));
            if up > 0 {
                triangles.push([a, b, d]);
            }
            if up + 1 < UP {
                triangles.push([a, d, c]);
            }
        }
    }
    triangles
}

#[divan::bench]
fn two_hundred_layers(bencher: Bencher<'_, '_>) {
    let (piece, profile) = (column(), profile());
    let conditions = Conditions { bench: None, progress: Progress::default() };
    bencher.bench_local(|| {
        let plan = plan(black_box(&piece), &profile, &conditions);
        assert!(plan.layers.len() > 190);
        plan
    });
}

/// With the mesh in place already.
#[divan::bench]
fn two_hundred_layers_around_a_mesh(bencher: Bencher<'_, '_>) {
    let (mut piece, profile) = (column(), profile());
    let mesh = Mesh::new(&ball(), 1.0).expect("a closed ball");
    piece.items.push(item("seedhead", Solid::Mesh(Arc::new(mesh)), 440.0, false));
    let conditions = Conditions { bench: None, progress: Progress::default() };
    bencher.bench_local(|| plan(black_box(&piece), &profile, &conditions));
}

/// From triangles to plan.
#[divan::bench]
fn a_mesh_and_two_hundred_layers_around_it(bencher: Bencher<'_, '_>) {
    let (piece, profile, triangles) = (column(), profile(), ball());
    assert_eq!(triangles.len(), 100_000);
    let conditions = Conditions { bench: None, progress: Progress::default() };
    bencher.bench_local(|| {
        let mesh = Mesh::new(black_box(&triangles), 1.0).expect("a closed ball");
        let mut piece = piece.clone();
        piece.items.push(item("seedhead", Solid::Mesh(Arc::new(mesh)), 440.0, false));
        plan(&piece, &profile, &conditions)
    });
}
