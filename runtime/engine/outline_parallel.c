/* Parallel outlines: the way of a cutter, a template's edge, and what a cutter cannot reach. */
#include <math.h>

#include "runtime/engine/outline.h"

/* What is nearer to the outline than the distance by this much is cut off; ends join within twice that. */
static const double OFF = 1e-7, JOIN = 2e-5, SHORT = 1e-5;

typedef struct pieces {
	outline_piece *v;
	size_t n, room;
} pieces;

static outline_point left_of(outline_point direction) { return (outline_point){-direction.y, direction.x}; }
static outline_point step(outline_point at, outline_point way, double by) {
	return (outline_point){at.x + by * way.x, at.y + by * way.y};
}

/* Angle by which the outline turns at the end of piece i: above 0 to the left. */
static double turn_at(const outline_path *p, size_t i) {
	outline_point a = outline_direction(&p->v[i], true), b = outline_direction(&p->v[(i + 1) % p->n], false);
	return atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y);
}

/* Every piece moved by d to its left; arcs about the corners that open on that side. They hold the whole parallel. */
static pieces raw(arena *mem, const outline_path *p, double d) {
	pieces out = {0};
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		outline_point n0 = left_of(outline_direction(o, false)), n1 = left_of(outline_direction(o, true));
		outline_point from = step(o->from, n0, d), to = step(o->to, n1, d);
		if (o->bend == 0) {
			LIST_PUSH(mem, &out, outline_line(from, to));
		} else if (o->radius - o->bend * d > SHORT) {
			outline_piece arc = *o;
			arc.from = from;
			arc.to = to;
			arc.radius = o->radius - o->bend * d;
			LIST_PUSH(mem, &out, arc);
		}
		double turn = turn_at(p, i);
		if (fabs(turn) < 1e-9 || (turn > 0) == (d > 0)) continue;
		outline_point next = left_of(outline_direction(&p->v[(i + 1) % p->n], false));
		LIST_PUSH(mem, &out, outline_arc(to, step(o->to, next, d), o->to, turn > 0 ? 1 : -1));
	}
	return out;
}

/* Cuts every piece at all crossings and keeps what stands at the full distance on the right side. */
static pieces keep(arena *mem, const outline_path *p, const pieces *r, double d) {
	pieces out = {0};
	double *cuts = ARENA_MANY(mem, double, 4 * r->n + 2);
	for (size_t i = 0; i < r->n; i++) {
		size_t n = outline_cuts(r->v, r->n, i, cuts);
		double length = outline_piece_length(&r->v[i]), from = 0;
		for (size_t k = 1; k < n; k++) {
			if ((cuts[k] - from) * length < SHORT) continue;
			outline_point middle = outline_at(&r->v[i], (from + cuts[k]) / 2);
			if (outline_distance(p, middle) >= fabs(d) - OFF && outline_holds(p, middle) == (d > 0))
				LIST_PUSH(mem, &out, outline_piece_part(&r->v[i], from, cuts[k]));
			from = cuts[k];
		}
	}
	return out;
}

static double gap(outline_point a, outline_point b) { return hypot(a.x - b.x, a.y - b.y); }

/* Of the pieces not yet used, the one that begins nearest to the end; the one that turns least when several do. */
static size_t follow(const pieces *k, const bool *used, const outline_piece *last) {
	size_t best = k->n;
	double least = INFINITY;
	outline_point way = outline_direction(last, true);
	for (size_t i = 0; i < k->n; i++) {
		if (used[i] || gap(k->v[i].from, last->to) > JOIN) continue;
		outline_point next = outline_direction(&k->v[i], false);
		double turn = fabs(atan2(way.x * next.y - way.y * next.x, way.x * next.x + way.y * next.y));
		if (turn >= least) continue;
		least = turn;
		best = i;
	}
	return best;
}

static bool chain(arena *mem, const pieces *k, outline_paths *out) {
	bool *used = ARENA_MANY(mem, bool, k->n + 1), closed = true;
	for (size_t i = 0; i < k->n; i++) {
		if (used[i]) continue;
		outline_path loop = {0};
		for (size_t at = i; at < k->n; at = follow(k, used, &loop.v[loop.n - 1])) {
			used[at] = true;
			LIST_PUSH(mem, &loop, k->v[at]);
			if (gap(loop.v[loop.n - 1].to, loop.v[0].from) <= JOIN) break;
		}
		if (gap(loop.v[loop.n - 1].to, loop.v[0].from) > JOIN) {
			closed = false;
			continue;
		}
		LIST_PUSH(mem, out, loop);
	}
	return closed;
}

bool outline_parallel(arena *mem, const outline_path *p, double d, outline_paths *out) {
	out->n = 0;
	if (!(fabs(d) > 0)) {
		LIST_PUSH(mem, out, outline_moved(mem, p, 0, 0));
		return true;
	}
	pieces r = raw(mem, p, d), k = keep(mem, p, &r, d);
	return chain(mem, &k, out);
}

