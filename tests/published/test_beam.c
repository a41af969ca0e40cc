/* Deflection and movement against figures from outside; the source stands beside each. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "runtime/engine/beam.h"

static const double INCH = 0.0254, PSI = 6894.757293168361, POUND_N = 4.4482216152605;

static void near(double got, double expected, double within) {
	if (!(fabs(got - expected) <= within)) fail_msg("got %.9g, expected %.9g within %g", got, expected, within);
}

/* W1: coefficients of the USDA Wood Handbook, table 13-5 (read): red oak, commercial, 0.00369 tangential, 0.00158
 * radial; white oak, commercial, 0.00365. 300 mm from 6 to 12 %: 6.64 and 2.84 mm; 5 in from 6 to 9 %: 0.0548 in. */
static void w1_movement(void **state) {
	(void)state;
	near(beam_movement(0.3, 0.00369, 6) * 1000, 6.64, 0.01);
	near(beam_movement(0.3, 0.00158, 6) * 1000, 2.84, 0.01);
	near(beam_movement(5 * INCH, 0.00365, 3) / INCH, 0.0548, 0.001);
}

/* W2: published casework table of shelf spans (read; it prints 40/37/66/61 in): span / 144 under 40 and 50 lb/ft2; E
 * 0.95 Mpsi, 3/4 in thick; E 1.8 Mpsi, 1 in thick. */
static double shelf_span_in(double mpsi, double thick_in, double lb_ft2) {
	double ei = mpsi * 1e6 * PSI * beam_second_moment(INCH, thick_in * INCH); /* a strip of an inch */
	double load_n_m = lb_ft2 / 144 * POUND_N / INCH;
	return beam_span_for(144, load_n_m, ei) / INCH;
}

static void w2_shelf_spans(void **state) {
	(void)state;
	near(shelf_span_in(0.95, 0.75, 40), 40.0, 0.05);
	near(shelf_span_in(0.95, 0.75, 50), 37.2, 0.05);
	near(shelf_span_in(1.8, 1, 40), 66.0, 0.05);
	near(shelf_span_in(1.8, 1, 50), 61.3, 0.05);
	/* The span goes back into the deflection that it came from. */
	double ei = 2.5e9 * beam_second_moment(0.3, 0.018), load = 400;
	double span = beam_span_for(144, load, ei);
	near(beam_deflection(BEAM_RESTS, BEAM_SPREAD, load * span, span, ei) / span, 1.0 / 144, 1e-12);
}

/* W3: MDF 18 x 300 x 800, 294.3 N spread, E 2200 N/mm2: 6.12 mm; beam formula of the Wood Handbook (read). The MDF
 * industry's guide on shelves (read) writes the same as 5 W L3 / (32 E b t3). */
static void w3_mdf_shelf(void **state) {
	(void)state;
	double ei = 2.2e9 * beam_second_moment(0.3, 0.018);
	near(beam_deflection(BEAM_RESTS, BEAM_SPREAD, 294.3, 0.8, ei) * 1000, 6.12, 0.02);
	double guide = 5 * 294.3 * pow(800, 3) / (32 * 2200 * 300 * pow(18, 3));
	near(beam_deflection(BEAM_RESTS, BEAM_SPREAD, 294.3, 0.8, ei) * 1000, guide, 1e-9);
}

/* W4: plate 600 x 600 x 6, 100 Pa, E 2700 N/mm2, resting on four sides: 0.987 mm, 0.287 N/mm2; plate table, Roark
 * (read). */
static void w4_plate(void **state) {
	(void)state;
	beam_plate p = beam_plate_rests(0.6, 0.6, 0.006, 100, 2.7e9);
	near(p.deflection_m * 1000, 0.987, 0.002);
	near(p.stress_pa / 1e6, 0.287, 0.002);
}

/* Navier's series for the middle of a plate that rests on four sides, Poisson ratio 0.3 (Timoshenko and
 * Woinowsky-Krieger, Theory of Plates and Shells; the series from memory, its sum computed here). */
static void navier(double ratio, double *alpha, double *beta) {
	const double pi = acos(-1), nu = 0.3;
	double w = 0, mx = 0, my = 0; /* a = ratio along x, b = 1 along y, p = 1, D = 1 */
	for (int m = 1; m < 200; m += 2)
		for (int n = 1; n < 200; n += 2) {
			double x = m / ratio * (m / ratio), y = (double)n * n;
			double s = ((m + n) / 2 % 2 ? 1 : -1) / (m * n * pow(x + y, 2));
			w += s;
			mx += s * (x + nu * y);
			my += s * (y + nu * x);
		}
	*alpha = 12 * (1 - nu * nu) * 16 / pow(pi, 6) * w;
	*beta = 6 * 16 / pow(pi, 4) * fmax(mx, my);
}

