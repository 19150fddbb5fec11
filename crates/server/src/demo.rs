//! The demo class: invented children of an invented school, as ordinary records.

use lanewright_model::import::{self, Options};
use lanewright_model::kit::HurdleStock;
use lanewright_model::record::{
    BODY_VERSION, Body, ClassBody, KitBody, SpaceBody, Unknown, bodies_for_runner,
};
use lanewright_model::{Kit, RunnerId, Space};
use lanewright_store::{Store, StoreError};
use lanewright_sync::message::PUSH_RECORDS_MAX;
use lanewright_sync::{DeviceId, Record, SchoolId, Stamp};
use uuid::Uuid;

const CLASS_LIST: &[u8] = include_bytes!("../../../fixtures/demo/class.csv");
const CLASS_NAME: &str = "7 Larch";

/// When the demo was written: 2026-02-23, 07:00 UTC. Whatever a person enters is later and stands.
const WRITTEN_MS: u64 = 1_771_830_000_000;
/// Goes up with every change of the demo, so that the changed facts replace the earlier ones everywhere.
const EDITION: u32 = 1;
/// The device that wrote it. No real device has an id of this shape.
const DEVICE: DeviceId = DeviceId(demo_id(0));

/// Returns a fixed id: a UUID of version 7 with the time at which the demo was written.
const fn demo_id(number: u64) -> Uuid {
    Uuid::from_u64_pair(WRITTEN_MS << 16 | 0x7000, 0x8000_0000_0000_0000 | number)
}

/// Returns the demo: the class, its children, a kit and a hall of 32 m by 18 m.
///
/// The same ids and stamps every time, so putting it in twice changes nothing, and nothing that a person has
/// changed is ever overwritten.
pub fn demo_records(school: SchoolId) -> Vec<Record> {
    let class = demo_id(1);
    let kit = Kit {
        hurdles: vec![HurdleStock { height_cm: 30.0, count: 24 }, HurdleStock { height_cm: 20.0, count: 6 }],
        ..Kit::default()
    };
    let mut facts = vec![
        (class, Body::Class(ClassBody { name: CLASS_NAME.into(), gone: false, unknown: Unknown::new() })),
        (school.0, Body::Kit(KitBody { kit, gone: false, unknown: Unknown::new() })),
        (
            school.0,
            Body::Space(SpaceBody { space: Space::hall(32.0, 18.0), gone: false, unknown: Unknown::new() }),
        ),
    ];
    let runners = import::read(CLASS_LIST, &Options::default())
        .and_then(|preview| preview.accept())
        .expect("the demo class can be read: tested");
    for (mut runner, number) in runners.into_iter().zip(0u32..) {
        runner.id = RunnerId(demo_id(100 + u64::from(number)).to_string());
        for (_, id, body) in bodies_for_runner(&runner, &class.to_string(), number) {
            facts.push((id.parse().expect("ids made from a UUID are UUIDs: tested"), body));
        }
    }
    let record = |(id, body): (Uuid, Body)| Record {
        id,
        kind: body.kind().to_owned(),
        version: BODY_VERSION,
        body: body.to_value(),
        stamp: Stamp { wall_ms: WRITTEN_MS, counter: EDITION, device: DEVICE },
        school,
    };
    facts.into_iter().map(record).collect()
}

/// Puts the demo into a store, through the one way in.
pub(crate) async fn put(store: &dyn Store, now_ms: u64) -> Result<(), StoreError> {
    let school = store.home();
    for records in demo_records(school).chunks(PUSH_RECORDS_MAX) {
        // A clock that stands before the demo was written must not keep it out.
        store.push(school, records, now_ms.max(WRITTEN_MS)).await?;
    }
    Ok(())
}
