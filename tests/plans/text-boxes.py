#!/usr/bin/env python3
"""No text of the books and of the templates' sheets stands on other text or leaves its page: the boxes that a reader
finds about each word are compared. Of the box the letters' own height counts, not the room above and below them."""
import os
import re
import subprocess
import sys
import tempfile
from html import unescape

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../.."))
WINDCHEST = os.environ.get("WINDCHEST", "build/windchest")
MARGIN = 5 * 72 / 25.4  # no printer reaches nearer to the edge
bad = False


def verdict(name, good, *why):
    global bad
    print(("ok - " if good else "not ok - ") + name)
    if not good:
        bad = True
        for line in why:
            print("# " + str(line))


def pages(path):
    out = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, timeout=120, check=True).stdout.decode()
    for page in out.split("<page ")[1:]:
        size = [float(x) for x in re.match(r'width="([^"]*)" height="([^"]*)"', page).groups()]
        words = re.findall(r'<word xMin="([^"]*)" yMin="([^"]*)" xMax="([^"]*)" yMax="([^"]*)">(.*?)</word>', page)
        yield size, [([float(v) for v in w[:4]], unescape(w[4])) for w in words]


def ink(box, text):
    """Upright words lie across: there the line's room is beside them. Of two signs or one nobody knows: both."""
    x0, y0, x1, y1 = box
    w, h = x1 - x0, y1 - y0
    short = len(text) <= 2
    return (x0 + (0.26 * w if w < h or short else 0.2), y0 + (0.26 * h if w >= h or short else 0.2),
            x1 - (0.24 * w if w < h or short else 0.2), y1 - (0.24 * h if w >= h or short else 0.2))


def overlaps(words):
    found, boxes = [], sorted((ink(b, t), t) for b, t in words)
    for i, (a, one) in enumerate(boxes):
        for b, two in boxes[i + 1:]:
            if b[0] >= a[2]:
                break
            if a[1] < b[3] and b[1] < a[3]:
                found.append((one, two))
    return found


with tempfile.TemporaryDirectory() as work:
    for variant in ("luthier-booth", "paddle-bench", "luthier-booth --measures inch --paper letter",
                    "paddle-bench --measures metric --paper a4"):
        plan, *options = variant.split()
        folder = os.path.join(work, variant.replace(" ", "_"))
        subprocess.run([WINDCHEST, "compile", f"plans/{plan}.plan", "-o", folder, *options], capture_output=True,
                       check=True, timeout=120)
        for name in "book.pdf", "templates.pdf":
            on, off, count, most = [], [], 0, []
            for number, (size, words) in enumerate(pages(os.path.join(folder, name)), 1):
                count += len(words)
                most = max(most, words, key=len)
                on += [(number, *pair) for pair in overlaps(words)]
                # what is cut off at a sheet's rim stands whole on the next
                off += [(number, t) for b, t in words if name == "book.pdf" and (
                    b[0] < MARGIN or b[1] < MARGIN or b[2] > size[0] - MARGIN or b[3] > size[1] - MARGIN)]
            verdict(f"{variant}: {name}: none of {count} words stands on another", count > 50 and not on, *on[:20])
            if name == "book.pdf":
                twice = most + [([v + 2 for v in b], t) for b, t in most]
                seen = len(overlaps(twice))
                verdict(f"{variant}: {name}: a page laid over itself is seen", seen >= 0.8 * len(most), seen, len(most))
            verdict(f"{variant}: {name}: none leaves its page", not off, *off[:20])
sys.exit(bad)
