//! One tree: a source and all cables that lead back to it.

use super::{Charge, number};
use crate::finding::Need;
use mechanics::power::conductor::{self, Size};
use mechanics::power::tree::{Draw, Tree};
use mechanics::power::{PowerError, ampacity};
use rig::model::power::{Battery, Cable, From, Power, Strands, To};

/// Where a tree begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// A battery, by index.
    Battery(usize),
    /// A supply, by index.
    Supply(usize),
}

impl Source {
    /// `battery main`, `supply camera-12`.
    pub fn name(self, power: &Power) -> String {
        match self {
            Self::Battery(i) => format!("battery {}", power.batteries[i].tag),
            Self::Supply(i) => format!("supply {}", power.supplies[i].tag),
        }
    }

    /// Inside it, ohm.
    pub fn ohm(self, power: &Power) -> f64 {
        match self {
            Self::Battery(i) => {
                let b = &power.batteries[i];
                b.resistance.value * number(b.series) / number(b.parallel)
            }
            Self::Supply(i) => power.supplies[i].resistance.value,
        }
    }

    /// Open-circuit voltage, V.
    pub fn volts(self, power: &Power, charge: Charge) -> f64 {
        match self {
            Self::Battery(i) => battery_volts(&power.batteries[i], charge),
            Self::Supply(i) => {
                let s = &power.supplies[i];
                let most = s.voltage_high.as_ref().filter(|_| charge == Charge::Full);
                most.map_or(s.voltage.value, |f| f.value.max(s.voltage.value))
            }
        }
    }

    /// Nominal voltage, V.
    pub fn nominal(self, power: &Power) -> f64 {
        match self {
            Self::Battery(i) => power.batteries[i].voltage.value * number(power.batteries[i].series),
            Self::Supply(i) => power.supplies[i].voltage.value,
        }
    }
}

/// At rest: low with the usable share taken, a straight line up to full; below that it goes on falling, to half at the least.
fn battery_volts(b: &Battery, charge: Charge) -> f64 {
    let (low, full) = (b.voltage_low.value, b.voltage_full.value);
    let one = match charge {
        Charge::Low => low,
        Charge::Full => full,
        Charge::Share(share) => {
            let usable = b.usable.value.max(1e-6);
            (low + (full - low) * (share - (1.0 - usable)) / usable).max(0.5 * low)
        }
    };
    one * number(b.series)
}

/// A tree. Node 0 is the source's open voltage, node 1 its terminals, node `k + 2` the end of `cables[k]`.
#[derive(Clone, Debug)]
pub struct Net {
    /// Where it begins.
    pub source: Source,
    /// Its cables, each after the one that it hangs on.
    pub cables: Vec<usize>,
    parents: Vec<usize>,
    ohm: Vec<f64>,
}

impl Net {
    pub(super) fn new(power: &Power, source: Source) -> Result<Self, Need> {
        let mut net = Self { source, cables: Vec::new(), parents: Vec::new(), ohm: Vec::new() };
        let at_source = |c: &Cable| match (c.from, source) {
            (From::Battery(a), Source::Battery(b)) | (From::Supply(a), Source::Supply(b)) => a == b,
            _ => false,
        };
        let begins: Vec<usize> = (0..power.cables.len()).filter(|c| at_source(&power.cables[*c])).collect();
        for c in begins {
            net.add(power, c, 1)?;
        }
        let mut done = 0;
        while let Some(cable) = net.cables.get(done).copied() {
            let node = done + 2;
            let behind: Vec<usize> =
                (0..power.cables.len()).filter(|c| power.before(*c) == Some(cable)).collect();
            for c in behind {
                net.add(power, c, node)?;
            }
            done += 1;
        }
        Ok(net)
    }

    fn add(&mut self, power: &Power, cable: usize, parent: usize) -> Result<(), Need> {
        self.cables.push(cable);
        self.parents.push(parent);
        self.ohm.push(loop_ohm(&power.cables[cable])?);
        Ok(())
    }

    /// The converters that it feeds.
    pub(super) fn converters<'p>(&'p self, power: &'p Power) -> impl Iterator<Item = usize> + 'p {
        self.cables
            .iter()
            .filter_map(|c| if let To::Supply(s) = power.cables[*c].to { Some(s) } else { None })
    }

    /// Loop resistance of the cable at a place, ohm.
    pub fn ohm(&self, place: usize) -> f64 {
        self.ohm[place]
    }

    /// Node that the cable at a place begins in.
    pub fn parent(&self, place: usize) -> usize {
        self.parents[place]
    }

