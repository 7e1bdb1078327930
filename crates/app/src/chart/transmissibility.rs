//! What the isolator lets through, over frequency.

use draw::chart::{Along, Axis, Chart, Limit, Line, Scale};
use verdict::isolator::Isolator;

pub(crate) fn over_frequency(i: &Isolator) -> Chart {
    let [up, ..] = &i.axes;
    let d = up.damping;
    let curve = |k: usize, name: &str, damping: f64| Line {
        label: format!("{name}damping {damping:.2}"),
        points: i.curves.iter().map(|(f, t)| (*f, t.get(k).copied().unwrap_or(f64::NAN))).collect(),
        dots: false,
    };
    let lines = if d.is_range() {
        vec![curve(0, "least ", d.low), curve(1, "likely ", d.value), curve(2, "most ", d.high)]
    } else {
        vec![curve(1, "", d.value)]
    };
    // Of the rig's own frequencies the lowest is enough: their names would lie on the curve.
    let shown = i.passed.iter().filter(|p| !p.what.contains("frequency") || p.what.ends_with('1'));
    let mut limits: Vec<Limit> =
        shown.map(|p| Limit { label: p.what.clone(), at: p.at_hz, along: Along::X }).collect();
    limits.push(Limit { label: "all of it".to_owned(), at: 1.0, along: Along::Y });
    let mut notes = Vec::new();
    if !up.damping_known {
        notes.push("The damping is not known: a release test gives it.".to_owned());
    }
    Chart {
        title: "What the isolator lets through, up and down".to_owned(),
        x: Axis::new("frequency", Scale::Log).unit("Hz", 1.0),
        y: Axis::new("payload's movement over boom's", Scale::Log),
        lines,
        limits,
        notes,
    }
}
