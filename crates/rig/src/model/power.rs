//! Power in the model: batteries, supplies, consumers, cables. SI; indexes go into the lists of [`Power`].

use crate::fact::Fact;

/// Everything electrical, as read. The cables form trees that begin in batteries and the car's supplies; each converter is fed by one
/// cable and begins a tree of its own.
#[derive(Clone, Debug)]
pub struct Power {
    /// Length of the day, s.
    pub hours: Option<Fact>,
    /// Air around the cables, K.
    pub surroundings: Fact,
    /// Batteries, in file order (as all lists are).
    pub batteries: Vec<Battery>,
    /// Converters and the car's system.
    pub supplies: Vec<Supply>,
    /// What draws power.
    pub consumers: Vec<Consumer>,
    /// Cables.
    pub cables: Vec<Cable>,
}

/// What a battery is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chemistry {
    /// Lithium iron phosphate.
    LithiumIronPhosphate,
    /// Lithium-ion.
    LithiumIon,
    /// Lead-acid, absorbed glass mat.
    LeadAcidAgm,
    /// Nickel-metal hydride.
    NickelMetalHydride,
}

/// A bank of like batteries. Values are of one of them unless said otherwise.
#[derive(Clone, Debug)]
pub struct Battery {
    /// Its tag.
    pub tag: String,
    /// Chemistry.
    pub chemistry: Chemistry,
    /// Nominal, V.
    pub voltage: Fact,
    /// C.
    pub capacity: Fact,
    /// In series.
    pub series: usize,
    /// Rows in parallel.
    pub parallel: usize,
    /// Voltages at rest before joining, V, row by row.
    pub readings: Vec<f64>,
    /// Ages, s.
    pub ages: Vec<f64>,
    /// Ohm.
    pub resistance: Fact,
    /// A.
    pub greatest_current: Option<Fact>,
    /// A.
    pub charge_current: Option<Fact>,
    /// Share of the charge that may be taken.
    pub usable: Fact,
    /// Share of the label that it still holds.
    pub health: Fact,
    /// K; the site's when not stated.
    pub temperature: Fact,
    /// Share that it gives at that temperature.
    pub cold_share: Fact,
    /// Full and at rest, V.
    pub voltage_full: Fact,
    /// At rest with the usable share taken, V.
    pub voltage_low: Fact,
    /// Its protection opens, V.
    pub cut_off: Option<Fact>,
    /// Peukert's exponent; 1 for all but lead-acid.
    pub peukert: Fact,
    /// Time that the label's capacity goes with, s.
    pub rated_time: Fact,
    /// Full this long before the start, s.
    pub charged: Option<Fact>,
    /// kg.
    pub mass: Option<Fact>,
}

/// A converter, or the car's own system.
#[derive(Clone, Debug)]
pub struct Supply {
    /// Its tag.
    pub tag: String,
    /// The car's own: no cable feeds it.
    pub is_car: bool,
    /// Output, V.
    pub voltage: Fact,
    /// The most that a car's system gives, V.
    pub voltage_high: Option<Fact>,
    /// Sag, ohm.
    pub resistance: Fact,
    /// A.
    pub greatest_current: Option<Fact>,
    /// Power out over power in.
    pub efficiency: Fact,
    /// V.
    pub lowest_input: Option<Fact>,
    /// V.
    pub highest_input: Option<Fact>,
}

/// What is drawn at some moment.
#[derive(Clone, Debug)]
pub enum Amount {
    /// W.
    Power(Fact),
    /// A at the label's voltage.
    Current(Fact),
}

impl Amount {
    /// The fact itself.
    pub fn fact_mut(&mut self) -> &mut Fact {
        match self {
            Self::Power(f) | Self::Current(f) => f,
        }
    }
}

/// A part of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// s from the day's start.
    pub from: f64,
    /// s.
    pub to: f64,
    /// Share of it.
    pub duty: f64,
}

/// A thing that draws power.
#[derive(Clone, Debug)]
pub struct Consumer {
    /// Its tag.
    pub tag: String,
    /// Whether it draws its current whatever the voltage.
    pub constant_current: bool,
    /// On its label, V.
    pub voltage: Fact,
    /// V.
    pub lowest: Option<Fact>,
    /// V.
    pub highest: Option<Fact>,
    /// While it works.
    pub average: Amount,
    /// For seconds.
    pub peak: Option<Amount>,
    /// As it starts.
    pub start: Option<Amount>,
    /// s.
    pub start_time: Option<Fact>,
    /// It is switched on by itself.
    pub starts_alone: bool,
    /// It moves the arm or the head.
    pub moves: bool,
    /// Share of the day.
    pub duty: Fact,
    /// The day in parts, if stated.
    pub blocks: Vec<Block>,
    /// At the source and here, V, with everything running.
    pub measured: Option<(f64, f64)>,
}

