#!/usr/bin/env python3
"""A plan of nested, repeated, mirrored assemblies, from outside: every part, cut and hole of the one wing is the other's
exact reflection, in the cabinet and on the drawings' own data; what a wing is told changes it and nothing else; the
shipped assemblies compile at the ends of what they take."""
import collections
import csv
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from fractions import Fraction

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
OTHER = {"left": "right", "right": "left"}


def run(*args, cwd=None):
    return subprocess.run([WINDCHEST, *args], capture_output=True, text=True, cwd=cwd)


def compiled(folder, plan, *options):
    out = os.path.join(folder, "out-" + "-".join(re.sub(r"\W", "", o) for o in options))
    done = run("compile", plan, "-o", out, *options)
    if done.returncode:
        return None, None, [done.stderr[-2000:]]
    with open(os.path.join(out, "plan.json"), encoding="utf-8") as f:
        model = json.load(f)
    return out, model, []


def mm(v):
    return Fraction(v["exact"])


def box(part, which):
    return [[mm(x) for x in part[which][end]] for end in ("low", "high")]


def reflected(b, about):
    (lo, hi) = b
    return [[2 * about - hi[0], lo[1], lo[2]], [2 * about - lo[0], hi[1], hi[2]]]


def parts_of(model, wing):
    return {p["name"][len(wing):]: p for p in model["parts"] if p["name"].startswith(wing)}


# ---- in the cabinet ---------------------------------------------------------------------------------------

def unlike_parts(model, about):
    east, west = parts_of(model, "east."), parts_of(model, "west.")
    faults = [f"only in one wing: {n}" for n in set(east) ^ set(west)]
    for name in sorted(set(east) & set(west)):
        a, b = east[name], west[name]
        for which in ("box", "blank"):
            if reflected(box(a, which), about) != box(b, which):
                faults.append(f"{name}: {which} is no reflection")
        for key in ("kind", "stock", "thick_axis", "long_axis", "grain_axis"):
            if a[key] != b[key]:
                faults.append(f"{name}: {key} differs")
        if OTHER.get(a["work_face"], a["work_face"]) != b["work_face"]:
            faults.append(f"{name}: worked from {a['work_face']} and {b['work_face']}")
    return faults, len(east)


def joint_name(model, i, wing):
    return None if i is None else model["joints"][i]["name"].replace(wing, "")


def features(model, wing, about):
    """All cuts and holes of a wing's parts, as they lie in the cabinet; `about`: reflected there."""
    all_of_them = collections.Counter()
    for f in model["features"]:
        if not f["part"].startswith(wing):
            continue
        centre = [mm(v) for v in f["centre"]]
        face = f["face"]
        if about is not None:
            centre[0] = 2 * about - centre[0]
            face = OTHER.get(face, face)
        shape = f["shape"]
        all_of_them[(f["kind"], f["part"][len(wing):], face, tuple(centre), json.dumps({k: v for k, v in shape.items()
                                                                                 if k != "at"}, sort_keys=True), f["through"], mm(f["depth"]), mm(f["sink"]),
                     f["tool"], joint_name(model, f["joint"], wing))] += 1
    return all_of_them


# ---- on the drawings ----------------------------------------------------------------------------------------

def rows(out, model, wing, turn):
    """What drill.csv tells of a wing's parts; `turn`: as the other wing should have it."""
    size = {p["name"]: box(p, "blank") for p in model["parts"]}
    found = collections.Counter()
    with open(os.path.join(out, "drill.csv"), encoding="utf-8", newline="") as f:
        for r in csv.DictReader(f):
            if not r["part"].startswith(wing):
                continue
            face, right = r["face"], Fraction(r["right exact (mm)"])
            lo, hi = size[r["part"]]
            across = hi[1] - lo[1] if face in OTHER else hi[0] - lo[0]
            if turn:
                # The mirrored part is drawn from the mirrored face: what lies right of the datum there, lies as far
                # from the other corner here.
                right = across - right
                face = OTHER.get(face, face)
            found[(r["part"][len(wing):], face, r["kind"], right.limit_denominator(1000), r["up exact (mm)"],
                   r["broad exact (mm)"], r["high exact (mm)"], r["depth exact (mm)"], r["tool"])] += 1
    return found


def differences(a, b):
    return [f"one wing only: {k}" for k in list((a - b).keys())[:5] + list((b - a).keys())[:5]]


# ---- the wings ------------------------------------------------------------------------------------------------

