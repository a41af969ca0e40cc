"""The build book, cut into blocks by what each stands for: the figures of a block can only be those of its own record.

    sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
    import book

Book(folder).blocks() reads book.pdf and gives figures.Block after figures.Block, each with what plan.json, cuts.json,
air.json, steps.json and drill.csv of the same folder say about that part, step, cut, branch, rule or space.
"""
import csv
import hashlib
import json
import math
import os
import re
from fractions import Fraction

import figures
import pages
from book_air import Air
from book_holes import Holes, mm
from book_work import Work, expand  # noqa: F401 (expand: for tests)
from figures import Block, about, number, numbers

# What stands in the book by itself: limits and methods of the authorities that are named beside them, and advice of the
# trade. (text, where it comes from)
PRINTED = [
    ("ANSI Z535.6", "a standard's number"), ("ISO 6983", "a standard's number"), ("ISO 2768-m", "a standard's number"),
    ("HSE (Great Britain) 3 mg/m³ over 8 hours, the European Union 2 mg/m³", "limits that are named with their authority"),
    ("over 8 hours, for comparison", "limits that are named with their authority"),
    ("15 mg/m³ total and 5 mg/m³ respirable", "limits that are named with their authority"),
    ("recommends 1 mg/m³", "limits that are named with their authority"),
    ("hardwood 3 mg/m³, softwood 5 mg/m³", "limits that are named with their authority"),
    ("rounded to 1/64", "how lengths in inches are rounded"), ("rounded to the nearest 1/64", "how lengths in inches are rounded"),
    ("rounded to 0.1 mm", "how places are rounded"),
    ("d diameter (4 area / edge)", "a formula of the key"), ("Datum 0", "the datum's name"),
    ("agree within 2 mm", "common practice"), ("held 40 cm away", "the lifting equation's case"),
    ("held 16 in away", "the lifting equation's case"), ("equation begins at 23 kg", "the lifting equation's constant"),
    ("equation begins at 50.7 lb", "the lifting equation's constant"), ("no more than 10 kg for one", "the lifting equation's answer"),
    ("no more than 22.1 lb for one", "the lifting equation's answer"),
]
CONDITION_WORDS = {"clean": "clean", "dirty": "due", "clean covered": "clean, covered", "dirty covered": "due, covered",
                   "clean with work": "clean, work laid on", "dirty with work": "due, work laid on"}
FACE_AXES = {"left": 0, "right": 0, "front": 1, "back": 1, "bottom": 2, "top": 2}
AXIS = {"width": 0, "depth": 1, "height": 2}


def pretty(name):
    name = name.replace("_", " ")
    return name[:1].upper() + name[1:]


def joined(items):
    """Text of items in their order: one blank inside a cell or paragraph, three between."""
    text, last = "", None
    for t in items:
        if last is not None:
            same = abs(t.x - last.x) < 0.3 and t.page == last.page and 0 < t.y - last.y < 6 and t.cap == last.cap
            text += " " if same else "   "
        text, last = text + t.text, t
    return text


def rows(items):
    """Cut where the text goes back to the left, at the number of a line, at a gap, and behind a bold line."""
    out = []
    for t in items:
        last = out[-1][-1] if out else None
        new = last is None or t.x < last.x - 1 or t.page != last.page or re.fullmatch(r"\d+\.|•", t.text)
        new = new or (abs(t.x - last.x) < 0.3 and t.y - last.y > 2.1 * t.cap)
        if new or (last.bold != t.bold and abs(last.y - t.y) > 0.3):
            out.append([])
        out[-1].append(t)
    return out


def digits(t):
    return t.text.strip().isdigit()


def mm(v):
    return Fraction(v["exact"]) if isinstance(v, dict) else v if isinstance(v, Fraction) else Fraction(repr(v))


