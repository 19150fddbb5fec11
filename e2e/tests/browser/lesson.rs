//! The lesson: planned on the device, and a clock that goes on whatever becomes of the page.

use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use lanewright_e2e::{PHONE, Tab, marked, pdf_text};

use crate::coach::{Coach, count_of};

/// How long the page is out of sight.
const OUT_OF_SIGHT: Duration = Duration::from_secs(60);
/// How far the lesson's clock may be from the browser's own by then, in milliseconds.
const DRIFT_MAX_MS: f64 = 50.0;

/// Goes to the Lesson screen and waits until a lesson is planned.
async fn begin(coach: &Coach) -> Result<()> {
    coach.device.go("lesson").await?;
    planned(&coach.device.tab).await
}

/// Waits until the plan that is shown is proven to be the best.
pub async fn planned(tab: &Tab) -> Result<()> {
    tab.wait("document.querySelector('[data-test=\"proof\"]')?.dataset.proof === 'proven'").await?;
    tab.wait("document.querySelector('[data-test=\"lesson-start\"]')?.disabled === false").await
}

/// What the timeline says of each part.
async fn timeline(tab: &Tab) -> Result<Vec<String>> {
    let shown = tab
        .eval("[...document.querySelectorAll('[data-test=\"timeline\"] .sr')].map(el => el.textContent)")
        .await?;
    Ok(serde_json::from_value(shown)?)
}

async fn start(tab: &Tab) -> Result<()> {
    tab.click(&marked("lesson-start")).await?;
    tab.wait_for(&marked("clock")).await
}

/// What the page says at one moment: time into the part, the browser's stopwatch, its wall clock, all in milliseconds.
#[derive(Debug, Clone, Copy)]
struct Look {
    part: f64,
    into_ms: f64,
    stopwatch_ms: f64,
    wall_ms: f64,
}

/// Lets the page read its clocks now and returns what it makes of them.
async fn look(tab: &Tab) -> Result<Look> {
    let said = tab
        .eval(
            "(async () => {
               document.dispatchEvent(new Event('visibilitychange'));
               const [stopwatch, wall] = [performance.now(), Date.now()];
               for (let turn = 0; turn < 20; turn += 1) await null;
               const { part, intoMs } = document.querySelector('[data-test=\"clock\"]').dataset;
               return [Number(part), Number(intoMs), stopwatch, wall];
             })()",
        )
        .await?;
    let [part, into_ms, stopwatch_ms, wall_ms]: [f64; 4] = serde_json::from_value(said)?;
    Ok(Look { part, into_ms, stopwatch_ms, wall_ms })
}

async fn block_minutes(tab: &Tab) -> Result<Vec<String>> {
    let shown = tab
        .eval("[...document.querySelectorAll('[data-test=\"block-minutes\"]')].map(el => el.innerText)")
        .await?;
    Ok(serde_json::from_value(shown)?)
}

#[tokio::test]
async fn a_lesson_is_planned_and_replanned_around_what_the_coach_fixes() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    assert!(tab.text(&marked("lesson-sum")).await?.contains("of 40 min"));
    assert!(tab.text(&marked("lesson-parts")).await?.contains("Register"));
    let before = block_minutes(tab).await?;
    assert!(before.len() > 1, "{before:?}");

    // Three minutes less for the register leave none of it, and more for the blocks.
    for left in ["2 min", "1 min"] {
        tab.click(&marked("part-less")).await?;
        tab.wait(&format!(
            "document.querySelector('[data-test=\"lesson-part-fixed\"]').innerText.includes('{left}')"
        ))
        .await?;
    }
    tab.click(&marked("part-less")).await?;
    tab.wait("!document.querySelector('[data-test=\"lesson-parts\"]').innerText.includes('Register')")
        .await?;
    planned(tab).await?;
    assert!(tab.text(&marked("lesson-sum")).await?.contains("40 of 40 min"));
    let longer = block_minutes(tab).await?;
    assert_ne!(longer, before);

    tab.click(&marked("block-fix")).await?;
    tab.wait_for(&format!("{}.fixed", marked("lesson-block"))).await?;
    planned(tab).await?;
    assert_eq!(block_minutes(tab).await?[0], longer[0]);

    tab.click(&marked("block-drop")).await?;
    tab.wait(&format!("{} === {}", count_of("lesson-block"), longer.len() - 1)).await?;
    planned(tab).await?;
    tab.click(&marked("lesson-change-back")).await?;
    tab.wait(&format!("{} === {}", count_of("lesson-block"), longer.len())).await?;
    tab.click(&marked("lesson-afresh")).await?;
    planned(tab).await?;
    assert_eq!(block_minutes(tab).await?, before);

    tab.click(&marked("lesson-use-warm-up")).await?;
    tab.wait_for_text("of 8 min").await?;
    coach.done().await
}

