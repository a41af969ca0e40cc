/* Parts: reading what holds each one, finding which axis is which, and working out every face. Faces
 * are worked out when they are asked for, axis by axis, so that parts may lean on each other in any
 * order; a circle is reported whole. */
#include <math.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

enum { MOST_PIECES = 500 };

/* ---- declaring ---------------------------------------------------------------------------- */

void part_declare(ctx *c, const syn_line *line) {
	const char *name = expr_word(line_arg(line, NULL, 0));
	if (!name) {
		if (line_arg(line, NULL, 0)->kind != SYN_BAD)
			diag_error(c->diags, "plan-form", line_arg(line, NULL, 0)->at, "a part has a plain name");
		return;
	}
	part_def *p = ARENA_NEW(c->mem, part_def);
	p->name = name;
	p->at = line_arg(line, NULL, 0)->at;
	p->line = line;
	p->first = MODEL_NONE;
	for (int k = 0; k < PART_KINDS; k++)
		if (line_is(line, MODEL_PART_WORD[k])) p->kind = (model_part_kind)k;
	for (int f = 0; f < 6; f++) p->face_at[f] = span_none();
	if (names_add(c, name, SYM_PART, p->at, p)) LIST_PUSH(c->mem, &c->parts, p);
}

/* A line of the part's block, or of the block of the part that it mirrors. */
static const syn_line *own_line(const part_def *p, const char *word) {
	for (int deep = 0; p && deep < MOST_PIECES; p = p->mirror, deep++) {
		for (size_t i = 0; i < p->line->block.n; i++)
			if (line_is(p->line->block.v[i], word)) return p->line->block.v[i];
	}
	return NULL;
}

/* ---- reading the block ---------------------------------------------------------------------- */

static hold *add_hold(ctx *c, part_def *p, hold_kind kind, const syn_line *line) {
	hold *h = LIST_ADD(c->mem, &p->holds);
	h->kind = kind;
	h->line = line;
	return h;
}

static void along(hold *h, axis a) {
	h->axis_known = true;
	h->along = a;
}

/* The axis that `part.face` names by itself. */
static bool face_form(const syn_expr *e, axis *a) {
	face f;
	if (!e || e->kind != SYN_NAME || e->names.n != 2 || !word_face(e->names.v[1].v, &f)) return false;
	*a = face_axis(f);
	return true;
}

static void between_axis(hold *h, const syn_line *line, const char *first_link) {
	axis a;
	if (face_form(line_arg(line, first_link, 0), &a) || face_form(line_arg(line, "and", 0), &a)) along(h, a);
}

static void read_face_hold(ctx *c, part_def *p, const syn_line *line, const syn_expr *e, bool opposite) {
	part_def *other;
	face f;
	if (!eval_face(c, e, &other, &f)) {
		p->structure_bad = true;
		return;
	}
	if (opposite) f = face_opposite(f);
	hold *h = add_hold(c, p, face_high(f) ? HOLD_HIGH : HOLD_LOW, line);
	along(h, face_axis(f));
	h->used_as_face = true;
}

static void read_extent(ctx *c, part_def *p, const syn_line *line, axis a) {
	bool size = line_args(line, NULL) == 1, of = line_arg(line, "of", 0) != NULL;
	if (size == of) {
		diag *g = diag_error(c->diags, "plan-form", line->word_at, "`%s` takes a length, or `of` and a part",
				     line->word);
		diag_add_help(c->diags, g, "write `%s 400 mm` or `%s of left`", line->word, line->word);
		p->structure_bad = true;
		return;
	}
	if (size && line_arg(line, "inset", 0)) {
		diag_error(c->diags, "plan-form", line_arg(line, "inset", 0)->at, "`inset` goes with `%s of` a part",
			   line->word);
		p->structure_bad = true;
		return;
	}
	along(add_hold(c, p, of ? HOLD_PAIR : HOLD_SIZE, line), a);
}

