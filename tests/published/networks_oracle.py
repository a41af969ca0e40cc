#!/usr/bin/python3
"""Networks of any shape, solved a second time by a general root finder (python3-scipy) with laws of the script's own, and
what must hold of any solution: twice the areas, another density, another speed of the fans."""
import math
import os
import subprocess
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import root
from scipy.special import lambertw

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
ASK = os.path.join(ROOT, os.path.dirname(os.environ.get("WINDCHEST", "build/windchest")), "tests/published/ask_air")
TRIALS = 240
SOLVED, OFF_LEFT = 0, 7  # of AIRNET_TROUBLES
fail = False
seed = 20


def draw(low=0.0, high=1.0):
    global seed
    seed = (seed * 1103515245 + 12345) % 2**31
    return low + (high - low) * seed / 2**31


def verdict(good, name, evidence=()):
    global fail
    print(("ok - " if good else "not ok - ") + name)
    for line in list(evidence)[:10]:
        print("#", line)
    fail = fail or not good


# ---- the networks ---------------------------------------------------------------------------------

def opening():
    return {"linear": 0.0, "square": 10 ** draw(1.5, 5), "creep": 1e-6}


def filter_unit():
    x = [0.0, 0.1, 0.3, 0.7, 3.0]
    return {"linear": draw(0, 300), "curve": (x, [v * (60 + 100 * v) for v in x])}


def duct():
    return {"duct": (draw(0.08, 0.3), draw(0.3, 8), draw(0, 2e-4), draw(0, 3))}


def fan():
    top = draw(300, 1500)
    return {"fan": True, "density": draw(0.8, 1.1), "speed": draw(0.6, 1.2),
            "curve": ([0.0, 0.15, 0.3, 0.45, 0.6], [top, 0.97 * top, 0.85 * top, 0.5 * top, -3 * top])}


def network():
    """A tree over the spaces and more branches beside it; one to three fans, each with a way round it."""
    spaces, branches = 2 + int(draw(0, 9)), []

    def add(a, b, law):
        law.update({"from": a, "to": b, "count": 1 + int(draw(0, 3))})
        branches.append(law)
    for s in range(1, spaces):
        add(int(draw(0, s)), s, [opening, duct, filter_unit][int(draw(0, 3))]())
    for _ in range(int(draw(1, 8))):
        a, b = int(draw(0, spaces)), int(draw(0, spaces))
        if a != b:
            add(a, b, [opening, duct][int(draw(0, 2))]())
    for _ in range(1 + int(draw(0, 3))):
        a = int(draw(0, spaces))
        add(a, (a + 1 + int(draw(0, spaces - 1))) % spaces, fan())
    return {"spaces": spaces, "branches": branches, "density": 1.2, "viscosity": 1.82e-5}


def text(net):
    lines = [f"net {net['spaces']} {len(net['branches'])} {net['density']!r} {net['viscosity']!r}"]
    for b in net["branches"]:
        x, y = b.get("curve", ((), ()))
        curve = f"{len(x)} " + " ".join(f"{float(u)!r} {float(v)!r}" for u, v in zip(x, y))
        head = f"{b['from']} {b['to']} {b['count']} 0 "
        if b.get("fan"):
            lines.append(f"fan {head}{b['density']!r} {b['speed']!r} {curve}")
            continue
        d = " ".join(repr(float(v)) for v in b.get("duct", (0, 0, 0, 0)))
        lines.append(f"passive {head}{b.get('linear', 0.0)!r} {b.get('square', 0.0)!r} {b.get('creep', 0.0)!r} "
                     f"{int('duct' in b)} {d} 0 0 {curve}")
    return lines


def answers(nets):
    lines = [line for net in nets for line in text(net)]
    p = subprocess.run([ASK], input="\n".join(lines) + "\n", capture_output=True, text=True, timeout=60, check=True)
    out = p.stdout.splitlines()
    result = []
    for i in range(len(nets)):
        head = out[3 * i].split()
        result.append({"trouble": int(head[0]), "residual": float(head[4]), "flow": [float(v) for v in out[3 * i + 1].split()],
                       "pressure": [float(v) for v in out[3 * i + 2].split()]})
    return result


# ---- the laws by another hand ---------------------------------------------------------------------

def colebrook(re, e):
    """Colebrook's equation by Lambert's function (exact)."""
    a, b = e / 3.7, 2.51 / re
    c = math.log(10) / 2
    return (lambertw(c / b * math.exp(a / b * c)).real / c - a / b) ** -2


