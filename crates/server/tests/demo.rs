//! The demo class goes in as ordinary records and never in anyone's way.

mod common;

use common::{NOW_MS, SCHOOL};
use lanewright_model::school::School;
use lanewright_server::demo_records;
use lanewright_store::{MemoryStore, Store};
use lanewright_sync::{Clock, DeviceId, Record};
use serde_json::json;
use uuid::Uuid;

fn school(records: &[Record]) -> School {
    let ids: Vec<String> = records.iter().map(|record| record.id.to_string()).collect();
    School::from_records(
        records.iter().zip(&ids).map(|(record, id)| (record.kind.as_str(), id.as_str(), &record.body)),
        jiff::civil::date(2026, 3, 2),
    )
}

#[test]
fn the_demo_is_a_class_with_a_kit_and_a_hall() {
    let school = school(&demo_records(SCHOOL));
    let class = school.classes.values().next().expect("a class");
    assert_eq!((school.classes.len(), class.name.as_str(), class.runners.len()), (1, "7 Larch", 28));
    let labels: Vec<&str> = class.runners.iter().map(|view| view.runner.label.as_str()).collect();
    let file = include_str!("../../../fixtures/demo/class.csv");
    let listed: Vec<&str> = file.lines().skip(1).filter_map(|line| line.split(',').nth(1)).collect();
    assert_eq!(labels, listed, "in the order of the list");
    let cosima = &class.runners[2].runner;
    assert_eq!((cosima.stature_cm, cosima.steps.len()), (Some(160.0), 1));
    assert_eq!(class.runners[4].runner.leg_length_cm, Some(76.0));
    let kit = school.kit.expect("a kit");
    assert!(kit.hurdles.iter().any(|stock| stock.height_cm == 30.0 && stock.count == 24));
    assert!(kit.hurdles.iter().any(|stock| stock.height_cm < 30.0));
    let space = school.space.expect("a floor");
    assert_eq!((space.length_m, space.width_m), (32.0, 18.0));
}

#[tokio::test]
async fn putting_the_demo_in_again_changes_nothing_and_leaves_what_a_person_changed() {
    let store = MemoryStore::new(SCHOOL);
    let demo = demo_records(SCHOOL);
    let keys: std::collections::BTreeSet<_> = demo.iter().map(Record::key).collect();
    assert_eq!(keys.len(), demo.len(), "one record per fact");
    let answer = store.push(SCHOOL, &demo, NOW_MS).await.expect("pushed");
    assert_eq!((answer.acked.len(), answer.refused.len()), (demo.len(), 0));

    let mut clock = Clock::new(DeviceId(Uuid::from_u128(7)));
    let label = demo.iter().find(|record| record.kind == "runner-label").expect("a label");
    let mut changed = label.clone();
    changed.body["label"] = json!("Abi");
    changed.stamp = clock.next(NOW_MS);
    store.push(SCHOOL, std::slice::from_ref(&changed), NOW_MS).await.expect("pushed");
    let before = store.pull(SCHOOL, 0, 500).await.expect("pulled");

    store.push(SCHOOL, &demo_records(SCHOOL), NOW_MS).await.expect("pushed");
    assert_eq!(store.pull(SCHOOL, 0, 500).await.expect("pulled"), before);
    assert_eq!(store.get(SCHOOL, &changed.key()).await.expect("read"), Some(changed));
}
