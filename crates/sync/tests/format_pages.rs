//! The format pages show what the program really reads and writes.

use std::collections::BTreeSet;

use lanewright_model::record::KINDS;
use lanewright_sync::{PullAnswer, Push, PushAnswer, Record, canonical_json, check};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

const RECORDS: &str = include_str!("../../../docs/formats/records.md");
const SYNC: &str = include_str!("../../../docs/formats/sync.md");

/// Returns the code blocks of a kind.
fn blocks<'a>(page: &'a str, kind: &str) -> Vec<&'a str> {
    let opening = format!("```{kind}\n");
    page.split(&opening).skip(1).map(|rest| rest.split("```").next().expect("an end")).collect()
}

#[test]
fn every_record_on_the_page_is_accepted_and_every_kind_is_there() {
    let mut shown = BTreeSet::new();
    for line in blocks(RECORDS, "jsonl").concat().lines() {
        let record: Record = serde_json::from_str(line).expect(line);
        assert_eq!(check(&record, record.school, record.stamp.wall_ms), Ok(()), "{line}");
        shown.insert(record.kind.clone());
        assert!(RECORDS.contains(&format!("| `{}` |", record.kind)), "{} has no row", record.kind);
    }
    assert_eq!(shown, KINDS.iter().map(|kind| (*kind).to_owned()).collect());
}

/// Reads a message and writes it again: nothing on the page is passed over and nothing is missing there.
fn same_after_a_round<T: DeserializeOwned + Serialize>(text: &str) {
    let message: T = serde_json::from_str(text).expect(text);
    let shown: Value = serde_json::from_str(text).expect(text);
    assert_eq!(canonical_json(&serde_json::to_value(message).expect("JSON")), canonical_json(&shown));
}

#[test]
fn every_message_on_the_page_is_one_and_shows_all_its_keys() {
    let blocks = blocks(SYNC, "json");
    same_after_a_round::<Push>(blocks[0]);
    same_after_a_round::<PushAnswer>(blocks[1]);
    same_after_a_round::<PullAnswer>(blocks[2]);
    assert_eq!(blocks.len(), 4, "and a problem");
    let push: Push = serde_json::from_str(blocks[0]).expect("a push");
    let answer: PushAnswer = serde_json::from_str(blocks[1]).expect("an answer");
    assert!(answer.acked[0].proves(&push.records[0]));
}
