//! Draws figures and sheets as pictures.

use lanewright_draw::svg::{FONT_FAMILIES, escape};
use lanewright_draw::{Figure, Page};
use resvg::tiny_skia::{Color, Pixmap, Transform};

use crate::PaperError;
use crate::figures;
use crate::fonts::Fonts;
use crate::layout::{Ink, Sheet, lay_out};

/// Longest side of a picture, in pixels.
const SIDE_MAX: u32 = 16_000;

/// Returns a figure as a PNG file on white, `scale` pixels to a CSS pixel.
///
/// # Errors
/// When the figure cannot be read or the picture would be empty or too large.
pub fn figure_png(figure: &Figure, scale: f64) -> Result<Vec<u8>, PaperError> {
    render(&figure.svg, &figure.title, (figure.width, figure.height), scale)
}

/// Returns every sheet as a PNG file, `scale` pixels to a point (72 to the inch).
///
/// # Errors
/// As for [`figure_png`], and when there are no pages.
pub fn page_pngs(pages: &[Page], scale: f64) -> Result<Vec<Vec<u8>>, PaperError> {
    let first = pages.first().ok_or(PaperError::NoPages)?;
    lay_out(pages, Fonts::load())
        .sheets
        .iter()
        .map(|sheet| render(&sheet_svg(sheet), &first.title, (sheet.width, sheet.height), scale))
        .collect()
}

fn sheet_svg(sheet: &Sheet<'_>) -> String {
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.3}\" height=\"{h:.3}\" viewBox=\"0 0 {w:.3} {h:.3}\" \
         font-family=\"{}\" xml:space=\"preserve\">",
        escape(FONT_FAMILIES),
        w = sheet.width,
        h = sheet.height,
    );
    for item in &sheet.items {
        match &item.ink {
            Ink::Text { x, y, size, bold, text } => svg.push_str(&format!(
                "<text x=\"{x:.3}\" y=\"{y:.3}\" font-size=\"{size}\" font-weight=\"{}\">{}</text>",
                if *bold { 700 } else { 400 },
                escape(text)
            )),
            Ink::Bar { x, y, width, height } => svg.push_str(&format!(
                "<rect x=\"{x:.3}\" y=\"{y:.3}\" width=\"{width:.3}\" height=\"{height:.3}\"/>"
            )),
            Ink::Figure { x, y, width, figure, .. } => svg.push_str(&format!(
                "<g transform=\"translate({x:.3} {y:.3}) scale({:.5})\">{}</g>",
                width / figure.width,
                figure.svg
            )),
        }
    }
    svg.push_str("</svg>");
    svg
}

fn render(svg: &str, title: &str, (width, height): (f64, f64), scale: f64) -> Result<Vec<u8>, PaperError> {
    let tree = figures::read_outlined(svg, Fonts::load())
        .map_err(|error| PaperError::Figure { title: title.to_owned(), reason: error.to_string() })?;
    let (wide, high) = ((width * scale).ceil().max(0.0) as u32, (height * scale).ceil().max(0.0) as u32);
    if wide > SIDE_MAX || high > SIDE_MAX {
        return Err(PaperError::PictureSize { width: wide, height: high });
    }
    let mut picture = Pixmap::new(wide, high).ok_or(PaperError::PictureSize { width: wide, height: high })?;
    picture.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale as f32, scale as f32), &mut picture.as_mut());
    picture.encode_png().map_err(|error| PaperError::Picture(error.to_string()))
}
