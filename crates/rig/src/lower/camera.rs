//! The camera.

use super::context::{Context, Reported, View};
use crate::camera::{Camera, Looks};
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::record::Record;
use core::f64::consts::TAU;
use quantity::Kind;

/// The camera; `None` when the file does not describe one.
pub(super) fn camera(cx: &mut Context<'_>) -> Result<Option<Camera>, Reported> {
    let root = cx.root;
    let Some(record) = root.sub("camera") else {
        return if root.is_faulty("camera") { Err(Reported) } else { Ok(None) };
    };
    one(cx, record).map(Some).ok_or(Reported)
}

fn one(cx: &mut Context<'_>, record: &Record) -> Option<Camera> {
    let view = View::plain(record);
    let item = if record.has("item") { Some(cx.refer(record, "item")?.1) } else { None };
    let looks = match view.word("looks")? {
        "left" => Looks::Left,
        "right" => Looks::Right,
        "back" => Looks::Back,
        _ => Looks::Ahead,
    };
    if ["pixels", "shutter", "shutter_angle", "frame_rate"].iter().any(|k| record.is_faulty(k)) {
        return None;
    }
    Some(Camera {
        item,
        sensor_width: view.maybe("sensor_width"),
        pixels: record.count("pixels"),
        focal_length: view.maybe("focal_length"),
        shutter: shutter(cx, record)?,
        distance: view.maybe("distance"),
        looks,
        steadied: view.maybe("steadied"),
        rig_damping: view.maybe("rig_damping"),
    })
}

/// The open time, as stated or from angle and frame rate; nothing where they do not go together.
#[allow(clippy::option_option, reason = "left out is an answer, a fault is none")]
fn shutter(cx: &mut Context<'_>, record: &Record) -> Option<Option<Fact>> {
    let view = View::plain(record);
    match (view.maybe("shutter"), view.maybe("shutter_angle"), view.maybe("frame_rate")) {
        (Some(_), Some(_), _) => {
            cx.faults.push(
                Diagnostic::error("R028", record.spot("shutter_angle"), "the shutter is stated twice")
                    .why("as a time and as an angle")
                    .mend("leave one of them out"),
            );
            None
        }
        (None, Some(_), None) => {
            cx.faults.push(
                Diagnostic::error(
                    "R006",
                    record.spot("shutter_angle"),
                    "a shutter angle without a frame rate",
                )
                .why("the angle is a share of the time of one picture")
                .mend("add `frame_rate = \"25 Hz\"`, or state `shutter = \"1/50 s\"`"),
            );
            None
        }
        (None, Some(angle), Some(rate)) => Some(Some(Fact {
            value: angle.value / (TAU * rate.value),
            low: angle.low / (TAU * rate.high),
            high: angle.high / (TAU * rate.low),
            kind: Kind::Time,
            text: None,
            ..angle
        })),
        (stated, None, _) => Some(stated),
    }
}
