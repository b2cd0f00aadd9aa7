"""The points of psychrometrics_bench in NumPy: the same equations over whole columns, and over
blocks that stay in the cache, which is the faster way to write it; the better one counts.

    psychrometrics_peer.py DIR
"""

import json
import sys
import time

import numpy as np

POINTS = 1_000_000
RUNS = 5


def saturation_pressure(t):
    k = t + 273.15
    return np.exp(-5.8002206e3 / k + 1.3914993
                  + k * (-4.8640239e-2 + k * (4.1764768e-5 - 1.4452093e-8 * k))
                  + 6.5459673 * np.log(k))


def humidity_ratio(t, b, p):
    saturated = saturation_pressure(b)
    saturated = 0.621945 * saturated / (p - saturated)
    return (((2501e3 - 2326 * b) * saturated - 1006 * (t - b))
            / (2501e3 + 1860 * t - 4186 * b))


def enthalpy(t, w):
    return 1006 * t + w * (2501e3 + 1860 * t)


def reduce(t1, b1, t2, b2, p, flow):
    w1 = humidity_ratio(t1, b1, p)
    w2 = humidity_ratio(t2, b2, p)
    mass_flow = flow * p / (287.042 * (t2 + 273.15) * (1 + 1.607858 * w2))
    return (mass_flow * (enthalpy(t1, w1) - enthalpy(t2, w2)),
            mass_flow * (1006 + 1860 * w2) * (t1 - t2))


def in_blocks(columns, block):
    total, sensible = np.empty(POINTS), np.empty(POINTS)
    for i in range(0, POINTS, block):
        total[i:i + block], sensible[i:i + block] = reduce(*columns[:, i:i + block])
    return total, sensible


def main():
    columns = np.fromfile(sys.argv[1] + "/points.f64").reshape(6, POINTS)
    for name, block in (("NumPy, whole columns", POINTS), ("NumPy, blocks of 4096", 4096)):
        best = float("inf")
        for _ in range(RUNS):
            start = time.perf_counter()
            total, sensible = in_blocks(columns, block)
            best = min(best, time.perf_counter() - start)
        print(json.dumps({"name": name, "ns_per_point": 1e9 * best / POINTS,
                          "sum_total_w": float(total.sum()),
                          "sum_sensible_w": float(sensible.sum())}))


main()
