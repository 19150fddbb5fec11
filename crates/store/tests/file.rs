//! The file of a store: what survives, what is refused, what is noticed.

use std::fs;
use std::path::Path;

use lanewright_store::{FORMAT_VERSION, Password, Role, SqliteStore, Store, StoreError, TokenHash, suite};
use lanewright_sync::Record;
use serde_json::json;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection};
use suite::{HOME, NOW_MS, pull_all, write};

const DATABASE: &str = "lanewright.sqlite";

async fn push(store: &SqliteStore, record: &Record) {
    let answer = store.push(HOME, std::slice::from_ref(record), NOW_MS).await.expect("pushed");
    assert_eq!(answer.acked.len(), 1);
}

async fn open_error(folder: &Path) -> StoreError {
    match SqliteStore::open(folder, HOME).await {
        Ok(_) => panic!("it should have been refused"),
        Err(error) => error,
    }
}

async fn run_sql(path: &Path, sql: &str) {
    let mut connection = SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(true)
        .connect()
        .await
        .expect("connected");
    sqlx::raw_sql(AssertSqlSafe(sql)).execute(&mut connection).await.expect("ran");
    connection.close().await.expect("closed");
}

fn records(count: u128) -> Vec<Record> {
    (1..=count).map(|number| write(number, 0, json!({"number": number as u64}))).collect()
}

#[tokio::test]
async fn a_reopened_store_contains_every_acked_record_and_keeps_its_school() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(30);
    for (at, record) in records.iter().enumerate() {
        // Every third time it is closed in order, otherwise just let go.
        let store =
            SqliteStore::open(folder.path(), if at == 0 { HOME } else { suite::ELSEWHERE }).await.unwrap();
        assert_eq!(store.home(), HOME);
        assert_eq!(pull_all(&store, HOME, 0, 100).await.0, records[..at]);
        push(&store, record).await;
        if at % 3 == 0 {
            store.close().await;
        }
    }
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    assert_eq!(pull_all(&store, HOME, 0, 100).await, (records, 30));
}

/// What a killed process leaves behind is what lies on the disk while the store is open.
#[tokio::test]
async fn the_files_of_an_open_store_contain_every_acked_record() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    let records = records(40);
    for (at, record) in records.iter().enumerate() {
        push(&store, record).await;
        if at % 8 != 7 {
            continue;
        }
        let left = tempfile::tempdir().unwrap();
        for name in [DATABASE, "lanewright.sqlite-wal"] {
            fs::copy(folder.path().join(name), left.path().join(name)).unwrap();
        }
        let recovered = SqliteStore::open(left.path(), HOME).await.unwrap();
        assert_eq!(pull_all(&recovered, HOME, 0, 100).await.0, records[..=at]);

        // The control: without its log the same file lacks records, so the claim above is about something.
        let without_log = tempfile::tempdir().unwrap();
        fs::copy(folder.path().join(DATABASE), without_log.path().join(DATABASE)).unwrap();
        let found = match SqliteStore::open(without_log.path(), HOME).await {
            Ok(store) => pull_all(&store, store.home(), 0, 100).await.0.len(),
            Err(_) => 0,
        };
        assert!(found <= at, "{found}");
    }
}

#[tokio::test]
async fn a_folder_in_use_is_refused_until_it_is_let_go() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    let error = open_error(folder.path()).await;
    assert!(matches!(error, StoreError::InUse { .. }), "{error}");
    drop(store);
    assert!(SqliteStore::open(folder.path(), HOME).await.is_ok());
}

