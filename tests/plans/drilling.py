#!/usr/bin/env python3
"""The drilling files of the example plans, read from outside.

Each program is walked by a reader of its own (not the library's): every round hole of drill.csv on the two faces of the
sheet is cut at its place, width and depth, or the program says that it is left to hand work; and it cuts no hole that
the table does not have. Then the table itself: each opening, measured from its sheet's datum and put back into the
cabinet by the box of the sheet in plan.json, stands on one axis with the same opening of the pattern's other sheets.

sheets.plan has sheets of several sizes, set off from each other and marked from either face. There the axes are worked
out by hand from the plan, and the corners of a free outline, too; the program's path of the cutter, put back into the
cabinet, keeps its radius from that outline everywhere and leaves nothing of it standing that it does not tell.
"""
import csv
import glob
import json
import math
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
HERE = os.path.dirname(os.path.abspath(__file__))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
WORD = re.compile(r"([A-Z])(-?[0-9.]+)")
# face: (axis to the right, runs against it, axis upwards, runs against it, axis through)
FACES = {"left": (1, True, 2, False, 0), "right": (1, False, 2, False, 0), "front": (0, False, 2, False, 1),
         "back": (0, True, 2, False, 1), "bottom": (0, False, 1, True, 2), "top": (0, False, 1, False, 2)}
bad = 0


def verdict(good, name, evidence=()):
    global bad
    print(("ok - " if good else "not ok - ") + name)
    for line in list(evidence)[:12]:
        print("#", line)
    bad |= not good


def walk(text):
    """Holes by face: {(face, x, y): [radius, deepest z]} in millimetres, and the numbers left to hand work."""
    scale, face, tool = None, None, None
    x = y = z = 0.0
    holes, left, faults = {}, set(), []

    def cut(at_x, at_y, radius, low):
        for (f, hx, hy), h in holes.items():
            if f == face and abs(hx - at_x) < 0.01 and abs(hy - at_y) < 0.01:
                h[0], h[1] = max(h[0], radius), min(h[1], low)
                return
        holes[(face, at_x, at_y)] = [radius, low]

    for line in text.splitlines():
        if line.startswith("("):
            m = re.match(r"\(face: (\w+);", line)
            face = m.group(1) if m else face
            m = re.match(r"\(tool .* diameter ([0-9.]+)\)", line)
            tool = float(m.group(1)) * scale if m else tool
            m = re.match(r"\(left to hand work: hole (\d+),", line)
            if m:
                left.add(m.group(1))
            continue
        words = WORD.findall(line)
        codes = [c + v for c, v in words if c in "GM"]
        v = {c: float(n) for c, n in words if c not in "GM"}
        scale = 25.4 if "G20" in codes else 1.0 if "G21" in codes else scale
        if "G81" in codes or "G83" in codes:
            cut(v["X"] * scale, v["Y"] * scale, tool / 2, v["Z"] * scale)
        elif "G2" in codes or "G3" in codes:
            nx, ny = v["X"] * scale, v["Y"] * scale
            cx, cy = x + v["I"] * scale, y + v["J"] * scale
            z = v["Z"] * scale if "Z" in v else z
            if abs((x + nx) / 2 - cx) < 0.01 and abs((y + ny) / 2 - cy) < 0.01:
                cut(cx, cy, ((x - cx) ** 2 + (y - cy) ** 2) ** 0.5 + tool / 2, z)
            x, y = nx, ny
        elif "G0" in codes or "G1" in codes:
            if "G0" in codes and ("X" in v or "Y" in v) and z <= 0:
                faults.append("a rapid move through the wood: " + line)
            x, y = v.get("X", x / scale) * scale, v.get("Y", y / scale) * scale
            z = v.get("Z", z / scale) * scale
    if not text.rstrip().endswith("M2"):
        faults.append("it does not end in M2")
    return holes, left, faults


def rows_of(table, part, faces):
    return [r for r in table if r["part"] == part and r["face"] in faces and "×" not in r[SIZE] and not is_corner(r)]


def is_corner(row):
    return row["kind"].startswith("corner")


def programs(name, folder, table, model):
    n = 0
    for path in sorted(glob.glob(os.path.join(folder, "drill-*.ngc"))):
        part = os.path.basename(path)[len("drill-"):-len(".ngc")]
        with open(path, encoding="ascii") as f:
            holes, left, faults = walk(f.read())
        blank = next(p for p in model["parts"] if p["name"] == part)["blank"]
        sizes = [s["mm"] for s in blank["size"]]
        through = sizes.index(min(sizes))
        faces = [f for f in FACES if FACES[f][4] == through]
        met = set()
        for r in rows_of(table, part, faces):
            u, v, d = (float(r[k + " exact (mm)"]) for k in ("right", "up", "broad"))
            deep = sizes[through] + 1 if r[DEPTH] == "through" else float(r["depth exact (mm)"])
            key = next((k for k in holes if k[0] == r["face"] and abs(k[1] - u) < 0.004 and abs(k[2] - v) < 0.004), None)
            if key is None:
                if r["no."] not in left:
                    faults.append(f"hole {r['no.']} at {u}, {v} is not cut")
            elif abs(2 * holes[key][0] - d) > 0.008 or abs(holes[key][1] + deep) > 0.004:
                faults.append(f"hole {r['no.']}: {holes[key]} for a diameter of {d}, {deep} deep")
            met.add(key)
            n += key is not None
        faults += [f"a cut at {k} that the table does not have" for k in holes if k not in met]
        verdict(not faults, f"{name}: the program of {part} cuts the holes of its table", faults)
    verdict(n > 0, f"{name}: {n} holes found again in the programs")


