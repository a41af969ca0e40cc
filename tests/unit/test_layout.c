/* Sheet layouts: hand cases, pseudo-random problems that are all verified, and the verifier made to refuse. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "runtime/engine/layout.h"
#include "runtime/engine/layout_build.h"
#include "runtime/engine/layout_verify.h"

/* Trim that all four edges lose alike. */
#define EACH(t)                                                                                                        \
	{ t, t, t, t }

static uint32_t draw(uint64_t *seed, uint32_t below) {
	*seed = *seed * 6364136223846793005u + 1442695040888963407u;
	return (uint32_t)((*seed >> 33) % below);
}

static void must_hold(const layout_problem *p, const layout_result *r) {
	arena mem = {0};
	layout_faults faults = {0};
	if (!layout_verify(&mem, p, r, &faults))
		print_error("%s (sheet %u, %u, %u)\n", LAYOUT_FAULT_TEXT[faults.v[0].kind], faults.v[0].sheet,
			    faults.v[0].first, faults.v[0].other);
	assert_int_equal(faults.n, 0);
	arena_end(&mem);
}

static layout_result solve(arena *mem, const layout_problem *p) {
	layout_result r;
	const char *wrong = layout_solve(mem, p, &r);
	if (wrong) print_error("%s\n", wrong);
	assert_null(wrong);
	must_hold(p, &r);
	return r;
}

static void one_part_fills_the_sheet(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{1000, 500, 1, false}};
	layout_stock stocks[] = {{1000, 500, {0}, 7, -1}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 1);
	assert_int_equal(r.sheets.v[0].cuts.n, 0);
	assert_int_equal(r.sheets.v[0].offcuts.n, 0);
	assert_int_equal(r.cost, 7);
	assert_true(r.proven);
	arena_end(&mem);
}

/* Two halves need the kerf between them: 2 x 500 + 3 = 1003. */
static void kerf_decides(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{500, 400, 2, false}};
	layout_stock stocks[] = {{1003, 400, {0}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 1);
	assert_int_equal(r.sheets.v[0].cuts.n, 1);
	assert_false(r.sheets.v[0].cuts.v[0].along_x);
	assert_int_equal(r.sheets.v[0].cuts.v[0].at, 500);
	assert_int_equal(r.sheets.v[0].cuts.v[0].fence, 500);
	stocks[0].w = 1002;
	r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 2);
	assert_int_equal(r.sheet_bound, 2);
	assert_true(r.proven);
	arena_end(&mem);
}

/* A part that leaves less than a kerf is still cut to size, and nothing is left behind. */
static void kerf_runs_over_the_edge(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{998, 500, 1, false}};
	layout_stock stocks[] = {{1000, 500, {0}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.v[0].cuts.n, 1);
	assert_int_equal(r.sheets.v[0].cuts.v[0].at, 998);
	assert_int_equal(r.sheets.v[0].offcuts.n, 0);
	arena_end(&mem);
}

/* Each edge loses its own; one that loses nothing is not cut. */
static void each_edge_loses_its_own(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{970, 480, 1, false}};
	layout_stock stocks[] = {{1000, 500, {20, 10, 0, 20}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 1);
	const layout_sheet *s = &r.sheets.v[0];
	assert_int_equal(s->cuts.n, 3);
	assert_true(s->cuts.v[0].along_x && s->cuts.v[0].at == 480 && s->cuts.v[0].fence == 480);
	assert_true(!s->cuts.v[1].along_x && s->cuts.v[1].at == 17 && s->cuts.v[1].fence == 980);
	assert_true(!s->cuts.v[2].along_x && s->cuts.v[2].at == 990 && s->cuts.v[2].fence == 970);
	assert_true(s->pieces.v[0].at.x == 20 && s->pieces.v[0].at.y == 0);
	stocks[0].trim.bottom = 1;
	r = solve(&mem, &p);
	assert_true(r.sheets.n == 0 && r.unfit.v[0].over_h == 1 && r.unfit.v[0].over_w == 0);
	arena_end(&mem);
}

