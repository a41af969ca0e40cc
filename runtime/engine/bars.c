#include "runtime/engine/bars.h"

#include <stdlib.h>
#include <string.h>

#include "runtime/engine/bars_column.h"

/* Inside, the kerf is added to every length and to every trimmed bar. */
typedef struct item {
	int64_t length;
	uint32_t part, copy;
} item;

typedef struct open_bar {
	uint32_t stock;
	int64_t left;
} open_bar;

typedef struct plan {	  /* one layout: which bar each item lies in */
	uint32_t *bar_of; /* [items], NO_BAR = none */
	open_bar *bars;
	uint32_t n_bars;
	uint32_t left_over;
	int64_t cost, longest; /* longest rest of one bar */
} plan;
#define NO_BAR UINT32_MAX

typedef enum begin_how { BY_RATE, BY_PRICE, BY_LENGTH, BEGIN_HOWS } begin_how;

/* Beyond this number of pieces the search is not begun: its recursion is as deep as there are pieces. */
enum { SEARCH_MOST = 60 };

typedef struct solver {
	arena mem;
	const bars_problem *p;
	item *items; /* longest first */
	uint32_t n;
	int64_t *room;	  /* [stocks] trimmed length + kerf, 0 when all is trim */
	int64_t *taken;	  /* [stocks] */
	int64_t *rest_of; /* [items + 1] length of the items from here on */
	plan best, now;
	int64_t bound;
	uint64_t steps, budget;
	bool gave_up;
} solver;

static int item_cmp(const void *pa, const void *pb) {
	const item *a = pa, *b = pb;
	if (a->length != b->length) return a->length > b->length ? -1 : 1;
	if (a->part != b->part) return a->part < b->part ? -1 : 1;
	return a->copy < b->copy ? -1 : a->copy > b->copy;
}

static const char *invalid(arena *mem, const bars_problem *p) {
	uint64_t pieces = 0;
	if (p->kerf < 0 || p->kerf > LAYOUT_MAX / 4) return "the kerf is no length";
	for (size_t i = 0; i < p->n_stocks; i++) {
		const bars_stock *s = &p->stocks[i];
		bool good = s->length > 0 && s->length <= LAYOUT_MAX - p->kerf && s->trim >= 0 &&
			    s->trim <= LAYOUT_MAX && s->price >= 0 && s->price <= 1000000000000 && s->count >= -1;
		if (!good)
			return arena_printf(mem, "stock %zu has a length, trim, price or number outside the limits", i);
	}
	for (size_t i = 0; i < p->n_parts; i++) {
		if (p->parts[i].length <= 0 || p->parts[i].length > LAYOUT_MAX - p->kerf)
			return arena_printf(mem, "part %zu has no length within the limits", i);
		pieces += p->parts[i].count;
	}
	if (pieces > LAYOUT_MOST_PARTS)
		return arena_printf(mem, "there are %llu pieces, more than %d", (unsigned long long)pieces,
				    LAYOUT_MOST_PARTS);
	return NULL;
}

static int64_t usable(const bars_stock *s) { return s->length - 2 * s->trim; }

static bool too_long(const bars_problem *p, uint32_t part, layout_unfit *unfit) {
	layout_unfit best = {part, p->parts[part].count, LAYOUT_TOO_LARGE, 0, INT64_MAX, 0};
	for (size_t i = 0; i < p->n_stocks; i++) {
		int64_t over = p->parts[part].length - usable(&p->stocks[i]);
		if (over <= 0) return false;
		if (over >= best.over_w) continue;
		best.over_w = over;
		best.stock = (uint32_t)i;
	}
	*unfit = best;
	return true;
}

/* A bar is a sheet one unit high. */
void bars_bound(const bars_problem *p, uint32_t *bars, int64_t *cost) {
	arena mem = {0};
	layout_part *parts = ARENA_MANY(&mem, layout_part, p->n_parts + 1);
	layout_stock *stocks = ARENA_MANY(&mem, layout_stock, p->n_stocks + 1);
	size_t n = 0;
	for (size_t i = 0; i < p->n_parts; i++)
		parts[i] = (layout_part){p->parts[i].length, 1, p->parts[i].count, false};
	for (size_t i = 0; i < p->n_stocks; i++) {
		const bars_stock *s = &p->stocks[i];
		if (usable(s) > 0) stocks[n++] = (layout_stock){usable(s), 1, {0}, s->price, s->count};
	}
	layout_problem flat = {parts, p->n_parts, stocks, n, p->kerf, 0, 0};
	layout_bound(&flat, bars, cost);
	arena_end(&mem);
}

