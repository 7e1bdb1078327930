//! What the car will do.

use super::context::{Context, View, assumed};
use crate::diagnostic::Diagnostic;
use crate::fact::{Fact, Origin};
use crate::model::{ArmUse, Manoeuvre, Vertical};
use crate::record::Record;
use crate::spec::policy::{BUMP, MANOEUVRE};
use crate::spec::{COMMON, Need};
use quantity::{Kind, parse_kind};

/// What a kind of manoeuvre gives unless stated otherwise.
struct Typical {
    kind: &'static str,
    speed: &'static str,
    forward: &'static str,
    left: &'static str,
    arm: &'static str,
    bump: bool,
    source: &'static str,
}

const fn typical(
    kind: &'static str,
    speed: &'static str,
    forward: &'static str,
    left: &'static str,
    arm: &'static str,
) -> Typical {
    Typical { kind, speed, forward, left, arm, bump: false, source: COMMON }
}

/// One row a kind: speed, forward and left acceleration, what the arm does.
const TYPICAL: &[Typical] = &[
    typical("steady drive", "50 km/h", "0 g", "0 g", "live"),
    typical("firm braking", "50 km/h", "-0.5 g", "0 g", "still"),
    Typical {
        source: "tyre-limited braking of a car on a dry road; common practice, no source",
        ..typical("emergency braking", "50 km/h", "-0.9 g", "0 g", "still")
    },
    typical("pull-away", "20 km/h", "0.35 g", "0 g", "live"),
    typical("left bend", "40 km/h", "0 g", "0.4 g", "live"),
    typical("right bend", "40 km/h", "0 g", "-0.4 g", "live"),
    typical("evasive swerve", "50 km/h", "-0.5 g", "0.6 g", "still"),
    Typical { bump: true, ..typical("kerb or pothole", "25 km/h", "0 g", "0 g", "still") },
    typical("gust", "80 km/h", "0 g", "0 g", "parked"),
];

/// The set that stands when the file has none: tag, kind, and whether it goes to the right instead.
const SET: &[(&str, &str, bool)] = &[
    ("steady", "steady drive", false),
    ("brake", "firm braking", false),
    ("stop", "emergency braking", false),
    ("pull-away", "pull-away", false),
    ("left-bend", "left bend", false),
    ("right-bend", "right bend", false),
    ("swerve-left", "evasive swerve", false),
    ("swerve-right", "evasive swerve", true),
    ("kerb", "kerb or pothole", false),
    ("gust", "gust", false),
];

pub(crate) fn manoeuvres(cx: &mut Context<'_>) -> Vec<Option<Manoeuvre>> {
    let root = cx.root;
    if root.has("manoeuvre") && !root.tagged("manoeuvre").is_empty() {
        return root.tagged("manoeuvre").iter().map(|r| manoeuvre(cx, r, r.text("kind")?, false)).collect();
    }
    if root.is_faulty("manoeuvre") {
        return Vec::new();
    }
    SET.iter()
        .map(|(tag, kind, mirrored)| {
            let mut record = Record::empty(&MANOEUVRE, &format!("manoeuvre.{tag}"), &root.at);
            (*tag).clone_into(&mut record.tag);
            manoeuvre(cx, &record, kind, *mirrored)
        })
        .collect()
}

