#!/usr/bin/env python3
"""What the code knows, the documents and the tests know, too.

Every word of the language (compiler/words.c) and every unit (runtime/base/quant.c) stands in docs/language.md; every
rule that is reported anywhere stands in a table (compiler/check_*.c, compiler/templates.c), in docs/rules.md and in a
test. The readers of the tables are first tried on made-up tables.
"""
import glob
import os
import re
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WORD = re.compile(r'\{"([a-z_]+)",\s*"[^"]*",\s*(?:ONCE|MANY)')
UNIT = re.compile(r'^\t\{"([^"]+)", \{[-0-9, ]+\}, \{', re.M)
RULE = re.compile(r'\{"([a-z][a-z0-9-]+)",\s*DIAG_(?:ERROR|WARNING)')
# No small plan makes these: the first is a fault of the program, the others need a plan of a size.
NO_PLAN = {"plan-internal", "layout-internal", "layout-limit", "air-not-known"}
TOLD = re.compile(r'(?:diag_error|diag_warning|grammar_fault)\(\s*[^",;]*,\s*(?:[^",;]*\? )?"([a-z-]+)"(?: : "([a-z-]+)")?')
LIMIT = re.compile(r'^\t\{"([a-z][a-z.-]+)",\s*"[^"]*",\s*(?:\{|NO_VALUE)', re.M)
ASKS = re.compile(r'check_limit(?:_si)?\(([^()]*)\)')
fail = False


def verdict(good, name, evidence=()):
    global fail
    print(("ok - " if good else "not ok - ") + name)
    for line in evidence:
        print("#", line)
    fail = fail or not good


def read(pattern):
    text = ""
    for path in sorted(glob.glob(os.path.join(ROOT, pattern), recursive=True)):
        with open(path, encoding="utf-8", errors="replace") as f:
            text += f.read()
    return text


def missing(words, text):
    """Words that do not stand in the text by themselves."""
    return sorted(w for w in set(words) if not re.search(r"(?<![\w./-])" + re.escape(w) + r"(?![\w-])", text))


def main():
    verdict(WORD.findall('{"panel", "1 ::1", MANY, BLOCK_PART, "x"},\n\t{"edge",\n "1", ONCE, 0}') == ["panel", "edge"],
            "a made-up table of words is read")
    verdict(UNIT.findall('\t{"Pa.s/m", {-2, 1, -1, 0, 0, 0}, {1, 1}, {0, 1}},\n') == ["Pa.s/m"],
            "a made-up table of units is read")
    verdict(RULE.findall('{"hole-edge", DIAG_WARNING, "…"}, {"hole-blind",\n DIAG_ERROR}') == ["hole-edge", "hole-blind"],
            "a made-up table of rules is read")
    verdict(TOLD.findall('diag_error(d, "a-b", at);diag_error(\n\td, n > 1 ? "c" : "d",') == [("a-b", ""), ("c", "d")],
            "made-up reports are read")
    verdict(missing(["mm", "in", "cm"], "`mm2 in`, cm.") == ["mm"], "a made-up gap is found")

    language = read("docs/language.md")
    words, units = WORD.findall(read("compiler/words.c")), UNIT.findall(read("runtime/base/quant.c"))
    gap = missing(words, language)
    verdict(words and not gap, f"docs/language.md has the {len(set(words))} words of the language", gap)
    gap = missing(units, language)
    verdict(units and not gap, f"docs/language.md has the {len(set(units))} units", gap)

    rules = RULE.findall(read("compiler/check*.c") + read("compiler/templates.c"))
    tests = read("tests/unit/*") + read("tests/language/**/*.*") + read("tests/plans/*") + read("tests/faults/*")
    gap = [r for r in missing(rules, tests) if r not in NO_PLAN]
    verdict(rules and not gap, f"a test names each of the {len(set(rules))} rules", gap)
    gap = missing(rules, read("docs/rules.md"))
    verdict(rules and not gap, "docs/rules.md has every rule of the tables", gap)
    told = {r for pair in TOLD.findall(read("compiler/*.c") + read("grammar/*.[cl]")) for r in pair if r}
    gap = sorted(told - set(rules))
    verdict(told and not gap, f"each of the {len(told)} rules that are reported by name stands in a table", gap)
    limits = LIMIT.findall(read("compiler/check_limits.c"))
    gap = sorted(limit for limit in limits if limit.split(".")[0] not in rules)
    verdict(limits and not gap, f"each of the {len(limits)} limits is one of a rule", gap)
    asked = {name for call in ASKS.findall(read("compiler/*.c")) for name in re.findall(r'"([^"]+)"', call)}
    gap = sorted(set(limits) ^ asked)
    verdict(asked and not gap, "what the checks compare with are the limits of the table, each of them", gap)
    twice = sorted({r for r in rules if rules.count(r) > 1})
    verdict(not twice, "no rule stands in two tables", twice)
    return fail


if __name__ == "__main__":
    sys.exit(main())