static plan plan_new(arena *mem, uint32_t n) {
	plan q = {.bar_of = ARENA_MANY(mem, uint32_t, n + 1), .bars = ARENA_MANY(mem, open_bar, n + 1)};
	return q;
}

static void plan_keep(solver *s) {
	memcpy(s->best.bar_of, s->now.bar_of, sizeof *s->now.bar_of * s->n);
	memcpy(s->best.bars, s->now.bars, sizeof *s->now.bars * s->now.n_bars);
	s->best.n_bars = s->now.n_bars;
	s->best.left_over = s->now.left_over;
	s->best.cost = s->now.cost;
	s->best.longest = s->now.longest;
}

static bool plan_better(const plan *a, const plan *b) {
	if (a->left_over != b->left_over) return a->left_over < b->left_over;
	if (a->cost != b->cost) return a->cost < b->cost;
	return a->longest > b->longest;
}

static bool there_is(const solver *s, size_t stock) {
	int64_t count = s->p->stocks[stock].count;
	return count < 0 || s->taken[stock] < count;
}

static bool before(const solver *s, begin_how how, size_t a, size_t b) {
	int64_t price_a = s->p->stocks[a].price, price_b = s->p->stocks[b].price;
	if (how == BY_LENGTH) return s->room[a] > s->room[b];
	if (how == BY_PRICE) return price_a < price_b;
	/* price / length, compared crosswise; doubles would do, but differ in the last bit between machines */
	__extension__ typedef __int128 wide;
	wide ra = (wide)price_a * s->room[b], rb = (wide)price_b * s->room[a];
	return ra < rb || (ra == rb && s->room[a] > s->room[b]);
}

static bool begin_bar(solver *s, int64_t length, begin_how how) {
	size_t best = SIZE_MAX;
	for (size_t i = 0; i < s->p->n_stocks; i++) {
		if (s->room[i] < length || !there_is(s, i)) continue;
		if (best == SIZE_MAX || before(s, how, i, best)) best = i;
	}
	if (best == SIZE_MAX) return false;
	s->taken[best]++;
	s->now.cost += s->p->stocks[best].price;
	s->now.bars[s->now.n_bars++] = (open_bar){(uint32_t)best, s->room[best]};
	return true;
}

/* Each bar goes to the cheapest stock that still takes what lies in it. */
static void cheapen(solver *s, plan *q) {
	for (uint32_t i = 0; i < q->n_bars; i++) {
		open_bar *b = &q->bars[i];
		int64_t filled = s->room[b->stock] - b->left;
		for (uint32_t k = 0; k < s->p->n_stocks; k++) {
			if (s->room[k] < filled || !there_is(s, k) ||
			    s->p->stocks[k].price >= s->p->stocks[b->stock].price)
				continue;
			q->cost += s->p->stocks[k].price - s->p->stocks[b->stock].price;
			s->taken[b->stock]--;
			s->taken[k]++;
			*b = (open_bar){k, s->room[k] - filled};
		}
	}
	q->longest = 0;
	for (uint32_t i = 0; i < q->n_bars; i++)
		if (q->bars[i].left > q->longest) q->longest = q->bars[i].left;
}

static void start_over(solver *s) {
	s->now.n_bars = s->now.left_over = 0;
	s->now.cost = 0;
	memset(s->taken, 0, sizeof *s->taken * s->p->n_stocks);
	for (uint32_t i = 0; i < s->n; i++) s->now.bar_of[i] = NO_BAR;
}

