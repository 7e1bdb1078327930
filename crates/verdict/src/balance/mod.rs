//! The boom's balance: how far it is off, which plates or which slide mend it, what its drives are asked, and the same for
//! other payloads. `docs/mechanics.md` §13.1 to §13.6.

mod drives;
mod moments;
mod plan;
mod plates;
#[cfg(test)]
mod tests;

pub use drives::{Drive, Power, Row, Slope};
pub use moments::{Left, Moments};
pub use plan::{NoPlan, Plan, Plans, after};
pub use plates::{Choice, TooMany, WORTH_NM, best, choices};

use crate::Fault;
use crate::arm_model::ArmModel;
use crate::context::Context;
use crate::finding::{Finding, Outcome};
use crate::verdict::{Options, nominal_of};
use mechanics::arm::{ArmError, TiltBalance};
use rig::fact::Fact;
use rig::model::{Arm, Rig};
use rig::policy::CheckId;

/// What to look at besides the payload as it is.
#[derive(Clone, Debug, Default)]
pub struct Ask {
    /// Payloads for the table, kg; by itself it takes from half to one and a half of the present one.
    pub payloads_kg: Vec<f64>,
    /// Lens changes, kg more (or less) than now.
    pub lens_kg: Vec<f64>,
}

/// The boom with another payload.
#[derive(Clone, Debug)]
pub struct Other {
    /// Payload, kg.
    pub payload_kg: f64,
    /// How to balance it.
    pub plans: Plans,
}

/// A fact of the boom's weight that nobody has measured, and what hangs on it.
#[derive(Clone, Debug)]
pub struct Unweighed {
    /// The facts, in file order.
    pub facts: Vec<Fact>,
    /// Moment of the level boom if all of them turn out as nose-light as they may, and as nose-heavy, N m.
    pub level_nm: (f64, f64),
    /// Counterweight at its present place that would balance these two, kg.
    pub weight_kg: (Option<f64>, Option<f64>),
    /// Whether the payload is the only thing not weighed: then the table by payload stands.
    pub payload_alone: bool,
}

/// The moment that changes with elevation.
#[derive(Clone, Copy, Debug)]
pub struct Spread {
    /// Least and greatest moment over the range with the exact weight at the counterweight's place, N m.
    pub nm: (f64, f64),
    /// The counterweight's centre under the boom's axis now, m.
    pub under_m: f64,
    /// Where it would have to be for the moment not to change, m under the axis.
    pub neutral_under_m: Option<f64>,
}

/// The balance of a rig's boom.
#[derive(Clone, Debug)]
pub struct Balance {
    /// What nobody has weighed: nothing below is sure then.
    pub unweighed: Option<Unweighed>,
    /// How to balance the payload as it is.
    pub plans: Plans,
    /// The moment that no plate takes away.
    pub spread: Spread,
    /// End of the tail behind the pivot, m.
    pub tail_m: f64,
    /// The table over the elevation range, as it hangs.
    pub rows: Vec<Row>,
    /// Tilt drive, then pan drive, as it hangs.
    pub drives: Vec<Drive>,
    /// The tilt drive's check with the plan carried out.
    pub mended: Option<Finding>,
    /// Pan on a slope.
    pub slope: Option<Slope>,
    /// Other payloads, light first, the present one among them.
    pub payloads: Vec<Other>,
    /// The boom with its plan carried out: what a lens change starts from.
    pub balanced: Plans,
    /// Lens changes, from there.
    pub lenses: Vec<(f64, Plans)>,
}

/// Why there is no answer about the balance.
#[derive(Clone, Debug, PartialEq)]
pub enum NoBalance {
    /// The rig has no arm.
    NoArm,
    /// No plan can be made.
    Plan(NoPlan),
    /// It cannot be computed with.
    Fault(Fault),
}

