#include "compiler/template_set.h"

#include <math.h>
#include <stdlib.h>

#include "runtime/engine/feature.h"

/* All mm. Common practice, no source: wood left round a screw, at an edge of the template and of the sheet; how far
 * beyond the base a hole is looked for; how far two of them lie apart; how near a screw finds a hole. */
enum { ROOM = 5, RIM = 15, EDGE = 10, FURTHER = 130, APART = 40, ENOUGH = 2 };
enum { SAMPLED_FROM = 9, SAMPLED = 128, CHOSEN = 8 };
static const double FOUND = 1, ALIKE = 0.01;

/* ---- what lies on a sheet ----------------------------------------------------------------------- */

typedef struct spot { /* a feature as it is seen on the face */
	rat at[2];
	double u, v, hu, hv, r;
	bool waste, screw; /* another opening that goes through; a hole for a screw */
} spot;
typedef struct sheet_face {
	frame frame;
	LIST(spot) spots; /* in order of u */
	double widest;
} sheet_face;

static int by_u(const void *a, const void *b) {
	const spot *x = a, *y = b;
	if (x->u != y->u) return x->u < y->u ? -1 : 1;
	return (x->v > y->v) - (x->v < y->v);
}

static sheet_face face_of_use(const model *m, const model_template_use *use, face f) {
	sheet_face s = {.frame = frame_of(m->parts.v[use->part].blank, f)};
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *x = &m->features.v[i];
		if (x->part != use->part) continue;
		feature_outline o = feature_outline_on(x, &s.frame);
		bool square_on = face_axis(x->face) == face_axis(f),
		     screw = x->kind == FEATURE_CLEARANCE || x->kind == FEATURE_PILOT;
		spot p = {.at = {o.u, o.v},
			  .u = rat_double(o.u),
			  .v = rat_double(o.v),
			  .hu = rat_double(o.hu),
			  .hv = rat_double(o.hv),
			  .r = rat_double(o.r),
			  .waste = x->kind == FEATURE_OPENING && x->through && square_on && !o.free,
			  .screw = screw && square_on};
		s.widest = fmax(s.widest, p.hu + p.r);
		LIST_PUSH(m->mem, &s.spots, p);
	}
	if (s.spots.n) qsort(s.spots.v, s.spots.n, sizeof *s.spots.v, by_u);
	return s;
}

/* The first spot that can reach as far to the left as u. */
static size_t first_near(const sheet_face *s, double u) {
	size_t lo = 0, hi = s->spots.n;
	while (lo < hi) {
		size_t mid = (lo + hi) / 2;
		if (s->spots.v[mid].u + s->widest < u)
			lo = mid + 1;
		else
			hi = mid;
	}
	return lo;
}

/* Distance from a point to the rectangle about which the spot is rounded. */
static double to_core(const spot *p, double u, double v) {
	return hypot(fmax(0, fabs(u - p->u) - p->hu), fmax(0, fabs(v - p->v) - p->hv));
}

static bool well_inside(const spot *p, double u, double v) {
	if (p->r >= ROOM) return to_core(p, u, v) <= p->r - ROOM + 1e-6;
	double less = ROOM - p->r - 1e-6;
	return fabs(u - p->u) <= p->hu - less && fabs(v - p->v) <= p->hv - less;
}

static model_meets meets(const sheet_face *s, double u, double v) {
	double w = rat_double(s->frame.width), h = rat_double(s->frame.height);
	double out = fmax(fmax(-u, u - w), fmax(-v, v - h));
	if (out >= ROOM - 1e-6) return MEETS_BEYOND;
	bool clear = true;
	for (size_t i = first_near(s, u - ROOM); i < s->spots.n; i++) {
		const spot *p = &s->spots.v[i];
		if (p->u - s->widest > u + ROOM) break;
		if (p->waste && well_inside(p, u, v)) return MEETS_OPENING;
		if (p->screw && hypot(u - p->u, v - p->v) <= FOUND) return MEETS_SCREW;
		clear = clear && to_core(p, u, v) - p->r >= ROOM - 1e-6;
	}
	return clear && out <= -EDGE + 1e-6 ? MEETS_SHEET : MEETS_NOTHING;
}

static bool leaves_nothing(model_meets k) { return k <= MEETS_BEYOND; }

/* ---- how it lies -------------------------------------------------------------------------------- */

/* A place of a sheet, from where the template's centre lines are, as the template is drawn. */
static model_at drawn(const model_template_use *u, model_at p) {
	for (uint32_t q = 0; q < u->quarters; q++) {
		rat y = p.v[1];
		p.v[1] = rat_neg(p.v[0]), p.v[0] = y;
	}
	if (u->over) p.v[0] = rat_neg(p.v[0]);
	return p;
}

