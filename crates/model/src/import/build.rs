//! Cells to children: settles what is open for a whole column, then reads row by row.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::cell::{
    self, AgeCell, DecimalRules, Marks, Plain, SexCell, Three, Token, Typed, is_missing, is_missing_name,
    shorten,
};
use super::date::{self, DateCell, ShortYear};
use super::decode::{Decoded, EncodingHow};
use super::error::ImportError;
use super::frame::{Column, Frame};
use super::length::{self, Guess, LengthCell};
use super::preview::{
    Answer, BadCell, Choice, ColumnUnderstood, DecimalFound, Preview, Question, RowPreview, SAMPLE_JOINT,
    UnitHow, column_name,
};
use super::table::Row;
use super::{
    AGE_Y, BAD_CELLS_LISTED_MAX, BIRTH_YEARS, CELL_CHARS_MAX, DateOrder, Decimal, Delimiter, MEASURED_YEARS,
    Meaning, Options, Surnames, Unit,
};
use crate::runner::{Age, Runner, RunnerId, Sex, StrideObservation};
use crate::words::{Arg, Message};

/// Spread of birth years in one class above which a year of two digits may stand elsewhere. Engineering assumption.
const BIRTH_YEARS_SPREAD_MAX: u32 = 8;
/// Names with special letters that are shown when the encoding was guessed.
const NAMES_SHOWN_MAX: usize = 5;
/// Lines that are named one by one in a warning.
const LINES_SHOWN_MAX: usize = 5;

/// Reads the children of a framed table.
pub(super) fn build(
    decoded: Decoded,
    frame: Frame,
    options: &Options,
    sha256: String,
) -> Result<Preview, ImportError> {
    let mut questions = Vec::new();
    let mut warnings = Vec::new();
    let (rules, decimal) = settle_decimals(&frame, options, &mut questions);
    let mut units = BTreeMap::new();
    for column in &frame.columns {
        if column.meaning.is_length()
            && frame.feet_and_inches.is_none_or(|(a, b)| column.index != a && column.index != b)
        {
            units.insert(column.index, settle_length_unit(&frame, column, rules, options, &mut questions));
        } else if column.meaning == Meaning::Age {
            units.insert(column.index, settle_age_unit(&frame, column, rules, options, &mut questions));
        }
    }
    let orders = settle_date_orders(&frame, options, &mut questions, &mut warnings);
    let letters = settle_sex_letters(&frame, options, &mut questions);

    let mut reader = Reader {
        frame: &frame,
        rules,
        units: &units,
        orders: &orders,
        letters: &letters,
        last_day: options.today.map(|today| today.tomorrow().unwrap_or(today)),
        bad: Vec::new(),
    };
    let mut rows: Vec<RowPreview> = Vec::new();
    let labels = labels(&frame, options);
    for (at, row) in frame.rows.iter().enumerate() {
        rows.extend(reader.row(row, labels[at].as_deref()));
    }
    let mut bad = reader.bad;
    tell_names_apart(&mut rows, frame.index_of_kind(Meaning::Id).is_none(), &mut warnings);
    refuse_equal_ids(&frame, &rows, &mut bad);

    bad.sort_by_key(|cell| (cell.line, cell.column_index));
    let bad_count = bad.len();
    bad.truncate(BAD_CELLS_LISTED_MAX);
    let mut all_questions = frame.questions.clone();
    all_questions.extend(questions);
    let asked = asked_columns(&all_questions);
    let mut all_warnings = file_warnings(&decoded, &frame, &rows, &asked, options);
    all_warnings.extend(warnings);
    let header = frame
        .columns
        .iter()
        .map(|column| ColumnUnderstood {
            index: column.index,
            header: column.header.clone(),
            meaning: column.meaning,
            unit: units.get(&column.index).copied().flatten().or_else(|| frame.unit_of_pair(column)),
            sample: if column.meaning == Meaning::NotReadIn { Vec::new() } else { column.sample.clone() },
        })
        .collect();
    Ok(Preview {
        encoding: decoded.encoding,
        delimiter: frame.delimiter,
        decimal,
        header,
        rows,
        bad,
        bad_count,
        questions: all_questions,
        warnings: all_warnings,
        sha256,
    })
}

impl Frame {
    fn index_of_kind(&self, meaning: Meaning) -> Option<usize> {
        self.with(meaning).next().map(|column| column.index)
    }

    fn unit_of_pair(&self, column: &Column) -> Option<(Unit, UnitHow)> {
        let (feet, inches) = self.feet_and_inches?;
        if column.index == feet {
            Some((Unit::Feet, UnitHow::Heading))
        } else {
            (column.index == inches).then_some((Unit::Inches, UnitHow::Heading))
        }
    }

    /// Returns the cells of a column that hold something, with their lines.
    fn cells<'a>(&'a self, column: &'a Column) -> impl Iterator<Item = (u64, &'a str)> {
        self.rows
            .iter()
            .map(move |row| (row.line, row.cell(column.index)))
            .filter(|(_, cell)| !is_missing(cell))
    }
}

fn said(column: &Column) -> Arg {
    Arg::Say(Box::new(column_name(column.index, &column.header)))
}

fn say(id: &str) -> Arg {
    Arg::Say(Box::new(Message::new(id)))
}

fn count(number: usize) -> Arg {
    Arg::Count(i64::try_from(number).unwrap_or(i64::MAX))
}

fn ask(line: u64, column: &Column, message: Message, answers: Vec<Answer>) -> Question {
    Question { line, column_index: column.index, column: column.name.clone(), message, answers }
}

// ---- What holds for the whole file or a whole column ----

