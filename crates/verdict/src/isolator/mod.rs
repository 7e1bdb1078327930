//! The spring and dampers between boom tip and payload: how to set them, what they hold back, whether they fit this payload.
//!
//! mechanics.md §14.2, §14.3 and §14.6. It decides nothing in the verdict of the rig.

pub mod axis;
pub mod setting;
pub mod travel;

use crate::Fault;
use crate::finding::Need;
use crate::picture::rig_part;
use axis::{Axis, By, Spread};
use mechanics::road::quarter_car::QuarterCar;
use mechanics::shaking::oscillator::Oscillator;
use rig::model::{Arm, Rig};
use setting::Setting;
use travel::Push;

/// A gauge or a seat that is off by more than this share of the load is to be set anew: common practice, no source.
const SET_ANEW: f64 = 0.1;
/// A computed frequency that differs by more than this from the measured one is told: common practice, no source.
const DIFFERS: f64 = 0.2;
/// Points of the curve over frequency.
const POINTS: u32 = 180;

/// Whether the unit suits this payload and these manoeuvres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fits {
    /// Nothing speaks against it.
    Yes,
    /// Something is not known, or is to be set.
    Hold,
    /// Something does not fit.
    No,
}

impl Fits {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yes => "FITS",
            Self::Hold => "HOLD",
            Self::No => "DOES NOT FIT",
        }
    }
}

/// What comes through at one frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct Passed {
    /// What shakes there.
    pub what: String,
    /// Hz.
    pub at_hz: f64,
    /// Transmissibility up and down: least, likeliest and most over the ranges.
    pub up_down: Spread,
}

/// What is to be said of an isolator.
#[derive(Clone, Debug, PartialEq)]
pub struct Isolator {
    /// Payload, kg.
    pub payload_kg: f64,
    /// Payloads that it is made for, kg.
    pub made_for: Option<(f64, f64)>,
    /// Up and down, fore and aft, sideways.
    pub axes: [Axis; 3],
    /// Setting of its spring.
    pub setting: Option<Setting>,
    /// Give of the payload under its own weight, m.
    pub sag_m: Option<f64>,
    /// Travel up and down from where it floats, m.
    pub travel_m: Option<(f64, f64)>,
    /// Each manoeuvre's push.
    pub pushes: Vec<Push>,
    /// What comes through where something shakes.
    pub passed: Vec<Passed>,
    /// Transmissibility over frequency for the least, likeliest and most damping at the likeliest frequency.
    pub curves: Vec<(f64, [f64; 3])>,
    /// What does not fit.
    pub wrong: Vec<String>,
    /// What is to be set or looked at.
    pub doubts: Vec<String>,
    /// What is missing.
    pub needs: Vec<Need>,
}

impl Isolator {
    /// Whether it fits.
    pub fn fits(&self) -> Fits {
        if !self.wrong.is_empty() {
            Fits::No
        } else if !self.needs.is_empty() || !self.doubts.is_empty() {
            Fits::Hold
        } else {
            Fits::Yes
        }
    }
}

/// Whether the rig has an isolator at all: one that weighs something or of which something is known.
pub fn is_there(arm: &Arm) -> bool {
    let i = &arm.isolator;
    i.mass.value > 0.0 || i.frequency.is_some() || i.unit.spring.is_some() || i.unit.pivot.is_some()
}

