#!/usr/bin/env python3
"""The worked calculation, followed with a calculator: every line's numbers give its result within the last printed digit,
the last line of every branch is what the solved network has, and every line stands in the book."""
import json
import math
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
# Ducts, a slot, a free outline, a filter between measured points: what the example plans have not.
CLEANER = """plan "Cleaner" { measures metric }
use "stock/sheets"
use "stock/air"
use "stock/tools"
stock mat : filter {
    size 500 mm x 45 mm x 500 mm
    media 4 m2
    curve { 500 m3/h at 25 Pa; 1700 m3/h at 140 Pa }
    dirty 250 Pa at 900 m3/h
}
cabinet cleaner {
    panel left  : ply12 {
        left at 0 mm; front at 0 mm; back at 700 mm
        bottom at 0 mm; height mat.height + 2 * ply12.thick
    }
    panel right : ply12 { mirror of left about left.right + mat.width / 2 }
    panel floor : ply12 { between left and right; depth of left; bottom at 0 mm }
    panel roof  : ply12 { between left and right; depth of left; top at left.top }
    panel rear  : ply12 { between left and right; between floor and roof; back at 700 mm }
    item pad : mat { between left and right; against floor.top; front at 20 mm }
    item fan : fan_compact { centred between left and right; against floor.top; against rear.front }
    openings outlet in rear { slot 260 mm x 180 mm along width; centred on fan }
    openings chink in rear { rect 300 mm x 20 mm along width corner 8 mm; at (pad.left + 250 mm, rear.top - 40 mm) }
    openings breath in roof {
        outline { from (-40 mm, -30 mm); to (40 mm, -30 mm); to (40 mm, 30 mm); to (-40 mm, 30 mm); close }
        at (pad.left + 250 mm, 300 mm)
    }
}
air {
    altitude    700 m
    temperature 24 degC
    humidity    55 %
    room        60 m3
    mixing      3
    dust        0.1 kg/h
    handles     wood
    space inside
    duct hose {
        diameter 160 mm; length 2 m; loss 0.4
        elbow 90 deg about 240 mm
        elbow 45 deg about 240 mm
        entry bell
        damper 12 Pa
    }
    duct box { section 300 mm x 120 mm; length 1500 mm; mitre 45 deg; loss 0.2; damper 4 Pa }
    space ahead, hall
    way room -> hose -> hall -> box -> ahead -> pad -> inside -> fan -> outlet -> room
    way room -> breath -> inside
    way room -> chink -> inside
    effect 0.5 before fan
    release 150 mm before hose as flanged with still
    release 100 mm before breath as plain with still
    release 120 mm before chink as slot with still
    exhaust outdoors
    makeup 900 cm2
}
allow makeup-air because "a plan for figures, not for use"
"""
VARIANTS = [
    ("luthier-booth", None, [], 80),
    ("paddle-bench", None, [], 60),
    ("luthier-booth", None, ["--paper", "letter", "--measures", "inch"], 80),
    ("paddle-bench", None, ["--paper", "a4", "--measures", "metric"], 60),
    ("cleaner", CLEANER, [], 60),
    ("cleaner", CLEANER, ["--measures", "inch", "--paper", "letter"], 60),
]
bad = False


def verdict(name, problems):
    global bad
    print(("not ok - " if problems else "ok - ") + name)
    for p in problems[:12]:
        print("# " + p)
    bad = bad or bool(problems)


def calculate(text):
    """What a pocket calculator gives for the printed numbers."""
    if not re.fullmatch(r"[0-9. ()+\-×/^²³√]*(?:(?:log|ln)\([0-9. ()+\-×/^²³√]*)*", text):
        raise ValueError("not for a calculator: " + text)
    for a, b in (("×", "*"), ("²", "**2"), ("³", "**3"), ("^", "**"), ("√", "math.sqrt"), ("log", "math.log10"), ("ln", "math.log")):
        text = text.replace(a, b)
    return eval(text, {"math": math, "__builtins__": {}})


def last_digit(printed):
    return 10.0 ** -(len(printed.split(".")[1]) if "." in printed else 0)


def followed(lines):
    problems = []
    for l in lines:
        if l["numbers"] is None:
            problems.append(f"{l['what']} has no numbers: {l['formula']} = {l['result']}")
            continue
        if "=" not in l["numbers"] and abs(calculate(l["numbers"]) - float(l["result"])) > last_digit(l["result"]):
            problems.append(f"{l['what']}: {l['numbers']} is {calculate(l['numbers'])}, printed {l['result']}")
        if l["also"]:
            left, right = l["also"].split(" = ")
            if abs(calculate(left) - float(right)) > last_digit(right):
                problems.append(f"{l['what']}: {left} is {calculate(left)}, printed {right}")
    return problems


