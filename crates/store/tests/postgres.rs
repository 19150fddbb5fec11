//! The store on PostgreSQL: the suite, alone and as two processes would share a database; what keeps schools apart;
//! what is refused; what survives; what is gone. Each test has a database of its own on a server that is started for
//! them.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::pin::pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use async_trait::async_trait;
use lanewright_store::cluster::{Cluster, ROLE};
use lanewright_store::postgres::{Database, FORMAT_VERSION, check, contents};
use lanewright_store::{Link, Password, PostgresStore, Role, Session, Store, StoreError, TokenHash, suite};
use lanewright_sync::{Place, PullAnswer, PushAnswer, Record, RecordKey, SchoolId, Standing};
use serde_json::json;
use sqlx::postgres::{PgConnectOptions, PgConnection};
use sqlx::{AssertSqlSafe, ConnectOptions, Executor};
use suite::{ELSEWHERE, HOME, NOW_MS, pull_all, write};
use uuid::Uuid;

async fn open(database: &Database) -> PostgresStore {
    PostgresStore::open(database, HOME, None).await.expect("opened")
}

/// A store in a database of its own, and the database's name.
async fn fresh() -> (PostgresStore, String) {
    let cluster = Cluster::shared();
    let name = cluster.empty();
    (open(&cluster.reach(&name)).await, name)
}

async fn alone() -> (Arc<dyn Store>, ()) {
    (Arc::new(fresh().await.0), ())
}

mod postgres_store {
    lanewright_store::store_suite!(super::alone);
}

/// Two stores on one database, asked in turn: what one was told, the other has to know.
struct Pair([PostgresStore; 2], AtomicUsize);

impl Pair {
    fn next(&self) -> &PostgresStore {
        &self.0[self.1.fetch_add(1, Ordering::SeqCst) % 2]
    }
}

#[async_trait]
impl Store for Pair {
    fn home(&self) -> SchoolId {
        self.next().home()
    }
    async fn add_school(&self, school: SchoolId) -> Result<(), StoreError> {
        self.next().add_school(school).await
    }
    async fn push(&self, school: SchoolId, records: &[Record], now: u64) -> Result<PushAnswer, StoreError> {
        self.next().push(school, records, now).await
    }
    async fn pull(&self, school: SchoolId, after: u64, limit: usize) -> Result<PullAnswer, StoreError> {
        self.next().pull(school, after, limit).await
    }
    async fn standing(&self, school: SchoolId, told: Option<Place>) -> Result<Standing, StoreError> {
        self.next().standing(school, told).await
    }
    async fn get(&self, school: SchoolId, key: &RecordKey) -> Result<Option<Record>, StoreError> {
        self.next().get(school, key).await
    }
    async fn add_link(&self, link: Link) -> Result<(), StoreError> {
        self.next().add_link(link).await
    }
    async fn void_links(&self, school: SchoolId) -> Result<(), StoreError> {
        self.next().void_links(school).await
    }
    async fn links(&self, school: SchoolId, now: u64) -> Result<Vec<Link>, StoreError> {
        self.next().links(school, now).await
    }
    async fn open_link(
        &self,
        link: TokenHash,
        session: TokenHash,
        now: u64,
        until: u64,
    ) -> Result<Option<Session>, StoreError> {
        self.next().open_link(link, session, now, until).await
    }
    async fn password(&self, school: SchoolId) -> Result<Option<Password>, StoreError> {
        self.next().password(school).await
    }
    async fn set_password(
        &self,
        school: SchoolId,
        before: Option<&str>,
        after: Option<Password>,
    ) -> Result<bool, StoreError> {
        self.next().set_password(school, before, after).await
    }
    async fn open_with_password(
        &self,
        school: SchoolId,
        hash: &str,
        session: TokenHash,
        now: u64,
        until: u64,
    ) -> Result<Option<Session>, StoreError> {
        self.next().open_with_password(school, hash, session, now, until).await
    }
    async fn session(&self, token: TokenHash, now: u64) -> Result<Option<Session>, StoreError> {
        self.next().session(token, now).await
    }
    async fn sessions(&self, school: SchoolId, now: u64) -> Result<Vec<Session>, StoreError> {
        self.next().sessions(school, now).await
    }
    async fn note_seen(&self, token: TokenHash, day: u32) -> Result<(), StoreError> {
        self.next().note_seen(token, day).await
    }
    async fn end_session(&self, token: TokenHash) -> Result<(), StoreError> {
        self.next().end_session(token).await
    }
    async fn close(&self) {
        for store in &self.0 {
            store.close().await;
        }
    }
}

async fn both() -> (Arc<dyn Store>, ()) {
    let cluster = Cluster::shared();
    let database = cluster.reach(&cluster.empty());
    (Arc::new(Pair([open(&database).await, open(&database).await], AtomicUsize::new(0))), ())
}

mod two_processes {
    lanewright_store::store_suite!(super::both);
}

/// A connection as the program's role, without the store's manners.
async fn raw(name: &str) -> PgConnection {
    raw_at(Cluster::shared(), name, ROLE).await
}

/// A connection to a server as a role.
async fn raw_at(cluster: &Cluster, name: &str, role: &str) -> PgConnection {
    let address = cluster.address(name, role);
    let options: PgConnectOptions = address.parse().expect("an address");
    options.connect().await.expect("connected")
}

async fn run(connection: &mut PgConnection, sql: &str) -> Result<u64, sqlx::Error> {
    Ok(connection.execute(AssertSqlSafe(sql)).await?.rows_affected())
}

async fn count(connection: &mut PgConnection, sql: &str) -> i64 {
    sqlx::query_scalar(AssertSqlSafe(sql)).fetch_one(connection).await.expect("counted")
}

