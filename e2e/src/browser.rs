//! A browser with a fresh profile, and its tabs.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, anyhow, bail};
use base64::Engine;
use base64::prelude::BASE64_STANDARD as BASE64;
use chromiumoxide::cdp::browser_protocol::dom::{
    GetDocumentParams, QuerySelectorParams, SetFileInputFilesParams,
};
use chromiumoxide::cdp::browser_protocol::emulation::{
    MediaFeature, SetDeviceMetricsOverrideParams, SetEmulatedMediaParams,
};
use chromiumoxide::cdp::browser_protocol::input::{
    DispatchKeyEventParams, DispatchKeyEventType, DispatchMouseEventParams, DispatchMouseEventType,
    InsertTextParams, MouseButton,
};
use chromiumoxide::cdp::browser_protocol::page::{
    AddScriptToEvaluateOnNewDocumentParams, CaptureScreenshotFormat, CaptureScreenshotParams, CrashParams,
    PrintToPdfParams, Viewport,
};
use chromiumoxide::cdp::browser_protocol::storage::OverrideQuotaForOriginParams;
use chromiumoxide::cdp::browser_protocol::target::SetAutoAttachParams;
use chromiumoxide::cdp::js_protocol::runtime::{EvaluateParams, EventExceptionThrown};
use chromiumoxide::layout::Point;
use chromiumoxide::{BrowserConfig, Page};
use futures_util::StreamExt;
use tempfile::TempDir;

/// Longest wait for something to appear. Things appear within a fraction of a second; a slow machine may take more.
const APPEARS_WITHIN: Duration = Duration::from_secs(60);
/// What the page shows is read with plain spaces, though some of them break no line.
const PLAIN_SPACES: &str = "(shown => Object.defineProperty(HTMLElement.prototype, 'innerText', {
    ...shown,
    get() { return shown.get.call(this).replaceAll('\\u00a0', ' ') },
}))(Object.getOwnPropertyDescriptor(HTMLElement.prototype, 'innerText'))";
/// Pause between two looks.
const LOOK_AGAIN: Duration = Duration::from_millis(40);

/// Size of a screen in CSS pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// What pictures call it.
    pub name: &'static str,
    /// Width.
    pub width_px: u32,
    /// Height.
    pub height_px: u32,
    /// Whether it is a phone: touch, no mouse.
    pub phone: bool,
}

/// A phone held upright.
pub const PHONE: Screen = Screen { name: "390x844", width_px: 390, height_px: 844, phone: true };
/// A laptop on a desk.
pub const DESK: Screen = Screen { name: "1280x800", width_px: 1280, height_px: 800, phone: false };

/// What the reader's device prefers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colours {
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
}

/// A browser with a profile of its own. It ends with this value.
pub struct Browser {
    inner: chromiumoxide::Browser,
    profile: TempDir,
    microphone: Microphone,
}

/// What the browser's microphone is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Microphone {
    /// As the machine has it; nobody answers the browser's question.
    #[default]
    Own,
    /// This WAV file, once, from the moment at which the microphone is opened; the question is answered with yes. The
    /// file need not be there before.
    File(PathBuf),
    /// The question is answered with no.
    Refused,
}

impl Browser {
    /// Starts a browser.
    pub async fn launch() -> Result<Self> {
        Self::with_microphone(Microphone::Own).await
    }

    /// Starts a browser with a microphone of ours.
    pub async fn with_microphone(microphone: Microphone) -> Result<Self> {
        let profile = tempfile::tempdir()?;
        Ok(Self { inner: Self::start(profile.path(), &microphone).await?, profile, microphone })
    }

    /// Kills the browser with all its tabs, without a word to any page, as a phone does that runs out of power; then
    /// starts it again with the same profile.
    pub async fn die_and_start_again(&mut self) -> Result<()> {
        self.inner.kill().await.context("a browser of our own")??;
        self.inner = Self::start(self.profile.path(), &self.microphone).await?;
        Ok(())
    }

