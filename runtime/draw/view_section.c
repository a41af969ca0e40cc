#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/draw/dim.h"
#include "runtime/draw/view_picture.h"

typedef struct cell_rect { /* in the section's plane, u and v */
	double u0, v0, u1, v1;
} cell_rect;

typedef struct cut { /* one part that the plane goes through */
	unsigned part;
	cell_rect box;
	LIST(cell_rect) voids; /* openings, as far as they lie in the plane */
	int shade;	       /* which of the hatchings */
} cut;

typedef struct section {
	display *d;
	arena *mem;
	const view_scene *scene;
	int n, u, v; /* axes */
	double at;
	view_section_map map;
	LIST(cut) cuts;
} section;

static double page_u(const section *s, double u) { return s->map.x + (s->map.u_left ? -u : u) * s->map.scale; }
static double page_v(const section *s, double v) { return s->map.y - v * s->map.scale; }

/* Half the chord that a line at distance `off` from the centre, along axis `along`, cuts from the shape. */
static double half_chord(const lines_shape *h, bool along_a, double off) {
	double half = along_a ? h->half_a : h->half_b, other = along_a ? h->half_b : h->half_a;
	double over = fabs(off) - (other - h->r);
	if (fabs(off) >= other) return 0;
	return over <= 0 ? half : half - h->r + sqrt(fmax(0, h->r * h->r - over * over));
}

/* Where the plane runs within an opening that goes across it: stretches along axis t. */
static void chords_of(const section *s, const view_part *part, const view_hole *h, int t, lines_spans *out) {
	bool low = t < s->n; /* a free outline's points stand in the order of the axes */
	lines_shape shape = low ? view_hole_shape(h, (axis)t, (axis)s->n) : view_hole_shape(h, (axis)s->n, (axis)t);
	double at = s->at - part->offset[s->n], mid = (low ? shape.a : shape.b) + part->offset[t];
	if (shape.n) {
		double from = mid - part->offset[t] - (low ? shape.half_a : shape.half_b) - 1;
		double to = mid - part->offset[t] + (low ? shape.half_a : shape.half_b) + 1;
		const double q0[2] = {low ? from : at, low ? at : from}, q1[2] = {low ? to : at, low ? at : to};
		lines_in_shape(s->mem, &shape, q0, q1, out);
		for (size_t i = 0; i < out->n; i++) {
			out->v[i].t0 = from + part->offset[t] + out->v[i].t0 * (to - from);
			out->v[i].t1 = from + part->offset[t] + out->v[i].t1 * (to - from);
		}
		return;
	}
	double half = half_chord(&shape, low, at - (low ? shape.b : shape.a));
	if (half > 0) LIST_PUSH(s->mem, out, ((lines_span){mid - half, mid + half}));
}

static void add_void(section *s, cut *c, const view_part *part, const view_hole *h) {
	int hn = (int)face_axis(h->face);
	if (hn == s->n) {
		/* It runs across the plane: the plane cuts it in its full shape, drawn as its frame. Only as deep as it
		 * is. */
		double c0 = face_high(h->face) ? part->hi[hn] : part->lo[hn];
		double deep = h->through ? part->hi[hn] - part->lo[hn] : h->depth;
		double off = face_high(h->face) ? c0 - (s->at - part->offset[hn]) : (s->at - part->offset[hn]) - c0;
		if (off < 0 || off > deep) return;
		lines_shape shape = view_hole_shape(h, (axis)s->u, (axis)s->v); /* its frame: half sizes only */
		double u = shape.a + part->offset[s->u], v = shape.b + part->offset[s->v];
		LIST_PUSH(s->mem, &c->voids,
			  ((cell_rect){u - shape.half_a, v - shape.half_b, u + shape.half_a, v + shape.half_b}));
		return;
	}
	int t = hn == s->u ? s->v : s->u; /* the in-plane axis across the hole */
	double lo = part->lo[hn] + part->offset[hn], hi = part->hi[hn] + part->offset[hn];
	if (!h->through) {
		if (face_high(h->face))
			lo = fmax(lo, hi - h->depth);
		else
			hi = fmin(hi, lo + h->depth);
	}
	lines_spans chords = {0};
	chords_of(s, part, h, t, &chords);
	for (size_t i = 0; i < chords.n; i++) {
		cell_rect r = {chords.v[i].t0, lo, chords.v[i].t1, hi};
		if (t == s->v) r = (cell_rect){lo, chords.v[i].t0, hi, chords.v[i].t1};
		LIST_PUSH(s->mem, &c->voids, r);
	}
}

