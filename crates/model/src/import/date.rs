//! Dates as they stand in class lists. Day and month are never guessed.

use jiff::civil::Date;

use super::DateOrder;

/// The shape of a date cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DateCell {
    /// Day, month and year are certain. `short_year`: the year had two digits.
    Certain { date: Date, short_year: bool },
    /// Three plain numbers whose order the cell does not tell.
    Numbers([u32; 3], ShortYear),
    /// The number of days that a spreadsheet counts.
    Serial,
    /// A year alone.
    YearOnly,
    /// Day and month are certain but there is no such day: the 30th of February, the 13th month.
    NoSuchDay,
    /// None of these.
    Unreadable,
}

/// Whether the year of three plain numbers had two digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ShortYear {
    /// `03/04/14`: even the place of the year is open.
    Yes,
    /// `03/04/2014`: the year stands last.
    No,
}

/// Reads the shape of a date cell.
pub(super) fn read(text: &str) -> DateCell {
    let text = without_time(text);
    let lower = text.to_lowercase();
    let separator = lower.chars().find(|c| matches!(c, '.' | '/' | '-' | '–' | ' ' | ','));
    let parts: Vec<&str> = lower
        .split(|c: char| matches!(c, '.' | '/' | '-' | '–' | ',') || c.is_whitespace())
        .filter(|part| !part.is_empty() && !matches!(*part, "de" | "of" | "the" | "del"))
        .collect();
    match parts.as_slice() {
        [one] => single(one, &lower),
        // A spreadsheet's day count with decimals.
        [whole, part] if separator == Some('.') && is_serial(whole) && digits(part).is_some() => {
            DateCell::Serial
        }
        [first, second, third] => match (digits(first), digits(second), digits(third)) {
            (Some(year), Some(month), Some(day)) if first.len() == 4 => certain(year, month, day, false),
            (Some(day), Some(month), Some(year)) if separator == Some('.') => {
                with_year(day, month, year, third.len())
            }
            (Some(a), Some(b), Some(c)) if first.len() <= 2 && second.len() <= 2 => match third.len() {
                4 => DateCell::Numbers([a, b, c], ShortYear::No),
                2 => DateCell::Numbers([a, b, c], ShortYear::Yes),
                _ => DateCell::Unreadable,
            },
            _ => with_month_name(first, second, third),
        },
        _ => DateCell::Unreadable,
    }
}

/// Returns the date of three plain numbers in a given order, or `None` when there is no such day.
pub(super) fn in_order(numbers: [u32; 3], short: ShortYear, order: DateOrder) -> Option<Date> {
    let [a, b, c] = numbers;
    let (year, month, day) = match order {
        DateOrder::DayMonthYear => (c, b, a),
        DateOrder::MonthDayYear => (c, a, b),
        DateOrder::YearMonthDay if short == ShortYear::Yes => (a, b, c),
        // The year has four digits and stands last: this order cannot hold.
        DateOrder::YearMonthDay => return None,
    };
    let year = if short == ShortYear::Yes { full_year(year) } else { year };
    date(year, month, day)
}

/// Returns the number of a month from its name in English, German, French or Spanish, in lower case.
pub(super) fn month_number(word: &str) -> Option<u32> {
    const MONTHS: [&[&str]; 12] = [
        &["january", "jan", "januar", "jänner", "janvier", "janv", "enero", "ene", "januari"],
        &[
            "february", "feb", "februar", "feber", "février", "fevrier", "févr", "fevr", "fév", "febrero",
            "februari",
        ],
        &["march", "mar", "märz", "maerz", "marz", "mär", "mrz", "mars", "marzo", "maart"],
        &["april", "apr", "avril", "avr", "abril", "abr"],
        &["may", "mai", "mayo", "mei"],
        &["june", "jun", "juni", "juin", "junio"],
        &["july", "jul", "juli", "juillet", "juil", "julio"],
        &["august", "aug", "août", "aout", "agosto", "ago", "augustus"],
        &["september", "sep", "sept", "septembre", "septiembre", "set"],
        &["october", "oct", "oktober", "okt", "octobre", "octubre"],
        &["november", "nov", "novembre", "noviembre"],
        &["december", "dec", "dezember", "dez", "décembre", "decembre", "déc", "diciembre", "dic"],
    ];
    MONTHS.iter().position(|names| names.contains(&word)).and_then(|index| u32::try_from(index + 1).ok())
}

/// Cuts a time of day off: `2014-03-12 00:00:00`, `2014-03-12T00:00:00Z`.
fn without_time(text: &str) -> &str {
    let Some(colon) = text.find(':') else { return text };
    let before = text[..colon].trim_end_matches(|c: char| c.is_ascii_digit());
    let shorter = before.trim_end_matches(['T', 't', ' ', '\u{a0}', ',']);
    if shorter.len() < before.len() && before.len() < colon { shorter } else { text }
}

