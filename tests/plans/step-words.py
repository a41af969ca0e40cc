#!/usr/bin/env python3
"""What the steps of the book say: which part comes to which, how it is turned, where it sits, from where it is screwed.
The figures are worked out here from the plan's sizes."""
import json
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

# A box, invented: its rear comes to a floor that stands, a batten hangs under the roof, casters stand under the floor.
PLAN = """plan "Words" { edition "A"; measures metric; purpose "Invented, to read the words of its steps." }
use "stock/sheets"
use "stock/hardware"
use "stock/tools"
tool hs40 : holesaw { label "40 mm hole saw"; cuts 40 mm }
cabinet box {
    panel left : ply18 { left at 0 mm; front at 0 mm; back at 500 mm; bottom at 0 mm; top at 600 mm }
    panel right : ply18 { mirror of left about 400 mm }
    panel floor : ply18 { between left and right; depth of left; bottom at 0 mm }
    panel roof : ply18 { between left and right; depth of left; top at 600 mm }
    panel rear : ply18 { left at 0 mm; right at right.right; against left.back; bottom at 0 mm; top at 600 mm }
    panel wall : ply18 { between left and right; between floor and roof; front at 120 mm }
    cleat bar : batten45x20 { between left and right inset 100 mm; top at roof.bottom; front at 300 mm; broad depth }
    item caster : caster75 { corners of floor inset 60 mm; top at floor.bottom }
    openings vents in wall { round 40 mm; grid 3 x 2 over wall inset 150 mm; made by hs40 }
    join floor, roof into left, right : dado { depth 6 mm; glue glue_pva; screws s4x40 every 150 mm }
    join wall to left, right, floor : butt { glue glue_pva; screws s4x50 every 150 mm }
    join left, right, floor to rear : butt { screws s4x40 every 150 mm }
    join roof to bar : lap { screws s4x30 every 150 mm }
    join floor to caster : lap { screws p35x16 every 60 mm }
}
"""


def words_of(text, *options):
    with tempfile.TemporaryDirectory() as work:
        path = os.path.join(work, "p.plan")
        open(path, "w", encoding="utf-8").write(text)
        r = subprocess.run([WINDCHEST, "compile", path, "-o", os.path.join(work, "o"), *options], capture_output=True,
                           timeout=120)
        assert r.returncode == 0, r.stderr.decode()
        order = json.load(open(os.path.join(work, "o/steps.json"), encoding="utf-8"))
        book = subprocess.run(["pdftotext", "-layout", os.path.join(work, "o/book.pdf"), "-"], capture_output=True,
                              check=True).stdout.decode()
    book = book.replace("\u00a0", " ")
    return re.sub(r"\s+", " ", re.sub(r"\((\d+)\)", "", book)).replace(" ,", ",").replace(" .", "."), order


book, order = words_of(PLAN)
for what, want in [
    ("what goes into a dado says so", "Set floor into the dado of left, its numbered face"),
    ("what comes is told first, not what stands", "Set rear against floor"),
    ("what comes to several in one way is told once: the numbered face of what comes, its screws by host",
     "Set rear against floor, left and right, its numbered face to the back. Drive 16 screws "
     "(4.0 x 40 mm countersunk wood screw) through rear, from the back: 6 into floor, 5 into left, 5 into right."),
    ("the other that comes on the same page", "The numbered face of left looks to the right."),
    ("where it sits, from the nearer edge",
     "Set wall against floor, 120 mm from its front edge, its numbered face to the front, glued"),
    ("screws that go through the hosts are told for each", "through right, from the right."),
    ("from where it is screwed: below", "through floor, from below."),
    ("under a roof", "Hold bar up against the underside of roof"),
    ("casters: under what, where, by what",
     "under floor, 60 mm from the nearest left or right edge and 60 mm from the nearest front or back edge. "
     "Hold each by 2 screws"),
    ("pilots: which edges", "into its left, right and bottom edges"),
    ("clearance holes: which face", "mm, from its back face"),
    ("a dado: in which face", "In the right face of left cut the dado for floor"),
    ("a bored opening is tried in waste first", "Bore one first in waste of 100 × 100 mm, as thick as the part: it must measure ⌀ 40 mm, within 39.7 to 40.3 mm."),
    ("the number stands the way the drawing stands", "on the face that its drawing shows first and the same way up"),
]:
    tap.held(what, want in book, want)
# A long shelf in the dado of one end only, the other end comes when its dado closes over it; a batten held up by nothing.
LONG = PLAN.replace("about 400 mm", "about 800 mm").replace("    join roof to bar", """    cleat rail : batten45x20 {
        between left and right; top at 300 mm; back at left.back; broad height
    }
    join rail to left, right : butt { screws s4x50 every 30 mm }
    join roof to bar""") + """
step "Carcass" { parts left, right, floor; does join; wait 12 h }
"""
held, hours = words_of(LONG)
rail = [s for s in hours["steps"] if "rail" in s["new_parts"]][0]
tap.held("nothing carries a batten between two walls: a prop as high as it hangs above the floor, and two people for its length",
         rail["hold"] == "Nothing carries rail until it is fastened: prop it 237.1 mm up from floor, and have a helper at one end."
         and rail["helpers"] == 1 and rail["hold"] in held, rail)
