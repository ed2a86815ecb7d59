use super::testing::{convex_prism, cuboid, moved, octahedron, of, prism, single, star, turned};
use super::*;
use proptest::prelude::*;

fn mesh(triangles: &[Triangle]) -> Mesh {
    Mesh::new(triangles, 1.0).unwrap()
}

fn fault(triangles: &[Triangle]) -> MeshFault {
    Mesh::new(triangles, 1.0).unwrap_err()
}

/// The volume below each of many heights, corners' heights among them, against `closed_mm3`, to 1e-9 of the whole; and the
/// whole to 1e-9 of itself.
#[track_caller]
fn agrees(triangles: &[Triangle], height_mm: f64, closed_mm3: impl Fn(f64) -> f64) {
    let mesh = mesh(triangles);
    assert!((mesh.height_mm() - height_mm).abs() < 1e-12);
    let whole = closed_mm3(height_mm);
    for i in 0..=1000 {
        let h = height_mm * f64::from(i) / 1000.0;
        let got = mesh.volume_below_ml(h) * 1000.0;
        assert!((got - closed_mm3(h)).abs() <= 1e-9 * whole, "at {h}: {got}, not {}", closed_mm3(h));
    }
    assert!((mesh.volume_ml() * 1000.0 / whole - 1.0).abs() < 1e-9);
}

/// Of the octahedron with its corners 16 mm from its middle: two square pyramids, the square of diagonal 2r, V = 4/3 r³.
fn octahedron_below(h: f64) -> f64 {
    let tip = |h: f64| 2.0 / 3.0 * h.powi(3);
    if h < 16.0 { tip(h) } else { 4.0 / 3.0 * 16f64.powi(3) - tip(32.0 - h) }
}

