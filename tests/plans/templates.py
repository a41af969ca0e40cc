#!/usr/bin/env python3
"""Router templates, from the plan's text by hand and by a second route: openings that are alike share one template,
whatever pattern and sheet they stand in, turned or turned over; others do not."""
import json
import os
import subprocess
import sys
import tempfile
from fractions import Fraction

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
# Two boxes, one the other's mirror image. Each side has a free outline that no turn makes its own mirror image, a
# rectangle that runs along the depth, and a row of holes; the lid has the rectangle along the width, and one of its own.
PLAN = """plan "Two boxes" { measures metric }
use "stock/sheets"
use "stock/hardware"
use "stock/tools"
assembly box {
    takes tall : length
    panel side : ply18 { left at 0 mm; front at 0 mm; depth 500 mm; bottom at 0 mm; top at tall }
    panel lid  : ply12 { left at 0 mm; width 500 mm; front at 0 mm; depth 500 mm; bottom at tall }
    openings hook in side {
        outline {
            from (-60 mm, -40 mm) corner 8 mm
            to (60 mm, -40 mm) corner 8 mm
            to (60 mm, 10 mm) corner 10 mm
            to (-60 mm, 40 mm) corner 8 mm
            close
        }
        at (130 mm, 120 mm)
    }
    openings port in side { rect 140 mm x 90 mm corner 15 mm along depth; at (350 mm, 120 mm) }
    openings row in side { round 50 mm; grid 3 x 1 over side inset 150 mm; without 2; made by router1 }
    openings hatch in lid { rect 140 mm x 90 mm corner 15 mm along width; at (200 mm, 150 mm) }
    openings high in lid { rect 90 mm x 140 mm corner 15 mm along width; at (400 mm, 150 mm) }
    openings slim in lid { rect 140 mm x 90 mm corner 16 mm along width; at (200 mm, 400 mm) }
    join side to lid : butt { glue glue_pva }
}
cabinet pair {
    place east : box { tall 900 mm; left at 10 mm; front at 0 mm; bottom at 0 mm }
    place west : box { mirror of east about 0 mm in width }
}
"""


def compiled(folder, text, *options):
    path, out = os.path.join(folder, "boxes.plan"), os.path.join(folder, "out")
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)
    p = subprocess.run([WINDCHEST, "compile", path, "-o", out, *options], capture_output=True, text=True, timeout=120, cwd=ROOT)
    if p.returncode:
        return None, None, [p.stderr]
    with open(os.path.join(out, "plan.json"), encoding="utf-8") as f:
        return out, json.load(f), []


def mm(v):
    return Fraction(v["exact"])


def serves(t):
    return {(u["pattern"], u["part"]): (u["turned_deg"], u["turned_over"]) for u in t["serves"]}


def alike(model):
    """Which sheets share a template and how it lies there, from the plan's text. The lids are worked from the top: what
    runs along the width there runs to the right, as what runs along the depth does on a side. Mirrored, the hook wants
    the other side of its template up; rectangles and rounds do not care."""
    want = {"hook": {"hook side": (0, False)}, "port": {"port side": (0, False), "hatch lid": (0, False), "high lid": (90, False)},
            "row": {"row side": (0, False)}, "slim": {"slim lid": (0, False)}}
    found = {t["name"]: serves(t) for t in model["templates"]}
    faults = [f"there are {sorted(found)}"] if sorted(found) != [f"east.{n}" for n in sorted(want)] else []
    for name, uses in want.items():
        expected = {}
        for wing in "east", "west":
            for place, lies in uses.items():
                pattern, part = place.split()
                over = name == "hook" and wing == "west"
                expected[(f"{wing}.{pattern}", f"{wing}.{part}")] = (lies[0], over)
        if found.get(f"east.{name}") != expected:
            faults.append(f"{name}: {found.get(f'east.{name}')}, not {expected}")
    return faults


def main():
    with tempfile.TemporaryDirectory() as folder:
        out, model, faults = compiled(folder, PLAN)
        tap.verdict(faults, "a box and its mirror image compile")
        if not out:
            return
        tap.verdict(alike(model), "openings that are alike share a template, turned and turned over as they lie")
        names = sorted(n for n in os.listdir(out) if n.startswith("template-"))
        tap.held("one drawing for each", names == sorted(f"template-{t['name']}.svg" for t in model["templates"]), names)
        with open(os.path.join(out, "steps.json"), encoding="utf-8") as f:
            steps = json.load(f)
        ops = {i + 1: o for i, o in enumerate(steps["operations"])}
        made = {o["what"].split("template ")[1].replace(" ", "."): i for i, o in ops.items() if o["kind"] == "template"}
        tap.held("each is made once", sorted(made) == sorted(t["name"] for t in model["templates"]), sorted(made))
        edges = {(e["before"], e["after"]) for e in steps["edges"]}
        late = []
        for t in model["templates"]:
            for u in t["serves"]:
                cut = next(i for i, o in ops.items() if o["kind"] == "open" and o["pattern"] == u["pattern"])
                if (made.get(t["name"]), cut) not in edges:
                    late.append(f"{t['name']} before {u['pattern']}")
        tap.verdict(late, "and before every sheet that it serves is cut")
        _, other, faults = compiled(folder, PLAN.replace("to (60 mm, 10 mm) corner 10 mm", "to (60 mm, 40 mm) corner 8 mm"))
        tap.held("a hook that is its own mirror image is not turned over", other and not any(
            u["turned_over"] for t in other["templates"] for u in t["serves"]), *faults)


main()
tap.finish()
