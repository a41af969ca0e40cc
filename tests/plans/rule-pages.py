#!/usr/bin/env python3
"""The plans of the rules' pages are run.

For each rule `windchest rules NAME --format json` gives the plan that breaks it, what the program says of it, and the
mended plan. The first message of `check` about the first is of exactly that rule; the mended plan has no error and
breaks that rule no more. A rule without a plan says why.
"""
import json
import os
import subprocess
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST_ASAN", "build-asan/windchest"))
WIDEST = 92


def run(arguments, text=""):
    p = subprocess.run([WINDCHEST, *arguments], input=text.encode(), capture_output=True, timeout=120, cwd=ROOT,
                       check=False)
    return p.returncode, p.stdout.decode(), p.stderr.decode("utf-8", "replace")


def messages(plan):
    """Rule and severity of what counts, in the order of the messages, and the messages as text."""
    _, _, err = run(["check", "--diagnostics", "json", "-"], plan)
    try:
        found = json.loads(err)["diagnostics"]
    except ValueError:
        return [("no-json", "error")], err
    found = [m for m in found if "allowed" not in m]
    return [(m["rule"], m["severity"]) for m in found], "\n".join(f'{m["rule"]}: {m["text"]}' for m in found)


def faults(rule):
    status, out, err = run(["rules", rule, "--format", "json"])
    if status:
        return [f"status {status}", err]
    page = json.loads(out)["rows"][0]
    if not page["broken"]:
        return [] if page["no plan"] and page["why"] else ["it has neither a plan nor the reason why there is none"]
    bad = [] if page["why"] else ["it does not say why"]
    long = [line for line in (page["broken"] + page["mended"]).split("\n") if len(line) > WIDEST]
    bad += ["a line of the plan is too long: " + line for line in long]
    broken, text = messages(page["broken"])
    if not broken or broken[0][0] != rule:
        bad += [f"the first message about the plan that breaks it is of {broken[0][0] if broken else 'no rule'}", text]
    elif f"[{rule}]" not in page["message"]:
        bad += ["the page does not show the message", page["message"]]
    mended, text = messages(page["mended"])
    if mended:
        bad += ["the mended plan has messages", text]
    return bad


def main(names):
    status, out, err = run(["rules", "--format", "json"])
    rules = [r["rule"] for r in json.loads(out)["rows"]] if status == 0 else []
    failed = not rules
    print(("ok" if rules else "not ok") + f" - the {len(rules)} rules are listed")
    for rule in rules:
        if names and rule not in names:
            continue
        bad = faults(rule)
        print(("not ok" if bad else "ok") + f" - the page of {rule}")
        for text in bad:
            print("\n".join("# " + line for line in text.split("\n")))
        failed |= bool(bad)
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
