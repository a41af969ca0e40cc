#!/usr/bin/env python3
"""How evenly a field draws, as air.json tells it, by another route: the closed form for many even rows without friction
(docs/air.md), and the sizes of the box behind the field from the plan's own numbers."""
import json
import math
import os
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
ROWS, OPEN_MM, LONG_MM, WIDE_MM, THICK_MM = 20, 20, 1200, 400, 12
PLAN = """
plan "Box" {{ measures metric }}
use "stock/air"
use "stock/tools"
stock ply : sheet {{ size 2440 mm x 1220 mm; thick {thick} mm; density 680 kg/m3 }}
tool saw20 : holesaw {{ cuts {open} mm }}
cabinet box {{
    panel left  : ply {{ left at 0 mm; front at 0 mm; depth {long} mm; bottom at 0 mm; height 600 mm }}
    panel right : ply {{ mirror of left about {wide} mm / 2 }}
    panel top   : ply {{ between left and right; depth of left; top at 600 mm }}
    panel base  : ply {{ between left and right; depth of left; bottom at 0 mm }}
    openings holes in top {{ round {open} mm; grid 4 x {rows} over shelf inset 40 mm }}
    panel shelf : ply {{ between left and right; front at 0 mm; back at 850 mm; top at top.bottom - {deep} mm; loose }}
    item blower : fan_compact {{ centred on base in width; back at {long} mm; bottom at base.top }}
}}
air {{
    space inside
    way room -> holes -> inside -> blower -> room
}}
"""


def solved(folder, deep):
    path = os.path.join(folder, f"deep{deep}.plan")
    with open(path, "w", encoding="utf-8") as f:
        f.write(PLAN.format(thick=THICK_MM, open=OPEN_MM, long=LONG_MM, wide=WIDE_MM, rows=ROWS, deep=deep))
    r = subprocess.run([WINDCHEST, "compile", "-o", path + ".out", path], capture_output=True, text=True, timeout=300)
    if r.returncode:
        return None, r.stderr
    with open(os.path.join(path + ".out", "air.json"), encoding="utf-8") as f:
        return json.load(f), r.stderr


def faults_of(air, deep):
    holes = next(b for b in air["branches"] if b["name"] == "holes")
    dirty = next(c for c in air["conditions"] if c["condition"] == "dirty")
    flow = next(b for b in dirty["branches"] if b["branch"] == "holes")["flow_m3_s"]
    got, broad = holes["spread_dirty"], (WIDE_MM - 2 * THICK_MM) / 1000
    section, out = deep / 1000 * broad, []
    s = holes["open"]["m2"] / section * math.sqrt(2 / holes["loss_coefficient"])
    wanted = {"depth_m": (deep / 1000, 1e-9), "section_m2": (section, 1e-9), "rows": (ROWS, 0),
              "fastest_over_mean": (s / math.tanh(s), 0.06), "slowest_over_mean": (s / math.sinh(s), 0.06),
              "plenum_m_s": (flow / section, 0.06)}
    for key, (value, share) in wanted.items():
        if not abs(got[key] - value) <= share * value + 1e-9:
            out.append(f"{deep} mm: {key} is {got[key]}, by the other route {value:.6g}")
    if got["along"] != "depth" or not 1.0 < got["leaves_at_m"] < LONG_MM / 1000:
        out.append(f"{deep} mm: it leaves along {got['along']} at {got['leaves_at_m']} m")
    return out, got["fastest_over_mean"]


def main():
    last = None
    with tempfile.TemporaryDirectory() as folder:
        for deep in (40, 60, 100):
            air, said = solved(folder, deep)
            if air is None:
                tap.verdict(said.splitlines(), f"the plan with a box {deep} mm deep is compiled")
                continue
            faults, fastest = faults_of(air, deep)
            if last and not fastest < last:
                faults.append(f"{deep} mm draws no more evenly than less depth")
            last = fastest
            tap.verdict(faults, f"even draw through a box {deep} mm deep: its sizes, and the closed form")
    tap.finish()


main()
