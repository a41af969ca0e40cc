/* Covering by columns: the linear program
 *
 *     min sum_j cost_j x_j   with   sum_j count_ij x_j >= demand_i,   x >= 0
 *
 * over columns that are made on demand (column generation, Gilmore and Gomory 1961). Primal simplex with an explicit
 * inverse of the basis; every choice is by value and then by index, so that the same columns give the same answer.
 * Ownership: everything lives in the arena given to cover_new(). Values are pure numbers without units. */
#ifndef ENGINE_COVER_H
#define ENGINE_COVER_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"

typedef struct cover_entry {
	uint32_t row, count;
} cover_entry;

typedef struct cover_column {
	double cost;
	uint32_t first, n; /* in entries */
	uint32_t tag;	   /* of the caller */
	bool off;	   /* set by the caller: not used from the next solution on */
	double x;	   /* after cover_solve(): how often it is taken */
} cover_column;

typedef struct cover {
	arena *mem;
	uint32_t rows;
	double *demand; /* [rows]; may be changed between solutions */
	LIST(cover_column) columns;
	LIST(cover_entry) entries;
	double *dual; /* [rows] after cover_solve(); before the first one, a guess */
	double value; /* of the answer */
	uint64_t steps;
	/* private */
	double *inverse, *basic, *direction, *work;
	uint32_t *basis, *filled;
	bool *usable; /* [columns] of this solution */
	size_t usable_room;
	uint32_t since;
	bool warm;
} cover;

/* Duals as whole numbers, for bounds that rounding cannot make too high: so many to 1. Less where columns are dear, so
 * that the worth of 2^14 rows, each as dear as a column, stays within 62 bits. */
double cover_scale(int64_t dearest_column);
cover cover_new(arena *mem, uint32_t rows);
/* Adds a column; entries with the same row must not repeat. Gives its index. */
uint32_t cover_add(cover *c, double cost, const cover_entry *entries, uint32_t n, uint32_t tag);
/* Solves over the columns there are; those that hold more of a row than is asked for are left out when `proper`.
 * For every row with a demand there must be a usable column of that row alone (a count of 1 always is). Starts from the
 * last basis when it still meets the demand, else from columns that `dual` makes look good. False: the
 * pivots or steps ran out (the answer so far is feasible; its duals serve for pricing, but are not final). */
bool cover_solve(cover *c, bool proper, uint32_t most_pivots, uint64_t most_steps);
#endif
