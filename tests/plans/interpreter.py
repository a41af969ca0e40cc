#!/usr/bin/env python3
"""The drilling programs run by an interpreter that is none of ours: `rs274` of Debian's package linuxcnc-uspace.

It reads a program as a machine's controller does and prints the moves that follow from it. Every program of the plans,
metric and in inches, is taken without complaint; programs with one fault each are refused. The moves are held against
drill.csv: each hole, cut-out, dado, rabbet and outline is where the table has it, as broad, as high and as deep; what is
not cut is named as left to hand work; nothing else is cut; nothing moves fast through wood, nothing feeds with a spindle
that stands or without a feed. Faults put into a good program show that each of these can fail.

The package is fetched and unpacked below build/, by apt-get with files of its own; nothing is installed. Where that
cannot be had the test is skipped and says why.
"""
import collections
import csv
import glob
import json
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
HOME = os.path.join(ROOT, "build", "rs274")
PLANS = [(name, *options) for name in sorted(glob.glob(os.path.join(ROOT, "plans", "*.plan")))
         for options in (("--measures", "metric"), ("--measures", "inch"))]
PLANS += [(os.path.join(ROOT, "tests", "plans", "sheets.plan"),)]
# The libraries that the interpreter links with, and Debian 12's packages of them.
LIBRARIES = {"libboost_python311.so.1.74.0": "libboost-python1.74.0", "libpython3.11.so.1.0": "libpython3.11",
             "libedit.so.2": "libedit2", "libtirpc.so.3": "libtirpc3", "libstdc++.so.6": "libstdc++6",
             "libbsd.so.0": "libbsd0", "libmd.so.0": "libmd0", "libexpat.so.1": "libexpat1", "libz.so.1": "zlib1g",
             "libgssapi_krb5.so.2": "libgssapi-krb5-2", "libkrb5.so.3": "libkrb5-3", "libk5crypto.so.3": "libk5crypto3",
             "libkrb5support.so.0": "libkrb5support0", "libkeyutils.so.1": "libkeyutils1", "libcom_err.so.2": "libcom-err2"}


# ---- to have it ------------------------------------------------------------------------------------------------


class Lacking(Exception):
    pass


def call(*command, **more):
    try:
        return subprocess.run(command, capture_output=True, text=True, timeout=240, check=False, **more)
    except (OSError, subprocess.TimeoutExpired) as e:
        raise Lacking(f"{command[0]}: {e}") from e


def last_line(r):
    lines = [x for x in (r.stdout + r.stderr).splitlines() if x.strip()]
    return lines[-1] if lines else f"status {r.returncode}"


def fetch(package, folder):
    """Unpacks a package in the folder. The lists of packages are the system's; if they do not do, ones of our own."""
    own = os.path.join(folder, "apt")
    os.makedirs(os.path.join(own, "lists", "partial"), exist_ok=True)
    os.makedirs(os.path.join(own, "cache", "archives", "partial"), exist_ok=True)
    options = ["-q", "-o", f"Dir::Cache={own}/cache", "-o", "APT::Sandbox::User=root",
               "-o", "Acquire::Retries=1", "-o", "Acquire::http::Timeout=20"]
    got = call("apt-get", *options, "download", package, cwd=own)
    if got.returncode:
        options += ["-o", f"Dir::State::lists={own}/lists"]
        call("apt-get", *options, "update")
        got = call("apt-get", *options, "download", package, cwd=own)
    archives = glob.glob(os.path.join(own, package + "_*.deb"))
    if got.returncode or not archives:
        raise Lacking(f"{package} cannot be had: {last_line(got)}")
    opened = call("dpkg", "-x", archives[0], folder)
    if opened.returncode:
        raise Lacking(f"{package} cannot be unpacked: {last_line(opened)}")
    os.remove(archives[0])


def libraries(folder):
    return [os.path.join(folder, "usr", "lib")] + [
        p for lib in ("usr/lib", "lib") for p in glob.glob(os.path.join(folder, lib, "*-linux-*"))]


def surroundings(folder):
    return dict(os.environ, LD_LIBRARY_PATH=":".join(libraries(folder)))


