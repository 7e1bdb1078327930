# Values of cases.toml: one chain from a white road velocity to a camera, in the time domain, without any integral over frequency.
# Needs numpy and scipy; run by hand.
import numpy as np
from scipy.linalg import expm, solve_continuous_lyapunov
from scipy.integrate import quad

ms, mu, ks, cs, kt = 250.0, 45.0, 16e3, 1e3, 160e3   # quarter car
f1, z1 = 14.0, 0.05                                   # rig on its cups
f2, z2 = 2.2, 0.2                                     # isolator
n0, v = 0.1, 20.0


def chain(gd):
    # States: zs-zu, zs', zu-zr, zu', x1-zs, x1', x2-x1, x2'; input: the road's velocity, one-sided spectrum Gv.
    w1, w2 = 2 * np.pi * f1, 2 * np.pi * f2
    a = np.zeros((8, 8))
    a[0, 1], a[0, 3] = 1, -1
    a[1, [0, 1, 3]] = [-ks / ms, -cs / ms, cs / ms]
    a[2, 3] = 1
    a[3, [0, 1, 2, 3]] = [ks / mu, cs / mu, -kt / mu, -cs / mu]
    a[4, 5], a[4, 1] = 1, -1
    a[5, [4, 5, 1]] = [-w1**2, -2 * z1 * w1, 2 * z1 * w1]
    a[6, 7], a[6, 5] = 1, -1
    a[7, [6, 7, 5]] = [-w2**2, -2 * z2 * w2, 2 * z2 * w2]
    b = np.zeros((8, 1))
    b[2] = -1
    gv = (2 * np.pi * n0) ** 2 * gd * v
    p = solve_continuous_lyapunov(a, -b @ b.T * gv / 2)   # two-sided intensity Gv/2
    rms = lambda c: float(np.sqrt(c @ p @ c))

    def shift(row, t):
        # E[(x(t0+T) - x(t0))^2] = 2 int_0^T (T - s) R(s) ds with R the velocity's autocorrelation c e^(As) P c'.
        c = np.eye(8)[row]
        r = lambda s: (t - s) * (c @ expm(a * s) @ p @ c)
        return float(np.sqrt(2 * quad(r, 0, t, epsabs=0, epsrel=1e-11, limit=400)[0]))

    return dict(body=rms(a[1]), rig=rms(a[5]), camera=rms(a[7]), give=rms(np.eye(8)[6]),
                shift_50=shift(7, 1 / 50), shift_200=shift(7, 1 / 200), shift_rig=shift(5, 1 / 50))


for name, gd in [("B", 64e-6), ("C", 256e-6)]:
    for k, x in chain(gd).items():
        print(name, k, f"{x:.9e}")
