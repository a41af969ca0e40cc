/* Openings, gaps, ducts and leaks, worked out. */
#include <math.h>
#include <string.h>

#include "runtime/engine/airfit.h"
#include "runtime/engine/airlaw.h"
#include "runtime/write/worked_air.h"

static const double PI = 3.14159265358979323846;
static const char *const THIN =
	"Thin plate after Idelchik, Handbook of Hydraulic Resistance (memory); thick plate: Blevins, Applied Fluid "
	"Dynamics Handbook, 1984; between them by Idelchik's function of thickness (memory), the blend is ours";
static const char *const STEPS =
	"Step of the area: Borda-Carnot where it widens, half of what is narrowed (textbook, memory)";

static double mm(rat r) { return rat_double(r); }
static bool near(double a, double b) { return fabs(a - b) <= 1e-6 * fmax(fabs(a), fabs(b)); }

void worked_plate(worked *w, double f, double thick_m, double hole_m, double k) {
	double s = thick_m / hole_m, thin = airlaw_plate_thin(f), thick = airlaw_plate_thick(f);
	double weight = airlaw_plate_weight(s);
	worked_put(w, "K of a thin plate", "K₁ = (0.707 √(1 - f) + 1 - f)²", "(0.707 × √(1 - #) + 1 - #)²", WITH(f, f),
		   WORKED_NUMBER, thin, THIN);
	worked_put(w, "K of a thick plate", "K₂ = 0.5 (1 - f) + 1 - f²", "0.5 × (1 - #) + 1 - #²", WITH(f, f),
		   WORKED_NUMBER, thick, THIN);
	if (s > 0)
		worked_put(w, "Thickness over hole", "s = t / d", "@ / @", WITH(thick_m, hole_m), WORKED_NUMBER, s,
			   NULL);
	if (s == 0) {
		worked_put(w, "K of this plate", "K = K₁, for it has no thickness", "#", WITH(thin), WORKED_NUMBER, k,
			   THIN);
		return;
	}
	if (weight > 0)
		worked_put(w, "Weight of the thin plate",
			   "τ = (2.4 - s) × 10^-(0.25 + 0.535 s⁸ / (0.05 + s⁷)) / (2.4 × 10^-0.25)",
			   "(2.4 - #) / 10^(0.25 + 0.535 × #^8 / (0.05 + #^7)) × 10^0.25 / 2.4", WITH(s, s, s),
			   WORKED_NUMBER, weight, THIN);
	worked_put(w, "K of this plate", "K = K₂ + τ (K₁ - K₂)", "# + # × (# - #)", WITH(thick, weight, thin, thick),
		   WORKED_NUMBER, k, THIN);
}

double worked_velocity_pressure(worked *w, const worked_state *s, const char *what, double v) {
	double p = s->m->air.density_kg_m3 * v * v / 2;
	worked_put(w, what, "p = ½ ρ v²", "0.5 × # × #²", WITH(s->m->air.density_kg_m3, v), WORKED_PRESSURE, p,
		   "Bernoulli; in standard air (v / 4005)² in.wg with v in ft/min");
	return p;
}

static void speed(worked *w, const worked_state *s, const char *what) {
	worked_put(w, what, "v = Q / A", "# / #", WITH(fabs(s->f->flow_m3_s), s->area_m2), WORKED_SPEED,
		   fabs(s->f->speed_m_s), NULL);
}

static void loss_of(worked *w, const worked_state *s, double k, double p, const char *source) {
	worked_put(w, "Pressure it costs", "Δp = K p", "# × #", WITH(k, p), WORKED_PRESSURE, fabs(s->f->loss_pa),
		   source);
}

/* ---- openings -----------------------------------------------------------------------------------------------------
 */

