//! Trackside: few taps, and what was shown as saved is there, whatever happens to the tab.

use std::collections::BTreeSet;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use lanewright_e2e::{PHONE, Tab, marked};

use crate::coach::{Coach, count_of};
use crate::helper::kept;

/// Runs that are recorded before the tab dies.
const RUNS: usize = 30;

/// Goes to Trackside and waits until a run can be recorded.
async fn begin(coach: &Coach) -> Result<()> {
    coach.device.go("trackside").await?;
    ready(&coach.device.tab).await
}

/// Waits until the big button takes the next run.
async fn ready(tab: &Tab) -> Result<()> {
    tab.wait("document.querySelector('[data-test=\"verb\"]')?.getAttribute('aria-disabled') === 'false'")
        .await
}

/// Returns the record ids of the runs that the list shows, latest first.
async fn shown(tab: &Tab) -> Result<Vec<String>> {
    tab.wait_for(&marked("last-runs")).await?;
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

#[tokio::test]
async fn runs_shown_as_saved_outlive_a_tab_that_dies_in_the_middle_of_a_tap() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    for run in 0..RUNS {
        if run % 3 == 1 {
            tab.click(&marked("hurdle-2")).await?;
            tab.click(&marked("hurdle-3")).await?;
        }
        save(tab).await?;
    }
    let saved = shown(tab).await?;
    assert_eq!(saved.len(), RUNS);

    // A finger is down when everything dies: that run was never shown as saved.
    let url = coach.server.url("/#/trackside");
    tab.pointer_down(&marked("verb"), false).await?;
    coach.device.die_and_open(&url, PHONE).await?;
    let tab = &coach.device.tab;
    ready(tab).await?;
    assert_eq!(shown(tab).await?, saved, "every run is there, once");

    // The finger is up again, and the run is on its way to the disk: it is there once or not at all.
    tab.pointer_down(&marked("verb"), true).await?;
    coach.device.die_and_open(&url, PHONE).await?;
    let tab = &coach.device.tab;
    ready(tab).await?;
    let after = shown(tab).await?;
    let once: BTreeSet<&String> = after.iter().collect();
    assert_eq!(once.len(), after.len(), "no run is there twice");
    assert!(saved.iter().all(|id| once.contains(id)), "every run that was shown is there");
    assert!((RUNS..=RUNS + 1).contains(&after.len()), "{} runs", after.len());
    coach.done().await
}

#[tokio::test]
async fn a_clean_run_is_one_tap_and_two_knocks_with_a_fault_are_four_without_a_server_too() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    coach.device.wait_until("confirmed").await?;
    coach.server.stop().await?;
    let tab = &coach.device.tab;
    tab.click(&marked("watch-technique")).await?;
    tab.eval(
        "globalThis.taps = 0; addEventListener('click', event => { if (event.isTrusted) taps += 1 }, true)",
    )
    .await?;

    let first = tab.text(&marked("track-name")).await?;
    save(tab).await?;
    assert_eq!(tab.eval("taps").await?, 1, "a clean run");
    assert!(tab.text(&marked("last-run")).await?.contains(&first));
    let second = tab.text(&marked("track-name")).await?;
    assert_ne!(first, second, "the next child comes up");
    let said = tab.text(&marked("sentence")).await?;
    assert!(said.starts_with(&first), "the sentence names the child: {said}");

    tab.click(&marked("hurdle-3")).await?;
    tab.click(&marked("hurdle-4")).await?;
    tab.click(&format!("{} .fault.key", marked("screen-trackside"))).await?;
    assert!(tab.text(&marked("verb")).await?.contains("2 down"));
    save(tab).await?;
    assert_eq!(tab.eval("taps").await?, 5, "two knocks and a fault");
    let row = tab.text(&marked("last-run")).await?;
    assert!(row.contains(&second) && row.contains("3, 4"), "{row}");
    coach.device.wait_until("device").await?;

    // Undo brings the child back.
    tab.click(&marked("track-undo")).await?;
    tab.wait(&format!("{} === 1", count_of("last-run"))).await?;
    assert_eq!(tab.text(&marked("track-name")).await?, second);
    coach.done().await
}

