//! Times and turns on Trackside: two people time a class, and nothing is lost, crossed or said too early.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use anyhow::{Context, Result};
use lanewright_e2e::{PHONE, Tab, marked};
use serde_json::json;

use crate::coach::{Coach, DEMO_CHILDREN, Device, count_of};
use crate::helper::exchange;

/// Children of a full class, and how often each runs.
const CHILDREN: u64 = 30;
const RUNS_EACH: u64 = 3;
/// Children on the way at once.
const AT_ONCE: u64 = 3;

/// Notes every press in the page: what stood on the button, and when the finger came down.
const NOTE_PRESSES: &str = "globalThis.presses = [];
    addEventListener('pointerdown', event => {
      const button = event.target.closest?.('[data-test=\"press-start\"], [data-test=\"press-mark\"]');
      if (button && !button.disabled) {
        presses.push([button.innerText.trim(), performance.timeOrigin + event.timeStamp]);
      }
    }, true)";

/// Goes to the times of the whole class.
async fn begin(device: &Device) -> Result<()> {
    device.go("trackside").await?;
    device.tab.click(&marked("what-times")).await?;
    device.tab.click(&marked("times-lane-all")).await?;
    device.tab.wait_for(&marked("press-start")).await
}

/// Puts the two marks at so many metres. The tests press within tenths of a second: over a metre a child may do that,
/// over the ten that are proposed nobody.
async fn set_marks(tab: &Tab, [first, second]: [&str; 2]) -> Result<()> {
    let at = |row: u32| format!("{} li:nth-child({row}) {}", marked("mark-rows"), marked("mark-at"));
    tab.click(&format!("{} summary", marked("times-setup"))).await?;
    tab.fill(&at(1), first).await?;
    tab.fill(&at(2), second).await?;
    tab.click(&marked("marks-save")).await?;
    has_marks(tab, second).await?;
    tab.click(&format!("{} summary", marked("times-setup"))).await
}

/// Waits until the line of the marks ends with the one at so many metres.
async fn has_marks(tab: &Tab, last: &str) -> Result<()> {
    let line = format!("document.querySelector('{} summary').innerText", marked("times-setup"));
    tab.wait(&format!("{line}.includes('mark 2 at {last}.00 m')")).await
}

async fn take_role(tab: &Tab, role: &str) -> Result<()> {
    tab.click(&format!("{} summary", marked("times-setup"))).await?;
    tab.click(&marked(&format!("role-{role}"))).await?;
    tab.click(&format!("{} summary", marked("times-setup"))).await
}

/// Waits until the finger may come down again without counting as a bounce.
async fn breathe() {
    tokio::time::sleep(Duration::from_millis(170)).await;
}

async fn start(tab: &Tab) -> Result<String> {
    let name = tab.text(&marked("press-start")).await?;
    tab.click(&marked("press-start")).await?;
    tab.wait(&format!("document.querySelector('[data-test=\"press-start\"]').innerText !== {name:?}"))
        .await?;
    breathe().await;
    Ok(name.trim_start_matches("Start ").to_owned())
}

/// A row of the list of times: its id, whose it is, and at each mark the time and what the clocks may be off.
type Row = (String, String, Vec<(u64, f64, f64)>);

async fn rows(tab: &Tab) -> Result<Vec<Row>> {
    if tab.count(&marked("all-times")).await? > 0 {
        tab.click(&marked("all-times")).await?;
    }
    let rows = "[...document.querySelectorAll('[data-test=\"time-row\"]')].map(row => [row.dataset.id, row.dataset.name,
        [...row.querySelectorAll('[data-test=\"time-at\"]')].filter(at => at.dataset.time)
          .map(at => [Number(at.dataset.mark), Number(at.dataset.time), Number(at.dataset.clocks)])])";
    Ok(serde_json::from_value(tab.eval(rows).await?)?)
}

