/* The four conditions of the air: from branches with areas to networks, and the answers back into the model. */
#include "compiler/air.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "runtime/base/text.h"
#include "runtime/engine/airlaw.h"
#include "runtime/engine/airnet.h"

static const double PI = 3.14159265358979323846;

/* Below this Reynolds number on the hole the square law gives way to a straight line. Only so that the law has a slope
 * at rest; sharp holes leave the square law near 10 to 100 (memory). */
static const double CREEP_REYNOLDS = 10;

enum { DIRTY = 1 }; /* bit of a condition's number, and the condition that the plan is judged by */

static bool known(double v) { return v > 0 && isfinite(v); }

const char *air_branch_words(arena *mem, const model *m, model_ref branch) {
	const model_branch *b = &m->air.branches.v[branch];
	return arena_printf(mem, "%s %s", MODEL_AIR_WORD[b->kind], b->name);
}

/* ---- laws of one condition -------------------------------------------------------------------- */

typedef struct build {
	const model *m;
	arena *mem;
	diags *d; /* NULL: say nothing */
	int condition;
	bool good;
} build;

static bool dirty(const build *w) { return w->condition & DIRTY; }

static double left_open(const build *w, const model_branch *b) {
	return known(b->open_m2) ? model_open_m2(b, w->condition) / b->open_m2 : 1;
}

/* Square law K 1/2 rho (q/A)^2 of an area, with its creep. */
static void square_law(const build *w, airnet_branch *n, double k, double area_m2, double hole_m) {
	double rho = w->m->air.density_kg_m3;
	n->square_pa_s2_m6 = k * rho / (2 * area_m2 * area_m2);
	if (known(hole_m)) n->creep_m3_s = CREEP_REYNOLDS * w->m->air.viscosity_pa_s / (rho * hole_m) * area_m2;
}

static void openings_law(build *w, const model_branch *b, airnet_branch *n) {
	n->closed = left_open(w, b) <= 0;
	if (!n->closed) square_law(w, n, b->k, b->open_m2 * left_open(w, b), b->hole_m);
}

/* A gap is so many round passages of its hydraulic diameter side by side: entry and exit by the thickness, friction
 * along it. */
static void gap_law(build *w, const model_branch *b, airnet_branch *n) {
	double one = PI * b->hole_m * b->hole_m / 4, open = b->open_m2 * left_open(w, b);
	n->closed = !(open > 0);
	if (n->closed) return;
	n->count = open / one;
	square_law(w, n, b->k, one, b->hole_m);
	n->has_duct = AIRLAW_WALL_ROUGHNESS_M <= 0.05 * b->hole_m && b->thick_m > 0;
	n->duct = (airlaw_duct){b->hole_m, b->thick_m, AIRLAW_WALL_ROUGHNESS_M, 0};
}

static void duct_law(build *w, const model_branch *b, airnet_branch *n) {
	n->count = b->count * left_open(w, b);
	n->closed = !(n->count > 0);
	n->has_duct = true;
	n->one_way = b->one_way;
	n->opens_pa = b->one_way ? b->opens_pa : 0;
	double long_m = b->length_m + b->fittings_m;
	n->duct = (airlaw_duct){b->hole_m, long_m, b->roughness_m, b->k};
	if (b->side_m[0] > 0) n->duct = airlaw_rectangular(b->side_m[0], b->side_m[1], long_m, b->roughness_m, b->k);
}

static void leak_law(build *w, const model_branch *b, airnet_branch *n) {
	n->closed = left_open(w, b) <= 0;
	if (!n->closed) square_law(w, n, b->k, b->open_m2 * left_open(w, b), sqrt(b->open_m2));
}