#[tokio::test]
async fn the_moment_of_the_press_is_the_time_of_the_run() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    // The finger stays down for a second before it leaves the button.
    let times = tab
        .eval(
            "(async () => {
               const verb = document.querySelector('[data-test=\"verb\"]');
               const pressed = Date.now();
               verb.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true }));
               await new Promise(done => setTimeout(done, 1000));
               verb.click();
               return pressed;
             })()",
        )
        .await?;
    let pressed = times.as_f64().context("a time")?;
    tab.wait_for(&marked("last-run")).await?;
    let record = tab
        .eval(
            "new Promise((done, fail) => {
               indexedDB.databases().then(([{ name }]) => {
                 const open = indexedDB.open(name);
                 open.onerror = fail;
                 open.onsuccess = () => {
                   const all = open.result.transaction('records').objectStore('records').getAll();
                   all.onsuccess = () => {
                     const records = all.result.map(each => typeof each === 'string' ? JSON.parse(each) : each);
                     done(records.find(each => each.kind === 'run').body.run.at_ms);
                     open.result.close();
                   };
                 };
               });
             })",
        )
        .await?;
    let at = record.as_f64().context("a time")?;
    assert!((at - pressed).abs() < 500.0, "pressed at {pressed}, stamped {at}");
    coach.done().await
}

#[tokio::test]
async fn a_correction_counts_and_says_what_was_recorded_first() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    save(tab).await?;
    tab.click(&marked("last-run")).await?;
    tab.wait_for(&marked("correcting")).await?;
    tab.click(&marked("hurdle-2")).await?;
    tab.click(&marked("verb")).await?;
    tab.wait_for(&marked("corrected")).await?;
    let row = tab.text(&marked("last-run")).await?;
    assert!(row.contains("1 down (2)") && row.contains("First recorded: clean"), "{row}");
    ready(tab).await?;

    tab.click(&marked("last-run")).await?;
    tab.click(&marked("no-such-run")).await?;
    tab.wait(&format!("{} === 0", count_of("last-run"))).await?;
    assert!(tab.text(&marked("taken-out")).await?.contains("clean"));
    coach.done().await
}

#[tokio::test]
async fn a_whole_lane_and_a_paper_sheet_are_saved_at_once() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.click(&marked("part-sweep")).await?;
    tab.wait_for(&marked("look")).await?;
    let children = tab.count(&marked("look")).await?;
    tab.click(&marked("sweep-all")).await?;
    tab.click(&marked("look")).await?;
    tab.click(&marked("sweep-save")).await?;
    tab.wait_for_text(&format!("{} got it, 1 not yet", children - 1)).await?;
    tab.wait(&format!("document.querySelectorAll('[data-look=\"not-seen\"]').length === {children}")).await?;
    // Who of the lane was looked at stays in sight, after a reload too.
    let saved = format!(
        "['got-it', 'not-yet'].map(look => document.querySelectorAll(`[data-saved=\"${{look}}\"]`).length).join()
            === '{},1'",
        children - 1
    );
    tab.wait(&saved).await?;
    picture(tab, "trackside-sweep-saved.png").await?;
    assert!(tab.text(&marked("sweep-saved")).await?.contains(&format!("{children} of {children}")));
    tab.reload().await?;
    tab.wait_for(&marked("part-sweep")).await?;
    tab.click(&marked("part-sweep")).await?;
    tab.wait(&saved).await?;

    tab.click(&marked("part-paper")).await?;
    let field = |place: u32| format!("{} li:nth-child({place}) input", marked("paper-rows"));
    tab.fill(&field(1), "0 34 5").await?;
    tab.fill(&field(2), "0 99").await?;
    tab.wait_for(&format!("{} .entry-error", marked("paper-rows"))).await?;
    assert_eq!(tab.eval("document.querySelector('[data-test=\"paper-save\"]').disabled").await?, true);
    tab.fill(&field(2), "0").await?;
    tab.click(&marked("paper-save")).await?;
    tab.wait_for_text("4 runs from paper").await?;
    tab.click(&marked("part-runs")).await?;
    assert_eq!(shown(tab).await?.len(), 4);
    coach.done().await
}