    async fn start(profile: &Path, microphone: &Microphone) -> Result<chromiumoxide::Browser> {
        let mut config = BrowserConfig::builder()
            .user_data_dir(profile)
            .new_headless_mode()
            .viewport(None)
            .launch_timeout(APPEARS_WITHIN)
            .request_timeout(APPEARS_WITHIN)
            // The client adds the dashes.
            .args(["disable-gpu", "disable-component-update", "disable-quic", "hide-scrollbars"]);
        config = match microphone {
            Microphone::Own => config,
            Microphone::File(file) => config
                .args(["use-fake-ui-for-media-stream", "use-fake-device-for-media-stream"])
                .arg(("use-file-for-fake-audio-capture", format!("{}%noloop", file.display()).as_str())),
            Microphone::Refused => {
                config.args(["use-fake-device-for-media-stream", "deny-permission-prompts"])
            }
        };
        if let Some(program) = std::env::var_os("LANEWRIGHT_BROWSER") {
            config = config.chrome_executable(program);
        }
        if is_root() {
            // Chromium's sandbox refuses to run as root, as in a build container.
            config = config.no_sandbox();
        }
        let config = config.build().map_err(|error| anyhow!(error))?;
        let (inner, mut events) =
            chromiumoxide::Browser::launch(config).await.context("the browser did not start")?;
        tokio::spawn(async move { while events.next().await.is_some() {} });
        Ok(inner)
    }

    /// Opens an empty tab of a given size.
    pub async fn tab(&self, screen: Screen) -> Result<Tab> {
        let page = self.inner.new_page("about:blank").await?;
        // The client makes new targets wait for a debugger, and a service worker would wait for ever.
        page.execute(
            SetAutoAttachParams::builder()
                .auto_attach(false)
                .wait_for_debugger_on_start(false)
                .flatten(true)
                .build()
                .map_err(|error| anyhow!(error))?,
        )
        .await?;
        page.enable_runtime().await?;
        let faults = Arc::new(Mutex::new(Vec::new()));
        let mut thrown = page.event_listener::<EventExceptionThrown>().await?;
        let noted = Arc::clone(&faults);
        tokio::spawn(async move {
            while let Some(event) = thrown.next().await {
                let details = &event.exception_details;
                let said = details.exception.as_ref().and_then(|thrown| thrown.description.clone());
                noted.lock().expect("nobody panicked").push(said.unwrap_or_else(|| details.text.clone()));
            }
        });
        page.evaluate_on_new_document(PLAIN_SPACES).await?;
        let tab = Tab { page, faults };
        tab.size(screen).await?;
        Ok(tab)
    }

    /// Ends the browser and waits until its profile is free.
    pub async fn close(mut self) -> Result<()> {
        self.inner.close().await?;
        self.inner.wait().await?;
        Ok(())
    }
}

/// A tab.
pub struct Tab {
    page: Page,
    faults: Arc<Mutex<Vec<String>>>,
}

impl Tab {
    /// Opens an address and waits until it has loaded.
    pub async fn open(&self, url: &str) -> Result<()> {
        self.page.goto(url).await.with_context(|| format!("could not open {url}"))?;
        Ok(())
    }

    /// Brings the tab in front of the others, which go out of sight.
    pub async fn front(&self) -> Result<()> {
        self.page.bring_to_front().await?;
        Ok(())
    }

    /// Loads the page again, as the button in the browser does.
    pub async fn reload(&self) -> Result<()> {
        // A mark on the old document tells it from the new one.
        self.eval("globalThis.beforeReload = true").await?;
        self.page.execute(chromiumoxide::cdp::browser_protocol::page::ReloadParams::default()).await?;
        self.wait("!globalThis.beforeReload && document.readyState === 'complete'").await
    }

