/* Expressions: names, members, arithmetic with dimensions. */
#include <math.h>
#include <string.h>

#include "compiler/context.h"
#include "runtime/base/text.h"

enum { DEEPEST = 400, MICROMETRE_STEPS = 1000 };

static value bad(void) { return (value){.kind = VALUE_BAD}; }
static value of_quant(quant q) { return (value){.kind = VALUE_QUANT, .q = q}; }

const char *expr_source(ctx *c, const syn_expr *e) {
	const source_file *f = &c->sources->files.v[e->at.file];
	size_t start = e->at.start < f->size ? e->at.start : f->size, end = e->at.end < f->size ? e->at.end : f->size;
	return arena_textn(c->mem, f->text + start, end > start ? end - start : 0);
}

const char *expr_word(const syn_expr *e) {
	return e && e->kind == SYN_NAME && e->names.n == 1 ? e->names.v[0].v : NULL;
}

bool word_axis(const char *word, axis *out) {
	for (int i = 0; i < 3; i++) {
		if (!text_same(word, AXIS_SPOKEN[i])) continue;
		*out = (axis)i;
		return true;
	}
	return false;
}

bool word_face(const char *word, face *out) {
	for (int i = 0; i < 6; i++) {
		if (!text_same(word, FACE_NAME[i])) continue;
		*out = (face)i;
		return true;
	}
	return false;
}

bool eval_axis(ctx *c, const syn_expr *e, axis *out) {
	if (word_axis(expr_word(e), out)) return true;
	if (e->kind == SYN_BAD) return false;
	diag *g = diag_error(c->diags, "plan-direction", e->at, "a direction belongs here");
	diag_add_help(c->diags, g, "one of: width, depth, height");
	return false;
}

bool eval_side(ctx *c, const syn_expr *e, face *out) {
	if (word_face(expr_word(e), out)) return true;
	if (e->kind == SYN_BAD) return false;
	diag *g = diag_error(c->diags, "plan-face", e->at, "the name of a face belongs here");
	diag_add_help(c->diags, g, "one of: left, right, front, back, bottom, top");
	return false;
}

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

/* ---- names ----------------------------------------------------------------------------------- */

static bool in_range(ctx *c, let_def *d, const syn_expr *bound, bool least) {
	quant q;
	if (!bound || !eval_quant(c, bound, d->result.dim, &q)) return true;
	int order = quant_cmp(d->result, q);
	if (least ? order >= 0 : order <= 0) return true;
	diag *g = diag_error(c->diags, "plan-range", d->value->at, "%s is %s, %s %s", d->name,
			     quant_show(c->mem, d->result, c->m->measures),
			     least ? "less than the least," : "more than the most,",
			     quant_show(c->mem, q, c->m->measures));
	diag_add_note(c->diags, g, bound->at, "the range is given here");
	return false;
}

/* A value of another kind than its range is most often a forgotten unit: told at the value, once. */
static bool range_of_kind(ctx *c, let_def *d) {
	const syn_expr *bound = line_arg(d->line, "from", 0);
	if (!bound) bound = line_arg(d->line, "to", 0);
	value v = bound ? eval(c, bound) : bad();
	if (v.kind != VALUE_QUANT || dim_same(v.q.dim, d->result.dim)) return v.kind == VALUE_QUANT;
	diag *g = diag_error(c->diags, "plan-dimension", d->value->at, "`%s` is %s, but its range is given as %s",
			     d->name, dim_spoken(c->mem, d->result.dim), dim_spoken(c->mem, v.q.dim));
	diag_add_note(c->diags, g, bound->at, "the range begins here");
	if (dim_same(d->result.dim, DIM_NUMBER)) diag_add_help(c->diags, g, "give the value a unit, as the range has");
	d->bad = true;
	return false;
}

/* What `--set` gives must be of the kind that the plan has there. */
static void same_kind(ctx *c, let_def *d) {
	const syn_expr *written = line_arg(d->line, "=", 0);
	value v = written ? eval(c, written) : bad();
	if (v.kind != VALUE_QUANT || dim_same(v.q.dim, d->result.dim)) return;
	diag *g = diag_error(c->diags, "plan-dimension", d->value->at, "`%s` is %s in the plan, but --set gives %s",
			     d->name, dim_spoken(c->mem, v.q.dim), dim_spoken(c->mem, d->result.dim));
	diag_add_note(c->diags, g, written->at, "the plan's own value");
	if (dim_same(v.q.dim, DIM_LENGTH) && dim_same(d->result.dim, DIM_NUMBER))
		diag_add_help(c->diags, g, "give the number a unit: --set %s=%smm", d->name, expr_source(c, d->value));
	d->bad = true;
}

