#!/usr/bin/env python3
"""The examples in the documents are run: every block of plan text that begins with `plan` is checked."""
import glob
import os
import re
import subprocess
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST_ASAN", "build-asan/windchest"))
BLOCK = re.compile(r"^```[a-z]*\n(plan \".*?)^```$", re.M | re.S)


def main():
    bad, found = 0, 0
    for path in sorted(glob.glob(os.path.join(ROOT, "docs", "*.md")) + glob.glob(os.path.join(ROOT, "*.md"))):
        with open(path, encoding="utf-8") as f:
            text = f.read()
        for m in BLOCK.finditer(text):
            found += 1
            line = text.count("\n", 0, m.start()) + 2
            p = subprocess.run([WINDCHEST, "check", "-"], input=m.group(1).encode(), capture_output=True, timeout=120,
                               cwd=os.path.join(ROOT, "plans"), check=False)
            good = p.returncode == 0
            print(("ok" if good else "not ok") + f" - the plan in {os.path.relpath(path, ROOT)}, line {line}")
            if not good:
                print("# " + p.stderr.decode("utf-8", "replace")[:1500].replace("\n", "\n# "))
            bad |= not good
    if not found:
        print("not ok - there are examples in the documents")
        bad = 1
    return bad


if __name__ == "__main__":
    sys.exit(main())
