#include "runtime/engine/airnet.h"

#include <math.h>
#include <string.h>

#include "runtime/engine/airnet_parts.h"

/* Smallest slope of a tangent, of that from no flow to the largest. */
static const double FLOOR = 1e-9;

/* ---- one step ----------------------------------------------------------------------------------- */

static double slope_of(const work *w, size_t i) {
	/* The floor bounds what a rounding error of the pressures does to the flow. A passive law needs it at rest
	 * only. */
	return fmax(w->slope[i], w->laws[i].b->kind == AIRNET_FAN ? 100 * w->floor : w->floor);
}

/* What each space gets too much of; gives the largest. */
static double imbalance(const work *w, double *rhs) {
	const airnet *net = w->net;
	double most = 0;
	memset(rhs, 0, sizeof *rhs * (net->n_spaces - 1));
	for (size_t i = 0; i < net->n_branches; i++) {
		size_t from = net->branches[i].from, to = net->branches[i].to;
		if (w->laws[i].off && i != w->held) continue;
		if (from) rhs[from - 1] -= w->q[i];
		if (to) rhs[to - 1] += w->q[i];
	}
	for (size_t s = 0; s + 1 < net->n_spaces; s++) most = fmax(most, fabs(rhs[s]));
	return most;
}

/* Moves the pressures to those for which the tangents' flows q + (dp - h)/slope balance in every space, and sets the
 * step d. What is solved for is how far the pressures move, and the step is taken from that, so that rounding shrinks
 * with it and the flows stay balanced to the last digits. */
static bool tangent_step(work *w) {
	const airnet *net = w->net;
	size_t n = net->n_spaces - 1, pair = 0;
	double *on = w->on_diagonal, *rhs = w->rhs;
	memset(on, 0, sizeof *on * n);
	w->unbalanced = imbalance(w, rhs);
	for (size_t i = 0; i < net->n_branches; i++) {
		size_t from = net->branches[i].from, to = net->branches[i].to;
		if (w->laws[i].off) continue;
		double weight = 1 / slope_of(w, i), push = 0;
		w->d[i] = w->p[from] - w->p[to] - w->h[i];
		push = weight * w->d[i];
		if (from) on[from - 1] += weight;
		if (to) on[to - 1] += weight;
		if (from && to) w->of_pair[pair++] = -weight;
		if (from) rhs[from - 1] -= push;
		if (to) rhs[to - 1] += push;
	}
	/* Where wide ways hang on next to nothing rounding may eat a pivot: a trace more on the diagonal shortens the
	 * step a little and moves no answer. */
	for (double more = 1e-16; !spd_factor(w->system, on, w->of_pair, w->n_pairs); more *= 10) {
		if (!(more < 1e-9)) return false;
		for (size_t s = 0; s < n; s++) on[s] += more * on[s];
	}
	spd_solve(w->system, rhs);
	for (size_t i = 0; i < net->n_branches; i++) {
		size_t from = net->branches[i].from, to = net->branches[i].to;
		double moves = (from ? rhs[from - 1] : 0) - (to ? rhs[to - 1] : 0);
		w->d[i] = w->laws[i].off ? 0 : (w->d[i] + moves) / slope_of(w, i);
	}
	for (size_t s = 0; s < n; s++) w->p[s + 1] += rhs[s];
	return true;
}

/* ---- iteration -------------------------------------------------------------------------------- */

/* Laws and slopes at q + share d; gives the derivative of the energy along the step there, which rises with the share
 * when all laws rise. */
static double look_ahead(work *w, double share) {
	double sum = 0;
	for (size_t i = 0; i < w->net->n_branches; i++) {
		if (w->laws[i].off) continue;
		w->h_ahead[i] = airnet_law_drop(w, i, w->q[i] + share * w->d[i], &w->slope_ahead[i]);
		sum += w->h_ahead[i] * w->d[i];
	}
	return sum;
}

static void laws_at(work *w) {
	for (size_t i = 0; i < w->net->n_branches; i++)
		if (!w->laws[i].off) w->h[i] = airnet_law_drop(w, i, w->q[i], &w->slope[i]);
}

/* Goes the whole step when the energy still falls at its end or nearly stops falling; else a share by bisection at
 * which the derivative has shrunk to half. The laws are those at the new flows then. */
