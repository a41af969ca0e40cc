#include "runtime/engine/airnet.h"

#include <math.h>
#include <string.h>

#define X(name, words) [AIRNET_##name] = words,
const char *const AIRNET_TROUBLE_WORDS[AIRNET_TROUBLE_COUNT] = {AIRNET_TROUBLES(X)};
#undef X

/* ---- the work in hand ------------------------------------------------------------------------- */

typedef struct law { /* one branch as the solver sees it */
	const airnet_branch *b;
	bool off;	    /* closed, or held at a flow: not part of the system */
	airnet_curve shape; /* fan: the curve in use, published or envelope */
	double floor;	    /* smallest slope the tangent may have */
} law;

typedef struct work {
	arena *mem;
	const airnet *net;
	law *laws;
	uint32_t held; /* branch held at a flow, or AIRNET_NONE */
	double held_flow;
	double *q, *d;	   /* flows and step [branches] */
	double *slope, *h; /* at q */
	double *p;	   /* [spaces] */
	double *matrix, *rhs;
	double q_scale, p_scale;
	uint32_t steps;
	bool converged;
} work;

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

static double law_drop(const work *w, size_t i, double q, double *slope) {
	const law *l = &w->laws[i];
	if (l->b->kind == AIRNET_FAN) return fan_drop(l, q, slope);
	return passive_drop(l->b, w->net->density_kg_m3, w->net->viscosity_pa_s, q, slope);
}

double airnet_drop(const airnet *net, uint32_t branch, double flow_m3_s) {
	const airnet_branch *b = &net->branches[branch];
	double slope = 0;
	if (b->closed) return flow_m3_s == 0 ? 0 : NAN;
	if (b->kind == AIRNET_FAN) {
		double rise = airnet_curve_at(b->curve, flow_m3_s / (b->count * b->speed_ratio), &slope);
		return -rise * b->density_ratio * b->speed_ratio * b->speed_ratio;
	}
	double one = fabs(flow_m3_s) / b->count;
	if (b->curve && one > b->curve->flow_m3_s[b->curve->n - 1]) return NAN;
	return passive_drop(b, net->density_kg_m3, net->viscosity_pa_s, flow_m3_s, &slope);
}

/* ---- linear algebra ----------------------------------------------------------------------------- */

/* Solves the symmetric positive definite n x n system in place by Cholesky's way without roots; the matrix keeps its
 * factors. False when a pivot is not positive. */
static bool solve_spd(double *a, double *x, size_t n) {
	for (size_t j = 0; j < n; j++) {
		double pivot = a[j * n + j];
		for (size_t k = 0; k < j; k++) pivot -= a[j * n + k] * a[j * n + k] * a[k * n + k];
		if (!(pivot > 0)) return false;
		a[j * n + j] = pivot;
		for (size_t i = j + 1; i < n; i++) {
			double sum = a[i * n + j];
			for (size_t k = 0; k < j; k++) sum -= a[i * n + k] * a[j * n + k] * a[k * n + k];
			a[i * n + j] = sum / pivot;
		}
	}
	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k < i; k++) x[i] -= a[i * n + k] * x[k];
	for (size_t i = 0; i < n; i++) x[i] /= a[i * n + i];
	for (size_t i = n; i-- > 0;)
		for (size_t k = i + 1; k < n; k++) x[i] -= a[k * n + i] * x[k];
	return true;
}

