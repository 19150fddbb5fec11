//! How quick the stores are beside each other, on a database server of its own. Figures for docs/measured.md:
//! `cargo run --release -p lanewright-store --example database_speed`

use std::sync::Arc;
use std::time::{Duration, Instant};

use lanewright_store::cluster::Cluster;
use lanewright_store::suite::{HOME, NOW_MS, write};
use lanewright_store::{PostgresStore, SqliteStore, Store};
use lanewright_sync::Record;
use serde_json::json;

const CLIENTS: u128 = 32;
const PUSHES: u128 = 20;
const CHILDREN: u128 = 300;
const RUNS: u128 = 100;

fn run(child: u128, number: u128) -> Record {
    let runner = uuid::Uuid::from_u128(1 << 80 | child).to_string();
    let run =
        json!({"runner": runner, "drill": "alternate-run", "at_ms": NOW_MS, "hurdles": 8, "knocked": [3, 4]});
    write(2 << 80 | child << 20 | number, 0, json!({"run": run}))
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// One push of one record from each of many clients at once, again and again.
async fn crowd(name: &str, stores: Vec<Arc<dyn Store>>) {
    let started = Instant::now();
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| {
            let store = stores[client as usize % stores.len()].clone();
            tokio::spawn(async move {
                let mut times = Vec::new();
                for push in 0..PUSHES {
                    let record = write(3 << 80 | client << 20 | push, 0, json!({"at": push as u64}));
                    let begun = Instant::now();
                    store.push(HOME, &[record], NOW_MS).await.expect("pushed");
                    times.push(begun.elapsed());
                }
                times
            })
        })
        .collect();
    let mut times = Vec::new();
    for client in clients {
        times.extend(client.await.expect("joined"));
    }
    let each_s = (CLIENTS * PUSHES) as f64 / started.elapsed().as_secs_f64();
    times.sort();
    let at = |share: f64| ms(times[(times.len() as f64 * share) as usize]);
    println!(
        "{name}: {CLIENTS} clients, one record a push: {each_s:.0} pushes/s; half within {:.1} ms, 99 % within {:.1} ms",
        at(0.5),
        at(0.99)
    );
}

/// A school of years: filling it, reading it whole, erasing one child of it.
async fn years(name: &str, store: &dyn Store) {
    let records: Vec<Record> =
        (0..CHILDREN).flat_map(|child| (0..RUNS).map(move |number| run(child, number))).collect();
    let begun = Instant::now();
    for part in records.chunks(500) {
        store.push(HOME, part, NOW_MS).await.expect("pushed");
    }
    let filled = begun.elapsed() / (records.len() / 500) as u32;
    let (begun, mut after, mut pages) = (Instant::now(), 0, 0);
    loop {
        let answer = store.pull(HOME, after, 500).await.expect("pulled");
        (after, pages) = (answer.cursor, pages + 1);
        if !answer.more {
            break;
        }
    }
    let page = begun.elapsed() / pages;
    let child = uuid::Uuid::from_u128(1 << 80 | 7);
    let erasure = Record { kind: "erasure".into(), id: child, ..write(1, 0, json!({"what": "runner"})) };
    let begun = Instant::now();
    store.push(HOME, &[erasure], NOW_MS).await.expect("pushed");
    println!(
        "{name}: {} runs: 500 in a push {:.0} ms, 500 in a pull {:.0} ms, one child erased and the table written anew {:.0} ms",
        records.len(),
        ms(filled),
        ms(page),
        ms(begun.elapsed())
    );
}

#[tokio::main]
async fn main() {
    let cluster = Cluster::shared();
    let database = cluster.reach(&cluster.empty());
    let open = async || PostgresStore::open(&database, HOME, None).await.expect("opened");
    let (one, other): (Arc<dyn Store>, Arc<dyn Store>) = (Arc::new(open().await), Arc::new(open().await));
    let folder = tempfile::tempdir().expect("a folder");
    let file: Arc<dyn Store> = Arc::new(SqliteStore::open(folder.path(), HOME).await.expect("opened"));
    crowd("SQLite", vec![file.clone()]).await;
    crowd("PostgreSQL, one process", vec![one.clone()]).await;
    crowd("PostgreSQL, two", vec![one.clone(), other]).await;
    years("SQLite", &*file).await;
    years("PostgreSQL", &*one).await;
}