static const model_sheet_of_pattern *sheet_of(const model *m, const model_template_use *u) {
	return model_pattern_sheet(&m->patterns.v[u->pattern], u->part);
}

/* Half of the template's opening each way about the centre lines of the finished one, as drawn. */
static model_at half_opening(const model *m, const model_template *t) {
	const model_sheet_of_pattern *s = sheet_of(m, &t->uses.v[0]);
	bool along = t->opening.along == frame_of((box3){0}, s->face).u || t->opening.kind == SHAPE_ROUND;
	if (t->opening.kind == SHAPE_OUTLINE) along = true;
	rat off[2] = {rat_int(0), rat_int(0)};
	if (t->opening.kind == SHAPE_OUTLINE) {
		off[0] = rat_abs(rat_sub(t->opening.off_u, s->shape.off_u));
		off[1] = rat_abs(rat_sub(t->opening.off_v, s->shape.off_v));
	}
	rat a = rat_half(t->opening.a), b = rat_half(t->opening.b);
	return (model_at){{rat_add(along ? a : b, off[0]), rat_add(along ? b : a, off[1])}};
}

static int by_rows(const void *a, const void *b) {
	const model_template_place *x = a, *y = b;
	for (int k = 1; k >= 0; k--) {
		int c = rat_cmp(x->at[k], y->at[k]);
		if (c) return c;
	}
	return (x->index > y->index) - (x->index < y->index);
}

static void add_places(model *m, model_template_use *use, const sheet_face *s) {
	for (size_t i = 0; i < m->features.n; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind != FEATURE_OPENING || f->part != use->part || f->pattern != use->pattern) continue;
		model_template_place p = {.index = f->index};
		frame_from_cabinet(&s->frame, f->centre, &p.at[0], &p.at[1], NULL);
		LIST_PUSH(m->mem, &use->places, p);
	}
	if (use->places.n) qsort(use->places.v, use->places.n, sizeof *use->places.v, by_rows);
}

/* ---- holes to fix it by -------------------------------------------------------------------------- */

typedef struct holes_search {
	arena *mem;
	const model_template *t;
	sheet_face *face; /* of each use */
	double clear;	  /* of a hole from the opening's edge */
	model_at half;
	LIST(model_at) found;
	LIST(const model_template_place *) at; /* sampled places, and their uses */
	LIST(size_t) use;
} holes_search;

static bool where_base_runs(const holes_search *s, model_at p) {
	double x = fabs(rat_double(p.v[0])), y = fabs(rat_double(p.v[1]));
	double hx = rat_double(s->half.v[0]), hy = rat_double(s->half.v[1]);
	if (s->t->opening.kind == SHAPE_ROUND) return hypot(x, y) - hx < s->clear - 1e-6;
	return hypot(fmax(0, x - hx), fmax(0, y - hy)) < s->clear - 1e-6;
}

static bool too_far(const holes_search *s, model_at p) {
	double x = fabs(rat_double(p.v[0])) - rat_double(s->half.v[0]);
	double y = fabs(rat_double(p.v[1])) - rat_double(s->half.v[1]);
	return fmax(x, y) > s->clear + FURTHER;
}

static double between(model_at a, model_at b) {
	return hypot(rat_double(rat_sub(a.v[0], b.v[0])), rat_double(rat_sub(a.v[1], b.v[1])));
}

static void offer(holes_search *s, model_at p) {
	if (where_base_runs(s, p) || too_far(s, p)) return;
	for (size_t i = 0; i < s->found.n; i++)
		if (between(p, s->found.v[i]) < ALIKE) return;
	LIST_PUSH(s->mem, &s->found, p);
}

/* Where the template would lie over other openings and screw holes, were it set here. */
static void offer_from(holes_search *s, size_t use, const model_template_place *at) {
	const sheet_face *f = &s->face[use];
	double far = fmax(rat_double(s->half.v[0]), rat_double(s->half.v[1])) + s->clear + FURTHER;
	for (size_t i = first_near(f, rat_double(at->at[0]) - far - f->widest); i < f->spots.n; i++) {
		const spot *p = &f->spots.v[i];
		if (p->u > rat_double(at->at[0]) + far) break;
		if (!p->waste && !p->screw) continue;
		model_at by = {{rat_sub(p->at[0], at->at[0]), rat_sub(p->at[1], at->at[1])}};
		offer(s, drawn(&s->t->uses.v[use], by));
	}
}