/* Pressures for which the tangents' flows balance in every space: flows q + (dp - h)/slope. Sets p and the step d. */
static bool tangent_step(work *w) {
	const airnet *net = w->net;
	size_t n = net->n_spaces - 1;
	memset(w->matrix, 0, sizeof(double) * n * n);
	memset(w->rhs, 0, sizeof(double) * n);
	for (size_t i = 0; i < net->n_branches; i++) {
		const law *l = &w->laws[i];
		size_t from = l->b->from, to = l->b->to;
		double push = 0; /* flow of the branch when both pressures are nought */
		if (!l->off) {
			double weight = 1 / fmax(w->slope[i], l->floor);
			push = w->q[i] - weight * w->h[i];
			if (from) w->matrix[(from - 1) * n + from - 1] += weight;
			if (to) w->matrix[(to - 1) * n + to - 1] += weight;
			if (from && to) {
				w->matrix[(from - 1) * n + to - 1] -= weight;
				w->matrix[(to - 1) * n + from - 1] -= weight;
			}
		} else if (i == w->held) {
			push = w->held_flow;
		}
		if (from) w->rhs[from - 1] -= push;
		if (to) w->rhs[to - 1] += push;
	}
	if (!solve_spd(w->matrix, w->rhs, n)) return false;
	w->p[0] = 0;
	for (size_t s = 0; s < n; s++) w->p[s + 1] = w->rhs[s];
	for (size_t i = 0; i < net->n_branches; i++) {
		const law *l = &w->laws[i];
		double drop = w->p[l->b->from] - w->p[l->b->to];
		w->d[i] = l->off ? 0 : (drop - w->h[i]) / fmax(w->slope[i], l->floor);
	}
	return true;
}

/* ---- iteration -------------------------------------------------------------------------------- */

static void laws_at(work *w) {
	for (size_t i = 0; i < w->net->n_branches; i++) {
		w->h[i] = w->slope[i] = 0;
		if (!w->laws[i].off) w->h[i] = law_drop(w, i, w->q[i], &w->slope[i]);
	}
}

/* Derivative of the energy along the step: rises with the share when all laws rise. */
static double along(const work *w, double share) {
	double sum = 0, slope = 0;
	for (size_t i = 0; i < w->net->n_branches; i++)
		if (!w->laws[i].off) sum += law_drop(w, i, w->q[i] + share * w->d[i], &slope) * w->d[i];
	return sum;
}

/* The whole step when the energy still falls at its end or nearly stops falling; else a share by bisection at which the
 * derivative has shrunk to half. */
static double share_of_step(const work *w) {
	double begin = along(w, 0), end = along(w, 1);
	if (!(begin < 0) || end <= -0.5 * begin) return 1;
	double low = 0, high = 1;
	for (int i = 0; i < 60; i++) {
		double middle = (low + high) / 2, s = along(w, middle);
		if (fabs(s) <= -0.5 * begin) return middle;
		if (s < 0)
			low = middle;
		else
			high = middle;
	}
	return high;
}

/* First flows: every law taken as a straight line through its value at a flow of the fans' size. */
static bool first_flows(work *w) {
	for (size_t i = 0; i < w->net->n_branches; i++) {
		if (w->laws[i].off) continue;
		double q = w->q_scale / 2, slope = 0, h = law_drop(w, i, q, &slope);
		bool fan = w->laws[i].b->kind == AIRNET_FAN;
		w->q[i] = fan ? q : 0;
		w->h[i] = fan ? h : 0;
		w->slope[i] = fan ? slope : h / q;
	}
	if (!tangent_step(w)) return false;
	for (size_t i = 0; i < w->net->n_branches; i++) w->q[i] += w->d[i];
	if (w->held != AIRNET_NONE) w->q[w->held] = w->held_flow;
	return true;
}

static void iterate(work *w) {
	w->converged = false;
	int settled = 0;
	for (uint32_t step = 0; step < AIRNET_MOST_STEPS; step++) {
		laws_at(w);
		if (!tangent_step(w)) return;
		w->steps++;
		double share = share_of_step(w), moved = 0, misfit = 0, flow = 0, pressure = 0;
		for (size_t i = 0; i < w->net->n_branches; i++) {
			const law *l = &w->laws[i];
			if (l->off) continue;
			misfit = fmax(misfit, fabs(w->p[l->b->from] - w->p[l->b->to] - w->h[i]));
			moved = fmax(moved, fabs(w->d[i]));
			pressure = fmax(pressure, fabs(w->h[i]));
			w->q[i] += share * w->d[i];
			flow = fmax(flow, fabs(w->q[i]));
		}
		if (!isfinite(moved)) return;
		/* Two steps in a row, so that the last digits are polished. */
		bool small = moved <= 1e-10 * flow && misfit <= 1e-10 * pressure;
		settled = small ? settled + 1 : 0;
		if (settled == 2) {
			w->converged = true;
			laws_at(w);
			return;
		}
	}
}

