//! The checked model: what the rig file says, in SI and vehicle axes (ISO 8855: x forward, y left, z up, origin on the
//! ground under the middle of the front axle). Positions are metres, angles radians.

use crate::camera::Camera;
use crate::fact::Fact;
use crate::house::House;
use crate::isolator::Unit;
use crate::policy::Policy;
use glam::DVec3;

pub mod power;

/// A whole rig on its car, as read.
#[derive(Clone, Debug)]
pub struct Rig {
    /// What the person calls it.
    pub name: String,
    /// Free text.
    pub note: String,
    /// Where it is driven.
    pub site: Site,
    /// The car.
    pub vehicle: Vehicle,
    /// Body panels that cups stand on.
    pub panels: Vec<Panel>,
    /// Vacuum cups, in file order (as all lists are).
    pub cups: Vec<Cup>,
    /// Round tubes of the grid.
    pub tubes: Vec<Tube>,
    /// Tube-to-tube clamps.
    pub clamps: Vec<Clamp>,
    /// Rigid platforms, bases and plates.
    pub platforms: Vec<Platform>,
    /// What joins a platform to the tubes.
    pub legs: Vec<Leg>,
    /// Ratchet straps and tethers.
    pub straps: Vec<Strap>,
    /// Other fixed things: boxes, batteries, a fixed camera.
    pub items: Vec<Item>,
    /// The motorised balanced arm, if there is one.
    pub arm: Option<Arm>,
    /// Batteries, cables and what they feed, if stated.
    pub power: Option<power::Power>,
    /// The camera, if it is described.
    pub camera: Option<Camera>,
    /// What will be done with the car.
    pub manoeuvres: Vec<Manoeuvre>,
    /// Required factors and retention accelerations.
    pub policy: Policy,
    /// The person's own steps and rules for the order of work.
    pub house: House,
}

/// Where the rig is driven.
#[derive(Clone, Debug)]
pub struct Site {
    /// Height above the sea, m.
    pub altitude: Fact,
    /// Air temperature, K.
    pub temperature: Fact,
    /// Gust speed at roof height, m/s, from any side.
    pub gust: Fact,
    /// Highest point of the route above the sea, m, when it climbs after the gauges are read.
    pub highest: Option<Fact>,
    /// Warmest that the cups may get before they are read again, K.
    pub hottest: Option<Fact>,
    /// Speed-up of the air over the roof (1 is none).
    pub over_roof: Fact,
    /// ISO 8608 road class, `'A'` to `'H'`.
    pub road: char,
    /// Posted clearance on the route, m above the road.
    pub clearance: Option<Fact>,
    /// Lowest overhead line on the route, m above the road, and its voltage, V.
    pub overhead_line: Option<(Fact, Fact)>,
}

/// The car, empty, and what rides inside it.
#[derive(Clone, Debug)]
pub struct Vehicle {
    /// The ready set that unstated values came from.
    pub like: Option<String>,
    /// Mass as it stands without crew and rig, kg.
    pub mass: Fact,
    /// Share of that mass on the front axle, kg.
    pub front_axle: Fact,
    /// Wheelbase, m.
    pub wheelbase: Fact,
    /// Track, front and rear, m.
    pub track_front: Fact,
    /// Track, rear, m.
    pub track_rear: Fact,
    /// Height of the mass centre over the ground, m.
    pub centre_height: Fact,
    /// The maker's roof rating, kg, if known.
    pub roof_rating: Option<Fact>,
    /// Greatest allowed mass, kg.
    pub gross_limit: Option<Fact>,
    /// Greatest allowed front axle load, kg.
    pub front_axle_limit: Option<Fact>,
    /// Greatest allowed rear axle load, kg.
    pub rear_axle_limit: Option<Fact>,
    /// Windscreen's top edge on the centreline, in vehicle axes, m.
    pub datum: DVec3,
    /// Overall length, width, height and front overhang of the car without the rig, m.
    pub outline: Outline,
    /// Ride and roll.
    pub ride: Ride,
    /// People and things inside: counted on the axles, not on the roof.
    pub aboard: Vec<Aboard>,
}

/// Overall size of the car, m.
#[derive(Clone, Debug)]
pub struct Outline {
    /// Bumper to bumper.
    pub length: Fact,
    /// Across the body.
    pub width: Fact,
    /// Road to the highest point.
    pub height: Fact,
    /// Front bumper ahead of the front axle.
    pub front_overhang: Fact,
}