static void read_centred(ctx *c, part_def *p, const syn_line *line) {
	hold *h = add_hold(c, p, HOLD_CENTRE, line);
	const syn_expr *on = line_arg(line, "on", 0), *in = line_arg(line, "in", 0),
		       *between = line_arg(line, "between", 0);
	axis a;
	if (on && in && !between) {
		if (eval_axis(c, in, &a))
			along(h, a);
		else
			p->structure_bad = true;
		return;
	}
	if (between && line_arg(line, "and", 0) && !on && !in) {
		between_axis(h, line, "between");
		return;
	}
	diag *g = diag_error(c->diags, "plan-form", line->word_at,
			     "`centred` stands on a part in a direction, or between two parts");
	diag_add_help(c->diags, g, "write `centred on floor in width` or `centred between left and right`");
	p->structure_bad = true;
}

static void read_line(ctx *c, part_def *p, const syn_line *line) {
	face f;
	axis a;
	if (word_face(line->word, &f))
		along(add_hold(c, p, face_high(f) ? HOLD_HIGH : HOLD_LOW, line), face_axis(f));
	else if (word_axis(line->word, &a))
		read_extent(c, p, line, a);
	else if (line_is(line, "against"))
		read_face_hold(c, p, line, line_arg(line, NULL, 0), true);
	else if (line_is(line, "flush"))
		read_face_hold(c, p, line, line_arg(line, "with", 0), false);
	else if (line_is(line, "between"))
		between_axis(add_hold(c, p, HOLD_PAIR, line), line, NULL);
	else if (line_is(line, "centred"))
		read_centred(c, p, line);
	else if (line_is(line, "spaced"))
		between_axis(add_hold(c, p, HOLD_SPREAD, line), line, "between");
	else if (line_is(line, "pitched")) {
		hold *h = add_hold(c, p, HOLD_PITCH, line);
		if (eval_axis(c, line_arg(line, "in", 0), &a))
			along(h, a);
		else
			p->structure_bad = true;
	} else if (line_is(line, "corners")) {
		along(add_hold(c, p, HOLD_CORNER, line), AXIS_X);
		along(add_hold(c, p, HOLD_CORNER, line), AXIS_Y);
	}
}

static unsigned kinds_for(model_part_kind kind, const char **what) {
	switch (kind) {
	case PART_PANEL:
	case PART_DOOR:
		*what = "stock of kind sheet";
		return 1u << STOCK_SHEET;
	case PART_SLAT:
	case PART_CLEAT:
	case PART_LEG:
		*what = "stock of kind bar";
		return 1u << STOCK_BAR;
	default:
		*what = "stock of kind item, filter or fan";
		return 1u << STOCK_ITEM | 1u << STOCK_FILTER | 1u << STOCK_FAN;
	}
}

static void part_read(ctx *c, part_def *p) {
	line_list good = {0};
	words_check_block(c, BLOCK_PART, p->line, &good);
	if (good.n != p->line->block.n) p->structure_bad = true; /* a line was reported: judge nothing by its absence */
	const syn_line *mirror = lines_find(&good, "mirror");
	const syn_expr *stock = line_arg(p->line, ":", 0);
	if (mirror) {
		p->mirror = eval_part(c, line_arg(mirror, "of", 0));
		if (!p->mirror) p->structure_bad = true;
		return;
	}
	if (p->kind != PART_GAP) {
		const char *what;
		unsigned kinds = kinds_for(p->kind, &what);
		if (stock) {
			p->stock = eval_stock(c, stock, kinds, what);
		} else {
			diag *g = diag_error(c->diags, "plan-form", p->at, "`%s` does not say what it is made of",
					     p->name);
			diag_add_help(c->diags, g, "name its stock: %s %s : ply18 { … }", p->line->word, p->name);
		}
		if (!p->stock) p->structure_bad = true;
	}
	for (size_t i = 0; i < good.n; i++) read_line(c, p, good.v[i]);
}

/* ---- structure: which axis is the thickness, which the length -------------------------------- */

static unsigned weight(const hold *h) { return h->kind == HOLD_PAIR ? 2 : 1; }

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
		part_def *p = eval_part(c, e[i]);
		if (!p) return false;
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
	along(h, a);
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
	for (size_t i = 0; i < p->holds.n; i++)
		if (!p->holds.v[i].axis_known) along(&p->holds.v[i], (axis)empty);
}

