//! Reads a file back: what stands where on each page, the tags, the bookmarks.

use std::collections::BTreeMap;

use hayro_syntax::Pdf;
use hayro_syntax::object::{Array, Dict, Name, Object, ObjectIdentifier, Stream, String as PdfString};

/// Text that was shown in one go.
#[derive(Clone, Debug)]
pub struct Shown {
    pub text: String,
    pub artifact: bool,
    pub content: Option<i32>,
    pub font: String,
    pub size: f64,
    /// Left, right and base line, pt from the left and from the top.
    pub left: f64,
    pub right: f64,
    pub base: f64,
}

/// A straight stroke or an edge of a shape.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    pub from: (f64, f64),
    pub to: (f64, f64),
}

#[derive(Debug, Default)]
pub struct Page {
    pub wide: f64,
    pub high: f64,
    pub shown: Vec<Shown>,
    pub edges: Vec<Edge>,
    /// Dash patterns set.
    pub dashes: usize,
}

/// A node of the tag tree.
#[derive(Clone, Debug, Default)]
pub struct Tag {
    pub role: String,
    pub alt: String,
    pub scope: String,
    pub text: String,
    pub under: Vec<Tag>,
}

#[derive(Debug, Default)]
pub struct Read {
    pub title: String,
    pub language: String,
    pub metadata: String,
    pub shows_title: bool,
    pub pages: Vec<Page>,
    pub tags: Vec<Tag>,
    /// Depth, words, page.
    pub bookmarks: Vec<(usize, String, usize)>,
    /// Name, and whether it is in the file.
    pub fonts: BTreeMap<String, bool>,
}

impl Page {
    /// What was shown, head and foot apart.
    pub fn text(&self) -> String {
        self.shown.iter().filter(|s| !s.artifact).map(|s| s.text.as_str()).collect()
    }

    /// Head, foot and table heads that stand again.
    pub fn artifacts(&self) -> Vec<String> {
        self.shown.iter().filter(|s| s.artifact).map(|s| s.text.clone()).collect()
    }
}

impl Read {
    /// All text in the order of the tags.
    pub fn text(&self) -> String {
        self.tags.iter().map(Tag::whole).collect()
    }

    /// All nodes with a role, in order.
    pub fn all(&self, role: &str) -> Vec<Tag> {
        fn walk(tag: &Tag, role: &str, found: &mut Vec<Tag>) {
            if tag.role == role {
                found.push(tag.clone());
            }
            tag.under.iter().for_each(|inner| walk(inner, role, found));
        }
        let mut found = Vec::new();
        self.tags.iter().for_each(|tag| walk(tag, role, &mut found));
        found
    }
}

impl Tag {
    /// Its text and that of all under it.
    pub fn whole(&self) -> String {
        self.text.clone() + &self.under.iter().map(Tag::whole).collect::<String>()
    }
}

