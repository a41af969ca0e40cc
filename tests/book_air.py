"""The blocks of the book that tell of the air: the way, every condition, fans, rules, requirements, readings, care, and
the worked calculation. What tests/book.py reads the book with; see there."""
import re

import figures
from figures import number, numbers

STATES = ("clean", "dirty", "clean covered", "dirty covered", "clean with work", "dirty with work")
KEYS = {"flow": ("flow_m3_s", "flow"), "speed in the open area": ("speed_m_s", "speed"), "filtration speed": ("speed_m_s", "speed"),
        "speed over the grille": ("grille_speed_m_s", "speed"), "speed over the whole face": ("face_speed_m_s", "speed"),
        "upward between tubes": ("upward_between_tubes_m_s", "speed"), "pressure it costs": ("loss_pa", "pressure"),
        "pressure it gives": ("loss_pa", "pressure")}


def plain(name):
    return name.replace("_", " ")


class Air:
    def branch(self, condition, name):
        return next((b for b in condition["branches"] if b["branch"] == name), {})

    def way(self, name, items):
        """Blocks by the headings of the chapter."""
        head, group = "", []
        for t in items:
            if t.bold and abs(t.cap - 3.5) < 0.1:
                yield from self.way_part(name, head, group)
                head, group = t.text, []
                yield self.block(name, t.text, [plain(b["name"]) for b in self.air["branches"]])
            else:
                group.append(t)
        yield from self.way_part(name, head, group)

    def way_part(self, name, head, items):
        kind = next((f for w, f in (("In every condition", self.every), ("Fan and system", self.fan), ("The rules", self.rules),
                                    ("How evenly", self.even), ("Pressure along", self.along)) if head.startswith(w)), self.way_table)
        if items:
            yield from kind(f"{name}, {head}" if head else name, head, items)

    def way_table(self, where, head, items):
        import book
        a, s = self.air, self.s
        due = next(c for c in self.solved if c["condition"] == "dirty")
        allow = {s.si("density", a["density_kg_m3"]), s.si("temperature", a["temperature_k"]), f"{number(a['relative_humidity'] * 100, 0)} %",
                 f"{number(a['altitude_m'] / (0.3048 if self.inch else 1), 0)} {'ft' if self.inch else 'm'}"}
        for c in self.solved:
            if c["condition"] in STATES[:2]:
                allow |= {f"{('clean', 'due')[c['dirty']]} {s.si('pressure', x['gauge_pa'])}" for x in c["spaces"]}
        n = len(a["branches"])
        allow |= {f"between {k}" for k in range(1, n + 1)} | {f"and {k}" for k in range(1, n + 1)}
        marks = [t for t in items if book.digits(t) and abs(t.cap - 2.01) < 0.05]
        if marks:
            yield self.block(where + ", numbers in the section", "   ".join(t.text for t in marks), check=lambda x: self.some_of(x, range(1, n + 1)))
        for row in book.rows([t for t in items if t not in marks]):
            text = book.joined(row)
            if book.digits(row[0]) and len(row) > 3 and 1 <= int(row[0].text) <= n:
                i = int(row[0].text)
                b, f = a["branches"][i - 1], self.branch(due, a["branches"][i - 1]["name"])
                want = [str(i)] + ([str(b["count"])] if b["count"] > 1 else [])
                area = (b.get("open") or {}).get("m2") or 0
                want += numbers(s.si("area", area)) if area > 0 else []
                want += numbers(s.si("flow", f["flow_m3_s"])) + (numbers(s.si("speed", f["speed_m_s"])) if area > 0 else [])
                want += numbers(s.si("pressure", -f["loss_pa"] if b["kind"] == "fan" else f["loss_pa"]))
                yield self.block(f"{where}, {b['name']}", text, self.air_names(), check=lambda x, w=want: numbers(x) == w)
            else:
                yield self.block(where, text, self.air_names(), allow)

    def air_names(self):
        n = len(self.air["branches"]) + 1
        pairs = [f"between {i} and {k}" for i in range(1, n) for k in range(1, n)]
        return [plain(x["name"]) for k in ("branches", "spaces") for x in self.air[k]] + pairs

    def every(self, where, head, items):
        """Rows of one figure for each condition, under the branch's own head."""
        import book
        a, s = self.air, self.s
        tap = head.split("fan at ")[1] if "fan at " in head else None
        conditions = [c for c in a["conditions"] if (c.get("tap") or None) == tap or tap is None and not any(x.get("tap") for x in a["conditions"])]
        conditions = conditions or a["conditions"]
        at, group = None, ""
        for row in book.rows(items):
            text = book.joined(row)
            if row[0].bold:
                m = re.match(r"(\d+) +(.*)", text)
                group = text
                at = a["branches"][int(m[1]) - 1] if m and int(m[1]) <= len(a["branches"]) else None
                yield self.block(where, text, self.air_names(), check=(lambda x, w=m[1], ok=bool(at) and plain(at["name"]) == m[2].strip(): ok and numbers(x) == [w]) if m else None)
                continue
            label = " ".join(t.text for t in row if abs(t.x - row[0].x) < 0.3)
            values = None
            if at and label in KEYS:
                key, what = KEYS[label]
                sign = -1 if label.endswith("gives") else 1
                values = [(self.branch(c, at["name"]).get(key), what, sign) for c in conditions]
            elif group.startswith("Gauge"):
                values = [(next((x["gauge_pa"] for x in c["spaces"] if plain(x["space"]) == label), None), "pressure", 1) for c in conditions]
            elif label.startswith("shaft power"):
                values = [(c["shaft_w"], "power", 1) for c in conditions]
            elif label.startswith("blown"):
                values = [(c["blown_into_room_m3_s"], "flow", 1) for c in conditions]
            elif label.startswith("must come"):
                values = [(c["makeup_m3_s"], "flow", 1) for c in conditions]
            else:
                r = next((r for r in a["releases"] if f"before {plain(r['branch'])}" in label), None)
                if r:
                    values = [(r["speed_m_s"].get(c["condition"]), "speed", 1) for c in conditions]
                    first = s.length(str(round(r["distance_m"] * 1000, 6)))
                    yield self.block(where, label, self.air_names(), {"L:" + first})
                    text = text.replace(label, "")
            if values is None:
                yield self.block(where, text, self.air_names())
                continue
            want = [numbers(s.si(what, v * sign))[0] if v is not None else "–" for v, what, sign in values]
            cells = "   ".join(t.text for t in row if abs(t.x - row[0].x) >= 0.3)
            yield self.block(f"{where}, {group}, {label}", cells, check=lambda x, w=[w for w in want if w != "–"]: numbers(x) == w)

    def fan(self, where, head, items):
        import book
        s, name = self.s, head.split(": ", 1)[1]
        f = next((x for x in self.air["fans"] if plain(x["branch"]) == name), None)
        axis = [t for t in items if book.digits(t) or re.fullmatch(r"[\d.]+", t.text)]
        for y in sorted({round(t.y, 0) for t in axis}):
            level = [t for t in axis if round(t.y, 0) == y]
            if len(level) > 2:
                yield self.block(where + ", flow axis", "   ".join(t.text for t in level), check=self.even_steps)
                axis = [t for t in axis if t not in level]
        if axis:
            yield self.block(where + ", pressure axis", "   ".join(t.text for t in axis), check=self.even_steps)
        letters = {chr(65 + i): c for i, c in enumerate(c for c in self.air["conditions"] if c["solved"])}
        for row in book.rows([t for t in items if not re.fullmatch(r"[\d.]+", t.text)]):
            text = book.joined(row)
            c = letters.get(row[0].text) if len(row) > 3 else None
            if c and f:
                b, at = self.branch(c, f["branch"]), next(x for x in c["fans"] if x["branch"] == f["branch"])
                want = numbers(s.si("flow", b["flow_m3_s"])) + numbers(s.si("pressure", at["rise_pa"]))
                want += numbers(s.si("power", b["flow_m3_s"] * at["rise_pa"] / f["efficiency"])) if f.get("efficiency") else []
                yield self.block(f"{where}, {row[0].text}", text, check=lambda x, w=want: numbers(x) == w)
            else:
                yield self.block(where, text, [*self.labels, f["source"] if f else ""])

    @staticmethod
    def even_steps(text):
        v = [float(n) for n in numbers(text)]
        return len(v) > 2 and v[0] == 0 and all(abs(v[i] - i * v[1]) < 1e-6 * v[-1] for i in range(len(v)))

    def along(self, where, head, items):
        """Levels of the axis; under each branch's number what it costs or gives, due and clean."""
        s, a = self.s, self.air
        axis = [t for t in items if re.fullmatch(r"-?[\d.]+", t.text) and not t.bold]
        if axis:
            yield self.block(where + ", axis", "   ".join(t.text for t in axis), check=self.equal_steps)
        rest, at, groups = [t for t in items if t not in axis], None, {}
        for t in rest:
            at = int(t.text) if t.bold and t.text.isdigit() else at
            groups.setdefault(at if re.search(r"\d", t.text) and abs(t.x - rest[0].x) > 0 and t.cap < 2.2 else None, []).append(t)
        due, clean = (next(c for c in self.solved if c["condition"] == k) for k in ("dirty", "clean"))
        for n, mine in groups.items():
            text = "   ".join(t.text for t in mine)
            if n is None or not 1 <= n <= len(a["branches"]):
                yield self.block(where, " ".join(t.text for t in mine), [*self.labels, *self.air_names()],
                                 {f"{w} {k}" for w in ("between", "and") for k in range(1, len(a["branches"]) + 1)})
                continue
            sign = -1
            want = [str(n)] + [v for c in (due, clean) for v in numbers(s.si("pressure", sign * self.branch(c, a["branches"][n - 1]["name"])["loss_pa"]))]
            yield self.block(f"{where}, {a['branches'][n - 1]['name']}", text, check=lambda x, w=want: numbers(x) == w)

    @staticmethod
    def equal_steps(text):
        v = sorted(float(n) for n in numbers(text))
        steps = [b - a for a, b in zip(v, v[1:])]
        return len(v) > 2 and 0 in v and max(steps) - min(steps) < 1e-6 * max(steps)

    @staticmethod
    def both(shown):
        return {shown, "=" + numbers(shown)[0]} if numbers(shown) else set()

    def even(self, where, head, items):
        import book
        for row in book.rows(items):
            text = book.joined(row)
            b = next((b for b in self.air["branches"] if plain(b["name"]) == row[0].text), None)
            e = (b or {}).get("spread_dirty")
            allow = set()
            if e:
                for k, v in e.items():
                    if isinstance(v, (int, float)) and not isinstance(v, bool):
                        allow |= {f"={number(v, d)}" for d in (0, 2)} | {self.s.si("speed", v)} | {"L:" + self.reckoned(v * 1000, 1)}
            yield self.block(where, text, self.air_names(), allow)

    def rules(self, where, head, items):
        """Row after row as air.json has them."""
        import book
        rest, k, s = self.air["rules"], 0, self.s
        for row in book.rows(items):
            text = book.joined(row)
            r = rest[k] if k < len(rest) else None
            if not r or row[0].text != r["rule"]:
                yield self.block(where, text)
                continue
            k += 1
            left = sorted({round(t.x, 1) for t in row})
            cells = {x: " ".join(t.text for t in row if abs(t.x - x) < 0.3) for x in left}
            basis = cells[left[-1]]
            tuned = [t for t in self.plan["tuned"] if t["limit"].split(".")[0] == r["rule"]]
            known = [r["basis"], r["source"], *(w["because"] for w in self.plan["waived"]), *(t["because"] for t in tuned)]
            allow = {f for t in tuned for v in (t.get("was"), t.get("is")) if v for f in self.both(v if isinstance(v, str) else v.get("shown", ""))}
            yield self.block(f"{where}, {r['rule']}, basis", basis, known, allow)
            what = figures.OF_UNIT.get(r["unit"])
            def show(v, r=r, what=what):
                if v is None:
                    return numbers(r["said"] or "")
                if r["unit"] == "m" or r["unit"] is None:
                    return numbers(self.reckoned(v * 1000, 1))
                if r["unit"] == "s":
                    return [number(v / 60, 0) if v < 7200 else number(v / 3600, 1)]
                return numbers(s.si(what, v)) if what else [number(v, 2)]
            want = show(r["limit"]) + show(r["value"])
            if r["value"] is not None and r["limit"] and r["unit"] not in ("1", None):
                over = (r["value"] - r["limit"] if r["at_least"] else r["limit"] - r["value"]) / abs(r["limit"]) * 100
                want.append(number(over, 1 if abs(over) < 10 else 0))
            text = "   ".join(v for x, v in cells.items() if x != left[-1])
            yield self.block(f"{where}, {r['rule']}", text, self.air_names(), check=lambda x, w=want: numbers(x) == w)

    def requirements(self, name, items):
        import book
        for row in book.rows(items):
            text, allow, known = book.joined(row), set(), []
            first = " ".join(t.text for t in row if abs(t.x - row[0].x) < 0.3)
            r = next((r for r in self.plan["requirements"] if " ".join(r["text"].split()) == first), None)
            if r:
                known = [r["text"], r["because"]]
                left, right = r["left"]["value"], r["right"]["value"]
                allow = {r["left"]["shown"], r["compare"] + " " + r["right"]["shown"], r["right"]["shown"]}
                if right:
                    over = (left - right if r["compare"].startswith(">") else right - left) / abs(right) * 100
                    allow |= {f"{number(over, 1 if abs(over) < 10 else 0)} %"}
            yield self.block(name, text, known, allow)

    def commissioning(self, name, items):
        import book
        a, s, state, tap = self.air, self.s, (0, 1), None
        for row in book.rows(items):
            text = book.joined(row)
            if row[0].bold and abs(row[0].cap - 3.5) < 0.1:
                state = (2, 3) if "covered" in text and "nothing" not in text else (4, 5) if "work" in text else (0, 1)
                m = re.search(r"fan at (.*)", text)
                tap = m[1] if m else None
            def at(k, tap=tap):
                want = STATES[k] + (f", {tap}" if tap else "")
                return next((c for c in a["conditions"] if c["condition"] == want), None) or next(c for c in a["conditions"] if c["condition"] == STATES[k])
            label = " ".join(t.text for t in row if abs(t.x - row[0].x) < 0.3)
            space = next((x["name"] for x in a["spaces"] if plain(x["name"]) == label), None)
            branch = next((x for x in a["branches"] if plain(x["name"]) == label), None)
            cells = "   ".join(t.text for t in row if abs(t.x - row[0].x) >= 0.3)
            if len(row) < 3 or not (space or branch):
                known = self.air_names()
                allow = {f"={k}" for k in range(1, 5) if text.startswith(f"{k}.")}
                for b in a["branches"]:
                    allow |= {f"{number(b['covered_part'] * 100, 0)} %"} if b.get("covered_part") else set()
                    for c in a["conditions"]:
                        f = self.branch(c, b["name"])
                        allow |= {s.si("area", (f.get("speed_over") or {}).get("m2", 0))} if c.get("work_laid") else set()
                yield self.block(name, text, known, allow)
            elif space:
                want = []
                for k in state:
                    v = next(x["gauge_pa"] for x in at(k)["spaces"] if x["space"] == space)
                    want += [] if abs(v) < 2 else numbers(s.si("pressure", v))
                yield self.block(f"{name}, {label}", cells, check=lambda x, w=want: numbers(x) == w)
            else:
                want = [str(branch["count"])] if branch["count"] > 1 and "openings" in cells else []
                want += numbers(s.si("area", branch["open"]["m2"])) if "," in row[1].text else []
                want += [v for k in state for v in numbers(s.si("speed", self.branch(at(k), branch["name"])["speed_m_s"]))]
                yield self.block(f"{name}, {label}", cells, check=lambda x, w=want: numbers(x) == w)

    def care(self, name, items):
        import book
        a, s = self.air, self.s
        clean, due = (next((c for c in self.solved if c["condition"] == k), None) for k in ("clean", "dirty"))
        allow = set()
        if a.get("dust_held_kg"):
            allow |= {s.mass(a["dust_held_kg"]), f"{number(a['hours_to_dirty'], 1 if a['hours_to_dirty'] < 10 else 0)} hours"}
        if a.get("trough_m3"):
            h = a["hours_to_full_trough"]
            allow |= {s.si("volume", a["trough_m3"])} | ({f"{number(h, 1 if h < 10 else 0)} hours"} if h else set())
        for row in book.rows(items):
            text = book.joined(row)
            b = next((b for b in a["branches"] if plain(b["name"]) == row[0].text.lower() or book.pretty(b["name"]) == row[0].text), None)
            if b and len(row) > 2 and clean and due:
                want = [n for c in (clean, due) for n in numbers(s.si("pressure", self.branch(c, b["name"])["loss_pa"]))]
                behind = next(x["gauge_pa"] for x in due["spaces"] if x["space"] == b["to"])
                want += [] if abs(behind) < 2 else numbers(s.si("pressure", behind))
                yield self.block(f"{name}, {b['name']}", "   ".join(t.text for t in row[1:]), check=lambda x, w=want: numbers(x) == w)
            else:
                yield self.block(name, text, [plain(b["name"]) for b in a["branches"]], allow)

    def worked(self, name, items):
        """Every line as air.json has it; how the masses, the bending and the tilting come out."""
        import book
        p, s, known = self.plan, self.s, []
        for l in self.air.get("worked", {}).get("lines", []):
            if "of" in l:
                known.append(l["of"])
                continue
            unit = f" {l['unit']}" if l["unit"] else ""
            also = f"; {l['also']} {l['also_unit']}" if l["also"] else ""
            known.append((f"{l['formula']} = {l['numbers']} = {l['result']}{unit}" if l["numbers"] is not None
                          else f"{l['formula']}: as solved, {l['result']}{unit}") + also)
            known += [l["what"], l["source"]]
        at = p["whole"]
        allow = {s.mass(at["mass_kg"]), f"{number(at['tilt_degrees'], 2)} degrees"}
        for b in p["bends"]:
            part = self.parts[b["part"]]
            for k in ("carries_kg",):
                allow |= {s.mass(part[k])} if part.get(k) else set()
            allow |= {s.mass(b["load_n"] / 9.80665)} | {"L:" + self.reckoned(b[k] * 1000, d) for k, d in (("deflection_m", 1), ("allowed_m", 1), ("span_m", 0))}
            allow |= self.lengths(*part["box"]["size"])
        allow |= {"L:" + x for x in self.centre_of_mass()}
        for row in self.paragraphs(items):
            yield self.block(name, row, [k for k in known if k], allow)

    def reckoned(self, mm, decimals):
        """A worked-out length, rounded once."""
        return self.s.length(str(round(mm, 6 if self.inch else decimals)))

    @staticmethod
    def paragraphs(items):
        """The chapter's text in one, cut before each bold line."""
        out = []
        for t in items:
            if not out or t.bold:
                out.append("")
            out[-1] += " " + t.text
        return out

    def centre_of_mass(self):
        """Height above the floor and distance from the nearest edge of what it stands on, to a millimetre (1/64 in)."""
        p = self.plan
        mass, at = 0.0, [0.0, 0.0, 0.0]
        for x in p["parts"]:
            if x["kind"] == "gap":
                continue
            c = [(lo["mm"] + hi["mm"]) / 2 for lo, hi in zip(x["box"]["low"], x["box"]["high"])]
            mass += x["mass_kg"]
            at = [a + x["mass_kg"] * v for a, v in zip(at, c)]
        at = [v / mass for v in at]
        floor = p["whole"]["bounds"]["low"][2]["mm"]
        feet = [x["box"] for x in p["parts"] if x["kind"] != "gap" and x["box"]["low"][2]["mm"] == floor]
        inside = []
        for k in (0, 1):
            inside += [at[k] - min(b["low"][k]["mm"] for b in feet), max(b["high"][k]["mm"] for b in feet) - at[k]]
        return {self.reckoned(v, 0) for v in [at[2] - floor, *map(abs, inside)]}
