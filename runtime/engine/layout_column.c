#include "runtime/engine/layout_column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/rat.h"
#include "runtime/engine/chance.h"
#include "runtime/engine/cover.h"
#include "runtime/engine/layout_exact.h"
#include "runtime/engine/layout_table.h"

/* Fillings that one table gives, and first cuts looked at for them. */
enum { COLUMNS_MOST = 12, CUTS_MOST = 60, COLUMNS_LATER = 6, CUTS_LATER = 16 };
/* Room for a tree to begin with; later, hundreds of pieces that are not there are not worth writing. */
enum { NODES_FIRST = 1024, NODES_LATER = 600 };
/* Tables for a program that is not the first: in the first dive, in later ones. */
enum { TABLES_FIRST = 6, TABLES_LATER = 5, MUCH_LEFT = 80 };
enum { TAKES_MOST = 6 };
/* Sheets that a later dive takes out of the cheapest layout; how many ways dives differ in taking whole numbers. */
enum { DROP_MOST = 12, DIVE_WAYS = 8 };
enum { EXACT_STEPS = 120000 }; /* for the last few pieces of a dive */
#define PRICE_SLACK 1e-6

typedef struct pattern {
	layout_filling tree;
	uint32_t room;
	uint32_t *count; /* [kinds] */
	bool bare;	 /* more of a kind than there are: for the bound alone, without a tree */
} pattern;

typedef struct first_cut { /* of a whole sheet, and what its two parts hold */
	float worth;
	layout_pair at;
	bool across_x;
} first_cut;

typedef struct fixed {
	uint32_t pattern, times;
} fixed;

typedef struct column_work {
	arena mem, *out_mem;
	layout_node *nodes; /* [nodes_room] of the pattern in hand */
	size_t nodes_room;
	uint32_t *count; /* [n] */
	LIST(first_cut) cuts;
	const layout_column_problem *p;
	layout_column_answer *out;
	layout_kind *kinds; /* `first`: its items stand together in `sorted` */
	uint32_t n;
	uint32_t *sorted;   /* item indices by kind */
	layout_kind *rest;  /* [n] the kinds as they are left */
	layout_table table; /* over what is left, in an arena of its own */
	arena table_mem;
	bool root; /* the program covers everything: its bound counts */
	cover lp;
	LIST(pattern) patterns;
	double *root_dual;
	cover_entry *entries;
	uint32_t *used;
	uint32_t *left; /* [kinds] what the program in hand covers */
	int64_t step;	/* common divisor of the prices */
	double scale;	/* of whole duals */
	double root_value;
	double least_rate; /* of the rooms: price for the area */
	LIST(fixed) fixed;
	LIST(fixed) good, trial; /* of the cheapest layout so far; and some of it */
	size_t n_fixed;		 /* in use */
	int64_t fixed_cost, best;
	uint64_t steps, seed;
} column_work;

static bool over(const column_work *w) { return w->steps + w->lp.steps >= w->p->budget; }

/* From here on columns hold no more than there are. */
static void only_proper(column_work *w) {
	for (size_t j = 0; j < w->lp.columns.n; j++) {
		cover_column *c = &w->lp.columns.v[j];
		c->off = w->patterns.v[c->tag].bare;
	}
}

/* The table over what is left: fewer sums, and fillings that hold less of what is not there. */
static void begin_table(column_work *w) {
	memcpy(w->rest, w->kinds, sizeof *w->rest * w->n);
	for (uint32_t k = 0; k < w->n; k++) w->rest[k].need = w->left[k];
	arena_end(&w->table_mem);
	layout_table_begin(&w->table, &w->table_mem, w->rest, w->n, w->p->rooms, w->p->n_rooms, w->p->budget);
	w->steps += w->table.begun;
}

static int64_t price_of(const column_work *w, uint32_t index) { return w->p->rooms[w->patterns.v[index].room].price; }

/* ---- columns ------------------------------------------------------------------------------------------------- */

static bool known_column(const column_work *w, const pattern *q, size_t from) {
	for (size_t k = from; k < w->patterns.n; k++) {
		const pattern *o = &w->patterns.v[k];
		if (o->room == q->room && memcmp(o->count, q->count, sizeof *q->count * w->n) == 0) return true;
	}
	return false;
}

