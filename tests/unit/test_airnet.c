/* The air network: answers that can be worked out by hand, a second route by bisection, balances of flow and energy in
 * networks of any shape, and every reason for which there is no answer. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/airnet.h"

static const double RHO = 1.2, MU = 1.82e-5;

static void near(double got, double want, double relative) {
	if (!(fabs(got - want) <= relative * fabs(want) + 1e-300)) fail_msg("got %.12g, want %.12g", got, want);
}

static airnet_curve curve(arena *mem, size_t n, const double *flow, const double *pressure) {
	airnet_curve c = {0};
	assert_true(airnet_curve_make(mem, flow, pressure, n, &c));
	return c;
}

static airnet_branch loss(uint32_t from, uint32_t to, double linear, double square) {
	return (airnet_branch){.from = from,
			       .to = to,
			       .count = 1,
			       .linear_pa_s_m3 = linear,
			       .square_pa_s2_m6 = square,
			       .creep_m3_s = 1e-5};
}

static airnet_branch fan(uint32_t from, uint32_t to, const airnet_curve *c) {
	return (airnet_branch){.kind = AIRNET_FAN,
			       .from = from,
			       .to = to,
			       .count = 1,
			       .curve = c,
			       .density_ratio = 1,
			       .speed_ratio = 1,
			       .stall_m3_s = NAN};
}

static airnet network(uint32_t spaces, const airnet_branch *b, size_t n) {
	return (airnet){.n_spaces = spaces, .branches = b, .n_branches = n, .density_kg_m3 = RHO, .viscosity_pa_s = MU};
}

/* A straight fan line against a square law: the root of a quadratic. */
static void straight_fan_square_law(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 2, (double[]){0, 1}, (double[]){500, 0});
	airnet_branch b[] = {loss(0, 1, 0, 1000), fan(1, 0, &c)};
	b[0].creep_m3_s = 0;
	airnet net = network(2, b, 2);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	double q = (-500 + sqrt(500 * 500 + 4 * 1000 * 500.0)) / 2000;
	near(r.flow_m3_s[0], q, 1e-10);
	near(r.flow_m3_s[1], q, 1e-10);
	near(r.pressure_pa[1], -1000 * q * q, 1e-10);
	near(r.fan[1].rise_pa, 500 * (1 - q), 1e-10);
	assert_true(r.residual_m3_s <= 1e-9 * q);
	arena_end(&mem);
}

/* Linear network: two fans, three spaces, by Kirchhoff's rules. Fans E - R q are sources with an inner resistance. */
static void linear_bridge(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 2, (double[]){0, 10}, (double[]){1000, 0}); /* R = 100 */
	airnet_branch b[] = {fan(0, 1, &c), loss(1, 2, 100, 0), loss(2, 0, 50, 0), loss(1, 0, 200, 0)};
	airnet net = network(3, b, 4);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	/* 150 beside 200: 600/7; with 100 before it: 1000/(100 + 600/7) in all. */
	double q = 1000 / (100 + 600.0 / 7);
	near(r.flow_m3_s[0], q, 1e-10);
	near(r.flow_m3_s[1], q * 200 / 350, 1e-10);
	near(r.flow_m3_s[3], q * 150 / 350, 1e-10);
	near(r.pressure_pa[1], q * 600 / 7, 1e-10);
	near(r.pressure_pa[2], q * 200 / 350 * 50, 1e-10);
	arena_end(&mem);
}

static const double FLOWS[] = {0, 0.12, 0.24, 0.35, 0.47, 0.57}, RISES[] = {224, 236, 224, 187, 100, 0};

