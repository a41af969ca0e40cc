#!/usr/bin/env python3
"""Joints by a second route: every part of a plan with all kinds of joints is put together from plan.json as a solid (its
blank less what is cut into it), and the solids are held against each other in the cabinet, exactly."""
import csv
import itertools
import json
import os
import shutil
import subprocess
import sys
import tempfile
from fractions import Fraction as F

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
CUTS = ("groove", "rabbet", "shoulder", "halving", "notch")
PLAN = """
plan "All joints" { measures metric }
use "stock/tools"
stock ply : sheet { size 2440 mm x 1220 mm; thick 18 mm; density 680 kg/m3; made plywood }
stock thin : sheet { size 2440 mm x 1220 mm; thick 6 mm; density 600 kg/m3; made plywood }
stock oak : bar { section 60 mm x 22 mm; length 2500 mm; density 700 kg/m3 }
stock square : bar { section 45 mm x 45 mm; length 2500 mm; density 500 kg/m3 }
stock s16 : screw { diameter 3.5 mm; length 16 mm; pilot 2 mm; clearance 4 mm }
stock s40 : screw { diameter 4 mm; length 40 mm; pilot 2.5 mm; clearance 4.5 mm; sink 8 mm }
stock s82 : screw { diameter 4 mm; length 40 mm; pilot 2.5 mm; clearance 4.5 mm; sink 8 mm; head_angle 82 deg }
stock foam : gasket { thick 6 mm; pressed 2 mm; width 10 mm }
cabinet box {
    panel left  : ply { left at 0 mm; front at 0 mm; depth 300 mm; bottom at 0 mm; height 800 mm }
    panel right : ply { mirror of left about 400 mm in width }
    panel floor : ply { between left and right; depth of left; bottom at 0 mm }
    panel lid   : ply { between left and right; depth of left; top at left.top }
    panel shelf : ply { between left and right; front at 0 mm; back at 288 mm; bottom at 400 mm }
    panel ledge : ply { between left and right; front at 0 mm; back at 288 mm; bottom at 600 mm }
    slat jamb   : oak { left at 1600 mm; back at 0 mm; bottom at 0 mm; height 600 mm; broad width }
    slat jamb2  : oak { left at 1960 mm; back at 0 mm; bottom at 0 mm; height 600 mm; broad width }
    panel rear  : thin { between jamb.right and jamb2.left; back at -8 mm; bottom at 50 mm; height 500 mm }
    panel beside : ply { right at left.left; width 200 mm; depth of left; bottom at 425 mm }
    panel back_wall : ply { left at 0 mm; right at 800 mm; front at left.back + foam.pressed; bottom at 0 mm; height 700 mm }
    panel one : ply { left at 900 mm; right at 1200 mm; front at 150 mm; bottom at 0 mm; height 300 mm }
    panel two : ply { left at 1040 mm; front at 0 mm; depth 300 mm; bottom at 0 mm; height 200 mm }
    slat stile  : oak { left at 0 mm; back at 0 mm; bottom at 0 mm; height 800 mm; broad width }
    slat stile2 : oak { right at 800 mm; back at 0 mm; bottom at 0 mm; height 800 mm; broad width }
    slat rail   : oak { left at 0 mm; right at 800 mm; back at 0 mm; bottom at 0 mm; broad height }
    slat rail2  : oak { left at 0 mm; right at 800 mm; back at 0 mm; bottom at 370 mm; broad height }
    slat muntin : oak { left at 370 mm; back at 0 mm; bottom at 0 mm; height 740 mm; broad width }
    leg pillar : square { left at 1300 mm; front at 600 mm; bottom at 0 mm; height 500 mm }
    panel pa : ply { left at 1300 mm; right at 1500 mm; back at pillar.front; bottom at 0 mm; height 500 mm }
    panel pb : ply { front at 600 mm; back at 800 mm; right at pillar.left; bottom at 0 mm; height 500 mm }
    slat tenon  : oak { left at 900 mm; width 300 mm; back at 400 mm; bottom at 300 mm; broad height }
    slat post   : oak { left at 1200 mm; back at 400 mm; bottom at 0 mm; height 500 mm; broad width }
    join floor into left, right : rabbet { depth 6 mm; glue; screws s40 every 120 mm; first 40 mm }
    join lid into left, right : tongue { thick 6 mm; long 8 mm; glue }
    join shelf into left, right : dado { depth 6 mm; stopped 20 mm from front; glue; screws s82 every 100 mm }
    join ledge into left, right : dado { depth 6 mm; allowance 0.3 mm; measured; glue }
    join rear into jamb, jamb2 : groove { depth 6 mm; room 2 mm; loose; allowance 0.4 mm }
    join beside to left : butt { glue; screws s40 every 100 mm }
    join left, right to back_wall : butt { screws s40 every 200 mm; gasket foam }
    join pillar to pa, pb : lap { screws s40 every 200 mm }
    join one to two : halving { glue }
    join rail to stile, stile2 : halving { glue }
    join rail2 to stile, stile2 : halving { glue; screws s16 every 30 mm from front }
    join rail2 to muntin : halving { depth 9 mm from back; allowance 0.2 mm; glue }
    join muntin to rail : halving { glue }
    join tenon into post : tongue { thick 8 mm; long 30 mm; shoulder 4 mm on front; glue }
}
"""


