//! Numbers, lengths and dates as people type them.

use jiff::civil::Date;
use lanewright_model::words::Units;
use lanewright_model::{Arg, Message};

/// Metres in a foot and in an inch (by definition).
const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;

/// What a length typed without a unit means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bare {
    /// Body lengths and hurdle heights: centimetres, or inches.
    Small,
    /// Gaps and floors: metres, or feet.
    Large,
}

/// What is wrong with an entry, as a sentence that says what to type.
pub type EntryError = Message;

/// Reads a plain number with a point or a comma.
///
/// # Errors
/// It is not a number.
pub fn number(text: &str) -> Result<f64, EntryError> {
    let plain = text.trim().replace(',', ".");
    let plain = plain.strip_prefix('+').unwrap_or(&plain);
    match plain.parse::<f64>() {
        Ok(number) if number.is_finite() && plain.bytes().all(|byte| !byte.is_ascii_alphabetic()) => {
            Ok(number)
        }
        _ => Err(Message::new("app-entry-number").text("entry", text.trim())),
    }
}

/// Reads a whole number of things.
///
/// # Errors
/// It is not a whole number, or outside `low..=high`.
pub fn count(text: &str, low: u32, high: u32) -> Result<u32, EntryError> {
    let value = number(text)?;
    if value.fract() == 0.0 && (f64::from(low)..=f64::from(high)).contains(&value) {
        Ok(value as u32)
    } else {
        Err(Message::new("app-entry-count")
            .with("low", Arg::Count(low.into()))
            .with("high", Arg::Count(high.into())))
    }
}

/// Reads a length in metres: `1.25`, `1,25 m`, `145 cm`, `4 ft 9 in`, `4'9"`, `57 in`.
///
/// # Errors
/// It cannot be read; the sentence shows how to write it.
pub fn length_m(text: &str, bare: Bare, units: Units) -> Result<f64, EntryError> {
    let error = || {
        Message::new(match (bare, units) {
            (Bare::Small, Units::Metric) => "app-entry-length-cm",
            (Bare::Large, Units::Metric) => "app-entry-length-m",
            (_, Units::FeetInches) => "app-entry-length-ft",
        })
        .text("entry", text.trim())
    };
    let bare_m = match (bare, units) {
        (Bare::Small, Units::Metric) => 0.01,
        (Bare::Large, Units::Metric) => 1.0,
        (Bare::Small, Units::FeetInches) => INCH_M,
        (Bare::Large, Units::FeetInches) => FOOT_M,
    };
    let mut rest =
        text.trim().to_lowercase().replace(',', ".").replace(['’', '′'], "'").replace(['”', '″'], "\"");
    rest = rest.replace("''", "\"").replace('½', ".5");
    let mut total_m = 0.0;
    let mut parts = 0;
    let mut last_unit_m = f64::INFINITY;
    let mut rest = rest.as_str();
    while !rest.trim_start().is_empty() {
        rest = rest.trim_start();
        let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let value: f64 = rest[..digits].parse().map_err(|_| error())?;
        rest = rest[digits..].trim_start();
        let letters = rest.find(|c: char| c.is_ascii_digit() || c == '.' || c == ' ').unwrap_or(rest.len());
        let unit_m = match &rest[..letters] {
            "" if parts == 0 => bare_m,
            // `5 ft 3`: what follows feet is inches.
            "" if last_unit_m == FOOT_M => INCH_M,
            "m" | "metre" | "metres" | "meter" | "meters" => 1.0,
            "cm" => 0.01,
            "mm" => 0.001,
            "'" | "ft" | "feet" | "foot" => FOOT_M,
            "\"" | "in" | "inch" | "inches" => INCH_M,
            _ => return Err(error()),
        };
        if unit_m >= last_unit_m {
            return Err(error());
        }
        last_unit_m = unit_m;
        total_m += value * unit_m;
        rest = &rest[letters..];
        parts += 1;
    }
    if parts == 0 { Err(error()) } else { Ok(total_m) }
}

/// Reads a length within limits, in metres.
///
/// # Errors
/// It cannot be read or lies outside; the sentence names the limits.
pub fn length_within_m(
    text: &str,
    bare: Bare,
    units: Units,
    low_m: f64,
    high_m: f64,
) -> Result<f64, EntryError> {
    let length = length_m(text, bare, units)?;
    if (low_m..=high_m).contains(&length) {
        return Ok(length);
    }
    let show = |length_m: f64| match bare {
        Bare::Small => Arg::HeightCm(length_m * 100.0),
        Bare::Large => Arg::MeasuredM(length_m),
    };
    Err(Message::new("app-entry-between").with("low", show(low_m)).with("high", show(high_m)))
}