#[tokio::test]
async fn a_page_stays_as_it_is_while_records_are_saved_and_confirmed() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.eval("document.querySelector('[data-test=\"screen-trackside\"]').dataset.kept = 'yes'").await?;
    save(tab).await?;
    coach.device.wait_until("confirmed").await?;
    let kept = "document.querySelector('[data-test=\"screen-trackside\"]').dataset.kept ?? 'no'";
    assert_eq!(tab.eval(kept).await?, "yes", "somebody may be typing in it");
    coach.done().await
}

#[tokio::test]
async fn a_run_that_did_not_happen_is_taken_out_later_and_counted_again() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    let name = tab.text(&marked("track-name")).await?;
    save(tab).await?;

    // Another visit: nothing is left to undo, the run is among the child's runs.
    let url = coach.server.url("/#/findings");
    coach.device.die_and_open(&url, PHONE).await?;
    let tab = &coach.device.tab;
    let row = format!("[data-test=\"finding\"][data-name=\"{name}\"]");
    // The list may be drawn anew when the server has answered; what was opened is closed then. Open it until it stays.
    tab.wait("/was signed out|no key to the server yet|Confirmed/.test(document.body.innerText)").await?;
    for (inside, opens) in [("runs-of", "summary"), ("take-out", "[data-test=\"runs-of\"]")] {
        tab.wait(&format!(
            "(row => {{
               const inside = row?.querySelector('[data-test=\"{inside}\"]');
               if (!inside?.checkVisibility()) row?.querySelector('{opens}')?.click();
               return inside?.checkVisibility();
             }})(document.querySelector('{row}'))"
        ))
        .await?;
    }
    tab.click(&format!("{row} {}", marked("take-out"))).await?;
    tab.wait(&format!("{} === 0", count_of("run-of"))).await?;
    // It was the child's only run: it stands in a list of its own, on this day and later.
    tab.wait_for(&format!("{} {}", marked("other-outs"), marked("taken-out"))).await?;
    assert!(tab.text(&marked("other-outs")).await?.contains(&name));

    coach.device.go("trackside").await?;
    let tab = &coach.device.tab;
    tab.wait(&format!("{} === 0 && {} === 1", count_of("last-run"), count_of("taken-out"))).await?;
    tab.click(&marked("count-again")).await?;
    tab.wait(&format!("{} === 1 && {} === 0", count_of("last-run"), count_of("taken-out"))).await?;
    assert!(tab.text(&marked("last-run")).await?.contains(&name));
    coach.done().await
}

#[tokio::test]
async fn the_next_look_is_named_and_a_tap_takes_that_child_without_changing_the_queue() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    // Nobody was seen: the first in the queue is up and is the one to watch.
    let first = tab.text(&marked("track-name")).await?;
    tab.wait_for(&marked("watch-now")).await?;
    let order = "[...document.querySelectorAll('[data-test=\"then\"]')].map(child => child.dataset.name)";
    let queue = tab.eval(order).await?;
    // Somebody else takes a turn: the hint names the child who is still unseen, and the reason.
    tab.click(&marked("then")).await?;
    assert_ne!(tab.text(&marked("track-name")).await?, first);
    let hint = tab.text(&marked("watch-next")).await?;
    assert!(hint.contains(&first) && hint.contains("Not seen yet"), "{hint}");
    tab.click(&marked("watch-next")).await?;
    tab.wait_for(&marked("watch-now")).await?;
    assert_eq!(tab.text(&marked("track-name")).await?, first);
    assert_eq!(tab.eval(order).await?, queue, "the queue stands as it stood");
    // After the run the hint goes on to the next unseen child, who is up.
    save(tab).await?;
    assert_ne!(tab.text(&marked("track-name")).await?, first);
    tab.wait_for(&marked("watch-now")).await?;
    coach.done().await
}

