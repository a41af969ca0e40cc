#!/usr/bin/env python3
"""cuts.json and cuts.csv by another road: the instructions are followed cut by cut from the piece each one names, offcuts are
looked through for parts that could have lain on them, prices are added up, numbers on hand are counted."""
import collections
import copy
import csv
import json
import math
import os
import subprocess
import sys
import tempfile
from fractions import Fraction

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
PLANS = ["tests/plans/stocks.plan", "plans/luthier-booth.plan", "plans/paddle-bench.plan"]
failed = False


def check(name, faults):
    global failed
    print(("not ok" if faults else "ok") + " - " + name)
    for f in faults[:12]:
        print("#   " + str(f))
    failed |= bool(faults)


def mm(v):
    return Fraction(v["exact"]) if isinstance(v, dict) else Fraction(str(v))


def follow(sheet, parts):
    """Does what the cuts say, in their order, with nothing but the pieces that lie there. Faults, and the parts made."""
    kerf, edge = mm(sheet["kerf"]), {k: mm(v) for k, v in sheet["trim_edges"].items()}
    untrimmed = [k for k, v in edge.items() if v]
    waiting = {1: (None, (mm(sheet["w"]), mm(sheet["h"])))} if sheet["cuts"] else {}
    made, faults, offcuts, last = collections.Counter(), [], collections.Counter(), None
    for cut in sheet["cuts"]:
        n = cut["number"]
        if n not in waiting:
            faults.append(f"cut {n} has no piece")
            continue
        came, (w, h) = waiting.pop(n)
        if came != cut["from_cut"]:
            faults.append(f"cut {n} takes from cut {cut['from_cut']} what cut {came} left")
        rip, fence = "rip" in cut["way"], mm(cut["fence"])
        if (w, h) != (mm(cut["w"]), mm(cut["h"])):
            faults.append(f"the piece of cut {n} measures {float(w)} x {float(h)}")
        kept = (w, fence) if rip else (fence, h)
        rest = (w, h - fence - kerf) if rip else (w - fence - kerf, h)
        if cut["way"].startswith("trim"):
            at = ("bottom" if rip else "left") if cut["kept"] == "above" else "top" if rip else "right"
            if at not in untrimmed or (h if rip else w) - fence != min(edge[at], h if rip else w):
                faults.append(f"cut {n} trims {float((h if rip else w) - fence)} {at}")
            untrimmed = [k for k in untrimmed if k != at]
        now = ("rip" in cut["way"], fence, cut["kept"])
        if cut["set_anew"] != (now != last):
            faults.append(f"cut {n}: set anew is {cut['set_anew']}")
        last = now
        for side, (a, b) in (("at_fence", kept), ("beyond", rest)):
            is_ = cut[side]
            if (a <= 0 or b <= 0) != (is_ is None):
                faults.append(f"cut {n} {side}: {is_} of {float(a)} x {float(b)}")
            elif is_ and "part" in is_:
                made[is_["part"]] += 1
                if sorted((a, b)) != sorted(parts[is_["part"]]):
                    faults.append(f"cut {n}: {is_['part']} comes out at {float(a)} x {float(b)}")
            elif is_ and "cut" in is_:
                waiting[is_["cut"]] = (n, (a, b))
            elif is_ and "offcut" in is_:
                offcuts[(a, b)] += 1
            elif is_ and not cut["way"].startswith("trim"):
                faults.append(f"cut {n} wastes {float(a)} x {float(b)}")
    faults += [f"nothing is done with the piece for cut {n}" for n in waiting]
    faults += [f"its {k} edge is not trimmed" for k in untrimmed]
    if not sheet["cuts"]:
        made.update(p["part"] for p in sheet["pieces"])
    elif offcuts != collections.Counter((mm(o["w"]), mm(o["h"])) for o in sheet["offcuts"]):
        faults.append("the offcuts are not what is left")
    if made != collections.Counter(p["part"] for p in sheet["pieces"]):
        faults.append(f"made are {dict(made)}")
    return [f"{sheet['stock']} {sheet['number']}: {f}" for f in faults]


