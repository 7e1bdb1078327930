//! What the car does on the drawing: a manoeuvre of the plan, its speed, bend, braking and payload tried out before anything is
//! written.

use super::layout::Asked;
use crate::web::frame::segment;
use crate::web::shelf::Known;
use maud::{Markup, html};
use quantity::{Kind, both_kind};
use rig::{Fact, Origin, Rig};
use serde::Deserialize;

/// Standard gravity, m/s²: what a bend and braking are told in.
const G: f64 = mechanics::STANDARD_GRAVITY;
/// Every manoeuvre of the plan, each in turn.
const EACH: &str = "each";

/// What the car does, as the address has it.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Car {
    /// A manoeuvre by its tag, or [`EACH`].
    pub(super) drive: String,
    /// The manoeuvre that the next four were set for.
    pub(super) of_drive: String,
    /// km/h.
    pub(super) speed: String,
    /// g, ahead.
    pub(super) along: String,
    /// g, to the left.
    pub(super) bend: String,
    /// kg.
    pub(super) payload: String,
}

/// Which manoeuvres are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Driving {
    /// None of them: it stands.
    No,
    /// Each in turn.
    Each,
    /// One, by index.
    One(usize),
}

impl Driving {
    /// As the address has it; what the plan does not have is none.
    pub(super) fn of(rig: &Rig, car: &Car) -> Self {
        match car.drive.as_str() {
            "" => Self::No,
            EACH => Self::Each,
            tag => rig.manoeuvres.iter().position(|m| m.tag == tag).map_or(Self::No, Self::One),
        }
    }

    /// Its index, if it is one.
    pub(super) fn index(self) -> Option<usize> {
        match self {
            Self::One(i) => Some(i),
            Self::No | Self::Each => None,
        }
    }
}

/// One thing that can be tried.
struct Slider {
    name: &'static str,
    words: &'static str,
    /// What a negative number and a positive one are called.
    sides: (&'static str, &'static str),
    unit: &'static str,
    /// SI of one of it.
    size: f64,
    /// Least, greatest, step.
    range: (f64, f64, f64),
    kind: Kind,
    fact: fn(&mut Rig, usize) -> Option<&mut Fact>,
    typed: fn(&Car) -> &str,
}

const SLIDERS: [Slider; 4] = [
    Slider {
        name: "speed",
        words: "Speed",
        sides: ("", ""),
        unit: "km/h",
        size: 1.0 / 3.6,
        range: (0.0, 120.0, 1.0),
        kind: Kind::Speed,
        fact: |rig, m| rig.manoeuvres.get_mut(m).map(|m| &mut m.speed),
        typed: |a| &a.speed,
    },
    Slider {
        name: "along",
        words: "Brakes or pulls away",
        sides: ("braking", "pulling away"),
        unit: "g",
        size: G,
        range: (-1.0, 0.6, 0.01),
        kind: Kind::Acceleration,
        fact: |rig, m| rig.manoeuvres.get_mut(m).map(|m| &mut m.forward),
        typed: |a| &a.along,
    },
    Slider {
        name: "bend",
        words: "Bend",
        sides: ("right", "left"),
        unit: "g",
        size: G,
        range: (-1.0, 1.0, 0.01),
        kind: Kind::Acceleration,
        fact: |rig, m| rig.manoeuvres.get_mut(m).map(|m| &mut m.left),
        typed: |a| &a.bend,
    },
    Slider {
        name: "payload",
        words: "Payload",
        sides: ("", ""),
        unit: "kg",
        size: 1.0,
        range: (0.0, 60.0, 0.1),
        kind: Kind::Mass,
        fact: |rig, _| rig.arm.as_mut().map(|a| &mut a.payload.mass),
        typed: |a| &a.payload,
    },
];

impl Slider {
    /// The value of the plan, SI.
    fn planned(&self, rig: &mut Rig, manoeuvre: usize) -> Option<f64> {
        (self.fact)(rig, manoeuvre).map(|f| f.value)
    }

