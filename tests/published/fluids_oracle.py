#!/usr/bin/python3
"""The laws of air against a general fluid-mechanics library (python3-fluids) and an interpolation library (python3-scipy),
over grids. Both libraries come from Debian; neither knows this project."""
import math
import os
import re
import subprocess
import sys

from fluids import atmosphere, fittings
from fluids import friction as pipe
from scipy.interpolate import PchipInterpolator

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
ASK = os.path.join(ROOT, os.path.dirname(os.environ.get("WINDCHEST", "build/windchest")), "tests/published/ask_air")
fail = False


def ask(lines):
    p = subprocess.run([ASK], input="\n".join(lines) + "\n", capture_output=True, text=True, timeout=60, check=True)
    return [[float(v) for v in line.split()] for line in p.stdout.splitlines()]


def verdict(name, rows, tolerance, absolute=0.0, least=11):
    """rows: (what, got, want)."""
    global fail
    worst, bad = 0.0, []
    for what, got, want in rows:
        off = abs(got - want) / (tolerance * abs(want) + absolute)
        worst = max(worst, off) if off == off else math.inf
        if not off <= 1:
            bad.append(f"{what}: {got!r}, not {want!r}")
    good = not bad and len(rows) >= least
    print(("ok - " if good else "not ok - ") + f"{name}: {len(rows)} values, worst {worst:.2g} of what is allowed")
    for line in bad[:10]:
        print("#", line)
    fail = fail or not good


def friction():
    grid = [(re, e) for re in (4e3, 6e3, 1e4, 3e4, 1e5, 2.5e5, 1e6, 1e7, 1e8) for e in (0, 1e-6, 1e-5, 1e-4, 1e-3, 5e-3, 0.02, 0.05)]
    got = ask([f"friction {re} {e}" for re, e in grid])
    verdict("Colebrook by another method (Clamond 2009)", [(g, a[0], pipe.Clamond(g[0], g[1])) for g, a in zip(grid, got)], 2e-14)
    verdict("Colebrook, the library's own", [(g, a[0], pipe.Colebrook(g[0], g[1])) for g, a in zip(grid, got)], 1e-9)
    verdict("Haaland", [(g, a[1], pipe.Haaland(g[0], g[1])) for g, a in zip(grid, got)], 1e-12)
    # The library writes (6.97/Re)^0.9 for 5.74/Re^0.9.
    verdict("Swamee and Jain", [(g, a[2], pipe.Swamee_Jain_1976(g[0], g[1])) for g, a in zip(grid, got)], 3e-6)
    slow = [10, 100, 500, 1000, 1500, 2000, 2200, 2290, 1, 50, 300]
    got = ask([f"friction {re} 0.001" for re in slow])
    verdict("laminar", [(re, a[0], pipe.friction_laminar(re)) for re, a in zip(slow, got)], 1e-12)


def fitting(word, grid, values, want, name):
    """values: row -> ANGLE RADIUS PIECES RATIO FREE THICK; want: row, friction factor -> K."""
    got = ask([f"fitting {word} " + " ".join(str(v) for v in values(*g)) for g in grid])
    rows = []
    for g, (k, lengths) in zip(grid, got):
        for f in (0.01, 0.02, 0.04):
            rows.append(((g, f), k + lengths * f, want(*g, f)))
    verdict(name, rows, 1e-12, 1e-14)


def all_fittings():
    nan = "nan"
    fitting("elbow", [(a, r) for a in (5, 30, 45, 60, 90, 120, 180) for r in (0.5, 0.75, 1, 1.5, 2, 3, 10)],
            lambda a, r: (a, r, nan, nan, nan, nan),
            lambda a, r, f: fittings.bend_rounded(Di=0.2, angle=a, fd=f, bend_diameters=r, method="Rennels"), "smooth elbows")
    fitting("mitred-elbow", [(a,) for a in (5, 15, 22.5, 30, 45, 60, 75, 90, 120, 135, 150)],
            lambda a: (a, nan, nan, nan, nan, nan), lambda a, f: fittings.bend_miter(angle=a, method="Rennels"), "mitred elbows")
    cones = [(a, r) for a in (3, 10, 20, 20.5, 30, 45, 60, 60.5, 90, 120, 180) for r in (0.04, 0.1, 0.24, 0.26, 0.5, 0.8, 0.95)]
    fitting("expansion", cones, lambda a, r: (a, nan, nan, r, nan, nan),
            lambda a, r, f: fittings.diffuser_conical(Di1=math.sqrt(r), Di2=1, angle=a, fd=f, method="Rennels"), "expansions")
    fitting("contraction", [c for c in cones if c[0] >= 5], lambda a, r: (a, nan, nan, r, nan, nan),
            lambda a, r, f: fittings.contraction_conical(Di1=1, Di2=math.sqrt(r), angle=a, fd=f, method="Rennels"), "contractions")
    fitting("rounded-entry", [(r / 20,) for r in range(21)], lambda r: (nan, r, nan, nan, nan, nan),
            lambda r, f: fittings.entrance_rounded(Di=1, rc=r, method="Rennels"), "rounded entries")
    fitting("exit", [(0,)] * 4, lambda _: (nan,) * 6, lambda _, f: fittings.exit_normal(), "exits")


