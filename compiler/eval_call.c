/* Functions. Their arguments are quantities; `all`, `any` and `not` take conditions, `count` and `sum` groups too. */
#include <math.h>

#include "compiler/eval_inner.h"
#include "compiler/parts.h"
#include "runtime/base/text.h"

enum { MICROMETRE_STEPS = 1000 };

quant value_settled(quant q) {
	if (!dim_same(q.dim, DIM_LENGTH) || quant_is_exact(q) || !isfinite(q.d)) return q;
	rat r = rat_from_double(q.d, MICROMETRE_STEPS);
	return rat_ok(r) ? quant_exact(DIM_LENGTH, r) : quant_inexact(DIM_LENGTH, (double)NAN);
}

typedef struct function function;
/* q: the arguments, worked out; they stand in e->args. */
typedef value function_of(ctx *c, const syn_expr *e, const function *f, const quant *q);
struct function {
	const char *name;
	size_t least, most;
	const char *takes;
	function_of *of;					     /* quantities */
	value (*form)(ctx *c, const syn_expr *e, const function *f); /* or what reads its arguments itself */
};

/* ---- roots ------------------------------------------------------------------------------------- */

static bool whole_root(int64_t n, int64_t *root) {
	int64_t r = (int64_t)llround(sqrt((double)n));
	if (r > 3037000499) return false; /* its square does not fit */
	*root = r;
	return r * r == n;
}

/* Poison when the root is no fraction. */
static rat exact_root(rat a) {
	rat r = rat_poison();
	if (!rat_ok(a) || a.num < 0 || !whole_root(a.num, &r.num) || !whole_root(a.den, &r.den)) return rat_poison();
	return r;
}

static value call_sqrt(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	(void)f;
	dim d = q->dim;
	bool even = d.length % 2 == 0 && d.mass % 2 == 0 && d.time % 2 == 0 && d.temp % 2 == 0 && d.angle % 2 == 0 &&
		    d.money % 2 == 0;
	if (!even || q->d < 0) {
		diag_error(c->diags, "plan-dimension", e->args.v[0]->at, "%s has no square root",
			   q->d < 0 ? "a negative value" : dim_spoken(c->mem, d));
		return value_bad();
	}
	dim half = {(int8_t)(d.length / 2), (int8_t)(d.mass / 2),  (int8_t)(d.time / 2),
		    (int8_t)(d.temp / 2),   (int8_t)(d.angle / 2), (int8_t)(d.money / 2)};
	rat exact = exact_root(q->r);
	if (rat_ok(exact)) return value_quant(quant_exact(half, exact));
	return value_checked(c, e, value_settled(quant_inexact(half, sqrt(q->d))));
}

static value call_hypot(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	(void)f;
	rat exact = exact_root(rat_add(rat_mul(q[0].r, q[0].r), rat_mul(q[1].r, q[1].r)));
	if (rat_ok(exact)) return value_quant(quant_exact(q->dim, exact));
	return value_checked(c, e, value_settled(quant_inexact(q->dim, hypot(q[0].d, q[1].d))));
}

/* ---- angles, in degrees ------------------------------------------------------------------------ */

static const double DEGREE = 3.14159265358979323846 / 180;

static bool of_dim(ctx *c, const syn_expr *e, quant q, dim wanted, const char *help) {
	if (dim_same(q.dim, wanted)) return true;
	diag *g = diag_error(c->diags, "plan-dimension", e->args.v[0]->at, "`%s` wants %s, but this is %s", e->text,
			     dim_spoken(c->mem, wanted), dim_spoken(c->mem, q.dim));
	diag_add_help(c->diags, g, "%s", help);
	return false;
}

/* The sine where it is a fraction: at the multiples of 30 degrees that have one. Poison elsewhere. */
static rat exact_sine(rat degrees) {
	static const int8_t HALVES[12] = {0, 1, 9, 2, 9, 1, 0, -1, 9, -2, 9, -1}; /* 9: no fraction */
	if (!rat_ok(degrees) || degrees.den != 1 || degrees.num % 30 != 0) return rat_poison();
	int64_t k = (degrees.num / 30 % 12 + 12) % 12;
	return HALVES[k] == 9 ? rat_poison() : rat_of(HALVES[k], 2);
}

static value call_sine(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	if (!of_dim(c, e, *q, DIM_ANGLE, "write an angle, such as `30 deg`")) return value_bad();
	bool cosine = f->name[0] == 'c';
	rat exact = exact_sine(cosine ? rat_add(q->r, rat_int(90)) : q->r);
	if (rat_ok(exact)) return value_quant(quant_number(exact));
	return value_quant(quant_inexact(DIM_NUMBER, cosine ? cos(q->d * DEGREE) : sin(q->d * DEGREE)));
}

