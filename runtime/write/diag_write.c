/* Diagnostics as text. */
#include "runtime/write/diag_write.h"

#include <string.h>

/* A line longer than WHOLE columns is shown as a piece of PIECE columns, the caret BEFORE columns behind its
 * beginning. */
enum { WHOLE = 110, PIECE = 100, BEFORE = 40, GUTTER = 5 };

typedef struct look {
	const char *place, *error, *warning, *note, *help, *gutter, *end;
} look;

static const look PLAIN = {"", "", "", "", "", "", ""};
static const look COLOUR = {"\033[1m", "\033[1;31m", "\033[1;35m", "\033[1;36m", "\033[1;32m", "\033[34m", "\033[0m"};

/* Characters that would move the cursor, change a terminal's state or the direction of writing. */
static bool steers(uint32_t c) {
	return c == UINT32_MAX || c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x200E || c == 0x200F || c == 0x2028 ||
	       c == 0x2029 || (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

static void put_char(textbuf *out, const char *bytes, size_t n, uint32_t c) {
	if (steers(c))
		textbuf_add(out, "\xEF\xBF\xBD");
	else
		textbuf_addn(out, bytes, n);
}

static void put_clean(textbuf *out, const char *text) {
	const char *p = text, *end = text + strlen(text);
	while (p < end) {
		const char *from = p;
		uint32_t c = text_utf8_next(&p, end);
		put_char(out, from, (size_t)(p - from), c);
	}
}

/* The columns [from, to) of a line, tabs as blanks. True when something was left out behind them. */
static bool put_columns(textbuf *out, const source_place *p, size_t from, size_t to) {
	const char *at = p->line_text, *end = at + p->line_size;
	size_t column = 0;
	while (at < end) {
		const char *begin = at;
		uint32_t c = text_utf8_next(&at, end);
		size_t n = (size_t)(at - begin), wide = text_columns(begin, n, column);
		if (column + wide > to) return true;
		for (size_t i = 0; c == '\t' && i < wide; i++)
			if (column + i >= from) textbuf_char(out, ' ');
		if (c != '\t' && column >= from) put_char(out, begin, n, c);
		/* A wide character cut by the piece's beginning. */
		if (c != '\t' && column < from && column + wide > from) textbuf_char(out, ' ');
		column += wide;
	}
	return false;
}

static void gutter(textbuf *out, const look *l, uint32_t line) {
	if (line)
		textbuf_printf(out, "%s%*u |%s ", l->gutter, GUTTER, line, l->end);
	else
		textbuf_printf(out, "%s%*s |%s ", l->gutter, GUTTER, "", l->end);
}

/* The source's line and carets under the span; over several lines, under its first. */
static void excerpt(textbuf *out, const source_place *p, const look *l, const char *colour) {
	size_t first = text_columns(p->line_text, p->first_byte, 0);
	size_t wide = text_columns(p->line_text + p->first_byte, p->last_byte - p->first_byte, first);
	size_t all = text_columns(p->line_text, p->line_size, 0);
	size_t from = 0, to = all;
	if (wide == 0) wide = 1;
	if (all > WHOLE) {
		from = first > BEFORE ? first - BEFORE : 0;
		to = from + PIECE < all ? from + PIECE : all;
		if (first < to && first + wide > to) wide = to - first;
	}
	gutter(out, l, p->line);
	if (from) textbuf_add(out, "\xE2\x80\xA6");
	if (put_columns(out, p, from, to)) textbuf_add(out, "\xE2\x80\xA6");
	textbuf_char(out, '\n');
	gutter(out, l, 0);
	if (from) textbuf_char(out, ' ');
	for (size_t i = from; i < first; i++) textbuf_char(out, ' ');
	textbuf_add(out, colour);
	for (size_t i = 0; i < wide; i++) textbuf_char(out, '^');
	textbuf_add(out, l->end);
	textbuf_char(out, '\n');
}

static void head(textbuf *out, const source_place *p, const look *l, const char *word, const char *colour) {
	textbuf_add(out, l->place);
	if (p->file) {
		put_clean(out, p->file);
		textbuf_printf(out, ":%u:%u:", p->line, p->column);
	} else {
		textbuf_add(out, "windchest:");
	}
	textbuf_printf(out, "%s %s%s:%s ", l->end, colour, word, l->end);
}

static void note(textbuf *out, const diag_note *n, const source_set *sources, const look *l) {
	source_place p = source_find(sources, n->at);
	if (p.file) {
		head(out, &p, l, "note", l->note);
	} else {
		textbuf_printf(out, "  %snote:%s ", l->note, l->end);
	}
	put_clean(out, n->text);
	textbuf_char(out, '\n');
	if (p.file) excerpt(out, &p, l, l->note);
}

static void one(textbuf *out, const diag *g, const source_set *sources, const look *l) {
	source_place p = source_find(sources, g->at);
	bool error = g->severity == DIAG_ERROR;
	const char *colour = g->allowed ? l->note : error ? l->error : l->warning;
	head(out, &p, l, g->allowed ? "allowed" : error ? "error" : "warning", colour);
	put_clean(out, g->text);
	textbuf_printf(out, " [%s]", g->rule);
	if (g->allowed) {
		textbuf_add(out, " because: ");
		put_clean(out, g->allowed);
		textbuf_char(out, '\n');
		return;
	}
	textbuf_char(out, '\n');
	if (p.file) excerpt(out, &p, l, colour);
	for (size_t i = 0; i < g->notes.n; i++) note(out, &g->notes.v[i], sources, l);
	if (!g->help) return;
	textbuf_printf(out, "  %shelp:%s ", l->help, l->end);
	put_clean(out, g->help);
	textbuf_char(out, '\n');
}

void diag_text(textbuf *out, const diags *d, const source_set *sources, bool colour) {
	for (size_t i = 0; i < d->all.n; i++) one(out, d->all.v[i], sources, colour ? &COLOUR : &PLAIN);
}
