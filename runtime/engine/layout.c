#include "runtime/engine/layout.h"

#include <string.h>

#include "runtime/engine/chance.h"
#include "runtime/engine/layout_build.h"
#include "runtime/engine/layout_column.h"
#include "runtime/engine/layout_deal.h"
#include "runtime/engine/layout_exact.h"
#include "runtime/engine/layout_ruin.h"

/* Beyond so many steps a walk, or the refining of all sheets, is worth less than other ways. */
enum { WALK_MOST = 2000000, REFINE_MOST = 6000000 };
/* Dealing pieces to sheets pays after so many steps of ruin and recreate. */
enum { RUIN_LEAST = 2000000 };

typedef struct solver {
	arena mem; /* scratch, ends with the call */
	const layout_problem *p;
	layout_item *items;
	size_t n;
	layout_room *rooms;
	uint64_t budget, steps;
	uint64_t seed;
	layout_tree *trees; /* [sheets] of the best layout */
	uint32_t n_trees;
	int64_t *stock_used;
	uint32_t *index, *stack; /* room for one sheet's pieces, and for its tree */
} solver;

static uint32_t draw(solver *s, uint32_t below) { return chance_below(&s->seed, below); }

static bool trim_sane(int64_t trim) { return trim >= 0 && trim <= LAYOUT_MAX; }

static const char *invalid(arena *mem, const layout_problem *p) {
	uint64_t pieces = 0;
	if (p->kerf < 0 || p->kerf > LAYOUT_MAX / 4) return "the kerf is no length";
	if (p->useful < 0) return "the least useful offcut is negative";
	for (size_t i = 0; i < p->n_stocks; i++) {
		const layout_stock *s = &p->stocks[i];
		bool size = s->w > 0 && s->h > 0 && s->w <= LAYOUT_MAX - p->kerf && s->h <= LAYOUT_MAX - p->kerf;
		if (!size) return arena_printf(mem, "stock %zu has no size within the limits", i);
		if (!trim_sane(s->trim.left) || !trim_sane(s->trim.right) || !trim_sane(s->trim.bottom) ||
		    !trim_sane(s->trim.top))
			return arena_printf(mem, "stock %zu has no trim within the limits", i);
		if (s->price < 0 || s->price > 1000000000000)
			return arena_printf(mem, "stock %zu has no price within the limits", i);
		if (s->count < -1) return arena_printf(mem, "stock %zu has a negative number", i);
	}
	for (size_t i = 0; i < p->n_parts; i++) {
		const layout_part *q = &p->parts[i];
		bool size = q->w > 0 && q->h > 0 && q->w <= LAYOUT_MAX - p->kerf && q->h <= LAYOUT_MAX - p->kerf;
		if (!size) return arena_printf(mem, "part %zu has no size within the limits", i);
		pieces += q->count;
	}
	if (pieces > LAYOUT_MOST_PARTS)
		return arena_printf(mem, "there are %llu pieces, more than %d", (unsigned long long)pieces,
				    LAYOUT_MOST_PARTS);
	return NULL;
}

static int64_t over(int64_t part, int64_t room) { return part > room ? part - room : 0; }

bool layout_too_large(const layout_problem *p, uint32_t part, layout_unfit *unfit) {
	const layout_part *q = &p->parts[part];
	layout_unfit best = {part, q->count, LAYOUT_TOO_LARGE, 0, INT64_MAX / 2, INT64_MAX / 2};
	for (size_t i = 0; i < p->n_stocks; i++) {
		const layout_stock *s = &p->stocks[i];
		int64_t w = layout_room_w(s), h = layout_room_h(s);
		for (int turned = 0; turned <= (q->turnable ? 1 : 0); turned++) {
			int64_t dw = over(turned ? q->h : q->w, w), dh = over(turned ? q->w : q->h, h);
			if (dw == 0 && dh == 0) return false;
			if (dw + dh >= best.over_w + best.over_h) continue;
			best.over_w = dw;
			best.over_h = dh;
			best.stock = (uint32_t)i;
		}
	}
	if (unfit) *unfit = best;
	return true;
}

