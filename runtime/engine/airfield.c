#include "runtime/engine/airfield.h"

#include <math.h>

#include "runtime/engine/airlaw.h"

#define X(name, words) [AIRFIELD_##name] = words,
const char *const AIRFIELD_TROUBLE_WORDS[AIRFIELD_TROUBLE_COUNT] = {AIRFIELD_TROUBLES(X)};
#undef X

/* One side of the outlet: rows from the closed end `first` towards it, in steps of `step`. */
typedef struct side {
	const airfield *f;
	size_t first, n;
	int step;
	double *flow; /* [rows of the field], filled in on the walk */
} side;

static const airfield_row *row_of(const side *s, size_t i) {
	return &s->f->rows[s->step > 0 ? s->first + i : s->first - i];
}

static size_t index_of(const side *s, size_t i) { return s->step > 0 ? s->first + i : s->first - i; }

/* Change of the drop (room against plenum; blowing: plenum against room) on the way from row a to row b, which a flow
 * takes towards the outlet. The drop is what the holes see. */
static double between_rows(const side *s, const airfield_row *a, const airfield_row *b, double flow) {
	const airfield *f = s->f;
	double rho = f->density_kg_m3, va = flow / a->section_m2, vb = flow / b->section_m2;
	double length = fabs(b->at_m - a->at_m), rubs = 0;
	const airfield_row *each[2] = {a, b};
	for (int i = 0; i < 2; i++) {
		double d = each[i]->hydraulic_m, v = i ? vb : va;
		if (!(d > 0) || !(v > 0)) continue;
		double factor = airlaw_friction(rho * v * d / f->viscosity_pa_s, fmin(0.05, f->roughness_m / d));
		rubs += factor * length / 2 / d * airlaw_velocity_pressure(rho, v);
	}
	/* Suction: towards the outlet the plenum's pressure falls by friction and by speed, the drop grows. Blowing:
	 * the stream comes from the outlet's side, b before a; what it loses on its way lowers the drop at a. */
	double before = f->blowing ? vb : va, after = f->blowing ? va : vb;
	double falls = after >= before ? rho * (after * after - before * before) / 2 : -rho * after * (before - after);
	return f->blowing ? rubs + falls : falls + rubs;
}

/* Walks from the closed end with a drop over its first row. Gives the flow that arrives and, in *drop, the drop behind
 * the last row; false when a row would draw backwards (*starved: which). */
static bool walk(const side *s, double first_pa, double *total, double *drop, size_t *starved) {
	const airfield *f = s->f;
	double rho = f->density_kg_m3, sign = f->blowing ? -1 : 1, here = first_pa, flow = 0;
	for (size_t i = 0; i < s->n; i++) {
		const airfield_row *r = row_of(s, i);
		if (i) here += between_rows(s, row_of(s, i - 1), r, flow);
		/* The row's own flow q makes half of its momentum felt by its holes: with v before it,
		 * K rho/2 (q/A)^2 = here + sign rho/2 ((v + q/S)^2 - v^2), a quadratic in q. */
		double v = flow / r->section_m2;
		double a = r->loss_k / (r->open_m2 * r->open_m2) - sign / (r->section_m2 * r->section_m2);
		double b = -sign * 2 * v / r->section_m2, c = -2 * here / rho, under = b * b - 4 * a * c, q = NAN;
		if (a > 0 && here > 0) q = (-b + sqrt(under)) / (2 * a);
		if (!(q > 0)) {
			*starved = index_of(s, i);
			return false;
		}
		s->flow[index_of(s, i)] = q;
		double after = (flow + q) / r->section_m2;
		here += sign * rho * (after * after - v * v);
		flow += q;
	}
	*total = flow;
	*drop = here;
	return true;
}

/* The drop over the first row with which a side brings `flow`, and that behind its last row. The flow grows with the
 * drop, nearly as its root, which gives the next guess; halving where that leaves the bracket. A row that starves
 * counts as too much: friction, which helps a blown row, weighs less the more flows. */
static bool side_for_flow(const side *s, double flow, double *drop, size_t *starved) {
	double low = 0, high = INFINITY, got = 0, open = 0, k = 0;
	for (size_t i = 0; i < s->n; i++) {
		open += row_of(s, i)->open_m2;
		k = fmax(k, row_of(s, i)->loss_k);
	}
	double guess = k * airlaw_velocity_pressure(s->f->density_kg_m3, flow / open);
	for (int i = 0; i < 200; i++) {
		bool went = walk(s, guess, &got, drop, starved);
		if (went && fabs(got - flow) <= 1e-13 * flow) return true;
		if (went && got < flow)
			low = guess;
		else
			high = guess;
		double next = went ? guess * (flow / got) * (flow / got) : (low + high) / 2;
		if (!(next > low && next < high)) next = (low + high) / 2;
		if (!(next > low && next < high)) break;
		guess = next;
	}
	return walk(s, guess, &got, drop, starved) && fabs(got - flow) <= 1e-9 * flow;
}