#[tokio::test]
async fn files_of_others_are_refused_and_left_as_they_are() {
    let text = "Dear diary, today we laid out lanes.\n".repeat(40);
    for (name, content) in [("text", text), ("a header and nothing else", "SQLite format 3\0".into())] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(DATABASE);
        fs::write(&path, &content).unwrap();
        let error = open_error(folder.path()).await;
        assert!(matches!(error, StoreError::NotOurs { .. }), "{name}: {error}");
        assert_eq!(fs::read(&path).unwrap(), content.as_bytes(), "{name}");
    }
    for sql in [
        "CREATE TABLE diary (day TEXT)",
        "PRAGMA application_id = 1; CREATE TABLE record (id TEXT)",
        "PRAGMA user_version = 1; CREATE TABLE record (id TEXT)",
    ] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(DATABASE);
        run_sql(&path, sql).await;
        let before = fs::read(&path).unwrap();
        let error = open_error(folder.path()).await;
        assert!(matches!(error, StoreError::NotOurs { .. }), "{sql}: {error}");
        assert_eq!(fs::read(&path).unwrap(), before, "{sql}");
    }
}

#[tokio::test]
async fn a_file_of_a_newer_program_is_refused_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    push(&store, &write(1, 0, json!({}))).await;
    store.close().await;
    drop(store);
    let path = folder.path().join(DATABASE);
    run_sql(&path, &format!("PRAGMA user_version = {}", FORMAT_VERSION + 1)).await;
    let before = fs::read(&path).unwrap();
    let error = open_error(folder.path()).await;
    assert!(matches!(&error, StoreError::Newer { found, .. } if *found == FORMAT_VERSION + 1), "{error}");
    assert!(error.to_string().contains("Use the newer program"));
    assert_eq!(fs::read(&path).unwrap(), before);
}

/// A rollback journal that says: before this, the file had so many pages, and nothing else.
fn journal(pages_before: u32) -> Vec<u8> {
    let mut bytes = vec![0; 512];
    bytes[..8].copy_from_slice(&[0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7]);
    for (at, number) in [(16, pages_before), (20, 512), (24, 4096)] {
        bytes[at..at + 4].copy_from_slice(&number.to_be_bytes());
    }
    bytes
}

/// The switch to a write-ahead log is the one change that goes through a rollback journal, and the program or the power
/// can die in it like anywhere else.
#[tokio::test]
async fn a_start_that_was_cut_off_is_taken_up_again() {
    let folder = tempfile::tempdir().unwrap();
    let (path, aside) = (folder.path().join(DATABASE), folder.path().join("lanewright.sqlite-journal"));
    // The very first one: half of a first page.
    fs::write(&path, [0x53; 4096]).unwrap();
    fs::write(&aside, journal(0)).unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    push(&store, &write(1, 0, json!({}))).await;
    store.close().await;
    drop(store);
    // That of a backup which has taken the place of the file.
    run_sql(&path, "PRAGMA journal_mode = DELETE").await;
    let pages = u32::try_from(fs::metadata(&path).unwrap().len() / 4096).unwrap();
    fs::write(&aside, journal(pages)).unwrap();
    let store = SqliteStore::open(folder.path(), suite::ELSEWHERE).await.unwrap();
    assert_eq!(pull_all(&store, store.home(), 0, 10).await.0.len(), 1);
    store.close().await;
    drop(store);
    // What belongs to others is left alone in this state too.
    let other = tempfile::tempdir().unwrap();
    let (path, aside) = (other.path().join(DATABASE), other.path().join("lanewright.sqlite-journal"));
    run_sql(&path, "CREATE TABLE diary (day TEXT)").await;
    fs::write(&aside, journal(2)).unwrap();
    let before = fs::read(&path).unwrap();
    let error = open_error(other.path()).await;
    assert!(matches!(error, StoreError::NotOurs { .. }), "{error}");
    assert_eq!((fs::read(&path).unwrap(), aside.exists()), (before, true));
}

#[tokio::test]
async fn an_empty_file_becomes_a_store() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(DATABASE), "").unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    push(&store, &write(1, 0, json!({}))).await;
}

