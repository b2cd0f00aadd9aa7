"""Plots what a proof costs against the number of conditions, the degree and the margin, from the
CSV of `prove_bench --table`: its time, and the boxes it takes.

    plot_proofs.py PROVE_BENCH FILE    FILE ends in .svg, .png or .pdf
"""

import csv
import subprocess
import sys

import matplotlib
matplotlib.use("Agg")
from matplotlib import pyplot  # noqa: E402  (after the choice of a drawer without a screen)


def main():
    if len(sys.argv) != 3:
        print("usage: plot_proofs.py PROVE_BENCH FILE", file=sys.stderr)
        return 2
    done = subprocess.run([sys.argv[1], "--table"], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        print(f"{sys.argv[1]} --table ended with {done.returncode}:\n{done.stderr}", file=sys.stderr)
        return 3
    rows = list(csv.DictReader(done.stdout.splitlines()))
    degrees = sorted({int(row["degree"]) for row in rows})
    margins = sorted({float(row["margin_fraction"]) for row in rows}, reverse=True)
    figure, panels = pyplot.subplots(2, len(degrees), sharex=True, sharey="row", figsize=(11, 7))
    for column, degree in enumerate(degrees):
        for margin in margins:
            chosen = [row for row in rows if int(row["degree"]) == degree
                      and float(row["margin_fraction"]) == margin]
            conditions = [int(row["conditions"]) for row in chosen]
            for line, name in enumerate(("microseconds", "boxes")):
                panels[line][column].semilogy(conditions, [float(row[name]) for row in chosen],
                                              marker="o", label=f"margin {100 * margin:g} %")
        panels[0][column].set_title(f"surface of degree {degree}")
        panels[1][column].set_xlabel("conditions")
    panels[0][0].set_ylabel("time of a proof, us")
    panels[1][0].set_ylabel("boxes")
    panels[0][0].legend()
    figure.tight_layout()
    figure.savefig(sys.argv[2])
    return 0


if __name__ == "__main__":
    sys.exit(main())
