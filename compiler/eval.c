/* Expressions: arithmetic with dimensions, and the guard against circles. */
#include <math.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

enum { DEEPEST = 400 };

/* ---- circles ------------------------------------------------------------------------------ */

bool busy_enter(ctx *c, busy *b, const void *key, const char *name, span at) {
	const busy *again = NULL;
	for (const busy *o = c->busy; o; o = o->outer)
		if (o->key == key) again = o;
	if (again) {
		textbuf t = textbuf_begin(c->mem);
		LIST(const busy *) ring = {0};
		for (const busy *o = c->busy; o; o = o->outer) {
			LIST_PUSH(c->mem, &ring, o);
			if (o == again) break;
		}
		for (size_t i = ring.n; i-- > 0;) textbuf_printf(&t, "%s -> ", ring.v[i]->name);
		textbuf_add(&t, name);
		diag *g = diag_error(c->diags, "plan-circle", again->at, "this goes round in a circle: %s", t.v);
		for (size_t i = ring.n - 1; i-- > 0;)
			diag_add_note(c->diags, g, ring.v[i]->at, "by way of %s", ring.v[i]->name);
		if (ring.n > 1 || !span_same(at, again->at)) diag_add_note(c->diags, g, at, "and back to %s", name);
		diag_add_help(c->diags, g, "give one of them a value that does not follow from the others");
		return false;
	}
	*b = (busy){.key = key, .name = name, .at = at, .outer = c->busy};
	c->busy = b;
	return true;
}

void busy_leave(ctx *c, const busy *b) { c->busy = b->outer; }

/* ---- arithmetic --------------------------------------------------------------------------------- */

const char *value_spoken(ctx *c, value v) {
	switch (v.kind) {
	case VALUE_QUANT:
		return dim_spoken(c->mem, v.q.dim);
	case VALUE_TEXT:
		return "a text";
	case VALUE_PAIR:
		return "a point";
	case VALUE_PART:
		return "a part";
	case VALUE_STOCK:
		return "stock";
	case VALUE_PATTERN:
		return "openings";
	case VALUE_TOOL:
		return "a tool";
	case VALUE_SPACE:
		return "a space";
	case VALUE_AIR:
		return "a way for the air";
	case VALUE_PLACE:
		return "something placed";
	case VALUE_BAD:
		break;
	}
	return "nothing";
}

/* A length that no longer fits its exact fraction is told once, here. */
value value_checked(ctx *c, const syn_expr *e, quant q) {
	if (dim_same(q.dim, DIM_LENGTH) && !isfinite(q.d)) {
		diag_error(c->diags, "plan-overflow", e->at,
			   "this length does not fit an exact fraction (64-bit numerator and denominator)");
		return value_bad();
	}
	if (!isfinite(q.d)) {
		diag_error(c->diags, "plan-overflow", e->at, "this value is too large");
		return value_bad();
	}
	return value_quant(q);
}

static bool both_quants(ctx *c, const syn_expr *e, value a, value b) {
	if (a.kind == VALUE_BAD || b.kind == VALUE_BAD) return false;
	if (a.kind == VALUE_QUANT && b.kind == VALUE_QUANT) return true;
	const syn_expr *wrong = a.kind != VALUE_QUANT ? e->a : e->b;
	value v = a.kind != VALUE_QUANT ? a : b;
	diag *g = diag_error(c->diags, "plan-value", wrong->at, "`%s` wants quantities, but this is %s", e->op,
			     value_spoken(c, v));
	if (v.kind == VALUE_PART)
		diag_add_help(c->diags, g, "name one of its faces or sizes, such as `%s.right` or `%s.width`",
			      expr_source(c, wrong), expr_source(c, wrong));
	return false;
}

static value eval_binary(ctx *c, const syn_expr *e) {
	value a = eval(c, e->a), b = eval(c, e->b);
	if (!both_quants(c, e, a, b)) return value_bad();
	char op = e->op[0];
	if (op == '*') return value_checked(c, e, quant_mul(a.q, b.q));
	if (op == '/') {
		if (b.q.d == 0) {
			diag_error(c->diags, "plan-division", e->b->at, "this is zero; nothing can be divided by it");
			return value_bad();
		}
		return value_checked(c, e, quant_div(a.q, b.q));
	}
	if (op != '+' && op != '-') {
		diag *g = diag_error(c->diags, "plan-comparison", e->op_at, "a comparison has no value of its own");
		diag_add_help(c->diags, g, "comparisons stand in `require`");
		return value_bad();
	}
	if (!dim_same(a.q.dim, b.q.dim)) {
		diag *g = diag_error(c->diags, "plan-dimension", e->op_at, "%s and %s cannot be %s", value_spoken(c, a),
				     value_spoken(c, b), op == '+' ? "added" : "subtracted");
		diag_add_note(c->diags, g, e->a->at, "this is %s", value_spoken(c, a));
		diag_add_note(c->diags, g, e->b->at, "this is %s", value_spoken(c, b));
		bool bare = (dim_same(a.q.dim, DIM_NUMBER) && dim_same(b.q.dim, DIM_LENGTH)) ||
			    (dim_same(b.q.dim, DIM_NUMBER) && dim_same(a.q.dim, DIM_LENGTH));
		if (bare) diag_add_help(c->diags, g, "give the plain number a unit, such as `mm` or `in`");
		return value_bad();
	}
	return value_checked(c, e, op == '+' ? quant_add(a.q, b.q) : quant_sub(a.q, b.q));
}

static value eval_inner(ctx *c, const syn_expr *e) {
	switch (e->kind) {
	case SYN_BAD:
		return value_bad();
	case SYN_QUANT:
		return value_quant(e->value);
	case SYN_TEXT:
		return (value){.kind = VALUE_TEXT, .text = e->text};
	case SYN_NAME:
		return eval_name(c, e);
	case SYN_CALL:
		return eval_call(c, e);
	case SYN_PAIR: {
		value v = {.kind = VALUE_PAIR};
		value a = eval(c, e->a), b = eval(c, e->b);
		if (!both_quants(c, &(syn_expr){.op = "(…, …)", .a = e->a, .b = e->b}, a, b)) return value_bad();
		v.q = a.q;
		v.second = b.q;
		return v;
	}
	case SYN_NEGATE: {
		value v = eval(c, e->a);
		if (v.kind == VALUE_BAD) return v;
		if (v.kind != VALUE_QUANT) {
			diag_error(c->diags, "plan-value", e->a->at, "`-` wants a quantity, but this is %s",
				   value_spoken(c, v));
			return value_bad();
		}
		return value_quant(quant_neg(v.q));
	}
	case SYN_BINARY:
		return eval_binary(c, e);
	}
	return value_bad();
}

value eval(ctx *c, const syn_expr *e) {
	if (c->depth > DEEPEST) {
		diag_error(c->diags, "plan-deep", e->at, "this is nested too deeply");
		return value_bad();
	}
	c->depth++;
	value v = eval_inner(c, e);
	c->depth--;
	return v;
}