static value call_tan(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	(void)f;
	if (!of_dim(c, e, *q, DIM_ANGLE, "write an angle, such as `45 deg`")) return value_bad();
	if (quant_is_exact(*q) && q->r.den == 1 && q->r.num % 45 == 0) {
		int64_t k = (q->r.num / 45 % 4 + 4) % 4;
		if (k != 2) return value_quant(quant_number(rat_int(k == 3 ? -1 : k)));
		diag_error(c->diags, "plan-value", e->args.v[0]->at, "a right angle has no tangent");
		return value_bad();
	}
	return value_checked(c, e, quant_inexact(DIM_NUMBER, tan(q->d * DEGREE)));
}

static value angle(rat exact, double radians) {
	return value_quant(rat_ok(exact) ? quant_exact(DIM_ANGLE, exact) : quant_inexact(DIM_ANGLE, radians / DEGREE));
}

static value call_arc(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	if (!of_dim(c, e, *q, DIM_NUMBER, "it is worked out from a plain number, such as a length by a length"))
		return value_bad();
	bool tangent = f->name[1] == 't', cosine = f->name[1] == 'c';
	if (!tangent && fabs(q->d) > 1) {
		diag_error(c->diags, "plan-value", e->args.v[0]->at, "`%s` wants a number from -1 to 1, but this is %s",
			   f->name, quant_show(c->mem, *q, c->m->measures));
		return value_bad();
	}
	rat twice = rat_mul(q->r, rat_int(2)), at = rat_poison();
	bool whole = rat_ok(twice) && twice.den == 1;
	if (tangent) {
		if (whole && (twice.num == 0 || twice.num == 2 || twice.num == -2)) at = rat_int(twice.num / 2 * 45);
		return angle(at, atan(q->d));
	}
	static const int8_t ARC[5] = {-90, -30, 0, 30, 90};
	if (whole) at = rat_int(ARC[twice.num + 2]);
	if (cosine) at = rat_sub(rat_int(90), at);
	return angle(at, cosine ? acos(q->d) : asin(q->d));
}

static value call_atan2(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	(void)f;
	int y = q[0].d > 0 ? 1 : q[0].d < 0 ? -1 : 0, x = q[1].d > 0 ? 1 : q[1].d < 0 ? -1 : 0;
	if (!x && !y) {
		diag_error(c->diags, "plan-value", e->at, "both are nothing: there is no angle");
		return value_bad();
	}
	rat exact = rat_poison();
	bool diagonal = quant_is_exact(q[0]) && quant_is_exact(q[1]) && rat_eq(rat_abs(q[0].r), rat_abs(q[1].r));
	if (!y)
		exact = rat_int(x > 0 ? 0 : 180);
	else if (!x)
		exact = rat_int(90 * y);
	else if (diagonal)
		exact = rat_int(x > 0 ? 45 * y : 135 * y);
	return angle(exact, atan2(q[0].d, q[1].d));
}

/* ---- steps, the least, the most ------------------------------------------------------------------ */

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

static value call_step(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	if (e->args.n == 2) return call_round(c, e, f->name[0], q[0], q[1]);
	if (dim_same(q->dim, DIM_NUMBER)) return call_round(c, e, f->name[0], *q, quant_number(rat_int(1)));
	diag *g = diag_error(c->diags, "plan-arguments", e->at, "`%s` of %s wants a step", e->text,
			     dim_spoken(c->mem, q->dim));
	diag_add_help(c->diags, g, "for example: %s(%s, %s)", e->text, expr_source(c, e->args.v[0]),
		      dim_same(q->dim, DIM_LENGTH) ? example_shown(c->m, "5 mm") : "…");
	return value_bad();
}

static value call_extreme(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	(void)c;
	quant best = q[0];
	for (size_t i = 1; i < e->args.n; i++) {
		int order = quant_cmp(q[i], best);
		if (f->name[1] == 'i' ? order < 0 : order > 0) best = q[i];
	}
	return value_quant(best);
}

static value call_abs(ctx *c, const syn_expr *e, const function *f, const quant *q) {
	(void)c, (void)e, (void)f;
	return value_quant(q->d < 0 ? quant_neg(*q) : *q);
}

/* ---- conditions ---------------------------------------------------------------------------------- */

/* As far as it takes to know: what stands behind the deciding one need not make sense. */
static value form_conditions(ctx *c, const syn_expr *e, const function *f) {
	bool all = f->name[1] == 'l';
	for (size_t i = 0; i < e->args.n; i++) {
		bool held;
		if (!eval_truth(c, e->args.v[i], &held)) return value_bad();
		if (held != all) return value_truth(!all);
	}
	return value_truth(all);
}