static void best_fit(solver *s, begin_how how, bool tightest) {
	start_over(s);
	for (uint32_t i = 0; i < s->n; i++) {
		int64_t length = s->items[i].length;
		uint32_t at = NO_BAR;
		for (uint32_t b = 0; b < s->now.n_bars; b++) {
			s->steps++;
			if (s->now.bars[b].left < length) continue;
			if (at == NO_BAR || (tightest && s->now.bars[b].left < s->now.bars[at].left)) at = b;
			if (!tightest) break;
		}
		if (at == NO_BAR && begin_bar(s, length, how)) at = s->now.n_bars - 1;
		s->now.bar_of[i] = at;
		if (at == NO_BAR)
			s->now.left_over++;
		else
			s->now.bars[at].left -= length;
	}
	cheapen(s, &s->now);
	if (s->best.n_bars == 0 || plan_better(&s->now, &s->best)) plan_keep(s);
}

/* The fullest filling of `left` from the items not yet laid, found depth first within a limit of tries. */
typedef struct filling {
	uint32_t *chosen, *tried;
	uint32_t n_chosen, n_tried;
	int64_t best;
	uint32_t tries;
} filling;

static void fill(solver *s, filling *f, uint32_t from, int64_t left, int64_t filled) {
	if (filled > f->best) {
		f->best = filled;
		f->n_chosen = f->n_tried;
		memcpy(f->chosen, f->tried, sizeof *f->chosen * f->n_tried);
	}
	int64_t last = 0;
	for (uint32_t i = from; i < s->n && left > 0 && f->tries > 0 && f->best < filled + left; i++) {
		int64_t length = s->items[i].length;
		if (s->now.bar_of[i] != NO_BAR || length > left || length == last) continue;
		last = length;
		f->tries--;
		s->steps++;
		if (f->n_tried >= SEARCH_MOST) return;
		f->tried[f->n_tried++] = i;
		fill(s, f, i + 1, left - length, filled + length);
		f->n_tried--;
	}
}

/* Bar by bar: the longest piece that is left, and the fullest filling beside it. */
static void fill_bars(solver *s, begin_how how) {
	filling f = {.chosen = ARENA_MANY(&s->mem, uint32_t, SEARCH_MOST + 1),
		     .tried = ARENA_MANY(&s->mem, uint32_t, SEARCH_MOST + 1)};
	start_over(s);
	for (uint32_t i = 0; i < s->n; i++) {
		if (s->now.bar_of[i] != NO_BAR) continue;
		if (!begin_bar(s, s->items[i].length, how)) {
			s->now.left_over++;
			continue;
		}
		uint32_t at = s->now.n_bars - 1;
		open_bar *b = &s->now.bars[at];
		s->now.bar_of[i] = at;
		b->left -= s->items[i].length;
		f.best = 0;
		f.n_chosen = f.n_tried = 0;
		f.tries = 2000;
		fill(s, &f, i + 1, b->left, 0);
		for (uint32_t k = 0; k < f.n_chosen; k++) s->now.bar_of[f.chosen[k]] = at;
		b->left -= f.best;
	}
	cheapen(s, &s->now);
	if (plan_better(&s->now, &s->best)) plan_keep(s);
}

/* Least that the items from `i` on still cost beyond the room in open bars: length at the lowest rate. */
static int64_t least_more(const solver *s, uint32_t i) {
	int64_t need = s->rest_of[i];
	for (uint32_t b = 0; b < s->now.n_bars; b++)
		if (i < s->n && s->now.bars[b].left >= s->items[s->n - 1].length) need -= s->now.bars[b].left;
	if (need <= 0) return 0;
	size_t best = SIZE_MAX;
	for (size_t k = 0; k < s->p->n_stocks; k++)
		if (s->room[k] > 0 && (best == SIZE_MAX || before(s, BY_RATE, k, best))) best = k;
	if (best == SIZE_MAX) return 0;
	__extension__ typedef __int128 wide;
	wide cost = ((wide)need * s->p->stocks[best].price + s->room[best] - 1) / s->room[best];
	return (int64_t)cost;
}

