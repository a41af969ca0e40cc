#include "runtime/engine/bars_column.h"

#include <math.h>
#include <string.h>

#include "runtime/base/order.h"
#include "runtime/base/rat.h"
#include "runtime/engine/bars_exact.h"
#include "runtime/engine/bars_fill.h"
#include "runtime/engine/chance.h"
#include "runtime/engine/cover.h"

__extension__ typedef __int128 wide;

/* Pivots of the program between two fillings: new columns help more than a perfect answer over the old ones. */
enum { PIVOTS_BETWEEN = 60, COLUMNS_MORE = 20, POOL_SHARE = 6, LEARN = 6, LEARN_SHARE = 4 };
enum { FILL_TRIES = 2000, MORE_TRIES = 2000 }; /* of fillings that need not be the dearest */

/* Fillings among which all combinations are tried, and what may be laid to find them. */
enum { EXACT_MOST = 20000, EXACT_EACH = 2000, EXACT_TRIES_EACH = 15, EXACT_PIECES = 2000 };
enum { WEIGH_SHARE = 4, EXACT_SHARE = 3, ROOT_REST = 4 }; /* of the budget */

typedef struct pool_column {
	uint32_t first, n, room;
} pool_column;

typedef struct column_work {
	arena mem;
	const bars_columns_problem *p;
	uint32_t n;
	int64_t unit;	/* common divisor of the lengths */
	bars_fill f;	/* lengths in units; `left` is what the program in hand covers */
	int64_t *room;	/* [rooms] in units, rounded down */
	int64_t *worth; /* [kinds] values of another filling */
	double scale;	/* of whole duals */
	LIST(pool_column) pool;
	LIST(cover_entry) pool_entries;
	double *dual, *root_dual;   /* [kinds] of the last program, of the first one */
	uint32_t *row_of, *kind_of; /* rows of the program in hand: kinds that are left */
	cover *lp;		    /* the program in hand */
	uint64_t lp_steps;
	uint64_t steps, seed;
	LIST(bars_pattern) slots; /* the first n_fixed are in use; the others keep their memory */
	uint32_t n_fixed;
	uint32_t *saved, *fullest;
	int64_t fixed_cost;
	bars_columns_answer *best;
	arena *out_mem;
	cover_entry *entries;
	int64_t *root_value;   /* [kinds] whole duals of the first program */
	int64_t root_rate;     /* no filling is worth more for its price; 0: not known */
	int64_t step;	       /* every cost is a multiple of it */
	uint64_t exact_pieces; /* not tried again with more pieces left than that */
} column_work;

static uint32_t draw(column_work *w, uint32_t below) { return chance_below(&w->seed, below); }

static uint64_t spent(const column_work *w) { return w->steps + w->f.steps + w->lp_steps + (w->lp ? w->lp->steps : 0); }
static bool over(const column_work *w) { return spent(w) >= w->p->budget; }

/* ---- the linear program ------------------------------------------------------------------------------ */

static void into_program(column_work *w, uint32_t index) {
	const pool_column *k = &w->pool.v[index];
	for (uint32_t e = 0; e < k->n; e++) {
		w->entries[e] = w->pool_entries.v[k->first + e];
		w->entries[e].row = w->row_of[w->entries[e].row];
	}
	cover_add(w->lp, (double)w->p->rooms[k->room].price, w->entries, k->n, index);
}

static void add_chosen(column_work *w, uint32_t room) {
	pool_column k = {(uint32_t)w->pool_entries.n, 0, room};
	for (uint32_t i = 0; i < w->n; i++) {
		cover_entry e = {i, w->f.chosen[i]};
		if (!e.count) continue;
		LIST_PUSH(&w->mem, &w->pool_entries, e);
		k.n++;
	}
	LIST_PUSH(&w->mem, &w->pool, k);
	if (w->lp) into_program(w, (uint32_t)w->pool.n - 1);
}

/* For each kind the cheapest room that takes it, one piece alone. */
static void begin_columns(column_work *w) {
	for (uint32_t i = 0; i < w->n; i++) {
		uint32_t best = UINT32_MAX;
		for (uint32_t k = 0; k < w->p->n_rooms; k++)
			if (w->room[k] >= w->f.length[i] &&
			    (best == UINT32_MAX || w->p->rooms[k].price < w->p->rooms[best].price))
				best = k;
		memset(w->f.chosen, 0, sizeof *w->f.chosen * w->n);
		w->f.chosen[i] = 1;
		add_chosen(w, best);
		w->dual[i] = (double)w->p->rooms[best].price * (double)w->f.length[i] / (double)w->room[best];
	}
}

