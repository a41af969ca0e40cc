/* The figures of things, by their names: left.width, vents.count, booth.mass. */
#include <math.h>

#include "compiler/air.h"
#include "compiler/eval_inner.h"
#include "compiler/parts.h"
#include "runtime/base/text.h"

static value no_member(ctx *c, const syn_word *w, const char *of, const char *const *known, size_t n) {
	diag *g = diag_error(c->diags, "plan-member", w->at, "%s has no `%s`", of, w->v);
	words_choice(c, g, w->v, known, n, "it has");
	return value_bad();
}

static bool one_of(const char *word, const char *const *words, size_t n) {
	for (size_t i = 0; i < n; i++)
		if (text_same(word, words[i])) return true;
	return false;
}

/* An SI figure of the model; NaN: it could not be worked out. */
static value figure(ctx *c, const syn_expr *e, dim d, double si) {
	if (isfinite(si)) return value_quant(quant_from_si(d, si));
	diag *g = diag_error(c->diags, "plan-value", e->at, "`%s` is not known", expr_source(c, e));
	diag_add_help(c->diags, g, "what it follows from is not given in the plan");
	return value_bad();
}

/* ---- parts ---------------------------------------------------------------------------------- */

/* In the order in which fewer and fewer have them: mass no gap, then what only something made has. */
static const char *const PART_KNOWN[] = {"mass",  "left",   "right", "front", "back", "bottom", "top",	    "width",
					 "depth", "height", "thick", "count", "area", "length", "cut_width"};
enum { N_PART = sizeof PART_KNOWN / sizeof *PART_KNOWN };
/* Of what the air passes; the last of tubes only. */
static const char *const PASSED_KNOWN[] = {"flow", "speed", "face", "loss", "area", "upward"};
enum { N_TUBES = sizeof PASSED_KNOWN / sizeof *PASSED_KNOWN, N_PASSED = N_TUBES - 1 };

static axis across(axis a, axis b) { return (axis)(3 - (int)a - (int)b); }

typedef struct cut_sum {
	double kg, m2;
	rat length, width;
} cut_sum;

/* Of a group, and of what is placed, masses and areas are added, and the longest and widest count. */
static bool add_cut(ctx *c, const part_def *p, cut_sum *sum) {
	for (size_t i = 0; i < p->set.n; i++)
		if (!add_cut(c, p->set.v[i], sum)) return false;
	if (p->is_set) return true;
	if (p->first == MODEL_NONE) return false;
	uint32_t n = p->piece_of ? 1 : p->n;
	for (uint32_t i = 0; i < n; i++) {
		const model_part *m = &c->m->parts.v[p->first + i];
		if (m->kind == PART_GAP) continue;
		sum->kg += m->mass_kg;
		sum->m2 += m->face_area_m2;
		sum->length = rat_max(sum->length, box_size(m->blank, m->long_axis));
		sum->width = rat_max(sum->width, box_size(m->blank, across(m->thick_axis, m->long_axis)));
	}
	return true;
}

/* What is known when the part is cut: its mass, the face of its blank, how long and wide it is cut. */
static value cut_member(ctx *c, const syn_expr *e, part_def *p, const char *word) {
	cut_sum sum = {.length = rat_int(0), .width = rat_int(0)};
	if (!value_known(c, KNOWN_SHAPED, e, e->at) || !part_pieces(c, p) || !add_cut(c, p, &sum)) return value_bad();
	if (text_same(word, "mass")) return figure(c, e, DIM_MASS, sum.kg);
	if (text_same(word, "area")) return figure(c, e, DIM_AREA, sum.m2);
	return value_quant(quant_length(text_same(word, "length") ? sum.length : sum.width));
}

