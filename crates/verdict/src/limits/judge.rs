//! The rigs that a limit must hold for: typical values and all bad ends together, dry and wet.

use super::Ask;
use crate::Fault;
use crate::check::{self, Swept};
use crate::context::Context;
use crate::structure::BuildOptions;
use crate::vary;
use quantity::Kind;
use rayon::prelude::*;
use rig::fact::Fact;
use rig::model::{ArmUse, Manoeuvre, Rig, Vertical};

/// One set of values on one surface.
pub(super) struct Variant {
    pub(super) wet: bool,
    rig: Rig,
    /// Which of the variants has the same values on the other surface, so that they share all but friction.
    shares: Option<usize>,
}

/// What the car does in each synthetic manoeuvre, per unit: name, forward, left.
const MOVES: [(&str, f64, f64); 5] = [
    ("bend-left", 0.0, 1.0),
    ("bend-right", 0.0, -1.0),
    ("brake", -1.0, 0.0),
    ("bend-left-braking", -1.0, 1.0),
    ("bend-right-braking", -1.0, -1.0),
];

impl Ask {
    fn moves(self) -> &'static [usize] {
        match self {
            Self::Side => &[0, 1],
            Self::Brake => &[2],
            Self::Both => &[3, 4],
        }
    }
}

/// Surfaces whose friction is known on every panel that holds a cup: dry, wet.
pub(super) fn surfaces(rig: &Rig) -> Vec<bool> {
    let known = |wet: bool| {
        rig.cups.iter().all(|c| {
            let panel = &rig.panels[c.panel];
            panel.wet == wet || panel.other_friction.is_some()
        })
    };
    [false, true].into_iter().filter(|wet| known(*wet)).collect()
}

/// The rig with its panels dry or wet. `worst`: a friction that is assumed at its low end.
fn on_surface(rig: &Rig, wet: bool, worst: bool) -> Rig {
    let mut out = rig.clone();
    for panel in out.panels.iter_mut().filter(|p| p.wet != wet) {
        if let Some(other) = panel.other_friction.take() {
            let own = core::mem::replace(&mut panel.friction, other);
            panel.other_friction = Some(own);
            panel.wet = wet;
            if worst && panel.friction.is_assumed() {
                panel.friction.value = panel.friction.low;
            }
        }
    }
    out
}

fn synthetic(rig: &Rig, speed: f64, arm: ArmUse) -> Vec<Manoeuvre> {
    let gust = rig.manoeuvres.iter().any(|m| m.gust);
    let fact = |value: f64, kind: Kind, key: &str| Fact::stated(value, kind, key);
    MOVES
        .iter()
        .map(|(tag, forward, left)| Manoeuvre {
            tag: (*tag).to_owned(),
            forward: fact(*forward, Kind::Acceleration, "forward"),
            left: fact(*left, Kind::Acceleration, "left"),
            vertical: Vertical::Road,
            speed: fact(speed, Kind::Speed, "speed"),
            yaw_rate: None,
            grade: 0.0,
            bank: 0.0,
            gust,
            arm,
        })
        .collect()
}

/// Every set of values on every surface, for one speed.
pub(super) fn variants(rig: &Rig, speed: f64, live: bool, surfaces: &[bool]) -> Vec<Variant> {
    let groups = vary::groups(rig);
    let mut sets = vec![(rig.clone(), false)];
    if !groups.is_empty() {
        sets.extend(vary::bad_corners(&groups).iter().map(|c| (vary::with(rig, c), true)));
    }
    // A pose is given from outside; the arm neither parks nor, where it is still, moves in it.
    let arm = if live { ArmUse::Live } else { ArmUse::Still };
    let mut out: Vec<Variant> = Vec::new();
    for (mut set, worst) in sets {
        set.manoeuvres = synthetic(&set, speed, arm);
        let first = out.len();
        for (k, wet) in surfaces.iter().enumerate() {
            out.push(Variant {
                wet: *wet,
                rig: on_surface(&set, *wet, worst),
                shares: (k > 0).then_some(first),
            });
        }
    }
    out
}

/// A variant ready to be asked.
pub(super) struct Judge<'a> {
    pub(super) wet: bool,
    pub(super) checks: Vec<Box<dyn Swept>>,
    ctx: Context<'a>,
}

/// All variants ready to be asked.
pub(super) fn judges(variants: &[Variant], build: BuildOptions) -> Result<Vec<Judge<'_>>, Fault> {
    let contexts: Vec<Option<Context<'_>>> = variants
        .par_iter()
        .map(|v| if v.shares.is_some() { Ok(None) } else { Context::new(&v.rig, build).map(Some) })
        .collect::<Result<_, Fault>>()?;
    let mut out = Vec::new();
    for (variant, own) in variants.iter().zip(&contexts) {
        let from = own.as_ref().or_else(|| contexts.get(variant.shares?)?.as_ref());
        if let Some(from) = from {
            let ctx = from.judged_by(&variant.rig);
            out.push(Judge { wet: variant.wet, checks: check::swept(&ctx), ctx });
        }
    }
    Ok(out)
}

impl<'a> Judge<'a> {
    /// A loss (or none) without an answer: something moves freely.
    pub(super) fn loose(&self) -> Option<usize> {
        self.ctx.failures.iter().position(|f| f.responses.is_err())
    }

    /// Its rig, ready to be asked.
    pub(super) fn context(&self) -> &Context<'a> {
        &self.ctx
    }

    /// The instants in which the car does what is asked, this hard, m/s².
    pub(super) fn doing(&self, ask: Ask, acceleration: f64) -> Context<'a> {
        let mut ctx = self.ctx.clone();
        ctx.actions.drives.retain(|d| ask.moves().contains(&d.manoeuvre));
        for d in &mut ctx.actions.drives {
            d.acceleration.x *= acceleration;
            d.acceleration.y *= acceleration;
            d.yaw_rate *= acceleration;
        }
        ctx
    }
}
