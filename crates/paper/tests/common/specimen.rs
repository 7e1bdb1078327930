//! A document with one of everything.

use paper::{
    Align, Banner, Block, Cell, Column, Document, Figure, Format, Run, Signature, Table, Tone, Weight, Wide,
};

/// A column.
pub fn column(head: &str, wide: Wide, align: Align) -> Column {
    Column { head: head.to_owned(), wide, align }
}

/// A banner.
pub fn banner(tone: Tone, word: &str, text: &str) -> Block {
    Block::Banner(Banner { tone, word: word.to_owned(), text: vec![Run::plain(text)] })
}

/// A scale of 100 mm with words.
pub fn scale_svg() -> String {
    "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"120mm\" height=\"40mm\" viewBox=\"0 0 120 40\" \
     font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\" font-size=\"4\">\
     <title>Scale</title><rect x=\"0.5\" y=\"0.5\" width=\"119\" height=\"39\" fill=\"none\" stroke=\"#999\" stroke-width=\"0.3\"/>\
     <line x1=\"10\" y1=\"20\" x2=\"110\" y2=\"20\" stroke=\"#000\" stroke-width=\"0.5\"/>\
     <text x=\"60\" y=\"16\" text-anchor=\"middle\">100 mm office flow fi</text>\
     <text x=\"60\" y=\"30\" text-anchor=\"middle\" font-weight=\"bold\">bold שלום 中 ⚠</text></svg>"
        .to_owned()
}

/// A table of a number of rows.
pub fn table(rows: usize) -> Table {
    Table {
        title: "Margins of the rig".to_owned(),
        columns: vec![
            column("Check", Wide::Fit, Align::Left),
            column("What governs", Wide::Share(1.0), Align::Left),
            column("Demand", Wide::Fit, Align::Right),
            column("Factor", Wide::Fit, Align::Right),
        ],
        rows: (0..rows)
            .map(|k| {
                vec![
                    Cell::bold(format!("check {k}")),
                    Cell::plain(if k % 3 == 0 {
                        "cup 2 lost while braking in the bend, gust from the left, boom over the tail"
                    } else {
                        "all cups hold"
                    }),
                    Cell::plain(format!("{} N ({:.1} lbf)", 100 + 37 * k, 22.5 + 8.3 * k as f64)),
                    Cell::plain(format!("{:.2}", 1.0 + k as f64 / 7.0)),
                ]
            })
            .collect(),
    }
}

/// Text in several paragraphs.
pub fn words(count: usize) -> String {
    let list = [
        "The", "cups", "hold", "the", "frame", "on", "the", "roof", "and", "each", "strap", "is", "drawn",
        "to", "its", "stated", "tension", "before", "the", "car", "moves.",
    ];
    list.iter().cycle().take(count).copied().collect::<Vec<_>>().join(" ")
}

/// One of everything.
pub fn specimen(format: Format) -> Document {
    let blocks = vec![
        Block::Heading(1, "Rig sheet: boom over the bonnet".to_owned()),
        Block::Text(vec![
            Run::plain("Plain text, "),
            Run::bold("bold text"),
            Run::plain(" and "),
            Run::faint("text less asked for"),
            Run::plain(". Office, flow, fjord, affix. Δ α β ≤ 1.00, 35 °C, ½ in, N·m. "),
            Run::plain(words(60)),
        ]),
        banner(Tone::Good, "GO", "All checks hold in all states looked at."),
        banner(Tone::Wait, "HOLD", &format!("Two facts are not known. {}", words(40))),
        banner(
            Tone::Bad,
            "NO-GO",
            "Cup 2 lifts off in the left bend. Add a strap from the mast to the tow eye.",
        ),
        banner(Tone::Plain, "Cautions", "Wind above 8 m/s: do not drive."),
        Block::Heading(2, "Steps".to_owned()),
        Block::List(vec![
            vec![Run::plain("Clean the roof.")],
            vec![Run::plain(words(40))],
            vec![Run::bold("Hold point: "), Run::plain("read each gauge after ten minutes.")],
        ]),
        Block::Heading(2, "Drawing".to_owned()),
        Block::Figure(Figure {
            svg: scale_svg(),
            says: "A scale of one hundred millimetres".to_owned(),
            caption: "The scale, at its own size.".to_owned(),
        }),
        Block::Heading(2, "Checks".to_owned()),
        Block::Table(table(45)),
        Block::Heading(3, "Names that are hard to set".to_owned()),
        Block::Text(vec![Run::plain(
            "Names: مرحبا بالعالم 12 kg; שלום עולם; <b>&amp;\"x\"</b>; 😀 🚗 👩‍👩‍👧; 中文; 𝄞; e\u{301}.",
        )]),
        Block::Text(vec![Run::plain("مرحبا بالعالم، 12")]),
        Block::Text(vec![Run { text: format!("/data/{}", "long-path/".repeat(60)), weight: Weight::Plain }]),
        Block::Text(vec![Run::plain("x".repeat(2000))]),
        Block::Together(vec![
            Block::Heading(2, "Signatures".to_owned()),
            Block::Signatures(vec![
                Signature {
                    role: "Rigging technician".to_owned(),
                    says: "The rig stands as drawn.".to_owned(),
                },
                Signature {
                    role: "Driver".to_owned(),
                    says: "I have read the card and the limits, and I have been shown how to stop."
                        .to_owned(),
                },
                Signature { role: "Key grip".to_owned(), says: words(30) },
            ]),
        ]),
    ];
    Document {
        title: "Boom over the bonnet".to_owned(),
        mark: "rev 3, 4f2a 91c0".to_owned(),
        date: "25 Nov 2026".to_owned(),
        format,
        type_pt: 9.0,
        running: true,
        blocks,
    }
}

/// A card of one side.
pub fn card() -> Document {
    let blocks = vec![
        Block::Heading(1, "Driver's card".to_owned()),
        banner(Tone::Wait, "HOLD", "Do not drive before the technician has signed."),
        Block::Table(table(24)),
        Block::List(vec![vec![Run::plain(words(60))], vec![Run::plain(words(30))]]),
        Block::Signatures(vec![Signature { role: "Driver".to_owned(), says: "Read.".to_owned() }]),
    ];
    Document {
        title: "Driver's card".to_owned(),
        mark: String::new(),
        date: String::new(),
        format: Format::A4,
        type_pt: 12.0,
        running: false,
        blocks,
    }
}
