/* Expressions with a kind asked for: a length, a part, a face; and the words that stand for themselves. */
#include <math.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

const char *expr_source(ctx *c, const syn_expr *e) {
	const source_file *f = &c->sources->files.v[e->at.file];
	size_t start = e->at.start < f->size ? e->at.start : f->size, end = e->at.end < f->size ? e->at.end : f->size;
	return arena_textn(c->mem, f->text + start, end > start ? end - start : 0);
}

const char *expr_word(const syn_expr *e) {
	return e && e->kind == SYN_NAME && e->names.n == 1 && !e->names.v[0].index ? e->names.v[0].v : NULL;
}

int eval_choice(ctx *c, const syn_expr *e, const char *const *words, size_t n, const char *what) {
	const char *word = expr_word(e);
	for (size_t i = 0; i < n; i++)
		if (text_same(word, words[i])) return (int)i;
	if (e->kind == SYN_BAD) return -1;
	diag *g = diag_error(c->diags, "plan-value", e->at, "there is no %s `%s`", what, expr_source(c, e));
	diag_add_choice(c->diags, g, word ? word : "", words, n, "one of");
	return -1;
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

/* ---- with a kind asked for ---------------------------------------------------------------------- */

/* Where the named values of an expression come from: the fault is most often there. */
static bool note_lets(ctx *c, diag *g, const syn_expr *e) {
	if (!e) return false;
	if (e->kind == SYN_BINARY || e->kind == SYN_NEGATE) {
		bool a = note_lets(c, g, e->a);
		return note_lets(c, g, e->kind == SYN_BINARY ? e->b : NULL) || a;
	}
	const sym *s = expr_word(e) ? names_find(c, expr_word(e)) : NULL;
	if (!s || s->kind != SYM_LET) return false;
	diag_add_note(c->diags, g, ((const let_def *)s->def)->value->at, "`%s` gets its value here", s->name);
	return true;
}

const syn_expr *let_behind(ctx *c, const syn_expr *e) {
	const sym *s = expr_word(e) ? names_find(c, expr_word(e)) : NULL;
	return s && s->kind == SYM_LET ? ((const let_def *)s->def)->value : e;
}

/* A named value that was put between quotes: told at the value, once, wherever it is used. */
static bool let_is_text(ctx *c, const syn_expr *e, dim wanted) {
	const syn_expr *at = let_behind(c, e);
	if (at == e) return false;
	diag *g = diag_error(c->diags, "plan-value", at->at, "`%s` is a text, but %s is wanted of it", expr_word(e),
			     dim_spoken(c->mem, wanted));
	if (g->notes.n == 0) diag_add_note(c->diags, g, e->at, "it is used here");
	if (!g->help && at->kind == SYN_TEXT)
		diag_add_help(c->diags, g, "a quantity stands without quotes: %s", at->text);
	return true;
}

/* A named value without its unit: told at the value, once, wherever it is used. */
static bool let_lacks_unit(ctx *c, const syn_expr *e, dim wanted) {
	const syn_expr *at = let_behind(c, e);
	if (at == e || at->kind != SYN_QUANT) return false;
	diag *g = diag_error(c->diags, "plan-dimension", at->at, "`%s` is a number, but %s is wanted of it",
			     expr_word(e), dim_spoken(c->mem, wanted));
	if (g->notes.n == 0) diag_add_note(c->diags, g, e->at, "it is used here");
	if (!g->help)
		diag_add_help(c->diags, g, "give the number a unit: `%s mm` or `%s in`", expr_source(c, at),
			      expr_source(c, at));
	return true;
}

/* A unit that a plan may write for that dimension; NULL: lengths have theirs, others are rare. */
static const char *unit_of(dim d, measures m) {
	static const struct {
		dim dim;
		const char *unit[2];
	} UNITS[] = {{{2, 0, 0, 0, 0, 0}, {"m2", "ft2"}},	 {{3, 0, 0, 0, 0, 0}, {"m3", "ft3"}},
		     {{3, 0, -1, 0, 0, 0}, {"m3/h", "cfm"}},	 {{1, 0, -1, 0, 0, 0}, {"m/s", "ft/min"}},
		     {{-1, 1, -2, 0, 0, 0}, {"Pa", "in.wg"}},	 {{0, 1, 0, 0, 0, 0}, {"kg", "lb"}},
		     {{-3, 1, 0, 0, 0, 0}, {"kg/m3", "lb/ft3"}}, {{0, 0, 1, 0, 0, 0}, {"min", "min"}},
		     {{2, 1, -3, 0, 0, 0}, {"kW", "hp"}},	 {{0, 0, 0, 0, 1, 0}, {"deg", "deg"}},
		     {{0, 0, 0, 1, 0, 0}, {"degC", "degF"}},	 {{0, 1, -1, 0, 0, 0}, {"g/h", "g/h"}}};
	for (size_t i = 0; i < sizeof UNITS / sizeof *UNITS; i++)
		if (dim_same(UNITS[i].dim, d)) return UNITS[i].unit[m == MEASURES_INCH];
	return NULL;
}

/* A quantity of another kind, written out: `900 cm` for an area lacks the 2; else the unit is a slip of its own. */
static void other_unit(ctx *c, diag *g, const syn_expr *e, dim is, dim wanted) {
	const char *said = expr_source(c, e), *unit = unit_of(wanted, c->m->measures);
	bool area = dim_same(wanted, DIM_AREA), volume = dim_same(wanted, DIM_VOLUME);
	if (dim_same(is, DIM_LENGTH) && (area || volume))
		diag_add_help(c->diags, g, "did you mean `%s%d`?", said, area ? 2 : 3);
	else if (dim_same(wanted, DIM_LENGTH))
		diag_add_help(c->diags, g, "a length has a unit such as `mm` or `in`");
	else if (unit)
		diag_add_help(c->diags, g, "it has a unit such as `%s`", unit);
}

bool eval_quant(ctx *c, const syn_expr *e, dim wanted, quant *out) {
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) return false;
	if (v.kind == VALUE_QUANT && dim_same(v.q.dim, wanted)) {
		*out = v.q;
		return true;
	}
	if (v.kind == VALUE_TEXT && let_is_text(c, e, wanted)) return false;
	bool number = v.kind == VALUE_QUANT && dim_same(v.q.dim, DIM_NUMBER) && dim_same(wanted, DIM_LENGTH);
	if (number && let_lacks_unit(c, e, wanted)) return false;
	diag *g = diag_error(c->diags, "plan-dimension", e->at, "%s belongs here, but this is %s",
			     dim_spoken(c->mem, wanted), value_spoken(c, v));
	if (!note_lets(c, g, e) && number)
		diag_add_help(c->diags, g, "give the number a unit: `%s mm` or `%s in`", expr_source(c, e),
			      expr_source(c, e));
	const char *unit =
		v.kind == VALUE_QUANT && dim_same(v.q.dim, DIM_NUMBER) ? unit_of(wanted, c->m->measures) : NULL;
	if (unit && !g->help && e->kind == SYN_QUANT)
		diag_add_help(c->diags, g, "give the number a unit, such as `%s %s`", expr_source(c, e), unit);
	if (v.kind == VALUE_QUANT && !g->help && e->kind == SYN_QUANT && !dim_same(v.q.dim, DIM_NUMBER))
		other_unit(c, g, e, v.q.dim, wanted);
	if (v.kind == VALUE_PART && dim_same(wanted, DIM_LENGTH))
		diag_add_help(c->diags, g, "name one of its faces or sizes, such as `%s.right` or `%s.width`",
			      expr_source(c, e), expr_source(c, e));
	return false;
}