fn records(numbers: std::ops::Range<u128>) -> Vec<Record> {
    numbers.map(|number| write(number, 0, json!({"number": number as u64}))).collect()
}

async fn refused(database: &Database) -> StoreError {
    match PostgresStore::open(database, HOME, None).await {
        Ok(_) => panic!("it should have been refused"),
        Err(error) => error,
    }
}

fn link(token: &str, school: SchoolId) -> Link {
    let label = Some("Kim's phone".to_owned());
    Link {
        token: TokenHash::of(token),
        school,
        role: Role::Helper,
        lanes: None,
        label,
        expires_ms: NOW_MS + 1000,
    }
}

// Several processes

/// Twelve phones push to two schools through two stores, eight read and only move forward. Each reader has in the end
/// what was acked, each record once, and has never been given a number twice.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn whatever_process_is_asked_nothing_is_lost_doubled_or_passed_over() {
    const PHONES: u128 = 12;
    const PUSHES: u128 = 20;
    let cluster = Cluster::shared();
    let database = cluster.reach(&cluster.empty());
    let stores = [Arc::new(open(&database).await), Arc::new(open(&database).await)];
    stores[0].add_school(ELSEWHERE).await.expect("added");
    let schools = [HOME, ELSEWHERE];
    let phones: Vec<_> = (0..PHONES)
        .map(|phone| {
            let (store, school) = (stores[phone as usize % 2].clone(), schools[phone as usize / 2 % 2]);
            tokio::spawn(async move {
                for push in 0..PUSHES {
                    let first = (phone * PUSHES + push) * 3 + 1;
                    // The third is one that all phones of the school write.
                    let mut records = records(first..first + 2);
                    records.push(write(1 << 40, first as i64, json!({"by": phone as u64})));
                    records.iter_mut().for_each(|record| record.school = school);
                    let answer = store.push(school, &records, NOW_MS).await.expect("pushed");
                    assert_eq!(answer.acked.len(), 3);
                }
            })
        })
        .collect();
    let phones = Arc::new(phones);
    let readers: Vec<_> = (0..8)
        .map(|reader| {
            let (stores, school, phones) = (stores.clone(), schools[reader % 2], phones.clone());
            tokio::spawn(async move {
                let (mut seen, mut cursor) = (Vec::new(), 0);
                for turn in reader.. {
                    let all_written = phones.iter().all(tokio::task::JoinHandle::is_finished);
                    // A phone is answered by one process, then by the other.
                    let (records, after) = pull_all(&*stores[turn % 2], school, cursor, 11).await;
                    assert!(after >= cursor);
                    seen.extend(records.into_iter().map(|record| record.id));
                    cursor = after;
                    if all_written {
                        break;
                    }
                    tokio::task::yield_now().await;
                }
                (school, seen)
            })
        })
        .collect();
    for reader in readers {
        let (school, mut seen) = reader.await.expect("it read");
        let shared = Uuid::from_u128(1 << 40);
        let expected: BTreeSet<Uuid> = (0..PHONES)
            .filter(|phone| schools[*phone as usize / 2 % 2] == school)
            .flat_map(|phone| (0..PUSHES).map(move |push| (phone * PUSHES + push) * 3 + 1))
            .flat_map(|first| [Uuid::from_u128(first), Uuid::from_u128(first + 1)])
            .collect();
        assert!(seen.contains(&shared));
        seen.retain(|id| *id != shared);
        assert_eq!(seen.len(), expected.len(), "each once");
        assert_eq!(seen.into_iter().collect::<BTreeSet<_>>(), expected);
    }
    for phone in Arc::into_inner(phones).expect("all readers are done") {
        phone.await.expect("every push was acked");
    }
}

