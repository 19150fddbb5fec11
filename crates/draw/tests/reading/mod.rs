//! Reads a drawing back: where its texts, marks and parts really are.

#![allow(dead_code, reason = "each test file uses its own part")]

use lanewright_draw::{Figure, text};
use roxmltree::{Document, Node};

/// A rectangle on the drawing.
#[derive(Debug, Clone)]
pub struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
    pub said: String,
}

impl Area {
    /// Returns whether two areas share more than a hair.
    pub fn covers(&self, other: &Area) -> bool {
        const HAIR_PX: f64 = 0.05;
        self.left < other.right - HAIR_PX
            && other.left < self.right - HAIR_PX
            && self.top < other.bottom - HAIR_PX
            && other.top < self.bottom - HAIR_PX
    }
}

pub fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name)
        .unwrap_or_else(|| panic!("<{}> lacks {name}", node.tag_name().name()))
        .parse()
        .unwrap_or_else(|_| panic!("{name} is not a number"))
}

/// Returns the extents of every text: figures and capitals above the baseline, nothing for descenders.
pub fn texts(figure: &Figure) -> Vec<Area> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| {
            let said = node.text().unwrap_or_default().to_owned();
            let size = number(node, "font-size");
            let bold = node.attribute("font-weight") == Some("700");
            let width = text::width(&said, size, bold);
            let (x, y) = (number(node, "x"), number(node, "y"));
            let left = match node.attribute("text-anchor") {
                Some("middle") => x - width / 2.0,
                Some("end") => x - width,
                _ => x,
            };
            let high = size * 0.7;
            if node.attribute("transform").is_some_and(|turn| turn.starts_with("rotate(-90 ")) {
                // Turned about its own anchor: it runs upwards.
                let before = x - left;
                Area { left: x - high, top: y + before - width, right: x, bottom: y + before, said }
            } else {
                assert!(node.attribute("transform").is_none(), "only quarter turns are used");
                Area { left, top: y - high, right: left + width, bottom: y, said }
            }
        })
        .collect()
}

/// Returns the smallest text size in the drawing.
pub fn smallest_text_px(figure: &Figure) -> f64 {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| number(node, "font-size"))
        .fold(f64::INFINITY, f64::min)
}

/// One element that stands at a distance from the start line.
#[derive(Debug, Clone)]
pub struct MarkSeen {
    pub class: String,
    pub at_m: f64,
    pub x: f64,
    pub y: f64,
}

/// Returns every element with `data-at-m` inside the element that `root` chooses, at its centre or tip.
pub fn marks(figure: &Figure, lane: Option<&str>) -> Vec<MarkSeen> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.has_attribute("data-at-m"))
        .filter(|node| {
            lane.is_none_or(|lane| node.ancestors().any(|parent| parent.attribute("data-lane") == Some(lane)))
        })
        .map(|node| {
            let (x, y) = match node.tag_name().name() {
                "line" => (
                    (number(node, "x1") + number(node, "x2")) / 2.0,
                    (number(node, "y1") + number(node, "y2")) / 2.0,
                ),
                "circle" => (number(node, "cx"), number(node, "cy")),
                "rect" => (
                    number(node, "x") + number(node, "width") / 2.0,
                    number(node, "y") + number(node, "height"),
                ),
                "path" => {
                    // The tip of a triangle comes first; of a hurdle from the front, its left foot.
                    let path = node.attribute("d").unwrap_or_default();
                    let first = path[1..].split('L').next().unwrap_or_default();
                    let (x, y) = first.split_once(' ').expect("a point");
                    (x.parse().expect("a number"), y.parse().expect("a number"))
                }
                other => panic!("a mark is drawn as <{other}>"),
            };
            MarkSeen {
                class: node.attribute("class").unwrap_or_default().to_owned(),
                at_m: number(node, "data-at-m"),
                x,
                y,
            }
        })
        .collect()
}

/// Returns the area of every hurdle on a strip, thickness of lines left out.
pub fn hurdle_areas(figure: &Figure) -> Vec<Area> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.attribute("class") == Some("hurdle"))
        .map(|node| {
            let points: Vec<(f64, f64)> = match node.tag_name().name() {
                "line" => {
                    vec![(number(node, "x1"), number(node, "y1")), (number(node, "x2"), number(node, "y2"))]
                }
                "rect" => {
                    let (x, y) = (number(node, "x"), number(node, "y"));
                    vec![(x, y), (x + number(node, "width"), y + number(node, "height"))]
                }
                _ => node.attribute("d").unwrap_or_default()[1..]
                    .split('L')
                    .map(|point| {
                        let (x, y) = point.split_once(' ').expect("a point");
                        (x.parse().expect("a number"), y.parse().expect("a number"))
                    })
                    .collect(),
            };
            let least = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
            let most = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::NEG_INFINITY, f64::max);
            Area {
                left: least(&mut points.iter().map(|point| point.0)) - 1.0,
                right: most(&mut points.iter().map(|point| point.0)) + 1.0,
                top: least(&mut points.iter().map(|point| point.1)) - 1.0,
                bottom: most(&mut points.iter().map(|point| point.1)) + 1.0,
                said: String::new(),
            }
        })
        .collect()
}

/// Returns (part, length in metres, width, height) of every rectangle that stands for a part of a lane.
pub fn parts(figure: &Figure) -> Vec<(String, f64, f64, f64)> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.has_tag_name("rect") && node.has_attribute("data-length-m"))
        .map(|node| {
            (
                node.attribute("data-part").unwrap_or_default().to_owned(),
                number(node, "data-length-m"),
                number(node, "width"),
                number(node, "height"),
            )
        })
        .collect()
}

/// Returns a number from the root element.
pub fn root_number(figure: &Figure, name: &str) -> f64 {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    number(document.root_element(), name)
}
