//! An estimate of what a rough road does to the picture: road, car body, rig, boom, isolator, camera, shutter.
//!
//! mechanics.md §14.4 to §14.9. It is an estimate of a steady drive on a random road, with the assumptions that [`ASSUMES`] lists; no
//! verdict rests on it.

pub(crate) mod chain;
pub mod ranking;
pub(crate) mod rig_part;

use crate::Fault;
use crate::finding::Need;
use crate::isolator::axis::Spread;
use chain::{Chain, Damped, camera_item, chain};
use core::f64::consts::TAU;
use glam::DVec3;
use mechanics::road::profile::{BAND_HIGH_CYCLES_PER_M, BAND_LOW_CYCLES_PER_M, RoadClass};
use mechanics::shaking::blur::{Lens, shutter_weight};
use mechanics::shaking::spectrum::mean_squares;
use mechanics::shaking::{Movement, ShakingError};
use ranking::Change;
use rig::camera::Looks;
use rig::model::{Rig, Vertical};

/// Modes of rig and boom are counted up to this many times the road's highest frequency, and up to [`MODES_HZ`] at least.
const MODES_OVER: f64 = 3.0;
/// Hz.
const MODES_HZ: f64 = 300.0;
/// Points of the curve over frequency.
const POINTS: u32 = 200;

/// What the estimate leaves out or takes for granted.
pub const ASSUMES: &[&str] = &[
    "steady straight drive on a random road of this class (ISO 8608, its mean); no kerb, pothole, bend, brake, wind or engine",
    "all four corners of the car as its front one; pitch inertia such that front and rear do not couple, roll radius of gyration \
     0.36 of the track",
    "car, rig with boom, payload: none moves the one before it; over an isolator the payload is left out of the rig's own \
     frequencies",
    "arm parked and its drives stiff; mast stiff; rig, straps and cups linear and holding",
    "isolator linear and free of its stops; what it is not known to do sideways or in turning counts as stiff",
    "camera and lens stiff; subject at rest, in focus; no stabiliser in lens or camera, no rolling shutter",
];

/// What the command line asks for in place of the file's.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Asked {
    /// m/s.
    pub speed_m_s: Option<f64>,
    /// m.
    pub focal_m: Option<f64>,
    /// s.
    pub shutter_s: Option<f64>,
}

/// Shaking after one link, root mean square over the band.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Where, in words.
    pub name: &'static str,
    /// Acceleration fore and aft, sideways, up and down, m/s².
    pub acceleration_m_s2: [f64; 3],
    /// Turning about ahead (roll), left (pitch), up (yaw), rad.
    pub turning_rad: [f64; 3],
}

/// What the lens sees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Focal length, m.
    pub focal_m: f64,
    /// Width of the picture on the sensor, m.
    pub sensor_width_m: f64,
    /// Pixels across.
    pub pixels: usize,
    /// Open time of the shutter, s.
    pub shutter_s: f64,
    /// Distance of the subject, m; none when far.
    pub distance_m: Option<f64>,
}

/// Shift of the picture between the opening and the closing of the shutter, r.m.s., pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blur {
    /// Across the picture.
    pub across_px: f64,
    /// Up and down.
    pub up_px: f64,
    /// At its side, by turning about the lens axis.
    pub edge_px: f64,
    /// Across and up together, by the camera's turning alone.
    pub turning_px: f64,
    /// The same by the camera's moving alone.
    pub moving_px: f64,
}

impl Blur {
    /// Across and up together, in the middle of the picture.
    pub fn total_px(&self) -> f64 {
        self.across_px.hypot(self.up_px)
    }
}

