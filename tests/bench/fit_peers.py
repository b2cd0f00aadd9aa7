"""Coefficients alone of the fit that fit_bench wrote, by NumPy and SciPy.

    fit_peers.py DIR [REPEAT]

Prints one JSON line for each solver: {"name", "us_per_fit"}.
"""

import json
import sys
import time

import numpy
import scipy.linalg

POINTS_EACH = 30_000  # of all fits between two looks at the clock


def median_us(solve, fits_each, repeat):
    times = []
    for _ in range(repeat + 1):
        start = time.perf_counter()
        for _ in range(fits_each):
            solve()
        times.append((time.perf_counter() - start) / fits_each * 1e6)
    return sorted(times[1:])[repeat // 2]  # the first warms up


def main():
    folder = sys.argv[1]
    repeat = int(sys.argv[2]) if len(sys.argv) > 2 else 15
    design = numpy.asfortranarray(numpy.loadtxt(folder + "/design.csv", delimiter=","))
    response = numpy.loadtxt(folder + "/response.csv", delimiter=",")
    solvers = {
        "scipy.linalg.lstsq gelsy": lambda: scipy.linalg.lstsq(
            design, response, lapack_driver="gelsy", check_finite=False
        ),
        "numpy.linalg.lstsq": lambda: numpy.linalg.lstsq(design, response, rcond=None),
    }
    for name, solve in solvers.items():
        spent_us = median_us(solve, POINTS_EACH // len(response), repeat)
        print(json.dumps({"name": name, "us_per_fit": round(spent_us, 3)}))


if __name__ == "__main__":
    main()