/* Published points of a stock as a curve; a loss curve begins at rest. Complains and gives NULL when it is none. */
static const airnet_curve *curve_of(build *w, const model_branch *b, const model_stock *s, bool loss) {
	double *flow = ARENA_MANY(w->mem, double, s->curve.n + 1),
	       *pressure = ARENA_MANY(w->mem, double, s->curve.n + 1);
	size_t n = 0;
	if (loss && s->curve.n && s->curve.v[0].flow_m3_s > 0) n++; /* (0, 0) */
	for (size_t i = 0; i < s->curve.n; i++, n++) {
		flow[n] = s->curve.v[i].flow_m3_s;
		pressure[n] = s->curve.v[i].pressure_pa;
		bool rises = !n || pressure[n] > pressure[n - 1], along = !n || flow[n] > flow[n - 1];
		if (along && flow[n] >= 0 && pressure[n] >= 0 && (!loss || rises)) continue;
		if (loss && n == 0 && flow[n] == 0 && pressure[n] == 0) continue;
		w->good = false;
		if (!w->d) return NULL;
		diag *g = diag_error(w->d, "air-figure", s->curve.v[i].at,
				     "point %zu of the curve of %s does not follow on the one before it", i + 1,
				     s->label);
		diag_add_note(w->d, g, b->at, "the air goes through it here");
		diag_add_help(w->d, g,
			      loss ? "flow and loss of a filter rise from point to point"
				   : "the flows rise from point to point and no pressure is below zero");
		return NULL;
	}
	airnet_curve *c = ARENA_NEW(w->mem, airnet_curve);
	bool good = airnet_curve_make(w->mem, flow, pressure, n, c);
	if (good && loss && (flow[0] != 0 || pressure[0] != 0)) good = false;
	if (!good) {
		w->good = false;
		if (w->d)
			diag_error(w->d, "air-figure", b->at, "the curve of %s is none: it needs two points or more",
				   s->label);
		return NULL;
	}
	return c;
}

static void filter_law(build *w, const model_branch *b, airnet_branch *n) {
	const model_stock *s = &w->m->stocks.v[b->stock];
	n->count = b->count;
	n->curve = curve_of(w, b, s, true);
	if (!dirty(w) || !n->curve || !known(s->dirty_pa.v)) return;
	size_t last = n->curve->n - 1;
	double at = known(s->dirty_flow_m3_s.v) ? s->dirty_flow_m3_s.v : n->curve->flow_m3_s[last];
	double clean = airnet_curve_at(n->curve, at, NULL);
	/* Beyond the measured points the clean loss is not known: the last one is the least it can be. */
	if (!(at <= n->curve->flow_m3_s[last])) clean = n->curve->pressure_pa[last];
	n->linear_pa_s_m3 = (s->dirty_pa.v - clean) / at;
	if (n->linear_pa_s_m3 >= 0) return;
	w->good = false;
	n->linear_pa_s_m3 = 0;
	if (!w->d) return;
	diag *g = diag_error(w->d, "air-figure", s->dirty_pa.at,
			     "%s is due for a change at %s, but clean it takes %s at that flow", s->label,
			     quant_show_si(w->mem, DIM_PRESSURE, s->dirty_pa.v, w->m->measures),
			     quant_show_si(w->mem, DIM_PRESSURE, clean, w->m->measures));
	diag_add_help(w->d, g, "the loss when dirty lies above the clean curve; give the flow it was measured at");
}

/* r1 goes with the viscosity and r2 with the density, both against standard air (Darcy and Forchheimer). */
static void tubes_law(build *w, const model_branch *b, airnet_branch *n) {
	const model_stock *s = &w->m->stocks.v[b->stock];
	const model_air *a = &w->m->air;
	double r1 =
		known(s->media_r1_pa_s_m.v) ? s->media_r1_pa_s_m.v * a->viscosity_pa_s / AIRLAW_STANDARD_VISCOSITY : 0;
	double r2 =
		known(s->media_r2_pa_s2_m2.v) ? s->media_r2_pa_s2_m2.v * a->density_kg_m3 / AIRLAW_STANDARD_DENSITY : 0;
	if (!(r1 > 0) && !(r2 > 0)) {
		w->good = false;
		if (!w->d) return;
		diag *g = diag_error(w->d, "air-figure", b->at, "media %s has no resistance", s->label);
		diag_add_note(w->d, g, s->at, "declared here");
		diag_add_help(w->d, g, "give its permeability or its resistance");
		return;
	}
	if (dirty(w) && b->dirty_known)
		r1 += s->drag_per_s.v * s->dirty_load_kg_m2.v * a->viscosity_pa_s / AIRLAW_STANDARD_VISCOSITY;
	n->linear_pa_s_m3 = r1 / b->open_m2;
	n->square_pa_s2_m6 = r2 / (b->open_m2 * b->open_m2);
	/* What the air loses at the mouths of the tubes, when no way leads through their openings by name. */
	n->square_pa_s2_m6 += b->k * a->density_kg_m3 / (2 * b->plan_m2 * b->plan_m2);
}