#[tokio::test]
async fn two_people_time_thirty_children_three_times_without_a_lost_or_crossed_time() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    for name in ["Ingeborg", "Jolyon"] {
        coach.device.tab.fill(&marked("new-child"), name).await?;
        coach.device.tab.click(&marked("add-child")).await?;
        coach.device.tab.wait_for_text(name).await?;
    }
    assert_eq!(DEMO_CHILDREN + 2, CHILDREN);
    coach.device.wait_until("confirmed").await?;
    // A second phone: the program prints a fresh link when it starts again; the first phone's session goes on.
    coach.server.stop().await?;
    coach.server.start().await?;
    let mark = Device::open(&coach.server.link, PHONE).await?;
    begin(&coach.device).await?;
    set_marks(&coach.device.tab, ["1", "2"]).await?;
    begin(&mark).await?;
    has_marks(&mark.tab, "2").await?;
    take_role(&coach.device.tab, "starts").await?;
    take_role(&mark.tab, "mark-2").await?;
    for tab in [&coach.device.tab, &mark.tab] {
        tab.wait_for("[data-test=\"phones\"][data-kind=\"good\"]").await?;
        tab.eval(NOTE_PRESSES).await?;
    }

    for _ in 0..CHILDREN * RUNS_EACH / AT_ONCE {
        for _ in 0..AT_ONCE {
            start(&coach.device.tab).await?;
        }
        mark.tab.wait(&format!("{} === {AT_ONCE}", count_of("way-child"))).await?;
        for left in (0..AT_ONCE).rev() {
            mark.tab.click(&marked("press-mark")).await?;
            mark.tab.wait(&format!("{} === {left}", count_of("way-child"))).await?;
            breathe().await;
        }
    }
    for device in [&coach.device, &mark] {
        device.wait_until("confirmed").await?;
    }

    let presses =
        |value: serde_json::Value| -> Result<Vec<(String, f64)>> { Ok(serde_json::from_value(value)?) };
    let starts = presses(coach.device.tab.eval("presses").await?)?;
    let marks = presses(mark.tab.eval("presses").await?)?;
    let total = (CHILDREN * RUNS_EACH) as usize;
    assert_eq!((starts.len(), marks.len()), (total, total));
    let here = rows(&mark.tab).await?;
    assert_eq!(here.len(), total, "one time for each start");
    let ids: BTreeSet<&String> = here.iter().map(|(id, ..)| id).collect();
    assert_eq!(ids.len(), total, "no time twice");
    let mut each: BTreeMap<&str, u64> = BTreeMap::new();
    // The list has the latest on top; presses were noted in their order.
    for ((started, marked), (_, name, times)) in starts.iter().zip(&marks).zip(here.iter().rev()) {
        assert_eq!(started.0, format!("Start {name}"));
        assert!(marked.0.starts_with(name.as_str()), "{} pressed, {name} written", marked.0);
        let pressed_s = (marked.1 - started.1) / 1000.0;
        let [(2, time_s, clocks_s)] = times[..] else { panic!("{name}: {times:?}") };
        // Both browsers run on one computer, so the test knows better than the phones: their bound holds.
        let off_s = (time_s - pressed_s).abs();
        assert!(
            clocks_s > 0.0 && off_s < clocks_s + 0.005,
            "{name}: {off_s} s off, said to be within {clocks_s} s"
        );
        *each.entry(name).or_default() += 1;
    }
    assert_eq!(each.len() as u64, CHILDREN);
    assert!(each.values().all(|runs| *runs == RUNS_EACH), "{each:?}");
    // The other phone shows the same.
    coach.device.tab.wait(&format!("{} === 0", count_of("way-child"))).await?;
    assert_eq!(rows(&coach.device.tab).await?, here);
    mark.done().await?;
    coach.done().await
}

