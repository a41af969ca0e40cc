#!/usr/bin/env python3
"""What `compile` writes, worked out again by another road: the sheet layouts are sawn cut by cut, the axes of shared
openings are carried from each sheet's own datum back into the cabinet, the drilling programs are walked, the air is
balanced, the order of work is followed, the shopping list is counted from the parts."""
import collections
import csv
import json
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from fractions import Fraction

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
PLANS = ["luthier-booth", "paddle-bench"]
failed = False
listening = None  # while a file is spoilt on purpose: what the checks found


def check(name, faults):
    """One line for the test; what is wrong below it."""
    global failed
    if listening is not None:
        listening.extend(faults)
        return
    print(("not ok" if faults else "ok") + " - " + name)
    for f in faults[:12]:
        print("#   " + str(f))
    failed |= bool(faults)


def read(folder, name):
    with open(os.path.join(folder, name), encoding="utf-8") as f:
        return json.load(f)


def mm(v):
    """A length of the JSON files: exact where it is an object."""
    return Fraction(v["exact"]) if isinstance(v, dict) else Fraction(str(v))


def box(part, which="blank"):
    return [[mm(x) for x in part[which][end]] for end in ("low", "high")]


# ---- sheets ------------------------------------------------------------------------------------

def saw(sheet):
    """Follows the cuts: every rectangle that is divided must be there, and is divided edge to edge."""
    kerf = mm(sheet["kerf"])
    stock = [(Fraction(0), Fraction(0), mm(sheet["w"]), mm(sheet["h"]))]
    faults = []
    for cut in sheet["cuts"]:
        r = tuple(mm(cut[k]) for k in "xywh")
        if r not in stock:
            faults.append(f"cut {cut['number']} divides {tuple(map(float, r))}, which is not there")
            continue
        stock.remove(r)
        x, y, w, h = r
        at = mm(cut["cut_at"])
        if "rip" in cut["way"]:
            near, far = (x, y, w, at - y), (x, at + kerf, w, y + h - at - kerf)
        else:
            near, far = (x, y, at - x, h), (at + kerf, y, x + w - at - kerf, h)
        if near[2] < 0 or near[3] < 0:
            faults.append(f"cut {cut['number']} lies outside what it divides")
        stock += [p for p in (near, far) if p[2] > 0 and p[3] > 0]
    return stock, faults


