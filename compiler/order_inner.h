/* What the files of the order of work share; nobody else includes it.
 * Ownership: an order_work lives during order_make() in the model's arena. */
#ifndef COMPILER_ORDER_INNER_H
#define COMPILER_ORDER_INNER_H
#include "compiler/check_util.h"
#include "runtime/base/diag.h"
#include "runtime/engine/model.h"

/* How firm a link is. A wish is kept only when it closes no circle. */
typedef enum order_bond { BOND_NEED, BOND_WRITTEN, BOND_WISH } order_bond;

typedef struct order_link {
	model_ref before, after; /* operations */
	const char *reason;
	span at;
	order_bond bond;
} order_link;

/* What a joint asks of the order; UNIT: it holds an assembly that is joined on the bench and put in as one. */
typedef enum order_role { ROLE_NONE, ROLE_JOIN, ROLE_DOOR, ROLE_ITEM, ROLE_UNIT } order_role;

typedef struct order_rows {
	model_ref *v;
	size_t n;
} order_rows;

/* One constraint between written steps. */
typedef struct order_written_pair {
	model_ref before, after; /* written rows */
	const char *reason;
	span at;
} order_written_pair;

typedef struct order_of_part { /* operations that prepare one part, or NONE */
	model_ref cut, groove, drill, finish;
	model_ref first_join; /* the join that brings it in */
	model_ref door, fit;  /* hung or put in by */
} order_of_part;

typedef struct order_work {
	model *m;
	diags *d;
	arena *mem;
	order_rows parts, stocks, patterns, joints, tools; /* rows in an order that does not depend on theirs */
	order_rows cut;					   /* parts, and extra pieces with them */
	order_role *role;				   /* [joints] */
	model_ref *joint_op;				   /* [joints] the join, door, or item operation, or NONE */
	order_of_part *of;				   /* [parts] */
	check_rows features;				   /* by part */
	model_ref *piece; /* [parts] those joined to one another, directly or through others, have one number */
	model_ref *bench; /* [parts] the part it is joined with on the bench and put in with, or NONE: of the carcass */
	model_ref buy, try_op, test, wire;
	LIST(model_op) ops;
	LIST(uint32_t) rank;  /* [ops] canonical place, smaller first */
	LIST(uint32_t) group; /* [ops] joining group from 1; 0 for others */
	LIST(order_link) links;
	uint32_t *link_at; /* [link_room], a power of two: row of links from 1 by its ends, hashed; 0 is free */
	size_t link_room;
	LIST(model_ref) joining; /* join operations in building sequence */
	uint32_t n_groups;
	LIST(order_written_pair) written;
	bool *closure;		   /* [written x written]: row comes before column */
	LIST(model_ref) sequence;  /* operations in order of work */
	double elapsed_minutes;	   /* one person, in this order */
	double *begun;		   /* [ops] by one person, minutes from the start; NULL when no order was found */
	uint32_t caution_step[16]; /* step (from 1) in which a caution stands in full, 0 for not yet */
	bool failed;
} order_work;

/* order_ops.c */
void order_rows_make(order_work *w);
void order_ops_make(order_work *w);
model_ref order_op_add(order_work *w, model_op_kind kind, span at, const char *what);
/* order_bench.c: the role of each joint; pieces, and what is put in as one. */
void order_roles_make(order_work *w);
/* Does the operation put in an assembly that joints hold then? */
bool order_unit(const order_work *w, model_ref op);
model_op_kind order_item_kind(const order_work *w, const model_part *p);
/* What an operation that puts in or fits is about, as it is read: the part, its group, or the placed assembly. */
const char *order_thing(const order_work *w, model_ref part);
/* "rib 2": a name as it is read; and as a sentence begins with it. */
const char *order_spoken(arena *mem, const char *name);
const char *order_capital(arena *mem, const char *text);
/* Natural order: "rib.2" before "rib.10". */
int order_compare_names(const char *a, const char *b);
double order_rat_mm(rat r); /* 0 for poison */

/* order_rates.c: minutes and waits, when the links are known */
void order_rates_make(order_work *w);

/* From the first glue on a joint until it is drawn together. */
double order_glue_minutes(const model_joint *j);

/* order_edge.c: edges of openings that a part stands before when they are to be eased (`closed-in`). */
void order_edge_check(order_work *w);

/* order_glue.c: which joints have to be closed while their glue is open; told on each page, and when they take longer
 * (`glue-open`). Its steps are made. */
void order_glue_make(order_work *w);

/* order_written.c: takes operations up, checks names, works out which step comes before which */
void order_written_take(order_work *w);
void order_written_links(order_work *w);
bool order_written_before(const order_work *w, model_ref a, model_ref b); /* MODEL_NONE gives false */

/* order_join.c: the building sequence; fills joining and group */
void order_join_make(order_work *w);
/* The part that building begins with when the plan does not say; MODEL_NONE without joints. */
model_ref order_join_base(const order_work *w);

/* order_way.c: can a thing leave its place, past the parts that stand (compiler/way.h)?
 * fitted: bought things and loose parts in place as well, by part row, or NULL. */
bool order_way_out(const order_work *w, box3 thing, model_ref self, const bool *stands, const bool *fitted);
/* The widest declared way out in words ("gap mouth, 1200 mm x 300 mm"); its place in *at. NULL when there is none. */
const char *order_way_widest(const order_work *w, model_ref self, span *at);
/* Looks at every bought thing at the moment it is fitted. */
void order_way_check(order_work *w);

/* order_bar.c: wishes that keep the way open for bought things, loose parts, the hand that wires. */
void order_bar_links(order_work *w);

/* order_links.c */
void order_link_add(order_work *w, model_ref before, model_ref after, order_bond bond, span at, const char *reason);
void order_links_make(order_work *w);

/* order_sort.c: false when a circle was found (and reported) */
bool order_sort(order_work *w);
/* The book step an operation belongs to when nothing parts it: equal numbers go together. */
uint32_t order_block(const order_work *w, model_ref op);
double order_critical_minutes(order_work *w);

/* order_hands.c: what is held, propped or laid over in a step (its parts are known), helpers for it; and the hours of
 * two people, what is done while something dries (its steps are made). */
void order_hands_step(order_work *w, model_step *s, const bool *stands_before, const bool *stands_after);
void order_hands_hours(order_work *w);

/* order_steps.c and order_words.c */
void order_steps_make(order_work *w);
/* Title, note, caution and check; what stands before and after the step, by part row. */
void order_words_step(order_work *w, model_step *s, const bool *stands_before, const bool *stands_after);
/* order_words_check.c: what to look at before going on, worked out from the model; NULL when there is nothing. */
const char *order_words_check(const order_work *w, const model_step *s, const bool *stands);
#endif
