#include "compiler/bend.h"

#include <math.h>

#include "compiler/check_limits.h"
#include "compiler/support.h"
#include "runtime/engine/beam.h"

static double mm(rat r) { return rat_double(r); }

bool bend_lies_level(const model *m, const model_part *p) {
	if (!model_part_made(m, p) || p->kind == PART_DOOR) return false;
	return p->kind == PART_PANEL ? p->thick_axis == AXIS_Z : p->long_axis != AXIS_Z;
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
		if (!bend_lies_level(m, &m->parts.v[i])) continue;
		size_t at = w->n++; /* by insertion: equal heights keep their order */
		for (; at > 0 && rat_lt(m->parts.v[w->order[at - 1]].box.hi[2], m->parts.v[i].box.hi[2]); at--)
			w->order[at] = w->order[at - 1];
		w->order[at] = i;
	}
}

/* The part under all that it carries; what it passes on is added to the parts that hold it. */
static void bend_part(model *m, diags *d, sag_work *w, model_ref i) {
	const model_part *p = &m->parts.v[i];
	double area_m2 = mm(box_size(p->box, AXIS_X)) * mm(box_size(p->box, AXIS_Y)) / 1e6;
	if (!(area_m2 > 0) || !(mm(box_size(p->box, AXIS_Z)) > 0)) return;
	double own = p->mass_kg > 0 ? p->mass_kg : 0;
	double even_n = (own + p->carries_kg + p->carries_kg_m2 * area_m2) * BEAM_GRAVITY_M_S2 + w->newton[i];
	double modulus = p->stock < m->stocks.n ? m->stocks.v[p->stock].modulus_pa.v : (double)NAN;
	bool known = modulus > 0;
	support_load load = {.even_pa = even_n / area_m2,
			     .middle_n = p->carries_middle_kg * BEAM_GRAVITY_M_S2,
			     .limit = check_limit_si(m, "shelf-sag"),
			     .modulus_pa = known ? modulus : 1}; /* its load goes on to what holds it all the same */
	support_field f = support_against_weight(m, d, i);
	support_bend b = support_bends(m, d, &f, &load, w->newton);
	if (!known || !b.found) return;
	model_bend *row = LIST_ADD(m->mem, &m->bends);
	*row = (model_bend){.part = i, .from = b.from, .to = b.to, .plate = b.plate};
	row->load_n = even_n + load.middle_n;
	row->deflection_m = b.deflection_mm / 1000;
	row->span_m = b.span_mm / 1000;
	row->allowed_m = b.allowed_mm / 1000;
}

void bend_make(model *m, diags *d) {
	sag_work w = {.m = m, .newton = ARENA_MANY(d->mem, double, m->parts.n + 1)};
	lay_items(d, &w);
	order_level(d, &w);
	for (size_t k = 0; k < w.n; k++) bend_part(m, d, &w, w.order[k]);
}
