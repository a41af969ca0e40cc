/* A few pieces as cheaply as can be: cases known by hand, sheets cut up at random, and the same pieces in any order. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_exact.h"

static layout_exact_answer solve(arena *mem, const layout_item *items, uint32_t n, const layout_room *rooms,
				 uint32_t n_rooms, int64_t below) {
	layout_exact_problem p = {items, n, rooms, n_rooms, below, 4000000};
	layout_exact_answer a;
	layout_exact(mem, &p, &a);
	assert_true(a.whole);
	return a;
}

/* Each piece lies once in a leaf of its own size. */
static void check_tree(const layout_tree *t, uint32_t node, const layout_item *items, uint32_t *seen) {
	const layout_node *k = &t->nodes[node];
	assert_true(k->w >= 0 && k->h >= 0);
	if (k->divided) {
		check_tree(t, k->lo, items, seen);
		check_tree(t, k->hi, items, seen);
	} else if (k->item != LAYOUT_FREE) {
		assert_int_equal(k->w, k->turned ? items[k->item].h : items[k->item].w);
		assert_int_equal(k->h, k->turned ? items[k->item].w : items[k->item].h);
		assert_true(items[k->item].turn || !k->turned);
		seen[k->item]++;
	}
}

static void check_trees(const layout_exact_answer *a, const layout_item *items, uint32_t n, const layout_room *rooms) {
	uint32_t seen[LAYOUT_EXACT_MOST] = {0};
	int64_t cost = 0;
	for (size_t i = 0; i < a->trees.n; i++) {
		const layout_room *r = &rooms[a->trees.v[i].stock];
		assert_int_equal(a->trees.v[i].nodes[a->trees.v[i].root].w, r->w);
		assert_int_equal(a->trees.v[i].nodes[a->trees.v[i].root].h, r->h);
		check_tree(&a->trees.v[i], a->trees.v[i].root, items, seen);
		cost += r->price;
	}
	for (uint32_t i = 0; i < n; i++) assert_int_equal(seen[i], 1);
	assert_int_equal(cost, a->cost);
}

/* Five pieces around a hole fill a square, but no cut runs through: two sheets. With a cut they fill one. */
static void pinwheel(void **state) {
	(void)state;
	arena mem = {0};
	const layout_room room = {3, 3, 1, -1};
	const layout_item wheel[5] = {{2, 1, 0, 0, false},
				      {1, 2, 1, 0, false},
				      {2, 1, 2, 0, false},
				      {1, 2, 3, 0, false},
				      {1, 1, 4, 0, false}};
	layout_exact_answer a = solve(&mem, wheel, 5, &room, 1, 100);
	assert_true(a.found);
	assert_int_equal(a.cost, 2);
	check_trees(&a, wheel, 5, &room);
	assert_false(solve(&mem, wheel, 5, &room, 1, 2).found);
	layout_item turning[5];
	for (int i = 0; i < 5; i++) {
		turning[i] = wheel[i];
		turning[i].turn = true;
	}
	a = solve(&mem, turning, 5, &room, 1, 100);
	assert_int_equal(a.cost, 1);
	check_trees(&a, turning, 5, &room);
	arena_end(&mem);
}

/* Rooms of 10 x 10 at 7 and of 10 x 5 at 4: two halves are dearer than a whole, one half is cheaper. */
static void prices(void **state) {
	(void)state;
	arena mem = {0};
	const layout_room rooms[2] = {{10, 10, 7, -1}, {10, 5, 4, -1}};
	const layout_item items[5] = {{10, 5, 0, 0, false}, {10, 5, 0, 1, false}, {10, 4, 1, 0, false}};
	layout_exact_answer a = solve(&mem, items, 3, rooms, 2, 100);
	assert_int_equal(a.cost, 11);
	check_trees(&a, items, 3, rooms);
	a = solve(&mem, items, 1, rooms, 2, 100);
	assert_int_equal(a.cost, 4);
	const layout_item large = {11, 5, 0, 0, false};
	assert_false(solve(&mem, &large, 1, rooms, 2, 100).found);
	arena_end(&mem);
}

/* Two sheets cut up at random by cuts through: two are enough again, whatever the order of the pieces. */
static void cut_up(void **state) {
	(void)state;
	uint64_t seed = 9;
	for (int round = 0; round < 20; round++) {
		arena mem = {0};
		const layout_room room = {100, 80, 1, -1};
		layout_item v[10] = {{100, 80, 0, 0, false}, {100, 80, 0, 0, false}};
		uint32_t n = 2;
		while (n < 10) {
			layout_item *it = &v[chance_below(&seed, n)];
			bool along = chance_below(&seed, 2) == 0;
			int64_t all = along ? it->w : it->h, at;
			if (all < 12) continue;
			at = 4 + chance_below(&seed, (uint32_t)all - 8);
			v[n] = *it;
			*(along ? &it->w : &it->h) = at;
			*(along ? &v[n].w : &v[n].h) = all - at;
			n++;
		}
		for (uint32_t i = 0; i < n; i++) {
			uint32_t k = chance_below(&seed, n);
			layout_item t = v[i];
			v[i] = v[k];
			v[k] = t;
		}
		layout_exact_answer a = solve(&mem, v, n, &room, 1, 100);
		assert_int_equal(a.cost, 2);
		check_trees(&a, v, n, &room);
		arena_end(&mem);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {cmocka_unit_test(pinwheel), cmocka_unit_test(prices),
					   cmocka_unit_test(cut_up)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
