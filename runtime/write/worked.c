/* Lines of a worked calculation: numbers with as many digits as their result asks for. */
#include "runtime/write/worked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runtime/base/text.h"

enum { RESULT_DIGITS = 4, MOST_DIGITS = 9 };

/* ---- the value of what is printed ----------------------------------------------------------------------------- */

typedef struct reader {
	const char *at;
	int depth;
	bool bad;
} reader;

enum { MOST_DEPTH = 60 };

static bool takes(reader *r, const char *word) {
	while (*r->at == ' ') r->at++;
	size_t n = strlen(word);
	if (strncmp(r->at, word, n) != 0) return false;
	r->at += n;
	return true;
}

static double sum(reader *r);

static double bracket(reader *r) {
	if (!takes(r, "(") || r->depth++ > MOST_DEPTH) {
		r->bad = true;
		return NAN;
	}
	double v = sum(r);
	r->depth--;
	if (!takes(r, ")")) r->bad = true;
	return v;
}

/* Digits and a point, as they are printed: no sign, no exponent. */
static double number(reader *r) {
	while (*r->at == ' ') r->at++;
	const char *from = r->at;
	double v = 0, place = 1;
	bool point = false;
	for (; (*r->at >= '0' && *r->at <= '9') || (*r->at == '.' && !point); r->at++) {
		if (*r->at == '.') {
			point = true;
			continue;
		}
		v = v * 10 + (*r->at - '0');
		if (point) place *= 10;
	}
	if (r->at == from) r->bad = true;
	return v / place;
}

static double atom(reader *r) {
	while (*r->at == ' ') r->at++;
	if (*r->at == '(') return bracket(r);
	if (takes(r, "√")) return sqrt(bracket(r));
	if (takes(r, "log")) return log10(bracket(r));
	if (takes(r, "ln")) return log(bracket(r));
	return number(r);
}

static double power(reader *r) {
	double v = atom(r);
	for (;;) {
		if (takes(r, "²"))
			v = v * v;
		else if (takes(r, "³"))
			v = v * v * v;
		else if (takes(r, "^"))
			v = pow(v, atom(r));
		else
			return v;
	}
}

static double signed_power(reader *r) { return takes(r, "-") ? -power(r) : power(r); }

static double product(reader *r) {
	double v = signed_power(r);
	for (;;) {
		if (takes(r, "×"))
			v *= signed_power(r);
		else if (takes(r, "/"))
			v /= signed_power(r);
		else
			return v;
	}
}

static double sum(reader *r) {
	double v = product(r);
	while (!r->bad) {
		if (takes(r, "+"))
			v += product(r);
		else if (takes(r, "-"))
			v -= product(r);
		else
			break;
	}
	return v;
}

double worked_value(const char *expression) {
	reader r = {.at = expression};
	double v = sum(&r);
	while (*r.at == ' ') r.at++;
	return r.bad || *r.at ? NAN : v;
}

/* ---- numbers ---------------------------------------------------------------------------------------------------- */

static int places(double v, int digits) {
	int before = v == 0 || !isfinite(v) ? 0 : (int)floor(log10(fabs(v)));
	int n = digits - 1 - before;
	return n < 0 ? 0 : n > 15 ? 15 : n;
}

const char *worked_digits(arena *mem, double v, int digits, bool keep_noughts) {
	if (!isfinite(v)) return "?";
	if (!keep_noughts) return quant_show_number(mem, v, places(v, digits));
	return arena_printf(mem, "%.*f", places(v, digits), v);
}

typedef struct conversion {
	const char *unit, *by, *to;
	double size;
} conversion;

static conversion conversion_of(worked_unit unit, measures ms) {
	static const conversion INCH[WORKED_UNIT_COUNT] = {
#define X(name, unit, by, to, size, by_metric, to_metric, size_metric) {unit, by, to, size},
		WORKED_UNITS(X)
#undef X
	};
	static const conversion METRIC[WORKED_UNIT_COUNT] = {
#define X(name, unit, by, to, size, by_metric, to_metric, size_metric) {unit, by_metric, to_metric, size_metric},
		WORKED_UNITS(X)
#undef X
	};
	return ms == MEASURES_INCH ? INCH[unit] : METRIC[unit];
}

/* A given value in the plan's measures, with what makes it SI. */
static void given(textbuf *t, const worked *w, char mark, double v, int digits) {
	static const char MARKS[] = "@$~&%";
	static const worked_unit UNIT[] = {WORKED_LENGTH, WORKED_AREA, WORKED_FLOW, WORKED_PRESSURE, WORKED_MASS};
	const char *which = strchr(MARKS, mark);
	conversion c = conversion_of(which ? UNIT[which - MARKS] : WORKED_NUMBER, w->ms);
	if (!which || !c.by) {
		textbuf_printf(t, v < 0 ? "(%s)" : "%s", worked_digits(w->mem, v, digits, false));
		return;
	}
	/* What a length is read in is given exactly where it can be: 32 mm, 2.25 in. */
	bool times = strncmp(c.by, "/ ", 2) == 0;
	const char *factor = c.by + strlen(times ? "/ " : "× ");
	textbuf_printf(t, "(%s %s %s)", worked_digits(w->mem, v / c.size, digits, false), times ? "×" : "/", factor);
}

static const char *filled(const worked *w, const char *numbers, const double *v, int digits) {
	textbuf t = textbuf_begin(w->mem);
	for (const char *p = numbers; *p; p++) {
		if (strchr("#@$~&%", *p))
			given(&t, w, *p, *v++, digits);
		else
			textbuf_char(&t, *p);
	}
	return t.v;
}

/* Fewest digits with which the expression gives the value to its last printed place; NULL when none do. */
static const char *fewest(const worked *w, const char *numbers, const double *v, double value, int shown) {
	double step = pow(10, -places(value, shown));
	for (int digits = RESULT_DIGITS; digits <= MOST_DIGITS; digits++) {
		const char *t = filled(w, numbers, v, digits);
		double off = fabs(worked_value(t) - value);
		if (off <= 0.3 * step) return t;
	}
	return NULL;
}

void worked_head(worked *w, const char *words) { LIST_PUSH(w->mem, &w->lines, ((worked_line){.what = words})); }

void worked_put(worked *w, const char *what, const char *formula, const char *numbers, const double *v,
		worked_unit unit, double value, const char *source) {
	if (!isfinite(value)) return;
	conversion c = conversion_of(unit, w->ms);
	const char *word = c.unit;
	if (unit == WORKED_PLAN_PRESSURE) word = w->ms == MEASURES_INCH ? "in.wg" : "Pa";
	worked_line line = {.what = what,
			    .formula = formula,
			    .numbers = fewest(w, numbers, v, value, RESULT_DIGITS),
			    .result = worked_digits(w->mem, value, RESULT_DIGITS, true),
			    .unit = word,
			    .source = source};
	/* What is only brought into SI need not be brought back. */
	if (c.by && numbers[1]) {
		double to = value / c.size;
		const char *left = fewest(w, arena_printf(w->mem, "# %s", c.by), &value, to, RESULT_DIGITS);
		if (left) {
			line.also =
				arena_printf(w->mem, "%s = %s", left, worked_digits(w->mem, to, RESULT_DIGITS, true));
			line.also_unit = c.to;
		}
	}
	LIST_PUSH(w->mem, &w->lines, line);
}
