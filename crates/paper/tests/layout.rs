//! What stands where.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]
#![allow(clippy::cast_possible_truncation, reason = "places on a page")]

mod common;

use common::reader::{Edge, Page, Read};
use common::specimen::{banner, column, scale_svg, table, words};
use common::{read, tight};
use paper::{Align, Block, Cell, Figure, Format, Run, Signature, Table, Tone, Wide};

const MM: f64 = 72.0 / 25.4;

fn text(count: usize) -> Block {
    Block::Text(vec![Run::plain(words(count))])
}

fn figure(svg: String, caption: &str) -> Block {
    Block::Figure(Figure { svg, says: "A drawing".to_owned(), caption: caption.to_owned() })
}

fn sized(wide: &str, high: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}\" height=\"{high}\" viewBox=\"0 0 100 100\" \
         preserveAspectRatio=\"none\"><line x1=\"0\" y1=\"50\" x2=\"100\" y2=\"50\" stroke=\"#000\"/></svg>"
    )
}

fn length(edge: &Edge) -> f64 {
    (edge.to.0 - edge.from.0).hypot(edge.to.1 - edge.from.1)
}

/// The longest straight line of a figure: not the rule of the running head.
fn longest(page: &Page) -> f64 {
    page.edges.iter().filter(|e| e.from.1 > 50.0).map(length).fold(0.0, f64::max)
}

fn page_of(got: &Read, words: &str) -> usize {
    got.pages.iter().position(|page| page.text().contains(words)).expect(words)
}

#[test]
fn a_drawing_to_scale_stays_true() {
    let got = read(vec![figure(scale_svg(), "")]);
    let lines: Vec<f64> = got.pages[0].edges.iter().map(length).collect();
    assert!(lines.iter().any(|l| (l / MM - 100.0).abs() < 0.001), "{lines:?}");
    // 96 pixels in an inch.
    let got = read(vec![figure(sized("192", "10px"), "")]);
    assert!((longest(&got.pages[0]) - 144.0).abs() < 0.001);
}

#[test]
fn a_drawing_too_large_is_made_smaller_and_says_so_if_it_was_to_scale() {
    let (wide, high) = paper::room_mm(Format::A4, true);
    let got = read(vec![figure(sized("500mm", "50mm"), "Plan.")]);
    assert!((longest(&got.pages[0]) / MM - wide).abs() < 0.01);
    assert!(
        got.text().contains("Plan. Not to scale: made smaller to fit the page, 34 % of its size."),
        "{}",
        got.text()
    );
    let got = read(vec![figure(sized("4000", "400"), "Chart.")]);
    assert!((longest(&got.pages[0]) / MM - wide).abs() < 0.01);
    assert!(!got.text().contains("scale"));
    // Too high: with its heading and the line under it on one page.
    let got =
        read(vec![text(30), Block::Heading(1, "Tall".to_owned()), figure(sized("10", "9000"), "Under it.")]);
    assert_eq!(got.pages.len(), 2);
    assert_eq!((page_of(&got, "Tall"), page_of(&got, "Under it.")), (1, 1));
    assert!(high > 240.0);
}

#[test]
fn a_drawing_with_no_sense_is_told() {
    for svg in ["", "<svg", "<p/>", "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"0\" height=\"0\"/>"] {
        let fault = paper::pdf(&common::document(vec![figure(svg.to_owned(), "")])).unwrap_err();
        assert!(fault.what.starts_with("the drawing \"A drawing\" cannot be read"), "{fault}");
    }
}

#[test]
fn a_drawing_reads_no_file() {
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10mm\" height=\"10mm\"><image width=\"5\" height=\"5\" \
               href=\"/usr/share/pixmaps/x.png\"/><rect width=\"5\" height=\"5\"/></svg>";
    let bytes = paper::pdf(&common::document(vec![figure(svg.to_owned(), "")])).unwrap();
    assert!(!bytes.windows(14).any(|w| w == b"/Subtype/Image"));
}

#[test]
fn heads_stand_again_on_each_page_of_a_table() {
    let got = read(vec![Block::Table(table(200))]);
    assert!(got.pages.len() > 3);
    for (k, page) in got.pages.iter().enumerate() {
        let again = page.artifacts().iter().filter(|s| *s == "What governs").count();
        assert_eq!(again, usize::from(k > 0), "page {k}");
    }
    assert_eq!(got.all("TH").len(), 4);
}

