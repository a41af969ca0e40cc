/* Outlines of lines and arcs: exact figures by hand, and a second route by numerical integration of chords. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/engine/openarea.h"
#include "runtime/engine/outline.h"

static const double PI = 3.14159265358979323846;

static void near(double got, double want, double tol) {
	if (!(fabs(got - want) <= tol)) print_error("got %.15g, want %.15g\n", got, want);
	assert_true(fabs(got - want) <= tol);
}

typedef struct corner { /* of a test outline: the way to the next one */
	double x, y;
	int bend;
	double cx, cy;
} corner;

static outline_path path_of(arena *mem, const corner *c, size_t n) {
	outline_path p = {0};
	for (size_t i = 0; i < n; i++) {
		outline_point a = {c[i].x, c[i].y}, b = {c[(i + 1) % n].x, c[(i + 1) % n].y};
		outline_point m = {c[i].cx, c[i].cy};
		LIST_PUSH(mem, &p, c[i].bend ? outline_arc(a, b, m, c[i].bend) : outline_line(a, b));
	}
	return p;
}

/* A plate with a round end, a bite out of its top, a notch, and a bulge: not convex, arcs of both senses. */
static const corner ODD[] = {
	{0, 0, 0, 0, 0},   {80, 0, 1, 80, 20}, {80, 40, 0, 0, 0}, {60, 40, -1, 50, 40}, {40, 40, 0, 0, 0},
	{10, 40, 0, 0, 0}, {10, 30, 0, 0, 0},  {0, 30, 0, 0, 0},  {0, 22, 1, 0, 15},	{0, 8, 0, 0, 0},
};
static const double ODD_AREA = 80 * 40 + PI * 400 / 2 - PI * 100 / 2 - 10 * 10 + PI * 49 / 2;

/* ---- the second route: chords along x, integrated ------------------------------------------------ */

typedef struct stretch {
	double lo, hi;
} stretch;

static int by_lo(const void *a, const void *b) {
	const stretch *x = a, *y = b;
	return (x->lo > y->lo) - (x->lo < y->lo);
}
static int by_value(const void *a, const void *b) {
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* Where the vertical line at x meets the boundary, sorted. */
static size_t meets(const outline_path *p, double x, double *y) {
	size_t n = 0;
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		if (!o->bend) {
			double lo = fmin(o->from.x, o->to.x), hi = fmax(o->from.x, o->to.x);
			if (x > lo && x < hi)
				y[n++] = o->from.y + (x - o->from.x) / (o->to.x - o->from.x) * (o->to.y - o->from.y);
			continue;
		}
		double h = o->radius * o->radius - (x - o->centre.x) * (x - o->centre.x);
		for (int k = -1; h > 0 && k <= 1; k += 2) {
			double at = o->centre.y + k * sqrt(h), angle = atan2(at - o->centre.y, x - o->centre.x);
			double by = fmod(o->bend * (angle - o->start) + 4 * PI, 2 * PI);
			if (by < fabs(o->sweep)) y[n++] = at;
		}
	}
	qsort(y, n, sizeof *y, by_value);
	return n;
}

/* Length of the chord at x that no rectangle covers. */
static double open_chord(const outline_path *p, const openarea_rect *r, size_t n_r, double x) {
	double y[64], sum = 0;
	size_t n = meets(p, x, y);
	stretch s[16];
	size_t m = 0;
	for (size_t i = 0; i < n_r; i++)
		if (x > r[i].x0 && x < r[i].x1) s[m++] = (stretch){r[i].y0, r[i].y1};
	qsort(s, m, sizeof *s, by_lo);
	for (size_t i = 0; i + 1 < n; i += 2) {
		double at = y[i];
		for (size_t k = 0; k < m; k++) {
			if (s[k].lo > at) sum += fmax(0, fmin(s[k].lo, y[i + 1]) - at);
			at = fmax(at, s[k].hi);
		}
		sum += fmax(0, y[i + 1] - at);
	}
	return sum;
}

/* All x at which the chord's law changes. */
static size_t breaks(const outline_path *p, const openarea_rect *r, size_t n_r, double *x) {
	size_t n = 0;
	for (size_t i = 0; i < n_r; i++) x[n++] = r[i].x0, x[n++] = r[i].x1;
	for (size_t i = 0; i < p->n; i++) {
		const outline_piece *o = &p->v[i];
		x[n++] = o->from.x;
		if (o->bend) x[n++] = o->centre.x - o->radius, x[n++] = o->centre.x + o->radius;
		for (size_t k = 0; k < 2 * n_r; k++) {
			double y = k % 2 ? r[k / 2].y1 : r[k / 2].y0;
			double h = o->radius * o->radius - (y - o->centre.y) * (y - o->centre.y);
			if (o->bend && h > 0) x[n++] = o->centre.x - sqrt(h), x[n++] = o->centre.x + sqrt(h);
			if (!o->bend && fabs(o->to.y - o->from.y) > 0)
				x[n++] = o->from.x + (y - o->from.y) / (o->to.y - o->from.y) * (o->to.x - o->from.x);
		}
	}
	qsort(x, n, sizeof *x, by_value);
	return n;
}