/// The control: two writers that take their numbers without holding the school's row, and a reader that only moves
/// forward. The number that was given first is committed last, and the reader has passed it.
#[tokio::test]
async fn numbers_that_are_taken_without_the_lock_are_missed_and_with_it_they_wait() {
    let (store, name) = fresh().await;
    let (one, two) = (write(1, 0, json!({})), write(2, 0, json!({})));
    let insert = |record: &Record, seq: i64| {
        format!(
            "INSERT INTO lanewright.record VALUES ('{}', 'telescope', '{}', 1, '{{}}', '{}', '{}', {seq});
             UPDATE lanewright.school SET seq = greatest(seq, {seq})",
            HOME.0,
            record.id,
            record.stamp,
            record.digest(),
        )
    };
    let begin = format!("BEGIN; SET LOCAL lanewright.school = '{}'", HOME.0);
    let (mut first, mut second) = (raw(&name).await, raw(&name).await);
    // Both draw a number; nothing is locked until something is written, and the second is quicker.
    for connection in [&mut first, &mut second] {
        run(connection, &begin).await.expect("begun");
    }
    let drawn = (1, 2);
    run(&mut second, &insert(&two, drawn.1)).await.expect("written");
    run(&mut second, "COMMIT").await.expect("committed");
    let (seen, cursor) = pull_all(&store, HOME, 0, 10).await;
    assert_eq!((seen.as_slice(), cursor), (std::slice::from_ref(&two), 2));
    run(&mut first, &insert(&one, drawn.0)).await.expect("written");
    run(&mut first, "COMMIT").await.expect("committed");
    assert_eq!(pull_all(&store, HOME, cursor, 10).await.0, [], "it is there, and this reader never sees it");
    assert_eq!(pull_all(&store, HOME, 0, 10).await.0.len(), 2);

    // The same two at the same moments, through the store: the second waits for the first.
    let (store, name) = fresh().await;
    let store = Arc::new(store);
    let mut first = raw(&name).await;
    run(&mut first, &begin).await.expect("begun");
    run(&mut first, "SELECT seq FROM lanewright.school FOR NO KEY UPDATE").await.expect("locked");
    let pushing = tokio::spawn({
        let (store, two) = (store.clone(), two.clone());
        async move { store.push(HOME, &[two], NOW_MS).await }
    });
    let waits = format!(
        "SELECT count(*) FROM pg_stat_activity WHERE datname = '{name}' AND wait_event_type = 'Lock'"
    );
    while Cluster::shared().sql("postgres", &waits) != "1" {
        tokio::task::yield_now().await;
    }
    assert_eq!(pull_all(&*store, HOME, 0, 10).await, (vec![], 0));
    run(&mut first, &insert(&one, 1)).await.expect("written");
    run(&mut first, "COMMIT").await.expect("committed");
    pushing.await.expect("joined").expect("pushed");
    assert_eq!(pull_all(&*store, HOME, 0, 10).await, (vec![one, two], 2));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_eight_processes_that_start_on_an_empty_database_one_sets_it_up_and_all_work_for_one_school() {
    let cluster = Cluster::shared();
    let database = cluster.reach(&cluster.empty());
    let starts: Vec<_> = (1..=8)
        .map(|number| {
            let database = database.clone();
            let own = SchoolId(Uuid::from_u128(number));
            tokio::spawn(async move { PostgresStore::open(&database, own, None).await.expect("opened") })
        })
        .collect();
    let mut homes = BTreeSet::new();
    for start in starts {
        homes.insert(start.await.expect("joined").home());
    }
    assert_eq!(homes.len(), 1);
    let other = PostgresStore::open(&database, HOME, Some(ELSEWHERE)).await.expect("opened");
    assert_eq!(other.home(), ELSEWHERE);
    assert_eq!(other.schools().await.expect("listed").len(), 2);
}

#[tokio::test]
async fn an_empty_database_is_made_for_the_school_that_was_named() {
    let cluster = Cluster::shared();
    let database = cluster.reach(&cluster.empty());
    let store = PostgresStore::open(&database, HOME, Some(ELSEWHERE)).await.expect("opened");
    assert_eq!(store.schools().await.expect("listed"), [ELSEWHERE]);
    assert_eq!(open(&database).await.home(), ELSEWHERE);
}

/// Eight writers wait for a school's row with every connection of the pool, and 24 readers get none.
#[tokio::test]
async fn of_all_that_get_no_connection_in_time_one_asks_why() {
    let cluster = Cluster::start(&["log_connections=on"]);
    let name = cluster.empty();
    let store = Arc::new(open(&cluster.reach(&name)).await);
    let mut holder = raw_at(&cluster, &name, ROLE).await;
    let hold = format!("BEGIN; SET LOCAL lanewright.school = '{}'", HOME.0);
    run(&mut holder, &hold).await.expect("begun");
    run(&mut holder, "SELECT seq FROM lanewright.school FOR UPDATE").await.expect("locked");
    let writers: Vec<_> = (0..8)
        .map(|_| {
            let store = store.clone();
            tokio::spawn(async move { store.set_password(HOME, Some("another"), None).await })
        })
        .collect();
    let waits = format!(
        "SELECT count(*) FROM pg_stat_activity WHERE datname = '{name}' AND wait_event_type = 'Lock'"
    );
    while cluster.sql("postgres", &waits) != "8" {
        tokio::task::yield_now().await;
    }
    let made = || {
        let log = fs::read_to_string(cluster.folder().join("log")).expect("a log");
        let of = format!("authorized: user={ROLE} database={name}");
        log.lines().filter(|line| line.contains(&of)).count()
    };
    let before = made();
    assert!(before >= 10, "the control: {before}");
    let readers: Vec<_> = (0..24)
        .map(|_| {
            let store = store.clone();
            tokio::spawn(async move { store.pull(HOME, 0, 10).await })
        })
        .collect();
    for reader in readers {
        let error = reader.await.expect("joined").expect_err("no connection");
        assert!(matches!(error, StoreError::Database(_)), "{error}");
    }
    let asked = made() - before;
    // Another may come by just after the first has its answer.
    assert!((1..=4).contains(&asked), "{asked}");
    run(&mut holder, "ROLLBACK").await.expect("done");
    for writer in writers {
        assert!(!writer.await.expect("joined").expect("asked"));
    }
}

// Schools apart

/// Every table with rows of schools, as the database lists them, the parts of the records among them.
async fn tables(connection: &mut PgConnection) -> Vec<String> {
    sqlx::query_scalar(
        "SELECT attrelid::regclass::text FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
         WHERE relnamespace = 'lanewright'::regnamespace AND relkind IN ('r', 'p') AND attname = 'school'",
    )
    .fetch_all(connection)
    .await
    .expect("listed")
}

#[tokio::test]
async fn who_does_not_say_which_school_or_says_another_sees_and_writes_no_row_of_it() {
    let (store, name) = fresh().await;
    store.push(HOME, &records(1..40), NOW_MS).await.expect("pushed");
    store.add_link(link("waits", HOME)).await.expect("added");
    store.add_link(link("used", HOME)).await.expect("added");
    let (used, session) = (TokenHash::of("used"), TokenHash::of("session"));
    store.open_link(used, session, NOW_MS, NOW_MS + 1000).await.expect("asked").expect("opened");
    let password = Password { hash: "hash".into(), set_ms: NOW_MS };
    assert!(store.set_password(HOME, None, Some(password)).await.expect("set"));
    store.add_school(ELSEWHERE).await.expect("added");
    let mut connection = raw(&name).await;
    let tables = tables(&mut connection).await;
    assert!(tables.len() >= 22, "{tables:?}");
    let own = Cluster::shared().sql(&name, "SELECT count(*) FROM lanewright.record");
    assert_eq!(own, "39", "the control: who may pass over the rules sees them");
    let mut of_home = 0;
    for (said, school) in [(false, None), (true, Some(ELSEWHERE)), (true, Some(HOME))] {
        for table in &tables {
            run(&mut connection, "BEGIN").await.expect("begun");
            if let Some(school) = school {
                run(&mut connection, &format!("SET LOCAL lanewright.school = '{}'", school.0))
                    .await
                    .expect("set");
            }
            let of = |school: SchoolId| format!("SELECT count(*) FROM {table} WHERE school = '{}'", school.0);
            let seen = count(&mut connection, &of(HOME)).await;
            let all = count(&mut connection, &format!("SELECT count(*) FROM {table}")).await;
            if school == Some(HOME) {
                of_home += seen;
                assert_eq!(seen, all, "{table}");
            } else {
                assert_eq!(seen, 0, "{table}");
                assert!(said || all == 0, "{table}");
                let touched = run(&mut connection, &format!("UPDATE {table} SET school = school")).await;
                let deleted =
                    run(&mut connection, &format!("DELETE FROM {table} WHERE school = '{}'", HOME.0)).await;
                // The other school's own row may be touched; nothing of this one.
                assert!(touched.expect("passed over") <= u64::from(said), "{table}");
                assert_eq!(deleted.expect("passed over"), 0, "{table}");
            }
            run(&mut connection, "ROLLBACK").await.expect("ended");
        }
    }
    // 39 records, seen in the table and in its part; the school, its opening, a link, a session and a password.
    assert_eq!(of_home, 2 * 39 + 5);

    // What is written must be of the school that was said.
    for school in ["", "00000000-0000-0000-0000-000000000020"] {
        run(&mut connection, &format!("BEGIN; SET LOCAL lanewright.school = '{school}'"))
            .await
            .expect("begun");
        let insert = format!(
            "INSERT INTO lanewright.link (token_sha256, school, role, expires_ms) VALUES ('{}', '{}', 'coach', 9)",
            "a".repeat(64),
            HOME.0
        );
        let said = run(&mut connection, &insert).await.expect_err("refused").to_string();
        assert!(said.contains("row-level security"), "{said}");
        run(&mut connection, "ROLLBACK").await.expect("ended");
    }
}

#[tokio::test]
async fn a_token_opens_its_own_row_to_be_read_and_nothing_else() {
    let (store, name) = fresh().await;
    for token in ["one", "other"] {
        store.add_link(link(token, HOME)).await.expect("added");
    }
    let mut connection = raw(&name).await;
    let digest: String = TokenHash::of("one").0.iter().map(|byte| format!("{byte:02x}")).collect();
    run(&mut connection, &format!("BEGIN; SET LOCAL lanewright.token = '{digest}'")).await.expect("begun");
    assert_eq!(count(&mut connection, "SELECT count(*) FROM lanewright.link").await, 1);
    assert_eq!(run(&mut connection, "DELETE FROM lanewright.link").await.expect("passed over"), 0);
    assert_eq!(
        run(&mut connection, "UPDATE lanewright.link SET role = 'coach'").await.expect("passed over"),
        0
    );
    assert_eq!(count(&mut connection, "SELECT count(*) FROM lanewright.school").await, 0);
    run(&mut connection, "ROLLBACK").await.expect("ended");
    assert_eq!(count(&mut connection, "SELECT count(*) FROM lanewright.link").await, 0, "and only so long");
}

#[tokio::test]
async fn a_role_that_may_pass_over_the_rules_is_refused_and_so_is_a_table_without_them() {
    let cluster = Cluster::shared();
    let name = cluster.empty();
    cluster.sql(
        "postgres",
        &format!(
            "CREATE ROLE passes_{name} LOGIN BYPASSRLS; CREATE ROLE joined_{name} LOGIN;
             GRANT admin TO joined_{name}"
        ),
    );
    for role in ["admin".to_owned(), format!("passes_{name}"), format!("joined_{name}")] {
        let error = refused(&Database::parse(&cluster.address(&name, &role)).expect("an address")).await;
        assert!(matches!(&error, StoreError::MightyRole { role: named } if *named == role), "{error}");
    }
    assert_eq!(cluster.sql(&name, "SELECT to_regnamespace('lanewright') IS NULL"), "t", "nothing was made");
    let database = cluster.reach(&name);
    open(&database).await.close().await;
    for harm in [
        "ALTER TABLE lanewright.session DISABLE ROW LEVEL SECURITY",
        "ALTER TABLE lanewright.record_7 NO FORCE ROW LEVEL SECURITY",
    ] {
        cluster.sql(&name, harm);
        let error = refused(&database).await;
        assert!(matches!(error, StoreError::Unguarded { .. }), "{error}");
        assert!(!check(&database).await.expect("looked").is_sound());
        let mend = harm.replace("DISABLE", "ENABLE").replace("NO FORCE", "FORCE");
        cluster.sql(&name, &mend);
    }
    open(&database).await.close().await;
}

// What is refused

#[tokio::test]
async fn databases_of_others_and_of_newer_programs_are_refused_and_left_as_they_are() {
    let cluster = Cluster::shared();
    for sql in [
        "CREATE TABLE diary (day TEXT)",
        "CREATE SCHEMA lanewright",
        "CREATE SCHEMA lanewright; CREATE TABLE lanewright.about (program TEXT, format BIGINT);
         INSERT INTO lanewright.about VALUES ('another', 1)",
        "CREATE SCHEMA lanewright; CREATE TABLE lanewright.about (day TEXT)",
    ] {
        let name = cluster.empty();
        cluster.psql_as(ROLE, &name, &["-c", sql]).expect("made");
        let list = "SELECT count(*) FROM pg_class";
        let before = cluster.sql(&name, list);
        let error = refused(&cluster.reach(&name)).await;
        assert!(matches!(error, StoreError::ForeignDatabase), "{sql}: {error}");
        assert_eq!(cluster.sql(&name, list), before, "{sql}");
    }
    let (store, name) = fresh().await;
    store.push(HOME, &records(1..3), NOW_MS).await.expect("pushed");
    store.close().await;
    let newer = FORMAT_VERSION + 1;
    cluster.sql(&name, &format!("UPDATE lanewright.about SET format = {newer}"));
    let error = refused(&cluster.reach(&name)).await;
    assert!(matches!(&error, StoreError::NewerDatabase { found, .. } if *found == newer), "{error}");
    // It can be read all the same.
    let found = contents(&cluster.reach(&name), None).await.expect("read").expect("there");
    assert_eq!((found.school, found.format, found.records.len()), (HOME, newer, 2));
}

#[tokio::test]
async fn a_program_at_work_makes_no_new_connection_to_a_database_that_has_moved_on() {
    let (store, name) = fresh().await;
    store.push(HOME, &records(1..3), NOW_MS).await.expect("pushed");
    let cluster = Cluster::shared();
    cluster.sql(&name, &format!("UPDATE lanewright.about SET format = {}", FORMAT_VERSION + 1));
    cluster.sql(
        "postgres",
        &format!("SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE datname = '{name}'"),
    );
    let error = store.pull(HOME, 0, 10).await.expect_err("refused");
    assert!(matches!(error, StoreError::NewerDatabase { .. }), "{error}");
}

/// A server with settings that lose what was acked, or that write names into a log, and one that is changed while the
/// program works.
#[tokio::test]
async fn settings_on_which_safety_rests_are_asked_for_at_the_start_and_with_every_push() {
    let cluster = Cluster::start(&[]);
    let database = cluster.reach(&cluster.empty());
    let change = |settings: &[&str]| {
        for setting in settings {
            cluster.sql("postgres", &format!("ALTER SYSTEM SET {setting}"));
        }
        cluster.sql("postgres", "SELECT pg_reload_conf()");
        let name = settings.last().expect("one").split(' ').next().expect("a name");
        let wanted =
            settings.last().expect("one").split(' ').next_back().expect("a value").trim_matches('\'');
        while cluster.sql("postgres", &format!("SHOW {name}")) != wanted {}
    };
    let store = open(&database).await;
    for name in ["fsync", "full_page_writes"] {
        change(&[&format!("{name} = off")]);
        let setting = |error: StoreError| match error {
            StoreError::Setting { name, .. } => name,
            other => panic!("{other}"),
        };
        assert_eq!(setting(refused(&database).await), name);
        assert_eq!(setting(store.push(HOME, &records(1..3), NOW_MS).await.expect_err("refused")), name);
        assert!(!check(&database).await.expect("looked").is_sound());
        contents(&database, None).await.expect("it can be read all the same");
        change(&[&format!("{name} = on")]);
        assert_eq!(pull_all(&store, HOME, 0, 10).await.0, []);
    }
    // Whatever the server has as its own, our connections ask for the disk.
    change(&["synchronous_commit = off"]);
    assert!(store.settings().await.expect("read").contains(&("synchronous_commit", "on".into())));
    PostgresStore::open(&database, HOME, None).await.expect("opened").close().await;
    store.push(HOME, &records(1..3), NOW_MS).await.expect("pushed");
    change(&["log_statement = 'all'"]);
    assert!(refused(&database).await.to_string().contains("log_parameter_max_length"));
    change(&["log_parameter_max_length = 0"]);
    open(&database).await.close().await;
    assert!(check(&database).await.expect("looked").is_sound());
}

// What survives

#[tokio::test]
async fn a_server_that_was_killed_has_kept_every_acked_record_and_phones_go_on() {
    let mut cluster = Cluster::start(&[]);
    let database = cluster.reach(&cluster.empty());
    let store = open(&database).await;
    let mut told = store.standing(HOME, None).await.expect("asked").at;
    for round in 0..3 {
        let new = records(round * 20 + 1..round * 20 + 21);
        for record in &new {
            let pushed = store.push(HOME, std::slice::from_ref(record), NOW_MS).await.expect("pushed");
            told = pushed.at.expect("told");
        }
        cluster.crash();
        // The first question may meet a connection that is gone.
        let mut found = store.pull(HOME, 0, 500).await;
        for _ in 0..20 {
            if found.is_err() {
                found = store.pull(HOME, 0, 500).await;
            }
        }
        assert_eq!(found.expect("pulled").records, records(1..round * 20 + 21));
        let standing = store.standing(HOME, Some(told)).await.expect("asked");
        assert!(standing.known && standing.at.history != told.history && standing.at.seq == told.seq);
    }
}

#[tokio::test]
async fn a_database_that_was_put_back_knows_what_it_has_lost() {
    let cluster = Cluster::shared();
    let (store, name) = fresh().await;
    store.push(HOME, &records(1..3), NOW_MS).await.expect("pushed");
    let kept = store.standing(HOME, None).await.expect("asked").at;
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("copy.sql");
    let dumped = cluster.program("pg_dump").args(["-d", &name, "-f"]).arg(&file).status().expect("run");
    assert!(dumped.success());
    let lost = store.push(HOME, &records(3..5), NOW_MS).await.expect("pushed").at.expect("told");

    let again = cluster.empty();
    cluster.psql_as("admin", &again, &["-f", file.to_str().expect("text")]).expect("put back");
    let back = open(&cluster.reach(&again)).await;
    assert_eq!(pull_all(&back, HOME, 0, 10).await.0, records(1..3));
    let known = async |told| back.standing(HOME, Some(told)).await.expect("asked").known;
    assert!(known(kept).await && !known(lost).await);
    // It gives the same numbers out again, to other records: the name tells them apart.
    back.push(HOME, &records(7..12), NOW_MS).await.expect("pushed");
    assert!(known(kept).await && !known(lost).await);
}

/// A database of each format that was ever released, as `pg_dump` copied it then. A new format gets its dump once, with
/// `UPDATE_GOLDEN=1`; none is ever made anew.
#[tokio::test]
async fn a_database_of_every_earlier_format_opens_with_everything_in_it() {
    let cluster = Cluster::shared();
    for format in 1..=FORMAT_VERSION {
        let dump = format!("{}/tests/postgres/format-{format}.sql", env!("CARGO_MANIFEST_DIR"));
        if format == FORMAT_VERSION
            && std::env::var_os("UPDATE_GOLDEN").is_some()
            && !Path::new(&dump).exists()
        {
            let (store, name) = fresh().await;
            fill(&store).await;
            let mut copy = cluster.program("pg_dump");
            let copied = copy.args(["--no-owner", "-d", &name, "-f", &dump]).status().expect("run");
            assert!(copied.success());
        }
        let name = cluster.empty();
        cluster.psql_as(ROLE, &name, &["-f", &dump]).expect("put back");
        let store = PostgresStore::open(&cluster.reach(&name), ELSEWHERE, None).await.expect("opened");
        assert_eq!(store.home(), HOME);
        let (mut found, cursor) = pull_all(&store, HOME, 0, 100).await;
        found.sort_by_key(|record| record.id);
        assert_eq!((found, cursor), (records(1..13), 12));
        let session =
            store.session(TokenHash::of("session"), NOW_MS).await.expect("asked").expect("still open");
        let told = (session.role, session.label.as_deref(), session.number);
        assert_eq!(told, (Role::Helper, Some("Kim's phone"), 1));
        assert_eq!(store.links(HOME, NOW_MS).await.expect("listed"), [link("waits", HOME)]);
        let hash = store.password(HOME).await.expect("asked").map(|password| password.hash);
        assert_eq!(hash, (format >= 2).then(|| "hash".to_owned()));
        assert_eq!(
            cluster.sql(&name, "SELECT count(*) FROM lanewright.opening"),
            "2",
            "put back: a new opening"
        );
        assert_eq!(cluster.sql(&name, "SELECT format FROM lanewright.about"), FORMAT_VERSION.to_string());
        assert!(check(&cluster.reach(&name)).await.expect("looked").is_sound());
    }
}

/// What the dumps hold.
async fn fill(store: &PostgresStore) {
    store.push(HOME, &records(1..13), NOW_MS).await.expect("pushed");
    store.add_link(link("used", HOME)).await.expect("added");
    let (used, session) = (TokenHash::of("used"), TokenHash::of("session"));
    store.open_link(used, session, NOW_MS, NOW_MS + 1000).await.expect("asked").expect("opened");
    store.add_link(link("waits", HOME)).await.expect("added");
    let password = Password { hash: "hash".into(), set_ms: NOW_MS };
    assert!(store.set_password(HOME, None, Some(password)).await.expect("set"));
}

#[tokio::test]
async fn a_push_that_fails_halfway_leaves_nothing() {
    let (store, name) = fresh().await;
    Cluster::shared().sql(
        &name,
        "CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE 'the disk is full'; END $$;
         CREATE TRIGGER no_room BEFORE INSERT ON lanewright.record FOR EACH ROW
         WHEN (new.kind = 'microscope') EXECUTE FUNCTION no_room()",
    );
    let mut records = records(1..4);
    records[1].kind = "microscope".into();
    let error = store.push(HOME, &records, NOW_MS).await.expect_err("failed");
    assert!(matches!(error, StoreError::Database(_)), "{error}");
    assert_eq!(pull_all(&store, HOME, 0, 10).await, (vec![], 0));
    // The same records without the cause go through, numbered as if nothing had happened.
    records.remove(1);
    store.push(HOME, &records, NOW_MS).await.expect("pushed");
    let (mut found, cursor) = pull_all(&store, HOME, 0, 10).await;
    found.sort_by_key(|record| record.id);
    assert_eq!((found, cursor), (records, 2));
}

#[tokio::test]
async fn a_push_whose_caller_goes_away_is_stored_whole_or_not_at_all() {
    let (store, name) = fresh().await;
    let watcher = open(&Cluster::shared().reach(&name)).await;
    let mut sizes = BTreeSet::new();
    for polls in 0..60 {
        let first = polls as u128 * 100 + 1;
        let records = records(first..first + 10);
        {
            // Polls the push a few times only, a little apart, then drops it.
            let mut push = pin!(store.push(HOME, &records, NOW_MS));
            for _ in 0..polls {
                let done =
                    std::future::poll_fn(|context| std::task::Poll::Ready(push.as_mut().poll(context)));
                if done.await.is_ready() {
                    break;
                }
                tokio::time::sleep(std::time::Duration::from_micros(300)).await;
            }
        }
        // Whoever comes next waits for the rest of it.
        watcher.push(HOME, &[write(1 << 50, polls, json!({}))], NOW_MS).await.expect("pushed");
        let all = pull_all(&watcher, HOME, 0, 500).await.0;
        let stored = records.iter().filter(|record| all.contains(record)).count();
        assert!(stored == 0 || stored == records.len(), "{stored} after {polls} polls");
        sizes.insert(stored);
    }
    assert_eq!(sizes.len(), 2, "both outcomes were seen");
}

#[tokio::test]
async fn a_changed_row_is_reported_and_never_served() {
    let (store, name) = fresh().await;
    let cluster = Cluster::shared();
    let record = write(1, 0, json!({"v": 1}));
    for sql in [
        "UPDATE lanewright.record SET body = '{\"v\":2}'",
        "UPDATE lanewright.record SET version = 2",
        "UPDATE lanewright.record SET stamp = replace(stamp, '-0000', '-1000')",
        "UPDATE lanewright.record SET digest = replace(digest, substr(digest, 1, 1), 'x')",
        "UPDATE lanewright.record SET kind = 'microscope'",
    ] {
        cluster.sql(&name, "DELETE FROM lanewright.record");
        store.push(HOME, std::slice::from_ref(&record), NOW_MS).await.expect("pushed");
        assert!(check(&cluster.reach(&name)).await.expect("looked").is_sound());
        cluster.sql(&name, sql);
        let error = store.pull(HOME, 0, 10).await.expect_err("noticed");
        assert!(matches!(error, StoreError::Damaged { .. }), "{sql}: {error}");
        let health = check(&cluster.reach(&name)).await.expect("looked");
        assert_eq!(health.damaged.len(), 1, "{sql}");
        assert!(contents(&cluster.reach(&name), None).await.is_err(), "{sql}");
    }
    cluster.sql(&name, "DELETE FROM lanewright.record");
    store.push(HOME, &[write(2, 0, json!({}))], NOW_MS).await.expect("pushed");
    cluster.sql(&name, "UPDATE lanewright.record SET seq = 1000");
    assert!(check(&cluster.reach(&name)).await.expect("looked").damaged[0].contains("never given"));
}

// What is gone

/// Returns the files below a folder in which these bytes stand.
fn files_with(folder: &Path, bytes: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(files_with(&path, bytes));
        } else if fs::read(&path).is_ok_and(|all| all.windows(bytes.len()).any(|at| at == bytes.as_bytes())) {
            found.push(path);
        }
    }
    found
}