def from_rolls(plan):
    """What is cut from rolls whose length is known, by its name: of a tube its length and its girth with 5 % for the seam, each
    up to the next millimetre or sixteenth of an inch; of a tape a strip, or the four sides of a ring whose corners are butted."""
    parts, step = {}, Fraction(127, 80) if plan["plan"]["measures"] == "inch" else Fraction(1)
    rolled = {s["name"]: s for s in plan["stock"] if s["kind"] in ("media", "gasket") and "size" in s}
    for b in (plan["air"] or {}).get("branches", []):
        if b["kind"] == "tubes" and b["stock"] in rolled:
            size = [math.ceil(round(v / float(step), 5)) * step for v in (b["length_m"] * 1000, math.pi * b["hole_m"] * 1050)]
            names = [f"{b['name']}.{n + 1}" for n in range(b["count"])] if b["count"] > 1 else [b["name"]]
            parts.update({name: tuple(size) for name in names})
    for g in plan["gaskets"]:
        if g["stock"] not in rolled:
            continue
        wide = mm(rolled[g["stock"]]["tape_width"])
        long, short = sorted((mm(v) for v in g["rect"]["size"] if mm(v)), reverse=True)
        joint = plan["joints"][g["joint"]]["name"]
        parts.update({f"{joint}.{n}": (side, wide) for n, side in enumerate((long, long, short - 2 * wide, short - 2 * wide), 1)}
                     if g["all_round"] else {joint: (long, wide)})
    return parts


def rolls(cuts, plan):
    """Each is cut into lengths across its whole width, those along it; every piece comes out, and once."""
    parts = from_rolls(plan)
    faults = [f for r in cuts["rolls"] for f in follow(r, parts)]
    made = collections.Counter(p["part"] for r in cuts["rolls"] for p in r["pieces"])
    faults += [f"{name} is cut {made[name]} times" for name in sorted(set(parts) | set(made)) if made[name] != 1]
    for r in cuts["rolls"]:
        for c in r["cuts"]:
            if c["way"] == "rip" and mm(c["w"]) not in [mm(p["w"]) for p in r["pieces"]]:
                faults.append(f"cut {c['number']} of roll {r['number']} runs along what is no length of a piece")
            if c["way"] == "crosscut" and mm(c["h"]) != mm(r["h"]):
                faults.append(f"cut {c['number']} of roll {r['number']} does not run across all of it")
    return faults, len(parts)


def instructions(cuts):
    parts = {p["name"]: (mm(p["length"]), mm(p["width"])) for p in cuts["parts"]}
    faults = [f for s in cuts["sheets"] for f in follow(s, parts)]
    for bar in cuts["bars"]:
        faults += [f"bar {bar['number']}: {f}" for f in along(bar, parts)]
    return faults


HIGH = ("right", "back", "top")


def corners(piece, end, depth):
    """The two corners of a sawn end, (along, across), in a plane of that depth; slanted in another plane it counts as square."""
    at, mitre = float(mm(piece["x"]) + (mm(piece["length"]) if end else 0)), piece["ends"][end]
    if not mitre or float(mm(mitre["across"])) != depth:
        return [(at, 0.0), (at, depth)]
    back = depth * math.tan(math.radians(mitre["angle_deg"])) * (-1 if end else 1)
    high = (mitre["point"] in HIGH) != piece["turned_over"]
    return [(at + back if high else at, 0.0), (at if high else at + back, depth)]


def off(line, points):
    """How far the nearest point lies from the line through two corners, to the side of larger numbers along the bar."""
    (u, v), (s, t) = line
    return min(((a - u) * (t - v) - (b - v) * (s - u)) / math.hypot(s - u, t - v) for a, b in points)


def between(a, b, kerf):
    """Do the blades of a's far and b's near end pass between the two? And is it one blade? (fault or None, one)"""
    one = False
    for end, of in ((1, a), (0, b)):
        depth = float(mm(of["ends"][end]["across"])) if of["ends"][end] else 1.0
        far, near = corners(a, 1, depth), corners(b, 0, depth)
        apart = off(far, near) if end else min(-off(near, [p]) for p in far)
        if apart < float(kerf) - 1e-6:
            return f"{b['part']} lies {apart} from the far end of {a['part']}", False
        one = end == 0 and of["ends"][0] is not None and a["ends"][1] is not None and max(
            off(far, [p]) for p in near) < float(kerf) + 1e-2
    return None, one