static void go(work *w) {
	double begin = 0, share = 1;
	for (size_t i = 0; i < w->net->n_branches; i++)
		if (!w->laws[i].off) begin += w->h[i] * w->d[i];
	double end = look_ahead(w, 1), low = 0, high = 1;
	for (int i = 0; i < 60 && begin < 0 && fabs(end) > -0.5 * begin; i++) {
		if (i == 0 && end < 0) break;
		share = (low + high) / 2;
		end = look_ahead(w, share);
		*(end < 0 ? &low : &high) = share;
	}
	double *h = w->h, *slope = w->slope;
	for (size_t i = 0; i < w->net->n_branches; i++) w->q[i] += share * w->d[i];
	w->h = w->h_ahead;
	w->slope = w->slope_ahead;
	w->h_ahead = h;
	w->slope_ahead = slope;
}

static bool step_whole(work *w) {
	if (w->held != AIRNET_NONE) w->q[w->held] = w->held_flow;
	if (!tangent_step(w)) return false;
	for (size_t i = 0; i < w->net->n_branches; i++) w->q[i] += w->d[i];
	return true;
}

/* First flows: every law taken as a straight line through its value at a flow of the fans' size. */
static bool first_flows(work *w) {
	for (size_t i = 0; i < w->net->n_branches; i++) {
		if (w->laws[i].off) continue;
		double q = w->q_scale / 2, slope = 0, h = airnet_law_drop(w, i, q, &slope);
		bool fan = w->laws[i].b->kind == AIRNET_FAN;
		w->q[i] = fan ? q : 0;
		w->h[i] = fan ? h : 0;
		w->slope[i] = fan ? slope : h / q;
	}
	return step_whole(w);
}

static double most_flow(const work *w) {
	double most = 0;
	for (size_t i = 0; i < w->net->n_branches; i++)
		if (!w->laws[i].off) most = fmax(most, fabs(w->q[i]));
	return most;
}

/* Has the last step changed nothing that counts? `moved`: the most that a flow did; `misfit`: the most that a law and
 * the pressures are apart, in the laws as they were before it. */
static bool is_small(const work *w, double flow, double moved, double misfit, double pressure) {
	/* Nothing but rounding moves behind dampers that are all shut; nothing but rounding is lost where fans run in a
	 * ring with nothing between. */
	if (flow <= 1e-9 * w->q_scale && moved <= 1e-10 * w->q_scale) moved = 0;
	pressure = fmax(pressure, 1e-3 * w->p_scale);
	if (moved <= 1e-10 * flow && misfit <= 1e-10 * pressure) return true;
	/* A way that loses next to nothing may still turn over some of its flow, within what the pressures' digits can
	 * tell. */
	return moved <= 1e-6 * flow && misfit <= 1e-12 * pressure && w->unbalanced <= 1e-10 * flow;
}

static void iterate(work *w) {
	w->converged = false;
	int settled = 0;
	laws_at(w);
	for (uint32_t step = 0; step < AIRNET_MOST_STEPS; step++) {
		w->floor = FLOOR * w->p_scale / fmin(w->q_scale, fmax(most_flow(w), 1e-9 * w->q_scale));
		if (!tangent_step(w)) return;
		w->steps++;
		double moved = 0, misfit = 0, pressure = 0;
		for (size_t i = 0; i < w->net->n_branches; i++) {
			const law *l = &w->laws[i];
			if (l->off) continue;
			misfit = fmax(misfit, fabs(w->p[l->b->from] - w->p[l->b->to] - w->h[i]));
			moved = fmax(moved, fabs(w->d[i]));
			pressure = fmax(pressure, fabs(w->h[i]));
		}
		if (!isfinite(moved)) return;
		go(w);
		/* Two steps in a row, so that the last digits are polished. */
		settled = is_small(w, most_flow(w), moved, misfit, pressure) ? settled + 1 : 0;
		if (settled == 2) {
			w->converged = true;
			return;
		}
	}
}

/* ---- setting up --------------------------------------------------------------------------------- */

