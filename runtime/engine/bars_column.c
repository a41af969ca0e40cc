#include "runtime/engine/bars_column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/rat.h"
#include "runtime/engine/chance.h"
#include "runtime/engine/cover.h"

__extension__ typedef __int128 wide;

enum { TABLE_MOST = 24000000, BRANCH_MOST = 400000, BRANCH_FIRST = 2000, BRANCH_ANY = 6000 };
/* Pivots of the program between two fillings: new columns help more than a perfect answer over the old ones. */
enum { PIVOTS_BETWEEN = 60, COLUMNS_MORE = 20, POOL_SHARE = 6, LEARN = 6 };

typedef struct pool_column {
	uint32_t first, n, room;
} pool_column;

typedef struct column_work {
	arena mem;
	const bars_columns_problem *p;
	uint32_t n;
	int64_t unit;		/* common divisor of the lengths */
	int64_t *length;	/* [kinds] in units */
	int64_t *room;		/* [rooms] in units, rounded down */
	uint32_t *left;		/* [kinds] what the program in hand covers */
	int64_t *value, *worth; /* [kinds] whole duals; values of another filling */
	uint32_t *chosen;	/* [kinds] of the last filling */
	int64_t *table;		/* [longest room + 1] */
	uint8_t *taken;		/* [kinds][longest room + 1] */
	uint32_t *rank;		/* kinds by value for the length */
	uint32_t *now;
	int64_t longest;
	double scale; /* of whole duals */
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
} column_work;

static uint32_t draw(column_work *w, uint32_t below) { return chance_below(&w->seed, below); }

static uint64_t spent(const column_work *w) { return w->steps + w->lp_steps + (w->lp ? w->lp->steps : 0); }
static bool over(const column_work *w) { return spent(w) >= w->p->budget; }

/* ---- the best filling of one room ---------------------------------------------------------------- */

static uint32_t most_of(const column_work *w, uint32_t kind, int64_t room) {
	int64_t fit = room / w->length[kind];
	return fit < w->left[kind] ? (uint32_t)fit : w->left[kind];
}

static int64_t fill_table(column_work *w, int64_t room) {
	size_t row = (size_t)w->longest + 1;
	memset(w->table, 0, sizeof *w->table * ((size_t)room + 1));
	for (uint32_t i = 0; i < w->n; i++) {
		int64_t l = w->length[i], v = w->value[i];
		uint32_t most = v > 0 && l <= room ? most_of(w, i, room) : 0;
		uint8_t *taken = &w->taken[i * row];
		memset(taken, 0, sizeof *taken * ((size_t)room + 1));
		if (most == 0) continue;
		for (int64_t at = room; at >= l; at--) {
			int64_t best = w->table[at];
			for (uint32_t t = 1; t <= most && t * l <= at; t++) {
				int64_t now = w->table[at - t * l] + t * v;
				if (now <= best) continue;
				best = now;
				taken[at] = (uint8_t)t;
			}
			w->table[at] = best;
		}
		w->steps += (uint64_t)(room - l + 1) * most / 2 + 1;
	}
	int64_t at = room;
	for (uint32_t i = w->n; i-- > 0;) {
		w->chosen[i] = w->taken[i * row + (size_t)at];
		at -= w->chosen[i] * w->length[i];
	}
	return w->table[room];
}

typedef struct branch {
	column_work *w;
	uint32_t *now, *best;
	int64_t best_value;
	uint64_t tries;
	uint32_t n; /* ranked kinds worth something */
} branch;

static void branch_on(branch *b, uint32_t k, int64_t room, int64_t value) {
	column_work *w = b->w;
	if (value > b->best_value) {
		b->best_value = value;
		memcpy(b->best, b->now, sizeof *b->now * w->n);
	}
	if (k == b->n || b->tries == 0) return;
	uint32_t kind = w->rank[k];
	int64_t v = w->value[kind], l = w->length[kind];
	/* the room left, filled at the rate of this kind, the best of those to come */
	if ((wide)(b->best_value - value) * l >= (wide)room * v) return;
	b->tries--;
	w->steps += 4;
	for (uint32_t t = most_of(w, kind, room) + 1; t-- > 0;) {
		b->now[kind] = t;
		branch_on(b, k + 1, room - t * l, value + t * v);
		if (b->tries == 0) break;
	}
	b->now[kind] = 0;
}

