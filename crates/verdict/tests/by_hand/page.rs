//! The numbers of `docs/mechanics/12-by-hand.md`.

use super::common::EXAMPLES;
use super::{Line, OnCup, known, lines};
use core::fmt::Write;
use glam::DVec3;
use rig::Rig;
use rig::model::StrapKind;
use rig::policy::CheckId;

/// To so many places, and no minus before a nought.
fn show(x: f64, places: usize) -> String {
    let t = format!("{x:.places$}");
    if t.contains(|c: char| c.is_ascii_digit() && c != '0') { t } else { t.replace('-', "") }
}

/// Three numbers.
fn three(v: DVec3, places: usize) -> String {
    v.to_array().map(|x| show(x, places)).join(", ")
}

/// One governing cup: what acts, then its forces by each way.
fn cup(rig: &Rig, l: &Line) -> String {
    let (p, worked, plate) = (&l.paper, &l.worked, rig.tubes.is_empty());
    let mut t = "| | |\n|---|---|\n".to_owned();
    let mut row = |what: &str, value: String| writeln!(t, "| {what} | {value} |").unwrap();
    row("cups that stand", p.count.to_string());
    row("force along, across, out of the panel", three(p.force, 0) + " N");
    row("moment about the same lines at the middle of the cups", three(p.moment, 1) + " N·m");
    if plate {
        row(
            "this cup from the middle, along and across",
            format!("{}, {} mm", show(p.at.x * 1e3, 0), show(p.at.y * 1e3, 0)),
        );
        row("part of the tilting that cups take by rocking", format!("{:.1} %", p.rocking_share * 1e2));
    }
    let straps = rig.straps.iter().zip(&worked.straps).filter(|(s, _)| s.kind == StrapKind::Strap);
    let straps: Vec<String> = straps.map(|(s, t)| format!("{} {}", s.tag, show(*t, 0))).collect();
    if !straps.is_empty() {
        row("straps pull, by least work", straps.join(", ") + " N");
    }
    row("unknown forces, conditions of balance", format!("{}, {}", worked.size.0, worked.size.1));
    let ways = [OnCup::of(&worked.cups[l.cup]), OnCup::of(&l.frame[l.cup]), p.on_cup];
    let sums = [l.by_work, l.by_frame, l.by_paper];
    let paper = if plate { "on paper" } else { "rule of thumb" };
    writeln!(t, "\n| cup {} | least work | frame | {paper} |\n|---|---|---|---|", rig.cups[l.cup].tag)
        .unwrap();
    let mut row = |what: &str, value: &dyn Fn(usize) -> String| {
        writeln!(t, "| {what} | {} | {} | {} |", value(0), value(1), value(2)).unwrap();
    };
    row("pull T, N", &|k| show(ways[k].pull, 1));
    row("rocking M, N·m", &|k| show(ways[k].rock, 2));
    row("shear V, N", &|k| show(ways[k].shear, 1));
    row("turning Mz, N·m", &|k| show(ways[k].turn, 2));
    row("demand, N", &|k| show(sums[k].0, 0));
    row("capacity, N", &|k| show(sums[k].1, 0));
    row(&format!("margin (factor {})", l.factor), &|k| show(l.margin(sums[k]), 2));
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
        t += &cup(rig, l);
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
