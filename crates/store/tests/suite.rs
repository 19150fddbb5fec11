//! Both stores pass the very same suite.

use std::sync::Arc;

use lanewright_store::{MemoryStore, SqliteStore, Store, suite};

async fn memory() -> (Arc<dyn Store>, ()) {
    (Arc::new(MemoryStore::new(suite::HOME)), ())
}

async fn sqlite() -> (Arc<dyn Store>, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let store = SqliteStore::open(folder.path(), suite::HOME).await.expect("opened");
    (Arc::new(store), folder)
}

mod memory_store {
    lanewright_store::store_suite!(super::memory);
}

mod sqlite_store {
    lanewright_store::store_suite!(super::sqlite);
}
