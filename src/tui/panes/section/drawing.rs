//! The vessel as characters: walls along its true profile, layers at their levels, items at their heights.

use super::scale::{Scale, cells};
use crate::bench::LayerState;
use crate::pour::{Item, Vessel};
use crate::tui::theme::Role;
use std::cmp::Ordering;
use std::ops::Range;

/// A terminal's cell is about this many times as tall as it is wide.
const CELL_TALL: f64 = 2.0;

/// An item that ends this little into a row does not take it.
const SAME_ROW: f64 = 1e-9;

/// One layer, poured or planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Layer {
    pub number: u32,
    pub depth_mm: f64,
    /// Where it ends; rises from layer to layer.
    pub to_mm: f64,
    /// `None` while it is only planned.
    pub state: Option<LayerState>,
}

/// One character and what it means.
pub(super) type Cell = (char, Role);

/// What a layer is filled with; its shape tells its state as its colour does.
pub(super) fn fill(state: LayerState) -> Cell {
    match state {
        LayerState::Liquid => ('~', Role::Liquid),
        LayerState::Gel => ('▒', Role::Gel),
        LayerState::Set => ('█', Role::Hard),
    }
}

/// The vessel, row by row from the top down, the floor last where it is flat.
pub(super) struct Drawing {
    pub rows: Vec<Vec<Cell>>,
    /// The row of each layer's surface; several may share one. `None` for what is too thin to rise above the floor.
    pub surfaces: Vec<Option<usize>>,
}

const BLANK: Cell = (' ', Role::Text);

/// Draws `vessel` in at most `columns` columns and exactly `height` rows.
pub(super) fn drawing(
    vessel: &Vessel,
    items: &[Item],
    layers: &[Layer],
    (columns, height): (usize, usize),
) -> Option<Drawing> {
    let height_mm = vessel.height_mm();
    let floor = usize::from(vessel.half_width_mm(0.0) > 0.0);
    let rows = height.checked_sub(floor).filter(|rows| *rows > 0)?;
    let most = columns.checked_sub(2).filter(|inside| *inside >= 2)? / 2;
    let ends_mm: Vec<f64> = layers.iter().map(|layer| layer.to_mm).collect();
    let scale = Scale::new(&ends_mm, height_mm, rows);
    let widths_mm: Vec<f64> = (0..rows).map(|row| vessel.half_width_mm(scale.level_mm(row as f64 + 0.5))).collect();
    let widest_mm = widths_mm.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
    // As wide as it is to its height, as far as there is room.
    let true_to_height = CELL_TALL * rows as f64 * widest_mm / height_mm;
    let widest = cells(true_to_height.round()).clamp(1, most);
    let half = |width_mm: f64| cells((width_mm / widest_mm * widest as f64).round()).min(widest);
    let halves: Vec<usize> = widths_mm.iter().map(|width| half(*width).max(1)).collect();
    let floor_half = (floor == 1).then(|| half(vessel.half_width_mm(0.0)).max(1));

    let mut canvas = Canvas { rows: vec![vec![BLANK; 2 * widest + 2]; height], axis: widest + 1, top: rows };
    for (i, layer) in layers.iter().enumerate() {
        for row in scale.layer(i) {
            let surface = row + 1 == scale.layer(i).end;
            canvas.fill(row, halves[row], filling(layer.state, surface));
        }
    }
    let level_mm = layers.iter().rev().find(|layer| layer.state.is_some()).map_or(0.0, |layer| layer.to_mm);
    for (i, item) in items.iter().enumerate() {
        let share = (i + 1) as f64 / (items.len() + 1) as f64;
        let role = if item.from.get() < level_mm { Role::Title } else { Role::Faint };
        for row in rows_of(item, &scale) {
            canvas.mark(row, halves[row], share, role);
        }
    }
    for row in 0..rows {
        let below = row.checked_sub(1).map_or(floor_half, |below| Some(halves[below]));
        canvas.walls(row, halves[row], below);
    }
    if let Some(half) = floor_half {
        canvas.floor(half);
    }
    let surface = |i: usize| rows.checked_sub(scale.layer(i).end).filter(|row| *row < rows);
    Some(Drawing { rows: canvas.rows, surfaces: (0..layers.len()).map(surface).collect() })
}

/// What stands in a row of a layer. The surface of a set layer leaves a line free, or two of them would run together.
fn filling(state: Option<LayerState>, surface: bool) -> Cell {
    match state {
        Some(LayerState::Set) if surface => ('▇', Role::Hard),
        Some(state) => fill(state),
        None if surface => ('╌', Role::Faint),
        None => BLANK,
    }
}

/// The rows an item takes, at least one.
fn rows_of(item: &Item, scale: &Scale) -> Range<usize> {
    let last = scale.rows() - 1;
    let from = cells(scale.row_at(item.from.get()) + SAME_ROW);
    let to = cells((scale.row_at(item.to_mm()) - SAME_ROW).ceil());
    let from = from.min(last);
    from..to.clamp(from + 1, last + 1)
}

struct Canvas {
    /// From the top down.
    rows: Vec<Vec<Cell>>,
    /// The first column right of the middle.
    axis: usize,
    /// Rows above the floor.
    top: usize,
}

impl Canvas {
    /// The cells of a row counted from the floor.
    fn row(&mut self, row: usize) -> &mut Vec<Cell> {
        &mut self.rows[self.top - 1 - row]
    }

