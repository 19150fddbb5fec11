//! Writes laid-out sheets as a tagged PDF.

use std::num::NonZeroU16;

use krilla::Document;
use krilla::SerializeSettings;
use krilla::color::rgb;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::Fill;
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, Node as TagNode, SpanTag,
    TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};
use krilla_svg::{SurfaceExt, SvgSettings};
use lanewright_draw::Page;

use crate::figures;
use crate::fonts::Fonts;
use crate::layout::{Ink, Item, Layout, NodeTag, lay_out};
use crate::{Options, PaperError};

/// Returns the pages as one PDF file.
///
/// The file is tagged (headings, paragraphs, lists, tables, figures with their descriptions), names its language and
/// title, has an outline, and meets what the writer can check of PDF/UA-1. It carries a date only when one is given, so
/// that equal input gives equal bytes. Letters that no face has print as U+FFFD; [`crate::missing_letters`] names them.
///
/// # Errors
/// When there are no pages, a figure cannot be read, or the writer refuses the document.
pub fn pdf(pages: &[Page], options: &Options) -> Result<Vec<u8>, PaperError> {
    let first = pages.first().ok_or(PaperError::NoPages)?;
    let fonts = Fonts::load();
    let layout = lay_out(pages, fonts);
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| PaperError::Pdf(format!("{error:?}")))?;
    let settings = SerializeSettings { configuration, enable_tagging: true, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let mut identifiers: Vec<Vec<Identifier>> = layout.nodes.iter().map(|_| Vec::new()).collect();
    for sheet in &layout.sheets {
        let size = PageSettings::from_wh(sheet.width as f32, sheet.height as f32)
            .ok_or_else(|| PaperError::Pdf("the paper has no size".to_owned()))?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        for item in &sheet.items {
            draw(&mut surface, item, fonts, &mut identifiers)?;
        }
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tag_tree(&layout, identifiers, &first.language));
    document.set_outline(outline(&layout));
    let mut metadata = Metadata::new()
        .title(fonts.covered(&first.title))
        .language(first.language.clone())
        .creator(options.creator.clone());
    if let Some((year, month, day)) = options.created {
        metadata = metadata.creation_date(DateTime::new(year).month(month).day(day));
    }
    document.set_metadata(metadata);
    document.finish().map_err(|error| PaperError::Pdf(format!("{error:?}")))
}

fn draw(
    surface: &mut Surface<'_>,
    item: &Item<'_>,
    fonts: &Fonts,
    identifiers: &mut [Vec<Identifier>],
) -> Result<(), PaperError> {
    let tag = match (&item.ink, item.node) {
        (_, None) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        (Ink::Text { .. }, Some(_)) => ContentTag::Span(SpanTag::empty()),
        (_, Some(_)) => ContentTag::Other,
    };
    let identifier = surface.start_tagged(tag);
    if let Some(node) = item.node {
        identifiers[node].push(identifier);
    }
    surface.set_stroke(None);
    surface.set_fill(Some(Fill { paint: rgb::Color::black().into(), ..Fill::default() }));
    let drawn = match &item.ink {
        Ink::Text { x, y, size, bold, text } => {
            write(surface, fonts, text, *bold, (*x, *y), *size);
            Ok(())
        }
        Ink::Bar { x, y, width, height } => {
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(*x as f32, *y as f32, *width as f32, *height as f32) {
                path.push_rect(rect);
            }
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
            Ok(())
        }
        Ink::Figure { x, y, width, height, figure } => {
            let read = figures::read(&figure.svg, fonts).map_err(|error| PaperError::Figure {
                title: figure.title.clone(),
                reason: error.to_string(),
            });
            read.map(|read| {
                surface.push_transform(&Transform::from_translate(*x as f32, *y as f32));
                if let Some(size) = Size::from_wh(*width as f32, *height as f32) {
                    surface.draw_svg(&read.tree, size, SvgSettings::default());
                }
                surface.pop();
                let scale = width / figure.width;
                surface.set_stroke(None);
                for text in &read.written {
                    let [red, green, blue] = text.colour;
                    let paint = rgb::Color::new(red, green, blue).into();
                    surface.set_fill(Some(Fill { paint, ..Fill::default() }));
                    let at = (x + text.x * scale, y + text.y * scale);
                    write(surface, fonts, &text.text, text.bold, at, text.size * scale);
                }
            })
        }
    };
    surface.end_tagged();
    drawn
}