static bool proper(const column_work *w, const pool_column *k) {
	for (uint32_t e = 0; e < k->n; e++) {
		cover_entry q = w->pool_entries.v[k->first + e];
		if (q.count > w->f.left[q.row]) return false;
	}
	return true;
}

/* The program over the kinds that are left, with the columns of the pool that look best by the last duals. */
static void begin_program(column_work *w, arena *mem, cover *lp) {
	uint32_t rows = 0;
	for (uint32_t i = 0; i < w->n; i++) {
		w->row_of[i] = rows;
		if (w->f.left[i]) w->kind_of[rows++] = i;
	}
	*lp = cover_new(mem, rows);
	w->lp = lp;
	for (uint32_t r = 0; r < rows; r++) {
		lp->demand[r] = w->f.left[w->kind_of[r]];
		lp->dual[r] = w->dual[w->kind_of[r]];
	}
	LIST(order_ranked) order = {0};
	for (uint32_t j = 0; j < w->pool.n; j++) {
		const pool_column *k = &w->pool.v[j];
		if (!proper(w, k)) continue;
		order_ranked r = {j < w->n ? -INFINITY : (double)w->p->rooms[k->room].price, j};
		for (uint32_t e = 0; e < k->n; e++) {
			cover_entry q = w->pool_entries.v[k->first + e];
			r.key -= w->dual[q.row] * q.count;
		}
		LIST_PUSH(mem, &order, r);
	}
	w->steps += w->pool_entries.n;
	order_ranks(order.v, order.n);
	for (size_t i = 0; i < order.n && i < (size_t)rows * POOL_SHARE; i++) into_program(w, order.v[i].index);
}

static void end_program(column_work *w) {
	for (uint32_t r = 0; r < w->lp->rows; r++) w->dual[w->kind_of[r]] = w->lp->dual[r];
	w->lp_steps += w->lp->steps;
	w->lp = NULL;
}

typedef struct priced {
	bool added, whole;
	int64_t safe; /* lower bound on what is left, whole costs; valid when `whole` */
	int64_t rate; /* no filling is worth more for its price; valid when `whole` */
} priced;

/* Further columns from the pieces that the last one leaves, and so on: together they cover much, and the program
 * needs them all. */
static void price_on(column_work *w, uint32_t room) {
	double cost = (double)w->p->rooms[room].price * w->scale;
	bool whole;
	memcpy(w->saved, w->f.left, sizeof *w->f.left * w->n);
	for (int more = 0; more < COLUMNS_MORE; more++) {
		for (uint32_t i = 0; i < w->n; i++) w->f.left[i] -= w->f.chosen[i];
		if ((double)bars_fill_some(&w->f, w->room[room], MORE_TRIES, &whole) * (1 - 1e-7) <= cost) break;
		add_chosen(w, room);
	}
	memcpy(w->f.left, w->saved, sizeof *w->f.left * w->n);
}

static priced price(column_work *w) {
	priced r = {.whole = true, .safe = INT64_MAX, .rate = 1};
	wide worth = 0;
	memset(w->f.value, 0, sizeof *w->f.value * w->n);
	for (uint32_t r0 = 0; r0 < w->lp->rows; r0++) {
		double d = w->lp->dual[r0];
		uint32_t i = w->kind_of[r0];
		w->f.value[i] = d > 0 ? (int64_t)(d * w->scale) : 0;
		worth += (wide)w->f.value[i] * w->f.left[i];
	}
	for (uint32_t k = 0; k < w->p->n_rooms; k++) {
		int64_t cost = w->p->rooms[k].price;
		int64_t most =
			bars_fill_best(&w->f, w->room[k], (int64_t)((double)cost * w->scale * (1 + 1e-6)), &r.whole);
		if (most <= 0) continue;
		wide safe = (worth * cost + most - 1) / most;
		if (safe < r.safe) r.safe = (int64_t)safe;
		if ((most + cost - 1) / cost > r.rate) r.rate = (most + cost - 1) / cost;
		if ((double)cost * w->scale / (double)most >= 1 - 1e-7) continue;
		add_chosen(w, k);
		r.added = true;
		price_on(w, k);
	}
	if (r.safe == INT64_MAX) r.safe = 0;
	return r;
}

