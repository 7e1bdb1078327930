//! A job file read, checked line by line, and taken in as a whole or not at all.

use crate::ask::Ask;
use crate::database::For;
use crate::entry::{Head, Job, Row, check_bytes, one_line};
use crate::fault::{Fault, shown};
use crate::hash;
use crate::limits::ENTRIES;
use crate::line::{AGAIN, FORMAT, First, Line, Lines, VERSION};
use crate::store::Store;
use crate::verify::Rules;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::collections::BTreeSet;
use std::io::{Read, Seek, SeekFrom};

/// What an import did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Imported {
    /// The job's id.
    pub job: String,
    /// Whether the job was not there before.
    pub new: bool,
    /// How many entries were added.
    pub added: u32,
    /// The last entry that the record has now.
    pub head: Head,
}

/// One thing that a job file has in it, checked against all before it.
enum Piece {
    Job(Job, String),
    Entry(Row),
    Blob(String, Vec<u8>),
}

/// What a whole file was found to be.
struct Found {
    job: Job,
    heading: String,
    hashes: Vec<String>,
    photos: Vec<String>,
}

impl Store {
    /// Takes in a job file. A job that is there already is carried on if the file begins with all that is here; if the record is the
    /// longer of the two, nothing is done. All is checked before anything is written, and all of it is written or nothing.
    ///
    /// # Errors
    ///
    /// The line at which the file is no job file or was changed; [`Fault::Diverged`] if both went on differently; a file that cannot
    /// be written. Nothing is changed then.
    pub fn import<R: Read + Seek>(&mut self, source: &mut R) -> Result<Imported, Fault> {
        let cannot = |e: std::io::Error| Fault::Line {
            line: 1,
            why: format!("it cannot be read: {e}"),
            mend: "check the disk, and try again".into(),
        };
        let start = source.stream_position().map_err(cannot)?;
        let found = look(source)?;
        source.seek(SeekFrom::Start(start)).map_err(cannot)?;
        self.ask.within(For::Writing, |ask| take(ask, &found, source))
    }
}

fn look(source: &mut impl Read) -> Result<Found, Fault> {
    let mut job = None;
    let (mut hashes, mut photos) = (Vec::new(), Vec::new());
    let line = read(source, &mut |piece| {
        match piece {
            Piece::Job(heading, hash) => job = Some((heading, hash)),
            Piece::Entry(row) => hashes.push(row.hash),
            Piece::Blob(sha256, _) => photos.push(sha256),
        }
        Ok(())
    })?;
    match job {
        Some((job, heading)) => Ok(Found { job, heading, hashes, photos }),
        None => Err(Fault::Line { line, why: "there is no job".into(), mend: AGAIN.into() }),
    }
}

/// How many entries the file and the record have in common; a fault where neither is the beginning of the other.
fn common(ask: &Ask, found: &Found, here: u32) -> Result<u32, Fault> {
    let there = u32::try_from(found.hashes.len()).unwrap_or(u32::MAX);
    let mut most = here.min(there);
    let same = |number: u32| -> Result<bool, Fault> {
        let theirs = number.checked_sub(1).and_then(|i| found.hashes.get(i as usize));
        Ok(number == 0 || ask.hash_at(&found.job.id, number)?.as_ref() == theirs)
    };
    if same(most)? {
        return Ok(most);
    }
    // Where an entry is the same, all before it are: halve.
    let mut least = 0;
    while most - least > 1 {
        let middle = least + (most - least) / 2;
        if same(middle)? {
            least = middle;
        } else {
            most = middle;
        }
    }
    Err(Fault::Diverged { job: found.job.id.clone(), common: least, here, there })
}

fn take(ask: &Ask, found: &Found, source: &mut impl Read) -> Result<Imported, Fault> {
    let id = &found.job.id;
    let there = ask.job(id)?;
    let new = there.is_none();
    if there.is_some_and(|(_, hash)| hash != found.heading) {
        return Err(Fault::JobExists { job: id.clone() });
    }
    let here = if new { 0 } else { ask.head(id)?.number };
    let common = common(ask, found, here)?;
    let mut wanted = BTreeSet::new();
    for sha256 in &found.photos {
        if !ask.has_blob(sha256)? {
            wanted.insert(sha256.as_str());
        }
    }
    let mut added = 0;
    if new || common > here || found.hashes.len() > here as usize || !wanted.is_empty() {
        // Read and checked a second time, since the file is not held in memory.
        let mut hashes = found.hashes.iter();
        read(source, &mut |piece| match piece {
            Piece::Job(job, hash) if new => ask.add_job(&job, &hash),
            Piece::Entry(row) if hashes.next() != Some(&row.hash) => {
                let why = "it changed while it was read".into();
                Err(Fault::Line { line: u64::from(row.number) + 2, why, mend: "try again".into() })
            }
            Piece::Entry(row) if row.number > here => {
                added += 1;
                ask.add_entry(&row)
            }
            Piece::Blob(sha256, bytes) if wanted.contains(sha256.as_str()) => ask.keep_blob(&sha256, &bytes),
            Piece::Job(..) | Piece::Entry(_) | Piece::Blob(..) => Ok(()),
        })?;
    }
    Ok(Imported { job: id.clone(), new, added, head: ask.head(id)? })
}