#[tokio::test]
async fn times_shown_outlive_a_phone_that_dies_in_the_middle_of_a_tap() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    set_marks(tab, ["1", "2"]).await?;
    for child in 1..=3 {
        start(tab).await?;
        tab.wait(&format!("{} === {child}", count_of("way-child"))).await?;
    }
    // The first two pass both marks.
    for _ in 0..4 {
        let before = tab.count(&marked("time-at")).await?;
        tab.click(&marked("press-mark")).await?;
        tab.wait(&format!("{} === {}", count_of("time-at"), before + 1)).await?;
        breathe().await;
    }
    let saved = rows(tab).await?;
    assert_eq!(saved.iter().map(|(.., times)| times.len()).collect::<Vec<_>>(), [2, 2]);

    // The finger is down at the mark when everything dies.
    let url = coach.server.url("/#/trackside");
    tab.pointer_down(&marked("press-mark"), false).await?;
    coach.device.die_and_open(&url, PHONE).await?;
    let tab = &coach.device.tab;
    // The screen may be drawn anew when the server has answered: choose until it stays.
    tab.wait(
        "(all => {
           if (!all?.checkVisibility()) document.querySelector('[data-test=\"what-times\"]')?.click();
           return all?.checkVisibility();
         })(document.querySelector('[data-test=\"times-lane-all\"]'))",
    )
    .await?;
    // Choices of a device may be lost with its power; records are not.
    tab.click(&marked("times-lane-all")).await?;
    tab.wait_for(&marked("time-row")).await?;
    let after = rows(tab).await?;
    let kept: Vec<&Row> = after.iter().filter(|row| saved.iter().any(|(id, ..)| *id == row.0)).collect();
    assert_eq!(kept, saved.iter().collect::<Vec<_>>(), "every time that was shown is there as it was");
    // The press in the middle is there once or not at all.
    let third: Vec<&Row> = after.iter().filter(|row| !saved.iter().any(|(id, ..)| *id == row.0)).collect();
    assert!(third.iter().all(|(.., times)| times.len() <= 1) && third.len() <= 1, "{third:?}");
    coach.done().await
}

#[tokio::test]
async fn a_wrong_child_is_exchanged_and_every_press_can_be_taken_back() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    set_marks(tab, ["1", "2"]).await?;
    let first = start(tab).await?;
    let second = start(tab).await?;
    tab.wait(&format!("{} === 2", count_of("way-child"))).await?;
    // The second overtakes: the first in the list is pressed all the same.
    tab.click(&marked("press-mark")).await?;
    tab.wait_for(&marked("time-row")).await?;
    let wrong = rows(tab).await?;
    assert_eq!((wrong.len(), wrong[0].1.as_str()), (1, first.as_str()));
    tab.click(&marked("time-row")).await?;
    tab.click(&format!("{}[data-name=\"{second}\"]", marked("swap-with"))).await?;
    tab.wait(&format!("document.querySelector('[data-test=\"time-row\"]')?.dataset.name === {second:?}"))
        .await?;
    let right = rows(tab).await?;
    assert!(right[0].2[0].1 < wrong[0].2[0].1, "the same moment, from the later start");
    assert!(tab.text(&marked("time-row")).await?.contains("corrected"));
    // The exchange is taken back, then the press, then the second start.
    tab.click(&marked("track-undo")).await?;
    tab.wait(&format!("document.querySelector('[data-test=\"time-row\"]')?.dataset.name === {first:?}"))
        .await?;
    tab.click(&marked("track-undo")).await?;
    tab.wait(&format!("{} === 0", count_of("time-row"))).await?;
    tab.click(&marked("track-undo")).await?;
    tab.wait(&format!("{} === 1", count_of("way-child"))).await?;
    assert!(tab.text(&marked("press-start")).await?.contains(&second), "the second is up again");

    // What did not happen is taken out, and counted again.
    tab.click(&marked("press-mark")).await?;
    tab.wait_for(&marked("time-row")).await?;
    tab.click(&marked("time-row")).await?;
    tab.click(&marked("timing-none")).await?;
    tab.wait(&format!("{} === 0 && {} === 1", count_of("time-row"), count_of("time-taken-out"))).await?;
    tab.click(&marked("time-again")).await?;
    tab.wait(&format!("{} === 1 && {} === 0", count_of("time-row"), count_of("time-taken-out"))).await?;
    coach.done().await
}

#[tokio::test]
async fn a_press_that_nobody_can_have_meant_is_asked_about_before_it_is_kept() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    set_marks(tab, ["90", "95"]).await?;
    let child = start(tab).await?;
    tab.click(&marked("press-mark")).await?;
    tab.wait_for(&marked("mark-queried")).await?;
    if let Ok(folder) = std::env::var("LANEWRIGHT_PICTURES") {
        tab.picture(&std::path::Path::new(&folder).join("mark-queried.png"), true).await?;
    }
    assert!(tab.text(&marked("mark-queried")).await?.contains(&child));
    tab.click(&marked("slip-drop")).await?;
    tab.wait(&format!("{} === 0", count_of("mark-queried"))).await?;
    // The child is still on the way; the next press is asked about again, and kept when somebody says so.
    assert_eq!((tab.count(&marked("way-child")).await?, tab.count(&marked("time-at")).await?), (1, 0));
    tab.click(&marked("press-mark")).await?;
    tab.click(&marked("slip-keep")).await?;
    tab.wait(&format!("{} === 1 && {} === 0", count_of("time-at"), count_of("mark-queried"))).await?;
    coach.done().await
}

