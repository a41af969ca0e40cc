#!/usr/bin/env python3
"""What is seated in openings and what clamps it, counted from the plan's text by hand against shopping.csv and plan.json;
and what plan.json says of a grid of which openings are left out."""
import csv
import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
PLAN = """
plan "Board" { measures metric }
use "stock/sheets"
use "stock/tools"
use "stock/air"
stock spigot : collar { outside 100 mm; bore 94 mm; flange 130 mm; length 60 mm; price 4.50; source "invented" }
cabinet stand {
    panel top   : ply18 { left at 0 mm; width 800 mm; front at 0 mm; depth 400 mm; bottom at 0 mm }
    panel lower : ply18 { width of top; depth of top; left at 0 mm; front at 0 mm; top at -100 mm }
    panel board : ply18 { width of top; depth of top; left at 0 mm; front at 0 mm; top at -300 mm }
    openings wells in top, lower {
        round 100.5 mm
        list (150 mm, 200 mm), (320 mm, 200 mm), (490 mm, 200 mm)
        without 2
        seat spigot in top with clamp100
        seat spigot in lower
    }
    openings cables in top { round 60 mm; list (650 mm, 100 mm), (650 mm, 300 mm); seat grommet60 in top }
    openings port in top { round 100.5 mm; at (320 mm, 320 mm); seat spigot in top with clamp120 }
    openings vents in board { round 12 mm; grid 4 x 3 over board inset 20 mm; without 1, 2, 3, 4, 5 }
}
"""
# Two wells and a port in `top`, two wells in `lower`; a row of vents is gone, and one opening of the next.
WANT = {"spigot": 5, "clamp100": 2, "clamp120": 1, "grommet60": 2}
failed = 0
number = 0


def check(name, faults):
    global failed, number
    number += 1
    failed += bool(faults)
    print(f"{'not ok' if faults else 'ok'} - {name}")
    for f in faults:
        print(f"# {f}")


def main():
    with tempfile.TemporaryDirectory() as tmp:
        path = os.path.join(tmp, "board.plan")
        with open(path, "w", encoding="utf-8") as f:
            f.write(PLAN)
        p = subprocess.run([WINDCHEST, "compile", path, "-o", os.path.join(tmp, "out"), "--allow", "screw-edge"],
                           capture_output=True, text=True, timeout=120)
        check("the board is compiled", [] if p.returncode == 0 else [p.stderr])
        if p.returncode:
            return
        with open(os.path.join(tmp, "out", "shopping.csv"), newline="", encoding="utf-8") as f:
            rows = list(csv.DictReader(f))
        with open(os.path.join(tmp, "out", "plan.json"), encoding="utf-8") as f:
            plan = json.load(f)
    listed = {stock: [r for r in rows if r["stock"] == stock] for stock in WANT}
    check("shopping.csv has each of them once, by the number of openings",
          [f"{s}: {listed[s]}" for s, n in WANT.items() if [r["needed"] for r in listed[s]] != [str(n)]])
    prices = {s["name"]: s["price_cents"] for s in plan["stock"]}
    check("what they cost is their number times the price",
          [f"{s}: {listed[s]}" for s, n in WANT.items()
           if [round(float(r["cost"]) * 100) for r in listed[s]] != [n * prices[s]]])
    bought = {b["stock"]: b["amount"] for b in plan["shopping"]}
    check("plan.json counts the same", [f"{s}: {bought.get(s)}" for s, n in WANT.items() if bought.get(s) != n])
    sheets = {(o["name"], s["part"]): s for o in plan["openings"] for s in o["sheets"]}
    said = {k: (s["collar"], s.get("clamp")) for k, s in sheets.items()}
    want = {("wells", "top"): ("spigot", "clamp100"), ("wells", "lower"): ("spigot", None),
            ("cables", "top"): ("grommet60", None), ("port", "top"): ("spigot", "clamp120"),
            ("vents", "board"): (None, None)}
    check("plan.json names what sits in each sheet, and its clamp",
          [f"{k}: {said.get(k)}" for k, v in want.items() if said.get(k) != v])
    vents = next(o for o in plan["openings"] if o["name"] == "vents")
    given = {k: vents[k] for k in ("rows", "columns", "left_out")} | {"axes": len(vents["axes"])}
    check("rows and columns are those that are left",
          [] if given == {"rows": 2, "columns": 4, "left_out": 5, "axes": 7} else [str(given)])


main()
print(f"1..{number}")
sys.exit(failed > 0)