static void begin(solver *s, const layout_problem *p, arena *mem, layout_result *out) {
	s->p = p;
	s->budget = p->budget ? p->budget : LAYOUT_BUDGET;
	s->seed = 20240229; /* any fixed number */
	size_t pieces = 0;
	for (size_t i = 0; i < p->n_parts; i++) pieces += p->parts[i].count;
	s->items = ARENA_MANY(&s->mem, layout_item, pieces + 1);
	for (uint32_t i = 0; i < p->n_parts; i++) {
		const layout_part *q = &p->parts[i];
		layout_unfit unfit;
		if (q->count == 0) continue;
		if (layout_too_large(p, i, &unfit)) {
			LIST_PUSH(mem, &out->unfit, unfit);
			continue;
		}
		layout_item it = {q->w + p->kerf, q->h + p->kerf, i, 0, q->turnable && q->w != q->h};
		for (; it.copy < q->count; it.copy++) s->items[s->n++] = it;
	}
	s->rooms = ARENA_MANY(&s->mem, layout_room, p->n_stocks + 1);
	s->stock_used = ARENA_MANY(&s->mem, int64_t, p->n_stocks + 1);
	for (size_t i = 0; i < p->n_stocks; i++) {
		const layout_stock *k = &p->stocks[i];
		int64_t w = layout_room_w(k), h = layout_room_h(k);
		s->rooms[i] = (layout_room){w + p->kerf, h + p->kerf, k->price, k->count};
		if (w <= 0 || h <= 0) s->rooms[i] = (layout_room){1, 1, k->price, 0}; /* all trim: never begun */
	}
	s->index = ARENA_MANY(&s->mem, uint32_t, pieces + 1);
	s->stack = ARENA_MANY(&s->mem, uint32_t, pieces * 5 + 2);
	s->trees = ARENA_MANY(&s->mem, layout_tree, pieces + 1);
}

/* Every order with every rule; keeps the best and tells which it was. */
static void construct(solver *s, layout_build *best, layout_build *b, uint32_t *order, layout_rule *rule) {
	uint32_t *sorted = ARENA_MANY(&s->mem, uint32_t, s->n + 1);
	bool first = true;
	int begins = s->p->n_stocks > 1 ? BEGIN_KINDS : 1;
	for (int by = 0; by < SORT_KINDS; by++) {
		layout_build_sort(s->items, s->n, (layout_sort)by, sorted, &s->mem);
		for (int k = 0; k < FIT_KINDS * SPLIT_KINDS * begins; k++) {
			layout_rule r = {(layout_fit)(k % FIT_KINDS), (layout_split)(k / FIT_KINDS % SPLIT_KINDS),
					 (layout_begin)(k / (FIT_KINDS * SPLIT_KINDS))};
			if (!first && b->steps > s->budget) return;
			layout_build_run(b, sorted, r);
			if (!first && layout_build_cmp(b, best) >= 0) continue;
			first = false;
			layout_build_copy(best, b);
			memcpy(order, sorted, sizeof *order * s->n);
			*rule = r;
		}
	}
}

/* Moves one piece of the order elsewhere, or two against each other, a few times. */
static void disturb(solver *s, uint32_t *order, uint32_t n) {
	uint32_t times = 1 + draw(s, 3);
	for (uint32_t k = 0; k < times; k++) {
		uint32_t a = draw(s, n), b = draw(s, n), piece = order[a];
		if (draw(s, 2)) {
			order[a] = order[b];
			order[b] = piece;
			continue;
		}
		uint32_t to = a < b ? a : b; /* towards the front: placed earlier */
		uint32_t from = a < b ? b : a;
		piece = order[from];
		memmove(&order[to + 1], &order[to], sizeof *order * (from - to));
		order[to] = piece;
	}
}

/* Walks from order to order while none is worse packed, until the budget ends; when the cost meets its bound, a part
 * of it goes on emptying the last sheet. */
