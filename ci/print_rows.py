"""Prints rows of JSON, one a line in a file, as a table; writes them as one document.

    print_rows.py checks FILE [--json OUT]     checks against the world
    print_rows.py rows FILE [--json OUT]       benchmark rows

Exits 1 where a row is not ok.
"""

import json
import sys


def short(value):
    return f"{value:.4g}" if isinstance(value, float) else str(value)


def print_table(header, table):
    widths = [max(len(row[i]) for row in [header] + table) for i in range(len(header))]
    for row in [header] + table:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths)).rstrip())


def main():
    kind, path, *rest = sys.argv[1:]
    items = [json.loads(line) for line in open(path, encoding="utf-8") if line.strip()]
    if kind == "checks":
        items.sort(key=lambda item: (item["kind"] != "outside", item["name"]))
        header = ["check", "kind", "cases", "worst", "tolerance", "ok", "source"]
        print_table(header, [[item["name"], item["kind"], str(item["cases"]),
                              short(item["worst"]), short(item["tolerance"]),
                              "yes" if item["ok"] else "NO", item["source"]]
                             for item in items])
    else:
        header = ["name", "ours", "peer or limit", "unit", "ratio", "wanted", "ok", "limit"]
        print_table(header, [[item["name"], short(item["ours"]), short(item["peer"]),
                              item["unit"], short(item["ratio"]), short(item["wanted"]),
                              "yes" if item["ok"] else "NO", item.get("limit") or ""]
                             for item in items])
    if "--json" in rest:
        with open(rest[rest.index("--json") + 1], "w", encoding="utf-8") as out:
            json.dump({kind: items}, out, indent=1)
            out.write("\n")
    bad = [item["name"] for item in items if not item["ok"] and not item.get("limit")]
    if not items:
        print("nothing was measured", file=sys.stderr)
        return 1
    if bad:
        print("short of what is wanted: " + ", ".join(bad), file=sys.stderr)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
