/* One condition of the air from end to end: the air, every branch, the sum round the way, what follows for the room. */
#include "runtime/write/worked_air.h"

#include <math.h>

#include "runtime/base/text.h"
#include "runtime/engine/airlaw.h"

static bool known(double v) { return v > 0 && isfinite(v); }

size_t worked_way(const model *m, arena *mem, int condition, model_ref *way) {
	const model_air *a = &m->air;
	bool *used = ARENA_MANY(mem, bool, a->branches.n + 1);
	const model_flow *flow = a->result[condition].flow;
	model_ref at = 0;
	size_t n = 0;
	while (flow && n < a->branches.n) {
		model_ref best = MODEL_NONE;
		for (model_ref i = 0; i < a->branches.n; i++) {
			const model_branch *b = &a->branches.v[i];
			if (b->from != at || used[i] || b->kind == AIR_LEAK) continue;
			if (best == MODEL_NONE || flow[i].flow_m3_s > flow[best].flow_m3_s) best = i;
		}
		if (best == MODEL_NONE) break;
		used[best] = true, way[n++] = best, at = a->branches.v[best].to;
		if (a->spaces.v[at].room) break;
	}
	return n;
}

/* ---- the air --------------------------------------------------------------------------------------------------------
 */

static void air_itself(worked *w, const model *m) {
	const model_air *a = &m->air;
	double t = a->temperature_k, p = airlaw_pressure(a->altitude_m);
	worked_head(w, "The air");
	if (w->ms == MEASURES_INCH)
		worked_put(w, "Temperature", "T = (t + 459.67) / 1.8", "(# + 459.67) / 1.8", WITH(t * 1.8 - 459.67),
			   WORKED_KELVIN, t, NULL);
	else
		worked_put(w, "Temperature", "T = t + 273.15", "# + 273.15", WITH(t - 273.15), WORKED_KELVIN, t, NULL);
	if (w->ms == MEASURES_INCH)
		worked_put(w, "Pressure at the altitude", "p = 101325 (1 - 0.0000225577 z)^5.25588",
			   "101325 × (1 - 0.0000225577 × # × 0.3048)^5.25588", WITH(a->altitude_m / 0.3048),
			   WORKED_PRESSURE, p, "Standard atmosphere (memory)");
	else
		worked_put(w, "Pressure at the altitude", "p = 101325 (1 - 0.0000225577 z)^5.25588",
			   "101325 × (1 - 0.0000225577 × #)^5.25588", WITH(a->altitude_m), WORKED_PRESSURE, p,
			   "Standard atmosphere (memory)");
	worked_put(w, "Density", "ρ = p / (287.05 T)", "# / (287.05 × #)", WITH(p, t), WORKED_DENSITY, a->density_kg_m3,
		   "Dry air as an ideal gas");
	worked_put(w, "Viscosity", "μ = 0.000001458 T^1.5 / (T + 110.4)", "0.000001458 × #^1.5 / (# + 110.4)",
		   WITH(t, t), WORKED_VISCOSITY, a->viscosity_pa_s, "Sutherland (memory)");
}

/* ---- branches
 * --------------------------------------------------------------------------------------------------------- */

static const char *plain(arena *mem, const char *name) {
	char *t = arena_printf(mem, "%s", name);
	for (char *p = t; *p; p++)
		if (*p == '_') *p = ' ';
	return t;
}

static const char *space(const worked *w, const model *m, model_ref s) {
	return plain(w->mem, m->air.spaces.v[s].name);
}

static void branch(worked *w, const model *m, int condition, size_t i) {
	static void (*const EACH[AIR_KINDS])(worked *, const worked_state *) = {
		[AIR_GAP] = worked_gap,	    [AIR_OPENINGS] = worked_openings, [AIR_FILTER] = worked_filter,
		[AIR_TUBES] = worked_tubes, [AIR_FAN] = worked_fan,	      [AIR_DUCT] = worked_duct,
		[AIR_LEAK] = worked_leak,
	};
	const model_branch *b = &m->air.branches.v[i];
	const model_flow *f = &m->air.result[condition].flow[i];
	worked_state s = {.m = m,
			  .condition = condition,
			  .dirty = condition & 1,
			  .b = b,
			  .f = f,
			  .area_m2 = model_open_m2(b, condition),
			  .face_m2 = model_plan_m2(b, condition)};
	worked_head(w, arena_printf(w->mem, "%zu  %s: %s, %s → %s", i + 1, plain(w->mem, b->name),
				    MODEL_AIR_WORD[b->kind], space(w, m, b->from), space(w, m, b->to)));
	worked_put(w, "Flow, as solved", "Q", "~", WITH(f->flow_m3_s), WORKED_FLOW, f->flow_m3_s, NULL);
	bool goods = b->kind == AIR_FILTER || b->kind == AIR_TUBES || b->kind == AIR_FAN;
	bool sheet = b->kind == AIR_OPENINGS || b->kind == AIR_GAP;
	if ((goods && b->stock >= m->stocks.n) || (sheet && b->part >= m->parts.n)) return;
	if (b->kind == AIR_OPENINGS && b->pattern >= m->patterns.n) return;
	if (f->flow_m3_s != 0) EACH[b->kind](w, &s);
}

/* ---- round the way
 * ------------------------------------------------------------------------------------------------------ */

/* The flows into a space, or out of it, added up. */
typedef struct side {
	textbuf formula, numbers;
	double *v, sum;
	size_t n;
} side;

