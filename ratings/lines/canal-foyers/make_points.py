#!/usr/bin/env python3
"""Makes the test points and the log of the invented line "canal-foyers".

THE DATA ARE INVENTED, for demonstration and for tests only. No such units exist.

    make_points.py            writes points/*.csv and logs/*.csv beside this file, always the
                              same bytes
    make_points.py --check    says whether they are what would be written

The machine and the noise of the laboratory are those of ../canal-halls/make_points.py, with
one compressor, and air and water flow held. Two prototypes were tested on days of their own:
the second does SECOND_PART of the first's capacity at the same power. A test day shifts
capacity and compressor power by 0.6 % (one standard deviation), each point by 0.3 %.

The log is one hour of the first prototype at steady conditions. Its expansion valve is told
to hold SUPERHEAT_K and hunts about it.
"""

import importlib.util
import math
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))


def load_halls():
    path = os.path.join(HERE, "..", "canal-halls", "make_points.py")
    spec = importlib.util.spec_from_file_location("halls", path)
    module = importlib.util.module_from_spec(spec)
    # No folder of bytecode in the line's.
    before, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    spec.loader.exec_module(module)
    sys.dont_write_bytecode = before
    return module


halls = load_halls()

UNIT = halls.Unit("", (0.0, 14.0, 0.0), 1700, 12, (0.5, 0.566, 0.5), 1.46, 330.0, 90.0, 60.0)
SPECIMENS = ("prototype-14-1", "prototype-14-2")
SECOND_PART = 0.985
AIR_WB_F = (65.0, 69.0, 73.0)
WATER_F = (60.0, 77.5, 95.0)
DAY_COUNT = 20
DAY_SD, POINT_SD = 0.006, 0.003
SUPERHEAT_K = 5.0
LOG_S, LOG_STEP_S = 3600, 10


def conditions(wb_f, water_f):
    return {"entering_air_db": halls.c_from_f(halls.HELD_AIR_DB_F),
            "entering_air_wb": halls.c_from_f(wb_f),
            "entering_water_temp": halls.c_from_f(water_f),
            "air_flow": UNIT.air_m3s, "water_flow": UNIT.water_m3s}


def plan(rng):
    """Each corner, edge and the middle four times and the middle four more, two a day."""
    places = [(wb, water) for wb in AIR_WB_F for water in WATER_F] * 4
    places += [(AIR_WB_F[1], WATER_F[1])] * 4
    rng.shuffle(places)
    return [places[2 * day:2 * day + 2] for day in range(DAY_COUNT)]


def measured(wb_f, water_f, part, day, rng):
    """What the laboratory wrote down, in its units."""
    wb = wb_f + 0.04 * rng.normal()
    water = water_f + 0.04 * rng.normal()
    true = halls.truth(UNIT, "cooling", "m", conditions(wb, water))
    a, b = rng.normal(), rng.normal()
    capacity = true["total_capacity"] * part * (1.0 + day[0]) * (1.0 + POINT_SD * a)
    power = true["power_input"] * (1.0 + day[1]) * (
        1.0 + POINT_SD * halls.correlated(a, b))
    return {"wb": wb + 0.02 * rng.normal(), "water": water + 0.02 * rng.normal(),
            "db": halls.HELD_AIR_DB_F + 0.05 * rng.normal(),
            "capacity": halls.kbtu_h_from_w(capacity), "power": power / 1000.0}


def points_text():
    lines = ["run,day,serial,entering_air_db[degF],entering_air_wb[degF],"
             "entering_water_temp[degF],total_capacity[kBtu/h],power_input[kW]"]
    for number, serial in enumerate(SPECIMENS, 1):
        rng = halls.Random(f"canal-foyers/{serial}")
        part = 1.0 if number == 1 else SECOND_PART
        for at, places in enumerate(plan(rng), 1):
            a, b = rng.normal(), rng.normal()
            day = (DAY_SD * a, DAY_SD * halls.correlated(a, b))
            for run, (wb_f, water_f) in enumerate(places, 1):
                row = measured(wb_f, water_f, part, day, rng)
                label = f"{number}C{at:02d}"
                lines.append(f"14{label}-{run},{label},{serial},{row['db']:.2f},"
                             f"{row['wb']:.2f},{row['water']:.2f},{row['capacity']:.3f},"
                             f"{row['power']:.4f}")
    return "\n".join(lines) + "\n"


def log_text():
    """The valve hunts with two periods, and the readings scatter besides."""
    rng = halls.Random("canal-foyers/log")
    true = halls.truth(UNIT, "cooling", "m", conditions(67.0, 85.0))
    lines = ["s,entering_air_db[degF],entering_air_wb[degF],entering_water_temp[degF],"
             "total_capacity[kBtu/h],power_input[kW],superheat[delta_degF]"]
    for s in range(0, LOG_S + 1, LOG_STEP_S):
        hunting = 0.50 * math.sin(2 * math.pi * s / 190) + 0.25 * math.sin(
            2 * math.pi * s / 730)
        superheat_k = SUPERHEAT_K + hunting + 0.08 * rng.normal()
        capacity = halls.kbtu_h_from_w(true["total_capacity"]) * (
            1.0 - 0.002 * hunting + 0.002 * rng.normal())
        power = true["power_input"] / 1000.0 * (1.0 + 0.001 * rng.normal())
        lines.append(f"{s},{halls.HELD_AIR_DB_F + 0.06 * rng.normal():.2f},"
                     f"{67.0 + 0.05 * rng.normal():.2f},{85.0 + 0.05 * rng.normal():.2f},"
                     f"{capacity:.3f},{power:.4f},{1.8 * superheat_k:.2f}")
    return "\n".join(lines) + "\n"


def main(arguments):
    stale = []
    for name, text in (("points/foyer-14.csv", points_text()),
                       ("logs/foyer-14-steady.csv", log_text())):
        path = os.path.join(HERE, name)
        if arguments == ["--check"]:
            try:
                with open(path, encoding="ascii", newline="") as file:
                    if file.read() != text:
                        stale.append(path)
            except FileNotFoundError:
                stale.append(path)
        else:
            with open(path, "w", encoding="ascii", newline="") as file:
                file.write(text)
    for path in stale:
        print(f"{path}: differs from what this script makes", file=sys.stderr)
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