bool eval_length(ctx *c, const syn_expr *e, rat *mm) {
	quant q;
	if (!eval_quant(c, e, DIM_LENGTH, &q)) return false;
	q = value_settled(q);
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
	diag *g = diag_error(c->diags, "plan-count", e->at,
			     "a whole number from %lld to %lld belongs here, but this is %s", (long long)least,
			     (long long)most, model_show(c->m, q));
	note_lets(c, g, e);
	return false;
}

bool eval_money(ctx *c, const syn_expr *e, int64_t *cents) {
	quant q;
	value v = eval(c, e);
	if (v.kind == VALUE_BAD) return false;
	if (v.kind != VALUE_QUANT || (!dim_same(v.q.dim, DIM_NUMBER) && !dim_same(v.q.dim, DIM_MONEY))) {
		diag *g = diag_error(c->diags, "plan-dimension", e->at,
				     "an amount of money belongs here, but this is %s", value_spoken(c, v));
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

static void wrong_thing(ctx *c, const syn_expr *e, const char *wanted, value v) {
	diag_error(c->diags, "plan-value", e->at, "%s belongs here, but this is %s", wanted, value_spoken(c, v));
}

part_def *eval_place(ctx *c, const syn_expr *e) {
	if (e->kind == SYN_NAME && e->names.n == 1 && !names_find(c, e->names.v[0].v)) {
		names_unknown(c, e->names.v[0].v, e->at, "a part belongs here", NAMES_PART);
		return NULL;
	}
	value v = eval(c, e);
	if (v.kind == VALUE_PART || v.kind == VALUE_PLACE) return v.part;
	if (v.kind != VALUE_BAD) wrong_thing(c, e, "a part", v);
	return NULL;
}

part_def *eval_part(ctx *c, const syn_expr *e) {
	part_def *p = eval_place(c, e);
	if (!p || !p->is_set) return p;
	diag *g =
		diag_error(c->diags, "plan-value", e->at, "a part belongs here, but `%s` is something placed", p->name);
	if (span_known(p->at)) diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
	diag_add_help(c->diags, g, "name a part that stands in it: `%s.PART`", expr_source(c, e));
	return NULL;
}

stock_def *eval_stock(ctx *c, const syn_expr *e, unsigned kinds_mask, const char *what) {
	const char *word = expr_word(e);
	if (word && !names_find(c, word)) {
		names_unknown(c, word, e->at, arena_printf(c->mem, "%s belongs here", what),
			      (names_wanted){1u << SYM_STOCK, kinds_mask});
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
	const sym *s = word ? names_find(c, word) : NULL;
	const syn_expr *given = s && s->kind == SYM_STOCK ? assembly_given(c, s) : NULL;
	if (given) { /* told once, where the stock was given, not where each part takes it */
		inst *before = inst_enter(c, s->in->place->in);
		diag *told = diag_error(c->diags, "plan-stock-kind", given->at, "`%s` takes %s, but `%s` is of kind %s",
					word, what, v.stock->name, MODEL_STOCK_WORD[kind]);
		inst_enter(c, before);
		if (told->notes.n) return NULL;
		diag_add_note(c->diags, told, v.stock->at, "`%s` is here", v.stock->name);
		diag_add_note(c->diags, told, e->at, "it is used here");
		return NULL;
	}
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

bool expr_face(ctx *c, const syn_expr *e, part_def **part, face *f) {
	size_t last = e && e->kind == SYN_NAME ? e->names.n - 1 : 0;
	named n;
	if (!last || e->names.v[last].index || !word_face(e->names.v[last].v, f)) return false;
	if (!names_find(c, e->names.v[0].v) || !names_walk(c, e, &n) || n.used != last) return false;
	if (n.s->kind != SYM_PART && n.s->kind != SYM_PLACE && n.s->kind != SYM_SERIES) return false;
	value v = named_value(c, &n, e->at);
	*part = v.part;
	return v.kind == VALUE_PART || v.kind == VALUE_PLACE;
}

static bool is_part(ctx *c, const syn_expr *e) {
	const sym *s = expr_word(e) ? names_find(c, expr_word(e)) : NULL;
	return s && s->kind == SYM_PART;
}

/* The expression is none: what it is, and how a face is written. */
static void report_no_face(ctx *c, const syn_expr *e, const named *n) {
	face f;
	diag *g = diag_error(c->diags, "plan-face", e->at, "a face of a part belongs here");
	const syn_word *w = n ? &e->names.v[e->names.n - 1] : NULL;
	const char *near = w && !word_face(w->v, &f) ? text_nearest(w->v, FACE_NAME, 6) : NULL;
	span front_at = e->at;
	if (w) front_at.end = w->at.start;
	const char *front = expr_source(c, &(syn_expr){.kind = SYN_NAME, .at = front_at});
	if (w && n->used == e->names.n && word_face(w->v, &f) && n->s->in != c->in) {
		diag_add_note(c->diags, g, n->s->at, "`%s` is %s that stands in it", w->v, SYM_SPOKEN[n->s->kind]);
		diag_add_help(c->diags, g, "the face of the whole is written `%swhole.%s`", front, w->v);
	} else if (near) {
		diag_add_help(c->diags, g, "did you mean `%s%s`?", front, near);
	} else {
		diag_add_help(
			c->diags, g,
			"write part.face, such as `%s.front`; the faces are left, right, front, back, bottom, top",
			w		? e->names.v[0].v
			: is_part(c, e) ? expr_word(e)
					: "left");
	}
}

bool eval_face(ctx *c, const syn_expr *e, part_def **part, face *f) {
	/* Read from the form, so that asking which face it is needs no position. */
	size_t told = c->diags->all.n;
	if (expr_face(c, e, part, f)) return true;
	if (e->kind == SYN_BAD || c->diags->all.n > told) return false;
	bool chain = e->kind == SYN_NAME && e->names.n > 1;
	named n;
	if (chain && !names_find(c, e->names.v[0].v)) {
		names_unknown(c, e->names.v[0].v, e->names.v[0].at, "a part belongs here", NAMES_PART);
		return false;
	}
	if (chain && !names_walk(c, e, &n)) return false;
	if (chain && n.s->kind == SYM_EXTRA) {
		named_value(c, &n, e->at); /* says why it has none */
		return false;
	}
	report_no_face(c, e, chain ? &n : NULL);
	return false;
}
