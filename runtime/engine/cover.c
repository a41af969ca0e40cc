#include "runtime/engine/cover.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/order.h"

#define PRICE_EPS 1e-9
#define PIVOT_EPS 1e-9
enum { LOOK_AGAIN = 100, DEGENERATE_MOST = 60 };
#define DRIFT_MOST 1e-7
/* Basis members: a column's index, or SURPLUS + row. */
#define SURPLUS 0x80000000u

double cover_scale(int64_t dearest_column) {
	const double plain = 1073741824.0, cheap = 131072.0; /* 2^30, 2^17 */
	double d = (double)dearest_column;
	return d <= cheap ? plain : plain * cheap / d;
}

cover cover_new(arena *mem, uint32_t rows) {
	cover c = {.mem = mem, .rows = rows};
	size_t n = rows ? rows : 1;
	c.demand = ARENA_MANY(mem, double, n);
	c.dual = ARENA_MANY(mem, double, n);
	c.inverse = ARENA_MANY(mem, double, n *n);
	c.basic = ARENA_MANY(mem, double, n);
	c.direction = ARENA_MANY(mem, double, n);
	c.work = ARENA_MANY(mem, double, n *n * 2);
	c.basis = ARENA_MANY(mem, uint32_t, n);
	c.filled = ARENA_MANY(mem, uint32_t, n);
	return c;
}

uint32_t cover_add(cover *c, double cost, const cover_entry *entries, uint32_t n, uint32_t tag) {
	cover_column column = {.cost = cost, .first = (uint32_t)c->entries.n, .n = n, .tag = tag};
	for (uint32_t i = 0; i < n; i++) LIST_PUSH(c->mem, &c->entries, entries[i]);
	LIST_PUSH(c->mem, &c->columns, column);
	return (uint32_t)c->columns.n - 1;
}

static double cost_of(const cover *c, uint32_t member) { return member & SURPLUS ? 0 : c->columns.v[member].cost; }

static void mark_usable(cover *c, bool proper) {
	if (c->usable_room < c->columns.n) {
		c->usable_room = c->columns.n * 2 + 64;
		c->usable = ARENA_MANY(c->mem, bool, c->usable_room);
	}
	for (size_t j = 0; j < c->columns.n; j++) {
		const cover_column *k = &c->columns.v[j];
		bool good = !k->off;
		for (uint32_t e = 0; e < k->n && good; e++) {
			const cover_entry *q = &c->entries.v[k->first + e];
			double most = c->demand[q->row];
			good = !proper || (double)q->count <= most;
		}
		c->usable[j] = good;
	}
}

static double reduced(const cover *c, const cover_column *k) {
	double sum = k->cost;
	for (uint32_t e = 0; e < k->n; e++) {
		const cover_entry *q = &c->entries.v[k->first + e];
		sum -= c->dual[q->row] * q->count;
	}
	return sum;
}

/* A column whose rows are all free comes in for the row of which it is needed most often; its other rows rest on their
 * surplus. */
static void crash_in(cover *c, uint32_t column, bool *done) {
	const cover_column *k = &c->columns.v[column];
	const cover_entry *e = &c->entries.v[k->first];
	uint32_t most = 0, m = c->rows;
	for (uint32_t i = 0; i < k->n; i++) {
		if (done[e[i].row]) return;
		if (c->demand[e[i].row] * e[most].count > c->demand[e[most].row] * e[i].count) most = i;
	}
	if (c->demand[e[most].row] <= 0) return;
	uint32_t row = e[most].row;
	double x = c->demand[row] / e[most].count;
	for (uint32_t i = 0; i < k->n; i++) done[e[i].row] = true;
	c->basis[row] = column;
	c->basic[row] = x;
	c->inverse[(size_t)row * m + row] = 1.0 / e[most].count;
	for (uint32_t i = 0; i < k->n; i++) {
		if (i == most) continue;
		c->basic[e[i].row] = x * e[i].count - c->demand[e[i].row];
		c->inverse[(size_t)e[i].row * m + row] = (double)e[i].count / e[most].count;
	}
}

/* Columns of least reduced cost by the duals there are, no two with a row in common. */
static void cold_basis(cover *c) {
	arena scratch = {0};
	uint32_t m = c->rows;
	bool *done = ARENA_MANY(&scratch, bool, m + 1);
	LIST(order_ranked) order = {0};
	memset(c->inverse, 0, sizeof *c->inverse * m * m);
	for (uint32_t i = 0; i < m; i++) {
		c->basis[i] = SURPLUS + i;
		c->inverse[(size_t)i * m + i] = -1;
		c->basic[i] = 0;
	}
	for (size_t j = 0; j < c->columns.n; j++) {
		order_ranked k = {reduced(c, &c->columns.v[j]), (uint32_t)j};
		if (c->usable[j] && c->columns.v[j].n) LIST_PUSH(&scratch, &order, k);
	}
	order_ranks(order.v, order.n);
	for (size_t i = 0; i < order.n; i++) crash_in(c, order.v[i].index, done);
	c->steps += c->entries.n + (uint64_t)m * m / 8;
	c->since = 0;
	arena_end(&scratch);
}

