/* What a name stands for, and named values. Members are in eval_member.c. */
#include <math.h>
#include <string.h>

#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

/* The value that the plan has itself, where another one was given and that one lies in the range. */
static bool own_value(ctx *c, const let_def *d, quant *own) {
	const syn_expr *written = d->overridden || d->taken ? line_arg(d->line, "=", 0) : NULL;
	value v = written ? eval(c, written) : value_bad();
	if (v.kind != VALUE_QUANT || !dim_same(v.q.dim, d->result->q.dim)) return false;
	static const char *const ENDS[] = {"from", "to"};
	for (int i = 0; i < 2; i++) {
		const syn_expr *e = line_arg(d->line, ENDS[i], 0);
		quant q;
		if (e && (!eval_quant(c, e, v.q.dim, &q) || quant_cmp(v.q, q) * (i ? 1 : -1) > 0)) return false;
	}
	*own = v.q;
	return true;
}

/* `400 cm` is shown as 4000 mm: both the figures and the unit are others. */
static bool shown_otherwise(const char *written, const char *shown) {
	size_t a = strspn(written, "0123456789./ "), b = strspn(shown, "0123456789./ ");
	size_t n = strspn(written, "0123456789./");
	bool same_figures = n == strspn(shown, "0123456789./") && strncmp(written, shown, n) == 0;
	return !same_figures && !text_same(written + a, shown + b);
}

/* What lies outside is told once; what follows from it is not: it goes on with a value that may be. */
static bool in_range(ctx *c, let_def *d, const syn_expr *bound, bool least) {
	quant q, held = d->result->q;
	value_as_money(&held, &held);
	if (!bound || !eval_quant(c, bound, held.dim, &q)) return true;
	int order = quant_cmp(held, q);
	if (least ? order >= 0 : order <= 0) return true;
	diag *g =
		diag_error(c->diags, "plan-range", d->value->at, "%s is %s, %s %s", d->name, value_shown(c, *d->result),
			   least ? "less than the least," : "more than the most,", value_shown(c, value_quant(q)));
	diag_add_note(c->diags, g, bound->at, "the range is given here");
	const char *written = expr_source(c, d->value), *shown = value_shown(c, *d->result);
	if (d->value->kind == SYN_QUANT && shown_otherwise(written, shown))
		diag_add_help(c->diags, g, "%s is %s: look at its unit", written, shown);
	if (!own_value(c, d, &d->result->q)) d->result->q = q;
	return false;
}

static const syn_expr *range_of(const let_def *d) {
	const syn_expr *from = d->line ? line_arg(d->line, "from", 0) : NULL;
	return from || !d->line ? from : line_arg(d->line, "to", 0);
}

/* A range whose ends are plain numbers, of a value that has a unit: told at each end. */
static bool range_without_unit(ctx *c, const let_def *d) {
	static const char *const ENDS[] = {"from", "to"};
	bool told = false;
	for (int i = 0; i < 2; i++) {
		const syn_expr *e = line_arg(d->line, ENDS[i], 0);
		if (!e || e->kind != SYN_QUANT || !dim_same(e->value.dim, DIM_NUMBER)) continue;
		diag *g = diag_error(c->diags, "plan-dimension", e->at, "`%s` is %s, but this is a number", d->name,
				     value_spoken(c, *d->result));
		diag_add_note(c->diags, g, d->value->at, "its value");
		diag_add_help(c->diags, g, "give the number a unit, as the value has");
		told = true;
	}
	return told;
}

/* A range that is written from its larger end: nothing lies in it. */
static bool range_turned(ctx *c, const let_def *d) {
	const syn_expr *from = line_arg(d->line, "from", 0), *to = line_arg(d->line, "to", 0);
	quant a, b, held = d->result->q;
	value_as_money(&held, &held);
	if (!from || !to || !eval_quant(c, from, held.dim, &a) || !eval_quant(c, to, held.dim, &b)) return false;
	if (quant_cmp(a, b) <= 0) return false;
	diag *g = diag_error(c->diags, "plan-range", from->at, "this range begins at %s, above its end",
			     value_shown(c, value_quant(a)));
	diag_add_note(c->diags, g, to->at, "it ends at %s", value_shown(c, value_quant(b)));
	diag_add_help(c->diags, g, "write the smaller end first");
	return true;
}

