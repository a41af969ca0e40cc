/* The fullest guillotine filling of every rectangle at once, inside the layout engine (layout_column.c asks).
 * Ownership: the table lives in the arena it was begun with; kinds are only read.
 *
 * worth(w, h) is the most that a rectangle of w by h holds, whole values of the pieces added up, by the recursion of
 * Gilmore and Gomory (1965) over the sums that the pieces' sizes can make (Herz 1972, Christofides and Whitlock
 * 1977). A filling may hold more of a kind than there are; a sum takes of each kind no more than there are, and a
 * kind of which none are left is not there. */
#ifndef ENGINE_LAYOUT_TABLE_H
#define ENGINE_LAYOUT_TABLE_H
#include "runtime/engine/layout_build.h"

typedef struct layout_kind { /* equal pieces, kerf added */
	int64_t w, h;
	bool turn;
	uint32_t need;
	uint32_t first; /* of the caller */
} layout_kind;

typedef struct layout_pair { /* a cut: positions of the two parts, the lower one first */
	uint16_t a, b;
} layout_pair;

typedef struct layout_axis {
	int64_t *at; /* [n] positions, rising; at[0] == 0 */
	uint32_t n;
	layout_pair *pairs; /* cuts of position i: begin[i] to begin[i + 1] - 1, the lower part rising */
	uint32_t *begin;    /* [n + 1] */
} layout_axis;

typedef struct layout_table {
	arena *mem;
	const layout_kind *kinds;
	uint32_t n;
	layout_axis x, y;
	float *value;	/* [n] whole numbers of the caller; sums stay exact below LAYOUT_TABLE_EXACT */
	uint64_t begun; /* steps of the beginning */
	uint64_t each;	/* steps of one filling */
	/* private */
	uint32_t stride;
	float *worth; /* [x.n][stride] */
	float *block; /* [stride][lanes] */
} layout_table;

#define LAYOUT_TABLE_EXACT 16777216.0f /* 2^24 */

/* False: the table would be too large, or one filling would take more than `most` steps. */
bool layout_table_begin(layout_table *t, arena *mem, const layout_kind *kinds, uint32_t n, const layout_room *rooms,
			uint32_t n_rooms, uint64_t most);
void layout_table_fill(layout_table *t);
/* Index of the last position within a length. */
uint32_t layout_axis_within(const layout_axis *x, int64_t most);
static inline float layout_table_worth(const layout_table *t, uint32_t i, uint32_t j) {
	return t->worth[(size_t)i * t->stride + j];
}

/* A filling as a tree; the leaf's item is the kind. */
typedef struct layout_filling {
	LIST(layout_node) v;
	arena *mem;
	size_t most;	/* nodes, about, beyond which the rest stays free; 0: no limit */
	uint64_t steps; /* of writing; count on */
} layout_filling;
/* Divides a free node of it; gives the low child, the high one is the next. */
uint32_t layout_filling_cut(layout_filling *f, uint32_t node, bool along_x, int64_t at);
/* Fills the free node as the table fills positions i, j (at most its size). */
void layout_table_write(const layout_table *t, layout_filling *f, uint32_t node, uint32_t i, uint32_t j);
#endif
