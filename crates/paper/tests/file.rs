//! The file as a whole: title, tags, bookmarks, faces, pages, and the same bytes each time.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

mod common;

use common::reader::{Read, Tag, read};
use common::specimen::{card, specimen, words};
use common::{document, tight};
use paper::{Block, Format, Run};

fn made(format: Format) -> Read {
    read(paper::pdf(&specimen(format)).unwrap())
}

#[test]
fn says_what_it_is() {
    let got = made(Format::A4);
    assert_eq!((got.title.as_str(), got.language.as_str()), ("Boom over the bonnet", "en"));
    assert!(got.shows_title);
    assert!(got.metadata.contains("<pdfuaid:part>1</pdfuaid:part>"), "{}", got.metadata);
    let untitled = paper::Document { title: " \n".to_owned(), ..document(Vec::new()) };
    assert_eq!(read(paper::pdf(&untitled).unwrap()).title, "Untitled");
}

#[test]
fn makes_the_same_bytes_each_time_and_reads_no_clock() {
    let bytes = paper::pdf(&specimen(Format::A4)).unwrap();
    assert_eq!(bytes, paper::pdf(&specimen(Format::A4)).unwrap());
    assert!(!bytes.windows(12).any(|w| w == b"CreationDate"));
}

#[test]
fn carries_its_faces_and_no_other() {
    let got = made(Format::A4);
    let names: Vec<&str> = got.fonts.keys().map(|name| name.split('+').next_back().unwrap()).collect();
    assert_eq!(names.len(), 3, "{names:?}");
    for name in ["DejaVuSans", "DejaVuSans-Bold", "NotoEmoji"] {
        assert!(names.contains(&name), "{names:?}");
    }
    assert!(got.fonts.values().all(|embedded| *embedded));
    // Text in drawings too, though they ask for others first.
    let drawn = got.pages[0].shown.iter().find(|s| s.size > 11.0 && s.text == "1").unwrap();
    assert!(drawn.font.ends_with("+DejaVuSans"), "{drawn:?}");
}

#[test]
fn sheets_have_their_size_and_count() {
    for (format, size) in [(Format::A4, (595.276, 841.89)), (Format::Letter, (612.0, 792.0))] {
        let got = made(format);
        assert_eq!(got.pages.len(), paper::pages(&specimen(format)).unwrap());
        assert!(got.pages.len() > 2);
        for page in &got.pages {
            assert!((page.wide - size.0).abs() < 0.01 && (page.high - size.1).abs() < 0.01, "{page:?}");
        }
    }
}

#[test]
fn each_page_has_head_and_foot_that_are_no_part_of_the_text() {
    let got = made(Format::Letter);
    let count = got.pages.len();
    for (k, page) in got.pages.iter().enumerate() {
        let around = page.artifacts();
        for words in
            ["Boom over the bonnet", "rev 3, 4f2a 91c0", "25 Nov 2026", &format!("page {} of {count}", k + 1)]
        {
            assert!(around.iter().any(|s| s == words), "{words}: {around:?}");
        }
    }
    assert!(!got.text().contains("rev 3"));
    assert!(read(paper::pdf(&card()).unwrap()).pages[0].artifacts().is_empty());
}

#[test]
fn long_running_heads_end_in_an_ellipsis_and_do_not_meet() {
    let mut long = document(vec![Block::Text(vec![Run::plain("x")])]);
    long.title = "many words ".repeat(40);
    long.mark = "m".repeat(300);
    let got = read(paper::pdf(&long).unwrap());
    let heads: Vec<_> = got.pages[0].shown.iter().filter(|s| s.artifact && s.base < 60.0).collect();
    assert_eq!(heads.len(), 2);
    assert!(heads.iter().all(|s| s.text.ends_with('…')), "{heads:?}");
    assert!(heads[0].right < heads[1].left, "{heads:?}");
}

#[test]
fn headings_are_bookmarks_and_pass_over_no_level() {
    let got = made(Format::A4);
    let names: Vec<(usize, &str)> =
        got.bookmarks.iter().map(|(depth, words, _)| (*depth, words.as_str())).collect();
    let want = [
        (0, "Rig sheet: boom over the bonnet"),
        (1, "Steps"),
        (1, "Drawing"),
        (1, "Checks"),
        (2, "Names that are hard to set"),
        (1, "Signatures"),
    ];
    assert_eq!(names, want);
    for (_, words, page) in &got.bookmarks {
        assert!(got.pages[*page].text().contains(words), "{words} is not on page {page}");
    }
    let heading = |level, words: &str| Block::Heading(level, words.to_owned());
    let got = common::read(vec![heading(3, "a"), heading(6, "b"), heading(2, "c"), heading(0, "d")]);
    let roles: Vec<&str> = got.tags.iter().map(|tag| tag.role.as_str()).collect();
    assert_eq!(roles, ["H1", "H2", "H2", "H1"]);
    let depths: Vec<usize> = got.bookmarks.iter().map(|(depth, _, _)| *depth).collect();
    assert_eq!(depths, [0, 1, 1, 0]);
}

#[test]
fn tags_say_what_each_thing_is() {
    let got = made(Format::A4);
    let (heads, cells) = (got.all("TH"), got.all("TD"));
    assert_eq!(
        heads.iter().map(Tag::whole).collect::<Vec<_>>(),
        ["Check", "What governs", "Demand", "Factor"]
    );
    assert!(heads.iter().all(|t| t.scope == "Column"), "{heads:?}");
    assert_eq!(cells.len(), 45 * 4);
    assert_eq!(got.all("TR").len(), 46);
    assert_eq!(got.all("Table")[0].under[0].role, "Caption");
    assert_eq!(got.all("Figure")[0].alt, "A scale of one hundred millimetres");
    assert_eq!(got.all("LI").len(), 3);
    assert_eq!(got.all("LBody")[0].whole(), "Clean the roof.");
    let order = [
        "Plain text",
        "GO",
        "NO-GO",
        "Steps",
        "Clean the roof",
        "100 mm",
        "check 0",
        "check 44",
        "Signatures",
        "Key grip",
    ];
    let text = got.text();
    let places: Vec<usize> = order.iter().map(|words| text.find(words).expect(words)).collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[test]
fn a_table_without_heads_has_its_first_column_as_heads() {
    let mut table = common::specimen::table(3);
    table.columns.iter_mut().for_each(|column| column.head.clear());
    let got = common::read(vec![Block::Table(table)]);
    let heads = got.all("TH");
    assert_eq!(heads.len(), 3);
    assert!(heads.iter().all(|t| t.scope == "Row"));
}

#[test]
fn a_card_is_made_to_fit_one_side_or_says_that_it_cannot() {
    let card = card();
    let got = read(paper::pdf(&card).unwrap());
    assert_eq!(got.pages.len(), 1);
    let size = got.pages[0].shown.iter().find(|s| s.text.contains("The cups hold")).unwrap().size;
    assert!((6.0..card.type_pt).contains(&size), "{size}");
    let mut full = card;
    full.blocks.push(Block::Text(vec![Run::plain(words(2000))]));
    let fault = paper::pdf(&full).unwrap_err();
    assert!(fault.what.contains("more than one side"), "{fault}");
    assert_eq!(paper::pages(&full), Err(fault));
}

#[test]
fn a_document_of_nothing_is_one_page() {
    for blocks in [
        Vec::new(),
        vec![Block::NewPage, Block::NewPage],
        vec![Block::List(Vec::new()), Block::Together(Vec::new())],
    ] {
        let got = common::read(blocks);
        assert_eq!((got.pages.len(), tight(&got.text()).len()), (1, 0));
    }
}