/// Reads a file.
pub fn read(bytes: Vec<u8>) -> Read {
    let pdf = Pdf::new(bytes).expect("a PDF");
    let mut read = Read::default();
    let root: Dict = pdf.xref().get(pdf.xref().root_id()).expect("a catalogue");
    read.title = pdf.metadata().title.as_deref().map(words).unwrap_or_default();
    read.language = root.get::<PdfString>("Lang").map(|s| words(s.as_bytes())).unwrap_or_default();
    let metadata: Option<Stream> = root.get("Metadata");
    read.metadata = metadata
        .map(|s| String::from_utf8_lossy(&s.decoded().expect("metadata")).into_owned())
        .unwrap_or_default();
    let viewer: Option<Dict> = root.get("ViewerPreferences");
    read.shows_title = viewer.and_then(|d| d.get::<bool>("DisplayDocTitle")).unwrap_or(false);
    let mut numbers = BTreeMap::new();
    let mut contents = BTreeMap::new();
    for (number, page) in pdf.pages().iter().enumerate() {
        numbers.insert(page.raw().obj_id().expect("a page's number"), number);
        let (wide, high) = page.render_dimensions();
        let mut canvas = Canvas { high: f64::from(high), ..Canvas::default() };
        let fonts: Dict =
            page.raw().get::<Dict>("Resources").and_then(|r| r.get("Font")).unwrap_or(Dict::empty());
        for name in fonts.keys() {
            let font = font(&fonts.get::<Dict>(name.clone()).expect("a font"));
            read.fonts.insert(font.name.clone(), font.embedded);
            canvas.fonts.insert(name.as_str().to_owned(), font);
        }
        let mut operations = page.operations();
        while let Some(operation) = operations.next() {
            let operands: Vec<Object> = operation.operands().cloned().collect();
            canvas.operate(operation.operator, &operands);
        }
        for shown in &canvas.page.shown {
            if let Some(content) = shown.content {
                contents.entry((number, content)).or_insert_with(String::new).push_str(&shown.text);
            }
        }
        canvas.page.wide = f64::from(wide);
        canvas.page.high = f64::from(high);
        read.pages.push(canvas.page);
    }
    let tree: Option<Dict> = root.get("StructTreeRoot");
    if let Some(tree) = tree {
        read.tags = tags(&tree, None, &numbers, &contents).under;
        // The whole document stands under one node.
        if let [only] = read.tags.as_slice()
            && only.role == "Document"
        {
            let under = only.under.clone();
            read.tags = under;
        }
    }
    let outlines: Option<Dict> = root.get("Outlines");
    if let Some(outlines) = outlines {
        bookmarks(&outlines, 0, &numbers, &mut read.bookmarks);
    }
    read
}

fn words(bytes: &[u8]) -> String {
    match bytes {
        [0xfe, 0xff, rest @ ..] => {
            let units: Vec<u16> =
                rest.as_chunks::<2>().0.iter().map(|pair| u16::from_be_bytes(*pair)).collect();
            String::from_utf16_lossy(&units)
        }
        _ => String::from_utf8_lossy(bytes).into_owned(),
    }
}

fn bookmarks(
    under: &Dict,
    depth: usize,
    numbers: &BTreeMap<ObjectIdentifier, usize>,
    found: &mut Vec<(usize, String, usize)>,
) {
    let mut next: Option<Dict> = under.get("First");
    while let Some(item) = next {
        let title = item.get::<PdfString>("Title").map(|s| words(s.as_bytes())).unwrap_or_default();
        let place: Array = item.get("Dest").expect("a place");
        let page = place.raw_iter().next().and_then(|o| o.as_obj_ref()).expect("a page");
        found.push((depth, title, numbers[&page.into()]));
        bookmarks(&item, depth + 1, numbers, found);
        next = item.get("Next");
    }
}

fn tags(
    node: &Dict,
    page: Option<usize>,
    numbers: &BTreeMap<ObjectIdentifier, usize>,
    contents: &BTreeMap<(usize, i32), String>,
) -> Tag {
    let text = |key: &str| node.get::<PdfString>(key).map(|s| words(s.as_bytes())).unwrap_or_default();
    let page = node.get_ref("Pg").map(|r| numbers[&r.into()]).or(page);
    let mut tag = Tag {
        role: node.get::<Name>("S").map(|n| n.as_str().to_owned()).unwrap_or_default(),
        alt: text("Alt"),
        ..Tag::default()
    };
    let attributes: Vec<Dict> = match node.get::<Object>("A") {
        Some(Object::Array(all)) => all.iter::<Dict>().collect(),
        Some(Object::Dict(one)) => vec![one],
        _ => Vec::new(),
    };
    tag.scope = attributes
        .iter()
        .find_map(|a| a.get::<Name>("Scope"))
        .map(|n| n.as_str().to_owned())
        .unwrap_or_default();
    let kids: Vec<Object> = match node.get::<Object>("K") {
        Some(Object::Array(all)) => all.iter::<Object>().collect(),
        Some(one) => vec![one],
        None => Vec::new(),
    };
    for kid in kids {
        match kid {
            Object::Number(number) => {
                let key = (page.expect("content on a page"), number.as_i64() as i32);
                tag.text.push_str(contents.get(&key).map_or("", String::as_str));
            }
            Object::Dict(inner) if inner.get::<Name>("Type").is_some_and(|n| n.as_str() == "MCR") => {
                let page = inner.get_ref("Pg").map(|r| numbers[&r.into()]).or(page);
                let key = (page.expect("content on a page"), inner.get::<i32>("MCID").expect("a number"));
                tag.text.push_str(contents.get(&key).map_or("", String::as_str));
            }
            Object::Dict(inner) => tag.under.push(tags(&inner, page, numbers, contents)),
            _ => {}
        }
    }
    tag
}

