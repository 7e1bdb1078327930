//! Cups: place on the panel, stack height to what they hold.

use super::context::{Context, View, mm};
use super::geometry::{direction, nearest_on_lines, nearest_on_tube};
use super::platform::must_be_on;
use super::tube::named_section;
use crate::diagnostic::Diagnostic;
use crate::model::{Cup, Hold, Panel, Platform, Tube};
use crate::pass::printable;
use crate::record::Record;
use glam::DVec3;

/// Sideways distance of a tube's axis from a cup's axis that a pivoting head takes up, m (common practice, no source).
const ASIDE_WARN: f64 = 0.010;
pub(crate) const ASIDE_MOST: f64 = 0.040;

pub(crate) fn cups(
    cx: &mut Context<'_>,
    panels: &[Option<Panel>],
    tubes: &[Option<Tube>],
    platforms: &[Option<Platform>],
) -> Vec<Option<Cup>> {
    let root = cx.root;
    root.tagged("cup").iter().map(|r| cup(cx, r, panels, tubes, platforms)).collect()
}

fn cup(
    cx: &mut Context<'_>,
    record: &Record,
    panels: &[Option<Panel>],
    tubes: &[Option<Tube>],
    platforms: &[Option<Platform>],
) -> Option<Cup> {
    let root = cx.root;
    let part = cx.part(View::plain(record), "part");
    let stands = cx.refer(record, "panel");
    let held = cx.refer(record, "holds");
    let view = View { record, part: Some(part?) };
    let [outer, seal, least, greatest] =
        ["outer_diameter", "seal_diameter", "height_least", "height_greatest"].map(|k| cx.measure(view, k));
    let [mass, loss, axial, shear, rocking, torsional, lip_follow] =
        ["mass", "loss", "axial", "shear", "rocking", "torsional", "lip_follow"].map(|k| cx.fact(view, k));
    let [vacuum, pull_rating, shear_rating] =
        ["vacuum", "pull_rating", "shear_rating"].map(|k| view.maybe(k));
    let slender = record.has("stem") || part?.has("stem");
    let stem = if slender { Some(named_section(cx, view, "stem")?) } else { None };
    let (outer, seal, least, greatest) = (outer?, seal?, least?, greatest?);
    if seal > outer || least > greatest {
        let (key, what) = if seal > outer {
            ("seal_diameter", "a sealed area wider than its lip")
        } else {
            ("height_least", "a lowest height above its greatest")
        };
        cx.faults.push(
            Diagnostic::error("R028", record.spot(key), format!("{} has {what}", record.title()))
                .why("the two cannot go together")
                .mend("measure both again"),
        );
        return None;
    }
    let panel_index = stands?.1;
    let panel = panels.get(panel_index)?.as_ref()?;
    let faces = root.tagged("panel").get(panel_index)?.text("faces")?;
    let place = cx.on_panel(record, panel, faces)?;
    on_the_panel(cx, record, panel, place)?;
    let at = panel.point(place.0, place.1);
    let normal = panel.normal_at(place.0, place.1);
    let (holds, height) = match held? {
        ("tube", i) => reach_tube(cx, record, (at, normal), i, tubes.get(i)?.as_ref()?)?,
        (_, i) => reach_platform(cx, record, (at, normal), i, platforms.get(i)?.as_ref()?)?,
    };
    in_range(cx, record, height, (least, greatest))?;
    let ahead = if matches!(faces, "ahead" | "aft") { DVec3::Z } else { DVec3::X };
    let along = (ahead - normal * ahead.dot(normal)).normalize_or(panel.ea);
    Some(Cup {
        tag: record.tag.clone(),
        part: part?.tag.clone(),
        panel: panel_index,
        place,
        at,
        normal,
        along,
        holds,
        head: at + normal * height,
        height,
        height_range: (least, greatest),
        locked: view.word("head")? == "locked",
        outer_radius: 0.5 * outer,
        seal_radius: 0.5 * seal,
        mass: mass?,
        vacuum,
        loss: loss?,
        axial: axial?,
        shear: shear?,
        rocking: rocking?,
        torsional: torsional?,
        pull_rating,
        shear_rating,
        lip_follow: lip_follow?,
        stem,
    })
}

