//! Pictures of every screen with the demo class, for people to look at: phone and desk, light and dark.
//!
//! `shots FOLDER [WORD]`: only those whose name has the word in it. With `LANEWRIGHT_SHOTS_LANGUAGE=de` the app is
//! asked for that language, on a phone in the light: enough to see which words are too long.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use lanewright_e2e::{Browser, Colours, DESK, PHONE, Server, Tab, marked};

/// A view: its name, and what is clicked to come to it from the tab of a screen.
struct View {
    name: &'static str,
    screen: &'static str,
    clicks: &'static [&'static str],
}

const VIEWS: &[View] = &[
    View { name: "class", screen: "class", clicks: &[] },
    View { name: "class-child", screen: "class", clicks: &["child"] },
    View { name: "class-import", screen: "class", clicks: &["import"] },
    View { name: "class-line-up", screen: "class", clicks: &["line-up"] },
    View { name: "class-choose", screen: "class", clicks: &["choose-class"] },
    View { name: "devices", screen: "class", clicks: &["save-state", "devices"] },
    View { name: "devices-link", screen: "class", clicks: &["save-state", "devices", "make-link"] },
    View {
        name: "devices-password",
        screen: "class",
        clicks: &["save-state", "devices", "password-set", "password-save"],
    },
    View { name: "keep", screen: "class", clicks: &["save-state", "keep", "keep-seen-365", "keep-off-30"] },
    View { name: "data", screen: "class", clicks: &["save-state"] },
    View { name: "today", screen: "today", clicks: &[] },
    View { name: "today-wish", screen: "today", clicks: &["add-wish"] },
    View { name: "today-conditions", screen: "today", clicks: &["conditions"] },
    View { name: "kit", screen: "kit", clicks: &[] },
    View { name: "kit-stand-in", screen: "kit", clicks: &["stand-in"] },
    View { name: "lanes", screen: "lanes", clicks: &[] },
    View { name: "lanes-drills", screen: "lanes", clicks: &["ask-drills"] },
    View { name: "lanes-measure", screen: "lanes", clicks: &["measure"] },
    View {
        name: "lesson",
        screen: "lesson",
        clicks: &["?end-lesson", "?end-lesson-yes", "lesson-use-lesson"],
    },
    View {
        name: "lesson-swap",
        screen: "lesson",
        clicks: &["?end-lesson", "?end-lesson-yes", "block-swap", "block-why"],
    },
    View {
        name: "lesson-paused",
        screen: "lesson",
        clicks: &["?end-lesson", "?end-lesson-yes", "lesson-start", "lesson-pause"],
    },
    View {
        name: "lesson-end-asked",
        screen: "lesson",
        clicks: &["?end-lesson", "?end-lesson-yes", "lesson-start", "end-lesson"],
    },
    View {
        name: "lesson-block",
        screen: "lesson",
        clicks: &[
            "?end-lesson",
            "?end-lesson-yes",
            "lesson-start",
            "lesson-skip",
            "lesson-skip",
            "lesson-skip",
            "lesson-skip",
        ],
    },
    View {
        name: "lesson-rest",
        screen: "lesson",
        clicks: &[
            "?end-lesson",
            "?end-lesson-yes",
            "lesson-start",
            "lesson-skip",
            "lesson-skip",
            "lesson-skip",
            "lesson-skip",
            "rest",
        ],
    },
    View {
        name: "lesson-unit",
        screen: "lesson",
        clicks: &["?end-lesson", "?end-lesson-yes", "tab-class", "tab-lesson", "unit"],
    },
    View {
        name: "lesson-signals",
        screen: "lesson",
        clicks: &["?end-lesson", "?end-lesson-yes", "lesson-start", "signals"],
    },
    View { name: "trackside", screen: "trackside", clicks: &["part-runs"] },
    View {
        name: "trackside-marked",
        screen: "trackside",
        clicks: &[
            "part-runs",
            "verb",
            "track-setup",
            "watched-technique",
            "track-setup",
            "hurdle-2",
            "hurdle-3",
            "fault-leans-back",
        ],
    },
    View { name: "trackside-somebody", screen: "trackside", clicks: &["part-runs", "track-who"] },
    View { name: "trackside-correct", screen: "trackside", clicks: &["part-runs", "last-run", "hurdle-3"] },
    View { name: "trackside-sweep", screen: "trackside", clicks: &["part-sweep", "sweep-all", "look"] },
    View { name: "trackside-paper", screen: "trackside", clicks: &["part-paper"] },
    View { name: "sound", screen: "trackside", clicks: &["part-runs", "part-sound", "?sound-drop"] },
    View {
        name: "sound-heard",
        screen: "trackside",
        clicks: &["part-runs", "part-sound", "?sound-drop", "sound-file", "?sound-keep", "hurdle-2"],
    },
    View {
        name: "times",
        screen: "trackside",
        clicks: &[
            "what-times",
            "times-lane-B",
            "press-start",
            "press-start",
            "press-mark",
            "?slip-keep",
            "press-start",
        ],
    },
    View {
        name: "times-marks",
        screen: "trackside",
        clicks: &["tab-class", "tab-trackside", "what-times", "times-setup", "role-mark-1"],
    },
    View { name: "times-mark", screen: "trackside", clicks: &["what-times"] },
    View {
        name: "times-correct",
        screen: "trackside",
        clicks: &[
            "tab-class",
            "tab-trackside",
            "what-times",
            "times-setup",
            "role-both",
            "times-setup",
            "time-row",
        ],
    },
    View { name: "turns", screen: "trackside", clicks: &["what-turns"] },
    View {
        name: "turns-on",
        screen: "trackside",
        clicks: &[
            "what-turns",
            "?bout-away",
            "turns-settings",
            "turns-length-free",
            "turns-calls-tone",
            "bout-go",
            "one-step",
            "several",
        ],
    },
    View { name: "turns-over", screen: "trackside", clicks: &["what-turns", "?bout-stop", "?down-2"] },
    View { name: "findings-pressure", screen: "findings", clicks: &["findings-part-pressure", "pressed"] },
    View { name: "findings", screen: "findings", clicks: &["findings-part-children"] },
    View {
        name: "findings-child",
        screen: "findings",
        clicks: &["tab-class", "tab-findings", "finding", "runs-of"],
    },
    View { name: "findings-lanes", screen: "findings", clicks: &["findings-part-lanes"] },
    View { name: "findings-watch", screen: "findings", clicks: &["findings-part-watch"] },
    View { name: "findings-papers", screen: "findings", clicks: &["findings-part-papers"] },
    View { name: "data", screen: "class", clicks: &["save-state"] },
    View {
        name: "lanes-after-a-change",
        screen: "lanes",
        clicks: &["ask-drills", "drill-alternate-walk", "close-sheet"],
    },
];

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<()> {
    let mut args = std::env::args().skip(1);
    let folder = PathBuf::from(args.next().context("a folder for the pictures")?);
    let word = args.next().unwrap_or_default();

    let server = Server::demo().await?;
    let browser = Browser::launch().await?;
    let tab = browser.tab(PHONE).await?;
    tab.open(&server.link).await?;
    tab.wait_for(&marked("child")).await?;
    some_runs(&tab).await?;
    let language = std::env::var("LANEWRIGHT_SHOTS_LANGUAGE").ok();
    if let Some(language) = &language {
        tab.click(&marked("save-state")).await?;
        tab.click(&marked(&format!("language-{language}"))).await?;
        tab.wait(&format!("document.documentElement.lang == '{language}'")).await?;
        close_sheet(&tab).await?;
    }
    for view in VIEWS.iter().filter(|view| view.name.contains(&word)) {
        for size in [PHONE, DESK].into_iter().take(if language.is_some() { 1 } else { 2 }) {
            tab.size(size).await?;
            let both = [(Colours::Light, "light"), (Colours::Dark, "dark")];
            for (colours, called) in both.into_iter().take(if language.is_some() { 1 } else { 2 }) {
                tab.colours(colours).await?;
                if let Err(error) = show(&tab, view).await {
                    eprintln!("{}: {error:#}", view.name);
                    tab.reload().await?;
                    continue;
                }
                let file = folder.join(format!("{}-{}-{called}.png", view.name, size.name));
                // A sheet covers the screen; behind it there is nothing new to see.
                let whole = tab.eval("!document.querySelector('dialog[open]')").await? == true;
                tab.picture(&file, whole).await?;
                println!("{}", file.display());
                close_sheet(&tab).await?;
            }
        }
    }
    let faults = tab.faults();
    if !faults.is_empty() {
        eprintln!("the app's scripts threw: {faults:?}");
    }
    if "helper".contains(&word) {
        helper(&tab, &folder).await?;
    }
    if "entry".contains(&word) {
        entry(&server, &folder).await?;
    }
    std::fs::write(folder.join("lanes.pdf"), printed(&tab).await?)?;
    println!("{}", folder.join("lanes.pdf").display());
    browser.close().await
}

