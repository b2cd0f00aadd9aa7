#!/usr/bin/python3
"""SEER2 of variable-speed units with NumPy, vectorised over the bins, one unit at a time:
season_peer.py DIR. Prints one JSON line. The equations and bins of season_bench; results are held
against ours."""

import json
import statistics
import sys
import time

import numpy as np

T = np.array([67.0, 72, 77, 82, 87, 92, 97, 102])
WEIGHT = np.array([0.214, 0.231, 0.216, 0.161, 0.104, 0.052, 0.018, 0.004])
PART = (T - 65) / (95 - 65)
LOW = (T - 67) / (82 - 67)
HIGH = (T - 82) / (95 - 82)
FROM_EV = T - 87
BTU_PER_WH = 3.412141633127942
CD = 0.25


def slope(low_at_82, low_at_67, high_at_95, high_at_82, at_ev):
    low_slope = (low_at_82 - low_at_67) / 15
    high_slope = (high_at_95 - high_at_82) / 13
    low = low_at_67 + low_slope * 20
    n = (at_ev - low) / (high_at_82 + high_slope * 5 - low)
    return low_slope * (1 - n) + n * high_slope


def seer2(u):
    qa2, ea2, qb2, eb2, qb1, eb1, qf1, ef1, qev, eev = u
    load = PART * (qa2 / 1.1)
    q1 = qf1 + (qb1 - qf1) * LOW
    e1 = ef1 + (eb1 - ef1) * LOW
    q2 = qb2 + (qa2 - qb2) * HIGH
    e2 = eb2 + (ea2 - eb2) * HIGH
    qv = qev + slope(qb1, qf1, qa2, qb2, qev) * FROM_EV
    ev = eev + slope(eb1, ef1, ea2, eb2, eev) * FROM_EV
    x = load / q1
    cycling = x * e1 / (1 - CD * (1 - x))
    eer1, eerv, eer2 = q1 / e1, qv / ev, q2 / e2
    lower = load / (eer1 + (eerv - eer1) / (qv - q1) * (load - q1))
    upper = load / (eerv + (eer2 - eerv) / (q2 - qv) * (load - qv))
    power = np.where(load <= q1, cycling,
                     np.where(load <= qv, lower, np.where(load <= q2, upper, e2)))
    capacity = np.minimum(load, q2)
    return BTU_PER_WH * (WEIGHT @ capacity) / (WEIGHT @ power)


def main():
    folder = sys.argv[1]
    ours = np.fromfile(f"{folder}/results.bin")
    units = np.fromfile(f"{folder}/units.bin").reshape(len(ours), 10).tolist()
    theirs = [seer2(u) for u in units]
    assert np.allclose(theirs, ours, rtol=1e-9), "results differ"
    few = units[:2000]
    times = []
    for _ in range(5):
        start = time.perf_counter()
        for u in few:
            seer2(u)
        times.append((time.perf_counter() - start) * 1e9 / len(few))
    print(json.dumps({"name": "season-seer2", "peer": f"NumPy {np.__version__}",
                      "theirs": round(statistics.median(times), 1), "unit": "ns"}))


main()