def unpacked():
    """The folder with the interpreter and its libraries; `whole` is put there last."""
    if os.path.exists(os.path.join(HOME, "whole")):
        return HOME
    for needed in "apt-get", "dpkg", "ldd":
        if not shutil.which(needed):
            raise Lacking(f"there is no {needed} here")
    with tempfile.TemporaryDirectory() as folder:
        fetch("linuxcnc-uspace", folder)
        program = os.path.join(folder, "usr", "bin", "rs274")
        tried = set()
        while True:
            linked = call("ldd", program, env=surroundings(folder)).stdout
            missing = sorted(set(re.findall(r"(\S+) => not found", linked)))
            if not missing:
                break
            if missing[0] not in LIBRARIES or missing[0] in tried:
                raise Lacking(f"this system has no {missing[0]}")
            fetch(LIBRARIES[missing[0]], folder)
            tried.add(missing[0])
        shutil.rmtree(HOME, ignore_errors=True)
        kept = [program] + [p for path in libraries(folder) for p in glob.glob(os.path.join(path, "*.so*"))]
        for path in kept:  # nothing else of the packages is wanted
            own = os.path.join(HOME, os.path.relpath(path, folder))
            os.makedirs(os.path.dirname(own), exist_ok=True)
            shutil.copy2(path, own)
        open(os.path.join(HOME, "whole"), "w", encoding="ascii").close()
    return HOME


class Interpreter:
    def __init__(self, folder, work):
        self.program, self.env, self.work = os.path.join(folder, "usr", "bin", "rs274"), surroundings(folder), work

    def run(self, text):
        """Status, the moves it prints, what it complains of."""
        with tempfile.TemporaryDirectory(dir=self.work) as own:
            for name, content in (("program.ngc", text), ("tools.tbl", ""), ("values.var", "")):
                with open(os.path.join(own, name), "w", encoding="ascii") as f:
                    f.write(content)
            r = call(self.program, "-t", "tools.tbl", "-v", "values.var", "-g", "program.ngc", cwd=own, stdin=subprocess.DEVNULL,
                     env=dict(self.env, HOME=own))  # it keeps a file of its tools there, which no other run may share
            return r.returncode, r.stdout, r.stderr


# ---- what it moves ---------------------------------------------------------------------------------------------


class Cut:
    """What one feature's moves take away: a box in the plane, how deep, turns at full depth."""

    def __init__(self, face, radius):
        self.face, self.radius, self.low, self.high = face, radius, [math.inf] * 2, [-math.inf] * 2
        self.deep, self.turned, self.left = 0.0, collections.Counter(), 0.0

    def reach(self, x, y, z):
        for i, at in enumerate((x, y)):
            self.low[i], self.high[i] = min(self.low[i], at), max(self.high[i], at)
        self.deep = min(self.deep, z)

    def arc(self, at, to, centre, left):
        """Its ends are reached already; here the outermost points between them, and the turn."""
        r = math.dist(to[:2], centre)
        start, end = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (at, to))
        sweep = ((end - start) if left else (start - end)) % math.tau or math.tau
        for quarter in range(4):
            a = quarter * math.pi / 2
            if ((a - start) if left else (start - a)) % math.tau <= sweep:
                self.reach(centre[0] + r * math.cos(a), centre[1] + r * math.sin(a), to[2])
        if at[2] == to[2]:
            self.turned[to[2]] += sweep


MOVE = re.compile(r"\s*\d+ N\S+\s+(\w+)\((.*)\)$")