#[tokio::test]
async fn phones_that_cannot_see_each_other_say_so_and_time_alone() -> Result<()> {
    let mut coach = Coach::with_demo(PHONE).await?;
    coach.device.wait_until("confirmed").await?;
    coach.server.stop().await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    set_marks(tab, ["1", "2"]).await?;
    take_role(tab, "mark-1").await?;
    tab.wait_for("[data-test=\"phones\"][data-kind=\"warn\"]").await?;
    // A press counts all the same: the name comes after, the time when the start is known.
    tab.click(&marked("press-mark")).await?;
    tab.click(&marked("nameless-tile")).await?;
    tab.wait_for(&marked("loose")).await?;
    tab.click(&marked("one-phone")).await?;
    let child = start(tab).await?;
    tab.click(&marked("press-mark")).await?;
    tab.wait_for(&marked("time-row")).await?;
    let row = tab.text(&marked("time-row")).await?;
    assert!(row.contains(&child) && row.contains("one phone") && row.contains('±'), "{row}");
    coach.done().await
}

#[tokio::test]
async fn times_from_a_watch_are_pasted_and_a_bad_line_keeps_all_of_them_out() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    tab.click(&format!("{} summary", marked("typed-times"))).await?;
    tab.fill(&marked("typed-text"), "name;10 m;20 m\nAbiola;2,41;4,12\nNobody;2,0;4,0").await?;
    tab.wait_for(&format!("{} .notice.bad", marked("typed-times"))).await?;
    assert_eq!(tab.eval("document.querySelector('[data-test=\"typed-save\"]').disabled").await?, true);
    tab.fill(&marked("typed-text"), "name;10 m;20 m\nAbiola;2,41;4,12\nBram;;4,0").await?;
    tab.click(&marked("typed-method-gates")).await?;
    tab.click(&marked("typed-save")).await?;
    tab.wait(&format!("{} === 2", count_of("time-row"))).await?;
    let rows = rows(tab).await?;
    assert_eq!(rows[1].2, [(1, 2.41, 0.0), (2, 4.12, 0.0)]);
    assert_eq!(rows[0].2, [(2, 4.0, 0.0)]);
    assert!(tab.text(&marked("time-row")).await?.contains("gates"));
    coach.done().await
}

#[tokio::test]
async fn findings_show_times_with_their_error_and_the_exit_speed_without_ranking_anybody() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    coach.device.go("trackside").await?;
    let tab = &coach.device.tab;
    tab.click(&marked("what-times")).await?;
    tab.click(&marked("times-lane-B")).await?;
    // Gates stand wherever there is room; a second mark is only proposed where presses by hand would do.
    tab.click(&format!("{} summary", marked("times-setup"))).await?;
    tab.wait_for(&marked("mark-at")).await?;
    if tab.count(&marked("mark-at")).await? == 1 {
        tab.click(&marked("mark-add")).await?;
        tab.wait(&format!("{} === 2", count_of("mark-at"))).await?;
        tab.click(&marked("marks-save")).await?;
        tab.wait_for_text("mark 2 at").await?;
    }
    tab.click(&format!("{} summary", marked("times-setup"))).await?;
    tab.click(&format!("{} summary", marked("typed-times"))).await?;
    // The slower child stands first in the class list, and the faster one is typed first.
    let listed = tab
        .eval(
            "[document.querySelector('[data-test=\"press-start\"]').innerText.replace('Start ', ''),
              ...[...document.querySelectorAll('[data-test=\"time-then\"]')].map(child => child.dataset.name)]",
        )
        .await?;
    let names: Vec<String> = serde_json::from_value(listed)?;
    let lines = format!("{};3,0;5,0\n{};2,5;4,0", names[0], names[1]);
    tab.fill(&marked("typed-text"), &lines).await?;
    tab.click(&marked("typed-method-gates")).await?;
    tab.click(&marked("typed-save")).await?;
    tab.wait(&format!("{} === 2", count_of("time-row"))).await?;
    coach.device.go("findings").await?;
    tab.click(&marked("findings-part-pressure")).await?;
    tab.wait(&format!("{} === 2", count_of("pressed"))).await?;
    let order = "[...document.querySelectorAll('[data-test=\"pressed\"]')].map(row => row.dataset.name)";
    let shown: Vec<String> = serde_json::from_value(tab.eval(order).await?)?;
    coach.device.go("class").await?;
    let list = "[...document.querySelectorAll('[data-test=\"child\"]')].map(child => child.innerText.split('\\n')[0])";
    let list: Vec<String> = serde_json::from_value(tab.eval(list).await?)?;
    let listed: Vec<&String> = list.iter().filter(|name| shown.contains(name)).collect();
    assert_eq!(shown.iter().collect::<Vec<_>>(), listed, "in the order of the list");
    coach.device.go("findings").await?;
    tab.click(&marked("findings-part-pressure")).await?;
    let row = format!("[data-test=\"pressed\"][data-name=\"{}\"]", names[0]);
    assert_eq!(tab.text(&format!("{row} .next-step")).await?, "Not enough seen");
    tab.click(&format!("{row} summary")).await?;
    let inside = tab.text(&format!("{row} .times-table")).await?;
    assert!(inside.contains("5.00 s ± ") && inside.contains("gates"), "{inside}");
    let exit = tab.text(&format!("{row} {}", marked("exit-speed"))).await?;
    assert!(exit.contains("m/s") && exit.contains(" to "), "{exit}");
    coach.done().await
}

