#!/usr/bin/env python3
"""The example plans are sound at both ends of every range that they declare."""
import os
import re
import subprocess
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
LET = re.compile(r"^let (\w+) *= .*? from (.*?) to (.*?) \"", re.M)


def main():
    bad, found = 0, 0
    for name in ("luthier-booth", "paddle-bench"):
        path = os.path.join(ROOT, "plans", name + ".plan")
        with open(path, encoding="utf-8") as f:
            lets = LET.findall(f.read())
        for let, least, most in lets:
            for value in (least, most):
                found += 1
                p = subprocess.run([WINDCHEST, "check", path, "--set", f"{let}={value}"], capture_output=True,
                                   timeout=120, check=False)
                print(("ok" if p.returncode == 0 else "not ok") + f" - {name}: sound with {let} = {value}")
                if p.returncode:
                    print("# " + p.stderr.decode("utf-8", "replace")[:1500].replace("\n", "\n# "))
                    bad = 1
    if found < 10:
        print("not ok - the plans declare ranges")
        bad = 1
    return bad


if __name__ == "__main__":
    sys.exit(main())
