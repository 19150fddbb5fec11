//! What every store has to pass. The name of each function below is its claim.
//!
//! [`store_suite!`](crate::store_suite) makes one test of each. A maker gives a fresh, empty store and something
//! to keep alive beside it, such as a temporary folder:
//!
//! ```
//! # use std::sync::Arc;
//! # use lanewright_store::{MemoryStore, Store, suite};
//! async fn memory() -> (Arc<dyn Store>, ()) {
//!     (Arc::new(MemoryStore::new(suite::HOME)), ())
//! }
//! mod memory_passes {
//!     lanewright_store::store_suite!(super::memory);
//! }
//! # fn main() {}
//! ```

// A sentence of documentation could only repeat the name.
#![allow(missing_docs)]

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use lanewright_sync::message::{BODY_BYTES_MAX, PULL_BYTES_MAX};
use lanewright_sync::stamp::STAMP_AHEAD_MAX_MS;
use lanewright_sync::{
    Acked, DeviceId, Merge, Place, Record, RecordKey, RefusalReason, SchoolId, Stamp, Standing,
    canonical_json, merge,
};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::{Link, Password, Role, Session, Store, StoreError, TokenHash, day_of};

/// The school that makers give to a new store.
pub const HOME: SchoolId = SchoolId(Uuid::from_u128(0x10));
/// A school that no store knows until it is added.
pub const ELSEWHERE: SchoolId = SchoolId(Uuid::from_u128(0x20));
/// The time at which the claims push, in milliseconds since 1970.
pub const NOW_MS: u64 = 1_772_446_445_000;

/// Makes one test of each claim for the stores of a maker.
#[macro_export]
macro_rules! store_suite {
    ($make:path) => {
        $crate::store_suite! { $make =>
            a_pushed_record_comes_back_equal
            every_pushed_record_is_answered_once_and_only_sound_ones_are_stored
            pushing_twice_changes_nothing_and_is_acked_twice
            the_greater_stamp_stands_in_whatever_order_writes_arrive
            several_writes_of_one_fact_in_one_push_leave_the_latest
            schools_never_see_each_other
            a_school_that_was_never_added_is_an_error
            pages_cover_everything_once_in_the_order_of_the_commits
            a_replaced_record_moves_to_the_place_of_its_last_change
            an_answer_ends_when_it_is_long_enough
            a_cursor_from_another_history_starts_anew
            a_reader_that_only_moves_forward_misses_nothing_while_many_write
            any_history_leaves_what_the_model_says
            an_erased_child_is_gone_and_stays_away_whatever_the_stamp
            out_of_lists_only_the_erased_child_goes
            an_erased_class_takes_children_that_arrive_later
            what_was_seen_before_an_erased_date_is_gone_and_stays_away
            erasures_are_told_to_whoever_pulls
            a_link_opens_one_session_once
            of_many_who_try_one_link_one_gets_in
            an_expired_link_opens_nothing
            links_that_were_taken_back_open_nothing_and_sessions_stay
            a_session_ends_when_its_time_is_up_or_when_it_is_left
            role_lanes_and_label_go_from_the_link_to_the_session_and_into_the_list
            a_password_is_set_changed_and_taken_away_only_over_the_one_that_stands
            of_many_who_change_a_password_one_does
            a_password_opens_coach_sessions_until_it_is_changed
            a_place_that_was_told_lies_behind_and_one_from_elsewhere_does_not
        }
    };
    ($make:path => $($claim:ident)*) => {
        $(
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $claim() {
                let (store, _keep) = $make().await;
                $crate::suite::$claim(store.clone()).await;
                store.close().await;
            }
        )*
    };
}

/// Returns a write of the fact `number` at `offset_ms` from [`NOW_MS`].
pub fn write(number: u128, offset_ms: i64, body: Value) -> Record {
    Record {
        id: Uuid::from_u128(number),
        kind: "telescope".into(),
        version: 1,
        body,
        stamp: Stamp {
            wall_ms: NOW_MS.saturating_add_signed(offset_ms),
            counter: 0,
            device: DeviceId(Uuid::from_u128(0xd)),
        },
        school: HOME,
    }
}

/// Pulls everything after a cursor, page by page; returns the records and the last cursor.
pub async fn pull_all(
    store: &dyn Store,
    school: SchoolId,
    mut after: u64,
    limit: usize,
) -> (Vec<Record>, u64) {
    let mut records = Vec::new();
    loop {
        let answer = store.pull(school, after, limit).await.expect("pulled");
        assert!(answer.records.len() <= limit);
        records.extend(answer.records);
        after = answer.cursor;
        if !answer.more {
            return (records, after);
        }
    }
}

