#!/usr/bin/env python3
"""The PDFs from outside: four readers find nothing to complain of, on either paper and in either unit; the plan's text and what it uses come out of the book
as they went in, with the checksum that the book prints; the sheets of a template, laid together by their steps, give the
whole opening at full size, and nothing of its edge is lost between them."""
import glob
import hashlib
import os
import re
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../.."))
WINDCHEST = os.environ.get("WINDCHEST", "build/windchest")
POINTS = 72 / 25.4
OVERLAP = 10


def run(*command):
    return subprocess.run(command, capture_output=True, timeout=300)


def said(*command):
    """What a reader says, less what this build of it says of itself."""
    r = run(*command)
    lines = (r.stdout + r.stderr).decode("utf-8", "replace").split("\n")
    lines = [x for x in lines if x.strip() and "ICC support is not available" not in x]
    return lines + ([f"status {r.returncode}"] if r.returncode else [])


def readers(name, path):
    text = path + ".txt"
    for reader, command in (
            ("qpdf", ("qpdf", "--check", path)),
            ("poppler", ("pdftotext", "-layout", path, text)),
            ("poppler, drawing,", ("pdftoppm", "-r", "20", "-gray", path, path + ".page")),
            ("mutool", ("mutool", "draw", "-q", "-r", "20", "-F", "pgm", "-o", "/dev/null", path)),
            ("mutool, cleaning,", ("mutool", "clean", path, path + ".clean")),
            ("ghostscript", ("gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=nullpage", path))):
        lines = said(*command)
        if reader == "qpdf":
            lines = [x for x in lines if not x.startswith(("checking ", "PDF Version", "File is not", "No syntax",
                                                           "errors that qpdf cannot"))]
        tap.held(f"{name}: {reader} is silent", not lines, *lines[:8])
    return open(text, encoding="utf-8").read()


def attached(name, plan, path, text, folder):
    listed = run("pdfdetach", "-list", path).stdout.decode().split("\n")
    names = [x.split(": ", 1)[1] for x in listed if re.match(r"\d+: ", x)]
    wanted, unread = {}, [f"plans/{plan}.plan"]
    while unread:
        used = unread.pop()
        wanted[os.path.basename(used)] = used
        for use in re.findall(r'^use "(?:stock/)?(\w+)"', open(used, encoding="utf-8").read(), re.M):
            if use + ".plan" not in wanted:
                unread.append(f"plans/stock/{use}.plan")
    tap.held(f"{name}: the plan and all it uses is attached", sorted(wanted) == names, names, sorted(wanted))
    wrong = []
    for i, n in enumerate(names):
        out = os.path.join(folder, "detached")
        run("pdfdetach", "-save", str(i + 1), "-o", out, path)
        if n in wanted and open(out, "rb").read() != open(wanted[n], "rb").read():
            wrong.append(n)
    tap.held(f"{name}: as they went in", names and not wrong, *wrong)
    sum_ = hashlib.md5(open(f"plans/{plan}.plan", "rb").read()).hexdigest()
    tap.held(f"{name}: the book prints the plan's checksum", sum_ in text)
    qdf = run("qpdf", "--qdf", "--object-streams=disable", path, "-").stdout
    tap.held(f"{name}: it stands beside the file", b"/CheckSum <" + sum_.encode() + b">" in qdf)


def outline_of(content):
    """Clip box and the path drawn with the outline's pen (0.5 mm), in mm from the page's lower left."""
    numbers, pen, clip, path, found = [], None, None, [], None
    for word in content.split():
        if re.fullmatch(r"-?\d*\.?\d+", word):
            numbers.append(float(word) / POINTS)
            continue
        if word == "w":
            pen = numbers[-1]
        elif word == "re":
            clip = numbers[-4:]
        elif word in "mlc":
            path.append(tuple(numbers[-2:]))
        elif word in ("S", "f*", "B*"):
            if word == "S" and pen is not None and abs(pen - 0.5) < 1e-3:
                found = path
            path = []
        numbers = []
    return clip, found