static void improve(solver *s, layout_build *best, layout_build *b, uint32_t *order, layout_rule rule, int64_t bound) {
	uint32_t *trial = ARENA_MANY(&s->mem, uint32_t, s->n + 1);
	if (s->n < 3) return;
	uint64_t enough = b->steps + s->budget / 8;
	for (;;) {
		bool proven = best->cost <= bound && best->left == 0;
		if (b->steps >= s->budget || (proven && (best->n_sheets < 2 || b->steps >= enough))) return;
		layout_rule r = rule;
		memcpy(trial, order, sizeof *order * s->n);
		disturb(s, trial, (uint32_t)s->n);
		if (draw(s, 4) == 0) r.fit = (layout_fit)draw(s, FIT_KINDS);
		if (draw(s, 4) == 0) r.split = (layout_split)draw(s, SPLIT_KINDS);
		if (s->p->n_stocks > 1 && draw(s, 4) == 0) r.begin = (layout_begin)draw(s, BEGIN_KINDS);
		layout_build_run(b, trial, r);
		if (layout_build_cmp(b, best) > 0) continue;
		layout_build_copy(best, b);
		memcpy(order, trial, sizeof *order * s->n);
		rule = r;
	}
}

typedef struct rank { /* of one sheet's layout: offcut more, settings fewer */
	int64_t offcut;
	uint32_t settings;
} rank;

static rank rank_of(solver *s, const layout_item *items, layout_tree t) {
	arena mem = {0};
	layout_sheet sheet;
	layout_tree_write(&mem, s->p, items, t, &sheet);
	rank r = {layout_tree_offcut(t.nodes, t.root, s->p->kerf, s->p->useful, NULL), sheet.settings};
	s->steps += 200 + 2 * sheet.cuts.n * sheet.cuts.n; /* what it costs beside a placement tried, about */
	arena_end(&mem);
	return r;
}

static bool rank_better(rank a, rank b, bool offcut_first) {
	if (offcut_first && a.offcut != b.offcut) return a.offcut > b.offcut;
	if (a.settings != b.settings) return a.settings < b.settings;
	return a.offcut > b.offcut;
}

/* The pieces of one tree. */
static size_t tree_items(const layout_tree *t, uint32_t *items, uint32_t *stack) {
	size_t n = 0, top = 0;
	stack[top++] = t->root;
	while (top) {
		const layout_node *k = &t->nodes[stack[--top]];
		if (k->divided) {
			stack[top++] = k->hi;
			stack[top++] = k->lo;
		} else if (k->item != LAYOUT_FREE) {
			items[n++] = k->item;
		}
	}
	return n;
}

typedef struct again { /* one sheet's pieces laid out again */
	layout_tree *tree;
	layout_item *items;
	size_t n;
	uint32_t *order, *best_order;
	layout_rule rule;
	rank best;
	bool offcut_first;
} again;

/* Takes the layout in b over if it is better: a cheaper stock, else a higher rank. An equal one gives its order. */
static void keep_better(solver *s, again *a, const layout_build *b, uint32_t stock, layout_rule rule) {
	if (b->left) return;
	layout_tree t = {b->nodes, b->sheets[0].root, stock};
	rank now = rank_of(s, a->items, t);
	bool cheaper = s->rooms[stock].price < s->rooms[a->tree->stock].price;
	if (!cheaper && rank_better(a->best, now, a->offcut_first)) return;
	memcpy(a->best_order, a->order, sizeof *a->order * a->n);
	a->rule = rule;
	if (!cheaper && !rank_better(now, a->best, a->offcut_first)) return;
	a->best = now;
	layout_node *copy = ARENA_MANY(&s->mem, layout_node, b->n_nodes);
	memcpy(copy, b->nodes, sizeof *copy * b->n_nodes);
	for (uint32_t i = 0; i < b->n_nodes; i++)
		if (copy[i].item != LAYOUT_FREE) copy[i].item = s->index[copy[i].item];
	s->stock_used[a->tree->stock]--;
	s->stock_used[stock]++;
	*a->tree = (layout_tree){copy, t.root, stock};
}

