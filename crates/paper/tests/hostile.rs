//! Text that is hard to set: all of it is there, in order, on the page.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

mod common;

use common::reader::{Read, read};
use common::{document, specimen, tight};
use paper::{
    Align, Banner, Block, Cell, Document, Figure, Format, Run, Signature, Table, Tone, Weight, Wide,
};
use proptest::prelude::*;

/// Text and what is read back of it.
fn hostile() -> Vec<(&'static str, String, String)> {
    let same = |name, text: &str| (name, text.to_owned(), text.to_owned());
    vec![
        same("markup", "<b>&amp; \"x\" ' ]]> \\ (a) /Span << >> BDC</b>"),
        same("ligatures", "office fluff ffi ffl fjord ſt"),
        ("a long word", "w".repeat(2000), "w".repeat(2000)),
        ("a path", "/usr/a-b/".repeat(200), "/usr/a-b/".repeat(200)),
        same("Hebrew", "שלום עולם"),
        same("Arabic", "مرحبا بالعالم"),
        same("joined to the left", "لآ لا لإ الله"),
        same("mixed", "cup «شركة» at 12 kg, שלום (3)"),
        same("emoji", "😀 🚗 ⚠ ☂"),
        same("joined emoji", "👩‍👩‍👧 ❤️ 1️⃣"),
        same("no face has it", "中文 ไทย 𝄞 한국 \u{10ffff}x").fix("\u{10ffff}", "\u{fffd}"),
        same("marks", "e\u{301}\u{323} Z\u{351}\u{36b}\u{343} a\u{35c}b"),
        ("a heap of marks", format!("a{}b", "\u{301}".repeat(300)), format!("a{}b", "\u{301}".repeat(300))),
        ("a mark alone", "\u{301}\u{5b0}\u{64b}".to_owned(), "\u{301}\u{5b0}\u{64b}".to_owned()),
        ("controls", "a\u{0}b\u{1b}[31mc\u{7f}d".to_owned(), "a\u{fffd}b\u{fffd}[31mc\u{fffd}d".to_owned()),
        ("turned around", "a\u{202e}b\u{2066}c".to_owned(), "a\u{fffd}b\u{fffd}c".to_owned()),
        ("not letters", "\u{feff}\u{fffe}\u{ffff}\u{fdd0}".to_owned(), "\u{fffd}".repeat(4)),
        ("line ends", "a\r\nb\rc\n\nd\u{2028}e\u{85}f".to_owned(), "abcdef".to_owned()),
        same("unseen", "a\u{200b}b\u{ad}c\u{200d}d\u{2060}e"),
        same("own area", "\u{e000}\u{f8ff}"),
        same("signs", "≤ ≥ ± × · µ Ω ° ′ ″ ½ ⅝ → ✓ ✗ α β"),
    ]
}

trait Fix {
    fn fix(self, from: &str, to: &str) -> Self;
}

impl Fix for (&'static str, String, String) {
    fn fix(self, from: &str, to: &str) -> Self {
        (self.0, self.1, self.2.replace(from, to))
    }
}

/// Every block with a text in each of its places; how often the text must be read back.
fn everywhere(text: &str) -> (Vec<Block>, usize) {
    let run = || vec![Run::plain(text)];
    let table = Table {
        title: text.to_owned(),
        columns: vec![
            specimen::column(text, Wide::Fit, Align::Left),
            specimen::column("b", Wide::Share(1.0), Align::Right),
        ],
        rows: vec![vec![Cell::plain(text), Cell::bold(text)]],
    };
    let blocks = vec![
        Block::Heading(1, text.to_owned()),
        Block::Text(run()),
        Block::Text(vec![Run::bold("x: "), Run::faint(text)]),
        Block::List(vec![run()]),
        Block::Banner(Banner { tone: Tone::Bad, word: text.to_owned(), text: run() }),
        Block::Table(table),
        Block::Figure(Figure { svg: specimen::scale_svg(), says: text.to_owned(), caption: text.to_owned() }),
        Block::Together(vec![Block::Signatures(vec![Signature {
            role: text.to_owned(),
            says: text.to_owned(),
        }])]),
    ];
    (blocks, 13)
}