static const char *const WHERE[3] = {"its left and right", "its front and back", "its bottom and top"};

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
		diag_add_help(c->diags, g, "say where %s lie, for example `%s of` another part, or `between` two parts",
			      WHERE[last_none], AXIS_SPOKEN[last_none]);
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
	if (!stock_length(c, p->stock, "section", 0, &broad) || !stock_length(c, p->stock, "section", 1, &thin))
		return false;
	const syn_line *line = own_line(p, "broad");
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

static bool structure_now(ctx *c, part_def *p) {
	if (p->mirror) {
		if (!part_structure(c, p->mirror)) return false;
		const syn_expr *in = line_arg(own_line(p, "mirror"), "in", 0);
		p->mirror_axis = p->mirror->thick_axis;
		if (in && !eval_axis(c, in, &p->mirror_axis)) return false;
		p->thick_axis = p->mirror->thick_axis;
		p->long_axis = p->mirror->long_axis;
		p->stock = p->mirror->stock;
		p->kind = p->mirror->kind;
		return true;
	}
	eliminate(p);
	for (size_t i = 0; i < p->holds.n; i++)
		if (!p->holds.v[i].axis_known && !axis_of_pair(c, &p->holds.v[i])) return false;
	unsigned count[3];
	size_t unknown;
	count_holds(p, count, &unknown);
	if (p->kind == PART_ITEM) return structure_item(c, p);
	if (p->kind == PART_GAP && count[0] == 2 && count[1] == 2 && count[2] == 2) {
		p->thick_axis = AXIS_Z; /* a volume, such as a trough; the air goes in from above */
		return true;
	}
	bool sheet = p->kind == PART_PANEL || p->kind == PART_DOOR || p->kind == PART_GAP;
	return sheet ? structure_sheet(c, p, count) : structure_bar(c, p, count);
}

bool part_structure(ctx *c, part_def *p) {
	if (p->structure_bad) return false;
	if (p->structure_done) return true;
	if (p->structure_busy) {
		diag *g = diag_error(c->diags, "plan-direction", p->at,
				     "it cannot be told how `%s` lies, because its parts wait for each other", p->name);
		diag_add_help(c->diags, g,
			      "name the faces in its `between` lines, such as `between left.right and right.left`");
		p->structure_bad = true;
		return false;
	}
	p->structure_busy = true;
	bool good = structure_now(c, p);
	p->structure_busy = false;
	p->structure_done = true;
	if (!good) p->structure_bad = true;
	return good && !p->structure_bad;
}

/* ---- how many pieces ----------------------------------------------------------------------------- */

static bool expand(ctx *c, part_def *p) {
	if (p->expanded) return p->n > 0;
	p->expanded = true;
	p->n = 1;
	if (p->mirror) {
		p->n = expand(c, p->mirror) ? p->mirror->n : 0;
		return p->n > 0;
	}
	const syn_line *first = NULL;
	for (size_t i = 0; i < p->holds.n; i++) {
		const hold *h = &p->holds.v[i];
		bool many = h->kind == HOLD_SPREAD || h->kind == HOLD_PITCH || h->kind == HOLD_CORNER;
		if (!many || h->line == first) continue;
		if (first) {
			diag *g = diag_error(c->diags, "part-held-twice", h->line->at, "`%s` is repeated in two ways",
					     p->name);
			diag_add_note(c->diags, g, first->at, "the other is here");
			p->n = 0;
			return false;
		}
		first = h->line;
		int64_t n = 4;
		if (h->kind != HOLD_CORNER && !eval_count(c, line_arg(h->line, NULL, 0), 1, MOST_PIECES, &n)) {
			p->n = 0;
			return false;
		}
		p->n = (uint32_t)n;
	}
	return true;
}

/* ---- faces along one axis -------------------------------------------------------------------------- */

/* What the holds along one axis come to; poison where nothing says it. */
typedef struct extent {
	rat lo, hi, centre, size;
	span lo_at, hi_at, centre_at, size_at;
	rat *many_lo; /* of repeated pieces */
	bool bad;
} extent;