static void run_again(solver *s, again *a, layout_build *b, uint32_t stock, layout_rule rule) {
	uint64_t before = b->steps;
	layout_build_run(b, a->order, rule);
	s->steps += b->steps - before;
	keep_better(s, a, b, stock, rule);
}

/* Lays one sheet's pieces out again by every rule: in a cheaper stock when one takes them all, else for the
 * larger offcut (when it is this sheet's that counts) and the fewer settings. Then walks on from the best order. */
static void refine(solver *s, layout_tree *tree, bool offcut_first, uint64_t until) {
	again a = {.tree = tree, .offcut_first = offcut_first, .n = tree_items(tree, s->index, s->stack)};
	a.items = ARENA_MANY(&s->mem, layout_item, a.n + 1);
	for (size_t i = 0; i < a.n; i++) a.items[i] = s->items[s->index[i]];
	a.order = ARENA_MANY(&s->mem, uint32_t, a.n + 1);
	a.best_order = ARENA_MANY(&s->mem, uint32_t, a.n + 1);
	a.best = rank_of(s, s->items, *tree);
	for (uint32_t i = 0; i < a.n; i++) a.best_order[i] = i;
	for (uint32_t k = 0; k < s->p->n_stocks; k++) {
		layout_room room = s->rooms[k];
		bool same = k == tree->stock;
		if (!same && (room.price >= s->rooms[tree->stock].price)) continue;
		if (!same && room.count >= 0 && s->stock_used[k] >= room.count) continue;
		room.count = 1;
		layout_build b = layout_build_new(&s->mem, a.items, a.n, &room, 1);
		for (int by = 0; by < SORT_KINDS; by++) {
			layout_build_sort(a.items, a.n, (layout_sort)by, a.order, &s->mem);
			for (int r = 0; r < FIT_KINDS * SPLIT_KINDS && s->steps < until; r++)
				run_again(s, &a, &b, k,
					  (layout_rule){(layout_fit)(r % FIT_KINDS), (layout_split)(r / FIT_KINDS),
							BEGIN_RATE});
		}
	}
	layout_room room = s->rooms[tree->stock];
	room.count = 1;
	layout_build b = layout_build_new(&s->mem, a.items, a.n, &room, 1);
	while (s->steps < until && a.n > 2) {
		layout_rule rule = a.rule;
		memcpy(a.order, a.best_order, sizeof *a.order * a.n);
		disturb(s, a.order, (uint32_t)a.n);
		if (draw(s, 3) == 0) rule.fit = (layout_fit)draw(s, FIT_KINDS);
		if (draw(s, 3) == 0) rule.split = (layout_split)draw(s, SPLIT_KINDS);
		run_again(s, &a, &b, tree->stock, rule);
	}
}

/* A tree over some of the items, in an array of its own, as one over all of them. */
static layout_tree copy_tree(solver *s, const layout_tree *t, size_t n_items, const uint32_t *index) {
	LIST(uint32_t) from = {0};
	LIST_PUSH(&s->mem, &from, t->root);
	for (size_t i = 0; i < from.n; i++) {
		const layout_node *k = &t->nodes[from.v[i]];
		if (!k->divided) continue;
		uint32_t lo = k->lo, hi = k->hi;
		LIST_PUSH(&s->mem, &from, lo);
		LIST_PUSH(&s->mem, &from, hi);
	}
	layout_node *v = ARENA_MANY(&s->mem, layout_node, from.n);
	uint32_t next = 1;
	for (size_t i = 0; i < from.n; i++) {
		v[i] = t->nodes[from.v[i]];
		if (v[i].divided) {
			v[i].lo = next++;
			v[i].hi = next++;
		} else if (v[i].item < n_items) {
			v[i].item = index[v[i].item];
		}
	}
	return (layout_tree){v, 0, t->stock};
}

static int64_t free_area(solver *s, const layout_tree *t) {
	const layout_room *room = &s->rooms[t->stock];
	int64_t free = room->w * room->h;
	size_t n = tree_items(t, s->index, s->stack);
	for (size_t i = 0; i < n; i++) free -= s->items[s->index[i]].w * s->items[s->index[i]].h;
	return free;
}

