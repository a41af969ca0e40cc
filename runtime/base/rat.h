/* Exact rational numbers: 64-bit numerator and denominator, reduced, denominator positive.
 * Overflow gives the poison value (denominator 0), which stays poison through every operation;
 * test with rat_ok() where a value leaves the arithmetic. Values: no ownership. */
#ifndef BASE_RAT_H
#define BASE_RAT_H
#include <stdbool.h>
#include <stdint.h>

typedef struct rat {
	int64_t num, den;
} rat;

static inline bool rat_ok(rat a) { return a.den > 0; }
static inline rat rat_poison(void) { return (rat){0, 0}; }
/* The least 64-bit number has no opposite: poison. */
static inline rat rat_int(int64_t n) { return n < -INT64_MAX ? rat_poison() : (rat){n, 1}; }
rat rat_of(int64_t num, int64_t den); /* den != 0, else poison */
/* Greatest common divisor of two numbers that are not negative; of 0 and b it is b. */
int64_t rat_gcd(int64_t a, int64_t b);
rat rat_add(rat a, rat b);
rat rat_sub(rat a, rat b);
rat rat_mul(rat a, rat b);
rat rat_div(rat a, rat b); /* by zero: poison */
rat rat_neg(rat a);
rat rat_abs(rat a);
rat rat_half(rat a);
/* -1, 0 or 1; exact. Comparing with poison gives 0. */
int rat_cmp(rat a, rat b);
static inline bool rat_lt(rat a, rat b) { return rat_cmp(a, b) < 0; }
static inline bool rat_le(rat a, rat b) { return rat_cmp(a, b) <= 0; }
static inline bool rat_eq(rat a, rat b) { return rat_ok(a) && rat_ok(b) && a.num == b.num && a.den == b.den; }
static inline rat rat_min(rat a, rat b) { return !rat_ok(b) || rat_cmp(a, b) > 0 ? b : a; }
static inline rat rat_max(rat a, rat b) { return !rat_ok(b) || rat_cmp(a, b) < 0 ? b : a; }
int rat_sign(rat a);
int64_t rat_floor(rat a);
int64_t rat_ceil(rat a);
/* Nearest multiple of 1/steps, halves away from zero. */
rat rat_round(rat a, int64_t steps);
double rat_double(rat a); /* poison gives NaN */
/* The multiple of 1/steps nearest to d; poison when d is not finite or too large. */
rat rat_from_double(double d, int64_t steps);
#endif
