//! How long listening takes beside the page: reads what `listen_beside` of the app printed, puts the same recordings to
//! the app's own worker, and prints a line for each case. Run through `cargo xtask bench listen-beside`.

use anyhow::{Context, Result};
use lanewright_e2e::{Beside, print_case};
use serde_json::Value;

/// Takes a case's recording to the worker and tells how long the answer took, with the answer.
const HEAR: &str = r#"
    globalThis.hear = ({ samples, rate, asked }) => new Promise((done, failed) => {
        const floats = Float32Array.from(samples, sample => sample / 32768);
        const began = performance.now();
        worker.onerror = (event) => failed(new Error(event.message));
        worker.onmessage = ({ data }) => done([(performance.now() - began) / 1000, data]);
        worker.postMessage({ samples: floats, rate, asked });
    });
    await hear({ samples: new Array(48000).fill(0), rate: 48000, asked: '{"lane":null}' });
"#;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<()> {
    let (beside, cases) = Beside::open().await?;
    beside.with_worker("lanewrightListener", HEAR).await?;
    for case in cases {
        let told = beside.tab.eval(&format!("hear({})", case["input"])).await?;
        let result: Value = serde_json::from_str(told[1].as_str().context("a text")?)?;
        print_case(&case, &result, &told[0]);
    }
    beside.done().await
}