/* ---- setting up --------------------------------------------------------------------------------- */

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

static void use_curves(work *w, bool published) {
	for (size_t i = 0; i < w->net->n_branches; i++) {
		law *l = &w->laws[i];
		if (l->b->kind != AIRNET_FAN || l->b->closed) continue;
		l->shape = published ? *l->b->curve : envelope(w->mem, l->b->curve);
	}
}

static work begin(arena *mem, const airnet *net, uint32_t held, double held_flow) {
	size_t n = net->n_branches, spaces = net->n_spaces;
	work w = {.mem = mem, .net = net, .held = held, .held_flow = held_flow};
	w.laws = ARENA_MANY(mem, law, n + 1);
	w.q = ARENA_MANY(mem, double, n + 1);
	w.d = ARENA_MANY(mem, double, n + 1);
	w.slope = ARENA_MANY(mem, double, n + 1);
	w.h = ARENA_MANY(mem, double, n + 1);
	w.p = ARENA_MANY(mem, double, spaces);
	w.matrix = ARENA_MANY(mem, double, spaces *spaces);
	w.rhs = ARENA_MANY(mem, double, spaces);
	for (size_t i = 0; i < n; i++) {
		const airnet_branch *b = &net->branches[i];
		w.laws[i] = (law){.b = b, .off = b->closed || i == held};
		if (b->kind != AIRNET_FAN || b->closed) continue;
		double ratio = b->speed_ratio, up = b->density_ratio * ratio * ratio;
		double flow = b->curve->flow_m3_s[b->curve->n - 1] * b->count * ratio;
		w.q_scale = fmax(w.q_scale, flow);
		for (size_t k = 0; k < b->curve->n; k++)
			w.p_scale = fmax(w.p_scale, fabs(b->curve->pressure_pa[k]) * up);
	}
	if (held != AIRNET_NONE) w.q_scale = fmax(w.q_scale, fabs(held_flow));
	for (size_t i = 0; i < n; i++) w.laws[i].floor = 1e-3 * w.p_scale / w.q_scale;
	/* The floor bounds what a rounding error of the pressures does to the flow. A passive law needs it at rest
	 * only. */
	for (size_t i = 0; i < n; i++)
		if (net->branches[i].kind == AIRNET_PASSIVE) w.laws[i].floor *= 1e-2;
	use_curves(&w, false);
	return w;
}

/* ---- what cannot be solved ------------------------------------------------------------------------ */

static bool bad(double v) { return !(v >= 0) || !isfinite(v); }

static bool branch_bad(const airnet_branch *b) {
	if (!(b->count > 0) || !isfinite(b->count)) return true;
	if (b->kind == AIRNET_FAN) {
		double most = 0;
		for (size_t i = 0; b->curve && i < b->curve->n; i++) most = fmax(most, b->curve->pressure_pa[i]);
		return !b->curve || b->curve->n < 2 || !(most > 0) || !(b->density_ratio > 0) ||
		       !(b->speed_ratio > 0) || !isfinite(b->density_ratio) || !isfinite(b->speed_ratio);
	}
	if (bad(b->linear_pa_s_m3) || bad(b->square_pa_s2_m6) || bad(b->creep_m3_s)) return true;
	if (b->has_duct) {
		const airlaw_duct *d = &b->duct;
		if (bad(d->diameter_m) || bad(d->length_m) || bad(d->roughness_m) || bad(d->loss_k)) return true;
		if (d->diameter_m == 0 || d->roughness_m > 0.05 * d->diameter_m) return true;
		if (d->length_m == 0 && d->loss_k == 0) return true;
	}
	if (b->curve) {
		const airnet_curve *c = b->curve;
		if (c->n < 2 || c->flow_m3_s[0] != 0 || c->pressure_pa[0] != 0) return true;
		for (size_t i = 1; i < c->n; i++)
			if (c->pressure_pa[i] < c->pressure_pa[i - 1]) return true;
	}
	return !(b->linear_pa_s_m3 + b->square_pa_s2_m6 > 0) && !b->has_duct && !b->curve;
}

