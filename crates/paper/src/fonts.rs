//! The faces that a file may use: all from packages, none from the machine, so that the same document makes the same
//! bytes everywhere.

use std::borrow::Cow;
use std::sync::Arc;

use krilla::text::Font;
use parley::fontique::{Blob, Charmap, Collection, CollectionOptions, GenericFamily, SourceCache};
use parley::{FontContext, FontFamily, FontFamilyName};
use usvg::fontdb;

use crate::Fault;

/// The family of all text, in the order in which a letter is looked for: Latin, Greek, Cyrillic, Arabic, Hebrew and most
/// signs in the first, emoji in the second.
static FAMILIES: [FontFamilyName<'static>; 2] =
    [FontFamilyName::named("DejaVu Sans"), FontFamilyName::named("Noto Emoji")];

/// Height above the base line and depth below it of the first family, in shares of the type size.
pub(crate) const ASCENT: f32 = 0.928;
/// See [`ASCENT`].
pub(crate) const DESCENT: f32 = 0.236;

/// The faces, for text that is set here.
pub(crate) struct Faces {
    /// For shaping.
    pub(crate) context: FontContext,
    /// For the file, with the number by which shaping names them.
    files: Vec<(u64, Font)>,
    /// For looking up letters.
    letters: Vec<Charmap<'static>>,
    /// For drawings.
    drawings: Arc<fontdb::Database>,
}

fn data() -> [&'static [u8]; 3] {
    [dejavu::sans::regular(), dejavu::sans::bold(), epaint_default_fonts::NOTO_EMOJI_REGULAR]
}

/// The families that text is set in.
pub(crate) fn family() -> FontFamily<'static> {
    FontFamily::List(Cow::Borrowed(&FAMILIES))
}

impl Faces {
    /// All faces.
    pub(crate) fn load() -> Result<Self, Fault> {
        let options = CollectionOptions { shared: false, system_fonts: false };
        let mut context =
            FontContext { collection: Collection::new(options), source_cache: SourceCache::default() };
        let mut files = Vec::new();
        let mut letters = Vec::new();
        for bytes in data() {
            let blob = Blob::new(Arc::new(bytes));
            let font = Font::new(bytes.into(), 0)
                .ok_or_else(|| Fault { what: "a face in the program cannot be read".to_owned() })?;
            files.push((blob.id(), font));
            let families = context.collection.register_fonts(blob, None);
            let faces = families.iter().flat_map(|(_, faces)| faces);
            letters.extend(faces.filter_map(|face| face.charmap_index().charmap(bytes)));
            if files.len() == data().len() {
                let ids = families.into_iter().map(|(id, _)| id);
                context.collection.set_generic_families(GenericFamily::Emoji, ids);
            }
        }
        Ok(Self { context, files, letters, drawings: for_drawings() })
    }

    /// Whether a face has a letter.
    pub(crate) fn has(&self, c: char) -> bool {
        self.letters.iter().any(|letters| letters.map(c).is_some_and(|glyph| glyph != 0))
    }

    /// The same faces, for drawings.
    pub(crate) fn drawings(&self) -> Arc<fontdb::Database> {
        self.drawings.clone()
    }

    /// The face that shaping calls `id`.
    pub(crate) fn file(&self, id: u64) -> Option<&Font> {
        self.files.iter().find(|(known, _)| *known == id).map(|(_, font)| font)
    }
}

/// The same faces for drawings. Every family that a drawing may name ends at `DejaVu Sans`: names that are not there
/// (`Helvetica`, `Arial`) are passed over, `sans-serif` and its like mean it.
fn for_drawings() -> Arc<fontdb::Database> {
    let mut faces = fontdb::Database::new();
    for bytes in data() {
        faces.load_font_source(fontdb::Source::Binary(Arc::new(bytes)));
    }
    faces.set_sans_serif_family("DejaVu Sans");
    faces.set_serif_family("DejaVu Sans");
    faces.set_monospace_family("DejaVu Sans");
    faces.set_cursive_family("DejaVu Sans");
    faces.set_fantasy_family("DejaVu Sans");
    Arc::new(faces)
}
