/* What is on hand is used first, and never at the price of one sheet or bar more; bounds over stock with and without
 * a price never exceed what trying everything finds. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_hand.h"
#include "runtime/engine/layout_verify.h"

/* Trim that all four edges lose alike. */
#define EACH(t)                                                                                                        \
	{ t, t, t, t }

static layout_result solve(arena *mem, const layout_problem *p, size_t n_hand) {
	layout_result r;
	layout_faults faults = {0};
	assert_null(layout_hand_solve(mem, p, n_hand, &r));
	if (!layout_verify(mem, p, &r, &faults) || !layout_verify_hand(mem, p, &r, n_hand, &faults))
		print_error("%s\n", LAYOUT_FAULT_TEXT[faults.v[0].kind]);
	assert_int_equal(faults.n, 0);
	return r;
}

static bars_result solve_bars(arena *mem, const bars_problem *p, size_t n_hand) {
	bars_result r;
	layout_faults faults = {0};
	assert_null(bars_hand_solve(mem, p, n_hand, &r));
	if (!bars_verify(mem, p, &r, &faults) || !bars_verify_hand(mem, p, &r, n_hand, &faults))
		print_error("%s\n", LAYOUT_FAULT_TEXT[faults.v[0].kind]);
	assert_int_equal(faults.n, 0);
	return r;
}

static uint32_t used_of(const layout_result *r, uint32_t stock) {
	uint32_t n = 0;
	for (size_t i = 0; i < r->sheets.n; i++) n += r->sheets.v[i].stock == stock;
	return n;
}

/* All would lie on the one sheet that is bought anyway: two of them go onto the offcuts all the same. */
static void used_first(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{900, 450, 1, false}, {300, 200, 2, true}};
	layout_stock stocks[] = {{310, 200, {0}, 0, 1}, {200, 300, {0}, 0, 1}, {1000, 1000, {0}, 1, -1}};
	layout_problem p = {parts, 2, stocks, 3, 3, 100, 0};
	layout_result r = solve(&mem, &p, 2);
	assert_int_equal(used_of(&r, 0), 1);
	assert_int_equal(used_of(&r, 1), 1);
	assert_int_equal(used_of(&r, 2), 1);
	assert_int_equal(r.cost, 1);
	assert_true(r.proven); /* the large one fits no offcut */
	arena_end(&mem);
}

/* Filling the offcut with the small ones first would leave its two long ones for a second bar. */
static void never_one_more(void **state) {
	(void)state;
	arena mem = {0};
	bars_part parts[] = {{400, 1}, {600, 1}, {500, 2}};
	bars_stock stocks[] = {{1000, 0, 0, 1}, {1000, 0, 1, -1}};
	bars_problem p = {parts, 3, stocks, 2, 0, 0};
	bars_result r = solve_bars(&mem, &p, 1);
	assert_int_equal(r.cost, 1);
	assert_true(r.proven);
	stocks[0].length = 900;
	r = solve_bars(&mem, &p, 1);
	assert_int_equal(r.cost, 2); /* 2000 in all, 900 and 1000 there */
	assert_true(r.proven);
	arena_end(&mem);
}

static void stock_runs_out(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{400, 400, 3, false}, {2000, 10, 1, false}};
	layout_stock stocks[] = {{400, 400, {0}, 0, 1}, {500, 500, {0}, 7, 1}};
	layout_problem p = {parts, 2, stocks, 2, 3, 100, 0};
	layout_result r = solve(&mem, &p, 1);
	assert_int_equal(r.sheets.n, 2);
	assert_int_equal(r.unfit.n, 2);
	assert_false(r.proven);
	arena_end(&mem);
}

/* Lowest cost of bars by trying everything. */
static int64_t try_all(const bars_problem *p, const int64_t *pieces, size_t n, int64_t *left, size_t bars,
		       int64_t *there, int64_t cost, int64_t best) {
	if (cost >= best) return best;
	if (n == 0) return cost;
	int64_t need = pieces[n - 1] + p->kerf;
	for (size_t b = 0; b < bars; b++) {
		if (left[b] < need) continue;
		left[b] -= need;
		best = try_all(p, pieces, n - 1, left, bars, there, cost, best);
		left[b] += need;
	}
	for (size_t k = 0; k < p->n_stocks; k++) {
		int64_t room = p->stocks[k].length - 2 * p->stocks[k].trim + p->kerf;
		if (room < need || there[k] == 0) continue;
		there[k]--;
		left[bars] = room - need;
		best = try_all(p, pieces, n - 1, left, bars + 1, there, cost + p->stocks[k].price, best);
		there[k]++;
	}
	return best;
}

