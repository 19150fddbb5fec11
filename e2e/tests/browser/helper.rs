//! A helper's phone beside the coach's: let in by a link, records in its lane, and never gets a size.

use anyhow::{Context, Result};
use lanewright_e2e::{PHONE, Tab, marked};

use crate::coach::{Coach, Device, count_of};

/// Kinds that may lie on a helper's phone.
const SEEN: [&str; 6] = ["class", "runner-label", "today", "plan-choice", "lane-sheet", "run"];

/// Reads everything that the app keeps in a browser: the texts of its records.
pub async fn kept(tab: &Tab) -> Result<Vec<serde_json::Value>> {
    let read = "new Promise((done, failed) => {
        const asked = indexedDB.open('lanewright');
        asked.onerror = () => failed(asked.error);
        asked.onsuccess = () => {
            const all = asked.result.transaction('records').objectStore('records').getAll();
            all.onerror = () => failed(all.error);
            all.onsuccess = () => { asked.result.close(); done(all.result); };
        };
    })";
    let texts: Vec<String> = serde_json::from_value(tab.eval(read).await?)?;
    texts.iter().map(|text| serde_json::from_str(text).context("a record")).collect()
}

fn kind(record: &serde_json::Value) -> &str {
    record["kind"].as_str().unwrap_or_default()
}

/// Opens the sheet with the other devices.
async fn devices(coach: &Coach) -> Result<()> {
    let tab = &coach.device.tab;
    tab.click(&marked("save-state")).await?;
    tab.click(&marked("devices")).await?;
    tab.wait_for(&marked("device")).await
}

/// Makes a link for a helper in lane B, and returns it as the sheet shows it.
pub async fn invite(coach: &Coach, name: &str) -> Result<String> {
    let tab = &coach.device.tab;
    devices(coach).await?;
    tab.wait_for(&marked("here-only")).await?;
    let port = coach.server.url("/").trim_end_matches('/').rsplit(':').next().unwrap_or_default().to_owned();
    assert_eq!(tab.text(&marked("start-flags")).await?, format!("--addr 0.0.0.0:{port}"));
    tab.click(&marked("invite-lane-B")).await?;
    tab.fill(&marked("device-label"), name).await?;
    tab.click(&marked("make-link")).await?;
    tab.wait_for(&marked("link-picture")).await?;
    // The square is in sight: the other phone's camera is held over it.
    tab.wait(
        "(box => box.top >= 0 && box.bottom <= innerHeight + 1)\
         (document.querySelector('[data-test=\"link-picture\"]').getBoundingClientRect())",
    )
    .await?;
    tab.click(&marked("copy-link")).await?;
    tab.wait("/is copied|is marked/.test(document.body.innerText)").await?;
    tab.text(&marked("link-text")).await
}

pub async fn close_sheet(tab: &Tab) -> Result<()> {
    tab.click(&marked("close-sheet")).await?;
    tab.wait("!document.querySelector('dialog[open]')").await
}

/// Asks the server now and waits until everything is confirmed.
pub async fn exchange(device: &Device) -> Result<()> {
    device.tab.click(&marked("save-state")).await?;
    device.tab.click(&marked("send-now")).await?;
    close_sheet(&device.tab).await?;
    device.wait_until("confirmed").await
}

