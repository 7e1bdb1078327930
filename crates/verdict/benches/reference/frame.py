"""The bench's frame, read for a solver that has no rigid links and no pulleys: bodies, loads at bodies, springs for straps.

Nothing here comes from the engine but the description of the frame, so that what the solvers make of it is their own answer.
"""

import json
import multiprocessing
import os
import time

import numpy as np

# A node that should be where another one is: rounding of coordinates of a few metres.
SAME_PLACE_M = 1e-9


class Frame:
    """The description, with every rigid body's nodes gathered at one of them."""

    def __init__(self, path):
        with open(path, encoding="utf-8") as file:
            self.text = json.load(file)
        t = self.text
        self.nodes = np.array(t["nodes"], float)
        self.members, self.supports, self.strands = t["members"], t["supports"], t["strands"]
        self.states = np.array(t["states"], float)
        self.root = self._roots()
        self.bodies = sorted(set(self.root))
        self.loads = np.array([self._at_bodies(load) for load in t["loads"]])

    def offset(self, node):
        """From a node's body to the node, m."""
        return self.nodes[node] - self.nodes[self.root[node]]

    def _roots(self):
        """The node that stands for each node's body: where springs hold, if anywhere, so that springs need no offset."""
        parent = list(range(len(self.nodes)))

        def top(n):
            while parent[n] != n:
                n = parent[n]
            return n

        for a, b in self.text["rigid"]:
            parent[top(a)] = top(b)
        held = [s["node"] for s in self.supports]
        held += [p["node"] for s in self.strands for p in s["path"] if p["node"] is not None]
        chosen = {}
        for n in held + list(range(len(self.nodes))):
            chosen.setdefault(top(n), n)
        root = [chosen[top(n)] for n in range(len(self.nodes))]
        for n in held:
            if np.abs(self.nodes[n] - self.nodes[root[n]]).max() > SAME_PLACE_M:
                raise ValueError(f"node {n} is held by a spring away from the node that stands for its body")
        return root

    def _at_bodies(self, load):
        """Forces and moments at the nodes that stand for bodies; lines as their fixed-end actions turned round."""
        out = np.zeros((len(self.nodes), 6))

        def add(node, force, moment, at=None):
            body = self.root[node]
            lever = (self.nodes[node] if at is None else at) - self.nodes[body]
            out[body, :3] += force
            out[body, 3:] += moment + np.cross(lever, force)

        zero = np.zeros(3)
        field = np.array(load["specific_force"], float)
        lines = [field * m["line_mass"] for m in self.members]
        for member, w in load["line"]:
            lines[member] = lines[member] + np.array(w)
        for m, w in zip(self.members, lines):
            along = self.nodes[m["j"]] - self.nodes[m["i"]]
            length = np.linalg.norm(along)
            # w L / 2 at each end, and the moments w L² / 12 that would hold the ends from turning.
            turn = np.cross(along / length, w) * length**2 / 12
            add(m["i"], w * length / 2, turn)
            add(m["j"], w * length / 2, -turn)
        for m in self.text["masses"]:
            add(m["node"], field * m["mass"], zero, np.array(m["at"]))
        for node, w in load["nodal"]:
            add(node, np.array(w[:3]), np.array(w[3:]))
        for strand, tension in load["fitted"]:
            for node, pull in self.ends(strand):
                add(node, -tension * pull, zero)
        return out

    def ends(self, strand):
        """The strap's points on the frame with the change of its length by each one's place."""
        path = self.strands[strand]["path"]
        at = np.array([p["at"] for p in path])
        unit = np.diff(at, axis=0)
        unit /= np.linalg.norm(unit, axis=1)[:, None]
        out = []
        for k, p in enumerate(path):
            if p["node"] is None:
                continue
            if k not in (0, len(path) - 1):
                raise ValueError("a strap that runs over the frame between its ends")
            if np.abs(at[k] - self.nodes[p["node"]]).max() > SAME_PLACE_M:
                raise ValueError("a strap that pulls beside its node")
            out.append((p["node"], -unit[0] if k == 0 else unit[-1]))
        return out

    def bars(self):
        """Straps as bars `(node, place of the far end, free axis or None, stiffness, key of the far end)`.

        A strap with one end on the frame is one bar to the ground. One with both ends on it has one tension for both:
        two bars of twice the stiffness that meet in a point which slides along one axis, along which the bars pull equally
        and oppositely. The point gives way until both have the same tension, which is the strap's.
        """
        out = []
        for s, strand in enumerate(self.strands):
            ends, k = self.ends(s), strand["k"]
            if len(ends) == 1:
                node, g = ends[0]
                out.append((node, self.nodes[node] - g, None, k, s))
                continue
            (a, ga), (b, gb) = ends
            axis = int(np.argmax(np.abs(ga - gb)))
            reach = (self.nodes[b] - self.nodes[a])[axis] / (ga - gb)[axis]
            meet = self.nodes[a] + reach * ga
            unlike = max(np.abs(meet - self.nodes[b] - reach * gb).max(), abs(ga[axis] + gb[axis]))
            if unlike > SAME_PLACE_M:
                raise ValueError("a strap whose two ends are not alike cannot be given to this solver as bars")
            out += [(a, meet, axis, 2 * k, s), (b, meet, axis, 2 * k, s)]
        return out

    def cup_forces(self, moved):
        """Of the panel on each cup in its axes, from how its node moves: `moved[state, cup, 6]` in world axes."""
        out = np.empty_like(moved)
        for c, s in enumerate(self.supports):
            axes, k = np.array(s["axes"]), np.array(s["k"])
            out[:, c, :3] = -(moved[:, c, :3] @ axes.T) * k[:3]
            out[:, c, 3:] = -(moved[:, c, 3:] @ axes.T) * k[3:]
        return out


def share(frame_path, work, processes):
    """Runs `work(frame_path, part, parts, ready)` in several processes at once.

    `work` calls `ready()` once it is set up and returns `(start, end, states, result)`. Gives states, seconds from the
    first start to the last end, and the results.
    """
    if processes == 1:
        found = [work(frame_path, 0, 1, lambda: None)]
    else:
        kind = multiprocessing.get_context("spawn")
        gate, found_by = kind.Barrier(processes), kind.Queue()
        hands = [
            kind.Process(target=_one, args=(frame_path, work, part, processes, gate, found_by))
            for part in range(processes)
        ]
        for hand in hands:
            hand.start()
        found = sorted((found_by.get(timeout=600) for _ in hands), key=lambda f: f[0])
        for hand in hands:
            hand.join()
        for _, fault, _ in found:
            if fault:
                raise RuntimeError(fault)
        found = [f for _, _, f in found]
    seconds = max(f[1] for f in found) - min(f[0] for f in found)
    return sum(f[2] for f in found), seconds, [f[3] for f in found]


def _one(frame_path, work, part, parts, gate, found_by):
    try:
        found_by.put((part, "", work(frame_path, part, parts, lambda: gate.wait(timeout=600))))
    except Exception as fault:  # told to the one who waits
        gate.abort()
        found_by.put((part, f"{type(fault).__name__}: {fault}", None))


def answer(path, **what):
    """Leaves the answer where the bench looks for it."""
    with open(path, "w", encoding="utf-8") as file:
        json.dump(what, file)


# One clock for all processes of a machine.
now = time.monotonic


def one_thread():
    """Each process is one worker: the libraries below must not start more."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[name] = "1"