def friction_g(re, e):
    """f Re^2, between 2300 and 4000 the cubic that docs/air.md speaks of."""
    if re <= 2300:
        return 64 * re
    if re >= 4000:
        return colebrook(re, e) * re * re
    g1, h = colebrook(4000, e) * 4000 ** 2, 4.0
    m1 = (-3 * g1 + 4 * friction_g(4000 + h, e) - friction_g(4000 + 2 * h, e)) / (2 * h)
    t, wide = (re - 2300) / 1700, 1700
    return ((2 * t**3 - 3 * t**2 + 1) * 64 * 2300 + (t**3 - 2 * t**2 + t) * wide * 64 + (3 * t**2 - 2 * t**3) * g1
            + (t**3 - t**2) * wide * m1)


def law(b, net):
    """Drop over one branch as a function of its whole flow."""
    if b.get("fan"):
        x, y = b["curve"]
        inside, steep = PchipInterpolator(x, y, extrapolate=False), 3 * max(y) / x[-1]
        n, up = b["speed"], b["density"] * b["speed"] ** 2

        def drop(q):
            one = q / b["count"] / n
            if one < x[0]:
                return -up * (y[0] - steep * (one - x[0]))
            return -up * (float(inside(one)) if one <= x[-1] else y[-1] - steep * (one - x[-1]))
        return drop
    inside = PchipInterpolator(*b["curve"]) if "curve" in b else None

    def drop(q):
        one = abs(q) / b["count"]
        p = b.get("linear", 0) * one + b.get("square", 0) * one * math.hypot(one, b.get("creep", 0))
        if "duct" in b:
            d, length, rough, k = b["duct"]
            v = one / (math.pi * d * d / 4)
            re = net["density"] * v * d / net["viscosity"]
            p += friction_g(re, rough / d) * length / d * net["viscosity"] ** 2 / (2 * net["density"] * d * d)
            p += k * net["density"] * v * v / 2
        if inside is not None:
            p += float(inside(one))
        return math.copysign(p, q)
    return drop


def by_root_finder(net):
    """Flows and pressures at once: each branch's law and each space's balance, from a start that knows nothing."""
    branches, spaces = net["branches"], net["spaces"]
    laws, m, n = [law(b, net) for b in branches], len(branches), spaces - 1
    incidence = np.zeros((spaces, m))
    for i, b in enumerate(branches):
        incidence[b["from"], i] += 1
        incidence[b["to"], i] -= 1
    balance = incidence[1:]
    scale = 1000.0

    def both(x):
        q, p = x[:m], np.concatenate(([0.0], x[m:]))
        drops = np.array([f(v) for f, v in zip(laws, q)])
        return np.concatenate(((drops - incidence.T @ p) / scale, balance @ q))

    def slopes(x):
        j = np.zeros((m + n, m + n))
        for i, f in enumerate(laws):
            h = 1e-6 * max(1e-2, abs(x[i]))
            j[i, i] = max(1e-6, (f(x[i] + h) - f(x[i] - h)) / (2 * h)) / scale
        j[:m, m:] = -balance.T / scale
        j[m:, :m] = balance
        return j
    for start in (0.2, 0.05, 0.5, 0.01, 1.0):
        x = np.concatenate((np.array([start if b.get("fan") else start / 3 for b in branches]), np.zeros(n)))
        # The root finder's own path, then Newton's last steps by the same slopes.
        found = root(both, x, jac=slopes, method="hybr", options={"xtol": 1e-12, "maxfev": 400})
        x = found.x
        for _ in range(6):
            x = x - np.linalg.solve(slopes(x), both(x))
        if np.max(np.abs(both(x))) < 1e-11:
            return x[:m], np.concatenate(([0.0], x[m:]))
    return None


def compare():
    bad, both, driven, nets = [], 0, 0, [network() for _ in range(TRIALS)]
    for i, (net, got) in enumerate(zip(nets, answers(nets))):
        want = by_root_finder(net)
        if want is None:
            continue
        both += 1
        # A fan that stronger ones drive backwards is off its points, whatever it would do there.
        backwards = [i for i, b in enumerate(net["branches"]) if b.get("fan") and want[0][i] < 0]
        if backwards or got["trouble"] != SOLVED:
            driven += 1
            if not backwards or got["trouble"] != OFF_LEFT:
                bad.append(f"network {i}: trouble {got['trouble']}, driven backwards {backwards}")
            continue
        flow, pressure = np.abs(want[0]).max(), max(np.abs(want[1]).max(), 1.0)
        off = max(np.abs(np.array(got["flow"]) - want[0]).max() / flow, np.abs(np.array(got["pressure"]) - want[1]).max() / pressure)
        if not off < 1e-7:
            bad.append(f"network {i}, {len(net['branches'])} branches: {off:.3g} apart")
        if not got["residual"] <= 1e-9 * flow:
            bad.append(f"network {i}: residual {got['residual']}")
    verdict(not bad and both - driven >= 200,
            f"{both - driven} networks by a general root finder: the same flows and pressures; {driven} with a fan driven backwards", bad)