    /// Returns what a JavaScript expression gives; a promise is waited for.
    pub async fn eval(&self, expression: &str) -> Result<serde_json::Value> {
        let params = EvaluateParams::builder()
            .expression(expression)
            .await_promise(true)
            .return_by_value(true)
            .build()
            .map_err(|error| anyhow!(error))?;
        let answer = self.page.execute(params).await.with_context(|| expression.to_owned())?.result;
        if let Some(thrown) = answer.exception_details {
            let said = thrown.exception.and_then(|thrown| thrown.description).unwrap_or(thrown.text);
            bail!("{expression}: {said}");
        }
        Ok(answer.result.value.unwrap_or(serde_json::Value::Null))
    }

    /// Waits until a JavaScript condition holds; says what the page shows when it never does.
    pub async fn wait(&self, condition: &str) -> Result<()> {
        let began = Instant::now();
        let mut last = String::new();
        while began.elapsed() < APPEARS_WITHIN {
            // While a page loads, there is a moment without a document.
            match self.eval(&format!("Boolean({condition})")).await {
                Ok(value) if value == true => return Ok(()),
                Ok(_) => {}
                Err(error) => last = format!("{error:#}"),
            }
            tokio::time::sleep(LOOK_AGAIN).await;
        }
        let shown = self.eval("location.href + '\\n' + document.body?.innerText").await.unwrap_or_default();
        let shown: String = shown.as_str().unwrap_or_default().chars().take(2000).collect();
        bail!("waited in vain for {condition}\n{last}\nfaults: {:?}\nthe page shows:\n{shown}", self.faults())
    }

    /// Waits until there is an element for the selector that can be seen.
    pub async fn wait_for(&self, selector: &str) -> Result<()> {
        self.wait(&seen(selector)).await
    }

    /// Waits until the text stands somewhere on the page.
    pub async fn wait_for_text(&self, text: &str) -> Result<()> {
        self.wait(&format!("document.body.innerText.includes({})", quoted(text))).await
    }