def in_cabinet(blank, face, right, up):
    """A place measured from the datum of a face, in the cabinet; 0 along the sheet's thickness."""
    u_axis, u_rev, v_axis, v_rev, _ = FACES[face]
    low, high = ([c["mm"] for c in blank[k]] for k in ("low", "high"))
    at = [0.0, 0.0, 0.0]
    for axis, against, d in ((u_axis, u_rev, right), (v_axis, v_rev, up)):
        at[axis] = high[axis] - d if against else low[axis] + d
    return at


def places_of(table, model, wanted):
    """Places in the cabinet by pattern and sheet, of the rows that are wanted."""
    boxes = {p["name"]: p["blank"] for p in model["parts"]}
    places = {}
    for r in filter(wanted, table):
        at = in_cabinet(boxes[r["part"]], r["face"], *(float(r[k + " exact (mm)"]) for k in ("right", "up")))
        places.setdefault(r["from"], {}).setdefault(r["part"], []).append(tuple(round(c, 3) for c in at))
    return places


def axes(name, table, model):
    places = places_of(table, model, lambda r: r["kind"] == "opening")
    shared = 0
    for pattern, sheets in places.items():
        first, *others = sheets.items()
        for part, at in others:
            off = sorted(set(at) ^ set(first[1]))
            verdict(not off, f"{name}: {pattern} stands on the same axes in {first[0]} and {part}", map(str, off))
            shared += 1
    return shared


# ---- sheets.plan: what follows from its text by hand -----------------------------------------------------------

# Along the width the field runs from 37 + 200 to 37 + 511 - 40 mm, along the height from 21 + 40 to 21 + 350 - 40 mm. Rims
# 20 mm from the axes leave 231 and 230 mm for them, three at 80 mm in the middle. The second is left out.
VENTS = {(x, 0.0, z) for x in (292.5, 372.5, 452.5) for z in (116.0, 196.0, 276.0)} - {(372.5, 0.0, 116.0)}
AXIS = (130.0, 150.0)
ROUND = math.sqrt(20 ** 2 + 50 ** 2)  # of the arc: its centre lies 20 mm beside its ends and between them
# Lines (from, to) and arcs (from, to, centre), all turning left, measured from the axis.
HATCH = [((-50, -28), (-38, -40), (-38, -28)), ((-38, -40), (50, -40)), ((50, -40), (50, 60), (30, 10)),
         ((50, 60), (-35, 60)), ((-35, 60), (-50, 45), (-35, 45)), ((-50, 45), (-50, -28))]


def to_piece(p, piece):
    """The distance of a point from a line or an arc."""
    a, b, *centre = piece
    ends = min(math.dist(p, a), math.dist(p, b))
    if not centre:
        along = (b[0] - a[0], b[1] - a[1])
        t = ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / (along[0] ** 2 + along[1] ** 2)
        return math.dist(p, (a[0] + t * along[0], a[1] + t * along[1])) if 0 <= t <= 1 else ends
    c = centre[0]
    start, turn, here = (math.atan2(q[1] - c[1], q[0] - c[0]) for q in (a, b, p))
    within = (here - start) % math.tau <= (turn - start) % math.tau
    return abs(math.dist(p, c) - math.dist(a, c)) if within else ends


def along(piece, n=60):
    """Points on a line or an arc that turns left."""
    a, b, *centre = piece
    if not centre:
        return [(a[0] + (b[0] - a[0]) * i / n, a[1] + (b[1] - a[1]) * i / n) for i in range(n + 1)]
    c, r = centre[0], math.dist(a, centre[0])
    start = math.atan2(a[1] - c[1], a[0] - c[0])
    turn = (math.atan2(b[1] - c[1], b[0] - c[0]) - start) % math.tau
    return [(c[0] + r * math.cos(start + turn * i / n), c[1] + r * math.sin(start + turn * i / n)) for i in range(n + 1)]