static void take_over(solver *s, const layout_ruin_answer *a) {
	s->steps += a->steps;
	if (!a->found) return;
	s->stock_used[0] -= s->n_trees - a->sheets;
	s->n_trees = a->sheets;
	for (uint32_t i = 0; i < a->sheets; i++) s->trees[i] = a->trees[i];
}

/* Sheets of one size: is one less enough? */
static void fewer(solver *s, uint32_t bound) {
	const layout_problem *p = s->p;
	uint64_t most = s->budget / 8 * 7, rest = most > s->steps ? most - s->steps : 0;
	if (p->n_stocks != 1) return;
	if (rest < s->budget / 16) rest = s->budget / 16;
	layout_ruin_problem q = {s->items,   (uint32_t)s->n, s->rooms[0].w, s->rooms[0].h,
				 s->n_trees, bound,	     rest,	    s->trees};
	layout_ruin_answer a;
	if (layout_deal_suits(&q)) q.budget = rest / 4 > RUIN_LEAST ? rest / 4 : rest < RUIN_LEAST ? rest : RUIN_LEAST;
	layout_ruin(&s->mem, &q, &a);
	take_over(s, &a);
	q.sheets = s->n_trees;
	q.budget = rest - q.budget;
	if (q.budget == 0 || !layout_deal_suits(&q)) return;
	layout_deal(&s->mem, &q, &a);
	take_over(s, &a);
}

static void write_result(solver *s, arena *mem, layout_result *out) {
	int64_t best = 0;
	for (uint32_t i = 0; i < s->n_trees; i++) {
		layout_sheet *sheet = LIST_ADD(mem, &out->sheets);
		layout_tree_write(mem, s->p, s->items, s->trees[i], sheet);
		out->cost += s->p->stocks[sheet->stock].price;
		out->settings += sheet->settings;
		layout_rect r;
		int64_t size = layout_tree_offcut(s->trees[i].nodes, s->trees[i].root, s->p->kerf, s->p->useful, &r);
		if (size <= best) continue;
		best = size;
		r.x += s->p->stocks[sheet->stock].trim.left;
		r.y += s->p->stocks[sheet->stock].trim.bottom;
		out->largest = r;
		out->largest_sheet = i;
	}
}

static void write_left(solver *s, arena *mem, layout_result *out) {
	uint32_t *on_sheets = ARENA_MANY(&s->mem, uint32_t, s->p->n_parts + 1);
	bool *wanted = ARENA_MANY(&s->mem, bool, s->p->n_parts + 1);
	for (size_t i = 0; i < s->n; i++) wanted[s->items[i].part] = true;
	for (size_t i = 0; i < out->sheets.n; i++)
		for (size_t k = 0; k < out->sheets.v[i].pieces.n; k++) on_sheets[out->sheets.v[i].pieces.v[k].part]++;
	for (uint32_t i = 0; i < s->p->n_parts; i++) {
		if (!wanted[i] || on_sheets[i] == s->p->parts[i].count) continue;
		layout_unfit u = {i, s->p->parts[i].count - on_sheets[i], LAYOUT_STOCK_OUT, 0, 0, 0};
		LIST_PUSH(mem, &out->unfit, u);
		out->proven = false;
	}
}

/* ---- what the sheets cost at least, and how to get there ---------------------------------------------- */

/* The first layout: by construction, then a walk of `walk` steps. True when every item lies on a sheet. */
static bool first_layout(solver *s, int64_t bound, uint64_t walk) {
	layout_build best = layout_build_new(&s->mem, s->items, s->n, s->rooms, s->p->n_stocks);
	layout_build b = layout_build_new(&s->mem, s->items, s->n, s->rooms, s->p->n_stocks);
	uint32_t *order = ARENA_MANY(&s->mem, uint32_t, s->n + 1);
	layout_rule rule = {FIT_AREA, SPLIT_LARGE, BEGIN_RATE};
	uint64_t budget = s->budget;
	construct(s, &best, &b, order, &rule);
	s->budget = walk;
	improve(s, &best, &b, order, rule, bound);
	s->budget = budget;
	s->steps = b.steps;
	memcpy(s->stock_used, best.taken, sizeof *best.taken * s->p->n_stocks);
	s->n_trees = best.n_sheets;
	for (uint32_t i = 0; i < s->n_trees; i++)
		s->trees[i] = (layout_tree){best.nodes, best.sheets[i].root, best.sheets[i].stock};
	return best.left == 0;
}

