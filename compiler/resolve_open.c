/* Openings: which sheets, which shapes, and where the axes stand in the cabinet. */
#include <math.h>

#include "compiler/context.h"
#include "compiler/open_build.h"
#include "compiler/outline_read.h"
#include "runtime/base/text.h"

/* ---- sheets ------------------------------------------------------------------------------ */

typedef struct add_sheet {
	open_build *b;
	span at;
} add_sheet;

static void each_sheet(ctx *c, model_ref row, void *data) {
	add_sheet *a = data;
	model_pattern *m = a->b->m;
	const model_part *p = &c->m->parts.v[row];
	if (model_pattern_sheet(m, row)) {
		diag_error(c->diags, "plan-twice", a->at, "`%s` stands twice in this list", p->group);
		return;
	}
	if (m->sheets.n == 0) {
		m->through = p->thick_axis;
	} else if (m->through != p->thick_axis) {
		diag *g = diag_error(c->diags, "axis-crossed", a->at,
				     "`%s` does not lie in the direction of `%s`: no axis goes through both", p->name,
				     c->m->parts.v[m->sheets.v[0].part].name);
		diag_add_note(c->diags, g, m->sheets.v[0].at, "this one is a sheet across its %s",
			      AXIS_SPOKEN[m->through]);
		diag_add_note(c->diags, g, a->at, "this one is a sheet across its %s", AXIS_SPOKEN[p->thick_axis]);
		a->b->bad = true;
		return;
	}
	model_sheet_of_pattern *s = LIST_ADD(c->mem, &m->sheets);
	s->part = row;
	s->collar = MODEL_NONE;
	s->at = a->at;
	s->shape.a = rat_poison();
	s->face = face_of(p->thick_axis, p->thick_axis != AXIS_Y); /* front, right or top; see work faces */
}

static void read_sheets(open_build *b) {
	const syn_clause *k = line_clause(b->def->line, "in", 0);
	for (size_t i = 0; i < k->args.n; i++) {
		part_def *p = eval_part(b->c, k->args.v[i]);
		add_sheet a = {.b = b, .at = k->args.v[i]->at};
		size_t before = b->m->sheets.n;
		if (p) part_rows(b->c, k->args.v[i], true, each_sheet, &a);
		if (b->m->sheets.n == before) b->bad = true; /* reported where it failed */
	}
	b->m->u = b->m->through == AXIS_X ? AXIS_Y : AXIS_X;
	b->m->v = b->m->through == AXIS_Z ? AXIS_Y : AXIS_Z;
}

/* ---- shapes -------------------------------------------------------------------------------- */

bool open_positive(ctx *c, const syn_expr *e, rat *mm) {
	if (!eval_length(c, e, mm)) return false;
	if (rat_sign(*mm) > 0) return true;
	diag_error(c->diags, "plan-value", e->at, "the size of an opening must be more than nothing");
	return false;
}

static bool read_shape(open_build *b, const syn_line *line, model_shape *s) {
	ctx *c = b->c;
	*s = (model_shape){.corner = rat_int(0), .at = line->at};
	if (line_is(line, "outline"))
		return outline_read(c, b->own ? c->plan_in : b->def->in, line, b->m->u, b->m->v, s);
	if (!open_positive(c, line_arg(line, NULL, 0), &s->a)) return false;
	s->b = s->a;
	s->along = b->m->u;
	if (line_is(line, "round")) return s->kind = SHAPE_ROUND, true;
	s->kind = line_is(line, "slot") ? SHAPE_SLOT : SHAPE_RECT;
	const syn_expr *along = line_arg(line, "along", 0), *corner = line_arg(line, "corner", 0);
	if (!open_positive(c, line_arg(line, "x", 0), &s->b) || !eval_axis(c, along, &s->along)) return false;
	if (s->along == b->m->through) {
		diag *g = diag_error(c->diags, "plan-direction", along->at,
				     "the openings go through along the %s; their sides cannot lie that way",
				     AXIS_SPOKEN[s->along]);
		diag_add_help(c->diags, g, "write `along %s` or `along %s`", AXIS_SPOKEN[b->m->u],
			      AXIS_SPOKEN[b->m->v]);
		return false;
	}
	if (s->kind == SHAPE_SLOT && rat_lt(s->a, s->b)) {
		diag_error(c->diags, "plan-value", line_arg(line, "x", 0)->at,
			   "a slot's width cannot be more than its length");
		return false;
	}
	if (corner && !eval_length(c, corner, &s->corner)) return false;
	rat least = rat_half(rat_min(s->a, s->b));
	if (rat_sign(s->corner) < 0 || rat_lt(least, s->corner)) {
		diag_error(c->diags, "plan-value", corner->at,
			   "the corner's radius is more than half the shorter side, %s",
			   quant_show_length(c->mem, least, c->m->measures, false));
		return false;
	}
	return true;
}

