#!/usr/bin/env python3
"""Orders of work that cannot be: each seed is one edit of an example plan, with the rule that must name it, the reason
that must be printed and the two places. The same two steps written the right way round, and the plans themselves, must
be quiet."""
import json
import os
import re
import subprocess
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../.."))
WINDCHEST = os.environ.get("WINDCHEST", "build/windchest")
ORDER = {"order-circle", "closed-in", "step-empty"}
BOOTH, BENCH = "luthier-booth", "paddle-bench"
# Written steps that the seeds would get in the way of; the rest of the booth's cannot be left out.
LEFT_OUT = {BOOTH: ("Mark the field", "Glue and screw", "Fit the casters", "Wire the blower"), BENCH: ("Bore the twelve", "Wire the fan")}


def plan(name, whole=False):
    text = open(f"plans/{name}.plan", encoding="utf-8").read()
    for title in () if whole else LEFT_OUT[name]:
        text, n = re.subn(r'(?ms)^step "%s.*?^\}\n' % title, "", text)
        assert n == 1, title
    return text


def edit(text, old, new):
    assert text.count(old) == 1, old
    return text.replace(old, new)


def check(text):
    r = subprocess.run([WINDCHEST, "check", "--diagnostics", "json", "-"], input=text.encode(), capture_output=True,
                       timeout=120)
    said = json.loads(r.stderr.decode())["diagnostics"]
    return r.returncode, [d for d in said if d["rule"] in ORDER or d["severity"] == "error"]


def step(title, does, parts, more=""):
    return 'step "%s" {\n%s    does  %s\n%s}\n' % (title, f"    parts {parts}\n" if parts else "", does, more)


# plan, what is written first and on which parts, what it needs, and the reason that must be printed
CIRCLES = [
    (BOOTH, "join", "baffle", "cut", "baffle", "a part is cut before it is joined"),
    (BOOTH, "join", "rear_low", "cut", "rear_low", "a part is cut before it is joined"),
    (BENCH, "join", "rib", "cut", "rib", "a part is cut before it is joined"),
    (BOOTH, "join", "baffle", "open", "baffle", "the field is drilled before the box closes round it"),
    (BENCH, "join", "bench_top", "open", "bench_top", "the field is drilled before the box closes round it"),
    (BENCH, "join", "trough_lid", "open", "trough_lid", "the field is drilled before the box closes round it"),
    (BENCH, "join", "bulkhead", "open", "bulkhead", "the field is drilled before the box closes round it"),
    (BOOTH, "join", "table", "groove", "left", "dados are cut while the sheet is flat"),
    (BOOTH, "join", "roof", "groove", "right", "dados are cut while the sheet is flat"),
    (BENCH, "join", "floor", "groove", "left", "dados are cut while the sheet is flat"),
    (BENCH, "join", "filter_sheet", "groove", "bulkhead", "dados are cut while the sheet is flat"),
    (BOOTH, "join", "partition", "drill", "partition", "screw holes are drilled before the part is joined"),
    (BENCH, "join", "rib", "drill", "rib", "screw holes are drilled before the part is joined"),
    (BOOTH, "open", "baffle", "cut", "carrier", "stacked and marked through before they are parted"),
    (BENCH, "open", "filter_sheet", "cut", "trough_lid", "stacked and marked through before they are parted"),
    (BOOTH, "open", "carrier", "open", "baffle", "the openings are marked through from baffle"),
    (BENCH, "open", "trough_lid", "open", "bench_top", "the openings are marked through from bench top"),
    (BOOTH, "open", "baffle", "template", "baffle", "test cut is measured before the sheet is cut"),
    (BOOTH, "open", "partition", "template", "partition", "test cut is measured before the sheet is cut"),
    (BENCH, "open", "right", "template", "right", "test cut is measured before the sheet is cut"),
    (BENCH, "open", "bulkhead", "template", "bulkhead", "test cut is measured before the sheet is cut"),
    (BENCH, "open", "trough_lid", "template", "filter_sheet", "test cut is measured before the sheet is cut"),
    (BOOTH, "ease", "baffle", "open", "baffle", "an edge is there before it is eased"),
    (BENCH, "ease", "bench_top", "open", "bench_top", "an edge is there before it is eased"),
    (BOOTH, "cut", "left", "measure", "", "sizes follow the measured thickness of the sheet"),
    (BOOTH, "measure", "", "buy", "", "sheets are measured as they came"),
    (BOOTH, "cut", "lintel", "buy", "", "the stock is there and checked before it is cut"),
    (BOOTH, "template", "", "buy", "", "the template is made from stock that is there"),
    (BOOTH, "fan", "blower", "buy", "", "what is bought is there before it is fitted"),
    (BENCH, "seat", "trough_lid", "buy", "", "what is bought is there before it is fitted"),
    (BOOTH, "groove", "left", "cut", "left", "a dado is laid out on a part that has its size"),
    (BENCH, "groove", "bulkhead", "cut", "bulkhead", "a dado is laid out on a part that has its size"),
    (BOOTH, "open", "right", "cut", "right", "openings are laid out from the edges of the cut part"),
    (BOOTH, "drill", "partition", "cut", "partition", "screw holes are laid out from the edges of the cut part"),
    (BOOTH, "try", "", "cut", "left", "only cut parts can be tried"),
    (BOOTH, "try", "", "groove", "left", "dados are there before the fit is tried"),
    (BOOTH, "join", "rear_low", "gasket", "rear_low", "the gasket lies between the faces before they close"),
    (BENCH, "join", "bench_top", "gasket", "bench_top", "the gasket lies between the faces before they close"),
    (BENCH, "seat", "filter_sheet", "open", "filter_sheet", "what is seated needs its hole"),
    (BOOTH, "door", "hatch", "cut", "hatch", "a part is cut before it is fitted"),
    (BOOTH, "fit", "caster", "join", "floor", "it is fixed to a part that stands"),
    (BOOTH, "wire", "blower", "fan", "blower", "the fan is fixed before it is wired"),
    (BENCH, "wire", "fan", "fan", "fan", "the fan is fixed before it is wired"),
    (BOOTH, "test", "", "wire", "blower", "nothing is switched on before a qualified person has wired it"),
    (BENCH, "test", "", "wire", "fan", "nothing is switched on before a qualified person has wired it"),
    (BOOTH, "test", "", "door", "hatch", "the test comes when all is built"),
    (BENCH, "test", "", "door", "flap", "the test comes when all is built"),
    (BOOTH, "gasket", "rear_low", "finish", "rear_low", "the finish is dry before"),
    (BOOTH, "finish", "baffle", "open", "baffle", "openings are cut before the faces are finished"),
    (BENCH, "seat", "filter_sheet", "finish", "filter_sheet", "the finish is dry before"),
]
# plan, what it is, the edit, rule, words of the message or its notes
EDITS = [
    (BOOTH, "buttons behind a back that is closed",
     ('after  "Fit the filters"\n    before "Close', 'after  "Fit the filters", "Close'), "closed-in", "pleats"),
    (BOOTH, "no way to the filters is kept open",
     ('step "Close the upper back" {\n    parts rear_high\n    does  join\n', 'step "Close the upper back" {\n'),
     "closed-in", "pleats"),
    (BOOTH, "filters behind their turn buttons", ('after  "Fit the filters"', 'before "Fit the filters"'), "closed-in",
     "pleats"),
    (BOOTH, "two steps that wait for each other",
     ('    before "Fit the filters"\n', '    before "Fit the filters"\n    after  "Close the upper back"\n'),
     "order-circle", "Close the upper back"),
    (BOOTH, "a sheet before the heads of screws that are yet to be driven",
     ('step "Set the carrier" {\n', step("Baffle first", "join", "baffle", '    before "Set the carrier"\n') +
      'step "Set the carrier" {\n'), "closed-in", "the screws that hold"),
    (BENCH, "slats over edges that are yet to be eased",
     ("require filter_sheet.width", step("Slats first", "join", "rib", '    before "Then the edges"\n') +
      step("Then the edges", "ease", "bench_top") + "require filter_sheet.width"), "closed-in", "can no longer be reached"),
    (BENCH, "a top on the box before its seats' sheet", ("require filter_sheet.width",
     step("Top first", "join", "bench_top", '    before "Then the sheet"\n') + step("Then the sheet", "join", "filter_sheet") +
      "require filter_sheet.width"), "closed-in", "filter"),
    (BOOTH, "a step for filters that names the fan", ("    parts pleats\n", "    parts blower\n"), "step-empty",
     "Fit the filters"),
]


