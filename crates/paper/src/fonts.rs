//! The faces that are compiled in, and text shaped with them.

use std::ops::RangeInclusive;
use std::sync::{Arc, OnceLock};

use krilla::text::{Font, GlyphId, KrillaGlyph};
use lanewright_draw::page::Block;
use lanewright_draw::{Figure, Page};
use lanewright_model::writing::{is_mark, is_right_to_left, set_apart, turns_direction};
use rustybuzz::{BufferClusterLevel, Direction, Face, UnicodeBuffer};
use unicode_bidi::{BidiInfo, Level};
use usvg::fontdb;

/// Stands for a letter that no face has.
const NO_LETTER: char = '\u{fffd}';

/// A face as it is compiled in: which letters it is asked for, and its file in either weight.
struct Source {
    /// Letters from and to; empty: asked for every letter.
    blocks: &'static [RangeInclusive<char>],
    regular: &'static [u8],
    /// The regular file again where there is no bold one.
    bold: &'static [u8],
}

macro_rules! source {
    ($name:literal, [$($block:expr),*]) => {
        Source {
            blocks: &[$($block),*],
            regular: include_bytes!(concat!("../fonts/", $name, "-Regular.ttf")),
            bold: include_bytes!(concat!("../fonts/", $name, "-Bold.ttf")),
        }
    };
    ($name:literal, [$($block:expr),*], one weight) => {
        Source {
            blocks: &[$($block),*],
            regular: include_bytes!(concat!("../fonts/", $name, "-Regular.ttf")),
            bold: include_bytes!(concat!("../fonts/", $name, "-Regular.ttf")),
        }
    };
}

/// Every face, in the order in which they are asked for a letter.
static SOURCES: [Source; 22] = [
    source!("AtkinsonHyperlegible", []),
    source!("NotoSans", []),
    source!("NotoSansArmenian", ['\u{530}'..='\u{58f}']),
    source!("NotoSansHebrew", ['\u{590}'..='\u{5ff}']),
    source!("NotoSansArabic", ['\u{600}'..='\u{6ff}', '\u{750}'..='\u{77f}', '\u{fdf2}'..='\u{fdf2}']),
    source!("NotoSansDevanagari", ['\u{900}'..='\u{97f}', '\u{1cd0}'..='\u{1cff}']),
    source!("NotoSansBengali", ['\u{980}'..='\u{9ff}']),
    source!("NotoSansGurmukhi", ['\u{a00}'..='\u{a7f}']),
    source!("NotoSansGujarati", ['\u{a80}'..='\u{aff}'], one weight),
    source!("NotoSansTamil", ['\u{b80}'..='\u{bff}']),
    source!("NotoSansTelugu", ['\u{c00}'..='\u{c7f}'], one weight),
    source!("NotoSansKannada", ['\u{c80}'..='\u{cff}'], one weight),
    source!("NotoSansMalayalam", ['\u{d00}'..='\u{d7f}'], one weight),
    source!("NotoSansSinhala", ['\u{d80}'..='\u{dff}'], one weight),
    source!("NotoSansThai", ['\u{e00}'..='\u{e7f}']),
    source!("NotoSansLao", ['\u{e80}'..='\u{eff}'], one weight),
    source!("NotoSansMyanmar", ['\u{1000}'..='\u{109f}'], one weight),
    source!("NotoSansGeorgian", ['\u{10a0}'..='\u{10ff}', '\u{1c90}'..='\u{1cbf}']),
    source!("NotoSansEthiopic", ['\u{1200}'..='\u{137f}'], one weight),
    source!("NotoSansKhmer", ['\u{1780}'..='\u{17ff}'], one weight),
    source!("NotoSansKR", ['\u{ac00}'..='\u{d7a3}'], one weight),
    source!(
        "DroidSansFallback",
        ['\u{3000}'..='\u{30ff}', '\u{3105}'..='\u{312f}', '\u{4e00}'..='\u{9fff}', '\u{f900}'..='\u{faff}'],
        one weight
    ),
];

/// How many faces at the head of [`SOURCES`] are for text in general.
const GENERAL: usize = 2;

