//! The store in one `SQLite` file.

use crate::database::{Cause, Cell, Database, For, Refusal};
use crate::fault::Fault;
use crate::limits::WAIT_MS;
use crate::sql::{self, LAYOUT};
use rusqlite::types::{ToSqlOutput, Value, ValueRef};
use rusqlite::{Connection, ErrorCode, OpenFlags, ToSql, params_from_iter};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The mark in the file's header that tells our files from others: "clng".
pub(crate) const MARK: i64 = 0x636c_6e67;

/// An open file.
pub(crate) struct Sqlite {
    connection: Connection,
}

impl From<rusqlite::Error> for Refusal {
    fn from(e: rusqlite::Error) -> Self {
        let cause = match e.sqlite_error_code() {
            Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => Cause::CannotOpen,
            Some(ErrorCode::ReadOnly) => Cause::ReadOnly,
            Some(ErrorCode::DiskFull) => Cause::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Cause::Locked,
            Some(ErrorCode::NotADatabase) => Cause::NotADatabase,
            Some(ErrorCode::DatabaseCorrupt) => Cause::Corrupt,
            _ => Cause::Other,
        };
        Self { cause, words: e.to_string() }
    }
}

impl ToSql for Cell {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(match self {
            Self::Nothing => ToSqlOutput::Owned(Value::Null),
            Self::Number(n) => ToSqlOutput::Owned(Value::Integer(*n)),
            Self::Text(t) => ToSqlOutput::Borrowed(ValueRef::Text(t.as_bytes())),
            Self::Bytes(b) => ToSqlOutput::Borrowed(ValueRef::Blob(b)),
        })
    }
}

fn cell(value: ValueRef<'_>) -> Result<Cell, Refusal> {
    let corrupt = |words: &str| Refusal { cause: Cause::Corrupt, words: words.into() };
    Ok(match value {
        ValueRef::Null => Cell::Nothing,
        ValueRef::Integer(n) => Cell::Number(n),
        ValueRef::Text(t) => {
            Cell::Text(core::str::from_utf8(t).map_err(|_| corrupt("a text is not UTF-8"))?.to_owned())
        }
        ValueRef::Blob(b) => Cell::Bytes(b.to_vec()),
        ValueRef::Real(_) => return Err(corrupt("a fraction stands where none belongs")),
    })
}

impl Database for Sqlite {
    fn run(&self, sql: &str, cells: &[Cell]) -> Result<usize, Refusal> {
        debug_assert!(sql::in_order(sql), "{sql}");
        Ok(self.connection.prepare_cached(sql)?.execute(params_from_iter(cells))?)
    }

    fn rows(&self, sql: &str, cells: &[Cell]) -> Result<Vec<Vec<Cell>>, Refusal> {
        debug_assert!(sql::in_order(sql), "{sql}");
        let mut statement = self.connection.prepare_cached(sql)?;
        let width = statement.column_count();
        let mut rows = statement.query(params_from_iter(cells))?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            found.push((0..width).map(|i| cell(row.get_ref(i)?)).collect::<Result<Vec<_>, Refusal>>()?);
        }
        Ok(found)
    }

    fn begin(&self, why: For) -> Result<(), Refusal> {
        if !self.connection.is_autocommit() {
            self.connection.execute_batch("ROLLBACK")?;
        }
        Ok(self.connection.execute_batch(match why {
            For::Reading => "BEGIN DEFERRED",
            For::Writing => "BEGIN IMMEDIATE",
        })?)
    }

    fn commit(&self) -> Result<(), Refusal> {
        Ok(self.connection.execute_batch("COMMIT")?)
    }

    fn rollback(&self) -> Result<(), Refusal> {
        // A full disk ends the transaction by itself.
        if self.connection.is_autocommit() {
            return Ok(());
        }
        Ok(self.connection.execute_batch("ROLLBACK")?)
    }

    fn layout(&self) -> Result<i64, Refusal> {
        self.number("PRAGMA user_version")
    }

    fn set_layout(&self, layout: i64) -> Result<(), Refusal> {
        Ok(self
            .connection
            .execute_batch(&format!("PRAGMA application_id = {MARK}; PRAGMA user_version = {layout}"))?)
    }

    fn unsound(&self) -> Result<Option<String>, Refusal> {
        let words: String = self.connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
        Ok((words != "ok").then_some(words))
    }

    fn copy_to(&self, path: &str) -> Result<(), Refusal> {
        self.connection.execute("VACUUM INTO ?1", [path])?;
        Ok(())
    }
}

/// How a file is opened.
#[derive(Clone, Copy, PartialEq, Eq)]
enum How {
    Writing,
    Reading,
    /// Without a lock or a log beside it: for media on which nothing can be written.
    Unchanging,
}

impl Sqlite {
    /// Opens a file to write, and begins it where there is none.
    pub(crate) fn open(path: &Path) -> Result<Self, Fault> {
        let fault = |r: Refusal| fault_of(path, r);
        not_a_folder(path)?;
        let db = Self::connect(path, How::Writing).map_err(fault)?;
        db.ours(path)?;
        // The engine opens a file without permission to read it alone, and says nothing.
        if db.connection.is_readonly("main").map_err(|e| fault(e.into()))? {
            return Err(Fault::ReadOnly { path: path.into() });
        }
        let mut log = db.text("PRAGMA journal_mode = WAL");
        // While another program begins the same file, the engine answers at once instead of waiting.
        for _ in 0..100 {
            if !matches!(&log, Err(r) if r.cause == Cause::Locked) {
                break;
            }
            std::thread::sleep(Duration::from_millis(u64::from(WAIT_MS) / 100));
            log = db.text("PRAGMA journal_mode = WAL");
        }
        let log = log.map_err(fault)?;
        if log != "wal" {
            let why = format!(
                "its disk allows no log beside the file (it stays at \"{log}\"); use a disk of this machine"
            );
            return Err(Fault::CannotOpen { path: path.into(), why });
        }
        db.settle().map_err(fault)?;
        Ok(db)
    }

