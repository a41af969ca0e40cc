/* Bending: what lies level under its load, and walls under the pressure of the air. */
#include <math.h>
#include <stdlib.h>

#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"
#include "compiler/support.h"
#include "runtime/engine/beam.h"

static double mm(rat r) { return rat_double(r); }

/* What was reckoned, rounded as one reads it: 0.01 or 0.1 mm, 1/64 or 1/16 in. */
static const char *length(const model *m, diags *d, double v_mm) {
	if (m->measures == MEASURES_METRIC) return check_length(m, d, rat_from_double(v_mm, v_mm < 10 ? 100 : 10));
	rat in = rat_from_double(v_mm / 25.4, v_mm < 10 ? 64 : 16);
	return check_length(m, d, rat_mul(in, (rat){127, 5}));
}

static double modulus_of(const model *m, const model_part *p) {
	double e = p->stock < m->stocks.n ? m->stocks.v[p->stock].modulus_pa.v : (double)NAN;
	return e > 0 ? e : (double)NAN;
}

/* "between left and right", "where it stands out beyond bulkhead" */
static const char *where(const model *m, diags *d, const support_bend *b) {
	const char *from = m->parts.v[b->from].name;
	if (b->overhang)
		return arena_printf(d->mem, "where it stands out %s beyond %s", length(m, d, b->span_mm), from);
	return arena_printf(d->mem, "between %s and %s, %s apart", from, m->parts.v[b->to].name,
			    length(m, d, b->span_mm));
}

static void note_ends(const model *m, diags *d, diag *g, const support_bend *b) {
	diag_add_note(d, g, m->parts.v[b->from].at, "%s holds it here", m->parts.v[b->from].name);
	if (b->to != MODEL_NONE && b->to != b->from)
		diag_add_note(d, g, m->parts.v[b->to].at, "%s holds it here", m->parts.v[b->to].name);
}

/* ---- level parts --------------------------------------------------------------------------------------- */

static bool lies_level(const model *m, const model_part *p) {
	if (!model_part_made(m, p) || p->kind == PART_DOOR) return false;
	return p->kind == PART_PANEL ? p->thick_axis == AXIS_Z : p->long_axis != AXIS_Z;
}

static bool carries(const model_part *p) {
	return p->carries_kg_m2 > 0 || p->carries_kg > 0 || p->carries_middle_kg > 0;
}

typedef struct sag_work {
	const model *m;
	double *newton;	  /* [parts] that other parts and bought things lay on each */
	model_ref *order; /* level parts, the highest first */
	size_t n;
} sag_work;

/* A bought thing's weight goes to the made parts that it stands on, by the area of contact. */
static void lay_items(diags *d, sag_work *w) {
	const model *m = w->m;
	double *share = ARENA_MANY(d->mem, double, m->parts.n + 1);
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (p->kind != PART_ITEM || !(p->mass_kg > 0)) continue;
		double sum = 0;
		for (model_ref k = 0; k < m->parts.n; k++) {
			face f;
			box3 r;
			share[k] = 0;
			if (!model_part_made(m, &m->parts.v[k]) || !box_touch(p->box, m->parts.v[k].box, &f, &r) ||
			    f != FACE_BOTTOM)
				continue;
			share[k] = mm(box_size(r, AXIS_X)) * mm(box_size(r, AXIS_Y));
			sum += share[k];
		}
		for (model_ref k = 0; k < m->parts.n && sum > 0; k++)
			w->newton[k] += p->mass_kg * BEAM_GRAVITY_M_S2 * share[k] / sum;
	}
}

static void order_level(diags *d, sag_work *w) {
	const model *m = w->m;
	w->order = ARENA_MANY(d->mem, model_ref, m->parts.n + 1);
	for (model_ref i = 0; i < m->parts.n; i++) {
		if (!lies_level(m, &m->parts.v[i])) continue;
		size_t at = w->n++; /* by insertion: equal heights keep their order */
		for (; at > 0 && rat_lt(m->parts.v[w->order[at - 1]].box.hi[2], m->parts.v[i].box.hi[2]); at--)
			w->order[at] = w->order[at - 1];
		w->order[at] = i;
	}
}

static void tell_no_modulus(const model *m, diags *d, const model_part *p) {
	if (!carries(p) || p->number > 1) return;
	diag *g = diag_warning(d, "shelf-sag", p->carries_at,
			       "how far %s bends under its load is not known: `%s` does not say its `modulus`",
			       p->group, m->stocks.v[p->stock].name);
	diag_add_note(d, g, m->stocks.v[p->stock].at, "`%s` is here", m->stocks.v[p->stock].name);
	diag_add_help(d, g, "give it the modulus of elasticity in bending, such as `modulus 4.5 GPa`");
}

static void tell_not_level(const model *m, diags *d) {
	for (size_t i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		if (!carries(p) || p->number > 1 || lies_level(m, p)) continue;
		diag *g = diag_warning(d, "shelf-sag", p->carries_at,
				       "%s does not lie level: what it carries is not checked", p->group);
		diag_add_help(d, g, "say it of the panel, slat or cleat that the load lies on");
	}
}

