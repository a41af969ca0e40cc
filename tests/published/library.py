#!/usr/bin/env python3
"""The shipped library, read by the program, against published figures; docs/stock.md against the library.

The stock is taken from plan.json of a plan that uses every file of plans/stock/. Sources of the expected values stand
beside them; "from memory" means that the document was not seen.
"""
import glob
import json
import os
import re
import subprocess
import sys
import tempfile
from fractions import Fraction as F

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
INCH = F(127, 5)
fail = False


def verdict(bad, name, n):
    """bad: what is wrong, one line each; n: how many were looked at."""
    global fail
    good = not bad and n > 0
    print(("ok - " if good else "not ok - ") + f"{name} ({n})")
    for line in bad[:20]:
        print("#", line)
    fail = fail or not good


def library():
    names = sorted(os.path.basename(p)[:-5] for p in glob.glob(os.path.join(ROOT, "plans", "stock", "*.plan")))
    plan = 'plan "All stock" { measures metric }\n' + "".join(f'use "stock/{n}"\n' for n in names)
    plan += "cabinet one { panel lid : ply18 { left at 0 mm; right at 300 mm; front at 0 mm; back at 200 mm; bottom at 0 mm } }\n"
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "all.plan"), "w", encoding="utf-8") as f:
            f.write(plan)
        p = subprocess.run([WINDCHEST, "compile", "all.plan"], cwd=folder, capture_output=True, timeout=120, check=False)
        if p.returncode:
            print("not ok - every file of the library can be used together")
            print("# " + p.stderr.decode("utf-8", "replace")[:1500].replace("\n", "\n# "))
            sys.exit(1)
        with open(os.path.join(folder, "all.out", "plan.json"), encoding="utf-8") as f:
            m = json.load(f)
    return m["stock"], m["tools"]


def mm(length):
    return F(length["exact"])


def fraction(text):
    """3_4, 1_1_2, 2"""
    n = [int(x) for x in text.split("_")]
    return n[0] if len(n) == 1 else F(n[0], n[1]) if len(n) == 2 else n[0] + F(n[1], n[2])


# ---- figures --------------------------------------------------------------------------------------

def en_315(stock):
    """W6. EN 315, sanded plywood: + (0.2 + 0.03 t), - (0.4 + 0.03 t) mm, read in a national text of it; 18 mm: 17.06 to
    18.74."""
    bad, n = [], 0
    for s in stock:
        m = re.fullmatch(r"(?:soft)?ply(\d+)(?:x\d+)?", s["name"])
        if s["kind"] != "sheet" or not m:
            continue
        n += 1
        t = F(m.group(1))
        low, high = t - F("0.4") - F("0.03") * t, t + F("0.2") + F("0.03") * t
        got = mm(s["thick"]) - mm(s["thick_minus"]), mm(s["thick"]) + mm(s["thick_plus"])
        if got != (low, high):
            bad.append(f"{s['name']}: {got}, not {low} to {high}")
        if t == 18 and got != (F("17.06"), F("18.74")):
            bad.append(f"{s['name']}: not 17.06 to 18.74")
    verdict(bad, "W6: metric plywood spreads as EN 315 allows", n)


def ps_1(stock):
    """W7. PS 1 (read): sanded panels to 3/4 in within 1/64 in of their thickness, +0 / -1/16 in of their size; the
    diagonals of 8 x 4 ft agree within 1/8 in. The trim makes good for a sheet that is as small and as crooked: it is
    cut at each edge; a diagonal's excess e leans the short side by e D / 2 a (D the diagonal, a the long side)."""
    bad, n = [], 0
    a, b, e = 96, 48, F(1, 8)
    diagonal = (a * a + b * b) ** 0.5
    lean = float(e) * diagonal / (2 * a)
    for s in stock:
        if s["kind"] != "sheet" or not re.fullmatch(r"ply(\d+_\d+)", s["name"]):
            continue
        n += 1
        if mm(s["thick_plus"]) != INCH / 64 or mm(s["thick_minus"]) != INCH / 64:
            bad.append(f"{s['name']}: the spread is not 1/64 in")
        if mm(s["thick"]) > INCH * F(3, 4):
            bad.append(f"{s['name']}: thicker than 3/4 in")
        if [mm(x) for x in s["size"][:2]] != [a * INCH, b * INCH]:
            bad.append(f"{s['name']}: not 8 x 4 ft")
        if float(mm(s["trim"]) / INCH) * 2 < 1 / 16 + lean:
            bad.append(f"{s['name']}: its trim does not make good for a small and crooked sheet")
    verdict(bad, "W7: inch plywood spreads as PS 1 allows, and is trimmed for what it allows of the size", n)