def blocks(lines):
    out, head = {}, None
    for l in lines:
        if "of" in l:
            head = l["of"]
            out[head] = []
        else:
            out[head].append(l)
    return out


def is_it(problems, what, printed, value):
    if abs(float(printed) - value) > 0.501 * last_digit(printed):
        problems.append(f"{what}: printed {printed}, solved {value}")


def agrees(air, name):
    """The ends of the calculation against the solved network; and that it is no solution made up for the page."""
    problems = []
    work = air["worked"]
    solved = next(c for c in air["conditions"] if c["condition"] == work["condition"])
    by = blocks(work["lines"])
    for i, b in enumerate(solved["branches"]):
        head = next((h for h in by if h.startswith(f"{i + 1}  ")), None)
        if head is None:
            problems.append(f"branch {b['branch']} is not worked out")
            continue
        costs = [l for l in by[head] if l["unit"] == "Pa" and l["what"].startswith(("Pressure it", "The same in Pa"))]
        costs += [l for l in by[head] if l["what"] == "Pressure it costs, due" and l["unit"] == "in.wg"]
        if not costs:
            problems.append(f"{head} does not end in a pressure")
            continue
        size = 249.08891 if costs[0]["unit"] == "in.wg" else 1
        is_it(problems, head, costs[0]["result"], abs(b["loss_pa"]) / size)
        speeds = [l for l in by[head] if l["unit"] == "m/s" and (l["what"].startswith("Speed in the o") or
                  l["what"] in ("Speed in the gap", "Speed in the duct", "Speed in it", "Filtration speed"))]
        if b["speed_m_s"] is not None and speeds:
            is_it(problems, head + ": speed", speeds[0]["result"], abs(b["speed_m_s"]))
    ways = next(v for h, v in by.items() if h.startswith("Round the way"))
    gauges = {s["space"].replace("_", " "): s["gauge_pa"] for s in solved["spaces"]}
    seen = 0
    for l in ways:
        if l["what"].startswith("In ") and l["what"][3:] in gauges:
            is_it(problems, l["what"], l["result"], gauges[l["what"][3:]])
            seen += 1
    if seen < 2:
        problems.append(f"only {seen} gauge readings follow from the way")
    total = next((l for l in ways if l["what"].startswith("All that it costs")), None)
    rise = max(-b["loss_pa"] for b in solved["branches"])
    if total is None:
        problems.append("the pressures round the way are not added up")
    else:
        is_it(problems, "round the way", total["result"], rise)
    is_it(problems, "density", next(l for l in by["The air"] if l["what"] == "Density")["result"], air["density_kg_m3"])
    return problems


def in_book(lines, pdf):
    raw = subprocess.run(["pdftotext", "-raw", pdf, "-"], capture_output=True, text=True, check=True).stdout
    text = re.sub(r"\s+", " ", raw)
    problems = []
    for l in lines:
        whole = f"{l['formula']} = {l['numbers']} = {l['result']} {l['unit']}".strip()
        if l["also"]:
            whole += f"; {l['also']} {l['also_unit']}"
        if whole not in text:
            problems.append("not in the book: " + whole)
        if l["source"] and l["source"] not in text:
            problems.append("source not in the book: " + l["source"])
    return problems


def main():
    with tempfile.TemporaryDirectory() as work:
        for i, (plan, text, options, least) in enumerate(VARIANTS):
            name = " ".join([plan] + options)
            path = os.path.join(ROOT, "plans", plan + ".plan")
            if text:
                path = os.path.join(work, plan + ".plan")
                open(path, "w", encoding="utf-8").write(text)
            out = os.path.join(work, str(i))
            done = subprocess.run([WINDCHEST, "compile", path, "-o", out] + options, capture_output=True, text=True)
            if done.returncode:
                verdict(name + ": compiles", done.stderr.splitlines() or ["status %d" % done.returncode])
                continue
            air = json.load(open(os.path.join(out, "air.json"), encoding="utf-8"))
            lines = [l for l in air["worked"]["lines"] if "of" not in l]
            few = [f"only {len(lines)} lines"] if len(lines) < least else []
            verdict(f"{name}: {len(lines)} lines give what is printed", followed(lines) + few)
            verdict(f"{name}: they end in the solved network's own figures", agrees(air, name))
            verdict(f"{name}: they stand in the book", in_book(lines, os.path.join(out, "book.pdf")))
        # The calculator itself finds a wrong last digit.
        wrong = [{"what": "x", "numbers": "2 × 3.5²", "result": "24.6", "formula": "x", "also": None}]
        verdict("a result that is wrong in its last digit is found", [] if followed(wrong) else ["it is not"])
    sys.exit(bad)


main()