/// Record ids of the demo class and of its first children.
pub const DEMO_CLASS: &str = "019c894c-3980-7000-8000-000000000001";
pub const DEMO_CHILD: [&str; 2] =
    ["019c894c-3980-7000-8000-000000000064", "019c894c-3980-7000-8000-000000000065"];

/// Puts facts into the class as another device would: through the server.
pub async fn other_device_sends(tab: &Tab, facts: &[(&str, serde_json::Value)]) -> Result<()> {
    let now_ms = now_ms();
    let school = tab.eval("fetch('/api/v1/me').then(answer => answer.json()).then(me => me.school)").await?;
    let records: Vec<_> = (0..)
        .zip(facts)
        .map(|(number, (kind, body))| {
            let id = match body.get("own_id") {
                Some(id) => id.clone(),
                None => json!(format!("019cb001-0000-7000-8000-{number:012x}")),
            };
            let mut body = body.clone();
            body.as_object_mut().expect("a body is an object").remove("own_id");
            json!({
                "id": id, "kind": kind, "version": 1, "body": body, "school": school,
                "stamp": format!("{now_ms}-{number:06}-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e"),
            })
        })
        .collect();
    let push = json!({"records": records}).to_string();
    let answer = tab
        .eval(&format!(
            "fetch('/api/v1/push', {{method: 'POST', headers: {{'content-type': 'application/json'}}, body: {push:?}}})
                .then(answer => answer.json())"
        ))
        .await?;
    assert_eq!(answer["acked"].as_array().map(Vec::len), Some(facts.len()), "{answer}");
    Ok(())
}

/// Returns the time here, in milliseconds since 1970.
pub fn now_ms() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.map_or(0, |since| since.as_millis() as i64)
}