/* Area of one: the bore of what is seated in it, or the opening's own shape. */
static double one_area(worked *w, const worked_state *s) {
	const model *m = s->m;
	const model_branch *b = s->b;
	const model_pattern *p = b->pattern < m->patterns.n ? &m->patterns.v[b->pattern] : NULL;
	const model_sheet_of_pattern *sheet = p ? model_pattern_sheet(p, b->part) : NULL;
	if (!sheet) return NAN;
	const char *what = "Area of one opening";
	if (sheet->collar < m->stocks.n && rat_ok(m->stocks.v[sheet->collar].bore.mm)) {
		double d = mm(m->stocks.v[sheet->collar].bore.mm) / 1000;
		worked_put(w, "Area of one bore", "A₁ = π d² / 4", "3.14159265 × @² / 4", WITH(d), WORKED_AREA,
			   PI * d * d / 4, NULL);
		return PI * d * d / 4;
	}
	double a = mm(sheet->shape.a) / 1000, c = mm(sheet->shape.b) / 1000;
	double one = model_shape_area_mm2(&sheet->shape) / 1e6;
	double r = rat_ok(sheet->shape.corner) ? mm(sheet->shape.corner) / 1000 : 0;
	switch (sheet->shape.kind) {
	case SHAPE_ROUND:
		worked_put(w, what, "A₁ = π d² / 4", "3.14159265 × @² / 4", WITH(a), WORKED_AREA, one, NULL);
		break;
	case SHAPE_SLOT:
		worked_put(w, what, "A₁ = (a - b) b + π b² / 4", "(@ - @) × @ + 3.14159265 × @² / 4", WITH(a, c, c, c),
			   WORKED_AREA, one, NULL);
		break;
	case SHAPE_RECT:
		if (r > 0)
			worked_put(w, what, "A₁ = a b - (4 - π) r²", "@ × @ - (4 - 3.14159265) × @²", WITH(a, c, r),
				   WORKED_AREA, one, NULL);
		else
			worked_put(w, what, "A₁ = a b", "@ × @", WITH(a, c), WORKED_AREA, one, NULL);
		break;
	case SHAPE_OUTLINE:
		worked_put(w, what, "A₁ within its outline", "#", WITH(one), WORKED_AREA, one, NULL);
		break;
	}
	if (sheet->shape.kind != SHAPE_ROUND)
		worked_put(w, "Hydraulic diameter", "d = 4 A₁ / U, U its edge", "4 × # / @",
			   WITH(one, model_shape_edge_mm(&sheet->shape) / 1000), WORKED_LENGTH, b->hole_m, NULL);
	return one;
}

/* All of them, less what lies across; and what of them the condition leaves uncovered. */
static void open_area(worked *w, const worked_state *s, const char *all, const char *numbers, const double *v) {
	const model_branch *b = s->b;
	bool across = b->gross_m2 > b->open_m2 * (1 + 1e-6);
	if (b->count != 1 || b->kind == AIR_GAP)
		worked_put(w, "All of it", all, numbers, v, WORKED_AREA, b->gross_m2, NULL);
	if (across)
		worked_put(w, "Less what lies across", "A = A₀ - A'", "# - #",
			   WITH(b->gross_m2, b->gross_m2 - b->open_m2), WORKED_AREA, b->open_m2,
			   "A' from the drawing: what of the openings lies under other parts");
	if (!near(s->area_m2, b->open_m2))
		worked_put(w, "Left uncovered", "A = A₀ (1 - c)", "# × (1 - #)",
			   WITH(b->open_m2, 1 - s->area_m2 / b->open_m2), WORKED_AREA, s->area_m2, NULL);
}

static const model_branch *in_stream(const model *m, const model_branch *b, bool behind) {
	if (behind && !b->runs_on) return NULL;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *o = &m->air.branches.v[i];
		if (o == b) continue;
		if (behind ? o->from == b->to : o->to == b->from && o->runs_on) return o;
	}
	return NULL;
}

