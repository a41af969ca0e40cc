/* The sizes that a stock comes in, as the layout engine weighs them.
 * Ownership: the list lives in the arena given; the model is only read. */
#ifndef COMPILER_LAYOUT_SIZES_H
#define COMPILER_LAYOUT_SIZES_H
#include "runtime/engine/model.h"

typedef struct layout_size {
	uint32_t row; /* 0 = the stock's own size, else 1 + row of model_stock.sizes */
	bool offcut;
	rat w, h;	 /* sheet: along x and y; else: length and 1 */
	rat trim[EDGES]; /* bar, pipe: of its two ends; roll: of its outer end, the left */
	int64_t count;	 /* -1 = any number */
	int64_t weight;	 /* what the engine takes for its price */
	span at;	 /* where its size is said */
} layout_size;

typedef struct layout_sizes {
	LIST(layout_size) v; /* offcuts first */
	size_t n_hand;	     /* so many of them */
	model_measure by;
	/* Weight = what it costs in that measure x unit; what is on hand weighs by its size instead, all of it together
	 * less than one unit. So a weight or a bound, divided by the unit and rounded down, is a cost or its bound. */
	int64_t unit;
} layout_sizes;

/* What the trim leaves of it. */
static inline rat layout_size_w(const layout_size *z) {
	return rat_sub(z->w, rat_add(z->trim[EDGE_LEFT], z->trim[EDGE_RIGHT]));
}
static inline rat layout_size_h(const layout_size *z) {
	return rat_sub(z->h, rat_add(z->trim[EDGE_BOTTOM], z->trim[EDGE_TOP]));
}

/* All sizes of a sheet, bar, pipe or roll that are known; none when its own is not. `pieces`: so many are cut of it. */
layout_sizes layout_sizes_of(arena *mem, const model *m, model_ref stock, size_t pieces);
#endif
