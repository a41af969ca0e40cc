#include "compiler/outline_read.h"

#include <math.h>

#include "runtime/engine/outline.h"

enum { MOST_PIECES = 400, FINE_STEPS = 1000000 };
/* The ends of an arc are equally far from its centre, to this. */
#define ARC_OFF_MM 1e-3

typedef struct step { /* one line of the block: where it leads, and how */
	rat at[2];
	int bend; /* of the way that leads there: 0 straight, 1 turning left, -1 right */
	rat centre[2];
	rat corner; /* radius that rounds this point, or 0 */
	span place;
} step;

typedef struct reading {
	ctx *c;
	axis u, v;
	const syn_line *line;
	LIST(step) steps; /* the first is the beginning: nothing leads there */
	bool closed, bad;
} reading;

static double apart(const rat a[2], const rat b[2]) {
	return hypot(rat_double(a[0]) - rat_double(b[0]), rat_double(a[1]) - rat_double(b[1]));
}

static const char *length(const reading *r, double mm) {
	return quant_show_length(r->c->mem, rat_from_double(mm, 1000), r->c->m->measures, false);
}

static bool same(const rat a[2], const rat b[2]) { return rat_eq(a[0], b[0]) && rat_eq(a[1], b[1]); }

/* ---- lines ----------------------------------------------------------------------------------------- */

static bool read_point(reading *r, const syn_expr *e, rat out[2]) {
	if (e->kind != SYN_PAIR) {
		if (e->kind != SYN_BAD) {
			diag *g = diag_error(r->c->diags, "plan-value", e->at, "a point belongs here");
			diag_add_help(r->c->diags, g,
				      "write two lengths in brackets, along the %s and the %s from the axis: "
				      "%s",
				      AXIS_SPOKEN[r->u], AXIS_SPOKEN[r->v], example_shown(r->c->m, "(80 mm, 40 mm)"));
		}
		return false;
	}
	bool good = eval_length(r->c, e->a, &out[0]);
	return eval_length(r->c, e->b, &out[1]) && good;
}

static bool read_corner(reading *r, const syn_line *line, rat *out) {
	const syn_expr *e = line_arg(line, "corner", 0);
	*out = rat_int(0);
	if (!e) return true;
	if (!eval_length(r->c, e, out)) return false;
	if (rat_sign(*out) >= 0) return true;
	diag_error(r->c->diags, "plan-value", e->at, "a corner's radius cannot be less than nothing");
	return false;
}

/* The centre by the radius: the shorter way round. */
static bool centre_by(reading *r, const syn_line *line, const rat from[2], step *s) {
	rat radius;
	const syn_expr *e = line_arg(line, "by", 0);
	if (!eval_length(r->c, e, &radius)) return false;
	double chord = apart(from, s->at), half = chord / 2, want = rat_double(radius);
	if (want < half - ARC_OFF_MM / 2) {
		diag *g = diag_error(r->c->diags, "outline-arc", e->at,
				     "the ends of this arc are %s apart; a radius of %s reaches %s at most",
				     length(r, chord), length(r, want), length(r, 2 * want));
		diag_add_help(r->c->diags, g, "a radius of %s or more, or another point", length(r, half));
		return false;
	}
	double up = sqrt(fmax(0, want * want - half * half)) * s->bend;
	if (up * up < 1e-9 * want) up = 0;
	double d[2] = {rat_double(s->at[0]) - rat_double(from[0]), rat_double(s->at[1]) - rat_double(from[1])};
	const double left[2] = {-d[1] / chord, d[0] / chord};
	for (int i = 0; i < 2; i++)
		s->centre[i] = rat_add(rat_half(rat_add(from[i], s->at[i])), rat_from_double(up * left[i], FINE_STEPS));
	return true;
}

