//! Single cells: what counts as missing, numbers with either decimal mark, ages and letters of sexes.

use super::Decimal;
use crate::runner::Sex;
use crate::words::{Arg, Message};

/// Words that say "unknown", in lower case.
const MISSING: &[&str] = &[
    "-",
    "--",
    "---",
    "–",
    "—",
    "−",
    ".",
    "..",
    "...",
    "…",
    "?",
    "??",
    "???",
    "/",
    "n/a",
    "na",
    "n.a.",
    "#n/a",
    "#nv",
    "none",
    "null",
    "nil",
    "unknown",
    "unk",
    "unbekannt",
    "inconnu",
    "inconnue",
    "desconocido",
    "absent",
    "absente",
    "abs",
    "abs.",
    "ausente",
    "fehlt",
    "krank",
    "ill",
    "sick",
    "away",
    "missing",
    "not measured",
    "not known",
    "not given",
    "tbc",
    "tbd",
    "k.a.",
    "k. a.",
    "keine angabe",
    "n.d.",
    "nd",
    "s/d",
    "no data",
    "to do",
    "todo",
];

/// Returns whether a trimmed cell says that nothing is known.
pub(super) fn is_missing(text: &str) -> bool {
    text.is_empty() || MISSING.contains(&text.to_lowercase().as_str())
}

/// Returns whether a trimmed cell shows a formula, or what is left of a calculation that failed. `NaN` is one of these
/// and not a word for "unknown": whoever reads the list should know that a value got lost.
pub(super) fn is_formula(text: &str) -> bool {
    text.starts_with(['=', '#']) || text.eq_ignore_ascii_case("nan")
}

/// Returns whether a trimmed cell holds no name. Initials such as `NA` are names, and so is a little picture.
pub(super) fn is_missing_name(text: &str) -> bool {
    text.chars()
        .all(|c| matches!(c, '-' | '–' | '—' | '−' | '.' | '…' | '?' | '/' | '*' | '_') || c.is_whitespace())
        || matches!(text.to_lowercase().as_str(), "n/a" | "#n/a" | "null")
}

/// A number as it was typed, its marks not yet read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Typed(pub String);

/// What a typed number says about decimal marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Marks {
    /// Digits only.
    None,
    /// One mark that can only be decimal, as in `1.4` or `0,145`.
    Decimal(Decimal),
    /// One comma before three digits: `1,234` is 1.234 or one thousand two hundred and thirty-four.
    CommaOrThousands,
    /// One point before three digits.
    PointOrThousands,
    /// Anything else, such as `1.2.3`.
    Unreadable,
}

impl Typed {
    /// Returns what the marks in it can mean.
    pub fn marks(&self) -> Marks {
        let text = self.0.as_str();
        let mut marks = text.char_indices().filter(|(_, c)| matches!(c, '.' | ','));
        let (at, mark) = match (marks.next(), marks.next()) {
            (None, _) => return Marks::None,
            (Some(found), None) => found,
            _ => return Marks::Unreadable,
        };
        let (whole, part) = (&text[..at], &text[at + 1..]);
        let like_thousands = part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
        match (mark, like_thousands) {
            (',', true) => Marks::CommaOrThousands,
            (_, true) => Marks::PointOrThousands,
            (',', false) => Marks::Decimal(Decimal::Comma),
            _ => Marks::Decimal(Decimal::Point),
        }
    }

    /// Returns the number with a decimal point, or `None` when the marks cannot be read or have to be asked for.
    pub fn read(&self, rules: &DecimalRules) -> Option<Plain> {
        let text = match self.marks() {
            Marks::None => self.0.clone(),
            Marks::Decimal(_) => self.0.replace(',', "."),
            Marks::CommaOrThousands => match rules.comma_three? {
                Three::Decimal => self.0.replace(',', "."),
                Three::Thousands => self.0.replace(',', ""),
            },
            Marks::PointOrThousands => match rules.point_three? {
                Three::Decimal => self.0.clone(),
                Three::Thousands => self.0.replace('.', ""),
            },
            Marks::Unreadable => return None,
        };
        Some(Plain(text))
    }
}

/// What a mark before three digits means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Three {
    Decimal,
    Thousands,
}

/// How marks before three digits are read in this file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct DecimalRules {
    /// `1,234`; `None` when it has to be asked.
    pub comma_three: Option<Three>,
    /// `1.234`; `None` when it has to be asked.
    pub point_three: Option<Three>,
}

/// A number in plain digits with at most one decimal point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Plain(String);

impl Plain {
    /// Returns the value times ten to a power, correctly rounded: 1.43 m are exactly 143 cm.
    pub fn times_ten_to(&self, power: i32) -> f64 {
        format!("{}e{power}", self.0).parse().unwrap_or(f64::NAN)
    }

