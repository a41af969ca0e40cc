"""The blocks of the book that lead the hand: drawings of the parts with their drilling tables, templates, steps, index.
What tests/book.py reads the book with; see there."""
import math
import re
from fractions import Fraction

import figures
from figures import about, hours, numbers


def book_pretty(name):
    import book
    return book.pretty(name)

# General tolerances for lengths up to so many mm: ISO 2768-1, class m (from memory).
MEDIUM = ((6, 0.1), (30, 0.2), (120, 0.3), (400, 0.5), (1000, 0.8), (2000, 1.2), (4000, 2))
AXES = {"left": (1, 2), "right": (1, 2), "front": (0, 2), "back": (0, 2), "bottom": (0, 1), "top": (0, 1)}


def expand(text):
    """The numbers of "4–7, 24–27"."""
    out = []
    for a, b in re.findall(r"(\d+)(?:–(\d+))?", text):
        out += range(int(a), int(b or a) + 1)
    return out


class Work:
    # ---- drawings --------------------------------------------------------------------------------------------------

    def drawings(self, name, items):
        for n, mine in self.drawing_items.items():
            parts = self.alike(n) if n else []
            if parts:
                yield from self.drawing(f"drawing of {self.item[n]}", n, parts, mine)
            else:
                yield from self.tolerances(name, mine)

    def tolerances(self, name, items):
        yield self.block(name, self.book_text(items), [*self.labels, *(self.tolerance(m, by) for m, by in MEDIUM)])

    def tolerance(self, most, by):
        return f"to {most / 25.4:.1f} ±{by / 25.4:.3f}" if self.inch else f"to {most} ±{by}"

    @staticmethod
    def book_text(items):
        return re.sub(r" {2,}", " ", " ".join(t.text for t in items))

    def drawing(self, where, n, parts, items):
        p = parts[0]
        holes = self.holes_of(p["name"])
        views, rest, table = self.views(items)
        for face, caption, mine in views:
            yield from self.view(f"{where}, {face} face", p, face, mine, holes)
            yield self.block(where, caption.text, check=lambda x: re.search(r" 1:(1|2|2\.5|3|4|5|6|8|10|12|15|20|25|50|100)\b", x) is not None)
        text = self.book_text(rest)
        allow = self.lengths(*p["blank"]["size"]) | {f"{len(parts)} piece", f"{len(parts)} pieces", self.s.mass(p["mass_kg"]), f"={n}"}
        steps, off = self.limits(p)
        allow |= off | {f"part {k}" for k in self.item}
        plain = {"=" + f(v) for v in p["blank"]["size"] for f in (self.s.length, self.s.place)} if not holes else set()
        for o in self.plan["openings"]:
            for x in o["sheets"]:
                if x["part"] == p["name"] and self.options_of(o["name"], x) and f"{book_pretty(o['name'])} may measure" in text:
                    allow |= self.within(self.limits_of(x)) | {"L:" + self.near(abs(v)) for row in self.options_of(o["name"], x).values() for v in row}
        yield self.block(where, text, [*self.labels, self.item[n], *steps], allow | plain | ({"=0"} if plain else set()))
        yield from self.table(where, p, n, table, holes)

    @staticmethod
    def views(items):
        """The faces that are drawn: (face, its caption, the texts of the drawing); the part's other texts; its table."""
        views, view, rest, table = [], [], [], []
        for t in items:
            m = re.match(r"(\w+) face, 1:[\d.]+", t.text)
            if m and t.bold and abs(t.cap - 2) < 0.1:
                views.append((m[1].lower(), t, view))
                view = []
            elif t.bold and t.text == "Up from the datum" or table:
                table.append(t)
            else:
                drawn = abs(t.cap - 2.01) < 0.05 or abs(t.cap - 2.5) < 0.05
                told = re.match(r"Datum 0:|\d+ pieces?$|.* × .* × |Not part of", t.text)
                (view if drawn and not told else rest).append(t)
        return views, rest + view, table

    @staticmethod
    def told(items):
        """A drawing's figures: over all, right of the datum, up from it, numbers of holes; and its words."""
        figs = [t for t in items if re.fullmatch(r"~?[\d./ ]+", t.text)]
        level = [t for t in figs[2:] if not t.turned]
        last = next((i for i, t in enumerate(level) if t.text == "0"), -1) + 1
        return figs[:2], [t for t in figs[2:] if t.turned], level[:last], level[last:], [t for t in items if t not in figs]

    def limits(self, p):
        """± of the outline for the sizes of this part, and of a part that is only sawn the whole steps."""
        rows = [next((r for r in MEDIUM if v["mm"] <= r[0]), None) for v in p["blank"]["size"]]
        return [self.tolerance(*r) for r in rows if r], {"± " + self.tolerance(*r).split("±")[1] for r in rows if r}

    def view(self, where, p, face, items, holes):
        """Sizes over all, ordinates to the right, ordinates upwards, numbers of holes, then words."""
        u, v = AXES[face]
        size = [Fraction(p["blank"]["size"][k]["exact"]) for k in (u, v)]
        mine = [h for h in holes if h["face"] == face]
        want = [self.ordinates(mine, size[0], 0), self.ordinates(mine, size[1], 1)]
        over_all, right, up, labels, words = self.told(items)
        yield self.block(where + ", over all", "   ".join(t.text for t in over_all),
                         check=lambda x, w=[self.s.length(size[0]), self.s.length(size[1])]: numbers(x) == w)
        for which, found, w, full in (("right", right, want[0], size[0]), ("up", up[::-1], want[1], size[1])):
            short = ["0", self.s.place(full)]
            yield self.block(f"{where}, {which} of the datum", "   ".join(t.text for t in found),
                             check=lambda x, w=w, s=short: numbers(x) in (w, s))
        if labels:
            edges = [int(h["no."]) for h in holes if h["face"] != face]
            broad = [int(h["no."]) for h in mine]
            yield self.block(where + ", numbers of holes", "   ".join(t.text for t in labels),
                             check=lambda x: self.in_order([int(k) for k in numbers(x)], edges, broad))
        for t in words:
            allow = {f"{len(want[0]) - 1} places", f"{len(want[1]) - 1} places"}
            for o in self.plan["openings"]:
                for e in o.get("eases", []):
                    allow |= {f"round-over {self.s.length(e['size'])}", f"chamfer {self.s.length(e['size'])}"} if e["part"] == p["name"] else set()
            yield self.block(where, t.text, self.labels, allow)

    @staticmethod
    def in_order(found, edges, broad):
        """Some of the edges' numbers in their order, then some of the face's in theirs, none twice."""
        k = next((i for i, n in enumerate(found) if n in broad), len(found))
        first, second = found[:k], found[k:]
        return (len(set(found)) == len(found) and set(first) <= set(edges) and set(second) <= set(broad)
                and second == sorted(second, key=broad.index))

    def ordinates(self, holes, full, k):
        """Distinct places as they are printed: middles of holes, both edges of cuts, the far edge, the datum."""
        at = {Fraction(0), full}
        for h in holes:
            c = Fraction(h[("right exact (mm)", "up exact (mm)")[k]])
            half = Fraction(h[("broad exact (mm)", "high exact (mm)")[k]]) / 2
            if h["kind"].startswith("corner"):
                continue
            if h["kind"].split(",")[0] in ("dado", "rabbet", "groove", "halving", "notch", "shoulder"):
                at |= {x for x in (c - half, c + half) if 0 < x < full}
            else:
                at.add(c)
        out = []
        for x in sorted(at):
            text = self.s.place(x)
            if not out or out[-1] != text:
                out.append(text)
        return out

    def table(self, where, p, n, items, holes):
        """Heads that tell what a face's holes are; rows of heights, places and numbers, held against drill.csv."""
        lines = []
        for t in items:
            new = not lines or t.page != lines[-1][-1].page or t.bold != lines[-1][-1].bold or t.x < lines[-1][-1].x - 1 or (
                t.bold and abs(t.x - lines[-1][-1].x) < 0.3 and t.y - lines[-1][-1].y > 4.6)
            lines.append([]) if new else None
            lines[-1].append(t)
        face, kind = None, None
        for row in lines:
            text = re.sub(r" {2,}", " ", " ".join(t.text for t in row)) if row[0].bold else "   ".join(
                " ".join(t.text for t in row if abs(t.x - x) < 0.3) for x in sorted({round(t.x, 1) for t in row}))
            m = re.match(r"(\w+) face: (\d+) ([\w ]+?)s?, ", text)
            if row[0].bold and m:
                face, kind = m[1].lower(), m[3]
                yield self.work_head(f"{where}, {face} face", p, face, text, holes)
            elif not row[0].bold and face and len({round(t.x, 1) for t in row}) == 3:
                yield self.block(f"{where}, {face} face, table", text, check=lambda x, f=face: self.hole_row(x, f, holes))
            else:
                yield self.block(where, text, [*self.labels, self.item[n]], {f"={n}"})

    def work_head(self, where, p, face, text, holes):
        groups = {}
        for f in self.plan["features"]:
            if f["part"] == p["name"] and f["face"] == face:
                key = (f["kind"], f["pattern"], f["shape"]["kind"], f["shape"]["a"]["exact"], f["shape"].get("b", {}).get("exact"),
                       f["through"] or f["depth"]["exact"], f["sink"]["exact"])
                groups.setdefault(key, []).append(f)
        allow = set()
        for fs in groups.values():
            f = fs[0]
            word = {"clearance": "clearance", "pilot": "pilot"}.get(f["kind"], f["kind"])
            allow |= {f"{len(fs)} {w}{s}" for w in (word, "opening", "shoulder", "dado", "groove", "rabbet", "halving", "notch") for s in ("", "s", "es")
                      if w == word or f["kind"] not in ("clearance", "pilot")}
            allow |= self.shape(f["shape"]) | (set() if f["through"] else self.lengths(f["depth"])) | self.lengths(f["sink"])
            allow |= {f"slot {self.s.length(f['shape']['a'])}"} if f["shape"]["kind"] == "slot" else set()
        return self.block(where, text, [], allow)

    def hole_row(self, text, face, holes):
        cells = text.split("   ")
        if len(cells) != 3:
            return False
        ups, rights = ([x.strip() for x in c.split(";")] for c in cells[:2])
        nos = expand(cells[2])
        at = {int(h["no."]): h for h in holes if h["face"] == face and not h["kind"].startswith("corner")}
        if len(nos) != len(ups) * len(rights):
            return False
        for i, no in enumerate(nos):
            h = at.get(no)
            if h is None or self.s.place(Fraction(h["up exact (mm)"])) != ups[i // len(rights)] or \
                    self.s.place(Fraction(h["right exact (mm)"])) != rights[i % len(rights)]:
                return False
        return True

    # ---- templates -------------------------------------------------------------------------------------------------

    def templates(self, name, items):
        import book
        for row in book.rows(items):
            text, allow = book.joined(row), set()
            m = re.fullmatch(r"(\d)\.", row[0].text)
            t = next((t for t in self.plan["templates"] if book.pretty(t["name"]) == row[0].text), None)
            if t:
                tool = self.tool(t["tool"])
                allow = self.trial(t) if " - " in text else self.within(self.trial_limits(t)) | self.shape(t["shape"]) | self.shape(
                    t["template_opening"]) | self.lengths(tool.get("measured") or tool["diameter"], tool["bush"])
            elif m:
                allow = {f"={m[1]}"} if int(m[1]) <= 3 else set()
            else:
                allow = self.setting(row[0].text)
            yield self.block(name, text, self.labels, allow)

    def fine(self, *values):
        """Lengths without a unit that are made to tenths: of inches a 64th or a decimal."""
        out = set()
        for v in values:
            v = abs(Fraction(v["exact"]) if isinstance(v, dict) else v)
            t = self.s.place(v)
            t = figures.number(float(v / figures.INCH), 4) if t.startswith("~") else t
            out |= {"=" + t, "L:" + t, "L:" + self.s.length(v)}
        return out

    def setting(self, first):
        """What templates are set by, a row for each run of a sheet, and what their holes meet, line by line."""
        import book
        out = set()
        for t in self.plan["templates"]:
            if first.startswith(book.pretty(t["name"]) + ", "):
                return self.fine(*t["size"])
            for u in t["serves"]:
                own, mine = first.startswith(f"{u['pattern']} in {u['part']}, "), set()
                for i, r in enumerate(u["set_by"]):
                    base = t["serves"][0]["set_by"]
                    by = [Fraction(r["block"][k]["exact"]) - Fraction(base[i]["block"][k]["exact"]) for k in (0, 1)] \
                        if i < len(base) else []
                    row = self.fine(*r["block"], *r["step"], *by) | {f"={n}" for n in r["times"]}
                    mine |= row
                if own:
                    return mine
                out |= self.fixings(t, u)
        return out

    def fixings(self, t, use):
        holds = [sum(k in ("opening", "screw hole", "beyond the edge") for k in p["holes_meet"]) for p in use["places"]]
        out = {f"={n}" for n in (len(holds), min(holds, default=0), len(t["fixing_holes"]), sum(n < 2 for n in holds))}
        if len(holds) != 1:
            return out
        for i, hole in enumerate(t["fixing_holes"]):
            x, y = (Fraction(v["exact"]) for v in hole)
            x = -x if use["turned_over"] else x
            for _ in range(use["turned_deg"] // 90):
                x, y = -y, x
            at = [Fraction(v["exact"]) for v in use["places"][0]["at"]]
            out |= self.fine(at[0] + x, at[1] + y) | {f"={i + 1}"}
        return out

    # ---- steps -------------------------------------------------------------------------------------------------------

    def building(self, name, items):
        for n, mine in self.step_items.items():
            if n is None:
                w = self.steps
                both = [s["minutes"] for s in w["steps"] if s["helpers"]]
                spans = [sum(both), *(w[k] for k in ("two_people_minutes", "critical_path_minutes", "hands_on_minutes", "elapsed_minutes"))]
                yield self.block(name, self.book_text(mine), (
                    f"{len(w['steps'])} steps", f"in {len(both)} steps", *("about " + about(v) for v in spans)))
            elif n <= len(self.steps["steps"]):
                yield from self.step(f"step {n}", n, self.steps["steps"][n - 1], mine)

    def step(self, where, n, s, items):
        import book
        ops = [o for o in self.steps["operations"] if o["step"] == n]
        handled = {p for o in ops for p in o["parts"]} | set(s["new_parts"])
        nos = {self.number[p] for p in handled if p in self.number}
        joints = [j for j in self.plan["joints"] if any(o["joint"] == j["name"] for o in ops) or (
            any(o["kind"] == "groove" for o in ops) and {j["a"], j["b"]} & handled)]
        known = [s["title"], s["note"], *(f"{name} ({k})" for k, name in self.item.items()), *(p.replace("_", " ").replace(".", " ") for p in handled), *s["reasons"], *self.labels, *(o["name"] for o in self.plan["openings"])]
        known += [o["name"].replace("_", " ").replace(".", " ") for o in self.plan["openings"]]
        balloons = [t for t in items if book.digits(t) and abs(t.cap - 2.5) < 0.1]
        rest = [t for t in items if t not in balloons]
        if balloons:
            shown = nos | {self.number[p] for j in joints for p in (j["a"], j["b"])}
            yield self.block(where + ", balloons", "   ".join(t.text for t in balloons), check=lambda x: self.some_of(x, shown))
        head, facts = rest[0], []
        yield self.block(where, head.text, check=lambda x: numbers(x) == [str(n)])
        title = [t for t in rest[1:] if t.bold and t.cap > 3.2]
        yield self.block(where, self.book_text(title), known)
        rest = [t for t in rest if t not in title]
        small = [t for t in rest[1:] if t.cap < 2.3 and abs(t.cap - 2.1) > 0.05]
        close = [t for i, t in enumerate(small) if book.digits(t) and not (
            i + 1 < len(small) and small[i + 1].text in self.item.get(int(t.text), "") or any(small[i + 1:i + 2]) and re.match(
                re.escape(self.item.get(int(t.text), "?")), small[i + 1].text))]
        if close:
            shown = {self.number[p] for j in self.plan["joints"] for p in (j["a"], j["b"]) if {j["a"], j["b"]} & handled and p in self.number}
            yield self.block(where + ", close up", "   ".join(t.text for t in close), check=lambda x: {int(k) for k in numbers(x)} <= shown)
        yield from self.facts(where, n, s, [t for t in small if t not in close], known, handled, joints)
        for row in book.rows([t for t in rest[1:] if t.cap >= 2.3 or abs(t.cap - 2.1) <= 0.05]):
            text = book.joined(row)
            for sentence in self.sentences(row, text):
                yield self.block(where, sentence, known + sorted(self.idle(n)), self.of_sentence(sentence, n, s, ops, joints, handled))

    @staticmethod
    def sentences(row, text):
        """A numbered line is one; a paragraph's sentences are told apart."""
        if re.fullmatch(r"\d+\.|•", row[0].text):
            return [text]
        return re.split(r"(?<=[.:])\s+(?=[A-Z])", text)

    def facts(self, where, n, s, items, known, handled, joints):
        import book
        allow = {"about " + about(s["minutes"]), f"{s['helpers']} helper", f"{s['helpers']} helpers", self.s.mass(s["lift_kg"])}
        times = {about(s["minutes"])} | ({hours(s["wait_minutes"])} if s["wait_minutes"] else set())
        allow |= self.of_screws(joints)
        known = known + [f"1:{k}, seen" for k in ("1", "2", "2.5", "5", "10")]
        for row in book.rows(items):
            text = book.joined(row)
            m = next((m for m in (re.fullmatch(r"(\d+)", t.text.strip()) for t in row) if m), None)
            if re.match(r"(about|then wait) ", text):
                yield self.block(where + ", time", text, times)
                continue
            mine = allow | {"L:" + self.s.length(e["size"]) for o in self.plan["openings"] for e in o.get("eases", [])}
            if m and int(m[1]) in self.item:
                alike = [p for p in self.alike(int(m[1])) if p["name"] in handled]
                if alike:
                    mine |= self.lengths(*alike[0]["blank"]["size"]) | {f"× {len(alike)}", f"={m[1]}"}
            m = re.search(r"and (\d+) more", text)
            if m:
                kinds = {self.number[p] for p in handled if p in self.number}
                mine |= {f"and {len(kinds) - k} more" for k in (2, 6)}
            yield self.block(where + ", facts", text, [*known, *(self.item.values())], mine)

    def held(self, text, n, ops, named):
        """What is propped, laid over, or done while it dries."""
        every, out = self.steps["operations"], set()
        stood = {p for o in every if o["step"] <= n and o["kind"] == "join" for p in o["parts"]}
        if re.search("(prop|pack) it", text):  # as high as its underside lies above the sheet that is named, or the ground
            ground = min(Fraction(self.parts[p]["box"]["low"][2]["exact"]) for p in stood)
            for p in named:
                low = Fraction(self.parts[p]["box"]["low"][2]["exact"])
                if "from the ground" in text:
                    out |= self.lengths(low - ground)
                for q in set(self.named(text.split("up from")[-1])) & stood - {p}:
                    out |= self.lengths(low - Fraction(self.parts[q]["box"]["high"][2]["exact"]))
            out |= {f"step {o['step']}" for o in every if o["step"] > n and o["kind"] == "join" and set(o["parts"]) & set(named)}
        if "It weighs" in text:
            out |= {self.s.mass(sum(self.parts[p]["mass_kg"] for p in stood))}
        if "While it dries" in text:
            dry = {o["number"] for o in ops if o["wait_minutes"] > 0}
            at = {o["number"]: o["step"] for o in every}
            first = min((at[e["after"]] for e in self.steps["edges"] if e["before"] in dry and at[e["after"]] > n), default=0)
            out |= {f"step {first}", f"step {n + 1}", f"steps {n + 1} to {first - 1}", f"to {first - 1}"}
        return out

    def idle(self, n):
        """What nothing fills of a wait: the wait less the work done in it; and less all that any order could put there."""
        every = self.steps["operations"]
        at = {o["number"]: o["step"] for o in every}
        dry = {o["number"] for o in every if o["step"] == n and o["wait_minutes"] > 0}
        first = min((at[e["after"]] for e in self.steps["edges"] if e["before"] in dry and at[e["after"]] > n), default=0)

        def reached(begin, a, b):
            seen, left = {begin}, [begin]
            while left:
                at = left.pop()
                more = {e[b] for e in self.steps["edges"] if e[a] == at} - seen
                seen |= more
                left += more
            return seen
        out = set()
        for o in every:
            if o["number"] not in dry:
                continue
            between = sum(x["minutes"] for x in every if o["number"] < x["number"] and x["step"] < first)
            held = reached(o["number"], "before", "after") | reached(o["number"], "after", "before")
            free = sum(x["minutes"] for x in every if x["number"] not in held)
            out |= {"about " + about(o["wait_minutes"] - between), "than " + about(o["wait_minutes"] - free)}
        return out

    def of_sentence(self, text, n, s, ops, joints, handled):
        """What a sentence of a step can say: of the parts that it names, and of the step."""
        named = [p for p in self.named(text) if p in handled or f"({self.number[p]})" in text] or sorted(handled)
        out = {self.page(chapter) for word, chapter in (("shopping", "Shopping list"), ("thickness", "Measure your sheets"), ("differ", "Measure your sheets"),
                                                        ("commissioning", "Commissioning sheet"), ("template", "Templates")) if word in text}
        told_of = set(self.named(text))
        m = re.match(r"(\d+)\.", text)
        out |= {f"={m[1]}"} if m and 0 < int(m[1]) < 60 else set()
        out |= self.earlier(text, s)
        out |= self.held(text, n, ops, named)
        for p in named:
            out |= self.of_part(p)
            k = self.number.get(p)
            out |= {f"page {self.drawn[k]}"} if k in self.drawn else set()
        for j in self.plan["joints"]:
            if j in joints and {j["a"], j["b"]} & set(named) or {j["a"], j["b"]} <= set(named):
                out |= self.of_joint(j)
        for p in named if "into" in text else ():  # screws through one part into several
            mine = [j["screws"] for j in joints if j["b"] == p and j["a"] in told_of]
            out |= {f"{sum(mine)} screws", *(f"{k} into" for k in mine)}
        if "close up" in text:
            out |= {f"step {k}" for k, its in self.step_items.items() if k and k < n and re.search(r"1:[\d.]+,\s+seen", " ".join(t.text for t in its))}
        for o in self.plan["openings"]:
            if any(x["pattern"] == o["name"] for x in ops):
                out |= self.of_pattern(o) | self.trial_said(text, o, named)
        counts = {k: sum(self.number.get(p) == k for p in named) for k in self.item}
        out |= {f for c in counts.values() if c > 1 for f in (f"× {c}", f"this {c} times")}
        told = self.named(text)
        for a in told if len(told) < 8 else ():
            for k in range(3):
                for b in told:
                    x, y = self.parts[a]["box"], self.parts[b]["box"]
                    out |= self.lengths(*(abs(Fraction(x[e][k]["exact"]) - Fraction(y[e][k]["exact"])) for e in ("low", "high")))
                    out |= self.lengths(max(Fraction(q["high"][k]["exact"]) for q in (x, y)) - min(Fraction(q["low"][k]["exact"]) for q in (x, y)))
        if any(o["kind"] == "cut" for o in ops):
            out |= self.cut_pages(handled)
        m = re.search(r"\(([\d ./~]+) (?:mm|in) x ([\d ./~]+) (?:mm|in)\)", text)
        if m and "diagonal" in text:
            out |= self.diagonals(*m.groups())
        if "Why now" in text:  # the last step that this one waits for, the first that waits for it
            at = {o["number"]: o["step"] for o in self.steps["operations"]}
            ends = [(at[e["before"]], at[e["after"]]) for e in self.steps["edges"]]
            known = [a for a, z in ends if z == n and a != n], [z for a, z in ends if a == n and z != n]
            out |= {f"step {pick(k)}" for pick, k in zip((max, min), known) if k}
        if "of the glue" in text or "at a time" in text:
            out |= self.glued(ops)
        if "Later held by" in text:
            out |= {f"step {o['step']}" for o in self.steps["operations"]
                    if o["step"] > n and any(self.touch(p, q) for p in o["parts"] for q in handled)}
        if "edge" in text:
            out |= self.from_edges(named)
        return out | self.checked(text, n, s, ops, handled)

    def glued(self, ops):
        """Open time, and how many of the step's joints it is enough for: those that take longest first."""
        mine = [j for o in ops for j in self.plan["joints"] if o["joint"] == j["name"] and o["kind"] == "join"]
        mine = [j for j in mine if j["glue"] and self.stock.get(j["glue_stock"], {}).get("open_s")]
        opens = min(self.stock[j["glue_stock"]]["open_s"] / 60 for j in mine) if mine else 0
        left, n = opens, 0
        for t in sorted((2 + max(float(v["mm"]) for v in j["contact"]["size"]) / 1000 for j in mine), reverse=True):
            left -= t
            n += left >= -1e-9
        return {f"{opens:.0f} min", f"most {max(n, 1)} joint", f"most {max(n, 1)} joints"}

    def touch(self, a, b):
        """Do two boxes share a face's area?"""
        over = [min(x["high"][k]["mm"], y["high"][k]["mm"]) - max(x["low"][k]["mm"], y["low"][k]["mm"])
                for x, y in ((self.parts[a]["box"], self.parts[b]["box"]),) for k in range(3)]
        return min(over) > -1e-6 and sum(v > 1e-6 for v in over) == 2

    def from_edges(self, named):
        """Middles of openings, from the edges of the part as built."""
        out = set()
        for f in self.plan["features"]:
            if f["part"] in named and f["pattern"]:
                box = self.parts[f["part"]]["box"]
                for k in AXES[f["face"]]:
                    c, low, high = (Fraction(v[k]["exact"]) for v in (f["centre"], box["low"], box["high"]))
                    out |= self.lengths(c - low, high - c)
        return out

    def diagonals(self, a, b):
        """Of a rectangle whose sides are printed; where they are rounded to 1/64 in, within that."""
        sides = [sum(Fraction(v) for v in x.strip("~").split()) * (figures.INCH if self.inch else 1) for x in (a, b)]
        off = [-1, 0, 1] if "~" in a + b else [0]
        return self.lengths(*(Fraction(math.hypot(*sides)).limit_denominator(10 ** 7) + k * figures.INCH / 64 for k in off))

    def of_screws(self, joints):
        """How deep a joint is, and how far its screws lie from the faces of the part that they hold."""
        out = self.lengths(*(j["depth"] for j in joints))
        for f in self.plan["features"]:
            j = self.plan["joints"][f["joint"]] if f["joint"] is not None else None
            if j in joints and f["kind"] in ("pilot", "clearance"):
                for box in (self.parts[p]["box"] for p in (j["a"], j["b"])):
                    for c, low, high in zip(f["centre"], box["low"], box["high"]):
                        c = Fraction(c["exact"])
                        out |= self.lengths(c - Fraction(low["exact"]), Fraction(high["exact"]) - c)
        return out

    def earlier(self, text, s):
        """"In full: step 3": where a caution of that kind came first; what lifting asks."""
        out = {self.s.mass(s["lift_kg"]), f"{s['helpers']} more"}
        kinds = {}
        for x in self.steps["steps"]:
            for word in re.findall(r"(?:^|(?<=\. ))([A-Z][\w ]+)(?=:)", x["caution"] or ""):
                kinds.setdefault(word, x["number"])
        told = [word for word in re.findall(r"([A-Z][\w ]+)(?=:)", text) if word in kinds]
        told = told or re.findall(r"(?:^|(?<=\. ))([A-Z][\w ]+)(?=:)", s["caution"] or "") if "(in full" in text else told
        out |= {f"step {kinds[word]}" for word in told}
        return out

    def cut_pages(self, handled):
        out = set()
        for i, sheet in enumerate(self.cuts["sheets"]):
            if any(p["part"] in handled for p in sheet["pieces"]):
                out.add(f"page {self.sheet_page.get(i + 1)}")
        if any(p["part"] in handled for b in self.cuts["bars"] for p in b["pieces"]):
            out |= {f"page {self.sheet_page.get('bars')}"}
        return out

    def checked(self, text, n, s, ops, handled):
        """Figures of the checks that follow from the model by another way than the step's own words."""
        p, out = self.plan, set()
        for o in ops:
            if o["kind"] == "measure":
                for x in p["stock"]:
                    if x["kind"] == "sheet" and any(q["stock"] == x["name"] for q in p["parts"]):
                        out |= self.lengths(*self.thick(x))
            if o["kind"] == "drill":
                mine = [f for f in p["features"] if f["part"] in handled and f["kind"] in ("pilot", "clearance")]
                out |= {f"{len(mine)} holes", f"{sum(Fraction(f['sink']['exact']) > 0 for f in mine)} of"}
            if o["kind"] in ("try", "join", "fit"):
                glued = {j["a"] for j in p["joints"]} | {j["b"] for j in p["joints"]}
                for q in ({x for x in handled}, glued):
                    for k in range(3):
                        boxes = [self.parts[x]["box"] for x in q if x in self.parts]
                        if boxes:
                            out |= self.lengths(max(Fraction(b["high"][k]["exact"]) for b in boxes) - min(Fraction(b["low"][k]["exact"]) for b in boxes))
            for b in self.air["branches"] if o["kind"] == "filter" else ():
                if b["kind"] == "tubes" and o["pattern"] in (None, b["pattern"]):
                    out |= {f"{b['count']} filter"} | self.lengths(Fraction(str(round(b["length_m"] * 1000, 6))))
            if o["kind"] == "test":
                for c in self.solved:
                    out |= {self.s.si("pressure", x["gauge_pa"]) for x in c["spaces"]} if c["condition"] in ("clean", "dirty") else set()
        if s["check"]:
            written = next((w for w in p["work"]["written"] if w["name"] == s["title"]), None)
            if written and written["check"]:
                out |= {f for m in figures.NUMBER.finditer(written["check"]) for f in figures.forms(written["check"], m) if not f.startswith("=")}
        return out

    # ---- index -------------------------------------------------------------------------------------------------------

    def index(self, name, items):
        import book
        for row in book.rows(items):
            text = book.joined(row)
            part = next((p for p in self.parts if p == joined_name(row)), None)
            if part is None or part not in self.number:
                yield self.block(name, text, self.labels)
                continue
            n = self.number[part]
            want = [str(n)] + ([str(self.drawn[n])] if n in self.drawn else [])
            for s in self.steps["steps"]:
                if part in s["new_parts"] or any(part in o["parts"] for o in self.steps["operations"] if o["step"] == s["number"]):
                    want += [str(s["number"]), str(self.step_page[s["number"]])]
            yield self.block(f"{name}, {part}", text, [part], check=lambda x, w=want: numbers(x) == w)


def joined_name(row):
    return "".join(t.text for t in row if abs(t.x - row[0].x) < 0.3)
