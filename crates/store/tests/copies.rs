//! Copies of a data file: what they hold, when they are refused, and that putting one back loses no erasure.

use std::fs;
use std::path::Path;

use lanewright_store::file::{backup, check, contents, database_in, erase_in_copy, restore};
use lanewright_store::{
    FORMAT_VERSION, Link, Password, Role, SqliteStore, Store, StoreError, TokenHash, suite,
};
use lanewright_sync::Record;
use serde_json::json;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection};
use suite::{ELSEWHERE, HOME, NOW_MS, pull_all, write};

fn label(number: u128, name: &str) -> Record {
    let body = json!({"class": write(1, 0, json!({})).id, "label": name});
    Record { kind: "runner-label".into(), ..write(number, 0, body) }
}

fn erasure(number: u128) -> Record {
    Record { kind: "erasure".into(), ..write(number, 0, json!({"what": "runner"})) }
}

async fn run_sql(path: &Path, sql: &str) {
    let mut connection = SqliteConnectOptions::new().filename(path).connect().await.unwrap();
    sqlx::raw_sql(AssertSqlSafe(sql)).execute(&mut connection).await.unwrap();
    connection.close().await.unwrap();
}

fn holds(path: &Path, text: &str) -> bool {
    fs::read(path).unwrap().windows(text.len()).any(|window| window == text.as_bytes())
}

/// A folder with two children, and a backup of it that was made while a program worked with it.
async fn with_backup() -> (tempfile::TempDir, SqliteStore, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(&folder.path().join("data"), HOME).await.unwrap();
    let password = Password { hash: "$argon2id$yttrium".into(), set_ms: NOW_MS };
    assert!(store.set_password(HOME, None, Some(password)).await.unwrap());
    store.push(HOME, &[label(7, "Zebulonquist"), label(8, "Bo")], NOW_MS).await.unwrap();
    let to = folder.path().join("monday.sqlite");
    let health = backup(&database_in(&folder.path().join("data")), &to).await.unwrap();
    assert!(health.is_sound());
    assert_eq!(health.kinds.values().sum::<usize>(), 2);
    (folder, store, to)
}

#[tokio::test]
async fn a_backup_of_a_program_at_work_holds_every_acked_record_in_one_file() {
    let (_folder, store, to) = with_backup().await;
    let copy = contents(&to).await.unwrap();
    assert_eq!((copy.school, copy.format), (HOME, FORMAT_VERSION));
    assert_eq!(copy.records, pull_all(&store, HOME, 0, 10).await.0);
    assert!(!to.with_extension("sqlite-wal").exists() && !to.with_extension("sqlite.unfinished").exists());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(fs::metadata(&to).unwrap().permissions().mode() & 0o777, 0o600);
    }
}

#[tokio::test]
async fn a_backup_is_put_back_and_what_was_erased_since_stays_erased() {
    let (folder, store, to) = with_backup().await;
    let data = folder.path().join("data");
    assert!(matches!(restore(&data, &to).await, Err(StoreError::InUse { .. })), "a program works with it");
    let link = |token: &str| Link {
        token: TokenHash::of(token),
        school: HOME,
        role: Role::Coach,
        lanes: None,
        label: None,
        expires_ms: u64::MAX >> 1,
    };
    store.add_link(link("link")).await.unwrap();
    store.push(HOME, &[erasure(7), label(9, "Cy")], NOW_MS).await.unwrap();
    store.close().await;
    drop(store);
    let kept = restore(&data, &to).await.unwrap().expect("the file that was there");
    assert_eq!(contents(&kept).await.unwrap().records.len(), 3);
    assert!(!holds(&database_in(&data), "Zebulonquist"));
    let store = SqliteStore::open(&data, ELSEWHERE).await.unwrap();
    assert_eq!(store.home(), HOME);
    let records = pull_all(&store, HOME, 0, 10).await.0;
    assert_eq!(records, [label(8, "Bo"), erasure(7)]);
    let opened =
        store.open_link(TokenHash::of("link"), TokenHash::of("s"), NOW_MS, NOW_MS + 1).await.unwrap();
    assert_eq!(opened, None, "links are not put back");
    assert!(holds(&to, "yttrium"), "a backup is a copy of the whole file");
    assert_eq!(store.password(HOME).await.unwrap(), None, "a password is not put back");
    assert!(!holds(&database_in(&data), "yttrium"));
    // The next erasure takes the copies beside the file along, also one that was made before a step to a new format.
    let earlier = data.join("lanewright.sqlite.format-1");
    fs::write(&earlier, "Zebulonquist").unwrap();
    store.push(HOME, &[erasure(8)], NOW_MS).await.unwrap();
    assert!(!kept.exists() && !earlier.exists());
}

#[tokio::test]
async fn a_backup_goes_into_an_empty_folder() {
    let (folder, store, to) = with_backup().await;
    store.close().await;
    let fresh = folder.path().join("fresh");
    assert_eq!(restore(&fresh, &to).await.unwrap(), None);
    assert_eq!(contents(&database_in(&fresh)).await.unwrap().records.len(), 2);
}