    /// Returns the value.
    pub fn value(&self) -> f64 {
        self.times_ten_to(0)
    }

    /// Returns the digits before and after the decimal point.
    pub fn parts(&self) -> (&str, &str) {
        self.0.split_once('.').unwrap_or((&self.0, ""))
    }

    /// Returns whether there is no decimal point.
    pub fn is_whole(&self) -> bool {
        !self.0.contains('.')
    }
}

/// A piece of a cell with numbers in it.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Token {
    Number(Typed),
    /// Letters, in lower case.
    Word(String),
    /// `½`, `¼`, `¾` as a part of one.
    Fraction(f64),
    /// A foot mark `'`.
    FootMark,
    /// An inch mark `"`.
    InchMark,
    /// A dash, a slash, a semicolon, a colon and so on.
    Sign(char),
}

/// Splits a cell into numbers, words and signs. White space separates and is left out.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let chars: Vec<char> = text.to_lowercase().chars().collect();
    let mut tokens = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        let c = chars[at];
        let digit_at = |index: usize| chars.get(index).is_some_and(char::is_ascii_digit);
        let start = at;
        at += 1;
        if c.is_ascii_digit() || matches!(c, '.' | ',') && digit_at(at) {
            while digit_at(at) || matches!(chars.get(at), Some('.' | ',')) && digit_at(at + 1) {
                at += 1;
            }
            tokens.push(Token::Number(Typed(chars[start..at].iter().collect())));
        } else if c.is_alphabetic() {
            while chars.get(at).is_some_and(|next| next.is_alphabetic()) {
                at += 1;
            }
            tokens.push(Token::Word(chars[start..at].iter().collect()));
        } else if c.is_whitespace() {
        } else {
            let doubled = matches!(c, '\'' | '’' | '′') && chars.get(at) == Some(&c);
            tokens.push(match c {
                '\'' | '’' | '′' | '‘' | '`' | '´' if doubled => {
                    at += 1;
                    Token::InchMark
                }
                '\'' | '’' | '′' | '‘' | '`' | '´' => Token::FootMark,
                '"' | '”' | '″' | '“' | '„' => Token::InchMark,
                '½' => Token::Fraction(0.5),
                '¼' => Token::Fraction(0.25),
                '¾' => Token::Fraction(0.75),
                '–' | '—' | '−' => Token::Sign('-'),
                other => Token::Sign(other),
            });
        }
    }
    // A full stop behind everything ("143 cm.") says nothing.
    if tokens.len() > 1 && tokens.last() == Some(&Token::Sign('.')) {
        tokens.pop();
    }
    tokens
}

/// An age cell.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum AgeCell {
    /// A number in the unit of the column.
    Plain(Typed),
    /// A number with the word "years", or a half behind it.
    Years(Typed, f64),
    /// Completed years and months.
    YearsMonths(Typed, Typed),
    /// A number with the word "months".
    Months(Typed),
    /// None of these.
    Unreadable,
}

/// Reads the shape of an age cell.
pub(super) fn age(text: &str) -> AgeCell {
    use Token::{Fraction, Number, Sign, Word};
    let years = |word: &str| {
        matches!(
            word,
            "y" | "yr"
                | "yrs"
                | "year"
                | "years"
                | "yo"
                | "j"
                | "jahr"
                | "jahre"
                | "an"
                | "ans"
                | "año"
                | "años"
                | "a"
                | "jaar"
        )
    };
    let months = |word: &str| {
        matches!(
            word,
            "m" | "mo"
                | "mos"
                | "mth"
                | "mths"
                | "month"
                | "months"
                | "mon"
                | "monat"
                | "monate"
                | "mois"
                | "mes"
                | "meses"
                | "maanden"
        )
    };
    let mut tokens = tokens(text);
    tokens.retain(
        |token| !matches!(token, Word(word) if matches!(word.as_str(), "and" | "und" | "et" | "old" | "alt")),
    );
    match tokens.as_slice() {
        [Number(age)] => AgeCell::Plain(age.clone()),
        [Number(age), Fraction(part)] => AgeCell::Years(age.clone(), *part),
        [Number(age), Word(unit)] if years(unit) => AgeCell::Years(age.clone(), 0.0),
        [Number(age), Fraction(part), Word(unit)] if years(unit) => AgeCell::Years(age.clone(), *part),
        [Number(age), Word(unit)] if months(unit) => AgeCell::Months(age.clone()),
        [Number(whole), Sign(';' | ':'), Number(part)] => AgeCell::YearsMonths(whole.clone(), part.clone()),
        [Number(whole), Word(unit), Number(part)] if years(unit) => {
            AgeCell::YearsMonths(whole.clone(), part.clone())
        }
        [Number(whole), Word(unit), Number(part), Word(sub)] if years(unit) && months(sub) => {
            AgeCell::YearsMonths(whole.clone(), part.clone())
        }
        [Number(whole), Word(unit), Sign(','), Number(part), Word(sub)] if years(unit) && months(sub) => {
            AgeCell::YearsMonths(whole.clone(), part.clone())
        }
        _ => AgeCell::Unreadable,
    }
}