/// Types a counting sheet in, so that there is something to find.
async fn some_runs(tab: &Tab) -> Result<()> {
    tab.click(&marked("tab-trackside")).await?;
    tab.click(&marked("part-paper")).await?;
    for (place, runs) in (1..).zip(["0 0 2 0 0", "0 23 0 0", "12 23 2 123", "0 0 0 0 0 0", "2 0 12"]) {
        let field = format!("{} li:nth-child({place}) input", marked("paper-rows"));
        if tab.count(&field).await? > 0 {
            tab.fill(&field, runs).await?;
        }
    }
    tab.click(&marked("paper-save")).await?;
    tab.wait_for_text("runs from paper").await
}

/// A browser that the server does not know, on the phone and on the desk, after a wrong password.
async fn entry(server: &Server, folder: &Path) -> Result<()> {
    let browser = Browser::launch().await?;
    for screen in [PHONE, DESK] {
        let tab = browser.tab(screen).await?;
        if let Ok(language) = std::env::var("LANEWRIGHT_SHOTS_LANGUAGE") {
            tab.open(&server.url("/")).await?;
            tab.eval(&format!("localStorage.setItem('lanewright-language', '{language}')")).await?;
        }
        tab.open(&server.url("/")).await?;
        tab.fill(&marked("password"), "wrong").await?;
        tab.click(&marked("password-enter-do")).await?;
        tab.wait("document.querySelector('#password-error').innerText.length > 0").await?;
        tab.picture(&folder.join(format!("entry-{}.png", screen.name)), true).await?;
    }
    browser.close().await
}

