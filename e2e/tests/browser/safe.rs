//! What keeps records and the app safe on a device: newer versions, a full device, two tabs, crashes, wrong clocks, a
//! server that was put back.

use std::collections::BTreeSet;
use std::path::Path;
use std::time::Duration;

use anyhow::{Context, Result};
use lanewright_e2e::{Front, NEWER_MARK, PHONE, Tab, marked};
use serde_json::Value;

use crate::coach::{Coach, Device, count_of};
use crate::helper::{close_sheet, exchange};

/// Pauses between the tap and the crash, in milliseconds: before, within and after the time that a save takes.
const CRASH_AFTER_MS: [u64; 8] = [0, 2, 4, 8, 15, 30, 60, 120];
/// Runs that are tapped in each of two tabs.
const RUNS_EACH: usize = 10;

async fn begin(device: &Device) -> Result<()> {
    device.go("trackside").await?;
    ready(&device.tab).await
}

/// Waits until the big button takes the next run.
async fn ready(tab: &Tab) -> Result<()> {
    tab.wait("document.querySelector('[data-test=\"verb\"]')?.getAttribute('aria-disabled') === 'false'")
        .await
}

/// Returns the record ids of the runs that the list shows.
async fn shown(tab: &Tab) -> Result<BTreeSet<String>> {
    if tab.count(&marked("all-runs")).await? > 0 {
        tab.click(&marked("all-runs")).await?;
    }
    let ids = "[...document.querySelectorAll('[data-test=\"last-run\"]')].map(run => run.dataset.id)";
    Ok(serde_json::from_value(tab.eval(ids).await?)?)
}

/// Taps the big button and waits until the run is shown as saved.
async fn save(tab: &Tab) -> Result<()> {
    let latest = "(document.querySelector('[data-test=\"last-run\"]')?.dataset.id ?? '')";
    let before = tab.eval(latest).await?;
    tab.click(&marked("verb")).await?;
    tab.wait(&format!("{latest} !== {before}")).await?;
    ready(tab).await
}

/// Reads this browser's copy: `{records, outbox, device}`, records and outbox by key.
async fn kept(tab: &Tab) -> Result<Value> {
    let read = "(async () => {
        const open = indexedDB.open('lanewright');
        const database = await new Promise((done, failed) => {
            open.onsuccess = () => done(open.result);
            open.onerror = () => failed(open.error);
        });
        const transaction = database.transaction(['records', 'outbox', 'meta']);
        const all = async name => {
            const store = transaction.objectStore(name);
            const [keys, values] = [store.getAllKeys(), store.getAll()];
            await new Promise(done => { values.onsuccess = done; });
            return Object.fromEntries(keys.result.map((key, at) => [key, JSON.parse(values.result[at])]));
        };
        const [records, outbox, meta] = [await all('records'), await all('outbox'), await all('meta')];
        database.close();
        return { records, outbox, device: meta.device };
    })()";
    tab.eval(read).await
}

/// Returns the ids of the runs in a copy, after a look whether the copy is whole: what waits is there with the same
/// stamp, and nothing is later than the device's last stamp.
async fn runs_kept(tab: &Tab) -> Result<BTreeSet<String>> {
    let kept = kept(tab).await?;
    let records = kept["records"].as_object().context("records")?;
    for (key, waiting) in kept["outbox"].as_object().context("an outbox")? {
        assert_eq!(records.get(key).context("what waits is there")?["stamp"], waiting["stamp"], "{key}");
    }
    let last = kept["device"]["last"].as_str().context("a stamp")?;
    let mut runs = BTreeSet::new();
    for record in records.values() {
        let stamp = record["stamp"].as_str().context("a stamp")?;
        assert!(stamp[..20] <= last[..20], "{stamp} is later than {last}");
        if record["kind"] == "run" {
            assert!(record["body"]["run"]["runner"].is_string(), "whole: {record}");
            runs.insert(record["id"].as_str().context("an id")?.to_owned());
        }
    }
    Ok(runs)
}