/* The sheet that an argument names, NULL (reported) when the pattern has none such. */
static model_sheet_of_pattern *named_sheet(open_build *b, const syn_expr *e) {
	part_def *p = eval_part(b->c, e);
	if (!p || !part_emitted(b->c, p)) {
		b->bad = true;
		return NULL;
	}
	for (size_t i = 0; i < b->m->sheets.n; i++)
		if (b->c->m->parts.v[b->m->sheets.v[i].part].group_first == p->first) return &b->m->sheets.v[i];
	diag *g = diag_error(b->c->diags, "plan-unknown-name", e->at, "the openings `%s` do not go through `%s`",
			     b->def->name, p->name);
	diag_add_note(b->c->diags, g, line_clause(b->def->line, "in", 0)->at, "they go through these");
	b->bad = true;
	return NULL;
}

static void give_shape(open_build *b, const syn_expr *e, const model_shape *s) {
	model_sheet_of_pattern *first = named_sheet(b, e);
	if (!first) return;
	model_ref group = b->c->m->parts.v[first->part].group_first;
	for (size_t i = 0; i < b->m->sheets.n; i++)
		if (b->c->m->parts.v[b->m->sheets.v[i].part].group_first == group) b->m->sheets.v[i].shape = *s;
}

static bool is_shape(const syn_line *line) {
	return line_is(line, "round") || line_is(line, "slot") || line_is(line, "rect") || line_is(line, "outline");
}

static void read_shapes(open_build *b) {
	const syn_line *common = NULL;
	size_t tried = 0;
	for (size_t i = 0; i < b->lines.n; i++) {
		const syn_line *line = b->lines.v[i];
		if (!is_shape(line)) continue;
		tried++;
		if (line_clause(line, "in", 0)) continue;
		if (common) {
			diag *g =
				diag_error(b->c->diags, "plan-twice", line->word_at, "these openings have two shapes");
			diag_add_note(b->c->diags, g, common->at, "the first is here");
			diag_add_help(b->c->diags, g, "say which sheet the second one is for: `%s … in SHEET`",
				      line->word);
			continue;
		}
		common = line;
		model_shape s;
		if (!read_shape(b, line, &s)) {
			b->bad = true;
			continue;
		}
		for (size_t j = 0; j < b->m->sheets.n; j++) b->m->sheets.v[j].shape = s;
	}
	for (size_t i = 0; i < b->lines.n; i++) {
		const syn_line *line = b->lines.v[i];
		const syn_clause *in = is_shape(line) ? line_clause(line, "in", 0) : NULL;
		model_shape s;
		if (!in) continue;
		if (!read_shape(b, line, &s)) {
			b->bad = true;
			continue;
		}
		for (size_t j = 0; j < in->args.n; j++) give_shape(b, in->args.v[j], &s);
	}
	if (b->lines.n < b->def->line->block.n) b->bad = true; /* a line was reported */
	for (size_t i = 0; i < b->m->sheets.n && !b->bad; i++) {
		if (rat_ok(b->m->sheets.v[i].shape.a)) continue;
		diag *g = diag_error(b->c->diags, "plan-form", b->m->sheets.v[i].at,
				     "nothing says what shape the openings `%s` have in `%s`", b->def->name,
				     b->c->m->parts.v[b->m->sheets.v[i].part].name);
		diag_add_help(b->c->diags, g, "%s",
			      tried ? "write one shape for all sheets, or one for this sheet"
				    : example_shown(b->c->m, "write for example `round 60 mm`"));
		b->bad = true;
	}
}

/* ---- what else is said of them ----------------------------------------------------------------- */