#[tokio::test]
async fn findings_tell_who_holds_and_who_breaks_what_hurdles_cost_and_what_is_a_real_gain() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    let now_ms = now_ms();
    let mut facts = Vec::new();
    for (child, breaks) in DEMO_CHILD.into_iter().zip([false, true]) {
        for number in 0..24i64 {
            let sprint = number % 2 == 1;
            let knocked: &[u32] = if sprint && breaks { &[4, 5, 6, 7, 8] } else { &[] };
            facts.push((
                "run",
                json!({"class": DEMO_CLASS, "run": {
                    "runner": child, "drill": "alternate-run", "lane": "B", "at_ms": now_ms - 60_000 * (40 - number),
                    "hurdles": 8, "knocked": knocked, "watched": "technique", "exit_sprint": sprint, "setup": "B1",
                }}),
            ));
        }
    }
    let (hurdled, flat) = ("019cb001-7a06-7a77-8c3d-2f6b8e1d4c0b", "019cb001-7a06-7a77-8c3d-2f6b8e1d4c0c");
    for (id, ground) in [(hurdled, "hurdled"), (flat, "flat")] {
        let marks = json!([{"at_m": 8.75, "ground": ground}, {"at_m": 18.75, "ground": "flat"}]);
        let at_ms = now_ms - 60_000;
        facts.push((
            "stretch",
            json!({"own_id": id, "class": DEMO_CLASS, "lane": "B", "marks": marks, "at_ms": at_ms}),
        ));
    }
    let day_ms = 86_400_000;
    let runs = [
        (hurdled, 3 * day_ms, [6.0, 6.02, 5.98, 6.01, 6.0, 6.02]),
        (flat, 2 * day_ms, [4.2, 4.22, 4.19, 4.21, 4.2, 4.2]),
        (hurdled, 0, [4.8, 4.81, 4.95, 5.05, 5.1, 5.2]),
    ];
    for (stretch, ago_ms, whole_s) in runs {
        for (number, time_s) in (0i64..).zip(whole_s) {
            facts.push((
                "timing",
                json!({"class": DEMO_CLASS, "timing": {
                    "stretch": stretch, "runner": DEMO_CHILD[0], "method": "gates", "error_s": 0.005,
                    "timed": {"kind": "times", "times_s": [time_s / 2.0, time_s], "at_ms": now_ms - ago_ms - 1000 + number},
                }}),
            ));
        }
    }
    other_device_sends(tab, &facts).await?;
    exchange(&coach.device).await?;
    coach.device.go("findings").await?;
    tab.click(&marked("findings-part-pressure")).await?;
    tab.wait(&format!("{} === 2", count_of("pressed"))).await?;
    let verdict = |number: u32| {
        let row = format!(
            "[...document.querySelectorAll('[data-test=\"pressed\"]')].find(row => row.matches(':nth-child({number})')).dataset.verdict"
        );
        async move { tab.eval(&row).await }
    };
    assert_eq!(verdict(1).await?, "move-on");
    assert_eq!(verdict(2).await?, "step-back");
    tab.click(&format!("{}:nth-child(1) summary", marked("pressed"))).await?;
    let words = |name: &str| format!("{}:nth-child(1) {}", marked("pressed"), marked(name));
    let change = tab.text(&words("change")).await?;
    let cost = tab.text(&words("hurdles-cost")).await?;
    let drop = tab.text(&words("drop-off")).await?;
    println!("{change}\n{cost}\n{drop}");
    if let Ok(folder) = std::env::var("LANEWRIGHT_PICTURES") {
        tab.picture(&std::path::Path::new(&folder).join("pressure.png"), true).await?;
    }
    // Lane by lane: the figures stay inside the width of a phone.
    tab.click(&marked("findings-part-lanes")).await?;
    tab.click(&format!("{} details summary", marked("lane-finding"))).await?;
    tab.wait_for(&format!("{} table", marked("lane-finding"))).await?;
    assert_eq!(tab.eval("document.documentElement.scrollWidth > innerWidth").await?, false);
    // Child by child: runs are counted as runs, and no button lies over when a run was.
    tab.click(&marked("findings-part-children")).await?;
    tab.click(&format!("{}:nth-child(1) summary", marked("finding"))).await?;
    assert_eq!(tab.text(&marked("findings-seen")).await?, "24 runs, 192 hurdles");
    tab.click(&marked("runs-of")).await?;
    tab.wait_for(&marked("run-of")).await?;
    let covered = "[...document.querySelectorAll('[data-test=\"run-of\"]')].some(row => {
        const time = document.createRange();
        time.selectNodeContents(row.querySelector('.number'));
        const [at, button] = [time, row.querySelector('button')].map(part => part.getBoundingClientRect());
        return at.right > button.left && at.bottom > button.top + 1 && at.top < button.bottom - 1;
    })";
    assert_eq!(tab.eval(covered).await?, false);
    coach.done().await
}