static void find_cuts(section *s) {
	for (size_t i = 0; i < s->scene->n; i++) {
		const view_part *part = &s->scene->part[i];
		double lo[3], hi[3];
		if (part->emphasis == VIEW_ABSENT) continue;
		view_part_box(part, lo, hi);
		if (!(lo[s->n] < s->at && s->at < hi[s->n])) continue;
		cut *c = LIST_ADD(s->mem, &s->cuts);
		c->part = (unsigned)i;
		c->box = (cell_rect){lo[s->u], lo[s->v], hi[s->u], hi[s->v]};
		for (size_t h = 0; h < part->n_holes; h++) add_void(s, c, part, &part->hole[h]);
	}
	/* Parts that touch get different hatchings. */
	for (size_t i = 0; i < s->cuts.n; i++) {
		bool taken[8] = {false};
		const cell_rect *a = &s->cuts.v[i].box;
		for (size_t k = 0; k < i; k++) {
			const cell_rect *b = &s->cuts.v[k].box;
			const double near = 0.5;
			if (a->u0 < b->u1 + near && b->u0 < a->u1 + near && a->v0 < b->v1 + near &&
			    b->v0 < a->v1 + near)
				taken[s->cuts.v[k].shade] = true;
		}
		while (s->cuts.v[i].shade < 7 && taken[s->cuts.v[i].shade]) s->cuts.v[i].shade++;
	}
}

/* ---- what is cut: the part's rectangle less the openings, cell by cell ------------------------------------- */

