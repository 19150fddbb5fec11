//! Lays blocks out on sheets. Lengths are points (72 to the inch), y runs down from the top edge.

use lanewright_draw::page::{Align, Block, CUT_PARTS_MAX, Column, Footer, MARGIN_MM, Table};
use lanewright_draw::{Figure, Page};
use lanewright_model::writing::is_mark;

use crate::fonts::Fonts;

const PT_PER_MM: f64 = 72.0 / 25.4;
/// Points in a CSS pixel.
pub(crate) const PT_PER_PX: f64 = 0.75;
const BODY_PT: f64 = 10.5;
const TABLE_PT: f64 = 9.75;
const FOOTER_PT: f64 = 9.0;
const LINE: f64 = 1.35;
const CELL_PAD_X_PT: f64 = 4.5;
const CELL_PAD_Y_PT: f64 = 1.5;
/// Cells of words up to this length stay on one line.
const SHORT_CELL: usize = 14;
const COLUMN_GAP_PT: f64 = 16.0;
/// Height of capitals, in ems, for centring first baselines.
const ASCENT: f64 = 0.80;

/// Everything that is drawn, and how it belongs together.
pub(crate) struct Layout<'a> {
    pub(crate) sheets: Vec<Sheet<'a>>,
    pub(crate) nodes: Vec<Node<'a>>,
    /// Nodes at the top, in reading order.
    pub(crate) roots: Vec<usize>,
    /// Headings for the outline: level, words, sheet, y.
    pub(crate) outline: Vec<(u8, &'a str, usize, f64)>,
}

/// One sheet of paper.
pub(crate) struct Sheet<'a> {
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) items: Vec<Item<'a>>,
}

/// Something drawn, with the node it belongs to; without one it is decoration.
#[derive(Clone)]
pub(crate) struct Item<'a> {
    pub(crate) node: Option<usize>,
    pub(crate) ink: Ink<'a>,
}

#[derive(Clone)]
pub(crate) enum Ink<'a> {
    /// Text from its left end, on its baseline.
    Text { x: f64, y: f64, size: f64, bold: bool, text: String },
    /// A filled black rectangle.
    Bar { x: f64, y: f64, width: f64, height: f64 },
    /// A figure in a rectangle.
    Figure { x: f64, y: f64, width: f64, height: f64, figure: &'a Figure },
}

impl Ink<'_> {
    fn shift(&mut self, dx: f64, dy: f64) {
        let (Ink::Text { x, y, .. } | Ink::Bar { x, y, .. } | Ink::Figure { x, y, .. }) = self;
        *x += dx;
        *y += dy;
    }
}

/// A part of the document's structure.
pub(crate) struct Node<'a> {
    pub(crate) tag: NodeTag<'a>,
    pub(crate) children: Vec<usize>,
}