def wings(folder):
    plan = os.path.join(HERE, "wings.plan")
    for options in ([], ["--set", "deep=1000mm", "--set", "wide=300mm", "--set", "ribs=4"]):
        told = " ".join(options[1::2]) or "as written"
        out, model, faults = compiled(folder, plan, *options)
        tap.verdict(faults, f"wings.plan compiles to a whole book, {told}")
        if not out:
            continue
        names = set(os.listdir(out))
        missing = [n for n in ("book.pdf", "drill.csv", "drill-west.inner.svg", "template-east.vents.svg", "air.json")
                   if n not in names]
        tap.verdict(missing, f"its files are there, {told}")
        about = mm(next(s for s in model["stock"] if s["name"] == "pleat595")["size"][0]) / 2
        faults, n = unlike_parts(model, about)
        tap.verdict(faults, f"each of the {n} parts of the west wing is the reflection of the east wing's, {told}")
        east, west = features(model, "east.", about), features(model, "west.", None)
        tap.verdict(differences(east, west) if sum(east.values()) > 60 else ["too few to prove anything"],
                    f"each of its {sum(east.values())} cuts and holes is too, in the cabinet, {told}")
        east, west = rows(out, model, "east.", True), rows(out, model, "west.", False)
        tap.verdict(differences(east, west) if sum(east.values()) > 60 else ["too few to prove anything"],
                    f"and each of the {sum(east.values())} lines of drill.csv, from the part's own datum, {told}")
        placed = {p["name"]: p for p in model["placed"]}
        faults = [f"not told of {n}" for n in ("east", "west", "east.slats.2", "west.slats.2") if n not in placed]
        for name, p in placed.items():
            wing, inner = name.split(".", 1) if "." in name else (name, "")
            if p["mirrored"] != (["width"] if wing == "west" else []):
                faults.append(f"{name}: mirrored along {p['mirrored']}")
            twin = placed[".".join(filter(None, ("east", inner)))]
            if wing == "west" and reflected(box({"box": p["box"]}, "box"), about) != box(twin, "box"):
                faults.append(f"{name}: its box is no reflection")
        tap.verdict(faults, f"plan.json tells where each of the {len(placed)} assemblies stands, {told}")
        flows = [[b["flow_m3_s"] for b in c["branches"] if b["branch"].endswith(".vents")]
                 for c in json.load(open(os.path.join(out, "air.json"), encoding="utf-8"))["conditions"] if c["solved"]]
        tap.verdict([f for f in flows if len(f) != 2 or abs(f[0] - f[1]) > 1e-9 * abs(f[0])] if flows else ["no flows"],
                    f"the air divides evenly between them, {told}")
    with open(plan, encoding="utf-8") as f:
        text = f.read()
    spoilt = os.path.join(folder, "spoilt.plan")
    with open(spoilt, "w", encoding="utf-8") as f:
        f.write(text.replace("cabinet booth {", "cabinet booth {\n    openings odd in east.rear { round 35 mm; "
                                                "at (700 mm, 300 mm); made by router1 }", 1))
    out, model, faults = compiled(folder, spoilt)
    if out:
        about = mm(next(s for s in model["stock"] if s["name"] == "pleat595")["size"][0]) / 2
        seen = differences(features(model, "east.", about), features(model, "west.", None))
        faults = [] if len(seen) == 1 else [f"one hole more in one wing gives {len(seen)} differences"]
    tap.verdict(faults, "a hole in one wing only is seen as such")


# ---- the shipped assemblies ---------------------------------------------------------------------------------------

def takes(text):
    """The assemblies of a file: name -> [(name, least, most)] of what they take with a range."""
    found = {}
    for m in re.finditer(r"^assembly (\w+) \{(.*?)^\}", text, re.M | re.S):
        found[m.group(1)] = re.findall(r"takes (\w+)\s*= \S+(?: mm)? from (\S+(?: mm)?) to (\S+(?: mm)?) ", m.group(2))
    return found


def library(folder):
    with open(os.path.join(ROOT, "plans", "stock", "assemblies.plan"), encoding="utf-8") as f:
        found = takes(f.read())
    tap.verdict([] if len(found) >= 3 and all(found.values()) else [found], "the shipped assemblies are read")
    with open(os.path.join(ROOT, "docs", "language.md"), encoding="utf-8") as f:
        told = f.read()
    tap.verdict([n for n in found if f"`{n}`" not in told], "docs/language.md tells of each")
    for name, values in found.items():
        faults = []
        cases = [[]] + [[(v, end)] for v, least, most in values for end in (least, most)]
        for case in cases:
            given = "; ".join(f"{v} {x}" for v, x in case)
            plan = os.path.join(folder, "shipped.plan")
            with open(plan, "w", encoding="utf-8") as f:
                f.write(f'plan "Shipped" {{ edition "A" }}\nuse "stock/assemblies"\nuse "stock/tools"\n'
                        f"cabinet one {{ place it : {name} {{ {given}; left at 0 mm; front at 0 mm; bottom at 0 mm }} }}\n")
            done = run("check", plan, "--allow", "tip-over", "--allow", "doorway")
            if done.returncode:
                faults.append(f"{given}: {done.stderr[:400]}")
        tap.verdict(faults, f"{name} is sound as it is shipped and at each end of what it takes ({len(cases)} plans)")


def main():
    folder = tempfile.mkdtemp(prefix="windchest-assemblies-")
    try:
        wings(folder)
        library(folder)
    finally:
        shutil.rmtree(folder)
    return 1 if tap.failed else 0


if __name__ == "__main__":
    sys.exit(main())