static void tell_sag(const model *m, diags *d, model_ref part, const support_bend *b, double whole_n) {
	const model_part *p = &m->parts.v[part];
	double ratio = b->deflection_mm / b->allowed_mm;
	diag *g = diag_warning(
		d, "shelf-sag", p->at, "%s sags %s %s, %s more than 1/%s of %s", p->name,
		length(m, d, b->deflection_mm), where(m, d, b), length(m, d, b->deflection_mm - b->allowed_mm),
		quant_show_number(d->mem, check_limit_si(m, "shelf-sag"), 0), b->overhang ? "twice that" : "the span");
	note_ends(m, d, g, b);
	diag_add_note(d, g, carries(p) ? p->carries_at : span_none(), "it bears %s, its own weight included",
		      quant_show_mass(d->mem, whole_n / BEAM_GRAVITY_M_S2, m->measures));
	double thick = mm(box_size(p->box, AXIS_Z)) * cbrt(ratio), span_mm = b->span_mm / cbrt(ratio);
	diag_add_help(d, g,
		      "a support so that no more than %s is free, or a thickness of %s of this stock, holds it; "
		      "load that stays for years can make it half as much again",
		      length(m, d, floor(span_mm)), length(m, d, ceil(thick * 10) / 10));
}

void check_shelf_sag(const model *m, diags *d) {
	sag_work w = {.m = m, .newton = ARENA_MANY(d->mem, double, m->parts.n + 1)};
	tell_not_level(m, d);
	lay_items(d, &w);
	order_level(d, &w);
	for (size_t k = 0; k < w.n; k++) {
		model_ref i = w.order[k];
		const model_part *p = &m->parts.v[i];
		double area_m2 = mm(box_size(p->box, AXIS_X)) * mm(box_size(p->box, AXIS_Y)) / 1e6;
		if (!(area_m2 > 0) || !(mm(box_size(p->box, AXIS_Z)) > 0)) continue;
		double own = p->mass_kg > 0 ? p->mass_kg : 0;
		double even_n = (own + p->carries_kg + p->carries_kg_m2 * area_m2) * BEAM_GRAVITY_M_S2 + w.newton[i];
		support_load load = {.even_pa = even_n / area_m2,
				     .limit = check_limit_si(m, "shelf-sag"),
				     .modulus_pa = modulus_of(m, p)};
		load.middle_n = p->carries_middle_kg * BEAM_GRAVITY_M_S2;
		bool known = load.modulus_pa > 0;
		if (!known) {
			tell_no_modulus(m, d, p);
			load.modulus_pa = 1; /* its load goes on to what holds it all the same */
		}
		support_field f = support_against_weight(m, d, i);
		support_bend b = support_bends(m, d, &f, &load, w.newton);
		if (known && b.found && b.deflection_mm > b.allowed_mm) tell_sag(m, d, i, &b, even_n + load.middle_n);
	}
}

/* ---- walls --------------------------------------------------------------------------------------------- */

/* The largest difference between two spaces that stand still, over all conditions. */
static double largest_difference(const model *m) {
	double most = 0;
	for (int c = 0; c < AIR_CONDITIONS; c++) {
		const model_air_result *r = &m->air.result[c];
		if (!r->solved) continue;
		double lo = 0, hi = 0;
		for (model_ref i = 0; i < m->air.spaces.n; i++) {
			if (model_space_in_stream(m, i)) continue;
			lo = fmin(lo, r->pressure_pa[i]);
			hi = fmax(hi, r->pressure_pa[i]);
		}
		most = fmax(most, hi - lo);
	}
	return most;
}

/* A sheet whose openings the air goes through bears what is lost there; false for any other. */
static bool own_difference(const model *m, model_ref part, double *pa) {
	bool found = false;
	*pa = 0;
	for (size_t i = 0; i < m->air.branches.n; i++) {
		const model_branch *b = &m->air.branches.v[i];
		if (b->kind != AIR_OPENINGS && b->kind != AIR_TUBES) continue;
		if (b->part != part) continue;
		if (b->feeds_fan || b->runs_on) return false; /* the fan's pressure stands on it */
		found = true;
		for (int c = 0; c < AIR_CONDITIONS; c++)
			if (m->air.result[c].solved) *pa = fmax(*pa, fabs(m->air.result[c].flow[i].loss_pa));
	}
	return found;
}

void check_panel_bulge(const model *m, diags *d) {
	double most = largest_difference(m);
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		double own, e = modulus_of(m, p);
		if (p->kind != PART_PANEL || !(e > 0) || !(mm(box_size(p->box, p->thick_axis)) > 0)) continue;
		bool passed = own_difference(m, i, &own);
		support_load load = {
			.even_pa = passed ? own : most, .limit = check_limit_si(m, "panel-bulge"), .modulus_pa = e};
		if (!(load.even_pa > 0)) continue;
		support_field f = support_against_air(m, d, i);
		support_bend b = support_bends(m, d, &f, &load, NULL);
		if (!b.found || b.overhang || b.deflection_mm <= b.allowed_mm) continue;
		diag *g = diag_warning(
			d, "panel-bulge", p->at, "%s bulges %s under the air's %s %s, %s more than 1/%s of it", p->name,
			length(m, d, b.deflection_mm), quant_show_si(d->mem, DIM_PRESSURE, load.even_pa, m->measures),
			where(m, d, &b), length(m, d, b.deflection_mm - b.allowed_mm),
			quant_show_number(d->mem, check_limit_si(m, "panel-bulge"), 0));
		note_ends(m, d, g, &b);
		diag_add_note(d, g, p->at,
			      passed ? "that is what the air loses in its openings"
				     : "that is the largest difference between two spaces of the plan");
		double ratio = cbrt(b.deflection_mm / b.allowed_mm);
		diag_add_help(d, g, "a cleat or rib across it so that no more than %s is free, or a thickness of %s",
			      length(m, d, floor(b.span_mm / ratio)),
			      length(m, d, ceil(mm(box_size(p->box, p->thick_axis)) * ratio * 10) / 10));
	}
}