/// The estimate.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// ISO 8608 class.
    pub road: char,
    /// m/s.
    pub speed_m_s: f64,
    /// Whether the speed was asked for; else it is the fastest of the manoeuvres.
    pub speed_asked: bool,
    /// Lowest and highest frequency counted, Hz.
    pub band_hz: (f64, f64),
    /// What is the camera.
    pub camera: String,
    /// Which way it looks.
    pub looks: &'static str,
    /// Car body, rig, boom, camera, as far as they are there.
    pub stages: Vec<Stage>,
    /// Give of the isolator up and down, r.m.s., m.
    pub give_m: Option<f64>,
    /// Lowest frequencies of the rig, Hz.
    pub rig_hz: Vec<f64>,
    /// What the lens sees, where it is known.
    pub seen: Option<Seen>,
    /// The blur, where the lens is known.
    pub blur: Option<Blur>,
    /// Range of its total over what damping may be, px.
    pub range_px: Option<(f64, f64)>,
    /// What would help, the most first.
    pub changes: Vec<Change>,
    /// Square root of the spectrum of the up and down acceleration after each stage, m/s²/√Hz, over frequency.
    pub curves: Vec<(f64, Vec<f64>)>,
    /// What is missing, or not measured.
    pub needs: Vec<Need>,
}

/// The class of a rig's road.
fn class(rig: &Rig) -> RoadClass {
    match rig.site.road {
        'A' => RoadClass::A,
        'B' => RoadClass::B,
        'C' => RoadClass::C,
        'D' => RoadClass::D,
        'E' => RoadClass::E,
        'F' => RoadClass::F,
        'G' => RoadClass::G,
        _ => RoadClass::H,
    }
}

/// Fastest manoeuvre on a road; kerbs are crossed slower.
fn speed(rig: &Rig) -> Option<f64> {
    let roads = rig.manoeuvres.iter().filter(|m| !matches!(m.vertical, Vertical::Kerb { .. }));
    roads.map(|m| m.speed.value).filter(|v| *v >= 0.1).max_by(f64::total_cmp)
}

fn view(looks: Looks) -> (DVec3, &'static str) {
    match looks {
        Looks::Ahead => (DVec3::X, "ahead"),
        Looks::Left => (DVec3::Y, "left"),
        Looks::Right => (-DVec3::Y, "right"),
        Looks::Back => (-DVec3::X, "back"),
    }
}

/// What the estimate needs to see with.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Eye {
    pub(crate) seen: Seen,
    pub(crate) view: DVec3,
}

impl Eye {
    fn lens(&self) -> Result<Lens, ShakingError> {
        let s = &self.seen;
        // A picture is at most some hundred thousand pixels wide: exact in a double.
        let pixels = u32::try_from(s.pixels).map_or(f64::INFINITY, f64::from);
        Lens::new(s.focal_m, s.sensor_width_m, pixels, s.distance_m.unwrap_or(f64::INFINITY))
    }
}

/// The eye, or what it lacks.
fn eye(rig: &Rig, asked: &Asked, needs: &mut Vec<Need>) -> Option<Eye> {
    let camera = rig.camera.as_ref();
    let mut lack = |what: &str, key: &str, settle: &str| {
        needs.push(Need { what: what.to_owned(), key: format!("camera.{key}"), settle: settle.to_owned() });
    };
    let width = camera.and_then(|c| c.sensor_width.as_ref()).map(|f| f.value);
    let pixels = camera.and_then(|c| c.pixels);
    let focal = asked.focal_m.or(camera.and_then(|c| c.focal_length.as_ref()).map(|f| f.value));
    let shutter = asked.shutter_s.or(camera.and_then(|c| c.shutter.as_ref()).map(|f| f.value));
    if width.is_none() {
        lack("width of the sensor", "sensor_width", "read it in the camera's data");
    }
    if pixels.is_none() {
        lack("pixels across", "pixels", "read it in the camera's data, as recorded");
    }
    if focal.is_none() {
        lack("focal length", "focal_length", "read it on the lens");
    }
    if shutter.is_none() {
        lack("shutter", "shutter", "read it on the camera");
    }
    Some(Eye {
        seen: Seen {
            focal_m: focal?,
            sensor_width_m: width?,
            pixels: pixels?,
            shutter_s: shutter?,
            distance_m: camera.and_then(|c| c.distance.as_ref()).map(|f| f.value),
        },
        view: view(camera.map_or(Looks::Ahead, |c| c.looks)).0,
    })
}

