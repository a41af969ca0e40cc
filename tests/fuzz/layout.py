#!/usr/bin/env python3
"""Plans in random layouts, the same ones on every run: `windchest tidy` gives the same text for all of them.

Blanks, tabs, line ends, empty lines and `;` are put between the words of a tidy plan wherever the language lets them
stand, and in a second round comments: those must all be there, in order, and without them the text is the same again.
FUZZ_SECONDS (30) bounds the whole; FUZZ_SEED (1) picks other layouts. A plan that fails is kept in build/fuzz/.
"""
import glob
import os
import random
import re
import subprocess
import sys
import time

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
WINDCHEST = os.path.join(ROOT, os.environ.get("WINDCHEST_ASAN", "build-asan/windchest"))
BUDGET = float(os.environ.get("FUZZ_SECONDS", "30"))
SEED = int(os.environ.get("FUZZ_SEED", "1"))
MOST = 60  # layouts for each plan
# A minus has blanks beside it in a tidy text: what `-` joins is the name of a rule, one word.
TOKEN = re.compile(r'"(?:\\.|[^"\\\n])*"|#[^\n]*|\n|[ \t]+|\d+(?:[./]\d+)?|[A-Za-z_][A-Za-z0-9_]*(?:[.-][A-Za-z_][A-Za-z0-9_]*)*|'
                   r'->|\+-|[<>!]=|.')
UNITS = set("mm cm m in ft um mm2 cm2 m2 in2 ft2 m3 cm3 l in3 ft3 cfm Pa kPa g kg lb oz s min h day W kW hp deg degC degF".split())
LOOSE = set("{}:=,*+()<>") | {"+-", "<=", ">=", "!=", ";"}  # what needs no blank beside it
BLOCK = re.compile(r"^```[a-z]*\n((?:#[^\n]*\n)*plan \".*?)^```$", re.M | re.S)
COMMENT = re.compile(r'("(?:\\.|[^"\\\n])*")|#[^\n]*')


def tidy(text):
    return subprocess.run([WINDCHEST, "tidy", "-"], input=text.encode(), capture_output=True, timeout=60, check=False)


def words_of(text):
    """[(token, gap before it)]: gaps of a tidy text are blanks, or line ends with the indent behind them."""
    out, gap = [], ""
    for m in TOKEN.finditer(text):
        t = m.group()
        if t.isspace():
            gap += t
        else:
            out.append((t, gap))
            gap = ""
    return out


def one_line_regions(words):
    """Which words stand in a block on one line, its braces included, or before its `{` in the same line."""
    inside, stack = [False] * len(words), []
    for i, (t, _) in enumerate(words):
        if t == "{":
            stack.append(i)
        elif t == "}":
            start = stack.pop()
            if any("\n" in g for _, g in words[start + 1:i + 1]):
                continue
            first = start
            while first and "\n" not in words[first][1]:
                first -= 1
            for k in range(first, i + 1):
                inside[k] = True
    return inside


