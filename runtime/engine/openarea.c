#include "runtime/engine/openarea.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "runtime/base/order.h"

static const double PI = 3.14159265358979323846;

openarea_shape openarea_disc(double cx, double cy, double diameter) {
	return openarea_box(cx, cy, diameter, diameter, diameter / 2);
}

openarea_shape openarea_slot(double cx, double cy, double a, double b) {
	return openarea_box(cx, cy, a, b, fmin(a, b) / 2);
}

openarea_shape openarea_box(double cx, double cy, double a, double b, double corner) {
	double most = fmin(a, b) / 2;
	return (openarea_shape){.cx = cx, .cy = cy, .a = a, .b = b, .corner = corner < 0 ? 0 : fmin(corner, most)};
}

openarea_shape openarea_outline(double cx, double cy, const outline_path *p) {
	outline_point lo, hi;
	outline_extent(p, &lo, &hi);
	return (openarea_shape){.cx = cx, .cy = cy, .a = hi.x - lo.x, .b = hi.y - lo.y, .free = p};
}

openarea_rect openarea_bounds(const openarea_shape *s) {
	openarea_rect r = {s->cx - s->a / 2, s->cy - s->b / 2, s->cx + s->a / 2, s->cy + s->b / 2};
	if (!s->free) return r;
	outline_point lo, hi;
	outline_extent(s->free, &lo, &hi);
	return (openarea_rect){s->cx + lo.x, s->cy + lo.y, s->cx + hi.x, s->cy + hi.y};
}

outline_path openarea_path(arena *mem, const openarea_shape *s) {
	outline_path p = s->free ? *s->free : outline_rounded(mem, s->a / 2, s->b / 2, s->corner);
	return outline_moved(mem, &p, s->cx, s->cy);
}

double openarea_whole(const openarea_shape *s) {
	return s->free ? outline_area(s->free) : s->a * s->b - (4 - PI) * s->corner * s->corner;
}

double openarea_perimeter(const openarea_shape *s) {
	return s->free ? outline_length(s->free) : 2 * (s->a + s->b) - (8 - 2 * PI) * s->corner;
}

/* Half height of the shape at a distance x from its middle: the straight edge, then the corner's arc. */
static double half_height(const openarea_shape *s, double x) {
	double flat = s->a / 2 - s->corner, low = s->b / 2 - s->corner;
	double beyond = fabs(x) - flat;
	if (beyond <= 0) return s->b / 2;
	if (beyond >= s->corner) return low;
	return low + sqrt((s->corner - beyond) * (s->corner + beyond));
}

/* Integral of sqrt(c^2 - t^2) from 0 to t. */
static double arc_integral(double c, double t) {
	if (c <= 0) return 0;
	double q = fmax(-1, fmin(1, t / c));
	return c * c / 2 * (q * sqrt((1 - q) * (1 + q)) + asin(q));
}

/* Integral of the half height from x0 to x1, both on the same straight edge or the same arc. */
static double height_integral(const openarea_shape *s, double x0, double x1) {
	double flat = s->a / 2 - s->corner, low = s->b / 2 - s->corner, middle = (x0 + x1) / 2;
	if (fabs(middle) <= flat) return s->b / 2 * (x1 - x0);
	double sign = middle < 0 ? -1 : 1;
	double t0 = sign * x0 - flat, t1 = sign * x1 - flat;
	return low * (x1 - x0) + sign * (arc_integral(s->corner, t1) - arc_integral(s->corner, t0));
}

/* Between two neighbouring breaks the upper bound is either the rectangle's edge or the outline, all along, and the
 * same holds for the lower one: each piece is integrated in closed form. */
double openarea_within(const openarea_shape *s, openarea_rect r) {
	if (s->free) return outline_area_within(s->free, r.x0 - s->cx, r.y0 - s->cy, r.x1 - s->cx, r.y1 - s->cy);
	double half = s->a / 2, x0 = fmax(r.x0 - s->cx, -half), x1 = fmin(r.x1 - s->cx, half);
	double y0 = r.y0 - s->cy, y1 = r.y1 - s->cy;
	if (!(x1 > x0) || !(y1 > y0) || !(half > 0) || !(s->b > 0)) return 0;
	double flat = half - s->corner, low = s->b / 2 - s->corner;
	double at[10];
	size_t n = 0;
	at[n++] = x0;
	at[n++] = x1;
	at[n++] = -flat;
	at[n++] = flat;
	const double edges[2] = {y0, y1};
	for (size_t i = 0; i < 2; i++) {
		double up = fabs(edges[i]) - low;
		if (up <= 0 || up >= s->corner) continue;
		double x = flat + sqrt((s->corner - up) * (s->corner + up));
		at[n++] = x;
		at[n++] = -x;
	}
	order_doubles(at, n);
	double sum = 0;
	for (size_t i = 0; i + 1 < n; i++) {
		double from = fmax(at[i], x0), to = fmin(at[i + 1], x1);
		if (!(to > from)) continue;
		double h = half_height(s, (from + to) / 2);
		double top = fmin(y1, h), bottom = fmax(y0, -h);
		if (top <= bottom) continue;
		double outline = height_integral(s, from, to), wide = to - from;
		sum += (top < h ? y1 * wide : outline) - (bottom > -h ? y0 * wide : -outline);
	}
	return sum;
}

static int by_lower(const void *a, const void *b) {
	const openarea_rect *p = a, *q = b;
	return p->y0 < q->y0 ? -1 : p->y0 > q->y0;
}

/* The union in strips: between two neighbouring x-coordinates of edges every rectangle either spans the strip or misses
 * it, so that the covered part of the strip is a set of intervals in y. */
double openarea_free(arena *mem, const openarea_shape *s, const openarea_rect *over, size_t n) {
	openarea_rect box = openarea_bounds(s);
	openarea_rect *r = ARENA_MANY(mem, openarea_rect, n + 1);
	double *x = ARENA_MANY(mem, double, 2 * n + 1);
	size_t count = 0, nx = 0;
	for (size_t i = 0; i < n; i++) {
		openarea_rect o = over[i];
		if (!(o.x1 > o.x0) || !(o.y1 > o.y0)) continue;
		if (o.x1 <= box.x0 || o.x0 >= box.x1 || o.y1 <= box.y0 || o.y0 >= box.y1) continue;
		r[count++] = o;
		x[nx++] = o.x0;
		x[nx++] = o.x1;
	}
	if (count == 0) return openarea_whole(s);
	qsort(r, count, sizeof r[0], by_lower);
	order_doubles(x, nx);
	double covered = 0;
	for (size_t i = 0; i + 1 < nx; i++) {
		if (!(x[i + 1] > x[i])) continue;
		double y0 = 0, y1 = 0;
		bool open = false;
		for (size_t k = 0; k < count; k++) {
			if (r[k].x0 > x[i] || r[k].x1 < x[i + 1]) continue;
			if (open && r[k].y0 <= y1) {
				y1 = fmax(y1, r[k].y1);
				continue;
			}
			if (open) covered += openarea_within(s, (openarea_rect){x[i], y0, x[i + 1], y1});
			y0 = r[k].y0;
			y1 = r[k].y1;
			open = true;
		}
		if (open) covered += openarea_within(s, (openarea_rect){x[i], y0, x[i + 1], y1});
	}
	double whole = openarea_whole(s), rest = whole - covered;
	/* What the rounding of the sums leaves of an opening that is covered wholly is nothing. */
	return rest <= 1e-12 * whole ? 0 : rest;
}
