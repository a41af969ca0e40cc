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

/* Moist air: the vapour takes the place of dry air and is lighter. */
static void moist_density(worked *w, const model_air *a, double p, double t) {
	static const char *const HYLAND =
		"Hyland and Wexler, in the form of the ASHRAE Handbook of Fundamentals, chapter 1 (over water)";
	if (!(a->humidity > 0)) {
		worked_put(w, "Density", "ρ = p / (287.05 T)", "# / (287.05 × #)", WITH(p, t), WORKED_DENSITY,
			   a->density_kg_m3, "Dry air as an ideal gas");
		return;
	}
	double full = airlaw_saturation(t), vapour = a->humidity * full;
	if (t >= 273.15)
		worked_put(w, "Pressure of saturated vapour",
			   "p = e^(-5800.2206 / T + 1.3914993 - 0.048640239 T + 0.000041764768 T² - 0.000000014452093 "
			   "T³ + "
			   "6.5459673 ln T)",
			   "2.718281828459^(-5800.2206 / # + 1.3914993 - 0.048640239 × # + 0.000041764768 × #² - "
			   "0.000000014452093 × #³ + 6.5459673 × ln(#))",
			   WITH(t, t, t, t, t), WORKED_VAPOUR, full, HYLAND);
	worked_put(w, "Of it in this air", "p' = φ p", "# × #", WITH(a->humidity, full), WORKED_VAPOUR, vapour, NULL);
	worked_put(w, "Density", "ρ = (p - p') / (287.05 T) + p' / (461.52 T)",
		   "(# - #) / (287.05 × #) + # / (461.52 × #)", WITH(p, vapour, t, vapour, t), WORKED_DENSITY,
		   a->density_kg_m3, "Air and vapour as ideal gases");
}

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
	moist_density(w, a, p, t);
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
			   WITH(m->air.result[condition].into_room_m3_s, a->room_m3 / size), WORKED_PER_HOUR,
			   a->room_changes_per_h, NULL);
	if (room && known(a->decay_s))
		worked_put(w, "Until 1 % of the dust in the air is left", "t = 60 ln(100) / n × mixing",
			   "60 × ln(100) / # × #", WITH(a->room_changes_per_h, a->mixing), WORKED_MINUTES,
			   a->decay_s / 60, "MMWR 43(RR-13), Table S3-1; no further source of dust");
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

/* ---- where dust is released
 * --------------------------------------------------------------------------------------------- */

/* What catches it, as model_release counts it: area, and the longer side. */
static double catching_area(const model_branch *b) { return b->kind == AIR_OPENINGS ? b->grille_m2 : b->plan_m2; }

static double catching_length(const model *m, const model_branch *b) {
	double longer = 0;
	if (b->kind == AIR_OPENINGS) return b->grille_long_m;
	if (b->kind == AIR_DUCT) return fmax(b->side_m[0], b->side_m[1]);
	for (int i = 0; i < 3 && b->part < m->parts.n; i++)
		if (i != (int)m->parts.v[b->part].thick_axis)
			longer = fmax(longer, rat_double(box_size(m->parts.v[b->part].box, (axis)i)) / 1000);
	return longer;
}

static void release(worked *w, const model *m, const model_release *r, int condition) {
	static const char *const CAPTURE =
		"DallaValle, as in ACGIH Industrial Ventilation and the OSHA Technical Manual";
	const model_branch *b = &m->air.branches.v[r->branch];
	double q = fabs(m->air.result[condition].flow[r->branch].flow_m3_s), v = r->speed_m_s[condition],
	       x = r->distance_m;
	double area = catching_area(b);
	const char *what = arena_printf(w->mem, "Speed brought to the dust before %s", plain(w->mem, b->name));
	if (r->over || !isfinite(v)) return;
	switch (r->hood) {
	case HOOD_PLAIN:
		worked_put(w, what, "v = Q / (10 X² + A), plain opening", "# / (10 × @² + $)", WITH(q, x, area),
			   WORKED_SPEED, v, CAPTURE);
		break;
	case HOOD_FLANGED:
		worked_put(w, what, "v = Q / (0.75 (10 X² + A)), flanged opening", "# / (0.75 × (10 × @² + $))",
			   WITH(q, x, area), WORKED_SPEED, v, CAPTURE);
		break;
	case HOOD_SLOT:
	case HOOD_SLOT_FLANGED: {
		bool plain_slot = r->hood == HOOD_SLOT;
		double k = plain_slot ? 3.7 : 2.6;
		worked_put(w, what, plain_slot ? "v = Q / (3.7 L X), slot" : "v = Q / (2.6 L X), flanged slot",
			   "# / (# × @ × @)", WITH(q, k, catching_length(m, b), x), WORKED_SPEED, v, CAPTURE);
		break;
	}
	case HOOD_BOOTH:
	case HOOD_KINDS:
		worked_put(w, what, "v = Q / A, booth", "# / $", WITH(q, b->plan_m2), WORKED_SPEED, v, CAPTURE);
		break;
	}
}

static void releases(worked *w, const model *m, int condition) {
	bool head = false;
	for (size_t i = 0; i < m->air.releases.n; i++) {
		const model_release *r = &m->air.releases.v[i];
		if (r->over || !isfinite(r->speed_m_s[condition])) continue;
		if (!head) worked_head(w, "Where dust is released"), head = true;
		release(w, m, r, condition);
	}
	const model_air_result *r = &m->air.result[condition];
	if (!(r->makeup_m3_s > 0)) return;
	worked_head(w, "What must come in from outdoors");
	worked_put(w, "Make-up air", "Q = all that is blown outdoors", "#", WITH(r->into_room_m3_s), WORKED_FLOW,
		   r->makeup_m3_s, NULL);
	if (isfinite(r->makeup_pa))
		worked_put(w, "The room lies below outdoors by", "Δp = 2.78 × ½ ρ (Q / A)²",
			   "2.78 × 0.5 × # × (# / $)²", WITH(m->air.density_kg_m3, r->makeup_m3_s, m->air.makeup_m2),
			   WORKED_PRESSURE, r->makeup_pa,
			   "K 2.78 of a sharp opening, 1 + 1.78: ACGIH Industrial Ventilation");
}

worked worked_air(arena *mem, const model *m, int condition) {
	worked w = {.mem = mem, .ms = m->measures};
	if (!m->air.given || !m->air.result[condition].solved) return w;
	air_itself(&w, m);
	for (size_t i = 0; i < m->air.branches.n; i++) branch(&w, m, condition, i);
	round_the_way(&w, m, condition);
	releases(&w, m, condition);
	room_and_dust(&w, m, condition);
	return w;
}
