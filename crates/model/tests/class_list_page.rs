//! The pages on class lists say what the code does: their lists are read, their limits and columns are those of
//! the code.

use lanewright_model::import::{
    AGE_Y, BAD_CELLS_LISTED_MAX, BIRTH_YEARS, BYTES_MAX, CELL_CHARS_MAX, COLUMNS_MAX, LEG_LENGTH_CM,
    MEASURED_YEARS, NAME_CHARS_MAX, Options, ROWS_MAX, STATURE_CM, STEP_LENGTH_M, read, write,
};
use lanewright_model::{Age, Runner};

const PAGE: &str = include_str!("../../../docs/formats/class-list.md");

fn blocks(page: &str) -> Vec<&str> {
    page.split("```csv\n").skip(1).map(|rest| rest.split("```").next().unwrap_or("")).collect()
}

#[test]
fn lists_on_the_page_are_read_without_a_question_or_a_warning() {
    let blocks = blocks(PAGE);
    assert_eq!(blocks.len(), 3);
    for block in blocks {
        let preview = read(block.as_bytes(), &Options::default()).expect("a list");
        assert!(preview.is_acceptable() && preview.warnings.is_empty(), "{block}\n{:?}", preview.warnings);
    }
}

#[test]
fn the_first_list_on_the_page_is_what_is_written() {
    let first = blocks(PAGE)[0];
    let runners =
        read(first.as_bytes(), &Options::default()).and_then(|preview| preview.accept()).expect("a list");
    assert_eq!(write(&runners).replace("\r\n", "\n"), first);
}

#[test]
fn columns_on_the_page_are_those_that_are_written() {
    let mut aged = Runner::named("r01", "Wren");
    aged.age = Some(Age::Years { age_y: 11.0, on: Some(jiff::civil::date(2026, 2, 23)) });
    let mut born = Runner::named("r02", "Piran");
    born.age = Some(Age::Born(jiff::civil::date(2014, 2, 4)));
    let text = write(&[aged, born]);
    let written: Vec<&str> = text.lines().next().expect("a header").split(',').collect();
    let on_page: Vec<&str> = PAGE
        .lines()
        .filter_map(|line| line.strip_prefix("| `"))
        .filter_map(|rest| rest.split('`').next())
        .collect();
    assert_eq!(on_page, written);
}

#[test]
fn ranges_and_limits_on_the_page_are_those_of_the_code() {
    let thousands = |number: usize| {
        if number < 1000 { number.to_string() } else { format!("{},{:03}", number / 1000, number % 1000) }
    };
    let row = |start: &str, text: String| {
        let line = PAGE
            .lines()
            .find(|line| line.starts_with(&format!("| {start} |")))
            .unwrap_or_else(|| panic!("a row {start}"));
        assert!(line.contains(&text), "{line}: {text}");
    };
    row("`stature_cm`", format!("| {} to {} |", STATURE_CM.0, STATURE_CM.1));
    row("`leg_length_cm`", format!("| {} to {} |", LEG_LENGTH_CM.0, LEG_LENGTH_CM.1));
    row("`step_length_m`", format!("| {} to {} |", STEP_LENGTH_M.0, STEP_LENGTH_M.1));
    row("`age_y`", format!("| {} to {} |", AGE_Y.0, AGE_Y.1));
    row("`birth_date`", format!("| {} to {} |", BIRTH_YEARS.0, BIRTH_YEARS.1));
    row("`stature_date`", format!("| {} to {} |", MEASURED_YEARS.0, MEASURED_YEARS.1));
    row("size of the file", format!("| {} MiB |", BYTES_MAX / 1024 / 1024));
    row("children", format!("| {} |", thousands(ROWS_MAX)));
    row("columns that hold anything", format!("| {COLUMNS_MAX} |"));
    row("letters in a cell", format!("| {} |", thousands(CELL_CHARS_MAX)));
    row("letters in a name or code", format!("| {NAME_CHARS_MAX} |"));
    row("wrong cells listed one by one", format!("| {BAD_CELLS_LISTED_MAX};"));
}

#[test]
fn the_demo_class_is_read_without_a_question_or_a_warning() {
    let preview =
        read(include_bytes!("../../../fixtures/demo/class.csv"), &Options::default()).expect("a list");
    assert!(
        preview.is_acceptable() && preview.warnings.is_empty(),
        "{:?} {:?}",
        preview.bad,
        preview.warnings
    );
    assert_eq!(preview.rows.len(), 28);
}