#[test]
fn a_title_stands_with_its_head_and_first_rows_and_the_last_row_not_alone() {
    let mut seen = 0;
    for lines in 20..60 {
        let lead: Vec<Block> =
            (0..lines).map(|k| Block::Text(vec![Run::plain(format!("line {k}."))])).collect();
        let mut blocks = lead;
        blocks.push(Block::Heading(2, "Heading".to_owned()));
        blocks.push(Block::Table(table(8)));
        let got = read(blocks);
        let first = page_of(&got, "Heading");
        for words in ["Margins of the rig", "What governs", "check 0", "check 1"] {
            assert_eq!(page_of(&got, words), first, "{words} after {lines} lines");
        }
        assert_eq!(page_of(&got, "check 6"), page_of(&got, "check 7"));
        seen += usize::from(first > 0) + usize::from(page_of(&got, "check 7") != first);
    }
    assert!(seen > 5, "the page break must fall into the table at times");
}

#[test]
fn a_heading_never_ends_a_page_and_no_line_of_a_paragraph_stands_alone() {
    for lines in 20..60 {
        let mut blocks: Vec<Block> =
            (0..lines).map(|k| Block::Text(vec![Run::plain(format!("line {k}."))])).collect();
        blocks.push(Block::Heading(2, "Heading".to_owned()));
        blocks.push(Block::Heading(3, "Under it".to_owned()));
        blocks.push(text(100));
        let got = read(blocks);
        let page = page_of(&got, "Heading");
        assert!(got.pages[page].text().contains("The cups hold"), "after {lines} lines");
        for page in got.pages.iter().filter(|page| page.text().contains("The")) {
            let of_text = page.shown.iter().filter(|s| !s.artifact && !s.text.contains("line"));
            let mut bases: Vec<i64> =
                of_text.filter(|s| s.size < 9.5).map(|s| s.base.round() as i64).collect();
            bases.dedup();
            assert!(bases.len() > 1, "a line alone after {lines} lines");
        }
    }
}

#[test]
fn what_is_wished_together_stands_on_one_page_if_it_can() {
    let group = |count: usize| {
        Block::Together((0..count).map(|k| Block::Text(vec![Run::plain(format!("kept {k};"))])).collect())
    };
    for lines in 20..50 {
        let mut blocks: Vec<Block> = (0..lines).map(|_| Block::Text(vec![Run::plain("line")])).collect();
        blocks.push(group(10));
        let got = read(blocks);
        assert_eq!(page_of(&got, "kept 0;"), page_of(&got, "kept 9;"), "after {lines} lines");
    }
    let got = read(vec![group(100)]);
    assert!(got.pages.len() > 1 && got.text().contains("kept 99;"));
}

#[test]
fn a_new_page_starts_one() {
    let got = read(vec![text(5), Block::NewPage, Block::Heading(1, "Second".to_owned())]);
    assert_eq!((got.pages.len(), page_of(&got, "Second")), (2, 1));
    let group = Block::Together(vec![text(5), Block::NewPage]);
    let got = read(vec![text(5), group, Block::Heading(1, "Second".to_owned())]);
    assert_eq!((got.pages.len(), page_of(&got, "Second")), (2, 1));
}

#[test]
fn numbers_stand_at_the_right_edge_of_their_column() {
    let got = read(vec![Block::Table(table(12))]);
    let right: Vec<f64> =
        got.pages[0].shown.iter().filter(|s| s.text.contains("lbf")).map(|s| s.right).collect();
    assert_eq!(right.len(), 12);
    assert!(right.iter().all(|x| (x - right[0]).abs() < 0.05), "{right:?}");
}

#[test]
fn columns_stay_apart_and_on_the_page_whatever_is_in_them() {
    let long = "w".repeat(300);
    for wide in [Wide::Fit, Wide::Share(1.0), Wide::Share(0.0), Wide::Share(f64::NAN), Wide::Share(-3.0)] {
        let columns = (0..5).map(|k| column(&format!("head{k}"), wide, Align::Left)).collect();
        let row = (0..5).map(|k| Cell::plain(format!("{long}{k}"))).collect();
        let got = read(vec![Block::Table(Table { title: String::new(), columns, rows: vec![row] })]);
        let text = tight(&got.text());
        for k in 0..5 {
            assert!(text.contains(&format!("{long}{k}")), "{wide:?}");
        }
        for shown in &got.pages[0].shown {
            assert!(shown.right <= got.pages[0].wide - 15.0 * MM + 0.5, "{wide:?} {shown:?}");
        }
        let mut on_line: Vec<_> = got.pages[0].shown.iter().filter(|s| s.text.starts_with("www")).collect();
        on_line.sort_by(|a, b| (a.base, a.left).partial_cmp(&(b.base, b.left)).unwrap());
        for pair in on_line.windows(2).filter(|p| (p[0].base - p[1].base).abs() < 0.1) {
            assert!(pair[0].right < pair[1].left, "{wide:?} {pair:?}");
        }
    }
}