def follow(moves, tools):
    """Of one program: {(face, number): Cut}, the numbers left to hand work by face, faults."""
    cuts, left, faults, names = {}, set(), [], []
    scale, face, radius, cut, at = None, None, None, None, (0.0, 0.0, 0.0)
    turning, feed, drilled = False, 0.0, {}
    for line in moves.splitlines():
        m = MOVE.match(line)
        if not m:
            faults.append("no move: " + line)
            continue
        name, words = m.groups()
        names.append(name)
        v = [float(x) for x in re.findall(r"-?\d+\.?\d*", words)] if name != "COMMENT" else []
        if name == "USE_LENGTH_UNITS":
            scale = {"CANON_UNITS_MM": 1.0, "CANON_UNITS_INCHES": 25.4}[words]
        elif name == "SELECT_PLANE" and words != "CANON_PLANE_XY":
            faults.append("a plane of its own: " + words)
        elif name == "SET_FEED_RATE":
            feed = v[0]
        elif name == "START_SPINDLE_CLOCKWISE":
            turning = True
        elif name in ("STOP_SPINDLE_TURNING", "START_SPINDLE_COUNTERCLOCKWISE"):
            turning = False
        elif name == "PROGRAM_STOP" and (turning or at[2] <= 0):
            faults.append("it stops with the spindle turning or in the wood")
        elif name == "COMMENT":
            text = words[1:-1]
            if m := re.match(r"face: (\w+);", text):
                face = m[1]
                drilled.clear()
            elif m := re.match(r"tool \d+: (\w+),", text):
                radius = tools[m[1]] / 2
            elif m := re.match(r"left to hand work: (?!countersink)\w+ (\d+),", text):
                left.add((face, m[1]))
            elif m := re.match(r"the cutter leaves up to ([0-9.]+) in its inside", text):
                cut.left = float(m[1]) * scale
            elif m := re.match(r"(?!left)[\w-]+ (\d+), ", text):
                cut = cuts.setdefault((face, m[1]), Cut(face, radius))
        elif name in ("STRAIGHT_TRAVERSE", "STRAIGHT_FEED"):
            to = tuple(x * scale for x in v[:3])
            over = to[:2] != at[:2]
            if name == "STRAIGHT_FEED":
                if not turning or feed <= 0:
                    faults.append(f"it feeds with the spindle standing or without a feed: {line}")
                if to[2] < 0:
                    if cut is None:
                        faults.append(f"it cuts before it says what: {line}")
                        continue
                    for p in (at, to) if over else (to,):
                        cut.reach(*p)
                    drilled[to[:2]] = min(to[2], drilled.get(to[:2], 0.0))
            elif over and min(at[2], to[2]) <= 0:
                faults.append(f"fast through the wood: {line}")
            elif to[2] < at[2] and to[2] < drilled.get(to[:2], 0.0):
                faults.append(f"fast into the wood: {line}")
            at = to
        elif name == "ARC_FEED":
            end, centre, turn, z = (v[0] * scale, v[1] * scale), (v[2] * scale, v[3] * scale), v[4], v[5] * scale
            to = (*end, z)
            if not turning or feed <= 0 or abs(turn) != 1:
                faults.append(f"it feeds with the spindle standing, without a feed or more than once round: {line}")
            if abs(math.dist(at[:2], centre) - math.dist(end, centre)) > 0.01:
                faults.append(f"an arc whose ends are not as far from its centre: {line}")
            cut.reach(*at)
            cut.reach(*to)
            cut.arc(at, to, centre, turn > 0)
            at = to
    if "PROGRAM_END" not in names or turning or at[2] <= 0:
        faults.append("it does not end, or with the spindle turning, or in the wood")
    return cuts, left, faults


# ---- against the table -----------------------------------------------------------------------------------------

NEAR = 0.006  # mm: an inch program has four decimals, on either side of a cut


def wanted(row, cut, size):
    """The box that the row's cut must take: a dado that reaches an edge runs out beyond it, by the radius and 1 mm."""
    low, high = [], []
    for at, broad, blank in zip(("right", "up"), ("broad", "high"), size):
        middle, half = float(row[at + " exact (mm)"]), float(row[broad + " exact (mm)"]) / 2
        a, b = middle - half, middle + half
        if row["kind"] in ("dado", "groove", "rabbet", "shoulder", "halving", "notch"):
            a, b = a - (cut.radius + 1) * (a <= NEAR / 2), b + (cut.radius + 1) * (b >= blank - NEAR / 2)
        low.append(a)
        high.append(b)
    return low, high