/// The faces of both weights, each read when a letter first asks for it.
pub(crate) struct Fonts {
    faces: [[OnceLock<Typeface>; 2]; SOURCES.len()],
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
    /// Signs from left to right, as they stand on paper.
    pub(crate) glyphs: Vec<KrillaGlyph>,
    /// Width in ems.
    pub(crate) width_em: f64,
    face: usize,
    bold: bool,
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
    /// Returns the faces.
    pub(crate) fn load() -> &'static Self {
        static FONTS: OnceLock<Fonts> = OnceLock::new();
        FONTS.get_or_init(|| {
            // The SVG reader only meets text that the first face has: see `crate::figures`.
            let mut database = fontdb::Database::new();
            for source in &SOURCES[..GENERAL] {
                database.load_font_data(source.regular.to_vec());
                database.load_font_data(source.bold.to_vec());
            }
            database.set_sans_serif_family("Noto Sans");
            Self { faces: Default::default(), database: Arc::new(database) }
        })
    }

    fn face(&self, index: usize, bold: bool) -> &Typeface {
        let source = &SOURCES[index];
        // A face of one weight is read, and embedded, once.
        let bold = bold && !std::ptr::eq(source.regular, source.bold);
        self.faces[index][usize::from(bold)]
            .get_or_init(|| Typeface::load(if bold { source.bold } else { source.regular }))
    }

    /// Returns which face a letter is set in.
    fn face_of(&self, letter: char, bold: bool) -> Option<usize> {
        SOURCES.iter().enumerate().position(|(index, source)| {
            let asked = index < GENERAL || source.blocks.iter().any(|block| block.contains(&letter));
            asked && self.face(index, bold).has(letter)
        })
    }

    /// Returns whether a letter can be set in both weights. Joiners and signs of direction leave no trace of their own.
    fn has(&self, letter: char) -> bool {
        matches!(letter, '\u{200c}' | '\u{200d}')
            || turns_direction(letter)
            || (self.face_of(letter, false).is_some() && self.face_of(letter, true).is_some())
    }

    /// Returns whether the first face has all letters of a text, or of an SVG with its line breaks.
    pub(crate) fn is_plain(&self, text: &str, bold: bool) -> bool {
        let face = self.face(0, bold);
        text.chars().all(|letter| matches!(letter, ' '..='~' | '\n') || face.has(letter))
    }

    /// Returns the text with every letter replaced that no face has.
    pub(crate) fn covered(&self, text: &str) -> String {
        lanewright_draw::svg::clean(text)
            .chars()
            .map(|letter| if self.has(letter) { letter } else { NO_LETTER })
            .collect()
    }

    /// How the SVG reader reads figures.
    pub(crate) fn svg_options(&self) -> usvg::Options<'static> {
        usvg::Options {
            font_family: "Atkinson Hyperlegible".to_owned(),
            fontdb: Arc::clone(&self.database),
            ..usvg::Options::default()
        }
    }

    /// Shapes a line of text: runs from left to right, in as many faces as it needs. Names that run from right to left
    /// are turned round, each in its place.
    pub(crate) fn shape(&self, text: &str, bold: bool) -> Vec<Run> {
        let text = set_apart(&self.covered(text));
        let mut runs = Vec::new();
        if !text.chars().any(is_right_to_left) {
            for (face, stretch) in self.stretches(&text, bold) {
                runs.push(self.shape_run(face, bold, stretch, Direction::LeftToRight));
            }
            return runs;
        }
        let order = BidiInfo::new(&text, Some(Level::ltr()));
        for paragraph in &order.paragraphs {
            let (levels, ranges) = order.visual_runs(paragraph, paragraph.range.clone());
            for range in ranges {
                let mut stretches = self.stretches(&text[range.clone()], bold);
                let direction = if levels[range.start].is_rtl() {
                    stretches.reverse();
                    Direction::RightToLeft
                } else {
                    Direction::LeftToRight
                };
                for (face, stretch) in stretches {
                    runs.push(self.shape_run(face, bold, stretch, direction));
                }
            }
        }
        runs
    }

    /// Cuts text of one direction where the face changes, in the order in which it is read.
    fn stretches(&self, text: &str, bold: bool) -> Vec<(usize, String)> {
        let mut stretches: Vec<(usize, String)> = Vec::new();
        for letter in text.chars().filter(|letter| !turns_direction(*letter)) {
            // A mark stays with its letter, and what a script's own face has, a space say, stays with the script.
            let before = stretches.last().map(|(face, _)| *face);
            let stays =
                |face: &usize| (is_mark(letter) || *face >= GENERAL) && self.face(*face, bold).has(letter);
            let Some(chosen) = before.filter(stays).or_else(|| self.face_of(letter, bold)) else { continue };
            match stretches.last_mut() {
                Some((face, stretch)) if *face == chosen => stretch.push(letter),
                _ => stretches.push((chosen, letter.to_string())),
            }
        }
        stretches
    }

    /// Returns the width of a line of text in ems.
    pub(crate) fn width_em(&self, text: &str, bold: bool) -> f64 {
        self.shape(text, bold).iter().map(|run| run.width_em).sum()
    }

    fn shape_run(&self, face: usize, bold: bool, text: String, direction: Direction) -> Run {
        let typeface = self.face(face, bold);
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text);
        buffer.guess_segment_properties();
        buffer.set_direction(direction);
        if direction == Direction::RightToLeft {
            // Each sign keeps to its own letter, so that the PDF can say that the run stands in reverse.
            buffer.set_cluster_level(BufferClusterLevel::MonotoneCharacters);
        }
        let shaped = rustybuzz::shape(&typeface.face, &[], buffer);
        let per_em = f64::from(typeface.face.units_per_em());
        let infos = shaped.glyph_infos();
        // Where each cluster of letters begins; it goes up to where the next one does, whichever way they stand.
        let mut starts: Vec<usize> = infos.iter().map(|info| info.cluster as usize).collect();
        starts.push(text.len());
        starts.sort_unstable();
        starts.dedup();
        let mut width_em = 0.0;
        let glyphs = infos
            .iter()
            .zip(shaped.glyph_positions())
            .map(|(info, position)| {
                let from = info.cluster as usize;
                let to = starts[starts.partition_point(|start| *start <= from)];
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
        Run { font: typeface.font.clone(), text, glyphs, width_em, face, bold }
    }

    /// Returns the outlines of a line of text as SVG path data, from its left end on its baseline.
    pub(crate) fn outlines(&self, text: &str, bold: bool, (x, y): (f64, f64), size: f64) -> String {
        use krilla::text::Glyph;
        let mut path = Outline { path: String::new(), x, y, scale: 1.0 };
        let mut pen_x = x;
        for run in self.shape(text, bold) {
            let face = &self.face(run.face, run.bold).face;
            path.scale = size / f64::from(face.units_per_em());
            for glyph in &run.glyphs {
                path.x = pen_x + f64::from(glyph.x_offset(1.0)) * size;
                path.y = y - f64::from(glyph.y_offset(1.0)) * size;
                face.outline_glyph(
                    rustybuzz::ttf_parser::GlyphId(glyph.glyph_id().to_u32() as u16),
                    &mut path,
                );
                pen_x += f64::from(glyph.x_advance(1.0)) * size;
            }
        }
        path.path
    }
}

