//! Which notes are about safety: those are printed before all others and never left out.

use lanewright_model::Message;

/// Notes on safety beside those on the weather and on what would make a plan fit, which all are.
const NOTES: [&str; 13] = [
    // The floor and the stopping room.
    "plan-too-long",
    "plan-too-wide",
    "plan-no-remedy",
    "plan-hard-floor",
    "plan-slippery-floor",
    "plan-run-to-open-end",
    // How hurdles tip, and how high they are.
    "plan-tip-both-ways",
    "plan-high-for-most",
    "plan-high-lower",
    "plan-high-line",
    "plan-high-for-drill",
    // Who is watched, and who does not sprint.
    "plan-lanes-unwatched",
    "plan-easy",
];

/// Returns whether a note is about safety: stopping room, floor, tipping and height of hurdles, heat and cold, who is
/// watched and who goes easy.
pub fn is_safety(said: &Message) -> bool {
    let id = said.id.as_str();
    NOTES.contains(&id)
        || ["plan-change-", "weather-", "contacts-growing-fast"].iter().any(|start| id.starts_with(start))
}

#[cfg(test)]
mod tests {
    use lanewright_model::words::{Units, Words};

    use super::*;

    #[test]
    fn every_note_on_safety_has_words() {
        let words = Words::english(Units::Metric);
        for id in NOTES {
            assert!(words.has(id), "{id}");
            assert!(is_safety(&Message::new(id)));
        }
    }

    #[test]
    fn what_is_only_guessed_is_no_note_on_safety() {
        for id in ["plan-guessed", "plan-one-gap", "plan-outside-far", "lesson-note-rule", "plan-caution"] {
            assert!(!is_safety(&Message::new(id)), "{id}");
        }
        for id in ["weather-heat-cancel", "plan-change-hurdles", "contacts-growing-fast-probably"] {
            assert!(is_safety(&Message::new(id)), "{id}");
        }
    }
}
