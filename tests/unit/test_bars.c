/* Bars cut to length: hand cases, pseudo-random problems verified and compared with trying everything, and the
 * verifier made to refuse. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/bars.h"
#include "runtime/engine/layout_verify.h"

static uint32_t draw(uint64_t *seed, uint32_t below) {
	*seed = *seed * 6364136223846793005u + 1442695040888963407u;
	return (uint32_t)((*seed >> 33) % below);
}

static bars_result solve(arena *mem, const bars_problem *p) {
	bars_result r;
	assert_null(bars_solve(mem, p, &r));
	layout_faults faults = {0};
	if (!bars_verify(mem, p, &r, &faults))
		print_error("%s (bar %u, %u)\n", LAYOUT_FAULT_TEXT[faults.v[0].kind], faults.v[0].sheet,
			    faults.v[0].first);
	assert_int_equal(faults.n, 0);
	return r;
}

static void last_kerf_runs_over_the_end(void **state) {
	(void)state;
	arena mem = {0};
	bars_part parts[] = {{331, 3}};
	bars_stock stocks[] = {{1000, 0, 1, -1}};
	bars_problem p = {parts, 1, stocks, 1, 3, 0};
	bars_result r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 1); /* 3 x 331 + 2 x 3 = 999 */
	assert_int_equal(r.bars.v[0].rest, 0);
	assert_int_equal(r.bars.v[0].pieces.v[2].x, 668);
	stocks[0].length = 998;
	r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 2);
	assert_true(r.proven);
	arena_end(&mem);
}

static void trim_at_both_ends(void **state) {
	(void)state;
	arena mem = {0};
	bars_part parts[] = {{980, 1}, {981, 1}};
	bars_stock stocks[] = {{1000, 10, 1, -1}};
	bars_problem p = {parts, 2, stocks, 1, 3, 0};
	bars_result r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 1);
	assert_int_equal(r.bars.v[0].pieces.v[0].x, 10);
	assert_int_equal(r.unfit.n, 1);
	assert_int_equal(r.unfit.v[0].part, 1);
	assert_int_equal(r.unfit.v[0].over_w, 1);
	arena_end(&mem);
}

/* Nothing may be lost: ten pieces of 200 in all in two bars of 100. */
static void full_bars_are_found(void **state) {
	(void)state;
	arena mem = {0};
	bars_part parts[] = {{44, 1}, {24, 2}, {22, 1}, {21, 1}, {17, 1}, {8, 1}, {6, 2}, {28, 1}};
	bars_stock stocks[] = {{100, 0, 1, -1}};
	bars_problem p = {parts, 8, stocks, 1, 0, 0};
	bars_result r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 2); /* 200 in all: both bars are full */
	assert_true(r.proven);
	assert_int_equal(r.bars.v[0].rest, 0);
	assert_int_equal(r.bars.v[1].rest, 0);
	arena_end(&mem);
}

/* Where best fit, first fit and filling bar by bar all take one bar more; equal pieces lie in one bar of the best.
 * Found by comparing them with the search; the lengths show that fewer bars cannot do (387 and 570 of 100 each). */
static void only_the_search_finds_it(void **state) {
	(void)state;
	arena mem = {0};
	bars_part first[] = {{49, 2}, {18, 1}, {43, 3}, {23, 2}, {32, 3}};
	bars_part second[] = {{29, 2}, {46, 2}, {43, 3}, {49, 2}, {36, 3}, {25, 3}};
	bars_stock stocks[] = {{100, 0, 1, -1}};
	bars_problem p = {first, 5, stocks, 1, 0, 0};
	bars_result r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 4);
	assert_true(r.proven);
	p.budget = 1; /* the search gives up at once */
	r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 5);
	assert_false(r.proven);
	p = (bars_problem){second, 6, stocks, 1, 0, 0};
	r = solve(&mem, &p);
	assert_int_equal(r.bars.n, 6);
	arena_end(&mem);
}

/* Two lengths with prices: 2400 at 10 and 3600 at 13; three of 1150: 3600 takes all for 13. */
static void cheapest_length(void **state) {
	(void)state;
	arena mem = {0};
	bars_part parts[] = {{1150, 3}};
	bars_stock stocks[] = {{2400, 0, 10, -1}, {3600, 0, 13, -1}};
	bars_problem p = {parts, 1, stocks, 2, 3, 0};
	bars_result r = solve(&mem, &p);
	assert_int_equal(r.cost, 13);
	parts[0].count = 2;
	r = solve(&mem, &p);
	assert_int_equal(r.cost, 10);
	stocks[0].count = 0;
	r = solve(&mem, &p);
	assert_int_equal(r.cost, 13);
	stocks[1].count = 0;
	r = solve(&mem, &p);
	assert_int_equal(r.unfit.n, 1);
	assert_int_equal(r.unfit.v[0].copies, 2);
	assert_int_equal(r.unfit.v[0].why, LAYOUT_STOCK_OUT);
	assert_false(r.proven);
	arena_end(&mem);
}