static void count_kinds(column_work *w, pattern *q) {
	q->count = w->count;
	memset(q->count, 0, sizeof *q->count * w->n);
	w->steps += w->n / 4 + 2 * q->tree.v.n;
	for (size_t k = 0; k < q->tree.v.n; k++)
		if (!q->tree.v.v[k].divided && q->tree.v.v[k].item != LAYOUT_FREE) q->count[q->tree.v.v[k].item]++;
}

static void push_column(column_work *w, pattern q, size_t from) {
	uint32_t n = 0;
	for (uint32_t k = 0; k < w->n; k++) {
		if (q.count[k]) w->entries[n++] = (cover_entry){k, q.count[k]};
		q.bare = q.bare || q.count[k] > w->kinds[k].need;
	}
	if (n == 0 || known_column(w, &q, from)) return;
	q.tree.mem = &w->mem;
	if (!q.bare) q.tree.v.v = arena_copy(&w->mem, q.tree.v.v, sizeof *q.tree.v.v * q.tree.v.n);
	q.tree.v.room = q.tree.v.n = q.bare ? 0 : q.tree.v.n;
	q.count = arena_copy(&w->mem, q.count, sizeof *q.count * w->n);
	LIST_PUSH(&w->mem, &w->patterns, q);
	cover_add(&w->lp, (double)w->p->rooms[q.room].price, w->entries, n, (uint32_t)w->patterns.n - 1);
}

/* Takes out what there is no more of; what its pieces are worth then. */
static double leave_out(column_work *w, pattern *q) {
	double worth = 0;
	layout_node *v = q->tree.v.v;
	memset(w->used, 0, sizeof *w->used * w->n);
	for (size_t i = 0; i < q->tree.v.n; i++) {
		if (v[i].divided || v[i].item == LAYOUT_FREE) continue;
		uint32_t k = v[i].item;
		if (w->used[k] == w->left[k]) {
			v[i].item = LAYOUT_FREE;
			continue;
		}
		w->used[k]++;
		worth += (double)w->table.value[k];
	}
	count_kinds(w, q);
	return worth;
}

/* The pattern's column, as it is where the bound needs it, and without what there is no more of; not twice since
 * `from`. */
static void add_column(column_work *w, pattern q, size_t from, double enough) {
	bool proper = true;
	w->steps += q.tree.steps;
	if (q.tree.v.room > w->nodes_room) {
		w->nodes = q.tree.v.v;
		w->nodes_room = q.tree.v.room;
	}
	count_kinds(w, &q);
	for (uint32_t k = 0; k < w->n && proper; k++) proper = q.count[k] <= w->left[k];
	if (proper || w->root) push_column(w, q, from);
	if (!proper && leave_out(w, &q) > enough) push_column(w, q, from);
}

static pattern new_pattern(column_work *w, uint32_t room) {
	pattern q = {.room = room, .tree.mem = &w->mem};
	q.tree.v.v = w->nodes;
	q.tree.v.room = w->nodes_room;
	q.tree.most = w->root ? 0 : NODES_LATER;
	LIST_PUSH(&w->mem, &q.tree.v, layout_free_node(0, 0, w->p->rooms[room].w, w->p->rooms[room].h));
	return q;
}

/* So many pieces of one kind in the node, in columns from the left, in each from below. */
static void write_alone(layout_filling *f, uint32_t kind, int64_t w, int64_t h, bool turned, uint64_t most) {
	for (uint32_t rest = 0; most && f->v.v[rest].w >= w;) {
		bool last = f->v.v[rest].w == w;
		uint32_t up = last ? rest : layout_filling_cut(f, rest, false, w);
		rest = up + 1;
		while (most && f->v.v[up].h >= h) {
			bool top = f->v.v[up].h == h;
			uint32_t one = top ? up : layout_filling_cut(f, up, true, h);
			f->v.v[one].item = kind;
			f->v.v[one].turned = turned;
			most--;
			if (top) break;
			up = one + 1;
		}
		if (last) break;
	}
}

