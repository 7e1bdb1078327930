//! The camera as far as a shaken picture needs it.

use crate::fact::Fact;

/// Which way the lens points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// Ahead.
    Ahead,
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Back.
    Back,
}

/// Sensor, lens, shutter and subject.
#[derive(Clone, Debug)]
pub struct Camera {
    /// The item that is the camera, where no arm carries it; index into [`crate::model::Rig::items`].
    pub item: Option<usize>,
    /// Width of the picture on the sensor, m.
    pub sensor_width: Option<Fact>,
    /// Pixels across that width.
    pub pixels: Option<usize>,
    /// Focal length, m.
    pub focal_length: Option<Fact>,
    /// Time that the shutter is open, s.
    pub shutter: Option<Fact>,
    /// From the camera to the subject, m; far away when not stated.
    pub distance: Option<Fact>,
    /// Which way it looks.
    pub looks: Looks,
    /// Share of the turning that a stabilised head lets through; none without one.
    pub steadied: Option<Fact>,
    /// Damping ratio of the rig on its cups.
    pub rig_damping: Option<Fact>,
}

impl Camera {
    /// Every fact of it.
    pub(crate) fn facts_mut(&mut self) -> Vec<Option<&mut Fact>> {
        vec![
            self.sensor_width.as_mut(),
            self.focal_length.as_mut(),
            self.shutter.as_mut(),
            self.distance.as_mut(),
            self.steadied.as_mut(),
            self.rig_damping.as_mut(),
        ]
    }
}
