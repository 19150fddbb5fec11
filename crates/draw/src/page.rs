//! Pages of typed blocks, and their HTML for the browser's own print.

use crate::Figure;
use crate::svg::{FONT_FAMILIES, escape, escape_shown, number};

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 mm × 297 mm.
    #[default]
    A4,
    /// 8.5 in × 11 in.
    Letter,
}

/// Margin on all four sides, in millimetres: printers keep less than this free.
pub const MARGIN_MM: f64 = 12.0;
/// CSS pixels in a millimetre.
pub const PX_PER_MM: f64 = 96.0 / 25.4;

/// Most parts that a sheet is cut into; more are printed in as many rows of that height as they need.
pub const CUT_PARTS_MAX: usize = 4;

/// Least and greatest size of text, in percent of the usual.
pub const TEXT_PERCENTS: (u32, u32) = (80, 300);
/// Sizes of text are multiples of this.
pub const TEXT_PERCENT_STEP: u32 = 5;

impl Paper {
    /// Returns width and height in millimetres.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        }
    }

    /// Returns width and height between the margins, in CSS pixels, whole.
    pub fn inner_px(self) -> (f64, f64) {
        let (width_mm, height_mm) = self.size_mm();
        (
            ((width_mm - 2.0 * MARGIN_MM) * PX_PER_MM).floor(),
            ((height_mm - 2.0 * MARGIN_MM) * PX_PER_MM).floor(),
        )
    }

    /// Returns width and height in CSS pixels that each of `parts` parts of a sheet has between its margins, whole.
    pub fn part_px(self, parts: usize) -> (f64, f64) {
        let (_, height_mm) = self.size_mm();
        let part_mm = height_mm / parts.clamp(1, CUT_PARTS_MAX) as f64 - 2.0 * MARGIN_MM;
        (self.inner_px().0, (part_mm * PX_PER_MM).floor())
    }

    fn css(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        }
    }
}

/// One page, or the start of several when its blocks need more room than one has.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Title of the document.
    pub title: String,
    /// Language tag of the words.
    pub language: String,
    /// Paper to lay out for.
    pub paper: Paper,
    /// Size of text and tables in percent of the usual, [`TEXT_PERCENTS`] in steps of [`TEXT_PERCENT_STEP`]. Figures
    /// and the foot keep their own.
    pub text_percent: u32,
    /// What stands on it, from top to bottom.
    pub blocks: Vec<Block>,
    /// What stands at the foot of every sheet.
    pub footer: Footer,
}

impl Page {
    /// Returns the size of text as a share of the usual: the step at or below what was asked for, within the range.
    pub fn text_scale(&self) -> f64 {
        f64::from(self.text_step()) / 100.0
    }

    fn text_step(&self) -> u32 {
        let percent = self.text_percent.clamp(TEXT_PERCENTS.0, TEXT_PERCENTS.1);
        percent / TEXT_PERCENT_STEP * TEXT_PERCENT_STEP
    }
}

/// The foot of a sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Footer {
    /// Lines on the left: whose plan, when, units, software and method version.
    pub lines: Vec<String>,
    /// Words for the sheet's number, with `{page}` and `{pages}` where the numbers go.
    pub page_of: String,
}

impl Footer {
    /// Returns the words for the sheet's number.
    pub fn page_of(&self, page: usize, pages: usize) -> String {
        self.page_of.replace("{page}", &page.to_string()).replace("{pages}", &pages.to_string())
    }
}

/// One part of a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; level 1 is the page's own, 2 and 3 are below it.
    Heading {
        /// 1 to 3.
        level: u8,
        /// The words.
        text: String,
    },
    /// Running text.
    Paragraph(String),
    /// Items one below the other.
    List {
        /// Steps in their order, numbered from 1; otherwise with bullets.
        numbered: bool,
        /// The items.
        items: Vec<String>,
    },
    /// A table.
    Table(Table),
    /// A drawing.
    Figure(Figure),
    /// A sentence that must not be overlooked.
    Caution(String),
    /// Parts side by side in columns of equal width.
    Beside(Vec<Vec<Block>>),
    /// Parts of equal height that fill a sheet, one below the other, with a line to cut along between them. Each part
    /// keeps the margins of the page on all its sides and is read out as a section of its own.
    Cut(Vec<Vec<Block>>),
    /// What follows starts on a new sheet.
    PageBreak,
}