static bool centre_about(reading *r, const syn_line *line, const rat from[2], step *s) {
	const syn_expr *e = line_arg(line, "about", 0);
	if (!read_point(r, e, s->centre)) return false;
	double a = apart(from, s->centre), b = apart(s->at, s->centre);
	if (fabs(a - b) <= ARC_OFF_MM) return true;
	diag *g = diag_error(r->c->diags, "outline-arc", e->at,
			     "the arc begins %s from its centre and ends %s from it: %s too %s", length(r, a),
			     length(r, b), length(r, fabs(a - b)), b > a ? "far" : "near");
	diag_add_note(r->c->diags, g, r->steps.v[r->steps.n - 1].place, "it begins where this line ends");
	diag_add_help(r->c->diags, g, "both ends are equally far from the centre, to 1/1000 mm");
	return false;
}

static bool read_arc(reading *r, const syn_line *line, step *s) {
	face side;
	const rat *from = r->steps.v[r->steps.n - 1].at;
	const syn_expr *way = line_arg(line, NULL, 0), *about = line_arg(line, "about", 0),
		       *by = line_arg(line, "by", 0);
	if (!eval_side(r->c, way, &side)) return false;
	if (side != FACE_LEFT && side != FACE_RIGHT) {
		diag *g = diag_error(r->c->diags, "plan-direction", way->at, "an arc turns left or right");
		diag_add_help(r->c->diags, g, "write `arc left to …` or `arc right to …`, as you go along the outline");
		return false;
	}
	if ((about != NULL) == (by != NULL)) {
		diag *g = diag_error(r->c->diags, "plan-form", line->word_at, "an arc has %s",
				     about ? "either a centre or a radius, not both" : "a centre or a radius");
		diag_add_help(
			r->c->diags, g, "%s",
			example_shown(r->c->m, "`arc left to (80 mm, 40 mm) about (80 mm, 20 mm)`, or `… by 20 mm`"));
		return false;
	}
	s->bend = side == FACE_LEFT ? 1 : -1;
	if (same(from, s->at)) return true; /* reported below: it leads nowhere */
	return about ? centre_about(r, line, from, s) : centre_by(r, line, from, s);
}

static void read_line(reading *r, const syn_line *line) {
	step s = {.place = line->at, .corner = rat_int(0)};
	bool from = line_is(line, "from"), arc = line_is(line, "arc");
	if (from != (r->steps.n == 0)) {
		diag *g = diag_error(r->c->diags, "plan-form", line->word_at,
				     from ? "an outline begins once" : "an outline begins with a `from` line");
		if (r->steps.n) diag_add_note(r->c->diags, g, r->steps.v[0].place, "it begins here");
		diag_add_help(r->c->diags, g, "%s",
			      example_shown(r->c->m, "write `from (0 mm, 0 mm)` first, then `to` and `arc` lines"));
		r->bad = true;
		return;
	}
	const syn_expr *at = line_arg(line, arc ? "to" : NULL, 0);
	if (!read_point(r, at, s.at) || !read_corner(r, line, &s.corner) || (arc && !read_arc(r, line, &s))) {
		r->bad = true;
		return;
	}
	if (r->steps.n && same(r->steps.v[r->steps.n - 1].at, s.at)) {
		diag *g = diag_error(r->c->diags, "plan-value", line->at,
				     "this line leads nowhere: it ends where it begins");
		diag_add_help(r->c->diags, g, "take it away; write a whole circle as two halves");
		r->bad = true;
		return;
	}
	LIST_PUSH(r->c->mem, &r->steps, s);
}