    /// Node at which the cable at a place ends.
    pub fn node(place: usize) -> usize {
        place + 2
    }

    /// Resistance from the open voltage to a node, ohm.
    pub fn ohm_to(&self, power: &Power, node: usize) -> f64 {
        let mut total = self.source.ohm(power);
        let mut at = node;
        while at >= 2 {
            total += self.ohm[at - 2];
            at = self.parents[at - 2];
        }
        total
    }

    /// Whether the cable at `place` hangs on the one at `on`, or is it.
    pub fn is_behind(&self, place: usize, on: usize) -> bool {
        let mut at = Self::node(place);
        while at >= 2 {
            if at == Self::node(on) {
                return true;
            }
            at = self.parents[at - 2];
        }
        false
    }

    /// The tree for the solver.
    pub(super) fn tree(&self, power: &Power, charge: Charge) -> Result<Tree, PowerError> {
        self.tree_of(self.source.volts(power, charge), self.source.ohm(power))
    }

    /// The tree from a voltage and a resistance of the source.
    pub(crate) fn tree_of(&self, volts: f64, ohm: f64) -> Result<Tree, PowerError> {
        let own = core::iter::once((0, ohm));
        Tree::new(volts, own.chain(self.parents.iter().copied().zip(self.ohm.iter().copied())).collect())
    }

    /// What is drawn at nodes 1 and on.
    pub(crate) fn draws(&self, power: &Power, of: &dyn Fn(usize) -> Draw, input_w: &[f64]) -> Vec<Draw> {
        let ends = self.cables.iter().map(|c| match power.cables[*c].to {
            To::Consumer(i) => of(i),
            To::Supply(s) => Draw { power_w: input_w.get(s).copied().unwrap_or_default(), current_a: 0.0 },
            To::Box => Draw::default(),
        });
        core::iter::once(Draw::default()).chain(ends).collect()
    }
}

/// What a cable's conductor is called in the tables.
fn size(cable: &Cable) -> Option<Size> {
    cable
        .wire
        .map(|w| if w.is_gauge { Size::Gauge { area_m2: w.area } } else { Size::Nominal { area_m2: w.area } })
}

fn need(cable: &Cable, key: &str, why: impl core::fmt::Display, settle: &str) -> Need {
    Need {
        what: format!("cable {}: {why}", cable.tag),
        key: format!("cable.{}.{key}", cable.tag),
        settle: settle.to_owned(),
    }
}

/// Resistance of one conductor at 20 °C, ohm/m.
pub(super) fn ohm_per_m(cable: &Cable) -> Result<f64, Need> {
    let strands = match cable.strands {
        Strands::Fine => conductor::Strands::Fine,
        Strands::Coarse => conductor::Strands::Coarse,
        Strands::Solid => conductor::Strands::Solid,
    };
    match (&cable.resistance, size(cable)) {
        (Some(stated), _) => Ok(stated.value),
        (None, Some(size)) => conductor::ohm_per_m(size, strands).map_err(|e| {
            need(
                cable,
                "resistance",
                e,
                "read ohm/km off the maker's sheet, and state it instead of the size",
            )
        }),
        (None, None) => Err(need(cable, "size", "its size", "read it off the sheath")),
    }
}

/// Loop resistance of a cable with its contacts, ohm.
pub(super) fn loop_ohm(cable: &Cable) -> Result<f64, Need> {
    let refused = |e: PowerError| need(cable, "size", e, "measure it and state it in the file");
    let hot = ohm_per_m(cable)? * conductor::temperature_factor(cable.temperature.value).map_err(refused)?;
    conductor::loop_ohm(cable.length.value, hot, number(cable.connectors), cable.contact.value)
        .map_err(refused)
}

/// Current that a cable may carry for good, A.
///
/// # Errors
///
/// [`Need`] where neither its sheet nor the table says.
pub fn carries_a(power: &Power, cable: &Cable) -> Result<f64, Need> {
    let settle = "read it off the maker's sheet, and state `carries`";
    match (&cable.carries, cable.wire) {
        (Some(stated), _) => Ok(stated.value),
        (None, Some(wire)) => {
            let around = ampacity::Surroundings {
                air_k: power.surroundings.value,
                insulation_k: cable.insulation,
                together: cable.together,
            };
            ampacity::current_a(wire.area, &around).map_err(|e| need(cable, "carries", e, settle))
        }
        (None, None) => Err(need(cable, "carries", "what it may carry for good", settle)),
    }
}