#[test]
fn a_row_with_more_cells_than_columns_loses_none_and_one_with_fewer_is_filled() {
    let columns = vec![column("a", Wide::Fit, Align::Left), column("b", Wide::Fit, Align::Left)];
    let rows =
        vec![vec![Cell::plain("one")], vec![Cell::plain("two"), Cell::plain("three"), Cell::plain("four")]];
    let got = read(vec![Block::Table(Table { title: String::new(), columns, rows })]);
    assert_eq!(got.text(), "abonetwothreefour");
    assert!(got.all("TR").iter().all(|row| row.under.len() == 3));
}

#[test]
fn a_row_taller_than_a_page_runs_on() {
    let columns = vec![column("head", Wide::Fit, Align::Left), column("text", Wide::Share(1.0), Align::Left)];
    let rows = vec![vec![Cell::plain("tall"), Cell::plain(words(3000))]];
    let got = read(vec![Block::Table(Table { title: "Title".to_owned(), columns, rows })]);
    assert!(got.pages.len() > 2);
    assert!(tight(&got.text()).contains(&tight(&words(3000))));
    assert!(got.pages[1..].iter().all(|page| page.artifacts().iter().any(|s| s == "head")));
}

#[test]
fn banners_are_told_apart_by_their_frame() {
    let frame = |tone| {
        let got = read(vec![banner(tone, "WORD", "text")]);
        let page = &got.pages[0];
        (page.edges.iter().filter(|e| e.from.1 > 50.0).count(), page.dashes)
    };
    let frames = [Tone::Good, Tone::Wait, Tone::Bad].map(frame);
    assert_eq!(frames[0].1, 0);
    assert!(frames[1].1 > 0);
    assert!(frames[2].0 > frames[0].0 && frames[2].1 == 0);
    let size = |tone| {
        let got = read(vec![banner(tone, "WORD", "text")]);
        got.pages[0].shown.iter().find(|s| s.text == "WORD").unwrap().clone()
    };
    assert!(size(Tone::Bad).size > 17.0 && size(Tone::Bad).font.contains("Bold"));
}

#[test]
fn a_banner_longer_than_a_page_runs_on_within_its_frame() {
    let got = read(vec![banner(Tone::Bad, "NO-GO", &words(3000))]);
    assert!(got.pages.len() > 1);
    assert!(tight(&got.text()).contains(&tight(&words(3000))));
    assert!(got.pages.iter().all(|page| page.edges.iter().filter(|e| e.from.1 > 50.0).count() >= 6));
}

#[test]
fn places_to_sign_stand_two_a_row_with_what_is_signed_for() {
    let places = (0..3)
        .map(|k| Signature { role: format!("Role {k}"), says: format!("Says {k} {}", words(20 * k)) })
        .collect();
    let got = read(vec![Block::Signatures(places)]);
    let place = |words: &str| got.pages[0].shown.iter().find(|s| s.text == words).unwrap().clone();
    let roles = [place("Role 0"), place("Role 1"), place("Role 2")];
    assert!((roles[0].base - roles[1].base).abs() < 0.1 && roles[1].left > roles[0].left + 200.0);
    assert!((roles[2].left - roles[0].left).abs() < 0.1 && roles[2].base > roles[0].base + 80.0);
    assert_eq!(got.text().matches("NameDateSignature").count(), 3, "{}", got.text());
}

#[test]
fn a_giant_thing_to_sign_for_runs_on() {
    let says = words(4000);
    let got = read(vec![Block::Signatures(vec![Signature { role: "Role".to_owned(), says: says.clone() }])]);
    assert!(got.pages.len() > 1 && tight(&got.text()).contains(&tight(&says)));
    assert!(got.pages.last().unwrap().text().ends_with("NameDateSignature"));
}
