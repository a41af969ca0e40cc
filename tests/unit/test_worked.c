/* The reader of printed expressions, and how many digits a line takes. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "runtime/write/worked.h"

static void near(double got, double want) { assert_true(fabs(got - want) <= 1e-12 * fmax(1, fabs(want))); }

static void values(void **state) {
	(void)state;
	near(worked_value("2 + 3 × 4"), 14);
	near(worked_value("2 × (3 - 5)² / 4"), 2);
	near(worked_value("(-3)² - 2³"), 1);
	near(worked_value("-3²"), -9);
	near(worked_value("8 - 4 - 2"), 2);
	near(worked_value("8 / 4 / 2"), 1);
	near(worked_value("√(2 + 2) × log(1000) + ln(1)"), 6);
	near(worked_value("10^(0.5 + 1.5)"), 100);
}

static void faults(void **state) {
	(void)state;
	static const char *const BAD[] = {"", "2 +", "(2", "2)", "2 2", "x", "√4", "1e5", "2 × × 3"};
	for (size_t i = 0; i < sizeof BAD / sizeof *BAD; i++) assert_true(isnan(worked_value(BAD[i])));
	char deep[300];
	for (size_t i = 0; i < sizeof deep - 1; i++) deep[i] = '(';
	deep[sizeof deep - 1] = '\0';
	assert_true(isnan(worked_value(deep)));
}

/* Numbers get as many digits as the result needs; a formula that is not the value's has none. */
static void lines(void **state) {
	(void)state;
	arena mem = {0};
	worked w = {.mem = &mem, .ms = MEASURES_INCH};
	worked_put(&w, "a", "v = Q / A", "# / $", (const double[]){1.0 / 3, 0.09290304}, WORKED_SPEED,
		   1 / 3.0 / 0.09290304, NULL);
	worked_put(&w, "b", "v = Q A", "# × #", (const double[]){2, 3}, WORKED_NUMBER, 7, NULL);
	worked_put(&w, "c", "p", "#", (const double[]){NAN}, WORKED_PRESSURE, NAN, NULL);
	assert_int_equal(w.lines.n, 2);
	assert_string_equal(w.lines.v[0].numbers, "0.33333 / (1 × 0.0929030)");
	assert_string_equal(w.lines.v[0].result, "3.588");
	assert_string_equal(w.lines.v[0].also, "3.588 / 0.00508 = 706.3");
	assert_string_equal(w.lines.v[0].also_unit, "ft/min");
	assert_null(w.lines.v[1].numbers);
	assert_string_equal(worked_digits(&mem, 0.00051, 4, true), "0.0005100");
	assert_string_equal(worked_digits(&mem, 98357.6, 4, true), "98358");
	arena_end(&mem);
}

int main(void) {
	const struct CMUnitTest tests[] = {cmocka_unit_test(values), cmocka_unit_test(faults), cmocka_unit_test(lines)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