/* Back where it began: by `close`, or because the last point is the first. */
static void close_up(reading *r) {
	if (r->bad || r->steps.n == 0) return;
	step *first = &r->steps.v[0], last = r->steps.v[r->steps.n - 1];
	bool back = same(first->at, last.at);
	if (!back && !r->closed) {
		diag *g = diag_error(r->c->diags, "outline-open", last.place, "the outline ends %s from where it began",
				     length(r, apart(first->at, last.at)));
		diag_add_note(r->c->diags, g, first->place, "it begins here");
		diag_add_help(r->c->diags, g, "write `close` for a straight line back, or lead it there");
		r->bad = true;
		return;
	}
	if (back) {
		first->bend = last.bend;
		for (int i = 0; i < 2; i++) first->centre[i] = last.centre[i];
		if (rat_sign(last.corner) > 0) first->corner = last.corner;
		r->steps.n--;
	}
	bool arcs = false;
	for (size_t i = 0; i < r->steps.n; i++) arcs = arcs || r->steps.v[i].bend;
	if (r->steps.n >= 3 || (r->steps.n == 2 && arcs)) return;
	diag *g = diag_error(r->c->diags, "outline-open", r->line->word_at, "this outline has no inside");
	diag_add_help(r->c->diags, g, "three straight lines, or two when one is an arc, are the least");
	r->bad = true;
}

/* ---- corners with a radius ------------------------------------------------------------------------- */

/* The step that leads away from point i, and its straight direction and length. */
static double straight(const reading *r, size_t from, size_t to, double d[2]) {
	const step *a = &r->steps.v[from], *b = &r->steps.v[to];
	double l = apart(a->at, b->at);
	for (int i = 0; i < 2; i++) d[i] = (rat_double(b->at[i]) - rat_double(a->at[i])) / l;
	return l;
}

static void put(reading *r, model_outline *o, const rat at[2], int bend, const rat centre[2], span place) {
	model_corner *k = LIST_ADD(r->c->mem, &o->corners);
	*k = (model_corner){.u = at[0], .v = at[1], .bend = bend, .at = place};
	if (bend) k->cu = centre[0], k->cv = centre[1];
}

static rat fine(double mm) { return rat_from_double(mm, FINE_STEPS); }

/* Replaces point i by the two ends of an arc that touches both straight lines. */
static bool rounded(reading *r, model_outline *o, size_t i, double taken) {
	size_t n = r->steps.n, before = (i + n - 1) % n, behind = (i + 1) % n;
	const step *s = &r->steps.v[i], *next = &r->steps.v[behind];
	double d[2], e[2], in = straight(r, before, i, d), out = straight(r, i, behind, e);
	double turn = atan2(d[0] * e[1] - d[1] * e[0], d[0] * e[0] + d[1] * e[1]), radius = rat_double(s->corner);
	double back = radius * fabs(tan(turn / 2)), side = turn > 0 ? 1 : -1;
	if (s->bend || next->bend) {
		diag *g = diag_error(r->c->diags, "plan-value", s->place,
				     "a corner gets a radius where two straight lines meet");
		diag_add_help(r->c->diags, g, "write the arc itself here");
		return false;
	}
	if (back > in - taken + 1e-9 || back > out + 1e-9) {
		diag *g = diag_error(r->c->diags, "outline-arc", s->place,
				     "a corner of %s takes %s of each line, and there is %s", length(r, radius),
				     length(r, back), length(r, fmin(in - taken, out)));
		diag_add_help(r->c->diags, g, "a smaller radius, or longer lines");
		return false;
	}
	/* Exact where the lines run along the axes. */
	rat from[2], to[2], centre[2];
	bool right = fabs(fabs(turn) - acos(-1.0) / 2) < 1e-12;
	for (int k = 0; k < 2; k++) {
		double off_in = -back * d[k], off_out = back * e[k];
		double off_mid = off_in + side * radius * (k ? d[0] : -d[1]);
		rat unit = s->corner;
		bool whole = right && (fabs(d[k]) < 1e-12 || fabs(fabs(d[k]) - 1) < 1e-12);
		from[k] = rat_add(s->at[k], whole ? rat_mul(unit, rat_int(lround(off_in / radius))) : fine(off_in));
		to[k] = rat_add(s->at[k], whole ? rat_mul(unit, rat_int(lround(off_out / radius))) : fine(off_out));
		centre[k] = rat_add(s->at[k], whole ? rat_mul(unit, rat_int(lround(off_mid / radius))) : fine(off_mid));
	}
	put(r, o, from, side > 0 ? 1 : -1, centre, s->place);
	if (!same(to, next->at)) put(r, o, to, 0, NULL, s->place);
	return true;
}

