//! Random rigs for property tests: cups on a crowned roof, transverse and longitudinal tubes, clamps across an offset, a
//! mast on four legs, straps over the edges. A [`Plan`] is what proptest draws and shrinks; [`Plan::build`] makes the frame.

use glam::DVec3;
use mechanics::frame::{Beam, Frame, Freedom, Joint, JointKind, Load, Member, Strand, StrandPoint, Support};
use mechanics::wrench::Wrench;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};

/// What is drawn of a cup: where it stands along its tube, how the roof leans under it, how stiff it is.
#[derive(Clone, Copy, Debug)]
pub struct CupPlan {
    /// Added to its place along the tube, m.
    pub shift_m: f64,
    /// Lean of the panel's normal from `+z`, along x and y.
    pub lean: [f64; 2],
    /// Shear, axial (N/m) and rocking (N m/rad) stiffness.
    pub k: [f64; 3],
    /// Whether its head pivots (no rocking stiffness).
    pub pivots: bool,
}

/// A clamp: rigid, or a swivel that is free about its offset.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClampPlan {
    /// Right angle, rigid.
    Rigid,
    /// Swivel.
    Swivel,
}

/// A random rig, its size and its parts.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Half the distance of outer cups, half the distance of the longitudinal tubes, m.
    pub half_width_m: [f64; 2],
    /// Half the distance of the transverse tubes, m.
    pub half_length_m: f64,
    /// Cups of the front tube and the rear tube, two to four each.
    pub cups: [Vec<CupPlan>; 2],
    /// Clamps: front left, front right, rear left, rear right.
    pub clamps: [ClampPlan; 4],
    /// Mast above the longitudinal tubes, m.
    pub mast_m: f64,
    /// Straps from the tubes' ends: stiffness (N/m) and pretension (N); up to four, every other goes over an edge.
    pub straps: Vec<[f64; 2]>,
    /// Wrench at the mast, N and N m.
    pub wrench: [f64; 6],
    /// Specific force, m/s².
    pub specific_force: [f64; 3],
    /// Line load on every tube, N/m.
    pub line: [f64; 3],
}

/// A frame made of a plan, with what tests ask about.
#[derive(Clone, Debug)]
pub struct Rig {
    /// The frame.
    pub frame: Frame,
    /// The mast's node.
    pub mast: usize,
    /// The plan's load: wrench, specific force, line load and pretension.
    pub load: Load,
}

/// Aluminium tube 48.3 x 4.0 with shear flexibility of a thin tube (half the area).
pub const TUBE: Beam = Beam {
    e_pa: 70e9,
    g_pa: 26.3e9,
    area_m2: 5.566_902e-4,
    iy_m4: 1.376_758e-7,
    iz_m4: 1.376_758e-7,
    j_m4: 2.753_515e-7,
    shear_area_m2: Some(2.783_451e-4),
    density_kg_m3: 2700.0,
};

/// A leg that tells its two bending planes apart.
pub const LEG: Beam = Beam {
    e_pa: 210e9,
    g_pa: 80e9,
    area_m2: 4e-4,
    iy_m4: 3e-8,
    iz_m4: 8e-8,
    j_m4: 5e-8,
    shear_area_m2: Some(2.5e-4),
    density_kg_m3: 7850.0,
};

/// Height of the transverse tubes over the panel and between tube axes, m.
const STACK_M: f64 = 0.15;
const OFFSET_M: f64 = 0.048_3;

/// The same cases in every run; no file of failures.
pub fn config(cases: u32) -> Config {
    Config {
        cases,
        rng_seed: RngSeed::Fixed(0x005e_ed0f_c0de),
        failure_persistence: None,
        ..Config::default()
    }
}

fn cup() -> impl Strategy<Value = CupPlan> {
    (-0.03..0.03, [-0.15..0.15, -0.15..0.15], (8e4..2.5e5, 5e4..4e5, 100.0..900.0), any::<bool>()).prop_map(
        |(shift_m, lean, (shear, axial, rock), pivots)| CupPlan {
            shift_m,
            lean,
            k: [shear, axial, rock],
            pivots,
        },
    )
}

