#!/usr/bin/env python3
"""Makes runtime/draw/font_data.c from two font files (see README.md beside this script).

usage: subset.py REGULAR.ttf BOLD.ttf OUT.c

Needs python3-fonttools. The result is committed; nobody needs this script to build the program.
"""
import io
import math
import sys

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.reverseContourPen import ReverseContourPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

WANTED = (
    list(range(0x20, 0x7F)) + list(range(0xA0, 0x180)) + [0x192, 0x218, 0x219, 0x21A, 0x21B, 0x2C6, 0x2C7, 0x2D8,
    0x2D9, 0x2DA, 0x2DB, 0x2DC, 0x2DD] + list(range(0x384, 0x3D0)) + list(range(0x2010, 0x2016)) +
    list(range(0x2018, 0x2023)) + [0x2026, 0x2030, 0x2032, 0x2033, 0x2039, 0x203A, 0x2044, 0x2070] +
    list(range(0x2074, 0x2090)) + [0x20AC, 0x2116, 0x2122, 0x2126] + list(range(0x2150, 0x215F)) +
    [0x2202, 0x2206, 0x220F, 0x2211, 0x2212, 0x2215, 0x2219, 0x221A, 0x221E, 0x222B, 0x2248, 0x2260, 0x2264, 0x2265,
     0x25CA]
)
ADDED = {0x2190: "arrowleft", 0x2191: "arrowup", 0x2192: "arrowright", 0x2193: "arrowdown", 0x2300: "diameter",
         0x2713: "checkmark", 0x25A1: "whitesquare", 0x25B3: "uptriangle", 0x25CF: "blackcircle", 0x2205: "emptyset"}
CAP = 1456


def polygon(pen, points):
    pen.moveTo(points[0])
    for p in points[1:]:
        pen.lineTo(p)
    pen.closePath()


def ring(pen, cx, cy, r, clockwise=True):
    """A circle of eight quadratic arcs."""
    n = 8
    s = -1 if clockwise else 1
    k = r / math.cos(math.pi / n)
    pen.moveTo((round(cx + r), round(cy)))
    for i in range(n):
        a = s * 2 * math.pi * (i + 0.5) / n
        b = s * 2 * math.pi * (i + 1) / n
        pen.qCurveTo((round(cx + k * math.cos(a)), round(cy + k * math.sin(a))),
                     (round(cx + r * math.cos(b)), round(cy + r * math.sin(b))))
    pen.closePath()


def bar(pen, x0, y0, x1, y1, t):
    """A straight bar of thickness t, clockwise."""
    n = math.hypot(x1 - x0, y1 - y0)
    dx, dy = -(y1 - y0) / n * t / 2, (x1 - x0) / n * t / 2
    polygon(pen, [(round(x0 + dx), round(y0 + dy)), (round(x1 + dx), round(y1 + dy)),
                  (round(x1 - dx), round(y1 - dy)), (round(x0 - dx), round(y0 - dy))])


def arrow(pen, turn, t):
    """An arrow 1500 long, drawn to the right and turned about its middle by quarter turns."""
    h, cx, cy, half = 330, 880, CAP / 2, 700
    p = [(-half, t / 2), (half - 420, t / 2), (half - 420, h), (half, 0), (half - 420, -h), (half - 420, -t / 2),
         (-half, -t / 2)]
    for _ in range(turn):
        p = [(-y, x) for x, y in p]
    polygon(pen, [(round(cx + x), round(cy + y)) for x, y in p])


def drawn(code, t):
    """Glyph and advance of an added sign; t is the font's stem."""
    pen = TTGlyphPen(None)
    if code in (0x2192, 0x2191, 0x2190, 0x2193):
        arrow(pen, {0x2192: 0, 0x2191: 1, 0x2190: 2, 0x2193: 3}[code], t)
        return pen.glyph(), 1760
    if code in (0x2300, 0x2205):
        cx, cy, r = 800, CAP / 2, 600
        ring(pen, cx, cy, r)
        ring(pen, cx, cy, r - t, clockwise=False)
        bar(pen, cx - 640, cy - 860, cx + 640, cy + 860, t)
        return pen.glyph(), 1600
    if code == 0x2713:
        polygon(pen, [(130, 640), (130 + t, 640 + t), (560, 300), (1240, CAP + 60), (1240 + t, CAP - 60), (570, -20)])
        return pen.glyph(), 1500
    if code == 0x25A1:
        polygon(pen, [(130, 0), (130, CAP), (130 + CAP, CAP), (130 + CAP, 0)])
        u = round(t * 0.7)
        polygon(pen, [(130 + u, u), (130 + CAP - u, u), (130 + CAP - u, CAP - u), (130 + u, CAP - u)])
        return pen.glyph(), CAP + 260
    if code == 0x25B3:
        polygon(pen, [(110, 0), (830, CAP), (1550, 0)])
        polygon(pen, [(110 + 2 * t, t), (1550 - 2 * t, t), (830, CAP - 2 * t)])
        return pen.glyph(), 1660
    ring(pen, 700, CAP / 2, 520)
    return pen.glyph(), 1400


