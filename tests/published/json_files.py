#!/usr/bin/env python3
"""F4: every JSON that the program writes is JSON after RFC 8259 (read): UTF-8 without a byte order mark (8.1), numbers
of the grammar only, so no NaN and no infinity (6), names of an object that are unique (4: "SHOULD be unique"), no bare
control character in a string (7), one value and nothing behind it (2). The parser is written here, after the grammar
of the document, and is tried on texts that are none. Both plans of plans/, in both measures, all files and tables."""
import glob
import os
import re
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
import tap  # noqa: E402

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST", "build/windchest"))
TABLES = ("parts", "cuts", "drill", "air", "steps", "shopping")
BLANK = re.compile(r"[ \t\n\r]*")
NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
STRING = re.compile(r'"(?:[^"\\\x00-\x1f]|\\["\\/bfnrt]|\\u[0-9a-fA-F]{4})*"')
WORD = re.compile(r"true|false|null")


class NotJson(Exception):
    pass


class Text:
    def __init__(self, raw):
        if raw.startswith(b"\xef\xbb\xbf"):
            raise NotJson("8.1: a byte order mark")
        try:
            self.t = raw.decode("utf-8", "strict")
        except UnicodeDecodeError as e:
            raise NotJson(f"8.1: no UTF-8: {e}") from e
        self.at, self.numbers, self.depth = 0, 0, 0

    def blank(self):
        self.at = BLANK.match(self.t, self.at).end()

    def take(self, what):
        if not self.t.startswith(what, self.at):
            raise NotJson(f"2: `{what}` is wanted at {self.at}: {self.t[self.at:self.at + 20]!r}")
        self.at += len(what)
        self.blank()

    def one(self, pattern, section):
        m = pattern.match(self.t, self.at)
        if not m:
            raise NotJson(f"{section}: at {self.at}: {self.t[self.at:self.at + 20]!r}")
        self.at = m.end()
        self.blank()
        return m.group()

    def string(self):
        s = self.one(STRING, 7)
        # 8.2: a half of a surrogate pair alone is no character.
        if re.search(r"\\u[dD][89abAB]..(?!\\u[dD][c-fC-F])|(?<!\\u[dD][89abAB]..)\\u[dD][c-fC-F]", s):
            raise NotJson(f"8.2: {s}")
        return s

    def value(self):
        self.depth += 1
        c = self.t[self.at:self.at + 1]
        if c == "{":
            self.take("{")
            names = set()
            while self.t[self.at:self.at + 1] != "}":
                if names:
                    self.take(",")
                name = self.string()
                if name in names:
                    raise NotJson(f"4: the name {name} stands twice")
                names.add(name)
                self.take(":")
                self.value()
            self.take("}")
        elif c == "[":
            self.take("[")
            first = True
            while self.t[self.at:self.at + 1] != "]":
                if not first:
                    self.take(",")
                first = False
                self.value()
            self.take("]")
        elif c == '"':
            self.string()
        elif c in "tfn":
            self.one(WORD, 3)
        else:
            number = float(self.one(NUMBER, 6))
            if number in (float("inf"), float("-inf")):
                raise NotJson("6: a number beyond what a reader holds")
            self.numbers += 1
        self.depth -= 1

    def whole(self):
        self.blank()
        self.value()
        if self.at != len(self.t):
            raise NotJson(f"2: something stands behind the value: {self.t[self.at:self.at + 20]!r}")
        return self.numbers


def wrong(raw):
    try:
        Text(raw).whole()
        return None
    except NotJson as e:
        return str(e)


def parser_is_strict():
    good = [b'{"a": [1, -0.5e+3, 0, "\\u00d8 \xc3\x98 \\ud83d\\udd27"], "b": {}, "c": [], "d": null}', b" true\n", b'""', b"[[]]"]
    none = [b"\xef\xbb\xbf{}", b"{\"a\": NaN}", b"[Infinity]", b"[-Infinity]", b"[1,]", b"[01]", b"[.5]", b"[1.]", b"[+1]", b"[1e999]",
            b"{\"a\": 1, \"a\": 2}", b"{\"a\" 1}", b"{a: 1}", b"['a']", b"\"\x01\"", b"\"\\x41\"", b"\"\\ud83d\"", b"\"\\udd27\"",
            b"\"\xff\"", b"[1] 2", b"", b"[1", b"{\"a\": }", b"nan", b"// x\n1", b"[1 2]"]
    bad = [f"refused: {g!r}: {wrong(g)}" for g in good if wrong(g)] + [f"taken: {n!r}" for n in none if not wrong(n)]
    tap.verdict(bad, f"the parser takes {len(good)} texts and refuses {len(none)}")


def run(*arguments):
    p = subprocess.run([WINDCHEST, *arguments], capture_output=True, timeout=300, check=False, cwd=os.path.join(ROOT, "plans"))
    return p.returncode, p.stdout, p.stderr


def main():
    parser_is_strict()
    for plan in ("luthier-booth", "paddle-bench"):
        for measures in ("metric", "inch"):
            bad, files, numbers = [], 0, 0
            texts = {}
            with tempfile.TemporaryDirectory() as folder:
                status, _, err = run("compile", plan + ".plan", "--measures", measures, "-o", os.path.join(folder, "out"))
                if status:
                    bad.append(err.decode("utf-8", "replace")[:300])
                for path in glob.glob(os.path.join(folder, "out", "*.json")):
                    with open(path, "rb") as f:
                        texts[os.path.basename(path)] = f.read()
                if len(texts) < 4:
                    bad.append(f"only {sorted(texts)} are written")
            for table in TABLES:
                status, out, err = run(table, plan + ".plan", "--measures", measures, "--format", "json")
                texts[table] = out
                if status:
                    bad.append(f"{table}: status {status}")
            for kind in ("json", "sarif"):
                texts["--diagnostics " + kind] = run("check", plan + ".plan", "--diagnostics", kind)[2]
            for name, raw in sorted(texts.items()):
                files += 1
                try:
                    numbers += Text(raw).whole()
                except NotJson as e:
                    bad.append(f"{name}: {e}")
            if numbers < 1000:
                bad.append(f"only {numbers} numbers were seen")
            tap.verdict(bad, f"{plan}, {measures}: {files} JSON texts with {numbers} numbers")
    status, out, _ = run("rules", "--format", "json")
    tap.verdict([f"status {status}: {wrong(out)}"] if status or wrong(out) else [], "the rules as JSON")
    return tap.failed


if __name__ == "__main__":
    sys.exit(main())
