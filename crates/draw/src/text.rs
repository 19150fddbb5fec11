//! How wide text is, before anything draws it.

use lanewright_model::writing::is_mark;

use crate::advances::{BOLD, FACE_BOLD, FACE_REGULAR, FIRST, REGULAR};
use crate::advances_scripts::SCRIPTS;

/// Width of a character outside the tables, in ems: wider than 95 % of the other letters in the shipped faces.
const OTHER_EM: f64 = 0.97;
/// Height of capitals and figures above the baseline, in ems (0.668 and 0.714 in the shipped faces).
pub(crate) const CAP_EM: f64 = 0.72;

/// Returns an upper bound of the width of `text` at `size` (any unit), for the faces that the program ships.
///
/// Kerning and ligatures are ignored. Control characters and combining marks take no room.
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    width_by(if bold { &BOLD } else { &REGULAR }, text, size)
}

/// Returns the width of `text` as it is set on paper and on screens that have the shipped faces: letters that the
/// first face has in that face, the others as in [`width`]. Kerning is ignored.
pub fn width_set(text: &str, size: f64, bold: bool) -> f64 {
    width_by(if bold { &FACE_BOLD } else { &FACE_REGULAR }, text, size)
}

fn width_by(table: &[u16; 352], text: &str, size: f64) -> f64 {
    let ems: f64 = text
        .chars()
        .map(|character| match u32::from(character) {
            0..FIRST | 0x7f..=0x9f | 0x300..=0x36f => 0.0,
            // Joiners and signs that set names apart.
            0x200b..=0x200f | 0x202a..=0x202e | 0x2066..=0x2069 => 0.0,
            // Dashes, quotes, bullet and ellipsis of the shipped faces.
            0x2010..=0x2013 => 0.51,
            0x2018..=0x201a => 0.28,
            0x201c..=0x201e => 0.50,
            0x2022 => 0.44,
            0x2026 => 0.86,
            0x2212 => 0.61,
            // Han, kana and Hangul stand in squares of an em.
            0x3000..=0x30ff | 0x3400..=0x9fff | 0xac00..=0xd7a3 | 0xf900..=0xfaff | 0x2_0000..=0x3_ffff => {
                1.0
            }
            0x1100..=0x11ff | 0x2e80..=0x2fff | 0x3100..=0x33ff | 0xff00..=0xff60 | 0x1_f000..=0x1_ffff => {
                1.35
            }
            code => table
                .get((code - FIRST) as usize)
                .copied()
                .filter(|advance| *advance > 0)
                .or_else(|| script_advance(code))
                .map_or(OTHER_EM, |advance| f64::from(advance) / 1000.0),
        })
        .sum();
    ems * size
}

/// Returns the advance of a letter of another script, in thousandths of an em; 0 for a sign over its letter.
fn script_advance(code: u32) -> Option<u16> {
    let (first, advances) = SCRIPTS.iter().rev().find(|(first, _)| *first <= code)?;
    let advance = advances.get((code - first) as usize).copied()?;
    (advance > 0 || char::from_u32(code).is_some_and(is_mark)).then_some(advance)
}

/// Returns `text`, or as much of it as fits into `room` with an ellipsis at its end.
pub fn fit(text: &str, size: f64, bold: bool, room: f64) -> String {
    if width(text, size, bold) <= room {
        return text.to_owned();
    }
    let ends: Vec<usize> =
        text.char_indices().filter(|(_, letter)| !is_mark(*letter)).map(|(index, _)| index).collect();
    for end in ends.into_iter().rev() {
        let shorter = format!("{}…", text[..end].trim_end());
        if width(&shorter, size, bold) <= room {
            return shorter;
        }
    }
    "…".to_owned()
}

/// Breaks text into lines no wider than `room`; a single word that is too long is cut with an ellipsis.
pub fn wrap(text: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let word = fit(word, size, bold, room);
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if width(&longer, size, bold) <= room || line.is_empty() {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Joins items with commas and breaks only between them, so that a name never splits over two lines.
pub fn wrap_list(items: &[String], size: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for (index, item) in items.iter().enumerate() {
        let comma = if index + 1 < items.len() { "," } else { "" };
        let item = format!("{}{comma}", fit(item, size, false, room - size));
        let longer = if line.is_empty() { item.clone() } else { format!("{line} {item}") };
        if width(&longer, size, false) <= room || line.is_empty() {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, item));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_all_have_one_width() {
        let one = width("1", 10.0, false);
        for digit in "023456789".chars() {
            assert_eq!(width(&digit.to_string(), 10.0, false), one);
        }
    }

    #[test]
    fn cut_text_fits_and_says_that_it_was_cut() {
        let cut = fit("Bartholomew-Maximilian", 12.0, false, 80.0);
        assert!(cut.ends_with('…') && width(&cut, 12.0, false) <= 80.0);
        assert_eq!(fit("Umi", 12.0, false, 80.0), "Umi");
    }

    #[test]
    fn names_of_every_script_are_measured_letter_by_letter() {
        // Nothing is taken for the widest letter there is, and what stands over a letter takes no room.
        for name in ["نور", "נועה", "ნინო", "Արամ", "अर्जुन", "Ελένη", "Жанна", "ปรีชา"]
        {
            let ems = width(name, 1.0, false) / name.chars().count() as f64;
            assert!((0.2..0.9).contains(&ems), "{name}: {ems} ems a letter");
        }
        assert_eq!(width("小明", 1.0, true), 2.0);
        assert_eq!(width("נֹעַם", 1.0, false), width("נעם", 1.0, false));
        assert_eq!(width("\u{2068}نور\u{2069}", 1.0, false), width("نور", 1.0, false));
    }

    #[test]
    fn a_name_is_never_cut_between_a_letter_and_its_vowel_sign() {
        for name in ["अर्जुनकुमारी", "পূর্ণিমা", "Zo\u{308}e\u{308}y\u{308}", "מְנַחֵם"]
        {
            for room in 0..60 {
                let cut = fit(name, 10.0, false, f64::from(room));
                let kept = cut.trim_end_matches('…');
                assert!(!name[kept.len()..].starts_with(is_mark) || kept == name, "{cut}");
            }
        }
    }

    #[test]
    fn lists_break_between_names_only() {
        let names: Vec<String> = ["Ada B", "Bo C", "Cy D"].map(str::to_owned).to_vec();
        let lines = wrap_list(&names, 12.0, 70.0);
        assert!(lines.len() > 1);
        assert_eq!(lines.join(" "), "Ada B, Bo C, Cy D");
        assert!(lines.iter().all(|line| line.split(", ").all(|item| item.contains(' '))));
    }
}
