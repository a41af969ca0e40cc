/* Bars by column generation, inside the engine of bars (bars.c is the door).
 * Ownership: an answer lives in the arena given; the problem is only read.
 * Every length has the kerf added, every bar's room too, which turns cutting with a kerf into cutting without. */
#ifndef ENGINE_BARS_COLUMN_H
#define ENGINE_BARS_COLUMN_H
#include <stdbool.h>
#include <stdint.h>

#include "runtime/base/arena.h"

typedef struct bars_kind { /* pieces of one length */
	int64_t length;
	uint32_t need;
} bars_kind;

typedef struct bars_room { /* one stock: any number of it */
	int64_t length, price;
} bars_room;

typedef struct bars_columns_problem {
	const bars_kind *kinds; /* longest first, no two alike, each fits some room */
	uint32_t n_kinds;
	const bars_room *rooms;
	uint32_t n_rooms;
	int64_t cost_known;  /* of the best layout there is: only cheaper ones are looked for */
	int64_t bound_known; /* no layout costs less: reaching it ends the search */
	uint64_t budget;     /* steps, some nanoseconds each */
} bars_columns_problem;

typedef struct bars_pattern {
	uint32_t room, times;
	uint32_t *count; /* [kinds]; together with `times` never more than there are pieces */
} bars_pattern;

typedef struct bars_columns_answer {
	bool found; /* cheaper than cost_known */
	LIST(bars_pattern) patterns;
	int64_t cost;
	int64_t bound; /* proven with whole numbers; 0 when the budget ended before */
	uint64_t steps;
} bars_columns_answer;

/* The bound of the linear program over proper patterns, made safe by rounding its duals to whole numbers and pricing
 * them exactly once more (Farley 1990); then layouts by diving: patterns taken often are fixed, the rest is solved
 * again, in varied orders until the bound is met or the budget ends. Where few fillings can be part of a cheaper
 * layout, all their combinations are tried (runtime/engine/bars_exact.h). Gilmore and Gomory 1961, 1963. */
void bars_columns(arena *mem, const bars_columns_problem *p, bars_columns_answer *out);
#endif