#[tokio::test]
async fn whatever_is_tapped_trackside_is_large_enough_for_wet_hands() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.click(&marked("watch-technique")).await?;
    save(tab).await?;
    let small = "[...document.querySelectorAll('[data-test=\"screen-trackside\"] button, .verb-bar button, .track-setup summary')]
        .filter(el => el.checkVisibility())
        .filter(el => { const box = el.getBoundingClientRect(); return box.height < 63.5 || box.width < 63.5 })
        .map(el => el.outerHTML.slice(0, 100))";
    assert_eq!(tab.eval(small).await?, serde_json::json!([]));
    coach.done().await
}

/// Returns the runs that lie on the phone, in the order of their presses.
async fn runs_kept(tab: &Tab) -> Result<Vec<serde_json::Value>> {
    let mut runs: Vec<serde_json::Value> = kept(tab)
        .await?
        .into_iter()
        .filter(|record| record["kind"] == "run" && record["body"]["void"] != true)
        .map(|record| record["body"]["run"].clone())
        .collect();
    runs.sort_by_key(|run| run["at_ms"].as_i64());
    Ok(runs)
}

/// Taps the tiles of the first children on Today and waits until each says what it is by then; returns their names.
async fn tap_first_tiles(coach: &Coach, count: usize, becomes: &str) -> Result<Vec<String>> {
    coach.device.go("today").await?;
    let tab = &coach.device.tab;
    let mut names = Vec::new();
    for place in 1..=count {
        let tile = format!("{} li:nth-child({place}) [data-test=\"tile\"]", marked("roll"));
        tab.click(&tile).await?;
        let now = format!("document.querySelector('{tile}').dataset.presence");
        tab.wait(&format!("{now} === '{becomes}'")).await?;
        let name = tab.eval(&format!("document.querySelector('{tile}').dataset.name")).await?;
        names.push(name.as_str().context("a name")?.to_owned());
    }
    Ok(names)
}

/// Saves a picture of what is in sight where somebody wants to look at it.
async fn picture(tab: &Tab, name: &str) -> Result<()> {
    match std::env::var("LANEWRIGHT_PICTURES") {
        Ok(folder) => tab.picture(&std::path::Path::new(&folder).join(name), false).await,
        Err(_) => Ok(()),
    }
}

/// Returns what the screen Lanes says is to be laid with a tape, lane by lane.
async fn laid_out(tab: &Tab) -> Result<Vec<String>> {
    tab.wait_for(&marked("lane")).await?;
    let laid = "[...document.querySelectorAll('[data-test=\"lane\"]')].map(lane => lane.dataset.lane + ' ' +
        [...lane.querySelectorAll('.setting')].map(setting => setting.innerText).join(' '))";
    Ok(serde_json::from_value(tab.eval(laid).await?)?)
}

