#include "runtime/engine/bars_exact.h"

#include <math.h>
#include <string.h>

#include "runtime/base/order.h"

__extension__ typedef __int128 wide;

/* How much the search without programs may take at each node, as a share of what the node's program took. */
enum { SEARCH_SHARE = 3, SEARCH_LEAST = 20000 };
/* Fillings that are added to the program at a time, for each row; layouts refused before all is given up. */
enum { ADD_SHARE = 3, REFUSED_MOST = 100 };
enum { OWN_PRICE = 2 }; /* of a row that no filling meets, for that of the dearest bar */
#define OUTSIDE UINT32_MAX

typedef struct use { /* a filling that holds a kind */
	uint32_t filling, count;
} use;

typedef struct exact {
	arena mem;
	const bars_exact_problem *p;
	uint32_t *left;	      /* [kinds] */
	uint32_t *open;	      /* [kinds] open fillings that hold it */
	uint32_t *blocked;    /* [fillings] reasons why it cannot be picked: open when 0 */
	uint32_t *first;      /* [kinds + 1] in uses */
	use *uses;	      /* by kind, those of least slack first */
	LIST(uint32_t) trail; /* fillings closed for the branch in hand */
	double *dual;	      /* [kinds] */
	cover lp;
	uint32_t *column; /* [fillings] in the program */
	uint32_t *row_of;
	cover_entry *entries;
	uint32_t *picked, n_picked;
	uint32_t *is_picked; /* [fillings] how often */
	int64_t price_left, slack_left;
	double scale;
	int64_t dearest; /* price of a filling */
	uint64_t steps;
	bool found;
	uint32_t refused;
} exact;

static void block(exact *e, uint32_t j) {
	const bars_exact_filling *k = &e->p->fillings[j];
	e->steps++;
	if (e->blocked[j]++) return;
	for (uint32_t i = 0; i < k->n; i++) e->open[e->p->entries[k->first + i].row]--;
}

static void unblock(exact *e, uint32_t j) {
	const bars_exact_filling *k = &e->p->fillings[j];
	if (--e->blocked[j]) return;
	for (uint32_t i = 0; i < k->n; i++) e->open[e->p->entries[k->first + i].row]++;
}

static void close_filling(exact *e, uint32_t j) {
	block(e, j);
	LIST_PUSH(&e->mem, &e->trail, j);
}

static void reopen(exact *e, size_t mark) {
	while (e->trail.n > mark) unblock(e, e->trail.v[--e->trail.n]);
}

/* Picks a filling: those that hold more than is left then are blocked; or puts it back. */
static void pick(exact *e, uint32_t j, bool back) {
	const bars_exact_filling *k = &e->p->fillings[j];
	for (uint32_t i = 0; i < k->n; i++) {
		cover_entry q = e->p->entries[k->first + i];
		uint32_t more = back ? e->left[q.row] + q.count : e->left[q.row], less = more - q.count;
		e->left[q.row] = back ? more : less;
		for (uint32_t u = e->first[q.row]; u < e->first[q.row + 1]; u++) {
			if (e->uses[u].count <= less || e->uses[u].count > more) continue;
			if (back)
				unblock(e, e->uses[u].filling);
			else
				block(e, e->uses[u].filling);
		}
		e->steps += (e->first[q.row + 1] - e->first[q.row]) / 2 + 1;
	}
	e->price_left += back ? k->price : -k->price;
	e->slack_left += back ? k->slack : -k->slack;
	if (back)
		e->n_picked--;
	else
		e->picked[e->n_picked++] = j;
	e->is_picked[j] += back ? UINT32_MAX : 1;
}

/* The kind of which fewest fillings are open; n_kinds when nothing is left. */
static uint32_t narrowest(exact *e) {
	uint32_t best = e->p->n_kinds;
	for (uint32_t i = 0; i < e->p->n_kinds; i++)
		if (e->left[i] && (best == e->p->n_kinds || e->open[i] < e->open[best])) best = i;
	e->steps += e->p->n_kinds / 4 + 1;
	return best;
}