/* A value of another kind than its range is most often a forgotten unit: told at the value, once. */
static bool range_of_kind(ctx *c, let_def *d) {
	const syn_expr *bound = range_of(d);
	value v = bound ? eval(c, bound) : value_bad();
	if (v.kind != VALUE_QUANT || dim_same(v.q.dim, d->result->q.dim)) return v.kind == VALUE_QUANT;
	if (!dim_same(d->result->q.dim, DIM_NUMBER) && range_without_unit(c, d)) {
		d->bad = true;
		return false;
	}
	diag *g = diag_error(c->diags, "plan-dimension", d->value->at, "`%s` is %s, but its range is given as %s",
			     d->name, value_spoken(c, *d->result), dim_spoken(c->mem, v.q.dim));
	diag_add_note(c->diags, g, bound->at, "the range begins here");
	if (dim_same(d->result->q.dim, DIM_NUMBER))
		diag_add_help(c->diags, g, "give the value a unit, as the range has");
	d->bad = true;
	return false;
}

static void no_range(ctx *c, let_def *d) {
	const syn_expr *bound = range_of(d);
	if (!bound) return;
	diag *g = diag_error(c->diags, "plan-range", bound->at, "`%s` is %s, and has no range", d->name,
			     value_spoken(c, *d->result));
	diag_add_note(c->diags, g, d->value->at, "its value is here");
	d->bad = true;
	if (d->result->kind == VALUE_TEXT && d->result->text && strchr("0123456789", d->result->text[0]) &&
	    d->result->text[0]) {
		diag_add_help(c->diags, g, "a quantity is written without quotes: %s", d->result->text);
		return;
	}
	diag_add_help(c->diags, g, "take the range away; who builds it chooses by `--set %s=%s`", d->name,
		      d->result->kind == VALUE_TRUTH ? d->result->truth ? "no" : "yes" : "'\"…\"'");
}

/* What `--set` gives must be of the kind that the plan has there. */
static void same_kind(ctx *c, let_def *d) {
	const syn_expr *written = d->line ? line_arg(d->line, "=", 0) : NULL;
	value v;
	if (!written || !value_guess(c, written, &v)) v = written ? eval(c, written) : value_bad();
	if (v.kind == VALUE_BAD) return;
	bool quants = v.kind == VALUE_QUANT && d->result->kind == VALUE_QUANT;
	if (quants ? dim_same(v.q.dim, d->result->q.dim) : v.kind == d->result->kind) return;
	diag *g = diag_error(c->diags, "plan-dimension", d->value->at, "`%s` is %s %s, but %s %s", d->name,
			     value_spoken(c, v), d->taken ? "as the assembly takes it" : "in the plan",
			     d->taken ? "this is" : "--set gives", value_spoken(c, *d->result));
	diag_add_note(c->diags, g, written->at, d->taken ? "its own value" : "the plan's own value");
	if (quants && dim_same(v.q.dim, DIM_LENGTH) && dim_same(d->result->q.dim, DIM_NUMBER))
		diag_add_help(c->diags, g,
			      d->taken ? "give the number a unit: %s %s mm" : "give the number a unit: --set %s=%smm",
			      d->name, expr_source(c, d->value));
	if (v.kind == VALUE_TRUTH && d->taken) diag_add_help(c->diags, g, "it is `yes` or `no`");
	if (v.kind == VALUE_TRUTH && !d->taken)
		diag_add_help(c->diags, g, "write --set %s=yes or --set %s=no", d->name, d->name);
	d->bad = true;
}

static void ranges(ctx *c, let_def *d) {
	if (d->bad) return;
	if (d->result->kind != VALUE_QUANT) {
		no_range(c, d);
	} else if (d->line && range_of_kind(c, d) && !range_turned(c, d)) { /* a name of a `repeat` has no line */
		bool enough = in_range(c, d, line_arg(d->line, "from", 0), true);
		if (enough) in_range(c, d, line_arg(d->line, "to", 0), false);
	}
}

static value let_value(ctx *c, let_def *d, span at) {
	if (d->done) return d->bad ? value_bad() : *d->result;
	busy b;
	if (!busy_enter(c, &b, d, d->name, at)) {
		d->done = d->bad = true;
		return value_bad();
	}
	c->may_wait = b.waits; /* one that nobody needs yet may lean on what is known last */
	bool others_wait = c->waits;
	c->waits = false;
	inst *before = inst_enter(c, d->value_in);
	value v = eval(c, d->value);
	inst_enter(c, d->in);
	bool was_done = d->done; /* a circle marked it meanwhile */
	bool fits = v.kind == VALUE_QUANT || v.kind == VALUE_TEXT || v.kind == VALUE_TRUTH;
	if (!fits && v.kind != VALUE_BAD) {
		diag *g = diag_error(c->diags, "plan-value", d->value->at,
				     "`%s` wants a quantity, a text, yes or no, but this is %s", d->name,
				     value_spoken(c, v));
		value_help(c, g, d->value, v);
	}
	bool later = v.kind == VALUE_BAD && c->waits && c->may_wait;
	d->bad = was_done || !fits;
	d->result = ARENA_NEW(c->mem, value);
	*d->result = v;
	if ((d->overridden || d->taken) && !d->bad) same_kind(c, d);
	if (d->taken && !d->bad) d->bad = !takes_fits(c, d);
	busy_leave(c, &b);
	d->done = !later;
	if (!d->bad) ranges(c, d);
	c->waits = c->waits || others_wait;
	inst_enter(c, before);
	return d->bad ? value_bad() : *d->result;
}

