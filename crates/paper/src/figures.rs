//! Figures with names in every script.
//!
//! The SVG reader sets a text in the first face that has it; where letters join, change places or stand over one
//! another it sets them too close, and it cannot take a text from several faces. So text that the first face lacks is
//! taken out of the figure and set as all other text on the page is.

use lanewright_draw::svg::clean;
use roxmltree::{Document, Node};

use crate::fonts::Fonts;

/// A text that was taken out of a figure, in the figure's own lengths.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Written {
    /// Left end.
    pub(crate) x: f64,
    /// Baseline.
    pub(crate) y: f64,
    pub(crate) size: f64,
    pub(crate) bold: bool,
    /// Red, green, blue.
    pub(crate) colour: [u8; 3],
    pub(crate) text: String,
}

/// A figure that is ready to be drawn.
pub(crate) struct Read {
    pub(crate) tree: usvg::Tree,
    /// What is to be written over it.
    pub(crate) written: Vec<Written>,
}

/// Reads a figure for a PDF, where all text stays text.
pub(crate) fn read(svg: &str, fonts: &Fonts) -> Result<Read, usvg::Error> {
    let mut written = Vec::new();
    let svg = replaced(svg, fonts, &mut |text, _| {
        written.push(text);
        String::new()
    })?;
    Ok(Read { tree: usvg::Tree::from_str(&svg, &fonts.svg_options())?, written })
}

/// Reads a figure for a picture: what the SVG reader cannot set stands in it as outlines.
pub(crate) fn read_outlined(svg: &str, fonts: &Fonts) -> Result<usvg::Tree, usvg::Error> {
    let svg = replaced(svg, fonts, &mut |text, fill| {
        let path = fonts.outlines(&text.text, text.bold, (text.x, text.y), text.size);
        format!("<path d=\"{path}\" fill=\"{fill}\"/>")
    })?;
    usvg::Tree::from_str(&svg, &fonts.svg_options())
}

/// Puts something else in the place of every text that the first face lacks.
fn replaced(
    svg: &str,
    fonts: &Fonts,
    replace: &mut dyn FnMut(Written, &str) -> String,
) -> Result<String, usvg::Error> {
    // Most figures have none: they are read as they are.
    if fonts.is_plain(svg, false) && fonts.is_plain(svg, true) {
        return Ok(svg.to_owned());
    }
    let document = Document::parse(svg).map_err(usvg::Error::ParsingFailed)?;
    let mut out = String::with_capacity(svg.len());
    let mut done = 0;
    for node in document.descendants().filter(|node| node.has_tag_name("text")) {
        let Some((text, fill)) = written(node, fonts) else { continue };
        if fonts.is_plain(&text.text, text.bold) {
            continue;
        }
        out.push_str(&svg[done..node.range().start]);
        out.push_str(&replace(text, &fill));
        done = node.range().end;
    }
    out.push_str(&svg[done..]);
    Ok(out)
}

/// Returns an attribute of an element or of the nearest around it that has one.
fn inherited<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    node.ancestors().find_map(|node| node.attribute(name))
}

/// Returns where and how a text element writes, and its fill; `None` for one that does more than that.
fn written(node: Node<'_, '_>, fonts: &Fonts) -> Option<(Written, String)> {
    // Its own turn would be lost; only words of the program stand so, never names.
    if node.attribute("transform").is_some() || node.children().any(|child| child.is_element()) {
        return None;
    }
    let length = |name: &str| node.attribute(name)?.parse::<f64>().ok();
    let size = inherited(node, "font-size")?.parse::<f64>().ok()?;
    let fill = inherited(node, "fill").unwrap_or("#000000");
    // What is no plain colour, one that the page around it would give, is ink.
    let colour = colour(fill).unwrap_or_default();
    let bold = inherited(node, "font-weight").is_some_and(|weight| weight == "700");
    let text = clean(node.text().unwrap_or_default());
    let width = fonts.width_em(&text, bold) * size;
    let left = match inherited(node, "text-anchor") {
        Some("middle") => width / 2.0,
        Some("end") => width,
        _ => 0.0,
    };
    let written = Written { x: length("x")? - left, y: length("y")?, size, bold, colour, text };
    Some((written, fill.to_owned()))
}

/// Reads a colour of three or six hexadecimal digits, red, green and blue.
fn colour(fill: &str) -> Option<[u8; 3]> {
    let digits = fill.strip_prefix('#').filter(|digits| digits.is_ascii())?;
    let part = |at: usize| u8::from_str_radix(digits.get(at..at + 1)?, 16).ok();
    let pair = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    match digits.len() {
        3 => Some([17 * part(0)?, 17 * part(1)?, 17 * part(2)?]),
        6 => Some([pair(0)?, pair(2)?, pair(4)?]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SVG: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100\" height=\"20\" viewBox=\"0 0 100 20\">\
        <title>نور</title><text x=\"50\" y=\"15\" font-size=\"10\" fill=\"#102030\" font-weight=\"700\" \
        text-anchor=\"middle\">\u{2068}نور\u{2069} &amp; 3</text>\
        <text x=\"0\" y=\"15\" font-size=\"10\">Ada</text></svg>";

    #[test]
    fn only_text_that_the_first_face_lacks_is_taken_out() {
        let fonts = Fonts::load();
        let read = read(SVG, fonts).expect("an SVG");
        assert_eq!(read.written.len(), 1);
        let text = &read.written[0];
        assert_eq!((text.text.as_str(), text.colour, text.bold), ("نور & 3", [16, 32, 48], true));
        let width = fonts.width_em(&text.text, true) * 10.0;
        assert!(width > 10.0 && (text.x + width / 2.0 - 50.0).abs() < 1e-9);
        assert!(read.tree.has_text_nodes(), "the other text stays");
    }

    #[test]
    fn a_picture_gets_outlines_where_the_name_stands() {
        let fonts = Fonts::load();
        let tree = read_outlined(SVG, fonts).expect("an SVG");
        let drawn = tree.root().abs_bounding_box();
        // From Ada at the left edge to the end of the name.
        assert!(drawn.x() < 1.0 && drawn.right() > 60.0, "{drawn:?}");
    }
}