double air_speed_ratio(const model *m, const model_branch *fan, int condition) {
	const model_stock *s = fan->stock < m->stocks.n ? &m->stocks.v[fan->stock] : NULL;
	const char *tap = model_condition_tap(m, condition);
	for (size_t i = 0; s && tap && i < s->taps.n; i++)
		if (text_same(s->taps.v[i].name, tap)) return s->taps.v[i].ratio;
	return 1;
}

static void fan_law(build *w, const model_branch *b, airnet_branch *n) {
	const model_stock *s = &w->m->stocks.v[b->stock];
	double published = known(s->curve_density_kg_m3.v) ? s->curve_density_kg_m3.v : AIRLAW_STANDARD_DENSITY;
	n->kind = AIRNET_FAN;
	n->count = b->count;
	n->curve = curve_of(w, b, s, false);
	n->density_ratio = w->m->air.density_kg_m3 / published;
	n->speed_ratio = air_speed_ratio(w->m, b, w->condition);
	n->stall_m3_s = known(s->stall_m3_s.v) ? s->stall_m3_s.v : NAN;
}

static double effect_of(const model_branch *b) {
	return (known(b->effect_k[0]) ? b->effect_k[0] : 0) + (known(b->effect_k[1]) ? b->effect_k[1] : 0);
}

static airnet build_network(build *w) {
	static void (*const EACH[AIR_KINDS])(build *, const model_branch *, airnet_branch *) = {
		[AIR_GAP] = gap_law, [AIR_OPENINGS] = openings_law, [AIR_FILTER] = filter_law, [AIR_TUBES] = tubes_law,
		[AIR_FAN] = fan_law, [AIR_DUCT] = duct_law,	    [AIR_LEAK] = leak_law,
	};
	const model_air *a = &w->m->air;
	airnet_branch *n = ARENA_MANY(w->mem, airnet_branch, 2 * a->branches.n + 1);
	size_t many = a->branches.n;
	uint32_t spaces = (uint32_t)a->spaces.n;
	w->good = true;
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		n[i].from = b->from;
		n[i].to = b->to;
		n[i].count = 1;
		EACH[b->kind](w, b, &n[i]);
		double k = effect_of(b);
		if (b->kind != AIR_FAN || !(k > 0)) continue;
		/* What a bent or short approach costs stands before the fan as a branch of its own, behind the model's.
		 */
		n[i].from = spaces++;
		n[many] = (airnet_branch){.from = b->from, .to = n[i].from, .count = 1};
		square_law(w, &n[many++], k, b->open_m2, sqrt(b->open_m2));
	}
	return (airnet){.n_spaces = spaces,
			.branches = n,
			.n_branches = many,
			.density_kg_m3 = a->density_kg_m3,
			.viscosity_pa_s = a->viscosity_pa_s};
}

/* ---- the air itself ------------------------------------------------------------------------------- */

static bool state_of_air(model *m, diags *d) {
	model_air *a = &m->air;
	if (!isfinite(a->altitude_m)) a->altitude_m = 0;
	if (!known(a->temperature_k)) a->temperature_k = AIRLAW_STANDARD_K;
	a->density_kg_m3 = airlaw_density_moist(a->altitude_m, a->temperature_k, a->humidity);
	a->viscosity_pa_s = airlaw_viscosity(a->temperature_k);
	if (known(a->density_kg_m3) && known(a->viscosity_pa_s)) return true;
	diag *g = diag_error(d, "air-figure", a->at, "no workshop's air stands at %.0f m and %.0f K", a->altitude_m,
			     a->temperature_k);
	diag_add_help(d, g, "altitudes from -500 to 11000 m and temperatures from -73 to 126 degC have a density");
	return false;
}

static bool stays_within(model *m, diags *d) {
	bool good = true;
	for (model_ref i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->from < m->air.spaces.n && b->to < m->air.spaces.n) continue;
		diag_error(d, "air-unsolved", b->at, "%s does not join two spaces", air_branch_words(d->mem, m, i));
		good = false;
	}
	return good;
}

/* ---- answers into the model ------------------------------------------------------------------------ */