/* From one area into another, on the speed in the first. */
static double step(worked *w, const char *what, double from, double to) {
	double k = 0;
	if (to >= from) {
		k = airlaw_expansion(from, to);
		worked_put(w, what, "K = (1 - A₁ / A₂)²", "(1 - # / #)²", WITH(from, to), WORKED_NUMBER, k, STEPS);
		return k;
	}
	k = 0.5 * (1 - to / from) * (from / to) * (from / to);
	worked_put(w, what, "K = ½ (1 - A₂ / A₁) (A₁ / A₂)²", "0.5 × (1 - # / #) × (# / #)²", WITH(to, from, from, to),
		   WORKED_NUMBER, k, STEPS);
	return k;
}

/* An opening in a stream that comes from or goes on to a fan or duct. */
static void stream_k(worked *w, const worked_state *s, const model_branch *before, const model_branch *after) {
	static const char *const ENDS =
		"Entry of a flanged opening 0.49: ACGIH Industrial Ventilation; exit 1: the speed is lost (textbook)";
	double in = before ? 0 : AIRLAW_FH_FLANGED, out = 1;
	if (after) out = step(w, "Step to what is next", s->b->open_m2, after->open_m2);
	worked_put(w, "K of this opening",
		   before && after ? "K = K of the step"
		   : before	   ? "K = K of the exit"
		   : after	   ? "K = entry + step"
				   : "K = entry + exit",
		   "# + #", WITH(in, out), WORKED_NUMBER, s->b->k, ENDS);
}

void worked_openings(worked *w, const worked_state *s) {
	const model *m = s->m;
	const model_branch *b = s->b;
	double one = one_area(w, s);
	open_area(w, s, "A₀ = n A₁", "# × #", WITH(b->count, one));
	const model_branch *before = in_stream(m, b, false), *after = in_stream(m, b, true);
	if (before || after) {
		stream_k(w, s, before, after);
	} else {
		const box3 *box = &m->parts.v[b->part].box;
		axis through = m->patterns.v[b->pattern].through, u = through == AXIS_X ? AXIS_Y : AXIS_X;
		axis v = through == AXIS_Z ? AXIS_Y : AXIS_Z;
		double f = fmin(1, b->open_m2 / b->plan_m2);
		worked_put(w, "Face of the sheet", "F = a b", "@ × @",
			   WITH(mm(box_size(*box, u)) / 1000, mm(box_size(*box, v)) / 1000), WORKED_AREA, b->plan_m2,
			   NULL);
		worked_put(w, "Free part of the face", "f = A / F", "# / #", WITH(b->open_m2, b->plan_m2),
			   WORKED_NUMBER, f, NULL);
		worked_plate(w, f, b->thick_m, b->hole_m, b->k);
	}
	speed(w, s, "Speed in the openings");
	if (s->face_m2 > 0)
		worked_put(w, "Speed over the face", "V = Q / F", "# / #", WITH(fabs(s->f->flow_m3_s), s->face_m2),
			   WORKED_SPEED, fabs(s->f->face_m_s), NULL);
	loss_of(w, s, b->k, worked_velocity_pressure(w, s, "Velocity pressure", fabs(s->f->speed_m_s)), NULL);
}

void worked_leak(worked *w, const worked_state *s) {
	worked_put(w, "Its area, from the plan", "A", "$", WITH(s->b->open_m2), WORKED_AREA, s->b->open_m2, NULL);
	speed(w, s, "Speed in it");
	loss_of(w, s, s->b->k, worked_velocity_pressure(w, s, "Velocity pressure", fabs(s->f->speed_m_s)),
		"K 2.78 of a sharp opening, 1 + 1.78: ACGIH Industrial Ventilation");
}

/* ---- along walls ---------------------------------------------------------------------------------------------------
 */

