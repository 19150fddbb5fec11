//! Turns pages into PDF and PNG, with the fonts inside.
//!
//! Pure: no clock, no files; the fonts are compiled in. Equal pages give equal bytes. Text stays text, so that it
//! can be searched and read aloud; the PDF is tagged and written to the rules of PDF/UA-1.
//!
//! What a page is made of belongs to `lanewright-draw`; this crate lays the same blocks out that
//! `lanewright_draw::page::to_html` gives to a browser.

mod figures;
mod fonts;
mod layout;
mod pdf;
mod png;

use lanewright_draw::Page;

pub use fonts::{can_print, missing_letters};
pub use pdf::pdf;
pub use png::{figure_png, page_pngs};

/// What goes into a file beside the pages.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Options {
    /// Name and version of the program, for the file's own particulars.
    pub creator: String,
    /// The day for the file's own particulars: year, month, day. Without it the file carries no date.
    pub created: Option<(u16, u8, u8)>,
}

/// Why there is no file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// There are no pages.
    #[error("there is nothing to print: no pages were given")]
    NoPages,
    /// A figure is not the SVG that `lanewright-draw` makes.
    #[error("the figure `{title}` cannot be read: {reason}")]
    Figure {
        /// Title of the figure.
        title: String,
        /// What the reader said.
        reason: String,
    },
    /// The writer refused the document.
    #[error("the PDF cannot be written: {0}")]
    Pdf(String),
    /// The picture is too large or empty.
    #[error("a picture of {width} by {height} pixels cannot be made; choose a scale that gives 1 to 16000")]
    PictureSize {
        /// Width asked for.
        width: u32,
        /// Height asked for.
        height: u32,
    },
    /// The picture could not be compressed.
    #[error("the picture cannot be written: {0}")]
    Picture(String),
}

/// Returns on how many sheets the pages are printed.
pub fn sheet_count(pages: &[Page]) -> usize {
    layout::lay_out(pages, fonts::Fonts::load()).sheets.len()
}