#[derive(Clone, Copy)]
pub(crate) enum NodeTag<'a> {
    Heading(u8, &'a str),
    Paragraph,
    List { numbered: bool },
    ListItem,
    ListLabel,
    ListBody,
    Table,
    TableHead,
    TableBody,
    Row,
    HeadCell { of_row: bool },
    Cell,
    Caption,
    Section,
    Figure(&'a Figure),
}

/// What stays together on one sheet.
struct Chunk<'a> {
    height: f64,
    before: f64,
    items: Vec<Item<'a>>,
    /// Goes onto the same sheet as the next chunk.
    keep_with_next: bool,
    /// Head of the table that the chunk belongs to, drawn again on a new sheet.
    head: Option<(f64, Vec<Item<'a>>)>,
    /// Headings for the outline: level, words, and how far down the chunk.
    headings: Vec<(u8, &'a str, f64)>,
    page_break: bool,
}

impl Chunk<'_> {
    fn new(height: f64, before: f64) -> Self {
        Self {
            height,
            before,
            items: Vec::new(),
            keep_with_next: false,
            head: None,
            headings: Vec::new(),
            page_break: false,
        }
    }
}

struct Writer<'a, 'f> {
    fonts: &'f Fonts,
    nodes: Vec<Node<'a>>,
    height_max: f64,
    /// Height of the whole sheet.
    sheet_height: f64,
    /// Size of text as a share of the usual.
    scale: f64,
}

/// Lays pages out; a page that needs more room than one sheet goes on over the next.
pub(crate) fn lay_out<'a>(pages: &'a [Page], fonts: &Fonts) -> Layout<'a> {
    let mut layout = Layout { sheets: Vec::new(), nodes: Vec::new(), roots: Vec::new(), outline: Vec::new() };
    let mut writer = Writer { fonts, nodes: Vec::new(), height_max: 0.0, sheet_height: 0.0, scale: 1.0 };
    // Which page each sheet belongs to, for its footer.
    let mut owners: Vec<&Page> = Vec::new();
    for page in pages {
        let (width_mm, height_mm) = page.paper.size_mm();
        let (width, height) = (width_mm * PT_PER_MM, height_mm * PT_PER_MM);
        let margin = MARGIN_MM * PT_PER_MM;
        let footer = footer_height(page);
        let bottom = height - margin - footer;
        let inner = width - 2.0 * margin;
        writer.height_max = bottom - margin;
        writer.sheet_height = height;
        writer.scale = page.text_scale();
        let mut roots = Vec::new();
        let chunks = writer.blocks(&page.blocks, inner, &mut roots);
        layout.roots.extend(roots);
        let mut sheet = Sheet { width, height, items: Vec::new() };
        let mut y = margin;
        let mut index = 0;
        while index < chunks.len() {
            // Chunks that keep together with the next are placed as one.
            let mut until = index;
            while chunks[until].keep_with_next && until + 1 < chunks.len() {
                until += 1;
            }
            let group = &chunks[index..=until];
            let needed: f64 = group.iter().map(|chunk| chunk.before + chunk.height).sum();
            let at_top = y <= margin;
            let full = y + needed > bottom + 1e-6;
            if !at_top && (full || group.iter().any(|chunk| chunk.page_break)) {
                layout.sheets.push(std::mem::replace(&mut sheet, Sheet { width, height, items: Vec::new() }));
                owners.push(page);
                y = margin;
                if let Some((head_height, head)) = &group[0].head {
                    for item in head {
                        // A head that is drawn again is decoration: it is in the structure once.
                        let mut item = Item { node: None, ink: item.ink.clone() };
                        item.ink.shift(margin, y);
                        sheet.items.push(item);
                    }
                    y += head_height;
                }
            }
            for chunk in group {
                if y > margin {
                    y += chunk.before;
                }
                for (level, text, down) in &chunk.headings {
                    layout.outline.push((*level, text, layout.sheets.len(), y + down));
                }
                for item in &chunk.items {
                    let mut item = item.clone();
                    item.ink.shift(margin, y);
                    sheet.items.push(item);
                }
                y += chunk.height;
            }
            index = until + 1;
        }
        layout.sheets.push(sheet);
        owners.push(page);
    }
    layout.nodes = writer.nodes;
    let count = layout.sheets.len();
    for (index, (sheet, page)) in layout.sheets.iter_mut().zip(owners).enumerate() {
        write_footer(sheet, page, index + 1, count, fonts);
    }
    layout
}

fn footer_height(page: &Page) -> f64 {
    if page.footer == Footer::default() {
        return 0.0;
    }
    let lines = page.footer.lines.len().max(1) as f64;
    14.0 + lines * FOOTER_PT * 1.3
}

