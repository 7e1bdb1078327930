//! Natural frequencies of the rig with the arm on it, beside the wheels' hop and the isolator.

use super::once::refused;
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use mechanics::frame::{Mode, SolveError};
use mechanics::road::quarter_car::{Corner, QuarterCar};
use quantity::Kind;
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::Frequency, PartRef::Rig);
/// A rig mode should lie this far over the wheels' hop: common practice, no source.
const OVER_HOP: f64 = 1.5;
/// A rig mode within this share of the isolator's frequency feeds it: common practice, no source.
const NEAR_ISOLATOR: f64 = 0.3;
const AMPLIFY: &str = "the road input of the other checks does not include what the rig's own shaking adds";

/// Notes on the lowest rig modes; none where the rig has no answer (that is the stability check's to say).
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let modes = match modes(ctx, 3) {
        Ok(modes) => modes,
        Err(SolveError::Mechanism(_)) => return Vec::new(),
        Err(e) => {
            return vec![Finding::note(ID.0, ID.1, format!("frequencies of the rig are not known: {e}"))];
        }
    };
    let Some(first) = modes.first() else { return Vec::new() };
    let ride = &ctx.rig.vehicle.ride;
    let corner = Corner {
        sprung_kg: ride.sprung_corner.value,
        unsprung_kg: ride.unsprung_corner.value,
        spring_n_m: ride.spring.value,
        damper_n_s_m: ride.damper.value,
        tyre_n_m: ride.tyre.value,
    };
    let (body, hop) = match QuarterCar::new(corner) {
        Ok(car) => car.natural_frequencies_hz(),
        Err(e) => return vec![refused(ID.0, ID.1, "vehicle.ride", e)],
    };
    let list: Vec<String> = modes.iter().map(|m| format!("{:.1} Hz", m.frequency_hz)).collect();
    let list = format!("lowest rig frequencies {}, mostly {}", list.join(", "), way(ctx, first));
    let text = if first.frequency_hz < OVER_HOP * hop {
        format!(
            "{list}; too near the wheels' hop at {hop:.1} Hz: spread the cups, shorten the stacks or add a brace to get over \
             {:.0} Hz; {AMPLIFY}",
            OVER_HOP * hop
        )
    } else {
        format!("{list}; well over the wheels' hop at {hop:.1} Hz; {AMPLIFY}")
    };
    let hand = HandCheck {
        formula: "K u = (2 pi f)² M u;  wheel hop from the quarter car: about sqrt((k_s + k_t) / m_u) / 2 pi",
        source: "frame and quarter car; limits: common practice, no source; mechanics.md §4.17",
        steps: vec![
            Step::new(
                "f1",
                "lowest frequency of rig and parked arm on their cups",
                first.frequency_hz,
                Kind::Frequency,
            ),
            Step::new("f_body", "bounce of the car on its springs", body, Kind::Frequency),
            Step::new("f_hop", "hop of the wheels on their tyres", hop, Kind::Frequency),
            Step::new("wanted", "1.5 f_hop", OVER_HOP * hop, Kind::Frequency),
        ],
    };
    let mut out = vec![Finding::note(ID.0, ID.1, text).at("against the wheels").hand(hand)];
    out.extend(isolator(ctx, &modes));
    out
}

/// A note for the rig mode nearest to the isolator, when it is near.
fn isolator(ctx: &Context<'_>, modes: &[Mode]) -> Option<Finding> {
    let own = ctx.rig.arm.as_ref()?.isolator.frequency.as_ref()?.value;
    let apart = |m: &&Mode| (m.frequency_hz - own).abs();
    let nearest = modes.iter().min_by(|a, b| apart(a).total_cmp(&apart(b)))?.frequency_hz;
    if (nearest - own).abs() > NEAR_ISOLATOR * own {
        return None;
    }
    let text = format!(
        "rig frequency {nearest:.1} Hz is within 30 % of the isolator's {own:.1} Hz: they feed each other; stiffen the rig, \
         or set the isolator softer"
    );
    Some(Finding::note(ID.0, ID.1, text).at("against the isolator").hand(HandCheck {
        formula: "|f - f_iso| <= 0.3 f_iso is too near",
        source: "common practice, no source; mechanics.md §4.17",
        steps: vec![
            Step::new("f", "rig frequency nearest to it", nearest, Kind::Frequency),
            Step::new("f_iso", "isolator, up and down", own, Kind::Frequency),
        ],
    }))
}