static bool merge(ctx *c, part_def *p, const char *what, rat *slot, span *slot_at, rat v, span at) {
	if (!rat_ok(*slot)) {
		*slot = v;
		*slot_at = at;
		return true;
	}
	if (rat_eq(*slot, v)) return true;
	diag *g = diag_error(c->diags, "part-held-twice", at, "the %s of `%s` is fixed twice, %s apart", what, p->name,
			     quant_show_length(c->mem, rat_abs(rat_sub(v, *slot)), c->m->measures, false));
	diag_add_note(c->diags, g, *slot_at, "here it lies at %s",
		      quant_show_length(c->mem, *slot, c->m->measures, false));
	diag_add_note(c->diags, g, at, "and here at %s", quant_show_length(c->mem, v, c->m->measures, false));
	diag_add_help(c->diags, g, "keep one of the two");
	return false;
}

/* A part or a face as an end of `between`: its faces along the axis. */
static bool end_faces(ctx *c, const syn_expr *e, axis a, rat *lo, rat *hi) {
	axis named;
	if (face_form(e, &named)) {
		if (named != a) {
			diag_error(c->diags, "plan-direction", e->at, "this face does not lie along the %s",
				   AXIS_SPOKEN[a]);
			return false;
		}
		if (!eval_length(c, e, lo)) return false;
		*hi = *lo;
		return true;
	}
	part_def *p = eval_part(c, e);
	return p && part_face_value(c, p, face_of(a, false), e->at, lo) &&
	       part_face_value(c, p, face_of(a, true), e->at, hi);
}

static bool room_between(ctx *c, const syn_line *line, const char *link, axis a, rat *lo, rat *hi) {
	rat alo, ahi, blo, bhi;
	const syn_expr *ea = line_arg(line, link, 0), *eb = line_arg(line, "and", 0);
	bool good = end_faces(c, ea, a, &alo, &ahi);
	if (!end_faces(c, eb, a, &blo, &bhi) || !good) return false;
	if (rat_le(ahi, blo)) {
		*lo = ahi;
		*hi = blo;
		return true;
	}
	if (rat_le(bhi, alo)) {
		*lo = bhi;
		*hi = alo;
		return true;
	}
	diag *g = diag_error(c->diags, "part-no-room", line->at, "there is no room between these two along the %s",
			     AXIS_SPOKEN[a]);
	diag_add_note(c->diags, g, ea->at, "from %s to %s", quant_show_length(c->mem, alo, c->m->measures, false),
		      quant_show_length(c->mem, ahi, c->m->measures, false));
	diag_add_note(c->diags, g, eb->at, "from %s to %s", quant_show_length(c->mem, blo, c->m->measures, false),
		      quant_show_length(c->mem, bhi, c->m->measures, false));
	return false;
}

static bool with_inset(ctx *c, const syn_line *line, rat *lo, rat *hi) {
	const syn_expr *e = line_arg(line, "inset", 0);
	rat inset;
	if (!e) return true;
	if (!eval_length(c, e, &inset)) return false;
	*lo = rat_add(*lo, inset);
	*hi = rat_sub(*hi, inset);
	return true;
}

static bool take_pair(ctx *c, part_def *p, const hold *h, extent *x) {
	rat lo, hi;
	const syn_expr *of = line_arg(h->line, "of", 0);
	if (of) {
		part_def *other = eval_part(c, of);
		if (!other || !part_face_value(c, other, face_of(h->along, false), of->at, &lo) ||
		    !part_face_value(c, other, face_of(h->along, true), of->at, &hi))
			return false;
	} else if (!room_between(c, h->line, NULL, h->along, &lo, &hi)) {
		return false;
	}
	if (!with_inset(c, h->line, &lo, &hi)) return false;
	bool good = merge(c, p, FACE_NAME[face_of(h->along, false)], &x->lo, &x->lo_at, lo, h->line->at);
	return merge(c, p, FACE_NAME[face_of(h->along, true)], &x->hi, &x->hi_at, hi, h->line->at) && good;
}

