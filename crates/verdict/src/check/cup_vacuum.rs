//! Whether each cup's vacuum can be there, and what is left of it at the next round.

use super::cups;
use super::once::{intact, refused};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use mechanics::cup::vacuum::{PumpLaw, Reading, reading};
use quantity::{Kind, both_kind};
use rig::model::Cup;
use rig::policy::CheckId;

/// Two findings a cup: the reading against what air and pump allow, the loss against the vacuum that is there. Only a note
/// where there is no reading: the seal's check asks for it.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for (c, cup) in ctx.rig.cups.iter().enumerate() {
        let part = PartRef::Cup(c);
        match &cup.vacuum {
            None => out.push(Finding::note(CheckId::CupVacuum, part, "no vacuum reading and no plan yet")),
            Some(vacuum) => out.extend(one(ctx, part, cup, vacuum.value)),
        }
    }
    out
}

fn one(ctx: &Context<'_>, part: PartRef, cup: &Cup, shown: f64) -> Vec<Finding> {
    let key = format!("cup.{}.vacuum", cup.tag);
    let (ambient, ultimate) = (ctx.actions.pressure, ctx.rig.policy.pump_ultimate.value);
    let possible = PumpLaw::UltimateAbsolute { absolute_pa: ultimate }.vacuum_pa(ambient);
    let (possible, truth) = match (possible, reading(shown, ambient)) {
        (Ok(p), Ok(t)) => (p, t),
        (Err(e), _) | (_, Err(e)) => return vec![refused(CheckId::CupVacuum, part, &key, e)],
    };
    let kpa = |pa: f64| both_kind(pa, Kind::Pressure);
    let used = shown.min(possible);
    let Some(left) = cups::vacuum(ctx, cup) else {
        return vec![refused(
            CheckId::CupVacuum,
            part,
            &key,
            "the vacuum at the highest and warmest of the route",
        )];
    };
    let taken = (used - cup.loss.value - left).max(0.0);
    let said = match truth {
        Reading::Impossible { excess_pa } => format!(
            "impossible: {} more than the whole air pressure here; the gauge is wrong, or was read or set for another \
             altitude",
            kpa(excess_pa)
        ),
        Reading::Possible { .. } if shown > possible => {
            format!("more than this pump can leave at this altitude; the checks count on {}", kpa(possible))
        }
        Reading::Possible { .. } => format!("{} left at the next round", kpa(left)),
    };
    let hand = HandCheck {
        formula: "demand = gauge reading;  capacity = p_air - p_pump",
        source: "definition of gauge vacuum; mechanics.md §4.13",
        steps: vec![
            Step::new("p_air", "air pressure at the site", ambient, Kind::Pressure),
            Step::new("p_pump", "pressure that the pump leaves inside", ultimate, Kind::Pressure),
            Step::new("possible", "p_air - p_pump", possible, Kind::Pressure),
            Step::new("dp", "gauge reading, below the air outside", shown, Kind::Pressure),
        ],
    };
    let fits = intact(ctx, (CheckId::CupVacuum, part), Kind::Pressure, shown, possible)
        .at("gauge reading")
        .when(said)
        .hand(hand);
    let hand = HandCheck {
        formula: "demand = loss + what height and heat take;  capacity = vacuum now;  left = capacity - demand",
        source: "trapped air p2 = p1 T2 / T1, air pressure by height; mechanics.md §4.13",
        steps: vec![
            Step::new("dp", "vacuum now: the reading, no more than the pump can leave", used, Kind::Pressure),
            Step::new("loss", "loss until the next round", cup.loss.value, Kind::Pressure),
            Step::new("climb", "what the highest and warmest of the route takes", taken, Kind::Pressure),
            Step::new(
                "left",
                "dp - loss - climb; what every other check of the cup counts on",
                left,
                Kind::Pressure,
            ),
        ],
    };
    let lasts = intact(ctx, (CheckId::CupVacuum, part), Kind::Pressure, cup.loss.value + taken, used)
        .at("until the next round")
        .when(format!("{} left at the next round", kpa(left)))
        .hand(hand);
    vec![fits, lasts]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, rig};

    #[test]
    fn sea_level_readings_do_not_carry_to_a_pass() {
        let mut rig = rig();
        // 101.325 - 10 = 91.325 kPa at sea level.
        let found = check(&context(&rig));
        assert_eq!(found[0].outcome, Outcome::Holds);
        assert!((found[0].capacity - 91.325e3).abs() < 1.0);
        // 2000 m: 79.50 kPa of air (U.S. Standard Atmosphere 1976), 69.50 with the pump.
        rig.site.altitude = fact(2000.0);
        let found = check(&context(&rig));
        assert!((found[0].capacity - 69.495e3).abs() < 10.0, "{}", found[0].capacity);
        assert_eq!(found[0].outcome, Outcome::Fails);
        assert!(
            found[0].situation.starts_with("impossible"),
            "80 kPa is more than all the air: {}",
            found[0].situation
        );
        rig.cups[0].vacuum = Some(fact(75e3));
        let found = check(&context(&rig));
        assert_eq!(found[0].outcome, Outcome::Fails);
        assert!(found[0].situation.starts_with("more than this pump"));
        rig.cups[0].vacuum = Some(fact(65e3));
        let found = check(&context(&rig));
        assert_eq!(found[0].outcome, Outcome::Holds);
        // 65 - 5 kPa.
        assert!((found[1].hand.steps[3].value - 60e3).abs() < 1e-6);
    }

    #[test]
    fn climbing_and_heat_take_their_share() {
        // Sealed at sea level with 20 kPa inside, driven to 2000 m: 81.325 -> 59.50 kPa (U.S. Standard Atmosphere 1976).
        let mut rig = rig();
        rig.cups[0].vacuum = Some(fact(81.325e3));
        rig.cups[0].loss = fact(0.0);
        rig.site.highest = Some(fact(2000.0));
        let left = |rig: &rig::Rig| cups::vacuum(&context(rig), &rig.cups[0]).unwrap();
        assert!((left(&rig) - 59.50e3).abs() < 10.0, "{}", left(&rig));
        // 20 kPa at 20 °C are 22.05 kPa at 50 °C.
        rig.site.highest = None;
        rig.site.temperature = fact(293.15);
        rig.site.hottest = Some(fact(323.15));
        assert!((left(&rig) - (101.325e3 - 20e3 * 323.15 / 293.15)).abs() < 1.0);
        // Going down or cooling gives nothing.
        rig.site.hottest = Some(fact(263.15));
        assert!((left(&rig) - 81.325e3).abs() < 1e-6);
        // A pump that cannot reach the reading does not help it.
        let found = check(&context(&rig));
        assert_eq!(found[1].outcome, Outcome::Holds);
    }

    #[test]
    fn a_leak_that_takes_all_before_the_round_fails() {
        let mut rig = rig();
        rig.cups[0].loss = fact(81e3);
        let found = check(&context(&rig));
        assert_eq!(found[1].outcome, Outcome::Fails);
        assert!(found[1].hand.steps[3].value.abs() < 1e-12);
    }

    #[test]
    fn no_reading_is_noted_and_nonsense_is_no_pass() {
        let mut rig = rig();
        rig.cups[0].vacuum = None;
        rig.cups[1].vacuum = Some(fact(f64::NAN));
        let found = check(&context(&rig));
        assert_eq!(found[0].outcome, Outcome::Note);
        assert!(matches!(found[1].outcome, Outcome::NotChecked(_)));
    }
}