/// Decides what a mark before three digits means: from the other numbers of the file, or by asking.
fn settle_decimals(
    frame: &Frame,
    options: &Options,
    questions: &mut Vec<Question>,
) -> (DecimalRules, Option<DecimalFound>) {
    let (mut commas, mut points) = (0_usize, 0_usize);
    let mut open: Option<(u64, &Column, Typed, bool)> = None;
    let mut open_comma = None;
    for column in
        frame.columns.iter().filter(|column| column.meaning.is_length() || column.meaning == Meaning::Age)
    {
        for (line, text) in frame.cells(column) {
            for token in cell::tokens(text) {
                let Token::Number(typed) = token else { continue };
                match typed.marks() {
                    Marks::Decimal(Decimal::Comma) => commas += 1,
                    Marks::Decimal(Decimal::Point) => points += 1,
                    Marks::CommaOrThousands if open_comma.is_none() => {
                        open_comma = Some((line, column, typed, true));
                    }
                    Marks::PointOrThousands if open.is_none() => open = Some((line, column, typed, false)),
                    _ => {}
                }
            }
        }
    }
    let rules = match options.decimal {
        Some(Decimal::Comma) => {
            DecimalRules { comma_three: Some(Three::Decimal), point_three: Some(Three::Thousands) }
        }
        Some(Decimal::Point) => {
            DecimalRules { comma_three: Some(Three::Thousands), point_three: Some(Three::Decimal) }
        }
        None => DecimalRules {
            comma_three: (commas > 0 && points == 0).then_some(Three::Decimal),
            // A point is the decimal mark of our own form and of most others.
            point_three: (commas == 0).then_some(Three::Decimal),
        },
    };
    let asked = match (open_comma, open) {
        (Some(comma), _) if rules.comma_three.is_none() => Some(comma),
        (_, Some(point)) if rules.point_three.is_none() => Some(point),
        _ => None,
    };
    if let Some((line, column, Typed(number), is_comma)) = asked {
        let plain: String = number.chars().filter(char::is_ascii_digit).collect();
        let answer = |id: &str, number: String, decimal| Answer {
            message: Message::new(id).text("number", number),
            choices: vec![Choice::Decimal(decimal)],
        };
        let (as_decimal, as_thousands) =
            if is_comma { (Decimal::Comma, Decimal::Point) } else { (Decimal::Point, Decimal::Comma) };
        questions.push(ask(
            line,
            column,
            Message::new("import-ask-decimal").text("number", number.clone()),
            vec![
                answer("import-answer-decimal", number.replace(',', "."), as_decimal),
                answer("import-answer-thousands", plain, as_thousands),
            ],
        ));
    }
    let found = match (options.decimal, commas > 0, points > 0) {
        (Some(chosen), ..) => Some(DecimalFound::Chosen(chosen)),
        (None, true, true) => Some(DecimalFound::Mixed),
        (None, true, false) => Some(DecimalFound::Found(Decimal::Comma)),
        (None, false, true) => Some(DecimalFound::Found(Decimal::Point)),
        (None, false, false) => None,
    };
    (rules, found)
}

/// Returns the number in the middle of a list, or `None` when there is none.
fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

fn unit_question(line: u64, column: &Column, id: &str, units: &[Unit]) -> Question {
    let answers = units
        .iter()
        .map(|&unit| Answer {
            message: Message::new(match (id, unit) {
                ("import-ask-age-point", Unit::Years) => "import-unit-years-decimal",
                _ => unit.word_id(),
            }),
            choices: vec![Choice::Unit { column: column.index, unit }],
        })
        .collect();
    let message = Message::new(id)
        .with("column", said(column))
        .with("meaning", say(column.meaning.word_id()))
        .text("sample", column.sample.join(SAMPLE_JOINT));
    ask(line, column, message, answers)
}

/// Decides the unit of the numbers of a column of lengths that have none beside them. `None`: asked, or not needed.
fn settle_length_unit(
    frame: &Frame,
    column: &Column,
    rules: DecimalRules,
    options: &Options,
    questions: &mut Vec<Question>,
) -> Option<(Unit, UnitHow)> {
    let mut first_line = 0;
    let mut numbers: Vec<Plain> = Vec::new();
    for (line, text) in frame.cells(column) {
        if let LengthCell::Plain(typed) = length::read(text)
            && let Some(number) = typed.read(&rules)
        {
            first_line = if numbers.is_empty() { line } else { first_line };
            numbers.push(number);
        }
    }
    if let Some(&unit) = options.units.get(&column.index) {
        return Some((unit, UnitHow::Chosen));
    }
    let heading = column.heading.unit.filter(|unit| !matches!(unit, Unit::Years | Unit::Months));
    let Some(middle) = middle(numbers.iter().map(Plain::value).collect()) else {
        return heading.map(|unit| (unit, UnitHow::Heading));
    };
    let guess = length::guess(column.meaning, middle);
    let (unit, how) = match (heading, guess) {
        (Some(unit), Guess::Unit(other)) if !column.heading.own && unit != other => {
            let fits = |unit: Unit| {
                let (low, high) = length::range(column.meaning);
                let unit = if unit == Unit::Feet { Unit::FeetDecimal } else { unit };
                let within = |number: &&Plain| {
                    length::value(column.meaning, number, 0.0, unit)
                        .is_some_and(|value| (low..=high).contains(&value))
                };
                numbers.iter().filter(within).count() * 2 > numbers.len()
            };
            if !fits(unit) && fits(other) {
                questions.push(unit_question(first_line, column, "import-ask-unit-heading", &[other, unit]));
                return None;
            }
            (unit, UnitHow::Heading)
        }
        (Some(unit), _) => (unit, UnitHow::Heading),
        (None, Guess::Unit(unit)) => (unit, UnitHow::Magnitude),
        (None, Guess::Ask(units)) => {
            questions.push(unit_question(first_line, column, "import-ask-unit", units));
            return None;
        }
    };
    if unit == Unit::Feet && numbers.iter().any(|number| !number.is_whole()) {
        // Twelve inches make a foot: .75 can only be three quarters of one.
        let beyond_inches = |number: &Plain| number.parts().1.parse::<u32>().is_ok_and(|part| part > 11);
        if numbers.iter().any(beyond_inches) {
            return Some((Unit::FeetDecimal, how));
        }
        let units = [Unit::FeetPointInches, Unit::FeetDecimal];
        questions.push(unit_question(first_line, column, "import-ask-feet", &units));
        return None;
    }
    Some((unit, how))
}