fn on_the_page(got: &Read) {
    for (k, page) in got.pages.iter().enumerate() {
        for s in &page.shown {
            let across = s.left >= 0.0 && s.right <= page.wide;
            let down = s.base - s.size * 0.8 >= 0.0 && s.base + s.size * 0.3 <= page.high;
            assert!(across && down, "page {k}: {s:?} leaves {} x {}", page.wide, page.high);
        }
    }
}

#[test]
fn all_of_it_is_there_in_every_place() {
    for (name, text, want) in hostile() {
        let (blocks, times) = everywhere(&text);
        for format in [Format::A4, Format::Letter] {
            let made =
                Document { title: text.clone(), mark: text.clone(), format, ..document(blocks.clone()) };
            let got = read(paper::pdf(&made).unwrap_or_else(|fault| panic!("{name}: {fault}")));
            on_the_page(&got);
            let (all, want) = (tight(&got.text()), tight(&want));
            assert_eq!(all.matches(&want).count(), times, "{name}: {all:?}");
        }
    }
}

#[test]
fn a_number_after_a_name_in_another_script_stays_behind_it() {
    for name in ["مرحبا", "שלום"] {
        let got =
            common::read(vec![Block::Text(vec![Run::plain("Car: "), Run::bold(name), Run::plain(" 12 kg")])]);
        let place = |what: &str| {
            let shown = &got.pages[0].shown;
            shown.iter().find(|s| s.text.contains(what)).unwrap_or_else(|| panic!("{what}: {shown:?}")).left
        };
        assert!(place("Car") < place(&name[..2]) && place(&name[..2]) < place("12"), "{name}");
    }
}

#[test]
fn letters_no_face_has_do_not_spoil_a_drawing() {
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"50mm\" height=\"9mm\" font-size=\"12\">\
               <text x=\"2\" y=\"20\">a中b&#x4e2d;c \u{e000}</text></svg>";
    let figure = Figure { svg: svg.to_owned(), says: "s".to_owned(), caption: String::new() };
    let got = common::read(vec![Block::Figure(figure)]);
    assert!(got.fonts.keys().all(|name| name.ends_with("DejaVuSans")));
}

#[test]
fn a_drawing_that_asks_for_any_face_gets_the_one_that_is_there() {
    for family in
        ["Helvetica, Arial, 'DejaVu Sans', sans-serif", "sans-serif", "monospace", "cursive", "Nowhere", ""]
    {
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"50mm\" height=\"9mm\" font-family=\"{family}\">\
             <text x=\"2\" y=\"20\">words</text></svg>"
        );
        let figure = Figure { svg, says: "s".to_owned(), caption: String::new() };
        let got = common::read(vec![Block::Figure(figure)]);
        assert_eq!(got.text(), "words", "{family}");
        assert!(got.fonts.keys().all(|name| name.ends_with("+DejaVuSans")), "{family}: {:?}", got.fonts);
    }
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => "[a-zA-Z0-9.,;:()%/-]{1,12}",
        1 => "[a-z]{60,200}",
        1 => "[א-ת]{1,8}",
        1 => "[ء-ي]{1,8}",
        1 => "[а-яα-ω]{1,8}",
        1 => "(😀|🚗|⚠|中|<|&|\"|½|fi|ffl){1,4}",
    ]
}

fn text() -> impl Strategy<Value = String> {
    prop::collection::vec(word(), 1..20).prop_map(|words| words.join(" "))
}

fn runs() -> impl Strategy<Value = Vec<Run>> {
    let weight = prop_oneof![Just(Weight::Plain), Just(Weight::Bold), Just(Weight::Faint)];
    prop::collection::vec((text(), weight).prop_map(|(text, weight)| Run { text, weight }), 1..4)
}