static int by_value(const void *a, const void *b) {
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

static size_t stops(arena *mem, const cut *c, bool along_u, double **out) {
	double lo = along_u ? c->box.u0 : c->box.v0, hi = along_u ? c->box.u1 : c->box.v1;
	double *v = ARENA_MANY(mem, double, 2 * c->voids.n + 2);
	size_t n = 0, k = 0;
	v[n++] = lo, v[n++] = hi;
	for (size_t i = 0; i < c->voids.n; i++) {
		double a = along_u ? c->voids.v[i].u0 : c->voids.v[i].v0,
		       b = along_u ? c->voids.v[i].u1 : c->voids.v[i].v1;
		if (a > lo && a < hi) v[n++] = a;
		if (b > lo && b < hi) v[n++] = b;
	}
	qsort(v, n, sizeof *v, by_value);
	for (size_t i = 0; i < n; i++)
		if (!k || v[i] - v[k - 1] > 1e-6) v[k++] = v[i];
	*out = v;
	return k;
}

static bool solid(const cut *c, double u, double v) {
	for (size_t i = 0; i < c->voids.n; i++) {
		const cell_rect *r = &c->voids.v[i];
		if (u > r->u0 && u < r->u1 && v > r->v0 && v < r->v1) return false;
	}
	return true;
}

static void draw_cut(const section *s, const cut *c) {
	static const double ANGLE[8] = {45, 135, 22.5, 112.5, 67.5, 157.5, 30, 120};
	display *d = s->d;
	double *u, *v;
	size_t nu = stops(s->mem, c, true, &u), nv = stops(s->mem, c, false, &v);
	bool *full = ARENA_MANY(s->mem, bool, nu *nv + 1);
	for (size_t i = 0; i + 1 < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++)
			full[i * nv + k] = solid(c, (u[i] + u[i + 1]) / 2, (v[k] + v[k + 1]) / 2);
	for (size_t i = 0; i + 1 < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++)
			if (full[i * nv + k])
				display_add_rect(d, fmin(page_u(s, u[i]), page_u(s, u[i + 1])), page_v(s, v[k + 1]),
						 fabs(u[i + 1] - u[i]) * s->map.scale,
						 (v[k + 1] - v[k]) * s->map.scale);
	if (!d->path.n) return;
	if (s->scene->part[c->part].hollow) {
		display_paint(d, PEN_NONE, FILL_WHITE);
		display_segment(d, PEN_DIM, page_u(s, c->box.u0), page_v(s, c->box.v0), page_u(s, c->box.u1),
				page_v(s, c->box.v1));
		display_segment(d, PEN_DIM, page_u(s, c->box.u0), page_v(s, c->box.v1), page_u(s, c->box.u1),
				page_v(s, c->box.v0));
		display_rect(d, PEN_EDGE, FILL_NONE, fmin(page_u(s, c->box.u0), page_u(s, c->box.u1)),
			     page_v(s, c->box.v1), fabs(c->box.u1 - c->box.u0) * s->map.scale,
			     (c->box.v1 - c->box.v0) * s->map.scale);
		return;
	}
	double thin = fmin(c->box.u1 - c->box.u0, c->box.v1 - c->box.v0) * s->map.scale;
	if (thin < 0.9) { /* too thin for hatching to show: ISO 128-50 lets it be filled */
		display_paint(d, PEN_NONE, FILL_BLACK);
	} else {
		/* Neighbouring cells are hatched as one: they share no crossing at their common side. */
		display_hatch(d, PEN_HATCH, ANGLE[c->shade], fmax(0.8, fmin(2.5, 0.5 * thin)), false);
	}
	/* Behind the plane the sheet goes on round an opening: its faces are seen as thin lines. */
	for (size_t i = 0; i + 1 < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++) {
			if (full[i * nv + k]) continue;
			const double side[4][4] = {{u[i], v[k], u[i + 1], v[k]},
						   {u[i], v[k + 1], u[i + 1], v[k + 1]},
						   {u[i], v[k], u[i], v[k + 1]},
						   {u[i + 1], v[k], u[i + 1], v[k + 1]}};
			const bool rim[4] = {k == 0, k + 2 == nv, i == 0, i + 2 == nu};
			for (int q = 0; q < 4; q++)
				if (rim[q])
					display_segment(d, PEN_DIM, page_u(s, side[q][0]), page_v(s, side[q][1]),
							page_u(s, side[q][2]), page_v(s, side[q][3]));
		}
	/* Outline: sides between full and empty cells. */
	for (size_t i = 0; i < nu; i++)
		for (size_t k = 0; k + 1 < nv; k++) {
			bool left = i > 0 && full[(i - 1) * nv + k], right = i + 1 < nu && full[i * nv + k];
			if (left == right) continue;
			display_move(d, page_u(s, u[i]), page_v(s, v[k]));
			display_line(d, page_u(s, u[i]), page_v(s, v[k + 1]));
		}
	for (size_t k = 0; k < nv; k++)
		for (size_t i = 0; i + 1 < nu; i++) {
			bool low = k > 0 && full[i * nv + k - 1], high = k + 1 < nv && full[i * nv + k];
			if (low == high) continue;
			display_move(d, page_u(s, u[i]), page_v(s, v[k]));
			display_line(d, page_u(s, u[i + 1]), page_v(s, v[k]));
		}
	display_paint(d, PEN_EDGE, FILL_NONE);
}

/* ---- what lies behind ---------------------------------------------------------------------------------------- */

/* Parts behind the plane; cut ones end at it, hide what is behind them and have no lines of their own. */
static view_scene behind(const section *s, bool reverse, bool **no_edges) {
	view_scene out = {.part = ARENA_MANY(s->mem, view_part, s->scene->n + 1)};
	*no_edges = ARENA_MANY(s->mem, bool, s->scene->n + 1);
	for (size_t i = 0; i < s->scene->n; i++) {
		view_part part = s->scene->part[i];
		double lo[3], hi[3];
		if (part.emphasis == VIEW_ABSENT) continue;
		view_part_box(&part, lo, hi);
		if (reverse ? lo[s->n] >= s->at : hi[s->n] <= s->at) continue;
		part.emphasis = VIEW_NORMAL;
		if (lo[s->n] < s->at && s->at < hi[s->n]) {
			*(reverse ? &part.hi[s->n] : &part.lo[s->n]) = s->at - part.offset[s->n];
			(*no_edges)[out.n] = true;
		}
		out.part[out.n++] = part;
	}
	return out;
}

view_section_map view_section(display *d, display_box into, const view_scene *scene, axis normal, double at,
			      bool reverse, const view_options *o) {
	arena scratch = {0};
	section s = {.d = d, .mem = &scratch, .scene = scene, .n = (int)normal, .at = at};
	s.u = normal == AXIS_X ? AXIS_Y : AXIS_X;
	s.v = normal == AXIS_Z ? AXIS_Y : AXIS_Z;
	/* Looking along +x, y runs to the left; along +y, x runs right; along +z (from below), x runs left, so that
	 * y stays up. Reversed: the other way. */
	bool left = normal == AXIS_Y ? reverse : !reverse;
	double to_viewer[3] = {0, 0, 0}, right[3] = {0, 0, 0}, up[3] = {0, 0, 0};
	to_viewer[s.n] = reverse ? 1 : -1, right[s.u] = left ? -1 : 1, up[s.v] = 1;
	bool *no_edges;
	view_scene rest = behind(&s, reverse, &no_edges);
	view_picture p = view_picture_begin(&scratch, &rest, to_viewer, right, up);
	view_picture whole = view_picture_begin(&scratch, scene, to_viewer, right, up);
	display_box e = view_picture_extent(&whole);
	s.map = (view_section_map){.u = (axis)s.u, .v = (axis)s.v, .u_left = left};
	s.map.report.box = display_box_of(into.x0, into.y0, 0, 0);
	if (!(e.x1 > e.x0) || !(e.y1 > e.y0)) {
		arena_end(&scratch);
		return s.map;
	}
	double cap = o->cap > 0 ? o->cap : CAP_BODY, room = o->overall ? 12 + cap : 1;
	display_box in = {into.x0 + room, into.y0 + 1, into.x1 - 1, into.y1 - room};
	p.scale = fmin((in.x1 - in.x0) / (e.x1 - e.x0), (in.y1 - in.y0) / (e.y1 - e.y0));
	if (o->most_scale > 0) p.scale = fmin(p.scale, o->most_scale);
	p.x = (in.x0 + in.x1) / 2 - p.scale * (e.x0 + e.x1) / 2;
	p.y = (in.y0 + in.y1) / 2 - p.scale * (e.y0 + e.y1) / 2;
	p.no_edges = no_edges;
	s.map.x = p.x, s.map.y = p.y, s.map.scale = p.scale;
	view_picture_build(&p);
	/* Thin line for all that is behind: the cut is what the eye shall find. */
	for (size_t i = 0; i < p.set.segments.n; i++)
		if (p.set.segments.v[i].pen != PEN_NONE) p.set.segments.v[i].pen = PEN_DIM;
	view_picture_draw(d, &p, false, &s.map.report);
	find_cuts(&s);
	for (size_t i = 0; i < s.cuts.n; i++) draw_cut(&s, &s.cuts.v[i]);
	display_box b = {p.x + p.scale * e.x0, p.y + p.scale * e.y0, p.x + p.scale * e.x1, p.y + p.scale * e.y1};
	if (o->overall) {
		const char *w = dim_text(d->mem, rat_from_double((e.x1 - e.x0), 64000), o->measures);
		const char *h = dim_text(d->mem, rat_from_double((e.y1 - e.y0), 64000), o->measures);
		dim_horizontal(d, (display_point){b.x0, b.y1}, (display_point){b.x1, b.y1}, b.y1 + 8, cap, w);
		dim_vertical(d, (display_point){b.x0, b.y0}, (display_point){b.x0, b.y1}, b.x0 - 8, cap, h);
	}
	s.map.report.scale = p.scale;
	s.map.report.box = b;
	arena_end(&scratch);
	return s.map;
}