/* Orifice, linear filter, duct and a fan in series: bisection on fan minus system, each law called by itself. */
static void series_by_bisection(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	airnet_branch b[] = {loss(0, 1, 0, 900), loss(1, 2, 150, 20), {.from = 2, .to = 3, .count = 1}, fan(3, 0, &c)};
	b[2].has_duct = true;
	b[2].duct = (airlaw_duct){.diameter_m = 0.2, .length_m = 4, .roughness_m = 0.00015, .loss_k = 1.2};
	airnet net = network(4, b, 4);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	double low = 0.13, high = 0.57;
	for (int i = 0; i < 200; i++) {
		double q = (low + high) / 2, root = sqrt(q * q + 1e-10);
		double system =
			900 * q * root + 150 * q + 20 * q * root + airlaw_duct_loss(&b[2].duct, RHO, MU, q, NULL);
		if (airnet_curve_at(&c, q, NULL) > system)
			low = q;
		else
			high = q;
	}
	near(r.flow_m3_s[3], low, 1e-10);
	near(airnet_needs(&mem, &net, 3, low), airnet_curve_at(&c, low, NULL), 1e-9);
	/* Energy: what the fan gives is what the rest takes. */
	double power = 0;
	for (int i = 0; i < 4; i++) power += r.flow_m3_s[i] * r.loss_pa[i];
	assert_true(fabs(power) <= 1e-9 * low * 224);
	arena_end(&mem);
}

static void fan_laws_shift_the_point(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	airnet_branch b[] = {loss(0, 1, 0, 1500), fan(1, 0, &c)};
	b[0].creep_m3_s = 0;
	airnet net = network(2, b, 2);
	double q = airnet_solve(&mem, &net).flow_m3_s[0];
	/* On a square law the flow goes with the speed ... */
	b[1].speed_ratio = 1.2;
	airnet_result fast = airnet_solve(&mem, &net);
	near(fast.flow_m3_s[0], 1.2 * q, 1e-9);
	near(fast.fan[1].rise_pa, 1.44 * 1500 * q * q, 1e-9);
	/* ... and not at all with the density, when the losses go with it too. */
	b[1].speed_ratio = 1;
	b[1].density_ratio = 0.8;
	b[0].square_pa_s2_m6 = 1200;
	near(airnet_solve(&mem, &net).flow_m3_s[0], q, 1e-9);
	/* Two in parallel on a quarter of the square law give twice the flow; two in series on twice the law the same.
	 */
	b[1].density_ratio = 1;
	b[1].count = 2;
	b[0].square_pa_s2_m6 = 375;
	near(airnet_solve(&mem, &net).flow_m3_s[0], 2 * q, 1e-9);
	airnet_branch s[] = {loss(0, 1, 0, 3000), fan(1, 2, &c), fan(2, 0, &c)};
	s[0].creep_m3_s = 0;
	airnet series = network(3, s, 3);
	near(airnet_solve(&mem, &series).flow_m3_s[0], q, 1e-9);
	/* Two branches side by side are the same as count 2. */
	airnet_branch p[] = {loss(0, 1, 0, 375), fan(1, 0, &c), fan(1, 0, &c)};
	p[0].creep_m3_s = 0;
	airnet parallel = network(2, p, 3);
	airnet_result both = airnet_solve(&mem, &parallel);
	near(both.flow_m3_s[1], q, 1e-9);
	near(both.flow_m3_s[2], q, 1e-9);
	arena_end(&mem);
}

/* A generator of the test's own: the same numbers everywhere. */
static double next(uint32_t *seed) {
	*seed = *seed * 1664525u + 1013904223u;
	return (*seed >> 8) / 16777216.0;
}