/* Figures are kept to nine digits: further ones differ from machine to machine, and the files must not. */
double air_kept(double v) {
	if (!isfinite(v) || v == 0) return v;
	double scale = pow(10, 8 - floor(log10(fabs(v))));
	return isfinite(scale) && scale > 0 ? round(v * scale) / scale : v;
}

/* The next power of ten above a residual, for the same reason; `least` at the least. */
static double above(double v, double least) {
	while (least < v && least < 1e9) least *= 10;
	return least;
}

static void take_flows(const model *m, int condition, model_air_result *r, const airnet_result *n) {
	const model_air *a = &m->air;
	r->flow = ARENA_MANY(m->mem, model_flow, a->branches.n + 1);
	r->fan = ARENA_MANY(m->mem, model_fan_state, a->branches.n + 1);
	r->pressure_pa = ARENA_MANY(m->mem, double, a->spaces.n + 1);
	for (size_t i = 0; i < a->spaces.n; i++) r->pressure_pa[i] = air_kept(n->pressure_pa[i]);
	r->residual_m3_s = above(n->residual_m3_s, 1e-12);
	r->residual_pa = above(n->residual_pa, 1e-9);
	r->iterations = n->iterations;
	size_t effect = a->branches.n; /* the row of the next approach that costs something */
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		const airnet_fan_state *f = &n->fan[i];
		double q = n->flow_m3_s[i];
		/* The branch's loss is what lies between its spaces: the fan's rise less its approach. */
		double loss = n->loss_pa[i];
		if (b->kind == AIR_FAN && effect_of(b) > 0) loss += n->loss_pa[effect++];
		double open = model_open_m2(b, condition), plan = model_plan_m2(b, condition);
		r->flow[i] = (model_flow){
			.flow_m3_s = air_kept(q),
			.speed_m_s = open > 0 ? air_kept(q / open) : NAN,
			.face_m_s = plan > 0 ? air_kept(q / plan) : NAN,
			.loss_pa = air_kept(loss),
			.grille_m_s = known(b->grille_m2) ? air_kept(q / b->grille_m2) : NAN,
			.upward_m_s = b->kind == AIR_TUBES && known(b->box_m2) ? air_kept(q / b->box_m2) : NAN};
		if (b->kind != AIR_FAN) continue;
		r->fan[i] = (model_fan_state){.flow_m3_s = air_kept(f->flow_m3_s),
					      .rise_pa = air_kept(f->rise_pa),
					      .side = f->side,
					      .rising = f->rising,
					      .stall = f->stall,
					      .end_m3_s = air_kept(f->end_m3_s),
					      .gives_pa = air_kept(f->gives_pa),
					      .needs_pa = air_kept(f->needs_pa)};
		if (f->side) r->off_curve = true;
		if (f->stall || f->rising) r->in_stall = true;
		const model_stock *s = &m->stocks.v[b->stock];
		double shaft_w = airlaw_shaft_power(q, f->rise_pa, s->efficiency.v);
		r->shaft_w += air_kept(shaft_w);
		r->mains_w += air_kept(airlaw_motor_power(shaft_w, 1, s->motor_efficiency.v));
	}
}

/* Points on a fan's curve and on what it works against, for drawing: as many steps between its published ends. */
enum { SAMPLES = 24 };

static double sample_flow(const airnet_branch *b, int i) {
	double first = b->curve->flow_m3_s[0], last = b->curve->flow_m3_s[b->curve->n - 1];
	/* The last point is the published one to the bit, or it would lie off the curve. */
	return b->count * b->speed_ratio * (i == SAMPLES ? last : first + (last - first) * i / SAMPLES);
}

static void sample_needs(const model *m, model_air_result *r, const airnet *net) {
	arena scratch = {0};
	for (uint32_t k = 0; k < m->air.branches.n; k++) {
		const airnet_branch *b = &net->branches[k];
		double flow[SAMPLES + 1], needs[SAMPLES + 1];
		if (b->kind != AIRNET_FAN) continue;
		for (int i = 0; i <= SAMPLES; i++) flow[i] = sample_flow(b, i);
		airnet_needs_many(&scratch, net, k, flow, SAMPLES + 1, needs);
		for (int i = 0; i <= SAMPLES; i++) {
			double q = flow[i], p = needs[i];
			if (isfinite(p))
				LIST_PUSH(m->mem, &r->fan[k].needs,
					  ((model_curve_point){air_kept(q), air_kept(p), span_none()}));
			p = -airnet_drop(net, k, q);
			if (isfinite(p))
				LIST_PUSH(m->mem, &r->fan[k].gives,
					  ((model_curve_point){air_kept(q), air_kept(p), span_none()}));
		}
	}
	arena_end(&scratch);
}

