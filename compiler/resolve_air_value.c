/* Results of the air by name: NAME.flow.dirty, SPACE.gauge, room.changes. */
#include <math.h>

#include "compiler/context.h"
#include "runtime/base/text.h"
#include "runtime/engine/airlaw.h"

const char *const AIR_STATE_WORD[AIR_STATES] = {"clean",	 "dirty",      "clean_covered",
						"dirty_covered", "clean_work", "dirty_work"};

static bool state_of(const char *word, int *out) {
	for (int i = 0; i < AIR_STATES; i++) {
		if (!text_same(AIR_STATE_WORD[i], word)) continue;
		*out = i;
		return true;
	}
	return false;
}

/* What stands behind a member: a state, a tap, or both in that order. Before the air is solved its taps are not
 * gathered; nothing asks then. False: reported. */
static bool condition_of(ctx *c, const syn_expr *e, size_t at, int *out) {
	const model_air *air = &c->m->air;
	*out = 1;
	if (at < e->names.n && state_of(e->names.v[at].v, out)) at++;
	if (at >= e->names.n) return true;
	const char *word = e->names.v[at].v, *taps = "";
	for (size_t i = 1; i < air->taps.n; i++) {
		taps = arena_printf(c->mem, "%s, %s", taps, air->taps.v[i]);
		if (!text_same(air->taps.v[i], word)) continue;
		*out += (int)i * AIR_STATES;
		if (at + 1 == e->names.n) return true;
	}
	diag *g = diag_error(c->diags, "plan-member", e->names.v[at].at, "there is no condition `%s`", word);
	diag_add_help(c->diags, g, "one of: clean, dirty, clean_covered, dirty_covered, clean_work, dirty_work%s%s",
		      *taps ? "; behind it a tap of the fans: " : "", *taps ? taps + 2 : "");
	return false;
}

static const model_branch *branch_called(const model_air *air, const char *name) {
	for (size_t i = 0; i < air->branches.n; i++)
		if (text_same(air->branches.v[i].name, name)) return &air->branches.v[i];
	return NULL;
}

static bool branch_value(const model *m, const model_branch *b, const char *member, const model_air_result *r,
			 value *out) {
	size_t row = (size_t)(b - m->air.branches.v);
	const model_flow *f = &r->flow[row];
	double v;
	dim d = DIM_SPEED;
	if (text_same(member, "flow")) {
		v = f->flow_m3_s;
		d = DIM_FLOW;
	} else if (text_same(member, "speed")) {
		v = f->speed_m_s;
	} else if (text_same(member, "face")) {
		v = f->face_m_s;
	} else if (text_same(member, "grille") && b->kind == AIR_OPENINGS) {
		v = f->grille_m_s;
	} else if (text_same(member, "upward") && b->kind == AIR_TUBES) {
		v = f->upward_m_s;
	} else if (text_same(member, "loss")) {
		v = f->loss_pa;
		d = DIM_PRESSURE;
	} else if (text_same(member, "area") && b->kind != AIR_OPENINGS) {
		v = b->open_m2;
		d = DIM_AREA;
	} else if (text_same(member, "rise") && b->kind == AIR_FAN) {
		v = r->fan[row].rise_pa;
		d = DIM_PRESSURE;
	} else if (text_same(member, "power") && b->kind == AIR_FAN) { /* at the shafts of all of them */
		v = b->count * r->fan[row].flow_m3_s * r->fan[row].rise_pa / m->stocks.v[b->stock].efficiency.v;
		d = DIM_POWER;
	} else if (text_same(member, "mains") && b->kind == AIR_FAN) { /* drawn by the motors of all of them */
		const model_stock *s = &m->stocks.v[b->stock];
		v = airlaw_motor_power(
			airlaw_shaft_power(b->count * r->fan[row].flow_m3_s, r->fan[row].rise_pa, s->efficiency.v), 1,
			s->motor_efficiency.v);
		d = DIM_POWER;
	} else {
		return false;
	}
	*out = (value){.kind = isfinite(v) ? VALUE_QUANT : VALUE_BAD, .q = quant_from_si(d, v)};
	return true;
}

