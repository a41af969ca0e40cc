/* Minutes for each operation, from the rates and from what the model counts and measures. */
#include "compiler/order_rates.h"

#include <math.h>

#include "compiler/order_inner.h"
#include "runtime/engine/joint.h"

#define X(n, min, w) {#n, min, w},
const order_rate ORDER_RATE[ORDER_RATE_KINDS] = {ORDER_RATES(X)};
#undef X

static double longest_m(box3 b) {
	double most = 0;
	for (int i = 0; i < 3; i++) most = fmax(most, order_rat_mm(box_size(b, (axis)i)));
	return most / 1000;
}

static double outline_m(const model_shape *s) { return model_shape_edge_mm(s) / 1000; }

static double buy_minutes(const order_work *w) {
	const model *m = w->m;
	double n = 0;
	for (size_t s = 0; s < m->stocks.n; s++) {
		bool used = false;
		for (size_t i = 0; i < m->parts.n; i++)
			used = used || m->parts.v[i].stock == s || m->parts.v[i].hinge == s || m->parts.v[i].latch == s;
		for (size_t i = 0; i < m->joints.n; i++) {
			const model_joint *j = &m->joints.v[i];
			used = used || j->screw == s || j->gasket == s || j->glue_stock == s;
		}
		for (size_t i = 0; i < m->patterns.n; i++)
			for (size_t k = 0; k < m->patterns.v[i].sheets.n; k++) {
				const model_sheet_of_pattern *x = &m->patterns.v[i].sheets.v[k];
				used = used || x->collar == s || (x->clamped && x->clamp == s);
			}
		for (size_t i = 0; i < m->air.branches.n; i++) used = used || m->air.branches.v[i].stock == s;
		if (used) n += 1;
	}
	return n * RATE(BUY_STOCK);
}

static double groove_minutes(const order_work *w, model_ref part) {
	double t = 0;
	for (size_t i = 0; i < w->joints.n; i++) {
		const model_joint *j = &w->m->joints.v[w->joints.v[i]];
		double cuts = j->b == part && joint_cuts(j->kind) ? 1 : 0;
		if (j->a == part && j->kind == JOINT_HALVING) cuts += 1;
		if (j->a == part && j->kind == JOINT_TONGUE) cuts += 2; /* one on each face */
		t += cuts * (RATE(GROOVE) + RATE(GROOVE_METRE) * longest_m(j->contact));
	}
	return t;
}

static double open_minutes(const order_work *w, const model_op *o) {
	const model_pattern *pat = &w->m->patterns.v[o->pattern];
	const model_sheet_of_pattern *s = model_pattern_sheet(pat, o->parts.v[0]);
	double n = (double)pat->axes.n, each = RATE(OPEN_BORE);
	for (size_t i = 0; i < w->m->templates.n && s; i++) {
		const model_template_use *t = model_template_serves(&w->m->templates.v[i], o->pattern, s->part);
		if (!t) continue;
		each = RATE(OPEN_ROUTE) + RATE(OPEN_ROUTE_METRE) * outline_m(&s->shape) * fmax(1, (double)t->depths.n);
		break;
	}
	return RATE(OPEN_SHEET) + n * each;
}

static double drill_minutes(const order_work *w, model_ref part) {
	double n = 0;
	for (size_t i = 0; i < w->m->features.n; i++) {
		const model_feature *f = &w->m->features.v[i];
		if (f->part == part && (f->kind == FEATURE_PILOT || f->kind == FEATURE_CLEARANCE)) n += 1;
	}
	for (size_t i = 0; i < w->m->joints.n && n == 0; i++) /* not laid out hole by hole */
		if (w->m->joints.v[i].a == part || w->m->joints.v[i].b == part) n += w->m->joints.v[i].n_screws;
	return n * RATE(DRILL_HOLE);
}

static double ease_minutes(const order_work *w, const model_op *o) {
	const model_pattern *pat = &w->m->patterns.v[o->pattern];
	const model_sheet_of_pattern *s = model_pattern_sheet(pat, o->parts.v[0]);
	double metres = 0;
	for (size_t i = 0; i < pat->eases.n && s; i++)
		if (pat->eases.v[i].part == o->parts.v[0]) metres += outline_m(&s->shape) * (double)pat->axes.n;
	return RATE(EASE_SHEET) + RATE(EASE_METRE) * metres;
}

static double joint_minutes(const model_joint *j) {
	double t = RATE(JOIN) + RATE(JOIN_SCREW) * j->n_screws;
	return j->glue ? t + RATE(JOIN_GLUE_METRE) * longest_m(j->contact) : t;
}

double order_glue_minutes(const model_joint *j) {
	return RATE(JOIN_GLUE_METRE) * longest_m(j->contact) + RATE(JOIN_CLOSE);
}

static double join_minutes(const order_work *w, const model_op *o) {
	return o->joint == MODEL_NONE ? RATE(JOIN) : joint_minutes(&w->m->joints.v[o->joint]);
}

static double gasket_minutes(const order_work *w, const model_op *o) {
	const model_joint *j = &w->m->joints.v[o->joint];
	return RATE(GASKET) + RATE(GASKET_METRE) * longest_m(j->contact);
}

static double filter_minutes(const order_work *w, const model_op *o) {
	if (o->pattern == MODEL_NONE) return RATE(FILTER) * (double)o->parts.n;
	return RATE(TUBE) * (double)w->m->patterns.v[o->pattern].axes.n;
}

