//! What the tests share.
#![allow(dead_code, unreachable_pub, reason = "each test file takes what it needs")]
#![allow(missing_docs, clippy::expect_used, clippy::panic, reason = "a test may stop")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "small numbers"
)]

pub mod reader;
pub mod specimen;

use paper::{Block, Document, Format};

/// A document of blocks with a running head.
pub fn document(blocks: Vec<Block>) -> Document {
    Document {
        title: "Title".to_owned(),
        mark: "mark".to_owned(),
        date: "1 May 2026".to_owned(),
        format: Format::A4,
        type_pt: 9.0,
        running: true,
        blocks,
    }
}

/// A document of blocks, made and read back.
pub fn read(blocks: Vec<Block>) -> reader::Read {
    reader::read(paper::pdf(&document(blocks)).expect("a file"))
}

/// Text without its spaces.
pub fn tight(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}