static double tangent(const reading *r, size_t i) {
	size_t n = r->steps.n;
	double d[2], e[2];
	if (rat_sign(r->steps.v[i].corner) <= 0) return 0;
	straight(r, (i + n - 1) % n, i, d);
	straight(r, i, (i + 1) % n, e);
	double turn = atan2(d[0] * e[1] - d[1] * e[0], d[0] * e[0] + d[1] * e[1]);
	return rat_double(r->steps.v[i].corner) * fabs(tan(turn / 2));
}

static bool gather(reading *r, model_outline *o) {
	size_t n = r->steps.n;
	for (size_t i = 0; i < n; i++) {
		const step *s = &r->steps.v[i], *next = &r->steps.v[(i + 1) % n];
		if (rat_sign(s->corner) > 0) {
			if (!rounded(r, o, i, tangent(r, (i + n - 1) % n))) return false;
			continue;
		}
		put(r, o, s->at, next->bend, next->centre, s->place);
	}
	return true;
}

/* ---- is it simple? ----------------------------------------------------------------------------------- */

static rat side_of(const model_corner *a, const model_corner *b, const model_corner *p) {
	rat du = rat_sub(b->u, a->u), dv = rat_sub(b->v, a->v), eu = rat_sub(p->u, a->u), ev = rat_sub(p->v, a->v);
	return rat_sub(rat_mul(du, ev), rat_mul(dv, eu));
}

/* Straight lines by exact signs; 1 they cross or touch, 0 they do not, -1 the fractions overflowed. */
static int lines_cross(const model_corner *a, const model_corner *b, const model_corner *p, const model_corner *q) {
	rat s[4] = {side_of(a, b, p), side_of(a, b, q), side_of(p, q, a), side_of(p, q, b)};
	for (int i = 0; i < 4; i++)
		if (!rat_ok(s[i])) return -1;
	int x = rat_sign(s[0]) * rat_sign(s[1]), y = rat_sign(s[2]) * rat_sign(s[3]);
	if (x > 0 || y > 0) return 0;
	if (x < 0 || y < 0 || rat_sign(s[0]) || rat_sign(s[1])) return 1;
	/* On one line: do they overlap along it? */
	rat lo_u = rat_max(rat_min(a->u, b->u), rat_min(p->u, q->u)),
	    hi_u = rat_min(rat_max(a->u, b->u), rat_max(p->u, q->u));
	rat lo_v = rat_max(rat_min(a->v, b->v), rat_min(p->v, q->v)),
	    hi_v = rat_min(rat_max(a->v, b->v), rat_max(p->v, q->v));
	return rat_le(lo_u, hi_u) && rat_le(lo_v, hi_v);
}

/* Neighbours share a corner; where else do they come together? */
static bool neighbours_meet(const outline_piece *p, const outline_piece *q, bool both_ends, outline_point *at) {
	double on_p[4], on_q[4];
	outline_point d = outline_direction(p, true), e = outline_direction(q, false);
	*at = p->to;
	if (d.x * e.x + d.y * e.y < 0 && fabs(d.x * e.y - d.y * e.x) < 1e-9) return true; /* straight back */
	size_t n = outline_meet(p, q, on_p, on_q);
	for (size_t i = 0; i < n; i++) {
		*at = outline_at(p, on_p[i]);
		if (hypot(at->x - p->to.x, at->y - p->to.y) < OUTLINE_SAME_MM) continue;
		if (both_ends && hypot(at->x - p->from.x, at->y - p->from.y) < OUTLINE_SAME_MM) continue;
		return true;
	}
	return false;
}