# ---- what must hold of any ------------------------------------------------------------------------

def changed(net, change):
    new = {**net, "branches": [dict(b) for b in net["branches"]]}
    for b in new["branches"]:
        change(b)
    return new


def pure(net):
    """Square losses alone: openings in the place of everything that is not a fan."""
    def squares(b):
        if not b.get("fan"):
            keep = {k: b[k] for k in ("from", "to", "count")}
            b.clear()
            b.update(keep, square=10 ** draw(1.5, 5), creep=0.0)
        else:
            b["count"], b["speed"], b["density"] = 1, 1.0, 1.0
    return changed(net, squares)


def scaled():
    nets = [pure(network()) for _ in range(80)]

    def with_speed(b, n):
        if b.get("fan"):
            b["speed"] = n

    def with_area(b):  # square = K rho/2A^2; the fans twice as many, so that the pressures are equal
        if b.get("fan"):
            b["count"] = 2
        else:
            b["square"] /= 4

    def with_density(b, r):
        if b.get("fan"):
            b["density"] = r
        else:
            b["square"] *= r
    plain = answers(nets)
    for name, new, flow, pressure in (
            ("fan laws: flow goes with the speed, pressure with its square", [changed(n, lambda b: with_speed(b, 1.3)) for n in nets], 1.3, 1.69),
            ("fan laws at a low speed", [changed(n, lambda b: with_speed(b, 0.25)) for n in nets], 0.25, 0.0625),
            ("twice the areas: twice the flow at equal pressure", [changed(n, with_area) for n in nets], 2, 1),
            ("density: the flow stays, the pressure goes with it", [changed(n, lambda b: with_density(b, 0.7)) for n in nets], 1, 0.7)):
        bad = []
        for i, (a, b) in enumerate(zip(plain, answers(new))):
            top_q, top_p = max(map(abs, a["flow"])), max(map(abs, a["pressure"]))
            # The power of every branch goes with both: with the cube of the speed.
            if any(abs(y - flow * x) > 1e-8 * top_q for x, y in zip(a["flow"], b["flow"])) or \
               any(abs(y - pressure * x) > 1e-8 * top_p + 1e-9 for x, y in zip(a["pressure"], b["pressure"])):
                bad.append(f"network {i}: {a} and {b}")
        verdict(not bad, f"{name} ({len(nets)} networks)", bad)


def one_fan_networks(count):
    found = []
    while len(found) < count:
        net = network()
        fans = [b for b in net["branches"] if b.get("fan")]
        for extra in fans[1:]:
            net["branches"].remove(extra)
        found.append(net)
    return found


def monotone():
    """One fan: more speed, or any branch less tight, never gives less of its flow."""
    nets, bad, looked = one_fan_networks(60), [], 0
    for i, net in enumerate(nets):
        steps = [changed(net, lambda b, n=n: b.update(speed=n) if b.get("fan") else None) for n in (0.5, 0.6, 0.8, 1.0, 1.1)]
        flows = [r["flow"][-1] for r in answers(steps)]
        looked += 1
        if any(y < x - 1e-9 * abs(x) for x, y in zip(flows, flows[1:])):
            bad.append(f"network {i}: {flows}")
    verdict(not bad and looked == 60, "more fan speed never moves less air (60 networks)", bad)
    # With square losses alone: where laws of different powers meet, a wider cross way can turn the air to a worse one
    # (Braess 1968).
    bad, looked = [], 0
    for i, net in enumerate(map(pure, nets[:40])):
        easier = [net]
        for k, b in enumerate(net["branches"]):
            if b.get("fan"):
                continue
            new = {**net, "branches": [dict(x) for x in net["branches"]]}
            new["branches"][k]["count"] *= 1.5
            easier.append(new)
        flows = [r["flow"][-1] for r in answers(easier)]
        looked += len(flows) - 1
        if any(y < flows[0] * (1 - 1e-9) for y in flows[1:]):
            bad.append(f"network {i}: {flows}")
    verdict(not bad and looked > 100, f"a wider way anywhere never moves less air ({looked} branches)", bad)


compare()
scaled()
monotone()
sys.exit(fail)
