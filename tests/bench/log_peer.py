#!/usr/bin/python3
"""Reads the log that log_bench wrote with pandas.read_csv as it comes, stamps left as text and no
windows cut: log_peer.py DIR."""

import json
import os
import statistics
import sys
import time

import pandas

path = os.path.join(sys.argv[1], "log.csv")
rates = []
for _ in range(5):
    start = time.perf_counter()
    table = pandas.read_csv(path)
    seconds = time.perf_counter() - start
    assert table.shape[1] == 17
    rates.append(os.path.getsize(path) / 1e6 / seconds)
print(json.dumps({"name": "log", "unit": "MB/s", "peer": f"pandas {pandas.__version__} read_csv",
                  "theirs": round(statistics.median(rates))}))
