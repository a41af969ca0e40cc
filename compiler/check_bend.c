/* Bending: what lies level under its load, and walls under the pressure of the air. */
#include <math.h>
#include <stdlib.h>

#include "compiler/bend.h"
#include "compiler/check_limits.h"
#include "compiler/check_use.h"
#include "compiler/check_util.h"
#include "compiler/support.h"
#include "runtime/engine/beam.h"
#include "runtime/engine/joint.h"

static double mm(rat r) { return rat_double(r); }

/* What was reckoned, rounded as one reads it: 0.01 or 0.1 mm, 1/64 or 1/16 in. */
static const char *length(const model *m, diags *d, double v_mm) {
	if (m->measures == MEASURES_METRIC) return check_length(m, d, check_rounded(v_mm, v_mm < 10 ? 100 : 10));
	rat in = check_rounded(v_mm / 25.4, v_mm < 10 ? 64 : 16);
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

static bool carries(const model_part *p) {
	return p->carries_kg_m2 > 0 || p->carries_kg > 0 || p->carries_middle_kg > 0;
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
		if (!carries(p) || p->number > 1 || bend_lies_level(m, p)) continue;
		diag *g = diag_warning(d, "shelf-sag", p->carries_at,
				       "%s does not lie level: what it carries is not checked", p->group);
		diag_add_help(d, g, "say it of the panel, slat or cleat that the load lies on");
	}
}

static void tell_sag(const model *m, diags *d, const model_bend *row) {
	const model_part *p = &m->parts.v[row->part];
	const support_bend bend = {.deflection_mm = row->deflection_m * 1000,
				   .span_mm = row->span_m * 1000,
				   .allowed_mm = row->allowed_m * 1000,
				   .overhang = row->to == MODEL_NONE,
				   .from = row->from,
				   .to = row->to},
			   *b = &bend;
	double ratio = b->deflection_mm / b->allowed_mm;
	diag *g = diag_warning(
		d, "shelf-sag", p->at, "%s sags %s %s, %s more than 1/%s of %s", p->name,
		length(m, d, b->deflection_mm), where(m, d, b), length(m, d, b->deflection_mm - b->allowed_mm),
		quant_show_number(d->mem, check_limit_si(m, "shelf-sag"), 0), b->overhang ? "twice that" : "the span");
	note_ends(m, d, g, b);
	diag_add_note(d, g, carries(p) ? p->carries_at : span_none(), "it bears %s, its own weight included",
		      quant_show_mass(d->mem, row->load_n / BEAM_GRAVITY_M_S2, m->measures));
	double thick = mm(box_size(p->box, AXIS_Z)) * cbrt(ratio), span_mm = b->span_mm / cbrt(ratio);
	diag_add_help(d, g,
		      "a support so that no more than %s is free, or a thickness of %s of this stock, holds it; "
		      "load that stays for years can make it half as much again",
		      length(m, d, floor(span_mm)), length(m, d, ceil(thick * 10) / 10));
}

void check_shelf_sag(const model *m, diags *d) {
	tell_not_level(m, d);
	for (model_ref i = 0; i < m->parts.n; i++)
		if (bend_lies_level(m, &m->parts.v[i]) && !(modulus_of(m, &m->parts.v[i]) > 0))
			tell_no_modulus(m, d, &m->parts.v[i]);
	for (size_t i = 0; i < m->bends.n; i++)
		if (m->bends.v[i].deflection_m > m->bends.v[i].allowed_m) tell_sag(m, d, &m->bends.v[i]);
}

/* ---- walls --------------------------------------------------------------------------------------------- */

typedef struct difference { /* the largest over all conditions, Pa */
	double any;	    /* between two spaces that stand still */
	double room;	    /* between one of them and the room */
} difference;

static difference largest_difference(const model *m) {
	difference most = {0, 0};
	for (int c = 0; c < model_conditions(m); c++) {
		const model_air_result *r = &m->air.result[c];
		if (!r->solved) continue;
		double lo = 0, hi = 0;
		for (model_ref i = 0; i < m->air.spaces.n; i++) {
			if (model_space_in_stream(m, i)) continue;
			lo = fmin(lo, r->pressure_pa[i]);
			hi = fmax(hi, r->pressure_pa[i]);
		}
		most.any = fmax(most.any, hi - lo);
		most.room = fmax(most.room, fmax(hi, -lo));
	}
	return most;
}

