/* Numbers and their units: 3/16, 3:1, 4 3/16 in, 2 ft 6 1/2 in, 0.5 m/s, 20 degC. */
#include <string.h>

#include "grammar/lexer.h"
#include "runtime/base/text.h"

/* ---- the word behind a number ----------------------------------------------------------------- */

/* Words that follow a value in one argument list (rect a x 2 corner r, hinge75 count 3) and so are neither
 * unit nor fault behind a bare number. */
static const char *const FOLLOWERS[] = {"along", "corner", "count", "width", "depth", "height"};

/* How else units get written, part by part. */
static const struct alias {
	const char *written, *unit;
} ALIASES[] = {
	{"feet", "ft"},	       {"foot", "ft"},	      {"inch", "in"},	     {"inches", "in"},	 {"ins", "in"},
	{"metre", "m"},	       {"metres", "m"},	      {"meter", "m"},	     {"meters", "m"},	 {"millimetre", "mm"},
	{"millimetres", "mm"}, {"millimeter", "mm"},  {"millimeters", "mm"}, {"mms", "mm"},	 {"centimetre", "cm"},
	{"centimeter", "cm"},  {"centimetres", "cm"}, {"centimeters", "cm"}, {"micron", "um"},	 {"microns", "um"},
	{"sec", "s"},	       {"secs", "s"},	      {"second", "s"},	     {"seconds", "s"},	 {"mins", "min"},
	{"minute", "min"},     {"minutes", "min"},    {"hr", "h"},	     {"hrs", "h"},	 {"hour", "h"},
	{"hours", "h"},	       {"days", "day"},	      {"d", "day"},	     {"lbs", "lb"},	 {"pound", "lb"},
	{"pounds", "lb"},      {"ounce", "oz"},	      {"ounces", "oz"},	     {"kilo", "kg"},	 {"kilos", "kg"},
	{"kgs", "kg"},	       {"gram", "g"},	      {"grams", "g"},	     {"litre", "l"},	 {"litres", "l"},
	{"liter", "l"},	       {"liters", "l"},	      {"ltr", "l"},	     {"sqm", "m2"},	 {"sqft", "ft2"},
	{"cbm", "m3"},	       {"fpm", "ft/min"},     {"mps", "m/s"},	     {"cmh", "m3/h"},	 {"lps", "l/s"},
	{"wg", "in.wg"},       {"inwg", "in.wg"},     {"inH2O", "in.wg"},    {"mmH2O", "mm.wg"}, {"pascal", "Pa"},
	{"pascals", "Pa"},     {"watt", "W"},	      {"watts", "W"},	     {"C", "degC"},	 {"F", "degF"},
	{"degree", "deg"},     {"degrees", "deg"},    {"percent", "%"},	     {"ach", "per_h"},	 {"rev", "rpm"},
	{"cf", "ft3"},	       {"cuft", "ft3"},	      {"cft", "ft3"},	     {"sf", "ft2"},	 {"cc", "cm3"},
	{"gm", "g"},	       {"gr", "g"},	      {"yd", "ft"},	     {"CFM", "cfm"},
};
enum { N_ALIASES = sizeof ALIASES / sizeof *ALIASES };

/* Letters of other alphabets in units. */
static const struct alias LETTERS[] = {
	{"\xC2\xB2", "2"},	{"\xC2\xB3", "3"},	{"\xC2\xB5", "u"},	{"\xCE\xBC", "u"},
	{"\xC2\xB0", "deg"},	{"\xC2\xB7", "."},	{"\xE2\x80\xB3", "in"}, {"\xE2\x80\x9D", "in"},
	{"\xE2\x80\xB2", "ft"}, {"\xE2\x80\x99", "ft"},
};
enum { N_LETTERS = sizeof LETTERS / sizeof *LETTERS };

static const quant_unit *unit_of(const char *word) { return quant_unit_find(word, strlen(word)); }

static const char *plain_letters(arena *mem, const char *word, size_t n) {
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; i < n;) {
		size_t k = 0;
		while (k < N_LETTERS && (n - i < strlen(LETTERS[k].written) ||
					 memcmp(word + i, LETTERS[k].written, strlen(LETTERS[k].written)) != 0))
			k++;
		if (k < N_LETTERS) {
			textbuf_add(&t, LETTERS[k].unit);
			i += strlen(LETTERS[k].written);
		} else {
			textbuf_char(&t, word[i++]);
		}
	}
	return t.v;
}

