/* Which axis of a part is its thickness, which its length: from what its lines hold, before any position is known. */
#include "compiler/parts.h"
#include "runtime/base/text.h"

/* ---- structure: which axis is the thickness, which the length -------------------------------- */

static unsigned weight(const hold *h) { return h->kind == HOLD_PAIR || h->kind == HOLD_COVER ? 2 : 1; }

static void count_holds(const part_def *p, unsigned count[3], size_t *unknown) {
	count[0] = count[1] = count[2] = 0;
	*unknown = 0;
	for (size_t i = 0; i < p->holds.n; i++) {
		if (p->holds.v[i].axis_known)
			count[p->holds.v[i].along] += weight(&p->holds.v[i]);
		else
			++*unknown;
	}
}

/* The axis along which the two parts of a `between` stand apart: the thickness of a panel. */
static bool axis_of_pair(ctx *c, hold *h) {
	const char *link = h->kind == HOLD_PAIR ? NULL : "between";
	const syn_expr *e[2] = {line_arg(h->line, link, 0), line_arg(h->line, "and", 0)};
	bool found = false;
	axis a = AXIS_X;
	for (int i = 0; i < 2; i++) {
		part_def *p = eval_place(c, e[i]);
		if (!p) return false;
		if (p->is_set) continue;
		bool flat = p->kind == PART_PANEL || p->kind == PART_DOOR || p->kind == PART_GAP || p->mirror;
		if (!flat) continue;
		if (!part_structure(c, p)) return false;
		if (found && p->thick_axis != a) {
			diag *g = diag_error(c->diags, "plan-direction", h->line->at,
					     "these two do not stand apart along one direction");
			diag_add_help(c->diags, g, "name the faces, such as `between %s.top and …`", p->name);
			return false;
		}
		a = p->thick_axis;
		found = true;
	}
	if (!found) {
		diag *g = diag_error(c->diags, "plan-direction", h->line->at,
				     "it cannot be told along which direction these two stand apart");
		diag_add_help(c->diags, g, "name the faces, such as `between a.right and b.left`");
		return false;
	}
	hold_along(h, a);
	return true;
}

/* The directions of a field that the part lies over: of openings those across their axes, of a flat part its own. */
static bool settle_cover(ctx *c, hold *h) {
	const syn_expr *e = line_arg(h->line, NULL, 0);
	value v = eval(c, e);
	axis a[2] = {AXIS_X, AXIS_Y};
	if (v.kind == VALUE_PATTERN) {
		if (!pattern_lies(c, v.pattern, &a[0], &a[1])) return false;
	} else if (v.kind == VALUE_PART) {
		if (!part_structure(c, v.part)) return false;
		axis thick = v.part->thick_axis;
		a[0] = thick == AXIS_X ? AXIS_Y : AXIS_X;
		a[1] = thick == AXIS_Z ? AXIS_Y : AXIS_Z;
	} else {
		if (v.kind == VALUE_BAD) return false;
		diag *g = diag_error(c->diags, "plan-value", e->at, "openings, a gap or a flat part belong here");
		diag_add_help(c->diags, g, "%s", example_shown(c->m, "write for example `over outlet by 40 mm`"));
		return false;
	}
	hold_along(h, a[h->second]);
	return true;
}

/* One `between` whose direction is not said: when the other lines leave just one axis empty and hold
 * the two others as a sheet or bar needs it, that is the one. */
static void eliminate(part_def *p) {
	unsigned count[3];
	size_t unknown;
	count_holds(p, count, &unknown);
	if (unknown != 1) return;
	int empty = -1, n_empty = 0;
	for (int a = 0; a < 3; a++) {
		if (count[a] != 0) continue;
		empty = a;
		n_empty++;
	}
	if (n_empty != 1) return;
	bool sheet = p->kind == PART_PANEL || p->kind == PART_DOOR || p->kind == PART_GAP;
	if (sheet && count[0] + count[1] + count[2] < 3) return;
	for (size_t i = 0; i < p->holds.n; i++)
		if (!p->holds.v[i].axis_known) hold_along(&p->holds.v[i], (axis)empty);
}

const char *const PART_SIDES[3] = {"its left and right", "its front and back", "its bottom and top"};

/* Does the stock say how far it reaches along the one direction that nothing holds? */
static bool size_given(const part_def *p, const unsigned count[3]) {
	unsigned both = 0;
	for (int a = 0; a < 3; a++) both += count[a] == 2;
	return both == (p->kind == PART_SLAT ? 1 : 2);
}

