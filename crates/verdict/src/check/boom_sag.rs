//! Sag of the boom's tip under its own weight and payload, and its first bending frequency, with and without braces.

use super::once::{intact, length, need, refused};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::structure::{BuildOptions, beam_of};
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::frame::{
    Beam, Factored, Frame, Load, Lost, Member, PointMass, SolveError, Strand, StrandPoint, Support,
};
use quantity::Kind;
use rig::model::{Arm, BoomSection};
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::BoomSag, PartRef::Arm);
/// Stiffness of the pivot's clamp, N/m and N m/rad: 1e5 times a boom's own, so that it adds under 1e-4 to the sag.
const CLAMPED: f64 = 1e11;
/// Ends of sections nearer than this meet, m.
const MEET_M: f64 = 1e-6;

/// Sag with the braces that are fitted against the limit, and notes on sag and frequency with and without them.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let Some(arm) = &ctx.rig.arm else { return Vec::new() };
    let boom = match Boom::of(arm) {
        Ok(boom) => boom,
        Err(missing) => {
            let need = need(
                format!("tube of boom section {missing}"),
                format!("arm.section.{missing}.tube"),
                "measure outer diameter and wall",
            );
            return vec![if arm.sag_limit.is_some() {
                Finding::not_checked(ID.0, ID.1, need)
            } else {
                Finding::note(ID.0, ID.1, format!("sag is not known: {} is not stated", need.what))
            }];
        }
    };
    findings(ctx, arm, &boom).unwrap_or_else(|e| vec![refused(ID.0, ID.1, "arm", e)])
}

/// The front of the boom as a cantilever in boom axes, x from the pivot.
struct Boom {
    frame: Frame,
    tip: usize,
    length: f64,
    tip_mass: f64,
}

/// Section that counts between two places: of those that overlap, the one that bends most.
fn softest(sections: &[&BoomSection], at: f64) -> Result<Option<Beam>, String> {
    let mut beam: Option<Beam> = None;
    for s in sections.iter().filter(|s| s.span.0.min(s.span.1) < at && s.span.0.max(s.span.1) > at) {
        let this = s
            .section
            .as_ref()
            .and_then(|x| beam_of(x, BuildOptions::default()))
            .ok_or_else(|| s.tag.clone())?;
        if beam.is_none_or(|b| this.e_pa * this.iy_m4 < b.e_pa * b.iy_m4) {
            beam = Some(this);
        }
    }
    Ok(beam)
}