class Layout:
    def __init__(self, rng, comments):
        self.rng, self.with_comments, self.comments = rng, comments, 0

    def blanks(self, least):
        return "".join(self.rng.choice("  \t") for _ in range(self.rng.choice([least, least, 1, 1, 2, 5])))

    def line_end(self):
        return self.rng.choice(["\n", "\n", "\r\n", " \n"])

    def comment(self):
        self.comments += 1
        return f"# {self.comments} " + self.rng.choice(['', '}', '{ "', ';; #', 'let a = ', '\u00d8  ', '-> ,'])

    def comment_lines(self):
        """An end of a line of text, with comments before and behind it."""
        out = ""
        if self.with_comments and self.rng.random() < 0.1:
            out += self.blanks(0) + self.comment()
        out += self.line_end()
        while self.with_comments and self.rng.random() < 0.1:
            out += self.blanks(0) + self.comment() + self.line_end()
        return out

    def far(self):
        return " " * self.rng.randrange(40, 60)

    def inner(self, before, t, gap, quiet, brackets):
        """Between two words of one line of the plan."""
        goes_on = before in (",", ":", "=", "+-") or t == "->" or before == "->" or (t == "{" and before != "}")
        if goes_on and not quiet and not brackets and self.rng.random() < 0.15:
            return self.blanks(0) + self.comment_lines() + self.far()
        if not gap:  # glued: a call's bracket, a unary minus, what stands before a comma
            return self.blanks(0) if before in ("(", "-") or t in (",", ")") else ""
        least = 1
        if before in LOOSE or t in LOOSE:
            least = 0
        if t == "(" and before not in LOOSE:
            least = 1
        if before[0].isdigit() and t in UNITS:
            least = 0
        if before in ("-", "+") or t in ("-", "+", ">", "=") or before in ("<", ">", "="):
            least = 1
        if before == "," and t[0].isdigit():
            least = 1
        return self.blanks(0) if least == 0 else self.blanks(1) or " "

    def between_lines(self, before, gap):
        """Between two lines of the plan, whose texts stand on lines of their own."""
        if before[0] == "#":
            end = self.line_end()
        elif before != "{" and self.rng.random() < 0.15:
            end = self.blanks(0) + ";" + (self.blanks(0) if gap.count("\n") == 1 and self.rng.random() < 0.5 else
                                          self.comment_lines())
        else:
            end = self.comment_lines()
        if gap.count("\n") > 1:
            end = end if "\n" in end else end + "\n"
            end += "".join(self.blanks(0) + self.line_end() for _ in range(self.rng.choice([1, 1, 2, 4])))
        elif before == "{":
            end += "".join(self.line_end() for _ in range(self.rng.choice([0, 0, 1, 3])))
        return end + self.blanks(0)

    def of(self, text):
        words = words_of(text)
        quiet = one_line_regions(words)
        out, brackets = self.blanks(0), 0
        for i, (t, gap) in enumerate(words):
            before = words[i - 1][0] if i else None
            if i == 0:
                pass
            elif "\n" in gap and (before == "," or t == "->"):  # a line that was broken
                out += self.inner(before, t, " ", quiet[i], brackets)
            elif "\n" in gap and t == "}" and before[0] != "#":
                out += self.comment_lines() + "".join(self.line_end() for _ in range(self.rng.choice([0, 0, 2])))
            elif "\n" in gap and t[0] == "#" or before[0] == "#":
                out += ("\n" + self.blanks(0)) * min(2, gap.count("\n"))
            elif "\n" in gap:
                out += self.between_lines(before, gap)
            elif t[0] == "#":
                out += self.blanks(0)
            else:
                out += self.inner(before, t, gap, quiet[i] or quiet[i - 1], brackets)
            brackets += {"(": 1, ")": -1}.get(t, 0)
            out += t
        return out + self.rng.choice(["", "\n", "\r\n\n\n"])


def comments_of(text):
    return [m.group().rstrip() for m in COMMENT.finditer(text) if not m.group(1)]


def without_comments(text):
    text = re.sub(r"^[ ]*#[^\n]*\n", "", text, flags=re.M)
    return COMMENT.sub(lambda m: m.group(1) or "", text)


def judge(base, rough, comments):
    p = tidy(rough)
    if p.returncode:
        return f"status {p.returncode}: " + p.stderr.decode()[:1500]
    out = p.stdout.decode()
    if not comments:
        return None if out == base else "another text"
    if comments_of(out) != comments_of(rough):
        return "the comments are not all there in order"
    if tidy(out).stdout.decode() != out:
        return "tidied twice, it is another text"
    plain = tidy(without_comments(out)).stdout.decode()
    return None if plain == base else "without the comments it is another text"


def plans():
    for path in sorted(glob.glob(os.path.join(ROOT, "plans", "**", "*.plan"), recursive=True)):
        with open(path, encoding="utf-8") as f:
            yield os.path.relpath(path, ROOT), f.read()
    for path in sorted(glob.glob(os.path.join(ROOT, "docs", "*.md"))):
        with open(path, encoding="utf-8") as f:
            for i, m in enumerate(BLOCK.finditer(f.read())):
                yield f"{os.path.relpath(path, ROOT)} {i + 1}", m.group(1)


def main():
    bad, everything = 0, list(plans())
    begun = time.monotonic()
    for k, (name, text) in enumerate(everything):
        until = begun + BUDGET * (k + 1) / len(everything)
        bases = [tidy(text).stdout.decode()]
        bases.append(tidy(without_comments(bases[0])).stdout.decode())
        why, n = None if bases[0] and bases[1] else "it cannot be tidied", 0
        while n < MOST and not why and (n < 4 or time.monotonic() < until):
            layout = Layout(random.Random(f"{SEED} {name} {n}"), n % 2 == 1)
            rough = layout.of(bases[n % 2])
            why = judge(bases[n % 2], rough, n % 2 == 1)
            if why:
                kept = os.path.join(ROOT, "build", "fuzz", re.sub(r"\W", "-", name) + f"-{SEED}-{n}.plan")
                os.makedirs(os.path.dirname(kept), exist_ok=True)
                with open(kept, "w", encoding="utf-8", newline="") as f:
                    f.write(rough)
                why = f"layout {n}, kept as {kept}: {why}"
            n += 1
        print(("not ok" if why else "ok") + f" - {name}: {n} layouts, one tidy text")
        if why:
            print("# " + why.replace("\n", "\n# "))
            bad = 1
    return bad


if __name__ == "__main__":
    sys.exit(main())