/* Networks of any shape: balanced, each branch on its own law, and the powers add up to nothing. */
static void any_network_balances(void **state) {
	(void)state;
	arena mem = {0};
	uint32_t seed = 42, solved = 0, most = 0;
	airnet_curve c = curve(&mem, 5, (double[]){0, 0.2, 0.4, 0.6, 0.8}, (double[]){900, 880, 760, 450, 0});
	enum { TRIALS = 300, MOST = 24 };
	for (int trial = 0; trial < TRIALS; trial++) {
		uint32_t spaces = 2 + (uint32_t)(next(&seed) * 8);
		airnet_branch b[MOST];
		size_t n = 0;
		for (uint32_t s = 1; s < spaces; s++) /* every space has a way to an earlier one */
			b[n++] = loss((uint32_t)(next(&seed) * s), s, 500 * next(&seed), pow(10, 1 + 6 * next(&seed)));
		while (n < spaces + 8) {
			uint32_t from = (uint32_t)(next(&seed) * spaces), to = (uint32_t)(next(&seed) * spaces);
			if (from == to) continue;
			bool is_fan = n >= spaces + 5;
			b[n] = is_fan ? fan(from, to, &c) : loss(from, to, 0, pow(10, 1 + 6 * next(&seed)));
			if (!is_fan && next(&seed) < 0.3) {
				b[n].has_duct = true;
				b[n].duct = (airlaw_duct){0.1 + 0.2 * next(&seed), 5 * next(&seed), 1e-4, next(&seed)};
			}
			n++;
		}
		airnet net = network(spaces, b, n);
		airnet_result r = airnet_solve(&mem, &net);
		if (r.trouble == AIRNET_NOT_CONVERGED) fail_msg("trial %d did not settle", trial);
		assert_true(r.numbers);
		double flow = 0, pressure = 0, power = 0, gross = 0;
		for (size_t i = 0; i < n; i++) {
			flow = fmax(flow, fabs(r.flow_m3_s[i]));
			pressure = fmax(pressure, fabs(r.loss_pa[i]));
			power += r.flow_m3_s[i] * r.loss_pa[i];
			gross += fabs(r.flow_m3_s[i] * r.loss_pa[i]);
			double drop = airnet_drop(&net, (uint32_t)i, r.flow_m3_s[i]);
			if (r.trouble == AIRNET_SOLVED && fabs(drop - r.loss_pa[i]) > 1e-8 * 900)
				fail_msg("trial %d, branch %zu: %.9g Pa by law, %.9g by pressures", trial, i, drop,
					 r.loss_pa[i]);
		}
		if (r.trouble == AIRNET_SOLVED) solved++;
		if (r.iterations > most) most = r.iterations;
		assert_true(r.residual_m3_s <= 1e-9 * flow);
		assert_true(r.residual_pa <= 1e-9 * fmax(pressure, 1));
		assert_true(fabs(power) <= 1e-8 * gross);
	}
	assert_true(solved > TRIALS / 3);
	assert_true(most < AIRNET_MOST_STEPS / 4);
	arena_end(&mem);
}

static void curve_keeps_its_points_and_shape(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	double slope = 0, step = 1e-6;
	for (size_t i = 0; i < 6; i++) near(airnet_curve_at(&c, FLOWS[i], NULL) + 1, RISES[i] + 1, 1e-12);
	for (double q = 0; q < 0.569; q += 0.001) {
		double here = airnet_curve_at(&c, q, &slope), there = airnet_curve_at(&c, q + step, NULL);
		assert_true(q + step <= 0.12 ? there >= here - 1e-12 : q < 0.12 || there <= here + 1e-12);
		assert_true(here <= 236 + 1e-12);
		assert_true(fabs((there - here) / step - slope) < 0.2);
	}
	assert_true(isnan(airnet_curve_at(&c, -0.001, NULL)));
	assert_true(isnan(airnet_curve_at(&c, 0.571, NULL)));
	near(airnet_curve_peak(&c), 0.12, 1e-15);
	airnet_curve none;
	assert_false(airnet_curve_make(&mem, FLOWS, RISES, 1, &none));
	assert_false(airnet_curve_make(&mem, (double[]){0, 0}, (double[]){2, 1}, 2, &none));
	assert_false(airnet_curve_make(&mem, (double[]){0, NAN}, (double[]){2, 1}, 2, &none));
	assert_false(airnet_curve_make(&mem, (double[]){-1, 1}, (double[]){2, 1}, 2, &none));
	arena_end(&mem);
}

static void off_the_curve_says_which_side(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 3, (double[]){0.2, 0.4, 0.5}, (double[]){400, 300, 200});
	airnet_branch b[] = {loss(0, 1, 0, 1), fan(1, 0, &c)};
	airnet net = network(2, b, 2);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_OFF_RIGHT);
	assert_int_equal(r.branch, 1);
	assert_int_equal(r.fan[1].side, 1);
	near(r.fan[1].end_m3_s, 0.5, 1e-12);
	near(r.fan[1].gives_pa, 200, 1e-12);
	near(r.fan[1].needs_pa, 0.25, 1e-6);
	b[0].square_pa_s2_m6 = 1e6;
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_OFF_LEFT);
	near(r.fan[1].gives_pa, 400, 1e-12);
	near(r.fan[1].needs_pa, 1e6 * 0.04, 1e-6);
	/* A filter whose measured curve ends before the flow it gets. */
	airnet_curve f = curve(&mem, 3, (double[]){0, 0.1, 0.2}, (double[]){0, 20, 50});
	b[0] = (airnet_branch){.from = 0, .to = 1, .count = 1, .curve = &f, .linear_pa_s_m3 = 600};
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_OFF_LOSS);
	assert_int_equal(r.branch, 0);
	b[0].count = 4;
	b[0].linear_pa_s_m3 = 2500;
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_SOLVED);
	arena_end(&mem);
}

