/* The linear program by columns: optima that can be reckoned by hand, and duality on random programs. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/bars_column.h"
#include "runtime/engine/cover.h"

static void near(double a, double b) {
	if (fabs(a - b) > 1e-7) fail_msg("%.12g is not %.12g", a, b);
}

/* Three rows, columns for each pair: half of each pair covers all three, 1.5 in all. */
static void pairs(void **state) {
	(void)state;
	arena mem = {0};
	cover c = cover_new(&mem, 3);
	for (uint32_t i = 0; i < 3; i++) {
		cover_entry one = {i, 1}, two[2] = {{i, 1}, {(i + 1) % 3, 1}};
		c.demand[i] = 1;
		cover_add(&c, 1, &one, 1, i);
		cover_add(&c, 1, two, 2, 10 + i);
	}
	assert_true(cover_solve(&c, true, UINT32_MAX, UINT64_MAX));
	near(c.value, 1.5);
	for (uint32_t i = 0; i < 3; i++) near(c.dual[i], 0.5);
	/* A column of all three is worth 1.5 and costs 1: it takes the place of the others. */
	cover_entry all[3] = {{0, 1}, {1, 1}, {2, 1}};
	cover_add(&c, 1, all, 3, 99);
	assert_true(cover_solve(&c, true, UINT32_MAX, UINT64_MAX));
	near(c.value, 1);
	near(c.columns.v[6].x, 1);
	arena_end(&mem);
}

/* A column that holds more than is asked for is left out when proper ones are asked for. */
static void proper(void **state) {
	(void)state;
	arena mem = {0};
	cover c = cover_new(&mem, 1);
	cover_entry one = {0, 1}, five = {0, 5};
	c.demand[0] = 3;
	cover_add(&c, 1, &one, 1, 0);
	cover_add(&c, 1, &five, 1, 1);
	assert_true(cover_solve(&c, true, UINT32_MAX, UINT64_MAX));
	near(c.value, 3);
	cover d = cover_new(&mem, 1);
	d.demand[0] = 3;
	cover_add(&d, 1, &one, 1, 0);
	cover_add(&d, 1, &five, 1, 1);
	assert_true(cover_solve(&d, false, UINT32_MAX, UINT64_MAX));
	near(d.value, 0.6);
	arena_end(&mem);
}

/* At the optimum: every demand is met, no dual is negative, no column is worth more than it costs, and what the duals
 * pay for the demand is what the columns cost (strong duality). */
static void duality(void **state) {
	(void)state;
	uint64_t seed = 7;
	for (int round = 0; round < 60; round++) {
		arena mem = {0};
		uint32_t rows = 3 + (uint32_t)round, n = 40 + 9 * (uint32_t)round;
		cover c = cover_new(&mem, rows);
		for (uint32_t i = 0; i < rows; i++) {
			cover_entry one = {i, 1};
			c.demand[i] = 1 + i % 4;
			cover_add(&c, 1, &one, 1, 0);
		}
		for (uint32_t j = 0; j < n; j++) {
			cover_entry e[4];
			uint32_t used = 0;
			for (uint32_t i = 0; i < rows && used < 4; i++) {
				seed = seed * 6364136223846793005u + 1442695040888963407u;
				if ((seed >> 40) % rows < 3)
					e[used++] = (cover_entry){i, 1 + (uint32_t)(seed >> 60) % 2};
			}
			if (used) cover_add(&c, 1 + (double)(j % 3) / 4, e, used, 0);
		}
		assert_true(cover_solve(&c, false, UINT32_MAX, UINT64_MAX));
		double paid = 0;
		for (uint32_t i = 0; i < rows; i++) {
			double met = 0;
			for (size_t j = 0; j < c.columns.n; j++)
				for (uint32_t e = 0; e < c.columns.v[j].n; e++) {
					cover_entry q = c.entries.v[c.columns.v[j].first + e];
					if (q.row == i) met += c.columns.v[j].x * q.count;
				}
			assert_true(met > c.demand[i] - 1e-7);
			assert_true(c.dual[i] > -1e-7);
			paid += c.dual[i] * c.demand[i];
		}
		for (size_t j = 0; j < c.columns.n; j++) {
			double worth = 0;
			for (uint32_t e = 0; e < c.columns.v[j].n; e++) {
				cover_entry q = c.entries.v[c.columns.v[j].first + e];
				worth += c.dual[q.row] * q.count;
			}
			assert_true(worth < c.columns.v[j].cost + 1e-7);
			assert_true(c.columns.v[j].x > -1e-12);
		}
		near(paid, c.value);
		arena_end(&mem);
	}
}

/* Rooms of 10, pieces of 6, 5, 4 (two each and one 5 more): 6+4, 6+4, 5+5, 5: the length needs 3.5, so 4 is the least;
 * a layout of 4 is found from any worse one. */
static void columns(void **state) {
	(void)state;
	arena mem = {0};
	const bars_kind kinds[] = {{6, 2}, {5, 3}, {4, 2}};
	const bars_room room = {10, 1};
	bars_columns_problem p = {kinds, 3, &room, 1, 7, 0, 1000000};
	bars_columns_answer a;
	bars_columns(&mem, &p, &a);
	assert_true(a.found);
	assert_int_equal(a.cost, 4);
	assert_int_equal(a.bound, 4);
	uint32_t laid[3] = {0};
	for (size_t i = 0; i < a.patterns.n; i++) {
		int64_t length = 0;
		for (uint32_t k = 0; k < 3; k++) {
			laid[k] += a.patterns.v[i].count[k] * a.patterns.v[i].times;
			length += a.patterns.v[i].count[k] * kinds[k].length;
		}
		assert_true(length <= 10);
	}
	for (uint32_t k = 0; k < 3; k++) assert_int_equal(laid[k], kinds[k].need);
	/* Two rooms: 7 of length 12 at 10 hold one each; two fit in 25 at 18. Eight pieces cost 4 x 18. */
	const bars_kind one = {12, 8};
	const bars_room two[] = {{13, 10}, {25, 18}};
	bars_columns_problem q = {&one, 1, two, 2, 80, 0, 1000000};
	bars_columns(&mem, &q, &a);
	assert_int_equal(a.cost, 72);
	assert_int_equal(a.bound, 72);
	/* A thousand small pieces lie in one room: 3 rooms, however a filling is counted. */
	const bars_kind small = {10, 3000};
	const bars_room wide_room = {10000, 1};
	bars_columns_problem many = {&small, 1, &wide_room, 1, 20, 0, 1000000};
	bars_columns(&mem, &many, &a);
	assert_int_equal(a.cost, 3);
	assert_int_equal(a.bound, 3);
	/* The dearest price that is taken: whole duals stay within 64 bits. */
	const bars_room dear = {13, 1000000000000};
	bars_columns_problem costly = {&one, 1, &dear, 1, 9000000000000, 0, 1000000};
	bars_columns(&mem, &costly, &a);
	assert_int_equal(a.cost, 8000000000000);
	assert_int_equal(a.bound, 8000000000000);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {cmocka_unit_test(pairs), cmocka_unit_test(proper), cmocka_unit_test(duality),
					   cmocka_unit_test(columns)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