fn clamp() -> impl Strategy<Value = ClampPlan> {
    prop_oneof![Just(ClampPlan::Rigid), Just(ClampPlan::Swivel)]
}

/// Any rig.
pub fn plans() -> impl Strategy<Value = Plan> {
    let size = ([0.45..0.7, 0.12..0.2], 0.35..0.6, 0.05..0.4);
    let parts = (
        [prop::collection::vec(cup(), 2..=4), prop::collection::vec(cup(), 2..=4)],
        [clamp(), clamp(), clamp(), clamp()],
        prop::collection::vec([5e4..3e5, 100.0..1500.0], 0..=4),
    );
    let force = -2000.0..2000.0_f64;
    let moment = -800.0..800.0_f64;
    let load = (
        [force.clone(), force.clone(), force, moment.clone(), moment.clone(), moment],
        [-9.0..9.0, -9.0..9.0, -25.0..5.0],
        [-60.0..60.0, -60.0..60.0, -60.0..60.0],
    );
    (size, parts, load).prop_map(
        |((half_width_m, half_length_m, mast_m), (cups, clamps, straps), (wrench, specific_force, line))| {
            Plan { half_width_m, half_length_m, cups, clamps, mast_m, straps, wrench, specific_force, line }
        },
    )
}

/// Rig whose plan is drawn from the fixed seed.
pub fn rigs() -> impl Strategy<Value = Rig> {
    plans().prop_map(|p| p.build())
}

/// Three unit vectors with the third along `normal`.
pub fn axes_on(normal: DVec3) -> [DVec3; 3] {
    let z = normal.normalize();
    let x = DVec3::Y.cross(z).normalize();
    [x, z.cross(x), z]
}

impl Plan {
    /// The frame of this plan.
    pub fn build(&self) -> Rig {
        let mut frame = Frame::default();
        let [half_w, half_s] = self.half_width_m;
        let top = STACK_M + OFFSET_M;
        let mut crossings = Vec::new();
        let mut ends = Vec::new();
        for (x, cups) in [self.half_length_m, -self.half_length_m].into_iter().zip(&self.cups) {
            // Stations along y: cups outside of the clamps, then between.
            let places = [-half_w, half_w, -half_w + 0.17, half_w - 0.17];
            let mut stations: Vec<(f64, Option<&CupPlan>)> =
                cups.iter().zip(places).map(|(c, y)| (y + c.shift_m, Some(c))).collect();
            stations.extend([(half_s, None), (-half_s, None)]);
            stations.sort_by(|a, b| a.0.total_cmp(&b.0));
            let nodes: Vec<usize> =
                stations.iter().map(|(y, _)| frame.node(DVec3::new(x, *y, STACK_M))).collect();
            chain(&mut frame, &nodes);
            ends.extend([nodes[nodes.len() - 1], nodes[0]]);
            let mut clamps: Vec<usize> = Vec::new();
            for ((_, cup), node) in stations.iter().zip(&nodes) {
                match cup {
                    Some(cup) => stand(&mut frame, *node, cup),
                    None => clamps.push(*node),
                }
            }
            crossings.extend([clamps[1], clamps[0]]); // left, right
        }
        let m = 0.1;
        let mast = frame.node(DVec3::Z * (top + self.mast_m));
        for (side, y) in [half_s, -half_s].into_iter().enumerate() {
            let stations = [
                -self.half_length_m - 0.15,
                -self.half_length_m,
                -m,
                m,
                self.half_length_m,
                self.half_length_m + 0.1,
            ];
            let nodes = stations.map(|x| frame.node(DVec3::new(x, y, top)));
            chain(&mut frame, &nodes);
            for (crossing, on, clamp) in [
                (crossings[side], nodes[4], self.clamps[side]),
                (crossings[2 + side], nodes[1], self.clamps[2 + side]),
            ] {
                frame.joints.push(Joint { a: crossing, b: on, kind: kind(clamp) });
            }
            // One leg is a member, the other an ideal rigid link.
            frame.members.push(Member { i: nodes[2], j: mast, beam: LEG, up: DVec3::X });
            frame.joints.push(Joint { a: mast, b: nodes[3], kind: JointKind::Rigid });
        }
        for (index, (strap, end)) in self.straps.iter().zip(&ends).enumerate() {
            frame.strands.push(strand(&frame, *end, *strap, index % 2 == 1));
        }
        let line = DVec3::from_array(self.line);
        let load = Load {
            specific_force: DVec3::from_array(self.specific_force),
            nodal: vec![(mast, Wrench::from_array(self.wrench))],
            line: (0..frame.members.len()).map(|i| (i, line)).collect(),
            pretension: 1.0,
            ..Load::default()
        };
        let masses = [(mast, 9.0, DVec3::new(0.02, -0.05, 0.3)), (ends[0], 1.6, DVec3::ZERO)];
        for (node, mass_kg, arm) in masses {
            let at = frame.nodes[node] + arm;
            frame.masses.push(mechanics::frame::PointMass { node, mass_kg, at });
        }
        Rig { frame, mast, load }
    }
}

