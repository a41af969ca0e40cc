#!/usr/bin/env python3
"""tests/bench/large.py KIND PARTS: prints a plan of so many parts, invented, for figures of time.

KIND is one of:
    boxes    boxes of five boards and their joints, side by side, by `repeat`
    placed   placed assemblies of two boards, some with a cleat
    shelves  one rack: uprights, and up to 39 shelves in grooves between any two
    holes    boards in pairs, each pair with a pattern of 24 openings through both"""
import sys

HEAD = """plan "Large: {kind}, {parts} parts" {{
    edition  "A"
    measures metric
    purpose  "Invented, to measure time."
}}
use "stock/sheets"
use "stock/bars"
use "stock/hardware"
use "stock/tools"
"""

BOX = """
        panel left  : ply12 { left at i * 450 mm; front at FRONT; back at FRONT + 300 mm; bottom at 0 mm; top at 240 mm }
        panel right : ply12 { right at i * 450 mm + 400 mm; depth of left; height of left }
        panel floor : ply12 { between left and right; depth of left; bottom at left.bottom }
        panel roof  : ply12 { between left and right; depth of left; top at left.top }
        panel rear  : ply12 { between left and right; between floor and roof; back at left.back }
        join floor, roof to left, right : butt { glue glue_pva; screws s4x40 every 120 mm }
        join rear to left, right, floor, roof : butt { glue glue_pva }
"""
PLACE = " place one : frame { left at i * 350 mm; front at FRONT; bottom at 0 mm; extra EXTRA } "
FRAME = """assembly frame {
    takes extra = yes
    panel foot : ply12 { left at 0 mm; right at 300 mm; front at 0 mm; back at 200 mm; bottom at 0 mm }
    panel side : ply12 { left at foot.left; depth of foot; bottom at foot.top; height 240 mm }
    join side to foot : butt { glue glue_pva; screws s4x40 every 100 mm }
    when extra {
        cleat rib : batten20x20 { left at side.right; right at foot.right; bottom at foot.top; front at 80 mm }
        join rib to foot : lap { glue glue_pva; screws s35x30 every 100 mm }
    }
}
"""
PAIR = """
        panel low  : ply12 { left at i * 450 mm; width 400 mm; front at FRONT; depth 300 mm; bottom at 0 mm }
        panel high : ply12 { width of low; depth of low; bottom at low.top }
        openings vents in low, high { round 30 mm; grid 6 x 4 over low inset 30 mm }
        join high to low : lap { glue glue_pva }
"""


def rows(block, turns):
    """The block so many times, in rows of at most 100."""
    text = ""
    for row in range(0, turns, 100):
        front = "%d mm" % (row * 4)
        text += "    repeat row%d i from 1 to %d {%s}\n" % (row, min(100, turns - row), block.replace("FRONT", front))
    return text


def cabinet(text):
    return "cabinet large {\n" + text + "}\n"


def placed(parts):
    whole = parts // 5
    return FRAME + cabinet(
        rows(PLACE.replace("EXTRA", "yes"), whole)
        + rows(PLACE.replace("EXTRA", "no").replace("row", "bare"), whole).replace("repeat row", "repeat bare")
        .replace("bottom at 0 mm", "bottom at 500 mm"))


def shelves(parts):
    text, left, bay = "", parts - 1, 0
    upright = "    panel side%d : ply12 { left at %d mm; front at 0 mm; back at 300 mm; bottom at 0 mm; top at 2300 mm }\n"
    text += upright % (0, 0)
    while left > 1:
        bay += 1
        n = min(39, left - 1)
        left -= n + 1
        text += upright % (bay, bay * 400)
        text += ("    panel shelf%d : ply12 { spaced %d between side0.bottom and side0.top; between side%d and side%d; "
                 "depth of side0 }\n" % (bay, n, bay - 1, bay))
        text += "    join shelf%d into side%d, side%d : dado { depth 4 mm; glue glue_pva }\n" % (bay, bay - 1, bay)
    return cabinet(text)


KINDS = {"boxes": lambda n: cabinet(rows(BOX, n // 5)), "placed": placed, "shelves": shelves,
         "holes": lambda n: cabinet(rows(PAIR, n // 2))}

if len(sys.argv) != 3 or sys.argv[1] not in KINDS:
    sys.exit(__doc__)
sys.stdout.write(HEAD.format(kind=sys.argv[1], parts=sys.argv[2]) + KINDS[sys.argv[1]](int(sys.argv[2])))
