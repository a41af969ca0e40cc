#include "runtime/engine/airfit.h"

#include <math.h>
#include <stddef.h>

#include "runtime/engine/airlaw.h"

static const double PI = 3.14159265358979323846;

#define X(name, word, needs, words) [AIRFIT_##name] = {word, words, needs},
const airfit_row AIRFIT_ROWS[AIRFIT_KINDS] = {AIRFITS(X)};
#undef X

static const airfit_loss NONE = {(double)NAN, 0};

static double radians(double degrees) { return degrees * PI / 180; }

static bool within(double v, double low, double high) { return v >= low && v <= high; }

/* Straight lines through points at rising x; NaN outside. */
static double between(const double *x, const double *y, size_t n, double at) {
	if (!within(at, x[0], x[n - 1])) return NAN;
	size_t i = 0;
	while (i + 2 < n && at > x[i + 1]) i++;
	return y[i] + (y[i + 1] - y[i]) * (at - x[i]) / (x[i + 1] - x[i]);
}

/* ---- fittings --------------------------------------------------------------------------------- */

static airfit_loss elbow(const airfit_values *v) {
	if (!within(v->angle_deg, 0, 180) || !within(v->radius, 0.5, 50)) return NONE;
	double angle = radians(v->angle_deg), s = sin(angle / 2);
	return (airfit_loss){0.10 * s,
			     angle * v->radius + 2.4 * s + 6.6 * (sqrt(s) + s) / pow(v->radius, 4 * angle / PI)};
}

static airfit_loss segmented(const airfit_values *v) {
	static const double RADIUS[5] = {0.75, 1, 1.5, 2, 2.5}, K[3][5] = {{0.54, 0.42, 0.34, 0.33, 0.33},
									   {0.50, 0.37, 0.27, 0.24, 0.23},
									   {0.46, 0.33, 0.24, 0.19, 0.17}};
	if (!(v->pieces == 3 || v->pieces == 4 || v->pieces == 5) || !within(v->angle_deg, 0, 90)) return NONE;
	return (airfit_loss){between(RADIUS, K[(int)v->pieces - 3], 5, v->radius) * v->angle_deg / 90, 0};
}

static airfit_loss mitre(const airfit_values *v) {
	double s = sin(radians(v->angle_deg) / 2);
	return within(v->angle_deg, 0, 150) ? (airfit_loss){0.42 * s + 2.56 * s * s * s, 0} : NONE;
}

static airfit_loss vaned(const airfit_values *v) {
	(void)v;
	return (airfit_loss){0.6, 0};
}

static airfit_loss branch(const airfit_values *v) {
	static const double ANGLE[11] = {10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 90},
			    K[11] = {0.06, 0.09, 0.12, 0.15, 0.18, 0.21, 0.25, 0.28, 0.32, 0.44, 1.00};
	return (airfit_loss){between(ANGLE, K, 11, v->angle_deg), 0};
}

/* The wall of a cone: f (1 - b4)/(8 sin(angle/2)), in diameters of the smaller section. */
static double cone_wall(double area_ratio, double half) { return (1 - area_ratio * area_ratio) / (8 * sin(half)); }

static airfit_loss expansion(const airfit_values *v) {
	double a = v->angle_deg, r = v->area_ratio, half = radians(a) / 2, jet = (1 - r) * (1 - r);
	if (!within(a, 1, 180) || !within(r, 0, 1)) return NONE;
	/* b, the ratio of the diameters, is sqrt r; below 0.5 a further term. */
	double wide = fmax(0, 0.0625 - r * r);
	if (a <= 20) return (airfit_loss){8.30 * pow(tan(half), 1.75) * jet, cone_wall(r, half)};
	if (a <= 60) {
		double k = 1.366 * sqrt(sin(2 * PI * (a - 15) / 180)) - 0.170 - 3.28 * wide * sqrt((a - 20) / 40);
		return (airfit_loss){k * jet, cone_wall(r, half)};
	}
	double falls = r < 0.25 ? 12.8 * r * r * r : 0.20;
	return (airfit_loss){(1.205 - 3.28 * wide - falls * sqrt((a - 60) / 120)) * jet, 0};
}

static airfit_loss contraction(const airfit_values *v) {
	double r = v->area_ratio, half = radians(v->angle_deg) / 2, b5 = pow(r, 2.5);
	if (!within(v->angle_deg, 5, 180) || !within(r, 0, 1)) return NONE;
	double jet = 1 + 0.622 * pow(v->angle_deg / 180, 0.8) * (1 - 0.215 * r - 0.785 * b5);
	return (airfit_loss){0.0696 * sin(half) * (1 - b5) * jet * jet + (jet - 1) * (jet - 1), cone_wall(r, half)};
}

static airfit_loss rounded_entry(const airfit_values *v) {
	if (!within(v->radius, 0, 1)) return NONE;
	double left = 1 - 0.30 * sqrt(v->radius) - 0.70 * v->radius, jet = 1 + 0.622 * left * left * left * left;
	return (airfit_loss){0.0696 * (1 - 0.569 * v->radius) * jet * jet + (jet - 1) * (jet - 1), 0};
}

static airfit_loss grille(const airfit_values *v) {
	if (!(v->free_part > 0 && v->free_part <= 1) || !(v->thick_to_hole >= 0)) return NONE;
	return (airfit_loss){airlaw_plate(v->free_part, v->thick_to_hole) / (v->free_part * v->free_part), 0};
}