static int64_t cost_of(const layout_problem *p, const layout_tree *trees, size_t n) {
	int64_t cost = 0;
	for (size_t i = 0; i < n; i++) cost += p->stocks[trees[i].stock].price;
	return cost;
}

/* So many sheets of the one stock are not enough for less than a cost. */
static uint32_t sheets_for(const layout_problem *p, int64_t cost) {
	int64_t price = p->stocks[0].price;
	return cost > 0 ? (uint32_t)((cost + price - 1) / price) : 0;
}

typedef struct part_answer { /* of some of the items */
	layout_tree *trees;
	uint32_t n;
	bool whole;
} part_answer;

/* Lays items out by themselves; no layout of them costs less than `bound`. Trees name the items of `s`. */
static part_answer lay_some(solver *s, const uint32_t *index, size_t n, int64_t bound, uint64_t budget) {
	solver sub = *s;
	sub.mem = (arena){0};
	sub.items = ARENA_MANY(&sub.mem, layout_item, n + 1);
	sub.n = n;
	sub.budget = budget * 3 / 4;
	for (size_t i = 0; i < n; i++) sub.items[i] = s->items[index[i]];
	sub.stock_used = ARENA_MANY(&sub.mem, int64_t, s->p->n_stocks + 1);
	sub.trees = ARENA_MANY(&sub.mem, layout_tree, n + 1);
	part_answer a = {.whole = first_layout(&sub, bound, budget / 4)};
	if (a.whole && s->p->n_stocks == 1 && cost_of(s->p, sub.trees, sub.n_trees) > bound)
		fewer(&sub, sheets_for(s->p, bound));
	a.n = sub.n_trees;
	a.trees = ARENA_MANY(&s->mem, layout_tree, a.n + 1);
	for (uint32_t i = 0; i < a.n; i++) a.trees[i] = copy_tree(s, &sub.trees[i], n, index);
	s->steps += sub.steps;
	arena_end(&sub.mem);
	return a;
}

/* Any number of every stock, each with a price and more than its trim. */
static bool endless(const solver *s) {
	const layout_problem *p = s->p;
	for (size_t i = 0; i < p->n_stocks; i++)
		if (p->stocks[i].count >= 0 || p->stocks[i].price <= 0 || s->rooms[i].count >= 0) return false;
	return true;
}

/* Sheets that are fixed, and the rest laid out by itself, when that costs less than what is known. */
static void complete(solver *s, const layout_column_take *t, int64_t bound, uint64_t budget) {
	const layout_problem *p = s->p;
	int64_t known = cost_of(p, s->trees, s->n_trees), cost = cost_of(p, t->trees.v, t->trees.n);
	uint32_t *rest = ARENA_MANY(&s->mem, uint32_t, s->n + 1), n = 0;
	for (uint32_t i = 0; i < s->n; i++)
		if (!t->laid[i]) rest[n++] = i;
	part_answer r = {.whole = true};
	if (cost >= known) return;
	if (n) r = lay_some(s, rest, n, bound - cost, budget);
	if (!r.whole || cost + cost_of(p, r.trees, r.n) >= known) return;
	s->n_trees = 0;
	memset(s->stock_used, 0, sizeof *s->stock_used * p->n_stocks);
	for (size_t i = 0; i < t->trees.n; i++) s->trees[s->n_trees++] = t->trees.v[i];
	for (uint32_t i = 0; i < r.n; i++) s->trees[s->n_trees++] = r.trees[i];
	for (uint32_t i = 0; i < s->n_trees; i++) s->stock_used[s->trees[i].stock]++;
}