/// A table with a head row that repeats on every sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What it shows, in a few words; written above it.
    pub caption: Option<String>,
    /// Columns from left to right.
    pub columns: Vec<Column>,
    /// Rows of cells, each as long as `columns`. The first cell of a row names it.
    pub rows: Vec<Vec<String>>,
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Words of its head.
    pub title: String,
    /// How its cells stand.
    pub align: Align,
    /// Share of the width; shares of all columns are added up.
    pub share: f64,
}

/// How cells stand in their column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Start,
    /// Numbers.
    End,
    /// Counts and single letters.
    Middle,
}

impl Column {
    /// Returns a column of words.
    pub fn words(title: impl Into<String>, share: f64) -> Self {
        Self { title: title.into(), align: Align::Start, share }
    }

    /// Returns a column of counts.
    pub fn counts(title: impl Into<String>, share: f64) -> Self {
        Self { title: title.into(), align: Align::Middle, share }
    }

    /// Returns a column of numbers.
    pub fn numbers(title: impl Into<String>, share: f64) -> Self {
        Self { title: title.into(), align: Align::End, share }
    }
}

/// Returns a whole HTML document that prints as the pages say.
pub fn to_html(pages: &[Page]) -> String {
    let (title, language, paper) = pages
        .first()
        .map_or(("", "en", Paper::A4), |page| (page.title.as_str(), page.language.as_str(), page.paper));
    format!(
        "<!doctype html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{}</title>\n<style>\n{}</style>\n</head>\n\
         <body>\n{}</body>\n</html>\n",
        escape(language),
        escape(title),
        print_css(paper),
        body_html(pages),
    )
}

/// Returns the pages without the document around them, for an application that brings [`print_css`] itself.
pub fn body_html(pages: &[Page]) -> String {
    let mut html = String::from("<main class=\"lw-pages\">\n");
    for (index, page) in pages.iter().enumerate() {
        let size = match page.text_step() {
            100 => String::new(),
            percent => format!(" lw-text-{percent}"),
        };
        html.push_str(&format!("<article class=\"lw-page{size}\" lang=\"{}\">\n", escape(&page.language)));
        blocks_html(&page.blocks, &mut html);
        if page.footer == Footer::default() {
            html.push_str("</article>\n");
            continue;
        }
        html.push_str("<footer>");
        for (line, text) in page.footer.lines.iter().enumerate() {
            if line > 0 {
                html.push_str("<br>");
            }
            html.push_str(&escape_shown(text));
        }
        html.push_str(&format!(
            "<span class=\"lw-page-of\">{}</span></footer>\n</article>\n",
            escape_shown(&page.footer.page_of(index + 1, pages.len()))
        ));
    }
    html.push_str("</main>\n");
    html
}

