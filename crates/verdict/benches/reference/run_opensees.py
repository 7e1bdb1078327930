"""OpenSees on the bench's states, in the best use found.

The model is built once and kept; rigid links are exact offsets of the members' ends, so that only one node a body is left; the
matrix is factored once (`-factorOnce`); the states are the values of one time series for each basis load, so that one call
walks through all of them; only the cups' movements are recorded, in binary, and turned into forces by one product. Two
processes. Building the model and handing over the states is not timed. It gives the cups' forces alone, no checks and no
forces in tubes.
"""

import ctypes
import importlib.util
import os
import sys
import tempfile

import numpy as np

import frame as bench

PROCESSES = 2
WARM_UP = 200


def load_libraries():
    """The wheel brings the numeric libraries that it needs, but does not tell the loader where they are."""
    found = importlib.util.find_spec("openseespylinux")
    if found is None or found.origin is None:
        return
    folder = os.path.join(os.path.dirname(found.origin), "lib")
    for name in ("libquadmath.so.0", "libgfortran.so.4", "libblas.so.3", "liblapack.so.3"):
        path = os.path.join(folder, name)
        if os.path.exists(path):
            ctypes.CDLL(path, ctypes.RTLD_GLOBAL)


def build(ops, frame, series):
    """The model, with state `k` at time `k + 1`."""
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    tag = {}
    for body in frame.bodies:
        tag[body] = len(tag) + 1
        ops.node(tag[body], *map(float, frame.nodes[body]))
    extra = len(tag)
    for m, member in enumerate(frame.members):
        i, j = member["i"], member["j"]
        ops.geomTransf(
            "Linear", m + 1, *member["axes"][2], "-jntOffset", *map(float, frame.offset(i)), *map(float, frame.offset(j))
        )
        section = [member[k] for k in ("a", "e", "g", "torsion", "iy", "iz")]
        ops.element("elasticBeamColumn", m + 1, tag[frame.root[i]], tag[frame.root[j]], *section, m + 1)
    element, material = len(frame.members), 0
    for s in frame.supports:
        extra, element = extra + 1, element + 1
        ops.node(extra, *map(float, frame.nodes[s["node"]]))
        ops.fix(extra, 1, 1, 1, 1, 1, 1)
        for k in s["k"]:
            material += 1
            ops.uniaxialMaterial("Elastic", material, k)
        materials = range(material - 5, material + 1)
        ops.element(
            "zeroLength", element, extra, tag[s["node"]],
            "-mat", *materials, "-dir", 1, 2, 3, 4, 5, 6, "-orient", *s["axes"][0], *s["axes"][1],
        )  # fmt: skip
    far = {}
    for node, place, free, k, key in frame.bars():
        if key not in far:
            extra += 1
            far[key] = extra
            ops.node(extra, *map(float, place))
            ops.fix(extra, *(0 if axis == free else 1 for axis in range(6)))
        element, material = element + 1, material + 1
        ops.uniaxialMaterial("Elastic", material, k * float(np.linalg.norm(place - frame.nodes[node])))
        ops.element("Truss", element, tag[frame.root[node]], far[key], 1.0, material)
    for column, loads in enumerate(frame.loads):
        ops.timeSeries("Path", column + 1, "-dt", 1.0, "-values", 0.0, *map(float, series[:, column]), 0.0)
        ops.pattern("Plain", column + 1, column + 1)
        for body in frame.bodies:
            if np.any(loads[body]):
                ops.load(tag[body], *map(float, loads[body]))
    ops.constraints("Plain")
    ops.numberer("RCM")
    ops.system("ProfileSPD")
    ops.integrator("LoadControl", 1.0)
    ops.algorithm("Linear", "-factorOnce")
    ops.analysis("Static")
    return [tag[s["node"]] for s in frame.supports]


def work(frame_path, part, parts, ready):
    bench.one_thread()
    load_libraries()
    import openseespy.opensees as ops

    frame = bench.Frame(frame_path)
    mine = np.array_split(frame.states, parts)[part]
    with tempfile.TemporaryDirectory() as folder:
        ops.logFile(os.path.join(folder, "log"), "-noEcho")
        cups = build(ops, frame, np.vstack([mine[:WARM_UP], mine]))
        file = os.path.join(folder, "moved.bin")
        ops.recorder("Node", "-binary", file, "-node", *cups, "-dof", 1, 2, 3, 4, 5, 6, "disp")
        warm = len(mine[:WARM_UP])
        if ops.analyze(warm) != 0:
            raise RuntimeError("the frame could not be solved")
        ready()
        start = bench.now()
        if ops.analyze(len(mine)) != 0:
            raise RuntimeError("the frame could not be solved")
        ops.remove("recorders")
        # A record of doubles a step, with the end of a line after each.
        record = np.dtype([("moved", "<f8", (len(cups), 6)), ("end", "S1")])
        moved = np.fromfile(file, record)["moved"][warm:]
        forces = frame.cup_forces(moved)
        end = bench.now()
        ops.wipe()
    return start, end, len(mine), (ops.version(), forces)


def main():
    states, seconds, found = bench.share(sys.argv[1], work, PROCESSES)
    forces = np.concatenate([f for _, f in found])
    bench.answer(
        sys.argv[2],
        version=found[0][0], processes=PROCESSES, states=states, seconds=seconds,
        forces=forces.reshape(len(forces), -1).tolist(),
    )  # fmt: skip


if __name__ == "__main__":
    main()