    /// A value to the slider's own step, in its unit; what the plan has beyond its ends widens it.
    fn shown(&self, si: f64) -> f64 {
        let step = self.range.2;
        // Through the count of steps: 0.35 stays 0.35.
        (si / self.size / step).round() / (1.0 / step).round()
    }

    /// What is asked for beside the plan, in the slider's unit; none: it stands where the plan has it.
    fn tried(&self, planned: f64, car: &Car) -> Option<f64> {
        let typed = (self.typed)(car).parse().ok().filter(|v: &f64| v.is_finite())?;
        let (low, high) = self.ends(planned);
        let typed = self.shown(typed.clamp(low, high) * self.size);
        let moved = (typed - self.shown(planned)).abs() > self.range.2 / 2.0;
        moved.then_some(typed)
    }

    fn ends(&self, planned: f64) -> (f64, f64) {
        let planned = self.shown(planned);
        (self.range.0.min(planned), self.range.1.max(planned))
    }

    fn said(&self, value: f64) -> String {
        let side = match (value < 0.0, value > 0.0) {
            (true, _) => self.sides.0,
            (_, true) => self.sides.1,
            _ => "",
        };
        let size = if self.sides.0.is_empty() { value } else { value.abs() };
        format!("{} {} {side}", self.number(size), self.unit).trim_end().to_owned()
    }

    /// The same in both systems.
    fn both(&self, value: f64) -> String {
        let both = both_kind(value * self.size, self.kind);
        if self.sides.0.is_empty() { both } else { format!("{}, {both}", self.said(value)) }
    }

    fn number(&self, value: f64) -> String {
        let decimals = if self.range.2 < 0.05 { 2 } else { usize::from(self.range.2 < 0.5) };
        format!("{value:.decimals$}")
    }
}

/// A value that is tried: the key of the file, what it is, what it would be written as.
pub(super) struct Tried {
    words: &'static str,
    key: String,
    written: String,
    shown: String,
}

/// The rig with what is tried in it, and what that is. Sliders that were set for another manoeuvre are passed over.
pub(super) fn tried(rig: &Rig, car: &Car) -> Option<(Rig, Vec<Tried>)> {
    let manoeuvre = Driving::of(rig, car).index().filter(|_| car.of_drive == car.drive)?;
    let mut with = rig.clone();
    let mut list = Vec::new();
    for slider in &SLIDERS {
        let Some(fact) = (slider.fact)(&mut with, manoeuvre) else { continue };
        let Some(value) = slider.tried(fact.value, car) else { continue };
        let si = value * slider.size;
        (fact.value, fact.low, fact.high, fact.origin) = (si, si, si, Origin::Stated);
        list.push(Tried {
            words: slider.words,
            key: fact.key.clone(),
            written: format!("{} {}", slider.number(value), slider.unit),
            shown: slider.both(value),
        });
    }
    (!list.is_empty()).then_some((with, list))
}

/// The manoeuvre and its sliders, in the form of what is shown.
pub(super) fn fields(rig: &Rig, car: &Car) -> Markup {
    let driving = Driving::of(rig, car);
    html! {
        label { "The car"
            select name="drive" {
                option value="" { "stands still" }
                option value=(EACH) selected[driving == Driving::Each] { "drives: each manoeuvre" }
                @for (i, m) in rig.manoeuvres.iter().enumerate() {
                    option value=(m.tag) selected[driving == Driving::One(i)] { (m.tag) }
                }
            }
        }
        @if let Some(i) = driving.index() {
            input type="hidden" name="of_drive" value=(rig.manoeuvres[i].tag);
            @let ours = car.of_drive == car.drive;
            @let mut plan = rig.clone();
            @for slider in &SLIDERS {
                @if let Some(planned) = slider.planned(&mut plan, i) {
                    @let (low, high) = slider.ends(planned);
                    @let now = slider.tried(planned, car).filter(|_| ours).unwrap_or_else(|| slider.shown(planned));
                    label { (slider.words)
                        input type="range" name=(slider.name) min=(slider.number(low)) max=(slider.number(high)) step=(slider.range.2)
                            value=(slider.number(now)) data-unit=(slider.unit) data-low=(slider.sides.0) data-high=(slider.sides.1);
                        output { (slider.said(now)) }
                    }
                }
            }
        }
    }
}