#[tokio::test]
async fn the_lanes_stand_once_a_run_is_saved_and_who_comes_late_moves_no_hurdle() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let names = tap_first_tiles(&coach, 3, "absent").await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    assert_eq!(tab.count(&marked("lanes-stand")).await?, 0, "nothing was recorded");
    save(tab).await?;
    let line = format!("{} p", marked("lanes-stand"));
    tab.wait_for(&line).await?;
    let stood = tab.text(&line).await?;
    assert!(stood.contains("Lanes stand since"), "{stood}");
    picture(tab, "trackside-stands.png").await?;
    // Over the strip, too, where the screen begins.
    assert!(tab.text(&marked("strip-finish")).await?.contains("stands since"));
    coach.device.go("lanes").await?;
    let laid = laid_out(tab).await?;

    coach.device.go("today").await?;
    for (place, name) in names.iter().enumerate() {
        tab.click(&format!("{} li:nth-child({}) [data-test=\"tile\"]", marked("roll"), place + 1)).await?;
        tab.wait_for_text(&format!("{name} runs in lane")).await?;
    }
    begin(&coach).await?;
    assert_eq!(tab.text(&line).await?, stood, "gaps and since when stay as they were");
    // The lanes screen says the same; there today's plan can be laid, and beside the lane that is taken back.
    coach.device.go("lanes").await?;
    assert_eq!(tab.text(&line).await?, stood);
    picture(tab, "lanes-stand.png").await?;
    assert_eq!(laid_out(tab).await?, laid, "the cards and the floor show what stands");
    let lanes = coach.device.lanes().await?.join("\n");
    assert!(
        names.iter().all(|name| lanes.contains(name.as_str())),
        "who came late stands in a lane: {lanes}"
    );
    tab.click(&marked("lay-anew")).await?;
    tab.wait_for_text("laid anew:").await?;
    tab.wait(&format!("{} === 0", count_of("lay-anew"))).await?;
    assert_ne!(laid_out(tab).await?, laid, "else nothing was asked here");
    begin(&coach).await?;
    tab.click(&marked("track-undo")).await?;
    tab.wait_for(&marked("lay-anew")).await?;
    assert_eq!(tab.text(&line).await?, stood);
    // Without the only run they follow the plan again.
    tab.click(&marked("track-undo")).await?;
    tab.wait(&format!("{} === 0 && {} === 0", count_of("last-run"), count_of("lanes-stand"))).await?;
    coach.done().await
}

/// Chooses a lane until it stays chosen: the page moves to the child by itself, and a tap meanwhile goes astray.
async fn to_lane(tab: &Tab, lane: &str) -> Result<()> {
    for _ in 0..20 {
        tab.click(&marked(&format!("lane-{lane}"))).await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        if tab.text(&marked("run-lane")).await? == lane {
            return Ok(());
        }
    }
    bail!("lane {lane} does not stay chosen")
}

#[tokio::test]
async fn marks_that_are_not_saved_outlive_another_lane_and_a_reload() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    to_lane(tab, "A").await?;
    let name = tab.text(&marked("track-name")).await?;
    let down = format!("{}.down", marked("hurdle-2"));
    tab.click(&marked("hurdle-2")).await?;
    tab.wait_for(&down).await?;
    to_lane(tab, "B").await?;
    tab.wait(&format!("!document.querySelector('{down}')")).await?;
    to_lane(tab, "A").await?;
    tab.wait_for(&down).await?;
    tab.reload().await?;
    ready(tab).await?;
    tab.wait_for(&down).await?;
    assert_eq!(
        (tab.text(&marked("track-name")).await?, tab.text(&marked("run-lane")).await?),
        (name, "A".into())
    );
    save(tab).await?;
    let runs = runs_kept(tab).await?;
    assert_eq!(runs[0]["knocked"], serde_json::json!([2]));
    // Saved, they are gone for good.
    tab.reload().await?;
    ready(tab).await?;
    assert_eq!(tab.count(".hurdle.down").await?, 0);
    coach.done().await
}

#[tokio::test]
async fn the_leg_is_written_down_only_where_somebody_looked() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    let pressed = "document.querySelectorAll('.track-lead [aria-pressed=\"true\"]').length";
    assert_eq!(tab.eval(pressed).await?, 0, "a leg is proposed, none is chosen");
    assert_eq!(tab.count(".track-lead .proposed").await?, 1);
    save(tab).await?;
    tab.click(&marked("lead-right")).await?;
    save(tab).await?;
    let legs: Vec<serde_json::Value> =
        runs_kept(tab).await?.into_iter().map(|run| run["lead"].clone()).collect();
    assert_eq!(legs, [serde_json::Value::Null, serde_json::json!("right")]);
    coach.done().await
}

