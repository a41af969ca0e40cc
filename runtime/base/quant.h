/* Quantities: a number with a dimension. Base units: millimetre, kilogram, second, kelvin, degree,
 * money; everything else is a product of these (a pascal is 1/1000 kg/(mm s2)).
 * A quantity is exact (a rational) as long as its arithmetic fits; lengths must stay exact and
 * are reported when they cannot, other dimensions fall back to a double.
 * Values: no ownership; texts are written to the caller's arena. */
#ifndef BASE_QUANT_H
#define BASE_QUANT_H
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "runtime/base/arena.h"
#include "runtime/base/rat.h"

typedef struct dim {
	int8_t length, mass, time, temp, angle, money;
} dim;

typedef struct quant {
	dim dim;
	rat r;	  /* in base units; poison when not exact */
	double d; /* in base units; always set */
} quant;

/* Named dimensions: X(name, spoken, length, mass, time, temp, angle, money) */
#define QUANT_DIMS(X)                                                                                                  \
	X(NUMBER, "a number", 0, 0, 0, 0, 0, 0)                                                                        \
	X(LENGTH, "a length", 1, 0, 0, 0, 0, 0)                                                                        \
	X(AREA, "an area", 2, 0, 0, 0, 0, 0)                                                                           \
	X(VOLUME, "a volume", 3, 0, 0, 0, 0, 0)                                                                        \
	X(FLOW, "a flow", 3, 0, -1, 0, 0, 0)                                                                           \
	X(SPEED, "a speed", 1, 0, -1, 0, 0, 0)                                                                         \
	X(PRESSURE, "a pressure", -1, 1, -2, 0, 0, 0)                                                                  \
	X(MASS, "a mass", 0, 1, 0, 0, 0, 0)                                                                            \
	X(DENSITY, "a density", -3, 1, 0, 0, 0, 0)                                                                     \
	X(AREAL, "a mass per area", -2, 1, 0, 0, 0, 0)                                                                 \
	X(CONCENTRATION, "a density", -3, 1, 0, 0, 0, 0)                                                               \
	X(TIME, "a time", 0, 0, 1, 0, 0, 0)                                                                            \
	X(RATE, "a rate per time", 0, 0, -1, 0, 0, 0)                                                                  \
	X(MASS_RATE, "a mass per time", 0, 1, -1, 0, 0, 0)                                                             \
	X(POWER, "a power", 2, 1, -3, 0, 0, 0)                                                                         \
	X(TEMPERATURE, "a temperature", 0, 0, 0, 1, 0, 0)                                                              \
	X(ANGLE, "an angle", 0, 0, 0, 0, 1, 0)                                                                         \
	X(MONEY, "an amount of money", 0, 0, 0, 0, 0, 1)                                                               \
	X(RESISTANCE, "a media resistance", -2, 1, -1, 0, 0, 0)	     /* Pa s/m */                                      \
	X(RESISTANCE2, "a square-law resistance", -3, 1, 0, 0, 0, 0) /* Pa s2/m2 */

#define X(name, spoken, l, m, t, k, a, c) static const dim DIM_##name = {l, m, t, k, a, c};
QUANT_DIMS(X)
#undef X

static inline bool dim_same(dim a, dim b) {
	return a.length == b.length && a.mass == b.mass && a.time == b.time && a.temp == b.temp && a.angle == b.angle &&
	       a.money == b.money;
}
/* "a length", "an area", … or "a quantity in mm2 kg" for one without a name. */
const char *dim_spoken(arena *mem, dim d);

quant quant_number(rat r);
quant quant_length(rat mm);
quant quant_exact(dim d, rat r);
quant quant_inexact(dim d, double base); /* no rational */
/* From SI units (m, kg, s, K, degree): exact is lost. */
quant quant_from_si(dim d, double si);
double quant_si(quant q); /* to SI units */
static inline bool quant_is_exact(quant q) { return rat_ok(q.r); }

/* Sum and difference ask for equal dimensions (the caller checks). For LENGTH the result is poison
 * in both fields (d is NaN) when the exact arithmetic overflows; other dimensions go on inexact. */
quant quant_add(quant a, quant b);
quant quant_sub(quant a, quant b);
quant quant_mul(quant a, quant b);
quant quant_div(quant a, quant b); /* b not zero: the caller checks */
quant quant_neg(quant a);
int quant_cmp(quant a, quant b); /* -1, 0, 1; exact when both are */

/* A unit's word to its factor; offset only for temperatures (kelvin = value x factor + offset). */
typedef struct quant_unit {
	const char *word;
	dim dim;
	rat factor; /* base units in one of this unit, exact */
	rat offset;
} quant_unit;
/* NULL when there is no such unit. `n` bytes of `word`. */
const quant_unit *quant_unit_find(const char *word, size_t n);
/* All units, for suggestions and documents. */
const quant_unit *quant_units(size_t *n);

typedef enum measures { MEASURES_METRIC, MEASURES_INCH } measures;

/* How a person reads it. Metric: "17.6 mm" (3 decimals at most, no trailing zeros), inch: nearest
 * 1/64 as "4 3/16 in", with "~" before it when that is not the exact value. No unit when
 * `bare`. */
const char *quant_show_length(arena *mem, rat mm, measures m, bool bare);
/* A worked-out length, rounded once: to 1/steps mm, or to the nearest 1/64 in. */
const char *quant_show_reckoned(arena *mem, double mm, int64_t steps, measures m);
/* Decimal: mm with 3 decimals at most, or inches with 4. For machines and tables. */
const char *quant_show_decimal(arena *mem, rat mm, measures m);
/* Any quantity, in the unit its dimension is usually read in (m3/h and Pa, or cfm and in.wg, …),
 * with 3 significant figures or more for large ones. */
const char *quant_show(arena *mem, quant q, measures m);
/* An SI value of a named dimension, same manner: quant_show(quant_from_si(...)). */
const char *quant_show_si(arena *mem, dim d, double si, measures m);
/* A mass in kg, as a person lifts it: three significant figures, whole ones above that. "?" when not finite. */
const char *quant_show_mass(arena *mem, double kg, measures m);
/* A plain number with `decimals` at most, trailing zeros dropped, "-0" never. */
const char *quant_show_number(arena *mem, double v, int decimals);
#endif
