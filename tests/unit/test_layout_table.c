/* The table of fullest fillings against a recursion over every whole cut, its trees against its worths, and the
 * linear program above it where the answer is known by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_column.h"
#include "runtime/engine/layout_table.h"

enum { SIDE = 40 };

/* plain[w][h] by every cut at every whole length. */
static void plainly(int64_t plain[SIDE + 1][SIDE + 1], const layout_kind *k, const float *value, uint32_t n) {
	for (int w = 0; w <= SIDE; w++) {
		for (int h = 0; h <= SIDE; h++) {
			int64_t best = 0;
			for (uint32_t i = 0; i < n; i++) {
				bool in = (k[i].w <= w && k[i].h <= h) || (k[i].turn && k[i].h <= w && k[i].w <= h);
				if (in && (int64_t)value[i] > best) best = (int64_t)value[i];
			}
			for (int a = 1; a < w; a++)
				if (plain[a][h] + plain[w - a][h] > best) best = plain[a][h] + plain[w - a][h];
			for (int a = 1; a < h; a++)
				if (plain[w][a] + plain[w][h - a] > best) best = plain[w][a] + plain[w][h - a];
			plain[w][h] = best;
		}
	}
}

/* The worth of the pieces below a node; each lies within it. */
static int64_t tree_worth(const layout_table *t, const layout_filling *f, uint32_t node) {
	const layout_node *k = &f->v.v[node];
	if (k->divided) return tree_worth(t, f, k->lo) + tree_worth(t, f, k->hi);
	if (k->item == LAYOUT_FREE) return 0;
	const layout_kind *d = &t->kinds[k->item];
	assert_int_equal(k->w, k->turned ? d->h : d->w);
	assert_int_equal(k->h, k->turned ? d->w : d->h);
	assert_true(d->turn || !k->turned);
	return (int64_t)t->value[k->item];
}

static void fullest(void **state) {
	(void)state;
	uint64_t seed = 4;
	for (int round = 0; round < 60; round++) {
		arena mem = {0};
		static int64_t plain[SIDE + 1][SIDE + 1];
		layout_kind k[9] = {{0}};
		uint32_t n = 1 + chance_below(&seed, 9), least = 1 + chance_below(&seed, 9);
		for (uint32_t i = 0; i < n; i++)
			k[i] = (layout_kind){least + chance_below(&seed, 20), least + chance_below(&seed, 20),
					     round % 3 == 0, 2000, i};
		layout_room room = {SIDE - (round & 7), SIDE - (round & 3), 1, -1};
		layout_table t;
		assert_true(layout_table_begin(&t, &mem, k, n, &room, 1, 1000000));
		for (uint32_t i = 0; i < n; i++) t.value[i] = (float)chance_below(&seed, 1000);
		layout_table_fill(&t);
		plainly(plain, k, t.value, n);
		for (uint32_t i = 0; i < t.x.n; i++)
			for (uint32_t j = 0; j < t.y.n; j++)
				assert_int_equal((int64_t)layout_table_worth(&t, i, j), plain[t.x.at[i]][t.y.at[j]]);
		uint32_t i = layout_axis_within(&t.x, room.w), j = layout_axis_within(&t.y, room.h);
		assert_int_equal((int64_t)layout_table_worth(&t, i, j), plain[room.w][room.h]);
		layout_filling f = {.mem = &mem};
		LIST_PUSH(&mem, &f.v, layout_free_node(0, 0, room.w, room.h));
		layout_table_write(&t, &f, 0, i, j);
		assert_int_equal(tree_worth(&t, &f, 0), plain[room.w][room.h]);
		arena_end(&mem);
	}
}

