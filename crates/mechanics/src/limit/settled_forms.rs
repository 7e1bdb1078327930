//! Contact answers that can be worked out on paper.

use super::*;
use crate::frame::{Frame, Joint, JointKind, Load, Strand, StrandPoint, Support as Spring};
use crate::wrench::Wrench;
use glam::DVec3;

/// Solver tolerance of 1e-10 on forces of about 1e3 N, through levers of ordinary proportion.
const FORCE_TOL_N: f64 = 1e-3;
const AXIAL: f64 = 400e3;
const SHEAR: f64 = 250e3;
const CORE: f64 = 0.055;
const TORSION: f64 = 0.11;

/// A rigid plate through its cups' contacts, all facing up; a free node 0 at the origin takes the load.
pub(super) struct Plate {
    pub(super) frame: Frame,
    pub(super) cups: Vec<Option<Cup>>,
    pub(super) straps: Vec<Option<f64>>,
}

impl Plate {
    pub(super) fn new(cups: &[(DVec3, f64)], mu: f64, rocking: [f64; 2], torsional: f64) -> Self {
        let mut frame = Frame::default();
        frame.node(DVec3::ZERO);
        for (at, _) in cups {
            let node = frame.node(*at);
            frame.joints.push(Joint { a: 0, b: node, kind: JointKind::Rigid });
            frame.supports.push(Spring {
                node,
                axes: [DVec3::X, DVec3::Y, DVec3::Z],
                k: [SHEAR, SHEAR, AXIAL, rocking[0], rocking[1], torsional],
            });
        }
        let friction = Friction::new(mu, CORE, TORSION).unwrap();
        let cups = cups.iter().map(|(_, n)| Some(Cup { friction, vacuum_n: *n })).collect();
        Self { frame, cups, straps: Vec::new() }
    }

    /// A strap from a place on the plate to one on the ground.
    pub(super) fn strap(&mut self, from: DVec3, to: DVec3, k: f64, fitted: f64, capacity: f64) {
        let path = vec![StrandPoint { at: from, node: Some(0) }, StrandPoint { at: to, node: None }];
        self.frame.strands.push(Strand { path, k_n_per_m: k, pretension_n: fitted });
        self.straps.push(Some(capacity));
    }

    pub(super) fn linear(&self, force: DVec3, moment: DVec3) -> Vec<f64> {
        let nodal = vec![(0, Wrench::new(force, moment))];
        let load = Load { nodal, pretension: 1.0, ..Load::default() };
        let factored = self.frame.factor(&[]).unwrap();
        let s = factored.solve(&[load]).unwrap();
        let mut out: Vec<f64> = (0..self.cups.len()).flat_map(|c| s.support(0, c)).collect();
        out.extend((0..self.straps.len()).map(|t| s.tension(0, t)));
        out
    }

    pub(super) fn settling(&self) -> Settling {
        let influence = Influence::of(&self.frame, &[]).unwrap();
        Settling::new(&influence, self.cups.clone(), self.straps.clone()).unwrap()
    }

    fn held(&self, force: DVec3, moment: DVec3) -> Held {
        match self.settling().settle(&self.linear(force, moment)).unwrap() {
            Settled::Held(h) => h,
            other => panic!("{other:?}"),
        }
    }

    fn lets_go(&self, force: DVec3, moment: DVec3) -> bool {
        match self.settling().settle(&self.linear(force, moment)).unwrap() {
            Settled::LetsGo => true,
            Settled::Held(_) => false,
            Settled::NotSolved { status } => panic!("{status}"),
        }
    }
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= FORCE_TOL_N, "{a} is not {b}");
}

fn cup(h: &Held, c: usize) -> CupState {
    h.cups[c].unwrap()
}

/// Three cups in a row, 0.5 m apart, that do not turn the plate back about y.
fn row(vacuum: [f64; 3]) -> Plate {
    let at = [-0.5, 0.0, 0.5].map(|x| DVec3::X * x);
    let cups: Vec<_> = at.into_iter().zip(vacuum).collect();
    Plate::new(&cups, 0.5, [2e3, 0.0], 0.0)
}