/* Beside and above each other a sum takes no more than there are. */
static int64_t alone(int64_t room_w, int64_t room_h, int64_t w, int64_t h, uint32_t need) {
	int64_t across = room_w / w, up = room_h / h;
	return (across < need ? across : need) * (up < need ? up : need);
}

/* One kind alone, in the cheapest room that takes it: as many as there are, and for the bound as many as the table
 * would take. */
static void add_alone(column_work *w, uint32_t k) {
	const layout_kind *d = &w->kinds[k];
	uint32_t room = UINT32_MAX;
	bool turned = false;
	int64_t most = 0;
	for (uint32_t r = 0; r < w->p->n_rooms; r++) {
		const layout_room *q = &w->p->rooms[r];
		int64_t plain = alone(q->w, q->h, d->w, d->h, d->need);
		int64_t across = d->turn ? alone(q->w, q->h, d->h, d->w, d->need) : 0;
		if (plain == 0 && across == 0) continue;
		if (room != UINT32_MAX && q->price >= w->p->rooms[room].price) continue;
		room = r;
		turned = across > plain;
		most = turned ? across : plain;
	}
	if (room == UINT32_MAX) return;
	pattern q = new_pattern(w, room);
	write_alone(&q.tree, k, turned ? d->h : d->w, turned ? d->w : d->h, turned, d->need);
	count_kinds(w, &q);
	push_column(w, q, w->patterns.n);
	if (most <= d->need) return;
	w->count[k] = (uint32_t)most;
	push_column(w, q, w->patterns.n);
}

static int first_cut_cmp(const void *pa, const void *pb) {
	const first_cut *a = pa, *b = pb;
	if (a->worth != b->worth) return a->worth > b->worth ? -1 : 1;
	if (a->across_x != b->across_x) return a->across_x ? -1 : 1;
	return a->at.a < b->at.a ? -1 : a->at.a > b->at.a;
}

/* The best filling of a room, then those of other first cuts that are worth more than the room costs: the table has
 * them all, and the program needs many. */
static void add_filled(column_work *w, uint32_t room, float enough) {
	const layout_room *r = &w->p->rooms[room];
	const layout_table *t = &w->table;
	uint32_t i = layout_axis_within(&t->x, r->w), j = layout_axis_within(&t->y, r->h);
	size_t begun = w->patterns.n, cuts_most = w->root ? CUTS_MOST : CUTS_LATER;
	size_t columns_most = w->root ? COLUMNS_MOST : COLUMNS_LATER;
	pattern q = new_pattern(w, room);
	layout_table_write(t, &q.tree, 0, i, j);
	add_column(w, q, begun, (double)enough);
	w->cuts.n = 0;
	for (uint32_t k = t->x.begin[i]; k < t->x.begin[i + 1]; k++) {
		layout_pair at = t->x.pairs[k];
		first_cut c = {layout_table_worth(t, at.a, j) + layout_table_worth(t, at.b, j), at, true};
		if (c.worth > enough) LIST_PUSH(&w->mem, &w->cuts, c);
	}
	for (uint32_t k = t->y.begin[j]; k < t->y.begin[j + 1]; k++) {
		layout_pair at = t->y.pairs[k];
		first_cut c = {layout_table_worth(t, i, at.a) + layout_table_worth(t, i, at.b), at, false};
		if (c.worth > enough) LIST_PUSH(&w->mem, &w->cuts, c);
	}
	if (w->cuts.n) qsort(w->cuts.v, w->cuts.n, sizeof *w->cuts.v, first_cut_cmp);
	for (size_t k = 0; k < w->cuts.n && k < cuts_most && w->patterns.n < begun + columns_most; k++) {
		first_cut c = w->cuts.v[k];
		q = new_pattern(w, room);
		uint32_t lo =
			layout_filling_cut(&q.tree, 0, !c.across_x, c.across_x ? t->x.at[c.at.a] : t->y.at[c.at.a]);
		layout_table_write(t, &q.tree, lo, c.across_x ? c.at.a : i, c.across_x ? j : c.at.a);
		layout_table_write(t, &q.tree, lo + 1, c.across_x ? c.at.b : i, c.across_x ? j : c.at.b);
		add_column(w, q, begun, (double)enough);
	}
}