static value part_member(ctx *c, const syn_expr *e, part_def *p, const syn_word *w) {
	face f;
	axis a;
	rat lo, hi;
	if (word_face(w->v, &f)) {
		if (!part_face_value(c, p, f, e->at, &hi)) return value_bad();
		value v = value_quant(quant_length(hi));
		v.is_face = true;
		v.part = p;
		v.face = f;
		return v;
	}
	bool size = word_axis(w->v, &a);
	if (!size && text_same(w->v, "thick") && !p->is_set) {
		if (!part_pieces(c, p)) return value_bad();
		a = p->thick_axis;
		size = true;
		if (p->n > 1) p = part_piece(c, p, 0); /* every one is as thick as the others */
	}
	if (size) {
		if (!part_face_value(c, p, face_of(a, false), e->at, &lo) ||
		    !part_face_value(c, p, face_of(a, true), e->at, &hi))
			return value_bad();
		return value_quant(quant_length(rat_sub(hi, lo)));
	}
	bool made = p->kind != PART_GAP && p->kind != PART_ITEM && !p->is_set;
	if (text_same(w->v, "count") && !p->is_set)
		return part_pieces(c, p) ? value_quant(quant_number(rat_int(p->n))) : value_bad();
	if (text_same(w->v, "mass") && p->kind != PART_GAP) return cut_member(c, e, p, w->v);
	if (made && (text_same(w->v, "area") || text_same(w->v, "length") || text_same(w->v, "cut_width")))
		return cut_member(c, e, p, w->v);
	if (p->is_set)
		return no_member(c, w, arena_printf(c->mem, "`%s`, which is something placed,", p->name), PART_KNOWN,
				 10);
	const char *known[N_PART + N_PASSED];
	size_t n = 0;
	for (size_t i = p->kind == PART_GAP; i < (made ? N_PART : N_PART - 3); i++) known[n++] = PART_KNOWN[i];
	bool passed = p->kind == PART_GAP || p->kind == PART_ITEM;
	for (size_t i = 0; passed && i < N_PASSED; i++) known[n++] = PASSED_KNOWN[i];
	return no_member(c, w, arena_printf(c->mem, "the part `%s`", p->name), known, n);
}

/* ---- openings --------------------------------------------------------------------------------- */

/* A figure of the openings in one of their sheets. */
static value sheet_member(ctx *c, const syn_expr *e, const pattern_def *p, const model_sheet_of_pattern *s,
			  const syn_word *w) {
	static const char *const KNOWN[] = {"count", "area",  "open_area", "pitch", "row_pitch",
					    "flow",  "speed", "face",	   "grille"};
	const model_pattern *m = &c->m->patterns.v[p->row];
	if (text_same(w->v, "count")) return value_quant(quant_number(rat_int((int64_t)m->axes.n)));
	if (text_same(w->v, "area"))
		return value_quant(quant_inexact(DIM_AREA, model_shape_area_mm2(&s->shape) * (double)m->axes.n));
	if (text_same(w->v, "open_area")) {
		if (!value_known(c, KNOWN_SHAPED, e, e->at)) return value_bad();
		return figure(c, e, DIM_AREA, air_openings_free_m2(c->mem, c->m, p->row, s->part));
	}
	bool pitch = text_same(w->v, "pitch"), row_pitch = text_same(w->v, "row_pitch");
	if (!pitch && !row_pitch)
		return no_member(c, w, arena_printf(c->mem, "`%s`", p->name), KNOWN, sizeof KNOWN / sizeof *KNOWN);
	rat mm = pitch ? m->pitch_u : m->pitch_v;
	if (rat_sign(mm) > 0) return value_quant(quant_length(mm));
	diag *g = diag_error(c->diags, "plan-member", w->at, "the openings `%s` have no pitch along the %s", p->name,
			     AXIS_SPOKEN[pitch ? m->u : m->v]);
	diag_add_note(c->diags, g, p->at, "they are laid out here");
	diag_add_help(c->diags, g, "openings in a `grid` or `stagger` have one");
	return value_bad();
}

/* The part that a word names where the openings are written, or NULL. */
static const part_def *sheet_named(ctx *c, const pattern_def *p, const char *word) {
	inst *before = inst_enter(c, p->in);
	const sym *s = names_find(c, word);
	inst_enter(c, before);
	return s && s->kind == SYM_PART ? s->def : NULL;
}

/* NAME.member of the first sheet, or NAME.SHEET.member; *used counts the words behind the name. */
static value pattern_member(ctx *c, const syn_expr *e, pattern_def *p, size_t i, size_t *used) {
	*used = 1;
	const syn_word *w = &e->names.v[i];
	if (!pattern_stands(c, p, e->at)) return value_bad();
	const model_pattern *m = &c->m->patterns.v[p->row];
	if (m->sheets.n == 0) return value_bad();
	const part_def *sheet = i + 1 < e->names.n ? sheet_named(c, p, w->v) : NULL;
	if (!sheet) return sheet_member(c, e, p, &m->sheets.v[0], w);
	*used = 2;
	for (size_t k = 0; k < m->sheets.n; k++)
		if (text_same(c->m->parts.v[m->sheets.v[k].part].group, sheet->path))
			return sheet_member(c, e, p, &m->sheets.v[k], &e->names.v[i + 1]);
	diag *g = diag_error(c->diags, "plan-unknown-name", w->at, "the openings `%s` do not go through `%s`", p->name,
			     sheet->name);
	diag_add_note(c->diags, g, line_clause(p->line, "in", 0)->at, "they go through these");
	return value_bad();
}

