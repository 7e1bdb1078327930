//! Torques of a rig: what each screw is brought to, how near, with which wrench, and what it holds then.

use crate::graph::Method;
use mechanics::bolt::thread::{Class, Thread};
use mechanics::clamp::Jaw;
use rig::model::{Bolts, Clamp};
use rig::{Fact, Rig};

/// Share of the yield stress up to which a bolt is tightened, as in the tables of VDI 2230.
pub const YIELD_USE: f64 = 0.9;
/// Share of the greatest torque under which a bolt's preload is called low: at one friction preload goes with torque.
pub const LOW_USE: f64 = 0.5;
/// A wrench is used from this share of its range's top on (common practice, no source).
pub const WRENCH_FROM: f64 = 0.2;

/// How far a wrench's reading may be off, as a share of it: 6 % up to 10 N m, 4 % above.
///
/// # Source
///
/// ISO 6789-1:2017, wrenches of type II \[from memory\]; `docs/mechanics.md` §18.4.
pub fn tolerance(torque_nm: f64) -> f64 {
    if torque_nm <= 10.0 { 0.06 } else { 0.04 }
}

/// What is screwed together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joint {
    /// A clamp, by index.
    Clamp(usize),
    /// The bolts at a leg's top, by index.
    Leg(usize),
    /// The bolts of a boom section's joint, by index.
    Boom(usize),
}

/// A clamp's grip.
#[derive(Clone, Debug, PartialEq)]
pub struct Grip {
    /// Slip force at the rated torque, N, as stated.
    pub rated_slip_n: Option<f64>,
    /// Torque that it goes with, N m.
    pub rated_nm: f64,
    /// Slip force along the tube at the target, N; `None`: not stated.
    pub slip_n: Option<f64>,
}

/// A preload at one friction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Preload {
    /// Friction in thread and under head.
    pub friction: f64,
    /// N.
    pub preload_n: f64,
    /// Of the proof load.
    pub proof_share: f64,
    /// Equivalent stress while it is turned, of the yield stress.
    pub yield_share: f64,
}

/// A bolt at a torque.
#[derive(Clone, Debug, PartialEq)]
pub struct Bolt {
    /// Proof load, N.
    pub proof_n: f64,
    /// At the lowest friction: the highest preload.
    pub slippery: Preload,
    /// At the highest friction: the lowest preload.
    pub rough: Preload,
    /// Greatest torque that keeps [`YIELD_USE`] of yield at the lowest friction, N m.
    pub greatest_nm: f64,
}

impl Bolt {
    /// A bolt at a torque, over a range of friction; `None` for a thread or class that is not in the tables, or a number that cannot be.
    ///
    /// Friction in the thread and under the head are taken alike. The least greatest torque is that of the lowest friction: the screw
    /// then turns torque into pull.
    ///
    /// # Source
    ///
    /// VDI 2230 part 1; `docs/mechanics.md` §8.2 and §18.4. Checked by VDI-COARSE in `tests/torque.rs`.
    pub fn at(thread: &str, class: &str, torque_nm: f64, friction: (f64, f64)) -> Option<Self> {
        let size: u8 = thread.trim_start_matches(['M', 'm']).trim().parse().ok()?;
        let thread = Thread::coarse(size)?;
        let class = match class {
            "8.8" => Class::C8_8,
            "10.9" => Class::C10_9,
            "12.9" => Class::C12_9,
            _ => return None,
        };
        let proof_n = thread.proof_load_n(class);
        let at = |mu: f64| {
            let preload_n = thread.preload_from_torque_n(torque_nm, mu, mu).ok()?;
            let at_yield = thread.preload_n(class, mu, 1.0).ok()?;
            let shares = (preload_n / proof_n, preload_n / at_yield);
            Some(Preload { friction: mu, preload_n, proof_share: shares.0, yield_share: shares.1 })
        };
        let (low, high) = (friction.0.min(friction.1), friction.0.max(friction.1));
        let most = thread.preload_n(class, low, YIELD_USE).ok()?;
        let greatest_nm = thread.torque_nm(most, low, low).ok()?;
        Some(Self { proof_n, slippery: at(low)?, rough: at(high)?, greatest_nm })
    }
}

/// What a joint has at its torque.
#[derive(Clone, Debug, PartialEq)]
pub enum Holds {
    /// Grip on a tube.
    Grip(Grip),
    /// Preload of each bolt.
    Bolts {
        /// `M10`.
        thread: String,
        /// `8.8`.
        class: String,
        /// How many.
        count: usize,
        /// The friction behind it.
        friction: (f64, f64),
        /// `None`: no table has that bolt.
        bolt: Option<Bolt>,
    },
}

/// What is said of a torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// As it should be.
    Right,
    /// Preload under half of what the bolt could have: it loosens sooner. No failure.
    Low,
    /// A clamp beyond its rated torque: no more grip is counted, and tubes may be crushed. No failure.
    PastRating,
    /// Nobody can say: a bolt of no table.
    Unknown,
    /// Over the greatest torque: it may stretch for good.
    TooMuch,
}

/// One joint with its torque.
#[derive(Clone, Debug)]
pub struct Torque {
    /// `clamp K1`.
    pub name: String,
    /// Its tag.
    pub tag: String,
    /// Which.
    pub joint: Joint,
    /// The step that closes it, by place in the order of work.
    pub step: Option<usize>,
    /// The target and where it comes from, N m.
    pub target: Fact,
    /// What it has then.
    pub holds: Holds,
}

/// How a recorded torque stands to its target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Within the wrench's tolerance.
    Within,
    /// Under it.
    Low,
    /// Over it.
    High,
}