/* Few pieces: nothing is cheaper than what comes of this, when it comes to its end. */
static void exactly(solver *s, layout_result *out) {
	int64_t known = cost_of(s->p, s->trees, s->n_trees);
	layout_exact_problem q = {s->items, (uint32_t)s->n, s->rooms, (uint32_t)s->p->n_stocks, known, s->budget / 4};
	layout_exact_answer a;
	if (s->n > LAYOUT_EXACT_MOST || known <= out->cost_bound) return;
	layout_exact(&s->mem, &q, &a);
	s->steps += a.steps;
	if (a.found) {
		memset(s->stock_used, 0, sizeof *s->stock_used * s->p->n_stocks);
		s->n_trees = (uint32_t)a.trees.n;
		for (uint32_t i = 0; i < s->n_trees; i++) s->trees[i] = a.trees.v[i];
		for (uint32_t i = 0; i < s->n_trees; i++) s->stock_used[s->trees[i].stock]++;
	}
	if (!a.whole) return;
	out->cost_bound = a.found ? a.cost : known;
	if (s->p->n_stocks == 1) out->sheet_bound = sheets_for(s->p, out->cost_bound);
}

/* A linear program over fillings of whole sheets and what it leads to; raises the bound. */
static void by_columns(solver *s, layout_result *out) {
	const layout_problem *p = s->p;
	layout_column_problem q = {s->items,
				   (uint32_t)s->n,
				   s->rooms,
				   (uint32_t)p->n_stocks,
				   cost_of(p, s->trees, s->n_trees),
				   out->cost_bound,
				   p->n_stocks > 1 ? s->budget / 4 * 3 : s->budget / 4};
	layout_column_answer a;
	layout_column(&s->mem, &q, &a);
	s->steps += a.steps;
	if (a.bound > out->cost_bound) out->cost_bound = a.bound;
	if (p->n_stocks == 1 && sheets_for(p, a.bound) > out->sheet_bound) out->sheet_bound = sheets_for(p, a.bound);
	if (a.found) complete(s, &a.whole, out->cost_bound, 0);
	/* sheets of one size: fewer of them, from other ways to lay out what the first dive leaves */
	for (size_t k = 0; p->n_stocks == 1 && k < a.takes.n && cost_of(p, s->trees, s->n_trees) > out->cost_bound; k++)
		complete(s, &a.takes.v[k], out->cost_bound, s->budget / 8 / a.takes.n);
}

/* The sheet that has most left is laid out again for its offcut, the others for their settings. */
static void refine_all(solver *s) {
	uint32_t widest = 0;
	int64_t most = -1;
	for (uint32_t i = 0; i < s->n_trees; i++) {
		int64_t free = free_area(s, &s->trees[i]);
		if (free <= most) continue;
		most = free;
		widest = i;
	}
	uint64_t steps = s->budget / 2 < REFINE_MOST ? s->budget / 2 : REFINE_MOST;
	uint64_t share = steps / (s->n_trees ? s->n_trees : 1);
	for (uint32_t i = 0; i < s->n_trees; i++) refine(s, &s->trees[i], i == widest, s->steps + share);
}

const char *layout_solve(arena *mem, const layout_problem *p, layout_result *out) {
	*out = (layout_result){0};
	const char *wrong = invalid(mem, p);
	if (wrong) return wrong;
	solver s = {0};
	begin(&s, p, mem, out);
	layout_bound(p, &out->sheet_bound, &out->cost_bound);
	if (s.n > 0) {
		bool whole = first_layout(&s, out->cost_bound, s.budget / 8 < WALK_MOST ? s.budget / 8 : WALK_MOST);
		if (whole && endless(&s)) exactly(&s, out);
		if (whole && cost_of(p, s.trees, s.n_trees) > out->cost_bound && endless(&s)) by_columns(&s, out);
		if (whole && cost_of(p, s.trees, s.n_trees) > out->cost_bound) fewer(&s, out->sheet_bound);
		refine_all(&s);
	}
	write_result(&s, mem, out);
	out->proven = out->cost == out->cost_bound;
	write_left(&s, mem, out);
	out->steps = s.steps;
	arena_end(&s.mem);
	return NULL;
}