/// 40 × 40 without its upper right quarter, and where to cut it into triangles.
const L: [[f32; 2]; 6] = [[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [20.0, 20.0], [20.0, 40.0], [0.0, 40.0]];
const L_FLOOR: [[usize; 3]; 4] = [[0, 1, 2], [0, 2, 3], [0, 3, 4], [0, 4, 5]];

/// A square of 30 with a square hole of 10 in its middle.
const FRAME: [[f32; 2]; 4] = [[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]];
const HOLE: [[f32; 2]; 4] = [[10.0, 10.0], [10.0, 20.0], [20.0, 20.0], [20.0, 10.0]];
const FRAME_FLOOR: [[usize; 3]; 8] =
    [[0, 1, 7], [0, 7, 4], [1, 2, 6], [1, 6, 7], [2, 3, 5], [2, 5, 6], [3, 0, 4], [3, 4, 5]];

/// `triangles` lying on its side, y upwards.
fn tipped(triangles: &[Triangle]) -> Vec<Triangle> {
    triangles.iter().map(|t| t.map(|[x, y, z]| [z, x, y])).collect()
}

#[test]
fn prisms_fill_evenly() {
    agrees(&cuboid([-3.5, 2.0, 7.25], [6.5, 22.0, 37.25]), 30.0, |h| 200.0 * h);
    agrees(&prism(&L, &[], &L_FLOOR, -5.0, 20.0), 25.0, |h| 1200.0 * h);
    agrees(&prism(&FRAME, &[&HOLE], &FRAME_FLOOR, 0.0, 12.5), 12.5, |h| 800.0 * h);
}

#[test]
fn on_their_side_they_fill_in_steps() {
    agrees(&tipped(&prism(&L, &[], &L_FLOOR, 0.0, 25.0)), 40.0, |h| {
        25.0 * (40.0 * h.min(20.0) + 20.0 * (h - 20.0).max(0.0))
    });
    let hole = |h: f64| 10.0 * (h - 10.0).clamp(0.0, 10.0);
    agrees(&tipped(&prism(&FRAME, &[&HOLE], &FRAME_FLOOR, 0.0, 12.5)), 30.0, |h| 12.5 * (30.0 * h - hole(h)));
}

#[test]
fn pyramids_fill_with_the_cube_of_the_height() {
    let tetrahedron = of(
        &[[0.0, 0.0, 0.0], [30.0, 0.0, 0.0], [0.0, 30.0, 0.0], [0.0, 0.0, 20.0]],
        &[[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
    );
    agrees(&tetrahedron, 20.0, |h| 3000.0 * (1.0 - (1.0 - h / 20.0).powi(3)));
    agrees(&octahedron(16.0), 32.0, octahedron_below);
}

#[test]
fn a_prism_of_many_sides_has_the_volume_of_its_own_rounded_corners() {
    let outline: Vec<[f32; 2]> = (0..500)
        .map(|i| std::f64::consts::TAU * f64::from(i) / 500.0)
        .map(|angle| [single(37.3 * angle.cos()), single(37.3 * angle.sin())])
        .collect();
    let side = |i: usize| {
        let ([ax, ay], [bx, by]) = (outline[i].map(f64::from), outline[(i + 1) % outline.len()].map(f64::from));
        ax * by - bx * ay
    };
    // The shoelace formula.
    let area = (0..outline.len()).map(side).sum::<f64>() / 2.0;
    agrees(&convex_prism(&outline, 1.5, 21.5), 20.0, |h| area * h);
}

#[test]
fn far_from_the_origin_it_is_the_same_body() {
    let far = [1e6, -1e6, 1e6];
    agrees(&moved(&octahedron(16.0), far), 32.0, octahedron_below);
    agrees(&moved(&cuboid([0.0, 0.0, 0.0], [10.0, 20.0, 30.0]), far), 30.0, |h| 200.0 * h);
}

#[test]
fn the_scale_goes_in_with_its_third_power() {
    let inches = Mesh::new(&cuboid([0.0, 0.0, 0.0], [1.0, 2.0, 3.0]), 25.4).unwrap();
    assert!((inches.volume_ml() - 6.0 * 25.4f64.powi(3) / 1000.0).abs() < 1e-9);
    assert!((inches.height_mm() - 76.2).abs() < 1e-12);
    assert!((inches.spans_mm()[0] - 25.4).abs() < 1e-12 && (inches.spans_mm()[1] - 50.8).abs() < 1e-12);
    for scale in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(Mesh::new(&octahedron(1.0), scale), Err(MeshFault::Scale(_))));
    }
}

#[test]
fn inside_out_as_a_whole_it_is_turned_round() {
    agrees(&turned(&cuboid([0.0, 0.0, 0.0], [10.0, 20.0, 30.0])), 30.0, |h| 200.0 * h);
}

#[test]
fn a_cavity_is_no_part_of_the_body() {
    let shell = [cuboid([0.0; 3], [30.0; 3]), turned(&cuboid([10.0; 3], [20.0; 3]))].concat();
    agrees(&shell, 30.0, |h| 900.0 * h - 100.0 * (h - 10.0).clamp(0.0, 10.0));
}

#[test]
fn two_bodies_that_share_an_edge_are_a_mesh() {
    let pair = [cuboid([0.0; 3], [10.0; 3]), cuboid([10.0, 10.0, 0.0], [20.0, 20.0, 10.0])].concat();
    agrees(&pair, 10.0, |h| 200.0 * h);
}

#[test]
fn an_open_mesh_is_told_with_its_place() {
    let mut open = moved(&cuboid([0.0; 3], [10.0, 20.0, 30.0]), [100.0, 0.0, 0.0]);
    // The last triangle closes the side x = 0: corners (0, 20, 0), (0, 0, 30), (0, 20, 30).
    open.pop();
    let fault = fault(&open);
    let MeshFault::Open { at, count } = fault else { panic!("{fault}") };
    assert_eq!(count, 3);
    let gaps = [[100.0, 10.0, 15.0], [100.0, 10.0, 30.0], [100.0, 20.0, 15.0]];
    assert!(gaps.contains(&at), "{at:?}");
    assert!(fault.to_string().starts_with("it is not watertight: 3 open edges, the first at x 100.00, y "), "{fault}");
    let one = MeshFault::Open { at: [1.0, 2.0, 3.0], count: 1 };
    assert_eq!(one.to_string(), "it is not watertight: 1 open edge, the first at x 1.00, y 2.00, z 3.00");
}

#[test]
fn a_gap_of_the_smallest_size_is_a_gap() {
    let mut open = octahedron(16.0);
    open[0][2][2] = 16.0f32.next_up();
    assert!(matches!(fault(&open), MeshFault::Open { count: 4, .. }));
}

#[test]
fn a_single_face_turned_over_is_told_with_its_place() {
    let mut contradictory = octahedron(16.0);
    contradictory[0].swap(1, 2);
    let fault = fault(&contradictory);
    let MeshFault::InsideOut { at, count } = fault else { panic!("{fault}") };
    assert_eq!(count, 3);
    assert!([[8.0, 8.0, 0.0], [8.0, 0.0, 8.0], [0.0, 8.0, 8.0]].contains(&at), "{at:?}");
}

#[test]
fn minus_zero_is_zero() {
    let mut signed = octahedron(16.0);
    let zeros = signed.iter_mut().flatten().flatten().filter(|x| **x == 0.0);
    zeros.step_by(3).for_each(|zero| *zero = -*zero);
    agrees(&signed, 32.0, octahedron_below);
}

#[test]
fn collapsed_triangles_change_nothing() {
    let mut triangles = octahedron(16.0);
    triangles.push([[1.0, 2.0, -300.0]; 3]);
    triangles.push([[16.0, 0.0, 0.0], [0.0, 16.0, 0.0], [0.0, 16.0, 0.0]]);
    triangles.push([[5.0, 0.0, 0.0], [0.0, 500.0, 0.0], [5.0, 0.0, 0.0]]);
    agrees(&triangles, 32.0, octahedron_below);
    assert!((mesh(&triangles).spans_mm()[1] - 32.0).abs() < 1e-12);
}

#[test]
fn what_is_no_body_is_refused() {
    assert_eq!(fault(&[]), MeshFault::Empty);
    assert_eq!(fault(&[[[1.0; 3]; 3]]), MeshFault::Flat);
    let sheet = [[0.0, 0.0, 0.0], [9.0, 0.0, 3.0], [0.0, 9.0, 5.0]];
    let upright = [[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 0.0, 9.0]];
    for sheet in [sheet, upright] {
        assert_eq!(fault(&[sheet, [sheet[0], sheet[2], sheet[1]]]), MeshFault::Flat);
    }
    for odd in [f32::NAN, f32::INFINITY] {
        let mut triangles = octahedron(16.0);
        triangles[4][1][2] = odd;
        assert_eq!(fault(&triangles), MeshFault::NotFinite { triangle: 5 });
    }
}

#[test]
fn the_table_of_a_ball_is_close_to_the_ball() {
    let ball = mesh(&star(5, |_, _| 20.0));
    let table = ball.table();
    assert_eq!(table.points().count(), 200);
    assert!((table.end() - ball.height_mm()).abs() < 1e-12);
    for i in 0..=3333 {
        let h = ball.height_mm() * f64::from(i) / 3333.0;
        let off = (table.at(h) - ball.volume_below_ml(h)).abs() / ball.volume_ml();
        assert!(off < 1e-5, "{off} of the whole at {h}");
    }
}

#[test]
fn the_table_passes_over_heights_where_nothing_is_added() {
    let pair = mesh(&[cuboid([0.0; 3], [10.0; 3]), cuboid([0.0, 0.0, 20.0], [10.0, 10.0, 30.0])].concat());
    let table = pair.table();
    let within = table.points().filter(|(h, _)| *h > 10.0 && *h <= 20.0).count();
    assert_eq!(within, 1, "the gap has the point at which its beginning was noticed, and no more");
    for i in 0..=300 {
        let h = f64::from(i) / 10.0;
        assert!((table.at(h) - pair.volume_below_ml(h)).abs() < 0.01 * pair.volume_ml(), "{h}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_lies_below_rises_from_nothing_to_all(
        cuts in 0u32..4,
        radii in prop::collection::vec(0.2f64..30.0, 258),
        heights in prop::collection::vec(0.0f64..1.0, 50),
    ) {
        let body = mesh(&star(cuts, |number, _| radii[number]));
        prop_assert!(body.volume_below_ml(0.0).abs() < 1e-300 && body.volume_below_ml(-1.0).abs() < 1e-300);
        let top = body.volume_below_ml(body.height_mm());
        prop_assert!((top - body.volume_ml()).abs() < 1e-300);
        let mut heights = heights;
        heights.sort_by(f64::total_cmp);
        let mut last = 0.0;
        for share in heights {
            let below = body.volume_below_ml(share * body.height_mm());
            prop_assert!(below >= last - 1e-13 * top, "{last} {below}");
            last = below;
        }
        // Just below the top, the sum itself and not the shortcut.
        let almost = body.volume_below_ml(body.height_mm() * (1.0 - 1e-12));
        prop_assert!((almost / top - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_body_upside_down_holds_above_what_it_held_below(radii in prop::collection::vec(0.2f64..30.0, 66), share in 0.0f64..1.0) {
        let upright = star(2, |number, _| radii[number]);
        let over: Vec<Triangle> = upright.iter().map(|t| t.map(|[x, y, z]| [x, -y, -z])).collect();
        let (upright, over) = (mesh(&upright), mesh(&over));
        let h = share * upright.height_mm();
        let sum = upright.volume_below_ml(h) + over.volume_below_ml(upright.height_mm() - h);
        prop_assert!((sum / upright.volume_ml() - 1.0).abs() < 1e-12, "{sum} {}", upright.volume_ml());
    }
}