/// Quarter-car and roll data.
#[derive(Clone, Debug)]
pub struct Ride {
    /// Sprung mass on one front corner, kg.
    pub sprung_corner: Fact,
    /// Unsprung mass of one corner, kg.
    pub unsprung_corner: Fact,
    /// Spring rate at the wheel, N/m.
    pub spring: Fact,
    /// Damping at the wheel, N s/m.
    pub damper: Fact,
    /// Tyre rate, N/m.
    pub tyre: Fact,
    /// Roll stiffness of the whole car, N m/rad.
    pub roll_stiffness: Fact,
    /// Height of the roll axis under the mass centre, m over the ground.
    pub roll_axis_height: Fact,
}

/// A mass inside the car.
#[derive(Clone, Debug)]
pub struct Aboard {
    /// Its tag.
    pub tag: String,
    /// kg.
    pub mass: Fact,
    /// Vehicle axes, m.
    pub at: DVec3,
}

/// Panel material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// Steel sheet.
    Steel,
    /// Aluminium sheet.
    Aluminium,
    /// Glass.
    Glass,
    /// Plastic or composite.
    Plastic,
}

/// A body panel: a crowned surface around a centre.
///
/// Surface: `p(a, b) = centre + a ea + b eb + w n` with `w = -(a^2 / 2 Ra + b^2 / 2 Rb)`.
/// `ea` runs aft along the panel (down it, on a panel that faces forward or aft), `n` points out of the car,
/// `eb = n x ea`.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Its tag (`roof`, `bonnet`).
    pub tag: String,
    /// Middle of the panel on its surface.
    pub centre: DVec3,
    /// Unit vector along the panel.
    pub ea: DVec3,
    /// Unit vector across the panel.
    pub eb: DVec3,
    /// Outward unit normal at the middle.
    pub normal: DVec3,
    /// Size along `ea` and `eb`, m.
    pub size: (f64, f64),
    /// Crown radii along `ea` and `eb`, m; infinite when flat.
    pub crown: (Fact, Fact),
    /// What it is made of.
    pub material: Material,
    /// Its finish, as written (`clean paint`, `waxed`, `film`).
    pub finish: String,
    /// Rain, dew or washing water on it.
    pub wet: bool,
    /// Friction of a cup's rubber on it, in the state above.
    pub friction: Fact,
    /// Friction in the other state: wet where it is dry, dry where it is wet; none where the finish is not in the parts list. No
    /// verdict rests on it, so it is not among the facts that are visited.
    pub other_friction: Option<Fact>,
    /// Stiffness of the sheet under one cup, along its normal, N/m.
    pub stiffness: Fact,
    /// Rocking stiffness of the sheet under one cup, N m/rad.
    pub rocking: Fact,
    /// Greatest pull on the sheet by one cup, N.
    pub pull_limit: Option<Fact>,
    /// Greatest push on the sheet by one cup, N.
    pub push_limit: Option<Fact>,
    /// Whether this panel's load counts against the roof rating.
    pub is_roof: bool,
    /// Places to keep clear: centre (a, b) and size (a, b), m.
    pub keep_outs: Vec<KeepOut>,
}

/// A rectangle on a panel that no cup may touch.
#[derive(Clone, Debug)]
pub struct KeepOut {
    /// What is there (`sunroof`, `aerial`).
    pub tag: String,
    /// Its middle on the panel, m along `ea` and `eb`.
    pub centre: (f64, f64),
    /// Its size, m along `ea` and `eb`.
    pub size: (f64, f64),
}

/// What a thing is fixed to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hold {
    /// Tube `tube`, `s` metres from its end `a` along its axis.
    Tube {
        /// Index into [`Rig::tubes`].
        tube: usize,
        /// Distance from the end `a`, m.
        s: f64,
    },
    /// A platform, by index.
    Platform(usize),
    /// A cup's head, by index.
    Cup(usize),
    /// The car's body.
    Body,
}

