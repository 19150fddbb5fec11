//! Writes cards, class report and handover of an invented class into a folder, to be looked at:
//! `cargo run -p lanewright-paper --example look_papers -- DIR`.

#[path = "../../draw/tests/progress_sample/mod.rs"]
mod progress_sample;

use std::fs;
use std::path::Path;

use lanewright_draw::page::to_html;
use lanewright_draw::papers::{CardOptions, Level};
use lanewright_draw::{Page, Paper};
use lanewright_paper::Options;
use progress_sample::{Sample, card_options, handover_options, report_options};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "target/look".into());
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    let sample = Sample::new();
    let write = |name: &str, pages: &[Page]| -> std::io::Result<()> {
        fs::write(folder.join(format!("{name}.html")), to_html(pages))?;
        let options = Options { creator: "Lanewright".to_owned(), created: None };
        let pdf = lanewright_paper::pdf(pages, &options).map_err(std::io::Error::other)?;
        fs::write(folder.join(format!("{name}.pdf")), pdf)?;
        let percents: Vec<u32> = pages.iter().map(|page| page.text_percent).collect();
        println!("{name}: {} sheets, text at {percents:?} %", lanewright_paper::sheet_count(pages));
        Ok(())
    };
    for (size, paper) in [("a4", Paper::A4), ("letter", Paper::Letter)] {
        let plain = card_options(paper);
        write(&format!("cards-{size}"), &sample.cards(&plain))?;
        let easy = CardOptions { level: Level::VeryPlain, ..plain.clone() };
        write(&format!("cards-easy-{size}"), &sample.cards(&easy))?;
        let one = CardOptions { two_to_a_sheet: false, ..plain };
        write(&format!("cards-one-{size}"), &sample.cards(&one)[..3])?;
        write(&format!("report-{size}"), &sample.report(&report_options(paper)))?;
        let lesson = sample.lesson();
        write(&format!("handover-{size}"), &sample.handover(&lesson, &handover_options(paper)))?;
    }
    Ok(())
}
