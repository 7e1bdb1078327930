//! A document as plain text: what it says, without where it stands.

use crate::block::{Block, Cell, Document, Run, Table};
use std::fmt::Write as _;

impl Document {
    /// Everything that is said, in order: `# ` before headings, `- ` before points, cells with ` | ` between them.
    pub fn plain(&self) -> String {
        let mut out = String::new();
        let head: Vec<&str> = [&self.title, &self.mark, &self.date]
            .into_iter()
            .map(String::as_str)
            .filter(|t| !t.is_empty())
            .collect();
        line(&mut out, &head.join(" | "));
        blocks(&mut out, &self.blocks);
        out
    }
}

fn line(out: &mut String, text: &str) {
    // A String takes everything that is written to it.
    let _ = writeln!(out, "{}", text.trim_end());
}

fn words(runs: &[Run]) -> String {
    runs.iter().map(|r| r.text.as_str()).collect()
}

fn row<'a>(cells: impl Iterator<Item = &'a str>) -> String {
    // A cell stays on its row.
    let cells: Vec<String> = cells.map(|c| c.lines().collect::<Vec<_>>().join(" / ")).collect();
    cells.join(" | ")
}

fn table(out: &mut String, table: &Table) {
    if !table.title.is_empty() {
        line(out, &format!("[{}]", table.title));
    }
    if table.columns.iter().any(|c| !c.head.is_empty()) {
        line(out, &row(table.columns.iter().map(|c| c.head.as_str())));
    }
    for cells in &table.rows {
        let texts: Vec<String> = cells.iter().map(|c: &Cell| words(&c.text)).collect();
        line(out, &row(texts.iter().map(String::as_str)));
    }
}

fn blocks(out: &mut String, all: &[Block]) {
    for block in all {
        if !matches!(block, Block::Together(_) | Block::NewPage) {
            out.push('\n');
        }
        match block {
            Block::Heading(level, text) => {
                line(out, &format!("{} {text}", "#".repeat(usize::from(*level).max(1))));
            }
            Block::Text(runs) => line(out, &words(runs)),
            Block::List(points) => {
                for p in points {
                    line(out, &format!("- {}", words(p)));
                }
            }
            Block::Banner(b) => {
                if !b.word.is_empty() {
                    line(out, &format!("[ {} ]", b.word));
                }
                line(out, &words(&b.text));
            }
            Block::Table(t) => table(out, t),
            Block::Figure(f) => {
                line(out, &format!("(drawing) {}", f.says));
                if !f.caption.is_empty() {
                    line(out, &f.caption);
                }
            }
            Block::Signatures(all) => {
                for s in all {
                    line(out, &format!("[signature] {}: {}", s.role, s.says));
                }
            }
            Block::NewPage => line(out, "\n---"),
            Block::Together(inner) => blocks(out, inner),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::block::{Align, Banner, Column, Figure, Format, Signature, Tone, Wide};
    use crate::{Block, Cell, Document, Run, Table};

    #[test]
    fn nothing_that_is_said_is_left_out() {
        let column = |head: &str| Column { head: head.into(), wide: Wide::Fit, align: Align::Left };
        let blocks = vec![
            Block::Heading(2, "Checks".into()),
            Block::Together(vec![
                Block::Text(vec![Run::bold("Least "), Run::plain("first.")]),
                Block::List(vec![vec![Run::plain("one")], vec![Run::faint("two")]]),
            ]),
            Block::Banner(Banner {
                tone: Tone::Bad,
                word: "NO-GO".into(),
                text: vec![Run::plain("It fails.")],
            }),
            Block::Table(Table {
                title: "Cups".into(),
                columns: vec![column("tag"), column("margin")],
                rows: vec![
                    vec![Cell::plain("FL"), Cell::plain("0.90\nclose")],
                    vec![Cell::plain("FR"), Cell::default()],
                ],
            }),
            Block::NewPage,
            Block::Figure(Figure { svg: "<svg/>".into(), says: "plan".into(), caption: "1:20".into() }),
            Block::Signatures(vec![Signature { role: "Driver".into(), says: "has read it".into() }]),
        ];
        let document = Document {
            title: "Rig".into(),
            mark: "rev 3".into(),
            date: String::new(),
            format: Format::A4,
            type_pt: 9.0,
            running: true,
            blocks,
        };
        let want = "Rig | rev 3\n\n## Checks\n\nLeast first.\n\n- one\n- two\n\n[ NO-GO ]\nIt fails.\n\n[Cups]\ntag | margin\n\
                    FL | 0.90 / close\nFR |\n\n---\n\n(drawing) plan\n1:20\n\n[signature] Driver: has read it\n";
        assert_eq!(document.plain(), want);
    }
}