static int64_t fill_branching(column_work *w, int64_t room, uint64_t tries, bool *whole) {
	branch b = {.w = w, .tries = tries, .best = w->chosen, .now = w->now};
	memset(w->now, 0, sizeof *w->now * w->n);
	for (uint32_t i = 0; i < w->n; i++) {
		w->chosen[i] = 0;
		if (w->value[i] > 0 && w->left[i]) w->rank[b.n++] = i;
	}
	for (uint32_t i = 1; i < b.n; i++) { /* insertion: the order changes little from call to call */
		uint32_t kind = w->rank[i], k = i;
		for (; k > 0; k--) {
			uint32_t o = w->rank[k - 1];
			if ((wide)w->value[o] * w->length[kind] >= (wide)w->value[kind] * w->length[o]) break;
			w->rank[k] = o;
		}
		w->rank[k] = kind;
	}
	branch_on(&b, 0, room, 0);
	if (b.tries == 0) *whole = false;
	return b.best_value;
}

#define FILL_ANY (-1) /* whatever is found first */
/* The fullest filling of a room by value; `enough`: a filling above that need not be the best. *whole is cleared when
 * there may be a better one. */
static int64_t fill(column_work *w, int64_t room, int64_t enough, bool *whole) {
	uint64_t pieces = 0;
	bool done = true;
	int64_t value = fill_branching(w, room, enough == FILL_ANY ? BRANCH_ANY : BRANCH_FIRST, &done);
	if (done) return value;
	if (value > enough) {
		*whole = false;
		return value;
	}
	bool counts = w->table != NULL; /* the table has one byte for how often a piece is taken */
	for (uint32_t i = 0; i < w->n; i++) {
		uint32_t most = most_of(w, i, room);
		pieces += most;
		counts = counts && most <= UINT8_MAX;
	}
	if (counts && pieces * (uint64_t)room <= TABLE_MOST) return fill_table(w, room);
	return fill_branching(w, room, BRANCH_MOST, whole);
}

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
		cover_entry e = {i, w->chosen[i]};
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
			if (w->room[k] >= w->length[i] &&
			    (best == UINT32_MAX || w->p->rooms[k].price < w->p->rooms[best].price))
				best = k;
		memset(w->chosen, 0, sizeof *w->chosen * w->n);
		w->chosen[i] = 1;
		add_chosen(w, best);
		w->dual[i] = (double)w->p->rooms[best].price * (double)w->length[i] / (double)w->room[best];
	}
}

static bool proper(const column_work *w, const pool_column *k) {
	for (uint32_t e = 0; e < k->n; e++) {
		cover_entry q = w->pool_entries.v[k->first + e];
		if (q.count > w->left[q.row]) return false;
	}
	return true;
}

typedef struct ranked {
	double reduced;
	uint32_t index;
} ranked;

static int ranked_cmp(const void *pa, const void *pb) {
	const ranked *a = pa, *b = pb;
	if (a->reduced != b->reduced) return a->reduced < b->reduced ? -1 : 1;
	return a->index < b->index ? -1 : a->index > b->index;
}

/* The program over the kinds that are left, with the columns of the pool that look best by the last duals. */
static void begin_program(column_work *w, arena *mem, cover *lp) {
	uint32_t rows = 0;
	for (uint32_t i = 0; i < w->n; i++) {
		w->row_of[i] = rows;
		if (w->left[i]) w->kind_of[rows++] = i;
	}
	*lp = cover_new(mem, rows);
	w->lp = lp;
	for (uint32_t r = 0; r < rows; r++) {
		lp->demand[r] = w->left[w->kind_of[r]];
		lp->dual[r] = w->dual[w->kind_of[r]];
	}
	LIST(ranked) order = {0};
	for (uint32_t j = 0; j < w->pool.n; j++) {
		const pool_column *k = &w->pool.v[j];
		if (!proper(w, k)) continue;
		ranked r = {j < w->n ? -INFINITY : (double)w->p->rooms[k->room].price, j};
		for (uint32_t e = 0; e < k->n; e++) {
			cover_entry q = w->pool_entries.v[k->first + e];
			r.reduced -= w->dual[q.row] * q.count;
		}
		LIST_PUSH(mem, &order, r);
	}
	w->steps += w->pool_entries.n;
	qsort(order.v, order.n, sizeof *order.v, ranked_cmp);
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
} priced;

