//! How soon a lesson is planned and proven beside the page: reads what `lesson_beside` of the app printed, puts the
//! same questions to the app's own worker, and prints a line for each case. Run through `cargo xtask bench beside`.

use std::io::BufRead;

use anyhow::{Context, Result};
use lanewright_e2e::{Browser, PHONE, Server, marked};
use serde_json::{Value, json};

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<()> {
    let mut cases = Vec::new();
    for line in std::io::stdin().lock().lines() {
        cases.push(serde_json::from_str::<Value>(&line?)?);
    }
    let mut server = Server::demo().await?;
    let browser = Browser::launch().await?;
    let tab = browser.tab(PHONE).await?;
    tab.open(&server.link).await?;
    tab.wait_for(&marked("child")).await?;
    // The worker as the page has it: warm, with the page's own module.
    tab.eval(
        "(async () => {
            const names = performance.getEntriesByType('resource').map(entry => entry.name);
            const module = await WebAssembly.compileStreaming(fetch(names.find(name => name.endsWith('.wasm'))));
            globalThis.worker = new Worker(lanewrightPlanner, { type: 'module' });
            worker.postMessage({ module });
            globalThis.put = (asked) => new Promise((done, failed) => {
                const began = performance.now();
                const seconds = () => (performance.now() - began) / 1000;
                let first, learned;
                worker.onerror = (event) => failed(new Error(event.message));
                worker.onmessage = ({ data }) => {
                    const told = JSON.parse(data);
                    learned ??= told.learned;
                    if (told.better) first ??= seconds();
                    if (told.planned) {
                        const { lesson, gap } = told.planned;
                        done({ first, proven: seconds(), result: [lesson.value, gap], learned });
                    }
                };
                worker.postMessage({ asked: JSON.stringify({ plan: asked }) });
            });
        })()",
    )
    .await?;
    for four in cases.chunks(4) {
        let input = &four[0]["input"];
        let told = tab
            .eval(&format!(
                "(async () => {{
                    const asked = {input};
                    const fresh = await put(asked);
                    const known = await put({{ ...asked, known: fresh.learned }});
                    return [[fresh.first, fresh.result], [fresh.proven, fresh.result],
                        [known.first, known.result], [known.proven, known.result]];
                }})()"
            ))
            .await?;
        for (case, told) in four.iter().zip(told.as_array().context("four times")?) {
            println!("{}", json!({"case": case["case"], "result": told[1], "seconds": told[0]}));
        }
    }
    browser.close().await?;
    server.stop().await
}
