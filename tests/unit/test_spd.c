/* Sparse systems against a dense elimination of the test's own, and how thin the factor stays. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/spd.h"

static double next(uint32_t *seed) {
	*seed = *seed * 1664525u + 1013904223u;
	return (*seed >> 8) / 16777216.0;
}

/* Gauss with the largest pivot; answers in x. */
static void dense(double *a, double *x, uint32_t n) {
	for (uint32_t j = 0; j < n; j++) {
		uint32_t best = j;
		for (uint32_t i = j; i < n; i++)
			if (fabs(a[i * n + j]) > fabs(a[best * n + j])) best = i;
		for (uint32_t k = 0; k < n; k++) {
			double t = a[j * n + k];
			a[j * n + k] = a[best * n + k];
			a[best * n + k] = t;
		}
		double t = x[j];
		x[j] = x[best];
		x[best] = t;
		for (uint32_t i = 0; i < n; i++) {
			if (i == j) continue;
			double f = a[i * n + j] / a[j * n + j];
			for (uint32_t k = j; k < n; k++) a[i * n + k] -= f * a[j * n + k];
			x[i] -= f * x[j];
		}
	}
	for (uint32_t i = 0; i < n; i++) x[i] /= a[i * n + i];
}

/* Conductances between unknowns and to the ground, as the air network makes them; pairs repeat. The same plan takes
 * several sets of values. */
static void against_elimination(void **state) {
	(void)state;
	arena mem = {0};
	uint32_t seed = 3;
	enum { N = 60, PAIRS = 240 };
	for (int trial = 0; trial < 60; trial++) {
		uint32_t n = 1 + (uint32_t)(next(&seed) * N);
		size_t m = n > 1 ? (size_t)(next(&seed) * PAIRS) : 0;
		spd_pair pairs[PAIRS];
		for (size_t k = 0; k < m; k++) {
			pairs[k].a = (uint32_t)(next(&seed) * n);
			pairs[k].b = (pairs[k].a + 1 + (uint32_t)(next(&seed) * (n - 1))) % n;
		}
		spd *s = spd_plan(&mem, n, pairs, m);
		for (int values = 0; values < 3; values++) {
			static double a[N * N], x[N], y[N], diagonal[N], off[PAIRS];
			for (uint32_t i = 0; i < n * n; i++) a[i] = 0;
			for (uint32_t i = 0; i < n; i++) {
				diagonal[i] = pow(10, -2 + 3 * next(&seed));
				x[i] = y[i] = next(&seed) - 0.5;
			}
			for (size_t k = 0; k < m; k++) {
				double g = pow(10, -2 + 4 * next(&seed));
				off[k] = -g;
				diagonal[pairs[k].a] += g;
				diagonal[pairs[k].b] += g;
				a[pairs[k].a * n + pairs[k].b] -= g;
				a[pairs[k].b * n + pairs[k].a] -= g;
			}
			for (uint32_t i = 0; i < n; i++) a[i * n + i] = diagonal[i];
			assert_true(spd_factor(s, diagonal, off, m));
			spd_solve(s, x);
			dense(a, y, n);
			double most = 0;
			for (uint32_t i = 0; i < n; i++) most = fmax(most, fabs(y[i]));
			for (uint32_t i = 0; i < n; i++)
				if (!(fabs(x[i] - y[i]) <= 1e-9 * most))
					fail_msg("trial %d of %u, unknown %u: %.12g, %.12g", trial, n, i, x[i], y[i]);
		}
	}
	arena_end(&mem);
}

static void no_single_answer(void **state) {
	(void)state;
	arena mem = {0};
	const spd_pair pairs[] = {{0, 1}, {1, 2}};
	spd *s = spd_plan(&mem, 3, pairs, 2);
	assert_false(spd_factor(s, (double[]){1, 2, 1}, (double[]){-1, -1}, 2)); /* held nowhere */
	assert_false(spd_factor(s, (double[]){1, NAN, 1}, (double[]){-1, -1}, 2));
	assert_true(spd_factor(s, (double[]){1.5, 2, 1}, (double[]){-1, -1}, 2));
	double x[3] = {0, 0, 1};
	spd_solve(s, x);
	assert_true(fabs(x[0] - 2) < 1e-12 && fabs(x[1] - 3) < 1e-12 && fabs(x[2] - 4) < 1e-12);
	arena_end(&mem);
}

/* What comes out of the order: a chain, a star or a tree fills nothing, and a square lattice of 60 x 60 stays below
 * what nested dissection is known to need, 31 n log2(n)/4 (George 1973, memory). Row by row it would be 60 n. */
static void fill_stays_small(void **state) {
	(void)state;
	arena mem = {0};
	enum { SIDE = 60, N = SIDE * SIDE };
	static spd_pair pairs[2 * N];
	uint32_t seed = 9;
	for (uint32_t i = 1; i < N; i++) pairs[i - 1] = (spd_pair){i, i - 1};
	assert_int_equal(spd_plan(&mem, N, pairs, N - 1)->column[N], N - 1);
	for (uint32_t i = 1; i < N; i++) pairs[i - 1] = (spd_pair){0, i};
	assert_int_equal(spd_plan(&mem, N, pairs, N - 1)->column[N], N - 1);
	for (uint32_t i = 1; i < N; i++) pairs[i - 1] = (spd_pair){i, (uint32_t)(next(&seed) * i)};
	assert_int_equal(spd_plan(&mem, N, pairs, N - 1)->column[N], N - 1);
	size_t m = 0;
	for (uint32_t i = 0; i < N; i++) {
		if (i % SIDE) pairs[m++] = (spd_pair){i, i - 1};
		if (i >= SIDE) pairs[m++] = (spd_pair){i - SIDE, i};
	}
	size_t fill = spd_plan(&mem, N, pairs, m)->column[N];
	assert_true((double)fill < 31.0 / 4 * N * log2(N));
	assert_true(fill < 30 * N);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(against_elimination),
		cmocka_unit_test(no_single_answer),
		cmocka_unit_test(fill_stays_small),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
