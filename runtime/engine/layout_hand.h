/* What is on hand is used first: layouts over pieces that are there and stock that is bought.
 * Ownership: as in layout.h and bars.h: a result lives in the arena given, the problem is only read. */
#ifndef ENGINE_LAYOUT_HAND_H
#define ENGINE_LAYOUT_HAND_H
#include "runtime/engine/bars.h"
#include "runtime/engine/layout.h"

/* The first `n_hand` stocks of the problem are pieces on hand (price 0, a number of each). Three layouts are made: over
 * all stocks; the pieces on hand filled first, then the rest; none of them used. The cheapest is the answer, and where
 * that costs no more, the one that fills the pieces on hand first. The bounds are those of the whole problem. Without
 * pieces on hand it is layout_solve() and bars_solve(). */
const char *layout_hand_solve(arena *mem, const layout_problem *p, size_t n_hand, layout_result *out);
const char *bars_hand_solve(arena *mem, const bars_problem *p, size_t n_hand, bars_result *out);
#endif