fn manoeuvre(cx: &mut Context<'_>, record: &Record, kind: &str, mirrored: bool) -> Option<Manoeuvre> {
    let row = TYPICAL.iter().find(|t| t.kind == kind)?;
    let view = View::plain(record);
    let speed = value(cx, view, "speed", row.speed, row.source);
    let forward = value(cx, view, "forward", row.forward, row.source);
    let left = value(cx, view, "left", row.left, row.source).map(|mut f| {
        if mirrored && !record.has("left") {
            (f.value, f.low, f.high) = (-f.value, -f.high, -f.low);
        }
        f
    });
    let yaw_rate = view.maybe("yaw_rate");
    let (grade, bank) = (cx.measure(view, "grade"), cx.measure(view, "bank"));
    let vertical = vertical(cx, record, row.bump);
    let arm = match view.word("arm").unwrap_or(row.arm) {
        "live" => ArmUse::Live,
        "still" => ArmUse::Still,
        _ => ArmUse::Parked,
    };
    if record.is_faulty("arm") || record.is_faulty("yaw_rate") || record.is_faulty("gust") {
        return None;
    }
    let made = Manoeuvre {
        tag: record.tag.clone(),
        forward: forward?,
        left: left?,
        vertical: vertical?,
        speed: speed?,
        yaw_rate,
        grade: grade?,
        bank: bank?,
        gust: view.flag("gust") || kind == "gust",
        arm,
    };
    believable(cx, record, kind, &made)?;
    Some(made)
}

/// As stated, else what the kind gives.
fn value(cx: &mut Context<'_>, view: View<'_>, key: &str, text: &str, source: &str) -> Option<Fact> {
    if view.record.has(key) {
        return cx.fact(view, key);
    }
    let kind = if key == "speed" { Kind::Speed } else { Kind::Acceleration };
    let mut fact = Fact::stated(parse_kind(text, kind).ok()?, kind, &format!("{}.{key}", view.record.path));
    // A zero is what the word says (a left bend does not brake), not a guess.
    if fact.value != 0.0 {
        fact.origin = Origin::Assumed;
        source.clone_into(&mut fact.source);
        "decide it for this job, and drive it with an accelerometer".clone_into(&mut fact.settle);
    }
    Some(fact)
}

fn vertical(cx: &mut Context<'_>, record: &Record, bump: bool) -> Option<Vertical> {
    if record.is_faulty("vertical") || record.is_faulty("bump") {
        return None;
    }
    if record.has("vertical") && record.has("bump") {
        cx.faults.push(
            Diagnostic::error(
                "R014",
                record.spot("bump"),
                format!("{} has both `vertical` and `bump`", record.title()),
            )
            .why("both say how it shakes up and down")
            .mend("keep `bump` for a kerb or pothole, `vertical` for a stated range")
            .related(record.spot("vertical"), "the other one"),
        );
        return None;
    }
    if let Some(fact) = record.fact("vertical") {
        return Some(Vertical::Range(fact.clone()));
    }
    if let Some(sub) = record.sub("bump") {
        let view = View::plain(sub);
        return Some(Vertical::Kerb { height: cx.fact(view, "height")?, length: cx.fact(view, "length")? });
    }
    if !bump {
        return Some(Vertical::Road);
    }
    let typical = |key: &str| {
        let row = BUMP.row(key)?;
        let Need::Assume(a) = row.need else { return None };
        assumed(row, &a, BUMP.name, format!("{}.bump.{key}", record.path))
    };
    Some(Vertical::Kerb { height: typical("height")?, length: typical("length")? })
}

/// A kind whose stated accelerations go the other way.
fn believable(cx: &mut Context<'_>, record: &Record, kind: &str, m: &Manoeuvre) -> Option<()> {
    let (key, wrong, should) = match kind {
        "firm braking" | "emergency braking" => {
            ("forward", m.forward.value >= 0.0, "negative: the car slows down")
        }
        "pull-away" => ("forward", m.forward.value <= 0.0, "positive: the car speeds up"),
        "left bend" => ("left", m.left.value <= 0.0, "positive: the car turns left"),
        "right bend" => ("left", m.left.value >= 0.0, "negative: the car turns right"),
        _ => return Some(()),
    };
    if !wrong {
        return Some(());
    }
    cx.faults.push(
        Diagnostic::error(
            "R028",
            record.spot(key),
            format!("{} is called \"{kind}\" and goes the other way", record.title()),
        )
        .why(format!("`{key}` must be {should}"))
        .mend("change the sign, or the `kind`"),
    );
    None
}
