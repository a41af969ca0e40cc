/* Quantities and how they are shown: runtime/base/quant. Unit values: the inch (25.4 mm) and the pound
 * (0.45359237 kg) are exact by the international yard and pound agreement of 1959; the conventional inch of water is
 * that of ISO 80000-4 (249.089 Pa, rounded); the rest is arithmetic on these. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/quant.h"

static const quant_unit *unit(const char *word) {
	const quant_unit *u = quant_unit_find(word, strlen(word));
	assert_non_null(u);
	return u;
}

static quant of(int64_t n, const char *word) {
	const quant_unit *u = unit(word);
	return quant_exact(u->dim, rat_add(rat_mul(rat_int(n), u->factor), u->offset));
}

static void assert_near(double got, double expected, double relative) {
	if (!(fabs(got - expected) <= fabs(expected) * relative)) fail_msg("got %.12g, expected %.12g", got, expected);
}

static void lengths_are_exact(void **state) {
	(void)state;
	assert_true(rat_eq(of(1, "in").r, rat_of(254, 10)));
	assert_true(rat_eq(of(1, "ft").r, rat_of(3048, 10)));
	assert_true(rat_eq(of(12, "in").r, of(1, "ft").r));
	assert_true(rat_eq(of(5, "in").r, rat_int(127)));
	assert_true(rat_eq(of(1, "m").r, of(100, "cm").r));
	assert_true(rat_eq(of(1000, "um").r, of(1, "mm").r));
}

static void units_have_their_si_values(void **state) {
	(void)state;
	static const struct {
		const char *word;
		double si;
	} cases[] = {
		{"mm", 1e-3},
		{"in", 0.0254},
		{"ft2", 0.09290304},
		{"in2", 0.00064516},
		{"cm2", 1e-4},
		{"l", 1e-3},
		{"ft3", 0.028316846592},
		{"in3", 1.6387064e-5},
		{"m3/h", 1 / 3600.0},
		{"cfm", 0.028316846592 / 60},
		{"ft3/min", 0.028316846592 / 60},
		{"l/s", 1e-3},
		{"m3/min", 1 / 60.0},
		{"ft/min", 0.00508},
		{"ft/s", 0.3048},
		{"in/min", 0.0254 / 60},
		{"m/min", 1 / 60.0},
		{"cfm/ft2", 0.00508},
		{"Pa", 1},
		{"kPa", 1000},
		{"in.wg", 249.08891},
		{"mm.wg", 9.80665},
		{"g", 1e-3},
		{"lb", 0.45359237},
		{"oz", 0.028349523125},
		{"kg/m3", 1},
		{"g/m3", 1e-3},
		{"lb/ft3", 16.018463373960142},
		{"lb/ft2", 4.88242763638305},
		{"MPa", 1e6},
		{"GPa", 1e9},
		{"psi", 6894.757293168361}, /* NIST Special Publication 811 prints 6.894 757 E+03 */
		{"kg/m2", 1},
		{"g/m2", 1e-3},
		{"min", 60},
		{"h", 3600},
		{"day", 86400},
		{"rpm", 1 / 60.0},
		{"g/h", 1e-3 / 3600},
		{"kg/h", 1 / 3600.0},
		{"W", 1},
		{"kW", 1000},
		{"hp", 745.69987158227022},
		{"deg", 1},
		{"%", 0.01},
		{"Pa.s/m", 1},
		{"Pa.s2/m2", 1},
		{"Pa.s.m/kg", 1},
	};
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		quant q = of(1, cases[i].word);
		assert_near(quant_si(q), cases[i].si, 1e-12);
		assert_near(quant_si(quant_from_si(q.dim, cases[i].si)), cases[i].si, 1e-12);
		assert_near(quant_from_si(q.dim, cases[i].si).d, q.d, 1e-12);
	}
	/* 1 cfm = 1.69901082 m3/h */
	assert_near(quant_si(of(1, "cfm")) * 3600, 1.69901079552, 1e-12);
	assert_near(quant_si(of(0, "degC")), 273.15, 1e-12);
	assert_near(quant_si(of(32, "degF")), 273.15, 1e-12);
	assert_near(quant_si(of(212, "degF")), 373.15, 1e-12);
	assert_true(rat_eq(of(70, "degF").r, rat_of(52967, 180)));
	assert_null(quant_unit_find("furlong", 7));
	assert_null(quant_unit_find("mmm", 3));
	assert_null(quant_unit_find("", 0));
	assert_non_null(quant_unit_find("inch", 2)); /* as many bytes as are asked for */
}