/* Gauss's five points on panels of theta, x = middle - half cos(theta): the roots at arcs' ends do no harm. */
static double integrated(const outline_path *p, const openarea_rect *r, size_t n_r) {
	double x[400], sum = 0;
	size_t n = breaks(p, r, n_r, x);
	for (size_t i = 0; i + 1 < n; i++) {
		double middle = (x[i] + x[i + 1]) / 2, half = (x[i + 1] - x[i]) / 2;
		static const double AT[5] = {-0.906179845938664, -0.5384693101056831, 0, 0.5384693101056831,
					     0.906179845938664};
		static const double WEIGHT[5] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889,
						 0.4786286704993665, 0.2369268850561891};
		enum { PANELS = 40 };
		for (int k = 0; half > 1e-12 && k < 5 * PANELS; k++) {
			double t = PI * (k / 5 + 0.5 + AT[k % 5] / 2) / PANELS;
			sum += open_chord(p, r, n_r, middle - half * cos(t)) * half * sin(t) * WEIGHT[k % 5] * PI /
			       (2 * PANELS);
		}
	}
	return sum;
}

/* ---- tests --------------------------------------------------------------------------------------- */

static void test_measures(void **state) {
	(void)state;
	arena mem = {0};
	outline_path p = path_of(&mem, ODD, sizeof ODD / sizeof *ODD);
	near(outline_area(&p), ODD_AREA, 1e-10);
	near(outline_length(&p), 80 + PI * 20 + 20 + PI * 10 + 30 + 10 + 10 + 8 + PI * 7 + 8, 1e-10);
	outline_point lo, hi;
	outline_extent(&p, &lo, &hi);
	near(lo.x, -7, 1e-12);
	near(lo.y, 0, 1e-12);
	near(hi.x, 100, 1e-12);
	near(hi.y, 40, 1e-12);
	outline_path far = outline_moved(&mem, &p, 12345, -6789), seen = outline_mirrored(&mem, &p, true, false);
	near(outline_area(&far), ODD_AREA, 1e-8);
	near(outline_area(&seen), ODD_AREA, 1e-10); /* still anticlockwise */
	outline_extent(&seen, &lo, &hi);
	near(lo.x, -100, 1e-12);
	near(hi.x, 7, 1e-12);
	outline_turn_round(&seen);
	near(outline_area(&seen), -ODD_AREA, 1e-10);
	arena_end(&mem);
}

static void test_holds(void **state) {
	(void)state;
	arena mem = {0};
	outline_path p = path_of(&mem, ODD, sizeof ODD / sizeof *ODD);
	const struct {
		double x, y;
		bool in;
	} AT[] = {{50, 20, true},  {99.9, 20, true}, {100.1, 20, false}, {50, 29.9, true},  {50, 30.1, false},
		  {50, 39, false}, {5, 35, false},   {-6.9, 15, true},	 {-7.1, 15, false}, {-5, 21, false},
		  {94, 5.9, true}, {95, 5, false},   {200, 20, false},	 {50, 1e-9, true},  {80, 20, true}};
	for (size_t i = 0; i < sizeof AT / sizeof *AT; i++)
		assert_int_equal(outline_holds(&p, (outline_point){AT[i].x, AT[i].y}), AT[i].in);
	near(outline_distance(&p, (outline_point){50, 20}), 10, 1e-12);
	near(outline_distance(&p, (outline_point){80, 20}), 20, 1e-12);
	near(outline_distance(&p, (outline_point){110, 20}), 10, 1e-12);
	arena_end(&mem);
}

