"""Figures as the program shows them, worked out anew from what the JSON files hold; and the figures of a text.

    sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
    import figures

A figure is a number with the words about it. Shown(inch) words values; of() finds the numbers of a text with the
words on both sides, as forms: "60 mm", "step 7", "(81)", "24 clearance", "=12" (the number alone), "L:60" (a length).
"""
import functools
import math
import re
from fractions import Fraction

INCH = Fraction(127, 5)
# The large unit of a dimension first: (metric, inch) words, what one is in SI, decimals, the size from which it is used.
READINGS = {
    "area": [(("m²", "ft²"), (1, 0.09290304), (4, 3), (0.01, 0.09290304)),
             (("cm²", "in²"), (1e-4, 0.00064516), (1, 1), (0, 0))],
    "volume": [(("m³", "ft³"), (1, 0.028316846592), (1, 0), (1, 0.0028316846592)),
               (("l", "in³"), (1e-3, 1.6387064e-5), (1, 1), (1e-3, 0))],
    "flow": [(("m³/h", "cfm"), (1 / 3600, 0.028316846592 / 60), (0, 0), (0, 0))],
    "speed": [(("m/s", "ft/min"), (1, 0.00508), (2, 0), (0, 0))],
    "pressure": [(("Pa", "in.wg"), (1, 249.08891), (0, 2), (0, 0))],
    "density": [(("kg/m³", "lb/ft³"), (1, 16.018463373960142), (3, 4), (0, 0))],
    "power": [(("kW", "hp"), (1000, 745.69987158227022), (2, 2), (1000, 0)),
              (("W", "hp"), (1, 745.69987158227022), (0, 2), (0, 0))],
    "temperature": [(("°C", "°F"), (1, 5 / 9), (1, 1), (0, 0))],
}
OF_UNIT = {"m3 s-1": "flow", "m s-1": "speed", "m-1 kg s-2": "pressure", "m2 kg s-3": "power", "m2": "area", "m3": "volume"}


def number(v, decimals):
    t = f"{v:.{decimals}f}"
    if "." in t:
        t = t.rstrip("0").rstrip(".")
    return "0" if t == "-0" else t


def nearest(x, steps):
    """The multiple of 1/steps nearest to it, halves away from nothing."""
    n = math.floor(abs(x) * steps + Fraction(1, 2))
    return Fraction(-n if x < 0 else n, steps)


class Shown:
    def __init__(self, inch):
        self.inch = inch

    def length(self, mm, decimals=3):
        """Without its unit; of a {"exact": …} too."""
        mm = Fraction(mm["exact"]) if isinstance(mm, dict) else Fraction(mm)
        if not self.inch:
            return number(float(nearest(mm, 10 ** decimals)), decimals)
        near = nearest(mm / INCH, 64)
        about = "" if near * INCH == mm else "~"
        whole, rest = divmod(abs(near), 1)
        text = f"{whole} {rest}" if whole and rest else f"{rest}" if rest else f"{whole}"
        return about + ("-" if near < 0 else "") + text

    def place(self, mm):
        return self.length(mm, 1)

    def overall(self, mm):
        mm = Fraction(mm["exact"])
        return self.length(nearest(mm / INCH, 16) * INCH if self.inch else nearest(mm, 1))

    def si(self, what, v):
        if v is None:
            return "–"
        i = int(self.inch)
        for unit, size, decimals, least in READINGS[what]:
            if v != 0 and abs(v) < least[i] * (1 - 1e-12):
                continue
            shown = (v - {"temperature": (273.15, 459.67 * 5 / 9)}.get(what, (0, 0))[i]) / size[i]
            places = decimals[i]
            while 0 < abs(shown) < 100 and places < 6 and abs(shown) * 10 ** places < 99.5:
                places += 1
            return f"{number(shown, places)} {unit[i]}"
        return "?"

    def mass(self, kg):
        v = kg / (0.45359237 if self.inch else 1)
        return f"{number(v, 2 if abs(v) < 9.995 else 1 if abs(v) < 99.95 else 0)} {'lb' if self.inch else 'kg'}"