static value let_value(ctx *c, let_def *d, span at) {
	if (d->done) return d->bad ? bad() : of_quant(d->result);
	busy b;
	if (!busy_enter(c, &b, d, d->name, at)) {
		d->done = d->bad = true;
		return bad();
	}
	value v = eval(c, d->value);
	bool was_done = d->done; /* a circle marked it meanwhile */
	if (v.kind != VALUE_QUANT && v.kind != VALUE_BAD)
		diag_error(c->diags, "plan-value", d->value->at, "`%s` wants a number or a quantity", d->name);
	d->bad = was_done || v.kind != VALUE_QUANT;
	d->result = v.q;
	if (d->overridden && !d->bad) same_kind(c, d);
	d->done = true;
	busy_leave(c, &b);
	if (!d->bad && range_of_kind(c, d)) {
		in_range(c, d, line_arg(d->line, "from", 0), true);
		in_range(c, d, line_arg(d->line, "to", 0), false);
	}
	return d->bad ? bad() : of_quant(d->result);
}

static value symbol_value(ctx *c, const sym *s, span at) {
	switch (s->kind) {
	case SYM_LET:
		return let_value(c, s->def, at);
	case SYM_STOCK:
		return (value){.kind = VALUE_STOCK, .stock = s->def};
	case SYM_PART:
		return (value){.kind = VALUE_PART, .part = s->def};
	case SYM_PATTERN:
		return (value){.kind = VALUE_PATTERN, .pattern = s->def};
	case SYM_TOOL:
		return (value){.kind = VALUE_TOOL, .tool = s->def};
	case SYM_SPACE:
		return (value){.kind = VALUE_SPACE, .row = (model_ref)(uintptr_t)s->def};
	case SYM_AIR:
		return (value){.kind = VALUE_AIR, .air = s->def};
	case SYM_KIND_COUNT:
		break;
	}
	return bad();
}

static value no_member(ctx *c, const syn_word *w, const char *of, const char *const *known, size_t n) {
	diag *g = diag_error(c->diags, "plan-member", w->at, "%s has no `%s`", of, w->v);
	const char *near = text_nearest(w->v, known, n);
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
		return bad();
	}
	textbuf t = textbuf_begin(c->mem);
	for (size_t i = 0; i < n; i++) textbuf_printf(&t, "%s%s", i ? ", " : "", known[i]);
	diag_add_help(c->diags, g, "it has: %s", t.v);
	return bad();
}

static value part_member(ctx *c, part_def *p, const syn_word *w, span at) {
	static const char *const KNOWN[] = {"left", "right", "front", "back",	"bottom",
					    "top",  "width", "depth", "height", "thick"};
	face f;
	axis a;
	rat mm;
	if (word_face(w->v, &f)) {
		if (!part_face_value(c, p, f, at, &mm)) return bad();
		value v = of_quant(quant_length(mm));
		v.is_face = true;
		v.part = p;
		v.face = f;
		return v;
	}
	bool size = word_axis(w->v, &a);
	if (!size && text_same(w->v, "thick")) {
		if (!part_structure(c, p)) return bad();
		a = p->thick_axis;
		size = true;
	}
	if (size) {
		rat lo, hi;
		if (!part_face_value(c, p, face_of(a, false), at, &lo) ||
		    !part_face_value(c, p, face_of(a, true), at, &hi))
			return bad();
		return of_quant(quant_length(rat_sub(hi, lo)));
	}
	static const char *const AIR[] = {"flow", "speed", "face", "loss", "area"};
	for (size_t i = 0; i < sizeof AIR / sizeof *AIR && !c->air_solved; i++) {
		if (!text_same(w->v, AIR[i])) continue;
		diag *g = diag_error(c->diags, "plan-too-early", w->at, "`%s.%s` is known only when the air is solved",
				     p->name, w->v);
		diag_add_help(c->diags, g, "use it in `require`");
		return bad();
	}
	return no_member(c, w, arena_printf(c->mem, "the part `%s`", p->name), KNOWN, sizeof KNOWN / sizeof *KNOWN);
}