fn chain(frame: &mut Frame, nodes: &[usize]) {
    for w in nodes.windows(2) {
        frame.members.push(Member { i: w[0], j: w[1], beam: TUBE, up: DVec3::Z });
    }
}

/// A cup under a tube: a rigid stack along the panel's normal, springs at the panel.
fn stand(frame: &mut Frame, on: usize, cup: &CupPlan) {
    let axes = axes_on(DVec3::new(cup.lean[0], cup.lean[1], 1.0));
    let panel = frame.node(frame.nodes[on] - axes[2] * STACK_M);
    frame.joints.push(Joint { a: on, b: panel, kind: JointKind::Rigid });
    let [shear, axial, rock] = cup.k;
    let rocking = if cup.pivots { 0.0 } else { rock };
    frame.supports.push(Support { node: panel, axes, k: [shear, shear, axial, rocking, rocking, rock] });
}

/// Rigid, or free to turn about the vertical offset between the tubes.
pub fn kind(clamp: ClampPlan) -> JointKind {
    match clamp {
        ClampPlan::Rigid => JointKind::Rigid,
        ClampPlan::Swivel => JointKind::Release {
            axes: [DVec3::X, DVec3::Y, DVec3::Z],
            free: Freedom { turn: [false, false, true], ..Freedom::default() },
        },
    }
}

fn strand(frame: &Frame, end: usize, [k_n_per_m, pretension_n]: [f64; 2], over_edge: bool) -> Strand {
    let p = frame.nodes[end];
    let out = p.y.signum();
    let mut path = vec![StrandPoint { at: p, node: Some(end) }];
    if over_edge {
        path.push(StrandPoint { at: DVec3::new(p.x * 1.1, p.y + 0.12 * out, 0.02), node: None });
    }
    path.push(StrandPoint { at: DVec3::new(p.x * 1.2, p.y + 0.2 * out, -0.4), node: None });
    Strand { path, k_n_per_m, pretension_n }
}

/// Actions on the rig of the ground at supports and strands, moments about `about`.
pub fn ground(rig: &Frame, s: &mechanics::frame::Solution<'_>, case: usize, about: DVec3) -> Wrench {
    let mut sum = Wrench::ZERO;
    for (index, support) in rig.supports.iter().enumerate() {
        let own = s.support(case, index);
        let out =
            |o: usize| support.axes[0] * own[o] + support.axes[1] * own[o + 1] + support.axes[2] * own[o + 2];
        sum += Wrench::new(out(0), out(3)).about(rig.nodes[support.node], about);
    }
    for (index, strand) in rig.strands.iter().enumerate() {
        let tension = s.tension(case, index);
        for (p, g) in strand.path.iter().zip(strand.gradient()) {
            if p.node.is_some() {
                sum += Wrench::of_force_at(-g * tension, p.at - about);
            }
        }
    }
    sum
}