/// Waits until a device has these runs and no others.
async fn come_to_have(tab: &Tab, runs: &BTreeSet<String>) -> Result<()> {
    let mut found = BTreeSet::new();
    for _ in 0..100 {
        found = runs_kept(tab).await?;
        if found == *runs {
            break;
        }
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    assert_eq!(found, *runs);
    Ok(())
}

fn is_seen(name: &str) -> String {
    format!("[...document.querySelectorAll('[data-test=\"{name}\"]')].some(el => el.checkVisibility())")
}

async fn state(tab: &Tab) -> Result<String> {
    let state = tab.eval("document.querySelector('[data-test=\"save-state\"]').dataset.state").await?;
    Ok(state.as_str().unwrap_or_default().to_owned())
}

#[tokio::test]
async fn a_newer_version_waits_through_a_lesson_and_comes_with_every_record_when_it_is_chosen() -> Result<()>
{
    let front = Front::listen().await?;
    let coach = Coach::behind(&front, PHONE).await?;
    let tab = &coach.device.tab;
    tab.wait("navigator.serviceWorker.controller").await?;
    let other = coach.device.other_tab(PHONE).await?;
    other.open(&coach.server.url("/#/class")).await?;
    other.wait_for(&marked("screen-class")).await?;
    coach.device.tab.front().await?;
    begin(&coach.device).await?;
    save(tab).await?;
    coach.device.go("lesson").await?;
    tab.wait("document.querySelector('[data-test=\"lesson-start\"]')?.disabled === false").await?;
    tab.click(&marked("lesson-start")).await?;
    tab.wait_for(&marked("clock")).await?;
    tab.eval("globalThis.thePageAsItWas = true").await?;

    front.serve_newer();
    // A look for a newer version, as the browser takes it by itself when the page is opened.
    tab.eval("navigator.serviceWorker.getRegistration().then(found => found.update()).then(() => 1)").await?;
    tab.eval(
        "(async () => {
           const found = await navigator.serviceWorker.getRegistration();
           while (!found.waiting) await new Promise(done => setTimeout(done, 50));
         })()",
    )
    .await?;
    // Nothing moves in the lesson; the other tab, at the class list, says so.
    other.wait_for(&marked("update")).await?;
    for screen in ["lesson", "trackside"] {
        coach.device.go(screen).await?;
        tokio::time::sleep(Duration::from_millis(500)).await;
        assert_eq!(tab.eval(&is_seen("update")).await?, false, "{screen}");
    }
    assert_eq!(tab.eval("globalThis.thePageAsItWas === true").await?, true, "nothing was reloaded");
    ready(tab).await?;
    save(tab).await?;
    let before = runs_kept(tab).await?;
    assert_eq!(before.len(), 2);

    // Who looks where the data is finds it, and chooses.
    tab.click(&marked("save-state")).await?;
    tab.click(&marked("update-now")).await?;
    let mark = NEWER_MARK.replace('"', "\\\"");
    tab.wait(&format!("!globalThis.thePageAsItWas && document.head.innerHTML.includes(\"{mark}\")")).await?;
    tab.wait_for(&marked("screen-trackside")).await?;
    assert_eq!(runs_kept(tab).await?, before);
    assert_eq!(shown(tab).await?.len(), before.len(), "both runs are shown");
    coach.device.go("lesson").await?;
    tab.wait_for(&marked("clock")).await?;
    assert!(tab.eval("document.querySelector('[data-test=\"clock\"]').dataset.intoMs").await?.is_string());
    // The other tab went on with what it had; it can follow.
    assert_eq!(other.eval(&format!("document.head.innerHTML.includes(\"{mark}\")")).await?, false);
    other.front().await?;
    other.click(&marked("update-now")).await?;
    other.wait(&format!("document.head.innerHTML.includes(\"{mark}\")")).await?;
    other.wait_for(&marked("screen-class")).await?;
    assert_eq!(other.faults(), Vec::<String>::new());
    coach.done().await
}

