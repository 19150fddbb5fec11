//! How soon a lesson is planned and proven beside the page: reads what `lesson_beside` of the app printed, puts the
//! same questions to the app's own worker, and prints a line for each case. Run through `cargo xtask bench beside`.

use anyhow::{Context, Result};
use lanewright_e2e::{Beside, print_case};

/// Puts a question to the worker and tells when the first plan came and when the last.
const PUT: &str = "
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
";

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<()> {
    let (beside, cases) = Beside::open().await?;
    beside.with_worker("lanewrightPlanner", PUT).await?;
    for four in cases.chunks(4) {
        let input = &four[0]["input"];
        let told = beside
            .tab
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
            print_case(case, &told[1], &told[0]);
        }
    }
    beside.done().await
}