def tiles(name, path, folder):
    titles = run("pdftotext", "-layout", path, "-").stdout.decode().split("\f")
    by_template = {}
    for page, text in enumerate(titles[:-1], 1):
        title = re.search(r"Template ([\w-]+)(?:, sheet (\d+) of (\d+))?", text)
        if not title:  # what is said of all of them comes first
            tap.held(f"{name}: sheet {page} of words stands before those that are cut from", not by_template)
            continue
        content = run("mutool", "show", "-b", path, f"pages/{page}/Contents").stdout.decode("latin-1")
        by_template.setdefault(title[1], []).append(outline_of(content))
    svgs = {os.path.basename(f)[9:-4]: f for f in glob.glob(os.path.join(folder, "template-*.svg"))}
    tap.held(f"{name}: every template has its sheets", sorted(svgs) == sorted(by_template), sorted(svgs),
            sorted(by_template))
    for template, sheets in by_template.items():
        svg = open(svgs[template], encoding="utf-8").read()
        shape = re.search(r'class="p%s" d="([^"]*)"' % re.search(r"\.p(\d+)\{[^}]*stroke-width:0\.5[;}]", svg)[1], svg)[1]
        at = [float(x) for x in re.findall(r"-?\d+\.?\d*", shape)]
        size = max(at[0::2]) - min(at[0::2]), max(at[1::2]) - min(at[1::2])
        left, low, wide, high = sheets[0][0]
        edge, wrong, places = [], [], []
        first = next(p for _, p in sheets if p)
        for clip, p in sheets:
            if clip != sheets[0][0]:
                wrong.append(f"clip {clip}")
            if not p:
                continue
            step = (first[0][0] - p[0][0]) / (wide - OVERLAP), (p[0][1] - first[0][1]) / (high - OVERLAP)
            if any(abs(s - round(s)) > 1e-4 for s in step):
                wrong.append(f"steps {step}")
            got = max(x for x, _ in p) - min(x for x, _ in p), max(y for _, y in p) - min(y for _, y in p)
            if max(abs(a - b) for a, b in zip(got, size)) > 0.002:
                wrong.append(f"size {got}, in the drawing {size}")
            # in the first sheet's place: what this one shows
            x0, y0 = left + round(step[0]) * (wide - OVERLAP), low - round(step[1]) * (high - OVERLAP)
            places.append((x0, y0, x0 + wide, y0 + high))
            edge = edge or p
        spread = [(a[0] + (b[0] - a[0]) * k / 50, a[1] + (b[1] - a[1]) * k / 50)
                  for a, b in zip(first, first[1:]) for k in range(51)]
        unseen = [q for q in spread if not any(x0 <= q[0] <= x1 and y0 <= q[1] <= y1 for x0, y0, x1, y1 in places)]
        tap.held(f"{name}: the {len(sheets)} sheets of {template} are one drawing at full size", not wrong, *wrong[:5])
        tap.held(f"{name}: they show all of its edge", places and not unseen, len(unseen), unseen[:3])


with tempfile.TemporaryDirectory() as work:
    for plan in "luthier-booth", "paddle-bench":
        folder = os.path.join(work, plan)
        made = run(WINDCHEST, "compile", f"plans/{plan}.plan", "-o", folder)
        tap.held(f"{plan}: compile", made.returncode == 0, made.stderr.decode())
        book = os.path.join(folder, "book.pdf")
        attached(plan, plan, book, readers(f"{plan}: book", book), work)
        sheets = os.path.join(folder, "templates.pdf")
        readers(f"{plan}: templates", sheets)
        qdf = run("qpdf", "--qdf", "--object-streams=disable", sheets, "-").stdout
        tap.held(f"{plan}: templates are printed without scaling", b"/PrintScaling /None" in qdf)
        tiles(plan, sheets, folder)
        for paper, measures in (("a4", "inch"), ("letter", "metric"), ("a4", "metric"), ("letter", "inch")):
            folder, name = os.path.join(work, f"{plan}-{paper}-{measures}"), f"{plan}, {paper}, {measures}"
            made = run(WINDCHEST, "compile", f"plans/{plan}.plan", "-o", folder, "--paper", paper, "--measures", measures)
            tap.held(f"{name}: compile", made.returncode == 0, made.stderr.decode())
            files = sorted(glob.glob(os.path.join(folder, "*.pdf")))
            tap.held(f"{name}: a book and templates", [os.path.basename(f) for f in files] == ["book.pdf", "templates.pdf"], *files)
            for path in files:
                readers(f"{name}: {os.path.basename(path)[:-4]}", path)
    # A book cut short: they are told of.
    path = os.path.join(work, "faulty.pdf")
    with open(book, "rb") as whole, open(path, "wb") as half:
        half.write(whole.read()[:os.path.getsize(book) // 2])
    draw = ("mutool", "draw", "-q", "-r", "20", "-F", "pgm", "-o", "/dev/null", path)
    for command in ("qpdf", "--check", path), ("pdftotext", path, path + ".txt"), draw:
        lines = said(*command)
        tap.held(f"seeded: {command[0]} tells of half a book", any(re.match("status|WARNING|warning|Syntax", x) for x in lines))
tap.finish()
