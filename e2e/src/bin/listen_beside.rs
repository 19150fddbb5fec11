//! How long listening takes beside the page: reads what `listen_beside` of the app printed, puts the same recordings to
//! the app's own worker, and prints a line for each case. Run through `cargo xtask bench listen-beside`.

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
            globalThis.worker = new Worker(lanewrightListener, { type: 'module' });
            worker.postMessage({ module });
            globalThis.hear = ({ samples, rate, asked }) => new Promise((done, failed) => {
                const floats = Float32Array.from(samples, sample => sample / 32768);
                const began = performance.now();
                worker.onerror = (event) => failed(new Error(event.message));
                worker.onmessage = ({ data }) => done([(performance.now() - began) / 1000, data]);
                worker.postMessage({ samples: floats, rate, asked });
            });
            await hear({ samples: new Array(48000).fill(0), rate: 48000, asked: '{\"lane\":null}' });
        })()",
    )
    .await?;
    for case in cases {
        let told = tab.eval(&format!("hear({})", case["input"])).await?;
        let result: Value = serde_json::from_str(told[1].as_str().context("a text")?)?;
        println!("{}", json!({"case": case["case"], "result": result, "seconds": told[0]}));
    }
    browser.close().await?;
    server.stop().await
}