def layouts(name, folder):
    cuts, plan = read(folder, "cuts.json"), read(folder, "plan.json")
    parts = {p["name"]: p for p in plan["parts"]}
    stock_of = {s["name"]: s for s in plan["stock"]}
    seen, faults = collections.Counter(), []
    for sheet in cuts["sheets"]:
        left, wrong = saw(sheet)
        faults += wrong
        sw, sh = mm(sheet["w"]), mm(sheet["h"])
        trim = {k: mm(v) for k, v in sheet["trim_edges"].items()}
        rects = []
        for piece in sheet["pieces"]:
            r = tuple(mm(piece[k]) for k in "xywh")
            part = parts[piece["part"]]
            seen[piece["part"]] += 1
            rects.append(r)
            if r not in left:
                faults.append(f"{piece['part']} is not what the saw leaves on sheet {sheet['number']}")
            if (r[0] < trim["left"] or r[1] < trim["bottom"] or r[0] + r[2] > sw - trim["right"]
                    or r[1] + r[3] > sh - trim["top"]):
                faults.append(f"{piece['part']} lies in the trim of sheet {sheet['number']}")
            lo, hi = box(part)
            size = sorted(h - l for l, h in zip(lo, hi))
            if sorted(r[2:]) != size[1:]:
                faults.append(f"{piece['part']} is {list(map(float, r[2:]))} on the sheet, {list(map(float, size))} as cut")
            grain = part.get("grain")
            axis = {"width": 0, "depth": 1, "height": 2}.get(grain)
            along_long = stock_of[part["stock"]].get("grain") == "long"
            if axis is not None and (hi[axis] - lo[axis] == r[2]) != along_long and r[2] != r[3]:
                faults.append(f"{piece['part']} lies across its grain")
        kerf = mm(sheet["kerf"])
        for i, a in enumerate(rects):
            for b in rects[:i]:
                gap = max(a[0] - b[0] - b[2], b[0] - a[0] - a[2], a[1] - b[1] - b[3], b[1] - a[1] - a[3])
                if gap < kerf:
                    faults.append(f"two parts of sheet {sheet['number']} are {float(gap)} mm apart")
    for bar in cuts["bars"]:
        end, slant = mm(bar["trim"]), 0
        for piece in bar["pieces"]:
            seen[piece["part"]] += 1
            low, high = (e and float(mm(e["across"])) * math.tan(math.radians(e["angle_deg"])) for e in piece["ends"])
            if float(mm(piece["x"])) < float(end) - min(slant or 0, low or 0): # cutting.py looks at the slants themselves
                faults.append(f"{piece['part']} overlaps its neighbour on bar {bar['number']}")
            end, slant = mm(piece["x"]) + mm(piece["length"]) + mm(bar["kerf"]), high
        if end - mm(bar["kerf"]) > mm(bar["length"]) - mm(bar["trim"]):
            faults.append(f"bar {bar['number']} is too short for its parts")
    made = {p["name"] for p in plan["parts"] if p["kind"] not in ("gap", "item")}
    faults += [f"{p} is cut {seen[p]} times" for p in made if seen[p] != 1]
    faults += [f"{p} is cut, but is no part" for p in seen if p not in made]
    check(f"{name}: the saw leaves every part once, whole, with its grain", faults)


# ---- holes ---------------------------------------------------------------------------------------

# Where "right" and "up" run in the cabinet as a person looks at a face from outside: (axis, sign).
LOOKING = {"front": ((0, 1), (2, 1)), "back": ((0, -1), (2, 1)), "left": ((1, -1), (2, 1)), "right": ((1, 1), (2, 1)),
           "top": ((0, 1), (1, 1)), "bottom": ((0, 1), (1, -1))}


def to_cabinet(part, face, right, up):
    lo, hi = box(part)
    p = [None, None, None]
    for (axis, sign), d in zip(LOOKING[face], (right, up)):
        p[axis] = lo[axis] + d if sign > 0 else hi[axis] - d
    return p