/// Turns bytes of a sound file over, one place after another: it is refused, or damage is reported, or what
/// comes back is what was stored. Never anything else.
#[tokio::test]
async fn a_flipped_byte_is_never_served_as_data() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    let records: Vec<Record> =
        (1..=40).map(|number| write(number, 0, json!({"text": "larch".repeat(30)}))).collect();
    store.push(HOME, &records, NOW_MS).await.unwrap();
    store.close().await;
    drop(store);
    let sound = fs::read(folder.path().join(DATABASE)).unwrap();
    let step = sound.len() / 211;
    let (mut noticed, mut harmless) = (0, 0);
    for place in (0..sound.len()).step_by(step) {
        let mut bytes = sound.clone();
        bytes[place] ^= 0x15;
        let broken = tempfile::tempdir().unwrap();
        fs::write(broken.path().join(DATABASE), &bytes).unwrap();
        let Ok(store) = SqliteStore::open(broken.path(), HOME).await else {
            noticed += 1;
            continue;
        };
        match store.pull(HOME, 0, 100).await {
            Ok(answer) => {
                assert!(answer.records == records, "byte {place}: {} records", answer.records.len());
                harmless += 1;
            }
            Err(_) => noticed += 1,
        }
    }
    assert!(noticed > 50 && harmless > 10, "{noticed} noticed, {harmless} harmless");
}

/// Returns the names of the files of a folder in which these bytes stand.
fn files_with(folder: &Path, bytes: &[u8]) -> Vec<String> {
    let holds = |path: &Path| fs::read(path).unwrap().windows(bytes.len()).any(|window| window == bytes);
    let paths = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    paths
        .filter(|path| holds(path))
        .map(|path| path.file_name().unwrap().to_string_lossy().into_owned())
        .collect()
}

fn label(number: u128, offset_ms: i64, label: &str) -> Record {
    let body = json!({"class": write(1, 0, json!({})).id, "label": label});
    Record { kind: "runner-label".into(), ..write(number, offset_ms, body) }
}

#[tokio::test]
async fn no_byte_of_an_erased_name_is_left_in_any_file() {
    const NAME: &str = "Zebulonquist";
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    // Many children around it and many changes, so that pages split, fill and move.
    for round in 0..6 {
        let mut labels: Vec<Record> = (10..200)
            .map(|number| {
                label(number, round * 10, &format!("Child {number} {}", "x".repeat(round as usize * 9)))
            })
            .collect();
        labels[95] = label(105, round * 10, &format!("{NAME} {round}"));
        store.push(HOME, &labels, NOW_MS).await.unwrap();
    }
    assert!(
        !files_with(folder.path(), NAME.as_bytes()).is_empty(),
        "the control: it is found while it is there"
    );
    let erasure = Record { kind: "erasure".into(), ..write(105, 0, json!({"what": "runner"})) };
    push(&store, &erasure).await;
    assert_eq!(files_with(folder.path(), NAME.as_bytes()), Vec::<String>::new(), "while the program runs");
    let stale = label(105, 500, NAME);
    push(&store, &stale).await;
    assert_eq!(
        files_with(folder.path(), NAME.as_bytes()),
        Vec::<String>::new(),
        "after a device sent it once more"
    );
    assert_eq!(pull_all(&store, HOME, 0, 500).await.0.len(), 190, "189 others and the erasure");
    store.close().await;
    assert_eq!(files_with(folder.path(), NAME.as_bytes()), Vec::<String>::new(), "after its end");
}

/// What a program leaves that is killed after the commit and before the bytes are overwritten.
#[tokio::test]
async fn bytes_that_a_killed_program_left_behind_are_gone_after_the_next_start() {
    const NAME: &str = "Zebulonquist";
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    push(&store, &label(105, 0, NAME)).await;
    let path = folder.path().join(DATABASE);
    run_sql(&path, "PRAGMA secure_delete = ON; DELETE FROM record").await;
    let left = tempfile::tempdir().unwrap();
    for name in [DATABASE, "lanewright.sqlite-wal"] {
        fs::copy(folder.path().join(name), left.path().join(name)).unwrap();
    }
    assert!(!files_with(left.path(), NAME.as_bytes()).is_empty(), "the control: the log has it");
    let _next = SqliteStore::open(left.path(), HOME).await.unwrap();
    assert_eq!(files_with(left.path(), NAME.as_bytes()), Vec::<String>::new());
}