fn label(number: u128, offset_ms: i64, label: &str) -> Record {
    let body = json!({"class": write(1, 0, json!({})).id, "label": label});
    Record { kind: "runner-label".into(), ..write(number, offset_ms, body) }
}

/// Tables and statistics are clean with the answer; the server's log of changes keeps the bytes until its pieces are
/// removed, which the settings of `docs/deploy.md` bring about with the next two checkpoints.
#[tokio::test]
async fn no_byte_of_an_erased_name_is_left_in_the_tables_and_none_in_the_log_after_it_was_turned_over() {
    const NAME: &str = "Zebulonquist";
    let cluster =
        Cluster::start(&["wal_recycle=off", "log_min_duration_statement=0", "log_parameter_max_length=0"]);
    let name = cluster.empty();
    let store = open(&cluster.reach(&name)).await;
    for round in 0..4 {
        let mut labels: Vec<Record> = (10..200)
            .map(|number| {
                label(number, round * 10, &format!("Child {number} {}", "x".repeat(round as usize * 9)))
            })
            .collect();
        labels[95] = label(105, round * 10, &format!("{NAME} {round}"));
        labels[96].body["note"] = json!(NAME.repeat(600));
        store.push(HOME, &labels, NOW_MS).await.expect("pushed");
        // What a server does of itself now and then.
        cluster.sql(&name, "ANALYZE; CHECKPOINT");
    }
    let (tables, log) = (cluster.folder().join("data/base"), cluster.folder().join("data/pg_wal"));
    assert!(!files_with(&tables, NAME).is_empty() && !files_with(&log, NAME).is_empty(), "the control");
    // A password that was changed is gone from the table likewise.
    for (before, after) in [(None, Some(NAME)), (Some(NAME), Some("another"))] {
        let password = after.map(|hash| Password { hash: hash.into(), set_ms: NOW_MS });
        assert!(store.set_password(HOME, before, password).await.expect("set"));
    }
    let erasure = |number| Record { kind: "erasure".into(), ..write(number, 0, json!({"what": "runner"})) };
    store.push(HOME, &[erasure(105), erasure(106)], NOW_MS).await.expect("pushed");
    cluster.sql(&name, "CHECKPOINT");
    assert_eq!(files_with(&tables, NAME), Vec::<PathBuf>::new());
    assert_eq!(pull_all(&store, HOME, 0, 500).await.0.len(), 190, "188 others and the erasures");
    for _ in 0..2 {
        cluster.sql(&name, "SELECT pg_switch_wal(); CHECKPOINT");
    }
    let left = files_with(cluster.folder(), NAME);
    assert_eq!(left, Vec::<PathBuf>::new());
    // And a device that sends it once more writes it nowhere.
    store.push(HOME, &[label(105, 500, NAME)], NOW_MS).await.expect("acked");
    assert_eq!(files_with(cluster.folder(), NAME), left);
}

