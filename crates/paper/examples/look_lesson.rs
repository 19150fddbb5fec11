//! Writes printed lessons of invented classes into a folder, to be looked at:
//! `cargo run -p lanewright-paper --example look_lesson -- DIR [NAME,NAME…]`.

#[path = "../../draw/tests/lessons/mod.rs"]
mod lessons;

use std::fs;
use std::path::Path;

use lanewright_draw::page::to_html;
use lanewright_draw::{Paper, lesson_pages};
use lanewright_model::drill::Ladder;
use lanewright_model::words::{Units, Words};
use lanewright_paper::Options;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "target/look".into());
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    let wanted = std::env::args().nth(2);
    let is_wanted =
        |name: &str| wanted.as_ref().is_none_or(|names| names.split(',').any(|known| known == name));
    for (name, ask) in lessons::all().into_iter().filter(|(name, _)| is_wanted(name)) {
        let lesson = lessons::planned(&ask);
        for (units, words) in
            [("m", Words::english(Units::Metric)), ("ft", Words::english(Units::FeetInches))]
        {
            for (size, paper) in [("a4", Paper::A4), ("letter", Paper::Letter)] {
                let pages = lesson_pages(&lesson, &Ladder::built_in(), &words, &lessons::options(paper));
                let file = |ending: &str| folder.join(format!("lesson-{name}-{units}-{size}{ending}"));
                fs::write(file(".html"), to_html(&pages))?;
                let options = Options { creator: lessons::SOFTWARE.to_owned(), created: None };
                let pdf = lanewright_paper::pdf(&pages, &options).map_err(std::io::Error::other)?;
                fs::write(file(".pdf"), pdf)?;
                let pngs = lanewright_paper::page_pngs(&pages, 1.5).map_err(std::io::Error::other)?;
                let percents: Vec<u32> = pages.iter().map(|page| page.text_percent).collect();
                println!("{name} {units} {size}: {} sheets, text at {percents:?} %", pngs.len());
                for (index, png) in pngs.iter().enumerate() {
                    fs::write(file(&format!("-{}.png", index + 1)), png)?;
                }
            }
        }
    }
    Ok(())
}
