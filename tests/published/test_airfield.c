/* How the flow spreads over a field of holes, against the closed form of a long even manifold (momentum theorem and
 * continuity, textbook; the derivation stands beside it), against a fine integration by a second route, and in limits
 * that need no calculation. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/engine/airfield.h"
#include "runtime/engine/airlaw.h"

static const double RHO = 1.2, MU = 1.82e-5;
enum { MOST = 400 };

static void within(const char *what, double got, double want, double relative) {
	if (!(fabs(got - want) <= relative * fabs(want)))
		fail_msg("%s: got %.10g, want %.10g within %g", what, got, want, relative);
}

typedef struct plenum {
	airfield_row rows[MOST];
	airfield f;
} plenum;

/* Even rows over one metre, the outlet behind the last; no friction. */
static void even(plenum *p, size_t n, double open_m2, double section_m2, double k) {
	for (size_t i = 0; i < n; i++)
		p->rows[i] = (airfield_row){((double)i + 0.5) / (double)n, open_m2 / (double)n, k, section_m2, 0};
	p->f = (airfield){.rows = p->rows,
			  .n_rows = n,
			  .outlet_m = 1,
			  .density_kg_m3 = RHO,
			  .viscosity_pa_s = MU,
			  .flow_m3_s = 0.5};
}

static double sum(const airfield_result *r, size_t n) {
	double s = 0;
	for (size_t i = 0; i < n; i++) s += r->flow_m3_s[i];
	return s;
}

/* Constant section S, open area A evenly along the unit length, no friction. With D the drop over the holes and v the
 * speed along: v' = (A/S) sqrt(2 D/(K rho)) and D' = +-rho (v^2)' (momentum theorem). So D = D0 +- rho v^2, and from
 * there v = sqrt(D0/rho) sinh(s x) or sin(s x), s = (A/S) sqrt(2/K): the holes' speed goes as cosh or cos. The rows
 * are the midpoint rule of it: they come to it with the square of their number. */
static void closed_form(void **state) {
	(void)state;
	arena mem = {0};
	static plenum p;
	for (int blowing = 0; blowing < 2; blowing++) {
		for (double ratio = 0.2; ratio < 1.3; ratio += 0.2) {
			double error[2] = {0};
			for (int fine = 0; fine < 2; fine++) {
				size_t n = fine ? 320 : 40;
				even(&p, n, ratio * 0.1, 0.1, 1.5);
				p.f.blowing = blowing;
				airfield_result r = airfield_spread(&mem, &p.f);
				assert_int_equal(r.trouble, AIRFIELD_SOLVED);
				within("total", sum(&r, n), 0.5, 1e-9);
				for (size_t i = 0; i < n; i++) {
					double x = ((double)i + 0.5) / (double)n;
					double want = airfield_smooth(ratio * 0.1, 0.1, 1.5, blowing, x);
					error[fine] = fmax(error[fine], fabs(r.speed_m_s[i] / r.mean_m_s - want));
				}
				double ends = airfield_smooth(1, 1 / ratio, 1.5, blowing, blowing ? 0 : 1);
				within("most", r.most, ends, 0.05);
			}
			if (!(error[1] < 2e-4 && error[1] < error[0] / 20))
				fail_msg("ratio %g: %g with 40 rows, %g with 320", ratio, error[0], error[1]);
		}
	}
	/* Blowing, from s = pi/2 on the holes at the inlet draw back: there is no such form, and the rows say so. */
	assert_true(isnan(airfield_smooth(2, 1, 1.5, true, 0.5)));
	even(&p, 40, 0.2, 0.1, 1.5);
	p.f.blowing = true;
	airfield_result r = airfield_spread(&mem, &p.f);
	assert_int_equal(r.trouble, AIRFIELD_STARVED);
	assert_int_equal(r.row, 27); /* cos(s x) = 0 at x = pi/2 / (2 sqrt(2/1.5)) = 0.680 */
	arena_end(&mem);
}

