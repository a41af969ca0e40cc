/* Rolls: every layout is replayed cut by cut by the verifier of sheets; known answers; strips of one width against
 * bars; no bound above what a layout of sheets finds. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_hand.h"
#include "runtime/engine/layout_verify.h"
#include "runtime/engine/rolls.h"

static layout_result solve(arena *mem, const layout_problem *p, size_t n_hand) {
	layout_result r;
	layout_faults faults = {0};
	assert_null(rolls_solve(mem, p, n_hand, &r));
	if (!layout_verify(mem, p, &r, &faults) || !layout_verify_hand(mem, p, &r, n_hand, &faults))
		print_error("%s\n", LAYOUT_FAULT_TEXT[faults.v[0].kind]);
	assert_int_equal(faults.n, 0);
	return r;
}

static int64_t used_length(const layout_result *r) {
	int64_t end = 0;
	for (size_t i = 0; i < r->sheets.n; i++)
		for (size_t k = 0; k < r->sheets.v[i].pieces.n; k++) {
			layout_rect at = r->sheets.v[i].pieces.v[k].at;
			if (at.x + at.w > end) end = at.x + at.w;
		}
	return end;
}

/* Cloth of 7 tubes, 400 round and 900 long, on a roll 1600 wide. Four lie side by side with their length along the
 * roll: 2 x 900. Across it one lies on each 400: 7 x 400. */
static void the_shorter_way(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{400, 900, 7, true}};
	layout_stock stock = {10000, 1600, {0}, 1, -1};
	layout_problem p = {parts, 1, &stock, 1, 0, 0, 0};
	layout_result r = solve(&mem, &p, 0);
	assert_int_equal(r.sheets.n, 1);
	assert_int_equal(used_length(&r), 1800);
	assert_true(r.proven);
	stock.trim.left = 30; /* the end is squared */
	r = solve(&mem, &p, 0);
	assert_int_equal(used_length(&r), 1830);
	assert_true(r.sheets.v[0].cuts.v[0].trim);
	p.kerf = 2; /* a hot knife: 4 x 400 and three cuts are more than 1600 */
	r = solve(&mem, &p, 0);
	assert_int_equal(used_length(&r), 30 + 3 * 900 + 2 * 2);
	arena_end(&mem);
}

/* Sizes of one length share a band: 500 and 1000 side by side on 1500, twice. */
static void bands_are_shared(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{800, 1000, 2, false}, {800, 500, 2, false}};
	layout_stock stock = {1600, 1500, {0}, 1, -1};
	layout_problem p = {parts, 2, &stock, 1, 0, 0, 0};
	layout_result r = solve(&mem, &p, 0);
	assert_int_equal(r.cost, 1);
	assert_true(r.proven);
	assert_int_equal(r.sheets.v[0].offcuts.n, 0);
	arena_end(&mem);
}

/* The kinder way is not the same for all: turned, the second size would take a roll of its own. */
static void each_size_its_way(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{300, 1000, 3, true}, {1000, 250, 4, true}};
	layout_stock stock = {1900, 1000, {0}, 1, -1};
	layout_problem p = {parts, 2, &stock, 1, 0, 0, 0};
	layout_result r = solve(&mem, &p, 0);
	assert_int_equal(r.cost, 1);
	assert_true(used_length(&r) <= 1900);
	arena_end(&mem);
}

static void sizes_prices_and_hand(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{700, 1, 5, false}, {400, 1, 3, false}};
	layout_stock stocks[] = {{1200, 1, {0}, 0, 1}, {2000, 1, {0}, 50, -1}, {5000, 1, {0}, 90, -1}};
	layout_problem p = {parts, 2, stocks, 3, 0, 0, 0};
	layout_result r = solve(&mem, &p, 1);
	assert_int_equal(r.cost, 90); /* 4700 in all; 1100 of them lie on what is there */
	assert_true(r.proven);
	assert_true(r.hand_first);
	stocks[2].count = 0;
	r = solve(&mem, &p, 1);
	assert_int_equal(r.cost, 100);
	assert_true(r.proven);
	arena_end(&mem);
}

static void too_large_or_too_few(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{1700, 1700, 1, true}, {900, 400, 9, true}};
	layout_stock stock = {1000, 1600, {0}, 1, 2};
	layout_problem p = {parts, 2, &stock, 1, 0, 0, 0};
	layout_result r = solve(&mem, &p, 0);
	assert_int_equal(r.unfit.n, 2);
	assert_int_equal(r.unfit.v[0].why, LAYOUT_TOO_LARGE);
	assert_int_equal(r.unfit.v[0].over_w, 700);
	assert_int_equal(r.unfit.v[1].why, LAYOUT_STOCK_OUT);
	assert_int_equal(r.unfit.v[1].copies, 1); /* four on each roll */
	layout_stock apart[] = {{1000, 1600, {0}, 1, -1}, {1000, 1500, {0}, 1, -1}};
	p.stocks = apart;
	p.n_stocks = 2;
	assert_non_null(rolls_solve(&mem, &p, 0, &r));
	arena_end(&mem);
}

