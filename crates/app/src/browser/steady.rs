//! The moment of a press: by the page's steady clock, tied once to the wall clock.
//!
//! The browser stamps an event when the finger comes down, not when a handler runs, and on a clock that nobody can set.
//! Where that clock read zero by the wall clock names it, so that two presses of one page are compared by it alone.

use std::cell::Cell;

use lanewright_model::timing::Press;

/// When the two clocks differ by more than this, the steady one stood still while the device slept: a new one begins,
/// in milliseconds (engineering assumption).
const ASLEEP_MS: f64 = 2_000.0;

thread_local! {
    static ZERO_MS: Cell<Option<i64>> = const { Cell::new(None) };
}

/// Returns what the steady clock reads, in milliseconds since the page was opened.
pub fn now_ms() -> f64 {
    web_sys::window().and_then(|window| window.performance()).map_or(0.0, |watch| watch.now())
}

/// Returns where the steady clock read zero, in milliseconds since 1970.
fn zero_ms() -> i64 {
    let fresh_ms = js_sys::Date::now() - now_ms();
    let known = ZERO_MS.get().filter(|zero_ms| (fresh_ms - *zero_ms as f64).abs() <= ASLEEP_MS);
    let zero_ms = known.unwrap_or(fresh_ms.round() as i64);
    ZERO_MS.set(Some(zero_ms));
    zero_ms
}

/// Returns a press of this device at a moment of the steady clock, such as an event's.
pub fn press_at(device: String, steady_ms: f64) -> Press {
    let clock_ms = zero_ms();
    Press { device, clock_ms, at_ms: (clock_ms as f64 + steady_ms).round() as i64 }
}
