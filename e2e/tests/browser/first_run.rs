//! From a link to lanes on paper, with the demo class and with a list of one's own.

use anyhow::{Context, Result};
use lanewright_e2e::{DESK, PHONE, marked, pdf_text};

use crate::coach::{Coach, DEMO_CHILDREN, Device, count_of};

/// A list as a spreadsheet in another country saves it: semicolons, decimal commas, the old Windows encoding.
const LIST: &str = "Vorname;Größe (cm);Schritt (m)\r\nÅse;141,5;1,20\r\nBjörn;150;\r\nChloé;137;1,15\r\n\
                    Dürten;155,5;\r\nEmre;148;\r\nFiona;144;1,31\r\nGábor;161;\r\nHönne;139;\r\n";
const NAMES: [&str; 8] = ["Åse", "Björn", "Chloé", "Dürten", "Emre", "Fiona", "Gábor", "Hönne"];

#[tokio::test]
async fn a_newcomer_prints_the_demo_plan_after_two_taps() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    let children = tab
        .eval("[...document.querySelectorAll('[data-test=\"child\"] .name')].map(b => b.innerText)")
        .await?;
    let children: Vec<String> = serde_json::from_value(children)?;
    assert_eq!(children.len() as u64, DEMO_CHILDREN);

    tab.click(&marked("tab-lanes")).await?;
    tab.wait_for(&format!("{} svg", marked("floor-plan"))).await?;
    tab.notice_printing().await?;
    tab.click(&marked("print")).await?;
    tab.asked_to_print().await?;
    tab.wait("document.getElementById('paper').childElementCount > 0").await?;

    let marks = tab
        .eval("[...document.querySelectorAll('[data-test=\"lane\"] .tape .number')].map(mark => mark.innerText)")
        .await?;
    let marks: Vec<String> = serde_json::from_value(marks)?;
    assert!(!marks.is_empty());

    tab.as_paper(true).await?;
    let paper = tab.eval("document.body.innerText").await?;
    let paper = paper.as_str().context("text")?.to_owned();
    tab.as_paper(false).await?;
    let pdf = tab.print().await?;
    // What leaves the printer, where a tool to read it is at hand; what the page gives to the printer, everywhere.
    let texts = [Some(paper), pdf_text(&pdf)?];
    for text in texts.iter().flatten() {
        for name in &children {
            assert!(text.contains(name.as_str()), "{name} is not on the printed plan:\n{text}");
        }
        for mark in marks.iter().flat_map(|line| line.trim_end_matches(" m").split(" · ")) {
            assert!(text.contains(mark), "the tape mark {mark} is not on the printed plan:\n{text}");
        }
    }
    coach.done().await
}

#[tokio::test]
async fn an_imported_class_has_lanes_that_outlive_a_reload_and_the_server() -> Result<()> {
    let mut coach = Coach::with_demo(DESK).await?;
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("8 Hazel.csv");
    std::fs::write(&file, windows_1252(LIST))?;

    import(&coach.device, &file, Some("8 Hazel")).await?;
    let tab = &coach.device.tab;
    tab.wait(&format!("{} === {}", count_of("child"), NAMES.len())).await?;
    let shown = tab.text(&marked("children")).await?;
    for name in NAMES {
        assert!(shown.contains(name), "{name} is missing:\n{shown}");
    }
    assert_eq!(tab.text(&marked("class-name")).await?, "8 Hazel");

    coach.device.go("lanes").await?;
    let lanes = coach.device.lanes().await?;
    for name in NAMES {
        assert!(lanes.iter().any(|lane| lane.contains(name)), "{name} has no lane: {lanes:?}");
    }
    coach.device.wait_until("confirmed").await?;

    tab.reload().await?;
    tab.wait_for(&marked("screen-lanes")).await?;
    assert_eq!(coach.device.lanes().await?, lanes, "after a reload");

    // The service worker has to have the app before the server may go.
    tab.wait("navigator.serviceWorker.controller").await?;
    coach.server.stop().await?;
    tab.reload().await?;
    tab.wait_for(&marked("screen-lanes")).await?;
    assert_eq!(coach.device.lanes().await?, lanes, "without a server");
    coach.device.wait_until("device").await?;
    coach.done().await
}

#[tokio::test]
async fn a_change_made_without_the_server_reaches_the_next_device() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    coach.device.go("today").await?;
    coach.device.wait_until("confirmed").await?;
    coach.server.stop().await?;

    let tab = &coach.device.tab;
    let name = tab.eval("document.querySelector('[data-test=\"tile\"]').dataset.name").await?;
    let tile = format!("[data-test=\"tile\"][data-name={name}]");
    let before = tab.eval(&presence(&tile)).await?;
    tab.click(&tile).await?;
    tab.wait(&format!("{} !== {before}", presence(&tile))).await?;
    let after = tab.eval(&presence(&tile)).await?;
    coach.device.wait_until("device").await?;

    coach.server.start().await?;
    // The app tries again by itself; coming back to the page is one of the moments.
    tab.eval("window.dispatchEvent(new Event('online'))").await?;
    coach.device.wait_until("confirmed").await?;

    let other = Device::open(&coach.server.link, PHONE).await?;
    other.tab.wait(&format!("{} === {DEMO_CHILDREN}", count_of("child"))).await?;
    other.go("today").await?;
    other.tab.wait(&format!("{} === {after}", presence(&tile))).await?;
    other.done().await?;
    coach.done().await
}

#[tokio::test]
async fn a_list_with_a_bad_row_changes_nothing() -> Result<()> {
    let coach = Coach::with_demo(DESK).await?;
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("typo.csv");
    std::fs::write(&file, "name,stature_cm\nIvy,145\nJuno,14500\n")?;
    let tab = &coach.device.tab;
    tab.click(&marked("import")).await?;
    tab.choose_file(&marked("import-file"), &file).await?;
    tab.wait_for(&marked("import-bad")).await?;
    let said = tab.text(&marked("import-bad")).await?;
    assert!(said.contains('3'), "the line is named: {said}");
    assert_eq!(tab.count(&marked("import-save")).await?, 0, "nothing can be saved");

    tab.reload().await?;
    tab.wait(&format!("{} === {DEMO_CHILDREN}", count_of("child"))).await?;
    assert!(!tab.text(&marked("children")).await?.contains("Ivy"));
    coach.done().await
}

/// Reads a list in, into a new class where there is a choice.
async fn import(device: &Device, file: &std::path::Path, name: Option<&str>) -> Result<()> {
    let tab = &device.tab;
    device.go("class").await?;
    tab.click(&marked("import")).await?;
    tab.choose_file(&marked("import-file"), file).await?;
    tab.wait_for(&marked("import-save-into")).await?;
    if tab.count(&marked("import-into-new")).await? > 0 {
        tab.click(&marked("import-into-new")).await?;
    }
    if let Some(name) = name {
        tab.fill(&marked("import-class-name"), name).await?;
    }
    tab.click(&marked("import-save")).await?;
    tab.wait(&format!("{} === 0", count_of("import-save"))).await
}

/// Returns the expression for what a tile on Today says.
fn presence(tile: &str) -> String {
    format!("document.querySelector('{tile}').dataset.presence")
}

/// Encodes a text as Windows-1252, which agrees with Unicode for all letters used here.
fn windows_1252(text: &str) -> Vec<u8> {
    text.chars().map(|letter| u8::try_from(u32::from(letter)).expect("a letter of that encoding")).collect()
}
