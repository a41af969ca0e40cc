#!/usr/bin/env python3
"""--effort: more steps are never worse here, the same effort gives the same bytes; the line about what takes long comes on a
terminal alone, is erased again, and changes nothing that is written."""
import json
import os
import pty
import random
import subprocess
import sys
import tempfile
import time

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
failed = False


def check(name, good, evidence=""):
    global failed
    print(("ok" if good else "not ok") + " - " + name)
    if not good:
        print("#   " + str(evidence)[:600])
        failed = True


def plan(parts):
    """Boards of many sizes on top of each other: nothing but sheets to lay out."""
    draw = random.Random(4)
    lines = ['plan "Many" { measures metric }', "tool saw : saw { kerf 3 mm }",
             "stock ply : sheet { size 2440 mm x 1220 mm; thick 18 mm; density 600 kg/m3; trim 10 mm }", "cabinet many {"]
    for i in range(parts):
        lines.append(f"    panel p{i} : ply {{ left at 0 mm; width {draw.randint(150, 1100)} mm; front at 0 mm; "
                     f"depth {draw.randint(120, 700)} mm; bottom at {i * 18} mm }}")
    return "\n".join(lines + ["}"]) + "\n"


def cuts(path, effort, stderr=subprocess.DEVNULL):
    arguments = [WINDCHEST, "cuts", path, "--format", "json"] + (["--effort", effort] if effort else [])
    p = subprocess.run(arguments, stdout=subprocess.PIPE, stderr=stderr, timeout=300, check=False)
    return p.returncode, p.stdout


def on_terminal(text, wait_s):
    """Standard error is a terminal, and the plan comes late: what is shown, and what was printed."""
    ours, theirs = pty.openpty()
    p = subprocess.Popen([WINDCHEST, "cuts", "-", "--format", "json"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                         stderr=theirs, env=dict(os.environ, TERM="xterm", NO_COLOR="1"))
    os.close(theirs)
    time.sleep(wait_s)
    out = p.communicate(text.encode(), timeout=120)[0]
    shown = b""
    while True:
        try:
            more = os.read(ours, 65536)
        except OSError:
            break
        if not more:
            break
        shown += more
    os.close(ours)
    return shown, out


def used(out):
    table = next(t for t in json.loads(out) if t["title"] == "Sheets, bars and rolls")
    return int(table["rows"][0][1] if isinstance(table["rows"][0], list) else table["rows"][0]["used"])


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "many.plan")
        with open(path, "w", encoding="utf-8") as f:
            f.write(plan(600))
        results = {e: cuts(path, e) for e in ("brief", "usual", "long")}
        check("all efforts lay the plan out", all(r[0] == 0 for r in results.values()), [r[0] for r in results.values()])
        n = {e: used(r[1]) for e, r in results.items()}
        check(f"a long search takes fewer sheets than a brief one ({n['brief']}, {n['usual']}, {n['long']})",
              n["long"] < n["brief"] and n["long"] <= n["usual"] <= n["brief"])
        check("the same effort gives the same bytes", cuts(path, "usual")[1] == results["usual"][1])
        check("not said, it is the usual one", cuts(path, None)[1] == results["usual"][1])
        text = plan(3)
        shown, out = on_terminal(text, 1.7)
        check("on a terminal a line says what takes long", b"\r\x1b[Kwindchest: reading the plan" in shown, shown[:300])
        last = shown.rfind("…".encode())
        check("it is erased at the end", last >= 0 and shown[last + 3:].startswith(b"\r\x1b[K"), shown[last:last + 40])
        p = subprocess.Popen([WINDCHEST, "cuts", "-", "--format", "json"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                             stderr=subprocess.PIPE)
        time.sleep(1.7)
        plain, err = p.communicate(text.encode(), timeout=120)
        check("what is printed is the same", out == plain and len(out) > 100)
        check("without a terminal there is no such line", b"reading the plan" not in err and b"\x1b" not in err, err[:300])
    return failed


if __name__ == "__main__":
    sys.exit(main())
