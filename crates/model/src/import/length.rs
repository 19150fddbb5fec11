//! Lengths in all the units that coaches write, and the unit of a column that names none.

use super::cell::{Plain, Token, Typed, tokens};
use super::{LEG_LENGTH_CM, Meaning, STATURE_CM, STEP_LENGTH_M, Unit};

/// The shape of a cell with a length.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum LengthCell {
    /// A number in the unit of the column.
    Plain(Typed),
    /// A number with its unit, and a part of one such as ½.
    With(Typed, f64, Unit),
    /// Feet and inches, the inches with a part of one.
    FeetInches(Typed, Typed, f64),
    /// `4-11`: feet and inches without marks.
    Dashed(Typed, Typed),
    /// `1m43`: metres and centimetres.
    MetresCm(Typed, Typed),
    /// What a spreadsheet shows when a formula fails, or the formula itself.
    Formula,
    /// None of these.
    Unreadable,
}

/// Reads the shape of a cell with a length.
pub(super) fn read(text: &str) -> LengthCell {
    use LengthCell::{Dashed, FeetInches, Formula, MetresCm, Plain, Unreadable, With};
    use Token::{FootMark, Fraction, InchMark, Number, Sign, Word};
    if super::cell::is_formula(text) {
        return Formula;
    }
    let mut tokens = tokens(text);
    tokens.retain(|token| !matches!(token, Word(word) if matches!(word.as_str(), "and" | "und" | "et")));
    let unit = |token: &Token| match token {
        FootMark => Some(Unit::Feet),
        InchMark => Some(Unit::Inches),
        Word(word) => unit_word(word),
        _ => None,
    };
    match tokens.as_slice() {
        [Number(number)] => Plain(number.clone()),
        [Number(number), token] if unit(token).is_some() => {
            With(number.clone(), 0.0, unit(token).unwrap_or(Unit::Cm))
        }
        [Number(number), Fraction(part), token] if unit(token) == Some(Unit::Inches) => {
            With(number.clone(), *part, Unit::Inches)
        }
        [Number(metres), token, Number(cm)] if unit(token) == Some(Unit::M) => {
            MetresCm(metres.clone(), cm.clone())
        }
        [Number(metres), token, Number(cm), last]
            if unit(token) == Some(Unit::M) && unit(last) == Some(Unit::Cm) =>
        {
            MetresCm(metres.clone(), cm.clone())
        }
        [Number(feet), token, rest @ ..] if unit(token) == Some(Unit::Feet) => {
            let rest = match rest {
                [rest @ .., last] if unit(last) == Some(Unit::Inches) => rest,
                rest => rest,
            };
            match rest {
                [Number(inches)] => FeetInches(feet.clone(), inches.clone(), 0.0),
                [Number(inches), Fraction(part)] => FeetInches(feet.clone(), inches.clone(), *part),
                _ => Unreadable,
            }
        }
        [Number(feet), Sign('-'), Number(inches)] => Dashed(feet.clone(), inches.clone()),
        _ => Unreadable,
    }
}

fn unit_word(word: &str) -> Option<Unit> {
    Some(match word {
        "cm" | "cms" | "centimetre" | "centimetres" | "centimeter" | "centimeters" | "zentimeter"
        | "centimètres" | "centímetros" => Unit::Cm,
        "m" | "metre" | "metres" | "meter" | "meters" | "mètre" | "mètres" | "metro" | "metros" => Unit::M,
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Mm,
        "in" | "ins" | "inch" | "inches" | "zoll" | "pouce" | "pouces" | "pulgadas" => Unit::Inches,
        "ft" | "foot" | "feet" | "fuß" | "fuss" | "pied" | "pieds" | "pie" | "pies" => Unit::Feet,
        _ => return None,
    })
}

/// Returns the range that a length must lie in, in the unit in which it is kept: centimetres, metres for steps.
pub(super) fn range(meaning: Meaning) -> (f64, f64) {
    match meaning {
        Meaning::LegLength => LEG_LENGTH_CM,
        Meaning::StepLength => STEP_LENGTH_M,
        _ => STATURE_CM,
    }
}