static value form_not(ctx *c, const syn_expr *e, const function *f) {
	(void)f;
	bool held;
	return eval_truth(c, e->args.v[0], &held) ? value_truth(!held) : value_bad();
}

/* ---- groups -------------------------------------------------------------------------------------- */

/* How many pieces, openings, or turns of a `repeat` and of a placed assembly; of a name that each turn of a nameless
 * `repeat` has, those of all turns. 0: reported. */
static int64_t count_named(ctx *c, const sym *s, span at) {
	if (s->kind == SYM_PART) return part_pieces(c, s->def);
	if (s->kind == SYM_PATTERN) {
		pattern_def *p = s->def;
		return pattern_stands(c, p, at) ? (int64_t)c->m->patterns.v[p->row].axes.n : 0;
	}
	if (s->kind == SYM_PLACE) {
		place_def *p = s->def;
		return place_expand(c, p, at) ? (int64_t)p->items.n : 0;
	}
	const series_def *d = s->def;
	int64_t sum = 0;
	for (size_t i = 0; i < d->turns.n; i++) {
		int64_t n = count_named(c, d->turns.v[i], at);
		if (n == 0) return 0;
		sum += n;
	}
	return sum;
}

/* -1: it is nothing that is counted. */
static int64_t count_of(ctx *c, const syn_expr *e, value v) {
	if (v.kind == VALUE_PART) return part_pieces(c, v.part);
	if (v.kind == VALUE_PATTERN) return count_named(c, &(sym){.kind = SYM_PATTERN, .def = v.pattern}, e->at);
	if (v.kind != VALUE_PLACE) return -1;
	named n;
	if (!names_walk(c, e, &n) || n.inst || (n.s->kind != SYM_PLACE && n.s->kind != SYM_SERIES)) return 1;
	return count_named(c, n.s, e->at);
}

static value form_count(ctx *c, const syn_expr *e, const function *f) {
	(void)f;
	int64_t sum = 0;
	for (size_t i = 0; i < e->args.n; i++) {
		const syn_expr *arg = e->args.v[i];
		value v = eval(c, arg);
		if (v.kind == VALUE_BAD) return v;
		int64_t n = count_of(c, arg, v);
		if (n == 0) return value_bad(); /* reported */
		if (n < 0) {
			diag *g = diag_error(c->diags, "plan-value", arg->at,
					     "`count` wants parts or openings, but this is %s", value_spoken(c, v));
			diag_add_help(c->diags, g, "name them: `count(ribs)`, `count(vents)`");
			return value_bad();
		}
		sum += n;
	}
	return value_quant(quant_number(rat_int(sum)));
}

typedef LIST(part_def *) pieces;

static void add_pieces(ctx *c, const sym *s, pieces *out) {
	if (s->kind == SYM_PART) {
		uint32_t n = part_pieces(c, s->def);
		for (uint32_t k = 0; k < n; k++) LIST_PUSH(c->mem, out, part_piece(c, s->def, k));
	} else if (s->kind == SYM_SERIES) {
		const series_def *d = s->def;
		for (size_t i = 0; i < d->turns.n; i++) add_pieces(c, d->turns.v[i], out);
	}
}

/* The pieces that an argument such as `ribs.width` goes over, none when it is one value. */
static pieces pieces_of(ctx *c, const syn_expr *e, size_t *from) {
	pieces all = {0};
	named n;
	if (e->kind != SYN_NAME || e->names.n < 2 || !names_find(c, e->names.v[0].v) || !names_walk(c, e, &n))
		return all;
	if (n.piece_known || n.used >= e->names.n || air_asked(c, &n, e)) return all;
	*from = n.used;
	add_pieces(c, n.s, &all);
	if (all.n < 2) all.n = 0;
	return all;
}

static value add_up(ctx *c, const syn_expr *e, const syn_expr *arg, value sum, value v, bool first) {
	if (v.kind == VALUE_BAD) return v;
	if (v.kind != VALUE_QUANT) {
		diag *g = diag_error(c->diags, "plan-value", arg->at, "`sum` wants quantities, but this is %s",
				     value_spoken(c, v));
		if (v.kind == VALUE_PART)
			diag_add_help(c->diags, g, "name what is to be added up, such as `sum(%s.mass)`", v.part->name);
		else
			value_help(c, g, arg, v);
		return value_bad();
	}
	if (first) return v;
	value_as_money(&sum.q, &v.q);
	if (!dim_same(sum.q.dim, v.q.dim)) {
		diag *g = diag_error(c->diags, "plan-dimension", arg->at, "%s cannot be added to %s",
				     value_spoken(c, v), value_spoken(c, sum));
		diag_add_note(c->diags, g, e->args.v[0]->at, "this is %s", value_spoken(c, sum));
		return value_bad();
	}
	return value_checked(c, e, quant_add(sum.q, v.q));
}