def ps_20(stock):
    """W8. PS 20 (read): dry 2 x 6 is 1 1/2 x 5 1/2 in, a 1 in board 3/4 in thick. Other widths from memory: 2, 3, 4 in are
    half an inch narrower, 8 in and more three quarters."""
    bad, n = [], 0
    for s in stock:
        m = re.fullmatch(r"(board|lumber)([12])x(\d+)", s["name"])
        if s["kind"] != "bar" or not m:
            continue
        n += 1
        thin, wide = {"1": F(3, 4), "2": F(3, 2)}[m.group(2)], int(m.group(3))
        broad = wide - (F(3, 4) if wide > 6 else F(1, 2))
        if [mm(x) / INCH for x in s["section"]] != [broad, thin]:
            bad.append(f"{s['name']}: {[str(mm(x) / INCH) for x in s['section']]} in")
        if m.group(0) == "lumber2x6" and [mm(x) / INCH for x in s["section"]] != [F(11, 2), F(3, 2)]:
            bad.append("2 x 6 is not 1 1/2 x 5 1/2 in")
    verdict(bad, "W8: inch lumber has the dressed size of PS 20", n)


def lead_holes(stock):
    """W11. Forest Products Laboratory guidance (read): lead holes 70 % of the root in soft wood, 90 % in hard wood; #6
    1.67 / 2.15 mm, #8 1.99 / 2.56, #10 2.31 / 2.97. The library has the drill of 1/64 in next to it. Metric screws:
    the root is two thirds of the diameter (Wood Handbook, from memory), drills of half millimetres. Diameters
    0.060 + 0.013 n in (ANSI B18.6.1, from memory)."""
    given = {6: (1.67, 2.15), 8: (1.99, 2.56), 10: (2.31, 2.97)}
    for n, (soft, hard) in given.items():
        if abs(soft / 0.7 - hard / 0.9) > 0.02:
            verdict([f"#{n}"], "W11: both lead holes tell the same root", 1)
    bad, n = [], 0
    for s in stock:
        if s["kind"] != "screw":
            continue
        n += 1
        number = re.match(r"p?no(\d+)x", s["name"])
        if number:
            soft, hard = given[int(number.group(1))]
            step, want = INCH / 64, F(60 + 13 * int(number.group(1)), 1000) * INCH
        else:
            want = F(re.match(r"[sp](\d+)x", s["name"]).group(1))
            want = want / 10 if want > 9 else want
            root = float(want) * 2 / 3
            soft, hard, step = 0.7 * root, 0.9 * root, F(1, 2)
        if mm(s["diameter"]) != want:
            bad.append(f"{s['name']}: diameter {s['diameter']}")
        for word, figure in (("pilot_soft", soft), ("pilot", hard)):
            drill = mm(s[word]) / step
            if drill.denominator != 1 or abs(float(drill * step) - figure) > float(step) / 2 + 0.02:
                bad.append(f"{s['name']}: {word} {s[word]['mm']} mm, the figure is {figure:.2f}")
        if not mm(s["diameter"]) < mm(s["clearance"]) <= mm(s["diameter"]) + F(1, 2):
            bad.append(f"{s['name']}: clearance {s['clearance']['mm']} mm")
        if "sink" in s and mm(s["sink"]) <= mm(s["clearance"]):
            bad.append(f"{s['name']}: countersink {s['sink']['mm']} mm")
    verdict(bad, "W11: lead holes of every screw, and its clearance", n)


