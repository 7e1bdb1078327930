//! A small rig built by hand for unit tests: four cups on a flat roof, two tubes across, two along, a platform on four
//! rigid legs, an arm. Round numbers, so that answers can be checked on paper.

use crate::context::Context;
use crate::structure::BuildOptions;
use glam::DVec3;
use quantity::Kind;
use rig::fact::Fact;
use rig::isolator::Unit;
use rig::model::{
    Arm, ArmUse, BoomSection, Clamp, ClampKind, Counterweight, Cup, Drag, Drives, Hold, Isolator, Leg,
    Manoeuvre, Material, Outline, Panel, PathPoint, Payload, Platform, Ride, Rig, Section, Site, Strap,
    StrapKind, Tube, TubeMaterial, Vehicle, Vertical,
};
use rig::policy::{Policy, RetentionActions};

/// A stated number.
pub(crate) fn fact(value: f64) -> Fact {
    Fact::stated(value, Kind::Number, "test")
}

/// Aluminium tube.
pub(crate) fn tube_section(outer: f64, wall: f64) -> Section {
    Section {
        part: "tube".to_owned(),
        outer,
        wall,
        material: TubeMaterial {
            name: "EN AW-6082 T6".to_owned(),
            e_pa: 70e9,
            g_pa: 70e9 / 2.66,
            density: 2700.0,
            yield_pa: fact(250e6),
        },
        drag: fact(1.2),
    }
}

fn cup(tag: &str, a: f64, b: f64, tube: usize) -> Cup {
    let at = DVec3::new(-2.0 - a, -b, 1.45);
    Cup {
        tag: tag.to_owned(),
        part: "cup".to_owned(),
        panel: 0,
        place: (a, b),
        at,
        normal: DVec3::Z,
        along: DVec3::X,
        holds: Hold::Tube { tube, s: 0.56 + b },
        head: at + DVec3::Z * 0.15,
        height: 0.15,
        height_range: (0.12, 0.2),
        locked: true,
        outer_radius: 0.125,
        seal_radius: 0.11,
        mass: fact(2.0),
        vacuum: Some(fact(80e3)),
        loss: fact(5e3),
        axial: fact(400e3),
        shear: fact(300e3),
        rocking: fact(2e3),
        torsional: fact(1e3),
        pull_rating: Some(fact(1000.0)),
        shear_rating: Some(fact(500.0)),
        lip_follow: fact(6e-3),
        stem: None,
    }
}

fn tube(tag: &str, a: DVec3, b: DVec3) -> Tube {
    Tube { tag: tag.to_owned(), section: tube_section(0.0483, 0.004), a, b }
}

fn clamp(tag: &str, first: (usize, f64), second: (usize, f64)) -> Clamp {
    Clamp {
        tag: tag.to_owned(),
        part: "right-angle clamp".to_owned(),
        kind: ClampKind::RightAngle,
        first,
        second,
        mass: fact(1.0),
        slip: Some(fact(5e3)),
        twist: Some(fact(100.0)),
        rated_torque: 50.0,
        torque: fact(50.0),
    }
}

fn leg(tag: &str, foot: (usize, f64), top: DVec3) -> Leg {
    Leg {
        tag: tag.to_owned(),
        foot,
        platform: 0,
        top,
        mass: fact(0.5),
        section: None,
        slip: Some(fact(5e3)),
        twist: Some(fact(100.0)),
        bolts: None,
    }
}

/// A manoeuvre on a smooth level road.
pub(crate) fn manoeuvre(tag: &str, forward: f64, left: f64, arm: ArmUse) -> Manoeuvre {
    Manoeuvre {
        tag: tag.to_owned(),
        forward: fact(forward),
        left: fact(left),
        vertical: Vertical::Range(fact(0.0)),
        speed: fact(10.0),
        yaw_rate: None,
        grade: 0.0,
        bank: 0.0,
        gust: false,
        arm,
    }
}

/// A boom section, weighed at 4 kg/m.
pub(crate) fn boom_section(tag: &str, from: f64, to: f64) -> BoomSection {
    BoomSection {
        tag: tag.to_owned(),
        span: (from, to),
        mass: fact(4.0 * (to - from).abs()),
        diameter: 0.08,
        drag: fact(1.2),
        section: Some(tube_section(0.08, 0.003)),
        bolts: None,
    }
}

