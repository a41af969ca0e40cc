/* Sheets as sets: which sets fit is compared with the exact search of layout_exact.h; dealing finds what was cut up. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_deal.h"
#include "runtime/engine/layout_exact.h"
#include "runtime/engine/layout_fits.h"

enum { SIDE = 100 };

/* Counts each item of a tree, and holds that it lies in a leaf of its size within the sheet. */
static void count_leaves(const layout_tree *t, uint32_t k, const layout_item *items, uint32_t *seen) {
	const layout_node *n = &t->nodes[k];
	if (n->divided) {
		const layout_node *lo = &t->nodes[n->lo], *hi = &t->nodes[n->hi];
		assert_int_equal(n->along_x ? lo->h + hi->h : lo->w + hi->w, n->along_x ? n->h : n->w);
		assert_true(n->along_x ? lo->w == n->w && hi->w == n->w : lo->h == n->h && hi->h == n->h);
		count_leaves(t, n->lo, items, seen);
		count_leaves(t, n->hi, items, seen);
	} else if (n->item != LAYOUT_FREE) {
		const layout_item *it = &items[n->item];
		assert_true(!n->turned || it->turn);
		assert_int_equal(n->w, n->turned ? it->h : it->w);
		assert_int_equal(n->h, n->turned ? it->w : it->h);
		seen[n->item]++;
	}
}

static bool fits_exactly(const layout_item *items, uint32_t n) {
	arena mem = {0};
	layout_room room = {SIDE, SIDE, 1, -1};
	layout_exact_problem q = {items, n, &room, 1, 2, UINT64_MAX};
	layout_exact_answer a;
	layout_exact(&mem, &q, &a);
	bool yes = a.found;
	arena_end(&mem);
	return yes;
}

static void sets_fit_as_the_exact_search_says(void **state) {
	(void)state;
	uint64_t seed = 7;
	uint32_t yes = 0, no = 0;
	for (uint32_t round = 0; round < 600; round++) {
		arena mem = {0};
		layout_item kinds[LAYOUT_FITS_EXACT] = {0};
		uint32_t n = 2 + round % (LAYOUT_FITS_EXACT - 1), most = n < 5 ? 90 : 70;
		uint16_t set[LAYOUT_FITS_EXACT];
		uint32_t items[LAYOUT_FITS_EXACT], seen[LAYOUT_FITS_EXACT] = {0};
		uint64_t name = 0;
		for (uint32_t i = 0; i < n; i++) {
			kinds[i].w = 5 + chance_below(&seed, most);
			kinds[i].h = 5 + chance_below(&seed, most);
			kinds[i].turn = round % 2;
		}
		layout_fits f = layout_fits_new(&mem, kinds, n, SIDE, SIDE, 64);
		for (uint32_t i = 0; i < n; i++) {
			set[i] = (uint16_t)(n - 1 - i);
			items[i] = set[i];
			name += f.name[i];
		}
		bool fits = layout_fits_set(&f, set, n, name);
		assert_int_equal(fits, fits_exactly(kinds, n));
		assert_int_equal(layout_fits_set(&f, set, n, name), fits); /* as it is remembered */
		layout_tree t;
		assert_int_equal(layout_fits_write(&f, &mem, set, n, items, &t), fits);
		if (fits) count_leaves(&t, t.root, kinds, seen);
		for (uint32_t i = 0; i < n; i++) assert_int_equal(seen[i], fits);
		yes += fits;
		no += !fits;
		arena_end(&mem);
	}
	assert_true(yes > 100 && no > 100);
}

/* Twelve quarters and eighths of one kind each: more than the exact search takes. */
static void many_pieces_fit_by_construction(void **state) {
	(void)state;
	arena mem = {0};
	layout_item kinds[2] = {{SIDE / 2, SIDE / 4, 0, 0, false}, {SIDE / 4, SIDE / 8, 1, 0, false}};
	layout_fits f = layout_fits_new(&mem, kinds, 2, SIDE, SIDE, 64);
	uint16_t set[12] = {1, 0, 1, 0, 1, 0, 0, 1, 0, 0, 1, 1};
	uint32_t items[12], seen[12] = {0};
	layout_item all[12];
	uint64_t name = 0;
	for (uint32_t i = 0; i < 12; i++) {
		items[i] = i;
		all[i] = kinds[set[i]];
		name += f.name[set[i]];
	}
	assert_true(layout_fits_set(&f, set, 12, name));
	layout_tree t;
	assert_true(layout_fits_write(&f, &mem, set, 12, items, &t));
	count_leaves(&t, t.root, all, seen);
	for (uint32_t i = 0; i < 12; i++) assert_int_equal(seen[i], 1);
	arena_end(&mem);
}