#[test]
fn the_first_of_three_cups_lifts_and_the_others_take_the_rest() {
    // 1500 N up at x = 0.4 m. Linear: 500 + 1500 0.4 x / 0.5 = -100, 500, 1100 N. The last holds 900 N and gives; the moment
    // about the middle then asks -0.5 T1 + 0.5 900 = 600: T1 = -300 N, T2 = 1500 - 900 + 300 = 900 N.
    let plate = row([2000.0, 2000.0, 900.0]);
    let (force, moment) = (DVec3::Z * 1500.0, DVec3::Y * (-1500.0 * 0.4));
    let linear = plate.linear(force, moment);
    near(-linear[14], 1100.0);
    let h = plate.held(force, moment);
    near(-cup(&h, 0).forces[2], -300.0);
    near(-cup(&h, 1).forces[2], 900.0);
    near(-cup(&h, 2).forces[2], 900.0);
    assert!(cup(&h, 2).lifts && !cup(&h, 1).lifts && !cup(&h, 0).lifts && !cup(&h, 2).slides);
    // The plate stays straight: d3 = 2 d2 - d1 = (1800 + 300) / k, of which the last cup's spring takes 900 / k.
    near(cup(&h, 2).movement[2] * AXIAL, 1200.0);
    assert!(cup(&h, 1).movement[2].abs() * AXIAL < FORCE_TOL_N);
    near(cup(&h, 0).utilisation * 2300.0, 0.0);
    near(cup(&h, 1).utilisation * 2000.0, 900.0);
}

#[test]
fn with_two_cups_gone_the_row_lets_go() {
    // The last holds 500 N only: T1 = -700, T2 = 1700 N. With 1690 N in the middle cup there is no way.
    let (force, moment) = (DVec3::Z * 1500.0, DVec3::Y * (-1500.0 * 0.4));
    assert!(row([2000.0, 1690.0, 500.0]).lets_go(force, moment));
    assert!(!row([2000.0, 1710.0, 500.0]).lets_go(force, moment));
}

#[test]
fn one_corner_of_four_lifts() {
    // A square's corners share a pull by its place; the one self-stress is (+ - + -). Cup 2 gives what is over its vacuum.
    let at = [(0.4, 0.4), (-0.4, 0.4), (-0.4, -0.4), (0.4, -0.4)].map(|(x, y)| DVec3::new(x, y, 0.0));
    let vacuum = [3000.0, 3000.0, 700.0, 3000.0];
    let cups: Vec<_> = at.into_iter().zip(vacuum).collect();
    let plate = Plate::new(&cups, 0.5, [0.0, 0.0], 0.0);
    // 2000 N at (-0.2, -0.1): pulls 500 (1 + x_i (-0.2) / 0.16 + y_i (-0.1) / 0.16).
    let linear = [125.0, 625.0, 875.0, 375.0];
    let (force, moment) = (DVec3::Z * 2000.0, DVec3::new(-200.0, 400.0, 0.0));
    let before = plate.linear(force, moment);
    let h = plate.held(force, moment);
    for (i, (pull, sign)) in linear.into_iter().zip([-1.0, 1.0, -1.0, 1.0]).enumerate() {
        near(-before[6 * i + 2], pull);
        near(-cup(&h, i).forces[2], pull + sign * 175.0);
        assert_eq!(cup(&h, i).lifts, i == 2);
    }
}

#[test]
fn a_sliding_cup_keeps_what_friction_gives_and_lifts_nothing() {
    // 1200 N along, in the plane of the contacts: 600 N each. The first has 800 N of vacuum and a pull of 100 N as the other
    // has: 0.5 (800 - 100) = 350 N is all that it rubs with. The other takes 850 N.
    let cups = [(DVec3::Y * -0.3, 800.0), (DVec3::Y * 0.3, 4000.0)];
    let plate = Plate::new(&cups, 0.5, [2e3, 2e3], 1e9);
    let force = DVec3::new(1200.0, 0.0, 200.0);
    near(plate.linear(force, DVec3::ZERO)[0], -600.0);
    let h = plate.held(force, DVec3::ZERO);
    assert!(h.level);
    let (a, b) = (cup(&h, 0), cup(&h, 1));
    // 1e9 N m/rad against turning keeps both cups in step but for 1e-3 of the forces: the couple goes to the torsion springs.
    assert!((a.forces[0] + 350.0).abs() < 0.5, "{}", a.forces[0]);
    assert!((b.forces[0] + 850.0).abs() < 0.5);
    // Sliding is level: it does not push the cup off its panel (mu times the way would, with some 100 N).
    assert!((a.forces[2] + 100.0).abs() < 0.01 && (b.forces[2] + 100.0).abs() < 0.01);
    assert!(a.slides && !a.lifts && !b.slides);
    let rub = a.forces[0].hypot(a.forces[1]).hypot(a.forces[5] / TORSION);
    near(rub, 0.5 * (800.0 + a.forces[2]));
    // The way: what the other's spring gives more, against friction.
    assert!((a.movement[0] - 500.0 / SHEAR).abs() < 5e-6 && a.movement[0] * a.forces[0] < 0.0);
    assert!(a.movement[2].abs() < 1e-9);
}