#[tokio::test]
async fn the_clock_pauses_skips_and_goes_on_after_a_reload() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    start(tab).await?;
    assert_eq!(tab.text(&marked("part-name")).await?, "Register");

    tab.click(&marked("lesson-pause")).await?;
    tab.wait_for(&marked("lesson-go-on")).await?;
    let paused = look(tab).await?;
    tokio::time::sleep(Duration::from_millis(1500)).await;
    assert_eq!(look(tab).await?.into_ms, paused.into_ms, "a talk takes no time from the part");
    tab.click(&marked("lesson-go-on")).await?;
    tab.wait_for(&marked("lesson-pause")).await?;
    tab.click(&marked("lesson-skip")).await?;
    tab.wait("document.querySelector('[data-test=\"clock\"]').dataset.part === '1'").await?;
    assert_eq!(tab.text(&marked("part-name")).await?, "Setting out");
    tab.click(&marked("lesson-back")).await?;
    tab.wait("document.querySelector('[data-test=\"clock\"]').dataset.part === '0'").await?;

    let before = look(tab).await?;
    tab.reload().await?;
    tab.wait_for(&marked("clock")).await?;
    let after = look(tab).await?;
    assert_eq!(after.part, before.part);
    let apart_ms = (after.into_ms - before.into_ms) - (after.wall_ms - before.wall_ms);
    // The page reads its clocks one after the other, and on a busy machine that takes a moment.
    assert!(apart_ms.abs() <= 25.0, "{before:?} {after:?}");

    // Elsewhere the time is at the top, and the lane's runs are recorded with the drill of the block.
    for _ in 0..4 {
        tab.click(&marked("lesson-skip")).await?;
    }
    tab.wait_for(&marked("drill-now")).await?;
    let drill = tab.text(&marked("part-name")).await?;
    tab.click(&format!("{} .clock-taps button", marked("drill-now"))).await?;
    tab.wait_for(&marked("verb")).await?;
    tab.wait_for(&marked("lesson-chip")).await?;
    let setup = tab.text(&marked("track-setup")).await?;
    assert!(setup.contains(&drill), "{setup:?} for {drill:?}");
    tab.click(&marked("lesson-chip")).await?;
    tab.wait_for(&marked("clock")).await?;
    tab.click(&marked("end-lesson")).await?;
    tab.click(&marked("end-lesson-not")).await?;
    tab.click(&marked("end-lesson")).await?;
    tab.click(&marked("end-lesson-yes")).await?;
    planned(tab).await?;
    coach.done().await
}