def drill_rows(folder):
    with open(os.path.join(folder, "drill.csv"), newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


def axes(name, folder):
    plan, rows = read(folder, "plan.json"), drill_rows(folder)
    parts = {p["name"]: p for p in plan["parts"]}
    faults, shared = [], 0
    for pattern in plan["openings"]:
        through = {"width": 0, "depth": 1, "height": 2}[pattern["through"]]
        want = sorted(tuple(round(float(mm(v)), 4) for i, v in enumerate(a) if i != through) for a in pattern["axes"])
        for sheet in pattern["sheets"]:
            shared += 1
            found = []
            for r in rows:
                if r["part"] != sheet["part"] or r["from"].split(" ")[0] != pattern["name"]:
                    continue
                p = to_cabinet(parts[r["part"]], r["face"], Fraction(r["right exact (mm)"]), Fraction(r["up exact (mm)"]))
                found.append(tuple(round(float(v), 4) for i, v in enumerate(p) if i != through))
            if sorted(found) != want:
                odd = set(found) ^ set(want)
                faults.append(f"{pattern['name']} in {sheet['part']}: {len(found)} of {len(want)}, astray: {sorted(odd)[:4]}")
    if not shared:
        faults.append("no openings were compared")
    check(f"{name}: openings stand on the same axes in every sheet, carried back from each sheet's datum", faults)


WORD = re.compile(r"([A-Z])(-?\d*\.?\d+)")


def walk(path):
    """Positions of the drilling cycles, boxes of the arcs and lines below the face; by tool."""
    unit, g, at, cycle, drilled, milled = 1, 0, {"X": 0.0, "Y": 0.0, "Z": 0.0}, None, [], []
    ended = False
    with open(path, encoding="ascii") as f:
        for line in f:
            line = re.sub(r"\([^)]*\)", "", line).strip()
            if not line:
                continue
            words = WORD.findall(line)
            codes = [float(v) for k, v in words if k == "G"]
            val = {k: float(v) for k, v in words if k not in "GM"}
            if 20 in codes:
                unit = 25.4
            for c in codes:
                if c in (0, 1, 2, 3, 80, 81, 83):
                    g = c
            if any(k == "M" and float(v) == 2 for k, v in words):
                ended = True
            if g in (81, 83) and ("X" in val or "Y" in val or "Z" in val):
                cycle = {**(cycle or {}), **val}
                at["X"], at["Y"] = cycle.get("X", at["X"]), cycle.get("Y", at["Y"])
                drilled.append((at["X"] * unit, at["Y"] * unit, cycle["Z"] * unit, cycle["R"] * unit))
            elif g in (0, 1, 2, 3):
                cycle = None
                start = dict(at)
                at.update({k: v for k, v in val.items() if k in "XYZ"})
                low = min(start["Z"], at["Z"])
                if g == 0 and at["Z"] < 0 and (start["X"], start["Y"]) != (at["X"], at["Y"]):
                    milled.append(("rapid below the face", start, dict(at)))
                if g in (2, 3) and low < 0:
                    cx, cy = start["X"] + val.get("I", 0), start["Y"] + val.get("J", 0)
                    milled.append(("arc", cx * unit, cy * unit, math.hypot(start["X"] - cx, start["Y"] - cy) * unit, low * unit))
    return drilled, milled, ended


def programs(name, folder):
    rows, plan = drill_rows(folder), read(folder, "plan.json")
    cutter = {t["name"]: t for t in plan["tools"]}
    faults, holes = [], 0
    for file in sorted(os.listdir(folder)):
        if not file.endswith(".ngc"):
            continue
        part = file[len("drill-"):-len(".ngc")]
        with open(os.path.join(folder, file), encoding="ascii") as f:
            text = f.read()
        faces = re.findall(r"^\(face: (\w+);", text, re.M)
        left = re.findall(r"by hand|left to hand", text)
        drilled, milled, ended = walk(os.path.join(folder, file))
        if not ended:
            faults.append(f"{file} does not end in M2")
        faults += [f"{file}: {m[0]}" for m in milled if m[0] == "rapid below the face"]
        for r in rows:
            if r["part"] != part or r["face"] not in faces[:1]:
                continue
            x, y = float(r["right exact (mm)"]), float(r["up exact (mm)"])
            if r["kind"].startswith(("clearance", "pilot")):
                hits = [d for d in drilled if math.hypot(d[0] - x, d[1] - y) < 0.002]
                if not hits and not left:
                    faults.append(f"{file}: nothing drills {r['kind']} {r['no.']} at {x}, {y}")
                holes += len(hits)
            elif r["kind"].startswith("opening") and "×" not in r["size (mm)" if "size (mm)" in r else "size (in)"]:
                hits = [m for m in milled if m[0] == "arc" and math.hypot(m[1] - x, m[2] - y) < 0.002]
                if not hits and not any(math.hypot(d[0] - x, d[1] - y) < 0.002 for d in drilled):
                    faults.append(f"{file}: nothing cuts opening {r['no.']} at {x}, {y}")
                    continue
                holes += 1
                depth = -float(r["depth exact (mm)"])
                if hits and min(h[4] for h in hits) > depth + 1e-3:
                    faults.append(f"{file}: opening {r['no.']} is not cut through")
                size = float(r["size (mm)"]) if "size (mm)" in r else 25.4 * float(r["size (in)"])
                tool = cutter.get(r["tool"])
                if hits and size and tool and tool["kind"] == "router":
                    d = 2 * max(h[3] for h in hits) + float(mm(tool["diameter"]))
                    if abs(d - size) > 0.006:
                        faults.append(f"{file}: opening {r['no.']} comes out at {d}, not {size}")
    if holes < 20:
        faults.append(f"only {holes} holes were compared")
    check(f"{name}: the drilling programs, walked, make the holes of the table ({holes})", faults)


# ---- air --------------------------------------------------------------------------------------------

def interpolate(points, q):
    for (q0, p0), (q1, p1) in zip(points, points[1:]):
        if q0 <= q <= q1:
            return p0 + (p1 - p0) * (q - q0) / (q1 - q0)
    return None


def plate(free, t_over_d):
    """The loss of a perforated plate on the speed in its holes, from the sources that docs/air.md names."""
    thin = (0.707 * math.sqrt(1 - free) + 1 - free) ** 2
    thick = 0.5 * (1 - free) + 1 - free ** 2
    if t_over_d >= 2.4:
        return thick
    tau = lambda t: (2.4 - t) * 10 ** -(0.25 + 0.535 * t ** 8 / (0.05 + t ** 7))
    return thick + tau(t_over_d) / tau(0) * (thin - thick)


def friction(reynolds, rough):
    """Colebrook by fixed-point iteration; only where the air is turbulent."""
    x = 7.0
    for _ in range(60):
        x = -2 * math.log10(rough / 3.7 + 2.51 * x / reynolds)
    return 1 / (x * x)


def own_loss(b, row, c, q, rho, mu):
    """The drop over a passive branch at a flow, by the formulas written down again; None where this script has none."""
    area = row["speed_over"]["m2"]
    v = q / area
    kind, k = b["kind"], None
    if kind == "leak":
        k = 2.78
    elif kind == "openings" and b["k"] is not None:
        k = plate(min(1, b["open_m2"] / b["plan_m2"]), b["thick_m"] / b["hole_m"]) if b["alone"] else b["k"]
    elif kind == "gap":
        k = plate(0, b["thick_m"] / b["hole_m"])
        re = rho * v * b["hole_m"] / mu
        if re < 4000:
            return None
        k += friction(re, 1e-4 / b["hole_m"]) * b["thick_m"] / b["hole_m"]
    return None if k is None else k * rho / 2 * v * abs(v)


def bisect(curve, ask, lo, hi):
    """Where what the fan gives meets what the way asks, on the last falling piece."""
    for _ in range(80):
        mid = (lo + hi) / 2
        lo, hi = (mid, hi) if interpolate(curve, mid) > interpolate(ask, mid) else (lo, mid)
    return lo


def on_curves(c, plan_fans, rho):
    """The flow of each fan found again: its published points moved by the fan laws to this air and tap, met with what the
    way asks, by bisection."""
    faults = []
    flow = {b["branch"]: b["flow_m3_s"] for b in c["branches"]}
    for f in c["fans"]:
        fan = plan_fans[f["branch"]]
        n = fan["taps"].get(c["tap"], 1.0)
        dense = rho / (fan["published_density_kg_m3"] or 1.2)
        count = fan["count"]
        moved = [[count * q * n, p * n * n * dense] for q, p in fan["published_m3_s_pa"]]
        if abs(moved[-1][0] - f["gives_m3_s_pa"][-1][0]) > 1e-6 * moved[-1][0]:
            faults.append(f"{c['condition']}: the curve of {f['branch']} does not end where the fan laws put it")
        for q, p in moved:
            here = interpolate(f["gives_m3_s_pa"], min(max(q, f["gives_m3_s_pa"][0][0]), f["gives_m3_s_pa"][-1][0]))
            if abs(here - p) > 0.02 * max(x[1] for x in moved):
                faults.append(f"{c['condition']}: {f['branch']} gives {here} Pa at {q} m3/s; the fan laws say {p}")
        asked = f["way_takes_m3_s_pa"]
        lo, hi = max(asked[0][0], moved[0][0]), min(asked[-1][0], moved[-1][0])
        found = bisect(f["gives_m3_s_pa"], asked, lo, hi)
        if abs(found - flow[f["branch"]]) > 0.01 * moved[-1][0]:
            faults.append(f"{c['condition']}: bisection gives {found} through {f['branch']}, the file {flow[f['branch']]}")
    return faults


def covered_by_hand(plan, a):
    """What work and ribs leave of round openings, by strips across each: what lies on a strip is cut out of its chord."""
    faults = []
    parts = {p["name"]: p for p in plan["parts"]}
    stock = {s["name"]: s for s in plan["stock"]}
    for work in a["works"]:
        sheet = parts[work["on"]]
        lo, hi = box(sheet, "box")
        for b in plan["air"]["branches"]:
            if b["part"] != work["on"] or b["kind"] != "openings":
                continue
            pattern = next(p for p in plan["openings"] if p["name"] == b["pattern"])
            shape = next(s for s in pattern["sheets"] if s["part"] == work["on"])["shape"]
            if shape["kind"] != "round":
                continue
            t = {"width": 0, "depth": 1, "height": 2}[pattern["through"]]
            u, v = [k for k in range(3) if k != t]
            same = {s["part"] for s in pattern["sheets"]}
            rects = []
            for p in parts.values():
                if p["name"] in same or p["kind"] == "gap" or stock.get(p["stock"], {}).get("kind") in ("filter", "fan", "media"):
                    continue
                plo, phi = box(p, "box")
                if max(plo[t] - hi[t], lo[t] - phi[t]) <= 3:
                    rects.append([float(x) for x in (plo[u], phi[u], plo[v], phi[v])])
            for w in (w for w in a["works"] if w["on"] == work["on"]):
                (su, sv), (mu, mv) = w["size_m"], w["middle_m"]
                rects.append([1000 * x for x in (mu - su / 2, mu + su / 2, mv - sv / 2, mv + sv / 2)])
            r, strips, free = float(mm(shape["a"])) / 2, 400, 0.0
            for axis in pattern["axes"]:
                cu, cv = float(mm(axis[u])), float(mm(axis[v]))
                for i in range(strips):
                    x = cu - r + (i + 0.5) * 2 * r / strips
                    half = math.sqrt(r * r - (x - cu) ** 2)
                    cuts = sorted((max(y0, cv - half), min(y1, cv + half)) for x0, x1, y0, y1 in rects
                                  if x0 <= x <= x1 and y0 < cv + half and y1 > cv - half)
                    left, at = 2 * half, cv - half
                    for y0, y1 in cuts:
                        left -= max(0, y1 - max(y0, at))
                        at = max(at, y1)
                    free += left * 2 * r / strips
            if abs(free * 1e-6 - b["open_beside_work_m2"]) > 2e-3 * b["open_m2"]:
                faults.append(f"{b['name']}: {free * 1e-6} m2 are left beside the work, the file has {b['open_beside_work_m2']}")
    return faults


def air(name, folder):
    a, plan = read(folder, "air.json"), read(folder, "plan.json")
    rho, mu = a["density_kg_m3"], a["viscosity_pa_s"]
    ends = {b["name"]: (b["from"], b["to"]) for b in a["branches"]}
    faults, solved, laws = covered_by_hand(plan, a), 0, 0
    taps = {s["name"]: {t["name"]: t["speed_ratio"] for t in s.get("taps") or []} for s in plan["stock"]}
    fans = {f["branch"]: dict(f, taps=taps[f["stock"]]) for f in a["fans"]}
    named = {s["name"] for s in a["spaces"] if s["named"]}
    rows = {b["name"]: b for b in plan["air"]["branches"]}
    for b in a["branches"]:
        rows[b["name"]]["k"] = b.get("loss_coefficient")
        rows[b["name"]]["alone"] = b["from"] in named and b["to"] in named
    for c in a["conditions"]:
        if not c["solved"]:
            continue
        solved += 1
        into = collections.Counter()
        power = 0
        most = max(abs(b["flow_m3_s"]) for b in c["branches"])
        gauge = {s["space"]: s["gauge_pa"] for s in c["spaces"]}
        for b in c["branches"]:
            q, (frm, to) = b["flow_m3_s"], ends[b["branch"]]
            into[to] += q
            into[frm] -= q
            power += q * b["loss_pa"]
            if abs(gauge[frm] - gauge[to] - b["loss_pa"]) > 1e-5 * (1 + abs(b["loss_pa"])):
                faults.append(f"{c['condition']}: pressures at {b['branch']} do not differ by its loss")
            over = b["speed_over"]["m2"]
            if over and abs(b["speed_m_s"] * over - q) > 1e-6 * most:
                faults.append(f"{c['condition']}: speed x area is not the flow at {b['branch']}")
            own = own_loss(rows[b["branch"]], b, c, q, rho, mu) if over and b["branch"] not in fans else None
            if own is not None:
                laws += 1
                if abs(own - b["loss_pa"]) > 2e-3 * abs(own) + 0.01:
                    faults.append(f"{c['condition']}: {b['branch']} loses {own} Pa by its formula, {b['loss_pa']} in the file")
        faults += [f"{c['condition']}: {s} is out of balance by {v}" for s, v in into.items() if abs(v) > 1e-7 * most]
        if abs(power) > 1e-5 * most * 100:
            faults.append(f"{c['condition']}: the energy does not add up: {power} W")
        faults += on_curves(c, fans, rho)
    wanted = (2 + 2 * any(b["covered_part"] for b in a["branches"]) + 2 * bool(a["works"])) * (
        1 + len({t for f in fans.values() for t in f["taps"]}))
    if solved != wanted:
        faults.append(f"{solved} conditions are solved, the plan asks for {wanted}")
    if laws < solved:
        faults.append(f"only {laws} losses were worked out again in {solved} conditions")
    by = {c["condition"]: max(abs(b["flow_m3_s"]) for b in c["branches"]) for c in a["conditions"] if c["solved"]}
    if not (by["clean"] > by["dirty"] > 0 and by["clean"] >= by.get("clean covered", 0)
            and by["clean"] >= by.get("clean with work", 0)):
        faults.append(f"dirt or a cover does not lessen the flow: {by}")
    check(f"{name}: the air balances in every space and condition, in flow, pressure and energy, by bisection and by its laws",
          faults)


# ---- order and counts -----------------------------------------------------------------------------

def order(name, folder):
    s = read(folder, "steps.json")
    place = {o["number"]: i for i, o in enumerate(s["operations"])}
    step_of = {o["number"]: o["step"] for o in s["operations"]}
    faults = [f"{e['before']} comes after {e['after']}: {e['reason']}" for e in s["edges"]
              if place[e["before"]] >= place[e["after"]] or step_of[e["before"]] > step_of[e["after"]]]
    faults += [f"an edge without a reason: {e}" for e in s["edges"] if not e["reason"]]
    listed = collections.Counter(n for step in s["steps"] for n in step["operations"])
    faults += [f"operation {n} stands in {listed[n]} steps" for n in place if listed[n] != 1]
    cut_at, joined = {}, False
    for o in s["operations"]:
        if o["kind"] == "cut":
            for p in o["parts"]:
                cut_at[p] = place[o["number"]]
    made = {p["name"] for p in read(folder, "plan.json")["parts"] if p["kind"] not in ("gap", "item")}
    faults += [f"{p} is never cut" for p in made if p not in cut_at]
    for o in s["operations"]:
        joined |= o["kind"] == "join"
        if o["kind"] in ("join", "drill", "open", "groove"):
            faults += [f"{o['what']} before {p} is cut" for p in o["parts"] if p in cut_at and cut_at[p] > place[o["number"]]]
    if not joined or len(s["edges"]) < 20:
        faults.append("hardly any order was found")
    check(f"{name}: every operation has its place, after all that it needs", faults)


def shopping(name, folder):
    plan = read(folder, "plan.json")
    with open(os.path.join(folder, "shopping.csv"), newline="", encoding="utf-8") as f:
        rows = {r["stock"]: r for r in csv.DictReader(f)}
    kind = {s["name"]: s["kind"] for s in plan["stock"]}
    want = collections.Counter()
    for j in plan["joints"]:
        if j["screw"]:
            want[j["screw"]] += j["screws"]
    for p in plan["parts"]:
        if p["kind"] == "item":
            want[p["stock"]] += 1
    for o in plan["openings"]:
        for s in o["sheets"]:
            if s["collar"]:
                want[s["collar"]] += len(o["axes"])
            if s.get("clamp"):
                want[s["clamp"]] += len(o["axes"])
    for s in plan["layout"]["sheets"]:
        want[s["stock"]] += 1
    faults = [f"{k}: {n} by count, {rows.get(k, {}).get('needed')} on the list" for k, n in want.items()
              if k not in rows or float(rows[k]["needed"]) != n]
    drilled = collections.Counter(plan["joints"][f["joint"]]["screw"] for f in plan["features"] if f["kind"] == "clearance")
    faults += [f"{k}: {n} clearance holes, but {want[k]} screws" for k, n in drilled.items() if n > want[k]]
    for r in rows.values():
        if kind.get(r["stock"]) == "screw" and int(r["packs"]) * int(r["in a pack"]) < float(r["needed"]):
            faults.append(f"too few packs of {r['stock']}")
    check(f"{name}: the shopping list is what parts, joints and sheets need", faults)


# ---- the checks themselves --------------------------------------------------------------------------

def spoil_json(folder, name, change):
    data = read(folder, name)
    change(data)
    with open(os.path.join(folder, name), "w", encoding="utf-8") as f:
        json.dump(data, f)


def spoil_text(folder, name, pattern, put):
    with open(os.path.join(folder, name), newline="", encoding="utf-8") as f:
        text = f.read()
    with open(os.path.join(folder, name), "w", newline="", encoding="utf-8") as f:
        f.write(re.sub(pattern, put, text, count=1))


def move_piece(cuts):
    cuts["sheets"][0]["pieces"][0]["x"] += 1


def more_flow(a):
    a["conditions"][1]["branches"][2]["flow_m3_s"] *= 1.01


def other_work(a):
    a["works"][0]["size_m"][0] *= 0.5


def other_tap(a):
    for f in a["conditions"][-1]["fans"]:
        f["gives_m3_s_pa"] = [[q * 1.1, p] for q, p in f["gives_m3_s_pa"]]


def other_law(a):
    """A loss that its formula does not give, though all balances hold."""
    for c in a["conditions"]:
        for b in c["branches"]:
            b["flow_m3_s"] *= 1.05
            b["speed_m_s"] = b["speed_m_s"] and b["speed_m_s"] * 1.05


def swap_operations(s):
    s["operations"].insert(0, s["operations"].pop())


def one_screw_less(plan):
    next(j for j in plan["joints"] if j["screw"])["screws"] -= 1


def other_unit(folder):
    sheet = read(folder, "plan.json")["openings"][0]["sheets"][0]["part"]
    spoil_text(folder, f"drill-{sheet}.ngc", r"G2([01])", lambda m: "G21" if m.group(1) == "0" else "G20")


def move_axis(folder):
    rows = drill_rows(folder)
    shared = read(folder, "plan.json")["openings"][0]["sheets"][0]["part"]
    row = next(r for r in rows if r["part"] == shared and r["kind"].startswith("opening"))
    row["right exact (mm)"] = str(float(row["right exact (mm)"]) + 0.5)
    with open(os.path.join(folder, "drill.csv"), "w", newline="", encoding="utf-8") as f:
        w = csv.DictWriter(f, rows[0].keys())
        w.writeheader()
        w.writerows(rows)


def wounded(name, out):
    """Each check must find the fault that is put into what it reads."""
    global listening
    wounds = [("a part moved on its sheet", layouts, lambda d: spoil_json(d, "cuts.json", move_piece)),
              ("an axis moved in one sheet", axes, move_axis),
              ("a program in the other unit", programs, other_unit),
              ("more air out than in", air, lambda d: spoil_json(d, "air.json", more_flow)),
              ("another work piece", air, lambda d: spoil_json(d, "air.json", other_work)),
              ("a fan off its laws", air, lambda d: spoil_json(d, "air.json", other_tap)),
              ("more flow than the laws give", air, lambda d: spoil_json(d, "air.json", other_law)),
              ("the last operation first", order, lambda d: spoil_json(d, "steps.json", swap_operations)),
              ("a screw too few", shopping, lambda d: spoil_json(d, "plan.json", one_screw_less))]
    for what, test, spoil in wounds:
        with tempfile.TemporaryDirectory() as folder:
            copy = os.path.join(folder, "out")
            shutil.copytree(out, copy)
            spoil(copy)
            listening = []
            try:
                test(name, copy)
            except ValueError as e:
                listening.append(e)
            found, listening = listening, None
            check(f"{name}: {what} is found", [] if found else ["nothing was found"])


WITH_TAPS = """stock fan_taps : fan {
    size       320 mm x 300 mm x 330 mm
    curve      { 0 m3/h at 980 Pa; 500 m3/h at 975 Pa; 1000 m3/h at 780 Pa; 1500 m3/h at 330 Pa; 1700 m3/h at 0 Pa }
    speed      2820 rpm
    tap        low at 1410 rpm
    tap        middle at 2000 rpm
    efficiency 52 %
    inlet      200 mm
}
"""


def taps():
    """The bench with a fan of three speeds and an approach that costs something: the air alone, in 18 conditions."""
    with open(os.path.join(ROOT, "plans", "paddle-bench.plan"), encoding="utf-8") as f:
        text = f.read().replace("fan_compact", "fan_taps").replace("tool holesaw4", WITH_TAPS + "tool holesaw4")
    text = text.replace("    exhaust     room", "    effect      0.6 before fan\n    exhaust     room")
    with tempfile.TemporaryDirectory() as folder:
        out, plan = os.path.join(folder, "out"), os.path.join(folder, "taps.plan")
        with open(plan, "w", encoding="utf-8") as f:
            f.write(text)
        p = subprocess.run([WINDCHEST, "compile", plan, "-o", out], capture_output=True, timeout=300, check=False)
        check("a bench with taps: it compiles", [] if p.returncode == 0 else [p.stderr.decode()[:2000]])
        if p.returncode == 0:
            air("a bench with taps", out)


def main():
    taps()
    for name in PLANS:
        with tempfile.TemporaryDirectory() as folder:
            out = os.path.join(folder, "out")
            p = subprocess.run([WINDCHEST, "compile", os.path.join(ROOT, "plans", name + ".plan"), "-o", out],
                               capture_output=True, timeout=300, check=False)
            check(f"{name}: it compiles", [] if p.returncode == 0 else [p.stderr.decode()[:2000]])
            if p.returncode:
                continue
            for test in (layouts, axes, programs, air, order, shopping):
                try:
                    test(name, out)
                except (KeyError, ValueError, OSError, TypeError) as e:
                    check(f"{name}: {test.__name__} can be read", [repr(e)])
            wounded(name, out)
    return failed


if __name__ == "__main__":
    sys.exit(main())