/// Decides the unit of a column of ages. `None`: asked.
fn settle_age_unit(
    frame: &Frame,
    column: &Column,
    rules: DecimalRules,
    options: &Options,
    questions: &mut Vec<Question>,
) -> Option<(Unit, UnitHow)> {
    let mut first_line = 0;
    let mut numbers: Vec<Plain> = Vec::new();
    for (line, text) in frame.cells(column) {
        if let AgeCell::Plain(typed) = cell::age(text)
            && let Some(number) = typed.read(&rules)
        {
            first_line = if numbers.is_empty() { line } else { first_line };
            numbers.push(number);
        }
    }
    if let Some(&unit) = options.units.get(&column.index) {
        return Some((unit, UnitHow::Chosen));
    }
    match column.heading.unit {
        Some(Unit::Months) => return Some((Unit::Months, UnitHow::Heading)),
        Some(Unit::Years) if column.heading.own => return Some((Unit::Years, UnitHow::Heading)),
        _ => {}
    }
    let how = if column.heading.unit.is_some() { UnitHow::Heading } else { UnitHow::Usual };
    if middle(numbers.iter().map(Plain::value).collect()).is_some_and(|age| (36.0..=300.0).contains(&age)) {
        questions.push(unit_question(
            first_line,
            column,
            "import-ask-age-unit",
            &[Unit::Months, Unit::Years],
        ));
        return None;
    }
    let parts: Vec<&str> = numbers.iter().map(|number| number.parts().1).collect();
    if cell::like_months(&parts) {
        let units = [Unit::YearsPointMonths, Unit::Years];
        questions.push(unit_question(first_line, column, "import-ask-age-point", &units));
        return None;
    }
    Some((Unit::Years, how))
}

/// What is settled about dates of plain numbers in one column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    Settled(DateOrder),
    Asked,
}

/// Decides the order of day and month: by choice, by days above 12 in the column, by those of other columns, or by
/// asking.
fn settle_date_orders(
    frame: &Frame,
    options: &Options,
    questions: &mut Vec<Question>,
    warnings: &mut Vec<Message>,
) -> BTreeMap<usize, Order> {
    struct Seen<'a> {
        column: &'a Column,
        numbers: Vec<(u64, [u32; 3], ShortYear, &'a str)>,
        evidence: BTreeSet<DateOrder>,
    }
    let mut columns = Vec::new();
    for column in frame.columns.iter().filter(|column| column.meaning.is_date()) {
        let mut seen = Seen { column, numbers: Vec::new(), evidence: BTreeSet::new() };
        let mut short_year = None;
        for (line, text) in frame.cells(column) {
            match date::read(text) {
                DateCell::Numbers(numbers, short) => {
                    let [a, b, c] = numbers;
                    if short == ShortYear::Yes && a > 31 && c <= 31 {
                        seen.evidence.insert(DateOrder::YearMonthDay);
                    } else if (13..=31).contains(&a) && b <= 12 {
                        seen.evidence.insert(DateOrder::DayMonthYear);
                    } else if (13..=31).contains(&b) && a <= 12 {
                        seen.evidence.insert(DateOrder::MonthDayYear);
                    }
                    if short == ShortYear::Yes {
                        short_year = short_year.or(Some(text));
                    }
                    seen.numbers.push((line, numbers, short, text));
                }
                DateCell::Certain { short_year: true, .. } => short_year = short_year.or(Some(text)),
                _ => {}
            }
        }
        if let Some(text) = short_year {
            warnings.push(
                Message::new("import-short-years").with("column", said(column)).text("sample", shorten(text)),
            );
        }
        columns.push(seen);
    }
    let everywhere: BTreeSet<DateOrder> =
        columns.iter().flat_map(|seen| seen.evidence.iter().copied()).collect();
    let only = |orders: &BTreeSet<DateOrder>| if orders.len() == 1 { orders.first().copied() } else { None };
    let mut orders = BTreeMap::new();
    let mut asked = false;
    for seen in &columns {
        if seen.numbers.is_empty() {
            continue;
        }
        let all_short = seen.numbers.iter().all(|(_, _, short, _)| *short == ShortYear::Yes);
        let year_first = all_short
            && (seen.evidence.contains(&DateOrder::YearMonthDay)
                || year_may_stand_first(seen.numbers.iter().map(|(_, numbers, ..)| *numbers)));
        let chosen = options.date_order.filter(|&order| order != DateOrder::YearMonthDay || all_short);
        let evidence = if seen.evidence.is_empty() { only(&everywhere) } else { only(&seen.evidence) };
        let evidence =
            evidence.filter(|&order| if order == DateOrder::YearMonthDay { all_short } else { !year_first });
        let same_either_way = seen.numbers.iter().all(|(_, [a, b, _], ..)| a == b);
        // The date to ask about: the one that can be the most different days.
        let days = |numbers: [u32; 3], short: ShortYear| {
            let orders = [DateOrder::DayMonthYear, DateOrder::MonthDayYear, DateOrder::YearMonthDay];
            let offered = orders.into_iter().filter(|&order| order != DateOrder::YearMonthDay || year_first);
            offered
                .filter_map(|order| date::in_order(numbers, short, order))
                .collect::<BTreeSet<Date>>()
                .len()
        };
        let most = seen.numbers.iter().rev().max_by_key(|(_, numbers, short, _)| days(*numbers, *short));
        let order = if let Some(order) = chosen.or(evidence) {
            Order::Settled(order)
        } else if same_either_way && !year_first
            || most.is_none_or(|(_, numbers, short, _)| days(*numbers, *short) == 0)
        {
            Order::Settled(DateOrder::DayMonthYear)
        } else {
            Order::Asked
        };
        orders.insert(seen.column.index, order);
        if order == Order::Asked && !asked {
            asked = true;
            let first_of = |order: DateOrder| {
                seen.numbers.iter().find(|(_, numbers, short, _)| {
                    let fits = |order| date::in_order(*numbers, *short, order).is_some();
                    fits(order)
                        && [DateOrder::DayMonthYear, DateOrder::MonthDayYear]
                            .into_iter()
                            .filter(|&o| fits(o))
                            .count()
                            == 1
                })
            };
            let both = (first_of(DateOrder::DayMonthYear), first_of(DateOrder::MonthDayYear));
            let (line, message, answers) = if let (Some(day_first), Some(month_first)) = both {
                let answer = |id: &str, order| Answer {
                    message: Message::new(id),
                    choices: vec![Choice::DateOrder(order)],
                };
                let message = Message::new("import-ask-date-both")
                    .text("first", shorten(day_first.3))
                    .text("second", shorten(month_first.3));
                let answers = vec![
                    answer("import-answer-day-first", DateOrder::DayMonthYear),
                    answer("import-answer-month-first", DateOrder::MonthDayYear),
                ];
                (day_first.0, message, answers)
            } else {
                let &(line, numbers, short, text) = most.unwrap_or(&seen.numbers[0]);
                let all = [DateOrder::YearMonthDay, DateOrder::DayMonthYear, DateOrder::MonthDayYear];
                let answers = all
                    .into_iter()
                    .filter(|&order| order != DateOrder::YearMonthDay || year_first)
                    .filter_map(|order| {
                        let read = date::in_order(numbers, short, order)?;
                        Some(Answer {
                            message: Message::new("import-answer-date")
                                .with("day", Arg::Count(i64::from(read.day())))
                                .with("month", say(MONTHS[usize::from(read.month().unsigned_abs()) - 1]))
                                .with("year", Arg::Text(read.year().to_string())),
                            choices: vec![Choice::DateOrder(order)],
                        })
                    })
                    .collect();
                (line, Message::new("import-ask-date-order").text("date", shorten(text)), answers)
            };
            questions.push(ask(line, seen.column, message, answers));
        }
    }
    orders
}