fn on_the_panel(cx: &mut Context<'_>, record: &Record, panel: &Panel, place: (f64, f64)) -> Option<()> {
    let by = (place.0.abs() - 0.5 * panel.size.0).max(place.1.abs() - 0.5 * panel.size.1);
    if by <= 0.0 {
        return Some(());
    }
    let root = cx.root;
    let mut fault = Diagnostic::error(
        "R015",
        &record.at,
        format!("{} stands {} off panel \"{}\"", record.title(), mm(by), printable(&panel.tag)),
    )
    .why(format!("the panel is {} by {} around its middle", mm(panel.size.0), mm(panel.size.1)))
    .mend("measure the cup's place again, or the panel's `at`, `length` and `width`");
    if let Some(p) = root.tagged("panel").iter().find(|p| p.tag == panel.tag) {
        fault = fault.related(&p.at, format!("{} stands here", p.title()));
    }
    cx.faults.push(fault);
    None
}

/// Where a tube passes nearest to a cup's axis (foot and direction): distance along the tube, stack height to there, and how
/// far it passes to the side, m.
pub(crate) fn to_tube((at, normal): (DVec3, DVec3), tube: &Tube) -> (f64, f64, f64) {
    let s = nearest_on_lines(tube.a, direction(tube), at, normal)
        .map_or_else(|| nearest_on_tube(tube, at), |(s, _)| s.clamp(0.0, tube.length()));
    let to = tube.point(s) - at;
    let height = to.dot(normal);
    (s, height, (to - normal * height).length())
}

/// Stack height along a cup's axis (foot and direction) to a platform's underside, m; `None` where it looks another way.
pub(crate) fn to_platform((at, normal): (DVec3, DVec3), platform: &Platform) -> Option<f64> {
    let under = platform.at - platform.normal * platform.size.z;
    let facing = normal.dot(platform.normal);
    (facing >= 0.5).then(|| (under - at).dot(platform.normal) / facing)
}

/// Height to the point of the tube's axis that passes nearest to the cup's axis.
fn reach_tube(
    cx: &mut Context<'_>,
    record: &Record,
    axis: (DVec3, DVec3),
    index: usize,
    tube: &Tube,
) -> Option<(Hold, f64)> {
    let (s, height, aside) = to_tube(axis, tube);
    let words = |limit: f64| format!("the head takes up to {} to the side", mm(limit));
    if aside > ASIDE_MOST {
        cx.faults.push(
            Diagnostic::error(
                "R017",
                &record.at,
                format!("{} stands {} to the side of tube \"{}\"", record.title(), mm(aside), tube.tag),
            )
            .why(words(ASIDE_MOST))
            .mend("set the cup under the tube, or name the tube that it does hold"),
        );
        return None;
    }
    if aside > ASIDE_WARN {
        cx.faults.push(
            Diagnostic::warning(
                "R017",
                &record.at,
                format!("{} stands {} to the side of tube \"{}\"", record.title(), mm(aside), tube.tag),
            )
            .why(format!("{} without strain; the crown tilts the cup", words(ASIDE_WARN)))
            .mend("set the cup under the tube, square to the panel"),
        );
    }
    Some((Hold::Tube { tube: index, s }, height))
}

/// Height along the cup's axis to the platform's underside.
fn reach_platform(
    cx: &mut Context<'_>,
    record: &Record,
    axis: (DVec3, DVec3),
    index: usize,
    platform: &Platform,
) -> Option<(Hold, f64)> {
    let (at, normal) = axis;
    let Some(height) = to_platform(axis, platform) else {
        cx.faults.push(
            Diagnostic::error(
                "R017",
                &record.at,
                format!("{} does not face platform \"{}\"", record.title(), platform.tag),
            )
            .why("the cup's axis is more than 60 deg off square to the platform")
            .mend("check `faces` and `slope` of the panel and of the platform"),
        );
        return None;
    };
    must_be_on(cx, record, platform, at + normal * height).then_some((Hold::Platform(index), height))
}

fn in_range(cx: &mut Context<'_>, record: &Record, height: f64, range: (f64, f64)) -> Option<()> {
    let (least, greatest) = range;
    // Half a millimetre: nobody's tape reads finer.
    let slack = 0.0005;
    let (by, way, mend) = if height < least - slack {
        (least - height, "low", "raise what it holds")
    } else if height > greatest + slack {
        (height - greatest, "high", "lower what it holds")
    } else {
        return Some(());
    };
    let held = record.text("holds").unwrap_or_default();
    cx.faults.push(
        Diagnostic::error(
            "R016",
            &record.at,
            format!("\"{}\" is {} too {way} for {}", printable(held), mm(by), record.title()),
        )
        .why(format!(
            "it is {} from the panel there; the cup sets from {} to {}",
            mm(height),
            mm(least),
            mm(greatest)
        ))
        .mend(format!("{mend} by {}, or use a cup of another height", mm(by))),
    );
    None
}