/// Returns a length in the unit in which it is kept, not yet checked; `None` when the unit does not fit the number.
pub(super) fn value(meaning: Meaning, number: &Plain, part: f64, unit: Unit) -> Option<f64> {
    // Powers of ten between the unit and the kept one: exact for decimal digits.
    let in_metres = i32::from(meaning == Meaning::StepLength) * -2;
    let inch = if meaning == Meaning::StepLength { 0.0254 } else { 2.54 };
    Some(match unit {
        Unit::Cm => number.times_ten_to(in_metres),
        Unit::M => number.times_ten_to(2 + in_metres),
        Unit::Mm => number.times_ten_to(in_metres - 1),
        Unit::Inches => (number.value() + part) * inch,
        Unit::Feet if number.is_whole() => number.value() * 12.0 * inch,
        Unit::FeetDecimal => number.value() * 12.0 * inch,
        Unit::FeetPointInches => {
            let (feet, inches) = number.parts();
            let inches: f64 = if inches.is_empty() { 0.0 } else { inches.parse().ok()? };
            return feet_inches(meaning, feet.parse().ok()?, inches);
        }
        _ => return None,
    })
}

/// Returns feet and inches in the unit in which the length is kept; `None` when the inches are no inches.
pub(super) fn feet_inches(meaning: Meaning, feet: f64, inches: f64) -> Option<f64> {
    let inch = if meaning == Meaning::StepLength { 0.0254 } else { 2.54 };
    (inches < 12.0).then_some((feet * 12.0 + inches) * inch)
}

/// Returns metres and centimetres (`1m43`) in the unit in which the length is kept.
pub(super) fn metres_cm(meaning: Meaning, metres: &Plain, cm: &Plain) -> Option<f64> {
    let (whole, rest) = (metres.parts(), cm.parts());
    if !metres.is_whole() || rest.0.len() != 2 {
        return None;
    }
    let cm = whole.0.parse::<f64>().ok()? * 100.0 + cm.value();
    Some(if meaning == Meaning::StepLength { cm / 100.0 } else { cm })
}

/// What the numbers of a column without a unit can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Guess {
    /// Only this unit makes children of them.
    Unit(Unit),
    /// More than one does.
    Ask(&'static [Unit]),
}

/// Returns the unit of a column from the middle of its numbers.
///
/// The bounds are engineering assumptions: the middle of a class of 3 to 25-year-olds is 92 to 195 cm tall
/// (36 to 77 in); between 78 and 92 both inches and centimetres could be meant. Legs are 48 to 100 cm or 19 to 38 in,
/// running steps 0.6 to 2.2 m, which as inches (24 to 87) and centimetres (60 to 220) overlap.
pub(super) fn guess(meaning: Meaning, middle: f64) -> Guess {
    use Guess::{Ask, Unit as Is};
    use Unit::{Cm, Feet, Inches, M, Mm};
    let within = |low: f64, high: f64| low <= middle && middle < high;
    match meaning {
        Meaning::LegLength if within(0.25, 1.4) => Is(M),
        Meaning::LegLength if within(1.4, 4.5) => Is(Feet),
        Meaning::LegLength if within(15.0, 38.0) => Is(Inches),
        Meaning::LegLength if within(38.0, 48.0) => Ask(&[Cm, Inches]),
        Meaning::LegLength if within(250.0, 1300.0) => Is(Mm),
        Meaning::LegLength => Is(Cm),
        Meaning::StepLength if within(0.2, 2.2) => Is(M),
        Meaning::StepLength if within(2.2, 3.0) => Ask(&[M, Feet]),
        Meaning::StepLength if within(3.0, 8.0) => Is(Feet),
        Meaning::StepLength if within(20.0, 60.0) => Is(Inches),
        Meaning::StepLength if within(60.0, 90.0) => Ask(&[Cm, Inches]),
        Meaning::StepLength if within(90.0, 300.0) => Is(Cm),
        Meaning::StepLength if within(300.0, 3000.0) => Is(Mm),
        Meaning::StepLength => Is(M),
        _ if within(0.6, 2.5) => Is(M),
        _ if within(3.0, 7.5) => Is(Feet),
        _ if within(30.0, 78.0) => Is(Inches),
        _ if within(78.0, 92.0) => Ask(&[Cm, Inches]),
        _ if within(600.0, 2300.0) => Is(Mm),
        _ => Is(Cm),
    }
}

