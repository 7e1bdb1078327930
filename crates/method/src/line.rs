//! The highest points of a rig, against an overhead line.

use crate::bulk;
use mechanics::overhead::{Distance, Doing, OverheadError, least_distance};
use rig::Rig;
use rig::model::Arm;

/// A state in which something is high.
#[derive(Clone, Debug, PartialEq)]
pub struct Top {
    /// What is up there, and when.
    pub what: String,
    /// Whether people work with it or it drives with all down.
    pub doing: Doing,
    /// Over the road, m.
    pub top_m: f64,
}

/// A state under a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Under {
    /// The state.
    pub top: Top,
    /// From its top up to the line, m; under 0 where it reaches past it.
    pub have_m: f64,
    /// What the rule asks; the error says what to do where there is none.
    pub asked: Result<Distance, OverheadError>,
}

impl Under {
    /// What is left over the rule's distance, m; none without a rule.
    pub fn margin_m(&self) -> Option<f64> {
        self.asked.as_ref().ok().map(|d| self.have_m - d.least_m)
    }
}

/// The states that count: the boom at its highest, parked, and its longest piece held upright as it is put up.
pub fn tops(rig: &Rig) -> Vec<Top> {
    let still = still_m(rig);
    let mut out = Vec::new();
    let mut put = |what: String, doing, top_m| out.push(Top { what, doing, top_m });
    if let Some(arm) = &rig.arm {
        put("the boom at its highest".to_owned(), Doing::Work, still.max(highest_m(arm)));
        put("the boom parked".to_owned(), Doing::Transit, still.max(at_elevation_m(arm, arm.parked.1)));
    } else {
        put("car and rig, people at work".to_owned(), Doing::Work, still);
        put("car and rig, driving".to_owned(), Doing::Transit, still);
    }
    let sections = rig.arm.iter().flat_map(|a| &a.sections);
    let long = sections
        .map(|s| (format!("boom section {}", s.tag), (s.span.1 - s.span.0).abs()))
        .chain(rig.tubes.iter().map(|t| (format!("tube {}", t.tag), t.length())));
    if let Some((name, length)) = long.max_by(|a, b| a.1.total_cmp(&b.1)) {
        let floor = rig.arm.as_ref().map_or(0.0, |a| a.base.z).max(rig.vehicle.outline.height.value);
        put(format!("{name} held upright on the roof"), Doing::Work, floor + length);
    }
    out
}

/// The states under the line of the site; empty where none is stated.
///
/// The line is taken to hang right over the car: nearer it cannot be.
pub fn under_line(rig: &Rig) -> Vec<Under> {
    let Some((height, volts)) = &rig.site.overhead_line else { return Vec::new() };
    let under = |top: Top| Under {
        have_m: height.value - top.top_m,
        asked: least_distance(Some(volts.value), top.doing, false),
        top,
    };
    tops(rig).into_iter().map(under).collect()
}

/// Highest point of all that stands still, m over the road.
fn still_m(rig: &Rig) -> f64 {
    let items =
        rig.items.iter().map(|i| i.at.z + i.drag.as_ref().and_then(bulk::size).map_or(0.0, |s| s[2] / 2.0));
    let tubes = rig.tubes.iter().map(|t| t.a.z.max(t.b.z) + t.section.outer / 2.0);
    let mast = rig.arm.iter().map(|a| a.base.z + a.pivot_height);
    let cups = rig.cups.iter().map(|c| c.head.z);
    let plates = rig.platforms.iter().map(|p| {
        let across = p.normal.cross(p.along);
        p.at.z + f64::midpoint((p.along.z * p.size.x).abs(), (across.z * p.size.y).abs())
    });
    let parts = items.chain(tubes).chain(mast).chain(cups).chain(plates);
    parts.fold(rig.vehicle.outline.height.value, f64::max)
}

/// Highest point of boom, payload and counterweight over the whole range of elevation, m over the road.
fn highest_m(arm: &Arm) -> f64 {
    let (low, high) = arm.elevation;
    // Between its ends the range may hold a place where a corner is highest. Half a circle in so many steps misses r (1 - cos 0.125 deg):
    // 0.03 mm at 10 m.
    let steps = 720_u32;
    (0..=steps)
        .map(|i| at_elevation_m(arm, low + (high - low) * f64::from(i) / f64::from(steps)))
        .fold(f64::NEG_INFINITY, f64::max)
}

fn at_elevation_m(arm: &Arm, elevation: f64) -> f64 {
    let (sin, cos) = elevation.sin_cos();
    let pivot = arm.base.z + arm.pivot_height;
    let point = |along: f64, up: f64| pivot + along * sin + up * cos;
    let sections =
        arm.sections.iter().flat_map(|s| [s.span.0, s.span.1].map(|along| point(along, s.diameter / 2.0)));
    let tip = arm.sections.iter().map(|s| s.span.0.max(s.span.1)).fold(0.0, f64::max);
    let half = |drag: Option<&rig::model::Drag>, axis: usize| {
        drag.and_then(bulk::size).map_or(0.0, |s| s[axis] / 2.0)
    };
    let hung = &arm.payload;
    let payload = if arm.levelled {
        point(tip, 0.0) + hung.centre.z + half(hung.drag.as_ref(), 2)
    } else {
        // Any corner of it, whichever way the tip is turned.
        let drag = hung.drag.as_ref();
        point(tip + hung.centre.x, hung.centre.z) + half(drag, 0).hypot(half(drag, 2))
    };
    let w = &arm.counterweight;
    let (long, tall) = (half(w.drag.as_ref(), 0), half(w.drag.as_ref(), 2));
    let weight = point(-w.behind.value, -w.under) + long * sin.abs() + tall * cos.abs();
    let braces = arm.braces.iter().flat_map(|b| [point(0.0, b.height), point(b.along, 0.0)]);
    sections.chain([payload, weight]).chain(braces).fold(pivot, f64::max)
}