/* Has it the room on one side: does a face of it lie farthest out? */
static bool outermost(const model *m, const model_part *p) {
	axis n = p->thick_axis;
	return rat_eq(p->box.lo[n], m->bounds.lo[n]) || rat_eq(p->box.hi[n], m->bounds.hi[n]);
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
		for (int c = 0; c < model_conditions(m); c++)
			if (m->air.result[c].solved) *pa = fmax(*pa, fabs(m->air.result[c].flow[i].loss_pa));
	}
	return found;
}

/* What slides out, and what is joined to it: a drawer is a thing in a space and no wall of it. */
static bool *in_drawers(const model *m, diags *d) {
	bool *in = ARENA_MANY(d->mem, bool, m->parts.n + 1);
	for (model_ref i = 0; i < m->parts.n; i++) {
		rat by = m->parts.v[i].slides_by;
		in[i] = rat_ok(by) && rat_sign(by) > 0;
	}
	joint_gather(m, in);
	return in;
}

void check_panel_bulge(const model *m, diags *d) {
	/* Spaces have no places in a plan: which of them are on the two sides of a wall is known only where the air
	 * goes through it, or the room is on one side. Else the largest difference of the plan is taken. */
	difference most = largest_difference(m);
	const bool *drawer = in_drawers(m, d);
	support_bend worst = {0};
	const char *worst_name = NULL;
	for (model_ref i = 0; i < m->parts.n; i++) {
		const model_part *p = &m->parts.v[i];
		double own, e = modulus_of(m, p);
		if (p->kind != PART_PANEL || drawer[i] || !(e > 0) || !(mm(box_size(p->box, p->thick_axis)) > 0))
			continue;
		bool passed = own_difference(m, i, &own), outer = !passed && outermost(m, p);
		support_load load = {.even_pa = passed	? own
						: outer ? most.room
							: most.any,
				     .limit = check_limit_si(m, "panel-bulge"),
				     .modulus_pa = e};
		if (!(load.even_pa > 0)) continue;
		support_field f = support_against_air(m, d, i);
		support_bend b = support_bends(m, d, &f, &load, NULL);
		if (!b.found || b.overhang) continue;
		if (!worst_name || b.deflection_mm * worst.allowed_mm > worst.deflection_mm * b.allowed_mm)
			worst = b, worst_name = p->name;
		if (b.deflection_mm <= b.allowed_mm) continue;
		diag *g = diag_warning(
			d, "panel-bulge", p->at, "%s bulges %s under the air's %s %s, %s more than 1/%s of it", p->name,
			length(m, d, b.deflection_mm), quant_show_si(d->mem, DIM_PRESSURE, load.even_pa, m->measures),
			where(m, d, &b), length(m, d, b.deflection_mm - b.allowed_mm),
			quant_show_number(d->mem, check_limit_si(m, "panel-bulge"), 0));
		note_ends(m, d, g, &b);
		diag_add_note(d, g, p->at,
			      passed  ? "that is what the air loses in its openings"
			      : outer ? "that is the largest difference between a space and the room, which is on its "
					"one side"
				      : "the plan does not say which spaces are on its two sides: that is the largest "
					"difference between two of them");
		double ratio = cbrt(b.deflection_mm / b.allowed_mm);
		diag_add_help(d, g, "a cleat or rib across it so that no more than %s is free, or a thickness of %s",
			      length(m, d, floor(b.span_mm / ratio)),
			      length(m, d, ceil(mm(box_size(p->box, p->thick_axis)) * ratio * 10) / 10));
	}
	if (worst_name)
		diag_compare(d,
			     (diag_compared){.rule = "panel-bulge",
					     .about = worst_name,
					     .of = DIM_LENGTH,
					     .value = worst.deflection_mm / 1000,
					     .limit = worst.allowed_mm / 1000,
					     .basis = arena_printf(
						     d->mem, "1/%s of its span, the worst of all walls",
						     quant_show_number(d->mem, check_limit_si(m, "panel-bulge"), 0))});
}
