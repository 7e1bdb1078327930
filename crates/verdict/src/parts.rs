//! How a verdict names the parts of a rig.

use rig::model::Rig;

/// A part by kind and index.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartRef {
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
    /// A panel of the body.
    Panel(usize),
    /// The arm.
    Arm,
    /// A section of the boom, by index.
    BoomSection(usize),
    /// The car.
    Vehicle,
    /// A battery.
    Battery(usize),
    /// A converter, or the car's system.
    Supply(usize),
    /// A thing that draws power.
    Consumer(usize),
    /// A cable.
    Cable(usize),
    /// The rig as a whole.
    Rig,
}

fn power(rig: &Rig) -> Option<&rig::model::power::Power> {
    rig.power.as_ref()
}

impl PartRef {
    /// `cup FL`, `tube TF`, `the arm`.
    pub fn name(self, rig: &Rig) -> String {
        let tag = |word: &str, tag: Option<&str>| format!("{word} {}", tag.unwrap_or("?"));
        match self {
            Self::Cup(i) => tag("cup", rig.cups.get(i).map(|p| p.tag.as_str())),
            Self::Tube(i) => tag("tube", rig.tubes.get(i).map(|p| p.tag.as_str())),
            Self::Clamp(i) => tag("clamp", rig.clamps.get(i).map(|p| p.tag.as_str())),
            Self::Leg(i) => tag("leg", rig.legs.get(i).map(|p| p.tag.as_str())),
            Self::Platform(i) => tag("platform", rig.platforms.get(i).map(|p| p.tag.as_str())),
            Self::Strap(i) => tag("strap", rig.straps.get(i).map(|p| p.tag.as_str())),
            Self::Item(i) => tag("item", rig.items.get(i).map(|p| p.tag.as_str())),
            Self::Panel(i) => tag("panel", rig.panels.get(i).map(|p| p.tag.as_str())),
            Self::BoomSection(i) => {
                tag("boom section", rig.arm.as_ref().and_then(|a| a.sections.get(i)).map(|s| s.tag.as_str()))
            }
            Self::Battery(i) => {
                tag("battery", power(rig).and_then(|p| p.batteries.get(i)).map(|b| b.tag.as_str()))
            }
            Self::Supply(i) => {
                tag("supply", power(rig).and_then(|p| p.supplies.get(i)).map(|s| s.tag.as_str()))
            }
            Self::Consumer(i) => {
                tag("consumer", power(rig).and_then(|p| p.consumers.get(i)).map(|c| c.tag.as_str()))
            }
            Self::Cable(i) => tag("cable", power(rig).and_then(|p| p.cables.get(i)).map(|c| c.tag.as_str())),
            Self::Arm => "the arm".to_owned(),
            Self::Vehicle => "the car".to_owned(),
            Self::Rig => "the rig".to_owned(),
        }
    }

    /// The bare tag, for the command line (`FL`, `arm`, `car`, `rig`).
    pub fn tag(self, rig: &Rig) -> String {
        match self {
            Self::Arm => "arm".to_owned(),
            Self::Vehicle => "car".to_owned(),
            Self::Rig => "rig".to_owned(),
            other => other.name(rig).rsplit(' ').next().unwrap_or("?").to_owned(),
        }
    }
}