#[test]
fn a_strap_goes_slack_and_the_cup_takes_all() {
    let mut plate = Plate::new(&[(DVec3::ZERO, 1000.0)], 0.5, [2e3, 2e3], 1e3);
    let k = 100e3;
    plate.strap(DVec3::ZERO, DVec3::Z * -1.0, k, 200.0, 5000.0);
    // Fitted 200 N pull the plate down, and it gives: T = 200 - k 200 / (k + ka) = 160 N. A push P takes k P / (k + ka) off.
    let h = plate.held(DVec3::ZERO, DVec3::ZERO);
    near(h.straps[0].unwrap().tension_n, 160.0);
    assert!(!h.straps[0].unwrap().slack);
    let h = plate.held(DVec3::Z * -1500.0, DVec3::ZERO);
    let strap = h.straps[0].unwrap();
    assert!(strap.slack && !strap.at_capacity);
    near(strap.tension_n, 0.0);
    near(cup(&h, 0).forces[2], 1500.0);
    // The plate is 1500 / ka down; the strap lost 200 / k of stretch.
    near((strap.loose_m - (1500.0 / AXIAL - 200.0 / k)) * k, 0.0);
}

#[test]
fn a_rig_that_slides_away_is_told_from_one_that_holds() {
    // Friction has 0.5 (1000 + 160) = 580 N. A strap straight down could be tightened until it had more, but sliding does not
    // tighten it: forces that balance 600 N exist, and no sliding leads to them.
    let mut plate = Plate::new(&[(DVec3::ZERO, 1000.0)], 0.5, [2e3, 2e3], 1e3);
    plate.strap(DVec3::ZERO, DVec3::Z * -1.0, 100e3, 200.0, 5000.0);
    let slow = plate.held(DVec3::X * 570.0, DVec3::ZERO);
    assert!(slow.level && !cup(&slow, 0).slides);
    let fast = plate.held(DVec3::X * 600.0, DVec3::ZERO);
    assert!(!fast.level && cup(&fast, 0).slides);
    assert!(fast.straps[0].unwrap().tension_n > 199.0);
    // A slanting strap catches it.
    let mut caught = Plate::new(&[(DVec3::ZERO, 1000.0)], 0.5, [2e3, 2e3], 1e3);
    caught.strap(DVec3::ZERO, DVec3::new(-1.0, 0.0, -1.0), 100e3, 200.0, 5000.0);
    let h = caught.held(DVec3::X * 900.0, DVec3::ZERO);
    assert!(h.level && cup(&h, 0).slides);
    // In balance: 900 = c T + 0.5 (1000 + c T) with c = 1 / root 2.
    near(h.straps[0].unwrap().tension_n, 400.0 / 1.5 * core::f64::consts::SQRT_2);
}

#[test]
fn a_strap_at_its_capacity_leaves_the_rest_to_the_cups() {
    let mut plate = Plate::new(&[(DVec3::ZERO, 1000.0)], 0.5, [2e3, 2e3], 1e3);
    plate.strap(DVec3::ZERO, DVec3::Z * -1.0, 400e3, 0.0, 300.0);
    let h = plate.held(DVec3::Z * 1000.0, DVec3::ZERO);
    near(h.straps[0].unwrap().tension_n, 300.0);
    assert!(h.straps[0].unwrap().at_capacity && !h.straps[0].unwrap().slack);
    near(-cup(&h, 0).forces[2], 700.0);
    assert!(!plate.lets_go(DVec3::Z * 1299.0, DVec3::ZERO) && plate.lets_go(DVec3::Z * 1301.0, DVec3::ZERO));
}

