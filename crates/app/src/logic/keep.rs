//! How long things are kept: what would go by a rule, now and next.

use std::collections::BTreeMap;

use jiff::civil::Date;
use lanewright_model::erasure::{Going, RetentionBody, Target, ends_ms, off_lists};
use lanewright_sync::Record;

use super::erase;

const DAY_MS: i64 = 24 * 60 * 60 * 1000;

/// What a rule would do.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outlook {
    /// What goes as soon as the server looks.
    pub now: Going,
    /// The day (UTC) on which something goes that stays for now; `None`: nothing that is here.
    pub next: Option<Date>,
}

/// Returns the children who are on no list, each with its name and the day (UTC) since when, by id.
pub fn unlisted<'a>(records: impl IntoIterator<Item = &'a Record>) -> BTreeMap<String, (String, i64)> {
    let records: Vec<(&Record, String)> =
        records.into_iter().map(|record| (record, record.id.to_string())).collect();
    let listed = records
        .iter()
        .map(|(record, id)| (record.kind.as_str(), id.as_str(), &record.body, record.stamp.wall_ms));
    let mut found = BTreeMap::new();
    for (id, since_ms) in off_lists(listed) {
        let label = records.iter().find(|(record, own)| record.kind == "runner-label" && *own == id);
        let name = label.and_then(|(record, _)| record.body["label"].as_str()).unwrap_or_default();
        found.insert(id, (name.to_owned(), since_ms));
    }
    found
}

/// Returns what goes with several children at once.
pub fn going_with<'a>(records: impl IntoIterator<Item = &'a Record> + Clone, children: &[String]) -> Going {
    let mut all = Going::default();
    for child in children {
        let going = erase::going(records.clone(), &Target::Runner(child.clone()));
        add(&mut all, going);
    }
    all
}

fn add(all: &mut Going, going: Going) {
    all.ids.extend(going.ids);
    all.changed += going.changed;
    for (kind, count) in going.records {
        *all.records.entry(kind).or_default() += count;
    }
}

/// Looks ahead at what a rule would do to what is on this device.
pub fn outlook<'a>(
    records: impl IntoIterator<Item = &'a Record> + Clone,
    rule: &RetentionBody,
    now_ms: u64,
) -> Outlook {
    let mut outlook = Outlook::default();
    let mut next = Vec::new();
    if let (Some(before_ms), Some(days)) = (rule.before_ms(now_ms), rule.keep_days) {
        outlook.now = erase::going(records.clone(), &Target::Before(before_ms));
        let ends = records.clone().into_iter().filter_map(|record| ends_ms(&record.kind, &record.body));
        next.extend(ends.filter(|end_ms| *end_ms > before_ms).min().map(|end_ms| goes_on(end_ms, days)));
    }
    if let (Some(before_ms), Some(days)) = (rule.off_list_before_ms(now_ms), rule.off_list_days) {
        let off = unlisted(records.clone());
        let due: Vec<String> =
            off.iter().filter(|(_, (_, since_ms))| *since_ms < before_ms).map(|(id, _)| id.clone()).collect();
        add(&mut outlook.now, going_with(records, &due));
        let since =
            off.values().map(|(_, since_ms)| *since_ms).filter(|since_ms| *since_ms >= before_ms).min();
        next.extend(since.map(|since_ms| goes_on(since_ms + 1, days)));
    }
    outlook.next = next.into_iter().flatten().min();
    outlook
}

