#!/usr/bin/env python3
"""`windchest tidy` over every plan of the tree: those in plans/, in the documents and in the text cases.

Tidied twice is tidied once; all comments are there, in order; what the program says of the plan is the same but for the
places, and so is plan.json of those that compile. What stands in plans/ and in the documents is tidy already."""
import difflib
import glob
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
sys.path.insert(0, os.path.join(ROOT, "tests", "language"))
from importlib.machinery import SourceFileLoader  # noqa: E402

cases = SourceFileLoader("cases", os.path.join(ROOT, "tests", "language", "run")).load_module()
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST_ASAN", "build-asan/windchest"))
FAST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
BLOCK = re.compile(r"^```[a-z]*\n(.*?)^```$", re.M | re.S)
COMMENT = re.compile(r'#[^\n]*|"(?:\\.|[^"\\\n])*"')
PLACE = re.compile(r'"[^"\n]*?:\d+:\d+"')
bad = 0


def verdict(good, name, evidence=""):
    global bad
    print(("ok" if good else "not ok") + " - " + name)
    if not good:
        print("# " + evidence[:1500].replace("\n", "\n# "))
        bad = 1
    return good


def run(arguments, text=None, program=WINDCHEST, cwd=ROOT):
    return subprocess.run([program, *arguments], input=text, capture_output=True, timeout=120, cwd=cwd, check=False,
                          **({} if text is not None else {"stdin": subprocess.DEVNULL}))


def tidied(text):
    return run(["tidy", "-"], text)


def comments(text):
    return [m.group().rstrip() for m in COMMENT.finditer(text.decode()) if m.group().startswith("#")]


def said(folder, name, options):
    """Rules and sentences, without places."""
    p = run(["check", *options, "--diagnostics", "json", name], program=FAST, cwd=folder)
    if p.returncode == 2:  # the options name what there is not
        return [["error", p.stderr.decode()]]
    d = json.loads(p.stderr)
    return sorted([x["severity"], x["rule"], x["text"], x.get("help") or "", [n["text"] for n in x.get("notes", [])]]
                  for x in d["diagnostics"])


def model(folder, name, options):
    out = os.path.join(folder, "out")
    p = run(["compile", *options, name, "-o", out], program=FAST, cwd=folder)
    if p.returncode:
        return None
    with open(os.path.join(out, "plan.json"), encoding="utf-8") as f:
        text = PLACE.sub('"PLACE"', f.read())
    shutil.rmtree(out)
    return text


def differ(a, b):
    return "\n".join(list(difflib.unified_diff(str(a).splitlines(), str(b).splitlines(), lineterm=""))[:20])


def hold(name, text, files=(), options=(), compiles=False):
    """All that is promised of one plan. False when it has faults and so is not touched."""
    once = tidied(text)
    if once.returncode == 1:
        return False
    out = once.stdout
    why = []
    if once.returncode:
        why.append(once.stderr.decode("utf-8", "replace"))
    if tidied(out).stdout != out:
        why.append("tidied twice it differs:\n" + differ(out.decode(), tidied(out).stdout.decode()))
    if comments(text) != comments(out):
        why.append("the comments differ:\n" + differ("\n".join(comments(text)), "\n".join(comments(out))))
    if re.search(rb"[ \t\r]\n|\n\n\n|\n\n\Z|\A\n", out) or (out and not out.endswith(b"\n")):
        why.append("blanks at a line's end or too many blank lines")
    with tempfile.TemporaryDirectory() as folder:
        for path, data in [*files, ("p.plan", text), ("q/p.plan", out), *[("q/" + p, d) for p, d in files]]:
            os.makedirs(os.path.dirname(os.path.join(folder, path)), exist_ok=True)
            with open(os.path.join(folder, path), "wb") as f:
                f.write(data)
        other = os.path.join(folder, "q")
        before, after = said(folder, "p.plan", options), said(other, "p.plan", options)
        if before != after:
            why.append("other messages:\n" + differ("\n".join(map(str, before)), "\n".join(map(str, after))))
        if compiles and not any(x[0] == "error" for x in before):
            before, after = model(folder, "p.plan", options), model(other, "p.plan", options)
            if before is None or before != after:
                why.append("another plan.json:\n" + differ(before, after))
    verdict(not why, name, "\n".join(why))
    return True


def main():
    for path in sorted(glob.glob(os.path.join(ROOT, "plans", "**", "*.plan"), recursive=True)):
        name = os.path.relpath(path, ROOT)
        with open(path, "rb") as f:
            text = f.read()
        hold(f"{name}: tidied, it says the same", text, compiles=True)
        p = run(["tidy", "--check", path])
        verdict(p.returncode == 0, f"{name} is tidy", f"run: windchest tidy {name}\n" + p.stderr.decode())
    for path in sorted(glob.glob(os.path.join(ROOT, "docs", "*.md")) + glob.glob(os.path.join(ROOT, "*.md"))):
        name = os.path.relpath(path, ROOT)
        with open(path, encoding="utf-8") as f:
            whole = f.read()
        for m in BLOCK.finditer(whole):
            if not re.match(r"(#[^\n]*\n)*plan \"", m.group(1)):
                continue
            line = whole.count("\n", 0, m.start()) + 2
            text = m.group(1).encode()
            if hold(f"the plan in {name}, line {line}: tidied, it says the same", text, compiles=True):
                out = tidied(text).stdout
                verdict(out == text, f"the plan in {name}, line {line}, is tidy", differ(text.decode(), out.decode()))
    read = 0
    for path in sorted(glob.glob(os.path.join(ROOT, "tests", "language", "*.case"))):
        plan, files, options, _ = cases.inputs(cases.read_case(path)[1])
        if "--diagnostics" in options or "--strict" in options:
            options = []
        read += hold(f"the plan of {os.path.basename(path)}: tidied, it says the same", plan, files, options, True)
    verdict(read >= 60, f"{read} text cases have no faults of reading")
    return bad


if __name__ == "__main__":
    sys.exit(main())