/// Shows a length so that reading it back gives the same length (to a tenth of a millimetre).
pub fn show_length(length_m: f64, bare: Bare, units: Units) -> String {
    let (value, decimals) = match (bare, units) {
        (Bare::Small, Units::Metric) => (length_m / 0.01, 1),
        (Bare::Large, Units::Metric) => (length_m, 3),
        (Bare::Small, Units::FeetInches) => (length_m / INCH_M, 1),
        (Bare::Large, Units::FeetInches) => {
            let inches = (length_m / INCH_M * 2.0).round() / 2.0;
            let feet = (inches / 12.0).floor();
            let rest = inches - feet * 12.0;
            return match (feet, rest) {
                (0.0, rest) => format!("{rest} in"),
                (feet, 0.0) => format!("{feet} ft"),
                (feet, rest) => format!("{feet} ft {rest} in"),
            };
        }
    };
    let text = format!("{value:.decimals$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text.is_empty() { "0".to_owned() } else { text.to_owned() }
}

/// Reads a date in the one form that cannot be misread, `2014-06-05`, which date fields of browsers give.
///
/// # Errors
/// It is not a date, or lies outside `low..=high`.
pub fn date(text: &str, low: Date, high: Date) -> Result<Date, EntryError> {
    match text.trim().parse::<Date>() {
        Ok(date) if (low..=high).contains(&date) => Ok(date),
        Ok(_) => Err(Message::new("app-entry-date-range")
            .text("low", low.to_string())
            .text("high", high.to_string())),
        Err(_) => Err(Message::new("app-entry-date").text("entry", text.trim())),
    }
}

/// Returns the name that a new child gets on a list: equal names get a number, so that they can be told apart.
pub fn label_on_list(wanted: &str, taken: &[&str]) -> String {
    let wanted = wanted.split_whitespace().collect::<Vec<_>>().join(" ");
    let free = |name: &str| !taken.iter().any(|other| other.eq_ignore_ascii_case(name));
    if free(&wanted) {
        return wanted;
    }
    (2..).map(|number| format!("{wanted} {number}")).find(|name| free(name)).expect("numbers do not end")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn lengths_are_read_as_people_write_them() {
        use Bare::{Large, Small};
        use Units::{FeetInches, Metric};
        for (text, bare, units, expected_m) in [
            ("145", Small, Metric, 1.45),
            ("145,5", Small, Metric, 1.455),
            ("1.45 m", Small, Metric, 1.45),
            ("1,25", Large, Metric, 1.25),
            ("125cm", Large, Metric, 1.25),
            ("57", Small, FeetInches, 57.0 * INCH_M),
            ("4 ft 9 in", Small, FeetInches, 57.0 * INCH_M),
            ("4'9\"", Small, FeetInches, 57.0 * INCH_M),
            ("4’9”", Small, Metric, 57.0 * INCH_M),
            ("4ft9", Large, FeetInches, 57.0 * INCH_M),
            ("4 ft", Large, FeetInches, 48.0 * INCH_M),
            ("92", Large, FeetInches, 92.0 * FOOT_M),
            ("4 ft 1½ in", Large, FeetInches, 49.5 * INCH_M),
        ] {
            let read = length_m(text, bare, units).unwrap_or_else(|_| panic!("{text} is refused"));
            assert!(close(read, expected_m), "{text}: {read}");
        }
        for text in ["", "tall", "1.2.3", "9 in 4 ft", "4 ft 9 in 2", "-3", "145 kg", "1 45"] {
            assert!(length_m(text, Small, Metric).is_err(), "{text} is taken");
        }
    }

    #[test]
    fn what_is_shown_reads_back_as_the_same_length() {
        for units in [Units::Metric, Units::FeetInches] {
            for bare in [Bare::Small, Bare::Large] {
                for half_inches in 1..200 {
                    let length = f64::from(half_inches) * INCH_M / 2.0;
                    let shown = show_length(length, bare, units);
                    let read = length_m(&shown, bare, units).unwrap();
                    assert!((read - length).abs() <= 0.0052, "{shown}: {read} for {length}");
                    assert_eq!(show_length(read, bare, units), shown);
                }
            }
        }
    }

    #[test]
    fn limits_are_inclusive_and_named() {
        assert!(length_within_m("60", Bare::Small, Units::Metric, 0.6, 2.3).is_ok());
        let error = length_within_m("59", Bare::Small, Units::Metric, 0.6, 2.3).unwrap_err();
        assert_eq!(error.id, "app-entry-between");
        assert!(count("3", 1, 3).is_ok());
        assert!(count("4", 1, 3).is_err());
        assert!(count("2.5", 1, 3).is_err());
    }

    #[test]
    fn only_plain_numbers_are_numbers() {
        assert!(close(number(" 1,5 ").unwrap(), 1.5));
        for text in ["inf", "NaN", "1e5", "", "1.2.3"] {
            assert!(number(text).is_err(), "{text} is taken");
        }
    }

    #[test]
    fn dates_have_one_form() {
        let low = jiff::civil::date(1990, 1, 1);
        let high = jiff::civil::date(2026, 3, 2);
        assert_eq!(date("2014-06-05", low, high), Ok(jiff::civil::date(2014, 6, 5)));
        assert!(date("05/06/2014", low, high).is_err());
        assert!(date("2031-06-05", low, high).is_err());
    }

    #[test]
    fn equal_names_get_a_number() {
        assert_eq!(label_on_list(" Ada ", &["Bo"]), "Ada");
        assert_eq!(label_on_list("Ada", &["ada", "Ada 2"]), "Ada 3");
    }
}