/* Marks the spaces that can be reached from one through open branches other than `without`. */
static bool *reach(arena *mem, const airnet *net, uint32_t start, uint32_t without) {
	bool *seen = ARENA_MANY(mem, bool, net->n_spaces);
	seen[start] = true;
	for (bool more = true; more;) {
		more = false;
		for (uint32_t i = 0; i < net->n_branches; i++) {
			const airnet_branch *b = &net->branches[i];
			if (b->closed || i == without || seen[b->from] == seen[b->to]) continue;
			seen[b->from] = seen[b->to] = more = true;
		}
	}
	return seen;
}

static airnet_trouble examine(arena *mem, const airnet *net, uint32_t *branch, uint32_t *space) {
	bool fan = false;
	if (net->n_spaces < 1 || !(net->density_kg_m3 > 0) || !(net->viscosity_pa_s > 0)) return AIRNET_BAD_VALUE;
	for (uint32_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		*branch = i;
		if (b->from >= net->n_spaces || b->to >= net->n_spaces) return AIRNET_BAD_SPACE;
		if (b->closed) continue;
		if (b->from == b->to) return AIRNET_SHORT;
		if (branch_bad(b)) return AIRNET_BAD_VALUE;
		fan = fan || b->kind == AIRNET_FAN;
	}
	*branch = AIRNET_NONE;
	if (!fan) return AIRNET_NO_FAN;
	bool *seen = reach(mem, net, 0, AIRNET_NONE);
	for (uint32_t s = 0; s < net->n_spaces; s++) {
		*space = s;
		if (!seen[s]) return AIRNET_NOT_JOINED;
	}
	*space = AIRNET_NONE;
	for (uint32_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		if (b->closed || b->kind != AIRNET_FAN) continue;
		*branch = i;
		if (!reach(mem, net, b->from, i)[b->to]) return AIRNET_OPEN;
	}
	*branch = AIRNET_NONE;
	return AIRNET_SOLVED;
}

/* ---- answers ---------------------------------------------------------------------------------- */

static void take(const work *w, airnet_result *r) {
	const airnet *net = w->net;
	double *sum = ARENA_MANY(w->mem, double, net->n_spaces);
	r->numbers = true;
	r->iterations = w->steps;
	r->flow_m3_s = w->q;
	r->pressure_pa = w->p;
	r->loss_pa = ARENA_MANY(w->mem, double, net->n_branches + 1);
	for (size_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		r->loss_pa[i] = w->p[b->from] - w->p[b->to];
		if (w->laws[i].off) continue;
		sum[b->from] -= w->q[i];
		sum[b->to] += w->q[i];
		r->residual_pa = fmax(r->residual_pa, fabs(r->loss_pa[i] - w->h[i]));
	}
	for (uint32_t s = 0; s < net->n_spaces; s++) r->residual_m3_s = fmax(r->residual_m3_s, fabs(sum[s]));
}

/* Where on its curve each fan works, and each unit with a measured loss curve. Gives the number that ride on a rising
 * piece. */