/* A part, or one piece of several. */
static value part_value(ctx *c, const named *n, span at) {
	part_def *p = n->s->def;
	if (!n->piece_known) return (value){.kind = VALUE_PART, .part = p};
	uint32_t pieces = part_pieces(c, p);
	if (!pieces) return value_bad();
	if (n->piece >= 1 && n->piece <= pieces)
		return (value){.kind = VALUE_PART, .part = part_piece(c, p, (uint32_t)n->piece - 1)};
	diag *g = diag_error(c->diags, "plan-index", at, "there %s %u of `%s`, no number %lld",
			     pieces == 1 ? "is" : "are", pieces, p->name, (long long)n->piece);
	diag_add_note(c->diags, g, p->at, "`%s` is here", p->name);
	if (pieces > 1) diag_add_help(c->diags, g, "they are counted from 1");
	return value_bad();
}

static value place_value(part_def *box) { return (value){.kind = VALUE_PLACE, .part = box}; }

value named_value(ctx *c, const named *n, span at) {
	const sym *s = n->s;
	switch (s->kind) {
	case SYM_LET:
		return let_value(c, s->def, at);
	case SYM_STOCK:
		return (value){.kind = VALUE_STOCK, .stock = s->def};
	case SYM_PART:
		return part_value(c, n, at);
	case SYM_PATTERN:
		return (value){.kind = VALUE_PATTERN, .pattern = s->def};
	case SYM_TOOL:
		return (value){.kind = VALUE_TOOL, .tool = s->def};
	case SYM_SPACE:
		return (value){.kind = VALUE_SPACE, .row = (model_ref)(uintptr_t)s->def};
	case SYM_AIR:
		return (value){.kind = VALUE_AIR, .air = s->def};
	case SYM_PLACE:
		return place_value(n->inst ? inst_box(c, n->inst) : place_box(c, s->def));
	case SYM_SERIES:
		return place_value(series_box(c, s));
	case SYM_ASSEMBLY: {
		diag *g = diag_error(c->diags, "plan-value", at,
				     "`%s` is an assembly; it stands nowhere until it is placed", s->name);
		diag_add_help(c->diags, g, "write: place NAME : %s { … }, and speak of NAME", s->name);
		return value_bad();
	}
	case SYM_EXTRA: {
		diag *g = diag_error(c->diags, "plan-value", at,
				     "`%s` is an extra piece; it stands nowhere in the cabinet", s->name);
		diag_add_note(c->diags, g, s->at, "`%s` is here", s->name);
		diag_add_help(c->diags, g, "a step takes it among its `parts`; elsewhere name a part of the cabinet");
		return value_bad();
	}
	case SYM_CABINET:
		return (value){.kind = VALUE_CABINET};
	case SYM_KIND_COUNT:
		break;
	}
	return value_bad();
}

/* Words that are values of their own; names_add() keeps them free. */
static bool constant(const char *word, value *out) {
	if (text_same(word, "yes") || text_same(word, "no"))
		*out = value_truth(word[0] == 'y');
	else if (text_same(word, "pi"))
		*out = value_quant(quant_inexact(DIM_NUMBER, acos(-1.0)));
	else
		return false;
	return true;
}

value eval_name(ctx *c, const syn_expr *e) {
	const syn_word *first = &e->names.v[0];
	value v;
	named n;
	if (!first->index && constant(first->v, &v)) {
		if (e->names.n == 1) return v;
		diag_error(c->diags, "plan-member", e->names.v[1].at, "`%s` has no members", first->v);
		return value_bad();
	}
	if (!names_walk(c, e, &n)) return value_bad();
	if (air_asked(c, &n, e)) {
		if (!air_words_fit(c, &n, e)) return value_bad();
		if (c->known < KNOWN_AIR && !value_known(c, KNOWN_AIR, e, e->at)) return value_bad();
		if (air_member(c, e, &n, &v)) return v;
		if (c->air_failed) return value_bad(); /* a way that was reported may be the one */
	}
	return eval_members(c, e, n.used, named_value(c, &n, e->at));
}
