//! Rows read straight from the pages of a damaged `SQLite` file, without its trees and indexes.
//!
//! Every page that looks like a leaf of a table is read, in the file and in the log beside it; what comes out may be anything, so each
//! row must prove itself by its hash. The bytes are as in the engine's published "Database File Format" (from memory; the test
//! salvages what the engine wrote).

use crate::limits::{BLOB_BYTES, VALUE_BYTES};
use crate::sqlite::beside;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

/// A value of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Nothing,
    Number(i64),
    Text(String),
    Bytes(Vec<u8>),
    /// A fraction, or text that is not UTF-8.
    Strange,
}

const USUAL_SIZE: u32 = 4096;
const LOG_HEAD: u64 = 32;
const FRAME_HEAD: u64 = 24;

/// The pages of a file and of its log.
pub(crate) struct Pages {
    file: File,
    log: Option<File>,
    size: u32,
    count: u32,
    /// Committed images in the log: page and place, the oldest first.
    images: Vec<(u32, u64)>,
    /// The newest of them of each page.
    newest: BTreeMap<u32, u64>,
}

fn be16(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at + 2)?.try_into().ok().map(|b| u16::from_be_bytes(b).into())
}

fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at + 4)?.try_into().ok().map(u32::from_be_bytes)
}

/// As many bytes as there are, up to so many.
fn at(file: &mut File, place: u64, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.seek(SeekFrom::Start(place))?;
    file.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn page_size(found: u32) -> Option<u32> {
    let size = if found == 1 { 65_536 } else { found };
    (size.is_power_of_two() && (512..=65_536).contains(&size)).then_some(size)
}

impl Pages {
    pub(crate) fn open(path: &Path) -> io::Result<Self> {
        let mut file = File::open(path)?;
        let head = at(&mut file, 0, 100)?;
        let mut log = File::open(beside(path, "-wal")).ok();
        let log_head = match &mut log {
            Some(log) => at(log, 0, LOG_HEAD)?,
            None => Vec::new(),
        };
        let magic = be32(&log_head, 0).is_some_and(|m| m & !1 == 0x377f_0682);
        let in_log = if magic { be32(&log_head, 8).and_then(page_size) } else { None };
        let size = in_log.or(be16(&head, 16).and_then(page_size)).unwrap_or(USUAL_SIZE);
        let length = file.metadata()?.len();
        let count = u32::try_from(length.div_ceil(size.into())).unwrap_or(u32::MAX);
        let mut pages = Self { file, log, size, count, images: Vec::new(), newest: BTreeMap::new() };
        if magic {
            pages.read_log(&log_head)?;
        }
        Ok(pages)
    }

    /// Finds the images that were committed; those of an earlier round have other salts.
    fn read_log(&mut self, head: &[u8]) -> io::Result<()> {
        let Some(log) = &mut self.log else { return Ok(()) };
        let (mut place, mut open) = (LOG_HEAD, Vec::new());
        loop {
            let frame = at(log, place, FRAME_HEAD)?;
            let (Some(page), Some(commit), Some(salts)) =
                (be32(&frame, 0), be32(&frame, 4), frame.get(8..16))
            else {
                break;
            };
            if head.get(16..24) != Some(salts) {
                break;
            }
            open.push((page, place + FRAME_HEAD));
            if commit != 0 {
                self.images.append(&mut open);
            }
            place += FRAME_HEAD + u64::from(self.size);
        }
        self.newest = self.images.iter().copied().collect();
        Ok(())
    }

    fn image(&mut self, place: u64) -> io::Result<Vec<u8>> {
        match &mut self.log {
            Some(log) => at(log, place, self.size.into()),
            None => Ok(Vec::new()),
        }
    }

    fn stored(&mut self, page: u32) -> io::Result<Vec<u8>> {
        at(&mut self.file, u64::from(page - 1) * u64::from(self.size), self.size.into())
    }

    fn page(&mut self, page: u32) -> io::Result<Vec<u8>> {
        match self.newest.get(&page) {
            Some(place) => self.image(*place),
            None => self.stored(page),
        }
    }

    /// Hands over every row found, some more than once. Gives how many pages could not be read at all.
    pub(crate) fn rows<E>(&mut self, mut f: impl FnMut(Vec<Part>) -> Result<(), E>) -> Result<u32, E> {
        let mut unread = 0;
        for page in 1..=self.count {
            match self.stored(page) {
                Ok(bytes) => self.leaf(&bytes, if page == 1 { 100 } else { 0 }, &mut f)?,
                Err(_) => unread += 1,
            }
        }
        for (page, place) in self.images.clone() {
            match self.image(place) {
                Ok(bytes) => self.leaf(&bytes, if page == 1 { 100 } else { 0 }, &mut f)?,
                Err(_) => unread += 1,
            }
        }
        Ok(unread)
    }

    fn leaf<E>(
        &mut self,
        page: &[u8],
        head: usize,
        f: &mut impl FnMut(Vec<Part>) -> Result<(), E>,
    ) -> Result<(), E> {
        if page.get(head) != Some(&13) {
            return Ok(());
        }
        for i in 0..be16(page, head + 3).unwrap_or(0) {
            let row = be16(page, head + 8 + 2 * i as usize)
                .and_then(|place| self.payload(page, place as usize))
                .and_then(|payload| record(&payload));
            row.map_or(Ok(()), &mut *f)?;
        }
        Ok(())
    }

    /// The bytes of a cell, with those that stand on overflow pages.
    fn payload(&mut self, page: &[u8], place: usize) -> Option<Vec<u8>> {
        let (length, after) = varint(page, place)?;
        let (_, start) = varint(page, after)?;
        let length = usize::try_from(length).ok().filter(|l| *l <= BLOB_BYTES + VALUE_BYTES)?;
        let size = self.size as usize;
        let most = size - 35;
        if length <= most {
            return page.get(start..start + length).map(<[u8]>::to_vec);
        }
        let least = (size - 12) * 32 / 255 - 23;
        let fill = least + (length - least) % (size - 4);
        let local = if fill <= most { fill } else { least };
        let mut bytes = page.get(start..start + local)?.to_vec();
        let mut next = be32(page, start + local)?;
        while bytes.len() < length {
            if next == 0 {
                return None;
            }
            let more = self.page(next).ok()?;
            let part = (length - bytes.len()).min(size - 4);
            bytes.extend_from_slice(more.get(4..4 + part)?);
            next = be32(&more, 0)?;
        }
        Some(bytes)
    }
}

/// A number of 1 to 9 bytes, seven bits each but the ninth, and the place after it.
fn varint(bytes: &[u8], mut place: usize) -> Option<(u64, usize)> {
    let mut value = 0_u64;
    for i in 0..9 {
        let byte = *bytes.get(place)?;
        place += 1;
        if i == 8 {
            return Some((value << 8 | u64::from(byte), place));
        }
        value = value << 7 | u64::from(byte & 0x7f);
        if byte < 0x80 {
            break;
        }
    }
    Some((value, place))
}

fn record(payload: &[u8]) -> Option<Vec<Part>> {
    const COLUMNS: usize = 20;
    let (head, mut place) = varint(payload, 0)?;
    let head = usize::try_from(head).ok()?;
    let (mut body, mut parts) = (head, Vec::new());
    while place < head {
        let (kind, after) = varint(payload, place)?;
        place = after;
        let length = usize::try_from(match kind {
            0 | 8 | 9 => 0,
            1..=4 => kind,
            5 => 6,
            6 | 7 => 8,
            10 | 11 => return None,
            _ => (kind - 12) / 2,
        })
        .ok()?;
        let bytes = payload.get(body..body.checked_add(length)?)?;
        body += length;
        parts.push(match kind {
            0 => Part::Nothing,
            1..=6 => {
                let negative = bytes.first().is_some_and(|b| *b >= 0x80);
                Part::Number(bytes.iter().fold(if negative { -1 } else { 0 }, |n, b| n << 8 | i64::from(*b)))
            }
            7 => Part::Strange,
            8 => Part::Number(0),
            9 => Part::Number(1),
            _ if kind % 2 == 0 => Part::Bytes(bytes.to_vec()),
            _ => String::from_utf8(bytes.to_vec()).map_or(Part::Strange, Part::Text),
        });
        if parts.len() > COLUMNS {
            return None;
        }
    }
    Some(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_every_length_are_read() {
        assert_eq!(varint(&[0x7f], 0), Some((127, 1)));
        assert_eq!(varint(&[0x81, 0x00], 0), Some((128, 2)));
        assert_eq!(varint(&[0xff; 9], 0), Some((u64::MAX, 9)));
        assert_eq!(varint(&[0x80], 0), None);
        // Header of 4 bytes: a one-byte number, nothing, a text of one letter.
        assert_eq!(
            record(&[4, 1, 0, 15, 0xff, b'a']),
            Some(vec![Part::Number(-1), Part::Nothing, Part::Text("a".into())])
        );
        assert_eq!(record(&[3, 6, 0]), None);
    }
}
