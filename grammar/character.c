/* Characters that a plan does not know: what they are called and what is written instead. */
#include <string.h>

#include "grammar/lexer.h"
#include "runtime/base/text.h"

/* ---- bytes no plan may hold ---------------------------------------------------------------------- */

enum { MOST_BAD_BYTES = 10, TOLD_BYTE = 1 };

/* Turns the direction of what follows: a message, a comment or a text could show other than it is. */
static bool turns_direction(uint32_t c) { return (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069); }

static const char *byte_fault(arena *mem, uint32_t c, const char *p, const char *end) {
	if (c == UINT32_MAX) return arena_printf(mem, "the byte 0x%02X is not UTF-8 text", (unsigned char)*p);
	if (c == 0) return "a zero byte cannot stand in a plan";
	if (c == '\t' || c == '\n') return NULL;
	if (c == '\r') return p + 1 < end && p[1] == '\n' ? NULL : "a carriage return stands alone here";
	if (c < 0x20 || c == 0x7F || (c >= 0x80 && c < 0xA0))
		return arena_printf(mem, "the control character U+%04X cannot stand in a plan", (unsigned)c);
	if (turns_direction(c))
		return arena_printf(mem, "the character U+%04X turns the direction of writing, unseen", (unsigned)c);
	return NULL;
}

static const char *byte_help(uint32_t c) {
	if (c == UINT32_MAX) return "save the plan as UTF-8";
	if (c == '\r') return "end each line with a line feed, or with carriage return and line feed";
	return "take it out";
}

const char *grammar_characters(grammar_lexer *lx, const char *text, size_t size) {
	const char *p = text, *end = text + size, *line_told = NULL, *line = text;
	char *clean = NULL;
	size_t told = 0;
	if (size >= 2 && (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0)) {
		diag *g = grammar_fault(lx, "plan-character", grammar_span(lx, 0, 2), "this file is UTF-16 text");
		diag_add_help(lx->diags, g, "save the plan as UTF-8");
		return NULL;
	}
	while (p < end) {
		const char *at = p;
		uint32_t c = text_utf8_next(&p, end);
		const char *fault = c >= 0x20 && c < 0x7F ? NULL : byte_fault(lx->mem, c, at, end);
		if (fault) {
			if (!clean) clean = arena_textn(lx->mem, text, size);
			memset(clean + (at - text), TOLD_BYTE, (size_t)(p - at));
			if (line_told != line) {
				if (told == MOST_BAD_BYTES) return NULL;
				span s = grammar_span(lx, (size_t)(at - text), (size_t)(p - text));
				diag *g = grammar_fault(lx, "plan-character", s, "%s", fault);
				diag_add_help(lx->diags, g, "%s", byte_help(c));
				told++;
				line_told = line;
			}
		}
		if (c == '\n') line = p;
	}
	return clean ? clean : text;
}

/* ---- foreign signs ------------------------------------------------------------------------------- */

static const struct foreign {
	const char *bytes, *instead;
	const char *sign; /* what it is read as, so that the rest of the line is still understood; NULL: a blank */
} FOREIGN[] = {
	{"\xC3\x97", "`x` between sizes, or `*` to multiply", "x"}, /* multiplication sign */
	{"\xC2\xB1", "`+-`", "+-"},
	{"\xE2\x89\xA4", "`<=`", "<="},
	{"\xE2\x89\xA5", "`>=`", ">="},
	{"\xE2\x89\xA0", "`!=`", "!="},
	{"\xE2\x86\x92", "`->`", "->"},
	{"\xE2\x88\x92", "`-`", "-"}, /* minus sign */
	{"\xE2\x80\x93", "`-`", "-"}, /* en dash */
	{"\xE2\x80\x94", "`-`", "-"}, /* em dash */
	{"\xC3\xB7", "`/`", "/"},
	{"\xC2\xB7", "`*`", "*"}, /* middle dot */
	{"\xC2\xA0", "an ordinary blank", NULL},
	{"\xE2\x80\xAF", "an ordinary blank", NULL}, /* narrow no-break space */
	{"\xE2\x80\x89", "an ordinary blank", NULL}, /* thin space */
	{"\xEF\xBB\xBF", "nothing: a byte order mark belongs at the beginning of the file", NULL},
	{"\xE2\x80\x8B", "nothing: it is a blank without width", NULL},
	{"\xC3\x98", "`round 60 mm`, without a sign", NULL}, /* diameter as capital O with stroke */
	{"\xE2\x8C\x80", "`round 60 mm`, without a sign", NULL},
};
enum { N_FOREIGN = sizeof FOREIGN / sizeof *FOREIGN };