#[tokio::test]
async fn a_table_that_is_being_read_is_cleaned_later() {
    const NAME: &str = "Zebulonquist";
    let cluster = Cluster::start(&[]);
    let name = cluster.empty();
    let store = open(&cluster.reach(&name)).await;
    store.push(HOME, &[label(105, 0, NAME)], NOW_MS).await.expect("pushed");
    let mut reader = raw_at(&cluster, &name, ROLE).await;
    run(&mut reader, "BEGIN; SELECT count(*) FROM lanewright.record").await.expect("reading");
    let erasure = Record { kind: "erasure".into(), ..write(105, 0, json!({"what": "runner"})) };
    store.push(HOME, &[erasure], NOW_MS).await.expect("the push does not wait for it");
    let due = "SELECT erased - scrubbed FROM lanewright.school";
    assert_eq!(cluster.sql(&name, due), "1");
    run(&mut reader, "ROLLBACK").await.expect("done");
    // By the next start of any process, or the next push of this one.
    open(&cluster.reach(&name)).await.close().await;
    assert_eq!(cluster.sql(&name, due), "0");
}

/// PostgreSQL takes along what an older transaction could still see when it writes a table anew, also when that
/// transaction has never touched the table, and one that writes holds it back from another database.
#[tokio::test]
async fn while_an_older_transaction_is_open_erased_bytes_stay_and_stay_due() {
    const NAME: &str = "Zebulonquist";
    let cluster = Cluster::start(&[]);
    let name = cluster.empty();
    let tables = cluster.folder().join("data/base");
    let due = "SELECT erased - scrubbed FROM lanewright.school";
    let reads = "BEGIN ISOLATION LEVEL REPEATABLE READ; SELECT 1";
    let writes = "BEGIN; SELECT pg_current_xact_id()";
    let store = open(&cluster.reach(&name)).await;
    for (round, (database, role, sql)) in
        [(name.as_str(), ROLE, reads), (&name, ROLE, writes), ("postgres", "admin", writes)]
            .into_iter()
            .enumerate()
    {
        let number = 105 + round as u128;
        store.push(HOME, &[label(number, 0, NAME)], NOW_MS).await.expect("pushed");
        let mut older = raw_at(&cluster, database, role).await;
        run(&mut older, sql).await.expect("begun");
        let erasure = Record { kind: "erasure".into(), ..write(number, 0, json!({"what": "runner"})) };
        store.push(HOME, &[erasure], NOW_MS).await.expect("the push does not wait for it for long");
        assert_eq!(cluster.sql(&name, due), "1", "{sql} in {database}");
        cluster.sql(&name, "CHECKPOINT");
        assert!(!files_with(&tables, NAME).is_empty(), "{sql} in {database}");
        run(&mut older, "ROLLBACK").await.expect("done");
        store.push(HOME, &records(1..2), NOW_MS).await.expect("pushed");
        assert_eq!(cluster.sql(&name, due), "0", "{sql} in {database}");
        cluster.sql(&name, "CHECKPOINT");
        assert_eq!(files_with(&tables, NAME), Vec::<PathBuf>::new(), "{sql} in {database}");
    }
}

