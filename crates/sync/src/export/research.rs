//! Observations without persons, for research: k-anonymity by bands and by leaving out.
//!
//! Sweeney, L. (2002), "k-anonymity: a model for protecting privacy", International Journal of Uncertainty, Fuzziness
//! and Knowledge-Based Systems 10(5): every combination of what an outsider may know of a person (here sex, age and
//! stature) that occurs in a release occurs there at least k times. Ages are given in bands of two years and statures
//! in bands of 10 cm (engineering assumption). Where a combination is rarer, first the stature is left out, then the
//! age, then the sex; children who are still too few are left out with all that was seen of them.

use std::collections::BTreeMap;

use jiff::civil::Date;
use lanewright_model::runner::{Age, Runner, Sex};
use lanewright_model::school::School;
use lanewright_model::{Arg, Message};
use serde_json::{Value, json};

/// Least k that may be asked for: with less, somebody can be alone.
pub const K_MIN: usize = 3;
/// k when nothing else is asked for. Common practice for small cells in school statistics is 5 to 10, no single source.
pub const K_DEFAULT: usize = 5;
/// Width of the bands of age, in years.
const AGE_BAND_Y: i64 = 2;
/// Width of the bands of stature, in cm.
const STATURE_BAND_CM: f64 = 10.0;
/// Gaps are rounded to this, in metres: they were chosen for the child's size.
const GAP_STEP_M: f64 = 0.1;
/// The first day lies up to so many days after the day from which days are counted.
const SHIFT_DAYS_MAX: u64 = 27;

/// What is released, and what is not.
#[derive(Debug, Clone, PartialEq)]
pub struct Research {
    /// Files by name: tables, and the description.
    pub files: Vec<(String, String)>,
    /// Children in it.
    pub children: usize,
    /// What was changed and left out, to be read by whoever gets the files. It stands in the description, too.
    pub said: Vec<Message>,
}

/// Too few children for any release.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TooFew {
    /// Children there are.
    pub children: usize,
    /// Children there have to be.
    pub k: usize,
}

/// What an outsider may know of a child, in bands; `None` where it is unknown or left out.
type Known = (Option<Sex>, Option<i64>, Option<i64>);

/// Makes a release. `on` is the day for which ages are counted; `seed` gives codes and shifts their chance and must
/// not be kept. `say` puts the sentences of the description into words.
///
/// # Errors
/// [`TooFew`]: there is nothing that could be released.
pub fn research(
    school: &School,
    on: Date,
    k: usize,
    seed: u64,
    say: impl Fn(&Message) -> String,
) -> Result<Research, TooFew> {
    let k = k.max(K_MIN);
    let mut dice = seed;
    let mut children: Vec<(&Runner, Known)> = school
        .classes
        .values()
        .flat_map(|class| &class.runners)
        .map(|view| (&view.runner, known(&view.runner, on)))
        .collect();
    // In an order of chance, so that neither place nor code tells of the list.
    for place in (1..children.len()).rev() {
        children.swap(place, below(&mut dice, place as u64 + 1) as usize);
    }
    let before = children.len();
    let (mut released, counts) = suppress(children, k);
    if released.is_empty() {
        return Err(TooFew { children: before, k });
    }
    for place in (1..released.len()).rev() {
        released.swap(place, below(&mut dice, place as u64 + 1) as usize);
    }
    let shift_days = 1 + below(&mut dice, SHIFT_DAYS_MAX) as i64;
    let codes: BTreeMap<&str, String> = released
        .iter()
        .zip(1..)
        .map(|((runner, _), number)| (runner.id.0.as_str(), format!("child-{number:04}")))
        .collect();

    let mut tables = tables(school, &codes, shift_days);
    tables.insert(
        0,
        Table {
            name: "children",
            columns: &["child", "sex", "age_band_y", "stature_band_cm"],
            rows: released
                .iter()
                .map(|(runner, known)| row_of(&codes[runner.id.0.as_str()], known))
                .collect(),
        },
    );
    let count = |id: &str, number: usize| Message::new(id).with("count", Arg::Count(number as i64));
    let mut said = vec![
        count("data-research-k", k),
        Message::new("data-research-names"),
        Message::new("data-research-bands"),
        Message::new("data-research-days"),
        Message::new("data-research-gaps"),
    ];
    let suppressed = [
        ("data-research-no-stature", counts[1]),
        ("data-research-no-age", counts[2]),
        ("data-research-no-sex", counts[3]),
        ("data-research-left-out", before - released.len()),
    ];
    said.extend(
        suppressed.into_iter().filter(|(_, number)| *number > 0).map(|(id, number)| count(id, number)),
    );
    said.push(Message::new("data-research-others"));
    said.push(Message::new("data-research-still"));
    let mut files: Vec<(String, String)> =
        tables.iter().map(|table| (format!("{}.csv", table.name), csv_text(table))).collect();
    let description = json!({
        "profile": "tabular-data-package",
        "name": "lanewright-research",
        "title": "Observations of runs over low hurdles, without persons",
        "description": said.iter().map(&say).collect::<Vec<_>>().join("\n"),
        "sources": [{
            "title": concat!(
                "Sweeney, L. (2002). k-anonymity: a model for protecting privacy. International Journal of ",
                "Uncertainty, Fuzziness and Knowledge-Based Systems 10(5)",
            ),
        }],
        "lanewright": {
            "format": "lanewright-research/1", "variant": "research", "k": k, "children": released.len(),
            "children_left_out": before - released.len(),
        },
        "resources": tables.iter().map(describe).collect::<Vec<_>>(),
    });
    let mut text = serde_json::to_string_pretty(&description).expect("a description holds only JSON values");
    text.push('\n');
    files.push((super::PACKAGE_FILE.to_owned(), text));
    Ok(Research { files, children: released.len(), said })
}