def along(bar, parts):
    """A bar from its beginning: each end is sawn before or behind its piece, and no kerf reaches into a neighbour."""
    faults, kerf, trim, length = [], mm(bar["kerf"]), mm(bar["trim"]), mm(bar["length"])
    todo = list(bar["cuts"])

    def sawn(end):
        """What the blade takes along the bar at an end, on the safe side."""
        return float(kerf) / math.cos(math.radians(end["angle_deg"])) if end else float(kerf)

    def next_cut(end, part, at):
        c = todo.pop(0) if todo else {}
        if not c or c["at_stop"].get("part") != part or c["angle_deg"] != (end["angle_deg"] if end else None):
            faults.append(f"{c.get('number')} is not the cut for {part or 'an end'}")
        elif abs(float(mm(c["cut_at"])) - at) > 2e-3:
            faults.append(f"cut {c['number']} lies at {c['cut_at']}, not at {at}")
        return c
    if trim:
        next_cut(None, None, float(trim - kerf))
    free, before, done = float(trim), None, None
    for piece in bar["pieces"]:
        x, size, (low, high) = mm(piece["x"]), mm(piece["length"]), piece["ends"]
        wrong, one = between(before, piece, kerf) if before else (None if float(x) >= free - 1e-9 else "it lies in the trim", False)
        faults += [wrong] if wrong else []
        if parts[piece["part"]][0] != size:
            faults.append(f"{piece['part']} is {float(size)} long")
        if one != (bool(done) and done["way"] == "mitre for two"):
            faults.append(f"{piece['part']}: one cut for two is {one}")
        if low and not one:
            next_cut(low, None, float(x) - sawn(low))
        if high or x + size != length:
            c = done = next_cut(high, piece["part"], float(x + size))
            if c and c["stop"] is not None and mm(c["stop"]) != size:
                faults.append(f"{piece['part']} is stopped at {float(mm(c['stop']))}")
        free, before = float(x + size), piece
    if free > length - trim:
        faults.append("it is too short")
    return faults + [f"cut {c['number']} is for nothing" for c in todo]


def sizes(stock):
    """(longer side, shorter side or None, trim, cents, on hand, offcut)"""
    def one(size, trim, cents, on_hand, offcut):
        v = [mm(x) for x in size if x is not None]
        return (tuple(v), trim, cents, on_hand, offcut)
    own = stock["size"][:2] if stock["kind"] == "sheet" else stock["size"][:1]
    if stock["kind"] in ("media", "gasket"):
        own = [*own, stock["roll" if stock["kind"] == "media" else "tape_width"]]
        stock = {**stock, "further_sizes": [{**z, "size": [z["size"][0], own[1]]} for z in stock.get("further_sizes", [])]}
    trim = mm(stock["trim"]) if "trim" in stock else Fraction(0)
    rows = [one(own, trim, stock["price_cents"], stock["on_hand"], False)]
    for z in stock.get("further_sizes", []):
        rows.append(one(z["size"], mm(z["trim"]) if "trim" in z else Fraction(0) if z["offcut"] else trim,
                        z["price_cents"], z["on_hand"], z["offcut"]))
    return rows


def bill(cuts, plan, shopping):
    """Of which size each sheet and bar is, how many there are of it, and what is paid."""
    faults = []
    used = collections.Counter()
    rows = {s["name"]: sizes(s) for s in plan["stock"] if s["kind"] in ("sheet", "bar", "pipe") or s["kind"] in (
        "media", "gasket") and "size" in s}
    for s in cuts["sheets"] + cuts["bars"] + cuts["rolls"]:
        dims = sorted([mm(s["w"]), mm(s["h"])] if "w" in s else [mm(s["length"])])
        hit = [i for i, z in enumerate(rows[s["stock"]])
               if sorted(z[0]) == dims and z[1] == mm(s["trim"] or s["trim_edges"]["left"]) and z[4] == s["on_hand"]]
        if not hit:
            faults.append(f"{s['stock']} does not come in {list(map(float, dims))}")
            continue
        used[(s["stock"], hit[0])] += 1
    paid = collections.Counter()
    for (name, i), n in used.items():
        _, _, cents, on_hand, offcut = rows[name][i]
        if on_hand is not None and n > on_hand:
            faults.append(f"{n} of {on_hand} of {name}")
        if on_hand is None and not offcut:
            paid[name] += n * cents if cents else 0
    for c in cuts["counts"]:
        whole = sum(n for (name, i), n in used.items() if name == c["stock"] and not rows[name][i][4])
        hand = sum(n for (name, i), n in used.items() if name == c["stock"] and rows[name][i][4])
        if (whole, hand) != (c["used"], c["offcuts_used"]):
            faults.append(f"{c['stock']}: {whole} and {hand} offcuts are used")
        if c["compared_by"] == "number" and c["amount"] != whole:
            faults.append(f"{c['stock']}: the amount is {c['amount']}")
        if c["compared_by"] == "price" and round(c["amount"] * 100) != paid[c["stock"]]:
            faults.append(f"{c['stock']}: {paid[c['stock']]} cents are paid, {c['amount']} told")
        if c["lower_bound"] > c["amount"] or c["proven"] != (c["lower_bound"] == c["amount"]):
            faults.append(f"{c['stock']}: bound {c['lower_bound']} of {c['amount']}, proven {c['proven']}")
    for name, cents in paid.items():
        listed = sum(float(r[next(k for k in r if k.startswith("cost"))] or 0) for r in shopping if r["stock"] == name)
        if round(listed * 100) != cents:
            faults.append(f"{name}: {listed} on the shopping list, {cents} cents by the sheets")
    return faults


