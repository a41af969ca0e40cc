/* Functions. */
#include <math.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

enum { MICROMETRE_STEPS = 1000 };

quant value_settled(quant q) {
	if (!dim_same(q.dim, DIM_LENGTH) || quant_is_exact(q)) return q;
	rat r = rat_from_double(q.d, MICROMETRE_STEPS);
	return rat_ok(r) ? quant_exact(DIM_LENGTH, r) : quant_inexact(DIM_LENGTH, (double)NAN);
}

static value call_sqrt(ctx *c, const syn_expr *e, quant q) {
	dim d = q.dim;
	bool even = d.length % 2 == 0 && d.mass % 2 == 0 && d.time % 2 == 0 && d.temp % 2 == 0 && d.angle % 2 == 0 &&
		    d.money % 2 == 0;
	if (!even || q.d < 0) {
		diag_error(c->diags, "plan-dimension", e->args.v[0]->at, "%s has no square root",
			   q.d < 0 ? "a negative value" : dim_spoken(c->mem, d));
		return value_bad();
	}
	dim half = {(int8_t)(d.length / 2), (int8_t)(d.mass / 2),  (int8_t)(d.time / 2),
		    (int8_t)(d.temp / 2),   (int8_t)(d.angle / 2), (int8_t)(d.money / 2)};
	return value_checked(c, e, value_settled(quant_inexact(half, sqrt(q.d))));
}

static value call_round(ctx *c, const syn_expr *e, char how, quant q, quant step) {
	if (!dim_same(q.dim, step.dim)) {
		diag_error(c->diags, "plan-dimension", e->args.v[1]->at, "%s cannot be rounded to steps of %s",
			   dim_spoken(c->mem, q.dim), dim_spoken(c->mem, step.dim));
		return value_bad();
	}
	if (step.d <= 0) {
		diag_error(c->diags, "plan-value", e->args.n > 1 ? e->args.v[1]->at : e->at,
			   "the step must be more than nothing");
		return value_bad();
	}
	if (quant_is_exact(q) && quant_is_exact(step)) {
		rat n = rat_div(q.r, step.r);
		rat whole = how == 'r' ? rat_round(n, 1) : rat_int(how == 'c' ? rat_ceil(n) : rat_floor(n));
		return value_checked(c, e, quant_exact(q.dim, rat_mul(whole, step.r)));
	}
	double n = q.d / step.d;
	double whole = how == 'r' ? round(n) : how == 'c' ? ceil(n) : floor(n);
	return value_checked(c, e, value_settled(quant_inexact(q.dim, whole * step.d)));
}

value eval_call(ctx *c, const syn_expr *e) {
	static const struct {
		const char *name;
		size_t least, most;
	} F[] = {{"min", 1, 99},  {"max", 1, 99}, {"abs", 1, 1},  {"sqrt", 1, 1},
		 {"round", 1, 2}, {"ceil", 1, 2}, {"floor", 1, 2}};
	enum { N_FUNCTIONS = sizeof F / sizeof *F };
	size_t which = N_FUNCTIONS;
	const char *known[N_FUNCTIONS];
	for (size_t i = 0; i < N_FUNCTIONS; i++) {
		known[i] = F[i].name;
		if (text_same(F[i].name, e->text)) which = i;
	}
	if (which == N_FUNCTIONS) {
		diag *g =
			diag_error(c->diags, "plan-unknown-function", e->text_at, "there is no function `%s`", e->text);
		const char *near = text_nearest(e->text, known, N_FUNCTIONS);
		if (near)
			diag_add_help(c->diags, g, "did you mean `%s`?", near);
		else
			diag_add_help(c->diags, g, "there are: min, max, abs, sqrt, round, ceil, floor");
		return value_bad();
	}
	if (e->args.n < F[which].least || e->args.n > F[which].most) {
		diag_error(c->diags, "plan-arguments", e->at, "`%s` takes %s", e->text,
			   F[which].most == 1	? "one argument"
			   : F[which].most == 2 ? "a value and a step"
						: "at least one argument");
		return value_bad();
	}
	quant first = {0};
	for (size_t i = 0; i < e->args.n; i++) {
		value v = eval(c, e->args.v[i]);
		if (v.kind == VALUE_BAD) return value_bad();
		if (v.kind != VALUE_QUANT) {
			diag_error(c->diags, "plan-value", e->args.v[i]->at, "`%s` wants quantities, but this is %s",
				   e->text, value_spoken(c, v));
			return value_bad();
		}
		if (i == 0) {
			first = v.q;
			continue;
		}
		if (which > 1) return call_round(c, e, e->text[0], first, v.q);
		if (!dim_same(first.dim, v.q.dim)) {
			diag *g = diag_error(c->diags, "plan-dimension", e->args.v[i]->at,
					     "%s cannot be compared with %s", value_spoken(c, v),
					     dim_spoken(c->mem, first.dim));
			diag_add_note(c->diags, g, e->args.v[0]->at, "this is %s", dim_spoken(c->mem, first.dim));
			return value_bad();
		}
		int order = quant_cmp(v.q, first);
		if (which == 0 ? order < 0 : order > 0) first = v.q;
	}
	if (which <= 1) return value_quant(first);
	if (which == 2) return value_quant(first.d < 0 ? quant_neg(first) : first);
	if (which == 3) return call_sqrt(c, e, first);
	if (!dim_same(first.dim, DIM_NUMBER)) {
		diag *g = diag_error(c->diags, "plan-arguments", e->at, "`%s` of %s wants a step", e->text,
				     value_spoken(c, value_quant(first)));
		diag_add_help(c->diags, g, "for example: %s(%s, 5 mm)", e->text, expr_source(c, e->args.v[0]));
		return value_bad();
	}
	return call_round(c, e, e->text[0], first, quant_number(rat_int(1)));
}
