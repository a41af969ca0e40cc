/* Exact rational numbers: runtime/base/rat. Expected values are arithmetic. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "runtime/base/rat.h"

static const int64_t TOP = INT64_MAX;

#define assert_rat(a, n, d)                                                                                            \
	do {                                                                                                           \
		rat got_ = (a);                                                                                        \
		assert_true(rat_ok(got_));                                                                             \
		assert_true(got_.num == (n) && got_.den == (d));                                                       \
	} while (0)
#define assert_poison(a) assert_false(rat_ok(a))

static void reduced_with_a_positive_denominator(void **state) {
	(void)state;
	assert_rat(rat_of(6, 4), 3, 2);
	assert_rat(rat_of(6, -4), -3, 2);
	assert_rat(rat_of(-6, -4), 3, 2);
	assert_rat(rat_of(0, -5), 0, 1);
	assert_rat(rat_of(TOP, TOP), 1, 1);
	assert_poison(rat_of(1, 0));
	assert_poison(rat_of(0, 0));
	/* The least 64-bit number has no opposite, so it is no rational's part. */
	assert_poison(rat_of(INT64_MIN, 1));
	assert_poison(rat_int(INT64_MIN));
	assert_rat(rat_of(INT64_MIN, 2), INT64_MIN / 2, 1);
	assert_rat(rat_of(1, INT64_MIN / 2), -1, (int64_t)1 << 62);
}

static void the_four_operations_are_exact(void **state) {
	(void)state;
	assert_rat(rat_add(rat_of(1, 3), rat_of(1, 6)), 1, 2);
	assert_rat(rat_sub(rat_of(1, 3), rat_of(1, 2)), -1, 6);
	assert_rat(rat_mul(rat_of(-2, 3), rat_of(9, 4)), -3, 2);
	assert_rat(rat_div(rat_of(2, 3), rat_of(-4, 9)), -3, 2);
	assert_rat(rat_half(rat_int(7)), 7, 2);
	assert_rat(rat_neg(rat_of(3, 4)), -3, 4);
	assert_rat(rat_abs(rat_of(-3, 4)), 3, 4);
	assert_poison(rat_div(rat_int(1), rat_int(0)));
	/* A quarter inch sixty-four times over is sixteen inches, to the last bit. */
	rat sum = rat_int(0);
	for (int i = 0; i < 64; i++) sum = rat_add(sum, rat_mul(rat_of(1, 4), rat_of(127, 5)));
	assert_rat(sum, 2032, 5); /* 16 x 25.4 mm */
	/* Intermediate products beyond 64 bits are no overflow when the result fits. */
	assert_rat(rat_mul(rat_of(TOP, 3), rat_of(3, TOP)), 1, 1);
	assert_rat(rat_add(rat_of(TOP, 2), rat_of(-TOP, 2)), 0, 1);
}

static void overflow_is_poison_and_stays_so(void **state) {
	(void)state;
	rat bad = rat_add(rat_int(TOP), rat_int(1));
	assert_poison(bad);
	assert_poison(rat_sub(rat_int(-TOP), rat_int(1)));
	assert_poison(rat_mul(rat_int(TOP), rat_int(2)));
	assert_poison(rat_mul(rat_of(1, TOP), rat_of(1, 2)));
	assert_poison(rat_mul(rat_of(1, TOP), rat_of(1, 3))); /* cut to 64 bits this one would look well */
	assert_poison(rat_add(rat_of(1, TOP), rat_of(1, TOP - 1)));
	assert_poison(rat_add(bad, rat_int(1)));
	assert_poison(rat_add(rat_int(1), bad));
	assert_poison(rat_mul(bad, rat_int(0)));
	assert_poison(rat_div(bad, bad));
	assert_poison(rat_neg(bad));
	assert_poison(rat_abs(bad));
	assert_poison(rat_half(bad));
	assert_poison(rat_round(bad, 64));
	assert_poison(rat_min(bad, rat_int(1)));
	assert_poison(rat_min(rat_int(1), bad));
	assert_poison(rat_max(bad, rat_int(1)));
	assert_poison(rat_max(rat_int(1), bad));
	assert_int_equal(rat_cmp(bad, rat_int(1)), 0);
	assert_false(rat_eq(bad, bad));
	assert_true(isnan(rat_double(bad)));
}

