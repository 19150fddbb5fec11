//! Shows what is understood of a class list: `cargo run -p lanewright-model --example preview -- FILE…`

use lanewright_model::Age;
use lanewright_model::import::{Options, read};
use lanewright_model::words::{Units, Words};

fn main() -> std::io::Result<()> {
    let words = Words::english(Units::Metric);
    for path in std::env::args().skip(1) {
        println!("== {path}");
        let preview = match read(&std::fs::read(&path)?, &Options::default()) {
            Ok(preview) => preview,
            Err(error) => {
                println!("{error}\n");
                continue;
            }
        };
        for sentence in preview.understood() {
            println!("{}", words.say(&sentence));
        }
        for column in &preview.header {
            println!("  {}", words.say(&column.message()));
        }
        for warning in &preview.warnings {
            println!("! {}", words.say(warning));
        }
        for question in &preview.questions {
            let answers: Vec<String> =
                question.answers.iter().map(|answer| words.say(&answer.message)).collect();
            println!("? {} [{}]", words.say(&question.message), answers.join(" | "));
        }
        for cell in &preview.bad {
            println!("X {}", words.say(&cell.message()));
        }
        for row in &preview.rows {
            let runner = &row.runner;
            let age = match runner.age {
                Some(Age::Years { age_y, .. }) => format!("{age_y:.2} y"),
                Some(Age::Born(born)) => format!("born {born}"),
                None => "-".to_owned(),
            };
            let cm = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.1} cm"));
            println!(
                "  {:>3}  {:<24} {:?}  {age}  {}  {}",
                row.line,
                runner.label,
                runner.sex,
                cm(runner.stature_cm),
                cm(runner.leg_length_cm)
            );
        }
        println!();
    }
    Ok(())
}