static void the_plate_table_is_navier(void **state) {
	(void)state;
	static const double RATIO[] = {1, 1.1, 1.2, 1.3, 1.4, 1.6, 1.8, 2, 2.5, 3, 4, 5};
	for (size_t i = 0; i < sizeof RATIO / sizeof *RATIO; i++) {
		double alpha, beta;
		navier(RATIO[i], &alpha, &beta);
		beam_plate p = beam_plate_rests(1, RATIO[i], 1, 1, 1), turned = beam_plate_rests(RATIO[i], 1, 1, 1, 1);
		near(p.deflection_m / alpha, 1, RATIO[i] == 2.5 ? 0.05 : 0.01);
		near(p.stress_pa / beta, 1, RATIO[i] == 2.5 ? 0.03 : 0.01);
		near(p.deflection_m, turned.deflection_m, 1e-12);
	}
	near(beam_plate_rests(1, 1e6, 1, 1, 1).deflection_m, beam_plate_rests(1, 8, 1, 1, 1).deflection_m, 1e-12);
	/* A long plate is a strip of a beam, stiffer by 1 - nu^2 because it cannot narrow. */
	double strip = beam_deflection(BEAM_RESTS, BEAM_SPREAD, 1, 1, beam_second_moment(1, 1));
	near(beam_plate_rests(1, 100, 1, 1, 1).deflection_m, strip * (1 - 0.09), 2e-4);
}

/* Timoshenko and Woinowsky-Krieger, table for three edges simply supported and one free, Poisson ratio 0.3, deflection
 * of the free edge's middle over p a4 / D (from memory): b/a 1/2: 0.00710, 2/3: 0.00968, 1: 0.01286, 2: 0.01507,
 * 3: 0.01520. */
static void w4_three_sides(void **state) {
	(void)state;
	static const double TABLE[][2] = {{0.5, 0.00710}, {2.0 / 3, 0.00968}, {1, 0.01286}, {2, 0.01507}, {3, 0.01520}};
	for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++)
		near(beam_plate_three_sides(2, 2 * TABLE[i][0], 0.01, 50, 1e9), TABLE[i][1] * 50 * 16 * 12 * 0.91 / 1e3,
		     2e-3 * 50 * 16 * 12 * 0.91 / 1e3 * TABLE[i][1]);
	assert_true(beam_plate_three_sides(2, 1e-3, 0.01, 50, 1e9) > 0);
	assert_true(beam_plate_three_sides(2, 1e3, 0.01, 50, 1e9) > 0);
}

/* Arithmetic on the differential equation: EI w'''' = q, by adding up slopes. */
static double integrated(beam_ends ends, beam_load load) {
	enum { N = 20000 };
	double best = 0, slope = 0, w = 0, first = 0;
	for (int pass = 0; pass < 2; pass++) { /* the slope at the start such that the end comes out right */
		slope = pass ? first : 0;
		w = best = 0;
		for (int i = 0; i < N; i++) {
			double x = (i + 0.5) / N, m;
			if (ends == BEAM_FREE_END)
				m = load == BEAM_SPREAD ? -(1 - x) * (1 - x) / 2 : -(1 - x);
			else
				m = load == BEAM_SPREAD ? x * (1 - x) / 2 : fmin(x, 1 - x) / 2;
			if (ends == BEAM_FIXED) m -= load == BEAM_SPREAD ? 1.0 / 12 : 1.0 / 8;
			slope -= m / N;
			w += slope / N;
			best = fmax(best, fabs(w));
		}
		first = ends == BEAM_FREE_END ? 0 : -w;
	}
	return best;
}

static void factors_follow_from_the_equation(void **state) {
	(void)state;
	for (int e = BEAM_RESTS; e <= BEAM_FREE_END; e++)
		for (int l = BEAM_SPREAD; l <= BEAM_MIDDLE; l++) {
			double given = beam_deflection((beam_ends)e, (beam_load)l, 1, 1, 1);
			near(integrated((beam_ends)e, (beam_load)l) / given, 1, 1e-3);
		}
	near(beam_stress(beam_moment(BEAM_RESTS, BEAM_MIDDLE, 400, 1), 0.1, 0.02), 100 / (0.1 * 0.0004 / 6), 1e-3);
	near(beam_moment(BEAM_FIXED, BEAM_SPREAD, 12, 2), 2, 1e-12);
	near(beam_moment(BEAM_FREE_END, BEAM_MIDDLE, 3, 2), 6, 1e-12);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(w1_movement),
		cmocka_unit_test(w2_shelf_spans),
		cmocka_unit_test(w3_mdf_shelf),
		cmocka_unit_test(w4_plate),
		cmocka_unit_test(w4_three_sides),
		cmocka_unit_test(the_plate_table_is_navier),
		cmocka_unit_test(factors_follow_from_the_equation),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
