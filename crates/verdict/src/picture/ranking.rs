//! Which part to change for a quieter picture: each changed alone and the whole chain worked out again.

use super::chain::{Chain, Side};
use super::{Eye, blur};
use crate::Fault;
use mechanics::shaking::oscillator::Oscillator;

/// One change and the blur with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Which part: `rig`, `boom`, `isolator`, `driving`, `camera`.
    pub part: &'static str,
    /// What to do.
    pub what: String,
    /// Blur in the middle of the picture then, r.m.s., px.
    pub blur_px: f64,
}

/// Change of the blur under which a change does nothing worth a line, as a share.
const NOTHING: f64 = 0.01;

struct Try {
    part: &'static str,
    what: String,
    chain: Chain,
    eye: Eye,
}

/// All that was tried, the least blur first; changes that move it by under a hundredth are left out.
/// `stiffer` is the chain with a boom that bends half as much, where there is one.
pub(super) fn changes(
    (chain, stiffer): (&Chain, Option<&Chain>),
    eye: &Eye,
    now_px: f64,
) -> Result<Vec<Change>, Fault> {
    let mut out = Vec::new();
    for t in tries(chain, stiffer, eye)? {
        let blur_px = blur(&t.chain, &t.eye)?.total_px();
        if (blur_px - now_px).abs() > NOTHING * now_px {
            out.push(Change { part: t.part, what: t.what, blur_px });
        }
    }
    out.sort_by(|a, b| a.blur_px.total_cmp(&b.blur_px));
    Ok(out)
}

fn tries(chain: &Chain, stiffer: Option<&Chain>, eye: &Eye) -> Result<Vec<Try>, Fault> {
    let mut out = Vec::new();
    let mut put =
        |part: &'static str, what: &str, change: &dyn Fn(&mut Chain, &mut Eye) -> Result<(), Fault>| {
            let (mut chain, mut eye) = (chain.clone(), *eye);
            change(&mut chain, &mut eye)?;
            out.push(Try { part, what: what.to_owned(), chain, eye });
            Ok::<(), Fault>(())
        };
    put("rig", "rig and boom twice as stiff (cups wider apart, shorter stacks, braces)", &|c, _| {
        c.rig.stiffen(2.0);
        if let Some(a) = &mut c.arm {
            a.to_tip.stiffen(2.0);
        }
        Ok(())
    })?;
    put("rig", "rig with twice the damping", &|c, _| {
        c.rig.damping *= 2.0;
        if let Some(a) = &mut c.arm {
            a.to_tip.damping *= 2.0;
        }
        Ok(())
    })?;
    if let Some(stiffer) = stiffer {
        put("boom", "boom twice as stiff (shorter, thicker or braced)", &|c, _| {
            *c = stiffer.clone();
            Ok(())
        })?;
    }
    let again = |f: f64, d: f64| Oscillator::new(f, d.min(2.0)).map_err(Fault::from_error);
    if let Some(up) = chain.arm.as_ref().and_then(|a| a.up) {
        let mut spring = |what: &str, o: Oscillator| {
            put("isolator", what, &|c, _| {
                if let Some(a) = &mut c.arm {
                    a.up = Some(o);
                }
                Ok(())
            })
        };
        // Half the rate at the same damper: the frequency falls by √2 and the ratio rises by as much.
        let (f, d) = (up.frequency_hz(), up.damping());
        spring("isolator with half the spring rate", again(f / 2.0_f64.sqrt(), d * 2.0_f64.sqrt())?)?;
        spring("isolator with twice the damping", again(f, 2.0 * d)?)?;
        spring("isolator with half the damping", again(f, 0.5 * d)?)?;
    }
    if chain.arm.as_ref().is_some_and(|a| a.sides.iter().any(|s| matches!(s, Side::Swing(_)))) {
        put("isolator", "payload's swing locked", &|c, _| {
            if let Some(a) = &mut c.arm {
                // What no longer swings goes along with the tip; its centre stays where it is.
                for side in &mut a.sides {
                    if let Side::Swing(s) = side {
                        a.hangs.z -= s.length_m();
                        *side = Side::Stiff;
                        break;
                    }
                }
                for side in &mut a.sides {
                    if matches!(side, Side::Swing(_)) {
                        *side = Side::Stiff;
                    }
                }
            }
            Ok(())
        })?;
    }
    put("driving", "a quarter slower", &|c, _| c.at_speed(0.75 * c.speed_m_s))?;
    put("camera", "half the shutter time", &|_, e| {
        e.seen.shutter_s *= 0.5;
        Ok(())
    })?;
    put("camera", "a lens of half the focal length", &|_, e| {
        e.seen.focal_m *= 0.5;
        Ok(())
    })?;
    if chain.steadied >= 1.0 {
        put("camera", "a stabilised head that leaves a tenth of the turning", &|c, _| {
            c.steadied = 0.1;
            Ok(())
        })?;
    }
    Ok(out)
}