/// What a cell of the column of sexes says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SexCell {
    Known(Sex),
    /// One of the letters `m` and `g`, which mean boys in one language and girls in another.
    Letter(char),
    /// Not said, or neither; the growth tables of both are used.
    Open,
    Unreadable,
}

/// Reads a cell of the column of sexes.
pub(super) fn sex(text: &str) -> SexCell {
    let lower = text.to_lowercase();
    match lower.trim_end_matches('.') {
        "f" | "female" | "girl" | "girls" | "w" | "weiblich" | "weibl" | "mädchen" | "maedchen" | "fille"
        | "femme" | "féminin" | "mujer" | "niña" | "chica" | "femenino" | "fem" | "v" | "vrouw"
        | "meisje" | "woman" | "♀" => SexCell::Known(Sex::Female),
        "male" | "boy" | "boys" | "b" | "h" | "j" | "männlich" | "maennlich" | "männl" | "junge"
        | "garçon" | "garcon" | "homme" | "masculin" | "hombre" | "niño" | "chico" | "masculino" | "masc"
        | "jongen" | "man" | "♂" => SexCell::Known(Sex::Male),
        "m" => SexCell::Letter('m'),
        "g" => SexCell::Letter('g'),
        "x" | "d" | "o" | "u" | "nb" | "other" | "divers" | "non-binary" | "nonbinary"
        | "prefer not to say" | "not said" | "autre" | "otro" | "anders" => SexCell::Open,
        _ if is_missing(text) => SexCell::Open,
        _ => SexCell::Unreadable,
    }
}

/// Why a name or an id is not taken, or `None` when it is.
pub(super) fn name_fault(text: &str) -> Option<Message> {
    let longest = super::NAME_CHARS_MAX;
    if text.contains('\u{fffd}') {
        Some(Message::new("import-bad-letter"))
    } else if text.contains(['\n', '\r']) {
        Some(Message::new("import-bad-name-lines"))
    } else if text.chars().any(|c| c.is_control() || is_direction_mark(c)) {
        Some(Message::new("import-bad-control"))
    } else if text.chars().count() > longest {
        Some(Message::new("import-bad-name-long").with("longest", Arg::Count(longest as i64)))
    } else {
        None
    }
}

/// Marks that turn the direction of writing and can make a name look like another.
fn is_direction_mark(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}')
}

/// Returns whether a name is more likely a whole row with another separator: `Wren;11;143`.
pub(super) fn looks_like_cells(text: &str) -> bool {
    [',', ';', '\t', '|'].iter().any(|&sign| {
        text.contains(sign)
            && text.split(sign).any(|part| part.trim().chars().next().is_some_and(|c| c.is_ascii_digit()))
    })
}

/// Returns whether the first cell of a row at the end is that of a footer: `Total`, `Average:`, `24 children`.
pub(super) fn is_footer(text: &str) -> bool {
    // Words that are also names (Max, Min, Suma) are left out.
    const WORDS: &[&str] = &[
        "total",
        "totals",
        "totale",
        "grand total",
        "average",
        "averages",
        "mean",
        "median",
        "avg",
        "count",
        "summe",
        "gesamt",
        "insgesamt",
        "anzahl",
        "mittelwert",
        "durchschnitt",
        "schnitt",
        "moyenne",
        "effectif",
        "somme",
        "promedio",
        "totaal",
        "gemiddelde",
        "notes",
        "remarks",
        "bemerkung",
        "bemerkungen",
        "remarques",
    ];
    const COUNTED: &[&str] = &[
        "pupils",
        "students",
        "children",
        "runners",
        "kids",
        "athletes",
        "names",
        "kinder",
        "schüler",
        "élèves",
        "eleves",
        "alumnos",
        "leerlingen",
    ];
    // These are surnames and first names too, so that a number has to stand with them.
    const WITH_NUMBER: &[&str] = &[
        "page", "seite", "página", "pagina", "printed", "exported", "gedruckt", "stand", "imprimé", "blatt",
    ];
    let lower = text.to_lowercase();
    let first = lower.split_whitespace().next().unwrap_or("");
    let digits = lower.chars().any(|c| c.is_ascii_digit());
    let bare = lower.trim_end_matches(|c: char| {
        c.is_ascii_digit() || c.is_whitespace() || matches!(c, ':' | '=' | '.' | ',')
    });
    let second = lower.split_whitespace().nth(1).unwrap_or("");
    WORDS.contains(&bare)
        || WITH_NUMBER.contains(&first.trim_end_matches(':')) && digits
        || first.chars().all(|c| c.is_ascii_digit()) && COUNTED.contains(&second)
}