/// Returns the children that can be released with what may be told of each, and how many lost what: nothing, the
/// stature, the age too, the sex too.
fn suppress(children: Vec<(&Runner, Known)>, k: usize) -> (Vec<(&Runner, Known)>, [usize; 4]) {
    let steps: [fn(Known) -> Known; 4] = [
        |known| known,
        |(sex, age, _)| (sex, age, None),
        |(sex, ..)| (sex, None, None),
        |_| (None, None, None),
    ];
    let (mut released, mut left, mut counts) = (Vec::new(), children, [0; 4]);
    for (step, count) in steps.iter().zip(&mut counts) {
        let mut sizes: BTreeMap<String, usize> = BTreeMap::new();
        let name = |known: Known| format!("{:?}", step(known));
        for (_, known) in &left {
            *sizes.entry(name(*known)).or_default() += 1;
        }
        let (enough, few): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|(_, known)| sizes[&name(*known)] >= k);
        *count = enough.len();
        released.extend(enough.into_iter().map(|(runner, known)| (runner, step(known))));
        left = few;
    }
    (released, counts)
}

fn known(runner: &Runner, on: Date) -> Known {
    let years = match runner.age {
        Some(Age::Born(born)) => {
            let had_birthday = (on.month(), on.day()) >= (born.month(), born.day());
            Some(i64::from(on.year()) - i64::from(born.year()) - i64::from(!had_birthday))
        }
        Some(Age::Years { age_y, on: Some(then) }) => {
            let days = on.since(then).map_or(0, |span| span.get_days());
            Some((age_y + f64::from(days) / 365.25).floor() as i64)
        }
        Some(Age::Years { age_y, on: None }) => Some(age_y.floor() as i64),
        None => None,
    };
    let band = |value: i64, width: i64| value.div_euclid(width) * width;
    let stature = runner.stature_cm.map(|cm| band(cm.floor() as i64, STATURE_BAND_CM as i64));
    (runner.sex, years.map(|years| band(years, AGE_BAND_Y)), stature)
}

fn row_of(code: &str, (sex, age, stature): &Known) -> Vec<String> {
    let band = |from: &Option<i64>, width: i64| {
        from.map_or(String::new(), |from| format!("{from}-{}", from + width - 1))
    };
    let sex = match sex {
        Some(Sex::Female) => "female",
        Some(Sex::Male) => "male",
        None => "",
    };
    vec![code.to_owned(), sex.to_owned(), band(age, AGE_BAND_Y), band(stature, STATURE_BAND_CM as i64)]
}

struct Table {
    name: &'static str,
    columns: &'static [&'static str],
    rows: Vec<Vec<String>>,
}