/// Writes a line of text from its left end on its baseline. A run from right to left is marked as reversed by the
/// writer of the PDF, which gives readers its letters in order; text that stands for the run would be turned round
/// once more by some of them.
fn write(surface: &mut Surface<'_>, fonts: &Fonts, text: &str, bold: bool, (x, y): (f64, f64), size: f64) {
    let mut x = x;
    for run in fonts.shape(text, bold) {
        let start = Point::from_xy(x as f32, y as f32);
        surface.draw_glyphs(start, &run.glyphs, run.font.clone(), &run.text, size as f32, false);
        x += run.width_em * size;
    }
}

fn tag_tree(layout: &Layout<'_>, identifiers: Vec<Vec<Identifier>>, language: &str) -> TagTree {
    let mut leaves = identifiers;
    let mut tree = TagTree::new().with_lang(Some(language.to_owned()));
    for root in &layout.roots {
        tree.push(group(layout, *root, &mut leaves));
    }
    tree
}

fn group(layout: &Layout<'_>, index: usize, leaves: &mut [Vec<Identifier>]) -> TagGroup {
    let node = &layout.nodes[index];
    let tag: TagKind = match node.tag {
        NodeTag::Heading(level, text) => {
            let level = NonZeroU16::new(u16::from(level)).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(text.to_owned())).into()
        }
        NodeTag::Paragraph => Tag::P.into(),
        NodeTag::List { numbered: true } => Tag::L(ListNumbering::Decimal).into(),
        NodeTag::List { numbered: false } => Tag::L(ListNumbering::Disc).into(),
        NodeTag::ListItem => Tag::LI.into(),
        NodeTag::ListLabel => Tag::Lbl.into(),
        NodeTag::ListBody => Tag::LBody.into(),
        NodeTag::Table => Tag::Table.into(),
        NodeTag::TableHead => Tag::THead.into(),
        NodeTag::TableBody => Tag::TBody.into(),
        NodeTag::Row => Tag::TR.into(),
        NodeTag::HeadCell { of_row: true } => Tag::TH(TableHeaderScope::Row).into(),
        NodeTag::HeadCell { of_row: false } => Tag::TH(TableHeaderScope::Column).into(),
        NodeTag::Cell => Tag::TD.into(),
        NodeTag::Caption => Tag::Caption.into(),
        NodeTag::Section => Tag::Section.into(),
        NodeTag::Figure(figure) => {
            Tag::Figure(Some(format!("{}. {}", figure.title, figure.description))).into()
        }
    };
    let mut group = TagGroup::new(tag);
    for identifier in leaves[index].drain(..) {
        group.push(TagNode::Leaf(identifier));
    }
    for child in &node.children {
        group.push(self::group(layout, *child, leaves));
    }
    group
}

fn outline(layout: &Layout<'_>) -> Outline {
    let mut outline = Outline::new();
    let mut open: Option<OutlineNode> = None;
    for (level, text, sheet, y) in &layout.outline {
        let target = XyzDestination::new(*sheet, Point::from_xy(0.0, (*y - 6.0).max(0.0) as f32));
        let node = OutlineNode::new(Fonts::load().covered(text), target);
        match (&mut open, level) {
            (Some(parent), 2..) => parent.push_child(node),
            _ => {
                if let Some(before) = open.replace(node) {
                    outline.push_child(before);
                }
            }
        }
    }
    if let Some(last) = open {
        outline.push_child(last);
    }
    outline
}