/// A helper's phone: in its lane, and where it has nothing to do.
async fn helper(coach: &Tab, folder: &std::path::Path) -> Result<()> {
    coach.size(PHONE).await?;
    for name in ["tab-class", "save-state", "devices", "invite-lane-B", "make-link"] {
        coach.click(&marked(name)).await?;
    }
    let link = coach.text(&marked("link-text")).await?;
    close_sheet(coach).await?;
    let browser = Browser::launch().await?;
    let tab = browser.tab(PHONE).await?;
    tab.open(&link).await?;
    tab.wait("document.querySelector('[data-test=\"verb\"]')?.getAttribute('aria-disabled') === 'false'")
        .await?;
    tab.picture(&folder.join("helper-phone-light.png"), true).await?;
    tab.eval("location.hash = '#/class'").await?;
    tab.wait_for(&marked("not-for-helpers")).await?;
    tab.picture(&folder.join("helper-not-here-phone-light.png"), true).await?;
    browser.close().await
}

/// Goes to a view. A change that a view makes is undone by the next that makes it: it toggles.
async fn show(tab: &Tab, view: &View) -> Result<()> {
    tab.click(&marked(&format!("tab-{}", view.screen))).await?;
    tab.wait_for(&marked(&format!("screen-{}", view.screen))).await?;
    for name in view.clicks {
        if *name == "sound-file" {
            let made =
                Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/sound/run.flac").canonicalize()?;
            tab.choose_file(&marked(name), &made).await?;
            tab.wait_for(&marked("sound-heard")).await?;
            continue;
        }
        // Some things are there only when an earlier view left them.
        let name = match name.strip_prefix('?') {
            Some(name) if tab.count(&marked(name)).await? == 0 => continue,
            Some(name) => name,
            None => name,
        };
        let inner = if matches!(
            name,
            "stand-in"
                | "track-setup"
                | "times-setup"
                | "turns-settings"
                | "block-swap"
                | "block-why"
                | "signals"
                | "finding"
                | "conditions"
                | "rest"
                | "unit"
                | "pressed"
        ) {
            format!("{} summary", marked(name))
        } else {
            marked(name)
        };
        tab.click(&inner).await?;
        if name == "unit" {
            tab.wait_for(&marked("unit-shown")).await?;
        }
    }
    tab.eval("scrollTo(0, 0), document.fonts.ready.then(() => new Promise(done => setTimeout(done, 150)))")
        .await?;
    Ok(())
}

async fn close_sheet(tab: &Tab) -> Result<()> {
    let open = tab.eval("Boolean(document.querySelector('dialog[open]'))").await?;
    if open == true {
        tab.click(&marked("close-sheet")).await?;
        tab.wait("!document.querySelector('dialog[open]')").await?;
    }
    Ok(())
}

/// Prints the plan as the button on the screen does.
async fn printed(tab: &Tab) -> Result<Vec<u8>> {
    tab.size(DESK).await?;
    tab.click(&marked("tab-lanes")).await?;
    tab.wait_for(&format!("{} svg", marked("floor-plan"))).await?;
    tab.notice_printing().await?;
    tab.click(&marked("print")).await?;
    tab.asked_to_print().await?;
    tab.print().await
}