#[tokio::test]
async fn a_backup_of_an_earlier_format_is_put_back_too() {
    let (folder, store, _) = with_backup().await;
    store.close().await;
    drop(store);
    let old = folder.path().join("old.sqlite");
    for step in
        [include_str!("../steps/sqlite/0001_start.sql"), include_str!("../steps/sqlite/0002_way_in.sql")]
    {
        let options = SqliteConnectOptions::new().filename(&old).create_if_missing(true);
        let mut connection = options.connect().await.unwrap();
        sqlx::raw_sql(step).execute(&mut connection).await.unwrap();
        connection.close().await.unwrap();
    }
    let home = HOME.0;
    run_sql(&old, &format!("INSERT INTO school VALUES ('{home}', 0); INSERT INTO home VALUES (1, '{home}')"))
        .await;
    let data = folder.path().join("data");
    restore(&data, &old).await.unwrap().expect("the file that was there");
    let store = SqliteStore::open(&data, ELSEWHERE).await.unwrap();
    assert_eq!((store.home(), store.password(HOME).await.unwrap()), (HOME, None));
}

#[tokio::test]
async fn a_wrong_backup_is_refused_and_nothing_changes() {
    let (folder, store, to) = with_backup().await;
    store.close().await;
    drop(store);
    let data = folder.path().join("data");
    let before = fs::read(database_in(&data)).unwrap();
    let mut cases: Vec<(&str, StoreError)> = Vec::new();
    let other = folder.path().join("other");
    SqliteStore::open(&other, ELSEWHERE).await.unwrap().close().await;
    cases.push(("another school", restore(&data, &database_in(&other)).await.unwrap_err()));
    let newer = folder.path().join("newer.sqlite");
    fs::copy(&to, &newer).unwrap();
    run_sql(&newer, &format!("PRAGMA user_version = {}", FORMAT_VERSION + 1)).await;
    cases.push(("later", restore(&data, &newer).await.unwrap_err()));
    let changed = folder.path().join("changed.sqlite");
    fs::copy(&to, &changed).unwrap();
    run_sql(&changed, "UPDATE record SET body = replace(body, 'Bo', 'Bu')").await;
    cases.push(("changed", restore(&data, &changed).await.unwrap_err()));
    let text = folder.path().join("text.sqlite");
    fs::write(&text, "Dear diary".repeat(200)).unwrap();
    cases.push(("text", restore(&data, &text).await.unwrap_err()));
    cases.push(("nothing", restore(&data, &folder.path().join("nowhere.sqlite")).await.unwrap_err()));
    let said: Vec<String> = cases.iter().map(|(name, error)| format!("{name}: {error}")).collect();
    for (said, word) in
        said.iter().zip(["another school", "newer program", "damaged", "not a Lanewright", "opened"])
    {
        assert!(said.contains(word), "{said}");
    }
    assert_eq!(fs::read(database_in(&data)).unwrap(), before);
    let names = fs::read_dir(&data).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let left: Vec<String> = names.filter(|name| name.starts_with("lanewright.sqlite.")).collect();
    assert!(left.is_empty(), "{left:?}");
}

#[tokio::test]
async fn a_file_of_a_later_program_is_read_and_left_as_it_is() {
    let (folder, store, to) = with_backup().await;
    store.close().await;
    run_sql(&to, &format!("PRAGMA user_version = {}", FORMAT_VERSION + 1)).await;
    let before = fs::read(&to).unwrap();
    let found = contents(&to).await.unwrap();
    assert_eq!((found.format, found.records.len()), (FORMAT_VERSION + 1, 2));
    assert!(check(&to, true).await.unwrap().settings.is_empty());
    assert_eq!(fs::read(&to).unwrap(), before);
    drop(folder);
}

#[tokio::test]
async fn a_check_names_what_is_wrong_and_reads_the_settings_back() {
    let (folder, store, to) = with_backup().await;
    let path = database_in(&folder.path().join("data"));
    let sound = check(&path, true).await.unwrap();
    assert!(
        sound.is_sound()
            && sound.settings.iter().any(|(name, value)| (*name, value.as_str()) == ("synchronous", "2"))
    );
    run_sql(&to, "UPDATE record SET body = replace(body, 'Bo', 'Bu')").await;
    let changed = check(&to, false).await.unwrap();
    assert_eq!(changed.damaged.len(), 1, "{changed:?}");
    assert!(changed.damaged[0].starts_with("record runner-label") && !changed.is_sound());
    // A page of the table overwritten.
    let mut bytes = fs::read(&to).unwrap();
    let at = bytes.windows(4).position(|window| window == b"Zebu").unwrap();
    bytes[at / 4096 * 4096..at].fill(0x55);
    fs::write(&to, bytes).unwrap();
    assert!(!check(&to, false).await.is_ok_and(|health| health.is_sound()));
    store.close().await;
}

#[tokio::test]
async fn a_backup_can_be_made_to_forget() {
    let (_folder, store, to) = with_backup().await;
    assert!(holds(&to, "Zebulonquist"));
    erase_in_copy(&to, &[erasure(7)], HOME, NOW_MS).await.unwrap();
    assert!(!holds(&to, "Zebulonquist"));
    assert_eq!(contents(&to).await.unwrap().records, [erasure(7), label(8, "Bo")]);
    assert!(!to.with_extension("sqlite.erasing").exists());
    let error = erase_in_copy(&to, &[erasure(8)], ELSEWHERE, NOW_MS).await.unwrap_err();
    assert!(matches!(error, StoreError::OtherSchool { .. }), "{error}");
    store.close().await;
}