static const char *part_as_unit(arena *mem, const char *part, size_t n) {
	if (quant_unit_find(part, n)) return arena_textn(mem, part, n);
	for (size_t i = 0; i < N_ALIASES; i++)
		if (strlen(ALIASES[i].written) == n && memcmp(ALIASES[i].written, part, n) == 0) return ALIASES[i].unit;
	return NULL;
}

static char lower(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

static const char *other_case(const char *word) {
	size_t n;
	const quant_unit *u = quant_units(&n);
	for (size_t i = 0; i < n; i++) {
		size_t k = 0;
		while (word[k] && lower(word[k]) == lower(u[i].word[k])) k++;
		if (!word[k] && !u[i].word[k]) return u[i].word;
	}
	return NULL;
}

/* The unit a word most likely means: other letters, other case, other names of its parts; NULL. */
static const char *meant(arena *mem, const char *word, size_t n) {
	const char *w = plain_letters(mem, word, n);
	if (unit_of(w)) return w;
	const char *o = other_case(w);
	if (o) return o;
	textbuf t = textbuf_begin(mem);
	for (size_t i = 0; w[i];) {
		size_t k = strcspn(w + i, "./");
		const char *p = part_as_unit(mem, w + i, k);
		if (!p) return NULL;
		textbuf_add(&t, p);
		i += k;
		if (w[i]) textbuf_char(&t, w[i++]);
	}
	return unit_of(t.v) ? t.v : NULL;
}

static const char *near_unit(arena *mem, const char *word) {
	size_t n, wrong;
	const quant_unit *u = quant_units(&n);
	/* One letter struck wrong behind a right first one is likelier than one left out: `mn` is mm, not min. */
	for (size_t i = 0; i < n; i++) {
		if (strlen(u[i].word) != strlen(word) || u[i].word[0] != word[0]) continue;
		wrong = 0;
		for (size_t k = 1; word[k]; k++) wrong += word[k] != u[i].word[k];
		if (wrong == 1) return u[i].word;
	}
	const char **words = ARENA_MANY(mem, const char *, n);
	for (size_t i = 0; i < n; i++) words[i] = u[i].word;
	return text_nearest(word, words, n);
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

static bool looks_like_x(const char *word, size_t n) {
	for (size_t i = 1; i + 1 < n; i++)
		if (word[i] == 'x' && is_digit(word[i + 1]) && quant_unit_find(word, i)) return true;
	return false;
}

static size_t unknown_unit(grammar_lexer *lx, const char *word, size_t n, raw_kind *kind) {
	const char *w = arena_textn(lx->mem, word, n);
	diag *g = grammar_fault(lx, "plan-unit", grammar_span(lx, lx->start, lx->start + n), "unknown unit `%s`", w);
	const char *m = meant(lx->mem, word, n);
	if (!m) m = near_unit(lx->mem, w);
	if (looks_like_x(word, n))
		diag_add_help(lx->diags, g, "put blanks around the `x`");
	else if (word[0] == 'e' && n > 1 && is_digit(word[1]))
		diag_add_help(lx->diags, g, "numbers are written out, without an exponent");
	else if (m)
		diag_add_help(lx->diags, g, "did you mean `%s`?", m);
	else if (word[0] == '_')
		diag_add_help(lx->diags, g, "the digits of a number stand together");
	else
		diag_add_help(lx->diags, g, "behind a number stands its unit; to multiply, write `*` between them");
	*kind = RAW_BAD_UNIT;
	return n;
}

/* `in` behind a number is the inch, but not in `about w / 2 in width`. */
static bool in_an_axis(const grammar_lexer *lx) {
	static const char *const axes[] = {"width", "depth", "height"};
	const char *p = lx->text + lx->start + 2, *blank = p;
	while (*p == ' ' || *p == '\t') p++;
	if (p == blank) return false;
	for (size_t i = 0; i < 3; i++) {
		size_t n = strlen(axes[i]);
		if (strncmp(p, axes[i], n) != 0) continue;
		char c = lower(p[n]);
		return !((c >= 'a' && c <= 'z') || is_digit(c) || c == '_' || c == '.');
	}
	return false;
}

size_t grammar_unit(grammar_lexer *lx, const char *word, size_t n, raw_kind *kind) {
	*kind = RAW_UNIT;
	if (n == 2 && memcmp(word, "in", 2) == 0 && in_an_axis(lx)) return 0;
	if (quant_unit_find(word, n)) return n;
	size_t high = 0;
	while (high < n && (unsigned char)word[high] < 0x80) high++;
	if (high < n) {
		const char *plain = plain_letters(lx->mem, word, n);
		if (unit_of(plain) || meant(lx->mem, word, n)) return unknown_unit(lx, word, n, kind);
		if (high == 0) return 0;
		return grammar_unit(lx, word, high, kind);
	}
	/* mm/count: the longest part that is a unit, unless all of its parts are units: then it was meant as one. */
	for (size_t k = n; k-- > 1;) {
		if ((word[k] != '/' && word[k] != '.') || !quant_unit_find(word, k)) continue;
		if (meant(lx->mem, word, n)) return unknown_unit(lx, word, n, kind);
		if (!part_as_unit(lx->mem, word + k + 1, n - k - 1)) return k;
		diag *g = grammar_fault(lx, "plan-unit", grammar_span(lx, lx->start, lx->start + n),
					"unknown unit `%.*s`", (int)n, word);
		diag_add_help(lx->diags, g, "to divide by a value named `%.*s`, put blanks around the `/`",
			      (int)(n - k - 1), word + k + 1);
		*kind = RAW_BAD_UNIT;
		return n;
	}
	size_t first = 0;
	while (first < n && word[first] != '.' && word[first] != '/') first++;
	if (grammar_is_link(word, first) || grammar_choice(word, first)) return 0;
	if (first > 1 && word[0] == 'x' && is_digit(word[1])) {
		*kind = RAW_SIGN;
		return 1;
	}
	for (size_t i = 0; i < sizeof FOLLOWERS / sizeof *FOLLOWERS; i++)
		if (strlen(FOLLOWERS[i]) == n && memcmp(FOLLOWERS[i], word, n) == 0) return 0;
	return unknown_unit(lx, word, n, kind);
}

/* ---- values ------------------------------------------------------------------------------------ */

/* 12, 1.5 (or 1,5, reported already): poison when it does not fit. */
static rat decimal(const char *p, const char *end) {
	rat r = rat_int(0), place = rat_int(1);
	while (p < end && is_digit(*p)) r = rat_add(rat_mul(r, rat_int(10)), rat_int(*p++ - '0'));
	if (p++ >= end) return r;
	while (end > p && end[-1] == '0') end--;
	while (p < end) {
		place = rat_div(place, rat_int(10));
		r = rat_add(r, rat_mul(place, rat_int(*p++ - '0')));
	}
	return r;
}

/* The sign of division in 3/16 or 3:1; NULL: none. */
static const char *divided(const char *p, const char *end) {
	while (p < end && *p != '/' && *p != ':') p++;
	return p < end ? p : NULL;
}

/* Poison, too, when it is divided by zero. */
static rat value_of(const grammar_lexer *lx, span at) {
	const char *p = lx->text + at.start, *end = lx->text + at.end, *sign = divided(p, end);
	return sign ? rat_div(decimal(p, sign), decimal(sign + 1, end)) : decimal(p, end);
}

/* One number with what belongs to it. */
typedef struct number {
	rat r;
	span at;
	bool ok;		/* false: was reported */
	const quant_unit *unit; /* NULL: none */
	bool whole;		/* an integer, as the feet of 2 ft 6 in */
} number;

static bool zero_below(const grammar_lexer *lx, span at) {
	const char *end = lx->text + at.end, *sign = divided(lx->text + at.start, end);
	return sign && rat_sign(decimal(sign + 1, end)) == 0;
}

static void does_not_fit(grammar_lexer *lx, span at) {
	diag *g = grammar_fault(lx, "plan-number", at, "this number does not fit");
	diag_add_help(lx->diags, g, "a number has at most 18 digits, those behind the point counted");
}

static void check(grammar_lexer *lx, number *n, span part) {
	if (!n->ok || rat_ok(n->r)) return;
	n->ok = false;
	if (zero_below(lx, part))
		grammar_fault(lx, "plan-number", part, "this fraction divides by zero");
	else
		does_not_fit(lx, n->at);
}

static number take_number(grammar_lexer *lx, grammar_raw first) {
	number n = {.r = value_of(lx, first.at), .at = first.at, .ok = first.kind != RAW_BAD};
	n.whole = first.kind == RAW_INT;
	check(lx, &n, first.at);
	grammar_raw next = *grammar_ahead(lx, 0);
	if (next.kind == RAW_MIXED) {
		n.at = span_join(n.at, next.at);
		n.whole = false;
		if (n.ok) n.r = rat_add(n.r, value_of(lx, next.at));
		check(lx, &n, next.at);
		grammar_drop(lx, 1);
		next = *grammar_ahead(lx, 0);
	}
	if (next.kind == RAW_UNIT || next.kind == RAW_BAD_UNIT) {
		n.at = span_join(n.at, next.at);
		if (next.kind == RAW_UNIT)
			n.unit = quant_unit_find(lx->text + next.at.start, next.at.end - next.at.start);
		else
			n.ok = false;
		grammar_drop(lx, 1);
	}
	return n;
}

static bool unit_is(const grammar_lexer *lx, const grammar_raw *raw, const char *word) {
	size_t n = strlen(word);
	return raw->kind == RAW_UNIT && raw->at.end - raw->at.start == n &&
	       memcmp(lx->text + raw->at.start, word, n) == 0;
}

/* Whether `6 in` or `6 1/2 in` comes next. */
static bool inches_ahead(grammar_lexer *lx) {
	raw_kind k = grammar_ahead(lx, 0)->kind;
	if (k != RAW_INT && k != RAW_DECIMAL && k != RAW_FRACTION) return false;
	size_t unit = grammar_ahead(lx, 1)->kind == RAW_MIXED ? 2 : 1;
	return unit_is(lx, grammar_ahead(lx, unit), "in");
}

static quant with_unit(const number *n) {
	if (!n->unit) return quant_number(n->r);
	rat r = rat_add(rat_mul(n->r, n->unit->factor), n->unit->offset);
	if (rat_ok(r)) return quant_exact(n->unit->dim, r);
	return quant_inexact(n->unit->dim,
			     rat_double(n->r) * rat_double(n->unit->factor) + rat_double(n->unit->offset));
}

static bool must_be_exact(quant q) { return dim_same(q.dim, DIM_LENGTH) || dim_same(q.dim, DIM_NUMBER); }

bool grammar_quantity(grammar_lexer *lx, grammar_raw first, quant *value, span *at) {
	number n = take_number(lx, first);
	*at = n.at;
	*value = quant_number(rat_int(0));
	if (n.ok) *value = with_unit(&n);
	bool feet = n.whole && n.unit && n.unit == quant_unit_find("ft", 2);
	if (feet && inches_ahead(lx)) {
		grammar_raw second = *grammar_ahead(lx, 0);
		grammar_drop(lx, 1);
		number inches = take_number(lx, second);
		*at = span_join(*at, inches.at);
		if (inches.ok) *value = quant_add(*value, with_unit(&inches));
		n.ok = n.ok && inches.ok;
	}
	if (n.ok && must_be_exact(*value) && !quant_is_exact(*value)) {
		does_not_fit(lx, *at);
		n.ok = false;
	}
	return n.ok;
}

bool grammar_temperature_ahead(grammar_lexer *lx) {
	raw_kind k = grammar_ahead(lx, 0)->kind;
	if (k != RAW_INT && k != RAW_DECIMAL && k != RAW_FRACTION) return false;
	const grammar_raw *u = grammar_ahead(lx, grammar_ahead(lx, 1)->kind == RAW_MIXED ? 2 : 1);
	return unit_is(lx, u, "degC") || unit_is(lx, u, "degF");
}

/* -5 degC is a temperature of its own, not the negative of one: the sign goes before the offset. */
quant grammar_negative_temperature(const grammar_lexer *lx, quant value, span at) {
	const quant_unit *u = quant_unit_find(lx->text + at.end - 4, 4);
	rat twice = rat_mul(u->offset, rat_int(2));
	rat r = rat_sub(twice, value.r);
	if (rat_ok(r)) return quant_exact(value.dim, r);
	return quant_inexact(value.dim, rat_double(twice) - value.d);
}
