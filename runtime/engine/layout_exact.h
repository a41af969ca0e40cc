/* A few pieces laid out as cheaply as possible, inside the layout engine (layout_column.c asks).
 * Ownership: the answer lives in the arena given; items and rooms are only read.
 * Sizes have the kerf added, as in runtime/engine/layout_build.h. */
#ifndef ENGINE_LAYOUT_EXACT_H
#define ENGINE_LAYOUT_EXACT_H
#include "runtime/engine/layout_build.h"

enum { LAYOUT_EXACT_MOST = 14 }; /* pieces */

typedef struct layout_exact_problem {
	const layout_item *items;
	uint32_t n_items;
	const layout_room *rooms; /* any number of each: `count` is not looked at */
	uint32_t n_rooms;
	int64_t below;	 /* only a cheaper layout is wanted */
	uint64_t budget; /* steps */
} layout_exact_problem;

typedef struct layout_exact_answer {
	bool whole; /* the budget was enough: when nothing is found there is nothing below */
	bool found;
	int64_t cost;
	LIST(layout_tree) trees;
	uint64_t steps;
} layout_exact_answer;

/* For every set of pieces all outlines that hold it and that no smaller outline makes needless, each from two parts
 * beside or above each other; then the cheapest division of all pieces into sets that a room holds. */
void layout_exact(arena *mem, const layout_exact_problem *p, layout_exact_answer *out);
#endif
