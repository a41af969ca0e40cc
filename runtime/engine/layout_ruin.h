/* Ruin and recreate on guillotine sheets of one size, inside the layout engine (layout.c is the door).
 * Ownership: the answer's trees live in the arena given; items are only read.
 * Sizes have the kerf added, as in runtime/engine/layout_build.h. */
#ifndef ENGINE_LAYOUT_RUIN_H
#define ENGINE_LAYOUT_RUIN_H
#include "runtime/engine/layout_build.h"

typedef struct layout_ruin_problem {
	const layout_item *items;
	uint32_t n_items;
	int64_t w, h;		  /* of every sheet */
	uint32_t sheets;	  /* that the best layout needs: fewer are looked for */
	uint32_t bound;		  /* fewer are not possible */
	uint64_t budget;	  /* steps */
	const layout_tree *start; /* [sheets] a layout of all items, where the search begins */
} layout_ruin_problem;

typedef struct layout_ruin_answer {
	bool found; /* fewer sheets */
	uint32_t sheets;
	layout_tree *trees; /* [sheets] */
	uint64_t steps;
} layout_ruin_answer;

/* One sheet fewer is allowed than known; what finds no place waits. Again and again some pieces are taken out of a few
 * sheets and put back, with the waiting ones, each into the place that suits best; a result that is not worse than the
 * one before, or than the one some hundred rounds ago, stays (Schrimpf and others 2000; late acceptance: Burke and
 * Bykov 2017; the goal of one bin fewer: Gardeyn and Wauters 2022). A place is a node of the tree of strips: the piece
 * goes beside it or above it wherever the sheet's slack allows. */
void layout_ruin(arena *mem, const layout_ruin_problem *p, layout_ruin_answer *out);
#endif