short = [s for s in order["steps"] if "bar" in s["new_parts"]][0]
tap.held("a short one: a prop or a helper", short["hold"] and "or let a helper hold it" in short["hold"]
         and short["helpers"] == 0, short)
tap.held("what stands on the floor or in its dado needs none",
         all(s["hold"] is None for s in order["steps"] if set(s["new_parts"]) & {"wall", "rear"}))
caster = [i for i, s in enumerate(order["steps"]) if "caster.1" in s["new_parts"]][0]
tap.held("casters: what stands is laid over, half its weight is moved",
         "lay what stands on its back or a side first" in order["steps"][caster]["hold"]
         and order["steps"][caster]["lift_kg"] > max(s["lift_kg"] for s in order["steps"][7:caster]),
         order["steps"][caster])
glue = [i for i, s in enumerate(hours["steps"]) if s["wait_minutes"] == 720]
tap.held("what is done while it dries stands in its step", len(glue) == 1 and "While it dries" in
         (hours["steps"][glue[0]]["meanwhile"] or "") and hours["steps"][glue[0]]["meanwhile"] in held)
for name, o in ("box", order), ("long box", hours):
    both = sum(s["minutes"] for s in o["steps"] if s["helpers"])
    work = sum(s["minutes"] for s in o["steps"])
    tap.held(f"{name}: two people are bound by the longest chain and by their hands, and gain on one",
             abs(both - o["helped_minutes"]) < 1e-6 and o["two_people_minutes"] + 1e-6 >= max(
                 o["critical_path_minutes"], (work + both) / 2) and o["two_people_minutes"] < work + 720 * len(glue),
             o["two_people_minutes"], both, work)
# Glue alone holds a shelf by its short side (along the depth it lies all in its dado); a front hangs 1 mm above a board;
# two fields of one sheet are drilled in one step.
SMALL = """plan "Small" { edition "A"; measures metric; purpose "Invented, to read the words of its steps." }
use "stock/sheets"
use "stock/hardware"
use "stock/tools"
tool hs40 : holesaw { label "40 mm hole saw"; cuts 40 mm }
cabinet box {
    panel base_board : ply18 { left at 0 mm; width 400 mm; front at 0 mm; back at 500 mm; bottom at 100 mm }
    panel right : ply18 { right at 400 mm; depth of base_board; bottom at base_board.top; height 300 mm }
    panel leaf : ply18 { left at 100 mm; right at right.left; depth of base_board; bottom at 240 mm }
    panel left : ply18 { left at 82.1 mm; depth of base_board; bottom at base_board.top; height 300 mm }
    panel front : ply12 { between left and right; back at 100 mm; bottom at base_board.top + 1 mm; top at 200 mm }
    openings near_row in base_board { round 40 mm; at (100 mm, 250 mm); made by hs40; ease 2 mm on base_board.top }
    openings far_row in base_board { round 40 mm; at (100 mm, 350 mm); made by hs40 }
    join base_board to right, left : butt { glue glue_pva; screws s4x40 every 150 mm }
    join leaf into right : dado { depth 6 mm; glue glue_pva }
    join leaf into left : dado { depth 6 mm; glue glue_pva }
    join front to left, right : butt { screws s4x40 every 80 mm }
}
step "Holes" { parts base_board; does open }
step "Leaf" { parts leaf, right; does join }
"""
text, small = words_of(SMALL)
hold = {p: s["hold"] or "" for s in small["steps"] for p in s["new_parts"]}
tap.held("glue alone holds one end of a sheet: the prop stays", "prop it 122.1 mm up from base board" in hold["leaf"]
         and "leave that there until" in hold["leaf"], hold)
tap.held("a small gap is packed", "pack it 1 mm up from base board or" in hold["front"], hold)
for what, want in [
    ("what only glue holds is clamped", "Clamp it until the glue has set."),
    ("each field of a sheet has its name", "cut 1 opening of near row, ⌀ 40 mm, with the 40 mm hole saw"),
    ("the other, too", "cut 1 opening of far row, ⌀ 40 mm"),
    ("the dado of what comes", "onto leaf, which goes into the dado of left, glued."),
]:
    tap.held(what, want in text, want)
tap.held("no name of the plan's text stands in a sentence", "near_row" not in text.split("Building it, step by step", 2)[-1].split("Index of parts")[0])
tap.held("tried in waste before it is bored", 0 < book.find("Bore one first in waste") < book.find("cut 6 openings"))
tap.held("nothing that stands is set against what comes", "Set floor against rear" not in book)
tap.finish()
