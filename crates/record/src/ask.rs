//! The questions asked of the database, with typed answers.

use crate::database::{Cause, Cell, Database, For, Refusal};
use crate::entry::{Head, Job, Row};
use crate::fault::Fault;
use crate::{hash, sql, sqlite};
use std::path::{Path, PathBuf};

/// A database, and the name of its file for what is said of it.
pub(crate) struct Ask {
    db: Box<dyn Database>,
    path: PathBuf,
}

/// One row, taken cell by cell.
struct Cells(std::vec::IntoIter<Cell>);

impl Cells {
    fn text(&mut self) -> Result<String, Refusal> {
        match self.0.next() {
            Some(Cell::Text(text)) => Ok(text),
            other => Err(strange("a text", other)),
        }
    }

    fn number(&mut self) -> Result<i64, Refusal> {
        match self.0.next() {
            Some(Cell::Number(number)) => Ok(number),
            other => Err(strange("a number", other)),
        }
    }

    fn count(&mut self) -> Result<u32, Refusal> {
        let number = self.number()?;
        u32::try_from(number).map_err(|_| strange("an entry's number", Some(Cell::Number(number))))
    }

    fn perhaps(&mut self) -> Result<Option<u32>, Refusal> {
        if matches!(self.0.as_slice(), [Cell::Nothing, ..]) {
            self.0.next();
            return Ok(None);
        }
        self.count().map(Some)
    }

    fn bytes(&mut self) -> Result<Vec<u8>, Refusal> {
        match self.0.next() {
            Some(Cell::Bytes(bytes)) => Ok(bytes),
            other => Err(strange("bytes", other)),
        }
    }

    fn job(&mut self) -> Result<(Job, String), Refusal> {
        let (id, name, rig) = (self.text()?, self.text()?, self.text()?);
        Ok((Job { id, name, rig, at_ms: self.number()?, by: self.text()? }, self.text()?))
    }

    fn row(&mut self) -> Result<Row, Refusal> {
        Ok(Row {
            job: self.text()?,
            number: self.count()?,
            at_ms: self.number()?,
            by: self.text()?,
            device: self.text()?,
            token: self.text()?,
            kind: self.text()?,
            about: self.text()?,
            value: self.text()?,
            corrects: self.perhaps()?,
            before: self.text()?,
            hash: self.text()?,
        })
    }
}

fn strange(wanted: &str, found: Option<Cell>) -> Refusal {
    let found = match found {
        None | Some(Cell::Nothing) => "nothing".into(),
        Some(Cell::Number(n)) => format!("the number {n}"),
        Some(Cell::Text(t)) => format!("the text \"{}\"", crate::fault::shown(&t)),
        Some(Cell::Bytes(b)) => format!("{} bytes", b.len()),
    };
    Refusal { cause: Cause::Corrupt, words: format!("a row has {found} where {wanted} belongs") }
}

impl Ask {
    pub(crate) fn new(db: Box<dyn Database>, path: &Path) -> Self {
        Self { db, path: path.into() }
    }

