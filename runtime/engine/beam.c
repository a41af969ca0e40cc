#include "runtime/engine/beam.h"

#include <math.h>
#include <stddef.h>

double beam_second_moment(double breadth_m, double height_m) { return breadth_m * height_m * height_m * height_m / 12; }

double beam_deflection(beam_ends ends, beam_load load, double load_n, double span_m, double ei_n_m2) {
	static const double FACTOR[3][2] = {[BEAM_RESTS] = {5.0 / 384, 1.0 / 48},
					    [BEAM_FIXED] = {1.0 / 384, 1.0 / 192},
					    [BEAM_FREE_END] = {1.0 / 8, 1.0 / 3}};
	return FACTOR[ends][load] * load_n * span_m * span_m * span_m / ei_n_m2;
}

double beam_moment(beam_ends ends, beam_load load, double load_n, double span_m) {
	static const double FACTOR[3][2] = {
		[BEAM_RESTS] = {1.0 / 8, 1.0 / 4}, [BEAM_FIXED] = {1.0 / 12, 1.0 / 8}, [BEAM_FREE_END] = {1.0 / 2, 1}};
	return FACTOR[ends][load] * load_n * span_m;
}

double beam_stress(double moment_n_m, double breadth_m, double height_m) {
	return 6 * moment_n_m / (breadth_m * height_m * height_m);
}

double beam_span_for(double ratio, double load_n_m, double ei_n_m2) {
	return cbrt(384 * ei_n_m2 / (5 * ratio * load_n_m));
}

/* Longer side over shorter side, alpha, beta. Beyond the last row it is a strip. */
static const double PLATE[][3] = {
	{1.0, 0.0444, 0.2874}, {1.2, 0.0616, 0.3762}, {1.4, 0.0770, 0.4530}, {1.6, 0.0906, 0.5172},
	{1.8, 0.1017, 0.5688}, {2.0, 0.1110, 0.6102}, {3.0, 0.1335, 0.7134}, {4.0, 0.1400, 0.7410},
	{5.0, 0.1417, 0.7476}, {8.0, 0.1421, 0.7500},
};
enum { PLATE_ROWS = sizeof PLATE / sizeof *PLATE };

static void plate_factors(double ratio, double *alpha, double *beta) {
	*alpha = PLATE[PLATE_ROWS - 1][1];
	*beta = PLATE[PLATE_ROWS - 1][2];
	for (size_t i = 0; i + 1 < PLATE_ROWS; i++) {
		if (ratio > PLATE[i + 1][0]) continue;
		double t = (ratio - PLATE[i][0]) / (PLATE[i + 1][0] - PLATE[i][0]);
		*alpha = PLATE[i][1] + t * (PLATE[i + 1][1] - PLATE[i][1]);
		*beta = PLATE[i][2] + t * (PLATE[i + 1][2] - PLATE[i][2]);
		return;
	}
}

beam_plate beam_plate_rests(double a_m, double b_m, double thick_m, double pressure_pa, double modulus_pa) {
	double alpha, beta, b = fmin(a_m, b_m);
	plate_factors(fmax(a_m, b_m) / b, &alpha, &beta);
	return (beam_plate){alpha * pressure_pa * b * b * b * b / (modulus_pa * thick_m * thick_m * thick_m),
			    beta * pressure_pa * b * b / (thick_m * thick_m)};
}

/* One term of the series, for a pressure, a free edge and a plate stiffness of 1: its shape across the plate is
 * 1 - ch + t sh / 2 + C sh + E t ch with t = m pi y / a; the moment and the edge shear vanish at the free edge. */
static double three_sides_term(int m, double ratio) {
	const double pi = acos(-1), nu = 0.3, t = fmin(m * pi * ratio, 30), ch = cosh(t), sh = sinh(t);
	/* value, and first to third derivative, of the known part, of sh and of t ch */
	const double y[4] = {1 - ch + t * sh / 2, -sh + (sh + t * ch) / 2, -ch + (2 * ch + t * sh) / 2,
			     -sh + (3 * sh + t * ch) / 2};
	const double c[4] = {sh, ch, sh, ch}, e[4] = {t * ch, ch + t * sh, 2 * sh + t * ch, 3 * ch + t * sh};
	double c_moment = c[2] - nu * c[0], e_moment = e[2] - nu * e[0], moment = nu * y[0] - y[2];
	double c_shear = c[3] - (2 - nu) * c[1], e_shear = e[3] - (2 - nu) * e[1], shear = (2 - nu) * y[1] - y[3];
	double det = c_moment * e_shear - e_moment * c_shear;
	double big_c = (moment * e_shear - e_moment * shear) / det, big_e = (c_moment * shear - moment * c_shear) / det;
	return 4 / pow(m * pi, 5) * (y[0] + big_c * c[0] + big_e * e[0]);
}

double beam_plate_three_sides(double free_m, double deep_m, double thick_m, double pressure_pa, double modulus_pa) {
	double sum = 0, stiff = modulus_pa * thick_m * thick_m * thick_m / (12 * (1 - 0.3 * 0.3));
	for (int m = 1; m < 12; m += 2) sum += (m / 2 % 2 ? -1 : 1) * three_sides_term(m, deep_m / free_m);
	return sum * pressure_pa * free_m * free_m * free_m * free_m / stiff;
}

double beam_movement(double width_m, double coefficient, double moisture_change) {
	return width_m * coefficient * moisture_change;
}