static bool fits(const exact *e, uint32_t j) {
	const bars_exact_filling *k = &e->p->fillings[j];
	return e->blocked[j] == 0 && k->slack <= e->slack_left && k->price <= e->price_left;
}

/* What has been refused often will be refused again. */
static void all_laid(exact *e) {
	e->steps += (uint64_t)e->n_picked * e->p->n_kinds;
	if (e->p->good(e->p->of, e->picked, e->n_picked))
		e->found = true;
	else
		e->refused++;
}

/* Without programs; false when it did not come to its end. */
static bool search(exact *e, uint64_t stop) {
	if (e->steps >= stop || e->refused > REFUSED_MOST) return false;
	uint32_t kind = narrowest(e);
	if (kind == e->p->n_kinds) {
		all_laid(e);
		return true;
	}
	size_t mark = e->trail.n;
	bool whole = true;
	for (uint32_t u = e->first[kind]; u < e->first[kind + 1] && e->open[kind] && whole && !e->found; u++) {
		uint32_t j = e->uses[u].filling;
		if (!fits(e, j)) continue;
		pick(e, j, false);
		whole = search(e, stop);
		if (e->found) return true;
		pick(e, j, true);
		close_filling(e, j);
	}
	reopen(e, mark);
	return whole;
}

/* ---- the program ---------------------------------------------------------------------------------------- */

static void into_program(exact *e, uint32_t j) {
	const bars_exact_filling *k = &e->p->fillings[j];
	for (uint32_t i = 0; i < k->n; i++) {
		e->entries[i] = e->p->entries[k->first + i];
		e->entries[i].row = e->row_of[e->entries[i].row];
	}
	e->column[j] = cover_add(&e->lp, (double)k->price, e->entries, k->n, j);
}

/* Fillings outside of the program that would make it cheaper, the best first; how many came in. */
static size_t add_fillings(exact *e, double least) {
	arena scratch = {0};
	LIST(order_ranked) order = {0};
	for (uint32_t j = 0; j < e->p->n_fillings; j++) {
		const bars_exact_filling *k = &e->p->fillings[j];
		if (e->column[j] != OUTSIDE || !fits(e, j)) continue;
		order_ranked r = {(double)k->price, j};
		for (uint32_t i = 0; i < k->n; i++) {
			cover_entry q = e->p->entries[k->first + i];
			r.key -= e->dual[q.row] * q.count;
		}
		if (r.key < least * (double)k->price) LIST_PUSH(&scratch, &order, r);
		e->steps += k->n;
	}
	order_ranks(order.v, order.n);
	size_t n = 0;
	for (; n < order.n && n < (size_t)e->lp.rows * ADD_SHARE; n++) into_program(e, order.v[n].index);
	e->steps += order.n * 4;
	arena_end(&scratch);
	return n;
}

/* A row may also be met by a price of its own, so that there always is an answer. */
static void begin_program(exact *e) {
	uint32_t n = e->p->n_kinds, rows = 0;
	e->row_of = ARENA_MANY(&e->mem, uint32_t, n + 1);
	e->column = ARENA_MANY(&e->mem, uint32_t, e->p->n_fillings + 1);
	e->entries = ARENA_MANY(&e->mem, cover_entry, n + 1);
	for (uint32_t i = 0; i < n; i++) e->row_of[i] = e->left[i] ? rows++ : UINT32_MAX;
	for (uint32_t j = 0; j < e->p->n_fillings; j++) e->column[j] = OUTSIDE;
	e->lp = cover_new(&e->mem, rows);
	for (uint32_t i = 0; i < n; i++) {
		if (!e->left[i]) continue;
		cover_entry one = {e->row_of[i], 1};
		e->lp.demand[one.row] = e->left[i];
		e->lp.dual[one.row] = e->dual[i];
		cover_add(&e->lp, OWN_PRICE * (double)e->dearest, &one, 1, OUTSIDE);
	}
	add_fillings(e, INFINITY);
}

/* Its demand is that of all pieces at every node, so that the last basis serves the next: a filling that is closed
 * costs as much as its pieces each for itself, and what is picked is the only open one that holds its pieces. */