/// Reads a whole job file and hands over what is in it, each piece after it was checked. Gives the number of the last line.
fn read(source: &mut impl Read, sink: &mut dyn FnMut(Piece) -> Result<(), Fault>) -> Result<u64, Fault> {
    let mut lines = Lines::of(source);
    first(&mut lines)?;
    let (job, heading) = match parsed(&mut lines)? {
        Line::Job(line) => line.job(),
        _ => return Err(lines.fault("the job's heading belongs here", AGAIN)),
    };
    job.check().map_err(|e| lines.fault(one_line(&e), AGAIN))?;
    if hash::of_job(&job) != heading {
        return Err(lines.fault("the job's heading does not fit its hash", AGAIN));
    }
    let id = job.id.clone();
    let mut head = Head { number: 0, hash: heading.clone() };
    let mut rules = Rules::after_heading(&heading);
    sink(Piece::Job(job, heading))?;
    let mut photos: Option<BTreeSet<String>> = None;
    loop {
        match parsed(&mut lines)? {
            Line::Job(_) => return Err(lines.fault("a second job: a file has one", AGAIN)),
            Line::Entry(_) if photos.is_some() => {
                return Err(lines.fault("an entry stands after the photos", AGAIN));
            }
            Line::Entry(line) => {
                let row = line.row(&id);
                follows(&row, &head, &mut rules).map_err(|why| lines.fault(why, AGAIN))?;
                head = Head { number: row.number, hash: row.hash.clone() };
                sink(Piece::Entry(row))?;
            }
            Line::Blob(line) => {
                let left = photos.get_or_insert_with(|| rules.photos.keys().cloned().collect());
                let fault = |why: String| lines.fault(why, AGAIN);
                if !left.remove(&line.sha256) {
                    return Err(fault("no entry shows this photo, or it stands here twice".into()));
                }
                let bytes =
                    STANDARD.decode(line.base64).map_err(|e| fault(format!("its base64 is not: {e}")))?;
                check_bytes(bytes.len()).map_err(|e| fault(one_line(&e)))?;
                if hash::of_bytes(&bytes) != line.sha256 {
                    return Err(fault("the photo does not fit its hash".into()));
                }
                sink(Piece::Blob(line.sha256, bytes))?;
            }
            Line::Head(line) => {
                if line.head() != head {
                    let why = format!("the last line does not fit: the entries end at {}", head.number);
                    return Err(lines.fault(why, AGAIN));
                }
                let left = photos.unwrap_or_else(|| rules.photos.keys().cloned().collect());
                if let Some(sha256) = left.first() {
                    return Err(lines.fault(format!("the photo {sha256} is missing"), AGAIN));
                }
                let last = lines.number;
                return match lines.next()? {
                    None => Ok(last),
                    Some(_) => Err(lines.fault("the last line of the job stands before it", AGAIN)),
                };
            }
        }
    }
}

fn first<R: Read>(lines: &mut Lines<R>) -> Result<(), Fault> {
    const OTHER: &str = "choose a job file that this program wrote";
    let Some(text) = lines.next()? else { return Err(lines.fault("the file is empty", OTHER)) };
    let Ok(first) = serde_json::from_str::<First>(&text) else {
        return Err(lines.fault(format!("no job file begins with \"{}\"", shown(&text)), OTHER));
    };
    if first.format != FORMAT {
        return Err(lines.fault(format!("its format is \"{}\"", shown(&first.format)), OTHER));
    }
    if first.version != VERSION {
        let why = format!("its format has version {}, this program reads version {VERSION}", first.version);
        return Err(lines.fault(why, "update this program"));
    }
    Ok(())
}

fn parsed<R: Read>(lines: &mut Lines<R>) -> Result<Line, Fault> {
    let Some(text) = lines.next()? else {
        return Err(lines.fault("the file ends before its last line: it is cut off", AGAIN));
    };
    serde_json::from_str(&text).map_err(|e| {
        // The parser counts lines of its own text, which is one line.
        let why = e.to_string().replace(" at line 1 column", ", column");
        lines.fault(format!("it is no line of a job file: {}", shown(&why)), AGAIN)
    })
}

fn follows(row: &Row, head: &Head, rules: &mut Rules) -> Result<(), String> {
    if row.number != head.number + 1 {
        return Err(format!("entry {} stands where entry {} belongs", row.number, head.number + 1));
    }
    if row.number > ENTRIES {
        return Err(format!("a job has no more than {ENTRIES} entries"));
    }
    if row.before != head.hash {
        return Err(format!("entry {} was not written after entry {}", row.number, head.number));
    }
    if hash::of_entry(row) != row.hash {
        return Err(format!("entry {} does not fit its hash", row.number));
    }
    rules.next(row).map_err(|e| format!("entry {}: {}", row.number, one_line(&e)))
}