/* ---- the cabinet as a whole ---------------------------------------------------------------------- */

/* The outermost face of all parts, in the plan's coordinates; an open gap is no part of the body. */
static bool outermost(ctx *c, face f, span at, rat *mm) {
	bool any = false, good = true;
	busy b;
	if (!busy_enter(c, &b, &FACE_NAME[f], arena_printf(c->mem, "%s.%s", c->m->cabinet_name, FACE_NAME[f]), at))
		return false;
	inst *before = inst_enter(c, c->plan_in);
	inst_complete(c, c->plan_in);
	for (size_t i = 0; i < c->parts.n && good; i++) {
		part_def *p = c->parts.v[i];
		rat v;
		if (p->kind == PART_GAP) continue;
		good = part_structure(c, p) && part_face_value(c, p, f, p->at, &v);
		if (!good) break;
		*mm = !any ? v : face_high(f) ? rat_max(*mm, v) : rat_min(*mm, v);
		any = true;
	}
	inst_enter(c, before);
	busy_leave(c, &b);
	return good && any;
}

static value cabinet_member(ctx *c, const syn_expr *e, const syn_word *w) {
	static const char *const KNOWN[] = {"left", "right", "front",	"back",	       "bottom",
					    "top",  "width", "depth",	"height",      "mass",
					    "cost", "hours", "elapsed", "dirty_after", "full_after"};
	const model *m = c->m;
	face f;
	axis a;
	rat lo, hi;
	if (word_face(w->v, &f)) return outermost(c, f, e->at, &hi) ? value_quant(quant_length(hi)) : value_bad();
	if (word_axis(w->v, &a))
		return outermost(c, face_of(a, false), e->at, &lo) && outermost(c, face_of(a, true), e->at, &hi)
			       ? value_quant(quant_length(rat_sub(hi, lo)))
			       : value_bad();
	static const known_stage STAGE[] = {KNOWN_SHAPED,  KNOWN_LAID, KNOWN_ORDERED,
					    KNOWN_ORDERED, KNOWN_AIR,  KNOWN_AIR};
	enum { FIRST_FIGURE = 9, N = sizeof KNOWN / sizeof *KNOWN };
	for (size_t i = FIRST_FIGURE; i < N; i++)
		if (text_same(w->v, KNOWN[i]) && !value_known(c, STAGE[i - FIRST_FIGURE], e, e->at)) return value_bad();
	if (text_same(w->v, "mass")) return figure(c, e, DIM_MASS, m->mass_kg);
	if (text_same(w->v, "cost")) return value_quant(quant_exact(DIM_MONEY, rat_of(m->cost_cents, 100)));
	if (text_same(w->v, "hours")) return figure(c, e, DIM_TIME, m->order.hands_on_minutes * 60);
	if (text_same(w->v, "elapsed")) return figure(c, e, DIM_TIME, m->order.elapsed_minutes * 60);
	if (text_same(w->v, "dirty_after")) return figure(c, e, DIM_TIME, m->air.hours_to_dirty * 3600);
	if (text_same(w->v, "full_after")) return figure(c, e, DIM_TIME, m->air.hours_to_full_trough * 3600);
	return no_member(c, w, arena_printf(c->mem, "the cabinet `%s`", m->cabinet_name), KNOWN, N);
}

/* ---- what is bought -------------------------------------------------------------------------------- */

/* How much the whole takes of a stock, and what that costs; true when it is such a member. */
static bool bought_member(ctx *c, const syn_expr *e, const stock_def *s, const syn_word *w, value *out) {
	bool used = text_same(w->v, "used"), cost = text_same(w->v, "cost");
	if (!used && !cost) return false;
	*out = value_bad();
	if (!value_known(c, KNOWN_LAID, e, e->at)) return true;
	double amount = 0;
	int64_t cents = 0;
	for (size_t i = 0; i < c->m->shopping.n; i++) {
		const model_buy *b = &c->m->shopping.v[i];
		if (b->stock != s->row) continue;
		amount += b->amount;
		if (b->cents < 0 && cost) {
			diag *g = diag_error(c->diags, "plan-stock-lacks", w->at, "`%s` does not say its `price`",
					     s->name);
			diag_add_note(c->diags, g, s->at, "`%s` is here", s->name);
			return true;
		}
		cents += b->cents;
	}
	rat whole = rat_from_double(amount, 1000);
	*out = value_quant(cost		   ? quant_exact(DIM_MONEY, rat_of(cents, 100))
			   : rat_ok(whole) ? quant_number(whole)
					   : quant_inexact(DIM_NUMBER, amount));
	return true;
}

