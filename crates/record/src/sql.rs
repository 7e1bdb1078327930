//! All SQL, in one place: the layout and every question.
//!
//! Written so that `PostgreSQL` takes it too (`BYTEA`, `BIGINT`, `$1`), but for [`TRIGGERS`], whose language each engine has its own.
//! Parameters stand in the order of their numbers: `SQLite` counts `$2` before `$1` as the first.

/// The layout that this program writes.
pub(crate) const LAYOUT: i64 = 2;

/// Tables of jobs and entries, the same in every layout so far.
pub(crate) const TABLES: [&str; 2] = [
    "CREATE TABLE jobs (
        id TEXT NOT NULL PRIMARY KEY,
        name TEXT NOT NULL,
        rig TEXT NOT NULL,
        at_ms BIGINT NOT NULL,
        by_whom TEXT NOT NULL,
        hash TEXT NOT NULL
    )",
    "CREATE TABLE entries (
        job TEXT NOT NULL REFERENCES jobs (id),
        number BIGINT NOT NULL CHECK (number >= 1),
        at_ms BIGINT NOT NULL,
        by_whom TEXT NOT NULL,
        device TEXT NOT NULL,
        token TEXT NOT NULL,
        kind TEXT NOT NULL,
        about TEXT NOT NULL,
        value TEXT NOT NULL,
        corrects BIGINT CHECK (corrects < number),
        before_hash TEXT NOT NULL,
        hash TEXT NOT NULL,
        PRIMARY KEY (job, number),
        UNIQUE (job, token),
        FOREIGN KEY (job, corrects) REFERENCES entries (job, number)
    )",
];

/// What layout 2 adds: photos once under their hash, and one correction of an entry at most.
pub(crate) const SECOND: [&str; 2] = [
    "CREATE TABLE blobs (sha256 TEXT NOT NULL PRIMARY KEY, bytes BYTEA NOT NULL)",
    "CREATE UNIQUE INDEX one_correction ON entries (job, corrects)",
];

/// Nothing is edited away, and an entry follows the last one. `SQLite`'s language.
pub(crate) const TRIGGERS: [&str; 9] = [
    "CREATE TRIGGER jobs_stay BEFORE UPDATE ON jobs BEGIN SELECT RAISE(ABORT, 'a job is not changed'); END",
    "CREATE TRIGGER jobs_remain BEFORE DELETE ON jobs BEGIN SELECT RAISE(ABORT, 'a job is not deleted'); END",
    "CREATE TRIGGER jobs_once BEFORE INSERT ON jobs WHEN EXISTS (SELECT 1 FROM jobs WHERE id = NEW.id)
        BEGIN SELECT RAISE(ABORT, 'a job is not replaced'); END",
    "CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
        BEGIN SELECT RAISE(ABORT, 'an entry is not changed'); END",
    "CREATE TRIGGER entries_remain BEFORE DELETE ON entries
        BEGIN SELECT RAISE(ABORT, 'an entry is not deleted'); END",
    "CREATE TRIGGER entries_follow BEFORE INSERT ON entries
        WHEN NEW.number <> 1 + COALESCE((SELECT MAX(number) FROM entries WHERE job = NEW.job), 0)
        BEGIN SELECT RAISE(ABORT, 'an entry follows the last one'); END",
    "CREATE TRIGGER blobs_stay BEFORE UPDATE ON blobs BEGIN SELECT RAISE(ABORT, 'a photo is not changed'); END",
    "CREATE TRIGGER blobs_remain BEFORE DELETE ON blobs BEGIN SELECT RAISE(ABORT, 'a photo is not deleted'); END",
    "CREATE TRIGGER blobs_once BEFORE INSERT ON blobs WHEN EXISTS (SELECT 1 FROM blobs WHERE sha256 = NEW.sha256)
        BEGIN SELECT RAISE(ABORT, 'a photo is not replaced'); END",
];

/// The photos of layout 1, which stood with their entry.
pub(crate) const FIRST_PHOTO: &str = "SELECT job, number, bytes FROM photos WHERE job > $1 OR (job = $1 AND number > $2) ORDER BY job, number LIMIT 1";
pub(crate) const FIRST_PHOTOS_GO: &str = "DROP TABLE photos";

pub(crate) const ADD_JOB: &str =
    "INSERT INTO jobs (id, name, rig, at_ms, by_whom, hash) VALUES ($1, $2, $3, $4, $5, $6)";
pub(crate) const JOB: &str = "SELECT id, name, rig, at_ms, by_whom, hash FROM jobs WHERE id = $1";
pub(crate) const JOBS: &str = "SELECT id, name, rig, at_ms, by_whom, hash FROM jobs ORDER BY at_ms, id";

pub(crate) const ADD_ENTRY: &str = "INSERT INTO entries
    (job, number, at_ms, by_whom, device, token, kind, about, value, corrects, before_hash, hash)
    VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)";
pub(crate) const ENTRY: &str =
    "SELECT job, number, at_ms, by_whom, device, token, kind, about, value, corrects, before_hash, hash
    FROM entries WHERE job = $1 AND number = $2";
pub(crate) const BY_TOKEN: &str =
    "SELECT job, number, at_ms, by_whom, device, token, kind, about, value, corrects, before_hash, hash
    FROM entries WHERE job = $1 AND token = $2";
pub(crate) const AFTER: &str =
    "SELECT job, number, at_ms, by_whom, device, token, kind, about, value, corrects, before_hash, hash
    FROM entries WHERE job = $1 AND number > $2 ORDER BY number LIMIT $3";
pub(crate) const LAST: &str = "SELECT number, hash FROM entries WHERE job = $1 ORDER BY number DESC LIMIT 1";
pub(crate) const HASH_AT: &str = "SELECT hash FROM entries WHERE job = $1 AND number = $2";
pub(crate) const CORRECTED_BY: &str = "SELECT number FROM entries WHERE job = $1 AND corrects = $2";
pub(crate) const WITH_HASH: &str = "SELECT number FROM entries WHERE job = $1 AND hash = $2";

pub(crate) const ADD_BLOB: &str = "INSERT INTO blobs (sha256, bytes) VALUES ($1, $2)";
pub(crate) const BLOB: &str = "SELECT bytes FROM blobs WHERE sha256 = $1";
pub(crate) const HAS_BLOB: &str = "SELECT 1 FROM blobs WHERE sha256 = $1";

/// Whether `$n` first appear in rising order.
pub(crate) fn in_order(sql: &str) -> bool {
    let mut most = 0;
    sql.split('$').skip(1).all(|rest| {
        let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
        let n: u32 = digits.parse().unwrap_or(0);
        let fits = (1..=most + 1).contains(&n);
        most = most.max(n);
        fits
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parameters_out_of_order_are_seen() {
        assert!(in_order("a = $1 AND b = $2 OR a = $1"));
        assert!(!in_order("a = $2 AND b = $1"));
        assert!(!in_order("a = $1 AND b = $3"));
    }
}
