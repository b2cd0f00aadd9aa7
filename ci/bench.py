"""Runs the benchmarks that ci/bench built: each round measures ours and then its peers, so that
both see the same machine, and a row holds the medians of the rounds.

    bench.py BUILD_FOLDER [NAME...] [--rounds N] [--json FILE]

A ratio above 1 means that ours is the better one. It is the median of the rounds' own ratios,
since a round's two figures share what the machine did just then.
Exits 1 where a ratio is short of what is wanted, unless LIMITS names the decision record that
explains it; 2 where an argument is wrong; 3 where a program could not run.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time

PYTHON = "/usr/bin/python3"  # Debian's, which Debian's NumPy, SciPy and pandas belong to

# Rows that cannot reach what is wanted, and the heading of the decision record in DEVELOPERS.md
# that says why.
LIMITS = {
    "draws-ieer-air-cooled": "Draws cost more than 1.3 metrics",
    "draws-iplv-ip-air-cooled": "Draws cost more than 1.3 metrics",
    "draws-iplv-ip-water-cooled": "Draws cost more than 1.3 metrics",
    "season-maps-hspf2": "Seasons on few evaluations",
    "season-maps-sepr": "Seasons on few evaluations",
}

# Peers run as they come and with one thread; the faster one counts.
THREADS = {"": {}, ", one thread": {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}}


class CouldNotRun(Exception):
    pass


def run(command, **more_environment):
    """The JSON lines that a program prints."""
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True,
                          env={**os.environ, **more_environment}, check=False)
    if done.returncode != 0:
        raise CouldNotRun(f"{' '.join(map(str, command))} ended with {done.returncode}:\n"
                          + done.stderr.strip()[-2000:])
    return [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]


class Pair:
    """One row: figures of ours and of each peer, one of each a round."""

    def __init__(self, unit, wanted, less_is_better):
        self.unit, self.wanted, self.less_is_better = unit, wanted, less_is_better
        self.ours, self.peers = [], {}

    def add_peer(self, peer, figure):
        self.peers.setdefault(peer, []).append(figure)

    def row(self, name):
        best = min if self.less_is_better else max
        peer = best(self.peers, key=lambda p: statistics.median(self.peers[p]))
        figures = self.peers[peer]
        ratios = [theirs / ours if self.less_is_better else ours / theirs
                  for ours, theirs in zip(self.ours, figures)]
        ratio = statistics.median(ratios)
        print(f"  {name}: against {peer}; ratios of the rounds {min(ratios):.3g} to "
              f"{max(ratios):.3g}", file=sys.stderr)
        return {"name": name, "ours": statistics.median(self.ours),
                "peer": statistics.median(figures), "unit": self.unit, "ratio": ratio,
                "wanted": self.wanted, "ok": ratio >= self.wanted, "limit": LIMITS.get(name)}


class FitBench:
    """A full fit of so many points and terms, refined and with covariance, leverages, PRESS and
    what each point does to it, against the coefficients alone of the fastest peer."""

    def __init__(self, build, name, wanted):
        self.program = f"{build}/tests/bench/fit_bench"
        self.data = tempfile.TemporaryDirectory(prefix="ratebound-bench-")
        self.names = [name]
        self.pair = Pair("us/fit", wanted, less_is_better=True)

    def round(self):
        [ours] = run([self.program, self.names[0], "--data", self.data.name])
        self.pair.ours.append(ours["us_per_fit"])
        for suffix, environment in THREADS.items():
            for peer in run([PYTHON, "tests/bench/fit_peers.py", self.data.name], **environment):
                self.pair.add_peer(peer["name"] + suffix, peer["us_per_fit"])
        [peer] = run(["Rscript", "--vanilla", "tests/bench/fit_peers.R", self.data.name])
        self.pair.add_peer(peer["name"], peer["us_per_fit"])

    def rows(self):
        return [self.pair.row(self.names[0])]


class InProcessBench:
    """A program that interleaves ours and its peer itself and prints whole rows, and maybe a
    note on each."""

    def __init__(self, build, program, peer, names, less_is_better):
        self.program = f"{build}/tests/bench/{program}"
        self.peer, self.names, self.less_is_better = peer, names, less_is_better
        self.pairs, self.notes = {}, {}

    def round(self):
        for line in run([self.program]):
            if "ours" not in line:  # a figure that is no comparison, such as memory
                print(f"  {line}", file=sys.stderr)
                continue
            self.notes[line["name"]] = line.get("note")
            pair = self.pairs.setdefault(
                line["name"], Pair(line["unit"], line["wanted"], self.less_is_better))
            pair.ours.append(line["ours"])
            pair.add_peer(self.peer, line["peer"])

    def rows(self):
        for name, note in self.notes.items():
            if note:
                print(f"  {name}: last round: {note}", file=sys.stderr)
        return [pair.row(name) for name, pair in self.pairs.items()]


class CsvBench:
    """Lab files into columns of doubles, against pandas.read_csv: ten digits a number, and three
    decimals as loggers write them."""

    names = ["csv", "csv-three-decimals"]

    def __init__(self, build):
        self.program = f"{build}/tests/bench/csv_bench"
        self.folder = f"{build}/csv"
        os.makedirs(self.folder, exist_ok=True)
        self.pairs = [Pair("MB/s", 2.5, less_is_better=False) for _ in self.names]

    def round(self):
        [ours] = run([self.program, "--data", self.folder])
        [theirs] = run([PYTHON, "tests/bench/csv_peer.py", self.folder])
        for pair, key in zip(self.pairs, ["", "_three_decimals"]):
            pair.ours.append(ours["ours" + key])
            pair.add_peer(theirs["peer"], theirs["theirs" + key])

    def rows(self):
        return [pair.row(name) for name, pair in zip(self.names, self.pairs)]


class PsychrometricsBench:
    """A million points of moist air before and behind a coil to total and sensible capacity,
    against NumPy over the same equations and points. Both must find the same sums."""

    names = ["psychrometrics-1M"]

    def __init__(self, build):
        self.program = f"{build}/tests/bench/psychrometrics_bench"
        self.data = tempfile.TemporaryDirectory(prefix="ratebound-bench-")
        self.pair = Pair("ns/point", 1.5, less_is_better=True)

    def round(self):
        [ours] = run([self.program, "--data", self.data.name])
        self.pair.ours.append(ours["ns_per_point"])
        for peer in run([PYTHON, "tests/bench/psychrometrics_peer.py", self.data.name]):
            for key in ("sum_total_w", "sum_sensible_w"):
                if abs(peer[key] / ours[key] - 1) > 1e-10:
                    raise CouldNotRun(f"{peer['name']} finds {key} {peer[key]}, ours {ours[key]}")
            self.pair.add_peer(peer["name"], peer["ns_per_point"])

    def rows(self):
        return [self.pair.row("psychrometrics-1M")]


class ReductionBench:
    """Raw readings of a million points to capacities, against the same equations in NumPy; and with
    their uncertainty, against central differences. One thread each."""

    names = ["reduce-air", "reduce-air-uncertainty"]

    def __init__(self, build):
        self.program = f"{build}/tests/bench/reduction_bench"
        self.folder = tempfile.TemporaryDirectory(prefix="ratebound-bench-")
        self.pairs = [Pair("ns/point", wanted, less_is_better=True) for wanted in (1.5, 4)]

    def round(self):
        [ours] = run([self.program, "--data", self.folder.name])
        [theirs] = run([PYTHON, "tests/bench/reduction_peer.py", self.folder.name],
                       **THREADS[", one thread"])
        for pair, key in zip(self.pairs, ["", "_uncertainty"]):
            pair.ours.append(ours["ours" + key])
            pair.add_peer(theirs["peer"], theirs["theirs" + key])

    def rows(self):
        return [pair.row(name) for name, pair in zip(self.names, self.pairs)]


class LogBench:
    """A log into test points, windows and all, against pandas.read_csv of the same file."""

    names = ["log"]

    def __init__(self, build):
        self.program = f"{build}/tests/bench/log_bench"
        self.folder = f"{build}/log"
        os.makedirs(self.folder, exist_ok=True)
        self.pair = Pair("MB/s", 3, less_is_better=False)

    def round(self):
        [ours] = run([self.program, "--data", self.folder])
        [theirs] = run([PYTHON, "tests/bench/log_peer.py", self.folder])
        self.pair.ours.append(ours["ours"])
        self.pair.add_peer(theirs["peer"], theirs["theirs"])

    def rows(self):
        return [self.pair.row("log")]


def run_rows(command):
    """The JSON lines of a program that ends with 1 where one of its own bars is missed."""
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True,
                          check=False)
    if done.returncode not in (0, 1):
        raise CouldNotRun(f"{' '.join(map(str, command))} ended with {done.returncode}:\n"
                          + done.stderr.strip()[-2000:])
    return [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]


class MetricBench:
    """A metric against three times the bare map evaluations that it needs; a draw of its
    uncertainty against 1.3 metrics; and two threads of draws against one."""

    cases = ["ieer-air-cooled", "iplv-ip-air-cooled", "iplv-ip-water-cooled"]
    names = [f"{kind}-{case}" for case in cases for kind in ("metric", "draws", "draw-threads")]

    def __init__(self, build):
        self.program = f"{build}/tests/bench/metric_bench"
        self.pairs = {name: Pair("ns", 1, less_is_better=True) for name in self.names}
        for case in self.cases:
            self.pairs[f"draw-threads-{case}"] = Pair("x", 1.8, less_is_better=False)

    def round(self):
        for line in run_rows([self.program, "5"]):
            case = line["case"]
            if line["bench"] == "metric":
                pair = self.pairs[f"metric-{case}"]
                pair.ours.append(line["metric_ns"])
                pair.add_peer("three times the bare evaluations", 3 * line["bare_ns"])
                continue
            pair = self.pairs[f"draws-{case}"]
            pair.ours.append(line["draw_ns"])
            pair.add_peer("1.3 metrics", 1.3 * line["metric_ns"])
            threads = self.pairs[f"draw-threads-{case}"]
            threads.ours.append(line["two_threads"])
            threads.add_peer("one thread", 1.0)

    def rows(self):
        return [self.pairs[name].row(name) for name in self.names]


class SeasonBench:
    """A season of bins against the same equations in NumPy, vectorised over the bins, one unit at
    a time; and seasons over maps against three times the bare map evaluations."""

    maps = ["season-maps-seer2", "season-maps-hspf2", "season-maps-scop", "season-maps-sepr",
            "season-maps-sepr-three-stages"]
    names = ["season-seer2"] + maps

    def __init__(self, build):
        self.program = f"{build}/tests/bench/season_bench"
        self.folder = tempfile.TemporaryDirectory(prefix="ratebound-bench-")
        self.pairs = {name: Pair("ns", 1, less_is_better=True) for name in self.maps}
        self.pairs["season-seer2"] = Pair("ns", 20, less_is_better=True)

    def round(self):
        for line in run([self.program, "--data", self.folder.name, "--repeat", "101"]):
            pair = self.pairs[line["name"]]
            pair.ours.append(line["ours"])
            if "bare" in line:
                pair.add_peer("three times the bare evaluations", 3 * line["bare"])
        for peer in run([PYTHON, "tests/bench/season_peer.py", self.folder.name],
                        **THREADS[", one thread"]):
            self.pairs["season-seer2"].add_peer(peer["peer"], peer["theirs"])

    def rows(self):
        return [self.pairs[name].row(name) for name in self.names]


class QueryBench:
    """What a person waits for: a whole process that answers from the store, against the limit."""

    names = ["query-local"]
    limit_ms = 50.0
    runs_a_round = 20

    def __init__(self, build):
        self.program = f"{build}/bin/ratebound"
        self.folder = tempfile.TemporaryDirectory(prefix="ratebound-bench-")
        self.store = f"{self.folder.name}/store.sqlite"
        self.pair = Pair("ms", 1, less_is_better=True)
        self.published = False

    def publish(self):
        command = [self.program, "publish", "ratings/lines/canal-halls", "--store", self.store]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            raise CouldNotRun(f"{' '.join(command)}:\n{done.stderr.strip()[-2000:]}")

    def round(self):
        if not self.published:
            self.publish()
            self.published = True
        command = [self.program, "query", "hall-46", "--mode", "cooling", "--at",
                   "entering_air_wb=67degF,entering_water_temp=85degF,air_flow=5400cfm,"
                   "water_flow=39gpm", "--store", self.store]
        times_ms = []
        for _ in range(self.runs_a_round):
            start = time.perf_counter()
            done = subprocess.run(command, capture_output=True, text=True, check=False)
            times_ms.append(1000 * (time.perf_counter() - start))
            if done.returncode != 0 or "total_capacity" not in done.stdout:
                raise CouldNotRun(f"{' '.join(command)}:\n{done.stderr.strip()[-2000:]}")
        self.pair.ours.append(statistics.median(times_ms))
        self.pair.add_peer("the limit", self.limit_ms)

    def rows(self):
        return [self.pair.row("query-local")]


def all_benches(build):
    return [
        lambda: FitBench(build, "fit-60x10", 1),
        lambda: FitBench(build, "fit-1000x20", 0.6),
        lambda: InProcessBench(build, "fit_units_bench", "one thread", ["fit-units"],
                               less_is_better=False),
        lambda: InProcessBench(build, "evaluate_bench", "a loop written by hand", ["evaluate-3"],
                               less_is_better=False),
        lambda: CsvBench(build),
        lambda: LogBench(build),
        lambda: InProcessBench(build, "prove_bench", "a million samples",
                               ["prove-3", "prove-3-corner", "prove-5", "prove-6",
                                "prove-6-cubic", "prove-threads"],
                               less_is_better=True),
        lambda: InProcessBench(build, "decide_bench", "a million samples", ["decide-3"],
                               less_is_better=True),
        lambda: PsychrometricsBench(build),
        lambda: ReductionBench(build),
        lambda: MetricBench(build),
        lambda: SeasonBench(build),
        lambda: QueryBench(build),
    ]


def unexplained_limits():
    if not LIMITS:
        return []
    with open("DEVELOPERS.md", encoding="utf-8") as text:
        headings = [line.lstrip("#").strip() for line in text if line.startswith("#")]
    return [name for name, heading in LIMITS.items() if heading not in headings]


def main():
    parser = argparse.ArgumentParser(prog="ci/bench")
    parser.add_argument("build", help=argparse.SUPPRESS)
    parser.add_argument("names", nargs="*", metavar="NAME", help="only these rows")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--json", metavar="FILE")
    arguments = parser.parse_intermixed_args()
    if arguments.rounds < 1:
        parser.error("--rounds: expected 1 or more")
    for name in unexplained_limits():
        print(f"{name}: DEVELOPERS.md has no record '{LIMITS[name]}'", file=sys.stderr)
        return 1
    benches = [make() for make in all_benches(arguments.build)]
    known = [name for bench in benches for name in bench.names]
    unknown = sorted(set(arguments.names) - set(known))
    if unknown:
        parser.error(f"no row {', '.join(unknown)}; expected any of: {', '.join(known)}")
    wanted = set(arguments.names or known)
    rows = []
    for bench in benches:
        if not wanted & set(bench.names):
            continue
        try:
            for _ in range(arguments.rounds):
                bench.round()
        except CouldNotRun as error:
            print(f"ci/bench: {error}", file=sys.stderr)
            return 3
        rows += [row for row in bench.rows() if row["name"] in wanted]
    path = f"{arguments.build}/rows.jsonl"
    with open(path, "w", encoding="utf-8") as out:
        out.writelines(json.dumps(row) + "\n" for row in rows)
    table = [sys.executable, "ci/print_rows.py", "rows", path]
    return subprocess.run(table + (["--json", arguments.json] if arguments.json else []),
                          check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
