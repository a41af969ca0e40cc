#!/usr/bin/env python3
"""Changes of tools against the least there can be: every order of pages, and of the work on each page, that the printed
edges allow is tried here for small invented plans and for the examples. Pages are not torn for a tool."""
import heapq
import itertools
import json
import os
import random
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../.."))
WINDCHEST = os.environ.get("WINDCHEST", "build/windchest")
PLANS = 24


def invented(seed):
    """Three or four sheets, two to four patterns over some of them; each hole by one of two hole saws or the router."""
    r = random.Random(seed)
    text = """plan "Changes" { edition "A"; measures metric; purpose "Invented, to count changes of tools." }
use "stock/sheets"
use "stock/tools"
tool hs40 : holesaw { label "40 mm hole saw"; cuts 40 mm }
tool hs60 : holesaw { label "60 mm hole saw"; cuts 60 mm }
cabinet rack {
"""
    sheets = r.randint(3, 4)
    for i in range(sheets):
        text += (f"    panel p{i} : ply18 {{ left at 0 mm; width 600 mm; front at 0 mm; depth 400 mm; "
                 f"bottom at {i * 100} mm }}\n")
    for k in range(r.randint(2, 4)):
        some = sorted(r.sample(range(sheets), r.randint(1, sheets)))
        text += f"    openings o{k} in {', '.join('p%d' % s for s in some)} {{\n"
        for s, size in zip(some, [r.choice((40, 60, 50)) for _ in some]):
            text += f"        round {size} mm in p{s}\n"
        text += f"        at ({80 + k * 120} mm, 200 mm)\n    }}\n"
    return text + "}\n"


def with_tools(order):
    """Operations that take a tool, as told: their tools, those that must come before (as bits), their page."""
    ops = order["operations"]
    before = [0] * (len(ops) + 1)
    for o in ops:  # told in an order that the edges allow: one pass
        for e in order["edges"]:
            if e["after"] == o["number"]:
                before[o["number"]] |= before[e["before"]] | 1 << e["before"]
    kept = [o for o in ops if o["tools"]]
    place = {o["number"]: k for k, o in enumerate(kept)}
    need = [sum(1 << place[q] for q in place if before[o["number"]] >> q & 1) for o in kept]
    return [frozenset(o["tools"]) for o in kept], need, [o["step"] for o in kept]


def counted(tools):
    return sum(1 for a, b in zip(tools, tools[1:]) if not a & b)


def page_ends(page, tools, need, hand):
    """The tools that the page may end with, each with the fewest changes, over all its orders."""
    inside = {o: k for k, o in enumerate(page)}
    own = [sum(1 << inside[q] for q in page if need[o] >> q & 1) for o in page]
    states = {(0, hand): 0}
    for _ in page:
        after = {}
        for (done, last), changes in states.items():
            for k, o in enumerate(page):
                if done >> k & 1 or own[k] & ~done:
                    continue
                state = done | 1 << k, tools[o]
                now = changes + bool(last and not last & tools[o])
                after[state] = min(now, after.get(state, now))
        states = after
    ends = {}
    for (_, last), changes in states.items():
        ends[last] = min(changes, ends.get(last, changes))
    return ends


def least(tools, need, steps):
    pages = {}
    for k, s in enumerate(steps):
        pages.setdefault(s, []).append(k)
    pages = list(pages.values())
    own = [sum(1 << o for o in p) for p in pages]
    wants = [0] * len(pages)
    for p, ops in enumerate(pages):
        for o in ops:
            wants[p] |= need[o] & ~own[p]
    count, seen, heap = itertools.count(), set(), [(0, 0, 0, frozenset())]
    while heap:
        changes, _, done, hand = heapq.heappop(heap)
        if done == (1 << len(tools)) - 1:
            return changes
        if (done, hand) in seen:
            continue
        seen.add((done, hand))
        for p, ops in enumerate(pages):
            if done & own[p] or wants[p] & ~done:
                continue
            for end, more in page_ends(ops, tools, need, hand).items():
                heapq.heappush(heap, (changes + more, next(count) + 1, done | own[p], end))
    raise AssertionError("no order at all")


def order_of(path, folder, *options):
    r = subprocess.run([WINDCHEST, "compile", path, "-o", folder, *options], capture_output=True, timeout=120)
    assert r.returncode == 0, r.stderr.decode()
    return json.load(open(os.path.join(folder, "steps.json"), encoding="utf-8"))


with tempfile.TemporaryDirectory() as work:
    above, equal = [], 0
    for seed in range(1, PLANS + 1):
        path = os.path.join(work, "p.plan")
        open(path, "w", encoding="utf-8").write(invented(seed))
        tools, need, steps = with_tools(order_of(path, os.path.join(work, "p"), "--allow", "part-unjoined", "--allow",
                                                 "part-floating"))
        now, best = counted(tools), least(tools, need, steps)
        assert now >= best, (seed, now, best)
        equal += now == best
        if now > best:
            above.append((seed, now, best))
    tap.held(f"{PLANS} small plans: {equal} have the least that there can be", equal == PLANS, *above)
    for plan in "luthier-booth", "paddle-bench":
        tools, need, steps = with_tools(order_of(f"plans/{plan}.plan", os.path.join(work, plan)))
        now, best = counted(tools), least(tools, need, steps)
        tap.held(f"{plan}: {now} changes, the least there can be", now == best, best)
tap.finish()
