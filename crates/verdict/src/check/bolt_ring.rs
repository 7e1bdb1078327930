//! A ring of like bolts: force on the worst one, and how near it is to proof load, opening and slip.

use super::at_most::{Measure, above_zero, length_from_above};
use crate::finding::{HandCheck, Need, Step};
use glam::DVec2;
use mechanics::bolt::joint::{BoltForce, Fastener, SHEAR_SHARE};
use mechanics::bolt::thread::{Class, Thread};
use quantity::Kind;
use rig::model::Bolts;

/// Share of an outside pull that a bolt in a steel or aluminium joint takes; the joint gives up the rest of its clamping.
/// Shigley's worked joints have 0.2 to 0.4 \[from memory\].
const BOLT_SHARE: f64 = 0.25;

/// How many, as a number to reckon with; the reader allows at most 64.
fn count(bolts: &Bolts) -> f64 {
    f64::from(u8::try_from(bolts.count).unwrap_or(u8::MAX))
}

/// Tension in the worst bolt per N m of bending on the ring.
///
/// Three or more on a circle `D`: `4 M / (n D)`, in any direction. Two: `M / D`, where the foot's plate bears at least half
/// the spacing away from the line of the bolts.
fn tension_per_moment(bolts: &Bolts) -> f64 {
    let n = count(bolts);
    if bolts.count >= 3 { 4.0 / (n * bolts.circle) } else { 1.0 / bolts.circle }
}

/// Proof load, preload, face friction, 1/n, tension per moment, shear per turning moment, two bolts only, torque; or what is
/// missing. `(key, place, of)`: the key in the file, and in words where the bolts sit and of what.
pub(super) fn numbers(bolts: Option<&Bolts>, (key, place, of): (&str, &str, &str)) -> Result<[f64; 8], Need> {
    let need = |what: String, settle: &str| Need { what, key: key.to_owned(), settle: settle.to_owned() };
    let bolts = bolts.ok_or_else(|| {
        need(
            format!("bolts {place} {of}"),
            "read size and class off the head, count them, measure the circle",
        )
    })?;
    if bolts.count < 2 || bolts.circle <= 0.0 {
        return Err(need(
            format!("a ring of bolts on {of}: one bolt holds no moment"),
            "use two or more bolts and state the circle they stand on",
        ));
    }
    let size: Option<u8> = bolts.thread.trim_start_matches(['M', 'm']).trim().parse().ok();
    let thread = size.and_then(Thread::coarse).ok_or_else(|| {
        need(format!("thread {} of {of}", bolts.thread), "state a coarse metric thread from M4 to M16")
    })?;
    let class = match bolts.class.as_str() {
        "8.8" => Class::C8_8,
        "10.9" => Class::C10_9,
        "12.9" => Class::C12_9,
        other => {
            return Err(need(format!("bolt class {other} of {of}"), "read 8.8, 10.9 or 12.9 off the head"));
        }
    };
    let mu = bolts.thread_friction.value;
    let preload = thread.preload_from_torque_n(bolts.torque.value, mu, mu).unwrap_or(0.0);
    let proof = thread.proof_load_n(class);
    let preload = preload.min(proof * 0.999);
    // A joint that cannot be computed with has no number: it never holds.
    let joint = Fastener::new(proof, preload, BOLT_SHARE, bolts.face_friction.value);
    let proof = if joint.is_ok() { proof } else { f64::NAN };
    let n = count(bolts);
    let two = if bolts.count == 2 { 1.0 } else { 0.0 };
    Ok([
        proof,
        preload,
        bolts.face_friction.value,
        1.0 / n,
        tension_per_moment(bolts),
        2.0 / (n * bolts.circle),
        two,
        bolts.torque.value,
    ])
}

/// Force on the worst bolt, tension never under 0, shear along x: `r` is `Fx Fy Fz Mx My Mz` on what the ring is bolted to, about the ring's middle, z square to it and
/// away from what pulls: a force down z (`Fz` under 0) pulls on the bolts.
#[inline(always)]
pub(super) fn force(data: &[f64; 8], r: &[f64; 6]) -> BoltForce {
    let [_, _, _, per_n, per_m, per_turn, two, _] = *data;
    let moment = if two > 0.5 { r[3].abs() + r[4].abs() } else { (r[3] * r[3] + r[4] * r[4]).sqrt() };
    let tension_n = (-r[2]).max(0.0) * per_n + moment * per_m;
    BoltForce {
        tension_n,
        shear_n: DVec2::new((r[0] * r[0] + r[1] * r[1]).sqrt() * per_n + r[5].abs() * per_turn, 0.0),
    }
}

