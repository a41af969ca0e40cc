#!/usr/bin/env python3
"""docs/rules.md lists every rule of the program with its sentence, family by family, and every rule has a page.

    tests/house/rule-list.py             compares
    tests/house/rule-list.py --update    writes the lists into docs/rules.md
"""
import json
import os
import subprocess
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
PATH = os.path.join(ROOT, "docs", "rules.md")
END = "what the program knows.\n"
fail = False


def verdict(good, name, evidence=()):
    global fail
    print(("ok - " if good else "not ok - ") + name)
    for line in () if good else evidence:
        print("#", line)
    fail = fail or not good


def lists(rows):
    text, family = "", None
    for row in rows:
        if row["family"] != family:
            family = row["family"]
            text += f"\n## {family}\n\n| rule | asks for |\n|---|---|\n"
        text += f"| `{row['rule']}` | {row['asks for']} |\n"
    return text


def main():
    out = subprocess.run([WINDCHEST, "rules", "--format", "json"], capture_output=True, check=True).stdout
    rows = json.loads(out)["rows"]
    with open(PATH, encoding="utf-8") as f:
        before, end, old = f.read().partition(END)
    new = lists(rows)
    if "--update" in sys.argv[1:]:
        with open(PATH, "w", encoding="utf-8") as f:
            f.write(before + END + new)
        return 0
    lines, want = set(old.split("\n")), set(new.split("\n"))
    verdict(end and old == new, f"docs/rules.md lists the {len(rows)} rules as the program does",
            ["tests/house/rule-list.py --update writes them"] + sorted(lines ^ want)[:20])
    pages = {f[:-5] for f in os.listdir(os.path.join(ROOT, "docs", "rules")) if f.endswith(".page")}
    rules = {row["rule"] for row in rows}
    verdict(rules <= pages, "every rule has a page, docs/rules/NAME.page", sorted(rules - pages))
    verdict(pages <= rules, "every page is of a rule", sorted(pages - rules))
    return fail


if __name__ == "__main__":
    sys.exit(main())
