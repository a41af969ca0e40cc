/* Monotone interpolation of published points. */
#include <math.h>

#include "runtime/engine/airnet.h"

/* Slope at an inner point: nought at a peak or dip, else the weighted harmonic mean of the secants (Fritsch and Butland
 * 1984), which lies within three times the smaller one (Fritsch and Carlson 1980). */
static double inner_slope(double before, double after, double wide_before, double wide_after) {
	if (before * after <= 0) return 0;
	double w1 = 2 * wide_after + wide_before, w2 = wide_after + 2 * wide_before;
	return (w1 + w2) / (w1 / before + w2 / after);
}

/* Slope at an end: the parabola through three points, held to the sign of the first secant and to three times it. */
static double end_slope(double first, double second, double wide_first, double wide_second) {
	double s = ((2 * wide_first + wide_second) * first - wide_first * second) / (wide_first + wide_second);
	if (s * first <= 0) return 0;
	if (first * second <= 0 && fabs(s) > 3 * fabs(first)) return 3 * first;
	return s;
}

bool airnet_curve_make(arena *mem, const double *flow_m3_s, const double *pressure_pa, size_t n, airnet_curve *out) {
	if (n < 2) return false;
	for (size_t i = 0; i < n; i++) {
		if (!isfinite(flow_m3_s[i]) || !isfinite(pressure_pa[i]) || flow_m3_s[i] < 0) return false;
		if (i && !(flow_m3_s[i] > flow_m3_s[i - 1])) return false;
	}
	double *slope = ARENA_MANY(mem, double, n), *wide = ARENA_MANY(mem, double, n),
	       *secant = ARENA_MANY(mem, double, n);
	for (size_t i = 0; i + 1 < n; i++) {
		wide[i] = flow_m3_s[i + 1] - flow_m3_s[i];
		secant[i] = (pressure_pa[i + 1] - pressure_pa[i]) / wide[i];
	}
	if (n == 2) {
		slope[0] = slope[1] = secant[0];
	} else {
		slope[0] = end_slope(secant[0], secant[1], wide[0], wide[1]);
		slope[n - 1] = end_slope(secant[n - 2], secant[n - 3], wide[n - 2], wide[n - 3]);
		for (size_t i = 1; i + 1 < n; i++)
			slope[i] = inner_slope(secant[i - 1], secant[i], wide[i - 1], wide[i]);
	}
	out->n = n;
	out->flow_m3_s = arena_copy(mem, flow_m3_s, sizeof(double) * n);
	out->pressure_pa = arena_copy(mem, pressure_pa, sizeof(double) * n);
	out->slope = slope;
	return true;
}

double airnet_curve_at(const airnet_curve *c, double flow_m3_s, double *slope) {
	size_t last = c->n - 1;
	if (slope) *slope = NAN;
	if (!(flow_m3_s >= c->flow_m3_s[0] && flow_m3_s <= c->flow_m3_s[last])) return NAN;
	size_t i = 0;
	while (i + 1 < last && flow_m3_s >= c->flow_m3_s[i + 1]) i++;
	double wide = c->flow_m3_s[i + 1] - c->flow_m3_s[i], t = (flow_m3_s - c->flow_m3_s[i]) / wide;
	double p0 = c->pressure_pa[i], p1 = c->pressure_pa[i + 1], m0 = c->slope[i], m1 = c->slope[i + 1];
	double t2 = t * t, t3 = t2 * t;
	if (slope) *slope = 6 * (t2 - t) * (p0 - p1) / wide + (3 * t2 - 4 * t + 1) * m0 + (3 * t2 - 2 * t) * m1;
	return (2 * t3 - 3 * t2 + 1) * p0 + (t3 - 2 * t2 + t) * wide * m0 + (3 * t2 - 2 * t3) * p1 +
	       (t3 - t2) * wide * m1;
}

double airnet_curve_peak(const airnet_curve *c) {
	double most = c->pressure_pa[c->n - 1];
	size_t peak = 0;
	/* A point below one to its right belongs to a rise that ends right of it. */
	for (size_t i = c->n - 1; i-- > 0;) {
		if (c->pressure_pa[i] < most) {
			peak = i + 1;
			break;
		}
		most = c->pressure_pa[i];
	}
	return c->flow_m3_s[peak];
}
