#!/usr/bin/env python3
"""Mistakes about the air, one at a time in the example plans: each has the rule that must name it, and the plan without
it says nothing of that rule."""
import json
import os
import subprocess
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
BOOTH, BENCH = "luthier-booth", "paddle-bench"

FAN = """stock other_fan : fan {{
    size       {size}
    curve      {{ {curve} }}
    speed      1420 rpm
    efficiency 58 %
    inlet      {inlet}
    {more}
}}
"""


def fan(size, inlet, curve, more=""):
    return FAN.format(size=size, inlet=inlet, curve=curve, more=more)


BIG = ("400 mm x 380 mm x 420 mm", "250 mm")
FULL = "0 m3/h at 560 Pa; 800 m3/h at 545 Pa; 1600 m3/h at 395 Pa; 2000 m3/h at 255 Pa; 2450 m3/h at 0 Pa"


def other_fan(curve, more=""):
    return [("use \"stock/tools\"\n", "use \"stock/tools\"\n" + fan(*BIG, curve, more)), ("fan_belt", "other_fan")]


# What is wrong, the plan, its changes, the rule.
MISTAKES = [
    ("the way ends in the box", BENCH, [("-> fan -> end\n        -> outlet -> room", "-> fan -> end")], "air-unsolved"),
    ("a space that no way meets", BENCH, [("above_filter, box, end", "above_filter, box, end, lost")], "air-no-way"),
    ("openings of three sheets, none named", BENCH, [("room -> wells in bench_top ->", "room -> wells ->")],
     "air-which-sheet"),
    ("the slot is led the wrong way", BENCH, [("way         room -> slot -> above_filter",
                                             "way         above_filter -> slot -> room")], "air-backwards"),
    ("tubes longer than their room", BENCH, [("length filter_sheet.bottom - trough_lid.top",
                                            "length filter_sheet.bottom - trough_lid.top + 12 in")], "tubes-long"),
    ("too little cloth for its use", BENCH, [("felts : felt_light_roll", "felts : felt_medium")], "filter-speed"),
    ("dust that lies too lightly for the trough", BENCH, [("bulk        10 lb/ft3", "bulk        0.05 lb/ft3")], "trough-small"),
    ("work too high", BENCH, [("release     6 in over", "release     14 in over")], "work-height"),
    ("dust too far from the slot", BENCH, [("release     2 in before slot", "release     14 in before slot")], "capture-speed"),
    ("a top that is called a slot", BENCH, [("before slot as slot_flanged", "before wells in bench_top as slot")], "capture-far"),
    ("dust beyond the reach of the equation", BOOTH, [("before vents in baffle as booth with still",
                                                     "before outlet as plain with still"),
                                                    ("release     200 mm", "release     900 mm")], "capture-far"),
    ("dust that flies", BOOTH, [("as booth with still", "as booth with fast")], "capture-speed"),
    ("a top that is held to too much", BENCH, [("    exhaust     room", "    face        wells in bench_top as sanding_plan\n"
                                              "    exhaust     room")], "downdraft-face"),
    ("a mouth too large for its blower", BOOTH, [("let width  = 1240 mm", "let width  = 1600 mm"), ("let tall   = 1500 mm",
                                                "let tall   = 1700 mm"), ("    exhaust     room", "    face        mouth as booth\n    exhaust     room")],
     "booth-face"),
    ("metal beside wood", BENCH, [("handles     wood", "handles     wood, metal")], "metal-dust"),
    ("metal in a wooden box", BENCH, [("handles     wood", "handles     metal")], "metal-dust"),
    ("spray with solvents", BENCH, [("handles     wood", "handles     solvent")], "solvent-spray"),
    ("silica back into the room", BENCH, [("handles     wood", "handles     wood, silica")], "air-return"),
    ("no way in for what goes out", BENCH, [("exhaust     room", "exhaust     outdoors")], "makeup-air"),
    ("a way in that is too small", BENCH, [("exhaust     room", "exhaust     outdoors\n    makeup      10 in2")], "makeup-air"),
    ("a bend right before the blower", BOOTH, [("-> chamber -> inlet -> blower ->", "-> chamber -> bend -> blower ->"),
                                             ("    exhaust     room", "    duct bend { diameter 250 mm; length 300 mm; "
                                              "elbow 90 deg about 300 mm }\n    exhaust     room")], "fan-straight"),
    ("a duct so wide that dust settles", BOOTH, [("room -> mouth -> work_space", "room -> hose -> hall -> mouth -> work_space"),
                                               ("space       work_space", "space       hall, work_space"),
                                               ("    exhaust     room", "    duct hose { diameter 400 mm; length 2 m }\n"
                                                "    exhaust     room")], "duct-transport"),
    ("a rectangular duct so wide that dust settles", BOOTH, [("room -> mouth -> work_space", "room -> hose -> hall -> mouth -> work_space"),
                                         ("space       work_space", "space       hall, work_space"),
                                         ("    exhaust     room", "    duct hose { section 500 mm x 250 mm; length 2 m }\n"
                                          "    exhaust     room")], "duct-transport"),
    ("a curve that ends too early", BOOTH, other_fan("0 m3/h at 560 Pa; 400 m3/h at 550 Pa; 800 m3/h at 540 Pa"), "fan-curve"),
    ("a fan in its stall range", BOOTH, other_fan(FULL, "stall 2300 m3/h"), "fan-stall"),
    ("a motor too weak", BOOTH, other_fan(FULL, "motor 0.05 kW"), "fan-motor"),
    ("a filter without its dirty state", BENCH, [("felts : felt_light_roll", "felts : bare"), ("tool holesaw4", "stock bare : media "
                                                "{ permeability 150 cfm/ft2 at 0.5 in.wg; class \"coarse\" }\ntool holesaw4")],
     "filter-dirty"),
    ("a motor in the dust", BENCH, [("wells in bench_top -> above_filter -> felts -> box -> intake -> fan -> end\n"
                                   "        -> outlet -> room",
                                   "outlet -> end -> fan -> intake -> box -> felts -> above_filter\n"
                                   "        -> wells in bench_top -> room"),
                                  ("way         room -> slot -> above_filter", "way         above_filter -> slot -> room")],
     "fan-in-dust"),
    ("a board over all, and no slot", BENCH, [("    way         room -> slot -> above_filter\n", ""),
                                            ("    release     2 in before slot as slot_flanged with low\n", ""),
                                            ("require slot.speed", "# "),
                                            ("cover       wells in bench_top by 80 %",
                                             "cover       wells in bench_top by 97 %")], "covered-flow"),
]


def rules_of(text):
    p = subprocess.run([WINDCHEST, "check", "--diagnostics", "json", "-"], input=text.encode(), capture_output=True,
                       cwd=os.path.join(ROOT, "plans"), timeout=120, check=False)
    return [d["rule"] for d in json.loads(p.stderr)["diagnostics"] if "allowed" not in d]


def main():
    bad, clean = False, {}
    for plan in (BOOTH, BENCH):
        with open(os.path.join(ROOT, "plans", plan + ".plan"), encoding="utf-8") as f:
            clean[plan] = f.read()
        said = rules_of(clean[plan])
        print(("not ok" if said else "ok") + f" - {plan} has none of these mistakes")
        bad |= bool(said)
    for what, plan, changes, rule in MISTAKES:
        text = clean[plan]
        gone = [a for a, _ in changes if a not in text]
        for was, now in changes:
            text = text.replace(was, now)
        said = rules_of(text) if not gone else []
        good = rule in said
        print(("ok" if good else "not ok") + f" - {plan}: {what} is named by {rule}")
        if not good:
            print(f"# it is told by {said}" if not gone else f"# the plan no longer says {gone[0]!r}")
        bad |= not good
    return bad


if __name__ == "__main__":
    sys.exit(main())