/// Writes outlines as path data.
struct Outline {
    path: String,
    x: f64,
    y: f64,
    /// Lengths on the drawing to one unit of the face.
    scale: f64,
}

impl Outline {
    fn add(&mut self, letter: char, points: &[(f32, f32)]) {
        self.path.push(letter);
        for (x, y) in points {
            let x = self.x + f64::from(*x) * self.scale;
            let y = self.y - f64::from(*y) * self.scale;
            self.path.push_str(&format!("{x:.3} {y:.3} "));
        }
    }
}

impl rustybuzz::ttf_parser::OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.add('M', &[(x, y)]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.add('L', &[(x, y)]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.add('Q', &[(x1, y1), (x, y)]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.add('C', &[(x1, y1), (x2, y2), (x, y)]);
    }

    fn close(&mut self) {
        self.path.push('Z');
    }
}

/// Returns whether every letter of a text can be printed.
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

    /// Names of children in many scripts.
    const NAMES: [&str; 32] = [
        "Žofie",
        "Łukasz",
        "Nguyễn",
        "Ægir",
        "Ελένη",
        "Жанна",
        "İpek",
        "Ştefan",
        "Þór",
        "O’Neill",
        "نور الهدى",
        "فاطمة",
        "یاسمین",
        "נֹעַם בן-דוד",
        "ნინო",
        "Արամ",
        "अर्जुन",
        "कृष्णा",
        "श्रद्धा",
        "পূর্ণিমা",
        "ਗੁਰਪ੍ਰੀਤ",
        "જ્યોતિ",
        "செல்வி",
        "శ్రీనివాస్",
        "ಕೃಷ್ಣ",
        "ശ്രീജിത്ത്",
        "ශ්‍රියා",
        "ปรีชา",
        "ນ້ຳຝົນ",
        "မောင်မောင်",
        "ሰላም",
        "ស្រីមុំ",
    ];

    #[test]
    fn names_of_many_languages_have_letters() {
        let fonts = Fonts::load();
        for name in NAMES.into_iter().chain(["小明", "張偉", "さくら", "サクラ", "민준"]) {
            assert!(can_print(name), "{name}");
            for bold in [false, true] {
                let runs = fonts.shape(name, bold);
                let mut letters: Vec<char> = runs.iter().flat_map(|run| run.text.chars()).collect();
                let mut wanted: Vec<char> = name.chars().collect();
                letters.sort_unstable();
                wanted.sort_unstable();
                assert_eq!(letters, wanted, "{name}");
                assert!(runs.iter().flat_map(|run| &run.glyphs).all(|glyph| {
                    use krilla::text::Glyph;
                    glyph.glyph_id().to_u32() != 0 && !glyph.text_range().is_empty()
                }));
            }
        }
    }

    #[test]
    fn letters_join_as_their_script_joins_them() {
        use krilla::text::Glyph;
        let fonts = Fonts::load();
        let signs = |text: &str| -> Vec<u32> {
            fonts
                .shape(text, false)
                .iter()
                .flat_map(|run| &run.glyphs)
                .map(|glyph| glyph.glyph_id().to_u32())
                .collect()
        };
        // The letter beh alone, at the beginning, in the middle and at the end of a word.
        let alone = signs("ب");
        let word = signs("ببب");
        assert_eq!(word.len(), 3);
        assert!(word.iter().all(|sign| !alone.contains(sign)) && word[0] != word[1] && word[1] != word[2]);
        // Ka and ssa are one sign; the sign of short i stands before the letter that it follows.
        assert!(signs("क्ष").len() < 3);
        let (ka, ki) = (signs("क"), signs("कि"));
        assert_eq!(ki.last(), ka.last(), "{ki:?}");
    }

    #[test]
    fn names_from_right_to_left_keep_their_places_in_a_sentence() {
        let fonts = Fonts::load();
        let order = |text: &str| -> Vec<String> {
            let runs = fonts.shape(text, false);
            runs.iter().map(|run| run.text.trim().to_owned()).filter(|text| !text.is_empty()).collect()
        };
        assert_eq!(order("نور: 4.80 m"), ["نور", ": 4.80 m"]);
        assert_eq!(order("נועה, نور, Ada"), ["נועה", ",", "نور", ", Ada"]);
        assert_eq!(order("\u{202e}Ada נועה 2"), ["Ada", "נועה", "2"]);
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
        let general =
            ["12.50", "Kesia, Piran, Žofie", "Nguyễn Ελένη", "6.5 m to stop, keep free", "WWWmmm…“”–½"];
        for text in general.into_iter().chain(NAMES).chain(["小明", "さくら", "민준"]) {
            for bold in [false, true] {
                let taken = lanewright_draw::text::width(text, 1.0, bold);
                let set = lanewright_draw::text::width_set(text, 1.0, bold);
                assert!(fonts.width_em(text, bold) <= set + 1e-9, "{text}");
                assert!(set <= taken + 1e-9, "{text}");
            }
        }
    }
}
