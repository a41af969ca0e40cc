#!/usr/bin/env python3
"""No text of the books and of the templates' sheets lies on other text or is smaller than 8 points, none of the books
leaves its page, measured by another reader on every page.

mutool gives each letter with its place, size and direction, whatever way the text runs. Letters are put together to
words; of a word the box of its ink counts (no room above small letters, none below those without a descender). Pages
are widened first, for the reader drops what is beyond their edge. Texts that are moved in a good book, onto others and
off the page, show that the test can fail. Each plan is read with names that are much longer, and with
names and texts that have no place to break them. What the program itself says of its pages is held against that.
"""
import glob
import itertools
import math
import os
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree
from concurrent.futures import ThreadPoolExecutor

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
WIDER = 400  # points that a page is widened by, on each side
MARGIN = 4 * 72 / 25.4  # of a page that printers leave blank: common practice, no source
NEAR = 0.1  # points that two boxes may share
LEAST = 8.0  # points of the smallest type
LOW, DEEP = set("acemnorsuvwxz.,:·…-–−→←+=~"), set("gjpqyQ,;()[]{}|/@_")

# Names that are made long, so that headings, lists and drawings have to cope with them.
LONG = {"luthier-booth": "baffle|carrier|vents|work_space", "paddle-bench": "bench_top|wells|filter_sheet|above_filter"}
TAILS = {"long": "_with_a_longer_name_than_most", "unbroken": "o" * 60}


def run(*command, **more):
    return subprocess.run(command, capture_output=True, timeout=300, check=True, **more).stdout


class Word:
    def __init__(self, direction, size):
        self.d, self.size, self.text = direction, size, ""
        self.along, self.across, self.up, self.down = [math.inf, -math.inf], 0.0, 0.0, 0.0

    def add(self, c, x, y, end):
        """A letter from its origin on the baseline to where the next one's would be."""
        dx, dy = self.d
        self.along = [min(self.along[0], x * dx + y * dy), max(self.along[1], end[0] * dx + end[1] * dy)]
        self.across = y * dx - x * dy  # downwards from the line through the corner
        self.up = max(self.up, (0.55 if c in LOW else 0.74) * self.size)
        self.down = max(self.down, 0.21 * self.size if c in DEEP else 0.0)
        self.text += c

    def corners(self):
        (a, b), (dx, dy) = self.along, self.d
        return [(s * dx - t * dy, s * dy + t * dx) for s in (a, b) for t in (self.across - self.up, self.across + self.down)]


def apart(v, w):
    """Two boxes share no more than NEAR: along one of their four directions they part."""
    for dx, dy in (v.d, (-v.d[1], v.d[0]), w.d, (-w.d[1], w.d[0])):
        a, b = ([x * dx + y * dy for x, y in q.box] for q in (v, w))
        if min(max(a), max(b)) - max(min(a), min(b)) <= NEAR:
            return True
    return False


def words_of(page):
    words = []
    for line in page.iter("line"):
        d = tuple(float(x) for x in line.get("dir").split())
        word = None
        for font in line.iter("font"):
            for char in font.iter("char"):
                c, x, y = char.get("c"), float(char.get("x")), float(char.get("y"))
                q = [float(v) for v in char.get("quad").split()]
                wide = (q[2] - q[0]) * d[0] + (q[3] - q[1]) * d[1]
                at = x * d[0] + y * d[1]
                if c.isspace():
                    word = None
                    continue
                size = float(font.get("size"))
                if word is None or word.size != size or not -0.1 * size < at - word.along[1] < 0.25 * size or abs(
                        y * d[0] - x * d[1] - word.across) > 0.1:
                    word = Word(d, size)
                    words.append(word)
                word.add(c, x, y, (x + wide * d[0], y + wide * d[1]))
    for w in words:
        w.box = w.corners()
    return words