def offcuts_first(cuts, plan):
    """No part lies on a whole sheet that an offcut left lying could have held. Exact for plans where that costs nothing."""
    faults, looked = [], 0
    parts = {p["name"]: p for p in cuts["parts"]}
    for stock in plan["stock"]:
        if stock["kind"] not in ("sheet", "bar", "pipe"):
            continue
        mine = [s for s in cuts["sheets"] + cuts["bars"] if s["stock"] == stock["name"]]
        for size, trim, _, on_hand, offcut in sizes(stock):
            there = [s for s in mine if s["on_hand"] and sorted(size) == sorted(
                [mm(s["w"]), mm(s["h"])] if "w" in s else [mm(s["length"])])]
            looked += offcut
            if not offcut or len(there) >= on_hand:
                continue
            for s in mine:
                for piece in [] if s["on_hand"] else s["pieces"]:
                    p = parts[piece["part"]]
                    need = [mm(p["length"]), mm(p["width"])] if "w" in s else [mm(p["length"])]
                    if p["grain"] == "along its width":
                        need.reverse()
                    ways = [need] if p["grain"] != "any" else [need, need[::-1]]
                    if any(all(a <= b - 2 * trim for a, b in zip(way, size)) for way in ways):
                        faults.append(f"{piece['part']} could lie on the offcut {list(map(float, size))}")
    return faults, looked


def table_of_cuts(folder, cuts):
    """cuts.csv says the same as cuts.json."""
    with open(os.path.join(folder, "cuts.csv"), newline="", encoding="utf-8") as f:
        text = f.read().replace("\r\n", "\n")
    rows = list(csv.DictReader(text.split("\n\n")[1].strip().splitlines()))
    want = [("sheet", s, c) for s in cuts["sheets"] for c in s["cuts"]] + [
        ("bar", b, c) for b in cuts["bars"] for c in b["cuts"]] + [
        ("roll", r, c) for r in cuts["rolls"] for c in r["cuts"]]
    unit = 25.4 if "fence (in)" in rows[0] else 1
    faults = [] if len(rows) == len(want) else [f"{len(rows)} rows, {len(want)} cuts"]
    for r, (on, of, c) in zip(rows, want):
        stop = c["stop"] if on == "bar" else c["fence"]
        fence = r[next(k for k in r if k.startswith("fence"))]
        if (r["on"], int(r["number"]), int(r["cut"]), r["way"]) != (on, of["number"], c["number"], c["way"]):
            faults.append(f"row {r['on']} {r['number']}.{r['cut']} is {r['way']}")
        elif (r["set anew"] == "yes") != c["set_anew"] or (stop is not None and abs(float(fence) * unit - float(mm(stop))) > 2e-3):
            faults.append(f"row {r['on']} {r['number']}.{r['cut']}: set anew {r['set anew']}, fence {fence}")
    return faults