#[tokio::test]
async fn what_comes_is_planned_anew_while_the_lesson_runs() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    start(tab).await?;
    for _ in 0..4 {
        tab.click(&marked("lesson-skip")).await?;
    }
    tab.wait_for(&marked("drill-now")).await?;
    let before = timeline(tab).await?;
    let at = look(tab).await?;

    tab.click(&format!("{} summary", marked("rest"))).await?;
    tab.wait_for(&format!("{} {}", marked("rest"), marked("block-more"))).await?;
    let to_come = block_minutes(tab).await?;
    assert!(!to_come.is_empty());
    tab.click(&format!("{} {}", marked("rest"), marked("block-less"))).await?;
    let minutes: u32 = to_come[0].split(' ').next().context("a number")?.parse()?;
    tab.wait(&format!(
        "document.querySelector('[data-test=\"rest\"] [data-test=\"block-minutes\"]')?.innerText === '{} min'",
        minutes - 1
    ))
    .await?;
    let after = timeline(tab).await?;
    assert_ne!(after, before);
    assert_eq!(after[..5], before[..5], "what is done and what is on stays");
    let then = look(tab).await?;
    assert_eq!(then.part, at.part);
    let apart_ms = (then.into_ms - at.into_ms) - (then.stopwatch_ms - at.stopwatch_ms);
    assert!(apart_ms.abs() <= 25.0, "the clock goes on: {at:?} {then:?}");

    // Without the change the rest is planned as it was wanted before.
    tab.click(&marked("rest-back")).await?;
    tab.wait(&format!("{} === 0", count_of("rest-back"))).await?;
    let before_drop = block_minutes(tab).await?.len();
    // The changed rest is still there after the page was opened anew.
    tab.click(&format!("{} {}", marked("rest"), marked("block-drop"))).await?;
    tab.wait(&format!("{} < {}", count_of("block-minutes"), before_drop)).await?;
    let dropped = timeline(tab).await?;
    tab.reload().await?;
    tab.wait_for(&marked("clock")).await?;
    assert_eq!(timeline(tab).await?, dropped);
    coach.done().await
}

#[tokio::test]
async fn without_its_worker_the_page_plans_by_itself() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    tab.eval(
        "Worker.prototype.postMessage = function () { setTimeout(() => this.dispatchEvent(new Event('error'))) }; 0",
    )
    .await?;
    coach.device.go("lesson").await?;
    tab.wait("document.querySelector('[data-test=\"lesson-start\"]')?.disabled === false").await?;
    assert!(tab.text(&marked("lesson-sum")).await?.contains("of 40 min"));
    coach.done().await
}

#[tokio::test]
async fn the_next_lessons_are_looked_ahead_in_a_table() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.click(&format!("{} summary", marked("unit"))).await?;
    tab.wait_for(&marked("unit-shown")).await?;
    let rows = format!("{} .lesson-unit-table tbody tr", marked("unit-shown"));
    assert_eq!(tab.count(&rows).await?, 6);
    let first = tab.text(&marked("unit-shown")).await?;
    tab.click(&marked("unit-lessons-less")).await?;
    tab.wait(&format!("document.querySelectorAll('{rows}').length === 5")).await?;
    tab.click(&marked("unit-lessons-more")).await?;
    tab.wait(&format!("document.querySelectorAll('{rows}').length === 6")).await?;
    assert_eq!(tab.text(&marked("unit-shown")).await?, first, "the same class, the same samples");
    coach.done().await
}

#[tokio::test]
async fn the_lesson_prints_as_one_sheet() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.notice_printing().await?;
    tab.click(&marked("print")).await?;
    tab.asked_to_print().await?;
    tab.as_paper(true).await?;
    let paper = tab.eval("document.body.innerText").await?;
    let paper = paper.as_str().context("text")?.to_owned();
    tab.as_paper(false).await?;
    let pdf = tab.print().await?;
    let printed = pdf_text(&pdf)?;
    for text in [Some(&paper), printed.as_ref()].into_iter().flatten() {
        assert!(text.contains("Register") && !text.contains("Start the lesson"), "{text}");
    }
    if let Some(text) = printed {
        // The tool ends each page with a form feed.
        assert_eq!(text.matches('\u{c}').count(), 1, "one sheet to carry");
    }
    // The same on the other paper.
    coach.device.go("lanes").await?;
    tab.click(&marked("paper-letter")).await?;
    coach.device.go("lesson").await?;
    planned(tab).await?;
    tab.eval("delete document.documentElement.dataset.printed").await?;
    tab.click(&marked("print")).await?;
    tab.asked_to_print().await?;
    let letter = tab.print().await?;
    if let Ok(folder) = std::env::var("LANEWRIGHT_PICTURES") {
        std::fs::write(std::path::Path::new(&folder).join("lesson-letter.pdf"), &letter)?;
    }
    if let Some(text) = pdf_text(&letter)? {
        assert!(text.contains("Register"), "{text}");
        assert_eq!(text.matches('\u{c}').count(), 1, "one sheet to carry");
    }
    coach.done().await
}

