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


# ---- set and held ------------------------------------------------------------------------------------------------
# Edges as they are seen: (axis to the right, runs against it, axis up, runs against it).
SEEN = {"front": (0, False, 2, False), "back": (0, True, 2, False), "left": (1, True, 2, False), "right": (1, False, 2, False),
        "top": (0, False, 1, False), "bottom": (0, False, 1, True)}
AXIS = {"width": 0, "depth": 1, "height": 2}
HEAD, ROOM = 10, 5


def on_face(part, face, point):
    """Right and up from the lower left corner of the blank."""
    out = []
    for k in 0, 2:
        axis, against = SEEN[face][k:k + 2]
        lo, hi = (mm(part["blank"][e][axis]) for e in ("low", "high"))
        out.append(hi - mm(point[axis]) if against else mm(point[axis]) - lo)
    return out


def size_on(shape, face):
    a, b = mm(shape["a"]), mm(shape["b"] if shape["kind"] != "round" else shape["a"])
    return (a, b) if shape["kind"] == "round" or AXIS[shape["along"]] == SEEN[face][0] else (b, a)


def lies(use, at):
    x, y = at
    if use["turned_over"]:
        x = -x
    for _ in range(use["turned_deg"] // 90):
        x, y = -y, x
    return x, y


def meets(point, extent, holes):
    """By trial: what lies under a place of the sheet."""
    out = max(-point[0], point[0] - extent[0], -point[1], point[1] - extent[1])
    if out >= ROOM:
        return "beyond the edge"
    for kind, at, size in holes:
        d = [abs(float(p - q)) for p, q in zip(point, at)]
        if kind == "round" and (d[0]**2 + d[1]**2)**0.5 <= float(size[0]) / 2 - ROOM + 1e-5:
            return "opening"
        if kind == "screw" and (d[0]**2 + d[1]**2)**0.5 <= 1:
            return "screw hole"
    return None


def set_and_held(model):
    """The template's edge from the sheet's, and what its holes meet, worked out again from the features."""
    faults, count, waste = [], 0, 0
    parts = {p["name"]: p for p in model["parts"]}
    tools = {t["name"]: t for t in model["tools"]}
    for t in model["templates"]:
        size, reach = [mm(v) for v in t["size"]], mm(t["base_reach"])
        tool = tools[t["tool"]]
        base = mm(tool["base"]) if tool.get("base") else 150
        if reach != (base - mm(tool["bush"])) / 2:
            faults.append(f"{t['name']}: the base reaches {reach}")
        first = t["serves"][0]
        opening = size_on(t["template_opening"], parts[first["part"]]["work_face"])
        held = [[mm(v) for v in h] for h in t["fixing_holes"]]
        for x, y in held:
            if t["shape"]["kind"] == "round":
                clear = float(x * x + y * y)**0.5 - float(opening[0]) / 2
            else:
                clear = float(max(0, abs(x) - opening[0] / 2)**2 + max(0, abs(y) - opening[1] / 2)**2)**0.5
            if t["shape"]["kind"] != "outline" and clear < float(reach) + HEAD / 2 - 1e-6:
                faults.append(f"{t['name']}: the base runs over the hole at {float(x)}, {float(y)}")
            if abs(x) > size[0] / 2 - 10 or abs(y) > size[1] / 2 - 10:
                faults.append(f"{t['name']}: the hole at {float(x)}, {float(y)} is not in the template")
        for use in t["serves"]:
            part, turned = parts[use["part"]], use["turned_deg"] % 180 == 90
            face = part["work_face"]
            extent = [mm(part["blank"]["high"][SEEN[face][k]]) - mm(part["blank"]["low"][SEEN[face][k]]) for k in (0, 2)]
            mine = [f for f in model["features"] if f["part"] == use["part"]]
            holes = [("screw" if f["kind"] != "opening" else f["shape"]["kind"], on_face(part, face, f["centre"]),
                      size_on(f["shape"], face)) for f in mine
                     if f["kind"] in ("opening", "pilot", "clearance") and (f["kind"] != "opening" or f["through"])
                     and {f["face"], face} <= {face, OPPOSITE[face]}]
            axes = {f["index"]: on_face(part, face, f["centre"]) for f in mine
                    if f["kind"] == "opening" and f["pattern"] == use["pattern"]}
            if sorted(axes) != sorted(p["index"] for p in use["places"]):
                faults.append(f"{t['name']} in {use['part']}: not every opening has its place")
            spread = []
            for run in use["set_by"]:
                block, step = [mm(v) for v in run["block"]], [mm(v) for v in run["step"]]
                spread += [(block[0] + i * step[0], block[1] + k * step[1]) for i in range(run["times"][0])
                           for k in range(run["times"][1])]
            for p in use["places"]:
                count += 1
                want = [axes[p["index"]][k] - size[1 - k if turned else k] / 2 for k in (0, 1)]
                if [mm(v) for v in p["block"]] != want:
                    faults.append(f"{t['name']} in {use['part']}: set by {p['block']}, not {want}")
                if not any(abs(s[0] - want[0]) < 0.01 and abs(s[1] - want[1]) < 0.01 for s in spread):
                    faults.append(f"{t['name']} in {use['part']}: no row of blocks leads to opening {p['index']}")
                for hole, said in zip(held, p["holes_meet"]):
                    by = lies(use, hole)
                    found = meets([axes[p["index"]][k] + by[k] for k in (0, 1)], extent, holes)
                    waste += found is not None
                    if (found or said) != said or (found is None and said in ("opening", "screw hole", "beyond the edge")):
                        if not (found is None and said == "opening" and any(h[0] in ("rect", "slot") for h in holes)):
                            faults.append(f"{t['name']} in {use['part']}: {said}, by trial {found}")
    return faults, count, waste


OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left", "top": "bottom", "bottom": "top"}


def settings(folder, name, text, *options):
    out, model, faults = compiled(folder, text, *options)
    tap.verdict(faults, f"{name} compiles")
    if not out:
        return None
    faults, count, waste = set_and_held(model)
    tap.verdict(faults, f"{name}: the blocks of {count} places and {waste} holes over waste, worked out again")
    return model


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


def example(folder, plan):
    with open(os.path.join(ROOT, "plans", plan + ".plan"), encoding="utf-8") as f:
        return settings(folder, plan, f.read())


def held_everywhere(model, pattern):
    least = [sum(k in ("opening", "screw hole", "beyond the edge") for k in p["holes_meet"]) for t in model["templates"]
             for u in t["serves"] if u["pattern"] == pattern for p in u["places"]]
    tap.held(f"{pattern}: two holes or more hold the template at each of {len(least)} places", len(least) > 20 and min(least) >= 2,
             *map(str, least))


FIELDS = {"issued": "2031-05-17", "number": "SB-4", "owner": "the workshop", "drawn": "the joiner", "approved": "the foreman"}
LABELS = {"issued": "Date of issue", "owner": "Legal owner", "drawn": "Drawn by", "approved": "Approved by"}


def blocks_of(folder, text):
    """The words of each page of the templates, of the title block and of the heads."""
    out, _, faults = compiled(folder, text)
    if not out:
        return None, faults
    pages = subprocess.run(["pdftotext", "-layout", os.path.join(out, "templates.pdf"), "-"], capture_output=True, text=True,
                           check=True).stdout.split("\f")[:-1]
    return pages, faults


def title_blocks(folder):
    """What the plan gives stands in the block and on each sheet; what it does not give leaves no field behind."""
    given = PLAN.replace("{ measures metric }", "{ edition \"C\"; measures metric; " + "; ".join(f'{k} "{v}"' for k, v in FIELDS.items()) + " }")
    pages, faults = blocks_of(folder, given)
    if not pages:
        tap.verdict(faults or ["no pages"], "a plan with all fields of a title block compiles")
        return
    first = pages[0]
    tap.held("the title block has what the plan gives", all(v in first for v in FIELDS.values()) and all(v in first for v in LABELS.values())
             and "SB-4-templates" in first and f"1 of {len(pages)}" in first, first)
    lines = [f"the workshop, SB-4-templates, edition C, issued 2031-05-17, page {i} of {len(pages)}" for i in range(1, len(pages) + 1)]
    worded = sum("Document type" in p for p in pages)
    tap.held("each sheet says what it belongs to", 0 < worded < len(pages) and all(
        line in page for line, page in list(zip(lines, pages))[worded:]), lines[-1], pages[-1])
    bare, _ = blocks_of(folder, PLAN)
    said = [w for w in (*LABELS.values(), *FIELDS.values()) if bare and any(w in p for p in bare)]
    tap.held("a plan that gives none has no field for them", bare and "Document type" in bare[0] and not said, *said)


def plans():
    with tempfile.TemporaryDirectory() as folder:
        title_blocks(folder)
        settings(folder, "two boxes", PLAN)
        wide = PLAN.replace('use "stock/tools"', """tool saw1 : saw { kerf 3 mm }
tool router1 : router { cutter 12.7 mm; bush 30 mm; base 200 mm }""")
        model = settings(folder, "two boxes and a router with a broad base", wide)
        tap.held("a base of 200 mm reaches 85 mm beyond the opening",
                 model and all(mm(t["base_reach"]) == 85 for t in model["templates"]))
        booth = example(folder, "luthier-booth")
        if booth:
            held_everywhere(booth, "vents")
            # By the plan: both sheets have the same openings; the carrier is 2 mm narrower at each side.
            runs = [[mm(v) for v in u["set_by"][0]["block"]] for t in booth["templates"] if t["name"] == "vents"
                    for u in t["serves"]]
            tap.held("the carrier's first block is 2 mm narrower than the baffle's", [a - b for a, b in zip(*runs)] == [2, 0], runs)
        bench = example(folder, "paddle-bench")
        if bench:
            held_everywhere(bench, "wells")


main()
plans()
tap.finish()