/* The pattern of the system: the spaces but the room, a pair for each branch that joins two of them. */
static void plan_system(work *w) {
	const airnet *net = w->net;
	spd_pair *pairs = ARENA_MANY(w->mem, spd_pair, net->n_branches + 1);
	for (size_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		if (!w->laws[i].off && b->from && b->to) pairs[w->n_pairs++] = (spd_pair){b->from - 1, b->to - 1};
	}
	w->system = spd_plan(w->mem, net->n_spaces - 1, pairs, w->n_pairs);
	w->on_diagonal = ARENA_MANY(w->mem, double, net->n_spaces);
	w->rhs = ARENA_MANY(w->mem, double, net->n_spaces);
	w->of_pair = ARENA_MANY(w->mem, double, w->n_pairs + 1);
}

static void scales(work *w) {
	const airnet *net = w->net;
	for (size_t i = 0; i < net->n_branches; i++) {
		const airnet_branch *b = &net->branches[i];
		if (b->kind != AIRNET_FAN || b->closed) continue;
		double ratio = b->speed_ratio, up = b->density_ratio * ratio * ratio;
		double flow = b->curve->flow_m3_s[b->curve->n - 1] * b->count * ratio;
		w->q_scale = fmax(w->q_scale, flow);
		for (size_t k = 0; k < b->curve->n; k++)
			w->p_scale = fmax(w->p_scale, fabs(b->curve->pressure_pa[k]) * up);
	}
	if (w->held != AIRNET_NONE) w->q_scale = fmax(w->q_scale, fabs(w->held_flow));
	w->floor = FLOOR * w->p_scale / w->q_scale;
	for (size_t i = 0; i < net->n_branches; i++) {
		law *l = &w->laws[i];
		l->shut = 1e18 * fmax(w->p_scale, l->b->opens_pa) / w->q_scale;
	}
}

static work begin(arena *mem, const airnet *net, uint32_t held, double held_flow) {
	size_t n = net->n_branches;
	work w = {.mem = mem, .net = net, .held = held, .held_flow = held_flow};
	double **const each[] = {&w.q, &w.d, &w.slope, &w.h, &w.slope_ahead, &w.h_ahead};
	for (size_t i = 0; i < sizeof each / sizeof *each; i++) *each[i] = ARENA_MANY(mem, double, n + 1);
	w.p = ARENA_MANY(mem, double, net->n_spaces);
	w.laws = ARENA_MANY(mem, law, n + 1);
	for (size_t i = 0; i < n; i++)
		w.laws[i] = (law){.b = &net->branches[i], .off = net->branches[i].closed || i == held};
	scales(&w);
	plan_system(&w);
	airnet_use_curves(&w, false);
	return w;
}

/* ---- answers ---------------------------------------------------------------------------------- */

static void take(const work *w, airnet_result *r) {
	const airnet *net = w->net;
	/* What a shut damper leaves is rounding: nothing goes through it. */
	for (size_t i = 0; i < net->n_branches; i++) {
		r->fan[i].shut = net->branches[i].one_way && !w->laws[i].off &&
				 w->q[i] <= net->branches[i].opens_pa / w->laws[i].shut;
		if (r->fan[i].shut) w->q[i] = 0;
	}
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
		double misfit = r->fan[i].shut ? fmax(0, r->loss_pa[i] - b->opens_pa) : fabs(r->loss_pa[i] - w->h[i]);
		r->residual_pa = fmax(r->residual_pa, misfit);
	}
	for (uint32_t s = 0; s < net->n_spaces; s++) r->residual_m3_s = fmax(r->residual_m3_s, fabs(sum[s]));
}

/* Where on its curve each fan works, and each unit with a measured loss curve. */
static void place_on_curves(const work *w, airnet_result *r) {
	for (uint32_t i = 0; i < w->net->n_branches; i++) {
		const airnet_branch *b = &w->net->branches[i];
		airnet_fan_state *f = &r->fan[i];
		if (b->closed) continue;
		if (b->one_way) {
			f->flow_m3_s = w->q[i] / b->count;
			f->rise_pa = -r->loss_pa[i];
		}
		if (!b->curve) continue;
		const airnet_curve *c = b->curve;
		double last = c->flow_m3_s[c->n - 1], hair = AIRNET_HAIR * last;
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
			if (f->side) off = f->side > 0 ? AIRNET_OFF_RIGHT : AIRNET_OFF_LEFT;
		}
		/* A fan off its curve says more than a filter that is. */
		if (off != AIRNET_SOLVED && (r->trouble == AIRNET_SOLVED || r->trouble == AIRNET_OFF_LOSS)) {
			r->trouble = off;
			r->branch = i;
		}
	}
}