def places(d):
    return {(d.get("line"), d.get("column"))} | {(n.get("line"), n.get("column")) for n in d["notes"] if n.get("line")}


def words(d):
    return "\n".join([d["text"]] + [n["text"] for n in d["notes"]])


for name in BOOTH, BENCH:
    status, said = check(plan(name, True))
    tap.held(f"{name} as it is: quiet", status == 0 and not said, *said)
    status, said = check(plan(name))
    tap.held(f"{name} with fewer steps: quiet", status == 0 and not said, *said)

for name, late, late_parts, early, early_parts, reason in CIRCLES:
    what = f"{name}: {late} {late_parts} before {early} {early_parts}".replace("  ", " ").rstrip()
    one, two = step("Too early", late, late_parts, '    before "Too late"\n'), step("Too late", early, early_parts)
    status, said = check(plan(name) + one + two)
    good = status == 1 and [d["rule"] for d in said] == ["order-circle"]
    tap.held(f"{what}: in a circle, told once", good, *[d["text"] for d in said])
    if not good:
        continue
    d = said[0]
    tap.held(f"{what}: its reason and both places", reason in words(d) and len(places(d)) >= 2
            and "Too early" in words(d) and "Too late" in words(d), words(d), places(d))
    right = one.replace('before "Too late"', 'after "Too late"')
    status, said = check(plan(name) + right + two)
    tap.held(f"{what}: the right way round is quiet", status == 0 and not said, *[d["text"] for d in said])

for name, what, (old, new), rule, word in EDITS:
    status, said = check(edit(plan(name), old, new))
    named = [d for d in said if d["rule"] == rule and word in words(d)]
    tap.held(f"{name}: {what}: {rule}", len(named) > 0, *[(d["rule"], d["text"]) for d in said])
    if named and rule != "step-empty":
        tap.held(f"{name}: {what}: both places", len(places(named[0])) >= 2, places(named[0]))
# An edge that is eased late, but with nothing before it, is still reached.
status, said = check(plan(BOOTH) + step("Baffle first", "join", "baffle", '    before "Then its edges"\n') +
                     step("Then its edges", "ease", "baffle"))
tap.held(f"{BOOTH}: edges that nothing stands before may be eased when the sheet is joined", status == 0 and not said, *said)
tap.finish()