def path_of(text, pattern):
    """The radius of the cutter, what it says it leaves in the corners, the face, and the pieces of its way at work."""
    radius = left = 0.0
    face, at, z, mine, pieces = None, (0.0, 0.0), 10.0, False, []
    for line in text.splitlines():
        if line.startswith("("):
            m = re.match(r"\(face: (\w+);", line)
            face = m.group(1) if m else face
            m = re.match(r"\(tool .* diameter ([0-9.]+)\)", line)
            radius = float(m.group(1)) / 2 if m and not pieces else radius
            m = re.match(r"\(hole \d+, (\w+):", line)
            mine = m.group(1) == pattern if m else mine
            m = re.match(r"\(the cutter leaves up to ([0-9.]+) in its inside corners", line)
            left = float(m.group(1)) if m and mine else left
            continue
        words = WORD.findall(line)
        code, v = words[0][0] + words[0][1], {c: float(n) for c, n in words[1:]}
        if code not in ("G0", "G1", "G2", "G3"):
            continue
        to = (v.get("X", at[0]), v.get("Y", at[1]))
        z = v.get("Z", z)
        if mine and code == "G1" and to != at and z < 0:
            pieces.append((at, to))
        elif mine and code == "G3":
            pieces.append((at, to, (at[0] + v["I"], at[1] + v["J"])))
        elif mine and code == "G2":
            pieces.append((to, at, (at[0] + v["I"], at[1] + v["J"])))
        at = to
    return radius, left, face, pieces


def outline_followed(folder, part, blank):
    with open(os.path.join(folder, f"drill-{part}.ngc"), encoding="ascii") as f:
        radius, left, face, pieces = path_of(f.read(), "hatch")
    way, faults = [], []
    for piece in pieces:
        for x, y in along(piece):
            at = in_cabinet(blank, face, x, y)
            way.append((at[0] - AXIS[0], at[2] - AXIS[1]))
    for p in way:
        off = min(to_piece(p, piece) for piece in HATCH)
        if abs(off - radius) > 0.002 or not -50 < p[0] < 30 + ROUND or not -40 < p[1] < 60:
            faults.append(f"the cutter's middle at {p} is {off} from the outline, not {radius}")
    for piece in HATCH:
        for p in along(piece, 40):
            off = min(math.dist(p, q) for q in way) - radius
            if off > left + 0.05:  # 0.05: between the points of the way
                faults.append(f"{off} stands at {p}, {left} is told")
    verdict(len(pieces) >= 6 and radius > 0 and not faults,
            f"sheets: in {part} the cutter of {2 * radius} mm follows the outline from the {face}", faults)


def sheets(folder, table, model):
    vents = places_of(table, model, lambda r: r["kind"] == "opening")["vents"]
    corners = places_of(table, model, is_corner)["hatch"]
    by_hand = {(AXIS[0] + piece[0][0], 0.0, AXIS[1] + piece[0][1]) for piece in HATCH}
    boxes = {p["name"]: p["blank"] for p in model["parts"]}
    seen = {r["part"]: r["face"] for r in table}
    good = seen == {"near": "front", "middle": "back", "far": "back"}
    verdict(good, "sheets: the work faces", [] if good else [str(seen)])
    for part, blank in boxes.items():
        off = sorted(set(vents[part]) ^ VENTS)
        verdict(not off and len(vents[part]) == 8, f"sheets: the axes in {part} are those worked out by hand", map(str, off))
        off = sorted(set(corners[part]) ^ by_hand)
        verdict(not off and len(corners[part]) == 6, f"sheets: so are the corners of the outline in {part}", map(str, off))
        outline_followed(folder, part, blank)


def main():
    global SIZE, DEPTH
    shared = 0
    for path in sorted(glob.glob(os.path.join(ROOT, "plans", "*.plan"))) + [os.path.join(HERE, "sheets.plan")]:
        name = os.path.basename(path)[:-len(".plan")]
        with tempfile.TemporaryDirectory() as folder:
            p = subprocess.run([WINDCHEST, "compile", path, "-o", folder], capture_output=True, timeout=300, check=False)
            if p.returncode:
                verdict(False, f"{name}: compile", p.stderr.decode("utf-8", "replace").splitlines())
                continue
            with open(os.path.join(folder, "drill.csv"), encoding="utf-8", newline="") as f:
                table = list(csv.DictReader(f))
            with open(os.path.join(folder, "plan.json"), encoding="utf-8") as f:
                model = json.load(f)
            SIZE = next(k for k in table[0] if k.startswith("size"))
            DEPTH = next(k for k in table[0] if k.startswith("depth") and "exact" not in k)
            rows = sum(not is_corner(r) for r in table)
            verdict(rows == len(model["features"]), f"{name}: a row for each of {len(model['features'])} features")
            programs(name, folder, table, model)
            shared += axes(name, table, model)
            if name == "sheets":
                sheets(folder, table, model)
    verdict(shared > 0, f"{shared} pairs of sheets share a pattern")
    return bad


if __name__ == "__main__":
    sys.exit(main())
