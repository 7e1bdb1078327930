//! Sums by hand behind what is no check and has no margin: the isolator and the picture.

use crate::Fault;
use crate::finding::{HandCheck, Step};
use crate::isolator::setting::Setting;
use crate::isolator::{Isolator, isolator};
use crate::picture::{Asked, Picture, picture};
use mechanics::STANDARD_GRAVITY;
use mechanics::shaking::blur::Lens;
use mechanics::shaking::oscillator::Oscillator;
use quantity::Kind;
use rig::isolator::Spring;
use rig::model::Rig;

/// One sum.
#[derive(Clone, Debug, PartialEq)]
pub struct Sum {
    /// What it gives.
    pub title: String,
    /// The sum.
    pub hand: HandCheck,
}

/// Something that has sums.
#[derive(Clone, Copy, Debug)]
pub struct Topic {
    /// Its name on the command line, that of the command which answers it.
    pub name: &'static str,
    /// In words.
    pub title: &'static str,
    of: fn(&Rig) -> Result<Vec<Sum>, Fault>,
}

/// All of them.
pub const TOPICS: &[Topic] = &[
    Topic { name: "isolator", title: "Isolator between boom tip and payload", of: of_isolator },
    Topic { name: "picture", title: "What of the road reaches the picture", of: of_picture },
];

impl Topic {
    /// Its sums for a rig; none where the rig has nothing of the kind, or too little of it is known.
    ///
    /// # Errors
    ///
    /// [`Fault`] where a number cannot be computed with.
    pub fn sums(&self, rig: &Rig) -> Result<Vec<Sum>, Fault> {
        (self.of)(rig)
    }
}

fn sum(title: impl Into<String>, hand: HandCheck) -> Sum {
    Sum { title: title.into(), hand }
}

fn of_isolator(rig: &Rig) -> Result<Vec<Sum>, Fault> {
    let Some(i) = isolator(rig, None)? else { return Ok(Vec::new()) };
    let mut out = Vec::new();
    out.extend(spring(&i, rig));
    let [up, ..] = &i.axes;
    if let (Some(f), Some(sag)) = (up.frequency, i.sag_m) {
        out.push(sum(
            "give under the payload's weight",
            HandCheck {
                formula: "x = g / (2 pi f)²",
                source: "a mass on a spring; mechanics.md §14.1",
                steps: vec![
                    Step::new("f", "natural frequency up and down", f.value, Kind::Frequency),
                    Step::new("g", "free fall", STANDARD_GRAVITY, Kind::Acceleration),
                    Step::new("x", "give", sag, Kind::Length),
                ],
            },
        ));
        if let Some(p) = i.passed.iter().find(|p| p.what.contains("frequency 1")) {
            out.push(sum(
                format!("what comes through of {}", p.what),
                HandCheck {
                    formula: "T = sqrt((1 + (2 z r)²) / ((1 - r²)² + (2 z r)²)), r = fr / f",
                    source: "base excitation of a damped mass on a spring (Rao, Den Hartog); mechanics.md §14.1",
                    steps: vec![
                        Step::new("fr", "that frequency", p.at_hz, Kind::Frequency),
                        Step::new("f", "the isolator's own", f.value, Kind::Frequency),
                        Step::new("r", "their ratio", p.at_hz / f.value, Kind::Number),
                        Step::new("z", "damping ratio", up.damping.value, Kind::Number),
                        Step::new("T", "share of the boom's movement", p.up_down.value, Kind::Number),
                    ],
                },
            ));
        }
        // The kerb is worked out step by step: no sum for a hand.
        if let Some(p) = i.pushes.iter().find(|p| !p.kerb) {
            let o = Oscillator::new(f.low, up.damping.low).map_err(Fault::from_error)?;
            let mut steps = vec![
                Step::new("a", format!("car pushed up in {}", p.manoeuvre), p.up_m_s2, Kind::Acceleration),
                Step::new("f", "lowest frequency that it may have", f.low, Kind::Frequency),
                Step::new("z", "least damping that it may have", up.damping.low, Kind::Number),
                Step::new("h", "a / (2 pi f)²: way if the push comes slowly", p.held_m.0, Kind::Length),
                Step::new("o", "exp(-pi z / sqrt(1 - z²)): overshoot", o.overshoot(), Kind::Number),
                Step::new("way", "h (1 + o)", p.goes_m.0, Kind::Length),
            ];
            if let (Some((left, _)), Some((_, below))) = (p.left_m, i.travel_m) {
                steps.push(Step::new("t", "travel to the lower stop", below, Kind::Length));
                steps.push(Step::new("left", "t - way", left, Kind::Length));
            }
            out.push(sum(
                "way down when the car is pushed up and stays pushed",
                HandCheck {
                    formula: "way = a / (2 pi f)² (1 + exp(-pi z / sqrt(1 - z²)))",
                    source: "step on a damped mass on a spring; mechanics.md §14.6",
                    steps,
                },
            ));
        }
    }
    Ok(out)
}

