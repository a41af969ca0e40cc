/* Free area of an opening: closed forms against geometry that can be done by hand, and against a fine count of cells
 * as a second route. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/openarea.h"

static const double PI = 3.14159265358979323846;

static void near(double got, double want, double tolerance) {
	if (fabs(got - want) > tolerance) fail_msg("got %.15g, want %.15g (within %g)", got, want, tolerance);
}

static void whole_shapes(void **state) {
	(void)state;
	openarea_shape disc = openarea_disc(3, 4, 10), slot = openarea_slot(0, 0, 30, 10),
		       up = openarea_slot(0, 0, 10, 30);
	openarea_shape box = openarea_box(0, 0, 30, 20, 4);
	near(openarea_whole(&disc), 25 * PI, 1e-12);
	near(openarea_whole(&slot), 200 + 25 * PI, 1e-12);
	near(openarea_whole(&up), 200 + 25 * PI, 1e-12);
	near(openarea_whole(&box), 600 - (4 - PI) * 16, 1e-12);
	near(openarea_perimeter(&disc), 10 * PI, 1e-12);
	near(openarea_perimeter(&slot), 40 + 10 * PI, 1e-12);
	openarea_rect all = {-100, -100, 100, 100};
	near(openarea_within(&disc, all), 25 * PI, 1e-12);
	near(openarea_within(&slot, all), 200 + 25 * PI, 1e-12);
	near(openarea_within(&up, all), 200 + 25 * PI, 1e-12);
	near(openarea_within(&box, all), 600 - (4 - PI) * 16, 1e-12);
}

static void disc_and_rectangle(void **state) {
	(void)state;
	openarea_shape d = openarea_disc(0, 0, 2);
	near(openarea_within(&d, (openarea_rect){0, 0, 5, 5}), PI / 4, 1e-14);
	near(openarea_within(&d, (openarea_rect){-5, 0, 5, 5}), PI / 2, 1e-14);
	/* Segment beyond x = 1/2: r^2 acos(h/r) - h sqrt(r^2 - h^2). */
	near(openarea_within(&d, (openarea_rect){0.5, -5, 5, 5}), acos(0.5) - 0.5 * sqrt(0.75), 1e-14);
	near(openarea_within(&d, (openarea_rect){-5, 0.5, 5, 5}), acos(0.5) - 0.5 * sqrt(0.75), 1e-14);
	/* A band through the middle: the disc less two segments. */
	near(openarea_within(&d, (openarea_rect){-5, -0.5, 5, 0.5}), PI - 2 * (acos(0.5) - 0.5 * sqrt(0.75)), 1e-14);
	/* Wholly inside, wholly outside, and touching. */
	near(openarea_within(&d, (openarea_rect){-0.5, -0.5, 0.5, 0.25}), 0.75, 1e-15);
	assert_true(openarea_within(&d, (openarea_rect){0.8, 0.8, 5, 5}) == 0);
	assert_true(openarea_within(&d, (openarea_rect){1, -5, 5, 5}) == 0);
	assert_true(openarea_within(&d, (openarea_rect){2, -5, 1, 5}) == 0);
	/* A corner inside the disc at (0.6, 0.3): closed form by the sector about the corner. */
	double x = 0.6, y = 0.3, ax = sqrt(1 - y * y), ay = sqrt(1 - x * x);
	double sector = (acos(x) - asin(y)) / 2;
	near(openarea_within(&d, (openarea_rect){x, y, 5, 5}), sector - (x * (ay - y) + y * (ax - x)) / 2, 1e-14);
}