fn blocks_html(blocks: &[Block], html: &mut String) {
    for block in blocks {
        match block {
            Block::Heading { level, text } => {
                let level = (*level).clamp(1, 3);
                html.push_str(&format!("<h{level}>{}</h{level}>\n", escape_shown(text)));
            }
            Block::Paragraph(text) => html.push_str(&format!("<p>{}</p>\n", escape_shown(text))),
            Block::List { numbered, items } => {
                let tag = if *numbered { "ol" } else { "ul" };
                html.push_str(&format!("<{tag}>\n"));
                for item in items {
                    html.push_str(&format!("<li>{}</li>\n", escape_shown(item)));
                }
                html.push_str(&format!("</{tag}>\n"));
            }
            Block::Caution(text) => {
                html.push_str(&format!("<p class=\"lw-caution\"><b>!</b> {}</p>\n", escape_shown(text)));
            }
            Block::Figure(figure) => {
                html.push_str("<figure>\n");
                html.push_str(&figure.svg);
                html.push_str("</figure>\n");
            }
            Block::Table(table) => table_html(table, html),
            Block::Beside(columns) => {
                html.push_str(&format!("<div class=\"lw-beside lw-beside-{}\">\n", columns.len()));
                for column in columns {
                    html.push_str("<div>\n");
                    blocks_html(column, html);
                    html.push_str("</div>\n");
                }
                html.push_str("</div>\n");
            }
            Block::Cut(parts) => {
                html.push_str(&format!("<div class=\"lw-cut lw-cut-{}\">\n", parts.len().min(CUT_PARTS_MAX)));
                for part in parts {
                    html.push_str("<section>\n");
                    blocks_html(part, html);
                    html.push_str("</section>\n");
                }
                html.push_str("</div>\n");
            }
            Block::PageBreak => html.push_str("<div class=\"lw-break\"></div>\n"),
        }
    }
}

fn table_html(table: &Table, html: &mut String) {
    html.push_str("<table>\n");
    if let Some(caption) = &table.caption {
        html.push_str(&format!("<caption>{}</caption>\n", escape_shown(caption)));
    }
    let class = |column: &Column| match column.align {
        Align::Start => "",
        Align::End => " class=\"lw-n\"",
        Align::Middle => " class=\"lw-c\"",
    };
    html.push_str("<thead><tr>");
    for column in &table.columns {
        html.push_str(&format!("<th scope=\"col\"{}>{}</th>", class(column), escape_shown(&column.title)));
    }
    html.push_str("</tr></thead>\n<tbody>\n");
    for row in &table.rows {
        html.push_str("<tr>");
        for (index, (cell, column)) in row.iter().zip(&table.columns).enumerate() {
            let (open, close) = if index == 0 { ("th scope=\"row\"", "th") } else { ("td", "td") };
            html.push_str(&format!("<{open}{}>{}</{close}>", class(column), escape_shown(cell)));
        }
        html.push_str("</tr>\n");
    }
    html.push_str("</tbody>\n</table>\n");
}

/// Heights of the parts of a sheet: the first and the last lack the margin that the page has already. A tenth of a
/// millimetre is left for rounding, so that no part slips onto the next sheet.
fn cut_css(paper: Paper) -> String {
    let (_, height_mm) = paper.size_mm();
    (1..=CUT_PARTS_MAX)
        .map(|parts| {
            let part_mm = height_mm / parts as f64;
            let outer_mm = part_mm - MARGIN_MM * if parts == 1 { 2.0 } else { 1.0 } - 0.1;
            format!(
                ".lw-cut-{parts} > section {{ height: {}mm; }}\n\
                 .lw-cut-{parts} > section:first-child, .lw-cut-{parts} > section:last-child {{ height: {}mm; }}\n",
                number(part_mm - 0.1),
                number(outer_mm)
            )
        })
        .collect()
}

