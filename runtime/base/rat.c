#include "runtime/base/rat.h"

#include <math.h>

__extension__ typedef __int128 wide;

int64_t rat_gcd(int64_t a, int64_t b) {
	while (b) {
		int64_t t = a % b;
		a = b;
		b = t;
	}
	return a;
}

static wide wide_gcd(wide a, wide b) {
	if (a < 0) a = -a;
	if (b < 0) b = -b;
	while (b) {
		wide t = a % b;
		a = b;
		b = t;
	}
	return a;
}

static rat reduce(wide num, wide den) {
	if (den == 0) return rat_poison();
	if (den < 0) {
		num = -num;
		den = -den;
	}
	wide g = wide_gcd(num, den);
	if (g > 1) {
		num /= g;
		den /= g;
	}
	if (num > INT64_MAX || num < -INT64_MAX || den > INT64_MAX) return rat_poison();
	return (rat){(int64_t)num, (int64_t)den};
}

rat rat_of(int64_t num, int64_t den) { return reduce(num, den); }

rat rat_add(rat a, rat b) {
	if (!rat_ok(a) || !rat_ok(b)) return rat_poison();
	/* Each product is below 2^126, so the sum fits the signed 128 bits. */
	return reduce((wide)a.num * b.den + (wide)b.num * a.den, (wide)a.den * b.den);
}

rat rat_neg(rat a) { return (rat){-a.num, a.den}; }
rat rat_sub(rat a, rat b) { return rat_add(a, rat_neg(b)); }
rat rat_abs(rat a) { return a.num < 0 ? rat_neg(a) : a; }

rat rat_mul(rat a, rat b) {
	if (!rat_ok(a) || !rat_ok(b)) return rat_poison();
	return reduce((wide)a.num * b.num, (wide)a.den * b.den);
}

rat rat_div(rat a, rat b) {
	if (!rat_ok(a) || !rat_ok(b)) return rat_poison();
	return reduce((wide)a.num * b.den, (wide)a.den * b.num);
}

rat rat_half(rat a) { return rat_mul(a, (rat){1, 2}); }

int rat_cmp(rat a, rat b) {
	if (!rat_ok(a) || !rat_ok(b)) return 0;
	wide x = (wide)a.num * b.den, y = (wide)b.num * a.den;
	return x < y ? -1 : x > y;
}

int rat_sign(rat a) { return a.num > 0 ? 1 : a.num < 0 ? -1 : 0; }

int64_t rat_floor(rat a) {
	if (!rat_ok(a)) return 0;
	int64_t q = a.num / a.den;
	return a.num % a.den < 0 ? q - 1 : q;
}

int64_t rat_ceil(rat a) { return -rat_floor(rat_neg(a)); }

rat rat_round(rat a, int64_t steps) {
	if (!rat_ok(a) || steps <= 0) return rat_poison();
	/* Below 2^127: numerator and steps are below 2^63 each. */
	wide size = a.num < 0 ? -(wide)a.num : a.num;
	wide nearest = (2 * size * steps + a.den) / (2 * (wide)a.den);
	return reduce(a.num < 0 ? -nearest : nearest, steps);
}

double rat_double(rat a) {
	if (!rat_ok(a)) return (double)NAN;
	return (double)a.num / (double)a.den;
}

rat rat_from_double(double d, int64_t steps) {
	double scaled = d * (double)steps;
	if (!isfinite(scaled) || fabs(scaled) > 9e15) return rat_poison();
	return rat_of((int64_t)llround(scaled), steps);
}
