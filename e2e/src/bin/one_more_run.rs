//! What one more run costs in a browser: reads what `one_more_run` of the app printed, takes the same runs in the
//! module that the page has loaded, and prints a line for each case. Run through `cargo xtask bench run`.

use anyhow::{Context, Result};
use lanewright_e2e::{Beside, print_case};

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<()> {
    let (beside, cases) = Beside::open().await?;
    let input = cases.first().context("our side printed a case")?["input"].clone();
    // A whole round of the class is timed at once: a browser's clock has coarse steps.
    let told = beside
        .tab
        .eval(&format!(
            "(async () => {{
                const names = performance.getEntriesByType('resource').map(entry => entry.name);
                const app = await import(names.find(name => /\\/app-[0-9a-f]+\\.js$/.test(name)));
                const {{ rounds: [warm, timed], children }} = {input};
                const klass = new app.OneMoreRun();
                let sum = 0;
                const times = [];
                for (let round = 0; round < warm + timed; round++) {{
                    const began = performance.now();
                    for (let child = 0; child < children; child++) sum += klass.take(child);
                    if (round >= warm) times.push((performance.now() - began) / 1000 / children);
                }}
                times.sort((a, b) => a - b);
                return {{ sum, median: times[times.length >> 1], quickest: times[0] }};
            }})()"
        ))
        .await?;
    for case in cases {
        let name = case["case"].as_str().context("a case has a name")?;
        print_case(&case, &told["sum"], &told[name]);
    }
    beside.done().await
}