class Book(Work, Holes, Air):
    def __init__(self, folder, plan_path, with_paths=False):
        def load(name):
            with open(os.path.join(folder, name), encoding="utf-8") as f:
                return json.load(f)

        self.plan, self.cuts, self.air, self.steps = (load(n + ".json") for n in ("plan", "cuts", "air", "steps"))
        with open(os.path.join(folder, "drill.csv"), encoding="utf-8", newline="") as f:
            self.holes = list(csv.DictReader(f))
        with open(plan_path, "rb") as f:
            self.sum = hashlib.md5(f.read()).hexdigest()
        self.texts, self.paths = pages.read(os.path.join(folder, "book.pdf"), with_paths)
        self.inch = "(in)" in next(iter(k for k in self.holes[0] if k.startswith("right ")))
        self.s = figures.Shown(self.inch)
        self.unit = "in" if self.inch else "mm"
        self.total = max(t.page for t in self.texts)
        self.parts = {p["name"]: p for p in self.plan["parts"]}
        self.stock = {s["name"]: s for s in self.plan["stock"]}
        self.labels = [x["label"] for k in ("stock", "tools") for x in self.plan[k] if x.get("label")]
        self.solved = [c for c in self.air.get("conditions", []) if c["solved"]]
        self.chapters()
        self.where_steps_are()

    # ---- where things are --------------------------------------------------------------------------------------

    def chapters(self):
        """Heads and feet apart; the rest by the large headings."""
        self.edges, self.chapter, self.page_of = [], {}, {}
        name = "Cover"
        for t in self.texts:
            if t.page > 1 and t.cap < 2.05 and (t.y < 15 or t.y > self.foot(t)):
                self.edges.append(t)
                continue
            if t.bold and abs(t.cap - 5) < 0.1:
                name = t.text
                self.page_of[name] = t.page
                continue
            self.chapter.setdefault(name, []).append(t)

    def foot(self, t):
        """Where the foot of the page begins: the lowest text of all but one page stands in it."""
        if not hasattr(self, "foot_y"):
            low = {}
            for x in self.texts:
                low[x.page] = max(low.get(x.page, 0), x.y)
            self.foot_y = sorted(low.values())[len(low) // 2] - 1
        return self.foot_y

    def where_steps_are(self):
        """Items of the parts list, pages of the parts' drawings and of the steps, texts by step."""
        self.item = {}  # number: name as printed
        for row in rows(self.chapter.get("Parts", [])):
            if digits(row[0]) and len(row) > 4:
                self.item[int(row[0].text)] = joined([t for t in row if abs(t.x - row[1].x) < 0.3])
        numbers_of = {name: n for n, name in self.item.items()}
        self.number = {}  # of each part of the plan
        for p in self.plan["parts"]:
            for name in (pretty(p["name"]), pretty(p["group"])):
                if name in numbers_of:
                    self.number.setdefault(p["name"], numbers_of[name])
        self.drawn, self.drawing_items, at = {}, {}, None
        for t in self.chapter.get("Drawings of the parts", []):
            if digits(t) and not t.turned and (t.bold and abs(t.cap - 2.6) < 0.1 or abs(t.cap - 2.2) < 0.05):
                at = int(t.text)
                self.drawn[at] = t.page
            self.drawing_items.setdefault(at, []).append(t)
        self.sheet_page = {}
        for t in self.chapter.get("Sheets and bars: what is cut where", []):
            m = re.match(r"(Sheet (\d+)|Bars$|Bar )", t.text)
            if m and t.bold:
                self.sheet_page.setdefault(int(m[2]) if m[2] else "bars", t.page)
        self.step_page, self.step_items, at = {}, {}, None
        for t in self.chapter.get("Building it, step by step", []):
            if t.bold and abs(t.cap - 7) < 0.1 and digits(t):
                at = int(t.text)
                self.step_page[at] = t.page
            self.step_items.setdefault(at, []).append(t)

    def page(self, chapter):
        return f"page {self.page_of.get(chapter, '?')}"

    # ---- figures of things -----------------------------------------------------------------------------------------

    def lengths(self, *values):
        """Forms for lengths, and for places rounded to a tenth of a millimetre."""
        return {"L:" + f(v) for v in values for f in (self.s.length, self.s.place)}

    def size(self, part):
        return [self.s.length(v) for v in part["blank"]["size"]]

    def shape(self, shape):
        return self.lengths(*(shape[k] for k in ("a", "b", "corner") if k in shape))

    def alike(self, n):
        """The parts of the plan that have this number."""
        return [self.parts[p] for p, k in self.number.items() if k == n]

    def holes_of(self, part):
        return [h for h in self.holes if h["part"] == part]

    def of_part(self, name):
        """All that a sentence about a part can say: its size, its holes and how many of each kind, its joints."""
        p = self.parts[name]
        stock = self.stock.get(p["stock"], {})
        out = self.lengths(*(v for v in stock.values() if isinstance(v, dict) and "exact" in v)) if p["kind"] == "item" else set()
        out |= {f"{p['hinges']} hinges", f"{p['hinges']} hinge"} if p.get("hinges") else set()
        out |= self.lengths(*p["blank"]["size"], *p["box"]["size"]) | {self.s.mass(p["mass_kg"])}
        flat = sorted((Fraction(v["exact"]) for v in p["blank"]["size"]), reverse=True)
        out |= self.lengths(Fraction(math.sqrt(flat[0] ** 2 + flat[1] ** 2)).limit_denominator(10 ** 6))
        kinds = {}
        for f in self.plan["features"]:
            if f["part"] != name:
                continue
            out |= self.shape(f["shape"]) | self.lengths(f["depth"], f["sink"])
            word = f["kind"] if f["kind"] in ("pilot", "clearance") else "opening"
            key = (word, f["shape"]["a"]["exact"], None if f["through"] else f["depth"]["exact"])
            kinds[key] = kinds.get(key, 0) + 1
        for (word, _, _), n in kinds.items():
            out |= {f"{n} {word}", f"{n} {word}s"}
        for o in self.plan["openings"]:
            for sheet in o["sheets"]:
                if sheet["part"] == name:
                    out |= self.of_pattern(o) | self.shape(sheet["shape"])
            for e in o.get("eases", []):
                if e["part"] == name:
                    out |= self.lengths(e["size"])
        return out

    def of_pattern(self, o):
        n = len(o["axes"])
        out = {f"{n} opening", f"{n} openings", f"{len(o['sheets'])} sheets", f"Seat {n}"}
        first, last = o["axes"][0], o["axes"][-1]
        flat = [k for k in range(3) if k != AXIS[o["through"]]]
        along = [Fraction(last[k]["exact"]) - Fraction(first[k]["exact"]) for k in flat]
        out |= self.lengths(Fraction(math.hypot(*along)).limit_denominator(10 ** 6))
        for t in self.plan["templates"]:
            if any(x["pattern"] == o["name"] for x in t["serves"]):
                out |= self.shape(t["shape"]) | self.shape(t["template_opening"]) | self.lengths(t["test_cut"])
        return out

    def of_joint(self, j):
        out = {f"{j['screws']} screws", f"{j['screws']} screw"} | self.lengths(j["depth"])
        for k in ("cut_in_b", "cut_in_a", "tongue"):
            if j.get(k):
                out |= self.lengths(*j[k]["size"])
        if j.get("cut_in_b"):
            out |= self.lengths(*(Fraction(v["exact"]) + Fraction(j["allowance"]["exact"]) for v in j["cut_in_b"]["size"]))
        for k in ("thick", "shoulder", "stopped_low", "stopped_high", "depth_a"):
            if isinstance(j.get(k), dict):
                out |= self.lengths(j[k])
        for g in self.plan["gaskets"]:
            if self.plan["joints"][g["joint"]] is j:
                out |= self.lengths(g["length"])
        return out

    def named(self, text):
        """Parts that a text names with their numbers in brackets, or by their names alone."""
        low = " ".join(text.lower().split())
        return [p for p, n in self.number.items()
                if re.search(rf"\b{re.escape(self.item[n].lower())}\b", low) or re.search(rf"\b{re.escape(p.replace('_', ' ').replace('.', ' '))}\b", low)]

    # ---- the blocks --------------------------------------------------------------------------------------------------

    def blocks(self):
        yield from self.heads()
        for name, items in self.chapter.items():
            yield from {"Cover": self.cover, "Contents": self.contents, "What you will have": self.what,
                        "Before you begin: cautions": self.cautions, "Tools": self.tools, "Shopping list": self.shopping,
                        "Measure your sheets": self.measure, "Parts": self.parts_list,
                        "Sheets and bars: what is cut where": self.sheets, "Drawings of the parts": self.drawings,
                        "Templates": self.templates, "Building it, step by step": self.building,
                        "The way of the air": self.way, "What the plan requires": self.requirements,
                        "Commissioning sheet": self.commissioning, "Care": self.care,
                        "Where the numbers come from": self.worked, "Index of parts": self.index}[name](name, items)

    def block(self, where, text, known=(), allow=(), check=None):
        return Block(where, text, [*known, *(p for p, _ in PRINTED), self.plan["plan"]["title"]], allow, check)

    def each_row(self, where, items, known=(), allow=()):
        for row in rows(items):
            yield self.block(where, joined(row), known, allow)

    def heads(self):
        for t in self.edges:
            yield self.block(f"edge of page {t.page}", t.text, [f"Edition {self.plan['plan']['edition']}"],
                             check=lambda x, p=t.page: numbers(x) == [str(p), str(self.total)])

    def whole(self):
        p, w = self.plan, self.plan["whole"]
        sheets, bars = len(p["layout"]["sheets"]), len(p["layout"]["bars"])
        used = sum(c["used"] for c in p["layout"]["counts"] if self.stock[c["stock"]]["kind"] == "sheet")
        made = sum(x["kind"] in ("panel", "strip", "slat") or "grain_axis" in x and x["kind"] not in ("item", "gap") for x in p["parts"])
        bought = sum(x["kind"] == "item" for x in p["parts"])
        out = {"L:" + self.s.overall(v) for v in w["bounds"]["size"]} | {"=" + self.s.overall(v) for v in w["bounds"]["size"]}
        out |= {self.s.mass(w["mass_kg"]), f"{sheets} sheets", f"{sheets} sheet", f"{used} sheets", f"{bars} bars", f"{bars} bar"}
        out |= {f"about {math.ceil(p['work']['hands_on_minutes'] / 60)} h", f"{p['plan']['currency']} {self.money(w['cost_cents'])}"}
        out |= {f"{made} to make", f"{bought} bought", f"{self.hours_text(p['work']['elapsed_minutes'])} h"}
        return out

    @staticmethod
    def money(cents):
        return f"{cents // 100}.{cents % 100:02}"

    @staticmethod
    def hours_text(minutes):
        return about(minutes).split(" ")[0]

    def flows(self):
        """What the fans move, clean and due."""
        fans = {f["branch"] for f in self.air.get("fans", [])}
        return {self.s.si("flow", sum(b["flow_m3_s"] for b in c["branches"] if b["branch"] in fans)) for c in self.solved
                if c["condition"] in ("clean", "dirty")}

    def cover(self, name, items):
        p = self.plan["plan"]
        for t in items:
            if t.y > self.foot_y - 6 and "of" in t.text:
                yield self.block(name, t.text, check=lambda x: numbers(x) == ["1", str(self.total)])
        items = [t for t in items if not (t.y > self.foot_y - 6 and "of" in t.text)]
        yield from self.each_row(name, items, [p["purpose"], f"Edition {p['edition']}"], self.whole() | self.flows())

    def contents(self, name, items):
        for row in rows(items):
            text = joined(row)
            want = self.page_of.get(row[0].text)
            if len(row) == 2 and want:
                yield self.block(name, row[1].text, check=lambda x, w=want: numbers(x) == [str(w)])
            else:
                yield self.block(name, text, [self.sum, self.plan["plan"]["slug"]])

    def what(self, name, items):
        p, a = self.plan, self.air
        allow = self.whole() | self.flows() | {self.page("What the plan requires")}
        n, held = len(p["requirements"]), sum(r["held"] for r in p["requirements"])
        allow |= {f"{n} requirements", f"{n} requirement", f"calculation {held} of", f"of {n}", f"by calculation {held}"}
        if a.get("given"):
            dirty = next(c for c in self.solved if c["condition"] == "dirty")
            allow |= {self.s.mass(a["dust_held_kg"])} if a["dust_held_kg"] else set()
            if a["hours_to_dirty"]:
                allow.add(f"{number(a['hours_to_dirty'], 1 if a['hours_to_dirty'] < 10 else 0)} h")
            if a["room_changes_per_h_dirty"]:
                allow.add(f"{number(a['room_changes_per_h_dirty'], 1)} times")
        known = [p["plan"]["purpose"], *p["plan"]["notes"], *(w["because"] for w in p["waivers"] + p["waived"] + p["tuned"]),
                 *(w["text"] for w in p["waived"]), *(h["what"] for h in p["plan"]["history"]),
                 *(h["edition"] for h in p["plan"]["history"])]
        for row in rows(items):
            text, names = joined(row), [x for x in p["names"] if x["help"] and " ".join(x["help"].split()) in joined(row)]
            mine = {x["value"]["shown"] for x in names} | {x[k]["shown"] for x in names for k in ("least", "most") if x.get(k)}
            m = re.search(r"Speed through (.*) \(over", text)
            if m:
                mine = {self.s.si("speed", abs(b["speed_m_s"])) for b in dirty["branches"] if b["branch"].replace("_", " ") == m[1]}
            yield self.block(name, text, [*known, *(x["help"] for x in names)], mine or allow)

    def cautions(self, name, items):
        lift = max(self.steps["steps"], key=lambda s: s["lift_kg"])
        allow = {self.s.mass(lift["lift_kg"]), f"step {lift['number']}", f"page {self.step_page.get(lift['number'])}",
                 self.s.mass(self.plan["whole"]["mass_kg"])} | self.flows()
        yield from self.each_row(name, items, self.air.get("cautions", []), allow)

    def tools(self, name, items):
        for row in rows(items):
            text, allow = joined(row), set()
            for t in self.plan["tools"]:
                if t.get("label") and figures.pattern(t["label"]).search(text):
                    allow |= self.lengths(*(t[k] for k in ("kerf", "diameter", "bush", "pass") if t.get(k)))
                    allow |= {x for k in ("measured", "measured_off") if t.get(k) for x in ("L:" + self.near(mm(t[k])), "± " + self.near(mm(t[k])))}
                    allow |= self.option_row(t)
            first = joined([t for t in row if abs(t.x - row[0].x) < 0.3])
            in_steps = [n for n, its in self.step_items.items() if n and figures.pattern(first).search(joined(its).replace("   ", " "))]
            last = row[-1].x
            if "may measure" in text:
                of = [(o, s) for o in self.plan["openings"] for s in o["sheets"]
                      if text.startswith(pretty(o["name"]) + " in ") and f"({self.number.get(s['part'])})" in text]
                allow |= {x for o, s in of for x in self.shape(s["shape"]) | self.within(self.limits_of(s)) | {f"({self.number[s['part']]})"}}
                yield self.block(name, text, self.labels, allow)
                continue
            if re.search(r"taken|would do|too (large|small) by", row[-1].text):
                yield self.block(name, text, self.labels, allow)
                continue
            yield self.block(name, joined([t for t in row if t.x < last]), [*self.labels, first], allow)
            cell = joined([t for t in row if t.x == last])
            yield self.block(name + ", steps of " + first, cell, self.labels,
                             check=lambda x, w=in_steps: [int(n) for n in numbers(x)] == w) if len(row) > 2 else self.block(name, cell, self.labels)

    def shopping(self, name, items):
        p = self.plan
        amounts = {}
        for x in p["shopping"]:
            amounts[x["what"] or ""] = x
        for row in rows(items):
            text, allow, known = joined(row), {self.s.si("area", 0)}, [*self.labels, *(s["source"] for s in p["stock"] if s.get("source"))]
            x = next((x for w, x in sorted(amounts.items(), key=lambda k: -len(k[0])) if figures.pattern(w).search(text)), None)
            if row[0].bold and "Together" in text:
                allow.add(f"{p['plan']['currency']} {self.money(p['whole']['cost_cents'])}")
            elif x and len(row) > 3 and (row[-1].text == "not priced" or row[-1].text.startswith(p["plan"]["currency"] + " ")):
                known += [x["reason"].replace("_", " "), x["what"]]
                pack = self.stock[x["stock"]].get("pack", 1) if x["stock"] else 1
                unit = {"m2": "m²"}.get(x["unit"], x["unit"])
                allow |= {f"{number(x['amount'], 2)} {unit}", f"{number(x['amount'], 2)} {unit}s", f"{p['plan']['currency']} {self.money(x['cents'])}"}
                if self.inch:
                    size = {"m": 0.3048, "l": 0.0295735, "ml": 29.5735}.get(x["unit"])
                    allow |= {f"{number(x['amount'] / size, 1)} {'ft' if x['unit'] == 'm' else 'fl'}"} if size else set()
                    allow |= {self.s.si("area", x["amount"])} if x["unit"] == "m2" else set()
                buy = row[-2]
                yield self.block(name + ", to buy", buy.text, check=lambda v, w=[str(x["packs"])] + ([str(pack)] if pack > 1 else []): numbers(v) == w)
                text = joined([t for t in row if t is not buy])
            else:
                for sentence in re.split(r"(?<=[.)])\s+(?=[A-Z\d])", text):
                    yield self.block(name, sentence, known, self.counted(sentence))
                continue
            yield self.block(name, text, known, allow)

    def counted(self, text):
        out = set()
        for c in self.plan["layout"]["counts"]:
            if figures.pattern(self.stock[c["stock"]]["label"]).search(text):
                out |= {f"{c['used']} {kind}{s}" for kind in ("sheet", "bar", "roll") for s in ("", "s")}
                out |= {f"={c[k]:.2f}" for k in ("amount", "lower_bound") if c["compared_by"] == "price"}
                out |= {f"{c['offcuts_used']} offcut{s}" for s in ("", "s")} | {
                        f"than {number(c['lower_bound'], 2)}", f"{c['offcuts_used']} of"}
        return out

    def measure(self, name, items):
        p = self.plan
        for row in rows(items):
            text, allow = joined(row), {f"corner {n}" for n in range(1, 5)}
            for j in p["joints"]:
                if pretty(j["name"]) == pretty(row[0].text) or pretty(j["name"]) == joined([t for t in row if t.x == row[0].x]):
                    s, add = self.stock[self.parts[j["a"]]["stock"]], Fraction(j["allowance"]["exact"])
                    want = [self.s.length(add)] + [self.s.length(v + add) for v in self.thick(s)]
                    yield self.block(f"{name}, {j['name']}", text, [j["name"].replace("_", " ").replace(".", " ")], check=lambda x, w=want: numbers(x) == w)
                    break
            else:
                m = re.match(r"(\d+)  (.*)", row[0].text)
                if m and int(m[1]) <= len(p["layout"]["sheets"]):
                    s = self.stock[p["layout"]["sheets"][int(m[1]) - 1]["stock"]]
                    low, mid, high = (self.s.length(v) for v in self.thick(s))
                    want = [m[1]] + ([mid] if low == high else [low, high])
                    yield self.block(f"{name}, sheet {m[1]}", text, self.labels, check=lambda x, w=want: numbers(x) == w)
                else:
                    yield self.block(name, text, self.labels, allow)

    @staticmethod
    def thick(s):
        t = Fraction(s["thick"]["exact"])
        return (t - Fraction(s["thick_minus"]["exact"]) if s.get("thick_minus") else t, t,
                t + Fraction(s["thick_plus"]["exact"]) if s.get("thick_plus") else t)

    def parts_list(self, name, items):
        """A row for each item; the balloons of the picture are some of the items, each once."""
        balloons, rest = [], []
        for t in items:
            picture = digits(t) and abs(t.cap - 2.5) < 0.1
            (balloons if picture else rest).append(t)
        seen = 0
        for row in rows(rest):
            text = joined(row)
            if not digits(row[0]) or len(row) < 5:
                yield self.block(name, text)
                continue
            seen += 1
            n = int(row[0].text)
            alike = self.alike(n) or [self.plan["parts"][0]]
            p = alike[0]
            order = self.along_grain(p)
            step = next((s["number"] for s in self.steps["steps"] if any(self.number.get(x) == n for x in s["new_parts"])), None)
            want = [str(seen), str(len(alike)), *order, self.s.mass(p["mass_kg"]).split(" ")[0]]
            want += [str(self.drawn[n])] if n in self.drawn else []
            want += [str(step)] if step else []
            same = all(self.along_grain(q) == order and q["stock"] == p["stock"] for q in alike)
            yield self.block(f"{name}, {self.item[n]}", text, [*self.labels, self.item[n]],
                             check=lambda x, w=want, ok=same: ok and numbers(x) == w)
        if balloons:
            yield self.block(name + ", balloons", "   ".join(t.text for t in balloons), check=lambda x: self.some_of(x, self.item))

    @staticmethod
    def some_of(text, them):
        found = [int(n) for n in numbers(text)]
        return len(set(found)) == len(found) and set(found) <= set(them)

    def along_grain(self, p):
        size = self.size(p)
        thick, long = AXIS[p["thick_axis"]], AXIS[p["long_axis"]]
        if p["kind"] == "item" or thick == long:
            return size
        first = AXIS[p["grain_axis"]] if p.get("grain_axis") else long
        first = long if first == thick else first
        return [size[first], size[3 - first - thick], size[thick]]

    # ---- sheets and bars -----------------------------------------------------------------------------------------------

    def sheets(self, name, items):
        n, bar, group = 0, 0, []
        for t in items:
            m = re.match(r"(Sheet|Bar) (\d+)", t.text)
            if t.bold and (m or t.text in ("Bars", "Rolls")) and abs(t.cap - 3.5) < 0.1:
                yield from self.sheet(name, n, bar, group)
                n, bar, group = (n + 1, 0, []) if m else (n, t.text, [])
            group.append(t)
        yield from self.sheet(name, n, bar, group)

    def sheet(self, name, n, bars, items):
        if bars:
            yield from self.bars(name, items) if bars == "Bars" else self.rolls(name, items)
            return
        if not n:
            yield from self.each_row(name, items, (), self.lengths(300))
            return
        s = self.cuts["sheets"][n - 1]
        count = next(c for c in self.cuts["counts"] if c["stock"] == s["stock"])
        where = f"sheet {n}"
        allow = {f"Sheet {n}", f"of {len(self.cuts['sheets'])}", f"{len(s['pieces'])} parts", f"{len(s['pieces'])} part",
                 f"{len(s['cuts'])} cuts", f"{s['settings']} saw", f"{s['settings']} settings", f"{number(s['used_share'] * 100, 0)} %",
                 f"{count['used']} sheets", f"{count['used']} sheet", f"than {number(count['lower_bound'], 2)}"}
        allow |= self.lengths(s["w"], s["h"], s["trim"], s["kerf"])
        allow |= self.lengths(*(Fraction(repr(x[k])) for x in s["pieces"] for k in ("w", "h")))
        drawn = {self.s.length(s[k]) for k in ("w", "h")}
        pieces = {(self.s.length(Fraction(repr(x["w"]))), self.s.length(Fraction(repr(x["h"])))) for x in s["pieces"] + s["offcuts"]}
        cuts = {str(c["number"]): c for c in s["cuts"]}
        table = next((i for i, t in enumerate(items) if t.bold and t.text == "Fence"), len(items))
        figs = [t for t in items[:table] if not re.search("[A-Za-z]", t.text)]
        marks = [t for t in figs if digits(t) and t.text in cuts and t.text not in drawn]
        for t in figs:
            if "×" in t.text:
                yield self.block(where + ", a piece", t.text, check=lambda x: tuple(numbers(x)) in pieces)
            elif t not in marks:
                yield self.block(where + ", its size", t.text, check=lambda x: x.strip() in drawn)
        if marks:
            yield self.block(where + ", numbers of the cuts", "   ".join(t.text for t in marks),
                             check=lambda x: self.some_of(x, map(int, cuts)))
        for row in rows([t for t in items[:table] if t not in figs]):
            yield self.block(where, joined(row), self.labels, allow)
        for row in rows(items[table:]):
            if digits(row[0]) and row[0].text in cuts:
                yield self.cut_row(where, s, cuts[row[0].text], row)
            else:
                yield self.block(where, joined(row), self.labels, allow)

    def cut_row(self, where, s, c, row):
        """The row's figures in their order: number, fence, the piece it comes from, and what becomes of both sides."""
        other = {k["number"]: k for k in s["cuts"]}
        want = [str(c["number"]), self.s.length(c["fence"])]
        want += [str(c["from_cut"])] if c["from_cut"] else []
        for side in ("at_fence", "beyond"):
            to = c[side] or {}
            if "cut" in to:
                k = other[to["cut"]]
                want += [str(to["cut"]), self.s.length(Fraction(repr(k["w"]))), self.s.length(Fraction(repr(k["h"])))]
            elif "offcut" in to:
                k = s["offcuts"][to["offcut"] - 1]
                want += [self.s.length(Fraction(repr(k["w"]))), self.s.length(Fraction(repr(k["h"])))]
        return self.block(f"{where}, cut {c['number']}", joined(row), [p.replace("_", " ") for p in self.parts] + list(self.parts),
                          check=lambda x, w=want: numbers(x) == w)

    def bars(self, name, items):
        for row in rows(items):
            text, allow = joined(row), set()
            m = re.search(r"Bars? (\d+)", text)
            self.bar_at = int(m[1]) if m else getattr(self, "bar_at", 1)
            every = self.cuts["bars"]
            known = [f"Bar {b['number']}: {', '.join(v['part'] for v in b['pieces'])}" for b in every]
            known += [f"Bars {a}–{b}" for a in range(1, len(every)) for b in range(a + 1, len(every) + 1) if self.same_bars(every[a - 1:b])]
            known += [v["part"] for b in every for v in b["pieces"]]
            if self.bar_at <= len(self.cuts["bars"]):
                b = self.cuts["bars"][self.bar_at - 1]
                allow = {f"Bar {self.bar_at}"} | {"L:" + self.s.length(b[k]) for k in ("length", "rest", "trim", "kerf")}
                allow |= {"=" + self.s.length(v["length"]) for v in b["pieces"]} | {"rest " + self.s.length(b["rest"])}
                allow |= {f"={n}" for n in range(1, len(b["pieces"]) + 1)} | self.counted(self.stock[b["stock"]]["label"])
            yield self.block(f"{name}, bar {self.bar_at}", text, [*self.labels, *known], allow)

    def rolls(self, name, items):
        """Lengths and breadths of the pieces of the roll that the words are under; of the counts only its own."""
        at = 1
        for row in rows(items):
            text = joined(row)
            m = re.search(r"^Rolls? (\d+)", text)
            at = int(m[1]) if m else at
            r, every = self.cuts["rolls"][at - 1], self.cuts["rolls"]
            named = [q["part"] for v in every for q in v["pieces"]] + [f"Rolls {a}–{b}" for a in range(1, len(every))
                                                                     for b in range(a + 1, len(every) + 1)]
            allow = {f"Roll {n}" for n in range(at, len(every) + 1)} | {f"={n}" for n in range(1, len(r["pieces"]) + 1)}
            allow |= {"=" + self.s.length(r["h"]), f"{number(float(mm(r['w'])) / (304.8 if self.inch else 1000), 2)} {'ft' if self.inch else 'm'}"}
            for q in r["pieces"]:
                beside = [v for v in r["pieces"] if v["x"] == q["x"]]
                over = mm(r["h"]) - sum(mm(v["h"]) for v in beside) - (len(beside) - 1) * mm(r["kerf"])
                allow |= {"=" + self.s.length(mm(v)) for v in (q["w"], q["h"], over)}
            allow |= {"=" + self.s.length(v) for v in (r["trim_edges"]["left"], *(mm(o["w"]) for o in r["offcuts"]))}
            allow |= self.counted(self.stock[r["stock"]]["label"])
            yield self.block(f"{name}, roll {at}", text, [*self.labels, *named], allow)

    @staticmethod
    def same_bars(them):
        return len({(b["stock"], *(v["length"]["exact"] for v in b["pieces"])) for b in them}) == 1