impl Boom {
    /// Builds it, or names the section whose tube is not known.
    fn of(arm: &Arm) -> Result<Self, String> {
        let front: Vec<&BoomSection> =
            arm.sections.iter().filter(|s| s.span.0.max(s.span.1) > MEET_M).collect();
        let mut places = vec![0.0];
        places.extend(front.iter().flat_map(|s| [s.span.0, s.span.1]).filter(|x| *x > 0.0));
        let length = places.iter().copied().fold(0.0, f64::max);
        places.extend(arm.braces.iter().map(|b| b.along).filter(|x| *x > 0.0 && *x < length));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a < MEET_M);
        let mut frame = Frame::default();
        let nodes: Vec<usize> = places.iter().map(|x| frame.node(DVec3::X * *x)).collect();
        for (k, w) in places.windows(2).enumerate() {
            let mid = f64::midpoint(w[0], w[1]);
            // A gap between sections has no known tube either.
            let Some(mut beam) = softest(&front, mid)? else { return Err(format!("at {mid:.3} m")) };
            // The stated mass of all sections there, couplings and fittings included, in place of the tube's own.
            let line: f64 = front
                .iter()
                .filter(|s| s.span.0.min(s.span.1) < mid && s.span.0.max(s.span.1) > mid)
                .map(|s| s.mass.value / (s.span.1 - s.span.0).abs())
                .sum();
            beam.density_kg_m3 = line / beam.area_m2;
            frame.members.push(Member { i: nodes[k], j: nodes[k + 1], beam, up: DVec3::Z });
        }
        let root = nodes.first().copied().unwrap_or(0);
        let tip = nodes.last().copied().unwrap_or(0);
        frame.supports.push(Support { node: root, axes: [DVec3::X, DVec3::Y, DVec3::Z], k: [CLAMPED; 6] });
        let at = DVec3::X * length;
        let mut hang = |mass_kg: f64, at: DVec3| {
            if mass_kg > 0.0 {
                frame.masses.push(PointMass { node: tip, mass_kg, at });
            }
        };
        // A levelled payload's moment goes down the linkage beside the boom; a fixed one bends the boom.
        let offset = if arm.levelled { DVec3::ZERO } else { arm.payload.centre };
        hang(arm.isolator.mass.value, at);
        hang(arm.payload.mass.value, at + offset);
        for b in arm.braces.iter().filter(|b| b.along > 0.0 && b.along <= length + MEET_M) {
            let node = nodes
                .iter()
                .copied()
                .min_by(|p, q| {
                    (frame.nodes[*p].x - b.along).abs().total_cmp(&(frame.nodes[*q].x - b.along).abs())
                })
                .unwrap_or(tip);
            let (top, foot) = (DVec3::new(0.0, b.left, b.height), DVec3::X * b.along);
            let path = vec![StrandPoint { at: top, node: None }, StrandPoint { at: foot, node: Some(node) }];
            let stretch = (foot - top).length();
            let k_n_per_m = if stretch > 0.0 { b.ea / stretch } else { 0.0 };
            frame.strands.push(Strand { path, k_n_per_m, pretension_n: 0.0 });
        }
        let tip_mass = arm.isolator.mass.value + arm.payload.mass.value;
        Ok(Self { frame, tip, length, tip_mass })
    }

    /// Sag of the tip square to the boom, m, + down, at an elevation, and the braces that hang slack.
    fn sag(&self, elevation: f64, braced: bool) -> Result<(f64, Vec<Lost>), SolveError> {
        let (s, c) = elevation.sin_cos();
        let load = Load { specific_force: DVec3::new(-s, 0.0, -c) * STANDARD_GRAVITY, ..Load::default() };
        let strands = 0..self.frame.strands.len();
        let mut lost: Vec<Lost> =
            if braced { Vec::new() } else { strands.clone().map(Lost::Strand).collect() };
        loop {
            let factored = self.frame.factor(&lost)?;
            let solution = factored.solve(core::slice::from_ref(&load))?;
            let slack = strands
                .clone()
                .map(Lost::Strand)
                .enumerate()
                .find(|(i, l)| !lost.contains(l) && solution.tension(0, *i) < 0.0);
            match slack {
                Some((_, l)) => lost.push(l),
                None => return Ok((-solution.node(0, self.tip).0.z, lost)),
            }
        }
    }

    /// Lowest frequency whose tip moves up and down, Hz.
    fn bending(&self, lost: &[Lost]) -> Result<Option<f64>, SolveError> {
        let factored: Factored<'_> = self.frame.factor(lost)?;
        let modes = factored.modes(8)?;
        let upright = modes.iter().find(|m| {
            m.shape.get(self.tip).is_some_and(|s| s.z.abs() > s.x.abs().max(s.y.abs()))
                || m.shape.iter().all(|s| s.z.abs() >= s.y.abs().max(s.x.abs()))
        });
        Ok(upright.map(|m| m.frequency_hz))
    }
}

/// The front of the boom as a frame in boom axes; the first node is the pivot.
pub(crate) struct Front {
    pub(crate) frame: Frame,
    /// Node of the tip.
    pub(crate) tip: usize,
    /// Braces that hang slack.
    pub(crate) slack: Vec<Lost>,
}

/// The front of a boom in the parked pose, or the section whose tube is not known.
pub(crate) fn front(arm: &Arm) -> Result<Result<Front, SolveError>, String> {
    let boom = Boom::of(arm)?;
    Ok(boom.sag(arm.parked.1, true).map(|(_, slack)| Front { frame: boom.frame, tip: boom.tip, slack }))
}