/* Sums hold no more of a kind than there are: two of 3 and one of 5 along x. */
static void sums(void **state) {
	(void)state;
	arena mem = {0};
	const layout_kind k[2] = {{3, 7, false, 2, 0}, {5, 7, false, 1, 0}};
	const layout_room room = {30, 30, 1, -1};
	const int64_t want[] = {0, 3, 5, 6, 8, 11};
	layout_table t;
	assert_true(layout_table_begin(&t, &mem, k, 2, &room, 1, 1000));
	assert_int_equal(t.x.n, sizeof want / sizeof *want);
	assert_memory_equal(t.x.at, want, sizeof want);
	assert_int_equal(t.y.n, 4); /* 0, 7, 14, 21 */
	assert_false(layout_table_begin(&t, &mem, k, 2, &room, 1, 1));
	arena_end(&mem);
}

/* 20 pieces of 6 x 10 and 20 of 4 x 10 in rooms of 10 x 10: one of each to a room, 20 rooms; a room of 20 x 10 for less
 * than two of them takes all, two of each. */
static void columns(void **state) {
	(void)state;
	arena mem = {0};
	layout_item items[40];
	for (uint32_t i = 0; i < 40; i++) items[i] = (layout_item){i < 20 ? 6 : 4, 10, i / 20, i % 20, false};
	const layout_room rooms[2] = {{10, 10, 3, -1}, {20, 10, 5, -1}};
	layout_column_answer a;
	for (uint32_t n = 1; n <= 2; n++) {
		layout_column_problem p = {items, 40, rooms, n, 1000, 0, 1000000};
		layout_column(&mem, &p, &a);
		assert_true(a.solved && a.found);
		assert_int_equal(a.bound, n == 1 ? 60 : 50);
		assert_int_equal(a.whole.trees.n, n == 1 ? 20 : 10);
		for (size_t k = 0; k < a.whole.trees.n; k++) assert_int_equal(a.whole.trees.v[k].stock, n - 1);
		for (uint32_t i = 0; i < 40; i++) assert_true(a.whole.laid[i]);
	}
	/* what is known already is not found again */
	layout_column_problem known = {items, 40, rooms, 1, 60, 0, 1000000};
	layout_column(&mem, &known, &a);
	assert_int_equal(a.bound, 60);
	assert_false(a.found);
	arena_end(&mem);
}

/* A room that would hold 2 500 000 000 of the one piece there is: what is written is that piece. */
static void one_in_a_large_room(void **state) {
	(void)state;
	arena mem = {0};
	const layout_item item = {1, 1, 0, 0, false};
	const layout_room room = {50000, 50000, 7, -1};
	layout_column_problem p = {&item, 1, &room, 1, 100, 0, 1000000};
	layout_column_answer a;
	layout_column(&mem, &p, &a);
	assert_true(a.solved && a.found);
	assert_int_equal(a.whole.trees.n, 1);
	assert_true(a.whole.laid[0]);
	assert_in_range(a.bound, 0, 7);
	arena_end(&mem);
}

/* 240 pieces of 12 kinds and three sizes of rooms: dives that begin at the cheapest layout come within 2 in 1000 of the
 * bound here; those that only keep some of the last one stay at 20. */
static void dives(void **state) {
	(void)state;
	arena mem = {0};
	layout_item items[240];
	uint64_t seed = 1;
	for (uint32_t k = 0; k < 12; k++) {
		int64_t w = 60 + chance_below(&seed, 120), h = 60 + chance_below(&seed, 120);
		for (uint32_t c = 0; c < 20; c++) items[k * 20 + c] = (layout_item){w, h, k, c, false};
	}
	const layout_room rooms[3] = {{250, 250, 625, -1}, {275, 225, 619, -1}, {300, 200, 600, -1}};
	layout_column_problem p = {items, 240, rooms, 3, INT64_MAX / 4, 0, 8000000};
	layout_column_answer a;
	layout_column(&mem, &p, &a);
	int64_t cost = 0;
	for (size_t i = 0; i < a.whole.trees.n; i++) cost += rooms[a.whole.trees.v[i].stock].price;
	assert_true(a.found && a.bound > 0);
	assert_in_range(cost, (uintmax_t)a.bound, (uintmax_t)(a.bound + a.bound / 500));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {cmocka_unit_test(fullest), cmocka_unit_test(sums), cmocka_unit_test(columns),
					   cmocka_unit_test(one_in_a_large_room), cmocka_unit_test(dives)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