#[tokio::test]
async fn a_device_without_room_says_so_keeps_what_it_has_and_still_gives_a_copy() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    save(tab).await?;
    coach.device.wait_until("confirmed").await?;
    let before = runs_kept(tab).await?;

    let origin = coach.server.url("");
    tab.room(&origin, Some(1)).await?;
    // The browser believes for half a minute in the room that it saw before.
    tokio::time::sleep(Duration::from_secs(32)).await;
    ready(tab).await?;
    tab.click(&marked("verb")).await?;
    tab.wait_for(&marked("no-room")).await?;
    tab.wait_for_text("NOT saved: this device has no room left").await?;
    assert_eq!(shown(tab).await?, before, "what was not saved is not shown");
    assert_eq!(runs_kept(tab).await?, before);
    // A copy needs no room in the browser.
    tab.eval(
        "globalThis.handed = null; const made = URL.createObjectURL;
         URL.createObjectURL = blob => {
           blob.text().then(text => { globalThis.handed = text; });
           return made.call(URL, blob);
         }; 1",
    )
    .await?;
    tab.click(&format!("{} button", marked("no-room"))).await?;
    tab.wait("globalThis.handed !== null").await?;
    let text = tab.eval("globalThis.handed").await?;
    let export: Value = serde_json::from_str(text.as_str().context("a text")?)?;
    let runs = export["records"].as_array().context("records")?.iter().filter(|one| one["kind"] == "run");
    assert_eq!(runs.count(), before.len());
    // It opens again, and goes on as soon as there is room: the tap that failed is made once more.
    tab.reload().await?;
    ready(tab).await?;
    assert_eq!(runs_kept(tab).await?, before);
    tab.click(&marked("verb")).await?;
    tab.wait_for(&marked("no-room")).await?;
    tab.room(&origin, None).await?;
    tokio::time::sleep(Duration::from_secs(32)).await;
    save(tab).await?;
    tab.wait(&format!("!{}", is_seen("no-room"))).await?;
    coach.device.wait_until("confirmed").await?;
    assert_eq!(runs_kept(tab).await?.len(), before.len() + 1);
    coach.done().await
}

#[tokio::test]
async fn two_tabs_record_at_once_and_each_shows_what_the_other_has() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    let other = coach.device.other_tab(PHONE).await?;
    other.open(&coach.server.url("/#/trackside")).await?;
    ready(&other).await?;

    // One by one: each sees the other's.
    save(&other).await?;
    tab.wait(&format!("{} === 1", count_of("last-run"))).await?;
    save(tab).await?;
    other.wait(&format!("{} === 2", count_of("last-run"))).await?;

    // At once, without waiting for each other: every tap of both is a run.
    let tap = "(async () => {
        const button = () => document.querySelector('[data-test=\"verb\"]');
        const free = async () => {
            while (button()?.getAttribute('aria-disabled') !== 'false') await new Promise(done => setTimeout(done, 5));
        };
        for (let run = 0; run < RUNS; run += 1) {
            await free();
            const before = document.querySelector('[data-test=\"last-run\"]')?.dataset.id;
            button().click();
            for (let look = 0; look < 400; look += 1) {
                await new Promise(done => setTimeout(done, 5));
                if (document.querySelector('[data-test=\"last-run\"]')?.dataset.id !== before) break;
            }
        }
        return RUNS;
    })()"
    .replace("RUNS", &RUNS_EACH.to_string());
    let (one, two) = tokio::join!(tab.eval(&tap), other.eval(&tap));
    (one?, two?);
    let all = 2 + 2 * RUNS_EACH;
    let mut count = 0;
    for _ in 0..100 {
        count = runs_kept(tab).await?.len();
        if count == all {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    assert_eq!(count, all, "every tap of both tabs is kept");
    for one in [tab, &other] {
        one.front().await?;
        one.wait("document.querySelector('[data-test=\"save-state\"]').dataset.state === 'confirmed'")
            .await?;
        assert_eq!(shown(one).await?.len(), all);
    }
    assert_eq!(other.faults(), Vec::<String>::new());
    coach.done().await
}

#[tokio::test]
async fn runs_on_the_screen_outlive_a_page_that_crashes_between_the_tap_and_the_save() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let url = coach.server.url("/#/trackside");
    let mut seen = BTreeSet::new();
    for after_ms in CRASH_AFTER_MS {
        let tab = &coach.device.tab;
        seen.extend(shown(tab).await?);
        tab.pointer_down(&marked("verb"), true).await?;
        tokio::time::sleep(Duration::from_millis(after_ms)).await;
        // Whatever the screen shows at this moment has to be there for ever.
        let ids = "[...document.querySelectorAll('[data-test=\"last-run\"]')].map(run => run.dataset.id)";
        let before: BTreeSet<String> = serde_json::from_value(tab.eval(ids).await?)?;
        seen.extend(before);
        coach.device.crash_and_open(&url, PHONE).await?;
        let tab = &coach.device.tab;
        ready(tab).await?;
        let found = runs_kept(tab).await?;
        let lost: Vec<&String> = seen.difference(&found).collect();
        assert!(lost.is_empty(), "after {after_ms} ms {lost:?} were shown and are lost");
        assert!(found.len() <= seen.len() + 1, "the run in the middle is there once or not at all");
        seen = found;
    }
    assert!(!seen.is_empty());
    // Everything reaches the server, once.
    coach.device.wait_until("confirmed").await?;
    assert_eq!(runs_kept(&coach.device.tab).await?, seen);
    coach.done().await
}

