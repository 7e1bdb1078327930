//! The camera, for the estimate of a shaken picture.

use super::{Row, Shape, Table};
use quantity::Kind::{Angle, Frequency, Length, Number, Time};

pub(crate) static CAMERA: Table = Table {
    name: "camera",
    doc: "Sensor, lens, shutter and subject, for the estimate of a shaken picture. No check rests on it.",
    groups: &[&[
        Row::new(
            "item",
            Shape::Tag(&["item"]),
            "The item that is the camera, where no arm carries it.",
            "\"camera\"",
        ),
        Row::new(
            "sensor_width",
            Shape::Quantity(Length),
            "Width of the picture on the sensor, as cropped.",
            "\"24.9 mm\"",
        )
        .settle("read it in the camera's data, for the format that is shot")
        .within("1 mm", "200 mm"),
        Row::new("pixels", Shape::Count(64, 100_000), "Pixels across that width, as recorded.", "3840"),
        Row::new("focal_length", Shape::Quantity(Length), "Focal length, longest that is used.", "\"50 mm\"")
            .settle("read it on the lens")
            .within("1 mm", "5 m"),
        Row::new("shutter", Shape::Quantity(Time), "Time that the shutter is open.", "\"1/50 s\"")
            .settle("read it on the camera")
            .within("0.00001 s", "10 s"),
        Row::new(
            "shutter_angle",
            Shape::Quantity(Angle),
            "The same as an angle; goes with `frame_rate`.",
            "\"180 deg\"",
        )
        .settle("read it on the camera")
        .within("0.1 deg", "360 deg"),
        Row::new("frame_rate", Shape::Quantity(Frequency), "Pictures a second.", "\"25 Hz\"")
            .settle("read it on the camera")
            .within("0.1 Hz", "10 kHz"),
        Row::new(
            "distance",
            Shape::Quantity(Length),
            "Camera to subject, nearest; left out, the subject is far away.",
            "\"4 m\"",
        )
        .settle("tape it or read the lens")
        .within("50 mm", "100 km"),
        Row::new(
            "looks",
            Shape::Word(&["ahead", "left", "right", "back"]),
            "Which way the lens points.",
            "\"left\"",
        )
        .or("ahead"),
        Row::new(
            "steadied",
            Shape::Quantity(Number),
            "Share of the turning that a stabilised head lets through; left out, there is no such head.",
            "0.05",
        )
        .settle("film a far lamp on the moving car with the head on and off, and compare")
        .within("0", "1"),
        Row::new("rig_damping", Shape::Quantity(Number), "Damping ratio of the rig on its cups.", "0.05")
            .settle("a release test: pull the rig with a cord, let go, and log how it settles")
            .within("0.001", "0.7"),
    ]],
};
