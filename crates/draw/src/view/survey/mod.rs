//! What a survey measures: the car with the lines that a tape takes on it, each with its mark; and the small drawings of tests that
//! are made on its sheet.

mod bench;
mod sight;

pub use bench::{Bench, bench};
pub use sight::sight;

use super::View;
use crate::text::escaped;
use glam::DVec3;

/// From where the car is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// Above, the car's front up.
    Above,
    /// Its left.
    Left,
    /// Its right.
    Right,
    /// Ahead.
    Ahead,
    /// Behind.
    Behind,
}

impl From {
    fn view(self) -> View {
        let level = |bearing| View::Corner { bearing, over: 0.0 };
        match self {
            Self::Above => View::Plan,
            Self::Left => View::Side,
            Self::Ahead => View::Front,
            Self::Right => level(-core::f64::consts::FRAC_PI_2),
            Self::Behind => level(core::f64::consts::PI),
        }
    }

    /// Where one stands to see a surface whose normal points that way.
    pub fn facing(normal: DVec3) -> Self {
        let n = normal.abs();
        match () {
            () if n.z >= n.x && n.z >= n.y => Self::Above,
            () if n.y >= n.x && normal.y > 0.0 => Self::Left,
            () if n.y >= n.x => Self::Right,
            () if normal.x > 0.0 => Self::Ahead,
            () => Self::Behind,
        }
    }
}

/// A measured line.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// From here, vehicle axes, m.
    pub from: DVec3,
    /// To here.
    pub to: DVec3,
    /// Along this axis: 0 forward, 1 left, 2 up.
    pub axis: usize,
    /// Whether its line stands above or to the left of the car, not below or to the right.
    pub is_before: bool,
    /// Its mark: one or two letters or digits stand in a disc, words along the line.
    pub mark: String,
}

/// Something else that is shown on the car.
#[derive(Clone, Debug, PartialEq)]
pub enum Extra {
    /// A weighbridge under wheels, from here to here along the car, m ahead of the front axle.
    Bridge(f64, f64),
    /// A push or pull that ends here, the way it goes, vehicle axes.
    Push(DVec3, DVec3),
    /// The middle of a mass.
    Centre(DVec3),
    /// A bridge or wire over the road at this height, m.
    Over(f64),
    /// A panel by its place in the rig's list: shown as the thing to look at.
    Panel(usize),
}

/// What is drawn of a car.
#[derive(Clone, Debug)]
pub struct Sight<'a> {
    /// What it says to whoever cannot see it.
    pub title: &'a str,
    /// From where.
    pub from: From,
    /// What must be in the picture, vehicle axes, m; the whole car where it is empty.
    pub around: Vec<DVec3>,
    /// The measured lines.
    pub spans: Vec<Span>,
    /// What else.
    pub extras: Vec<Extra>,
    /// Whether panels, places to keep clear and cups are shown.
    pub with_panels: bool,
}

/// How wide the drawings are, units: those of a phone held upright.
const WIDTH: f64 = 360.0;
const TYPE: f64 = 14.0;

/// The file around what was drawn.
fn file(title: &str, height: f64, body: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height:.0}\" width=\"{WIDTH}\" height=\"{height:.0}\" font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\" font-size=\"{TYPE}\" role=\"img\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n{body}</svg>\n",
        escaped(title)
    )
}