#[derive(Clone, Debug, Default)]
struct Font {
    name: String,
    embedded: bool,
    letters: BTreeMap<u32, String>,
    widths: BTreeMap<u32, f64>,
}

fn font(dict: &Dict) -> Font {
    let mut font = Font {
        name: dict.get::<Name>("BaseFont").map(|n| n.as_str().to_owned()).unwrap_or_default(),
        ..Font::default()
    };
    let inner: Dict =
        dict.get::<Array>("DescendantFonts").and_then(|a| a.iter::<Dict>().next()).expect("a CID font");
    let about: Dict = inner.get("FontDescriptor").expect("a descriptor");
    font.embedded = about.get::<Stream>("FontFile2").is_some();
    let mut items = inner.get::<Array>("W").expect("widths").iter::<Object>().collect::<Vec<_>>().into_iter();
    while let Some(first) = items.next() {
        let first = number(&first) as u32;
        match items.next() {
            Some(Object::Array(all)) => {
                for (k, wide) in all.iter::<Object>().enumerate() {
                    font.widths.insert(first + k as u32, number(&wide));
                }
            }
            Some(last) => {
                let wide = number(&items.next().expect("a width"));
                (first..=number(&last) as u32).for_each(|code| {
                    font.widths.insert(code, wide);
                });
            }
            None => {}
        }
    }
    let map: Stream = dict.get("ToUnicode").expect("a map to letters");
    letters(&String::from_utf8_lossy(&map.decoded().expect("a map")), &mut font.letters);
    font
}

fn letters(map: &str, found: &mut BTreeMap<u32, String>) {
    let hex = |token: &str| -> Vec<u8> {
        let digits: String = token.chars().filter(char::is_ascii_hexdigit).collect();
        (0..digits.len() / 2)
            .map(|k| u8::from_str_radix(&digits[2 * k..2 * k + 2], 16).expect("hex"))
            .collect()
    };
    let code = |token: &str| hex(token).iter().fold(0_u32, |sum, byte| sum * 256 + u32::from(*byte));
    let text = |token: &str| {
        let mut bytes = vec![0xfe, 0xff];
        bytes.extend(hex(token));
        words(&bytes)
    };
    for (start, end, count) in [("beginbfchar", "endbfchar", 2), ("beginbfrange", "endbfrange", 3)] {
        for section in map.split(start).skip(1) {
            let section = section.split(end).next().unwrap_or_default();
            let tokens: Vec<&str> = section.split('>').filter(|t| t.contains('<')).collect();
            for entry in tokens.chunks_exact(count) {
                if count == 2 {
                    found.insert(code(entry[0]), text(entry[1]));
                } else {
                    let (from, to) = (code(entry[0]), code(entry[1]));
                    let first = text(entry[2]).chars().next().expect("a letter");
                    for k in from..=to {
                        let letter = char::from_u32(first as u32 + k - from).expect("a letter");
                        found.insert(k, letter.to_string());
                    }
                }
            }
        }
    }
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Number(n) => n.as_f64(),
        other => panic!("{other:?} is no number"),
    }
}

type Matrix = [f64; 6];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

const SAME: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

#[derive(Debug, Default)]
struct Marked {
    artifact: bool,
    content: Option<i32>,
    actual: Option<String>,
    reversed: bool,
}

#[derive(Debug, Default)]
struct Canvas {
    high: f64,
    page: Page,
    fonts: BTreeMap<String, Font>,
    now: Option<Matrix>,
    saved: Vec<Matrix>,
    text: Option<Matrix>,
    font: String,
    size: f64,
    marked: Vec<Marked>,
    point: (f64, f64),
}

