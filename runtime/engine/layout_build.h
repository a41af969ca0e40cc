/* Construction of guillotine layouts, inside the layout engine (layout.c is the door).
 * Ownership: a build's arrays live in the arena it was begun with and are used again by each run.
 *
 * Here every size has the kerf added (part + kerf, trimmed sheet + kerf), which turns cutting with
 * a kerf into cutting without one, exactly. Origin: the trimmed corner. */
#ifndef ENGINE_LAYOUT_BUILD_H
#define ENGINE_LAYOUT_BUILD_H
#include "runtime/engine/layout.h"

__extension__ typedef __int128 layout_wide;

typedef struct layout_item { /* one piece to place */
	int64_t w, h;
	uint32_t part, copy;
	bool turn; /* both ways round are worth trying */
} layout_item;

typedef struct layout_room { /* one stock as the builder sees it */
	int64_t w, h, price, count;
} layout_room;

typedef struct layout_node { /* a rectangle: divided in two, a piece, or free */
	int64_t x, y, w, h;
	int64_t at;	 /* size of the low child, when divided */
	uint32_t lo, hi; /* children; hi may be a sliver */
	uint32_t item;	 /* or LAYOUT_FREE */
	bool divided, along_x, turned;
} layout_node;
#define LAYOUT_FREE UINT32_MAX
static inline layout_node layout_free_node(int64_t x, int64_t y, int64_t w, int64_t h) {
	return (layout_node){.x = x, .y = y, .w = w, .h = h, .item = LAYOUT_FREE};
}
/* Divides the free node k of v by a cut at `at` from its low side; gives the low child, the high one is the next. Both
 * stand at v[*n], which has room for two more. */
uint32_t layout_divide(layout_node *v, uint32_t *n, uint32_t k, bool along_x, int64_t at);

typedef struct layout_open {
	uint32_t stock, root;
	int64_t filled; /* area of its pieces */
} layout_open;

/* Which free rectangle suits a piece: least area left, least short or long side left, least height left
 * (pieces stand in shelves), least width left (in columns). */
typedef enum layout_fit { FIT_AREA, FIT_SHORT, FIT_LONG, FIT_HEIGHT, FIT_WIDTH, FIT_KINDS } layout_fit;
/* Which of the two cuts around a placed piece comes first. */
typedef enum layout_split {
	SPLIT_RIP,
	SPLIT_CROSS,
	SPLIT_LARGE,
	SPLIT_EVEN,
	SPLIT_SHORT,
	SPLIT_LONG,
	SPLIT_KINDS
} layout_split;
/* Which stock is begun when nothing open takes the piece. */
typedef enum layout_begin { BEGIN_RATE, BEGIN_PRICE, BEGIN_LARGEST, BEGIN_KINDS } layout_begin;
/* By what the pieces are sorted, largest first. */
typedef enum layout_sort { SORT_AREA, SORT_LONG, SORT_SHORT, SORT_W, SORT_H, SORT_GIRTH, SORT_KINDS } layout_sort;

typedef struct layout_rule {
	layout_fit fit;
	layout_split split;
	layout_begin begin;
} layout_rule;

typedef struct layout_build {
	const layout_item *items;
	size_t n_items;
	const layout_room *rooms;
	size_t n_rooms;
	uint32_t most_sheets;	  /* stop opening beyond this */
	int64_t least_w, least_h; /* smaller rectangles hold nothing */
	layout_node *nodes;
	uint32_t n_nodes;
	uint32_t *leaves, *leaf_sheet;
	uint32_t n_leaves;
	layout_open *sheets;
	uint32_t n_sheets;
	int64_t *taken; /* [rooms] */
	uint32_t left;	/* pieces without a place */
	int64_t cost;
	layout_wide evenness; /* sum of squared fillings: more is better packed */
	uint64_t steps;	      /* counts on over all runs */
} layout_build;

layout_build layout_build_new(arena *mem, const layout_item *items, size_t n_items, const layout_room *rooms,
			      size_t n_rooms);
/* One layout: the items in this order, by this rule. */
void layout_build_run(layout_build *b, const uint32_t *order, layout_rule rule);
/* Fewer left, lower cost, better packed: < 0 when a is better. */
int layout_build_cmp(const layout_build *a, const layout_build *b);
/* Takes over the layout that `from` holds (same items and rooms). */
void layout_build_copy(layout_build *to, const layout_build *from);
/* Fills `order` with 0..n-1 sorted; ties by index. */
void layout_build_sort(const layout_item *items, size_t n, layout_sort by, uint32_t *order, arena *mem);

/* A sheet's tree as pieces, offcuts and numbered cuts in whole-sheet coordinates (kerf and trim as in layout.h). */
typedef struct layout_tree {
	const layout_node *nodes;
	uint32_t root, stock;
} layout_tree;
void layout_tree_write(arena *mem, const layout_problem *p, const layout_item *items, layout_tree t, layout_sheet *out);
/* Area of the largest useful free rectangle, 0 when there is none. */
int64_t layout_tree_offcut(const layout_node *nodes, uint32_t root, int64_t kerf, int64_t useful, layout_rect *which);
#endif
