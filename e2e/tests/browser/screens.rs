//! What must hold on every screen.

use anyhow::Result;
use lanewright_e2e::{Colours, PHONE, Screen, marked};

use crate::coach::Coach;

/// The narrowest phone that people still use: content reflows at 320 CSS pixels (WCAG 2.2, 1.4.10).
const NARROW: Screen = Screen { name: "320x640", width_px: 320, height_px: 640, phone: true };
/// Smallest target that a finger hits, in CSS pixels (WCAG 2.2, 2.5.8).
const TARGET_MIN_PX: f64 = 24.0;
/// The screens, by the word in their tab, and parts of them, by what is tapped there.
const SCREENS: [&str; 8] = [
    "class",
    "today",
    "kit",
    "trackside/what-runs",
    "trackside/what-times",
    "trackside/what-turns",
    "lanes",
    "lesson",
];

async fn show(coach: &Coach, screen: &str) -> Result<()> {
    let (screen, part) = screen.split_once('/').unwrap_or((screen, ""));
    coach.device.go(screen).await?;
    if !part.is_empty() {
        coach.device.tab.click(&marked(part)).await?;
    }
    Ok(())
}

#[tokio::test]
async fn no_screen_scrolls_sideways_on_a_narrow_phone() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    for size in [PHONE, NARROW] {
        tab.size(size).await?;
        for screen in SCREENS {
            show(&coach, screen).await?;
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
        show(&coach, screen).await?;
        assert_eq!(tab.eval(&small).await?, serde_json::json!([]), "too small on {screen}");
        assert_eq!(tab.eval(nameless).await?, serde_json::json!([]), "without a name on {screen}");
    }
    coach.done().await
}

/// Finds texts that are too faint on their ground: below 4.5 to 1, or 3 to 1 where the letters are large (WCAG 2.2,
/// 1.4.3, with its definitions of contrast ratio and relative luminance).
const FAINT: &str = r"(() => {
    const brush = new OffscreenCanvas(1, 1).getContext('2d', { willReadFrequently: true });
    const paint = (...colours) => {
        brush.clearRect(0, 0, 1, 1);
        for (const colour of colours) { brush.fillStyle = colour; brush.fillRect(0, 0, 1, 1); }
        return [...brush.getImageData(0, 0, 1, 1).data];
    };
    const part = v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
    const grounds = el => {
        const under = [];
        for (; el; el = el.parentElement) {
            under.unshift(getComputedStyle(el).backgroundColor);
            if (paint(under[0])[3] === 255) break;
        }
        return ['Canvas', ...under];
    };
    const own = el => [...el.childNodes].some(node => node.nodeType === 3 && node.data.trim());
    return [...document.querySelectorAll('body *:not(svg *)')]
        .filter(el => own(el) && el.checkVisibility({ visibilityProperty: true, opacityProperty: true }))
        .filter(el => !el.closest('.sr, .skip, [disabled]'))
        .map(el => {
            const style = getComputedStyle(el);
            const ground = grounds(el);
            const [a, b] = [light(paint(...ground, style.color)), light(paint(...ground))];
            const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
            const size = parseFloat(style.fontSize);
            const large = size >= 24 || (size >= 18.66 && style.fontWeight >= 700);
            return [ratio, large ? 3 : 4.5, el];
        })
        .filter(([ratio, least]) => ratio < least)
        .map(([ratio, , el]) => `${ratio.toFixed(2)} ${el.outerHTML.slice(0, 100)}`);
})()";

#[tokio::test]
async fn every_text_stands_out_from_its_ground_in_light_and_dark() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    let tab = &coach.device.tab;
    let mut grounds = Vec::new();
    for colours in [Colours::Light, Colours::Dark] {
        tab.colours(colours).await?;
        for screen in SCREENS {
            show(&coach, screen).await?;
            assert_eq!(tab.eval(FAINT).await?, serde_json::json!([]), "too faint on {screen}, {colours:?}");
        }
        grounds.push(tab.eval("getComputedStyle(document.documentElement).backgroundColor").await?);
    }
    assert_ne!(grounds[0], grounds[1], "dark is dark");
    // The finder finds: a grey text on the page's ground is reported.
    tab.eval("document.querySelector('h1').style.cssText = 'color: #808080; background: #7a7a7a'").await?;
    assert_ne!(tab.eval(FAINT).await?, serde_json::json!([]));
    coach.done().await
}
