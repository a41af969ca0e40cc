/* What a name stands for: named values, and the members of parts, stock and openings. */
#include "compiler/eval_inner.h"
#include "runtime/base/text.h"

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
	if (!d->line) return false; /* of a `repeat` */
	const syn_expr *bound = line_arg(d->line, "from", 0);
	if (!bound) bound = line_arg(d->line, "to", 0);
	value v = bound ? eval(c, bound) : value_bad();
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
	value v = written ? eval(c, written) : value_bad();
	if (v.kind != VALUE_QUANT || dim_same(v.q.dim, d->result.dim)) return;
	diag *g = diag_error(c->diags, "plan-dimension", d->value->at, "`%s` is %s %s, but %s %s", d->name,
			     dim_spoken(c->mem, v.q.dim), d->taken ? "as the assembly takes it" : "in the plan",
			     d->taken ? "this is" : "--set gives", dim_spoken(c->mem, d->result.dim));
	diag_add_note(c->diags, g, written->at, d->taken ? "its own value" : "the plan's own value");
	if (dim_same(v.q.dim, DIM_LENGTH) && dim_same(d->result.dim, DIM_NUMBER))
		diag_add_help(c->diags, g,
			      d->taken ? "give the number a unit: %s %s mm" : "give the number a unit: --set %s=%smm",
			      d->name, expr_source(c, d->value));
	d->bad = true;
}

static value let_value(ctx *c, let_def *d, span at) {
	if (d->done) return d->bad ? value_bad() : value_quant(d->result);
	busy b;
	if (!busy_enter(c, &b, d, d->name, at)) {
		d->done = d->bad = true;
		return value_bad();
	}
	inst *before = inst_enter(c, d->value_in);
	value v = eval(c, d->value);
	inst_enter(c, d->in);
	bool was_done = d->done; /* a circle marked it meanwhile */
	if (v.kind != VALUE_QUANT && v.kind != VALUE_BAD)
		diag_error(c->diags, "plan-value", d->value->at, "`%s` wants a number or a quantity", d->name);
	d->bad = was_done || v.kind != VALUE_QUANT;
	d->result = v.q;
	if ((d->overridden || d->taken) && !d->bad) same_kind(c, d);
	d->done = true;
	busy_leave(c, &b);
	if (!d->bad && range_of_kind(c, d)) {
		in_range(c, d, line_arg(d->line, "from", 0), true);
		in_range(c, d, line_arg(d->line, "to", 0), false);
	}
	inst_enter(c, before);
	return d->bad ? value_bad() : value_quant(d->result);
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
	case SYM_KIND_COUNT:
		break;
	}
	return value_bad();
}

static value no_member(ctx *c, const syn_word *w, const char *of, const char *const *known, size_t n) {
	diag *g = diag_error(c->diags, "plan-member", w->at, "%s has no `%s`", of, w->v);
	const char *near = text_nearest(w->v, known, n);
	if (near) {
		diag_add_help(c->diags, g, "did you mean `%s`?", near);
		return value_bad();
	}
	textbuf t = textbuf_begin(c->mem);
	for (size_t i = 0; i < n; i++) textbuf_printf(&t, "%s%s", i ? ", " : "", known[i]);
	diag_add_help(c->diags, g, "it has: %s", t.v);
	return value_bad();
}

static value part_member(ctx *c, part_def *p, const syn_word *w, span at) {
	static const char *const KNOWN[] = {"left", "right", "front", "back",	"bottom",
					    "top",  "width", "depth", "height", "thick"};
	face f;
	axis a;
	rat mm;
	if (word_face(w->v, &f)) {
		if (!part_face_value(c, p, f, at, &mm)) return value_bad();
		value v = value_quant(quant_length(mm));
		v.is_face = true;
		v.part = p;
		v.face = f;
		return v;
	}
	bool size = word_axis(w->v, &a);
	if (!size && text_same(w->v, "thick") && !p->is_set) {
		if (!part_structure(c, p)) return value_bad();
		a = p->thick_axis;
		size = true;
	}
	if (size) {
		rat lo, hi;
		if (!part_face_value(c, p, face_of(a, false), at, &lo) ||
		    !part_face_value(c, p, face_of(a, true), at, &hi))
			return value_bad();
		return value_quant(quant_length(rat_sub(hi, lo)));
	}
	if (p->is_set)
		return no_member(c, w, arena_printf(c->mem, "`%s`, which is something placed,", p->name), KNOWN, 9);
	static const char *const AIR[] = {"flow", "speed", "face", "loss", "area"};
	for (size_t i = 0; i < sizeof AIR / sizeof *AIR && !c->air_solved; i++) {
		if (!text_same(w->v, AIR[i])) continue;
		diag *g = diag_error(c->diags, "plan-too-early", w->at, "`%s.%s` is known only when the air is solved",
				     p->name, w->v);
		diag_add_help(c->diags, g, "use it in `require`");
		return value_bad();
	}
	return no_member(c, w, arena_printf(c->mem, "the part `%s`", p->name), KNOWN, sizeof KNOWN / sizeof *KNOWN);
}

static value pattern_member(ctx *c, pattern_def *p, const syn_word *w) {
	static const char *const KNOWN[] = {"count", "area"};
	if (!c->parts_done || !p->done) {
		diag_error(c->diags, "plan-too-early", w->at,
			   "`%s.%s` is known only when all parts stand; it can be used in `require`", p->name, w->v);
		return value_bad();
	}
	if (p->bad) return value_bad();
	const model_pattern *m = &c->m->patterns.v[p->row];
	if (text_same(w->v, "count")) return value_quant(quant_number(rat_int((int64_t)m->axes.n)));
	if (text_same(w->v, "area")) {
		double mm2 = m->sheets.n ? model_shape_area_mm2(&m->sheets.v[0].shape) * (double)m->axes.n : 0;
		return value_quant(quant_inexact(DIM_AREA, mm2));
	}
	return no_member(c, w, arena_printf(c->mem, "`%s`", p->name), KNOWN, sizeof KNOWN / sizeof *KNOWN);
}

value eval_name(ctx *c, const syn_expr *e) {
	named n;
	if (!names_walk(c, e, &n)) return value_bad();
	if (c->air_solved && e->names.n > n.used && n.s->kind != SYM_LET && n.s->kind != SYM_STOCK &&
	    n.s->kind != SYM_TOOL) {
		value v;
		if (air_member(c, e, &n, &v)) return v;
	}
	value v = named_value(c, &n, e->at);
	for (size_t i = n.used; i < e->names.n; i++) {
		const syn_word *w = &e->names.v[i];
		if (w->index && v.kind != VALUE_BAD) {
			diag_error(c->diags, "plan-index", w->index->at,
				   "`%s` is not counted; `[ ]` does not belong here", w->v);
			return value_bad();
		}
		switch (v.kind) {
		case VALUE_BAD:
			return v;
		case VALUE_PART:
		case VALUE_PLACE:
			v = part_member(c, v.part, w, e->at);
			break;
		case VALUE_STOCK: {
			value m;
			v = stock_member(c, v.stock, w->v, w->at, &m) ? m : value_bad();
			break;
		}
		case VALUE_PATTERN:
			v = pattern_member(c, v.pattern, w);
			break;
		default:
			diag_error(c->diags, "plan-member", w->at, "`%s` has no members", e->names.v[i - 1].v);
			return value_bad();
		}
	}
	return v;
}