static void search(solver *s, uint32_t i) {
	if (s->best.cost <= s->bound && s->best.left_over == 0) return;
	if (++s->steps > s->budget) {
		s->gave_up = true;
		return;
	}
	bool first_whole = s->best.left_over > 0;
	if (!first_whole && s->now.cost + least_more(s, i) >= s->best.cost) return;
	if (i == s->n) {
		s->now.left_over = 0;
		s->now.longest = 0;
		for (uint32_t b = 0; b < s->now.n_bars; b++)
			if (s->now.bars[b].left > s->now.longest) s->now.longest = s->now.bars[b].left;
		plan_keep(s);
		return;
	}
	int64_t length = s->items[i].length;
	/* Equal pieces lie in bars in rising order: their exchange gives nothing new. */
	uint32_t from = i > 0 && s->items[i - 1].length == length ? s->now.bar_of[i - 1] : 0;
	for (uint32_t b = from; b < s->now.n_bars && !s->gave_up; b++) {
		open_bar *bar = &s->now.bars[b];
		bool twin = false;
		for (uint32_t k = from; k < b && !twin; k++) twin = s->now.bars[k].left == bar->left;
		if (bar->left < length || twin) continue;
		bar->left -= length;
		s->now.bar_of[i] = b;
		search(s, i + 1);
		bar->left += length;
	}
	for (uint32_t k = 0; k < s->p->n_stocks && !s->gave_up; k++) {
		if (s->room[k] < length || !there_is(s, k)) continue;
		uint32_t b = s->now.n_bars++;
		s->now.bars[b] = (open_bar){k, s->room[k] - length};
		s->now.bar_of[i] = b;
		s->now.cost += s->p->stocks[k].price;
		s->taken[k]++;
		search(s, i + 1);
		s->taken[k]--;
		s->now.cost -= s->p->stocks[k].price;
		s->now.n_bars--;
	}
}

/* Takes over the layout of a columns' answer: the pieces of a kind stand together in `items`, longest first. */
static void take_patterns(solver *s, const bars_columns_answer *a, const uint32_t *first, uint32_t n_kinds) {
	uint32_t *next = ARENA_MANY(&s->mem, uint32_t, n_kinds);
	memcpy(next, first, sizeof *next * n_kinds);
	start_over(s);
	for (size_t i = 0; i < a->patterns.n; i++) {
		const bars_pattern *q = &a->patterns.v[i];
		for (uint32_t t = 0; t < q->times; t++) {
			uint32_t at = s->now.n_bars++;
			open_bar bar = {q->room, s->room[q->room]};
			for (uint32_t k = 0; k < n_kinds; k++) {
				for (uint32_t c = 0; c < q->count[k]; c++) {
					bar.left -= s->items[next[k]].length;
					s->now.bar_of[next[k]++] = at;
				}
			}
			s->now.bars[at] = bar;
			s->taken[q->room]++;
			s->now.cost += s->p->stocks[q->room].price;
		}
	}
	cheapen(s, &s->now);
	plan_keep(s);
}

/* Column generation where it applies: any number of every stock, each with a price. */
static void columns(solver *s) {
	const bars_problem *p = s->p;
	bars_room *rooms = ARENA_MANY(&s->mem, bars_room, p->n_stocks + 1);
	bars_kind *kinds = ARENA_MANY(&s->mem, bars_kind, s->n + 1);
	uint32_t *first = ARENA_MANY(&s->mem, uint32_t, s->n + 1), n = 0;
	for (size_t i = 0; i < p->n_stocks; i++) {
		if (p->stocks[i].count >= 0 || p->stocks[i].price <= 0) return;
		rooms[i] = (bars_room){s->room[i], p->stocks[i].price};
	}
	for (uint32_t i = 0; i < s->n; i++) {
		if (n == 0 || kinds[n - 1].length != s->items[i].length) {
			first[n] = i;
			kinds[n++] = (bars_kind){s->items[i].length, 0};
		}
		kinds[n - 1].need++;
	}
	bars_columns_problem q = {kinds, n, rooms, (uint32_t)p->n_stocks, s->best.cost, s->bound, s->budget};
	bars_columns_answer a;
	bars_columns(&s->mem, &q, &a);
	s->steps += a.steps;
	if (a.bound > s->bound) s->bound = a.bound;
	if (a.found) take_patterns(s, &a, first, n);
}