#[tokio::test]
async fn a_minute_out_of_sight_is_a_minute_and_no_cue_is_lost() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    begin(&coach).await?;
    let tab = &coach.device.tab;
    tab.click(&marked("lesson-use-warm-up")).await?;
    tab.wait_for_text("of 8 min").await?;
    planned(tab).await?;
    tab.click(&format!("{} summary", marked("block-swap"))).await?;
    tab.fill(&marked("bouts-0"), "5-25").await?;
    planned(tab).await?;
    // Every tone that is handed to the audio clock, by the page's stopwatch.
    tab.eval(
        "globalThis.tones = [];
         const begin = OscillatorNode.prototype.start;
         OscillatorNode.prototype.start = function (when) {
           tones.push(performance.now() + (when - this.context.currentTime) * 1000);
           return begin.call(this, when);
         }; 0",
    )
    .await?;
    start(tab).await?;
    tab.wait("document.querySelector('[data-test=\"clock\"]').dataset.sound === 'ready'").await?;
    tab.click(&marked("lesson-skip")).await?;
    tab.wait_for(&marked("bout")).await?;

    let called = Instant::now();
    let before = look(tab).await?;
    let answered = Instant::now();
    let other = coach.device.other_tab(PHONE).await?;
    other.front().await?;
    tab.wait("document.hidden").await.context("the other tab is in front")?;
    tokio::time::sleep(OUT_OF_SIGHT).await;
    let called_again = Instant::now();
    let after = look(tab).await?;
    let answered_again = Instant::now();

    assert_eq!(tab.eval("document.hidden").await?, true, "it was never in sight");
    let gone_ms = after.into_ms - before.into_ms;
    assert!(gone_ms >= OUT_OF_SIGHT.as_secs_f64() * 1000.0);
    for (clock, own_ms) in [
        ("stopwatch", after.stopwatch_ms - before.stopwatch_ms),
        ("wall clock", after.wall_ms - before.wall_ms),
    ] {
        assert!(
            (gone_ms - own_ms).abs() < DRIFT_MAX_MS,
            "{gone_ms} ms by the lesson, {own_ms} by the {clock}"
        );
    }
    // And by a clock outside the browser, as far as the way there and back lets tell.
    let ms = |from: Instant, to: Instant| (to - from).as_secs_f64() * 1000.0;
    let (least, most) = (ms(answered, called_again), ms(called, answered_again));
    assert!(
        (least - DRIFT_MAX_MS..=most + DRIFT_MAX_MS).contains(&gone_ms),
        "{gone_ms} ms by the lesson, between {least} and {most} outside"
    );

    // Work and rest twice each, and work once more when the minute was over by then.
    let told = tab.eval("Number(document.querySelector('[data-test=\"clock\"]').dataset.told)").await?;
    let cues = 4.0 + if after.into_ms >= 60_000.0 { 1.0 } else { 0.0 };
    assert_eq!(told.as_f64(), Some(cues));
    // The tones for them were handed over while the page was in sight, for their own moments.
    let tones: Vec<f64> = serde_json::from_value(tab.eval("tones").await?)?;
    for cue_ms in [5_000.0, 30_000.0, 35_000.0, 60_000.0, 65_000.0] {
        let at_ms = before.stopwatch_ms + cue_ms - before.into_ms;
        let apart_ms = tones.iter().map(|tone| (tone - at_ms).abs()).fold(f64::INFINITY, f64::min);
        assert!(apart_ms < DRIFT_MAX_MS, "no tone for {cue_ms} ms into the block: {apart_ms} ms off");
    }
    println!(
        "out of sight: {gone_ms} ms by the lesson, {} by the stopwatch",
        after.stopwatch_ms - before.stopwatch_ms
    );
    coach.done().await
}