/// Everything about a rig's isolator; none where it has none. `engine_hz` is one more frequency to look at.
///
/// # Errors
///
/// [`Fault`] where a number cannot be computed with.
pub fn isolator(rig: &Rig, engine_hz: Option<f64>) -> Result<Option<Isolator>, Fault> {
    let Some(arm) = rig.arm.as_ref().filter(|a| is_there(a)) else { return Ok(None) };
    let axes = axis::axes(rig, arm)?;
    let setting = setting::setting(rig, arm)?;
    let unit = &arm.isolator.unit;
    let travel_m = unit.travel.as_ref().map(|(u, d)| (u.value, d.value));
    let [up, ..] = &axes;
    let pushes = travel::pushes(rig, up, travel_m)?;
    let sag_m = match up.frequency {
        Some(f) => Some(Oscillator::new(f.value, 0.0).map_err(Fault::from_error)?.sag_m()),
        None => None,
    };
    let (passed, curves) = (passed(rig, up, engine_hz)?, curves(up)?);
    let mut out = Isolator {
        payload_kg: arm.payload.mass.value,
        made_for: unit.made_for.as_ref().map(|(a, b)| (a.value, b.value)),
        axes,
        setting,
        sag_m,
        travel_m,
        pushes,
        passed,
        curves,
        wrong: Vec::new(),
        doubts: Vec::new(),
        needs: Vec::new(),
    };
    out.judge();
    Ok(Some(out))
}

fn need(what: &str, key: &str, settle: &str) -> Need {
    Need { what: what.to_owned(), key: key.to_owned(), settle: settle.to_owned() }
}

impl Isolator {
    fn judge(&mut self) {
        self.judge_payload();
        self.judge_spring();
        let [up, sides @ ..] = &self.axes;
        let mut needs = Vec::new();
        if up.frequency.is_none() {
            let how =
                "push the payload down, let go and count ten swings against a watch; or state its spring";
            needs.push(need("natural frequency up and down", "isolator.frequency", how));
        } else if !up.damping_known {
            needs.push(need("damping up and down", up.damping_key, RELEASE));
        }
        for side in sides.iter().filter(|s| s.frequency.is_some() && !s.damping_known) {
            needs.push(need(&format!("damping {}", side.name), side.damping_key, RELEASE));
        }
        if self.made_for.is_none() {
            needs.push(need("payload range", "isolator.made_for", "read its plate or its data sheet"));
        }
        if self.travel_m.is_none() {
            let how = "push the payload to each stop and tape it from where it floats";
            needs.push(need("travel to the stops", "isolator.travel", how));
        }
        if let (By::Stated, Some(f), Some(b)) = (up.by, up.frequency, up.beside)
            && (f.value < b.low * (1.0 - DIFFERS) || f.value > b.high * (1.0 + DIFFERS))
        {
            self.doubts.push(format!(
                "its spring would give {:.1} Hz and {:.1} Hz is stated: measure rate, area or air again, or count the swings \
                 with this payload",
                b.value, f.value
            ));
        }
        self.needs.extend(needs);
        for p in &self.pushes {
            let (Some((down, up)), Some((above, below))) = (p.left_m, self.travel_m) else { continue };
            if down >= 0.0 && up >= 0.0 {
                continue;
            }
            let (stop, held) =
                if down <= up { ("lower", p.held_m.0 > below) } else { ("upper", p.held_m.1 > above) };
            if held && !p.kerb {
                self.wrong
                    .push(format!("{}: the payload goes to its {stop} stop and stays there", p.manoeuvre));
            } else {
                self.doubts.push(format!(
                    "{}: the payload reaches its {stop} stop: slower, a stiffer setting, more damping, or more travel",
                    p.manoeuvre
                ));
            }
        }
    }

    fn judge_payload(&mut self) {
        let Some((from, to)) = self.made_for else { return };
        let m = self.payload_kg;
        if m < from {
            self.wrong.push(format!("the payload is {:.1} kg under the lightest it is made for", from - m));
        } else if m > to {
            self.wrong.push(format!("the payload is {:.1} kg over the heaviest it is made for", m - to));
        }
    }