static bool take_centre(ctx *c, part_def *p, const hold *h, extent *x) {
	rat lo, hi;
	const syn_expr *on = line_arg(h->line, "on", 0);
	if (on) {
		part_def *other = eval_part(c, on);
		if (!other || !part_face_value(c, other, face_of(h->along, false), on->at, &lo) ||
		    !part_face_value(c, other, face_of(h->along, true), on->at, &hi))
			return false;
	} else if (!room_between(c, h->line, "between", h->along, &lo, &hi)) {
		return false;
	}
	return merge(c, p, "middle", &x->centre, &x->centre_at, rat_half(rat_add(lo, hi)), h->line->at);
}

static bool take_spread(ctx *c, part_def *p, const hold *h, extent *x) {
	rat lo, hi;
	if (!room_between(c, h->line, "between", h->along, &lo, &hi)) return false;
	if (!p->size_known[h->along]) {
		diag_error(c->diags, "part-loose-end", h->line->at,
			   "`spaced` wants pieces whose size is known along the %s", AXIS_SPOKEN[h->along]);
		return false;
	}
	rat size = p->size[h->along], room = rat_sub(hi, lo);
	rat gap = rat_div(rat_sub(room, rat_mul(size, rat_int(p->n))), rat_int((int64_t)p->n + 1));
	if (rat_sign(gap) < 0) {
		diag_error(c->diags, "part-no-room", h->line->at, "%u pieces of %s do not go into %s", p->n,
			   quant_show_length(c->mem, size, c->m->measures, false),
			   quant_show_length(c->mem, room, c->m->measures, false));
		return false;
	}
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++)
		x->many_lo[i] = rat_add(lo, rat_add(rat_mul(gap, rat_int((int64_t)i + 1)), rat_mul(size, rat_int(i))));
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

static bool take_pitch(ctx *c, part_def *p, const hold *h, extent *x) {
	rat from, by;
	bool good = eval_length(c, line_arg(h->line, "from", 0), &from);
	if (!eval_length(c, line_arg(h->line, "by", 0), &by) || !good) return false;
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) x->many_lo[i] = rat_add(from, rat_mul(by, rat_int(i)));
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

static bool take_corner(ctx *c, part_def *p, const hold *h, extent *x) {
	const syn_expr *of = line_arg(h->line, "of", 0);
	part_def *other = eval_part(c, of);
	rat lo, hi;
	if (!other || !part_face_value(c, other, face_of(h->along, false), of->at, &lo) ||
	    !part_face_value(c, other, face_of(h->along, true), of->at, &hi) || !with_inset(c, h->line, &lo, &hi))
		return false;
	if (!p->size_known[h->along]) {
		diag_error(c->diags, "part-loose-end", h->line->at,
			   "`corners` wants pieces whose width and depth are known");
		return false;
	}
	x->many_lo = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) {
		bool far = h->along == AXIS_X ? i % 2 == 1 : i / 2 == 1;
		x->many_lo[i] = far ? rat_sub(hi, p->size[h->along]) : lo;
	}
	x->lo_at = x->hi_at = h->line->at;
	return true;
}

static bool take_face(ctx *c, part_def *p, const hold *h, extent *x) {
	const syn_expr *e = line_is(h->line, "against") ? line_arg(h->line, NULL, 0)
			    : line_is(h->line, "flush") ? line_arg(h->line, "with", 0)
							: line_arg(h->line, "at", 0);
	rat v;
	if (!eval_length(c, e, &v)) return false;
	bool high = h->kind == HOLD_HIGH;
	return merge(c, p, FACE_NAME[face_of(h->along, high)], high ? &x->hi : &x->lo, high ? &x->hi_at : &x->lo_at, v,
		     h->line->at);
}

static bool take_hold(ctx *c, part_def *p, const hold *h, extent *x) {
	rat v;
	switch (h->kind) {
	case HOLD_LOW:
	case HOLD_HIGH:
		return take_face(c, p, h, x);
	case HOLD_SIZE:
		return eval_length(c, line_arg(h->line, NULL, 0), &v) &&
		       merge(c, p, AXIS_SPOKEN[h->along], &x->size, &x->size_at, v, h->line->at);
	case HOLD_CENTRE:
		return take_centre(c, p, h, x);
	case HOLD_PAIR:
		return take_pair(c, p, h, x);
	case HOLD_SPREAD:
		return take_spread(c, p, h, x);
	case HOLD_PITCH:
		return take_pitch(c, p, h, x);
	case HOLD_CORNER:
		return take_corner(c, p, h, x);
	}
	return false;
}

