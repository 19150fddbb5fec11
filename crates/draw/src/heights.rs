//! How high blocks stand on paper, never less than they do: what is to fit on one sheet is tried out here.
//!
//! Each height is the greater of what `lanewright-paper` and the style sheet of [`crate::page::print_css`] give.

use crate::page::{Align, Block, Page, Table};
use crate::text;

const BODY_PX: f64 = 14.0;
const TABLE_PX: f64 = 13.0;
const BODY_LINE: f64 = 1.35;
const TABLE_LINE: f64 = 1.25;
/// Room beside a cell's text on one side; there is none before the first column.
const CELL_PX: f64 = 6.0;
/// Cells of words up to this length stay on one line.
const SHORT_CELL: usize = 14;
/// Sums of widths are as long as this either way.
const HAIR_PX: f64 = 0.01;
/// Rounding of browsers and printers.
const SPARE_PX: f64 = 6.0;

/// Returns whether a page is sure to stand on one sheet.
pub(crate) fn fits(page: &Page) -> bool {
    let (width_px, height_px) = page.paper.inner_px();
    let foot_px = 20.0 + 15.6 * page.footer.lines.len().max(1) as f64;
    let blocks_px: f64 = page.blocks.iter().map(|block| height(block, width_px, page.text_scale())).sum();
    blocks_px + foot_px + SPARE_PX <= height_px
}

/// Returns whether blocks are sure to stand in a room of that width and height at that size of text.
pub(crate) fn fit(blocks: &[Block], (width_px, height_px): (f64, f64), scale: f64) -> bool {
    let blocks_px: f64 = blocks.iter().map(|block| height(block, width_px, scale)).sum();
    blocks_px + SPARE_PX <= height_px
}

fn lines(said: &str, size: f64, bold: bool, room: f64) -> f64 {
    let space = text::width_set(" ", size, bold);
    let (mut lines, mut used) = (1.0, 0.0);
    for word in said.split(' ').filter(|word| !word.is_empty()) {
        let width = text::width_set(word, size, bold);
        if used > 0.0 && used + space + width > room + HAIR_PX {
            lines += 1.0;
            used = 0.0;
        }
        used += width + if used > 0.0 { space } else { 0.0 };
        // A word that is wider than the room is broken between letters.
        let more = ((used - HAIR_PX) / room).ceil() - 1.0;
        if more > 0.0 {
            lines += more;
            used -= more * room;
        }
    }
    lines
}

fn height(block: &Block, width_px: f64, scale: f64) -> f64 {
    let body =
        |said: &str, room: f64| lines(said, BODY_PX * scale, false, room) * BODY_PX * scale * BODY_LINE;
    match block {
        Block::Heading { level, text } => {
            let (size, line, around) = match level {
                1 => (24.0, 1.2, 6.0),
                2 => (17.4, 1.2, 15.0),
                _ => (15.4, 1.25, 13.0),
            };
            lines(text, size * scale, true, width_px) * size * scale * line + around
        }
        Block::Paragraph(said) => body(said, width_px) + 5.5,
        Block::Caution(said) => body(said, width_px - 30.0 - 12.0 * scale) + 20.5,
        Block::List { items, .. } => {
            items.iter().map(|item| body(item, width_px - 23.0 * scale) + 1.0).sum::<f64>() + 7.0
        }
        Block::Table(table) => table_height(table, width_px, scale),
        Block::Figure(figure) => figure.height + 14.0,
        Block::Beside(columns) => {
            let each_px = width_px / columns.len().max(1) as f64 - 22.0;
            let of = |column: &Vec<Block>| column.iter().map(|block| height(block, each_px, scale)).sum();
            columns.iter().map(of).fold(0.0, f64::max) + 10.0
        }
        // Its parts are as high as the sheet; whether they hold what is in them is asked of each part.
        Block::Cut(_) => f64::INFINITY,
        Block::PageBreak => 0.0,
    }
}

fn table_height(table: &Table, width_px: f64, scale: f64) -> f64 {
    let size = TABLE_PX * scale;
    let widths = column_widths(table, width_px, size);
    let row = |cells: &mut dyn Iterator<Item = (&str, bool)>| {
        let tallest = cells
            .zip(&widths)
            .enumerate()
            .map(|(index, ((said, bold), width))| {
                let beside = if index == 0 { CELL_PX } else { 2.0 * CELL_PX };
                lines(said, size, bold, width - beside)
            })
            .fold(1.0, f64::max);
        tallest * size * TABLE_LINE + 5.3
    };
    let head = row(&mut table.columns.iter().map(|column| (column.title.as_str(), true)));
    let rows: f64 = table
        .rows
        .iter()
        .map(|cells| row(&mut cells.iter().enumerate().map(|(index, said)| (said.as_str(), index == 0))))
        .sum();
    let caption =
        table.caption.as_ref().map_or(0.0, |said| lines(said, size, true, width_px) * size * BODY_LINE + 4.0);
    caption + head + rows + 14.0
}

/// Shares the width out as the printer does: as the columns ask, but no column narrower than its widest word.
fn column_widths(table: &Table, width_px: f64, size: f64) -> Vec<f64> {
    let shares: f64 = table.columns.iter().map(|column| column.share).sum();
    let widest = |said: &str, bold: bool, whole: bool| {
        let parts: Vec<&str> = if whole { vec![said] } else { said.split(' ').collect() };
        parts.iter().map(|part| text::width_set(part, size, bold)).fold(0.0, f64::max)
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
            cells.fold(widest(&column.title, true, false), f64::max) + 2.0 * CELL_PX + 0.7
        })
        .collect();
    let mut widths: Vec<f64> =
        table.columns.iter().map(|column| column.share / shares.max(1e-9) * width_px).collect();
    let lacking: f64 = widths.iter().zip(&least).map(|(width, least)| (least - width).max(0.0)).sum();
    let spare: f64 = widths.iter().zip(&least).map(|(width, least)| (width - least).max(0.0)).sum();
    let give = (lacking / spare.max(1e-9)).min(1.0);
    for (width, least) in widths.iter_mut().zip(&least) {
        *width = if *width < *least { *least } else { *width - (*width - *least) * give };
    }
    let sum: f64 = widths.iter().sum();
    if sum > width_px {
        widths.iter_mut().for_each(|column| *column *= width_px / sum);
    }
    widths.iter().map(|width| width.max(2.0 * CELL_PX + size)).collect()
}