static void sample_gives(model *m, const airnet *net) {
	for (uint32_t k = 0; k < m->air.branches.n; k++) {
		const airnet_branch *b = &net->branches[k];
		model_branch *to = &m->air.branches.v[k];
		to->gives.n = 0;
		for (int i = 0; i <= SAMPLES && b->kind == AIRNET_FAN; i++) {
			double q = sample_flow(b, i), p = -airnet_drop(net, k, q);
			if (isfinite(p))
				LIST_PUSH(m->mem, &to->gives,
					  ((model_curve_point){air_kept(q), air_kept(p), span_none()}));
		}
	}
}

static const char *why_words(const model *m, const airnet_result *n) {
	const char *words = AIRNET_TROUBLE_WORDS[n->trouble];
	if (n->branch != AIRNET_NONE)
		return arena_printf(m->mem, "%s: %s", air_branch_words(m->mem, m, n->branch), words);
	if (n->space != AIRNET_NONE) return arena_printf(m->mem, "space %s: %s", m->air.spaces.v[n->space].name, words);
	return words;
}

static void solve_condition(model *m, diags *d, int condition, bool tell) {
	model_air_result *r = &m->air.result[condition];
	*r = (model_air_result){.why_branch = MODEL_NONE, .why_space = MODEL_NONE};
	build w = {.m = m, .mem = m->mem, .d = tell ? d : NULL, .condition = condition};
	airnet net = build_network(&w);
	if (!w.good) {
		r->why_not = "figures are missing";
		return;
	}
	airnet_result n = airnet_solve(m->mem, &net);
	if (condition == DIRTY) sample_gives(m, &net);
	if (n.numbers) {
		take_flows(m, condition, r, &n);
		sample_needs(m, r, &net);
	}
	r->solved = n.trouble == AIRNET_SOLVED;
	if (r->solved) return;
	/* An approach to a fan has no row in the model: nothing is the matter with those. */
	if (n.branch >= m->air.branches.n) n.branch = AIRNET_NONE;
	if (n.space >= m->air.spaces.n) n.space = AIRNET_NONE;
	r->why_branch = n.branch == AIRNET_NONE ? MODEL_NONE : n.branch;
	r->why_space = n.space == AIRNET_NONE ? MODEL_NONE : n.space;
	r->why_not = why_words(m, &n);
	/* Fans off their curve and units beyond theirs are the checks' to report: they have the figures. */
	if (n.trouble == AIRNET_OFF_LEFT || n.trouble == AIRNET_OFF_RIGHT || n.trouble == AIRNET_OFF_LOSS) return;
	span at = n.branch != AIRNET_NONE					      ? m->air.branches.v[n.branch].at
		  : n.space != AIRNET_NONE && span_known(m->air.spaces.v[n.space].at) ? m->air.spaces.v[n.space].at
										      : m->air.at;
	diag *g = diag_error(d, "air-unsolved", at, "the air cannot be worked out: %s", r->why_not);
	if (condition % AIR_STATES > DIRTY && n.trouble == AIRNET_OPEN)
		diag_add_note(d, g, span_none(), "with the covered part of the face closed there is no other way in");
	if (n.trouble == AIRNET_OPEN)
		diag_add_help(d, g, "let the way go on to where it began, as: ... -> outlet -> room");
	if (n.trouble == AIRNET_NO_FAN) {
		for (size_t i = 0; i < m->parts.n; i++)
			if (m->parts.v[i].stock != MODEL_NONE && m->stocks.v[m->parts.v[i].stock].kind == STOCK_FAN)
				diag_add_note(d, g, m->parts.v[i].at, "%s stands in no way", m->parts.v[i].name);
		diag_add_help(d, g, "put a fan into the way");
	}
	if (n.trouble == AIRNET_NOT_JOINED) diag_add_help(d, g, "let a way lead from it to the room, or leave it out");
	if (n.trouble == AIRNET_NOT_UNIQUE)
		diag_add_help(d, g, "choose fans whose curves fall from no flow on, or less resistance");
}

