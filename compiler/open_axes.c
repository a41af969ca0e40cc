/* Where the openings of a pattern stand: single, listed, in a grid, staggered, on a ring. */
#include <math.h>

#include "compiler/example.h"
#include "compiler/open_build.h"
#include "compiler/open_field.h"

enum { MOST_AXES = 20000, MICROMETRE_STEPS = 1000 };

static void add_axis(open_build *b, rat u, rat v) {
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

static bool point(open_build *b, const syn_expr *e, rat *u, rat *v) {
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

static bool read_field(open_build *b, const syn_line *line, const char *link, field *f) {
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

static bool empty_field(open_build *b, const syn_line *line, rat room, axis along) {
	diag *g = diag_error(b->c->diags, "pattern-empty", line->at,
			     "no opening of `%s` fits in this field: %s is left along the %s", b->def->name,
			     quant_show_length(b->c->mem, room, b->c->m->measures, false), AXIS_SPOKEN[along]);
	diag_add_help(b->c->diags, g, "make the inset or the openings smaller");
	b->bad = true;
	return false;
}

rat open_reach(const open_build *b, axis along, bool high) {
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

static bool too_many(open_build *b, const syn_line *line, int64_t n) {
	if (n <= MOST_AXES) return false;
	diag_error(b->c->diags, "plan-count", line->at, "this makes %lld openings; %d is the most", (long long)n,
		   MOST_AXES);
	b->bad = true;
	return true;
}

static void grid_by_count(open_build *b, const syn_line *line) {
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
static void fill_field(open_build *b, const syn_line *line, rat pitch_u, rat pitch_v, bool stagger) {
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
		f.lo[i] = rat_add(f.lo[i], open_reach(b, a[i], false));
		f.hi[i] = rat_sub(f.hi[i], open_reach(b, a[i], true));
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

static void read_grid(open_build *b, const syn_line *line) {
	value v = eval(b->c, line_arg(line, NULL, 0));
	if (v.kind == VALUE_BAD) {
		b->bad = true;
	} else if (v.kind == VALUE_QUANT && dim_same(v.q.dim, DIM_NUMBER)) {
		grid_by_count(b, line);
	} else {
		rat pu, pv;
		if (open_positive(b->c, line_arg(line, NULL, 0), &pu) &&
		    open_positive(b->c, line_arg(line, "x", 0), &pv))
			fill_field(b, line, pu, pv, false);
		else
			b->bad = true;
	}
}

static void read_stagger(open_build *b, const syn_line *line) {
	rat pu, pv;
	const syn_expr *rows = line_arg(line, "x", 0);
	if (!open_positive(b->c, line_arg(line, NULL, 0), &pu) || (rows && !open_positive(b->c, rows, &pv))) {
		b->bad = true;
		return;
	}
	/* Without a row pitch the axes stand in equal triangles, to the nearest micrometre. */
	if (!rows) pv = rat_from_double(rat_double(pu) * sqrt(3.0) / 2, MICROMETRE_STEPS);
	fill_field(b, line, pu, pv, true);
}

static void read_ring(open_build *b, const syn_line *line) {
	int64_t n;
	rat d, u, v;
	bool good = eval_count(b->c, line_arg(line, NULL, 0), 1, 2000, &n);
	good = open_positive(b->c, line_arg(line, "on", 0), &d) && good;
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

static void read_single(open_build *b, const syn_line *line) {
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

void open_read_layout(open_build *b) {
	static const struct {
		const char *word;
		model_layout_kind kind;
		void (*read)(open_build *b, const syn_line *line);
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