def drills(stock, tools):
    """Every hole that a screw of the library wants has its drill there."""
    there = {mm(t["diameter"]) for t in tools if t["kind"] == "drill"}
    bad, n = [], 0
    for s in stock:
        for word in ("pilot", "pilot_soft", "clearance"):
            if s["kind"] == "screw":
                n += 1
                if mm(s[word]) not in there:
                    bad.append(f"{s['name']}: no drill of {s[word]['mm']} mm for its {word}")
    verdict(bad, "the library's drills make the holes of the library's screws", n)


# ---- the library as a whole ---------------------------------------------------------------------

def sources(stock):
    bad = [s["name"] for s in stock if not s["source"]]
    bad += [f"{s['name']}: a price that is not said to be invented" for s in stock
            if s["price_cents"] is not None and "invented" not in (s["source"] or "")]
    bad += [f"{s['name']}: no price" for s in stock if s["price_cents"] is None]
    verdict(bad, "every stock says where its figures come from, prices that they are invented", len(stock))


def names(stock):
    """The name says the size that the program reads."""
    bad, n = [], 0
    for s in stock:
        name, good = s["name"], None
        if s["kind"] == "sheet":
            m = re.fullmatch(r"[a-z]+(\d+(?:_\d+)*)(?:x(\d+))?", name)
            nominal = fraction(m.group(1)) * (INCH if "_" in m.group(1) else 1)
            # Inch plywood is sold by a name up to 1/32 in thicker than it is, metric hardboard by whole millimetres.
            good = abs(mm(s["thick"]) - nominal) <= F(4, 5)
            good = good and (not m.group(2) or mm(s["size"][0]) == int(m.group(2)))
        elif s["kind"] == "screw":
            length = re.fullmatch(r"(?:p?no|[sp])\d+x(\d+(?:_\d+)*)", name).group(1)
            good = mm(s["length"]) == fraction(length) * (INCH if "no" in name else 1)
        elif s["kind"] == "bar" and (m := re.fullmatch(r"(?:batten|slat)(\d+)x(\d+)", name)):
            good = [mm(x) for x in s["section"]] == [int(m.group(1)), int(m.group(2))]
        elif s["kind"] in ("collar", "pipe"):
            m = re.fullmatch(r"(?:collar|pipe|duct|rod)(\d+(?:_\d+)*)(in)?", name)
            good = mm(s["outside"]) == fraction(m.group(1)) * (INCH if m.group(2) or "_" in m.group(1) else 1)
        if good is not None:
            n += 1
            if not good:
                bad.append(name)
    verdict(bad, "the names of sheets, bars, pipes, screws and collars are their sizes", n)


def page(stock, tools):
    """docs/stock.md has a row for every name, with its label, and none for what is not there."""
    with open(os.path.join(ROOT, "docs", "stock.md"), encoding="utf-8") as f:
        rows = dict(re.findall(r"^\| `([a-z0-9_]+)` \| ([^|]*?) +\|", f.read(), re.M))
    have = {s["name"]: s["label"] for s in stock + tools}
    bad = [f"{n} is not on the page" for n in have if n not in rows]
    bad += [f"{n} is not in the library" for n in rows if n not in have]
    bad += [f"{n}: “{rows[n]}”, the library has “{have[n]}”" for n in have if n in rows and rows[n] != have[n]]
    verdict(bad, "docs/stock.md lists the library as it is", len(have))


def main():
    stock, tools = library()
    en_315(stock)
    ps_1(stock)
    ps_20(stock)
    lead_holes(stock)
    drills(stock, tools)
    sources(stock)
    names(stock)
    page(stock, tools)
    return fail


if __name__ == "__main__":
    sys.exit(main())
