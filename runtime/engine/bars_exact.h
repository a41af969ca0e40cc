/* Which of given fillings hold every piece exactly once: all combinations, in the engine of bars.
 * Ownership: the problem is only read; the answer goes into the caller's array. */
#ifndef ENGINE_BARS_EXACT_H
#define ENGINE_BARS_EXACT_H
#include <stdbool.h>
#include <stdint.h>

#include "runtime/engine/cover.h"

typedef struct bars_exact_filling {
	uint32_t first, n; /* in entries; no kind twice */
	int64_t price;	   /* > 0 */
	int64_t slack;	   /* what it takes of slack_most; >= 0 */
} bars_exact_filling;

/* Whether a combination that holds every piece will do; when not, the next one is looked for. */
typedef bool bars_exact_good(void *of, const uint32_t *picked, uint32_t n);

typedef struct bars_exact_problem {
	const uint32_t *need; /* [kinds] pieces of each */
	uint32_t n_kinds;
	const bars_exact_filling *fillings;
	uint32_t n_fillings;
	const cover_entry *entries;	/* row: the kind */
	int64_t price_most, slack_most; /* of all that are picked together */
	const double *dual;		/* [kinds] a guess of what a piece of each is worth */
	bars_exact_good *good;
	void *of;
	uint64_t budget; /* steps */
} bars_exact_problem;

typedef enum bars_exact_outcome { BARS_EXACT_NONE, BARS_EXACT_FOUND, BARS_EXACT_OPEN } bars_exact_outcome;

/* Always the kind with fewest fillings first. A node's linear program says in which order they are tried, and its
 * duals, rounded to whole numbers, close the node or some of its fillings: no rounding of the program can close too
 * many. `picked` has room for as many as there are pieces. OPEN: the budget ended, or combinations were found but none
 * was good. */
bars_exact_outcome bars_exact(const bars_exact_problem *p, uint32_t *picked, uint32_t *n_picked, uint64_t *steps);
#endif