/* The duals as whole numbers, so scaled that the sums in the table stay exact. */
static layout_wide set_values(column_work *w) {
	double most = 0;
	for (uint32_t r = 0; r < w->p->n_rooms; r++) {
		double area = (double)w->p->rooms[r].w * (double)w->p->rooms[r].h, rate = 0;
		for (uint32_t k = 0; k < w->n; k++) {
			double d = w->lp.dual[k] / ((double)w->kinds[k].w * (double)w->kinds[k].h);
			if (d > rate) rate = d;
		}
		if (area * rate > most) most = area * rate;
	}
	/* a filling is worth no more than its area at the best rate */
	w->scale = most > 0 ? floor((double)LAYOUT_TABLE_EXACT / most * 0.99 * 1024) / 1024 : 1;
	layout_wide worth = 0;
	for (uint32_t k = 0; k < w->n; k++) {
		double d = w->lp.dual[k];
		int64_t v = d > 0 ? (int64_t)(d * w->scale) : 0;
		w->table.value[k] = (float)v;
		worth += (layout_wide)v * w->left[k];
	}
	return worth;
}

/* Prices every room by one table; true when a column was added. Raises *bound, on what is left. */
static bool price(column_work *w, int64_t *bound) {
	layout_wide worth = set_values(w);
	int64_t safe = INT64_MAX;
	size_t begun = w->patterns.n;
	layout_table_fill(&w->table);
	w->steps += w->table.each;
	for (uint32_t r = 0; r < w->p->n_rooms; r++) {
		const layout_room *q = &w->p->rooms[r];
		uint32_t i = layout_axis_within(&w->table.x, q->w), j = layout_axis_within(&w->table.y, q->h);
		float most = layout_table_worth(&w->table, i, j);
		if (most <= 0) continue;
		if (most >= LAYOUT_TABLE_EXACT) safe = 0; /* never: see set_values() */
		layout_wide cost = (worth * q->price + (int64_t)most - 1) / (int64_t)most;
		if (cost < safe) safe = (int64_t)cost;
		double enough = (double)q->price * w->scale * (1 + PRICE_SLACK) + 1;
		if ((double)most > enough) add_filled(w, r, (float)enough);
	}
	if (safe != INT64_MAX && safe > *bound) *bound = safe;
	return w->patterns.n > begun;
}

/* ---- the program ------------------------------------------------------------------------------------------------ */

/* Every total is a multiple of the prices' common divisor. */
static int64_t whole_up(const column_work *w, double v) { return (int64_t)ceil(v / (double)w->step - 1e-6) * w->step; }

/* Solves for what is left with so many tables at most. True when nothing better can be priced. */
static bool generate(column_work *w, uint32_t tables, int64_t *bound) {
	bool table = false;
	for (uint32_t k = 0; k < w->n; k++) w->lp.demand[k] = w->left[k];
	for (;;) {
		bool good = cover_solve(&w->lp, false, UINT32_MAX, w->p->budget);
		if (!good || over(w) || tables-- == 0) return false;
		if (!table && !w->root) begin_table(w);
		table = true;
		if (!price(w, bound)) return true;
		if (whole_up(w, (double)*bound) >= whole_up(w, w->lp.value)) return true;
	}
}

/* ---- layouts ---------------------------------------------------------------------------------------------------- */

static void fix(column_work *w, uint32_t index, uint32_t times) {
	fixed f = {index, times};
	w->fixed.n = w->n_fixed;
	LIST_PUSH(&w->mem, &w->fixed, f);
	w->n_fixed++;
	w->fixed_cost += price_of(w, index) * times;
	const uint32_t *count = w->patterns.v[index].count;
	for (uint32_t k = 0; k < w->n; k++) w->left[k] -= count[k] * times < w->left[k] ? count[k] * times : w->left[k];
}

/* Lays a pattern once more: its leaves get the next items of their kinds, as long as there are some. */
static void lay(const column_work *w, const pattern *q, uint32_t *next, layout_column_take *out) {
	layout_node *v = arena_copy(w->out_mem, q->tree.v.v, sizeof *v * q->tree.v.n);
	for (size_t i = 0; i < q->tree.v.n; i++) {
		if (v[i].divided || v[i].item == LAYOUT_FREE) continue;
		uint32_t k = v[i].item;
		if (next[k] == w->kinds[k].need) {
			v[i].item = LAYOUT_FREE;
			continue;
		}
		uint32_t item = w->sorted[w->kinds[k].first + next[k]++];
		v[i].item = item;
		out->laid[item] = true;
	}
	layout_tree t = {v, 0, q->room};
	LIST_PUSH(w->out_mem, &out->trees, t);
}

