//! Headings, text, tables and drawings to a PDF that can be searched and read aloud.
//!
//! Knows nothing of rigs: what is said comes in finished, as [`Block`]s; where it stands on which page is worked out here.
//!
//! Files claim PDF/UA-1 and are checked against it as they are written: tags, a title, a language, bookmarks, words for
//! each drawing. The same document makes the same bytes on every machine: faces come from packages, and nothing
//! reads a clock.
//!
//! Drawings that ask for `Helvetica, Arial, 'DejaVu Sans', sans-serif` get `DejaVu Sans` of the package, as does one that asks
//! for any other; the machine's own faces are never looked at.

mod banner;
pub mod block;
mod figure;
mod flow;
mod fonts;
mod lay;
mod page;
mod part;
mod plain;
mod setting;
mod sheet;
mod sign;
mod table;
mod tags;
mod words;

use krilla::SerializeSettings;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::metadata::Metadata;

pub use block::{
    Align, Banner, Block, Cell, Column, Document, Figure, Format, Run, Signature, Table, Tone, Weight, Wide,
};

use lay::Lay;
use page::Set;
use setting::Setter;
use sheet::{MM, Sheet};

/// Smallest and largest type, pt.
const TYPE: (f32, f32) = (5.0, 24.0);
/// The smallest type that a card of one side is set in, pt.
const SMALLEST_CARD: f32 = 6.0;
/// Where the size asked for is no number, pt.
const TYPE_ELSE: f32 = 9.0;
/// What each step towards one side makes the type smaller by.
const STEP: f32 = 0.95;

/// Why no file could be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What went wrong, in words.
    pub what: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.what)
    }
}

impl std::error::Error for Fault {}

/// The document as a PDF file. One without running heads is a card of one side: its type is made smaller, down to 6 pt,
/// until it fits.
///
/// # Errors
///
/// [`Fault`] where a drawing cannot be read, a card does not fit on one side, or the PDF library refuses what it is given.
pub fn pdf(document: &Document) -> Result<Vec<u8>, Fault> {
    let mut setter = Setter::new()?;
    let mut set = set(document, &mut setter)?;
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|_| Fault { what: "the PDF library does not know PDF/UA-1".to_owned() })?;
    let settings = SerializeSettings { configuration, enable_tagging: true, ..SerializeSettings::default() };
    let mut file = krilla::Document::new_with(settings);
    file.set_metadata(Metadata::new().title(title(&document.title)).language("en".to_owned()));
    page::draw(&mut file, &mut set, document, &mut setter)?;
    file.finish().map_err(|why| Fault { what: format!("the PDF library refuses the document: {why:?}") })
}

/// How many pages the document has.
///
/// # Errors
///
/// As [`pdf`].
pub fn pages(document: &Document) -> Result<usize, Fault> {
    Ok(set(document, &mut Setter::new()?)?.pages.len())
}

/// Width and height that a page leaves for text and drawings, mm: a drawing to scale must be no larger, less its heading and
/// the line under it.
pub fn room_mm(format: Format, running: bool) -> (f64, f64) {
    let sheet = Sheet::new(format, running);
    (f64::from(sheet.text_wide() / MM), f64::from(sheet.text_high() / MM))
}

/// A title that is never empty, for the file must have one.
fn title(text: &str) -> String {
    let words = words::paragraphs(&[Run::plain(text)]);
    let flat = words.iter().flat_map(|w| w.said.split_whitespace()).collect::<Vec<_>>().join(" ");
    if flat.is_empty() { "Untitled".to_owned() } else { flat }
}

/// Everything on its page.
fn set(document: &Document, setter: &mut Setter) -> Result<Set, Fault> {
    let asked = sheet::points(document.type_pt);
    let size = if asked.is_finite() { asked.clamp(TYPE.0, TYPE.1) } else { TYPE_ELSE };
    let drawings = &figure::read_all(&document.blocks, &setter.faces.drawings());
    if document.running {
        return set_at(document, setter, size, drawings);
    }
    let smallest = SMALLEST_CARD.min(size);
    let mut best = set_at(document, setter, smallest, drawings)?;
    if best.pages.len() > 1 {
        let what = format!(
            "the card has more than one side holds, even in type of {smallest:.0} pt: leave something out or print the sheet"
        );
        return Err(Fault { what });
    }
    let mut size = size;
    while size > smallest {
        let set = set_at(document, setter, size, drawings)?;
        if set.pages.len() == 1 {
            best = set;
            break;
        }
        size *= STEP;
    }
    Ok(best)
}

/// Everything on its page in a size of type.
fn set_at(
    document: &Document,
    setter: &mut Setter,
    size: f32,
    drawings: &[figure::Read],
) -> Result<Set, Fault> {
    let sheet = Sheet::new(document.format, document.running);
    let room = (sheet.text_wide(), sheet.text_high());
    let mut lay = Lay::new(setter, size, room, drawings);
    lay.blocks(&document.blocks)?;
    let pages = flow::pages(&lay.parts, room.1);
    let Lay { parts, frames, tags, .. } = lay;
    Ok(Set { sheet, parts, frames, pages, tags })
}
