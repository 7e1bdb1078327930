//! Arrows for what panels, straps and the arm do to the rig in the state that is shown.

use super::Desk;
use crate::io::Stop;
use draw::view::Arrow;
use glam::DVec3;
use mechanics::frame::SolveError;
use quantity::{Kind, both_kind};
use verdict::context::Context;
use verdict::responses::ARM_COLUMN;

/// Arrows under this share of the longest are left out.
const LEAST: f64 = 0.03;

/// Arrows, and sentences on them; `brief` leaves out how large the side forces are.
pub(super) fn of(desk: &Desk<'_>, brief: bool) -> Result<(Vec<Arrow>, Vec<String>), Stop> {
    let (ctx, rig) = (desk.context()?, desk.rig);
    let (failure, u) = desk.seen()?.action(desk)?;
    let responses = match ctx.failures.get(failure).map(|f| &f.responses) {
        Some(Ok(r)) => r.respond(&u),
        Some(Err(e)) => return Err(none(ctx, e)),
        None => Vec::new(),
    };
    let mut arrows = of_cups(ctx, &responses, brief);
    arrows.extend(of_straps(ctx, &responses));
    let mut said = vec!["Arrows: what panels, straps and the arm do to the rig.".to_owned()];
    if let Some(arm) = &rig.arm {
        let three = |from: usize| {
            DVec3::from_array(core::array::from_fn(|k| u.get(from + k).copied().unwrap_or(f64::NAN)))
        };
        let (force, moment) = (three(ARM_COLUMN), three(ARM_COLUMN + 3));
        let size = both_kind(force.length(), Kind::Force);
        arrows.push(Arrow { at: arm.base, force, label: format!("arm {size}") });
        said.push(format!(
            "At the mast foot: {size} and a moment of {}.",
            both_kind(moment.length(), Kind::Moment)
        ));
    }
    let longest = arrows.iter().map(|a| a.force.length()).fold(0.0, f64::max);
    arrows.retain(|a| a.force.is_finite() && a.force.length() > LEAST * longest);
    Ok((arrows, said))
}

/// Why a rig that moves freely has neither forces nor a shape.
pub(super) fn none(ctx: &Context<'_>, e: &SolveError) -> Stop {
    let what = match e {
        SolveError::Mechanism(m) => {
            let part = ctx.structure.owner.get(m.node).map_or("a part".to_owned(), |p| p.name(ctx.rig));
            format!("{part} can move freely")
        }
        other => other.to_string(),
    };
    Stop::bad(
        format!("there are no forces and no movements to draw: {what}"),
        "clingfish check names what moves (the check \"stable\") and what would hold it; draw without --forces and --moved",
    )
}

/// Pull or press along the cup's axis and the side force in the panel, one arrow each.
fn of_cups(ctx: &Context<'_>, responses: &[f64], brief: bool) -> Vec<Arrow> {
    let mut out = Vec::new();
    for (cup, row) in ctx.rig.cups.iter().zip(&ctx.layout.cup) {
        let Some([along, across, axial]) =
            responses.get(*row..row + 3).and_then(|r| <[f64; 3]>::try_from(r).ok())
        else {
            continue;
        };
        let word = if axial < 0.0 { "pull" } else { "press" };
        let label = |word: &str, size: f64| format!("{} {word} {}", cup.tag, both_kind(size, Kind::Force));
        out.push(Arrow { at: cup.at, force: cup.normal * axial, label: label(word, axial.abs()) });
        let side = cup.along * along + cup.normal.cross(cup.along) * across;
        let sideways = if brief { String::new() } else { label("side", side.length()) };
        out.push(Arrow { at: cup.at, force: side, label: sideways });
    }
    out
}

/// The pull of each strap where it is fixed to the rig; its size stands once.
fn of_straps(ctx: &Context<'_>, responses: &[f64]) -> Vec<Arrow> {
    let mut out = Vec::new();
    for (i, row) in ctx.layout.strap.iter().enumerate() {
        let tension = row.and_then(|row| responses.get(row));
        let strand = ctx.structure.strand_of.get(i).copied().flatten();
        let (Some(tension), Some(strand)) =
            (tension, strand.and_then(|s| ctx.structure.frame.strands.get(s)))
        else {
            continue;
        };
        let tag = ctx.rig.straps.get(i).map_or("", |s| s.tag.as_str());
        let mut label = format!("{tag} {}", both_kind(*tension, Kind::Force));
        for (point, gradient) in strand.path.iter().zip(strand.gradient()) {
            if point.node.is_some() {
                out.push(Arrow {
                    at: point.at,
                    force: -gradient * *tension,
                    label: std::mem::take(&mut label),
                });
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Shown;
    use draw::view::Part;
    use mechanics::STANDARD_GRAVITY;

    /// The forces that are drawn and the weight are in balance, whatever is lost.
    #[test]
    fn arrows_and_weight_are_in_balance() {
        let (text, kit) = (
            include_str!("../../../../examples/estate-arm.toml"),
            include_str!("../../../../examples/kit.toml"),
        );
        let rig = rig::read(text, "estate-arm.toml", &|_| Ok(kit.to_owned())).rig.unwrap();
        for lost in [None, Some(Part::Cup(0)), Some(Part::Strap(1))] {
            let shown = Shown { lost, forces: true, plain: true, ..Shown::default() };
            let desk = Desk::new(&rig, shown, false);
            let ctx = desk.context().unwrap();
            let (failure, u) = desk.seen().unwrap().action(&desk).unwrap();
            assert_eq!(failure > 0, lost.is_some());
            let responses = ctx.failures[failure].responses.as_ref().unwrap().respond(&u);
            let mut all = of_cups(ctx, &responses, false);
            all.extend(of_straps(ctx, &responses));
            let arm = DVec3::new(u[ARM_COLUMN], u[ARM_COLUMN + 1], u[ARM_COLUMN + 2]);
            let weight = DVec3::NEG_Z * ctx.structure.frame.mass() * STANDARD_GRAVITY;
            let sum = all.iter().map(|a| a.force).sum::<DVec3>() + arm + weight;
            // Some kilonewtons cancel to a solve's rounding.
            assert!(sum.length() < 1e-4 && arm.z < -100.0, "{lost:?}: {sum}");
            let drawn = of(&desk, false).unwrap().0;
            assert!(drawn.iter().any(|a| a.label.starts_with("arm ") && a.force == arm), "{drawn:?}");
            if lost == Some(Part::Cup(0)) {
                assert!(!drawn.iter().any(|a| a.label.starts_with("FL ")), "{drawn:?}");
            }
        }
    }
}
