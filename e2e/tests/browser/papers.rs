//! Cards, class report and handover, printed from Findings.

use anyhow::Result;
use lanewright_e2e::{PHONE, marked, pdf_text};
use serde_json::json;

use crate::coach::{Coach, DEMO_CHILDREN};
use crate::helper::exchange;
use crate::lesson::planned;
use crate::times::{DEMO_CHILD, DEMO_CLASS, now_ms, other_device_sends};

/// A class of which two children ran at one drill this hour.
async fn seen_class() -> Result<Coach> {
    let coach = Coach::with_demo(PHONE).await?;
    let now_ms = now_ms();
    let facts: Vec<_> = (0..40)
        .map(|number| {
            let run = json!({
                "runner": DEMO_CHILD[number as usize % 2], "drill": "alternate-walk", "lane": "B",
                "at_ms": now_ms - 60_000 * (60 - number), "hurdles": 8, "knocked": [], "watched": "technique", "setup": "B1",
            });
            ("run", json!({"class": DEMO_CLASS, "run": run}))
        })
        .collect();
    other_device_sends(&coach.device.tab, &facts).await?;
    exchange(&coach.device).await?;
    Ok(coach)
}

#[tokio::test]
async fn the_handover_prints_as_one_sheet_for_whoever_takes_the_lesson() -> Result<()> {
    let coach = seen_class().await?;
    let tab = &coach.device.tab;
    // Without a lesson there is nothing to hand over, and the way to one is offered.
    coach.device.go("findings").await?;
    tab.click(&marked("findings-part-papers")).await?;
    tab.wait_for(&marked("to-lesson")).await?;
    tab.click(&marked("to-lesson")).await?;
    planned(tab).await?;
    coach.device.go("findings").await?;
    tab.click(&marked("findings-part-papers")).await?;
    tab.wait_for(&marked("print-handover")).await?;
    tab.notice_printing().await?;
    tab.click(&marked("print-handover")).await?;
    tab.asked_to_print().await?;
    let pdf = tab.print().await?;
    if let Ok(folder) = std::env::var("LANEWRIGHT_PICTURES") {
        std::fs::write(std::path::Path::new(&folder).join("handover.pdf"), &pdf)?;
    }
    if let Some(text) = pdf_text(&pdf)? {
        for words in ["Handover: ", "How it runs", "Lanes and blocks", "Children to know about"] {
            assert!(text.contains(words), "{words} is not in {text}");
        }
        // The tool ends each page with a form feed.
        assert_eq!(text.matches('\u{c}').count(), 1, "one sheet to hand over");
        let mut numbers = text.split(|letter: char| !letter.is_ascii_digit());
        let is_year = |word: &str| word.len() == 4 && word.starts_with("20");
        assert!(numbers.any(is_year), "a sheet that is kept names its year: {text}");
    }
    coach.done().await
}

#[tokio::test]
async fn cards_and_class_report_print_from_findings() -> Result<()> {
    let coach = seen_class().await?;
    let tab = &coach.device.tab;
    coach.device.go("findings").await?;
    tab.click(&marked("findings-part-papers")).await?;
    tab.wait_for(&marked("papers-cards")).await?;
    tab.notice_printing().await?;
    let pictures = std::env::var("LANEWRIGHT_PICTURES").ok();
    if let Some(folder) = &pictures {
        tab.picture(&std::path::Path::new(folder).join("papers.png"), true).await?;
    }
    for (button, name, sheets, words) in [
        ("print-cards", "cards", DEMO_CHILDREN.div_ceil(2) as usize, "You can do this now"),
        ("print-class", "class", 0, "Where the class is"),
    ] {
        tab.click(&marked(button)).await?;
        tab.asked_to_print().await?;
        let pdf = tab.print().await?;
        if let Some(folder) = &pictures {
            std::fs::write(std::path::Path::new(folder).join(format!("{name}.pdf")), &pdf)?;
        }
        let Some(text) = pdf_text(&pdf)? else { continue };
        assert!(text.contains(words), "{text}");
        // The tool ends each page with a form feed.
        let printed = text.matches('\u{c}').count();
        assert!(sheets == 0 || printed == sheets, "{printed} sheets");
        tab.eval("delete document.documentElement.dataset.printed").await?;
    }
    coach.done().await
}
