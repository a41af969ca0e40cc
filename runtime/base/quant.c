#include "runtime/base/quant.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- units -------------------------------------------------------------------------------- */

/* Factors to base units (mm, kg, s, K, degree, money). Inch and pound are exact by definition
 * (25.4 mm; 0.45359237 kg). Inch of water gauge: 249.08891 Pa, the conventional value at 4 °C
 * (ISO 80000 lists 249.089 Pa); millimetre of water: 9.80665 Pa. hp: 745.69987158227022 W.
 * psi: a pound's weight, 4.4482216152605 N, on a square inch. */
static const quant_unit UNITS[] = {
	{"mm", {1, 0, 0, 0, 0, 0}, {1, 1}, {0, 1}},
	{"cm", {1, 0, 0, 0, 0, 0}, {10, 1}, {0, 1}},
	{"m", {1, 0, 0, 0, 0, 0}, {1000, 1}, {0, 1}},
	{"in", {1, 0, 0, 0, 0, 0}, {127, 5}, {0, 1}},
	{"ft", {1, 0, 0, 0, 0, 0}, {1524, 5}, {0, 1}},
	{"um", {1, 0, 0, 0, 0, 0}, {1, 1000}, {0, 1}},
	{"mm2", {2, 0, 0, 0, 0, 0}, {1, 1}, {0, 1}},
	{"cm2", {2, 0, 0, 0, 0, 0}, {100, 1}, {0, 1}},
	{"m2", {2, 0, 0, 0, 0, 0}, {1000000, 1}, {0, 1}},
	{"in2", {2, 0, 0, 0, 0, 0}, {16129, 25}, {0, 1}},
	{"ft2", {2, 0, 0, 0, 0, 0}, {2322576, 25}, {0, 1}},
	{"mm3", {3, 0, 0, 0, 0, 0}, {1, 1}, {0, 1}},
	{"cm3", {3, 0, 0, 0, 0, 0}, {1000, 1}, {0, 1}},
	{"l", {3, 0, 0, 0, 0, 0}, {1000000, 1}, {0, 1}},
	{"m3", {3, 0, 0, 0, 0, 0}, {1000000000, 1}, {0, 1}},
	{"in3", {3, 0, 0, 0, 0, 0}, {2048383, 125}, {0, 1}},
	{"ft3", {3, 0, 0, 0, 0, 0}, {3539605824, 125}, {0, 1}},
	{"m3/s", {3, 0, -1, 0, 0, 0}, {1000000000, 1}, {0, 1}},
	{"m3/min", {3, 0, -1, 0, 0, 0}, {50000000, 3}, {0, 1}},
	{"m3/h", {3, 0, -1, 0, 0, 0}, {2500000, 9}, {0, 1}},
	{"l/s", {3, 0, -1, 0, 0, 0}, {1000000, 1}, {0, 1}},
	{"cfm", {3, 0, -1, 0, 0, 0}, {294967152, 625}, {0, 1}},
	{"ft3/min", {3, 0, -1, 0, 0, 0}, {294967152, 625}, {0, 1}},
	{"m/s", {1, 0, -1, 0, 0, 0}, {1000, 1}, {0, 1}},
	{"m/min", {1, 0, -1, 0, 0, 0}, {50, 3}, {0, 1}},
	{"mm/s", {1, 0, -1, 0, 0, 0}, {1, 1}, {0, 1}},
	{"mm/min", {1, 0, -1, 0, 0, 0}, {1, 60}, {0, 1}},
	{"ft/min", {1, 0, -1, 0, 0, 0}, {127, 25}, {0, 1}},
	{"ft/s", {1, 0, -1, 0, 0, 0}, {1524, 5}, {0, 1}},
	{"in/min", {1, 0, -1, 0, 0, 0}, {127, 300}, {0, 1}},
	{"cfm/ft2", {1, 0, -1, 0, 0, 0}, {127, 25}, {0, 1}},
	{"Pa", {-1, 1, -2, 0, 0, 0}, {1, 1000}, {0, 1}},
	{"kPa", {-1, 1, -2, 0, 0, 0}, {1, 1}, {0, 1}},
	{"MPa", {-1, 1, -2, 0, 0, 0}, {1000, 1}, {0, 1}},
	{"GPa", {-1, 1, -2, 0, 0, 0}, {1000000, 1}, {0, 1}},
	{"psi", {-1, 1, -2, 0, 0, 0}, {8896443230521, 1290320000000}, {0, 1}},
	{"in.wg", {-1, 1, -2, 0, 0, 0}, {24908891, 100000000}, {0, 1}},
	{"mm.wg", {-1, 1, -2, 0, 0, 0}, {196133, 20000000}, {0, 1}},
	{"g", {0, 1, 0, 0, 0, 0}, {1, 1000}, {0, 1}},
	{"kg", {0, 1, 0, 0, 0, 0}, {1, 1}, {0, 1}},
	{"lb", {0, 1, 0, 0, 0, 0}, {45359237, 100000000}, {0, 1}},
	{"oz", {0, 1, 0, 0, 0, 0}, {45359237, 1600000000}, {0, 1}},
	{"kg/m3", {-3, 1, 0, 0, 0, 0}, {1, 1000000000}, {0, 1}},
	{"g/m3", {-3, 1, 0, 0, 0, 0}, {1, 1000000000000}, {0, 1}},
	{"lb/ft3", {-3, 1, 0, 0, 0, 0}, {45359237, 2831684659200000}, {0, 1}},
	{"kg/m2", {-2, 1, 0, 0, 0, 0}, {1, 1000000}, {0, 1}},
	{"lb/ft2", {-2, 1, 0, 0, 0, 0}, {45359237, 9290304000000}, {0, 1}},
	{"g/m2", {-2, 1, 0, 0, 0, 0}, {1, 1000000000}, {0, 1}},
	{"s", {0, 0, 1, 0, 0, 0}, {1, 1}, {0, 1}},
	{"min", {0, 0, 1, 0, 0, 0}, {60, 1}, {0, 1}},
	{"h", {0, 0, 1, 0, 0, 0}, {3600, 1}, {0, 1}},
	{"day", {0, 0, 1, 0, 0, 0}, {86400, 1}, {0, 1}},
	{"rpm", {0, 0, -1, 0, 0, 0}, {1, 60}, {0, 1}},
	{"per_h", {0, 0, -1, 0, 0, 0}, {1, 3600}, {0, 1}},
	{"g/h", {0, 1, -1, 0, 0, 0}, {1, 3600000}, {0, 1}},
	{"kg/h", {0, 1, -1, 0, 0, 0}, {1, 3600}, {0, 1}},
	{"W", {2, 1, -3, 0, 0, 0}, {1000000, 1}, {0, 1}},
	{"kW", {2, 1, -3, 0, 0, 0}, {1000000000, 1}, {0, 1}},
	{"hp", {2, 1, -3, 0, 0, 0}, {74569987158227, 100000}, {0, 1}},
	{"degC", {0, 0, 0, 1, 0, 0}, {1, 1}, {5463, 20}},
	{"degF", {0, 0, 0, 1, 0, 0}, {5, 9}, {45967, 180}},
	{"deg", {0, 0, 0, 0, 1, 0}, {1, 1}, {0, 1}},
	{"%", {0, 0, 0, 0, 0, 0}, {1, 100}, {0, 1}},
	{"Pa.s/m", {-2, 1, -1, 0, 0, 0}, {1, 1000000}, {0, 1}},
	{"Pa.s2/m2", {-3, 1, 0, 0, 0, 0}, {1, 1000000000}, {0, 1}},
	{"Pa.s.m/kg", {0, 0, -1, 0, 0, 0}, {1, 1}, {0, 1}},
};