/* basic = inverse x demand; false when a value is clearly negative. */
static bool set_basic(cover *c) {
	uint32_t m = c->rows;
	bool good = true;
	for (uint32_t i = 0; i < m; i++) {
		double sum = 0;
		for (uint32_t k = 0; k < m; k++) sum += c->inverse[(size_t)i * m + k] * c->demand[k];
		if (sum < -1e-7) good = false;
		c->basic[i] = sum < 0 ? 0 : sum;
	}
	c->steps += (uint64_t)m * m / 8 + 1;
	return good;
}

/* The inverse of the basis from the columns themselves, by Gauss-Jordan; false when it is singular. */
static bool refactor(cover *c) {
	uint32_t m = c->rows;
	double *a = c->work;
	memset(a, 0, sizeof *a * m * m * 2);
	for (uint32_t i = 0; i < m; i++) {
		a[(size_t)i * 2 * m + m + i] = 1;
		if (c->basis[i] & SURPLUS) {
			a[(size_t)(c->basis[i] - SURPLUS) * 2 * m + i] = -1;
			continue;
		}
		const cover_column *k = &c->columns.v[c->basis[i]];
		for (uint32_t e = 0; e < k->n; e++) {
			const cover_entry *q = &c->entries.v[k->first + e];
			a[(size_t)q->row * 2 * m + i] = q->count;
		}
	}
	for (uint32_t col = 0; col < m; col++) {
		uint32_t best = col;
		for (uint32_t r = col + 1; r < m; r++)
			if (fabs(a[(size_t)r * 2 * m + col]) > fabs(a[(size_t)best * 2 * m + col])) best = r;
		double pivot = a[(size_t)best * 2 * m + col];
		if (fabs(pivot) < 1e-11) return false;
		for (uint32_t k = 0; k < 2 * m && best != col; k++) {
			double t = a[(size_t)best * 2 * m + k];
			a[(size_t)best * 2 * m + k] = a[(size_t)col * 2 * m + k];
			a[(size_t)col * 2 * m + k] = t;
		}
		for (uint32_t k = col; k < 2 * m; k++) a[(size_t)col * 2 * m + k] /= pivot;
		for (uint32_t r = 0; r < m; r++) {
			double f = a[(size_t)r * 2 * m + col];
			if (r == col || f == 0) continue;
			for (uint32_t k = col; k < 2 * m; k++)
				a[(size_t)r * 2 * m + k] -= f * a[(size_t)col * 2 * m + k];
		}
	}
	for (uint32_t i = 0; i < m; i++) memcpy(&c->inverse[(size_t)i * m], &a[(size_t)i * 2 * m + m], sizeof *a * m);
	c->steps += (uint64_t)m * m * m / 8;
	c->since = 0;
	return true;
}

static void set_duals(cover *c) {
	uint32_t m = c->rows;
	memset(c->dual, 0, sizeof *c->dual * m);
	for (uint32_t i = 0; i < m; i++) {
		double cost = cost_of(c, c->basis[i]);
		if (cost == 0) continue;
		const double *row = &c->inverse[(size_t)i * m];
		for (uint32_t k = 0; k < m; k++) c->dual[k] += cost * row[k];
	}
	c->steps += (uint64_t)m * m / 8 + 1;
}

/* The member that enters: least reduced cost; the first one that helps when the simplex has stood still for long. */
static uint32_t entering(cover *c, bool first) {
	uint32_t best = UINT32_MAX;
	double least = -PRICE_EPS;
	for (size_t j = 0; j < c->columns.n; j++) {
		if (!c->usable[j]) continue;
		double r = reduced(c, &c->columns.v[j]);
		if (r >= least) continue;
		least = r;
		best = (uint32_t)j;
		if (first) return best;
	}
	for (uint32_t i = 0; i < c->rows; i++) {
		if (c->dual[i] >= least) continue; /* reduced cost of a surplus is its row's dual */
		least = c->dual[i];
		best = SURPLUS + i;
		if (first) return best;
	}
	c->steps += c->entries.n / 2;
	return best;
}

static void set_direction(cover *c, uint32_t member) {
	uint32_t m = c->rows;
	if (member & SURPLUS) {
		for (uint32_t i = 0; i < m; i++) c->direction[i] = -c->inverse[(size_t)i * m + (member - SURPLUS)];
		return;
	}
	const cover_column *k = &c->columns.v[member];
	for (uint32_t i = 0; i < m; i++) {
		double sum = 0;
		for (uint32_t e = 0; e < k->n; e++) {
			const cover_entry *q = &c->entries.v[k->first + e];
			sum += c->inverse[(size_t)i * m + q->row] * q->count;
		}
		c->direction[i] = sum;
	}
	c->steps += (uint64_t)m * k->n / 4;
}

