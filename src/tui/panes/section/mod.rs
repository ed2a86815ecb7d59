//! The vessel in section: its layers as they fill and set, what is still to come, items at their heights.

mod drawing;
mod scale;

use super::View;
use super::rule::heading;
use crate::bench::{BenchPiece, LayerState, Standing, figure_words};
use crate::fit::clipped;
use crate::pour::Piece;
use crate::tui::theme::Role;
use drawing::{Drawing, Layer, drawing, fill};
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

/// From this many columns on there is room for units and words.
const ROOMY: u16 = 20;
/// Columns right of the wall: number and state; with the depth; with its unit.
const LABEL_BARE: usize = 5;
const LABEL: usize = 8;
const LABEL_ROOMY: usize = 12;
/// Under this many columns a label has no depth.
const STRIP: u16 = 14;
/// Rows from which the signs are explained.
const EXPLAINED_FROM: u16 = 12;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let Some((on_bench, standing)) = view.ui.piece(view.bench) else { return };
    let name = on_bench.name();
    let title = if name.is_empty() { format!("piece {}", on_bench.id) } else { name.to_string() };
    let inside = heading(frame, area, view, &title, "");
    picture(frame, inside, view, on_bench, standing);
}

/// The vessel with its layers; the level and what the signs mean below it, as far as there is room.
pub(super) fn picture(
    frame: &mut Frame<'_>,
    area: Rect,
    view: View<'_>,
    on_bench: &BenchPiece,
    standing: Option<&Standing>,
) {
    let (Some(piece), Some(standing)) = (on_bench.piece.as_deref(), standing) else {
        let words = clipped("cannot be planned", usize::from(area.width));
        frame.render_widget(Line::styled(words, view.style(Role::Warn)), area);
        return;
    };
    let below = below(view, piece, standing, area);
    let height = area.height.saturating_sub(u16::try_from(below.len()).unwrap_or(0));
    let layers = layers(view, standing);
    let label = match area.width {
        ROOMY.. => LABEL_ROOMY,
        STRIP.. => LABEL,
        _ => LABEL_BARE,
    };
    let columns = usize::from(area.width).saturating_sub(label);
    let Some(drawing) = drawing(&piece.vessel, &piece.items, &layers, (columns, usize::from(height))) else { return };
    for ((row, cells), y) in drawing.rows.iter().enumerate().zip(area.y..) {
        let mut spans: Vec<Span<'_>> =
            cells.iter().map(|(sign, role)| Span::styled(sign.to_string(), view.style(*role))).collect();
        spans.extend(label_of(view, &drawing, &layers, row, label));
        frame.render_widget(Line::from(spans), Rect { y, height: 1, ..area });
    }
    for (line, y) in below.into_iter().zip(area.y + height..area.bottom()) {
        frame.render_widget(line, Rect { y, height: 1, ..area });
    }
}

/// The layers, poured and planned, from the floor up.
fn layers(view: View<'_>, standing: &Standing) -> Vec<Layer> {
    let state = |id| {
        let batch = view.bench.log().batch(id)?;
        let forecast = view.bench.running().find(|(running, _)| running.id == id).and_then(|(_, forecast)| forecast);
        Some(LayerState::of(batch, forecast, view.now))
    };
    let laid = standing.laid.iter().map(|layer| (layer.number, layer.from_mm, layer.to_mm, state(layer.batch)));
    let planned = standing.plan.layers.iter().map(|layer| (layer.number, layer.cast.from_mm, layer.cast.to_mm, None));
    let all: Vec<_> = laid.chain(planned).collect();
    // A topping begins where the casting has sunk to, below where the layer under it was poured to.
    let above = all.iter().skip(1).map(|(_, from_mm, ..)| *from_mm).chain([f64::INFINITY]);
    let layer = |(&(number, from_mm, to_mm, state), above_mm): (&(u32, f64, f64, _), f64)| Layer {
        number,
        depth_mm: to_mm - from_mm,
        to_mm: to_mm.min(above_mm),
        state,
    };
    all.iter().zip(above).map(layer).collect()
}

/// Number, depth and state of the layer whose surface lies in `row`; `◂` at the uppermost one that was poured.
fn label_of<'a>(view: View<'_>, drawing: &Drawing, layers: &[Layer], row: usize, width: usize) -> Option<Span<'a>> {
    let here = || layers.iter().enumerate().filter(|(i, _)| drawing.surfaces.get(*i) == Some(&Some(row)));
    // Where several end in one row, the one the resin stands at; of those to come the first.
    let (i, layer) = here().rfind(|(_, layer)| layer.state.is_some()).or_else(|| here().next())?;
    let top = layer.state.is_some() && layers.get(i + 1).is_none_or(|above| above.state.is_none());
    let mark = if top { '◂' } else { ' ' };
    let (letter, role) = match layer.state {
        Some(LayerState::Liquid) => (" L", Role::Liquid),
        Some(LayerState::Gel) => (" G", Role::Gel),
        Some(LayerState::Set) => (" S", Role::Hard),
        None => ("", Role::Faint),
    };
    // The depth gives way before the state does.
    let depths = [
        format!(" {} mm", figure(layer.depth_mm)),
        format!(" {}", figure(layer.depth_mm)),
        format!(" {:.0}", layer.depth_mm),
    ];
    let room = width.saturating_sub(1 + layer.number.to_string().len() + letter.len());
    let depth = depths.into_iter().find(|depth| depth.len() <= room).filter(|_| width > LABEL_BARE).unwrap_or_default();
    Some(Span::styled(clipped(&format!("{mark}{}{depth}{letter}", layer.number), width), view.style(role)))
}

/// A length in mm to a tenth.
fn figure(mm: f64) -> String {
    figure_words(mm, 1)
}

fn below<'a>(view: View<'_>, piece: &Piece, standing: &Standing, area: Rect) -> Vec<Line<'a>> {
    let width = usize::from(area.width);
    let roomy = area.width >= ROOMY;
    let unit = if area.width >= STRIP { " mm" } else { "" };
    let level = format!("{} of {}{unit}", figure(standing.level_mm()), figure(piece.fill.get()));
    let level = if roomy { format!("level {level}") } else { level };
    let mut lines = vec![Line::styled(clipped(&level, width), view.style(Role::Title))];
    if area.height >= EXPLAINED_FROM && area.width >= STRIP {
        let states = [(LayerState::Liquid, "liquid"), (LayerState::Gel, "gel"), (LayerState::Set, "set")];
        let signs = states.into_iter().flat_map(|(state, name)| {
            let (sign, role) = fill(state);
            let name = if roomy { name.to_owned() } else { name[..1].to_uppercase() };
            [
                Span::styled(sign.to_string(), view.style(role)),
                Span::styled(format!(" {name} "), view.style(Role::Faint)),
            ]
        });
        lines.push(signs.collect());
    }
    lines
}