def make(path, name, style, stem):
    font = TTFont(path, recalcTimestamp=False)
    have = font.getBestCmap()
    options = Options()
    options.glyph_names = True
    options.hinting = False
    options.layout_features = []
    options.notdef_outline = True
    options.drop_tables += ["GPOS", "GSUB", "GDEF", "DSIG", "fpgm", "prep", "cvt ", "gasp", "hdmx", "VDMX", "LTSH"]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=[c for c in WANTED if c in have])
    subsetter.subset(font)
    glyphs = font.getGlyphSet()
    flat = {}
    for g in font.getGlyphOrder():
        if font["glyf"][g].isComposite():
            rec = DecomposingRecordingPen(glyphs)
            glyphs[g].draw(rec)
            pen = TTGlyphPen(None)
            rec.replay(pen)
            flat[g] = pen.glyph()
    for g, outline in flat.items():
        font["glyf"][g] = outline
    cmap = dict(font.getBestCmap())
    order = list(font.getGlyphOrder())
    for code, g in sorted(ADDED.items()):
        if code in cmap:
            continue
        outline, advance = drawn(code, stem)
        order.append(g)
        font.setGlyphOrder(order)
        font["glyf"].glyphs[g] = outline
        font["glyf"].glyphOrder = order
        outline.recalcBounds(font["glyf"])
        font["hmtx"].metrics[g] = (advance, outline.xMin)
        cmap[code] = g
    for table in font["cmap"].tables:
        if table.format == 4:
            table.cmap = dict(cmap)
    font["cmap"].tables = [t for t in font["cmap"].tables if t.format == 4 and t.platformID == 3]
    font["post"].formatType = 3.0
    # Its own name: the outlines are changed, and the font's name belongs to its makers.
    keep = {1: name, 2: style, 4: f"{name} {style}", 6: f"{name}-{style}",
            0: "Modified subset; see docs/font/README.md in the source",
            13: "Licensed under the Apache License, Version 2.0",
            14: "http://www.apache.org/licenses/LICENSE-2.0"}
    font["name"].names = []
    for key, value in sorted(keep.items()):
        font["name"].setName(value, key, 3, 1, 0x409)
        font["name"].setName(value, key, 1, 0, 0)
    font["head"].macStyle = 0  # the PDF library would add ",Bold" to the name
    font["OS/2"].fsSelection = 0x40
    font["head"].created = font["head"].modified = 3600000000
    out = io.BytesIO()
    font.save(out, reorderTables=True)
    again = TTFont(io.BytesIO(out.getvalue()))
    return out.getvalue(), again.getBestCmap(), again


def array(out, name, data):
    out.write(f"const unsigned char {name}[{len(data)}] = {{\n")
    line = "\t"
    for b in data:
        piece = f"{b},"
        if len(line) + 7 + len(piece) > 119:
            out.write(line + "\n")
            line = "\t"
        line += piece
    out.write(line + "\n};\n")


def main():
    regular, codes, font = make(sys.argv[1], "PlanSans", "Regular", 150)
    bold, codes_bold, font_bold = make(sys.argv[2], "PlanSans", "Bold", 230)
    assert sorted(codes) == sorted(codes_bold)
    assert font["head"].unitsPerEm == font_bold["head"].unitsPerEm == 2048
    with open(sys.argv[3], "w", encoding="ascii") as out:
        out.write("/* Made by docs/font/subset.py: a modified, flattened subset of a font under the Apache License 2.0;\n"
                  " * see docs/font/README.md for its origin, licence and what was changed. Not to be edited by hand. */\n"
                  '#include "runtime/draw/font.h"\n\n/* clang-format off */\n')
        out.write(f"const size_t FONT_GLYPH_COUNT = {len(codes)};\n")
        out.write(f"const font_glyph FONT_GLYPHS[{len(codes)}] = {{\n")
        rows = []
        for code in sorted(codes):
            g, b = codes[code], codes_bold[code]
            rows.append(f"{{{code},{{{font.getGlyphID(g)},{font_bold.getGlyphID(b)}}},"
                        f"{{{font['hmtx'][g][0]},{font_bold['hmtx'][b][0]}}}}}")
        for i in range(0, len(rows), 4):
            out.write("\t" + ",".join(rows[i:i + 4]) + ",\n")
        out.write("};\n")
        array(out, "FONT_REGULAR_BYTES", regular)
        array(out, "FONT_BOLD_BYTES", bold)
        out.write(f"const size_t FONT_REGULAR_SIZE = {len(regular)};\nconst size_t FONT_BOLD_SIZE = {len(bold)};\n")
    print(len(codes), "characters,", len(regular), "and", len(bold), "bytes")


main()
