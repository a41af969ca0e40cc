#!/usr/bin/env python3
"""The part drawings of the books are drawn as their figures say.

The paths of the page are measured: between the extension lines of a size over all, from the datum to where an ordinate's
leader ends, from the datum to the middle of each hole of the drilling table, and across it, all divided by the scale
that the drawing names. Each is the printed figure within half of its last place and what a page's
coordinates can tell. The number beside a hole is that of the nearest one. Then the printed figures are changed by
one in their last place, to see that the test finds them (a size half-way between two figures passes for either).
"""
import os
import random
import re
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import book  # noqa: E402
import figures  # noqa: E402
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
VARIANTS = [(plan, *v) for plan in ("luthier-booth", "paddle-bench") for v in (("a4", "metric"), ("letter", "inch"))]
PAGE = 0.00025  # mm: a coordinate of the PDF has three decimals of a point
CHANGED = 200


def value(text, inch):
    """Millimetres."""
    mm = sum(Fraction(v) for v in text.strip("~").split()) * (figures.INCH if inch else 1)
    return float(mm)


def last_place(text, inch):
    if inch:
        return 25.4 / 64
    return 10.0 ** -(len(text.split(".")[1]) if "." in text else 0)


def changed(text):
    if "/" in text:
        return re.sub(r"(\d+)/", lambda m: f"{int(m[1]) + 1}/", text)
    return text[:-1] + (str(int(text[-1]) - 1) if text[-1] == "9" else str(int(text[-1]) + 1))


class View:
    def __init__(self, paths, caption, inch):
        self.inch = inch
        self.scale = 1 / float(caption.text.split("1:")[1].split(" ")[0].rstrip(".,"))
        rects = [p for p in paths if abs(p.width - 0.5) < 0.02 and len(p.points) == 4 and not p.curves and not p.filled]
        boxes = [self.box(p) for p in rects]
        boxes = [b for b in boxes if b[1] > caption.y and b[0] > caption.x - 1]
        self.outline = min(boxes, key=lambda b: (b[1] - caption.y) + 2 * (b[0] - caption.x))
        thin = [p for p in paths if abs(p.width - 0.18) < 0.01 and p.grey == 0 and len(p.points) == 2]
        self.lines = [(p.points[0][:2], p.points[1][:2]) for p in thin]
        self.tips = [p.points[0][:2] for p in paths if p.filled and len(p.points) == 3 and p.grey == 0]
        self.shapes = [self.box(p) for p in paths if not p.filled and abs(p.width - 0.35) < 0.01 and p.grey == 0]
        self.dashed = [self.box(p) for p in paths if not p.filled and abs(p.width - 0.18) < 0.01 and abs(p.grey - 0.35) < 0.01]

    @staticmethod
    def box(p):
        x, y = [q[0] for q in p.points], [q[1] for q in p.points]
        return min(x), min(y), max(x), max(y)

    def room(self, text):
        """How far a measure may be off: half of the last place, or what two coordinates of the page can tell."""
        return last_place(text, self.inch) / 2 + 2 * PAGE / self.scale

    def over_all(self, t):
        """Between the extension lines through the heads of the dimension line under the text."""
        k = 0 if not t.turned else 1
        level = (t.y if k == 0 else t.x) + 0.9
        tips = [p for p in self.tips if abs(p[1 - k] - level) < 0.25 and self.outline[k] - 1 < p[k] < self.outline[k + 2] + 1]
        if len(tips) != 2:
            return None
        at = []
        for p in tips:
            ends = [a for a, b in self.lines if abs(a[k] - b[k]) < 0.003 and abs(a[k] - p[k]) < 0.02
                    and min(a[1 - k], b[1 - k]) < p[1 - k] < max(a[1 - k], b[1 - k])]
            if len(ends) != 1:
                return None
            at.append(ends[0][k])
        return abs(at[0] - at[1]) / self.scale

    def ordinate(self, t):
        """From the datum to where the leader of this text ends."""
        k = 0 if t.turned else 1
        spread = (t.x if k == 0 else t.y) - t.cap / 2
        stubs = [(a, b) for a, b in self.lines if abs(a[k] - b[k]) < 0.003 and abs(a[k] - spread) < 0.05 and abs(abs(a[1 - k] - b[1 - k]) - 1) < 0.02]
        stubs = [s for s in stubs if (s[0][1] < t.y if k == 0 else s[0][0] > t.x)]
        if not stubs:
            return None
        stub = min(stubs, key=lambda s: abs(s[0][1 - k] - (t.y if k == 0 else t.end)))
        bend = [a for a, b in self.lines if abs(b[0] - stub[0][0]) < 0.005 and abs(b[1] - stub[0][1]) < 0.005 and (a, b) != stub]
        if len(bend) != 1:
            return None
        return (bend[0][0] - self.outline[0] if k == 0 else self.outline[3] - bend[0][1]) / self.scale

    def at(self, right, up):
        return self.outline[0] + right * self.scale, self.outline[3] - up * self.scale


def measured(view, what, t_text, drawn):
    """A fault, or None."""
    if drawn is None:
        return f"{what}: {t_text} is not found in the drawing"
    off = abs(drawn - value(t_text, view.inch))
    return None if off <= view.room(t_text) else f"{what}: {t_text} is drawn as {drawn:.3f} mm, {off:.3f} mm off"