static layout_column_take take(column_work *w) {
	arena scratch = {0};
	layout_column_take t = {.laid = ARENA_MANY(w->out_mem, bool, w->p->n_items + 1)};
	uint32_t *next = ARENA_MANY(&scratch, uint32_t, w->n + 1);
	for (size_t i = 0; i < w->n_fixed; i++)
		for (uint32_t k = 0; k < w->fixed.v[i].times; k++)
			lay(w, &w->patterns.v[w->fixed.v[i].pattern], next, &t);
	arena_end(&scratch);
	return t;
}

/* How much of the pattern's worth is still wanted, as a part of its price. */
static double useful(const column_work *w, uint32_t index, uint32_t times) {
	const pattern *q = &w->patterns.v[index];
	double sum = 0;
	for (uint32_t k = 0; k < w->n; k++) {
		uint32_t most = times ? w->left[k] / times : 0;
		sum += w->root_dual[k] * (q->count[k] < most ? q->count[k] : most);
	}
	return sum / (double)price_of(w, index);
}

/* Fixes what the program takes whole, else the column it takes most of, with some chance from the second dive on. */
static bool fix_some(column_work *w, uint32_t dive) {
	bool any = false;
	for (size_t j = 0; j < w->lp.columns.n; j++) {
		const cover_column *c = &w->lp.columns.v[j];
		uint32_t times = (uint32_t)(c->x + 1e-7);
		if (times == 0 || useful(w, c->tag, times) < 0.7) continue;
		if (chance_below(&w->seed, DIVE_WAYS) < dive % DIVE_WAYS) times = chance_below(&w->seed, times + 1);
		if (times == 0) continue;
		fix(w, c->tag, times);
		any = true;
	}
	if (any) return true;
	uint32_t best = UINT32_MAX;
	double most = 0;
	for (size_t j = 0; j < w->lp.columns.n; j++) {
		double x = w->lp.columns.v[j].x;
		if (x < 1e-6) continue;
		x = (x < 1 ? x : 1) * (useful(w, w->lp.columns.v[j].tag, 1) + 0.01);
		if (dive) x *= 0.1 + 0.9 * (double)chance_below(&w->seed, 1024) / 1024;
		if (x <= most) continue;
		most = x;
		best = w->lp.columns.v[j].tag;
	}
	if (best == UINT32_MAX) return false;
	fix(w, best, 1);
	return true;
}

/* What a sheet costs more than its pieces are worth to the program. */
static double lost(const column_work *w, uint32_t index) {
	const pattern *q = &w->patterns.v[index];
	double worth = 0;
	for (uint32_t k = 0; k < w->n; k++) worth += w->root_dual[k] * q->count[k];
	return (double)price_of(w, index) - worth;
}

/* All sheets of the cheapest layout but a few: those that lose much rather than others. */
static void keep_good(column_work *w) {
	w->trial.n = 0;
	for (size_t i = 0; i < w->good.n; i++) LIST_PUSH(&w->mem, &w->trial, w->good.v[i]);
	for (uint32_t drop = 1 + chance_below(&w->seed, DROP_MOST); drop; drop--) {
		fixed *out = NULL;
		double most = 0;
		for (int t = 0; t < 3; t++) {
			fixed *f = &w->trial.v[chance_below(&w->seed, (uint32_t)w->trial.n)];
			double l = lost(w, f->pattern);
			if (f->times == 0 || (out && l <= most)) continue;
			most = l;
			out = f;
		}
		if (out) out->times--;
	}
	for (size_t i = 0; i < w->trial.n; i++)
		if (w->trial.v[i].times) fix(w, w->trial.v[i].pattern, w->trial.v[i].times);
}

/* The first dive begins with nothing fixed; most later ones with what the cheapest layout has, the others with some of
 * what the last one fixed. */