#[tokio::test]
async fn an_erasure_holds_after_the_program_was_started_again() {
    let folder = tempfile::tempdir().unwrap();
    let erasure = Record { kind: "erasure".into(), ..write(105, 0, json!({"what": "runner"})) };
    for round in 0..3 {
        let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
        if round == 0 {
            push(&store, &erasure).await;
        }
        push(&store, &label(105, round, "Ada")).await;
        assert_eq!(pull_all(&store, HOME, 0, 10).await.0, std::slice::from_ref(&erasure), "round {round}");
        store.close().await;
    }
}

#[cfg(unix)]
#[tokio::test]
async fn folder_and_files_are_for_their_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let outer = tempfile::tempdir().unwrap();
    let new = outer.path().join("a/new/folder");
    let empty = outer.path().join("empty");
    let shared = outer.path().join("shared");
    for path in [&empty, &shared] {
        fs::create_dir(path).unwrap();
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
    }
    fs::write(shared.join("holiday.txt"), "not ours").unwrap();
    for (folder, expected) in [(&new, 0o700), (&empty, 0o700), (&shared, 0o755)] {
        let store = SqliteStore::open(folder, HOME).await.unwrap();
        push(&store, &write(1, 0, json!({}))).await;
        assert_eq!(mode(folder), expected, "{}", folder.display());
        let ours: Vec<_> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.file_name().unwrap().to_string_lossy().starts_with("lanewright."))
            .collect();
        assert!(ours.len() >= 4, "database, log, index and lock: {ours:?}");
        for path in ours {
            assert_eq!(mode(&path), 0o600, "{}", path.display());
        }
    }
}

/// The steps of the formats that were released.
const STEPS: [&str; 3] = [
    include_str!("../steps/sqlite/0001_start.sql"),
    include_str!("../steps/sqlite/0002_way_in.sql"),
    include_str!("../steps/sqlite/0003_password.sql"),
];

/// A file of an earlier format, as the version that wrote it left it.
async fn file_of_format(format: usize, folder: &Path, records: &[Record]) {
    let path = folder.join(DATABASE);
    for step in &STEPS[..format] {
        run_sql(&path, step).await;
    }
    let mut sql = format!(
        "INSERT INTO school VALUES ('{home}', {seq}); INSERT INTO home VALUES (1, '{home}');
         INSERT INTO link (token_sha256, school, role, expires_ms) VALUES ('{link}', '{home}', 'coach', {until});
         INSERT INTO session (token_sha256, school, role, opened_ms, expires_ms)
             VALUES ('{session}', '{home}', 'coach', {NOW_MS}, {until});",
        home = HOME.0,
        seq = records.len(),
        link = "ab".repeat(32),
        session = hex(&TokenHash::of("old")),
        until = NOW_MS + 1000,
    );
    for (seq, record) in (1..).zip(records) {
        sql.push_str(&format!(
            "INSERT INTO record VALUES ('{}', '{}', '{}', 1, '{}', '{}', '{}', {seq});",
            HOME.0,
            record.kind,
            record.id,
            lanewright_sync::canonical_json(&record.body),
            record.stamp,
            record.digest(),
        ));
    }
    run_sql(&path, &sql).await;
}