static uint32_t leaving(const cover *c, bool first, double *ratio) {
	uint32_t best = UINT32_MAX;
	*ratio = INFINITY;
	for (uint32_t i = 0; i < c->rows; i++) {
		if (c->direction[i] <= PIVOT_EPS) continue;
		double r = c->basic[i] / c->direction[i];
		if (best != UINT32_MAX && r > *ratio + 1e-12) continue;
		bool tie = best != UINT32_MAX && fabs(r - *ratio) <= 1e-12;
		if (tie && (first ? c->basis[i] > c->basis[best] : c->direction[i] <= c->direction[best])) continue;
		best = i;
		if (!tie) *ratio = r;
	}
	return best;
}

static void pivot(cover *c, uint32_t out, uint32_t member, double ratio, double gain) {
	uint32_t m = c->rows, n = 0;
	double *row = &c->inverse[(size_t)out * m], p = c->direction[out];
	for (uint32_t k = 0; k < m; k++) {
		if (row[k] == 0) continue;
		row[k] /= p;
		c->dual[k] += gain * row[k];
		c->filled[n++] = k;
	}
	for (uint32_t i = 0; i < m; i++) {
		double f = c->direction[i];
		if (i == out || f == 0) continue;
		double *other = &c->inverse[(size_t)i * m];
		if (n * 4 > m) /* side by side in memory: faster though many are zero */
			for (uint32_t k = 0; k < m; k++) other[k] -= f * row[k];
		else
			for (uint32_t k = 0; k < n; k++) other[c->filled[k]] -= f * row[c->filled[k]];
		c->basic[i] -= f * ratio;
		if (c->basic[i] < 0) c->basic[i] = 0;
		c->steps += n / 4;
	}
	c->basic[out] = ratio;
	c->basis[out] = member;
	c->since++;
	c->steps += m;
}

/* How far the basis is from meeting the demand: what rounding has done so far. */
static double drift(cover *c) {
	uint32_t m = c->rows;
	double most = 0, *sum = c->work;
	for (uint32_t i = 0; i < m; i++) sum[i] = -c->demand[i];
	for (uint32_t i = 0; i < m; i++) {
		if (c->basis[i] & SURPLUS) {
			sum[c->basis[i] - SURPLUS] -= c->basic[i];
			continue;
		}
		const cover_column *k = &c->columns.v[c->basis[i]];
		for (uint32_t e = 0; e < k->n; e++) {
			const cover_entry *q = &c->entries.v[k->first + e];
			sum[q->row] += c->basic[i] * q->count;
		}
	}
	for (uint32_t i = 0; i < m; i++) most = fmax(most, fabs(sum[i]));
	c->steps += m;
	c->since = 0;
	return most;
}

static void write_answer(cover *c) {
	for (size_t j = 0; j < c->columns.n; j++) c->columns.v[j].x = 0;
	c->value = 0;
	for (uint32_t i = 0; i < c->rows; i++) {
		if (c->basis[i] & SURPLUS) continue;
		c->columns.v[c->basis[i]].x = c->basic[i];
		c->value += c->columns.v[c->basis[i]].cost * c->basic[i];
	}
}

static bool basis_usable(const cover *c) {
	for (uint32_t i = 0; i < c->rows; i++)
		if (!(c->basis[i] & SURPLUS) && !c->usable[c->basis[i]]) return false;
	return true;
}

bool cover_solve(cover *c, bool proper, uint32_t most_pivots, uint64_t most_steps) {
	uint32_t still = 0;
	bool whole = false;
	mark_usable(c, proper);
	if (!c->warm || !basis_usable(c) || !set_basic(c)) {
		cold_basis(c);
		c->warm = true;
	}
	set_duals(c);
	for (;;) {
		if (c->since >= LOOK_AGAIN) {
			if (drift(c) > DRIFT_MOST && (!refactor(c) || !set_basic(c))) cold_basis(c);
			set_duals(c);
		}
		bool first = still > DEGENERATE_MOST;
		uint32_t in = entering(c, first);
		if (in == UINT32_MAX) {
			whole = true;
			break;
		}
		if (c->steps >= most_steps || most_pivots-- == 0) break;
		set_direction(c, in);
		double ratio;
		uint32_t out = leaving(c, first, &ratio);
		if (out == UINT32_MAX) break; /* unbounded: costs are positive, so only rounding could say so */
		still = ratio > 1e-10 ? 0 : still + 1;
		double less = in & SURPLUS ? c->dual[in - SURPLUS] : reduced(c, &c->columns.v[in]);
		pivot(c, out, in, ratio, less);
	}
	write_answer(c);
	return whole;
}