static void begin_dive(column_work *w, uint32_t number) {
	size_t keep = number ? chance_below(&w->seed, (uint32_t)w->n_fixed + 1) : 0;
	w->n_fixed = 0;
	w->fixed_cost = 0;
	for (uint32_t k = 0; k < w->n; k++) w->left[k] = w->kinds[k].need;
	if (w->good.n && number % 4) {
		keep_good(w);
		return;
	}
	for (size_t i = 0; i < keep; i++) {
		fixed f = w->fixed.v[i];
		fix(w, f.pattern, f.times);
	}
}

static uint64_t pieces_left(const column_work *w) {
	uint64_t sum = 0;
	for (uint32_t k = 0; k < w->n; k++) sum += w->left[k];
	return sum;
}

/* What is fixed is a layout, with these sheets more: it is kept when it is cheaper. */
static void keep(column_work *w, int64_t more, const layout_tree *trees, size_t n) {
	if (w->fixed_cost + more >= w->best) return;
	w->best = w->fixed_cost + more;
	w->good.n = 0;
	for (size_t i = 0; i < w->n_fixed; i++) LIST_PUSH(&w->mem, &w->good, w->fixed.v[i]);
	w->out->found = true;
	w->out->whole = take(w);
	for (size_t i = 0; i < n; i++) LIST_PUSH(w->out_mem, &w->out->whole.trees, trees[i]);
	for (uint32_t i = 0; i < w->p->n_items; i++) w->out->whole.laid[i] = true;
}

/* Lays the last few pieces out as cheaply as can be; false when that would take too long. */
static bool finish(column_work *w) {
	arena scratch = {0};
	uint32_t index[LAYOUT_EXACT_MOST], n = 0;
	double area = 0;
	layout_item items[LAYOUT_EXACT_MOST];
	for (uint32_t k = 0; k < w->n; k++) {
		/* take() lays the first items of each kind */
		for (uint32_t i = w->kinds[k].need - w->left[k]; i < w->kinds[k].need; i++) {
			index[n] = w->sorted[w->kinds[k].first + i];
			items[n] = w->p->items[index[n]];
			area += (double)items[n].w * (double)items[n].h;
			n++;
		}
	}
	/* the area alone may say that it is no use */
	if (w->fixed_cost + whole_up(w, area * w->least_rate) >= w->best) return true;
	layout_exact_problem q = {items, n, w->p->rooms, w->p->n_rooms, w->best - w->fixed_cost, EXACT_STEPS};
	layout_exact_answer a;
	layout_exact(&scratch, &q, &a);
	w->steps += a.steps;
	if (a.found) {
		layout_tree trees[LAYOUT_EXACT_MOST];
		size_t most = n * 12 + 1;
		for (size_t i = 0; i < a.trees.n; i++) {
			layout_node *v = arena_copy(w->out_mem, a.trees.v[i].nodes, sizeof *v * most);
			for (size_t c = 0; c < most; c++)
				if (v[c].item < n) v[c].item = index[v[c].item];
			trees[i] = (layout_tree){v, a.trees.v[i].root, a.trees.v[i].stock};
		}
		keep(w, a.cost, trees, a.trees.n);
	}
	arena_end(&scratch);
	return a.whole;
}

/* The program over everything: its bound, and whether a dive is worth while. */
static bool solve_root(column_work *w) {
	int64_t bound = 0;
	w->root = true;
	bool good = generate(w, UINT32_MAX, &bound);
	bound = whole_up(w, (double)bound);
	if (bound > w->out->bound) w->out->bound = bound;
	w->out->solved = good;
	w->root_value = w->lp.value;
	memcpy(w->root_dual, w->lp.dual, sizeof *w->root_dual * w->n);
	w->root = false;
	only_proper(w);
	return good && w->best > bound && w->best > w->p->bound_known;
}