static void report_count(ctx *c, part_def *p, const unsigned count[3]) {
	int single = 0, none = 0, last_none = 0;
	for (int a = 0; a < 3; a++) {
		if (count[a] == 1) single++;
		if (count[a] == 0) {
			none++;
			last_none = a;
		}
	}
	diag *g;
	if (none > 0) {
		g = diag_error(c->diags, "part-loose-end", p->at, "nothing says where `%s` lies along its %s", p->name,
			       AXIS_SPOKEN[last_none]);
		if (none == 1 && size_given(p, count))
			diag_add_help(c->diags, g,
				      "one face is enough, for its thickness is known: `%s at …` or `%s at …`",
				      FACE_NAME[2 * last_none], FACE_NAME[2 * last_none + 1]);
		else
			diag_add_help(c->diags, g,
				      "say where %s lie, for example `%s of` another part, or `between` two parts",
				      PART_SIDES[last_none], AXIS_SPOKEN[last_none]);
		return;
	}
	if (single > 1) {
		g = diag_error(c->diags, "part-loose-end", p->at,
			       "`%s` is held on one side only along more than one direction", p->name);
		diag_add_help(c->diags, g,
			      "only its thickness needs no second side; say where both sides lie along the others");
	} else {
		g = diag_error(
			c->diags, "part-held-twice", p->at,
			"`%s` is held on both sides along all three directions, but its stock gives its thickness",
			p->name);
		diag_add_help(c->diags, g, "take one of the faces away; the thickness of the stock gives it");
	}
	for (size_t i = 0; i < p->holds.n; i++) {
		const hold *h = &p->holds.v[i];
		diag_add_note(c->diags, g, h->line->at, "along its %s: this", AXIS_SPOKEN[h->along]);
	}
}

static bool structure_sheet(ctx *c, part_def *p, const unsigned count[3]) {
	int thick = -1, n = 0;
	for (int a = 0; a < 3; a++) {
		if (count[a] != 1) continue;
		thick = a;
		n++;
	}
	if (n != 1 || count[0] + count[1] + count[2] < 5) {
		report_count(c, p, count);
		return false;
	}
	p->thick_axis = (axis)thick;
	if (p->kind == PART_GAP) {
		p->size[thick] = rat_int(0);
		p->size_known[thick] = true;
		return true;
	}
	if (!stock_length(c, p->stock, "thick", 0, &p->size[thick])) return false;
	p->size_known[thick] = true;
	return true;
}

static bool structure_bar(ctx *c, part_def *p, const unsigned count[3]) {
	int lengthwise = -1, n = 0;
	for (int a = 0; a < 3; a++) {
		if (count[a] < 2) continue;
		lengthwise = a;
		n++;
	}
	if (n != 1 || count[0] + count[1] + count[2] < 4 || !count[0] || !count[1] || !count[2]) {
		bool none = !count[0] || !count[1] || !count[2];
		if (none) {
			report_count(c, p, count);
			return false;
		}
		diag *g = diag_error(
			c->diags, n > 1 ? "part-held-twice" : "part-loose-end", p->at,
			n > 1 ? "`%s` is held on both sides along two directions, but its section is given by its stock"
			      : "`%s` has no length: it is held on one side only along every direction",
			p->name);
		diag_add_help(c->diags, g,
			      "a bar is held on both sides along its length, on one side along the two others");
		return false;
	}
	rat broad, thin;
	if (c->m->stocks.v[p->stock->row].kind == STOCK_PIPE) {
		if (!stock_length(c, p->stock, "outside", 0, &broad)) return false;
		thin = broad;
	} else if (!stock_length(c, p->stock, "section", 0, &broad) ||
		   !stock_length(c, p->stock, "section", 1, &thin)) {
		return false;
	}
	const syn_line *line = part_line(p, "broad");
	axis wide = (axis)((lengthwise + 1) % 3);
	if (line) {
		if (!eval_axis(c, line_arg(line, NULL, 0), &wide)) return false;
		if ((int)wide == lengthwise) {
			diag_error(c->diags, "plan-direction", line->at,
				   "`%s` runs along its %s; its broad side lies along another direction", p->name,
				   AXIS_SPOKEN[wide]);
			return false;
		}
	} else if (!rat_eq(broad, thin)) {
		diag *g = diag_error(c->diags, "part-loose-end", p->at, "nothing says how `%s` is turned", p->name);
		diag_add_help(c->diags, g, "say along which direction its broad side lies: `broad %s` or `broad %s`",
			      AXIS_SPOKEN[(lengthwise + 1) % 3], AXIS_SPOKEN[(lengthwise + 2) % 3]);
		return false;
	}
	axis narrow = (axis)(3 - lengthwise - (int)wide);
	p->long_axis = (axis)lengthwise;
	p->thick_axis = narrow;
	p->size[wide] = broad;
	p->size[narrow] = thin;
	p->size_known[wide] = p->size_known[narrow] = true;
	return true;
}

static bool structure_item(ctx *c, part_def *p) {
	for (int a = 0; a < 3; a++) {
		if (!stock_length(c, p->stock, "size", (size_t)a, &p->size[a])) return false;
		p->size_known[a] = true;
		if (rat_lt(p->size[a], p->size[p->thick_axis])) p->thick_axis = (axis)a;
	}
	return true;
}