impl Canvas {
    fn operate(&mut self, operator: &[u8], operands: &[Object]) {
        let numbers = || operands.iter().map(number).collect::<Vec<_>>();
        let matrix = || <Matrix>::try_from(numbers()).expect("six numbers");
        match operator {
            b"q" => self.saved.push(self.now.unwrap_or(SAME)),
            b"Q" => self.now = Some(self.saved.pop().expect("a saved state")),
            b"cm" => self.now = Some(times(matrix(), self.now.unwrap_or(SAME))),
            b"Tm" => self.text = Some(matrix()),
            b"Tf" => {
                let Object::Name(name) = &operands[0] else { panic!("a font without a name") };
                name.as_str().clone_into(&mut self.font);
                self.size = number(&operands[1]);
            }
            b"TJ" => {
                let Object::Array(all) = &operands[0] else { panic!("no array to show") };
                self.show(&all.iter::<Object>().collect::<Vec<_>>());
            }
            b"Tj" => self.show(operands),
            b"BMC" | b"BDC" => self.begin(operands),
            b"EMC" => {
                let done = self.marked.pop().expect("marked content");
                assert!(done.actual.is_none_or(|text| text.is_empty()), "text of no glyph");
            }
            b"m" => self.point = self.at(&numbers()),
            b"l" => {
                let to = self.at(&numbers());
                self.page.edges.push(Edge { from: self.point, to });
                self.point = to;
            }
            b"d" => self.page.dashes += 1,
            _ => {}
        }
    }

    fn at(&self, point: &[f64]) -> (f64, f64) {
        let m = self.now.unwrap_or(SAME);
        let (x, y) = (point[0], point[1]);
        (m[0] * x + m[2] * y + m[4], self.high - (m[1] * x + m[3] * y + m[5]))
    }

    fn begin(&mut self, operands: &[Object]) {
        let Object::Name(name) = &operands[0] else { panic!("marked content without a name") };
        let before = self.marked.last();
        let mut marked = Marked {
            artifact: name.as_str() == "Artifact" || before.is_some_and(|m| m.artifact),
            content: before.and_then(|m| m.content),
            actual: None,
            reversed: name.as_str() == "ReversedChars" || before.is_some_and(|m| m.reversed),
        };
        if let Some(Object::Dict(about)) = operands.get(1) {
            marked.content = about.get::<i32>("MCID").or(marked.content);
            marked.actual = about.get::<PdfString>("ActualText").map(|s| words(s.as_bytes()));
        }
        self.marked.push(marked);
    }

    fn show(&mut self, items: &[Object]) {
        let font = &self.fonts[&self.font];
        let mut x = 0.0;
        let mut letters: Vec<&str> = Vec::new();
        for item in items {
            match item {
                Object::Number(back) => x -= back.as_f64() / 1000.0 * self.size,
                Object::String(codes) => {
                    for pair in codes.as_bytes().as_chunks::<2>().0 {
                        let code = u32::from(u16::from_be_bytes(*pair));
                        assert_ne!(code, 0, "a glyph that stands for none");
                        x += font.widths.get(&code).copied().unwrap_or(1000.0) / 1000.0 * self.size;
                        letters.push(font.letters.get(&code).expect("a glyph without a letter"));
                    }
                }
                other => panic!("{other:?} cannot be shown"),
            }
        }
        let reversed = self.marked.last().is_some_and(|m| m.reversed);
        let marked = self.marked.iter_mut().rev().find(|m| m.actual.is_some());
        let text = match marked.and_then(|m| m.actual.as_mut()) {
            Some(actual) => std::mem::take(actual),
            None if reversed => letters.iter().rev().copied().collect(),
            None => letters.concat(),
        };
        let last = self.marked.last().expect("all text is marked");
        let m = times(self.text.expect("a place"), self.now.unwrap_or(SAME));
        let place = |x: f64| (m[0] * x + m[4], self.high - (m[1] * x + m[5]));
        let ((left, base), (right, _)) = (place(0.0), place(x));
        self.page.shown.push(Shown {
            text,
            artifact: last.artifact,
            content: last.content,
            font: font.name.clone(),
            size: self.size * m[0].abs(),
            left: left.min(right),
            right: left.max(right),
            base,
        });
    }
}