static void dive(column_work *w, uint32_t number) {
	begin_dive(w, number);
	w->steps += 10;
	while (!over(w)) {
		int64_t bound = 0;
		uint64_t left = pieces_left(w);
		if (left == 0) keep(w, 0, NULL, 0);
		if (left == 0 || (left <= LAYOUT_EXACT_MOST && finish(w))) return;
		/* while much is left the program has what it needs from the first dive */
		generate(w, number == 0 ? TABLES_FIRST : left > MUCH_LEFT ? 0 : TABLES_LATER, &bound);
		if (w->fixed_cost + whole_up(w, w->lp.value) >= w->best || !fix_some(w, number)) return;
		bool late = w->lp.value < 0.5 * w->root_value + 4.0 * (double)price_of(w, 0);
		if (number == 0 && w->out->takes.n < TAKES_MOST && late) LIST_PUSH(w->out_mem, &w->out->takes, take(w));
	}
}

static int kind_cmp(const void *pa, const void *pb) {
	const layout_item *const *pia = pa, *const *pib = pb;
	const layout_item *a = *pia, *b = *pib;
	if (a->w != b->w) return a->w > b->w ? -1 : 1;
	if (a->h != b->h) return a->h > b->h ? -1 : 1;
	if (a->turn != b->turn) return a->turn ? -1 : 1;
	return a < b ? -1 : a > b;
}

static void make_kinds(column_work *w) {
	uint32_t n = w->p->n_items;
	const layout_item **by = ARENA_MANY(&w->mem, const layout_item *, n + 1);
	for (uint32_t i = 0; i < n; i++) by[i] = &w->p->items[i];
	qsort(by, n, sizeof *by, kind_cmp);
	w->kinds = ARENA_MANY(&w->mem, layout_kind, n + 1);
	w->sorted = ARENA_MANY(&w->mem, uint32_t, n + 1);
	for (uint32_t i = 0; i < n; i++) {
		const layout_kind *last = w->n ? &w->kinds[w->n - 1] : NULL;
		w->sorted[i] = (uint32_t)(by[i] - w->p->items);
		if (!last || last->w != by[i]->w || last->h != by[i]->h || last->turn != by[i]->turn)
			w->kinds[w->n++] = (layout_kind){by[i]->w, by[i]->h, by[i]->turn, 0, i};
		w->kinds[w->n - 1].need++;
	}
}

static bool begin(column_work *w) {
	make_kinds(w);
	for (uint32_t r = 0; r < w->p->n_rooms; r++) {
		if (w->p->rooms[r].price <= 0) return false;
		double rate = (double)w->p->rooms[r].price / ((double)w->p->rooms[r].w * (double)w->p->rooms[r].h);
		if (r == 0 || rate < w->least_rate) w->least_rate = rate;
		w->step = rat_gcd(w->step, w->p->rooms[r].price);
	}
	if (!layout_table_begin(&w->table, &w->table_mem, w->kinds, w->n, w->p->rooms, w->p->n_rooms, w->p->budget / 8))
		return false;
	w->lp = cover_new(&w->mem, w->n);
	w->left = ARENA_MANY(&w->mem, uint32_t, w->n + 1);
	w->used = ARENA_MANY(&w->mem, uint32_t, w->n + 1);
	w->count = ARENA_MANY(&w->mem, uint32_t, w->n + 1);
	w->nodes_room = NODES_FIRST;
	w->nodes = ARENA_MANY(&w->mem, layout_node, w->nodes_room);
	w->entries = ARENA_MANY(&w->mem, cover_entry, w->n + 1);
	w->root_dual = ARENA_MANY(&w->mem, double, w->n + 1);
	w->best = w->p->cost_known;
	w->rest = ARENA_MANY(&w->mem, layout_kind, w->n + 1);
	for (uint32_t k = 0; k < w->n; k++) w->left[k] = w->kinds[k].need;
	for (uint32_t k = 0; k < w->n; k++) add_alone(w, k);
	return true;
}

void layout_column(arena *mem, const layout_column_problem *p, layout_column_answer *out) {
	column_work w = {.p = p, .out = out, .out_mem = mem, .seed = 19650101};
	*out = (layout_column_answer){0};
	if (p->n_items && begin(&w) && solve_root(&w)) {
		int64_t bound = p->bound_known > out->bound ? p->bound_known : out->bound;
		for (uint32_t number = 0; !over(&w) && w.best > bound; number++) dive(&w, number);
	}
	out->steps = w.steps + w.lp.steps;
	arena_end(&w.mem);
	arena_end(&w.table_mem);
}