def faults_of(qdf, work, name, rim=True):
    """Of a file in the form that can be edited: pairs that overlap, words beyond the margin; how many words."""
    wider = re.sub(rb"/MediaBox \[\s*0\s+0\s+(\S+)\s+(\S+)\s*\]", lambda m: b"/MediaBox [ %d %d %.3f %.3f ]" % (
        -WIDER, -WIDER, float(m[1]) + WIDER, float(m[2]) + WIDER), qdf)
    path = os.path.join(work, name + ".pdf")
    with open(path, "wb") as f:
        f.write(run("fix-qdf", input=wider))
    faults, count, turned = [], 0, 0
    for number, page in enumerate(tree.fromstring(run("mutool", "draw", "-q", "-F", "stext", path)).iter("page"), 1):
        wide, high = float(page.get("width")) - WIDER, float(page.get("height")) - WIDER
        words = sorted(words_of(page), key=lambda w: min(x for x, _ in w.box))
        count += len(words)
        turned += sum(w.d != (1, 0) for w in words)
        for w in words:
            if w.size < LEAST:
                faults.append(f"page {number}: “{w.text}” is of {w.size:.2f} points")
            if rim and any(x < WIDER + MARGIN or x > wide - MARGIN or y < WIDER + MARGIN or y > high - MARGIN for x, y in w.box):
                faults.append(f"page {number}: “{w.text}” leaves the page")
        for i, v in enumerate(words):
            right = max(x for x, _ in v.box)
            for w in itertools.takewhile(lambda w: min(x for x, _ in w.box) < right, words[i + 1:]):
                if not apart(v, w):
                    faults.append(f"page {number}: “{v.text}” and “{w.text}” overlap at "
                                  f"{v.box[0][0] - WIDER:.0f}, {v.box[0][1] - WIDER:.0f}")
    return faults, count, turned


def made(variant):
    plan, folder, options = variant
    r = subprocess.run([WINDCHEST, "compile", plan, "-o", folder, *options], capture_output=True, timeout=300, check=False)
    if r.returncode:
        return None
    own = [line for line in r.stderr.decode().splitlines() if "a fault of this program" in line]
    return own, *[run("qpdf", "--qdf", "--object-streams=disable", os.path.join(folder, name + ".pdf"), "-")
            for name in ("book", "templates")]


def seeded(qdf, work):
    """One word of a page is moved by so much, in the page's text."""
    places = list(re.finditer(rb" 1 0 0 1 (\S+) (\S+) Tm ", qdf))
    here, there = places[len(places) // 2:len(places) // 2 + 2]
    onto = qdf[:here.start()] + there[0] + qdf[here.end():]
    away = qdf[:here.start()] + here[0].replace(here[1], b"-30", 1) + qdf[here.end():]
    for name, text, word in (("onto another", onto, "overlap"), ("off the page", away, "leaves the page")):
        found = faults_of(text, work, "seeded")[0]
        tap.verdict([] if any(word in f for f in found) else found or ["nothing is found"], f"seeded: a text {name} is found")


def main():
    with tempfile.TemporaryDirectory() as work, ThreadPoolExecutor(2) as pool:
        variants = [(plan, os.path.join(work, f"{i}-{j}"), options)
                    for i, plan in enumerate(sorted(glob.glob(os.path.join(ROOT, "plans", "*.plan"))))
                    for j, options in enumerate((("--paper", "a4", "--measures", "metric"),
                                                 ("--paper", "letter", "--measures", "inch")))]
        for (plan, names), (kind, tail) in itertools.product(LONG.items(), TAILS.items()):
            with open(os.path.join(ROOT, "plans", plan + ".plan"), encoding="utf-8") as f:
                text = re.sub(rf"\b({names})\b", rf"\1{tail}", f.read())
            if kind == "unbroken":  # and what is written for people is long, and has no place to break it
                text = re.sub(r'\b(plan|edition|label|purpose|note|history) +"([^"]*)"',
                              lambda m: f'{m[1]} "{m[2]} {(m[2] + " and more of it ") * 3}{"unbreakable" * 9}"', text)
            path = os.path.join(work, f"{plan}-{kind}.plan")
            with open(path, "w", encoding="utf-8") as f:
                f.write(text)
            variants.append((path, os.path.join(work, f"{plan}-{kind}"), ("--paper", "letter", "--measures", "inch")))
        sets = list(pool.map(made, variants))
        read = pool.map(lambda b: b[1] and faults_of(b[1][1], work, str(b[0])), enumerate(sets))
        # what is cut off at the rim of a template's sheet stands whole on the next
        sheets = pool.map(lambda b: b[1] and faults_of(b[1][2], work, f"t{b[0]}", rim=False), enumerate(sets))
        for (plan, _, options), made_set, result, templates in zip(variants, sets, read, sheets):
            name = f"{os.path.basename(plan)[:-len('.plan')]}, {options[1]}, {options[3]}"
            if not result:
                tap.verdict(["it is not compiled"], name)
                continue
            tap.verdict(made_set[0], f"{name}: the program itself finds none")
            faults, count, turned = result
            tap.verdict(faults, f"{name}: no text on another or off its page, {count} words, {turned} of them turned")
            tap.verdict([] if count > 4000 and turned > 20 else [f"{count}, {turned}"], f"{name}: all its words are read")
            faults, count, _ = templates
            tap.verdict(faults if count > 20 else [f"{count} words"], f"{name}: no text of the templates' sheets on another")
        seeded(next(b for b in sets if b)[1], work)


main()
tap.finish()