def compare(rows, blank, cuts, left):
    faults, met = [], set()
    sizes = blank["size"]
    thick = min(s["mm"] for s in sizes)
    for r in rows:
        key, what = (r["face"], r["no."]), f"{r['kind']} {r['no.']} on the {r['face']}"
        if key not in cuts:
            if key not in left:
                faults.append(what + " is neither cut nor left to hand work")
            continue
        cut = cuts[key]
        met.add(key)
        low, high = wanted(r, cut, frame(blank, r["face"]))
        for got, want, out in zip(cut.low + cut.high, low + high, (-1, -1, 1, 1)):
            got += out * cut.radius
            over = (got - want) * out
            if over > NEAR or over < -NEAR - cut.left:
                faults.append(f"{what} reaches to {got:.4f}, in the table to {want:.4f}")
        deep = thick + 1 if r[DEPTH] == "through" else float(r["depth exact (mm)"])
        if abs(cut.deep + deep) > NEAR:
            faults.append(f"{what} is {-cut.deep:.4f} deep, in the table {deep:.4f}")
        across = max(b - a for a, b in zip(cut.low, cut.high))
        if "×" not in r[SIZE] and across > NEAR and max(
                (t for z, t in cut.turned.items() if abs(z + deep) < NEAR), default=0) < math.tau - 1e-3:
            faults.append(f"{what} is not turned round once at its full depth")
    faults += [f"{k} is cut, and no row of the table" for k in cuts if k not in met]
    return faults, len(met)


FACES = {"left": (1, 2, 0), "right": (1, 2, 0), "front": (0, 2, 1), "back": (0, 2, 1), "bottom": (0, 1, 2), "top": (0, 1, 2)}


def frame(blank, face):
    return [blank["size"][i]["mm"] for i in FACES[face][:2]]


def of_part(table, part, blank):
    sizes = [s["mm"] for s in blank["size"]]
    through = sizes.index(min(sizes))
    return [r for r in table if r["part"] == part and FACES[r["face"]][2] == through and not r["kind"].startswith("corner")]


# ---- programs with faults --------------------------------------------------------------------------------------

REFUSED = {"a feed move without a feed": "G1 X5. Y5.", "an arc whose ends do not fit": "G2 X1. Y1. I0. J5. F100.",
           "two moves in one block": "G0 G1 X1. F100.", "a word twice": "G0 X1. X2.", "a word without its number": "G0 X",
           "an open comment": "G0 X1. (to the", "an unknown letter of motion": "G0.5 X1.", "an unknown code": "M77",
           "a cycle from below its bottom": "G81 X1. Y1. Z1. R-1. F100.", "pecks of nothing": "G83 X1. Y1. Z-5. R1. Q0. F100.",
           "a cycle without its depth": "G81 X1. Y1. R1. F100.", "an arc without a centre": "G3 X1. Y1. F100.",
           "a bracket that is not closed": "G0 X[1.", "a feed below nothing": "G1 X1. F-100."}


def shifted(match, by):
    return match[1] + f"{float(match[2]) + by:.3f}"


# What is wrong, the pattern that is changed once, what becomes of it, a word of the fault that must be found.
WOUNDS = [("a hole drilled 0.1 mm aside", r"(G8[13] X)(-?[\d.]+)", lambda m: shifted(m, 0.1), "reaches to"),
          ("a hole drilled 0.1 mm less deep", r"(G8[13] X\S+ Y\S+ Z)(-?[\d.]+)", lambda m: shifted(m, 0.1), "deep"),
          ("a hole that is not drilled", r"G98 G8[13] X.*\n", lambda m: "", "deep"),
          ("a cut-out's side 0.1 mm out", r"(\(hole .*through.*\n(?:(?!\(hole).*\n)*?G1 X)(-?[\d.]+)(?= Y)", lambda m: shifted(m, 0.1), "reaches to"),
          ("a spindle that stands", r"S\d+ M3\n", lambda m: "", "spindle"),
          ("no way up between two cuts", r"(G3 .*\n)G0 Z10\.000\n(?=\(hole)", lambda m: m[1], "fast through"),
          ("no last turn", r"(Z-18\.900.*\n)G3 .*\nG3 .*\n", lambda m: m[1], "not turned round"),
          ("another hole", r"\nG0 Z10\.000\nM5\nM2", lambda m: "\n(hole 999, x)\nG81 X9. Y9. Z-9. R2. F100.\nG0 Z10.\nM5\nM2",
           "no row of the table"),
          ("a row's number lost", r"\(hole 5, ", lambda m: "(hole 1005, ", "neither cut nor left"),
          ("fast into the wood", r"G0 Z2\.000\n", lambda m: "G0 Z-2.000\n", "fast into")]


