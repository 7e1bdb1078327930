//! Each cup's vacuum: as read, what is left at the next round, and the least at which it holds.

use crate::print::report::CLOSE;
use draw::chart::{Axis, Bar, Bars, Group, Key, Scale, Word};
use rig::Rig;
use verdict::limits::Vacuum;

const KPA: f64 = 1e3;
/// An inch of mercury, Pa.
const IN_HG: f64 = 3_386.389;

/// In both systems, rounded up or down.
fn words(pa: f64, up: bool) -> String {
    let to = |unit: f64| {
        let tenths = pa / unit * 10.0;
        (if up { (tenths - 1e-6).ceil() } else { (tenths + 1e-6).floor() }) / 10.0
    };
    format!("{:.1} kPa ({:.1} inHg)", to(KPA), to(IN_HG))
}

fn bar(v: &Vacuum) -> Bar {
    let label = match (v.least, v.by) {
        (Some(least), Some(_)) => format!("needs {}", words(least, true)),
        (Some(_), None) => "needs none".to_owned(),
        (None, Some(_)) => "needs more than the pump has".to_owned(),
        (None, None) => "needs: not known".to_owned(),
    };
    let (text, word) = match (v.left, v.least) {
        (None, _) => ("no reading".to_owned(), Word::Unknown),
        (Some(left), least) => {
            let word = match least {
                Some(least) if left >= least * CLOSE => Word::Holds,
                Some(least) if left >= least => Word::Close,
                None if v.by.is_none() => Word::Unknown,
                Some(_) | None => Word::Fails,
            };
            (format!("left {}", words(left, false)), word)
        }
    };
    Bar { label, value: v.left, outline: v.read, tick: v.least, text, word: Some(word) }
}

/// One bar a cup; none without cups.
pub(crate) fn of_cups(rig: &Rig, all: &[Vacuum]) -> Option<Bars> {
    let group =
        |v: &Vacuum| Some(Group { name: format!("cup {}", rig.cups.get(v.cup)?.tag), bars: vec![bar(v)] });
    let groups: Vec<Group> = all.iter().filter_map(group).collect();
    (!groups.is_empty()).then(|| Bars {
        title: format!("{}: vacuum of each cup", rig.name),
        axis: Axis::new("below the air outside", Scale::Linear).unit("kPa", KPA).other("inHg", IN_HG),
        groups,
        limit: None,
        most: None,
        key: Key {
            value: "left at the next round, after the loss in the rig file, at the highest and warmest of the route".to_owned(),
            outline: "as read, or as planned".to_owned(),
            tick: "the least at which it neither lifts nor slides, required factor and all".to_owned(),
        },
        notes: vec![
            "The least is over every state, with nothing lost and with any one other cup or strap lost; values as they stand in the \
             rig file. The reserve of the whole rig and what is assumed ask for more of their own: see clingfish check."
                .to_owned(),
        ],
    })
}