/* Bands longer than the roll that is left, which would take the piece the other way round. */
static void the_last_one_turned(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{1000, 400, 3, true}};
	layout_stock stocks[] = {{1000, 1000, {0}, 1, 1}, {450, 1000, {0}, 1, 1}};
	layout_problem p = {parts, 1, stocks, 2, 0, 0, 0};
	layout_result r = solve(&mem, &p, 0);
	assert_int_equal(r.unfit.n, 0);
	assert_int_equal(r.sheets.n, 2);
	arena_end(&mem);
}

static int64_t below(uint64_t *seed, uint32_t most) { return (int64_t)chance_below(seed, most); }

static void at_random(void **state) {
	(void)state;
	uint64_t seed = 5;
	int proven = 0, out = 0;
	for (int round = 0; round < 500; round++) {
		arena mem = {0};
		layout_part parts[5];
		layout_stock stocks[4];
		size_t n = 1 + chance_below(&seed, 5), hand = chance_below(&seed, 3),
		       n_stocks = hand + 1 + chance_below(&seed, 2);
		int64_t wide = 40 + below(&seed, 80);
		for (size_t i = 0; i < n; i++)
			parts[i] = (layout_part){5 + below(&seed, 70), 5 + below(&seed, 50), 1 + chance_below(&seed, 6),
						 below(&seed, 2) == 0};
		for (size_t i = 0; i < n_stocks; i++) {
			bool there = i < hand;
			stocks[i] = (layout_stock){50 + below(&seed, 200),
						   wide,
						   {.left = below(&seed, 4)},
						   there ? 0 : 1 + below(&seed, 9),
						   there ? 1 + below(&seed, 2) : -1};
			if (!there && below(&seed, 8) == 0) stocks[i].count = below(&seed, 3);
		}
		layout_problem p = {parts, n, stocks, n_stocks, below(&seed, 4), 0, 20000};
		layout_result r = solve(&mem, &p, hand), sheets;
		assert_null(layout_hand_solve(&mem, &p, hand, &sheets));
		bool left = r.unfit.n && r.unfit.v[r.unfit.n - 1].why == LAYOUT_STOCK_OUT;
		bool left_too = sheets.unfit.n && sheets.unfit.v[sheets.unfit.n - 1].why == LAYOUT_STOCK_OUT;
		if (!left && !left_too) assert_true(r.cost_bound <= sheets.cost);
		if (r.proven && !left_too) assert_true(r.cost <= sheets.cost);
		proven += r.proven;
		out += left;
		arena_end(&mem);
	}
	assert_true(proven > 150);
	assert_true(out > 3);
}

/* Tape cannot lie side by side: the answer and its bound are those of bars. */
static void tape_is_a_bar(void **state) {
	(void)state;
	uint64_t seed = 9;
	for (int round = 0; round < 200; round++) {
		arena mem = {0};
		layout_part parts[6];
		bars_part lengths[6];
		size_t n = 2 + chance_below(&seed, 5);
		for (size_t i = 0; i < n; i++) {
			lengths[i] = (bars_part){20 + chance_below(&seed, 60), 1 + chance_below(&seed, 3)};
			parts[i] = (layout_part){lengths[i].length, 1, lengths[i].count, false};
		}
		layout_stock roll = {130, 1, {0}, 1, -1};
		bars_stock bar = {130, 0, 1, -1};
		layout_problem p = {parts, n, &roll, 1, 0, 0, 0};
		bars_problem q = {lengths, n, &bar, 1, 0, 0};
		bars_result b;
		layout_result r = solve(&mem, &p, 0);
		assert_null(bars_solve(&mem, &q, &b));
		assert_int_equal(r.cost, b.cost);
		assert_int_equal(r.cost_bound, b.cost_bound);
		assert_int_equal(r.proven, b.proven);
		arena_end(&mem);
	}
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_shorter_way),
		cmocka_unit_test(bands_are_shared),
		cmocka_unit_test(each_size_its_way),
		cmocka_unit_test(sizes_prices_and_hand),
		cmocka_unit_test(too_large_or_too_few),
		cmocka_unit_test(the_last_one_turned),
		cmocka_unit_test(at_random),
		cmocka_unit_test(tape_is_a_bar),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