fn write_footer(sheet: &mut Sheet<'_>, page: &Page, number: usize, count: usize, fonts: &Fonts) {
    if page.footer == Footer::default() {
        return;
    }
    let margin = MARGIN_MM * PT_PER_MM;
    let top = sheet.height - margin - footer_height(page) + 8.0;
    let inner = sheet.width - 2.0 * margin;
    sheet.items.push(Item { node: None, ink: Ink::Bar { x: margin, y: top, width: inner, height: 0.6 } });
    let said = page.footer.page_of(number, count);
    let said_width = fonts.width_em(&said, true) * FOOTER_PT;
    for (index, line) in page.footer.lines.iter().enumerate() {
        let y = top + 4.0 + (index as f64 + ASCENT) * FOOTER_PT * 1.3;
        let line = fit(line, FOOTER_PT, inner - said_width - 12.0, fonts);
        sheet.items.push(Item {
            node: None,
            ink: Ink::Text { x: margin, y, size: FOOTER_PT, bold: false, text: line },
        });
    }
    let lines = page.footer.lines.len().max(1) as f64;
    let y = top + 4.0 + (lines - 1.0 + ASCENT) * FOOTER_PT * 1.3;
    sheet.items.push(Item {
        node: None,
        ink: Ink::Text { x: margin + inner - said_width, y, size: FOOTER_PT, bold: true, text: said },
    });
}

/// A dashed line across.
fn dashes<'a>(from: f64, to: f64, y: f64) -> Vec<Item<'a>> {
    const DASH_PT: f64 = 5.0;
    let count = ((to - from) / (2.0 * DASH_PT)).floor() as usize;
    (0..=count)
        .map(|index| from + 2.0 * DASH_PT * index as f64)
        .filter(|x| *x < to)
        .map(|x| {
            let width = DASH_PT.min(to - x);
            Item { node: None, ink: Ink::Bar { x, y: y - 0.3, width, height: 0.6 } }
        })
        .collect()
}

fn fit(text: &str, size: f64, room: f64, fonts: &Fonts) -> String {
    if fonts.width_em(text, false) * size <= room {
        return text.to_owned();
    }
    let mut letters: Vec<char> = text.chars().collect();
    while let Some(last) = letters.pop() {
        if is_mark(last) {
            continue;
        }
        let shorter = format!("{}…", letters.iter().collect::<String>().trim_end());
        if fonts.width_em(&shorter, false) * size <= room {
            return shorter;
        }
    }
    String::new()
}