/// Uses of proof load, of opening and of slip: one over the margins of [`Fastener`], without a branch so that states can be
/// taken side by side. Infinite where a number is lost.
#[inline(always)]
pub(super) fn uses(data: &[f64; 8], f: BoltForce) -> [f64; 3] {
    let [proof, preload, mu, ..] = *data;
    let (t, v) = (f.tension_n / proof, f.shear_n.x / (SHEAR_SHARE * proof));
    let lost = (1.0 - BOLT_SHARE) * f.tension_n;
    let opening = if lost > 0.0 { lost / preload } else { 0.0 };
    let slip = super::utilisation(f.shear_n.x / mu + lost, preload);
    // 1/k of the least k > 0 with (a + k b)² + (k v)² = 1.
    let (a, b) = (preload / proof, BOLT_SHARE * t);
    let spare = 1.0 - a * a;
    let closed = (a * b + (a * b * a * b + (b * b + v * v) * spare).sqrt()) / spare;
    let open = (t * t + v * v).sqrt();
    let strength = if closed >= opening { closed } else { open };
    let each = |u: f64| if (closed + open + slip).is_nan() { f64::INFINITY } else { u };
    [each(strength), each(opening), each(slip)]
}

/// The largest of [`uses`].
#[inline(always)]
pub(super) fn largest(data: &[f64; 8], f: BoltForce) -> f64 {
    let [a, b, c] = uses(data, f);
    a.max(b).max(c)
}

/// The largest of [`uses`] from above, and what rounding may put on the pull, the moment and the shear.
pub(super) struct Quick {
    data: [f64; 8],
    wide: [f64; 3],
}

impl Quick {
    /// `None` for a joint without a preload that it could lose, or wound past its proof load.
    pub(super) fn of(data: &[f64; 8], wide: &[f64; 6]) -> Option<Self> {
        let [proof, preload, mu, _, _, per_turn, ..] = *data;
        let [x, y, pull, mx, my, turn] = *wide;
        let moment = if data[6] > 0.5 { mx + my } else { mx.hypot(my) };
        let wide = [pull, moment, x.hypot(y) * data[3] + turn * per_turn];
        (preload > 0.0 && preload < proof && mu > 0.0).then_some(Self { data: *data, wide })
    }
}

impl Measure for Quick {
    const ROWS: [bool; 6] = [true; 6];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [x, y, normal, mx, my, turn]: [S::f64s; 6]) -> S::f64s {
        let [proof, preload, mu, per_n, per_m, per_turn, two, _] = self.data;
        let [pull, rock, across] = self.wide;
        let put = |v: f64| simd.splat_f64s(v);
        let by = |v: S::f64s, factor: f64, to: S::f64s| simd.mul_add_e_f64s(v, put(factor), to);
        let rocked = if two > 0.5 {
            simd.add_f64s(simd.abs_f64s(mx), simd.abs_f64s(my))
        } else {
            length_from_above(simd, mx, my)
        };
        let pulled = above_zero(simd, simd.sub_f64s(put(pull), normal));
        let tension = by(simd.add_f64s(rocked, put(rock)), per_m, simd.mul_f64s(pulled, put(per_n)));
        let shear = by(length_from_above(simd, x, y), per_n, by(simd.abs_f64s(turn), per_turn, put(across)));
        // As in `uses`, quotients by what is the same in all states taken first.
        let t = simd.mul_f64s(tension, put(1.0 / proof));
        let v = simd.mul_f64s(shear, put(1.0 / (SHEAR_SHARE * proof)));
        let opening = simd.mul_f64s(tension, put((1.0 - BOLT_SHARE) / preload));
        let slip = by(shear, 1.0 / (mu * preload), opening);
        let spare = 1.0 - (preload / proof) * (preload / proof);
        let b = simd.mul_f64s(t, put(BOLT_SHARE));
        let ab = simd.mul_f64s(b, put(preload / proof));
        let both = simd.mul_add_e_f64s(b, b, simd.mul_f64s(v, v));
        let root = simd.sqrt_f64s(by(both, spare, simd.mul_f64s(ab, ab)));
        let closed = simd.mul_f64s(simd.add_f64s(ab, root), put(1.0 / spare));
        // A joint that opens before it reaches proof slips before that too, so how it reaches proof when open is never the most.
        simd.max_f64s(closed, slip)
    }
}