async fn push_all(store: &dyn Store, records: &[Record]) {
    let answer = store.push(HOME, records, NOW_MS).await.expect("pushed");
    assert_eq!(answer.acked, records.iter().map(Acked::of).collect::<Vec<_>>());
    assert!(answer.refused.is_empty());
}

/// Numbers that look random and are the same in every run (SplitMix64).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % sides
    }
}

pub async fn a_pushed_record_comes_back_equal(store: Arc<dyn Store>) {
    let bodies = [
        json!({"name": "7 Larch", "unknown": {"deep": [1, 1.0, null, true]}}),
        json!({"share": 0.977_829_260_965_009_9, "tiny": 5e-324, "third": 1.0 / 3.0, "minus": -0.0}),
        json!({"least": i64::MIN, "most": u64::MAX, "huge": 1.797_693_134_862_315_7e308}),
        json!({"text": "Zoë 'Ž' \"quoted\" \\ \n \u{1} ½ 🏃 -- ; DROP TABLE record"}),
        json!({}),
    ];
    let records: Vec<Record> =
        bodies.into_iter().zip(1..).map(|(body, number)| write(number, 0, body)).collect();
    push_all(&*store, &records).await;
    let (pulled, _) = pull_all(&*store, HOME, 0, 100).await;
    assert_eq!(pulled, records);
    for (record, pulled) in records.iter().zip(&pulled) {
        assert_eq!(pulled.digest(), record.digest());
        assert_eq!(store.get(HOME, &record.key()).await.expect("read").as_ref(), Some(record));
    }
    let missing = RecordKey { kind: "telescope".into(), id: Uuid::from_u128(99) };
    assert_eq!(store.get(HOME, &missing).await.expect("read"), None);
}

pub async fn every_pushed_record_is_answered_once_and_only_sound_ones_are_stored(store: Arc<dyn Store>) {
    let sound = [write(1, 0, json!({"a": 1})), write(6, STAMP_AHEAD_MAX_MS as i64, json!({}))];
    let wrong = [
        (Record { school: ELSEWHERE, ..write(2, 0, json!({})) }, RefusalReason::OtherSchool),
        (write(3, STAMP_AHEAD_MAX_MS as i64 + 1, json!({})), RefusalReason::ClockAhead),
        (write(4, 0, json!({"long": "x".repeat(BODY_BYTES_MAX)})), RefusalReason::BadBody),
        (Record { kind: "class".into(), ..write(5, 0, json!({"title": 7})) }, RefusalReason::BadBody),
    ];
    let mut records: Vec<Record> = wrong.iter().map(|(record, _)| record.clone()).collect();
    records.insert(2, sound[0].clone());
    records.push(sound[1].clone());
    let answer = store.push(HOME, &records, NOW_MS).await.expect("pushed");
    assert_eq!(answer.acked, sound.iter().map(Acked::of).collect::<Vec<_>>());
    assert_eq!(answer.now_ms, NOW_MS);
    let reasons: Vec<_> = answer.refused.iter().map(|refused| (&refused.key, refused.reason)).collect();
    let expected: Vec<_> = wrong.iter().map(|(record, reason)| (record.key(), *reason)).collect();
    assert_eq!(reasons, expected.iter().map(|(key, reason)| (key, *reason)).collect::<Vec<_>>());
    assert_eq!(pull_all(&*store, HOME, 0, 100).await.0, sound);
}

pub async fn pushing_twice_changes_nothing_and_is_acked_twice(store: Arc<dyn Store>) {
    let records = [write(1, 0, json!({"a": 1})), write(2, 0, json!({"b": 2}))];
    push_all(&*store, &records).await;
    let before = pull_all(&*store, HOME, 0, 100).await;
    push_all(&*store, &records).await;
    push_all(&*store, &records[1..]).await;
    assert_eq!(pull_all(&*store, HOME, 0, 100).await, before);
    let nothing_new = store.pull(HOME, before.1, 100).await.expect("pulled");
    assert_eq!((nothing_new.records, nothing_new.cursor, nothing_new.more), (vec![], before.1, false));
}

pub async fn the_greater_stamp_stands_in_whatever_order_writes_arrive(store: Arc<dyn Store>) {
    let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    for (fact, order) in (1..).zip(orders) {
        // The last two have one stamp, as no sound device would write; the greater digest decides.
        let writes = [
            write(fact, -5, json!({"v": "early"})),
            write(fact, 0, json!({"v": "late"})),
            write(fact, 0, json!({"v": "late, too"})),
        ];
        for at in order {
            // A write that has lost is acked all the same: what supersedes it is durable.
            push_all(&*store, &writes[at..=at]).await;
        }
        let stands =
            if merge(Some(&writes[1]), &writes[2]) == Merge::Replace { &writes[2] } else { &writes[1] };
        assert_eq!(store.get(HOME, &stands.key()).await.expect("read").as_ref(), Some(stands));
    }
}

