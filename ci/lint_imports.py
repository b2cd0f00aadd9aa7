"""Holds the tree to the table of DEVELOPERS.md: top-level entries, which room includes which,
where messages and gRPC may stand, and calls whose bits depend on the machine."""

import re
import subprocess
import sys

TOP_LEVEL = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "proto", "engine", "service",
             "clients", "ratings", "tests", "ci"}

# What a room may include directly; what those use comes with them.
ROOMS = {
    "base": [],
    "number": ["base"],
    "quantity": ["number"],
    "fluid": ["quantity"],
    "bound": ["number"],
    "fit": ["bound"],
    "document": ["quantity"],
    "recheck": ["fluid", "document"],  # nothing of the prover, nor what it stands on
    "points": ["fluid", "document"],
    "screen": ["points", "fit"],
    "map": ["points", "fit"],
    "rating": ["map"],
    "claim": ["map", "rating"],
    "conformity": ["map", "rating"],
    "plan": ["claim", "rating"],
    "table": ["map"],
    "release": ["screen", "map", "rating", "claim", "conformity", "plan", "table", "document",
                "recheck"],
}
# ratings/ embeds the procedure files and may be used by service, clients and tests only.
OTHERS = {"service": {"engine", "service", "ratings"},
          "clients": {"service", "clients", "ratings", "engine/base", "engine/quantity"},
          "ratings": {"ratings"}}

FORBIDDEN = [
    (re.compile(r"\bstd::(exp|exp2|expm1|log|log10|log1p|log2|pow|sin|cos|tan|sinh|cosh|tanh|"
                r"lgamma|tgamma|erfc?)\("), "libm picks its bits by machine; use engine/number"),
    (re.compile(r"fesetround|boost/numeric/interval"), "the rounding mode is never changed"),
    (re.compile(r"std::[a-z_]+_distribution<"), "differs between standard libraries"),
    (re.compile(r"std::chrono::(system|steady)_clock|\btime\(nullptr\)|std::random_device"),
     "the engine knows no clock and no randomness"),
    (re.compile(r"\bthrow\b|\bcatch\s*\("), "errors are absl::Status"),
]


def reachable(room):
    seen, todo = set(), [room]
    while todo:
        for used in ROOMS[todo.pop()] + ["base"]:
            if used not in seen:
                seen.add(used)
                if used in ROOMS:
                    todo.append(used)
    return seen | {room}


def code_of(line):
    return line.split("//", 1)[0]


def main():
    files = subprocess.run(["git", "ls-files"], capture_output=True, text=True,
                           check=True).stdout.split("\n")
    faults = []
    for top in sorted({f.split("/")[0] for f in files if f} - TOP_LEVEL):
        if not top.startswith("."):
            faults.append(f"{top}: no such top-level entry is planned")
    allowed = {room: reachable(room) for room in ROOMS}
    for path in files:
        if not path.endswith((".h", ".cc")):
            continue
        parts = path.split("/")
        try:
            lines = open(path, encoding="utf-8").read().split("\n")
        except FileNotFoundError:
            continue
        for number, line in enumerate(lines, 1):
            place = f"{path}:{number}"
            include = re.match(r'\s*#include\s+["<]([^">]+)[">]', line)
            if parts[0] == "engine":
                room = parts[1]
                if include:
                    target = include.group(1)
                    if target.startswith("engine/"):
                        used = target.split("/")[1]
                        if used not in allowed.get(room, set()):
                            faults.append(f"{place}: engine/{room} may not include engine/{used}")
                    elif target.split("/")[0] in ("service", "clients", "ratings", "tests"):
                        faults.append(f"{place}: the engine may not include {target}")
                    elif target.startswith("grpc") or "/grpc" in target:
                        faults.append(f"{place}: the engine knows no gRPC")
                    elif (target.endswith(".pb.h") or target.startswith("google/protobuf")) \
                            and room != "document":
                        faults.append(f"{place}: messages belong into engine/document")
                if room != "number":
                    for pattern, why in FORBIDDEN:
                        if pattern.search(code_of(line)):
                            faults.append(f"{place}: {pattern.search(line).group(0)}: {why}")
            elif parts[0] in OTHERS and include:
                target = include.group(1)
                top = target.split("/")[0]
                if top in ("engine", "service", "clients", "ratings", "tests"):
                    room = "/".join(target.split("/")[:2])
                    if top not in OTHERS[parts[0]] and room not in OTHERS[parts[0]]:
                        faults.append(f"{place}: {parts[0]} may not include {target}")
    print("\n".join(faults) if faults else "imports and calls: clean")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