impl<'a> Writer<'a, '_> {
    fn node(&mut self, tag: NodeTag<'a>) -> usize {
        self.nodes.push(Node { tag, children: Vec::new() });
        self.nodes.len() - 1
    }

    fn body_pt(&self) -> f64 {
        BODY_PT * self.scale
    }

    fn table_pt(&self) -> f64 {
        TABLE_PT * self.scale
    }

    fn child(&mut self, parent: usize, tag: NodeTag<'a>) -> usize {
        let node = self.node(tag);
        self.nodes[parent].children.push(node);
        node
    }

    /// Breaks text into lines; a word that is wider than the room is broken between letters.
    fn wrap(&self, text: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
        let width = |text: &str| self.fonts.width_em(text, bold) * size;
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if width(&longer) <= room {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            // A letter with its marks is never taken apart.
            let mut rest = word;
            while !rest.is_empty() {
                let marks = rest.char_indices().skip(1).find(|(_, letter)| !is_mark(*letter));
                let (letter, after) = rest.split_at(marks.map_or(rest.len(), |(at, _)| at));
                rest = after;
                let longer = format!("{line}{letter}");
                if width(&longer) > room && !line.is_empty() {
                    lines.push(std::mem::replace(&mut line, letter.to_owned()));
                } else {
                    line = longer;
                }
            }
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// Returns lines of text as items from `x`, `y`, and their height.
    #[expect(clippy::too_many_arguments, reason = "where, how and what of one piece of text")]
    fn text(
        &self,
        node: usize,
        text: &str,
        size: f64,
        bold: bool,
        (x, y): (f64, f64),
        room: f64,
        align: Align,
        line_height: f64,
    ) -> (Vec<Item<'a>>, f64) {
        let lines = self.wrap(text, size, bold, room);
        let height = lines.len() as f64 * size * line_height;
        // Lines are separate pieces of text; a space at the end keeps words apart when the text is read out.
        let last = lines.len() - 1;
        let items = lines
            .into_iter()
            .enumerate()
            .map(|(index, line)| {
                let free = room - self.fonts.width_em(&line, bold) * size;
                let x = match align {
                    Align::Start => x,
                    Align::Middle => x + free / 2.0,
                    Align::End => x + free,
                };
                let y =
                    y + index as f64 * size * line_height + size * (line_height - 1.0) / 2.0 + size * ASCENT;
                let text = if index == last { line } else { format!("{line} ") };
                Item { node: Some(node), ink: Ink::Text { x, y, size, bold, text } }
            })
            .collect();
        (items, height)
    }

    fn blocks(&mut self, blocks: &'a [Block], width: f64, roots: &mut Vec<usize>) -> Vec<Chunk<'a>> {
        let mut chunks = Vec::new();
        for block in blocks {
            match block {
                Block::Heading { level, text } => {
                    let level = (*level).clamp(1, 3);
                    let (size, before, after) = match level {
                        1 => (18.0, 0.0, 4.0),
                        2 => (13.0, 9.0, 2.0),
                        _ => (11.5, 7.0, 2.0),
                    };
                    let node = self.node(NodeTag::Heading(level, text));
                    roots.push(node);
                    let (items, height) =
                        self.text(node, text, size * self.scale, true, (0.0, 0.0), width, Align::Start, 1.2);
                    chunks.push(Chunk {
                        items,
                        keep_with_next: true,
                        headings: vec![(level, text.as_str(), 0.0)],
                        ..Chunk::new(height + after, before)
                    });
                }
                Block::Paragraph(text) => {
                    let node = self.node(NodeTag::Paragraph);
                    roots.push(node);
                    let (items, height) =
                        self.text(node, text, self.body_pt(), false, (0.0, 0.0), width, Align::Start, LINE);
                    chunks.push(Chunk { items, ..Chunk::new(height + 4.0, 0.0) });
                }
                Block::Caution(text) => chunks.push(self.caution(text, width, roots)),
                Block::List { numbered, items } => self.list(*numbered, items, width, roots, &mut chunks),
                Block::Figure(figure) => {
                    let node = self.node(NodeTag::Figure(figure));
                    roots.push(node);
                    let (mut wide, mut high) = (figure.width * PT_PER_PX, figure.height * PT_PER_PX);
                    let scale = (width / wide).min(self.height_max / high).min(1.0);
                    wide *= scale;
                    high *= scale;
                    let ink = Ink::Figure { x: 0.0, y: 0.0, width: wide, height: high, figure };
                    chunks.push(Chunk {
                        items: vec![Item { node: Some(node), ink }],
                        ..Chunk::new(high + 6.0, 4.0)
                    });
                }
                Block::Table(table) => self.table(table, width, roots, &mut chunks),
                Block::Beside(columns) => self.beside(columns, width, roots, &mut chunks),
                Block::Cut(parts) => self.cut(parts, width, roots, &mut chunks),
                Block::PageBreak => {
                    if let Some(mut next) = Some(Chunk::new(0.0, 0.0)) {
                        next.page_break = true;
                        chunks.push(next);
                    }
                }
            }
        }
        chunks
    }

    fn caution(&mut self, text: &'a str, width: f64, roots: &mut Vec<usize>) -> Chunk<'a> {
        let node = self.node(NodeTag::Paragraph);
        roots.push(node);
        let (bar, pad) = (5.0, 7.0);
        let mark = "!";
        let mark_width = self.fonts.width_em(mark, true) * self.body_pt() + 5.0;
        let room = width - bar - 2.0 * pad - mark_width;
        let (mut items, height) =
            self.text(node, mark, self.body_pt(), true, (bar + pad, 3.5), mark_width, Align::Start, LINE);
        let (words, words_height) = self.text(
            node,
            text,
            self.body_pt(),
            false,
            (bar + pad + mark_width, 3.5),
            room,
            Align::Start,
            LINE,
        );
        items.extend(words);
        let high = height.max(words_height) + 7.0;
        let thin = 1.0;
        for (x, y, wide, tall) in [
            (0.0, 0.0, bar, high),
            (0.0, 0.0, width, thin),
            (0.0, high - thin, width, thin),
            (width - thin, 0.0, thin, high),
        ] {
            items.push(Item { node: None, ink: Ink::Bar { x, y, width: wide, height: tall } });
        }
        Chunk { items, ..Chunk::new(high + 4.0, 4.0) }
    }

    fn list(
        &mut self,
        numbered: bool,
        texts: &'a [String],
        width: f64,
        roots: &mut Vec<usize>,
        chunks: &mut Vec<Chunk<'a>>,
    ) {
        let list = self.node(NodeTag::List { numbered });
        roots.push(list);
        let indent = 17.0 * self.scale;
        for (index, text) in texts.iter().enumerate() {
            let item = self.child(list, NodeTag::ListItem);
            let label = self.child(item, NodeTag::ListLabel);
            let body = self.child(item, NodeTag::ListBody);
            let said = if numbered { format!("{}.", index + 1) } else { "•".to_owned() };
            let (mut items, _) =
                self.text(label, &said, self.body_pt(), false, (0.0, 0.0), indent - 5.0, Align::End, LINE);
            let (words, height) = self.text(
                body,
                text,
                self.body_pt(),
                false,
                (indent, 0.0),
                width - indent,
                Align::Start,
                LINE,
            );
            items.extend(words);
            let after = if index + 1 == texts.len() { 5.0 } else { 0.5 };
            chunks.push(Chunk { items, ..Chunk::new(height + after, 0.0) });
        }
    }

    fn table(&mut self, table: &'a Table, width: f64, roots: &mut Vec<usize>, chunks: &mut Vec<Chunk<'a>>) {
        let node = self.node(NodeTag::Table);
        roots.push(node);
        let mut before = 4.0;
        if let Some(caption) = &table.caption {
            let said = self.child(node, NodeTag::Caption);
            let (items, height) =
                self.text(said, caption, self.table_pt(), true, (0.0, 0.0), width, Align::Start, LINE);
            chunks.push(Chunk { items, keep_with_next: true, ..Chunk::new(height + 1.0, before) });
            before = 0.0;
        }
        let widths = self.column_widths(table, width);
        let head = self.child(node, NodeTag::TableHead);
        let row = self.child(head, NodeTag::Row);
        let titles: Vec<&'a str> = table.columns.iter().map(|column| column.title.as_str()).collect();
        let cells: Vec<usize> =
            titles.iter().map(|_| self.child(row, NodeTag::HeadCell { of_row: false })).collect();
        let (mut items, height) = self.row(&titles, &cells, &table.columns, &widths, |_| true, true);
        items.push(Item { node: None, ink: Ink::Bar { x: 0.0, y: height - 1.1, width, height: 1.1 } });
        let repeated = (height, items.clone());
        chunks.push(Chunk { items, keep_with_next: true, ..Chunk::new(height, before) });
        let body = self.child(node, NodeTag::TableBody);
        let last = table.rows.len().saturating_sub(1);
        for (index, cells) in table.rows.iter().enumerate() {
            let row = self.child(body, NodeTag::Row);
            let texts: Vec<&'a str> = cells.iter().map(String::as_str).take(widths.len()).collect();
            let nodes: Vec<usize> = (0..texts.len())
                .map(|column| {
                    let tag = if column == 0 { NodeTag::HeadCell { of_row: true } } else { NodeTag::Cell };
                    self.child(row, tag)
                })
                .collect();
            let (mut items, height) =
                self.row(&texts, &nodes, &table.columns, &widths, |column| column == 0, false);
            items.push(Item { node: None, ink: Ink::Bar { x: 0.0, y: height - 0.4, width, height: 0.4 } });
            let after = if index == last { 6.0 } else { 0.0 };
            chunks.push(Chunk { items, head: Some(repeated.clone()), ..Chunk::new(height + after, 0.0) });
        }
    }

    fn row(
        &self,
        texts: &[&'a str],
        nodes: &[usize],
        columns: &[Column],
        widths: &[f64],
        bold: impl Fn(usize) -> bool,
        at_bottom: bool,
    ) -> (Vec<Item<'a>>, f64) {
        let mut cells = Vec::new();
        let mut x = 0.0;
        for (index, (text, node)) in texts.iter().zip(nodes).enumerate() {
            let left = if index == 0 { 0.0 } else { CELL_PAD_X_PT };
            let room = widths[index] - left - CELL_PAD_X_PT;
            cells.push(self.text(
                *node,
                text,
                self.table_pt(),
                bold(index),
                (x + left, CELL_PAD_Y_PT),
                room,
                columns[index].align,
                1.25,
            ));
            x += widths[index];
        }
        let tallest = cells.iter().map(|(_, height)| *height).fold(0.0, f64::max);
        let mut items = Vec::new();
        for (cell, height) in cells {
            let down = if at_bottom { tallest - height } else { 0.0 };
            items.extend(cell.into_iter().map(|mut item| {
                item.ink.shift(0.0, down);
                item
            }));
        }
        (items, tallest + 2.0 * CELL_PAD_Y_PT + 0.8)
    }

    /// Shares the width out: as the columns ask, but no column narrower than its widest word, number or short name.
    fn column_widths(&self, table: &Table, width: f64) -> Vec<f64> {
        let shares: f64 = table.columns.iter().map(|column| column.share).sum();
        let widest = |text: &str, bold: bool, whole: bool| {
            let parts: Vec<&str> = if whole { vec![text] } else { text.split(' ').collect() };
            parts.iter().map(|part| self.fonts.width_em(part, bold) * self.table_pt()).fold(0.0, f64::max)
        };
        let least: Vec<f64> = table
            .columns
            .iter()
            .enumerate()
            .map(|(index, column)| {
                let cells = table.rows.iter().filter_map(|row| row.get(index)).map(|cell| {
                    let whole = column.align != Align::Start || cell.chars().count() <= SHORT_CELL;
                    widest(cell, index == 0, whole)
                });
                cells.fold(widest(&column.title, true, false), f64::max) + 2.0 * CELL_PAD_X_PT + 0.5
            })
            .collect();
        let mut widths: Vec<f64> =
            table.columns.iter().map(|column| column.share / shares.max(1e-9) * width).collect();
        let lacking: f64 = widths.iter().zip(&least).map(|(width, least)| (least - width).max(0.0)).sum();
        let spare: f64 = widths.iter().zip(&least).map(|(width, least)| (width - least).max(0.0)).sum();
        if lacking > 0.0 {
            let give = (lacking / spare.max(1e-9)).min(1.0);
            for (width, least) in widths.iter_mut().zip(&least) {
                if *width < *least {
                    *width = *least;
                } else {
                    *width -= (*width - *least) * give;
                }
            }
            // Too little for all: everyone gives in proportion, and words break.
            let sum: f64 = widths.iter().sum();
            if sum > width {
                widths.iter_mut().for_each(|column| *column *= width / sum);
            }
        }
        widths
    }

    /// Parts of equal height, as many on a sheet as it is cut into; dashes from edge to edge between them. Parts that
    /// do not fit into their height come one below the other, each on a sheet of its own.
    fn cut(
        &mut self,
        parts: &'a [Vec<Block>],
        width: f64,
        roots: &mut Vec<usize>,
        chunks: &mut Vec<Chunk<'a>>,
    ) {
        let margin = MARGIN_MM * PT_PER_MM;
        let rows = parts.len().clamp(1, CUT_PARTS_MAX);
        let part_height = self.sheet_height / rows as f64;
        let room = part_height - 2.0 * margin;
        let (before_nodes, before_roots, before_chunks) = (self.nodes.len(), roots.len(), chunks.len());
        let height_max = std::mem::replace(&mut self.height_max, room);
        let mut all_fit = true;
        for sheet in parts.chunks(rows) {
            let (mut items, mut headings) = (Vec::new(), Vec::new());
            for (index, part) in sheet.iter().enumerate() {
                // A part without anything in it is paper, not a section.
                if part.is_empty() {
                    continue;
                }
                let section = self.node(NodeTag::Section);
                roots.push(section);
                let mut own_roots = Vec::new();
                let top = index as f64 * part_height;
                let mut y = top;
                for (place, chunk) in self.blocks(part, width, &mut own_roots).into_iter().enumerate() {
                    if place > 0 {
                        y += chunk.before;
                    }
                    // The outline names the parts, not what is in each of them.
                    headings.extend(chunk.headings.iter().filter(|own| own.0 == 1).map(|own| (1, own.1, y)));
                    items.extend(chunk.items.into_iter().map(|mut item| {
                        item.ink.shift(0.0, y);
                        item
                    }));
                    y += chunk.height;
                }
                all_fit &= y - top <= room + 1e-6;
                self.nodes[section].children = own_roots;
            }
            for index in 1..rows {
                items.extend(dashes(-margin, width + margin, index as f64 * part_height - margin));
            }
            chunks.push(Chunk { items, headings, page_break: true, ..Chunk::new(height_max, 0.0) });
        }
        self.height_max = height_max;
        if all_fit {
            return;
        }
        self.nodes.truncate(before_nodes);
        roots.truncate(before_roots);
        chunks.truncate(before_chunks);
        for part in parts {
            let own = self.blocks(part, width, roots);
            chunks.push(Chunk { page_break: true, ..Chunk::new(0.0, 0.0) });
            chunks.extend(own);
        }
    }

    fn beside(
        &mut self,
        columns: &'a [Vec<Block>],
        width: f64,
        roots: &mut Vec<usize>,
        chunks: &mut Vec<Chunk<'a>>,
    ) {
        let count = columns.len().max(1) as f64;
        let each = (width - COLUMN_GAP_PT * (count - 1.0)) / count;
        let before_nodes = self.nodes.len();
        let mut own_roots = Vec::new();
        let laid: Vec<Vec<Chunk<'a>>> =
            columns.iter().map(|column| self.blocks(column, each, &mut own_roots)).collect();
        let height = |column: &[Chunk<'a>]| -> f64 {
            column
                .iter()
                .enumerate()
                .map(|(index, chunk)| chunk.height + if index > 0 { chunk.before } else { 0.0 })
                .sum()
        };
        let tallest = laid.iter().map(|column| height(column)).fold(0.0, f64::max);
        if tallest > self.height_max {
            // Too tall for one sheet: one below the other.
            self.nodes.truncate(before_nodes);
            for column in columns {
                let more = self.blocks(column, width, roots);
                chunks.extend(more);
            }
            return;
        }
        roots.extend(own_roots);
        let mut items = Vec::new();
        for (index, column) in laid.into_iter().enumerate() {
            let x = index as f64 * (each + COLUMN_GAP_PT);
            let mut y = 0.0;
            for (place, chunk) in column.into_iter().enumerate() {
                if place > 0 {
                    y += chunk.before;
                }
                items.extend(chunk.items.into_iter().map(|mut item| {
                    item.ink.shift(x, y);
                    item
                }));
                y += chunk.height;
            }
        }
        chunks.push(Chunk { items, ..Chunk::new(tallest + 2.0, 6.0) });
    }
}
