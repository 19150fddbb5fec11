//! What is recorded can be taken away whole, and can be erased.

use std::time::Duration;

use anyhow::{Context, Result};
use lanewright_e2e::{PHONE, marked};
use serde_json::Value;

use crate::coach::{Coach, DEMO_CHILDREN, Device, count_of};
use crate::helper::{close_sheet, exchange, invite};

/// Every text in this browser's copy of the records.
const STORED: &str = r"(async () => {
    const open = indexedDB.open('lanewright');
    const database = await new Promise((done, failed) => {
        open.onsuccess = () => done(open.result);
        open.onerror = failed;
    });
    const all = [];
    for (const name of database.objectStoreNames) {
        const asked = database.transaction(name).objectStore(name).getAll();
        all.push(...await new Promise(done => { asked.onsuccess = () => done(asked.result); }));
    }
    database.close();
    return all.join('\n') + JSON.stringify(localStorage);
})()";

async fn stored(device: &Device) -> Result<String> {
    Ok(device.tab.eval(STORED).await?.as_str().context("a text")?.to_owned())
}

/// Waits until a text is, or is no longer, in a device's copy; returns whether it came to that.
async fn comes_to_be(device: &Device, text: &str, there: bool) -> Result<bool> {
    for _ in 0..80 {
        if stored(device).await?.contains(text) == there {
            return Ok(true);
        }
        tokio::time::sleep(Duration::from_millis(250)).await;
    }
    Ok(false)
}

#[tokio::test]
async fn an_erased_child_is_gone_here_and_on_the_other_device() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    coach.device.wait_until("confirmed").await?;
    let first = "document.querySelector('[data-test=\"child\"]').innerText.split('\\n')[0]";
    let name = tab.eval(first).await?;
    let name = name.as_str().context("a name")?.trim().to_owned();
    assert!(
        stored(&coach.device).await?.contains(&format!("\"label\":\"{name}\"")),
        "the control: {name} is there"
    );
    let link = invite(&coach, "Kim").await?;
    close_sheet(tab).await?;
    let other = Device::open_at(&link, PHONE, "trackside").await?;
    let label = format!("\"label\":\"{name}\"");
    assert!(comes_to_be(&other, &label, true).await?, "the control: {name} is on the other phone");

    tab.click(&marked("child")).await?;
    tab.wait_for(&marked("erase")).await?;
    tab.click(&marked("erase")).await?;
    tab.wait_for(&marked("erase-goes")).await?;
    tab.fill(&marked("erase-name"), "somebody else").await?;
    tab.click(&marked("erase-do")).await?;
    tab.wait("document.querySelector('#erase-name-error').innerText.length > 0").await?;
    tab.fill(&marked("erase-name"), &name).await?;
    tab.click(&marked("erase-do")).await?;
    tab.wait(&format!("{} === {}", count_of("child"), DEMO_CHILDREN - 1)).await?;
    coach.device.wait_until("confirmed").await?;
    assert!(!stored(&coach.device).await?.contains(&format!("\"label\":\"{name}\"")));
    // It stays away after a reload, when everything is read anew.
    tab.reload().await?;
    tab.wait(&format!("{} === {}", count_of("child"), DEMO_CHILDREN - 1)).await?;
    assert!(!stored(&coach.device).await?.contains(&format!("\"label\":\"{name}\"")));
    exchange(&other).await?;
    assert!(comes_to_be(&other, &label, false).await?, "on the other phone as well");
    other.done().await?;
    coach.done().await
}

#[tokio::test]
async fn one_tap_gives_everything_as_a_file_also_without_the_server() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    coach.device.wait_until("confirmed").await?;
    coach.server.stop().await?;
    let tab = &coach.device.tab;
    tab.eval(
        "globalThis.handed = null; const made = URL.createObjectURL;
         URL.createObjectURL = blob => {
           blob.text().then(text => { globalThis.handed = text; });
           return made.call(URL, blob);
         }; 1",
    )
    .await?;
    tab.click(&marked("copy-all")).await?;
    tab.wait("globalThis.handed !== null").await?;
    let text = tab.eval("globalThis.handed").await?;
    let export: Value = serde_json::from_str(text.as_str().context("a text")?)?;
    assert_eq!(export["format"], "lanewright-export/1");
    let records = export["records"].as_array().context("records")?;
    let labels = records.iter().filter(|record| record["kind"] == "runner-label").count();
    assert_eq!(labels as u64, DEMO_CHILDREN);
    tab.wait_for(&marked("said")).await?;
    coach.device.done().await
}