static value pattern_member(ctx *c, pattern_def *p, const syn_word *w) {
	static const char *const KNOWN[] = {"count", "area"};
	if (!c->parts_done || !p->done) {
		diag_error(c->diags, "plan-too-early", w->at,
			   "`%s.%s` is known only when all parts stand; it can be used in `require`", p->name, w->v);
		return bad();
	}
	if (p->bad) return bad();
	const model_pattern *m = &c->m->patterns.v[p->row];
	if (text_same(w->v, "count")) return of_quant(quant_number(rat_int((int64_t)m->axes.n)));
	if (text_same(w->v, "area")) {
		double mm2 = m->sheets.n ? model_shape_area_mm2(&m->sheets.v[0].shape) * (double)m->axes.n : 0;
		return of_quant(quant_inexact(DIM_AREA, mm2));
	}
	return no_member(c, w, arena_printf(c->mem, "`%s`", p->name), KNOWN, sizeof KNOWN / sizeof *KNOWN);
}

static value eval_name(ctx *c, const syn_expr *e) {
	const syn_word *first = &e->names.v[0];
	const sym *s = names_find(&c->names, first->v);
	if (!s) {
		names_unknown(c, first->v, first->at, NULL);
		return bad();
	}
	if (c->air_solved && e->names.n >= 2 && s->kind != SYM_LET && s->kind != SYM_STOCK && s->kind != SYM_TOOL) {
		value v;
		if (air_member(c, e, &v)) return v;
	}
	value v = symbol_value(c, s, e->at);
	for (size_t i = 1; i < e->names.n; i++) {
		const syn_word *w = &e->names.v[i];
		switch (v.kind) {
		case VALUE_BAD:
			return v;
		case VALUE_PART:
			v = part_member(c, v.part, w, e->at);
			break;
		case VALUE_STOCK: {
			value m;
			v = stock_member(c, v.stock, w->v, w->at, &m) ? m : bad();
			break;
		}
		case VALUE_PATTERN:
			v = pattern_member(c, v.pattern, w);
			break;
		default:
			diag_error(c->diags, "plan-member", w->at, "`%s` has no members", e->names.v[i - 1].v);
			return bad();
		}
	}
	return v;
}

/* ---- arithmetic --------------------------------------------------------------------------------- */

static const char *spoken(ctx *c, value v) {
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
	case VALUE_BAD:
		break;
	}
	return "nothing";
}

/* A length that no longer fits its exact fraction is told once, here. */
static value checked(ctx *c, const syn_expr *e, quant q) {
	if (dim_same(q.dim, DIM_LENGTH) && !isfinite(q.d)) {
		diag_error(c->diags, "plan-overflow", e->at,
			   "this length does not fit an exact fraction (64-bit numerator and denominator)");
		return bad();
	}
	if (!isfinite(q.d)) {
		diag_error(c->diags, "plan-overflow", e->at, "this value is too large");
		return bad();
	}
	return of_quant(q);
}

static bool both_quants(ctx *c, const syn_expr *e, value a, value b) {
	if (a.kind == VALUE_BAD || b.kind == VALUE_BAD) return false;
	if (a.kind == VALUE_QUANT && b.kind == VALUE_QUANT) return true;
	const syn_expr *wrong = a.kind != VALUE_QUANT ? e->a : e->b;
	value v = a.kind != VALUE_QUANT ? a : b;
	diag *g = diag_error(c->diags, "plan-value", wrong->at, "`%s` wants quantities, but this is %s", e->op,
			     spoken(c, v));
	if (v.kind == VALUE_PART)
		diag_add_help(c->diags, g, "name one of its faces or sizes, such as `%s.right` or `%s.width`",
			      v.part->name, v.part->name);
	return false;
}

static value eval_binary(ctx *c, const syn_expr *e) {
	value a = eval(c, e->a), b = eval(c, e->b);
	if (!both_quants(c, e, a, b)) return bad();
	char op = e->op[0];
	if (op == '*') return checked(c, e, quant_mul(a.q, b.q));
	if (op == '/') {
		if (b.q.d == 0) {
			diag_error(c->diags, "plan-division", e->b->at, "this is zero; nothing can be divided by it");
			return bad();
		}
		return checked(c, e, quant_div(a.q, b.q));
	}
	if (op != '+' && op != '-') {
		diag *g = diag_error(c->diags, "plan-comparison", e->op_at, "a comparison has no value of its own");
		diag_add_help(c->diags, g, "comparisons stand in `require`");
		return bad();
	}
	if (!dim_same(a.q.dim, b.q.dim)) {
		diag *g = diag_error(c->diags, "plan-dimension", e->op_at, "%s and %s cannot be %s", spoken(c, a),
				     spoken(c, b), op == '+' ? "added" : "subtracted");
		diag_add_note(c->diags, g, e->a->at, "this is %s", spoken(c, a));
		diag_add_note(c->diags, g, e->b->at, "this is %s", spoken(c, b));
		bool bare = (dim_same(a.q.dim, DIM_NUMBER) && dim_same(b.q.dim, DIM_LENGTH)) ||
			    (dim_same(b.q.dim, DIM_NUMBER) && dim_same(a.q.dim, DIM_LENGTH));
		if (bare) diag_add_help(c->diags, g, "give the plain number a unit, such as `mm` or `in`");
		return bad();
	}
	return checked(c, e, op == '+' ? quant_add(a.q, b.q) : quant_sub(a.q, b.q));
}

