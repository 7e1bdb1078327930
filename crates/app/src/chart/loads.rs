//! How much of what each part may bear is used, at its tightest.

use crate::print::report::{Word, is_lost};
use crate::print::text::margin;
use draw::chart::{self, Axis, Bar, Bars, Group, Key, Scale};
use rig::Rig;
use verdict::{Finding, Outcome, PartRef, Verdict};

fn word(f: &Finding) -> Option<chart::Word> {
    Some(match Word::of(f)? {
        Word::Holds => chart::Word::Holds,
        Word::Close => chart::Word::Close,
        Word::Fails => chart::Word::Fails,
        Word::NotChecked => chart::Word::Unknown,
    })
}

/// The finding with the least margin as a bar.
fn tightest<'a>(findings: impl Iterator<Item = &'a Finding>, when: &str) -> Option<Bar> {
    let least = findings
        .filter_map(|f| Some((f, f.margin?)))
        .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.check.cmp(&b.0.check)))?;
    let (finding, m) = least;
    Some(Bar {
        label: format!("{when}: {}", finding.check.row().name),
        value: Some(if m.is_nan() || m <= 0.0 { f64::INFINITY } else { 1.0 / m }),
        text: format!("margin {}", margin(m)),
        word: word(finding),
        ..Bar::default()
    })
}

/// Bars of some parts, two each: nothing lost and one cup or strap lost. None where none of them was looked at.
pub(crate) fn of_parts(rig: &Rig, verdict: &Verdict, what: &str, parts: &[PartRef]) -> Option<Bars> {
    let group = |part: &PartRef| {
        let of = || verdict.findings.iter().filter(|f| f.part == *part);
        let mut bars: Vec<Bar> = Vec::new();
        bars.extend(tightest(of().filter(|f| !is_lost(f)), "nothing lost"));
        bars.extend(tightest(of().filter(|f| is_lost(f)), "one lost"));
        let mut open: Vec<&str> = of()
            .filter(|f| matches!(f.outcome, Outcome::NotChecked(_)))
            .map(|f| f.check.row().name)
            .collect();
        open.dedup();
        if !open.is_empty() {
            bars.push(Bar { label: open.join(", "), word: Some(chart::Word::Unknown), ..Bar::default() });
        }
        Group { name: part.name(rig), bars }
    };
    let groups: Vec<Group> = parts.iter().map(group).filter(|g| !g.bars.is_empty()).collect();
    (!groups.is_empty()).then(|| Bars {
        title: format!("{}: how much of what each {what} may bear is used", rig.name),
        axis: Axis::new("share used", Scale::Linear),
        groups,
        limit: Some(("all that it may bear: 1.00".to_owned(), 1.0)),
        most: Some(2.0),
        key: Key::default(),
        notes: vec![
            "Each bar is the check with the least margin over every state, with nothing lost and with any one cup or strap lost. \
             Share used is one over the margin; the required factor is in it."
                .to_owned(),
            "Values as they stand in the rig file.".to_owned(),
        ],
    })
}