/* A plenum without end is even whatever the holes; a narrower one is never evener. */
static void limits(void **state) {
	(void)state;
	arena mem = {0};
	static plenum p;
	double before = 1;
	for (double section = 1e6; section > 0.05; section /= 3) {
		even(&p, 30, 0.05, section, 1.8);
		for (size_t i = 0; i < 30; i++) p.rows[i].hydraulic_m = sqrt(section);
		p.f.roughness_m = 1e-4;
		airfield_result r = airfield_spread(&mem, &p.f);
		assert_int_equal(r.trouble, AIRFIELD_SOLVED);
		if (section > 1e5) {
			within("even", r.most, 1, 1e-9);
			within("even", r.least, 1, 1e-9);
			within("drop", r.drop_pa[7], 1.8 * RHO / 2 * 100, 1e-8);
			within("as one space", r.even_pa, 1.8 * RHO / 2 * 100, 1e-9);
			assert_true(fabs(r.more_pa) < 1e-6 * r.even_pa);
		}
		assert_true(r.most >= before - 1e-9 && r.least <= 1 + 1e-9);
		within("plenum speed", r.plenum_m_s, 0.5 / section, 1e-9);
		before = r.most;
	}
	assert_true(before > 1.1);
	/* One row takes all; twice the flow spreads the same when nothing rubs. */
	even(&p, 1, 0.05, 0.1, 1.8);
	airfield_result one = airfield_spread(&mem, &p.f);
	within("one row", one.flow_m3_s[0], 0.5, 1e-12);
	even(&p, 20, 0.05, 0.08, 1.8);
	airfield_result slow = airfield_spread(&mem, &p.f);
	p.f.flow_m3_s *= 2;
	airfield_result fast = airfield_spread(&mem, &p.f);
	for (size_t i = 0; i < 20; i++) within("scales", fast.flow_m3_s[i], 2 * slow.flow_m3_s[i], 1e-9);
	within("square", fast.drop_pa[3], 4 * slow.drop_pa[3], 1e-9);
	arena_end(&mem);
}

/* Friction alone, a second route: small holes along a narrow passage, momentum small beside what rubs. The slope of the
 * drop between two rows is Darcy and Weisbach's at the flow that has come together by then. */
static void friction_between_rows(void **state) {
	(void)state;
	arena mem = {0};
	static plenum p;
	even(&p, 50, 0.02, 0.04, 2);
	for (size_t i = 0; i < 50; i++) p.rows[i].hydraulic_m = 0.05;
	p.f.roughness_m = 2e-4;
	for (int blowing = 0; blowing < 2; blowing++) {
		p.f.blowing = blowing;
		p.f.flow_m3_s = 0.2;
		airfield_result r = airfield_spread(&mem, &p.f);
		assert_int_equal(r.trouble, AIRFIELD_SOLVED);
		double flow = 0, sign = blowing ? -1 : 1;
		for (size_t i = 0; i + 1 < 50; i++) {
			double v0 = flow / 0.04, v1 = (flow + r.flow_m3_s[i]) / 0.04,
			       v2 = (flow + r.flow_m3_s[i] + r.flow_m3_s[i + 1]) / 0.04;
			double re = RHO * v1 * 0.05 / MU;
			double rubs = airlaw_friction(re, 2e-4 / 0.05) * (1.0 / 50) / 0.05 * RHO * v1 * v1 / 2;
			/* From middle to middle of the rows: half of each row's momentum. */
			double want = r.drop_pa[i] + rubs + sign * RHO * (v2 * v2 - v0 * v0) / 2;
			within("next drop", r.drop_pa[i + 1], want, 1e-9);
			flow += r.flow_m3_s[i];
		}
	}
	arena_end(&mem);
}

/* The outlet in the middle: both halves mirror each other, and each is the half field by itself. Out of the middle the
 * drops of the sides still meet at the outlet. */