    fn fill(&mut self, row: usize, half: usize, cell: Cell) {
        let axis = self.axis;
        self.row(row)[axis - half..axis + half].fill(cell);
    }

    fn mark(&mut self, row: usize, half: usize, share: f64, role: Role) {
        let place = cells(share * 2.0 * half as f64).min(2 * half - 1);
        let column = self.axis - half + place;
        self.row(row)[column] = ('◆', role);
    }

    /// The walls of a row `half` cells from the middle, over one `below` cells from it, or over nothing.
    fn walls(&mut self, row: usize, half: usize, below: Option<usize>) {
        let axis = self.axis;
        let (left, right) = match Some(half).cmp(&below) {
            Ordering::Equal => ('│', '│'),
            Ordering::Greater => ('╲', '╱'),
            Ordering::Less => ('╱', '╲'),
        };
        let in_row = self.row(row);
        in_row[axis - half - 1] = (left, Role::Text);
        in_row[axis + half] = (right, Role::Text);
        // A step or a shallow bottom: the wall runs along the lower edge of the row to where it goes on below.
        let inner = below.map_or(0, |below| half.min(below) + 1);
        for aside in inner..below.map_or(half, |below| half.max(below)) {
            in_row[axis - aside - 1] = ('▁', Role::Text);
            in_row[axis + aside] = ('▁', Role::Text);
        }
    }

    fn floor(&mut self, half: usize) {
        let axis = self.axis;
        let in_row = &mut self.rows[self.top];
        in_row[axis - half - 1] = ('└', Role::Text);
        in_row[axis - half..axis + half].fill(('─', Role::Text));
        in_row[axis + half] = ('┘', Role::Text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::Shape;
    use crate::units::{Level, Millimetres};
    use proptest::prelude::*;

    fn mm(mm: f64) -> Millimetres {
        Millimetres::new(mm).unwrap()
    }

    fn drawn(shapes: impl IntoIterator<Item = Shape>, layers: &[Layer], size: (usize, usize)) -> Vec<String> {
        let vessel = Vessel::stack(shapes).unwrap();
        let rows = drawing(&vessel, &[], layers, size).unwrap().rows;
        rows.iter().map(|row| row.iter().map(|(sign, _)| *sign).collect()).collect()
    }

    fn layer(number: u32, to_mm: f64, state: Option<LayerState>) -> Layer {
        Layer { number, depth_mm: 10.0, to_mm, state }
    }

    #[test]
    fn a_box_stands_on_a_floor_and_its_layers_differ_in_shape() {
        let states = [Some(LayerState::Set), Some(LayerState::Gel), Some(LayerState::Liquid), None];
        let layers: Vec<Layer> =
            states.into_iter().zip(1..).map(|(state, n)| layer(n, f64::from(n) * 10.0, state)).collect();
        let shape = Shape::Box { length: mm(30.0), width: mm(30.0), height: mm(50.0) };
        let expected = [
            "│      │",
            "│      │",
            "│╌╌╌╌╌╌│",
            "│      │",
            "│~~~~~~│",
            "│~~~~~~│",
            "│▒▒▒▒▒▒│",
            "│▒▒▒▒▒▒│",
            "│▇▇▇▇▇▇│",
            "│██████│",
            "└──────┘",
        ];
        assert_eq!(drawn([shape], &layers, (8, 11)), expected);
    }

    #[test]
    fn a_ball_closes_below_and_a_foot_steps_out() {
        let ball = Shape::SpherePart { diameter: mm(60.0), starts: Level::FLOOR, height: mm(30.0) };
        // At the middles of the rows half of it is 14.5, 23.4, 27.8 and 29.8 mm wide.
        let expected = ["│        │", "╲        ╱", " ╲      ╱ ", "  ╲▁▁▁▁╱  "];
        assert_eq!(drawn([ball], &[], (10, 4)), expected);
        let foot = Shape::Cylinder { diameter: mm(60.0), height: mm(10.0) };
        let neck = Shape::Cylinder { diameter: mm(20.0), height: mm(20.0) };
        let expected = ["   │  │   ", " ▁▁╱  ╲▁▁ ", "│        │", "└────────┘"];
        assert_eq!(drawn([foot, neck], &[], (10, 4)), expected);
    }

    proptest! {
        #[test]
        fn whatever_the_vessel_it_stays_in_its_place(
            bottom_mm in 1.0f64..300.0,
            top_mm in 1.0f64..300.0,
            height_mm in 1.0f64..300.0,
            starts_mm in 0.0f64..100.0,
            columns in 4usize..40,
            height in 2usize..40,
        ) {
            let shapes = [
                Shape::Tapered { bottom_diameter: mm(bottom_mm), top_diameter: mm(top_mm), height: mm(height_mm) },
                Shape::SpherePart {
                    diameter: mm(500.0), starts: Level::new(starts_mm).unwrap(), height: mm(height_mm),
                },
            ];
            let half = layer(1, height_mm, Some(LayerState::Gel));
            let rows = drawn(shapes, &[half], (columns, height));
            prop_assert_eq!(rows.len(), height);
            for row in rows {
                prop_assert!(row.chars().count() <= columns);
                let mirrored: String = row.chars().rev().map(|sign| match sign {
                    '╱' => '╲', '╲' => '╱', '└' => '┘', '┘' => '└', other => other,
                }).collect();
                prop_assert_eq!(row, mirrored);
            }
        }
    }
}
