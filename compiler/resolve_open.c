/* Openings: which sheets, which shapes, and where the axes stand in the cabinet. */
#include <math.h>

#include "compiler/context.h"
#include "compiler/open_field.h"
#include "compiler/outline_read.h"
#include "runtime/base/text.h"

enum { MOST_AXES = 20000, MICROMETRE_STEPS = 1000 };

typedef struct build {
	ctx *c;
	pattern_def *def;
	model_pattern *m;
	line_list lines;
	bool own; /* its axes stay in the coordinates of its instance */
	bool bad;
} build;

/* ---- sheets ------------------------------------------------------------------------------ */

typedef struct add_sheet {
	build *b;
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

static void read_sheets(build *b) {
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

static bool positive(ctx *c, const syn_expr *e, rat *mm) {
	if (!eval_length(c, e, mm)) return false;
	if (rat_sign(*mm) > 0) return true;
	diag_error(c->diags, "plan-value", e->at, "the size of an opening must be more than nothing");
	return false;
}

static bool read_shape(build *b, const syn_line *line, model_shape *s) {
	ctx *c = b->c;
	*s = (model_shape){.corner = rat_int(0), .at = line->at};
	if (line_is(line, "outline"))
		return outline_read(c, b->own ? c->plan_in : b->def->in, line, b->m->u, b->m->v, s);
	if (!positive(c, line_arg(line, NULL, 0), &s->a)) return false;
	s->b = s->a;
	s->along = b->m->u;
	if (line_is(line, "round")) return s->kind = SHAPE_ROUND, true;
	s->kind = line_is(line, "slot") ? SHAPE_SLOT : SHAPE_RECT;
	const syn_expr *along = line_arg(line, "along", 0), *corner = line_arg(line, "corner", 0);
	if (!positive(c, line_arg(line, "x", 0), &s->b) || !eval_axis(c, along, &s->along)) return false;
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
static model_sheet_of_pattern *named_sheet(build *b, const syn_expr *e) {
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

static void give_shape(build *b, const syn_expr *e, const model_shape *s) {
	model_sheet_of_pattern *first = named_sheet(b, e);
	if (!first) return;
	model_ref group = b->c->m->parts.v[first->part].group_first;
	for (size_t i = 0; i < b->m->sheets.n; i++)
		if (b->c->m->parts.v[b->m->sheets.v[i].part].group_first == group) b->m->sheets.v[i].shape = *s;
}

static bool is_shape(const syn_line *line) {
	return line_is(line, "round") || line_is(line, "slot") || line_is(line, "rect") || line_is(line, "outline");
}

static void read_shapes(build *b) {
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

/* ---- axes ------------------------------------------------------------------------------------ */

static void add_axis(build *b, rat u, rat v) {
	point3 p = {{rat_int(0), rat_int(0), rat_int(0)}};
	inst *to = b->own ? b->def->in : b->c->plan_in;
	if (!inst_convert(b->c, b->def->in, to, b->m->u, b->def->at, u, &p.v[b->m->u]) ||
	    !inst_convert(b->c, b->def->in, to, b->m->v, b->def->at, v, &p.v[b->m->v])) {
		if (!b->bad)
			diag_error(b->c->diags, "plan-overflow", b->def->at,
				   "an axis of `%s` does not fit an exact fraction", b->def->name);
		b->bad = true;
		return;
	}
	LIST_PUSH(b->c->mem, &b->m->axes, p);
}

static bool point(build *b, const syn_expr *e, rat *u, rat *v) {
	if (e->kind != SYN_PAIR) {
		if (e->kind != SYN_BAD) {
			diag *g = diag_error(b->c->diags, "plan-value", e->at, "a point belongs here");
			diag_add_help(b->c->diags, g, "write two lengths in brackets, along the %s and the %s: %s",
				      AXIS_SPOKEN[b->m->u], AXIS_SPOKEN[b->m->v],
				      example_shown(b->c->m, "(200 mm, 300 mm)"));
		}
		return false;
	}
	bool good = eval_length(b->c, e->a, u);
	return eval_length(b->c, e->b, v) && good;
}

typedef struct field {
	rat lo[2], hi[2]; /* along u and v, inset taken off */
} field;

static bool read_field(build *b, const syn_line *line, const char *link, field *f) {
	ctx *c = b->c;
	const syn_expr *e = line_arg(line, link, 0), *inset = line_arg(line, "inset", 0);
	part_def *p = eval_place(c, e);
	rat d = rat_int(0);
	if (inset && !eval_length(c, inset, &d)) return false;
	if (!p) return false;
	const axis a[2] = {b->m->u, b->m->v};
	for (int i = 0; i < 2; i++)
		if (!part_face_value(c, p, face_of(a[i], false), e->at, &f->lo[i]) ||
		    !part_face_value(c, p, face_of(a[i], true), e->at, &f->hi[i]))
			return false;
	return open_field_margins(c, &b->lines, a, d, f->lo, f->hi);
}

static bool empty_field(build *b, const syn_line *line, rat room, axis along) {
	diag *g = diag_error(b->c->diags, "pattern-empty", line->at,
			     "no opening of `%s` fits in this field: %s is left along the %s", b->def->name,
			     quant_show_length(b->c->mem, room, b->c->m->measures, false), AXIS_SPOKEN[along]);
	diag_add_help(b->c->diags, g, "make the inset or the openings smaller");
	b->bad = true;
	return false;
}

/* How far the openings reach from their axes, low and high, over all sheets: the field's inset counts to the rims. */
static rat farthest_reach(const build *b, axis along, bool high) {
	rat most = rat_poison();
	for (size_t i = 0; i < b->m->sheets.n; i++) {
		const model_shape *s = &b->m->sheets.v[i].shape;
		rat half = model_shape_half(s, along), off = rat_int(0);
		if (s->kind == SHAPE_OUTLINE) off = along == b->m->u ? s->off_u : s->off_v;
		rat reach = high ? rat_add(half, off) : rat_sub(half, off);
		most = rat_ok(most) ? rat_max(most, reach) : reach;
	}
	return most;
}

static bool too_many(build *b, const syn_line *line, int64_t n) {
	if (n <= MOST_AXES) return false;
	diag_error(b->c->diags, "plan-count", line->at, "this makes %lld openings; %d is the most", (long long)n,
		   MOST_AXES);
	b->bad = true;
	return true;
}

static void grid_by_count(build *b, const syn_line *line) {
	int64_t n[2];
	field f;
	bool good = eval_count(b->c, line_arg(line, NULL, 0), 1, 2000, &n[0]);
	good = eval_count(b->c, line_arg(line, "x", 0), 1, 2000, &n[1]) && good;
	if (!read_field(b, line, "over", &f) || !good) {
		b->bad = true;
		return;
	}
	const axis a[2] = {b->m->u, b->m->v};
	rat first[2], pitch[2];
	if (too_many(b, line, n[0] * n[1])) return;
	for (int i = 0; i < 2; i++) {
		rat room = rat_sub(f.hi[i], f.lo[i]);
		if (rat_sign(room) < 0) {
			empty_field(b, line, room, a[i]);
			return;
		}
		pitch[i] = n[i] > 1 ? rat_div(room, rat_int(n[i] - 1)) : rat_int(0);
		first[i] = n[i] > 1 ? f.lo[i] : rat_half(rat_add(f.lo[i], f.hi[i]));
	}
	b->m->columns = (uint32_t)n[0];
	b->m->rows = (uint32_t)n[1];
	b->m->pitch_u = pitch[0];
	b->m->pitch_v = pitch[1];
	for (int64_t j = 0; j < n[1]; j++)
		for (int64_t i = 0; i < n[0]; i++)
			add_axis(b, rat_add(first[0], rat_mul(pitch[0], rat_int(i))),
				 rat_add(first[1], rat_mul(pitch[1], rat_int(j))));
}

/* Fills the field with rows at the two pitches; `stagger` moves every other row by half a pitch. */
static void fill_field(build *b, const syn_line *line, rat pitch_u, rat pitch_v, bool stagger) {
	field f;
	if (!read_field(b, line, "over", &f)) {
		b->bad = true;
		return;
	}
	const rat pitch[2] = {pitch_u, pitch_v};
	const axis a[2] = {b->m->u, b->m->v};
	int64_t n[2];
	rat first[2];
	for (int i = 0; i < 2; i++) {
		f.lo[i] = rat_add(f.lo[i], farthest_reach(b, a[i], false));
		f.hi[i] = rat_sub(f.hi[i], farthest_reach(b, a[i], true));
		rat room = rat_sub(f.hi[i], f.lo[i]);
		if (rat_sign(room) < 0) {
			empty_field(b, line, room, a[i]);
			return;
		}
		n[i] = rat_floor(rat_div(room, pitch[i])) + 1;
		if (too_many(b, line, n[i])) return;
		rat used = rat_mul(pitch[i], rat_int(n[i] - 1));
		first[i] = rat_sub(rat_half(rat_add(f.lo[i], f.hi[i])), rat_half(used));
	}
	if (too_many(b, line, n[0] * n[1])) return;
	b->m->columns = (uint32_t)n[0];
	b->m->rows = (uint32_t)n[1];
	b->m->pitch_u = pitch_u;
	b->m->pitch_v = pitch_v;
	for (int64_t j = 0; j < n[1]; j++) {
		bool moved = stagger && j % 2 == 1;
		rat u0 = moved ? rat_add(first[0], rat_half(pitch_u)) : first[0];
		rat v = rat_add(first[1], rat_mul(pitch_v, rat_int(j)));
		for (int64_t i = 0; i < n[0] - (moved ? 1 : 0); i++)
			add_axis(b, rat_add(u0, rat_mul(pitch_u, rat_int(i))), v);
	}
}

static void read_grid(build *b, const syn_line *line) {
	value v = eval(b->c, line_arg(line, NULL, 0));
	if (v.kind == VALUE_BAD) {
		b->bad = true;
	} else if (v.kind == VALUE_QUANT && dim_same(v.q.dim, DIM_NUMBER)) {
		grid_by_count(b, line);
	} else {
		rat pu, pv;
		if (positive(b->c, line_arg(line, NULL, 0), &pu) && positive(b->c, line_arg(line, "x", 0), &pv))
			fill_field(b, line, pu, pv, false);
		else
			b->bad = true;
	}
}

static void read_stagger(build *b, const syn_line *line) {
	rat pu, pv;
	const syn_expr *rows = line_arg(line, "x", 0);
	if (!positive(b->c, line_arg(line, NULL, 0), &pu) || (rows && !positive(b->c, rows, &pv))) {
		b->bad = true;
		return;
	}
	/* Without a row pitch the axes stand in equal triangles, to the nearest micrometre. */
	if (!rows) pv = rat_from_double(rat_double(pu) * sqrt(3.0) / 2, MICROMETRE_STEPS);
	fill_field(b, line, pu, pv, true);
}

static void read_ring(build *b, const syn_line *line) {
	int64_t n;
	rat d, u, v;
	bool good = eval_count(b->c, line_arg(line, NULL, 0), 1, 2000, &n);
	good = positive(b->c, line_arg(line, "on", 0), &d) && good;
	if (!point(b, line_arg(line, "at", 0), &u, &v) || !good) {
		b->bad = true;
		return;
	}
	double r = rat_double(d) / 2, turn = 2 * acos(-1.0) / (double)n, first = 0;
	const syn_expr *from = line_arg(line, "from", 0);
	if (from && !eval_si(b->c, from, DIM_ANGLE, &first)) {
		b->bad = true;
		return;
	}
	first *= acos(-1.0) / 180;
	for (int64_t i = 0; i < n; i++) {
		rat du = rat_from_double(r * cos(first + turn * (double)i), MICROMETRE_STEPS);
		rat dv = rat_from_double(r * sin(first + turn * (double)i), MICROMETRE_STEPS);
		add_axis(b, rat_add(u, du), rat_add(v, dv));
	}
}

static void read_single(build *b, const syn_line *line) {
	rat u, v;
	const syn_clause *points = line_clause(line, NULL, 0);
	if (line_is(line, "centred")) {
		field f;
		if (read_field(b, line, "on", &f))
			add_axis(b, rat_half(rat_add(f.lo[0], f.hi[0])), rat_half(rat_add(f.lo[1], f.hi[1])));
		else
			b->bad = true;
		return;
	}
	for (size_t i = 0; i < points->args.n; i++) {
		if (point(b, points->args.v[i], &u, &v))
			add_axis(b, u, v);
		else
			b->bad = true;
	}
}

static void read_layout(build *b) {
	static const struct {
		const char *word;
		model_layout_kind kind;
		void (*read)(build *b, const syn_line *line);
	} WAYS[] = {
		{"at", PATTERN_SINGLE, read_single},	    {"centred", PATTERN_SINGLE, read_single},
		{"list", PATTERN_LIST, read_single},	    {"grid", PATTERN_GRID, read_grid},
		{"stagger", PATTERN_STAGGER, read_stagger}, {"ring", PATTERN_RING, read_ring},
	};
	const syn_line *first = NULL;
	b->m->pitch_u = b->m->pitch_v = rat_int(0);
	for (size_t i = 0; i < sizeof WAYS / sizeof *WAYS; i++) {
		const syn_line *line = lines_find(&b->lines, WAYS[i].word);
		if (!line) continue;
		if (first) {
			bool behind = line->at.start > first->at.start;
			diag *g = diag_error(b->c->diags, "plan-twice", (behind ? line : first)->word_at,
					     "these openings are laid out in two ways");
			diag_add_note(b->c->diags, g, (behind ? first : line)->at, "the other is here");
			b->bad = true;
			continue;
		}
		first = line;
		b->m->kind = WAYS[i].kind;
		if (!open_field_only(b->c, &b->lines, line)) b->bad = true;
		bool fills = b->m->kind == PATTERN_GRID || b->m->kind == PATTERN_STAGGER;
		field f;
		if (!b->bad || !fills)
			WAYS[i].read(b, line);
		else
			read_field(b, line, "over", &f); /* how many fit in it follows from shapes that failed */
	}
	if (b->bad && !b->own)
		open_field_look(b->c, &b->lines);
	else if (first && !open_field_leave_out(b->c, b->def, &b->lines, b->own, b->m))
		b->bad = true;
	if (first || b->lines.n < b->def->line->block.n) return;
	diag *g = diag_error(b->c->diags, "plan-form", b->def->at, "nothing says where the openings `%s` stand",
			     b->def->name);
	diag_add_help(b->c->diags, g, "%s",
		      example_shown(b->c->m, "write for example `stagger 90 mm over PART inset 60 mm`, "
					     "`grid 6 x 2 over PART`, or `at (…, …)`"));
	b->bad = true;
}

/* ---- what else is said of them ----------------------------------------------------------------- */

static void read_blind(build *b) {
	const syn_line *line = lines_find(&b->lines, "blind");
	rat depth;
	face f;
	if (!line || !positive(b->c, line_arg(line, NULL, 0), &depth) ||
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

static void read_ease(build *b, const syn_line *line) {
	rat size;
	const syn_clause *on = line_clause(line, "on", 0);
	if (!positive(b->c, line_arg(line, NULL, 0), &size)) return;
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

static void read_seat(build *b, const syn_line *line) {
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
	build b = {.c = c, .def = def, .m = &c->m->patterns.v[def->row]};
	b.m->name = def->path;
	b.m->at = def->at;
	words_check_block(c, BLOCK_OPENINGS, def->line, &b.lines);
	read_sheets(&b);
	if (b.m->sheets.n == 0) b.bad = true;
	/* Each line is read, though another failed: none hides the faults of the others. */
	if (b.m->sheets.n) {
		read_shapes(&b);
		read_layout(&b);
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
static bool lay_out_alone(ctx *c, pattern_def *def, build *b) {
	if (!pattern_lies(c, def, &b->m->u, &b->m->v)) return false;
	b->m->through = (axis)(3 - (int)b->m->u - (int)b->m->v);
	words_check_block(c, BLOCK_OPENINGS, def->line, &b->lines);
	for (size_t i = 0; i < b->lines.n; i++) {
		if (!is_shape(b->lines.v[i])) continue;
		model_sheet_of_pattern *s = LIST_ADD(c->mem, &b->m->sheets);
		if (!read_shape(b, b->lines.v[i], &s->shape)) return false;
	}
	if (b->m->sheets.n) read_layout(b);
	return !b->bad && b->m->axes.n > 0;
}

bool pattern_extent(ctx *c, pattern_def *def, axis a, span at, rat *lo, rat *hi) {
	model_pattern scratch = {.name = def->name, .at = def->at};
	build b = {.c = c, .def = def, .m = &scratch, .own = true};
	inst *before = inst_enter(c, def->in);
	bool good = lay_out_alone(c, def, &b);
	inst_enter(c, before);
	if (!good) return false;
	rat own_lo = scratch.axes.v[0].v[a], own_hi = own_lo;
	rat below = farthest_reach(&b, a, false), above = farthest_reach(&b, a, true);
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