impl From<Fault> for NoBalance {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl From<NoPlan> for NoBalance {
    fn from(e: NoPlan) -> Self {
        Self::Plan(e)
    }
}

impl From<ArmError> for NoBalance {
    fn from(e: ArmError) -> Self {
        Self::Fault(Fault::from_error(e))
    }
}

/// How to balance the payload as it is, and what nobody has weighed: of [`Balance::of`] what needs no look at the manoeuvres.
///
/// # Errors
///
/// [`NoBalance`]: no arm, too many plates, or numbers that cannot be computed with.
pub fn plans(rig: &Rig) -> Result<(Plans, Option<Unweighed>), NoBalance> {
    let arm = rig.arm.as_ref().ok_or(NoBalance::NoArm)?;
    Ok((Plans::of(&whole(rig, arm)?, arm)?, unweighed(rig, arm)?))
}

impl Balance {
    /// Looks at a rig's boom.
    ///
    /// # Errors
    ///
    /// [`NoBalance`]: no arm, too many plates, or numbers that cannot be computed with.
    pub fn of(rig: &Rig, ask: &Ask, options: &Options<'_>) -> Result<Self, NoBalance> {
        let arm = rig.arm.as_ref().ok_or(NoBalance::NoArm)?;
        let whole = whole(rig, arm)?;
        let (plans, unweighed) = plans(rig)?;
        let best = plans.advice().cloned();
        let balanced = best.as_ref().map_or_else(|| arm.clone(), |p| after(arm, p));
        let (w, moments) = (&arm.counterweight, Moments::of(&whole, arm));
        let exact_kg = plans.weight_kg.unwrap_or(w.mass.value);
        let then = Plans::of(&self::whole(rig, &balanced)?, &balanced)?;
        let spread = Spread {
            nm: moments.span_nm(exact_kg, w.behind.value)?,
            under_m: w.under,
            neutral_under_m: moments.neutral_under_m(exact_kg),
        };
        let ctx = Context::new(rig, options.build)?;
        let (rows, power) = drives::look(&ctx)?;
        let slope = drives::slope(&ctx)?;
        let mut both = Vec::new();
        let d = &arm.drives;
        for ((check, power), (limit, rate)) in [CheckId::TiltDrive, CheckId::PanDrive]
            .into_iter()
            .zip(power)
            .zip([(&d.tilt_torque, &d.tilt_rate), (&d.pan_torque, &d.pan_rate)])
        {
            if let Some(check) = drive_of(rig, options, check)? {
                both.push(Drive { check, power, can_w: limit.as_ref().map(|l| l.value * rate.value) });
            }
        }
        let mended = match &best {
            Some(_) => drive_of(&with_arm(rig, balanced.clone()), options, CheckId::TiltDrive)?,
            None => None,
        };
        let payloads = payloads(rig, arm, &ask.payloads_kg)?;
        let mut lenses = Vec::new();
        for kg in &ask.lens_kg {
            let other = payload(&balanced, balanced.payload.mass.value + kg);
            if other.payload.mass.value > 0.0 {
                lenses.push((*kg, Plans::of(&self::whole(rig, &other)?, &other)?));
            }
        }
        Ok(Self {
            unweighed,
            plans,
            spread,
            tail_m: arm.sections.iter().map(|s| -s.span.1).fold(0.0, f64::max),
            rows,
            drives: both,
            mended,
            slope,
            payloads,
            balanced: then,
            lenses,
        })
    }
}

fn with_arm(rig: &Rig, arm: Arm) -> Rig {
    let mut out = rig.clone();
    out.arm = Some(arm);
    out
}

fn payload(arm: &Arm, kg: f64) -> Arm {
    let mut out = arm.clone();
    out.payload.mass.value = kg;
    out
}

/// The moments of a rig with this arm.
fn whole(rig: &Rig, arm: &Arm) -> Result<TiltBalance, Fault> {
    let model = ArmModel::of(&with_arm(rig, arm.clone()))?;
    model.map(|m| TiltBalance::of(&m.chain)).ok_or_else(|| Fault { what: "the rig has no arm".to_owned() })
}

/// A drive's check in its worst state.
fn drive_of(rig: &Rig, options: &Options<'_>, check: CheckId) -> Result<Option<Finding>, Fault> {
    let found = nominal_of(rig, options, check)?;
    Ok(found.into_iter().find(|f| f.margin.is_some() || matches!(f.outcome, Outcome::NotChecked(_))))
}

/// A round step that gives some ten payloads from half to one and a half.
fn round_step(kg: f64) -> f64 {
    let raw = kg / 10.0;
    let ten = 10.0_f64.powf(raw.log10().floor());
    [1.0, 2.0, 2.5, 5.0, 10.0].into_iter().map(|k| k * ten).find(|s| *s >= raw * 0.999).unwrap_or(raw)
}

/// Other payloads, the present one among them.
fn payloads(rig: &Rig, arm: &Arm, asked: &[f64]) -> Result<Vec<Other>, NoBalance> {
    let now = arm.payload.mass.value;
    let mut list: Vec<f64> = if asked.is_empty() {
        let step = round_step(now);
        let first = (0.5 * now / step).ceil();
        (0..=20_u8).map(|k| (first + f64::from(k)) * step).take_while(|kg| *kg <= 1.5 * now + 1e-9).collect()
    } else {
        asked.to_vec()
    };
    list.push(now);
    list.retain(|kg| kg.is_finite() && *kg > 0.0);
    list.sort_by(f64::total_cmp);
    list.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let mut out = Vec::new();
    for payload_kg in list {
        let other = payload(arm, payload_kg);
        out.push(Other { payload_kg, plans: Plans::of(&whole(rig, &other)?, &other)? });
    }
    Ok(out)
}

/// The arm with every fact of its weight that is a range at the end that makes the nose heavier, or lighter.
fn extreme(arm: &Arm, heavy: bool) -> Arm {
    let mut out = arm.clone();
    let front = |f: &mut Fact| f.value = if heavy { f.high } else { f.low };
    let tail = |f: &mut Fact| f.value = if heavy { f.low } else { f.high };
    for s in &mut out.sections {
        if s.span.1 > 0.0 { front(&mut s.mass) } else { tail(&mut s.mass) }
    }
    front(&mut out.isolator.mass);
    front(&mut out.payload.mass);
    tail(&mut out.counterweight.mass);
    tail(&mut out.counterweight.behind);
    out
}

fn unweighed(rig: &Rig, arm: &Arm) -> Result<Option<Unweighed>, NoBalance> {
    let w = &arm.counterweight;
    let all = [&arm.payload.mass, &arm.isolator.mass]
        .into_iter()
        .chain(arm.sections.iter().map(|s| &s.mass))
        .chain([&w.mass, &w.behind]);
    let facts: Vec<Fact> = all.filter(|f| f.is_assumed()).cloned().collect();
    if facts.is_empty() {
        return Ok(None);
    }
    let end = |heavy: bool| -> Result<(f64, Option<f64>), NoBalance> {
        let arm = extreme(arm, heavy);
        let whole = whole(rig, &arm)?;
        // The weight that it takes counts at the place stated.
        Ok((whole.torque_nm(0.0)?, Moments::of(&whole, &arm).weight_kg()))
    };
    let (light, heavy) = (end(false)?, end(true)?);
    let payload_alone = facts.iter().all(|f| f.key == arm.payload.mass.key);
    Ok(Some(Unweighed { facts, level_nm: (light.0, heavy.0), weight_kg: (light.1, heavy.1), payload_alone }))
}