static void test_within(void **state) {
	(void)state;
	arena mem = {0};
	outline_path p = path_of(&mem, ODD, sizeof ODD / sizeof *ODD);
	near(outline_area_within(&p, -10, -10, 120, 50), ODD_AREA, 1e-10);
	near(outline_area_within(&p, 20, 5, 30, 15), 100, 1e-12);
	near(outline_area_within(&p, 80, -10, 120, 20), PI * 400 / 4, 1e-10);
	near(outline_area_within(&p, 40, 30, 60, 40), 200 - PI * 50, 1e-10);
	near(outline_area_within(&p, 130, 0, 140, 9), 0, 0);
	uint32_t seed = 7;
	for (int i = 0; i < 40; i++) {
		double v[4];
		for (int k = 0; k < 4; k++) {
			seed = seed * 1664525u + 1013904223u;
			v[k] = (k % 2 ? 60.0 : 130.0) * (seed >> 8) / 16777216.0 - 10;
		}
		openarea_rect r = {fmin(v[0], v[2]), fmin(v[1], v[3]), fmax(v[0], v[2]), fmax(v[1], v[3])};
		double covered = ODD_AREA - integrated(&p, &r, 1);
		near(outline_area_within(&p, r.x0, r.y0, r.x1, r.y1), covered, 1e-9 * ODD_AREA);
	}
	arena_end(&mem);
}

/* Bars across, one partly over, two over each other, one edge on the outline's: 1e-9 of the area. */
static void test_left_free(void **state) {
	(void)state;
	arena mem = {0};
	outline_path p = path_of(&mem, ODD, sizeof ODD / sizeof *ODD);
	const openarea_rect r[] = {
		{20, -10, 32, 60}, {28, 12, 90, 19}, {88, 15, 130, 90}, {45, 33, 70, 50}, {-20, 0, 3, 11}};
	openarea_shape s = openarea_outline(0, 0, &p);
	near(openarea_whole(&s), ODD_AREA, 1e-10);
	double free = openarea_free(&mem, &s, r, 5), second = integrated(&p, r, 5);
	near(free / second, 1, 1e-10);
	outline_solid over[5] = {{{0}, {0}}};
	for (int i = 0; i < 5; i++) over[i].outer = outline_rect(&mem, r[i].x0, r[i].y0, r[i].x1, r[i].y1);
	near(outline_free(&mem, &p, over, 5) / free, 1, 1e-12);
	/* Twice the same changes nothing. */
	outline_solid twice[2] = {over[1], over[1]};
	near(outline_free(&mem, &p, twice, 2), openarea_free(&mem, &s, r + 1, 1), 1e-9);
	arena_end(&mem);
}

/* Two equal circles: the lens 2 r^2 acos(d / 2r) - d/2 sqrt(4 r^2 - d^2). */
static void test_flange(void **state) {
	(void)state;
	arena mem = {0};
	double r = 30, d = 25, lens = 2 * r * r * acos(d / (2 * r)) - d / 2 * sqrt(4 * r * r - d * d);
	outline_path hole = outline_circle(&mem, 0, 0, r);
	outline_solid disc = {outline_circle(&mem, d, 0, r), {0}};
	near(outline_free(&mem, &hole, &disc, 1), PI * r * r - lens, 1e-9);
	/* A flange of 80 with a bore of 50 just above a hole of 60: open is the bore alone. */
	outline_solid flange = {outline_circle(&mem, 0, 0, 40), {0}};
	LIST_PUSH(&mem, &flange.holes, outline_circle(&mem, 0, 0, 25));
	near(outline_free(&mem, &hole, &flange, 1), PI * 625, 1e-9);
	/* A sheet over it whose own opening is a slot 20 wide, right across. */
	outline_solid sheet = {outline_rect(&mem, -100, -100, 100, 100), {0}};
	LIST_PUSH(&mem, &sheet.holes, outline_rect(&mem, -90, -10, 90, 10));
	double strip = 2 * (10 * sqrt(900 - 100) + 900 * asin(10.0 / 30));
	near(outline_free(&mem, &hole, &sheet, 1), strip, 1e-9);
	arena_end(&mem);
}

