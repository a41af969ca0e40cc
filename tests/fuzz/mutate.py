#!/usr/bin/env python3
"""Plans with small random wounds, the same ones on every run, under the sanitizers.

For each: status 0 or 1, an end within the time, with status 1 a message that has a place, with status 0 none that is an
error; and a plan with an error writes nothing. FUZZ_SECONDS (60) bounds the whole; FUZZ_SEED (1) picks other wounds.
A plan that fails is kept in build/fuzz/.
"""
import glob
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST_ASAN", "build-asan/windchest"))
BUDGET = float(os.environ.get("FUZZ_SECONDS", "60"))
SEED = int(os.environ.get("FUZZ_SEED", "1"))
MOST = 400  # wounds for each plan
ONE_RUN = 60
TOKEN = re.compile(rb'"(?:\\.|[^"\\\n])*"|[A-Za-z_][A-Za-z0-9_.]*|\d+(?:\.\d+)?|\s+|.', re.S)
ODD = [b"0", b"-1", b"1/0", b"99999999999999999999", b"0.0000001", b"1e9", b"4 3/16", b"{", b"}", b"(", b")", b"->",
       b'"', b";", b"#", b"\\", b"\0", b"\xff", b"\xc3\x98", b"\r", b"\t", b"mm", b"ft2", b"%", b"x", b"of", b"over"]


def wound(tokens, words, rng):
    """One small change; the list is changed in place."""
    at = rng.randrange(len(tokens))
    kind = rng.randrange(8)
    if kind == 0:
        del tokens[at]
    elif kind == 1:
        tokens.insert(at, rng.choice(ODD))
    elif kind == 2:
        tokens[at] = rng.choice(words)
    elif kind == 3:
        other = rng.randrange(len(tokens))
        tokens[at], tokens[other] = tokens[other], tokens[at]
    elif kind == 4:  # a stretch twice over
        end = min(len(tokens), at + rng.randrange(1, 40))
        tokens[at:at] = tokens[at:end]
    elif kind == 5:  # a stretch gone
        del tokens[at:at + rng.randrange(1, 40)]
    elif kind == 6:  # a number made another
        numbers = [i for i, t in enumerate(tokens) if t[:1].isdigit()]
        if numbers:
            tokens[rng.choice(numbers)] = rng.choice([b"0", b"1", b"7", b"1000000", b"0.001", b"99999999999", b"2"])
    else:  # one bit
        t = bytearray(tokens[at])
        t[rng.randrange(len(t))] ^= 1 << rng.randrange(8)
        tokens[at] = bytes(t)
    if not tokens:
        tokens.append(b"\n")


def judge(path, arguments, written):
    try:
        p = subprocess.run([WINDCHEST, *arguments], stdin=subprocess.DEVNULL, capture_output=True, timeout=ONE_RUN,
                           cwd=ROOT, check=False)
    except subprocess.TimeoutExpired:
        return f"no end within {ONE_RUN} s"
    said = p.stderr.decode("utf-8", "replace")
    error = re.search(r"^[^\n]*: error: ", said, re.M)
    placed = re.search(r"^[^\n:]+:\d+:\d+: error: ", said, re.M)
    if p.returncode not in (0, 1):
        return f"status {p.returncode}: " + said[:1500]
    if (p.returncode == 1) != bool(error):
        return f"status {p.returncode} with {'an' if error else 'no'} error said: " + said[:500]
    if p.returncode == 1 and not placed:
        return "no error has a place: " + said[:500]
    if p.returncode == 1 and os.path.exists(written):
        return "a plan with an error wrote something"
    if p.returncode == 0 and "compile" in arguments and not os.path.exists(os.path.join(written, "book.pdf")):
        return "status 0 and no book"
    return None


def fuzz(plan, until, folder):
    """Wounds tried, and the first failure as text."""
    with open(plan, "rb") as f:
        whole = TOKEN.findall(f.read())
    words = sorted({t for t in whole if not t.isspace()})
    name = os.path.basename(plan)[:-5]
    for n in range(MOST):
        if time.monotonic() > until:
            return n, None
        rng = random.Random(f"{SEED} {name} {n}")
        tokens = list(whole)
        for _ in range(rng.choice([1, 1, 1, 2, 3, 8])):
            wound(tokens, words, rng)
        path, out = os.path.join(folder, "wounded.plan"), os.path.join(folder, "out")
        with open(path, "wb") as f:
            f.write(b"".join(tokens))
        arguments = ["compile", path, "-o", out] if n % 8 == 7 else ["check", path]
        why = judge(path, arguments, out)
        shutil.rmtree(out, ignore_errors=True)
        if why:
            kept = os.path.join(ROOT, "build", "fuzz", f"{name}-{SEED}-{n}.plan")
            os.makedirs(os.path.dirname(kept), exist_ok=True)
            shutil.copy(path, kept)
            return n + 1, f"wound {n}, kept as {kept}\n{' '.join(arguments)}\n{why}"
    return MOST, None


def main():
    plans = sorted(glob.glob(os.path.join(ROOT, "plans", "*.plan"))) + [os.path.join(ROOT, "tests", "plans", "wings.plan")]
    if not plans:
        print("not ok - there are plans to wound")
        return 1
    bad = 0
    for i, plan in enumerate(plans):
        share = BUDGET / len(plans)
        with tempfile.TemporaryDirectory() as folder:
            tried, why = fuzz(plan, time.monotonic() + share, folder)
        good = why is None and tried > 0
        print(("ok" if good else "not ok") + f" - {tried} wounds to {os.path.basename(plan)}, no crash, no hang")
        if why:
            print("# " + why.replace("\n", "\n# "))
        bad |= not good
    return bad


if __name__ == "__main__":
    sys.exit(main())