#[tokio::test]
async fn a_run_that_a_helper_records_shows_on_the_coach_s_phone_and_no_size_on_the_helper_s() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    coach.device.wait_until("confirmed").await?;
    let link = invite(&coach, "Kim").await?;
    assert!(link.starts_with(&coach.server.url("/open/")), "{link}");
    close_sheet(&coach.device.tab).await?;

    let helper = Device::open_at(&link, PHONE, "trackside").await?;
    let tab = &helper.tab;
    tab.wait("document.querySelector('[data-test=\"verb\"]')?.getAttribute('aria-disabled') === 'false'")
        .await?;
    // Lane B and no other; no screen but this one.
    assert_eq!(tab.count(&marked("lane-A")).await?, 0);
    let shown = "[...document.querySelectorAll('nav.tabs li')].filter(tab => tab.offsetParent).length";
    assert_eq!(tab.eval(shown).await?, 1);
    let child = tab.text(&marked("track-name")).await?;
    tab.click(&marked("verb")).await?;
    tab.wait(&format!("{} === 1", count_of("last-run"))).await?;
    helper.wait_until("confirmed").await?;

    // What lies on the phone: no kind with a size in it, and none of the sizes that the coach's phone has.
    let here = kept(tab).await?;
    let strange: Vec<&str> = here.iter().map(kind).filter(|kind| !SEEN.contains(kind)).collect();
    assert!(strange.is_empty(), "{strange:?}");
    let own = kept(&coach.device.tab).await?;
    let sizes: Vec<String> = own
        .iter()
        .filter_map(|record| record["body"]["measured"]["stature_cm"].as_f64())
        .map(|stature_cm| format!("{stature_cm}"))
        .collect();
    assert!(sizes.len() > 10, "the coach has sizes: {}", sizes.len());
    let text = serde_json::to_string(&here)?
        + &serde_json::to_string(&tab.eval("document.documentElement.outerHTML").await?)?;
    for word in ["stature", "birth_date", "leg_length"] {
        assert!(!text.contains(word), "{word}");
    }
    for size in &sizes {
        assert!(!text.contains(&format!("{size} cm")), "{size}");
    }
    // Other addresses of the app say why there is nothing.
    tab.eval("location.hash = '#/class'").await?;
    tab.wait_for(&marked("not-for-helpers")).await?;
    tab.eval("location.hash = '#/trackside'").await?;

    // The run comes by itself, within seconds: nobody taps it a second time.
    coach.device.go("trackside").await?;
    let tab = &coach.device.tab;
    tab.click(&marked("lane-B")).await?;
    tab.wait(&format!("{} === 1", count_of("last-run"))).await?;
    assert!(tab.text(&marked("last-run")).await?.contains(&child), "the run of {child}");

    // Signed out, the helper's phone is a stranger; what it recorded stays on it.
    devices(&coach).await?;
    tab.wait_for_text("Kim").await?;
    assert_eq!(tab.count(&marked("device")).await?, 2);
    // Asked once: that phone may hold what is not sent yet.
    tab.click(&marked("sign-out")).await?;
    tab.wait_for(&marked("sign-out-asked")).await?;
    tab.click(&marked("sign-out-not")).await?;
    tab.wait(&format!("{} === 0", count_of("sign-out-asked"))).await?;
    assert_eq!(tab.count(&marked("device")).await?, 2);
    tab.click(&marked("sign-out")).await?;
    tab.click(&marked("sign-out-do")).await?;
    tab.wait(&format!("{} === 1", count_of("device"))).await?;
    helper.tab.click(&marked("save-state")).await?;
    helper.tab.click(&marked("send-now")).await?;
    helper.tab.wait_for(&marked("stranger")).await?;
    // It had a key and lost it: it is sent to the coach, not to the program's link.
    let told = helper.tab.text(&marked("stranger")).await?;
    assert!(told.contains("This phone was signed out") && told.contains("Ask the coach"), "{told}");
    assert_eq!(kept(&helper.tab).await?.iter().filter(|record| kind(record) == "run").count(), 1);
    helper.done().await?;
    coach.done().await
}

#[tokio::test]
async fn who_signs_all_others_out_takes_back_the_links_that_wait_and_is_told_so_before() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    coach.device.wait_until("confirmed").await?;
    let used = invite(&coach, "Kim").await?;
    let helper = Device::open_at(&used, PHONE, "trackside").await?;
    tab.click(&marked("another-link")).await?;
    tab.click(&marked("make-link")).await?;
    tab.wait_for(&marked("link-picture")).await?;
    let waits = tab.text(&marked("link-text")).await?;
    assert_ne!(waits, used);
    tab.wait_for(&marked("take-back")).await?;
    tab.wait(&format!("{} === 2", count_of("device"))).await?;
    assert_eq!(
        tab.text(&marked("sign-out-others")).await?,
        "Sign out all others and take back links that wait"
    );
    tab.click(&marked("sign-out-others")).await?;
    tab.click(&marked("sign-out-do")).await?;
    tab.wait(&format!("{} === 1", count_of("device"))).await?;
    tab.wait(&format!("{} + {} === 0", count_of("take-back"), count_of("link-picture"))).await?;
    // It opens nothing any more.
    let status = format!("fetch('{waits}', {{credentials: 'omit'}}).then(answer => answer.status)");
    assert_eq!(tab.eval(&status).await?, 410);
    helper.done().await?;
    coach.done().await
}
