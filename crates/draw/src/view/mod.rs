//! A rig on its car from above, from the side, from the front and across a corner.

pub mod flat;
mod solid;
mod words;

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
    /// Paper of this much room, mm; drawn at a round scale.
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
}

/// Draws a scene.
pub fn draw(scene: &Scene<'_>, _view: View, _medium: Medium) -> Drawing {
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\"><title>{}</title></svg>\n",
        crate::text::escaped(&scene.rig.name)
    );
    Drawing { svg, scale: 1.0 }
}