const MONTHS: [&str; 12] = [
    "import-month-1",
    "import-month-2",
    "import-month-3",
    "import-month-4",
    "import-month-5",
    "import-month-6",
    "import-month-7",
    "import-month-8",
    "import-month-9",
    "import-month-10",
    "import-month-11",
    "import-month-12",
];

/// Returns whether three numbers of two digits look like year, month, day: the first ones keep together as the birth
/// years of a class do, and the last ones do not.
fn year_may_stand_first(numbers: impl Iterator<Item = [u32; 3]>) -> bool {
    let (mut firsts, mut lasts) = (Vec::new(), Vec::new());
    for [first, _, last] in numbers {
        firsts.push(first);
        lasts.push(last);
    }
    let spread =
        |values: &[u32]| values.iter().max().zip(values.iter().min()).map_or(0, |(high, low)| high - low);
    firsts.len() > 2 && spread(&firsts) <= BIRTH_YEARS_SPREAD_MAX && spread(&lasts) > BIRTH_YEARS_SPREAD_MAX
}

/// Decides what the letters `m` and `g` mean. A letter that stays out is asked for.
fn settle_sex_letters(
    frame: &Frame,
    options: &Options,
    questions: &mut Vec<Question>,
) -> BTreeMap<char, Sex> {
    let mut settled = BTreeMap::new();
    for column in frame.with(Meaning::Sex) {
        let mut first_seen: BTreeMap<char, (u64, &str)> = BTreeMap::new();
        let (mut girls, mut boys_b, mut boys_hj) = (false, false, false);
        for (line, text) in frame.cells(column) {
            match cell::sex(text) {
                SexCell::Letter(letter) => {
                    first_seen.entry(letter).or_insert((line, text));
                }
                SexCell::Known(Sex::Female) => girls = true,
                SexCell::Known(Sex::Male) => {
                    let lower = text.to_lowercase();
                    boys_b |= lower.starts_with('b');
                    boys_hj |= matches!(lower.trim_end_matches('.'), "h" | "j");
                }
                _ => {}
            }
        }
        for (letter, (line, typed)) in first_seen {
            let usual = if letter == 'm' { Sex::Male } else { Sex::Female };
            // H and M, J and M: the m of mujer and meisje. G beside F: the g of garçon.
            let doubtful = match letter {
                'm' => !girls && (boys_hj || column.heading.m_may_be_girls),
                _ => !boys_b,
            };
            if let Some(&sex) = options.sex_letters.get(&letter) {
                settled.insert(letter, sex);
            } else if !doubtful {
                settled.insert(letter, usual);
            } else {
                let answer = |id: &str, sex| Answer {
                    message: Message::new(id),
                    choices: vec![Choice::SexLetter { letter, sex }],
                };
                questions.push(ask(
                    line,
                    column,
                    Message::new("import-ask-sex-letter").text("letter", typed),
                    vec![answer("import-answer-girls", Sex::Female), answer("import-answer-boys", Sex::Male)],
                ));
            }
        }
    }
    settled
}

// ---- Names ----

