//! Traits and events of many recordings, for `bench/listen_fit.py`:
//! `fit_traits SAMPLES OUT TABLES (all | folds) [traits | turns]`.
//!
//! `SAMPLES` holds one channel each as 32-bit floats, `NAME.RATE.f32`. `TABLES` holds `contact-all.csv` and so on, or
//! `contact-f0.csv` with `folds.json` (name to fold) for tables that were fitted without the recording's own source.
//! Tables that are not there yet say "no". Into `OUT` go `NAME.json` and, with `traits`, `NAME.first.csv` and
//! `NAME.second.csv`.

use std::fmt::Write as _;
use std::path::Path;

use lanewright_listen::analyse::{Analysis, Event, Tables, analyse, analyse_with, heard};
use lanewright_listen::candidates::TRAIT_NAMES;
use lanewright_listen::front::{Front, Sound};
use lanewright_listen::related;
use lanewright_listen::turns::{Own, likelier, turns};
use serde_json::{Value, json};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [samples, out, tables, mode, ..] = &arguments[..] else {
        panic!("fit_traits SAMPLES OUT TABLES (all | folds) [traits | turns]")
    };
    let folds: Value = std::fs::read(Path::new(tables).join("folds.json"))
        .map_or(Value::Null, |bytes| serde_json::from_slice(&bytes).expect("folds.json"));
    let mut paths: Vec<_> =
        std::fs::read_dir(samples).expect("samples").map(|entry| entry.expect("an entry").path()).collect();
    paths.sort();
    for path in paths {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let mut parts = name.split('.');
        let (Some(clip), Some(Ok(rate_hz))) = (parts.next(), parts.next().map(str::parse::<u32>)) else {
            continue;
        };
        let bytes = std::fs::read(&path).expect("samples");
        let sound: Vec<f32> =
            bytes.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect();
        let which = if mode == "folds" { format!("f{}", folds[clip]) } else { "all".to_owned() };
        let table = |look: &str| {
            let path = Path::new(tables).join(format!("{look}-{which}.csv"));
            std::fs::read_to_string(path).unwrap_or_else(|_| "constant,-4".to_owned())
        };
        let tables = Tables::parse(&table("contact"), &table("knock"), &table("brake"), &table("run"))
            .expect("tables that read");
        let mut front = Front::new(rate_hz);
        front.push(&sound);
        let sound = front.finish();
        let analysis = analyse(&sound, &tables);
        let mut events = analysis.as_ref().map_or(json!({}), |analysis| told(analysis, &tables));
        let asked = arguments.get(4).map(String::as_str);
        if asked == Some("turns") {
            events["turns"] = turned(&sound, &tables);
        }
        std::fs::write(Path::new(out).join(format!("{clip}.json")), events.to_string()).expect("written");
        if let Some(analysis) = analysis.filter(|_| asked == Some("traits")) {
            write_traits(&analysis, out, clip);
        }
    }
}

fn told(analysis: &Analysis, tables: &Tables) -> Value {
    let heard = heard(analysis, tables);
    let times = |events: &[Event]| events.iter().map(|event| json!({"t_s": event.t_s})).collect::<Vec<_>>();
    let contacts: Vec<Value> = heard.contacts.iter().map(|contact| json!({"t_s": contact.t_s})).collect();
    let mut told = json!({"tempo": [analysis.rhythm.tempo.period_s, analysis.rhythm.tempo.spread,
        analysis.rhythm.tempo.sway, analysis.rhythm.evidence],
        "whole": analysis.whole, "run_p": heard.run_p, "all": contacts,
        "all_knocks": times(&heard.knocks), "all_brakes": times(&heard.brakes)});
    if heard.run_p > 0.5 && contacts.len() >= 5 {
        told["contacts"] = json!(contacts);
        told["knocks"] = json!(times(&heard.knocks));
        told["brakes"] = json!(times(&heard.brakes));
    }
    told
}

/// The turns of a take as of a bout without calls.
fn turned(sound: &Sound, tables: &Tables) -> Value {
    let own = Own::default();
    let Some(analysis) = analyse_with(sound, tables, |t_s| likelier(&own, t_s)) else { return json!([]) };
    let heard = heard(&analysis, tables);
    if heard.run_p <= 0.5 || heard.contacts.len() < 5 {
        return json!([]);
    }
    json!(turns(sound, &analysis, &heard, &own, tables).turns)
}

fn write_traits(analysis: &Analysis, out: &str, clip: &str) {
    let mut first = format!("t_s,{}\n", TRAIT_NAMES.join(","));
    let mut second = format!("t_s,{},member\n", related::TRAIT_NAMES.join(","));
    for (index, candidate) in analysis.list.iter().enumerate() {
        let numbers = |row: &[f64]| row.iter().map(|x| format!(",{x:.5}")).collect::<String>();
        let _ = writeln!(first, "{:.5}{}", candidate.onset_s, numbers(&candidate.traits));
        let member = u8::from(analysis.rough.contains(&index));
        let row = numbers(&analysis.rough_rows[index]);
        let _ = writeln!(second, "{:.5}{row},{member}", candidate.onset_s);
    }
    let mut last = format!("t_s,{},member,share,level_db\n", related::TRAIT_NAMES.join(","));
    for (index, candidate) in analysis.list.iter().enumerate() {
        let numbers = |row: &[f64]| row.iter().map(|x| format!(",{x:.5}")).collect::<String>();
        let member = u8::from(analysis.rhythm.sequence.contains(&index));
        let row = numbers(&analysis.rows[index]);
        let share = analysis.rhythm.shares[index];
        let _ = writeln!(last, "{:.5}{row},{member},{share:.5},{:.3}", candidate.onset_s, candidate.level_db);
    }
    for (look, text) in [("first", first), ("second", second), ("last", last)] {
        std::fs::write(Path::new(out).join(format!("{clip}.{look}.csv")), text).expect("written");
    }
}
