//! A small writer of SVG: escapes every text, rounds every coordinate, and never refers to anything outside.

use lanewright_model::writing::{set_apart, turns_direction};

use crate::text;

/// Faces in the order in which they are tried; the first two ship with the program.
pub const FONT_FAMILIES: &str = "'Atkinson Hyperlegible','Noto Sans',system-ui,sans-serif";

/// Returns text without what could break a file or turn the reading direction around.
///
/// Characters that XML forbids become U+FFFD; characters that turn the reading direction around are dropped, so that
/// a name cannot reorder what stands beside it; line breaks and tabs become spaces.
pub fn clean(text: &str) -> String {
    text.chars()
        .filter(|character| !turns_direction(*character))
        .map(|character| match character {
            '\t' | '\n' | '\r' => ' ',
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            other => other,
        })
        .collect()
}

/// Returns text that is [`clean`] and safe inside elements and attributes of SVG and HTML.
pub fn escape(text: &str) -> String {
    escaped(&clean(text))
}

/// Returns text as [`escape`] does, for people to read: names that run from right to left are set apart, so that they
/// and what stands beside them keep their places.
pub fn escape_shown(text: &str) -> String {
    escaped(&set_apart(&clean(text)))
}

fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            other => escaped.push(other),
        }
    }
    escaped
}

/// Returns a coordinate with at most two decimals; what is not a number becomes 0.
pub(crate) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let rounded = (value * 100.0).round() / 100.0;
    // Adding zero turns -0 into 0.
    format!("{}", rounded + 0.0)
}

/// Returns an id made of what is safe in an id.
pub(crate) fn id_from(text: &str) -> String {
    let mut id = String::from("lw");
    for character in text.chars() {
        match character {
            'a'..='z' | 'A'..='Z' | '0'..='9' | '-' => id.push(character),
            _ => id.push_str(&format!("_{:x}", u32::from(character))),
        }
    }
    id
}

/// One element that is being put together.
pub(crate) struct Element {
    name: &'static str,
    attributes: String,
    content: Option<String>,
}

impl Element {
    fn new(name: &'static str) -> Self {
        Self { name, attributes: String::new(), content: None }
    }

    pub(crate) fn attribute(mut self, name: &str, value: &str) -> Self {
        self.attributes.push_str(&format!(" {name}=\"{}\"", escape(value)));
        self
    }

    fn length(self, name: &str, value: f64) -> Self {
        let value = number(value);
        self.attribute(name, &value)
    }

    pub(crate) fn fill(self, colour: &str) -> Self {
        self.attribute("fill", colour)
    }

    pub(crate) fn stroke(self, colour: &str, width: f64) -> Self {
        self.attribute("stroke", colour).length("stroke-width", width)
    }

    pub(crate) fn dash(self, pattern: &str) -> Self {
        self.attribute("stroke-dasharray", pattern)
    }

    pub(crate) fn round_ends(self) -> Self {
        self.attribute("stroke-linecap", "round").attribute("stroke-linejoin", "round")
    }

    pub(crate) fn corner(self, radius: f64) -> Self {
        self.length("rx", radius)
    }

    /// Says what the element stands for, in metres from the start line, for tests and for taps.
    pub(crate) fn at_m(self, class: &str, at_m: f64) -> Self {
        let at = format!("{at_m}");
        self.attribute("class", class).attribute("data-at-m", &at)
    }

    /// Says which part of the lane the element stands for, and how long it is.
    pub(crate) fn part(self, part: &str, length_m: f64) -> Self {
        let length = format!("{length_m}");
        self.attribute("data-part", part).attribute("data-length-m", &length)
    }

    pub(crate) fn bold(self) -> Self {
        self.attribute("font-weight", "700")
    }

    pub(crate) fn middle(self) -> Self {
        self.attribute("text-anchor", "middle")
    }

    pub(crate) fn end(self) -> Self {
        self.attribute("text-anchor", "end")
    }
}

pub(crate) fn rect(x: f64, y: f64, width: f64, height: f64) -> Element {
    let (width, height) = (width.max(0.0), height.max(0.0));
    Element::new("rect").length("x", x).length("y", y).length("width", width).length("height", height)
}

pub(crate) fn line(x1: f64, y1: f64, x2: f64, y2: f64) -> Element {
    Element::new("line").length("x1", x1).length("y1", y1).length("x2", x2).length("y2", y2)
}

pub(crate) fn circle(x: f64, y: f64, radius: f64) -> Element {
    Element::new("circle").length("cx", x).length("cy", y).length("r", radius)
}

/// An open or closed row of straight lines.
pub(crate) fn polyline(points: &[(f64, f64)], closed: bool) -> Element {
    let mut path = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        path.push(if index == 0 { 'M' } else { 'L' });
        path.push_str(&format!("{} {}", number(*x), number(*y)));
    }
    if closed {
        path.push('Z');
    }
    Element::new("path").attribute("d", &path)
}

/// A closed round outline that follows its points without touching them; it stays inside their hull.
pub(crate) fn blob(points: &[(f64, f64)]) -> Element {
    let middle = |index: usize| {
        let ((x1, y1), (x2, y2)) = (points[index % points.len()], points[(index + 1) % points.len()]);
        ((x1 + x2) / 2.0, (y1 + y2) / 2.0)
    };
    let mut path = String::new();
    for index in 0..points.len() {
        let ((cx, cy), (x, y)) = (points[(index + 1) % points.len()], middle(index + 1));
        if index == 0 {
            let (x, y) = middle(0);
            path.push_str(&format!("M{} {}", number(x), number(y)));
        }
        path.push_str(&format!("Q{} {} {} {}", number(cx), number(cy), number(x), number(y)));
    }
    path.push('Z');
    Element::new("path").attribute("d", &path)
}