static int64_t whole_up(double v) { return (int64_t)ceil(v - 1e-6); }

/* Solves for what is left; gives the best safe bound found on the way (0: none). The program stays in hand. */
static int64_t generate(column_work *w) {
	int64_t bound = 0;
	uint32_t pivots = PIVOTS_BETWEEN;
	for (;;) {
		bool good = cover_solve(w->lp, true, pivots, w->p->budget);
		if (over(w) || (w->n_fixed && w->fixed_cost + whole_up(w->lp->value) < w->best->cost)) return bound;
		priced r = price(w);
		if (r.whole && r.safe > bound) bound = r.safe;
		if (bound >= whole_up(w->lp->value) || (good && !r.added)) return bound;
		pivots = r.added ? PIVOTS_BETWEEN : UINT32_MAX;
	}
}

/* Goes on with the first program until its duals are as good as final: they say which fillings can be part of a
 * cheaper layout. */
static void weigh(column_work *w) {
	uint64_t begun = spent(w), share = (w->p->budget - begun) / WEIGH_SHARE;
	while (!over(w) && spent(w) < begun + share) {
		bool good = cover_solve(w->lp, true, PIVOTS_BETWEEN, w->p->budget);
		priced r = price(w);
		if (!r.whole || r.added || !good) continue;
		memcpy(w->root_value, w->f.value, sizeof *w->f.value * w->n);
		w->root_rate = r.rate;
		return;
	}
}

/* ---- layouts -------------------------------------------------------------------------------------------- */

static void fix(column_work *w, const uint32_t *count, uint32_t room, uint32_t times) {
	if (w->n_fixed == w->slots.n) {
		bars_pattern q = {.count = ARENA_MANY(&w->mem, uint32_t, w->n)};
		LIST_PUSH(&w->mem, &w->slots, q);
	}
	bars_pattern *q = &w->slots.v[w->n_fixed++];
	q->room = room;
	q->times = times;
	memcpy(q->count, count, sizeof *count * w->n);
	w->fixed_cost += w->p->rooms[room].price * times;
	for (uint32_t i = 0; i < w->n; i++) w->f.left[i] -= count[i] * times;
}

static void fix_column(column_work *w, uint32_t index, uint32_t times) {
	const pool_column *k = &w->pool.v[index];
	memset(w->f.chosen, 0, sizeof *w->f.chosen * w->n);
	for (uint32_t e = 0; e < k->n; e++) {
		cover_entry q = w->pool_entries.v[k->first + e];
		w->f.chosen[q.row] = q.count;
	}
	fix(w, w->f.chosen, k->room, times);
}

static uint32_t fits_times(const column_work *w, uint32_t index, uint32_t wanted) {
	const pool_column *k = &w->pool.v[index];
	for (uint32_t e = 0; e < k->n; e++) {
		cover_entry q = w->pool_entries.v[k->first + e];
		if (w->f.left[q.row] / q.count < wanted) wanted = w->f.left[q.row] / q.count;
	}
	return wanted;
}

static bool anything_left(const column_work *w) {
	for (uint32_t i = 0; i < w->n; i++)
		if (w->f.left[i]) return true;
	return false;
}

static void keep(column_work *w) {
	bars_columns_answer *a = w->best;
	a->found = true;
	a->cost = w->fixed_cost;
	a->patterns.n = 0;
	for (uint32_t i = 0; i < w->n_fixed; i++) {
		bars_pattern q = w->slots.v[i];
		q.count = arena_copy(w->out_mem, q.count, sizeof *q.count * w->n);
		LIST_PUSH(w->out_mem, &a->patterns, q);
	}
}

/* What is left, bar by bar: the longest piece and the fullest filling beside it; what is kept is cheaper only. With
 * `learn` it goes on to the end, and its fillings are columns. */
