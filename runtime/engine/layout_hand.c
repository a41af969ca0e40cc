#include "runtime/engine/layout_hand.h"

#include <string.h>

/* Sheets and bars differ in what they are made of; the road is the same and is written once, over these. */
typedef struct goods {
	arena *mem;
	const void *problem;
	size_t n_parts, n_stocks, n_hand;
	/* Lays so many of each part on the stocks from `first` on, and takes off the counts what found a place. */
	const char *(*solve)(const struct goods *g, uint32_t *counts, size_t first, size_t n, void *out);
	void (*join)(arena *mem, void *to, const void *from, size_t step); /* stocks of `from` begin at `step` */
	int64_t (*cost)(const void *result);
} goods;

/* The pieces on hand first (with_hand) or not at all; false when something that fits found no place. */
static bool by_turns(const goods *g, const uint32_t *wanted, bool with_hand, void *to, void *second) {
	uint32_t *left = ARENA_MANY(g->mem, uint32_t, g->n_parts + 1);
	memcpy(left, wanted, sizeof *left * g->n_parts);
	if (with_hand && g->solve(g, left, 0, g->n_hand, to)) return false;
	if (g->solve(g, left, g->n_hand, g->n_stocks - g->n_hand, second)) return false;
	for (size_t i = 0; i < g->n_parts; i++)
		if (left[i]) return false;
	g->join(g->mem, to, second, g->n_hand);
	return true;
}

/* The better of `tried`, where one is as cheap as `known`; NULL when none is. What is left over for lack of stock in
 * the layout over all (`known_lacks`) counts for more than any cost. */
static void *better(const goods *g, const uint32_t *wanted, int64_t known, bool known_lacks, void *tried[2],
		    void *second) {
	void *best = NULL;
	for (int turn = 0; turn < 2; turn++) {
		if (!by_turns(g, wanted, turn == 0, tried[turn], second)) continue;
		int64_t cost = g->cost(tried[turn]);
		bool first_good = !best && (known_lacks || cost <= known);
		if (!first_good && !(best && cost < g->cost(best))) continue;
		best = tried[turn];
	}
	return best;
}

/* How many of each part are wanted, less what fits no stock; true when something else is left over too. */
static bool lacks(const layout_unfit *u, size_t n, uint32_t *wanted) {
	bool out = false;
	for (size_t i = 0; i < n; i++) {
		out = out || u[i].why == LAYOUT_STOCK_OUT;
		if (u[i].why == LAYOUT_TOO_LARGE) wanted[u[i].part] = 0;
	}
	return out;
}

/* ---- sheets ---------------------------------------------------------------------------------------- */

static const char *sheets_solve(const goods *g, uint32_t *counts, size_t first, size_t n, void *out) {
	layout_problem p = *(const layout_problem *)g->problem;
	layout_part *parts = ARENA_MANY(g->mem, layout_part, p.n_parts + 1);
	for (size_t i = 0; i < p.n_parts; i++) {
		parts[i] = p.parts[i];
		parts[i].count = counts[i];
	}
	p.parts = parts;
	p.stocks += first;
	p.n_stocks = n;
	layout_result *r = out;
	const char *wrong = layout_solve(g->mem, &p, r);
	for (size_t i = 0; i < r->sheets.n; i++)
		for (size_t k = 0; k < r->sheets.v[i].pieces.n; k++) counts[r->sheets.v[i].pieces.v[k].part]--;
	return wrong;
}

static void sheets_join(arena *mem, void *to, const void *from, size_t step) {
	layout_result *a = to;
	const layout_result *b = from;
	if (b->largest.w * b->largest.h > a->largest.w * a->largest.h) {
		a->largest = b->largest;
		a->largest_sheet = b->largest_sheet + (uint32_t)a->sheets.n;
	}
	for (size_t i = 0; i < b->sheets.n; i++) {
		layout_sheet sheet = b->sheets.v[i];
		sheet.stock += (uint32_t)step;
		LIST_PUSH(mem, &a->sheets, sheet);
	}
	a->cost += b->cost;
	a->settings += b->settings;
	a->steps += b->steps;
}

static int64_t sheets_cost(const void *result) { return ((const layout_result *)result)->cost; }

/* Takes over the better layout. Pieces of a part are alike: they are numbered anew in the order of the sheets. */
static void take_sheets(arena *mem, size_t n_parts, const layout_result *best, layout_result *out) {
	uint32_t *next = ARENA_MANY(mem, uint32_t, n_parts + 1);
	layout_result whole = *out;
	*out = *best;
	out->steps += whole.steps;
	out->unfit.n = 0;
	for (size_t i = 0; i < whole.unfit.n; i++)
		if (whole.unfit.v[i].why == LAYOUT_TOO_LARGE) LIST_PUSH(mem, &out->unfit, whole.unfit.v[i]);
	out->cost_bound = whole.cost_bound;
	out->sheet_bound = whole.sheet_bound;
	out->proven = out->cost == out->cost_bound;
	for (size_t i = 0; i < out->sheets.n; i++)
		for (size_t k = 0; k < out->sheets.v[i].pieces.n; k++) {
			layout_piece *q = &out->sheets.v[i].pieces.v[k];
			q->copy = next[q->part]++;
		}
}