/// Returns the day on whose midnight that goes which was over at a moment.
fn goes_on(end_ms: i64, days: u32) -> Option<Date> {
    let day = i64::from(days.max(lanewright_model::erasure::KEEP_DAYS_MIN))
        + (end_ms + DAY_MS - 1).div_euclid(DAY_MS);
    jiff::civil::date(1970, 1, 1).checked_add(jiff::Span::new().try_days(day).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logic::change::Change;
    use crate::logic::replica::Device;
    use lanewright_sync::RecordKey;
    use serde_json::{Value, json};
    use uuid::Uuid;

    const NOW_MS: u64 = 20_000 * DAY_MS as u64 + 5;

    fn id(number: u128) -> Uuid {
        Uuid::from_u128(number)
    }

    fn fact(kind: &str, number: u128, body: Value) -> Change {
        Change { key: RecordKey { kind: kind.into(), id: id(number) }, body, version: 1 }
    }

    fn days_ago(days: i64) -> u64 {
        NOW_MS - (days * DAY_MS) as u64
    }

    fn rule(keep_days: Option<u32>, off_list_days: Option<u32>) -> RetentionBody {
        RetentionBody { keep_days, off_list_days, ..RetentionBody::default() }
    }

    fn school() -> Vec<Record> {
        let mut device = Device::new(id(8), id(7));
        let run = |number: u128, days: i64| {
            fact("run", number, json!({"class": id(1), "run": {"runner": id(0xa), "at_ms": days_ago(days)}}))
        };
        let label = |number: u128, name: &str, gone: bool| {
            fact("runner-label", number, json!({"class": id(1), "label": name, "gone": gone}))
        };
        let first = [
            fact("class", 1, json!({"name": "7 Larch"})),
            label(0xa, "Ada", false),
            label(0xb, "Bo", true),
            fact("runner-about", 0xb, json!({"sex": "male"})),
        ];
        let mut records = device.stamp(&first, days_ago(100));
        records.extend(device.stamp(&[label(0xc, "Cy", true)], days_ago(10)));
        records.extend(device.stamp(&[run(10, 10), run(11, 50), run(12, 90)], days_ago(9)));
        records
    }

    fn day(days_from_now: i64) -> Option<Date> {
        let days = jiff::Span::new().days(20_000 + days_from_now);
        jiff::civil::date(1970, 1, 1).checked_add(days).ok()
    }

    #[test]
    fn nothing_goes_without_a_rule_and_no_rule_takes_what_is_younger() {
        let records = school();
        assert_eq!(outlook(&records, &rule(None, None), NOW_MS), Outlook::default());
        let long = outlook(&records, &rule(Some(400), None), NOW_MS);
        // The run of 90 days ago goes when it is 400 days old: at the midnight after.
        assert_eq!((long.now.total(), long.next), (0, day(400 - 90 + 1)));
    }

    #[test]
    fn what_goes_now_and_the_day_of_the_next_are_what_the_server_will_do() {
        let records = school();
        for keep_days in [30, 49, 50, 60, 89, 90, 91] {
            let found = outlook(&records, &rule(Some(keep_days), None), NOW_MS);
            let seen = |age: i64| age > i64::from(keep_days);
            let expected = [10, 50, 90].into_iter().filter(|age| seen(*age)).count();
            assert_eq!(found.now.total(), expected, "{keep_days}");
            // Day by day: on the day that is named, and not before, one more goes.
            let next = found.next.expect("a run is left");
            for later in 1..200 {
                let then_ms = NOW_MS + (later * DAY_MS) as u64;
                let then = outlook(&records, &rule(Some(keep_days), None), then_ms).now.total();
                assert_eq!(then > expected, day(later).expect("a day") >= next, "{keep_days} {later}");
            }
        }
    }

    #[test]
    fn children_off_the_list_go_with_all_that_is_known_of_them() {
        let records = school();
        let off: Vec<String> = unlisted(&records).into_values().map(|(name, _)| name).collect();
        assert_eq!(off, ["Bo", "Cy"]);
        let found = outlook(&records, &rule(None, Some(60)), NOW_MS);
        assert_eq!((found.now.runners(), found.now.total()), (1, 2), "Bo, with what is known of him");
        assert_eq!(found.next, day(60 - 10 + 1));
        let all: Vec<String> = unlisted(&records).into_keys().collect();
        assert_eq!(going_with(&records, &all).runners(), 2);
    }
}
