/* What parts that lie over an opening leave free of it, whatever their outlines. */
#include <math.h>

#include "runtime/engine/outline.h"

static outline_point aside(outline_point at, outline_point way, double by) {
	return (outline_point){at.x - by * way.y, at.y + by * way.x};
}

typedef struct scene {
	const outline_path *opening;
	const outline_solid *over;
	size_t n;
	LIST(outline_piece) all; /* of all boundaries */
} scene;

static bool is_free(const scene *s, outline_point at) {
	if (!outline_holds(s->opening, at)) return false;
	for (size_t i = 0; i < s->n; i++) {
		if (!outline_holds(&s->over[i].outer, at)) continue;
		bool hole = false;
		for (size_t k = 0; k < s->over[i].holes.n && !hole; k++)
			hole = outline_holds(&s->over[i].holes.v[k], at);
		if (!hole) return false;
	}
	return true;
}

/* A stretch that two boundaries share is counted with the first of them. */
static bool seen_before(const scene *s, size_t i, outline_point middle) {
	for (size_t k = 0; k < i; k++) {
		outline_path one = {.v = &s->all.v[k], .n = 1};
		if (outline_distance(&one, middle) < 1e-9) return true;
	}
	return false;
}

static double stretch(const scene *s, size_t i, double from, double to, double x0) {
	const double beside = 1e-6; /* mm: thinner stretches of material or air do not count */
	const outline_piece *p = &s->all.v[i];
	outline_piece part = outline_piece_part(p, from, to);
	outline_point middle = outline_at(&part, 0.5);
	outline_piece half = outline_piece_part(p, from, (from + to) / 2);
	outline_point way = outline_direction(&half, true);
	bool on_left = is_free(s, aside(middle, way, beside)), on_right = is_free(s, aside(middle, way, -beside));
	if (on_left == on_right || seen_before(s, i, middle)) return 0;
	return on_left ? outline_x_dy(&part, x0) : -outline_x_dy(&part, x0);
}

static void take(arena *mem, scene *s, const outline_path *p) {
	for (size_t i = 0; i < p->n; i++) LIST_PUSH(mem, &s->all, p->v[i]);
}

double outline_free(arena *mem, const outline_path *p, const outline_solid *over, size_t n) {
	scene s = {.opening = p, .over = over, .n = n};
	take(mem, &s, p);
	for (size_t i = 0; i < n; i++) {
		take(mem, &s, &over[i].outer);
		for (size_t k = 0; k < over[i].holes.n; k++) take(mem, &s, &over[i].holes.v[k]);
	}
	double sum = 0, x0 = p->n ? p->v[0].from.x : 0;
	double *cuts = ARENA_MANY(mem, double, 4 * s.all.n + 2);
	for (size_t i = 0; i < s.all.n; i++) {
		size_t m = outline_cuts(s.all.v, s.all.n, i, cuts);
		for (size_t k = 0; k + 1 < m; k++)
			if (cuts[k + 1] > cuts[k]) sum += stretch(&s, i, cuts[k], cuts[k + 1], x0);
	}
	return sum;
}
