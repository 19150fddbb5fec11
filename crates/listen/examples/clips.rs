//! Reads raw clips (f32, one channel, `NAME.RATE.f32`), writes candidates.
use std::io::Write as _;
use lanewright_listen::{candidates, front, related, rhythm, weights};
fn dump(path: String, names: &[&str], list: &[candidates::Candidate], rows: &[Vec<f64>]) {
    let mut w = std::io::BufWriter::new(std::fs::File::create(path).unwrap());
    writeln!(w, "t_s,{}", names.join(",")).unwrap();
    for (c, r) in list.iter().zip(rows) { write!(w, "{:.5}", c.onset_s).unwrap(); for x in r { write!(w, ",{x:.5}").unwrap(); } writeln!(w).unwrap(); }
}
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let (folder, out, wdir, mode) = (&a[1], &a[2], &a[3], &a[4]);
    let folds = std::fs::read_to_string(format!("{wdir}/folds.json")).unwrap_or("{}".into());
    let folds: serde_json::Value = serde_json::from_str(&folds).unwrap();
    let mut names: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    names.sort();
    let (mut spent, mut spent1, mut seconds) = (0.0, 0.0, 0.0);
    for path in names {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let mut parts = name.split('.');
        let clip = parts.next().unwrap(); let rate: u32 = parts.next().unwrap().parse().unwrap();
        let table = |look: &str| { let w = if mode == "cv" { format!("{wdir}/{look}-f{}.txt", folds[clip]) } else { format!("{wdir}/{look}-all.txt") };
            std::fs::read_to_string(w).ok().map(|t| weights::Weights::parse(&t).unwrap()) };
        let (w1, w2) = (table("first"), table("second"));
        let bytes = std::fs::read(&path).unwrap();
        let samples: Vec<f32> = bytes.chunks_exact(4).map(|b| f32::from_le_bytes([b[0],b[1],b[2],b[3]])).collect();
        let start = std::time::Instant::now();
        let mut f = front::Front::new(rate);
        f.push(&samples);
        let sound = f.finish();
        spent1 += start.elapsed().as_secs_f64();
        let list = candidates::candidates(&sound);
        dump(format!("{out}/{clip}.first.csv"), &candidates::TRAIT_NAMES, &list, &list.iter().map(|c| c.traits.to_vec()).collect::<Vec<_>>());
        let mut contacts = vec![];
        if let Some(w1) = &w1 {
            let first: Vec<f64> = list.iter().map(|c| w1.log_odds(&c.traits)).collect();
            let beats: Vec<_> = list.iter().zip(&first).map(|(c, &o)| rhythm::Beat { t_s: c.onset_s, log_odds: o }).collect();
            if let Some(r) = rhythm::find(&beats) {
                let rows = related::traits(&list, &r.sequence, &first);
                dump(format!("{out}/{clip}.second.csv"), &related::TRAIT_NAMES, &list, &rows.iter().map(|r| r.to_vec()).collect::<Vec<_>>());
                let mut last = r.clone();
                if let Some(w2) = &w2 {
                    let beats: Vec<_> = list.iter().zip(&rows).map(|(c, o)| rhythm::Beat { t_s: c.onset_s, log_odds: w2.log_odds(o) }).collect();
                    last = rhythm::find(&beats).unwrap();
                }
                let mem = &last.sequence;
                let rows2 = related::traits(&list, mem, &first);
                let med = |k: usize| candidates::median(&mem.iter().map(|&m| rows2[m][k]).collect::<Vec<_>>());
                println!("{clip} ev {:.1} ev2 {:.1} {:?} n {} {} tmpl {:.2} near {:.2} first {:.2}", r.evidence, last.evidence, last.tempo, r.sequence.len(), mem.len(), med(1), med(2), med(0));
                let gate: f64 = a.get(5).map_or(6.0, |x| x.parse().unwrap());
                if last.evidence > gate { for &k in mem { if last.shares[k] > 0.4 { contacts.push(serde_json::json!({"t_s": list[k].onset_s, "p": last.shares[k]})); } } }
            }
        }
        spent += start.elapsed().as_secs_f64(); seconds += sound.duration_s;
        let mut o = std::fs::File::create(format!("{out}/{clip}.json")).unwrap();
        writeln!(o, "{}", serde_json::json!({"contacts": contacts, "knocks": [], "brakes": []})).unwrap();
    }
    println!("{:.0} x real time, front {:.0}", seconds / spent, seconds / spent1);
}
