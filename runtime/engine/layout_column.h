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
	int64_t cost_known;  /* of a layout of all items */
	int64_t bound_known; /* no layout costs less */
	uint64_t budget;     /* steps */
} layout_column_problem;

/* Sheets that were fixed on the way, as trees; `laid` tells the items on them. */
typedef struct layout_column_take {
	LIST(layout_tree) trees;
	bool *laid; /* [items] */
} layout_column_take;

typedef struct layout_column_answer {
	bool solved;			/* false: too large a table, or the budget ended */
	int64_t bound;			/* no layout costs less; whole numbers; 0 when not solved */
	bool found;			/* a layout cheaper than known */
	layout_column_take whole;	/* that layout */
	LIST(layout_column_take) takes; /* of the first dive: what is left may be laid out otherwise */
	uint64_t steps;
} layout_column_answer;

/* The linear program over guillotine fillings, each priced exactly by a table (layout_table.h): fillings may hold more
 * of a piece than there are, so the bound is that of the relaxation. Then dives: what the program takes whole is fixed,
 * else what it takes most of, and the program is solved again for what is left. */
void layout_column(arena *mem, const layout_column_problem *p, layout_column_answer *out);
#endif