/* Friction factor of the speed; NaN where the formula is none for a pocket calculator. */
static double friction(worked *w, const worked_state *s, double v, double d, double rough) {
	static const char *const COLEBROOK =
		"Darcy-Weisbach; friction factor: Colebrook from Re 4000, 64/Re below 2300, joined "
		"between (the joining is ours); viscosity after Sutherland (memory)";
	const model_air *a = &s->m->air;
	double re = a->density_kg_m3 * v * d / a->viscosity_pa_s, e = rough / d, f = airlaw_friction(re, e);
	worked_put(w, "Reynolds number", "Re = ρ v d / μ", "# × # × @ / #",
		   WITH(a->density_kg_m3, v, d, a->viscosity_pa_s), WORKED_NUMBER, re, NULL);
	if (re < 2300)
		worked_put(w, "Friction factor", "f = 64 / Re", "64 / #", WITH(re), WORKED_NUMBER, f, COLEBROOK);
	else if (re >= 4000)
		worked_put(w, "Friction factor", "1 / √f = -2 log(ε / (3.7 d) + 2.51 / (Re √f)), f on both sides",
			   "1 / (2 × log(@ / (3.7 × @) + 2.51 / (# × √(#))))²", WITH(rough, d, re, f), WORKED_NUMBER, f,
			   COLEBROOK);
	else
		worked_put(w, "Friction factor", "between 64 / Re and Colebrook", "#", WITH(f), WORKED_NUMBER, f,
			   COLEBROOK);
	return f;
}

void worked_gap(worked *w, const worked_state *s) {
	const model_branch *b = s->b;
	const box3 *box = &s->m->parts.v[b->part].box;
	axis through = s->m->parts.v[b->part].thick_axis, u = through == AXIS_X ? AXIS_Y : AXIS_X;
	axis v = through == AXIS_Z ? AXIS_Y : AXIS_Z;
	double wide = mm(box_size(*box, u)) / 1000, high = mm(box_size(*box, v)) / 1000,
	       speed_m_s = fabs(s->f->speed_m_s);
	open_area(w, s, "A₀ = a b", "@ × @", WITH(wide, high));
	worked_put(w, "Hydraulic diameter", "d = 4 A / U, U = 2 (a + b)", "4 × # / (2 × (@ + @))",
		   WITH(b->open_m2, wide, high), WORKED_LENGTH, b->hole_m, NULL);
	worked_plate(w, 0, b->thick_m, b->hole_m, b->k);
	speed(w, s, "Speed in the gap");
	double p = worked_velocity_pressure(w, s, "Velocity pressure", speed_m_s);
	if (!(b->thick_m > 0) || AIRLAW_WALL_ROUGHNESS_M > 0.05 * b->hole_m) {
		loss_of(w, s, b->k, p, NULL);
		return;
	}
	double f = friction(w, s, speed_m_s, b->hole_m, AIRLAW_WALL_ROUGHNESS_M);
	worked_put(w, "Pressure it costs", "Δp = (K + f t / d) p", "(# + # × @ / @) × #",
		   WITH(b->k, f, b->thick_m, b->hole_m, p), WORKED_PRESSURE, fabs(s->f->loss_pa),
		   "Walls as rough as plywood, 0.1 mm: 0.03 to 0.12 mm after Idelchik");
}

static const char *fitting_source(const char *word) {
	for (int i = 0; i < AIRFIT_KINDS; i++)
		if (strcmp(AIRFIT_ROWS[i].word, word) == 0) return AIRFIT_ROWS[i].source;
	return NULL;
}

/* The round bore that rubs as much as a rectangular duct at the same flow, and the speed that the flow has in it. */
static double equal_bore(worked *w, const worked_state *s) {
	static const char *const HUEBSCHER = "Huebscher, 1948: a round duct of equal flow and friction";
	const model_branch *b = s->b;
	double a = b->side_m[0], c = b->side_m[1], area = PI * b->hole_m * b->hole_m / 4;
	double v = fabs(s->f->flow_m3_s) / area;
	worked_put(w, "Bore of equal friction", "d = 1.30 (a b)^0.625 / (a + b)^0.25",
		   "1.3 × (@ × @)^0.625 / (@ + @)^0.25", WITH(a, c, a, c), WORKED_LENGTH, b->hole_m, HUEBSCHER);
	worked_put(w, "Speed in that bore", "v₁ = 4 Q / (π d²)", "1.2732395 × # / @²",
		   WITH(fabs(s->f->flow_m3_s), b->hole_m), WORKED_SPEED, v, HUEBSCHER);
	return v;
}

