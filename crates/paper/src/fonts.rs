//! The faces that are compiled in, and text shaped with them.

use std::sync::{Arc, OnceLock};

use krilla::text::{Font, GlyphId, KrillaGlyph};
use lanewright_draw::page::Block;
use lanewright_draw::{Figure, Page};
use rustybuzz::{Face, UnicodeBuffer};
use usvg::fontdb;

const ATKINSON: &[u8] = include_bytes!("../fonts/AtkinsonHyperlegible-Regular.ttf");
const ATKINSON_BOLD: &[u8] = include_bytes!("../fonts/AtkinsonHyperlegible-Bold.ttf");
const NOTO: &[u8] = include_bytes!("../fonts/NotoSans-Regular.ttf");
const NOTO_BOLD: &[u8] = include_bytes!("../fonts/NotoSans-Bold.ttf");

/// Stands for a letter that no face has.
const NO_LETTER: char = '\u{fffd}';

/// The faces of both weights, each with the one that stands in for it.
pub(crate) struct Fonts {
    regular: [Typeface; 2],
    bold: [Typeface; 2],
    database: Arc<fontdb::Database>,
}

struct Typeface {
    face: Face<'static>,
    font: Font,
}

/// One stretch of text in one face.
pub(crate) struct Run {
    pub(crate) font: Font,
    pub(crate) text: String,
    pub(crate) glyphs: Vec<KrillaGlyph>,
    /// Width in ems.
    pub(crate) width_em: f64,
}

impl Typeface {
    fn load(data: &'static [u8]) -> Self {
        Self {
            face: Face::from_slice(data, 0).expect("the font files are tested"),
            font: Font::new(data.to_vec().into(), 0).expect("the font files are tested"),
        }
    }

    fn has(&self, letter: char) -> bool {
        self.face.glyph_index(letter).is_some()
    }
}

impl Fonts {
    /// Returns the faces, read once.
    pub(crate) fn load() -> &'static Self {
        static FONTS: OnceLock<Fonts> = OnceLock::new();
        FONTS.get_or_init(|| {
            let mut database = fontdb::Database::new();
            for data in [ATKINSON, ATKINSON_BOLD, NOTO, NOTO_BOLD] {
                database.load_font_data(data.to_vec());
            }
            database.set_sans_serif_family("Noto Sans");
            Self {
                regular: [Typeface::load(ATKINSON), Typeface::load(NOTO)],
                bold: [Typeface::load(ATKINSON_BOLD), Typeface::load(NOTO_BOLD)],
                database: Arc::new(database),
            }
        })
    }

    fn faces(&self, bold: bool) -> &[Typeface; 2] {
        if bold { &self.bold } else { &self.regular }
    }

    fn has(&self, letter: char) -> bool {
        self.regular.iter().any(|face| face.has(letter)) && self.bold.iter().any(|face| face.has(letter))
    }

    /// Returns the text with every letter replaced that no face has.
    pub(crate) fn covered(&self, text: &str) -> String {
        lanewright_draw::svg::clean(text)
            .chars()
            .map(|letter| if self.has(letter) { letter } else { NO_LETTER })
            .collect()
    }

    /// Returns an SVG text, line breaks and all, with every letter replaced that no face has.
    fn covered_svg(&self, svg: &str) -> String {
        svg.chars()
            .map(|letter| if letter == '\n' || self.has(letter) { letter } else { NO_LETTER })
            .collect()
    }

    /// Reads a figure.
    pub(crate) fn tree(&self, svg: &str) -> Result<usvg::Tree, usvg::Error> {
        let options = usvg::Options {
            font_family: "Atkinson Hyperlegible".to_owned(),
            fontdb: Arc::clone(&self.database),
            ..usvg::Options::default()
        };
        usvg::Tree::from_str(&self.covered_svg(svg), &options)
    }

    /// Shapes a line of text, from left to right, in as many runs as it needs faces.
    pub(crate) fn shape(&self, text: &str, bold: bool) -> Vec<Run> {
        let faces = self.faces(bold);
        let mut stretches: Vec<(usize, String)> = Vec::new();
        for letter in self.covered(text).chars() {
            // A letter stays in the face of the one before it when it can: accents stay with their letters.
            let before = stretches.last().map(|(face, _)| *face);
            let combining = ('\u{300}'..='\u{36f}').contains(&letter);
            let chosen = match before {
                Some(face) if combining && faces[face].has(letter) => face,
                _ => faces.iter().position(|face| face.has(letter)).unwrap_or(1),
            };
            match stretches.last_mut() {
                Some((face, stretch)) if *face == chosen => stretch.push(letter),
                _ => stretches.push((chosen, letter.to_string())),
            }
        }
        stretches.into_iter().map(|(face, text)| shape_run(&faces[face], text)).collect()
    }

    /// Returns the width of a line of text in ems.
    pub(crate) fn width_em(&self, text: &str, bold: bool) -> f64 {
        self.shape(text, bold).iter().map(|run| run.width_em).sum()
    }
}