static void write_result(solver *s, arena *mem, bars_result *out) {
	for (uint32_t b = 0; b < s->best.n_bars; b++) {
		bars_bar *bar = LIST_ADD(mem, &out->bars);
		bar->stock = s->best.bars[b].stock;
		int64_t x = s->p->stocks[bar->stock].trim;
		for (uint32_t i = 0; i < s->n; i++) {
			if (s->best.bar_of[i] != b) continue;
			int64_t length = s->items[i].length - s->p->kerf;
			bars_piece piece = {s->items[i].part, s->items[i].copy, x, length};
			LIST_PUSH(mem, &bar->pieces, piece);
			x += length + s->p->kerf;
		}
		int64_t rest = s->best.bars[b].left - s->p->kerf;
		bar->rest = rest > 0 ? rest : 0;
		out->cost += s->p->stocks[bar->stock].price;
	}
	for (uint32_t i = 0; i < s->n; i++) {
		if (s->best.bar_of[i] != NO_BAR) continue;
		layout_unfit *last = out->unfit.n ? &out->unfit.v[out->unfit.n - 1] : NULL;
		if (!last || last->part != s->items[i].part || last->why != LAYOUT_STOCK_OUT) {
			layout_unfit u = {s->items[i].part, 0, LAYOUT_STOCK_OUT, 0, 0, 0};
			LIST_PUSH(mem, &out->unfit, u);
			last = &out->unfit.v[out->unfit.n - 1];
		}
		last->copies++;
	}
}

static void begin(solver *s, const bars_problem *p, arena *mem, bars_result *out) {
	size_t pieces = 0;
	s->p = p;
	s->budget = p->budget ? p->budget : BARS_BUDGET;
	for (size_t i = 0; i < p->n_parts; i++) pieces += p->parts[i].count;
	s->items = ARENA_MANY(&s->mem, item, pieces + 1);
	s->room = ARENA_MANY(&s->mem, int64_t, p->n_stocks + 1);
	s->taken = ARENA_MANY(&s->mem, int64_t, p->n_stocks + 1);
	for (size_t i = 0; i < p->n_stocks; i++)
		s->room[i] = usable(&p->stocks[i]) > 0 ? usable(&p->stocks[i]) + p->kerf : 0;
	for (uint32_t i = 0; i < p->n_parts; i++) {
		layout_unfit unfit;
		if (p->parts[i].count == 0) continue;
		if (too_long(p, i, &unfit)) {
			LIST_PUSH(mem, &out->unfit, unfit);
			continue;
		}
		for (uint32_t c = 0; c < p->parts[i].count; c++)
			s->items[s->n++] = (item){p->parts[i].length + p->kerf, i, c};
	}
	if (s->n) qsort(s->items, s->n, sizeof *s->items, item_cmp);
	s->rest_of = ARENA_MANY(&s->mem, int64_t, s->n + 1);
	for (uint32_t i = s->n; i-- > 0;) s->rest_of[i] = s->rest_of[i + 1] + s->items[i].length;
	s->best = plan_new(&s->mem, s->n);
	s->now = plan_new(&s->mem, s->n);
}

const char *bars_solve(arena *mem, const bars_problem *p, bars_result *out) {
	*out = (bars_result){0};
	const char *wrong = invalid(mem, p);
	if (wrong) return wrong;
	solver s = {0};
	begin(&s, p, mem, out);
	bars_bound(p, &out->bar_bound, &out->cost_bound);
	s.bound = out->cost_bound;
	if (s.n) {
		for (int how = 0; how < (p->n_stocks > 1 ? BEGIN_HOWS : 1); how++) {
			best_fit(&s, (begin_how)how, true);
			best_fit(&s, (begin_how)how, false);
			fill_bars(&s, (begin_how)how);
		}
		if (s.best.left_over == 0 && s.best.cost > s.bound) columns(&s);
		if (s.bound > out->cost_bound) out->cost_bound = s.bound;
		if (p->n_stocks == 1 && p->stocks[0].price > 0)
			out->bar_bound = (uint32_t)(out->cost_bound / p->stocks[0].price);
		s.budget = s.steps + s.budget / 40;
		if (s.n <= SEARCH_MOST && (s.best.left_over || s.best.cost > s.bound)) {
			start_over(&s);
			search(&s, 0);
			bool whole = !s.gave_up && s.best.left_over == 0;
			if (whole) out->cost_bound = s.best.cost;
			if (whole && p->n_stocks == 1) out->bar_bound = s.best.n_bars;
		}
	}
	write_result(&s, mem, out);
	out->proven = out->cost == out->cost_bound && s.best.left_over == 0;
	out->steps = s.steps;
	arena_end(&s.mem);
	return NULL;
}
