/* Cloth and tape from a roll: lengths are cut off across its whole width, then divided along the roll.
 * Ownership and units as in layout.h: a result lives in the arena given, the problem is only read. */
#ifndef ENGINE_ROLLS_H
#define ENGINE_ROLLS_H
#include "runtime/engine/layout.h"

/* The problem is one of sheets: w of a stock is the roll's length, h its width, the same of all. Trim is lost at the
 * outer end alone (trim.left); the first `n_hand` stocks are rolls on hand. Two stages: pieces of one length along the
 * roll lie side by side on a band, as many as its width takes, and the bands lie on the rolls; both by bars_solve().
 * Which way a piece lies is tried for every size (the first ROLLS_TRIED of them), the fewest left over, the cheapest
 * and then the longest rest is taken.
 *
 * The bound holds for every layout of these rectangles, also one that is not cut in two stages: that of layout_bound().
 * Where nothing can lie side by side or turned it is the bars' own, which is proven far more often. It is raised to the
 * next sum of prices. Each cut of the
 * result is one that layout_verify() replays; `settings` is not counted. NULL when well, else why it is no problem. */
enum { ROLLS_TRIED = 6 };
const char *rolls_solve(arena *mem, const layout_problem *p, size_t n_hand, layout_result *out);
#endif