static void complete(column_work *w, bool learn, uint32_t stray) {
	uint32_t n = w->n_fixed, *best_count = w->fullest;
	int64_t cost = w->fixed_cost;
	memcpy(w->saved, w->f.left, sizeof *w->f.left * w->n);
	while (anything_left(w) && (learn ? !over(w) : w->fixed_cost < w->best->cost)) {
		uint32_t first = 0, best = UINT32_MAX;
		while (!w->f.left[first]) first++;
		for (uint32_t i = 0; i < w->n; i++)
			w->worth[i] = w->f.length[i] * 64 - (stray ? (int64_t)draw(w, stray) * w->f.length[i] / 64 : 0);
		wide best_filled = 0;
		for (uint32_t k = 0; k < w->p->n_rooms; k++) {
			if (w->room[k] < w->f.length[first]) continue;
			memcpy(w->f.value, w->worth, sizeof *w->f.value * w->n);
			w->f.left[first]--;
			bool whole = true;
			bars_fill_some(&w->f, w->room[k] - w->f.length[first], FILL_TRIES, &whole);
			w->f.left[first]++;
			w->f.chosen[first]++;
			int64_t filled = 0;
			for (uint32_t i = 0; i < w->n; i++) filled += w->f.chosen[i] * w->f.length[i];
			/* most length for the price */
			if (best == UINT32_MAX ||
			    (wide)filled * w->p->rooms[best].price > best_filled * w->p->rooms[k].price) {
				best = k;
				best_filled = filled;
				memcpy(best_count, w->f.chosen, sizeof *best_count * w->n);
			}
		}
		fix(w, best_count, best, 1);
		memcpy(w->f.chosen, best_count, sizeof *best_count * w->n);
		if (learn) add_chosen(w, best);
	}
	if (!anything_left(w) && w->fixed_cost < w->best->cost) keep(w);
	w->n_fixed = n;
	w->fixed_cost = cost;
	memcpy(w->f.left, w->saved, sizeof *w->f.left * w->n);
}

/* ---- all combinations -------------------------------------------------------------------------------------- */

typedef struct gathered {
	column_work *w;
	arena mem;
	LIST(bars_exact_filling) fillings;
	LIST(cover_entry) entries;
	LIST(uint32_t) rooms; /* of each filling */
	uint32_t room;
	uint64_t most;
} gathered;

static bool gather(void *to, int64_t value) {
	gathered *g = to;
	column_work *w = g->w;
	int64_t price = w->p->rooms[g->room].price;
	bars_exact_filling q = {(uint32_t)g->entries.n, 0, price, price * w->root_rate - value};
	for (uint32_t i = 0; i < w->n; i++) {
		cover_entry e = {i, w->f.chosen[i]};
		if (!e.count) continue;
		LIST_PUSH(&g->mem, &g->entries, e);
		q.n++;
	}
	LIST_PUSH(&g->mem, &g->fillings, q);
	LIST_PUSH(&g->mem, &g->rooms, g->room);
	w->steps += w->n + 8 * q.n;
	return g->fillings.n < g->most;
}

/* What is worth nothing goes where there is room, the longest first; then the layout is kept. */
static bool lay_picked(void *of, const uint32_t *picked, uint32_t n) {
	gathered *g = of;
	column_work *w = g->w;
	uint32_t n_fixed = w->n_fixed;
	int64_t cost = w->fixed_cost;
	arena scratch = {0};
	int64_t *rest = ARENA_MANY(&scratch, int64_t, n + 1);
	uint32_t *left = arena_copy(&scratch, w->f.left, sizeof *w->f.left * w->n);
	bool good = true;
	for (uint32_t b = 0; b < n; b++) {
		const bars_exact_filling *q = &g->fillings.v[picked[b]];
		memset(w->fullest, 0, sizeof *w->fullest * w->n);
		rest[b] = w->room[g->rooms.v[picked[b]]];
		for (uint32_t i = 0; i < q->n; i++) {
			cover_entry e = g->entries.v[q->first + i];
			w->fullest[e.row] = e.count;
			rest[b] -= e.count * w->f.length[e.row];
		}
		fix(w, w->fullest, g->rooms.v[picked[b]], 1);
	}
	for (uint32_t i = 0; i < w->n && good; i++) {
		for (; w->f.left[i] && good; w->f.left[i]--) {
			uint32_t best = n;
			for (uint32_t b = 0; b < n; b++)
				if (rest[b] >= w->f.length[i] && (best == n || rest[b] < rest[best])) best = b;
			good = best < n;
			if (!good) break;
			rest[best] -= w->f.length[i];
			w->slots.v[n_fixed + best].count[i]++;
		}
	}
	if (good) keep(w);
	w->n_fixed = n_fixed;
	w->fixed_cost = cost;
	memcpy(w->f.left, left, sizeof *left * w->n);
	arena_end(&scratch);
	return good;
}