static bool meet(const model_outline *o, const outline_path *p, size_t i, size_t k, outline_point *at) {
	size_t n = p->n;
	bool next = k == (i + 1) % n, before = i == (k + 1) % n;
	if (next) return neighbours_meet(&p->v[i], &p->v[k], before, at);
	if (before) return neighbours_meet(&p->v[k], &p->v[i], false, at);
	if (outline_between(&p->v[i], &p->v[k], at, NULL) < OUTLINE_SAME_MM) return true;
	const model_corner *c = o->corners.v;
	return p->v[i].bend == 0 && p->v[k].bend == 0 &&
	       lines_cross(&c[i], &c[(i + 1) % n], &c[k], &c[(k + 1) % n]) == 1;
}

static bool simple(reading *r, const model_outline *o, const outline_path *p) {
	for (size_t i = 0; i < p->n; i++)
		for (size_t k = i + 1; k < p->n; k++) {
			outline_point at;
			if (!meet(o, p, i, k, &at)) continue;
			diag *g = diag_error(r->c->diags, "outline-crossed", o->corners.v[(k + 1) % p->n].at,
					     "the outline comes back to itself at (%s, %s)", length(r, at.x),
					     length(r, at.y));
			diag_add_note(r->c->diags, g, o->corners.v[(i + 1) % p->n].at, "this line was there before");
			diag_add_help(
				r->c->diags, g,
				"go round the opening once; two openings are two outlines, or a `list` of places");
			return false;
		}
	return true;
}

/* ---- into the model ------------------------------------------------------------------------------------ */

static void mirrored(model_outline *o, bool u, bool v) {
	for (size_t i = 0; i < o->corners.n; i++) {
		model_corner *k = &o->corners.v[i];
		if (u) k->u = rat_neg(k->u), k->cu = k->bend ? rat_neg(k->cu) : k->cu;
		if (v) k->v = rat_neg(k->v), k->cv = k->bend ? rat_neg(k->cv) : k->cv;
		if (u != v) k->bend = -k->bend;
	}
}

static void turned_round(arena *mem, model_outline *o) {
	size_t n = o->corners.n;
	model_corner *from = arena_copy(mem, o->corners.v, n * sizeof *from);
	for (size_t i = 0; i < n; i++) {
		model_corner *k = &o->corners.v[i];
		const model_corner *way = &from[(n - 1 - i) % n];
		*k = from[(n - i) % n];
		k->bend = -way->bend;
		k->cu = way->cu;
		k->cv = way->cv;
	}
}

/* Exactly the corner's coordinate, or the arc's centre and radius, that reaches farthest. */
static rat farthest(const model_outline *o, double at, bool along_v) {
	for (size_t i = 0; i < o->corners.n; i++) {
		rat x = along_v ? o->corners.v[i].v : o->corners.v[i].u;
		if (fabs(rat_double(x) - at) < 1e-9) return x;
	}
	for (size_t i = 0; i < o->corners.n; i++) {
		const model_corner *k = &o->corners.v[i];
		if (!k->bend) continue;
		rat du = rat_sub(k->u, k->cu), dv = rat_sub(k->v, k->cv), c = along_v ? k->cv : k->cu;
		if (rat_sign(du) && rat_sign(dv)) continue; /* its radius is no plain difference */
		rat r = rat_abs(rat_sign(du) ? du : dv);
		if (fabs(rat_double(c) + rat_double(r) - at) < 1e-9) return rat_add(c, r);
		if (fabs(rat_double(c) - rat_double(r) - at) < 1e-9) return rat_sub(c, r);
	}
	return fine(at);
}

/* The least radius of the corners that a cutter must reach: 0 when one of them is sharp. */
static rat inside_radius(const outline_path *p) {
	double least = INFINITY;
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *a = &p->v[i], *b = &p->v[(i + 1) % p->n];
		outline_point d = outline_direction(a, true), e = outline_direction(b, false);
		if (a->bend > 0) least = fmin(least, a->radius);
		if (d.x * e.y - d.y * e.x > 1e-6) return rat_int(0);
	}
	return isfinite(least) ? rat_from_double(least, 1000) : rat_int(0);
}

