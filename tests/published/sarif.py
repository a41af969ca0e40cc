#!/usr/bin/python3
"""F7: what `--diagnostics sarif` says, against the schema of SARIF 2.1.0 (OASIS) and against sentences of its text.

The schema is tests/published/sarif-schema-2.1.0.json (tests/published/README.md tells where it comes from). What a
schema cannot say is checked by hand; the number of the section stands beside it. The plans are made here and taken from
tests/language/.
"""
import json
import os
import re
import subprocess
import sys
import tempfile
from importlib.machinery import SourceFileLoader
from urllib.parse import unquote

import jsonschema

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.abspath(os.path.join(HERE, "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
sys.dont_write_bytecode = True
CASES = SourceFileLoader("cases", os.path.join(ROOT, "tests", "language", "run")).load_module()
with open(os.path.join(HERE, "sarif-schema-2.1.0.json"), encoding="utf-8") as schema_file:
    SCHEMA = json.load(schema_file)
VALIDATOR = jsonschema.validators.validator_for(SCHEMA)(SCHEMA)
# RFC 3986, 4.1: a URI or a relative reference, of the characters that may stand there.
URI = re.compile(r"(?:file:///)?(?:[A-Za-z0-9._~!$&'()*+,;=@/-]|%[0-9A-F]{2})+")

GOOD = """plan "A lid" { measures metric }
use "stock/sheets"
use "stock/tools"
cabinet one { panel lid : ply18 { left at 0 mm; right at 300 mm; front at 0 mm; back at 200 mm; bottom at 0 mm } }
"""


def run(folder, arguments, stdin=b""):
    p = subprocess.run([WINDCHEST, "check", "--diagnostics", "sarif", *arguments], cwd=folder, input=stdin,
                       capture_output=True, timeout=120, check=False)
    return p.returncode, p.stderr


def write(folder, files):
    for name, text in files.items():
        path = os.path.join(folder, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "wb") as f:
            f.write(text if isinstance(text, bytes) else text.encode())


def messages(o):
    """Every message string: the `text` of an object that is a value of one of these."""
    if isinstance(o, dict):
        for key, v in o.items():
            if key in ("message", "shortDescription") and isinstance(v, dict):
                yield v["text"]
            yield from messages(v)
    elif isinstance(o, list):
        for v in o:
            yield from messages(v)


def faults_of_location(l, folder, names):
    if "physicalLocation" not in l:
        if not l.get("message"):
            yield "3.28.1: a location that says nothing"
        return
    uri = l["physicalLocation"]["artifactLocation"]["uri"]
    if not URI.fullmatch(uri) or uri.startswith("//") or re.match(r"/", uri):
        yield f"RFC 3986, 3.4.3: {uri}"
    path = unquote(uri[7:] if uri.startswith("file://") else uri)
    r = l["physicalLocation"]["region"]
    if (r["endLine"], r["endColumn"]) < (r["startLine"], r["startColumn"]):
        yield f"3.30.5: it ends before it begins: {r}"
    if path == "<standard input>":
        return
    path = os.path.join(folder, path)
    names.add(os.path.basename(path))
    if not os.path.exists(path):
        yield f"3.4.3: no such file: {uri}"
        return
    with open(path, encoding="utf-8-sig", errors="replace", newline="") as f:
        # 3.30.2: lines end with a line feed, also behind a carriage return; the order mark is no text.
        lines = f.read().split("\n")
    for line, column in ((r["startLine"], r["startColumn"]), (r["endLine"], r["endColumn"])):
        if line > len(lines) or column > len(lines[line - 1]) + 2:
            yield f"3.30.5: {uri} has no line {line}, column {column}"


def text_of(l, folder):
    """The text that the region of a location on one line covers."""
    p = l["physicalLocation"]
    with open(os.path.join(folder, unquote(p["artifactLocation"]["uri"])), encoding="utf-8-sig", newline="") as f:
        line = f.read().split("\n")[p["region"]["startLine"] - 1]
    return line[p["region"]["startColumn"] - 1:p["region"]["endColumn"] - 1]


def faults(raw, folder, names=None):
    """All that is wrong with one log."""
    names = set() if names is None else names
    try:
        log = json.loads(raw.decode("utf-8"))
    except ValueError as e:
        return [f"no JSON: {e}"]
    bad = [f"schema: {list(e.absolute_path)}: {e.message[:200]}" for e in VALIDATOR.iter_errors(log)]
    if bad:
        return bad
    for m in messages(log):
        if re.search(r"[{}]", re.sub(r"\{\{|\}\}", "", m)):
            bad.append(f"3.11.5: a single brace in “{m}”")
        if re.search(r"(?<!\\)\]\(", m):
            bad.append(f"3.11.6: a link in “{m}”")
    for one in log["runs"]:
        rules, results = one["tool"]["driver"]["rules"], one["results"]
        if len({r["id"] for r in rules}) != len(rules):
            bad.append("3.19.23: two rules with one id")
        if len({"suppressions" in r for r in results}) > 1:
            bad.append("3.27.23: some results have suppressions, others have not")
        if any(n["level"] == "error" for i in one["invocations"] for n in i["toolExecutionNotifications"]
               if i["executionSuccessful"]):
            bad.append("3.20.21: a run with an error that succeeded")
        for r in results:
            if rules[r["ruleIndex"]]["id"] != r["ruleId"]:
                bad.append(f"3.27.6: {r['ruleId']} is not rule {r['ruleIndex']}")
            ids = [l["id"] for l in r.get("relatedLocations", [])]
            if len(set(ids)) != len(ids):
                bad.append(f"3.28.2: ids {ids}")
            for l in r["locations"] + r.get("relatedLocations", []):
                bad += faults_of_location(l, folder, names)
    return bad


def results_of(raw):
    return json.loads(raw)["runs"][0]["results"]


# ---- runs ---------------------------------------------------------------------------------------

def nothing_found():
    bad = []
    for plan in ("luthier-booth", "paddle-bench"):
        status, raw = run(os.path.join(ROOT, "plans"), [plan + ".plan"])
        bad += faults(raw, os.path.join(ROOT, "plans"))
        if status != 0 or (not bad and any(not r["suppressions"] for r in results_of(raw))):
            bad.append(f"{plan}: something was found")
    tap.verdict(bad, "the plans of the tree: no findings")


def made(name, files, arguments, status, check, stdin=b""):
    with tempfile.TemporaryDirectory() as folder:
        write(folder, files)
        got, raw = run(folder, arguments, stdin)
        bad = faults(raw, folder)
        if got != status:
            bad.append(f"status {got}, not {status}")
        if not bad:
            bad = [what for what, good in check(json.loads(raw)["runs"][0], folder) if not good]
        tap.verdict(bad, name)


def errors_with_notes():
    def check(one, folder):
        r = one["results"]
        yield "two errors", [x["level"] for x in r] == ["error", "error"]
        yield "the second name is the place", text_of(r[0]["locations"][0], folder) == "lid"
        yield "the first name is noted", text_of(r[0]["relatedLocations"][0], folder) == "lid"
        yield "the unknown name is the place", text_of(r[1]["locations"][0], folder) == "widht"
        yield "its help is there", "width" in json.dumps(r[1])
        yield "the run went well", one["invocations"][0]["executionSuccessful"] is True
    plan = GOOD + 'let width = 3 mm\nlet lid = 2 mm\nlet half = widht / 2\n'
    made("errors with notes", {"a.plan": plan}, ["a.plan"], 1, check)


def warnings():
    def check(one, _):
        yield "one warning", [(r["ruleId"], r["level"]) for r in one["results"]] == [("no-saw", "warning")]
        yield "its rule has a sentence", bool(one["tool"]["driver"]["rules"][0]["shortDescription"]["text"])
    made("warnings", {"a.plan": GOOD.replace('use "stock/tools"\n', "")}, ["a.plan"], 0, check)


def waived():
    plan = GOOD.replace('use "stock/tools"\n', "")

    def by(kind, words):
        def check(one, _):
            s = one["results"][0]["suppressions"]
            yield "it is suppressed once", len(s) == 1
            yield f"kind {kind}", s[0]["kind"] == kind
            yield "the reason is told", words in s[0]["justification"]
        return check
    made("waived in the plan", {"a.plan": plan + 'allow no-saw because "sawn on the command line of a mill"\n'}, ["a.plan"], 0,
         by("inSource", "command line"))
    made("waived on the command line", {"a.plan": plan}, ["--allow", "no-saw", "a.plan"], 0, by("external", "command line"))


def used_files():
    def check(one, folder):
        l = one["results"][0]["locations"][0]
        yield "it is in the used file", l["physicalLocation"]["artifactLocation"]["uri"] == "my%20stock/50%25%23%3A.plan"
        yield "its place is right", text_of(l, folder) == "tin"
    made("a fault in a used file with a hard name", {"a.plan": GOOD + 'use "my stock/50%#:"\n',
                                                     "my stock/50%#:.plan": "stock can : tin { price 3 }\n"}, ["a.plan"], 1, check)

    def absolute(one, folder):
        uri = one["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        yield "an absolute path is a file URI", uri.startswith("file:///") and unquote(uri[7:]) == path
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(os.path.realpath(folder), "über plan.plan")
        with open(path, "w", encoding="utf-8") as f:
            f.write(GOOD + "let half = widht\n")
        made("an absolute path", {}, [path], 1, absolute)


def columns():
    def check(one, folder):
        yield "the words are covered", [text_of(r["locations"][0], folder) for r in one["results"]] == ["widht", "hieght"]
    text = GOOD + 'let a = 1 mm "🔧 Ø e\u0301"; let b = widht\n\tlet c = 1 mm "\t漢"; let d = hieght\n'
    made("columns count characters: tabs, wide and accented letters", {"a.plan": text}, ["a.plan"], 1, check)
    made("order mark and carriage returns", {"a.plan": b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()}, ["a.plan"], 1, check)

    def first_line(one, folder):
        yield "column 1 is the first character", text_of(one["results"][0]["locations"][0], folder) == "plen"
    made("a fault right behind the order mark", {"a.plan": b"\xef\xbb\xbfplen \"x\"\n" + GOOD.encode()}, ["a.plan"], 1, first_line)


def braces():
    def check(one, _):
        yield "braces stand double", any("{{" in r["message"]["text"] for r in one["results"])
    made("a message with braces", {"a.plan": GOOD + "cabinet two {\n"}, ["a.plan"], 1, check)


def command_line():
    def check(one, _):
        l = one["results"][0]["locations"][0]
        yield "no file is named", "physicalLocation" not in l
        yield "the words are told", "width" in l["message"]["text"]
    made("a fault of --set", {"a.plan": GOOD + "let width = 3 mm\n"}, ["--set", "width=3 kg +", "a.plan"], 1, check)

    def standard(one, _):
        yield "it is found", one["results"][0]["level"] == "error"
    made("a plan on standard input", {}, ["-"], 1, standard, (GOOD + "let a = b\n").encode())


def cannot_read():
    def check(one, _):
        i = one["invocations"][0]
        yield "the run failed", i["executionSuccessful"] is False
        yield "why is told", "none.plan" in i["toolExecutionNotifications"][0]["message"]["text"]
        yield "the other plan was read", [r["ruleId"] for r in one["results"]] == ["plan-unknown-name"]
    made("a plan that cannot be read, beside one that can", {"a.plan": GOOD + "let a = b\n"}, ["none.plan", "a.plan"], 3, check)


def every_case():
    bad, n, found = [], 0, 0
    for name in sorted(os.listdir(os.path.join(ROOT, "tests", "language"))):
        if not name.endswith(".case"):
            continue
        _, sections = CASES.read_case(os.path.join(ROOT, "tests", "language", name))
        files, options = {}, []
        for head, lines in sections:
            if head == "plan":
                files["a.plan"] = "".join(lines)
            elif head == "plan escaped":
                files["a.plan"] = CASES.unescape("".join(line.rstrip("\n") for line in lines))
            elif head.startswith("file "):
                files[head[5:]] = "".join(lines)
            elif head == "options":
                options = [line.rstrip("\n") for line in lines if line.strip()]
        for i in reversed([i for i, o in enumerate(options) if o in ("--diagnostics", "--format", "-o")]):
            del options[i:i + 2]
        if "a.plan" not in files:
            continue
        with tempfile.TemporaryDirectory() as folder:
            write(folder, files)
            status, raw = run(folder, [o for o in options if o != "--check"] + ["a.plan"])
            if status == 2:
                continue
            n += 1
            wrong = faults(raw, folder)
            found += 0 if wrong else len(results_of(raw))
            bad += [f"{name}: {w}" for w in wrong]
    if n < 60 or found < 100:
        bad.append(f"{n} cases and {found} results: too few to show anything")
    tap.verdict(bad, f"every text case: {n} logs, {found} results")


def the_check_can_fail():
    with tempfile.TemporaryDirectory() as folder:
        write(folder, {"a.plan": GOOD + "let a = b\n"})
        _, raw = run(folder, ["a.plan"])
        log = json.loads(raw)

        def spoil(change):
            spoiled = json.loads(json.dumps(log))
            change(spoiled["runs"][0]["results"][0], spoiled["runs"][0])
            return faults(json.dumps(spoiled).encode(), folder)
        spoilt = {
            "a level that is none": lambda r, _: r.update(level="fatal"),
            "a column 0": lambda r, _: r["locations"][0]["physicalLocation"]["region"].update(startColumn=0),
            "a column beyond the line": lambda r, _: r["locations"][0]["physicalLocation"]["region"].update(endColumn=99),
            "a blank in the address": lambda r, _: r["locations"][0]["physicalLocation"]["artifactLocation"].update(uri="a plan"),
            "a key that is none": lambda r, _: r.update(colour="red"),
            "no message": lambda r, _: r.pop("message"),
            "a brace": lambda r, _: r["message"].update(text="{"),
            "another rule": lambda r, _: r.update(ruleId="x"),
            "an invocation without its result": lambda _, one: one["invocations"][0].pop("executionSuccessful"),
        }
        bad = [f"{name} is not noticed" for name, change in spoilt.items() if not spoil(change)]
        if faults(raw, folder):
            bad.append("the log is wrong before it is spoilt")
        tap.verdict(bad, f"{len(spoilt)} spoilt logs are noticed")


def main():
    if SCHEMA.get("title", "").find("SARIF) Version 2.1.0") < 0:
        tap.verdict(["the schema is another one"], "the schema")
    nothing_found()
    errors_with_notes()
    warnings()
    waived()
    used_files()
    columns()
    braces()
    command_line()
    cannot_read()
    every_case()
    the_check_can_fail()
    return tap.failed


if __name__ == "__main__":
    sys.exit(main())