TRIMS = """
plan "Test" {{ measures metric }}
tool saw : saw {{ kerf 3 mm }}
stock ply : sheet {{
    size 1200 mm x 600 mm; thick 18 mm; density 700 kg/m3
    {}
    also 900 mm x 500 mm {{ trim 7 mm on top; on_hand 1 }}
    offcut 400 mm x 500 mm {{ trim 2 mm on left }}
}}
extra wide : ply {{ size 600 mm x 400 mm; pieces 3 }}
extra small : ply {{ size 380 mm x 450 mm; pieces 4 }}
cabinet box {{ panel left : ply {{ left at 0 mm; front at 0 mm; depth 450 mm; bottom at 0 mm; height 80 mm }} }}
"""


def trims():
    """Each edge loses what the plan says of it, told by the most exact line; a further size what it does not say as its stock."""
    want = {"trim 10 mm": ([10, 10, 10, 10], [10, 10, 10, 7]), "trim 10 mm; trim 25 mm on long": ([10, 10, 25, 25], [10, 10, 25, 7]),
            "trim 8 mm on left, bottom": ([8, 0, 8, 0], [8, 0, 8, 7]), "": ([0, 0, 0, 0], [0, 0, 0, 7]),
            "trim 6 mm; trim 0 mm on top; trim 8.4 mm on short": ([8, 8, 6, 0], [8, 8, 6, 7])}
    for line, (own, also) in want.items():
        cuts = written(TRIMS.format(line))
        if not cuts:
            continue
        faults, seen = instructions(cuts), set()
        for s in cuts["sheets"]:
            edges = [int(mm(s["trim_edges"][k])) for k in ("left", "right", "bottom", "top")]
            of = {1200: own, 900: also, 500: [2, 0, 0, 0], 400: [2, 0, 0, 0]}[int(mm(s["w"]))]
            seen.add(int(mm(s["w"])))
            faults += [] if edges == of else [f"{float(mm(s['w']))}: {edges}, not {of}"]
            if (s["trim"] is None) == (len(set(s["trim_edges"][k]["exact"] for k in s["trim_edges"])) == 1):
                faults.append(f"the one figure is {s['trim']}")
        check(f"`{line}`: every edge loses its own, and the cuts follow", faults if len(seen) > 1 else [f"only {seen} are used"])


FRAME = """
plan "Test" {{ measures metric }}
tool saw : saw {{ kerf 3 mm }}
stock batten : bar {{ section 45 mm x 20 mm; length {} mm; density 500 kg/m3 }}
let wide = 560 mm
let tall = 580 mm
cabinet frame {{
    cleat head : batten {{
        left at 0 mm; right at wide; top at tall; front at 0 mm; broad height
        mitre left by 45 deg to top
        mitre right by 45 deg to top
    }}
    cleat sill : batten {{ mirror of head about tall / 2 in height }}
    cleat post : batten {{
        bottom at 0 mm; top at tall; left at 0 mm; front at 0 mm; broad width
        mitre bottom by 45 deg to left
        mitre top by 45 deg to left
    }}
    cleat post2 : batten {{ mirror of post about wide / 2 in width }}
    cleat bevel : batten {{
        left at 700 mm; width 200 mm; top at 45 mm; front at 0 mm; broad height
        mitre left by 30 deg to top
        mitre right by 30 deg to back
    }}
    join head, sill to post, post2 : butt {{ glue }}
}}
"""


def frames():
    """Four pieces of a frame take 45 mm and a kerf less for every cut that serves two; the bevel, sawn in two planes, shares none."""
    more, bevel = 3 * (math.sqrt(2) - 1), 3 / math.cos(math.radians(30)) - 3
    need = 2 * 560 + 2 * 580 + 2 * more + 3 * (3 + more - 45) + 3 + 200 + 2 * bevel
    for length, bars in ((math.ceil(need + 0.02), 1), (math.floor(need), 2)):
        cuts = written(FRAME.format(length))
        if not cuts:
            return
        shared = sum(c["way"] == "mitre for two" for b in cuts["bars"] for c in b["cuts"])
        faults = instructions(cuts)
        if len(cuts["bars"]) != bars or (bars == 1 and shared != 3) or cuts["counts"][0]["lower_bound"] > bars:
            faults.append(f"{len(cuts['bars'])} bars with {shared} shared cuts")
        check(f"the frame and the bevel take {bars} of {length} mm", faults)
        wrong = copy.deepcopy(cuts)
        piece = wrong["bars"][0]["pieces"][-1 if bars == 1 else 1]
        piece["x"] = float(mm(piece["x"])) - 0.01
        check("a piece a hundredth of a millimetre too near is found", [] if instructions(wrong) else ["nothing was found"])