/* Cuts a sheet into pieces: so many times the largest in two, across its longer side. */
static uint32_t cut_up(uint64_t *seed, uint32_t pieces, layout_item *v) {
	v[0] = (layout_item){SIDE, SIDE, 0, 0, false};
	for (uint32_t n = 1; n < pieces; n++) {
		uint32_t most = 0;
		for (uint32_t i = 1; i < n; i++)
			if (v[i].w * v[i].h > v[most].w * v[most].h) most = i;
		layout_item *a = &v[most];
		v[n] = *a;
		int64_t *side = a->w > a->h ? &a->w : &a->h, *other = a->w > a->h ? &v[n].w : &v[n].h;
		*other = *side;
		*side = 1 + chance_below(seed, (uint32_t)*side - 1);
		*other -= *side;
	}
	return pieces;
}

/* Sheets that were cut up without waste, dealt from one piece on each: as many sheets again. */
static void dealing_finds_what_was_cut_up(void **state) {
	(void)state;
	enum { SHEETS = 6, EACH = 4, N = SHEETS * EACH };
	uint64_t seed = 11;
	for (uint32_t round = 0; round < 4; round++) {
		arena mem = {0};
		layout_item items[N];
		layout_node alone[N];
		layout_tree start[N];
		uint32_t seen[N] = {0};
		for (uint32_t k = 0; k < SHEETS; k++) cut_up(&seed, EACH, &items[k * EACH]);
		for (uint32_t i = 0; i < N; i++) {
			items[i].turn = round % 2 && items[i].w != items[i].h;
			alone[i] = layout_free_node(0, 0, items[i].w, items[i].h);
			alone[i].item = i;
			start[i] = (layout_tree){&alone[i], 0, 0};
		}
		layout_ruin_problem p = {items, N, SIDE, SIDE, N, SHEETS, 60000000, start};
		layout_ruin_answer a;
		assert_true(layout_deal_suits(&p));
		layout_deal(&mem, &p, &a);
		assert_true(a.found);
		assert_int_equal(a.sheets, SHEETS);
		assert_true(a.steps < p.budget);
		for (uint32_t k = 0; k < a.sheets; k++) {
			const layout_node *root = &a.trees[k].nodes[a.trees[k].root];
			assert_true(root->w == SIDE && root->h == SIDE);
			count_leaves(&a.trees[k], a.trees[k].root, items, seen);
		}
		for (uint32_t i = 0; i < N; i++) assert_int_equal(seen[i], 1);
		arena_end(&mem);
	}
}

/* One sheet less than the area takes: nothing is found, and the budget is kept. */
static void nothing_is_found_where_nothing_is(void **state) {
	(void)state;
	enum { N = 9 };
	arena mem = {0};
	layout_item items[N];
	layout_node alone[N];
	layout_tree start[N];
	for (uint32_t i = 0; i < N; i++) {
		items[i] = (layout_item){SIDE, SIDE / 3, i, 0, false};
		alone[i] = layout_free_node(0, 0, SIDE, SIDE);
		alone[i].item = i;
		start[i] = (layout_tree){&alone[i], 0, 0};
	}
	layout_ruin_problem p = {items, N, SIDE, SIDE, N, 2, 300000, start};
	layout_ruin_answer a;
	layout_deal(&mem, &p, &a);
	assert_true(a.found);
	assert_int_equal(a.sheets, 3);
	assert_in_range(a.steps, 300000, 400000);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(sets_fit_as_the_exact_search_says),
		cmocka_unit_test(many_pieces_fit_by_construction),
		cmocka_unit_test(dealing_finds_what_was_cut_up),
		cmocka_unit_test(nothing_is_found_where_nothing_is),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
