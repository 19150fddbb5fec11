//! Cards are read by children: every sentence on one is held to a published reading level.
//!
//! Formula: Kincaid, Fishburne, Rogers and Chissom 1975, Derivation of New Readability Formulas for Navy Enlisted
//! Personnel, Research Branch Report 8-75: grade = 0.39 words per sentence + 11.8 syllables per word − 15.59. A
//! grade is a year of school in the United States: ten-year-olds are in the fourth or fifth.

use lanewright_model::Ladder;
use lanewright_model::words::{Arg, Message, Units, Words};

/// Highest grade of a sentence in plain words.
const PLAIN_GRADE_MAX: f64 = 5.0;
/// Highest grade of a sentence in very plain words.
const VERY_PLAIN_GRADE_MAX: f64 = 3.0;

const FILE: &str = include_str!("../words/en/papers.ftl");

/// Counts syllables: groups of vowels (y is one), two where "iet" stands; a final e, es or ed is silent unless it
/// follows a consonant and l (for es also a hissing sound, for ed a t or d). Numbers count as one.
fn syllables(word: &str) -> usize {
    let letters: Vec<char> = word.to_lowercase().chars().collect();
    if letters.iter().all(char::is_ascii_digit) {
        return 1;
    }
    let vowel = |letter: char| "aeiouy".contains(letter);
    let starts = |index: usize| vowel(letters[index]) && (index == 0 || !vowel(letters[index - 1]));
    let mut count = (0..letters.len()).filter(|index| starts(*index)).count();
    count += word.matches("iet").count();
    let ends = |end: &str| word.ends_with(end);
    let after_consonant_l = |end: &str| {
        let stem = &letters[..letters.len() - end.len()];
        stem.ends_with(&['l']) && stem.len() > 1 && !vowel(stem[stem.len() - 2])
    };
    let silent = if ends("e") {
        !after_consonant_l("e")
    } else if ends("es") {
        let hisses = ["ses", "xes", "zes", "ches", "shes", "ces", "ges"].into_iter().any(ends);
        !hisses && !after_consonant_l("es")
    } else {
        ends("ed") && !ends("ted") && !ends("ded")
    };
    // The e of "the" is all that there is.
    if silent && count > 1 { count - 1 } else { count.max(1) }
}

fn grade(text: &str) -> f64 {
    let sentences =
        text.split(['.', '!', '?']).filter(|part| part.chars().any(char::is_alphanumeric)).count();
    let words: Vec<&str> =
        text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let syllables: usize = words.iter().map(|word| syllables(&word.to_lowercase())).sum();
    let count = words.len() as f64;
    0.39 * count / sentences as f64 + 11.8 * syllables as f64 / count - 15.59
}

/// Ids of the card's sentences. Headings, labels and the line of facts are no sentences.
fn sentences() -> Vec<&'static str> {
    const NO_SENTENCE: [&str; 7] = [
        "card-drill-",
        "card-step",
        "card-document",
        "card-heading-",
        "card-seen",
        "card-can-more",
        "card-name-",
    ];
    FILE.lines()
        .filter(|line| line.starts_with("card-"))
        .filter_map(|line| line.split_once(" ="))
        .map(|(id, _)| id)
        .filter(|id| !NO_SENTENCE.iter().any(|other| id.starts_with(other)))
        .collect()
}

/// What a sentence says, with every drill and every cue that can stand in it.
fn said(words: &Words, id: &str) -> Vec<String> {
    let ladder = Ladder::built_in();
    let drills = ladder.drills().iter().map(|drill| words.get(&format!("card-drill-{}", drill.id)));
    let mut cues: Vec<String> = ladder.drills().iter().map(|drill| drill.cue.clone()).collect();
    for line in include_str!("../words/en/decide.ftl").lines() {
        if let Some((id, cue)) = line.split_once(" = ")
            && id.starts_with("fault-")
            && id.ends_with("-cue")
        {
            cues.push(cue.to_owned());
        }
    }
    let cues = &cues;
    drills
        .flat_map(|drill| {
            cues.iter().map(move |cue| {
                let message = Message::new(id)
                    .text("drill", drill.as_str())
                    .text("cue", cue.as_str())
                    .with("before", Arg::Count(7))
                    .with("after", Arg::Count(9));
                words.say(&message)
            })
        })
        .collect()
}

#[test]
fn every_sentence_of_a_card_is_one_that_a_child_of_ten_reads() {
    let words = Words::english(Units::Metric);
    let ids = sentences();
    assert!(ids.len() > 50, "{} sentences", ids.len());
    for id in ids {
        let limit = if id.starts_with("card-easy-") { VERY_PLAIN_GRADE_MAX } else { PLAIN_GRADE_MAX };
        for text in said(&words, id) {
            let grade = grade(&text);
            assert!(grade <= limit, "{id} is at grade {grade:.1}, allowed is {limit}: {text}");
        }
    }
}

#[test]
fn the_measure_tells_a_schoolbook_from_a_regulation() {
    // By hand: 6 words, 6 syllables; 13 words, 31 syllables (con-sid-er-a-tion 5, bio-me-chan-i-cal 6, …).
    assert!((grade("The cat sat on the mat.") - (0.39 * 6.0 + 11.8 - 15.59)).abs() < 1e-12);
    assert!(
        grade("Appropriate consideration of biomechanical particularities necessitates individualisation.")
            > 20.0
    );
}

#[test]
fn syllables_are_counted_as_a_dictionary_has_them() {
    // Carnegie Mellon Pronouncing Dictionary (cmudict), vowels of the first pronunciation; words of the cards.
    const ONE: &str = "a all and are as ask at back beat belt bend bends both call can card cards catch change changed \
        cheek chest clean count deep did do down each end eyes far fast feet few first flat foot for form free from \
        front gap go goes good got hands hang hard has have heel here hip hips hop how if in is it keep knee land \
        lands lane lean left leg legs let lift light line look low mind more move much name need needs new next no \
        not now of on once one or out past quick real right round run runs same saw say seat see seen show side slow \
        soon speed spot start stay stays step steps stop swing swings tall than that the them then there they think \
        this time tips to toes too try turn two up us walk was way we were what when where will with work yet you your";
    const TWO: &str = "ankle before beside better between buckle cycle fewer happens hurdle hurdles level loudly over \
        puddle quiet someone under yourself";
    for (count, list) in [(1, ONE), (2, TWO), (2, "across")] {
        for word in list.split_whitespace() {
            assert_eq!(syllables(word), count, "{word}");
        }
    }
}
