/* Networks that nobody would build: resistances over twelve powers of ten, fans of every size and shape beside each
 * other, dampers anywhere. Each ends, and what is called solved keeps its promises. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/airnet.h"

enum { TRIALS = 2000, MOST = 48, CURVES = 4 };

static double next(uint32_t *seed) {
	*seed = *seed * 1664525u + 1013904223u;
	return (*seed >> 8) / 16777216.0;
}

static double power(uint32_t *seed, double from, double to) { return pow(10, from + (to - from) * next(seed)); }

/* Flat, steep and rising pieces; from no flow on or not; down to no pressure or not. */
static airnet_curve any_curve(arena *mem, uint32_t *seed) {
	double flow[6], rise[6], wide = power(seed, -2, 1);
	flow[0] = next(seed) < 0.5 ? 0 : 0.05 * next(seed);
	rise[0] = power(seed, 1, 4);
	for (int i = 1; i < 6; i++) {
		double kind = next(seed);
		flow[i] = flow[i - 1] + wide * (0.05 + next(seed));
		rise[i] = rise[i - 1] * (kind < 0.2 ? 1.1 : kind < 0.4 ? 1 : 0.3 + 0.7 * next(seed));
	}
	if (next(seed) < 0.7) rise[5] = 0;
	airnet_curve c = {0};
	assert_true(airnet_curve_make(mem, flow, rise, 6, &c));
	return c;
}

static airnet_branch any_branch(uint32_t *seed, uint32_t spaces, const airnet_curve *curves) {
	airnet_branch b = {.count = next(seed) < 0.8 ? 1 : power(seed, -1, 2), .stall_m3_s = NAN};
	double kind = next(seed);
	b.from = (uint32_t)(next(seed) * spaces);
	b.to = (b.from + 1 + (uint32_t)(next(seed) * (spaces - 1))) % spaces;
	if (kind < 0.5) b.square_pa_s2_m6 = power(seed, -1, 11);
	b.one_way = kind < 0.25;
	if (b.one_way && next(seed) < 0.7) b.opens_pa = power(seed, 0, 3);
	if (kind >= 0.5 && kind < 0.7) {
		b.has_duct = true;
		b.duct = (airlaw_duct){0.02 + 0.5 * next(seed), 0.01 + 10 * next(seed), 1e-4, next(seed)};
	}
	if (kind >= 0.7) {
		b.kind = AIRNET_FAN;
		b.curve = &curves[(int)(next(seed) * CURVES)];
		b.density_ratio = 0.5 + next(seed);
		b.speed_ratio = 0.3 + next(seed);
	}
	return b;
}

static void promises_kept(const airnet *net, const airnet_result *r, int trial) {
	double flow = 0, pressure = 0, power_w = 0, gross_w = 0;
	for (size_t i = 0; i < net->n_branches; i++) {
		flow = fmax(flow, fabs(r->flow_m3_s[i]));
		pressure = fmax(pressure, fabs(r->loss_pa[i]));
		power_w += r->flow_m3_s[i] * r->loss_pa[i];
		gross_w += fabs(r->flow_m3_s[i] * r->loss_pa[i]);
	}
	if (!(r->residual_m3_s <= 1e-9 * flow) || !(r->residual_pa <= 1e-9 * fmax(pressure, 1)))
		fail_msg("trial %d: %g of %g m3/s, %g of %g Pa", trial, r->residual_m3_s, flow, r->residual_pa,
			 pressure);
	for (size_t i = 0; i < net->n_branches; i++) {
		if (r->fan[i].shut) continue;
		double off = fabs(airnet_drop(net, (uint32_t)i, r->flow_m3_s[i]) - r->loss_pa[i]);
		if (!(off <= 1e-8 * fmax(pressure, 1))) fail_msg("trial %d, branch %zu: %g Pa", trial, i, off);
	}
	assert_true(fabs(power_w) <= 1e-8 * gross_w);
}

static void always_an_end(void **state) {
	(void)state;
	uint32_t seed = 1, solved = 0, shut = 0;
	for (int trial = 0; trial < TRIALS; trial++) {
		arena mem = {0};
		airnet_curve curves[CURVES];
		airnet_branch b[MOST];
		uint32_t spaces = 2 + (uint32_t)(next(&seed) * 12);
		size_t n = 0, more = 4 + (size_t)(next(&seed) * 24);
		for (int i = 0; i < CURVES; i++) curves[i] = any_curve(&mem, &seed);
		for (uint32_t s = 1; s < spaces; s++, n++) {
			b[n] = (airnet_branch){.from = (uint32_t)(next(&seed) * s), .to = s, .count = 1};
			b[n].square_pa_s2_m6 = power(&seed, -1, 9);
			b[n].creep_m3_s = next(&seed) < 0.5 ? 0 : 1e-6;
			b[n].linear_pa_s_m3 = next(&seed) < 0.5 ? 0 : power(&seed, 0, 5);
		}
		while (more-- > 0) b[n++] = any_branch(&seed, spaces, curves);
		airnet net = {spaces, b, n, 1.2, 1.82e-5};
		airnet_result r = airnet_solve(&mem, &net);
		if (r.trouble == AIRNET_NOT_CONVERGED) fail_msg("trial %d did not settle", trial);
		if (r.trouble == AIRNET_SOLVED) {
			solved++;
			promises_kept(&net, &r, trial);
			for (size_t i = 0; i < n; i++) shut += r.fan[i].shut;
		}
		arena_end(&mem);
	}
	assert_true(solved > TRIALS / 8 && shut > TRIALS / 8);
}

/* A square lattice of some thousand spaces: every branch on its law, every space balanced. */
static void a_large_lattice(void **state) {
	(void)state;
	arena mem = {0};
	enum { SIDE = 40, N = SIDE * SIDE };
	uint32_t seed = 3;
	airnet_curve c = {0};
	assert_true(airnet_curve_make(&mem, (double[]){0, 0.3, 0.6}, (double[]){500, 400, 0}, 3, &c));
	airnet_branch *b = ARENA_MANY(&mem, airnet_branch, 3 * N);
	size_t n = 0;
	for (uint32_t i = 0; i < N; i++) {
		uint32_t to[2] = {i % SIDE ? i : 0, i >= SIDE ? i + 1 - SIDE : 0};
		for (int k = 0; k < 2; k++) {
			if (!to[k]) continue;
			b[n] = (airnet_branch){.from = i + 1, .to = to[k], .count = 1, .stall_m3_s = NAN};
			b[n++].square_pa_s2_m6 = power(&seed, 1, 5);
		}
		if (i < SIDE) b[n++] = (airnet_branch){.from = i + 1, .to = 0, .count = 1, .square_pa_s2_m6 = 900};
		if (i < N - SIDE) continue;
		b[n] = (airnet_branch){.kind = AIRNET_FAN, .from = 0, .to = i + 1, .count = 1, .curve = &c};
		b[n].density_ratio = b[n].speed_ratio = 1;
		b[n++].stall_m3_s = NAN;
	}
	airnet net = {N + 1, b, n, 1.2, 1.82e-5};
	airnet_result r = airnet_solve(&mem, &net);
	assert_int_equal(r.trouble, AIRNET_SOLVED);
	promises_kept(&net, &r, 0);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(always_an_end),
		cmocka_unit_test(a_large_lattice),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
