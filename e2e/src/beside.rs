//! A page for a measurement: what our side printed comes in, a line for each case goes out.

use std::io::BufRead;

use anyhow::Result;
use serde_json::{Value, json};

use crate::{Browser, PHONE, Server, Tab, marked};

/// The app with the demo class, open in a browser.
pub struct Beside {
    server: Server,
    browser: Browser,
    /// The tab with the app.
    pub tab: Tab,
}

impl Beside {
    /// Reads the cases that our side printed, one a line, and opens the app.
    pub async fn open() -> Result<(Self, Vec<Value>)> {
        let mut cases = Vec::new();
        for line in std::io::stdin().lock().lines() {
            cases.push(serde_json::from_str::<Value>(&line?)?);
        }
        let server = Server::demo().await?;
        let browser = Browser::launch().await?;
        let tab = browser.tab(PHONE).await?;
        tab.open(&server.link).await?;
        tab.wait_for(&marked("child")).await?;
        Ok((Self { server, browser, tab }, cases))
    }

    /// Makes a worker as the page has it, with the page's own module, as the global `worker`. `file` is the page's
    /// global name for the address of its file; `then` is run afterwards and warms it.
    pub async fn with_worker(&self, file: &str, then: &str) -> Result<()> {
        let begun = "const names = performance.getEntriesByType('resource').map(entry => entry.name);
            const module = await WebAssembly.compileStreaming(fetch(names.find(name => name.endsWith('.wasm'))));";
        self.tab
            .eval(&format!(
                "(async () => {{
                    {begun}
                    globalThis.worker = new Worker({file}, {{ type: 'module' }});
                    worker.postMessage({{ module }});
                    {then}
                }})()"
            ))
            .await?;
        Ok(())
    }

    /// Ends the browser and the program.
    pub async fn done(mut self) -> Result<()> {
        self.browser.close().await?;
        self.server.stop().await
    }
}

/// Prints the line of a case.
pub fn print_case(case: &Value, result: &Value, seconds: &Value) {
    println!("{}", json!({"case": case["case"], "result": result, "seconds": seconds}));
}