def mm(v):
    return F(v["exact"])


def box_of(v):
    return tuple((mm(a), mm(b)) for a, b in zip(v["low"], v["high"]))


AXIS = {"left": 0, "right": 0, "front": 1, "back": 1, "bottom": 2, "top": 2}
HIGH = ("right", "back", "top")
ALONG = {"width": 0, "depth": 1, "height": 2}


def feature_box(f):
    """From face, centre, shape and depth alone."""
    n, depth = AXIS[f["face"]], mm(f["depth"])
    out = []
    for i in range(3):
        c = mm(f["centre"][i])
        if i == n:
            out.append((c - depth, c) if f["face"] in HIGH else (c, c + depth))
            continue
        s = f["shape"]
        size = mm(s["a"] if "along" not in s or ALONG[s["along"]] == i else s["b"])
        out.append((c - size / 2, c + size / 2))
    return tuple(out)


def volume(b):
    v = F(1)
    for lo, hi in b:
        v *= max(hi - lo, 0)
    return v


def common(a, b):
    return tuple((max(x[0], y[0]), min(x[1], y[1])) for x, y in zip(a, b))


class Solid:
    """A box less boxes."""

    def __init__(self, blank, cuts):
        self.blank, self.cuts = blank, cuts

    def has(self, p):
        def inside(b):
            return all(lo < x < hi for x, (lo, hi) in zip(p, b))
        return inside(self.blank) and not any(inside(c) for c in self.cuts)


def lines(solids, i, within=None):
    """All coordinates along axis i at which something begins or ends."""
    at = set()
    for s in solids:
        for b in [s.blank] + s.cuts:
            at.update(b[i])
    if within:
        at = {x for x in at if within[i][0] < x < within[i][1]} | set(within[i])
    return sorted(at)


def cells(solids, within=None):
    grid = [lines(solids, i, within) for i in range(3)]
    for ix in itertools.product(*(range(len(g) - 1) for g in grid)):
        b = tuple((grid[i][k], grid[i][k + 1]) for i, k in enumerate(ix))
        yield b, tuple((lo + hi) / 2 for lo, hi in b)


def shared(a, b, within=None):
    return sum(volume(c) for c, p in cells([a, b], within) if a.has(p) and b.has(p))


def filled(s, within):
    return sum(volume(c) for c, p in cells([s], within) if s.has(p))