/* Lowest cost by trying everything: piece by piece into each open bar or a new one of each stock. */
static int64_t try_all(const bars_problem *p, const int64_t *pieces, size_t n, size_t i, int64_t *left, size_t bars,
		       int64_t cost, int64_t best) {
	if (cost >= best) return best;
	if (i == n) return cost;
	for (size_t b = 0; b < bars; b++) {
		if (left[b] < pieces[i] + p->kerf) continue;
		left[b] -= pieces[i] + p->kerf;
		best = try_all(p, pieces, n, i + 1, left, bars, cost, best);
		left[b] += pieces[i] + p->kerf;
	}
	for (size_t k = 0; k < p->n_stocks; k++) {
		int64_t room = p->stocks[k].length - 2 * p->stocks[k].trim + p->kerf;
		if (room < pieces[i] + p->kerf) continue;
		left[bars] = room - pieces[i] - p->kerf;
		best = try_all(p, pieces, n, i + 1, left, bars + 1, cost + p->stocks[k].price, best);
	}
	return best;
}

static void small_problems_are_optimal(void **state) {
	(void)state;
	uint64_t seed = 5;
	for (int round = 0; round < 300; round++) {
		arena mem = {0};
		bars_part parts[8];
		bars_stock stocks[2];
		int64_t pieces[8], left[9];
		uint32_t n = 2 + draw(&seed, 6), n_stocks = 1 + draw(&seed, 2);
		for (uint32_t k = 0; k < n_stocks; k++)
			stocks[k] = (bars_stock){900 + draw(&seed, 700), draw(&seed, 8),
						 n_stocks == 1 ? 1 : 5 + draw(&seed, 9), -1};
		for (uint32_t i = 0; i < n; i++) {
			pieces[i] = 60 + draw(&seed, 700);
			parts[i] = (bars_part){pieces[i], 1};
		}
		bars_problem p = {parts, n, stocks, n_stocks, draw(&seed, 5), 0};
		bars_result r = solve(&mem, &p);
		assert_true(r.proven);
		assert_int_equal(r.cost, try_all(&p, pieces, n, 0, left, 0, 0, INT64_MAX));
		uint32_t bound;
		int64_t cost;
		bars_bound(&p, &bound, &cost);
		assert_true(cost <= r.cost);
		arena_end(&mem);
	}
}

static void larger_problems_hold(void **state) {
	(void)state;
	uint64_t seed = 9;
	size_t proven = 0;
	for (int round = 0; round < 200; round++) {
		arena mem = {0};
		bars_part parts[30];
		bars_stock stocks[3];
		uint32_t n = 1 + draw(&seed, 30), n_stocks = 1 + draw(&seed, 3);
		for (uint32_t k = 0; k < n_stocks; k++)
			stocks[k] = (bars_stock){1500 + draw(&seed, 3000), draw(&seed, 20),
						 n_stocks == 1 ? 1 : 1 + draw(&seed, 60),
						 draw(&seed, 5) ? -1 : (int64_t)draw(&seed, 8)};
		for (uint32_t i = 0; i < n; i++) parts[i] = (bars_part){50 + draw(&seed, 2200), draw(&seed, 5)};
		bars_problem p = {parts, n, stocks, n_stocks, draw(&seed, 5), 20000};
		proven += solve(&mem, &p).proven;
		arena_end(&mem);
	}
	assert_true(proven > 50);
}

static void verifier_refuses(void **state) {
	(void)state;
	arena mem = {0};
	bars_part parts[] = {{300, 2}, {200, 2}};
	bars_stock stocks[] = {{1100, 5, 1, -1}};
	bars_problem p = {parts, 2, stocks, 1, 3, 0};
	const layout_fault_kind want[] = {LAYOUT_FAULT_CLOSE, LAYOUT_FAULT_LEFT,    LAYOUT_FAULT_OUTSIDE,
					  LAYOUT_FAULT_SIZE,  LAYOUT_FAULT_TWICE,   LAYOUT_FAULT_OFFCUT,
					  LAYOUT_FAULT_COST,  LAYOUT_FAULT_MISSING, LAYOUT_FAULT_STOCK_COUNT};
	for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
		bars_result r = solve(&mem, &p);
		bars_bar *bar = &r.bars.v[0];
		assert_int_equal(bar->pieces.n, 4);
		stocks[0].count = -1;
		switch (i) {
		case 0:
			bar->pieces.v[1].x -= 1;
			break;
		case 1:
			bar->pieces.v[1].x += 1;
			break;
		case 2:
			bar->pieces.v[0].x -= 1;
			break;
		case 3:
			bar->pieces.v[0].length -= 1;
			break;
		case 4:
			bar->pieces.v[1].copy = bar->pieces.v[0].copy;
			break;
		case 5:
			bar->rest += 1;
			break;
		case 6:
			r.cost += 1;
			break;
		case 7:
			bar->pieces.n--;
			break;
		default:
			stocks[0].count = 0;
			break;
		}
		layout_faults faults = {0};
		assert_false(bars_verify(&mem, &p, &r, &faults));
		bool found = false;
		for (size_t k = 0; k < faults.n; k++) found = found || faults.v[k].kind == want[i];
		assert_true(found);
	}
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(last_kerf_runs_over_the_end), cmocka_unit_test(trim_at_both_ends),
		cmocka_unit_test(full_bars_are_found),	       cmocka_unit_test(cheapest_length),
		cmocka_unit_test(only_the_search_finds_it),    cmocka_unit_test(small_problems_are_optimal),
		cmocka_unit_test(larger_problems_hold),	       cmocka_unit_test(verifier_refuses),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