def hole_faults(read, view, where, part, face, rows):
    """Each hole of the table stands where the table says, as broad as drill.csv says."""
    faults, n = [], 0
    sizes = {int(h["no."]): h for h in read.holes_of(part["name"]) if h["face"] == face and not h["kind"].startswith("corner")}
    for ups, rights, nos in rows:
        for i, no in enumerate(nos):
            up, right = ups[i // len(rights)], rights[i % len(rights)]
            x, y = view.at(value(right, view.inch), value(up, view.inch))
            room = max(view.room(up), view.room(right)) * view.scale + PAGE
            near = [b for b in view.shapes if abs((b[0] + b[2]) / 2 - x) <= room and abs((b[1] + b[3]) / 2 - y) <= room]
            wide, high = (float(sizes[no][k]) for k in ("broad exact (mm)", "high exact (mm)"))
            n += 1
            if not any(abs((b[2] - b[0]) - wide * view.scale) < 8 * PAGE and abs((b[3] - b[1]) - high * view.scale) < 8 * PAGE for b in near):
                faults.append(f"{where}: hole {no} is not drawn at {right}, {up}, {wide} x {high} mm")
    return faults, n


def label_faults(read, view, where, part, face, labels):
    """The number of a hole stands nearer to it than to another of the same face, and the edges' at theirs."""
    faults = []
    holes = {int(h["no."]): h for h in read.holes_of(part["name"]) if h["face"] == face and not h["kind"].startswith("corner")}
    def gap(t, h):
        x, y = view.at(float(h["right exact (mm)"]), float(h["up exact (mm)"]))
        w, v = (float(h[k]) * view.scale / 2 for k in ("broad exact (mm)", "high exact (mm)"))
        dx, dy = max(t.x - x, x - t.end, 0), max(t.y - t.cap - y, y - t.y, 0)  # from the middle to the number
        if w == v:
            return max(0, (dx ** 2 + dy ** 2) ** 0.5 - w)
        return (max(0, dx - w) ** 2 + max(0, dy - v) ** 2) ** 0.5
    for t in labels:
        own = holes.get(int(t.text))
        if own is None:
            continue
        mine = gap(t, own)
        nearer = [n for n, h in holes.items() if h["kind"].split(",")[0] not in ("dado", "rabbet", "groove") and gap(t, h) < mine - 0.05]
        if nearer or mine > 4:
            faults.append(f"{where}: {t.text} stands {mine:.1f} mm from its hole, nearer to {nearer}")
    return faults


def table_rows(read, n, parts, items):
    """(face, ups, rights, numbers) of the drilling table as printed."""
    out, holes = {}, read.holes_of(parts[0]["name"])
    for b in read.table("", parts[0], n, items, holes):
        m = re.fullmatch(r", (\w+) face, table", b.where)
        if m:
            cells = b.text.split("   ")
            out.setdefault(m[1], []).append(([x.strip() for x in cells[0].split(";")], [x.strip() for x in cells[1].split(";")], book.expand(cells[2])))
    return out


def one(variant):
    plan, paper, measures = variant
    path = os.path.join(ROOT, "plans", plan + ".plan")
    with tempfile.TemporaryDirectory() as folder:
        if subprocess.run([WINDCHEST, "compile", path, "-o", folder, "--paper", paper, "--measures", measures],
                          capture_output=True, timeout=300, check=False).returncode:
            return None
        read = book.Book(folder, path, with_paths=True)
    on_page = {}
    for p in read.paths:
        on_page.setdefault(p.page, []).append(p)
    faults, tried, holes, labelled, wounds = [], 0, 0, 0, []
    for n, items in read.drawing_items.items():
        parts = read.alike(n) if n else []
        if not parts:
            continue
        views, _, table = read.views(items)
        rows = table_rows(read, n, parts, table)
        for face, caption, mine in views:
            where = f"{read.item[n]}, {face} face"
            view = View(on_page[caption.page], caption, read.inch)
            over_all, right, up, labels, _ = read.told(mine)
            for t, drawn in [(t, view.over_all(t)) for t in over_all] + [(t, view.ordinate(t)) for t in right + up]:
                fault = measured(view, where, t.text, drawn)
                faults += [fault] if fault else []
                tried += 1
                # A place of no more than the page's own coordinates can tell is not asked for.
                if drawn is not None and t.text != "0" and last_place(t.text, read.inch) > 5 * PAGE / view.scale:
                    wounds.append((view, changed(t.text), drawn))
            more, count = hole_faults(read, view, where, parts[0], face, rows.get(face, []))
            faults += more
            holes += count
            faults += label_faults(read, view, where, parts[0], face, labels)
            labelled += len(labels)
    picked = random.Random(plan + paper).sample(wounds, min(CHANGED, len(wounds)))
    found = sum(measured(view, "", text, drawn) is not None for view, text, drawn in picked)
    return faults, tried, holes, labelled, found, len(picked)


def main():
    with ProcessPoolExecutor(2) as pool:
        for (plan, paper, measures), result in zip(VARIANTS, pool.map(one, VARIANTS)):
            name = f"{plan}, {paper}, {measures}"
            if result is None:
                tap.verdict(["it is not compiled"], name)
                continue
            faults, tried, holes, labelled, found, of = result
            tap.verdict(faults, f"{name}: {tried} sizes and ordinates, {holes} holes of the tables and {labelled} numbers stand where they say")
            tap.held(f"{name}: there is enough to measure", tried > 200 and holes > 100, f"{tried}, {holes}")
            tap.held(f"{name}: of {of} figures changed in their last place {100 * found / of:.1f} % are found", found >= 0.85 * of)
    tap.finish()


if __name__ == "__main__":
    main()