fn tables(school: &School, codes: &BTreeMap<&str, String>, shift_days: i64) -> Vec<Table> {
    const DAY_MS: i64 = 24 * 60 * 60 * 1000;
    let classes = || school.classes.values();
    let moments = classes().flat_map(|class| {
        let runs = class.runs.iter().map(|view| view.run.at.as_millisecond());
        let sweeps = class.sweeps.iter().map(|(_, sweep)| sweep.at.as_millisecond());
        runs.chain(sweeps).chain(class.bouts.iter().map(|view| view.facts.at_ms))
    });
    let first = moments.map(|ms| ms.div_euclid(DAY_MS)).min().unwrap_or(0);
    let day = |ms: i64| (ms.div_euclid(DAY_MS) - first + shift_days).to_string();
    let number = |value: Option<f64>| value.map_or(String::new(), |value| value.to_string());
    let gap = |value: Option<f64>| {
        value.map_or(String::new(), |gap_m| format!("{:.1}", (gap_m / GAP_STEP_M).round() * GAP_STEP_M))
    };
    let list = |numbers: Vec<u32>| numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(" ");
    let (mut runs, mut sweeps, mut bouts, mut times) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for class in classes() {
        let mut of_day: BTreeMap<(String, String), u32> = BTreeMap::new();
        for view in &class.runs {
            let run = &view.run;
            let Some(code) = codes.get(run.runner.as_str()) else { continue };
            let day = day(run.at.as_millisecond());
            let order = of_day.entry((code.clone(), day.clone())).or_default();
            *order += 1;
            runs.push(vec![
                code.clone(),
                day,
                order.to_string(),
                run.drill.clone(),
                run.hurdles.to_string(),
                list(run.knocked.numbers()),
                list(run.down_before.numbers()),
                run.lead.map_or(String::new(), word),
                word(run.watched),
                run.faults.join(" "),
                number(run.effort),
                run.exit_sprint.to_string(),
                gap(run.gap_m),
                number(run.height_cm),
            ]);
        }
        for (_, sweep) in &class.sweeps {
            let Some(code) = codes.get(sweep.runner.as_str()) else { continue };
            let day = day(sweep.at.as_millisecond());
            sweeps.push(vec![code.clone(), day, sweep.drill.clone(), sweep.got_it.to_string()]);
        }
        for view in &class.bouts {
            for child in &view.facts.runners {
                let Some(code) = codes.get(child.runner.as_str()) else { continue };
                bouts.push(vec![
                    code.clone(),
                    day(view.facts.at_ms),
                    view.facts.drill.0.clone(),
                    view.facts.seconds.to_string(),
                    child.passes.to_string(),
                    child.turns.to_string(),
                    child.one_step_turns.to_string(),
                    child.falls.to_string(),
                ]);
            }
        }
        for attempt in class.attempts(&school.clock_checks).0 {
            let (Some(code), Some(stretch)) =
                (codes.get(attempt.runner.as_str()), class.stretches.get(&attempt.stretch))
            else {
                continue;
            };
            for mark in &attempt.marks {
                let at_m = stretch.marks.get(mark.mark as usize - 1).map(|mark| mark.at_m);
                if let (Some(at_m), Ok(time_s)) = (at_m, &mark.time_s) {
                    times.push(vec![
                        code.clone(),
                        day(attempt.at_ms),
                        at_m.to_string(),
                        format!("{time_s:.2}"),
                    ]);
                }
            }
        }
    }
    // In the order of the codes: an order by time would show who ran after whom.
    for rows in [&mut runs, &mut sweeps, &mut bouts, &mut times] {
        rows.sort_by(|a: &Vec<String>, b| a[0].cmp(&b[0]));
    }
    let all = [
        Table {
            name: "runs",
            columns: &[
                "child",
                "day",
                "order",
                "drill",
                "hurdles",
                "knocked",
                "down_before",
                "lead",
                "watched",
                "faults",
                "effort",
                "exit_sprint",
                "gap_m",
                "height_cm",
            ],
            rows: runs,
        },
        Table { name: "sweeps", columns: &["child", "day", "drill", "got_it"], rows: sweeps },
        Table {
            name: "bouts",
            columns: &["child", "day", "drill", "seconds", "passes", "turns", "one_step_turns", "falls"],
            rows: bouts,
        },
        Table { name: "times", columns: &["child", "day", "distance_m", "time_s"], rows: times },
    ];
    all.into_iter().filter(|table| !table.rows.is_empty()).collect()
}