/* A placed assembly has the size of what stands in it. */
static bool structure_place(ctx *c, part_def *p) {
	for (int a = 0; a < 3; a++) p->size_known[a] = true;
	unsigned count[3];
	size_t unknown;
	count_holds(p, count, &unknown);
	bool good = true;
	for (int a = 0; a < 3; a++) {
		if (count[a] || p->place->shares) continue;
		diag *g = diag_error(c->diags, "part-loose-end", p->at, "nothing says where `%s` stands along its %s",
				     p->name, AXIS_SPOKEN[a]);
		diag_add_help(c->diags, g, "say where %s lies: `%s at …`, `against` a face, or `centred on` a part",
			      a == 0   ? "its left or right"
			      : a == 1 ? "its front or back"
				       : "its bottom or top",
			      FACE_NAME[face_of((axis)a, false)]);
		good = false;
	}
	return good;
}

static bool structure_piece(ctx *c, part_def *p) {
	part_def *whole = p->piece_of;
	if (!part_structure(c, whole)) return false;
	p->thick_axis = whole->thick_axis;
	p->long_axis = whole->long_axis;
	p->stock = whole->stock;
	p->kind = whole->kind;
	p->way_known = whole->way_known;
	return true;
}

static bool structure_now(ctx *c, part_def *p) {
	if (p->is_set) return true;
	if (p->piece_of) return structure_piece(c, p);
	if (p->mirror && p->place) {
		p->mirror_axis = p->place->mirror_axis;
		return part_structure(c, p->mirror);
	}
	if (p->mirror) {
		if (!part_structure(c, p->mirror)) return false;
		const syn_expr *in = line_arg(part_line(p, "mirror"), "in", 0);
		p->mirror_axis = p->mirror->thick_axis;
		if (in && !eval_axis(c, in, &p->mirror_axis)) return false;
		p->thick_axis = p->mirror->thick_axis;
		p->long_axis = p->mirror->long_axis;
		p->stock = p->mirror->stock;
		p->kind = p->mirror->kind;
		p->way_known = p->mirror->way_known;
		return true;
	}
	for (size_t i = 0; i < p->holds.n; i++)
		if (p->holds.v[i].kind == HOLD_COVER && !settle_cover(c, &p->holds.v[i])) return false;
	eliminate(p);
	for (size_t i = 0; i < p->holds.n; i++)
		if (!p->holds.v[i].axis_known && !axis_of_pair(c, &p->holds.v[i])) return false;
	unsigned count[3];
	size_t unknown;
	count_holds(p, count, &unknown);
	if (p->place) return structure_place(c, p);
	if (p->kind == PART_ITEM) return structure_item(c, p);
	if (p->kind == PART_GAP) {
		const syn_line *through = part_line(p, "through");
		bool volume = count[0] == 2 && count[1] == 2 && count[2] == 2;
		p->way_known = !volume || through;
		p->thick_axis = AXIS_Z; /* a volume, such as a trough, is looked at from above */
		if (through && !volume) {
			diag *g = diag_error(c->diags, "plan-form", through->at,
					     "`%s` is flat, so the air goes through it in one way only", p->name);
			diag_add_help(c->diags, g, "take the line away");
			return false;
		}
		if (through && !eval_axis(c, line_arg(through, NULL, 0), &p->thick_axis)) return false;
		if (volume) return true;
	}
	bool sheet = p->kind == PART_PANEL || p->kind == PART_DOOR || p->kind == PART_GAP;
	return sheet ? structure_sheet(c, p, count) : structure_bar(c, p, count);
}

bool part_structure(ctx *c, part_def *p) {
	if (p->structure_bad) return false;
	if (p->structure_done) return true;
	const syn_line *mirror = p->line ? line_in_block(p->line, "mirror") : NULL;
	const syn_expr *of = mirror ? line_arg(mirror, "of", 0) : NULL;
	if (p->structure_busy && of && text_same(expr_word(of), p->name)) {
		diag *g = diag_error(c->diags, "plan-direction", of->at, "`%s` is a mirror image of itself", p->name);
		diag_add_help(c->diags, g, "name the part that it is the mirror image of");
		p->structure_bad = true;
		return false;
	}
	if (p->structure_busy) {
		diag *g = diag_error(c->diags, "plan-direction", p->at,
				     "it cannot be told how `%s` lies, because its parts wait for each other", p->name);
		diag_add_help(c->diags, g,
			      "name the faces in its `between` lines, such as `between left.right and right.left`");
		p->structure_bad = true;
		return false;
	}
	p->structure_busy = true;
	inst *before = inst_enter(c, p->in);
	bool good = structure_now(c, p);
	inst_enter(c, before);
	p->structure_busy = false;
	p->structure_done = true;
	if (!good) p->structure_bad = true;
	return good && !p->structure_bad;
}