fn shape_run(typeface: &Typeface, text: String) -> Run {
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(&text);
    buffer.guess_segment_properties();
    buffer.set_direction(rustybuzz::Direction::LeftToRight);
    let shaped = rustybuzz::shape(&typeface.face, &[], buffer);
    let per_em = f64::from(typeface.face.units_per_em());
    let infos = shaped.glyph_infos();
    let mut width_em = 0.0;
    let glyphs = infos
        .iter()
        .zip(shaped.glyph_positions())
        .enumerate()
        .map(|(index, (info, position))| {
            let from = info.cluster as usize;
            let to = infos[index..]
                .iter()
                .map(|later| later.cluster as usize)
                .find(|cluster| *cluster > from)
                .unwrap_or(text.len());
            let em = |units: i32| (f64::from(units) / per_em) as f32;
            width_em += f64::from(position.x_advance) / per_em;
            KrillaGlyph::new(
                GlyphId::new(info.glyph_id),
                em(position.x_advance),
                em(position.x_offset),
                em(position.y_offset),
                em(position.y_advance),
                from..to,
                None,
            )
        })
        .collect();
    Run { font: typeface.font.clone(), text, glyphs, width_em }
}

/// Returns whether every letter of a text can be printed in both weights, and in the order in which it is read: text
/// that runs from right to left is not set, whatever the faces hold.
pub fn can_print(text: &str) -> bool {
    let fonts = Fonts::load();
    lanewright_draw::svg::clean(text).chars().all(|letter| fonts.has(letter))
}

/// Returns the letters on these pages that no face has, in the order of their numbers. They print as `\u{fffd}`.
pub fn missing_letters(pages: &[Page]) -> Vec<char> {
    let fonts = Fonts::load();
    let mut missing: Vec<char> = Vec::new();
    let mut look = |text: &str| {
        missing.extend(lanewright_draw::svg::clean(text).chars().filter(|letter| !fonts.has(*letter)));
    };
    for page in pages {
        look(&page.title);
        page.footer.lines.iter().for_each(|line| look(line));
        look_through(&page.blocks, &mut look);
    }
    missing.sort_unstable();
    missing.dedup();
    missing
}

fn look_through(blocks: &[Block], look: &mut dyn FnMut(&str)) {
    for block in blocks {
        match block {
            Block::Heading { text, .. } | Block::Paragraph(text) | Block::Caution(text) => look(text),
            Block::List { items, .. } => items.iter().for_each(|item| look(item)),
            Block::Table(table) => {
                table.caption.iter().for_each(|caption| look(caption));
                table.columns.iter().for_each(|column| look(&column.title));
                table.rows.iter().flatten().for_each(|cell| look(cell));
            }
            Block::Figure(Figure { svg, .. }) => look(svg),
            Block::Beside(parts) | Block::Cut(parts) => {
                parts.iter().for_each(|part| look_through(part, look));
            }
            Block::PageBreak => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_many_languages_have_letters() {
        let fonts = Fonts::load();
        for name in
            ["Žofie", "Łukasz", "Nguyễn", "Ægir", "Ελένη", "Жанна", "İpek", "Ştefan", "Þór", "O’Neill"]
        {
            for bold in [false, true] {
                let runs = fonts.shape(name, bold);
                assert_eq!(runs.iter().map(|run| run.text.as_str()).collect::<String>(), name);
                assert!(runs.iter().flat_map(|run| &run.glyphs).all(|glyph| {
                    use krilla::text::Glyph;
                    glyph.glyph_id().to_u32() != 0
                }));
            }
        }
    }

    #[test]
    fn figures_have_one_width_in_both_weights() {
        let fonts = Fonts::load();
        for bold in [false, true] {
            let one = fonts.width_em("1", bold);
            assert!("0123456789".chars().all(|digit| fonts.width_em(&digit.to_string(), bold) == one));
        }
    }

    #[test]
    fn drawn_text_is_never_wider_than_it_was_taken_for() {
        let fonts = Fonts::load();
        for text in
            ["12.50", "Kesia, Piran, Žofie", "Nguyễn Ελένη", "6.5 m to stop, keep free", "WWWmmm…“”–½"]
        {
            for bold in [false, true] {
                let taken = lanewright_draw::text::width(text, 1.0, bold);
                let set = lanewright_draw::text::width_set(text, 1.0, bold);
                assert!(fonts.width_em(text, bold) <= set + 1e-9, "{text}");
                assert!(set <= taken + 1e-9, "{text}");
            }
        }
    }
}
