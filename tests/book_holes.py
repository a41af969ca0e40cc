"""What openings may measure, how deep their passes go and what would cut them, worked out anew from the plan's stock, tools
and shapes: nothing is taken from what the model says of limits, passes, waste or options. What tests/book.py reads the
book with; see there."""
import math
from fractions import Fraction

import figures
from book_work import MEDIUM

PASS, BASE, BELOW = Fraction(127, 20), 150, 1  # of a tool that says none; how far a cut goes through, mm
ROUND = 30  # wood round a hole that is bored on trial


def mm(v):
    return None if v is None else Fraction(v["exact"])


def cuts(tool):
    return mm(tool.get("measured")) or mm(tool.get("diameter"))


def up(v, step):
    return math.ceil(v / step) * step


class Holes:
    def tool(self, name):
        return next(t for t in self.plan["tools"] if t["name"] == name)

    def limits_of(self, sheet):
        """[(least, most)] of the first size and, where there is one, of the second."""
        stock = self.stock.get(sheet.get("collar") or "")
        sizes = [mm(sheet["shape"][k]) for k in ("a", "b") if k in sheet["shape"]][:1 if sheet["shape"]["kind"] == "round" else 2]
        if stock and stock.get("outside") and sheet["shape"]["kind"] == "round":
            off = mm(stock.get("outside_off")) or 0
            tuned = next((mm(t["is"]) for t in self.plan.get("tuned", []) if t["limit"] == "collar-fit.loose"), Fraction(1))
            low, high = (mm(stock["fits_least"]), mm(stock["fits_most"])) if stock.get("fits_least") else (0, tuned)
            return [(mm(stock["outside"]) + off + low, mm(stock["outside"]) - off + high)]
        off = [next((Fraction(str(by)) for most, by in MEDIUM if s <= most), None) for s in sizes]
        return [(s - o, s + o) for s, o in zip(sizes, off)] if None not in off else []

    def caliper(self, v, most):
        """To 0.01 mm or 0.001 in, inside the limit."""
        step = Fraction(127, 5000) if self.inch else Fraction(1, 100)
        n = v / step
        n = math.floor(n) if most else math.ceil(n)
        return figures.number(float(n * step / (figures.INCH if self.inch else 1)), 4 if self.inch else 3)

    def near(self, v):
        step = Fraction(127, 5000) if self.inch else Fraction(1, 100)
        n = math.floor(v / step + Fraction(1, 2))
        return figures.number(float(n * step / (figures.INCH if self.inch else 1)), 4 if self.inch else 3)

    def within(self, limits):
        return {f for low, high in limits for a, b in [(self.caliper(low, False), self.caliper(high, True))]
                for f in (f"L:{a}", f"L:{b}", f"{a} to", f"to {b}")}

    def depths(self, values):
        return self.fine(*values) | {"=" + self.s.length(v) for v in values}

    def sheets_of(self, template):
        for u in template["serves"]:
            o = next(o for o in self.plan["openings"] if o["name"] == u["pattern"])
            yield u, next(s for s in o["sheets"] if s["part"] == u["part"])

    def trial_limits(self, t):
        own = self.limits_of({"shape": t["shape"]})
        seats = [self.limits_of(s)[0] for _, s in self.sheets_of(t) if s.get("collar") and s["shape"]["kind"] == "round"]
        return [(max(a for a, _ in seats), min(b for _, b in seats))] if seats else own

    def passes_of(self, use, sheet, tool):
        part, step = self.parts[use["part"]], Fraction(127, 160) if self.inch else Fraction(1, 10)
        thick = mm(sheet["blind_depth"]) if sheet.get("blind_depth") else self.thick_of(part)
        deep = thick if sheet.get("blind_depth") else up(thick + BELOW, step)
        each = mm(tool.get("pass")) or PASS
        return [each * i for i in range(1, math.ceil(thick / each))] + [deep]

    @staticmethod
    def thick_of(part):
        return min(mm(v) for v in part["box"]["size"])

    def waste_of(self, t, tool):
        """Wood below the template wherever the router's base runs."""
        step = Fraction(127, 10) if self.inch else Fraction(10)
        reach = max(Fraction(0), ((mm(tool.get("base")) or Fraction(BASE)) - mm(tool["bush"])) / 2)
        shape = t["template_opening"]
        wide = [mm(shape["a"]), mm(shape["b"]) if shape["kind"] != "round" else mm(shape["a"])]
        if shape["kind"] == "outline":
            return [mm(v) for v in t["waste"]]
        return [up(w + 2 * reach, step) for w in wide]

    def bored_waste(self, sheet):
        return up(mm(sheet["shape"]["a"]) + 2 * ROUND, Fraction(127, 10) if self.inch else Fraction(10))

    def trial(self, t):
        """A row of the table of test cuts."""
        tool = self.tool(t["tool"])
        out = self.lengths(*self.waste_of(t, tool)) | {"=" + self.s.length(v) for v in self.waste_of(t, tool)}
        for u, s in self.sheets_of(t):
            out |= self.depths(self.passes_of(u, s, tool))
        sizes = [mm(t["template_opening"][k]) for k in (("a",) if t["shape"]["kind"] == "round" else ("a", "b"))]
        bush, cutter = mm(tool["bush"]), cuts(tool)
        for wide in sizes:
            out |= self.fine(wide, bush, cutter, wide - bush + cutter)
        pairs = [((w - high) / 2, (w - low) / 2) for w, (low, high) in zip(sizes, self.trial_limits(t))]
        return out | self.within([(max(a for a, _ in pairs), min(b for _, b in pairs))]) if pairs else out

    def trial_said(self, text, o, named):
        """What a step says of test cuts, limits and passes."""
        out = set()
        for s in o["sheets"]:
            if "Bore one first" in text:
                out |= self.within(self.limits_of(s)) | self.fine(self.bored_waste(s)) | {"×"}
        for t in self.plan["templates"]:
            tool = self.tool(t["tool"])
            if f"template {t['name']}:" in text:
                out |= self.within(self.trial_limits(t)) | self.fine(*self.waste_of(t, tool))
            for u, s in self.sheets_of(t):
                if "in passes of" in text and u["pattern"] == o["name"] and u["part"] in named:
                    out |= self.depths(self.passes_of(u, s, tool))
        return out

    def options_of(self, pattern, sheet):
        """{tool: (what it cuts, by how much off, by how much beyond the limits)} within a tenth of the size."""
        size, made = mm(sheet["shape"]["a"]), next((f["tool"] for f in self.plan["features"] if f["kind"] == "opening" and
                                                    f["pattern"] == pattern and f["part"] == sheet["part"]), None)
        if sheet["shape"]["kind"] != "round" or made is None:
            return {}
        maker, out, (low, high) = self.tool(made), {}, self.limits_of(sheet)[0]
        for t in self.plan["tools"]:
            if t["kind"] in ("drill", "holesaw"):
                c, off = cuts(t), mm(t.get("measured_off")) or 0
            elif t["kind"] == "router" and t is maker:
                c, off = size, 0
            elif t["kind"] == "router" and maker["kind"] == "router" and t.get("bush"):
                c, off = size + mm(maker["bush"]) - cuts(maker) - mm(t["bush"]) + cuts(t), 0
            else:
                continue
            if abs(c - size) * 10 <= size:
                out[t["name"]] = (c, c - size, max(low - (c - off), (c + off) - high))
        return out

    def option_row(self, tool):
        """Figures that the table of the tools page can say of a tool, in any round opening."""
        out = set()
        for o in self.plan["openings"]:
            for s in o["sheets"]:
                row = self.options_of(o["name"], s).get(tool["name"])
                if row:
                    out |= {"L:" + self.near(abs(v)) for v in row}
        return out

    def option_faults(self):
        """What the model says of limits, options, passes, waste and offsets, against the same worked out here."""
        for o in self.plan["openings"]:
            for s in o["sheets"]:
                where, want = f"{o['name']} in {s['part']}", self.limits_of(s)
                said = [(mm(x["least"]), mm(x["most"])) for x in s["may_measure"]]
                if said != want:
                    yield f"{where} may measure {said}, not {want}"
                found = {x["tool"]: (mm(x["cuts"]), mm(x["off"]), x["holds"]) for x in s["options"]}
                mine = {k: (c, off, beyond <= 0) for k, (c, off, beyond) in self.options_of(o["name"], s).items()}
                if found != mine:
                    yield f"{where} is cut by {found}, not {mine}"
        for t in self.plan["templates"]:
            tool = self.tool(t["tool"])
            said = [(mm(x["least"]), mm(x["most"])) for x in t["may_measure"]]
            if said != self.trial_limits(t):
                yield f"{t['name']}: the test cut may measure {said}, not {self.trial_limits(t)}"
            if sorted(mm(v) for v in t["waste"]) != sorted(self.waste_of(t, tool)):
                yield f"{t['name']}: waste of {t['waste']}, not {self.waste_of(t, tool)}"
            for u, s in self.sheets_of(t):
                if [mm(v) for v in u["depths"]] != self.passes_of(u, s, tool):
                    yield f"{t['name']} in {u['part']}: passes of {u['depths']}, not {self.passes_of(u, s, tool)}"