/// A bend of a path: the point that pulls it, and where it leads.
pub(crate) type Bend = ((f64, f64), (f64, f64));

/// An open row of bends from a point.
pub(crate) fn bends(from: (f64, f64), by_to: &[Bend]) -> Element {
    let mut path = format!("M{} {}", number(from.0), number(from.1));
    for ((cx, cy), (x, y)) in by_to {
        path.push_str(&format!("Q{} {} {} {}", number(*cx), number(*cy), number(*x), number(*y)));
    }
    Element::new("path").attribute("d", &path).fill("none")
}

pub(crate) fn label(x: f64, y: f64, size: f64, content: &str) -> Element {
    let mut element = Element::new("text").length("x", x).length("y", y).length("font-size", size);
    element.content = Some(escape_shown(content));
    element
}

/// An SVG drawing that grows.
#[derive(Default)]
pub(crate) struct Drawing {
    body: String,
}

impl Drawing {
    pub(crate) fn push(&mut self, element: Element) {
        self.body.push('<');
        self.body.push_str(element.name);
        self.body.push_str(&element.attributes);
        match element.content {
            Some(content) => self.body.push_str(&format!(">{content}</{}>", element.name)),
            None => self.body.push_str("/>"),
        }
        self.body.push('\n');
    }

    /// Opens a group; every group is closed by [`Drawing::close`].
    pub(crate) fn open(&mut self, class: &str, data: &[(&str, &str)]) {
        self.body.push_str(&format!("<g class=\"{}\"", escape(class)));
        for (name, value) in data {
            self.body.push_str(&format!(" {name}=\"{}\"", escape(value)));
        }
        self.body.push_str(">\n");
    }

    pub(crate) fn close(&mut self) {
        self.body.push_str("</g>\n");
    }

    /// Draws a head of an arrow whose tip is at `tip` and that comes from `from`.
    pub(crate) fn arrow_head(&mut self, from: (f64, f64), tip: (f64, f64), size: f64, colour: &str) {
        let (dx, dy) = (tip.0 - from.0, tip.1 - from.1);
        let length = (dx * dx + dy * dy).sqrt();
        if length <= 0.0 {
            return;
        }
        let (ux, uy) = (dx / length, dy / length);
        let back = (tip.0 - ux * size, tip.1 - uy * size);
        let side = size * 0.5;
        let points =
            [tip, (back.0 - uy * side, back.1 + ux * side), (back.0 + uy * side, back.1 - ux * side)];
        self.push(polyline(&points, true).fill(colour));
    }

    /// Draws an arrow from one point to another.
    pub(crate) fn arrow(&mut self, from: (f64, f64), tip: (f64, f64), width: f64, colour: &str) {
        let size = width * 2.0 + 5.0;
        let (dx, dy) = (tip.0 - from.0, tip.1 - from.1);
        let length = (dx * dx + dy * dy).sqrt();
        if length < size {
            return;
        }
        let shaft = ((length - size * 0.8) / length).max(0.0);
        let end = (from.0 + dx * shaft, from.1 + dy * shaft);
        self.push(line(from.0, from.1, end.0, end.1).stroke(colour, width));
        self.arrow_head(from, tip, size, colour);
    }

    /// Closes the drawing.
    pub(crate) fn finish(self, head: Head<'_>) -> String {
        let Head { id, width, height, title, description, data } = head;
        let (w, h) = (number(width), number(height));
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{id}\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" \
             role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" font-family=\"{}\" font-variant=\"tabular-nums\"",
            escape(FONT_FAMILIES)
        );
        for (name, value) in data {
            svg.push_str(&format!(" {name}=\"{}\"", escape(value)));
        }
        svg.push_str(&format!(
            ">\n<title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n",
            escape(title),
            escape(description)
        ));
        svg.push_str(&self.body);
        svg.push_str("</svg>\n");
        svg
    }
}

/// What stands at the head of a drawing.
pub(crate) struct Head<'a> {
    pub(crate) id: &'a str,
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) title: &'a str,
    pub(crate) description: &'a str,
    pub(crate) data: &'a [(&'a str, &'a str)],
}

/// Returns the y of a baseline that centres figures and capitals on `middle_y`.
pub(crate) fn centred_baseline(middle_y: f64, size: f64) -> f64 {
    middle_y + size * text::CAP_EM / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_stays_text() {
        let hostile = "</text><script>alert('x')</script>\"&\u{0}\u{202e}";
        let escaped = escape(hostile);
        assert!(!escaped.contains(['<', '>', '"', '\'', '\u{0}', '\u{202e}']));
        assert_eq!(
            escaped,
            "&lt;/text&gt;&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;&quot;&amp;\u{fffd}"
        );
    }

    #[test]
    fn names_from_right_to_left_are_set_apart_where_people_read_them_only() {
        assert_eq!(escape("نور: 3"), "نور: 3");
        assert_eq!(escape_shown("نور: 3"), "\u{2068}نور\u{2069}: 3");
        assert_eq!(escape_shown("<a>"), "&lt;a&gt;");
    }

    #[test]
    fn coordinates_are_short_and_never_break_the_file() {
        assert_eq!(number(1.0 / 3.0), "0.33");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(f64::NAN), "0");
        assert_eq!(number(12.0), "12");
    }

    #[test]
    fn ids_differ_when_names_differ() {
        assert_eq!(id_from("A"), "lwA");
        assert_ne!(id_from("A B"), id_from("A_B"));
        assert!(id_from("\"><x").chars().all(|c| c.is_ascii_alphanumeric() || c == '_'));
    }
}