/// Returns the label of every row, as its columns of names give it; `None` where there is no name.
fn labels(frame: &Frame, options: &Options) -> Vec<Option<String>> {
    let text = |row: &Row, index: Option<usize>| -> String {
        let cell = index.map_or("", |index| row.cell(index));
        if is_missing_name(cell) { String::new() } else { super::trim(cell::without_guard(cell)).to_owned() }
    };
    let called =
        frame.with(Meaning::FirstName).find(|column| column.heading.called_by).map(|column| column.index);
    let first =
        frame.with(Meaning::FirstName).find(|column| !column.heading.called_by).map(|column| column.index);
    let surname = frame.index_of_kind(Meaning::Surname);
    let name = frame.index_of_kind(Meaning::Name);
    let id = frame.index_of_kind(Meaning::Id);
    let is_own = is_own_list(frame);
    let pairs: Vec<(String, String)> = frame
        .rows
        .iter()
        .map(|row| {
            let called = text(row, called);
            let name = text(row, name);
            let first = text(row, first);
            let first = if !called.is_empty() {
                called
            } else if !name.is_empty() {
                return match surname_first(&name).filter(|_| !is_own) {
                    Some((surname, first)) => (first.to_owned(), surname.to_owned()),
                    None => (name, String::new()),
                };
            } else {
                first
            };
            (first, text(row, surname))
        })
        .collect();
    let nothing_named = name.is_none() && called.is_none() && first.is_none() && surname.is_none();
    pairs
        .iter()
        .zip(&frame.rows)
        .map(|((first, surname), row)| {
            let label = match (first.is_empty(), surname.is_empty()) {
                (true, true) if nothing_named => text(row, id),
                (_, true) => first.clone(),
                (true, false) => surname.clone(),
                (false, false) => match options.surnames {
                    Surnames::Whole => format!("{first} {surname}"),
                    Surnames::FirstLetter => {
                        let namesakes = pairs
                            .iter()
                            .filter(|(other, _)| other == first)
                            .map(|(_, surname)| surname.as_str());
                        format!("{first} {}", shortest_start(surname, namesakes))
                    }
                },
            };
            (!label.is_empty()).then_some(label)
        })
        .collect()
}

/// Returns whether the list was written here: then names stand as they are called, commas and all.
fn is_own_list(frame: &Frame) -> bool {
    let is_there = |meaning, name| frame.with(meaning).any(|column| column.name == name);
    is_there(Meaning::Id, "id") && is_there(Meaning::Name, "name")
}

/// Splits `Surname, First name`, as school offices write it in one cell.
fn surname_first(name: &str) -> Option<(&str, &str)> {
    let (surname, first) = name.split_once(',')?;
    let (surname, first) = (super::trim(surname), super::trim(first));
    (!surname.is_empty() && !first.is_empty() && !first.contains(',')).then_some((surname, first))
}

/// Returns the shortest start of a surname that no other surname among the namesakes shares, with a full stop.
fn shortest_start<'a>(surname: &str, namesakes: impl Iterator<Item = &'a str>) -> String {
    let shared = namesakes
        .filter(|other| *other != surname)
        .map(|other| surname.chars().zip(other.chars()).take_while(|(a, b)| a == b).count())
        .max()
        .unwrap_or(0);
    let length = surname.chars().count();
    if shared + 1 >= length {
        surname.to_owned()
    } else {
        surname.chars().take(shared + 1).chain(['.']).collect()
    }
}

/// Gives children of equal names a number and says so.
fn tell_names_apart(rows: &mut [RowPreview], id_is_label: bool, warnings: &mut Vec<Message>) {
    let taken: BTreeSet<String> = rows.iter().map(|row| row.runner.label.clone()).collect();
    let mut first_lines: BTreeMap<String, u64> = BTreeMap::new();
    let mut next: BTreeMap<String, u32> = BTreeMap::new();
    for row in rows {
        let label = row.runner.label.clone();
        let Some(&first) = first_lines.get(&label) else {
            first_lines.insert(label, row.line);
            continue;
        };
        let number = next.entry(label.clone()).or_insert(2);
        let mut new = format!("{label} {number}");
        while taken.contains(&new) {
            *number += 1;
            new = format!("{label} {number}");
        }
        *number += 1;
        let note = Message::new("import-equal-names")
            .text("name", label)
            .text("new", new.clone())
            .with("first", Arg::Count(first as i64))
            .with("line", Arg::Count(row.line as i64));
        row.notes.push(note.clone());
        warnings.push(note);
        if id_is_label {
            row.runner.id = RunnerId(new.clone());
        }
        row.runner.label = new;
    }
}

fn refuse_equal_ids(frame: &Frame, rows: &[RowPreview], bad: &mut Vec<BadCell>) {
    let Some(column) = frame.with(Meaning::Id).next() else { return };
    let mut first_lines: BTreeMap<&str, u64> = BTreeMap::new();
    for row in rows {
        let id = row.runner.id.0.as_str();
        match first_lines.get(id) {
            Some(&first) => bad.push(BadCell {
                line: row.line,
                column_index: column.index,
                column: column.name.clone(),
                provided: shorten(id),
                remedy: Message::new("import-bad-id-twice").with("first", Arg::Count(first as i64)),
            }),
            None => drop(first_lines.insert(id, row.line)),
        }
    }
}

// ---- Row by row ----

struct Reader<'a> {
    frame: &'a Frame,
    rules: DecimalRules,
    units: &'a BTreeMap<usize, Option<(Unit, UnitHow)>>,
    orders: &'a BTreeMap<usize, Order>,
    letters: &'a BTreeMap<char, Sex>,
    /// No day lies after it.
    last_day: Option<Date>,
    bad: Vec<BadCell>,
}