static void solve_program(exact *e) {
	for (size_t c = 0; c < e->lp.columns.n; c++) {
		cover_column *k = &e->lp.columns.v[c];
		if (k->tag == OUTSIDE) continue;
		const bars_exact_filling *q = &e->p->fillings[k->tag];
		k->cost = (double)q->price;
		for (uint32_t i = 0; i < q->n && e->blocked[k->tag] && !e->is_picked[k->tag]; i++)
			k->cost += OWN_PRICE * (double)e->dearest * e->p->entries[q->first + i].count;
	}
	size_t added;
	do {
		uint64_t before = e->lp.steps, rest = e->p->budget > e->steps ? e->p->budget - e->steps : 0;
		cover_solve(&e->lp, false, UINT32_MAX, before + rest);
		e->steps += e->lp.steps - before;
		for (uint32_t i = 0; i < e->p->n_kinds; i++)
			if (e->row_of[i] != UINT32_MAX) e->dual[i] = e->lp.dual[e->row_of[i]];
		added = e->steps < e->p->budget ? add_fillings(e, -1e-7) : 0;
	} while (added);
	e->steps += e->lp.columns.n;
}

static double taken(const exact *e, uint32_t j) {
	return e->column[j] == OUTSIDE ? 0 : e->lp.columns.v[e->column[j]].x;
}

static wide worth_of(const exact *e, uint32_t j, const int64_t *value) {
	const bars_exact_filling *k = &e->p->fillings[j];
	wide worth = 0;
	for (uint32_t i = 0; i < k->n; i++)
		worth += (wide)value[e->p->entries[k->first + i].row] * e->p->entries[k->first + i].count;
	return worth;
}

/* By the duals in whole numbers no filling is worth more than `rate` for its price; what all that are picked may lose
 * together closes those that lose more. False: what is left cannot be laid. */
static bool tighten(exact *e) {
	const bars_exact_problem *p = e->p;
	arena scratch = {0};
	int64_t *value = ARENA_MANY(&scratch, int64_t, p->n_kinds + 1);
	wide worth = 0, rate = 1;
	for (uint32_t i = 0; i < p->n_kinds; i++) {
		value[i] = e->dual[i] > 0 ? (int64_t)(e->dual[i] * e->scale) : 0;
		worth += (wide)value[i] * e->left[i];
	}
	for (uint32_t j = 0; j < p->n_fillings; j++) {
		if (!fits(e, j)) continue;
		wide now = (worth_of(e, j, value) + p->fillings[j].price - 1) / p->fillings[j].price;
		if (now > rate) rate = now;
		e->steps += p->fillings[j].n;
	}
	wide loss = rate * e->price_left - worth;
	for (uint32_t j = 0; j < p->n_fillings && loss >= 0; j++)
		if (e->blocked[j] == 0 && (!fits(e, j) || rate * p->fillings[j].price - worth_of(e, j, value) > loss))
			close_filling(e, j);
	e->steps += p->n_fillings;
	arena_end(&scratch);
	return loss >= 0;
}

/* Where to branch: the kind with fewest open fillings, of those that the program does not lay in whole bars. */
static uint32_t undecided(exact *e) {
	arena scratch = {0};
	bool *decided = ARENA_MANY(&scratch, bool, e->p->n_kinds + 1);
	uint32_t best = e->p->n_kinds;
	for (uint32_t j = 0; j < e->p->n_fillings; j++) {
		const bars_exact_filling *k = &e->p->fillings[j];
		if (taken(e, j) < 1 - 1e-6) continue;
		for (uint32_t i = 0; i < k->n; i++) decided[e->p->entries[k->first + i].row] = true;
	}
	for (uint32_t i = 0; i < e->p->n_kinds; i++)
		if (e->left[i] && !decided[i] && (best == e->p->n_kinds || e->open[i] < e->open[best])) best = i;
	arena_end(&scratch);
	return best < e->p->n_kinds ? best : narrowest(e);
}