/* A figure that is finite, or told as not known. */
static value air_figure(ctx *c, const syn_expr *e, dim d, double v, const char *help) {
	if (isfinite(v)) return (value){.kind = VALUE_QUANT, .q = quant_from_si(d, v)};
	diag *g = diag_error(c->diags, "air-not-known", e->at, "`%s` is not known", expr_source(c, e));
	diag_add_help(c->diags, g, "%s", help);
	return (value){.kind = VALUE_BAD};
}

/* NAME.member, NAME.member.condition, PATTERN.SHEET.member.condition. False: not a member of the air. */
bool air_member(ctx *c, const syn_expr *e, const named *n, value *out) {
	const model_air *air = &c->m->air;
	const sym *s = n->s;
	size_t at = n->used;
	const char *name = named_path(c, n);
	const model_branch *b = NULL;
	if (s->kind == SYM_PATTERN && e->names.n >= at + 2) {
		b = branch_called(air, arena_printf(c->mem, "%s in %s", name, e->names.v[at].v));
		if (b) at++;
	}
	if (!b) b = branch_called(air, name);
	int condition = 1;
	if (at + 1 < e->names.n) {
		bool there = b || s->kind == SYM_SPACE;
		*out = (value){.kind = VALUE_BAD};
		if (there && !condition_of(c, e, at + 1, &condition)) return true;
		if (!there && !state_of(e->names.v[at + 1].v, &condition)) return false;
	}
	const model_air_result *r = &air->result[condition];
	const char *member = e->names.v[at].v;
	bool gauge = s->kind == SYM_SPACE && text_same(member, "gauge");
	if (s->kind == SYM_SPACE && text_same(member, "clears")) {
		*out = (value){.kind = VALUE_BAD};
		if (c->air_failed) return true;
		*out = air_figure(c, e, DIM_TIME, air->decay_s, "say how large the room is: `room 90 m3`");
		return true;
	}
	if (s->kind == SYM_SPACE && text_same(member, "changes")) {
		*out = (value){.kind = VALUE_BAD};
		if (c->air_failed) return true;
		*out = air_figure(c, e, DIM_RATE, air->room_changes_per_h / 3600,
				  example_shown(c->m, "say how large the room is: `room 90 m3`"));
		return true;
	}
	bool asked = text_same(member, "flow") || text_same(member, "speed") || text_same(member, "face") ||
		     text_same(member, "grille") || text_same(member, "loss");
	if (!gauge && !b && c->air_failed && asked) {
		*out = (value){.kind = VALUE_BAD};
		return true;
	}
	if (!gauge && !b) {
		if (s->kind != SYM_PATTERN || !asked || text_same(member, "loss")) return false;
		diag *g = diag_error(c->diags, "plan-member", e->at, "no way leads through `%s` as such", name);
		diag_add_help(c->diags, g, "name the sheet too, such as `%s.SHEET.%s`", name, member);
		*out = (value){.kind = VALUE_BAD};
		return true;
	}
	if (!r->solved && (c->air_failed || (c->cover_failed && condition > 1))) {
		*out = (value){.kind = VALUE_BAD};
		return true;
	}
	if (!r->solved) {
		diag *g = diag_error(c->diags, "air-not-known", e->at, "the air is not solved in this condition%s%s",
				     r->why_not ? ": " : "", r->why_not ? r->why_not : "");
		diag_add_help(c->diags, g, "mend what is reported of the air, or ask for another condition");
		*out = (value){.kind = VALUE_BAD};
		return true;
	}
	if (gauge) {
		*out = (value){.kind = VALUE_QUANT,
			       .q = quant_from_si(DIM_PRESSURE, r->pressure_pa[(uintptr_t)s->def])};
		return true;
	}
	if (!branch_value(c->m, b, member, r, out)) return false;
	if (out->kind == VALUE_BAD)
		*out = air_figure(c, e, DIM_NUMBER, (double)NAN,
				  text_same(member, "power") ? "the fan's stock does not say its `efficiency`"
				  : text_same(member, "mains")
					  ? "the fan's stock does not say its `efficiency` and its "
					    "`motor_efficiency`"
					  : "what it follows from is not given in the plan");
	return true;
}