pub async fn several_writes_of_one_fact_in_one_push_leave_the_latest(store: Arc<dyn Store>) {
    let writes: Vec<Record> =
        [1, 3, 2].into_iter().map(|offset_ms| write(7, offset_ms, json!({"at": offset_ms}))).collect();
    push_all(&*store, &writes).await;
    assert_eq!(pull_all(&*store, HOME, 0, 100).await.0, [writes[1].clone()]);
}

pub async fn schools_never_see_each_other(store: Arc<dyn Store>) {
    store.add_school(ELSEWHERE).await.expect("added");
    store.add_school(ELSEWHERE).await.expect("adding again changes nothing");
    let ours = write(1, 0, json!({"whose": "ours"}));
    let theirs = Record { school: ELSEWHERE, ..write(1, 5, json!({"whose": "theirs"})) };
    push_all(&*store, std::slice::from_ref(&ours)).await;
    let answer = store.push(ELSEWHERE, std::slice::from_ref(&theirs), NOW_MS).await.expect("pushed");
    assert_eq!(answer.acked.len(), 1);
    for (school, record) in [(HOME, ours), (ELSEWHERE, theirs)] {
        assert_eq!(store.get(school, &record.key()).await.expect("read"), Some(record.clone()));
        assert_eq!(pull_all(&*store, school, 0, 100).await.0, [record]);
    }
    assert_eq!(store.home(), HOME);
}

pub async fn a_school_that_was_never_added_is_an_error(store: Arc<dyn Store>) {
    let record = Record { school: ELSEWHERE, ..write(1, 0, json!({})) };
    let unknown = |error| assert!(matches!(error, StoreError::UnknownSchool), "{error}");
    unknown(store.push(ELSEWHERE, std::slice::from_ref(&record), NOW_MS).await.expect_err("unknown"));
    unknown(store.pull(ELSEWHERE, 0, 10).await.expect_err("unknown"));
    unknown(store.get(ELSEWHERE, &record.key()).await.expect_err("unknown"));
    let link = Link { school: ELSEWHERE, ..coach_link("a") };
    unknown(store.add_link(link).await.expect_err("unknown"));
}

pub async fn pages_cover_everything_once_in_the_order_of_the_commits(store: Arc<dyn Store>) {
    let records: Vec<Record> = (1..=23).rev().map(|number| write(number, 0, json!({}))).collect();
    for part in records.chunks(4) {
        push_all(&*store, part).await;
    }
    for limit in [1, 2, 7, 22, 23, 24, 500] {
        assert_eq!(pull_all(&*store, HOME, 0, limit).await.0, records, "limit {limit}");
    }
    let exact = store.pull(HOME, 0, 23).await.expect("pulled");
    assert!(!exact.more, "nothing follows");
    let none = store.pull(HOME, 0, 0).await.expect("pulled");
    assert_eq!((none.records.len(), none.cursor, none.more), (0, 0, true));
}

pub async fn a_replaced_record_moves_to_the_place_of_its_last_change(store: Arc<dyn Store>) {
    let (first, second) = (write(1, 0, json!({"v": 1})), write(2, 0, json!({"v": 1})));
    push_all(&*store, &[first.clone(), second.clone()]).await;
    let cursor = pull_all(&*store, HOME, 0, 10).await.1;
    let again = write(1, 9, json!({"v": 2}));
    push_all(&*store, std::slice::from_ref(&again)).await;
    assert_eq!(pull_all(&*store, HOME, cursor, 10).await.0, std::slice::from_ref(&again));
    assert_eq!(pull_all(&*store, HOME, 0, 10).await.0, [second, again]);
}

pub async fn an_answer_ends_when_it_is_long_enough(store: Arc<dyn Store>) {
    let text = "x".repeat(BODY_BYTES_MAX - 100);
    let count = (PULL_BYTES_MAX / text.len() + 10) as u128;
    for number in 1..=count {
        push_all(&*store, &[write(number, 0, json!({"text": text}))]).await;
    }
    let answer = store.pull(HOME, 0, 500).await.expect("pulled");
    let length: usize = answer.records.iter().map(|record| canonical_json(&record.body).len()).sum();
    assert!(answer.more && (PULL_BYTES_MAX..PULL_BYTES_MAX + BODY_BYTES_MAX).contains(&length));
    assert_eq!(pull_all(&*store, HOME, 0, 500).await.0.len() as u128, count);
}