/* From what is known to both faces. */
static bool settle(ctx *c, part_def *p, axis a, extent *x) {
	rat half = rat_half(x->size);
	bool lo = rat_ok(x->lo), hi = rat_ok(x->hi), size = rat_ok(x->size), centre = rat_ok(x->centre);
	if (lo && hi) {
		rat found = rat_sub(x->hi, x->lo);
		if (size && !rat_eq(found, x->size)) {
			diag *g = diag_error(c->diags, "part-held-twice", p->at,
					     "`%s` is %s %s by its faces, but %s by its %s", p->name,
					     quant_show_length(c->mem, found, c->m->measures, false),
					     a == AXIS_Z   ? "high"
					     : a == AXIS_X ? "wide"
							   : "deep",
					     quant_show_length(c->mem, x->size, c->m->measures, false),
					     span_known(x->size_at) && !p->size_known[a] ? "size" : "stock");
			diag_add_note(c->diags, g, x->lo_at, "its %s is fixed here", FACE_NAME[face_of(a, false)]);
			diag_add_note(c->diags, g, x->hi_at, "its %s is fixed here", FACE_NAME[face_of(a, true)]);
			diag_add_help(c->diags, g, "take one of them away");
			return false;
		}
	} else if (size && lo) {
		x->hi = rat_add(x->lo, x->size);
		x->hi_at = span_known(x->size_at) ? x->size_at : x->lo_at;
	} else if (size && hi) {
		x->lo = rat_sub(x->hi, x->size);
		x->lo_at = span_known(x->size_at) ? x->size_at : x->hi_at;
	} else if (size && centre) {
		x->lo = rat_sub(x->centre, half);
		x->hi = rat_add(x->centre, half);
		x->lo_at = x->hi_at = x->centre_at;
	} else if (centre && (lo || hi)) {
		rat known = lo ? x->lo : x->hi, other = rat_sub(rat_add(x->centre, x->centre), known);
		if (lo) {
			x->hi = other;
			x->hi_at = x->centre_at;
		} else {
			x->lo = other;
			x->lo_at = x->centre_at;
		}
	} else {
		diag *g = diag_error(c->diags, "part-loose-end", p->at, "`%s` is not held along its %s", p->name,
				     AXIS_SPOKEN[a]);
		diag_add_help(c->diags, g, "say where %s lie%s", WHERE[a],
			      p->size_known[a] ? "; one of them is enough" : "");
		return false;
	}
	if (!rat_ok(x->lo) || !rat_ok(x->hi)) {
		diag_error(c->diags, "plan-overflow", p->at, "a face of `%s` does not fit an exact fraction", p->name);
		return false;
	}
	bool flat_gap = p->kind == PART_GAP && p->size_known[a];
	if (rat_lt(x->hi, x->lo) || (rat_eq(x->hi, x->lo) && !flat_gap)) {
		diag *g = diag_error(
			c->diags, "part-nothing", p->at, "nothing is left of `%s`: its %s lies at %s, its %s at %s",
			p->name, FACE_NAME[face_of(a, false)], quant_show_length(c->mem, x->lo, c->m->measures, false),
			FACE_NAME[face_of(a, true)], quant_show_length(c->mem, x->hi, c->m->measures, false));
		diag_add_note(c->diags, g, x->lo_at, "the %s comes from here", FACE_NAME[face_of(a, false)]);
		diag_add_note(c->diags, g, x->hi_at, "the %s comes from here", FACE_NAME[face_of(a, true)]);
		return false;
	}
	return true;
}

static bool solve_mirror(ctx *c, part_def *p, axis a) {
	part_def *from = p->mirror;
	rat ignored, about;
	if (!part_face_value(c, from, face_of(a, false), p->at, &ignored)) return false;
	for (int side = 0; side < 2; side++) p->face_at[face_of(a, side)] = own_line(p, "mirror")->at;
	if (a != p->mirror_axis) {
		p->lo[a] = from->lo[a];
		p->hi[a] = from->hi[a];
		return true;
	}
	if (!eval_length(c, line_arg(own_line(p, "mirror"), "about", 0), &about)) return false;
	rat twice = rat_add(about, about);
	p->lo[a] = ARENA_MANY(c->mem, rat, p->n);
	p->hi[a] = ARENA_MANY(c->mem, rat, p->n);
	for (uint32_t i = 0; i < p->n; i++) {
		p->lo[a][i] = rat_sub(twice, from->hi[a][i]);
		p->hi[a][i] = rat_sub(twice, from->lo[a][i]);
	}
	return true;
}