#[test]
fn a_cup_that_opens_on_one_side_rocks_about_its_core() {
    // Two cups 1 m apart, 200 N m about x: rocking 2 kr = 1e5 and the couple ka / 2 = 2e5 N m/rad share it, 33 N m a cup and
    // 133 N up and down. 33 / e = 606 N is more than the 400 + 133 N that press the first.
    let kr = 50e3;
    let cups = [(DVec3::Y * -0.5, 400.0), (DVec3::Y * 0.5, 4000.0)];
    let plate = Plate::new(&cups, 0.5, [kr, kr], 1e3);
    let moment = DVec3::X * 200.0;
    let linear = plate.linear(DVec3::ZERO, moment);
    near(linear[3], -200.0 / 6.0);
    near(linear[2], 400.0 / 3.0);
    let h = plate.held(DVec3::ZERO, moment);
    let (a, b) = (cup(&h, 0), cup(&h, 1));
    assert!(a.lifts && !b.lifts && !a.slides);
    near(a.forces[3].abs() / CORE, 400.0 + a.forces[2]);
    near(a.forces[3] + b.forces[3] + 0.5 * (b.forces[2] - a.forces[2]), -200.0);
    // Rocking lifts its middle by the core radius times the turn.
    // The turn that its spring no longer takes: 10 N m or so of the 33, over 50 kN m/rad.
    assert!(a.movement[3].abs() > 5e-5, "{}", a.movement[3]);
    assert!((a.movement[2] - CORE * a.movement[3].abs()).abs() < 1e-9);
}

#[test]
fn without_its_vacuum_a_cup_only_bears() {
    let plate = row([2000.0, 2000.0, 900.0]);
    let settling = plate.settling().without_vacuum(&[2]);
    let linear = plate.linear(DVec3::Z * 1500.0, DVec3::Y * (-1500.0 * 0.4));
    // T3 = 0 asks T1 = -1200, T2 = 2700 N of a cup with 2000 N.
    assert_eq!(settling.settle(&linear).unwrap(), Settled::LetsGo);
    let linear = plate.linear(DVec3::Z * 1000.0, DVec3::Y * (-1000.0 * 0.4));
    let Settled::Held(h) = settling.settle(&linear).unwrap() else { panic!() };
    near(-cup(&h, 0).forces[2], -800.0);
    near(-cup(&h, 1).forces[2], 1800.0);
    near(cup(&h, 2).forces[2], 0.0);
}

#[test]
fn influences_of_a_spring_beside_another() {
    // One node on ka and a strap of k: a foot that gives is felt through both in series.
    let mut plate = Plate::new(&[(DVec3::ZERO, 1000.0)], 0.5, [2e3, 2e3], 1e3);
    plate.strap(DVec3::ZERO, DVec3::Z * -1.0, 100e3, 0.0, 300.0);
    let a = Influence::of(&plate.frame, &[]).unwrap();
    let series = AXIAL * 100e3 / (AXIAL + 100e3);
    assert!((a.at(2, 2) - series).abs() < 1e-6 * series && (a.at(6, 6) - series).abs() < 1e-6 * series);
    // A lift of the foot slackens the strap; both settle alike.
    assert!((a.at(2, 6) - series).abs() < 1e-6 * series);
    assert!((0..6).filter(|i| *i != 2).all(|i| a.at(i, i).abs() < 1e-6));
    let gone = Influence::of(&plate.frame, &[crate::frame::Lost::Strand(0)]).unwrap();
    assert!(gone.at(2, 2).abs() < 1e-6 && gone.at(6, 6) == 0.0);
}

#[test]
fn bad_numbers_are_refused() {
    let plate = row([2000.0, 2000.0, 900.0]);
    let influence = Influence::of(&plate.frame, &[]).unwrap();
    let settling = plate.settling();
    assert!(settling.settle(&[0.0; 17]).is_err());
    let mut linear = vec![0.0; 18];
    linear[4] = f64::NAN;
    assert_eq!(settling.settle(&linear), Err(LimitError::NotFinite { what: "linear force" }));
    assert!(Settling::new(&influence, Vec::new(), Vec::new()).is_err());
    for bad in [-1.0, f64::NAN, f64::INFINITY] {
        let mut cups = plate.cups.clone();
        cups[1].as_mut().unwrap().vacuum_n = bad;
        assert!(Settling::new(&influence, cups, Vec::new()).is_err());
    }
    let mut cups = plate.cups.clone();
    cups[0].as_mut().unwrap().friction = Friction::new(0.5, 0.0, 0.1).unwrap();
    assert!(Settling::new(&influence, cups, Vec::new()).is_err());
    assert!(Influence::new(0, 2, vec![1.0, 0.5, 0.4, 1.0]).is_err());
    assert!(Influence::new(0, 1, vec![f64::NAN]).is_err());
    assert!(Influence::new(0, 1, vec![1.0, 2.0]).is_err());
}