pub async fn a_cursor_from_another_history_starts_anew(store: Arc<dyn Store>) {
    let record = write(1, 0, json!({}));
    push_all(&*store, std::slice::from_ref(&record)).await;
    for after in [2, 1 << 40, u64::MAX] {
        assert_eq!(pull_all(&*store, HOME, after, 10).await.0, std::slice::from_ref(&record));
    }
}

pub async fn a_reader_that_only_moves_forward_misses_nothing_while_many_write(store: Arc<dyn Store>) {
    const WRITERS: u128 = 8;
    const PUSHES: u128 = 25;
    const RECORDS: u128 = 2;
    let writers: Vec<_> = (0..WRITERS)
        .map(|writer| {
            let store = store.clone();
            tokio::spawn(async move {
                for push in 0..PUSHES {
                    let first = (writer * PUSHES + push) * RECORDS + 1;
                    let records: Vec<Record> =
                        (first..first + RECORDS).map(|number| write(number, 0, json!({}))).collect();
                    push_all(&*store, &records).await;
                }
            })
        })
        .collect();
    let (mut seen, mut cursor) = (Vec::new(), 0);
    loop {
        let all_written = writers.iter().all(tokio::task::JoinHandle::is_finished);
        let (records, after) = pull_all(&*store, HOME, cursor, 7).await;
        seen.extend(records.into_iter().map(|record| record.id));
        cursor = after;
        if all_written {
            break;
        }
        tokio::task::yield_now().await;
    }
    for writer in writers {
        writer.await.expect("every push was acked");
    }
    let expected: BTreeSet<Uuid> = (1..=WRITERS * PUSHES * RECORDS).map(Uuid::from_u128).collect();
    assert_eq!(seen.len(), expected.len(), "each once");
    assert_eq!(seen.into_iter().collect::<BTreeSet<_>>(), expected);
}

pub async fn any_history_leaves_what_the_model_says(store: Arc<dyn Store>) {
    let mut dice = Dice(7);
    let mut model: BTreeMap<RecordKey, Record> = BTreeMap::new();
    // A reader that pulls now and then and merges, as a device does.
    let (mut device, mut cursor): (BTreeMap<RecordKey, Record>, u64) = (BTreeMap::new(), 0);
    for _ in 0..150 {
        let records: Vec<Record> = (0..=dice.roll(4))
            .map(|_| {
                let offset_ms = dice.roll(40) as i64;
                let mut record = write(u128::from(dice.roll(12)), offset_ms, json!({"v": dice.roll(3)}));
                record.stamp.device = DeviceId(Uuid::from_u128(u128::from(dice.roll(2))));
                if dice.roll(5) == 0 {
                    record.kind = "microscope".into();
                }
                record
            })
            .collect();
        push_all(&*store, &records).await;
        for record in records {
            if merge(model.get(&record.key()), &record) == Merge::Replace {
                model.insert(record.key(), record);
            }
        }
        if dice.roll(3) == 0 {
            let (records, after) = pull_all(&*store, HOME, cursor, 1 + dice.roll(5) as usize).await;
            cursor = after;
            for record in records {
                assert_eq!(merge(device.get(&record.key()), &record), Merge::Replace, "only news is sent");
                device.insert(record.key(), record);
            }
            assert_eq!(device, model);
        }
    }
    let (records, _) = pull_all(&*store, HOME, 0, 100).await;
    let stored: BTreeMap<RecordKey, Record> =
        records.into_iter().map(|record| (record.key(), record)).collect();
    assert!(model.len() > 12, "the history touched both kinds");
    assert_eq!(stored, model);
}

/// Returns a record of any kind.
fn fact(kind: &str, number: u128, offset_ms: i64, body: Value) -> Record {
    Record { kind: kind.into(), ..write(number, offset_ms, body) }
}

fn name(number: u128) -> String {
    Uuid::from_u128(number).to_string()
}

fn erased(number: u128, what: &str) -> Record {
    // Stamped long before what it erases: it outranks them all the same.
    fact("erasure", number, -1_000_000, json!({"what": what}))
}