def touching(a, b):
    """Area on which the two solids touch: cells of one whose neighbour belongs to the other."""
    grid = [lines([a, b], i) for i in range(3)]
    area = F(0)
    for ix in itertools.product(*(range(len(g) - 1) for g in grid)):
        p = [(grid[i][k] + grid[i][k + 1]) / 2 for i, k in enumerate(ix)]
        in_a, in_b = a.has(p), b.has(p)
        if not in_a and not in_b:
            continue
        for n in range(3):
            if ix[n] + 2 >= len(grid[n]):
                continue
            q = list(p)
            q[n] = (grid[n][ix[n] + 1] + grid[n][ix[n] + 2]) / 2
            if (in_a and b.has(q)) or (in_b and a.has(q)):
                one = F(1)
                for i in range(3):
                    if i != n:
                        one *= grid[i][ix[i] + 1] - grid[i][ix[i]]
                area += one
    return area


def find(model, a, b):
    for i, j in enumerate(model["joints"]):
        if {j["a"], j["b"]} == {a, b}:
            return i, j
    raise KeyError((a, b))


def holes(model, row, kind):
    return sorted((f for f in model["features"] if f["joint"] == row and f["kind"] == kind), key=lambda f: f["index"])


def place(f):
    return tuple(mm(x) for x in f["centre"])


def across(f):
    return tuple(x for i, x in enumerate(place(f)) if i != AXIS[f["face"]])


def screws(model):
    faults = []
    for row, j in enumerate(model["joints"]):
        if not j["screws"]:
            continue
        clear, pilot = holes(model, row, "clearance"), holes(model, row, "pilot")
        if len(clear) != j["screws"] or len(pilot) != j["screws"]:
            faults.append(f"{j['name']}: {j['screws']} screws, {len(clear)} clearance and {len(pilot)} pilot holes")
        for c, p in zip(clear, pilot):
            if c["part"] != j["b"] or p["part"] != j["a"] or across(c) != across(p):
                faults.append(f"{j['name']}: clearance {across(c)} in {c['part']}, pilot {across(p)} in {p['part']}")
        ends = sorted(across(c) for c in clear)
        for one, two in zip(ends, ends[1:]):
            if sum(abs(x - y) for x, y in zip(one, two)) > mm(j["every"]):
                faults.append(f"{j['name']}: {one} and {two} stand further apart than {j['every']}")
    return faults


def drilled_alike(model, folder):
    """drill.csv has every cut and hole at its place. (Plain holes right through may be told from the other face.)"""
    with open(os.path.join(folder, "drill.csv"), encoding="utf-8", newline="") as f:
        rows = list(csv.DictReader(f))
    told = sorted((r["part"], r["face"], F(r["right exact (mm)"]), F(r["up exact (mm)"]), F(r["depth exact (mm)"]))
                  for r in rows if r["kind"] != "clearance hole")
    want = sorted((f["part"], f["face"], mm(f["right_of_datum"]), mm(f["above_datum"]), mm(f["depth"]))
                  for f in model["features"] if f["kind"] != "clearance" or mm(f["sink"]) > 0)
    return [f"{a} is told, {b} is there" for a, b in zip(told, want) if a != b] + \
        ([] if len(told) == len(want) else [f"{len(told)} rows, {len(want)} features"])