fn spring(i: &Isolator, rig: &Rig) -> Option<Sum> {
    let unit = &rig.arm.as_ref()?.isolator.unit;
    let m = Step::new("m", "payload", i.payload_kg, Kind::Mass);
    let share = "load on each spring: m g over their number, by the lever if there is one";
    Some(match (i.setting?, unit.spring.as_ref()?) {
        (Setting::Air(s), Spring::Air(air)) => sum(
            "setting of the air spring",
            HandCheck {
                formula: "p = F / A",
                source: "a gauge reads over the air outside; mechanics.md §14.2",
                steps: vec![
                    m,
                    Step::new("F", share, s.load_n, Kind::Force),
                    Step::new("A", "effective area of one", air.area.value, Kind::Area),
                    Step::new("p", "what its gauge must read", s.gauge_pa, Kind::Pressure),
                ],
            },
        ),
        (Setting::Coil(s), Spring::Coil(coil)) => sum(
            "give of the coil spring",
            HandCheck {
                formula: "x = F / k",
                source: "Hooke; mechanics.md §14.2",
                steps: vec![
                    m,
                    Step::new("F", share, s.load_n, Kind::Force),
                    Step::new("k", "rate of one", coil.rate.value, Kind::Stiffness),
                    Step::new("x", "give of each from its free length", s.gives_m, Kind::Length),
                ],
            },
        ),
        _ => return None,
    })
}

fn of_picture(rig: &Rig) -> Result<Vec<Sum>, Fault> {
    let p = picture(rig, &Asked::default())?;
    Ok(blur(&p)?.into_iter().collect())
}

/// How the parts of the blur come together, and what one milliradian and one millimetre are in pixels.
fn blur(p: &Picture) -> Result<Option<Sum>, Fault> {
    let (Some(seen), Some(b)) = (p.seen, p.blur) else { return Ok(None) };
    let far = seen.distance_m.unwrap_or(f64::INFINITY);
    let pixels = f64::from(u32::try_from(seen.pixels).unwrap_or(u32::MAX));
    let lens = Lens::new(seen.focal_m, seen.sensor_width_m, pixels, far).map_err(Fault::from_error)?;
    let mut steps = vec![
        Step::new("f", "focal length", seen.focal_m, Kind::Length),
        Step::new("w", "width of the sensor", seen.sensor_width_m, Kind::Length),
        Step::new("T", "open time of the shutter", seen.shutter_s, Kind::Time),
        Step::new(
            "mrad",
            "f / w x pixels across / 1000: pixels of a turn of 1 mrad",
            lens.px_per_rad() / 1e3,
            Kind::Number,
        ),
    ];
    if let Some(d) = seen.distance_m {
        steps.push(Step::new("d", "distance of the subject", d, Kind::Length));
        steps.push(Step::new(
            "mm",
            "mrad / d: pixels of a move of 1 mm",
            lens.px_per_m() / 1e3,
            Kind::Number,
        ));
    }
    steps.extend([
        Step::new("turning", "r.m.s. pixels by turning, from the spectrum", b.turning_px, Kind::Number),
        Step::new("moving", "r.m.s. pixels by moving, from the spectrum", b.moving_px, Kind::Number),
        Step::new("across", "both, across the picture", b.across_px, Kind::Number),
        Step::new("up", "both, up and down", b.up_px, Kind::Number),
        Step::new("blur", "sqrt(across² + up²)", b.total_px(), Kind::Number),
    ]);
    Ok(Some(sum(
        "blur while the shutter is open",
        HandCheck {
            formula: "blur² = sum over frequency of spectrum x 4 sin²(pi f T), turned into pixels by the lens",
            source: "difference of a random movement over T; pinhole; mechanics.md §14.7, §14.8; an estimate",
            steps,
        },
    )))
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::PI;

    fn value(sum: &Sum, symbol: &str) -> f64 {
        sum.hand.steps.iter().find(|s| s.symbol == symbol).unwrap().value
    }

    /// The stated formula, reckoned from the steps above it, gives the last step.
    #[test]
    fn sums_of_an_isolator_come_to_what_they_say() {
        let mut rig = crate::testing::rig();
        let arm = rig.arm.as_mut().unwrap();
        arm.isolator.frequency = Some(rig::Fact::stated(2.2, Kind::Frequency, "isolator.frequency"));
        let damping = rig::Fact::stated(0.2, Kind::Number, "isolator.damping");
        arm.isolator.unit.damping = [Some(damping.clone()), Some(damping.clone()), Some(damping)];
        for m in &mut rig.manoeuvres {
            m.vertical =
                rig::model::Vertical::Range(rig::Fact::stated(2.0, Kind::Acceleration, "manoeuvre.vertical"));
        }
        let all = TOPICS[0].sums(&rig).unwrap();
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-9;
        let sag = all.iter().find(|s| s.title.contains("weight")).unwrap();
        let f = value(sag, "f");
        assert!(near(value(sag, "x"), value(sag, "g") / (2.0 * PI * f).powi(2)));
        let through = all.iter().find(|s| s.title.contains("comes through")).unwrap();
        let (r, z) = (value(through, "r"), value(through, "z"));
        let damped = (2.0 * z * r).powi(2);
        assert!(near(value(through, "T"), ((1.0 + damped) / ((1.0 - r * r).powi(2) + damped)).sqrt()));
        let way = all.iter().find(|s| s.title.contains("way down")).unwrap();
        let (a, f, z) = (value(way, "a"), value(way, "f"), value(way, "z"));
        let held = a / (2.0 * PI * f).powi(2);
        assert!(near(value(way, "way"), held * (1.0 + (-PI * z / (1.0 - z * z).sqrt()).exp())));
    }

    #[test]
    fn without_an_isolator_there_is_no_sum() {
        let mut rig = crate::testing::rig();
        rig.arm = None;
        assert_eq!(TOPICS[0].sums(&rig).unwrap(), Vec::new());
    }
}
