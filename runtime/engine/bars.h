/* Bars, boards and pipe cut to length: one-dimensional layouts with kerf and end trim.
 * Ownership: a result lives in the arena given to bars_solve(); the problem is only read.
 * Units, kerf and trim as in runtime/engine/layout.h: whole numbers of one unit, trim includes the kerf of the
 * squaring cut at each end, the last kerf may run over the end. */
#ifndef ENGINE_BARS_H
#define ENGINE_BARS_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/engine/layout.h"

enum { BARS_BUDGET = 5000000 }; /* steps, some nanoseconds each, when the problem says 0 */

typedef struct bars_part {
	int64_t length; /* 1..LAYOUT_MAX */
	uint32_t count;
} bars_part;

typedef struct bars_stock {
	int64_t length, trim, price; /* trim at each end; price 1 when unknown */
	int64_t count;		     /* -1 = any number */
} bars_stock;

typedef struct bars_problem {
	const bars_part *parts;
	size_t n_parts;
	const bars_stock *stocks;
	size_t n_stocks;
	int64_t kerf;
	uint64_t budget;
} bars_problem;

typedef struct bars_piece {
	uint32_t part, copy;
	int64_t x, length; /* from the bar's end, trim included */
} bars_piece;

typedef struct bars_bar {
	uint32_t stock;
	LIST(bars_piece) pieces; /* longest first, in order along the bar */
	int64_t rest;		 /* left in one piece at the far end, trim not counted; 0 when only kerf is left */
} bars_bar;

typedef struct bars_result {
	LIST(bars_bar) bars;
	LIST(layout_unfit) unfit; /* over_w: by how much too long */
	int64_t cost, cost_bound;
	uint32_t bar_bound;
	bool proven;
	bool hand_first; /* as of sheets */
	uint64_t steps;
} bars_result;

/* Objective: fewest pieces left over, lowest cost, longest rest. Best-fit decreasing and fullest fillings; then, where
 * any number of each stock may be bought, column generation (runtime/engine/bars_column.h); then branch and bound for
 * few pieces: each while the one before has not proven its answer and the budget lasts. `proven` is true when cost ==
 * cost_bound; a search that came to its end raises the bound to the cost. NULL when well, else why the problem is not
 * one. */
const char *bars_solve(arena *mem, const bars_problem *p, bars_result *out);

/* Lower bounds from the length with kerf, and from dual feasible functions (Fekete and Schepers 2001, which
 * hold the bound L2 of Martello and Toth 1990 as a special case). */
void bars_bound(const bars_problem *p, uint32_t *bars, int64_t *cost);
#endif