static void add_flow(side *s, size_t i, double flow) {
	textbuf_printf(&s->formula, "%sQ of %zu", s->n ? " + " : "", i + 1);
	textbuf_printf(&s->numbers, "%s#", s->n ? " + " : "");
	s->v[s->n++] = flow;
	s->sum += flow;
}

/* What flows into a space flows out of it: told where it is more than one way. */
static void balance(worked *w, const model *m, int condition, model_ref at) {
	const model_air *a = &m->air;
	side in = {textbuf_begin(w->mem), textbuf_begin(w->mem), ARENA_MANY(w->mem, double, a->branches.n + 1), 0, 0};
	side out = {textbuf_begin(w->mem), textbuf_begin(w->mem), ARENA_MANY(w->mem, double, a->branches.n + 1), 0, 0};
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		if (b->from == at) add_flow(&out, i, a->result[condition].flow[i].flow_m3_s);
		if (b->to == at) add_flow(&in, i, a->result[condition].flow[i].flow_m3_s);
	}
	if (in.n + out.n < 3 || !in.n || !out.n) return;
	const side *more = in.n >= out.n ? &in : &out, *less = in.n >= out.n ? &out : &in;
	worked_put(w, arena_printf(w->mem, "%s %s", more == &in ? "Into" : "Out of", space(w, m, at)),
		   arena_printf(w->mem, "%s = %s", less->formula.v, more->formula.v), more->numbers.v, more->v,
		   WORKED_FLOW, less->sum, "What flows into a space flows out of it");
}

static void round_the_way(worked *w, const model *m, int condition) {
	const model_air *a = &m->air;
	const model_air_result *r = &a->result[condition];
	model_ref *way = ARENA_MANY(w->mem, model_ref, a->branches.n + 1);
	size_t n = worked_way(m, w->mem, condition, way);
	textbuf formula = textbuf_begin(w->mem), numbers = textbuf_begin(w->mem);
	double *v = ARENA_MANY(w->mem, double, 2 * n + 2), before = 0, rise = 0;
	size_t k = 0;
	if (!n) return;
	worked_head(w, "Round the way: gauge pressures against the room");
	for (size_t i = 0; i < n; i++) {
		const model_branch *b = &a->branches.v[way[i]];
		double loss = r->flow[way[i]].loss_pa, now = r->pressure_pa[b->to];
		if (b->kind == AIR_FAN) {
			rise -= loss;
		} else {
			textbuf_printf(&formula, "%sΔp of %u", k ? " + " : "", way[i] + 1);
			textbuf_printf(&numbers, "%s#", k ? " + " : "");
			v[k++] = loss;
		}
		if (i + 1 < n)
			worked_put(w, arena_printf(w->mem, "In %s", space(w, m, b->to)),
				   arena_printf(w->mem, b->kind == AIR_FAN ? "p = p + Δp of %u" : "p = p - Δp of %u",
						way[i] + 1),
				   b->kind == AIR_FAN ? "# + #" : "# - #", WITH(before, fabs(loss)), WORKED_PRESSURE,
				   now, NULL);
		before = now;
	}
	worked_put(w, "All that it costs is what the fan gives", formula.v, numbers.v, v, WORKED_PRESSURE, rise,
		   "Round a closed way the pressures add up to nothing");
	for (model_ref s = 0; s < a->spaces.n; s++) balance(w, m, condition, s);
}

/* ---- the room and the dust
 * ------------------------------------------------------------------------------------------------ */

static double into_room(const model *m, int condition) {
	double sum = 0;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		double q = m->air.result[condition].flow[i].flow_m3_s;
		if (m->air.branches.v[i].to == 0) sum += fmax(0, q);
		if (m->air.branches.v[i].from == 0) sum += fmax(0, -q);
	}
	return sum;
}

static void room_and_dust(worked *w, const model *m, int condition) {
	const model_air *a = &m->air;
	bool room = known(a->room_changes_per_h) && known(a->room_m3) && condition == 1;
	bool dust = known(a->dust_kg_s) && known(a->hours_to_dirty), trough = known(a->hours_to_full_trough);
	if (!room && !dust && !trough) return;
	worked_head(w, "The room and the dust");
	double size = w->ms == MEASURES_INCH ? 0.028316846592 : 1;
	if (room)
		worked_put(w, "Room air changes", "n = 3600 Q / V",
			   w->ms == MEASURES_INCH ? "3600 × # / (# × 0.0283168)" : "3600 × # / #",
			   WITH(into_room(m, condition), a->room_m3 / size), WORKED_PER_HOUR, a->room_changes_per_h,
			   NULL);
	if (dust)
		worked_put(w, "Hours until the filters are due", "t = dust held / dust made in an hour", "% / %",
			   WITH(a->dust_held_kg, a->dust_kg_s * 3600), WORKED_HOURS, a->hours_to_dirty,
			   "All dust made is taken to reach the filters; coarse dust falls before them");
	if (trough)
		worked_put(w, "Hours until the trough is full", "t = V × bulk density / dust made in an hour",
			   w->ms == MEASURES_INCH ? "# × 0.0283168 × # / %" : "# × # / %",
			   WITH(a->trough_m3 / size, a->dust_bulk_kg_m3, a->dust_kg_s * 3600), WORKED_HOURS,
			   a->hours_to_full_trough, "All dust made is taken to fall into it");
}

worked worked_air(arena *mem, const model *m, int condition) {
	worked w = {.mem = mem, .ms = m->measures};
	if (!m->air.given || !m->air.result[condition].solved) return w;
	air_itself(&w, m);
	for (size_t i = 0; i < m->air.branches.n; i++) branch(&w, m, condition, i);
	round_the_way(&w, m, condition);
	room_and_dust(&w, m, condition);
	return w;
}
