//! Erasing from the app: what goes, said before it goes, and the changes that make it go everywhere.

use lanewright_model::erasure::{ErasureBody, Going, Target, what_goes};
use lanewright_model::record::Body;
use lanewright_model::{Arg, Message};
use lanewright_sync::Record;
use uuid::Uuid;

use super::change::Change;

/// Finds what goes with a child or a class.
pub fn going<'a>(records: impl IntoIterator<Item = &'a Record>, target: &Target) -> Going {
    let records: Vec<(&Record, String)> =
        records.into_iter().map(|record| (record, record.id.to_string())).collect();
    what_goes(records.iter().map(|(record, id)| (record.kind.as_str(), id.as_str(), &record.body)), target)
}

/// Returns the erasures to be written. They are records like all others: saved, sent, and told to every device.
pub fn changes(going: &Going) -> Vec<Change> {
    going
        .ids
        .iter()
        .filter_map(|(id, what)| {
            let id: Uuid = id.parse().ok()?;
            Some(Change::new(id, &Body::Erasure(ErasureBody::of(*what))))
        })
        .collect()
}

/// What goes, in the order in which a coach would ask, as sentences with their numbers. Kinds that nobody would miss
/// are summed up in the last.
pub fn said(going: &Going) -> Vec<Message> {
    let count = |kinds: &[&str]| -> usize { kinds.iter().filter_map(|kind| going.records.get(*kind)).sum() };
    let mut told = 0;
    let mut say = |id: &str, kinds: &[&str]| {
        let number = count(kinds);
        told += number;
        (number > 0).then(|| Message::new(id).with("count", Arg::Count(number as i64)))
    };
    let mut said: Vec<Message> = [
        say("data-goes-labels", &["runner-label"]),
        say("data-goes-about", &["runner-about", "measurement"]),
        say("data-goes-runs", &["run", "sweep", "bout"]),
        say("data-goes-times", &["timing"]),
    ]
    .into_iter()
    .flatten()
    .collect();
    let others = going.total() - told;
    if others > 0 {
        said.push(Message::new("data-goes-others").with("count", Arg::Count(others as i64)));
    }
    said
}

/// Returns whether what was typed confirms an erasure: the name, whatever the spaces and the case.
pub fn confirms(typed: &str, name: &str) -> bool {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    !plain(name).is_empty() && plain(typed) == plain(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logic::replica::Device;
    use serde_json::json;

    #[test]
    fn a_child_goes_with_all_that_names_it_and_the_sentences_say_so() {
        let child = Uuid::from_u128(1);
        let fact = |kind: &str, id: u128, body: serde_json::Value| Change {
            key: lanewright_sync::RecordKey { kind: kind.into(), id: Uuid::from_u128(id) },
            body,
            version: 1,
        };
        let facts = [
            fact("runner-label", 1, json!({"class": "c", "label": "Ada"})),
            fact("measurement", 2, json!({"runner": child})),
            fact("run", 3, json!({"run": {"runner": child}})),
            fact("run", 4, json!({"run": {"runner": child}})),
            fact("run", 5, json!({"run": {"runner": Uuid::from_u128(9)}})),
            fact("telescope", 6, json!({"who": child})),
        ];
        let records = Device::new(Uuid::from_u128(8), Uuid::from_u128(7)).stamp(&facts, 1000);
        let going = going(&records, &Target::Runner(child.to_string()));
        assert_eq!(going.total(), 5);
        let numbers: Vec<Arg> = said(&going).iter().map(|said| said.args["count"].clone()).collect();
        assert_eq!(numbers, [Arg::Count(1), Arg::Count(1), Arg::Count(2), Arg::Count(1)]);
        let changes = changes(&going);
        assert_eq!(changes.len(), 1);
        assert_eq!((changes[0].key.kind.as_str(), changes[0].key.id), ("erasure", child));
        assert!(!changes[0].body.to_string().contains("Ada"));
    }

    #[test]
    fn only_the_name_confirms() {
        assert!(confirms("  ada  L ", "Ada L"));
        assert!(!confirms("Ada", "Ada L") && !confirms("", "") && !confirms("yes", "Ada"));
    }
}