#[cfg(test)]
mod tests {
    use super::super::cell::{DecimalRules, Three};
    use super::*;

    const RULES: DecimalRules = DecimalRules { comma_three: None, point_three: Some(Three::Decimal) };

    /// Stature in centimetres of a cell with its own unit.
    fn stature(text: &str) -> Option<f64> {
        let number = |typed: &Typed| typed.read(&RULES);
        match read(text) {
            LengthCell::With(typed, part, unit) => value(Meaning::Stature, &number(&typed)?, part, unit),
            LengthCell::FeetInches(feet, inches, part) => {
                feet_inches(Meaning::Stature, number(&feet)?.value(), number(&inches)?.value() + part)
            }
            LengthCell::Dashed(feet, inches) => {
                feet_inches(Meaning::Stature, number(&feet)?.value(), number(&inches)?.value())
            }
            LengthCell::MetresCm(metres, cm) => metres_cm(Meaning::Stature, &number(&metres)?, &number(&cm)?),
            _ => None,
        }
    }

    #[test]
    fn units_beside_numbers_are_read() {
        for text in
            ["143 cm", "143cm", "143 CM.", "1.43 m", "1,43m", "1m43", "1 m 43", "1 m 43 cm", "1430 mm"]
        {
            assert_eq!(stature(text), Some(143.0), "{text}");
        }
        for text in [
            "4'11\"",
            "4' 11",
            "4’11”",
            "4′11″",
            "4''11",
            "4ft11",
            "4 ft 11 in",
            "4 feet 11 inches",
            "4-11",
            "59 in",
            "59\"",
            "59''",
            "4' 11''",
        ] {
            let expected = if text == "4''11" { None } else { Some(59.0 * 2.54) };
            assert_eq!(stature(text), expected, "{text}");
        }
        assert_eq!(stature("4'11½\""), Some(59.5 * 2.54));
        assert_eq!(stature("5 ft"), Some(60.0 * 2.54));
        for text in ["4'13\"", "4-12", "1m4", "c. 143", "143-145", "tall", "143 kg", "1 43", "4.5 ft", "--4"]
        {
            assert_eq!(stature(text), None, "{text}");
        }
    }

    #[test]
    fn steps_are_kept_in_metres() {
        let step = |text: &str, unit| {
            value(Meaning::StepLength, &Typed(text.into()).read(&RULES).unwrap(), 0.0, unit)
        };
        assert_eq!(step("1.26", Unit::M), Some(1.26));
        assert_eq!(step("126", Unit::Cm), Some(1.26));
        assert_eq!(step("1260", Unit::Mm), Some(1.26));
        assert_eq!(step("50", Unit::Inches), Some(1.27));
    }

    #[test]
    fn the_middle_of_a_column_tells_its_unit() {
        use Guess::{Ask, Unit as Is};
        assert_eq!(guess(Meaning::Stature, 1.43), Is(Unit::M));
        assert_eq!(guess(Meaning::Stature, 143.0), Is(Unit::Cm));
        assert_eq!(guess(Meaning::Stature, 56.0), Is(Unit::Inches));
        assert_eq!(guess(Meaning::Stature, 85.0), Ask(&[Unit::Cm, Unit::Inches]));
        assert_eq!(guess(Meaning::LegLength, 74.0), Is(Unit::Cm));
        assert_eq!(guess(Meaning::StepLength, 1.3), Is(Unit::M));
    }
}
