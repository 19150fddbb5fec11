//! What has to be known of scripts before a name in any of them is cut, ordered or measured.
//!
//! Ranges are those of the Unicode character database, for the scripts that the program prints.

/// Returns whether a letter is written from right to left: Hebrew, Arabic and their neighbours. Their digits are not,
/// since numbers run from left to right in these scripts too.
pub fn is_right_to_left(letter: char) -> bool {
    match letter {
        '\u{660}'..='\u{669}' | '\u{6f0}'..='\u{6f9}' => false,
        // Punctuation that lists and sentences are made of keeps to the sentence around it.
        '\u{60c}' | '\u{61b}' | '\u{61f}' => false,
        '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' => true,
        '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}' => true,
        _ => false,
    }
}

/// Returns whether a sign belongs to the letter before it: accents, vowel signs, joiners. Text is not cut before one.
pub fn is_mark(letter: char) -> bool {
    match u32::from(letter) {
        0x300..=0x36f | 0x483..=0x489 | 0x591..=0x5bd | 0x5bf | 0x5c1 | 0x5c2 | 0x5c4 | 0x5c5 | 0x5c7 => true,
        0x610..=0x61a | 0x64b..=0x65f | 0x670 | 0x6d6..=0x6dc | 0x6df..=0x6e4 | 0x6e7 | 0x6e8 => true,
        0x6ea..=0x6ed => true,
        // The blocks of South Asia have one plan: signs at the same places in each.
        code @ 0x900..=0xdff => {
            matches!(code & 0x7f, 0x00..=0x03 | 0x3a..=0x3c | 0x3e..=0x4f | 0x51..=0x57 | 0x62 | 0x63)
                && (code < 0xd80 || matches!(code, 0xd81..=0xd83 | 0xdca..=0xddf))
                && !matches!(code, 0x980 | 0x9ce | 0xb83 | 0xc58..=0xc5a | 0xc80)
                && !matches!(code, 0xd3a | 0xd4e | 0xd4f | 0xd54..=0xd56)
                || matches!(code, 0xdca..=0xddf | 0xdf2 | 0xdf3 | 0x0a70 | 0x0a71 | 0x0a75 | 0x0afa..=0x0aff)
        }
        0xe31 | 0xe34..=0xe3a | 0xe47..=0xe4e | 0xeb1 | 0xeb4..=0xebc | 0xec8..=0xecd => true,
        0x102b..=0x103e | 0x1056..=0x1059 | 0x105e..=0x1060 | 0x1062..=0x1064 | 0x1067..=0x106d => true,
        0x1071..=0x1074 | 0x1082..=0x108d | 0x108f | 0x109a..=0x109d | 0x135d..=0x135f => true,
        0x17b4..=0x17d3 | 0x17dd | 0x1ab0..=0x1aff | 0x1cd0..=0x1cf9 | 0x1dc0..=0x1dff | 0x20d0..=0x20ff => {
            true
        }
        0x200c | 0x200d | 0x3099 | 0x309a | 0xfe00..=0xfe0f | 0xfe20..=0xfe2f => true,
        _ => false,
    }
}

/// Returns whether a sign turns the direction of reading, alone or for what stands around it. A name has no need of
/// one, and could reorder its neighbours with it.
pub fn turns_direction(letter: char) -> bool {
    matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Signs that may stand inside a name between two of its letters.
fn may_join(letter: char) -> bool {
    matches!(letter, ' ' | '\u{a0}' | '-' | '\'' | '.' | '’' | '‐' | '"') || is_mark(letter)
}

/// Returns text in which no line ends between what is read as one: a number and its unit, feet and inches, a lane and
/// its letter, a lane's letter and its gap.
///
/// The spaces there become U+00A0. Done twice, it changes nothing more.
pub fn hold_together(text: &str) -> String {
    let is_number = |letter: char| letter.is_ascii_digit() || letter == '½';
    let bare =
        |word: &str| word.trim_matches([',', '.', ';', ':', '(', ')', '?', '!', '“', '”', '„']).to_owned();
    let is_letter = |word: &str| matches!(word.as_bytes(), [b'A'..=b'Z']);
    let mut held = String::with_capacity(text.len());
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        held.push_str(word);
        if let Some(next) = words.peek() {
            let (this, next) = (bare(word), bare(next));
            let unit = matches!(
                next.as_str(),
                "m" | "cm" | "mm" | "ft" | "in" | "%" | "s" | "min" | "m/s" | "N" | "°C"
            );
            let is_lane = matches!(this.as_str(), "lane" | "Lane" | "lanes" | "Lanes" | "Bahn" | "Bahnen");
            let binds = (word.ends_with(is_number) && unit)
                || (word == "ft" && next.starts_with(is_number))
                || (is_lane && this == word && is_letter(&next))
                || (is_letter(word) && next.starts_with(is_number) && next.contains(['.', ',', '\u{a0}']));
            held.push(if binds { '\u{a0}' } else { ' ' });
        }
    }
    held
}