/* Lengths out of roots and steps are rounded to the micrometre, so that every length stays exact. */
static quant settle_length(quant q) {
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
		return bad();
	}
	dim half = {(int8_t)(d.length / 2), (int8_t)(d.mass / 2),  (int8_t)(d.time / 2),
		    (int8_t)(d.temp / 2),   (int8_t)(d.angle / 2), (int8_t)(d.money / 2)};
	return checked(c, e, settle_length(quant_inexact(half, sqrt(q.d))));
}

static value call_round(ctx *c, const syn_expr *e, char how, quant q, quant step) {
	if (!dim_same(q.dim, step.dim)) {
		diag_error(c->diags, "plan-dimension", e->args.v[1]->at, "%s cannot be rounded to steps of %s",
			   dim_spoken(c->mem, q.dim), dim_spoken(c->mem, step.dim));
		return bad();
	}
	if (step.d <= 0) {
		diag_error(c->diags, "plan-value", e->args.n > 1 ? e->args.v[1]->at : e->at,
			   "the step must be more than nothing");
		return bad();
	}
	if (quant_is_exact(q) && quant_is_exact(step)) {
		rat n = rat_div(q.r, step.r);
		rat whole = how == 'r' ? rat_round(n, 1) : rat_int(how == 'c' ? rat_ceil(n) : rat_floor(n));
		return checked(c, e, quant_exact(q.dim, rat_mul(whole, step.r)));
	}
	double n = q.d / step.d;
	double whole = how == 'r' ? round(n) : how == 'c' ? ceil(n) : floor(n);
	return checked(c, e, settle_length(quant_inexact(q.dim, whole * step.d)));
}

static value eval_call(ctx *c, const syn_expr *e) {
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
		return bad();
	}
	if (e->args.n < F[which].least || e->args.n > F[which].most) {
		diag_error(c->diags, "plan-arguments", e->at, "`%s` takes %s", e->text,
			   F[which].most == 1	? "one argument"
			   : F[which].most == 2 ? "a value and a step"
						: "at least one argument");
		return bad();
	}
	quant first = {0};
	for (size_t i = 0; i < e->args.n; i++) {
		value v = eval(c, e->args.v[i]);
		if (v.kind == VALUE_BAD) return bad();
		if (v.kind != VALUE_QUANT) {
			diag_error(c->diags, "plan-value", e->args.v[i]->at, "`%s` wants quantities, but this is %s",
				   e->text, spoken(c, v));
			return bad();
		}
		if (i == 0) {
			first = v.q;
			continue;
		}
		if (which > 1) return call_round(c, e, e->text[0], first, v.q);
		if (!dim_same(first.dim, v.q.dim)) {
			diag *g = diag_error(c->diags, "plan-dimension", e->args.v[i]->at,
					     "%s cannot be compared with %s", spoken(c, v),
					     dim_spoken(c->mem, first.dim));
			diag_add_note(c->diags, g, e->args.v[0]->at, "this is %s", dim_spoken(c->mem, first.dim));
			return bad();
		}
		int order = quant_cmp(v.q, first);
		if (which == 0 ? order < 0 : order > 0) first = v.q;
	}
	if (which <= 1) return of_quant(first);
	if (which == 2) return of_quant(first.d < 0 ? quant_neg(first) : first);
	if (which == 3) return call_sqrt(c, e, first);
	if (!dim_same(first.dim, DIM_NUMBER)) {
		diag *g = diag_error(c->diags, "plan-arguments", e->at, "`%s` of %s wants a step", e->text,
				     spoken(c, of_quant(first)));
		diag_add_help(c->diags, g, "for example: %s(%s, 5 mm)", e->text, expr_source(c, e->args.v[0]));
		return bad();
	}
	return call_round(c, e, e->text[0], first, quant_number(rat_int(1)));
}

