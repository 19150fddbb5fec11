//! A coach at a device: a running program, a browser, the app open in it.

use anyhow::{Context, Result};
use lanewright_e2e::{Browser, Front, Microphone, Screen, Server, Tab, marked};

/// Number of children in the demo class.
pub const DEMO_CHILDREN: u64 = 28;

/// A device with the app open, and the program that serves it.
pub struct Coach {
    /// The program.
    pub server: Server,
    /// The device.
    pub device: Device,
}

/// A browser with the app open.
pub struct Device {
    browser: Browser,
    /// The tab with the app.
    pub tab: Tab,
}

impl Coach {
    /// Starts the program with the demo class and opens its one-time link.
    pub async fn with_demo(screen: Screen) -> Result<Self> {
        Self::with_microphone(screen, Microphone::Own).await
    }

    /// The same behind an address of the test's own.
    pub async fn behind(front: &Front, screen: Screen) -> Result<Self> {
        let server = Server::demo_behind(front).await?;
        let device = Device::open(&server.link, screen).await?;
        device.tab.wait(&format!("{} === {DEMO_CHILDREN}", count_of("child"))).await?;
        Ok(Self { server, device })
    }

    /// The same at a device with a microphone of ours.
    pub async fn with_microphone(screen: Screen, microphone: Microphone) -> Result<Self> {
        let server = Server::demo().await?;
        let browser = Browser::with_microphone(microphone).await?;
        let device = Device::open_in(browser, &server.link, screen, "class").await?;
        device.tab.wait(&format!("{} === {DEMO_CHILDREN}", count_of("child"))).await?;
        Ok(Self { server, device })
    }

    /// Ends both, after a look whether the app's scripts threw anything.
    pub async fn done(mut self) -> Result<()> {
        self.device.done().await?;
        self.server.stop().await
    }
}

impl Device {
    /// Opens a one-time link in a new browser and waits until the app is there.
    pub async fn open(link: &str, screen: Screen) -> Result<Self> {
        Self::open_at(link, screen, "class").await
    }

    /// Like [`Device::open`], for a link after which another screen is shown.
    pub async fn open_at(link: &str, screen: Screen, shown: &str) -> Result<Self> {
        Self::open_in(Browser::launch().await?, link, screen, shown).await
    }

    async fn open_in(browser: Browser, link: &str, screen: Screen, shown: &str) -> Result<Self> {
        let tab = browser.tab(screen).await?;
        tab.open(link).await?;
        tab.wait_for(&marked(&format!("screen-{shown}"))).await.context("the app did not start")?;
        Ok(Self { browser, tab })
    }

    /// Kills the browser, starts it again, and opens an address in it.
    pub async fn die_and_open(&mut self, url: &str, screen: Screen) -> Result<()> {
        self.browser.die_and_start_again().await?;
        self.tab = self.browser.tab(screen).await?;
        self.tab.open(url).await
    }

    /// Lets the page's process die, and opens an address in another tab of the same browser.
    pub async fn crash_and_open(&mut self, url: &str, screen: Screen) -> Result<()> {
        let fresh = self.browser.tab(screen).await?;
        std::mem::replace(&mut self.tab, fresh).crash().await;
        // The browser sometimes puts an empty tab into the process that just crashed; such a tab never opens anything.
        for _ in 0..2 {
            if self.tab.open(url).await.is_ok() {
                return Ok(());
            }
            self.tab = self.browser.tab(screen).await?;
        }
        self.tab.open(url).await
    }

    /// Opens another, empty tab beside the app.
    pub async fn other_tab(&self, screen: Screen) -> Result<Tab> {
        self.browser.tab(screen).await
    }

    /// Goes to a screen by its tab.
    pub async fn go(&self, screen: &str) -> Result<()> {
        self.tab.click(&marked(&format!("tab-{screen}"))).await?;
        self.tab.wait_for(&marked(&format!("screen-{screen}"))).await
    }

    /// Waits until the line at the top says how safe the latest change is: `device`, `confirmed` …
    pub async fn wait_until(&self, state: &str) -> Result<()> {
        self.tab
            .wait(&format!(
                "document.querySelector('[data-test=\"save-state\"]')?.dataset.state === '{state}'"
            ))
            .await
    }

    /// Returns the lanes as the screen shows them: lane, names and gap.
    pub async fn lanes(&self) -> Result<Vec<String>> {
        self.tab.wait_for(&marked("lane")).await?;
        let shown = self
            .tab
            .eval("[...document.querySelectorAll('[data-test=\"lane\"]')].map(lane => lane.innerText)")
            .await?;
        let lanes = shown.as_array().context("a list")?;
        Ok(lanes.iter().filter_map(|lane| lane.as_str()).map(str::to_owned).collect())
    }

    /// Ends the browser, after a look whether the app's scripts threw anything.
    pub async fn done(self) -> Result<()> {
        let faults = self.tab.faults();
        assert!(faults.is_empty(), "the app's scripts threw: {faults:?}");
        self.browser.close().await
    }
}

/// Returns the expression that counts what is marked so.
pub fn count_of(name: &str) -> String {
    format!("document.querySelectorAll('[data-test=\"{name}\"]').length")
}