/// The lowest modes of the rig with every body of the arm fixed to its platform in the parked pose.
fn modes(ctx: &Context<'_>, count: usize) -> Result<Vec<Mode>, SolveError> {
    let mut frame = ctx.structure.frame.clone();
    if let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm)
        && let Some(node) = ctx.structure.platform_node.get(arm.platform).copied()
    {
        model.stand_on(&mut frame, (node, arm.base), ctx.parked(), |_| true);
    }
    frame.factor(&[])?.modes(count)
}

/// Which way the platform (or, without one, what moves most) goes in a mode.
fn way(ctx: &Context<'_>, mode: &Mode) -> &'static str {
    let platform = ctx.structure.platform_node.first().and_then(|n| mode.shape.get(*n)).copied();
    let s = platform
        .filter(|s| s.length() > 0.05)
        .or_else(|| mode.shape.iter().copied().max_by(|a, b| a.length().total_cmp(&b.length())))
        .unwrap_or_default()
        .abs();
    if s.z >= s.x && s.z >= s.y {
        "up and down"
    } else if s.x >= s.y {
        "fore and aft"
    } else {
        "sideways"
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, rig};
    use core::f64::consts::TAU;

    #[test]
    fn a_stiff_grid_on_soft_cups_bounces_as_one_mass() {
        // No arm, very stiff rocking aside: up and down the four cups' 400 and 100 kN/m in series carry the whole mass.
        let mut rig = rig();
        (rig.arm, rig.straps) = (None, Vec::new());
        for t in &mut rig.tubes {
            (t.section.material.e_pa, t.section.material.g_pa) = (70e13, 26e13);
        }
        // Stiff in the plane and against rocking, so that the bounce is the lowest.
        for c in &mut rig.cups {
            (c.shear, c.rocking) = (fact(1e8), fact(1e8));
        }
        rig.panels[0].rocking = fact(1e8);
        let ctx = context(&rig);
        let hand = (4.0 * 80e3 / ctx.structure.frame.mass()).sqrt() / TAU;
        let found: Vec<f64> = modes(&ctx, 6).unwrap().iter().map(|m| m.frequency_hz).collect();
        assert!(found.iter().any(|f| (f / hand - 1.0).abs() < 1e-3), "{found:?} {hand}");
    }

    #[test]
    fn a_soft_rig_is_warned_about_and_never_decides() {
        let mut rig = rig();
        let found = check(&context(&rig));
        assert!(found.iter().all(|f| f.outcome == Outcome::Note && f.margin.is_none()));
        // Hop near sqrt(225e3 / 40) / 2 pi = 11.94 Hz; the coupled root lies a little over it.
        let hop = found[0].hand.steps[2].value;
        assert!(hop > 11.93 && hop < 12.1, "{hop}");
        let first = found[0].hand.steps[0].value;
        assert_eq!(found[0].situation.contains("too near the wheels"), first < 1.5 * hop);
        assert!(found[0].situation.contains("does not include"));
        // Near the isolator it says so; far from it, not.
        assert_eq!(found.len(), 1);
        rig.arm.as_mut().unwrap().isolator.frequency = Some(fact(first * 0.8));
        assert_eq!(check(&context(&rig)).len(), 2);
        rig.arm.as_mut().unwrap().isolator.frequency = Some(fact(first * 0.7));
        assert_eq!(check(&context(&rig)).len(), 1, "{first} is 43 % over");
    }

    #[test]
    fn the_arm_lowers_the_frequency() {
        let mut rig = rig();
        let with = modes(&context(&rig), 1).unwrap()[0].frequency_hz;
        rig.arm = None;
        assert!(modes(&context(&rig), 1).unwrap()[0].frequency_hz > 1.3 * with);
    }
}