static void every_unit_is_found_once_and_is_positive(void **state) {
	(void)state;
	size_t n;
	const quant_unit *all = quant_units(&n);
	assert_true(n > 50);
	for (size_t i = 0; i < n; i++) {
		assert_ptr_equal(quant_unit_find(all[i].word, strlen(all[i].word)), &all[i]);
		assert_int_equal(rat_sign(all[i].factor), 1);
		/* Written down reduced, so that exact results compare equal part by part. */
		assert_true(rat_eq(all[i].factor, rat_of(all[i].factor.num, all[i].factor.den)));
		assert_true(rat_eq(all[i].offset, rat_of(all[i].offset.num, all[i].offset.den)));
	}
}

static void dimensions_follow_the_arithmetic(void **state) {
	(void)state;
	arena a = {0};
	quant area = quant_mul(of(2, "ft"), of(3, "ft"));
	assert_true(dim_same(area.dim, DIM_AREA));
	assert_true(rat_eq(area.r, of(6, "ft2").r));
	quant speed = quant_div(of(600, "cfm"), area);
	assert_true(dim_same(speed.dim, DIM_SPEED));
	assert_true(rat_eq(speed.r, of(100, "ft/min").r));
	assert_true(dim_same(quant_div(area, area).dim, DIM_NUMBER));
	assert_true(dim_same(quant_mul(of(1, "Pa"), of(1, "m3/s")).dim, DIM_POWER));
	assert_near(quant_si(quant_mul(of(1, "Pa"), of(1, "m3/s"))), 1, 1e-12);
	assert_string_equal(dim_spoken(&a, DIM_NUMBER), "a number");
	assert_string_equal(dim_spoken(&a, DIM_LENGTH), "a length");
	assert_string_equal(dim_spoken(&a, area.dim), "an area");
	assert_string_equal(dim_spoken(&a, quant_mul(area, area).dim), "a quantity in mm^4");
	assert_string_equal(dim_spoken(&a, quant_mul(of(1, "kg"), of(1, "mm")).dim), "a quantity in mm kg");
	/* A power beyond what a dimension holds stays one: it never comes round to a number. */
	quant power = of(1, "mm");
	for (int i = 0; i < 300; i++) {
		power = quant_mul(power, of(1, "mm"));
		assert_true(power.dim.length > 1);
	}
	for (int i = 0; i < 300; i++) power = quant_div(power, of(1, "mm"));
	assert_true(power.dim.length < 0);
	arena_end(&a);
}

static void a_length_that_cannot_stay_exact_is_known(void **state) {
	(void)state;
	quant huge = quant_length(rat_int(INT64_MAX));
	quant sum = quant_add(huge, quant_length(rat_int(1)));
	assert_false(quant_is_exact(sum));
	assert_true(isnan(sum.d));
	quant less = quant_sub(quant_neg(huge), quant_length(rat_int(1)));
	assert_true(isnan(less.d));
	/* Other dimensions go on as doubles. */
	quant area = quant_mul(huge, huge);
	assert_false(quant_is_exact(area));
	assert_near(area.d, 9223372036854775807.0 * 9223372036854775807.0, 1e-12);
	/* A length from an inexact part is inexact, and no fault. */
	quant about = quant_add(quant_inexact(DIM_LENGTH, 1.5), quant_length(rat_int(1)));
	assert_false(quant_is_exact(about));
	assert_near(about.d, 2.5, 1e-12);
	quant m = quant_neg(quant_inexact(DIM_LENGTH, 1.5));
	assert_near(m.d, -1.5, 1e-12);
	assert_int_equal(quant_cmp(of(1, "in"), of(254, "mm")), -1);
	assert_int_equal(quant_cmp(of(10, "in"), of(254, "mm")), 0);
	/* Doubles cannot tell these two apart. */
	assert_int_equal(quant_cmp(huge, quant_length(rat_int(INT64_MAX - 1))), 1);
	assert_int_equal(quant_cmp(quant_inexact(DIM_LENGTH, 2), of(1, "mm")), 1);
}