/* Tries all layouts of what is left that are cheaper than the best, where few enough fillings can be part of one: by
 * the duals of the first program, what all bars together may lose is known. NONE: there is none. */
static bars_exact_outcome try_all(column_work *w, uint64_t budget) {
	int64_t most = (w->best->cost - 1) / w->step * w->step - w->fixed_cost;
	uint64_t pieces = 0;
	wide loss = (wide)w->root_rate * most;
	for (uint32_t i = 0; i < w->n; i++) {
		pieces += w->f.left[i];
		loss -= (wide)w->root_value[i] * w->f.left[i];
	}
	if (w->root_rate == 0 || pieces > w->exact_pieces) return BARS_EXACT_OPEN;
	if (loss < 0) return BARS_EXACT_NONE;
	gathered g = {.w = w, .most = budget / EXACT_EACH < EXACT_MOST ? budget / EXACT_EACH : EXACT_MOST};
	bool whole = true;
	memcpy(w->f.value, w->root_value, sizeof *w->f.value * w->n);
	for (g.room = 0; g.room < w->p->n_rooms && whole; g.room++) {
		wide least = (wide)w->root_rate * w->p->rooms[g.room].price - loss;
		whole = least > 0 &&
			bars_fill_all(&w->f, w->room[g.room], (int64_t)least, EXACT_TRIES_EACH * g.most, gather, &g);
	}
	bars_exact_outcome outcome = BARS_EXACT_OPEN;
	if (whole) {
		uint32_t *need = ARENA_MANY(&g.mem, uint32_t, w->n), n_picked;
		uint32_t *picked = ARENA_MANY(&g.mem, uint32_t, pieces + 1);
		for (uint32_t i = 0; i < w->n; i++) need[i] = w->root_value[i] ? w->f.left[i] : 0;
		bars_exact_problem q = {need,	     w->n, g.fillings.v,  (uint32_t)g.fillings.n,
					g.entries.v, most, (int64_t)loss, w->root_dual,
					lay_picked,  &g,   budget};
		outcome = bars_exact(&q, picked, &n_picked, &w->steps);
	}
	w->exact_pieces = outcome == BARS_EXACT_OPEN ? pieces - pieces / 4 : pieces + pieces / 4;
	arena_end(&g.mem);
	return outcome;
}

/* Fixes what the program takes whole, else the column it takes most of, with some chance from the second dive on. */
static bool fix_some(column_work *w, const cover *lp, uint32_t dive) {
	bool any = false;
	for (size_t j = 0; j < lp->columns.n; j++) {
		const cover_column *k = &lp->columns.v[j];
		if (k->x < 1 - 1e-7) continue;
		uint32_t times = fits_times(w, k->tag, (uint32_t)(k->x + 1e-7));
		if (times == 0) continue;
		fix_column(w, k->tag, times);
		any = true;
	}
	if (any) return true;
	uint32_t best = UINT32_MAX;
	double most = 0;
	for (size_t j = 0; j < lp->columns.n; j++) {
		double x = lp->columns.v[j].x;
		if (x < 1e-6 || fits_times(w, lp->columns.v[j].tag, 1) == 0) continue;
		if (dive) x *= 0.5 + 0.5 * (double)draw(w, 1024) / 1024;
		if (x <= most) continue;
		most = x;
		best = lp->columns.v[j].tag;
	}
	if (best == UINT32_MAX) return false;
	fix_column(w, best, 1);
	return true;
}