def main(folder):
    model = json.load(open(os.path.join(folder, "plan.json"), encoding="utf-8"))
    parts = {p["name"]: p for p in model["parts"]}
    solid = {n: Solid(box_of(p["blank"]), [feature_box(f) for f in model["features"]
                                           if f["part"] == n and f["kind"] in CUTS]) for n, p in parts.items()}
    names = sorted(n for n in parts)

    faults = []
    for a, b in itertools.combinations(names, 2):
        v = shared(solid[a], solid[b])
        if v:
            faults.append(f"{a} and {b} share {float(v)} mm3")
    tap.verdict(faults, "no two parts share a volume once everything is cut")

    # What goes in fills its cut but for the allowance and the room: figures of the plan, not of the program.
    want = {("shelf", "left"): 0, ("shelf", "right"): 0, ("floor", "left"): 0, ("lid", "left"): 0, ("lid", "right"): 0,
            ("ledge", "left"): F(3, 10) * 6 * 288, ("tenon", "post"): 0}
    faults = []
    for (a, b), free in want.items():
        cut = box_of(find(model, a, b)[1]["cut_in_b"])
        left = volume(cut) - filled(solid[a], cut)
        if left != free:
            faults.append(f"{a} into {b}: {float(left)} mm3 of the cut stay free, {float(free)} should")
    cut = box_of(find(model, "rear", "jamb")[1]["cut_in_b"])
    if volume(cut) - filled(solid["rear"], cut) != volume(cut) - 500 * 6 * 4 or volume(cut) != 500 * F(64, 10) * 6:
        faults.append("rear into jamb: not 6 mm thick and 4 mm in")
    tap.verdict(faults, "what goes in fills its cut but for allowance and room")

    faults = []
    for a, b in (("one", "two"), ("rail", "stile"), ("rail", "stile2"), ("rail2", "stile"), ("rail2", "muntin"),
                 ("muntin", "rail")):
        both = common(box_of(parts[a]["box"]), box_of(parts[b]["box"]))
        got = filled(solid[a], both) + filled(solid[b], both)
        if got != volume(both) or not volume(both):
            faults.append(f"{a} and {b}: {float(got)} of {float(volume(both))} mm3 are filled")
        for n in (a, b):
            if not 0 < filled(solid[n], both) < volume(both):
                faults.append(f"{n} has all or nothing of what it shares with {a} or {b}")
    deep = filled(solid["muntin"], common(box_of(parts["rail2"]["box"]), box_of(parts["muntin"]["box"])))
    if deep != 60 * 60 * (22 - 9):
        faults.append(f"muntin keeps {float(deep / 3600)} mm of 22 where it loses 9")
    tap.verdict(faults, "halved parts fill the place that they share, each with a part of it")

    faults = []
    for j in model["joints"]:
        if not j["glue"] or mm(j["allowance"]) or mm(j.get("room") or {"exact": "0"}):
            continue
        area = touching(solid[j["a"]], solid[j["b"]])
        if abs(float(area) * 1e-6 - j["glued_m2"]) > 1e-9:
            faults.append(f"{j['name']}: {float(area)} mm2 touch, {j['glued_m2'] * 1e6} mm2 are glued")
    tap.verdict(faults, "the glued area is the area on which the solids touch")

    faults = []
    for g in model["glue_faces"]:
        # On each side of the surface: the part, and none of it.
        n, r = AXIS[g["face"]], box_of(g["rect"])
        out = F(1, 1000) if g["face"] in HIGH else F(-1, 1000)
        mid = [(lo + hi) / 2 for lo, hi in r]
        inside, outside = list(mid), list(mid)
        inside[n] -= out
        outside[n] += out
        if r[n][0] != r[n][1] or not solid[g["part"]].has(inside) or solid[g["part"]].has(outside):
            faults.append(f"{g['part']} {g['face']} {r} is no surface of it")
    tap.verdict(faults, f"the {len(model['glue_faces'])} glued surfaces are surfaces of their parts")

    tap.verdict(screws(model), "screws: pilot under clearance, no further apart than asked")

    faults = []
    row, j = find(model, "floor", "left")
    if [across(f)[0] for f in holes(model, row, "clearance")] != [40, 150, 260]:
        faults.append("floor into left: first and last screw do not stand 40 mm from the ends")
    row, j = find(model, "rail2", "stile")
    if j["b"] != "rail2" or {f["face"] for f in holes(model, row, "clearance")} != {"front"}:
        faults.append("rail2 to stile: the heads are not on the front of rail2")
    row, j = find(model, "shelf", "left")
    # 82 degrees: (8 - 4.5) / 2 / tan(41 deg) = 2.013
    if any(mm(f["sink_depth"]) != F(2013, 1000) for f in holes(model, row, "clearance")):
        faults.append("a head of 82 degrees is not sunk 2.013 mm")
    row, j = find(model, "floor", "left")
    if any(mm(f["sink_depth"]) != F(7, 4) for f in holes(model, row, "clearance")):
        faults.append("a head of 90 degrees is not sunk 1.75 mm")
    tap.verdict(faults, "screws: first, side, depth of the countersink")

    # Two boards on a post, screwed at the same heights: the pilot holes would cross in its middle.
    faults = []
    rows = [find(model, "pillar", "pa"), find(model, "pillar", "pb")]
    if mm(rows[0][1]["row_moved_by"]) != 0 or mm(rows[1][1]["row_moved_by"]) == 0:
        faults.append("not just the second row moved")
    for p in holes(model, rows[0][0], "pilot"):
        for q in holes(model, rows[1][0], "pilot"):
            gaps = [max(x[0] - y[1], y[0] - x[1]) for x, y in zip(feature_box(p), feature_box(q))]
            if max(gaps) < 3:
                faults.append(f"holes at {place(p)} and {place(q)}")
    ends = [place(q)[2] for q in holes(model, rows[1][0], "pilot")]
    if min(ends) < 25 or max(ends) > 475:
        faults.append(f"the row that moved comes too near to an end: {ends}")
    tap.verdict(faults, "rows of screws that would meet in one part are set apart")

    faults = []
    for g in model["gaskets"]:
        r = box_of(g["rect"])
        if mm(g["gap"]) != 2 or mm(g["length"]) != 700 or g["corners"] != 0 or g["part"] != "back_wall":
            faults.append(g)
        if r[1] != (302, 302) or r[2] != (0, 700) or r[0] not in ((0, 18), (782, 800)):
            faults.append(r)
    tap.verdict(faults + ([] if len(model["gaskets"]) == 2 else [f"{len(model['gaskets'])} gaskets"]),
                "tape lies on its strip, and its parts stand as far apart as it is pressed")

    tap.verdict(drilled_alike(model, folder), "drill.csv has every cut and hole at its place")

    faults = []
    for a, joint, grown in (("shelf", 12, 6), ("lid", 16, 8), ("rear", 8, 4)):
        got = [hi - lo - (h - l) for (lo, hi), (l, h) in zip(box_of(parts[a]["blank"]), box_of(parts[a]["box"]))][0]
        if got != joint:
            faults.append(f"{a} grows by {float(got)} mm in width, not by {grown} at each end")
    tap.verdict(faults, "parts grow by what goes in")

    text = subprocess.run(["pdftotext", "-layout", os.path.join(folder, "book.pdf"), "-"], capture_output=True,
                          check=True).stdout.decode()
    text = " ".join(text.split())
    tap.verdict([w + ": not in the book" for w in (
        "stopped 20 mm from the front edge", "Saw the front corner off the left end of shelf",
        "At the left end of lid", "8 mm long, 6 mm off its bottom face and 6 mm off its top face, so that 6 mm thick is left",
        "mark its shoulders from the part itself", "into each other at their halvings", "into the groove of jamb",
        "without glue, so that it can move", "700 mm in one strip", "2 halvings, 60 × 60 mm, 11 mm deep",
    ) if w not in text], "the book says how each joint is cut and put together")


tmp = tempfile.mkdtemp()
try:
    plan = os.path.join(tmp, "all.plan")
    with open(plan, "w", encoding="utf-8") as f:
        f.write(PLAN)
    p = subprocess.run([WINDCHEST, "compile", plan, "-o", os.path.join(tmp, "out")], capture_output=True, timeout=120,
                       check=False)
    said = p.stderr.decode("utf-8", "replace").split("\n")
    tap.verdict([] if p.returncode == 0 else said, "the plan with all joints compiles")
    if p.returncode == 0:
        main(os.path.join(tmp, "out"))
finally:
    shutil.rmtree(tmp)
tap.finish()