fn hex(token: &TokenHash) -> String {
    token.0.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[tokio::test]
async fn a_file_of_every_earlier_format_is_copied_then_moved_on_with_everything_in_it() {
    assert_eq!(STEPS.len() as i64, FORMAT_VERSION, "add the new step here");
    for format in 1..STEPS.len() {
        let folder = tempfile::tempdir().unwrap();
        let records = records(12);
        file_of_format(format, folder.path(), &records).await;
        let store = SqliteStore::open(folder.path(), suite::ELSEWHERE).await.unwrap();
        assert_eq!(store.home(), HOME);
        assert_eq!(pull_all(&store, HOME, 0, 100).await, (records.clone(), 12));
        let session = store.session(TokenHash::of("old"), NOW_MS).await.unwrap().expect("still open");
        assert_eq!(
            (session.role, session.lanes, session.label, session.number),
            (Role::Coach, None, None, 1)
        );
        assert_eq!(store.links(HOME, NOW_MS).await.unwrap().len(), 1);
        assert_eq!(store.standing(HOME, None).await.unwrap().at.seq, 12);
        assert_eq!(store.password(HOME).await.unwrap(), None);
        let password = Password { hash: "hash".into(), set_ms: NOW_MS };
        assert!(store.set_password(HOME, None, Some(password.clone())).await.unwrap());
        store.close().await;
        drop(store);

        // The copy is a whole file of that format: put in the place of the other, it opens again.
        let copy = folder.path().join(format!("lanewright.sqlite.format-{format}"));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            assert_eq!(fs::metadata(&copy).unwrap().permissions().mode() & 0o777, 0o600);
        }
        let elsewhere = tempfile::tempdir().unwrap();
        fs::copy(&copy, elsewhere.path().join(DATABASE)).unwrap();
        let before = fs::read(&copy).unwrap();
        let again = SqliteStore::open(elsewhere.path(), HOME).await.unwrap();
        assert_eq!(pull_all(&again, HOME, 0, 100).await.0, records);
        // Opening the newer file again makes no other copy.
        let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
        assert_eq!(store.password(HOME).await.unwrap(), Some(password));
        store.close().await;
        assert_eq!(fs::read(&copy).unwrap(), before);
        assert!(!folder.path().join(format!("lanewright.sqlite.format-{FORMAT_VERSION}")).exists());
    }
}

#[tokio::test]
async fn no_byte_of_a_password_that_was_changed_or_taken_away_is_left_in_any_file() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    let hash = |name: &str| format!("$argon2id$v=19${name}");
    let mut before: Option<String> = None;
    for (name, next) in [("zebulonquist", Some("yttrium")), ("yttrium", None)] {
        let set = Password { hash: hash(name), set_ms: NOW_MS };
        let is_set = before == Some(hash(name)) || store.set_password(HOME, None, Some(set)).await.unwrap();
        assert!(is_set);
        assert!(!files_with(folder.path(), name.as_bytes()).is_empty(), "the control: {name} is there");
        let after = next.map(|next| Password { hash: hash(next), set_ms: NOW_MS });
        assert!(store.set_password(HOME, Some(&hash(name)), after).await.unwrap());
        before = next.map(hash);
        assert_eq!(files_with(folder.path(), name.as_bytes()), Vec::<String>::new(), "{name}");
    }
}

#[tokio::test]
async fn a_file_that_was_put_back_knows_what_it_has_lost_and_one_that_was_only_restarted_has_lost_nothing() {
    let (folder, copy) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let records = records(6);
    let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
    store.push(HOME, &records[..2], NOW_MS).await.unwrap();
    let kept = store.standing(HOME, None).await.unwrap().at;
    store.close().await;
    drop(store);
    fs::copy(folder.path().join(DATABASE), copy.path().join(DATABASE)).unwrap();

    let mut places = vec![kept];
    for part in records[2..].chunks(2) {
        let store = SqliteStore::open(folder.path(), HOME).await.unwrap();
        for told in &places {
            assert!(store.standing(HOME, Some(*told)).await.unwrap().known, "only restarted");
        }
        places.push(store.push(HOME, part, NOW_MS).await.unwrap().at.unwrap());
        store.close().await;
    }
    // Put back: what was told before the copy still stands, what came later does not.
    let store = SqliteStore::open(copy.path(), HOME).await.unwrap();
    let known = async |told| store.standing(HOME, Some(told)).await.unwrap().known;
    assert!(known(places[0]).await);
    assert!(!known(places[1]).await && !known(places[2]).await);
    // It gives the same numbers out again, to other records: the name tells them apart.
    let other = write(99, 0, json!({}));
    for _ in 0..4 {
        push(&store, &other).await;
    }
    let at = store.push(HOME, &records[4..], NOW_MS).await.unwrap().at.unwrap();
    assert!(at.seq > places[1].seq && known(at).await && !known(places[1]).await);
}
