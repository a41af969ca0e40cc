#include "runtime/draw/view_lines.h"

#include <math.h>
#include <stdlib.h>

#include "runtime/base/order.h"

/* ---- intervals ------------------------------------------------------------------------------------ */

/* Keeps the part of *s where p(t) = p0 + t (p1 - p0) lies between lo and hi. */
static bool clip(lines_span *s, double p0, double p1, double lo, double hi) {
	double d = p1 - p0;
	if (fabs(d) < 1e-12) return p0 >= lo && p0 <= hi;
	double t0 = (lo - p0) / d, t1 = (hi - p0) / d;
	if (t0 > t1) {
		double t = t0;
		t0 = t1, t1 = t;
	}
	if (t0 > s->t0) s->t0 = t0;
	if (t1 < s->t1) s->t1 = t1;
	return s->t0 < s->t1;
}

static void join(lines_span *all, bool *any, lines_span one) {
	if (!*any) {
		*all = one;
		*any = true;
		return;
	}
	all->t0 = fmin(all->t0, one.t0);
	all->t1 = fmax(all->t1, one.t1);
}

static bool in_rect(double qa, double qb, double da, double db, double ha, double hb, lines_span *s) {
	*s = (lines_span){0, 1};
	return ha >= 0 && hb >= 0 && clip(s, qa, qa + da, -ha, ha) && clip(s, qb, qb + db, -hb, hb);
}

static bool in_circle(double qa, double qb, double da, double db, double r, lines_span *s) {
	double a = da * da + db * db, b = qa * da + qb * db, c = qa * qa + qb * qb - r * r;
	double root = b * b - a * c;
	if (root <= 0 || a < 1e-24) {
		*s = (lines_span){0, 1};
		return a < 1e-24 && c < 0;
	}
	root = sqrt(root);
	s->t0 = fmax(0, (-b - root) / a);
	s->t1 = fmin(1, (-b + root) / a);
	return s->t0 < s->t1;
}

static bool in_polygon(const lines_shape *s, double a, double b) {
	bool in = false;
	for (size_t i = 0, k = s->n - 1; i < s->n; k = i++) {
		const double *p = s->corner[i], *q = s->corner[k];
		if ((p[1] > b) != (q[1] > b) && a < p[0] + (b - p[1]) / (q[1] - p[1]) * (q[0] - p[0])) in = !in;
	}
	return in;
}

static void through_polygon(arena *mem, const lines_shape *s, double qa, double qb, double da, double db,
			    lines_spans *out) {
	double *t = ARENA_MANY(mem, double, s->n + 2);
	size_t n = 0;
	t[n++] = 0, t[n++] = 1;
	for (size_t i = 0, k = s->n - 1; i < s->n; k = i++) {
		const double *p = s->corner[k], *q = s->corner[i];
		double ea = q[0] - p[0], eb = q[1] - p[1], across = da * eb - db * ea;
		if (fabs(across) < 1e-15) continue;
		double on = ((p[0] - qa) * eb - (p[1] - qb) * ea) / across;
		double at = ((p[0] - qa) * db - (p[1] - qb) * da) / across;
		if (at >= 0 && at <= 1 && on > 0 && on < 1) t[n++] = on;
	}
	order_doubles(t, n);
	for (size_t i = 0; i + 1 < n; i++) {
		double middle = (t[i] + t[i + 1]) / 2;
		if (!(t[i + 1] > t[i]) || !in_polygon(s, qa + middle * da, qb + middle * db)) continue;
		if (out->n && !(out->v[out->n - 1].t1 < t[i]))
			out->v[out->n - 1].t1 = t[i + 1];
		else
			LIST_PUSH(mem, out, ((lines_span){t[i], t[i + 1]}));
	}
}

