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


def verdict(good, name, evidence=""):
    print(("ok - " if good else "not ok - ") + name)
    if not good:
        print("\n".join("# " + line for line in evidence.split("\n")[:30]))
    return not good


def for_people():
    """The list and one page, as they are printed where there is no terminal."""
    _, out, _ = run(["rules"])
    bad = verdict(max(map(len, out.split("\n"))) <= 80 and "limit: 3 mm" in out, "the list is not wider than 80 columns", out)
    _, inches, _ = run(["rules", "--measures", "inch"])
    bad |= verdict("limit: ~1/8 in" in inches, "limits are shown in inches, too", inches)
    _, out, _ = run(["rules", "hole-web"])
    pieces = ["hole-web (warning)", "limit   1 times", "(tune hole-web, from 0.1 to 5)", "source  common practice",
              "10 mm, 7.9 mm less than", "help: set them 7.9 mm further apart", "in place of line"]
    bad |= verdict(all(p in out for p in pieces), "a page says limit, source, message and what mends it", out)
    status, _, err = run(["rules", "hole-weeb"])
    return bad | verdict(status == 2 and "did you mean `hole-web`?" in err, "an unknown name is told with the near one", err)


def main(names):
    status, out, err = run(["rules", "--format", "json"])
    rules = [r["rule"] for r in json.loads(out)["rows"]] if status == 0 else []
    failed = not rules or (not names and for_people())
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