/// A vacuum cup in its place.
#[derive(Clone, Debug)]
pub struct Cup {
    /// Its tag.
    pub tag: String,
    /// Catalogue name.
    pub part: String,
    /// Index into [`Rig::panels`].
    pub panel: usize,
    /// Place on the panel (a, b), m.
    pub place: (f64, f64),
    /// Centre of the seal on the panel's surface.
    pub at: DVec3,
    /// Outward normal there.
    pub normal: DVec3,
    /// Unit vector in the panel plane nearest to straight ahead (up, on an upright panel facing ahead).
    pub along: DVec3,
    /// What its head holds.
    pub holds: Hold,
    /// Centre of its clamp: `at + height normal`.
    pub head: DVec3,
    /// Stack height from the panel to the clamp's centre, m.
    pub height: f64,
    /// Least and greatest stack height of the part, m.
    pub height_range: (f64, f64),
    /// Whether the pivoting head is locked.
    pub locked: bool,
    /// Outer radius of the lip's contact, m.
    pub outer_radius: f64,
    /// Radius of the sealed area, m.
    pub seal_radius: f64,
    /// kg.
    pub mass: Fact,
    /// Vacuum below ambient at the time of the reading, Pa; `None` when no reading or plan is given.
    pub vacuum: Option<Fact>,
    /// Loss of vacuum until the next round, Pa.
    pub loss: Fact,
    /// Stiffness of the cup itself: along its axis, N/m.
    pub axial: Fact,
    /// In the panel's plane, N/m.
    pub shear: Fact,
    /// Rocking, N m/rad.
    pub rocking: Fact,
    /// Turning about its axis, N m/rad.
    pub torsional: Fact,
    /// Maker's plate for pull, N.
    pub pull_rating: Option<Fact>,
    /// Maker's plate for shear, N.
    pub shear_rating: Option<Fact>,
    /// How far the lip follows a crowned panel, m.
    pub lip_follow: Fact,
    /// Section of the stem from panel to clamp, when it bends enough to count; none means rigid.
    pub stem: Option<Section>,
}

/// Tube material.
#[derive(Clone, Debug)]
pub struct TubeMaterial {
    /// Its name (`S235`, `EN AW-6082 T6`).
    pub name: String,
    /// Young's modulus, Pa.
    pub e_pa: f64,
    /// Shear modulus, Pa.
    pub g_pa: f64,
    /// kg/m³.
    pub density: f64,
    /// Yield or 0.2 % proof stress, Pa.
    pub yield_pa: Fact,
}

/// Round section of a tube.
#[derive(Clone, Debug)]
pub struct Section {
    /// Catalogue name.
    pub part: String,
    /// Outer diameter, m.
    pub outer: f64,
    /// Wall, m.
    pub wall: f64,
    /// Material.
    pub material: TubeMaterial,
    /// Drag coefficient of the bare tube, by its diameter.
    pub drag: Fact,
}

/// A straight round tube.
#[derive(Clone, Debug)]
pub struct Tube {
    /// Its tag.
    pub tag: String,
    /// Section and material.
    pub section: Section,
    /// First end of the axis.
    pub a: DVec3,
    /// Other end of the axis.
    pub b: DVec3,
}

impl Tube {
    /// Length between the ends, m.
    pub fn length(&self) -> f64 {
        (self.b - self.a).length()
    }

    /// The point `s` metres from end `a`.
    pub fn point(&self, s: f64) -> DVec3 {
        let length = self.length();
        if length > 0.0 { self.a + (self.b - self.a) * (s / length) } else { self.a }
    }
}

/// Kind of tube-to-tube clamp (EN 74 terms).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClampKind {
    /// Holds two tubes at a right angle.
    RightAngle,
    /// Free to turn about the line between the two axes.
    Swivel,
    /// Holds a tube's end to another tube.
    End,
}

/// A clamp between two tubes.
#[derive(Clone, Debug)]
pub struct Clamp {
    /// Its tag.
    pub tag: String,
    /// Catalogue name.
    pub part: String,
    /// Kind.
    pub kind: ClampKind,
    /// First tube and distance along it, m.
    pub first: (usize, f64),
    /// Second tube and distance along it, m.
    pub second: (usize, f64),
    /// kg.
    pub mass: Fact,
    /// Slip force along a tube at the rated torque, N.
    pub slip: Option<Fact>,
    /// Slip moment about a tube at the rated torque, N m.
    pub twist: Option<Fact>,
    /// Torque that the slip values go with, N m.
    pub rated_torque: f64,
    /// Torque it is tightened to, N m.
    pub torque: Fact,
}

/// A rigid platform, base or plate.
#[derive(Clone, Debug)]
pub struct Platform {
    /// Its tag.
    pub tag: String,
    /// Middle of the face that looks away from the car: the top, where a mast stands.
    pub at: DVec3,
    /// Unit vector along its length, as [`Panel::ea`] (aft, on one that lies flat).
    pub along: DVec3,
    /// Unit vector square to it, away from the car (up, on one that lies flat).
    pub normal: DVec3,
    /// Length along `along`, width along `normal x along`, thickness along `normal`, m.
    pub size: DVec3,
    /// kg.
    pub mass: Fact,
    /// Drag coefficient by its faces.
    pub drag: Fact,
}