static value eval_inner(ctx *c, const syn_expr *e) {
	switch (e->kind) {
	case SYN_BAD:
		return bad();
	case SYN_QUANT:
		return of_quant(e->value);
	case SYN_TEXT:
		return (value){.kind = VALUE_TEXT, .text = e->text};
	case SYN_NAME:
		return eval_name(c, e);
	case SYN_CALL:
		return eval_call(c, e);
	case SYN_PAIR: {
		value v = {.kind = VALUE_PAIR};
		value a = eval(c, e->a), b = eval(c, e->b);
		if (!both_quants(c, &(syn_expr){.op = "(…, …)", .a = e->a, .b = e->b}, a, b)) return bad();
		v.q = a.q;
		v.second = b.q;
		return v;
	}
	case SYN_NEGATE: {
		value v = eval(c, e->a);
		if (v.kind == VALUE_BAD) return v;
		if (v.kind != VALUE_QUANT) {
			diag_error(c->diags, "plan-value", e->a->at, "`-` wants a quantity, but this is %s",
				   spoken(c, v));
			return bad();
		}
		return of_quant(quant_neg(v.q));
	}
	case SYN_BINARY:
		return eval_binary(c, e);
	}
	return bad();
}

value eval(ctx *c, const syn_expr *e) {
	if (c->depth > DEEPEST) {
		diag_error(c->diags, "plan-deep", e->at, "this is nested too deeply");
		return bad();
	}
	c->depth++;
	value v = eval_inner(c, e);
	c->depth--;
	return v;
}

/* ---- with a kind asked for ---------------------------------------------------------------------- */

/* Where the named values of an expression come from: the fault is most often there. */
static bool note_lets(ctx *c, diag *g, const syn_expr *e) {
	if (!e) return false;
	if (e->kind == SYN_BINARY || e->kind == SYN_NEGATE) {
		bool a = note_lets(c, g, e->a);
		return note_lets(c, g, e->kind == SYN_BINARY ? e->b : NULL) || a;
	}
	const sym *s = expr_word(e) ? names_find(&c->names, expr_word(e)) : NULL;
	if (!s || s->kind != SYM_LET) return false;
	diag_add_note(c->diags, g, ((const let_def *)s->def)->value->at, "`%s` gets its value here", s->name);
	return true;
}

bool eval_quant(ctx *c, const syn_expr *e, dim wanted, quant *out) {
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) return false;
	if (v.kind == VALUE_QUANT && dim_same(v.q.dim, wanted)) {
		*out = v.q;
		return true;
	}
	diag *g = diag_error(c->diags, "plan-dimension", e->at, "%s belongs here, but this is %s",
			     dim_spoken(c->mem, wanted), spoken(c, v));
	bool number = v.kind == VALUE_QUANT && dim_same(v.q.dim, DIM_NUMBER) && dim_same(wanted, DIM_LENGTH);
	if (!note_lets(c, g, e) && number)
		diag_add_help(c->diags, g, "give the number a unit: `%s mm` or `%s in`", expr_source(c, e),
			      expr_source(c, e));
	if (v.kind == VALUE_PART && dim_same(wanted, DIM_LENGTH))
		diag_add_help(c->diags, g, "name one of its faces or sizes, such as `%s.right` or `%s.width`",
			      v.part->name, v.part->name);
	return false;
}

bool eval_length(ctx *c, const syn_expr *e, rat *mm) {
	quant q;
	if (!eval_quant(c, e, DIM_LENGTH, &q)) return false;
	q = settle_length(q);
	if (!quant_is_exact(q)) {
		diag_error(c->diags, "plan-overflow", e->at,
			   "this length does not fit an exact fraction (64-bit numerator and denominator)");
		return false;
	}
	/* A kilometre of cabinet is a slip of the pen, and keeps every later sum within 64 bits. */
	if (fabs(q.d) > 1e6) {
		diag_error(c->diags, "plan-overflow", e->at, "this length is more than a kilometre");
		return false;
	}
	*mm = q.r;
	return true;
}

bool eval_si(ctx *c, const syn_expr *e, dim wanted, double *si) {
	quant q;
	if (!eval_quant(c, e, wanted, &q)) return false;
	*si = quant_si(q);
	return true;
}

