/* Does a set of pieces fit one sheet? Inside the layout engine (layout_deal.c asks).
 * Ownership: everything lives in the arena given to layout_fits_new(); items are only read.
 * Sizes have the kerf added, as in runtime/engine/layout_build.h. */
#ifndef ENGINE_LAYOUT_FITS_H
#define ENGINE_LAYOUT_FITS_H
#include "runtime/engine/layout_build.h"

enum { LAYOUT_FITS_MOST = 16, LAYOUT_FITS_EXACT = 8 }; /* pieces of a set; up to so many a no is exact */

typedef struct layout_fits_shape {
	int32_t w, h;
} layout_fits_shape;

typedef struct layout_fits {
	int64_t w, h;
	const layout_item *kinds; /* [n_kinds] one piece of each kind */
	uint32_t n_kinds;
	uint64_t *name;	 /* [n_kinds] a set's name is the sum of its kinds' */
	uint64_t *known; /* [mask + 1] names with the answer as the last bit */
	uint64_t mask;
	uint8_t *never; /* [n_kinds * n_kinds] these two fit no sheet together */
	layout_build build;
	layout_fits_shape *pool; /* outlines of the subsets of one set */
	uint64_t steps;
} layout_fits;

/* `kinds` are the different pieces; `known` answers are remembered, a power of two. */
layout_fits layout_fits_new(arena *mem, const layout_item *kinds, uint32_t n_kinds, int64_t w, int64_t h,
			    uint64_t known);
/* The n kinds of a set, in any order, and its name. A no may be wrong beyond LAYOUT_FITS_EXACT pieces, and
 * where a subset has very many outlines; a yes only where two sets share a name, which layout_fits_write() finds. */
bool layout_fits_set(layout_fits *f, const uint16_t *set, uint32_t n, uint64_t name);
/* The set as a tree; false when it is not known to fit. `items` gives the item for each place of the set. */
bool layout_fits_write(layout_fits *f, arena *mem, const uint16_t *set, uint32_t n, const uint32_t *items,
		       layout_tree *out);
#endif
