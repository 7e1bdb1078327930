//! The numbers of `docs/mechanics/12-by-hand.md`.

use super::common::EXAMPLES;
use super::{Line, OnCup, known, lines};
use core::fmt::Write;
use rig::Rig;
use rig::policy::CheckId;

type Rows = Vec<(&'static str, String)>;

fn acts(l: &Line, rows: &mut Rows) {
    let p = &l.paper;
    rows.push(("cups that stand", p.count.to_string()));
    rows.push((
        "force along, across, out of the panel",
        format!("{:.0}, {:.0}, {:.0} N", p.force.x, p.force.y, p.force.z),
    ));
    rows.push((
        "moment about the same lines at the middle of the cups",
        format!("{:.1}, {:.1}, {:.1} N·m", p.moment.x, p.moment.y, p.moment.z),
    ));
}

/// A plate: the sum on paper beside the frame.
fn plate(l: &Line) -> String {
    let p = &l.paper;
    let mut rows = Rows::new();
    acts(l, &mut rows);
    rows.push((
        "this cup from the middle, along and across",
        format!("{:.0}, {:.0} mm", p.at.x * 1e3, p.at.y * 1e3),
    ));
    rows.push(("part of the tilting that cups take by rocking", format!("{:.1} %", p.rocking_share * 1e2)));
    let c = p.on_cup;
    rows.push(("pull T, rocking M", format!("{:.1} N, {:.2} N·m", c.pull, c.rock)));
    rows.push(("shear V, turning Mz", format!("{:.1} N, {:.2} N·m", c.shear, c.turn)));
    let force = |(d, c): (f64, f64)| format!("{d:.0}, {c:.0} N");
    rows.push(("demand, capacity on paper", force(l.by_paper)));
    rows.push(("demand, capacity by the frame", force(l.by_frame)));
    let mut t = "| | |\n|---|---|\n".to_owned();
    for (what, value) in rows {
        writeln!(t, "| {what} | {value} |").unwrap();
    }
    writeln!(
        t,
        "| margin on paper, by the frame (factor {}) | {:.2}, {:.2} |\n",
        l.factor,
        l.margin(l.by_paper),
        l.margin(l.by_frame)
    )
    .unwrap();
    t
}

/// A ladder: least work beside the frame, and the sum on paper as the rule of thumb it is there.
fn ladder(rig: &Rig, l: &Line) -> String {
    let worked = l.worked.as_ref().unwrap();
    let mut rows = Rows::new();
    acts(l, &mut rows);
    rows.push(("unknown forces, conditions of balance", format!("{}, {}", worked.size.0, worked.size.1)));
    let straps = rig.straps.iter().zip(&worked.straps);
    let straps: Vec<String> = straps.map(|(s, t)| format!("{} {:.0}", s.tag, t.abs())).collect();
    rows.push(("straps pull", format!("{} N", straps.join(", "))));
    let mut t = "| | |\n|---|---|\n".to_owned();
    for (what, value) in rows {
        writeln!(t, "| {what} | {value} |").unwrap();
    }
    let ways = [OnCup::of(&worked.cups[l.cup]), OnCup::of(&l.frame[l.cup]), l.paper.on_cup];
    let sums = [l.by_work.unwrap(), l.by_frame, l.by_paper];
    writeln!(t, "\n| cup {} | least work | frame | rule of thumb |\n|---|---|---|---|", rig.cups[l.cup].tag)
        .unwrap();
    let mut row = |what: &str, value: &dyn Fn(usize) -> String| {
        writeln!(t, "| {what} | {} | {} | {} |", value(0), value(1), value(2)).unwrap();
    };
    row("pull T, N", &|k| format!("{:.1}", ways[k].pull));
    row("rocking M, N·m", &|k| format!("{:.2}", ways[k].rock));
    row("shear V, N", &|k| format!("{:.1}", ways[k].shear));
    row("turning Mz, N·m", &|k| format!("{:.2}", ways[k].turn));
    row("demand, N", &|k| format!("{:.0}", sums[k].0));
    row("capacity, N", &|k| format!("{:.0}", sums[k].1));
    row(&format!("margin (factor {})", l.factor), &|k| format!("{:.2}", l.margin(sums[k])));
    t + "\n"
}

impl Line {
    fn margin(&self, (demand, capacity): (f64, f64)) -> f64 {
        capacity / (self.factor * demand)
    }
}

fn section(name: &str, rig: &Rig, lines: &[Line]) -> String {
    let mut t = format!("### {name}\n\n");
    for l in lines {
        let what = if l.id == CheckId::CupSeal { "lifts" } else { "slides" };
        writeln!(t, "Cup {} {what}: {}.\n", rig.cups[l.cup].tag, l.words).unwrap();
        t += &if l.worked.is_some() { ladder(rig, l) } else { plate(l) };
    }
    t
}

const BEGIN: &str = "<!-- made by crates/verdict/tests/by_hand/page.rs from here -->\n";
const END: &str = "<!-- to here -->\n";

#[test]
fn the_page_has_these_numbers() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/mechanics/12-by-hand.md");
    let mut made = BEGIN.to_owned() + "\n";
    for (name, _) in EXAMPLES {
        let rig = known(name);
        made += &section(name, &rig, &lines(&rig));
    }
    made += END;
    let page = std::fs::read_to_string(path).unwrap();
    let (head, rest) = page.split_once(BEGIN).unwrap();
    let (_, tail) = rest.split_once(END).unwrap();
    let new = format!("{head}{made}{tail}");
    if std::env::var_os("WRITE_DOCS").is_some() {
        std::fs::write(path, &new).unwrap();
        return;
    }
    for (i, (is, should)) in page.lines().zip(new.lines()).enumerate() {
        assert_eq!(is, should, "line {} of 12-by-hand.md; WRITE_DOCS=1 writes it anew", i + 1);
    }
    assert_eq!(page.len(), new.len());
}