#[tokio::test]
async fn a_cold_start_without_a_server_records_and_all_is_confirmed_when_it_is_back() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    coach.device.wait_until("confirmed").await?;
    tab.wait("navigator.serviceWorker.controller").await?;
    coach.server.stop().await?;
    // Phone and program off; then the phone alone is switched on, at the field.
    coach.device.die_and_open(&coach.server.url("/#/trackside"), PHONE).await?;
    let tab = &coach.device.tab;
    ready(tab).await?;
    for _ in 0..3 {
        save(tab).await?;
    }
    assert_eq!(state(tab).await?, "device");
    let runs = runs_kept(tab).await?;
    assert_eq!(runs.len(), 3);
    coach.device.die_and_open(&coach.server.url("/#/trackside"), PHONE).await?;
    ready(&coach.device.tab).await?;
    assert_eq!(runs_kept(&coach.device.tab).await?, runs);
    // The browser writes its cookies down now and then only: whoever switches off at once may need a link again.
    coach.server.start().await?;
    coach.device.tab.open(&coach.server.link).await?;
    coach.device.wait_until("confirmed").await?;
    let next = Device::open(&coach.server.link_again().await?, PHONE).await?;
    exchange(&next).await?;
    come_to_have(&next.tab, &runs).await?;
    next.done().await?;
    coach.done().await
}

/// Lets the page's clock run ahead by what stands in the tab's session storage, in milliseconds.
const WRONG_CLOCK: &str = "(() => {
    const Right = Date;
    const ahead = () => Number(sessionStorage.getItem('ahead') ?? 0);
    globalThis.Date = class extends Right {
        constructor(...parts) { if (parts.length) super(...parts); else super(Right.now() + ahead()); }
        static now() { return Right.now() + ahead(); }
    };
})()";

#[tokio::test]
async fn a_record_of_a_clock_that_ran_ahead_is_explained_and_sent_once_the_clock_is_right() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    coach.device.wait_until("confirmed").await?;
    let tab = &coach.device.tab;
    tab.before_pages(WRONG_CLOCK).await?;
    tab.reload().await?;
    let set_ahead = async |days: u32| {
        tab.eval(&format!("sessionStorage.setItem('ahead', {})", u64::from(days) * 24 * 60 * 60 * 1000)).await
    };
    begin(&coach.device).await?;
    set_ahead(3).await?;
    save(tab).await?;
    coach.device.wait_until("trouble").await?;
    let runs = runs_kept(tab).await?;
    assert_eq!(runs.len(), 1, "it stays on this device");
    tab.click(&marked("save-state")).await?;
    tab.wait_for_text("this device's clock is more than a day ahead").await?;
    // Sent again, it goes with the server's time.
    tab.click(&marked("send-refused")).await?;
    close_sheet(tab).await?;
    coach.device.wait_until("confirmed").await?;
    save(tab).await?;
    coach.device.wait_until("trouble").await?;
    // Set right, the clock is enough: what follows is taken, and what was refused goes along.
    set_ahead(0).await?;
    tab.click(&marked("verb")).await?;
    let mut runs = runs_kept(tab).await?;
    while runs.len() < 3 {
        tokio::time::sleep(Duration::from_millis(50)).await;
        runs = runs_kept(tab).await?;
    }
    coach.device.wait_until("confirmed").await?;
    let next = Device::open(&coach.server.link_again().await?, PHONE).await?;
    exchange(&next).await?;
    come_to_have(&next.tab, &runs).await?;
    next.done().await?;
    coach.done().await
}

