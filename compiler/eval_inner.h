/* What the files of the evaluation share (eval*.c) and nobody else needs.
 * Ownership: as context.h says; values are passed by copying. */
#ifndef COMPILER_EVAL_INNER_H
#define COMPILER_EVAL_INNER_H
#include "compiler/context.h"

static inline value value_bad(void) { return (value){.kind = VALUE_BAD}; }
static inline value value_quant(quant q) { return (value){.kind = VALUE_QUANT, .q = q}; }
/* "a length", "a part": what a value is, for messages. */
const char *value_spoken(ctx *c, value v);
/* A value out of arithmetic: one that no longer fits is told once, at `e`. */
value value_checked(ctx *c, const syn_expr *e, quant q);
/* Lengths out of roots and steps are rounded to the micrometre, so that every length stays exact. */
quant value_settled(quant q);
/* What a name leads to, its members left out. */
value named_value(ctx *c, const named *n, span at);
value eval_name(ctx *c, const syn_expr *e);
value eval_call(ctx *c, const syn_expr *e);
#endif