impl Reader<'_> {
    fn refuse(&mut self, row: &Row, column: &Column, remedy: Message) {
        self.refuse_at(row, column.index, column.name.clone(), remedy);
    }

    fn refuse_at(&mut self, row: &Row, column_index: usize, column: String, remedy: Message) {
        let provided = shorten(row.cell(column_index));
        self.bad.push(BadCell { line: row.line, column_index, column, provided, remedy });
    }

    /// Reads one row. Wrong cells are listed and their values left unknown; a row without a name is no child.
    fn row(&mut self, row: &Row, label: Option<&str>) -> Option<RowPreview> {
        let frame = self.frame;
        if row.cells.len() > frame.width {
            let column = (frame.width + 1).to_string();
            let remedy = match frame.delimiter.delimiter {
                Delimiter::OneColumn => Message::new("import-bad-control"),
                other => Message::new("import-bad-extra-cells").with("delimiter", say(other.word_id())),
            };
            self.refuse_at(row, frame.width, column, remedy);
            // Its cells may stand in wrong columns: only the name is shown.
            let label = label.filter(|label| cell::name_fault(label).is_none())?;
            return Some(RowPreview {
                line: row.line,
                runner: Runner::named(label, label),
                notes: Vec::new(),
            });
        }
        for index in 0..row.cells.len() {
            if row.cells[index].chars().count() > CELL_CHARS_MAX {
                let column = frame.columns.iter().find(|column| column.index == index);
                let name = column.map_or((index + 1).to_string(), |column| column.name.clone());
                let remedy = Message::new("import-bad-cell-long").with("longest", count(CELL_CHARS_MAX));
                self.refuse_at(row, index, name, remedy);
            }
        }
        let label = self.label(row, label);
        let id = self.id(row);
        let mut runner = Runner::named("", label.clone().unwrap_or_default());
        for column in &frame.columns {
            let text = row.cell(column.index);
            if is_missing(text) || !column.meaning.is_read() {
                continue;
            }
            match column.meaning {
                Meaning::Sex => runner.sex = self.sex(row, column, text),
                Meaning::Age => {
                    let age_y = self.age(row, column, text);
                    if let (Some(age_y), None) = (age_y, runner.age) {
                        runner.age = Some(Age::Years { age_y, on: None });
                    }
                }
                Meaning::BirthDate => {
                    if let Some(born) = self.date(row, column, text, BIRTH_YEARS) {
                        runner.age = Some(Age::Born(born));
                    }
                }
                Meaning::Stature if frame.feet_and_inches.is_none() => {
                    runner.stature_cm = self.length(row, column, text);
                }
                Meaning::LegLength => runner.leg_length_cm = self.length(row, column, text),
                Meaning::StepLength => {
                    let step_length_m = self.length(row, column, text);
                    runner.steps = step_length_m
                        .map(|step_length_m| StrideObservation::StepLength { step_length_m })
                        .into_iter()
                        .collect();
                }
                _ => {}
            }
        }
        if let Some((feet, inches)) = frame.feet_and_inches {
            runner.stature_cm = self.feet_and_inches(row, feet, inches);
        }
        self.days(row, &mut runner);
        let label = label?;
        runner.id = RunnerId(id.unwrap_or(label));
        Some(RowPreview { line: row.line, runner, notes: Vec::new() })
    }

    /// Checks the label and the cells that it was made of.
    fn label(&mut self, row: &Row, label: Option<&str>) -> Option<String> {
        let frame = self.frame;
        let sources: Vec<&Column> = [Meaning::Name, Meaning::FirstName, Meaning::Surname]
            .into_iter()
            .flat_map(|meaning| frame.with(meaning))
            .collect();
        let sources = if sources.is_empty() { frame.with(Meaning::Id).collect() } else { sources };
        let Some(label) = label else {
            if let Some(column) = sources.first() {
                self.refuse(row, column, Message::new("import-bad-name-missing"));
            }
            return None;
        };
        let before = self.bad.len();
        for column in &sources {
            if let Some(remedy) = cell::name_fault(row.cell(column.index)) {
                self.refuse(row, column, remedy);
            }
        }
        if let Some(column) = sources.first().filter(|_| self.bad.len() == before) {
            if let Some(remedy) = cell::name_fault(label) {
                self.refuse(row, column, remedy);
            } else if row.filled() == 1 && cell::looks_like_cells(label) {
                self.refuse(row, column, Message::new("import-bad-name-cells"));
            }
        }
        (self.bad.len() == before).then(|| label.to_owned())
    }

    fn id(&mut self, row: &Row) -> Option<String> {
        let frame = self.frame;
        let column = frame.with(Meaning::Id).next()?;
        let text = row.cell(column.index);
        if is_missing_name(text) {
            return None;
        }
        if let Some(remedy) = cell::name_fault(text) {
            let only_source = ![Meaning::Name, Meaning::FirstName, Meaning::Surname]
                .iter()
                .any(|&meaning| frame.with(meaning).next().is_some());
            if !only_source {
                self.refuse(row, column, remedy);
            }
            return None;
        }
        Some(cell::without_guard(text).to_owned()).filter(|id| !id.is_empty())
    }

    fn sex(&mut self, row: &Row, column: &Column, text: &str) -> Option<Sex> {
        match cell::sex(text) {
            SexCell::Known(sex) => Some(sex),
            SexCell::Letter(letter) => self.letters.get(&letter).copied(),
            SexCell::Open => None,
            SexCell::Unreadable => {
                self.refuse(row, column, Message::new("import-bad-sex"));
                None
            }
        }
    }

    /// Reads a number, or says why not. A number that waits for an answer is passed over.
    fn number(&mut self, row: &Row, column: &Column, typed: &Typed) -> Option<Plain> {
        let number = typed.read(&self.rules);
        if number.is_none() && typed.marks() == Marks::Unreadable {
            self.refuse(row, column, Message::new("import-bad-number"));
        }
        number
    }

    fn age(&mut self, row: &Row, column: &Column, text: &str) -> Option<f64> {
        let age_y = match cell::age(text) {
            AgeCell::Plain(typed) => {
                let number = self.number(row, column, &typed)?;
                let (unit, _) = self.units.get(&column.index).copied().flatten()?;
                match unit {
                    Unit::Months => cell::years_from_months(0.0, number.value()),
                    Unit::YearsPointMonths => {
                        let (years, months) = number.parts();
                        let months = if months.is_empty() { Some(0.0) } else { months.parse().ok() };
                        match (years.parse(), months.filter(|&months| months < 12.0)) {
                            (Ok(years), Some(months)) => cell::years_from_months(years, months),
                            _ => f64::NAN,
                        }
                    }
                    _ => number.value(),
                }
            }
            AgeCell::Years(typed, part) => self.number(row, column, &typed)?.value() + part,
            AgeCell::YearsMonths(years, months) => {
                let years = self.number(row, column, &years)?;
                let months = self.number(row, column, &months)?;
                if years.is_whole() && months.is_whole() && months.value() < 12.0 {
                    cell::years_from_months(years.value(), months.value())
                } else {
                    f64::NAN
                }
            }
            AgeCell::Months(typed) => cell::years_from_months(0.0, self.number(row, column, &typed)?.value()),
            AgeCell::Unreadable => {
                let id = if cell::is_formula(text) { "import-bad-formula" } else { "import-bad-age-form" };
                self.refuse(row, column, Message::new(id));
                return None;
            }
        };
        if (AGE_Y.0..=AGE_Y.1).contains(&age_y) {
            return Some(age_y);
        }
        // Twelve months and more are no number of months beside years.
        let remedy = if age_y.is_nan() {
            Message::new("import-bad-age-form")
        } else {
            Message::new("import-bad-age")
                .with("low", Arg::Number(AGE_Y.0))
                .with("high", Arg::Number(AGE_Y.1))
        };
        self.refuse(row, column, remedy);
        None
    }

    fn length(&mut self, row: &Row, column: &Column, text: &str) -> Option<f64> {
        let meaning = column.meaning;
        let mut plain = None;
        let value = match length::read(text) {
            LengthCell::Plain(typed) => {
                let number = self.number(row, column, &typed)?;
                let (unit, _) = self.units.get(&column.index).copied().flatten()?;
                let value = length::value(meaning, &number, 0.0, unit);
                plain = Some((number, unit));
                value
            }
            LengthCell::With(typed, part, unit) => {
                let number = self.number(row, column, &typed)?;
                length::value(meaning, &number, part, unit)
            }
            LengthCell::FeetInches(feet, inches, part) => {
                let feet = self.number(row, column, &feet)?;
                let inches = self.number(row, column, &inches)?.value() + part;
                feet.is_whole().then(|| length::feet_inches(meaning, feet.value(), inches)).flatten()
            }
            LengthCell::Dashed(feet, inches) => {
                let feet = self.number(row, column, &feet)?;
                let inches = self.number(row, column, &inches)?;
                (feet.is_whole() && inches.is_whole())
                    .then(|| length::feet_inches(meaning, feet.value(), inches.value()))
                    .flatten()
            }
            LengthCell::MetresCm(metres, cm) => {
                let metres = self.number(row, column, &metres)?;
                let cm = self.number(row, column, &cm)?;
                length::metres_cm(meaning, &metres, &cm)
            }
            LengthCell::Formula => {
                self.refuse(row, column, Message::new("import-bad-formula"));
                return None;
            }
            LengthCell::Unreadable => {
                let id = if meaning == Meaning::StepLength {
                    "import-bad-step-form"
                } else {
                    "import-bad-length-form"
                };
                self.refuse(row, column, Message::new(id));
                return None;
            }
        };
        let (low, high) = length::range(meaning);
        match value {
            Some(value) if (low..=high).contains(&value) => return Some(value),
            Some(_) => {
                let remedy = plain
                    .and_then(|(number, unit)| other_unit(meaning, &number, unit))
                    .unwrap_or_else(|| out_of_range(meaning));
                self.refuse(row, column, remedy);
            }
            None => self.refuse(row, column, Message::new("import-bad-feet")),
        }
        None
    }

    /// Reads a stature whose feet and inches stand in two columns.
    fn feet_and_inches(&mut self, row: &Row, feet: usize, inches: usize) -> Option<f64> {
        let frame = self.frame;
        let column = frame.columns.iter().find(|column| column.index == feet)?;
        if is_missing(row.cell(feet)) {
            return None;
        }
        let mut number = |index: usize| match length::read(row.cell(index)) {
            LengthCell::Plain(typed) | LengthCell::With(typed, _, _) => {
                self.number(row, column, &typed).map(|number| number.value())
            }
            _ if is_missing(row.cell(index)) => Some(0.0),
            _ => Some(f64::NAN),
        };
        let (feet, inches) = (number(feet)?, number(inches)?);
        let value = length::feet_inches(Meaning::Stature, feet, inches);
        let (low, high) = length::range(Meaning::Stature);
        match value {
            Some(value) if (low..=high).contains(&value) => return Some(value),
            Some(value) if value.is_finite() => self.refuse(row, column, out_of_range(Meaning::Stature)),
            _ => self.refuse(row, column, Message::new("import-bad-feet")),
        }
        None
    }

    /// Reads the days on which stature and age were written down.
    fn days(&mut self, row: &Row, runner: &mut Runner) {
        let frame = self.frame;
        for meaning in [Meaning::StatureDate, Meaning::AgeDate] {
            let Some(column) = frame.with(meaning).next() else { continue };
            let text = row.cell(column.index);
            if is_missing(text) {
                continue;
            }
            let Some(day) = self.date(row, column, text, MEASURED_YEARS) else { continue };
            if matches!(runner.age, Some(Age::Born(born)) if day < born) {
                self.refuse(row, column, Message::new("import-bad-before-birth"));
            } else if meaning == Meaning::StatureDate {
                // A day without a stature says nothing.
                runner.stature_date = runner.stature_cm.map(|_| day);
            } else if let Some(Age::Years { on, .. }) = &mut runner.age {
                *on = Some(day);
            }
        }
    }

    fn date(&mut self, row: &Row, column: &Column, text: &str, years: (i16, i16)) -> Option<Date> {
        let fault = match date::read(text) {
            DateCell::Certain { date, .. } => Ok(date),
            DateCell::Numbers(numbers, short) => match self.orders.get(&column.index) {
                Some(Order::Settled(order)) => {
                    let other = [DateOrder::DayMonthYear, DateOrder::MonthDayYear]
                        .iter()
                        .any(|&other| date::in_order(numbers, short, other).is_some());
                    date::in_order(numbers, short, *order).ok_or(if other {
                        "import-bad-date-order"
                    } else {
                        "import-bad-date-none"
                    })
                }
                _ => return None,
            },
            DateCell::Serial => Err("import-bad-date-serial"),
            DateCell::YearOnly => Err("import-bad-date-year"),
            DateCell::NoSuchDay => Err("import-bad-date-none"),
            DateCell::Unreadable if cell::is_formula(text) => Err("import-bad-formula"),
            DateCell::Unreadable => Err("import-bad-date-form"),
        };
        match fault {
            Ok(day) if self.last_day.is_some_and(|last| day > last) => {
                self.refuse(row, column, Message::new("import-bad-date-ahead"));
            }
            Ok(day) if (years.0..=years.1).contains(&day.year()) => return Some(day),
            Ok(_) => {
                let remedy = Message::new("import-bad-date-range")
                    .text("first", years.0.to_string())
                    .text("last", years.1.to_string());
                self.refuse(row, column, remedy);
            }
            Err(id) => self.refuse(row, column, Message::new(id)),
        }
        None
    }
}