static void against_trying_everything(void **state) {
	(void)state;
	uint64_t seed = 11;
	int with_hand = 0, proven = 0;
	for (int round = 0; round < 400; round++) {
		arena mem = {0};
		bars_part parts[7];
		bars_stock stocks[4];
		int64_t pieces[7], left[8], there[4];
		size_t n = 2 + chance_below(&seed, 6), hand = chance_below(&seed, 3);
		size_t n_stocks = hand + 1 + chance_below(&seed, 2);
		for (size_t i = 0; i < n; i++) {
			pieces[i] = 10 + (int64_t)chance_below(&seed, 60);
			parts[i] = (bars_part){pieces[i], 1};
		}
		for (size_t i = 0; i < n_stocks; i++) {
			bool on_hand = i < hand;
			int64_t length = on_hand ? 30 + chance_below(&seed, 80) : 80 + chance_below(&seed, 60);
			int64_t price = on_hand ? 0 : 1 + chance_below(&seed, 9);
			/* the last can be bought in any number, so that nothing is left over */
			int64_t some = 1 + chance_below(&seed, 2);
			int64_t count = on_hand || i + 1 < n_stocks ? some : -1;
			stocks[i] = (bars_stock){length, chance_below(&seed, 3), price, count};
			there[i] = count;
		}
		bars_problem p = {parts, n, stocks, n_stocks, chance_below(&seed, 4), 0};
		int64_t least = try_all(&p, pieces, n, left, 0, there, 0, INT64_MAX);
		bars_result r = solve_bars(&mem, &p, hand);
		uint32_t bars;
		int64_t bound;
		bars_bound(&p, &bars, &bound);
		assert_true(bound <= least);
		assert_true(r.cost_bound <= least);
		assert_int_equal(r.cost, least);
		for (size_t i = 0; i < r.bars.n; i++) with_hand += r.bars.v[i].stock < hand;
		proven += r.proven;
		arena_end(&mem);
	}
	assert_true(with_hand > 100);
	assert_true(proven > 300);
}

/* Never dearer than a layout over all stock at once, and the bound holds for both. */
static void random_sheets_hold(void **state) {
	(void)state;
	uint64_t seed = 5;
	int first = 0;
	for (int round = 0; round < 60; round++) {
		arena mem = {0};
		layout_part parts[8];
		size_t n = 3 + chance_below(&seed, 6);
		for (size_t i = 0; i < n; i++)
			parts[i] = (layout_part){50 + chance_below(&seed, 500), 50 + chance_below(&seed, 300),
						 1 + chance_below(&seed, 3), chance_below(&seed, 2) == 0};
		layout_stock stocks[] = {
			{200 + chance_below(&seed, 400), 150 + chance_below(&seed, 300), {0}, 0, 2},
			{300 + chance_below(&seed, 300), 100 + chance_below(&seed, 200), {5, 0, 3, 8}, 0, 1},
			{1220, 610, EACH(10), 60 + chance_below(&seed, 30), -1},
			{900, 600, EACH(10), 50, -1},
		};
		layout_problem p = {parts, n, stocks, 4, chance_below(&seed, 5), 100, 100000};
		layout_result whole, r = solve(&mem, &p, 2);
		assert_null(layout_solve(&mem, &p, &whole));
		assert_true(r.cost <= whole.cost);
		assert_true(r.cost_bound <= whole.cost && whole.cost_bound <= r.cost);
		first += used_of(&r, 0) + used_of(&r, 1) > 0;
		arena_end(&mem);
	}
	assert_true(first > 40);
}

/* A piece that is moved from an offcut to the sheet that is bought: the offcut lies there and would take it. */
static void left_lying_is_found(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{200, 150, 2, false}, {900, 700, 1, false}};
	layout_stock stocks[] = {{310, 200, {0}, 0, 2}, {1000, 1000, {0}, 1, -1}};
	layout_problem p = {parts, 2, stocks, 2, 3, 100, 0};
	layout_faults faults = {0};
	layout_result r = solve(&mem, &p, 1);
	assert_true(r.hand_first && used_of(&r, 0) == 2);
	for (size_t i = 0; i < r.sheets.n; i++)
		if (r.sheets.v[i].stock == 0) {
			r.sheets.v[i].stock = 1;
			break;
		}
	assert_false(layout_verify_hand(&mem, &p, &r, 1, &faults));
	assert_int_equal(faults.v[0].kind, LAYOUT_FAULT_HAND);
	bars_part lengths[] = {{400, 2}, {900, 1}};
	bars_stock lying[] = {{500, 0, 0, 2}, {1000, 0, 1, -1}};
	bars_problem q = {lengths, 2, lying, 2, 3, 0};
	bars_result b = solve_bars(&mem, &q, 1);
	assert_true(b.hand_first);
	for (size_t i = 0; i < b.bars.n; i++)
		if (b.bars.v[i].stock == 0) {
			b.bars.v[i].stock = 1;
			break;
		}
	faults.n = 0;
	assert_false(bars_verify_hand(&mem, &q, &b, 1, &faults));
	assert_int_equal(faults.v[0].kind, LAYOUT_FAULT_HAND);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(left_lying_is_found),
		cmocka_unit_test(used_first),
		cmocka_unit_test(never_one_more),
		cmocka_unit_test(stock_runs_out),
		cmocka_unit_test(against_trying_everything),
		cmocka_unit_test(random_sheets_hold),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
