//! A rig on its car from above, from the side, from the front and across a corner.

mod board;
mod bounds;
mod eye;
mod fit;
pub mod flat;
mod footer;
mod forces;
mod ink;
mod margins;
mod measures;
mod names;
mod picture;
mod rails;
mod seen;
mod sheet;
mod solid;
pub mod survey;
mod tags;
mod words;

pub use words::{mark, parts};
#[cfg(test)]
mod tests;

use glam::DVec3;
use rig::Rig;

/// A part by kind and place in the rig's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// A vacuum cup.
    Cup(usize),
    /// A tube.
    Tube(usize),
    /// A clamp.
    Clamp(usize),
    /// A leg.
    Leg(usize),
    /// A platform.
    Platform(usize),
    /// A strap or tether.
    Strap(usize),
    /// Another fixed thing.
    Item(usize),
    /// The arm.
    Arm,
    /// A section of the boom.
    BoomSection(usize),
}

/// How a margin came out: told by word and line, not by colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// Over 1 and not near it.
    Holds,
    /// Near 1.
    Close,
    /// Under 1.
    Fails,
    /// Not checked.
    Unknown,
}

/// The least margin of a part, drawn on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Margin {
    /// Whose.
    pub part: Part,
    /// The margin; none where the part was not checked.
    pub value: Option<f64>,
    /// How it came out.
    pub word: Word,
}

/// A force on the rig.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrow {
    /// Where it acts, vehicle axes, m.
    pub at: DVec3,
    /// The force, vehicle axes, N.
    pub force: DVec3,
    /// Its size in words, both systems.
    pub label: String,
}

/// The rig as the forces bend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// How many times larger than true it is drawn.
    pub times: f64,
    /// Lines of the bent shape: each point where it stands at rest and how far it moves there, m.
    pub lines: Vec<Vec<(DVec3, DVec3)>>,
}

/// Where the boom points, rad: left positive, up positive.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Pose {
    /// About the mast.
    pub pan: f64,
    /// Over the level.
    pub elevation: f64,
}

/// What is drawn.
#[derive(Clone, Debug)]
pub struct Scene<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// Where the boom points; without an arm nothing.
    pub pose: Pose,
    /// A cup or strap that is lost.
    pub lost: Option<Part>,
    /// Margins.
    pub margins: Vec<Margin>,
    /// Forces.
    pub arrows: Vec<Arrow>,
    /// The bent shape.
    pub moved: Option<Moved>,
    /// Sentences under the drawing (the state that is shown).
    pub notes: Vec<String>,
}

/// From where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum View {
    /// From above, the car's front up.
    Plan,
    /// From the car's left, its front at the left of the paper.
    Side,
    /// From ahead.
    Front,
    /// Across a corner: the eye's bearing from the car (left positive) and its height as an angle over the level, rad.
    Corner {
        /// Bearing of the eye.
        bearing: f64,
        /// Angle of the eye over the level.
        over: f64,
    },
}

/// What it is drawn for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Medium {
    /// A laptop or a file.
    Page,
    /// A phone held upright.
    Phone,
    /// Paper of this much room, mm; drawn at a round scale, as wide as the room and no higher than it needs to be.
    Print {
        /// Room across, mm.
        width: f64,
        /// Room down, mm.
        height: f64,
    },
}

/// A finished drawing.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// The file.
    pub svg: String,
    /// Model metres to one metre of paper, for print (`20.0` is 1:20); for the rest, drawing units to a metre.
    pub scale: f64,
    /// Width and height: mm of paper for print, never more than its room; for the rest, drawing units.
    pub size: (f64, f64),
    placing: eye::Placing,
}

impl<'a> Scene<'a> {
    /// A rig with its arm parked, and nothing shown on it.
    pub fn new(rig: &'a Rig) -> Self {
        let pose =
            rig.arm.as_ref().map_or_else(Pose::default, |a| Pose { pan: a.parked.0, elevation: a.parked.1 });
        Self {
            rig,
            pose,
            lost: None,
            margins: Vec::new(),
            arrows: Vec::new(),
            moved: None,
            notes: Vec::new(),
        }
    }
}

impl Drawing {
    /// Where a point of the model stands, in units of the drawing's `viewBox`, right and down from its upper left corner.
    pub fn place(&self, p: DVec3) -> (f64, f64) {
        let at = self.placing.place(p);
        (at.x, at.y)
    }

    /// The same in millimetres of paper; none where the drawing is not for print.
    pub fn place_mm(&self, p: DVec3) -> Option<(f64, f64)> {
        let at = self.placing.place(p);
        self.placing.per_mm.map(|k| (at.x / k, at.y / k))
    }

    /// The model's point under a place of the drawing, as deep into the paper as `through`: the way back from [`Drawing::place`].
    pub fn find(&self, (x, y): (f64, f64), through: DVec3) -> Option<DVec3> {
        self.placing.find(glam::DVec2::new(x, y), through)
    }
}

/// Draws a scene. No text covers another or leaves the paper; what has no room is left out and said.
pub fn draw(scene: &Scene<'_>, view: View, medium: Medium) -> Drawing {
    sheet::draw(scene, view, medium)
}