/* A node with its program; false when the budget ended. */
static bool branch(exact *e) {
	if (e->steps >= e->p->budget || e->refused > REFUSED_MOST) return false;
	size_t mark = e->trail.n;
	uint64_t begun = e->steps;
	bool whole = true;
	solve_program(e);
	if (tighten(e)) {
		uint64_t stop = e->steps + (e->steps - begun) / SEARCH_SHARE + SEARCH_LEAST;
		whole = search(e, stop < e->p->budget ? stop : e->p->budget);
	}
	if (e->found) return true;
	if (!whole) {
		arena mem = {0};
		uint32_t kind = undecided(e);
		LIST(order_ranked) order = {0};
		for (uint32_t u = e->first[kind]; u < e->first[kind + 1]; u++) {
			order_ranked r = {-taken(e, e->uses[u].filling), u};
			if (fits(e, e->uses[u].filling)) LIST_PUSH(&mem, &order, r);
		}
		order_ranks(order.v, order.n);
		whole = true;
		for (size_t i = 0; i < order.n && whole && !e->found; i++) {
			uint32_t j = e->uses[order.v[i].index].filling;
			pick(e, j, false);
			whole = branch(e);
			if (e->found) break;
			pick(e, j, true);
			close_filling(e, j);
		}
		arena_end(&mem);
	}
	if (!e->found) reopen(e, mark);
	return whole;
}

static void begin(exact *e) {
	const bars_exact_problem *p = e->p;
	arena scratch = {0};
	LIST(order_ranked) order = {0};
	e->dearest = 1;
	e->left = ARENA_MANY(&e->mem, uint32_t, p->n_kinds + 1);
	e->open = ARENA_MANY(&e->mem, uint32_t, p->n_kinds + 1);
	e->dual = ARENA_MANY(&e->mem, double, p->n_kinds + 1);
	e->first = ARENA_MANY(&e->mem, uint32_t, p->n_kinds + 2);
	e->is_picked = ARENA_MANY(&e->mem, uint32_t, p->n_fillings + 1);
	e->blocked = ARENA_MANY(&e->mem, uint32_t, p->n_fillings + 1);
	uint32_t n_uses = 0;
	for (uint32_t j = 0; j < p->n_fillings; j++) {
		order_ranked r = {(double)p->fillings[j].slack, j};
		LIST_PUSH(&scratch, &order, r);
		n_uses += p->fillings[j].n;
		if (p->fillings[j].price > e->dearest) e->dearest = p->fillings[j].price;
		for (uint32_t i = 0; i < p->fillings[j].n; i++) e->open[p->entries[p->fillings[j].first + i].row]++;
	}
	order_ranks(order.v, order.n);
	e->uses = ARENA_MANY(&e->mem, use, n_uses + 1);
	uint32_t *end = ARENA_MANY(&scratch, uint32_t, p->n_kinds + 1);
	for (uint32_t i = 0; i < p->n_kinds; i++) {
		e->left[i] = p->need[i];
		e->dual[i] = p->dual[i];
		end[i] = e->first[i];
		e->first[i + 1] = e->first[i] + e->open[i];
	}
	for (size_t k = 0; k < order.n; k++) {
		const bars_exact_filling *q = &p->fillings[order.v[k].index];
		for (uint32_t i = 0; i < q->n; i++) {
			cover_entry t = p->entries[q->first + i];
			e->uses[end[t.row]++] = (use){order.v[k].index, t.count};
		}
	}
	for (uint32_t j = 0; j < p->n_fillings; j++) /* what holds more than there is */
		for (uint32_t i = 0; i < p->fillings[j].n; i++) {
			cover_entry t = p->entries[p->fillings[j].first + i];
			if (t.count > p->need[t.row]) block(e, j);
		}
	e->scale = cover_scale(e->dearest);
	arena_end(&scratch);
}

bars_exact_outcome bars_exact(const bars_exact_problem *p, uint32_t *picked, uint32_t *n_picked, uint64_t *steps) {
	exact e = {.p = p, .picked = picked, .price_left = p->price_most, .slack_left = p->slack_most};
	begin(&e);
	begin_program(&e);
	bool whole = branch(&e);
	*n_picked = e.n_picked;
	*steps += e.steps;
	arena_end(&e.mem);
	if (e.found) return BARS_EXACT_FOUND;
	return whole && !e.refused ? BARS_EXACT_NONE : BARS_EXACT_OPEN;
}