    /// Returns the text that an element shows.
    pub async fn text(&self, selector: &str) -> Result<String> {
        self.wait_for(selector).await?;
        let text = self.eval(&format!("{}.innerText", seen(selector))).await?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// Returns how many elements the selector finds.
    pub async fn count(&self, selector: &str) -> Result<u64> {
        let count = self.eval(&format!("document.querySelectorAll({}).length", quoted(selector))).await?;
        count.as_u64().context("a count")
    }

    /// Clicks an element with a real pointer, where it is on the screen; whatever lies over it gets the click.
    pub async fn click(&self, selector: &str) -> Result<()> {
        self.wait_for(selector).await?;
        let place = format!(
            "(() => {{ const el = {}; if (!el || el.disabled) return null;
              el.scrollIntoView({{ block: 'center', behavior: 'instant' }});
              const box = el.getBoundingClientRect();
              const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
              const hit = document.elementFromPoint(x, y);
              const reached = el.contains(hit) || [...(el.labels ?? [])].some(label => label.contains(hit));
              return reached ? [x, y] : null; }})()",
            seen(selector)
        );
        self.wait(&place).await.with_context(|| format!("{selector} cannot be reached by a pointer"))?;
        // Nobody taps what is still moving: it has to lie where it lay two frames ago.
        let began = Instant::now();
        let mut before = None;
        while began.elapsed() < APPEARS_WITHIN {
            let at: Option<[f64; 2]> = serde_json::from_value(self.eval(&place).await?)?;
            match at {
                Some([x, y]) if at == before => {
                    self.page.click(Point::new(x, y)).await?;
                    return Ok(());
                }
                _ => before = at,
            }
            tokio::time::sleep(LOOK_AGAIN).await;
        }
        bail!("{selector} does not come to rest")
    }

    /// Puts the pointer down on an element, and lifts it again only if asked.
    pub async fn pointer_down(&self, selector: &str, and_up: bool) -> Result<()> {
        self.wait_for(selector).await?;
        let place = format!(
            "(() => {{ const box = {}.getBoundingClientRect();
              return [box.x + box.width / 2, box.y + box.height / 2]; }})()",
            seen(selector)
        );
        let [x, y]: [f64; 2] = serde_json::from_value(self.eval(&place).await?)?;
        let pointer = |kind: DispatchMouseEventType| {
            let event = DispatchMouseEventParams::builder().r#type(kind).x(x).y(y);
            event.button(MouseButton::Left).click_count(1).build().map_err(|error| anyhow!(error))
        };
        self.page.execute(pointer(DispatchMouseEventType::MousePressed)?).await?;
        if and_up {
            self.page.execute(pointer(DispatchMouseEventType::MouseReleased)?).await?;
        }
        Ok(())
    }

    /// Puts a text into a field in place of what is there: typed where a person would type it.
    pub async fn fill(&self, selector: &str, text: &str) -> Result<()> {
        self.wait_for(selector).await?;
        let kind = self
            .eval(&format!(
                "(() => {{ const el = {}; el.scrollIntoView({{ block: 'center' }});
                  el.focus(); el.select?.(); return el.type; }})()",
                seen(selector)
            ))
            .await?;
        if kind == "select-one" || kind == "date" {
            let set = format!(
                "(() => {{ const el = {}; el.value = {};
                  el.dispatchEvent(new Event('input', {{ bubbles: true }}));
                  el.dispatchEvent(new Event('change', {{ bubbles: true }})); return el.value; }})()",
                seen(selector),
                quoted(text)
            );
            if self.eval(&set).await? != text {
                bail!("{selector} has no choice '{text}'");
            }
            return Ok(());
        }
        if text.is_empty() {
            self.press("Delete", 46).await?;
        } else {
            // Keys alone would lose letters that no keyboard layout of the client knows.
            self.page.execute(InsertTextParams::new(text)).await?;
        }
        self.eval("document.activeElement?.blur()").await?;
        Ok(())
    }

    /// Presses a key, by its name and its Windows key code, as the browser's protocol wants them.
    pub async fn press(&self, key: &str, code: i64) -> Result<()> {
        for kind in [DispatchKeyEventType::RawKeyDown, DispatchKeyEventType::KeyUp] {
            let mut event = DispatchKeyEventParams::new(kind);
            event.key = Some(key.to_owned());
            event.code = Some(key.to_owned());
            event.windows_virtual_key_code = Some(code);
            self.page.execute(event).await?;
        }
        Ok(())
    }

    /// Chooses a file in a file field, whether the field can be seen or not.
    pub async fn choose_file(&self, selector: &str, file: &Path) -> Result<()> {
        self.wait(&format!("document.querySelector({})", quoted(selector))).await?;
        let document = self.page.execute(GetDocumentParams::default()).await?.result.root.node_id;
        let field = self.page.execute(QuerySelectorParams::new(document, selector)).await?.result.node_id;
        let mut params = SetFileInputFilesParams::new(vec![file.to_string_lossy().into_owned()]);
        params.node_id = Some(field);
        self.page.execute(params).await?;
        Ok(())
    }

    /// Changes the size of the screen.
    pub async fn size(&self, screen: Screen) -> Result<()> {
        let scale = if screen.phone { 2.0 } else { 1.0 };
        let (width, height) = (i64::from(screen.width_px), i64::from(screen.height_px));
        self.page.execute(SetDeviceMetricsOverrideParams::new(width, height, scale, screen.phone)).await?;
        Ok(())
    }

    /// Changes the colours that the device prefers.
    pub async fn colours(&self, colours: Colours) -> Result<()> {
        let value = if colours == Colours::Dark { "dark" } else { "light" };
        self.media("", &[("prefers-color-scheme", value), ("prefers-reduced-motion", "reduce")]).await
    }

    /// Shows the page as paper would, or as the screen does again.
    pub async fn as_paper(&self, paper: bool) -> Result<()> {
        self.media(if paper { "print" } else { "" }, &[]).await
    }

    async fn media(&self, kind: &str, features: &[(&str, &str)]) -> Result<()> {
        let features =
            features.iter().map(|(name, value)| MediaFeature::new((*name).to_owned(), (*value).to_owned()));
        let mut params = SetEmulatedMediaParams::builder().media(kind).build();
        params.features = Some(features.collect());
        self.page.execute(params).await?;
        Ok(())
    }

    /// Saves a picture of what the screen shows, or of the whole page, however long it is.
    pub async fn picture(&self, file: &Path, whole: bool) -> Result<()> {
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder)?;
        }
        let mut params = CaptureScreenshotParams::builder().format(CaptureScreenshotFormat::Png).build();
        if whole {
            let page = self.page.layout_metrics().await?.css_content_size;
            params.clip =
                Some(Viewport { x: 0.0, y: 0.0, width: page.width, height: page.height, scale: 1.0 });
            params.capture_beyond_viewport = Some(true);
        }
        let picture = self.page.execute(params).await?.result.data;
        std::fs::write(file, BASE64.decode(picture)?)?;
        Ok(())
    }

    /// Lets the page's own print button be noticed, but open no print dialogue: nobody would close it, and while it is
    /// open nothing else prints.
    pub async fn notice_printing(&self) -> Result<()> {
        self.eval("window.print = () => { document.documentElement.dataset.printed = 'yes' }").await?;
        Ok(())
    }

    /// Waits until the page has asked for its print dialogue; see [`Tab::notice_printing`].
    pub async fn asked_to_print(&self) -> Result<()> {
        self.wait("document.documentElement.dataset.printed === 'yes'").await
    }

    /// Prints the page and returns the PDF.
    pub async fn print(&self) -> Result<Vec<u8>> {
        let params = PrintToPdfParams { prefer_css_page_size: Some(true), ..Default::default() };
        Ok(self.page.pdf(params).await?)
    }

    /// Changes how much the pages of an origin may keep, in bytes; `None`: as much as the browser gives.
    pub async fn room(&self, origin: &str, bytes: Option<u64>) -> Result<()> {
        let mut params = OverrideQuotaForOriginParams::new(origin);
        params.quota_size = bytes.map(|bytes| bytes as f64);
        self.page.execute(params).await?;
        Ok(())
    }

    /// Lets a script run in every page that is opened in this tab, before the page's own.
    pub async fn before_pages(&self, script: &str) -> Result<()> {
        self.page.execute(AddScriptToEvaluateOnNewDocumentParams::new(script)).await?;
        Ok(())
    }

    /// Lets the process behind the page die in the middle of whatever it does. The tab is of no use afterwards.
    pub async fn crash(self) {
        let soon = Duration::from_millis(300);
        let _ = tokio::time::timeout(soon, self.page.execute(CrashParams {})).await;
        // It is gone when there is nobody left to answer.
        while let Ok(Ok(_)) = tokio::time::timeout(soon, self.page.evaluate("1")).await {}
    }

    /// Returns what the page's scripts threw so far.
    pub fn faults(&self) -> Vec<String> {
        self.faults.lock().expect("nobody panicked").clone()
    }
}

/// Returns the selector for what the app marks for tests.
pub fn marked(name: &str) -> String {
    format!("[data-test=\"{name}\"]")
}

/// Returns the expression for the first element of a selector that can be seen: a screen may have the same button
/// twice, for a wide and for a narrow place.
fn seen(selector: &str) -> String {
    format!("[...document.querySelectorAll({})].find(el => el.checkVisibility())", quoted(selector))
}

/// Returns a text as a JavaScript literal.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn is_root() -> bool {
    let id = std::process::Command::new("id").arg("-u").output();
    id.is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}
