/* Pieces dealt to sheets of one size as sets, inside the layout engine (layout.c is the door).
 * Ownership: the answer's trees live in the arena given; items are only read.
 * Sizes have the kerf added, as in runtime/engine/layout_build.h. */
#ifndef ENGINE_LAYOUT_DEAL_H
#define ENGINE_LAYOUT_DEAL_H
#include "runtime/engine/layout_ruin.h"

/* Are the sheets so many, with so few pieces each, that this is worth while? */
bool layout_deal_suits(const layout_ruin_problem *p);
/* The same question as layout_ruin(), answered without places: a sheet is the set of its pieces, and whether a set fits
 * is asked of layout_fits.h. Pieces are exchanged between two sheets, or between a sheet and what waits, at random;
 * worse exchanges are taken with a chance that falls (simulated annealing: Kirkpatrick, Gelatt and Vecchi 1983).
 * The problem must suit. */
void layout_deal(arena *mem, const layout_ruin_problem *p, layout_ruin_answer *out);
#endif
