#!/usr/bin/env python3
"""The air pages of the book against air.json, and the rules' figures by a second route from the conditions."""
import json
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
VARIANTS = [
    ("luthier-booth", []),
    ("paddle-bench", []),
    ("luthier-booth", ["--paper", "letter", "--measures", "inch"]),
    ("paddle-bench", ["--paper", "a4", "--measures", "metric"]),
]
# What one of a unit is in SI, by the SI unit that air.json names.
UNITS = {
    "m3 s-1": {False: (1 / 3600, "m³/h"), True: (0.028316846592 / 60, "cfm")},
    "m s-1": {False: (1, "m/s"), True: (0.00508, "ft/min")},
    "m-1 kg s-2": {False: (1, "Pa"), True: (249.08891, "in.wg")},
    "m2 kg s-3": {False: (1, "W"), True: (745.69987158227022, "hp")},
}
bad = 0


def verdict(name, problems):
    global bad
    print(("not ok - " if problems else "ok - ") + name)
    for p in problems[:12]:
        print("# " + p)
    bad |= bool(problems)


def plain(text):
    return re.sub(r"\s+", " ", text.replace("_", " "))


def shown(text, value, unit, inch):
    """Does the text hold the value in the plan's unit, to its last digit, and to three digits in all (noughts at the end may be left out)?"""
    if unit not in UNITS:
        return True
    size, word = UNITS[unit][inch]
    want = value / size
    for m in re.finditer(r"(-?[0-9]+(?:\.[0-9]+)?) " + re.escape(word), text):
        n = m.group(1)
        step = 10.0 ** -(len(n.split(".")[1]) if "." in n else 0)
        off = abs(float(n) - want)
        if off <= 0.5001 * step and (step <= abs(want) / 100 or off <= abs(want) / 1000):
            return True
    return False


def again(air, rule):
    """A rule's value once more, from the branches of the conditions; None where this is not its second route."""
    name, about = rule["rule"], rule["about"]
    solved = [c for c in air["conditions"] if c["solved"]]
    branch = {b["name"]: b for b in air["branches"]}
    def each(key):
        return [(b[key], c) for c in solved for b in c["branches"] if b["branch"] == about]
    count = branch.get(about, {}).get("count", 1) or 1
    if name == "fan-curve" and not rule["at_least"]:
        return max(v for v, _ in each("flow_m3_s")) / count
    if name == "fan-stall":
        return min(v for v, _ in each("flow_m3_s")) / count
    if name == "fan-motor":
        fan = next(f for f in air["fans"] if f["branch"] == about)
        return max(b["flow_m3_s"] / count * -b["loss_pa"] for c in solved for b in c["branches"]
                   if b["branch"] == about) / fan["efficiency"]
    if name == "filter-curve":
        return max(abs(v) for v, _ in each("flow_m3_s")) / count
    if name == "filter-speed":
        return max(abs(v) for v, _ in each("speed_m_s"))
    if name == "filter-face":
        return max(abs(v) for v, _ in each("face_speed_m_s"))
    if name == "air-backwards":
        return min(b["flow_m3_s"] for c in solved for b in c["branches"] if branch[b["branch"]]["kind"] != "leak")
    if name == "covered-flow":
        return next(b["flow_m3_s"] for c in solved for b in c["branches"]
                    if b["branch"] == about and c["condition"] == rule["condition"])
    return None


def rules(air, text, inch):
    problems, second = [], 0
    for r in air["rules"]:
        if r["rule"] not in text or plain(r["about"]) not in text:
            problems.append(f"{r['rule']} of {r['about']} is not in the book")
        if not r["source"] or not r["asks"]:
            problems.append(f"{r['rule']} has no source")
        if r["value"] is None:
            if not r["said"]:
                problems.append(f"{r['rule']} says nothing")
            continue
        holds = r["value"] >= r["limit"] if r["at_least"] else r["value"] <= r["limit"]
        if holds != r["holds"]:
            problems.append(f"{r['rule']}: {r['value']} against {r['limit']} and holds is {r['holds']}")
        for v in (r["value"], r["limit"]):
            if not shown(text, v, r["unit"], inch):
                problems.append(f"{r['rule']} of {r['about']}: {v} {r['unit']} is not in the book")
        want = again(air, r)
        if want is None:
            continue
        second += 1
        if abs(want - r["value"]) > 1e-6 * abs(want):
            problems.append(f"{r['rule']} of {r['about']}: {r['value']}, by the second route {want}")
    if second < 5:
        problems.append(f"only {second} values have a second route")
    return problems




def main():
    with tempfile.TemporaryDirectory() as work:
        for i, (plan, options) in enumerate(VARIANTS):
            name = " ".join([plan] + options)
            out = os.path.join(work, str(i))
            done = subprocess.run([WINDCHEST, "compile", os.path.join(ROOT, "plans", plan + ".plan"), "-o", out] + options,
                                  capture_output=True, text=True)
            if done.returncode:
                verdict(name + ": compiles", done.stderr.splitlines())
                continue
            air = json.load(open(os.path.join(out, "air.json"), encoding="utf-8"))
            text = plain(subprocess.run(["pdftotext", "-layout", os.path.join(out, "book.pdf"), "-"],
                                        capture_output=True, text=True, check=True).stdout)
            inch = ("inch" in options) or (plan == "paddle-bench" and not options)
            verdict(name + ": every rule with limit and value, the values by a second route", rules(air, text, inch))
    sys.exit(bad)


main()