/// Returns the style sheet of [`body_html`]: black on white, one sheet per page, nothing cut through the middle.
pub fn print_css(paper: Paper) -> String {
    let (width_px, _) = paper.inner_px();
    let size = paper.css();
    let cut_heights = cut_css(paper);
    // Classes, for a page may forbid styles of single elements.
    let sizes: String = (TEXT_PERCENTS.0..=TEXT_PERCENTS.1)
        .step_by(TEXT_PERCENT_STEP as usize)
        .map(|percent| {
            format!(".lw-text-{percent} {{ --lw-text: {}; }}\n", number(f64::from(percent) / 100.0))
        })
        .collect();
    format!(
        "@page {{ size: {size} portrait; margin: {MARGIN_MM}mm; }}\n\
.lw-pages {{ box-sizing: border-box; margin: 0 auto; padding: 0; max-width: {width_px}px;\n\
  color: #000; background: #fff;\n\
  font-family: {FONT_FAMILIES}; font-variant-numeric: tabular-nums; }}\n\
.lw-page {{ break-after: page; padding: 0; font-size: calc(14px * var(--lw-text, 1)); line-height: 1.35; }}\n\
.lw-page:last-child {{ break-after: auto; }}\n\
.lw-pages h1 {{ font-size: calc(24px * var(--lw-text, 1)); line-height: 1.15; margin: 0 0 6px; }}\n\
.lw-pages h2 {{ font-size: calc(17px * var(--lw-text, 1)); line-height: 1.2; margin: 12px 0 3px; }}\n\
.lw-pages h3 {{ font-size: calc(15px * var(--lw-text, 1)); line-height: 1.25; margin: 10px 0 3px; }}\n\
.lw-pages h1, .lw-pages h2, .lw-pages h3 {{ break-after: avoid; }}\n\
.lw-pages p {{ margin: 0 0 5px; }}\n\
.lw-pages ol, .lw-pages ul {{ margin: 0 0 7px; padding-left: calc(22px * var(--lw-text, 1)); }}\n\
.lw-pages .lw-caution {{ border: 1.5px solid #000; border-left-width: 6px; padding: 4px 9px; }}\n\
.lw-pages figure {{ margin: 6px 0 8px; }}\n\
.lw-pages svg {{ display: block; max-width: 100%; height: auto; }}\n\
.lw-pages figure, .lw-pages .lw-caution, .lw-pages tr, .lw-pages li, .lw-beside {{ break-inside: avoid; }}\n\
.lw-pages table {{ border-collapse: collapse; width: 100%; margin: 5px 0 8px;\n\
 font-size: calc(13px * var(--lw-text, 1)); line-height: 1.25; }}\n\
.lw-pages caption {{ text-align: left; font-weight: 700; padding: 2px 0; }}\n\
.lw-pages thead {{ display: table-header-group; }}\n\
.lw-pages th, .lw-pages td {{ text-align: left; vertical-align: top; padding: 2px 6px;\n\
 border-bottom: 0.75px solid #999; }}\n\
.lw-pages thead th {{ border-bottom: 1.5px solid #000; vertical-align: bottom; }}\n\
.lw-pages tbody th {{ font-weight: 700; }}\n\
.lw-pages th:first-child {{ padding-left: 0; }}\n\
.lw-pages .lw-n {{ text-align: right; }}\n\
.lw-pages .lw-c {{ text-align: center; }}\n\
.lw-pages td.lw-n, .lw-pages tbody th.lw-n {{ white-space: nowrap; }}\n\
.lw-pages footer {{ margin-top: 12px; border-top: 0.75px solid #000; padding-top: 4px;\n\
 font-size: 12px; line-height: 1.3;\n\
  display: flow-root; }}\n\
.lw-page-of {{ float: right; font-weight: 700; }}\n\
.lw-beside {{ display: grid; gap: 0 22px; }}\n\
.lw-beside th, .lw-beside td {{ padding-top: 2px; padding-bottom: 2px; }}\n\
.lw-beside h2 {{ margin-top: 8px; }}\n\
.lw-beside-2 {{ grid-template-columns: 1fr 1fr; }}\n\
.lw-beside-3 {{ grid-template-columns: 1fr 1fr 1fr; }}\n\
.lw-cut > section {{ box-sizing: border-box; overflow: hidden; padding: {MARGIN_MM}mm 0;\n\
 border-top: 1px dashed #000; break-inside: avoid; }}\n\
.lw-cut > section:first-child {{ padding-top: 0; border-top: 0; }}\n\
.lw-cut > section:last-child {{ padding-bottom: 0; }}\n\
.lw-cut-1 > section {{ padding: 0; }}\n\
{cut_heights}\
.lw-break {{ break-after: page; }}\n\
@media screen {{ .lw-page {{ border-bottom: 1px dashed #999; margin-bottom: 24px; padding: 16px 0 24px; }} }}\n\
@media print {{ html, body {{ margin: 0; background: #fff; }} }}\n"
    ) + &sizes
}
