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

double beam_movement(double width_m, double coefficient, double moisture_change) {
	return width_m * coefficient * moisture_change;
}