static double door_minutes(const order_work *w, model_ref op) {
	const model_op *o = &w->ops.v[op];
	double t = RATE(DOOR) + RATE(DOOR_HINGE) * w->m->parts.v[o->parts.v[0]].n_hinges;
	for (size_t j = 0; j < w->m->joints.n; j++)
		if (w->joint_op[j] == op) t += RATE(JOIN_SCREW) * w->m->joints.v[j].n_screws;
	return t;
}

static double minutes_of(const order_work *w, model_ref op) {
	const model *m = w->m;
	const model_op *o = &w->ops.v[op];
	double n = fmax(1, (double)o->parts.n);
	switch (o->kind) {
	case OP_BUY:
		return buy_minutes(w);
	case OP_MEASURE:
		return RATE(MEASURE);
	case OP_CUT: {
		bool bar = model_by_length(m->stocks.v[m->parts.v[o->parts.v[0]].stock].kind);
		return RATE(CUT_PART) + RATE(CUT_SAW) * (bar ? 2 : 4);
	}
	case OP_TEMPLATE:
		return RATE(TEMPLATE);
	case OP_GROOVE:
		return groove_minutes(w, o->parts.v[0]);
	case OP_OPEN:
		return open_minutes(w, o);
	case OP_DRILL:
		return drill_minutes(w, o->parts.v[0]);
	case OP_EASE:
		return ease_minutes(w, o);
	case OP_TRY:
		return n * RATE(TRY_PART);
	case OP_FINISH: {
		double area = m->parts.v[o->parts.v[0]].face_area_m2;
		return RATE(FINISH_PART) + RATE(FINISH_M2) * 2 * (isfinite(area) ? area : 0);
	}
	case OP_JOIN:
		return join_minutes(w, o);
	case OP_SEAT:
		return RATE(SEAT) * (o->pattern == MODEL_NONE ? n : (double)m->patterns.v[o->pattern].axes.n);
	case OP_GASKET:
		return gasket_minutes(w, o);
	case OP_FILTER:
		return filter_minutes(w, o);
	case OP_FIT: {
		double pieces = 0; /* what was joined on the bench is one */
		for (size_t i = 0; i < o->parts.n; i++)
			pieces += w->bench[o->parts.v[i]] == MODEL_NONE || w->bench[o->parts.v[i]] == o->parts.v[i];
		double joints = 0;
		for (size_t i = 0; i < m->joints.n; i++)
			if (w->role[i] == ROLE_UNIT && w->joint_op[i] == op) joints += joint_minutes(&m->joints.v[i]);
		return fmax(1, pieces) * RATE(FIT) + joints;
	}
	case OP_FAN:
		return n * RATE(FAN);
	case OP_WIRE:
		return n * RATE(WIRE);
	case OP_DOOR:
		return door_minutes(w, op);
	case OP_TEST:
		return RATE(TEST);
	case OP_WRITTEN:
	case OP_KINDS:
		break;
	}
	return 0;
}

/* Does an operation of the same written step come behind this one? */
static bool followed(const order_work *w, model_ref op) {
	for (size_t i = 0; i < w->links.n; i++)
		if (w->links.v[i].before == op && w->ops.v[w->links.v[i].after].written == w->ops.v[op].written)
			return true;
	return false;
}

/* A written step's time is shared among its operations as the rates would have it; its wait stands behind those
 * that nothing of the same step follows. */
static void written_minutes(order_work *w) {
	for (size_t r = 0; r < w->m->written.n; r++) {
		const model_written *t = &w->m->written.v[r];
		double sum = 0, n = 0;
		for (size_t i = 0; i < w->ops.n; i++) {
			if (w->ops.v[i].written != r) continue;
			sum += w->ops.v[i].minutes;
			n += 1;
		}
		for (size_t i = 0; i < w->ops.n; i++) {
			model_op *o = &w->ops.v[i];
			if (o->written != r) continue;
			if (isfinite(t->minutes)) o->minutes = sum > 0 ? o->minutes * t->minutes / sum : t->minutes / n;
			if (isfinite(t->wait_minutes))
				o->wait_minutes = followed(w, (model_ref)i) ? 0 : t->wait_minutes;
		}
	}
}

static double clamp_minutes(const order_work *w, const model_joint *j) {
	double s = j->glue_stock < w->m->stocks.n ? w->m->stocks.v[j->glue_stock].clamp_s.v : NAN;
	return isfinite(s) ? s / 60 : RATE(GLUE_CURE);
}

/* The last join of a group waits for the glue of all its joints: they are closed while the glue is open. Where screws
 * hold, the work goes on at once. */
static void glue_waits(order_work *w) {
	double clamped = 0;
	for (size_t i = 0; i < w->joining.n; i++) {
		model_ref op = w->joining.v[i];
		model_ref joint = w->ops.v[op].joint;
		const model_joint *j = joint == MODEL_NONE ? NULL : &w->m->joints.v[joint];
		if (j && j->glue && j->n_screws == 0) clamped = fmax(clamped, clamp_minutes(w, j));
		bool last = i + 1 == w->joining.n || w->group.v[w->joining.v[i + 1]] != w->group.v[op];
		if (last && clamped > 0) w->ops.v[op].wait_minutes = clamped;
		if (last) clamped = 0;
	}
}

void order_rates_make(order_work *w) {
	for (size_t i = 0; i < w->ops.n; i++) {
		w->ops.v[i].minutes = minutes_of(w, (model_ref)i);
		if (w->ops.v[i].kind == OP_FINISH) w->ops.v[i].wait_minutes = RATE(FINISH_DRY);
	}
	glue_waits(w);
	written_minutes(w);
}
