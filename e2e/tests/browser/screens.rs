//! What must hold on every screen.

use anyhow::Result;
use lanewright_e2e::{Colours, PHONE, Screen};

use crate::coach::Coach;

/// The narrowest phone that people still use: content reflows at 320 CSS pixels (WCAG 2.2, 1.4.10).
const NARROW: Screen = Screen { name: "320x640", width_px: 320, height_px: 640, phone: true };
/// Smallest target that a finger hits, in CSS pixels (WCAG 2.2, 2.5.8).
const TARGET_MIN_PX: f64 = 24.0;
/// The screens, by the word in their tab.
const SCREENS: [&str; 4] = ["class", "today", "kit", "lanes"];

#[tokio::test]
async fn no_screen_scrolls_sideways_on_a_narrow_phone() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    for size in [PHONE, NARROW] {
        tab.size(size).await?;
        for screen in SCREENS {
            coach.device.go(screen).await?;
            let wider = tab.eval("document.scrollingElement.scrollWidth - innerWidth").await?;
            assert!(
                wider.as_f64().is_some_and(|wider| wider <= 0.5),
                "{screen} at {}: {wider} px",
                size.name
            );
        }
    }
    coach.done().await
}

#[tokio::test]
async fn every_target_is_large_enough_and_has_a_name() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    let small = format!(
        "[...document.querySelectorAll('button, a[href], select, input, summary')]
           .filter(el => el.checkVisibility() && !el.closest('.skip') && el.className !== 'skip')
           .filter(el => {{
             const box = (el.closest('label') ?? el).getBoundingClientRect();
             return box.width > 1 && (box.height < {TARGET_MIN_PX} || box.width < {TARGET_MIN_PX});
           }}).map(el => el.outerHTML.slice(0, 120))"
    );
    let nameless = "[...document.querySelectorAll('button, a[href], select, input, textarea')]
           .filter(el => el.checkVisibility())
           .filter(el => !(el.innerText?.trim() || el.getAttribute('aria-label') || el.labels?.length || el.title))
           .map(el => el.outerHTML.slice(0, 120))";
    for screen in SCREENS {
        coach.device.go(screen).await?;
        assert_eq!(tab.eval(&small).await?, serde_json::json!([]), "too small on {screen}");
        assert_eq!(tab.eval(nameless).await?, serde_json::json!([]), "without a name on {screen}");
    }
    coach.done().await
}

#[tokio::test]
async fn dark_and_light_are_both_readable() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    // Contrast of the page's own text on its own ground (WCAG 2.2, 1.4.3 and its definition of relative luminance).
    let contrast = "(() => {
        const rgb = text => text.match(/[\\d.]+/g).map(Number);
        const part = v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
        const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
        const style = getComputedStyle(document.body);
        const [a, b] = [light(rgb(style.color)), light(rgb(style.backgroundColor))];
        return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    })()";
    let mut grounds = Vec::new();
    for colours in [Colours::Light, Colours::Dark] {
        tab.colours(colours).await?;
        let ratio = tab.eval(contrast).await?;
        assert!(ratio.as_f64().is_some_and(|ratio| ratio >= 7.0), "{colours:?}: {ratio}");
        grounds.push(tab.eval("getComputedStyle(document.body).backgroundColor").await?);
    }
    assert_ne!(grounds[0], grounds[1], "dark is dark");
    coach.done().await
}
