#!/usr/bin/python3
"""Reads the files that csv_bench wrote with pandas.read_csv as it comes: csv_peer.py DIR."""

import json
import os
import statistics
import sys
import time

import pandas


def rate(path):
    rates = []
    for _ in range(5):
        start = time.perf_counter()
        table = pandas.read_csv(path)
        seconds = time.perf_counter() - start
        assert table.shape[1] == 20
        rates.append(os.path.getsize(path) / 1e6 / seconds)
    return statistics.median(rates)


folder = sys.argv[1]
print(json.dumps({
    "name": "csv",
    "unit": "MB/s",
    "peer": f"pandas {pandas.__version__} read_csv",
    "theirs": round(rate(os.path.join(folder, "digits.csv"))),
    "theirs_three_decimals": round(rate(os.path.join(folder, "decimals.csv"))),
}))