static void trim_is_cut_first(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{980, 480, 1, false}};
	layout_stock stocks[] = {{1000, 500, EACH(10), 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	const layout_sheet *s = &r.sheets.v[0];
	assert_int_equal(s->cuts.n, 4);
	for (size_t i = 0; i < 4; i++) assert_true(s->cuts.v[i].trim);
	assert_true(s->cuts.v[0].along_x && s->cuts.v[0].keep_high);
	assert_int_equal(s->cuts.v[0].at, 7);
	assert_int_equal(s->cuts.v[0].fence, 490);
	assert_int_equal(s->cuts.v[1].fence, 480);
	assert_int_equal(s->cuts.v[2].fence, 990);
	assert_int_equal(s->cuts.v[3].fence, 980);
	assert_int_equal(s->pieces.v[0].at.x, 10);
	parts[0].w = 981; /* one too long for the trimmed sheet */
	r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 0);
	assert_int_equal(r.unfit.n, 1);
	assert_int_equal(r.unfit.v[0].why, LAYOUT_TOO_LARGE);
	assert_int_equal(r.unfit.v[0].over_w, 1);
	assert_int_equal(r.unfit.v[0].over_h, 0);
	arena_end(&mem);
}

static void grain_keeps_the_part(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{400, 900, 2, true}};
	layout_stock stocks[] = {{1000, 810, {0}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 1);
	assert_true(r.sheets.v[0].pieces.v[0].turned);
	parts[0].turnable = false;
	r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 0);
	assert_int_equal(r.unfit.v[0].copies, 2);
	assert_int_equal(r.unfit.v[0].over_h, 90);
	arena_end(&mem);
}

/* The cheap small sheet takes the small part, the large one is bought only for the large part. */
static void cheapest_of_several(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{900, 900, 1, true}, {400, 400, 1, true}};
	layout_stock stocks[] = {{1000, 1000, {0}, 100, -1}, {500, 500, {0}, 30, -1}, {450, 450, {0}, 20, 0}};
	layout_problem p = {parts, 2, stocks, 3, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.cost, 130);
	assert_int_equal(r.sheets.n, 2);
	arena_end(&mem);
}

static void stock_runs_out(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{900, 900, 3, true}};
	layout_stock stocks[] = {{1000, 1000, {0}, 100, 2}};
	layout_problem p = {parts, 1, stocks, 1, 3, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 2);
	assert_int_equal(r.unfit.n, 1);
	assert_int_equal(r.unfit.v[0].why, LAYOUT_STOCK_OUT);
	assert_int_equal(r.unfit.v[0].copies, 1);
	assert_false(r.proven);
	arena_end(&mem);
}

/* Two columns with strips of 200 and 300 in different order: a cut that needs no new setting comes before a wider one
 * (500; 300; 200, 200; 300: four settings for five cuts). */
static void settings_are_kept(void **state) {
	(void)state;
	arena mem = {0};
	const layout_node nodes[] = {
		{0, 0, 1000, 1000, 500, 1, 2, LAYOUT_FREE, true, false, false}, /* crosscut in two columns */
		{0, 0, 500, 1000, 200, 3, 4, LAYOUT_FREE, true, true, false},
		{500, 0, 500, 1000, 300, 5, 6, LAYOUT_FREE, true, true, false},
		{0, 0, 500, 200, 0, 0, 0, 0, false, false, false},
		{0, 200, 500, 800, 300, 7, 8, LAYOUT_FREE, true, true, false},
		{500, 0, 500, 300, 0, 0, 0, 1, false, false, false},
		{500, 300, 500, 700, 200, 9, 10, LAYOUT_FREE, true, true, false},
		{0, 200, 500, 300, 0, 0, 0, 2, false, false, false},
		{0, 500, 500, 500, 0, 0, 0, LAYOUT_FREE, false, false, false},
		{500, 300, 500, 200, 0, 0, 0, 3, false, false, false},
		{500, 500, 500, 500, 0, 0, 0, LAYOUT_FREE, false, false, false},
	};
	const layout_item items[] = {
		{500, 200, 0, 0, false}, {500, 300, 1, 0, false}, {500, 300, 1, 1, false}, {500, 200, 0, 1, false}};
	layout_part parts[] = {{500, 200, 2, false}, {500, 300, 2, false}};
	layout_stock stock = {1000, 1000, {0}, 1, -1};
	layout_problem p = {parts, 2, &stock, 1, 0, 100, 0};
	layout_sheet sheet;
	layout_tree_write(&mem, &p, items, (layout_tree){nodes, 0, 0}, &sheet);
	assert_int_equal(sheet.cuts.n, 5);
	assert_int_equal(sheet.settings, 4);
	assert_int_equal(sheet.cuts.v[2].fence, 200);
	assert_int_equal(sheet.cuts.v[3].fence, 200);
	arena_end(&mem);
}

