//! The same digits in the browser and on the command line, byte for byte.

use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, ensure};
use lanewright_e2e::{PHONE, Tab, program};

use crate::coach::Coach;

/// What is asked of both, as the arguments of `lanewright lanes`.
struct Ask {
    drills: &'static str,
    hurdles: u32,
    space_m: Option<(f64, f64)>,
    effort: Option<f64>,
    exit_sprint_m: f64,
    lanes_max: Option<u32>,
    on: &'static str,
}

const FIRST: Ask = Ask {
    drills: "alternate-run",
    hurdles: 24,
    space_m: Some((28.0, 15.0)),
    effort: None,
    exit_sprint_m: 0.0,
    lanes_max: None,
    on: "2026-03-02",
};

const ASKS: [Ask; 5] = [
    FIRST,
    Ask { drills: "alternate-run,alternate-walk", hurdles: 32, lanes_max: Some(4), ..FIRST },
    Ask {
        drills: "two-contact-walk,alternate-run",
        hurdles: 40,
        space_m: Some((40.0, 20.0)),
        effort: Some(0.75),
        exit_sprint_m: 10.0,
        lanes_max: Some(5),
        on: "2026-06-30",
    },
    Ask { drills: "side-run", hurdles: 18, space_m: None, effort: Some(0.55), on: "2025-11-11", ..FIRST },
    Ask {
        drills: "dead-leg-run,alternate-run",
        hurdles: 27,
        space_m: Some((31.5, 13.7)),
        effort: Some(0.9),
        ..FIRST
    },
];

#[tokio::test]
async fn lanes_have_the_same_digits_in_the_browser_and_on_the_command_line() -> Result<()> {
    let list = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/demo/class.csv");
    let text = std::fs::read_to_string(&list)?;
    let coach = Coach::with_demo(PHONE).await?;
    let mut answers = Vec::new();
    for ask in &ASKS {
        let native = native(ask, &list)?;
        let web = in_browser(&coach.device.tab, ask, &text).await?;
        ensure!(native.contains("\"spacing_m\""), "no plan: {native}");
        if let Some(at) = native.bytes().zip(web.bytes()).position(|(a, b)| a != b) {
            let near = |text: &str| {
                let bytes = text.bytes().skip(at.saturating_sub(60)).take(120).collect::<Vec<u8>>();
                String::from_utf8_lossy(&bytes).into_owned()
            };
            panic!(
                "{}: they part at byte {at}\nnative: {}\nbrowser: {}",
                ask.drills,
                near(&native),
                near(&web)
            );
        }
        assert_eq!(native.len(), web.len(), "{}", ask.drills);
        answers.push(native);
    }
    answers.sort();
    answers.dedup();
    assert_eq!(answers.len(), ASKS.len(), "five different plans were compared");
    coach.done().await
}

/// Asks the program.
fn native(ask: &Ask, list: &Path) -> Result<String> {
    let mut command = Command::new(program()?);
    command.arg("lanes").arg("--class").arg(list).args(["--json", "--drill", ask.drills, "--on", ask.on]);
    command.args(["--hurdles", &format!("{}x30", ask.hurdles)]);
    command.args(["--exit-sprint-m", &ask.exit_sprint_m.to_string()]);
    if let Some((length_m, width_m)) = ask.space_m {
        command.args(["--space", &format!("{length_m}x{width_m}")]);
    }
    if let Some(effort) = ask.effort {
        command.args(["--effort", &effort.to_string()]);
    }
    if let Some(lanes) = ask.lanes_max {
        command.args(["--lanes-max", &lanes.to_string()]);
    }
    let output = command.output().context("could not run the program")?;
    ensure!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Ok(String::from_utf8(output.stdout)?.trim_end().to_owned())
}

/// Asks the module that the page has loaded.
async fn in_browser(tab: &Tab, ask: &Ask, list: &str) -> Result<String> {
    let space: Vec<f64> = ask.space_m.map(|(length_m, width_m)| vec![length_m, width_m]).unwrap_or_default();
    let args = serde_json::json!([
        list,
        ask.drills,
        ask.hurdles,
        space,
        ask.effort,
        ask.exit_sprint_m,
        ask.lanes_max,
        ask.on
    ]);
    // Imported again under the same address, the script is the one that runs the page.
    let call = format!(
        "(async () => {{
            const names = performance.getEntriesByType('resource').map(entry => entry.name);
            const app = await import(names.find(name => /\\/app-[0-9a-f]+\\.js$/.test(name)));
            const [csv, drills, hurdles, space, effort, sprint, lanes, day] = {args};
            return app.lanes_json(csv, drills, hurdles, Float64Array.from(space), effort ?? undefined, sprint,
                lanes ?? undefined, day);
        }})()"
    );
    let answer = tab.eval(&call).await?;
    Ok(answer.as_str().context("the answer is a text")?.trim_end().to_owned())
}