static void end_of_curve(arena *mem, const airnet *net, uint32_t fan, airnet_fan_state *f) {
	const airnet_branch *b = &net->branches[fan];
	size_t end = f->side > 0 ? b->curve->n - 1 : 0;
	f->end_m3_s = airlaw_fan_flow(b->curve->flow_m3_s[end], b->speed_ratio);
	f->gives_pa = airlaw_fan_pressure(b->curve->pressure_pa[end], b->speed_ratio, b->density_ratio);
	f->needs_pa = airnet_needs(mem, net, fan, f->end_m3_s * b->count);
}

/* Several fans on a rising piece share by chance. */
static void ask_whether_unique(const work *w, airnet_result *r) {
	uint32_t *part = ARENA_MANY(w->mem, uint32_t, w->net->n_branches + 1);
	size_t n = 0;
	double rising = 0;
	for (uint32_t i = 0; i < w->net->n_branches; i++) {
		if (!r->fan[i].rising) continue;
		rising += w->net->branches[i].count;
		part[n++] = i;
	}
	if (!(rising > 1)) return;
	r->trouble = AIRNET_NOT_UNIQUE;
	r->branch = part[0];
	r->part_branches = part;
	r->n_part_branches = n;
}

/* A fan that moves nothing is held: by dampers that are shut, or by fans that stand still themselves. */
static void ask_whether_blocked(const work *w, airnet_result *r) {
	uint32_t *part = ARENA_MANY(w->mem, uint32_t, w->net->n_branches + 1), held = AIRNET_NONE;
	size_t n = 0;
	for (uint32_t i = 0; i < w->net->n_branches; i++) {
		const airnet_branch *b = &w->net->branches[i];
		bool still = b->kind == AIRNET_FAN && !b->closed && fabs(w->q[i]) <= 1e-9 * w->q_scale;
		if (still && held == AIRNET_NONE)
			held = i;
		else if (still || r->fan[i].shut)
			part[n++] = i;
	}
	if (held == AIRNET_NONE || n == 0) return;
	r->trouble = AIRNET_BLOCKED;
	r->branch = held;
	r->part_branches = part;
	r->n_part_branches = n;
}

airnet_result airnet_solve(arena *mem, const airnet *net) {
	airnet_result r = {.branch = AIRNET_NONE, .space = AIRNET_NONE};
	r.trouble = airnet_examine(mem, net, &r);
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
		airnet_use_curves(&w, true);
		iterate(&w);
	}
	if (!w.converged) {
		r.trouble = AIRNET_NOT_CONVERGED;
		r.iterations = w.steps;
		return r;
	}
	take(&w, &r);
	place_on_curves(&w, &r);
	if (r.trouble == AIRNET_SOLVED) ask_whether_unique(&w, &r);
	ask_whether_blocked(&w, &r);
	if (r.trouble == AIRNET_OFF_LEFT || r.trouble == AIRNET_OFF_RIGHT)
		end_of_curve(mem, net, r.branch, &r.fan[r.branch]);
	return r;
}

void airnet_needs_many(arena *mem, const airnet *net, uint32_t fan, const double *flow_m3_s, size_t n, double *needs) {
	airnet_result why = {.branch = AIRNET_NONE};
	bool can = airnet_examine(mem, net, &why) == AIRNET_SOLVED && airnet_all_joined(mem, net, fan);
	for (size_t i = 0; i < n; i++) needs[i] = NAN;
	if (!can || !n) return;
	double most = 0;
	for (size_t i = 0; i < n; i++) most = fmax(most, fabs(flow_m3_s[i]));
	work w = begin(mem, net, fan, most);
	const airnet_branch *b = &net->branches[fan];
	for (size_t i = 0; i < n; i++) {
		/* From the answer before, if there is one, by a whole step of its tangents: the flows balance again. */
		w.held_flow = flow_m3_s[i];
		if (!w.converged && !first_flows(&w)) continue;
		if (w.converged && !step_whole(&w)) continue;
		iterate(&w);
		if (w.converged) needs[i] = w.p[b->to] - w.p[b->from];
	}
}

double airnet_needs(arena *mem, const airnet *net, uint32_t fan, double flow_m3_s) {
	double needs = NAN;
	airnet_needs_many(mem, net, fan, &flow_m3_s, 1, &needs);
	return needs;
}
