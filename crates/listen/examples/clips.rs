//! Reads raw clips (f32, one channel, `NAME.RATE.f32`), writes traits and predictions with tables from a folder.
use lanewright_listen::{analyse, candidates, front, related};
use std::io::Write as _;
fn dump(path: String, names: &[&str], list: &[candidates::Candidate], rows: &[Vec<f64>]) {
    let mut w = std::io::BufWriter::new(std::fs::File::create(path).unwrap());
    writeln!(w, "t_s,{}", names.join(",")).unwrap();
    for (c, r) in list.iter().zip(rows) {
        write!(w, "{:.5}", c.onset_s).unwrap();
        for x in r {
            write!(w, ",{x:.5}").unwrap();
        }
        writeln!(w).unwrap();
    }
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
        let clip = parts.next().unwrap();
        let rate: u32 = parts.next().unwrap().parse().unwrap();
        let table = |look: &str| {
            let w = if mode == "cv" {
                format!("{wdir}/{look}-f{}.txt", folds[clip])
            } else {
                format!("{wdir}/{look}-all.txt")
            };
            std::fs::read_to_string(w).unwrap_or("constant,-4".into())
        };
        let tables =
            analyse::Tables::parse(&table("first"), &table("knock"), &table("brake"), &table("run")).unwrap();
        let bytes = std::fs::read(&path).unwrap();
        let samples: Vec<f32> =
            bytes.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect();
        let start = std::time::Instant::now();
        let mut f = front::Front::new(rate);
        f.push(&samples);
        let sound = f.finish();
        spent1 += start.elapsed().as_secs_f64();
        let an = analyse::analyse(&sound, &tables);
        let h = an.as_ref().map(|an| analyse::heard(an, &tables));
        spent += start.elapsed().as_secs_f64();
        seconds += sound.duration_s;
        let mut o = std::fs::File::create(format!("{out}/{clip}.json")).unwrap();
        let (Some(an), Some(h)) = (an, h) else {
            writeln!(o, "{{}}").unwrap();
            continue;
        };
        if a.get(5).is_some() {
            dump(
                format!("{out}/{clip}.first.csv"),
                &candidates::TRAIT_NAMES,
                &an.list,
                &an.list.iter().map(|c| c.traits.to_vec()).collect::<Vec<_>>(),
            );
            let mut names2 = related::TRAIT_NAMES.to_vec();
            names2.push("member");
            for (look, rows, seq) in
                [("second", &an.rough_rows, &an.rough.sequence), ("third", &an.rows, &an.rhythm.sequence)]
            {
                dump(
                    format!("{out}/{clip}.{look}.csv"),
                    &names2,
                    &an.list,
                    &rows
                        .iter()
                        .enumerate()
                        .map(|(k, x)| {
                            let mut x = x.to_vec();
                            x.push(f64::from(u8::from(seq.contains(&k))));
                            x
                        })
                        .collect::<Vec<_>>(),
                );
            }
        }
        let gate = if mode == "gate" { 0.0 } else { 0.5 };
        let ok = h.run_p > gate && h.contacts.len() >= 5;
        let all = |x: &[analyse::Event]| {
            x.iter().map(|e| serde_json::json!({"t_s": e.t_s, "p": e.p})).collect::<Vec<_>>()
        };
        let contacts: Vec<_> =
            h.contacts.iter().map(|c| serde_json::json!({"t_s": c.t_s, "p": c.p})).collect();
        let mut j = serde_json::json!({"whole": an.whole, "run_p": h.run_p, "all": contacts});
        if ok {
            j["contacts"] = serde_json::json!(contacts);
            j["knocks"] = serde_json::json!(all(&h.knocks));
            j["brakes"] = serde_json::json!(all(&h.brakes));
        }
        println!("{clip} {:.3} {:?} {:?}", h.run_p, an.whole, h.tempo);
        writeln!(o, "{j}").unwrap();
    }
    println!("{:.0} x real time, front {:.0}", seconds / spent, seconds / spent1);
}