static bool solve_axis(ctx *c, part_def *p, axis a) {
	if (!part_structure(c, p) || !expand(c, p)) return false;
	if (p->mirror) return solve_mirror(c, p, a);
	extent x = {.lo = rat_poison(),
		    .hi = rat_poison(),
		    .centre = rat_poison(),
		    .size = rat_poison(),
		    .lo_at = span_none(),
		    .hi_at = span_none(),
		    .centre_at = span_none(),
		    .size_at = span_none()};
	if (p->size_known[a]) {
		x.size = p->size[a];
		if (p->stock) x.size_at = p->at;
	}
	bool good = true;
	for (size_t i = 0; i < p->holds.n; i++)
		if (p->holds.v[i].along == a && !take_hold(c, p, &p->holds.v[i], &x)) good = false;
	if (!good) return false;
	p->lo[a] = ARENA_MANY(c->mem, rat, p->n);
	p->hi[a] = ARENA_MANY(c->mem, rat, p->n);
	if (!x.many_lo && !settle(c, p, a, &x)) return false;
	for (uint32_t i = 0; i < p->n; i++) {
		p->lo[a][i] = x.many_lo ? x.many_lo[i] : x.lo;
		p->hi[a][i] = x.many_lo ? rat_add(x.many_lo[i], p->size[a]) : x.hi;
	}
	p->face_at[face_of(a, false)] = x.lo_at;
	p->face_at[face_of(a, true)] = x.hi_at;
	return true;
}

static bool ensure_axis(ctx *c, part_def *p, axis a, span at) {
	if (p->state[a] != AXIS_OPEN) return p->state[a] == AXIS_DONE;
	busy b;
	if (!busy_enter(c, &b, &p->state[a], arena_printf(c->mem, "%s along its %s", p->name, AXIS_SPOKEN[a]), at)) {
		p->state[a] = AXIS_FAILED;
		return false;
	}
	bool good = false;
	if (c->depth > 400)
		diag_error(c->diags, "plan-deep", at, "these parts lean on each other too deeply");
	else {
		c->depth++;
		good = solve_axis(c, p, a);
		c->depth--;
	}
	busy_leave(c, &b);
	if (p->state[a] == AXIS_FAILED) return false; /* it was found in a circle meanwhile */
	p->state[a] = good ? AXIS_DONE : AXIS_FAILED;
	return good;
}

bool part_face_value(ctx *c, part_def *p, face f, span at, rat *mm) {
	axis a = face_axis(f);
	if (!ensure_axis(c, p, a, at)) return false;
	bool high = face_high(f);
	*mm = high ? p->hi[a][0] : p->lo[a][0];
	for (uint32_t i = 1; i < p->n; i++) *mm = high ? rat_max(*mm, p->hi[a][i]) : rat_min(*mm, p->lo[a][i]);
	return rat_ok(*mm);
}

/* ---- the model's rows ---------------------------------------------------------------------------- */

static void fill_grain(ctx *c, const part_def *p, model_part *m) {
	const model_stock *s = &c->m->stocks.v[m->stock];
	m->grain_axis = m->long_axis;
	m->grain_matters = s->kind == STOCK_SHEET && s->grain != GRAIN_NONE;
	const syn_line *line = own_line(p, "grain");
	if (!line) return;
	const syn_expr *e = line_arg(line, NULL, 0);
	if (text_same(expr_word(e), "any")) {
		m->grain_matters = false;
		return;
	}
	axis a;
	if (!eval_axis(c, e, &a)) return;
	if (a == m->thick_axis) {
		diag_error(c->diags, "plan-direction", e->at,
			   "`%s` is a sheet across its %s; the grain cannot run that way", p->name, AXIS_SPOKEN[a]);
		return;
	}
	m->grain_axis = a;
	m->grain_matters = true;
}

