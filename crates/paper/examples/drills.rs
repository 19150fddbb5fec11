//! Draws every drill of the ladder into a folder, to be looked at:
//! `cargo run -p lanewright-paper --example drills -- DIR`.

use std::fs;
use std::path::Path;

use lanewright_draw::{DrillPictureOptions, Style, drill_picture};
use lanewright_model::Ladder;
use lanewright_model::words::{Units, Words};
use lanewright_paper::figure_png;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "target/look".into());
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    let words = Words::english(Units::Metric);
    let mut page = String::from(
        "<!doctype html><html lang=en><meta charset=utf-8><style>:root{color-scheme:light dark}\
         @media (prefers-color-scheme:dark){:root{--card:#18201c;--ink:#f3f6f2;--soft:#bdc9c1;--line:#38443d;\
         --grass:#1c2a22;--go:#5fd39b;--warn:#ffc48a}body{background:#101613}}\
         svg{margin:8px;vertical-align:top}</style>\n",
    );
    for drill in Ladder::built_in().drills() {
        page.push_str(&drill_picture(drill, &words, &DrillPictureOptions::default()).svg);
        let paper = DrillPictureOptions { style: Style::Print, width_px: 460.0 };
        let figure = drill_picture(drill, &words, &paper);
        let png = figure_png(&figure, 2.0).map_err(std::io::Error::other)?;
        fs::write(folder.join(format!("drill-{}.png", drill.id)), png)?;
    }
    // The screen's colours come from the page, so a browser draws them.
    fs::write(folder.join("drills.html"), page)
}