/// What is tried and not in the file, each with a button that writes it there.
pub(super) fn told(known: &Known, asked: &Asked, tried: &[Tried], lead: bool) -> Markup {
    html! {
        div.tried #tried data-live {
            @if !tried.is_empty() {
                p { b { "Tried, not in the file." } " The drawing and the numbers on it are with:" }
                ul {
                    @for t in tried {
                        li { (t.words) ": " (t.shown)
                            @if lead {
                                form method="post" action={ "/rig/" (segment(&known.name)) "/set" } data-in-place {
                                    input type="hidden" name="revision" value=(known.revision);
                                    input type="hidden" name="back" value=(asked.with(&known.name, &[]));
                                    input type="hidden" name="key" value=(t.key);
                                    input type="hidden" name="value" value=(t.written);
                                    button.plain { "Write " (t.written) " into the file" }
                                }
                            }
                        }
                    }
                }
                a href=(asked.with(&known.name, &[("speed", ""), ("along", ""), ("bend", ""), ("payload", "")])) data-in-place {
                    "Back to the plan"
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rig() -> Rig {
        let text = include_str!("../../../../../examples/estate-arm.toml");
        let kit = include_str!("../../../../../examples/kit.toml");
        rig::read(text, "estate-arm.toml", &|_| Ok(kit.to_owned())).rig.unwrap()
    }

    fn car(of: &str) -> Car {
        Car { drive: "brake".into(), of_drive: of.into(), ..Car::default() }
    }

    #[test]
    fn a_slider_where_the_plan_has_it_tries_nothing() {
        let rig = rig();
        let brake = rig.manoeuvres.iter().position(|m| m.tag == "brake").unwrap();
        assert_eq!(Driving::of(&rig, &car("brake")), Driving::One(brake));
        assert!(tried(&rig, &car("brake")).is_none());
        let same = Car { speed: "50".into(), along: "-0.50".into(), bend: "0.00".into(), ..car("brake") };
        assert!(tried(&rig, &same).is_none());
        for odd in ["", "NaN", "inf", "fast"] {
            assert!(tried(&rig, &Car { speed: odd.into(), ..car("brake") }).is_none(), "{odd}");
        }
    }

    #[test]
    fn what_is_tried_is_in_the_rig_and_in_words_and_nothing_else_is() {
        let plan = rig();
        let on = Car { speed: "64".into(), along: "-0.7".into(), payload: "30".into(), ..car("brake") };
        let (with, list) = tried(&plan, &on).unwrap();
        let at = plan.manoeuvres.iter().position(|m| m.tag == "brake").unwrap();
        let brake = &with.manoeuvres[at];
        assert!((brake.speed.value - 64.0 / 3.6).abs() < 1e-12);
        assert!((brake.forward.value + 0.7 * G).abs() < 1e-12);
        assert!((with.arm.as_ref().unwrap().payload.mass.value - 30.0).abs() < 1e-12);
        let said: Vec<_> =
            list.iter().map(|t| (t.key.as_str(), t.written.as_str(), t.shown.as_str())).collect();
        assert_eq!(said[0], ("manoeuvre.brake.speed", "64 km/h", "64 km/h (39.8 mph)"));
        assert_eq!(said[1].0, "manoeuvre.brake.forward");
        assert_eq!(said[1].1, "-0.70 g");
        assert!(said[1].2.starts_with("0.70 g braking"), "{}", said[1].2);
        assert_eq!(said.len(), 3);
        // Another manoeuvre's sliders say nothing of this one.
        assert!(tried(&plan, &Car { of_drive: "stop".into(), ..on.clone() }).is_none());
        // Beyond the slider's end is its end.
        let (with, _) = tried(&plan, &Car { along: "-9".into(), ..car("brake") }).unwrap();
        assert!((with.manoeuvres[at].forward.value + G).abs() < 1e-12);
        for (i, m) in with.manoeuvres.iter().enumerate().filter(|(i, _)| *i != at) {
            assert_eq!(m.forward.value.to_bits(), plan.manoeuvres[i].forward.value.to_bits());
        }
    }
}
