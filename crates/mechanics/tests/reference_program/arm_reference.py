"""Reference values for the arm: inverse dynamics of a pan-tilt chain on a free base, by Pinocchio.

Usage: python arm_reference.py > ../sources/arm-pinocchio/cases.json     (needs the packages `pin` and `numpy`)

Chain: free-flyer (the car, frame at the mast base) - pan about +z - tilt about -y at the pivot - tip about -y at
the boom tip. A levelled tip is driven opposite to the tilt; a fixed tip does not move. Position, velocity and
acceleration of every joint are prescribed; the recursive Newton-Euler algorithm gives the joint forces.
"""

import json

import numpy as np
import pinocchio as pin

CASES = 24
CARRIERS = ("base", "mast", "boom", "tip")


def random_body(rng, scale):
    """Mass, centre and inertia of a random cloud of eight mass points: always a possible body."""
    masses = rng.uniform(0.2, 4.0, 8)
    points = rng.uniform(-1.0, 1.0, (8, 3)) * scale + rng.uniform(-1.0, 1.0, 3) * scale
    mass = masses.sum()
    centre = masses @ points / mass
    inertia = np.zeros((3, 3))
    for m, p in zip(masses, points - centre):
        inertia += m * (p @ p * np.eye(3) - np.outer(p, p))
    return mass, centre, inertia


def case(rng, levelled):
    geometry = {
        "pivot_height_m": rng.uniform(0.3, 1.8),
        "pivot_forward_m": rng.uniform(-0.3, 0.3),
        "axis_rise_m": rng.uniform(-0.2, 0.2),
        "tip_radius_m": rng.uniform(2.0, 6.0),
    }
    minus_y = np.array([0.0, -1.0, 0.0])
    model = pin.Model()
    base = model.addJoint(0, pin.JointModelFreeFlyer(), pin.SE3.Identity(), "base")
    mast = model.addJoint(base, pin.JointModelRZ(), pin.SE3.Identity(), "pan")
    pivot = np.array([geometry["pivot_forward_m"], 0.0, geometry["pivot_height_m"]])
    boom = model.addJoint(mast, pin.JointModelRevoluteUnaligned(minus_y), pin.SE3(np.eye(3), pivot), "tilt")
    reach = np.array([geometry["tip_radius_m"], 0.0, geometry["axis_rise_m"]])
    tip = model.addJoint(boom, pin.JointModelRevoluteUnaligned(minus_y), pin.SE3(np.eye(3), reach), "tip")
    joints = dict(zip(CARRIERS, (base, mast, boom, tip)))

    bodies = []
    for carrier in CARRIERS:
        for _ in range(int(rng.integers(1, 4))):
            mass, centre, inertia = random_body(rng, {"boom": 2.0}.get(carrier, 0.4))
            model.appendBodyToJoint(joints[carrier], pin.Inertia(mass, centre, inertia), pin.SE3.Identity())
            xx, yy, zz = np.diag(inertia)
            bodies.append({
                "carrier": carrier,
                "mass_kg": mass,
                "centre_m": centre.tolist(),
                "inertia_kgm2": [xx, yy, zz, inertia[0, 1], inertia[0, 2], inertia[1, 2]],
            })

    # State of the car and the drives. All car vectors in vehicle axes.
    attitude = pin.exp3(rng.uniform(-0.6, 0.6, 3))
    velocity, turn = rng.uniform(-30, 30, 3), rng.uniform(-1.5, 1.5, 3)
    acceleration, turn_change = rng.uniform(-10, 10, 3), rng.uniform(-3, 3, 3)
    pan, pan_rate, pan_acc = rng.uniform(-np.pi, np.pi), rng.uniform(-2, 2), rng.uniform(-4, 4)
    tilt, tilt_rate, tilt_acc = rng.uniform(-1.2, 1.2), rng.uniform(-2, 2), rng.uniform(-4, 4)
    follow = -1.0 if levelled else 0.0

    model.gravity.linear = np.array([0.0, 0.0, -9.80665])
    data = model.createData()
    quaternion = pin.Quaternion(attitude).coeffs()
    q = np.concatenate([rng.uniform(-5, 5, 3), quaternion, [pan, tilt, follow * tilt]])
    v = np.concatenate([velocity, turn, [pan_rate, tilt_rate, follow * tilt_rate]])
    # The library takes the spatial acceleration in body axes: that of the point less w x v.
    linear = acceleration - np.cross(turn, velocity)
    a = np.concatenate([linear, turn_change, [pan_acc, tilt_acc, follow * tilt_acc]])
    tau = pin.rnea(model, data, q, v, a)

    # Force of the boom on the tip, in the tip's axes: for a levelled tip these are the mast axes.
    to_mast = np.eye(3) if levelled else pin.exp3(minus_y * tilt)
    on_tip = np.concatenate([-to_mast @ data.f[tip].linear, -to_mast @ data.f[tip].angular])
    return {
        "levelled": levelled,
        "geometry": geometry,
        "bodies": bodies,
        "pan_rad": pan,
        "elevation_rad": tilt,
        "pan_rps": pan_rate,
        "tilt_rps": tilt_rate,
        "pan_rps2": pan_acc,
        "tilt_rps2": tilt_acc,
        "base_acceleration_mps2": acceleration.tolist(),
        "base_angular_velocity_rps": turn.tolist(),
        "base_angular_acceleration_rps2": turn_change.tolist(),
        "gravity_mps2": (attitude.T @ np.array([0.0, 0.0, -9.80665])).tolist(),
        "on_platform": (-tau[:6]).tolist(),
        "pan_torque_nm": tau[6],
        # The tip joint's drive reacts on the boom; a linkage would leave this less the tip torque.
        "tilt_torque_tip_drive_nm": tau[7],
        "tip_joint_torque_nm": tau[8],
        "on_tip": on_tip.tolist(),
    }


def main():
    rng = np.random.default_rng(20240611)
    cases = [case(rng, k % 2 == 0) for k in range(CASES)]
    made_by = {"pinocchio": pin.__version__, "numpy": np.__version__}
    lines = ",\n".join(json.dumps(c) for c in cases)
    print(f'{{"made_by": {json.dumps(made_by)},\n"cases": [\n{lines}\n]}}')


main()
