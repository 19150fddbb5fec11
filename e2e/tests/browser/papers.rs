//! Cards, class report and handover, printed from Findings.

use anyhow::Result;
use lanewright_e2e::{PHONE, marked, pdf_text};
use serde_json::json;

use crate::coach::{Coach, DEMO_CHILDREN};
use crate::helper::exchange;
use crate::times::{DEMO_CHILD, DEMO_CLASS, now_ms, other_device_sends};

#[tokio::test]
async fn cards_and_class_report_print_from_findings() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
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
    other_device_sends(tab, &facts).await?;
    exchange(&coach.device).await?;
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
