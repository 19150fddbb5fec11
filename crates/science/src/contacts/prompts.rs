//! The moments worth a sentence. A prompt asks; it never stops anything, and it has no colour.

use jiff::civil::Date;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{ChildContacts, Tally};
use crate::body::Pace;

/// Jumps in one lesson of a child that is new to jumping, above which a sentence is due.
///
/// Reviews of jump training in youth start with 50 to 60 contacts a session (Michailidis 2014; Bedoya et al. 2015, the
/// numbers of the latter from memory).
pub const JUMPS_NEW: u32 = 60;

/// Jumps in one lesson of any child, above which a sentence is due: within the 80 to 120 that the same reviews end
/// with.
pub const JUMPS_ANYONE: u32 = 100;

/// Hard stops and turns in one lesson, above which a sentence is due (engineering assumption; no study).
pub const TURNS_A_LESSON: u32 = 30;

/// Days a week with jumps or turns, above which a sentence is due: the reviews train twice a week.
pub const JUMP_DAYS_A_WEEK: u32 = 2;

/// What a prompt is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// Many jumps in the lesson.
    Jumps,
    /// Many hard stops and turns in the lesson.
    Turns,
    /// Jumps or turns on the day before too.
    DaysInARow,
    /// Jumps or turns on more than two days of the week.
    DaysAWeek,
    /// The child grows fast.
    Growth,
}

/// One sentence for the teacher.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Prompt {
    /// What it is about.
    pub about: About,
    /// The sentence, with where its number comes from.
    pub say: Message,
}

/// Returns what is worth saying about a child's contacts on a day, most often nothing.
///
/// `child` is the name to say, `new_to_jumps` the teacher's judgement. Walking and running steps prompt nothing,
/// however many: they are ordinary walking and running.
pub fn prompts(child: &str, contacts: &ChildContacts, day: Date, new_to_jumps: bool) -> Vec<Prompt> {
    let mut prompts = Vec::new();
    let Some(today) = contacts.days.get(&day) else { return prompts };
    let mut add = |about, id: &str, count: u32, limit: u32| {
        let say = Message::new(id)
            .text("child", child)
            .with("count", Arg::Count(i64::from(count)))
            .with("limit", Arg::Count(i64::from(limit)));
        prompts.push(Prompt { about, say });
    };
    if new_to_jumps && today.c > JUMPS_NEW {
        add(About::Jumps, "contacts-many-jumps-new", today.c, JUMPS_NEW);
    } else if today.c > JUMPS_ANYONE {
        add(About::Jumps, "contacts-many-jumps", today.c, JUMPS_ANYONE);
    }
    if today.d > TURNS_A_LESSON {
        add(About::Turns, "contacts-many-turns", today.d, TURNS_A_LESSON);
    }
    if !strains(today) {
        return prompts;
    }
    let days_until_today =
        contacts.days.range(..=day).filter(|(_, tally)| strains(tally)).map(|(day, _)| *day);
    let in_a_row = days_until_today
        .rev()
        .scan(day, |expected, found| {
            let goes_on = found == *expected;
            *expected = expected.yesterday().unwrap_or(*expected);
            goes_on.then_some(())
        })
        .count() as u32;
    if in_a_row > 1 {
        add(About::DaysInARow, "contacts-days-in-a-row", in_a_row, 1);
    }
    let week = super::Week::of(day);
    let in_the_week = contacts
        .days
        .range(..=day)
        .filter(|(other, tally)| super::Week::of(**other) == week && strains(tally))
        .count() as u32;
    if in_the_week > JUMP_DAYS_A_WEEK {
        add(About::DaysAWeek, "contacts-days-a-week", in_the_week, JUMP_DAYS_A_WEEK);
    }
    prompts
}

/// Returns the sentence for a child that grows fast, or nothing; see [`crate::body::growth`].
pub fn growth_prompt(child: &str, pace: Pace) -> Option<Prompt> {
    let id = match pace {
        Pace::Fast => "contacts-growing-fast",
        Pace::ProbablyFast => "contacts-growing-fast-probably",
        Pace::Usual => return None,
    };
    Some(Prompt { about: About::Growth, say: Message::new(id).text("child", child) })
}

/// Jumps, hard stops or turns: what asks for a day in between.
fn strains(tally: &Tally) -> bool {
    tally.c + tally.d > 0
}