void lines_in_shape(arena *mem, const lines_shape *s, const double q0[2], const double q1[2], lines_spans *out) {
	double qa = q0[0] - s->a, qb = q0[1] - s->b, da = q1[0] - q0[0], db = q1[1] - q0[1];
	/* Far off, as nearly all are. */
	double ra = qa + da, rb = qb + db;
	if ((qa > s->half_a && ra > s->half_a) || (qa < -s->half_a && ra < -s->half_a) ||
	    (qb > s->half_b && rb > s->half_b) || (qb < -s->half_b && rb < -s->half_b))
		return;
	if (s->n) {
		through_polygon(mem, s, qa, qb, da, db, out);
		return;
	}
	double ia = s->half_a - s->r, ib = s->half_b - s->r;
	lines_span one, all;
	bool any = false;
	/* The shape is convex, so the hull of what its pieces give is the interval. */
	if (ia > 0 && in_rect(qa, qb, da, db, ia, s->half_b, &one)) join(&all, &any, one);
	if (ib > 0 && in_rect(qa, qb, da, db, s->half_a, ib, &one)) join(&all, &any, one);
	if (s->r > 0) {
		for (int i = 0; i < 4; i++) {
			if ((i & 1 && !(ia > 0)) || (i & 2 && !(ib > 0))) continue; /* the same centre again */
			double ca = i & 1 ? -ia : ia, cb = i & 2 ? -ib : ib;
			if (in_circle(qa - ca, qb - cb, da, db, s->r, &one)) join(&all, &any, one);
		}
	}
	if (any) LIST_PUSH(mem, out, all);
}

static int by_start(const void *a, const void *b) {
	const lines_span *x = a, *y = b;
	return (x->t0 > y->t0) - (x->t0 < y->t0);
}

/* ---- what one face hides ----------------------------------------------------------------------------- */

/* Adds the interval less what daylight gives back. */
static void add_hidden(const lines_set *l, const lines_face *f, lines_span h, const double q0[2], const double q1[2],
		       lines_work *w, lines_spans *out) {
	lines_spans *lit = &w->lit, *near = &w->near, *beyond = &w->beyond;
	lit->n = 0;
	for (size_t i = 0; i < f->lights.n; i++) {
		const lines_light *g = &f->lights.v[i];
		lines_shape far = g->shape;
		far.a += g->shift_a, far.b += g->shift_b;
		near->n = beyond->n = 0;
		lines_in_shape(l->mem, &g->shape, q0, q1, near);
		if (near->n) lines_in_shape(l->mem, &far, q0, q1, beyond);
		for (size_t a = 0; a < near->n; a++)
			for (size_t b = 0; b < beyond->n; b++) {
				lines_span x = near->v[a], y = beyond->v[b];
				x.t0 = fmax(fmax(x.t0, y.t0), h.t0);
				x.t1 = fmin(fmin(x.t1, y.t1), h.t1);
				if (x.t0 < x.t1) LIST_PUSH(l->mem, lit, x);
			}
	}
	if (lit->n > 1) qsort(lit->v, lit->n, sizeof *lit->v, by_start);
	double at = h.t0;
	for (size_t i = 0; i < lit->n; i++) {
		if (lit->v[i].t0 > at) LIST_PUSH(l->mem, out, ((lines_span){at, lit->v[i].t0}));
		at = fmax(at, lit->v[i].t1);
	}
	if (at < h.t1) LIST_PUSH(l->mem, out, ((lines_span){at, h.t1}));
}

static void hide(const lines_set *l, const lines_segment *s, const lines_face *f, lines_work *w, lines_spans *out) {
	double vn = l->v[f->n], s0 = (f->c - s->a[f->n]) / vn, s1 = (f->c - s->b[f->n]) / vn;
	/* Only where the face is nearer to the viewer than the segment. */
	if (s0 <= l->tiny && s1 <= l->tiny) return;
	lines_span h = {0, 1};
	if (!clip(&h, s0, s1, l->tiny, INFINITY)) return;
	double q0[2] = {s->a[f->a] + s0 * l->v[f->a], s->a[f->b] + s0 * l->v[f->b]};
	double q1[2] = {s->b[f->a] + s1 * l->v[f->a], s->b[f->b] + s1 * l->v[f->b]};
	if (!clip(&h, q0[0], q1[0], f->lo[0] + l->tiny, f->hi[0] - l->tiny)) return;
	if (!clip(&h, q0[1], q1[1], f->lo[1] + l->tiny, f->hi[1] - l->tiny)) return;
	add_hidden(l, f, h, q0, q1, w, out);
}

/* ---- what is left ------------------------------------------------------------------------------------ */