/// A transaction that somebody left open holds the rewriting up, and must not hold up the lesson.
#[tokio::test]
async fn pushes_after_an_erasure_ask_once_for_an_older_transaction_and_do_not_wait_for_it() {
    let cluster = Cluster::start(&["log_statement=all", "log_parameter_max_length=0"]);
    let name = cluster.empty();
    let store = open(&cluster.reach(&name)).await;
    store.push(HOME, &[label(105, 0, "Ada")], NOW_MS).await.expect("pushed");
    let mut older = raw_at(&cluster, &name, ROLE).await;
    run(&mut older, "BEGIN ISOLATION LEVEL REPEATABLE READ; SELECT 1").await.expect("begun");
    let log = || fs::read_to_string(cluster.folder().join("log")).expect("a log");
    let questions = || log().matches("pg_replication_slots").count();
    let before = questions();
    let erasure = Record { kind: "erasure".into(), ..write(105, 0, json!({"what": "runner"})) };
    store.push(HOME, &[erasure], NOW_MS).await.expect("pushed");
    let patient = questions() - before;
    assert!(patient > 1, "the one that erased waits a while: {patient}");
    let before = questions();
    for number in 1..=6 {
        store.push(HOME, &records(number..number + 1), NOW_MS).await.expect("pushed");
    }
    assert_eq!(questions() - before, 6, "once each, so that there is nothing to wait for in between");
    run(&mut older, "ROLLBACK").await.expect("done");
    // Somebody reads the table: this, too, holds a later push up for a moment only.
    run(&mut older, "BEGIN; SELECT count(*) FROM lanewright.record").await.expect("reading");
    store.push(HOME, &records(7..8), NOW_MS).await.expect("pushed");
    let log = log();
    let waits: Vec<&str> = log.lines().filter(|line| line.contains("SET lock_timeout")).collect();
    assert!(waits.len() == 1 && waits[0].contains("'100ms'"), "{waits:?}");
    run(&mut older, "ROLLBACK").await.expect("done");
    store.push(HOME, &records(8..9), NOW_MS).await.expect("pushed");
    assert_eq!(cluster.sql(&name, "SELECT erased - scrubbed FROM lanewright.school"), "0");
}

#[tokio::test]
async fn an_erasure_holds_in_a_process_that_did_not_see_it() {
    let (store, name) = fresh().await;
    let other = open(&Cluster::shared().reach(&name)).await;
    store.push(HOME, &[label(105, 0, "Ada")], NOW_MS).await.expect("pushed");
    let erasure = Record { kind: "erasure".into(), ..write(105, 0, json!({"what": "runner"})) };
    other.push(HOME, std::slice::from_ref(&erasure), NOW_MS).await.expect("pushed");
    store.push(HOME, &[label(105, 9, "Ada")], NOW_MS).await.expect("acked");
    assert_eq!(pull_all(&store, HOME, 0, 10).await.0, [erasure]);
}