bool eval_count(ctx *c, const syn_expr *e, int64_t least, int64_t most, int64_t *out) {
	quant q;
	if (!eval_quant(c, e, DIM_NUMBER, &q)) return false;
	bool whole = quant_is_exact(q) && q.r.den == 1;
	if (whole && q.r.num >= least && q.r.num <= most) {
		*out = q.r.num;
		return true;
	}
	diag_error(c->diags, "plan-count", e->at, "a whole number from %lld to %lld belongs here", (long long)least,
		   (long long)most);
	return false;
}

bool eval_money(ctx *c, const syn_expr *e, int64_t *cents) {
	quant q;
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) return false;
	if (v.kind != VALUE_QUANT || (!dim_same(v.q.dim, DIM_NUMBER) && !dim_same(v.q.dim, DIM_MONEY))) {
		diag *g = diag_error(c->diags, "plan-dimension", e->at,
				     "an amount of money belongs here, but this is %s", spoken(c, v));
		diag_add_help(c->diags, g, "write a plain number, such as `price 12.50`");
		return false;
	}
	q = v.q;
	rat r = quant_is_exact(q) ? rat_mul(q.r, rat_int(100)) : rat_poison();
	if (!rat_ok(r) || r.den != 1 || r.num < 0 || r.num > 1000000000000) {
		diag_error(c->diags, "plan-money", e->at, "money is a number from 0 up with at most two decimals");
		return false;
	}
	*cents = r.num;
	return true;
}

const char *eval_text(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_TEXT) return e->text;
	if (e->kind == SYN_BAD) return NULL;
	diag *g = diag_error(c->diags, "plan-value", e->at, "a text belongs here");
	diag_add_help(c->diags, g, "put it between double quotes");
	return NULL;
}

static void wrong_thing(ctx *c, const syn_expr *e, const char *wanted, value v) {
	diag_error(c->diags, "plan-value", e->at, "%s belongs here, but this is %s", wanted, spoken(c, v));
}

part_def *eval_part(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_NAME && e->names.n == 1 && !names_find(&c->names, e->names.v[0].v)) {
		names_unknown(c, e->names.v[0].v, e->at, "a part belongs here");
		return NULL;
	}
	value v = eval(c, e);
	if (v.kind == VALUE_PART) return v.part;
	if (v.kind != VALUE_BAD) wrong_thing(c, e, "a part", v);
	return NULL;
}

stock_def *eval_stock(ctx *c, const syn_expr *e, unsigned kinds_mask, const char *what) {
	const char *word = expr_word(e);
	if (word && !names_find(&c->names, word)) {
		names_unknown(c, word, e->at, arena_printf(c->mem, "%s belongs here", what));
		return NULL;
	}
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) return NULL;
	if (v.kind != VALUE_STOCK) {
		wrong_thing(c, e, what, v);
		return NULL;
	}
	model_stock_kind kind = c->m->stocks.v[v.stock->row].kind;
	if (kinds_mask & 1u << kind) return v.stock;
	diag *g = diag_error(c->diags, "plan-stock-kind", e->at, "%s belongs here, but `%s` is of kind %s", what,
			     v.stock->name, MODEL_STOCK_WORD[kind]);
	diag_add_note(c->diags, g, v.stock->at, "`%s` is here", v.stock->name);
	return NULL;
}

tool_def *eval_tool(ctx *c, const syn_expr *e) {
	value v = eval(c, e);
	if (v.kind == VALUE_TOOL) return v.tool;
	if (v.kind != VALUE_BAD) wrong_thing(c, e, "a tool", v);
	return NULL;
}

bool eval_face(ctx *c, const syn_expr *e, part_def **part, face *f) {
	/* Read from the form, so that asking which face it is needs no position. */
	if (e->kind == SYN_NAME && e->names.n == 2 && word_face(e->names.v[1].v, f)) {
		const sym *s = names_find(&c->names, e->names.v[0].v);
		if (!s) {
			names_unknown(c, e->names.v[0].v, e->names.v[0].at, "a part belongs here");
			return false;
		}
		if (s->kind == SYM_PART) {
			*part = s->def;
			return true;
		}
	}
	if (e->kind == SYN_BAD) return false;
	diag *g = diag_error(c->diags, "plan-face", e->at, "a face of a part belongs here");
	const char *near = e->kind == SYN_NAME && e->names.n == 2 ? text_nearest(e->names.v[1].v, FACE_NAME, 6) : NULL;
	if (near)
		diag_add_help(c->diags, g, "did you mean `%s.%s`?", e->names.v[0].v, near);
	else
		diag_add_help(c->diags, g, "write part.face, such as `left.front`");
	return false;
}
