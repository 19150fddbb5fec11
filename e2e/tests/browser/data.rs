//! What is recorded can be taken away whole, and can be erased.

use std::time::Duration;

use anyhow::{Context, Result};
use lanewright_e2e::{PHONE, marked};
use serde_json::{Value, json};

use crate::coach::{Coach, DEMO_CHILDREN, Device, count_of};
use crate::helper::{close_sheet, exchange, invite};
use crate::times::{DEMO_CHILD, DEMO_CLASS, now_ms, other_device_sends};

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

/// Opens the demo, confirmed, and returns its first child's name, and how that stands in what is stored.
async fn with_first_child() -> Result<(Coach, String, String)> {
    let coach = Coach::with_demo(PHONE).await?;
    coach.device.wait_until("confirmed").await?;
    let first = "document.querySelector('[data-test=\"child\"]').innerText.split('\\n')[0]";
    let name = coach.device.tab.eval(first).await?.as_str().context("a name")?.trim().to_owned();
    let label = format!("\"label\":\"{name}\"");
    Ok((coach, name, label))
}

#[tokio::test]
async fn an_erased_child_is_gone_here_and_on_the_other_device() -> Result<()> {
    let (coach, name, label) = with_first_child().await?;
    let tab = &coach.device.tab;
    assert!(stored(&coach.device).await?.contains(&label), "the control: {name} is there");
    let link = invite(&coach, "Kim").await?;
    close_sheet(tab).await?;
    let other = Device::open_at(&link, PHONE, "trackside").await?;
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
    assert!(!stored(&coach.device).await?.contains(&label));
    // It stays away after a reload, when everything is read anew.
    tab.reload().await?;
    tab.wait(&format!("{} === {}", count_of("child"), DEMO_CHILDREN - 1)).await?;
    assert!(!stored(&coach.device).await?.contains(&label));
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

/// Everything that the server gives a coach, as text.
const GIVEN: &str = "(async () => {
    let all = '', after = 0;
    for (;;) {
        const page = await (await fetch(`/api/v1/pull?after=${after}&limit=500`)).json();
        all += JSON.stringify(page.records);
        if (!page.more) return all;
        after = page.cursor;
    }
})()";

async fn given(device: &Device) -> Result<String> {
    Ok(device.tab.eval(GIVEN).await?.as_str().context("a text")?.to_owned())
}

/// Opens the sheet that says how long things are kept.
async fn keep_sheet(device: &Device) -> Result<()> {
    device.tab.click(&marked("save-state")).await?;
    device.tab.click(&marked("keep")).await?;
    device.tab.wait_for(&marked("keep-seen-0")).await
}

/// Taps a choice until it stays: right after a sheet opens, the first tap may meet one that is just being replaced.
async fn choose(device: &Device, name: &str) -> Result<()> {
    let stays =
        format!("document.querySelector('[data-test=\"{name}\"]')?.getAttribute('aria-pressed') === 'true'");
    for _ in 0..40 {
        device.tab.click(&marked(name)).await?;
        tokio::time::sleep(Duration::from_millis(100)).await;
        if device.tab.eval(&stays).await? == true {
            return Ok(());
        }
    }
    anyhow::bail!("{name} does not stay")
}

#[tokio::test]
async fn what_is_older_than_the_rule_is_shown_first_and_then_gone_here_and_on_the_server() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    let day_ms = 24 * 60 * 60 * 1000;
    let run = |id: &str, days: i64| {
        let run = json!({
            "runner": DEMO_CHILD[0], "drill": "alternate-run", "lane": "B", "at_ms": now_ms() - days * day_ms,
            "hurdles": 8, "knocked": [], "watched": "technique", "exit_sprint": false, "setup": "B1",
        });
        json!({"own_id": id, "class": DEMO_CLASS, "run": run})
    };
    let (old, fresh) = ("019cb001-0000-7000-8000-00000000aaaa", "019cb001-0000-7000-8000-00000000bbbb");
    other_device_sends(&coach.device.tab, &[("run", run(old, 900)), ("run", run(fresh, 3))]).await?;
    exchange(&coach.device).await?;
    assert!(comes_to_be(&coach.device, old, true).await? && comes_to_be(&coach.device, fresh, true).await?);

    // Without a rule nothing goes; with one, it is said what goes and when before anything is saved.
    keep_sheet(&coach.device).await?;
    let tab = &coach.device.tab;
    tab.wait_for(&marked("keep-nothing")).await?;
    assert_eq!(tab.count(&marked("keep-save")).await?, 0, "there is nothing to save");
    choose(&coach.device, "keep-seen-730").await?;
    tab.wait_for(&marked("keep-goes")).await?;
    assert_eq!(tab.text(&marked("keep-goes")).await?.trim(), "one run, sweep or bout");
    tab.wait_for(&marked("keep-next")).await?;
    // Another thought: nothing was saved.
    choose(&coach.device, "keep-seen-0").await?;
    tab.wait_for(&marked("keep-nothing")).await?;
    choose(&coach.device, "keep-seen-730").await?;
    tab.wait_for(&marked("keep-save")).await?;
    assert!(!given(&coach.device).await?.contains("keep_days"), "nothing was saved yet");
    tab.click(&marked("keep-save")).await?;
    tab.wait(&format!("{} === 0", count_of("keep-save"))).await?;
    close_sheet(tab).await?;
    coach.device.wait_until("confirmed").await?;
    let here = stored(&coach.device).await?;
    assert!(here.contains("\"keep_days\":730") && here.contains(old), "the rule is there, and so is the run");
    assert!(given(&coach.device).await?.contains(old));

    // The program looks when it starts.
    let link = coach.server.link_again().await?;
    exchange(&coach.device).await?;
    assert!(comes_to_be(&coach.device, old, false).await?, "gone here");
    assert!(stored(&coach.device).await?.contains(fresh), "and what is younger stays");
    let there = given(&coach.device).await?;
    assert!(!there.contains(old) && there.contains(fresh), "gone on the server");
    let next = Device::open(&link, PHONE).await?;
    assert!(comes_to_be(&next, fresh, true).await? && !stored(&next).await?.contains(old));
    // And a phone that still has it and sends it once more brings nothing back.
    other_device_sends(&next.tab, &[("run", run(old, 900))]).await?;
    assert!(!given(&next).await?.contains(old));
    next.done().await?;
    coach.done().await
}

#[tokio::test]
async fn children_on_no_list_are_named_and_go_at_once_when_it_is_confirmed() -> Result<()> {
    let (coach, name, label) = with_first_child().await?;
    let tab = &coach.device.tab;
    tab.click(&marked("child")).await?;
    tab.click(&marked("take-off")).await?;
    tab.wait(&format!("{} === {}", count_of("child"), DEMO_CHILDREN - 1)).await?;
    assert!(stored(&coach.device).await?.contains(&label), "the control: hidden, and still here");

    keep_sheet(&coach.device).await?;
    tab.wait_for(&marked("off-lists")).await?;
    assert!(tab.text(&marked("off-lists")).await?.contains(&name));
    tab.click(&marked("off-lists-erase")).await?;
    tab.wait_for(&marked("keep-goes")).await?;
    assert!(tab.text(&marked("keep-goes")).await?.contains("one child with its name"));
    tab.click(&marked("off-lists-do")).await?;
    tab.wait(&format!("{} === 0", count_of("off-lists"))).await?;
    close_sheet(tab).await?;
    coach.device.wait_until("confirmed").await?;
    assert!(comes_to_be(&coach.device, &label, false).await?);
    assert!(!given(&coach.device).await?.contains(&label), "gone on the server");
    coach.done().await
}