/// Returns the word by which a choice is written in records.
fn word(choice: impl serde::Serialize) -> String {
    match serde_json::to_value(choice) {
        Ok(Value::String(word)) => word,
        _ => String::new(),
    }
}

fn csv_text(table: &Table) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(table.columns).expect("writing to memory does not fail");
    for row in &table.rows {
        writer.write_record(row).expect("writing to memory does not fail");
    }
    String::from_utf8(writer.into_inner().expect("writing to memory does not fail"))
        .expect("only text was written")
}

fn describe(table: &Table) -> Value {
    let fields: Vec<Value> = table
        .columns
        .iter()
        .map(|name| {
            let kind = match *name {
                "day" | "order" | "hurdles" | "passes" | "turns" | "one_step_turns" | "falls" => "integer",
                "effort" | "gap_m" | "height_cm" | "seconds" | "distance_m" | "time_s" => "number",
                "exit_sprint" | "got_it" => "boolean",
                _ => "string",
            };
            json!({"name": name, "type": kind})
        })
        .collect();
    let mut schema = json!({"fields": fields, "missingValues": [""]});
    if table.name == "children" {
        schema["primaryKey"] = "child".into();
    } else {
        schema["foreignKeys"] =
            json!([{"fields": "child", "reference": {"resource": "children", "fields": "child"}}]);
    }
    json!({
        "profile": "tabular-data-resource", "name": table.name, "path": format!("{}.csv", table.name),
        "format": "csv", "mediatype": "text/csv", "encoding": "utf-8", "schema": schema,
    })
}

