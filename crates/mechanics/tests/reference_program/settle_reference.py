"""Figures for tests/settle_reference.rs: scipy.optimize.curve_fit (scipy 1.17.1) on the traces of that file's recipe.

The model is the free motion of one damped mass, y = b + d t + exp(-s t) (a cos(w t) + c sin(w t)), six unknowns, all fitted at
once; zeta = s / hypot(s, w); deviations by the slopes of zeta and w / 2 pi on curve_fit's covariance. The window (first and
last time, seconds from the first sample) is the one that clingfish chose and the test prints.

    python3 settle_reference.py
"""
import math

import numpy as np
from scipy.optimize import curve_fit

CASES = [
    dict(zeta=0.08, hz=1.4, size=0.09, level=0.3, drift=0.0008, step=0.02, count=500, noise=0.004, window=(0.019907012898474935, 5.453540826967433)),
    dict(zeta=0.31, hz=2.1, size=1.7, level=-9.7, drift=0.01, step=0.008, count=600, noise=0.03, window=(0.020183420235663656, 1.5076962898955226)),
]


def samples(r):
    state = 12345

    def draw():
        nonlocal state
        state = (state * 1103515245 + 12345) % 2147483648
        return state / 2147483648.0

    w = 2 * math.pi * r["hz"]
    s, wd = r["zeta"] * w, w * math.sqrt(1 - r["zeta"] ** 2)
    out = []
    for i in range(r["count"]):
        t = (i + 0.4 * draw()) * r["step"]
        noise = sum(draw() for _ in range(12)) - 6.0
        swing = r["size"] * math.exp(-s * t) * (math.cos(wd * t) + s / wd * math.sin(wd * t))
        out.append((t, r["level"] + r["drift"] * t + swing + r["noise"] * noise))
    return np.array(out)


def model(t, b, d, s, w, a, c):
    return b + d * t + np.exp(-s * t) * (a * np.cos(w * t) + c * np.sin(w * t))


for r in CASES:
    data = samples(r)
    t, y = data[:, 0] - data[0, 0], data[:, 1]
    inside = (t >= r["window"][0] - 1e-9) & (t <= r["window"][1] + 1e-9)
    t, y = t[inside] - r["window"][0], y[inside]
    w = 2 * math.pi * r["hz"]
    p, cov = curve_fit(model, t, y, p0=[r["level"], 0.0, r["zeta"] * w, w, r["size"], 0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    s, w = p[2], p[3]
    n = math.hypot(s, w)
    slope = np.array([w * w, -s * w]) / n**3
    part = cov[2:4, 2:4]
    print(len(t), f"ratio {s / n:.10f} {math.sqrt(slope @ part @ slope):.10f} damped {w / 2 / math.pi:.10f} {math.sqrt(part[1, 1]) / 2 / math.pi:.10f}")