/// Two children of one class, each with sizes, a run, and one bout together.
fn two_children() -> Vec<Record> {
    let of = |number: u128, label: &str| {
        [
            fact("runner-label", number, 0, json!({"class": name(1), "label": label})),
            fact("runner-about", number, 1, json!({"sex": "female"})),
            fact(
                "measurement",
                number + 1,
                2,
                json!({"runner": name(number), "on": "2026-03-01", "measured": {"kind": "stature", "stature_cm": 140}}),
            ),
            fact("telescope", number + 2, 3, json!({"run": {"runner": name(number), "at_ms": NOW_MS}})),
        ]
    };
    let mut records = vec![fact("class", 1, 0, json!({"name": "7 Larch"}))];
    records.extend(of(0xa0, "Ada"));
    records.extend(of(0xb0, "Bo"));
    records.push(fact("line-up", 1, 4, json!({"order": [name(0xa0), name(0xb0)]})));
    records
}

fn names(records: &[Record], number: u128) -> bool {
    records.iter().any(|record| {
        record.kind != "erasure"
            && (record.id == Uuid::from_u128(number) || record.body.to_string().contains(&name(number)))
    })
}

pub async fn an_erased_child_is_gone_and_stays_away_whatever_the_stamp(store: Arc<dyn Store>) {
    let before = two_children();
    push_all(&*store, &before).await;
    push_all(&*store, &[erased(0xa0, "runner")]).await;
    let (left, _) = pull_all(&*store, HOME, 0, 100).await;
    assert!(!names(&left, 0xa0) && names(&left, 0xb0));
    assert_eq!(left.len(), before.len() - 4 + 1, "four facts go, the erasure comes");

    // A device whose clock is a year ahead sends the child once more. Its other records are refused for the clock.
    let year_ms = 365 * 24 * 60 * 60 * 1000;
    let mut again: Vec<Record> = before[1..5].to_vec();
    again.push(fact("run-of-a-later-version", 0xa9, 0, json!({"who": [{"deep": {"id": name(0xa0)}}]})));
    for record in &mut again {
        record.stamp.wall_ms += year_ms;
        record.stamp.device = DeviceId(Uuid::from_u128(0xe));
    }
    let other = fact("telescope", 0xf0, year_ms as i64, json!({}));
    let answer = store.push(HOME, &[again.clone(), vec![other]].concat(), NOW_MS).await.expect("pushed");
    assert_eq!(answer.acked, again.iter().map(Acked::of).collect::<Vec<_>>(), "they need not be sent again");
    assert_eq!(answer.refused.len(), 1);
    assert_eq!(pull_all(&*store, HOME, 0, 100).await.0, left);

    // The device may erase, too; that does not wait until its clock is set.
    let ahead = Record { stamp: again[0].stamp, ..erased(0xc0, "runner") };
    push_all(&*store, &[ahead]).await;
    let key = RecordKey { kind: "erasure".into(), id: Uuid::from_u128(0xc0) };
    let stored = store.get(HOME, &key).await.expect("read").expect("stored");
    assert_eq!(stored.stamp.wall_ms, NOW_MS, "and carries nobody's clock away");

    // With a clock that the server takes, in the very push that brings the erasure, before it and after it.
    let late = fact("telescope", 0xb9, STAMP_AHEAD_MAX_MS as i64, json!({"run": {"runner": name(0xb0)}}));
    push_all(&*store, &[late.clone(), erased(0xb0, "runner"), late]).await;
    assert!(!names(&pull_all(&*store, HOME, 0, 100).await.0, 0xb0));
}

pub async fn out_of_lists_only_the_erased_child_goes(store: Arc<dyn Store>) {
    push_all(&*store, &two_children()).await;
    push_all(&*store, &[erased(0xa0, "runner")]).await;
    let line_up = RecordKey { kind: "line-up".into(), id: Uuid::from_u128(1) };
    let order = |record: Option<Record>| record.expect("it stays").body["order"].clone();
    assert_eq!(order(store.get(HOME, &line_up).await.expect("read")), json!([name(0xb0)]));
    // A later line-up of a device that has not heard of it.
    let later = fact("line-up", 1, 9, json!({"order": [name(0xb0), name(0xa0)]}));
    push_all(&*store, &[later]).await;
    assert_eq!(order(store.get(HOME, &line_up).await.expect("read")), json!([name(0xb0)]));
}

pub async fn an_erased_class_takes_children_that_arrive_later(store: Arc<dyn Store>) {
    push_all(&*store, &two_children()).await;
    push_all(&*store, &[erased(1, "class")]).await;
    let (left, _) = pull_all(&*store, HOME, 0, 100).await;
    assert!(left.iter().all(|record| record.kind == "erasure"), "{left:?}");
    assert_eq!(left.len(), 3, "the class and, by name, both children");
    // A child that a device without a network had put into the class.
    let label = fact("runner-label", 0xc0, 50, json!({"class": name(1), "label": "Cy"}));
    let about = fact("runner-about", 0xc0, 51, json!({"sex": "male"}));
    push_all(&*store, std::slice::from_ref(&about)).await;
    push_all(&*store, &[label, about]).await;
    let (left, _) = pull_all(&*store, HOME, 0, 100).await;
    assert!(left.iter().all(|record| record.kind == "erasure"), "{left:?}");
    assert_eq!(left.len(), 4);
}