/// A leg from a tube up to a platform.
#[derive(Clone, Debug)]
pub struct Leg {
    /// Its tag.
    pub tag: String,
    /// The tube and distance along it.
    pub foot: (usize, f64),
    /// The platform.
    pub platform: usize,
    /// Where it meets the platform.
    pub top: DVec3,
    /// kg.
    pub mass: Fact,
    /// Section, when it is slender enough to bend; none means rigid.
    pub section: Option<Section>,
    /// Slip along and about the tube at the rated torque, where its foot is a clamp.
    pub slip: Option<Fact>,
    /// Slip moment about the tube, N m.
    pub twist: Option<Fact>,
    /// Bolts at its top.
    pub bolts: Option<Bolts>,
}

/// A ring of like bolts.
#[derive(Clone, Debug)]
pub struct Bolts {
    /// Thread (`M10`).
    pub thread: String,
    /// Property class (`8.8`).
    pub class: String,
    /// How many.
    pub count: usize,
    /// Diameter of the bolt circle, m (0 for one bolt).
    pub circle: f64,
    /// Tightening torque, N m.
    pub torque: Fact,
    /// Friction in thread and under head.
    pub thread_friction: Fact,
    /// Friction between the joined faces.
    pub face_friction: Fact,
}

/// Strap or slack tether.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrapKind {
    /// Tensioned web lashing.
    Strap,
    /// A line left just slack: no force until something moves.
    Tether,
}

/// One point of a strap's path.
#[derive(Clone, Copy, Debug)]
pub struct PathPoint {
    /// Where.
    pub at: DVec3,
    /// What it is fixed to or runs over.
    pub on: Hold,
}

/// A strap or tether along its whole path.
#[derive(Clone, Debug)]
pub struct Strap {
    /// Its tag.
    pub tag: String,
    /// Catalogue name.
    pub part: String,
    /// Kind.
    pub kind: StrapKind,
    /// Lashing capacity or working load limit, N.
    pub capacity: Fact,
    /// Stretch at that load (0.05 is 5 %).
    pub stretch: Fact,
    /// Tension as fitted, N (0 for a tether).
    pub pretension: Fact,
    /// kg.
    pub mass: Fact,
    /// Two or more points.
    pub path: Vec<PathPoint>,
}

/// Drag of a bluff thing: face areas across x, y, z and a coefficient.
#[derive(Clone, Debug)]
pub struct Drag {
    /// Areas seen along x, y, z, m².
    pub areas: DVec3,
    /// Coefficient.
    pub coefficient: Fact,
}

/// A lumped thing.
#[derive(Clone, Debug)]
pub struct Item {
    /// Its tag.
    pub tag: String,
    /// kg.
    pub mass: Fact,
    /// Mass centre.
    pub at: DVec3,
    /// What it is fixed to.
    pub on: Hold,
    /// Drag, if it stands in the wind.
    pub drag: Option<Drag>,
}

/// The motorised balanced arm.
#[derive(Clone, Debug)]
pub struct Arm {
    /// Platform it stands on.
    pub platform: usize,
    /// Mast base: the platform's top centre.
    pub base: DVec3,
    /// Height of the boom's pivot over the mast base, m.
    pub pivot_height: f64,
    /// Mass that does not turn, kg, and the height of its centre over the base, m.
    pub base_mass: (Fact, f64),
    /// Mass that turns with pan only, kg, and the height of its centre over the base, m.
    pub head_mass: (Fact, f64),
    /// Mast outer diameter, m, for drag.
    pub mast_diameter: f64,
    /// Boom sections, root to tip, then tail.
    pub sections: Vec<BoomSection>,
    /// Counterweight.
    pub counterweight: Counterweight,
    /// Whether the tip keeps upright when the boom tilts.
    pub levelled: bool,
    /// Isolator.
    pub isolator: Isolator,
    /// Payload below the isolator.
    pub payload: Payload,
    /// Drives.
    pub drives: Drives,
    /// Lowest and highest elevation, rad.
    pub elevation: (f64, f64),
    /// Pan range, rad, L positive; `(-pi, pi)` is all round.
    pub pan: (f64, f64),
    /// Pose in which it travels parked: pan, elevation.
    pub parked: (f64, f64),
    /// Braces that stiffen the boom.
    pub braces: Vec<Brace>,
    /// Greatest tip sag by its own weight and payload, m, if one is asked.
    pub sag_limit: Option<Fact>,
}