static void rising_piece_and_stall(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	/* Steep enough to meet the curve left of its peak, at 0.05. */
	double rise = airnet_curve_at(&c, 0.05, NULL);
	airnet_branch b[] = {loss(0, 1, 0, rise / 0.0025), fan(1, 0, &c)};
	b[0].creep_m3_s = 0;
	b[1].stall_m3_s = 0.2;
	airnet net = network(2, b, 2);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	near(r.flow_m3_s[0], 0.05, 1e-8);
	assert_true(r.fan[1].rising);
	assert_true(r.fan[1].stall);
	/* Two such fans side by side share by chance. */
	b[1].count = 2;
	b[0].square_pa_s2_m6 /= 4;
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_NOT_UNIQUE);
	/* Right of the peak, but still in the published stall range; then clear of it. */
	b[1].count = 1;
	b[0].square_pa_s2_m6 = airnet_curve_at(&c, 0.15, NULL) / (0.15 * 0.15);
	r = airnet_solve(&mem, &net);
	assert_false(r.fan[1].rising);
	assert_true(r.fan[1].stall);
	b[0].square_pa_s2_m6 = 1500;
	r = airnet_solve(&mem, &net);
	assert_false(r.fan[1].stall || r.fan[1].rising);
	arena_end(&mem);
}

static void no_answer_is_explained(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	airnet_branch still[] = {loss(0, 1, 0, 100), loss(1, 0, 0, 100)};
	airnet net = network(2, still, 2);
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_NO_FAN);
	airnet none = network(1, still, 0);
	assert_int_equal(airnet_solve(&mem, &none).trouble, AIRNET_NO_FAN);

	airnet_branch open[] = {loss(0, 1, 0, 100), fan(1, 2, &c)};
	net = network(3, open, 2);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_OPEN);
	assert_int_equal(r.branch, 1);

	airnet_branch apart[] = {loss(0, 1, 0, 100), fan(1, 0, &c), loss(2, 3, 0, 100), fan(3, 2, &c)};
	net = network(4, apart, 4);
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_NOT_JOINED);
	assert_int_equal(r.space, 2);

	airnet_branch closed[] = {loss(0, 1, 0, 100), fan(1, 0, &c)};
	closed[0].closed = true;
	net = network(2, closed, 2);
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_OPEN);

	airnet_branch self[] = {loss(0, 1, 0, 100), fan(1, 0, &c), fan(1, 1, &c)};
	net = network(2, self, 3);
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SHORT);
	assert_int_equal(r.branch, 2);

	airnet_branch wrong[] = {loss(0, 1, 0, NAN), fan(1, 0, &c)};
	net = network(2, wrong, 2);
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_VALUE);
	wrong[0] = loss(0, 1, 0, 0);
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_VALUE);
	wrong[0] = loss(0, 7, 0, 1);
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_SPACE);
	wrong[0] = loss(0, 1, 0, 1);
	wrong[1].curve = NULL;
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_VALUE);
	airnet_curve still_fan = curve(&mem, 2, (double[]){0, 1}, (double[]){0, 0});
	wrong[1].curve = &still_fan;
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_VALUE);
	for (int i = 0; i < AIRNET_TROUBLE_COUNT; i++) assert_non_null(AIRNET_TROUBLE_WORDS[i]);
	arena_end(&mem);
}