fn findings(ctx: &Context<'_>, arm: &Arm, boom: &Boom) -> Result<Vec<Finding>, SolveError> {
    let elevation = 0.0_f64.clamp(arm.elevation.0.min(arm.elevation.1), arm.elevation.0.max(arm.elevation.1));
    let (bare, none) = boom.sag(elevation, false)?;
    let (fitted, slack) = boom.sag(elevation, true)?;
    let braced = !boom.frame.strands.is_empty();
    let at = if elevation == 0.0 { "boom level" } else { "boom nearest to level" };
    let with = if braced { "with braces" } else { "no braces" };
    let hand = hand(boom, bare, fitted, elevation);
    let mut out = Vec::new();
    let idle =
        if slack.is_empty() { String::new() } else { format!("; {} of its braces hang slack", slack.len()) };
    match &arm.sag_limit {
        Some(limit) => out.push(
            intact(ctx, ID, Kind::Length, fitted.abs(), limit.value)
                .at("tip")
                .when(format!("{at}, {with}{idle}"))
                .hand(hand),
        ),
        None => out.push(
            Finding::note(ID.0, ID.1, format!("tip sags {}: {at}, {with}{idle}", length(fitted)))
                .at("tip")
                .hand(hand),
        ),
    }
    if braced {
        let text = format!("without its braces the tip would sag {}", length(bare));
        out.push(Finding::note(ID.0, ID.1, text).at("tip without braces"));
    }
    for (lost, name, shown) in [(&slack, with, true), (&none, "without braces", braced)] {
        if let (true, Some(f)) = (shown, boom.bending(lost)?) {
            let text = format!("first bending up and down {f:.1} Hz, {name}, payload rigid on the tip");
            out.push(Finding::note(ID.0, ID.1, text).at("bending frequency").hand(HandCheck {
                formula: "one uniform tube: f = sqrt(3 E I / (L³ (M + 0.2357 m))) / 2 pi; stepped: frame analysis",
                source: "Rayleigh's cantilever with a tip mass; mechanics.md §4.16",
                steps: vec![
                    Step::new("L", "pivot to tip", boom.length, Kind::Length),
                    Step::new("M", "isolator and payload", boom.tip_mass, Kind::Mass),
                    Step::new("m", "front of the boom", boom.frame.mass() - boom.tip_mass, Kind::Mass),
                    Step::new("f", "first frequency", f, Kind::Frequency),
                ],
            }));
        }
    }
    Ok(out)
}

