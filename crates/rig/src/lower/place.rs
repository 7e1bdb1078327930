//! Places: from the windscreen's edge to vehicle axes, on panels and along tubes.

use super::context::{Context, Reported, mm};
use super::geometry::direction;
use crate::diagnostic::Diagnostic;
use crate::model::Tube;
use crate::record::Record;
use crate::source::Spot;
use glam::DVec3;

/// Vehicle coordinates that a table states.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Coordinates {
    pub(crate) x: Option<f64>,
    pub(crate) y: Option<f64>,
    pub(crate) z: Option<f64>,
}

impl Coordinates {
    pub(crate) fn stated(self) -> Vec<(usize, f64)> {
        [self.x, self.y, self.z].into_iter().enumerate().filter_map(|(i, v)| Some((i, v?))).collect()
    }
}

/// Names of the coordinates, as they are stated.
pub(crate) const AXES: [&str; 3] = ["`aft` or `forward`", "`left` or `right`", "`up` or `down`"];

impl Context<'_> {
    /// The coordinates that a table states, from `origin`. `None` when one of them was faulty.
    pub(crate) fn coordinates(&mut self, record: &Record, origin: DVec3) -> Option<Coordinates> {
        let x = self.axis(record, "forward", "aft").ok()?;
        let y = self.axis(record, "left", "right").ok()?;
        let z = self.axis(record, "up", "down").ok()?;
        Some(Coordinates {
            x: x.map(|v| origin.x + v),
            y: y.map(|v| origin.y + v),
            z: z.map(|v| origin.z + v),
        })
    }

    fn axis(&mut self, record: &Record, plus: &str, minus: &str) -> Result<Option<f64>, Reported> {
        if record.is_faulty(plus) || record.is_faulty(minus) {
            return Err(Reported);
        }
        match (record.measure(plus), record.measure(minus)) {
            (Some(_), Some(_)) => {
                self.faults.push(
                    Diagnostic::error(
                        "R014",
                        record.spot(minus),
                        format!("{} says both `{plus}` and `{minus}`", record.title()),
                    )
                    .why("they are the two ways of one measure")
                    .mend("keep the one that your tape says")
                    .related(record.spot(plus), "the other one"),
                );
                Err(Reported)
            }
            (Some(v), None) => Ok(Some(v)),
            (None, Some(v)) => Ok(Some(0.0 - v)),
            (None, None) => Ok(None),
        }
    }

    /// A whole place from `origin`: absent `left` and `right` mean the centreline, the others must stand there.
    pub(crate) fn full_place(&mut self, record: &Record, origin: DVec3) -> Option<DVec3> {
        let c = self.coordinates(record, origin)?;
        let lacking = if c.x.is_none() {
            Some(0)
        } else if c.z.is_none() {
            Some(2)
        } else {
            None
        };
        if let Some(axis) = lacking {
            self.lacks(record, &record.at, AXES.get(axis).copied().unwrap_or(""));
            return None;
        }
        Some(DVec3::new(c.x?, c.y.unwrap_or(origin.y), c.z?))
    }

    pub(crate) fn lacks(&mut self, record: &Record, at: &Spot, names: &str) {
        let what =
            if record.tag.is_empty() { format!("the place [{}]", record.path) } else { record.title() };
        self.faults.push(
            Diagnostic::error("R006", at, format!("{what} does not say {names}"))
                .why("the place is not complete without it")
                .mend("measure it from the windscreen's top edge on the centreline and add it"),
        );
    }

    /// Distance along a tube of the place that the table's one coordinate finds.
    pub(crate) fn along_tube(&mut self, record: &Record, tube: &Tube) -> Option<f64> {
        let c = self.coordinates(record, self.datum)?;
        let u = direction(tube).to_array();
        let a = tube.a.to_array();
        let mut best: Option<(f64, usize, f64)> = None;
        for (axis, value) in c.stated() {
            let slope = u.get(axis).copied().unwrap_or(0.0);
            if best.is_none_or(|(s, ..)| slope.abs() > s.abs()) {
                best = Some((slope, axis, value));
            }
        }
        let runs = AXES.get(main_axis(tube)).copied().unwrap_or("");
        let Some((slope, axis, value)) = best else {
            self.lacks(record, &record.at, runs);
            return None;
        };
        if slope.abs() < 0.05 {
            let said = AXES.get(axis).copied().unwrap_or("");
            self.faults.push(
                Diagnostic::error(
                    "R020",
                    &record.at,
                    format!("{said} does not find a place on tube \"{}\"", tube.tag),
                )
                .why("the tube runs square to it, so every point of the tube has the same")
                .mend(format!("state {runs} instead")),
            );
            return None;
        }
        let s = (value - a.get(axis).copied().unwrap_or(0.0)) / slope;
        self.on_tube(record, tube, s, 0.0).then_some(s.clamp(0.0, tube.length()))
    }

    /// Reports a place that is off the tube, or nearer than `margin_m` to its end.
    pub(crate) fn on_tube(&mut self, record: &Record, tube: &Tube, s: f64, margin_m: f64) -> bool {
        // Half a millimetre: nobody's tape reads finer.
        let slack = 0.0005;
        let room = s.min(tube.length() - s);
        if room >= margin_m - slack {
            return true;
        }
        let (what, by) = if room < -slack {
            (format!("is {} off the end of tube \"{}\"", mm(-room), tube.tag), -room + margin_m)
        } else {
            (format!("is only {} from the end of tube \"{}\"", mm(room.max(0.0)), tube.tag), margin_m - room)
        };
        let why = if margin_m > 0.0 {
            format!("it needs {} of tube beyond its middle", mm(margin_m))
        } else {
            format!("the tube is {} long", mm(tube.length()))
        };
        let name = if record.tag.is_empty() { format!("[{}]", record.path) } else { record.title() };
        self.faults.push(
            Diagnostic::error("R020", &record.at, format!("{name} {what}"))
                .why(why)
                .mend(format!("move it in, or lengthen the tube, by {} or more", mm(by.max(0.001)))),
        );
        false
    }
}

/// The axis that a tube runs along most.
fn main_axis(tube: &Tube) -> usize {
    let u = direction(tube).abs();
    if u.x >= u.y && u.x >= u.z {
        0
    } else if u.y >= u.z {
        1
    } else {
        2
    }
}