/* ---- all of them ------------------------------------------------------------------------------------ */

bool air_asked(ctx *c, const named *n, const syn_expr *e) {
	static const char *const FIGURES[] = {"flow",  "speed", "face",	 "grille",  "loss",  "power",
					      "mains", "rise",	"gauge", "changes", "clears"};
	enum { N = sizeof FIGURES / sizeof *FIGURES };
	if (n->used >= e->names.n) return false;
	const char *member = e->names.v[n->used].v;
	switch (n->s->kind) {
	case SYM_SPACE:
	case SYM_AIR:
		return true;
	case SYM_PART: {
		const part_def *p = n->s->def;
		bool passed = p->kind == PART_GAP || p->kind == PART_ITEM;
		return one_of(member, FIGURES, N) || (passed && text_same(member, "area"));
	}
	case SYM_PATTERN: {
		bool sheet = n->used + 1 < e->names.n && sheet_named(c, n->s->def, member);
		return one_of(sheet ? e->names.v[n->used + 1].v : member, FIGURES, N);
	}
	default:
		return false;
	}
}

static bool tap_of_any_fan(ctx *c, const char *word) {
	for (size_t i = 0; i < c->m->stocks.n; i++)
		for (size_t k = 0; k < c->m->stocks.v[i].taps.n; k++)
			if (text_same(c->m->stocks.v[i].taps.v[k].name, word)) return true;
	return false;
}

bool air_words_fit(ctx *c, const named *n, const syn_expr *e) {
	static const char *const OF_SPACE[] = {"gauge", "changes", "clears"};
	bool space = n->s->kind == SYM_SPACE;
	const char *const *known = space ? OF_SPACE : PASSED_KNOWN;
	size_t n_known = space ? sizeof OF_SPACE / sizeof *OF_SPACE
			 : n->s->kind == SYM_AIR && ((const air_def *)n->s->def)->kind == AIR_TUBES ? N_TUBES
												    : N_PASSED;
	size_t at = n->used;
	const syn_word *w = &e->names.v[at];
	if ((space || n->s->kind == SYM_AIR) && !one_of(w->v, known, n_known)) {
		no_member(c, w, arena_printf(c->mem, "`%s`, which is %s,", n->s->name, SYM_SPOKEN[n->s->kind]), known,
			  n_known);
		return false;
	}
	if (n->s->kind == SYM_PATTERN && at + 1 < e->names.n && sheet_named(c, n->s->def, w->v)) at++;
	if (c->known >= KNOWN_AIR) return true; /* the air says itself which conditions there are */
	for (at++; at < e->names.n; at++) {
		w = &e->names.v[at];
		if (one_of(w->v, AIR_STATE_WORD, AIR_STATES) || tap_of_any_fan(c, w->v)) continue;
		diag *g = diag_error(c->diags, "plan-member", w->at, "there is no condition `%s`", w->v);
		diag_add_choice(c->diags, g, w->v, AIR_STATE_WORD, AIR_STATES, "one of");
		return false;
	}
	return true;
}

value eval_members(ctx *c, const syn_expr *e, size_t from, value v) {
	for (size_t i = from; i < e->names.n; i++) {
		const syn_word *w = &e->names.v[i];
		size_t used = 1;
		value m;
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
			v = part_member(c, e, v.part, w);
			break;
		case VALUE_STOCK:
			if (bought_member(c, e, v.stock, w, &m))
				v = m;
			else
				v = stock_member(c, v.stock, w->v, w->at, &m) ? m : value_bad();
			break;
		case VALUE_PATTERN:
			v = pattern_member(c, e, v.pattern, i, &used);
			break;
		case VALUE_CABINET:
			v = cabinet_member(c, e, w);
			break;
		default:
			diag_error(c->diags, "plan-member", w->at, "`%s` has no members", e->names.v[i - 1].v);
			return value_bad();
		}
		i += used - 1;
	}
	return v;
}
