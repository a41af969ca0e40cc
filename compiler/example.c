/* Examples in messages, in the measures of the plan. They are written once, in metric units. */
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "compiler/example.h"
#include "runtime/base/text.h"

/* What an inch plan writes for a metric unit; the figure is rounded. Lengths: handy_length(). */
static const char *const INSTEAD[][2] = {
	{"m", "ft"},	 {"m2", "ft2"},	      {"cm2", "in2"},	   {"m3", "ft3"},   {"l", "in3"},
	{"m3/h", "cfm"}, {"m/s", "ft/min"},   {"m/min", "ft/min"}, {"Pa", "in.wg"}, {"GPa", "psi"},
	{"kg", "lb"},	 {"kg/m2", "lb/ft2"}, {"kg/m3", "lb/ft3"}, {"kW", "hp"},    {"degC", "degF"},
};

/* To half of its first digit. */
static double handy(double v) {
	if (v == 0) return 0;
	double step = pow(10, floor(log10(fabs(v)))) / 2;
	return round(v / step) * step;
}

/* To the step in which a tape measure or a drill of that size is chosen; what is finer than that in thousandths. */
static const char *handy_length(arena *mem, double mm) {
	static const struct {
		double from_mm;
		rat step_in;
	} STEPS[] = {{400, {2, 1}}, {150, {1, 1}}, {40, {1, 2}},   {20, {1, 4}},
		     {5, {1, 8}},   {1, {1, 16}},  {0.19, {1, 64}}};
	for (size_t i = 0; i < sizeof STEPS / sizeof *STEPS; i++) {
		if (mm < STEPS[i].from_mm) continue;
		rat step = STEPS[i].step_in;
		int64_t n = llround(mm / 25.4 / rat_double(step));
		return quant_show_length(mem, rat_mul(rat_mul(step, rat_int(n ? n : 1)), (rat){127, 5}), MEASURES_INCH,
					 false);
	}
	if (mm == 0) return "0 in";
	return arena_printf(mem, "%s in", quant_show_number(mem, handy(mm / 25.4), 4));
}

static const char *in_inches(arena *mem, double v, const char *unit, size_t n) {
	const quant_unit *was = quant_unit_find(unit, n);
	if (n == 2 && memcmp(unit, "mm", 2) == 0) return handy_length(mem, v);
	for (size_t i = 0; was && i < sizeof INSTEAD / sizeof *INSTEAD; i++) {
		if (strlen(INSTEAD[i][0]) != n || memcmp(INSTEAD[i][0], unit, n) != 0) continue;
		const quant_unit *is = quant_unit_find(INSTEAD[i][1], strlen(INSTEAD[i][1]));
		double base = v * rat_double(was->factor) + rat_double(was->offset);
		double shown = handy((base - rat_double(is->offset)) / rat_double(is->factor));
		return arena_printf(mem, "%s %s", quant_show_number(mem, shown, 4), is->word);
	}
	return NULL;
}

const char *example_shown(const model *m, const char *metric) {
	if (m->measures != MEASURES_INCH) return metric;
	textbuf t = textbuf_begin(m->mem);
	bool quoted = false, in_word = false;
	for (const char *p = metric; *p;) {
		quoted = quoted != (*p == '"');
		if (quoted || in_word || !isdigit((unsigned char)*p)) {
			in_word = isalnum((unsigned char)*p) || *p == '_' || (in_word && *p == '.');
			textbuf_char(&t, *p++);
			continue;
		}
		char *end;
		double v = strtod(p, &end);
		const char *unit = *end == ' ' ? end + 1 : end;
		size_t n = strspn(unit, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/.%");
		const char *shown = n ? in_inches(m->mem, v, unit, n) : NULL;
		if (shown)
			textbuf_add(&t, shown);
		else
			textbuf_addn(&t, p, (size_t)(end - p));
		p = shown ? unit + n : end;
	}
	return t.v;
}