/* One program and what is fixed by it; false when the dive ends. */
static bool step_down(column_work *w, uint32_t number) {
	arena mem = {0};
	cover lp;
	begin_program(w, &mem, &lp);
	int64_t bound = generate(w);
	bool root = number == 0 && w->n_fixed == 0;
	if (root && bound > w->best->bound) w->best->bound = bound;
	if (root && w->best->cost > w->best->bound) weigh(w);
	end_program(w);
	if (root) memcpy(w->root_dual, w->dual, sizeof *w->dual * w->n);
	bool hope = w->fixed_cost + whole_up(lp.value) < w->best->cost;
	bool good = (root || hope) && w->best->cost > w->best->bound && !over(w);
	if (good) {
		uint64_t rest = w->p->budget - spent(w);
		bars_exact_outcome all = try_all(w, root ? rest - rest / ROOT_REST : rest / EXACT_SHARE);
		if (all == BARS_EXACT_NONE && w->n_fixed == 0) w->best->bound = w->best->cost;
		good = all == BARS_EXACT_OPEN && fix_some(w, &lp, number);
	}
	arena_end(&mem);
	if (good) complete(w, false, 0);
	return good && w->best->cost > w->best->bound;
}

/* The first dive begins with nothing fixed; a later one keeps some of what the last one fixed: the deeper, the smaller
 * are the programs, and it is mostly in the depth that a dive fails. */
static void dive(column_work *w, uint32_t number) {
	uint32_t keep_fixed = w->n_fixed ? draw(w, w->n_fixed) : 0, again = draw(w, 4);
	if (again == 0) keep_fixed /= 4;
	for (uint32_t i = 0; i < w->n; i++) w->f.left[i] = w->p->kinds[i].need;
	w->n_fixed = 0;
	w->fixed_cost = 0;
	if (number) memcpy(w->dual, w->root_dual, sizeof *w->dual * w->n);
	for (uint32_t k = 0; k < keep_fixed; k++) {
		const bars_pattern *q = &w->slots.v[k];
		w->n_fixed++;
		w->fixed_cost += w->p->rooms[q->room].price * q->times;
		for (uint32_t i = 0; i < w->n; i++) w->f.left[i] -= q->count[i] * q->times;
	}
	while (anything_left(w) && !over(w) && step_down(w, number)) continue;
}

static void begin(column_work *w) {
	const bars_columns_problem *p = w->p;
	w->n = p->n_kinds;
	int64_t dearest = 1;
	w->room = ARENA_MANY(&w->mem, int64_t, p->n_rooms);
	for (uint32_t i = 0; i < w->n; i++) w->unit = rat_gcd(w->unit, p->kinds[i].length);
	for (uint32_t k = 0; k < p->n_rooms; k++) {
		w->room[k] = p->rooms[k].length / w->unit;
		if (p->rooms[k].price > dearest) dearest = p->rooms[k].price;
		w->step = rat_gcd(w->step, p->rooms[k].price);
	}
	w->scale = cover_scale(dearest);
	w->exact_pieces = EXACT_PIECES;
	w->f = bars_fill_new(&w->mem, w->n);
	for (uint32_t i = 0; i < w->n; i++) {
		w->f.length[i] = p->kinds[i].length / w->unit;
		w->f.left[i] = p->kinds[i].need;
	}
	w->worth = ARENA_MANY(&w->mem, int64_t, w->n);
	w->saved = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->fullest = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->entries = ARENA_MANY(&w->mem, cover_entry, w->n);
	w->dual = ARENA_MANY(&w->mem, double, w->n);
	w->root_dual = ARENA_MANY(&w->mem, double, w->n);
	w->root_value = ARENA_MANY(&w->mem, int64_t, w->n);
	w->row_of = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->kind_of = ARENA_MANY(&w->mem, uint32_t, w->n);
	begin_columns(w);
}

void bars_columns(arena *mem, const bars_columns_problem *p, bars_columns_answer *out) {
	column_work w = {.p = p, .best = out, .out_mem = mem, .seed = 19610101};
	*out = (bars_columns_answer){.cost = p->cost_known, .bound = p->bound_known};
	if (p->n_kinds == 0 || p->n_rooms == 0) return;
	begin(&w);
	for (uint32_t k = 0; k < LEARN && out->cost > out->bound && spent(&w) < p->budget / LEARN_SHARE; k++)
		complete(&w, true, k * 4);
	for (uint32_t number = 0; !over(&w); number++) {
		if (out->cost <= out->bound) break;
		dive(&w, number);
	}
	out->steps = spent(&w);
	arena_end(&w.mem);
}