/// Returns whether our own form puts an apostrophe before a text, so that no spreadsheet takes it for a formula and
/// no reader takes it for a missing cell or a footer.
pub(super) fn needs_guard(text: &str) -> bool {
    let bare = text.trim_start_matches('\'');
    bare.starts_with(['=', '+', '-', '@', '\t', '\r']) || is_missing_name(bare) || is_footer(bare)
}

/// Takes that apostrophe off again.
pub(super) fn without_guard(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if needs_guard(rest) => rest,
        _ => text,
    }
}

/// Shortens a cell for showing: one line, at most 40 characters.
pub(super) fn shorten(text: &str) -> String {
    const SHOWN_CHARS_MAX: usize = 40;
    let shown = |c: char| match c {
        '\n' | '\r' | '\t' => ' ',
        c if c.is_control() || is_direction_mark(c) => '\u{fffd}',
        c => c,
    };
    let text = text.replace("\r\n", "\n");
    let mut short: String = text.chars().take(SHOWN_CHARS_MAX).map(shown).collect();
    if text.chars().nth(SHOWN_CHARS_MAX).is_some() {
        short.push('…');
    }
    short
}

/// Returns an age in years from completed years and months: the middle of the month, so that a whole number of years
/// still means "had that birthday".
pub(super) fn years_from_months(years: f64, months: f64) -> f64 {
    years + (months + 0.5) / 12.0
}

/// Returns whether the decimals of a column of ages are months: `11.10` and `11.11` are hardly ever decimals.
pub(super) fn like_months(decimals: &[&str]) -> bool {
    let months = |part: &&str| part.is_empty() || part.parse::<u32>().is_ok_and(|months| months <= 11);
    decimals.iter().all(months) && decimals.iter().any(|part| matches!(*part, "10" | "11"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str) -> Typed {
        Typed(text.into())
    }

    #[test]
    fn only_three_digits_behind_a_mark_are_ambiguous() {
        assert_eq!(typed("1,43").marks(), Marks::Decimal(Decimal::Comma));
        assert_eq!(typed("1.43").marks(), Marks::Decimal(Decimal::Point));
        assert_eq!(typed("1,234").marks(), Marks::CommaOrThousands);
        assert_eq!(typed("1.234").marks(), Marks::PointOrThousands);
        assert_eq!(typed("0,145").marks(), Marks::Decimal(Decimal::Comma));
        assert_eq!(typed("1.234,5").marks(), Marks::Unreadable);
        assert_eq!(typed("143").marks(), Marks::None);
    }

    #[test]
    fn metres_become_exact_centimetres() {
        for hundredths in 60..=230 {
            let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
            assert_eq!(Plain(text).times_ten_to(2), f64::from(hundredths));
        }
    }

    #[test]
    fn ages_are_read_in_their_shapes() {
        assert_eq!(age("11"), AgeCell::Plain(typed("11")));
        assert_eq!(age("11,5"), AgeCell::Plain(typed("11,5")));
        assert_eq!(age("11½"), AgeCell::Years(typed("11"), 0.5));
        assert_eq!(age("11 years"), AgeCell::Years(typed("11"), 0.0));
        for text in [
            "11y 4m",
            "11;4",
            "11 yrs 4 mths",
            "11 years and 4 months",
            "11 Jahre, 4 Monate",
            "11 ans et 4 mois",
            "11y4",
        ] {
            assert_eq!(age(text), AgeCell::YearsMonths(typed("11"), typed("4")), "{text}");
        }
        assert_eq!(age("132 months"), AgeCell::Months(typed("132")));
        assert_eq!(age("U13"), AgeCell::Unreadable);
        assert_eq!(age("-11"), AgeCell::Unreadable);
    }

    #[test]
    fn the_guard_can_always_be_taken_off() {
        for text in
            ["=1+1", "'=1", "''=1", "-", "?", "@x", "+3", "Total", "🦊", "'t Hooft", "Wren", "'", "''"]
        {
            let written = if needs_guard(text) { format!("'{text}") } else { text.to_owned() };
            assert_eq!(without_guard(&written), text);
        }
    }

    #[test]
    fn footers_are_not_children() {
        for text in [
            "Total",
            "Total:",
            "Total 24",
            "TOTAL: 24",
            "24 pupils",
            "Average",
            "Page 1 of 2",
            "Stand: 3.2.2026",
        ] {
            assert!(is_footer(text), "{text}");
        }
        for text in ["Wren", "Page", "Max", "Max Larch", "Tota", "Min-Jun", "Runner 12", "Mean Larch", "24"] {
            assert!(!is_footer(text), "{text}");
        }
    }
}