    fn judge_spring(&mut self) {
        match self.setting {
            Some(Setting::Air(a)) => {
                match a.greatest {
                    Some((most, _)) if a.gauge_pa > most => {
                        self.wrong.push("it would need more pressure than it may have: more springs, or a lighter payload".to_owned());
                    }
                    None => self.needs.push(need(
                        "greatest pressure of the air spring",
                        "isolator.air.greatest_pressure",
                        "read its plate",
                    )),
                    Some(_) => {}
                }
                if let (Some((now, _)), Some((most, _))) = (a.now, a.greatest)
                    && now > most
                {
                    self.wrong.push("its gauge reads more than it may have: let air out".to_owned());
                }
                if let Some((now, _)) = a.now
                    && (now - a.gauge_pa).abs() > SET_ANEW * a.gauge_pa
                {
                    self.doubts
                        .push("its gauge reads off the setting for this payload: set it anew".to_owned());
                }
            }
            Some(Setting::Coil(c)) => {
                if c.to_solid_m.is_some_and(|s| s <= 0.0) || c.length_m.is_some_and(|l| l <= 0.0) {
                    self.wrong.push(
                        "its turns touch under this payload: a stiffer spring, or more of them".to_owned(),
                    );
                }
                if let Some(set) = c.set
                    && (set.carries_kg - self.payload_kg).abs() > SET_ANEW * self.payload_kg
                {
                    self.doubts
                        .push("its preload is off the setting for this payload: set it anew".to_owned());
                }
            }
            None => {}
        }
    }
}

/// How damping is found.
const RELEASE: &str = "a release test: pull the payload 20 mm off, let go, log or film how it settles (clingfish settle works it out)";

/// The oscillators at the corners of the ranges; the likeliest first.
fn corners(up: &Axis) -> Result<Option<[Oscillator; 5]>, Fault> {
    let Some(f) = up.frequency else { return Ok(None) };
    let d = up.damping;
    let all = [(f.value, d.value), (f.low, d.low), (f.low, d.high), (f.high, d.low), (f.high, d.high)];
    let mut out = Vec::new();
    for (f, d) in all {
        out.push(Oscillator::new(f, d).map_err(Fault::from_error)?);
    }
    Ok(<[Oscillator; 5]>::try_from(out).ok())
}

fn passed(rig: &Rig, up: &Axis, engine_hz: Option<f64>) -> Result<Vec<Passed>, Fault> {
    let Some(corners) = corners(up)? else { return Ok(Vec::new()) };
    let car = QuarterCar::new(rig_part::corner(rig)).map_err(Fault::from_error)?;
    let (body, hop) = car.natural_frequencies_hz();
    let mut places = vec![("bounce of the car".to_owned(), body), ("hop of the wheels".to_owned(), hop)];
    let modes = rig_part::lowest(rig, 4)?;
    places.extend(modes.iter().enumerate().map(|(i, f)| (format!("rig and boom, frequency {}", i + 1), *f)));
    if let Some(f) = engine_hz {
        places.push(("engine".to_owned(), f));
    }
    places.sort_by(|a, b| a.1.total_cmp(&b.1));
    let likely = corners[0];
    Ok(places
        .into_iter()
        .map(|(what, at_hz)| {
            let t: Vec<f64> = corners.iter().map(|o| o.transmissibility(at_hz)).collect();
            let inside = up.frequency.is_some_and(|f| at_hz > f.low && at_hz < f.high);
            // Within the range of its own frequency it may be at resonance.
            let top = if inside {
                Oscillator::new(at_hz, up.damping.low).map_or(f64::NAN, |o| o.transmissibility(at_hz))
            } else {
                0.0
            };
            Passed {
                what,
                at_hz,
                up_down: Spread {
                    low: t.iter().copied().fold(f64::INFINITY, f64::min),
                    value: likely.transmissibility(at_hz),
                    high: t.iter().copied().fold(top, f64::max),
                },
            }
        })
        .collect())
}

fn curves(up: &Axis) -> Result<Vec<(f64, [f64; 3])>, Fault> {
    let Some(f) = up.frequency else { return Ok(Vec::new()) };
    let of = |d: f64| Oscillator::new(f.value, d).map_err(Fault::from_error);
    let all = [of(up.damping.low)?, of(up.damping.value)?, of(up.damping.high)?];
    Ok((0..=POINTS)
        .map(|k| {
            let at = f.value * 10_f64.powf(-1.0 + 2.5 * f64::from(k) / f64::from(POINTS));
            (at, all.map(|o| o.transmissibility(at)))
        })
        .collect())
}