/* The offcut is kept whole: four 240 x 500 in 1000 x 1000 leave the upper half in one piece. */
static void offcut_is_kept_whole(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{240, 500, 4, true}};
	layout_stock stocks[] = {{1000, 1000, {0}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 0, 100, 0};
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 1);
	/* 1000 x 500 above a strip, or 520 x 1000 beside two stacks of two turned pieces. */
	assert_true(r.largest.w * r.largest.h >= 1000 * 500);
	arena_end(&mem);
}

/* Pieces of more than half the sheet in both directions: the area says 2 sheets, the truth is 4, and the
 * dual feasible functions see it. */
static void bound_beyond_the_area(void **state) {
	(void)state;
	layout_part parts[] = {{51, 51, 4, true}};
	layout_stock stocks[] = {{100, 100, {0}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 0, 1, 0};
	uint32_t sheets;
	int64_t cost;
	layout_bound(&p, &sheets, &cost);
	assert_int_equal(sheets, 4);
	assert_int_equal(cost, 4);
}

static void refuses_what_is_no_problem(void **state) {
	(void)state;
	arena mem = {0};
	layout_part parts[] = {{0, 10, 1, true}};
	layout_stock stocks[] = {{100, 100, {0}, 1, -1}};
	layout_problem p = {parts, 1, stocks, 1, 0, 1, 0};
	layout_result r;
	assert_non_null(strstr(layout_solve(&mem, &p, &r), "part 0"));
	parts[0].w = (int64_t)LAYOUT_MAX + 1;
	assert_non_null(strstr(layout_solve(&mem, &p, &r), "part 0"));
	parts[0] = (layout_part){10, 10, 1u << 30, true};
	assert_non_null(strstr(layout_solve(&mem, &p, &r), "more than"));
	parts[0].count = 1;
	p.kerf = -1;
	assert_non_null(layout_solve(&mem, &p, &r));
	p.kerf = 0;
	stocks[0].trim = (layout_edges)EACH(50); /* all trim */
	r = solve(&mem, &p);
	assert_int_equal(r.unfit.n, 1);
	p.n_stocks = 0;
	r = solve(&mem, &p);
	assert_int_equal(r.unfit.n, 1);
	p.n_parts = 0;
	r = solve(&mem, &p);
	assert_int_equal(r.sheets.n, 0);
	arena_end(&mem);
}

typedef struct random_problem {
	layout_part parts[24];
	layout_stock stocks[3];
	layout_problem p;
} random_problem;

static void make_random(random_problem *q, uint64_t *seed) {
	uint32_t n_stocks = 1 + (draw(seed, 4) == 0 ? draw(seed, 3) : 0), n_parts = 1 + draw(seed, 24);
	uint32_t kinds = draw(seed, 4);
	for (uint32_t i = 0; i < n_stocks; i++) {
		uint32_t trim = draw(seed, 3) * draw(seed, 12);
		q->stocks[i] = (layout_stock){800 + draw(seed, 1800), 500 + draw(seed, 900), EACH(trim),
					      n_stocks == 1 ? 1 : 1 + draw(seed, 90), -1};
		if (draw(seed, 3) == 0) q->stocks[i].trim.left = draw(seed, 40);
		if (draw(seed, 3) == 0) q->stocks[i].trim.top = 0;
		if (draw(seed, 6) == 0) q->stocks[i].count = draw(seed, 4);
	}
	for (uint32_t i = 0; i < n_parts; i++) {
		uint32_t most = kinds == 0 ? 300 : kinds == 1 ? 700 : 1400;
		q->parts[i] =
			(layout_part){1 + draw(seed, most), 1 + draw(seed, most), draw(seed, 4), draw(seed, 3) > 0};
	}
	q->p = (layout_problem){q->parts, n_parts, q->stocks, n_stocks, draw(seed, 5), 100, 20000};
}

static bool same_result(const layout_result *a, const layout_result *b) {
	if (a->sheets.n != b->sheets.n || a->cost != b->cost || a->steps != b->steps) return false;
	for (size_t i = 0; i < a->sheets.n; i++) {
		const layout_sheet *s = &a->sheets.v[i], *t = &b->sheets.v[i];
		if (s->pieces.n != t->pieces.n || s->cuts.n != t->cuts.n || s->stock != t->stock) return false;
		for (size_t k = 0; k < s->pieces.n; k++) {
			const layout_piece *x = &s->pieces.v[k], *y = &t->pieces.v[k];
			if (x->part != y->part || x->copy != y->copy || x->at.x != y->at.x || x->at.y != y->at.y)
				return false;
		}
		for (size_t k = 0; k < s->cuts.n; k++)
			if (s->cuts.v[k].at != t->cuts.v[k].at || s->cuts.v[k].fence != t->cuts.v[k].fence)
				return false;
	}
	return true;
}

static void random_problems_hold(void **state) {
	(void)state;
	uint64_t seed = 1;
	size_t proven = 0, pieces = 0;
	for (int round = 0; round < 400; round++) {
		arena mem = {0};
		random_problem q;
		make_random(&q, &seed);
		layout_result r = solve(&mem, &q.p);
		layout_result again = solve(&mem, &q.p);
		assert_true(same_result(&r, &again));
		proven += r.proven;
		for (size_t i = 0; i < r.sheets.n; i++) {
			pieces += r.sheets.v[i].pieces.n;
			/* every setting is a change of fence or direction, and there is one before the first cut */
			assert_true(r.sheets.v[i].settings <= r.sheets.v[i].cuts.n);
			assert_true(r.sheets.v[i].pieces.n > 0);
		}
		arena_end(&mem);
	}
	print_message("%zu of 400 proven, %zu pieces\n", proven, pieces);
	assert_true(proven > 200);
}

/* Effort is counted, so that the time has a limit: 60 pieces stay within the budget and what one layout more takes. */
static void effort_has_a_limit(void **state) {
	(void)state;
	uint64_t seed = 31;
	for (int round = 0; round < 20; round++) {
		arena mem = {0};
		layout_part parts[60];
		layout_stock stock = {2440, 1220, EACH(10), 1, -1};
		for (int i = 0; i < 60; i++)
			parts[i] = (layout_part){80 + draw(&seed, 900), 60 + draw(&seed, 500), 1, i % 2 == 0};
		layout_problem p = {parts, 60, &stock, 1, 3, 100, 0};
		layout_result r = solve(&mem, &p);
		assert_in_range(r.steps, 1000, LAYOUT_BUDGET * 3 / 2 + 100000);
		arena_end(&mem);
	}
}

/* Five pieces around a hole: no cut runs through, so that one sheet is not enough; no area and no function says so. */
static void few_pieces_are_proven(void **state) {
	(void)state;
	arena mem = {0};
	const layout_part parts[] = {{197, 97, 2, false}, {97, 197, 2, false}, {97, 97, 1, false}};
	layout_stock stock = {317, 317, EACH(10), 5, -1};
	layout_problem p = {.parts = parts, .n_parts = 3, .stocks = &stock, .n_stocks = 1, .kerf = 3, .useful = 50};
	uint32_t sheets;
	int64_t cost;
	layout_bound(&p, &sheets, &cost);
	assert_int_equal(sheets, 1);
	layout_result r = solve(&mem, &p);
	assert_int_equal(r.cost, 10);
	assert_int_equal(r.cost_bound, 10);
	assert_int_equal(r.sheet_bound, 2);
	assert_true(r.proven);
	/* all trim: such a stock takes nothing, not even what is small */
	const layout_part dot = {1, 1, 1, false};
	const layout_stock two[2] = {{20, 20, EACH(10), 1, -1}, {50, 50, EACH(1), 9, -1}};
	layout_problem small = {.parts = &dot, .n_parts = 1, .stocks = two, .n_stocks = 2};
	r = solve(&mem, &small);
	assert_int_equal(r.cost, 9);
	assert_true(r.cost_bound <= 9);
	arena_end(&mem);
}

/* A sheet is divided by random cuts; its pieces must fit one sheet of the same size or the bound is wrong. */
static void bound_never_lies(void **state) {
	(void)state;
	uint64_t seed = 77;
	for (int round = 0; round < 300; round++) {
		layout_part parts[40];
		layout_stock stock = {1000 + draw(&seed, 500), 600 + draw(&seed, 500), {0}, 5, -1};
		int64_t kerf = draw(&seed, 4);
		parts[0] = (layout_part){stock.w, stock.h, 1, draw(&seed, 2) == 0};
		size_t n = 1;
		for (int k = 0; k < 30; k++) {
			layout_part *a = &parts[draw(&seed, (uint32_t)n)];
			int64_t size = draw(&seed, 2) ? a->w : a->h;
			bool along = size == a->h;
			if (size < 60) continue;
			int64_t low = 20 + draw(&seed, (uint32_t)(size - 50)), high = size - low - kerf;
			layout_part *b = &parts[n++];
			*b = *a;
			if (along) {
				a->h = low;
				b->h = high;
			} else {
				a->w = low;
				b->w = high;
			}
		}
		layout_problem p = {parts, n, &stock, 1, kerf, 100, 0};
		uint32_t sheets;
		int64_t cost;
		layout_bound(&p, &sheets, &cost);
		assert_int_equal(sheets, 1);
		assert_int_equal(cost, 5);
	}
}

/* ---- the verifier refuses ------------------------------------------------------------------------ */

typedef struct good {
	arena mem;
	layout_part parts[3];
	layout_stock stocks[1];
	layout_problem p;
	layout_result r;
} good;

static int begin_good(void **state) {
	static good g;
	memset(&g, 0, sizeof g);
	g.parts[0] = (layout_part){600, 400, 2, false};
	g.parts[1] = (layout_part){300, 200, 3, true};
	g.parts[2] = (layout_part){150, 700, 1, true};
	g.stocks[0] = (layout_stock){1220, 900, EACH(5), 1, -1};
	g.p = (layout_problem){g.parts, 3, g.stocks, 1, 3, 100, 0};
	g.r = solve(&g.mem, &g.p);
	*state = &g;
	return 0;
}

static int end_good(void **state) {
	arena_end(&((good *)*state)->mem);
	return 0;
}

static void must_refuse(good *g, layout_fault_kind kind) {
	layout_faults faults = {0};
	assert_false(layout_verify(&g->mem, &g->p, &g->r, &faults));
	bool found = false;
	for (size_t i = 0; i < faults.n; i++) found = found || faults.v[i].kind == kind;
	if (!found)
		print_error("not found: %s; first: %s\n", LAYOUT_FAULT_TEXT[kind], LAYOUT_FAULT_TEXT[faults.v[0].kind]);
	assert_true(found);
}

static layout_piece *piece_of(good *g, uint32_t part) {
	for (size_t i = 0; i < g->r.sheets.n; i++)
		for (size_t k = 0; k < g->r.sheets.v[i].pieces.n; k++)
			if (g->r.sheets.v[i].pieces.v[k].part == part) return &g->r.sheets.v[i].pieces.v[k];
	return NULL;
}

static layout_cut *last_cut(good *g) {
	layout_sheet *s = &g->r.sheets.v[0];
	return &s->cuts.v[s->cuts.n - 1];
}

static void refuses_a_moved_piece(void **state) {
	good *g = *state;
	piece_of(g, 1)->at.x += 1;
	must_refuse(g, LAYOUT_FAULT_UNCUT);
}
static void refuses_a_piece_too_close(void **state) {
	good *g = *state;
	layout_sheet *s = &g->r.sheets.v[0];
	s->pieces.v[1].at.x = s->pieces.v[0].at.x + s->pieces.v[0].at.w + g->p.kerf - 1;
	s->pieces.v[1].at.y = s->pieces.v[0].at.y;
	must_refuse(g, LAYOUT_FAULT_CLOSE);
}
static void refuses_a_piece_outside(void **state) {
	good *g = *state;
	piece_of(g, 0)->at.x = 4;
	must_refuse(g, LAYOUT_FAULT_OUTSIDE);
}
static void refuses_another_size(void **state) {
	good *g = *state;
	piece_of(g, 2)->at.w -= 1;
	must_refuse(g, LAYOUT_FAULT_SIZE);
}
static void refuses_turned_grain(void **state) {
	good *g = *state;
	layout_piece *a = piece_of(g, 0);
	int64_t w = a->at.w;
	a->turned = true;
	a->at.w = a->at.h;
	a->at.h = w;
	must_refuse(g, LAYOUT_FAULT_GRAIN);
}
static void refuses_a_piece_twice(void **state) {
	good *g = *state;
	piece_of(g, 1)->copy = 1;
	layout_sheet *s = &g->r.sheets.v[0];
	for (size_t k = 0; k < s->pieces.n; k++)
		if (s->pieces.v[k].part == 1) s->pieces.v[k].copy = 0;
	must_refuse(g, LAYOUT_FAULT_TWICE);
}
static void refuses_a_missing_piece(void **state) {
	good *g = *state;
	g->r.sheets.v[0].pieces.n--;
	must_refuse(g, LAYOUT_FAULT_MISSING);
}
static void refuses_an_unknown_part(void **state) {
	good *g = *state;
	g->r.sheets.v[0].pieces.v[0].part = 9;
	must_refuse(g, LAYOUT_FAULT_PART);
}
static void refuses_a_cut_left_out(void **state) {
	good *g = *state;
	g->r.sheets.v[0].cuts.n--;
	must_refuse(g, LAYOUT_FAULT_UNCUT);
}
static void refuses_cuts_out_of_order(void **state) {
	good *g = *state;
	layout_sheet *s = &g->r.sheets.v[0];
	layout_cut c = s->cuts.v[4];
	s->cuts.v[4] = s->cuts.v[s->cuts.n - 1];
	s->cuts.v[s->cuts.n - 1] = c;
	must_refuse(g, LAYOUT_FAULT_CUT_RECT);
}
static void refuses_a_cut_short_of_the_edge(void **state) {
	good *g = *state;
	last_cut(g)->of.w -= 1;
	last_cut(g)->of.h -= 1;
	must_refuse(g, LAYOUT_FAULT_CUT_RECT);
}
static void refuses_a_cut_beside_its_rectangle(void **state) {
	good *g = *state;
	layout_cut *c = last_cut(g);
	c->at = (c->along_x ? c->of.y + c->of.h : c->of.x + c->of.w) + 1;
	must_refuse(g, LAYOUT_FAULT_CUT_PLACE);
}
static void refuses_a_wrong_fence(void **state) {
	good *g = *state;
	last_cut(g)->fence += 1;
	must_refuse(g, LAYOUT_FAULT_FENCE);
}
static void refuses_a_wrong_trim(void **state) {
	good *g = *state;
	g->r.sheets.v[0].cuts.v[0].at += 1;
	g->r.sheets.v[0].cuts.v[0].fence -= 1;
	must_refuse(g, LAYOUT_FAULT_TRIM);
}
static void refuses_the_trim_of_another_edge(void **state) {
	good *g = *state;
	g->stocks[0].trim.left = 4;
	must_refuse(g, LAYOUT_FAULT_TRIM);
}
static void refuses_an_untrimmed_edge(void **state) {
	good *g = *state;
	g->stocks[0].trim.bottom = 40;
	must_refuse(g, LAYOUT_FAULT_OUTSIDE);
}
static void refuses_a_hidden_offcut(void **state) {
	good *g = *state;
	assert_true(g->r.sheets.v[0].offcuts.n > 0);
	g->r.sheets.v[0].offcuts.n--;
	must_refuse(g, LAYOUT_FAULT_LEFT);
}
static void refuses_a_false_offcut(void **state) {
	good *g = *state;
	g->r.sheets.v[0].offcuts.v[0].w += 1;
	must_refuse(g, LAYOUT_FAULT_OFFCUT);
}
static void refuses_a_false_unfit(void **state) {
	good *g = *state;
	g->r.sheets.v[0].pieces.n--;
	layout_unfit u = {g->r.sheets.v[0].pieces.v[g->r.sheets.v[0].pieces.n].part, 1, LAYOUT_TOO_LARGE, 0, 1, 1};
	LIST_PUSH(&g->mem, &g->r.unfit, u);
	must_refuse(g, LAYOUT_FAULT_UNFIT);
	g->r.unfit.v[0].why = LAYOUT_STOCK_OUT;
	must_refuse(g, LAYOUT_FAULT_STOCK_LEFT);
}
static void refuses_a_false_bill(void **state) {
	good *g = *state;
	g->r.cost++;
	must_refuse(g, LAYOUT_FAULT_COST);
}
static void refuses_a_bound_above_use(void **state) {
	good *g = *state;
	g->r.sheet_bound = (uint32_t)g->r.sheets.n + 1;
	must_refuse(g, LAYOUT_FAULT_BOUND);
}
static void refuses_a_false_proof(void **state) {
	good *g = *state;
	g->r.cost_bound--;
	g->r.proven = true;
	must_refuse(g, LAYOUT_FAULT_BOUND);
}
static void refuses_too_many_sheets(void **state) {
	good *g = *state;
	g->stocks[0].count = 0;
	must_refuse(g, LAYOUT_FAULT_STOCK_COUNT);
	g->r.sheets.v[0].stock = 5;
	must_refuse(g, LAYOUT_FAULT_STOCK);
}

#define BREAKS(f) cmocka_unit_test_setup_teardown(f, begin_good, end_good)

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(one_part_fills_the_sheet),
		cmocka_unit_test(kerf_decides),
		cmocka_unit_test(kerf_runs_over_the_edge),
		cmocka_unit_test(trim_is_cut_first),
		cmocka_unit_test(each_edge_loses_its_own),
		cmocka_unit_test(grain_keeps_the_part),
		cmocka_unit_test(cheapest_of_several),
		cmocka_unit_test(stock_runs_out),
		cmocka_unit_test(settings_are_kept),
		cmocka_unit_test(offcut_is_kept_whole),
		cmocka_unit_test(bound_beyond_the_area),
		cmocka_unit_test(refuses_what_is_no_problem),
		cmocka_unit_test(random_problems_hold),
		cmocka_unit_test(effort_has_a_limit),
		cmocka_unit_test(few_pieces_are_proven),
		cmocka_unit_test(bound_never_lies),
		BREAKS(refuses_a_moved_piece),
		BREAKS(refuses_a_piece_too_close),
		BREAKS(refuses_a_piece_outside),
		BREAKS(refuses_another_size),
		BREAKS(refuses_turned_grain),
		BREAKS(refuses_a_piece_twice),
		BREAKS(refuses_a_missing_piece),
		BREAKS(refuses_an_unknown_part),
		BREAKS(refuses_a_cut_left_out),
		BREAKS(refuses_cuts_out_of_order),
		BREAKS(refuses_a_cut_short_of_the_edge),
		BREAKS(refuses_a_cut_beside_its_rectangle),
		BREAKS(refuses_a_wrong_fence),
		BREAKS(refuses_a_wrong_trim),
		BREAKS(refuses_the_trim_of_another_edge),
		BREAKS(refuses_an_untrimmed_edge),
		BREAKS(refuses_a_hidden_offcut),
		BREAKS(refuses_a_false_offcut),
		BREAKS(refuses_a_false_unfit),
		BREAKS(refuses_a_false_bill),
		BREAKS(refuses_a_bound_above_use),
		BREAKS(refuses_a_false_proof),
		BREAKS(refuses_too_many_sheets),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
