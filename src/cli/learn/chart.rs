//! The pictures of the stages: in characters, and as an SVG file.

mod canvas;

use super::LearnError;
use super::shop::Shop;
use super::words;
use crate::cli::look::Look as Terminal;
use crate::cli::page::Page;
use crate::cli::whole_file::put_whole;
use crate::learn::Picture;
use crate::report::{LearnedPicture, learned_pictures};
use canvas::Canvas;
use std::io::Write;
use std::path::Path;

/// In a terminal the stages with the most looks are drawn.
const MOST_DRAWN: usize = 2;
/// Less trust than this marks a look as a likely slip.
const DOUBTED: f64 = 0.5;

/// Adds the pictures of the stages with the most looks.
pub(super) fn charts(page: &mut Page, shop: &Shop, terminal: Terminal) {
    let mut pictures = shop.fit.pictures();
    pictures.sort_by_key(|picture| std::cmp::Reverse(picture.marks.len()));
    pictures.truncate(MOST_DRAWN);
    pictures.sort_by_key(|picture| picture.stage);
    for picture in &pictures {
        page.title(&format!("{} over the bench's temperature", name(shop, picture)));
        for line in draw(picture, terminal) {
            page.line(&line);
        }
    }
    page.line("");
    page.words("  ", canvas::legend(terminal.drawing));
}

fn name(shop: &Shop, picture: &Picture) -> &'static str {
    shop.fit.model.stages[picture.stage].stage.words()
}

fn draw(picture: &Picture, terminal: Terminal) -> Vec<String> {
    let celsius = picture.points.iter().map(|point| point.celsius);
    let hours = picture
        .points
        .iter()
        .flat_map(|point| [point.label_h, point.early_h, point.late_h])
        .chain(picture.marks.iter().flat_map(|mark| [mark.after_h, mark.by_h]).flatten());
    let Some(mut canvas) = Canvas::over(celsius, hours, terminal.drawing) else { return Vec::new() };
    canvas.curve(picture.points.iter().map(|point| (point.celsius, point.early_h)), canvas::Line::Edge);
    canvas.curve(picture.points.iter().map(|point| (point.celsius, point.late_h)), canvas::Line::Edge);
    canvas.curve(picture.points.iter().map(|point| (point.celsius, point.label_h)), canvas::Line::Label);
    canvas.curve(picture.points.iter().map(|point| (point.celsius, point.likely_h)), canvas::Line::Shop);
    for mark in &picture.marks {
        canvas.span(mark.celsius, mark.after_h, mark.by_h, mark.trust < DOUBTED);
    }
    canvas.lines(words::hours)
}

/// Writes every stage's picture into a file of its own name.
pub(super) fn write(shop: &Shop, path: &Path, out: &mut impl Write) -> Result<(), LearnError> {
    let shown = super::file::shown(path);
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    if ending.as_deref() != Some("svg") {
        return Err(LearnError::NotSvg(shown));
    }
    let pictures = shop.fit.pictures();
    let named: Vec<LearnedPicture<'_>> =
        pictures.iter().map(|picture| LearnedPicture { name: name(shop, picture), picture }).collect();
    let title = format!("{}, as this shop has it", shop.item.profile.name);
    let svg = learned_pictures(&title, &named).into_string();
    put_whole(path, &svg).map_err(|source| LearnError::Write { path: shown.clone(), source })?;
    Ok(writeln!(out, "{shown}: {} pictures", named.len())?)
}
