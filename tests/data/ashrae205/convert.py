"""Writes chillers.csv and declared.csv from ASHRAE 205 RS0001 example files.

    python3 convert.py FOLDER_WITH_RS0001_JSON_FILES

One row for each curve set, temperatures and compressor sequence number. Numbers are copied with all
their digits; only kelvin is turned into degrees Celsius, rounded to 1e-9.
"""
import csv
import glob
import json
import os
import re
import sys

MAP_AXES = ("evaporator_liquid_volumetric_flow_rate", "evaporator_liquid_leaving_temperature",
            "condenser_liquid_volumetric_flow_rate", "condenser_liquid_entering_temperature",
            "compressor_sequence_number")


def celsius(kelvin):
    return round(kelvin - 273.15, 9)


def rows(path):
    document = json.load(open(path))
    text = document["metadata"]["description"]
    name = re.search(r"curve set '(\w+)'", text).group(1)
    cop, iplv = (float(x) for x in re.search(r"([\d.]+) COP, ([\d.]+) IPLV", text).groups())
    performance = document["performance"]["performance_map_cooling"]
    grid = performance["grid_variables"]
    assert tuple(grid) == MAP_AXES
    lookup = performance["lookup_variables"]
    assert set(lookup["operation_state"]) == {"NORMAL"}
    table = []
    index = 0  # the last axis varies fastest
    for leaving in grid[MAP_AXES[1]]:
        for entering in grid[MAP_AXES[3]]:
            for sequence in grid[MAP_AXES[4]]:
                table.append((name, celsius(leaving), celsius(entering), sequence,
                              lookup["net_evaporator_capacity"][index],
                              lookup["input_power"][index]))
                index += 1
    return (name, cop, iplv), table


def main(folder):
    here = os.path.dirname(os.path.abspath(__file__))
    files = sorted(glob.glob(os.path.join(folder, "ASHRAE90-1-2022-AppJ-*.json")))
    converted = [rows(path) for path in files]
    with open(os.path.join(here, "declared.csv"), "w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["curve_set", "cop", "iplv_cop"])
        writer.writerows(head for head, _ in converted)
    with open(os.path.join(here, "chillers.csv"), "w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["curve_set", "leaving_chilled_water_temp_c",
                         "entering_condenser_water_temp_c", "sequence_number",
                         "capacity_w", "power_w"])
        for _, table in converted:
            writer.writerows(table)


main(sys.argv[1])
