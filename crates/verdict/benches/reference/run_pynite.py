"""PyNite on some of the bench's states, in the best use found.

One model; the basis loads are load cases and each state is a load combination of them, so that `analyze_linear` puts the matrix
together once for all states (it still solves it anew for each). Checks of stability and statics are off. One process: a whole
model is kept for each state, so a second one is short of memory before it is short of time. It has no rigid links, so stiff
bars stand in for them, and its springs to the ground know world axes only, so a cup on a slanting panel is three bars and a
turning spring.
"""

import sys

import numpy as np

import frame as bench

STATES = 100
# Stiffness of a bar that stands in for a rigid link over that of the stiffest tube: along it, and in bending and torsion. Less
# and the link gives, more and the matrix loses digits; with these the forces on cups come within 3e-7 of the largest, the
# moments within 2e-6.
STIFF_ALONG = 1e5
STIFF = 1e6
# Bending stiffness of what should have none, N m².
LIMP = 1e-9


def build(model, frame):
    """The model; gives the names of the cups' nodes."""
    name = "N{}".format
    for n, at in enumerate(frame.nodes):
        model.add_node(name(n), *map(float, at))

    def material(label, e, g):
        model.add_material(label, e, g, 0.3, 0.0)

    sections = {}
    for m, b in enumerate(frame.members):
        key = tuple(b[k] for k in ("e", "g", "a", "iy", "iz", "torsion"))
        if key not in sections:
            sections[key] = f"S{len(sections)}"
            material(sections[key], b["e"], b["g"])
            model.add_section(sections[key], b["a"], b["iy"], b["iz"], b["torsion"])
        if abs(b["iy"] - b["iz"]) > 1e-9 * b["iy"]:
            raise ValueError("a section that is not round")
        model.add_member(f"M{m}", name(b["i"]), name(b["j"]), sections[key], sections[key])
    ea, ei, gj = (max(b[s] * b[i] for b in frame.members) for s, i in (("e", "a"), ("e", "iy"), ("g", "torsion")))
    material("stiff", 1.0, 1.0)
    model.add_section("stiff", STIFF_ALONG * ea, STIFF * ei, STIFF * ei, STIFF * gj)
    # As the frame joins them, not by way of the node that stands for the body: a bar takes along every node that it passes.
    for n, (a, b) in enumerate(frame.text["rigid"]):
        if np.linalg.norm(frame.nodes[a] - frame.nodes[b]) < bench.SAME_PLACE_M:
            raise ValueError("two nodes of one body in one place")
        model.add_member(f"L{n}", name(a), name(b), "stiff", "stiff")

    def ground(label, at):
        model.add_node(label, *map(float, at))
        model.def_support(label, True, True, True, True, True, True)

    material("soft", 1.0, 1.0)
    for c, s in enumerate(frame.supports):
        k, node, at = s["k"], s["node"], frame.nodes[s["node"]]
        if k[3] != k[4]:
            raise ValueError("a cup that rocks more easily one way than the other")
        # Rocking about any axis as a spring in world axes; what turning has besides is the torsion of the bar along the normal.
        for axis in ("RX", "RY", "RZ"):
            model.def_support_spring(name(node), axis, k[3])
        for a in range(2):
            ground(f"G{c}.{a}", at - np.array(s["axes"][a]))
            model.add_spring(f"K{c}.{a}", f"G{c}.{a}", name(node), k[a])
        ground(f"G{c}.2", at - np.array(s["axes"][2]))
        if k[5] <= k[3]:
            raise ValueError("a cup that turns more easily than it rocks")
        model.add_section(f"cup{c}", k[2], LIMP, LIMP, k[5] - k[3])
        model.add_member(f"C{c}", f"G{c}.2", name(node), "soft", f"cup{c}")
    seen = set()
    for b, (node, place, free, k, key) in enumerate(frame.bars()):
        if key not in seen:
            seen.add(key)
            model.add_node(f"D{key}", *map(float, place))
            model.def_support(f"D{key}", *(axis != free for axis in range(6)))
        model.add_spring(f"B{b}", name(node), f"D{key}", k)
    for column, loads in enumerate(frame.loads):
        for body in frame.bodies:
            for direction, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), loads[body]):
                if value != 0:
                    model.add_node_load(name(body), direction, float(value), f"u{column}")
    return [name(s["node"]) for s in frame.supports]


def work(frame_path, _part, _parts, ready):
    bench.one_thread()
    from Pynite import FEModel3D

    frame = bench.Frame(frame_path)
    states = frame.states[:STATES]
    model = FEModel3D()
    cups = build(model, frame)
    for s, u in enumerate(states):
        model.add_load_combo(str(s), {f"u{k}": float(v) for k, v in enumerate(u) if v != 0}, combo_tags=["timed"])
    model.add_load_combo("warm", {"u2": -9.80665}, combo_tags=["warm"])
    model.analyze_linear(check_stability=False, combo_tags=["warm"])
    ready()
    start = bench.now()
    model.analyze_linear(check_stability=False, combo_tags=["timed"])
    moved = np.array(
        [
            [[getattr(model.nodes[c], d)[str(s)] for d in ("DX", "DY", "DZ", "RX", "RY", "RZ")] for c in cups]
            for s in range(len(states))
        ]
    )
    forces = frame.cup_forces(moved)
    end = bench.now()
    return start, end, len(states), forces


def main():
    states, seconds, found = bench.share(sys.argv[1], work, 1)
    from importlib.metadata import version

    bench.answer(
        sys.argv[2],
        version=version("PyNiteFEA"), processes=1, states=states, seconds=seconds,
        forces=found[0].reshape(states, -1).tolist(),
    )  # fmt: skip


if __name__ == "__main__":
    main()