/// The band of a road at a speed, Hz.
pub(crate) fn band(speed_m_s: f64) -> (f64, f64) {
    (BAND_LOW_CYCLES_PER_M * speed_m_s, BAND_HIGH_CYCLES_PER_M * speed_m_s)
}

/// Blur alone.
pub(crate) fn blur(chain: &Chain, eye: &Eye) -> Result<Blur, Fault> {
    let lens = eye.lens().map_err(Fault::from_error)?;
    let sums = mean_squares(band(chain.speed_m_s), &chain.steep_hz(), |f| {
        let weight = shutter_weight(f, eye.seen.shutter_s);
        let mut sum = [0.0; 5];
        for links in chain.at(f) {
            let all = lens.shift_px(eye.view, &links.camera);
            let mut turning = links.camera;
            turning[..3].fill(mechanics::shaking::c64::new(0.0, 0.0));
            let turned = lens.shift_px(eye.view, &turning);
            let squares = [
                all[0].norm_sqr(),
                all[1].norm_sqr(),
                all[2].norm_sqr(),
                turned[0].norm_sqr() + turned[1].norm_sqr(),
                (all[0] - turned[0]).norm_sqr() + (all[1] - turned[1]).norm_sqr(),
            ];
            sum.iter_mut().zip(squares).for_each(|(s, q)| *s += weight * q);
        }
        sum
    })
    .map_err(Fault::from_error)?;
    let [across_px, up_px, edge_px, turning_px, moving_px] = sums.map(f64::sqrt);
    Ok(Blur { across_px, up_px, edge_px, turning_px, moving_px })
}

/// Picks one place out of a chain.
type Reader = fn(&chain::Links) -> Movement;