static model_meets over(const holes_search *s, size_t use, const model_template_place *at, model_at hole) {
	model_at by = model_template_lies(&s->t->uses.v[use], hole);
	return meets(&s->face[use], rat_double(rat_add(at->at[0], by.v[0])), rat_double(rat_add(at->at[1], by.v[1])));
}

static double apart(const model_template *t, model_at p) {
	double least = INFINITY;
	for (size_t i = 0; i < t->holes.n; i++) least = fmin(least, between(p, t->holes.v[i]));
	return least;
}

/* The one that helps at most places that have not enough; of equals the one furthest from the others, then nearest. */
static bool choose(holes_search *s, model_template *t, int *has) {
	size_t best = 0, best_gain = 0;
	double best_apart = 0, best_near = 0;
	for (size_t i = 0; i < s->found.n; i++) {
		model_at c = s->found.v[i];
		double far = apart(t, c), near = hypot(rat_double(c.v[0]), rat_double(c.v[1]));
		size_t gain = 0;
		if (far < APART) continue;
		for (size_t k = 0; k < s->at.n; k++)
			gain += has[k] < ENOUGH && leaves_nothing(over(s, s->use.v[k], s->at.v[k], c));
		if (t->holes.n == 0) far = 0;
		bool better = gain > best_gain ||
			      (gain == best_gain &&
			       (far > best_apart + 1e-6 || (far > best_apart - 1e-6 && near < best_near - 1e-6)));
		if (gain && better) best = i, best_gain = gain, best_apart = far, best_near = near;
	}
	if (!best_gain) return false;
	for (size_t k = 0; k < s->at.n; k++)
		has[k] += leaves_nothing(over(s, s->use.v[k], s->at.v[k], s->found.v[best]));
	LIST_PUSH(s->mem, &t->holes, s->found.v[best]);
	return true;
}

static void choose_holes(holes_search *s, model_template *t) {
	rat x = rat_add(s->half.v[0], rat_from_double(s->clear, 1000)),
	    y = rat_add(s->half.v[1], rat_from_double(s->clear, 1000));
	const model_at corner[4] = {{{rat_neg(x), rat_neg(y)}}, {{x, rat_neg(y)}}, {{rat_neg(x), y}}, {{x, y}}};
	for (size_t u = 0; u < t->uses.n; u++) {
		const model_template_use *use = &t->uses.v[u];
		size_t n = use->places.n, step = n / SAMPLED + 1;
		for (size_t i = 0; i < n; i += step) {
			LIST_PUSH(s->mem, &s->at, (const model_template_place *)&use->places.v[i]);
			LIST_PUSH(s->mem, &s->use, u);
		}
		for (size_t i = 0; i < SAMPLED_FROM && n; i++)
			offer_from(s, u, &use->places.v[i * (n - 1) / (SAMPLED_FROM - 1)]);
	}
	for (int i = 0; i < 4; i++) offer(s, corner[i]);
	int *has = ARENA_MANY(s->mem, int, s->at.n + 1);
	while (t->holes.n < CHOSEN && choose(s, t, has))
		;
	bool enough = true;
	for (size_t k = 0; k < s->at.n; k++) enough = enough && has[k] >= ENOUGH;
	for (int i = 0; i < 4 && !enough; i++)
		if (apart(t, corner[i]) >= APART) LIST_PUSH(s->mem, &t->holes, corner[i]);
}

/* ---- blocks to set it by -------------------------------------------------------------------------- */

static bool near_equal(rat a, rat b) { return rat_le(rat_abs(rat_sub(a, b)), rat_of(1, 500)); }

typedef struct row_of_places {
	size_t from, n;
	rat step;
	uint32_t times;
	bool taken;
} row_of_places;

/* The row that begins at place i: as far as its places stand whole steps apart. */
static row_of_places row_at(const model_template_use *u, size_t i) {
	const model_template_place *v = u->places.v;
	row_of_places r = {.from = i, .n = 1, .step = rat_int(0), .times = 1};
	size_t end = i + 1;
	while (end < u->places.n && near_equal(v[end].at[1], v[i].at[1])) end++;
	if (end == i + 1) return r;
	for (size_t k = i + 1; k < end; k++) {
		rat gap = rat_sub(v[k].at[0], v[k - 1].at[0]);
		r.step = k == i + 1 ? gap : rat_min(r.step, gap);
	}
	for (size_t k = i + 1; k < end && rat_sign(r.step) > 0; k++) {
		rat n = rat_div(rat_sub(v[k].at[0], v[i].at[0]), r.step);
		int64_t whole = rat_floor(rat_add(n, rat_of(1, 2)));
		if (!near_equal(rat_mul(r.step, rat_int(whole)), rat_sub(v[k].at[0], v[i].at[0]))) break;
		r.n = k - i + 1, r.times = (uint32_t)whole + 1;
	}
	if (r.n == 1) r.step = rat_int(0);
	return r;
}

