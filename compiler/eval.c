/* Expressions: arithmetic with dimensions, comparisons and choices. */
#include <math.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

enum { DEEPEST = 400 };

/* ---- what values are called ---------------------------------------------------------------------- */

const char *value_kind_spoken(value_kind kind) {
	switch (kind) {
	case VALUE_QUANT:
		return "a quantity";
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
	case VALUE_TRUTH:
		return "yes or no";
	case VALUE_CABINET:
		return "the cabinet";
	case VALUE_BAD:
		break;
	}
	return "nothing";
}

const char *value_spoken(ctx *c, value v) {
	return v.kind == VALUE_QUANT ? dim_spoken(c->mem, v.q.dim) : value_kind_spoken(v.kind);
}

void value_help(ctx *c, diag *g, const syn_expr *e, value v) {
	const char *source = expr_source(c, e);
	if (v.kind == VALUE_PART || v.kind == VALUE_PLACE)
		diag_add_help(c->diags, g, "name one of its faces or sizes, such as `%s.right` or `%s.width`", source,
			      source);
	if (v.kind == VALUE_STOCK)
		diag_add_help(c->diags, g,
			      "name a figure of it, such as `%s.price`; where stock is wanted, write `%s` itself",
			      source, source);
	if (v.kind == VALUE_SPACE) diag_add_help(c->diags, g, "name a figure of it, such as `%s.gauge`", source);
	if (v.kind == VALUE_AIR) diag_add_help(c->diags, g, "name a figure of it, such as `%s.flow`", source);
	if (v.kind == VALUE_TOOL)
		diag_add_help(c->diags, g, "a tool has no figures; where a tool is wanted, write `%s` itself", source);
	if (v.kind == VALUE_PATTERN) diag_add_help(c->diags, g, "name a figure of theirs, such as `%s.count`", source);
	if (v.kind == VALUE_CABINET) diag_add_help(c->diags, g, "name a figure of it, such as `%s.width`", source);
}

/* ---- arithmetic --------------------------------------------------------------------------------- */

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
	value_help(c, g, wrong, v);
	return false;
}

bool is_comparison(const syn_expr *e) {
	return e->kind == SYN_BINARY && (e->op[0] == '<' || e->op[0] == '>' || e->op[0] == '=' || e->op[0] == '!');
}

/* A plain number beside an amount of money is one too, as in `price 74`. */
void value_as_money(quant *a, quant *b) {
	if (dim_same(a->dim, DIM_MONEY) && dim_same(b->dim, DIM_NUMBER)) b->dim = DIM_MONEY;
	if (dim_same(b->dim, DIM_MONEY) && dim_same(a->dim, DIM_NUMBER)) a->dim = DIM_MONEY;
}

static bool written_figure(const syn_expr *e) {
	return e->kind == SYN_QUANT || (e->kind == SYN_NEGATE && e->a->kind == SYN_QUANT);
}

/* Where a fault of a comparison most likely lies: at the one figure that was written out. */
static span odd_side(const syn_expr *e) {
	bool a = written_figure(e->a), b = written_figure(e->b);
	return !is_comparison(e) || a == b ? e->op_at : a ? e->a->at : e->b->at;
}

/* Both sides of a sum or comparison are of one dimension; else both are named. */
static bool one_dimension(ctx *c, const syn_expr *e, value *a, value *b, const char *verb) {
	value_as_money(&a->q, &b->q);
	if (dim_same(a->q.dim, b->q.dim)) return true;
	span at = odd_side(e);
	diag *g = diag_error(c->diags, "plan-dimension", at, "%s and %s cannot be %s", value_spoken(c, *a),
			     value_spoken(c, *b), verb);
	if (!span_same(at, e->a->at)) diag_add_note(c->diags, g, e->a->at, "this is %s", value_spoken(c, *a));
	if (!span_same(at, e->b->at)) diag_add_note(c->diags, g, e->b->at, "this is %s", value_spoken(c, *b));
	bool a_bare = dim_same(a->q.dim, DIM_NUMBER) && dim_same(b->q.dim, DIM_LENGTH);
	bool b_bare = dim_same(b->q.dim, DIM_NUMBER) && dim_same(a->q.dim, DIM_LENGTH);
	const syn_expr *bare = a_bare ? e->a : e->b;
	if ((a_bare || b_bare) && bare->kind == SYN_QUANT)
		diag_add_help(c->diags, g, "give the number a unit: `%s mm` or `%s in`", expr_source(c, bare),
			      expr_source(c, bare));
	else if (a_bare || b_bare)
		diag_add_help(c->diags, g, "give the plain number a unit, such as `mm` or `in`");
	return false;
}

bool compare_holds(const char *compare, int order) {
	switch (compare[0]) {
	case '<':
		return compare[1] == '=' ? order <= 0 : order < 0;
	case '>':
		return compare[1] == '=' ? order >= 0 : order > 0;
	case '!':
		return order != 0;
	default:
		return order == 0;
	}
}

