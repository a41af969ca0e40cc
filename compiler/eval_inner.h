/* What the files of the evaluation share (eval*.c) and few others need.
 * Ownership: as context.h says; values are passed by copying. */
#ifndef COMPILER_EVAL_INNER_H
#define COMPILER_EVAL_INNER_H
#include "compiler/context.h"

static inline value value_bad(void) { return (value){.kind = VALUE_BAD}; }
static inline value value_quant(quant q) { return (value){.kind = VALUE_QUANT, .q = q}; }
static inline value value_truth(bool truth) { return (value){.kind = VALUE_TRUTH, .truth = truth}; }
/* "a length", "a part": what a value is, for messages. */
const char *value_spoken(ctx *c, value v);
const char *value_kind_spoken(value_kind kind);
/* What to write in its place, where a quantity is wanted. */
void value_help(ctx *c, diag *g, const syn_expr *e, value v);
/* The value of the `let` that the expression names, else the expression itself. */
const syn_expr *let_behind(ctx *c, const syn_expr *e);
/* A value out of arithmetic: one that no longer fits is told once, at `e`. */
value value_checked(ctx *c, const syn_expr *e, quant q);
/* Lengths out of roots, angles and steps are rounded to the micrometre, so that every length stays exact. */
quant value_settled(quant q);
/* What a name leads to, its members left out. */
value named_value(ctx *c, const named *n, span at);
/* A plain number beside an amount of money becomes one. */
void value_as_money(quant *a, quant *b);
/* What an expression would be, from its form and without working it out: kind, and dimension of a quantity (no
 * figure). False when that cannot be told. */
bool value_guess(ctx *c, const syn_expr *e, value *out);
value eval_name(ctx *c, const syn_expr *e);
value eval_call(ctx *c, const syn_expr *e);
/* The members from the word number `from` on of what is `v`. */
value eval_members(ctx *c, const syn_expr *e, size_t from, value v);
/* Is it a figure of the air that the name asks for? */
bool air_asked(ctx *c, const named *n, const syn_expr *e);
/* The words behind it are figures of the air, which are known long before the figures. False: reported. */
bool air_words_fit(ctx *c, const named *n, const syn_expr *e);
/* How the book writes it: a quantity in the plan's measures with its unit, money with its currency, yes or no, a text.
 */
const char *value_shown(ctx *c, value v);
/* eval() has gone down too far. */
void eval_too_deep(ctx *c, span at);
bool is_comparison(const syn_expr *e);
bool compare_holds(const char *compare, int order); /* order: of the left side against the right, -1, 0, 1 */
#endif
