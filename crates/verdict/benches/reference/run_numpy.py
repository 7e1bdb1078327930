"""The response matrix times the states in numpy, with the seal and slip of every cup and the stress at every station of the tubes.

Two processes, one thread each, states in slices that stay in the cache. The matrix and the numbers of the checks are the engine's;
the product and the checks are written here once more.
"""

import sys

import numpy as np

import frame as bench

PROCESSES = 2
SLICE = 128
# The states are gone through again until there are this many, so that the clock has something to show.
AT_LEAST = 400_000


class Checks:
    """Worst use of each check over slices of states."""

    def __init__(self, response):
        r = np.array(response["r"]).reshape(-1, response["columns"])
        six = np.arange(6)
        # Row by row over all cups, then over all stations: one component of all of them stands together.
        cups = (np.array(response["cups"])[None, :] + six[:, None]).ravel()
        stations = (np.array(response["stations"])[None, :] + six[:, None]).ravel()
        self.cups, self.stations = len(response["cups"]), len(response["stations"])
        self.r = np.ascontiguousarray(r[np.concatenate([cups, stations])])
        column = lambda name: [c[:, None] for c in np.array(response[name]).T]  # noqa: E731
        self.seal, self.slip, self.stress = column("seal"), column("slip"), column("stress")
        self.worst = np.zeros(3)

    def look(self, u):
        """`u` has a column for each state."""
        out = self.r @ u
        fx, fy, fz, mx, my, mz = out[: 6 * self.cups].reshape(6, self.cups, -1)
        pull, press = np.maximum(-fz, 0.0), np.maximum(fz, 0.0)
        n0, core = self.seal
        seal = (pull + np.sqrt(mx * mx + my * my) / core) / (n0 + press)
        n0, mu, radius = self.slip
        turn = mz / radius
        slip = (np.sqrt(fx * fx + fy * fy + turn * turn) / mu + pull) / (n0 + press)
        n, vy, vz, t, my, mz = out[6 * self.cups :].reshape(6, self.stations, -1)
        per_area, per_w, per_torsion, per_shear, yields = self.stress
        sigma = np.abs(n) * per_area + np.sqrt(my * my + mz * mz) * per_w
        tau = np.abs(t) * per_torsion + np.sqrt(vy * vy + vz * vz) * per_shear
        stress = np.sqrt(sigma * sigma + 3.0 * tau * tau) / yields
        self.worst = np.maximum(self.worst, [seal.max(), slip.max(), stress.max()])
        return out


def work(frame_path, part, parts, ready):
    bench.one_thread()
    frame = bench.Frame(frame_path)
    checks = Checks(frame.text["response"])
    mine = np.array_split(frame.states, parts)[part]
    slices = [np.ascontiguousarray(mine[k : k + SLICE].T) for k in range(0, len(mine), SLICE)]
    rounds = -(-AT_LEAST // len(frame.states))
    ready()
    for u in slices:
        checks.look(u)
    start = bench.now()
    for _ in range(rounds):
        for u in slices:
            checks.look(u)
    end = bench.now()
    rows = [checks.look(u)[: 6 * checks.cups].reshape(6, checks.cups, -1).transpose(2, 1, 0) for u in slices]
    return start, end, rounds * len(mine), (checks.worst, np.concatenate(rows))


def main():
    # Before numpy starts its threads in the processes below.
    bench.one_thread()
    states, seconds, found = bench.share(sys.argv[1], work, PROCESSES)
    forces = np.concatenate([f for _, f in found])
    bench.answer(
        sys.argv[2],
        version=np.__version__, processes=PROCESSES, states=states, seconds=seconds,
        worst=np.max([w for w, _ in found], axis=0).tolist(),
        forces=forces.reshape(len(forces), -1).tolist(),
    )  # fmt: skip


if __name__ == "__main__":
    main()