/* ---- what follows from the flows --------------------------------------------------------------------- */

/* The length and the breadth of what catches dust, m, from the longer side; 0 for a round duct. */
static void sides_of(const model *m, const model_branch *b, double *length_m, double *area_m2) {
	*length_m = 0;
	*area_m2 = b->kind == AIR_OPENINGS ? b->grille_m2 : b->plan_m2;
	if (b->kind == AIR_DUCT) {
		*length_m = fmax(b->side_m[0], b->side_m[1]);
		return;
	}
	if (b->kind == AIR_OPENINGS) {
		*length_m = b->grille_long_m;
		return;
	}
	const box3 *box = &m->parts.v[b->part].box;
	axis t = m->parts.v[b->part].thick_axis;
	for (int k = 0; k < 3; k++)
		if (k != (int)t) *length_m = fmax(*length_m, rat_double(box_size(*box, (axis)k)) / 1000);
}

/* The speed that reaches the dust, by the equations of DallaValle as ACGIH gives them; up to 1.5 diameters for round
 * and square openings. A slot is one up to a fifth of its length in breadth (ACGIH, memory). */
static double speed_at(model *m, model_release *r, double flow) {
	const model_branch *b = &m->air.branches.v[r->branch];
	double length, area;
	sides_of(m, b, &length, &area);
	bool slot = r->hood == HOOD_SLOT || r->hood == HOOD_SLOT_FLANGED;
	r->reach_m = r->hood == HOOD_BOOTH ? INFINITY : 1.5 * sqrt(4 * area / PI);
	if (slot) r->reach_m = length > 0 && area / length <= 0.2 * length ? INFINITY : 0;
	if (r->distance_m > r->reach_m) return NAN;
	switch (r->hood) {
	case HOOD_PLAIN:
		return flow / airlaw_capture_plain(1, r->distance_m, area);
	case HOOD_FLANGED:
		return flow / airlaw_capture_flanged(1, r->distance_m, area);
	case HOOD_SLOT:
		return flow / airlaw_capture_slot(1, r->distance_m, length);
	case HOOD_SLOT_FLANGED:
		return flow / airlaw_capture_slot_flanged(1, r->distance_m, length);
	case HOOD_BOOTH:
	case HOOD_KINDS:
		break;
	}
	return flow / b->plan_m2;
}

static void room_and_releases(model *m, int condition) {
	model_air *a = &m->air;
	model_air_result *r = &a->result[condition];
	r->into_room_m3_s = r->makeup_m3_s = r->solved ? 0 : (double)NAN;
	r->makeup_pa = NAN;
	for (size_t i = 0; i < a->releases.n; i++) a->releases.v[i].speed_m_s[condition] = NAN;
	if (!r->solved) return;
	for (size_t i = 0; i < a->branches.n; i++) {
		double q = r->flow[i].flow_m3_s;
		if (a->branches.v[i].to == 0) r->into_room_m3_s += fmax(0, q);
		if (a->branches.v[i].from == 0) r->into_room_m3_s += fmax(0, -q);
	}
	for (size_t i = 0; i < a->releases.n; i++) {
		model_release *e = &a->releases.v[i];
		if (!e->over) e->speed_m_s[condition] = air_kept(speed_at(m, e, fabs(r->flow[e->branch].flow_m3_s)));
	}
	if (!a->exhausts_outdoors) return;
	r->makeup_m3_s = r->into_room_m3_s;
	if (!known(a->makeup_m2)) return;
	double v = r->makeup_m3_s / a->makeup_m2;
	r->makeup_pa = air_kept(AIRLAW_SHARP_K * airlaw_velocity_pressure(a->density_kg_m3, v));
}