/// A recorded torque.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// N m.
    pub torque_nm: f64,
    /// Against the target.
    pub standing: Standing,
    /// What is said of it by itself.
    pub word: Word,
    /// What the joint has at it.
    pub holds: Holds,
}

impl Torque {
    /// Least and greatest torque that counts as the target.
    ///
    /// A joint that is at its target reads between these on every wrench within its tolerance, so what reads lower is lower.
    pub fn band_nm(&self) -> (f64, f64) {
        let t = tolerance(self.target.value);
        (self.target.value * (1.0 - t), self.target.value * (1.0 + t))
    }

    /// The tops of range of the wrenches that it can be done with, least and greatest, N m.
    pub fn wrench_nm(&self) -> (f64, f64) {
        (self.target.value, self.target.value / WRENCH_FROM)
    }

    /// What is said of the target.
    pub fn word(&self) -> Word {
        word(&self.holds, self.target.value)
    }

    /// What is said of a recorded torque, and what the joint has at it.
    pub fn reading(&self, torque_nm: f64) -> Reading {
        let (low, high) = self.band_nm();
        // A torque that is written down as the bound itself is within it.
        let slack = self.target.value * 1e-9;
        let standing = if torque_nm >= low - slack && torque_nm <= high + slack {
            Standing::Within
        } else if torque_nm > high {
            Standing::High
        } else {
            // NaN comes here too.
            Standing::Low
        };
        let holds = self.holds.at(torque_nm);
        Reading { torque_nm, standing, word: word(&holds, torque_nm), holds }
    }
}

impl Holds {
    /// The same joint at another torque.
    fn at(&self, torque_nm: f64) -> Self {
        match self {
            Self::Grip(g) => {
                Self::Grip(Grip { slip_n: slip(g.rated_slip_n, g.rated_nm, torque_nm), ..g.clone() })
            }
            Self::Bolts { thread, class, count, friction, .. } => Self::Bolts {
                thread: thread.clone(),
                class: class.clone(),
                count: *count,
                friction: *friction,
                bolt: Bolt::at(thread, class, torque_nm, *friction),
            },
        }
    }
}

fn word(holds: &Holds, torque_nm: f64) -> Word {
    match holds {
        Holds::Grip(g) if g.rated_nm > 0.0 && torque_nm > g.rated_nm * (1.0 + tolerance(g.rated_nm)) => {
            Word::PastRating
        }
        Holds::Bolts { bolt: None, .. } => Word::Unknown,
        Holds::Bolts { bolt: Some(b), .. } if torque_nm > b.greatest_nm => Word::TooMuch,
        Holds::Bolts { bolt: Some(b), .. } if torque_nm < LOW_USE * b.greatest_nm => Word::Low,
        Holds::Grip(_) | Holds::Bolts { .. } => Word::Right,
    }
}

/// Slip force at a torque by the rule of the check `clamp-slip`: in proportion, never over the rating.
fn slip(rated_slip_n: Option<f64>, rated_nm: f64, torque_nm: f64) -> Option<f64> {
    let slip_n = rated_slip_n?;
    if rated_nm <= 0.0 {
        return Some(slip_n);
    }
    // The slip force alone is asked for; turning plays no part in it.
    Jaw::new(slip_n, 1.0, rated_nm).ok()?.slip_capacity_n(torque_nm).ok()
}

fn grip(clamp: &Clamp) -> Holds {
    let rated_slip_n = clamp.slip.as_ref().map(|f| f.value);
    let slip_n = slip(rated_slip_n, clamp.rated_torque, clamp.torque.value);
    Holds::Grip(Grip { rated_slip_n, rated_nm: clamp.rated_torque, slip_n })
}

fn preloaded(bolts: &Bolts) -> Holds {
    let friction = (bolts.thread_friction.low, bolts.thread_friction.high);
    Holds::Bolts {
        thread: bolts.thread.clone(),
        class: bolts.class.clone(),
        count: bolts.count,
        friction,
        bolt: Bolt::at(&bolts.thread, &bolts.class, bolts.torque.value, friction),
    }
}

/// Every torque of a rig in the order in which they are reached; those that no step closes come last.
pub fn torques(rig: &Rig, method: &Method) -> Vec<Torque> {
    let mut out = Vec::new();
    let mut add = |name: String, step: &str, tag: &str, joint: Joint, target: &Fact, holds: Holds| {
        let step = method.find(step);
        out.push(Torque { name, tag: tag.to_owned(), joint, step, target: target.clone(), holds });
    };
    for (i, c) in rig.clamps.iter().enumerate() {
        let (name, step) = (format!("clamp {}", c.tag), format!("clamp {}: close", c.tag));
        add(name, &step, &c.tag, Joint::Clamp(i), &c.torque, grip(c));
    }
    for (i, leg) in rig.legs.iter().enumerate() {
        if let Some(b) = &leg.bolts {
            let (name, step) = (format!("leg {}", leg.tag), format!("leg {}: close", leg.tag));
            add(name, &step, &leg.tag, Joint::Leg(i), &b.torque, preloaded(b));
        }
    }
    for (i, s) in rig.arm.iter().flat_map(|a| &a.sections).enumerate() {
        if let Some(b) = &s.bolts {
            let (name, step) = (format!("boom {}", s.tag), format!("boom {}: fit", s.tag));
            add(name, &step, &s.tag, Joint::Boom(i), &b.torque, preloaded(b));
        }
    }
    out.sort_by_key(|t| t.step.unwrap_or(usize::MAX));
    out
}