def atmospheres():
    """The standard atmosphere of 1976; its gas constant is 287.053 and its sea level air 288.15 K."""
    heights = list(range(-500, 11001, 500))
    layers = [atmosphere.ATMOSPHERE_1976(z) for z in heights]
    got = ask([f"air {z} {a.T} 0" for z, a in zip(heights, layers)])
    # The library takes geometric heights, our formula geopotential ones: 0.3 % of pressure apart at 11000 m.
    verdict("pressure by altitude", [(z, g[0], a.P) for z, g, a in zip(heights, got, layers)], 0.0032)
    verdict("density by altitude", [(z, g[1], a.rho) for z, g, a in zip(heights, got, layers)], 0.0032)
    verdict("viscosity by temperature", [(z, g[2], a.mu) for z, g, a in zip(heights, got, layers)], 1e-4)


def curves():
    """The same monotone cubic (Fritsch and Butland) by another hand, ends included."""
    seed, rows = 7, []

    def draw():
        nonlocal seed
        seed = (seed * 1103515245 + 12345) % 2**31
        return seed / 2**31
    for _ in range(60):
        n = 2 + int(draw() * 8)
        x, y = [0.0], [draw() * 500]
        for _ in range(n - 1):
            x.append(x[-1] + 0.01 + draw())
            y.append(y[-1] + (draw() - 0.7) * 300)
        at = [x[0] + (x[-1] - x[0]) * i / 20 for i in range(20)]
        got = ask([f"curve {n} " + " ".join(f"{a!r} {b!r}" for a, b in zip(x, y)) + f" {len(at)} " + " ".join(map(repr, at))])[0]
        want = PchipInterpolator(x, y)(at)
        rows += [((x, y, a), g, float(w)) for a, g, w in zip(at, got, want)]
    verdict("curves through published points", rows, 1e-10, 1e-9)


def roughnesses():
    """What the shipped stock takes for galvanised duct is the handbooks' figure, 0.15 mm (0.0005 ft); the walls of gaps lie
    within what Idelchik gives for plywood."""
    with open(os.path.join(ROOT, "plans", "stock", "bars.plan"), encoding="utf-8") as f:
        found = re.findall(r"roughness ([\d.]+) (mm|ft)\n(?:    (?!source)[^\n]*\n)*    source +\"[^\"]*galvanised", f.read())
    iron = pipe._roughness["Galvanized iron"]
    verdict("roughness of galvanised duct in the stock", [(f, float(f[0]) * {"mm": 1e-3, "ft": 0.3048}[f[1]], iron) for f in found],
            0.02, least=4)
    with open(os.path.join(ROOT, "runtime", "engine", "airlaw.h"), encoding="utf-8") as f:
        gap = float(re.search(r"#define AIRLAW_WALL_ROUGHNESS_M ([\d.e-]+)\n", f.read()).group(1))
    across = pipe.HHR_roughness["Plywood tubes, Birch plywood, transverse grain, good quality"][2]
    along = pipe.HHR_roughness["Plywood tubes, Birch plywood, longitudal grain, good quality"][0]
    verdict("roughness of plywood", [("gap", gap, min(max(gap, along), across))], 1e-12, least=1)


def the_check_can_fail():
    global fail
    k = ask(["fitting elbow 90 1 nan nan nan nan"])[0][0]
    wrong = fittings.bend_rounded(Di=0.2, angle=91, fd=0.0, bend_diameters=1, method="Rennels")
    good = abs(k - wrong) > 1e-6
    print(("ok - " if good else "not ok - ") + "a degree more is noticed")
    fail = fail or not good


friction()
all_fittings()
atmospheres()
curves()
roughnesses()
the_check_can_fail()
sys.exit(fail)