    /// As [`Sqlite::open`], but rows may come before those that they refer to.
    pub(crate) fn open_loose(path: &Path) -> Result<Self, Fault> {
        let db = Self::open(path)?;
        let loose = db.connection.execute_batch("PRAGMA foreign_keys = OFF");
        loose.map_err(|e| fault_of(path, e.into()))?;
        Ok(db)
    }

    /// Opens a file to read alone.
    pub(crate) fn open_read_only(path: &Path) -> Result<Self, Fault> {
        not_a_folder(path)?;
        if let Err(e) = std::fs::metadata(path) {
            return Err(Fault::CannotOpen { path: path.into(), why: e.to_string() });
        }
        let open = |how| {
            let db = Self::connect(path, how).map_err(|r| fault_of(path, r))?;
            db.ours(path)?;
            Ok(db)
        };
        let mut db = open(How::Reading);
        let log = beside(path, "-wal");
        let no_log = std::fs::metadata(log).map_or(true, |m| m.len() == 0);
        if no_log && matches!(db, Err(Fault::CannotOpen { .. } | Fault::ReadOnly { .. })) {
            db = open(How::Unchanging);
        }
        let db = db?;
        match db.layout().map_err(|r| fault_of(path, r))? {
            LAYOUT => Ok(db),
            layout => Err(Fault::Older { path: path.into(), layout }),
        }
    }

    /// A store that is gone at the end.
    pub(crate) fn in_memory() -> Result<Self, Refusal> {
        let db = Self { connection: Connection::open_in_memory()? };
        db.settle()?;
        Ok(db)
    }

    fn connect(path: &Path, how: How) -> Result<Self, Refusal> {
        let base = OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = match how {
            How::Writing => {
                let flags = base | OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
                Connection::open_with_flags(path, flags)?
            }
            How::Reading => Connection::open_with_flags(path, base | OpenFlags::SQLITE_OPEN_READ_ONLY)?,
            How::Unchanging => {
                let flags = base | OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
                let name = path.to_string_lossy();
                let name = name.replace('%', "%25").replace('?', "%3f").replace('#', "%23");
                Connection::open_with_flags(format!("file:{name}?immutable=1"), flags)?
            }
        };
        connection.busy_timeout(Duration::from_millis(WAIT_MS.into()))?;
        connection.execute_batch("PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON")?;
        Ok(Self { connection })
    }

    /// What holds for every connection that writes.
    fn settle(&self) -> Result<(), Refusal> {
        Ok(self.connection.execute_batch(
            "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA recursive_triggers = ON",
        )?)
    }

    fn number(&self, sql: &str) -> Result<i64, Refusal> {
        Ok(self.connection.query_row(sql, [], |row| row.get(0))?)
    }

    fn text(&self, sql: &str) -> Result<String, Refusal> {
        Ok(self.connection.query_row(sql, [], |row| row.get(0))?)
    }

    /// Whether the file is a record, or nothing yet; nothing is changed in it.
    fn ours(&self, path: &Path) -> Result<(), Fault> {
        let fault = |r: Refusal| fault_of(path, r);
        // In one view: another program may begin the file at this moment.
        self.begin(For::Reading).map_err(fault)?;
        let mark = self.number("PRAGMA application_id").map_err(fault)?;
        let tables = self.number("SELECT COUNT(*) FROM sqlite_schema").map_err(fault)?;
        let layout = self.layout().map_err(fault)?;
        self.commit().map_err(fault)?;
        let path = PathBuf::from(path);
        match (mark, tables, layout) {
            (MARK, _, 1..=LAYOUT) | (0, 0, 0) => Ok(()),
            (MARK, _, layout) if layout > LAYOUT => Err(Fault::Newer { path, layout, known: LAYOUT }),
            (MARK, ..) => {
                Err(Fault::Corrupt { path, why: format!("its layout is {layout}, which never was") })
            }
            _ => Err(Fault::Foreign { path, mark }),
        }
    }

    /// As a file on a medium that cannot be written.
    #[cfg(test)]
    pub(crate) fn unchanging(path: &Path) -> Result<Self, Refusal> {
        Self::connect(path, How::Unchanging)
    }

    /// The connection itself, for tests that meddle.
    #[cfg(test)]
    pub(crate) fn raw(&self) -> &Connection {
        &self.connection
    }
}

/// The file beside a file, as the engine names its log.
pub(crate) fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    name.into()
}

pub(crate) fn not_a_folder(path: &Path) -> Result<(), Fault> {
    if path.is_dir() { Err(Fault::IsFolder { path: path.into() }) } else { Ok(()) }
}

/// A refusal of that file, with what can be done about it.
pub(crate) fn fault_of(path: &Path, refusal: Refusal) -> Fault {
    let (path, why) = (PathBuf::from(path), refusal.words);
    match refusal.cause {
        Cause::CannotOpen => Fault::CannotOpen { path, why },
        Cause::ReadOnly => Fault::ReadOnly { path },
        Cause::Full => Fault::DiskFull { path },
        Cause::Locked => Fault::Locked { path, waited_ms: WAIT_MS },
        Cause::NotADatabase => Fault::NotADatabase { path },
        Cause::Corrupt => Fault::Corrupt { path, why },
        Cause::Other => Fault::Database { path, why },
    }
}
