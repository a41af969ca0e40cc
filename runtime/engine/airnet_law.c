/* The laws of the branches, and the curves of the fans as the solver takes them. */
#include <math.h>

#include "runtime/engine/airnet_parts.h"

/* ---- laws ----------------------------------------------------------------------------------- */

/* Beyond its ends a curve goes on as a straight line, so that the iteration has somewhere to go; an answer there is
 * reported as off the curve and never as an answer. */
static double extended(const airnet_curve *c, double q, bool falling, double *slope) {
	size_t last = c->n - 1;
	double most = 0;
	for (size_t i = 0; i <= last; i++) most = fmax(most, fabs(c->pressure_pa[i]));
	double steep = most / c->flow_m3_s[last], sign = falling ? -1 : 1;
	if (q < c->flow_m3_s[0]) {
		*slope = sign * fmax(sign * c->slope[0], steep);
		return c->pressure_pa[0] + *slope * (q - c->flow_m3_s[0]);
	}
	if (q > c->flow_m3_s[last]) {
		*slope = sign * fmax(sign * c->slope[last], steep);
		return c->pressure_pa[last] + *slope * (q - c->flow_m3_s[last]);
	}
	return airnet_curve_at(c, q, slope);
}

static double fan_drop(const law *l, double q, double *slope) {
	const airnet_branch *b = l->b;
	double s = 0, n = b->speed_ratio, up = b->density_ratio * n * n;
	double rise = extended(&l->shape, q / (b->count * n), true, &s);
	*slope = -s * up / (b->count * n);
	return -rise * up;
}

static double passive_drop(const airnet_branch *b, double density, double viscosity, double q, double *slope) {
	double one = q / b->count, root = sqrt(one * one + b->creep_m3_s * b->creep_m3_s);
	double drop = b->linear_pa_s_m3 * one + b->square_pa_s2_m6 * one * root;
	double s = b->linear_pa_s_m3 + b->square_pa_s2_m6 * (root > 0 ? root + one * one / root : 0);
	if (b->has_duct) {
		double part = 0;
		drop += airlaw_duct_loss(&b->duct, density, viscosity, one, &part);
		s += part;
	}
	if (b->curve) {
		double part = 0, loss = extended(b->curve, fabs(one), false, &part);
		drop += one < 0 ? -loss : loss;
		s += part;
	}
	*slope = s / b->count;
	return drop;
}

/* A shut damper stands on a slope so steep that what comes through it is lost in the rounding; it takes any drop up to
 * its opening one. From there on the losses of the open one are added. */
double airnet_law_drop(const work *w, size_t i, double q, double *slope) {
	const law *l = &w->laws[i];
	if (l->b->kind == AIRNET_FAN) return fan_drop(l, q, slope);
	double opens = l->b->opens_pa, lifted = l->b->one_way ? q - opens / l->shut : q;
	if (l->b->one_way && lifted <= 0) {
		*slope = l->shut;
		return l->shut * q;
	}
	return opens + passive_drop(l->b, w->net->density_kg_m3, w->net->viscosity_pa_s, lifted, slope);
}

/* A flow that rounding has put beside the end of a curve is on it; within what the solver's report allows, too. */
static double onto(const airnet_curve *c, double q) {
	double first = c->flow_m3_s[0], last = c->flow_m3_s[c->n - 1], hair = AIRNET_HAIR * last;
	if (q > last && q <= last + hair) return last;
	return q < first && q >= first - hair ? first : q;
}

double airnet_drop(const airnet *net, uint32_t branch, double flow_m3_s) {
	const airnet_branch *b = &net->branches[branch];
	double slope = 0;
	if (b->closed) return flow_m3_s == 0 ? 0 : NAN;
	if (b->kind == AIRNET_FAN) {
		double one = onto(b->curve, flow_m3_s / (b->count * b->speed_ratio));
		double rise = airnet_curve_at(b->curve, one, &slope);
		return -rise * b->density_ratio * b->speed_ratio * b->speed_ratio;
	}
	if (b->one_way && !(flow_m3_s > 0)) return flow_m3_s == 0 ? 0 : NAN;
	double one = fabs(flow_m3_s) / b->count;
	if (b->curve && onto(b->curve, one) > b->curve->flow_m3_s[b->curve->n - 1]) return NAN;
	return b->opens_pa + passive_drop(b, net->density_kg_m3, net->viscosity_pa_s, flow_m3_s, &slope);
}

/* ---- curves ----------------------------------------------------------------------------------- */

/* The falling envelope: from the right, no point below the one to its right. From the last peak on it is the published
 * curve itself, slopes included. */
static airnet_curve envelope(arena *mem, const airnet_curve *c) {
	double *p = arena_copy(mem, c->pressure_pa, sizeof(double) * c->n);
	size_t raised = 0; /* points before this one may have been raised */
	for (size_t i = c->n - 1; i-- > 0;) {
		if (p[i] >= p[i + 1]) continue;
		p[i] = p[i + 1];
		if (raised == 0) raised = i + 1;
	}
	airnet_curve out = *c;
	if (raised == 0 || !airnet_curve_make(mem, c->flow_m3_s, p, c->n, &out)) return *c;
	double *slope = arena_copy(mem, out.slope, sizeof(double) * c->n);
	for (size_t i = raised; i < c->n; i++) slope[i] = c->slope[i];
	out.slope = slope;
	return out;
}

void airnet_use_curves(work *w, bool published) {
	for (size_t i = 0; i < w->net->n_branches; i++) {
		law *l = &w->laws[i];
		if (l->b->kind != AIRNET_FAN || l->b->closed) continue;
		l->shape = published ? *l->b->curve : envelope(w->mem, l->b->curve);
	}
}