def hours(minutes):
    whole, rest = divmod(math.floor(minutes + 0.5), 60)
    if whole >= 48 and whole % 24 == 0 and rest == 0:
        return f"{whole // 24} days"
    return f"{rest} min" if whole == 0 else f"{whole} h" + (f" {rest} min" if rest else "")


def about(minutes):
    step = 1 if minutes < 20 else 5 if minutes < 120 else 30 if minutes < 600 else 60
    return hours(math.ceil(minutes / step - 0.25) * step)


# ---- figures in a text ---------------------------------------------------------------------------------------------

NUMBER = re.compile(r"(?<![A-Za-z\d.,/])~?-?(?:\d+(?: \d+)?/\d+|\d+(?:\.\d+)?)(?![\d])")
LIST = re.compile(r"(pages?|steps?|sheets?|cuts?|p\.) +(?:\d+(?:,| and|–|;)? *)*$")
WORDS = re.compile(r"[^\s,;:()]+")
GONE = "\x01"  # stands where a text was that is known word for word


def numbers(text):
    return [m.group(0) for m in NUMBER.finditer(text)]


@functools.lru_cache(maxsize=None)
def pattern(text):
    """Finds that text, however its lines are broken and whether it begins a sentence."""
    parts = [re.sub(r"(\\-|/)(?=.)", r"\1\\s?", re.escape(w)) for w in text.split()]
    return re.compile(r"(?<![\w.,/])" + r"\s+".join(parts) + r"(?![\w]|[.,/]\d)", re.I)


def forms(text, m):
    """The ways to name the figure at a match of NUMBER."""
    n, before, after = m.group(0), text[max(0, m.start() - 60):m.start()], text[m.end():m.end() + 40]
    b = [w.replace(GONE, "") or "#" for w in WORDS.findall(re.sub(GONE + "+", GONE, before))[-2:]]
    a = [(w.replace(GONE, "") or "#").rstrip(".") or "." for w in WORDS.findall(re.sub(GONE + "+", GONE, after))[:2]]
    out = {"=" + n}
    if a:
        out |= {f"{n} {a[0]}", f"{n} {' '.join(a)}"}
    if b:
        out |= {f"{b[-1]} {n}", f"{' '.join(b)} {n}"}
        if a:
            out.add(f"{b[-1]} {n} {a[0]}")
    if before.endswith("(") and after.startswith(")"):
        out.add(f"({n})")
    if a and a[0] in ("mm", "in", "×", "x", "to", "and") or b and b[-1] in ("×", "x", "to", "⌀", "R") or before.endswith(("⌀", "R")):
        out.add("L:" + n)
    head = LIST.search(before)
    if head:
        out.add(f"{head.group(1).rstrip('s').replace('p.', 'page')} {n}")
    return out


@functools.lru_cache(maxsize=None)
def squeezed(text):
    return re.sub(r"\s+", "", text).lower()


@functools.lru_cache(maxsize=None)
def has_digit(text):
    return re.search(r"\d", text) is not None


class Block:
    """A piece of a page and what its figures can be: texts that stand there word for word, forms that are allowed, or a
    check of the whole (which then holds for what the texts leave over)."""

    def __init__(self, where, text, known=(), allow=(), check=None):
        self.where, self.text, self.allow, self.check = where, text, set(allow), check
        bare = squeezed(text)
        known = {k for k in known if k and has_digit(k) and squeezed(k) in bare}
        self.known = [pattern(k) for k in sorted(known, key=lambda k: (-len(k), k))]

    def left(self, text=None):
        """The figures of the text (the block's own, or another in its place) that nothing accounts for."""
        text = self.text if text is None else text
        for p in self.known:
            text = p.sub(lambda m: GONE * len(m.group(0)), text)
        found = list(NUMBER.finditer(text))
        if self.check and found:
            return [] if self.check(text) else [m.group(0) for m in found]
        return [m.group(0) for m in found if not forms(text, m) & self.allow]