static airfit_loss butterfly(const airfit_values *v) {
	static const double ANGLE[7] = {0, 10, 20, 30, 40, 50, 60}, K[7] = {0.20, 0.52, 1.5, 4.5, 11, 29, 108};
	return (airfit_loss){between(ANGLE, K, 7, v->angle_deg), 0};
}

airfit_loss airfit_of(airfit_kind kind, const airfit_values *v) {
	static const double ALWAYS[AIRFIT_KINDS] = {
		/* whatever the duct is like */
		[AIRFIT_PLAIN_ENTRY] = AIRLAW_FH_PLAIN,
		[AIRFIT_FLANGED_ENTRY] = AIRLAW_FH_FLANGED,
		[AIRFIT_BELL_ENTRY] = AIRLAW_FH_BELLMOUTH,
		[AIRFIT_HOOD_ENTRY] = AIRLAW_FH_GRINDER,
		[AIRFIT_TAPERED_ENTRY] = AIRLAW_FH_GRINDER_TAPERED,
		[AIRFIT_EXIT] = 1,
		[AIRFIT_PLENUM] = 1.5,
	};
	static airfit_loss (*const EACH[AIRFIT_KINDS])(const airfit_values *) = {
		[AIRFIT_ELBOW] = elbow,
		[AIRFIT_SEGMENTED] = segmented,
		[AIRFIT_MITRE] = mitre,
		[AIRFIT_VANED] = vaned,
		[AIRFIT_BRANCH] = branch,
		[AIRFIT_EXPANSION] = expansion,
		[AIRFIT_CONTRACTION] = contraction,
		[AIRFIT_ROUNDED_ENTRY] = rounded_entry,
		[AIRFIT_GRILLE] = grille,
		[AIRFIT_BUTTERFLY] = butterfly,
	};
	if ((unsigned)kind >= AIRFIT_KINDS) return NONE;
	if (EACH[kind]) return EACH[kind](v);
	return ALWAYS[kind] > 0 ? (airfit_loss){ALWAYS[kind], 0} : NONE;
}

/* ---- fans -------------------------------------------------------------------------------------- */

/* The system effect curves' factors on the velocity pressure; between two letters their mean. */
enum { FREE, X, WX, W, VW, V, UV, U, TU, T, ST, S, RS, R, QR, Q, PQ, P, O, N };
static const double EFFECT[] = {
	[FREE] = 0,   [X] = 0.10,  [W] = 0.17,	 [V] = 0.25,   [U] = 0.40,  [T] = 0.50,	  [S] = 0.75,
	[R] = 1.2,    [Q] = 1.5,   [P] = 1.9,	 [O] = 2.5,    [N] = 3.2,   [WX] = 0.135, [VW] = 0.21,
	[UV] = 0.325, [TU] = 0.45, [ST] = 0.625, [RS] = 0.975, [QR] = 1.35, [PQ] = 1.7,
};

double airfit_fan_inlet(double radius, double pieces, double straight) {
	static const double STRAIGHT[4] = {0, 2, 5, 6}, RADIUS[5] = {0.5, 0.75, 1, 2, 3};
	static const unsigned char MITRED[3] = {N, P, RS};
	static const unsigned char EACH[2][5][3] = {
		{{O, Q, S}, {Q, RS, TU}, {R, ST, UV}, {RS, T, UV}, {S, TU, V}},
		{{PQ, RS, T}, {QR, S, U}, {R, ST, UV}, {RS, T, UV}, {ST, U, VW}},
	};
	if (!(straight >= 0)) return NAN;
	if (straight >= STRAIGHT[3]) return 0;
	double at[4] = {0};
	for (int i = 0; i < 3; i++) {
		double along[5];
		for (int k = 0; k < 5; k++) along[k] = EFFECT[EACH[pieces >= 4][k][i]];
		at[i] = radius == 0 ? EFFECT[MITRED[i]] : between(RADIUS, along, 5, radius);
	}
	return radius == 0 || pieces >= 3 ? between(STRAIGHT, at, 4, straight) : NAN;
}

double airfit_effective_length(double outlet_speed_m_s) {
	return 2.5 + fmax(0, outlet_speed_m_s / 0.00508 - 2500) / 1000;
}

double airfit_fan_outlet(double blast_ratio, double straight, double outlet_speed_m_s) {
	static const double BLAST[7] = {0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}, PART[5] = {0, 0.12, 0.25, 0.5, 1};
	static const unsigned char EACH[7][5] = {
		{P, RS, U, W, FREE},
		{P, RS, U, W, FREE},
		{RS, ST, UV, WX, FREE},
		{S, U, WX, FREE, FREE},
		{TU, VW, X, FREE, FREE},
		{VW, WX, FREE, FREE, FREE},
		{FREE, FREE, FREE, FREE, FREE},
	};
	if (!(straight >= 0) || !(outlet_speed_m_s >= 0)) return NAN;
	double part = fmin(1, straight / airfit_effective_length(outlet_speed_m_s)), at[5];
	for (int i = 0; i < 5; i++) {
		double along[7];
		for (int k = 0; k < 7; k++) along[k] = EFFECT[EACH[k][i]];
		at[i] = between(BLAST, along, 7, blast_ratio);
	}
	return between(PART, at, 5, part);
}