static void fill_door(ctx *c, const part_def *p, model_part *m) {
	const syn_line *hinged = own_line(p, "hinged"), *hinges = own_line(p, "hinges"), *latch = own_line(p, "latch");
	const unsigned items = 1u << STOCK_ITEM;
	if (latch) {
		stock_def *s = eval_stock(c, line_arg(latch, NULL, 0), items, "a latch (stock of kind item)");
		m->latch = s ? s->row : MODEL_NONE;
	}
	if (!hinged) return;
	stock_def *s = eval_stock(c, line_arg(hinged, "with", 0), items, "a hinge (stock of kind item)");
	face f;
	if (!eval_side(c, line_arg(hinged, NULL, 0), &f)) return;
	if (p->mirror && face_axis(f) == p->mirror_axis) f = face_opposite(f);
	m->hinged = true;
	m->hinge_side = f;
	m->hinge = s ? s->row : MODEL_NONE;
	int64_t n = 2;
	if (hinges && !eval_count(c, line_arg(hinges, NULL, 0), 1, 12, &n)) n = 2;
	m->n_hinges = (uint32_t)n;
}

static axis longer(const box3 *b, axis except) {
	axis best = except == AXIS_X ? AXIS_Y : AXIS_X;
	for (int a = 0; a < 3; a++)
		if (a != (int)except && rat_lt(box_size(*b, best), box_size(*b, (axis)a))) best = (axis)a;
	return best;
}

static void emit(ctx *c, part_def *p) {
	p->first = (model_ref)c->m->parts.n;
	for (uint32_t i = 0; i < p->n; i++) {
		model_part *m = LIST_ADD(c->mem, &c->m->parts);
		m->kind = p->kind;
		m->group = p->name;
		m->number = p->n > 1 ? i + 1 : 0;
		m->name = p->n > 1 ? arena_printf(c->mem, "%s.%u", p->name, i + 1) : p->name;
		m->stock = p->stock ? p->stock->row : MODEL_NONE;
		m->at = p->at;
		m->group_first = p->first;
		for (int a = 0; a < 3; a++) {
			m->box.lo[a] = p->lo[a][i];
			m->box.hi[a] = p->hi[a][i];
		}
		m->blank = m->box;
		for (int f = 0; f < 6; f++) m->face_at[f] = p->face_at[f];
		m->thick_axis = p->thick_axis;
		m->long_axis = p->kind == PART_SLAT || p->kind == PART_CLEAT || p->kind == PART_LEG
				       ? p->long_axis
				       : longer(&m->box, p->thick_axis);
		m->hinge = m->latch = MODEL_NONE;
		m->loose = own_line(p, "loose") != NULL;
		m->work_face = FACE_FRONT;
		if (m->stock != MODEL_NONE) fill_grain(c, p, m);
		if (p->kind == PART_DOOR) fill_door(c, p, m);
	}
}

void parts_resolve(ctx *c) {
	for (size_t i = 0; i < c->parts.n; i++) part_read(c, c->parts.v[i]);
	for (size_t i = 0; i < c->parts.n; i++) {
		part_def *p = c->parts.v[i];
		if (!part_structure(c, p)) continue;
		bool good = true;
		for (int a = 0; a < 3; a++)
			if (!ensure_axis(c, p, (axis)a, p->at)) good = false;
		if (good) emit(c, p);
	}
	c->parts_done = true;
}

void part_rows(ctx *c, const syn_expr *e, bool made_only, void (*each)(ctx *c, model_ref row, void *data), void *data) {
	part_def *p = eval_part(c, e);
	if (!p || p->first == MODEL_NONE) return;
	for (uint32_t i = 0; i < p->n; i++) {
		const model_part *m = &c->m->parts.v[p->first + i];
		if (made_only && !model_part_made(c->m, m)) {
			diag *g = diag_error(c->diags, "plan-value", e->at,
					     "a part of sheet or bar belongs here, but `%s` is %s", p->name,
					     p->kind == PART_GAP ? "an open gap" : "a bought item");
			diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
			return;
		}
		each(c, p->first + i, data);
	}
}