static void union_counts_once(void **state) {
	(void)state;
	arena mem = {0};
	openarea_shape d = openarea_disc(100, 50, 40), r = openarea_box(0, 0, 100, 100, 0);
	near(openarea_free(&mem, &d, NULL, 0), 400 * PI, 1e-12);
	/* A slat across the middle, then the same slat twice and a third over its half. */
	openarea_rect slat = {0, 40, 200, 60};
	openarea_rect three[3] = {slat, slat, {100, 45, 130, 60}};
	double one = openarea_free(&mem, &d, &slat, 1);
	double segment = 400 * acos(0.5) - 10 * sqrt(300);
	near(one, 2 * segment, 1e-11);
	near(openarea_free(&mem, &d, three, 3), one, 1e-11);
	/* Two crossing bars on a plain square: 100x100 less 20x100 less 10x100 plus the crossing 20x10. */
	openarea_rect cross[2] = {{-10, -80, 10, 80}, {-80, 5, 80, 15}};
	near(openarea_free(&mem, &r, cross, 2), 10000 - 2000 - 1000 + 200, 1e-9);
	/* Covered wholly by two halves that meet. */
	openarea_rect halves[2] = {{50, 0, 100, 100}, {100, 0, 150, 100}};
	assert_true(openarea_free(&mem, &d, halves, 2) == 0);
	arena_end(&mem);
}

/* A generator of the test's own: the same numbers everywhere. */
static double next(uint32_t *seed) {
	*seed = *seed * 1664525u + 1013904223u;
	return (*seed >> 8) / 16777216.0;
}

static bool in_shape(const openarea_shape *s, double x, double y) {
	double u = fabs(x - s->cx), v = fabs(y - s->cy);
	if (u > s->a / 2 || v > s->b / 2) return false;
	double p = u - (s->a / 2 - s->corner), q = v - (s->b / 2 - s->corner);
	return p <= 0 || q <= 0 || p * p + q * q <= s->corner * s->corner;
}

static void second_route_by_counting(void **state) {
	(void)state;
	arena mem = {0};
	uint32_t seed = 7;
	enum { CELLS = 300, RECTS = 4 };
	for (int trial = 0; trial < 40; trial++) {
		openarea_shape s =
			openarea_box(next(&seed), next(&seed), 1 + next(&seed), 1 + next(&seed), next(&seed));
		openarea_rect over[RECTS];
		for (int i = 0; i < RECTS; i++) {
			double x = 3 * next(&seed) - 1, y = 3 * next(&seed) - 1;
			over[i] = (openarea_rect){x, y, x + next(&seed), y + next(&seed)};
		}
		size_t free_cells = 0;
		for (int i = 0; i < CELLS; i++) {
			for (int j = 0; j < CELLS; j++) {
				double x = s.cx + s.a * ((i + 0.5) / CELLS - 0.5),
				       y = s.cy + s.b * ((j + 0.5) / CELLS - 0.5);
				bool is_free = in_shape(&s, x, y);
				for (int k = 0; k < RECTS && is_free; k++)
					is_free =
						!(x > over[k].x0 && x < over[k].x1 && y > over[k].y0 && y < over[k].y1);
				free_cells += is_free;
			}
		}
		double counted = s.a * s.b * (double)free_cells / (CELLS * CELLS);
		/* Cells cut by an edge: at most about eight edge lengths of them, half wrong at worst. */
		near(openarea_free(&mem, &s, over, RECTS), counted, 0.02);
	}
	arena_end(&mem);
}

/* Parts of a partition of the plane add up to the whole shape. */
static void partition_adds_up(void **state) {
	(void)state;
	uint32_t seed = 99;
	for (int trial = 0; trial < 50; trial++) {
		openarea_shape s = openarea_box(0, 0, 1 + 3 * next(&seed), 1 + next(&seed), next(&seed));
		double x = 4 * next(&seed) - 2, y = 2 * next(&seed) - 1, sum = 0;
		sum += openarea_within(&s, (openarea_rect){-9, -9, x, y}) +
		       openarea_within(&s, (openarea_rect){x, -9, 9, y});
		sum += openarea_within(&s, (openarea_rect){-9, y, x, 9}) +
		       openarea_within(&s, (openarea_rect){x, y, 9, 9});
		near(sum, openarea_whole(&s), 1e-13);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(whole_shapes),	     cmocka_unit_test(disc_and_rectangle),
		cmocka_unit_test(union_counts_once), cmocka_unit_test(second_route_by_counting),
		cmocka_unit_test(partition_adds_up),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
