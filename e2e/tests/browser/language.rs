//! The language of the app: chosen on the device, kept there, and in all that is said and printed.

use anyhow::Result;
use lanewright_e2e::{Browser, PHONE, Server, Tab, marked};

async fn choose(tab: &Tab, language: &str) -> Result<()> {
    tab.click(&marked("save-state")).await?;
    tab.click(&marked(&format!("language-{language}"))).await?;
    tab.wait(&format!("document.documentElement.lang == '{language}'")).await?;
    tab.click(&marked("close-sheet")).await?;
    tab.wait("!document.querySelector('dialog[open]')").await
}

#[tokio::test]
async fn a_chosen_language_stays_and_is_in_what_is_said_shown_and_printed() -> Result<()> {
    let server = Server::demo().await?;
    let browser = Browser::launch().await?;
    let tab = browser.tab(PHONE).await?;
    tab.open(&server.link).await?;
    tab.wait_for(&marked("child")).await?;
    assert_eq!(tab.eval("document.documentElement.lang").await?, "en");
    choose(&tab, "de").await?;
    tab.reload().await?;
    tab.wait_for(&marked("child")).await?;
    assert_eq!(tab.eval("document.documentElement.lang").await?, "de");

    // Every screen speaks it, has no English tab, and is no wider than the phone.
    for (screen, word) in [
        ("class", "Kind hinzufügen"),
        ("today", "Wer ist da"),
        ("kit", "Material und Platz"),
        ("lanes", "Bahnen"),
        ("lesson", "Stunde"),
        ("trackside", "Sauber"),
        ("findings", "Ergebnisse"),
    ] {
        tab.click(&marked(&format!("tab-{screen}"))).await?;
        tab.wait_for(&marked(&format!("screen-{screen}"))).await?;
        tab.wait_for_text(word).await?;
        let wider = tab.eval("document.documentElement.scrollWidth - innerWidth").await?;
        assert!(wider.as_i64().unwrap() <= 0, "{screen} is {wider} px wider than the phone");
    }
    let cut = "[...document.querySelectorAll('nav.tabs a')].filter(tab => { \
               const width = part => part.getBoundingClientRect().width; \
               return width(tab.querySelector('span')) > width(tab) + 0.5; }).length";
    assert_eq!(tab.eval(cut).await?, 0);

    // Lengths have a comma; the paper says its language.
    tab.click(&marked("tab-lanes")).await?;
    tab.wait_for(&format!("{} svg", marked("floor-plan"))).await?;
    assert_eq!(tab.eval("/\\d,\\d\\d m/.test(document.querySelector('main').innerText)").await?, true);
    assert_eq!(tab.eval("/\\d\\.\\d\\d m/.test(document.querySelector('main').innerText)").await?, false);
    tab.notice_printing().await?;
    tab.click(&marked("print")).await?;
    tab.asked_to_print().await?;
    assert_eq!(tab.eval("document.querySelector('#paper .lw-page').lang").await?, "de");

    // And back, without a reload.
    choose(&tab, "en").await?;
    tab.wait_for_text("Set the lanes out").await?;
    assert!(tab.faults().is_empty(), "{:?}", tab.faults());
    browser.close().await
}