const quant_unit *quant_units(size_t *n) {
	*n = sizeof UNITS / sizeof *UNITS;
	return UNITS;
}

const quant_unit *quant_unit_find(const char *word, size_t n) {
	for (size_t i = 0; i < sizeof UNITS / sizeof *UNITS; i++)
		if (strlen(UNITS[i].word) == n && memcmp(UNITS[i].word, word, n) == 0) return &UNITS[i];
	return NULL;
}

/* ---- dimensions ---------------------------------------------------------------------------- */

static void add_power(char *out, size_t room, const char *unit, int power) {
	size_t n = strlen(out);
	if (power == 0) return;
	if (power == 1)
		snprintf(out + n, room - n, " %s", unit);
	else
		snprintf(out + n, room - n, " %s^%d", unit, power);
}

const char *dim_spoken(arena *mem, dim d) {
#define X(name, spoken, l, m, t, k, a, c)                                                                              \
	if (dim_same(d, DIM_##name)) return spoken;
	QUANT_DIMS(X)
#undef X
	char units[96] = "";
	add_power(units, sizeof units, "mm", d.length);
	add_power(units, sizeof units, "kg", d.mass);
	add_power(units, sizeof units, "s", d.time);
	add_power(units, sizeof units, "K", d.temp);
	add_power(units, sizeof units, "deg", d.angle);
	add_power(units, sizeof units, "money", d.money);
	return arena_printf(mem, "a quantity in%s", units);
}

/* A power beyond what the field holds stays at its end: it must never come round to another dimension. */
static int8_t power_sum(int a, int b) {
	int sum = a + b;
	return (int8_t)(sum > INT8_MAX ? INT8_MAX : sum < -INT8_MAX ? -INT8_MAX : sum);
}

static dim dim_combine(dim a, dim b, int sign) {
	dim r = {power_sum(a.length, sign * b.length), power_sum(a.mass, sign * b.mass),
		 power_sum(a.time, sign * b.time),     power_sum(a.temp, sign * b.temp),
		 power_sum(a.angle, sign * b.angle),   power_sum(a.money, sign * b.money)};
	return r;
}

/* ---- arithmetic ---------------------------------------------------------------------------- */

quant quant_exact(dim d, rat r) {
	quant q = {.dim = d, .r = r, .d = rat_double(r)};
	return q;
}

quant quant_number(rat r) { return quant_exact(DIM_NUMBER, r); }
quant quant_length(rat mm) { return quant_exact(DIM_LENGTH, mm); }

quant quant_inexact(dim d, double base) {
	quant q = {.dim = d, .r = rat_poison(), .d = base};
	return q;
}

quant quant_from_si(dim d, double si) { return quant_inexact(d, si * pow(1000.0, d.length)); }
double quant_si(quant q) { return q.d / pow(1000.0, q.dim.length); }

/* The exact result where there is one; else the double, except for a length whose parts were exact. */
static quant settle(dim d, rat r, double v, bool parts_exact) {
	if (rat_ok(r)) return quant_exact(d, r);
	if (dim_same(d, DIM_LENGTH) && parts_exact) return quant_inexact(d, (double)NAN);
	return quant_inexact(d, v);
}

quant quant_add(quant a, quant b) {
	return settle(a.dim, rat_add(a.r, b.r), a.d + b.d, quant_is_exact(a) && quant_is_exact(b));
}

quant quant_sub(quant a, quant b) { return quant_add(a, quant_neg(b)); }

quant quant_neg(quant a) {
	quant q = {.dim = a.dim, .r = rat_ok(a.r) ? rat_neg(a.r) : rat_poison(), .d = -a.d};
	return q;
}

quant quant_mul(quant a, quant b) {
	return settle(dim_combine(a.dim, b.dim, 1), rat_mul(a.r, b.r), a.d * b.d,
		      quant_is_exact(a) && quant_is_exact(b));
}

quant quant_div(quant a, quant b) {
	return settle(dim_combine(a.dim, b.dim, -1), rat_div(a.r, b.r), a.d / b.d,
		      quant_is_exact(a) && quant_is_exact(b));
}

int quant_cmp(quant a, quant b) {
	if (quant_is_exact(a) && quant_is_exact(b)) return rat_cmp(a.r, b.r);
	return a.d < b.d ? -1 : a.d > b.d;
}

/* ---- showing ------------------------------------------------------------------------------- */

static void drop_trailing_zeros(char *t) {
	if (!strchr(t, '.')) return;
	size_t n = strlen(t);
	while (n > 0 && t[n - 1] == '0') t[--n] = '\0';
	if (n > 0 && t[n - 1] == '.') t[--n] = '\0';
}

const char *quant_show_number(arena *mem, double v, int decimals) {
	if (!isfinite(v)) return "?";
	if (fabs(v) >= 1e15) return arena_printf(mem, "%.15g", v);
	char *t = arena_printf(mem, "%.*f", decimals, v);
	drop_trailing_zeros(t);
	return strcmp(t, "-0") == 0 ? "0" : t;
}

/* To `decimals` places; the whole part never passes through a double. */
static const char *show_rat(arena *mem, rat a, int decimals) {
	int64_t scale = 1;
	for (int i = 0; i < decimals; i++) scale *= 10;
	rat size = rat_abs(a);
	int64_t whole = rat_floor(size);
	rat part = rat_round(rat_sub(size, rat_int(whole)), scale); /* 0 to 1: always fits */
	int64_t digits = part.num * (scale / part.den);
	if (digits == scale) {
		whole++;
		digits = 0;
	}
	bool minus = a.num < 0 && (whole || digits);
	char *t = arena_printf(mem, "%s%" PRId64 ".%0*" PRId64, minus ? "-" : "", whole, decimals, digits);
	drop_trailing_zeros(t);
	return t;
}

const char *quant_show_decimal(arena *mem, rat mm, measures m) {
	if (!rat_ok(mm)) return "?";
	if (m == MEASURES_METRIC) return show_rat(mem, mm, 3);
	return show_rat(mem, rat_mul(mm, (rat){5, 127}), 4);
}

const char *quant_show_length(arena *mem, rat mm, measures m, bool bare) {
	if (!rat_ok(mm)) return "?";
	const char *unit = bare ? "" : m == MEASURES_METRIC ? " mm" : " in";
	if (m == MEASURES_METRIC) return arena_printf(mem, "%s%s", show_rat(mem, mm, 3), unit);
	rat in = rat_mul(mm, (rat){5, 127});
	rat near = rat_round(in, 64);
	if (!rat_ok(near)) return arena_printf(mem, "%s%s", quant_show_number(mem, rat_double(mm) / 25.4, 4), unit);
	const char *about = rat_eq(near, in) ? "" : "~";
	const char *sign = near.num < 0 ? "-" : "";
	rat size = rat_abs(near);
	int64_t whole = size.num / size.den, rest = size.num % size.den;
	if (rest == 0) return arena_printf(mem, "%s%s%lld%s", about, sign, (long long)whole, unit);
	if (whole == 0)
		return arena_printf(mem, "%s%s%lld/%lld%s", about, sign, (long long)rest, (long long)size.den, unit);
	return arena_printf(mem, "%s%s%lld %lld/%lld%s", about, sign, (long long)whole, (long long)rest,
			    (long long)size.den, unit);
}

const char *quant_show_reckoned(arena *mem, double mm, int64_t steps, measures m) {
	const int64_t fine = 1000000; /* far below what is shown */
	return quant_show_length(mem, rat_from_double(mm, m == MEASURES_INCH ? fine : steps), m, false);
}

typedef struct reading {
	dim dim;
	const char *unit[2]; /* metric, inch: words shown */
	double si_per_unit[2];
	double offset_si[2];
	int decimals[2];
	double from_si[2]; /* of this size on; what is smaller takes a later row of its dimension */
} reading;

/* The large unit of a dimension first. */
static const reading READINGS[] = {
	{{2, 0, 0, 0, 0, 0}, {"m²", "ft²"}, {1, 0.09290304}, {0, 0}, {4, 3}, {0.01, 0.09290304}},
	{{2, 0, 0, 0, 0, 0}, {"cm²", "in²"}, {1e-4, 0.00064516}, {0, 0}, {1, 1}, {0, 0}},
	{{3, 0, 0, 0, 0, 0}, {"m³", "ft³"}, {1, 0.028316846592}, {0, 0}, {1, 0}, {1, 0.0028316846592}},
	{{3, 0, 0, 0, 0, 0}, {"l", "in³"}, {1e-3, 1.6387064e-5}, {0, 0}, {1, 1}, {1e-3, 0}},
	{{3, 0, 0, 0, 0, 0}, {"cm³", "in³"}, {1e-6, 1.6387064e-5}, {0, 0}, {1, 1}, {0, 0}},
	{{3, 0, -1, 0, 0, 0}, {"m³/h", "cfm"}, {1.0 / 3600, 0.028316846592 / 60}, {0, 0}, {0, 0}, {0, 0}},
	{{1, 0, -1, 0, 0, 0}, {"m/s", "ft/min"}, {1, 0.00508}, {0, 0}, {2, 0}, {0, 0}},
	{{-1, 1, -2, 0, 0, 0}, {"Pa", "in.wg"}, {1, 249.08891}, {0, 0}, {0, 2}, {0, 0}},
	{{0, 1, 0, 0, 0, 0}, {"kg", "lb"}, {1, 0.45359237}, {0, 0}, {2, 1}, {0.1, 0.45359237}},
	{{0, 1, 0, 0, 0, 0}, {"g", "oz"}, {1e-3, 0.45359237 / 16}, {0, 0}, {1, 1}, {0, 0}},
	{{-3, 1, 0, 0, 0, 0}, {"kg/m³", "lb/ft³"}, {1, 16.018463373960142}, {0, 0}, {3, 4}, {0, 0}},
	{{-2, 1, 0, 0, 0, 0}, {"kg/m²", "lb/ft²"}, {1, 4.88242763638305}, {0, 0}, {3, 3}, {0, 0}},
	{{2, 1, -3, 0, 0, 0}, {"kW", "hp"}, {1000, 745.69987158227022}, {0, 0}, {2, 2}, {1000, 0}},
	{{2, 1, -3, 0, 0, 0}, {"W", "hp"}, {1, 745.69987158227022}, {0, 0}, {0, 2}, {0, 0}},
	{{0, 0, 0, 1, 0, 0}, {"°C", "°F"}, {1, 5.0 / 9}, {273.15, 459.67 * 5 / 9}, {1, 1}, {0, 0}},
	{{0, 0, 0, 0, 1, 0}, {"°", "°"}, {1, 1}, {0, 0}, {3, 3}, {0, 0}},
	{{0, 0, 0, 0, 0, 1}, {"", ""}, {1, 1}, {0, 0}, {2, 2}, {0, 0}},
	{{-2, 1, -1, 0, 0, 0}, {"Pa·s/m", "Pa·s/m"}, {1, 1}, {0, 0}, {0, 0}, {0, 0}},
	{{0, 1, -1, 0, 0, 0}, {"kg/h", "lb/h"}, {1.0 / 3600, 0.45359237 / 3600}, {0, 0}, {3, 3}, {1.0 / 3600, 0}},
	{{0, 1, -1, 0, 0, 0}, {"g/h", "lb/h"}, {1e-3 / 3600, 0.45359237 / 3600}, {0, 0}, {1, 3}, {0, 0}},
	/* Of one dimension are how fast a shaft turns, how often a room's air changes, and a dust cake's drag. */
	{{0, 0, -1, 0, 0, 0}, {"Pa·s·m/kg", "Pa·s·m/kg"}, {1, 1}, {0, 0}, {0, 0}, {1000, 1000}},
	{{0, 0, -1, 0, 0, 0}, {"rpm", "rpm"}, {1.0 / 60, 1.0 / 60}, {0, 0}, {0, 0}, {0.1, 0.1}},
	{{0, 0, -1, 0, 0, 0}, {"per h", "per h"}, {1.0 / 3600, 1.0 / 3600}, {0, 0}, {1, 1}, {0, 0}},
};

static const char *show_time(arena *mem, double s) {
	double size = fabs(s);
	if (size < 60) return arena_printf(mem, "%s s", quant_show_number(mem, s, 0));
	if (size < 2 * 3600) return arena_printf(mem, "%s min", quant_show_number(mem, s / 60, 0));
	return arena_printf(mem, "%s h", quant_show_number(mem, s / 3600, 1));
}

/* Pressures a thousand times those of the air are stresses and moduli. */
static const char *show_stress(arena *mem, double pa, measures m) {
	bool inch = m == MEASURES_INCH, giga = !inch && fabs(pa) >= 1e9;
	double v = pa / (inch ? 6894.757293168361 : giga ? 1e9 : 1e6);
	int decimals = inch ? 0 : fabs(v) < 10 ? 2 : 1;
	return arena_printf(mem, "%s %s", quant_show_number(mem, v, decimals), inch ? "psi" : giga ? "GPa" : "MPa");
}

const char *quant_show(arena *mem, quant q, measures m) {
	if (dim_same(q.dim, DIM_LENGTH)) {
		rat mm = rat_ok(q.r) ? q.r : rat_from_double(q.d, 1000);
		return quant_show_length(mem, mm, m, false);
	}
	double si = quant_si(q);
	if (!isfinite(si)) return "?";
	if (dim_same(q.dim, DIM_TIME)) return show_time(mem, si);
	if (dim_same(q.dim, DIM_PRESSURE) && fabs(si) >= 1e6) return show_stress(mem, si, m);
	int system = m == MEASURES_INCH;
	for (size_t i = 0; i < sizeof READINGS / sizeof *READINGS; i++) {
		const reading *r = &READINGS[i];
		/* Nothing at all has no size: it takes the large unit. */
		if (!dim_same(r->dim, q.dim) || (si != 0 && fabs(si) < r->from_si[system] * (1 - 1e-12))) continue;
		double v = (si - r->offset_si[system]) / r->si_per_unit[system];
		int decimals = r->decimals[system];
		/* Small values keep three significant figures. */
		for (double size = fabs(v); size > 0 && size < 100 && decimals < 6 && size * pow(10, decimals) < 99.5;)
			decimals++;
		const char *gap = r->unit[system][0] == '\0' || strcmp(r->unit[system], "°") == 0 ? "" : " ";
		return arena_printf(mem, "%s%s%s", quant_show_number(mem, v, decimals), gap, r->unit[system]);
	}
	if (dim_same(q.dim, DIM_NUMBER)) return quant_show_number(mem, si, 4);
	return arena_printf(mem, "%s (SI)", quant_show_number(mem, si, 4));
}

const char *quant_show_mass(arena *mem, double kg, measures m) {
	if (!isfinite(kg)) return "?";
	double unit = m == MEASURES_INCH ? 0.45359237 : 1, v = kg / unit;
	int decimals = fabs(v) < 9.995 ? 2 : fabs(v) < 99.95 ? 1 : 0;
	return arena_printf(mem, "%s %s", quant_show_number(mem, v, decimals), m == MEASURES_INCH ? "lb" : "kg");
}

const char *quant_show_si(arena *mem, dim d, double si, measures m) { return quant_show(mem, quant_from_si(d, si), m); }