static bool good(double v) { return v > 0 && isfinite(v); }

static bool examine(const airfield *f, size_t *row) {
	*row = 0;
	if (f->n_rows < 1 || !good(f->density_kg_m3) || !good(f->viscosity_pa_s) || !good(f->flow_m3_s)) return false;
	if (!isfinite(f->outlet_m) || !(f->roughness_m >= 0) || !isfinite(f->roughness_m)) return false;
	for (size_t i = 0; i < f->n_rows; i++) {
		const airfield_row *r = &f->rows[i];
		*row = i;
		if (!good(r->open_m2) || !good(r->loss_k) || !good(r->section_m2) || !isfinite(r->at_m)) return false;
		if (!(r->hydraulic_m >= 0) || !isfinite(r->hydraulic_m)) return false;
		if (i && !(r->at_m >= f->rows[i - 1].at_m)) return false;
	}
	return true;
}

/* Shares the flow between the two sides so that both see the same drop where they meet at the outlet: each side's drop
 * goes nearly with the square of its flow, which gives the next share; halving where that leaves the bracket. */
static bool share(const side *a, const side *b, double flow, double *drop, size_t *starved) {
	if (a->n == 0 || b->n == 0) return side_for_flow(a->n ? a : b, flow, drop, starved);
	double low = 0, high = 1, part = (double)a->n / (double)(a->n + b->n), da = 0, db = 0;
	for (int i = 0; i < 200; i++) {
		if (!side_for_flow(a, part * flow, &da, starved)) return false;
		if (!side_for_flow(b, (1 - part) * flow, &db, starved)) return false;
		if (fabs(da - db) <= 1e-12 * fabs(da)) break;
		if (da < db)
			low = part;
		else
			high = part;
		double next = da > 0 && db > 0 ? part / (part + (1 - part) * sqrt(da / db)) : NAN;
		if (!(next > low && next < high)) next = (low + high) / 2;
		if (!(next > low && next < high)) break;
		part = next;
	}
	*drop = (da + db) / 2;
	return true;
}

static void fill(const airfield *f, airfield_result *r, double drop) {
	double open = 0, ease = 0, flow = 0;
	r->least = INFINITY;
	for (size_t i = 0; i < f->n_rows; i++) {
		open += f->rows[i].open_m2;
		ease += f->rows[i].open_m2 / sqrt(f->rows[i].loss_k);
		flow += r->flow_m3_s[i];
	}
	r->mean_m_s = flow / open;
	for (size_t i = 0; i < f->n_rows; i++) {
		double v = r->flow_m3_s[i] / f->rows[i].open_m2;
		r->speed_m_s[i] = v;
		r->drop_pa[i] = f->rows[i].loss_k * airlaw_velocity_pressure(f->density_kg_m3, v);
		r->most = fmax(r->most, v / r->mean_m_s);
		r->least = fmin(r->least, v / r->mean_m_s);
	}
	r->even_pa = airlaw_velocity_pressure(f->density_kg_m3, flow / ease);
	r->more_pa = drop - r->even_pa;
}

/* Fastest place along a side. */
static double fastest(const side *s) {
	double flow = 0, most = 0;
	for (size_t i = 0; i < s->n; i++) {
		flow += s->flow[index_of(s, i)];
		most = fmax(most, flow / row_of(s, i)->section_m2);
	}
	return most;
}

airfield_result airfield_spread(arena *mem, const airfield *f) {
	airfield_result r = {0};
	if (!examine(f, &r.row)) {
		r.trouble = AIRFIELD_BAD_VALUE;
		return r;
	}
	double *flow = ARENA_MANY(mem, double, f->n_rows), drop = 0;
	size_t before = 0;
	while (before < f->n_rows && f->rows[before].at_m <= f->outlet_m) before++;
	side a = {f, 0, before, 1, flow}, b = {f, f->n_rows - 1, f->n_rows - before, -1, flow};
	if (!share(&a, &b, f->flow_m3_s, &drop, &r.row)) {
		r.trouble = AIRFIELD_STARVED;
		return r;
	}
	r.flow_m3_s = flow;
	r.speed_m_s = ARENA_MANY(mem, double, f->n_rows);
	r.drop_pa = ARENA_MANY(mem, double, f->n_rows);
	r.plenum_m_s = fmax(fastest(&a), fastest(&b));
	fill(f, &r, drop);
	return r;
}

double airfield_smooth(double open_m2, double section_m2, double loss_k, bool blowing, double part) {
	double s = open_m2 / section_m2 * sqrt(2 / loss_k);
	if (!(part >= 0 && part <= 1) || !(s > 0)) return NAN;
	if (!blowing) return s * cosh(s * part) / sinh(s);
	return s < 3.14159265358979323846 / 2 ? s * cos(s * part) / sin(s) : NAN;
}