/* A branch that carries nothing (a bridge in balance), tiny leaks beside wide mouths, closed branches. */
static void awkward_but_sound(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	airnet_branch b[] = {loss(0, 1, 0, 1000), loss(0, 2, 0, 1000), loss(1, 2, 0, 50),   loss(1, 3, 0, 500),
			     loss(2, 3, 0, 500),  fan(3, 0, &c),       loss(0, 3, 0, 1e12), loss(0, 1, 0, 1)};
	b[7].closed = true;
	airnet net = network(4, b, 8);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	assert_true(fabs(r.flow_m3_s[2]) < 1e-9);
	near(r.flow_m3_s[0], r.flow_m3_s[1], 1e-9);
	assert_true(r.flow_m3_s[7] == 0);
	near(r.loss_pa[7], r.loss_pa[0], 1e-12);
	assert_true(r.flow_m3_s[6] > 0);
	/* Flat top: two published points of equal pressure. */
	airnet_curve flat = curve(&mem, 4, (double[]){0, 0.1, 0.3, 0.5}, (double[]){200, 200, 200, 0});
	airnet_branch f[] = {loss(0, 1, 0, 5000), fan(1, 0, &flat)};
	f[0].creep_m3_s = 0;
	airnet level = network(2, f, 2);
	r = airnet_solve(&mem, &level);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	near(r.flow_m3_s[0], 0.2, 1e-9);
	arena_end(&mem);
}

/* A curve with a dip meets the system three times: the answer is the one on its last falling piece, whatever the start.
 */
static void right_answer_of_three(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 4, (double[]){0, 0.2, 0.3, 0.36}, (double[]){500, 200, 600, 0});
	airnet_branch b[] = {loss(0, 1, 1100, 0), fan(1, 0, &c)};
	airnet net = network(2, b, 2);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	double low = 0.3, high = 0.36;
	for (int i = 0; i < 100; i++) {
		double q = (low + high) / 2;
		if (airnet_curve_at(&c, q, NULL) > 1100 * q)
			low = q;
		else
			high = q;
	}
	near(r.flow_m3_s[0], low, 1e-9);
	assert_false(r.fan[1].rising);
	arena_end(&mem);
}

/* Cliffs and flats in the fan's curve, on which whole Newton steps run to and fro: the safeguard finds the answer. */
static void cliffs_and_flats(void **state) {
	(void)state;
	arena mem = {0};
	uint32_t seed = 5;
	for (int trial = 0; trial < 200; trial++) {
		double flow[6] = {0}, rise[6] = {0}, top = 1000;
		for (int i = 1; i < 6; i++) flow[i] = flow[i - 1] + pow(10, -3 * next(&seed));
		for (int i = 0; i < 6; i++) {
			rise[i] = i == 5 ? 0 : top;
			top *= next(&seed) < 0.5 ? 0.999 : 0.02;
		}
		airnet_curve c = curve(&mem, 6, flow, rise);
		airnet_branch b[] = {loss(0, 1, 0, pow(10, 1 + 6 * next(&seed))), loss(1, 2, 10 * next(&seed), 1),
				     fan(2, 0, &c)};
		airnet net = network(3, b, 3);
		airnet_result r = airnet_solve(&mem, &net);
		if (r.trouble != AIRNET_SOLVED) fail_msg("trial %d: %s", trial, AIRNET_TROUBLE_WORDS[r.trouble]);
		double q = r.flow_m3_s[0], rest = airnet_drop(&net, 0, q) + airnet_drop(&net, 1, q);
		assert_true(fabs(airnet_curve_at(&c, q, NULL) - rest) < 1e-6);
	}
	arena_end(&mem);
}

/* A unit with a measured loss takes the same backwards. */
static void loss_curves_are_odd(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES),
		     f = curve(&mem, 3, (double[]){0, 0.3, 0.6}, (double[]){0, 60, 200});
	airnet_branch b[] = {{.from = 0, .to = 1, .count = 1, .curve = &f}, fan(1, 0, &c)};
	airnet net = network(2, b, 2);
	double q = airnet_solve(&mem, &net).flow_m3_s[1];
	near(airnet_curve_at(&f, q, NULL), airnet_curve_at(&c, q, NULL), 1e-9);
	b[0].from = 1;
	b[0].to = 0;
	airnet_result r = airnet_solve(&mem, &net);
	near(r.flow_m3_s[0], -q, 1e-9);
	near(r.flow_m3_s[1], q, 1e-9);
	arena_end(&mem);
}

