//! Writes the test documents into a folder, to look at: `cargo run -p paper --example specimen -- FOLDER`.

#[path = "../tests/common/specimen.rs"]
#[allow(dead_code, unreachable_pub, clippy::cast_precision_loss, reason = "shared with the tests")]
mod specimen;

use std::error::Error;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder")?);
    let documents = [
        ("a4.pdf", specimen::specimen(paper::Format::A4)),
        ("letter.pdf", specimen::specimen(paper::Format::Letter)),
        ("card.pdf", specimen::card()),
    ];
    for (name, document) in documents {
        std::fs::write(folder.join(name), paper::pdf(&document)?)?;
    }
    Ok(())
}