static void consequences(model *m) {
	model_air *a = &m->air;
	double held = 0;
	bool filters = false;
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		if (b->kind != AIR_FILTER && b->kind != AIR_TUBES) continue;
		const model_stock *s = &m->stocks.v[b->stock];
		filters = true;
		if (b->kind == AIR_FILTER)
			held += known(s->holds_kg.v) ? s->holds_kg.v * b->count : (double)NAN;
		else
			held += b->dirty_known ? s->dirty_load_kg_m2.v * b->open_m2 : (double)NAN;
	}
	a->dust_held_kg = filters ? held : NAN;
	a->hours_to_dirty = known(a->dust_kg_s) ? a->dust_held_kg / a->dust_kg_s / 3600 : NAN;
	a->hours_to_full_trough = NAN;
	if (known(a->dust_kg_s) && known(a->trough_m3) && known(a->dust_bulk_kg_m3))
		a->hours_to_full_trough = a->trough_m3 * a->dust_bulk_kg_m3 / a->dust_kg_s / 3600;
	for (int c = 0; c < model_conditions(m); c++) room_and_releases(m, c);
	const model_air_result *r = &a->result[DIRTY];
	a->room_changes_per_h = a->decay_s = NAN;
	if (!r->solved || !known(a->room_m3)) return;
	a->room_changes_per_h = airlaw_changes(r->into_room_m3_s, a->room_m3);
	a->decay_s = airlaw_decay_s(100, a->room_changes_per_h, a->mixing);
}

static bool any_cover(const model *m) {
	for (size_t i = 0; i < m->air.branches.n; i++)
		if (known(m->air.branches.v[i].covered_part)) return true;
	return false;
}

/* The names of the taps of all fans in the ways, each once; the resolver holds them to AIR_MOST_TAPS. */
static void gather_taps(model *m) {
	model_air *a = &m->air;
	a->taps.n = 0;
	LIST_PUSH(m->mem, &a->taps, NULL);
	for (size_t i = 0; i < a->branches.n; i++) {
		const model_branch *b = &a->branches.v[i];
		if (b->kind != AIR_FAN || b->stock >= m->stocks.n) continue;
		for (size_t k = 0; k < m->stocks.v[b->stock].taps.n; k++) {
			const char *name = m->stocks.v[b->stock].taps.v[k].name;
			bool there = a->taps.n >= AIR_MOST_TAPS;
			for (size_t t = 1; t < a->taps.n && !there; t++) there = text_same(a->taps.v[t], name);
			if (!there) LIST_PUSH(m->mem, &a->taps, name);
		}
	}
}

bool air_solve(model *m, diags *d) {
	model_air *a = &m->air;
	if (!a->given) return true;
	for (int c = 0; c < AIR_MOST_CONDITIONS; c++)
		a->result[c] = (model_air_result){
			.why_not = "figures are missing", .why_branch = MODEL_NONE, .why_space = MODEL_NONE};
	gather_taps(m);
	a->dust_held_kg = a->hours_to_dirty = a->hours_to_full_trough = a->room_changes_per_h = a->decay_s = NAN;
	bool good = state_of_air(m, d);
	good = stays_within(m, d) && good;
	good = air_geometry(m, d) && good;
	if (!good) return false;
	air_coefficients(m);
	a->has_cover = any_cover(m);
	for (int c = 0; c < model_conditions(m); c++) {
		if (!model_condition_given(m, c)) {
			a->result[c].why_not =
				model_condition_worked(c) ? "the plan lays no work piece" : "the plan covers nothing";
			continue;
		}
		/* What is wrong with a figure is said once: the dirty condition asks for all of them. */
		solve_condition(m, d, c, c == DIRTY);
		good = a->result[c].solved && good;
	}
	consequences(m);
	air_spreads(m);
	return good;
}

double air_needs(const model *m, arena *mem, int condition, model_ref fan, double flow_m3_s) {
	build w = {.m = m, .mem = mem, .condition = condition};
	if (fan >= m->air.branches.n || !known(m->air.density_kg_m3) || m->air.branches.v[fan].kind != AIR_FAN)
		return NAN;
	airnet net = build_network(&w);
	return w.good ? airnet_needs(mem, &net, fan, flow_m3_s) : NAN;
}

double air_gives(const model *m, arena *mem, model_ref fan, double flow_m3_s) {
	build w = {.m = m, .mem = mem};
	if (fan >= m->air.branches.n || !known(m->air.density_kg_m3) || m->air.branches.v[fan].kind != AIR_FAN)
		return NAN;
	airnet net = build_network(&w);
	return w.good ? -airnet_drop(&net, fan, flow_m3_s) : NAN;
}
