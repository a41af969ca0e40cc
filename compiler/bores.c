#include "compiler/bores.h"

#include "compiler/check_limits.h"
#include "compiler/template_set.h"
#include "runtime/engine/tolerance.h"

static rat or_nothing(rat r) { return rat_ok(r) ? r : rat_int(0); }

static bore_limits by_seat(const model *m, const model_stock *c) {
	bool said = rat_ok(c->fits[0].mm);
	rat off = or_nothing(c->outside_off.mm), most = said ? c->fits[1].mm : check_limit(m, "collar-fit.loose");
	return (bore_limits){.least = rat_add(rat_add(c->outside.mm, off), said ? c->fits[0].mm : rat_int(0)),
			     .most = rat_add(rat_sub(c->outside.mm, off), most),
			     .by_seat = true};
}

bore_limits bores_limits(const model *m, const model_sheet_of_pattern *s, int k) {
	const model_stock *c = s->collar < m->stocks.n ? &m->stocks.v[s->collar] : NULL;
	if (c && s->shape.kind == SHAPE_ROUND && rat_ok(c->outside.mm)) return by_seat(m, c);
	rat size = k == 0 || s->shape.kind == SHAPE_ROUND ? s->shape.a : s->shape.b;
	size_t n, row = tolerance_medium_row(size);
	const tolerance_row *rows = tolerance_medium(&n);
	rat off = row < n ? rows[row].off : rat_poison();
	return (bore_limits){rat_sub(size, off), rat_add(size, off), false};
}

model_holds bores_holds(const bore_limits *l, const model_tool *t, rat size) {
	rat off = or_nothing(t->measured_off.mm), cuts = model_tool_cuts(t);
	bool known = rat_ok(l->least) && rat_ok(l->most);
	if (rat_lt(rat_sub(cuts, off), known ? l->least : size)) return HOLDS_SMALL;
	return rat_lt(known ? l->most : size, rat_add(cuts, off)) ? HOLDS_LARGE : HOLDS;
}

bool bores_bit(const model_tool *t) { return t->kind == TOOL_DRILL || t->kind == TOOL_HOLE_SAW; }

static model_ref bit_for(const model *m, const model_sheet_of_pattern *s, bool marked, bool within) {
	bore_limits l = bores_limits(m, s, 0);
	for (size_t i = 0; i < m->tools.n && s->shape.kind == SHAPE_ROUND; i++) {
		const model_tool *t = &m->tools.v[i];
		if (!bores_bit(t) || !rat_eq(marked ? t->diameter.mm : model_tool_cuts(t), s->shape.a)) continue;
		if (!within || bores_holds(&l, t, s->shape.a) == HOLDS) return (model_ref)i;
	}
	return MODEL_NONE;
}

static model_ref nearest_bit(const model *m, const model_sheet_of_pattern *s) {
	bore_limits l = bores_limits(m, s, 0);
	model_ref best = MODEL_NONE;
	rat least = rat_poison();
	for (size_t i = 0; i < m->tools.n && s->shape.kind == SHAPE_ROUND; i++) {
		const model_tool *t = &m->tools.v[i];
		rat cuts = model_tool_cuts(t), off = rat_abs(rat_sub(cuts, s->shape.a));
		if (!bores_bit(t) || !rat_ok(cuts) || bores_holds(&l, t, s->shape.a) != HOLDS) continue;
		if (best != MODEL_NONE && !rat_lt(off, least)) continue;
		best = (model_ref)i, least = off;
	}
	return best;
}

static model_ref router_for(const model *m, const model_shape *s) {
	for (size_t i = 0; i < m->tools.n; i++) {
		rat cutter = model_tool_cuts(&m->tools.v[i]);
		if (m->tools.v[i].kind == TOOL_ROUTER && rat_ok(cutter) && rat_le(cutter, model_shape_narrow(s)))
			return (model_ref)i;
	}
	return MODEL_NONE;
}

model_ref bores_tool(const model *m, const model_sheet_of_pattern *s) {
	model_ref tool = bit_for(m, s, false, false);
	if (tool == MODEL_NONE) tool = bit_for(m, s, true, true);
	if (tool == MODEL_NONE) tool = router_for(m, &s->shape);
	if (tool == MODEL_NONE) tool = nearest_bit(m, s);
	return tool == MODEL_NONE ? bit_for(m, s, true, false) : tool;
}

/* ---- what else would cut it ----------------------------------------------------------------------- */

/* What a router cuts in the template that is made for `maker`, or poison. */
static rat through_template(const model_tool *t, const model_tool *maker, rat size) {
	if (t == maker) return size;
	if (maker->kind != TOOL_ROUTER) return rat_poison();
	rat offset = rat_sub(maker->bush.mm, model_tool_cuts(maker));
	return rat_sub(rat_add(size, offset), rat_sub(t->bush.mm, model_tool_cuts(t)));
}

/* Wood left round a hole that is bored on trial: common practice, no source. */
enum { ROUND_IT_MM = 30 };

static void options_of(model *m, size_t pattern, model_sheet_of_pattern *s) {
	model_ref made_by = MODEL_NONE;
	for (size_t i = 0; i < m->features.n && made_by == MODEL_NONE; i++) {
		const model_feature *f = &m->features.v[i];
		if (f->kind == FEATURE_OPENING && f->pattern == pattern && f->part == s->part) made_by = f->tool;
	}
	s->options.n = 0;
	if (s->shape.kind != SHAPE_ROUND || made_by == MODEL_NONE) return;
	bore_limits l = bores_limits(m, s, 0);
	s->waste = template_whole_steps(rat_add(s->shape.a, rat_int(2 * ROUND_IT_MM)),
					m->measures == MEASURES_INCH ? rat_of(127, 10) : rat_int(10));
	for (size_t i = 0; i < m->tools.n; i++) {
		const model_tool *t = &m->tools.v[i];
		bool router = t->kind == TOOL_ROUTER;
		rat cuts = router	  ? through_template(t, &m->tools.v[made_by], s->shape.a)
			   : bores_bit(t) ? model_tool_cuts(t)
					  : rat_poison();
		rat off = rat_sub(cuts, s->shape.a);
		if (!rat_ok(off) || rat_lt(s->shape.a, rat_mul(rat_abs(off), rat_int(10)))) continue;
		model_tool as = *t; /* a router's hole is as wide as its template makes it */
		if (router) as.measured = (model_length){.mm = cuts}, as.measured_off.mm = rat_poison();
		model_option o = {.tool = (model_ref)i,
				  .cuts = cuts,
				  .off = off,
				  .holds = bores_holds(&l, &as, s->shape.a),
				  .chosen = i == made_by};
		LIST_PUSH(m->mem, &s->options, o);
	}
}

void bores_make(model *m) {
	for (size_t i = 0; i < m->patterns.n; i++)
		for (size_t k = 0; k < m->patterns.v[i].sheets.n; k++) {
			model_sheet_of_pattern *s = &m->patterns.v[i].sheets.v[k];
			for (int n = 0; n < 2; n++) {
				bore_limits l = bores_limits(m, s, n);
				s->least[n] = l.least, s->most[n] = l.most, s->by_seat = l.by_seat;
			}
			options_of(m, i, s);
		}
}