/// Stages of a chain and how to read each.
fn stages_of(chain: &Chain) -> Vec<(&'static str, Reader)> {
    let mut out: Vec<(&'static str, Reader)> = Vec::new();
    match &chain.arm {
        None => {
            out.push(("car body, at the camera", |l| l.body));
            out.push(("camera on the rig", |l| l.camera));
        }
        Some(arm) => {
            out.push(("car body, at the pivot", |l| l.body));
            out.push(("rig, at the pivot", |l| l.rig));
            out.push(("boom's tip", |l| l.tip));
            out.push((if arm.isolated { "camera, isolated" } else { "camera" }, |l| l.camera));
        }
    }
    out
}

/// Most stages there are.
const STAGES: usize = 4;

fn stages(chain: &Chain) -> Result<(Vec<Stage>, f64), Fault> {
    let of = stages_of(chain);
    let sums = mean_squares(band(chain.speed_m_s), &chain.steep_hz(), |f| {
        let w4 = (TAU * f).powi(4);
        let mut sum = [0.0; 6 * STAGES + 1];
        for links in chain.at(f) {
            for (k, (_, read)) in of.iter().enumerate() {
                for (i, m) in read(&links).iter().enumerate() {
                    sum[6 * k + i] += m.norm_sqr() * if i < 3 { w4 } else { 1.0 };
                }
            }
            sum[6 * STAGES] += links.give.norm_sqr();
        }
        sum
    })
    .map_err(Fault::from_error)?
    .map(f64::sqrt);
    let list = of.iter().zip(sums.chunks(6)).map(|((name, _), s)| Stage {
        name,
        acceleration_m_s2: core::array::from_fn(|i| s.get(i).copied().unwrap_or(f64::NAN)),
        turning_rad: core::array::from_fn(|i| s.get(i + 3).copied().unwrap_or(f64::NAN)),
    });
    Ok((list.collect(), sums[6 * STAGES]))
}

fn curves(chain: &Chain) -> Vec<(f64, Vec<f64>)> {
    let of = stages_of(chain);
    let (low, high) = band(chain.speed_m_s);
    (0..=POINTS)
        .map(|k| {
            let f = low * (high / low).powf(f64::from(k) / f64::from(POINTS));
            let links = chain.at(f);
            let one = |read: &Reader| {
                links.iter().map(|l| (read(l)[2] * (TAU * f).powi(2)).norm_sqr()).sum::<f64>().sqrt()
            };
            (f, of.iter().map(|(_, read)| one(read)).collect())
        })
        .collect()
}

/// The estimate for a rig.
///
/// # Errors
///
/// [`Fault`] where the chain cannot be computed: no camera can be told, a speed that is none, a rig that moves freely.
pub fn picture(rig: &Rig, asked: &Asked) -> Result<Picture, Fault> {
    let speed_m_s = asked.speed_m_s.or_else(|| speed(rig)).ok_or_else(|| Fault {
        what: "no manoeuvre on a road has a speed: give one with --speed".to_owned(),
    })?;
    let velocity_psd = class(rig).road().velocity_psd(speed_m_s).map_err(Fault::from_error)?;
    let highest = (MODES_OVER * band(speed_m_s).1).max(MODES_HZ);
    let mut needs = Vec::new();
    let eye = eye(rig, asked, &mut needs);
    let build =
        |damped: Damped, needs: &mut Vec<Need>| chain(rig, (velocity_psd, speed_m_s), highest, damped, needs);
    let likely = build(Damped::Likely, &mut needs)?;
    if rig.camera.as_ref().is_none_or(|c| c.rig_damping.is_none()) {
        needs.push(Need {
            what: "damping of the rig on its cups".to_owned(),
            key: "camera.rig_damping".to_owned(),
            settle: "a release test: pull the rig with a cord, let go, log how it settles (clingfish settle works it out)"
                .to_owned(),
        });
    }
    let (stages, give) = stages(&likely)?;
    let mut out = Picture {
        road: rig.site.road,
        speed_m_s,
        speed_asked: asked.speed_m_s.is_some(),
        band_hz: band(speed_m_s),
        camera: match (&rig.arm, camera_item(rig, rig.camera.as_ref())) {
            (Some(_), _) => "payload".to_owned(),
            (None, Some(item)) => format!("item {}", item.tag),
            (None, None) => String::new(),
        },
        looks: view(rig.camera.as_ref().map_or(Looks::Ahead, |c| c.looks)).1,
        stages,
        give_m: likely.arm.as_ref().and_then(|a| a.up).map(|_| give),
        rig_hz: likely.rig.modes.iter().take(3).map(|m| m.frequency_hz).collect(),
        seen: eye.map(|e| e.seen),
        blur: None,
        range_px: None,
        changes: Vec::new(),
        curves: curves(&likely),
        needs,
    };
    if let Some(eye) = eye {
        let now = blur(&likely, &eye)?;
        let mut ends = Vec::new();
        for damped in [Damped::Little, Damped::Much] {
            ends.push(blur(&build(damped, &mut Vec::new())?, &eye)?.total_px());
        }
        ends.push(now.total_px());
        let spread = Spread {
            low: ends.iter().copied().fold(f64::INFINITY, f64::min),
            value: now.total_px(),
            high: ends.iter().copied().fold(0.0, f64::max),
        };
        out.range_px = spread.is_range().then_some((spread.low, spread.high));
        let stiffer = if likely.arm.as_ref().is_some_and(|a| a.bends) {
            let rig = rig_part::stiffer_boom(rig, 2.0);
            Some(chain(&rig, (velocity_psd, speed_m_s), highest, Damped::Likely, &mut Vec::new())?)
        } else {
            None
        };
        out.changes = ranking::changes((&likely, stiffer.as_ref()), &eye, now.total_px())?;
        out.blur = Some(now);
    }
    Ok(out)
}