pub async fn what_was_seen_before_an_erased_date_is_gone_and_stays_away(store: Arc<dyn Store>) {
    let run = |number: u128, at_ms: u64| {
        fact("telescope", number, 0, json!({"run": {"runner": name(0xb0), "at_ms": at_ms}}))
    };
    push_all(&*store, &two_children()).await;
    push_all(&*store, &[run(0xd1, NOW_MS - 10), run(0xd2, NOW_MS + 10)]).await;
    let past = fact("erasure", 0xd9, 0, json!({"what": "before", "before_ms": NOW_MS}));
    push_all(&*store, &[past]).await;
    push_all(&*store, &[run(0xd3, NOW_MS - 20), run(0xd4, NOW_MS + 20)]).await;
    let (left, _) = pull_all(&*store, HOME, 0, 100).await;
    let there = |number: u128| left.iter().any(|record| record.id == Uuid::from_u128(number));
    assert!(!there(0xd1) && there(0xd2) && !there(0xd3) && there(0xd4));
    assert!(!there(0xa1), "a height of the day before");
    assert!(there(0xa0), "the child itself lasts");
    // What is still to come cannot be erased.
    let coming = fact("erasure", 0xda, 0, json!({"what": "before", "before_ms": NOW_MS + 3 * DAY_MS}));
    let answer = store.push(HOME, &[coming], NOW_MS).await.expect("pushed");
    assert_eq!(answer.refused.len(), 1);
}