/// One of 0 to `count` − 1, by SplitMix64 (Steele, Lea & Flood 2014).
fn below(dice: &mut u64, count: u64) -> u64 {
    *dice = dice.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut bits = *dice;
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (bits ^ (bits >> 31)) % count.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A school of children with these facts, each with one run.
    fn school(children: &[(Option<Sex>, Option<i16>, Option<f64>)]) -> School {
        let mut facts = vec![("class".to_owned(), "c".to_owned(), json!({"name": "7 Larch"}))];
        for (number, (sex, born, stature)) in children.iter().enumerate() {
            let id = format!("r{number}");
            let mut add = |kind: &str, id: String, body: Value| facts.push((kind.to_owned(), id, body));
            add("runner-label", id.clone(), json!({"class": "c", "label": format!("Zebulon {number}")}));
            let born = born.map(|year| format!("{year}-06-05"));
            add("runner-about", id.clone(), json!({"sex": sex, "birth_date": born}));
            if let Some(stature_cm) = stature {
                let measured = json!({"kind": "stature", "stature_cm": stature_cm});
                add(
                    "measurement",
                    format!("m{number}"),
                    json!({"runner": id, "on": "2026-03-01", "measured": measured}),
                );
            }
            let run = json!({
                "runner": id, "drill": "alternate-run", "lane": "B", "at_ms": 1_772_446_445_000i64, "hurdles": 8,
                "knocked": [3], "setup": "B1", "gap_m": 1.37,
            });
            add("run", format!("x{number}"), json!({"class": "c", "run": run}));
        }
        let on = jiff::civil::date(2026, 3, 2);
        School::from_records(facts.iter().map(|(kind, id, body)| (kind.as_str(), id.as_str(), body)), on)
    }

    fn release(school: &School, k: usize, seed: u64) -> Result<Research, TooFew> {
        research(school, jiff::civil::date(2026, 3, 2), k, seed, |said| said.id.clone())
    }

    fn rows(research: &Research, name: &str) -> Vec<Vec<String>> {
        let Some((_, text)) = research.files.iter().find(|(file, _)| file == name) else { return Vec::new() };
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
    }

    fn any_children() -> impl Strategy<Value = Vec<(Option<Sex>, Option<i16>, Option<f64>)>> {
        let sex = prop_oneof![Just(None), Just(Some(Sex::Female)), Just(Some(Sex::Male))];
        let born = proptest::option::of(2010i16..2018);
        let stature = proptest::option::of(115.0f64..175.0);
        proptest::collection::vec((sex, born, stature), 0..60)
    }

    /// Whether a cell agrees with what an outsider knows: empty, or a band that holds the value.
    fn agrees(cell: &str, value: Option<f64>) -> bool {
        let Some(value) = value else { return cell.is_empty() };
        let Some((from, to)) = cell.split_once('-') else { return cell.is_empty() };
        (from.parse::<f64>().unwrap()..to.parse::<f64>().unwrap() + 1.0).contains(&value)
    }

    proptest! {
        /// The attack that this has to stand: somebody knows sex, age and stature of a child and looks for its row.
        #[test]
        fn nobody_is_found_among_fewer_than_k_by_sex_age_and_stature(
            children in any_children(), k in K_MIN..9, seed in any::<u64>(),
        ) {
            let Ok(research) = release(&school(&children), k, seed) else {
                prop_assert!(children.len() < k, "only too few are refused");
                return Ok(());
            };
            let released = rows(&research, "children.csv");
            let mut sizes: BTreeMap<&[String], usize> = BTreeMap::new();
            for row in &released {
                *sizes.entry(&row[1..]).or_default() += 1;
            }
            prop_assert!(sizes.values().all(|size| *size >= k), "{sizes:?}");
            for (sex, born, stature) in &children {
                let sex = match sex {
                    Some(Sex::Female) => "female",
                    Some(Sex::Male) => "male",
                    None => "",
                };
                // On 2 March nobody born in June has had the birthday.
                let age = born.map(|year| f64::from(2025 - year));
                let found = released
                    .iter()
                    .filter(|row| {
                        (row[1].is_empty() || row[1] == sex) && agrees(&row[2], age) && agrees(&row[3], *stature)
                    })
                    .count();
                prop_assert!(found == 0 || found >= k, "{found} rows for {sex} {born:?} {stature:?}");
            }
            // What was seen of those who are left out is left out as well.
            let codes: Vec<&String> = released.iter().map(|row| &row[0]).collect();
            let runs = rows(&research, "runs.csv");
            prop_assert!(runs.len() == released.len() && runs.iter().all(|run| codes.contains(&&run[0])));
        }
    }

    #[test]
    fn no_name_no_id_no_date_and_no_exact_size_is_released() {
        let children: Vec<_> = (0..40)
            .map(|number| (Some(Sex::Female), Some(2013 + number % 3), Some(140.5 + f64::from(number % 7))))
            .collect();
        let research = release(&school(&children), 5, 3).unwrap();
        for (name, text) in &research.files {
            for told in ["Zebulon", "Larch", "r1", "2026", "17724", "140.5", "1.37", "B1"] {
                assert!(!text.contains(told), "{told} in {name}");
            }
        }
        let runs = rows(&research, "runs.csv");
        assert_eq!((runs.len(), runs[0][12].as_str(), runs[0][5].as_str()), (40, "1.4", "3"));
    }

    /// The control: without leaving anything out, somebody stands alone.
    #[test]
    fn one_tall_boy_would_stand_alone_and_does_not() {
        let mut children = vec![(Some(Sex::Female), Some(2014), Some(143.0)); 20];
        children.extend(vec![(Some(Sex::Male), Some(2014), Some(141.0)); 20]);
        children.push((Some(Sex::Male), Some(2014), Some(183.0)));
        let exact: Vec<Known> = school(&children).classes["c"]
            .runners
            .iter()
            .map(|view| known(&view.runner, jiff::civil::date(2026, 3, 2)))
            .collect();
        assert_eq!(exact.iter().filter(|known| known.2 == Some(180)).count(), 1);
        let research = release(&school(&children), 5, 1).unwrap();
        assert_eq!(research.children, 40, "too few to be told even without a stature");
        assert!(research.said.iter().any(|said| said.id == "data-research-left-out"));
        assert!(rows(&research, "children.csv").iter().all(|row| row[3] == "140-149"));
    }

    #[test]
    fn codes_and_days_differ_from_one_release_to_the_next() {
        let children = vec![(Some(Sex::Female), Some(2014), Some(143.0)); 20];
        let days: std::collections::BTreeSet<String> = (0..40)
            .map(|seed| rows(&release(&school(&children), 5, seed).unwrap(), "runs.csv")[0][1].clone())
            .collect();
        assert!(days.len() > 10);
    }
}