fn drag(x: f64, y: f64, z: f64) -> Drag {
    Drag { areas: DVec3::new(y * z, x * z, x * y), coefficient: fact(1.2) }
}

/// An arm of 2 m with 6 kg of payload, balanced when level: `6 x 2 + 8 x 1 - 2.4 x 0.3 = 19.28 kg m`.
pub(crate) fn arm() -> Arm {
    Arm {
        platform: 0,
        base: DVec3::new(-2.0, 0.0, 1.75),
        pivot_height: 0.5,
        base_mass: (fact(5.0), 0.1),
        head_mass: (fact(10.0), 0.45),
        mast_diameter: 0.09,
        sections: vec![boom_section("front", 0.0, 2.0), boom_section("tail", 0.0, -0.6)],
        counterweight: Counterweight {
            mass: fact(19.28 / 0.6),
            behind: fact(0.6),
            under: 0.0,
            drag: Some(drag(0.1, 0.2, 0.2)),
            plates: vec![5.0, 2.0, 1.0],
            fitted: Vec::new(),
            slide: None,
        },
        levelled: true,
        isolator: Isolator { mass: fact(0.0), frequency: Some(fact(2.0)), unit: Unit::default() },
        payload: Payload {
            mass: fact(6.0),
            centre: DVec3::new(0.0, 0.0, -0.2),
            drag: Some(drag(0.3, 0.25, 0.3)),
        },
        drives: Drives {
            pan_rate: fact(1.0),
            pan_acceleration: fact(1.0),
            pan_stop: fact(3.0),
            pan_torque: Some(fact(120.0)),
            tilt_rate: fact(0.5),
            tilt_acceleration: fact(0.7),
            tilt_stop: fact(2.0),
            tilt_torque: Some(fact(90.0)),
        },
        elevation: (-5.0_f64.to_radians(), 35.0_f64.to_radians()),
        pan: (-core::f64::consts::PI, core::f64::consts::PI),
        parked: (0.0, 0.0),
        braces: Vec::new(),
        sag_limit: None,
    }
}

fn vehicle() -> Vehicle {
    Vehicle {
        like: None,
        mass: fact(1500.0),
        front_axle: fact(825.0),
        wheelbase: fact(2.7),
        track_front: fact(1.5),
        track_rear: fact(1.5),
        centre_height: fact(0.55),
        roof_rating: Some(fact(150.0)),
        gross_limit: Some(fact(2000.0)),
        front_axle_limit: Some(fact(1100.0)),
        rear_axle_limit: Some(fact(1100.0)),
        datum: DVec3::new(-1.05, 0.0, 1.43),
        outline: Outline {
            length: fact(4.6),
            width: fact(1.8),
            height: fact(1.5),
            front_overhang: fact(0.9),
        },
        ride: Ride {
            sprung_corner: fact(350.0),
            unsprung_corner: fact(40.0),
            spring: fact(25e3),
            damper: fact(2e3),
            tyre: fact(200e3),
            roll_stiffness: fact(60e3),
            roll_axis_height: fact(0.15),
        },
        aboard: Vec::new(),
    }
}

fn roof() -> Panel {
    Panel {
        tag: "roof".to_owned(),
        centre: DVec3::new(-2.0, 0.0, 1.45),
        ea: -DVec3::X,
        eb: -DVec3::Y,
        normal: DVec3::Z,
        size: (1.9, 1.14),
        crown: (fact(f64::INFINITY), fact(f64::INFINITY)),
        material: Material::Steel,
        finish: "clean paint".to_owned(),
        wet: false,
        friction: fact(0.5),
        other_friction: Some(fact(0.2)),
        stiffness: fact(100e3),
        rocking: fact(1e3),
        pull_limit: Some(fact(900.0)),
        push_limit: Some(fact(1500.0)),
        is_roof: true,
        keep_outs: Vec::new(),
    }
}

fn policy() -> Policy {
    Policy {
        factors: Vec::new(),
        retention: RetentionActions {
            forward: fact(9.81),
            rearward: fact(4.9),
            sideways: fact(6.9),
            upward: fact(0.0),
        },
        peak_factor: fact(3.0),
        sway_limit: None,
        keep_clear: fact(0.02),
        headroom: fact(0.3),
        pump_ultimate: fact(10e3),
        rounds_s: 3600.0,
        gauge_pa: 1000.0,
    }
}

