//! Writes every figure and page of a sample plan into a folder, to be looked at:
//! `cargo run -p lanewright-paper --example look -- DIR [PLAN.json]`.

#[path = "../../draw/tests/sample/mod.rs"]
mod sample;

use std::fs;
use std::path::Path;

use lanewright_draw::page::to_html;
use lanewright_draw::{
    Figure, FloorOptions, GapScale, Layout, Paper, PlanPageOptions, StripOptions, Style, floor_plan,
    gap_chart, gap_row, lane_strips, plan_pages,
};
use lanewright_model::words::{Units, Words};
use lanewright_paper::Options;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "target/look".into());
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    let plan = sample::plan();
    let walking = sample::walking_plan();
    // A third plan may come from `lanewright lanes --json`.
    let given = match std::env::args().nth(2) {
        Some(file) => Some(serde_json::from_str(&fs::read_to_string(file)?).map_err(std::io::Error::other)?),
        None => None,
    };
    let mut plans = vec![("run", &plan), ("walk", &walking)];
    plans.extend(given.as_ref().map(|plan| ("given", plan)));
    for (units, words) in [("m", Words::english(Units::Metric)), ("ft", Words::english(Units::FeetInches))] {
        for &(name, plan) in &plans {
            let wide = |style| StripOptions { style, ..StripOptions::default() };
            let phone = StripOptions { layout: Layout::Upright, width_px: 358.0, ..StripOptions::default() };
            let phone_floor = FloorOptions {
                layout: Layout::Upright,
                width_px: 358.0,
                height_max_px: 1400.0,
                style: Style::Screen,
            };
            let mut figures: Vec<Figure> = vec![floor_plan(plan, &words, &FloorOptions::default())];
            figures.extend(lane_strips(plan, &words, &wide(Style::Screen)));
            figures.push(gap_chart(plan, 560.0, &words, Style::Screen));
            let scale = GapScale::of(plan);
            figures.push(gap_row(
                &plan.runners[0],
                plan.lanes[0].spacing_m,
                &scale,
                136.0,
                &words,
                Style::Screen,
            ));
            html(folder, &format!("screen-{name}-{units}.html"), &figures)?;
            let mut figures: Vec<Figure> = vec![floor_plan(plan, &words, &phone_floor)];
            figures.extend(lane_strips(plan, &words, &phone));
            html(folder, &format!("phone-{name}-{units}.html"), &figures)?;
            for (size, paper) in [("a4", Paper::A4), ("letter", Paper::Letter)] {
                let options = PlanPageOptions {
                    paper,
                    date: Some("2 March 2026".into()),
                    place: Some("Small hall, Fennimore Hill School".into()),
                    shoe_length_m: Some(0.29),
                    software: format!("Lanewright {}", env!("CARGO_PKG_VERSION")),
                    without_names: false,
                };
                let pages = plan_pages(plan, "7 Larch", &words, &options);
                let file = |ending| folder.join(format!("plan-{name}-{units}-{size}.{ending}"));
                fs::write(file("html"), to_html(&pages))?;
                let pdf =
                    lanewright_paper::pdf(&pages, &Options { creator: options.software, created: None });
                fs::write(file("pdf"), pdf.map_err(std::io::Error::other)?)?;
                let pngs = lanewright_paper::page_pngs(&pages, 1.5).map_err(std::io::Error::other)?;
                fs::write(file("png"), &pngs[0])?;
            }
        }
    }
    Ok(())
}

fn html(folder: &Path, name: &str, figures: &[Figure]) -> std::io::Result<()> {
    let mut page = String::from(
        "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'><style>\
         :root{color-scheme:light dark}@media (prefers-color-scheme:dark){:root{\
         --card:#18201c;--ink:#f3f6f2;--soft:#b9c5bd;\
         --line:#38443d;--grass:#1c2a22;--go:#5fd39b;--warn:#ffbf80}body{background:#101613}}\
         body{margin:16px}svg{display:block;margin:0 0 24px;max-width:100%;height:auto}</style>\n",
    );
    for figure in figures {
        page.push_str(&figure.svg);
    }
    fs::write(folder.join(name), page)
}