static void windows(const lines_set *l, const lines_segment *s, lines_spans *out) {
	for (size_t i = 0; i < s->n_windows; i++) {
		const lines_window *w = &l->windows.v[s->window + i];
		double vn = l->v[w->n], s0 = (w->c - s->a[w->n]) / vn, s1 = (w->c - s->b[w->n]) / vn;
		double q0[2] = {s->a[w->a] + s0 * l->v[w->a], s->a[w->b] + s0 * l->v[w->b]};
		double q1[2] = {s->b[w->a] + s1 * l->v[w->a], s->b[w->b] + s1 * l->v[w->b]};
		lines_in_shape(l->mem, &w->shape, q0, q1, out);
	}
}

/* Unites spans that overlap or touch. */
static void unite(lines_spans *s, double slack) {
	if (s->n < 2) return;
	qsort(s->v, s->n, sizeof *s->v, by_start);
	size_t k = 0;
	for (size_t i = 1; i < s->n; i++) {
		if (s->v[i].t0 <= s->v[k].t1 + slack)
			s->v[k].t1 = fmax(s->v[k].t1, s->v[i].t1);
		else
			s->v[++k] = s->v[i];
	}
	s->n = k + 1;
}

void lines_visible(const lines_set *l, const lines_segment *s, lines_work *w) {
	double length = sqrt((s->b[0] - s->a[0]) * (s->b[0] - s->a[0]) + (s->b[1] - s->a[1]) * (s->b[1] - s->a[1]) +
			     (s->b[2] - s->a[2]) * (s->b[2] - s->a[2]));
	/* Faces that meet leave no gap between them. */
	double slack = length > 0 ? 8 * l->tiny / length : 0;
	lines_spans *hidden = &w->hidden, *seen = &w->windows, *out = &w->seen;
	out->n = hidden->n = seen->n = 0;
	lines_faces_along(l, s->a, s->b, w);
	for (size_t i = 0; i < w->faces.n; i++) {
		const lines_face *f = &l->faces.v[w->faces.v[i]];
		if (s->inside && f->part == s->part) continue;
		size_t before = hidden->n;
		hide(l, s, f, w, hidden);
		if (hidden->n > before && hidden->v[before].t0 <= 0 && hidden->v[before].t1 >= 1) return;
	}
	unite(hidden, slack);
	if (s->inside) {
		windows(l, s, seen);
		unite(seen, slack);
	} else {
		LIST_PUSH(l->mem, seen, ((lines_span){0, 1}));
	}
	for (size_t i = 0; i < seen->n; i++) {
		double at = seen->v[i].t0, end = seen->v[i].t1;
		for (size_t k = 0; k < hidden->n && hidden->v[k].t0 < end; k++) {
			if (hidden->v[k].t1 <= at) continue;
			if (hidden->v[k].t0 > at + slack) LIST_PUSH(l->mem, out, ((lines_span){at, hidden->v[k].t0}));
			at = fmax(at, hidden->v[k].t1);
		}
		if (end > at + slack) LIST_PUSH(l->mem, out, ((lines_span){at, end}));
	}
}

bool lines_point_visible(const lines_set *l, const double p[3], bool *through) {
	if (through) *through = false;
	const unsigned *over;
	size_t n = lines_faces_at(l, p, &over);
	for (size_t i = 0; i < n; i++) {
		const lines_face *f = &l->faces.v[over[i]];
		double s = (f->c - p[f->n]) / l->v[f->n];
		if (s <= l->tiny) continue;
		double q[2] = {p[f->a] + s * l->v[f->a], p[f->b] + s * l->v[f->b]};
		if (q[0] < f->lo[0] || q[0] > f->hi[0] || q[1] < f->lo[1] || q[1] > f->hi[1]) continue;
		bool lit = false;
		for (size_t k = 0; k < f->lights.n && !lit; k++) {
			lines_shape far = f->lights.v[k].shape;
			lines_spans near = {0}, beyond = {0};
			lines_in_shape(l->mem, &far, q, q, &near);
			far.a += f->lights.v[k].shift_a, far.b += f->lights.v[k].shift_b;
			if (near.n) lines_in_shape(l->mem, &far, q, q, &beyond);
			lit = beyond.n > 0;
		}
		if (!lit) return false;
		if (through) *through = true;
	}
	return true;
}