/// Returns the remedy for a number that fits another unit than that of its column.
fn other_unit(meaning: Meaning, number: &Plain, unit: Unit) -> Option<Message> {
    let (low, high) = length::range(meaning);
    let fits = |other: &Unit| {
        *other != unit
            && length::value(meaning, number, 0.0, *other).is_some_and(|value| (low..=high).contains(&value))
    };
    // Steps in inches overlap with far too much else to be suggested.
    let units: &[Unit] = if meaning == Meaning::StepLength {
        &[Unit::M, Unit::Cm]
    } else {
        &[Unit::M, Unit::Cm, Unit::Inches]
    };
    let other = units.iter().copied().find(fits)?;
    Some(
        Message::new("import-bad-other-unit")
            .with("unit", say(unit.word_id()))
            .with("other", say(other.word_id())),
    )
}

fn out_of_range(meaning: Meaning) -> Message {
    let (low, high) = length::range(meaning);
    let (id, low, high) = match meaning {
        Meaning::StepLength => ("import-bad-step-length", Arg::GapM(low), Arg::GapM(high)),
        Meaning::LegLength => ("import-bad-leg-length", Arg::HeightCm(low), Arg::HeightCm(high)),
        _ => ("import-bad-stature", Arg::HeightCm(low), Arg::HeightCm(high)),
    };
    Message::new(id).with("low", low).with("high", high)
}