fn single(word: &str, whole: &str) -> DateCell {
    match digits(word) {
        Some(number) if word.len() == 8 && matches!(&word[..2], "19" | "20") && word == whole => {
            certain(number / 10_000, number / 100 % 100, number % 100, false)
        }
        Some(_) if is_serial(word) => DateCell::Serial,
        Some(number) if word.len() == 4 && (1900..2100).contains(&number) => DateCell::YearOnly,
        _ => DateCell::Unreadable,
    }
}

/// Days counted since 1900 for the years 1982 to 2064.
fn is_serial(word: &str) -> bool {
    word.len() == 5 && digits(word).is_some_and(|number| (30_000..60_000).contains(&number))
}

fn with_month_name(first: &str, second: &str, third: &str) -> DateCell {
    let day = |word: &str| {
        let bare = word.trim_end_matches(|c: char| c.is_alphabetic());
        let ending = &word[bare.len()..];
        digits(bare)
            .filter(|_| bare.len() <= 2 && matches!(ending, "" | "st" | "nd" | "rd" | "th" | "er" | "º"))
    };
    if let (Some(month), Some(year)) = (month_number(second), digits(third))
        && let Some(day) = day(first)
    {
        return with_year(day, month, year, third.len());
    }
    if let (Some(month), Some(day), Some(year)) = (month_number(first), day(second), digits(third)) {
        return with_year(day, month, year, third.len());
    }
    if let (Some(year), Some(month), Some(day)) = (digits(first), month_number(second), day(third))
        && first.len() == 4
    {
        return certain(year, month, day, false);
    }
    DateCell::Unreadable
}

fn with_year(day: u32, month: u32, year: u32, year_digits: usize) -> DateCell {
    match year_digits {
        4 => certain(year, month, day, false),
        2 => certain(full_year(year), month, day, true),
        _ => DateCell::Unreadable,
    }
}

fn certain(year: u32, month: u32, day: u32, short_year: bool) -> DateCell {
    date(year, month, day).map_or(DateCell::NoSuchDay, |date| DateCell::Certain { date, short_year })
}

/// Children in a class list were born from 1990 to 2035, so that two digits name one year.
fn full_year(year: u32) -> u32 {
    if year >= 90 { 1900 + year } else { 2000 + year }
}

fn date(year: u32, month: u32, day: u32) -> Option<Date> {
    Date::new(i16::try_from(year).ok()?, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
}

fn digits(word: &str) -> Option<u32> {
    (!word.is_empty() && word.len() <= 8 && word.bytes().all(|byte| byte.is_ascii_digit()))
        .then(|| word.parse().ok())
        .flatten()
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn certain_dates_need_no_question() {
        for text in [
            "2014-03-12",
            "2014/03/12",
            "2014.3.12",
            "20140312",
            "12.03.2014",
            "12. 3. 2014",
            "12 Mar 2014",
            "12-Mar-2014",
            "March 12, 2014",
            "12th March 2014",
            "12. März 2014",
            "12 mars 2014",
            "12 de marzo de 2014",
            "Mar 12 2014",
            "2014-Mar-12",
            "2014-03-12 00:00:00",
            "2014-03-12T00:00:00Z",
            "12.03.2014 0:00",
        ] {
            assert_eq!(
                read(text),
                DateCell::Certain { date: date(2014, 3, 12), short_year: false },
                "{text}"
            );
        }
        for text in ["12.3.14", "12 Mar 14", "12-Mar-14"] {
            assert_eq!(read(text), DateCell::Certain { date: date(2014, 3, 12), short_year: true }, "{text}");
        }
    }

    #[test]
    fn plain_numbers_keep_their_order_open() {
        assert_eq!(read("03/04/2014"), DateCell::Numbers([3, 4, 2014], ShortYear::No));
        assert_eq!(read("3-4-2014"), DateCell::Numbers([3, 4, 2014], ShortYear::No));
        assert_eq!(read("03/04/14"), DateCell::Numbers([3, 4, 14], ShortYear::Yes));
        let order = |order| in_order([3, 4, 14], ShortYear::Yes, order);
        assert_eq!(order(DateOrder::DayMonthYear), Some(date(2014, 4, 3)));
        assert_eq!(order(DateOrder::MonthDayYear), Some(date(2014, 3, 4)));
        assert_eq!(in_order([14, 3, 12], ShortYear::Yes, DateOrder::YearMonthDay), Some(date(2014, 3, 12)));
        assert_eq!(in_order([31, 12, 2014], ShortYear::No, DateOrder::MonthDayYear), None);
    }

    #[test]
    fn what_is_no_date_is_told_apart() {
        assert_eq!(read("41710"), DateCell::Serial);
        assert_eq!(read("41710.5"), DateCell::Serial);
        assert_eq!(read("2014"), DateCell::YearOnly);
        assert_eq!(read("30.02.2014"), DateCell::NoSuchDay);
        assert_eq!(read("2014-13-01"), DateCell::NoSuchDay);
        for text in ["", "soon", "3/4", "Mar-14", "1/2/3/4", "12/3/214", "99999999999/1/1", "::", "a:b"] {
            assert_eq!(read(text), DateCell::Unreadable, "{text}");
        }
    }
}