/// The uses by hand.
pub(super) fn hand(d: &[f64; 8], r: &[f64; 6]) -> HandCheck {
    let f = force(d, r);
    let [strength, opening, slip] = uses(d, f);
    HandCheck {
        formula: "proof: sqrt((Fi + C T)² + 3 V²) = Fp;  opening: (1 - C) T = Fi;  slip: V/mu + (1 - C) T = Fi",
        source: "Shigley, bolted joints; preload after VDI 2230; mechanics.md §8.4",
        steps: vec![
            Step::new("M", "bending on the ring of bolts", r[3].hypot(r[4]), Kind::Moment),
            Step::new("T", "tension in the worst bolt", f.tension_n, Kind::Force),
            Step::new("V", "shear on the worst bolt", f.shear_n.length(), Kind::Force),
            Step::new("tq", "tightening torque", d[7], Kind::Moment),
            Step::new("Fi", "preload from that torque", d[1], Kind::Force),
            Step::new("Fp", "proof load", d[0], Kind::Force),
            Step::new("C", "share of an outside pull that the bolt takes", BOLT_SHARE, Kind::Number),
            Step::new("mu", "friction between the faces", d[2], Kind::Number),
            Step::new("proof", "share of the action that reaches proof", strength, Kind::Number),
            Step::new("opening", "share that opens the joint", opening, Kind::Number),
            Step::new("slip", "share that slips the joint", slip, Kind::Number),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn uses_are_one_over_the_margins_of_the_fastener() {
        let mut opened = 0;
        for preload in [0.0, 2e3, 15e3] {
            let data = [20e3, preload, 0.2, 0.25, 8.0, 6.0, 0.0, 20.0];
            let joint = Fastener::new(20e3, preload, BOLT_SHARE, 0.2).unwrap();
            for k in 0..400_u32 {
                let turn = |by: u32, size: f64| size * f64::from(k * by % 401) / 401.0 - size / 3.0;
                let r = [
                    turn(37, 4e3),
                    turn(91, 5e3),
                    turn(53, 6e4),
                    turn(11, 900.0),
                    turn(7, 700.0),
                    turn(3, 200.0),
                ];
                let f = force(&data, &r);
                let [strength, opening, slip] = uses(&data, f);
                // Rounding of a root and some products.
                let near = |a: f64, b: f64| a.total_cmp(&b).is_eq() || (a / b - 1.0).abs() < 1e-12;
                assert!(near(1.0 / strength, joint.strength_margin(f).unwrap()), "{strength} of {f:?}");
                assert!(near(1.0 / opening, joint.separation(f.tension_n).unwrap()));
                let c = joint.slip(f).unwrap();
                assert!(near(slip, crate::check::utilisation(c.demand_n, c.capacity_n)));
                opened += u32::from(opening > strength);
            }
        }
        assert!(opened > 10, "open joints are among them: {opened}");
        let data = [20e3, 15e3, 0.2, 0.25, 8.0, 6.0, 0.0, 20.0];
        for k in [0, 1, 3, 4, 5] {
            let mut r = [1.0; 6];
            r[k] = f64::NAN;
            assert!(uses(&data, force(&data, &r)).iter().all(|u| u.is_infinite()));
        }
        let none = uses(&data, force(&data, &[0.0; 6]));
        assert!(none.iter().all(|u| u.abs() < f64::MIN_POSITIVE));
    }

    #[test]
    fn in_a_hurry_a_joint_is_used_no_less_than_it_is() {
        let mut next = crate::testing::scattered();
        let (mut opened, mut slipped) = (0, 0);
        for turn in 0..4000 {
            let two = if turn % 3 == 0 { 1.0 } else { 0.0 };
            let preload = [300.0, 4e3, 15e3, 19e3][turn % 4];
            let data = [20e3, preload, [0.1, 0.4, 30.0][turn % 3], 0.25, 8.0, 6.0, two, 20.0];
            let r = [2e3, 2e3, 2e4, 900.0, 700.0, 200.0].map(|size: f64| size * next());
            let wide = r.map(|r| 1e-3 * r.abs() * next().abs());
            let quick = Quick::of(&data, &wide).unwrap().of(pulp::Scalar, r);
            let worse = core::array::from_fn(|k| r[k] + wide[k] * if k == 2 { -1.0 } else { r[k].signum() });
            let [strength, opening, slip] = uses(&data, force(&data, &worse));
            let used = strength.max(opening).max(slip);
            // Polygons of sixteen corners, one inside the other.
            assert!(used <= quick * (1.0 + 1e-12) && quick <= 1.05 * used + 1e-3, "{quick} for {used}");
            // After it opened a joint may reach proof later than it slips, or before.
            opened += usize::from(opening > strength);
            slipped += usize::from(slip > strength);
        }
        assert!(opened > 100 && slipped > 100, "{opened} {slipped}");
        let none = [20e3, 0.0, 0.2, 0.25, 8.0, 6.0, 0.0, 20.0];
        assert!(Quick::of(&none, &[0.0; 6]).is_none());
    }

    /// A torque past the proof load leaves nothing to carry with, and still a number.
    #[test]
    fn a_bolt_wound_past_its_proof_load_carries_hardly_anything() {
        let stated = |value: f64, kind: Kind| rig::Fact::stated(value, kind, "leg.A.bolts");
        let mut bolts = Bolts {
            thread: "M10".to_owned(),
            class: "8.8".to_owned(),
            count: 2,
            circle: 0.06,
            torque: stated(40.0, Kind::Moment),
            thread_friction: stated(0.14, Kind::Number),
            face_friction: stated(0.2, Kind::Number),
        };
        let pull = |bolts: &Bolts| {
            let data = numbers(Some(bolts), ("leg.A.bolts", "at the top of", "leg A")).unwrap();
            let tension_n = 0.01 * data[0];
            (data, uses(&data, BoltForce { tension_n, shear_n: DVec2::ZERO })[0])
        };
        let (_, sound) = pull(&bolts);
        bolts.torque.value *= 100.0;
        let (data, wound) = pull(&bolts);
        assert!(data[0].is_finite() && data[1] < data[0], "{data:?}");
        assert!(sound < 0.1 && wound > 1.0 && wound.is_finite(), "{sound} {wound}");
    }
}