    pub(crate) fn db(&self) -> &dyn Database {
        &*self.db
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    pub(crate) fn fault(&self, refusal: Refusal) -> Fault {
        sqlite::fault_of(&self.path, refusal)
    }

    /// Does something as a whole or not at all.
    pub(crate) fn within<T>(&self, why: For, f: impl FnOnce(&Self) -> Result<T, Fault>) -> Result<T, Fault> {
        self.db.begin(why).map_err(|r| self.fault(r))?;
        let done = f(self).and_then(|answer| match self.db.commit() {
            Ok(()) => Ok(answer),
            Err(r) => Err(self.fault(r)),
        });
        if done.is_err() {
            // If this fails too, the next transaction takes back what is left of this one.
            let _ = self.db.rollback();
        }
        done
    }

    fn all<T>(
        &self,
        sql: &str,
        cells: &[Cell],
        read: impl Fn(&mut Cells) -> Result<T, Refusal>,
    ) -> Result<Vec<T>, Fault> {
        let rows = self.db.rows(sql, cells).map_err(|r| self.fault(r))?;
        rows.into_iter()
            .map(|row| read(&mut Cells(row.into_iter())))
            .collect::<Result<_, _>>()
            .map_err(|r| self.fault(r))
    }

    fn one<T>(
        &self,
        sql: &str,
        cells: &[Cell],
        read: impl Fn(&mut Cells) -> Result<T, Refusal>,
    ) -> Result<Option<T>, Fault> {
        Ok(self.all(sql, cells, read)?.into_iter().next())
    }

    fn add(&self, sql: &str, cells: &[Cell]) -> Result<(), Fault> {
        match self.db.run(sql, cells).map_err(|r| self.fault(r))? {
            1 => Ok(()),
            n => Err(Fault::Database {
                path: self.path.clone(),
                why: format!("{n} rows were added instead of 1"),
            }),
        }
    }

    /// All jobs with the hashes they carry, the oldest first.
    pub(crate) fn jobs(&self) -> Result<Vec<(Job, String)>, Fault> {
        self.all(sql::JOBS, &[], Cells::job)
    }

    /// A job's heading and the hash it carries.
    pub(crate) fn job(&self, id: &str) -> Result<Option<(Job, String)>, Fault> {
        self.one(sql::JOB, &[id.into()], Cells::job)
    }

    /// A job that must be there.
    pub(crate) fn heading(&self, id: &str) -> Result<(Job, String), Fault> {
        self.job(id)?.ok_or_else(|| Fault::NoJob { job: id.into() })
    }

    pub(crate) fn add_job(&self, job: &Job, hash: &str) -> Result<(), Fault> {
        let texts = (job.id.as_str().into(), job.name.as_str().into(), job.rig.as_str().into());
        self.add(
            sql::ADD_JOB,
            &[texts.0, texts.1, texts.2, job.at_ms.into(), job.by.as_str().into(), hash.into()],
        )
    }

    /// The last entry; the heading where there is none.
    pub(crate) fn head(&self, job: &str) -> Result<Head, Fault> {
        let (_, heading) = self.heading(job)?;
        let last =
            self.one(sql::LAST, &[job.into()], |c| Ok(Head { number: c.count()?, hash: c.text()? }))?;
        Ok(last.unwrap_or(Head { number: 0, hash: heading }))
    }

    /// Up to `most` entries after a number.
    pub(crate) fn after(&self, job: &str, number: u32, most: u32) -> Result<Vec<Row>, Fault> {
        self.all(sql::AFTER, &[job.into(), number.into(), most.into()], Cells::row)
    }

    /// Does something with every entry after a number, a few in memory at a time.
    pub(crate) fn each(
        &self,
        job: &str,
        after: u32,
        mut f: impl FnMut(Row) -> Result<(), Fault>,
    ) -> Result<(), Fault> {
        const AT_ONCE: u32 = 200;
        let mut last = after;
        loop {
            let rows = self.after(job, last, AT_ONCE)?;
            let Some(row) = rows.last() else { return Ok(()) };
            last = row.number;
            rows.into_iter().try_for_each(&mut f)?;
        }
    }

    pub(crate) fn entry(&self, job: &str, number: u32) -> Result<Option<Row>, Fault> {
        self.one(sql::ENTRY, &[job.into(), number.into()], Cells::row)
    }

    pub(crate) fn by_token(&self, job: &str, token: &str) -> Result<Option<Row>, Fault> {
        self.one(sql::BY_TOKEN, &[job.into(), token.into()], Cells::row)
    }

    pub(crate) fn hash_at(&self, job: &str, number: u32) -> Result<Option<String>, Fault> {
        self.one(sql::HASH_AT, &[job.into(), number.into()], Cells::text)
    }

    pub(crate) fn corrected_by(&self, job: &str, number: u32) -> Result<Option<u32>, Fault> {
        self.one(sql::CORRECTED_BY, &[job.into(), number.into()], Cells::count)
    }

    /// The entry with that hash.
    pub(crate) fn with_hash(&self, job: &str, hash: &str) -> Result<Option<u32>, Fault> {
        self.one(sql::WITH_HASH, &[job.into(), hash.into()], Cells::count)
    }

    pub(crate) fn add_entry(&self, row: &Row) -> Result<(), Fault> {
        self.add(
            sql::ADD_ENTRY,
            &[
                row.job.as_str().into(),
                row.number.into(),
                row.at_ms.into(),
                row.by.as_str().into(),
                row.device.as_str().into(),
                row.token.as_str().into(),
                row.kind.as_str().into(),
                row.about.as_str().into(),
                row.value.as_str().into(),
                row.corrects.map_or(Cell::Nothing, Cell::from),
                row.before.as_str().into(),
                row.hash.as_str().into(),
            ],
        )
    }

    pub(crate) fn blob(&self, sha256: &str) -> Result<Option<Vec<u8>>, Fault> {
        self.one(sql::BLOB, &[sha256.into()], Cells::bytes)
    }

    pub(crate) fn has_blob(&self, sha256: &str) -> Result<bool, Fault> {
        Ok(self.one(sql::HAS_BLOB, &[sha256.into()], Cells::number)?.is_some())
    }

    /// Keeps the bytes, once.
    pub(crate) fn keep_blob(&self, sha256: &str, bytes: &[u8]) -> Result<(), Fault> {
        if self.has_blob(sha256)? {
            return Ok(());
        }
        self.add(sql::ADD_BLOB, &[sha256.into(), Cell::Bytes(bytes.to_vec())])
    }

    /// The next photo of layout 1 after an entry: job, number, bytes.
    fn first_photo(&self, job: &str, number: u32) -> Result<Option<(String, u32, Vec<u8>)>, Fault> {
        self.one(sql::FIRST_PHOTO, &[job.into(), number.into()], |c| Ok((c.text()?, c.count()?, c.bytes()?)))
    }

    /// Makes an empty file a record, or brings an older layout up to date; as a whole or not at all.
    pub(crate) fn bring_up(&self) -> Result<(), Fault> {
        let layout = || self.db.layout().map_err(|r| self.fault(r));
        if layout()? == sql::LAYOUT {
            return Ok(());
        }
        self.within(For::Writing, |ask| {
            let run = |sql: &str| ask.db.run(sql, &[]).map_err(|r| ask.fault(r)).map(|_| ());
            // Another program may have done it meanwhile.
            match layout()? {
                0 => sql::TABLES.iter().chain(&sql::SECOND).try_for_each(|s| run(s))?,
                1 => {
                    sql::SECOND.iter().try_for_each(|s| run(s))?;
                    let mut last = (String::new(), 0);
                    while let Some((job, number, bytes)) = ask.first_photo(&last.0, last.1)? {
                        ask.keep_blob(&hash::of_bytes(&bytes), &bytes)?;
                        last = (job, number);
                    }
                    run(sql::FIRST_PHOTOS_GO)?;
                }
                _ => return Ok(()),
            }
            sql::TRIGGERS.iter().try_for_each(|s| run(s))?;
            ask.db.set_layout(sql::LAYOUT).map_err(|r| ask.fault(r))
        })
    }

    /// Drops the rules that nothing is changed, or sets them again: for a salvage, whose rows have gaps.
    pub(crate) fn rules(&self, hold: bool) -> Result<(), Fault> {
        for rule in sql::TRIGGERS {
            let name = rule.split_whitespace().nth(2).unwrap_or_default();
            let drop = format!("DROP TRIGGER {name}");
            self.db.run(if hold { rule } else { &drop }, &[]).map_err(|r| self.fault(r))?;
        }
        Ok(())
    }
}