static value form_sum(ctx *c, const syn_expr *e, const function *f) {
	(void)f;
	value sum = value_bad();
	for (size_t i = 0; i < e->args.n; i++) {
		const syn_expr *arg = e->args.v[i];
		size_t from = 0;
		pieces p = pieces_of(c, arg, &from);
		for (size_t k = 0; k < (p.n ? p.n : 1); k++) {
			value piece = {.kind = VALUE_PART, .part = p.n ? p.v[k] : NULL};
			value v = p.n ? eval_members(c, arg, from, piece) : eval(c, arg);
			sum = add_up(c, e, arg, sum, v, i == 0 && k == 0);
			if (sum.kind == VALUE_BAD) return sum;
		}
	}
	return sum;
}

/* ---- all of them --------------------------------------------------------------------------------- */

#define MANY 99
static const function FUNCTIONS[] = {
	{"min", 1, MANY, "at least one argument", call_extreme, NULL},
	{"max", 1, MANY, "at least one argument", call_extreme, NULL},
	{"sum", 1, MANY, "at least one argument", NULL, form_sum},
	{"count", 1, MANY, "at least one argument", NULL, form_count},
	{"all", 1, MANY, "at least one condition", NULL, form_conditions},
	{"any", 1, MANY, "at least one condition", NULL, form_conditions},
	{"not", 1, 1, "one condition", NULL, form_not},
	{"abs", 1, 1, "one argument", call_abs, NULL},
	{"sqrt", 1, 1, "one argument", call_sqrt, NULL},
	{"hypot", 2, 2, "the two sides at the right angle", call_hypot, NULL},
	{"round", 1, 2, "a value and a step", call_step, NULL},
	{"ceil", 1, 2, "a value and a step", call_step, NULL},
	{"floor", 1, 2, "a value and a step", call_step, NULL},
	{"sin", 1, 1, "one angle", call_sine, NULL},
	{"cos", 1, 1, "one angle", call_sine, NULL},
	{"tan", 1, 1, "one angle", call_tan, NULL},
	{"asin", 1, 1, "one number", call_arc, NULL},
	{"acos", 1, 1, "one number", call_arc, NULL},
	{"atan", 1, 1, "one number", call_arc, NULL},
	{"atan2", 2, 2, "the side across from the angle and the side along it", call_atan2, NULL},
};
enum { N_FUNCTIONS = sizeof FUNCTIONS / sizeof *FUNCTIONS };

static const function *function_called(ctx *c, const syn_expr *e) {
	const char *known[N_FUNCTIONS];
	for (size_t i = 0; i < N_FUNCTIONS; i++) {
		known[i] = FUNCTIONS[i].name;
		if (text_same(FUNCTIONS[i].name, e->text)) return &FUNCTIONS[i];
	}
	diag *g = diag_error(c->diags, "plan-unknown-function", e->text_at, "there is no function `%s`", e->text);
	diag_add_choice(c->diags, g, e->text, known, N_FUNCTIONS, "there are");
	return NULL;
}

/* The arguments of a function that takes quantities; those of several are of one dimension, except a step. */
static bool quantities(ctx *c, const syn_expr *e, const function *f, quant *q) {
	for (size_t i = 0; i < e->args.n; i++) {
		value v = eval(c, e->args.v[i]);
		if (v.kind == VALUE_BAD) return false;
		if (v.kind != VALUE_QUANT) {
			diag *g = diag_error(c->diags, "plan-value", e->args.v[i]->at,
					     "`%s` wants quantities, but this is %s", e->text, value_spoken(c, v));
			value_help(c, g, e->args.v[i], v);
			return false;
		}
		q[i] = v.q;
		if (i == 0 || f->of == call_step) continue;
		value_as_money(&q[0], &q[i]);
		if (dim_same(q[0].dim, q[i].dim)) continue;
		diag *g = diag_error(c->diags, "plan-dimension", e->args.v[i]->at,
				     f->of == call_extreme ? "%s cannot be compared with %s" : "%s does not go with %s",
				     value_spoken(c, v), dim_spoken(c->mem, q[0].dim));
		diag_add_note(c->diags, g, e->args.v[0]->at, "this is %s", dim_spoken(c->mem, q[0].dim));
		return false;
	}
	return true;
}

value eval_call(ctx *c, const syn_expr *e) {
	const function *f = function_called(c, e);
	if (!f) return value_bad();
	if (e->args.n < f->least || e->args.n > f->most) {
		diag_error(c->diags, "plan-arguments", e->at, "`%s` takes %s", e->text, f->takes);
		return value_bad();
	}
	if (f->form) return f->form(c, e, f);
	quant q[MANY];
	return quantities(c, e, f, q) ? f->of(c, e, f, q) : value_bad();
}