static void measure(reading *r, model_outline *o, const outline_path *p, model_shape *s) {
	outline_point lo, hi;
	outline_extent(p, &lo, &hi);
	rat low[2] = {farthest(o, lo.x, false), farthest(o, lo.y, true)};
	rat high[2] = {farthest(o, hi.x, false), farthest(o, hi.y, true)};
	s->off_u = rat_half(rat_add(low[0], high[0]));
	s->off_v = rat_half(rat_add(low[1], high[1]));
	s->a = rat_sub(high[0], low[0]);
	s->b = rat_sub(high[1], low[1]);
	for (size_t i = 0; i < o->corners.n; i++) {
		model_corner *k = &o->corners.v[i];
		k->u = rat_sub(k->u, s->off_u);
		k->v = rat_sub(k->v, s->off_v);
		if (!k->bend) continue;
		k->cu = rat_sub(k->cu, s->off_u);
		k->cv = rat_sub(k->cv, s->off_v);
	}
	s->corner = inside_radius(p);
	o->narrow = rat_from_double(outline_narrow(r->c->mem, p), 1000);
	s->outline = o;
}

static bool exact(reading *r, const model_outline *o) {
	for (size_t i = 0; i < o->corners.n; i++) {
		const model_corner *k = &o->corners.v[i];
		if (rat_ok(k->u) && rat_ok(k->v) && (!k->bend || (rat_ok(k->cu) && rat_ok(k->cv)))) continue;
		diag_error(r->c->diags, "plan-overflow", k->at,
			   "a point of this outline does not fit an exact fraction");
		return false;
	}
	return true;
}

static void read_block(reading *r) {
	line_list lines = {0};
	words_check_block(r->c, BLOCK_OUTLINE, r->line, &lines);
	r->bad = lines.n < r->line->block.n;
	for (size_t i = 0; i < lines.n && !r->bad; i++) {
		const syn_line *line = lines.v[i];
		if (r->closed) {
			diag *g = diag_error(r->c->diags, "plan-form", line->word_at, "nothing follows `close`");
			diag_add_help(r->c->diags, g, "it leads straight back to the beginning: write it last");
			r->bad = true;
			return;
		}
		if (line_is(line, "close"))
			r->closed = true;
		else
			read_line(r, line);
		if (r->steps.n <= MOST_PIECES) continue;
		diag_error(r->c->diags, "plan-count", line->at, "an outline has at most %d lines", MOST_PIECES);
		r->bad = true;
	}
	if (!r->bad && r->steps.n == 0) {
		diag *g = diag_error(r->c->diags, "plan-form", r->line->word_at, "this outline has no lines");
		diag_add_help(
			r->c->diags, g, "%s",
			example_shown(r->c->m,
				      "write for example: outline { from (0 mm, 0 mm); to (80 mm, 0 mm); arc left "
				      "to (80 mm, 40 mm) about (80 mm, 20 mm); to (0 mm, 40 mm); close }"));
		r->bad = true;
	}
}

bool outline_read(ctx *c, const inst *in, const syn_line *line, axis u, axis v, model_shape *s) {
	reading r = {.c = c, .u = u, .v = v, .line = line};
	model_outline *o = ARENA_NEW(c->mem, model_outline);
	read_block(&r);
	close_up(&r);
	if (r.bad || !gather(&r, o) || !exact(&r, o)) return false;
	s->kind = SHAPE_OUTLINE;
	s->along = u;
	s->outline = o;
	outline_path p = outline_of_shape(c->mem, s, u, v);
	if (!simple(&r, o, &p)) return false;
	bool turn_u = !face_high(inst_face_to_plan(in, face_of(u, true)));
	bool turn_v = !face_high(inst_face_to_plan(in, face_of(v, true)));
	mirrored(o, turn_u, turn_v);
	if ((outline_area(&p) < 0) != (turn_u != turn_v)) turned_round(c->mem, o);
	p = outline_of_shape(c->mem, s, u, v);
	measure(&r, o, &p, s);
	return true;
}