#[tokio::test]
async fn marks_written_down_wrongly_are_put_right_with_their_times_and_moved_ones_are_not() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    set_marks(tab, ["1", "2"]).await?;
    start(tab).await?;
    tab.click(&marked("press-mark")).await?;
    tab.wait_for(&marked("time-row")).await?;
    let at = "document.querySelector('[data-test=\"time-row\"]').innerText";
    let before = tab.text(&marked("time-row")).await?;
    assert!(before.contains("1.00 m"), "{before}");
    tab.click(&format!("{} summary", marked("times-setup"))).await?;
    let first = format!("{} li:nth-child(1) {}", marked("mark-rows"), marked("mark-at"));
    tab.fill(&first, "1.25").await?;
    tab.click(&marked("start-kind-flying")).await?;
    tab.fill(&marked("run-up"), "500").await?;
    tab.click(&marked("marks-save")).await?;
    tab.wait_for_text("at most 100").await?;
    tab.fill(&marked("run-up"), "8").await?;
    tab.click(&marked("marks-save")).await?;
    tab.wait_for(&marked("marks-asked")).await?;
    if let Ok(folder) = std::env::var("LANEWRIGHT_PICTURES") {
        tab.picture(&std::path::Path::new(&folder).join("marks.png"), true).await?;
    }
    tab.click(&marked("marks-wrong")).await?;
    tab.wait(&format!("{at}.includes('1.25 m')")).await?;
    tab.wait_for_text("8.00 m run-up").await?;
    assert_eq!(tab.count(&marked("marks-asked")).await?, 0);
    // Now the marks are really moved: the time that was taken keeps its own.
    tab.fill(&first, "1.5").await?;
    tab.click(&marked("marks-save")).await?;
    tab.click(&marked("marks-moved")).await?;
    tab.wait(&format!(
        "document.querySelector('{} summary').innerText.includes('1.50 m')",
        marked("times-setup")
    ))
    .await?;
    assert!(tab.text(&marked("time-row")).await?.contains("1.25 m"));
    coach.done().await
}

#[tokio::test]
async fn a_bout_is_called_counted_saved_and_corrected() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    coach.device.go("trackside").await?;
    let tab = &coach.device.tab;
    tab.click(&marked("what-turns")).await?;
    tab.click(&format!("{} summary", marked("turns-settings"))).await?;
    tab.click(&marked("turns-calls-tone")).await?;
    tab.click(&marked("turns-length-10")).await?;
    let names = tab.text(&format!("{}[aria-pressed=\"true\"]", marked("group"))).await?;
    // With this the calls come 2.9, 5.5 and 7.6 s after the start.
    tab.eval("Math.random = () => 0.2").await?;
    tab.click(&marked("bout-go")).await?;
    let mut calls = 0;
    for _ in 0..3 {
        tab.wait("document.querySelector('[data-test=\"bout-clock\"]')?.dataset.called === 'true'").await?;
        calls += 1;
        tab.click(&format!("section:nth-of-type(1) {}", marked("one-step"))).await?;
        tab.click(&format!("section:nth-of-type(2) {}", marked("several"))).await?;
        tab.wait("document.querySelector('[data-test=\"bout-clock\"]')?.dataset.called !== 'true'").await?;
    }
    tab.click(&format!("section:nth-of-type(2) {}", marked("fell"))).await?;
    tab.wait_for(&marked("bout-over")).await?;
    let over = tab.text(&marked("bout-over")).await?;
    assert!(over.starts_with("10 s, 3 calls"), "{over}");
    assert_eq!(calls, 3);
    assert_eq!(tab.count(&marked("bout-row")).await?, 0, "nothing is saved yet");
    tab.click(&marked("down-2")).await?;
    tab.click(&marked("bout-save")).await?;
    tab.wait_for(&marked("bout-row")).await?;
    let row = tab.text(&marked("bout-row")).await?;
    for name in names.split(" + ") {
        assert!(row.contains(name), "{row}");
    }
    assert!(
        row.contains("3 turns, 3 in one step, 0 down") && row.contains("3 turns, 0 in one step, 1 down"),
        "{row}"
    );
    // Both rest now, and others are up.
    assert_ne!(tab.text(&format!("{}[aria-pressed=\"true\"]", marked("group"))).await?, names);
    // One tap too many: corrected later.
    tab.click(&marked("bout-row")).await?;
    tab.click(&format!("section:nth-of-type(1) {}", marked("one-step-less"))).await?;
    tab.click(&marked("bout-save")).await?;
    tab.wait(
        "document.querySelector('[data-test=\"bout-row\"]')?.innerText.includes('2 turns, 2 in one step')",
    )
    .await?;
    assert!(tab.text(&marked("bout-row")).await?.contains("corrected"));
    coach.done().await
}