void worked_duct(worked *w, const worked_state *s) {
	const model_branch *b = s->b;
	double v = fabs(s->f->speed_m_s), bore_v = v;
	bool flat = b->side_m[0] > 0;
	if (flat)
		worked_put(w, "Section", "A = a b", "@ × @", WITH(b->side_m[0], b->side_m[1]), WORKED_AREA, b->open_m2,
			   NULL);
	else
		worked_put(w, "Bore", "A = n π d² / 4", "# × 3.14159265 × @² / 4", WITH(b->count, b->hole_m),
			   WORKED_AREA, b->open_m2, NULL);
	speed(w, s, "Speed in the duct");
	if (flat) bore_v = equal_bore(w, s);
	double f = friction(w, s, bore_v, b->hole_m, b->roughness_m);
	double ends = b->k - b->loss_k, long_m = b->length_m + b->fittings_m, named = 0;
	for (size_t i = 0; i < b->fittings.n; i++) {
		const model_fitting *t = &b->fittings.v[i];
		named += t->k;
		worked_put(w, arena_printf(w->mem, "K of its %s", t->word), "K by its form", "#", WITH(t->k),
			   WORKED_NUMBER, t->k, fitting_source(t->word));
	}
	if (b->fittings_m > 0)
		worked_put(w, "Length with its fittings' walls", "L = L₀ + L of the fittings", "@ + @",
			   WITH(b->length_m, b->fittings_m), WORKED_LENGTH, long_m, NULL);
	if (!b->ends_given)
		worked_put(
			w, "K of fittings and ends", "K = ΣK named + K declared + entry and exit", "# + # + #",
			WITH(named, b->loss_k - named, ends), WORKED_NUMBER, b->k,
			"Plain entry 0.93: ACGIH Industrial Ventilation; exit 1; next to an opening, a fan or another "
			"duct the end is counted there");
	double p = worked_velocity_pressure(w, s, "Velocity pressure", v);
	if (flat) {
		double rubs = f * long_m / b->hole_m * s->m->air.density_kg_m3 * bore_v * bore_v / 2;
		worked_put(w, "Friction along it", "Δp₁ = f L / d × ½ ρ v₁²", "# × @ / @ × 0.5 × # × #²",
			   WITH(f, long_m, b->hole_m, s->m->air.density_kg_m3, bore_v), WORKED_PRESSURE, rubs, NULL);
		bool shut = b->one_way && b->opens_pa > 0;
		worked_put(w, "Pressure it costs", shut ? "Δp = Δp₁ + K p + what opens the damper" : "Δp = Δp₁ + K p",
			   shut ? "# + # × # + &" : "# + # × #", WITH(rubs, b->k, p, b->opens_pa), WORKED_PRESSURE,
			   fabs(s->f->loss_pa), NULL);
		return;
	}
	if (b->one_way && b->opens_pa > 0)
		worked_put(w, "Pressure it costs", "Δp = (f L / d + K) p + what opens the damper",
			   "(# × @ / @ + #) × # + &", WITH(f, long_m, b->hole_m, b->k, p, b->opens_pa), WORKED_PRESSURE,
			   fabs(s->f->loss_pa), NULL);
	else
		worked_put(w, "Pressure it costs", "Δp = (f L / d + K) p", "(# × @ / @ + #) × #",
			   WITH(f, long_m, b->hole_m, b->k, p), WORKED_PRESSURE, fabs(s->f->loss_pa), NULL);
}
