//! Coming in with the school's password on a new device.

use anyhow::{Context, Result};
use lanewright_e2e::{Browser, PHONE, Tab, marked};

use crate::coach::{Coach, DEMO_CHILDREN, count_of};
use crate::helper::close_sheet;

const PASSWORD: &str = "Hasel auf nassem Feld";
/// The server said that the school has no password; before, the screen says that it asks.
const NONE: &str =
    "document.querySelector('[data-test=\"password-state\"]')?.innerText.startsWith('There is none')";

async fn section(tab: &Tab) -> Result<()> {
    tab.click(&marked("save-state")).await?;
    tab.click(&marked("devices")).await?;
    tab.wait_for(&marked("password-state")).await
}

/// Types a password on the start screen and asks to be let in.
async fn enter(tab: &Tab, password: &str) -> Result<()> {
    tab.fill(&marked("password"), password).await?;
    tab.click(&marked("password-enter-do")).await
}

#[tokio::test]
async fn a_coach_sets_a_password_comes_in_with_it_elsewhere_and_takes_it_away() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    coach.device.wait_until("confirmed").await?;
    section(tab).await?;
    tab.wait(NONE).await?;
    tab.click(&marked("password-set")).await?;
    // What will not do is said at the field, and the field is kept.
    tab.fill(&marked("new-password"), "Football").await?;
    tab.click(&marked("password-save")).await?;
    tab.wait("document.querySelector('#new-password-error').innerText.includes('Take another one')").await?;
    tab.fill(&marked("new-password"), "Hasel").await?;
    tab.click(&marked("password-save")).await?;
    tab.wait("document.querySelector('#new-password-error').innerText.includes('at least 8')").await?;
    assert_eq!(tab.eval("document.querySelector('#new-password').type").await?, "password");
    tab.click(&marked("new-password-show")).await?;
    assert_eq!(tab.eval("document.querySelector('#new-password').type").await?, "text");
    tab.fill(&marked("new-password"), PASSWORD).await?;
    tab.click(&marked("password-save")).await?;
    tab.wait("document.querySelector('[data-test=\"password-state\"]')?.innerText.startsWith('Set on')")
        .await?;
    close_sheet(tab).await?;

    // A new device, without a link.
    let browser = Browser::launch().await?;
    let new = browser.tab(PHONE).await?;
    new.open(&coach.server.url("/")).await?;
    new.wait_for(&marked("password-enter")).await?;
    for (attribute, value) in [("autocomplete", "current-password"), ("type", "password")] {
        let found = format!("document.querySelector('#password').getAttribute('{attribute}')");
        assert_eq!(new.eval(&found).await?, value);
    }
    enter(&new, "Hasel auf nassem Geld").await?;
    new.wait("document.querySelector('#password-error').innerText.includes('capital letters')").await?;
    // What was typed is still there while the app asks the server once more.
    new.eval("window.dispatchEvent(new Event('online')); 1").await?;
    new.wait("document.querySelector('#password').value === 'Hasel auf nassem Geld'").await?;
    enter(&new, PASSWORD).await?;
    new.wait(&format!("{} === {DEMO_CHILDREN}", count_of("child"))).await?;
    assert_eq!(new.count(&marked("stranger")).await?, 0);
    let cookies = new.eval("document.cookie").await?;
    assert_eq!(cookies, "", "no script reads the session");
    let kept = new.eval("JSON.stringify(localStorage)").await?;
    assert!(!kept.as_str().context("text")?.contains("Hasel"), "the password is kept nowhere");

    // It changes the password and signs the first one out.
    section(&new).await?;
    new.wait(&format!("{} === 2", count_of("device"))).await?;
    new.click(&marked("password-set")).await?;
    new.fill(&marked("new-password"), "Lärche im Regen").await?;
    new.click(&marked("password-others")).await?;
    new.click(&marked("password-save")).await?;
    new.wait(&format!("{} === 1", count_of("device"))).await?;
    tab.eval("window.dispatchEvent(new Event('online')); 1").await?;
    tab.wait_for(&marked("stranger")).await?;
    enter(tab, PASSWORD).await?;
    tab.wait("document.querySelector('#password-error').innerText.length > 0").await?;
    enter(tab, "Lärche im Regen").await?;
    coach.device.wait_until("confirmed").await?;

    // Taken away, it opens nothing.
    new.click(&marked("password-away")).await?;
    new.click(&marked("password-away-do")).await?;
    new.wait(NONE).await?;
    let third = Browser::launch().await?;
    let stranger = third.tab(PHONE).await?;
    stranger.open(&coach.server.url("/")).await?;
    enter(&stranger, "Lärche im Regen").await?;
    stranger.wait("document.querySelector('#password-error').innerText.length > 0").await?;
    third.close().await?;
    assert_eq!(new.faults(), Vec::<String>::new());
    browser.close().await?;
    coach.done().await
}