static void test_parallel(void **state) {
	(void)state;
	arena mem = {0};
	outline_paths loops = {0};
	outline_path square = outline_rect(&mem, 0, 0, 100, 100);
	assert_true(outline_parallel(&mem, &square, 10, &loops));
	assert_int_equal(loops.n, 1);
	near(outline_area(&loops.v[0]), 6400, 1e-9);
	assert_true(outline_parallel(&mem, &square, -10, &loops));
	assert_int_equal(loops.n, 1);
	near(outline_area(&loops.v[0]), 10000 + 4000 + PI * 100, 1e-9);
	/* An L of legs 100 and breadth 40: the corner that sticks in is gone round by an arc. */
	const corner L[] = {{0, 0, 0, 0, 0},   {100, 0, 0, 0, 0},  {100, 40, 0, 0, 0},
			    {40, 40, 0, 0, 0}, {40, 100, 0, 0, 0}, {0, 100, 0, 0, 0}};
	outline_path l = path_of(&mem, L, 6);
	assert_true(outline_parallel(&mem, &l, 10, &loops));
	assert_int_equal(loops.n, 1);
	assert_int_equal(loops.v[0].n, 7);
	near(outline_area(&loops.v[0]), 80 * 20 + 20 * 60 + (100 - PI * 25), 1e-9);
	/* Outwards from that by the same: the L again, its outer corners round, the inner one sharp. */
	outline_paths back = {0};
	assert_true(outline_parallel(&mem, &loops.v[0], -10, &back));
	assert_int_equal(back.n, 1);
	near(outline_area(&back.v[0]), 6400 - 5 * (100 - PI * 25), 1e-8);
	/* Too narrow between two rooms: two loops. Too narrow altogether: none. */
	const corner BONE[] = {{0, 0, 0, 0, 0},	  {40, 0, 0, 0, 0},  {40, 15, 0, 0, 0},	 {60, 15, 0, 0, 0},
			       {60, 0, 0, 0, 0},  {100, 0, 0, 0, 0}, {100, 40, 0, 0, 0}, {60, 40, 0, 0, 0},
			       {60, 25, 0, 0, 0}, {40, 25, 0, 0, 0}, {40, 40, 0, 0, 0},	 {0, 40, 0, 0, 0}};
	outline_path bone = path_of(&mem, BONE, 12);
	assert_true(outline_parallel(&mem, &bone, 4, &loops));
	assert_int_equal(loops.n, 1);
	assert_true(outline_parallel(&mem, &bone, 6, &loops));
	assert_int_equal(loops.n, 2);
	/* 28 x 28 and what goes into the neck between the arcs about its two corners. */
	near(outline_area(&loops.v[0]), 28 * 28 + 60 - 5 * sqrt(11.0) - 36 * asin(5.0 / 6), 1e-9);
	assert_true(outline_parallel(&mem, &bone, 21, &loops));
	assert_int_equal(loops.n, 0);
	near(outline_narrow(&mem, &bone), 10, 1e-9);
	arena_end(&mem);
}

static void test_cutter(void **state) {
	(void)state;
	arena mem = {0};
	size_t at;
	/* 3-4-5 triangle, ten times: the circle in it has radius 10. */
	const corner T[] = {{0, 0, 0, 0, 0}, {40, 0, 0, 0, 0}, {0, 30, 0, 0, 0}};
	outline_path t = path_of(&mem, T, 3);
	near(outline_largest_circle(&mem, &t), 10, 1e-5);
	near(outline_narrow(&mem, &t), 20, 2e-5);
	/* In the sharpest corner, angle atan(3/4) at (40, 0): r (1 / sin(half) - 1), sin(half) = 1 / sqrt(10). */
	near(outline_left_standing(&mem, &t, 3, &at), 3 * (sqrt(10.0) - 1), 1e-6);
	assert_int_equal(at, 1);
	outline_path square = outline_rect(&mem, 0, 0, 50, 50), circle = outline_circle(&mem, 3, 4, 25);
	near(outline_left_standing(&mem, &square, 6, &at), 6 * (sqrt(2.0) - 1), 1e-6);
	near(outline_left_standing(&mem, &circle, 6, &at), 0, 0);
	near(outline_narrow(&mem, &circle), 50, 4e-5);
	/* A slot arm of 8 on a square of 50. */
	const corner ARM[] = {{0, 0, 0, 0, 0},	 {50, 0, 0, 0, 0},  {50, 21, 0, 0, 0}, {90, 21, 1, 90, 25},
			      {90, 29, 0, 0, 0}, {50, 29, 0, 0, 0}, {50, 50, 0, 0, 0}, {0, 50, 0, 0, 0}};
	outline_path arm = path_of(&mem, ARM, 8);
	near(outline_narrow(&mem, &arm), 8, 1e-9);
	arena_end(&mem);
}

static void test_gap(void **state) {
	(void)state;
	arena mem = {0};
	outline_path p = path_of(&mem, ODD, sizeof ODD / sizeof *ODD);
	outline_path disc = outline_circle(&mem, 50, 40, 4);
	near(outline_gap(&p, &disc), 6, 1e-9); /* in the bite, radius 10 */
	disc = outline_circle(&mem, 110, 20, 5);
	near(outline_gap(&p, &disc), 5, 1e-9);
	disc = outline_circle(&mem, 50, 15, 5);
	near(outline_gap(&p, &disc), 0, 0); /* inside */
	outline_path box = outline_rect(&mem, 103, 43, 120, 60);
	near(outline_gap(&p, &box), hypot(23, 23) - 20, 1e-9);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_measures),  cmocka_unit_test(test_holds),	 cmocka_unit_test(test_within),
		cmocka_unit_test(test_left_free), cmocka_unit_test(test_flange), cmocka_unit_test(test_parallel),
		cmocka_unit_test(test_cutter),	  cmocka_unit_test(test_gap),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