#define assert_length(n, d, measures, text)                                                                            \
	assert_string_equal(quant_show_length(&a, rat_of(n, d), measures, false), text)

static void lengths_are_shown_as_the_shop_reads_them(void **state) {
	(void)state;
	arena a = {0};
	assert_length(88, 5, MEASURES_METRIC, "17.6 mm");
	assert_length(18, 1, MEASURES_METRIC, "18 mm");
	assert_length(1, 3, MEASURES_METRIC, "0.333 mm");
	assert_length(2, 3, MEASURES_METRIC, "0.667 mm");
	assert_length(-1, 2000, MEASURES_METRIC, "-0.001 mm"); /* a half goes away from zero */
	assert_length(-1, 10000, MEASURES_METRIC, "0 mm");
	assert_length(19996, 10000, MEASURES_METRIC, "2 mm"); /* the part rounds up into the whole */
	assert_length(-19996, 10000, MEASURES_METRIC, "-2 mm");
	assert_length(-5, 2, MEASURES_METRIC, "-2.5 mm");
	assert_length(0, 1, MEASURES_INCH, "0 in");
	assert_length(127, 5, MEASURES_INCH, "1 in");
	assert_length(67 * 127, 16 * 5, MEASURES_INCH, "4 3/16 in");
	assert_length(-67 * 127, 16 * 5, MEASURES_INCH, "-4 3/16 in");
	assert_length(127, 64 * 5, MEASURES_INCH, "1/64 in");
	assert_length(127, 2 * 5, MEASURES_INCH, "1/2 in");
	assert_length(18, 1, MEASURES_INCH, "~45/64 in");    /* 0.70866 in; 45.35/64 */
	assert_length(100, 1, MEASURES_INCH, "~3 15/16 in"); /* 3.93701 in */
	assert_length(254, 1, MEASURES_INCH, "10 in");
	assert_length(1, 1000, MEASURES_INCH, "~0 in");
	assert_length(-1, 1000, MEASURES_INCH, "~0 in");
	assert_string_equal(quant_show_length(&a, rat_of(127, 2 * 5), MEASURES_INCH, true), "1/2");
	/* 1182.8817 mm are 2980.49 sixty-fourths; by way of 1182.9 mm they would be 2981. */
	assert_string_equal(quant_show_reckoned(&a, 1182.88166, 10, MEASURES_INCH), "~46 9/16 in");
	assert_string_equal(quant_show_reckoned(&a, 1182.88166, 10, MEASURES_METRIC), "1182.9 mm");
	assert_string_equal(quant_show_reckoned(&a, 50.8, 1, MEASURES_INCH), "2 in");
	assert_string_equal(quant_show_length(&a, rat_poison(), MEASURES_INCH, true), "?");
	assert_length(INT64_MAX, 1, MEASURES_METRIC, "9223372036854775807 mm");
	/* Decimals, for machines. */
	assert_string_equal(quant_show_decimal(&a, rat_of(67 * 127, 16 * 5), MEASURES_INCH), "4.1875");
	assert_string_equal(quant_show_decimal(&a, rat_int(18), MEASURES_INCH), "0.7087");
	assert_string_equal(quant_show_decimal(&a, rat_of(-1, 3), MEASURES_METRIC), "-0.333");
	assert_string_equal(quant_show_decimal(&a, rat_poison(), MEASURES_METRIC), "?");
	arena_end(&a);
}

#define assert_shown(q, metric, inch)                                                                                  \
	do {                                                                                                           \
		assert_string_equal(quant_show(&a, (q), MEASURES_METRIC), metric);                                     \
		assert_string_equal(quant_show(&a, (q), MEASURES_INCH), inch);                                         \
	} while (0)