#[tokio::test]
async fn a_bout_without_a_tap_is_asked_about_and_one_that_is_not_saved_outlives_the_page() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    coach.device.go("trackside").await?;
    let tab = &coach.device.tab;
    tab.click(&marked("what-turns")).await?;
    let set_up = tab.text(&marked("turns-what")).await?;
    assert!(set_up.contains("turn on the call") && set_up.contains(" m apart"), "{set_up}");
    let floor = tab.text(&format!("{} summary", marked("turns-floor"))).await?;
    tab.click(&format!("{} summary", marked("turns-settings"))).await?;
    tab.click(&marked("turns-calls-tone")).await?;
    tab.click(&marked("turns-length-10")).await?;
    // With this the calls come 2.9, 5.5 and 7.6 s after the start.
    tab.eval("Math.random = () => 0.2").await?;
    tab.click(&marked("bout-go")).await?;
    for _ in 0..3 {
        tab.wait("document.querySelector('[data-test=\"bout-clock\"]')?.dataset.called === 'true'").await?;
        tab.wait("document.querySelector('[data-test=\"bout-clock\"]')?.dataset.called !== 'true'").await?;
    }
    tab.wait_for(&marked("bout-over")).await?;
    // As many hurdles to choose from as stand at each place.
    let hurdles = tab.eval("document.querySelectorAll('[data-test^=\"down-\"]').length").await?;
    assert!(floor.contains(&format!("{hurdles} hurdles at each")), "{hurdles}: {floor}");
    tab.click(&marked("bout-save")).await?;
    tab.wait_for(&marked("turns-none-asked")).await?;
    tab.click(&marked("count-first")).await?;
    tab.click(&format!("section:nth-of-type(1) {}", marked("one-step"))).await?;
    tab.click(&marked("down-2")).await?;

    // The page is opened again: the same screen, the bout and its counts.
    tab.reload().await?;
    tab.wait_for(&marked("bout-over")).await?;
    let first = format!("section:nth-of-type(1) {}", marked("one-step"));
    assert!(tab.text(&first).await?.contains('1'));
    assert_eq!(
        tab.eval("document.querySelector('[data-test=\"down-2\"]').getAttribute('aria-pressed')").await?,
        "true"
    );
    tab.click(&marked("bout-save")).await?;
    tab.wait_for(&marked("bout-row")).await?;
    // Saved once, it does not come back.
    tab.reload().await?;
    tab.wait_for(&marked("bout-row")).await?;
    assert_eq!((tab.count(&marked("bout-over")).await?, tab.count(&marked("bout-row")).await?), (0, 1));
    coach.done().await
}

#[tokio::test]
async fn whatever_is_tapped_for_times_and_turns_is_large_enough_for_wet_hands() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach.device).await?;
    let tab = &coach.device.tab;
    set_marks(tab, ["1", "2"]).await?;
    let small = "[...document.querySelectorAll('[data-test=\"screen-trackside\"] button, .verb-bar button, .track-setup summary')]
        .filter(el => el.checkVisibility())
        .filter(el => { const box = el.getBoundingClientRect(); return box.height < 63.5 || box.width < 63.5 })
        .map(el => el.outerHTML.slice(0, 100))";
    start(tab).await?;
    start(tab).await?;
    tab.click(&marked("press-mark")).await?;
    tab.wait_for(&marked("time-row")).await?;
    tab.click(&marked("time-row")).await?;
    tab.click(&format!("{} summary", marked("times-setup"))).await?;
    assert_eq!(tab.eval(small).await?, json!([]), "times");
    tab.click(&marked("what-turns")).await?;
    tab.click(&format!("{} summary", marked("turns-settings"))).await?;
    tab.wait_for(&marked("group")).await?;
    assert_eq!(tab.eval(small).await?, json!([]), "turns");
    tab.click(&marked("bout-go")).await?;
    tab.wait_for(&marked("one-step")).await?;
    assert_eq!(tab.eval(small).await?, json!([]), "a bout that is on");
    tab.click(&marked("bout-stop")).await?;
    tab.wait_for(&marked("bout-over")).await?;
    assert_eq!(tab.eval(small).await?, json!([]), "a bout that is over");
    coach.done().await.context("large enough")
}
