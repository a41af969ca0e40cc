/* The revised lifting equation against a published form and case W24. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "runtime/engine/lift.h"

static void near(double got, double want, double within) {
	if (!(fabs(got - want) <= within)) fail_msg("%.5f is not %.5f within %.5f", got, want, within);
}

/* Case W24: H 40, V 30, D 60 cm, coupling 0.9: 10.02 kg within 0.02. Equation as published (NIOSH 94-110, quoted in
 * textbooks of ergonomics): RWL = 23 kg x 25/H x (1 - 0.003 |V - 75|) x (0.82 + 4.5/D) x AM x FM x CM. */
static void w24(void **state) {
	(void)state;
	near(lift_limit_kg((lift){40, 30, 60, 0.9}), 10.02, 0.02);
}

/* Multipliers as a national health centre's table gives them, to two decimals: HM at H 40, 50 cm is 0.63, 0.50; VM at V
 * 0, 30, 100, 150 cm is 0.78, 0.87, 0.93, 0.78; DM at D 40, 100 cm is 0.93, 0.87. */
static void multipliers(void **state) {
	(void)state;
	near(lift_limit_kg((lift){40, 75, 25, 1}) / 23, 0.63, 0.006);
	near(lift_limit_kg((lift){50, 75, 25, 1}) / 23, 0.50, 0.006);
	near(lift_limit_kg((lift){25, 0, 25, 1}) / 23, 0.78, 0.006);
	near(lift_limit_kg((lift){25, 30, 25, 1}) / 23, 0.87, 0.006);
	near(lift_limit_kg((lift){25, 100, 25, 1}) / 23, 0.93, 0.006);
	near(lift_limit_kg((lift){25, 150, 25, 1}) / 23, 0.78, 0.006);
	near(lift_limit_kg((lift){25, 75, 40, 1}) / 23, 0.93, 0.006);
	near(lift_limit_kg((lift){25, 75, 100, 1}) / 23, 0.87, 0.006);
}

/* The best lift is the load constant, 23 kg; nearer than 25 cm is not better; beyond the table it is 0. */
static void limits(void **state) {
	(void)state;
	near(lift_limit_kg((lift){25, 75, 25, 1}), 23, 1e-9);
	near(lift_limit_kg((lift){10, 75, 5, 1}), 23, 1e-9);
	near(lift_limit_kg((lift){64, 75, 25, 1}), 0, 0);
	near(lift_limit_kg((lift){25, 176, 25, 1}), 0, 0);
	near(lift_limit_kg((lift){25, 75, 176, 1}), 0, 0);
	near(lift_limit_kg((lift){NAN, 75, NAN, 1}), 23, 1e-9);
}

/* Arithmetic: mass over 23 kg, rounded up, less the first person. W25: a sheet of 38.58 kg takes two. */
static void helpers(void **state) {
	(void)state;
	assert_int_equal(lift_helpers(23), 0);
	assert_int_equal(lift_helpers(23.1), 1);
	assert_int_equal(lift_helpers(38.58), 1);
	assert_int_equal(lift_helpers(46.1), 2);
	assert_int_equal(lift_helpers(NAN), 0);
	assert_int_equal(lift_helpers(-1), 0);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(w24),
		cmocka_unit_test(multipliers),
		cmocka_unit_test(limits),
		cmocka_unit_test(helpers),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