static void quantities_are_shown_in_their_usual_units(void **state) {
	(void)state;
	arena a = {0};
	assert_shown(of(600, "cfm"), "1019 m\u00b3/h", "600 cfm"); /* 1019.4 */
	assert_shown(of(100, "ft/min"), "0.508 m/s", "100 ft/min");
	assert_shown(of(1, "in.wg"), "249 Pa", "1 in.wg");
	assert_shown(of(20, "degC"), "20 \u00b0C", "68 \u00b0F");
	assert_shown(of(1, "hp"), "746 W", "1 hp");
	assert_shown(of(680, "kg/m3"), "680 kg/m\u00b3", "42.451 lb/ft\u00b3");
	/* Of a size that a person would take: rooms, bins, cups; leaks; screws; a trickle of dust. */
	assert_shown(of(150, "m3"), "150 m\u00b3", "5297 ft\u00b3"); /* 150 / 0.0283168 = 5297.2 */
	assert_shown(of(35, "l"), "35 l", "1.24 ft\u00b3");
	assert_shown(of(250, "cm3"), "250 cm\u00b3", "15.3 in\u00b3"); /* 250 / 16.387 */
	assert_shown(of(0, "l"), "0 m\u00b3", "0 ft\u00b3");
	assert_shown(of(12, "cm2"), "12 cm\u00b2", "1.86 in\u00b2"); /* 12 / 6.4516 */
	assert_shown(of(144, "in2"), "0.0929 m\u00b2", "1 ft\u00b2");
	assert_shown(of(12, "g"), "12 g", "0.423 oz"); /* 12 / 28.3495 */
	assert_shown(of(1, "lb"), "0.454 kg", "1 lb");
	assert_shown(of(40, "g/h"), "40 g/h", "0.0882 lb/h");
	assert_shown(of(2, "kW"), "2 kW", "2.68 hp");
	assert_shown(of(1400, "rpm"), "1400 rpm", "1400 rpm");
	assert_shown(of(6, "per_h"), "6 per h", "6 per h");
	assert_shown(of(60000, "Pa.s.m/kg"), "60000 Pa\u00b7s\u00b7m/kg", "60000 Pa\u00b7s\u00b7m/kg");
	assert_shown(of(45, "deg"), "45\u00b0", "45\u00b0");
	assert_shown(of(25, "%"), "0.25", "0.25");
	assert_shown(of(90, "s"), "2 min", "2 min"); /* 1.5, rounded to even by printf */
	assert_shown(of(59, "s"), "59 s", "59 s");
	assert_shown(of(8, "h"), "8 h", "8 h");
	assert_shown(of(-8, "h"), "-8 h", "-8 h");
	assert_shown(quant_inexact(DIM_LENGTH, 25.4), "25.4 mm", "1 in");
	assert_shown(quant_inexact(DIM_LENGTH, (double)NAN), "?", "?");
	assert_shown(quant_inexact(DIM_FLOW, (double)INFINITY), "?", "?");
	assert_shown(quant_exact(DIM_MONEY, rat_of(149, 2)), "74.5", "74.5");
	assert_string_equal(quant_show_si(&a, DIM_PRESSURE, 0.125, MEASURES_METRIC), "0.125 Pa");
	arena_end(&a);
}

static void numbers_are_shown_whole(void **state) {
	(void)state;
	arena a = {0};
	assert_string_equal(quant_show_number(&a, 1.5, 4), "1.5");
	assert_string_equal(quant_show_number(&a, 100, 2), "100");
	assert_string_equal(quant_show_number(&a, 100, 0), "100");
	assert_string_equal(quant_show_number(&a, -0.00001, 2), "0");
	assert_string_equal(quant_show_number(&a, -0.4, 0), "0");
	assert_string_equal(quant_show_number(&a, (double)NAN, 2), "?");
	/* No digit is cut off a large one. */
	const char *large = quant_show_number(&a, 1e300, 4);
	assert_near(strtod(large, NULL), 1e300, 1e-9);
	assert_true(strlen(large) < 32); /* and no digit is made up */
	arena_end(&a);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(lengths_are_exact),
		cmocka_unit_test(units_have_their_si_values),
		cmocka_unit_test(every_unit_is_found_once_and_is_positive),
		cmocka_unit_test(dimensions_follow_the_arithmetic),
		cmocka_unit_test(a_length_that_cannot_stay_exact_is_known),
		cmocka_unit_test(lengths_are_shown_as_the_shop_reads_them),
		cmocka_unit_test(quantities_are_shown_in_their_usual_units),
		cmocka_unit_test(numbers_are_shown_whole),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