static double place_on_curves(const work *w, airnet_result *r) {
	double rising = 0;
	for (uint32_t i = 0; i < w->net->n_branches; i++) {
		const airnet_branch *b = &w->net->branches[i];
		airnet_fan_state *f = &r->fan[i];
		if (b->closed || !b->curve) continue;
		const airnet_curve *c = b->curve;
		double last = c->flow_m3_s[c->n - 1], hair = 1e-9 * last;
		double ratio = b->kind == AIRNET_FAN ? b->speed_ratio : 1, q = w->q[i] / (b->count * ratio);
		f->flow_m3_s = w->q[i] / b->count;
		f->rise_pa = -r->loss_pa[i];
		airnet_trouble off = AIRNET_SOLVED;
		if (b->kind == AIRNET_PASSIVE) {
			f->side = fabs(q) > last + hair ? 1 : 0;
			if (f->side) off = AIRNET_OFF_LOSS;
		} else {
			f->side = q > last + hair ? 1 : q < c->flow_m3_s[0] - hair ? -1 : 0;
			f->rising = q < airnet_curve_peak(c) - hair;
			f->stall = b->stall_m3_s > 0 && q < b->stall_m3_s;
			if (f->rising) rising += b->count;
			if (f->side) off = f->side > 0 ? AIRNET_OFF_RIGHT : AIRNET_OFF_LEFT;
		}
		/* A fan off its curve says more than a filter that is. */
		if (off != AIRNET_SOLVED && (r->trouble == AIRNET_SOLVED || r->trouble == AIRNET_OFF_LOSS)) {
			r->trouble = off;
			r->branch = i;
		}
	}
	return rising;
}

static void end_of_curve(arena *mem, const airnet *net, uint32_t fan, airnet_fan_state *f) {
	const airnet_branch *b = &net->branches[fan];
	size_t end = f->side > 0 ? b->curve->n - 1 : 0;
	f->end_m3_s = airlaw_fan_flow(b->curve->flow_m3_s[end], b->speed_ratio);
	f->gives_pa = airlaw_fan_pressure(b->curve->pressure_pa[end], b->speed_ratio, b->density_ratio);
	f->needs_pa = airnet_needs(mem, net, fan, f->end_m3_s * b->count);
}

airnet_result airnet_solve(arena *mem, const airnet *net) {
	airnet_result r = {.branch = AIRNET_NONE, .space = AIRNET_NONE};
	r.trouble = examine(mem, net, &r.branch, &r.space);
	r.fan = ARENA_MANY(mem, airnet_fan_state, net->n_branches + 1);
	if (r.trouble != AIRNET_SOLVED) return r;
	work w = begin(mem, net, AIRNET_NONE, 0);
	if (first_flows(&w)) iterate(&w);
	bool rides = false;
	for (size_t i = 0; i < net->n_branches && w.converged; i++) {
		const airnet_branch *b = &net->branches[i];
		if (b->kind != AIRNET_FAN || b->closed) continue;
		if (w.q[i] / (b->count * b->speed_ratio) < airnet_curve_peak(b->curve)) rides = true;
	}
	if (rides) {
		use_curves(&w, true);
		iterate(&w);
	}
	if (!w.converged) {
		r.trouble = AIRNET_NOT_CONVERGED;
		r.iterations = w.steps;
		return r;
	}
	take(&w, &r);
	double rising = place_on_curves(&w, &r);
	if (r.trouble == AIRNET_SOLVED && rising > 1) r.trouble = AIRNET_NOT_UNIQUE;
	if (r.trouble == AIRNET_OFF_LEFT || r.trouble == AIRNET_OFF_RIGHT)
		end_of_curve(mem, net, r.branch, &r.fan[r.branch]);
	return r;
}

double airnet_needs(arena *mem, const airnet *net, uint32_t fan, double flow_m3_s) {
	uint32_t branch = 0, space = 0;
	if (examine(mem, net, &branch, &space) != AIRNET_SOLVED) return NAN;
	bool *seen = reach(mem, net, 0, fan);
	for (uint32_t s = 0; s < net->n_spaces; s++)
		if (!seen[s]) return NAN;
	work w = begin(mem, net, fan, flow_m3_s);
	if (!first_flows(&w)) return NAN;
	iterate(&w);
	const airnet_branch *b = &net->branches[fan];
	return w.converged ? w.p[b->to] - w.p[b->from] : NAN;
}