const char *layout_hand_solve(arena *mem, const layout_problem *p, size_t n_hand, layout_result *out) {
	const char *wrong = layout_solve(mem, p, out);
	if (wrong || n_hand == 0) return wrong;
	goods g = {mem, p, p->n_parts, p->n_stocks, n_hand, sheets_solve, sheets_join, sheets_cost};
	uint32_t *wanted = ARENA_MANY(mem, uint32_t, p->n_parts + 1);
	for (uint32_t i = 0; i < p->n_parts; i++) wanted[i] = p->parts[i].count;
	bool known_lacks = lacks(out->unfit.v, out->unfit.n, wanted);
	layout_result tried[2] = {0}, second;
	void *v[2] = {&tried[0], &tried[1]};
	const layout_result *best = better(&g, wanted, out->cost, known_lacks, v, &second);
	if (best) take_sheets(mem, p->n_parts, best, out);
	out->hand_first = best && best == &tried[0];
	return NULL;
}

/* ---- bars ------------------------------------------------------------------------------------------ */

static const char *bars_part_solve(const goods *g, uint32_t *counts, size_t first, size_t n, void *out) {
	bars_problem p = *(const bars_problem *)g->problem;
	bars_part *parts = ARENA_MANY(g->mem, bars_part, p.n_parts + 1);
	for (size_t i = 0; i < p.n_parts; i++) {
		parts[i] = p.parts[i];
		parts[i].count = counts[i];
	}
	p.parts = parts;
	p.stocks += first;
	p.n_stocks = n;
	bars_result *r = out;
	const char *wrong = bars_solve(g->mem, &p, r);
	for (size_t i = 0; i < r->bars.n; i++)
		for (size_t k = 0; k < r->bars.v[i].pieces.n; k++) counts[r->bars.v[i].pieces.v[k].part]--;
	return wrong;
}

static void bars_join(arena *mem, void *to, const void *from, size_t step) {
	bars_result *a = to;
	const bars_result *b = from;
	for (size_t i = 0; i < b->bars.n; i++) {
		bars_bar bar = b->bars.v[i];
		bar.stock += (uint32_t)step;
		LIST_PUSH(mem, &a->bars, bar);
	}
	a->cost += b->cost;
	a->steps += b->steps;
}

static int64_t bars_cost(const void *result) { return ((const bars_result *)result)->cost; }

static void take_bars(arena *mem, size_t n_parts, const bars_result *best, bars_result *out) {
	uint32_t *next = ARENA_MANY(mem, uint32_t, n_parts + 1);
	bars_result whole = *out;
	*out = *best;
	out->steps += whole.steps;
	out->unfit.n = 0;
	for (size_t i = 0; i < whole.unfit.n; i++)
		if (whole.unfit.v[i].why == LAYOUT_TOO_LARGE) LIST_PUSH(mem, &out->unfit, whole.unfit.v[i]);
	out->cost_bound = whole.cost_bound;
	out->bar_bound = whole.bar_bound;
	out->proven = out->cost == out->cost_bound;
	for (size_t i = 0; i < out->bars.n; i++)
		for (size_t k = 0; k < out->bars.v[i].pieces.n; k++) {
			bars_piece *q = &out->bars.v[i].pieces.v[k];
			q->copy = next[q->part]++;
		}
}

const char *bars_hand_solve(arena *mem, const bars_problem *p, size_t n_hand, bars_result *out) {
	const char *wrong = bars_solve(mem, p, out);
	if (wrong || n_hand == 0) return wrong;
	goods g = {mem, p, p->n_parts, p->n_stocks, n_hand, bars_part_solve, bars_join, bars_cost};
	uint32_t *wanted = ARENA_MANY(mem, uint32_t, p->n_parts + 1);
	for (uint32_t i = 0; i < p->n_parts; i++) wanted[i] = p->parts[i].count;
	bool known_lacks = lacks(out->unfit.v, out->unfit.n, wanted);
	bars_result tried[2] = {0}, second;
	void *v[2] = {&tried[0], &tried[1]};
	const bars_result *best = better(&g, wanted, out->cost, known_lacks, v, &second);
	if (best) take_bars(mem, p->n_parts, best, out);
	out->hand_first = best && best == &tried[0];
	return NULL;
}