/// One boom section.
#[derive(Clone, Debug)]
pub struct BoomSection {
    /// Its tag.
    pub tag: String,
    /// Start and end along the boom from the pivot, m; negative is the tail.
    pub span: (f64, f64),
    /// kg.
    pub mass: Fact,
    /// Outer size across the wind, m.
    pub diameter: f64,
    /// Drag coefficient.
    pub drag: Fact,
    /// Round section for stress and sag, if known.
    pub section: Option<Section>,
    /// Bolts of the joint at its end nearer the pivot, if they are stated.
    pub bolts: Option<Bolts>,
}

/// Counterweight on the tail.
#[derive(Clone, Debug)]
pub struct Counterweight {
    /// kg.
    pub mass: Fact,
    /// Distance behind the pivot along the boom, m.
    pub behind: Fact,
    /// Distance under the boom axis, m.
    pub under: f64,
    /// Face areas, m², and coefficient.
    pub drag: Option<Drag>,
    /// Plates at hand, kg.
    pub plates: Vec<f64>,
    /// Plates on it that can come off, kg; part of `mass`.
    pub fitted: Vec<f64>,
    /// Where its carrier can slide, behind the pivot: nearest, farthest, m.
    pub slide: Option<(f64, f64)>,
}

/// Spring and dampers at the tip.
#[derive(Clone, Debug)]
pub struct Isolator {
    /// kg (0 when there is none).
    pub mass: Fact,
    /// Natural frequency up and down, Hz, if known.
    pub frequency: Option<Fact>,
    /// What else is known of it.
    pub unit: Unit,
}

/// Everything below the isolator.
#[derive(Clone, Debug)]
pub struct Payload {
    /// kg.
    pub mass: Fact,
    /// Mass centre from the tip: ahead along the boom's heading, left, up, m.
    pub centre: DVec3,
    /// Drag.
    pub drag: Option<Drag>,
}

/// Drive limits, SI.
#[derive(Clone, Debug)]
pub struct Drives {
    /// rad/s.
    pub pan_rate: Fact,
    /// rad/s².
    pub pan_acceleration: Fact,
    /// Emergency stop, rad/s².
    pub pan_stop: Fact,
    /// N m.
    pub pan_torque: Option<Fact>,
    /// rad/s.
    pub tilt_rate: Fact,
    /// rad/s².
    pub tilt_acceleration: Fact,
    /// Emergency stop, rad/s².
    pub tilt_stop: Fact,
    /// N m.
    pub tilt_torque: Option<Fact>,
}

/// A stay from above the pivot to a point of the boom.
#[derive(Clone, Debug)]
pub struct Brace {
    /// Its tag.
    pub tag: String,
    /// Distance along the boom from the pivot, m.
    pub along: f64,
    /// Height of its upper end over the boom axis at the pivot, m.
    pub height: f64,
    /// Offset of the upper end to the left, m.
    pub left: f64,
    /// Axial stiffness E A, N.
    pub ea: f64,
}

/// What the arm may do in a manoeuvre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArmUse {
    /// Only the parked pose.
    Parked,
    /// Any pose, not moving.
    Still,
    /// Any pose, any motion of the drives.
    Live,
}

/// Vertical input of a manoeuvre.
#[derive(Clone, Debug)]
pub enum Vertical {
    /// Stated range, m/s², up and down.
    Range(Fact),
    /// From the road class and speed by quarter car and peak factor.
    Road,
    /// A kerb or pothole: height and length of a half-sine bump, m.
    Kerb {
        /// m.
        height: Fact,
        /// m.
        length: Fact,
    },
}

/// One thing that the car will do.
#[derive(Clone, Debug)]
pub struct Manoeuvre {
    /// Its tag.
    pub tag: String,
    /// The car's acceleration forward, m/s² (braking is negative).
    pub forward: Fact,
    /// The car's acceleration to the left, m/s² (a left bend is positive).
    pub left: Fact,
    /// Vertical input.
    pub vertical: Vertical,
    /// Speed over the road, m/s.
    pub speed: Fact,
    /// Yaw rate, rad/s, left positive; none means lateral / speed.
    pub yaw_rate: Option<Fact>,
    /// Uphill grade, rad.
    pub grade: f64,
    /// Road banked, left side up, rad.
    pub bank: f64,
    /// Whether the site's gust blows: from ahead and from both sides.
    pub gust: bool,
    /// What the arm may do.
    pub arm: ArmUse,
}
