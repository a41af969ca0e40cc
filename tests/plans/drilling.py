#!/usr/bin/env python3
"""The drilling files of the example plans, read from outside.

Each program is walked by a reader of its own (not the library's): every round hole of drill.csv on the two faces of the
sheet is cut at its place, width and depth, or the program says that it is left to hand work; and it cuts no hole that
the table does not have. Then the table itself: each opening, measured from its sheet's datum and put back into the
cabinet by the box of the sheet in plan.json, stands on one axis with the same opening of the pattern's other sheets.
"""
import csv
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
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
    return [r for r in table if r["part"] == part and r["face"] in faces and "×" not in r[SIZE]]


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


def axes(name, table, model):
    boxes = {p["name"]: p["blank"] for p in model["parts"]}
    places = {}
    for r in table:
        if r["kind"] != "opening":
            continue
        u_axis, u_rev, v_axis, v_rev, _ = FACES[r["face"]]
        low, high = ([c["mm"] for c in boxes[r["part"]][k]] for k in ("low", "high"))
        at = [0.0, 0.0, 0.0]
        for axis, against, key in ((u_axis, u_rev, "right"), (v_axis, v_rev, "up")):
            d = float(r[key + " exact (mm)"])
            at[axis] = high[axis] - d if against else low[axis] + d
        places.setdefault(r["from"], {}).setdefault(r["part"], []).append(tuple(round(c, 3) for c in at))
    shared = 0
    for pattern, sheets in places.items():
        first, *others = sheets.items()
        for part, at in others:
            off = sorted(set(at) ^ set(first[1]))
            verdict(not off, f"{name}: {pattern} stands on the same axes in {first[0]} and {part}", map(str, off))
            shared += 1
    return shared


def main():
    global SIZE, DEPTH
    shared = 0
    for path in sorted(glob.glob(os.path.join(ROOT, "plans", "*.plan"))):
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
            verdict(len(table) == len(model["features"]), f"{name}: a row for each of {len(model['features'])} features")
            programs(name, folder, table, model)
            shared += axes(name, table, model)
    verdict(shared > 0, f"{shared} pairs of sheets share a pattern")
    return bad


if __name__ == "__main__":
    sys.exit(main())
