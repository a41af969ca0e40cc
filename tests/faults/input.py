#!/usr/bin/env python3
"""Plans that no person would write: bytes that are no text, depth, length, numbers beyond every range, circles.

Each must end with status 1 and a message that begins with file:line:column, under the sanitizers, within the time.
"""
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
WINDCHEST = os.path.abspath(os.path.join(ROOT, os.environ.get("WINDCHEST_ASAN", "build-asan/windchest")))
SECONDS = 60
HEAD = b'plan "x" { edition "A" }\n'
SHEET = b"stock s : sheet { size 2440 mm x 1220 mm; thick 18 mm }\n"


def lets(expression):
    return HEAD + b"let a = " + expression + b"\n"


def cabinet(lines):
    return HEAD + SHEET + b"cabinet c {\n" + lines + b"\n}\n"


BOX = b"panel p : s { left at 0 mm; right at 100 mm; bottom at 0 mm; top at 100 mm; front at 0 mm }\n"
CASES = [
    ("an empty plan", b""),
    ("a NUL byte", HEAD + b"let a = 1\0 mm\n"),
    ("bytes that are no UTF-8", HEAD + b"let \xff\xfe = 1 mm\n"),
    ("a byte-order mark of another encoding", HEAD.decode().encode("utf-16")),
    ("half a character at the end", HEAD + b'let a = 1 mm "\xc3'),
    ("a text without its end", HEAD + b'let a = 1 mm "no end'),
    ("a block without its end", HEAD + b"cabinet c {" * 3),
    ("ends of blocks only", HEAD + b"}" * 1000),
    ("100 000 open brackets", lets(b"(" * 100000 + b"1" + b")" * 100000)),
    ("100 000 minus signs", lets(b"-" * 100000 + b"1 mm +")),
    ("50 000 open blocks", HEAD + b"cabinet c {\n" * 50000),
    ("a name of a million letters", HEAD + b"let " + b"a" * 1000000 + b" = b\n"),
    ("a line of a million bytes", lets(b"1 mm + " * 150000)),
    ("10 000 wrong lines", HEAD + b"let = = =\n" * 10000),
    ("two million values", HEAD + b"let a = " + b"a " * 2000000 + b"\n"),
    ("four million lines", HEAD + b"a\n" * 4000000),
    ("80 000 parts", cabinet(b"".join(b"panel p%d : s { left at %d mm; right at %d mm; front at 0 mm; back at 9 mm; "
                                      b"bottom at 0 mm; top at 9 mm }\n" % (i, i, i + 1) for i in range(80000)))),
    ("30 000 parts that can be read", cabinet(b"".join(
        b"panel p%d : s { left at %d mm; front at 0 mm; depth 9 mm; bottom at 0 mm; height 9 mm }\n" % (i, i * 20)
        for i in range(30000)))),
    ("a number of 400 digits", lets(b"9" * 400 + b" mm")),
    ("a decimal of 400 places", lets(b"0." + b"1" * 400 + b" mm")),
    ("division by nothing", lets(b"1 mm / 0")),
    ("division by nothing in a fraction", lets(b"1/0 mm")),
    ("a root of less than nothing", lets(b"sqrt(0 - 4 mm2)")),
    ("lengths beyond every range", lets(b"9000000000000000000 mm + 9000000000000000000 mm")),
    ("a length times itself until it breaks", HEAD + b"let a = 999999999 mm\n" + b"".join(
        b"let a%d = a%s * a%s\n" % (i, str(i - 1).encode() if i else b"", str(i - 1).encode() if i else b"")
        for i in range(12)) + b"let b = a11 + 1 mm\n"),
    ("length and area", lets(b"1 mm + 1 mm2")),
    ("a circle of names", HEAD + b"let a = b\nlet b = c\nlet c = a\n"),
    ("a name that is itself", lets(b"a")),
    ("a plan that uses itself", HEAD + b'use "case"\n'),
    ("a plan that uses what is not there", HEAD + b'use "no/such/file"\n'),
    ("a plan that uses a path out of the tree", HEAD + b'use "' + b"../" * 400 + b'etc/passwd"\n'),
    ("a plan that uses a name of 5000 letters", HEAD + b'use "' + b"x" * 5000 + b'"\n'),
    ("faces that go round in a circle", cabinet(b"panel p : s { left at q.right }\npanel q : s { left at p.right }")),
    ("a part that is itself", cabinet(b"panel p : s { against p.left; width of p }")),
    ("a billion slats", cabinet(b"slat l : s { spaced 1000000000 between p and q }\n" + BOX)),
    ("a size of less than nothing", cabinet(BOX.replace(b"right at 100", b"right at -100"))),
    ("a billion openings", cabinet(BOX + b"openings o in p { round 1 mm; grid 1000000 x 1000000 over p inset 1 mm }")),
    ("openings at a pitch of almost nothing",
     cabinet(BOX + b"openings o in p { round 1 mm; grid 0.000001 mm x 0.000001 mm over p inset 1 mm }")),
    ("openings at a pitch of nothing", cabinet(BOX + b"openings o in p { round 1 mm; stagger 0 mm over p inset 1 mm }")),
    ("a round of less than nothing", cabinet(BOX + b"openings o in p { round -5 mm; at (50 mm, 50 mm) }")),
    ("the same name twice", cabinet(BOX + BOX)),
]
PLACE = re.compile(r"^[^\n:]+:\d+:\d+: error: .", re.M)


def judge(name, plan):
    """None when the program behaves, else why not."""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "case.plan")
        with open(path, "wb") as f:
            f.write(plan)
        try:
            # The stack of a plain shell: depth must be refused, not survived by luck.
            p = subprocess.run([WINDCHEST, "check", path], stdin=subprocess.DEVNULL, capture_output=True,
                               timeout=SECONDS, cwd=ROOT, check=False)
        except subprocess.TimeoutExpired:
            return f"no end within {SECONDS} s"
        said = p.stderr.decode("utf-8", "replace")
        if p.returncode != 1:
            return f"status {p.returncode}, wanted 1: " + said[:300]
        if not PLACE.search(said):
            return "no message with a place: " + said[:300]
        if len(said) > 2_000_000:
            return f"{len(said)} bytes of messages"
        if any(f not in ("case.plan",) for f in os.listdir(folder)):
            return "something was written"
    return None


def main():
    bad = 0
    for name, plan in CASES:
        why = judge(name, plan)
        print(f"ok - {name}" if why is None else f"not ok - {name}\n# " + why.replace("\n", "\n# "))
        bad |= why is not None
    return bad


if __name__ == "__main__":
    sys.exit(main())