static airnet_branch damper(uint32_t from, uint32_t to, double opens_pa, double square) {
	airnet_branch b = loss(from, to, 0, square);
	b.one_way = true;
	b.opens_pa = opens_pa;
	return b;
}

/* A back-draft damper takes its opening pressure and its loss, or lets nothing through. */
static void dampers_open_and_shut(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 2, (double[]){0, 1}, (double[]){500, 0});
	airnet_branch b[] = {loss(0, 1, 0, 700), damper(2, 0, 20, 300), fan(1, 2, &c)};
	b[0].creep_m3_s = b[1].creep_m3_s = 0;
	airnet net = network(3, b, 3);
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	double q = (-500 + sqrt(500 * 500 + 4 * 1000 * 480.0)) / 2000; /* 500 (1 - q) = 20 + 1000 q2 */
	near(r.flow_m3_s[2], q, 1e-9);
	near(r.loss_pa[1], 20 + 300 * q * q, 1e-9);
	assert_false(r.fan[1].shut);
	assert_true(r.residual_pa < 1e-9 * 500 && r.residual_m3_s < 1e-9 * q);
	near(airnet_drop(&net, 1, q), 20 + 300 * q * q, 1e-12);
	assert_true(isnan(airnet_drop(&net, 1, -q)));
	/* A pressure it does not open at: the fan stands still against it, and both are named. */
	b[1].opens_pa = 501;
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_BLOCKED);
	assert_int_equal(r.branch, 2);
	assert_int_equal(r.n_part_branches, 1);
	assert_int_equal(r.part_branches[0], 1);
	/* The wrong way round it never opens. */
	b[1] = damper(0, 2, 20, 300);
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_BLOCKED);
	/* Beside an opening it stays shut while the fan draws, and the answer is that without it. */
	airnet_branch beside[] = {loss(0, 1, 0, 700), damper(1, 0, 5, 10), fan(1, 0, &c)};
	net = network(2, beside, 3);
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	assert_true(r.fan[1].shut && r.flow_m3_s[1] == 0);
	beside[1].closed = true;
	near(airnet_solve(&mem, &net).flow_m3_s[0], r.flow_m3_s[0], 1e-9);
	/* Two fans on one outlet, one of them weak: its damper keeps the strong one's air from coming back through it.
	 */
	airnet_curve weak = curve(&mem, 2, (double[]){0, 1}, (double[]){50, 0});
	airnet_branch two[] = {fan(0, 1, &c), damper(1, 3, 1, 100), fan(0, 2, &weak), damper(2, 3, 1, 100),
			       loss(3, 0, 0, 2000)};
	net = network(4, two, 5);
	r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_BLOCKED);
	assert_int_equal(r.branch, 2);
	assert_int_equal(r.part_branches[0], 3);
	assert_true(r.numbers && fabs(r.flow_m3_s[2]) < 1e-9 && r.flow_m3_s[0] > 0.3);
	/* A fan has none of it, and an opening pressure needs a damper. */
	two[0].one_way = true;
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_VALUE);
	two[0].one_way = false;
	two[4].opens_pa = 3;
	assert_int_equal(airnet_solve(&mem, &net).trouble, AIRNET_BAD_VALUE);
	arena_end(&mem);
}

/* Networks of any shape with dampers: each is either open on its law or shut with a drop below its opening one, all
 * balances hold, and closing the shut ones changes nothing. */
