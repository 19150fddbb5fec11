//! What drives the browser does what it says: else the other tests would prove nothing.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use lanewright_e2e::{Browser, Colours, DESK, PHONE, Tab, marked};

const PAGE: &str = r#"<!doctype html><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<style>@media print { .screen { display: none } } @media (prefers-color-scheme: dark) { body { color: white } }
#cover { position: fixed; inset: 0 }</style>
<h1>A page</h1>
<label>Name <input data-test="name" value="old"></label>
<select data-test="unit"><option value="m">m</option><option value="ft">ft</option></select>
<input type="file" data-test="file" hidden>
<button class="screen" data-test="say">Say</button>
<p data-test="said"></p>
<div style="height: 2000px"></div>
<button data-test="below">Below</button>
<script>
const find = name => document.querySelector(`[data-test="${name}"]`);
find('say').onclick = event => {
  find('said').textContent = `${find('name').value} ${find('unit').value} ${event.isTrusted}`;
};
find('file').onchange = async event => { find('said').textContent = await event.target.files[0].text(); };
find('below').onclick = () => { throw new Error('below was clicked'); };
</script>"#;

/// Opens the page of this test in a tab, with its folder, which must outlive it.
async fn opened(browser: &Browser) -> Result<(Tab, tempfile::TempDir, PathBuf)> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("page.html");
    std::fs::write(&path, PAGE)?;
    let tab = browser.tab(PHONE).await?;
    tab.open(&format!("file://{}", path.display())).await?;
    Ok((tab, folder, path))
}

#[tokio::test]
async fn fields_take_any_letter_and_clicks_are_real() -> Result<()> {
    let browser = Browser::launch().await?;
    let (tab, _folder, _) = opened(&browser).await?;
    tab.fill(&marked("name"), "Žofie Ø").await?;
    tab.fill(&marked("unit"), "ft").await?;
    tab.click(&marked("say")).await?;
    tab.wait_for_text("Žofie Ø ft true").await?;
    assert_eq!(tab.text(&marked("said")).await?, "Žofie Ø ft true");
    assert!(tab.fill(&marked("unit"), "mile").await.is_err());
    browser.close().await
}

#[tokio::test]
async fn a_chosen_file_is_read_and_a_reload_forgets_it() -> Result<()> {
    let browser = Browser::launch().await?;
    let (tab, folder, _) = opened(&browser).await?;
    let file = folder.path().join("class.csv");
    std::fs::write(&file, "name\nWren\n")?;
    tab.choose_file(&marked("file"), &file).await?;
    tab.wait_for_text("Wren").await?;
    tab.reload().await?;
    assert_eq!(tab.eval("document.body.innerText.includes('Wren')").await?, false);
    browser.close().await
}

#[tokio::test]
async fn what_scripts_throw_is_noted() -> Result<()> {
    let browser = Browser::launch().await?;
    let (tab, _folder, _) = opened(&browser).await?;
    assert!(tab.faults().is_empty());
    tab.click(&marked("below")).await?;
    tab.eval("new Promise(done => setTimeout(done, 50))").await?;
    assert!(tab.faults().iter().any(|fault| fault.contains("below was clicked")), "{:?}", tab.faults());
    assert!(tab.eval("no_such_name").await.is_err());
    browser.close().await
}

#[tokio::test]
async fn paper_colours_and_sizes_are_as_asked() -> Result<()> {
    let browser = Browser::launch().await?;
    let (tab, folder, _) = opened(&browser).await?;
    assert_eq!(tab.eval("innerWidth").await?, 390);
    tab.size(DESK).await?;
    assert_eq!(tab.eval("innerWidth").await?, 1280);
    let colour = "getComputedStyle(document.body).color";
    tab.colours(Colours::Dark).await?;
    assert_eq!(tab.eval(colour).await?, "rgb(255, 255, 255)");
    tab.colours(Colours::Light).await?;
    assert_eq!(tab.eval(colour).await?, "rgb(0, 0, 0)");
    tab.as_paper(true).await?;
    assert_eq!(tab.eval("document.querySelector('.screen').checkVisibility()").await?, false);
    tab.as_paper(false).await?;
    assert_eq!(tab.eval("document.querySelector('.screen').checkVisibility()").await?, true);

    assert!(tab.print().await?.starts_with(b"%PDF-"));
    let picture = folder.path().join("shots/page.png");
    tab.picture(&picture, true).await?;
    let (width, height) = png_size(&picture)?;
    assert!(width == 1280 && height > 2000, "{width} × {height}: the whole page, not the screen alone");
    tab.picture(&picture, false).await?;
    assert_eq!(png_size(&picture)?, (1280, 800));
    assert_eq!(tab.eval("[innerWidth, innerHeight]").await?, serde_json::json!([1280, 800]));
    browser.close().await
}

/// Reads the size from a PNG's header: width and height stand at bytes 16 and 20.
fn png_size(path: &Path) -> Result<(u32, u32)> {
    let bytes = std::fs::read(path)?;
    let number =
        |at: usize| bytes.get(at..at + 4).map(|four| u32::from_be_bytes(four.try_into().expect("four")));
    Ok((number(16).context("a header")?, number(20).context("a header")?))
}