def wound(interpreter, programs):
    for what, pattern, change, word in WOUNDS:
        found = next((p for p in programs if re.search(pattern, p[0])), None)
        if not found:
            tap.verdict(["no program has " + pattern], f"seeded: {what} is found")
            continue
        text, rows, blank, tools = found
        status, moves, said = interpreter.run(re.sub(pattern, change, text, count=1))
        cuts, left, faults = follow(moves, tools)
        faults += compare(rows, blank, cuts, left)[0]
        good = status == 0 and any(word in f for f in faults)
        tap.verdict([] if good else [f"status {status}, {said}"] + faults, f"seeded: {what} is found")


def compiled(plan, options, folder):
    r = call(WINDCHEST, "compile", plan, "-o", folder, *options)
    return r.stderr.splitlines() if r.returncode else []


def main():
    global SIZE, DEPTH
    with tempfile.TemporaryDirectory() as work, ThreadPoolExecutor(2) as pool:
        try:
            interpreter = Interpreter(unpacked(), work)
        except Lacking as why:
            print(f"ok - the programs run by an interpreter # SKIP {why}")
            return
        for what, block in REFUSED.items():
            status, _, _ = interpreter.run(f"G21 G90 G94 G17 G40 G49 G80\n{block}\nM2\n")
            tap.verdict([] if status == 1 else [f"status {status}"], f"refused: {what}")
        folders = [os.path.join(work, str(i)) for i in range(len(PLANS))]
        failed = list(pool.map(lambda p: compiled(p[0][0], p[0][1:], p[1]), zip(PLANS, folders)))
        kept, units = [], set()
        for (plan, *options), folder, why in zip(PLANS, folders, failed):
            name = " ".join([os.path.basename(plan)[:-len(".plan")], *options])
            if why:
                tap.verdict(why, f"{name}: compile")
                continue
            with open(os.path.join(folder, "drill.csv"), encoding="utf-8", newline="") as f:
                table = list(csv.DictReader(f))
            with open(os.path.join(folder, "plan.json"), encoding="utf-8") as f:
                model = json.load(f)
            SIZE = next(k for k in table[0] if k.startswith("size"))
            DEPTH = next(k for k in table[0] if k.startswith("depth") and "exact" not in k)
            tools = {t["name"]: t["diameter"]["mm"] for t in model["tools"] if t.get("diameter")}
            blanks = {p["name"]: p["blank"] for p in model["parts"]}
            paths = sorted(glob.glob(os.path.join(folder, "drill-*.ngc")))
            texts = [open(p, encoding="ascii").read() for p in paths]
            cut = 0
            for path, text, (status, moves, said) in zip(paths, texts, pool.map(interpreter.run, texts)):
                part = os.path.basename(path)[len("drill-"):-len(".ngc")]
                rows = of_part(table, part, blanks[part])
                cuts, left, faults = follow(moves, tools)
                more, n = compare(rows, blanks[part], cuts, left)
                faults = ([f"status {status}: {said}"] if status else []) + faults + more
                tap.verdict(faults, f"{name}: the moves of {part} make the {n} features of its table that it cuts")
                units.add(("inch" if "CANON_UNITS_INCHES" in moves else "mm", model["plan"]["measures"]))
                kept.append((text, rows, blanks[part], tools))
                cut += n
            tap.verdict([] if paths and cut else ["none"], f"{name}: {cut} features in {len(paths)} programs")
        tap.verdict([] if units == {("mm", "metric"), ("inch", "inch")} else [str(units)],
                    "metric plans run in millimetres, inch plans in inches")
        SIZE, DEPTH = "size (mm)", "depth (mm)"
        wound(interpreter, [k for k in kept if SIZE in k[1][0]])


main()
tap.finish()