def written(text):
    """cuts.json of a plan; None when it does not compile, which is told."""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "test.plan")
        with open(path, "w", encoding="utf-8") as f:
            f.write(text)
        p = subprocess.run([WINDCHEST, "compile", path, "-o", os.path.join(folder, "out")], capture_output=True, timeout=300,
                           check=False)
        if p.returncode:
            check("the plan compiles", [p.stderr.decode()[:1500]])
            return None
        return json.load(open(os.path.join(folder, "out", "cuts.json"), encoding="utf-8"))


def wounds(cuts):
    """Each spoils one thing that `instructions` has to find."""
    def spoil(what, change):
        c = copy.deepcopy(cuts)
        change(c["sheets"][-1]["cuts"], next(b["cuts"] for b in c["bars"] if any(k["angle_deg"] for k in b["cuts"])))
        check(f"{what} is found", [] if instructions(c) else ["nothing was found"])
    spoil("a piece taken from another cut", lambda s, b: s[-1].update(from_cut=1))
    spoil("a fence set wrong", lambda s, b: s[-1].update(fence=float(mm(s[-1]["fence"])) + 1))
    spoil("a cut left out", lambda s, b: s.pop(2))
    spoil("a wrong word about the setting", lambda s, b: s[1].update(set_anew=not s[1]["set_anew"]))
    spoil("a stop set wrong", lambda s, b: [k for k in b if k["stop"]][-1].update(stop=7))
    spoil("a mitre left out", lambda s, b: b.remove([k for k in b if k["angle_deg"]][0]))
    spoil("a mitre sawn square", lambda s, b: [k for k in b if k["angle_deg"]][-1].update(angle_deg=None))


def main():
    trims()
    frames()
    for plan_path in PLANS:
        name = os.path.basename(plan_path)
        with tempfile.TemporaryDirectory() as folder:
            out = os.path.join(folder, "out")
            p = subprocess.run([WINDCHEST, "compile", os.path.join(ROOT, plan_path), "-o", out], capture_output=True,
                               timeout=300, check=False)
            check(f"{name}: it compiles", [] if p.returncode == 0 else [p.stderr.decode()[:1000]])
            if p.returncode:
                continue
            cuts, plan = (json.load(open(os.path.join(out, f), encoding="utf-8")) for f in ("cuts.json", "plan.json"))
            with open(os.path.join(out, "shopping.csv"), newline="", encoding="utf-8") as f:
                shopping = list(csv.DictReader(f))
            check(f"{name}: the instructions, followed, give every part", instructions(cuts))
            faults, n = rolls(cuts, plan)
            check(f"{name}: rolls are cut into what the tubes and gaskets take", faults if (n > 0) == ("stocks" not in name) else [f"{n} pieces"])
            if n:
                wrong = copy.deepcopy(cuts)
                wrong["rolls"][-1]["cuts"][-1]["fence"] = 7
                check(f"{name}: a length wrongly measured is found", [] if rolls(wrong, plan)[0] else ["nothing was found"])
            check(f"{name}: cuts.csv has the same cuts", table_of_cuts(out, cuts))
            check(f"{name}: sizes, numbers on hand and prices add up", bill(cuts, plan, shopping))
            if "stocks" not in name:
                continue
            faults, looked = offcuts_first(cuts, plan)
            faults += [c for c in cuts["counts"] if c["offcuts_used"] and not c["offcuts_first"]]
            check(f"{name}: offcuts are used first", faults if looked == 3 else [f"{looked} offcuts were looked at"])
            wrong = copy.deepcopy(cuts)
            wrong["sheets"] = [s for s in wrong["sheets"] if s["number"] != 2]
            check(f"{name}: an offcut left lying is found", [] if offcuts_first(wrong, plan)[0] else ["nothing was found"])
            wrong = copy.deepcopy(cuts)
            wrong["counts"][0]["amount"] += 1
            check(f"{name}: a wrong sum is found", [] if bill(wrong, plan, shopping) else ["nothing was found"])
            wounds(cuts)
    return failed


if __name__ == "__main__":
    sys.exit(main())