/// Where a cable begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// A battery.
    Battery(usize),
    /// A supply.
    Supply(usize),
    /// The end of another cable.
    Cable(usize),
    /// A consumer that passes it on.
    Consumer(usize),
}

/// Where a cable ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum To {
    /// A converter's input.
    Supply(usize),
    /// A consumer.
    Consumer(usize),
    /// A box.
    Box,
}

/// A conductor's size as stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wire {
    /// m².
    pub area: f64,
    /// Stated as a wire gauge.
    pub is_gauge: bool,
}

/// How a conductor is made up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strands {
    /// Many thin wires.
    Fine,
    /// A few thick ones.
    Coarse,
    /// One.
    Solid,
}

/// How a fuse melts or a breaker trips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuseKind {
    /// Blade.
    Blade,
    /// Bolted strip.
    BoltDown,
    /// Tube, time-lag.
    TimeLag,
    /// Thermal breaker.
    Breaker,
}

/// A fuse or breaker.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuse {
    /// A.
    pub rating: f64,
    /// Kind.
    pub kind: FuseKind,
    /// V.
    pub voltage: Option<f64>,
    /// A.
    pub interrupts: Option<f64>,
}

/// Two conductors, out and back.
#[derive(Clone, Debug)]
pub struct Cable {
    /// Its tag.
    pub tag: String,
    /// Beginning.
    pub from: From,
    /// End.
    pub to: To,
    /// One way, m.
    pub length: Fact,
    /// Size, if stated.
    pub wire: Option<Wire>,
    /// Make-up.
    pub strands: Strands,
    /// Of one conductor at 20 °C, ohm/m, if stated.
    pub resistance: Option<Fact>,
    /// Of the conductor, K.
    pub temperature: Fact,
    /// What its insulation bears, K.
    pub insulation: f64,
    /// A, if stated.
    pub carries: Option<Fact>,
    /// Loaded cables in its bundle, itself counted.
    pub together: usize,
    /// At its beginning.
    pub fuse: Option<Fuse>,
    /// Along it.
    pub connectors: usize,
    /// A.
    pub connector_rating: Option<Fact>,
    /// Of each pole, ohm.
    pub contact: Fact,
}

impl Power {
    /// The cable that ends in a consumer.
    pub fn feed_of_consumer(&self, consumer: usize) -> Option<usize> {
        self.cables.iter().position(|c| c.to == To::Consumer(consumer))
    }

    /// The cable that ends in a supply.
    pub fn feed_of_supply(&self, supply: usize) -> Option<usize> {
        self.cables.iter().position(|c| c.to == To::Supply(supply))
    }

    /// The cable that comes before a cable, if another one does.
    pub fn before(&self, cable: usize) -> Option<usize> {
        match self.cables.get(cable)?.from {
            From::Cable(c) => Some(c),
            From::Consumer(c) => self.feed_of_consumer(c),
            From::Battery(_) | From::Supply(_) => None,
        }
    }

    /// Every fact, in the order of the file format.
    pub fn facts_mut(&mut self) -> Vec<&mut Fact> {
        let mut out: Vec<Option<&mut Fact>> = vec![self.hours.as_mut(), Some(&mut self.surroundings)];
        for b in &mut self.batteries {
            out.extend([
                Some(&mut b.voltage),
                Some(&mut b.capacity),
                Some(&mut b.resistance),
                b.greatest_current.as_mut(),
                b.charge_current.as_mut(),
                Some(&mut b.usable),
                Some(&mut b.health),
                Some(&mut b.temperature),
                Some(&mut b.cold_share),
                Some(&mut b.voltage_full),
                Some(&mut b.voltage_low),
                b.cut_off.as_mut(),
                Some(&mut b.peukert),
                Some(&mut b.rated_time),
                b.charged.as_mut(),
                b.mass.as_mut(),
            ]);
        }
        for s in &mut self.supplies {
            out.extend([
                Some(&mut s.voltage),
                s.voltage_high.as_mut(),
                Some(&mut s.resistance),
                s.greatest_current.as_mut(),
                Some(&mut s.efficiency),
                s.lowest_input.as_mut(),
                s.highest_input.as_mut(),
            ]);
        }
        for c in &mut self.consumers {
            out.extend([
                Some(&mut c.voltage),
                c.lowest.as_mut(),
                c.highest.as_mut(),
                Some(c.average.fact_mut()),
                c.peak.as_mut().map(Amount::fact_mut),
                c.start.as_mut().map(Amount::fact_mut),
                c.start_time.as_mut(),
                Some(&mut c.duty),
            ]);
        }
        for c in &mut self.cables {
            out.extend([
                Some(&mut c.length),
                c.resistance.as_mut(),
                Some(&mut c.temperature),
                c.carries.as_mut(),
                c.connector_rating.as_mut(),
                Some(&mut c.contact),
            ]);
        }
        out.into_iter().flatten().collect()
    }
}