// ---- What the coach should know ----

/// Returns the columns of which it is asked what they hold.
fn asked_columns(questions: &[Question]) -> BTreeSet<usize> {
    let choices = questions.iter().flat_map(|question| &question.answers).flat_map(|answer| &answer.choices);
    choices
        .filter_map(|choice| match choice {
            Choice::Column { column, .. } => Some(*column),
            _ => None,
        })
        .collect()
}

fn file_warnings(
    decoded: &Decoded,
    frame: &Frame,
    rows: &[RowPreview],
    asked: &BTreeSet<usize>,
    options: &Options,
) -> Vec<Message> {
    let mut warnings = frame.warnings.clone();
    let special: Vec<&str> =
        rows.iter().map(|row| row.runner.label.as_str()).filter(|label| !label.is_ascii()).collect();
    let shown = special.iter().take(NAMES_SHOWN_MAX).map(|name| shorten(name)).collect::<Vec<_>>().join(", ");
    if decoded.encoding.how == EncodingHow::Guessed && !shown.is_empty() {
        warnings.push(Message::new("import-check-letters").text("names", shown));
    } else if let Some(garbled) = special.iter().find(|name| looks_garbled(name)) {
        warnings.push(Message::new("import-garbled-letters").text("name", shorten(garbled)));
    }
    let headings = |meaning: Meaning, filter: &dyn Fn(&Column) -> bool| {
        let names: Vec<String> = frame
            .with(meaning)
            .filter(|column| !column.header.is_empty() && !asked.contains(&column.index) && filter(column))
            .map(|column| format!("“{}”", column.header))
            .collect();
        (!names.is_empty()).then(|| (names.len(), names.join(", ")))
    };
    let mut list = |id: &str, found: Option<(usize, String)>| {
        if let Some((number, names)) = found {
            warnings.push(Message::new(id).with("number", count(number)).text("columns", names));
        }
    };
    list("import-not-read-in", headings(Meaning::NotReadIn, &|_| true));
    list("import-stride", headings(Meaning::NotUsed, &|column| column.heading.stride));
    list("import-birth-year", headings(Meaning::NotUsed, &|column| column.heading.birth_year));
    list(
        "import-not-used",
        headings(Meaning::NotUsed, &|column| !column.heading.stride && !column.heading.birth_year),
    );
    let apart =
        frame.with(Meaning::FirstName).next().is_some() && frame.with(Meaning::Surname).next().is_some();
    let surnames_first = !is_own_list(frame)
        && frame.index_of_kind(Meaning::Name).is_some_and(|index| {
            frame.rows.iter().any(|row| surname_first(cell::without_guard(row.cell(index))).is_some())
        });
    if options.surnames == Surnames::FirstLetter && (apart || surnames_first) {
        warnings.push(Message::new("import-surnames-shortened"));
    }
    let several: Vec<String> = frame
        .rows
        .iter()
        .filter(|row| {
            frame
                .columns
                .iter()
                .any(|column| !column.meaning.is_read() && row.cell(column.index).contains(['\n', '\r']))
        })
        .map(|row| row.line.to_string())
        .collect();
    if !several.is_empty() {
        let lines = several.iter().take(LINES_SHOWN_MAX).cloned().collect::<Vec<_>>().join(", ");
        warnings.push(
            Message::new("import-cells-of-several-lines")
                .with("number", count(several.len()))
                .text("lines", lines),
        );
    }
    warnings
}

/// Returns whether a name looks like UTF-8 that was once read as Windows-1252: `ZoÃ«`.
fn looks_garbled(name: &str) -> bool {
    let chars: Vec<char> = name.chars().collect();
    chars.windows(2).any(|pair| {
        matches!(pair[0], 'Ã' | 'Â' | 'Ä' | 'Å')
            && matches!(
                pair[1],
                '\u{80}'
                    ..='\u{bf}'
                        | '€'
                        | '‚'
                        | '„'
                        | '…'
                        | '†'
                        | '‡'
                        | '‰'
                        | '‹'
                        | '“'
                        | '”'
                        | '•'
                        | '™'
                        | '›'
            )
    })
}
