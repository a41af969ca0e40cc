/* Sheets by column generation, inside the layout engine (layout.c is the door).
 * Ownership: the answer lives in the arena given; items and rooms are only read.
 * Sizes have the kerf added, as in runtime/engine/layout_build.h. */
#ifndef ENGINE_LAYOUT_COLUMN_H
#define ENGINE_LAYOUT_COLUMN_H
#include "runtime/engine/layout_build.h"

typedef struct layout_column_problem {
	const layout_item *items; /* each fits some room */
	uint32_t n_items;
	const layout_room *rooms; /* prices above 0; `count` is not looked at */
	uint32_t n_rooms;
	uint64_t budget; /* steps */
} layout_column_problem;

/* Sheets that the linear program takes whole, as trees; `laid` tells the items on them. */
typedef struct layout_column_take {
	LIST(layout_tree) trees;
	bool *laid; /* [items] */
} layout_column_take;

enum { LAYOUT_COLUMN_TAKES = 2 };

typedef struct layout_column_answer {
	bool solved;				      /* false: too large a table, or the budget ended */
	int64_t bound;				      /* no layout costs less; whole numbers; 0 when not solved */
	layout_column_take take[LAYOUT_COLUMN_TAKES]; /* when solved: all of them, and one fewer of each filling */
	uint64_t steps;
} layout_column_answer;

/* The linear program over guillotine fillings, each priced exactly by the recursion of Gilmore and Gomory (1965) over
 * the sums that the pieces' sizes can make (Herz 1972, Christofides and Whitlock 1977): fillings may hold more of a
 * piece than there are, so the bound is that of the relaxation. */
void layout_column(arena *mem, const layout_column_problem *p, layout_column_answer *out);
#endif