fn table() -> impl Strategy<Value = Table> {
    let wide = prop_oneof![Just(Wide::Fit), (0.1..4.0_f64).prop_map(Wide::Share)];
    let align = prop_oneof![Just(Align::Left), Just(Align::Right)];
    let columns = prop::collection::vec((word(), wide, align), 1..6);
    (word(), columns).prop_flat_map(|(title, columns)| {
        let row = prop::collection::vec(runs().prop_map(|text| Cell { text }), columns.len());
        let columns: Vec<_> = columns.iter().map(|(head, w, a)| specimen::column(head, *w, *a)).collect();
        prop::collection::vec(row, 0..8).prop_map(move |rows| Table {
            title: title.clone(),
            columns: columns.clone(),
            rows,
        })
    })
}

fn block() -> impl Strategy<Value = Block> {
    let leaf = prop_oneof![
        (0..5_u8, word()).prop_map(|(level, words)| Block::Heading(level, words)),
        runs().prop_map(Block::Text),
        prop::collection::vec(runs(), 1..6).prop_map(Block::List),
        (word(), runs()).prop_map(|(word, text)| Block::Banner(Banner { tone: Tone::Wait, word, text })),
        table().prop_map(Block::Table),
        prop::collection::vec((word(), text()), 1..4).prop_map(|places| {
            Block::Signatures(places.into_iter().map(|(role, says)| Signature { role, says }).collect())
        }),
        Just(Block::NewPage),
    ];
    leaf.prop_recursive(2, 12, 5, |inner| prop::collection::vec(inner, 1..5).prop_map(Block::Together))
}

/// What must be read back, in order.
fn said(blocks: &[Block]) -> String {
    let of = |runs: &[Run]| runs.iter().map(|run| run.text.as_str()).collect::<String>();
    let mut all: Vec<String> = Vec::new();
    for block in blocks {
        match block {
            Block::Heading(_, words) => all.push(words.clone()),
            Block::Text(runs) => all.push(of(runs)),
            Block::List(points) => all.extend(points.iter().map(|runs| format!("•{}", of(runs)))),
            Block::Banner(banner) => all.extend([banner.word.clone(), of(&banner.text)]),
            Block::Table(table) => {
                all.push(table.title.clone());
                all.extend(table.columns.iter().map(|column| column.head.clone()));
                all.extend(table.rows.iter().flatten().map(|cell| of(&cell.text)));
            }
            Block::Signatures(places) => {
                all.extend(
                    places.iter().map(|place| format!("{}{}NameDateSignature", place.role, place.says)),
                );
            }
            Block::Together(inner) => all.push(said(inner)),
            Block::Figure(_) | Block::NewPage => {}
        }
    }
    all.concat()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12,
        max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_word_is_read_back_once_and_in_order(
        blocks in prop::collection::vec(block(), 0..8),
        letter in any::<bool>(),
        type_pt in 5.0..16.0_f64,
    ) {
        let format = if letter { Format::Letter } else { Format::A4 };
        let made = Document { type_pt, format, ..document(blocks) };
        let bytes = paper::pdf(&made).unwrap();
        let got = read(bytes.clone());
        prop_assert_eq!(tight(&got.text()), tight(&said(&made.blocks)));
        on_the_page(&got);
        prop_assert_eq!(bytes, paper::pdf(&made).unwrap());
        prop_assert_eq!(got.pages.len(), paper::pages(&made).unwrap());
    }

    #[test]
    fn no_text_at_all_makes_it_fail(
        text in any::<String>(),
        title in any::<String>(),
        type_pt in any::<f64>(),
    ) {
        let (blocks, _) = everywhere(&text);
        let made = Document { title: title.clone(), mark: title.clone(), date: title, type_pt, ..document(blocks) };
        on_the_page(&read(paper::pdf(&made).unwrap()));
    }
}
