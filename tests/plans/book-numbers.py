#!/usr/bin/env python3
"""Every number on every page of the books is the model's.

tests/book.py cuts a book into blocks by what each stands for (a row of the parts list, one face's ordinates, a cut, a
sentence of a step, a branch in one condition, …). Each number of a block has to be what plan.json, cuts.json, air.json,
steps.json or drill.csv say of that very thing, worked out anew and rounded as printed, or stand in one of the few texts
of book.PRINTED; a sentence whose figures tests/book.py does not know is a fault. Then figures of the pages are changed by
one in their last place, and figures of the model beside a right page, to see how many of them are found.
"""
import os
import random
import re
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import book  # noqa: E402
import figures  # noqa: E402
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
VARIANTS = [(plan, paper, measures) for plan in ("luthier-booth", "paddle-bench")
            for paper, measures in (("a4", "metric"), ("letter", "inch"), ("letter", "metric"), ("a4", "inch"))]
WOUNDS, CAUGHT = 250, 0.95  # figures changed in each book, and the share of them that has to be found


def changed(n):
    """The figure with one more or less in its last printed place."""
    if "/" in n:
        head, over = re.match(r"(.*?)(\d+)(?=/)", n).groups()
        return head + str(int(over) + 1) + n[n.index("/"):]
    last = int(n[-1])
    return n[:-1] + str(last - 1 if last == 9 or last % 2 else last + 1)


def wounded(blocks, rng):
    """(how many were changed, those that were not found)."""
    places = [(b, m) for b in blocks if not b.left() for m in figures.NUMBER.finditer(b.text)]
    missed = []
    for b, m in rng.sample(places, min(WOUNDS, len(places))):
        if not b.left(b.text[:m.start()] + changed(m.group(0)) + b.text[m.end():]):
            missed.append(f"{b.where}: {m.group(0)} as {changed(m.group(0))} in “{b.text[max(0, m.start() - 30):m.end() + 20]}”")
    return min(WOUNDS, len(places)), missed


def left_of(blocks):
    return [(b, n) for b in blocks for n in b.left()]


def models_changed(read):
    """The page is right, the model says otherwise: each change has to show."""
    part = next(p for p in read.plan["parts"] if p["kind"] == "panel")
    branch = next(c for c in read.air["conditions"] if c["condition"] == "dirty")["branches"][0]
    step, cut = read.steps["steps"][-1], read.cuts["sheets"][0]["cuts"][0]
    for what, where, key, by in (("a part's mass", part, "mass_kg", 1.05), ("a branch's flow", branch, "flow_m3_s", 1.01),
                                 ("a step's minutes", step, "minutes", 1.3), ("a cut's fence", cut, "fence", None)):
        was = where[key]
        where[key] = {"exact": "997", "mm": 997} if by is None else was * by
        if not left_of(read.blocks()):
            yield f"{what} is changed from {was}, and nothing is found"
        where[key] = was


def one(variant):
    plan, paper, measures = variant
    path = os.path.join(ROOT, "plans", plan + ".plan")
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run([WINDCHEST, "compile", path, "-o", folder, "--paper", paper, "--measures", measures],
                              capture_output=True, text=True, timeout=300, check=False)
        if done.returncode:
            return None
        read = book.Book(folder, path)
    blocks = list(read.blocks())
    total = sum(len(figures.numbers(b.text)) for b in blocks)
    drawn = sum(len(figures.numbers(t.text)) for t in read.texts)
    left = [f"{b.where}: {n} in “{b.text[:160]}”" for b, n in left_of(blocks)]
    tried, missed = wounded(blocks, random.Random(plan + paper))
    unseen = list(models_changed(read)) if (paper, measures) == ("a4", "metric") else []
    return total, drawn, left, tried, missed, unseen, list(read.option_faults())


def main():
    with ProcessPoolExecutor(2) as pool:
        for (plan, paper, measures), result in zip(VARIANTS, pool.map(one, VARIANTS)):
            name = f"{plan}, {paper}, {measures}"
            if result is None:
                tap.verdict(["it is not compiled"], name)
                continue
            total, drawn, left, tried, missed, unseen, holes = result
            share = 100 * (1 - len(left) / total)
            tap.verdict(left, f"{name}: {total} numbers, {share:.2f} % of them are the model's")
            tap.held(f"{name}: all numbers of its pages are looked at", total > 3000 and total >= 0.98 * drawn, f"{total} of {drawn}")
            tap.verdict(holes, f"{name}: limits of holes, what cuts them, test cuts and passes are worked out anew")
            found = 1 - len(missed) / tried
            tap.verdict(missed if found < CAUGHT else [], f"{name}: of {tried} figures changed in their last place {100 * found:.1f} % are found")
            if (paper, measures) == ("a4", "metric"):
                tap.verdict(unseen, f"{name}: figures changed in the model are found")
    tap.finish()


if __name__ == "__main__":
    main()