static void dampers_anywhere(void **state) {
	(void)state;
	arena mem = {0};
	uint32_t seed = 11, shut = 0, open = 0, most = 0;
	airnet_curve c = curve(&mem, 4, (double[]){0, 0.2, 0.5, 0.8}, (double[]){900, 860, 600, 0});
	enum { TRIALS = 400, MOST = 40 };
	for (int trial = 0; trial < TRIALS; trial++) {
		uint32_t spaces = 2 + (uint32_t)(next(&seed) * 9);
		airnet_branch b[MOST];
		size_t n = 0;
		for (uint32_t s = 1; s < spaces; s++)
			b[n++] = loss((uint32_t)(next(&seed) * s), s, 500 * next(&seed), pow(10, 1 + 5 * next(&seed)));
		while (n < spaces + 16) {
			uint32_t from = (uint32_t)(next(&seed) * spaces), to = (uint32_t)(next(&seed) * spaces);
			if (from == to) continue;
			bool is_fan = n >= spaces + 12;
			b[n++] = is_fan ? fan(from, to, &c)
					: damper(from, to, 40 * next(&seed), pow(10, 1 + 5 * next(&seed)));
		}
		airnet net = network(spaces, b, n);
		airnet_result r = airnet_solve(&mem, &net);
		if (r.trouble == AIRNET_NOT_CONVERGED) fail_msg("trial %d did not settle", trial);
		double flow = 0;
		for (size_t i = 0; i < n; i++) {
			flow = fmax(flow, fabs(r.flow_m3_s[i]));
			if (!b[i].one_way) continue;
			*(r.fan[i].shut ? &shut : &open) += 1;
			if (r.fan[i].shut)
				assert_true(r.flow_m3_s[i] == 0 && r.loss_pa[i] <= b[i].opens_pa + 1e-6);
			else
				near(airnet_drop(&net, (uint32_t)i, r.flow_m3_s[i]), r.loss_pa[i], 1e-7);
			assert_true(r.flow_m3_s[i] >= 0);
		}
		if (r.iterations > most) most = r.iterations;
		assert_true(r.residual_m3_s <= 1e-9 * flow);
		assert_true(r.residual_pa <= 1e-9 * 900);
		for (size_t i = 0; i < n; i++) b[i].closed = r.fan[i].shut;
		airnet_result again = airnet_solve(&mem, &net);
		if (r.trouble == AIRNET_SOLVED) {
			assert_int_equal(again.trouble, AIRNET_SOLVED);
			for (size_t i = 0; i < n; i++)
				assert_true(fabs(again.flow_m3_s[i] - r.flow_m3_s[i]) <= 1e-7 * flow);
		}
	}
	assert_true(shut > TRIALS && open > TRIALS);
	assert_true(most < AIRNET_MOST_STEPS / 4);
	arena_end(&mem);
}

/* Many flows at once are each what one is by itself, whatever came before. */
static void needs_of_many_flows(void **state) {
	(void)state;
	arena mem = {0};
	airnet_curve c = curve(&mem, 6, FLOWS, RISES);
	airnet_branch b[] = {loss(0, 1, 0, 900), loss(1, 2, 150, 20),	  damper(0, 2, 60, 400),
			     fan(2, 3, &c),	 {.from = 3, .count = 1}, fan(1, 0, &c)};
	b[4].has_duct = true;
	b[4].duct = (airlaw_duct){.diameter_m = 0.2, .length_m = 4, .roughness_m = 0.00015, .loss_k = 1.2};
	airnet net = network(4, b, 6);
	const double flow[] = {0, 0.5, 0.01, 0.3, 0.3, -0.2, 0.02, 5};
	double needs[8];
	airnet_needs_many(&mem, &net, 3, flow, 8, needs);
	for (int i = 0; i < 8; i++) {
		assert_true(isfinite(needs[i]));
		near(needs[i], airnet_needs(&mem, &net, 3, flow[i]), 1e-8);
		if (i == 1 || i == 3) assert_true(needs[i] > needs[2]);
	}
	b[4].closed = true;
	airnet_needs_many(&mem, &net, 3, flow, 8, needs);
	for (int i = 0; i < 8; i++) assert_true(isnan(needs[i]));
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(straight_fan_square_law),
		cmocka_unit_test(linear_bridge),
		cmocka_unit_test(series_by_bisection),
		cmocka_unit_test(fan_laws_shift_the_point),
		cmocka_unit_test(any_network_balances),
		cmocka_unit_test(curve_keeps_its_points_and_shape),
		cmocka_unit_test(off_the_curve_says_which_side),
		cmocka_unit_test(rising_piece_and_stall),
		cmocka_unit_test(no_answer_is_explained),
		cmocka_unit_test(awkward_but_sound),
		cmocka_unit_test(right_answer_of_three),
		cmocka_unit_test(cliffs_and_flats),
		cmocka_unit_test(loss_curves_are_odd),
		cmocka_unit_test(dampers_open_and_shut),
		cmocka_unit_test(dampers_anywhere),
		cmocka_unit_test(needs_of_many_flows),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