static value eval_comparison(ctx *c, const syn_expr *e, value a, value b) {
	if (a.kind == VALUE_BAD || b.kind == VALUE_BAD) return value_bad();
	bool equality = e->op[0] == '=' || e->op[0] == '!';
	if (equality && a.kind == b.kind && (a.kind == VALUE_TEXT || a.kind == VALUE_TRUTH)) {
		bool same = a.kind == VALUE_TEXT ? text_same(a.text, b.text) : a.truth == b.truth;
		return value_truth(same == (e->op[0] == '='));
	}
	if (a.kind != VALUE_QUANT || b.kind != VALUE_QUANT) {
		diag *g = diag_error(c->diags, "plan-value", e->op_at, "%s and %s cannot be compared by `%s`",
				     value_spoken(c, a), value_spoken(c, b), e->op);
		diag_add_note(c->diags, g, e->a->at, "this is %s", value_spoken(c, a));
		diag_add_note(c->diags, g, e->b->at, "this is %s", value_spoken(c, b));
		value_help(c, g, a.kind != VALUE_QUANT ? e->a : e->b, a.kind != VALUE_QUANT ? a : b);
		return value_bad();
	}
	if (!one_dimension(c, e, &a, &b, "compared")) return value_bad();
	return value_truth(compare_holds(e->op, quant_cmp(a.q, b.q)));
}

static value eval_binary(ctx *c, const syn_expr *e) {
	value a = eval(c, e->a), b = eval(c, e->b);
	if (is_comparison(e)) return eval_comparison(c, e, a, b);
	if (!both_quants(c, e, a, b)) return value_bad();
	char op = e->op[0];
	if (op == '*') return value_checked(c, e, value_settled(quant_mul(a.q, b.q)));
	if (op == '/') {
		if (b.q.d == 0) {
			diag_error(c->diags, "plan-division", e->b->at, "this is zero; nothing can be divided by it");
			return value_bad();
		}
		return value_checked(c, e, value_settled(quant_div(a.q, b.q)));
	}
	if (!one_dimension(c, e, &a, &b, op == '+' ? "added" : "subtracted")) return value_bad();
	return value_checked(c, e, op == '+' ? quant_add(a.q, b.q) : quant_sub(a.q, b.q));
}

/* ---- choices ------------------------------------------------------------------------------------ */

bool eval_truth(ctx *c, const syn_expr *e, bool *out) {
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) return false;
	if (v.kind == VALUE_TRUTH) {
		*out = v.truth;
		return true;
	}
	diag *g = diag_error(c->diags, "plan-value", e->at, "a condition belongs here, but this is %s",
			     value_spoken(c, v));
	if (v.kind == VALUE_TEXT && (text_same(v.text, "yes") || text_same(v.text, "no"))) {
		const syn_expr *at = let_behind(c, e);
		diag_add_help(c->diags, g, "`yes` and `no` stand without quotes: %s", v.text);
		if (at != e) diag_add_note(c->diags, g, at->at, "its value");
		return false;
	}
	diag_add_help(c->diags, g,
		      "write a comparison, such as `%s`, a name that is `yes` or `no`, or "
		      "`all(…)`, `any(…)`, `not(…)` of such",
		      example_shown(c->m, "width > 900 mm"));
	return false;
}

/* Only the value that is taken is worked out; that the other is of the same kind is seen from its form. */
static value eval_if(ctx *c, const syn_expr *e) {
	bool held;
	if (!eval_truth(c, e->a, &held)) return value_bad();
	value v = eval(c, held ? e->b : e->other), left;
	if (v.kind == VALUE_BAD || !value_guess(c, held ? e->other : e->b, &left)) return v;
	if (v.kind == VALUE_QUANT && left.kind == VALUE_QUANT) value_as_money(&v.q, &left.q);
	if (v.kind == left.kind && (v.kind != VALUE_QUANT || dim_same(v.q.dim, left.q.dim))) return v;
	value first = held ? v : left, second = held ? left : v;
	diag *g = diag_error(c->diags, "plan-dimension", e->at, "this is %s in one case and %s in the other",
			     value_spoken(c, first), value_spoken(c, second));
	diag_add_note(c->diags, g, e->b->at, "this is %s", value_spoken(c, first));
	diag_add_note(c->diags, g, e->other->at, "this is %s", value_spoken(c, second));
	diag_add_help(c->diags, g, "both values of a choice are of one kind");
	return value_bad();
}

/* ---- all of them -------------------------------------------------------------------------------- */

static value eval_inner(ctx *c, const syn_expr *e) {
	switch (e->kind) {
	case SYN_BAD:
		return value_bad();
	case SYN_QUANT:
		return value_quant(e->value);
	case SYN_TEXT: {
		const char *text = eval_text(c, e);
		return text ? (value){.kind = VALUE_TEXT, .text = text} : value_bad();
	}
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
	case SYN_IF:
		return eval_if(c, e);
	}
	return value_bad();
}

value eval(ctx *c, const syn_expr *e) {
	if (c->depth > DEEPEST) {
		eval_too_deep(c, e->at);
		return value_bad();
	}
	c->depth++;
	value v = eval_inner(c, e);
	c->depth--;
	return v;
}