fn copy_folder(from: &Path, to: &Path) -> Result<()> {
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        if entry.file_name().to_string_lossy().starts_with("lanewright.sqlite") {
            std::fs::copy(entry.path(), to.join(entry.file_name()))?;
        }
    }
    Ok(())
}

#[tokio::test]
async fn a_server_that_was_put_back_is_filled_up_again_by_the_phone() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    save(&coach.device.tab).await?;
    coach.device.wait_until("confirmed").await?;
    coach.server.stop().await?;
    let copy = tempfile::tempdir()?;
    copy_folder(coach.server.data(), copy.path())?;
    coach.server.start().await?;
    for _ in 0..3 {
        save(&coach.device.tab).await?;
    }
    exchange(&coach.device).await?;
    let runs = runs_kept(&coach.device.tab).await?;
    assert_eq!(runs.len(), 4);

    // The disk broke; what was copied is put back.
    coach.server.stop().await?;
    for entry in std::fs::read_dir(coach.server.data())? {
        let path = entry?.path();
        if path.is_file() {
            std::fs::remove_file(path)?;
        }
    }
    copy_folder(copy.path(), coach.server.data())?;
    coach.server.start().await?;
    exchange(&coach.device).await?;
    assert_eq!(runs_kept(&coach.device.tab).await?, runs);
    let next = Device::open(&coach.server.link, PHONE).await?;
    exchange(&next).await?;
    come_to_have(&next.tab, &runs).await?;
    next.done().await?;
    coach.done().await
}

#[tokio::test]
async fn an_app_that_could_not_be_kept_says_so_once_goes_on_recording_and_tries_again() -> Result<()> {
    let front = Front::listen().await?;
    // One file of the app does not come, as when the device is full or the network breaks off.
    front.fail(Some("/icons/mark-180.png"));
    let coach = Coach::behind(&front, PHONE).await?;
    let tab = &coach.device.tab;
    tab.wait_for(&marked("not-kept")).await?;
    let said = tab.text(&marked("not-kept")).await?;
    assert!(said.contains("without a network") && said.contains("Recording works"), "{said}");
    begin(&coach.device).await?;
    assert_eq!(tab.eval(&is_seen("not-kept")).await?, false, "not in the way of the work");
    save(tab).await?;
    coach.device.wait_until("confirmed").await?;
    coach.device.go("class").await?;
    tab.click(&marked("understood")).await?;
    tab.wait(&format!("!{}", is_seen("not-kept"))).await?;
    tab.reload().await?;
    tab.wait_for(&marked("screen-class")).await?;
    tokio::time::sleep(Duration::from_millis(800)).await;
    assert_eq!(tab.eval(&is_seen("not-kept")).await?, false, "once is enough");
    // It stands where the data is, with the rest.
    tab.click(&marked("save-state")).await?;
    tab.wait_for_text("could not be kept on this device").await?;
    close_sheet(tab).await?;

    // On another device nobody has understood it yet: there it can be tried again on the spot.
    tab.eval("localStorage.removeItem('lanewright-understood-not-kept')").await?;
    tab.reload().await?;
    tab.wait_for(&marked("keep-again")).await?;
    front.fail(None);
    tab.click(&marked("keep-again")).await?;
    tab.wait("navigator.serviceWorker.controller").await?;
    tab.wait(&format!("!{}", is_seen("not-kept"))).await?;
    coach.done().await
}
