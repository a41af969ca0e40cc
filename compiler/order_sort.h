/* Between order_sort.c and order_tools.c alone: how far the sorting has come. */
#ifndef COMPILER_ORDER_SORT_H
#define COMPILER_ORDER_SORT_H
#include "compiler/order_inner.h"

/* Links by the operation they begin at, as long as they are kept. */
typedef struct fan_out {
	uint32_t *first; /* [ops + 1] */
	uint32_t *link;	 /* rows of links */
} fan_out;

typedef struct sorter {
	order_work *w;
	uint32_t *block;   /* [ops] */
	uint32_t *waiting; /* [ops] links that come in from operations not done */
	bool *done;
	double *ready;	       /* [ops] when all before it is done and dry */
	uint32_t *outside;     /* [ops] links that come in from operations of other blocks, not done */
	uint32_t *row;	       /* [ops] number of its block, from 0 */
	LIST(order_rows) rows; /* operations of each block, ascending */
	bool *judged;	       /* [blocks] */
	bool *leads;	       /* [blocks] something in it or behind it has a long wait; NULL: nobody asks */
	fan_out out;
	uint32_t *left;	   /* [ops] scratch: of `waiting` */
	double now, until; /* until: the last wait begun so far is over */
	model_ref last;
	model_ref hand;	  /* the last that had a tool: it is at hand */
	unsigned changes; /* of tools, so far */
	bool trial;	  /* looks ahead: nothing is written down */
	double *begun;	  /* [ops] minutes from the start */
	LIST(model_ref) sequence;
} sorter;

bool order_shares_tool(const order_work *w, model_ref a, model_ref b); /* MODEL_NONE gives false */
bool order_same_tools(const order_work *w, model_ref a, model_ref b);
/* Parts are shaped by it, not joined yet. */
bool order_shapes(model_op_kind kind);

/* order_tools.c: the fewest changes of tools that the blocks left can be done with, none of them torn: every order of
 * blocks, and of the work in each, counts. Built for one moment of the sorting. */
typedef struct order_tools order_tools;
/* NULL when there are too many blocks or states, or blocks that have to be torn. */
order_tools *order_tools_begin(arena *mem, const sorter *s);
/* Changes when the block of that row comes next; UINT_MAX when it cannot. */
unsigned order_tools_next(order_tools *t, uint32_t row);
/* Changes that follow when the block is done and the tools of that operation (or none) are at hand. */
unsigned order_tools_after(order_tools *t, uint32_t row, model_ref hand);
/* Operations of the block that take tools, in an order that keeps to order_tools_next(). */
order_rows order_tools_path(order_tools *t, uint32_t row);
#endif