fn hand(boom: &Boom, bare: f64, fitted: f64, elevation: f64) -> HandCheck {
    let ei = boom.frame.members.first().map_or(0.0, |m| m.beam.e_pa * m.beam.iy_m4);
    let own = boom.frame.mass() - boom.tip_mass;
    let uniform =
        STANDARD_GRAVITY * elevation.cos() * boom.length.powi(3) * (boom.tip_mass / 3.0 + own / 8.0) / ei;
    HandCheck {
        formula: "one uniform tube: sag = g L³ (M / 3 + m / 8) cos e / (E I); stepped and braced: frame analysis",
        source: "cantilever under tip load and own weight; mechanics.md §4.16",
        steps: vec![
            Step::new("L", "pivot to tip", boom.length, Kind::Length),
            Step::new("M", "isolator and payload", boom.tip_mass, Kind::Mass),
            Step::new("m", "front of the boom", own, Kind::Mass),
            Step::new("first", "sag if the root section ran to the tip", uniform, Kind::Length),
            Step::new("bare", "sag without braces, from the frame", bare, Kind::Length),
            Step::new("sag", "sag as fitted, from the frame", fitted, Kind::Length),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{boom_section, context, fact, rig, tube_section};
    use rig::model::{Brace, Rig};

    fn single() -> Rig {
        let mut rig = rig();
        let arm = rig.arm.as_mut().unwrap();
        arm.sections = vec![boom_section("front", 0.0, 2.0), boom_section("tail", 0.0, -0.6)];
        rig
    }

    fn tip(found: &[Finding]) -> f64 {
        found[0].hand.steps[5].value
    }

    #[test]
    fn a_uniform_boom_sags_as_a_cantilever() {
        let rig = single();
        let found = check(&context(&rig));
        // 80 x 3 mm: I = pi (80⁴ - 74⁴) / 64 mm⁴. Tip 6 kg, own 8 kg over 2 m.
        let i = core::f64::consts::PI * (0.08_f64.powi(4) - 0.074_f64.powi(4)) / 64.0;
        let bend = STANDARD_GRAVITY * 8.0 * (6.0 / 3.0 + 8.0 / 8.0) / (70e9 * i);
        // Shear adds V L / (G A kappa): under 0.5 % on a boom this slender; the clamp 1e-5.
        let sag = tip(&found);
        assert!(sag > bend && sag < 1.005 * bend, "{sag} {bend}");
        assert!((found[0].hand.steps[3].value / bend - 1.0).abs() < 1e-9);
        assert_eq!(found[0].outcome, Outcome::Note);
    }

    #[test]
    fn a_limit_decides() {
        let mut rig = single();
        let sag = tip(&check(&context(&rig)));
        rig.arm.as_mut().unwrap().sag_limit = Some(fact(sag * 1.5));
        let f = &check(&context(&rig))[0];
        assert!(f.outcome == Outcome::Holds && (f.margin.unwrap() - 1.5).abs() < 1e-9);
        rig.arm.as_mut().unwrap().sag_limit = Some(fact(sag * 0.5));
        assert_eq!(check(&context(&rig))[0].outcome, Outcome::Fails);
        rig.arm.as_mut().unwrap().sections[0].section = None;
        assert!(matches!(check(&context(&rig))[0].outcome, Outcome::NotChecked(_)));
        rig.arm.as_mut().unwrap().sag_limit = None;
        assert_eq!(check(&context(&rig))[0].outcome, Outcome::Note);
    }

    #[test]
    fn a_step_down_sags_more() {
        let mut rig = single();
        let before = tip(&check(&context(&rig)));
        let arm = rig.arm.as_mut().unwrap();
        arm.sections[0].span = (0.0, 1.0);
        arm.sections[0].mass = fact(4.0);
        let mut thin = boom_section("thin", 1.0, 2.0);
        thin.section = Some(tube_section(0.06, 0.003));
        arm.sections.push(thin);
        let after = tip(&check(&context(&rig)));
        // Mohr by hand for the tip load P and the line load w, I1 to 1 m and I2 beyond; E I in kN m²:
        // sag = P/3 [(8 - 1) / EI1 + 1 / EI2] + w/8 [(16 - 1) / EI1 + 1 / EI2].
        let ei = |d: f64, t: f64| 70e9 * core::f64::consts::PI * (d.powi(4) - (d - 2.0 * t).powi(4)) / 64.0;
        let (e1, e2) = (ei(0.08, 0.003), ei(0.06, 0.003));
        let (p, w) = (6.0 * STANDARD_GRAVITY, 4.0 * STANDARD_GRAVITY);
        let hand = p / 3.0 * (7.0 / e1 + 1.0 / e2) + w / 8.0 * (15.0 / e1 + 1.0 / e2);
        // Shear again adds under 0.5 %.
        assert!(after > hand && after < 1.005 * hand, "{after} {hand}");
        assert!(after > before);
        // A gap between sections is not bridged by a guess.
        rig.arm.as_mut().unwrap().sections.last_mut().unwrap().span = (1.1, 2.0);
        assert!(check(&context(&rig))[0].situation.contains("not known"));
    }

    #[test]
    fn a_brace_from_above_lifts_and_one_from_below_hangs_slack() {
        let mut rig = single();
        let bare = tip(&check(&context(&rig)));
        let brace = |height: f64| Brace { tag: "B".to_owned(), along: 2.0, height, left: 0.0, ea: 1e6 };
        rig.arm.as_mut().unwrap().braces = vec![brace(0.5)];
        let found = check(&context(&rig));
        let braced = tip(&found);
        // By hand: tip stiffness 3 E I / L³ beside E A sin² a / l; sin a = 0.5 / l, l = sqrt(4.25). The boom's own
        // shortening under the brace's push is left out of the hand value: under 2 %.
        let i = core::f64::consts::PI * (0.08_f64.powi(4) - 0.074_f64.powi(4)) / 64.0;
        let k = 3.0 * 70e9 * i / 8.0;
        let l = 4.25_f64.sqrt();
        let kb = 1e6 / l * (0.5 / l).powi(2);
        assert!((braced / (bare * k / (k + kb)) - 1.0).abs() < 0.02, "{braced} {bare}");
        assert_eq!(found.len(), 4, "sag, sag without, frequency with and without");
        rig.arm.as_mut().unwrap().braces = vec![brace(-0.5)];
        let found = check(&context(&rig));
        assert!((tip(&found) - bare).abs() < 1e-9 && found[0].situation.contains("slack"));
    }

    #[test]
    fn the_first_frequency_is_rayleighs() {
        // Cantilever 1.2 m of 48.3 x 4.0 steel, 5.244 kg, 15 kg at its tip: 8.849 Hz (transcendental root 8.84851).
        let mut rig = single();
        let arm = rig.arm.as_mut().unwrap();
        let mut steel = tube_section(0.0483, 0.004);
        (steel.material.e_pa, steel.material.g_pa) = (210e9, 81e9);
        let mut s = boom_section("front", 0.0, 1.2);
        (s.section, s.mass) = (Some(steel), fact(5.244));
        arm.sections = vec![s];
        arm.payload.mass = fact(15.0);
        let boom = Boom::of(arm).unwrap();
        let f = boom.bending(&[]).unwrap().unwrap();
        // Shear flexibility of a real tube takes 0.2 %; rounding of E, I and m in the source 0.01 %.
        assert!(f < 8.8493 && f > 8.8493 * 0.997, "{f}");
    }
}