static void outlet_between(void **state) {
	(void)state;
	arena mem = {0};
	static plenum p, half;
	even(&p, 40, 0.1, 0.1, 1.5);
	p.f.outlet_m = 0.5;
	airfield_result r = airfield_spread(&mem, &p.f);
	assert_int_equal(r.trouble, AIRFIELD_SOLVED);
	even(&half, 20, 0.05, 0.1, 1.5);
	half.f.flow_m3_s = 0.25;
	airfield_result h = airfield_spread(&mem, &half.f);
	for (size_t i = 0; i < 20; i++) {
		within("mirror", r.flow_m3_s[i], r.flow_m3_s[39 - i], 1e-9);
		within("half", r.flow_m3_s[i], h.flow_m3_s[i], 1e-9);
	}
	p.f.outlet_m = 0.26;
	r = airfield_spread(&mem, &p.f);
	within("total", sum(&r, 40), 0.5, 1e-9);
	/* Frictionless: behind each side's last row D = D0 + rho v^2, D0 from the row at its closed end. */
	double left = 0, right = 0;
	for (size_t i = 0; i < 40; i++) *(i < 10 ? &left : &right) += r.flow_m3_s[i];
	double q0 = r.flow_m3_s[0] / 0.1, q1 = r.flow_m3_s[39] / 0.1;
	double da = r.drop_pa[0] - RHO / 2 * q0 * q0 + RHO * left * left / 0.01,
	       db = r.drop_pa[39] - RHO / 2 * q1 * q1 + RHO * right * right / 0.01;
	within("meet", da, db, 1e-9);
	within("over the outlet", r.more_pa, da - r.even_pa, 1e-6);
	/* An outlet before the first row is the same field turned round. */
	even(&p, 40, 0.1, 0.1, 1.5);
	airfield_result ahead = airfield_spread(&mem, &p.f);
	p.f.outlet_m = 0;
	r = airfield_spread(&mem, &p.f);
	for (size_t i = 0; i < 40; i++) within("turned", r.flow_m3_s[i], ahead.flow_m3_s[39 - i], 1e-9);
	arena_end(&mem);
}

/* From row to row in a plenum whose section changes: widening regains by Borda and Carnot, narrowing falls by
 * Bernoulli. */
static void sections_that_change(void **state) {
	(void)state;
	arena mem = {0};
	static plenum p;
	for (int widens = 0; widens < 2; widens++) {
		even(&p, 2, 0.02, 0.1, 2);
		p.rows[0].section_m2 = widens ? 0.02 : 0.04;
		p.rows[1].section_m2 = widens ? 0.04 : 0.02;
		airfield_result r = airfield_spread(&mem, &p.f);
		assert_int_equal(r.trouble, AIRFIELD_SOLVED);
		double q = r.flow_m3_s[0], q2 = r.flow_m3_s[1], s0 = p.rows[0].section_m2, s1 = p.rows[1].section_m2;
		double v0 = q / s0, v1 = q / s1, v2 = (q + q2) / s1;
		double step = widens ? -RHO * v1 * (v0 - v1) : RHO / 2 * (v1 * v1 - v0 * v0);
		double want = r.drop_pa[0] + RHO / 2 * v0 * v0 + step + RHO / 2 * (v2 * v2 - v1 * v1);
		within("step", r.drop_pa[1], want, 1e-9);
	}
	arena_end(&mem);
}

static void what_is_wrong_is_named(void **state) {
	(void)state;
	arena mem = {0};
	static plenum p;
	for (int fault = 0; fault < 10; fault++) {
		even(&p, 5, 0.05, 0.1, 1.8);
		double *const rows[] = {&p.rows[3].open_m2, &p.rows[3].loss_k, &p.rows[3].section_m2,
					&p.rows[3].hydraulic_m, &p.rows[3].at_m};
		if (fault < 5) *rows[fault] = fault == 3 ? -1 : fault == 4 ? 0 : NAN;
		if (fault == 5) p.f.flow_m3_s = 0;
		if (fault == 6) p.f.density_kg_m3 = -1;
		if (fault == 7) p.f.n_rows = 0;
		if (fault == 8) p.f.outlet_m = NAN;
		if (fault == 9) p.f.roughness_m = INFINITY;
		airfield_result r = airfield_spread(&mem, &p.f);
		if (r.trouble != AIRFIELD_BAD_VALUE) fail_msg("fault %d is not noticed", fault);
		if (fault < 5) assert_int_equal(r.row, 3);
		assert_null(r.flow_m3_s);
	}
	for (int i = 0; i < AIRFIELD_TROUBLE_COUNT; i++) assert_non_null(AIRFIELD_TROUBLE_WORDS[i]);
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(closed_form),		 cmocka_unit_test(limits),
		cmocka_unit_test(friction_between_rows), cmocka_unit_test(outlet_between),
		cmocka_unit_test(sections_that_change),	 cmocka_unit_test(what_is_wrong_is_named),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