static void read_blind(open_build *b) {
	const syn_line *line = lines_find(&b->lines, "blind");
	rat depth;
	face f;
	if (!line || !open_positive(b->c, line_arg(line, NULL, 0), &depth) ||
	    !eval_side(b->c, line_arg(line, "from", 0), &f))
		return;
	f = inst_face_to_plan(b->def->in, f);
	if (face_axis(f) != b->m->through) {
		diag_error(b->c->diags, "plan-direction", line_arg(line, "from", 0)->at,
			   "the openings go in along the %s, not from here", AXIS_SPOKEN[b->m->through]);
		return;
	}
	for (size_t i = 0; i < b->m->sheets.n; i++) {
		b->m->sheets.v[i].blind = true;
		b->m->sheets.v[i].depth = depth;
		b->m->sheets.v[i].depth_at = line_arg(line, NULL, 0)->at;
		b->m->sheets.v[i].face = f;
	}
}

static void read_ease(open_build *b, const syn_line *line) {
	rat size;
	const syn_clause *on = line_clause(line, "on", 0);
	if (!open_positive(b->c, line_arg(line, NULL, 0), &size)) return;
	for (size_t i = 0; i < on->args.n; i++) {
		part_def *p;
		face f;
		if (!eval_face(b->c, on->args.v[i], &p, &f) || !part_emitted(b->c, p)) continue;
		if (!model_pattern_sheet(b->m, p->first) || face_axis(f) != b->m->through) {
			diag *g = diag_error(b->c->diags, "plan-face", on->args.v[i]->at,
					     "the openings `%s` have no rim on this face", b->def->name);
			diag_add_note(b->c->diags, g, line_clause(b->def->line, "in", 0)->at, "they go through these");
			continue;
		}
		model_ease *e = LIST_ADD(b->c->mem, &b->m->eases);
		*e = (model_ease){.part = p->first,
				  .face = inst_face_to_plan(b->def->in, f),
				  .chamfer = line_is(line, "chamfer"),
				  .size = size,
				  .at = line->at};
	}
}

static void read_seat(open_build *b, const syn_line *line) {
	enum { SEATED = 1u << STOCK_COLLAR | 1u << STOCK_PIPE | 1u << STOCK_GROMMET };
	stock_def *s = eval_stock(b->c, line_arg(line, NULL, 0), SEATED, "a collar, a pipe or a grommet");
	model_sheet_of_pattern *sheet = named_sheet(b, line_arg(line, "in", 0));
	const syn_expr *with = line_arg(line, "with", 0);
	stock_def *clamp = with ? eval_stock(b->c, with, 1u << STOCK_CLAMP, "a clamp") : NULL;
	if (!s || !sheet) return;
	if (sheet->collar != MODEL_NONE) {
		diag *g = diag_error(b->c->diags, "plan-twice", line->at, "something is seated in `%s` already",
				     b->c->m->parts.v[sheet->part].name);
		diag_add_note(b->c->diags, g, sheet->collar_at, "it is this");
		diag_add_help(b->c->diags, g, "an opening holds one collar, pipe or grommet: take one of the two away");
		return;
	}
	sheet->collar = s->row;
	sheet->collar_at = line_arg(line, NULL, 0)->at;
	if (!clamp) return;
	if (b->c->m->stocks.v[s->row].kind == STOCK_GROMMET) {
		diag *g = diag_error(b->c->diags, "plan-value", with->at, "no clamp goes round the grommet `%s`",
				     s->name);
		diag_add_note(b->c->diags, g, s->at, "`%s` is declared here", s->name);
		diag_add_help(b->c->diags, g, "seat a collar or a pipe with a clamp, or take `with` away");
		return;
	}
	sheet->clamped = true;
	sheet->clamp = clamp->row;
	sheet->clamp_at = with->at;
}

static void pattern_resolve(ctx *c, pattern_def *def) {
	open_build b = {.c = c, .def = def, .m = &c->m->patterns.v[def->row]};
	b.m->name = def->path;
	b.m->at = def->at;
	words_check_block(c, BLOCK_OPENINGS, def->line, &b.lines);
	read_sheets(&b);
	if (b.m->sheets.n == 0) b.bad = true;
	/* Each line is read, though another failed: none hides the faults of the others. */
	if (b.m->sheets.n) {
		read_shapes(&b);
		open_read_layout(&b);
		read_blind(&b);
	}
	for (size_t i = 0; i < b.lines.n && b.m->sheets.n; i++) {
		if (line_is(b.lines.v[i], "ease") || line_is(b.lines.v[i], "chamfer")) read_ease(&b, b.lines.v[i]);
		if (line_is(b.lines.v[i], "seat")) read_seat(&b, b.lines.v[i]);
	}
	def->bad = def->bad || b.bad; /* it may have been found in a circle meanwhile */
	def->done = true;
	if (def->bad) b.m->axes.n = 0;
}