/// Returns text with every name that runs from right to left set apart from what stands around it.
///
/// A number or a second name beside such a name would otherwise be read as part of it and trade places with it
/// (Unicode Standard Annex 9 gives neutral signs and digits the direction of the letters before them). Each stretch of
/// right-to-left letters, with the spaces, hyphens and marks between them, is put between U+2068 and U+2069. Signs of
/// that kind that were there before are dropped, so it does not matter how often this is done.
pub fn set_apart(text: &str) -> String {
    if !text.chars().any(|letter| is_right_to_left(letter) || turns_direction(letter)) {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len() + 12);
    // What may turn out to stand between two letters of one name.
    let mut between = String::new();
    let mut open = false;
    for letter in text.chars().filter(|letter| !turns_direction(*letter)) {
        if is_right_to_left(letter) {
            if !open {
                out.push_str(&between);
                out.push('\u{2068}');
                open = true;
            } else {
                out.push_str(&between);
            }
            between.clear();
            out.push(letter);
        } else if open && between.is_empty() && is_mark(letter) {
            out.push(letter);
        } else if open && may_join(letter) {
            between.push(letter);
        } else {
            if open {
                out.push('\u{2069}');
                open = false;
            }
            out.push_str(&between);
            between.clear();
            out.push(letter);
        }
    }
    if open {
        out.push('\u{2069}');
    }
    out.push_str(&between);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_and_its_unit_and_a_lane_and_its_gap_stay_on_one_line() {
        for (text, held) in [
            ("Gap 1.25 m, then 6 ft 2½ in.", "Gap 1.25_m, then 6_ft_2½_in."),
            (
                "Lanes stand since 10:14: A 1.20 m · B 1.35 m.",
                "Lanes stand since 10:14: A_1.20_m · B_1.35_m.",
            ),
            ("Bahnen: A 1,20 m · B 1,35 m (80 %)", "Bahnen: A_1,20_m · B_1,35_m (80_%)"),
            ("Ole runs in lane B, 2.05 s.", "Ole runs in lane_B, 2.05_s."),
            ("Only lanes A and B. A run in 7 Larch", "Only lanes_A and B. A run in 7 Larch"),
        ] {
            let held = held.replace('_', "\u{a0}");
            assert_eq!(hold_together(text), held);
            assert_eq!(hold_together(&held), held);
        }
    }

    #[test]
    fn text_without_such_letters_stays_as_it_is() {
        for text in ["", "Kesia, 4.80 m", "Žofie", "小明", "अर्जुन", "Жанна"] {
            assert_eq!(set_apart(text), text);
        }
    }

    #[test]
    fn a_name_is_set_apart_from_the_number_beside_it() {
        assert_eq!(set_apart("نور: 4.80 m"), "\u{2068}نور\u{2069}: 4.80 m");
        assert_eq!(set_apart("1 נועה 2"), "1 \u{2068}נועה\u{2069} 2");
    }

    #[test]
    fn names_in_a_list_are_set_apart_one_by_one_and_a_name_of_two_words_is_one() {
        assert_eq!(set_apart("نور علي, בן-דוד, Ada"), "\u{2068}نور علي\u{2069}, \u{2068}בן-דוד\u{2069}, Ada");
    }

    #[test]
    fn signs_that_turn_the_direction_are_dropped_and_doing_it_twice_changes_nothing() {
        let hostile = "\u{202e}abc\u{2069} \u{200f}نور\u{2068}";
        let once = set_apart(hostile);
        assert_eq!(once, "abc \u{2068}نور\u{2069}");
        assert_eq!(set_apart(&once), once);
    }

    #[test]
    fn vowel_signs_belong_to_their_letters_and_letters_stand_alone() {
        for sign in ['\u{301}', '\u{5b8}', '\u{64e}', 'ि', '्', 'া', 'ொ', '\u{e31}', '\u{200d}', 'ා', '\u{17b6}']
        {
            assert!(is_mark(sign), "{:x}", u32::from(sign));
        }
        for letter in ['a', 'א', 'ن', 'क', 'অ', 'ৎ', 'அ', 'ก', 'ක', 'က', 'ა', '小', 'ऽ', '০', '५']
        {
            assert!(!is_mark(letter), "{:x}", u32::from(letter));
        }
    }
}