#[tokio::test]
async fn the_nearest_hurdles_are_in_sight_on_the_first_opening() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    for hurdle in ["hurdle-1", "hurdle-2"] {
        tab.wait(&format!(
            "(box => box.top >= 0 && box.bottom <= document.querySelector('.verb-bar').getBoundingClientRect().top + 1)
               (document.querySelector('{}').getBoundingClientRect())",
            marked(hurdle)
        ))
        .await?;
    }
    let name = "document.querySelector('[data-test=\"track-name\"]').getBoundingClientRect().top >= 0";
    tab.wait(name).await?;
    coach.done().await
}

#[tokio::test]
async fn a_hurdle_that_falls_more_easily_is_marked_and_that_takes_no_room_from_eight() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    coach.device.go("lanes").await?;
    tab.click(&marked("ask-lanes")).await?;
    tab.click(&marked("lanes-3")).await?;
    tab.click(&marked("choice-done")).await?;
    begin(&coach).await?;
    tab.wait(&format!("document.querySelectorAll('{} li').length === 8", marked("strip"))).await?;
    tab.click(&marked("part-paper")).await?;
    for place in 1..=6 {
        let field = format!("{} li:nth-child({place}) input", marked("paper-rows"));
        tab.fill(&field, "0 3 3 0 3 3").await?;
    }
    tab.click(&marked("paper-save")).await?;
    tab.wait_for_text("36 runs from paper").await?;
    tab.click(&marked("part-runs")).await?;
    tab.wait_for(&format!("{}.odd", marked("hurdle-3"))).await?;
    tab.wait_for(&marked("lane-said")).await?;
    // The screen begins at the child. Eight rows for wet hands are more than a phone holds, by one: what is said takes
    // no more of them.
    picture(tab, "trackside-odd-hurdle.png").await?;
    let above_bar = "(box => box.top >= 0 && box.bottom <= document.querySelector('.verb-bar').getBoundingClientRect().top + 1)
        (document.querySelector('[data-test=\"hurdle-2\"]').getBoundingClientRect())";
    tab.wait(above_bar).await?;
    // Its words are one line over the button; read, they and the mark go.
    tab.click(&format!("{} summary", marked("lane-said"))).await?;
    tab.click(&marked("lane-said-read")).await?;
    tab.wait(&format!("{} === 0 && !document.querySelector('.hurdle.odd')", count_of("lane-said"))).await?;
    coach.done().await
}

#[tokio::test]
async fn who_is_absent_is_marked_among_the_others_and_is_here_after_a_run() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let names = tap_first_tiles(&coach, 1, "absent").await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.click(&marked("track-who")).await?;
    let tile = format!("{}[data-name=\"{}\"]", marked("somebody-tile"), names[0]);
    assert!(tab.text(&tile).await?.contains("absent"));
    tab.click(&tile).await?;
    tab.click(&marked("verb")).await?;
    tab.wait_for_text("is here now").await?;
    ready(tab).await?;
    coach.device.go("today").await?;
    let presence =
        format!("document.querySelector('{}[data-name=\"{}\"]').dataset.presence", marked("tile"), names[0]);
    tab.wait(&format!("{presence} === 'present'")).await?;
    // One step: the run and that the child is here.
    begin(&coach).await?;
    tab.click(&marked("track-undo")).await?;
    tab.wait(&format!("{} === 0", count_of("last-run"))).await?;
    coach.device.go("today").await?;
    tab.wait(&format!("{presence} === 'absent'")).await?;
    coach.done().await
}

#[tokio::test]
async fn a_note_goes_with_its_screen_and_after_a_while() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    let silent = "!document.querySelector('[data-test=\"said\"]')?.innerText";
    tap_first_tiles(&coach, 1, "absent").await?;
    tab.wait(&format!("!({silent})")).await?;
    coach.device.go("kit").await?;
    tab.wait(silent).await?;
    tap_first_tiles(&coach, 1, "present").await?;
    tab.wait(&format!("!({silent})")).await?;
    tab.wait(silent).await?;
    coach.done().await
}