static const struct foreign *foreign_at(const char *p, size_t left) {
	for (size_t i = 0; i < N_FOREIGN; i++) {
		size_t n = strlen(FOREIGN[i].bytes);
		if (n <= left && memcmp(p, FOREIGN[i].bytes, n) == 0) return &FOREIGN[i];
	}
	return NULL;
}

static bool opens_quote(const char *p, size_t left) {
	return left >= 3 && (memcmp(p, "\xE2\x80\x9C", 3) == 0 || memcmp(p, "\xE2\x80\x9D", 3) == 0 ||
			     memcmp(p, "\xE2\x80\x9E", 3) == 0 || memcmp(p, "\xE2\x80\x98", 3) == 0);
}

/* The O with stroke is a letter too: only before a number or alone it means a diameter. */
static bool letter_instead(const char *p, size_t left) {
	return left > 2 && memcmp(p, "\xC3\x98", 2) == 0 && !(p[2] >= '0' && p[2] <= '9');
}

size_t grammar_printed_text(grammar_lexer *lx, const char *text, size_t n) {
	size_t i = 3;
	while (i < n && text[i] != '"' && !opens_quote(text + i, n - i) &&
	       !(n - i >= 3 && memcmp(text + i, "\xE2\x80\x99", 3) == 0))
		i++;
	n = i == n ? 3 : i + (text[i] == '"' ? 1 : 3);
	diag *g = grammar_fault(lx, "plan-character", grammar_span(lx, lx->start, lx->start + n),
				"text stands between straight quotes");
	diag_add_help(lx->diags, g, "write `\"` at both ends");
	return n;
}

size_t grammar_foreign(grammar_lexer *lx, const char *run, size_t n, raw_kind *kind, const char **sign) {
	*kind = RAW_BAD;
	for (size_t i = 0; i < n; i++) {
		if ((unsigned char)run[i] < 0xC0) continue;
		const struct foreign *f = letter_instead(run + i, n - i) ? NULL : foreign_at(run + i, n - i);
		if (!f && !opens_quote(run + i, n - i)) continue;
		if (i > 0) { /* the word before it first */
			*kind = RAW_WORD;
			n = i;
			for (size_t k = 0; k < i; k++)
				if ((unsigned char)run[k] >= 0x80) *kind = RAW_BAD;
			if (*kind == RAW_WORD) return n;
			break;
		}
		if (!f) break;
		size_t m = strlen(f->bytes);
		span at = grammar_span(lx, lx->start, lx->start + m);
		diag *g = grammar_fault(lx, "plan-character", at, "a plan does not know this character");
		diag_add_help(lx->diags, g, "write %s", f->instead);
		*kind = RAW_NEWLINE;
		*sign = f->sign;
		return m;
	}
	diag *g = grammar_fault(lx, "plan-character", grammar_span(lx, lx->start, lx->start + n),
				"names are written with the letters a to z and A to Z, digits and `_`");
	diag_add_help(lx->diags, g, "other letters stand in texts and comments only");
	return n;
}

void grammar_strange(grammar_lexer *lx, char c) {
	static const struct {
		char c;
		const char *help;
	} known[] = {
		{'&', "join names with commas, or with `and` behind `between`"},
		{'|', "write one line for each"},
		{'^', "square units are written `mm2`, powers as products"},
		{'!', "unequal is written `!=`"},
		{'\'', "text stands between double quotes; feet are written `ft`"},
		{'.', "a dot stands in a number or between a part and its member, without blanks"},
		{'%', "`%` stands behind a number"},
		{'\\', "a line goes on after a comma, an operator or an opening bracket"},
		{'$', "money is a plain number; the `currency` stands in the `plan` block"},
	};
	lx->told = lx->start;
	if (c == TOLD_BYTE) { /* by grammar_characters() */
		if (lx->spoilt == SIZE_MAX || lx->spoilt < lx->line_from) lx->spoilt = lx->start;
		return;
	}
	if (c == '.' && lx->start && lx->text[lx->start - 1] == ')') { /* `bay(1).box` */
		size_t open = lx->start - 1;
		while (open > 0 && !strchr("(\n", lx->text[open])) open--;
		diag *n = grammar_fault(lx, "plan-syntax", grammar_span(lx, open, lx->start),
					"the number of a name stands in `[ ]`");
		diag_add_help(lx->diags, n, "write for example `bay[1].side`; the brackets of a value have no members");
		return;
	}
	diag *g = grammar_fault(lx, "plan-character", grammar_span(lx, lx->start, lx->offset),
				"`%c` has no meaning here", c);
	for (size_t i = 0; i < sizeof known / sizeof *known; i++)
		if (known[i].c == c) diag_add_help(lx->diags, g, "%s", known[i].help);
}