static bool alike(const model_template_use *u, const row_of_places *a, const row_of_places *b) {
	return a->times == b->times && near_equal(a->step, b->step) &&
	       near_equal(u->places.v[a->from].at[0], u->places.v[b->from].at[0]);
}

static void find_runs(arena *mem, model_template_use *u) {
	LIST(row_of_places) rows = {0};
	for (size_t i = 0; i < u->places.n; i += rows.v[rows.n - 1].n) LIST_PUSH(mem, &rows, row_at(u, i));
	for (size_t i = 0; i < rows.n; i++) {
		if (rows.v[i].taken) continue;
		const model_template_place *first = &u->places.v[rows.v[i].from];
		model_template_run run = {.block = {first->block[0], first->block[1]},
					  .step = {rows.v[i].step, rat_int(0)},
					  .n = {rows.v[i].times, 1}};
		for (size_t k = i + 1; k < rows.n; k++) {
			if (rows.v[k].taken || !alike(u, &rows.v[i], &rows.v[k])) continue;
			rat up = rat_sub(u->places.v[rows.v[k].from].at[1], first->at[1]);
			if (run.n[1] == 1) run.step[1] = up;
			if (!near_equal(up, rat_mul(run.step[1], rat_int((int64_t)run.n[1])))) continue;
			run.n[1]++;
			rows.v[k].taken = true;
		}
		LIST_PUSH(mem, &u->runs, run);
	}
}

/* ---- all of it ------------------------------------------------------------------------------------ */

rat template_whole_steps(rat v, rat step) { return rat_mul(step, rat_int(rat_ceil(rat_div(v, step)))); }

/* As broad as the base and the holes want it, in whole 5 mm or half inches, so that blocks come out in round figures.
 */
static void size_it(const model *m, model_template *t, const holes_search *s) {
	rat step = m->measures == MEASURES_INCH ? rat_of(127, 10) : rat_int(10);
	for (int k = 0; k < 2; k++) {
		rat half = rat_add(s->half.v[k], rat_add(t->reach, rat_int(TEMPLATE_HEAD_MM / 2 + RIM)));
		for (size_t i = 0; i < t->holes.n; i++)
			half = rat_max(half, rat_add(rat_abs(t->holes.v[i].v[k]), rat_int(RIM)));
		t->size[k] = template_whole_steps(rat_add(half, half), step);
		rat runs = rat_add(s->half.v[k], t->reach); /* wood below it wherever the base runs */
		t->waste[k] = template_whole_steps(rat_add(runs, runs), step);
	}
}

static void set_places(model *m, const holes_search *s, size_t use) {
	model_template_use *u = &s->t->uses.v[use];
	for (size_t i = 0; i < u->places.n; i++) {
		model_template_place *p = &u->places.v[i];
		for (int k = 0; k < 2; k++) {
			rat size = s->t->size[u->quarters % 2 ? 1 - k : k];
			p->block[k] = rat_sub(p->at[k], rat_half(size));
		}
		for (size_t h = 0; h < s->t->holes.n; h++) {
			model_meets kind = over(s, use, p, s->t->holes.v[h]);
			p->meets[h] = (uint8_t)kind;
			p->holds += leaves_nothing(kind);
		}
	}
	find_runs(m->mem, u);
}

void template_set(model *m, model_template *t) {
	const model_tool *tool = &m->tools.v[t->tool];
	rat base = rat_ok(tool->base.mm) ? tool->base.mm : TEMPLATE_BASE_MM;
	t->reach = rat_max(rat_int(0), rat_half(rat_sub(base, tool->bush.mm)));
	t->hole = m->measures == MEASURES_INCH ? TEMPLATE_HOLE_INCH : TEMPLATE_HOLE_MM;
	holes_search s = {.mem = m->mem, .t = t, .half = half_opening(m, t)};
	s.clear = rat_double(t->reach) + TEMPLATE_HEAD_MM / 2.0;
	s.face = ARENA_MANY(m->mem, sheet_face, t->uses.n);
	for (size_t i = 0; i < t->uses.n; i++) {
		s.face[i] = face_of_use(m, &t->uses.v[i], sheet_of(m, &t->uses.v[i])->face);
		add_places(m, &t->uses.v[i], &s.face[i]);
	}
	choose_holes(&s, t);
	size_it(m, t, &s);
	for (size_t i = 0; i < t->uses.n; i++) set_places(m, &s, i);
}