bool pattern_lies(ctx *c, pattern_def *def, axis *u, axis *v) {
	inst *before = inst_enter(c, def->in);
	part_def *p = eval_part(c, line_arg(def->line, "in", 0));
	bool good = p && part_structure(c, p);
	inst_enter(c, before);
	if (!good) return false;
	*u = p->thick_axis == AXIS_X ? AXIS_Y : AXIS_X;
	*v = p->thick_axis == AXIS_Z ? AXIS_Y : AXIS_Z;
	return true;
}

/* The openings alone, in the coordinates of their instance: as far as parts may ask for them that are placed by them.
 */
static bool lay_out_alone(ctx *c, pattern_def *def, open_build *b) {
	if (!pattern_lies(c, def, &b->m->u, &b->m->v)) return false;
	b->m->through = (axis)(3 - (int)b->m->u - (int)b->m->v);
	words_check_block(c, BLOCK_OPENINGS, def->line, &b->lines);
	for (size_t i = 0; i < b->lines.n; i++) {
		if (!is_shape(b->lines.v[i])) continue;
		model_sheet_of_pattern *s = LIST_ADD(c->mem, &b->m->sheets);
		if (!read_shape(b, b->lines.v[i], &s->shape)) return false;
	}
	if (b->m->sheets.n) open_read_layout(b);
	return !b->bad && b->m->axes.n > 0;
}

bool pattern_extent(ctx *c, pattern_def *def, axis a, span at, rat *lo, rat *hi) {
	model_pattern scratch = {.name = def->name, .at = def->at};
	open_build b = {.c = c, .def = def, .m = &scratch, .own = true};
	inst *before = inst_enter(c, def->in);
	bool good = lay_out_alone(c, def, &b);
	inst_enter(c, before);
	if (!good) return false;
	rat own_lo = scratch.axes.v[0].v[a], own_hi = own_lo;
	rat below = open_reach(&b, a, false), above = open_reach(&b, a, true);
	for (size_t i = 1; i < scratch.axes.n; i++) {
		own_lo = rat_min(own_lo, scratch.axes.v[i].v[a]);
		own_hi = rat_max(own_hi, scratch.axes.v[i].v[a]);
	}
	rat x, y;
	if (!inst_convert(c, def->in, c->in, a, at, rat_sub(own_lo, below), &x) ||
	    !inst_convert(c, def->in, c->in, a, at, rat_add(own_hi, above), &y))
		return false;
	*lo = rat_min(x, y);
	*hi = rat_max(x, y);
	return true;
}

void patterns_declare(ctx *c) {
	for (size_t i = 0; i < c->patterns.n; i++) {
		c->patterns.v[i]->row = (model_ref)i;
		LIST_ADD(c->mem, &c->m->patterns);
	}
}

bool pattern_stands(ctx *c, pattern_def *p, span at) {
	busy b;
	if (p->done) return !p->bad;
	if (!c->parts_read) {
		diag *g = diag_error(c->diags, "plan-too-early", at,
				     "`%s` is asked for before it is known what stands in the plan", p->name);
		diag_add_help(c->diags, g,
			      "what a `when` or the number of a `repeat` leans on follows from named values");
		return false;
	}
	if (!busy_enter(c, &b, p, p->name, at)) {
		p->done = p->bad = true;
		return false;
	}
	inst *before = inst_enter(c, p->in);
	pattern_resolve(c, p);
	inst_enter(c, before);
	busy_leave(c, &b);
	return !p->bad;
}

void patterns_resolve(ctx *c) {
	/* What was asked for while the parts were placed stands on rows that have moved since. */
	for (size_t i = 0; i < c->patterns.n; i++) {
		c->patterns.v[i]->done = false;
		c->m->patterns.v[i] = (model_pattern){0};
	}
	for (size_t i = 0; i < c->patterns.n; i++) pattern_stands(c, c->patterns.v[i], c->patterns.v[i]->at);
}