/* Further columns from the pieces that the last one leaves, and so on: together they cover much, and the program
 * needs them all. */
static void price_on(column_work *w, uint32_t room) {
	double cost = (double)w->p->rooms[room].price * w->scale;
	bool whole;
	memcpy(w->saved, w->left, sizeof *w->left * w->n);
	for (int more = 0; more < COLUMNS_MORE; more++) {
		for (uint32_t i = 0; i < w->n; i++) w->left[i] -= w->chosen[i];
		if ((double)fill(w, w->room[room], (int64_t)(cost * (1 + 1e-6)), &whole) * (1 - 1e-7) <= cost) break;
		add_chosen(w, room);
	}
	memcpy(w->left, w->saved, sizeof *w->left * w->n);
}

static priced price(column_work *w) {
	priced r = {.whole = true, .safe = INT64_MAX};
	wide worth = 0;
	memset(w->value, 0, sizeof *w->value * w->n);
	for (uint32_t r0 = 0; r0 < w->lp->rows; r0++) {
		double d = w->lp->dual[r0];
		uint32_t i = w->kind_of[r0];
		w->value[i] = d > 0 ? (int64_t)(d * w->scale) : 0;
		worth += (wide)w->value[i] * w->left[i];
	}
	for (uint32_t k = 0; k < w->p->n_rooms; k++) {
		int64_t cost = w->p->rooms[k].price;
		int64_t most = fill(w, w->room[k], (int64_t)((double)cost * w->scale * (1 + 1e-6)), &r.whole);
		if (most <= 0) continue;
		wide safe = (worth * cost + most - 1) / most;
		if (safe < r.safe) r.safe = (int64_t)safe;
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
	for (uint32_t i = 0; i < w->n; i++) w->left[i] -= count[i] * times;
}

static void fix_column(column_work *w, uint32_t index, uint32_t times) {
	const pool_column *k = &w->pool.v[index];
	memset(w->chosen, 0, sizeof *w->chosen * w->n);
	for (uint32_t e = 0; e < k->n; e++) {
		cover_entry q = w->pool_entries.v[k->first + e];
		w->chosen[q.row] = q.count;
	}
	fix(w, w->chosen, k->room, times);
}

static uint32_t fits_times(const column_work *w, uint32_t index, uint32_t wanted) {
	const pool_column *k = &w->pool.v[index];
	for (uint32_t e = 0; e < k->n; e++) {
		cover_entry q = w->pool_entries.v[k->first + e];
		if (w->left[q.row] / q.count < wanted) wanted = w->left[q.row] / q.count;
	}
	return wanted;
}

static bool anything_left(const column_work *w) {
	for (uint32_t i = 0; i < w->n; i++)
		if (w->left[i]) return true;
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
	memcpy(w->saved, w->left, sizeof *w->left * w->n);
	while (anything_left(w) && (learn ? !over(w) : w->fixed_cost < w->best->cost)) {
		uint32_t first = 0, best = UINT32_MAX;
		while (!w->left[first]) first++;
		for (uint32_t i = 0; i < w->n; i++)
			w->worth[i] = w->length[i] * 64 - (stray ? (int64_t)draw(w, stray) * w->length[i] / 64 : 0);
		wide best_filled = 0;
		for (uint32_t k = 0; k < w->p->n_rooms; k++) {
			if (w->room[k] < w->length[first]) continue;
			memcpy(w->value, w->worth, sizeof *w->value * w->n);
			w->left[first]--;
			bool whole = true;
			fill(w, w->room[k] - w->length[first], FILL_ANY, &whole);
			w->left[first]++;
			w->chosen[first]++;
			int64_t filled = 0;
			for (uint32_t i = 0; i < w->n; i++) filled += w->chosen[i] * w->length[i];
			/* most length for the price */
			if (best == UINT32_MAX ||
			    (wide)filled * w->p->rooms[best].price > best_filled * w->p->rooms[k].price) {
				best = k;
				best_filled = filled;
				memcpy(best_count, w->chosen, sizeof *best_count * w->n);
			}
		}
		fix(w, best_count, best, 1);
		memcpy(w->chosen, best_count, sizeof *best_count * w->n);
		if (learn) add_chosen(w, best);
	}
	if (!anything_left(w) && w->fixed_cost < w->best->cost) keep(w);
	w->n_fixed = n;
	w->fixed_cost = cost;
	memcpy(w->left, w->saved, sizeof *w->left * w->n);
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
	end_program(w);
	if (root) memcpy(w->root_dual, w->dual, sizeof *w->dual * w->n);
	if (root && bound > w->best->bound) w->best->bound = bound;
	bool hope = w->fixed_cost + whole_up(lp.value) < w->best->cost;
	bool good = (root || hope) && w->best->cost > w->best->bound && !over(w) && fix_some(w, &lp, number);
	arena_end(&mem);
	if (good) complete(w, false, 0);
	return good && w->best->cost > w->best->bound;
}

/* The first dive begins with nothing fixed; a later one keeps some of what the last one fixed: the deeper, the smaller
 * are the programs, and it is mostly in the depth that a dive fails. */
static void dive(column_work *w, uint32_t number) {
	uint32_t keep_fixed = w->n_fixed ? draw(w, w->n_fixed) : 0, again = draw(w, 4);
	if (again == 0) keep_fixed /= 4;
	for (uint32_t i = 0; i < w->n; i++) w->left[i] = w->p->kinds[i].need;
	w->n_fixed = 0;
	w->fixed_cost = 0;
	if (number) memcpy(w->dual, w->root_dual, sizeof *w->dual * w->n);
	for (uint32_t k = 0; k < keep_fixed; k++) {
		const bars_pattern *q = &w->slots.v[k];
		w->n_fixed++;
		w->fixed_cost += w->p->rooms[q->room].price * q->times;
		for (uint32_t i = 0; i < w->n; i++) w->left[i] -= q->count[i] * q->times;
	}
	while (anything_left(w) && !over(w) && step_down(w, number)) continue;
}

static void begin(column_work *w) {
	const bars_columns_problem *p = w->p;
	w->n = p->n_kinds;
	w->length = ARENA_MANY(&w->mem, int64_t, w->n);
	w->value = ARENA_MANY(&w->mem, int64_t, w->n);
	w->worth = ARENA_MANY(&w->mem, int64_t, w->n);
	w->left = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->chosen = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->rank = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->now = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->saved = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->fullest = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->entries = ARENA_MANY(&w->mem, cover_entry, w->n);
	w->room = ARENA_MANY(&w->mem, int64_t, p->n_rooms);
	for (uint32_t i = 0; i < w->n; i++) w->unit = rat_gcd(w->unit, p->kinds[i].length);
	for (uint32_t i = 0; i < w->n; i++) {
		w->length[i] = p->kinds[i].length / w->unit;
		w->left[i] = p->kinds[i].need;
	}
	int64_t dearest = 1;
	for (uint32_t k = 0; k < p->n_rooms; k++) {
		w->room[k] = p->rooms[k].length / w->unit;
		if (w->room[k] > w->longest) w->longest = w->room[k];
		if (p->rooms[k].price > dearest) dearest = p->rooms[k].price;
	}
	w->scale = cover_scale(dearest);
	if ((uint64_t)w->longest * w->n <= (uint64_t)TABLE_MOST) {
		w->table = ARENA_MANY(&w->mem, int64_t, (size_t)w->longest + 1);
		w->taken = ARENA_MANY(&w->mem, uint8_t, ((size_t)w->longest + 1) * w->n);
	}
	w->dual = ARENA_MANY(&w->mem, double, w->n);
	w->root_dual = ARENA_MANY(&w->mem, double, w->n);
	w->row_of = ARENA_MANY(&w->mem, uint32_t, w->n);
	w->kind_of = ARENA_MANY(&w->mem, uint32_t, w->n);
	begin_columns(w);
}

void bars_columns(arena *mem, const bars_columns_problem *p, bars_columns_answer *out) {
	column_work w = {.p = p, .best = out, .out_mem = mem, .seed = 19610101};
	*out = (bars_columns_answer){.cost = p->cost_known, .bound = p->bound_known};
	if (p->n_kinds == 0 || p->n_rooms == 0) return;
	begin(&w);
	for (uint32_t k = 0; k < LEARN && out->cost > out->bound && !over(&w); k++) complete(&w, true, k * 4);
	for (uint32_t number = 0; !over(&w); number++) {
		if (out->cost <= out->bound) break;
		dive(&w, number);
	}
	out->steps = spent(&w);
	arena_end(&w.mem);
}