static void comparison_is_exact_near_the_ends(void **state) {
	(void)state;
	/* TOP/(TOP-1) and (TOP-1)/(TOP-2) differ by about 1e-38: no double can tell. */
	rat a = rat_of(TOP, TOP - 1), b = rat_of(TOP - 1, TOP - 2);
	assert_int_equal(rat_cmp(a, b), -1);
	assert_int_equal(rat_cmp(b, a), 1);
	assert_int_equal(rat_cmp(a, a), 0);
	assert_true(rat_lt(a, b));
	assert_true(rat_le(a, a));
	assert_int_equal(rat_cmp(rat_int(TOP), rat_int(TOP - 1)), 1);
	assert_int_equal(rat_cmp(rat_int(-TOP), rat_int(TOP)), -1);
	assert_int_equal(rat_cmp(rat_of(1, TOP), rat_int(0)), 1);
	assert_rat(rat_min(a, b), a.num, a.den);
	assert_rat(rat_max(a, b), b.num, b.den);
	assert_int_equal(rat_sign(rat_of(-1, 9)), -1);
	assert_int_equal(rat_sign(rat_int(0)), 0);
	assert_int_equal(rat_sign(rat_of(1, 9)), 1);
}

static void floor_ceil_and_round(void **state) {
	(void)state;
	assert_int_equal(rat_floor(rat_of(7, 2)), 3);
	assert_int_equal(rat_floor(rat_of(-7, 2)), -4);
	assert_int_equal(rat_floor(rat_int(-4)), -4);
	assert_int_equal(rat_ceil(rat_of(7, 2)), 4);
	assert_int_equal(rat_ceil(rat_of(-7, 2)), -3);
	assert_int_equal(rat_ceil(rat_int(4)), 4);
	assert_int_equal(rat_floor(rat_int(TOP)), TOP);
	assert_rat(rat_round(rat_of(1, 3), 64), 21, 64);    /* 21.33/64 */
	assert_rat(rat_round(rat_of(1, 128), 64), 1, 64);   /* a half goes away from zero, */
	assert_rat(rat_round(rat_of(-1, 128), 64), -1, 64); /* on both sides */
	assert_rat(rat_round(rat_of(1, 129), 64), 0, 1);
	assert_rat(rat_round(rat_int(5), 1), 5, 1);
	assert_rat(rat_round(rat_int(TOP), 64), TOP, 1);
	assert_rat(rat_round(rat_of(TOP, 2), 1), (TOP >> 1) + 1, 1);
	assert_rat(rat_round(rat_of(1, TOP), TOP), 1, TOP);
	assert_poison(rat_round(rat_of(TOP, 2), TOP));
	assert_poison(rat_round(rat_int(1), 0));
	assert_poison(rat_round(rat_int(1), -1));
}

static void to_and_from_double(void **state) {
	(void)state;
	assert_true(rat_double(rat_of(1, 4)) == 0.25);
	assert_rat(rat_from_double(17.6, 1000), 88, 5);
	assert_rat(rat_from_double(-0.0005, 1000), -1, 1000);
	assert_poison(rat_from_double((double)NAN, 1000));
	assert_poison(rat_from_double((double)INFINITY, 1000));
	assert_poison(rat_from_double(1e300, 1000));
	assert_poison(rat_from_double(-1e16, 1));
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reduced_with_a_positive_denominator),
		cmocka_unit_test(the_four_operations_are_exact),
		cmocka_unit_test(overflow_is_poison_and_stays_so),
		cmocka_unit_test(comparison_is_exact_near_the_ends),
		cmocka_unit_test(floor_ceil_and_round),
		cmocka_unit_test(to_and_from_double),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