/* The pieces of p that lie in q. */
static void keep_inside(arena *mem, const outline_path *p, const outline_path *q, pieces *out) {
	pieces all = {0};
	for (size_t i = 0; i < p->n; i++) LIST_PUSH(mem, &all, p->v[i]);
	for (size_t i = 0; i < q->n; i++) LIST_PUSH(mem, &all, q->v[i]);
	double *cuts = ARENA_MANY(mem, double, 4 * all.n + 2);
	for (size_t i = 0; i < p->n; i++) {
		size_t n = outline_cuts(all.v, all.n, i, cuts);
		double length = outline_piece_length(&p->v[i]), from = 0;
		for (size_t k = 1; k < n; k++) {
			if ((cuts[k] - from) * length < SHORT) continue;
			if (outline_holds(q, outline_at(&p->v[i], (from + cuts[k]) / 2)))
				LIST_PUSH(mem, out, outline_piece_part(&p->v[i], from, cuts[k]));
			from = cuts[k];
		}
	}
}

bool outline_common(arena *mem, const outline_path *p, const outline_path *q, outline_paths *out) {
	pieces k = {0};
	out->n = 0;
	keep_inside(mem, p, q, &k);
	keep_inside(mem, q, p, &k);
	return chain(mem, &k, out);
}

/* ---- circles ------------------------------------------------------------------------------------- */

/* Does anything stand as far inside as that? */
static bool room_for(const outline_path *p, double d) {
	arena scratch = {0};
	pieces r = raw(&scratch, p, d), k = keep(&scratch, p, &r, d);
	bool any = k.n > 0;
	arena_end(&scratch);
	return any;
}

double outline_largest_circle(arena *mem, const outline_path *p) {
	(void)mem;
	outline_point lo, hi;
	outline_extent(p, &lo, &hi);
	double a = 0, b = fmin(hi.x - lo.x, hi.y - lo.y) / 2;
	if (room_for(p, b)) return b;
	while (b - a > 1e-7) {
		double middle = (a + b) / 2;
		if (room_for(p, middle))
			a = middle;
		else
			b = middle;
	}
	return a;
}

/* May a line square on the boundary stand at the point of piece i at parameter t, in direction `way`? Within a piece
 * the nearest point makes it so; at a corner that sticks into the opening any between the two normals; at others none.
 */
static bool stands(const outline_path *p, size_t i, outline_point at, outline_point way) {
	const outline_piece *o = &p->v[i];
	bool first = gap(at, o->from) < 1e-7, last = gap(at, o->to) < 1e-7;
	if (!first && !last) return true;
	size_t before = first ? (i + p->n - 1) % p->n : i, behind = (before + 1) % p->n;
	double turn = turn_at(p, before);
	if (turn > 1e-9) return false;
	outline_point a = outline_direction(&p->v[before], true), b = outline_direction(&p->v[behind], false);
	/* Not forwards along the one, not backwards along the other. */
	return way.x * a.x + way.y * a.y > -1e-6 && way.x * b.x + way.y * b.y < 1e-6;
}

static void narrow_pair(const outline_path *p, size_t i, size_t k, double *least) {
	outline_point a, b;
	double by = outline_between(&p->v[i], &p->v[k], &a, &b);
	if (by >= *least || by < 1e-9) return;
	outline_point way = {(b.x - a.x) / by, (b.y - a.y) / by}, back = {-way.x, -way.y};
	outline_point middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
	if (stands(p, i, a, way) && stands(p, k, b, back) && outline_holds(p, middle)) *least = by;
}

/* Straight sides that face each other: the middle of what they have in common. */
static void narrow_parallel(const outline_path *p, size_t i, size_t k, double *least) {
	const outline_piece *a = &p->v[i], *b = &p->v[k];
	if (a->bend || b->bend) return;
	outline_point d = outline_direction(a, false), e = outline_direction(b, false);
	if (fabs(d.x * e.y - d.y * e.x) > 1e-9) return;
	double l = outline_piece_length(a);
	double s = (b->from.x - a->from.x) * d.x + (b->from.y - a->from.y) * d.y;
	double t = (b->to.x - a->from.x) * d.x + (b->to.y - a->from.y) * d.y;
	double lo = fmax(0, fmin(s, t)), hi = fmin(l, fmax(s, t));
	double off = fabs((b->from.x - a->from.x) * d.y - (b->from.y - a->from.y) * d.x);
	if (hi - lo < 1e-9 || off >= *least || off < 1e-9) return;
	outline_point on = step(a->from, d, (lo + hi) / 2);
	outline_point left = left_of(d);
	outline_point middle = step(on, left, off / 2);
	if (outline_holds(p, middle) && outline_distance(p, middle) > off / 2 - 1e-6) *least = off;
}

double outline_narrow(arena *mem, const outline_path *p) {
	double least = 2 * outline_largest_circle(mem, p);
	for (size_t i = 0; i < p->n; i++)
		for (size_t k = i + 1; k < p->n; k++) {
			narrow_pair(p, i, k, &least);
			narrow_parallel(p, i, k, &least);
		}
	return least;
}

double outline_left_standing(arena *mem, const outline_path *p, double radius, size_t *corner) {
	outline_paths loops = {0};
	double worst = 0;
	*corner = 0;
	outline_parallel(mem, p, radius, &loops);
	for (size_t i = 0; i < p->n; i++) {
		double least = INFINITY;
		for (size_t k = 0; k < loops.n; k++) least = fmin(least, outline_distance(&loops.v[k], p->v[i].from));
		double left = least - radius;
		if (left <= worst + 1e-9) continue;
		worst = left;
		*corner = i;
	}
	return worst < 1e-6 ? 0 : worst;
}
