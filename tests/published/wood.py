#!/usr/bin/env python3
"""Wood and its drawings, through the whole program: W5, W25 (masses), W17 (way round a template), W23 (tolerances in the
book and on the drawings at full size). The source stands beside each value."""
import json
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
PLAN = """plan "Two boards" {{ measures {measures} }}
tool saw1 : saw {{ kerf 3 mm }}
tool router1 : router {{ label "router"; cutter 12.7 mm; bush 30 mm; pass 6.35 mm }}
stock mdf : sheet {{ size 2440 mm x 1220 mm; thick 18 mm; density 720 kg/m3 }}
cabinet boards {{
    panel whole : mdf {{ left at 0 mm; right at 2440 mm; front at 0 mm; back at 1220 mm; bottom at 0 mm }}
    panel small : mdf {{ left at 0 mm; right at 800 mm; front at 0 mm; back at 600 mm; bottom at 100 mm; loose }}
    openings pair in small {{ round 120 mm; list (200 mm, 300 mm), (600 mm, 300 mm) }}
}}
"""
fail = False


def verdict(good, name, evidence=""):
    global fail
    print(("ok - " if good else "not ok - ") + name)
    if not good and evidence:
        print("# " + str(evidence)[:800].replace("\n", "\n# "))
    fail = fail or not good


def build(folder, measures):
    path = os.path.join(folder, "two.plan")
    with open(path, "w", encoding="utf-8") as f:
        f.write(PLAN.format(measures=measures))
    out = os.path.join(folder, measures)
    p = subprocess.run([WINDCHEST, "compile", path, "-o", out], capture_output=True, timeout=120, check=False)
    if p.returncode:
        verdict(False, f"the plan compiles, {measures}", p.stderr.decode("utf-8", "replace"))
        sys.exit(1)
    text = subprocess.run(["pdftotext", "-layout", os.path.join(out, "book.pdf"), "-"], capture_output=True, check=True).stdout
    return out, re.sub(r"\s+", " ", text.decode("utf-8"))


def read(out, name):
    with open(os.path.join(out, name), encoding="utf-8") as f:
        return f.read()


def main():
    with tempfile.TemporaryDirectory() as folder:
        out, book = build(folder, "metric")
        parts = {p["name"]: p["mass_kg"] for p in json.loads(read(out, "plan.json"))["parts"]}
        # W25, arithmetic: 2.44 x 1.22 x 0.018 m at 720 kg/m3.
        verdict(abs(parts["whole"] - 38.58) < 0.05, "W25: a sheet of MDF, 2440 x 1220 x 18, weighs 38.58 kg", parts)
        # W5, arithmetic: (0.6 x 0.8 - 2 pi 0.06^2) x 0.018 m at 720 kg/m3.
        verdict(abs(parts["small"] - 5.93) < 0.01, "W5: 600 x 800 x 18 less two holes of 120 weighs 5.93 kg", parts)
        # W17 (read): by hand, clockwise inside a template, anticlockwise round the outside.
        template = [n for n in os.listdir(out) if n.startswith("template-")]
        verdict(len(template) == 1 and "clockwise round the inside" in read(out, template[0])
                and "anticlockwise round the inside" not in read(out, template[0]), "W17: the template says clockwise", template)
        verdict("clockwise inside a template and anticlockwise round the outside" in book, "W17: the step says both ways")
        # W23, ISO 2768-1 m (read): 400 to 1000 mm 0.8, 1 to 2 m 1.2, 2 to 4 m 2 mm; 120 to 400 mm 0.5, 30 to 120 0.3.
        verdict("outline ±0.8 × ±0.8" in book, "W23: the part of 800 x 600", book[:300])
        verdict("ISO 2768-m, to 120 ±0.3, to 400 ±0.5, to 1000 ±0.8, to 2000 ±1.2, to 4000 ±2.0 mm." in book,
                "W23: the rows that the book's figures want", re.findall(r"ISO 2768[^.]*\.[^.]*\.", book))
        verdict("to 120 ±0.3, to 400 ±0.5, to 1000 ±0.8 mm." in read(out, "drill-small.svg"), "W23: on the drawing at full size")
        out, book = build(folder, "inch")
        # Arithmetic: 0.8 mm is 0.031 in, 2 mm 0.079 in; 1000 mm 39.4 in, 4000 mm 157.5 in.
        verdict("to 39.4 ±0.031" in book and "to 157.5 ±0.079 in." in book, "W23: converted in an inch book",
                re.findall(r"ISO 2768[^;]{0,120}", book)[:1])
    return fail


if __name__ == "__main__":
    sys.exit(main())