/// The whole rig: 8 kg of cups, four tubes, 4 kg of clamps, 2 kg of legs, a platform of 6 kg, the arm.
pub(crate) fn rig() -> Rig {
    let z = 1.6;
    let lie = z + 0.0483;
    let tubes = vec![
        tube("TF", DVec3::new(-1.5, 0.56, z), DVec3::new(-1.5, -0.56, z)),
        tube("TR", DVec3::new(-2.5, 0.56, z), DVec3::new(-2.5, -0.56, z)),
        tube("LL", DVec3::new(-1.4, 0.18, lie), DVec3::new(-2.6, 0.18, lie)),
        tube("LR", DVec3::new(-1.4, -0.18, lie), DVec3::new(-2.6, -0.18, lie)),
    ];
    let top = |x: f64, y: f64| DVec3::new(x, y, 1.738);
    Rig {
        name: "test".to_owned(),
        note: String::new(),
        site: Site {
            altitude: fact(0.0),
            temperature: fact(288.15),
            gust: fact(8.0),
            highest: None,
            hottest: None,
            over_roof: fact(1.0),
            road: 'B',
            clearance: None,
            overhead_line: None,
        },
        vehicle: vehicle(),
        panels: vec![roof()],
        cups: vec![
            cup("FL", -0.5, -0.43, 0),
            cup("FR", -0.5, 0.43, 0),
            cup("RL", 0.5, -0.43, 1),
            cup("RR", 0.5, 0.43, 1),
        ],
        tubes,
        clamps: vec![
            clamp("K1", (0, 0.38), (2, 0.1)),
            clamp("K2", (0, 0.74), (3, 0.1)),
            clamp("K3", (1, 0.38), (2, 1.1)),
            clamp("K4", (1, 0.74), (3, 1.1)),
        ],
        platforms: vec![Platform {
            tag: "base".to_owned(),
            at: DVec3::new(-2.0, 0.0, 1.75),
            along: DVec3::X,
            normal: DVec3::Z,
            size: DVec3::new(0.42, 0.42, 0.012),
            mass: fact(6.0),
            drag: fact(1.2),
        }],
        legs: vec![
            leg("1", (2, 0.44), top(-1.84, 0.18)),
            leg("2", (3, 0.44), top(-1.84, -0.18)),
            leg("3", (2, 0.76), top(-2.16, 0.18)),
            leg("4", (3, 0.76), top(-2.16, -0.18)),
        ],
        straps: vec![Strap {
            tag: "S".to_owned(),
            part: "strap".to_owned(),
            kind: StrapKind::Strap,
            capacity: fact(10e3),
            stretch: fact(0.05),
            pretension: fact(400.0),
            mass: fact(1.0),
            path: vec![
                PathPoint { at: DVec3::new(-1.5, 0.54, 1.6), on: Hold::Tube { tube: 0, s: 0.02 } },
                PathPoint { at: DVec3::new(-1.5, 0.64, 1.37), on: Hold::Body },
                PathPoint { at: DVec3::new(-1.5, -0.64, 1.37), on: Hold::Body },
                PathPoint { at: DVec3::new(-1.5, -0.54, 1.6), on: Hold::Tube { tube: 0, s: 1.1 } },
            ],
        }],
        items: Vec::new(),
        arm: Some(arm()),
        power: None,
        camera: None,
        manoeuvres: vec![
            manoeuvre("steady", 0.0, 0.0, ArmUse::Live),
            manoeuvre("brake", -8.0, 0.0, ArmUse::Still),
            manoeuvre("bend", 0.0, 3.5, ArmUse::Live),
        ],
        policy: policy(),
        house: rig::House::default(),
    }
}

/// Its context, for rigs that can be computed with.
pub(crate) fn context(rig: &Rig) -> Context<'_> {
    Context::new(rig, BuildOptions::default()).unwrap()
}

/// Numbers from -1 to 1 without a pattern.
pub(crate) fn scattered() -> impl FnMut() -> f64 {
    let mut seed = 11_u64;
    move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        f64::from(u32::try_from(seed >> 32).unwrap()) / f64::from(1_u32 << 31) - 1.0
    }
}