pub async fn erasures_are_told_to_whoever_pulls(store: Arc<dyn Store>) {
    push_all(&*store, &two_children()).await;
    let cursor = pull_all(&*store, HOME, 0, 100).await.1;
    push_all(&*store, &[erased(0xa0, "runner")]).await;
    assert_eq!(pull_all(&*store, HOME, cursor, 100).await.0, [erased(0xa0, "runner")]);
    assert_eq!(erased(0xa0, "runner").body.to_string(), r#"{"what":"runner"}"#, "it tells of nobody");
}

const DAY_MS: u64 = 24 * 60 * 60 * 1000;

fn coach_link(token: &str) -> Link {
    Link {
        token: TokenHash::of(token),
        school: HOME,
        role: Role::Coach,
        lanes: None,
        label: None,
        expires_ms: NOW_MS + DAY_MS,
    }
}

async fn add_link(store: &dyn Store, token: &str) {
    store.add_link(coach_link(token)).await.expect("added");
}

async fn open(store: &dyn Store, link: &str, session: &str, now_ms: u64) -> Option<Session> {
    let (link, session) = (TokenHash::of(link), TokenHash::of(session));
    store.open_link(link, session, now_ms, now_ms + 90 * DAY_MS).await.expect("answered")
}

pub async fn a_link_opens_one_session_once(store: Arc<dyn Store>) {
    add_link(&*store, "link").await;
    assert_eq!(open(&*store, "another", "s0", NOW_MS).await, None);
    let session = open(&*store, "link", "s1", NOW_MS).await.expect("opened");
    let expected = Session {
        token: TokenHash::of("s1"),
        school: HOME,
        role: Role::Coach,
        lanes: None,
        label: None,
        number: 1,
        opened_ms: NOW_MS,
        expires_ms: NOW_MS + 90 * DAY_MS,
        seen_day: day_of(NOW_MS),
    };
    assert_eq!(session, expected);
    assert_eq!(store.session(TokenHash::of("s1"), NOW_MS).await.expect("asked"), Some(expected));
    assert_eq!(open(&*store, "link", "s2", NOW_MS).await, None);
    assert_eq!(store.session(TokenHash::of("s2"), NOW_MS).await.expect("asked"), None);
    assert_eq!(store.session(TokenHash::of("link"), NOW_MS).await.expect("asked"), None);
}

pub async fn of_many_who_try_one_link_one_gets_in(store: Arc<dyn Store>) {
    add_link(&*store, "link").await;
    let tries: Vec<_> = (0..8)
        .map(|number| {
            let store = store.clone();
            tokio::spawn(async move { open(&*store, "link", &format!("s{number}"), NOW_MS).await })
        })
        .collect();
    let mut opened = 0;
    for one in tries {
        opened += usize::from(one.await.expect("answered").is_some());
    }
    assert_eq!(opened, 1);
}

pub async fn an_expired_link_opens_nothing(store: Arc<dyn Store>) {
    add_link(&*store, "one").await;
    add_link(&*store, "other").await;
    assert!(open(&*store, "one", "s1", NOW_MS + DAY_MS - 1).await.is_some());
    assert_eq!(open(&*store, "other", "s2", NOW_MS + DAY_MS).await, None);
}

pub async fn links_that_were_taken_back_open_nothing_and_sessions_stay(store: Arc<dyn Store>) {
    add_link(&*store, "used").await;
    add_link(&*store, "unused").await;
    open(&*store, "used", "s1", NOW_MS).await.expect("opened");
    store.void_links(ELSEWHERE).await.expect("nothing there");
    store.void_links(HOME).await.expect("taken back");
    assert_eq!(open(&*store, "unused", "s2", NOW_MS).await, None);
    assert!(store.session(TokenHash::of("s1"), NOW_MS).await.expect("asked").is_some());
}

pub async fn a_session_ends_when_its_time_is_up_or_when_it_is_left(store: Arc<dyn Store>) {
    add_link(&*store, "one").await;
    add_link(&*store, "other").await;
    let first = open(&*store, "one", "s1", NOW_MS).await.expect("opened");
    open(&*store, "other", "s2", NOW_MS).await.expect("opened");
    store.end_session(TokenHash::of("s2")).await.expect("left");
    store.end_session(TokenHash::of("s2")).await.expect("leaving again changes nothing");
    assert_eq!(store.session(TokenHash::of("s2"), NOW_MS).await.expect("asked"), None);
    assert!(store.session(first.token, first.expires_ms - 1).await.expect("asked").is_some());
    assert_eq!(store.session(first.token, first.expires_ms).await.expect("asked"), None);
}

pub async fn role_lanes_and_label_go_from_the_link_to_the_session_and_into_the_list(store: Arc<dyn Store>) {
    store.add_school(ELSEWHERE).await.expect("added");
    add_link(&*store, "coach").await;
    let helper = Link {
        role: Role::Helper,
        lanes: Some(vec!["A".into(), "C".into()]),
        label: Some("Kim's phone, \"lane C\"".into()),
        ..coach_link("helper")
    };
    store.add_link(helper.clone()).await.expect("added");
    store.add_link(Link { school: ELSEWHERE, ..coach_link("theirs") }).await.expect("added");
    let mut links = store.links(HOME, NOW_MS).await.expect("listed");
    links.sort_by_key(|link| link.label.is_some());
    assert_eq!(links, [coach_link("coach"), helper.clone()]);
    assert_eq!(store.links(HOME, NOW_MS + DAY_MS).await.expect("listed"), []);

    let first = open(&*store, "coach", "s1", NOW_MS).await.expect("opened");
    let second = open(&*store, "helper", "s2", NOW_MS + 5).await.expect("opened");
    assert_eq!((second.role, &second.lanes, &second.label), (helper.role, &helper.lanes, &helper.label));
    assert_eq!((first.number, second.number), (1, 2));
    assert_ne!(first.name(), second.name());
    open(&*store, "theirs", "s3", NOW_MS).await.expect("opened");
    assert_eq!(store.links(HOME, NOW_MS).await.expect("listed"), []);
    let listed = store.sessions(HOME, NOW_MS).await.expect("listed");
    assert_eq!(listed, [first.clone(), second.clone()]);
    let day = day_of(NOW_MS) + 3;
    store.note_seen(second.token, day).await.expect("noted");
    store.note_seen(TokenHash::of("nobody"), day).await.expect("passed over");
    let seen = Session { seen_day: day, ..second.clone() };
    assert_eq!(store.session(second.token, NOW_MS).await.expect("asked").as_ref(), Some(&seen));
    assert_eq!(store.sessions(HOME, second.expires_ms - 1).await.expect("listed"), [seen]);
    store.end_session(second.token).await.expect("ended");
    assert_eq!(store.sessions(HOME, NOW_MS).await.expect("listed"), [first]);
}

fn password(hash: &str, set_ms: u64) -> Option<Password> {
    Some(Password { hash: hash.into(), set_ms })
}

pub async fn a_password_is_set_changed_and_taken_away_only_over_the_one_that_stands(store: Arc<dyn Store>) {
    store.add_school(ELSEWHERE).await.expect("added");
    let now = async |school| store.password(school).await.expect("asked");
    let set =
        async |before: Option<&str>, after| store.set_password(HOME, before, after).await.expect("answered");
    assert_eq!(now(HOME).await, None, "there is none until somebody sets one");
    assert!(!set(Some("x"), password("one", 1)).await);
    assert!(!set(Some("x"), None).await);
    assert_eq!(now(HOME).await, None);
    assert!(set(None, password("one", NOW_MS)).await);
    assert_eq!(now(HOME).await, password("one", NOW_MS));
    assert!(!set(None, password("two", 2)).await && !set(Some("two"), None).await);
    assert!(set(Some("one"), password("two", NOW_MS + 5)).await);
    assert_eq!(now(HOME).await, password("two", NOW_MS + 5));
    assert_eq!(now(ELSEWHERE).await, None, "each school its own");
    assert!(set(Some("two"), None).await);
    assert_eq!(now(HOME).await, None);
    let nowhere = SchoolId(Uuid::from_u128(0x30));
    assert_eq!(now(nowhere).await, None);
    assert!(store.set_password(nowhere, None, password("x", 1)).await.is_err());
}

pub async fn of_many_who_change_a_password_one_does(store: Arc<dyn Store>) {
    let tries: Vec<_> = (0..8)
        .map(|number| {
            let store = store.clone();
            tokio::spawn(async move {
                store.set_password(HOME, None, password(&number.to_string(), NOW_MS)).await.expect("answered")
            })
        })
        .collect();
    let mut changed = 0;
    for one in tries {
        changed += usize::from(one.await.expect("answered"));
    }
    assert_eq!(changed, 1);
}

pub async fn a_password_opens_coach_sessions_until_it_is_changed(store: Arc<dyn Store>) {
    let enter = async |hash: &str, session: &str, now_ms: u64| {
        let session = TokenHash::of(session);
        let opened = store.open_with_password(HOME, hash, session, now_ms, now_ms + 90 * DAY_MS).await;
        opened.expect("answered")
    };
    assert_eq!(enter("", "s0", NOW_MS).await, None, "where there is none, none opens");
    store.set_password(HOME, None, password("one", NOW_MS)).await.expect("set");
    assert_eq!(enter("two", "s0", NOW_MS).await, None);
    let first = enter("one", "s1", NOW_MS).await.expect("opened");
    let expected = Session {
        token: TokenHash::of("s1"),
        school: HOME,
        role: Role::Coach,
        lanes: None,
        label: None,
        number: 1,
        opened_ms: NOW_MS,
        expires_ms: NOW_MS + 90 * DAY_MS,
        seen_day: day_of(NOW_MS),
    };
    assert_eq!(first, expected);
    let second = enter("one", "s2", NOW_MS + 5).await.expect("it opens more than once");
    assert_eq!(second.number, 2);
    assert_eq!(store.sessions(HOME, NOW_MS + 5).await.expect("listed"), [first.clone(), second.clone()]);
    store.set_password(HOME, Some("one"), password("two", NOW_MS)).await.expect("changed");
    assert_eq!(enter("one", "s3", NOW_MS).await, None);
    assert_eq!(store.session(TokenHash::of("s3"), NOW_MS).await.expect("asked"), None);
    // Who is in stays in, until signed out.
    assert!(store.session(first.token, NOW_MS).await.expect("asked").is_some());
    // Sessions that are over are cleared away, and their numbers are free again.
    let later = enter("two", "s4", second.expires_ms).await.expect("opened");
    assert_eq!(later.number, 1);
}

pub async fn a_place_that_was_told_lies_behind_and_one_from_elsewhere_does_not(store: Arc<dyn Store>) {
    let begin = store.standing(HOME, None).await.expect("asked");
    assert_eq!((begin.at.seq, begin.known), (0, true));
    let pushed = store.push(HOME, &[write(1, 0, json!({})), write(2, 0, json!({}))], NOW_MS).await;
    let at = pushed.expect("pushed").at.expect("told");
    assert_eq!((at.history, at.seq), (begin.at.history, 2));
    assert_eq!(store.pull(HOME, 0, 1).await.expect("pulled").at, Some(at));
    for (seq, known) in [(0, true), (2, true), (3, false), (u64::MAX, false)] {
        let told = Place { history: at.history, seq };
        assert_eq!(store.standing(HOME, Some(told)).await.expect("asked"), Standing { at, known });
    }
    let elsewhere = Place { history: Uuid::from_u128(0xabc), seq: 0 };
    assert!(!store.standing(HOME, Some(elsewhere)).await.expect("asked").known);
    // A school that comes later stands in the same opening.
    store.add_school(ELSEWHERE).await.expect("added");
    let told = Place { history: at.history, seq: 0 };
    assert!(store.standing(ELSEWHERE, Some(told)).await.expect("asked").known);
    assert!(store.standing(SchoolId(Uuid::from_u128(0x30)), None).await.is_err());
}
